//! Sweeps as their users run them: the same bytes whatever the threads, shards and interruptions; files that are trusted
//! or named.

#![allow(clippy::disallowed_methods, reason = "a test waits before it kills what it started")]

mod common;

use common::{Run, nightbench, run};
use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};
use sweep::{About, RowsFile};

const STUDY: &str = r#"
format = 1
[night]
title = "A small study"
begin = 2027-03-06T20:30:00+01:00
length = "3 h"
seed = 50
[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"
[mount]
kind = "german-equatorial"
[setup.entered]
clock_error = { normal = ["0 s", "20 s"] }
zone_error = { bernoulli = ["10 %", "1 h", "0 h"] }
[[observe]]
target = "Capella"
[[observe]]
target = "Regulus"
[[observe]]
target = "M 44"
[[disturb]]
at = { poisson = "2 h" }
kind = "knock"
hour_axis = { normal = ["0 arcmin", "3 arcmin"] }
[[vary.strategies]]
name = "one star"
set.alignment.method = "one-star"
[[vary.strategies]]
name = "two stars"
set.alignment.method = "two-star"
"#;

/// A folder with the study in it.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("study.toml"), STUDY).unwrap();
    folder
}

fn good(run: Run) -> Run {
    assert_eq!(run.status, 0, "{}{}", run.out, run.err);
    run
}

/// All files of a folder of results, by name; none may be left over.
fn results(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.file_name().unwrap().to_str().unwrap().to_owned(), fs::read(path).unwrap()))
        .collect();
    files.sort();
    let names: Vec<&str> = files.iter().map(|file| file.0.as_str()).collect();
    assert_eq!(names, ["nights.parquet", "sweep.html", "sweep.json"]);
    files
}

fn same(one: &Path, other: &Path) {
    for ((name, ours), (_, theirs)) in results(one).iter().zip(&results(other)) {
        assert!(ours == theirs, "{name} differs between {} and {}", one.display(), other.display());
    }
}

#[test]
fn threads_shards_and_order_change_no_byte() {
    let folder = folder();
    let at = folder.path();
    good(run(at, &["sweep", "study.toml", "--nights", "41", "--jobs", "1", "--out", "one"]));
    good(run(at, &["sweep", "study.toml", "--nights", "41", "--jobs", "3", "--out", "three"]));
    same(&at.join("one"), &at.join("three"));
    for shard in [2, 0, 1, 4, 3] {
        let shard = format!("{shard}/5");
        let out = if shard == "1/5" { "left" } else { "right" };
        let arguments = ["sweep", "study.toml", "--nights", "41", "--shard", &shard, "--out", out];
        good(run(at, &arguments));
        // A second start finds everything there.
        assert!(good(run(at, &arguments)).err.contains("is there already"));
    }
    good(run(at, &["merge", "left", "right", "--out", "merged"]));
    same(&at.join("one"), &at.join("merged"));
    let json = good(run(at, &["sweep", "study.toml", "--nights", "41", "--json"])).out;
    assert_eq!(json.as_bytes(), fs::read(at.join("one/sweep.json")).unwrap());
}

#[test]
fn results_keep_to_their_schema_and_every_night_can_be_played_again() {
    let folder = folder();
    let at = folder.path();
    let json = good(run(at, &["sweep", "study.toml", "--nights", "30", "--json"])).out;
    let sweep: serde_json::Value = serde_json::from_str(&json).unwrap();
    let schema = fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/reference/sweep.schema.json"),
    )
    .unwrap();
    let schema = serde_json::from_str(&schema).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let errors: Vec<String> = validator.iter_errors(&sweep).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    for case in sweep["cases"].as_array().unwrap() {
        let strategy = case["strategy"].as_str().unwrap();
        for worst in &case["worst"].as_array().unwrap()[..3] {
            let number = worst["night"].to_string();
            let arguments = ["night", "study.toml", "--strategy", strategy, "--seed", &number, "--json"];
            let first = good(run(at, &arguments)).out;
            assert_eq!(first, good(run(at, &arguments)).out);
            let night: serde_json::Value = serde_json::from_str(&first).unwrap();
            assert_eq!(night["seed"], worst["night"]);
            let summary = &night["summary"];
            assert_eq!(summary["miss_median_arcsec"], worst["miss_median_arcsec"]);
            let share = worst["in_field"].as_f64().unwrap() / worst["targets"].as_f64().unwrap();
            assert!((summary["in_field"].as_f64().unwrap() - share).abs() < 1e-6);
        }
    }
    let asked = ["night", "study.toml", "--strategy", "three stars"];
    let missing = run(at, &asked);
    assert_eq!(
        (missing.status, missing.err.contains("`one star` or `two stars`")),
        (2, true),
        "{}",
        missing.err
    );
}

