//! Sines and cosines of turning shafts, cheaply and as a pure function of the angle.
//!
//! The circle is cut at multiples of a sixteenth of a radian. Sine and cosine of those are kept; an angle is one of them and
//! a rest of at most a thirty-second, whose sine and cosine are very short polynomials. The multiple and the rest are exact
//! in binary, so nothing is lost but the last bit or two of the products.

use std::sync::OnceLock;
use units::maths;

const STEP: f64 = 1.0 / 16.0;
/// Multiples kept on either side of zero: ±26 rad, the most that two cable turns and a wrapped worm need.
const KEPT: usize = 416;

/// Below this the sine's fifth power, x⁵/120, is 8e-15: 2e-9″.
const CLOSE: f64 = 0.004;

/// The kept sines and cosines: constants, computed when the first mount is made and shared by all.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Turns {
    table: &'static [(f64, f64)],
}

/// An angle in radians with its sine and cosine.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub at: f64,
    pub turn: (f64, f64),
}

impl Turns {
    /// The kept values.
    pub fn new() -> Self {
        static TABLE: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
        let compute = || (0..=2 * KEPT).map(|i| maths::sincos((i as f64 - KEPT as f64) * STEP)).collect();
        Self { table: TABLE.get_or_init(compute) }
    }

    /// Sine and cosine of an angle in radians.
    #[inline(always)]
    pub fn sincos(&self, angle: f64) -> (f64, f64) {
        let multiple = nearest(angle * (1.0 / STEP));
        let index = multiple + KEPT as f64;
        // A negative number becomes zero here, so both bounds are looked at.
        match self.table.get(index as usize) {
            Some(kept) if index >= 0.0 => turned(*kept, angle - multiple * STEP),
            _ => far(angle),
        }
    }

    /// An angle with its sine and cosine.
    #[inline(always)]
    pub fn place(&self, at: f64) -> Place {
        Place { at, turn: self.sincos(at) }
    }

    /// Sine and cosine of an angle near a place: cheap if it is within a thirty-second of a radian of it, and cheapest
    /// within some hundred arcseconds.
    #[inline(always)]
    pub fn near(&self, place: &Place, angle: f64) -> (f64, f64) {
        let shift = angle - place.at;
        if shift.abs() <= CLOSE {
            let x2 = shift * shift;
            let s = shift * (1.0 - x2 * (1.0 / 6.0));
            let c = 1.0 - x2 * (0.5 - x2 * (1.0 / 24.0));
            let (s0, c0) = place.turn;
            return (s0 * c + c0 * s, c0 * c - s0 * s);
        }
        if shift.abs() <= 0.5 * STEP { turned(place.turn, shift) } else { self.sincos(angle) }
    }

    /// Sine and cosine of so many turns.
    #[inline(always)]
    pub fn sincos_of_turns(&self, turns: f64) -> (f64, f64) {
        self.sincos((turns - nearest(turns)) * maths::TAU)
    }
}

#[cold]
fn far(angle: f64) -> (f64, f64) {
    maths::sincos(angle)
}

/// Sine and cosine after a further turn of at most a thirty-second of a radian. The first terms left out, x⁹/9! and x⁸/8!,
/// are below 1e-19 and 3e-17.
#[inline(always)]
fn turned((s0, c0): (f64, f64), x: f64) -> (f64, f64) {
    let x2 = x * x;
    let s = x + x * x2 * (-1.0 / 6.0 + x2 * (1.0 / 120.0 - x2 * (1.0 / 5_040.0)));
    let c = 1.0 - x2 * (0.5 - x2 * (1.0 / 24.0 - x2 * (1.0 / 720.0)));
    (s0 * c + c0 * s, c0 * c - s0 * s)
}

/// The nearest whole number, ties to even, for sizes below 2⁵¹: two additions, where a library call would cost more than
/// all the rest of a sine.
#[inline]
pub(crate) fn nearest(x: f64) -> f64 {
    const SHIFT: f64 = 1.5 * (1_u64 << 52) as f64;
    (x + SHIFT) - SHIFT
}

/// The whole number at or below, for sizes below 2⁵¹, as cheaply.
#[inline]
pub(crate) fn floor(x: f64) -> f64 {
    let whole = nearest(x);
    if whole > x { whole - 1.0 } else { whole }
}
