//! What one sample of the truth costs beside the library's own quickest step, and one request from its line to its reply,
//! in one run.
//!
//! The claims to hold: a sample while tracking costs no more than `aper13` + `atioq`, while slewing no more than one and a
//! half of them, with a worn mount while tracking no more than twice them; one status request takes 2 µs; letting time pass costs the same for an hour and for a night.

use divan::{Bencher, black_box, counter::ItemsCount};
use protocol::{Device, Session};
use sky::{Source, StarPlace, Track};
use sofars::astro::{IauAstrom, aper13, apio13, atioq};
use units::{Angle, Span};
use world::{World, WorldSpec};

fn main() {
    divan::main();
}

const SAMPLES: i64 = 1000;

/// A German mount with every error of the geometry.
const NIGHT: &str = r#"
format = 1
[night]
begin = 2027-03-06T20:30:00+01:00
length = "48 h"
[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"
height = "440 m"
[mount]
kind = "german-equatorial"
grade = "GRADE"
[mount.geometry]
cone_error = "5 arcmin"
axis_skew = "2 arcmin"
tube_flexure = "1.5 arcmin"
[setup]
polar_altitude_error = "15 arcmin"
polar_azimuth_error = "-24 arcmin"
home_hour_error = "3 arcmin"
"#;

fn spec(grade: &str) -> WorldSpec {
    let plan = scenario::read(&NIGHT.replace("GRADE", grade)).expect("a scenario");
    bench::prepare(&plan).expect("a night").world_spec().clone()
}

fn star(spec: &WorldSpec, declination: f64) -> Track {
    let place = StarPlace::fixed(Angle::from_degrees(130.0), Angle::from_degrees(declination));
    spec.geocentre.track(&Source::Star(place))
}

/// A world that tracks the star, ten minutes after its begin, and the star's places.
fn tracking(grade: &str) -> (World, Session, Track) {
    let spec = spec(grade);
    let track = star(&spec, 20.0);
    let mut world = World::new(spec).expect("a mount");
    let session = world.connect();
    world.receive(session, b"goto ra=130deg dec=20deg\n");
    world.advance_to(world.now() + Span::from_whole_seconds(600));
    world.receive(session, b"status\n");
    let mut said = Vec::new();
    world.transmit(session, &mut said);
    assert!(String::from_utf8_lossy(&said).contains("state=tracking"), "it does not track");
    // The knots of the hours in question are made once a night, not once a sample.
    track.cirs(world.now());
    (world, session, track)
}

/// From home the star is thirty seconds away: in the middle both axes are in full slew.
fn slewing() -> (World, Session, Track) {
    let spec = spec("perfect");
    let track = star(&spec, -20.0);
    let mut world = World::new(spec).expect("a mount");
    let session = world.connect();
    world.receive(session, b"goto ra=130deg dec=-20deg\n");
    let mut said = Vec::new();
    world.transmit(session, &mut said);
    assert!(String::from_utf8_lossy(&said).starts_with("ok job=1 seconds="), "it does not slew");
    track.cirs(world.now());
    (world, session, track)
}

/// Time passes to each instant, and the truth is asked there: both directions, their azimuths and altitudes, the error.
fn sampled(world: &mut World, track: &Track, every: Span) -> f64 {
    let first = world.now();
    let mut sum = 0.0;
    for step in 0..SAMPLES {
        world.advance_to(black_box(first + every * step));
        let sample = world.truth().sample(track);
        sum += sample.target_horizontal.0.radians() + sample.boresight_horizontal.1.radians();
        sum += sample.error.0.radians() + sample.error.1.radians();
    }
    sum
}

#[divan::bench(args = ["perfect", "worn"])]
fn sample_while_tracking(bencher: Bencher, grade: &str) {
    bencher
        .counter(ItemsCount::new(SAMPLES as u64))
        .with_inputs(|| tracking(grade))
        .bench_local_refs(|(world, _, track)| sampled(world, track, Span::from_whole_seconds(1)));
}

#[divan::bench]
fn sample_while_slewing(bencher: Bencher) {
    bencher
        .counter(ItemsCount::new(SAMPLES as u64))
        .with_inputs(slewing)
        .bench_local_refs(|(world, _, track)| sampled(world, track, Span::from_nanoseconds(25_000_000)));
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
            aper13(day, black_box(second as f64 / 86_400.0), &mut astrom);
            let (azimuth, zenith_distance, ..) = atioq(2.27, 0.35, &astrom);
            sum += azimuth + zenith_distance;
        }
        sum
    });
}

/// Bytes in, line cut, words read, request obeyed, reply written, bytes out.
#[divan::bench(args = ["status\n", "@17 status\n", "status group=pointing\n", "axes\n"])]
fn request_to_reply(bencher: Bencher, line: &str) {
    let (mut world, session, _) = tracking("perfect");
    let mut said = Vec::with_capacity(256);
    bencher.bench_local(|| {
        said.clear();
        world.receive(session, black_box(line.as_bytes()));
        world.transmit(session, &mut said);
        said.len()
    });
}

/// Hours that pass without a question, and one look at their end, whose hour of the sky has been made.
#[divan::bench(args = [1, 3, 9, 27])]
fn hours_without_samples(bencher: Bencher, hours: i64) {
    bencher
        .with_inputs(|| {
            let (world, session, track) = tracking("perfect");
            track.cirs(world.now() + Span::from_whole_seconds(3600) * hours);
            (world, session, track)
        })
        .bench_local_refs(|(world, _, track)| {
            world.advance_to(world.now() + Span::from_whole_seconds(3600) * black_box(hours));
            world.truth().sample(track).error.0.radians()
        });
}
