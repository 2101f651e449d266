//! What a person makes of a mount that doubts and asks.

mod fake;

use fake::Fake;
use observer::{
    Account, AlignmentIntent, Care, Entered, Evening, Handset, LaterSighting, Method, Person, Replaced,
    SightingEnding, View, WhenAsked, observe,
};
use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, Span, Streams};

const SUSPICIOUS: &str = "no 42 suspicious \"Rigel stands 300.0 arcmin from where the model expects it, and Capella where the tube \
                          points: is it that one? anyway=yes takes it\"";
const CONTRADICTED: &str = "no 41 unfit-sighting \"Regulus and Rigel should stand 60.00 deg apart but the dials say 66.00 deg: one of \
                            them is another star, or an axis slipped; sight both again\"";
const LIKELIER: &str = "ok star=Rigel disagreement=300.00arcmin verdict=unbelievable likelier=Capella moved=nothing size=0.00arcmin";

fn person(care: Care) -> Person {
    // Who they are counts here, not how well they centre.
    Person { when_asked: Person::of(care).when_asked, care, ..Person::of(Care::Perfect) }
}

fn sky() -> Fake {
    let degrees = Angle::from_degrees;
    let mut fake = Fake::new()
        .with_star("Regulus", degrees(-40.0), degrees(10.0))
        .with_star("Rigel", degrees(20.0), degrees(-8.0))
        .with_star("Capella", degrees(10.0), degrees(46.0));
    fake.proposals = ["Regulus", "Rigel", "Capella"].map(str::to_owned).to_vec();
    fake
}

fn night(person: Person, entered: Entered, fake: &mut Fake) -> Account {
    let evening = Evening {
        person,
        handset: Handset {
            alt_azimuth: false,
            full_rate: AngularRate::from_degrees(3.0),
            acceleration: AngularAcceleration::from_degrees(2.0),
            jerk: Some(AngularJerk::from_degrees(6.0)),
            view: View::Mirrored,
            latitude: Angle::from_degrees(50.0),
            entered,
        },
        alignment: Some(AlignmentIntent {
            method: Method::TwoStar,
            estimator: None,
            stars: Vec::new(),
            refine: 0,
        }),
        polar: None,
        recording: None,
        play: None,
        later: Vec::new(),
        intents: Vec::new(),
        streams: Streams::new(7),
    };
    observe(&evening, fake)
}

/// The lines that are no keys, by their verb and what follows.
fn lines(fake: &Fake) -> Vec<&str> {
    fake.lines.iter().map(String::as_str).filter(|line| !line.starts_with("nudge")).collect()
}

fn answers(account: &Account) -> Vec<(&str, Option<bool>)> {
    account.doubts.iter().map(|doubt| (doubt.answer, doubt.right)).collect()
}

fn after<'a>(lines: &[&'a str], refused: &str) -> Vec<&'a str> {
    let at = lines.iter().position(|line| *line == refused).expect("the line was typed");
    lines[at + 1..].to_vec()
}

#[test]
fn hurried_people_go_on_with_the_next_star() {
    let mut fake = sky();
    // The first star is taken, the second doubted.
    fake.says.push_back(("sight", "ok star=Regulus taken=1 needed=2 done=no".to_owned()));
    fake.says.push_back(("sight", SUSPICIOUS.to_owned()));
    let account = night(person(Care::Hurried), Entered::default(), &mut fake);
    assert!(account.doubts.is_empty());
    assert!(!fake.lines.iter().any(|line| line.starts_with("verify")));
    let ends: Vec<bool> = account.sightings.iter().map(|one| one.ending == SightingEnding::Taken).collect();
    assert_eq!(ends[..2], [true, false]);
}

