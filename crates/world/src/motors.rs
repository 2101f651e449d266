//! The one opening in the wall: orders go through to the motors, step counts come back.

use crate::journal::{Journal, Record};
use controller::{Axis, CorrectionOrder, Motors};
use kinematics::path::Path;
use mechanics::{CorrectionTable, Mount};
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

    fn correct(&mut self, axis: Axis, order: CorrectionOrder) {
        if let Some(journal) = &mut self.journal {
            journal.record(self.time, Record::Correct(axis, order.clone()));
        }
        match order {
            CorrectionOrder::Play(on) => self.mount.play_correction(axis.index(), on, self.now),
            CorrectionOrder::Load(bins) => {
                let table = CorrectionTable::from_bins(&bins).expect("the computer's tables are whole");
                self.mount
                    .load_correction(axis.index(), table, self.now)
                    .expect("the computer was told how steep a correction its drive takes");
            }
        }
    }
}
