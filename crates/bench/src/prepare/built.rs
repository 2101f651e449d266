//! What of the contract is built: everything else is refused, so that nothing is ignored in silence.

use scenario::{Complaint, Grade, Kind, Method, Plan};

/// Keys that are served, places in lists left out; a table stands for its own line, not for what is in it.
const BUILT: &[&str] = &[
    "format",
    "night",
    "night.begin",
    "night.length",
    "night.seed",
    "night.sample_every",
    "night.ut1_minus_utc",
    "site",
    "site.latitude",
    "site.longitude",
    "site.height",
    "site.pressure",
    "site.temperature",
    "site.humidity",
    "site.horizon",
    "tube",
    "tube.focal_length",
    "tube.reducer",
    "tube.eyepieces",
    "tube.eyepieces.name",
    "tube.eyepieces.focal_length",
    "tube.eyepieces.apparent_field",
    "mount",
    "mount.kind",
    "mount.grade",
    "mount.over_run",
    "mount.hour_axis",
    "mount.hour_axis.slew_rate",
    "mount.hour_axis.acceleration",
    "mount.hour_axis.jerk",
    "mount.declination_axis",
    "mount.declination_axis.slew_rate",
    "mount.declination_axis.acceleration",
    "mount.declination_axis.jerk",
    "mount.geometry",
    "mount.geometry.cone_error",
    "mount.geometry.axis_skew",
    "mount.geometry.tube_flexure",
    "mount.clock",
    "mount.clock.drift",
    "setup",
    "setup.care",
    "setup.polar_altitude_error",
    "setup.polar_azimuth_error",
    "setup.lean_north",
    "setup.lean_east",
    "setup.home_hour_error",
    "setup.home_declination_error",
    "setup.entered",
    "setup.entered.clock_error",
    "setup.entered.zone_error",
    "setup.entered.daylight_saving_wrong",
    "setup.entered.latitude",
    "setup.entered.longitude",
    "setup.entered.height",
    "setup.entered.pressure",
    "setup.entered.temperature",
    "setup.entered.humidity",
    "setup.entered.ut1_minus_utc",
    "alignment",
    "alignment.method",
    "observe",
    "observe.target",
    "observe.ra",
    "observe.dec",
    "observe.azimuth",
    "observe.altitude",
    "observe.name",
    "observe.eyepiece",
    "observe.dwell",
    "expect",
    "expect.targets",
    "expect.in_field",
    "expect.miss_median",
    "expect.miss_p68",
    "expect.miss_p95",
    "expect.miss_rms",
    "expect.tracking_rms",
    "expect.tracking_peak_to_peak",
    "expect.drift_median",
];

/// Keys that change no figure of this bench; results repeat them.
pub(crate) const EQUIPMENT: &[&str] = &["night.title", "tube.aperture", "tube.finder_field", "tube.view"];

/// The keys that a plan may have, lists without their numbers and tables included: `observe.target`. Every other key of
/// the contract is refused as not built yet.
pub fn built_keys() -> impl Iterator<Item = &'static str> {
    BUILT.iter().chain(EQUIPMENT).copied()
}

/// Those of them that change no figure; results repeat them.
pub fn equipment_keys() -> impl Iterator<Item = &'static str> {
    EQUIPMENT.iter().copied()
}

/// A complaint for every key, and every value, that isn't built.
pub(super) fn missing(plan: &Plan) -> Vec<Complaint> {
    let served = |key: &str| {
        let plain = without_places(key);
        BUILT.contains(&plain.as_str()) || EQUIPMENT.contains(&plain.as_str())
    };
    let mut complaints: Vec<Complaint> =
        plan.places.keys().filter(|key| !served(key)).map(|key| plan.not_built_yet(key)).collect();
    let mut value = |built: bool, key: &str, problem: String, expected: &str| {
        if !built {
            complaints.push(plan.complain_as(scenario::ComplaintKind::NotBuiltYet, key, problem, expected));
        }
    };
    value(
        plan.mount.kind == Kind::GermanEquatorial,
        "mount.kind",
        "this kind of mount is not built yet".to_owned(),
        "write `kind = \"german-equatorial\"`",
    );
    value(
        plan.mount.grade == Some(Grade::Perfect),
        "mount.grade",
        "only the grade `perfect` is built yet; an omitted grade is `mid-range`".to_owned(),
        "write `grade = \"perfect\"`",
    );
    value(
        plan.setup.care.is_none_or(|care| care == scenario::Care::Perfect),
        "setup.care",
        "only the care `perfect` is built yet".to_owned(),
        "leave it out or write `care = \"perfect\"`",
    );
    value(
        plan.alignment.method.is_none_or(|method| method == Method::None),
        "alignment.method",
        "this alignment method is not built yet".to_owned(),
        "leave it out or write `method = \"none\"`",
    );
    complaints
}

/// `observe[2].target` as `observe.target`.
fn without_places(key: &str) -> String {
    let mut plain = String::with_capacity(key.len());
    let mut inside = false;
    for c in key.chars() {
        match c {
            '[' => inside = true,
            ']' => inside = false,
            _ if !inside => plain.push(c),
            _ => {}
        }
    }
    plain
}
