//! What tracking runs into: limits, the meridian, the Sun.

use crate::Controller;
use crate::motors::Motors;
use crate::tracking::branch_of_dials;
use kinematics::sides::HourRange;
use kinematics::{AxisAngles, Branch, Kind, frames};
use nalgebra::Vector3;
use protocol::{Event, EventKind, Fields, MeridianPolicy, Rate};
use units::{Angle, Span};

/// How far ahead the base motion is looked at in one go.
const WATCH: Span = Span::from_whole_seconds(60);
/// The Sun counts while it is higher than this.
const SUN_COUNTS_ABOVE: Angle = Angle::from_degrees(-1.0);

/// What tracking runs into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Obstacle {
    /// The end of something, in a word.
    Limit(&'static str),
    /// The circle round the Sun.
    Sun,
    /// The meridian, where the policy is to warn.
    Meridian,
}

/// An obstacle and when it is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Happening {
    pub(crate) at: Span,
    pub(crate) what: Obstacle,
}

impl Controller {
    /// Looks at the next stretch of the base motion if it is due.
    pub(crate) fn watch(&mut self, now: Span) {
        let Some(from) = self.motion.watched_from.filter(|from| *from <= now) else { return };
        let mut to = from + WATCH;
        let mut end = None;
        if let Some(follower) = &self.motion.follower {
            // The base is made up to a knot after this one.
            let made = follower.renew_at();
            if made <= from {
                end = follower.ended.then_some(from);
            }
            to = to.min(made.max(from));
        }
        self.motion.watched_from = Some(to.max(from + Span::from_nanoseconds(1)));
        let found = self.obstacle_between(from, to);
        self.motion.happening = found.or(end.map(|at| Happening { at, what: Obstacle::Limit("reach") }));
        if self.motion.happening.is_some() {
            self.motion.watched_from = None;
        }
    }

    /// The first obstacle of a stretch that is met at its end, found to the nanosecond: all of them last longer than it.
    fn obstacle_between(&self, from: Span, to: Span) -> Option<Happening> {
        if let Some(what) = self.obstacle_at(from) {
            return Some(Happening { at: from, what });
        }
        let mut what = self.obstacle_at(to)?;
        let (mut clear, mut met) = (from, to);
        while (met - clear).nanoseconds() > 1 {
            let middle = clear + Span::from_nanoseconds((met - clear).nanoseconds() / 2);
            match self.obstacle_at(middle) {
                Some(found) => (met, what) = (middle, found),
                None => clear = middle,
            }
        }
        Some(Happening { at: met, what })
    }

    fn obstacle_at(&self, at: Span) -> Option<Obstacle> {
        let [first, second] = &self.motion.base;
        let dials = AxisAngles { first: first.position(at), second: second.position(at) };
        let direction = self.belief.model().direction_for(dials);
        if let Some(limit) = self.beyond(dials, &direction) {
            return Some(Obstacle::Limit(limit));
        }
        if self.sun_is_near(&direction, at) {
            return Some(Obstacle::Sun);
        }
        let warns = self.settings.kind == Kind::GermanEquatorial
            && self.settings.meridian == MeridianPolicy::Warn
            && !self.motion.warned;
        let past = branch_of_dials(dials) == Branch::Direct && dials.first > Angle::ZERO;
        (warns && past).then_some(Obstacle::Meridian)
    }

    /// Beyond which limit dials and their direction are, in a word.
    pub(crate) fn beyond(&self, dials: AxisAngles, direction: &Vector3<f64>) -> Option<&'static str> {
        let settings = &self.settings;
        match settings.kind {
            Kind::GermanEquatorial => {
                if HourRange::german(settings.over_run).beyond(dials.first) != Angle::ZERO {
                    return Some("hour");
                }
            }
            Kind::AltAzimuth if dials.first.abs() > settings.cable_wrap => return Some("cable"),
            Kind::AltAzimuth | Kind::ForkEquatorial => {}
        }
        let (_, altitude) = frames::horizontal(direction);
        if altitude < settings.lowest {
            Some("lowest")
        } else if altitude > settings.highest {
            Some("highest")
        } else if settings.kind == Kind::AltAzimuth && altitude > Angle::QUARTER - settings.zenith_zone {
            Some("zenith")
        } else {
            None
        }
    }

    /// Where the Sun stands, if it counts.
    pub(crate) fn sun_that_counts(&self, at: Span) -> Option<Vector3<f64>> {
        let sun = self.belief.sun(at);
        let up = frames::horizontal(&sun).1 > SUN_COUNTS_ABOVE;
        (up && !self.settings.sun_override).then_some(sun)
    }

    fn sun_is_near(&self, direction: &Vector3<f64>, at: Span) -> bool {
        self.sun_that_counts(at)
            .is_some_and(|sun| frames::separation(direction, &sun) < self.settings.sun_radius)
    }

    /// Does what is due about an obstacle.
    pub(crate) fn meet(&mut self, now: Span, motors: &mut impl Motors, events: &mut Vec<Event>) {
        let Some(happening) = self.motion.happening.filter(|happening| happening.at <= now) else { return };
        self.motion.happening = None;
        match happening.what {
            Obstacle::Meridian => {
                self.motion.warned = true;
                self.motion.watched_from = Some(now);
                let room = HourRange::german(self.settings.over_run).room(self.motion.dials(now).first);
                let rate = self.motion.path(crate::Axis::First).rate(now);
                let left = Span::from_seconds((room.radians() / rate.radians().max(1e-9)).clamp(0.0, 1e6));
                let fields = Fields::new().number("minutes", left.minutes(), 1, "min");
                self.tell(EventKind::Warn, fields, now, events);
            }
            Obstacle::Limit("hour") if self.settings.meridian == MeridianPolicy::Flip => {
                let rate = self.motion.rate;
                if let Some(job) = self.flip(rate, now, motors) {
                    events.push(Event { kind: EventKind::Flip, fields: Fields::new().count("job", job) });
                } else {
                    self.rest_at(EventKind::Limit, Fields::new().text("at", "hour"), now, motors, events);
                }
            }
            Obstacle::Limit(word) => {
                self.rest_at(EventKind::Limit, Fields::new().text("at", word), now, motors, events);
            }
            Obstacle::Sun => self.rest_at(EventKind::Sun, Fields::new(), now, motors, events),
        }
    }

    fn rest_at(
        &mut self,
        kind: EventKind,
        fields: Fields,
        now: Span,
        motors: &mut impl Motors,
        events: &mut Vec<Event>,
    ) {
        debug_assert!(self.motion.rate != Rate::Off, "what rests runs into nothing");
        self.order_rest(now, motors);
        self.tell(kind, fields, now, events);
    }
}
