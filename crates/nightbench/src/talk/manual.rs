//! Help at the prompt: more of it than fits into a reply.

use protocol::verbs::{self, VERBS, Verb};
use std::fmt::Write;

/// Whether a line asks for help that this program can give itself.
pub fn is_question(line: &str) -> bool {
    let mut words = line.split_whitespace();
    let asks = words.next().is_some_and(|word| word.eq_ignore_ascii_case("help"));
    let known = match words.next() {
        None => true,
        Some(verb) => verbs::find(&verb.to_ascii_lowercase()).is_some(),
    };
    asks && known && words.next().is_none()
}

/// All verbs, or one of them with its keys.
pub fn answer(line: &str) -> String {
    let verb = line.split_whitespace().nth(1).and_then(|word| verbs::find(&word.to_ascii_lowercase()));
    match verb {
        Some(verb) => about(verb),
        None => {
            let width = VERBS.iter().map(|verb| verb.name.len()).max().unwrap_or(0);
            let mut text = String::new();
            for verb in VERBS {
                let _ = writeln!(text, "{:width$}  {}", verb.name, verb.purpose);
            }
            text.push_str(
                "\n`help goto` tells about one of them; the tab key completes verbs, keys, words and names\n",
            );
            text
        }
    }
}

fn about(verb: &Verb) -> String {
    let mut text = format!("{}: {}\n", verb.name, verb.purpose);
    if !verb.notes.is_empty() {
        let _ = writeln!(text, "{}", verb.notes);
    }
    let width = verb.keys.iter().map(|key| key.name.len()).max().unwrap_or(0);
    for key in verb.keys {
        let _ = writeln!(text, "  {:width$}  {}: {}", key.name, key.kind.described(), key.meaning);
    }
    let example = protocol::dialogue(verb.name);
    if !example.is_empty() {
        let _ = writeln!(text, "\n{example}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn help_is_given_for_what_there_is() {
        assert!(is_question("help") && is_question("HELP goto") && !is_question("help nonsense"));
        assert!(!is_question("helpless") && !is_question("help goto now"));
        assert!(answer("help").contains("goto") && answer("help goto").contains("solution"));
        for verb in VERBS {
            assert!(answer(&format!("help {}", verb.name)).contains(verb.purpose));
        }
    }
}
