//! Carries the line language: a server for anything that is a [`protocol::Device`], and a client.
//!
//! ```text
//! TCP listener ─┐                 ┌─ one task for each connection: bounded queue, deadlines, token
//! pseudo-terminal ─┤  Server ─────┤
//! serial device ───┤              └─ one clock: wall time × N becomes the device's virtual time
//! in-memory pipe ──┘
//! ```
//!
//! It knows no physics and no verbs but `stop`, with which it ends. What it adds to the language on its own, a token at the
//! beginning and a reason at the end, is in [`gate`] and [`Reason`].
//!
//! **Invariant:** no connection can make the server keep more than [`Limits`] allow, nor make another wait.
//! **Invariant:** `unsafe` stands in the module of the pseudo-terminal alone.

mod address;
mod client;
mod clock;
mod connection;
mod engine;
mod error;
pub mod gate;
mod handle;
mod incoming;
mod limits;
mod paced;
#[cfg(target_os = "linux")]
mod pseudo_terminal;
mod serial;
mod server;
mod tcp;
pub mod vet;

pub use address::Address;
pub use client::{Answer, AnyStream, Client, ClientError, ClientOptions, Event};
pub use clock::Clock;
pub use connection::Reason;
pub use error::LinkError;
pub use gate::Token;
pub use handle::{Handle, Line};
pub use limits::Limits;
pub use paced::{Baud, paced};
#[cfg(target_os = "linux")]
pub use pseudo_terminal::{PseudoTerminal, PtyStream};
pub use serial::open_serial;
pub use server::{Counts, Server};
pub use tcp::bind;
