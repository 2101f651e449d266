//! One text for all spellings of a plan: sorted keys, exact values, nothing that has no meaning.

use crate::plan::Plan;
use crate::value::{Form, Item, Value as _};
use sha2::{Digest as _, Sha256};

impl Plan {
    /// The plan as TOML: one line for each key, sorted, each value in its usual unit with all digits that its bits need.
    ///
    /// Reading it gives the same plan again.
    pub fn canonical_toml(&self) -> String {
        text(&lines(self, Form::Exact))
    }

    /// SHA-256 of what the plan says, in 64 hexadecimal digits: the same whatever the comments, the order of
    /// keys and the spelling of units, and for every seed.
    ///
    /// Numbers enter with 13 significant digits in their usual unit, so that `30 arcmin` is `0.5 deg` although their
    /// bits may differ.
    pub fn digest(&self) -> String {
        let mut lines = lines(self, Form::Rounded);
        lines.retain(|(path, _)| path != "night.seed");
        hexadecimal(&Sha256::digest(text(&lines).as_bytes()))
    }
}

/// Two hexadecimal digits for each byte.
pub(crate) fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn text(lines: &[(String, String)]) -> String {
    lines.iter().map(|(path, value)| format!("{path} = {value}\n")).collect()
}

/// Paths and values of all keys outside lists, sorted.
fn lines(plan: &Plan, form: Form) -> Vec<(String, String)> {
    let mut all = Vec::new();
    flatten("", &plan.print(form), &mut all);
    all.sort();
    all
}

fn flatten(path: &str, item: &Item, all: &mut Vec<(String, String)>) {
    match item {
        // A table without keys says nothing where it stands alone.
        Item::Table(entries) => {
            for (key, value) in entries {
                flatten(&crate::reader::join(path, key), value, all);
            }
        }
        other => all.push((path.to_owned(), inline(other))),
    }
}

pub(crate) fn inline(item: &Item) -> String {
    match item {
        Item::Atom(text) => text.clone(),
        Item::List(elements) => {
            let inner: Vec<String> = elements.iter().map(inline).collect();
            format!("[{}]", inner.join(", "))
        }
        Item::Table(_) => {
            let mut entries = Vec::new();
            flatten("", item, &mut entries);
            entries.sort();
            let inner: Vec<String> = entries.iter().map(|(key, value)| format!("{key} = {value}")).collect();
            if inner.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", inner.join(", ")) }
        }
    }
}

/// The paths of all keys that have a value, list places in brackets.
pub(crate) fn leaf_paths(plan: &Plan) -> Vec<String> {
    let mut all = Vec::new();
    walk("", &plan.print(Form::Exact), &mut all);
    all
}

fn walk(path: &str, item: &Item, all: &mut Vec<String>) {
    match item {
        Item::Atom(_) => all.push(path.to_owned()),
        Item::List(elements) => {
            for (index, element) in elements.iter().enumerate() {
                walk(&format!("{path}[{index}]"), element, all);
            }
        }
        Item::Table(entries) => {
            for (key, value) in entries {
                walk(&crate::reader::join(path, key), value, all);
            }
        }
    }
}

/// A text as a TOML basic string.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
