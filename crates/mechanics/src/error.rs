//! What makes a mount impossible, with the number that would do.

use units::{Angle, AngularRate, Length, Torque, maths};

/// Why a specification is no mount. Axes are named `first` (hour or azimuth) and `second` (declination or altitude).
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SpecError {
    /// A value that isn't a finite number, or is outside of what it can be.
    #[error("{place}: {value} is out of range; {expected}")]
    OutOfRange {
        /// The field, such as `first axis, damping`.
        place: String,
        /// What was given.
        value: f64,
        /// What would do.
        expected: String,
    },
    /// The gears' errors are so steep that the wheel would run backwards while the motor runs forwards.
    #[error(
        "{axis} axis: the slopes of microstep, reducer, worm and correction errors add up to {sum:.2}, and must stay below 0.9; \
         multiply their amplitudes by {factor:.2} or less"
    )]
    TooSteep {
        /// Which axis.
        axis: &'static str,
        /// Their sum.
        sum: f64,
        /// What would do.
        factor: f64,
    },
    /// A load out of balance that no friction holds: the axis would swing for ever in its play.
    #[error(
        "{axis} axis: {} N m out of balance need a friction above zero; give it at least {} N m, or balance the axis",
        readable(*imbalance), readable(*friction)
    )]
    NoFriction {
        /// Which axis.
        axis: &'static str,
        /// What is out of balance.
        imbalance: Torque,
        /// What would do.
        friction: Torque,
    },
    /// A rate that the motor can't reach.
    #[error(
        "{axis} axis: the motor can't turn the balanced axis at {:.4} deg/s; it can at {:.4} deg/s",
        rate.degrees(), possible.degrees()
    )]
    TooFast {
        /// Which axis.
        axis: &'static str,
        /// What was asked.
        rate: AngularRate,
        /// The highest rate that it reaches with its friction and acceleration.
        possible: AngularRate,
    },
    /// A tooth table that doesn't fit the wheel.
    #[error("{axis} axis: {given} tooth errors for {teeth} teeth; give one for each tooth, or none")]
    ToothTable {
        /// Which axis.
        axis: &'static str,
        /// Entries given.
        given: usize,
        /// Teeth of the wheel.
        teeth: i64,
    },
    /// The mount would start outside of its stops.
    #[error(
        "{axis} axis: home at {:.3} deg is outside of the stops {:.3} to {:.3} deg; widen them to hold it",
        home.degrees(), from.degrees(), to.degrees()
    )]
    HomeOutside {
        /// Which axis.
        axis: &'static str,
        /// Where it starts, as an angle between the stops.
        home: Angle,
        /// Lower stop.
        from: Angle,
        /// Upper stop.
        to: Angle,
    },
    /// The mount would start in contact with itself.
    #[error("at home the mount's parts overlap by {:.3} m; make the parts smaller or the pier slimmer by that much", overlap.metres())]
    HomeCollides {
        /// By how much.
        overlap: Length,
    },
}

/// A torque in N m, to the tenth of a millinewton metre: a sum of several parts has a tail of digits.
fn readable(torque: Torque) -> f64 {
    maths::floor(torque.newton_metres() * 1e4 + 0.5) / 1e4
}
