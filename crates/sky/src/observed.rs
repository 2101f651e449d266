//! A direction in a station's sky, and the angles that are read off it when somebody asks.

use crate::Station;
use nalgebra::Vector3;
use units::{Angle, maths};

/// Where something stands: two unit vectors (east, north, up).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observed {
    /// Topocentric direction without air.
    pub airless: Vector3<f64>,
    /// Direction as the eye sees it, refraction in.
    pub refracted: Vector3<f64>,
}

impl Observed {
    /// Azimuth as seen, from north through east, 0 to one turn. Refraction leaves it as it was.
    pub fn azimuth(&self) -> Angle {
        azimuth(&self.refracted)
    }

    /// Altitude as seen.
    pub fn altitude(&self) -> Angle {
        altitude(&self.refracted)
    }

    /// Azimuth without air, from north through east, 0 to one turn.
    pub fn airless_azimuth(&self) -> Angle {
        azimuth(&self.airless)
    }

    /// Altitude without air.
    pub fn airless_altitude(&self) -> Angle {
        altitude(&self.airless)
    }

    /// Hour angle as seen, west positive, up to half a turn, about the true pole.
    pub fn hour_angle(&self, station: &Station) -> Angle {
        hour_angle_and_declination(&self.refracted, station).0
    }

    /// Declination as seen, from the true equator.
    pub fn declination(&self, station: &Station) -> Angle {
        hour_angle_and_declination(&self.refracted, station).1
    }

    /// Hour angle without air.
    pub fn airless_hour_angle(&self, station: &Station) -> Angle {
        hour_angle_and_declination(&self.airless, station).0
    }

    /// Declination without air.
    pub fn airless_declination(&self, station: &Station) -> Angle {
        hour_angle_and_declination(&self.airless, station).1
    }

    /// Parallactic angle as seen.
    pub fn parallactic_angle(&self, station: &Station) -> Angle {
        parallactic_angle(&self.refracted, station)
    }

    /// Parallactic angle without air.
    pub fn airless_parallactic_angle(&self, station: &Station) -> Angle {
        parallactic_angle(&self.airless, station)
    }
}

/// The angle of a vector from `x` towards `y`. Components here are those of unit vectors, so the quick one serves.
#[inline]
fn angle(y: f64, x: f64) -> Angle {
    Angle::from_radians(maths::atan2_quick(y, x))
}

/// Azimuth of a vector (east, north, up), from north through east, 0 to one turn; 0 at the zenith.
pub fn azimuth(direction: &Vector3<f64>) -> Angle {
    let azimuth = angle(direction.x, direction.y);
    if azimuth >= Angle::ZERO {
        return azimuth;
    }
    // A hair west of north rounds up to the whole turn, which is north.
    let positive = azimuth + Angle::TURN;
    if positive >= Angle::TURN { Angle::ZERO } else { positive }
}

/// Altitude of a vector (east, north, up).
pub fn altitude(direction: &Vector3<f64>) -> Angle {
    angle(direction.z, (direction.x * direction.x + direction.y * direction.y).sqrt())
}

/// Unit vector (east, north, up) of an azimuth and an altitude.
pub fn horizontal_direction(azimuth: Angle, altitude: Angle) -> Vector3<f64> {
    let (sin_azimuth, cos_azimuth) = azimuth.sin_cos();
    let (sin_altitude, cos_altitude) = altitude.sin_cos();
    Vector3::new(cos_altitude * sin_azimuth, cos_altitude * cos_azimuth, sin_altitude)
}

/// Hour angle (west positive, in (−half, +half] a turn) and declination of a vector (east, north, up).
pub fn hour_angle_and_declination(direction: &Vector3<f64>, station: &Station) -> (Angle, Angle) {
    let (sin_latitude, cos_latitude) = station.latitude_sin_cos();
    let south_of_pole = cos_latitude * direction.z - sin_latitude * direction.y;
    let along_axis = cos_latitude * direction.y + sin_latitude * direction.z;
    let across = (south_of_pole * south_of_pole + direction.x * direction.x).sqrt();
    let hour_angle = angle(-direction.x, south_of_pole);
    // Due north below the pole is half a turn, on the positive side.
    let hour_angle = if hour_angle <= -Angle::HALF { Angle::HALF } else { hour_angle };
    (hour_angle, angle(along_axis, across))
}

/// Unit vector (east, north, up) of an hour angle and a declination: the inverse of [`hour_angle_and_declination`].
pub fn equatorial_direction(hour_angle: Angle, declination: Angle, station: &Station) -> Vector3<f64> {
    let (sin_latitude, cos_latitude) = station.latitude_sin_cos();
    let (sin_hour, cos_hour) = hour_angle.sin_cos();
    let (sin_dec, cos_dec) = declination.sin_cos();
    let (x, z) = (cos_dec * cos_hour, sin_dec);
    Vector3::new(
        -cos_dec * sin_hour,
        cos_latitude * z - sin_latitude * x,
        cos_latitude * x + sin_latitude * z,
    )
}

/// Angle at a direction from the pole's side to the zenith's, positive west of the meridian; in (−half, +half] a
/// turn, 0 at pole and zenith.
///
/// The zenith's components along the sky's east and north at the star, both times cos δ: no angle has to be taken
/// first (the definition: position angle of the zenith).
pub fn parallactic_angle(direction: &Vector3<f64>, station: &Station) -> Angle {
    let (sin_latitude, cos_latitude) = station.latitude_sin_cos();
    let length = direction.norm();
    let along_axis = (cos_latitude * direction.y + sin_latitude * direction.z) / length;
    let east = -cos_latitude * direction.x / length;
    let north = sin_latitude - along_axis * direction.z / length;
    angle(east, north)
}
