//! Events: what changes the mount at an instant.

use super::Mount;
use super::motion::Motion;
use crate::drive::Room;
use kinematics::Path;
use units::Instant;

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
    /// The motor of an axis turned back: its play is taken up anew.
    Turned {
        /// Which axis.
        axis: usize,
    },
}

impl Mount {
    /// Lets a motor obey a path from `now` on, in place of what it was ordered before.
    ///
    /// # Panics
    /// If `now` lies before an event that has happened.
    pub fn order(&mut self, axis: usize, path: Path, now: Instant) {
        let _ = self.advance(now);
        self.axes[axis].motion = Motion::new(path, &self.machine.crystal, now);
    }

    /// Lets everything happen up to and at `until`, and tells of it.
    ///
    /// # Panics
    /// If `until` lies before an event that has happened.
    pub fn advance(&mut self, until: Instant) -> Vec<MountEvent> {
        assert!(until >= self.now, "a mount doesn't run backwards");
        while let Some(at) = self.next_event().filter(|at| *at <= until) {
            for axis in &mut self.axes {
                if axis.motion.ends == Some(at) {
                    axis.motion.step(&self.machine.crystal);
                }
            }
            self.now = at;
        }
        self.now = until;
        Vec::new()
    }

    /// When something changes next by itself, if anything does.
    pub fn next_event(&self) -> Option<Instant> {
        self.axes.iter().filter_map(|axis| axis.motion.ends).min()
    }

    /// The mount as it will be at a later instant, if something happens until then.
    pub(super) fn later(&self, at: Instant) -> Option<Self> {
        if self.next_event().is_none_or(|next| at < next) {
            return None;
        }
        let mut later = self.clone();
        let _ = later.advance(at);
        Some(later)
    }

    /// The room for the wheel of an axis at a position of its motor.
    pub(super) fn room(&self, axis: usize, motor: f64) -> Room {
        self.machine.drives[axis].room(&self.machine.turns, motor, 1.0)
    }
}
