//! What is periodic in a drive, what its correction leaves of it, and how the play goes round the wheel.

use super::{Mount, axis::Member};
use units::{Angle, Instant};

/// Turns of the worm over which a periodic error is taken: stages that don't repeat with the worm average out over them.
const TURNS: u32 = 32;
/// Points in a turn: the sixteenth harmonic has 45 of its own.
const POINTS: u32 = 720;

/// How far the error of reducer and worm goes, as an angle of the axis, over many turns of the worm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeriodicError {
    /// Root of its mean square about its mean.
    pub rms: Angle,
    /// From its least to its greatest value.
    pub peak_to_peak: Angle,
}

impl Mount {
    /// The error that stands upstream of the play of an axis (0 first, 1 second), over the 32 turns of the worm from here on, on the
    /// flank to which the load holds the wheel, or else on the driving one.
    ///
    /// `corrected` says whether the correction counts in, if the drive plays one; microsteps are left out.
    pub fn periodic_error(&self, axis: usize, corrected: bool, at: Instant) -> PeriodicError {
        if self.is_over(at) {
            return self.later(at).periodic_error(axis, corrected, at);
        }
        let (state, drive) = (&self.axes[axis], &self.machine.drives[axis]);
        let table = state.correction.as_ref().filter(|_| corrected && state.correction_plays);
        let mark = if state.index_mark { state.offset - state.correction_tied } else { 0.0 };
        let begin = state.motion.position(self.machine.crystal.controller_time(at));
        let turn = drive.worm_turns(1.0).recip();
        let leading = matches!(state.member, Member::Leading);
        let error = |point: u32| {
            let ordered = begin + turn * f64::from(point) / f64::from(POINTS);
            let added = table.map_or(0.0, |table| table.radians_at(drive.worm_turns(ordered + mark)));
            let motor = ordered + added + state.offset;
            added + drive.periodic_error(&self.machine.turns, motor, leading)
        };
        let count = TURNS * POINTS;
        let mean = (0..count).map(error).sum::<f64>() / f64::from(count);
        let (mut squares, mut least, mut greatest) = (0.0, f64::INFINITY, f64::NEG_INFINITY);
        for value in (0..count).map(|point| error(point) - mean) {
            squares += value * value;
            (least, greatest) = (value.min(least), value.max(greatest));
        }
        PeriodicError {
            rms: Angle::from_radians((squares / f64::from(count)).sqrt()),
            peak_to_peak: Angle::from_radians(greatest - least),
        }
    }

    /// Whether the drive of an axis plays the correction that it has; `None` if it has none.
    pub fn correction_plays(&self, axis: usize, at: Instant) -> Option<bool> {
        if self.is_over(at) {
            return self.later(at).correction_plays(axis, at);
        }
        let state = &self.axes[axis];
        state.correction.as_ref().map(|_| state.correction_plays)
    }

    /// The play of an axis where it is least round the wheel and where it is greatest, as warm as it is.
    pub fn play_round_the_wheel(&self, axis: usize, at: Instant) -> (Angle, Angle) {
        if self.is_over(at) {
            return self.later(at).play_round_the_wheel(axis, at);
        }
        let (least, greatest) = self.machine.drives[axis].play_round_the_wheel();
        let warmth = self.play_factor[axis];
        (Angle::from_radians(least * warmth), Angle::from_radians(greatest * warmth))
    }
}
