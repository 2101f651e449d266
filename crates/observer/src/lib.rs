//! The person at the mount: types lines, looks through an eyepiece, and knows nothing else.
//!
//! What the person is handed are the two traits of [`seat`]: a [`Line`] to type at and an [`EyepieceView`] to look
//! through. Whoever plays a night implements both.
//!
//! **Invariant:** this crate imports neither `world` nor `controller` nor `mechanics`: no truth and no belief can be
//! seen from here.
#![forbid(unsafe_code)]

mod evening;
pub mod seat;

pub use evening::{Account, Ending, Intent, SETTLING, observe};
pub use seat::{EyepieceView, Line, NightOver};
