//! What a star tells of the gears, at a mount on paper: the lines that are typed, and what comes of them.

mod fake;

use fake::Fake;
use observer::{
    Account, Care, Entered, Evening, Handset, Person, PlayIntent, RecordingEnding, RecordingIntent, View,
    observe,
};
use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, Span, Streams};

fn evening(person: Person, recording: Option<RecordingIntent>, play: Option<PlayIntent>) -> Evening {
    Evening {
        person,
        handset: Handset {
            alt_azimuth: false,
            full_rate: AngularRate::from_degrees(3.0),
            acceleration: AngularAcceleration::from_degrees(2.0),
            jerk: Some(AngularJerk::from_degrees(6.0)),
            view: View::Mirrored,
            latitude: Angle::from_degrees(50.0),
            entered: Entered::default(),
        },
        alignment: None,
        polar: None,
        recording,
        play,
        later: Vec::new(),
        intents: Vec::new(),
        streams: Streams::new(7),
    }
}

fn sky() -> Fake {
    let mut fake = Fake::new().with_star("Regulus", Angle::from_degrees(-40.0), Angle::from_degrees(12.0));
    fake.proposals = vec!["Regulus".to_owned()];
    fake
}

fn recording(turns: u64) -> Option<RecordingIntent> {
    Some(RecordingIntent {
        turns,
        star: Some("Regulus".to_owned()),
        interval: Span::from_whole_seconds(10),
        playback: true,
    })
}

fn play(rounds: u64, set_take_up: bool) -> Option<PlayIntent> {
    Some(PlayIntent { rounds, star: None, set_take_up })
}

fn typed<'a>(fake: &'a Fake, verb: &str) -> Vec<&'a str> {
    fake.lines.iter().map(String::as_str).filter(|line| line.split(' ').next() == Some(verb)).collect()
}

fn measured(account: &Account) -> [f64; 2] {
    [0, 1].map(|axis| account.plays[axis].mean().map_or(f64::NAN, Angle::arcsec))
}

#[test]
fn a_perfect_person_measures_the_play_of_both_axes_and_sets_the_take_up() {
    let mut fake = sky();
    fake.gap = [Angle::from_arcsec(200.0).radians(), Angle::from_arcsec(480.0).radians()];
    // A key that is let go moves the tube on: by 1.5 arcsec, each time to its own side.
    fake.coast = 0.05;
    let account = observe(&evening(Person::of(Care::Perfect), None, play(2, true)), &mut fake);
    let found = measured(&account);
    // Between two blinks the star goes by the same way each: what is left is the rounding of a wait, a nanosecond.
    assert!((found[0] - 200.0).abs() < 0.01 && (found[1] - 480.0).abs() < 0.01, "{found:?}");
    assert_eq!(account.plays.iter().map(|row| row.rounds.len()).collect::<Vec<_>>(), [2, 2]);
    let centrings: Vec<&str> =
        typed(&fake, "measure-play").iter().map(|line| line.rsplit('=').next().unwrap()).collect();
    assert_eq!(centrings, ["first", "second"].repeat(4));
    assert_eq!(
        typed(&fake, "take-up"),
        ["take-up hour_axis=200.00arcsec", "take-up declination_axis=480.00arcsec"]
    );
    assert_eq!(fake.moments, ["PlayMeasured { axis: 0 }", "PlayMeasured { axis: 1 }"].repeat(2));
    assert!(account.alignment > Span::ZERO && account.alignment_presses == account.presses);
}

