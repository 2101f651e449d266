//! The JSON Schema of `night.json`.

use serde_json::{Map, Value, json};

/// The JSON Schema (draft 2020-12) of `night.json`, pretty and with a line end.
///
/// Every field that it lists is always there; a later version may add fields, so a reader passes over those that it
/// doesn't know.
pub fn night_schema() -> String {
    let mut schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The result of one simulated night",
        "description": "Angles are degrees or arcseconds, times are seconds, by the end of a field's name; \
                        instants are UTC. Azimuth counts from north through east.",
    });
    if let (Some(schema), Value::Object(night)) = (schema.as_object_mut(), night()) {
        schema.extend(night);
    }
    let mut text = serde_json::to_string_pretty(&schema).expect("a schema is plain data");
    text.push('\n');
    text
}

fn night() -> Value {
    object(vec![
        ("format", json!({ "const": 1, "description": "number of this format" })),
        ("title", text("the scenario's title")),
        ("seed", count("the night's seed")),
        ("scenario_digest", pattern("^[0-9a-f]{64}$", "SHA-256 of the canonical plan without its seed")),
        ("version", text("version of the program")),
        (
            "maths_fingerprint",
            text("hash of a few function values: results with different ones may differ in the last digit"),
        ),
        ("equipment", equipment()),
        ("summary", summary()),
        ("sightings", list(sighting())),
        (
            "model",
            json!({ "description": "what the mount's computer believes of itself; null without an alignment",
                          "anyOf": [model(), { "type": "null" }] }),
        ),
        ("gotos", list(goto_row())),
        ("dwells", list(dwell())),
        ("faults", list(fault())),
        ("verdicts", list(verdict())),
        ("cautions", list(text("what a reader must be told before going outside"))),
        ("budget", list(budget())),
        ("setup", list(setup())),
        ("advice", list(text("a plain sentence on what the night shows"))),
        ("polar", list(polar())),
        (
            "periodic_error_correction",
            json!({ "description": "the correction of the hour axis's periodic error that the person recorded; null where \
                                    nobody set about it",
                          "anyOf": [correction(), { "type": "null" }] }),
        ),
        ("play_measured", list(play())),
        ("doubts", list(doubt())),
    ])
}

fn equipment() -> Value {
    json!({
        "type": "object",
        "description": "keys of the scenario that change no figure, as written",
        "additionalProperties": { "type": "string" },
    })
}

fn summary() -> Value {
    object(vec![
        ("targets", count("how many targets were asked for")),
        ("in_field", or_null(share("share of the targets that stood in the field at the first look"))),
        ("visitors_served", count("visitors who saw their target")),
        ("miss_median_arcsec", or_null(number("median of the misses"))),
        ("miss_p68_arcsec", or_null(number("68 % of the misses are within this (quantiles of type 7)"))),
        ("miss_p95_arcsec", or_null(number("95 % of the misses are within this"))),
        ("miss_rms_arcsec", or_null(number("root of the mean squared miss"))),
        ("tracking_rms_arcsec", or_null(number("root of the mean squared tracking error over all samples"))),
        ("tracking_peak_to_peak_arcsec", or_null(number("largest peak-to-peak tracking error of any dwell"))),
        ("drift_median_arcsec_per_min", or_null(number("median drift of the dwells"))),
        (
            "alignment_seconds",
            number("time spent on alignment, polar axis and gears before the first target"),
        ),
    ])
}

fn sighting() -> Value {
    object(vec![
        ("star", text("the star that was meant")),
        ("utc", instant("when it was accepted")),
        ("first_miss_arcsec", number("how far the first arrival was off")),
        ("centring_miss_arcsec", number("how far from the star the tube pointed when it was accepted")),
        ("residual_arcsec", or_null(number("what the model leaves of it"))),
        (
            "residual_east_arcsec",
            or_null(number("its part towards the east: boresight by the model minus star")),
        ),
        ("residual_north_arcsec", or_null(number("and towards the north"))),
        (
            "weight",
            or_null(number(
                "1 where the sighting counted in full, less where the fit took it for an outlier",
            )),
        ),
    ])
}

