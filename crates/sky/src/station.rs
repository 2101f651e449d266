//! A site with its air: the exact step from a geocentric place to the sky overhead.

use crate::library;
use crate::refraction::Refraction;
use crate::site::{Air, Site};
use crate::time;
use crate::track::CirsPlace;
use crate::{Geocentre, Observed};
use nalgebra::Vector3;
use std::sync::OnceLock;
use units::{Angle, AngularRate, Instant, Span, maths};

/// Part of a turn that the Earth stood at J2000.0, and its turns per UT1 day beyond one (IERS Conventions 2010,
/// equation 5.15).
const TURNS_AT_J2000: f64 = 0.779_057_273_264_0;
/// Written out because one and this in one number would drop three digits that a century brings back.
const TURNS_BEYOND_ONE: f64 = 0.002_737_811_911_354_48;
const NANOSECONDS_PER_DAY: i64 = 86_400_000_000_000;

/// Parts into which a turn is cut for sine and cosine: what is left is below 0.05 rad.
const PARTS: usize = 64;

/// Site, air and the Earth's rotation, with every constant of the topocentric step prepared.
///
/// The step is exact at each instant: Earth rotation angle from UT1, the subtraction of the site's geocentric position
/// (for bodies with a distance), diurnal aberration, the turn to the horizon, refraction. Polar motion is nothing.
///
/// Vectors are (east, north, up).
#[derive(Clone, Debug)]
pub struct Station {
    site: Site,
    air: Air,
    ut1_minus_tai: Span,
    refraction: Refraction,
    /// Sine and cosine of the geodetic latitude.
    latitude: (f64, f64),
    /// The site from the Earth's centre in au, in the frame of its own meridian (x outwards from the axis, z north).
    position: Vector3<f64>,
    /// Speed of the site's rotation as a part of the speed of light.
    rotation_speed: f64,
    /// Longitude in turns.
    longitude_turns: f64,
    /// Sine and cosine of each part of a turn.
    circle: &'static [(f64, f64); PARTS],
}

impl Station {
    /// A station; `ut1_minus_tai` is [`time::ut1_minus_tai`] at the night's begin.
    pub fn new(site: Site, air: Air, ut1_minus_tai: Span) -> Self {
        let geocentric = library::geocentric_position(0.0, site.latitude().radians(), site.height().metres());
        let per_second = maths::TAU * AngularRate::SIDEREAL_TURNS_PER_UT1_DAY / 86_400.0;
        static CIRCLE: OnceLock<[(f64, f64); PARTS]> = OnceLock::new();
        let part = |part: usize| maths::sincos(maths::TAU * part as f64 / PARTS as f64);
        Self {
            site,
            air,
            ut1_minus_tai,
            refraction: refraction_of(&air),
            latitude: site.latitude().sin_cos(),
            position: geocentric / library::METRES_PER_AU,
            rotation_speed: per_second * geocentric.x / library::LIGHT_METRES_PER_SECOND,
            longitude_turns: site.longitude() / Angle::TURN,
            circle: CIRCLE.get_or_init(|| std::array::from_fn(part)),
        }
    }

    /// The site.
    pub fn site(&self) -> &Site {
        &self.site
    }

    /// The air.
    pub fn air(&self) -> &Air {
        &self.air
    }

    /// UT1 − TAI.
    pub fn ut1_minus_tai(&self) -> Span {
        self.ut1_minus_tai
    }

    /// Sine and cosine of the latitude.
    pub fn latitude_sin_cos(&self) -> (f64, f64) {
        self.latitude
    }

    /// Where a geocentric place stands in this station's sky.
    #[inline]
    pub fn observe(&self, place: &CirsPlace, instant: Instant) -> Observed {
        let airless = self.airless(place, instant);
        Observed { airless, refracted: self.refraction.apply(&airless) }
    }

    /// The same without air: topocentric direction, diurnal aberration included.
    #[inline]
    pub fn airless(&self, place: &CirsPlace, instant: Instant) -> Vector3<f64> {
        let (sin, cos) = self.local_rotation(instant);
        let d = &place.direction;
        // The frame of the meridian: x towards its crossing of the equator, y east, z towards the pole.
        let mut local = Vector3::new(cos * d.x + sin * d.y, cos * d.y - sin * d.x, d.z);
        if let Some(distance) = place.distance_au {
            local = (local * distance - self.position).normalize();
        }
        let speed = self.rotation_speed;
        // First order of the library's step, whose neglect is 1e-12.
        let f = 1.0 - speed * local.y;
        let (x, y, z) = (f * local.x, f * (local.y + speed), f * local.z);
        let (sin_latitude, cos_latitude) = self.latitude;
        Vector3::new(y, cos_latitude * z - sin_latitude * x, cos_latitude * x + sin_latitude * z)
    }

    /// From a direction without air to the observed one.
    #[inline]
    pub fn refract(&self, airless: &Vector3<f64>) -> Vector3<f64> {
        self.refraction.apply(airless)
    }

