//! Instants and spans in integer nanoseconds.

use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

/// A length of time, in nanoseconds, signed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span(i64);

impl Span {
    /// No time at all.
    pub const ZERO: Self = Self(0);
    /// The longest span that can be held: about 292 years.
    pub const MAX: Self = Self(i64::MAX);
    /// One day of 86 400 s.
    pub const DAY: Self = Self(86_400_000_000_000);

    /// From nanoseconds.
    pub const fn from_nanoseconds(nanoseconds: i64) -> Self {
        Self(nanoseconds)
    }

    /// From whole seconds.
    pub const fn from_whole_seconds(seconds: i64) -> Self {
        Self(seconds * 1_000_000_000)
    }

    /// From seconds, to the nearest nanosecond; saturates at about 292 years, and not-a-number becomes zero.
    pub fn from_seconds(seconds: f64) -> Self {
        // A cast saturates and never panics; rounding is to nearest, half away from zero.
        Self(crate::maths::round(seconds * 1e9) as i64)
    }

    /// From seconds, up to the next whole nanosecond: a computed turning point is never taken too early.
    pub fn from_seconds_up(seconds: f64) -> Self {
        Self(crate::maths::ceil(seconds * 1e9) as i64)
    }

    /// In nanoseconds.
    pub const fn nanoseconds(self) -> i64 {
        self.0
    }

    /// In seconds.
    pub const fn seconds(self) -> f64 {
        self.0 as f64 / 1e9
    }

    /// In minutes.
    pub const fn minutes(self) -> f64 {
        self.seconds() / 60.0
    }

    /// In hours.
    pub const fn hours(self) -> f64 {
        self.seconds() / 3600.0
    }

    /// Its size without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl Add for Span {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Span {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Span {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Span {
    type Output = Self;
    fn mul(self, factor: i64) -> Self {
        Self(self.0 * factor)
    }
}

impl AddAssign for Span {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

/// A moment, in nanoseconds of International Atomic Time (TAI) since 2000-01-01 12:00:00 TAI (J2000.0 in that scale).
///
/// TAI runs evenly, so a difference of two instants is a true length of time, leap seconds included. Civil time and
/// the Earth's rotation are made from it in the crate `sky`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Instant(i64);

impl Instant {
    /// 2000-01-01 12:00:00 TAI.
    pub const J2000_TAI: Self = Self(0);

    /// From nanoseconds of TAI since [`Instant::J2000_TAI`].
    pub const fn from_nanoseconds(nanoseconds: i64) -> Self {
        Self(nanoseconds)
    }

    /// Nanoseconds of TAI since [`Instant::J2000_TAI`].
    pub const fn nanoseconds(self) -> i64 {
        self.0
    }

    /// The span since an earlier instant (negative if `earlier` is later).
    pub const fn since(self, earlier: Self) -> Span {
        Span(self.0 - earlier.0)
    }
}

impl Add<Span> for Instant {
    type Output = Self;
    fn add(self, span: Span) -> Self {
        Self(self.0 + span.0)
    }
}

impl Sub<Span> for Instant {
    type Output = Self;
    fn sub(self, span: Span) -> Self {
        Self(self.0 - span.0)
    }
}

impl Sub for Instant {
    type Output = Span;
    fn sub(self, earlier: Self) -> Span {
        self.since(earlier)
    }
}

impl AddAssign<Span> for Instant {
    fn add_assign(&mut self, span: Span) {
        *self = *self + span;
    }
}

impl SubAssign<Span> for Instant {
    fn sub_assign(&mut self, span: Span) {
        *self = *self - span;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_round_to_the_nearest_nanosecond_or_up() {
        assert_eq!(Span::from_seconds(1.000_000_000_4).nanoseconds(), 1_000_000_000);
        assert_eq!(Span::from_seconds_up(1.000_000_000_4).nanoseconds(), 1_000_000_001);
        assert_eq!(Span::from_seconds(f64::NAN), Span::ZERO);
    }

    #[test]
    fn instants_and_spans_add_up() {
        let start = Instant::J2000_TAI;
        let later = start + Span::DAY;
        assert_eq!(later - start, Span::DAY);
        assert_eq!(later.since(start).hours(), 24.0);
    }
}
