//! Angles and their derivatives.

use crate::maths;
use std::ops::{AddAssign, SubAssign};

/// Makes a newtype over an `f64` in one SI unit with the linear operations that a physical quantity has.
macro_rules! linear_quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(pub(crate) f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);

            /// Its size without its sign.
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// The smaller of two.
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The larger of two.
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// Whether it is a number at all (neither infinite nor NaN).
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }
        }

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl std::ops::Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl std::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl std::ops::Div<$name> for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    };
}
pub(crate) use linear_quantity;

linear_quantity! {
    /// A plane angle or a rotation, in radians; unbounded, so that a turn of a shaft stays a turn.
    Angle
}

const DEGREE: f64 = maths::PI / 180.0;

impl Angle {
    /// A quarter turn.
    pub const QUARTER: Self = Self(maths::PI / 2.0);
    /// Half a turn.
    pub const HALF: Self = Self(maths::PI);
    /// A whole turn.
    pub const TURN: Self = Self(maths::TAU);

    /// From radians.
    pub const fn from_radians(radians: f64) -> Self {
        Self(radians)
    }

    /// From degrees.
    pub const fn from_degrees(degrees: f64) -> Self {
        Self(degrees * DEGREE)
    }

    /// From arcminutes.
    pub const fn from_arcmin(arcmin: f64) -> Self {
        Self(arcmin * (DEGREE / 60.0))
    }

    /// From arcseconds.
    pub const fn from_arcsec(arcsec: f64) -> Self {
        Self(arcsec * (DEGREE / 3600.0))
    }

    /// From hours of right ascension or hour angle (24 to the turn).
    pub const fn from_hours(hours: f64) -> Self {
        Self(hours * (DEGREE * 15.0))
    }

    /// In radians.
    pub const fn radians(self) -> f64 {
        self.0
    }

    /// In degrees.
    pub const fn degrees(self) -> f64 {
        self.0 / DEGREE
    }

    /// In arcminutes.
    pub const fn arcmin(self) -> f64 {
        self.0 / (DEGREE / 60.0)
    }

    /// In arcseconds.
    pub const fn arcsec(self) -> f64 {
        self.0 / (DEGREE / 3600.0)
    }

    /// In hours (24 to the turn).
    pub const fn hours(self) -> f64 {
        self.0 / (DEGREE * 15.0)
    }

    /// Its sine.
    pub fn sin(self) -> f64 {
        maths::sin(self.0)
    }

    /// Its cosine.
    pub fn cos(self) -> f64 {
        maths::cos(self.0)
    }

    /// Its tangent.
    pub fn tan(self) -> f64 {
        maths::tan(self.0)
    }

    /// Its sine and its cosine.
    pub fn sin_cos(self) -> (f64, f64) {
        maths::sincos(self.0)
    }

    /// The angle of a vector with these components, from `x` towards `y`, in (−π, π].
    pub fn atan2(y: f64, x: f64) -> Self {
        Self(maths::atan2(y, x))
    }

    /// The same direction within (−half turn, +half turn].
    pub fn wrapped_signed(self) -> Self {
        let turns = maths::ceil(self.0 / maths::TAU - 0.5);
        let wrapped = self.0 - turns * maths::TAU;
        // Rounding may leave the result a hair outside; the bound itself belongs to the upper side.
        if wrapped <= -maths::PI {
            Self(wrapped + maths::TAU)
        } else if wrapped > maths::PI {
            Self(wrapped - maths::TAU)
        } else {
            Self(wrapped)
        }
    }

    /// The same direction within [0, one turn).
    #[inline]
    pub fn wrapped_positive(self) -> Self {
        // Most are less than a turn away: the same bits as below, without a division.
        if (0.0..maths::TAU).contains(&self.0) {
            return Self(self.0 + 0.0);
        }
        let wrapped = self.0 - maths::floor(self.0 / maths::TAU) * maths::TAU;
        if (0.0..maths::TAU).contains(&wrapped) { Self(wrapped) } else { Self(0.0) }
    }

    /// The same direction as near as possible to `reference`: at most half a turn away.
    pub fn unwrapped_near(self, reference: Self) -> Self {
        reference + (self - reference).wrapped_signed()
    }
}

impl AddAssign for Angle {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl SubAssign for Angle {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

/// Makes a derivative of [`Angle`] with the conversions that all of them share.
macro_rules! angular_derivative {
    ($(#[$doc:meta])* $name:ident, $per:literal) => {
        linear_quantity! {
            $(#[$doc])*
            $name
        }

        impl $name {
            #[doc = concat!("From radians per ", $per, ".")]
            pub const fn from_radians(radians: f64) -> Self {
                Self(radians)
            }

            #[doc = concat!("From degrees per ", $per, ".")]
            pub const fn from_degrees(degrees: f64) -> Self {
                Self(degrees * DEGREE)
            }

            #[doc = concat!("From arcseconds per ", $per, ".")]
            pub const fn from_arcsec(arcsec: f64) -> Self {
                Self(arcsec * (DEGREE / 3600.0))
            }

            #[doc = concat!("In radians per ", $per, ".")]
            pub const fn radians(self) -> f64 {
                self.0
            }

            #[doc = concat!("In degrees per ", $per, ".")]
            pub const fn degrees(self) -> f64 {
                self.0 / DEGREE
            }

            #[doc = concat!("In arcseconds per ", $per, ".")]
            pub const fn arcsec(self) -> f64 {
                self.0 / (DEGREE / 3600.0)
            }
        }
    };
}

angular_derivative! {
    /// A rate of turning, in radians per second.
    AngularRate, "second"
}
angular_derivative! {
    /// A change of rate, in radians per second squared.
    AngularAcceleration, "second squared"
}
angular_derivative! {
    /// A change of acceleration, in radians per second cubed.
    AngularJerk, "second cubed"
}

impl AngularRate {
    /// Turns of the Earth against the stars in one day of UT1 (IERS Conventions 2010, equation 5.15: the rate of the
    /// Earth rotation angle).
    pub const SIDEREAL_TURNS_PER_UT1_DAY: f64 = 1.002_737_811_911_354_48;

    /// The sidereal rate: what a mount on a true polar axis must turn at to hold a star still in vacuum.
    pub const SIDEREAL: Self = Self(maths::TAU * Self::SIDEREAL_TURNS_PER_UT1_DAY / 86_400.0);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapping_keeps_the_bound_on_one_side() {
        assert_eq!(Angle(maths::PI).wrapped_signed(), Angle(maths::PI));
        assert_eq!(Angle(-maths::PI).wrapped_signed(), Angle(maths::PI));
        assert!((Angle::from_degrees(350.0).wrapped_signed().degrees() + 10.0).abs() < 1e-12);
        assert_eq!(Angle(-1e-20).wrapped_positive(), Angle::ZERO);
        assert!((Angle::from_degrees(-10.0).wrapped_positive().degrees() - 350.0).abs() < 1e-12);
    }

    #[test]
    fn unwrapping_follows_the_cable() {
        let near = Angle::from_degrees(170.0).unwrapped_near(Angle::from_degrees(-185.0));
        assert!((near.degrees() + 190.0).abs() < 1e-12);
    }

    #[test]
    fn the_sidereal_rate_is_the_published_one() {
        // 15.041067 ″/s: the figure of every handbook, to its printed digits.
        assert!((AngularRate::SIDEREAL.arcsec() - 15.041_067).abs() < 5e-7);
    }
}
