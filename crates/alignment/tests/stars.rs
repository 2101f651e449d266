//! Choosing stars: what a set of them can tell apart, what the next one buys, and the rule of thumb.

mod common;

use alignment::parameters::{
    AXIS_EAST, AXIS_SKEW, AXIS_UP, CONE, FIRST_ZERO, FLEXURE, Frame, Matrix7, SECOND_ZERO, Vector7,
};
use alignment::{
    Aim, Candidate, Criterion, Effort, Method, Model, Priors, ProposalRules, Unfit, fit, identifiability,
    propose, rank, sky_map, usual_aim,
};
use common::{Draws, Truth, arcmin, arcsec, deg, place};
use kinematics::{AxisAngles, Branch, Kind, frames};
use nalgebra::{Vector2, Vector3};
use units::Angle;

const SIX: [usize; 6] = [FIRST_ZERO, SECOND_ZERO, AXIS_EAST, AXIS_UP, AXIS_SKEW, CONE];
const SEVEN: [usize; 7] = [FIRST_ZERO, SECOND_ZERO, AXIS_EAST, AXIS_UP, AXIS_SKEW, CONE, FLEXURE];

fn aim(hour: f64, declination: f64, branch: Branch) -> Aim {
    Aim { direction: place(Kind::GermanEquatorial, 50.0, hour, declination), branch }
}

fn direct(places: &[(f64, f64)]) -> Vec<Aim> {
    places.iter().map(|&(h, d)| aim(h, d, Branch::Direct)).collect()
}

/// Half of them through the pole.
fn both(places: &[(f64, f64)]) -> Vec<Aim> {
    places
        .iter()
        .map(|&(h, d)| aim(h, d, if h < 0.0 { Branch::Direct } else { Branch::ThroughPole }))
        .collect()
}

fn seen(stars: &[Aim], terms: &[usize]) -> alignment::Identifiability {
    identifiability(Kind::GermanEquatorial, deg(50.0), stars, terms)
}

/// The identifiability table: which geometry shows how many of the six terms, and why the rest can't be seen.
#[test]
fn ranks_of_the_identifiability_table() {
    let one_side: [(f64, f64); 6] =
        [(-65.0, 5.0), (-50.0, 50.0), (-35.0, -10.0), (-20.0, 65.0), (-10.0, 20.0), (-75.0, 35.0)];
    let across = [(-60.0, 5.0), (-35.0, 50.0), (-15.0, -10.0), (20.0, 60.0), (40.0, 0.0), (65.0, 35.0)];
    let hours = [-60.0, -40.0, -15.0, 15.0, 40.0, 60.0];
    let on_circle = |declination: f64| hours.map(|h| (h, declination));
    let same_declination = [-75.0, -60.0, -45.0, -30.0, -20.0, -10.0].map(|h| (h, 20.0));
    let same_hour = [-10.0, 5.0, 20.0, 35.0, 50.0, 65.0].map(|d| (-40.0, d));
    for (name, stars, rank) in [
        ("1 star", direct(&one_side[..1]), 2),
        ("2, one side", direct(&[(-55.0, 10.0), (-15.0, 55.0)]), 4),
        ("3, one side, spread", direct(&one_side[..3]), 6),
        ("6, one side, spread", direct(&one_side), 6),
        ("6, both sides, spread", both(&across), 6),
        // Hour zero, skew and cone are all constant in hour angle.
        ("6, one side, one declination", direct(&same_declination), 4),
        // The declination zero looks like both swings, the skew too.
        ("6, one side, one hour circle", direct(&same_hour), 4),
        // Skew times sine of declination is cone.
        ("6, both sides, one declination", both(&on_circle(30.0)), 5),
        // At the equator skew does nothing.
        ("6, both sides, equator", both(&on_circle(0.0)), 5),
    ] {
        let found = seen(&stars, &SIX);
        assert_eq!(found.rank, rank, "{name}: {found:?}");
        assert_eq!(found.condition.is_finite(), rank == 6, "{name}");
    }
    // Flexure is a seventh: three stars show six of seven, six on both sides all.
    assert_eq!(seen(&direct(&one_side[..3]), &SEVEN).rank, 6);
    assert_eq!(seen(&both(&across), &SEVEN).rank, 7);
}

