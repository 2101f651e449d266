//! What many nights came to so far: whole numbers and sets, so that any order and any grouping gives the same.

use crate::about::About;
use crate::histogram::Histogram;
use crate::resample::{REPLICATES, weights};
use crate::row::{CaseRow, NightRow};
use std::cmp::Ordering;
use std::collections::BTreeMap;
use units::maths;

/// How many nights the drawings and the sensitivity look at: a sample that doesn't depend on the order of the nights.
pub(crate) const SAMPLE: usize = 2000;
/// How many of the worst nights are named.
pub(crate) const WORST: usize = 10;
/// A logarithm is kept to a millionth.
pub(crate) const MILLION: f64 = 1e6;

/// All nights so far.
#[derive(Clone, Debug)]
pub struct Tally {
    /// How many nights.
    pub nights: u64,
    pub(crate) cases: Vec<CaseTally>,
    pub(crate) sample: BTreeMap<(u64, u64), Sampled>,
    against: Vec<Option<usize>>,
}

/// One night of the sample.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Sampled {
    /// For each case: the night's median miss in arcsec where a target was reached.
    pub(crate) medians: Vec<Option<f64>>,
    pub(crate) inputs: Vec<f64>,
}

/// Everything of one case that is added up.
#[derive(Clone, Debug, Default)]
pub(crate) struct CaseTally {
    pub(crate) played: u64,
    pub(crate) unplayable: u64,
    /// The least number of a night that could not be played.
    pub(crate) first_unplayable: Option<u64>,
    pub(crate) held: u64,
    pub(crate) failed: u64,
    pub(crate) targets: u64,
    pub(crate) in_field: u64,
    pub(crate) refused: u64,
    pub(crate) unreachable: u64,
    pub(crate) night_over: u64,
    pub(crate) slews: u64,
    pub(crate) visitors: u64,
    pub(crate) presses: u64,
    /// Sums of in-field², in-field·targets, targets².
    pub(crate) products: [u128; 3],
    pub(crate) misses: Histogram,
    /// Of the misses, (0.001″)².
    pub(crate) miss_squares: u128,
    /// Of the nights' tracking errors, (0.0001″)², and how many nights have one.
    pub(crate) tracking_squares: (u128, u64),
    pub(crate) tracking_peak: Option<i64>,
    pub(crate) drifts: Histogram,
    /// Setting up, alignment, evening: ms.
    pub(crate) time: [i64; 3],
    /// Of the nights' median misses: logarithms in millionths, and how many nights have one.
    pub(crate) logs: (i64, u64),
    pub(crate) replicates: Replicates,
    pub(crate) worst: Vec<Worst>,
    pub(crate) paired: Option<Paired>,
}

/// A night and how bad it was, the worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Worst {
    pub(crate) in_field: u32,
    /// The median miss turned round, so that the greatest comes first; none reached is the greatest.
    pub(crate) minus_median: i64,
    pub(crate) number: u64,
    pub(crate) targets: u32,
}

/// The same sums with the weights of each replicate.
#[derive(Clone, Debug, Default)]
pub(crate) struct Replicates {
    pub(crate) in_field: Vec<i64>,
    pub(crate) targets: Vec<i64>,
    pub(crate) nights: Vec<i64>,
    pub(crate) alignment: Vec<i64>,
    pub(crate) logs: Vec<i64>,
    pub(crate) with_log: Vec<i64>,
}

/// One case against the first strategy, night by night.
#[derive(Clone, Debug, Default)]
pub(crate) struct Paired {
    pub(crate) better: u64,
    pub(crate) equal: u64,
    pub(crate) worse: u64,
    /// Logarithm of the ratio of the nights' median misses, millionths, and in how many nights both have one.
    pub(crate) logs: (i64, u64),
    pub(crate) log_replicates: Vec<i64>,
    pub(crate) log_weights: Vec<i64>,
}

impl Tally {
    /// Nothing yet.
    pub fn new(about: &About) -> Self {
        let against: Vec<Option<usize>> = (0..about.cases.len()).map(|case| about.against(case)).collect();
        let cases = against
            .iter()
            .map(|against| CaseTally { paired: against.map(|_| Paired::default()), ..CaseTally::default() })
            .collect();
        Self { nights: 0, cases, sample: BTreeMap::new(), against }
    }

