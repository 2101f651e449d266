//! Motors and limits.

use super::{Verdict, hold, near};
use crate::night::{Case, EAST, Setting, look};
use bench::Outcome;
use units::AngularRate;

/// Rate, acceleration and jerk of a drive, in degrees and seconds, as the row's given or changed night has them.
struct Drive {
    rate: f64,
    acceleration: f64,
    jerk: f64,
}

impl Drive {
    /// A move from rest to rest that reaches full acceleration and full rate takes d/v + v/a + a/j: the four ramps of
    /// jerk add a/j, the two of acceleration v/a to what the distance takes at full rate.
    fn seconds(&self, degrees: f64) -> f64 {
        degrees / self.rate + self.rate / self.acceleration + self.acceleration / self.jerk
    }

    /// The base night's drive, with one change.
    fn changed(change: Setting) -> Self {
        let mut drive = Self { rate: 3.0, acceleration: 2.0, jerk: 6.0 };
        let value = change.1.trim_matches('"').split(' ').next().and_then(|number| number.parse().ok());
        let value: f64 = value.unwrap_or_else(|| panic!("{change:?} has no number"));
        match change.0.rsplit('.').next() {
            Some("slew_rate") => drive.rate = value,
            Some("acceleration") => drive.acceleration = value,
            Some("jerk") => drive.jerk = value,
            other => panic!("{other:?} is no limit of a drive"),
        }
        drive
    }
}

/// Both nights' first slews last as the formula says, and not the same.
fn slew(case: &Case, distance: fn(&Outcome) -> f64) -> Verdict {
    let base = Drive { rate: 3.0, acceleration: 2.0, jerk: 6.0 };
    let changed = Drive::changed(case.change());
    // Moves end on whole nanoseconds, on the late side; the dials carry 1e-13 degrees.
    let tolerance = 1e-8;
    let seconds = |outcome: &Outcome| look(outcome, EAST).slew.seconds();
    near("slew_seconds before", seconds(&case.base), base.seconds(distance(&case.base)), tolerance)?;
    near("slew_seconds", seconds(&case.changed), changed.seconds(distance(&case.changed)), tolerance)?;
    hold((seconds(&case.base) - seconds(&case.changed)).abs() > 0.1, "the slew lasts as long as before")
}

/// The hour axis goes from home at −90° to the dial of the look, less what tracking adds by itself.
pub fn hour_slew(case: &Case) -> Verdict {
    slew(case, |outcome| {
        let look = look(outcome, EAST);
        let tracked = AngularRate::SIDEREAL.degrees() * (look.slew.seconds() + 3.0);
        look.dials.0.degrees() - tracked + 90.0
    })
}

/// The declination axis goes from home at 90°.
pub fn declination_slew(case: &Case) -> Verdict {
    slew(case, |outcome| 90.0 - look(outcome, EAST).dials.1.degrees())
}

/// Tracking rests where the hour axis has gone past the meridian by the allowed over-run.
pub fn tracking_ends_at_the_limit(case: &Case) -> Verdict {
    for (outcome, over_run) in [(&case.base, 10.0), (&case.changed, 5.0)] {
        let last = outcome.samples.last().map_or(f64::NAN, |sample| sample.dials.0.degrees());
        // From 15″ a second the axis brakes within an arcsecond.
        near("hour_dial_deg at the end", last, over_run, 1.0 / 3600.0)?;
    }
    Ok(())
}