/// Killed at many moments, with and without a chance to say good-bye, and gone on with: the same bytes in the end.
#[test]
fn a_killed_sweep_goes_on_to_the_same_bytes() {
    let folder = folder();
    let at = folder.path();
    let arguments = ["sweep", "study.toml", "--nights", "600", "--jobs", "2", "--out", "killed", "--resume"];
    let begun = Instant::now();
    good(run(at, &["sweep", "study.toml", "--nights", "600", "--jobs", "2", "--out", "whole"]));
    let took = begun.elapsed();
    let mut interrupted = 0;
    for round in 0..8_u32 {
        let mut child =
            nightbench(at, &arguments).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(took * (2 + 3 * round % 7) / 20);
        if round % 2 == 0 {
            child.kill().unwrap();
        } else {
            rustix::process::kill_process(
                rustix::process::Pid::from_child(&child),
                rustix::process::Signal::TERM,
            )
            .unwrap();
        }
        let status = child.wait().unwrap();
        interrupted += u32::from(status.code() != Some(0));
        if round % 2 == 1 {
            assert!(matches!(status.code(), Some(0 | 3)), "{status:?}");
        }
    }
    assert!(interrupted > 0, "every run was over before it could be ended");
    good(run(at, &arguments));
    // A passing file of a run that was killed while it wrote may be left beside the results.
    for entry in fs::read_dir(at.join("killed")).unwrap() {
        let path = entry.unwrap().path();
        if path.file_name().unwrap().to_str().unwrap().starts_with('.') && path.is_file() {
            fs::remove_file(path).unwrap();
        }
    }
    let left = at.join("killed/.nightbench-unfinished");
    if left.is_dir() {
        assert!(
            fs::read_dir(&left)
                .unwrap()
                .all(|entry| { entry.unwrap().file_name().to_str().unwrap().starts_with(".nightbench-") })
        );
        fs::remove_dir_all(&left).unwrap();
    }
    same(&at.join("whole"), &at.join("killed"));
}

/// SIGTERM ends a run within ten seconds, and says how to go on.
#[test]
fn a_signal_ends_a_shard_and_the_next_start_goes_on() {
    let folder = folder();
    let at = folder.path();
    let arguments = ["sweep", "study.toml", "--nights", "4000000", "--shard", "1/2", "--out", "shards"];
    let child = nightbench(at, &arguments).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    std::thread::sleep(Duration::from_secs(3));
    let begun = Instant::now();
    let pid = rustix::process::Pid::from_child(&child);
    rustix::process::kill_process(pid, rustix::process::Signal::TERM).unwrap();
    let output = child.wait_with_output().unwrap();
    // Ten seconds are promised; the rest is for a machine that is busy with other tests.
    assert!(begun.elapsed() < Duration::from_secs(30));
    assert_eq!(output.status.code(), Some(3));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("run the same shard again"), "{said}");
    let unfinished = at.join("shards/.nightbench-shard-000001-of-000002");
    assert!(fs::read_dir(unfinished).unwrap().count() > 0, "nothing was kept");
}

#[test]
fn an_unfinished_sweep_is_not_thrown_away_by_mistake() {
    let folder = folder();
    let at = folder.path();
    good(run(at, &["sweep", "study.toml", "--nights", "20", "--shard", "0/2", "--out", "out"]));
    // A part as an interrupted run leaves it: a shard's file tells of itself as its parts do, but for the shard.
    let unfinished = at.join("out/.nightbench-unfinished");
    fs::create_dir_all(&unfinished).unwrap();
    fs::write(unfinished.join("part-000000000000-000000000010.nights"), "cut").unwrap();
    good(run(at, &["sweep", "study.toml", "--nights", "20", "--out", "out", "--resume"]));
    let changed = STUDY.replace("20 s", "30 s");
    fs::write(at.join("other.toml"), changed).unwrap();
    let shard = ["sweep", "other.toml", "--nights", "20", "--shard", "0/2", "--out", "out"];
    let refused = run(at, &shard);
    assert_eq!((refused.status, refused.err.contains("another sweep")), (2, true), "{}", refused.err);
}

