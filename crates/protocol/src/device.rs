//! What a transport talks to: a mount with its connections, without any input or output of its own.

use crate::request::{FaultKind, WireDirection};
use units::Instant;

/// One connection. Numbers are given out by the device and not used again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Session(pub u32);

/// What a fault of the wire has done once.
#[derive(Clone, Debug, PartialEq)]
pub struct WireStrike {
    /// The number of the order; `None` for a fault that nobody ordered over the wire.
    pub number: Option<u64>,
    /// Which fault.
    pub kind: FaultKind,
    /// Whose bytes.
    pub session: Session,
    /// Which way they went.
    pub direction: WireDirection,
    /// The bytes as they came.
    pub before: Vec<u8>,
    /// The bytes as they went on.
    pub after: Vec<u8>,
}

/// A device that speaks the line language. The caller owns the clock: nothing happens inside but what
/// [`Device::advance`] and [`Device::receive`] make happen.
pub trait Device {
    /// A new connection.
    fn connect(&mut self) -> Session;

    /// A connection has ended; what it had not sent is dropped.
    fn disconnect(&mut self, session: Session);

    /// Bytes have come in, cut in any way. Whole lines are obeyed at once, at the present instant.
    fn receive(&mut self, session: Session, bytes: &[u8]);

    /// Appends to `out` what the device has to say to this connection, and forgets it.
    fn transmit(&mut self, session: Session, out: &mut Vec<u8>);

    /// When the device will next have something to do by itself, if ever.
    fn next_wake(&self) -> Option<Instant>;

    /// Lets time pass up to `until`.
    fn advance(&mut self, until: Instant);

    /// Whether the device wants this connection to end, as after a fault of the line. Whoever carries the bytes asks after each
    /// call that may have changed it.
    fn closes(&self, session: Session) -> bool {
        let _ = session;
        false
    }
}
