//! Rows of what goes wrong in the night.

use super::{ALT_AZIMUTH, row};
use crate::Row;
use crate::judges::{Holds, by_rule, trial, troubles, wire};
use crate::night::Setting;
use kinematics::first_order::EquatorialTerm;

/// Five seconds after the begin, during the first slew.
const EARLY: &[Setting] =
    &[("disturb", "[{ at = \"20:30:05\", kind = \"knock\", hour_axis = \"0 arcsec\" }]")];
const KNOCK: &[Setting] =
    &[("disturb", "[{ at = \"20:30:05\", kind = \"knock\", declination_axis = \"1 arcmin\" }]")];
const LEVEL: &[Setting] = &[ALT_AZIMUTH[0], ALT_AZIMUTH[1], ALT_AZIMUTH[2], ALT_AZIMUTH[3], STILL[0]];
const STILL: &[Setting] =
    &[("disturb", "[{ at = \"20:30:05\", kind = \"knock\", azimuth_axis = \"0 arcsec\" }]")];
const STALL: &[Setting] =
    &[("disturb", "[{ at = \"20:35\", kind = \"stall\", axis = \"hour-axis\", lasts = \"20 s\" }]")];
const JUMP: &[Setting] = &[("disturb", "[{ at = \"20:35\", kind = \"clock-jump\", by = \"0 s\" }]")];
const CLOUD: &[Setting] = &[(
    "disturb",
    "[{ at = \"20:30:05\", kind = \"cloud\", lasts = \"5 min\", azimuth_from = \"90 deg\", azimuth_to = \"120 deg\" }]",
)];
/// What the wind bends.
const PLIANT: &[Setting] = &[
    ("mount.hour_axis.stiffness", "\"2000 N m/rad\""),
    ("mount.declination_axis.stiffness", "\"2000 N m/rad\""),
    (
        "disturb",
        "[{ at = \"20:30:05\", kind = \"wind\", speed = \"5 m/s\", from = \"300 deg\", gusts = \"0 %\" }]",
    ),
];
const GUSTY: &[Setting] = &[
    PLIANT[0],
    PLIANT[1],
    (
        "disturb",
        "[{ at = \"20:30:05\", kind = \"wind\", speed = \"5 m/s\", from = \"300 deg\", gusts = \"8 %\" }]",
    ),
];
const SETTLE: &[Setting] = &[(
    "disturb",
    "[{ at = \"20:30:05\", kind = \"settle\", size = \"2 arcmin\", time_constant = \"20 min\" }]",
)];
const SINKS: &[Setting] = &[("setup.settling", "\"2 arcmin\"")];
/// A mount with play; the tuned one's other errors are in both nights.
const COLD: &[Setting] = &[
    ("mount.grade", "\"tuned\""),
    ("setup.care", "\"perfect\""),
    ("mount.hour_axis.backlash", "\"100 arcsec\""),
    ("mount.hour_axis.backlash_variation", "\"0 %\""),
    ("mount.hour_axis.error_correction", "\"off\""),
    (
        "disturb",
        "[{ at = \"20:30:05\", kind = \"temperature\", lasts = \"1 s\", temperature = \"10 degC\" }]",
    ),
];

