//! The JSON Schema, for completion and first checks in editors.

use crate::draws::{BESIDE, KINDS};
use crate::plan::{Plan, Vary};
use crate::value::{Field, Need, Shape, Value as _};
use serde_json::{Map, Value, json};

/// A decimal number in a text.
const NUMBER: &str = r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?";
/// An angle in parts, such as `-5d23m28s` or `5h35m17.3s`.
const PARTS: &str = r"[+-]?[0-9]+[dh][0-9]+m([0-9.]+s)?";

/// A JSON Schema (draft 2020-12) of scenario files, a TOML date-time counting as a string.
///
/// It knows keys, types, units and words; ranges of quantities, names of the sky and what depends on the kind of
/// mount are judged by [`crate::read`] alone.
pub fn schema() -> Value {
    let mut root = of(&Plan::shape(), None);
    if let Some(Value::Object(properties)) = root.get_mut("properties") {
        properties.insert("vary".to_owned(), described(of(&Vary::shape(), None), &super::vary_field()));
    }
    if let Value::Object(map) = &mut root {
        map.insert("$defs".to_owned(), json!({ "distribution": distribution() }));
        let mut with_head = Map::new();
        with_head.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        with_head.insert("title".to_owned(), json!("A night for the bench"));
        with_head.append(map);
        return Value::Object(with_head);
    }
    root
}

/// A distribution in place of a value; what stands in it is judged by [`crate::Study::read`].
fn distribution() -> Value {
    let mut properties: Map<String, Value> =
        KINDS.iter().chain(&BESIDE).map(|key| ((*key).to_owned(), Value::Bool(true))).collect();
    let weights = json!({ "type": "array", "items": { "type": "number", "minimum": 0 } });
    properties.insert("weights".to_owned(), weights);
    let one = |kind: &&str| json!({ "required": [kind] });
    json!({
        "description": "A value that is drawn anew for each night.",
        "type": "object",
        "properties": properties,
        "oneOf": KINDS.iter().map(one).collect::<Vec<_>>(),
        "additionalProperties": false,
    })
}

/// A value, or a distribution of it.
fn or_drawn(value: Value) -> Value {
    json!({ "anyOf": [value, { "$ref": "#/$defs/distribution" }] })
}

/// A value that may be drawn, or one that never is: a table, a list of tables, an expectation.
fn of(shape: &Shape, bounds: Option<(&str, &str)>) -> Value {
    let value = plain(shape, bounds);
    match shape {
        Shape::Comparison(_) | Shape::Table(_) | Shape::Overrides | Shape::Levels => value,
        Shape::List(inner, _) if matches!(**inner, Shape::Table(_)) => value,
        _ => or_drawn(value),
    }
}

fn plain(shape: &Shape, bounds: Option<(&str, &str)>) -> Value {
    match shape {
        Shape::Quantity { units, .. } => {
            json!({ "type": "string", "pattern": format!("^{}$", quantity(units)) })
        }
        Shape::Comparison(inner) => {
            let value = match &**inner {
                Shape::Quantity { units, .. } => quantity(units),
                _ => r"\s*[0-9]+\s*".to_owned(),
            };
            json!({ "type": "string", "pattern": format!(r"^\s*(>=|<=|>|<){value}$") })
        }
        Shape::Number => bounded("number", bounds),
        Shape::Whole => bounded("integer", bounds),
        Shape::Ratio => json!({ "anyOf": [
            bounded("number", bounds),
            { "type": "string", "pattern": format!(r"^\s*{NUMBER}\s*$") },
        ] }),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Text | Shape::Target => json!({ "type": "string", "minLength": 1 }),
        Shape::Words { words } => json!({ "enum": words }),
        Shape::OffsetDateTime => json!({
            "type": "string",
            "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?([Zz]|[+-][0-9]{2}:[0-9]{2})$",
        }),
        Shape::TimeOfDay => json!({
            "type": "string",
            "pattern": r"^\s*([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9](\.[0-9]{1,9})?)?\s*$",
        }),
        Shape::List(inner, least) => {
            json!({ "type": "array", "items": of(inner, bounds), "minItems": least })
        }
        Shape::Pair(inner) => {
            json!({ "type": "array", "items": of(inner, bounds), "minItems": 2, "maxItems": 2 })
        }
        Shape::Either(several) => {
            json!({ "anyOf": several.iter().map(|one| of(one, bounds)).collect::<Vec<_>>() })
        }
        Shape::Table(fields) => table(fields),
        Shape::Overrides => json!({ "type": "object" }),
        Shape::Levels => json!({ "type": "array", "minItems": 1 }),
    }
}

fn table(fields: &[Field]) -> Value {
    let mut properties = Map::new();
    for field in fields {
        properties.insert(field.key.to_owned(), described(of(&field.shape, field.bounds), field));
    }
    let required: Vec<&str> =
        fields.iter().filter(|field| field.need == Need::Required).map(|field| field.key).collect();
    json!({
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn described(mut property: Value, field: &Field) -> Value {
    if let Value::Object(map) = &mut property {
        map.insert("description".to_owned(), json!(description(field)));
    }
    property
}

fn description(field: &Field) -> String {
    let mut text = field.meaning.clone();
    if let Some((low, high)) = field.bounds {
        text.push_str(&format!(" From {low} to {high}."));
    }
    if !field.default.is_empty() {
        text.push_str(&format!(" Left out: {}.", field.default));
    }
    text
}

fn bounded(kind: &str, bounds: Option<(&str, &str)>) -> Value {
    let number = |text: &str| -> Value {
        serde_json::from_str(text).unwrap_or_else(|_| panic!("the key table has a bad bound {text}"))
    };
    match bounds {
        Some((low, high)) => json!({ "type": kind, "minimum": number(low), "maximum": number(high) }),
        None => json!({ "type": kind }),
    }
}

/// The pattern of a quantity with one of these units; an angle may also stand in parts.
fn quantity(units: &[&str]) -> String {
    let spaced = |unit: &str| unit.split(' ').map(escaped).collect::<Vec<_>>().join(r"\s*");
    let all: Vec<String> = units.iter().map(|unit| spaced(unit)).collect();
    let decimal = format!(r"{NUMBER}\s*({})", all.join("|"));
    if units.contains(&"arcmin") {
        format!(r"\s*({decimal}|{PARTS})\s*")
    } else {
        format!(r"\s*{decimal}\s*")
    }
}

fn escaped(text: &str) -> String {
    text.replace('.', r"\.")
}