/// Shards that are missing, damaged, foreign: each is named, with what to run again.
#[test]
fn merge_says_what_is_wrong_with_every_file() {
    let folder = folder();
    let at = folder.path();
    fs::write(at.join("other.toml"), STUDY.replace("20 s", "30 s")).unwrap();
    for index in [0, 2, 3, 5] {
        let shard = format!("{index}/7");
        good(run(at, &["sweep", "study.toml", "--nights", "35", "--shard", &shard, "--out", "shards"]));
    }
    good(run(at, &["sweep", "other.toml", "--nights", "35", "--shard", "4/7", "--out", "shards"]));
    let path = |index: u64| at.join(format!("shards/shard-{index:06}-of-000007.nights"));
    let mut bytes = fs::read(path(5)).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0x10;
    fs::write(path(5), bytes).unwrap();
    fs::write(at.join("shards/.nightbench-passing.part"), "left by a run that was killed").unwrap();
    let merged = run(at, &["merge", "shards"]);
    assert_eq!(merged.status, 2);
    assert_eq!(merged.out, "");
    for words in [
        "shard-000005-of-000007.nights` is damaged",
        "shard-000004-of-000007.nights` is of another sweep than the others: the plan differs",
        "4 shards are missing: run again with --shard I/7 for I = 1,4-6",
    ] {
        assert!(merged.err.contains(words), "{}", merged.err);
    }
    assert!(!at.join("nightbench-sweep").exists(), "nothing is written by a merge that failed");
}

/// A disk without room: said, with the status of something outside, and what there is stays.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said() {
    let folder = folder();
    let at = folder.path();
    let full = run(at, &["sweep", "study.toml", "--nights", "20", "--out", "/dev/full"]);
    assert_eq!(full.status, 3, "{}", full.err);
    assert!(full.err.contains("/dev/full"), "{}", full.err);
    // Files no longer than a few blocks, as on a disk that has no more room.
    let mut command = std::process::Command::new("sh");
    let script = format!(
        "trap '' XFSZ; ulimit -f 8; exec {} sweep study.toml --nights 300 --out small --quiet",
        env!("CARGO_BIN_EXE_nightbench")
    );
    let output = command.args(["-c", &script]).current_dir(at).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(3), "{said}");
    assert!(said.contains("make room"), "{said}");
    assert!(!at.join("small/sweep.json").exists());
    good(run(at, &["sweep", "study.toml", "--nights", "300", "--out", "small", "--resume"]));
    good(run(at, &["sweep", "study.toml", "--nights", "300", "--out", "large"]));
    same(&at.join("small"), &at.join("large"));
}

#[test]
fn a_sweep_stops_when_it_knows_enough_and_its_bytes_are_those_of_so_many_nights() {
    let folder = folder();
    let at = folder.path();
    let until = ["--until", "in_field_difference 60 %"];
    let arguments = ["sweep", "study.toml", "--nights", "100000", until[0], until[1], "--out", "until"];
    good(run(at, &arguments));
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(at.join("until/sweep.json")).unwrap()).unwrap();
    assert_eq!(json["nights"], 500, "the first look is after 500 nights");
    good(run(at, &["sweep", "study.toml", "--nights", "500", "--out", "plain"]));
    same(&at.join("until"), &at.join("plain"));
}

/// Several rounds, and several again where an unfinished run has left parts that end and begin within rounds.
#[test]
fn rounds_add_up_to_the_bytes_of_so_many_nights_played_at_once() {
    let folder = folder();
    let at = folder.path();
    let until = |out| {
        let arguments =
            ["--nights", "100000", "--until", "in_field_difference 4.5 %", "--out", out, "--resume"];
        good(run(at, &[&["sweep", "study.toml"], arguments.as_slice()].concat()));
    };
    until("until");
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(at.join("until/sweep.json")).unwrap()).unwrap();
    assert_eq!(json["nights"], 1500, "three rounds");
    good(run(at, &["sweep", "study.toml", "--nights", "1500", "--out", "plain"]));
    same(&at.join("until"), &at.join("plain"));
    // A shard's file tells of itself as the part of an unfinished sweep does.
    let unfinished = at.join("again/.nightbench-unfinished");
    fs::create_dir_all(&unfinished).unwrap();
    for (nights, shard, file, part) in [
        ("1400", "0/2", "shard-000000-of-000002", "part-000000000000-000000000700"),
        ("1600", "7/8", "shard-000007-of-000008", "part-000000001400-000000001600"),
    ] {
        good(run(at, &["sweep", "study.toml", "--nights", nights, "--shard", shard, "--out", "shards"]));
        let (file, part) =
            (at.join(format!("shards/{file}.nights")), unfinished.join(format!("{part}.nights")));
        fs::copy(file, part).unwrap();
    }
    until("again");
    same(&at.join("again"), &at.join("plain"));
}