/// The table's condition numbers (one side 27 to 47, both sides 4.7) belong to its own stars, which it doesn't print; ours are
/// spread likewise, so only the order of magnitude and the order can be held.
#[test]
fn both_sides_tell_terms_apart_many_times_better_than_one() {
    let one_side = [(-65.0, 5.0), (-50.0, 50.0), (-35.0, -10.0), (-20.0, 65.0), (-10.0, 20.0), (-75.0, 35.0)];
    let across = [(-60.0, 5.0), (-35.0, 50.0), (-15.0, -10.0), (20.0, 60.0), (40.0, 0.0), (65.0, 35.0)];
    let one = seen(&direct(&one_side), &SIX).condition;
    let two = seen(&both(&across), &SIX).condition;
    assert!((10.0..60.0).contains(&one), "{one}");
    assert!((2.0..8.0).contains(&two), "{two}");
}

/// A worked example, computed beforehand with another program of ours: what two stars leave, and what the best and the worst third star make of it.
#[test]
fn the_next_star_example() {
    let latitude = deg(50.0);
    let kind = Kind::GermanEquatorial;
    let mut sigmas = [Angle::ZERO; 7];
    for (term, sigma) in SIX.into_iter().zip([3600.0, 1800.0, 1800.0, 1800.0, 300.0, 600.0]) {
        sigmas[term] = arcsec(sigma);
    }
    let priors = Priors::independent(sigmas);
    let perfect = Truth::perfect(kind, 50.0);
    let stars = [perfect.sight(-55.0, 10.0, Branch::Direct), perfect.sight(-15.0, 55.0, Branch::Direct)];
    let model = fit(Method::ManyStar, kind, latitude, &priors, &stars).expect("a model");
    let mut map = Vec::new();
    for hour in (-6..=6).filter(|&k| k != 0).map(|k| f64::from(k) * 15.0) {
        for declination in (-1..=4).map(|k| f64::from(k) * 20.0) {
            let branch = if hour < 0.0 { Branch::Direct } else { Branch::ThroughPole };
            let aim = aim(hour, declination, branch);
            if frames::horizontal(&aim.direction).1 > deg(20.0) {
                map.push(aim);
            }
        }
    }
    // 0.1″: the printed digits.
    assert!(
        (model.prediction(&map).rms.arcsec() - 1201.8).abs() < 0.1,
        "{}",
        model.prediction(&map).rms.arcsec()
    );
    // The example doesn't print its candidates; a grid of 10° by 15° has its best star on it and gives its other figures too.
    let candidates: Vec<Aim> = (-9..=8)
        .flat_map(|k| (-1..=5).map(move |j| (f64::from(k) * 10.0 + 5.0, f64::from(j) * 15.0)))
        .map(|(h, d)| aim(h, d, if h < 0.0 { Branch::Direct } else { Branch::ThroughPole }))
        .filter(|aim| frames::horizontal(&aim.direction).1 > deg(20.0))
        .collect();
    let effort = Effort { from: AxisAngles::default(), degrees_per_second: 3.0, minutes_per_star: 1.5 };
    let ranking = rank(&model, &map, &candidates, arcsec(60.0), &effort, Criterion::Average);
    let best = ranking.candidates[0];
    assert_eq!(best.aim.branch, Branch::ThroughPole);
    let (hour, declination) = frames::hour_and_declination(
        &(frames::equatorial_to_topocentric(latitude).transpose() * best.aim.direction),
    );
    assert!((hour - deg(5.0)).abs() < deg(1e-6) && (declination - deg(30.0)).abs() < deg(1e-6));
    let of = |branch| ranking.candidates.iter().filter(move |one| one.aim.branch == branch);
    let worst_flipped = of(Branch::ThroughPole).map(|one| one.rms.arcsec()).fold(0.0, f64::max);
    let best_direct = of(Branch::Direct).map(|one| one.rms.arcsec()).fold(f64::INFINITY, f64::min);
    // 0.5″: the printed digits.
    assert!((best.rms.arcsec() - 112.0).abs() < 0.5);
    assert!((worst_flipped - 216.0).abs() < 0.5, "{worst_flipped}");
    assert!((best_direct - 317.0).abs() < 0.5, "{best_direct}");
    assert!(best.slew > Angle::ZERO && best.turns_over && best.minutes > 1.5);
}

