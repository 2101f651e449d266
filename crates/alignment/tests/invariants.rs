//! Mirrors, and promises of circles.

mod common;

use alignment::{Covariance2, Method, Priors, fit};
use common::{Draws, Truth, arcmin, deg};
use kinematics::{Branch, Kind};
use nalgebra::Matrix2;
use proptest::prelude::*;
use units::Angle;

/// Σ = 10′ in a field of 50′: 0.95606; radii of 50, 68 and 95 %: 1.1774, 1.5096, 2.4477 σ.
#[test]
fn a_round_covariance_has_the_known_circles() {
    let sigma = arcmin(10.0);
    let round = Covariance2 { east: 0.0, east_north: 0.0, north: 0.0 }
        .plus_isotropic(sigma.radians() * sigma.radians());
    assert!((round.share_within(arcmin(25.0)) - 0.956_06).abs() < 5e-6);
    for (share, radius) in [(0.50, 1.1774), (0.68, 1.5096), (0.95, 2.4477)] {
        assert!((round.radius_of_share(share) / sigma - radius).abs() < 5e-5);
    }
    assert!((round.rms() / sigma - 2.0_f64.sqrt()).abs() < 1e-12);
}

/// An ellipse's circles against a Monte Carlo.
#[test]
fn an_ellipse_has_the_circles_of_its_draws() {
    let ellipse = Covariance2 { east: 9.0e-6, east_north: 2.0e-6, north: 1.0e-6 };
    let root: Matrix2<f64> = ellipse.matrix().cholesky().expect("a covariance").l();
    let (long, short) = ellipse.semi_axes();
    let product = long.radians() * short.radians();
    assert!((product * product / (9.0e-12 - 4.0e-12) - 1.0).abs() < 1e-12);
    let mut draws = Draws::new(80);
    const TRIALS: usize = 20_000;
    for share in [0.5, 0.68, 0.95] {
        let radius = ellipse.radius_of_share(share).radians();
        let within = (0..TRIALS)
            .filter(|_| (root * nalgebra::Vector2::new(draws.normal(), draws.normal())).norm() < radius)
            .count() as f64
            / TRIALS as f64;
        // Standard error √(p(1−p)/20000) = 0.0035 at most; three of those.
        assert!((within - share).abs() < 0.011, "{share}: {within}");
    }
    // A line: one dimension, where 68.27 % are within one σ.
    let line = Covariance2 { east: 1.0e-6, east_north: 0.0, north: 0.0 };
    assert!((line.share_within(Angle::from_radians(1e-3)) - 0.6827).abs() < 1e-3);
    assert!(line.squared_distance(&nalgebra::Vector2::new(0.0, 1e-3)).is_infinite());
}

fn any_truth() -> impl Strategy<Value = Truth> {
    (
        -70.0..70.0_f64,
        (-60.0..60.0_f64, -90.0..90.0_f64, -40.0..40.0_f64, -40.0..40.0_f64),
        (-8.0..8.0_f64, -20.0..20.0_f64, 0.0..4.0_f64),
    )
        .prop_map(|(latitude, (altitude, azimuth, first, second), (skew, cone, flexure))| Truth {
            polar_altitude: altitude,
            polar_azimuth: azimuth,
            zero_first: first,
            zero_second: second,
            skew,
            cone,
            flexure,
            ..Truth::perfect(Kind::GermanEquatorial, latitude)
        })
}

/// Stars above the horizon at this latitude: hour angle and declination about the meridian, half-way up.
fn stars(truth: &Truth, east_west: f64, north_south: f64) -> Vec<alignment::Sighting> {
    [(-50.0, -12.0), (-30.0, 25.0), (-12.0, 5.0), (18.0, 30.0), (35.0, -5.0), (52.0, 12.0)]
        .iter()
        .map(|&(hour, off)| {
            let declination = truth.latitude * 0.6 + off * north_south;
            let hour = hour * east_west;
            let branch = if hour * east_west < 0.0 { Branch::Direct } else { Branch::ThroughPole };
            truth.sight(hour, declination, branch)
        })
        .collect()
}

