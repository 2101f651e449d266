//! What the axes were ordered to do: a base motion that goes on for ever, and what is laid over it for a while.

use crate::Controller;
use crate::flank::Flank;
use crate::follower::Follower;
use crate::guard::Happening;
use crate::motors::{Axis, Motors};
use crate::play::Come;
use crate::take_up::TakeUp;
use alignment::Sense;
use kinematics::AxisAngles;
use kinematics::path::Path;
use protocol::{Rate, TrackAxes};
use units::{Angle, Span};

/// What is laid over the base motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum OverKind {
    /// The way of a go-to.
    Slew,
    /// A nudge; held ones end by being let go, or by the dead-man timer.
    Nudge {
        /// Not for a set time.
        held: bool,
    },
    /// A guide correction.
    Guide,
}

/// A motion over the base motion of one axis: what it adds to the dial, from nothing on.
#[derive(Clone, Debug)]
pub(crate) struct Over {
    pub(crate) path: Path,
    pub(crate) kind: OverKind,
}

impl Over {
    /// When it adds no more.
    pub(crate) fn ends(&self) -> Span {
        self.path.end_of_last_finite_piece()
    }
}

/// The orders in force.
#[derive(Clone, Debug)]
pub(crate) struct Motion {
    /// What goes on for ever, as dials.
    pub(crate) base: [Path; 2],
    pub(crate) over: [Option<Over>; 2],
    /// The sum of both.
    total: [Path; 2],
    pub(crate) rate: Rate,
    pub(crate) axes: TrackAxes,
    /// What makes more of the base motion as time goes on.
    pub(crate) follower: Option<Follower>,
    /// What is followed is to be found anew when nothing is laid over the base any more.
    pub(crate) stale: bool,
    pub(crate) take_up: [TakeUp; 2],
    /// On which flank of its teeth each axis rested when the orders in force were given.
    flanks: [Flank; 2],
    pub(crate) come: Come,
    /// Motor count minus dial, for the count's own zero.
    pub(crate) zero: [Angle; 2],
    /// From when on the base motion is looked at for what it runs into.
    pub(crate) watched_from: Option<Span>,
    pub(crate) happening: Option<Happening>,
    /// The meridian was passed and that was said.
    pub(crate) warned: bool,
}

impl Motion {
    /// Both axes at rest.
    pub(crate) fn resting(now: Span, dials: AxisAngles, axes: TrackAxes) -> Self {
        let paths = [Path::hold(now, dials.first), Path::hold(now, dials.second)];
        Self {
            base: paths.clone(),
            over: [None, None],
            total: paths,
            rate: Rate::Off,
            axes,
            follower: None,
            stale: false,
            take_up: Default::default(),
            flanks: [Flank::unknown(now); 2],
            come: Come::UNKNOWN,
            zero: [Angle::ZERO; 2],
            watched_from: None,
            happening: None,
            warned: false,
        }
    }

    /// The path of one axis's dial.
    pub(crate) fn path(&self, axis: Axis) -> &Path {
        &self.total[axis.index()]
    }

    /// The dials that were ordered for an instant.
    pub(crate) fn dials(&self, now: Span) -> AxisAngles {
        AxisAngles { first: self.total[0].position(now), second: self.total[1].position(now) }
    }

    /// In which sense each axis was come to where it is, as far as its motor's turning tells.
    pub(crate) fn senses(&self, now: Span) -> [Sense; 2] {
        [0, 1].map(|index| self.flanks[index].after(&self.total[index], now).sense())
    }

    /// Whether anything but the base motion is under way.
    pub(crate) fn is_over(&self) -> bool {
        self.over.iter().any(Option::is_some)
    }

    /// When all that is laid over the base motion has ended, if there is anything.
    pub(crate) fn over_ends(&self) -> Option<Span> {
        self.over.iter().flatten().map(Over::ends).max()
    }
}

