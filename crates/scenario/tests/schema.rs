//! The published schema and the manual's page are those that the program has, and they say what reading says.

mod common;

use common::{each, root, text_of};
use scenario::{key_table, reference_page, schema};
use serde_json::{Value, json};

const REMEDY: &str = "run `cargo run -p scenario --example schema`";

#[test]
fn the_published_schema_is_that_of_the_program() {
    let published = text_of(&root().join("docs/reference/scenario.schema.json"));
    let made = serde_json::to_string_pretty(&schema()).unwrap() + "\n";
    assert!(published == made, "the schema is stale: {REMEDY}");
}

#[test]
fn the_manual_page_is_that_of_the_program() {
    let published = text_of(&root().join("docs/reference/scenario.md"));
    assert!(published == reference_page(), "the page is stale: {REMEDY}");
}

/// A TOML document as a JSON value, date-times as strings.
fn as_json(value: toml::Value) -> Value {
    match value {
        toml::Value::String(text) => json!(text),
        toml::Value::Integer(number) => json!(number),
        toml::Value::Float(number) => json!(number),
        toml::Value::Boolean(flag) => json!(flag),
        toml::Value::Datetime(moment) => json!(moment.to_string()),
        toml::Value::Array(list) => Value::Array(list.into_iter().map(as_json).collect()),
        toml::Value::Table(table) => {
            Value::Object(table.into_iter().map(|(key, value)| (key, as_json(value))).collect())
        }
    }
}

#[test]
fn the_schema_accepts_every_good_night() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    each("good", "toml", |name, text| {
        let night = as_json(toml::from_str(text).unwrap());
        let errors: Vec<String> = validator.iter_errors(&night).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{name}: {errors:?}");
    });
}

/// What no schema of this kind sees: ranges of quantities, the sky, the calendar, and keys against each other.
const UNSEEN: [&str; 34] = [
    "after_the_night.toml",
    "alignment_none.toml",
    "alignment_stars.toml",
    "alt_azimuth_keys_on_equatorial.toml",
    "control_characters.toml",
    "custom_rate.toml",
    "custom_rate_unused.toml",
    "date_time_in_quotes.toml",
    "distribution_impossible.toml",
    "distribution_of_moments.toml",
    "disturbances_incomplete.toml",
    "disturbances_two_choices.toml",
    "eyepieces.toml",
    "gears_by_a_star.toml",
    "gears_by_a_star_alt_azimuth.toml",
    "horizon.toml",
    "latitude_95.toml",
    "misspelt_star.toml",
    "night_of_ten_thousand_hours.toml",
    "no_eyepiece.toml",
    "no_such_leap_second.toml",
    "polar_keys_on_alt_azimuth.toml",
    "samples_without_end.toml",
    "targets_without_a_place.toml",
    "too_many_samples.toml",
    "unknown_star.toml",
    "vary_grid.toml",
    "vary_keys.toml",
    "vary_names_twice.toml",
    "vary_override.toml",
    "vary_seed.toml",
    "year_1971.toml",
    "year_2101.toml",
    "year_by_offset.toml",
];

#[test]
fn the_schema_refuses_every_bad_night_but_those_it_cannot_judge() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    let mut wrong = Vec::new();
    each("bad", "toml", |name, text| {
        // What is no TOML never reaches a schema.
        let Ok(table) = toml::from_str(text) else { return };
        if validator.is_valid(&as_json(table)) != UNSEEN.contains(&name) {
            wrong.push(name.to_owned());
        }
    });
    assert!(wrong.is_empty(), "{wrong:?}");
}

#[test]
fn every_key_says_what_it_is() {
    let table = key_table();
    assert!(table.len() > 150);
    for doc in table {
        assert!(doc.meaning.ends_with('.'), "{}: {}", doc.path, doc.meaning);
        assert!(!doc.meaning.contains('|') && !doc.default.contains('|'), "{}", doc.path);
        assert_eq!(doc.required, doc.default.is_empty(), "{}", doc.path);
        assert!(!doc.kind.is_empty(), "{}", doc.path);
        let numeric = !doc.units.is_empty() || doc.kind == "a bare number" || doc.kind == "a whole number";
        // Counts of an expectation may be anything; every other number is bounded, so that nothing absurd gets in.
        assert!(!numeric || doc.range.is_some(), "{} has no range", doc.path);
    }
}
