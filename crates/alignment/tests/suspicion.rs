//! Wrong stars, slips of the keyboard, knocks: what is noticed, what is named, and what is only asked.

mod common;

use alignment::{
    Candidate, FitError, Method, Moved, Priors, Sighting, Slip, Verdict, fit, identities, questions,
    replace_nearest, replace_oldest,
};
use common::{Draws, Truth, arcmin, deg, place};
use kinematics::{Branch, Kind, frames};
use units::{Angle, AngularRate, Instant, Span};

fn several() -> Vec<Sighting> {
    let truth = Truth::crooked();
    [(-60.0, 5.0), (-35.0, 50.0), (-15.0, 10.0), (20.0, 60.0), (40.0, 0.0), (65.0, 35.0)]
        .iter()
        .map(|&(h, d)| truth.sight(h, d, if h < 0.0 { Branch::Direct } else { Branch::ThroughPole }))
        .collect()
}

fn model() -> alignment::Model {
    let truth = Truth::crooked();
    let priors = Priors::usual(truth.kind, truth.latitude());
    fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &several()).expect("a model")
}

/// Query at 1 % (9.21), refuse at 0.1 % (13.82): p = e^(−d²/2).
#[test]
fn innovation_asks_at_one_percent_and_refuses_at_one_per_mille() {
    assert!((units::maths::exp(-alignment::ASK_BEYOND / 2.0) - 0.01).abs() < 1e-4);
    assert!((units::maths::exp(-alignment::REFUSE_BEYOND / 2.0) - 0.001).abs() < 1e-5);
    let model = model();
    let mut star = Truth::crooked().sight(10.0, 25.0, Branch::ThroughPole);
    let fine = model.innovation(&star).expect("finite");
    assert_eq!(fine.verdict, Verdict::Accept);
    assert!(fine.probability > 0.9);
    let (east, _) = alignment::rows::tangents(&star.direction, &model.celestial_pole());
    let exact = star.direction;
    let mut last = Verdict::Accept;
    for k in 0..60 {
        star.direction = (exact + east * arcmin(f64::from(k) * 0.2).radians()).normalize();
        let now = model.innovation(&star).expect("finite");
        let expected = if now.probability < 0.001 {
            Verdict::Refuse
        } else if now.probability < 0.01 {
            Verdict::Ask
        } else {
            Verdict::Accept
        };
        // The limits are printed to two decimals, so that the verdict may differ within 0.1 % of them.
        if (now.squared / 9.21 - 1.0).abs() > 1e-3 && (now.squared / 13.82 - 1.0).abs() > 1e-3 {
            assert_eq!(now.verdict, expected);
        }
        last = now.verdict;
    }
    assert_eq!(last, Verdict::Refuse);
    star.dials.first = Angle::from_radians(f64::NAN);
    assert_eq!(model.innovation(&star), None);
}

/// Sound sightings are asked about as often as promised: 1 % of 2000 is 20, give or take 4.5.
#[test]
fn sound_sightings_are_suspected_as_seldom_as_promised() {
    let model = model();
    let mut draws = Draws::new(40);
    let mut asked = 0;
    for _ in 0..2000 {
        let hour = draws.uniform() * 100.0 - 50.0;
        let branch = if hour < 0.0 { Branch::Direct } else { Branch::ThroughPole };
        let aim = place(Kind::GermanEquatorial, 50.0, hour, draws.uniform() * 50.0);
        // What the model believes, blurred by what it expects: its own uncertainty and the centring.
        let dials = model.dials_for(&aim, branch).expect("reachable");
        let mut star = common::sighting("star", aim, dials, branch);
        let spread = model.predicted_error(&aim, branch).expect("reachable");
        let (long, short) = spread.plus_isotropic(star.sigma.radians() * star.sigma.radians()).semi_axes();
        let size = Angle::from_radians(
            ((long.radians() * long.radians() + short.radians() * short.radians()) / 2.0).sqrt(),
        );
        star.direction = draws.blurred(&aim, size);
        if model.innovation(&star).expect("finite").verdict != Verdict::Accept {
            asked += 1;
        }
    }
    // The blur is round where the model's is an ellipse, which makes a few more.
    assert!((8..=45).contains(&asked), "{asked}");
}

