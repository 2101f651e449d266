//! `sweep.json`: everything that a sweep came to, for programs.

use crate::answers::{Against, Answers, CaseAnswers};
use crate::words::rounded;
use serde_json::{Map, Value, json};

const ARCSEC: u8 = 4;
const SHARE: u8 = 6;
const MINUTES: u8 = 3;

/// The text of `sweep.json`: its schema is [`crate::sweep_schema`].
pub fn sweep_json(answers: &Answers) -> String {
    let about = &answers.about;
    let case_of = |index: usize| about.cases[index].label.as_str();
    let cases: Vec<Value> = answers
        .cases
        .iter()
        .enumerate()
        .map(|(index, case)| case_json(answers, index, case, &case_of))
        .collect();
    let input = |input: &crate::InputShare| {
        json!({
            "key": input.key,
            "rank_correlation": rounded(input.rank_correlation, 4),
            "explained": rounded(input.explained, 4),
            "explained_error": rounded(input.explained_error, 4),
        })
    };
    let sensitivity: Vec<Value> = answers
        .sensitivity
        .iter()
        .map(|one| {
            json!({
                "case": case_of(one.case),
                "nights": one.nights,
                "inputs": one.inputs.iter().map(input).collect::<Vec<_>>(),
            })
        })
        .collect();
    let whole = json!({
        "format": 1,
        "title": about.title,
        "plan_digest": about.digest,
        "version": about.version,
        "maths_fingerprint": about.maths_fingerprint,
        "first_night": about.first_night,
        "nights": answers.nights,
        "quantile_accuracy": 0.005,
        "sentences": answers.sentences,
        "cases": cases,
        "sensitivity": sensitivity,
    });
    format!("{whole:#}\n")
}

fn case_json<'a>(
    answers: &'a Answers,
    index: usize,
    case: &CaseAnswers,
    label: &impl Fn(usize) -> &'a str,
) -> Value {
    let about = &answers.about.cases[index];
    let factors: Vec<Value> =
        about.levels.iter().map(|level| json!({ "key": level.key, "value": level.text })).collect();
    let angle = |value: Option<f64>| value.map_or(Value::Null, |value| rounded(value, ARCSEC));
    let worst: Vec<Value> = case
        .worst
        .iter()
        .map(|(night, in_field, targets, median)| {
            json!({
                "night": night,
                "in_field": in_field,
                "targets": targets,
                "miss_median_arcsec": angle(*median),
            })
        })
        .collect();
    let verdict = |verdict: &bench::Verdict| json!({ "key": verdict.key, "expected": verdict.expected, "found": verdict.found, "held": verdict.held });
    let [refused, unreachable, night_over] = case.not_reached;
    let mut map = Map::new();
    let mut put = |key: &str, value: Value| map.insert(key.to_owned(), value);
    put("label", json!(label(index)));
    put("strategy", json!(about.strategy));
    put("factors", json!(factors));
    put("nights_played", json!(case.played));
    put("nights_not_playable", json!(case.unplayable));
    put("first_not_playable", json!(case.first_unplayable));
    put("nights_held", json!(case.held));
    put("nights_failed", json!(case.failed));
    put("targets", json!(case.targets));
    put("targets_in_field", json!(case.in_field_targets));
    put("in_field", share(case.in_field));
    put("in_field_interval", ends(case.in_field_interval, SHARE));
    put("refused", json!(refused));
    put("unreachable", json!(unreachable));
    put("night_over", json!(night_over));
    put("miss_median_arcsec", angle(case.misses[0]));
    put("miss_p68_arcsec", angle(case.misses[1]));
    put("miss_p95_arcsec", angle(case.misses[2]));
    put("miss_rms_arcsec", angle(case.miss_rms));
    put("miss_night_median_arcsec", angle(case.night_median));
    put("miss_night_median_interval_arcsec", ends(case.night_median_interval, ARCSEC));
    put("tracking_rms_arcsec", angle(case.tracking_rms));
    put("tracking_peak_to_peak_arcsec", angle(case.tracking_peak));
    put("drift_median_arcsec_per_min", angle(case.drift));
    put("setting_up_minutes", rounded(case.minutes[0], MINUTES));
    put("alignment_minutes", rounded(case.minutes[1], MINUTES));
    put("evening_minutes", rounded(case.minutes[2], MINUTES));
    put("slews", rounded(case.slews, 3));
    put("presses", rounded(case.presses, 3));
    put("visitors_served", rounded(case.visitors, 3));
    put("worst", json!(worst));
    put("against", case.against.as_ref().map_or(Value::Null, |against| against_json(against, label)));
    put("verdicts", json!(case.verdicts.iter().map(verdict).collect::<Vec<_>>()));
    Value::Object(map)
}

fn against_json<'a>(against: &Against, label: &impl Fn(usize) -> &'a str) -> Value {
    let both = |figure: Option<(f64, [f64; 2])>, decimals: u8| match figure {
        Some((value, interval)) => (rounded(value, decimals), ends(Some(interval), decimals)),
        None => (Value::Null, Value::Null),
    };
    let [better, equal, worse] = against.nights;
    let (in_field, in_field_interval) = both(against.in_field, SHARE);
    let (ratio, ratio_interval) = both(against.miss_ratio, SHARE);
    let (minutes, minutes_interval) = both(against.alignment_minutes, MINUTES);
    json!({
        "case": label(against.case),
        "nights_better": better,
        "nights_equal": equal,
        "nights_worse": worse,
        "sign_test": rounded(against.sign_test, 8),
        "in_field_difference": in_field,
        "in_field_difference_interval": in_field_interval,
        "miss_ratio": ratio,
        "miss_ratio_interval": ratio_interval,
        "alignment_minutes_difference": minutes,
        "alignment_minutes_difference_interval": minutes_interval,
    })
}

fn share(value: Option<f64>) -> Value {
    value.map_or(Value::Null, |value| rounded(value, SHARE))
}

fn ends(interval: Option<[f64; 2]>, decimals: u8) -> Value {
    interval.map_or(Value::Null, |ends| json!(ends.map(|end| rounded(end, decimals))))
}
