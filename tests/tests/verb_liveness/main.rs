//! Every verb and every key of the line language has an effect, on a real world, and it is the expected one.
//!
//! For each verb there is a row for itself and one for each of its keys (and for its bare word, if it takes one). A verb
//! or key without a row fails here, and so does a row whose verb or key is gone. Refusals are provoked one by one.

mod owed;
mod refusals;
mod rows;

use owed::OWED;
use protocol::verbs::VERBS;
use rows::ROWS;
use tests::mount::Mount;

/// One verb, or one of its keys.
pub struct Row {
    /// The verb.
    pub verb: &'static str,
    /// A key; empty for the verb itself; `TOPIC` for the bare word after it.
    pub key: &'static str,
    /// Does it to a mount that was just switched on, and holds what must come of it.
    pub holds: fn(&mut Mount),
}

/// Stands for the bare word that may follow a verb.
pub const TOPIC: &str = "a bare word";

#[test]
fn every_verb_and_key_has_a_row() {
    let mut wanted: Vec<(&str, &str)> = Vec::new();
    for verb in VERBS {
        wanted.push((verb.name, ""));
        wanted.extend(verb.keys.iter().map(|key| (verb.name, key.name)));
        if !verb.topic.is_empty() {
            wanted.push((verb.name, TOPIC));
        }
    }
    let rows: Vec<(&str, &str)> = ROWS.iter().map(|row| (row.verb, row.key)).collect();
    let mut complaints: Vec<String> = Vec::new();
    for (verb, key) in wanted.iter().filter(|one| !rows.contains(one) && !OWED.contains(one)) {
        complaints.push(format!("`{verb} {key}` has no row"));
    }
    for (verb, key) in rows.iter().filter(|one| !wanted.contains(one)) {
        complaints.push(format!("`{verb} {key}` has a row but is not in the table of verbs"));
    }
    for (verb, key) in OWED.iter().filter(|one| rows.contains(one) || !wanted.contains(one)) {
        complaints.push(format!("`{verb} {key}` is owed no row any more"));
    }
    tests::hold("verbs and rows", &complaints);
}

#[test]
fn every_verb_and_key_does_what_it_says() {
    for row in ROWS {
        (row.holds)(&mut Mount::of_the_shared_night());
    }
}

/// Every field that the table of verbs promises is in some reply, and no reply has another.
#[test]
fn replies_have_the_fields_of_the_table() {
    for verb in VERBS.iter().filter(|verb| !OWED.contains(&(verb.name, ""))) {
        let mut said: Vec<String> = Vec::new();
        for line in rows::lines_of(verb.name) {
            let reply = Mount::of_the_shared_night().ask(line);
            let fields = reply.outcome.unwrap_or_else(|refusal| panic!("`{line}` was refused: {refusal:?}"));
            said.extend(fields.into_iter().map(|(key, _)| key));
        }
        for field in verb.reply {
            assert!(said.iter().any(|key| key == field.name), "{} never says {}", verb.name, field.name);
        }
        for key in &said {
            assert!(verb.reply.iter().any(|field| field.name == key), "{} says {key}, unlisted", verb.name);
        }
    }
}