/// A new base motion.
pub(crate) struct Base {
    pub(crate) paths: [Path; 2],
    pub(crate) rate: Rate,
    pub(crate) axes: TrackAxes,
    pub(crate) follower: Option<Follower>,
}

impl Controller {
    /// Takes another base motion and what is laid over it, and orders both.
    pub(crate) fn begin_motion(
        &mut self,
        base: Base,
        over: [Option<Over>; 2],
        now: Span,
        motors: &mut impl Motors,
    ) {
        let Base { paths, rate, axes, follower } = base;
        self.motion.base = paths;
        self.motion.rate = rate;
        self.motion.axes = axes;
        self.motion.follower = follower;
        self.motion.over = over;
        self.motion.warned = false;
        self.motion.stale = false;
        self.send(now, motors);
    }

    /// Gives both motors their orders for the present base motion and what is over it.
    pub(crate) fn send(&mut self, now: Span, motors: &mut impl Motors) {
        let motion = &mut self.motion;
        for axis in Axis::BOTH {
            let index = axis.index();
            motion.flanks[index] = motion.flanks[index].after(&motion.total[index], now);
            let base = motion.base[index].forgotten_before(now);
            motion.total[index] = match &motion.over[index] {
                Some(over) => base.sum(&over.path).forgotten_before(now),
                None => base.clone(),
            };
            motion.base[index] = base;
            let (limits, amount) = (&self.settings.limits[index], self.settings.take_up[index]);
            let counted = motion.take_up[index].applied(&motion.total[index], now, amount, limits);
            motors.order(axis, counted.shifted(Span::ZERO, motion.zero[index]));
        }
        motion.happening = None;
        let moves = motion.rate != Rate::Off;
        motion.watched_from = moves.then(|| motion.over_ends().map_or(now, |ends| ends.max(now)));
    }

    /// Brings both axes to rest within their limits; says when they will be.
    pub(crate) fn order_rest(&mut self, now: Span, motors: &mut impl Motors) -> Span {
        let paths = Axis::BOTH.map(|axis| {
            let limits = &self.settings.limits[axis.index()];
            self.motion.path(axis).brought_to_rest(now, limits).forgotten_before(now)
        });
        let rest = paths.iter().map(Path::end_of_last_finite_piece).fold(now, Span::max);
        let base = Base { paths, rate: Rate::Off, axes: self.motion.axes, follower: None };
        self.begin_motion(base, [None, None], now, motors);
        rest
    }

    /// What was laid over the base motion and is over becomes part of it. Says whether a nudge or a correction ended.
    pub(crate) fn fold(&mut self, now: Span) -> bool {
        let mut shift = [Angle::ZERO; 2];
        let mut nudged = false;
        let ended = |over: &&Over| matches!(over.kind, OverKind::Nudge { .. }) && over.ends() <= now;
        if let Some(at) = self.motion.over.iter().flatten().filter(ended).map(Over::ends).max() {
            self.motion.come.let_go = Some((at, self.motion.dials(at)));
        }
        for (index, shift) in shift.iter_mut().enumerate() {
            let Some(over) = self.motion.over[index].take_if(|over| over.ends() <= now) else { continue };
            *shift = over.path.position(now);
            self.motion.base[index] = self.motion.base[index].shifted(Span::ZERO, *shift);
            nudged |= over.kind != OverKind::Slew;
        }
        if let Some(follower) = &mut self.motion.follower {
            follower.shift(shift);
        }
        nudged
    }

    /// What it takes off the motors' counts to get its dials: their own zero, and play that was taken up.
    pub fn count_zeros(&self, now: Span) -> [Angle; 2] {
        [0, 1].map(|index| self.motion.zero[index] + self.motion.take_up[index].at(now))
    }

    /// The dials as the motors' counts tell them.
    pub(crate) fn counted(&self, now: Span, motors: &mut impl Motors) -> AxisAngles {
        let zeros = self.count_zeros(now);
        let [first, second] = Axis::BOTH.map(|axis| motors.dial(axis) - zeros[axis.index()]);
        AxisAngles { first, second }
    }
}