/// The update by two rows gives what a whole refit's covariance gives.
#[test]
fn ranking_agrees_with_a_refit() {
    let truth = Truth::perfect(Kind::GermanEquatorial, 50.0);
    let priors = Priors::usual(truth.kind, truth.latitude());
    let mut stars = vec![truth.sight(-55.0, 10.0, Branch::Direct), truth.sight(-15.0, 55.0, Branch::Direct)];
    let model = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
    let map = sky_map(truth.kind, truth.latitude(), deg(20.0), 100);
    let candidate = aim(30.0, 20.0, Branch::ThroughPole);
    let effort = Effort { from: AxisAngles::default(), degrees_per_second: 3.0, minutes_per_star: 1.5 };
    for criterion in [Criterion::Average, Criterion::Worst, Criterion::Terms] {
        let ranked = rank(&model, &map, &[candidate], arcsec(60.0), &effort, criterion).candidates[0];
        stars.push(truth.sight(30.0, 20.0, Branch::ThroughPole));
        let refit = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
        stars.pop();
        let prediction = refit.prediction(&map);
        assert!((ranked.rms / prediction.rms - 1.0).abs() < 1e-9);
        assert!((ranked.worst / prediction.worst - 1.0).abs() < 1e-9);
    }
}

/// One sighting more never makes anything worse known, anywhere (linear model).
#[test]
fn another_sighting_never_worsens_the_map() {
    let truth = Truth::perfect(Kind::GermanEquatorial, 50.0);
    let priors = Priors::usual(truth.kind, truth.latitude());
    let map = sky_map(truth.kind, truth.latitude(), deg(10.0), 80);
    let mut draws = Draws::new(20);
    let mut stars = Vec::new();
    let mut before = Model::believed(truth.kind, truth.latitude(), &priors).prediction(&map);
    for _ in 0..8 {
        let hour = draws.uniform() * 140.0 - 70.0;
        let branch = if hour < 0.0 { Branch::Direct } else { Branch::ThroughPole };
        stars.push(truth.sight(hour, draws.uniform() * 60.0, branch));
        let after = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars)
            .expect("a model")
            .prediction(&map);
        for (old, new) in before.places.iter().zip(&after.places) {
            let (old, new) = (old.expect("reachable"), new.expect("reachable"));
            assert!(new.semi_axes().0.radians() <= old.semi_axes().0.radians() * (1.0 + 1e-9));
        }
        before = after;
    }
}

/// With truth drawn from the priors the squared error in units of its predicted covariance averages 2, and the
/// predicted circles hold as many misses as they promise; where the gears add what the prediction leaves out, they don't.
#[test]
fn predicted_errors_are_as_large_as_the_actual_ones() {
    const NIGHTS: usize = 600;
    for method in [Method::None, Method::OneStar, Method::TwoStar, Method::ManyStar] {
        let honest = calibration(method, Angle::ZERO, NIGHTS, 30);
        // Standard error 2/√nights = 0.08; three of those, and second-order effects of degree-sized errors (2 %).
        assert!((honest.squared - 2.0).abs() < 0.3, "{method:?}: {}", honest.squared);
        // Standard errors √(p(1−p)/nights): 0.019 and 0.009; three of each.
        assert!((honest.within_68 - 0.68).abs() < 0.06, "{method:?}: {}", honest.within_68);
        assert!((honest.within_95 - 0.95).abs() < 0.03, "{method:?}: {}", honest.within_95);
    }
    let spoilt = calibration(Method::ManyStar, arcmin(1.5), NIGHTS, 30);
    assert!(spoilt.squared > 3.0, "gear errors that are left out must show: {}", spoilt.squared);
    assert!(spoilt.within_68 < 0.6 && spoilt.within_95 < 0.9, "{} {}", spoilt.within_68, spoilt.within_95);
}