#[test]
fn two_sweeps_are_compared() {
    let folder = folder();
    let at = folder.path();
    good(run(at, &["sweep", "study.toml", "--nights", "60", "--out", "before"]));
    fs::write(
        at.join("worse.toml"),
        STUDY.replace("[setup.entered]", "[setup]\npolar_azimuth_error = \"8 deg\"\n[setup.entered]"),
    )
    .unwrap();
    good(run(at, &["sweep", "worse.toml", "--nights", "60", "--out", "after"]));
    let same = good(run(at, &["compare", "before", "before"]));
    assert!(same.out.lines().all(|line| line.starts_with("same")), "{}", same.out);
    let worse = run(at, &["compare", "before", "after"]);
    assert_eq!(worse.status, 1, "{}", worse.out);
    assert!(worse.out.contains("worse  one star: median miss of a night"), "{}", worse.out);
    let json = run(at, &["compare", "before", "after", "--json"]).out;
    assert!(serde_json::from_str::<serde_json::Value>(&json).unwrap()["figures"].is_array());
}

/// Where what users are told is kept, one command after the other with its message.
const REFUSALS: &str = "tests/golden/sweep_refusals.txt";

/// The words of a command; what stands in single quotes is one.
fn words(command: &str) -> Vec<&str> {
    let parts = command.split('\'').enumerate();
    parts
        .flat_map(|(part, text)| if part % 2 == 1 { vec![text] } else { text.split_whitespace().collect() })
        .collect()
}

/// The files that the refused sweeps are of, and what the shards of the refused merges are.
fn things_to_refuse(at: &Path) {
    let bad = common::fixtures("bad");
    for name in ["vary_names_twice.toml", "vary_grid.toml", "distribution_impossible.toml"] {
        fs::copy(bad.join(name), at.join(name)).unwrap();
    }
    for (folder, indices) in [("gaps", &[0, 3][..]), ("versions", &[0, 1, 2])] {
        for index in indices {
            let shard = format!("{index}/5");
            good(run(at, &["sweep", "study.toml", "--nights", "10", "--shard", &shard, "--out", folder]));
        }
    }
    // What an older program would have written: whole, with its own hash.
    let older = at.join("versions/shard-000001-of-000005.nights");
    let file = RowsFile::open(&older).unwrap();
    let mut rows = Vec::new();
    file.rows().for_each(|row| row.write(&mut rows));
    let about = About { version: "0.0.9".to_owned(), ..file.about.clone() };
    fs::write(older, RowsFile::bytes(&about, file.shard, &file.range, &rows)).unwrap();
}

/// What can't be used is refused before the first night, with a number that helps, word for word as it is kept.
#[test]
fn bad_input_is_refused_with_its_golden_message() {
    let folder = folder();
    let at = folder.path();
    things_to_refuse(at);
    let before = fs::read_dir(at).unwrap().count();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join(REFUSALS);
    let kept = fs::read_to_string(kept).unwrap();
    let mut said = String::new();
    for command in kept.lines().filter_map(|line| line.strip_prefix("$ nightbench ")) {
        let refused = run(at, &words(command));
        assert_eq!((refused.status, refused.out.as_str()), (2, ""), "{command}: {}", refused.err);
        let message = refused.err.replace(env!("CARGO_PKG_VERSION"), "{version}");
        said.push_str(&format!("$ nightbench {command}\n{message}\n"));
    }
    assert!(said.matches("$ ").count() >= 15);
    let new = Path::new(env!("CARGO_TARGET_TMPDIR")).join("sweep_refusals.txt");
    fs::write(&new, &said).unwrap();
    let first = kept.lines().zip(said.lines()).find(|(kept, said)| kept != said);
    assert!(kept == said, "{first:?}; if that is as it should be, copy {} to {REFUSALS}", new.display());
    assert_eq!(fs::read_dir(at).unwrap().count(), before, "a refusal leaves nothing behind");
}

/// The ready-made studies are good files, every case of them.
#[test]
fn the_studies_are_good() {
    let studies = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/sweeps");
    let names = common::scenarios(&studies);
    assert!(names.len() >= 8);
    let mut arguments = vec!["check"];
    arguments.extend(names.iter().map(String::as_str));
    good(run(&studies, &arguments));
}
