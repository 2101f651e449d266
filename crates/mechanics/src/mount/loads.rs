//! The load on each axis at an instant, and when it first changes what holds the wheel.

use super::Mount;
use super::axis::{Crossing, Member};
use crate::drive::Room;
use crate::load::Attitude;
use crate::turns::Place;
use crate::wind::{KNOT, Wind};
use units::{Instant, Span, maths};

/// Below this width no interval is halved further: two changes of the load within a millisecond are none.
const FINEST: Span = Span::from_nanoseconds(1_000_000);
/// Length of one polynomial of a crossing: while an axis slews or wind blows, and otherwise.
const SHORT_STEP: Span = Span::from_nanoseconds(250_000_000);
const LONG_STEP: Span = Span::from_whole_seconds(4);
/// Rates below this, in rad/s (some hundred times sidereal), let the load of a weight change slowly.
const SLOW: f64 = 7e-3;

impl Mount {
    /// Whether the load decides anything on an axis: there is play, and something that pulls or has pulled.
    pub(super) fn load_matters(&self, axis: usize) -> bool {
        let held = !matches!(self.axes[axis].member, Member::Resting { .. });
        let pulled = held || self.wind.is_some() || self.machine.weights.greatest()[axis] > 0.0;
        pulled && !self.machine.drives[axis].gap.is_closed()
    }

    /// The ordered angles, with their sines and cosines.
    #[inline(always)]
    pub(super) fn ordered_places(&self, at: Instant) -> [Place; 2] {
        let time = self.machine.crystal.controller_time(at);
        [self.ordered_place(0, time), self.ordered_place(1, time)]
    }

    #[inline(always)]
    fn ordered_place(&self, index: usize, time: Span) -> Place {
        let axis = &self.axes[index];
        match &axis.still {
            Some(still) => still.ordered,
            None => self.machine.turns.place(axis.ordered_angle(&self.machine, index, time)),
        }
    }

    /// Torques about both axes in N·m, positive in the sense in which their angles grow. Within the present piece of both
    /// motions and the present block of wind.
    #[inline]
    pub(super) fn torques(&self, at: Instant) -> [f64; 2] {
        let [first, second] = self.ordered_places(at);
        self.torques_at(at, [first.turn, second.turn])
    }

    /// The same at a known attitude.
    #[inline(always)]
    pub(super) fn torques_at(&self, at: Instant, attitude: Attitude) -> [f64; 2] {
        let [first, second] = self.machine.weights.torques(&self.up, attitude);
        match &self.wind {
            None => [first, second],
            Some(wind) => {
                let force = wind.force(at);
                let [a, b] = self.sail.torques(&self.toward, attitude);
                // Weight pulls against `up`, wind pushes along `toward`.
                [first - force * a, second - force * b]
            }
        }
    }

    /// Friction of an axis as it is now, in N·m.
    pub(super) fn friction(&self, axis: usize) -> f64 {
        self.machine.spec.axes[axis].friction.newton_metres() * self.friction_factor[axis]
    }

    /// How far the load is from changing what holds the wheel, in N·m; negative once it has.
    fn margin(&self, axis: usize, at: Instant) -> f64 {
        self.margin_of(axis, self.torques(at)[axis])
    }

    /// The same at a known torque.
    fn margin_of(&self, axis: usize, torque: f64) -> f64 {
        let friction = self.friction(axis);
        match self.axes[axis].member {
            Member::Resting { .. } => friction - torque.abs(),
            Member::Leading => torque - friction,
            Member::Driving => -torque - friction,
            Member::Crossing(crossing) => crossing.sense * torque - friction,
        }
    }

    /// The first instant from `from` to `to` at which the load changes what holds the wheel.
    pub(super) fn first_change(&self, axis: usize, from: Instant, to: Instant) -> Option<Instant> {
        if self.margin(axis, from) < 0.0 {
            return Some(from);
        }
        let turning = self.turning_bound(from, to);
        // How fast the torque of the weights can change, N·m/s.
        let swing = self.machine.weights.greatest()[axis] * turning;
        match &self.wind {
            None => self.search(axis, from, to, swing),
            Some(wind) => self.first_windy_change(axis, wind, (from, to), turning, swing),
        }
    }