#[test]
fn the_star_that_it_really_was_is_named() {
    let truth = Truth::crooked();
    let model = model();
    let at = |h: f64, d: f64| place(truth.kind, 50.0, h, d);
    // Claimed: a bright star at (30, 20); centred: its neighbour 6° away.
    let mut wrong = truth.sight(34.0, 24.5, Branch::ThroughPole);
    wrong.direction = at(30.0, 20.0);
    assert_eq!(model.innovation(&wrong).expect("finite").verdict, Verdict::Refuse);
    let candidate =
        |name: &str, h, d, magnitude| Candidate { name: name.to_owned(), direction: at(h, d), magnitude };
    let candidates = [
        candidate("claimed", 30.0, 20.0, 0.5),
        candidate("neighbour", 34.0, 24.5, 2.0),
        candidate("faint companion", 34.05, 24.55, 5.0),
        candidate("elsewhere", -20.0, 40.0, 0.0),
    ];
    let found = identities(&model, &wrong, &candidates);
    assert_eq!(candidates[found[0].index].name, "neighbour");
    assert!(found[0].share > 0.9 && found[0].distance < arcmin(1.0));
    assert!(found.iter().all(|one| one.index != 0 && one.index != 3), "degrees away is no identity");
}

fn asked(truth: &Truth, latitude: f64, longitude: f64, stars: &[Sighting]) -> Option<alignment::Question> {
    let priors = Priors::usual(truth.kind, deg(latitude));
    questions(truth.kind, deg(latitude), deg(longitude), &priors, stars).expect("usable")
}

fn has(question: &alignment::Question, wanted: impl Fn(&Slip) -> bool) -> bool {
    question.explanations.iter().any(|one| wanted(&one.slip))
}

/// The sighting as a machine writes it down whose belief is turned west by this hour angle.
fn believed_west(mut star: Sighting, latitude: f64, west: Angle) -> Sighting {
    let to_sky = frames::equatorial_to_topocentric(deg(latitude));
    let (hour, declination) = frames::hour_and_declination(&(to_sky.transpose() * star.direction));
    star.direction = to_sky * frames::equatorial_direction(hour + west, declination);
    star
}

/// An hour is 15.041°. A fast clock puts belief too far west, so the stars stand east of it.
#[test]
fn an_hour_is_asked_about() {
    let hour = Angle::from_degrees(AngularRate::SIDEREAL.degrees() * 3600.0);
    assert!((hour.degrees() - 15.041).abs() < 1e-3);
    let truth =
        Truth { polar_azimuth: 20.0, zero_first: 10.0, ..Truth::perfect(Kind::GermanEquatorial, 50.0) };
    for (sign, hours) in [(1.0, 1_i8), (-1.0, -1)] {
        let stars: Vec<Sighting> = [(-50.0, 10.0), (-20.0, 50.0)]
            .iter()
            .map(|&(h, d)| believed_west(truth.sight(h, d, Branch::Direct), 50.0, hour * sign))
            .collect();
        for count in [1, 2] {
            let question = asked(&truth, 50.0, 9.0, &stars[..count]).expect("must be asked");
            assert!((question.west.degrees() + sign * 15.04).abs() < 0.7, "{}", question.west.degrees());
            assert_eq!(question.explanations[0].slip, Slip::Hour(hours), "{question}");
            // One star can't tell clock, zone, longitude and home mark apart: the mark must be among what is asked.
            assert!(has(&question, |slip| matches!(slip, Slip::FirstMark(_))), "{question}");
            let text = question.to_string();
            assert!(text.ends_with('?') && text.contains("deg"), "{text}");
            assert!(text.starts_with(if count == 1 { "this star" } else { "both stars" }), "{text}");
        }
    }
}

