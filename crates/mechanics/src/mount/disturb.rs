//! Disturbances: what a night does to a mount, each an event at an instant.

use super::axis::Rotor;
use super::events::{MountEventKind, StallCause};
use super::motion::Motion;
use super::{Mount, Power};
use crate::load::up_in;
use crate::spec::{Battery, Supply};
use crate::weather::{TemperatureCourse, flat_after};
use crate::wind::{Wind, WindSpec};
use kinematics::{Chain, Path, frames};
use nalgebra::{Matrix3, Vector3};
use units::Streams;
use units::{Angle, Instant, Span, maths};

/// A base that sinks: by `north` and `east` in the end, most of it in the first `time`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Settling {
    begins: Instant,
    north: f64,
    east: f64,
    time: f64,
}

impl Mount {
    /// Something knocks an axis to a new angle: it jumps by `angle` past its clutch, and the structure swings about the
    /// new place.
    pub fn knock(&mut self, axis: usize, angle: Angle, now: Instant) {
        self.happen(now);
        self.axes[axis].slip += angle.radians();
        self.axes[axis].swing.corner_of_knock(now, angle.radians());
        self.replan();
    }

    /// The clutch of an axis slips by `angle`, held by a hand: nothing swings.
    pub fn clutch_slip(&mut self, axis: usize, angle: Angle, now: Instant) {
        self.happen(now);
        self.axes[axis].slip += angle.radians();
        self.replan();
    }

    /// The tube is pushed aside by `angle` about an axis and springs back. A stiff mount springs back at once.
    pub fn bump(&mut self, axis: usize, angle: Angle, now: Instant) {
        self.happen(now);
        self.axes[axis].swing.push(now, angle.radians());
        self.changed = now;
    }

    /// A foot meets the tripod: the base turns, so that the first axis's upper end (north end of an hour axis) rises by
    /// `north_end_up` and goes east by `north_end_east` in azimuth.
    pub fn tripod_kick(&mut self, north_end_up: Angle, north_end_east: Angle, now: Instant) {
        self.happen(now);
        self.turn_base(&(frames::rz(-north_end_east) * frames::rx(north_end_up)));
    }

    /// The base comes to lean further at once, its vertical axis by `north` and `east`.
    pub fn lean(&mut self, north: Angle, east: Angle, now: Instant) {
        self.happen(now);
        self.turn_base(&frames::lean_rotation(north, east));
    }

    fn turn_base(&mut self, turn: &Matrix3<f64>) {
        self.base = turn * self.base;
        self.chain = self.chain.on_base(self.base);
        self.base_moved();
        self.replan();
    }

    /// The tripod begins to sink into the ground: the base's vertical axis comes to lean by `north` and `east`, as
    /// 1 − e^(−t/time).
    ///
    /// # Panics
    /// If `time` is not positive.
    pub fn settling(&mut self, north: Angle, east: Angle, time: Span, now: Instant) {
        assert!(time > Span::ZERO, "settling takes time");
        self.happen(now);
        self.changed = now;
        self.settlings.push(Settling {
            begins: now,
            north: north.radians(),
            east: east.radians(),
            time: time.seconds(),
        });
    }

    /// A wind rises (or changes), its gusts drawn from the stream `wind` of its number; none is calm.
    pub fn wind(&mut self, wind: Option<WindSpec>, streams: &Streams, number: u64, now: Instant) {
        self.happen(now);
        self.wind = wind.map(|spec| Wind::new(spec, now, &mut streams.stream("wind", number)));
        self.base_moved();
        self.replan();
    }

    /// The power fails for a while: motors stand, orders go nowhere, and at its end the dials read home.
    pub fn brown_out(&mut self, duration: Span, now: Instant) {
        self.happen(now);
        if self.powered() {
            self.power_off(Some(now + duration));
        }
    }

    /// The motor of an axis stalls. It stands for at least `lasts` and catches again as soon as the ordered rate allows,
    /// having lost at least four full steps.
    pub fn stall(&mut self, axis: usize, lasts: Span, now: Instant) {
        self.happen(now);
        if self.powered() && self.axes[axis].rotor == Rotor::Following {
            self.stall_now(axis, StallCause::Forced, Some(now + lasts));
        }
    }

    /// The motor of an axis loses steps: it falls behind its count by `angle`, to the nearest whole electrical periods and at
    /// least one (a stepper slips by whole periods of four full steps). It needn't move for that.
    pub fn lose_steps(&mut self, axis: usize, angle: Angle, now: Instant) {
        self.happen(now);
        if !self.powered() {
            return;
        }
        let cycle = self.machine.drives[axis].cycle;
        let sense = if angle < Angle::ZERO { -1.0 } else { 1.0 };
        let lost = sense * cycle * maths::rint(angle.radians().abs() / cycle).max(1.0);
        self.change(axis, |state| state.offset -= lost);
        self.tell(MountEventKind::Caught { axis, lost: Angle::from_radians(lost) });
        self.replan();
    }