#[test]
fn rounds_of_a_usual_person_scatter_as_their_eyes_and_hands_do() {
    let mut fake = sky();
    fake.gap = [Angle::from_arcsec(150.0).radians(); 2];
    let account = observe(&evening(Person::of(Care::Usual), None, play(20, false)), &mut fake);
    // Each side: 5″ at the wires, 0.5″ of air, 30″/s times 0.15 of 0.3 s; the difference of two sides, √2 times that.
    let expected = (2.0_f64 * (25.0 + 0.25 + 1.35 * 1.35)).sqrt();
    for row in &account.plays {
        assert_eq!(row.rounds.len(), 20);
        // Twenty rounds tell a deviation to 16 %, three of them; a mean to a fifth of it, three of them.
        let scatter = row.scatter().unwrap().arcsec();
        assert!((scatter / expected - 1.0).abs() < 0.48, "{scatter}, expected {expected}");
        let mean = row.mean().unwrap().arcsec();
        assert!((mean - 150.0).abs() < 0.7 * expected, "{mean}");
        assert_eq!(row.take_up, None);
    }
    assert!(typed(&fake, "take-up").is_empty());
}

#[test]
fn a_star_is_kept_on_the_wires_while_the_mount_records() {
    let mut fake = sky();
    fake.worm.0 = Angle::from_arcsec(15.0).radians();
    let account = observe(&evening(Person::of(Care::Perfect), recording(2), None), &mut fake);
    let told = account.recording.unwrap();
    assert_eq!(told.ending, RecordingEnding::Told("kept".to_owned()));
    assert_eq!((told.star.as_deref(), told.played, told.index_mark), (Some("Regulus"), true, false));
    let guides = typed(&fake, "guide");
    // A reading every ten seconds of 1200, the last one at 1190; where the worm stands still nothing is needed.
    assert!((110..=119).contains(&guides.len()), "{}", guides.len());
    // At its fastest the worm goes 15″ · 2π/600 s, in ten seconds 1.57″: on 12 degrees of declination 1.6″, 0.21 s of the key.
    let longest =
        guides.iter().filter_map(|line| line.rsplit_once("for=")?.1.strip_suffix('s')?.parse::<f64>().ok());
    let longest = longest.fold(0.0, f64::max);
    assert!((0.19..0.23).contains(&longest), "{longest}");
    assert_eq!(typed(&fake, "playback"), ["playback state=on", "playback"]);
    assert_eq!(fake.moments, ["Records", "Recorded"]);
}

#[test]
fn what_keeps_a_recording_from_its_end_is_told() {
    let recorded = |mut fake: Fake| {
        let account = observe(&evening(Person::of(Care::Usual), recording(1), None), &mut fake);
        (account.recording.unwrap(), fake)
    };
    let mut busy = sky();
    busy.refused = vec!["record"];
    assert_eq!(recorded(busy).0.ending, RecordingEnding::Refused("not now".to_owned()));
    let mut hidden = sky();
    hidden.hidden.insert("Regulus".to_owned());
    let (told, fake) = recorded(hidden);
    assert_eq!((told.ending, told.star), (RecordingEnding::NoStar, None));
    assert!(fake.moments.is_empty() && typed(&fake, "record").is_empty());
    // A worm so bad that the star leaves the field between two readings.
    let mut lost = sky();
    lost.worm = (Angle::from_degrees(30.0).radians(), Span::from_whole_seconds(600));
    let (told, fake) = recorded(lost);
    assert_eq!(told.ending, RecordingEnding::StarLost);
    assert_eq!(typed(&fake, "cancel").len(), 1);
    let mut short = sky();
    short.end = Span::from_whole_seconds(300);
    assert_eq!(recorded(short).0.ending, RecordingEnding::NightOver);
}

#[test]
fn without_a_star_nothing_is_measured() {
    let mut fake = sky();
    fake.proposals.clear();
    let account = observe(&evening(Person::of(Care::Usual), None, play(1, true)), &mut fake);
    assert!(
        account.plays.iter().all(|row| row.star.is_none() && row.rounds.is_empty() && row.take_up.is_none())
    );
    assert!(typed(&fake, "take-up").is_empty());
    let mut fake = sky();
    fake.refused = vec!["measure-play"];
    let account = observe(&evening(Person::of(Care::Perfect), None, play(1, true)), &mut fake);
    assert!(account.plays.iter().all(|row| row.refusal.as_deref() == Some("not now")));
}
