//! Every verb and every key of the line language has an effect, on a real world, and it is the expected one.
//!
//! For each verb there is a row for itself and one for each of its keys (and for its bare word, if it takes one). A verb
//! or key without a row fails here, and so does a row whose verb or key is gone. Refusals are provoked one by one.

mod refusals;
mod rows;

use protocol::verbs::VERBS;
use rows::rows;
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
    let rows: Vec<(&str, &str)> = rows().map(|row| (row.verb, row.key)).collect();
    let mut complaints: Vec<String> = Vec::new();
    for (verb, key) in wanted.iter().filter(|one| !rows.contains(one)) {
        complaints.push(format!("`{verb} {key}` has no row"));
    }
    for (verb, key) in rows.iter().filter(|one| !wanted.contains(one)) {
        complaints.push(format!("`{verb} {key}` has a row but is not in the table of verbs"));
    }
    tests::hold("verbs and rows", &complaints);
}

#[test]
fn every_verb_and_key_does_what_it_says() {
    let complaints: Vec<String> = rows()
        .filter_map(|row| {
            // Each row has a mount of its own, which is gone with it: all that fails is told at once.
            let held = std::panic::catch_unwind(|| (row.holds)(&mut Mount::of_the_shared_night()));
            held.is_err().then(|| format!("`{} {}`, see above", row.verb, row.key))
        })
        .collect();
    tests::hold("a verb or key does not do what it should", &complaints);
}

/// Every field that the table of verbs promises is in some reply, and no reply has another.
#[test]
fn replies_have_the_fields_of_the_table() {
    for verb in VERBS {
        let mut said: Vec<String> = Vec::new();
        let mut play = |mount: &mut Mount, script: &[&str]| {
            let lines = script.iter().filter(|line| !line.starts_with('('));
            for (line, reply) in lines.zip(mount.play(script)) {
                if line.split(' ').next() == Some(verb.name) {
                    said.extend(reply.outcome.into_iter().flatten().map(|(key, _)| key));
                }
            }
        };
        for script in rows::scripts_of(verb.name) {
            play(&mut Mount::of_the_shared_night(), &script);
        }
        if verb.name == "limits" {
            play(&mut rows::alt_azimuth(), &["limits"]);
        }
        for field in verb.reply {
            assert!(said.iter().any(|key| key == field.name), "{} never says {}", verb.name, field.name);
        }
        for key in &said {
            assert!(verb.reply.iter().any(|field| field.name == key), "{} says {key}, unlisted", verb.name);
        }
    }
}
