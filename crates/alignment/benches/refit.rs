//! Speed of what the mount's computer does after every sighting, on one core.
//!
//! Budget: a full refit with 30 sightings in at most 200 µs, a ranking of 300 candidates over a map of 500 places in at
//! most 5 ms.

use alignment::{
    Aim, Criterion, Effort, Method, Model, Priors, Sense, Sighting, fit, questions, rank, sky_map, usual_aim,
};
use divan::{Bencher, black_box};
use kinematics::{AxisAngles, Branch, Kind, frames};
use units::{Angle, Instant};

fn main() {
    divan::main();
}

const KIND: Kind = Kind::GermanEquatorial;

fn latitude() -> Angle {
    Angle::from_degrees(50.0)
}

/// Sightings all over the sky of a mount with errors of every kind, each off by some tens of arcseconds.
fn sightings(count: usize) -> Vec<Sighting> {
    let mut truth = Model::unaligned(KIND, latitude()).chain().geometry().to_owned();
    truth.base = frames::rz(Angle::from_arcmin(40.0)) * frames::rx(Angle::from_arcmin(25.0)) * truth.base;
    truth.zero_second = Angle::from_arcmin(-20.0);
    truth.cone_error = Angle::from_arcmin(10.0);
    truth.axis_skew = Angle::from_arcmin(4.0);
    truth.tube_flexure = Angle::from_arcmin(2.0);
    let truth = kinematics::Chain::new(truth);
    (0..count)
        .map(|k| {
            let place = sky_map(KIND, latitude(), Angle::from_degrees(20.0), count)[k];
            let shift = Angle::from_arcsec(((k * 37) % 61) as f64 - 30.0).radians();
            let seen = (place.direction + nalgebra::Vector3::new(shift, -shift, shift)).normalize();
            Sighting {
                at: Instant::J2000_TAI,
                direction: place.direction,
                dials: truth.dials_for(&seen, place.branch).expect("reachable"),
                branch: place.branch,
                approach: [Sense::Unknown; 2],
                sigma: Angle::from_arcsec(60.0),
                power_on: 1,
                name: String::from("star"),
            }
        })
        .collect()
}

#[divan::bench(args = [2, 6, 30])]
fn refit(bencher: Bencher, count: usize) {
    let (priors, stars) = (Priors::usual(KIND, latitude()), sightings(count));
    bencher.bench(|| fit(Method::ManyStar, KIND, latitude(), &priors, black_box(&stars)).expect("a model"));
}

#[divan::bench]
fn rotation_of_two(bencher: Bencher) {
    let (priors, stars) = (Priors::usual(KIND, latitude()), sightings(2));
    bencher.bench(|| fit(Method::TwoStar, KIND, latitude(), &priors, black_box(&stars)).expect("a model"));
}

#[divan::bench]
fn next_of_300_over_500_places(bencher: Bencher) {
    let priors = Priors::usual(KIND, latitude());
    let model = fit(Method::ManyStar, KIND, latitude(), &priors, &sightings(2)).expect("a model");
    let map = sky_map(KIND, latitude(), Angle::from_degrees(15.0), 500);
    let candidates: Vec<Aim> = sky_map(KIND, latitude(), Angle::from_degrees(20.0), 300);
    let effort = Effort { from: AxisAngles::default(), degrees_per_second: 3.0, minutes_per_star: 1.5 };
    bencher.bench(|| {
        rank(&model, &map, black_box(&candidates), Angle::from_arcmin(1.0), &effort, Criterion::Average)
    });
}

#[divan::bench]
fn dials_and_expected_error(bencher: Bencher) {
    let model = Model::unaligned(KIND, latitude());
    let target =
        usual_aim(KIND, latitude(), frames::direction(Angle::from_degrees(200.0), Angle::from_degrees(40.0)));
    bencher.bench(|| model.predicted_error(black_box(&target.direction), Branch::Direct).expect("reachable"));
}

#[divan::bench]
fn asking_after_two_stars(bencher: Bencher) {
    let priors = Priors::usual(KIND, latitude());
    let mut stars = sightings(2);
    let hour = frames::rz(Angle::from_degrees(15.0));
    for star in &mut stars {
        star.direction = hour * star.direction;
    }
    bencher.bench(|| questions(KIND, latitude(), Angle::from_degrees(9.0), &priors, black_box(&stars)));
}
