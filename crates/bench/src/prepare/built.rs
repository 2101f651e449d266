//! What of the contract is built: everything else is refused, so that nothing is ignored in silence.

use scenario::{Complaint, Plan};

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
    "site.magnetic_declination",
    "tube.focal_length",
    "tube.finder_field",
    "tube.view",
    "tube.reducer",
    "tube.eyepieces",
    "tube.eyepieces.name",
    "tube.eyepieces.focal_length",
    "tube.eyepieces.apparent_field",
    "mount",
    "mount.kind",
    "mount.grade",
    "mount.over_run",
    "mount.geometry",
    "mount.geometry.cone_error",
    "mount.geometry.axis_skew",
    "mount.geometry.tube_flexure",
    "mount.geometry.cone_droop",
    "mount.geometry.finder_droop",
    "mount.battery_life",
    "mount.bolts",
    "mount.bolts.pitch",
    "mount.bolts.step",
    "mount.bolts.cross_talk",
    "mount.bolts.locking_shift",
    "mount.structure",
    "mount.structure.tube_length",
    "mount.structure.tube_diameter",
    "mount.structure.tube_offset",
    "mount.structure.shaft_length",
    "mount.structure.counterweight_diameter",
    "mount.structure.pier_height",
    "mount.structure.pier_diameter",
    "mount.structure.leg_spread",
    "mount.structure.clearance",
    "mount.clock",
    "mount.clock.drift",
    "setup",
    "setup.care",
    "setup.polar_sight",
    "setup.finder_offset",
    "setup.finder_mark",
    "setup.settling",
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
    "observer",
    "observer.finder_centring",
    "observer.eyepiece_centring",
    "observer.final_approach",
    "observer.approach_kept",
    "observer.wrong_star",
    "observer.view_mistaken",
    "observer.reaction",
    "observer.shortest_press",
    "observer.when_missed",
    "observer.seeing",
    "observer.periodic_error",
    "observer.periodic_error.record_turns",
    "observer.periodic_error.star",
    "observer.periodic_error.guide_interval",
    "observer.periodic_error.playback",
    "observer.play",
    "observer.play.rounds",
    "observer.play.star",
    "observer.play.set_take_up",
    "observer.when_asked",
    "alignment",
    "alignment.method",
    "alignment.stars",
    "alignment.refine",
    "alignment.estimator",
    "alignment.polar_adjust",
    "alignment.later",
    "alignment.later.at",
    "alignment.later.target",
    "alignment.later.replaces",
    "observe",
    "observe.target",
    "observe.ra",
    "observe.dec",
    "observe.azimuth",
    "observe.altitude",
    "observe.name",
    "observe.eyepiece",
    "observe.dwell",
    "observe.via",
    "observe.visitors",
    "observe.per_visitor",
    "disturb",
    "disturb.at",
    "disturb.kind",
    "disturb.lasts",
    "disturb.azimuth_from",
    "disturb.azimuth_to",
    "disturb.axis",
    "disturb.hour_axis",
    "disturb.declination_axis",
    "disturb.polar_altitude",
    "disturb.polar_azimuth",
    "disturb.lean_north",
    "disturb.lean_east",
    "disturb.size",
    "disturb.time_constant",
    "disturb.speed",
    "disturb.gusts",
    "disturb.from",
    "disturb.temperature",
    "controller",
    "controller.final_approach",
    "controller.approach_overshoot",
    "controller.tracking",
    "controller.tracking_rate",
    "controller.custom_rate",
    "controller.solution_choice",
    "controller.refraction",
    "controller.take_up",
    "controller.take_up.hour_axis",
    "controller.take_up.declination_axis",
    "controller.take_up.azimuth_axis",
    "controller.take_up.altitude_axis",
    "mount.meridian",
    "mount.sun_exclusion",
    "mount.altitude_lowest",
    "mount.altitude_highest",
    "mount.cable_wrap",
    "mount.zenith_zone",
    "mount.axis_timing",
    "setup.home_azimuth_error",
    "setup.home_altitude_error",
    "disturb.by",
    "disturb.direction",
    "disturb.every",
    "disturb.nth",
    "disturb.line",
    "disturb.correlation",
    "disturb.burst",
    "disturb.stream",
    "disturb.delay",
    "disturb.jitter",
    "disturb.chance",
    "disturb.bytes",
    "disturb.baud",
    "disturb.angle",
    "disturb.azimuth_axis",
    "disturb.altitude_axis",
    "expect",
    "expect.targets",
    "expect.in_field",
    "expect.visitors_served",
    "expect.alignment_time",
    "expect.miss_median",
    "expect.miss_p68",
    "expect.miss_p95",
    "expect.miss_rms",
    "expect.tracking_rms",
    "expect.tracking_peak_to_peak",
    "expect.drift_median",
    "expect.targets_reached",
    "expect.refusals",
    "expect.refusals_ignored",
    "expect.play_taken_up",
    "expect.recovery_time",
    "expect.motion_after_stop",
    "expect.limits_met",
    "expect.sun_distance",
    "expect.idle_lines",
];

