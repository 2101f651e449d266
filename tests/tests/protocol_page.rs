//! The manual's page of the line language: no example in it that a test has not run, and no line that is out of date.

use protocol::verbs::VERBS;
use protocol::{RawRequest, Request, check, dialogue, read_event, read_reply, reference_page};
use tests::mount::Mount;
use tests::text_of;

const PAGE: &str = "docs/reference/protocol.md";

#[test]
fn the_page_is_up_to_date() {
    let made = reference_page();
    let kept = text_of(PAGE);
    let line = made.lines().zip(kept.lines()).take_while(|(made, kept)| made == kept).count() + 1;
    assert!(
        made == kept,
        "{PAGE} is out of date from line {line} on: run `cargo run -p protocol --example protocol_page > {PAGE}`"
    );
}

/// One line of a dialogue.
enum Step<'a> {
    /// The client sends.
    Sent(&'a str),
    /// The mount says.
    Said(&'a str),
    /// Seconds pass.
    Passes(f64),
}

/// A page that people write their clients by.
const CLIENT_PAGE: &str = "docs/how-to/write-a-client.md";

/// The examples of both pages, each as a heading and its lines.
fn examples() -> Vec<(String, String)> {
    [examples_of(&reference_page()), vec![(CLIENT_PAGE.to_owned(), whole_talk(&text_of(CLIENT_PAGE)))]]
        .concat()
}

/// All examples of a page as one talk.
fn whole_talk(page: &str) -> String {
    examples_of(page).into_iter().map(|(_, lines)| lines).collect()
}

fn examples_of(page: &str) -> Vec<(String, String)> {
    let mut heading = String::new();
    let mut examples: Vec<(String, String)> = Vec::new();
    let mut inside = false;
    for line in page.lines() {
        match line {
            "```text" => {
                inside = true;
                examples.push((heading.clone(), String::new()));
            }
            "```" => inside = false,
            _ if inside => {
                let (_, text) = examples.last_mut().expect("one was just begun");
                text.push_str(line);
                text.push('\n');
            }
            _ if line.starts_with('#') => heading = line.trim_start_matches(['#', ' ']).to_owned(),
            _ => {}
        }
    }
    examples
}

fn steps(example: &str) -> Vec<Step<'_>> {
    example
        .lines()
        .map(|line| {
            let passes = || line.strip_prefix('(')?.strip_suffix(" s)")?.parse().ok();
            if let Some(sent) = line.strip_prefix("> ") {
                Step::Sent(sent)
            } else if let Some(said) = line.strip_prefix("< ") {
                Step::Said(said)
            } else if let Some(seconds) = passes() {
                Step::Passes(seconds)
            } else {
                panic!("`{line}` is no line of a dialogue")
            }
        })
        .collect()
}

/// Plays an example on a mount that was just switched on; what was said, as a dialogue again.
fn played(example: &str) -> String {
    let mut mount = Mount::of_the_shared_night();
    let mut text = String::new();
    let mut push = |line: String| {
        text.push_str(&line);
        text.push('\n');
    };
    for step in steps(example) {
        match step {
            Step::Sent(line) => {
                push(format!("> {line}"));
                let reply = mount.send(format!("{line}\n").as_bytes());
                mount.events().into_iter().for_each(|event| push(format!("< {event}")));
                push(format!("< {reply}"));
            }
            Step::Passes(seconds) => {
                push(format!("({seconds} s)"));
                mount.wait(seconds);
                mount.events().into_iter().for_each(|event| push(format!("< {event}")));
            }
            Step::Said(_) => {}
        }
    }
    text
}

#[test]
fn every_example_is_true() {
    let complaints: Vec<String> = examples()
        .iter()
        .filter_map(|(heading, written)| {
            let played = played(written);
            (played != *written).then(|| format!("## {heading}\n{played}"))
        })
        .collect();
    tests::hold("examples that a mount plays otherwise; what it says", &complaints);
}

#[test]
fn every_verb_has_an_example_of_its_own() {
    let examples = examples();
    for verb in VERBS {
        assert!(dialogue(verb.name).contains("< "), "{} has no dialogue", verb.name);
        let own = examples.iter().find(|(heading, _)| heading == verb.name);
        let (_, text) = own.unwrap_or_else(|| panic!("{} has no example on the page", verb.name));
        let used = steps(text).iter().any(|step| {
            matches!(step, Step::Sent(line) if RawRequest::read(bare(line)).is_ok_and(|raw| raw.verb == verb.name))
        });
        assert!(used, "the example of {} does not use it", verb.name);
    }
}

/// A line without its check.
fn bare(line: &str) -> &str {
    match check::take(line) {
        check::Checked::Absent(body) | check::Checked::Good(body) => body,
        check::Checked::Bad => line,
    }
}

/// Every example reads by the grammar, in the direction in which it goes; requests read back from what they mean.
#[test]
fn every_example_is_of_the_grammar() {
    for (_, example) in examples() {
        for step in steps(&example) {
            match step {
                Step::Sent(line) => {
                    let raw =
                        RawRequest::read(bare(line)).unwrap_or_else(|(_, why)| panic!("`{line}`: {why:?}"));
                    if let Ok(request) = Request::from_raw(&raw) {
                        let again = RawRequest::read(&request.to_line()).expect("what is written reads");
                        assert_eq!(Request::from_raw(&again).as_ref(), Ok(&request), "`{line}`");
                    }
                }
                Step::Said(line) => {
                    let body = bare(line);
                    assert!(read_reply(body).is_some() != read_event(body).is_some(), "`{line}`");
                }
                Step::Passes(seconds) => assert!(seconds > 0.0),
            }
        }
    }
}
