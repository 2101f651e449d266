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

/// A client in a shell: goes to a star, lets the night's time pass, and hears of the arrival.
const CLIENT: &str = r#"exec 3<>/dev/tcp/127.0.0.1/{port}
printf '@1 goto name=Regulus\n@2 clock by=2min\n@3 status\n@4 clock by=5s\n' >&3
while read -r line <&3; do case $line in *@3*) exit 0;; esac; done; exit 1"#;

#[test]
fn a_journal_of_a_stepped_trial_plays_again_and_comes_out_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let night = night();
    let with = ["--with", "stall axis=hour after=5s lasts=10s", "--with", "late-reply chance=100% delay=1s"];
    let hold = |journal: &str| {
        let arguments =
            [&["trial", &night, "--journal", journal][..], &with, &["--", "bash", "-c", CLIENT]].concat();
        let done = run(folder.path(), &arguments);
        assert!(done.status == 1 && done.out.contains("it ended by itself"), "{}{}", done.out, done.err);
        std::fs::read_to_string(folder.path().join(journal)).unwrap()
    };
    let journal = hold("first.journal");
    assert_eq!(hold("second.journal"), journal);
    for part in [
        "\nallowed time-by-clients no-faults\nwith stall axis=hour after=5s lasts=10s\nwith late-reply ",
        " in 0 @2 clock by=2min\n",
        " struck stall\n",
        " wire 0 late-reply ",
        " close 0\n",
        " end ",
    ] {
        assert!(journal.contains(part), "`{part}` is not in {journal}");
    }
    let again = run(folder.path(), &["night", &night, "--replay", "first.journal"]);
    assert!(again.status == 0 && again.out.starts_with("the same: "), "{}{}", again.out, again.err);

    // The first line that comes otherwise is named: one that was changed, and the one that a fault brought about.
    let changed = journal.replacen(" out 0 ok @2", " out 0 ok  @2", 1);
    let line = changed.lines().position(|line| line.contains("ok  @2")).unwrap() + 1;
    std::fs::write(folder.path().join("changed"), changed).unwrap();
    let found = run(folder.path(), &["night", &night, "--replay", "changed"]);
    assert!(found.status == 1 && found.out.starts_with(&format!("line {line} differs\n")), "{}", found.out);
    let calm = journal.replacen("with stall axis=hour after=5s lasts=10s\n", "", 1);
    std::fs::write(folder.path().join("calm"), calm).unwrap();
    let found = run(folder.path(), &["night", &night, "--replay", "calm"]);
    assert!(found.status == 1 && found.out.contains("expected: "), "{}", found.out);
    assert!(found.out.contains(" struck stall\n  got: "), "{}", found.out);
    // A fault that is none.
    let spoilt = journal.replacen("with stall ", "with mist ", 1);
    std::fs::write(folder.path().join("spoilt"), spoilt).unwrap();
    let found = run(folder.path(), &["night", &night, "--replay", "spoilt"]);
    assert!(
        found.status == 2 && found.err.contains("`spoilt`") && found.err.contains("mist"),
        "{}",
        found.err
    );
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
    for option in ["--journal", "--out"] {
        let (code, said) = status(&[&night, "--matrix", option, "kept", "--", "true"]);
        assert!(code == 2 && said.contains("cannot be used with"), "{said}");
    }
    let (code, said) = status(&[&night, "--journal", ".", "--", "true"]);
    assert!(code == 2 && said.contains("no name of a file") && said.contains("--journal"), "{said}");
    let (code, said) = status(&[&night, "--with", "stall\nafter=1s", "--", "true"]);
    assert!(code == 2 && said.contains("write it on one"), "{said}");
    std::fs::write(
        folder.path().join("bad.toml"),
        "format = 1\n[[request]]\nline = \"go\"\nsend = \"leap\"\n",
    )
    .unwrap();
    let (code, said) = status(&[&night, "--dialect", "bad.toml", "--", "true"]);
    assert!(code == 2 && said.contains("bad.toml: line 4, column 8: `leap` is no verb"), "{said}");
    assert_eq!(status(&[&night]).0, 2);
}

/// A client that can bear one lost reply and no more: it asks once again, and then gives up. The night's time passes by the verb
/// `clock`, which goes past all faults, so that it never waits in vain.
const ASKS_TWICE: &str = r#"exec 3<>/dev/tcp/127.0.0.1/{port}
printf '@0 clock by=2min\n' >&3
while read -r line <&3; do case $line in *"@0 "*) break;; esac; done
for try in 1 2; do
  printf '@1 goto name=Regulus\n@2 clock by=1s\n' >&3
  while read -r line <&3; do case $line in *"@1 "*) exit 0;; *"@2 "*) break;; esac; done
