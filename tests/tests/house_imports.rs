//! The house's plan, held against every `Cargo.toml` and every source file: who imports whom, what lies where.

use std::collections::{BTreeMap, BTreeSet};

use tests::{hold, text_of, top, tracked_files};
use toml::{Table, Value};

/// Each crate from the ground floor up, and the crates of ours that it may import. `units` goes without saying.
const FLOORS: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("kinematics", &[]),
    ("sky", &[]),
    ("mechanics", &["kinematics"]),
    ("alignment", &["kinematics", "sky"]),
    ("protocol", &[]),
    // Never `mechanics`: the controller can't read truth.
    ("controller", &["kinematics", "sky", "alignment", "protocol"]),
    ("faults", &[]),
    ("world", &["kinematics", "sky", "mechanics", "alignment", "protocol", "controller", "faults"]),
    ("scenario", &["sky"]),
    // Never `world`, `mechanics`, `controller`: the person sees neither truth nor belief.
    ("observer", &["sky", "protocol"]),
    (
        "bench",
        &[
            "kinematics",
            "sky",
            "mechanics",
            "alignment",
            "protocol",
            "controller",
            "faults",
            "world",
            "scenario",
            "observer",
        ],
    ),
    ("link", &["protocol", "faults"]),
    ("report", &["bench"]),
    ("sweep", &["scenario", "bench", "report"]),
    ("page", &["bench", "link", "report"]),
    ("trial", &["protocol", "faults", "world", "scenario", "bench", "link", "report", "sweep"]),
    ("fit", &["bench", "link", "report", "sweep"]),
    ("evening", &["bench", "link", "report", "sweep"]),
];

/// The command line and the tests may import every floor.
const ABOVE_ALL: &[&str] = &["nightbench", "tests"];

/// Crates that open nothing, print nothing and start nothing.
const CORE: &[&str] = &[
    "units",
    "kinematics",
    "sky",
    "mechanics",
    "alignment",
    "protocol",
    "controller",
    "faults",
    "world",
    "scenario",
    "observer",
    "bench",
];

/// What the core's sources must not say.
const CORE_NEVER: &[(&str, &str)] = &[
    ("Command::new", "the core starts no program"),
    ("std::process", "the core starts no program and ends none"),
    ("std::fs", "the core opens no file; take the bytes"),
    ("std::net", "the core opens no connection"),
    ("std::env", "the core reads no environment; hand the value in"),
    ("std::thread", "the core is single-threaded and never sleeps"),
    ("SystemTime", "time is an argument; take a units::Instant"),
    ("println!", "the core prints nothing; return the value"),
    ("eprintln!", "the core prints nothing; return the value"),
    ("print!(", "the core prints nothing; return the value"),
];

/// Libraries that speak to the outside, which the core leaves to the floors above.
const OUTSIDE_LIBRARIES: &[&str] = &[
    "tokio",
    "tokio-serial",
    "tokio-util",
    "axum",
    "hyper",
    "hyper-util",
    "rustix",
    "rustyline",
    "ratatui",
    "rayon",
];

const TOP_LEVEL: &[&str] = &[
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE-MIT",
    "LICENSE-APACHE",
    "crates",
    "tests",
    "fixtures",
    "docs",
];

/// The one place where `unsafe` may stand, once it is built.
const UNSAFE_MAY_STAND_IN: &str = "crates/link/src/pseudo_terminal.rs";

const LONGEST_FILE: usize = 800;

fn manifests() -> BTreeMap<String, Table> {
    tracked_files()
        .into_iter()
        .filter(|name| {
            name == "tests/Cargo.toml" || (name.starts_with("crates/") && name.ends_with("/Cargo.toml"))
        })
        .map(|name| {
            let table: Table = text_of(&name).parse().unwrap_or_else(|error| panic!("{name}: {error}"));
            (name, table)
        })
        .collect()
}

fn name_of(manifest: &Table) -> &str {
    manifest["package"]["name"].as_str().expect("a package has a name")
}

/// The packages that a manifest depends on in any way: for itself, its tests, its build, some platform.
fn dependencies(manifest: &Table) -> BTreeSet<String> {
    const KINDS: [&str; 3] = ["dependencies", "dev-dependencies", "build-dependencies"];
    let platforms = manifest.get("target").and_then(Value::as_table).into_iter().flat_map(Table::values);
    let tables = std::iter::once(manifest).chain(platforms.filter_map(Value::as_table));
    tables
        .flat_map(|table| KINDS.iter().filter_map(|kind| table.get(*kind).and_then(Value::as_table)))
        .flat_map(|table| {
            table.iter().map(|(key, value)| {
                value.get("package").and_then(Value::as_str).unwrap_or(key.as_str()).to_owned()
            })
        })
        .collect()
}

#[test]
fn a_floor_stands_on_lower_floors_only() {
    let order: Vec<&str> = FLOORS.iter().map(|(name, _)| *name).collect();
    for (index, (name, may)) in FLOORS.iter().enumerate() {
        for lower in *may {
            assert!(order[..index].contains(lower), "{name} would stand on {lower}");
        }
    }
}

