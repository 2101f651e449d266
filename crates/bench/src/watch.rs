//! A night that somebody else plays: a program at the end of a line steers, and the bench looks on.
//!
//! What is measured is what a person's night is measured by: the miss three seconds after each arrival, the tracking in dwells;
//! and beside it what only a program's night has: lines, refusals, faults and what came after them.

mod account;
mod ears;
mod notes;

pub use account::{Recovery, TrialAccount};

use crate::journal::JournalHead;
use crate::outcome::Outcome;
use crate::play::{belief, told};
use crate::prepare::Prepared;
use crate::{statistics, verdicts};
use ears::Ears;
use notes::Notes;
use protocol::{Device, Request, Session};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use units::Instant;
use world::{Allowed, World, WorldSpec};

/// The world of a night with the bench looking on, as the device that a program talks to.
#[derive(Debug)]
pub struct WatchedWorld {
    world: World,
    notes: Arc<Mutex<Notes>>,
    ears: Ears,
}

/// How a trial stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pulse {
    /// The present instant.
    pub now: Instant,
    /// Connections that were made.
    pub connections: u64,
    /// Those of them that are still open.
    pub open: usize,
    /// Lines that the program sent.
    pub lines: u64,
    /// Most lines within a second of the night.
    pub busiest_second: u64,
    /// Whether everything that the night asks for was reached, and looked at for as long as it says.
    pub all_done: bool,
}

impl Prepared {
    /// The same night on another world: with faults added or left out.
    pub fn with_world(&self, world: WorldSpec) -> Self {
        Self { world, ..self.clone() }
    }

    /// The night's targets, each as its dwell in seconds and the request that goes there: `900s goto name="M 42"`.
    pub fn target_lines(&self) -> Vec<String> {
        let line = |intent: &observer::Intent| {
            let request = Request::Goto { aim: intent.aim.clone(), side: protocol::Side::Auto };
            format!("{:.0}s {}", intent.dwell.seconds(), request.to_line())
        };
        self.evening.intents.iter().map(line).collect()
    }

    /// The world of this night at its begin, with the bench looking on.
    pub fn on_trial(&self) -> WatchedWorld {
        self.looking_on(self.world())
    }

    /// The same, with a journal written, and the begin of that journal. `with` are the faults that this night has beyond its
    /// scenario's, each in the words by which it was ordered.
    pub fn on_trial_with_journal(&self, allowed: Allowed, with: &[String]) -> (WatchedWorld, String) {
        let head = JournalHead { with: with.to_vec(), ..self.journal_head(allowed) };
        let (world, text) = self.world_with_head(head);
        (self.looking_on(world), text)
    }

    fn looking_on(&self, mut world: World) -> WatchedWorld {
        let notes = Arc::new(Mutex::new(Notes::new(self)));
        let watcher: world::SharedWatcher = notes.clone();
        world.watched_by(watcher);
        WatchedWorld { world, notes, ears: Ears::default() }
    }

    /// When this night ends.
    pub fn end(&self) -> Instant {
        self.end
    }
}

impl WatchedWorld {
    /// The world behind it.
    pub fn world(&mut self) -> &mut World {
        &mut self.world
    }

    /// The present instant.
    pub fn now(&self) -> Instant {
        self.world.now()
    }

    /// How it stands.
    pub fn pulse(&self) -> Pulse {
        Pulse {
            now: self.world.now(),
            connections: self.ears.connections,
            open: self.ears.open(),
            lines: self.ears.lines,
            busiest_second: self.ears.busiest_second,
            all_done: self.notes().all_done(),
        }
    }

    fn notes(&self) -> MutexGuard<'_, Notes> {
        self.notes.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What the night came to so far: as of a person's night, with the trial's own account.
    pub fn outcome(&mut self, prepared: &Prepared) -> (Outcome, TrialAccount) {
        let mut notes = self.notes().clone();
        notes.finish(&self.world.truth());
        let account = account::account(&notes, &self.ears, &self.world);
        let gotos = notes.rows(prepared, &self.world);
        let summary = statistics::summary(&gotos, &notes.dwells, &notes.samples, 0);
        let verdicts = verdicts::judge_with(&prepared.plan.expect, &summary, Some(&account));
        let outcome = Outcome {
            scene: prepared.scene(&[], Vec::new()),
            model: belief::model(&self.world, None),
            gotos,
            dwells: notes.dwells,
            samples: notes.samples,
            faults: told::faults(&self.world, &prepared.world.faults),
            cautions: notes.sun.cautions(),
            ..prepared.bare(summary, verdicts)
        };
        (outcome, account)
    }
}

impl Device for WatchedWorld {
    fn connect(&mut self) -> Session {
        let session = self.world.connect();
        self.ears.connected(session);
        session
    }

    fn disconnect(&mut self, session: Session) {
        self.ears.disconnected(session);
        self.world.disconnect(session);
    }

    fn receive(&mut self, session: Session, bytes: &[u8]) {
        let idle = self.notes().idle();
        self.ears.said(session, bytes, self.world.now(), idle);
        self.world.receive(session, bytes);
    }

    fn transmit(&mut self, session: Session, out: &mut Vec<u8>) {
        let before = out.len();
        self.world.transmit(session, out);
        self.ears.heard(session, &out[before..], &self.world);
    }

    fn next_wake(&self) -> Option<Instant> {
        self.world.next_wake()
    }

    fn advance(&mut self, until: Instant) {
        self.world.advance(until);
    }

    fn closes(&self, session: Session) -> bool {
        self.world.closes(session)
    }
}