#[test]
fn zone_longitude_and_date_are_asked_about() {
    let truth = Truth::perfect(Kind::GermanEquatorial, 50.0);
    let stars = |west: Angle| -> Vec<Sighting> {
        [(-50.0, 10.0), (-20.0, 50.0)]
            .iter()
            .map(|&(h, d)| believed_west(truth.sight(h, d, Branch::Direct), 50.0, west))
            .collect()
    };
    let hour = Angle::from_degrees(AngularRate::SIDEREAL.degrees() * 3600.0);
    let zone = asked(&truth, 50.0, 9.0, &stars(hour * 5.5)).expect("asked");
    assert!(has(&zone, |slip| *slip == Slip::Zone(22)), "{zone}");
    let sign = asked(&truth, 50.0, -23.0, &stars(deg(-46.0))).expect("asked");
    assert_eq!(sign.explanations[0].slip, Slip::LongitudeSign, "{sign}");
    // The instant of these sightings, 9000 days after 2000-01-01, is 2024-08-22: day and month can't be exchanged.
    assert!(!has(&sign, |slip| *slip == Slip::DayAndMonth));
    let mut exchanged = stars(Angle::ZERO);
    // 2027-03-06 believed, 2027-06-03 meant: 89 days early, each worth 0.9856°.
    let utc = sky::time::Utc::parse("2027-03-06T20:00:00Z").expect("a time");
    let at = sky::time::instant_from_utc(&utc).expect("in range");
    for star in &mut exchanged {
        star.at = at;
        *star = believed_west(star.clone(), 50.0, deg(-89.0 * 0.985_647_4));
    }
    let question = asked(&truth, 50.0, 9.0, &exchanged).expect("asked");
    assert!(has(&question, |slip| *slip == Slip::DayAndMonth), "{question}");
}

#[test]
fn the_other_hemisphere_is_asked_about() {
    // Truth at 35° south, 35° north entered; a level mount shows the wrong tilt, a German one its home at the other pole.
    let level = Truth::perfect(Kind::AltAzimuth, -35.0);
    let turn = frames::equatorial_to_topocentric(deg(35.0))
        * frames::equatorial_to_topocentric(deg(-35.0)).transpose();
    let stars: Vec<Sighting> = [(40.0, 50.0), (300.0, 40.0)]
        .iter()
        .map(|&(azimuth, altitude)| {
            let mut star = level.sight(azimuth, altitude, Branch::Direct);
            star.direction = turn * star.direction;
            star
        })
        .collect();
    let question = asked(&level, 35.0, 20.0, &stars).expect("asked");
    assert_eq!(question.explanations[0].slip, Slip::LatitudeSign, "{question}");
    let german = Truth::perfect(Kind::GermanEquatorial, -35.0);
    let stars: Vec<Sighting> = [(-50.0, -10.0), (-20.0, -50.0)]
        .iter()
        .map(|&(h, d)| {
            let mut star = german.sight(h, d, Branch::Direct);
            star.direction = turn * star.direction;
            star.dials.second += Angle::HALF;
            star
        })
        .collect();
    let question = asked(&german, 35.0, 20.0, &stars).expect("asked");
    assert!(has(&question, |slip| *slip == Slip::LatitudeSign), "{question}");
}

#[test]
fn a_usual_mount_is_not_asked_about_anything() {
    let truth = Truth {
        polar_altitude: 20.0,
        polar_azimuth: -50.0,
        zero_first: 25.0,
        cone: 8.0,
        ..Truth::perfect(Kind::GermanEquatorial, 50.0)
    };
    let stars = [truth.sight(-50.0, 10.0, Branch::Direct), truth.sight(-20.0, 50.0, Branch::Direct)];
    assert_eq!(asked(&truth, 50.0, 9.0, &stars), None);
    let priors = Priors::usual(truth.kind, truth.latitude());
    assert_eq!(
        questions(truth.kind, truth.latitude(), deg(9.0), &priors, &[]),
        Err(FitError::TooFew { needed: 1, given: 0 })
    );
}

