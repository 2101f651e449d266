//! Completion at the prompt: verbs, keys, words, names of things in the sky.

use protocol::verbs::{self, VERBS, ValueKind};
use rustyline::Context;
use rustyline::completion::{Completer, Pair};
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::validate::Validator;

/// More candidates than this are no help.
const CANDIDATES_MOST: usize = 200;

/// What completes a line.
#[derive(Default)]
pub struct Completion;

impl Completer for Completion {
    type Candidate = Pair;

    fn complete(&self, line: &str, at: usize, _: &Context<'_>) -> rustyline::Result<(usize, Vec<Pair>)> {
        let (from, words) = candidates(&line[..at]);
        let pairs = words.into_iter().take(CANDIDATES_MOST);
        Ok((
            from,
            pairs.map(|word| Pair { display: word.trim_end().to_owned(), replacement: word }).collect(),
        ))
    }
}

impl Hinter for Completion {
    type Hint = String;
}
impl Highlighter for Completion {}
impl Validator for Completion {}
impl rustyline::Helper for Completion {}

/// Where the word that is being typed begins, and what it may become.
fn candidates(line: &str) -> (usize, Vec<String>) {
    // A name in quotes may have blanks: it begins at its key.
    if let Some(at) = line.rfind("=\"").filter(|at| !line[at + 2..].contains('"')) {
        let key = line[..at].rsplit(' ').next().unwrap_or_default();
        return (at + 1, values(line, key, &line[at + 2..]));
    }
    let from = line.rfind(' ').map_or(0, |blank| blank + 1);
    let word = &line[from..];
    let before = line[..from].split_whitespace().filter(|word| !word.starts_with('@')).count();
    if before == 0 {
        let verbs = VERBS.iter().map(|verb| verb.name).chain(["quit"]);
        return (from, beginning(word, verbs.map(|name| format!("{name} "))));
    }
    if let Some((key, begun)) = word.split_once('=') {
        return (from + key.len() + 1, values(line, key, begun));
    }
    let verb = verb_of(line);
    if verb.is_some_and(|verb| verb.name == "help") {
        return (from, beginning(word, VERBS.iter().map(|verb| verb.name.to_owned())));
    }
    let keys = verb.map_or(&[][..], |verb| verb.keys);
    let unused = keys.iter().filter(|key| !line[..from].contains(&format!(" {}=", key.name)));
    (from, beginning(word, unused.map(|key| format!("{}=", key.name))))
}

fn verb_of(line: &str) -> Option<&'static verbs::Verb> {
    let word = line.split_whitespace().find(|word| !word.starts_with('@'))?;
    verbs::find(&word.to_ascii_lowercase())
}

/// What a key's value may become.
fn values(line: &str, key: &str, begun: &str) -> Vec<String> {
    let key =
        verb_of(line).and_then(|verb| verb.keys.iter().find(|known| known.name.eq_ignore_ascii_case(key)));
    match key.map(|key| (key.name, key.kind)) {
        Some((_, ValueKind::Word(words))) => beginning(begun, words.iter().map(|word| (*word).to_owned())),
        Some(("name" | "star", ValueKind::Text)) => {
            let entries = sky::catalogue::Catalogue::embedded().all();
            let names = beginning(begun, entries.map(|entry| entry.name.clone()));
            names
                .into_iter()
                .map(|name| if name.contains(' ') { format!("\"{name}\"") } else { name })
                .collect()
        }
        _ => Vec::new(),
    }
}

/// Those that begin so, whatever the case, in order, none twice.
fn beginning(begun: &str, words: impl Iterator<Item = String>) -> Vec<String> {
    let begun = begun.to_ascii_lowercase();
    let mut found: Vec<String> = words.filter(|word| word.to_ascii_lowercase().starts_with(&begun)).collect();
    found.sort();
    found.dedup();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verbs_keys_words_and_names() {
        let complete = |line: &str| candidates(line);
        assert_eq!(complete("sto"), (0, vec!["stop ".to_owned()]));
        assert_eq!(complete("@1 got"), (3, vec!["goto ".to_owned()]));
        assert!(complete("goto n").1.contains(&"name=".to_owned()));
        assert_eq!(complete("status group=po"), (13, vec!["pointing".to_owned()]));
        assert_eq!(complete("help got"), (5, vec!["goto".to_owned()]));
        let (from, names) = complete("goto name=Betel");
        assert_eq!((from, &names[..]), (10, &["Betelgeuse".to_owned()][..]));
        let (from, names) = complete("goto name=\"M 4");
        assert!(from == 10 && names.contains(&"\"M 42\"".to_owned()), "{names:?}");
        assert!(complete("goto name=Vega n").1.is_empty(), "a key that is there is not offered again");
        assert!(complete("nonsense n").1.is_empty());
    }
}
