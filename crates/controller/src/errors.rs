//! The log of what went wrong, bounded.

use crate::Controller;
use protocol::{ErrorsEntry, Event, EventKind, Fields, Refusal, RefusalKind};
use units::Span;

/// How many entries the log keeps.
const KEPT: usize = 16;

#[derive(Clone, Debug)]
struct Entry {
    utc: String,
    kind: EventKind,
    /// How many entries were lost before this one.
    dropped: u64,
}

/// The log, oldest entry first.
#[derive(Clone, Debug, Default)]
pub(crate) struct Log {
    entries: Vec<Entry>,
}

impl Log {
    /// Adds an entry; in a full log it takes the last place and counts what it drops.
    fn add(&mut self, utc: String, kind: EventKind) {
        let mut dropped = 0;
        if self.entries.len() == KEPT {
            dropped = self.entries.pop().map_or(0, |last| last.dropped + 1);
        }
        self.entries.push(Entry { utc, kind, dropped });
    }
}

impl Controller {
    /// Tells of something that went wrong, and logs it.
    pub(crate) fn tell(&mut self, kind: EventKind, fields: Fields, now: Span, events: &mut Vec<Event>) {
        self.log.add(self.belief.utc_text(now), kind);
        events.push(Event { kind, fields });
    }

    pub(crate) fn errors(&mut self, entry: ErrorsEntry) -> Result<Fields, Refusal> {
        let number = match entry {
            ErrorsEntry::Clear => {
                self.log.entries.clear();
                None
            }
            ErrorsEntry::Show(number) => number,
        };
        let count = self.log.entries.len();
        let fields = Fields::new().count("count", count as u64);
        let number = match number {
            Some(number) => number as usize,
            None if count == 0 => return Ok(fields),
            None => count,
        };
        let Some(entry) = number.checked_sub(1).and_then(|index| self.log.entries.get(index)) else {
            let sentence = format!("there is no entry {number}; the log has {count}");
            return Err(Refusal::new(RefusalKind::OutOfRange, sentence));
        };
        Ok(fields
            .count("entry", number as u64)
            .text("utc", &entry.utc)
            .text("kind", entry.kind.word())
            .count("dropped", entry.dropped))
    }
}
