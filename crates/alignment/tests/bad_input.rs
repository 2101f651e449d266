//! Whatever comes in, a clear answer goes out, and never a silent bad model.

mod common;

use alignment::{FitError, Method, Priors, Sighting, fit};
use common::{Truth, arcmin, deg, place};
use kinematics::{Branch, Kind};
use units::Angle;

fn truth() -> Truth {
    Truth::crooked()
}

fn attempt(method: Method, sightings: &[Sighting]) -> Result<alignment::Model, FitError> {
    let truth = truth();
    fit(method, truth.kind, truth.latitude(), &Priors::usual(truth.kind, truth.latitude()), sightings)
}

fn refused(method: Method, sightings: &[Sighting]) -> FitError {
    attempt(method, sightings).expect_err("must be refused")
}

fn star(hour: f64, declination: f64) -> Sighting {
    let branch = if hour < 0.0 { Branch::Direct } else { Branch::ThroughPole };
    truth().sight(hour, declination, branch)
}

/// Twelve stars all over the sky.
fn dozen() -> Vec<Sighting> {
    (0..12).map(|k| star(-66.0 + 12.0 * f64::from(k), f64::from((k * 7) % 12) * 6.0 - 4.0)).collect()
}

#[test]
fn too_few_stars() {
    assert_eq!(refused(Method::OneStar, &[]), FitError::TooFew { needed: 1, given: 0 });
    assert_eq!(refused(Method::TwoStar, &[star(-30.0, 20.0)]), FitError::TooFew { needed: 2, given: 1 });
    assert_eq!(refused(Method::ManyStar, &[]), FitError::TooFew { needed: 1, given: 0 });
    assert!(attempt(Method::None, &[]).is_ok());
}

#[test]
fn the_same_star_twice() {
    let once = star(-30.0, 20.0);
    let error = refused(Method::TwoStar, &[once.clone(), once.clone()]);
    assert_eq!(error, FitError::SameStar { name: once.name });
}

#[test]
fn two_stars_on_top_of_each_other_or_opposite() {
    let near = refused(Method::TwoStar, &[star(-30.0, 20.0), star(-25.0, 24.0)]);
    assert!(matches!(near, FitError::BadSeparation { separation, .. } if separation < deg(15.0)), "{near}");
    // On a level site at the equator two stars can stand opposite, both a little above the horizon.
    let flat = Truth::perfect(Kind::GermanEquatorial, 0.0);
    let opposite = [flat.sight(-88.0, 0.0, Branch::Direct), flat.sight(88.0, 1.0, Branch::ThroughPole)];
    let priors = Priors::usual(flat.kind, flat.latitude());
    let error = fit(Method::TwoStar, flat.kind, flat.latitude(), &priors, &opposite).expect_err("opposite");
    assert!(
        matches!(error, FitError::BadSeparation { separation, .. } if separation > deg(165.0)),
        "{error}"
    );
}

#[test]
fn below_the_horizon() {
    let low = star(-120.0, -10.0);
    let error = refused(Method::OneStar, &[low]);
    assert!(matches!(error, FitError::BelowHorizon { index: 0, altitude, .. } if altitude < Angle::ZERO));
    assert!(error.to_string().contains("below the horizon"), "{error}");
}

#[test]
fn numbers_that_are_none() {
    for spoil in [
        |s: &mut Sighting| s.direction.x = f64::NAN,
        |s: &mut Sighting| s.direction *= 2.0,
        |s: &mut Sighting| s.dials.first = Angle::from_radians(f64::INFINITY),
        |s: &mut Sighting| s.dials.second = Angle::from_radians(f64::NAN),
        |s: &mut Sighting| s.sigma = Angle::from_radians(f64::NAN),
        |s: &mut Sighting| s.sigma = Angle::ZERO,
        |s: &mut Sighting| s.sigma = -arcmin(1.0),
    ] {
        for method in [Method::OneStar, Method::TwoStar, Method::ManyStar] {
            let mut stars = vec![star(-50.0, 10.0), star(-10.0, 50.0)];
            spoil(&mut stars[1]);
            assert!(matches!(refused(method, &stars), FitError::NotFinite { index: 1, .. }));
        }
    }
}

