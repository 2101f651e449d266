//! Figures of many: quantiles, slopes, spreads.

use crate::outcome::{DwellRow, GotoRow, Sample, Summary};
use units::{Angle, AngularRate, Span};

/// Quantile of type 7 (Hyndman & Fan, The American Statistician 50 (1996) 361–365): linear between order statistics.
pub(crate) fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = share * last as f64;
    let below = (place as usize).min(last);
    let above = (below + 1).min(last);
    Some(sorted[below] + (place - below as f64) * (sorted[above] - sorted[below]))
}

fn sorted(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values
}

/// Mean and least-squares slope per second of a series over seconds.
fn mean_and_slope(series: &[(f64, f64)]) -> (f64, f64) {
    let count = series.len() as f64;
    let mean_time = series.iter().map(|(time, _)| time).sum::<f64>() / count;
    let mean = series.iter().map(|(_, value)| value).sum::<f64>() / count;
    let (mut above, mut below) = (0.0, 0.0);
    for (time, value) in series {
        above += (time - mean_time) * (value - mean);
        below += (time - mean_time) * (time - mean_time);
    }
    (mean, if below > 0.0 { above / below } else { 0.0 })
}

/// The figures of one dwell from its samples.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct DwellFigures {
    pub(crate) drift: AngularRate,
    pub(crate) rms: Angle,
    pub(crate) peak_to_peak: Angle,
}

/// Figures of the samples of one dwell; all zero without samples.
pub(crate) fn dwell_figures(samples: &[Sample]) -> DwellFigures {
    let Some(first) = samples.first() else {
        return DwellFigures { drift: AngularRate::ZERO, rms: Angle::ZERO, peak_to_peak: Angle::ZERO };
    };
    let series = |error: fn(&Sample) -> Angle| -> Vec<(f64, f64)> {
        samples.iter().map(|sample| ((sample.at - first.at).seconds(), error(sample).radians())).collect()
    };
    let (east, north) = (series(|sample| sample.error_east), series(|sample| sample.error_north));
    let ((mean_east, slope_east), (mean_north, slope_north)) =
        (mean_and_slope(&east), mean_and_slope(&north));
    let mut sum = 0.0;
    for ((_, e), (_, n)) in east.iter().zip(&north) {
        sum += (e - mean_east) * (e - mean_east) + (n - mean_north) * (n - mean_north);
    }
    DwellFigures {
        drift: AngularRate::from_radians(units::maths::hypot(slope_east, slope_north)),
        rms: Angle::from_radians((sum / samples.len() as f64).sqrt()),
        peak_to_peak: Angle::from_radians(spread(&east).max(spread(&north))),
    }
}

fn spread(series: &[(f64, f64)]) -> f64 {
    let greatest = series.iter().map(|(_, value)| *value).fold(f64::NEG_INFINITY, f64::max);
    let least = series.iter().map(|(_, value)| *value).fold(f64::INFINITY, f64::min);
    greatest - least
}

/// The figures of the whole night.
pub(crate) fn summary(gotos: &[GotoRow], dwells: &[DwellRow], samples: &[Sample], visitors: u64) -> Summary {
    let misses = sorted(gotos.iter().filter_map(|row| row.look.as_ref()).map(|look| look.miss.radians()));
    let at = |share| quantile(&misses, share).map(Angle::from_radians);
    let rms = |squares: f64, count: usize| {
        (count > 0).then(|| Angle::from_radians((squares / count as f64).sqrt()))
    };
    let drifts = sorted(dwells.iter().map(|dwell| dwell.drift.radians()));
    Summary {
        targets: gotos.len(),
        in_field: (!gotos.is_empty())
            .then(|| gotos.iter().filter(|row| row.in_field()).count() as f64 / gotos.len() as f64),
        visitors_served: visitors,
        miss_median: at(0.5),
        miss_p68: at(0.68),
        miss_p95: at(0.95),
        miss_rms: rms(misses.iter().map(|miss| miss * miss).sum(), misses.len()),
        tracking_rms: rms(pooled_squares(dwells, samples), samples.len()),
        tracking_peak_to_peak: dwells.iter().map(|dwell| dwell.peak_to_peak).reduce(Angle::max),
        drift_median: quantile(&drifts, 0.5).map(AngularRate::from_radians),
        alignment: Span::ZERO,
    }
}

/// Sum over all samples of the squared distance from their own dwell's mean, rad².
fn pooled_squares(dwells: &[DwellRow], samples: &[Sample]) -> f64 {
    let mut counts = vec![0_u64; dwells.len()];
    for sample in samples {
        counts[sample.dwell] += 1;
    }
    let squares = dwells.iter().zip(counts).map(|(dwell, count)| {
        let rms = dwell.rms.radians();
        rms * rms * count as f64
    });
    squares.sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_type_seven() {
        // By hand: type 7 of 1, 2, 3, 4 at 0.68 stands at 3·0.68 = 2.04 behind the first.
        let values = [1.0, 2.0, 3.0, 4.0];
        assert!((quantile(&values, 0.68).unwrap() - 3.04).abs() < 1e-12);
        assert_eq!(quantile(&values, 0.5), Some(2.5));
        assert_eq!(quantile(&values, 1.0), Some(4.0));
        assert_eq!(quantile(&[7.0], 0.95), Some(7.0));
        assert_eq!(quantile(&[], 0.5), None);
    }

    #[test]
    fn a_straight_drift_has_its_slope_and_the_spread_of_a_line() {
        let zero = (Angle::ZERO, Angle::ZERO);
        let samples: Vec<Sample> = (0..=10)
            .map(|second| Sample {
                dwell: 0,
                at: units::Instant::J2000_TAI + Span::from_whole_seconds(second),
                target: zero,
                boresight: zero,
                error_east: Angle::from_arcsec(3.0 * second as f64),
                error_north: Angle::from_arcsec(4.0 * second as f64),
                dials: zero,
                axes: zero,
            })
            .collect();
        let figures = dwell_figures(&samples);
        // By hand: 5″/s along the line; ten seconds of 4″ in the larger axis; variance of 0…10 is 10 s².
        assert!((figures.drift.arcsec() - 5.0).abs() < 1e-9);
        assert!((figures.peak_to_peak.arcsec() - 40.0).abs() < 1e-9);
        assert!((figures.rms.arcsec() - 5.0 * 10.0_f64.sqrt()).abs() < 1e-9);
    }
}
