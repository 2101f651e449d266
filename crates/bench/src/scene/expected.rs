//! Where the mount's computer expects to miss, all over its sky.

use alignment::sky_map;
use kinematics::frames;
use units::Angle;
use world::World;

/// How many places of the sky are told.
const PLACES: usize = 180;
/// Below this nobody observes, and refraction has its own uncertainty.
const LOWEST: Angle = Angle::from_degrees(5.0);

/// What the computer expects of a go-to to one place of the sky.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedMiss {
    /// Azimuth and altitude.
    pub place: (Angle, Angle),
    /// 68 of 100 misses are expected to be no larger.
    pub p68: Angle,
}

/// The map at the night's end; empty if no star has told the computer anything.
pub(crate) fn map(world: &World) -> Vec<ExpectedMiss> {
    let belief = world.controller().belief();
    if !belief.aligned() {
        return Vec::new();
    }
    let model = belief.model();
    sky_map(model.kind(), model.latitude(), LOWEST, PLACES)
        .iter()
        .filter_map(|aim| {
            let expected = model.predicted_error(&aim.direction, aim.branch).ok()?;
            Some(ExpectedMiss {
                place: frames::horizontal(&aim.direction),
                p68: expected.radius_of_share(0.68),
            })
        })
        .collect()
}
