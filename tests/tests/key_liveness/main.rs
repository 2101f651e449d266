//! Every key of a scenario that the bench serves has an effect, and it is the one that its formula says.
//!
//! For each key there is a row: the night that it is tried in, the value that it gets, and what must come of it. A key
//! without a row fails here, and so does a row whose key is gone.

mod axes;
mod judges;
mod night;
mod rows;

use judges::Holds;
use night::Setting;
use rows::rows;

/// One key and what it does.
pub struct Row {
    /// Its path in the base night; a list's place stands in brackets.
    pub key: &'static str,
    /// What is changed in the base night beforehand, in both nights that are compared.
    pub given: &'static [Setting],
    /// What the key gets.
    pub becomes: &'static str,
    /// What must come of it.
    pub holds: Holds,
}

/// `observe[2].target` as `observe.target`.
fn without_places(path: &str) -> String {
    path.split('.').map(|part| part.split('[').next().unwrap_or(part)).collect::<Vec<_>>().join(".")
}

#[test]
fn every_key_does_what_its_formula_says() {
    let complaints: Vec<String> = rows()
        .filter_map(|row| {
            // A night that can't be played is told like one that came out otherwise.
            let found = std::panic::catch_unwind(|| judges::judge(row))
                .unwrap_or_else(|_| Err("it panicked, see above".to_owned()));
            found.err().map(|error| format!("{} = {}: {error}", row.key, row.becomes))
        })
        .collect();
    tests::hold("a key does not do what it should", &complaints);
}

#[test]
fn every_key_of_every_axis_does_what_its_formula_says() {
    let mut complaints: Vec<String> = Vec::new();
    for axis in axes::AXES {
        for row in axes::rows() {
            let found = axes::Case::judge(axis, row);
            complaints.extend(
                found
                    .err()
                    .map(|error| format!("mount.{}.{} = {}: {error}", axis.table, row.key, row.becomes)),
            );
        }
    }
    tests::hold("a key of an axis does not do what it should", &complaints);
}

#[test]
fn every_key_has_a_row() {
    let keys: Vec<String> = bench::built_keys().collect();
    // The name of a table has no value of its own.
    let is_table = |key: &str| keys.iter().any(|other| other.starts_with(&format!("{key}.")));
    let of_axes = axes::AXES.iter().flat_map(|axis| {
        axes::rows().map(|row| without_places(&format!("mount.{}.{}", axis.table, row.key)))
    });
    let rows: Vec<String> = rows().map(|row| without_places(row.key)).chain(of_axes).collect();
    let mut complaints = Vec::new();
    for key in keys.iter().filter(|key| !is_table(key.as_str())) {
        if !rows.contains(key) {
            complaints.push(format!("{key} is served but has no row"));
        }
    }
    for row in &rows {
        if !keys.contains(row) {
            complaints.push(format!("{row} has a row but is not served"));
        }
    }
    tests::hold("keys and rows", &complaints);
}

#[test]
fn equipment_is_what_is_echoed() {
    let mut echoed: Vec<&str> =
        rows().filter(|row| matches!(row.holds, Holds::Echoed)).map(|row| row.key).collect();
    let mut keys: Vec<&str> = bench::equipment_keys().collect();
    echoed.sort_unstable();
    keys.sort_unstable();
    assert_eq!(echoed, keys);
}
