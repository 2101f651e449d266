//! What the mount's computer believes of itself, and the truth beside it: for the outcome alone.

use crate::outcome::{Left, ModelBelief, OpenTerm, Predicted, SightingRow, TermBelief};
use alignment::{Aim, ProposalRules, Reason, Term, values_of, visible_stars};
use kinematics::{AxisAngles, Branch, Geometry, frames};
use nalgebra::{Matrix3, Vector3};
use units::{Angle, maths};
use world::World;

/// What a centring is worth to whoever would sight the deciding star: that of a usual hand in a usual eyepiece, as the
/// computer takes it.
const CENTRING: Angle = Angle::from_arcmin(5.0);

/// The computer's belief about its own geometry; nothing if no star has told it anything.
///
/// `to_find` is the chain that its last sighting should have told.
pub(crate) fn model(world: &World, to_find: Option<&Geometry>) -> Option<ModelBelief> {
    let belief = world.controller().belief();
    let model = belief.model();
    let residual_rms = model.residual_rms().filter(|_| belief.aligned())?;
    let geometry = to_find.copied().unwrap_or_else(|| geometry_to_find(world));
    let truths = values_of(model.kind(), model.latitude(), &geometry);
    let candidates = candidates(world);
    let aims: Vec<Aim> = candidates.iter().map(|(_, aim)| *aim).collect();
    let (mut terms, mut not_determined) = (Vec::new(), Vec::new());
    for (term, truth) in model.terms().into_iter().zip(truths) {
        let belief = TermBelief { name: term.name.to_owned(), value: term.value, sigma: term.sigma, truth };
        let Some(reason) = term.reason else {
            terms.push(belief);
            continue;
        };
        let deciding = a_star_may_help(&term, reason)
            .then(|| model.deciding_star(term.index, &aims, CENTRING))
            .flatten()
            .filter(|(_, sigma)| term.sigma.is_none_or(|known| *sigma < known))
            .map(|(index, sigma)| (candidates[index].0.clone(), sigma));
        not_determined.push(OpenTerm { belief, reason: reason.to_string(), deciding });
    }
    Some(ModelBelief { terms, not_determined, sightings_used: model.sightings_used(), residual_rms })
}

fn a_star_may_help(term: &Term, reason: Reason) -> bool {
    let never = [Reason::NotInMethod, Reason::NeverTurnsOver, Reason::AxisUpright];
    term.sigma.is_some() && !never.contains(&reason)
}

/// Bright stars above the horizon by the computer's clock, with the solution by which each would be reached.
fn candidates(world: &World) -> Vec<(String, Aim)> {
    let belief = world.controller().belief();
    let instant = belief.instant(world.computer_time());
    let (kind, latitude) = (belief.model().kind(), belief.model().latitude());
    let rules = ProposalRules::default();
    visible_stars(belief.station(), belief.geocentre(), instant, rules.faintest)
        .into_iter()
        .filter_map(|star| {
            let aim = rules.judge(kind, latitude, &star, &[]).ok()?;
            Some((star.name, aim))
        })
        .collect()
}

/// The true chain as a perfect alignment would find it: from the computer's dials to the sky that it believes in. An error
/// of its clock or its site turns that sky.
pub(super) fn geometry_to_find(world: &World) -> Geometry {
    let (truth, controller) = (world.truth(), world.controller());
    let time = world.computer_time();
    let zeros = controller.count_zeros(time);
    let geometry = truth.geometry();
    let to_equator = frames::equatorial_to_topocentric(truth.station().site().latitude()).transpose();
    let believed_sky = frames::equatorial_to_topocentric(controller.belief().station().site().latitude());
    let late = controller.belief().sidereal_time(time) - truth.station().last(world.now());
    Geometry {
        base: believed_sky * later_by(late) * to_equator * geometry.base,
        zero_first: geometry.zero_first + zeros[0],
        zero_second: geometry.zero_second + zeros[1],
        ..geometry
    }
}

/// From the equatorial frame to that of a clock which is ahead by this angle: hour angles grow by it.
fn later_by(late: Angle) -> Matrix3<f64> {
    let place = |hour: Angle| frames::equatorial_direction(hour, Angle::ZERO);
    let pole = Vector3::z();
    let quarter = Angle::QUARTER;
    place(late) * place(Angle::ZERO).transpose()
        + place(quarter + late) * place(quarter).transpose()
        + pole * pole.transpose()
}

/// How far off the computer expects to be where it points now.
pub(super) fn predicted(world: &World) -> Option<Predicted> {
    let controller = world.controller();
    let model = controller.belief().model();
    let zeros = controller.count_zeros(world.computer_time());
    let counts = world.truth().dials();
    let dials = AxisAngles { first: counts.first - zeros[0], second: counts.second - zeros[1] };
    let branch = if dials.second.cos() < 0.0 { Branch::ThroughPole } else { Branch::Direct };
    let expected = model.predicted_error(&model.direction_for(dials), branch).ok()?;
    Some(Predicted {
        rms: expected.rms(),
        p68: expected.radius_of_share(0.68),
        p95: expected.radius_of_share(0.95),
    })
}

/// Where the computer believes its polar axis to stand; nothing if no star has told it.
pub(super) fn polar_axis(world: &World) -> Option<(Angle, Angle)> {
    let belief = world.controller().belief();
    let axis = belief.model().polar_axis().ok().filter(|_| belief.aligned())?;
    Some((axis.altitude, axis.azimuth))
}

/// Puts what the model leaves of each sighting beside it.
pub(super) fn add_residuals(sightings: &mut [SightingRow], world: &World) {
    let residuals = world.controller().belief().model().residuals();
    for row in sightings {
        let found = residuals.iter().rev().find(|residual| residual.name == row.star);
        row.residual = found.map(|residual| Left {
            length: Angle::from_radians(maths::hypot(residual.east.radians(), residual.north.radians())),
            east: residual.east,
            north: residual.north,
            weight: residual.weight,
        });
    }
}
