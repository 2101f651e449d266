//! Couples the truth and the machine: one virtual clock, one queue of events.
//!
//! [`World`] holds a [`mechanics::Mount`] (truth), a [`controller::Controller`] (belief) and the sessions that talk to
//! it. The controller touches the mount through [`controller::Motors`] alone, on a newtype of this crate; the
//! [`Journal`] records every such touch. [`World::truth`] is for whoever measures, never for the controller.
//!
//! Time passes in [`World::advance_to`] alone. Events mutate, questions don't.
#![forbid(unsafe_code)]

mod device;
mod disturbance;
mod journal;
mod motors;
mod operator;
mod replay;
mod transcript;
mod truth;
mod watcher;
mod wires;

pub use disturbance::{BaseMove, Disturbance};
pub use journal::{Journal, Record};
pub use mechanics::{Contact, PeriodicError, PlayState, Pose, RefitError};
pub use operator::{Allowed, FaultsAllowed};
pub use replay::{JournalError, Replay, Replayed};
pub use truth::{Sample, Truth};
pub use watcher::{SharedWatcher, Watcher};

use controller::{Controller, Settings};
use device::Sessions;
use mechanics::{Mount, MountEvent, MountEventKind, MountSpec, SpecError};
use motors::Counters;
use operator::Orders;
use protocol::Event;
use sky::{Air, Geocentre, Site, Station};
use std::collections::VecDeque;
use std::sync::Arc;
use transcript::Transcript;
use units::{Instant, Span, Streams};
use wires::Wires;

/// Everything that a world begins with.
#[derive(Clone, Debug)]
pub struct WorldSpec {
    /// The true instant of power-on.
    pub begin: Instant,
    /// The true site.
    pub site: Site,
    /// The true air.
    pub air: Air,
    /// The true UT1 − TAI.
    pub ut1_minus_tai: Span,
    /// The mount as matter.
    pub mount: MountSpec,
    /// What its computer knows.
    pub settings: Settings,
    /// What strikes it, by rising instant.
    pub disturbances: Vec<(Instant, Disturbance)>,
    /// What goes wrong on the wires, and what of the mount's own faults waits for a line.
    pub faults: Vec<faults::Order>,
    /// Where random draws of the night begin.
    pub streams: Streams,
    /// Geocentric places, shared by whoever needs them: pure functions of the instant.
    pub geocentre: Arc<Geocentre>,
}

/// A mount under a sky, with its computer, at an instant.
#[derive(Clone, Debug)]
pub struct World {
    begin: Instant,
    now: Instant,
    mount: Mount,
    station: Station,
    controller: Controller,
    sessions: Sessions,
    journal: Option<Journal>,
    transcript: Option<Transcript>,
    events: Vec<Event>,
    coming: VecDeque<(Instant, Disturbance)>,
    streams: Streams,
    struck: u64,
    happened: Vec<Happening>,
    allowed: Allowed,
    orders: Orders,
    /// When the computer next does something by itself, or the night does something to the mount. Kept, since it is
    /// asked far more often than it changes.
    due: Option<Instant>,
    wires: Wires,
    watcher: Option<SharedWatcher>,
    /// From when on it looks along all motion. Kept, since it is asked at every step of time.
    looked_along_from: Option<Instant>,
}

/// Something that the night did to the mount, for whoever tells of the night.
#[derive(Clone, Debug, PartialEq)]
pub enum Happening {
    /// A disturbance struck.
    Struck(Instant, Disturbance),
    /// Something happened in the mount itself.
    Mount(MountEvent),
}

impl World {
    /// Switches the mount on.
    ///
    /// # Errors
    /// A specification that can't be a mount.
    pub fn new(spec: WorldSpec) -> Result<Self, SpecError> {
        let mount = Mount::new(spec.mount, spec.begin, spec.settings.home)?;
        let mut world = Self {
            begin: spec.begin,
            now: spec.begin,
            mount,
            station: Station::new(spec.site, spec.air, spec.ut1_minus_tai),
            controller: Controller::new(spec.settings, spec.geocentre),
            sessions: Sessions::default(),
            journal: None,
            transcript: None,
            events: Vec::new(),
            coming: spec.disturbances.into(),
            streams: spec.streams.clone(),
            struck: 0,
            happened: Vec::new(),
            allowed: Allowed::default(),
            orders: Orders::default(),
            wires: Wires::new(spec.streams),
            due: None,
            watcher: None,
            looked_along_from: None,
        };
        for (index, order) in spec.faults.into_iter().enumerate() {
            world.order_fault(operator::FIRST_SCHEDULED + index, order);
        }
        world.look_ahead();
        Ok(world)
    }

    /// Keeps a journal from now on.
    pub fn keep_journal(&mut self) {
        self.journal.get_or_insert_default();
    }

    /// What was recorded so far, if a journal is kept.
    pub fn journal(&self) -> Option<&Journal> {
        self.journal.as_ref()
    }

    /// The present instant.
    pub fn now(&self) -> Instant {
        self.now
    }

    /// What the mount's computer believes.
    pub fn controller(&self) -> &Controller {
        &self.controller
    }

    /// What the time since power-on is by the crystal of the mount's computer.
    pub fn computer_time(&self) -> Span {
        self.mount.crystal().controller_time(self.now)
    }

