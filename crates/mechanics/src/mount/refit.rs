//! Other matter in place of the old, while the mount runs: for whoever wants to see what one error does by itself.

use crate::drive;
use crate::error::SpecError;
use crate::spec::{AxisSpec, MountSpec};
use kinematics::{Chain, Geometry};
use std::sync::Arc;
use units::Instant;

use super::{Machine, Mount};

/// Why a mount can't be refitted while it runs.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RefitError {
    /// What would be there afterwards is no mount.
    #[error(transparent)]
    Spec(#[from] SpecError),
    /// Something differs by which counts, time or power are kept; a mount with that has to be switched on anew.
    #[error("{what} can't be changed while the mount runs; begin the night anew with it")]
    Kept {
        /// What differs.
        what: &'static str,
    },
}

impl Mount {
    /// Puts other matter in place of the old at one instant: geometry, gear errors, play, loads, friction.
    ///
    /// Motors go on with what they were ordered, counters keep their counts, and what befell the mount since it was switched on
    /// (slips, knocks, kicks, a sinking tripod, wind, cold) stays: a base that was kicked is kicked by as much from its new place.
    /// Each wheel stays where it is as far as the new gap has room for it. Nothing swings: it is as if somebody had done the
    /// work with patience while time stood still. Taking the old matter again leads back to the old state, but for play that
    /// was taken up in between.
    ///
    /// # Errors
    /// [`RefitError::Kept`] if the drive train's counting, kind, site, crystal, supply, structure or a recorded correction differ;
    /// [`RefitError::Spec`] for what can't be a mount. Nothing has changed then.
    pub fn refit(&mut self, spec: MountSpec, now: Instant) -> Result<(), RefitError> {
        kept(&self.machine.spec, &spec)?;
        spec.check(self.machine.home)?;
        for (axis, state) in self.axes.iter().enumerate() {
            // It may have come while the mount ran.
            crate::check::steepness(axis, drive::slopes(&spec.axes[axis], state.correction.as_deref()))?;
        }
        self.happen(now);
        for axis in 0..2 {
            self.settle_wheel(axis);
        }
        // What kicks and leans have done to the base since it was set up.
        let since = self.base * self.machine.spec.geometry.base.transpose();
        self.base = since * spec.geometry.base;
        self.chain = Chain::new(Geometry { base: self.base, ..spec.geometry });
        self.machine = Arc::new(Machine::new(spec, self.machine.crystal, self.machine.home));
        self.base_moved();
        // Play and friction as the temperature has them; it looks ahead anew as well.
        self.follow_temperature();
        Ok(())
    }
}

/// Holds that nothing differs by which counts, time or power are kept.
fn kept(old: &MountSpec, new: &MountSpec) -> Result<(), RefitError> {
    let same = |same: bool, what| if same { Ok(()) } else { Err(RefitError::Kept { what }) };
    same(old.latitude == new.latitude, "the site")?;
    same(old.geometry.kind == new.geometry.kind, "the kind of mount")?;
    same(old.crystal_drift == new.crystal_drift, "the crystal")?;
    same(old.supply == new.supply, "the supply")?;
    same(old.structure == new.structure, "the swinging structure")?;
    for (old, new) in old.axes.iter().zip(&new.axes) {
        same(counts_alike(old, new), "the drive train")?;
        same(
            old.correction == new.correction && old.index_mark == new.index_mark,
            "the recorded correction",
        )?;
    }
    Ok(())
}

fn counts_alike(old: &AxisSpec, new: &AxisSpec) -> bool {
    (old.teeth, old.full_steps, old.microsteps, old.continuous)
        == (new.teeth, new.full_steps, new.microsteps, new.continuous)
        && old.reducer_ratio == new.reducer_ratio
        && old.limits == new.limits
        && old.motor == new.motor
        && old.stops == new.stops
}