fn model() -> Value {
    let term = vec![
        ("name", text("in words")),
        ("value_arcsec", number("what it is believed to be")),
        ("sigma_arcsec", or_null(number("how well it is known"))),
        (
            "truth_arcsec",
            number(
                "what it should be, as things stood at the last sighting; an error of the entered time or site is in it",
            ),
        ),
    ];
    let mut open = term.clone();
    open.extend([
        ("reason", text("why the sightings don't determine it")),
        ("deciding_star", or_null(text("the star whose sighting would tell most about it"))),
        ("sigma_then_arcsec", or_null(number("how well it would be known after that"))),
    ]);
    object(vec![
        ("terms", list(object(term))),
        ("sightings_used", count("how many sightings it rests on")),
        ("residual_rms_arcsec", number("root of the mean squared residual")),
        ("not_determined", list(object(open))),
    ])
}

fn goto_row() -> Value {
    let mut fields = vec![
        ("target", text("the target as it was named")),
        ("outcome", words(&["arrived", "refused", "unreachable", "night-over"], "how it ended")),
        ("utc", or_null(instant("the instant of the look: arrived and settled, before anybody centres"))),
        (
            "icrs_ra_deg",
            number("right ascension in the catalogue's system, proper motion to the instant, no parallax"),
        ),
        ("icrs_dec_deg", number("declination, likewise")),
        ("target_azimuth_deg", or_null(number("observed azimuth of the target, refraction in"))),
        ("target_altitude_deg", or_null(number("observed altitude of the target"))),
        ("boresight_azimuth_deg", or_null(number("azimuth of where the tube pointed"))),
        ("boresight_altitude_deg", or_null(number("altitude of where the tube pointed"))),
    ];
    let axes = axis_fields();
    fields.extend([
        ("solution", or_null(words(&["direct", "through-pole"], "which of the two positions of the axes"))),
        ("tube_side", or_null(words(&["west", "east", "none"], "side of the pier that the tube is on"))),
        ("miss_arcsec", or_null(number("great circle from the target to the boresight"))),
        ("miss_east_arcsec", or_null(number("its part towards the east"))),
        ("miss_north_arcsec", or_null(number("its part towards the unrefracted north pole"))),
        ("true_field_arcsec", number("diameter of the field that was looked through")),
        ("in_field", json!({ "type": "boolean", "description": "whether the target stood in the field" })),
        ("slew_seconds", or_null(number("how long the slew took"))),
        ("refusal", or_null(text("what the mount said where it refused"))),
        (
            "predicted_rms_arcsec",
            or_null(number("root of the squared miss that the mount's computer expected")),
        ),
        (
            "predicted_p68_arcsec",
            or_null(number("radius of the circle that should hold 68 % of such misses")),
        ),
        ("predicted_p95_arcsec", or_null(number("radius of the circle that should hold 95 % of them"))),
    ]);
    let mut row = object(fields);
    if let Some(row) = row.as_object_mut() {
        row.extend(axes);
    }
    row
}

/// Dials and true axis angles: one pair of names for equatorial mounts, another for alt-azimuth ones.
fn axis_fields() -> Map<String, Value> {
    let pair = |first: &str, second: &str| {
        object(
            [
                ("dial", "what the mount's computer reads, unwrapped"),
                ("axis", "true angle of the axis, unwrapped"),
            ]
            .iter()
            .flat_map(|(end, description)| {
                [first, second].map(|axis| (format!("{axis}_{end}_deg"), or_null(number(description))))
            })
            .collect(),
        )
    };
    let either = json!({ "oneOf": [pair("hour", "declination"), pair("azimuth", "altitude")] });
    either.as_object().cloned().unwrap_or_default()
}