    /// What is true now.
    pub fn truth(&self) -> Truth<'_> {
        Truth::new(&self.mount, &self.station, self.now)
    }

    /// What the night has done to the mount so far: disturbances, stalls, resets.
    pub fn happened(&self) -> &[Happening] {
        &self.happened
    }

    /// Lets time pass, and everything happen that is due up to and at `until`. An instant in the past changes nothing.
    pub fn advance_to(&mut self, until: Instant) {
        self.tell_due();
        while let Some(due) = self.due.filter(|due| *due <= until) {
            self.step_to(due.max(self.now));
            self.strike();
            self.strike_ordered();
            // The computer is without power from the instant on at which it fails, whoever looks when.
            self.step_to(self.now);
            // What is due comes before lines that come at the same instant, as it does in a replay.
            if !self.wires.frozen_at(self.now) {
                self.wake_controller();
            }
            self.carry();
            self.let_look();
            self.look_ahead();
            self.tell_due();
        }
        if until > self.now {
            self.step_to(until);
        }
    }

    /// Something befalls the mount at this instant that was not foreseen when the night began: a visitor's hand.
    pub fn befall(&mut self, disturbance: Disturbance) {
        self.tell_befallen(&disturbance);
        self.strike_now(disturbance);
        self.look_ahead();
    }

    /// Lets something strike at this instant that was not foreseen.
    fn strike_now(&mut self, disturbance: Disturbance) {
        self.coming.push_front((self.now, disturbance));
        self.strike();
        self.step_to(self.now);
    }

    /// Puts other matter in place of the old at this instant, as [`Mount::refit`] does; the computer notices nothing.
    ///
    /// # Errors
    /// As [`Mount::refit`]; nothing has changed then.
    pub fn refit(&mut self, spec: MountSpec) -> Result<(), RefitError> {
        self.mount.refit(spec, self.now)?;
        self.look_ahead();
        Ok(())
    }

    /// Finds out anew when something is due: after the computer was asked or woken, after the night has struck, and after
    /// anything has moved on a wire.
    pub(crate) fn look_ahead(&mut self) {
        self.due = self.due_again().into_iter().chain(self.wires.next_due()).chain(self.next_look()).min();
    }

    /// When something is due that is due in a replay of the journal, too: there nothing is under way on a wire, and nobody looks on.
    pub(crate) fn due_again(&self) -> Option<Instant> {
        let wake = self.controller.next_wake().filter(|_| self.wires.is_awake());
        let wake = wake.map(|time| self.mount.crystal().instant(time));
        let strike = self.coming.front().map(|(at, _)| *at);
        let power = self.mount.next_power_change();
        let others = [strike, self.orders.next_due(), power, self.wires.thaws()];
        wake.into_iter().chain(others.into_iter().flatten()).min()
    }

    /// Lets the mount be at an instant, and tells the computer of a power failure on the way.
    fn step_to(&mut self, instant: Instant) {
        self.now = instant;
        for event in self.pass() {
            self.tell_mount(&event);
            match event.kind {
                MountEventKind::Turned { .. } | MountEventKind::FlankChanged { .. } => continue,
                MountEventKind::PowerLost => self.befalls_controller(event.at, Record::PowerLost),
                MountEventKind::Reset => self.befalls_controller(event.at, Record::Restarted),
                MountEventKind::Stalled { .. } | MountEventKind::Caught { .. } => {}
            }
            self.happened.push(Happening::Mount(event));
        }
    }

    /// Lets everything strike that is due.
    fn strike(&mut self) {
        while self.coming.front().is_some_and(|(at, _)| *at <= self.now) {
            let Some((at, disturbance)) = self.coming.pop_front() else { break };
            disturbance.strike(self.struck, &mut self.mount, &self.streams, self.now);
            match disturbance {
                Disturbance::ClockJump(by) => self.befalls_controller(self.now, Record::ClockJump(by)),
                Disturbance::Mishap(mishap) => self.befalls_controller(self.now, Record::Mishap(mishap)),
                Disturbance::Freeze(lasts) => self.freeze(self.now + lasts),
                _ => {}
            }
            self.struck += 1;
            self.let_feel();
            self.tell_struck(disturbance.word());
            self.happened.push(Happening::Struck(at, disturbance));
        }
    }

    /// Something happens to the computer without anybody's asking: power, clock.
    fn befalls_controller(&mut self, at: Instant, what: Record) {
        let time = self.mount.crystal().controller_time(at);
        if let Some(journal) = &mut self.journal {
            journal.record(time, what.clone());
        }
        // The motors are read and ordered as they are by now: nothing else happened to them since.
        let mut motors =
            Counters { mount: &mut self.mount, now: self.now, time, journal: self.journal.as_mut() };
        match what {
            Record::PowerLost => self.controller.power_lost(time),
            Record::Restarted => self.controller.restarted(time, &mut motors, &mut self.events),
            Record::ClockJump(by) => self.controller.clock_jump(by, time, &mut motors),
            Record::Mishap(mishap) => self.controller.befall(mishap, time, &mut motors, &mut self.events),
            other => unreachable!("{other:?} doesn't befall a computer"),
        }
        self.tell_events(time);
        self.look_ahead();
    }

    fn wake_controller(&mut self) {
        let time = self.mount.crystal().controller_time(self.now);
        if let Some(journal) = &mut self.journal {
            journal.record(time, Record::Wake);
        }
        let mut motors =
            Counters { mount: &mut self.mount, now: self.now, time, journal: self.journal.as_mut() };
        self.controller.wake(time, &mut motors, &mut self.events);
        self.tell_events(time);
    }

    fn tell_events(&mut self, time: Span) {
        let mut events = std::mem::take(&mut self.events);
        for event in events.drain(..) {
            self.let_know(&event);
            let mut line = String::new();
            event.push_to(&mut line);
            if let Some(journal) = &mut self.journal {
                journal.record(time, Record::Event(line.clone()));
            }
            self.tell_event(&line);
            self.sessions.tell(&line, event.kind, &self.controller);
        }
        // Its room is used again.
        self.events = events;
    }
}
