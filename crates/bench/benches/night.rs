//! What a whole night costs: ten hours, forty targets, 36 000 samples.
//!
//! The claims to hold, without files: 9 ms with a perfect mount, 20 ms with a worn one, 60 ms with a worn one in the wind;
//! nights without samples cost the same whatever their length.

use bench::{Prepared, prepare};
use divan::{Bencher, black_box};
use std::fmt::Write;

fn main() {
    divan::main();
}

const TARGETS: usize = 40;
/// What each target is watched for: 900 samples.
const DWELL: &str = "791.2 s";
/// From the first minute to the end of the night.
const WIND: &str = "[[disturb]]\nat = \"20:31\"\nkind = \"wind\"\nspeed = \"18 km/h\"\ngusts = \"17 %\"\n\
                    from = \"310 deg\"\nlasts = \"9.9 h\"\n";

/// A night of so many hours with forty targets, spread over it; each is watched for `dwell`, if it is.
fn text(grade: &str, hours: usize, dwell: Option<&str>) -> String {
    let mut text = format!(
        "format = 1\n[night]\nbegin = 2027-03-06T20:30:00+01:00\nlength = \"{hours} h\"\nsample_every = \"880 ms\"\n\
         [site]\nlatitude = \"40.5 deg\"\nlongitude = \"-4.5 deg\"\n\
         [mount]\nkind = \"german-equatorial\"\ngrade = \"{grade}\"\n\
         [mount.geometry]\ncone_error = \"5 arcmin\"\ntube_flexure = \"1.5 arcmin\"\n\
         [setup]\npolar_altitude_error = \"15 arcmin\"\npolar_azimuth_error = \"-24 arcmin\"\n"
    );
    for index in 0..TARGETS {
        // Sidereal time is 92° at the begin; a target for every quarter of an hour, two hours east of the meridian then.
        let advance = if dwell.is_some() { 3.6 * index as f64 } else { 0.1 * index as f64 };
        let (ra, dec) = ((122.0 + advance) % 360.0, 10 + 20 * (index % 3));
        let _ = write!(text, "[[observe]]\nra = \"{ra:.3} deg\"\ndec = \"{dec} deg\"\n");
        if let Some(dwell) = dwell {
            let _ = writeln!(text, "dwell = \"{dwell}\"");
        }
    }
    text
}

fn night(text: &str) -> Prepared {
    let plan = scenario::read(text).unwrap_or_else(|found| panic!("{}: {}", found[0].key, found[0].problem));
    prepare(&plan).unwrap_or_else(|found| panic!("{}: {}", found[0].key, found[0].problem))
}

/// A night with all its samples, which is what the figures are about.
fn sampled(text: &str) -> Prepared {
    let prepared = night(text);
    let outcome = prepared.measure();
    assert_eq!(outcome.samples.len(), 36_000);
    assert!(outcome.gotos.iter().all(|row| row.look.is_some()), "a target was not reached");
    prepared
}

/// Played again and again: the places of the stars are known from the first time.
#[divan::bench(args = ["perfect", "worn"])]
fn ten_hours_36000_samples(bencher: Bencher, grade: &str) {
    let prepared = sampled(&text(grade, 10, Some(DWELL)));
    bencher.bench_local(|| black_box(&prepared).measure());
}

/// The same with a worn mount in a steady wind with gusts, from the first minute to the last.
#[divan::bench]
fn ten_hours_36000_samples_worn_in_the_wind(bencher: Bencher) {
    let prepared = sampled(&(text("worn", 10, Some(DWELL)) + WIND));
    bencher.bench_local(|| black_box(&prepared).measure());
}

/// From the file's text on, everything made anew, the places of the stars, too.
#[divan::bench]
fn ten_hours_36000_samples_from_the_text(bencher: Bencher) {
    let text = text("perfect", 10, Some(DWELL));
    bencher.bench_local(|| night(black_box(&text)).measure());
}

/// Forty looks one after the other, in a night of that many hours.
#[divan::bench(args = [2, 10, 48])]
fn forty_looks_in_hours(bencher: Bencher, hours: usize) {
    let prepared = night(&text("perfect", hours, None));
    assert!(prepared.measure().gotos.iter().all(|row| row.look.is_some()), "a target was not reached");
    bencher.bench_local(|| black_box(&prepared).measure());
}

const EVENING: &str = include_str!("../../../fixtures/scenarios/built-in/school-field.toml");

/// The built-in night, which is full of lines: without and with its journal.
#[divan::bench]
fn built_in_night(bencher: Bencher) {
    let prepared = night(EVENING);
    bencher.bench_local(|| black_box(&prepared).measure());
}

#[divan::bench]
fn built_in_night_with_its_journal(bencher: Bencher) {
    let prepared = night(EVENING);
    bencher.bench_local(|| black_box(&prepared).measure_with_lines());
}

/// Its journal played again; then its last instant from the copies on the way.
#[divan::bench]
fn built_in_night_replayed(bencher: Bencher) {
    let prepared = night(EVENING);
    let (_, journal) = prepared.measure_with_lines();
    bencher.bench_local(|| prepared.replay(black_box(&journal)).expect("its own journal").play_to(None));
}

#[divan::bench]
fn last_instant_of_a_replayed_night(bencher: Bencher) {
    let prepared = night(EVENING);
    let (_, journal) = prepared.measure_with_lines();
    let mut replay = prepared.replay(&journal).expect("its own journal");
    replay.play_to(None);
    bencher.bench_local(|| black_box(&mut replay).play_to(None));
}
