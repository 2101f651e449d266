//! The mount's computer: request lines in, motor orders and reply lines out.
//!
//! It sees step counts, its own clock and what was typed in, and nothing else. The clock is handed in with every call, as
//! the time since power-on by its own crystal. Time passes for it only in [`Controller::wake`].
//!
//! **Invariant:** this crate never imports `mechanics`. A dial is what a motor counted, never where the axis is.
#![forbid(unsafe_code)]

mod answer;
mod belief;
mod goto;
mod jobs;
mod motion;
mod motors;
mod requests;
mod settings;

pub use belief::Belief;
pub use motors::{Axis, Motors};
pub use settings::Settings;

use jobs::Job;
use motion::Motion;
use protocol::Event;
use units::Span;

/// The mount's computer.
#[derive(Clone, Debug)]
pub struct Controller {
    settings: Settings,
    belief: Belief,
    motion: Motion,
    job: Option<Job>,
    jobs_begun: u64,
}

impl Controller {
    /// Switches it on, at time zero of its crystal, with both axes at rest on the dials of the settings.
    pub fn new(settings: Settings, geocentre: std::sync::Arc<sky::Geocentre>) -> Self {
        let belief = Belief::new(&settings, geocentre);
        let motion = Motion::resting(settings.home);
        Self { settings, belief, motion, job: None, jobs_begun: 0 }
    }

    /// What it was told when it was switched on.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// What it believes about time, site and its own geometry.
    pub fn belief(&self) -> &Belief {
        &self.belief
    }

    /// The next moment at which it has something to do by itself.
    pub fn next_wake(&self) -> Option<Span> {
        [self.job.as_ref().map(|job| job.ends), self.motion.limit_at()].into_iter().flatten().min()
    }

    /// Does what is due at `now`, and tells of it.
    pub fn wake(&mut self, now: Span, motors: &mut impl Motors, events: &mut Vec<Event>) {
        if self.job.as_ref().is_some_and(|job| job.ends <= now)
            && let Some(job) = self.job.take()
        {
            events.push(job.ended());
        }
        if self.motion.limit_at().is_some_and(|at| at <= now) {
            self.rest_at_limit(now, motors, events);
        }
    }
}
