//! Lines that wait: for a slow line, for a line that stands still, for room.

use units::{Instant, Span};

/// Bits on the line for each byte: a start bit, eight data bits, a stop bit.
const BITS_PER_BYTE: f64 = 10.0;

/// How long so many bytes take.
pub(crate) fn time_of(bytes: usize, bits_per_second: u32) -> Span {
    Span::from_seconds(bytes as f64 * BITS_PER_BYTE / f64::from(bits_per_second.max(1)))
}

/// A line that carries one thing after another.
#[derive(Clone, Debug)]
pub(crate) struct Pace {
    /// When what was sent so far has passed.
    free: Instant,
}

impl Pace {
    pub(crate) fn new(from: Instant) -> Self {
        Self { free: from }
    }

    /// When something that comes at `due` and takes so long has passed.
    pub(crate) fn pass(&mut self, due: Instant, takes: Span) -> Instant {
        self.free = self.free.max(due) + takes;
        self.free
    }

    /// When something that comes at `due` and is held up by so much has come, after all that came before it.
    pub(crate) fn follow(&mut self, due: Instant, late: Span) -> Instant {
        self.free = self.free.max(due + late);
        self.free
    }

    /// Whether something is still on the way at an instant.
    pub(crate) fn busy_at(&self, at: Instant) -> bool {
        self.free > at
    }
}

/// A receiver's buffer, emptied at a steady pace.
#[derive(Clone, Debug)]
pub(crate) struct Bucket {
    level: f64,
    at: Instant,
}

impl Bucket {
    pub(crate) fn new(from: Instant) -> Self {
        Self { level: 0.0, at: from }
    }

    /// How many of the bytes that come together at an instant find room.
    pub(crate) fn admit(&mut self, at: Instant, bytes: usize, room: u32, bits_per_second: u32) -> usize {
        let drained = (at - self.at).seconds().max(0.0) * f64::from(bits_per_second) / BITS_PER_BYTE;
        self.level = (self.level - drained).max(0.0);
        self.at = self.at.max(at);
        // A sender needs time for its bytes too, at the usual speed; what waits meanwhile is what counts.
        let free = (f64::from(room) - self.level).max(0.0) as usize;
        let taken = bytes.min(free);
        self.level += taken as f64;
        taken
    }
}