#[test]
fn the_usual_person_takes_the_star_that_is_named_though_it_may_be_wrong() {
    let mut fake = sky();
    fake.says.push_back(("sight", "ok star=Regulus taken=1 needed=2 done=no".to_owned()));
    fake.says.push_back(("sight", SUSPICIOUS.to_owned()));
    fake.says.push_back(("verify", LIKELIER.to_owned()));
    let account = night(person(Care::Usual), Entered::default(), &mut fake);
    // It was Rigel all the same.
    assert_eq!(answers(&account), [("took the star that the mount named", Some(false))]);
    assert_eq!(account.doubts[0].asked.split(' ').next(), Some("Rigel"));
    assert!(fake.lines.contains(&"sight name=\"Capella\"".to_owned()), "{:?}", fake.lines);
}

#[test]
fn the_careful_person_looks_at_the_chart_and_insists() {
    let mut fake = sky();
    fake.says.push_back(("sight", SUSPICIOUS.to_owned()));
    let account = night(person(Care::Careful), Entered::default(), &mut fake);
    assert_eq!(answers(&account), [("looked at the chart: it is that star", Some(true))]);
    let lines = lines(&fake);
    let next = after(&lines, "sight name=\"Regulus\"");
    assert_eq!(next[0], "sight name=\"Regulus\" anyway=yes");
    assert!(!lines.iter().any(|line| line.starts_with("verify")));
    assert_eq!(account.sightings[0].ending, SightingEnding::Taken);
}

#[test]
fn an_earlier_wrong_star_makes_them_begin_again_once() {
    for care in [Care::Usual, Care::Careful] {
        let mut fake = sky();
        fake.says.push_back(("sight", "ok star=Regulus taken=1 needed=2 done=no".to_owned()));
        // The second contradicts the first, and so it does when they insist.
        for _ in 0..2 {
            fake.says.push_back(("sight", CONTRADICTED.to_owned()));
        }
        let account = night(person(care), Entered::default(), &mut fake);
        let begun: Vec<&str> = lines(&fake).into_iter().filter(|line| line.starts_with("align")).collect();
        assert_eq!(
            begun,
            ["align method=two-star", "align method=none", "align method=two-star"],
            "{care:?}"
        );
        assert_eq!(answers(&account).len(), 1);
        let taken = account.sightings.iter().filter(|one| one.ending == SightingEnding::Taken).count();
        assert_eq!(taken, 3, "the first one, and two anew");
    }
}

#[test]
fn a_clock_that_is_an_hour_fast_is_set_and_the_alignment_begun_again() {
    let asked = |fake: &mut Fake| {
        let far = "ok star=Regulus taken=1 needed=2 done=no disagreement=880.00arcmin";
        fake.says.push_back(("sight", far.to_owned()));
        fake.says.push_back(("questions", "ok stars=1 west=-15.04deg count=1".to_owned()));
        let slip = "is the clock an hour fast (daylight saving, or the zone)";
        fake.says.push_back((
            "questions",
            format!("ok stars=1 west=-15.04deg count=1 slip=\"{slip}\" share=90.0%"),
        ));
        fake.says.push_back(("time", "ok utc=2027-03-06T20:41:07.250Z sidereal=7h00m00.000s".to_owned()));
        fake.says.push_back(("time", "ok utc=2027-03-06T19:41:07.250Z sidereal=6h00m00.000s".to_owned()));
        fake.says.push_back(("align", "ok method=two-star needed=2 taken=0".to_owned()));
        fake.says.push_back(("align", "ok method=none needed=0 taken=0".to_owned()));
    };
    let mut fake = sky();
    asked(&mut fake);
    let entered = Entered { clock_fast: Span::from_whole_seconds(3600), ..Entered::default() };
    let account = night(person(Care::Usual), entered, &mut fake);
    let typed = lines(&fake);
    let next = after(&typed, "questions entry=1");
    assert_eq!(
        next[..4],
        ["time", "time utc=2027-03-06T19:41:07.250Z", "align method=none", "align method=two-star"]
    );
    assert_eq!(answers(&account), [("looked at the watch and set the clock", Some(true))]);
    // With a clock that is right it is the home mark, and they go on.
    let mut fake = sky();
    asked(&mut fake);
    let account = night(person(Care::Usual), Entered::default(), &mut fake);
    assert_eq!(answers(&account), [("looked at watch and map: nothing was wrong", Some(true))]);
    assert_eq!(lines(&fake).iter().filter(|line| line.starts_with("align")).count(), 1);
    // Others don't even ask.
    let mut fake = sky();
    asked(&mut fake);
    let account = night(person(Care::Hurried), entered, &mut fake);
    assert!(account.doubts.is_empty() && !fake.lines.iter().any(|line| line.starts_with("questions")));
}

