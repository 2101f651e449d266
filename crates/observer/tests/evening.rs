//! Evenings at a mount on paper: what is typed, in which order, and what comes of it.

mod fake;

use fake::Fake;
use observer::{
    Account, AlignmentIntent, Care, Ending, Entered, Evening, Handset, Intent, LaterSighting, Method, Person,
    Recovery, Replaced, SightingEnding, View, Visits, observe,
};
use protocol::Aim;
use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, Span, Streams};

fn intent(number: usize) -> Intent {
    Intent {
        aim: Aim::Horizontal {
            azimuth: Angle::from_degrees(number as f64),
            altitude: Angle::from_degrees(40.0),
        },
        place: None,
        dwell: Span::ZERO,
        by_bright_star: false,
        visitors: 0,
        per_visitor: Span::from_whole_seconds(45),
    }
}

fn evening(care: Care, alignment: Option<AlignmentIntent>, intents: Vec<Intent>) -> Evening {
    Evening {
        person: Person::of(care),
        handset: Handset {
            alt_azimuth: false,
            full_rate: AngularRate::from_degrees(3.0),
            acceleration: AngularAcceleration::from_degrees(2.0),
            jerk: Some(AngularJerk::from_degrees(6.0)),
            view: View::Mirrored,
            latitude: Angle::from_degrees(50.0),
            entered: Entered { clock_fast: Span::ZERO, latitude: None, longitude: None },
        },
        alignment,
        polar: None,
        recording: None,
        play: None,
        later: Vec::new(),
        intents,
        streams: Streams::new(7),
    }
}

fn two_stars() -> Option<AlignmentIntent> {
    Some(AlignmentIntent { method: Method::TwoStar, estimator: None, stars: Vec::new(), refine: 0 })
}

fn sky() -> Fake {
    let degrees = Angle::from_degrees;
    let mut fake = Fake::new()
        .with_star("Regulus", degrees(-40.0), degrees(10.0))
        .with_star("Rigel", degrees(20.0), degrees(-8.0))
        .with_star("Capella", degrees(10.0), degrees(46.0))
        .with_target(degrees(0.0), degrees(0.0))
        .with_target(degrees(5.0), degrees(20.0));
    fake.proposals = ["Regulus", "Rigel", "Capella"].map(str::to_owned).to_vec();
    fake
}

fn endings(account: &Account) -> Vec<(&str, bool)> {
    account.sightings.iter().map(|one| (one.star.as_str(), one.ending == SightingEnding::Taken)).collect()
}

#[test]
fn a_perfect_person_without_alignment_types_nothing_but_go_tos() {
    let mut fake = sky();
    let account = observe(&evening(Care::Perfect, None, vec![intent(0), intent(1)]), &mut fake);
    assert_eq!(fake.lines.len(), 2);
    assert!(fake.lines.iter().all(|line| line.starts_with("goto azimuth=")));
    // Each look is three seconds after the arrival, and nobody waits between.
    assert_eq!(fake.looks, [(0, Span::from_whole_seconds(23)), (1, Span::from_whole_seconds(46))]);
    assert!(account.targets.iter().all(|told| told.seen && told.ending == Ending::Looked));
    assert_eq!((account.alignment, account.presses), (Span::ZERO, 2));
}

#[test]
fn proposals_are_accepted_and_hidden_ones_passed_over() {
    let mut fake = sky();
    fake.error = [Angle::from_degrees(1.0).radians(), Angle::from_degrees(-0.6).radians()];
    fake.hidden.insert("Regulus".to_owned());
    let account = observe(&evening(Care::Usual, two_stars(), Vec::new()), &mut fake);
    assert_eq!(endings(&account), [("Regulus", false), ("Rigel", true), ("Capella", true)]);
    let words: Vec<&str> = fake
        .lines
        .iter()
        .filter(|line| !line.starts_with("nudge"))
        .map(|line| line.split(' ').next().unwrap())
        .collect();
    // Nobody drives to a star that a roof hides: the next proposal is asked for at once.
    let rest = ["propose", "propose", "goto", "sight", "propose", "goto", "sight"];
    assert_eq!(words[0], "align");
    assert_eq!(words[1..], rest);
    assert!(fake.lines.contains(&"propose next=yes".to_owned()));
    assert!(fake.lines.contains(&"sight name=\"Rigel\"".to_owned()));
    // Two to six minutes: an alignment on two stars takes four practised, twelve not (common practice, no source).
    let minutes = account.alignment.minutes();
    assert!((1.5..8.0).contains(&minutes), "{minutes} min");
    assert!(account.alignment_presses > 10);
}

#[test]
fn a_star_beyond_the_finder_is_found_by_hunting_and_costs_time() {
    let night = |degrees: f64| {
        let mut fake = sky();
        fake.error = [Angle::from_degrees(degrees).radians(), 0.0];
        let account = observe(&evening(Care::Usual, two_stars(), Vec::new()), &mut fake);
        (endings(&account).iter().filter(|(_, taken)| *taken).count(), account.alignment)
    };
    let (near, far) = (night(1.0), night(8.0));
    assert_eq!((near.0, far.0), (2, 2));
    assert!(far.1 > near.1 + Span::from_whole_seconds(60), "{near:?} {far:?}");
    // Beyond four rings of a field of six degrees nobody looks.
    assert_eq!(night(25.0).0, 0);
}

