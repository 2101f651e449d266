//! Somebody who looks on: measures the truth and hears every line, and touches nothing.

use crate::World;
use crate::truth::Truth;
use controller::Controller;
use mechanics::MountEvent;
use protocol::{Event, Frame, Session};
use std::fmt::Debug;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use units::Instant;

/// Looks on at a world, wherever its time is moved from. What it does changes no bit of the world. Whoever looks on chooses what
/// to look at; what isn't chosen is passed over.
pub trait Watcher: Debug + Send {
    /// When it wants to look next. Each look must move it on.
    fn next_look(&self) -> Option<Instant> {
        None
    }

    /// It is at least as late as it asked for.
    fn look(&mut self, truth: &Truth<'_>) {
        let _ = truth;
    }

    /// The mount has answered a line; without power it says nothing.
    fn answered(&mut self, session: Session, frame: &Frame, reply: &str, truth: &Truth<'_>) {
        let _ = (session, frame, reply, truth);
    }

    /// The mount has told of an event.
    fn told(&mut self, event: &Event, truth: &Truth<'_>) {
        let _ = (event, truth);
    }

    /// From when on it wants to look along all motion, not at single instants alone; never if `None`.
    fn looks_along_from(&self) -> Option<Instant> {
        None
    }

    /// Time passes from the instant of `truth` until `to`, and neither is anything ordered nor does anything happen in between:
    /// [`Truth::later`] tells of every instant on the way. `computer` is what steers then.
    fn passes(&mut self, truth: &Truth<'_>, to: Instant, computer: &Controller) {
        let _ = (truth, to, computer);
    }

    /// Something has struck the mount at this instant: it may have jumped.
    fn jolted(&mut self) {}
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
        self.looked_along_from = held(&watcher).looks_along_from();
        self.watcher = Some(watcher);
        self.look_ahead();
    }

    /// Lets time pass for the mount until the present instant, from where it was; and lets somebody look along.
    pub(crate) fn pass(&mut self) -> Vec<MountEvent> {
        let (instant, mut events) = (self.now, Vec::new());
        if let Some(watcher) =
            self.watcher.as_ref().filter(|_| self.looked_along_from.is_some_and(|from| from < instant))
        {
            let mut watcher = held(watcher);
            while self.mount.now() < instant {
                let from = self.mount.now();
                let to = self.mount.next_event().map_or(instant, |next| next.clamp(from, instant));
                if to > from {
                    let truth = Truth::new(&self.mount, &self.station, from);
                    watcher.passes(&truth, to, &self.controller);
                }
                events.append(&mut self.mount.advance(to));
            }
            self.looked_along_from = watcher.looks_along_from();
        }
        events.append(&mut self.mount.advance(instant));
        events
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

    pub(crate) fn let_feel(&self) {
        if let Some(watcher) = &self.watcher {
            held(watcher).jolted();
        }
    }

    pub(crate) fn let_know(&self, event: &Event) {
        if let Some(watcher) = &self.watcher {
            held(watcher).told(event, &self.truth());
        }
    }
}
