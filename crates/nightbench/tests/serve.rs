//! `serve`, `talk` and `vet` as a user meets them: what they print, with which status they end, what they leave.
#![cfg(target_os = "linux")]

mod common;

use common::served::Served;
use common::{Run, run, run_with_input};
use std::path::Path;
use std::time::Duration;

fn with_input(arguments: &[&str], input: &str) -> Run {
    run_with_input(Path::new("."), arguments, input.as_bytes())
}

#[test]
fn it_says_how_to_connect_and_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mount");
    for signal in [rustix::process::Signal::INT, rustix::process::Signal::TERM] {
        let mut served = Served::begin(&["serve", "--tcp", "127.0.0.1:0", "--pty", path.to_str().unwrap()]);
        let tcp = served.line();
        assert!(tcp.starts_with("tcp ") && tcp.contains("nightbench talk 127.0.0.1:"), "{tcp}");
        assert!(served.line().starts_with("pty "));
        assert_eq!(served.line(), "end it with Ctrl-C");
        assert!(path.exists());
        assert_eq!(served.signal(signal).code(), Some(0));
        assert!(!path.is_symlink());
    }
}

#[test]
fn lines_are_piped_and_the_status_says_whether_any_was_refused() {
    let (_served, address) = Served::on_a_free_port(&["--speed", "100"]);
    let good = with_input(&["talk", &address, "--finish"], "identify\n\ngoto name=Regulus\nstatus\n");
    assert_eq!(good.status, 0, "{}", good.err);
    let said = good.out;
    let mut lines = said.lines();
    assert!(lines.next().unwrap().starts_with("ok device=nightbench kind=german-equatorial"));
    assert!(lines.next().unwrap().starts_with("ok job=1 "));
    assert_eq!(lines.next().unwrap(), "* arrived job=1 target=Regulus");
    assert!(lines.next().unwrap().starts_with("ok state=tracking "));
    let bad = with_input(&["talk", &address], "site height=440\nidentify\nquit\nstop\n");
    assert_eq!(bad.status, 1);
    let said = bad.out;
    assert!(said.starts_with("no 14 bad-value ") && said.lines().count() == 2, "{said}");
}

#[test]
fn a_token_is_needed_where_one_was_set() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("token");
    std::fs::write(&file, "a-long-and-secret-word\n").unwrap();
    let file = file.to_str().unwrap();
    let (_served, address) = Served::on_a_free_port(&["--token-file", file]);
    assert_eq!(with_input(&["talk", &address], "stop\n").status, 3);
    assert_eq!(with_input(&["talk", &address, "--token-file", file], "stop\n").status, 0);
}

#[test]
fn what_cannot_be_served_ends_at_once_with_its_status() {
    let (_served, address) = Served::on_a_free_port(&[]);
    for (arguments, status, said) in [
        (&["--tcp", &address][..], 3, "is taken by another program"),
        (&["--tcp", "0.0.0.0:0"], 2, "--allow-remote"),
        (&["--tcp", "0.0.0.0:0", "--allow-remote"], 2, "token"),
        (&["--pty", "/nowhere/at/all/mount"], 3, "pseudo-terminal"),
        (&["--pty", "./mount@fast"], 2, "no speed"),
        (&["--serial", "/nowhere/at/all"], 2, "names no speed"),
        (&["--serial", "/nowhere/at/all@9600"], 3, "can't open the serial device"),
        (&["--scenario", "/nowhere/at/all.toml"], 2, "there is no file"),
    ] {
        let Run { status: ended, err: told, .. } = run(Path::new("."), &[&["serve"], arguments].concat());
        assert_eq!(ended, status, "{arguments:?}: {told}");
        assert!(told.contains(said), "{arguments:?}: {told}");
    }
}

