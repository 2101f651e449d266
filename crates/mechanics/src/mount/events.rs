//! Events: what changes the mount at an instant, by order or by itself.

use super::Mount;
use super::axis::{Member, Rotor};
use super::motion::Motion;
use super::questions::Contact;
use super::schedule::Cause;
use crate::drive::Room;
use crate::turns::Place;
use crate::weather::factors;
use kinematics::Path;
use units::{Angle, Instant};

/// Something that happened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MountEvent {
    /// When.
    pub at: Instant,
    /// What.
    pub kind: MountEventKind,
}

/// What can happen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MountEventKind {
    /// The order of an axis turned back, so its play will be taken up on the other side.
    Turned {
        /// 0 first, 1 second.
        axis: usize,
    },
    /// The load took an axis off its flank, or laid it against one.
    FlankChanged {
        /// 0 first, 1 second.
        axis: usize,
        /// What the load holds it against now; none while it is left to itself.
        held: Contact,
    },
    /// A rotor stopped following; the dial doesn't know.
    Stalled {
        /// 0 first, 1 second.
        axis: usize,
        /// Why.
        cause: StallCause,
    },
    /// A rotor follows again.
    Caught {
        /// 0 first, 1 second.
        axis: usize,
        /// What it lost: by how much the dial now reads too far in the sense of this angle.
        lost: Angle,
    },
    /// The electronics lost their power: the motors stand, orders go nowhere.
    PowerLost,
    /// The electronics came up again: the dials read home, whatever the axes do.
    Reset,
}

/// Why a rotor stopped following.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StallCause {
    /// More torque was asked than the motor could pull.
    Torque,
    /// A disturbance of the night.
    Forced,
    /// A hard stop of the axis.
    Stop,
    /// Parts of the mount met.
    Collision,
}

impl Mount {
    /// Lets a motor obey a path from `now` on, in place of what it was ordered before. What happens by itself up to
    /// `now` happens first and is told by the next [`Mount::advance`]. A motor without power obeys nothing.
    ///
    /// # Panics
    /// If `now` lies before an event that has happened.
    pub fn order(&mut self, axis: usize, path: Path, now: Instant) {
        self.happen(now);
        if !self.powered() {
            return;
        }
        let motion = Motion::new(path, &self.machine.crystal, now);
        self.change(axis, |state| state.motion = motion);
        self.notice_turn(axis);
        self.replan();
    }

    /// Lets everything happen up to and at `until`, and tells of it in order.
    ///
    /// # Panics
    /// If `until` lies before an event that has happened.
    #[inline]
    pub fn advance(&mut self, until: Instant) -> Vec<MountEvent> {
        self.happen(until);
        std::mem::take(&mut self.told)
    }

    /// When something changes next by itself, if anything does; it may be nothing that is told of.
    pub fn next_event(&self) -> Option<Instant> {
        self.upcoming.map(|next| next.at)
    }

    /// Lets everything happen up to and at `until`.
    #[inline]
    pub(super) fn happen(&mut self, until: Instant) {
        assert!(until >= self.now, "a mount doesn't run backwards");
        while let Some(next) = self.upcoming.filter(|next| next.at <= until) {
            self.now = next.at;
            self.handle(next.cause);
        }
        self.now = until;
    }

    /// Whether something happens up to an instant, so that the present state doesn't answer for it.
    ///
    /// # Panics
    /// If something has changed the mount after `at`: it doesn't remember what it was before.
    #[inline]
    pub(super) fn is_over(&self, at: Instant) -> bool {
        assert!(at >= self.changed, "a mount is asked about an instant before its last event");
        self.upcoming.is_some_and(|next| next.at <= at)
    }

    /// The mount as it will be at a later instant.
    #[cold]
    pub(super) fn later(&self, at: Instant) -> Box<Self> {
        let mut later = Box::new(self.clone());
        later.happen(at);
        later
    }

