//! What is kept of one night: whole numbers, so that sums of them are the same in any order.

use bench::{GotoOutcome, NightFigures};
use units::{Angle, Span, maths};

/// A figure that a night doesn't have.
pub const NOTHING: i64 = i64::MIN;

/// One night of every case.
#[derive(Clone, Debug, PartialEq)]
pub struct NightRow {
    /// Its number: the seed that plays it again.
    pub number: u64,
    /// One entry for each case.
    pub cases: Vec<CaseRow>,
    /// What differs from night to night, in the order of [`crate::About::inputs`]; not a number where a night has none.
    pub inputs: Vec<f64>,
}

/// One night of one case.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CaseRow {
    /// Whether the night could be played; if not, everything else is zero or [`NOTHING`].
    pub played: bool,
    /// Whether all its expectations held; `None` without any.
    pub held: Option<bool>,
    /// Targets that were asked for.
    pub targets: u32,
    /// Those that stood in the field at the first look.
    pub in_field: u32,
    /// Those that the mount refused.
    pub refused: u32,
    /// Those that no position of the axes points at.
    pub unreachable: u32,
    /// Those that the night was over for.
    pub night_over: u32,
    /// How often the mount was sent somewhere.
    pub slews: u32,
    /// Visitors who saw something.
    pub visitors: u32,
    /// Keys that were pressed.
    pub presses: u32,
    /// Median, 68 % and 95 % and root mean square of the misses, 0.0001 arcsec.
    pub misses_of_night: [i64; 4],
    /// Root mean square and largest swing of the tracking error, 0.0001 arcsec; median drift, 0.0001 arcsec/min.
    pub tracking: [i64; 3],
    /// Time for setting up, for the alignment, and for the evening with the alignment in it, ms.
    pub time: [i64; 3],
    /// The miss of each target that was looked at, 0.001 arcsec.
    pub misses: Vec<u32>,
}

impl CaseRow {
    /// A night that could not be played.
    pub fn unplayable() -> Self {
        Self { misses_of_night: [NOTHING; 4], tracking: [NOTHING; 3], ..Self::default() }
    }

    /// From a night's figures.
    pub fn of(figures: &NightFigures, held: Option<bool>) -> Self {
        let summary = &figures.summary;
        let count = |outcome| {
            figures.gotos.iter().filter(|row| row.outcome == outcome).count().min(u32::MAX as usize) as u32
        };
        let small = |number: u64| u32::try_from(number).unwrap_or(u32::MAX);
        Self {
            played: true,
            held,
            targets: small(summary.targets as u64),
            in_field: figures.gotos.iter().filter(|row| row.in_field()).count() as u32,
            refused: count(GotoOutcome::Refused),
            unreachable: count(GotoOutcome::Unreachable),
            night_over: count(GotoOutcome::NightOver),
            slews: small(figures.slews as u64),
            visitors: small(summary.visitors_served),
            presses: small(figures.presses),
            misses_of_night: [summary.miss_median, summary.miss_p68, summary.miss_p95, summary.miss_rms]
                .map(ten_thousandths),
            tracking: [
                ten_thousandths(summary.tracking_rms),
                ten_thousandths(summary.tracking_peak_to_peak),
                summary.drift_median.map_or(NOTHING, |rate| whole(rate.arcsec() * 60.0 * 1e4)),
            ],
            time: [figures.setting_up, summary.alignment, figures.evening].map(milliseconds),
            misses: figures
                .gotos
                .iter()
                .filter_map(|row| row.look.as_ref())
                .map(|look| whole(look.miss.arcsec() * 1e3).clamp(0, i64::from(u32::MAX)) as u32)
                .collect(),
        }
    }

    /// The night's median miss, 0.0001 arcsec; nothing if no target was reached.
    pub fn median(&self) -> Option<i64> {
        (self.misses_of_night[0] != NOTHING).then_some(self.misses_of_night[0])
    }

    /// How this night compares with another: more targets in the field, or as many and a smaller median miss.
    pub fn compared(&self, other: &Self) -> std::cmp::Ordering {
        let median = |row: &Self| row.median().unwrap_or(i64::MAX);
        self.in_field.cmp(&other.in_field).then(median(other).cmp(&median(self)))
    }
}

fn whole(value: f64) -> i64 {
    maths::round(value) as i64
}

fn ten_thousandths(angle: Option<Angle>) -> i64 {
    angle.map_or(NOTHING, |angle| whole(angle.arcsec() * 1e4))
}

fn milliseconds(span: Span) -> i64 {
    (span.nanoseconds() + 500_000).div_euclid(1_000_000)
}

