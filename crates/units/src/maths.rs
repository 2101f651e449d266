//! Transcendental functions that give the same bits on every platform.
//!
//! The platform's own (`f64::sin` and its kin) differ between C libraries and even between runs; results that are
//! promised to the byte can't rest on them. `f64::sqrt` is exact by IEEE 754 and needs no stand-in.

pub use libm::{
    acos, asin, atan, atan2, cbrt, ceil, cos, cosh, erfc, exp, floor, fmod, hypot, log as ln, log10, pow,
    rint, round, sin, sincos, sinh, tan, tanh,
};

/// π.
pub const PI: f64 = std::f64::consts::PI;
/// 2π.
pub const TAU: f64 = std::f64::consts::TAU;

/// Sine and cosine of a small turn, for turns up to a quarter of a radian.
///
/// Taylor polynomials of degree 13 and 12; the first term left out is below 3e-20 at the bound, so the result is
/// good to the last bit or two. Larger turns fall back on [`sincos`].
#[inline]
pub fn sincos_small(x: f64) -> (f64, f64) {
    if !(-0.25..=0.25).contains(&x) {
        return sincos(x);
    }
    let x2 = x * x;
    let sine = x + x
        * x2
        * (-1.0 / 6.0
            + x2 * (1.0 / 120.0
                + x2 * (-1.0 / 5_040.0
                    + x2 * (1.0 / 362_880.0 + x2 * (-1.0 / 39_916_800.0 + x2 * (1.0 / 6_227_020_800.0))))));
    let cosine = 1.0
        + x2 * (-0.5
            + x2 * (1.0 / 24.0
                + x2 * (-1.0 / 720.0
                    + x2 * (1.0 / 40_320.0 + x2 * (-1.0 / 3_628_800.0 + x2 * (1.0 / 479_001_600.0))))));
    (sine, cosine)
}

/// A number rounded to the nearest whole one, and the low bits of that one (two's complement): the caller masks what
/// it needs. For numbers up to 2⁵¹ in size; a tie goes to the even one.
///
/// Adding 1.5 · 2⁵² leaves a double no bits for a fraction. A cast would do, but checks for what can't be here.
#[inline]
pub fn nearest_whole(x: f64) -> (f64, u64) {
    const NO_FRACTION: f64 = 6_755_399_441_055_744.0;
    let shifted = x + NO_FRACTION;
    (shifted - NO_FRACTION, shifted.to_bits())
}

/// Sine and cosine of a turn of at most a twentieth of a radian, which the caller has seen to.
///
/// Taylor polynomials of degree 7 and 8; the first term left out is below 6e-18 at the bound.
#[inline]
pub fn sincos_tiny(x: f64) -> (f64, f64) {
    debug_assert!(x.abs() <= 0.05);
    let x2 = x * x;
    let sine = x + x * x2 * (-1.0 / 6.0 + x2 * (1.0 / 120.0 + x2 * (-1.0 / 5_040.0)));
    let cosine = 1.0 + x2 * (-0.5 + x2 * (1.0 / 24.0 + x2 * (-1.0 / 720.0 + x2 * (1.0 / 40_320.0))));
    (sine, cosine)
}

/// What π is more than [`PI`].
const PI_REST: f64 = 1.224_646_799_147_353_2e-16;

/// Steps of the quotient between two places of the table of [`atan2_quick`].
const STEPS: usize = 64;

/// For each quotient k/64 from 0 to 1: the arctangent there and seven more coefficients of its Taylor series.
///
/// The arctangents add up from atan((k+1)/64) − atan(k/64) = atan(64/(4096 + k(k+1))), with compensated summation; the
/// coefficients follow from the recurrence of 1/((1 + c²) + 2cd + d²), term by term integrated.
const ARCTANGENTS: [[f64; 8]; STEPS + 1] = {
    let mut table = [[0.0; 8]; STEPS + 1];
    let (mut sum, mut lost) = (0.0, 0.0);
    let mut k = 0;
    while k <= STEPS {
        let c = k as f64 / STEPS as f64;
        let square = 1.0 + c * c;
        let (mut before, mut here) = (0.0, 1.0 / square);
        table[k][0] = sum;
        let mut n = 1;
        while n < 8 {
            table[k][n] = here / n as f64;
            (before, here) = (here, -(2.0 * c * here + before) / square);
            n += 1;
        }
        let u = STEPS as f64 / ((STEPS * STEPS) as f64 + (k * (k + 1)) as f64);
        let u2 = u * u;
        let step = u * (1.0 - u2 * (1.0 / 3.0 - u2 * (1.0 / 5.0 - u2 * (1.0 / 7.0 - u2 / 9.0)))) - lost;
        let next = sum + step;
        lost = (next - sum) - step;
        sum = next;
        k += 1;
    }
    table
};