    /// From an observed direction to the one without air: the exact inverse of [`Station::refract`].
    pub fn unrefract(&self, observed: &Vector3<f64>) -> Vector3<f64> {
        self.refraction.undo(observed)
    }

    /// The direction in the celestial intermediate frame of something infinitely far away that is observed in a
    /// direction: refraction, rotation and diurnal aberration undone.
    pub fn cirs_from_observed(&self, observed: &Vector3<f64>, instant: Instant) -> Vector3<f64> {
        self.cirs_from_airless(&self.unrefract(observed), instant)
    }

    /// The same from a direction without air.
    pub fn cirs_from_airless(&self, airless: &Vector3<f64>, instant: Instant) -> Vector3<f64> {
        let (sin_latitude, cos_latitude) = self.latitude;
        let moved = Vector3::new(
            cos_latitude * airless.z - sin_latitude * airless.y,
            airless.x,
            cos_latitude * airless.y + sin_latitude * airless.z,
        );
        // The direction before aberration is a unit vector u with u + speed·east along `moved`.
        let (speed, squared) = (self.rotation_speed, moved.norm_squared());
        let along = speed * moved.y;
        let k = (along + (along * along + squared * (1.0 - speed * speed)).sqrt()) / squared;
        let local = Vector3::new(moved.x * k, moved.y * k - speed, moved.z * k);
        let (sin, cos) = self.local_rotation(instant);
        Vector3::new(cos * local.x - sin * local.y, sin * local.x + cos * local.y, local.z)
    }

    /// Astrometric right ascension and declination (ICRS, as for a star without parallax) of what is observed in a
    /// direction: the inverse of the whole chain.
    pub fn icrs_from_observed(
        &self,
        geocentre: &Geocentre,
        observed: &Vector3<f64>,
        instant: Instant,
    ) -> (Angle, Angle) {
        geocentre.icrs_from_cirs(&self.cirs_from_observed(observed, instant), instant)
    }

    /// Earth rotation angle at longitude zero, 0 to one turn.
    pub fn era(&self, instant: Instant) -> Angle {
        (Angle::TURN * self.rotation_turns(instant)).wrapped_positive()
    }

    /// Greenwich mean sidereal time (IAU 2006), 0 to one turn.
    pub fn gmst(&self, instant: Instant) -> Angle {
        Angle::from_radians(self.sidereal_times(instant).0)
    }

    /// Greenwich apparent sidereal time (IAU 2006/2000A), 0 to one turn. A thirty-microsecond affair: for many
    /// instants take [`Station::era`] and [`Geocentre::equation_of_origins`].
    pub fn gast(&self, instant: Instant) -> Angle {
        Angle::from_radians(self.sidereal_times(instant).1)
    }

    /// Local apparent sidereal time, 0 to one turn: the right ascension, on the true equator and equinox of date, that
    /// stands on the meridian.
    pub fn last(&self, instant: Instant) -> Angle {
        (self.gast(instant) + self.site.longitude()).wrapped_positive()
    }

    fn sidereal_times(&self, instant: Instant) -> (f64, f64) {
        library::sidereal_times(time::julian_ut1(instant, self.ut1_minus_tai), time::julian_tt(instant))
    }

    /// The Earth's rotation in turns, whole ones of UT1 days left out.
    #[inline]
    fn rotation_turns(&self, instant: Instant) -> f64 {
        let ut1 = instant.nanoseconds() + self.ut1_minus_tai.nanoseconds();
        let days = ut1.div_euclid(NANOSECONDS_PER_DAY);
        let part = (ut1 - days * NANOSECONDS_PER_DAY) as f64 * (1.0 / NANOSECONDS_PER_DAY as f64);
        part + TURNS_AT_J2000 + TURNS_BEYOND_ONE * (days as f64 + part)
    }

    /// Sine and cosine of the local Earth rotation angle.
    #[inline]
    fn local_rotation(&self, instant: Instant) -> (f64, f64) {
        let parts = (self.rotation_turns(instant) + self.longitude_turns) * PARTS as f64;
        // Whole turns are whole multiples of the parts, so the low bits are the part's number.
        let (part, bits) = maths::nearest_whole(parts);
        let (sin_part, cos_part) = self.circle[(bits % PARTS as u64) as usize];
        let (sin_rest, cos_rest) = maths::sincos_tiny((parts - part) * (maths::TAU / PARTS as f64));
        (sin_part * cos_rest + cos_part * sin_rest, cos_part * cos_rest - sin_part * sin_rest)
    }
}

/// The refraction constants of some air; none without pressure.
pub(crate) fn refraction_of(air: &Air) -> Refraction {
    let (a, b) = library::refraction_constants(
        air.pressure().hectopascals(),
        air.temperature().celsius(),
        air.humidity().fraction(),
        air.wavelength_micrometres(),
    );
    Refraction { a, b }
}
