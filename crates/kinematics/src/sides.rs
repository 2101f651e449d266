//! Sides, allowed hours and unwrapping: which way a mount goes to a direction that it can reach in two ways.
//!
//! The +y end of the declination axis carries a German mount's counterweight. Its height is cos φ · sin(hour axis) in
//! both hemispheres, its eastward part cos(hour axis).

use crate::base::Kind;
use crate::chain::{AxisAngles, Branch};
use nalgebra::Vector3;
use units::Angle;

/// On which side of its pier a tube hangs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// The counterweight shaft points west of the pier.
    East,
    /// The counterweight shaft points east of the pier.
    West,
    /// It points up or down in the meridian, as at home, or the mount has no such sides.
    None,
}

/// Whether the counterweight is below the level of the axes' crossing, at a true angle of the hour axis.
pub fn weights_down(hour_axis: Angle) -> bool {
    hour_axis.sin() < 0.0
}

/// The side of the tube, by where the counterweight shaft truly points: [`crate::Chain::second_axis`] as (east, north, up).
///
/// Within a milliarcsecond of the meridian plane there is no side: home is there but for the last bit.
pub fn tube_side(kind: Kind, shaft: &Vector3<f64>) -> Side {
    if kind != Kind::GermanEquatorial || shaft.x.abs() < 5e-9 {
        Side::None
    } else if shaft.x > 0.0 {
        Side::West
    } else {
        Side::East
    }
}

/// Where the axes rest before anything is known.
///
/// German: weights down, the tube along the polar axis towards its elevated end. Fork: at the meridian point of the
/// equator. Alt-azimuth: level, to the north.
pub fn home(kind: Kind, latitude: Angle) -> AxisAngles {
    match kind {
        Kind::GermanEquatorial => {
            let second = if latitude >= Angle::ZERO { Angle::QUARTER } else { -Angle::QUARTER };
            AxisAngles { first: -Angle::QUARTER, second }
        }
        Kind::ForkEquatorial | Kind::AltAzimuth => AxisAngles::default(),
    }
}

/// The solution that a German mount uses for a target at this hour angle if nothing speaks against it: direct east of
/// the meridian, else through the pole, so that the counterweight is never above the tube.
pub fn usual_branch(hour_angle: Angle) -> Branch {
    if hour_angle.wrapped_signed() < Angle::ZERO { Branch::Direct } else { Branch::ThroughPole }
}

/// Dial readings on the turn of the cable on which the mount uses them.
///
/// German: the hour within half a turn of −90°, the middle of the allowed hours; the declination about the
/// middle of its branch: 0° direct; through the pole 180° in the north, −180° in the south, so that it passes over
/// the elevated end. Others: both within half a turn of zero.
pub fn unwrapped(kind: Kind, latitude: Angle, dials: AxisAngles, branch: Branch) -> AxisAngles {
    let (first_middle, second_middle) = match (kind, branch) {
        (Kind::GermanEquatorial, Branch::Direct) => (-Angle::QUARTER, Angle::ZERO),
        (Kind::GermanEquatorial, Branch::ThroughPole) => {
            (-Angle::QUARTER, if latitude >= Angle::ZERO { Angle::HALF } else { -Angle::HALF })
        }
        (Kind::ForkEquatorial | Kind::AltAzimuth, _) => (Angle::ZERO, Angle::ZERO),
    };
    AxisAngles {
        first: dials.first.unwrapped_near(first_middle),
        second: dials.second.unwrapped_near(second_middle),
    }
}

/// The unwrapped hours that a German mount may turn to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourRange {
    /// The least.
    pub from: Angle,
    /// The greatest.
    pub to: Angle,
}

impl HourRange {
    /// From −180° − `over_run` to +`over_run`: weights down, and a little past the meridian on either side.
    pub fn german(over_run: Angle) -> Self {
        Self { from: -Angle::HALF - over_run, to: over_run }
    }

    /// How far an hour lies beyond the range: zero within, negative below, positive above.
    pub fn beyond(&self, hour: Angle) -> Angle {
        if hour > self.to {
            hour - self.to
        } else if hour < self.from {
            hour - self.from
        } else {
            Angle::ZERO
        }
    }

    /// How far the axis may still turn in the tracking sense; negative beyond the limit.
    pub fn room(&self, hour: Angle) -> Angle {
        self.to - hour
    }
}
