//! The table: later keys only add rows.

mod machine;
mod people;
mod troubles;

use crate::Row;
use crate::judges::{Holds, by_rule};
use crate::judges::{air, clock, machine as drives, night as nights, site, sky};
use crate::night::{NO_SETTINGS as NOTHING, Setting};
use kinematics::first_order::EquatorialTerm;

/// Air over the base night, dry so that the ideal gas holds.
const AIR: &[Setting] = &[("site.pressure", "\"965 hPa\"")];
/// The Moon, high up two days before it is full.
const MOON: &[Setting] = &[("night.begin", "2027-03-20T22:00:00+01:00"), ("observe[2].target", "\"Moon\"")];
/// One axis so quick that the other decides how long a slew takes.
const QUICK_DECLINATION: &[Setting] = &[
    ("mount.declination_axis.slew_rate", "\"10 deg/s\""),
    ("mount.declination_axis.acceleration", "\"20 deg/s2\""),
    ("mount.declination_axis.jerk", "\"100 deg/s3\""),
];
const QUICK_HOUR: &[Setting] = &[
    ("mount.hour_axis.slew_rate", "\"10 deg/s\""),
    ("mount.hour_axis.acceleration", "\"20 deg/s2\""),
    ("mount.hour_axis.jerk", "\"100 deg/s3\""),
];
/// A dwell so long that tracking runs into the limit past the meridian.
const LONG: &[Setting] =
    &[("night.length", "\"6 h\""), ("night.sample_every", "\"1 min\""), ("observe[0].dwell", "\"5 h\"")];

const fn row(key: &'static str, given: &'static [Setting], becomes: &'static str, holds: Holds) -> Row {
    Row { key, given, becomes, holds }
}

/// An error of one arcminute, by its first-order row.
const fn arcminute(key: &'static str, term: EquatorialTerm) -> Row {
    row(key, NOTHING, "\"1 arcmin\"", Holds::FirstOrder(term))
}

/// An expectation that holds, and then can't; the mount has errors, so that there is something to expect.
macro_rules! expectation {
    ($key:literal, $possible:literal, $impossible:literal) => {
        row(
            $key,
            &[
                ("mount.geometry.cone_error", "\"5 arcmin\""),
                ("setup.polar_altitude_error", "\"10 arcmin\""),
                ($key, $possible),
            ],
            $impossible,
            Holds::Verdict,
        )
    };
}

/// A vertical and a level axis instead.
const ALT_AZIMUTH: &[Setting] = &[
    ("mount.kind", "\"alt-azimuth\""),
    ("mount.over_run", ""),
    ("mount.hour_axis", ""),
    ("mount.declination_axis", ""),
];
/// Something to be seen by visitors, and something to align on.
const VISITED: &[Setting] = &[("observe[0].visitors", "2"), ("expect.visitors_served", "\">= 1\"")];
const TIMED: &[Setting] = &[
    ("alignment.method", "\"one-star\""),
    ("alignment.stars", "[\"Regulus\"]"),
    ("expect.alignment_time", "\"<= 1 h\""),
];

/// All rows.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    [BASICS, people::ROWS, machine::ROWS, troubles::ROWS].into_iter().flatten()
}

