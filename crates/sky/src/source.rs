//! What can be looked at: stars and the bodies of the solar system.

use crate::library::DAYS_PER_YEAR;
use crate::time;
use nalgebra::Vector3;
use units::{Angle, Instant};

/// A star's catalogue place: International Celestial Reference System, epoch J2000.0.
///
/// Radial velocity is taken as nothing: no catalogue used here carries it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StarPlace {
    /// Right ascension.
    pub ra: Angle,
    /// Declination.
    pub dec: Angle,
    /// Proper motion in right ascension along the sky (times cos δ), in one Julian year.
    pub pm_ra_cosdec: Angle,
    /// Proper motion in declination, in one Julian year.
    pub pm_dec: Angle,
    /// Parallax; a negative one (noise of the catalogue) counts as none.
    pub parallax: Angle,
}

impl StarPlace {
    /// A place that doesn't move: no proper motion, no parallax.
    pub fn fixed(right_ascension: Angle, declination: Angle) -> Self {
        Self { ra: right_ascension, dec: declination, ..Self::default() }
    }

    /// Parallax in radians, never negative.
    pub(crate) fn parallax_radians(&self) -> f64 {
        self.parallax.radians().max(0.0)
    }

    /// Unit vector of the place at J2000.0 and its motion in one Julian year, without radial velocity.
    pub(crate) fn vectors(&self) -> (Vector3<f64>, Vector3<f64>) {
        let (sin_ra, cos_ra) = self.ra.sin_cos();
        let (sin_dec, cos_dec) = self.dec.sin_cos();
        let east = Vector3::new(-sin_ra, cos_ra, 0.0);
        let north = Vector3::new(-sin_dec * cos_ra, -sin_dec * sin_ra, cos_dec);
        let place = Vector3::new(cos_dec * cos_ra, cos_dec * sin_ra, sin_dec);
        (place, east * self.pm_ra_cosdec.radians() + north * self.pm_dec.radians())
    }
}

/// Right ascension (0 to one turn) and declination of a star at an instant: proper motion applied, no parallax,
/// nothing else. Catalogue axes (ICRS).
pub fn icrs_at(star: &StarPlace, instant: Instant) -> (Angle, Angle) {
    let (place, motion) = star.vectors();
    equatorial(&(place + motion * years_since_j2000(instant)))
}

/// Julian years of Terrestrial Time since J2000.0.
pub(crate) fn years_since_j2000(instant: Instant) -> f64 {
    let (day, fraction) = time::julian_tt(instant);
    ((day - crate::library::J2000) + fraction) / DAYS_PER_YEAR
}

/// Longitude-like angle (0 to one turn) and latitude-like angle of a vector of any length.
pub fn equatorial(direction: &Vector3<f64>) -> (Angle, Angle) {
    let across = (direction.x * direction.x + direction.y * direction.y).sqrt();
    (Angle::atan2(direction.y, direction.x).wrapped_positive(), Angle::atan2(direction.z, across))
}

/// Unit vector of a right ascension and declination: the inverse of [`equatorial`].
pub fn direction(right_ascension: Angle, declination: Angle) -> Vector3<f64> {
    StarPlace::fixed(right_ascension, declination).vectors().0
}

/// The bodies of the solar system that a visual observer looks at.
///
/// Jupiter to Neptune are the centres of mass of their systems.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Body {
    /// The Sun.
    Sun,
    /// The Moon.
    Moon,
    /// Mercury.
    Mercury,
    /// Venus.
    Venus,
    /// Mars.
    Mars,
    /// Jupiter.
    Jupiter,
    /// Saturn.
    Saturn,
    /// Uranus.
    Uranus,
    /// Neptune.
    Neptune,
}

impl Body {
    /// All of them, from the Sun outwards with the Moon second.
    pub const ALL: [Self; 9] = [
        Self::Sun,
        Self::Moon,
        Self::Mercury,
        Self::Venus,
        Self::Mars,
        Self::Jupiter,
        Self::Saturn,
        Self::Uranus,
        Self::Neptune,
    ];

    /// Its English name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Sun => "Sun",
            Self::Moon => "Moon",
            Self::Mercury => "Mercury",
            Self::Venus => "Venus",
            Self::Mars => "Mars",
            Self::Jupiter => "Jupiter",
            Self::Saturn => "Saturn",
            Self::Uranus => "Uranus",
            Self::Neptune => "Neptune",
        }
    }

    /// The body of that English name, whatever its case and the blanks around it.
    pub fn find(name: &str) -> Option<Self> {
        let name = name.trim();
        Self::ALL.into_iter().find(|body| body.name().eq_ignore_ascii_case(name))
    }
}

impl std::fmt::Display for Body {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

/// Something to look at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Source {
    /// A star or anything else that is fixed among the stars.
    Star(StarPlace),
    /// A body of the solar system.
    Body(Body),
}
