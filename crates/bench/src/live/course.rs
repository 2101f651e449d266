//! Errors over time: a moment a second, the last two hours of them.

use crate::measured::pair;
use std::collections::VecDeque;
use units::{Angle, Instant, Span};
use world::Pose;

/// Moments that are kept.
pub const COURSE_MOST: usize = 7200;

/// One moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// Its number, from 1 on in each night.
    pub number: u64,
    /// When it was.
    pub at: Instant,
    /// Boresight minus target, east and north; none without a target.
    pub error: Option<(Angle, Angle)>,
    /// Both dials.
    pub dials: (Angle, Angle),
    /// Both true axes.
    pub axes: (Angle, Angle),
}

#[derive(Debug)]
pub(super) struct Course {
    moments: VecDeque<Moment>,
    noted: u64,
    next: Instant,
    /// Moments before this one were measured against another target.
    since: Instant,
}

impl Course {
    pub(super) fn begin(now: Instant) -> Self {
        Self { moments: VecDeque::new(), noted: 0, next: now, since: now }
    }

    /// When the next moment is due.
    pub(super) fn due(&self) -> Instant {
        self.next
    }

    /// The next moment comes so many seconds after the last one.
    pub(super) fn pace(&mut self, seconds: i64) {
        self.next += Span::from_whole_seconds(seconds - 1);
    }

    /// What was measured before has nothing to do with what comes.
    pub(super) fn forget(&mut self, now: Instant) {
        self.since = now;
    }

    pub(super) fn note(&mut self, at: Instant, error: Option<(Angle, Angle)>, pose: &Pose) {
        self.noted += 1;
        self.next = at + Span::from_whole_seconds(1);
        if self.moments.len() == COURSE_MOST {
            self.moments.pop_front();
        }
        let error = error.filter(|_| at >= self.since);
        self.moments.push_back(Moment {
            number: self.noted,
            at,
            error,
            dials: pair(pose.dials),
            axes: pair(pose.axes),
        });
    }

    pub(super) fn after(&self, number: u64) -> impl Iterator<Item = &Moment> {
        // Numbers rise by one, so that the place of the first that is wanted is known.
        let first = self.moments.front().map_or(1, |moment| moment.number);
        let skip = (number + 1).saturating_sub(first) as usize;
        self.moments.iter().skip(skip)
    }
}
