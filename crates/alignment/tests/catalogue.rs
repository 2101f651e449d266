//! Stars from the catalogue, by the machine's own clock and site.

mod common;

use alignment::{Method, Priors, ProposalRules, fit, identities, propose, visible_stars};
use common::{Truth, arcmin, deg};
use kinematics::{Branch, Kind};
use sky::{Air, Geocentre, Site, Station, time};
use std::sync::Arc;
use units::{Angle, Instant, Length, Span};

fn evening() -> (Station, Arc<Geocentre>, Instant) {
    let site = Site::new(deg(50.0), deg(9.0), Length::from_metres(200.0)).expect("a site");
    let utc = time::Utc::parse("2027-03-06T20:00:00Z").expect("a time");
    let at = time::instant_from_utc(&utc).expect("in range");
    let ut1 = time::ut1_minus_tai(at, Span::ZERO).expect("in range");
    let station = Station::new(site, Air::standard(Length::from_metres(200.0)), ut1);
    (station, Arc::new(Geocentre::new(at, at + Span::from_whole_seconds(3600))), at)
}

#[test]
fn an_early_spring_evening_has_bright_stars_on_both_sides() {
    let (station, geocentre, at) = evening();
    let stars = visible_stars(&station, &geocentre, at, 2.0);
    assert!(stars.len() > 10 && stars.iter().all(|star| star.direction.z > 0.0 && star.magnitude <= 2.0));
    // In early March at 20 h UT the winter's brightest star stands in the south, half the sky from the pole star.
    let named = |name: &str| stars.iter().find(|star| star.name == name).expect("above the horizon");
    assert!(named("Sirius").direction.y < -0.7);
    let pole = named("Polaris").direction;
    assert!((kinematics::frames::horizontal(&pole).1 - deg(50.0)).abs() < deg(1.0));

    let rules = ProposalRules::default();
    let proposals = propose(Kind::GermanEquatorial, deg(50.0), &rules, &stars, &[]);
    assert!(proposals.len() >= 5);
    let first = &stars[proposals[0].index];
    assert!(first.magnitude < 1.0, "{}", first.name);
    let second = propose(Kind::GermanEquatorial, deg(50.0), &rules, &stars, &[first.direction]);
    let apart = kinematics::frames::separation(&stars[second[0].index].direction, &first.direction);
    assert!(apart > deg(15.0));
    assert!(proposals.iter().any(|one| one.aim.branch == Branch::Direct));
    assert!(proposals.iter().any(|one| one.aim.branch == Branch::ThroughPole));
    assert!(proposals.iter().all(|one| stars[one.index].name != "Polaris"));
}

/// Castor sighted for Pollux, 4.5° away: the catalogue names it.
#[test]
fn a_twin_taken_for_the_other_is_named() {
    let (station, geocentre, at) = evening();
    let stars = visible_stars(&station, &geocentre, at, 4.0);
    let direction =
        |name: &str| stars.iter().find(|star| star.name == name).expect("above the horizon").direction;
    let truth = Truth {
        polar_altitude: 10.0,
        polar_azimuth: -15.0,
        zero_first: 12.0,
        ..Truth::perfect(Kind::GermanEquatorial, 50.0)
    };
    let sight = |claimed: &str, centred: &str| {
        let dials = truth.chain().dials_for(&direction(centred), Branch::Direct).expect("reachable");
        let mut sighting = common::sighting(claimed, direction(claimed), dials, Branch::Direct);
        sighting.sigma = Angle::from_arcmin(3.0);
        sighting
    };
    let priors = Priors::usual(truth.kind, truth.latitude());
    let good = [sight("Regulus", "Regulus"), sight("Dubhe", "Dubhe"), sight("Procyon", "Procyon")];
    let model = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &good).expect("a model");
    let doubtful = sight("Pollux", "Castor");
    assert_eq!(model.innovation(&doubtful).expect("finite").verdict, alignment::Verdict::Refuse);
    let found = identities(&model, &doubtful, &stars);
    assert_eq!(stars[found[0].index].name, "Castor");
    assert!(found[0].share > 0.9 && found[0].distance < arcmin(20.0));
}
