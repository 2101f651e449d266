//! From sums to figures: shares and their intervals, differences, a plain sentence.

use crate::about::About;
use crate::resample::{REPLICATES, SIGMAS, interval};
use crate::sensitivity::{Sensitivity, sensitivity};
use crate::tally::{CaseTally, MILLION, Paired, Tally, Worst};
use units::{Angle, AngularRate, Span, maths};

/// What a sweep came to.
#[derive(Clone, Debug)]
pub struct Answers {
    /// What it is of.
    pub about: About,
    /// How many nights were played.
    pub nights: u64,
    /// One entry for each case.
    pub cases: Vec<CaseAnswers>,
    /// What explains the spread, for each strategy at the first value of every factor.
    pub sensitivity: Vec<Sensitivity>,
    /// What it comes to, in plain sentences.
    pub sentences: Vec<String>,
    pub(crate) tally: Tally,
}

/// The figures of one case. Intervals hold 95 %.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CaseAnswers {
    /// Nights that were played.
    pub played: u64,
    /// Nights that could not be: what was drawn contradicts itself.
    pub unplayable: u64,
    /// The first of those.
    pub first_unplayable: Option<u64>,
    /// Nights in which all expectations held, and in which one failed.
    pub held: u64,
    /// See `held`.
    pub failed: u64,
    /// Targets asked for, over all nights.
    pub targets: u64,
    /// Those in the field at the first look.
    pub in_field_targets: u64,
    /// Their share, 0 to 1.
    pub in_field: Option<f64>,
    /// Its interval (Wilson's, with as many independent targets as the spread between nights leaves).
    pub in_field_interval: Option<[f64; 2]>,
    /// Targets that the mount refused, that it can't point at, and that the night was over for.
    pub not_reached: [u64; 3],
    /// Misses over all targets that 50 %, 68 % and 95 % stay below, arcsec, within 0.5 %.
    pub misses: [Option<f64>; 3],
    /// Root of their mean square, arcsec.
    pub miss_rms: Option<f64>,
    /// Geometric mean of the nights' median misses, arcsec.
    pub night_median: Option<f64>,
    /// Its interval, by bootstrap over nights.
    pub night_median_interval: Option<[f64; 2]>,
    /// Root of the mean of the nights' mean squares of the tracking error, arcsec.
    pub tracking_rms: Option<f64>,
    /// Largest swing of any night, arcsec.
    pub tracking_peak: Option<f64>,
    /// Median over nights of their median drift, arcsec/min, within 0.5 %.
    pub drift: Option<f64>,
    /// Minutes a night: setting up, alignment, evening.
    pub minutes: [f64; 3],
    /// Go-tos a night.
    pub slews: f64,
    /// Keys pressed a night.
    pub presses: f64,
    /// Visitors a night who saw something.
    pub visitors: f64,
    /// The worst nights: number, targets in the field, targets, median miss in arcsec.
    pub worst: Vec<(u64, u32, u32, Option<f64>)>,
    /// Against the first strategy at the same values of the factors; `None` for that one itself.
    pub against: Option<Against>,
    /// The case's expectations, held against these figures.
    pub verdicts: Vec<bench::Verdict>,
}

/// One case against the first strategy, night by night.
#[derive(Clone, Debug, PartialEq)]
pub struct Against {
    /// Index of the case that it is held against.
    pub case: usize,
    /// Nights in which this case came out better (more targets in the field, or as many and a smaller median miss),
    /// the same, and worse.
    pub nights: [u64; 3],
    /// Probability of a split at least as uneven if neither were better (sign test, two-sided, without equal nights).
    pub sign_test: f64,
    /// Difference of the shares in the field, and its interval by bootstrap over nights.
    pub in_field: Option<(f64, [f64; 2])>,
    /// Ratio of the nights' median misses, geometric mean, and its interval by bootstrap over nights.
    pub miss_ratio: Option<(f64, [f64; 2])>,
    /// Difference in minutes of alignment a night, and its interval by bootstrap over nights.
    pub alignment_minutes: Option<(f64, [f64; 2])>,
}

impl Answers {
    /// The answers of all nights of a tally.
    pub fn of(about: &About, tally: Tally) -> Self {
        let cases = cases(about, &tally);
        let sensitivity = sensitivity(about, &tally);
        let sentences = crate::sentences::sentences(about, tally.nights, &cases);
        Self { about: about.clone(), nights: tally.nights, cases, sensitivity, sentences, tally }
    }

    /// Whether every expectation of every case held.
    pub fn held(&self) -> bool {
        self.cases.iter().flat_map(|case| &case.verdicts).all(|verdict| verdict.held)
    }
}