fn dwell() -> Value {
    object(vec![
        ("target", text("the target as it was named")),
        ("begin_utc", instant("begin")),
        ("seconds", number("length")),
        ("drift_arcsec_per_min", number("length of the vector of both least-squares slopes")),
        ("rms_arcsec", number("root of the mean squared distance from the mean")),
        ("peak_to_peak_arcsec", number("the larger of both directions' peak-to-peak")),
        ("seconds_in_field", number("how long the target stood in the field")),
        ("field_rotation_deg", number("by how much the field turned, from north through east")),
    ])
}

fn fault() -> Value {
    object(vec![
        ("utc", instant("when it struck")),
        ("kind", text("its kind, in the scenario's word")),
        ("detail", text("what it did")),
    ])
}

fn verdict() -> Value {
    object(vec![
        ("key", text("the key under [expect]")),
        ("expected", text("as the scenario has it")),
        ("found", text("what came out")),
        ("held", flag("whether the expectation held")),
    ])
}

fn budget() -> Value {
    object(vec![
        ("cause", text("in words")),
        ("in_field_without", or_null(share("share of targets in the field without it"))),
        ("miss_median_without_arcsec", or_null(number("median miss without it"))),
        (
            "in_field_alone",
            or_null(share("share of targets in the field with this cause and none of the other listed ones")),
        ),
        (
            "miss_median_alone_arcsec",
            or_null(number("median miss with this cause and none of the other listed ones")),
        ),
    ])
}

fn polar() -> Value {
    object(vec![
        ("star", text("the star that was centred with the bolts, or the last one that was watched")),
        ("utc", instant("when the bolts were locked")),
        (
            "altitude_before_arcsec",
            number("how much too high the axis's elevated end stood before, in truth"),
        ),
        ("azimuth_before_arcsec", number("how much too far east")),
        ("altitude_believed_arcsec", or_null(number("the same as the mount's model had it"))),
        ("azimuth_believed_arcsec", or_null(number("and how much too far east"))),
        ("altitude_after_arcsec", number("how much too high it stood after locking, in truth")),
        ("azimuth_after_arcsec", number("how much too far east")),
        ("altitude_turns", number("how far the altitude bolt was turned in all, to and fro")),
        ("azimuth_turns", number("and the azimuth bolt")),
    ])
}

const RESULTS: &[&str] = &[
    "kept",
    "too-few",
    "too-steep",
    "interrupted",
    "no-star",
    "star-lost",
    "power-lost",
    "refused",
    "night-over",
];

fn correction() -> Value {
    let mut fields = vec![
        ("star", or_null(text("the star that was guided"))),
        ("begin_utc", or_null(instant("when the recording began"))),
        ("end_utc", or_null(instant("when it was over"))),
        ("turns", count("over how many turns of the worm it was meant to go")),
        ("result", words(RESULTS, "how it ended")),
        ("refusal", or_null(text("what the mount said where it refused"))),
        ("corrections", count("guide corrections in hour angle that the mount counted")),
        ("amplitude_arcsec", number("half of the range of the correction, as the mount told it")),
        ("index_mark", flag("whether the worm has an index mark")),
        ("played", flag("whether a correction was played after the recording")),
        ("kept_at_end", flag("whether the drive still has a correction when the night is over")),
        ("plays_at_end", flag("whether it plays it then")),
    ];
    let rms = |words: &str| number(&format!("root of the mean square of the true periodic error {words}"));
    let swing = |words: &str| number(&format!("the true periodic error {words}, from peak to peak"));
    fields.extend([
        ("uncorrected_rms_arcsec", rms("without any correction")),
        ("uncorrected_peak_to_peak_arcsec", swing("without any correction")),
        ("before_rms_arcsec", or_null(rms("as the drive ran before the recording"))),
        ("before_peak_to_peak_arcsec", or_null(swing("as the drive ran before the recording"))),
        ("left_rms_arcsec", or_null(rms("after the recording"))),
        ("left_peak_to_peak_arcsec", or_null(swing("after the recording"))),
        ("left_at_end_rms_arcsec", rms("when the night is over")),
        ("left_at_end_peak_to_peak_arcsec", swing("when the night is over")),
    ]);
    object(fields)
}

