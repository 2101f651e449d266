//! Places as seen from the Earth's centre, at whole hours.

use crate::library;
use crate::library::{Context, DAYS_PER_AU, Planet};
use crate::source::{Body, Source, StarPlace, equatorial};
use crate::time;
use crate::track::{Cubic, Intervals, Track};
use nalgebra::Vector3;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock, PoisonError, RwLock};
use units::{Angle, Instant};

const NANOSECONDS_PER_HOUR: i64 = 3_600_000_000_000;

/// Hours of all sources together that are kept for sharing: over a night those of a thousand sources, 2 MB at most. What is
/// asked for beyond them is made anew, to the same bits.
const HOURS_SHARED: usize = 1 << 14;

/// Number of the whole TAI hour at or before an instant, and the part of an hour that has passed since (0 to 1).
#[inline]
pub(crate) fn hour_of(instant: Instant) -> (i64, f64) {
    let nanoseconds = instant.nanoseconds();
    let hour = nanoseconds.div_euclid(NANOSECONDS_PER_HOUR);
    let rest = nanoseconds - hour * NANOSECONDS_PER_HOUR;
    (hour, rest as f64 * (1.0 / NANOSECONDS_PER_HOUR as f64))
}

/// The geocentric contexts of a stretch of time: one at each whole hour of TAI, made when it is first asked for.
///
/// There is no site in it, so nights at many sites share one. Everything that comes out is a pure function of the
/// instant: hours outside the stretch are computed on the spot (slower, not shared), to the same bits.
#[derive(Debug)]
pub struct Geocentre {
    first_hour: i64,
    contexts: Vec<OnceLock<Box<Context>>>,
    /// The places of each source that was asked for.
    shared: RwLock<BTreeMap<Key, Intervals>>,
}

/// A source by the bits of its numbers: only what is the same in all of them shares its places.
type Key = (Option<Body>, [u64; 5]);

fn key(source: &Source) -> Key {
    match source {
        Source::Body(body) => (Some(*body), [0; 5]),
        Source::Star(star) => {
            let StarPlace { ra, dec, pm_ra_cosdec, pm_dec, parallax } = star;
            (None, [ra, dec, pm_ra_cosdec, pm_dec, parallax].map(|angle| angle.radians().to_bits()))
        }
    }
}

impl Geocentre {
    /// Prepares for instants from `begin` to `end` (in either order). Costs eight bytes or so per hour until asked.
    pub fn new(begin: Instant, end: Instant) -> Self {
        let (begin, end) = (begin.min(end), begin.max(end));
        // A cubic needs one knot before its hour and two after it begins.
        let first_hour = hour_of(begin).0 - 1;
        let last_hour = hour_of(end).0 + 2;
        let contexts = (first_hour..=last_hour).map(|_| OnceLock::new()).collect();
        Self { first_hour, contexts, shared: RwLock::default() }
    }

    /// One source's places over the same stretch.
    ///
    /// Tracks of one source share what each of them has computed.
    pub fn track(self: &Arc<Self>, source: &Source) -> Track {
        Track::new(Arc::clone(self), *source, self.first_hour + 1, self.intervals(source))
    }

    fn intervals(&self, source: &Source) -> Intervals {
        let key = key(source);
        let known = self.shared.read().unwrap_or_else(PoisonError::into_inner).get(&key).cloned();
        known.unwrap_or_else(|| {
            let hours = self.contexts.len() - 3;
            let made: Intervals = (0..hours).map(|_| OnceLock::new()).collect();
            let mut shared = self.shared.write().unwrap_or_else(PoisonError::into_inner);
            if (shared.len() + 1) * hours > HOURS_SHARED {
                return made;
            }
            // Another thread may have been first.
            Arc::clone(shared.entry(key).or_insert(made))
        })
    }

    /// Astrometric right ascension and declination (ICRS) of a direction in the celestial intermediate frame at an
    /// instant: precession-nutation, annual aberration and the Sun's light deflection undone.
    pub fn icrs_from_cirs(&self, direction: &Vector3<f64>, instant: Instant) -> (Angle, Angle) {
        let knots = self.knots(instant, |context| {
            let (right_ascension, declination) = context.astrometric(direction);
            crate::source::direction(Angle::from_radians(right_ascension), Angle::from_radians(declination))
        });
        equatorial(&knots)
    }

    /// Earth rotation angle minus Greenwich apparent sidereal time: what is added to a right ascension of the
    /// celestial intermediate frame, with its sign turned, to count it from the true equinox of date.
    pub fn equation_of_origins(&self, instant: Instant) -> Angle {
        let knots = self.knots(instant, |context| Vector3::new(context.equation_of_origins, 0.0, 0.0));
        Angle::from_radians(knots.x)
    }

    /// A function of the context, interpolated by the same cubic as the places.
    fn knots(&self, instant: Instant, value: impl Fn(&Context) -> Vector3<f64>) -> Vector3<f64> {
        let (hour, part) = hour_of(instant);
        Cubic::through(|knot| self.with_context(hour + knot, &value)).at(part)
    }

