//! What a night costs with its files: ten hours, forty targets, 36 000 samples, `night.json` and `samples.csv` in a folder.
//!
//! The claim to hold: 80 ms.

use bench::{Outcome, Prepared};
use divan::{Bencher, black_box};
use report::{NIGHT_FILE, OutFolder, OutputFile, SAMPLES_FILE, night_json, samples_csv};
use std::fmt::Write;
use tests::mount::{NIGHT, night};

fn main() {
    divan::main();
}

fn prepared() -> Prepared {
    let mut text = NIGHT.replace("length = \"5 h\"", "length = \"10 h\"\nsample_every = \"900 ms\"");
    text.push_str(
        "[mount.geometry]\ncone_error = \"5 arcmin\"\n[setup]\npolar_altitude_error = \"15 arcmin\"\n",
    );
    for index in 0..40 {
        // Sidereal time is 92° at the begin; a target for every quarter of an hour, two hours east of the meridian then.
        let (ra, dec) = ((122.0 + 3.6 * f64::from(index)) % 360.0, 10 + 20 * (index % 3));
        let _ = write!(text, "[[observe]]\nra = \"{ra:.3} deg\"\ndec = \"{dec} deg\"\ndwell = \"809.1 s\"\n");
    }
    night(&text)
}

fn outcome() -> Outcome {
    let outcome = prepared().measure();
    assert_eq!(outcome.samples.len(), 36_000);
    outcome
}

/// Both files, whole or not at all, into a folder that is there.
fn written(folder: &OutFolder, outcome: &Outcome) {
    let (samples, night) = (samples_csv(outcome), night_json(outcome));
    let files = [
        OutputFile { name: SAMPLES_FILE, bytes: samples.as_bytes() },
        OutputFile { name: NIGHT_FILE, bytes: night.as_bytes() },
    ];
    folder.write(&files).unwrap_or_else(|error| panic!("{error}"));
}

#[divan::bench]
fn measured_and_written(bencher: Bencher) {
    let place = tempfile::tempdir().expect("a folder");
    let folder = OutFolder::open(place.path()).expect("a folder");
    let prepared = prepared();
    bencher.bench_local(|| written(&folder, &black_box(&prepared).measure()));
}

#[divan::bench]
fn written_alone(bencher: Bencher) {
    let place = tempfile::tempdir().expect("a folder");
    let folder = OutFolder::open(place.path()).expect("a folder");
    let outcome = outcome();
    bencher.bench_local(|| written(&folder, black_box(&outcome)));
}

#[divan::bench]
fn samples_as_text(bencher: Bencher) {
    let outcome = outcome();
    bencher.bench_local(|| samples_csv(black_box(&outcome)));
}