impl NightRow {
    /// Appends the row to `bytes`, little end first.
    pub fn write(&self, bytes: &mut Vec<u8>) {
        bytes.extend(self.number.to_le_bytes());
        for case in &self.cases {
            let held = match case.held {
                None => 0,
                Some(false) => 1,
                Some(true) => 2,
            };
            bytes.extend([u8::from(case.played), held]);
            let counts = [
                case.targets,
                case.in_field,
                case.refused,
                case.unreachable,
                case.night_over,
                case.slews,
                case.visitors,
                case.presses,
                case.misses.len() as u32,
            ];
            bytes.extend(counts.iter().flat_map(|count| count.to_le_bytes()));
            let figures = case.misses_of_night.iter().chain(&case.tracking).chain(&case.time);
            bytes.extend(figures.flat_map(|figure| figure.to_le_bytes()));
            bytes.extend(case.misses.iter().flat_map(|miss| miss.to_le_bytes()));
        }
        bytes.extend(self.inputs.iter().flat_map(|input| input.to_le_bytes()));
    }

    /// Takes one row from the front of `bytes`; `None` where they don't hold one.
    pub fn read(bytes: &mut &[u8], cases: usize, inputs: usize) -> Option<Self> {
        let number = u64::from_le_bytes(take(bytes)?);
        let cases = (0..cases).map(|_| read_case(bytes)).collect::<Option<Vec<CaseRow>>>()?;
        let inputs =
            (0..inputs).map(|_| take(bytes).map(f64::from_le_bytes)).collect::<Option<Vec<f64>>>()?;
        Some(Self { number, cases, inputs })
    }
}

fn read_case(bytes: &mut &[u8]) -> Option<CaseRow> {
    let [played, held] = take(bytes)?;
    let mut counts = [0_u32; 9];
    for count in &mut counts {
        *count = u32::from_le_bytes(take(bytes)?);
    }
    let mut figures = [0_i64; 10];
    for figure in &mut figures {
        *figure = i64::from_le_bytes(take(bytes)?);
    }
    let [targets, in_field, refused, unreachable, night_over, slews, visitors, presses, misses] = counts;
    if bytes.len() < misses as usize * 4 {
        return None;
    }
    let [median, p68, p95, rms, tracking, peak, drift, setting_up, alignment, evening] = figures;
    Some(CaseRow {
        played: played != 0,
        held: match held {
            0 => None,
            other => Some(other == 2),
        },
        targets,
        in_field,
        refused,
        unreachable,
        night_over,
        slews,
        visitors,
        presses,
        misses_of_night: [median, p68, p95, rms],
        tracking: [tracking, peak, drift],
        time: [setting_up, alignment, evening],
        misses: (0..misses).map(|_| take(bytes).map(u32::from_le_bytes)).collect::<Option<_>>()?,
    })
}

fn take<const COUNT: usize>(bytes: &mut &[u8]) -> Option<[u8; COUNT]> {
    let (front, rest) = bytes.split_first_chunk::<COUNT>()?;
    *bytes = rest;
    Some(*front)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A row with made-up figures that differ with `number`.
    pub(crate) fn made_up(number: u64, cases: usize) -> NightRow {
        let case = |index: u64| CaseRow {
            played: number % 17 != 3,
            held: Some(number.is_multiple_of(3)),
            targets: 12,
            in_field: ((number * 7 + index * 3) % 13) as u32,
            slews: 14,
            misses_of_night: [(number as i64 * 7919 + index as i64 * 31) % 1_000_000 + 1; 4],
            tracking: [5_000, 20_000, NOTHING],
            time: [1_500_000, 240_000 + index as i64 * 60_000, 3_600_000],
            misses: (0..12).map(|target| (target * 1000 + number as u32 % 900) + 1).collect(),
            ..CaseRow::default()
        };
        NightRow {
            number,
            cases: (0..cases as u64).map(case).collect(),
            inputs: vec![number as f64 * 0.1, f64::NAN],
        }
    }

    #[test]
    fn a_row_reads_back_and_a_short_one_is_refused() {
        let row = NightRow { inputs: vec![1.5, -2.0], ..made_up(20, 2) };
        let mut bytes = Vec::new();
        row.write(&mut bytes);
        let mut left = bytes.as_slice();
        assert_eq!(NightRow::read(&mut left, 2, 2), Some(row));
        assert!(left.is_empty());
        for length in 0..bytes.len() {
            assert_eq!(NightRow::read(&mut &bytes[..length], 2, 2), None);
        }
    }
}
