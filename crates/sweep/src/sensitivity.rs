//! Which inputs explain the spread between nights.

use crate::about::About;
use crate::resample::{SIGMAS, interval};
use crate::tally::Tally;
use units::{Streams, maths};

/// What explains the spread of one case.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// Index of the case.
    pub case: usize,
    /// How many nights were looked at.
    pub nights: usize,
    /// The inputs that vary, the one that explains most first.
    pub inputs: Vec<InputShare>,
}

/// How one input goes with the nights' median misses.
#[derive(Clone, Debug, PartialEq)]
pub struct InputShare {
    /// The key that it belongs to.
    pub key: String,
    /// Spearman's rank correlation of the miss with the input, or with its size where it takes both signs.
    pub rank_correlation: f64,
    /// Share of the variance of the miss's logarithm that the input explains by itself: the correlation ratio over bins of
    /// equal count, freed of what chance alone would explain.
    pub explained: f64,
    /// Its standard error, by bootstrap over nights.
    pub explained_error: f64,
}

/// Fewer nights than this say nothing.
const NIGHTS_LEAST: usize = 20;
/// Replicates of the bootstrap of the shares.
const REPLICATES: usize = 100;
/// More strategies than this are not looked at.
const CASES_MOST: usize = 20;

/// For each strategy at the first value of every factor.
pub(crate) fn sensitivity(about: &About, tally: &Tally) -> Vec<Sensitivity> {
    let mut seen: Vec<&str> = Vec::new();
    let mut all = Vec::new();
    for (index, case) in about.cases.iter().enumerate() {
        if seen.contains(&case.strategy.as_str()) || seen.len() >= CASES_MOST {
            continue;
        }
        seen.push(&case.strategy);
        let nights: Vec<(f64, &[f64])> = tally
            .sample
            .values()
            .filter_map(|night| {
                let median = night.medians[index]?;
                Some((maths::ln(median.max(1e-4)), night.inputs.as_slice()))
            })
            .collect();
        if nights.len() < NIGHTS_LEAST {
            continue;
        }
        let mut inputs: Vec<InputShare> = about
            .inputs
            .iter()
            .enumerate()
            .filter_map(|(place, (key, _))| {
                let pairs: Vec<(f64, f64)> = nights
                    .iter()
                    .map(|(miss, inputs)| (inputs[place], *miss))
                    .filter(|(input, _)| input.is_finite())
                    .collect();
                input_share(key, place as u64, &pairs)
            })
            .collect();
        inputs.sort_by(|one, other| other.explained.total_cmp(&one.explained));
        if !inputs.is_empty() {
            all.push(Sensitivity { case: index, nights: nights.len(), inputs });
        }
    }
    all
}

/// `None` for an input that doesn't vary, or in too few nights.
fn input_share(key: &str, place: u64, pairs: &[(f64, f64)]) -> Option<InputShare> {
    let inputs: Vec<f64> = pairs.iter().map(|pair| pair.0).collect();
    let misses: Vec<f64> = pairs.iter().map(|pair| pair.1).collect();
    let both_signs = inputs.iter().any(|input| *input < 0.0) && inputs.iter().any(|input| *input > 0.0);
    let varies = inputs.windows(2).any(|two| two[0] != two[1]);
    if pairs.len() < NIGHTS_LEAST || !varies {
        return None;
    }
    let sizes: Vec<f64> =
        if both_signs { inputs.iter().map(|input| input.abs()).collect() } else { inputs.clone() };
    let bins = bins_of(&inputs);
    let explained = explained(&bins, &misses, None);
    let mut stream = Streams::new(0).stream("bootstrap of sensitivities", place);
    let replicates: Vec<f64> = (0..REPLICATES)
        .map(|_| {
            let picked: Vec<usize> =
                (0..misses.len()).map(|_| stream.below(misses.len() as u64) as usize).collect();
            self::explained(&bins, &misses, Some(&picked))
        })
        .collect();
    let error = interval(replicates).map_or(0.0, |[low, high]| (high - low) / (2.0 * SIGMAS));
    Some(InputShare {
        key: key.to_owned(),
        rank_correlation: correlation(&ranks(&sizes), &ranks(&misses)),
        explained,
        explained_error: error,
    })
}

/// Ranks from one, equals sharing the mean of theirs.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|one, other| values[*one].total_cmp(&values[*other]));
    let mut ranks = vec![0.0; values.len()];
    let mut from = 0;
    while from < order.len() {
        let same = order[from..].iter().take_while(|index| values[**index] == values[order[from]]).count();
        let rank = from as f64 + (same as f64 + 1.0) / 2.0;
        order[from..from + same].iter().for_each(|index| ranks[*index] = rank);
        from += same;
    }
    ranks
}

