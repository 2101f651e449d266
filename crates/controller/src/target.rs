//! What is followed: something of the sky, or a place among the stars, perhaps with an offset and a drift.

use crate::belief::Belief;
use nalgebra::Vector3;
use sky::{CirsPlace, Track};
use std::fmt;
use std::sync::Arc;
use units::{Angle, AngularRate, Span};

/// Where the followed place comes from.
#[derive(Clone)]
enum Mark {
    /// A source's own places.
    Track(Arc<Track>),
    /// A direction that is fixed in the celestial intermediate frame. Precession and aberration move a star against that
    /// frame by less than 0.02″ in an hour.
    Point(Vector3<f64>),
}

/// A moving point of the sky.
#[derive(Clone)]
pub(crate) struct Target {
    mark: Mark,
    /// Added to right ascension and declination.
    offset: (Angle, Angle),
    /// What is added more in each second after `since`.
    drift: (AngularRate, AngularRate),
    since: Span,
}

/// Caches of places are no part of what a target is.
impl fmt::Debug for Target {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.mark {
            Mark::Track(track) => write!(f, "{:?}", track.source())?,
            Mark::Point(point) => write!(f, "{point:?}")?,
        }
        write!(f, " {:?} {:?} {:?}", self.offset, self.drift, self.since)
    }
}

impl Target {
    /// A source itself.
    pub(crate) fn of(track: Arc<Track>) -> Self {
        Self::from_mark(Mark::Track(track))
    }

    /// The place among the stars that is observed in a direction at an instant.
    pub(crate) fn at(direction: &Vector3<f64>, belief: &Belief, now: Span) -> Self {
        Self::from_mark(Mark::Point(belief.cirs(direction, now)))
    }

    fn from_mark(mark: Mark) -> Self {
        Self { mark, offset: Default::default(), drift: Default::default(), since: Span::ZERO }
    }

    /// The same, moving against the stars from an instant on: eastward and northward in right ascension and declination.
    pub(crate) fn drifting(mut self, east: AngularRate, north: AngularRate, since: Span) -> Self {
        self.drift = (east, north);
        self.since = since;
        self
    }

    /// The same with the offset at which it stands in an observed direction now.
    pub(crate) fn moved_to(&self, direction: &Vector3<f64>, belief: &Belief, now: Span) -> Self {
        let (ra, dec) = sky::equatorial(&self.place(belief, now).direction);
        let (wanted_ra, wanted_dec) = sky::equatorial(&belief.cirs(direction, now));
        let mut moved = self.clone();
        moved.offset.0 += (wanted_ra - ra).wrapped_signed();
        moved.offset.1 += wanted_dec - dec;
        moved
    }

    fn place(&self, belief: &Belief, now: Span) -> CirsPlace {
        let mut place = match &self.mark {
            Mark::Track(track) => track.cirs(belief.instant(now)),
            Mark::Point(point) => CirsPlace::far(*point),
        };
        if self.offset != Default::default() || self.drift != Default::default() {
            let (ra, dec) = sky::equatorial(&place.direction);
            let seconds = (now - self.since).seconds();
            let moved =
                |offset: Angle, rate: AngularRate| offset + Angle::from_radians(rate.radians() * seconds);
            place.direction = sky::direction(
                ra + moved(self.offset.0, self.drift.0),
                dec + moved(self.offset.1, self.drift.1),
            );
        }
        place
    }

    /// Where it is observed (east, north, up), refraction in.
    pub(crate) fn observed(&self, belief: &Belief, now: Span) -> Vector3<f64> {
        belief.station().observe(&self.place(belief, now), belief.instant(now)).refracted
    }
}
