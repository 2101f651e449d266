//! The live bench in a browser: a mount that can be pushed about, drawn from the inside, with lessons.
//!
//! ```text
//! browser ── GET /, /assets ─────────────▶ assets, embedded in the program
//!         ── GET /feed (WebSocket) ◀────── frames: what is true and what is believed, twenty times a second; the line's traffic
//!         ── GET /api/… ─────────────────▶ lessons, names, errors over time, the scenario
//!         ── POST /act ──────────────────▶ one action of whoever holds the controls
//!                                              │
//!                                Room ── link::Line (the same lines as on any wire) ── bench::live::Live
//! ```
//!
//! It computes no physics: whatever is drawn comes from [`bench::live`], whatever moves the mount goes over the line.
//!
//! **Invariants.** Nothing changes by GET. Every request shows an allowed `Host`; the feed and every action an `Origin` that is the
//! page's own; actions a pass, given over the feed alone. What a client can make the server keep is bounded by [`Limits`]; a
//! client that doesn't read is skipped, never waited for.
#![forbid(unsafe_code)]

mod accept;
mod act;
mod assets;
mod facts;
mod feed;
mod frames;
mod guard;
pub mod lesson;
mod passes;
mod progress;
mod read;
mod room;
mod show;

pub use accept::{Page, PageError, serve};
pub use facts::{FACTS, Fact, reference_page};
pub use guard::Tokens;
pub use lesson::{Lesson, LessonError};
pub use room::Limits;
