//! What the computer can do to its motors, and what they tell it.

use kinematics::path::Path;
use std::sync::Arc;
use units::Angle;

/// One of the two axes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Axis {
    /// Hour axis, or azimuth axis.
    First,
    /// Declination axis, or altitude axis.
    Second,
}

impl Axis {
    /// Both, in order.
    pub const BOTH: [Self; 2] = [Self::First, Self::Second];

    /// 0 or 1.
    pub const fn index(self) -> usize {
        match self {
            Self::First => 0,
            Self::Second => 1,
        }
    }
}

/// What a drive is told about the correction of its worm's periodic error.
#[derive(Clone, Debug, PartialEq)]
pub enum CorrectionOrder {
    /// Takes these corrections in place of what it had, without playing them: what is added in each part of a worm's turn, from the
    /// angle on at which the step count is a whole number of worm turns.
    Load(Arc<[Angle]>),
    /// Plays what it has, or no longer.
    Play(bool),
}

/// The computer's side of its two motors.
pub trait Motors {
    /// The motor's step count, as an angle of its axis.
    fn dial(&mut self, axis: Axis) -> Angle;

    /// Orders the motion of one axis from now on: dials as a path of the computer's own time since power-on.
    fn order(&mut self, axis: Axis, path: Path);

    /// Tells the drive of an axis about its correction.
    fn correct(&mut self, axis: Axis, order: CorrectionOrder);
}