struct Calibration {
    squared: f64,
    within_68: f64,
    within_95: f64,
}

fn calibration(method: Method, gears: Angle, nights: usize, seed: u64) -> Calibration {
    let latitude = deg(50.0);
    let kind = Kind::GermanEquatorial;
    let frame = Frame::new(kind, latitude);
    let mut priors = Priors::usual(kind, latitude);
    priors.mechanical = Angle::ZERO;
    let root: Matrix7 = priors.covariance.cholesky().expect("a covariance").l();
    let mut draws = Draws::new(seed);
    let places = [(-50.0, 10.0), (-12.0, 50.0), (35.0, 5.0), (60.0, 45.0)];
    let mut sum = 0.0;
    let (mut within_68, mut within_95) = (0.0, 0.0);
    let mut refused = 0;
    for _ in 0..nights {
        let terms = root * Vector7::from_fn(|_, _| draws.normal());
        let truth = frame.chain(&terms);
        let mut stars = Vec::new();
        for (h, d) in places {
            let aim = aim(h, d, if h < 0.0 { Branch::Direct } else { Branch::ThroughPole });
            let seen = draws.blurred(&aim.direction, arcmin(1.0));
            let seen = draws.blurred(&seen, gears);
            let dials = truth.dials_for(&seen, aim.branch).expect("reachable");
            stars.push(common::sighting("star", aim.direction, dials, aim.branch));
        }
        stars.truncate(method.needs().max(1) + if method == Method::ManyStar { 3 } else { 0 });
        let Ok(model) = fit(method, kind, latitude, &priors, &stars) else {
            refused += 1;
            continue;
        };
        let hour = draws.uniform() * 120.0 - 60.0;
        let target = aim(
            hour,
            draws.uniform() * 60.0 - 5.0,
            if hour < 0.0 { Branch::Direct } else { Branch::ThroughPole },
        );
        let dials = model.dials_for(&target.direction, target.branch).expect("reachable");
        let there = draws.blurred(&truth.boresight_from_dials(dials), gears);
        let (east, north) = frames::tangent_offset(&target.direction, &there, &model.celestial_pole());
        let predicted = model.predicted_error(&target.direction, target.branch).expect("reachable");
        sum += predicted.squared_distance(&Vector2::new(east.radians(), north.radians()));
        let miss = frames::separation(&target.direction, &there);
        within_68 += f64::from(u8::from(miss < predicted.radius_of_share(0.68)));
        within_95 += f64::from(u8::from(miss < predicted.radius_of_share(0.95)));
    }
    // Gears that nobody told the fit of make some sets contradict themselves; without them one in 100 000 does.
    assert!(refused <= if gears > Angle::ZERO { nights / 50 } else { 0 }, "{refused} refused");
    let count = (nights - refused) as f64;
    Calibration { squared: sum / count, within_68: within_68 / count, within_95: within_95 / count }
}