    /// The count of an axis jumps by `angle`, to the nearest microstep, while its motor stays where it is.
    pub fn count_slip(&mut self, axis: usize, angle: Angle, now: Instant) {
        self.happen(now);
        if !self.powered() {
            return;
        }
        let jump = self.machine.drives[axis].quantised(angle.radians());
        let crystal = self.machine.crystal;
        self.change(axis, |state| {
            let path = state.motion.path().shifted(Span::ZERO, Angle::from_radians(jump));
            state.motion = Motion::new(path, &crystal, now);
            state.offset -= jump;
        });
        self.replan();
    }

    /// The mount's temperature follows a course from now on; its gears follow in steps of a minute.
    pub fn temperature(&mut self, course: TemperatureCourse, now: Instant) {
        self.happen(now);
        self.course_of_temperature = Some((now, course));
        self.follow_temperature();
    }

    /// The mount runs from this battery from now on.
    pub fn battery(&mut self, battery: Battery, now: Instant) {
        self.happen(now);
        self.supply = Supply::Battery(battery);
        self.supply_since = now;
        self.replan();
    }

    /// When the power next fails or comes back, as far as is known.
    pub fn next_power_change(&self) -> Option<Instant> {
        self.power_ends().or(self.power_begins())
    }

    /// Whether the electronics have power.
    pub fn powered(&self) -> bool {
        self.power == Power::On
    }

    /// When the battery will reset the electronics.
    pub(super) fn power_ends(&self) -> Option<Instant> {
        if !self.powered() {
            return None;
        }
        flat_after(&self.supply).map(|age| (self.supply_since + age).max(self.now))
    }

    pub(super) fn power_begins(&self) -> Option<Instant> {
        match self.power {
            Power::On => None,
            Power::Off { until } => until,
        }
    }

    /// Motors stand where they are.
    pub(super) fn power_off(&mut self, until: Option<Instant>) {
        let time = self.machine.crystal.controller_time(self.now);
        for axis in 0..2 {
            let at = self.motor_now(axis);
            let dial = self.axes[axis].dial(&self.machine, axis, time);
            let hold =
                Motion::new(Path::hold(time, Angle::from_radians(dial)), &self.machine.crystal, self.now);
            self.change(axis, |state| {
                state.motion = hold;
                state.rotor = Rotor::Stalled { at, held_until: None };
            });
        }
        self.power = Power::Off { until };
        self.tell(MountEventKind::PowerLost);
        self.replan();
    }

    /// The electronics come up: they believe to be at home, and know of a correction only by an index mark.
    pub(super) fn power_on(&mut self) {
        let crystal = self.machine.crystal;
        let time = crystal.controller_time(self.now);
        let homes = [self.machine.home.first, self.machine.home.second];
        for (axis, home) in homes.into_iter().enumerate() {
            let standing = self.motor_now(axis);
            let drive = &self.machine.drives[axis];
            let offset = drive.quantised(standing) - drive.quantised(home.radians());
            let motion = Motion::new(Path::hold(time, home), &crystal, self.now);
            self.change(axis, |state| {
                state.motion = motion;
                state.rotor = Rotor::Following;
                state.offset = offset;
                if !state.index_mark {
                    state.correction = None;
                }
            });
        }
        self.power = Power::On;
        self.tell(MountEventKind::Reset);
        self.replan();
    }

    /// Up and the wind as the base sees them; what was seen of the room between its parts holds no longer.
    pub(super) fn base_moved(&mut self) {
        self.up = up_in(&self.base);
        self.seen = None;
        if let Some(wind) = &self.wind {
            let (s, c) = wind.spec.from.sin_cos();
            self.toward = self.base.tr_mul(&Vector3::new(-s, -c, 0.0));
            self.sail = crate::load::Weights::of_tube(wind.spec.lever.metres());
        }
    }

    /// The chain as the base stands at an instant.
    #[inline]
    pub(super) fn chain_at(&self, at: Instant) -> Chain {
        if self.settlings.is_empty() {
            return self.chain;
        }
        self.chain.on_base(self.lean_at(at) * self.base)
    }

    /// The turn of the base that all settlings together have come to.
    fn lean_at(&self, at: Instant) -> Matrix3<f64> {
        let (mut north, mut east) = (0.0, 0.0);
        for settling in &self.settlings {
            let share = 1.0 - maths::exp(-(at - settling.begins).seconds() / settling.time);
            north += settling.north * share;
            east += settling.east * share;
        }
        frames::lean_rotation(Angle::from_radians(north), Angle::from_radians(east))
    }
}
