//! What several test files need.

use kinematics::{BaseErrors, Chain, Geometry, Kind, base};
use units::Angle;

pub fn deg(value: f64) -> Angle {
    Angle::from_degrees(value)
}

#[allow(dead_code)]
pub fn arcmin(value: f64) -> Angle {
    Angle::from_arcmin(value)
}

/// A mount at a latitude with base errors; the rest of its geometry to be changed by the caller.
pub fn geometry(kind: Kind, latitude: Angle, errors: &BaseErrors) -> Geometry {
    Geometry::ideal(kind, base(kind, latitude, errors))
}

/// A perfect mount.
#[allow(dead_code)]
pub fn perfect(kind: Kind, latitude: Angle) -> Chain {
    Chain::new(geometry(kind, latitude, &BaseErrors::default()))
}

/// Points spread evenly over (0, 1)²: multiples of the powers of the plastic ratio, which leave no gaps and need no dice.
#[allow(dead_code)]
pub fn spread(count: u32) -> impl Iterator<Item = (f64, f64)> {
    let ratio = 1.324_717_957_244_746;
    (1..=count).map(move |i| {
        let i = f64::from(i);
        ((0.5 + i / ratio).fract(), (0.5 + i / (ratio * ratio)).fract())
    })
}
