//! Whole nights from the command line: what is printed, what is written, how it ends.

mod common;

use common::{fixtures, nightbench, run, run_with_input};
use std::fs;
use std::path::Path;
use std::process::Stdio;

const FILE: &str = "school-field.toml";

fn built_in() -> String {
    fs::read_to_string(fixtures("built-in").join(FILE)).unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn alone_it_plays_the_built_in_night() {
    let top = tempfile::tempdir().unwrap();
    let alone = run(top.path(), &[]);
    assert_eq!(alone.status, 0, "{}", alone.err);
    assert!(alone.out.starts_with("First open evening on the school field"), "{}", alone.out);
    assert_eq!(
        alone.err,
        "written to nightbench-out: report.html, night.json, samples.csv, samples.parquet\n"
    );
    assert_eq!(names(top.path()), ["nightbench-out"]);
    let folder = top.path().join("nightbench-out");
    assert_eq!(names(&folder), ["night.json", "report.html", "samples.csv", "samples.parquet"]);
    // The same night by its file and from standard input: the same words, the same bytes.
    let by_file = run(&fixtures("built-in"), &["night", FILE, "--json"]);
    let by_input = run_with_input(top.path(), &["night", "-", "--json"], built_in().as_bytes());
    assert_eq!(by_file.out, fs::read_to_string(folder.join("night.json")).unwrap());
    assert_eq!(by_input.out, by_file.out);
    assert_eq!(
        run(&fixtures("built-in"), &["night", FILE, "--out", folder.to_str().unwrap()]).out,
        alone.out
    );
}

#[test]
fn json_is_the_file_s_bytes_alone_and_fits_the_schema() {
    let top = tempfile::tempdir().unwrap();
    let json = run(top.path(), &["night", "--json"]);
    assert_eq!((json.status, json.err.as_str()), (0, ""));
    assert!(names(top.path()).is_empty(), "a folder that nobody asked for");
    let both = run(top.path(), &["night", "--json", "--out", "here"]);
    assert_eq!(both.out, json.out);
    assert_eq!(fs::read_to_string(top.path().join("here/night.json")).unwrap(), json.out);
    let schema = serde_json::from_str(&report::night_schema()).unwrap();
    let night: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    let complaints: Vec<String> = jsonschema::draft202012::new(&schema)
        .unwrap()
        .iter_errors(&night)
        .map(|error| error.to_string())
        .collect();
    assert!(complaints.is_empty(), "{complaints:#?}");
}

/// The promise of the built-in night: some targets land in the field, some don't, and one error is to blame.
#[test]
fn the_built_in_night_has_something_to_show() {
    let top = tempfile::tempdir().unwrap();
    let night: serde_json::Value = serde_json::from_str(&run(top.path(), &["night", "--json"]).out).unwrap();
    let gotos = night["gotos"].as_array().unwrap();
    assert_eq!(gotos.len(), 12);
    assert!(gotos.iter().all(|row| row["outcome"] == "arrived"));
    let landed = gotos.iter().filter(|row| row["in_field"] == true).count();
    assert!((4..=8).contains(&landed), "{landed} of 12 landed");
    assert_eq!(night["dwells"].as_array().unwrap().len(), 3);
    // Two for the alignment, and two by which the person sees, after the kick, whether something has moved.
    assert_eq!(night["sightings"].as_array().unwrap().len(), 4);
    assert_eq!(night["doubts"].as_array().unwrap().len(), 1);
    assert_eq!(night["summary"]["visitors_served"], 24);
    let advice = night["advice"].as_array().unwrap();
    assert!(
        advice.iter().any(|line| line.as_str().unwrap().contains("home mark costs the most")),
        "{advice:?}"
    );
}

#[test]
fn a_seed_takes_the_place_of_the_file_s_and_leaves_the_digest() {
    let top = tempfile::tempdir().unwrap();
    let read = |arguments: &[&str]| -> serde_json::Value {
        serde_json::from_str(&run(top.path(), arguments).out).unwrap()
    };
    let (own, other) = (read(&["night", "--json"]), read(&["night", "--json", "--seed", "9007199254740991"]));
    assert_eq!((own["seed"].as_u64(), other["seed"].as_u64()), (Some(7), Some(9_007_199_254_740_991)));
    assert_eq!(own["scenario_digest"], other["scenario_digest"]);
}

#[test]
fn an_expectation_that_fails_is_status_1_and_the_files_are_written() {
    let top = tempfile::tempdir().unwrap();
    fs::write(top.path().join("hard.toml"), built_in() + "\n[expect]\nin_field = \">= 99 %\"\n").unwrap();
    let failed = run(top.path(), &["night", "hard.toml", "--quiet"]);
    assert_eq!((failed.status, failed.out.as_str()), (1, ""));
    assert!(
        failed.err.starts_with("again: nightbench night hard.toml --seed 7 --quiet  # version "),
        "{}",
        failed.err
    );
    let all = ["junit.xml", "night.json", "report.html", "samples.csv", "samples.parquet"];
    assert_eq!(names(&top.path().join("nightbench-out")), all);
    fs::write(top.path().join("easy.toml"), built_in() + "\n[expect]\nin_field = \">= 1 %\"\n").unwrap();
    assert_eq!(run(top.path(), &["night", "easy.toml", "--quiet"]).status, 0);
}

#[test]
fn what_was_in_the_folder_stays() {
    let top = tempfile::tempdir().unwrap();
    fs::write(top.path().join("notes.txt"), "mine").unwrap();
    fs::write(top.path().join("night.json"), "an older night").unwrap();
    assert_eq!(run(top.path(), &["night", "--quiet", "--out", "."]).status, 0);
    assert_eq!(
        names(top.path()),
        ["night.json", "notes.txt", "report.html", "samples.csv", "samples.parquet"]
    );
    assert_eq!(fs::read_to_string(top.path().join("notes.txt")).unwrap(), "mine");
    assert!(fs::read_to_string(top.path().join("night.json")).unwrap().starts_with("{\n  \"format\": 1,"));
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let top = tempfile::tempdir().unwrap();
    let mut child = nightbench(top.path(), &["night", "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!((output.status.code(), output.stderr.as_slice()), (Some(0), &b""[..]));
}

#[test]
fn a_good_file_is_named_and_a_bad_one_beside_it_decides() {
    let folder = fixtures("");
    let good = run(&folder, &["check", "built-in/school-field.toml"]);
    assert_eq!(
        (good.status, good.out.as_str(), good.err.as_str()),
        (0, "built-in/school-field.toml: good\n", "")
    );
    let both = run(&folder, &["check", "bad/bare_number.toml", "built-in/school-field.toml", "--json"]);
    assert_eq!(both.status, 2);
    let findings: serde_json::Value = serde_json::from_str(&both.out).unwrap();
    assert_eq!(findings[0]["good"], false);
    assert_eq!(findings[0]["complaints"][0]["key"], "night.length");
    assert_eq!(findings[1]["good"], true);
    let missing = run(&folder, &["check", "--json", "nowhere.toml"]);
    let findings: serde_json::Value = serde_json::from_str(&missing.out).unwrap();
    assert!(missing.status == 2 && findings[0]["unreadable"].as_str().unwrap().contains("there is no file"));
}

#[test]
fn the_help_fits_a_screen() {
    let top = tempfile::tempdir().unwrap();
    // A terminal's usual 24 rows of 80 columns; the list of all commands, a night's files and the many ways to ask for a place
    // may scroll.
    let rows = [
        (&["--help"][..], 28),
        (&["night", "--help"], 28),
        (&["check", "--help"], 24),
        (&["compare", "--help"], 24),
        (&["place", "--help"], 48),
    ];
    for (arguments, most) in rows {
        let help = run(top.path(), arguments);
        assert_eq!(help.status, 0);
        assert!(help.out.lines().count() <= most, "{}", help.out);
        assert!(help.out.lines().all(|line| line.chars().count() <= 80), "{}", help.out);
    }
    let version = run(top.path(), &["--version"]);
    assert_eq!(version.out, concat!("nightbench ", env!("CARGO_PKG_VERSION"), "\n"));
}