    fn handle(&mut self, cause: Cause) {
        let at = self.now;
        match cause {
            Cause::Piece(axis) => self.next_piece(axis),
            Cause::PowerOff => self.power_off(None),
            Cause::PowerOn => self.power_on(),
            Cause::Warming => self.follow_temperature(),
            Cause::Turn(axis) => {
                self.settle_wheel(axis);
                self.notice_turn(axis);
                self.refresh();
            }
            Cause::Catch(axis) => self.catch(axis),
            Cause::Stop(axis, sense) => self.jam(axis, sense, StallCause::Stop),
            Cause::Contact => self.collide(),
            Cause::Stall(axis) => self.stall_now(axis, StallCause::Torque, None),
            Cause::Load(axis) => self.change_flank(axis),
            Cause::Arrival(axis) => {
                let Member::Crossing(crossing) = self.axes[axis].member else {
                    unreachable!("only a crossing arrives")
                };
                let leads = crossing.sense > 0.0;
                self.axes[axis].member = if leads { Member::Leading } else { Member::Driving };
                self.tell_flank(axis);
                self.refresh();
            }
            Cause::Step(axis) => {
                if let Member::Crossing(crossing) = self.axes[axis].member {
                    self.begin_crossing(axis, crossing.sense, at);
                }
                self.refresh();
            }
            Cause::Horizon => {
                if let Some(wind) = self.wind.as_mut().filter(|wind| wind.block_ends() <= at) {
                    wind.next_block();
                }
                self.replan();
            }
        }
    }

    pub(super) fn tell(&mut self, kind: MountEventKind) {
        self.told.push(MountEvent { at: self.now, kind });
    }

    fn tell_flank(&mut self, axis: usize) {
        let held = match self.axes[axis].member {
            Member::Leading => Contact::Leading,
            Member::Driving => Contact::Driving,
            Member::Resting { .. } | Member::Crossing(_) => Contact::None,
        };
        self.tell(MountEventKind::FlankChanged { axis, held });
    }

    /// The ordered path goes on to its next piece.
    fn next_piece(&mut self, axis: usize) {
        let crystal = self.machine.crystal;
        self.change(axis, |state| state.motion.step(&crystal));
        self.notice_turn(axis);
        self.replan();
    }

    /// Tells of it if the order now leads the other way than it last led.
    fn notice_turn(&mut self, axis: usize) {
        let sense = self.axes[axis].motion.sense_from(&self.machine.crystal, self.now);
        if sense == 0.0 {
            return;
        }
        let before = std::mem::replace(&mut self.axes[axis].last_sense, sense);
        if before == -sense {
            self.tell(MountEventKind::Turned { axis });
        }
    }

    /// The load changes what holds the wheel.
    fn change_flank(&mut self, axis: usize) {
        let at = self.now;
        let torque = self.torques(at)[axis];
        match self.axes[axis].member {
            Member::Resting { .. } => {
                self.settle_wheel(axis);
                self.begin_crossing(axis, if torque > 0.0 { 1.0 } else { -1.0 }, at);
            }
            _ => {
                let wheel = self.axes[axis].wheel(self.room_at(axis, at), at);
                self.axes[axis].member = Member::Resting { wheel };
            }
        }
        self.tell_flank(axis);
        self.changes[axis] = self.next_change(axis);
        self.refresh();
    }

    /// Takes up the play to this instant: until here the motor ran one way.
    pub(super) fn settle_wheel(&mut self, axis: usize) {
        if let Member::Resting { .. } = self.axes[axis].member {
            let wheel = self.axes[axis].wheel(self.room_at(axis, self.now), self.now);
            self.axes[axis].member = Member::Resting { wheel };
        }
    }

    /// Changes the motion of one axis at this instant: play is taken up to here, and the structure feels the corner.
    pub(super) fn change(&mut self, axis: usize, change: impl FnOnce(&mut super::axis::Axis)) {
        self.settle_wheel(axis);
        let before = self.course(axis);
        change(&mut self.axes[axis]);
        let after = self.course(axis);
        let at = self.now;
        let [step, rate_step] = [after[0] - before[0], after[1] - before[1]];
        self.axes[axis].swing.corner(at, step, rate_step, after[2], after[3]);
        self.settle_wheel(axis);
    }

