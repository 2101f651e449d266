//! What the libraries that the build draws in may be: `.deny.toml` held against `cargo metadata`, without the network.

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;
use tests::{hold, text_of, top};

/// Each package of the lock file that isn't ours.
struct Package {
    name: String,
    version: String,
    licence: String,
    source: String,
}

fn packages() -> Vec<Package> {
    let asked = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--offline", "--locked"])
        .current_dir(top())
        .output()
        .expect("cargo can be started");
    assert!(
        asked.status.success(),
        "cargo metadata knows not all packages without the network; run `cargo fetch --locked` once.\n{}",
        String::from_utf8_lossy(&asked.stderr)
    );
    let metadata: Value = serde_json::from_slice(&asked.stdout).expect("cargo writes JSON");
    let text = |package: &Value, key: &str| package[key].as_str().unwrap_or_default().to_owned();
    metadata["packages"]
        .as_array()
        .expect("metadata lists packages")
        .iter()
        .filter(|package| !package["source"].is_null())
        .map(|package| Package {
            name: text(package, "name"),
            version: text(package, "version"),
            licence: text(package, "license"),
            source: text(package, "source"),
        })
        .collect()
}

fn rules() -> toml::Table {
    text_of(".deny.toml").parse().expect(".deny.toml is TOML")
}

fn entries<'a>(rules: &'a toml::Table, key: &str) -> Vec<&'a toml::Table> {
    rules
        .get(key)
        .and_then(toml::Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(toml::Value::as_table)
        .collect()
}

fn word<'a>(entry: &'a toml::Table, key: &str) -> Option<&'a str> {
    entry.get(key).and_then(toml::Value::as_str)
}

/// Whether some choice of an SPDX expression's alternatives lies in the list. `/` is the old way to write OR.
fn is_allowed(expression: &str, allow: &BTreeSet<&str>) -> bool {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let mut words: Vec<&str> = spaced.split_whitespace().rev().collect();
    let verdict = alternatives(&mut words, allow);
    verdict && words.is_empty()
}

fn alternatives(words: &mut Vec<&str>, allow: &BTreeSet<&str>) -> bool {
    let mut any = conjunction(words, allow);
    while words.last() == Some(&"OR") {
        words.pop();
        any |= conjunction(words, allow);
    }
    any
}

fn conjunction(words: &mut Vec<&str>, allow: &BTreeSet<&str>) -> bool {
    let mut all = term(words, allow);
    while words.last() == Some(&"AND") {
        words.pop();
        all &= term(words, allow);
    }
    all
}

fn term(words: &mut Vec<&str>, allow: &BTreeSet<&str>) -> bool {
    match words.pop() {
        Some("(") => {
            let inner = alternatives(words, allow);
            words.pop() == Some(")") && inner
        }
        Some(name) if words.last() == Some(&"WITH") => {
            words.pop();
            words.pop().is_some_and(|exception| allow.contains(format!("{name} WITH {exception}").as_str()))
        }
        Some(name) => allow.contains(name),
        None => false,
    }
}

/// `major.minor.patch` as numbers; what follows a dash or a plus is left out.
fn numbers(version: &str) -> Vec<u64> {
    let plain = version.split(['-', '+']).next().unwrap_or_default();
    plain
        .split('.')
        .map(|part| part.parse().unwrap_or_else(|_| panic!("`{version}` is not a version")))
        .collect()
}

#[test]
fn every_library_has_a_licence_of_the_list() {
    let rules = rules();
    let allow: BTreeSet<&str> = rules["licences"]["allow"]
        .as_array()
        .expect("licences.allow is a list")
        .iter()
        .filter_map(toml::Value::as_str)
        .collect();
    let complaints: Vec<String> = packages()
        .iter()
        .filter(|package| !is_allowed(&package.licence, &allow))
        .map(|package| format!("{} {}: licence `{}`", package.name, package.version, package.licence))
        .collect();
    hold("Licences outside the list", &complaints);
}

#[test]
fn terms_beside_a_licence_are_reproduced() {
    let rules = rules();
    let licences = rules["licences"].as_table().expect("licences is a table");
    let names: BTreeSet<String> = packages().into_iter().map(|package| package.name).collect();
    for entry in entries(licences, "terms_beside") {
        let (name, page) = (word(entry, "name").expect("a name"), word(entry, "page").expect("a page"));
        assert!(names.contains(name), "{name} is drawn in no more; take it out of .deny.toml");
        assert!(text_of(page).contains(name), "{page} does not speak of {name}");
    }
}

#[test]
fn no_library_is_refused() {
    let rules = rules();
    let accepted: BTreeSet<&str> =
        entries(&rules, "accepted").into_iter().filter_map(|entry| word(entry, "name")).collect();
    let packages = packages();
    let mut complaints = Vec::new();
    let mut excused = BTreeSet::new();
    for entry in entries(&rules, "refused") {
        let (name, why) = (word(entry, "name").expect("a name"), word(entry, "why").expect("a reason"));
        let mended = word(entry, "below").map(numbers);
        for package in packages.iter().filter(|package| package.name == name) {
            if mended.as_ref().is_some_and(|mended| numbers(&package.version) >= *mended) {
                continue;
            }
            if accepted.contains(name) {
                excused.insert(name);
            } else {
                complaints.push(format!("{name} {}: {why}", package.version));
            }
        }
    }
    hold("Refused libraries", &complaints);
    assert_eq!(excused, accepted, "accepted in .deny.toml, and not needed any more");
}

#[test]
fn libraries_come_from_one_registry_with_their_sums() {
    let sources: BTreeSet<String> = packages().into_iter().map(|package| package.source).collect();
    assert!(sources.len() == 1 && sources.iter().all(|s| s.starts_with("registry+")), "{sources:?}");
    let lock: toml::Table = text_of("Cargo.lock").parse().expect("the lock file is TOML");
    let complaints: Vec<String> = entries(&lock, "package")
        .into_iter()
        .filter(|package| package.contains_key("source") && !package.contains_key("checksum"))
        .filter_map(|package| word(package, "name").map(|name| format!("{name}: no checksum in Cargo.lock")))
        .collect();
    hold("Sums", &complaints);
}

#[test]
fn expressions_are_judged_by_their_alternatives() {
    let allow = BTreeSet::from(["MIT", "Unicode-3.0", "Apache-2.0 WITH LLVM-exception"]);
    for (expression, expected) in [
        ("MIT", true),
        ("MIT/Apache-2.0", true),
        ("(MIT OR Apache-2.0) AND Unicode-3.0", true),
        ("MIT AND GPL-3.0-only", false),
        ("GPL-3.0-only OR MIT", true),
        ("Apache-2.0", false),
        ("Apache-2.0 WITH LLVM-exception", true),
        ("Apache-2.0 WITH other", false),
        ("(MIT", false),
        ("", false),
    ] {
        assert_eq!(is_allowed(expression, &allow), expected, "{expression}");
    }
    assert!(numbers("0.10.2+build") > numbers("0.9.30"));
}
