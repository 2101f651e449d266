//! Sightings in, pointing model out.
//!
//! - [`Sighting`]: one star centred, as the mount's computer saw it; [`fit`] makes a [`Model`] of several by a [`Method`],
//!   or says why not ([`FitError`])
//! - [`Model`]: dials for a direction and back, [`Term`]s in words with their uncertainty, the expected error anywhere
//! - [`rotation`]: the closed forms behind the two-star method; [`Priors`]: what is expected of a mount before any star
//!
//! Everything here is belief: directions are where the machine computes the stars to be, dials are its own counts. The
//! crate knows no wire and no truth.
#![forbid(unsafe_code)]

mod checks;
mod covariance;
mod error;
mod fit;
mod model;
pub mod parameters;
mod priors;
pub mod rotation;
pub mod rows;
mod sighting;
mod solve;
mod terms;

pub use checks::{GREATEST_SEPARATION, LEAST_SEPARATION};
pub use covariance::Covariance2;
pub use error::FitError;
pub use fit::{Method, fit};
pub use model::{ASK_BEYOND, Innovation, Model, REFUSE_BEYOND, Residual, Verdict};
pub use priors::{Priors, Spread};
pub use sighting::{Sense, Sighting, replace_nearest, replace_oldest};
pub use terms::{Reason, Term};