done
exit 1"#;

/// The evening of the fixture with troubles in place of what is expected of a program.
fn troubled(troubles: &[&str]) -> String {
    let text = std::fs::read_to_string(night()).unwrap();
    let (calm, _) = text.split_once("[expect]").unwrap();
    let tables = troubles.iter().map(|trouble| format!("[[disturb]]\nat = \"20:31\"\n{trouble}\n"));
    calm.to_owned() + &tables.collect::<String>()
}

/// One trial of a matrix: what it says of the only cell.
fn fewest(troubles: &[&str], script: &str) -> (bool, serde_json::Value, String) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("night.toml"), troubled(troubles)).unwrap();
    let matrix = |option: &str| {
        run(folder.path(), &["trial", "night.toml", "--matrix", option, "--", "bash", "-c", script])
    };
    let json = matrix("--json");
    let cell: serde_json::Value = serde_json::from_str(&json.out).unwrap_or_else(|_| panic!("{}", json.err));
    (cell["held"] == true, cell["fewest"].clone(), matrix("--jobs=1").out)
}

const FIRST_LOST: &str = "kind = \"lost-reply\"\nnth = 1";
const SECOND_CUT: &str = "kind = \"cut-line\"\ndirection = \"sent\"\nbytes = 1\nnth = 1";
const BOTH_LOST: &str = "kind = \"lost-reply\"\nnth = 1\nburst = 2";
const KNOCK: &str = "kind = \"knock\"\nhour_axis = \"3 arcmin\"";
const JUMP: &str = "kind = \"clock-jump\"\nby = \"2 s\"";
const LATE: &str = "kind = \"late-bytes\"\nnth = 40";

#[test]
fn a_failure_by_several_faults_is_shrunk_to_the_fewest_that_still_fail() {
    // Two of five, neither of which does it alone.
    let (held, fewest_found, said) = fewest(&[KNOCK, FIRST_LOST, JUMP, SECOND_CUT, LATE], ASKS_TWICE);
    // The second strikes the first line that the first lets through.
    let two = ["lost-reply sent number 1", "cut-line sent number 1 bytes 1"];
    assert_eq!((held, fewest_found), (false, serde_json::json!(two)), "{said}");
    assert!(said.contains(&format!("no more than: {}; {}\n", two[0], two[1])), "{said}");
    // One of five; without it two others are left that would do it together.
    let (held, fewest_found, said) = fewest(&[FIRST_LOST, KNOCK, BOTH_LOST, SECOND_CUT, JUMP], ASKS_TWICE);
    assert_eq!(
        (held, fewest_found),
        (false, serde_json::json!(["lost-reply sent number 1 burst 2"])),
        "{said}"
    );
    // None: it fails anyhow.
    let (held, fewest_found, said) = fewest(&[FIRST_LOST, KNOCK, JUMP, SECOND_CUT, LATE], "exit 3");
    assert_eq!((held, fewest_found), (false, serde_json::json!([])), "{said}");
    assert!(said.contains("fails still with nothing going wrong\n"), "{said}");
    // With one of the two it holds.
    let (held, fewest_found, said) = fewest(&[KNOCK, FIRST_LOST, JUMP, LATE], ASKS_TWICE);
    assert_eq!((held, fewest_found), (true, serde_json::Value::Null), "{said}");
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
    let alone = format!("alone: nightbench trial {night} --seed 2 --with 'freeze lasts=10s' ");
    assert!(done.out.contains(&alone) && done.out.contains(" -- sh -c 'exit 3'\n"), "{}", done.out);
}

/// The line that a matrix tells of a trial that failed holds just that trial: the same results, by the usual words of a kind.
#[test]
fn a_trial_of_a_matrix_is_held_again_alone() {
    let folder = tempfile::tempdir().unwrap();
    let night = night();
    let script = "exit 3";
    let done =
        run(folder.path(), &["trial", &night, "--matrix", "--with", "each-kind", "--", "sh", "-c", script]);
    let alone: Vec<&str> =
        done.out.lines().filter_map(|line| line.trim().strip_prefix("alone: nightbench ")).collect();
    assert_eq!(alone.len(), 37, "{}", done.out);
    for line in alone.iter().filter(|line| line.contains("echo") || line.contains("lost-bytes")) {
        let command = format!("\"$0\" {line}");
        let again = std::process::Command::new("sh")
            .args(["-c", &command, env!("CARGO_BIN_EXE_nightbench")])
            .current_dir(folder.path())
            .output()
            .unwrap();
        assert_eq!(again.status.code(), Some(1), "{line}: {}", String::from_utf8_lossy(&again.stderr));
    }
}
