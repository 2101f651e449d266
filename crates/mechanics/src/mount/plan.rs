//! What will happen by itself to the ordered motion: stalls, catches, stops and contacts, found once per piece.

use super::Mount;
use super::axis::Rotor;
use super::loads::first_instant;
use crate::weather::voltage_share;
use crate::{motor, spec::Motor};
use kinematics::AxisAngles;
use std::sync::Arc;
use units::{Angle, AngularRate, Instant, Length, Span};

/// How far ahead a motion without an end is looked at in one go.
const HORIZON: Span = Span::from_whole_seconds(1024);
/// A motor near its pull-out torque is checked at this spacing.
const STALL_STEP: Span = Span::from_nanoseconds(50_000_000);
/// A rotor catches only where this share of its torque suffices, else it would stall again at once.
const CATCHING_SHARE: f64 = 0.95;
/// Parts in contact are followed at this spacing until they come apart.
const APART_STEP: Span = Span::from_nanoseconds(20_000_000);

/// The next of each kind, if it comes before `horizon` and the end of the present pieces.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    /// Where looking ahead has ended; none if nothing needs it.
    pub horizon: Option<Instant>,
    pub stall: [Option<Instant>; 2],
    pub catch: [Option<Instant>; 2],
    /// When an axis meets its stop, and in which sense.
    pub stop: [Option<(Instant, f64)>; 2],
    pub contact: Option<Instant>,
}

/// How much room the parts of the mount had at an attitude of the axes, on the base as it stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seen {
    axes: AxisAngles,
    /// Metres.
    room: f64,
}

/// Far more than the rounding of a clearance, far less than any that matters, in metres.
const ROUNDING: f64 = 1e-9;

impl Plan {
    pub const NOTHING: Self =
        Self { horizon: None, stall: [None; 2], catch: [None; 2], stop: [None; 2], contact: None };
}

impl Mount {
    /// Looks ahead from an instant, after anything has changed the motion.
    pub(super) fn plan_from(&mut self, at: Instant) -> Plan {
        let machine = Arc::clone(&self.machine);
        let spec = &machine.spec;
        let needs_horizon = self.wind.is_some()
            || self.axes.iter().any(|axis| axis.rotor != Rotor::Following)
            || (0..2).any(|axis| {
                let moves = !self.axes[axis].motion.rests();
                let may_be_held = spec.axes[axis].motor.is_some() || spec.axes[axis].stops.is_some();
                self.load_matters(axis) || moves && (may_be_held || spec.body.is_some())
            });
        let mut horizon = at + HORIZON;
        if let Some(wind) = &self.wind {
            horizon = horizon.min(wind.block_ends());
        }
        let end = self.axes.iter().filter_map(|axis| axis.motion.ends).fold(horizon, Instant::min);
        let mut plan = Plan::NOTHING;
        if !self.powered() {
            plan.horizon = needs_horizon.then_some(horizon);
            return plan;
        }
        for axis in 0..2 {
            match self.axes[axis].rotor {
                Rotor::Following => {
                    plan.stall[axis] = self.next_stall(axis, at, end);
                    plan.stop[axis] = self.next_stop(axis, at, end);
                }
                Rotor::Stalled { held_until, .. } => {
                    let from = held_until.map_or(at, |until| until.max(at));
                    plan.catch[axis] = if from < end { self.next_catch(axis, from, end) } else { None };
                }
                Rotor::Jammed { sense, .. } => plan.catch[axis] = self.next_release(axis, sense, at, end),
            }
        }
        plan.contact = self.next_contact(at, end);
        plan.horizon = needs_horizon.then_some(horizon);
        plan
    }

    /// When the torque that an axis asks of its motor first exceeds what that can pull.
    fn next_stall(&self, axis: usize, from: Instant, to: Instant) -> Option<Instant> {
        let motor = self.machine.spec.axes[axis].motor.as_ref()?;
        if self.axes[axis].motion.rests() || self.stall_is_far(axis, motor, from, to) {
            return None;
        }
        let mut at = from;
        loop {
            if self.overloaded(axis, motor, at, 1.0) {
                return Some(at);
            }
            if at >= to {
                return None;
            }
            at = (at + STALL_STEP).min(to);
        }
    }

