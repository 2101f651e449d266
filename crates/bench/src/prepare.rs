//! From a plan to a world that can be played, or to complaints.

mod before;
mod built;
mod disturb;
mod glasses;
mod machine;
mod matter;
mod people;
pub(crate) mod spread;
mod targets;

pub(crate) use built::EQUIPMENT;
pub use built::{built_keys, equipment_keys};
pub(crate) use disturb::wind;
pub(crate) use glasses::Glasses;
pub(crate) use people::Bolts;
pub(crate) use targets::{Goal, Target, eyepiece_fields, eyepieces, magnification};

use crate::outcome::SetupRow;
use crate::{Almanac, MountKind};
use kinematics::BaseErrors;
use mechanics::SpecError;
use observer::Evening;
use scenario::{Complaint, Method, Plan};
use sky::{Air, Geocentre, Site};
use std::sync::Arc;
use units::{Angle, Instant, Length, Pressure, Span, StreamName, Streams, Temperature};
use world::WorldSpec;

/// A night that is ready to be played, any number of times, to the same bytes.
#[derive(Clone, Debug)]
pub struct Prepared {
    pub(crate) plan: Plan,
    pub(crate) world: WorldSpec,
    pub(crate) kind: MountKind,
    pub(crate) end: Instant,
    pub(crate) sample_every: Span,
    /// The plan with everything that was drawn for `[setup]` in it.
    pub(crate) effective: Plan,
    pub(crate) evening: Evening,
    pub(crate) glasses: Glasses,
    pub(crate) targets: Vec<Target>,
    pub(crate) setup: Vec<SetupRow>,
    /// The draws with which the night was prepared.
    pub(crate) drawn: Vec<StreamName>,
    pub(crate) bolts: Bolts,
}

impl Prepared {
    /// What the world of this night begins with: the truth, and what the mount's computer was told.
    pub fn world_spec(&self) -> &WorldSpec {
        &self.world
    }
}

/// Prepares a night.
///
/// # Errors
/// Every key that can't be served, each with its place: what isn't built yet, and what contradicts itself.
pub fn prepare(plan: &Plan) -> Result<Prepared, Vec<Complaint>> {
    prepare_sharing(plan, None)
}

/// Prepares one of many nights with the sky that they share: the same night to the bit, in less time.
///
/// # Errors
/// As [`prepare`].
pub fn prepare_with(plan: &Plan, almanac: &Almanac) -> Result<Prepared, Vec<Complaint>> {
    prepare_sharing(plan, Some(almanac))
}

fn prepare_sharing(plan: &Plan, almanac: Option<&Almanac>) -> Result<Prepared, Vec<Complaint>> {
    let complaints = built::missing(plan);
    if !complaints.is_empty() {
        return Err(complaints);
    }
    let begin = plan.night.begin.instant().map_err(|error| {
        vec![plan.complain("night.begin", error.to_string(), "write a date from 1972 to 2100")]
    })?;
    let (site, air) = true_site(plan).map_err(|complaint| vec![complaint])?;
    let ut1_minus_utc = plan.night.ut1_minus_utc.unwrap_or(Span::ZERO);
    let ut1_minus_tai = sky::time::ut1_minus_tai(begin, ut1_minus_utc).map_err(|error| {
        vec![plan.complain("night.begin", error.to_string(), "write a date from 1972 to 2100")]
    })?;
    let end = begin + plan.night.length;
    let seed = plan.night.seed.unwrap_or(0);
    let streams = Streams::watched(seed);
    let effective = people::with_setup(plan, &site, &air, begin, ut1_minus_tai, &streams)
        .map_err(|complaint| vec![complaint])?;
    let file = plan;
    let plan = &effective;
    let errors = base_errors(plan, site.latitude());
    matter::one_structure(plan).map_err(|complaint| vec![complaint])?;
    let mount = matter::spec(plan, site.latitude(), &errors, &streams);
    let disturbances = disturb::disturbances(plan, begin, end, air.temperature(), &streams)?;
    let settings =
        machine::settings(plan, begin, &site, &air, &mount).map_err(|complaint| vec![complaint])?;
    mount.check(settings.home).map_err(|error| vec![impossible(plan, &error)])?;
    // Both clocks' hours are kept ready; a clock that is days off only makes its own places slower.
    let (first, last) = (begin.min(settings.clock), end.max(settings.clock + plan.night.length));
    let geocentre = almanac
        .and_then(|almanac| almanac.covering(first, last))
        .unwrap_or_else(|| Arc::new(Geocentre::new(first, last)));
    let (intents, targets) = targets::targets(plan, &geocentre, begin)?;
    let evening = Evening {
        person: people::person(plan),
        handset: people::handset(plan, &mount),
        alignment: people::alignment(plan),
        polar: people::polar(plan),
        recording: people::recording(plan, &mount).map_err(|complaint| vec![complaint])?,
        play: people::play(plan),
        later: people::later(plan, begin)?,
        intents,
        streams: Streams::new(seed),
    };
    let glasses = glasses::glasses(plan, machine::horizon(plan).map_err(|one| vec![one])?, end)?;
    let mut prepared = Prepared {
        kind: MountKind::from(plan.mount.kind),
        end,
        sample_every: plan.night.sample_every.unwrap_or(Span::from_whole_seconds(1)),
        evening,
        glasses,
        targets,
        bolts: people::bolts(plan),
        setup: setup_rows(plan, &errors, site.latitude()),
        world: WorldSpec {
            begin,
            site,
            air,
            ut1_minus_tai,
            mount,
            settings,
            disturbances,
            faults: disturb::faults(plan, begin),
            streams: Streams::new(seed),
            geocentre,
        },
        drawn: streams.take_names(),
        plan: file.clone(),
        effective,
    };
    if prepared.plan.alignment.method == Some(Method::Resume) {
        prepared.world.settings.kept_alignment = before::kept(&prepared);
    }
    Ok(prepared)
}

