//! Quantities as types, and their texts.
//!
//! Inside the program a quantity is a type that holds SI (radians, seconds, metres, newton-metres, pascals);
//! at every edge (scenario file, wire, JSON) it is a number with its unit. This crate is the only place where
//! one becomes the other.
//!
//! - [`Angle`], [`AngularRate`], [`AngularAcceleration`], [`AngularJerk`]: rotation and its derivatives
//! - [`Instant`], [`Span`]: integer nanoseconds of International Atomic Time (TAI)
//! - [`Length`], [`Torque`], [`Stiffness`], [`Pressure`], [`Temperature`], [`Share`], [`PartsPerMillion`], …
//! - [`Quantity`]: reads a text such as `"4 arcmin"` or `5h35m17.3s`; [`QuantityError`] points into the text
//! - [`Fixed`]: numbers with a fixed count of decimals, written fast
//! - [`Fnv`]: a fingerprint of bytes
//! - [`Streams`]: named streams of random numbers, one per cause
//! - [`maths`]: the transcendental functions that all core crates use, the same bits on every platform
#![forbid(unsafe_code)]

mod angle;
mod fixed;
mod fnv;
mod instant;
pub mod maths;
mod quantity;
mod scalars;
mod streams;
mod text;

pub use angle::{Angle, AngularAcceleration, AngularJerk, AngularRate};
pub use fixed::{Fixed, push_digits};
pub use fnv::Fnv;
pub use instant::{Instant, Span};
pub use quantity::{Quantity, QuantityError, nearest};
pub use scalars::{
    Frequency, Length, PartsPerMillion, Pressure, Share, Speed, Stiffness, Temperature, Torque,
};
pub use streams::{Stream, StreamName, Streams};
