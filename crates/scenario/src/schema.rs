//! The list of keys as a table, as a JSON Schema for editors, and as a page of the manual.

mod json;
mod page;

pub use json::schema;
pub use page::reference_page;

use crate::plan::{Plan, Vary};
use crate::value::{Field, Need, Shape, Value as _};
use std::sync::OnceLock;

/// A key of the file, for the manual, for editors and for tests that go through all of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyDoc {
    /// Its path; `[]` stands for any place in a list: `observe[].target`.
    pub path: String,
    /// What its value is, in words: `an angle`.
    pub kind: String,
    /// The units it may have, the usual one first; empty where it has none.
    pub units: Vec<&'static str>,
    /// Least and greatest value, as texts of the file.
    pub range: Option<(&'static str, &'static str)>,
    /// Whether the file is refused without it (within its table, where that is there at all).
    pub required: bool,
    /// What holds when it is left out, in words.
    pub default: &'static str,
    /// What it means.
    pub meaning: String,
    /// A good value as it stands in the file; empty for tables.
    pub example: String,
    /// The version of the file's form that brought it.
    pub since: u32,
}

/// All keys in the order of the manual, tables before their keys.
pub fn key_table() -> &'static [KeyDoc] {
    static TABLE: OnceLock<Vec<KeyDoc>> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut all = Vec::new();
        collect("", &Plan::shape(), &mut all);
        all.push(key_doc("vary", &vary_field()));
        collect("vary", &Vary::shape(), &mut all);
        all
    })
}

/// `[vary]` as a key of the file: it stands beside a night's plan, not in it.
pub(crate) fn vary_field() -> Field {
    Field {
        key: "vary",
        meaning: "Many nights of one file: strategies and factors that are compared on the same draws."
            .to_owned(),
        default: "nothing varies but the draws",
        bounds: None,
        need: Need::Optional,
        shape: Vary::shape(),
    }
}

fn collect(parent: &str, shape: &Shape, all: &mut Vec<KeyDoc>) {
    match shape {
        Shape::Table(fields) => {
            for field in fields {
                let path = crate::reader::join(parent, field.key);
                all.push(key_doc(&path, field));
                collect(&path, &field.shape, all);
            }
        }
        Shape::List(inner, _) => collect(&format!("{parent}[]"), inner, all),
        _ => {}
    }
}

fn key_doc(path: &str, field: &Field) -> KeyDoc {
    KeyDoc {
        path: path.to_owned(),
        kind: in_words(&field.shape),
        units: units_of(&field.shape),
        range: field.bounds,
        required: field.need == Need::Required,
        default: field.default,
        meaning: field.meaning.clone(),
        example: example(field.key, &field.shape).unwrap_or_default(),
        since: 1,
    }
}

fn units_of(shape: &Shape) -> Vec<&'static str> {
    match shape {
        Shape::Quantity { units, .. } => units.iter().copied().filter(|unit| !unit.is_empty()).collect(),
        Shape::Comparison(inner) | Shape::Pair(inner) | Shape::List(inner, _) => units_of(inner),
        Shape::Either(several) => {
            several.iter().map(units_of).find(|units| !units.is_empty()).unwrap_or_default()
        }
        _ => Vec::new(),
    }
}

/// What a value is.
fn in_words(shape: &Shape) -> String {
    match shape {
        Shape::Quantity { name, .. } => (*name).to_owned(),
        Shape::Number => "a bare number".to_owned(),
        Shape::Whole => "a whole number".to_owned(),
        Shape::Ratio => "a factor".to_owned(),
        Shape::Flag => "`true` or `false`".to_owned(),
        Shape::Text => "a text".to_owned(),
        Shape::Target => "a name of the catalogue".to_owned(),
        Shape::Words { words } => {
            words.iter().map(|word| format!("`\"{word}\"`")).collect::<Vec<_>>().join(", ")
        }
        Shape::OffsetDateTime => "a date-time with its offset".to_owned(),
        Shape::TimeOfDay => "a time of day".to_owned(),
        Shape::Comparison(inner) => format!("a comparison with {}", in_words(inner)),
        Shape::List(inner, _) => match **inner {
            Shape::Table(_) => "a list of tables".to_owned(),
            Shape::Target => "a list of names of the catalogue".to_owned(),
            ref other => format!("a list, each {}", in_words(other)),
        },
        Shape::Pair(inner) => format!("a pair, each {}", in_words(inner)),
        Shape::Either(several) => several.iter().map(in_words).collect::<Vec<_>>().join(", or "),
        Shape::Table(_) => "a table".to_owned(),
        Shape::Overrides => "a table of keys of the file".to_owned(),
        Shape::Levels => "a list of values as the key has them".to_owned(),
    }
}

/// A good value as it stands in the file; `None` for tables.
pub(crate) fn example(key: &str, shape: &Shape) -> Option<String> {
    Some(match shape {
        Shape::Quantity { example, .. } => format!("\"{example}\""),
        Shape::Number => "0.5".to_owned(),
        Shape::Whole => if key == "format" { "1" } else { "12" }.to_owned(),
        Shape::Ratio => "\"0.7\"".to_owned(),
        Shape::Flag => "true".to_owned(),
        Shape::Text => "\"wide\"".to_owned(),
        Shape::Target => "\"M 42\"".to_owned(),
        Shape::Words { words } => format!("\"{}\"", words.first()?),
        Shape::OffsetDateTime => "2027-03-06T20:30:00+01:00".to_owned(),
        Shape::TimeOfDay => "\"23:40\"".to_owned(),
        Shape::Comparison(inner) => format!("\">= {}\"", example(key, inner)?.trim_matches('"')),
        Shape::List(inner, _) => format!("[{}]", example(key, inner)?),
        Shape::Pair(inner) => {
            let one = example(key, inner)?;
            format!("[{one}, {one}]")
        }
        Shape::Either(several) => example(key, several.first()?)?,
        Shape::Overrides => "{ alignment.method = \"two-star\" }".to_owned(),
        Shape::Levels => "[\"0 deg\", \"1 deg\"]".to_owned(),
        Shape::Table(_) => return None,
    })
}

/// How a missing key is mended.
pub(crate) fn expectation(shape: &Shape, key: &str) -> String {
    match example(key, shape) {
        Some(value) => format!("add a line such as {key} = {value}"),
        None => format!("add a section [{key}]"),
    }
}

/// The path of a key of this name, or nearly this name, that stands in another table.
pub(crate) fn nearest_path(parent: &str, key: &str) -> Option<&'static str> {
    let last = |path: &'static str| path.rsplit('.').next().unwrap_or(path);
    let others = || key_table().iter().map(|doc| doc.path.as_str()).filter(|path| !path.contains("[]"));
    let same_section = |path: &&str| parent.split('.').next() == path.split('.').next();
    let exact = || others().filter(|path| last(path) == key);
    if let Some(path) = exact().find(same_section).or_else(|| exact().next()) {
        return Some(path);
    }
    let near = units::nearest(key, others().map(last))?;
    others().find(|path| last(path) == near)
}
