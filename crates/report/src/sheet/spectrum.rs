//! How much of a dwell's error repeats at which period.

use super::axes::{Axes, Scale};
use super::dwell_chart::{Series, trend};
use super::numbers::{Drawn, csv};
use super::pen::{Anchor, Ink, Picture};
use super::words::angle;
use bench::GearPeriod;
use units::{Angle, maths};

const SIZE: (f64, f64) = (460.0, 280.0);
/// Periods that are tried, evenly by their logarithms.
const PERIODS: usize = 240;
/// The longest period that is shown comes round so often in the dwell.
const SLOWEST_SHOWN: f64 = 1.5;
/// Fewer samples than these have no spectrum worth the name.
const LEAST: usize = 32;

/// Periods with the amplitude at each.
type Spectrum = Vec<(f64, f64)>;

/// Amplitude of both directions at each of a list of periods (in the series' own units), their trends taken out: the
/// least-squares periodogram of evenly spaced data under Hann's window, which keeps steps and slow swings from spilling
/// into all periods. `None` for too few samples, or none even.
pub(super) fn amplitudes(series: &[Series; 2]) -> Option<[Spectrum; 2]> {
    let times = &series[0];
    let (first, last) = (times.first()?.0, times.last()?.0);
    let step = (last - first) / (times.len() - 1) as f64;
    let even = times.windows(2).all(|pair| (pair[1].0 - pair[0].0 - step).abs() < 0.01 * step);
    if times.len() < LEAST || !even {
        return None;
    }
    let (east, north) = (windowed(&series[0])?, windowed(&series[1])?);
    let values: Vec<[f64; 2]> = east.zip(north).map(|(east, north)| [east, north]).collect();
    // From the shortest that the samples can tell on.
    let (shortest, longest) = (2.0 * step, (last - first) / SLOWEST_SHOWN);
    let ratio = maths::ln(longest / shortest);
    let periods: [f64; PERIODS] =
        std::array::from_fn(|index| shortest * maths::exp(ratio * index as f64 / (PERIODS - 1) as f64));
    let mut spectra = [const { Vec::new() }; 2];
    for some in periods.as_chunks::<LANES>().0 {
        let heights = heights(&values, &some.map(|period| maths::TAU * step / period));
        for (spectrum, heights) in spectra.iter_mut().zip(heights) {
            spectrum.extend(some.iter().copied().zip(heights));
        }
    }
    Some(spectra)
}

/// A series without its trend, under the window.
fn windowed(series: &Series) -> Option<impl Iterator<Item = f64>> {
    let (mean_time, mean, slope) = trend(series)?;
    let turn = maths::TAU / series.len() as f64;
    Some(series.iter().enumerate().map(move |(place, (time, value))| {
        (1.0 - maths::cos(turn * (place as f64 + 0.5))) * (value - mean - slope * (time - mean_time))
    }))
}

/// Periods that are summed side by side: their turning factors don't wait for each other.
const LANES: usize = 8;
const _: () = assert!(PERIODS.is_multiple_of(LANES));

/// Twice the size of the mean of x·e^(−iωk) (the window's mean is one), the turning factors by recurrence.
fn heights(values: &[[f64; 2]], turns: &[f64; LANES]) -> [[f64; LANES]; 2] {
    let (sin, cos) = (turns.map(maths::sin), turns.map(maths::cos));
    let (mut re, mut im) = ([1.0; LANES], [0.0; LANES]);
    let (mut sums_re, mut sums_im) = ([[0.0; LANES]; 2], [[0.0; LANES]; 2]);
    for both in values {
        for way in 0..2 {
            for lane in 0..LANES {
                sums_re[way][lane] += both[way] * re[lane];
                sums_im[way][lane] += both[way] * im[lane];
            }
        }
        for lane in 0..LANES {
            let turned = re[lane] * cos[lane] - im[lane] * sin[lane];
            im[lane] = re[lane] * sin[lane] + im[lane] * cos[lane];
            re[lane] = turned;
        }
    }
    let scale = 2.0 / values.len() as f64;
    [0, 1].map(|way| std::array::from_fn(|lane| scale * maths::hypot(sums_re[way][lane], sums_im[way][lane])))
}

