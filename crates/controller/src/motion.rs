//! What the axes were ordered to do.

use crate::Controller;
use crate::motors::{Axis, Motors};
use kinematics::path::Path;
use kinematics::sides::HourRange;
use kinematics::{AxisAngles, Kind};
use protocol::{Event, EventKind, Fields, Rate};
use units::{AngularRate, Span};

/// The orders in force.
#[derive(Clone, Debug)]
pub(crate) struct Motion {
    paths: [Path; 2],
    rate: Rate,
    limit_at: Option<Span>,
}

impl Motion {
    /// Both axes at rest.
    pub(crate) fn resting(dials: AxisAngles) -> Self {
        let paths = [Path::hold(Span::ZERO, dials.first), Path::hold(Span::ZERO, dials.second)];
        Self { paths, rate: Rate::Off, limit_at: None }
    }

    /// The tracking rate that holds, or will hold on arrival.
    pub(crate) fn rate(&self) -> Rate {
        self.rate
    }

    /// When tracking will have run the hour axis to the end of its range.
    pub(crate) fn limit_at(&self) -> Option<Span> {
        self.limit_at
    }

    /// The path of one axis.
    pub(crate) fn path(&self, axis: Axis) -> &Path {
        &self.paths[axis.index()]
    }

    /// The dials that were ordered for an instant.
    pub(crate) fn dials(&self, now: Span) -> AxisAngles {
        AxisAngles { first: self.paths[0].position(now), second: self.paths[1].position(now) }
    }
}

/// The rate of the hour axis under a tracking rate, by the computer's own clock.
pub(crate) fn hour_rate(rate: Rate) -> AngularRate {
    match rate {
        Rate::Off => AngularRate::ZERO,
        Rate::Sidereal => AngularRate::SIDEREAL,
    }
}

impl Controller {
    /// Gives both motors new orders and remembers them.
    pub(crate) fn order(&mut self, paths: [Path; 2], rate: Rate, motors: &mut impl Motors) {
        for (axis, path) in Axis::BOTH.into_iter().zip(&paths) {
            motors.order(axis, path.clone());
        }
        let limit_at = self.limit_of(&paths[0]);
        self.motion = Motion { paths, rate, limit_at };
    }

    /// Orders tracking (or rest) from where the axes were ordered to be at `now`.
    pub(crate) fn order_rate(&mut self, rate: Rate, now: Span, motors: &mut impl Motors) {
        let dials = self.motion.dials(now);
        let paths = [Path::steady(now, dials.first, hour_rate(rate)), Path::hold(now, dials.second)];
        self.order(paths, rate, motors);
    }

    /// Brings both axes to rest within their limits; says when they will be.
    pub(crate) fn order_rest(&mut self, now: Span, motors: &mut impl Motors) -> Span {
        let paths = Axis::BOTH.map(|axis| {
            self.motion
                .path(axis)
                .brought_to_rest(now, &self.settings.limits[axis.index()])
                .forgotten_before(now)
        });
        let rest = paths.iter().map(Path::end_of_last_finite_piece).fold(now, Span::max);
        self.order(paths, Rate::Off, motors);
        rest
    }

    /// When the last, endless piece of an hour axis's path runs beyond the range of a German mount.
    fn limit_of(&self, path: &Path) -> Option<Span> {
        if self.settings.kind != Kind::GermanEquatorial {
            return None;
        }
        let begin = path.end_of_last_finite_piece();
        let rate = path.rate(begin);
        let room = HourRange::german(self.settings.over_run).room(path.position(begin));
        (rate > AngularRate::ZERO)
            .then(|| begin + Span::from_seconds_up((room.radians() / rate.radians()).max(0.0)))
    }

    /// Tracking has come to the end of the range: rest there and say so.
    pub(crate) fn rest_at_limit(&mut self, now: Span, motors: &mut impl Motors, events: &mut Vec<Event>) {
        self.order_rest(now, motors);
        events.push(Event { kind: EventKind::Limit, fields: Fields::new().text("axis", "hour") });
    }
}
