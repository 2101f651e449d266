//! What the computer learns of its own gears: a correction from guide corrections, and the play from two centrings.

mod common;

use common::{Desk, NIGHT, degrees, field, settings};
use controller::{CorrectionOrder, Worm};
use kinematics::Kind;
use units::{AngularRate, maths};

/// Turns of the worm to one of the axis.
const TEETH: f64 = 160.0;
/// One turn of the worm at the sidereal rate, seconds.
const TURN: f64 = 86_164.090_5 / TEETH;

fn desk(index_mark: bool) -> Desk {
    let mut settings = settings(Kind::GermanEquatorial, NIGHT);
    settings.worm = Worm { turns: 160, index_mark, steepest: 0.5 };
    let mut desk = Desk::new(settings);
    desk.obeyed("track rate=sidereal");
    desk
}

/// Turns of the worm at the hour axis's step count.
fn worm(desk: &Desk) -> f64 {
    desk.dial(0) / 360.0 * TEETH
}

/// What a worm is off by, arcsec: 10″ once a turn and 3″ twice a turn.
fn error(worm: f64) -> f64 {
    10.0 * maths::sin(maths::TAU * worm + 0.7) + 3.0 * maths::sin(2.0 * maths::TAU * worm + 2.0)
}

/// Guides a star for so many seconds every ten: the tube is off by the worm's error and drifts 0.01″/s off the sky.
fn guide(desk: &mut Desk, seconds: f64) {
    let sidereal = AngularRate::SIDEREAL.arcsec();
    let tube = |desk: &Desk| desk.dial(0) * 3600.0 + error(worm(desk)) + 0.01 * desk.now.seconds();
    let (begin, star) = (desk.now.seconds(), tube(desk));
    while desk.now.seconds() < begin + seconds {
        desk.run(10.0);
        let miss = tube(desk) - star - sidereal * (desk.now.seconds() - begin);
        let direction = if miss < 0.0 { "west" } else { "east" };
        let long = miss.abs() / (0.5 * sidereal);
        if long > 0.001 {
            desk.obeyed(&format!("guide direction={direction} for={long:.6}s"));
        }
    }
}

/// Records over so many turns, guiding; the event that ends it.
fn record(desk: &mut Desk, turns: f64) -> String {
    desk.obeyed(&format!("record turns={turns}"));
    guide(desk, TURN * turns + 10.0);
    desk.events.iter().find(|event| event.starts_with("* recorded")).expect("it has ended").clone()
}

fn table(desk: &Desk) -> Vec<f64> {
    let load = desk.motors.corrections.iter().find_map(|(_, order)| match order {
        CorrectionOrder::Load(bins) => Some(bins.iter().map(|bin| bin.arcsec()).collect()),
        CorrectionOrder::Play(_) => None,
    });
    load.expect("the drive was given a table")
}

#[test]
fn a_recording_is_the_worms_error_with_the_other_sign() {
    let mut desk = desk(false);
    let reply = desk.obeyed("record turns=3");
    assert_eq!(field(&reply, "job"), "1");
    // The period of the worm: mean sidereal day over teeth (Aoki et al., Astronomy and Astrophysics 105 (1982) 359, from memory).
    assert_eq!(field(&reply, "seconds"), format!("{:.3}s", 3.0 * TURN));
    desk.obeyed("cancel job=1");
    desk.run(0.1);
    assert_eq!(desk.events, ["* recorded job=1 result=interrupted corrections=0 amplitude=0.00arcsec"]);
    desk.events.clear();
    let ended = record(&mut desk, 3.0);
    assert!(ended.contains("job=2 result=kept"), "{ended}");
    let table = table(&desk);
    assert_eq!(table.len(), 64);
    for (bin, found) in table.iter().enumerate() {
        let expected = -error((bin as f64 + 0.5) / 64.0);
        // A straight line over 10 s of a wave of 3″ twice and 10″ once a turn misses by (0.117² · 10 + 0.233² · 3)/8 = 0.04″; the
        // order includes the correction itself, which puts the worm ahead by 13″ in 8100: 0.02″ more. The trend's ends: the rest.
        assert!((found - expected).abs() < 0.15, "bin {bin}: {found}, expected {expected}");
    }
}

#[test]
fn playback_is_ordered_and_shown() {
    let mut desk = desk(false);
    desk.refused("playback state=on", "no-recording");
    assert!(record(&mut desk, 2.0).contains("result=kept"));
    let shown = desk.obeyed("playback");
    assert_eq!((field(&shown, "state"), field(&shown, "recorded")), ("off".into(), "yes".into()));
    let wave = |i: u32| error(f64::from(i) / 720.0);
    let (low, high) = (0..720).map(wave).fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    let amplitude: f64 = field(&shown, "amplitude").strip_suffix("arcsec").unwrap().parse().unwrap();
    assert!((amplitude - (high - low) / 2.0).abs() < 0.15, "{amplitude} of {}", (high - low) / 2.0);
    assert_eq!(field(&desk.obeyed("playback state=on"), "state"), "on");
    desk.obeyed("playback state=on");
    let plays = desk.motors.corrections.iter().filter(|(_, order)| *order == CorrectionOrder::Play(true));
    assert_eq!(plays.count(), 1, "said once");
    // A new recording is of the bare worm.
    desk.run(5.0);
    desk.obeyed("record turns=1");
    assert_eq!(desk.motors.corrections.last().unwrap().1, CorrectionOrder::Play(false));
    desk.refused("playback state=on", "busy");
    desk.refused("record turns=1", "busy");
}

