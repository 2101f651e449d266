//! The person at the mount: sets it up, types lines, looks through finder and eyepiece, and knows nothing else.
//!
//! What the person is handed are the traits of [`seat`]: a [`Line`] to type at, an [`EyepieceView`] to look through, a
//! [`Crowd`] of visitors whose hands and feet they can't hold, and the [`Bolts`] of the polar axis. Whoever plays a night implements them.
//!
//! - [`setup`]: what a person of a given care sets up before dark, drawn from named streams
//! - [`observe`]: the evening: the alignment star by star, what a star tells of the gears, then target by target with visitors and
//!   recoveries
//! - [`Person::of`]: the usual skills of a care; each may be set by itself
//!
//! A star is seen as a [`seat::Spot`] in a field, turned and mirrored as the eye sees it; a press of a key is a line
//! `nudge direction=west rate=20x for=1.250s`. Every draw has a stream of its own, by cause and number.
//!
//! **Invariant:** this crate imports neither `world` nor `controller` nor `mechanics`: no truth and no belief can be
//! seen from here.
#![forbid(unsafe_code)]

mod alignment;
mod centring;
mod chart;
mod doubt;
mod evening;
mod guiding;
mod hands;
mod keys;
mod lines;
mod person;
mod play;
mod polar;
pub mod seat;
pub mod setup;
mod sighting;
mod visitors;

pub use alignment::{AlignmentIntent, Method, Purpose, Sighting, SightingEnding};
pub use chart::bright_stars_near;
pub use doubt::Doubt;
pub use evening::{Account, Ending, Evening, Intent, LaterSighting, Replaced, SETTLING, Told, observe};
pub use guiding::{Recording, RecordingEnding, RecordingIntent};
pub use person::{Approach, Care, Entered, Handset, Person, Recovery, View, WhenAsked};
pub use play::{PlayIntent, PlayTold};
pub use polar::PolarAdjust;
pub use seat::{Bolts, Crowd, EyepieceView, Line, NightOver, Seat};
pub use visitors::{Visits, jolts};
