//! What several tests share.
#![allow(dead_code, reason = "each test file uses a part of it")]

use kinematics::{AxisAngles, BaseErrors, Geometry, Kind, Limits, Path, base};
use mechanics::{AxisSpec, Mount, MountSpec, Supply};
use units::{Angle, AngularAcceleration, AngularRate, Instant, PartsPerMillion, Span};

pub const START: Instant = Instant::from_nanoseconds(800_000_000_000_000_000);

pub fn degrees(value: f64) -> Angle {
    Angle::from_degrees(value)
}

pub fn arcsec(value: f64) -> Angle {
    Angle::from_arcsec(value)
}

pub fn after(seconds: f64) -> Instant {
    START + Span::from_seconds(seconds)
}

pub fn limits() -> Limits {
    Limits {
        rate: AngularRate::from_degrees(3.0),
        acceleration: AngularAcceleration::from_degrees(2.0),
        jerk: None,
    }
}

pub fn level_base(kind: Kind, latitude: Angle) -> nalgebra::Matrix3<f64> {
    let none = BaseErrors {
        polar_altitude: Angle::ZERO,
        polar_azimuth: Angle::ZERO,
        lean_north: Angle::ZERO,
        lean_east: Angle::ZERO,
    };
    base(kind, latitude, &none)
}

/// A mount without any error, for tests that add one.
pub fn ideal(kind: Kind, latitude: Angle) -> MountSpec {
    MountSpec {
        latitude,
        geometry: Geometry::ideal(kind, level_base(kind, latitude)),
        axes: [AxisSpec::ideal(160, 3.0, limits()), AxisSpec::ideal(160, 3.0, limits())],
        crystal_drift: PartsPerMillion::ZERO,
        structure: None,
        supply: Supply::Steady,
        body: None,
    }
}

pub fn at_zero() -> AxisAngles {
    AxisAngles { first: Angle::ZERO, second: Angle::ZERO }
}

pub fn switch_on(spec: MountSpec, home: AxisAngles) -> Mount {
    Mount::new(spec, START, home).unwrap_or_else(|error| panic!("{error}"))
}

/// Straight ways between positions in arcseconds, each taking so many seconds.
pub fn zigzag(positions: &[f64], leg: f64) -> Path {
    let pieces = positions.windows(2).enumerate().map(|(i, pair)| kinematics::Cubic {
        begin: Span::from_seconds(leg * i as f64),
        coefficients: [arcsec(pair[0]).radians(), arcsec(pair[1] - pair[0]).radians() / leg, 0.0, 0.0],
    });
    let count = positions.len();
    let rest =
        kinematics::Cubic::hold(Span::from_seconds(leg * (count - 1) as f64), arcsec(positions[count - 1]));
    Path::from_pieces(pieces.chain([rest]).collect())
}
