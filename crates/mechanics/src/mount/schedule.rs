//! What happens next: everything that is known to come, and the first of it.

use super::Mount;
use super::axis::{Member, Rotor, Still};
use super::plan::Plan;
use units::Instant;

/// Causes of an event, in the order in which they happen at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cause {
    Piece(usize),
    PowerOff,
    PowerOn,
    Warming,
    // Before what the load does: at the end of a block of wind nothing may wait for the next one.
    Horizon,
    Turn(usize),
    Catch(usize),
    Stop(usize, f64),
    Contact,
    Stall(usize),
    Load(usize),
    Arrival(usize),
    Step(usize),
}

/// The next event.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Upcoming {
    pub at: Instant,
    pub(super) cause: Cause,
}

impl Mount {
    /// Looks ahead anew after the motion, the load or the gears have changed.
    pub(super) fn replan(&mut self) {
        let at = self.now;
        for axis in &mut self.axes {
            // What was kept of a resting axis may be what has just changed.
            axis.still = None;
        }
        for axis in 0..2 {
            if let Member::Crossing(crossing) = self.axes[axis].member {
                self.begin_crossing(axis, crossing.sense, at);
            }
        }
        self.plan = self.plan_from(at);
        self.changes = [self.next_change(0), self.next_change(1)];
        self.refresh();
    }

    /// When the load next changes what holds the wheel of an axis, as far as the plan looks.
    pub(super) fn next_change(&self, axis: usize) -> Option<Instant> {
        if !self.load_matters(axis) {
            return None;
        }
        let ends = self.axes.iter().filter_map(|axis| axis.motion.ends);
        let end = ends.chain(self.plan.horizon).min()?;
        self.first_change(axis, self.now, end)
    }

    /// Finds the next event among all that are known.
    pub(super) fn refresh(&mut self) {
        self.changed = self.now;
        self.remember_still();
        let mut next: Option<Upcoming> = None;
        let mut offer = |at: Option<Instant>, cause: Cause| {
            if let Some(at) = at
                && next.is_none_or(|next| at < next.at)
            {
                next = Some(Upcoming { at, cause });
            }
        };
        // At one instant the first offer wins: the order here is the order of `Cause`.
        for axis in 0..2 {
            offer(self.axes[axis].motion.ends, Cause::Piece(axis));
        }
        let Plan { horizon, stall, catch, stop, contact } = &self.plan;
        offer(self.power_ends(), Cause::PowerOff);
        offer(self.power_begins(), Cause::PowerOn);
        offer(self.next_warming(), Cause::Warming);
        offer(*horizon, Cause::Horizon);
        for axis in 0..2 {
            let turn = self.axes[axis].motion.next_turn(&self.machine.crystal, self.now);
            offer(turn, Cause::Turn(axis));
        }
        for axis in 0..2 {
            offer(catch[axis], Cause::Catch(axis));
            if let Some((at, sense)) = stop[axis] {
                offer(Some(at), Cause::Stop(axis, sense));
            }
        }
        offer(*contact, Cause::Contact);
        for (axis, stall) in stall.iter().enumerate() {
            offer(*stall, Cause::Stall(axis));
        }
        for axis in 0..2 {
            offer(self.changes[axis], Cause::Load(axis));
            if let Member::Crossing(crossing) = &self.axes[axis].member {
                offer(Self::arrival(crossing), Cause::Arrival(axis));
                offer(Some(crossing.until), Cause::Step(axis));
            }
        }
        self.upcoming = next;
    }

    /// Keeps where a wheel stands whose motor rests: most of the night one of the two does.
    fn remember_still(&mut self) {
        let time = self.machine.crystal.controller_time(self.now);
        for axis in 0..2 {
            let state = &self.axes[axis];
            let moves = state.rotor == Rotor::Following && !state.motion.rests();
            let crosses = matches!(state.member, Member::Crossing(_));
            let ordered = state.ordered_angle(&self.machine, axis, time);
            self.axes[axis].still = (!moves && !crosses).then(|| Still {
                wheel: self.wheel_side(axis, self.motor_now(axis), self.now),
                ordered: self.machine.turns.place(ordered),
            });
        }
    }
}
