//! Faults of a wire: bytes in, bytes out, every draw from a seeded stream.
//!
//! A fault that doesn't strike leaves every byte as it was.
#![forbid(unsafe_code)]

mod mismatch;

pub use mismatch::SpeedMismatch;
