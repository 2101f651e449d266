//! A scenario of one's own: asked for, given by options, never over a file that is there.

mod common;

use common::{run, run_with_input};
use std::fs;

#[test]
fn empty_answers_make_a_night_that_plays() {
    let top = tempfile::tempdir().unwrap();
    // Nobody answers: the end of the input counts as an empty answer to each of the eight.
    let asked = run(top.path(), &["new"]);
    assert_eq!(asked.status, 0, "{}", asked.err);
    assert_eq!(asked.err.matches('?').count(), 8, "{}", asked.err);
    assert_eq!(asked.out, "written to my-night.toml; play it with `nightbench night my-night.toml`\n");
    let text = fs::read_to_string(top.path().join("my-night.toml")).unwrap();
    assert!(text.contains("begin = 2027-03-06T20:30:00+01:00") && text.contains("grade = \"mid-range\""));
    // Eight showpieces of a March evening are up, the nebula in Orion among them.
    assert_eq!(text.matches("[[observe]]").count(), 8);
    assert!(text.contains("target = \"M 42\""), "{text}");
    let night = run(top.path(), &["night", "my-night.toml", "--json"]);
    assert_eq!(night.status, 0, "{}", night.err);
    // The options say the same without a question.
    let silent = run(top.path(), &["new", "other.toml", "--no-questions"]);
    assert_eq!((silent.status, silent.err.as_str()), (0, ""));
    assert_eq!(fs::read_to_string(top.path().join("other.toml")).unwrap(), text);
}

#[test]
fn answers_are_taken_and_wrong_ones_asked_again() {
    let top = tempfile::tempdir().unwrap();
    let answers = "somewhere\n-33 deg, 19 deg, 20 m\n2027-07-05 21:00+02:00\nfork-equatorial\nancient\nloose\n200/2000 \
                   32/50\nhurried\n12\nomega Centauri, M 83\n";
    let asked = run_with_input(top.path(), &["new", "south.toml"], answers.as_bytes());
    assert_eq!(asked.status, 0, "{}", asked.err);
    assert!(asked.err.contains("`somewhere` is no place"), "{}", asked.err);
    assert!(asked.err.contains("`ancient` is none of them; write tight, usual, loose"), "{}", asked.err);
    let text = fs::read_to_string(top.path().join("south.toml")).unwrap();
    for part in [
        "latitude = \"-33deg\"",
        "begin = 2027-07-05T21:00:00+02:00",
        "kind = \"fork-equatorial\"",
        "grade = \"worn\"",
        "care = \"hurried\"",
        "visitors = 12",
        "target = \"M 83\"",
    ] {
        assert!(text.replace(" deg", "deg").contains(part), "{part} is missing in\n{text}");
    }
    assert_eq!(run(top.path(), &["check", "south.toml"]).status, 0);
}

#[test]
fn options_answer_and_what_is_wrong_in_them_is_said() {
    let top = tempfile::tempdir().unwrap();
    let given =
        |option: &str, value: &str| run(top.path(), &["new", "night.toml", "--no-questions", option, value]);
    for (option, value, part) in [
        ("--where", "95 deg, 0 deg", "--where: "),
        ("--when", "tomorrow", "--when: `tomorrow` is no instant"),
        ("--mount", "dog-cart", "--mount: `dog-cart` is none of them"),
        ("--tube", "150", "--tube: `150` can't be read"),
        ("--visitors", "-3", "--visitors: `-3` is no number of visitors"),
        ("--targets", "Nibiru", "--targets: "),
        ("--targets", " , ", "--targets: there is no name in it"),
    ] {
        let run = given(option, value);
        assert_eq!(run.status, 2, "{option} {value}");
        assert!(run.err.contains(part), "{option} {value}: {}", run.err);
        assert!(!top.path().join("night.toml").exists(), "{option} {value}");
    }
    let good = given("--targets", "Vega, M 13");
    assert_eq!((good.status, good.err.as_str()), (0, ""));
}

#[test]
fn a_file_that_is_there_stays() {
    let top = tempfile::tempdir().unwrap();
    fs::write(top.path().join("my-night.toml"), "mine").unwrap();
    let refused = run(top.path(), &["new", "--no-questions"]);
    assert_eq!(refused.status, 2);
    assert!(refused.err.contains("`my-night.toml` is there already and stays as it is"), "{}", refused.err);
    assert_eq!(fs::read_to_string(top.path().join("my-night.toml")).unwrap(), "mine");
    assert_eq!(run(top.path(), &["new", "no/such/folder.toml", "--no-questions"]).status, 3);
}