/// Stars that no slip explains are still a question.
#[test]
fn a_wrong_star_is_not_explained_away() {
    let truth = Truth::perfect(Kind::GermanEquatorial, 50.0);
    let mut stars: Vec<Sighting> =
        [(-50.0, 10.0), (-20.0, 50.0)].iter().map(|&(h, d)| truth.sight(h, d, Branch::Direct)).collect();
    stars[1].direction = place(truth.kind, 50.0, -26.0, 44.0);
    let question = asked(&truth, 50.0, 9.0, &stars).expect("asked");
    assert!(question.explanations.is_empty(), "{question}");
    assert!(question.to_string().contains("right star"), "{question}");
}

/// After a knock the terms of base and zeros open again, those of the mount itself stay.
#[test]
fn a_knock_is_told_from_a_wrong_star_and_keeps_what_was_learnt() {
    let model = model();
    let kicked = Truth { polar_altitude: 25.0 + 18.0, polar_azimuth: -40.0 + 15.0, ..Truth::crooked() };
    let recent = [
        kicked.sight(-50.0, 20.0, Branch::Direct),
        kicked.sight(-10.0, 45.0, Branch::Direct),
        kicked.sight(30.0, 15.0, Branch::ThroughPole),
    ];
    let knock = model.knock(&recent).expect("noticed");
    assert_eq!(knock.moved, Moved::Base);
    assert!(knock.chance_before < 1e-6 && knock.chance_after > 0.01);
    let slipped = Truth { zero_first: 30.0 + 60.0, ..Truth::crooked() };
    let recent_slip =
        [slipped.sight(-50.0, 20.0, Branch::Direct), slipped.sight(30.0, 15.0, Branch::ThroughPole)];
    assert_eq!(model.knock(&recent_slip).expect("noticed").moved, Moved::FirstAxis);
    let slipped = Truth { zero_second: -20.0 - 40.0, ..Truth::crooked() };
    let recent_slip =
        [slipped.sight(-50.0, 20.0, Branch::Direct), slipped.sight(30.0, 15.0, Branch::ThroughPole)];
    assert_eq!(model.knock(&recent_slip).expect("noticed").moved, Moved::SecondAxis);

    // One wrong star among sound ones is no knock; nor are sound ones alone.
    let truth = Truth::crooked();
    let mut one_wrong =
        [truth.sight(-50.0, 20.0, Branch::Direct), truth.sight(30.0, 15.0, Branch::ThroughPole)];
    assert_eq!(model.knock(&one_wrong), None);
    one_wrong[1].direction = place(truth.kind, 50.0, 36.0, 12.0);
    assert_eq!(model.knock(&one_wrong), None);

    let priors = model.after_knock(knock.moved, knock.size);
    let again = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &recent).expect("a model");
    let value = |model: &alignment::Model, name: &str| {
        *model.terms().iter().find(|term| term.name == name).expect("there")
    };
    assert!((value(&again, "cone error").value.arcmin() - 10.0).abs() < 0.5);
    assert!((value(&again, "polar axis altitude").value.arcmin() - 43.0).abs() < 1.0);
    let opened = alignment::Model::believed(truth.kind, truth.latitude(), &priors);
    assert_eq!(value(&opened, "cone error").sigma, value(&model, "cone error").sigma);
    assert!(
        value(&opened, "polar axis altitude").sigma
            > value(&model, "polar axis altitude").sigma.map(|s| s * 3.0)
    );
}

/// After a power-off without a move, the old model as prior makes one star enough; after a move that star is refused.
#[test]
fn resuming_notices_whether_the_mount_was_moved() {
    let truth = Truth::crooked();
    let resumed = alignment::Model::believed(truth.kind, truth.latitude(), &model().as_priors());
    let star = truth.sight(-30.0, 30.0, Branch::Direct);
    assert_eq!(resumed.innovation(&star).expect("finite").verdict, Verdict::Accept);
    let moved = Truth { polar_azimuth: 100.0, ..truth };
    let star = moved.sight(-30.0, 30.0, Branch::Direct);
    assert_eq!(resumed.innovation(&star).expect("finite").verdict, Verdict::Refuse);
}

