//! Expectations against figures.

use crate::outcome::{Summary, Verdict};
use scenario::{Comparison, Count, Expect};
use units::{Angle, AngularRate, Quantity, Share, Span};

/// Judges every expectation that the scenario has. A figure that doesn't exist holds nothing.
pub fn judge(expect: &Expect, summary: &Summary) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let mut angle = |key: &str, expected: &Option<Comparison<Angle>>, found: Option<Angle>| {
        push(&mut verdicts, key, expected, found, Angle::arcsec, "arcsec");
    };
    angle("miss_median", &expect.miss_median, summary.miss_median);
    angle("miss_p68", &expect.miss_p68, summary.miss_p68);
    angle("miss_p95", &expect.miss_p95, summary.miss_p95);
    angle("miss_rms", &expect.miss_rms, summary.miss_rms);
    angle("tracking_rms", &expect.tracking_rms, summary.tracking_rms);
    angle("tracking_peak_to_peak", &expect.tracking_peak_to_peak, summary.tracking_peak_to_peak);
    let share = summary.in_field.map(Share::from_fraction);
    push(&mut verdicts, "in_field", &expect.in_field, share, Share::percent, "%");
    let per_minute = |rate: AngularRate| rate.arcsec() * 60.0;
    push(&mut verdicts, "drift_median", &expect.drift_median, summary.drift_median, per_minute, "arcsec/min");
    let alignment = Some(summary.alignment);
    push(&mut verdicts, "alignment_time", &expect.alignment_time, alignment, Span::seconds, "s");
    let counts = [
        ("targets", &expect.targets, summary.targets as f64),
        ("visitors_served", &expect.visitors_served, summary.visitors_served as f64),
    ];
    for (key, expected, found) in counts {
        let Some(expected) = expected else { continue };
        verdicts.push(Verdict {
            key: key.to_owned(),
            expected: counted(expected),
            found: found.to_string(),
            held: expected.sign.holds(found, expected.bound.0),
        });
    }
    verdicts
}

fn counted(expected: &Comparison<Count>) -> String {
    format!("{} {}", expected.sign.text(), expected.bound.0)
}

fn push<Q: Quantity>(
    verdicts: &mut Vec<Verdict>,
    key: &str,
    expected: &Option<Comparison<Q>>,
    found: Option<Q>,
    shown: impl Fn(Q) -> f64,
    unit: &str,
) {
    let Some(expected) = expected else { return };
    let text = |value: f64| format!("{value:.2} {unit}");
    verdicts.push(Verdict {
        key: key.to_owned(),
        expected: format!("{} {}", expected.sign.text(), text(shown(expected.bound))),
        found: found.map_or_else(|| "nothing to measure".to_owned(), |value| text(shown(value))),
        held: found.is_some_and(|value| expected.holds(value)),
    });
}
