//! What many nights keep of each: its figures, without drawings, models and samples.

use super::{Kept, Played, summary_of};
use crate::measured::Measured;
use crate::outcome::{GotoOutcome, GotoRow, NightFigures, NightInput};
use crate::prepare::Prepared;
use units::{Angle, Quantity as _, Span};

impl Prepared {
    /// Plays the night once and keeps its figures: those of [`Prepared::measure`], to the bit.
    ///
    /// Without `sampled`, dwells take their time and are not measured: figures of tracking are `None`.
    pub fn figures(&self, sampled: bool) -> NightFigures {
        // Where nothing is dwelt on there is nothing to sample.
        let dwells = self.evening.intents.iter().any(|intent| intent.dwell > Span::ZERO);
        let measured = if sampled && dwells { Measured::Dwells } else { Measured::Looks };
        let Played { gotos, seat, account } = self.played(measured, Kept::Nothing);
        let gone_to = |row: &&GotoRow| !matches!(row.outcome, GotoOutcome::NightOver | GotoOutcome::Refused);
        let for_the_gears = account.recording.iter().filter(|told| told.star.is_some()).count()
            + usize::from(account.plays.iter().any(|told| told.star.is_some()));
        let slews = account.sightings.len() + for_the_gears + gotos.iter().filter(gone_to).count();
        let took: Span =
            account.targets.iter().map(|told| told.took).fold(account.alignment, |sum, took| sum + took);
        NightFigures {
            summary: summary_of(&gotos, &seat.into_notes(), &account),
            slews,
            presses: account.presses,
            setting_up: observer::setup::minutes_needed(self.evening.person.care),
            evening: took,
            gotos,
        }
    }

    /// What the night drew for the set-up, the geometry and the clock, and what its file says of them.
    pub fn inputs(&self) -> Vec<NightInput> {
        let setup = &self.effective.setup;
        let geometry = &self.world.mount.geometry;
        let angle = |key, value: Option<Angle>| NightInput {
            key,
            value: value.unwrap_or(Angle::ZERO).degrees(),
            unit: "deg",
        };
        let mut inputs = Vec::with_capacity(16);
        if self.plan.mount.kind.is_equatorial() {
            inputs.extend([
                angle("setup.polar_altitude_error", setup.polar_altitude_error),
                angle("setup.polar_azimuth_error", setup.polar_azimuth_error),
                angle("setup.home_hour_error", setup.home_hour_error),
                angle("setup.home_declination_error", setup.home_declination_error),
            ]);
        } else {
            inputs.extend([
                angle("setup.home_azimuth_error", setup.home_azimuth_error),
                angle("setup.home_altitude_error", setup.home_altitude_error),
            ]);
        }
        let finder = setup.finder_offset.unwrap_or([Angle::ZERO; 2]);
        inputs.extend([
            angle("setup.lean_north", setup.lean_north),
            angle("setup.lean_east", setup.lean_east),
            angle("setup.settling", setup.settling),
            angle("setup.finder_offset[0]", Some(finder[0])),
            angle("setup.finder_offset[1]", Some(finder[1])),
            angle("mount.geometry.cone_error", Some(geometry.cone_error)),
            angle("mount.geometry.axis_skew", Some(geometry.axis_skew)),
            angle("mount.geometry.tube_flexure", Some(geometry.tube_flexure)),
        ]);
        inputs.push(NightInput {
            key: "mount.clock.drift",
            value: self.world.mount.crystal_drift.inner() / units::PartsPerMillion::UNITS[0].1,
            unit: units::PartsPerMillion::UNITS[0].0,
        });
        inputs
    }
}
