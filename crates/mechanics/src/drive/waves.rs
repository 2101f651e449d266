//! Sums of sinusoids of the worm's angle.

use crate::spec::Harmonic;
use crate::turns::Turns;
use units::maths;

/// Whole orders up to this one come from the worm's own sine and cosine by recurrence.
const RECURRENT: usize = 12;

/// Σ a sin(order·ψ + p), prepared as sine and cosine parts.
#[derive(Clone, Debug)]
pub(super) struct Waves {
    /// Parts (of sin kψ, of cos kψ) of order k at index k − 1.
    whole: Vec<(f64, f64)>,
    /// Order and parts of all others.
    other: Vec<(f64, f64, f64)>,
}

impl Waves {
    pub fn new(harmonics: &[Harmonic]) -> Self {
        let mut waves = Self { whole: Vec::new(), other: Vec::new() };
        for wave in harmonics.iter().filter(|wave| wave.amplitude.radians() != 0.0) {
            let (s, c) = wave.phase.sin_cos();
            let (of_sine, of_cosine) = (wave.amplitude.radians() * c, wave.amplitude.radians() * s);
            let order = wave.order;
            if order >= 1.0 && order <= RECURRENT as f64 && maths::floor(order) == order {
                let index = order as usize - 1;
                if waves.whole.len() <= index {
                    waves.whole.resize(index + 1, (0.0, 0.0));
                }
                waves.whole[index].0 += of_sine;
                waves.whole[index].1 += of_cosine;
            } else {
                waves.other.push((order, of_sine, of_cosine));
            }
        }
        waves
    }

    pub fn is_silent(&self) -> bool {
        self.whole.is_empty() && self.other.is_empty()
    }

    /// The sum at so many turns of the worm, whose sine and cosine are `worm`.
    #[inline(always)]
    pub fn value(&self, turns: &Turns, worm_turns: f64, worm: (f64, f64)) -> f64 {
        let mut total = 0.0;
        let (mut s, mut c) = worm;
        for (of_sine, of_cosine) in &self.whole {
            total += of_sine * s + of_cosine * c;
            (s, c) = (s * worm.1 + c * worm.0, c * worm.1 - s * worm.0);
        }
        for (order, of_sine, of_cosine) in &self.other {
            let (s, c) = turns.sincos_of_turns(order * worm_turns);
            total += of_sine * s + of_cosine * c;
        }
        total
    }
}
