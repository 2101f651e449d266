//! Bootstrap over nights while they stream by: every replicate gives every night a weight of its own.
//!
//! A replicate of the usual bootstrap draws as many nights as there are, with replacement; how often one of them comes up is
//! nearly Poisson with mean one. Drawing those numbers independently (the Poisson bootstrap) needs no second look at any
//! night. A night's weights depend on its number alone, so the intervals are the same in any order and on any machine.

use units::Streams;

/// How many replicates there are.
pub const REPLICATES: usize = 2000;

/// The 97.5 % point of the normal law: half the width of an interval that holds 95 %, in standard errors.
pub const SIGMAS: f64 = 1.959_963_984_540_054;

/// The weights of one night.
pub type Weights = [u8; REPLICATES];

/// The seed that all weights come from: no night's, so that no weight follows a draw.
const SEED: u64 = 0x6e69_6768_7473;

/// `e⁻¹ · Σ 1/k!` up to each k, times 2¹⁶: a Poisson number of mean one from 16 random bits, to 1.5e-5 of its probabilities.
const BELOW: [u32; 8] = [24_109, 48_219, 60_274, 64_292, 65_296, 65_497, 65_531, 65_535];

/// The weights of the night of a number.
pub fn weights(number: u64) -> Weights {
    let mut stream = Streams::new(SEED).stream("weights of the bootstrap", number);
    let mut weights = [0; REPLICATES];
    for four in weights.chunks_mut(4) {
        let mut bits = stream.bits();
        for weight in four {
            let part = (bits & 0xffff) as u32;
            bits >>= 16;
            *weight = BELOW.iter().map(|below| u8::from(part >= *below)).sum();
        }
    }
    weights
}

/// The interval that holds 95 % of the replicates.
pub fn interval(mut replicates: Vec<f64>) -> Option<[f64; 2]> {
    replicates.retain(|value| value.is_finite());
    let last = replicates.len().checked_sub(1)?;
    replicates.sort_by(f64::total_cmp);
    let at = |share: f64| replicates[units::maths::round(share * last as f64) as usize];
    Some([at(0.025), at(0.975)])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean and variance of a Poisson number of mean one are one; over 2000 replicates of 500 nights the mean of a million
    /// weights is one within 4/√10⁶, and its variance within four times √((μ₄ − 1)/10⁶) = √(3/10⁶).
    #[test]
    fn weights_are_poisson_numbers_of_mean_one() {
        let (mut sum, mut squares) = (0_u64, 0_u64);
        for number in 0..500 {
            for weight in weights(number) {
                sum += u64::from(weight);
                squares += u64::from(weight) * u64::from(weight);
            }
        }
        let mean = sum as f64 / 1e6;
        assert!((mean - 1.0).abs() < 0.004, "{mean}");
        assert!((squares as f64 / 1e6 - mean * mean - 1.0).abs() < 0.007);
        assert_eq!(weights(7), weights(7));
        assert_ne!(weights(7), weights(8));
    }

    #[test]
    fn an_interval_leaves_a_fortieth_on_each_side() {
        let replicates: Vec<f64> = (0..=1000).map(f64::from).collect();
        assert_eq!(interval(replicates), Some([25.0, 975.0]));
        assert_eq!(interval(vec![f64::NAN]), None);
    }
}
