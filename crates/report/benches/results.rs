//! What results cost: ten hours of samples at one a second, and forty targets with a dwell each.
//!
//! To hold, on one core: the samples as CSV in 40 ms and as Parquet in 50 ms; the page in 300 ms and 3 MB.

#[path = "../tests/common/mod.rs"]
mod common;

use bench::Outcome;
use units::Span;

fn main() {
    divan::main();
}

/// Ten hours of dwells, 36 000 samples; forty targets.
fn long_night() -> Outcome {
    let mut outcome = common::eventful();
    let first = outcome.samples[0];
    outcome.samples = (0..36_000_i64)
        .map(|second| {
            let turned = units::Angle::from_arcsec(15.041_067 * second as f64);
            let mut sample = first;
            // Forty dwells of 900 samples.
            sample.dwell = (second / 900) as usize;
            sample.at = first.at + Span::from_whole_seconds(second);
            sample.target.0 = first.target.0 + turned;
            sample.boresight.0 = first.boresight.0 + turned;
            sample.error_east = turned * 1e-4;
            sample.axes.0 = first.axes.0 + turned;
            sample.dials.0 = first.dials.0 + turned;
            sample
        })
        .collect();
    outcome.gotos = vec![outcome.gotos[0].clone(); 40];
    (outcome.scene.begin, outcome.scene.end) = (first.at, first.at + Span::from_whole_seconds(36_000));
    outcome.dwells = vec![outcome.dwells[0].clone(); 40];
    for (dwell, first) in outcome.dwells.iter_mut().zip(outcome.samples.iter().step_by(900)) {
        (dwell.begin, dwell.length) = (first.at, Span::from_whole_seconds(900));
    }
    outcome
}

#[divan::bench]
fn samples_of_ten_hours(bencher: divan::Bencher) {
    let outcome = long_night();
    bencher.bench_local(|| report::samples_csv(&outcome));
}

#[divan::bench]
fn night_of_forty_targets(bencher: divan::Bencher) {
    let outcome = long_night();
    bencher.bench_local(|| report::night_json(&outcome));
}

#[divan::bench]
fn table_of_forty_targets(bencher: divan::Bencher) {
    let outcome = long_night();
    let style = report::TableStyle { colour: true, unicode: true };
    bencher.bench_local(|| report::night_table(&outcome, style));
}

#[divan::bench]
fn parquet_of_ten_hours(bencher: divan::Bencher) {
    let outcome = long_night();
    bencher.bench_local(|| report::samples_parquet(&outcome));
}

#[divan::bench]
fn page_of_ten_hours_and_forty_targets(bencher: divan::Bencher) {
    let outcome = long_night();
    let page = report::night_html(&outcome);
    assert!(page.len() <= 3_000_000, "the page has {} bytes", page.len());
    bencher.bench_local(|| report::night_html(&outcome));
}