#[test]
fn vetting_tells_by_table_json_and_status() {
    let folder = tempfile::tempdir().unwrap();
    let report = folder.path().join("report.xml");
    let (served, address) = Served::on_a_free_port(&["--speed", "20"]);
    let table = with_input(&["vet", &address, "--may-move", "--junit", report.to_str().unwrap()], "");
    let said = table.out;
    assert_eq!(table.status, 0, "{said}");
    assert!(said.contains("passed   101  ") && said.contains(" 0 failed, 0 not applicable"), "{said}");
    assert!(std::fs::read_to_string(report).unwrap().contains("failures=\"0\""));
    let json = with_input(&["vet", &address, "--json"], "");
    let findings: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(findings[0]["number"], 101);
    assert_eq!(findings[0]["verdict"], "passed");
    drop(served);
    assert_eq!(with_input(&["vet", &address], "").status, 3);
    assert_eq!(with_input(&["vet", "nowhere"], "").status, 2);
}

#[test]
fn a_stepped_mount_stands_still_until_a_client_lets_time_pass() {
    let (_served, address) = Served::on_a_free_port(&["--stepped", "--allow-faults"]);
    let lines = "goto name=Regulus\nclock\nclock until=event within=2min\nclock\nfault kind=brown-out\nclock by=10s\n";
    let output = with_input(&["talk", &address], lines);
    assert_eq!(output.status, 0, "{}", output.err);
    let said = output.out;
    let (events, replies): (Vec<&str>, Vec<&str>) = said.lines().partition(|line| line.starts_with('*'));
    assert_eq!(events, ["* arrived job=1 target=Regulus", "* restarted"]);
    assert!(replies[0].starts_with("ok job=1 "), "{said}");
    assert_eq!(replies[1], "ok elapsed=0.000000s moved=0.000000s event=none");
    let elapsed = replies[2].strip_prefix("ok ").and_then(|rest| rest.split(' ').next()).expect("a reply");
    assert!(replies[2].ends_with(" event=arrived"), "{said}");
    assert_eq!(replies[3], format!("ok {elapsed} moved=0.000000s event=none"));
    assert_eq!(replies[4], "ok fault=1");
    // Where nothing was said of it, time passes by itself and nobody may order a fault.
    let (_unstepped, address) = Served::on_a_free_port(&[]);
    for line in ["clock by=1s\n", "fault kind=stall\n"] {
        let refused = with_input(&["talk", &address], line);
        assert!(refused.out.starts_with("no 24 not-allowed "), "{line}");
    }
}

#[test]
fn a_served_mount_writes_its_journal_even_if_it_is_killed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("served.journal");
    let journal = path.to_str().unwrap();
    let replay = || with_input(&["night", "--replay", journal], "");
    for signal in [rustix::process::Signal::TERM, rustix::process::Signal::KILL] {
        let (mut served, address) = Served::on_a_free_port(&["--journal", journal, "--speed", "50"]);
        let talked =
            with_input(&["talk", &address, "--finish"], "goto name=Regulus\nstatus\nsite height=1\n");
        assert_eq!(talked.status, 1, "{}", talked.err);
        written_within_a_minute(&path, "site height=1\n");
        served.signal(signal);
        let played = replay();
        assert_eq!(played.status, 0, "{}", played.out);
        let ended = std::fs::read_to_string(&path).unwrap().contains(" end ");
        assert_eq!(ended, signal == rustix::process::Signal::TERM);
    }
    let output = run(Path::new("."), &["serve", "--journal", "/nowhere/at/all"]);
    assert_eq!(output.status, 3, "{}", output.err);
}

#[test]
fn a_seed_draws_the_same_night_as_for_night() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("served.journal");
    let journal = path.to_str().unwrap();
    let study = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/sweeps/geometry_alone.toml");
    let (mut served, address) =
        Served::on_a_free_port(&["--scenario", study, "--seed", "7", "--stepped", "--journal", journal]);
    let talked = with_input(&["talk", &address], "status\n");
    assert_eq!(talked.status, 0, "{}", talked.err);
    served.signal(rustix::process::Signal::TERM);
    // The journal names its seed; a journal of a night with other draws is refused.
    let played = with_input(&["night", study, "--replay", journal], "");
    assert_eq!(played.status, 0, "{}", played.err);
}

#[allow(clippy::disallowed_methods, reason = "a test of a process waits for it")]
fn written_within_a_minute(path: &Path, part: &str) {
    for _ in 0..6000 {
        if std::fs::read_to_string(path).is_ok_and(|written| written.contains(part)) {
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("`{part}` was not written");
}
