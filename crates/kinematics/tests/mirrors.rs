//! Two symmetries of the sky that the chain must have exactly.

mod support;

use kinematics::{AxisAngles, BaseErrors, Chain, Geometry, Kind, frames};
use proptest::prelude::*;
use support::{deg, geometry};
use units::Angle;

/// A mount's errors as plain numbers, in degrees.
#[derive(Clone, Copy, Debug)]
struct Errors {
    polar_altitude: f64,
    polar_azimuth: f64,
    zero_hour: f64,
    zero_declination: f64,
    skew: f64,
    cone: f64,
    flexure: f64,
}

/// True hour angle and declination of the boresight.
fn pointing(latitude: f64, errors: Errors, hour: f64, declination: f64) -> (Angle, Angle) {
    let base_errors = BaseErrors {
        polar_altitude: deg(errors.polar_altitude),
        polar_azimuth: deg(errors.polar_azimuth),
        ..BaseErrors::default()
    };
    let chain = Chain::new(Geometry {
        zero_first: deg(errors.zero_hour),
        zero_second: deg(errors.zero_declination),
        axis_skew: deg(errors.skew),
        cone_error: deg(errors.cone),
        cone_droop: 0.0,
        tube_flexure: deg(errors.flexure),
        ..geometry(Kind::GermanEquatorial, deg(latitude), &base_errors)
    });
    let boresight = chain.boresight_from_dials(AxisAngles { first: deg(hour), second: deg(declination) });
    frames::hour_and_declination(&frames::equatorial_to_topocentric(deg(latitude)).tr_mul(&boresight))
}

/// Whether two places agree, on the sky: rounding only.
fn same(a: (Angle, Angle), b: (Angle, Angle)) -> bool {
    let hours = (a.0 - b.0).wrapped_signed().radians() * a.1.cos();
    hours.abs() < 1e-13 && (a.1 - b.1).radians().abs() < 1e-13
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn north_and_south_mirror_each_other(
        latitude in -89.0..89.0, hour in -180.0..180.0, declination in -180.0..180.0,
        e in prop::array::uniform7(-3.0..3.0),
    ) {
        let [polar_altitude, polar_azimuth, zero_hour, zero_declination, skew, cone, flexure] = e;
        let north = Errors { polar_altitude, polar_azimuth, zero_hour, zero_declination, skew, cone, flexure };
        let south = Errors {
            polar_altitude: -polar_altitude,
            polar_azimuth: -polar_azimuth,
            zero_declination: -zero_declination,
            skew: -skew,
            ..north
        };
        let (h, d) = pointing(latitude, north, hour, declination);
        prop_assert!(same((h, -d), pointing(-latitude, south, hour, -declination)));
    }

    #[test]
    fn east_and_west_mirror_each_other(
        latitude in -89.0..89.0, hour in -180.0..180.0, declination in -180.0..180.0,
        e in prop::array::uniform7(-3.0..3.0),
    ) {
        let [polar_altitude, polar_azimuth, zero_hour, zero_declination, skew, cone, flexure] = e;
        let one = Errors { polar_altitude, polar_azimuth, zero_hour, zero_declination, skew, cone, flexure };
        let other = Errors {
            polar_azimuth: -polar_azimuth,
            zero_hour: -zero_hour,
            skew: -skew,
            cone: -cone,
            ..one
        };
        let (h, d) = pointing(latitude, one, hour, declination);
        prop_assert!(same((-h, d), pointing(latitude, other, -hour, declination)));
    }
}
