//! What a whole night costs: ten hours, forty targets, 36 000 samples.
//!
//! The claims to hold: 9 ms without files; nights without samples cost the same whatever their length.

use bench::{Prepared, prepare};
use divan::{Bencher, black_box};
use std::fmt::Write;

fn main() {
    divan::main();
}

const TARGETS: usize = 40;

/// A night of so many hours with forty targets, spread over it; each is watched for `dwell`, if it is.
fn text(hours: usize, dwell: Option<&str>) -> String {
    let mut text = format!(
        "format = 1\n[night]\nbegin = 2027-03-06T20:30:00+01:00\nlength = \"{hours} h\"\nsample_every = \"900 ms\"\n\
         [site]\nlatitude = \"40.5 deg\"\nlongitude = \"-4.5 deg\"\n\
         [mount]\nkind = \"german-equatorial\"\ngrade = \"perfect\"\n\
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

/// 900 samples for each of forty targets.
fn sampled() -> Prepared {
    let prepared = night(&text(10, Some("809.1 s")));
    let outcome = prepared.measure();
    assert_eq!(outcome.samples.len(), 36_000);
    assert!(outcome.gotos.iter().all(|row| row.look.is_some()), "a target was not reached");
    prepared
}

/// Played again and again: the places of the stars are known from the first time.
#[divan::bench]
fn ten_hours_36000_samples(bencher: Bencher) {
    let prepared = sampled();
    bencher.bench_local(|| black_box(&prepared).measure());
}

/// From the file's text on, everything made anew, the places of the stars, too.
#[divan::bench]
fn ten_hours_36000_samples_from_the_text(bencher: Bencher) {
    let text = text(10, Some("809.1 s"));
    bencher.bench_local(|| night(black_box(&text)).measure());
}

/// Forty looks one after the other, in a night of that many hours.
#[divan::bench(args = [2, 10, 48])]
fn forty_looks_in_hours(bencher: Bencher, hours: usize) {
    let prepared = night(&text(hours, None));
    assert!(prepared.measure().gotos.iter().all(|row| row.look.is_some()), "a target was not reached");
    bencher.bench_local(|| black_box(&prepared).measure());
}