    /// Position of the rotor, unquantised, and its rate, acceleration and jerk in true time.
    fn course(&self, axis: usize) -> [f64; 4] {
        let state = &self.axes[axis];
        match state.rotor {
            Rotor::Following => {
                let crystal = &self.machine.crystal;
                let time = crystal.controller_time(self.now);
                let [k, k2] = [crystal.speed(), crystal.speed() * crystal.speed()];
                let jerk = 6.0 * state.motion.piece().coefficients[3];
                [
                    state.motion.position(time) + state.offset,
                    state.motion.rate(time) * k,
                    state.motion.acceleration(time) * k2,
                    jerk * k2 * k,
                ]
            }
            Rotor::Stalled { at, .. } | Rotor::Jammed { at, .. } => [at, 0.0, 0.0, 0.0],
        }
    }

    /// The rotor of an axis stands from now on.
    pub(super) fn stall_now(&mut self, axis: usize, cause: StallCause, held_until: Option<Instant>) {
        let at = self.motor_now(axis);
        self.change(axis, |state| state.rotor = Rotor::Stalled { at, held_until });
        self.tell(MountEventKind::Stalled { axis, cause });
        self.replan();
    }

    fn jam(&mut self, axis: usize, sense: f64, cause: StallCause) {
        let at = self.motor_now(axis);
        self.change(axis, |state| state.rotor = Rotor::Jammed { at, sense });
        self.tell(MountEventKind::Stalled { axis, cause });
        self.replan();
    }

    /// Every axis that moves is stopped by what it has met.
    fn collide(&mut self) {
        self.plan.contact = None;
        self.refresh();
        for axis in 0..2 {
            let state = &self.axes[axis];
            let sense = state.motion.sense_from(&self.machine.crystal, self.now);
            if state.rotor == Rotor::Following && sense != 0.0 {
                self.jam(axis, sense, StallCause::Collision);
            }
        }
    }

    /// The rotor follows again, some whole electrical periods behind.
    fn catch(&mut self, axis: usize) {
        let time = self.machine.crystal.controller_time(self.now);
        let cycle = self.machine.drives[axis].cycle;
        let state = &self.axes[axis];
        let (at, forced) = match state.rotor {
            Rotor::Following => unreachable!("only a standing rotor catches"),
            Rotor::Stalled { at, held_until } => (at, held_until.is_some()),
            Rotor::Jammed { at, .. } => (at, false),
        };
        let mut periods = units::maths::rint((state.followed(&self.machine, axis, time) - at) / cycle);
        if forced && periods == 0.0 {
            // A stall loses at least one period, in the sense of the motion.
            let sense = state.motion.sense_from(&self.machine.crystal, self.now);
            periods = if sense < 0.0 { -1.0 } else { 1.0 };
        }
        let lost = periods * cycle;
        self.change(axis, |state| {
            state.rotor = Rotor::Following;
            state.offset -= lost;
        });
        self.tell(MountEventKind::Caught { axis, lost: Angle::from_radians(lost) });
        self.replan();
    }

    pub(super) fn motor_now(&self, axis: usize) -> f64 {
        self.axes[axis].motor(&self.machine, axis, self.machine.crystal.controller_time(self.now))
    }

    /// Gears follow the temperature.
    pub(super) fn follow_temperature(&mut self) {
        let warming = self.course_of_temperature.as_ref().map_or(0.0, |(_, course)| course.warming(self.now));
        for axis in 0..2 {
            self.settle_wheel(axis);
            let (play, friction) = factors(&self.machine.spec.axes[axis], warming);
            self.play_factor[axis] = play;
            self.friction_factor[axis] = friction;
            self.settle_wheel(axis);
        }
        self.replan();
    }

    pub(super) fn next_warming(&self) -> Option<Instant> {
        let (begun, course) = self.course_of_temperature.as_ref()?;
        course.next_step(*begun, self.now)
    }

    /// The room for the wheel of an axis at a position of its motor.
    #[inline]
    pub(super) fn room(&self, axis: usize, motor: &Place) -> Room {
        self.machine.drives[axis].room(&self.machine.turns, motor, self.play_factor[axis])
    }
}