/// A term that the stars leave open says why, and the star that would decide lies where the reason says.
#[test]
fn open_terms_say_why_and_which_star_would_decide() {
    let truth = Truth::perfect(Kind::GermanEquatorial, 50.0);
    let priors = Priors::usual(truth.kind, truth.latitude());
    let stars: Vec<_> = [(-60.0, 5.0), (-35.0, 50.0), (-15.0, 20.0)]
        .map(|(h, d)| {
            let mut star = truth.sight(h, d, Branch::Direct);
            star.sigma = arcmin(5.0);
            star
        })
        .to_vec();
    let model = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
    let terms = model.terms();
    let cone = terms.iter().find(|term| term.name == "cone error").expect("there");
    assert!(!cone.determined);
    assert_eq!(cone.reason, Some(alignment::Reason::OneSide));
    let candidates: Vec<Aim> = [(-70.0, 30.0), (-20.0, 60.0)]
        .iter()
        .map(|&(h, d)| aim(h, d, Branch::Direct))
        .chain([aim(25.0, 15.0, Branch::ThroughPole)])
        .collect();
    let (index, sigma) = model.deciding_star(cone.index, &candidates, arcmin(5.0)).expect("reachable");
    assert_eq!(index, 2);
    assert!(sigma < cone.sigma.expect("has one"));
    // Every open term has a reason, every determined one none.
    for term in terms {
        assert_eq!(term.determined, term.reason.is_none(), "{}", term.name);
    }
}

