//! Somebody who looks on: measures the truth and hears every line, and touches nothing.

use crate::World;
use crate::truth::Truth;
use protocol::{Event, Frame, Session};
use std::fmt::Debug;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use units::Instant;

/// Looks on at a world, wherever its time is moved from. What it does changes no bit of the world.
pub trait Watcher: Debug + Send {
    /// When it wants to look next. Each look must move it on.
    fn next_look(&self) -> Option<Instant>;

    /// It is at least as late as it asked for.
    fn look(&mut self, truth: &Truth<'_>);

    /// The mount has answered a line; without power it says nothing.
    fn answered(&mut self, session: Session, frame: &Frame, reply: &str, truth: &Truth<'_>);

    /// The mount has told of an event.
    fn told(&mut self, event: &Event, truth: &Truth<'_>);
}

/// A watcher as a world has it. A world that is cloned shares it.
pub type SharedWatcher = Arc<Mutex<dyn Watcher>>;

/// A watcher whose holder panicked has plain notes in it.
fn held(watcher: &SharedWatcher) -> MutexGuard<'_, dyn Watcher + 'static> {
    watcher.lock().unwrap_or_else(PoisonError::into_inner)
}

impl World {
    /// Lets somebody look on from now on, in place of whoever did before.
    pub fn watched_by(&mut self, watcher: SharedWatcher) {
        self.watcher = Some(watcher);
        self.look_ahead();
    }

    pub(crate) fn next_look(&self) -> Option<Instant> {
        held(self.watcher.as_ref()?).next_look()
    }

    pub(crate) fn let_look(&self) {
        let Some(watcher) = &self.watcher else { return };
        let mut watcher = held(watcher);
        while watcher.next_look().is_some_and(|at| at <= self.now) {
            watcher.look(&self.truth());
        }
    }

    pub(crate) fn let_hear(&self, session: Session, frame: &Frame, reply: &str) {
        if let Some(watcher) = &self.watcher {
            held(watcher).answered(session, frame, reply, &self.truth());
        }
    }

    pub(crate) fn let_know(&self, event: &Event) {
        if let Some(watcher) = &self.watcher {
            held(watcher).told(event, &self.truth());
        }
    }
}
