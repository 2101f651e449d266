//! Sines and cosines of turning shafts, cheaply and as a pure function of the angle.
//!
//! The circle is cut at multiples of a quarter of a radian. Sine and cosine of those are kept; an angle is one of them and
//! a rest of at most an eighth, whose sine and cosine are short polynomials. The multiple and the rest are exact in
//! binary, so nothing is lost but the last bit or two of the products.

use units::maths;

const STEP: f64 = 0.25;
/// Multiples kept on either side of zero: ±26 rad, the most that two cable turns and a wrapped worm need.
const KEPT: usize = 104;

/// The kept sines and cosines.
#[derive(Clone, Debug)]
pub(crate) struct Turns {
    table: Vec<(f64, f64)>,
}

impl Turns {
    /// Computes the kept values.
    pub fn new() -> Self {
        let table = (0..=2 * KEPT).map(|i| maths::sincos((i as f64 - KEPT as f64) * STEP)).collect();
        Self { table }
    }

    /// Sine and cosine of an angle in radians.
    #[inline]
    pub fn sincos(&self, angle: f64) -> (f64, f64) {
        let multiple = nearest(angle * (1.0 / STEP));
        let index = multiple + KEPT as f64;
        if !(index >= 0.0 && index <= (2 * KEPT) as f64) {
            return maths::sincos(angle);
        }
        let (s0, c0) = self.table[index as usize];
        let (s, c) = maths::sincos_small(angle - multiple * STEP);
        (s0 * c + c0 * s, c0 * c - s0 * s)
    }

    /// Sine and cosine of so many turns.
    #[inline]
    pub fn sincos_of_turns(&self, turns: f64) -> (f64, f64) {
        self.sincos((turns - nearest(turns)) * maths::TAU)
    }
}

/// The nearest whole number, ties to even, for sizes below 2⁵¹: two additions, where a library call would cost more than
/// all the rest of a sine.
#[inline]
pub(crate) fn nearest(x: f64) -> f64 {
    const SHIFT: f64 = 1.5 * (1_u64 << 52) as f64;
    (x + SHIFT) - SHIFT
}
