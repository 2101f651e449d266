use super::*;
use proptest::prelude::*;

#[track_caller]
fn check_refused(line: &str, expected: &str) {
    let (_, refusal) = RawRequest::read(line).unwrap_err();
    assert_eq!(refusal.sentence(), expected);
}

#[test]
fn a_line_with_everything() {
    let raw = RawRequest::read(" @17 GoTo  name=\"M 42\" side=auto note=\"a \\\"b\\\" \\\\\" ").unwrap();
    assert_eq!(raw.tag, Tag::new("17"));
    assert_eq!(raw.verb, "goto");
    let pairs: Vec<(&str, &str, usize)> =
        raw.pairs.iter().map(|p| (p.key.as_str(), p.value.as_str(), p.column)).collect();
    assert_eq!(pairs, [("name", "M 42", 12), ("side", "auto", 24), ("note", "a \"b\" \\", 34)]);
    let help = RawRequest::read("help goto").unwrap();
    assert_eq!(help.topic.as_deref(), Some("goto"));
}

#[test]
fn what_is_wrong_and_where() {
    check_refused("", "the end of the line at column 1: a verb was expected, such as status");
    check_refused("17 status", "`1` at column 1: a verb was expected, such as status");
    check_refused(
        "goto ra=",
        "the end of the line at column 9: a value was expected, in quotes if it has blanks",
    );
    check_refused("goto ra=5h =3", "`=` at column 12: key=value was expected");
    check_refused("goto name=\"M 42", "`\"` at column 11: a value was expected, in quotes if it has blanks");
    check_refused("goto name=\"M\"42", "`4` at column 14: a blank was expected");
}

#[test]
fn a_refusal_keeps_the_tag_that_could_be_read() {
    let (tag, _) = RawRequest::read("@a7 goto ra=").unwrap_err();
    assert_eq!(tag, Tag::new("a7"));
}

fn pair() -> impl Strategy<Value = Pair> {
    ("[a-z][a-z0-9_]{0,8}", "[ -~]{0,16}").prop_map(|(key, value)| Pair { key, value, column: 0 })
}

proptest! {
    #[test]
    fn printing_and_reading_are_inverse(
        tag in proptest::option::of("[a-zA-Z0-9]{1,8}"),
        verb in "[a-z][a-z-]{0,10}",
        topic in proptest::option::of("[a-z][a-z-]{0,10}"),
        pairs in proptest::collection::vec(pair(), 0..6),
    ) {
        let raw = RawRequest { tag: tag.and_then(|t| Tag::new(&t)), verb, topic, pairs };
        let mut back = RawRequest::read(&raw.to_line()).unwrap();
        for pair in &mut back.pairs {
            pair.column = 0;
        }
        prop_assert_eq!(back, raw);
    }

    #[test]
    fn no_line_panics(line in "[ -~]{0,80}") {
        let _ = RawRequest::read(&line);
    }
}
