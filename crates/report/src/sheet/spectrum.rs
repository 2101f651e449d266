//! How much of a dwell's error repeats at which period.

use super::axes::{Axes, Scale};
use super::dwell_chart::{Series, trend};
use super::pen::{Anchor, Ink, Picture};
use super::words::angle;
use bench::GearPeriod;
use maud::Markup;
use units::{Angle, maths};

const SIZE: (f64, f64) = (460.0, 280.0);
/// Periods that are tried, evenly by their logarithms.
const PERIODS: usize = 240;
/// Fewer samples than these have no spectrum worth the name.
const LEAST: usize = 32;

/// Amplitude at each of a list of periods (both in the series' own units), its trend taken out: the least-squares
/// periodogram of evenly spaced data, twice the size of the mean of x·e^(−iωt). `None` for too few samples, or none even.
pub(super) fn amplitudes(series: &Series) -> Option<Vec<(f64, f64)>> {
    let (mean_time, mean, slope) = trend(series)?;
    let (first, last) = (series.first()?.0, series.last()?.0);
    let step = (last - first) / (series.len() - 1) as f64;
    let even = series.windows(2).all(|pair| (pair[1].0 - pair[0].0 - step).abs() < 0.01 * step);
    if series.len() < LEAST || !even {
        return None;
    }
    let values: Vec<f64> =
        series.iter().map(|(time, value)| value - mean - slope * (time - mean_time)).collect();
    // From the shortest that the samples can tell to one that comes round one and a half times.
    let (shortest, longest) = (2.0 * step, (last - first) / 1.5);
    let ratio = maths::ln(longest / shortest);
    let period = |index: usize| shortest * maths::exp(ratio * index as f64 / (PERIODS - 1) as f64);
    Some(
        (0..PERIODS)
            .map(period)
            .map(|period| (period, amplitude(&values, maths::TAU * step / period)))
            .collect(),
    )
}

/// Twice the size of the mean of x·e^(−iωk), the turning factor by recurrence.
fn amplitude(values: &[f64], turn: f64) -> f64 {
    let (sin, cos) = maths::sincos(turn);
    let (mut re, mut im, mut sum_re, mut sum_im) = (1.0, 0.0, 0.0, 0.0);
    for value in values {
        sum_re += value * re;
        sum_im += value * im;
        (re, im) = (re * cos - im * sin, re * sin + im * cos);
    }
    2.0 * maths::hypot(sum_re, sum_im) / values.len() as f64
}

/// The chart and its caption; `None` where there is no spectrum.
pub(super) fn chart(
    index: usize,
    target: &str,
    series: &[Series; 2],
    gears: &[GearPeriod],
) -> Option<(Markup, String)> {
    let spectra = [amplitudes(&series[0])?, amplitudes(&series[1])?];
    let caption = caption(&spectra, gears);
    let highest = spectra.iter().flatten().map(|pair| pair.1).fold(0.0, f64::max);
    let (shortest, longest) = (spectra[0].first()?.0, spectra[0].last()?.0);
    let axes = Axes::new(
        SIZE,
        Scale::logarithmic(shortest, longest, "period, seconds"),
        Scale::even(0.0, highest.max(1e-3), 5.0, "amplitude, arcsec"),
    );
    let title = format!("What repeats in the error on {target}");
    let picture =
        Picture { id: &format!("spectrum-{index}"), size: SIZE, title: &title, description: &caption };
    let markup = picture.drawn(|pen| {
        axes.draw(pen);
        // Words that would overlap go into a second line.
        let mut last_right = [f64::NEG_INFINITY; 2];
        let mut sorted: Vec<&GearPeriod> = gears.iter().collect();
        sorted.sort_by_key(|gear| gear.lasts);
        for gear in sorted {
            let seconds = gear.lasts.seconds();
            if !(shortest..=longest).contains(&seconds) {
                continue;
            }
            let (x, _) = axes.place(seconds, 0.0);
            pen.line((x, axes.top()), (x, axes.bottom()), Ink::Limit, 1.1);
            let word = gear.gear.split(',').next().unwrap_or_default();
            let half = super::pen::text_width(word, 10.0) / 2.0 + 3.0;
            let line = last_right.iter().position(|right| x - half > *right);
            if let Some(line) = line.filter(|_| x + half < axes.right() + 12.0) {
                let y = axes.top() + 9.0 + 12.0 * line as f64;
                pen.text((x, y), Anchor::Middle, 10.0, Ink::Line, word);
                last_right[line] = x + half;
            }
        }
        axes.series(pen, &spectra[0], Ink::First, 1.4);
        axes.series(pen, &spectra[1], Ink::Second, 1.4);
    });
    Some((markup, caption))
}

fn caption(spectra: &[Vec<(f64, f64)>; 2], gears: &[GearPeriod]) -> String {
    let peak =
        |spectrum: &Vec<(f64, f64)>| spectrum.iter().copied().max_by(|one, other| one.1.total_cmp(&other.1));
    let (Some(east), Some(north)) = (peak(&spectra[0]), peak(&spectra[1])) else { return String::new() };
    let ((period, height), way) = if east.1 >= north.1 { (east, "east") } else { (north, "north") };
    if height < 0.01 {
        return "Nothing repeats by more than a hundredth of an arcsecond.".to_owned();
    }
    let gear = gears.iter().find(|gear| (gear.lasts.seconds() / period - 1.0).abs() < 0.06);
    let from = gear.map_or_else(
        || "which is no period of the gears".to_owned(),
        |gear| format!("which is the {}'s", gear.gear.split(',').next().unwrap_or_default()),
    );
    let from = if gears.is_empty() { String::new() } else { format!(", {from}") };
    format!(
        "What repeats most is in the {way} direction, {} to either side every {period:.0} seconds{from}.",
        angle(Angle::from_arcsec(height))
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wave_on_a_slope_shows_its_amplitude_at_its_period() {
        // 7″ every 120 s on a slope of 0.05″/s, for 20 minutes: a whole number of waves, so nothing leaks but the
        // little that the slope's fit takes from the wave.
        let series: Series = (0..1_200)
            .map(|second| {
                let time = f64::from(second);
                (time, 0.05 * time + 7.0 * maths::sin(maths::TAU * time / 120.0))
            })
            .collect();
        let spectrum = amplitudes(&series).unwrap();
        let peak = spectrum.iter().max_by(|one, other| one.1.total_cmp(&other.1)).unwrap();
        // The periods tried stand 2.5 % apart.
        assert!((peak.0 / 120.0 - 1.0).abs() < 0.025, "{peak:?}");
        assert!((peak.1 - 7.0).abs() < 0.3, "{peak:?}");
    }

    #[test]
    fn uneven_or_few_samples_have_no_spectrum() {
        assert!(amplitudes(&(0..20).map(|n| (f64::from(n), 1.0)).collect()).is_none());
        let mut series: Series = (0..100).map(|n| (f64::from(n), f64::from(n % 3))).collect();
        series[50].0 += 0.5;
        assert!(amplitudes(&series).is_none());
    }
}