/// The figures of every case.
pub(crate) fn cases(about: &About, tally: &Tally) -> Vec<CaseAnswers> {
    let mut cases: Vec<CaseAnswers> = tally.cases.iter().map(CaseAnswers::of).collect();
    for (index, case) in cases.iter_mut().enumerate() {
        if let (Some(first), Some(paired)) = (about.against(index), &tally.cases[index].paired) {
            case.against = Some(Against::of(first, &tally.cases[index], &tally.cases[first], paired));
        }
        case.verdicts = bench::judge(&about.cases[index].expect(), &case.summary());
    }
    cases
}

impl CaseAnswers {
    fn of(tally: &CaseTally) -> Self {
        let nights = tally.played.max(1) as f64;
        let arcsec =
            |sum: u128, count: u64, unit: f64| (count > 0).then(|| (sum as f64 / count as f64).sqrt() * unit);
        let share = (tally.targets > 0).then(|| tally.in_field as f64 / tally.targets as f64);
        let replicates = &tally.replicates;
        Self {
            played: tally.played,
            unplayable: tally.unplayable,
            first_unplayable: tally.first_unplayable,
            held: tally.held,
            failed: tally.failed,
            targets: tally.targets,
            in_field_targets: tally.in_field,
            in_field: share,
            in_field_interval: share.map(|share| share_interval(tally, share)),
            not_reached: [tally.refused, tally.unreachable, tally.night_over],
            misses: [0.5, 0.68, 0.95].map(|share| tally.misses.quantile(share)),
            miss_rms: arcsec(tally.miss_squares, tally.misses.total(), 1e-3),
            night_median: ratio(tally.logs.0, tally.logs.1 as i64).map(|log| maths::exp(log / MILLION)),
            night_median_interval: interval(ratios(&replicates.logs, &replicates.with_log))
                .map(|ends| ends.map(|log| maths::exp(log / MILLION))),
            tracking_rms: arcsec(tally.tracking_squares.0, tally.tracking_squares.1, 1e-4),
            tracking_peak: tally.tracking_peak.map(|peak| peak as f64 * 1e-4),
            drift: tally.drifts.quantile(0.5),
            minutes: tally.time.map(|time| time as f64 / 60_000.0 / nights),
            slews: tally.slews as f64 / nights,
            presses: tally.presses as f64 / nights,
            visitors: tally.visitors as f64 / nights,
            worst: tally.worst.iter().map(Worst::told).collect(),
            against: None,
            verdicts: Vec::new(),
        }
    }

    /// The figures that an expectation is held against.
    fn summary(&self) -> bench::Summary {
        let angle = |arcsec: Option<f64>| arcsec.map(Angle::from_arcsec);
        let each = |sum: f64| maths::round(sum) as u64;
        bench::Summary {
            targets: each(self.targets as f64 / self.played.max(1) as f64) as usize,
            in_field: self.in_field,
            visitors_served: each(self.visitors),
            miss_median: angle(self.misses[0]),
            miss_p68: angle(self.misses[1]),
            miss_p95: angle(self.misses[2]),
            miss_rms: angle(self.miss_rms),
            tracking_rms: angle(self.tracking_rms),
            tracking_peak_to_peak: angle(self.tracking_peak),
            drift_median: self.drift.map(|drift| AngularRate::from_arcsec(drift / 60.0)),
            alignment: Span::from_seconds(self.minutes[1] * 60.0),
        }
    }
}

impl Worst {
    fn told(&self) -> (u64, u32, u32, Option<f64>) {
        let median = (self.minus_median != i64::MIN).then(|| -self.minus_median as f64 * 1e-4);
        (self.number, self.in_field, self.targets, median)
    }
}

impl Against {
    fn of(case: usize, mine: &CaseTally, first: &CaseTally, paired: &Paired) -> Self {
        let difference = |mine: &[i64], mine_by: &[i64], first: &[i64], first_by: &[i64], unit: f64| {
            let all = ratios(mine, mine_by).into_iter().zip(ratios(first, first_by));
            interval(all.map(|(mine, first)| (mine - first) * unit).collect())
        };
        let (one, two) = (&mine.replicates, &first.replicates);
        let in_field = mine.in_field as f64 / mine.targets.max(1) as f64
            - first.in_field as f64 / first.targets.max(1) as f64;
        let minutes = |tally: &CaseTally| tally.time[1] as f64 / 60_000.0 / tally.played.max(1) as f64;
        let ratio = ratio(paired.logs.0, paired.logs.1 as i64).map(|log| maths::exp(log / MILLION));
        let ratio_interval = interval(ratios(&paired.log_replicates, &paired.log_weights))
            .map(|ends| ends.map(|log| maths::exp(log / MILLION)));
        Self {
            case,
            nights: [paired.better, paired.equal, paired.worse],
            sign_test: sign_test(paired.better, paired.worse),
            in_field: difference(&one.in_field, &one.targets, &two.in_field, &two.targets, 1.0)
                .map(|ends| (in_field, ends)),
            miss_ratio: ratio.zip(ratio_interval),
            alignment_minutes: difference(
                &one.alignment,
                &one.nights,
                &two.alignment,
                &two.nights,
                1.0 / 60_000.0,
            )
            .map(|ends| (minutes(mine) - minutes(first), ends)),
        }
    }
}

