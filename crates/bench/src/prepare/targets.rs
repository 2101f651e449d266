//! The evening's targets: what is typed, and what it is measured against.

use nalgebra::Vector3;
use observer::{Intent, View};
use protocol::Aim;
use scenario::{Complaint, Eyepiece, Observation, Plan, Via};
use sky::catalogue::Catalogue;
use sky::{Geocentre, Source, StarPlace, Track};
use std::sync::Arc;
use units::{Angle, Instant, Length, Span};

/// One target as the truth knows it.
#[derive(Clone, Debug)]
pub(crate) struct Target {
    /// As the scenario names it.
    pub(crate) name: String,
    /// Where it truly is.
    pub(crate) goal: Goal,
    /// Diameter of the true field that it is looked at through.
    pub(crate) true_field: Angle,
}

/// Where a target truly is.
#[derive(Clone, Debug)]
pub(crate) enum Goal {
    /// In the sky.
    Sky(Arc<Track>),
    /// In a direction over the ground (east, north, up), as observed.
    Ground(Vector3<f64>),
}

pub(super) fn targets(
    plan: &Plan,
    geocentre: &Arc<Geocentre>,
    begin: Instant,
) -> Result<(Vec<Intent>, Vec<Target>), Vec<Complaint>> {
    let mut complaints = Vec::new();
    let mut intents = Vec::new();
    let mut targets = Vec::new();
    for (index, observation) in plan.observe.iter().enumerate() {
        match target(plan, index, observation, geocentre) {
            Ok((aim, target)) => {
                intents.push(intent(observation, aim, chart_place(&target.goal, begin)));
                targets.push(target);
            }
            Err(complaint) => complaints.push(complaint),
        }
    }
    if complaints.is_empty() { Ok((intents, targets)) } else { Err(complaints) }
}

fn intent(observation: &Observation, aim: Aim, place: Option<(Angle, Angle)>) -> Intent {
    Intent {
        aim,
        place,
        dwell: observation.dwell.unwrap_or(Span::ZERO),
        by_bright_star: observation.via == Some(Via::NearestBright),
        visitors: observation.visitors.unwrap_or(0),
        per_visitor: observation.per_visitor.unwrap_or(PER_VISITOR),
    }
}

/// How long a visitor looks (common practice, no source).
const PER_VISITOR: Span = Span::from_whole_seconds(45);

/// Where a chart, or an almanac, has it on the evening.
fn chart_place(goal: &Goal, begin: Instant) -> Option<(Angle, Angle)> {
    let Goal::Sky(track) = goal else { return None };
    Some(match track.source() {
        Source::Star(star) => sky::icrs_at(star, begin),
        Source::Body(_) => track.geocentre().icrs_from_cirs(&track.cirs(begin).direction, begin),
    })
}

fn target(
    plan: &Plan,
    index: usize,
    observation: &Observation,
    geocentre: &Arc<Geocentre>,
) -> Result<(Aim, Target), Complaint> {
    let sky = |source: &Source| Goal::Sky(Arc::new(geocentre.track(source)));
    let (aim, goal) = match observation.aim() {
        Some(scenario::Aim::Named(name)) => {
            let entry = Catalogue::embedded().find(&name.0).map_err(|missing| {
                let key = format!("observe[{index}].target");
                plan.complain(&key, missing.to_string(), "name something that the catalogue has")
            })?;
            (Aim::Name(name.0.clone()), sky(&entry.source))
        }
        Some(scenario::Aim::Equatorial { ra, dec }) => {
            (Aim::Equatorial { ra, dec }, sky(&Source::Star(StarPlace::fixed(ra, dec))))
        }
        Some(scenario::Aim::Horizontal { azimuth, altitude }) => {
            let direction = kinematics::frames::direction(azimuth, altitude);
            (Aim::Horizontal { azimuth, altitude }, Goal::Ground(direction))
        }
        None => {
            let key = format!("observe[{index}]");
            return Err(plan.complain(
                &key,
                "this target has no place",
                "give target, or ra and dec, or azimuth and altitude",
            ));
        }
    };
    let true_field = true_field(plan, index, observation)?;
    Ok((aim, Target { name: observation.title(), goal, true_field }))
}

/// Apparent field over magnification (common practice; the field stop would be exact).
fn true_field(plan: &Plan, index: usize, observation: &Observation) -> Result<Angle, Complaint> {
    let eyepiece = match &observation.eyepiece {
        None => eyepieces(plan).into_iter().next(),
        Some(name) => eyepieces(plan).into_iter().find(|eyepiece| eyepiece.name == *name),
    };
    let Some(eyepiece) = eyepiece else {
        let names: Vec<String> =
            eyepieces(plan).into_iter().map(|eyepiece| format!("`{}`", eyepiece.name)).collect();
        let key = format!("observe[{index}].eyepiece");
        return Err(plan.complain(
            &key,
            "there is no such eyepiece",
            format!("the tube has {}", names.join(", ")),
        ));
    };
    Ok(field_of(plan, &eyepiece))
}

fn field_of(plan: &Plan, eyepiece: &Eyepiece) -> Angle {
    eyepiece.apparent_field / magnification(plan, eyepiece)
}

/// How many times larger things look through an eyepiece.
pub(crate) fn magnification(plan: &Plan, eyepiece: &Eyepiece) -> f64 {
    let reducer = plan.tube.reducer.map_or(1.0, |ratio| ratio.0);
    let focal_length = plan.tube.focal_length.unwrap_or(Length::from_millimetres(1500.0)) * reducer;
    focal_length / eyepiece.focal_length
}

/// The true field of the first eyepiece; a plan whose list is empty has none, and sees nothing through it.
pub(super) fn first_field(plan: &Plan) -> Angle {
    eyepieces(plan).first().map_or(Angle::ZERO, |eyepiece| field_of(plan, eyepiece))
}

/// Names and true fields of the eyepieces at hand.
pub(crate) fn eyepiece_fields(plan: &Plan) -> Vec<(String, Angle)> {
    eyepieces(plan).iter().map(|eyepiece| (eyepiece.name.clone(), field_of(plan, eyepiece))).collect()
}

/// How the eyepiece shows the sky.
pub(super) fn view(plan: &Plan) -> View {
    match plan.tube.view {
        Some(scenario::View::Upright) => View::Upright,
        Some(scenario::View::Inverted) => View::Inverted,
        None | Some(scenario::View::Mirrored) => View::Mirrored,
    }
}

/// The eyepieces at hand; the reference tube's where the scenario names none.
pub(crate) fn eyepieces(plan: &Plan) -> Vec<Eyepiece> {
    plan.tube.eyepieces.clone().unwrap_or_else(|| {
        let eyepiece = |name: &str, millimetres, degrees| Eyepiece {
            name: name.to_owned(),
            focal_length: Length::from_millimetres(millimetres),
            apparent_field: Angle::from_degrees(degrees),
        };
        vec![eyepiece("wide", 25.0, 50.0), eyepiece("close", 18.0, 52.0)]
    })
}
