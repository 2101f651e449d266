//! The play of the axes, from one star centred from both sides.

use crate::model::Model;
use crate::sighting::{Sense, Sighting};
use kinematics::{AxisAngles, Unreachable};
use units::Angle;

impl Model {
    /// The play of each axis as two sightings of one place show it, approached in opposite senses.
    ///
    /// While the dial grows the tube hangs behind it, while it falls ahead of it; the dials' difference at one place is the
    /// play. The star's own motion in between is taken off by the model. An axis that was approached in one sense both times, or
    /// whose approach nobody knows, shows none, nor do dials that are no numbers; a play below nought is noise of the centring.
    ///
    /// # Errors
    /// The model can't point at one of the two places.
    pub fn play_between(
        &self,
        first: &Sighting,
        second: &Sighting,
    ) -> Result<[Option<Angle>; 2], Unreachable> {
        let ahead = |sighting: &Sighting| -> Result<AxisAngles, Unreachable> {
            let expected = self.dials_for(&sighting.direction, sighting.branch)?;
            Ok(AxisAngles {
                first: (sighting.dials.first - expected.first).wrapped_signed(),
                second: (sighting.dials.second - expected.second).wrapped_signed(),
            })
        };
        let (one, other) = (ahead(first)?, ahead(second)?);
        let play = |axis: usize, difference: Angle| {
            let play = match (first.approach[axis], second.approach[axis]) {
                (Sense::Increasing, Sense::Decreasing) => difference,
                (Sense::Decreasing, Sense::Increasing) => -difference,
                _ => return None,
            };
            play.is_finite().then_some(play)
        };
        Ok([play(0, one.first - other.first), play(1, one.second - other.second)])
    }
}
