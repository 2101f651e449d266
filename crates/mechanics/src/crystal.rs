//! The oscillator of the mount's computer: it paces both the clock and the motors.

use units::{Instant, PartsPerMillion, Span};

/// Drift is kept as a whole number of this part of one: fine enough for a millionth of a part per million, and a power of two,
/// so that a conversion is one product and one shift of integers.
const SCALE_BITS: u32 = 40;

/// The relation between true time and the controller's time since power-on; exact in whole nanoseconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Crystal {
    power_on: Instant,
    drift: i64,
}

impl Crystal {
    /// A crystal that runs fast by `drift` (negative: slow), counting from `power_on`.
    ///
    /// # Panics
    /// If the drift is not within ±10 % (a mount's specification refuses far less, see [`crate::SpecError`]).
    pub fn new(power_on: Instant, drift: PartsPerMillion) -> Self {
        assert!(drift.fraction().abs() <= 0.1, "a drift beyond 10 % is no crystal's");
        let scale = (1_i64 << SCALE_BITS) as f64;
        Self { power_on, drift: units::maths::round(drift.fraction() * scale) as i64 }
    }

    /// When the controller's time was zero.
    pub const fn power_on(&self) -> Instant {
        self.power_on
    }

    /// Controller seconds per true second.
    pub fn speed(&self) -> f64 {
        1.0 + self.drift as f64 / (1_i64 << SCALE_BITS) as f64
    }

    /// What the controller's clock has counted at a true instant, rounded down to whole nanoseconds.
    pub const fn controller_time(&self, at: Instant) -> Span {
        let elapsed = at.since(self.power_on).nanoseconds();
        if self.drift == 0 {
            return Span::from_nanoseconds(elapsed);
        }
        let gained = (elapsed as i128 * self.drift as i128) >> SCALE_BITS;
        Span::from_nanoseconds(elapsed + gained as i64)
    }

    /// The first true instant at which the controller's clock has reached `time`.
    pub fn instant(&self, time: Span) -> Instant {
        if self.drift == 0 {
            return self.power_on + time;
        }
        let counted = time.nanoseconds();
        let one = 1_i128 << SCALE_BITS;
        let elapsed = ((counted as i128) << SCALE_BITS).div_euclid(one + i128::from(self.drift));
        let mut at = self.power_on + Span::from_nanoseconds(elapsed as i64);
        // The quotient was rounded down and so is the count: the answer is at most two nanoseconds away.
        while self.controller_time(at) < time {
            at += Span::from_nanoseconds(1);
        }
        while self.controller_time(at - Span::from_nanoseconds(1)) >= time {
            at -= Span::from_nanoseconds(1);
        }
        at
    }
}