#[test]
fn reasons_fit_the_geometry() {
    let truth = Truth::perfect(Kind::GermanEquatorial, 50.0);
    let priors = Priors::usual(truth.kind, truth.latitude());
    let reason = |method: Method, stars: &[(f64, f64)], name: &str| {
        let stars: Vec<_> = stars.iter().map(|&(h, d)| truth.sight(h, d, Branch::Direct)).collect();
        let model = fit(method, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
        model.terms().iter().find(|term| term.name == name).expect("there").reason
    };
    use alignment::Reason;
    assert_eq!(reason(Method::None, &[], "cone error"), Some(Reason::NoSighting));
    assert_eq!(reason(Method::OneStar, &[(-30.0, 20.0)], "cone error"), Some(Reason::NotInMethod));
    assert_eq!(
        reason(Method::TwoStar, &[(-30.0, 20.0), (-60.0, 50.0)], "cone error"),
        Some(Reason::NotInMethod)
    );
    assert_eq!(reason(Method::ManyStar, &[(-30.0, 20.0)], "axis skew"), Some(Reason::OneStar));
    assert_eq!(
        reason(Method::ManyStar, &[(-30.0, 20.0), (-60.0, 50.0)], "axis skew"),
        Some(Reason::TwoStars)
    );
    let one_circle = [(-70.0, 20.0), (-50.0, 22.0), (-20.0, 18.0)];
    assert_eq!(reason(Method::ManyStar, &one_circle, "axis skew"), Some(Reason::OneCircle));
    let one_hour = [(-40.0, 0.0), (-41.0, 30.0), (-39.0, 60.0)];
    assert_eq!(reason(Method::ManyStar, &one_hour, "axis skew"), Some(Reason::OneHourCircle));

    // A fork is always on one side; roughly centred stars leave its cone open.
    let fork = Truth::perfect(Kind::ForkEquatorial, 50.0);
    let stars: Vec<_> = [(-50.0, 10.0), (-15.0, 50.0), (25.0, -5.0), (55.0, 35.0)]
        .iter()
        .map(|&(h, d)| {
            let mut star = fork.sight(h, d, Branch::Direct);
            star.sigma = arcmin(8.0);
            star
        })
        .collect();
    let model = fit(Method::ManyStar, fork.kind, fork.latitude(), &priors, &stars).expect("a model");
    let cone = model.terms().into_iter().find(|term| term.name == "cone error").expect("there");
    assert_eq!(cone.reason, Some(Reason::NeverTurnsOver));

    // At the Earth's pole the axis stands upright: its azimuth means nothing, and the sum doesn't mind.
    let arctic =
        Truth { polar_altitude: 10.0, zero_first: 20.0, ..Truth::perfect(Kind::GermanEquatorial, 89.9) };
    let stars: Vec<_> = [(-50.0, 30.0), (-15.0, 60.0), (-80.0, 45.0)]
        .iter()
        .map(|&(h, d)| arctic.sight(h, d, Branch::Direct))
        .collect();
    let priors = Priors::usual(arctic.kind, arctic.latitude());
    let model = fit(Method::ManyStar, arctic.kind, arctic.latitude(), &priors, &stars).expect("a model");
    let azimuth = model.terms().into_iter().find(|term| term.name == "polar axis azimuth").expect("there");
    assert_eq!((azimuth.reason, azimuth.sigma), (Some(Reason::AxisUpright), None));
    // Exact stars, but priors that expect less of some terms and more of others share a little of it.
    assert!(model.residual_rms().expect("sightings") < arcmin(1.0));
}

#[test]
fn proposals_keep_to_the_rules() {
    let kind = Kind::GermanEquatorial;
    let latitude = deg(50.0);
    let candidate = |name: &str, h: f64, d: f64, magnitude: f64| Candidate {
        name: name.to_owned(),
        direction: place(kind, 50.0, h, d),
        magnitude,
    };
    let sun = place(kind, 50.0, -70.0, 15.0);
    let rules = ProposalRules { avoid: vec![(sun, deg(30.0))], ..ProposalRules::default() };
    let taken = [place(kind, 50.0, -20.0, 10.0)];
    let judge = |name, h, d, m| rules.judge(kind, latitude, &candidate(name, h, d, m), &taken);
    assert_eq!(judge("faint", 20.0, 20.0, 3.1), Err(Unfit::TooFaint));
    assert_eq!(judge("low", 60.0, -20.0, 1.0), Err(Unfit::TooLow));
    assert_eq!(judge("high", 1.0, 48.0, 1.0), Err(Unfit::TooHigh));
    assert_eq!(judge("polar", 30.0, 85.0, 1.0), Err(Unfit::NearThePole));
    assert_eq!(judge("sunlit", -60.0, 25.0, 1.0), Err(Unfit::NearAvoided));
    assert_eq!(judge("neighbour", -15.0, 12.0, 1.0), Err(Unfit::NearAnother));
    let west = judge("west", 50.0, 20.0, 1.0).expect("fits");
    assert_eq!(west.branch, Branch::ThroughPole);
    let east_only = ProposalRules { side: Some(Branch::Direct), ..rules.clone() };
    assert_eq!(
        east_only.judge(kind, latitude, &candidate("west", 50.0, 20.0, 1.0), &taken),
        Err(Unfit::OtherSide)
    );

    let field = [
        candidate("dim", 50.0, 20.0, 2.4),
        candidate("bright", 52.0, 22.0, 0.2),
        candidate("low", 60.0, -20.0, -1.0),
        candidate("north", 60.0, 50.0, 1.8),
    ];
    let order: Vec<usize> =
        propose(kind, latitude, &rules, &field, &taken).iter().map(|one| one.index).collect();
    assert_eq!(order[0], 1);
    assert_eq!(order.len(), 3);
}

#[test]
fn maps_cover_the_sky_evenly() {
    let map = sky_map(Kind::GermanEquatorial, deg(50.0), deg(20.0), 500);
    assert_eq!(map.len(), 500);
    assert!(map.iter().all(|aim| frames::horizontal(&aim.direction).1 >= deg(20.0)));
    // Equal steps of height are equal areas: the mean height is half-way between the floor and one.
    let mean = map.iter().map(|aim| aim.direction.z).sum::<f64>() / 500.0;
    assert!((mean - (1.0 + deg(20.0).sin()) / 2.0).abs() < 1e-12);
    let sideways: Vector3<f64> = map.iter().map(|aim| aim.direction).sum::<Vector3<f64>>() / 500.0;
    assert!(sideways.x.abs() < 0.01 && sideways.y.abs() < 0.01);
    assert_eq!(usual_aim(Kind::AltAzimuth, deg(50.0), map[7].direction).branch, Branch::Direct);
}
