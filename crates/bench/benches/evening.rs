//! What an evening of a person costs: set-up, two stars, twelve targets, no samples.
//!
//! The claim to hold: 1 ms.

use bench::{Prepared, prepare};
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

const TARGETS: [&str; 12] = [
    "M 42",
    "Capella",
    "M 45",
    "Betelgeuse",
    "M 35",
    "Sirius",
    "Castor",
    "M 44",
    "M 81",
    "Algieba",
    "Regulus",
    "M 51",
];

fn plan(method: &str, targets: &[&str]) -> scenario::Plan {
    let mut text = "format = 1\n[night]\nbegin = 2027-03-06T20:30:00+01:00\nlength = \"5 h\"\nseed = 7\n\
                    [site]\nlatitude = \"40.5 deg\"\nlongitude = \"-4.5 deg\"\n\
                    [mount]\nkind = \"german-equatorial\"\n[alignment]\nmethod = \"two-star\"\n"
        .replace("two-star", method);
    for target in targets {
        text += &format!("[[observe]]\ntarget = \"{target}\"\n");
    }
    scenario::read(&text).unwrap_or_else(|found| panic!("{}: {}", found[0].key, found[0].problem))
}

fn evening(method: &str, targets: &[&str]) -> Prepared {
    prepare(&plan(method, targets)).unwrap_or_else(|found| panic!("{}: {}", found[0].key, found[0].problem))
}

/// From switching on to the last look; the places of the stars are known from the first time.
#[divan::bench]
fn two_stars_and_twelve_targets(bencher: Bencher) {
    let prepared = evening("two-star", &TARGETS);
    let outcome = prepared.measure();
    assert_eq!(outcome.sightings.len(), 2);
    assert!(outcome.gotos.iter().all(|row| row.look.is_some()), "a target was not reached");
    bencher.bench_local(|| black_box(&prepared).measure());
}

/// The same, made ready from the file's plan: the draws of mount and set-up, too.
#[divan::bench]
fn with_its_set_up(bencher: Bencher) {
    let plan = plan("two-star", &TARGETS);
    bencher.bench_local(|| prepare(black_box(&plan)).map(|night| night.measure()).ok());
}

/// What of it the two stars cost.
#[divan::bench]
fn two_stars_alone(bencher: Bencher) {
    let prepared = evening("two-star", &[]);
    assert_eq!(prepared.measure().sightings.len(), 2);
    bencher.bench_local(|| black_box(&prepared).measure());
}

/// And the twelve targets.
#[divan::bench]
fn twelve_targets_alone(bencher: Bencher) {
    let prepared = evening("none", &TARGETS);
    bencher.bench_local(|| black_box(&prepared).measure());
}
