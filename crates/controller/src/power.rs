//! Loss of power, and a clock that jumps: what happens to the computer without anybody's asking.

use crate::motion::Motion;
use crate::motors::{Axis, Motors};
use crate::{Controller, jobs::Jobs};
use protocol::{Event, EventKind, Fields};
use units::{Angle, Span};

/// Dials that are no farther from home than this are at home.
const HOME: Angle = Angle::from_arcmin(1.0);

impl Controller {
    /// The power fails at `now`: until [`Controller::restarted`] nothing is answered and nothing done. The motors lose theirs
    /// by themselves.
    ///
    /// What was in memory is gone: motion, jobs, alignment, the log. Settings, site and whether it is parked are kept, and a recorded correction if the
    /// worm has an index mark. The kept alignment holds for dials that begin at home: whether it was there is remembered, too.
    pub fn power_lost(&mut self, now: Span) {
        self.powered = false;
        self.job = None;
        self.correction.lose_power(self.settings.worm.index_mark);
        self.first_centring = None;
        self.left_home = !self.parked && !self.at_home(now);
        self.stuck_until = None;
        self.jobs = Jobs::default();
        self.log = Default::default();
        self.motion = Motion::resting(now, self.settings.home, self.settings.track_axes());
        self.track_axes = self.settings.track_axes();
        self.belief.forget_alignment();
        self.alignment = Default::default();
    }

    /// Whether both dials are at home.
    fn at_home(&self, now: Span) -> bool {
        let (dials, home) = (self.motion.dials(now), self.settings.home);
        [dials.first - home.first, dials.second - home.second].iter().all(|off| off.abs() < HOME)
    }

    /// The power is back at `now`: the counts of the motors, whatever they are, are taken for home.
    pub fn restarted(&mut self, now: Span, motors: &mut impl Motors, events: &mut Vec<Event>) {
        self.powered = true;
        self.power_on += 1;
        self.motion = Motion::resting(now, self.settings.home, self.track_axes);
        let home = [self.settings.home.first, self.settings.home.second];
        for axis in Axis::BOTH {
            self.motion.zero[axis.index()] = motors.dial(axis) - home[axis.index()];
        }
        if !self.settings.clock_has_battery {
            self.belief.shift_clock(self.settings.clock - self.belief.instant(now));
        }
        self.send(now, motors);
        self.tell(EventKind::Restarted, Fields::new(), now, events);
    }

    /// The clock jumps by as much at `now`, without being told so. Tracking goes on from where the tube points; a go-to under
    /// way ends where it was to end.
    pub fn clock_jump(&mut self, by: Span, now: Span, motors: &mut impl Motors) {
        self.belief.shift_clock(by);
        self.belief_changed(now, motors);
    }

    /// What follows the sky goes on by what is believed now.
    pub(crate) fn belief_changed(&mut self, now: Span, motors: &mut impl Motors) {
        if self.powered {
            self.follow_from_here(now, motors);
            self.motion.stale = self.motion.is_over();
        }
    }
}
