//! Verbs by which the mount learns of its own gears.

use super::{PER_SECOND, near, row};
use crate::Row;
use tests::mount::{Mount, event_field};

pub const ROWS: &[Row] = &[
    row("record", "", record),
    row("record", "turns", record_turns),
    row("playback", "", playback),
    row("playback", "state", playback_state),
    row("measure-play", "", measure_play),
    row("measure-play", "name", measure_play_name),
    row("measure-play", "centring", measure_play_centring),
    row("measure-play", "set", measure_play_set),
];

/// Seconds of one turn of the worm, by what `record` says.
fn turn(mount: &mut Mount) -> f64 {
    mount.ask("track rate=sidereal");
    let seconds = mount.seconds("record turns=1", "seconds");
    mount.play(&["cancel job=1", "(1 s)"]);
    mount.events();
    seconds
}

/// Records one turn, guided to and fro: half a turn westward, half a turn eastward. Says what came of it.
fn recorded(mount: &mut Mount) -> String {
    let turn = turn(mount);
    mount.ask("record turns=1");
    for correction in 0..20 {
        let direction = if correction < 10 { "west" } else { "east" };
        mount.ask(&format!("guide direction={direction} for=0.2s"));
        mount.wait(turn / 20.0);
    }
    mount.wait(10.0);
    let events = mount.events();
    events.into_iter().find(|event| event.starts_with("* recorded")).expect("the recording has ended")
}

fn record(mount: &mut Mount) {
    let ended = recorded(mount);
    assert_eq!(event_field(&ended, "result").as_deref(), Some("kept"), "{ended}");
    assert_eq!(event_field(&ended, "corrections").as_deref(), Some("20"), "{ended}");
    assert_eq!(event_field(&ended, "job").as_deref(), Some("2"), "{ended}");
    // Ten corrections of 0.2 s at half the stars' rate make a hill of 15″, and half of its range is 7.5″. The straight trend of a
    // hill that begins and ends at nought is small, but not nought for one turn: a fifth.
    let amplitude = event_field(&ended, "amplitude").expect("an amplitude");
    let amplitude: f64 = amplitude.strip_suffix("arcsec").and_then(|text| text.parse().ok()).expect("arcsec");
    near(amplitude, 0.5 * 10.0 * 0.2 * 0.5 * PER_SECOND, 0.2 * 7.5);
}

fn record_turns(mount: &mut Mount) {
    let one = turn(mount);
    near(mount.seconds("record turns=3", "seconds"), 3.0 * one, 0.002);
}

fn playback(mount: &mut Mount) {
    assert_eq!(mount.field("playback", "state"), "off");
    assert_eq!(mount.field("playback", "recorded"), "no");
    recorded(mount);
    assert_eq!(mount.field("playback", "recorded"), "yes");
}

/// The hour axis leaves its dial by the correction, which over a turn ranges over twice its amplitude.
fn playback_state(mount: &mut Mount) {
    recorded(mount);
    let aside = |mount: &mut Mount| {
        let dial = mount.degrees("axes", "hour_dial");
        (mount.world().truth().axes().first.degrees() - dial) * 3600.0
    };
    let range = |mount: &mut Mount| {
        let (mut low, mut high) = (f64::MAX, f64::MIN);
        for _ in 0..140 {
            mount.wait(4.0);
            let aside = aside(mount);
            (low, high) = (low.min(aside), high.max(aside));
        }
        high - low
    };
    near(range(mount), 0.0, 1e-3);
    assert_eq!(mount.field("playback state=on", "state"), "on");
    let amplitude: f64 = {
        let text = mount.field("playback", "amplitude");
        text.strip_suffix("arcsec").and_then(|text| text.parse().ok()).expect("arcsec")
    };
    // Looked at every 4 s, the tip of the hill is missed by at most 2 s of its slope, 0.06″/s.
    near(range(mount), 2.0 * amplitude, 0.2);
    assert_eq!(mount.field("playback state=off", "state"), "off");
    near(range(mount), 0.0, 1e-3);
}

/// Regulus, brought into the middle by a northward nudge, then by a southward one that is half a second longer.
const CENTRED: &[&str] = &[
    "goto name=Regulus",
    "(60 s)",
    "nudge direction=north rate=20x for=3s",
    "(5 s)",
    "measure-play name=Regulus centring=first",
    "nudge direction=north rate=20x for=3s",
    "(5 s)",
    "nudge direction=south rate=20x for=3.5s",
    "(5 s)",
];
/// What that half second moves, arcsec.
const PLAY: f64 = 0.5 * 20.0 * PER_SECOND;

fn measure_play(mount: &mut Mount) {
    mount.play(CENTRED);
    let play = mount.degrees("measure-play name=Regulus centring=second", "declination_axis");
    // Refraction moves the star by some 0.1″ against its dials meanwhile.
    near(play * 3600.0, PLAY, 0.5);
}

fn measure_play_name(mount: &mut Mount) {
    mount.play(CENTRED);
    assert_eq!(mount.refused("measure-play name=Castor centring=second"), "unfit-sighting");
    assert_eq!(mount.field("measure-play name=\"alpha Leo\" centring=second", "star"), "Regulus");
}

fn measure_play_centring(mount: &mut Mount) {
    mount.play(CENTRED);
    let reply = mount.ask("measure-play name=Regulus centring=first");
    assert!(reply.get("star").is_some() && reply.get("declination_axis").is_none(), "{reply:?}");
    // The first one was taken anew, and nothing was nudged since.
    assert_eq!(mount.refused("measure-play name=Regulus centring=second"), "unfit-sighting");
}

fn measure_play_set(mount: &mut Mount) {
    mount.play(CENTRED);
    assert_eq!(mount.field("measure-play name=Regulus centring=second set=yes", "set"), "yes");
    near(mount.degrees("take-up", "declination_axis") * 3600.0, PLAY, 0.5);
    near(mount.degrees("take-up", "hour_axis"), 0.0, 0.0);
}
