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

fn plan() -> scenario::Plan {
    let mut text = "format = 1\n[night]\nbegin = 2027-03-06T20:30:00+01:00\nlength = \"5 h\"\nseed = 7\n\
                    [site]\nlatitude = \"40.5 deg\"\nlongitude = \"-4.5 deg\"\n\
                    [mount]\nkind = \"german-equatorial\"\n[alignment]\nmethod = \"two-star\"\n"
        .to_owned();
    for target in TARGETS {
        text += &format!("[[observe]]\ntarget = \"{target}\"\n");
    }
    scenario::read(&text).unwrap_or_else(|found| panic!("{}: {}", found[0].key, found[0].problem))
}

fn evening() -> Prepared {
    prepare(&plan()).unwrap_or_else(|found| panic!("{}: {}", found[0].key, found[0].problem))
}

/// From switching on to the last look; the places of the stars are known from the first time.
#[divan::bench]
fn two_stars_and_twelve_targets(bencher: Bencher) {
    let prepared = evening();
    let outcome = prepared.measure();
    assert_eq!(outcome.sightings.len(), 2);
    assert!(outcome.gotos.iter().all(|row| row.look.is_some()), "a target was not reached");
    bencher.bench_local(|| black_box(&prepared).measure());
}

/// The same, made ready from the file's plan: the draws of mount and set-up, too.
#[divan::bench]
fn with_its_set_up(bencher: Bencher) {
    let plan = plan();
    bencher.bench_local(|| prepare(black_box(&plan)).map(|night| night.measure()).ok());
}
