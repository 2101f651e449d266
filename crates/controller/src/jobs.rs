//! Work that takes time: begun by a request, ended by an event.

use protocol::{Event, EventKind, Fields};
use units::Span;

/// What kind of work.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Work {
    /// Going to a target.
    Goto {
        /// What it is called.
        target: String,
    },
    /// Coming to rest; names the job that this ended.
    Stopping {
        /// The job that was ended, if there was one.
        ended: Option<u64>,
    },
}

/// The one job under way.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Job {
    /// Its number; a stop without a job before it has none.
    pub(crate) number: Option<u64>,
    pub(crate) work: Work,
    /// When it will have ended, of the computer's time.
    pub(crate) ends: Span,
}

impl Job {
    /// The event that tells its end.
    pub(crate) fn ended(self) -> Event {
        let number = |number: Option<u64>| match number {
            Some(number) => Fields::new().count("job", number),
            None => Fields::new().text("job", "none"),
        };
        match self.work {
            Work::Goto { target } => {
                Event { kind: EventKind::Arrived, fields: number(self.number).text("target", &target) }
            }
            Work::Stopping { ended } => Event { kind: EventKind::Stopped, fields: number(ended) },
        }
    }
}
