//! The other quantities of the trade, each in its SI unit.

use crate::angle::linear_quantity;

/// Makes a quantity with one conversion pair per unit: `from_unit(value)` and `unit()`.
macro_rules! scalar {
    ($(#[$doc:meta])* $name:ident { $($(#[$unit_doc:meta])* $from:ident, $to:ident, $factor:expr;)+ }) => {
        linear_quantity! {
            $(#[$doc])*
            $name
        }

        impl $name {
            $(
                $(#[$unit_doc])*
                pub const fn $from(value: f64) -> Self {
                    Self(value * $factor)
                }

                $(#[$unit_doc])*
                pub const fn $to(self) -> f64 {
                    self.0 / $factor
                }
            )+
        }
    };
}

scalar! {
    /// A length, in metres.
    Length {
        /// In metres.
        from_metres, metres, 1.0;
        /// In millimetres.
        from_millimetres, millimetres, 1e-3;
        /// In micrometres.
        from_micrometres, micrometres, 1e-6;
    }
}
scalar! {
    /// A moment of force, in newton-metres.
    Torque {
        /// In newton-metres.
        from_newton_metres, newton_metres, 1.0;
    }
}
scalar! {
    /// A torsional stiffness, in newton-metres per radian.
    Stiffness {
        /// In newton-metres per radian.
        from_newton_metres_per_radian, newton_metres_per_radian, 1.0;
    }
}
scalar! {
    /// An air pressure, in pascals.
    Pressure {
        /// In pascals.
        from_pascals, pascals, 1.0;
        /// In hectopascals.
        from_hectopascals, hectopascals, 100.0;
    }
}
scalar! {
    /// A speed, in metres per second.
    Speed {
        /// In metres per second.
        from_metres_per_second, metres_per_second, 1.0;
    }
}
scalar! {
    /// A frequency, in hertz.
    Frequency {
        /// In hertz.
        from_hertz, hertz, 1.0;
    }
}
scalar! {
    /// A part of a whole: 1 is all of it.
    Share {
        /// As a fraction of 1.
        from_fraction, fraction, 1.0;
        /// In per cent.
        from_percent, percent, 0.01;
    }
}
scalar! {
    /// A relative error of a clock or an oscillator.
    PartsPerMillion {
        /// In parts per million.
        from_ppm, ppm, 1e-6;
        /// As a fraction of 1.
        from_fraction, fraction, 1.0;
    }
}

/// A temperature; zero is the freezing point of water, so it has no linear operations.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// From degrees Celsius.
    pub const fn from_celsius(celsius: f64) -> Self {
        Self(celsius)
    }

    /// In degrees Celsius.
    pub const fn celsius(self) -> f64 {
        self.0
    }

    /// In kelvins.
    pub const fn kelvins(self) -> f64 {
        self.0 + 273.15
    }

    /// Whether it is a number at all.
    pub fn is_finite(self) -> bool {
        self.0.is_finite()
    }
}
