//! The drift method: a mount that turns exactly at the sidereal rate about a wrong axis lets stars drift, and the drift
//! tells the axis.
//!
//! First order (derived from the chain; tests hold it against the exact one): a star at hour angle H and declination δ moves in
//! the field, east and north positive, by
//! north = −ω (ΔA cos φ cos H + Δa sin H) and east = −ω sin δ (Δa cos H − ΔA cos φ sin H).

use crate::polar::PolarError;
use kinematics::frames;
use nalgebra::{Matrix2, Vector2, Vector3};
use units::{Angle, AngularRate, Span};

/// A drift in the field: east and north components.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Drift {
    /// To the east, as a rate on the sky.
    pub east: AngularRate,
    /// To the north.
    pub north: AngularRate,
}

/// The drift that an axis error (of the north end: up, east) causes.
pub fn drift_of_axis(
    latitude: Angle,
    hour: Angle,
    declination: Angle,
    altitude: Angle,
    azimuth: Angle,
) -> Drift {
    let (sine, cosine) = hour.sin_cos();
    let east_swing = azimuth.radians() * latitude.cos();
    let up = altitude.radians();
    Drift {
        east: AngularRate::SIDEREAL * (-declination.sin() * (up * cosine - east_swing * sine)),
        north: AngularRate::SIDEREAL * -(east_swing * cosine + up * sine),
    }
}

/// Azimuth error of the axis's north end from the north drift of a star near the meridian.
pub fn azimuth_from_meridian_star(latitude: Angle, north: AngularRate) -> Angle {
    Angle::from_radians(-(north / AngularRate::SIDEREAL) / latitude.cos())
}

/// Altitude error of the axis's north end from the north drift of a star at this hour angle, best near six hours east or west.
pub fn altitude_from_side_star(hour: Angle, north: AngularRate) -> Angle {
    Angle::from_radians(-(north / AngularRate::SIDEREAL) / hour.sin())
}

/// How long to watch until an axis error (as a length on the sky) has moved a well placed star by what can just be seen.
pub fn watching_time(error: Angle, detectable: Angle) -> Span {
    Span::from_seconds(detectable.radians() / (error.radians().abs() * AngularRate::SIDEREAL.radians()))
}

/// One star watched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watched {
    /// Its hour angle, half-way through.
    pub hour: Angle,
    /// Its declination.
    pub declination: Angle,
    /// How it drifted, what refraction does (see [`drift_of_refraction`]) taken off.
    pub drift: Drift,
    /// One standard deviation of each component.
    pub sigma: AngularRate,
    /// Whether the east component counts: without a known clock rate it tells of the crystal rather than of the axis.
    pub with_east: bool,
}

/// Axis error (north end: up, east) and its standard deviations, from the drift of two stars or more.
///
/// # Errors
/// [`PolarError::BadStars`] if the stars don't show both errors.
pub fn axis_from_drift(latitude: Angle, watched: &[Watched]) -> Result<[(Angle, Angle); 2], PolarError> {
    let mut information = Matrix2::zeros();
    let mut gradient = Vector2::zeros();
    let unit = Angle::from_radians(1.0);
    for star in watched {
        let up = drift_of_axis(latitude, star.hour, star.declination, unit, Angle::ZERO);
        let over = drift_of_axis(latitude, star.hour, star.declination, Angle::ZERO, unit);
        let precision = 1.0 / (star.sigma.radians() * star.sigma.radians());
        let mut add = |row: Vector2<f64>, seen: f64| {
            information += row * row.transpose() * precision;
            gradient += row * seen * precision;
        };
        add(Vector2::new(up.north.radians(), over.north.radians()), star.drift.north.radians());
        if star.with_east {
            add(Vector2::new(up.east.radians(), over.east.radians()), star.drift.east.radians());
        }
    }
    // Scaled to columns of one, a determinant near nought says that only one combination is seen.
    let scale = information[(0, 0)] * information[(1, 1)];
    let determinant = information.determinant();
    if determinant.is_nan() || determinant <= 1e-4 * scale {
        return Err(PolarError::BadStars);
    }
    let covariance = information.try_inverse().ok_or(PolarError::BadStars)?;
    let found = covariance * gradient;
    let pair =
        |k: usize| (Angle::from_radians(found[k]), Angle::from_radians(covariance[(k, k)].max(0.0).sqrt()));
    Ok([pair(0), pair(1)])
}

/// The drift that refraction alone causes on a perfect axis turning at the sidereal rate, by differencing over two minutes.
///
/// `refract` carries an airless direction (east, north, up) to the observed one.
pub fn drift_of_refraction(
    latitude: Angle,
    hour: Angle,
    declination: Angle,
    refract: impl Fn(&Vector3<f64>) -> Vector3<f64>,
) -> Drift {
    let to_sky = frames::equatorial_to_topocentric(latitude);
    let seconds = 60.0;
    let half = AngularRate::SIDEREAL.radians() * seconds;
    // In the frame that turns with the mount the airless star stands still; what moves is the lifted one.
    let lifted = |turn: f64| {
        let turned = hour + Angle::from_radians(turn);
        let airless = to_sky * frames::equatorial_direction(turned, declination);
        let equatorial = to_sky.transpose() * refract(&airless);
        frames::rz(Angle::from_radians(turn)) * equatorial
    };
    let (before, after) = (lifted(-half), lifted(half));
    let (east, north) = frames::tangent_offset(&before, &after, &Vector3::z());
    let rate = |angle: Angle| AngularRate::from_radians(angle.radians() / (2.0 * seconds));
    Drift { east: rate(east), north: rate(north) }
}
