//! Expectations against figures.

use crate::outcome::{Summary, Verdict};
use crate::watch::TrialAccount;
use scenario::{Comparison, Count, Expect};
use units::{Angle, AngularRate, Quantity, Share, Span};

/// Judges every expectation that the scenario has. A figure that doesn't exist holds nothing.
pub fn judge(expect: &Expect, summary: &Summary) -> Vec<Verdict> {
    judge_with(expect, summary, None)
}

/// The same with what a trial has measured beside it.
pub(crate) fn judge_with(expect: &Expect, summary: &Summary, trial: Option<&TrialAccount>) -> Vec<Verdict> {
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
    push_count(&mut verdicts, "targets", &expect.targets, Some(summary.targets as f64));
    let served = Some(summary.visitors_served as f64);
    push_count(&mut verdicts, "visitors_served", &expect.visitors_served, served);
    judge_trial(expect, trial, &mut verdicts);
    verdicts
}

/// What only a trial measures; a night without one holds none of it.
fn judge_trial(expect: &Expect, trial: Option<&TrialAccount>, verdicts: &mut Vec<Verdict>) {
    let reached = trial.and_then(TrialAccount::share_reached);
    push(verdicts, "targets_reached", &expect.targets_reached, reached, Share::percent, "%");
    let taken_up = trial.and_then(TrialAccount::share_taken_up);
    push(verdicts, "play_taken_up", &expect.play_taken_up, taken_up, Share::percent, "%");
    let recovery = trial.map(|trial| trial.recovery_time);
    push(verdicts, "recovery_time", &expect.recovery_time, recovery, Span::seconds, "s");
    let motion = trial.map(|trial| trial.motion_after_stop);
    push(verdicts, "motion_after_stop", &expect.motion_after_stop, motion, Angle::arcsec, "arcsec");
    // A Sun that is never up is as far away as can be.
    let sun = trial.map(|trial| trial.sun_distance.unwrap_or(Angle::HALF));
    push(verdicts, "sun_distance", &expect.sun_distance, sun, Angle::degrees, "deg");
    let counts = [
        ("refusals", &expect.refusals, trial.map(|trial| trial.refusals.len() as f64)),
        ("refusals_ignored", &expect.refusals_ignored, trial.map(|trial| trial.refusals_ignored as f64)),
        ("limits_met", &expect.limits_met, trial.map(|trial| trial.limits_met as f64)),
        ("idle_lines", &expect.idle_lines, trial.map(|trial| trial.idle_lines as f64)),
    ];
    for (key, expected, found) in counts {
        push_count(verdicts, key, expected, found);
    }
}

fn push_count(
    verdicts: &mut Vec<Verdict>,
    key: &str,
    expected: &Option<Comparison<Count>>,
    found: Option<f64>,
) {
    let Some(expected) = expected else { return };
    verdicts.push(Verdict {
        key: key.to_owned(),
        expected: format!("{} {}", expected.sign.text(), expected.bound.0),
        found: found.map_or_else(|| "nothing to measure".to_owned(), |found| found.to_string()),
        held: found.is_some_and(|found| expected.sign.holds(found, expected.bound.0)),
    });
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