    /// A source's geocentric place at a whole hour: direction in the celestial intermediate frame, times the distance
    /// in au for bodies (see [`geocentric_vector`]).
    pub(crate) fn knot(&self, source: &Source, hour: i64) -> Vector3<f64> {
        self.with_context(hour, |context| geocentric_vector(context, source))
    }

    fn with_context<T>(&self, hour: i64, answer: impl FnOnce(&Context) -> T) -> T {
        let make = || {
            let instant = Instant::from_nanoseconds(hour.saturating_mul(NANOSECONDS_PER_HOUR));
            Context::geocentric(time::julian_tt(instant))
        };
        let slot = usize::try_from(hour - self.first_hour).ok().and_then(|index| self.contexts.get(index));
        match slot {
            Some(slot) => answer(slot.get_or_init(|| Box::new(make()))),
            None => answer(&make()),
        }
    }
}

/// A source's place in a context: the unit direction of a star, or a body's direction times its distance.
///
/// The distance is the one that light travelled as reckoned in the observer's own moving frame (in the Sun's frame
/// times γ(1 + β·u)): with it, the step from the Earth's centre to a site is a plain subtraction in that frame, exact
/// to the second order of the Earth's speed. With the other distance the Moon would stand up to 0.36″ off.
pub(crate) fn geocentric_vector(context: &Context, source: &Source) -> Vector3<f64> {
    match source {
        Source::Star(star) => star_direction(context, star),
        Source::Body(body) => {
            let place = body_place(context, *body);
            place.direction * place.light_distance
        }
    }
}

/// Direction of a star in the celestial intermediate frame, as the context's observer sees it without air.
///
/// Space motion with the Roemer delay, parallax, light deflection, aberration, precession-nutation: the steps of the
/// SOFA collection's quick star transformation, in vectors, so that no star at a pole loses its motion.
pub(crate) fn star_direction(context: &Context, star: &StarPlace) -> Vector3<f64> {
    let (place, motion) = star.vectors();
    let observer = context.observer();
    let roemer_years = place.dot(&observer) * DAYS_PER_AU / library::DAYS_PER_YEAR;
    let years = context.years() + roemer_years;
    let coordinate = (place + motion * years - observer * star.parallax_radians()).normalize();
    context.cirs(&context.deflected_star(&coordinate))
}

/// Where a body is seen.
pub(crate) struct BodyPlace {
    /// Unit direction in the celestial intermediate frame.
    pub(crate) direction: Vector3<f64>,
    /// Distance by light time in the Sun's frame, au.
    pub(crate) distance: f64,
    /// The same reckoned in the observer's frame, au.
    pub(crate) light_distance: f64,
}

/// A body as the context's observer sees it without air: light time by iteration, the Sun's light deflection for
/// planets, aberration, precession-nutation.
pub(crate) fn body_place(context: &Context, body: Body) -> BodyPlace {
    let observer = context.observer();
    let mut delay = 0.0;
    let mut geometric = Vector3::zeros();
    // The delay changes by the body's speed over light's, 1e-4 at most, so each pass gains four digits.
    for _ in 0..4 {
        geometric = barycentric(context, body, delay) - observer;
        delay = geometric.norm() * DAYS_PER_AU;
    }
    let distance = geometric.norm();
    let mut natural = geometric / distance;
    if !matches!(body, Body::Sun | Body::Moon) {
        let from_sun = (barycentric(context, body, delay) - sun(context, delay)).normalize();
        natural = context.deflected_body(&natural, &from_sun).normalize();
    }
    let velocity = context.observer_velocity();
    let dilation = (1.0 + velocity.dot(&natural)) / (1.0 - velocity.norm_squared()).sqrt();
    BodyPlace { direction: context.cirs(&natural), distance, light_distance: distance * dilation }
}

/// The Sun's barycentric position `delay` days before the context's moment, au; its path is straight over hours.
fn sun(context: &Context, delay: f64) -> Vector3<f64> {
    context.sun.0 - context.sun.1 * delay
}

/// A body's barycentric position `delay` days before the context's moment, au.
fn barycentric(context: &Context, body: Body, delay: f64) -> Vector3<f64> {
    let then = (context.tt.0, context.tt.1 - delay);
    let planet = match body {
        Body::Sun => return sun(context, delay),
        Body::Moon => return context.earth.0 - context.earth.1 * delay + library::moon(then),
        Body::Mercury => Planet::Mercury,
        Body::Venus => Planet::Venus,
        Body::Mars => Planet::Mars,
        Body::Jupiter => Planet::Jupiter,
        Body::Saturn => Planet::Saturn,
        Body::Uranus => Planet::Uranus,
        Body::Neptune => Planet::Neptune,
    };
    sun(context, delay) + library::planet(then, planet)
}