fn play() -> Value {
    object(vec![
        ("axis", words(&["hour", "declination", "azimuth", "altitude"], "the axis")),
        ("star", or_null(text("the star that was centred from both sides"))),
        ("rounds", count("how many rounds came to a value")),
        ("measured_arcsec", or_null(number("their mean"))),
        ("scatter_arcsec", or_null(number("deviation of a single round"))),
        ("take_up_arcsec", or_null(number("what the take-up was set to"))),
        ("refusal", or_null(text("what the mount said where it refused"))),
        ("true_play_arcsec", or_null(number("the true play where it was measured"))),
        ("held_by_load", flag("whether the load held the axis to a flank, so that the play didn't show")),
        ("true_play_least_arcsec", number("the true play where it is least round the wheel")),
        ("true_play_greatest_arcsec", number("and where it is greatest")),
        (
            "too_long_arcsec",
            or_null(number(
                "take-up less true play: above zero a turn of the axis ends in a jump, below it in a wait",
            )),
        ),
        ("too_long_at_most_arcsec", or_null(number("the jump where the play is least round the wheel"))),
        ("too_short_at_most_arcsec", or_null(number("what a wait makes up for where the play is greatest"))),
    ])
}

fn flag(description: &str) -> Value {
    json!({ "type": "boolean", "description": description })
}

fn doubt() -> Value {
    let right = json!({ "enum": ["yes", "no", null],
                        "description": "whether that was right; null where nobody at the mount could tell" });
    object(vec![
        ("utc", instant("when the person had looked")),
        ("asked", text("what the mount said or asked")),
        ("answer", text("what the person did about it")),
        ("right", right),
    ])
}

fn setup() -> Value {
    object(vec![
        ("name", text("in words")),
        ("set_deg", number("as set by its own key")),
        ("total_deg", number("together with what else acts the same way")),
    ])
}

/// An object all of whose fields are always there.
fn object<K: Into<String>>(fields: Vec<(K, Value)>) -> Value {
    let properties: Map<String, Value> = fields.into_iter().map(|(key, value)| (key.into(), value)).collect();
    let required: Vec<&String> = properties.keys().collect();
    json!({ "type": "object", "required": required, "properties": properties })
}

fn list(items: Value) -> Value {
    json!({ "type": "array", "items": items })
}

fn text(description: &str) -> Value {
    json!({ "type": "string", "description": description })
}

fn pattern(pattern: &str, description: &str) -> Value {
    json!({ "type": "string", "pattern": pattern, "description": description })
}

fn instant(description: &str) -> Value {
    pattern("^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\\.[0-9]{6}Z$", description)
}

fn words(words: &[&str], description: &str) -> Value {
    json!({ "type": "string", "enum": words, "description": description })
}

fn number(description: &str) -> Value {
    json!({ "type": "number", "description": description })
}

fn share(description: &str) -> Value {
    json!({ "type": "number", "minimum": 0, "maximum": 1, "description": description })
}

/// The largest seed is below 2^53, so that every reader of JSON keeps it whole.
fn count(description: &str) -> Value {
    json!({ "type": "integer", "minimum": 0, "maximum": 9_007_199_254_740_991_u64, "description": description })
}

/// The same, or null where there is nothing to say.
fn or_null(mut schema: Value) -> Value {
    if let Some(Value::String(kind)) = schema.get("type").cloned() {
        schema["type"] = json!([kind, "null"]);
    }
    if let Some(Value::Array(words)) = schema.get_mut("enum") {
        words.push(Value::Null);
    }
    schema
}
