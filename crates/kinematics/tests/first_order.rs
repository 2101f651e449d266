//! The first-order table against the exact chain.

mod support;

use kinematics::first_order::{AltAzimuthTerm, EquatorialTerm};
use kinematics::{AxisAngles, BaseErrors, Branch, Chain, Kind, base, frames};
use support::{arcmin, deg, geometry, spread};
use units::Angle;

const BRANCHES: [Branch; 2] = [Branch::Direct, Branch::ThroughPole];

/// Dial readings of a branch for an hour angle and a declination, or an azimuth and an altitude.
fn dials(first: Angle, second: Angle, branch: Branch) -> AxisAngles {
    match branch {
        Branch::Direct => AxisAngles { first, second },
        Branch::ThroughPole => AxisAngles { first: first + Angle::HALF, second: Angle::HALF - second },
    }
}

/// True minus dial of an equatorial mount with one error.
fn equatorial(
    term: EquatorialTerm,
    size: Angle,
    latitude: Angle,
    h: Angle,
    d: Angle,
    branch: Branch,
) -> (Angle, Angle) {
    let kind = Kind::GermanEquatorial;
    let mut errors = BaseErrors::default();
    let mut with = geometry(kind, latitude, &errors);
    match term {
        EquatorialTerm::HourZero => with.zero_first = size,
        EquatorialTerm::DeclinationZero => with.zero_second = size,
        EquatorialTerm::PolarAltitude => errors.polar_altitude = size,
        EquatorialTerm::PolarAzimuth => errors.polar_azimuth = size,
        EquatorialTerm::LeanNorth => errors.lean_north = size,
        EquatorialTerm::LeanEast => errors.lean_east = size,
        EquatorialTerm::AxisSkew => with.axis_skew = size,
        EquatorialTerm::ConeError => with.cone_error = size,
        EquatorialTerm::TubeFlexure => with.tube_flexure = size,
    }
    with.base = base(kind, latitude, &errors);
    let boresight = Chain::new(with).boresight_from_dials(dials(h, d, branch));
    let (th, td) =
        frames::hour_and_declination(&frames::equatorial_to_topocentric(latitude).tr_mul(&boresight));
    ((th - h).wrapped_signed(), td - d)
}

/// True minus dial of an alt-azimuth mount with one error.
fn alt_azimuth(term: AltAzimuthTerm, size: Angle, a: Angle, h: Angle, branch: Branch) -> (Angle, Angle) {
    let kind = Kind::AltAzimuth;
    let mut errors = BaseErrors::default();
    let mut with = geometry(kind, deg(45.0), &errors);
    match term {
        AltAzimuthTerm::AzimuthZero => with.zero_first = size,
        AltAzimuthTerm::AltitudeZero => with.zero_second = size,
        AltAzimuthTerm::LeanNorth => errors.lean_north = size,
        AltAzimuthTerm::LeanEast => errors.lean_east = size,
        AltAzimuthTerm::AxisSkew => with.axis_skew = size,
        AltAzimuthTerm::ConeError => with.cone_error = size,
        AltAzimuthTerm::TubeFlexure => with.tube_flexure = size,
    }
    with.base = base(kind, deg(45.0), &errors);
    let (ta, th) = frames::horizontal(&Chain::new(with).boresight_from_dials(dials(a, h, branch)));
    ((ta - a).wrapped_signed(), th - h)
}

/// What the first order leaves over, on the sky, in radians.
fn rest(exact: (Angle, Angle), row: (f64, f64), size: Angle, second: Angle) -> f64 {
    let first = (exact.0 - size * row.0).radians() * second.cos();
    let other = (exact.1 - size * row.1).radians();
    (first * first + other * other).sqrt()
}

/// Halving an error must quarter what the first order leaves over, in the median over many directions.
fn assert_quarters(name: &str, leftover: impl Fn(Angle, f64, f64) -> f64) {
    let size = arcmin(6.0);
    let mut ratios: Vec<f64> =
        spread(301).map(|(u, v)| leftover(size, u, v) / leftover(size / 2.0, u, v)).collect();
    ratios.sort_by(f64::total_cmp);
    let median = ratios[150];
    // 5 %: the third order is 0.2 % of the second at six arcminutes, more near the pole; a wrong term would give 2.
    assert!((median / 4.0 - 1.0).abs() < 0.05, "{name}: {median}");
}

#[test]
fn every_equatorial_row_leaves_the_second_order_only() {
    for latitude in [deg(50.0), deg(-28.0)] {
        for branch in BRANCHES {
            for term in EquatorialTerm::ALL {
                let leftover = |size: Angle, u: f64, v: f64| {
                    let (h, d) = (deg(360.0 * u - 180.0), deg(150.0 * v - 75.0));
                    let exact = equatorial(term, size, latitude, h, d, branch);
                    rest(exact, term.row(latitude, h, d, branch), size, d)
                };
                if matches!(term, EquatorialTerm::HourZero | EquatorialTerm::DeclinationZero) {
                    assert!(spread(100).all(|(u, v)| leftover(arcmin(60.0), u, v) < 1e-14), "{term:?}");
                } else {
                    assert_quarters(&format!("{term:?} {branch:?}"), leftover);
                }
            }
        }
    }
}

#[test]
fn every_alt_azimuth_row_leaves_the_second_order_only() {
    for branch in BRANCHES {
        for term in AltAzimuthTerm::ALL {
            let leftover = |size: Angle, u: f64, v: f64| {
                let (a, h) = (deg(360.0 * u), deg(80.0 * v - 5.0));
                let exact = alt_azimuth(term, size, a, h, branch);
                rest(exact, term.row(a, h, branch), size, h)
            };
            // The zeros and, here, the flexure are exact: the table's row is their definition.
            if matches!(
                term,
                AltAzimuthTerm::AzimuthZero | AltAzimuthTerm::AltitudeZero | AltAzimuthTerm::TubeFlexure
            ) {
                assert!(spread(100).all(|(u, v)| leftover(arcmin(60.0), u, v) < 1e-14), "{term:?}");
            } else {
                assert_quarters(&format!("{term:?} {branch:?}"), leftover);
            }
        }
    }
}

#[test]
fn one_arcminute_of_each_at_one_direction() {
    // Computed independently of this crate, to the digits given.
    let rows = [
        (EquatorialTerm::PolarAltitude, 38.567, -38.567),
        (EquatorialTerm::PolarAzimuth, 25.161, -29.544),
        (EquatorialTerm::AxisSkew, 50.346, 0.0),
        (EquatorialTerm::ConeError, -78.324, 0.0),
        (EquatorialTerm::TubeFlexure, -38.567, -19.274),
    ];
    for (term, hours, declinations) in rows {
        let row = term.row(deg(50.0), deg(-50.0), deg(40.0), Branch::Direct);
        assert!((60.0 * row.0 - hours).abs() < 6e-4, "{term:?} {row:?}");
        assert!((60.0 * row.1 - declinations).abs() < 6e-4, "{term:?} {row:?}");
    }
}