fn values(truth: &Truth, east_west: f64, north_south: f64) -> Vec<f64> {
    let priors = Priors::usual(truth.kind, truth.latitude());
    let model =
        fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars(truth, east_west, north_south))
            .expect("a model");
    model.parameters().iter().map(|value| value * 206_264.806).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// East and west: hour → −hour with azimuth, hour zero, skew and cone reversed is the same night in a mirror,
    /// and so the same fit in a mirror.
    #[test]
    fn east_and_west_are_mirrors(truth in any_truth()) {
        let mirrored = Truth {
            polar_azimuth: -truth.polar_azimuth,
            zero_first: -truth.zero_first,
            skew: -truth.skew,
            cone: -truth.cone,
            ..truth
        };
        let (here, there) = (values(&truth, 1.0, 1.0), values(&mirrored, -1.0, 1.0));
        // First zero, axis east, skew and cone turn their sign.
        let signs = [-1.0, 1.0, -1.0, 1.0, -1.0, -1.0, 1.0];
        for ((a, b), sign) in here.iter().zip(&there).zip(signs) {
            // 1e-5″: rounding through an iteration that rests at a nanoarcsecond, with flexure and cone nearly alike.
            prop_assert!((a - b * sign).abs() < 1e-5, "{here:?} {there:?}");
        }
    }

    /// North and south: latitude and declination reversed, with both polar errors, declination zero and skew.
    #[test]
    fn north_and_south_are_mirrors(truth in any_truth()) {
        let mirrored = Truth {
            latitude: -truth.latitude,
            polar_altitude: -truth.polar_altitude,
            polar_azimuth: -truth.polar_azimuth,
            zero_second: -truth.zero_second,
            skew: -truth.skew,
            ..truth
        };
        let (here, there) = (values(&truth, 1.0, 1.0), values(&mirrored, 1.0, -1.0));
        let signs = [1.0, -1.0, -1.0, -1.0, -1.0, 1.0, 1.0];
        for ((a, b), sign) in here.iter().zip(&there).zip(signs) {
            prop_assert!((a - b * sign).abs() < 1e-5, "{here:?} {there:?}");
        }
    }

    /// The same sightings in another order are the same model.
    #[test]
    fn order_does_not_matter(truth in any_truth()) {
        let priors = Priors::usual(truth.kind, truth.latitude());
        let forward = stars(&truth, 1.0, 1.0);
        let mut backward = forward.clone();
        backward.reverse();
        let model = |stars: &[alignment::Sighting]| {
            *fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, stars).expect("a model").parameters()
        };
        prop_assert!((model(&forward) - model(&backward)).amax() < 1e-11);
    }
}

/// The rotation-only model and the full one are both there to be compared: on a cone of 20′ the flip shows it.
#[test]
fn the_flip_shows_what_the_rotation_leaves_out() {
    let truth = Truth { cone: 20.0, ..Truth::perfect(Kind::GermanEquatorial, 50.0) };
    let priors = Priors::usual(truth.kind, truth.latitude());
    let pair = [truth.sight(-50.0, 15.0, Branch::Direct), truth.sight(-15.0, 50.0, Branch::Direct)];
    let all: Vec<_> = pair
        .iter()
        .cloned()
        .chain([truth.sight(30.0, 10.0, Branch::ThroughPole), truth.sight(50.0, 45.0, Branch::ThroughPole)])
        .collect();
    let miss = |model: &alignment::Model| {
        let target = common::place(truth.kind, 50.0, 20.0, 20.0);
        let dials = model.dials_for(&target, Branch::ThroughPole).expect("reachable");
        kinematics::frames::separation(&truth.chain().boresight_from_dials(dials), &target)
    };
    let rotation = fit(Method::TwoStar, truth.kind, truth.latitude(), &priors, &pair).expect("a model");
    let full = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &all).expect("a model");
    assert!(miss(&rotation) > arcmin(30.0));
    // Exact sightings, but priors that expect a cone of 10′ hold it back a little.
    assert!(miss(&full) < arcmin(1.0));
    assert!(deg(1.0) > miss(&rotation));
}