#[test]
fn every_crate_imports_what_the_table_allows() {
    let ours: BTreeSet<&str> =
        FLOORS.iter().map(|(name, _)| *name).chain(ABOVE_ALL.iter().copied()).collect();
    let mut complaints = Vec::new();
    for (file, manifest) in manifests() {
        let name = name_of(&manifest);
        if !file.starts_with(&format!("crates/{name}/")) && file != "tests/Cargo.toml" {
            complaints.push(format!("{file}: the package {name} lies in a folder of another name"));
        }
        if ABOVE_ALL.contains(&name) {
            continue;
        }
        let Some((_, may)) = FLOORS.iter().find(|(floor, _)| *floor == name) else {
            complaints.push(format!("{file}: {name} is on no floor; write its charter into the table first"));
            continue;
        };
        for import in dependencies(&manifest) {
            if ours.contains(import.as_str()) && import != "units" && !may.contains(&import.as_str()) {
                complaints.push(format!("{file}: {name} may not import {import}"));
            }
        }
    }
    hold("Imports against the table", &complaints);
}

#[test]
fn the_core_knows_no_library_of_the_outside() {
    let mut complaints = Vec::new();
    for (file, manifest) in manifests() {
        for import in dependencies(&manifest) {
            if CORE.contains(&name_of(&manifest)) && OUTSIDE_LIBRARIES.contains(&import.as_str()) {
                complaints.push(format!("{file}: {import} belongs to the floors above the core"));
            }
        }
    }
    hold("Libraries in the core", &complaints);
}

#[test]
fn every_package_takes_the_workspace_lints() {
    let complaints: Vec<String> = manifests()
        .into_iter()
        .filter(|(_, manifest)| {
            manifest.get("lints").and_then(|lints| lints.get("workspace")) != Some(&Value::Boolean(true))
        })
        .map(|(file, _)| format!("{file}: write `[lints]` with `workspace = true`"))
        .collect();
    hold("Lints", &complaints);
}

#[test]
fn the_top_level_holds_what_it_should() {
    let complaints: BTreeSet<String> = tracked_files()
        .iter()
        .map(|name| name.split('/').next().expect("a path has a first part").to_owned())
        .filter(|entry| !entry.starts_with('.') && !TOP_LEVEL.contains(&entry.as_str()))
        .collect();
    hold("Strangers at the top level", &complaints.into_iter().collect::<Vec<_>>());
    for entry in
        ["Cargo.toml", "Cargo.lock", "LICENSE-MIT", "LICENSE-APACHE", "crates", "tests", "fixtures", "docs"]
    {
        assert!(top().join(entry).exists(), "{entry} is missing at the top level");
    }
}

/// The lines of a Rust file that are code, numbered from one, comments cut off.
fn code_lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines().enumerate().filter_map(|(index, line)| {
        let code = line.split_once("//").map_or(line, |(before, _)| before);
        (!code.trim().is_empty()).then_some((index + 1, code))
    })
}

/// Whether a word stands in a line as a name of its own.
fn has_word(line: &str, word: &str) -> bool {
    line.split(|c: char| !c.is_alphanumeric() && c != '_').any(|part| part == word)
}

#[test]
fn the_core_touches_nothing_outside() {
    let mut complaints = Vec::new();
    for name in tracked_files() {
        let Some(path) = name.strip_prefix("crates/").filter(|path| path.ends_with(".rs")) else { continue };
        let parts: Vec<&str> = path.split('/').collect();
        // Unit tests and what stands beside the sources (benches, examples) may read fixtures.
        let is_core = CORE.contains(&parts[0]) && parts[1] == "src" && parts.last() != Some(&"tests.rs");
        if !is_core || parts.contains(&"tests") {
            continue;
        }
        for (number, line) in code_lines(&text_of(&name)) {
            for (never, why) in CORE_NEVER {
                if line.contains(never) {
                    complaints.push(format!("{name}:{number}: `{never}`: {why}"));
                }
            }
        }
    }
    hold("The core touches nothing outside", &complaints);
}

#[test]
fn unsafe_stands_in_one_module_only() {
    // In two parts, so that this file does not find itself.
    let word = concat!("un", "safe");
    let mut complaints = Vec::new();
    for name in
        tracked_files().into_iter().filter(|name| name.ends_with(".rs") && name != UNSAFE_MAY_STAND_IN)
    {
        for (number, line) in code_lines(&text_of(&name)) {
            if has_word(line, word) {
                complaints.push(format!("{name}:{number}: only {UNSAFE_MAY_STAND_IN} may say this"));
            }
        }
    }
    hold("Code that the compiler can't check", &complaints);
}

#[test]
fn no_file_holds_more_than_one_idea() {
    let complaints: Vec<String> = tracked_files()
        .into_iter()
        .filter(|name| {
            [".rs", ".py", ".js", ".css", ".html", ".sh"].iter().any(|ending| name.ends_with(ending))
        })
        .map(|name| (text_of(&name).lines().count(), name))
        .filter(|(lines, _)| *lines > LONGEST_FILE)
        .map(|(lines, name)| format!("{name}: {lines} lines, {LONGEST_FILE} at most; split it by its ideas"))
        .collect();
    hold("Long files", &complaints);
}

#[test]
fn words_are_found_whole() {
    let word = concat!("un", "safe");
    assert!(has_word(&format!("{word} {{ }}"), word));
    assert!(!has_word(&format!("#![forbid({word}_code)]"), word));
    assert_eq!(code_lines("a // b\n// c\n\nd").collect::<Vec<_>>(), [(1, "a "), (4, "d")]);
}
