//! Other people's programs on trial: a night's mount at the end of a line, the program beside it, and a verdict.
//!
//! ```text
//! Prepared ─▶ WatchedWorld ─▶ link::Server ◀── line ── the program, a process group of its own
//!                  │                                        │
//!             Outcome, TrialAccount                       Ending
//!                  └───────────────▶ TrialOutcome ◀─────────┘
//! ```
//!
//! - [`run`]: one trial
//! - [`matrix`]: scenarios × faults × seeds, and the fewest faults with which a failure still fails
//! - [`dialect`]: a program's own language on the wire in place of ours
#![forbid(unsafe_code)]

pub mod dialect;
mod ending;
pub mod matrix;
mod orders;
mod program;
mod results;
mod run;

pub use ending::Ending;
pub use orders::{read_order, read_orders, usual_fault, usual_order};
pub use results::{trial_json, trial_text};
pub use run::{Options, TrialError, TrialOutcome, Way, run};