    /// That of some rows.
    pub(crate) fn of(about: &About, rows: impl Iterator<Item = NightRow>) -> Self {
        let mut tally = Self::new(about);
        rows.for_each(|row| tally.add(&row));
        tally
    }

    /// Adds a night.
    pub fn add(&mut self, row: &NightRow) {
        self.nights += 1;
        let weights = weights(row.number);
        for (index, night) in row.cases.iter().enumerate() {
            let tally = &mut self.cases[index];
            if !night.played {
                tally.unplayable += 1;
                tally.first_unplayable = least(tally.first_unplayable, Some(row.number));
                continue;
            }
            tally.add(night, row.number);
            tally.replicates.add(night, &weights);
            if let (Some(paired), Some(first)) = (&mut tally.paired, self.against[index]) {
                let first = &row.cases[first];
                if first.played {
                    paired.add(night, first, &weights);
                }
            }
        }
        self.keep(row);
    }

    /// Keeps the night if it belongs to the sample: those whose numbers have the least hashes.
    fn keep(&mut self, row: &NightRow) {
        let key = (mixed(row.number), row.number);
        let full = self.sample.len() >= SAMPLE;
        if full && self.sample.last_key_value().is_some_and(|(last, _)| key > *last) {
            return;
        }
        let medians = row.cases.iter().map(|case| {
            let played = Some(case).filter(|case| case.played);
            played.and_then(CaseRow::median).map(|median| median as f64 * 1e-4)
        });
        self.sample.insert(key, Sampled { medians: medians.collect(), inputs: row.inputs.clone() });
        if full {
            self.sample.pop_last();
        }
    }

    /// Adds all nights of another tally of the same sweep.
    pub fn merge(&mut self, other: Self) {
        self.nights += other.nights;
        for (mine, theirs) in self.cases.iter_mut().zip(other.cases) {
            mine.merge(theirs);
        }
        self.sample.extend(other.sample);
        while self.sample.len() > SAMPLE {
            self.sample.pop_last();
        }
    }
}

impl CaseTally {
    fn add(&mut self, night: &CaseRow, number: u64) {
        self.played += 1;
        match night.held {
            Some(true) => self.held += 1,
            Some(false) => self.failed += 1,
            None => {}
        }
        let (hits, targets) = (u64::from(night.in_field), u64::from(night.targets));
        self.in_field += hits;
        self.targets += targets;
        for (sum, (one, other)) in
            self.products.iter_mut().zip([(hits, hits), (hits, targets), (targets, targets)])
        {
            *sum += u128::from(one) * u128::from(other);
        }
        self.refused += u64::from(night.refused);
        self.unreachable += u64::from(night.unreachable);
        self.night_over += u64::from(night.night_over);
        self.slews += u64::from(night.slews);
        self.visitors += u64::from(night.visitors);
        self.presses += u64::from(night.presses);
        for miss in &night.misses {
            self.misses.add(f64::from(*miss) * 1e-3);
            self.miss_squares += u128::from(*miss) * u128::from(*miss);
        }
        let [rms, peak, drift] =
            night.tracking.map(|figure| (figure != crate::row::NOTHING).then_some(figure));
        if let Some(rms) = rms {
            self.tracking_squares.0 += u128::from(rms.unsigned_abs()) * u128::from(rms.unsigned_abs());
            self.tracking_squares.1 += 1;
        }
        self.tracking_peak = self.tracking_peak.max(peak);
        if let Some(drift) = drift {
            self.drifts.add(drift as f64 * 1e-4);
        }
        for (sum, time) in self.time.iter_mut().zip(night.time) {
            *sum += time;
        }
        if let Some(log) = log_of(night) {
            self.logs.0 += log;
            self.logs.1 += 1;
        }
        let minus_median = night.median().map_or(i64::MIN, |median| -median);
        let worst = Worst { in_field: night.in_field, minus_median, number, targets: night.targets };
        self.worst_of(&[worst]);
    }

    fn worst_of(&mut self, more: &[Worst]) {
        let last = self.worst.last().copied();
        if self.worst.len() >= WORST && more.iter().all(|one| last.is_some_and(|last| *one > last)) {
            return;
        }
        self.worst.extend(more);
        self.worst.sort();
        self.worst.truncate(WORST);
    }