/// Axes whose tables are served, and the keys of each.
const AXES: &[&str] =
    &["mount.hour_axis", "mount.declination_axis", "mount.azimuth_axis", "mount.altitude_axis"];

const AXIS_KEYS: &[&str] = &[
    "teeth",
    "pitch_radius",
    "reducer_ratio",
    "reducer_error",
    "reducer_error.order",
    "reducer_error.amplitude",
    "reducer_error.phase",
    "periodic_error",
    "periodic_error.harmonic",
    "periodic_error.amplitude",
    "periodic_error.phase",
    "periodic_error_other_flank",
    "periodic_error_other_flank.harmonic",
    "periodic_error_other_flank.amplitude",
    "periodic_error_other_flank.phase",
    "wheel_eccentricity",
    "wheel_phase",
    "tooth_noise",
    "backlash",
    "backlash_variation",
    "backlash_phase",
    "imbalance",
    "balance_angle",
    "friction",
    "stiffness",
    "natural_frequency",
    "damping",
    "slew_rate",
    "acceleration",
    "jerk",
    "full_steps",
    "microsteps",
    "microstep_error",
    "stall_torque",
    "worm_index",
    "error_correction",
    "error_correction_turns",
];

/// Keys that change no figure of this bench; results repeat them.
pub(crate) const EQUIPMENT: &[&str] = &["night.title", "tube.aperture"];

/// The keys that a plan may have, lists without their numbers and tables included: `observe.target`. Every other key of
/// the contract is refused as not built yet.
pub fn built_keys() -> impl Iterator<Item = String> {
    let plain = BUILT.iter().chain(EQUIPMENT).chain(AXES).map(|key| (*key).to_owned());
    let of_axes = AXES.iter().flat_map(|axis| AXIS_KEYS.iter().map(move |key| format!("{axis}.{key}")));
    plain.chain(of_axes)
}

fn is_built(key: &str) -> bool {
    let of_an_axis = || {
        let rest = AXES.iter().find_map(|axis| key.strip_prefix(axis)?.strip_prefix('.'));
        rest.is_some_and(|rest| AXIS_KEYS.contains(&rest))
    };
    BUILT.contains(&key) || EQUIPMENT.contains(&key) || AXES.contains(&key) || of_an_axis()
}

/// Those of them that change no figure; results repeat them.
pub fn equipment_keys() -> impl Iterator<Item = &'static str> {
    EQUIPMENT.iter().copied()
}

/// A complaint for every key that isn't built.
pub(super) fn missing(plan: &Plan) -> Vec<Complaint> {
    plan.places
        .keys()
        .filter(|key| !is_built(&without_places(key)))
        .map(|key| plan.not_built_yet(key))
        .collect()
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
