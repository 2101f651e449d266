//! The manual's page of faults, made from the table.

use crate::kinds::{Group, Kind};
use crate::read::PARAMETER_KEYS;
use std::fmt::Write as _;

const PREFACE: &str = include_str!("page/preface.md");

/// The text of `docs/reference/faults.md`.
pub fn reference_page() -> String {
    let mut page = PREFACE.to_owned();
    page.push_str("\n## The envelope\n\n| key | value | meaning |\n|---|---|---|\n");
    for (key, value, meaning) in PARAMETER_KEYS {
        // Writing into a text can't fail.
        let _ = writeln!(page, "| `{key}` | {value} | {meaning} |");
    }
    let groups = [
        (Group::Bytes, "Bytes on the wire"),
        (Group::Lines, "Lines on the wire"),
        (Group::Link, "The connection"),
        (Group::Computer, "The mount's computer"),
        (Group::Machine, "Motors, switches and the clock"),
    ];
    for (group, title) in groups {
        let _ = write!(page, "\n## {title}\n\n| kind | keys of its own | what happens |\n|---|---|---|\n");
        for kind in Kind::ALL.iter().filter(|kind| kind.doc().group == group) {
            let doc = kind.doc();
            let keys: Vec<String> = doc.parameters.iter().map(|key| format!("`{key}`")).collect();
            let _ = writeln!(page, "| `{}` | {} | {} |", doc.word, keys.join(", "), doc.meaning);
        }
    }
    page
}
