//! What a trial came to beside the night's own figures.

use super::ears::Ears;
use super::notes::Notes;
use units::{Angle, Instant, Share, Span};
use world::World;

/// From a fault to the first good answer after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovery {
    /// When it struck.
    pub struck: Instant,
    /// When the program had a good answer to a request that it had sent since; `None` if never.
    pub recovered: Option<Instant>,
}

/// A trial's own figures.
#[derive(Clone, Debug, PartialEq)]
pub struct TrialAccount {
    /// Targets of the night.
    pub targets: usize,
    /// How many of them the program reached.
    pub reached: usize,
    /// Connections that it made.
    pub connections: u64,
    /// Lines that it sent.
    pub lines: u64,
    /// Bytes that it sent.
    pub bytes: u64,
    /// Events that it was sent.
    pub events: u64,
    /// Lines that it sent again before they were answered.
    pub repeated: u64,
    /// Lines that the mount refused: when, the line, the reply.
    pub refusals: Vec<(Instant, String, String)>,
    /// Refusals of which it took no notice.
    pub refusals_ignored: u64,
    /// Looks after an arrival, and at how many of them the play was taken up.
    pub arrivals: usize,
    /// See there.
    pub taken_up: usize,
    /// Most lines in a minute in which nothing was under way.
    pub idle_lines: u64,
    /// How far an axis was moved at most after a stop, while nobody had ordered anything.
    pub motion_after_stop: Angle,
    /// How often the mount came to the end of what it may do.
    pub limits_met: u64,
    /// Least distance from the Sun while it was up; `None` if it never was.
    pub sun_distance: Option<Angle>,
    /// Every fault from which the program had to recover.
    pub recoveries: Vec<Recovery>,
    /// The longest recovery, one that never came until now.
    pub recovery_time: Span,
    /// Faults from which it never recovered.
    pub never_recovered: usize,
}

impl TrialAccount {
    /// Share of the targets that were reached; `None` without targets.
    pub fn share_reached(&self) -> Option<Share> {
        (self.targets > 0).then(|| Share::from_fraction(self.reached as f64 / self.targets as f64))
    }

    /// Share of the arrivals at which the play was taken up; `None` without arrivals.
    pub fn share_taken_up(&self) -> Option<Share> {
        (self.arrivals > 0).then(|| Share::from_fraction(self.taken_up as f64 / self.arrivals as f64))
    }
}

pub(super) fn account(notes: &Notes, ears: &Ears, world: &World) -> TrialAccount {
    let mut ears = ears.clone();
    ears.note_strikes(world);
    let (targets, reached) = notes.reached();
    let (recovery_time, never_recovered) = ears.longest_recovery(world.now());
    let recovery = |(struck, recovered): &(Instant, Option<Instant>)| Recovery {
        struck: *struck,
        recovered: *recovered,
    };
    TrialAccount {
        targets,
        reached,
        connections: ears.connections,
        lines: ears.lines,
        bytes: ears.bytes,
        events: ears.events,
        repeated: ears.repeated,
        refusals: notes.refusals.clone(),
        refusals_ignored: notes.refusals_ignored,
        arrivals: notes.taken_up.1,
        taken_up: notes.taken_up.0,
        idle_lines: ears.busiest_idle_minute(),
        motion_after_stop: notes.moved_after_stop,
        limits_met: notes.limits_met,
        sun_distance: notes.sun.nearest(),
        recoveries: ears.recoveries.iter().map(recovery).collect(),
        recovery_time,
        never_recovered,
    }
}
