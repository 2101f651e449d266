//! What is measured of a night and how it is written down, whoever steers the mount.

use crate::outcome::Sample;
use crate::prepare::{Goal, Prepared};
use kinematics::{AxisAngles, sides};
use nalgebra::Vector3;
use protocol::read_reply;
use sky::{Body, Geocentre, Source, Station, Track};
use std::sync::Arc;
use units::{Angle, Instant};
use world::Truth;

/// A Sun lower than this is under the horizon with its whole disc and its refraction.
pub(crate) const SUN_COUNTS_ABOVE: Angle = Angle::from_degrees(-1.0);

/// How much is measured of a night; each has what those before it have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Measured {
    /// The looks; dwells take their time.
    Looks,
    /// The dwells.
    Dwells,
    /// The sightings, and what the mount's computer expects: only an outcome shows them.
    Everything,
}

impl Goal {
    /// Where it is observed now (east, north, up).
    pub(crate) fn direction(&self, truth: &Truth<'_>) -> Vector3<f64> {
        match self {
            Self::Sky(track) => truth.observed(track),
            Self::Ground(direction) => *direction,
        }
    }
}

impl Prepared {
    /// The true site in its air.
    pub(crate) fn station(&self) -> Station {
        let spec = &self.world;
        Station::new(spec.site, spec.air, spec.ut1_minus_tai)
    }

    /// Where the Sun is observed at an instant (east, north, up).
    pub(crate) fn sun(&self, at: Instant) -> Vector3<f64> {
        self.station().observe(&sun(&self.world.geocentre).cirs(at), at).refracted
    }
}

/// The track of the Sun.
pub(crate) fn sun(geocentre: &Arc<Geocentre>) -> Track {
    geocentre.track(&Source::Body(Body::Sun))
}

/// One sample of a dwell, its error from the dwell's first one; and the miss.
pub(crate) fn sample(
    goal: &Goal,
    truth: &Truth<'_>,
    dwell: usize,
    zero: &mut Option<(Angle, Angle)>,
) -> (Sample, Angle) {
    let (found, pose) = truth.sample_with_pose(goal.direction(truth));
    let zero = zero.get_or_insert(found.error);
    let sample = Sample {
        dwell,
        at: truth.at(),
        target: found.target_horizontal,
        boresight: found.boresight_horizontal,
        error_east: found.error.0 - zero.0,
        error_north: found.error.1 - zero.1,
        dials: pair(pose.dials),
        axes: pair(pose.axes),
    };
    (sample, length(found.error))
}

/// The two parts of an error are the sides of a right angle by their definition.
pub(crate) fn length((east, north): (Angle, Angle)) -> Angle {
    let (east, north) = (east.radians(), north.radians());
    Angle::from_radians((east * east + north * north).sqrt())
}

pub(crate) fn pair(angles: AxisAngles) -> (Angle, Angle) {
    (angles.first, angles.second)
}

/// The solution by which the mount says that it goes.
pub(crate) fn solution(reply: &str) -> &'static str {
    let through_pole = read_reply(reply).is_some_and(|read| read.get("solution") == Some("through-pole"));
    if through_pole { "through-pole" } else { DIRECT }
}

/// The solution of a mount that has said nothing of another.
pub(crate) const DIRECT: &str = "direct";

/// On which side of the pier the tube hangs, in a word.
pub(crate) fn tube_side(truth: &Truth<'_>) -> &'static str {
    match truth.tube_side() {
        sides::Side::East => "east",
        sides::Side::West => "west",
        sides::Side::None => "none",
    }
}
