//! Couples the truth and the machine: one virtual clock, one queue of events.
//!
//! [`World`] holds a [`mechanics::Mount`] (truth), a [`controller::Controller`] (belief) and the sessions that talk to
//! it. The controller touches the mount through [`controller::Motors`] alone, on a newtype of this crate; the
//! [`Journal`] records every such touch. [`World::truth`] is for whoever measures, never for the controller.
//!
//! Time passes in [`World::advance_to`] alone. Events mutate, questions don't.
#![forbid(unsafe_code)]

mod device;
mod journal;
mod motors;
mod truth;

pub use journal::{Journal, Record};
pub use truth::{Sample, Truth};

use controller::{Controller, Settings};
use device::Sessions;
use mechanics::{Mount, MountSpec, SpecError};
use motors::Counters;
use protocol::Event;
use sky::{Air, Geocentre, Site, Station};
use std::sync::Arc;
use units::{Instant, Span};

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
    /// Geocentric places, shared by whoever needs them: pure functions of the instant.
    pub geocentre: Arc<Geocentre>,
}

/// A mount under a sky, with its computer, at an instant.
#[derive(Debug)]
pub struct World {
    now: Instant,
    mount: Mount,
    station: Station,
    controller: Controller,
    sessions: Sessions,
    journal: Option<Journal>,
    events: Vec<Event>,
}

impl World {
    /// Switches the mount on.
    ///
    /// # Errors
    /// A specification that can't be a mount.
    pub fn new(spec: WorldSpec) -> Result<Self, SpecError> {
        let mount = Mount::new(spec.mount, spec.begin, spec.settings.home)?;
        Ok(Self {
            now: spec.begin,
            mount,
            station: Station::new(spec.site, spec.air, spec.ut1_minus_tai),
            controller: Controller::new(spec.settings, spec.geocentre),
            sessions: Sessions::default(),
            journal: None,
            events: Vec::new(),
        })
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

    /// What is true now.
    pub fn truth(&self) -> Truth<'_> {
        Truth::new(&self.mount, &self.station, self.now)
    }

    /// Lets time pass, and everything happen that is due up to and at `until`. An instant in the past changes nothing.
    pub fn advance_to(&mut self, until: Instant) {
        while let Some(due) = self.next_due().filter(|due| *due <= until) {
            self.step_to(due.max(self.now));
            self.wake_controller();
        }
        if until > self.now {
            self.step_to(until);
        }
    }

    /// When the computer next does something by itself.
    fn next_due(&self) -> Option<Instant> {
        self.controller.next_wake().map(|time| self.mount.crystal().instant(time))
    }

    fn step_to(&mut self, instant: Instant) {
        let _turns = self.mount.advance(instant);
        self.now = instant;
    }

    fn wake_controller(&mut self) {
        let time = self.mount.crystal().controller_time(self.now);
        if let Some(journal) = &mut self.journal {
            journal.record(time, Record::Wake);
        }
        let mut motors =
            Counters { mount: &mut self.mount, now: self.now, time, journal: self.journal.as_mut() };
        self.controller.wake(time, &mut motors, &mut self.events);
        for event in self.events.drain(..) {
            let mut line = String::new();
            event.push_to(&mut line);
            if let Some(journal) = &mut self.journal {
                journal.record(time, Record::Event(line.clone()));
            }
            self.sessions.tell_all(&line);
        }
    }
}