#[test]
fn a_wrong_sign_of_the_longitude_is_entered_again() {
    let mut fake = sky();
    let far = "ok star=Regulus taken=1 needed=2 done=no disagreement=540.00arcmin";
    fake.says.push_back(("sight", far.to_owned()));
    fake.says.push_back(("questions", "ok stars=1 west=9.00deg count=1".to_owned()));
    let slip = "was east entered for west in the longitude";
    fake.says
        .push_back(("questions", format!("ok stars=1 west=9.00deg count=1 slip=\"{slip}\" share=90.0%")));
    fake.says.push_back(("site", "ok latitude=50.00000000deg".to_owned()));
    fake.says.push_back(("align", "ok method=two-star needed=2 taken=0".to_owned()));
    fake.says.push_back(("align", "ok method=none needed=0 taken=0".to_owned()));
    let entered = Entered { longitude: Some(Angle::from_degrees(-4.5)), ..Entered::default() };
    let account = night(person(Care::Careful), entered, &mut fake);
    assert!(fake.lines.contains(&"site longitude=-4.50000000deg".to_owned()), "{:?}", fake.lines);
    assert_eq!(answers(&account), [("looked at the map and entered the place again", Some(true))]);
}

/// Two stars beside their places together: the mount is told what it said itself.
#[test]
fn a_star_of_later_that_is_right_has_the_mount_held_against_the_sky() {
    let mut fake = sky().with_target(Angle::ZERO, Angle::ZERO);
    for star in ["Regulus", "Rigel"] {
        fake.says.push_back(("sight", format!("ok star={star} taken=1 needed=2 done=no")));
    }
    fake.says.push_back(("sight", SUSPICIOUS.to_owned()));
    let verified = |moved: &str| {
        format!(
            "ok star=Rigel disagreement=30.00arcmin verdict=unbelievable likelier=none moved={moved} size=30.00arcmin"
        )
    };
    fake.says.push_back(("verify", verified("nothing")));
    fake.says.push_back(("verify", verified("base")));
    fake.says.push_back(("moved", "ok part=base taken=2".to_owned()));
    let evening = Evening {
        person: Person { when_asked: WhenAsked::LookAgain, ..person(Care::Careful) },
        handset: Handset {
            alt_azimuth: false,
            full_rate: AngularRate::from_degrees(3.0),
            acceleration: AngularAcceleration::from_degrees(2.0),
            jerk: Some(AngularJerk::from_degrees(6.0)),
            view: View::Mirrored,
            latitude: Angle::from_degrees(50.0),
            entered: Entered::default(),
        },
        alignment: Some(AlignmentIntent {
            method: Method::TwoStar,
            estimator: None,
            stars: Vec::new(),
            refine: 0,
        }),
        polar: None,
        recording: None,
        play: None,
        later: vec![LaterSighting { at: Span::ZERO, star: "Rigel".to_owned(), replaces: Replaced::None }],
        intents: vec![observer::Intent {
            aim: protocol::Aim::Horizontal { azimuth: Angle::ZERO, altitude: Angle::from_degrees(40.0) },
            place: None,
            dwell: Span::ZERO,
            by_bright_star: false,
            visitors: 0,
            per_visitor: Span::from_whole_seconds(45),
        }],
        streams: Streams::new(7),
    };
    let account = observe(&evening, &mut fake);
    let expected =
        [("looked at the chart: it is that star", Some(true)), ("told the mount what has moved", None)];
    assert_eq!(answers(&account), expected);
    assert!(fake.lines.contains(&"moved part=base".to_owned()), "{:?}", fake.lines);
}
