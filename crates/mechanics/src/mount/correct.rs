//! A correction that comes to a drive while the mount runs, and is played or not.

use super::Mount;
use crate::correction::CorrectionTable;
use crate::drive;
use crate::error::SpecError;
use std::sync::Arc;
use units::Instant;

impl Mount {
    /// Hands the drive of an axis another correction in place of the old one; it isn't played until it is told to be. Bins count from
    /// the worm angle at which the axis's step count is a whole number of worm turns.
    ///
    /// With an index mark the drive ties the table to the worm there and then, and lost steps or a loss of power later don't
    /// shift it against the worm; without one it goes by the step count. A drive without power takes nothing.
    ///
    /// # Errors
    /// [`SpecError::TooSteep`] if the table is steeper than [`crate::room_for_correction`] says. Nothing has changed then.
    pub fn load_correction(
        &mut self,
        axis: usize,
        table: CorrectionTable,
        now: Instant,
    ) -> Result<(), SpecError> {
        crate::check::steepness(axis, drive::slopes(&self.machine.spec.axes[axis], Some(&table)))?;
        self.happen(now);
        if self.powered() {
            self.change(axis, |state| {
                state.correction = Some(Arc::new(table));
                state.correction_plays = false;
                state.correction_tied = state.offset;
            });
            self.replan();
        }
        Ok(())
    }

    /// Begins or ends the playback of the correction that the drive of an axis has. The motor steps to its new place at once.
    pub fn play_correction(&mut self, axis: usize, on: bool, now: Instant) {
        self.happen(now);
        if self.powered() {
            self.change(axis, |state| state.correction_plays = on);
            self.replan();
        }
    }
}
