//! A short fingerprint of bytes: not against forgery, but to tell two states apart.

use std::fmt;

/// The hash of Fowler, Noll and Vo, 64 bits, variant 1a (RFC 9923), of what was written so far.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fnv(u64);

impl Fnv {
    /// Of nothing yet.
    pub const EMPTY: Self = Self(0xcbf2_9ce4_8422_2325);

    /// Takes further bytes in.
    pub fn push(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }

    /// The fingerprint.
    pub const fn value(self) -> u64 {
        self.0
    }
}

/// Texts go in as their bytes; this never fails.
impl fmt::Write for Fnv {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.push(text.as_bytes());
        Ok(())
    }
}
