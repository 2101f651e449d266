//! The mount's computer: request lines in, motor orders and reply lines out.
//!
//! It sees step counts, its own clock and what was typed in, and nothing else. The clock is handed in with every call, as
//! the time since power-on by its own crystal. Time passes for it only in [`Controller::wake`].
//!
//! What the axes do is a *base motion* that goes on for ever (rest, a steady rate, or cubics that follow something) and what is
//! *laid over* it for a while: the way of a go-to, a nudge, a guide correction.
//!
//! **Invariants:** this crate never imports `mechanics`: a dial is what a motor counted, never where the axis is. A request that
//! is refused has changed nothing: whatever can be refused is found out before anything is changed.
#![forbid(unsafe_code)]

mod align;
mod answer;
mod approach;
mod belief;
mod correction;
mod digest;
mod errors;
mod flank;
mod follower;
mod goal;
mod goto;
mod guard;
mod home;
mod jobs;
mod keep;
mod mishap;
mod motion;
mod motors;
mod next_star;
mod nudge;
mod play;
mod polar;
mod power;
mod propose;
mod requests;
mod sessions;
mod setting;
mod settings;
mod sun;
mod suspicion;
mod sync;
mod take_up;
mod target;
mod tracking;

pub use belief::Belief;
pub use correction::Worm;
pub use mishap::Mishap;
pub use motors::{Axis, CorrectionOrder, Motors};
pub use next_star::{LOWEST_TARGET, effort};
pub use propose::proposal_rules;
pub use settings::Settings;

use errors::Log;
use jobs::{Job, Jobs};
use motion::{Motion, OverKind};
use protocol::{Event, EventKind, Fields, TrackAxes};
use sessions::Sessions;
use units::Span;

/// The mount's computer.
#[derive(Clone, Debug)]
pub struct Controller {
    settings: Settings,
    /// What it was told when it was switched on first.
    first: Box<Settings>,
    belief: Belief,
    motion: Motion,
    alignment: align::Alignment,
    correction: correction::Correction,
    /// The centring of a star that the next one is held against, for the play.
    first_centring: Option<alignment::Sighting>,
    job: Option<Job>,
    jobs: Jobs,
    log: Log,
    sessions: Sessions,
    /// Which axes tracking turns, now and from the next go-to on.
    track_axes: TrackAxes,
    parked: bool,
    powered: bool,
    /// Until when it takes itself to be busy.
    stuck_until: Option<Span>,
    /// Counts the times that it was switched on: dials of two such spells have no common zero.
    power_on: u32,
    /// Whether the power last went while the tube was away from home.
    left_home: bool,
}

impl Controller {
    /// Switches it on, at time zero of its crystal, with both axes at rest on the dials of the settings.
    pub fn new(settings: Settings, geocentre: std::sync::Arc<sky::Geocentre>) -> Self {
        let belief = Belief::new(&settings, geocentre);
        let track_axes = settings.track_axes();
        let motion = Motion::resting(Span::ZERO, settings.home, track_axes);
        let correction = correction::Correction::with(settings.correction.clone());
        Self {
            first: Box::new(settings.clone()),
            settings,
            belief,
            motion,
            alignment: align::Alignment::default(),
            correction,
            first_centring: None,
            job: None,
            jobs: Jobs::default(),
            log: Log::default(),
            sessions: Sessions::default(),
            track_axes,
            parked: false,
            powered: true,
            stuck_until: None,
            power_on: 0,
            left_home: false,
        }
    }

    /// What it was told when it was switched on, and since.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// What it believes about time, site and its own geometry.
    pub fn belief(&self) -> &Belief {
        &self.belief
    }

    /// The next moment at which it has something to do by itself; it may be in the past, and is then due at once.
    pub fn next_wake(&self) -> Option<Span> {
        if !self.powered {
            return None;
        }
        let follower = self.motion.follower.as_ref().filter(|follower| !follower.ended);
        [
            self.job.as_ref().map(|job| job.ends),
            self.motion.over_ends(),
            self.recording_ends(),
            follower.map(|follower| follower.renew_at()),
            self.motion.watched_from,
            self.motion.happening.map(|happening| happening.at),
            if self.waits_for_nothing() { Some(Span::ZERO) } else { self.jobs.wait_ends() },
        ]
        .into_iter()
        .flatten()
        .min()
    }

    /// Does what is due at `now`, and tells of it.
    pub fn wake(&mut self, now: Span, motors: &mut impl Motors, events: &mut Vec<Event>) {
        if !self.powered {
            return;
        }
        self.end_overs(now, motors, events);
        self.end_job(now, events);
        self.end_recording(now, motors, events);
        self.extend_base(now, motors);
        self.watch(now);
        self.meet(now, motors, events);
        self.tell_waiting(now, events);
    }

    /// What was laid over the base motion and has ended becomes part of it.
    fn end_overs(&mut self, now: Span, motors: &mut impl Motors, events: &mut Vec<Event>) {
        if self.motion.over_ends().is_none_or(|ends| ends > now) {
            return;
        }
        let held = |over: &motion::Over| over.kind == OverKind::Nudge { held: true };
        let let_go = self.motion.over.iter().flatten().any(held);
        let nudged = self.fold(now);
        if nudged || self.motion.stale {
            self.follow_from_here(now, motors);
        }
        if let_go {
            self.tell(EventKind::DeadMan, Fields::new(), now, events);
        }
    }
}
