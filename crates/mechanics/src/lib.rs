//! The geared mount as matter: the truth about where its tube points.
//!
//! From the motor to the sky: the crystal that paces it, microsteps, reducer, worm, play, wheel, wind-up, structure,
//! and the rigid chain of [`kinematics`]. A mount knows no command and no star; it obeys a [`kinematics::Path`] per
//! axis and is changed by events ([`Mount::order`], [`Mount::advance`], disturbances). Questions ([`Mount::boresight`],
//! [`Mount::dial`], …) change nothing, and their answers don't depend on what else was asked.
//!
//! **Invariant:** nobody but the bench's truth reads a [`Mount`]; what a controller may know is [`Mount::dial`] alone.
//!
//! - [`MountSpec`]: what a mount is made of
//! - [`Grade`]: ready-made mounts, from worn to perfect
//! - [`Crystal`]: the mount's own time
//! - [`CorrectionTable`]: recorded correction of the periodic error
//! - [`Body`]: capsules for collisions
#![forbid(unsafe_code)]

pub mod body;
mod check;
mod correction;
mod crystal;
mod drive;
mod error;
pub mod grades;
mod load;
mod motor;
mod mount;
mod spec;
mod swing;
mod turns;
mod weather;
mod wind;

pub use body::{Body, Capsule};
pub use check::room_for_correction;
pub use correction::{CorrectionError, CorrectionTable};
pub use crystal::Crystal;
pub use error::SpecError;
pub use grades::Grade;
pub use mount::{
    Contact, Mount, MountEvent, MountEventKind, PeriodicError, PlayState, Pose, RefitError, StallCause,
};
pub use spec::{AxisSpec, Battery, Harmonic, Motor, MountSpec, Resonance, Structure, Supply, Wheel};
pub use weather::TemperatureCourse;
pub use wind::{Spectrum, WindSpec};