#[test]
fn settings_that_are_none() {
    let stars = [star(-50.0, 10.0)];
    let good = Priors::usual(Kind::GermanEquatorial, deg(50.0));
    for latitude in [Angle::from_radians(f64::NAN), deg(91.0)] {
        let error =
            fit(Method::OneStar, Kind::GermanEquatorial, latitude, &good, &stars).expect_err("latitude");
        assert!(matches!(error, FitError::BadSetting { .. }));
    }
    let mut spoilt = good;
    spoilt.covariance[(2, 2)] = -1.0;
    let error =
        fit(Method::ManyStar, Kind::GermanEquatorial, deg(50.0), &spoilt, &stars).expect_err("priors");
    assert!(matches!(error, FitError::BadSetting { .. }));
}

#[test]
fn from_before_a_power_off() {
    let mut stars = vec![star(-50.0, 10.0), star(-10.0, 50.0)];
    stars[1].power_on = 2;
    for method in [Method::TwoStar, Method::ManyStar] {
        assert!(matches!(refused(method, &stars), FitError::FromBeforePowerOff { index: 0, .. }));
    }
}

#[test]
fn a_star_at_the_pole_fixes_no_hour() {
    assert!(matches!(refused(Method::OneStar, &[star(-30.0, 89.5)]), FitError::AtThePole { index: 0, .. }));
    // But among others it is welcome.
    assert!(attempt(Method::ManyStar, &[star(-30.0, 89.5), star(-50.0, 10.0)]).is_ok());
}

#[test]
fn two_stars_of_which_one_is_another() {
    let mut stars = vec![star(-50.0, 10.0), star(-10.0, 50.0)];
    // The neighbour stands 5° away towards the first.
    stars[1].direction = place(Kind::GermanEquatorial, 50.0, -14.0, 46.0);
    let check = alignment::separation_between(Kind::GermanEquatorial, deg(50.0), &stars[0], &stars[1]);
    assert!((check.by_dials - check.by_belief).abs() > deg(2.0) && check.in_sigmas.abs() > 50.0);
    let error = refused(Method::TwoStar, &stars);
    assert!(
        matches!(error, FitError::SeparationDisagrees { in_sigmas, .. } if in_sigmas.abs() > 4.0),
        "{error}"
    );
    let error = refused(Method::ManyStar, &stars);
    assert!(matches!(error, FitError::Contradictory { given: 2, .. }), "{error}");
}

#[test]
fn one_wrong_star_among_several_is_named() {
    for wrong in 0..5 {
        let mut stars = dozen()[..5].to_vec();
        let hour = -66.0 + 12.0 * wrong as f64;
        stars[wrong].direction = place(Kind::GermanEquatorial, 50.0, hour + 4.0, 30.0);
        let error = refused(Method::ManyStar, &stars);
        assert!(matches!(error, FitError::Culprit { index, .. } if index == wrong), "{wrong}: {error}");
        let error = refused(Method::TwoStar, &stars);
        assert!(matches!(error, FitError::Culprit { index, .. } if index == wrong), "{wrong}: {error}");
    }
}

#[test]
fn ten_wrong_of_twelve() {
    let mut stars = dozen();
    for (k, star) in stars.iter_mut().enumerate().take(10) {
        let shift = |n: usize| ((k * n) % 11) as f64 - 5.0;
        star.direction =
            place(Kind::GermanEquatorial, 50.0, -66.0 + 12.0 * k as f64 + shift(3), 30.0 + shift(7));
    }
    for method in [Method::ManyStar, Method::TwoStar] {
        let error = refused(method, &stars);
        assert!(matches!(error, FitError::Contradictory { given: 12, .. }), "{error}");
    }
}

#[test]
fn twelve_right_of_twelve_are_not_suspected() {
    assert!(attempt(Method::ManyStar, &dozen()).is_ok());
}

