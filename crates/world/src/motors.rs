//! The one opening in the wall: orders go through to the motors, step counts come back.

use crate::journal::{Journal, Record};
use controller::{Axis, Motors};
use kinematics::path::Path;
use mechanics::Mount;
use units::{Angle, Instant, Span};

/// The motors as the computer sees them at one instant.
pub(crate) struct Counters<'a> {
    pub(crate) mount: &'a mut Mount,
    pub(crate) now: Instant,
    pub(crate) time: Span,
    pub(crate) journal: Option<&'a mut Journal>,
}

impl Motors for Counters<'_> {
    fn dial(&mut self, axis: Axis) -> Angle {
        let dial = self.mount.dial(axis.index(), self.now);
        if let Some(journal) = &mut self.journal {
            journal.record(self.time, Record::Dial(axis, dial));
        }
        dial
    }

    fn order(&mut self, axis: Axis, path: Path) {
        if let Some(journal) = &mut self.journal {
            journal.record(self.time, Record::Order(axis, path.clone()));
        }
        self.mount.order(axis.index(), path, self.now);
    }
}