    /// Whether even the greatest load of any attitude would not stall the motor within an interval.
    fn stall_is_far(&self, axis: usize, motor: &Motor, from: Instant, to: Instant) -> bool {
        let spec = &self.machine.spec.axes[axis];
        let crystal = &self.machine.crystal;
        let (begin, end) = (crystal.controller_time(from), crystal.controller_time(to));
        let motion = &self.axes[axis].motion;
        let rate = motion.greatest_rate(begin, end) * crystal.speed();
        let acceleration = motion.acceleration(begin).abs().max(motion.acceleration(end).abs());
        let wind = self.wind.as_ref().map_or(0.0, |wind| wind.greatest() * wind.spec.lever.metres().abs());
        let load = self.machine.weights.greatest()[axis] + wind;
        // The crystal's own error of the acceleration is far below the margin of a per cent.
        let demand = 1.01 * motor::demand(spec, motor, self.friction(axis), -load, 1.0, acceleration);
        demand < self.voltage(to) * motor::least_pull_out(motor, motor::full_steps_per_second(spec, rate))
    }

    /// Whether an axis asks more than this share of what its motor can pull.
    fn overloaded(&self, axis: usize, motor: &Motor, at: Instant, share: f64) -> bool {
        let spec = &self.machine.spec.axes[axis];
        let crystal = &self.machine.crystal;
        let time = crystal.controller_time(at);
        let motion = &self.axes[axis].motion;
        let rate = motion.rate(time) * crystal.speed();
        if rate == 0.0 {
            return false;
        }
        let acceleration = motion.acceleration(time) * crystal.speed() * crystal.speed();
        let load = self.torques(at)[axis];
        let demand = motor::demand(spec, motor, self.friction(axis), load, rate, acceleration);
        demand > share * self.voltage(at) * motor::pull_out(motor, motor::full_steps_per_second(spec, rate))
    }

    fn voltage(&self, at: Instant) -> f64 {
        voltage_share(&self.supply, at - self.supply_since)
    }

    /// When a stalled rotor catches: as soon as the order is slow enough and asks no more than the motor can pull.
    fn next_catch(&self, axis: usize, from: Instant, to: Instant) -> Option<Instant> {
        let mut at = self.next_slow(axis, from, to)?;
        let Some(motor) = &self.machine.spec.axes[axis].motor else { return Some(at) };
        while self.overloaded(axis, motor, at, CATCHING_SHARE) {
            let later = (at + STALL_STEP).min(to);
            if later <= at {
                return None;
            }
            at = self.next_slow(axis, later, to)?;
        }
        Some(at)
    }

    /// When the order of an axis is slow enough for its rotor to catch.
    fn next_slow(&self, axis: usize, from: Instant, to: Instant) -> Option<Instant> {
        let spec = &self.machine.spec.axes[axis];
        let crystal = &self.machine.crystal;
        // Without a motor's data any rate will do.
        let limit = spec.motor.as_ref().map_or(f64::INFINITY, |motor| motor.catches_below);
        let motion = &self.axes[axis].motion;
        let slow = |at: Instant| {
            let rate = motion.rate(crystal.controller_time(at)) * crystal.speed();
            motor::full_steps_per_second(spec, rate) <= limit
        };
        if slow(from) {
            return Some(from);
        }
        // A rate is a parabola: between its ends and its vertex it is monotone.
        let vertex = self.rate_vertex(axis).filter(|vertex| *vertex > from && *vertex < to);
        let mut begin = from;
        for end in vertex.into_iter().chain([to]) {
            let turns = motion.next_turn(crystal, begin).filter(|turn| *turn < end);
            if let Some(turn) = turns {
                return Some(first_instant(begin, turn, slow));
            }
            if slow(end) {
                return Some(first_instant(begin, end, slow));
            }
            begin = end;
        }
        None
    }

    /// Where the rate of the present piece has its extreme.
    fn rate_vertex(&self, axis: usize) -> Option<Instant> {
        let piece = self.axes[axis].motion.piece();
        let [_, _, c2, c3] = piece.coefficients;
        (c3 != 0.0).then(|| {
            let seconds = (-c2 / (3.0 * c3)).clamp(-1e6, 1e6);
            self.machine.crystal.instant(piece.begin + Span::from_seconds_up(seconds))
        })
    }

