//! What the computer knows when it is switched on.

use kinematics::profile::Limits;
use kinematics::{AxisAngles, Kind};
use sky::{Air, Horizon, Site};
use units::{Angle, Instant, Span};

/// Built in, or typed in by the person before the first request.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Kind of mount.
    pub kind: Kind,
    /// Where it was told to stand.
    pub site: Site,
    /// The air it was told of; without pressure it leaves refraction out.
    pub air: Air,
    /// UT1 − UTC that it was told.
    pub ut1_minus_utc: Span,
    /// What its clock showed at power-on.
    pub clock: Instant,
    /// What its drives can do, by axis.
    pub limits: [Limits; 2],
    /// How far a German mount may turn past the meridian, on either side.
    pub over_run: Angle,
    /// The skyline that it was told; it goes to nothing below.
    pub horizon: Horizon,
    /// The dials of its home position, where it is switched on.
    pub home: AxisAngles,
    /// Version of the program, for `version`.
    pub version: &'static str,
}
