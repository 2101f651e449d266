//! Faults: one envelope for all kinds, and those of the wire carried out, bytes in and bytes out.
//!
//! An [`Order`] says which [`Kind`] strikes, in which direction, when, how often, in which bursts and by which
//! stream of draws. A [`Wire`] is one connection with its orders: bytes go in at an instant and come out at the same or a
//! later one, and whatever was changed is told as an [`Injection`] with the bytes before and after.
//!
//! The faults of the mount's computer, motors and clock have the same envelope; what they do is the business of whoever
//! has those.
//!
//! **Invariant:** what doesn't strike leaves every byte and its instant as they were, and a chance of zero never strikes.
//! **Invariant:** how the bytes are cut into pieces changes nothing.
#![forbid(unsafe_code)]

mod chooser;
mod injection;
mod kinds;
mod mismatch;
mod order;
mod pace;
mod page;
mod read;
mod stage;
mod strikes;
mod wire;

pub use chooser::Chooser;
pub use injection::Injection;
pub use kinds::{Group, Kind, KindDoc, Unit};
pub use mismatch::SpeedMismatch;
pub use order::{Axis, Choice, Direction, Order, Parameters};
pub use page::reference_page;
pub use read::OrderError;
pub use wire::{Wire, WireOutput};
