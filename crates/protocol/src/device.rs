//! What a transport talks to: a mount with its connections, without any input or output of its own.

use units::Instant;

/// One connection. Numbers are given out by the device and not used again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Session(pub u32);

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
}
