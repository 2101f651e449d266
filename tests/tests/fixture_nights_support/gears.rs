//! What somebody learned of the gears in a night, and the truth beside it.

use bench::{CorrectionRow, Outcome, PeriodicRow};
use units::Angle;

/// The correction that was recorded.
pub fn correction(outcome: &Outcome) -> &CorrectionRow {
    outcome.correction.as_ref().expect("a correction was recorded")
}

/// The periodic error that it left.
pub fn left(outcome: &Outcome) -> PeriodicRow {
    correction(outcome).left.expect("the recording came to its end")
}

/// The root of the mean square of what there was without it.
pub fn uncorrected(outcome: &Outcome) -> Angle {
    correction(outcome).uncorrected.rms
}

/// The same of what there was when the night was over.
pub fn at_end(outcome: &Outcome) -> Angle {
    correction(outcome).left_at_end.rms
}

/// The play of an axis (0 first, 1 second) as it was measured, arcseconds.
pub fn measured(outcome: &Outcome, axis: usize) -> f64 {
    outcome.plays[axis].measured.map_or(f64::NAN, Angle::arcsec)
}

/// By how much the take-up of the second axis is too long at most, arcseconds.
pub fn too_long(outcome: &Outcome) -> f64 {
    outcome.plays[1].too_long_at_most().map_or(f64::NAN, Angle::arcsec)
}

/// By how much it is too short at most, arcseconds.
pub fn too_short(outcome: &Outcome) -> f64 {
    outcome.plays[1].too_short_at_most().map_or(f64::NAN, Angle::arcsec)
}
