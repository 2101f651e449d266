//! Frames, directions in them, and offsets between directions.
//!
//! | frame | x | y | z |
//! |---|---|---|---|
//! | topocentric | east | north | up |
//! | equatorial | meridian point of the equator | east | north celestial pole |
//! | level base | north | west | up |
//!
//! All are right-handed. Latitude is positive north, azimuth runs from north through east, hour angle is positive
//! **west**, so that a longitude that grows with hour angle would be left-handed: hence the minus signs.

use nalgebra::{Matrix3, Vector3};
use units::{Angle, maths};

/// Turns vectors about x by the right-hand rule.
pub fn rx(turn: Angle) -> Matrix3<f64> {
    let (s, c) = turn.sin_cos();
    Matrix3::new(1.0, 0.0, 0.0, 0.0, c, -s, 0.0, s, c)
}

/// Turns vectors about y by the right-hand rule.
pub fn ry(turn: Angle) -> Matrix3<f64> {
    let (s, c) = turn.sin_cos();
    Matrix3::new(c, 0.0, s, 0.0, 1.0, 0.0, -s, 0.0, c)
}

/// Turns vectors about z by the right-hand rule.
pub fn rz(turn: Angle) -> Matrix3<f64> {
    let (s, c) = turn.sin_cos();
    Matrix3::new(c, -s, 0.0, s, c, 0.0, 0.0, 0.0, 1.0)
}

/// Equatorial components to topocentric ones at a latitude; its columns are the equatorial axes.
pub fn equatorial_to_topocentric(latitude: Angle) -> Matrix3<f64> {
    let (s, c) = latitude.sin_cos();
    Matrix3::new(0.0, 1.0, 0.0, -s, 0.0, c, c, 0.0, s)
}

/// Components in a level base (north, west, up) to topocentric ones (east, north, up).
pub fn base_to_topocentric() -> Matrix3<f64> {
    Matrix3::new(0.0, -1.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 1.0)
}

/// The topocentric unit vector of an azimuth and an altitude.
pub fn direction(azimuth: Angle, altitude: Angle) -> Vector3<f64> {
    let (sa, ca) = azimuth.sin_cos();
    let (sh, ch) = altitude.sin_cos();
    Vector3::new(ch * sa, ch * ca, sh)
}

/// Azimuth within [0, one turn) and altitude of a topocentric vector of any length.
///
/// At the zenith the azimuth is zero, for want of a better one.
#[inline]
pub fn horizontal(vector: &Vector3<f64>) -> (Angle, Angle) {
    let azimuth = Angle::from_radians(maths::atan2_quick(vector.x, vector.y)).wrapped_positive();
    (azimuth, Angle::from_radians(maths::atan2_quick(vector.z, level_part(vector))))
}

/// The equatorial unit vector of an hour angle and a declination.
pub fn equatorial_direction(hour: Angle, declination: Angle) -> Vector3<f64> {
    let (sh, ch) = hour.sin_cos();
    let (sd, cd) = declination.sin_cos();
    Vector3::new(cd * ch, -cd * sh, sd)
}

/// Hour angle within (−half turn, half turn] and declination of an equatorial vector of any length.
pub fn hour_and_declination(vector: &Vector3<f64>) -> (Angle, Angle) {
    // A southern meridian point has y = −0 or +0; either must give +half a turn.
    let hour = Angle::atan2(-vector.y, vector.x).wrapped_signed();
    (hour, Angle::atan2(vector.z, level_part(vector)))
}

/// The turn of a base whose vertical axis leans to the north and to the east by these angles.
///
/// The exact rotation about one level axis (formula of Rodrigues), so the two leans have no order.
pub fn lean_rotation(north: Angle, east: Angle) -> Matrix3<f64> {
    let vector = Vector3::new(-north.radians(), east.radians(), 0.0);
    let size = vector.norm();
    if size == 0.0 {
        return Matrix3::identity();
    }
    let k = (vector / size).cross_matrix();
    let (s, c) = maths::sincos(size);
    Matrix3::identity() + k * s + k * k * (1.0 - c)
}

/// The angle between two vectors, within [0, half a turn]; well conditioned at both ends.
pub fn separation(a: &Vector3<f64>, b: &Vector3<f64>) -> Angle {
    Angle::atan2(a.cross(b).norm(), a.dot(b))
}

/// The way from one direction to another as components east and north of a pole, seen at `from`.
///
/// Its length is that of the great circle between the two, its direction the bearing at `from`: a projection that
/// keeps distance and bearing from the point that it is centred on. East is the sense in which hour angle
/// falls. All three are unit vectors of one frame. At the pole itself, where no bearing exists, a fixed one is used; the
/// way to the opposite point is called north.
pub fn tangent_offset(from: &Vector3<f64>, to: &Vector3<f64>, pole: &Vector3<f64>) -> (Angle, Angle) {
    let across = pole.cross(from);
    let east = if across.norm_squared() > 0.0 { across.normalize() } else { any_square_to(from) };
    let north = from.cross(&east);
    let (e, n) = (to.dot(&east), to.dot(&north));
    let sine = (e * e + n * n).sqrt();
    let length = maths::atan2(sine, from.dot(to));
    if sine == 0.0 {
        return (Angle::ZERO, Angle::from_radians(length));
    }
    let scale = length / sine;
    (Angle::from_radians(e * scale), Angle::from_radians(n * scale))
}

/// The length of a vector's part in the x–y plane.
#[inline]
pub(crate) fn level_part(vector: &Vector3<f64>) -> f64 {
    (vector.x * vector.x + vector.y * vector.y).sqrt()
}

/// Some unit vector square to this one.
fn any_square_to(vector: &Vector3<f64>) -> Vector3<f64> {
    let other = if vector.x.abs() < 0.5 { Vector3::x() } else { Vector3::y() };
    other.cross(vector).normalize()
}