/// With what is expected of a mount beside them, stars in one place or opposite to each other make a model, and it says how little
/// it rests on: it promises no more elsewhere than one star does.
#[test]
fn the_full_model_of_one_place_promises_no_more_than_one_star() {
    let expected = |stars: &[Sighting]| {
        let model = attempt(Method::ManyStar, stars).expect("priors hold it");
        let far = place(Kind::GermanEquatorial, 50.0, 50.0, 40.0);
        (model.predicted_error(&far, Branch::ThroughPole).expect("reachable").rms(), model)
    };
    let once = star(-40.0, 20.0);
    let (alone, _) = expected(std::slice::from_ref(&once));
    for stars in [
        vec![once.clone(), once.clone()],
        vec![once.clone(), once.clone(), once.clone()],
        vec![once.clone(), star(-40.02, 20.02)],
    ] {
        let (rms, model) = expected(&stars);
        // Twice the star is a better centred star, no second one: the hour zero's part of its centring.
        assert!(rms > alone * 0.97 && rms > arcmin(10.0), "{} against {}", rms.arcmin(), alone.arcmin());
        let determined: Vec<_> =
            model.terms().into_iter().filter(|term| term.determined).map(|term| term.name).collect();
        assert!(determined.len() <= 2, "{determined:?}");
    }
    // Opposite stars, both a little above a level horizon.
    let flat = Truth::perfect(Kind::GermanEquatorial, 0.0);
    let opposite = [flat.sight(-88.0, 0.0, Branch::Direct), flat.sight(88.0, 1.0, Branch::ThroughPole)];
    let priors = Priors::usual(flat.kind, flat.latitude());
    let model =
        fit(Method::ManyStar, flat.kind, flat.latitude(), &priors, &opposite).expect("priors hold it");
    // Nothing tells how far the base is turned about the line that joins them.
    let azimuth = model.terms().into_iter().find(|term| term.name == "polar axis azimuth").expect("a term");
    let altitude = model.terms().into_iter().find(|term| term.name == "polar axis altitude").expect("a term");
    assert!(!(azimuth.determined && altitude.determined), "{azimuth:?} {altitude:?}");
}

/// A star that can't be seen is refused by every method, and one from before a power-off even where the newest alone would count.
#[test]
fn no_method_takes_what_can_not_be() {
    let mut low = star(-50.0, 10.0);
    low.direction.z = -low.direction.z;
    let mut old = star(-10.0, 50.0);
    old.power_on = 0;
    for method in [Method::OneStar, Method::TwoStar, Method::ManyStar] {
        let with = |bad: &Sighting| [bad.clone(), star(-30.0, 20.0), star(-5.0, 60.0)];
        assert!(matches!(refused(method, &with(&low)), FitError::BelowHorizon { index: 0, .. }));
        assert!(matches!(refused(method, &with(&old)), FitError::FromBeforePowerOff { index: 0, .. }));
    }
}

/// Suspicion says nothing about numbers that are none, and never takes them for sound.
#[test]
fn suspicion_of_numbers_that_are_none_is_silent() {
    let model = attempt(Method::ManyStar, &dozen()).expect("sound");
    for spoil in [
        |s: &mut Sighting| s.direction.x = f64::NAN,
        |s: &mut Sighting| s.dials.first = Angle::from_radians(f64::INFINITY),
        |s: &mut Sighting| s.sigma = Angle::from_radians(f64::NAN),
    ] {
        let mut bad = star(-20.0, 30.0);
        spoil(&mut bad);
        assert_eq!(model.innovation(&bad), None);
        assert_eq!(model.knock(&[bad.clone(), bad.clone()]), None);
        let candidate = alignment::Candidate {
            name: "any".into(),
            direction: star(-20.0, 30.0).direction,
            magnitude: 1.0,
        };
        // Not even the star itself is named where nobody knows how well it was centred, or where.
        let named = alignment::identities(&model, &bad, std::slice::from_ref(&candidate));
        assert!(named.iter().all(|one| one.share.is_finite()), "{named:?}");
        let truth = truth();
        let priors = Priors::usual(truth.kind, truth.latitude());
        let asked = alignment::questions(truth.kind, truth.latitude(), deg(5.0), &priors, &[bad.clone()]);
        assert!(matches!(asked, Err(FitError::NotFinite { index: 0, .. })));
    }
    let (mut one, mut other) = (star(-20.0, 30.0), star(-20.0, 30.0));
    one.approach = [alignment::Sense::Increasing; 2];
    other.approach = [alignment::Sense::Decreasing; 2];
    other.dials.first = Angle::from_radians(f64::NAN);
    let play = model.play_between(&one, &other).expect("reachable");
    assert!(play[0].is_none() && play[1].is_some());
}

/// Every refusal says what to do about it.
#[test]
fn refusals_read_as_sentences() {
    let errors = [
        refused(Method::OneStar, &[]),
        refused(Method::OneStar, &[star(-120.0, -10.0)]),
        refused(Method::TwoStar, &[star(-30.0, 20.0), star(-25.0, 24.0)]),
        refused(Method::OneStar, &[star(-30.0, 89.5)]),
    ];
    for error in errors {
        let text = error.to_string();
        assert!(["sight", "choose", "check", "again"].iter().any(|word| text.contains(word)), "{text}");
    }
}