/// A complaint about a mount that can't be one, at the table that says most of it.
fn impossible(plan: &Plan, error: &SpecError) -> Complaint {
    let axes = plan.mount.kind.axes();
    let table = |axis: &str| format!("mount.{}", if axis == "first" { axes.first } else { axes.second });
    let key = match error {
        SpecError::OutOfRange { place, .. } if place.starts_with("first") => table("first"),
        SpecError::OutOfRange { place, .. } if place.starts_with("second") => table("second"),
        SpecError::OutOfRange { .. } | SpecError::HomeCollides { .. } => "mount".to_owned(),
        SpecError::TooSteep { axis, .. } => table(axis),
        SpecError::NoFriction { axis, .. } => format!("{}.friction", table(axis)),
        SpecError::TooFast { axis, .. } => format!("{}.slew_rate", table(axis)),
        SpecError::ToothTable { axis, .. } => format!("{}.teeth", table(axis)),
        SpecError::HomeOutside { axis, .. } => table(axis),
    };
    let sentence = error.to_string();
    let (problem, remedy) = sentence.split_once("; ").unwrap_or((&sentence, "change it"));
    plan.complain(&key, problem, remedy)
}

/// The true site and its air, the gaps filled as the contract says.
fn true_site(plan: &Plan) -> Result<(Site, Air), Complaint> {
    let file = &plan.site;
    let height = file.height.unwrap_or(Length::ZERO);
    let site = Site::new(file.latitude, file.longitude, height)
        .map_err(|error| plan.complain("site", error.to_string(), "write a place on the Earth"))?;
    let temperature = file.temperature.unwrap_or(Temperature::from_celsius(10.0));
    let pressure = file.pressure.unwrap_or_else(|| Air::standard_pressure(height, temperature));
    let air = air(pressure, temperature, file.humidity.unwrap_or(0.5))
        .map_err(|error| plan.complain("site", error, "write the air as a weather station gives it"))?;
    Ok((site, air))
}

/// Visible light, for which all of the bench's refraction holds.
const WAVELENGTH_MICROMETRES: f64 = 0.55;

fn air(pressure: Pressure, temperature: Temperature, humidity: f64) -> Result<Air, String> {
    Air::new(pressure, temperature, units::Share::from_fraction(humidity), WAVELENGTH_MICROMETRES)
        .map_err(|error| error.to_string())
}

/// How the base truly stands.
fn base_errors(plan: &Plan, latitude: Angle) -> BaseErrors {
    let setup = &plan.setup;
    let or_none = |angle: Option<Angle>| angle.unwrap_or(Angle::ZERO);
    BaseErrors::from_elevated_end(
        latitude,
        or_none(setup.polar_altitude_error),
        or_none(setup.polar_azimuth_error),
        or_none(setup.lean_north),
        or_none(setup.lean_east),
    )
}

/// What was set up, and what it came to together with what acts the same way.
fn setup_rows(plan: &Plan, errors: &BaseErrors, latitude: Angle) -> Vec<SetupRow> {
    let setup = &plan.setup;
    let (altitude, azimuth) = errors.total_elevated_end(latitude);
    let row = |name: &str, set: Option<Angle>, total: Option<Angle>| {
        let set = set.unwrap_or(Angle::ZERO);
        SetupRow { name: name.to_owned(), set, total: total.unwrap_or(set) }
    };
    let lean =
        [row("lean to the north", setup.lean_north, None), row("lean to the east", setup.lean_east, None)];
    if !plan.mount.kind.is_equatorial() {
        let marks = [
            row("home mark, azimuth axis", setup.home_azimuth_error, None),
            row("home mark, altitude axis", setup.home_altitude_error, None),
        ];
        return lean.into_iter().chain(marks).collect();
    }
    let polar = [
        row("polar axis, altitude", setup.polar_altitude_error, Some(altitude)),
        row("polar axis, azimuth", setup.polar_azimuth_error, Some(azimuth)),
    ];
    let marks = [
        row("home mark, hour axis", setup.home_hour_error, None),
        row("home mark, declination axis", setup.home_declination_error, None),
    ];
    polar.into_iter().chain(lean).chain(marks).collect()
}

impl From<scenario::Kind> for MountKind {
    fn from(kind: scenario::Kind) -> Self {
        match kind {
            scenario::Kind::GermanEquatorial => Self::GermanEquatorial,
            scenario::Kind::ForkEquatorial => Self::ForkEquatorial,
            scenario::Kind::AltAzimuth => Self::AltAzimuth,
        }
    }
}
