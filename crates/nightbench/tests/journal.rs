//! Journals from the command line: written, played again, refused; and the line that plays a failed night again.

mod common;

use common::{Run, fixtures, run};
use std::fs;
use std::path::Path;
use std::process::Command;

/// Plays the built-in night in a folder and writes its journal there.
fn journal_in(folder: &Path) -> String {
    let played = run(folder, &["night", "--journal", "night.journal", "--quiet"]);
    assert_eq!(played.status, 0, "{}", played.err);
    fs::read_to_string(folder.join("night.journal")).unwrap()
}

#[test]
fn a_night_and_its_replay() {
    let top = tempfile::tempdir().unwrap();
    let journal = journal_in(top.path());
    assert!(journal.starts_with("nightbench-journal 1\nversion "), "{journal:.200}");
    let again = run(top.path(), &["night", "--replay", "night.journal"]);
    assert_eq!(again.status, 0, "{}", again.out);
    assert!(again.out.starts_with("the same: ") && again.err.is_empty(), "{}{}", again.out, again.err);
    let early = run(top.path(), &["night", "--replay", "night.journal", "--until", "10 min", "--json"]);
    let answer: serde_json::Value = serde_json::from_str(&early.out).unwrap();
    assert_eq!((&answer["same"], &answer["seconds"]), (&true.into(), &600.0.into()));
    // Only the results' folder and the journal are there: a replay writes nothing.
    let mut names: Vec<_> =
        fs::read_dir(top.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, ["night.journal", "nightbench-out"]);

    let changed = journal.replacen(" out 0 ok ", " out 0 ok  ", 1);
    let line = changed.lines().position(|line| line.contains(" ok  ")).unwrap() + 1;
    fs::write(top.path().join("changed"), &changed).unwrap();
    let found = run(top.path(), &["night", "--replay", "changed"]);
    assert_eq!(found.status, 1);
    assert!(found.out.starts_with(&format!("line {line} differs\n  expected: ")), "{}", found.out);
    let found = run(top.path(), &["night", "--replay", "changed", "--json"]);
    let answer: serde_json::Value = serde_json::from_str(&found.out).unwrap();
    assert_eq!((&answer["same"], &answer["line"]), (&false.into(), &line.into()));

    // Cut in the middle of a line, as a full disk leaves it.
    let cut = &journal[..journal.floor_char_boundary(journal.len() * 2 / 3)];
    fs::write(top.path().join("cut"), cut.trim_end()).unwrap();
    let found = run(top.path(), &["night", "--replay", "cut"]);
    assert_eq!(found.status, 0, "{}", found.out);
    assert!(found.err.contains("cut short"), "{}", found.err);
}

#[test]
fn what_cannot_be_played_again_is_told_with_status_two() {
    let top = tempfile::tempdir().unwrap();
    let journal = journal_in(top.path());
    fs::write(top.path().join("binary"), b"\x00\xff\n").unwrap();
    fs::write(top.path().join("empty"), b"").unwrap();
    let spoilt = journal.replacen(" in 0 ", " sang 0 ", 1);
    let line = spoilt.lines().position(|line| line.contains(" sang 0 ")).unwrap() + 1;
    fs::write(top.path().join("spoilt"), spoilt).unwrap();
    let other = fixtures("good").join("smallest.toml");
    let other = other.to_str().unwrap();
    for (arguments, said) in [
        (&["--replay", "nothing"][..], "there is no journal `nothing`"),
        (&["--replay", "."], "is a folder"),
        (&["--replay", "binary"], "is no text"),
        (&["--replay", "empty"], "line 1 of the journal"),
        (&["--replay", "spoilt"], &format!("line {line} of the journal: `sang` is nothing")),
        (&["--replay", "night.journal", "--seed", "99"], "the journal is of seed"),
        (&[other, "--replay", "night.journal"], "the journal is of another scenario"),
        (&["--replay", "night.journal", "--until", "10"], "has no unit"),
        (&["--replay", "night.journal", "--until=-1 s"], "begins at 0 s"),
        (&["--until", "10 s"], "--replay"),
        (&["--replay", "night.journal", "--out", "folder"], "cannot be used with"),
    ] {
        let arguments: Vec<&str> = ["night"].iter().chain(arguments).copied().collect();
        let Run { status, err, .. } = run(top.path(), &arguments);
        assert_eq!(status, 2, "{arguments:?}: {err}");
        assert!(err.contains(said), "{arguments:?}: {err}");
    }
    // A folder can't be written as a file.
    let unwritten = run(top.path(), &["night", "--journal", "nightbench-out", "--quiet"]);
    assert_eq!(unwritten.status, 2, "{}", unwritten.err);
    assert!(unwritten.err.contains("--journal"), "{}", unwritten.err);
}

/// The line that a failed night prints plays the same night, with the same result.
#[test]
fn a_failed_night_prints_the_line_that_plays_it_again() {
    let top = tempfile::tempdir().unwrap();
    let name = "a night that fails.toml";
    let good = fs::read_to_string(fixtures("good").join("smallest.toml")).unwrap();
    let text = format!("{good}\n[[observe]]\ntarget = \"Regulus\"\n[expect]\nmiss_p95 = \"<= 0 arcsec\"\n");
    fs::write(top.path().join(name), text).unwrap();
    let failed = run(top.path(), &["night", name, "--json", "--seed", "12"]);
    assert_eq!(failed.status, 1, "{}", failed.err);
    let line =
        failed.err.lines().find_map(|line| line.strip_prefix("again: ")).expect("a line to play again");
    assert!(line.contains("--seed 12") && line.contains("  # version "), "{line}");
    let program = Path::new(env!("CARGO_BIN_EXE_nightbench")).parent().expect("it lies in a folder");
    let again = Command::new("sh")
        .args(["-c", line])
        .current_dir(top.path())
        .env("PATH", format!("{}:/usr/bin:/bin", program.display()))
        .output()
        .expect("there is a shell");
    assert_eq!(again.status.code(), Some(1));
    assert_eq!(String::from_utf8_lossy(&again.stdout), failed.out);
}