#[test]
fn twilight_is_waited_for() {
    let mut fake = sky();
    fake.bright_until = Span::from_whole_seconds(1800);
    let account = observe(&evening(Care::Usual, two_stars(), Vec::new()), &mut fake);
    assert_eq!(endings(&account), [("Regulus", true), ("Rigel", true)]);
    assert!(account.alignment > Span::from_whole_seconds(1800));
}

#[test]
fn visitors_see_what_stands_in_the_field() {
    let shown = |error: f64, care| {
        let mut fake = sky();
        fake.error = [Angle::from_arcmin(error).radians(), 0.0];
        let target = Intent { visitors: 30, ..intent(0) };
        let account = observe(&evening(care, None, vec![target]), &mut fake);
        (account.targets[0].visits, account.targets[0].took, fake.jolts.len())
    };
    // Thirty visitors of 45 s and a glance of 2 s before each: 23.5 minutes after 23 s of go-to.
    let (visits, took, jolts) = shown(0.0, Care::Perfect);
    assert_eq!(visits, Visits { came: 30, saw: 30, centrings: 0 });
    assert_eq!((took, jolts), (Span::from_whole_seconds(23 + 30 * 47), 0));
    // Half a field off the edge: found by looking round, and shown all the same.
    let (visits, _, jolts) = shown(35.0, Care::Usual);
    assert_eq!(visits.came, 30);
    assert!(visits.saw >= 28 && visits.centrings >= 1 && jolts > 0, "{visits:?} {jolts}");
    // Six fields off nobody sees it.
    assert_eq!(shown(300.0, Care::Usual).0.saw, 0);
}

#[test]
fn recoveries_find_what_they_can_and_cost_minutes() {
    let night = |when_missed: Recovery, error: f64| {
        let mut fake = sky();
        fake.error = [Angle::from_arcmin(error).radians(), 0.0];
        let mut plan = evening(Care::Usual, two_stars(), vec![intent(0)]);
        plan.person.when_missed = when_missed;
        plan.intents[0].place = Some((Angle::from_degrees(83.8), Angle::from_degrees(-5.4)));
        let account = observe(&plan, &mut fake);
        (account.targets[0].seen, account.targets[0].took, fake.lines)
    };
    let (seen, took, _) = night(Recovery::GoOn, 60.0);
    assert_eq!((seen, took), (false, Span::from_whole_seconds(23)));
    let (seen, longer, _) = night(Recovery::Search, 60.0);
    assert!(seen && longer > took);
    let (_, longest, lines) = night(Recovery::StartOver, 60.0);
    assert!(longest > longer);
    assert_eq!(lines.iter().filter(|line| line.starts_with("align ")).count(), 2);
    // Rigel is the nearest star of this sky to which the mount goes.
    let (_, _, lines) = night(Recovery::SightNearby, 60.0);
    assert!(lines.contains(&"sync name=\"Rigel\"".to_owned()), "{lines:?}");
    let (_, _, lines) = night(Recovery::ReplaceSighting, 60.0);
    assert!(lines.contains(&"sight name=\"Rigel\" replaces=nearest".to_owned()));
}

#[test]
fn later_sightings_come_when_they_are_due() {
    let mut fake = sky();
    let mut plan = evening(
        Care::Usual,
        None,
        vec![Intent { dwell: Span::from_whole_seconds(600), ..intent(0) }, intent(1)],
    );
    plan.later = vec![LaterSighting {
        at: Span::from_whole_seconds(300),
        star: "Capella".to_owned(),
        replaces: Replaced::Oldest,
    }];
    observe(&plan, &mut fake);
    let at = |start: &str| fake.lines.iter().position(|line| line.starts_with(start));
    let sighted = at("sight name=\"Capella\" replaces=oldest").expect("it was due");
    assert!(at("goto azimuth=0").unwrap() < sighted && sighted < at("goto azimuth=1").unwrap());
}

#[test]
fn keys_that_are_refused_end_a_try_not_the_night() {
    let mut fake = sky();
    fake.error = [Angle::from_arcmin(10.0).radians(), 0.0];
    fake.refused = vec!["nudge"];
    let account = observe(&evening(Care::Usual, two_stars(), vec![intent(0)]), &mut fake);
    assert!(account.sightings.iter().all(|one| one.ending == SightingEnding::Stuck));
    assert_eq!(account.targets[0].ending, Ending::Looked);
}

#[test]
fn the_night_ends_wherever_it_ends() {
    for seconds in [0, 5, 30, 60] {
        let mut fake = sky();
        fake.end = Span::from_whole_seconds(seconds);
        let account = observe(&evening(Care::Usual, two_stars(), vec![intent(0), intent(1)]), &mut fake);
        assert_eq!(account.targets.len(), 2);
        assert_eq!(account.targets[1].ending, Ending::NightOver, "{seconds} s");
    }
}
