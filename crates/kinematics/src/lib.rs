//! Geometry and motion of a two-axis mount: formulas, and no parameter values of any mount.
//!
//! - [`frames`]: the right-handed frames, directions in them, small offsets on the sphere
//! - [`BaseErrors`], [`base`]: where the base and its first axis really point
//! - [`Chain`]: from the angles of the two axes to the boresight, and back ([`Unreachable`] where there is no way back)
//! - [`sides`]: what is particular to a mount with a counterweight shaft: sides, allowed hours, unwrapping
//! - [`first_order`]: what each small error does to hour angle and declination, or azimuth and altitude
//! - [`path`]: the piecewise cubics in which motion is ordered
//! - [`profile`]: moves from rest to rest, and stops, within limits of rate, acceleration and jerk
//!
//! One algebra serves both kinds of mount: hour angle and declination on an equatorial base, azimuth and altitude on
//! a level one. Angles that are named `first` belong to the axis that the base carries (hour or azimuth), `second` to
//! the one that it carries in turn (declination or altitude).
#![forbid(unsafe_code)]

mod base;
mod chain;
pub mod first_order;
pub mod frames;
pub mod path;
pub mod profile;
pub mod sides;

pub use base::{BaseErrors, Kind, base};
pub use chain::{AxisAngles, AxisEnd, Branch, Chain, Geometry, Unreachable};
pub use path::{Cubic, Path};
pub use profile::{Limits, RestToRest};
pub use sides::{HourRange, Side, home, tube_side, unwrapped, usual_branch, weights_down};