/// A fault of the wire from the begin on.
macro_rules! on_the_wire {
    ($name:ident, $keys:literal) => {
        const $name: &[Setting] = &[("disturb", concat!("[{ at = \"20:30\", ", $keys, " }]"))];
    };
}
on_the_wire!(LATE, r#"kind = "late-bytes", direction = "sent", delay = "1 s""#);
on_the_wire!(SECOND, r#"kind = "lost-reply", every = 2"#);
on_the_wire!(THIRD, r#"kind = "lost-reply", nth = 3, burst = 1"#);
on_the_wire!(STATUS, r#"kind = "lost-reply", direction = "received", line = "status""#);
on_the_wire!(NEVER, r#"kind = "lost-reply", chance = "0 %""#);
on_the_wire!(HALF, r#"kind = "lost-reply", chance = "50 %", correlation = "0 %", stream = 1"#);
on_the_wire!(SENT, r#"kind = "lost-reply", direction = "sent""#);
on_the_wire!(CUT, r#"kind = "cut-line", direction = "sent", bytes = 20"#);
on_the_wire!(SLOW, r#"kind = "slow-line", direction = "sent", baud = 300"#);
on_the_wire!(SLIP, r#"kind = "count-slip", axis = "hour-axis", angle = "2 arcmin""#);

/// A knock of an arcminute is that error.
const fn knock(key: &'static str, term: EquatorialTerm) -> Row {
    row(key, EARLY, "\"1 arcmin\"", Holds::FirstOrder(term))
}

/// An expectation of a program on trial that holds, and then can't.
macro_rules! of_a_trial {
    ($key:literal, $possible:literal, $impossible:literal) => {
        row($key, &[($key, $possible)], $impossible, by_rule(trial::no_longer_held))
    };
}

pub const ROWS: &[Row] = &[
    of_a_trial!("expect.targets_reached", "\">= 50 %\"", "\"<= 50 %\""),
    of_a_trial!("expect.refusals", "\"<= 99\"", "\">= 99\""),
    of_a_trial!("expect.refusals_ignored", "\"<= 0\"", "\">= 1\""),
    of_a_trial!("expect.play_taken_up", "\">= 50 %\"", "\"<= 50 %\""),
    of_a_trial!("expect.recovery_time", "\"<= 1 h\"", "\">= 1 s\""),
    of_a_trial!("expect.motion_after_stop", "\"<= 1 deg\"", "\">= 1 deg\""),
    of_a_trial!("expect.limits_met", "\"<= 9\"", "\">= 9\""),
    of_a_trial!("expect.sun_distance", "\">= 1 deg\"", "\"<= 1 deg\""),
    of_a_trial!("expect.idle_lines", "\"<= 1000\"", "\">= 1000\""),
    row("disturb[0].at", KNOCK, "\"20:35\"", by_rule(troubles::strikes_when_it_says)),
    row("disturb[0].kind", KNOCK, "\"bump\"", by_rule(troubles::a_bump_springs_back)),
    knock("disturb[0].hour_axis", EquatorialTerm::HourZero),
    knock("disturb[0].declination_axis", EquatorialTerm::DeclinationZero),
    knock("disturb[0].polar_altitude", EquatorialTerm::PolarAltitude),
    knock("disturb[0].polar_azimuth", EquatorialTerm::PolarAzimuth),
    knock("disturb[0].lean_north", EquatorialTerm::LeanNorth),
    knock("disturb[0].lean_east", EquatorialTerm::LeanEast),
    row("disturb[0].azimuth_axis", LEVEL, "\"2 arcmin\"", by_rule(troubles::azimuth_knocked)),
    row("disturb[0].altitude_axis", LEVEL, "\"2 arcmin\"", by_rule(troubles::altitude_knocked)),
    row("disturb[0].axis", STALL, "\"declination-axis\"", by_rule(troubles::stalled_axis_at_rest)),
    row("disturb[0].lasts", STALL, "\"60 s\"", by_rule(troubles::stalled_longer)),
    row("disturb[0].lasts", CLOUD, "\"10 s\"", by_rule(troubles::hidden_only_before)),
    row("disturb[0].by", JUMP, "\"4 s\"", by_rule(troubles::clock_jumps)),
    row("disturb[0].azimuth_from", CLOUD, "\"115 deg\"", by_rule(troubles::hidden_only_before)),
    row("disturb[0].azimuth_to", CLOUD, "\"105 deg\"", by_rule(troubles::hidden_only_before)),
    row("disturb[0].speed", PLIANT, "\"10 m/s\"", by_rule(troubles::wind_squared)),
    row("disturb[0].from", PLIANT, "\"120 deg\"", by_rule(troubles::wind_from_behind)),
    row("disturb[0].gusts", GUSTY, "\"16 %\"", by_rule(troubles::gusts_doubled)),
    row("disturb[0].size", SETTLE, "\"4 arcmin\"", by_rule(troubles::sinks_twice)),
    row("disturb[0].time_constant", SETTLE, "\"10 min\"", by_rule(troubles::sinks_sooner)),
    row("disturb[0].delay", LATE, "\"2 s\"", by_rule(wire::later)),
    row("disturb[0].jitter", LATE, "\"500 ms\"", by_rule(wire::uneven)),
    row("disturb[0].every", SECOND, "4", by_rule(wire::every_fourth_is_lost)),
    row("disturb[0].nth", THIRD, "7", by_rule(wire::the_seventh_is_lost)),
    row("disturb[0].line", STATUS, "\"AXES\"", by_rule(wire::lines_with_a_text_are_lost)),
    row("disturb[0].chance", NEVER, "\"100 %\"", by_rule(wire::never_and_always)),
    row("disturb[0].correlation", HALF, "\"100 %\"", by_rule(wire::alike)),
    row("disturb[0].burst", THIRD, "2", by_rule(wire::two_in_a_row)),
    row("disturb[0].stream", HALF, "2", by_rule(wire::other_draws)),
    row("disturb[0].direction", SENT, "\"received\"", by_rule(wire::the_other_way)),
    row("disturb[0].bytes", CUT, "10", by_rule(wire::cut_shorter)),
    row("disturb[0].baud", SLOW, "600", by_rule(wire::twice_as_fast)),
    row("disturb[0].angle", SLIP, "\"5 arcmin\"", by_rule(wire::count_slips_further)),
    row("setup.settling", SINKS, "\"4 arcmin\"", by_rule(troubles::sinks_twice)),
    row("disturb[0].temperature", COLD, "\"-10 degC\"", by_rule(troubles::cold_closes_the_play)),
];