#[test]
fn what_comes_between_ends_a_recording() {
    for line in ["nudge direction=west rate=2x for=1s", "stop", "goto name=Regulus", "track rate=off"] {
        let mut desk = desk(false);
        desk.obeyed("record turns=1");
        guide(&mut desk, 60.0);
        desk.run(5.0);
        desk.obeyed(line);
        desk.run(0.1);
        let ended = desk.events.iter().find(|event| event.starts_with("* recorded"));
        assert!(ended.is_some_and(|event| event.contains("result=interrupted")), "{line}: {:?}", desk.events);
        assert!(desk.motors.corrections.is_empty(), "{line}");
    }
    let mut desk = desk(false);
    desk.obeyed("record turns=1");
    guide(&mut desk, 140.0);
    desk.run(TURN);
    // Fourteen corrections are fewer than sixteen.
    assert!(
        desk.events.iter().any(|event| event.contains("result=too-few corrections=14")),
        "{:?}",
        desk.events
    );
    assert_eq!(field(&desk.obeyed("playback"), "recorded"), "no");
}

#[test]
fn a_recording_outlives_the_power_with_an_index_mark_alone() {
    for index_mark in [true, false] {
        let mut desk = desk(index_mark);
        assert!(record(&mut desk, 1.0).contains("result=kept"));
        desk.obeyed("playback state=on");
        desk.controller.power_lost(desk.now);
        let mut events = Vec::new();
        desk.controller.restarted(desk.now, &mut desk.motors, &mut events);
        let shown = desk.obeyed("playback");
        let expected = if index_mark { ("on", "yes") } else { ("off", "no") };
        assert_eq!((field(&shown, "state").as_str(), field(&shown, "recorded").as_str()), expected);
        assert_eq!(field(&shown, "index"), if index_mark { "yes" } else { "no" });
    }
}

#[test]
fn a_recording_needs_a_steady_hour_axis() {
    let mut desk = desk(false);
    desk.refused("record turns=13", "out-of-range");
    desk.obeyed("track rate=off");
    desk.refused("record turns=1", "wrong-kind");
    let mut desk = Desk::alt_azimuth();
    desk.obeyed("track rate=sidereal");
    desk.refused("record turns=1", "wrong-kind");
}

/// Half a second at twenty times the stars' rate, arcsec: what the second centring's dial lacks.
const LACKS: f64 = 0.5 * 20.0 * AngularRate::SIDEREAL.arcsec();

/// Centres from one side and from the other, where the gears have a play of `LACKS`.
fn centred_twice(desk: &mut Desk, there: &str, back: &str, set: &str) -> String {
    desk.obeyed("goto name=Regulus");
    desk.run(60.0);
    desk.obeyed(&format!("nudge direction={there} rate=20x for=3s"));
    desk.run(5.0);
    desk.obeyed("measure-play name=Regulus centring=first");
    desk.obeyed(&format!("nudge direction={there} rate=20x for=3s"));
    desk.run(5.0);
    desk.obeyed(&format!("nudge direction={back} rate=20x for=3.5s"));
    // Tracking goes on for a while: the dials count at which the key was let go.
    desk.run(45.0);
    desk.obeyed(&format!("measure-play name=Regulus centring=second{set}"))
}

#[test]
fn two_centrings_tell_the_play() {
    for (there, back, axis, other) in [
        ("north", "south", "declination_axis", "hour_axis"),
        ("west", "east", "hour_axis", "declination_axis"),
    ] {
        let mut desk = Desk::german();
        let reply = centred_twice(&mut desk, there, back, "");
        // Refraction moves the star against its dials by some 0.1″ in the few seconds between the two.
        assert!((degrees(&reply, axis) * 3600.0 - LACKS).abs() < 0.5, "{reply}");
        assert_eq!((field(&reply, other), field(&reply, "set")), ("none".into(), "no".into()));
        assert!(degrees(&desk.obeyed("take-up"), axis) == 0.0);
        let mut desk = Desk::german();
        desk.obeyed(&format!("take-up {axis}=50arcsec"));
        let reply = centred_twice(&mut desk, there, back, " set=yes");
        // What was taken up already is a part of it.
        assert!((degrees(&reply, axis) * 3600.0 - LACKS - 50.0).abs() < 0.5, "{reply}");
        assert_eq!(field(&desk.obeyed("take-up"), axis), field(&reply, axis));
    }
}

#[test]
fn a_play_needs_two_sides_of_one_star() {
    let mut desk = Desk::german();
    desk.obeyed("goto name=Regulus");
    desk.run(60.0);
    desk.refused("measure-play name=Regulus centring=first", "unfit-sighting");
    desk.obeyed("nudge direction=north rate=20x for=3s");
    desk.run(5.0);
    desk.refused("measure-play name=Regulus centring=second", "unfit-sighting");
    desk.obeyed("measure-play name=Regulus centring=first");
    desk.refused("measure-play name=Regulus centring=second", "unfit-sighting");
    desk.obeyed("nudge direction=north rate=20x for=3s");
    desk.run(5.0);
    desk.refused("measure-play name=Castor centring=second", "unfit-sighting");
    desk.refused("measure-play name=Regulus centring=second set=yes", "unfit-sighting");
    let reply = desk.obeyed("measure-play name=Regulus centring=second");
    assert_eq!(
        (field(&reply, "hour_axis"), field(&reply, "declination_axis")),
        ("none".into(), "none".into())
    );
    // An eastward nudge slower than the stars does not turn the motor back.
    desk.obeyed("nudge direction=west rate=2x for=1s");
    desk.run(5.0);
    desk.obeyed("measure-play name=Regulus centring=first");
    desk.obeyed("nudge direction=east rate=0.5x for=4s");
    desk.run(6.0);
    assert_eq!(field(&desk.obeyed("measure-play name=Regulus centring=second"), "hour_axis"), "none");
}
