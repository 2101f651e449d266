//! The Moon's phase and age.

use crate::{Body, Geocentre, Source, Track};
use nalgebra::Vector3;
use std::sync::Arc;
use units::{Angle, Instant, Span};

/// Mean length of a lunation in days (Chapront-Touzé & Chapront 1988, constant term).
const SYNODIC_DAYS: f64 = 29.530_588_86;

/// Obliquity of the ecliptic at J2000.0 (IAU 2006). Its change, 13″ in a hundred years, alters the difference of two
/// longitudes by less than a thousandth of a degree.
const OBLIQUITY: Angle = Angle::from_arcsec(84_381.406);

/// The four phases that have an instant: when Moon and Sun differ by 0°, 90°, 180°, 270° in ecliptic longitude, seen from
/// the Earth's centre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quarter {
    /// Moon and Sun in the same longitude.
    New,
    /// The Moon a quarter of the way round.
    First,
    /// The Moon opposite to the Sun.
    Full,
    /// The Moon three quarters of the way round.
    Last,
}

impl Quarter {
    /// In the order of time.
    pub const ALL: [Self; 4] = [Self::New, Self::First, Self::Full, Self::Last];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::New => "new Moon",
            Self::First => "first quarter",
            Self::Full => "full Moon",
            Self::Last => "last quarter",
        }
    }

    fn elongation(self) -> Angle {
        match self {
            Self::New => Angle::ZERO,
            Self::First => Angle::QUARTER,
            Self::Full => Angle::HALF,
            Self::Last => Angle::HALF + Angle::QUARTER,
        }
    }
}

/// How the Moon is lit at an instant, seen from the Earth's centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoonPhase {
    /// How far the Moon is ahead of the Sun in ecliptic longitude, 0 to one turn.
    pub ahead_of_sun: Angle,
    /// The part of the disc that is lit, 0 to 1.
    pub illuminated: f64,
    /// Time since the last new Moon.
    pub age: Span,
}

impl MoonPhase {
    /// In words: the four instants have a day's width, and the stretches between them names of their own.
    pub fn words(&self) -> &'static str {
        // Half a day of the Moon's mean motion against the Sun.
        let width = Angle::from_degrees(6.1);
        for quarter in Quarter::ALL {
            if (self.ahead_of_sun - quarter.elongation()).wrapped_signed().abs() <= width {
                return quarter.words();
            }
        }
        match self.ahead_of_sun.degrees() {
            young if young < 90.0 => "waxing crescent",
            grown if grown < 180.0 => "waxing gibbous",
            past if past < 270.0 => "waning gibbous",
            _ => "waning crescent",
        }
    }
}

/// Sun and Moon over the hours of a geocentre.
struct Pair {
    geocentre: Arc<Geocentre>,
    sun: Track,
    moon: Track,
}

impl Pair {
    fn new(geocentre: &Arc<Geocentre>) -> Self {
        let track = |body| geocentre.track(&Source::Body(body));
        Self { geocentre: Arc::clone(geocentre), sun: track(Body::Sun), moon: track(Body::Moon) }
    }

    /// The Moon's longitude minus the Sun's, 0 to one turn.
    fn ahead(&self, instant: Instant) -> Angle {
        let origins = self.geocentre.equation_of_origins(instant);
        let longitude = |track: &Track| ecliptic_longitude(&track.cirs(instant).direction, origins);
        (longitude(&self.moon) - longitude(&self.sun)).wrapped_positive()
    }

    /// The instant near `guess` at which the Moon is ahead by an angle.
    fn when(&self, ahead: Angle, guess: Instant) -> Instant {
        let days = |span: f64| Span::from_seconds(span * 86_400.0);
        let mut instant = guess;
        // The Moon's rate strays by an eighth from its mean, so each pass gains nearly a digit; twelve of them reach
        // the millisecond that the last one can move.
        for _ in 0..12 {
            let missing = (ahead - self.ahead(instant)).wrapped_signed();
            instant += days(missing / Angle::TURN * SYNODIC_DAYS);
        }
        instant
    }
}

/// Longitude on the ecliptic of a direction in the celestial intermediate frame.
fn ecliptic_longitude(direction: &Vector3<f64>, equation_of_origins: Angle) -> Angle {
    // From the intermediate origin to the equinox, then from the equator to the ecliptic.
    let (sin, cos) = equation_of_origins.sin_cos();
    let x = cos * direction.x + sin * direction.y;
    let y = cos * direction.y - sin * direction.x;
    let (sin_obliquity, cos_obliquity) = OBLIQUITY.sin_cos();
    Angle::atan2(cos_obliquity * y + sin_obliquity * direction.z, x)
}

/// The Moon's phase at an instant.
///
/// The illuminated part is (1 + cos i)/2 with the phase angle i at the Moon between Sun and Earth (Meeus, Astronomical
/// Algorithms, 2nd edition, chapter 48), from the bodies' places and distances.
pub fn moon_phase(geocentre: &Arc<Geocentre>, instant: Instant) -> MoonPhase {
    let pair = Pair::new(geocentre);
    let ahead_of_sun = pair.ahead(instant);
    let (moon, sun) = (vector(&pair.moon, instant), vector(&pair.sun, instant));
    let phase_cosine = (moon - sun).normalize().dot(&moon.normalize());
    let guess = ahead_of_sun / Angle::TURN * SYNODIC_DAYS;
    let mut new_moon = pair.when(Angle::ZERO, instant - Span::from_seconds(guess * 86_400.0));
    if new_moon > instant {
        new_moon = pair.when(Angle::ZERO, new_moon - Span::from_seconds(SYNODIC_DAYS * 86_400.0));
    }
    MoonPhase { ahead_of_sun, illuminated: (1.0 + phase_cosine) / 2.0, age: instant - new_moon }
}

/// The next instant of a quarter after an instant.
pub fn next_quarter(geocentre: &Arc<Geocentre>, quarter: Quarter, after: Instant) -> Instant {
    let pair = Pair::new(geocentre);
    let missing = (quarter.elongation() - pair.ahead(after)).wrapped_positive();
    let days = missing / Angle::TURN * SYNODIC_DAYS;
    let found = pair.when(quarter.elongation(), after + Span::from_seconds(days * 86_400.0));
    if found > after {
        return found;
    }
    pair.when(quarter.elongation(), found + Span::from_seconds(SYNODIC_DAYS * 86_400.0))
}

pub(super) fn vector(track: &Track, instant: Instant) -> Vector3<f64> {
    let place = track.cirs(instant);
    place.direction * place.distance_au.unwrap_or(1.0)
}