fn ratio(above: i64, below: i64) -> Option<f64> {
    (below > 0).then(|| above as f64 / below as f64)
}

/// The ratio in every replicate; not a number where a replicate has nothing to divide by.
fn ratios(above: &[i64], below: &[i64]) -> Vec<f64> {
    (0..REPLICATES)
        .map(|index| match (above.get(index), below.get(index)) {
            (Some(above), Some(below)) => ratio(*above, *below).unwrap_or(f64::NAN),
            _ => f64::NAN,
        })
        .collect()
}

/// Wilson's interval of a share (Wilson, Journal of the American Statistical Association 22 (1927) 209), with the number of
/// independent targets that the spread between nights leaves: targets of one night share its errors.
fn share_interval(tally: &CaseTally, share: f64) -> [f64; 2] {
    let (nights, targets) = (tally.played as f64, tally.targets as f64);
    let [hits, crossed, asked] = tally.products.map(|sum| sum as f64);
    // Variance of the ratio of sums over nights (Cochran, Sampling Techniques, chapter 6; from memory).
    let squares = hits - 2.0 * share * crossed + share * share * asked;
    let variance =
        if nights > 1.0 { squares / (nights - 1.0) * nights / (targets * targets) } else { f64::NAN };
    let independent = share * (1.0 - share) / variance;
    // Without any spread, or with a single night, a night counts as one.
    let count = if independent.is_finite() && independent > 0.0 { independent.min(targets) } else { nights };
    let z2 = SIGMAS * SIGMAS / count;
    let middle = (share + 0.5 * z2) / (1.0 + z2);
    let half = SIGMAS / (1.0 + z2) * (share * (1.0 - share) / count + 0.25 * z2 / count).max(0.0).sqrt();
    [(middle - half).max(0.0), (middle + half).min(1.0)]
}

/// Two-sided sign test: exact up to a thousand nights, beyond by the normal law with the correction for continuity.
fn sign_test(better: u64, worse: u64) -> f64 {
    let (count, fewer) = (better + worse, better.min(worse));
    if count == 0 || better == worse {
        return 1.0;
    }
    if count > 1000 {
        let sigmas = (count as f64 / 2.0 - fewer as f64 - 0.5) / (0.5 * (count as f64).sqrt());
        return maths::erfc(sigmas * std::f64::consts::FRAC_1_SQRT_2);
    }
    // Sum of the binomial's terms from none to `fewer`, each from the one before, in logarithms so that none vanishes.
    let mut log = -(count as f64) * std::f64::consts::LN_2;
    let mut sum = maths::exp(log);
    for k in 1..=fewer {
        log += maths::ln((count - k + 1) as f64 / k as f64);
        sum += maths::exp(log);
    }
    (2.0 * sum).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 1 of 10 has 2·(1 + 10)/1024; none of 5 has 2/32. The normal law is near the exact sum at a thousand.
    #[test]
    fn the_sign_test_is_the_binomials() {
        assert!((sign_test(9, 1) - 22.0 / 1024.0).abs() < 1e-12);
        assert!((sign_test(0, 5) - 2.0 / 32.0).abs() < 1e-12);
        assert_eq!((sign_test(4, 4), sign_test(0, 0)), (1.0, 1.0));
        let (exact, normal) = (sign_test(530, 470), sign_test(531, 470));
        assert!((normal - exact).abs() < 0.005, "{exact} {normal}");
    }

    /// Wilson's interval for 8 of 10 independent targets is 49.0 % to 94.3 % (by hand from the formula).
    #[test]
    fn wilsons_interval() {
        let mut tally =
            CaseTally { played: 10, targets: 10, in_field: 8, products: [8, 8, 10], ..CaseTally::default() };
        let [low, high] = share_interval(&tally, 0.8);
        assert!((low - 0.490).abs() < 0.03 && (high - 0.943).abs() < 0.02, "{low} {high}");
        // The same targets, all of a night alike: the interval is that of ten nights, not of a hundred targets.
        tally = CaseTally { targets: 100, in_field: 80, products: [800, 800, 1000], ..tally };
        let wide = share_interval(&tally, 0.8);
        assert!((wide[0] - low).abs() < 1e-12 && (wide[1] - high).abs() < 1e-12);
        // All in the field: the interval isn't empty.
        tally = CaseTally { in_field: 100, products: [1000, 1000, 1000], ..tally };
        let [low, high] = share_interval(&tally, 1.0);
        assert!(low < 0.75 && high > 0.999_999, "{low} {high}");
    }
}
