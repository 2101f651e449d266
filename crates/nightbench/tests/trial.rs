//! Programs on trial, as far as a shell is program enough.

mod common;

use common::{Run, run};
use std::path::Path;

fn night() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../fixtures/trials/short_evening.toml")
        .display()
        .to_string()
}

fn trial(arguments: &[&str], script: &str) -> Run {
    let folder = tempfile::tempdir().unwrap();
    let night = night();
    let all = [&["trial", night.as_str()], arguments, &["--", "sh", "-c", script]].concat();
    run(folder.path(), &all)
}

#[test]
fn a_program_that_does_nothing_never_connected() {
    let done = trial(&[], "exit 0");
    assert_eq!(done.status, 1, "{}", done.err);
    assert!(done.out.contains("it never connected"), "{}", done.out);
}

#[test]
fn a_program_that_fails_or_crashes_is_told_so() {
    let done = trial(&["--json"], "echo port $NIGHTBENCH_PORT >&2; exit 7");
    assert_eq!(done.status, 1);
    assert!(
        done.out.contains("\"ending\": \"failed\"") && done.out.contains("with status 7"),
        "{}",
        done.out
    );
    assert!(done.err.contains("port "), "{}", done.err);
    let done = trial(&["--json"], "kill -9 $$");
    assert!(done.out.contains("\"ending\": \"crashed\"") && done.out.contains("signal 9"), "{}", done.out);
}

#[test]
fn the_program_is_told_its_targets_and_its_address() {
    let done = trial(
        &[],
        "printf '%s\\n' \"$NIGHTBENCH_TARGETS\" \"$NIGHTBENCH_CLOCK\" >&2; test {address} = $NIGHTBENCH_ADDRESS",
    );
    assert!(done.err.contains("30s goto name=Regulus\n30s goto name=Denebola\nstepped"), "{}", done.err);
    // It ended well, but for never having connected.
    assert!(done.out.contains("it never connected"), "{}", done.out);
}

#[test]
fn a_seed_draws_the_same_night_as_for_night() {
    let folder = tempfile::tempdir().unwrap();
    let study = common::fixtures("../sweeps/geometry_alone.toml").display().to_string();
    let setup = |night: &str| serde_json::from_str::<serde_json::Value>(night).unwrap()["setup"].clone();
    let night = |seed: &str| setup(&run(folder.path(), &["night", &study, "--seed", seed, "--json"]).out);
    let done = run(folder.path(), &["trial", &study, "--seed", "7", "--out", "tried", "--", "true"]);
    let tried = std::fs::read_to_string(folder.path().join("tried/night.json"))
        .unwrap_or_else(|error| panic!("{error}: {}", done.err));
    let tried = setup(&tried);
    assert!(tried.as_array().is_some_and(|rows| !rows.is_empty()), "{tried}");
    assert_eq!(tried, night("7"));
    // 1 is the file's own.
    assert_ne!(tried, night("1"));
}

#[test]
fn a_matrix_reads_standard_input_once_for_all_its_seeds() {
    let folder = tempfile::tempdir().unwrap();
    let night = std::fs::read(night()).unwrap();
    let arguments = ["trial", "-", "--matrix", "--seeds", "1..2", "--", "sh", "-c", "exit 3"];
    let done = common::run_with_input(folder.path(), &arguments, &night);
    assert_eq!(done.status, 1, "{}", done.err);
    assert!(done.out.ends_with("0 of 2 trials held\n"), "{}", done.out);
}

#[test]
fn what_can_not_be_used_is_said_before_anything_is_started() {
    let folder = tempfile::tempdir().unwrap();
    let night = night();
    let status = |arguments: &[&str]| {
        let done = run(folder.path(), &[&["trial"], arguments].concat());
        (done.status, done.err)
    };
    let (code, said) = status(&[&night, "--", "there-is-no-such-program"]);
    assert!(code == 2 && said.contains("can't be started"), "{said}");
    let (code, said) = status(&[&night, "--with", "lost-replies", "--", "true"]);
    assert!(code == 2 && said.contains("did you mean `lost-reply`?"), "{said}");
    let (code, said) = status(&[&night, &night, "--", "true"]);
    assert!(code == 2 && said.contains("add --matrix"), "{said}");
    std::fs::write(
        folder.path().join("bad.toml"),
        "format = 1\n[[request]]\nline = \"go\"\nsend = \"leap\"\n",
    )
    .unwrap();
    let (code, said) = status(&[&night, "--dialect", "bad.toml", "--", "true"]);
    assert!(code == 2 && said.contains("bad.toml: line 4, column 8: `leap` is no verb"), "{said}");
    assert_eq!(status(&[&night]).0, 2);
}

#[test]
fn a_matrix_tells_of_each_trial() {
    let folder = tempfile::tempdir().unwrap();
    let night = night();
    let done = run(
        folder.path(),
        &[
            "trial",
            &night,
            "--matrix",
            "--seeds",
            "1..2",
            "--with",
            "freeze lasts=10s",
            "--",
            "sh",
            "-c",
            "exit 3",
        ],
    );
    assert_eq!(done.status, 1, "{}", done.err);
    assert_eq!(done.out.matches("FAILED").count(), 4, "{}", done.out);
    assert!(
        done.out.contains("with freeze lasts=10s seed 2") && done.out.ends_with("0 of 4 trials held\n"),
        "{}",
        done.out
    );
}
