//! What can't be used is refused with its message before any work: status 2 for what was given, 3 for the outside.

mod common;

use common::{Run, fixtures, nightbench, run, run_with_input, scenarios};
use std::fs;
use std::path::Path;

/// A night as small as it can be.
const SMALLEST: &str = "format = 1\n[night]\nbegin = 2027-03-06T20:30:00+01:00\nlength = \"1 h\"\n\
                        [site]\nlatitude = \"40.5 deg\"\nlongitude = \"-4.5 deg\"\n\
                        [mount]\nkind = \"german-equatorial\"\ngrade = \"perfect\"\n";

fn refused(run: &Run, status: i32, message: &str) {
    assert_eq!((run.status, run.out.as_str(), run.err.as_str()), (status, "", message), "{}", run.err);
}

/// Runs `nightbench night FILE` for a file of these bytes.
fn night_of(bytes: &[u8]) -> Run {
    let top = tempfile::tempdir().unwrap();
    fs::write(top.path().join("night.toml"), bytes).unwrap();
    let run = run(top.path(), &["night", "night.toml"]);
    assert!(!top.path().join("nightbench-out").exists(), "a folder was made for nothing");
    run
}

#[test]
fn every_bad_scenario_is_refused_with_its_golden_message() {
    let folder = fixtures("bad");
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    for name in scenarios(&folder) {
        let expected = fs::read_to_string(folder.join(name.replace(".toml", ".err"))).unwrap();
        let night = run(&folder, &["night", &name, "--out", out.to_str().unwrap()]);
        refused(&night, 2, &expected);
        assert!(!out.exists(), "{name}: a folder was made for nothing");
        refused(&run(&folder, &["check", &name]), 2, &expected);
    }
}

#[test]
fn a_file_over_a_mebibyte() {
    let mut bytes = SMALLEST.as_bytes().to_vec();
    bytes.resize(1_048_577, b'#');
    let expected = "error: the file has 1048577 bytes; 1048576 are the most\n  at night.toml:1:1\n  \
                    a scenario is a page or two of text: is this the right file?\n";
    refused(&night_of(&bytes), 2, expected);
}

#[test]
fn a_file_without_end() {
    if Path::new("/dev/zero").exists() {
        let top = tempfile::tempdir().unwrap();
        let run = run(top.path(), &["check", "/dev/zero"]);
        assert!(run.status == 2 && run.err.contains("1048576 are the most"), "{run:?}");
    }
}

#[test]
fn a_file_that_is_no_utf_8() {
    // In Latin-1, the é is a byte of its own.
    let bytes = [SMALLEST.as_bytes(), b"# caf\xe9\n"].concat();
    let expected = format!(
        "error: byte {} of the file is no UTF-8 text\n  at night.toml:11:6\n    |\n 11 | # caf\u{fffd}\n    |      ^ \
         save the file as UTF-8 text\n",
        SMALLEST.len() + 6
    );
    refused(&night_of(&bytes), 2, &expected);
}

#[test]
fn a_missing_file_and_a_folder() {
    let top = tempfile::tempdir().unwrap();
    let expected = "error: there is no file `no\u{fffd}where.toml`; name a scenario file, or none for the built-in night\n";
    refused(&run(top.path(), &["night", "no\u{1b}where.toml"]), 2, expected);
    fs::create_dir(top.path().join("nights")).unwrap();
    let expected = "error: `nights` is a folder; name a scenario file in it\n";
    refused(&run(top.path(), &["night", "nights"]), 2, expected);
    refused(&run(top.path(), &["check", "nights"]), 2, expected);
}

#[test]
fn a_mistake_on_standard_input() {
    let top = tempfile::tempdir().unwrap();
    let run = run_with_input(top.path(), &["night", "-"], SMALLEST.replace("40.5 deg", "95 deg").as_bytes());
    assert_eq!(run.status, 2);
    assert!(run.err.contains("\n  in site.latitude\n  at standard input:6:"), "{}", run.err);
}

#[test]
fn an_output_folder_that_can_not_be_written() {
    let top = tempfile::tempdir().unwrap();
    fs::write(top.path().join("night.toml"), SMALLEST).unwrap();
    let expected = "error: the output folder `night.toml` is no folder; move what is there, or name another folder \
                    (--out)\n";
    refused(&run(top.path(), &["night", "night.toml", "--out", "night.toml"]), 3, expected);
    let below = run(top.path(), &["night", "night.toml", "--out", "night.toml/below"]);
    assert_eq!(below.status, 3);
    assert!(
        below.err.starts_with("error: the output folder `night.toml/below` can't be made ("),
        "{}",
        below.err
    );
    assert!(below.err.ends_with("); name a folder that can be made (--out)\n"), "{}", below.err);
}

#[test]
fn a_bad_scenario_is_said_before_a_bad_folder() {
    let top = tempfile::tempdir().unwrap();
    fs::write(top.path().join("night.toml"), "format = 2\n").unwrap();
    assert_eq!(run(top.path(), &["night", "night.toml", "--out", "night.toml"]).status, 2);
}

#[test]
fn an_option_that_there_is_none() {
    let top = tempfile::tempdir().unwrap();
    for arguments in [
        &["night", "--sed", "7"][..],
        &["night", "--seed", "9007199254740992"],
        &["night", "--seed", "-1"],
        &["night", "--quiet", "--json"],
        &["check"],
        &["dance"],
    ] {
        let run = run(top.path(), arguments);
        assert!(
            run.status == 2 && run.out.is_empty() && run.err.starts_with("error: "),
            "{arguments:?}: {run:?}"
        );
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_result_that_nobody_can_store() {
    let top = tempfile::tempdir().unwrap();
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output =
        nightbench(top.path(), &["check", fixtures("built-in").join("school-field.toml").to_str().unwrap()])
            .stdout(full)
            .output()
            .unwrap();
    assert_eq!(output.status.code(), Some(3));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.starts_with("error: the result can't be written to standard output: "), "{said}");
}
