//! `night.json`: its bytes, its schema, and the two against each other.

mod common;

use common::{empty, eventful, holds_golden};
use report::{night_json, night_schema};
use serde_json::Value;

fn read(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn the_bytes_are_those_of_the_golden_files() {
    holds_golden("eventful.json", &night_json(&eventful()));
    holds_golden("empty.json", &night_json(&empty()));
}

#[test]
fn the_fields_are_those_of_the_contract_in_its_order() {
    let night = read(&night_json(&eventful()));
    let keys = |value: &Value| value.as_object().unwrap().keys().cloned().collect::<Vec<_>>().join(" ");
    assert_eq!(
        keys(&night),
        "format title seed scenario_digest version maths_fingerprint equipment summary sightings model gotos dwells \
         faults verdicts cautions budget setup advice polar periodic_error_correction play_measured doubts"
    );
    assert_eq!(
        keys(&night["gotos"][0]),
        "target outcome utc icrs_ra_deg icrs_dec_deg target_azimuth_deg target_altitude_deg boresight_azimuth_deg \
         boresight_altitude_deg hour_dial_deg declination_dial_deg hour_axis_deg declination_axis_deg solution \
         tube_side miss_arcsec miss_east_arcsec miss_north_arcsec true_field_arcsec in_field slew_seconds refusal predicted_rms_arcsec predicted_p68_arcsec predicted_p95_arcsec"
    );
    assert_eq!(
        keys(&night["dwells"][0]),
        "target begin_utc seconds drift_arcsec_per_min rms_arcsec peak_to_peak_arcsec seconds_in_field \
         field_rotation_deg"
    );
}

#[test]
fn a_target_that_was_not_reached_keeps_its_row() {
    let night = read(&night_json(&eventful()));
    let row = night["gotos"][3].as_object().unwrap();
    assert_eq!(row["outcome"], "refused");
    assert_eq!(row["in_field"], false);
    assert!(row["refusal"].as_str().unwrap().contains("below the horizon"));
    for key in ["utc", "target_azimuth_deg", "hour_dial_deg", "solution", "miss_arcsec", "slew_seconds"] {
        assert!(row[key].is_null(), "{key}");
    }
    assert!(row["icrs_ra_deg"].is_number() && row["true_field_arcsec"].is_number());
}

#[test]
fn a_text_comes_back_and_its_bytes_steer_nothing() {
    let text = night_json(&eventful());
    assert!(!text.contains(|c: char| (c.is_control() && c != '\n') || c == '\u{202e}'));
    let night = read(&text);
    assert_eq!(night["gotos"][4]["target"], "\u{1b}[31mPolaris\u{202e}");
    assert_eq!(night["dwells"][0]["target"], "M 42, \"the sword\"");
}

#[test]
fn a_number_that_is_none_becomes_null() {
    let mut outcome = eventful();
    outcome.dwells[0].rms = units::Angle::from_arcsec(f64::NAN);
    assert!(read(&night_json(&outcome))["dwells"][0]["rms_arcsec"].is_null());
}

#[test]
fn both_nights_fit_the_schema_and_the_schema_knows_every_field() {
    let mut schema = read(&night_schema());
    close(&mut schema);
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let mut alt_azimuth = eventful();
    alt_azimuth.kind = bench::MountKind::AltAzimuth;
    for outcome in [eventful(), empty(), alt_azimuth] {
        let night = read(&night_json(&outcome));
        let complaints: Vec<String> = validator
            .iter_errors(&night)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert!(complaints.is_empty(), "{complaints:#?}");
    }
}

/// Forbids, for this test, fields that the schema doesn't list; readers of later versions pass over them instead.
fn close(schema: &mut Value) {
    match schema {
        Value::Object(fields) => {
            if fields.contains_key("required") {
                // `unevaluated` looks into the `oneOf` beside it; the branches of that stay open.
                fields.insert("unevaluatedProperties".to_owned(), Value::Bool(false));
            }
            for (key, inner) in fields.iter_mut() {
                if key != "oneOf" {
                    close(inner);
                }
            }
        }
        Value::Array(items) => items.iter_mut().for_each(close),
        _ => {}
    }
}

#[test]
fn a_night_that_lacks_something_does_not_fit() {
    let validator = jsonschema::draft202012::new(&read(&night_schema())).unwrap();
    let night = read(&night_json(&eventful()));
    assert!(validator.is_valid(&night));
    let broken: [fn(&mut Value); 5] = [
        |night| night["format"] = 2.into(),
        |night| drop(night["summary"].as_object_mut().unwrap().remove("in_field")),
        |night| drop(night["gotos"][0].as_object_mut().unwrap().remove("hour_dial_deg")),
        |night| night["gotos"][0]["outcome"] = "lost".into(),
        |night| night["dwells"][0]["begin_utc"] = "2027-03-06 19:30".into(),
    ];
    for (index, change) in broken.iter().enumerate() {
        let mut night = night.clone();
        change(&mut night);
        assert!(!validator.is_valid(&night), "change {index}");
    }
}

#[test]
fn the_published_schema_is_this_one() {
    let published = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/reference/night.schema.json");
    assert!(
        std::fs::read_to_string(published).unwrap_or_default() == night_schema(),
        "write it anew: cargo run -p report --example night_schema > docs/reference/night.schema.json"
    );
}
