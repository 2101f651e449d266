//! Rows of how the mount is built and set.

use super::{AIR, ALT_AZIMUTH, LONG, NOTHING, row};
use crate::Row;
use crate::judges::{Holds, build, by_rule, computer, troubles};
use crate::night::Setting;

const SHAPED: &[Setting] = &[("mount.structure.tube_length", "\"1.5 m\"")];
const WITH_PLAY: &[Setting] = &[("mount.declination_axis.backlash", "\"100 arcsec\"")];
const NORTHWARD: &[Setting] = &[WITH_PLAY[0], ("controller.final_approach", "\"west-north\"")];
const CUSTOM: &[Setting] =
    &[("controller.tracking_rate", "\"custom\""), ("controller.custom_rate", "\"1 x\"")];
/// So much over-run that both positions reach far past the meridian.
const OVER_RUN: &[Setting] = &[("mount.over_run", "\"45 deg\"")];
const GROUND: &str = "[{ azimuth = \"100 deg\", altitude = \"30 deg\" }, { azimuth = \"150 deg\", altitude = \"50 deg\" }, { azimuth = \"100 deg\", altitude = \"45 deg\" }]";
const THERE_AND_BACK: &[Setting] = &[("observe", GROUND)];
const THERE_AND_BACK_LEVEL: &[Setting] =
    &[ALT_AZIMUTH[0], ALT_AZIMUTH[1], ALT_AZIMUTH[2], ALT_AZIMUTH[3], ("observe", GROUND)];
const ROUND: &[Setting] = &[
    ALT_AZIMUTH[0],
    ALT_AZIMUTH[1],
    ALT_AZIMUTH[2],
    ALT_AZIMUTH[3],
    (
        "observe",
        "[{ azimuth = \"100 deg\", altitude = \"30 deg\" }, { azimuth = \"190 deg\", altitude = \"30 deg\" }]",
    ),
];
const ZENITH: &[Setting] = &[
    ALT_AZIMUTH[0],
    ALT_AZIMUTH[1],
    ALT_AZIMUTH[2],
    ALT_AZIMUTH[3],
    (
        "observe",
        "[{ azimuth = \"100 deg\", altitude = \"30 deg\" }, { azimuth = \"150 deg\", altitude = \"84 deg\" }]",
    ),
];
/// Aligned by night; the second target is gone to an hour after sunrise, 25° from the Sun.
const MORNING: &[Setting] = &[
    ("night.begin", "2027-03-07T05:30:00+01:00"),
    ("night.length", "\"5 h\""),
    ("night.sample_every", "\"1 min\""),
    ("mount.over_run", "\"45 deg\""),
    ("alignment.method", "\"one-star\""),
    ("alignment.stars", "[\"Vega\"]"),
    (
        "observe",
        "[{ ra = \"250 deg\", dec = \"40 deg\", dwell = \"3.5 h\" }, { ra = \"346 deg\", dec = \"19 deg\" }]",
    ),
];

pub const ROWS: &[Row] = &[
    row("mount.geometry.cone_droop", NOTHING, "\"1 arcmin\"", by_rule(build::cone_droops)),
    row("mount.structure.tube_length", SHAPED, "\"1 m\"", by_rule(build::tube_length)),
    row("mount.structure.tube_diameter", SHAPED, "\"160 mm\"", by_rule(build::tube_diameter)),
    row("mount.structure.tube_offset", SHAPED, "\"250 mm\"", by_rule(build::tube_offset)),
    row("mount.structure.shaft_length", SHAPED, "\"600 mm\"", by_rule(build::shaft_length)),
    row(
        "mount.structure.counterweight_diameter",
        SHAPED,
        "\"200 mm\"",
        by_rule(build::counterweight_diameter),
    ),
    row("mount.structure.pier_height", SHAPED, "\"700 mm\"", by_rule(build::pier_height)),
    row("mount.structure.pier_diameter", SHAPED, "\"200 mm\"", by_rule(build::pier_diameter)),
    row("mount.structure.leg_spread", SHAPED, "\"900 mm\"", by_rule(build::leg_spread)),
    row("mount.structure.clearance", SHAPED, "\"80 mm\"", by_rule(build::clearance)),
    // A tube that needs so much room touches the pier where it is switched on.
    row("mount.structure.clearance", SHAPED, "\"300 mm\"", Holds::Refused("mount")),
    row("mount.battery_life", NOTHING, "\"5 min\"", by_rule(troubles::a_battery_dies)),
    row(
        "controller.final_approach",
        WITH_PLAY,
        "\"west-north\"",
        by_rule(computer::the_last_way_takes_up_the_play),
    ),
    row(
        "controller.approach_overshoot",
        NORTHWARD,
        "\"36 arcsec\"",
        by_rule(computer::too_short_an_overshoot),
    ),
    row("controller.tracking", AIR, "\"both-axes-from-model\"", by_rule(computer::both_axes_follow)),
    row("controller.tracking_rate", NOTHING, "\"solar\"", by_rule(computer::solar_rate)),
    row("controller.custom_rate", CUSTOM, "\"1.01 x\"", by_rule(computer::custom_rate)),
    row("controller.solution_choice", OVER_RUN, "\"direct\"", by_rule(computer::the_other_position)),
    row("controller.refraction", AIR, "false", Holds::FalseRefraction { ratio: 0.0 }),
    row(
        "controller.take_up.hour_axis",
        THERE_AND_BACK,
        "\"150 arcsec\"",
        by_rule(computer::first_axis_thrown),
    ),
    row(
        "controller.take_up.declination_axis",
        THERE_AND_BACK,
        "\"150 arcsec\"",
        by_rule(computer::second_axis_thrown),
    ),
    row(
        "controller.take_up.azimuth_axis",
        THERE_AND_BACK_LEVEL,
        "\"150 arcsec\"",
        by_rule(computer::first_axis_thrown),
    ),
    row(
        "controller.take_up.altitude_axis",
        THERE_AND_BACK_LEVEL,
        "\"150 arcsec\"",
        by_rule(computer::second_axis_thrown),
    ),
    row("mount.meridian", LONG, "\"flip\"", by_rule(computer::flips)),
    row("mount.altitude_lowest", NOTHING, "\"40.4 deg\"", by_rule(computer::too_low)),
    row("mount.altitude_highest", NOTHING, "\"45 deg\"", by_rule(computer::too_high)),
    row("mount.sun_exclusion", MORNING, "\"40 deg\"", by_rule(computer::too_near_the_sun)),
    row("mount.zenith_zone", ZENITH, "\"10 deg\"", by_rule(computer::too_near_the_zenith)),
    row("mount.cable_wrap", ROUND, "\"180 deg\"", by_rule(computer::the_cable_decides)),
    row("mount.axis_timing", NOTHING, "\"together\"", by_rule(computer::axes_arrive_together)),
];