/// The angle of a vector with these components, from `x` towards `y`, in [−π, π]: [`atan2`] for hot paths, in a third
/// of the time.
///
/// Components must be finite and their larger one between 1e-300 and 1e300 in size, or both zero (which gives zero with
/// the sign of `y`, whatever the sign of `x`). Good to 5e-16: one division, then a Taylor series of degree 7 about the
/// nearest 64th; the first term left out is below 2e-18.
#[inline]
pub fn atan2_quick(y: f64, x: f64) -> f64 {
    let (across, along) = (y.abs(), x.abs());
    let steep = across > along;
    let (least, most) = if steep { (along, across) } else { (across, along) };
    if most == 0.0 {
        return y;
    }
    let quotient = least / most;
    let (whole, bits) = nearest_whole(quotient * STEPS as f64);
    // The mask holds 0 to 127; only not-a-number gets beyond the table.
    let [b0, b1, b2, b3, b4, b5, b6, b7] = &ARCTANGENTS[((bits & 127) as usize).min(STEPS)];
    let d = quotient - whole * (1.0 / STEPS as f64);
    let d2 = d * d;
    let angle = b0 + (d * b1 + d2 * ((b2 + d * b3) + d2 * ((b4 + d * b5) + d2 * (b6 + d * b7))));
    // Count from the nearer axis in one addition; π's next digits keep its own rounding out.
    let angle = match (steep, x < 0.0) {
        (false, false) => angle,
        (true, false) => PI / 2.0 + (PI_REST / 2.0 - angle),
        (true, true) => PI / 2.0 + (PI_REST / 2.0 + angle),
        (false, true) => PI + (PI_REST - angle),
    };
    angle.copysign(y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_turns_agree_with_the_full_functions() {
        // 4e-16: two units in the last place at 1.
        for i in -300_i32..=300 {
            let x = f64::from(i) * 1e-3;
            let (s, c) = sincos_small(x);
            assert!((s - sin(x)).abs() < 4e-16, "sin {x}");
            assert!((c - cos(x)).abs() < 4e-16, "cos {x}");
            if i.abs() <= 50 {
                let (s, c) = sincos_tiny(x);
                assert!((s - sin(x)).abs() < 2e-17, "tiny sin {x}");
                assert!((c - cos(x)).abs() < 2.3e-16, "tiny cos {x}");
            }
        }
    }

    #[test]
    fn whole_numbers_and_their_bits() {
        for (x, whole) in [(2.4, 2), (2.6, 3), (-2.6, -3), (0.0, 0), (-0.2, 0), (6_400.5, 6_400)] {
            let (rounded, bits) = nearest_whole(x);
            assert_eq!(rounded, f64::from(whole), "{x}");
            assert_eq!(bits & 63, i64::from(whole).cast_unsigned() & 63, "{x}");
        }
    }

    #[test]
    fn the_quick_arctangent_agrees_with_the_full_one() {
        // 5e-16: one unit in the last place at the size of π, and a rounding of the quotient.
        let mut worst = 0.0_f64;
        for i in -40_000..=40_000 {
            let angle = f64::from(i) * (PI / 40_000.0);
            let (s, c) = sincos(angle);
            for length in [1.0, 3e-9, 7e9] {
                let (y, x) = (s * length, c * length);
                worst = worst.max((atan2_quick(y, x) - atan2(y, x)).abs());
            }
        }
        assert!(worst < 5e-16, "{worst:e}");
    }

    #[test]
    fn the_quick_arctangent_on_the_axes() {
        for (y, x) in
            [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0), (1.0, 1.0), (-0.0, -2.0), (-0.0, 2.0)]
        {
            assert_eq!(atan2_quick(y, x), atan2(y, x), "{y} {x}");
        }
        assert_eq!(atan2_quick(0.0, 0.0), 0.0);
        for tiny in [1e-20, 5e-324] {
            assert_eq!(atan2_quick(tiny, 1.0), tiny);
            assert_eq!(atan2_quick(1.0, tiny), PI / 2.0);
        }
        assert!(atan2_quick(f64::NAN, 1.0).is_nan());
    }
}