/// Pearson's correlation; of ranks it is Spearman's.
fn correlation(one: &[f64], other: &[f64]) -> f64 {
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let (mean_one, mean_other) = (mean(one), mean(other));
    let (mut both, mut squares_one, mut squares_other) = (0.0, 0.0, 0.0);
    for (a, b) in one.iter().zip(other) {
        both += (a - mean_one) * (b - mean_other);
        squares_one += (a - mean_one) * (a - mean_one);
        squares_other += (b - mean_other) * (b - mean_other);
    }
    let size = (squares_one * squares_other).sqrt();
    if size > 0.0 { both / size } else { 0.0 }
}

/// Which bin each value falls into: bins of equal count by rank, or one for each value where there are few.
fn bins_of(values: &[f64]) -> Vec<usize> {
    let most = ((values.len() as f64).sqrt() / 2.0).clamp(4.0, 32.0) as usize;
    let mut distinct: Vec<f64> = values.to_vec();
    distinct.sort_by(f64::total_cmp);
    distinct.dedup();
    if distinct.len() <= most {
        let of = |value: &f64| distinct.partition_point(|other| other < value);
        return values.iter().map(of).collect();
    }
    let ranks = ranks(values);
    let count = values.len() as f64;
    ranks.iter().map(|rank| (((rank - 0.5) / count * most as f64) as usize).min(most - 1)).collect()
}

/// The correlation ratio: variance between the bins' means over all variance (Pearson 1905), less what chance explains
/// (Kelley's epsilon squared, 1935; both from memory). Of independent inputs it estimates the first-order index of a
/// variance-based sensitivity analysis. `picked` takes a resample.
fn explained(bins: &[usize], values: &[f64], picked: Option<&[usize]>) -> f64 {
    let count = values.len();
    let at = |index: usize| picked.map_or(index, |picked| picked[index]);
    let mut sums = vec![(0.0, 0.0_f64); bins.iter().max().map_or(1, |last| last + 1)];
    let mean = (0..count).map(|index| values[at(index)]).sum::<f64>() / count as f64;
    let mut total = 0.0;
    for index in 0..count {
        let off = values[at(index)] - mean;
        let bin = &mut sums[bins[at(index)]];
        bin.0 += off;
        bin.1 += 1.0;
        total += off * off;
    }
    let used = sums.iter().filter(|bin| bin.1 > 0.0).count() as f64;
    let between: f64 = sums.iter().filter(|bin| bin.1 > 0.0).map(|bin| bin.0 * bin.0 / bin.1).sum();
    let count = count as f64;
    if total <= 0.0 || count <= used {
        return 0.0;
    }
    1.0 - (total - between) / total * (count - 1.0) / (count - used)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_share_what_is_equal() {
        assert_eq!(ranks(&[3.0, 1.0, 3.0, 2.0]), [3.5, 1.0, 3.5, 2.0]);
        assert!((correlation(&ranks(&[1.0, 2.0, 3.0]), &ranks(&[1.0, 8.0, 27.0])) - 1.0).abs() < 1e-12);
    }

    /// A sum of independent inputs whose variances are 16, 4 and 0 of 21: shares 0.762, 0.190, 0 (the rest is noise). Bins
    /// lose a little of a straight line's variance: with 22 bins 1/484 of it.
    #[test]
    fn shares_of_a_sum_are_those_of_its_variances() {
        let mut stream = Streams::new(1).stream("inputs", 0);
        let nights: Vec<([f64; 3], f64)> = (0..2000)
            .map(|_| {
                let inputs = [stream.normal(), stream.normal(), stream.normal()];
                (inputs, 4.0 * inputs[0] - 2.0 * inputs[1] + stream.normal())
            })
            .collect();
        for (place, expected) in [(0, 16.0 / 21.0), (1, 4.0 / 21.0), (2, 0.0)] {
            let pairs: Vec<(f64, f64)> = nights.iter().map(|(inputs, y)| (inputs[place], *y)).collect();
            let found = input_share("x", place as u64, &pairs).unwrap();
            // Three standard errors, each about 0.01 to 0.02 for 2000 nights.
            assert!(
                (found.explained - expected).abs() < 3.0 * found.explained_error.max(0.01),
                "{place}: {found:?}"
            );
            assert!(found.explained_error < 0.03, "{found:?}");
        }
    }

    /// A miss that goes with the size of an input: the plain rank correlation would see nothing.
    #[test]
    fn an_input_of_both_signs_counts_by_its_size() {
        let mut stream = Streams::new(2).stream("inputs", 0);
        let pairs: Vec<(f64, f64)> = (0..500)
            .map(|_| {
                let x = stream.normal();
                (x, x.abs() + 0.1 * stream.normal())
            })
            .collect();
        let found = input_share("x", 0, &pairs).unwrap();
        // Eleven bins lose what varies within the widest of them, a seventh of the variance.
        assert!(found.rank_correlation > 0.9 && found.explained > 0.8, "{found:?}");
        assert!(input_share("x", 0, &[(1.0, 2.0); 50]).is_none());
    }
}