const BASICS: &[Row] = &[
    row("format", NOTHING, "2", Holds::Refused("format")),
    row("night.title", NOTHING, "\"Another title\"", Holds::Echoed),
    row("night.begin", NOTHING, "2027-03-06T20:40:00+01:00", by_rule(clock::dials_follow_the_clock)),
    row("night.length", NOTHING, "\"8 min\"", by_rule(nights::length_cuts_the_dwell)),
    row("night.seed", NOTHING, "8", by_rule(nights::seed_alone)),
    row("night.sample_every", NOTHING, "\"2 s\"", by_rule(nights::half_the_samples)),
    row("night.ut1_minus_utc", NOTHING, "\"0.4 s\"", Holds::HourAngle { arcsec: 0.4 * clock::PER_SECOND }),
    row("site.latitude", NOTHING, "\"40.6 deg\"", by_rule(site::altitude_of_the_triangle)),
    row("site.longitude", NOTHING, "\"-4.4 deg\"", Holds::HourAngle { arcsec: 360.0 }),
    row("site.height", &[("site.pressure", "")], "\"1000 m\"", by_rule(air::standard_air_of_the_height)),
    row("site.pressure", AIR, "\"900 hPa\"", Holds::Refraction { ratio: 900.0 / 965.0 }),
    row("site.temperature", AIR, "\"25 degC\"", Holds::Refraction { ratio: 283.15 / 298.15 }),
    row("site.humidity", AIR, "1.0", by_rule(air::vapour_thins_the_air)),
    row("site.horizon", NOTHING, "\"60 deg\"", by_rule(site::refused_by_what_is_missing)),
    row("tube.aperture", NOTHING, "\"200 mm\"", Holds::Echoed),
    row("tube.focal_length", NOTHING, "\"1200 mm\"", Holds::Field { ratio: 1500.0 / 1200.0 }),
    row("tube.reducer", NOTHING, "\"0.7\"", Holds::Field { ratio: 1.0 / 0.7 }),
    row("tube.eyepieces[0].name", NOTHING, "\"other\"", Holds::Refused("observe[0].eyepiece")),
    row("tube.eyepieces[0].focal_length", NOTHING, "\"20 mm\"", Holds::Field { ratio: 20.0 / 25.0 }),
    row("tube.eyepieces[0].apparent_field", NOTHING, "\"60 deg\"", Holds::Field { ratio: 60.0 / 50.0 }),
    row("mount.over_run", LONG, "\"5 deg\"", by_rule(drives::tracking_ends_at_the_limit)),
    row("mount.hour_axis.slew_rate", QUICK_DECLINATION, "\"2 deg/s\"", by_rule(drives::hour_slew)),
    row("mount.hour_axis.acceleration", QUICK_DECLINATION, "\"1 deg/s2\"", by_rule(drives::hour_slew)),
    row("mount.hour_axis.jerk", QUICK_DECLINATION, "\"12 deg/s3\"", by_rule(drives::hour_slew)),
    row("mount.declination_axis.slew_rate", QUICK_HOUR, "\"2 deg/s\"", by_rule(drives::declination_slew)),
    row("mount.declination_axis.acceleration", QUICK_HOUR, "\"1 deg/s2\"", by_rule(drives::declination_slew)),
    row("mount.declination_axis.jerk", QUICK_HOUR, "\"12 deg/s3\"", by_rule(drives::declination_slew)),
    arcminute("mount.geometry.cone_error", EquatorialTerm::ConeError),
    arcminute("mount.geometry.axis_skew", EquatorialTerm::AxisSkew),
    arcminute("mount.geometry.tube_flexure", EquatorialTerm::TubeFlexure),
    row("mount.clock.drift", NOTHING, "\"100 ppm\"", by_rule(clock::crystal_turns_the_axis)),
    arcminute("setup.polar_altitude_error", EquatorialTerm::PolarAltitude),
    arcminute("setup.polar_azimuth_error", EquatorialTerm::PolarAzimuth),
    arcminute("setup.lean_north", EquatorialTerm::LeanNorth),
    arcminute("setup.lean_east", EquatorialTerm::LeanEast),
    arcminute("setup.home_hour_error", EquatorialTerm::HourZero),
    arcminute("setup.home_declination_error", EquatorialTerm::DeclinationZero),
    row(
        "setup.entered.clock_error",
        NOTHING,
        "\"4 s\"",
        Holds::TooFarWest { arcsec: 4.0 * clock::PER_SECOND },
    ),
    row(
        "setup.entered.zone_error",
        NOTHING,
        "\"1 h\"",
        Holds::TurnedSky { arcsec: 3600.0 * clock::PER_SECOND },
    ),
    row(
        "setup.entered.daylight_saving_wrong",
        NOTHING,
        "true",
        Holds::TurnedSky { arcsec: 3600.0 * clock::PER_SECOND },
    ),
    row("setup.entered.latitude", AIR, "\"41.5 deg\"", by_rule(air::refraction_along_a_false_vertical)),
    row("setup.entered.longitude", NOTHING, "\"-4.483333333333333 deg\"", Holds::TooFarWest { arcsec: 60.0 }),
    row("setup.entered.height", MOON, "\"5000 m\"", by_rule(sky::parallax_of_the_moon)),
    row("setup.entered.pressure", AIR, "\"900 hPa\"", Holds::FalseRefraction { ratio: 900.0 / 965.0 }),
    row("setup.entered.temperature", AIR, "\"25 degC\"", Holds::FalseRefraction { ratio: 283.15 / 298.15 }),
    row("setup.entered.humidity", AIR, "1.0", by_rule(air::vapour_believed)),
    row(
        "setup.entered.ut1_minus_utc",
        NOTHING,
        "\"0.4 s\"",
        Holds::TooFarWest { arcsec: 0.4 * clock::PER_SECOND },
    ),
    row("observe[2].target", NOTHING, "\"Castor\"", by_rule(sky::another_star)),
    row("observe[0].ra", NOTHING, "\"131 deg\"", by_rule(sky::a_degree_of_right_ascension)),
    row("observe[0].dec", NOTHING, "\"21 deg\"", by_rule(sky::a_degree_of_declination)),
    row("observe[3].azimuth", NOTHING, "\"151 deg\"", Holds::Ground { azimuth: 1.0, altitude: 0.0 }),
    row("observe[3].altitude", NOTHING, "\"41 deg\"", Holds::Ground { azimuth: 0.0, altitude: 1.0 }),
    row("observe[0].eyepiece", NOTHING, "\"close\"", Holds::Field { ratio: (52.0 * 18.0) / (50.0 * 25.0) }),
    row("observe[0].dwell", NOTHING, "\"5 min\"", by_rule(nights::half_the_dwell)),
    expectation!("expect.targets", "\">= 1\"", "\">= 99\""),
    expectation!("expect.in_field", "\"<= 100 %\"", "\"<= 0 %\""),
    row("expect.visitors_served", VISITED, "\">= 99\"", Holds::Verdict),
    row("expect.alignment_time", TIMED, "\"<= 1 s\"", Holds::Verdict),
    expectation!("expect.miss_median", "\">= 1 arcsec\"", "\">= 9 deg\""),
    expectation!("expect.miss_p68", "\">= 1 arcsec\"", "\">= 9 deg\""),
    expectation!("expect.miss_p95", "\">= 1 arcsec\"", "\">= 9 deg\""),
    expectation!("expect.miss_rms", "\">= 1 arcsec\"", "\">= 9 deg\""),
    expectation!("expect.tracking_rms", "\">= 0.1 arcsec\"", "\">= 9 deg\""),
    expectation!("expect.tracking_peak_to_peak", "\">= 0.1 arcsec\"", "\">= 9 deg\""),
    expectation!("expect.drift_median", "\">= 0.1 arcsec/min\"", "\">= 1 deg/s\""),
];
