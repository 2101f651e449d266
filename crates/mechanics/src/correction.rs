//! Correction of the periodic error: a table over one turn of the worm, recorded once and played back by the drive.

use crate::turns::floor;
use units::{Angle, Stream};

/// Corrections over one turn of the worm, one bin after another, from worm angle zero on.
///
/// Bin `i` holds the correction at its middle, worm angle 2π(i + ½)/N; between middles the drive plays back a straight
/// line, over the end of the table too.
#[derive(Clone, Debug, PartialEq)]
pub struct CorrectionTable {
    bins: Vec<f64>,
}

/// A table that can't be one.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CorrectionError {
    /// Fewer than the four bins that a once-per-turn wave needs.
    #[error("a correction table has {0} bins; give it at least 4")]
    TooFewBins(usize),
    /// A bin isn't a number.
    #[error("bin {0} of the correction table is not a finite angle; record it again or set it to zero")]
    NotFinite(usize),
    /// Nothing was recorded.
    #[error("a correction table needs a recording of at least one turn of the worm")]
    NoTurns,
}

impl CorrectionTable {
    /// From what is to be added to the ordered motion in each bin.
    ///
    /// # Errors
    /// [`CorrectionError`] for fewer than four bins or a value that isn't finite.
    pub fn from_bins(bins: &[Angle]) -> Result<Self, CorrectionError> {
        if bins.len() < 4 {
            return Err(CorrectionError::TooFewBins(bins.len()));
        }
        if let Some(index) = bins.iter().position(|bin| !bin.is_finite()) {
            return Err(CorrectionError::NotFinite(index));
        }
        Ok(Self { bins: bins.iter().map(|bin| bin.radians()).collect() })
    }

    /// Records a table as a drive does: over `turns` turns of the worm the error that a guide sees is averaged bin by
    /// bin, its straight trend and its mean are taken off, and the rest is stored with the opposite sign. From two turns on
    /// the trend is that of the turns' means, which no wave of the worm can feign.
    ///
    /// `error` gives the axis's error (radians of axis angle) at a worm angle in turns, counted from the beginning of the
    /// recording; `noise` is the deviation of one bin's measurement in one turn, drawn from `stream`.
    ///
    /// # Errors
    /// [`CorrectionError`] for fewer than four bins or no turn.
    pub fn record(
        bins: usize,
        turns: usize,
        noise: Angle,
        stream: &mut Stream,
        mut error: impl FnMut(f64) -> f64,
    ) -> Result<Self, CorrectionError> {
        if bins < 4 {
            return Err(CorrectionError::TooFewBins(bins));
        }
        if turns == 0 {
            return Err(CorrectionError::NoTurns);
        }
        let count = bins * turns;
        let mut seen: Vec<f64> = Vec::with_capacity(count);
        for i in 0..count {
            let middle = (i as f64 + 0.5) / bins as f64;
            seen.push(error(middle) + noise.radians() * stream.normal());
        }
        remove_trend(&mut seen, bins);
        let mean_at = |bin: usize| seen.iter().skip(bin).step_by(bins).sum::<f64>() / turns as f64;
        Ok(Self { bins: (0..bins).map(|bin| -mean_at(bin)).collect() })
    }

    /// How many bins there are.
    pub fn len(&self) -> usize {
        self.bins.len()
    }

    /// Never: a table has at least four bins.
    pub fn is_empty(&self) -> bool {
        false
    }

    /// The correction of each bin.
    pub fn bins(&self) -> impl Iterator<Item = Angle> + '_ {
        self.bins.iter().map(|bin| Angle::from_radians(*bin))
    }

    /// What is added to the ordered motion at a worm angle, in turns; linear between the bins' middles.
    pub fn at(&self, worm_turns: f64) -> Angle {
        Angle::from_radians(self.radians_at(worm_turns))
    }

    #[inline]
    pub(crate) fn radians_at(&self, worm_turns: f64) -> f64 {
        let count = self.bins.len();
        // Within [−½, N − ½]: before the first middle the last bin's line holds.
        let place = (worm_turns - floor(worm_turns)) * count as f64 - 0.5;
        let below = floor(place);
        let share = place - below;
        let first = if below < 0.0 { count - 1 } else { below as usize };
        let second = if first + 1 == count { 0 } else { first + 1 };
        self.bins[first] + (self.bins[second] - self.bins[first]) * share
    }

    /// The steepest slope, in radians of correction per turn of the worm.
    pub(crate) fn steepest_per_turn(&self) -> f64 {
        let count = self.bins.len();
        let step = |i: usize| (self.bins[(i + 1) % count] - self.bins[i]).abs();
        (0..count).map(step).fold(0.0, f64::max) * count as f64
    }
}

/// Takes off the mean and the straight trend of values of whole turns.
fn remove_trend(values: &mut [f64], bins: usize) {
    let means: Vec<f64> = values.chunks(bins).map(|turn| turn.iter().sum::<f64>() / bins as f64).collect();
    let slope =
        if means.len() > 1 { least_squares_slope(&means) / bins as f64 } else { least_squares_slope(values) };
    let middle = (values.len() as f64 - 1.0) / 2.0;
    let mean = means.iter().sum::<f64>() / means.len() as f64;
    for (i, value) in values.iter_mut().enumerate() {
        *value -= mean + slope * (i as f64 - middle);
    }
}

/// Slope per index of the straight line nearest to at least two values.
fn least_squares_slope(values: &[f64]) -> f64 {
    let middle = (values.len() as f64 - 1.0) / 2.0;
    let (mut across, mut along) = (0.0, 0.0);
    for (i, value) in values.iter().enumerate() {
        let t = i as f64 - middle;
        across += t * value;
        along += t * t;
    }
    across / along
}
