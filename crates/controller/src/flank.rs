//! On which flank of its teeth an axis rests, as far as its own motor's turning tells.
//!
//! The computer sees no wheel. But whatever the play is, a motor that has run farther in one sense than the play is wide
//! pushes the wheel before it. So it follows the operator of a play of [`PLAY`] along what it ordered, beginning with a wheel
//! that may hang anywhere in it; where only one place is left, that is a flank.

use alignment::Sense;
use kinematics::path::Path;
use units::{Angle, Span};

/// The play that a mount is taken to have while nobody has measured it (our own estimate: common practice, no source; about that
/// of a mid-range mount).
pub(crate) const PLAY: Angle = Angle::from_arcmin(2.0);

/// Where the wheel of one axis may hang against its dial.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Flank {
    /// Until when the motor's way is in it.
    followed: Span,
    /// Bounds of wheel minus dial, within half of the play on either side.
    least: Angle,
    most: Angle,
}

impl Flank {
    /// Nothing is known yet.
    pub(crate) fn unknown(now: Span) -> Self {
        Self { followed: now, least: -PLAY / 2.0, most: PLAY / 2.0 }
    }

    /// The same after the dial has gone along a path until an instant. Cut anywhere, the parts give what the whole gives.
    pub(crate) fn after(mut self, dial: &Path, now: Span) -> Self {
        let mut place = dial.position(self.followed);
        for turn in dial.turning_points(self.followed, now).into_iter().chain([now]) {
            let next = dial.position(turn);
            self.carry(next - place);
            place = next;
        }
        self.followed = self.followed.max(now);
        self
    }

    fn carry(&mut self, by: Angle) {
        let half = PLAY / 2.0;
        let kept = |wheel: Angle| (wheel - by).max(-half).min(half);
        (self.least, self.most) = (kept(self.least), kept(self.most));
    }

    /// In which sense the axis was come to where it is.
    pub(crate) fn sense(&self) -> Sense {
        let half = PLAY / 2.0;
        // The bounds are cut off at these very numbers.
        if self.most == -half {
            Sense::Increasing
        } else if self.least == half {
            Sense::Decreasing
        } else {
            Sense::Unknown
        }
    }
}

/// What two sightings have in common in how one axis was come to: the same flank, opposite ones, or nobody knows.
pub(crate) fn compared(one: Sense, other: Sense) -> Option<bool> {
    (one != Sense::Unknown && other != Sense::Unknown).then_some(one == other)
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::AngularRate;

    fn along(flank: Flank, arcmin_per_second: f64, seconds: i64) -> Flank {
        let rate = AngularRate::from_degrees(arcmin_per_second / 60.0);
        let path = Path::steady(flank.followed, Angle::from_degrees(3.0), rate);
        flank.after(&path, flank.followed + Span::from_whole_seconds(seconds))
    }

    #[test]
    fn a_motor_that_has_run_farther_than_the_play_rests_on_a_flank() {
        let flank = Flank::unknown(Span::ZERO);
        assert_eq!(flank.sense(), Sense::Unknown);
        assert_eq!(along(flank, 1.0, 1).sense(), Sense::Unknown);
        let growing = along(flank, 1.0, 3);
        assert_eq!(growing.sense(), Sense::Increasing);
        // Half of the play back: nobody knows; all of it: the other flank.
        let between = along(growing, -1.0, 1);
        assert_eq!(between.sense(), Sense::Unknown);
        assert_eq!(along(between, -1.0, 2).sense(), Sense::Decreasing);
        // A way back and forth that is shorter than the play ends on the flank where it began.
        assert_eq!(along(between, 1.0, 2).sense(), Sense::Increasing);
        assert_eq!(along(growing, 0.0, 100).sense(), Sense::Increasing);
    }

    #[test]
    fn turns_within_one_path_count() {
        let limits = kinematics::profile::Limits {
            rate: AngularRate::from_degrees(1.0),
            acceleration: units::AngularAcceleration::from_degrees(1.0),
            jerk: None,
        };
        let move_by = |arcmin: f64| kinematics::profile::RestToRest::new(Angle::from_arcmin(arcmin), &limits);
        let (out, back) = (move_by(30.0), move_by(-5.0));
        let begin = Span::from_whole_seconds(1);
        let path = Path::hold(Span::ZERO, Angle::ZERO).plus(begin, &out).plus(begin + out.duration(), &back);
        let middle = begin + out.duration();
        let end = middle + back.duration();
        let flank = Flank::unknown(Span::ZERO);
        assert_eq!(flank.after(&path, middle).sense(), Sense::Increasing);
        assert_eq!(flank.after(&path, end).sense(), Sense::Decreasing);
        assert_eq!(flank.after(&path, middle).after(&path, end).sense(), Sense::Decreasing);
    }

    #[test]
    fn senses_are_alike_opposite_or_unknown() {
        assert_eq!(compared(Sense::Increasing, Sense::Increasing), Some(true));
        assert_eq!(compared(Sense::Increasing, Sense::Decreasing), Some(false));
        assert_eq!(compared(Sense::Unknown, Sense::Decreasing), None);
    }
}
