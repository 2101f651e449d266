//! What may be asked of a mount: pure functions of the instant.

use super::{Mount, axis::Member};
use crate::turns::Place;
use kinematics::{AxisAngles, Geometry};
use nalgebra::{Matrix3, Vector3};
use units::{Angle, Instant, Span};

/// Which flank of the worm touches the wheel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Contact {
    /// None: the wheel floats in its gap.
    None,
    /// The flank that pushes the axis in the positive sense.
    Driving,
    /// The opposite one, against which an axis rests that runs ahead.
    Leading,
}

/// Where an axis is in its play.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlayState {
    /// Which flank touches.
    pub contact: Contact,
    /// Place in the gap: 0 at the driving flank, 1 at the leading one; a half where there is no play.
    pub share: f64,
    /// The play as it is here.
    pub gap: Angle,
    /// Whether the load holds the wheel to its flank, or drives it there: motion of the motor alone doesn't lift it.
    pub loaded: bool,
}

/// The mount at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// What the step counters say.
    pub dials: AxisAngles,
    /// The true angles, zero offsets included.
    pub axes: AxisAngles,
    /// Where the tube points, as a unit vector (east, north, up).
    pub boresight: Vector3<f64>,
}

impl Mount {
    /// What the step counter says, as an angle of the axis (0 first, 1 second).
    pub fn dial(&self, axis: usize, at: Instant) -> Angle {
        if self.is_over(at) {
            return self.later(at).dial(axis, at);
        }
        let time = self.machine.crystal.controller_time(at);
        Angle::from_radians(self.axes[axis].dial(&self.machine, axis, time))
    }

    /// How fast the motor of an axis (0 first, 1 second) turns at most, in radians of its axis per second, from the latest event to
    /// the next one; or in the hour after it, if none comes by itself. The axis itself turns no more than twice as fast: the
    /// slopes of its gears add up to less than 0.9; play and swings, of some arcminutes, come on top.
    pub fn greatest_rate(&self, axis: usize) -> f64 {
        let an_hour_on = self.changed + Span::from_whole_seconds(3600);
        let to = self.upcoming.map_or(an_hour_on, |next| next.at).max(self.changed);
        let [from, to] = [self.changed, to].map(|at| self.machine.crystal.controller_time(at));
        self.axes[axis].motion.greatest_rate(from, to)
    }

    /// The true angles of both axes, zero offsets included.
    pub fn axes(&self, at: Instant) -> AxisAngles {
        if self.is_over(at) {
            return self.later(at).axes(at);
        }
        let [first, second] = self.true_places(at);
        AxisAngles { first: Angle::from_radians(first.at), second: Angle::from_radians(second.at) }
    }

    /// Where the tube points, as a unit vector (east, north, up).
    pub fn boresight(&self, at: Instant) -> Vector3<f64> {
        if self.is_over(at) {
            return self.later(at).boresight(at);
        }
        let [first, second] = self.true_places(at);
        self.boresight_of(first.turn, second.turn, at)
    }

    /// The rigid chain from step counts to the sky, its gears perfect and its structure at rest: slips and lost steps are in
    /// its zero offsets.
    pub fn geometry(&self, at: Instant) -> Geometry {
        if self.is_over(at) {
            return self.later(at).geometry(at);
        }
        let [zero_first, zero_second] = [0, 1].map(|axis| {
            let state = &self.axes[axis];
            Angle::from_radians(self.machine.zeros[axis] + state.slip + state.offset)
        });
        Geometry { zero_first, zero_second, ..*self.chain_at(at).geometry() }
    }

    /// The attitude of the field of view; columns boresight, lateral, tube-up, each as (east, north, up).
    pub fn field_frame(&self, at: Instant) -> Matrix3<f64> {
        if self.is_over(at) {
            return self.later(at).field_frame(at);
        }
        self.chain_at(at).field_frame(self.axes(at))
    }

