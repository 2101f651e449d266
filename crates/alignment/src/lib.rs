//! Sightings in, pointing model out.
//!
//! - [`Sighting`]: one star centred, as the mount's computer saw it; [`fit`] makes a [`Model`] of several by a [`Method`],
//!   or says why not ([`FitError`])
//! - [`Model`]: dials for a direction and back, [`Term`]s in words with their uncertainty, the expected error anywhere
//! - [`propose`]: stars by a rule of thumb; [`rank`] and [`next_stars`]: stars by what they buy; [`sky_map`] and [`Model::prediction`]: the
//!   expected error over the sky
//! - [`Model::innovation`], [`identities`], [`Model::knock`], [`questions`]: suspicion, always as a question
//! - [`polar`] and [`drift`]: adjusting the polar axis; [`identifiability`]: what a set of stars can tell apart
//! - [`rotation`]: the closed forms behind the two-star method; [`Priors`]: what is expected of a mount before any star
//!
//! Everything here is belief: directions are where the machine computes the stars to be, dials are its own counts.
//!
//! **Absent on purpose:** the wire, the truth, and any clock. Nothing here can read a true axis angle; what a mount really does is
//! not in its dependencies.
//!
//! ```
//! use alignment::{Method, Model, Priors, Sense, Sighting, fit};
//! use kinematics::{Branch, Kind, frames};
//! use units::{Angle, Instant};
//!
//! let latitude = Angle::from_degrees(50.0);
//! let kind = Kind::GermanEquatorial;
//! let direction = frames::direction(Angle::from_degrees(140.0), Angle::from_degrees(45.0));
//! // The machine went there, the star stood beside, and the observer moved half a degree of hour angle to centre it.
//! let mut dials = Model::unaligned(kind, latitude).dials_for(&direction, Branch::Direct)?;
//! dials.first += Angle::from_degrees(0.5);
//! let sighting = Sighting {
//!     at: Instant::J2000_TAI,
//!     direction,
//!     dials,
//!     branch: Branch::Direct,
//!     approach: [Sense::Increasing; 2],
//!     sigma: Angle::from_arcmin(3.0),
//!     power_on: 1,
//!     name: String::from("Arcturus"),
//! };
//! let model = fit(Method::OneStar, kind, latitude, &Priors::usual(kind, latitude), &[sighting])?;
//! let zero = model.terms().into_iter().find(|term| term.name == "hour zero").map(|term| term.value);
//! assert!((zero.unwrap_or_default().degrees() + 0.5).abs() < 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
#![forbid(unsafe_code)]

mod checks;
mod covariance;
pub mod drift;
mod error;
mod fit;
mod identifiability;
mod map;
mod model;
mod next_star;
pub mod parameters;
mod play;
pub mod polar;
mod priors;
mod questions;
pub mod rotation;
pub mod rows;
mod sighting;
mod solve;
mod stars;
mod suspicion;
mod terms;

pub use checks::{GREATEST_SEPARATION, LEAST_SEPARATION, separation_between};
pub use covariance::Covariance2;
pub use error::FitError;
pub use fit::{Method, fit};
pub use identifiability::{Identifiability, identifiability};
pub use map::{Criterion, Effort, Prediction, Ranked, Ranking, rank, sky_map};
pub use model::{ASK_BEYOND, Innovation, Model, REFUSE_BEYOND, Residual, Verdict};
pub use next_star::{Choice, NextStars, next_stars};
pub use priors::{Priors, Spread};
pub use questions::{Explanation, Question, Slip, questions};
pub use sighting::{Sense, Sighting, replace_nearest, replace_oldest};
pub use stars::{Aim, Candidate, Proposal, ProposalRules, Unfit, propose, usual_aim, visible_stars};
pub use suspicion::{Identity, Knock, Moved, identities};
pub use terms::{Reason, Term, values_of};
