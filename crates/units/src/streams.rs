//! Named streams of random numbers: one per cause and index, all from one seed.
//!
//! A stream's key is made from the night's seed, the name of the cause and an index, so that a further cause, or a
//! further draw of one, leaves every other stream as it was. The generator is ChaCha with eight rounds (Bernstein,
//! "ChaCha, a variant of Salsa20", 2008); deviates are made here, so that no library can change them.

use crate::maths;
use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};
use std::sync::{Arc, Mutex, PoisonError};

/// All the streams of one seed.
#[derive(Clone, Debug)]
pub struct Streams {
    /// The night's seed.
    pub seed: u64,
    /// Which streams were asked for, where somebody wants to know; shared by all copies.
    asked_for: Option<Arc<Mutex<Vec<StreamName>>>>,
}

/// The name of a stream.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StreamName {
    /// What is drawn for.
    pub cause: String,
    /// Which of several of one kind.
    pub index: u64,
}

/// Equal if they give the same draws.
impl PartialEq for Streams {
    fn eq(&self, other: &Self) -> bool {
        self.seed == other.seed
    }
}

impl Eq for Streams {}

impl Streams {
    /// The streams of a seed.
    pub const fn new(seed: u64) -> Self {
        Self { seed, asked_for: None }
    }

    /// The same streams, whose names are kept from now on, each as it is asked for. Draws are the same whether or not
    /// names are kept.
    pub fn watched(seed: u64) -> Self {
        Self { seed, asked_for: Some(Arc::default()) }
    }

    /// The names of the streams that were asked for since the last call, by this or a copy of it; none if they aren't kept.
    pub fn take_names(&self) -> Vec<StreamName> {
        let Some(names) = &self.asked_for else { return Vec::new() };
        std::mem::take(&mut names.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// The stream of a cause, from its beginning. `index` tells apart several of one kind, such as the axes.
    pub fn stream(&self, cause: &str, index: u64) -> Stream {
        if let Some(names) = &self.asked_for {
            let name = StreamName { cause: cause.to_owned(), index };
            names.lock().unwrap_or_else(PoisonError::into_inner).push(name);
        }
        let mut key = [0_u8; 32];
        key[..8].copy_from_slice(&self.seed.to_le_bytes());
        key[8..16].copy_from_slice(&index.to_le_bytes());
        key[16..].copy_from_slice(&digest(cause).to_le_bytes());
        Stream { generator: ChaCha8Rng::from_seed(key), spare: None }
    }
}

/// The 128-bit hash of Fowler, Noll and Vo, variant 1a (constants from memory).
fn digest(text: &str) -> u128 {
    const OFFSET: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    text.bytes().fold(OFFSET, |hash, byte| (hash ^ u128::from(byte)).wrapping_mul(PRIME))
}

/// One stream of random numbers.
#[derive(Clone, Debug)]
pub struct Stream {
    generator: ChaCha8Rng,
    spare: Option<f64>,
}

impl Stream {
    /// 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.generator.next_u64()
    }

    /// Uniform within [0, 1), a multiple of 2⁻⁵³.
    pub fn uniform(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Uniform within [low, high).
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// A whole number within [0, count), each equally likely.
    ///
    /// # Panics
    /// If `count` is zero.
    pub fn below(&mut self, count: u64) -> u64 {
        assert!(count > 0, "a choice needs something to choose from");
        // Draws in the incomplete last stretch are refused, else small numbers would come up more often.
        let limit = u64::MAX - u64::MAX % count;
        loop {
            let bits = self.bits();
            if bits < limit {
                return bits % count;
            }
        }
    }

    /// True with this probability; 0 is never, 1 is always. One draw whatever the probability.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.uniform() < probability
    }

    /// Normal with mean zero and deviation one (Marsaglia's polar method, SIAM Review 6 (1964) 260).
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let u = self.between(-1.0, 1.0);
            let v = self.between(-1.0, 1.0);
            let s = u * u + v * v;
            if s > 0.0 && s < 1.0 {
                let factor = (-2.0 * maths::ln(s) / s).sqrt();
                self.spare = Some(v * factor);
                return u * factor;
            }
        }
    }

    /// Exponential with mean one: the wait for the next of events that come at random.
    pub fn exponential(&mut self) -> f64 {
        -maths::ln(1.0 - self.uniform())
    }

    /// The length of a vector of two normal components of deviation one.
    pub fn rayleigh(&mut self) -> f64 {
        (2.0 * self.exponential()).sqrt()
    }
}
