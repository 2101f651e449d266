//! The tracking error of a dwell, in both directions with its trend.

use super::axes::{Axes, Scale, TYPE};
use super::numbers::{Drawn, Numbers};
use super::pen::{Anchor, Ink, Pen, Picture};
use super::words::{angle, percent, span};
use bench::{DwellRow, Sample};
use units::Angle;

const SIZE: (f64, f64) = (460.0, 280.0);

/// One direction of a dwell's error: pairs of seconds and arcseconds.
pub(super) type Series = Vec<(f64, f64)>;

/// Both directions of a dwell's error.
pub(super) fn both(row: &DwellRow, samples: &[Sample]) -> [Series; 2] {
    let series = |error: fn(&Sample) -> Angle| {
        samples.iter().map(|sample| ((sample.at - row.begin).seconds(), error(sample).arcsec())).collect()
    };
    [series(|sample| sample.error_east), series(|sample| sample.error_north)]
}

/// Mean, and slope in arcseconds per second, of the line that fits best.
pub(super) fn trend(series: &Series) -> Option<(f64, f64, f64)> {
    if series.len() < 2 {
        return None;
    }
    let count = series.len() as f64;
    let (mean_time, mean) =
        series.iter().fold((0.0, 0.0), |(t, v), pair| (t + pair.0 / count, v + pair.1 / count));
    let (above, below) = series.iter().fold((0.0, 0.0), |(above, below), (time, value)| {
        let off = time - mean_time;
        (above + off * (value - mean), below + off * off)
    });
    (below > 0.0).then(|| (mean_time, mean, above / below))
}

/// The chart and its caption.
pub(super) fn chart(index: usize, row: &DwellRow, series: &[Series; 2]) -> Drawn {
    let caption = caption(row, series);
    let values = || series.iter().flatten().map(|pair| pair.1);
    // A scale finer than a hundredth of an arcsecond would show the last digits of the arithmetic.
    let (low, high) = (values().fold(-0.005, f64::min), values().fold(0.005, f64::max));
    let minutes = row.length.minutes().max(1e-3);
    let axes = Axes::new(
        SIZE,
        Scale::given(0.0, minutes, ticks(minutes), "minutes since the begin"),
        Scale::even(low, high, 5.0, "error, arcsec"),
    );
    let title = format!("Tracking error on {}", row.target);
    let picture = Picture { id: &format!("dwell-{index}"), size: SIZE, title: &title, description: &caption };
    let markup = picture.drawn(|pen| {
        axes.draw(pen);
        let inks = [(Ink::First, Ink::FirstTrend), (Ink::Second, Ink::SecondTrend)];
        for (series, (ink, trend_ink)) in series.iter().zip(inks) {
            let pairs: Series = series.iter().map(|(seconds, value)| (seconds / 60.0, *value)).collect();
            axes.series(pen, &pairs, ink, 1.4);
            if let Some((mean_time, mean, slope)) = trend(series) {
                let at = |minutes: f64| {
                    let value = mean + slope * (minutes * 60.0 - mean_time);
                    axes.place(minutes, value.clamp(axes.up.low(), axes.up.high()))
                };
                pen.line(at(0.0), at(minutes), trend_ink, 0.9);
            }
        }
        legend(pen, &axes);
    });
    Drawn::new(markup, caption, Numbers::Samples { dwell: index })
}

fn ticks(minutes: f64) -> Vec<(f64, String)> {
    let step = super::axes::round_step(minutes / 6.0);
    let decimals = usize::from(step < 1.0) + usize::from(step < 0.1);
    (0..)
        .map(|n| f64::from(n) * step)
        .take_while(|at| *at <= minutes * 1.000_001)
        .map(|at| (at, format!("{at:.decimals$}")))
        .collect()
}

/// Which line is which, above the frame.
fn legend(pen: &mut Pen<'_>, axes: &Axes) {
    let y = axes.top() - 11.0;
    let mut x = axes.right();
    for (ink, words) in [(Ink::Second, "north"), (Ink::First, "east")] {
        pen.text((x, y), Anchor::End, TYPE, Ink::Line, words);
        x -= 36.0;
        pen.line((x - 24.0, y), (x, y), ink, 1.6);
        x -= 38.0;
    }
    pen.text((x, y), Anchor::End, TYPE, Ink::Line, "trend");
    pen.line((x - 62.0, y), (x - 34.0, y), Ink::FirstTrend, 0.9);
}

fn caption(row: &DwellRow, series: &[Series; 2]) -> String {
    let per_minute = Angle::from_arcsec(row.drift.arcsec() * 60.0);
    let slopes = [0, 1].map(|way| trend(&series[way]).map_or(0.0, |(_, _, slope)| slope));
    let way = match slopes.map(|slope| slope.abs()) {
        [east, north] if east >= 2.0 * north => {
            if slopes[0] > 0.0 {
                " eastward"
            } else {
                " westward"
            }
        }
        [east, north] if north >= 2.0 * east => {
            if slopes[1] > 0.0 {
                " northward"
            } else {
                " southward"
            }
        }
        _ => "",
    };
    let total = row.length.seconds();
    let kept = if total > 0.0 { row.in_field.seconds() / total } else { 0.0 };
    let stay = if kept >= 0.999_5 {
        "the target stayed in the field to the end".to_owned()
    } else {
        format!("the target stood in the field for {} ({})", span(row.in_field), percent(kept))
    };
    format!(
        "In {} the tube drifted{way} by {} per minute and swung over {}; {stay}.",
        span(row.length),
        angle(per_minute),
        angle(row.peak_to_peak)
    )
}