    /// The same in wind: whole groups of knots are discarded where no force within their bounds could do it.
    fn first_windy_change(
        &self,
        axis: usize,
        wind: &Wind,
        (from, to): (Instant, Instant),
        turning: f64,
        swing: f64,
    ) -> Option<Instant> {
        let lever = wind.spec.lever.metres().abs();
        let mut begin = from;
        while begin < to {
            let knot = wind.knot_before(begin);
            let (group_ends, forces) = wind.group(knot);
            let group_ends = group_ends.min(to);
            let greatest = forces.0.abs().max(forces.1.abs());
            if group_ends <= begin {
                break;
            }
            let pull = self.pull_within(axis, (begin, group_ends), swing + lever * greatest * turning);
            if self.clear_of_gusts(axis, pull, forces) {
                begin = group_ends;
                continue;
            }
            while begin < group_ends {
                let knot = wind.knot_before(begin);
                let end = wind.knot_instant(knot + 1).min(group_ends);
                if self.clear_of_gusts(axis, pull, wind.bounds(knot)) {
                    begin = end;
                    continue;
                }
                let [_, b, c, d] = wind.cubic(knot);
                let gust = (b.abs() + 2.0 * c.abs() + 3.0 * d.abs()) / KNOT.seconds();
                let bound = swing + lever * (gust + greatest * turning);
                if let Some(found) = self.search(axis, begin, end, bound) {
                    return Some(found);
                }
                begin = end;
            }
        }
        None
    }

    /// What weight and wind do to an axis within an interval; `slope` bounds how fast the torque changes under a constant
    /// force.
    fn pull_within(&self, axis: usize, (from, to): (Instant, Instant), slope: f64) -> Pull {
        let half = Span::from_nanoseconds((to - from).nanoseconds() / 2);
        let attitude = self.ordered_places(from + half).map(|place| place.turn);
        Pull {
            weight: self.machine.weights.torques(&self.up, attitude)[axis],
            arm: self.sail.torques(&self.toward, attitude)[axis],
            reach: slope * (half.seconds() + 2e-9),
        }
    }

    /// Whether no force within bounds can change what holds the wheel.
    fn clear_of_gusts(&self, axis: usize, pull: Pull, forces: (f64, f64)) -> bool {
        // The margin is linear in the torque or has its least value at an end.
        let margin = |force: f64| self.margin_of(axis, pull.weight - force * pull.arm);
        let least = margin(forces.0).min(margin(forces.1));
        least >= pull.reach && least > 0.0
    }

    /// A bound on how fast both axes together turn within an interval, rad/s.
    fn turning_bound(&self, from: Instant, to: Instant) -> f64 {
        let crystal = &self.machine.crystal;
        let (from, to) = (crystal.controller_time(from), crystal.controller_time(to));
        self.axes.iter().map(|axis| axis.motion.greatest_rate(from, to)).sum::<f64>() * crystal.speed()
    }

    /// The first change within an interval over which the torque's slope is bounded: an interval without a change in reach is
    /// discarded, any other is halved.
    fn search(&self, axis: usize, from: Instant, to: Instant, slope: f64) -> Option<Instant> {
        let width = to - from;
        let half = Span::from_nanoseconds(width.nanoseconds() / 2);
        let middle = from + half;
        // Half a nanosecond of rounding is covered by one more.
        let reach = slope * (half.seconds() + 2e-9);
        let there = self.margin(axis, middle);
        if there >= reach && there >= 0.0 {
            return None;
        }
        if width <= FINEST {
            return (self.margin(axis, to) < 0.0).then(|| self.bisect(axis, from, to));
        }
        self.search(axis, from, middle, slope).or_else(|| self.search(axis, middle, to, slope))
    }

    /// The first nanosecond at which the margin is negative, between one at which it isn't and one at which it is.
    fn bisect(&self, axis: usize, from: Instant, to: Instant) -> Instant {
        first_instant(from, to, |at| self.margin(axis, at) < 0.0)
    }

    /// Lets the load drive the wheel of an axis through its gap, from where it is.
    pub(super) fn begin_crossing(&mut self, axis: usize, sense: f64, at: Instant) {
        let room = self.room_at(axis, at);
        let share = self.axes[axis].share(room, at);
        let width = room.high - room.low;
        let damping = self.machine.spec.axes[axis].seat_damping;
        let arrived = if sense > 0.0 { share >= 1.0 } else { share <= 0.0 };
        self.axes[axis].member = if arrived || damping == 0.0 || width <= 0.0 {
            if sense > 0.0 { Member::Leading } else { Member::Driving }
        } else {
            Member::Crossing(self.crossing(axis, sense, at, share, damping * width))
        };
    }

    /// The polynomial of a crossing: the excess torque is interpolated at four instants by a cubic, and integrated.
    fn crossing(&self, axis: usize, sense: f64, since: Instant, share: f64, resistance: f64) -> Crossing {
        let slow = self.wind.is_none() && self.turning_bound(since, since) < SLOW;
        let mut until = since + if slow { LONG_STEP } else { SHORT_STEP };
        for axis in &self.axes {
            until = axis.motion.ends.map_or(until, |end| until.min(end));
        }
        if let Some(wind) = &self.wind {
            until = until.min(wind.block_ends());
        }
        let third = Span::from_nanoseconds((until - since).nanoseconds() / 3).max(Span::from_nanoseconds(1));
        let friction = self.friction(axis);
        let excess = [0, 1, 2, 3].map(|i| {
            let at = (since + third * i).min(until);
            (sense * self.torques(at)[axis] - friction).max(0.0)
        });
        let [a, b, c, d] = cubic_through(excess, third.seconds());
        let scale = sense / resistance;
        let share = [share, scale * a, scale * b / 2.0, scale * c / 3.0, scale * d / 4.0];
        Crossing { sense, since, until, share }
    }

