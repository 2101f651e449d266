//! How bright and how large the bodies of the solar system appear.
//!
//! Planets: A. Mallama and J. L. Hilton, "Computing apparent planetary magnitudes for The Astronomical Almanac", Astronomy and
//! Computing 25 (2018), 10–24, V magnitudes for circumstances seen from the Earth. Left out: the face that Mars turns to us
//! (up to 0.06 magnitudes). The Moon: C. W. Allen, Astrophysical Quantities, 3rd edition, §66, by phase angle, scaled with the
//! distances (from memory). The Sun: V −26.76 at one astronomical unit (Willmer 2018, from memory).

use super::moon::vector;
use crate::{Body, Geocentre, Source, StarPlace};
use nalgebra::Vector3;
use std::sync::Arc;
use units::{Angle, Instant, maths};

/// Metres in an astronomical unit (IAU 2012).
const METRES_PER_AU: f64 = 149_597_870_700.0;
/// Mean distance of the Moon in au, to which its magnitude refers.
const MOON_MEAN_AU: f64 = 384_400e3 / METRES_PER_AU;

/// Circumstances on which a magnitude depends.
struct Circumstances {
    /// Distance from the Sun, au.
    from_sun: f64,
    /// Distance from the Earth, au.
    from_earth: f64,
    /// Angle at the body between Sun and Earth, degrees.
    phase: f64,
}

/// Apparent V magnitude of a body seen from the Earth's centre. `None` where the series doesn't reach: Venus within
/// half a degree of inferior conjunction's dark side (phase angle over 179°) and Mercury likewise (over 170°).
pub fn magnitude(geocentre: &Arc<Geocentre>, body: Body, instant: Instant) -> Option<f64> {
    let place = vector(&geocentre.track(&Source::Body(body)), instant);
    let distance = place.norm();
    if body == Body::Sun {
        return Some(-26.76 + 5.0 * maths::log10(distance));
    }
    let sun = vector(&geocentre.track(&Source::Body(Body::Sun)), instant);
    let from_sun = place - sun;
    let seen = Circumstances {
        from_sun: from_sun.norm(),
        from_earth: distance,
        phase: maths::atan2(from_sun.cross(&place).norm(), from_sun.dot(&place)) / maths::PI * 180.0,
    };
    let at_unit = match body {
        Body::Sun => unreachable!("the Sun was dealt with above"),
        Body::Moon => return Some(moon(&seen)),
        Body::Mercury => mercury(seen.phase)?,
        Body::Venus => venus(seen.phase)?,
        Body::Mars => mars(seen.phase),
        Body::Jupiter => -9.395 + power_series(seen.phase, &[0.0, -3.7e-4, 6.16e-4]),
        Body::Saturn => {
            let pole = pole_direction(geocentre, instant, SATURN_POLE_DEG);
            saturn(seen.phase, latitude_under(&from_sun, &pole), latitude_under(&place, &pole))
        }
        Body::Uranus => {
            let pole = pole_direction(geocentre, instant, URANUS_POLE_DEG);
            let [sun_side, earth_side] = [&from_sun, &place].map(|line| latitude_under(line, &pole).abs());
            -7.110 - 0.000_84 * (sun_side + earth_side).degrees() / 2.0
        }
        // Neptune brightened up to the year 2000 and stays as it was then.
        Body::Neptune => (-6.89 - 0.0054 * (crate::time::julian_year(instant) - 1980.0)).clamp(-7.00, -6.89),
    };
    Some(at_unit + 5.0 * maths::log10(seen.from_sun * seen.from_earth))
}

/// Apparent equatorial diameter of a body at a distance in astronomical units. Radii: IAU working group on cartographic
/// coordinates and rotational elements, report of 2015 (Archinal et al. 2018); the Sun's is the IAU's nominal one.
pub fn angular_diameter(body: Body, distance_au: f64) -> Angle {
    let kilometres = match body {
        Body::Sun => 695_700.0,
        Body::Moon => 1_737.4,
        Body::Mercury => 2_440.53,
        Body::Venus => 6_051.8,
        Body::Mars => 3_396.19,
        Body::Jupiter => 71_492.0,
        Body::Saturn => 60_268.0,
        Body::Uranus => 25_559.0,
        Body::Neptune => 24_764.0,
    };
    let sine = (kilometres * 1000.0 / METRES_PER_AU / distance_au).min(1.0);
    Angle::from_radians(2.0 * maths::asin(sine))
}

/// Right ascension and declination of the north poles of rotation, ICRS (the same report).
const SATURN_POLE_DEG: (f64, f64) = (40.589, 83.537);
const URANUS_POLE_DEG: (f64, f64) = (257.311, -15.175);

/// A pole in the frame of the geocentric places, by the way that a star goes.
fn pole_direction(geocentre: &Arc<Geocentre>, instant: Instant, (ra, dec): (f64, f64)) -> Vector3<f64> {
    let place = StarPlace::fixed(Angle::from_degrees(ra), Angle::from_degrees(dec));
    geocentre.track(&Source::Star(place)).cirs(instant).direction
}

/// Planetocentric latitude under a line that comes from Sun or Earth.
fn latitude_under(line: &Vector3<f64>, pole: &Vector3<f64>) -> Angle {
    Angle::from_radians(maths::asin(-line.normalize().dot(pole)))
}

/// a₀ + a₁x + a₂x² + …
fn power_series(x: f64, coefficients: &[f64]) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, coefficient| sum * x + coefficient)
}

fn moon(seen: &Circumstances) -> f64 {
    let phase = power_series(seen.phase, &[0.0, 0.026, 0.0, 0.0, 4e-9]);
    -12.73 + phase + 5.0 * maths::log10(seen.from_sun * seen.from_earth / MOON_MEAN_AU)
}

fn mercury(phase: f64) -> Option<f64> {
    const SERIES: [f64; 7] = [-0.613, 6.3280e-2, -1.6336e-3, 3.3644e-5, -3.4265e-7, 1.6893e-9, -3.0334e-12];
    (phase <= 170.0).then(|| power_series(phase, &SERIES))
}

fn venus(phase: f64) -> Option<f64> {
    if phase < 163.7 {
        Some(power_series(phase, &[-4.384, -1.044e-3, 3.687e-4, -2.814e-6, 8.938e-9]))
    } else {
        (phase <= 179.0).then(|| power_series(phase, &[236.058_28, -2.819_14, 8.390_34e-3]))
    }
}

fn mars(phase: f64) -> f64 {
    if phase <= 50.0 {
        power_series(phase, &[-1.601, 2.267e-2, -1.302e-4])
    } else {
        power_series(phase, &[-0.367, -0.025_73, 3.445e-4])
    }
}

/// Globe and rings; the rings count only where Sun and Earth look at the same side of them.
fn saturn(phase: f64, sun_latitude: Angle, earth_latitude: Angle) -> f64 {
    let product = sun_latitude.degrees() * earth_latitude.degrees();
    let opening = Angle::from_degrees(product.max(0.0).sqrt()).sin();
    -8.914 - 1.825 * opening + 0.026 * phase - 0.378 * opening * maths::exp(-2.25 * phase)
}
