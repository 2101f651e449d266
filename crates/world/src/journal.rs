//! What passed between the computer and everything else, in order.

use controller::{Axis, CorrectionOrder, Mishap};
use kinematics::path::Path;
use protocol::{Frame, Session, WireStrike};
use units::{Angle, Span};

/// One thing that passed.
#[derive(Clone, Debug, PartialEq)]
pub enum Record {
    /// A line came in.
    Request(Session, Frame),
    /// Its reply went out.
    Reply(Session, String),
    /// A line came in for the bench, not for the mount.
    BenchRequest(Session, Frame),
    /// Its reply went out.
    BenchReply(Session, String),
    /// A fault of the wire struck.
    WireStrike(WireStrike),
    /// The computer's own alarm went off.
    Wake,
    /// The power failed.
    PowerLost,
    /// The power came back.
    Restarted,
    /// The computer's clock jumped forward by as much, untold.
    ClockJump(Span),
    /// Something went wrong in the computer itself.
    Mishap(Mishap),
    /// An event went out to all sessions.
    Event(String),
    /// The computer read a motor's step count.
    Dial(Axis, Angle),
    /// The computer gave a motor an order.
    Order(Axis, Path),
    /// The computer told a drive about its correction.
    Correct(Axis, CorrectionOrder),
}

/// Records in order, each with the computer's own time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Journal {
    records: Vec<(Span, Record)>,
}

impl Journal {
    pub(crate) fn record(&mut self, time: Span, record: Record) {
        self.records.push((time, record));
    }

    /// All records.
    pub fn records(&self) -> &[(Span, Record)] {
        &self.records
    }
}