/// The chart and its caption; `None` where there is no spectrum.
pub(super) fn chart(index: usize, target: &str, series: &[Series; 2], gears: &[GearPeriod]) -> Option<Drawn> {
    let spectra = amplitudes(series)?;
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
    let cells = spectra[0]
        .iter()
        .zip(&spectra[1])
        .map(|(east, north)| [east.0, east.1, north.1].map(|value| format!("{value:.4}")).to_vec());
    Some(Drawn::new(markup, caption, csv(&["period_seconds", "east_arcsec", "north_arcsec"], cells)))
}

/// The strongest of what comes round three times in the dwell or oftener (the window blurs what is slower into its
/// neighbours): a top between two lower neighbours.
fn strongest(spectrum: &[(f64, f64)]) -> Option<(f64, f64)> {
    let slowest = spectrum.last()?.0 * SLOWEST_SHOWN / 3.0;
    let tops = spectrum.windows(3).filter(|three| three[1].1 > three[0].1 && three[1].1 >= three[2].1);
    tops.map(|three| three[1]).filter(|top| top.0 <= slowest).max_by(|one, other| one.1.total_cmp(&other.1))
}

fn caption(spectra: &[Spectrum; 2], gears: &[GearPeriod]) -> String {
    let tops = [strongest(&spectra[0]), strongest(&spectra[1])].map(|top| top.unwrap_or((0.0, 0.0)));
    let ((period, height), way) = if tops[0].1 >= tops[1].1 { (tops[0], "east") } else { (tops[1], "north") };
    let word = |gear: &GearPeriod| gear.gear.split(',').next().unwrap_or_default().to_owned();
    let longest = spectra[0].last().map_or(0.0, |pair| pair.0);
    let beyond = gears.iter().filter(|gear| gear.lasts.seconds() > longest).max_by_key(|gear| gear.lasts);
    let beyond = beyond.map_or_else(String::new, |gear| {
        format!(
            " The {} takes {:.0} seconds, longer than this dwell can show.",
            word(gear),
            gear.lasts.seconds()
        )
    });
    if height < 0.01 {
        return format!(
            "Nothing that comes round three times is larger than a hundredth of an arcsecond.{beyond}"
        );
    }
    let gear = gears.iter().find(|gear| (gear.lasts.seconds() / period - 1.0).abs() < 0.06);
    let from = match gear {
        _ if gears.is_empty() => String::new(),
        Some(gear) => format!(", which is the {}'s", word(gear)),
        None => ", which is no period of the gears".to_owned(),
    };
    let all = spectra.iter().flatten().map(|pair| pair.1).fold(0.0, f64::max);
    let slow = if all > 1.5 * height {
        " Larger swings are slower: they come round less than three times, so they may as well be drift or a step."
    } else {
        ""
    };
    format!(
        "What repeats most is in the {way} direction, {} to either side every {period:.0} seconds{from}.{slow}{beyond}",
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
        let still = series.iter().map(|(time, _)| (*time, 3.0)).collect();
        let [none, spectrum] = amplitudes(&[still, series]).unwrap();
        // A series that only stands where it is has nothing but the rounding of its mean.
        assert!(none.iter().all(|pair| pair.1 < 1e-12), "{none:?}");
        let peak = spectrum.iter().max_by(|one, other| one.1.total_cmp(&other.1)).unwrap();
        // The periods tried stand 2.5 % apart.
        assert!((peak.0 / 120.0 - 1.0).abs() < 0.025, "{peak:?}");
        assert!((peak.1 - 7.0).abs() < 0.3, "{peak:?}");
    }

    #[test]
    fn uneven_or_few_samples_have_no_spectrum() {
        let few: Series = (0..20).map(|n| (f64::from(n), 1.0)).collect();
        assert!(amplitudes(&[few.clone(), few]).is_none());
        let mut series: Series = (0..100).map(|n| (f64::from(n), f64::from(n % 3))).collect();
        series[50].0 += 0.5;
        assert!(amplitudes(&[series.clone(), series]).is_none());
    }
}
