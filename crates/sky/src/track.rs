//! One source's geocentric place at any instant.

use crate::geocentre::{Geocentre, hour_of};
use crate::source::Source;
use nalgebra::Vector3;
use std::sync::{Arc, OnceLock};
use units::Instant;

/// A place in the celestial intermediate frame, seen from the Earth's centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CirsPlace {
    /// Direction: x towards the celestial intermediate origin, z towards the intermediate pole. A unit vector to
    /// within 1e-9.
    pub direction: Vector3<f64>,
    /// Distance in astronomical units, for bodies of the solar system only: the way that the light went, reckoned in
    /// the Earth's moving frame (up to 1e-4 of itself off the distance in the Sun's frame).
    pub distance_au: Option<f64>,
}

impl CirsPlace {
    /// Something infinitely far away in that direction.
    pub fn far(direction: Vector3<f64>) -> Self {
        Self { direction, distance_au: None }
    }
}

/// One source's places: a cubic through the four nearest whole hours, made when its hour is first asked for.
///
/// A pure function of the instant. Against the exact chain the cubic is good to 0.0001″. Only where a star's light
/// passes near the Sun does its deflection change too fast for that: 0.001″ at a degree from the Sun's centre, 0.015″ at
/// its limb. A site's own light time (21 ms across the Earth at most) is left out: 0.011″ for the Moon, 0.001″ or
/// so for a planet.
#[derive(Debug)]
pub struct Track {
    geocentre: Arc<Geocentre>,
    source: Source,
    first_hour: i64,
    intervals: Intervals,
}

/// The cubic of each hour, made when it is first asked for; shared by all tracks of one source over one stretch.
pub(crate) type Intervals = Arc<[OnceLock<Box<Cubic>>]>;

impl Track {
    pub(crate) fn new(
        geocentre: Arc<Geocentre>,
        source: Source,
        first_hour: i64,
        intervals: Intervals,
    ) -> Self {
        Self { geocentre, source, first_hour, intervals }
    }

    /// What is followed.
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// The geocentric contexts that it rests on.
    pub fn geocentre(&self) -> &Arc<Geocentre> {
        &self.geocentre
    }

    /// The place at an instant.
    #[inline]
    pub fn cirs(&self, instant: Instant) -> CirsPlace {
        let vector = self.vector(instant);
        match self.source {
            Source::Star(_) => CirsPlace::far(vector),
            Source::Body(_) => {
                let distance = vector.norm();
                CirsPlace { direction: vector / distance, distance_au: Some(distance) }
            }
        }
    }

    #[inline]
    fn vector(&self, instant: Instant) -> Vector3<f64> {
        let (hour, part) = hour_of(instant);
        let slot = usize::try_from(hour - self.first_hour).ok().and_then(|index| self.intervals.get(index));
        match slot {
            Some(slot) => slot.get_or_init(|| Box::new(self.cubic(hour))).at(part),
            None => self.cubic(hour).at(part),
        }
    }

    #[cold]
    fn cubic(&self, hour: i64) -> Cubic {
        Cubic::through(|knot| self.geocentre.knot(&self.source, hour + knot))
    }
}

/// A vector's path over one hour: the cubic through the values at −1, 0, 1 and 2 hours.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Cubic([Vector3<f64>; 4]);

impl Cubic {
    /// Lagrange's cubic through four equally spaced values, as coefficients of rising powers.
    pub(crate) fn through(value: impl Fn(i64) -> Vector3<f64>) -> Self {
        let (before, here, next, after) = (value(-1), value(0), value(1), value(2));
        Self([
            here,
            next - after / 6.0 - here / 2.0 - before / 3.0,
            (before + next) / 2.0 - here,
            (after - before) / 6.0 + (here - next) / 2.0,
        ])
    }

    /// The value at a part of the hour, 0 to 1.
    #[inline]
    pub(crate) fn at(&self, part: f64) -> Vector3<f64> {
        let [c0, c1, c2, c3] = &self.0;
        c0 + (c1 + (c2 + c3 * part) * part) * part
    }
}
