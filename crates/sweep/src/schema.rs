//! The JSON Schema of `sweep.json`.

use serde_json::{Value, json};

/// A JSON Schema (draft 2020-12) of `sweep.json`.
pub fn sweep_schema() -> Value {
    let number = |about: &str| json!({ "type": ["number", "null"], "description": about });
    let count = |about: &str| json!({ "type": "integer", "minimum": 0, "description": about });
    let text = |about: &str| json!({ "type": "string", "description": about });
    let interval = |about: &str| {
        json!({
            "description": about,
            "anyOf": [
                { "type": "null" },
                { "type": "array", "items": { "type": ["number", "null"] }, "minItems": 2, "maxItems": 2 },
            ],
        })
    };
    let object = |properties: Value| {
        let required: Vec<String> =
            properties.as_object().into_iter().flat_map(|map| map.keys().cloned()).collect();
        json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false })
    };
    let list = |items: Value| json!({ "type": "array", "items": items });
    let against = object(json!({
        "case": text("The case that this one is held against: the first strategy at the same values of the factors."),
        "nights_better": count("Nights with more targets in the field, or as many and a smaller median miss."),
        "nights_equal": count("Nights that came out the same."),
        "nights_worse": count("Nights that came out worse."),
        "sign_test": number("Probability of a split at least as uneven if neither were better; two-sided, equal nights left out."),
        "in_field_difference": number("Difference of the shares in the field."),
        "in_field_difference_interval": interval("Its 95 % interval, by bootstrap over nights."),
        "miss_ratio": number("Ratio of the nights' median misses, geometric mean."),
        "miss_ratio_interval": interval("Its 95 % interval, by bootstrap over nights."),
        "alignment_minutes_difference": number("Difference of the minutes of alignment a night."),
        "alignment_minutes_difference_interval": interval("Its 95 % interval, by bootstrap over nights."),
    }));
    let case = object(json!({
        "label": text("A name for people."),
        "strategy": text("The strategy; empty where the file has none."),
        "factors": list(object(json!({ "key": text("Path of the key."), "value": text("Its value.") }))),
        "nights_played": count("Nights that were played."),
        "nights_not_playable": count("Nights whose draws contradict themselves."),
        "first_not_playable": { "type": ["integer", "null"], "description": "The first of those." },
        "nights_held": count("Nights in which every expectation held."),
        "nights_failed": count("Nights in which one failed."),
        "targets": count("Targets asked for, over all nights."),
        "targets_in_field": count("Those in the field at the first look."),
        "in_field": number("Their share, 0 to 1."),
        "in_field_interval": interval("Its 95 % interval; targets of one night share its errors."),
        "refused": count("Targets that the mount refused."),
        "unreachable": count("Targets that no position of the axes points at."),
        "night_over": count("Targets that the night was over for."),
        "miss_median_arcsec": number("Median miss over all targets, within 0.5 %."),
        "miss_p68_arcsec": number("Miss that 68 % of all targets stay below, within 0.5 %."),
        "miss_p95_arcsec": number("Miss that 95 % of all targets stay below, within 0.5 %."),
        "miss_rms_arcsec": number("Root of the mean square of all misses."),
        "miss_night_median_arcsec": number("Geometric mean of the nights' median misses."),
        "miss_night_median_interval_arcsec": interval("Its 95 % interval, by bootstrap over nights."),
        "tracking_rms_arcsec": number("Root of the mean over nights of the mean square of the tracking error."),
        "tracking_peak_to_peak_arcsec": number("Largest swing of any night."),
        "drift_median_arcsec_per_min": number("Median over nights of their median drift, within 0.5 %."),
        "setting_up_minutes": number("Minutes of setting up, a night."),
        "alignment_minutes": number("Minutes of alignment, polar axis and gears before the first target, a night."),
        "evening_minutes": number("Minutes of alignment, polar axis, gears, targets, dwells and visitors, a night."),
        "slews": number("Go-tos to stars and targets, a night."),
        "presses": number("Keys pressed, a night."),
        "visitors_served": number("Visitors who saw something, a night."),
        "worst": list(object(json!({
            "night": count("Its number: the seed that plays it again."),
            "in_field": count("Targets in the field."),
            "targets": count("Targets asked for."),
            "miss_median_arcsec": number("Its median miss."),
        }))),
        "against": { "anyOf": [{ "type": "null" }, against] },
        "verdicts": list(object(json!({
            "key": text("Key under [expect]."),
            "expected": text("As the file has it."),
            "found": text("What came out over all nights."),
            "held": { "type": "boolean" },
        }))),
    }));
    let input = object(json!({
        "key": text("The key that the input belongs to."),
        "rank_correlation": number("Spearman's, with the input or with its size where it takes both signs."),
        "explained": number("Share of the variance of the logarithm of the night's median miss that the input explains by itself."),
        "explained_error": number("Its standard error, by bootstrap over nights."),
    }));
    let mut schema = object(json!({
        "format": { "const": 1 },
        "title": text("The file's title."),
        "plan_digest": text("SHA-256 over everything that decides the nights and their cases."),
        "version": text("The program's version."),
        "maths_fingerprint": text("Hash of a few function values."),
        "first_night": count("Number of the first night."),
        "nights": count("How many nights."),
        "quantile_accuracy": number("Relative accuracy of quantiles over all targets."),
        "sentences": list(text("What it comes to.")),
        "cases": list(case),
        "sensitivity": list(object(json!({
            "case": text("The case."),
            "nights": count("How many nights were looked at."),
            "inputs": list(input),
        }))),
    }));
    if let Value::Object(map) = &mut schema {
        map.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        map.insert("title".to_owned(), json!("What a sweep came to"));
    }
    schema
}
