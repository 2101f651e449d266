//! The non-linearity of microsteps: the rotor of a stepping motor stands not quite where the currents ask.
//!
//! It repeats with the electrical period of four full steps and with each full step, half of the peak each, and never adds up
//! (general application notes on motor drives; sizes of a few per cent of a full step).

use crate::spec::AxisSpec;
use crate::turns::{Turns, nearest};
use units::maths;

#[derive(Clone, Debug)]
pub(super) enum Microsteps {
    /// No error.
    Silent,
    /// A drive that stops only at whole microsteps: one value for each of an electrical period.
    Table { per_radian: f64, values: Vec<f64> },
    /// A drive that stops anywhere: electrical periods per radian, and half of the peak.
    Smooth { periods: f64, half: f64 },
}

impl Microsteps {
    pub fn new(spec: &AxisSpec) -> Self {
        let half = 0.5 * peak(spec);
        if half == 0.0 {
            return Self::Silent;
        }
        let periods = 1.0 / (4.0 * spec.full_step().radians());
        if spec.continuous {
            return Self::Smooth { periods, half };
        }
        let count = 4 * spec.microsteps;
        let value = |i: i64| {
            let electrical = maths::TAU * i as f64 / count as f64;
            half * (maths::sin(electrical) + maths::sin(4.0 * electrical))
        };
        let values = (0..count).map(value).collect();
        Self::Table { per_radian: 1.0 / spec.microstep().radians(), values }
    }

    pub fn is_silent(&self) -> bool {
        matches!(self, Self::Silent)
    }

    #[inline(always)]
    pub fn error(&self, turns: &Turns, motor: f64) -> f64 {
        match self {
            Self::Silent => 0.0,
            Self::Table { per_radian, values } => {
                let count = values.len() as f64;
                let step = nearest(motor * per_radian);
                // Whole numbers all along, so the rest is exact.
                let rest = step - nearest(step / count) * count;
                values[if rest < 0.0 { rest + count } else { rest } as usize]
            }
            Self::Smooth { periods, half } => {
                let (s, c) = turns.sincos_of_turns(motor * periods);
                // sin 4x = 4 sin x cos x (1 − 2 sin² x).
                half * (s + 4.0 * s * c * (1.0 - 2.0 * s * s))
            }
        }
    }
}

/// The peak, as angle of the axis.
fn peak(spec: &AxisSpec) -> f64 {
    spec.microstep_error.fraction() * spec.full_step().radians()
}

/// The steepest slope of the error against the motor's motion.
pub(super) fn slope(spec: &AxisSpec) -> f64 {
    let half = 0.5 * spec.microstep_error.fraction().abs();
    maths::TAU * half * (1.0 + 0.25)
}