    /// When a crossing arrives at its flank, within its polynomial.
    pub(super) fn arrival(crossing: &Crossing) -> Option<Instant> {
        let arrived = |at: Instant| {
            let share = crossing.share_at(at);
            if crossing.sense > 0.0 { share >= 1.0 } else { share <= 0.0 }
        };
        arrived(crossing.until).then(|| first_instant(crossing.since, crossing.until, arrived))
    }

    /// The room for the wheel of an axis at an instant.
    pub(super) fn room_at(&self, axis: usize, at: Instant) -> Room {
        let time = self.machine.crystal.controller_time(at);
        let motor = self.axes[axis].motor(&self.machine, axis, time);
        self.room(axis, &self.machine.turns.place(motor))
    }

    /// Angle by which the load winds an axis up and its motor lags, at a torque in N·m.
    #[inline(always)]
    pub(super) fn yielding(&self, axis: usize, torque: f64) -> f64 {
        let pliant = &self.machine.pliant[axis];
        let lag = if pliant.lag == 0.0 { 0.0 } else { pliant.lag * arcsine(torque * pliant.per_holding) };
        torque * pliant.compliance + lag
    }
}

/// What weight and wind do to an axis within an interval.
#[derive(Clone, Copy, Debug)]
struct Pull {
    /// Torque of the weights in the middle, N·m.
    weight: f64,
    /// Lever of the wind's force in the middle, m.
    arm: f64,
    /// How far the torque under a constant force can be from the middle's, N·m.
    reach: f64,
}

/// How an axis yields to its load.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pliant {
    /// Wind-up in rad per N·m.
    pub compliance: f64,
    /// Electrical period of the motor over 2π, as angle of the axis; zero without a motor.
    pub lag: f64,
    /// One over the torque on the axis that the motor holds.
    pub per_holding: f64,
}

impl Pliant {
    pub fn new(spec: &crate::spec::AxisSpec) -> Self {
        let compliance = spec.stiffness.map_or(0.0, |stiffness| 1.0 / stiffness.newton_metres_per_radian());
        let Some(motor) = &spec.motor else {
            return Self { compliance, lag: 0.0, per_holding: 0.0 };
        };
        let holding = motor.holding.newton_metres() * spec.gearing() * motor.efficiency.fraction();
        Self { compliance, lag: 4.0 * spec.full_step().radians() / maths::TAU, per_holding: 1.0 / holding }
    }

    /// Whether it yields at all.
    pub fn is_rigid(&self) -> bool {
        self.compliance == 0.0 && self.lag == 0.0
    }
}

/// The arc sine, by its series where that is as good and much cheaper; beyond ±1 the bound.
#[inline]
fn arcsine(x: f64) -> f64 {
    if x.abs() < 0.05 {
        let x2 = x * x;
        // The next term, 35x⁹/1152, is below 6e-14 here: parts of 1e-9″ of any motor's period.
        return x * (1.0 + x2 * (1.0 / 6.0 + x2 * (3.0 / 40.0 + x2 * (15.0 / 336.0))));
    }
    maths::asin(x.clamp(-1.0, 1.0))
}

/// The cubic through four values a step apart, in powers of the seconds since the first.
fn cubic_through([y0, y1, y2, y3]: [f64; 4], step: f64) -> [f64; 4] {
    let (d1, d2, d3) = (y1 - y0, y2 - 2.0 * y1 + y0, y3 - 3.0 * y2 + 3.0 * y1 - y0);
    // Newton's forward differences, multiplied out.
    let b = d1 - d2 / 2.0 + d3 / 3.0;
    let c = d2 / 2.0 - d3 / 2.0;
    [y0, b / step, c / (step * step), d3 / 6.0 / (step * step * step)]
}

/// The first nanosecond at which something holds, between one at which it doesn't and a later one at which it does.
pub(super) fn first_instant(from: Instant, to: Instant, mut holds: impl FnMut(Instant) -> bool) -> Instant {
    let (mut without, mut with) = (from, to);
    while (with - without).nanoseconds() > 1 {
        let middle = without + Span::from_nanoseconds((with - without).nanoseconds() / 2);
        if holds(middle) { with = middle } else { without = middle }
    }
    with
}
