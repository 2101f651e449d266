use super::*;

const PLAN: &str = r#"
format = 1
[night]
title = "A mount to play with"
begin = 2027-03-06T20:30:00+01:00
length = "5 h"
[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"
[mount]
kind = "german-equatorial"
grade = "perfect"
[mount.declination_axis]
backlash = "200 arcsec"
"#;

fn live() -> Live {
    Live::new(read_night(PLAN).expect("a night that can be played"))
}

/// The same mount without play.
fn tight() -> Live {
    Live::new(read_night(&PLAN.replace("200 arcsec", "0 arcsec")).expect("a night that can be played"))
}

fn line(live: &mut Live, session: Session, text: &str) -> String {
    live.receive(session, format!("{text}\n").as_bytes());
    let mut said = Vec::new();
    live.transmit(session, &mut said);
    // What was told in between comes first.
    String::from_utf8(said).expect("text").lines().last().unwrap_or_default().to_owned()
}

fn pass(live: &mut Live, seconds: i64) {
    let until = live.now() + Span::from_whole_seconds(seconds);
    live.advance(until);
}

fn on_regulus(mut live: Live) -> (Live, Session) {
    let session = live.connect();
    assert!(line(&mut live, session, "goto name=Regulus").starts_with("ok job=1"));
    pass(&mut live, 60);
    (live, session)
}

fn miss(live: &mut Live) -> f64 {
    let target = live.picture().target.expect("a target");
    let (east, north) = (target.error.0.arcsec(), target.error.1.arcsec());
    units::maths::hypot(east, north)
}

#[test]
fn a_reversal_crosses_the_gap_and_the_star_hangs_still_meanwhile() {
    let (mut live, session) = on_regulus(live());
    let before = live.picture();
    assert_eq!(before.target.as_ref().map(|target| target.name.as_str()), Some("Regulus"));
    // Switched on in the middle of its gap, it lags by half of it after the way from the pole.
    // Half a minute of tracking at the sidereal rate leaves what refraction adds: some tenths of an arcsecond.
    assert!((miss(&mut live) - 100.0).abs() < 1.0, "{}", miss(&mut live));
    // The slew came from the pole: southward, so that the wheel lies against the flank that pushes it south. 4 s at 20 times
    // sidereal are 1203″ less the ramps, far more than the gap of 200″; half a second is less.
    assert!(line(&mut live, session, "nudge direction=north rate=20x for=0.5s").starts_with("ok"));
    pass(&mut live, 3);
    let within = live.picture();
    assert_eq!(within.plays[1].contact, "none");
    assert_eq!(within.axes.1, before.axes.1, "the axis hangs still in the gap");
    assert!((within.dials.1 - before.dials.1).arcsec() > 50.0);
    assert_eq!(live.crossings()[1], 0);
    line(&mut live, session, "nudge direction=north rate=20x for=4s");
    pass(&mut live, 6);
    let after = live.picture();
    assert_eq!(live.crossings()[1], 1);
    let lost = (after.dials.1 - before.dials.1) - (after.axes.1 - before.axes.1);
    // The gap itself: a perfect mount but for it.
    assert!((lost.arcsec() - 200.0).abs() < 0.01, "{}", lost.arcsec());
}

#[test]
fn errors_change_where_it_points_and_not_what_it_believes() {
    let (mut live, _) = on_regulus(tight());
    let before = live.picture();
    for (name, value) in [("polar-azimuth", 60.0), ("cone", 8.0), ("hour-mark", 10.0)] {
        assert_eq!(live.set(name, value), Ok(None));
        let after = live.picture();
        assert_eq!(after.belief, before.belief, "{name}");
        assert_eq!(after.told, before.told, "{name}");
        assert!(miss(&mut live) > 100.0, "{name}: {}", miss(&mut live));
        assert_eq!(live.set(name, 0.0), Ok(None));
        assert!(miss(&mut live) < 1.0, "{name}: back again: {}", miss(&mut live));
    }
    assert_eq!(live.picture(), before, "nothing is left of what was taken back");
}

/// The same night from the begin with the error in its file points to the same place as the night into which it was put later.
#[test]
fn an_error_put_in_later_is_the_error_of_the_file() {
    let (mut later, _) = on_regulus(tight());
    for (name, value) in [("polar-altitude", -30.0), ("cone", 5.0), ("axis-skew", 3.0), ("hour-wave", 20.0)] {
        assert_eq!(later.set(name, value), Ok(None));
    }
    let plan = scenario::read(&later.scenario()).expect("what is shared can be read");
    let mut from_begin = Live::new(prepare(&plan).expect("and played"));
    let session = from_begin.connect();
    line(&mut from_begin, session, "goto name=Regulus");
    pass(&mut from_begin, 60);
    let (one, other) = (later.picture(), from_begin.picture());
    assert_eq!(one.dials, other.dials);
    // A matrix multiplied back and forth once: some units in the last place of a radian.
    assert!((one.truth.0 - other.truth.0).arcsec().abs() < 1e-6);
    assert!((one.truth.1 - other.truth.1).arcsec().abs() < 1e-6);
}

#[test]
fn what_the_mount_is_told_goes_over_the_line() {
    let (mut live, session) = on_regulus(tight());
    let typed = live.set("clock-error", 3600.0).expect("a clock may be wrong").expect("a line");
    assert!(typed.starts_with("time utc=2027-03-06T20:31:00"), "{typed}");
    line(&mut live, session, "stop");
    pass(&mut live, 5);
    let typed = live.set("clock-error", 3600.0).unwrap().unwrap();
    assert!(line(&mut live, session, &typed).starts_with("ok utc=2027-03-06T20:31:05"));
    assert!(live.picture().told.status.contains("utc=2027-03-06T20:31:05"));
    let latitude = live.set("entered-latitude-error", 30.0).unwrap().unwrap();
    assert_eq!(latitude, "site latitude=41.00000000deg");
}

#[test]
fn what_cannot_be_is_refused_and_nothing_has_changed() {
    let mut live = live();
    let before = live.scenario();
    assert!(matches!(live.set("hour-play", -1.0), Err(TrimError::OutOfRange { .. })));
    assert!(matches!(live.set("hour-play", f64::NAN), Err(TrimError::OutOfRange { .. })));
    assert!(
        matches!(live.set("lean-north", 1.0), Err(TrimError::Unknown(_))),
        "an equatorial mount has none"
    );
    assert!(matches!(live.set("nothing", 1.0), Err(TrimError::Unknown(_))));
    assert_eq!(live.scenario(), before);
}

/// Every error moves what is true or what is believed; none is a switch that does nothing.
#[test]
fn every_error_does_something() {
    for kind in ["german-equatorial", "fork-equatorial", "alt-azimuth"] {
        let text = PLAN.replace("german-equatorial", kind);
        let text =
            if kind == "alt-azimuth" { text.replace("declination_axis", "altitude_axis") } else { text };
        let stiff = if kind == "alt-azimuth" { "azimuth_axis" } else { "hour_axis" };
        let text =
            format!("{text}stiffness = \"20000 N m/rad\"\n[mount.{stiff}]\nstiffness = \"20000 N m/rad\"\n");
        let plan = scenario::read(&text).expect("a good plan");
        let seen = |with: Option<&Trim>| {
            let mut live = Live::new(prepare(&plan).expect("a night"));
            let session = live.connect();
            line(&mut live, session, "goto name=Regulus");
            pass(&mut live, 60);
            let typed = with
                .and_then(|trim| live.set(trim.name, trim.most).unwrap_or_else(|error| panic!("{error}")));
            line(&mut live, session, "stop");
            pass(&mut live, 5);
            if let Some(typed) = typed {
                assert!(line(&mut live, session, &typed).starts_with("ok"), "{typed}");
            }
            for way in
                ["goto hour_axis=20deg declination_axis=30deg", "goto azimuth_axis=20deg altitude_axis=30deg"]
            {
                line(&mut live, session, way);
            }
            pass(&mut live, 90);
            for way in ["west", "north", "east", "south"] {
                line(&mut live, session, &format!("nudge direction={way} rate=20x for=3s"));
                pass(&mut live, 5);
            }
            let picture = live.picture();
            (picture.truth, picture.told.pointing)
        };
        let without = seen(None);
        for trim in TRIMS.iter().filter(|trim| trim.serves(&plan)) {
            assert_ne!(seen(Some(trim)), without, "{kind}: {} does nothing", trim.name);
        }
    }
}

#[test]
fn another_night_keeps_the_connections() {
    let (mut live, session) = on_regulus(tight());
    let plan = scenario::read(&PLAN.replace("20:30", "21:30")).expect("a good plan");
    live.begin(prepare(&plan).expect("a night"));
    assert_eq!(live.nights(), 1);
    assert!(line(&mut live, session, "status").contains("state=resting"), "the mount was just switched on");
    assert!(live.picture().target.is_none());
    live.disconnect(session);
}

#[test]
fn the_course_is_even_in_the_mounts_time_and_bounded() {
    let (mut live, _) = on_regulus(tight());
    let seconds: Vec<i64> = live.course(0).map(|moment| moment.at.nanoseconds() / 1_000_000_000).collect();
    assert!(seconds.windows(2).all(|pair| pair[1] - pair[0] == 1));
    let last = live.course(0).last().expect("moments").number;
    assert_eq!(live.course(last).count(), 0);
    pass(&mut live, 8000);
    let kept: Vec<u64> = live.course(last).map(|moment| moment.number).collect();
    assert!(kept.len() <= COURSE_MOST);
    assert!(kept.windows(2).all(|pair| pair[1] == pair[0] + 1));
}

#[test]
fn the_target_stands_in_the_middle_of_the_field() {
    let (live, _) = on_regulus(tight());
    let scope = live.scope();
    let regulus = scope.eyepiece.iter().find(|seen| seen.name == "Regulus").expect("it is there");
    assert!(regulus.right.arcsec().abs() < 1.0 && regulus.up.arcsec().abs() < 1.0);
    assert!(scope.finder.iter().any(|seen| seen.name == "Regulus"));
    // 3.3 degrees away lies 31 Leonis; the finder's radius is 3 degrees.
    assert!(scope.finder.iter().all(|seen| seen.right.degrees().abs() <= 3.1 + seen.diameter.degrees()));
}

/// What a grade and a hurried person bring is told as well, and one error put right leaves the others.
#[test]
fn errors_that_were_drawn_are_told() {
    let text =
        PLAN.replace("perfect", "worn").replace("[mount.declination_axis]\nbacklash = \"200 arcsec\"\n", "");
    let mut live = Live::new(read_night(&text).expect("a night"));
    let told = |live: &Live| -> Vec<(&'static str, f64)> {
        live.trims().map(|(trim, value)| (trim.name, value)).collect()
    };
    let before = told(&live);
    for name in ["hour-play", "declination-wave", "polar-azimuth", "cone", "hour-mark", "hour-imbalance"] {
        let value = live.value_of(name).expect("it has it");
        assert!(value != 0.0, "{name}");
        live.set(name, 0.0).expect("it can be put right");
    }
    let after = told(&live);
    for ((name, one), (_, other)) in before.iter().zip(&after) {
        let changed =
            ["hour-play", "declination-wave", "polar-azimuth", "cone", "hour-mark", "hour-imbalance"]
                .contains(name);
        assert_eq!(*other, if changed { 0.0 } else { *one }, "{name}");
    }
    let harmonics = |live: &Live| live.prepared.world.mount.axes[1].worm_errors[0].len();
    assert!(harmonics(&live) >= 1, "the worm keeps its other harmonics");
}