/// An old sighting counts less; here its residual shares what the fresh ones leave.
#[test]
fn old_sightings_count_less() {
    let truth = Truth::crooked();
    let mut priors = Priors::usual(truth.kind, truth.latitude());
    priors.mechanical = Angle::ZERO;
    let weight_of_old = |hours: i64| {
        let mut stars = several();
        for star in stars.iter_mut().skip(1) {
            star.at += Span::from_whole_seconds(3600 * hours);
        }
        let (east, _) = alignment::rows::tangents(&stars[0].direction, &nalgebra::Vector3::z());
        stars[0].direction = (stars[0].direction + east * arcmin(2.0).radians()).normalize();
        let model = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
        let one = &model.residuals()[0];
        2.0 - units::maths::hypot(one.east.arcmin(), one.north.arcmin())
    };
    let (fresh, old) = (weight_of_old(0), weight_of_old(100));
    // After 100 h the variance is 1′² + 100·(0.1′)² = 2′²: the old star pulls clearly less.
    assert!(old < fresh * 0.8, "pull {fresh}′ fresh, {old}′ old");
}

#[test]
fn replacing_the_nearest_or_the_oldest() {
    let mut stars = several();
    let begin = Instant::J2000_TAI;
    for (k, star) in stars.iter_mut().enumerate() {
        star.at = begin + Span::from_whole_seconds(60 * ((k as i64 + 3) % 6));
    }
    let newest = Truth::crooked().sight(38.0, 3.0, Branch::ThroughPole);
    let gone = replace_nearest(&mut stars, newest.clone()).expect("one had to go");
    assert_eq!(gone.name, "star at 40, 0");
    assert_eq!((stars.len(), stars[4].name.as_str()), (6, "star at 38, 3"));
    let gone = replace_oldest(&mut stars, newest.clone()).expect("one had to go");
    assert_eq!(gone.name, "star at 20, 60");
    let mut none = Vec::new();
    assert_eq!(replace_nearest(&mut none, newest), None);
    assert_eq!(none.len(), 1);
}

/// An axis that was approached from the other side shows its play; where the fit is told of it, that sighting counts less.
#[test]
fn play_is_measured_from_both_sides_and_makes_a_sighting_count_less() {
    use alignment::Sense;
    let truth = Truth::crooked();
    let model = model();
    let (hour_play, declination_play) = (arcmin(4.0), arcmin(6.0));
    let mut growing = truth.sight(-25.0, 30.0, Branch::Direct);
    let mut falling = growing.clone();
    growing.approach = [Sense::Increasing, Sense::Decreasing];
    growing.dials.first += hour_play / 2.0;
    growing.dials.second += -declination_play / 2.0;
    falling.approach = [Sense::Decreasing, Sense::Increasing];
    falling.dials.first += -hour_play / 2.0;
    falling.dials.second += declination_play / 2.0;
    let [hour, declination] = model.play_between(&growing, &falling).expect("reachable");
    // The dials' difference is exact; the two model dials are those of one direction.
    assert!((hour.expect("both sides") - hour_play).abs() < arcmin(1e-6));
    assert!((declination.expect("both sides") - declination_play).abs() < arcmin(1e-6));
    assert_eq!(model.play_between(&growing, &growing).expect("reachable"), [None, None]);

    let mut priors = Priors::usual(truth.kind, truth.latitude());
    let mut stars = several();
    for star in &mut stars {
        star.approach = [Sense::Increasing; 2];
    }
    stars[2].approach = [Sense::Decreasing; 2];
    stars[2].dials.first += -hour_play;
    stars[2].dials.second += -declination_play;
    let residual = |priors: &Priors| {
        let model = fit(Method::ManyStar, truth.kind, truth.latitude(), priors, &stars).expect("a model");
        let one = &model.residuals()[2];
        units::maths::hypot(one.east.arcmin(), one.north.arcmin())
    };
    let unaware = residual(&priors);
    priors.play = [hour_play, declination_play];
    assert!(residual(&priors) > unaware * 1.1, "the odd one must be left alone more");
}
