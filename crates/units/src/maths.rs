//! Transcendental functions that give the same bits on every platform.
//!
//! The platform's own (`f64::sin` and its kin) differ between C libraries and even between runs; results that are
//! promised to the byte can't rest on them. `f64::sqrt` is exact by IEEE 754 and needs no stand-in.

pub use libm::{
    acos, asin, atan, atan2, cbrt, ceil, cos, cosh, exp, floor, fmod, hypot, log as ln, log10, pow, rint,
    round, sin, sincos, sinh, tan, tanh,
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_turns_agree_with_the_full_functions() {
        // 4e-16: two units in the last place at 1.
        for i in -300..=300 {
            let x = f64::from(i) * 1e-3;
            let (s, c) = sincos_small(x);
            assert!((s - sin(x)).abs() < 4e-16, "sin {x}");
            assert!((c - cos(x)).abs() < 4e-16, "cos {x}");
        }
    }
}