    fn merge(&mut self, other: Self) {
        self.played += other.played;
        self.unplayable += other.unplayable;
        self.first_unplayable = least(self.first_unplayable, other.first_unplayable);
        self.held += other.held;
        self.failed += other.failed;
        self.targets += other.targets;
        self.in_field += other.in_field;
        self.refused += other.refused;
        self.unreachable += other.unreachable;
        self.night_over += other.night_over;
        self.slews += other.slews;
        self.visitors += other.visitors;
        self.presses += other.presses;
        for (mine, theirs) in self.products.iter_mut().zip(other.products) {
            *mine += theirs;
        }
        self.misses.merge(&other.misses);
        self.miss_squares += other.miss_squares;
        self.tracking_squares.0 += other.tracking_squares.0;
        self.tracking_squares.1 += other.tracking_squares.1;
        self.tracking_peak = self.tracking_peak.max(other.tracking_peak);
        self.drifts.merge(&other.drifts);
        for (mine, theirs) in self.time.iter_mut().zip(other.time) {
            *mine += theirs;
        }
        self.logs.0 += other.logs.0;
        self.logs.1 += other.logs.1;
        self.replicates.merge(&other.replicates);
        self.worst_of(&other.worst);
        if let (Some(mine), Some(theirs)) = (&mut self.paired, &other.paired) {
            mine.merge(theirs);
        }
    }
}

impl Replicates {
    fn add(&mut self, night: &CaseRow, weights: &[u8; REPLICATES]) {
        spread(&mut self.in_field, i64::from(night.in_field), weights);
        spread(&mut self.targets, i64::from(night.targets), weights);
        spread(&mut self.nights, 1, weights);
        spread(&mut self.alignment, night.time[1], weights);
        if let Some(log) = log_of(night) {
            spread(&mut self.logs, log, weights);
            spread(&mut self.with_log, 1, weights);
        }
    }

    fn merge(&mut self, other: &Self) {
        sum(&mut self.in_field, &other.in_field);
        sum(&mut self.targets, &other.targets);
        sum(&mut self.nights, &other.nights);
        sum(&mut self.alignment, &other.alignment);
        sum(&mut self.logs, &other.logs);
        sum(&mut self.with_log, &other.with_log);
    }
}

impl Paired {
    fn add(&mut self, night: &CaseRow, first: &CaseRow, weights: &[u8; REPLICATES]) {
        match night.compared(first) {
            Ordering::Greater => self.better += 1,
            Ordering::Equal => self.equal += 1,
            Ordering::Less => self.worse += 1,
        }
        if let (Some(log), Some(before)) = (log_of(night), log_of(first)) {
            self.logs.0 += log - before;
            self.logs.1 += 1;
            spread(&mut self.log_replicates, log - before, weights);
            spread(&mut self.log_weights, 1, weights);
        }
    }

    fn merge(&mut self, other: &Self) {
        self.better += other.better;
        self.equal += other.equal;
        self.worse += other.worse;
        self.logs.0 += other.logs.0;
        self.logs.1 += other.logs.1;
        sum(&mut self.log_replicates, &other.log_replicates);
        sum(&mut self.log_weights, &other.log_weights);
    }
}

/// Natural logarithm of a night's median miss in arcsec, millionths.
fn log_of(night: &CaseRow) -> Option<i64> {
    // A miss of nothing counts as the least that is printed.
    night.median().map(|median| maths::round(maths::ln(median.max(1) as f64 * 1e-4) * MILLION) as i64)
}

fn spread(sums: &mut Vec<i64>, value: i64, weights: &[u8; REPLICATES]) {
    sums.resize(REPLICATES, 0);
    for (sum, weight) in sums.iter_mut().zip(weights) {
        *sum += value * i64::from(*weight);
    }
}

fn sum(mine: &mut Vec<i64>, theirs: &[i64]) {
    mine.resize(REPLICATES, 0);
    for (mine, theirs) in mine.iter_mut().zip(theirs) {
        *mine += theirs;
    }
}

fn least(one: Option<u64>, other: Option<u64>) -> Option<u64> {
    one.into_iter().chain(other).min()
}

/// A number well mixed (the finaliser of SplitMix64; constants from memory).
fn mixed(number: u64) -> u64 {
    let mut x = number.wrapping_add(0x9e37_79b9_7f4a_7c15);
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

#[cfg(test)]
mod tests;
