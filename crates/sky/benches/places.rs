//! What one place costs, beside the library's own quickest step, in one run.
//!
//! The claim to hold: a star's place with azimuth and altitude costs no more than `aper13` + `atioq`.

use divan::{Bencher, black_box, counter::ItemsCount};
use sky::{Air, Body, Geocentre, Site, Source, StarPlace, Station, place_exact};
use sofars::astro::{IauAstrom, aper13, apio13, atioq};
use std::sync::Arc;
use units::{Angle, Instant, Length, Span};

fn main() {
    divan::main();
}

const SAMPLES: i64 = 1000;
const UT1_MINUS_TAI: Span = Span::from_whole_seconds(-37);

fn begin() -> Instant {
    Instant::J2000_TAI + Span::DAY * 9_926
}

fn site() -> Site {
    let (latitude, longitude) = (Angle::from_degrees(40.5), Angle::from_degrees(-4.5));
    Site::new(latitude, longitude, Length::from_metres(440.0)).expect("a site")
}

fn star() -> Source {
    Source::Star(StarPlace::fixed(Angle::from_degrees(152.0), Angle::from_degrees(12.0)))
}

/// Azimuth and altitude at a thousand instants, one a second.
fn ours(bencher: Bencher, source: &Source) {
    let station = Station::new(site(), Air::standard(Length::from_metres(440.0)), UT1_MINUS_TAI);
    let geocentre = Arc::new(Geocentre::new(begin(), begin() + Span::DAY));
    let track = geocentre.track(source);
    bencher.counter(ItemsCount::new(SAMPLES as u64)).bench_local(|| {
        let mut sum = 0.0;
        for second in 0..SAMPLES {
            let at = black_box(begin() + Span::from_whole_seconds(second));
            let seen = station.observe(&track.cirs(at), at);
            sum += seen.azimuth().radians() + seen.altitude().radians();
        }
        sum
    });
}

#[divan::bench]
fn star_through_knots(bencher: Bencher) {
    ours(bencher, &star());
}

#[divan::bench]
fn moon_through_knots(bencher: Bencher) {
    ours(bencher, &Source::Body(Body::Moon));
}

#[divan::bench]
fn star_as_vectors_only(bencher: Bencher) {
    let station = Station::new(site(), Air::standard(Length::from_metres(440.0)), UT1_MINUS_TAI);
    let geocentre = Arc::new(Geocentre::new(begin(), begin() + Span::DAY));
    let track = geocentre.track(&star());
    bencher.counter(ItemsCount::new(SAMPLES as u64)).bench_local(|| {
        let mut sum = 0.0;
        for second in 0..SAMPLES {
            let at = black_box(begin() + Span::from_whole_seconds(second));
            sum += station.observe(&track.cirs(at), at).refracted.z;
        }
        sum
    });
}

/// The library's quickest step: rotation moved on, intermediate place to observed angles.
#[divan::bench]
fn library_aper13_and_atioq(bencher: Bencher) {
    let mut astrom = IauAstrom::default();
    let (day, latitude, longitude) = (2_461_471.0, 40.5_f64.to_radians(), (-4.5_f64).to_radians());
    apio13(day, 0.0, 0.0, longitude, latitude, 440.0, 0.0, 0.0, 960.0, 10.0, 0.5, 0.55, &mut astrom)
        .expect("a context");
    bencher.counter(ItemsCount::new(SAMPLES as u64)).bench_local(|| {
        let mut sum = 0.0;
        for second in 0..SAMPLES {
            let part = black_box(second as f64 / 86_400.0);
            aper13(day, part, &mut astrom);
            let (azimuth, zenith_distance, ..) = atioq(2.66, 0.2, &astrom);
            sum += azimuth + zenith_distance;
        }
        sum
    });
}

/// The long way, for one place.
#[divan::bench]
fn place_by_the_long_way() -> f64 {
    let air = Air::standard(Length::from_metres(440.0));
    place_exact(&star(), black_box(begin()), &site(), &air, UT1_MINUS_TAI).refracted.altitude.radians()
}