    /// Where an axis is in its play.
    pub fn play_state(&self, axis: usize, at: Instant) -> PlayState {
        if self.is_over(at) {
            return self.later(at).play_state(axis, at);
        }
        let time = self.machine.crystal.controller_time(at);
        let state = &self.axes[axis];
        let motor = state.motor(&self.machine, axis, time);
        let room = self.room(axis, &self.machine.turns.place(motor));
        let share = state.share(room, at);
        let gap = room.high - room.low;
        let contact = match state.member {
            Member::Leading => Contact::Leading,
            Member::Driving => Contact::Driving,
            _ if gap <= 0.0 => Contact::None,
            _ if share <= 0.0 => Contact::Driving,
            _ if share >= 1.0 => Contact::Leading,
            _ => Contact::None,
        };
        let loaded = !matches!(state.member, Member::Resting { .. });
        PlayState { contact, share, gap: Angle::from_radians(gap), loaded }
    }

    /// Where the +y end of the second axis points (east, north, up): the counterweight shaft of a German mount.
    pub fn second_axis(&self, at: Instant) -> Vector3<f64> {
        if self.is_over(at) {
            return self.later(at).second_axis(at);
        }
        self.chain_at(at).second_axis(self.axes(at).first)
    }

    /// Everything at once: cheaper than asking one by one.
    pub fn pose(&self, at: Instant) -> Pose {
        if self.is_over(at) {
            return self.later(at).pose(at);
        }
        let time = self.machine.crystal.controller_time(at);
        let dial = |axis: usize| Angle::from_radians(self.axes[axis].dial(&self.machine, axis, time));
        let [first, second] = self.true_places(at);
        Pose {
            dials: AxisAngles { first: dial(0), second: dial(1) },
            axes: AxisAngles { first: Angle::from_radians(first.at), second: Angle::from_radians(second.at) },
            boresight: self.boresight_of(first.turn, second.turn, at),
        }
    }

    /// True angles of both axes; events up to `at` have happened.
    #[inline(always)]
    fn true_places(&self, at: Instant) -> [Place; 2] {
        let ordered = self.ordered_places(at);
        let pliant = &self.machine.pliant;
        let torques = if pliant[0].is_rigid() && pliant[1].is_rigid() {
            [0.0; 2]
        } else {
            self.torques_at(at, [ordered[0].turn, ordered[1].turn])
        };
        let time = self.machine.crystal.controller_time(at);
        [
            self.true_place(0, &ordered[0], torques[0], time, at),
            self.true_place(1, &ordered[1], torques[1], time, at),
        ]
    }

    /// True angle of one axis near its ordered one.
    #[inline(always)]
    fn true_place(&self, index: usize, ordered: &Place, torque: f64, time: Span, at: Instant) -> Place {
        let axis = &self.axes[index];
        let wheel = match &axis.still {
            Some(still) => still.wheel,
            None => self.wheel_side(index, axis.motor(&self.machine, index, time), at),
        };
        let zero = self.machine.zeros[index] + axis.slip;
        let angle = wheel + zero + self.yielding(index, torque) + axis.swing.deflection(at);
        Place { at: angle, turn: self.machine.turns.near(ordered, angle) }
    }

    /// Where the tube points at these sines and cosines of the axes.
    #[inline(always)]
    fn boresight_of(&self, first: (f64, f64), second: (f64, f64), at: Instant) -> Vector3<f64> {
        if self.settlings.is_empty() {
            return self.chain.boresight_from_turns(first, second);
        }
        self.chain_at(at).boresight_from_turns(first, second)
    }

    /// Where the wheel stands, with its own error.
    #[inline(always)]
    pub(super) fn wheel_side(&self, index: usize, motor: f64, at: Instant) -> f64 {
        let drive = &self.machine.drives[index];
        if drive.is_plain() && drive.wheel.is_round() {
            return motor;
        }
        let place = self.machine.turns.place(motor);
        let turns = &self.machine.turns;
        let held = match self.axes[index].member {
            Member::Leading => drive.held(turns, &place, true, self.play_factor[index]),
            Member::Driving => drive.held(turns, &place, false, self.play_factor[index]),
            // The order's sense says which flank is the likelier to touch.
            Member::Resting { wheel } => {
                let backwards = self.axes[index].last_sense < 0.0;
                drive.pushed(turns, &place, wheel, backwards, self.play_factor[index])
            }
            Member::Crossing(_) => None,
        };
        let wheel = held.unwrap_or_else(|| self.axes[index].wheel(self.room(index, &place), at));
        if drive.wheel.is_round() {
            return wheel;
        }
        wheel + drive.wheel.error(wheel, self.machine.turns.near(&place, wheel))
    }
}
