//! The errors of the wheel: eccentricity, second harmonic, and what differs from tooth to tooth.

use crate::spec::Wheel;
use crate::turns::floor;
use units::maths;

/// Prepared errors of one wheel.
#[derive(Clone, Debug)]
pub(crate) struct WheelErrors {
    /// Parts of sin y, cos y, sin 2y, cos 2y.
    parts: [f64; 4],
    /// One cubic per tooth in the share of the way to the next one.
    teeth: Vec<[f64; 4]>,
    round: bool,
}

impl WheelErrors {
    pub fn new(wheel: &Wheel) -> Self {
        let (s1, c1) = wheel.eccentricity_phase.sin_cos();
        let (s2, c2) = wheel.second_phase.sin_cos();
        let (e1, e2) = (wheel.eccentricity.radians(), wheel.second.radians());
        let values: Vec<f64> = wheel.teeth.iter().map(|tooth| tooth.radians()).collect();
        let parts = [e1 * c1, e1 * s1, e2 * c2, e2 * s2];
        let round = parts.iter().all(|part| *part == 0.0) && values.iter().all(|value| *value == 0.0);
        Self { parts, teeth: cubics(&values), round }
    }

    /// Whether the wheel has no error.
    pub fn is_round(&self) -> bool {
        self.round
    }

    /// The error where the wheel stands, whose sine and cosine are given.
    #[inline(always)]
    pub fn error(&self, position: f64, (s, c): (f64, f64)) -> f64 {
        if self.round {
            return 0.0;
        }
        let [a, b, p, q] = self.parts;
        let once = a * s + b * c;
        let twice = p * (2.0 * s * c) + q * (c * c - s * s);
        once + twice + self.tooth(position)
    }

    #[inline(always)]
    fn tooth(&self, position: f64) -> f64 {
        if self.teeth.is_empty() {
            return 0.0;
        }
        let count = self.teeth.len();
        let turns = position * (1.0 / maths::TAU);
        let place = (turns - floor(turns)) * count as f64;
        let below = floor(place);
        let index = below as usize;
        // Rounding may lead to the very end of the turn, which is its beginning.
        let [a, b, c, d] = self.teeth[if index >= count { index - count } else { index }];
        let u = place - below;
        a + u * (b + u * (c + u * d))
    }
}

/// Periodic cubics through the values: at each its slope is that of the chord between its neighbours (Catmull and Rom,
/// "A class of local interpolating splines", 1974), so that the rate never jumps.
fn cubics(values: &[f64]) -> Vec<[f64; 4]> {
    let n = values.len();
    (0..n)
        .map(|i| {
            let before = values[(i + n - 1) % n];
            let here = values[i];
            let next = values[(i + 1) % n];
            let after = values[(i + 2) % n];
            let (m0, m1) = (0.5 * (next - before), 0.5 * (after - here));
            let step = next - here;
            [here, m0, 3.0 * step - 2.0 * m0 - m1, m0 + m1 - 2.0 * step]
        })
        .collect()
}
