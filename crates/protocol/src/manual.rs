//! The manual's page of the language, made from the table of verbs.

use crate::refusal::RefusalKind;
use crate::reply::EventKind;
use crate::verbs::{VERBS, Verb};
use std::fmt::Write;

/// What stands before the table of verbs: overview and grammar.
const PREFACE: &str = include_str!("manual/preface.md");

/// Example dialogues by verb; a test plays every one of them against a mount.
const DIALOGUES: &str = include_str!("manual/dialogues.txt");

/// The whole page `docs/reference/protocol.md`.
pub fn reference_page() -> String {
    let mut page = PREFACE.to_owned();
    page.push_str("\n## Verbs\n\n| verb | what it does |\n|---|---|\n");
    for verb in VERBS {
        let _ = writeln!(page, "| [`{0}`](#{0}) | {1} |", verb.name, verb.purpose);
    }
    for verb in VERBS {
        push_verb(&mut page, verb);
    }
    page.push_str("\n## Events\n\n| event | when |\n|---|---|\n");
    for kind in EventKind::ALL {
        let _ = writeln!(page, "| `{}` | {} |", kind.word(), kind.meaning());
    }
    page.push_str("\n## Refusals\n\nAny line may be refused with the numbers 10 to 20. Numbers and words never change their meaning.\n\n");
    page.push_str("| number | word | when |\n|---|---|---|\n");
    for kind in RefusalKind::ALL {
        let _ = writeln!(page, "| {} | `{}` | {} |", kind.number(), kind.word(), kind.meaning());
    }
    page
}

/// The dialogue that belongs to a verb, without its heading.
pub fn dialogue(verb: &str) -> &'static str {
    DIALOGUES
        .split("\n## ")
        .map(|part| part.trim_start_matches("## "))
        .find_map(|part| part.strip_prefix(verb).filter(|rest| rest.starts_with('\n')))
        .map_or("", str::trim)
}

fn push_verb(page: &mut String, verb: &Verb) {
    let _ = write!(page, "\n### {}\n\n{}", verb.name, verb.purpose);
    if !verb.notes.is_empty() {
        let _ = write!(page, " {}", verb.notes);
    }
    page.push_str("\n\n");
    if !verb.topic.is_empty() {
        let _ = writeln!(page, "A bare word may follow: {}.\n", verb.topic);
    }
    if !verb.keys.is_empty() {
        page.push_str("| key | value | meaning |\n|---|---|---|\n");
        for key in verb.keys {
            let _ = writeln!(page, "| `{}` | {} | {} |", key.name, key.kind.described(), key.meaning);
        }
        page.push('\n');
    }
    page.push_str("| reply field | meaning |\n|---|---|\n");
    for field in verb.reply {
        let _ = writeln!(page, "| `{}` | {} |", field.name, field.meaning);
    }
    if !verb.events.is_empty() {
        let words: Vec<String> = verb.events.iter().map(|kind| format!("`{}`", kind.word())).collect();
        let _ = writeln!(page, "\nEvents: {}.", words.join(", "));
    }
    if !verb.refusals.is_empty() {
        let words: Vec<String> =
            verb.refusals.iter().map(|kind| format!("{} `{}`", kind.number(), kind.word())).collect();
        let _ = writeln!(page, "\nRefusals of its own: {}.", words.join(", "));
    }
    let _ = writeln!(page, "\n```text\n{}\n```", dialogue(verb.name));
}