    /// When the order of a jammed axis leads away from what it is pressed against.
    fn next_release(&self, axis: usize, sense: f64, from: Instant, to: Instant) -> Option<Instant> {
        let motion = &self.axes[axis].motion;
        if motion.sense_from(&self.machine.crystal, from) == -sense {
            return Some(from);
        }
        motion
            .next_turn(&self.machine.crystal, from)
            .filter(|turn| *turn <= to && motion.sense_from(&self.machine.crystal, *turn) == -sense)
    }

    /// When the motor of an axis meets a hard stop.
    fn next_stop(&self, axis: usize, from: Instant, to: Instant) -> Option<(Instant, f64)> {
        let (low, high) = self.machine.spec.axes[axis].stops?;
        let crystal = &self.machine.crystal;
        let motion = &self.axes[axis].motion;
        let offset = self.axes[axis].offset;
        let position = |at: Instant| motion.position(crystal.controller_time(at)) + offset;
        let beyond = |at: Instant| position(at) >= high.radians() || position(at) <= low.radians();
        let mut begin = from;
        loop {
            let turn = motion.next_turn(crystal, begin).filter(|turn| *turn < to);
            let end = turn.unwrap_or(to);
            if beyond(begin) {
                // At a stop already: only a way that leads on into it is a hit.
                let sense = if position(begin) >= high.radians() { 1.0 } else { -1.0 };
                if motion.sense_from(crystal, begin) == sense {
                    return Some((begin, sense));
                }
            } else if beyond(end) {
                let hit = first_instant(begin, end, beyond);
                return Some((hit, if position(hit) >= high.radians() { 1.0 } else { -1.0 }));
            }
            begin = turn?;
        }
    }

    /// When parts of the mount meet.
    ///
    /// Most moves are short and far from anything: what was seen of the room before, or one look, is enough.
    fn next_contact(&mut self, from: Instant, to: Instant) -> Option<Instant> {
        let machine = Arc::clone(&self.machine);
        let body = machine.spec.body.as_ref()?;
        let follows =
            [0, 1].map(|axis| self.axes[axis].rotor == Rotor::Following && !self.axes[axis].motion.rests());
        if follows == [false; 2] {
            return None;
        }
        let here = self.ordered_axes(from);
        let mut rates = self.greatest_rates(follows, from, to);
        let approach = body.greatest_approach(rates, to - from);
        if let Some(seen) = self.seen
            && seen.room - body.greatest_approach_between(seen.axes, here) > approach + ROUNDING
        {
            return None;
        }
        let geometry = self.chain.geometry();
        let clearance = |at: Instant| body.clearance(geometry, self.ordered_axes(at)).metres();
        let mut begin = from;
        let mut room = body.clearance(geometry, here).metres();
        let seen = Seen { axes: here, room };
        if room > approach {
            self.seen = Some(seen);
            return None;
        }
        while room <= 0.0 {
            // Still in contact: what leads apart is free to go.
            let later = (begin + APART_STEP).min(to);
            let then = clearance(later);
            if then < room {
                return Some(begin);
            }
            if later >= to {
                return None;
            }
            (begin, room) = (later, then);
        }
        if begin > from {
            rates = self.greatest_rates(follows, begin, to);
            if room > body.greatest_approach(rates, to - begin) {
                return None;
            }
        }
        let way = (Span::ZERO, to - begin);
        let room = Length::from_metres(room);
        let axes = |after| self.ordered_axes(begin + after);
        let found = body.first_contact_from(room, geometry, way, rates, Length::ZERO, axes);
        self.seen = Some(seen);
        found.map(|after| begin + after)
    }

    /// Greatest rates of the axes within an interval; nothing for one that doesn't move.
    fn greatest_rates(&self, follows: [bool; 2], from: Instant, to: Instant) -> [AngularRate; 2] {
        let crystal = &self.machine.crystal;
        let (begin, end) = (crystal.controller_time(from), crystal.controller_time(to));
        [0, 1].map(|axis| {
            let moves = follows[axis];
            let rate =
                if moves { self.axes[axis].motion.greatest_rate(begin, end) * crystal.speed() } else { 0.0 };
            AngularRate::from_radians(rate)
        })
    }

    /// The ordered angles as true axis angles.
    pub(super) fn ordered_axes(&self, at: Instant) -> AxisAngles {
        let time = self.machine.crystal.controller_time(at);
        let [first, second] =
            [0, 1].map(|axis| Angle::from_radians(self.axes[axis].ordered_angle(&self.machine, axis, time)));
        AxisAngles { first, second }
    }
}
