//! Verbs that move the axes.

use super::{PER_SECOND, PRINTED_DEGREES, alt_azimuth, near, row};
use crate::Row;
use tests::mount::{Mount, event_field};

pub const ROWS: &[Row] = &[
    row("track", "hour", track_hour),
    row("track", "declination", track_declination),
    row("track", "axes", track_axes),
    row("track", "seq", track_seq),
    row("goto", "seq", goto_seq),
    row("nudge", "", nudge),
    row("nudge", "direction", nudge_direction),
    row("nudge", "rate", nudge_rate),
    row("nudge", "for", nudge_for),
    row("nudge", "hold", nudge_hold),
    row("nudge", "seq", nudge_seq),
    row("release", "", release),
    row("guide", "", guide),
    row("guide", "direction", guide_direction),
    row("guide", "for", guide_for),
    row("guide", "seq", guide_seq),
    row("guide-rate", "", guide_rate),
    row("guide-rate", "rate", guide_rate_rate),
    row("sync", "", sync),
    row("sync", "name", sync_name),
    row("sync", "ra", sync_ra),
    row("sync", "dec", sync_dec),
    row("sync", "seq", sync_seq),
    row("park", "", park),
    row("park", "seq", park_seq),
    row("unpark", "", unpark),
    row("home", "", home),
    row("home", "seq", home_seq),
];

/// Both dials of an equatorial mount, degrees.
fn dials(mount: &mut Mount) -> [f64; 2] {
    ["hour_dial", "declination_dial"].map(|dial| mount.degrees("axes", dial))
}

/// By how much both dials change, degrees, from a line on and for so many seconds.
fn moved_by(mount: &mut Mount, line: &str, seconds: f64) -> [f64; 2] {
    let before = dials(mount);
    mount.play(&[line]);
    mount.wait(seconds);
    let after = dials(mount);
    [after[0] - before[0], after[1] - before[1]]
}

/// East of the meridian, in the direct position, both axes at rest.
const EAST: &[&str] = &["goto hour_axis=-30deg declination_axis=20deg", "(60 s)"];
/// Off home, at rest.
const AWAY: &[&str] = &["goto hour_axis=-80deg declination_axis=60deg", "(60 s)"];

fn track_hour(mount: &mut Mount) {
    mount.play(EAST);
    let [hour, declination] = moved_by(mount, "track rate=custom hour=2x", 100.0);
    near(hour, 200.0 * PER_SECOND / 3600.0, PRINTED_DEGREES);
    near(declination, 0.0, PRINTED_DEGREES);
}

fn track_declination(mount: &mut Mount) {
    mount.play(EAST);
    let line = "track rate=custom hour=0arcsec/s declination=3arcsec/s";
    let [hour, declination] = moved_by(mount, line, 100.0);
    near(hour, 0.0, PRINTED_DEGREES);
    near(declination, 300.0 / 3600.0, PRINTED_DEGREES);
}

/// Air lifts less and less what rises: a clockwork runs away from it, a mount that turns both axes by its model doesn't.
fn track_axes(mount: &mut Mount) {
    let drift = |mount: &mut Mount, axes: &str| {
        // An hour angle of −5 h, low in the east.
        mount.play(&["goto hour_axis=-75deg declination_axis=10deg", "(60 s)"]);
        let reply = mount.ask(&format!("track rate=sidereal axes={axes}"));
        assert_eq!(reply.get("axes"), Some(axes));
        let places =
            |mount: &mut Mount| ["ra", "dec"].map(|key| mount.degrees("status group=pointing", key) * 3600.0);
        let before = places(mount);
        mount.wait(600.0);
        let after = places(mount);
        (after[0] - before[0]).abs().max((after[1] - before[1]).abs())
    };
    // What is followed on knots is good to 0.01″, at both ends.
    near(drift(mount, "both"), 0.0, 0.02);
    // Refraction falls from some 250″ to 190″ while the altitude grows by 1.8° from 12°.
    assert!(drift(&mut Mount::of_the_shared_night(), "one") > 10.0);
}

/// A numbered line that is said again moves nothing and is answered as before; another line can't have its number.
fn numbered(before: &[&str], line: &str) {
    let mut mounts = [Mount::of_the_shared_night(), Mount::of_the_shared_night()];
    let line = format!("{line} seq=7");
    for (index, mount) in mounts.iter_mut().enumerate() {
        mount.play(before);
        let first = mount.ask(&line);
        assert!(first.outcome.is_ok(), "`{line}`: {first:?}");
        mount.wait(2.0);
        if index == 1 {
            assert_eq!(mount.ask(&line), first);
            assert_eq!(mount.refused("track rate=lunar seq=7"), "sequence-used");
            assert_eq!(mount.refused("track rate=lunar seq=6"), "sequence-used");
        }
        mount.wait(60.0);
    }
    let [once, twice] = &mut mounts;
    assert_eq!(once.events(), twice.events(), "{line}");
    assert_eq!(once.everything(), twice.everything(), "{line}");
}

fn track_seq(mount: &mut Mount) {
    numbered(EAST, "track rate=custom hour=2x");
    // Nor does it begin again what another line has ended since.
    mount.play(&["track rate=sidereal seq=3", "track rate=off", "track rate=sidereal seq=3"]);
    assert_eq!(mount.field("track", "rate"), "off");
}

fn goto_seq(_: &mut Mount) {
    numbered(&[], "goto name=Regulus");
}

fn nudge_seq(_: &mut Mount) {
    numbered(EAST, "nudge direction=west rate=20x for=1s");
}

fn guide_seq(_: &mut Mount) {
    numbered(EAST, "guide direction=west for=1s");
}

fn sync_seq(_: &mut Mount) {
    numbered(&["goto ra=8h40m dec=20deg", "(60 s)"], "sync ra=8h42m dec=20deg");
}

fn park_seq(_: &mut Mount) {
    numbered(AWAY, "park");
}

fn home_seq(_: &mut Mount) {
    numbered(AWAY, "home");
}

/// It comes on top of tracking, and tracking goes on.
fn nudge(mount: &mut Mount) {
    mount.play(EAST);
    mount.play(&["track rate=sidereal"]);
    let before = dials(mount);
    let seconds = mount.seconds("nudge direction=west rate=20x for=2s", "seconds");
    // A small change of rate v with the jerk j takes 2·√(v/j): here from 20 sidereal rates, at 6°/s³, to a millisecond.
    near(seconds, 2.0 + 2.0 * (20.0 * PER_SECOND / 3600.0 / 6.0).sqrt(), 6e-4);
    mount.wait(1.0);
    assert_eq!(mount.field("status", "state"), "nudging");
    mount.wait(9.0);
    assert_eq!(mount.field("status", "state"), "tracking");
    near(dials(mount)[0] - before[0], (10.0 + 40.0) * PER_SECOND / 3600.0, PRINTED_DEGREES);
}

/// What a line that names a direction moves, and in which senses of both dials, from the direct position.
const DIRECTIONS: &[(&str, [f64; 2])] =
    &[("west", [1.0, 0.0]), ("east", [-1.0, 0.0]), ("north", [0.0, 1.0]), ("south", [0.0, -1.0])];

fn nudge_direction(mount: &mut Mount) {
    mount.play(EAST);
    for (direction, sense) in DIRECTIONS {
        let moved = moved_by(mount, &format!("nudge direction={direction} rate=20x for=2s"), 5.0);
        for (moved, sense) in moved.into_iter().zip(sense) {
            near(moved, sense * 40.0 * PER_SECOND / 3600.0, PRINTED_DEGREES);
        }
    }
    assert_eq!(mount.refused("nudge direction=up rate=2x for=1s"), "wrong-kind");
    // Through the pole north is the other way round.
    mount.play(&["goto hour_axis=-120deg declination_axis=150deg", "(90 s)"]);
    near(
        moved_by(mount, "nudge direction=north rate=20x for=2s", 5.0)[1],
        -40.0 * PER_SECOND / 3600.0,
        PRINTED_DEGREES,
    );
    let mut mount = alt_azimuth();
    mount.play(&["goto azimuth_axis=75deg altitude_axis=25deg", "(90 s)"]);
    for (direction, sense) in
        [("right", [1.0, 0.0]), ("left", [-1.0, 0.0]), ("up", [0.0, 1.0]), ("down", [0.0, -1.0])]
    {
        let read =
            |mount: &mut Mount| ["azimuth_dial", "altitude_dial"].map(|dial| mount.degrees("axes", dial));
        let before = read(&mut mount);
        mount.play(&[&format!("nudge direction={direction} rate=20x for=2s"), "(5 s)"]);
        let after = read(&mut mount);
        for axis in 0..2 {
            near(after[axis] - before[axis], sense[axis] * 40.0 * PER_SECOND / 3600.0, PRINTED_DEGREES);
        }
    }
}

/// A nudge moves its rate times its time: speeding up in it and braking after it are alike.
fn nudge_rate(mount: &mut Mount) {
    mount.play(EAST);
    for (word, rate) in [("0.5x", 0.5), ("2x", 2.0), ("20x", 20.0), ("100x", 100.0)] {
        let [hour, _] = moved_by(mount, &format!("nudge direction=west rate={word} for=3s"), 6.0);
        near(hour, 3.0 * rate * PER_SECOND / 3600.0, PRINTED_DEGREES);
    }
    // The drives' full rate is 3°/s.
    let [hour, _] = moved_by(mount, "nudge direction=east rate=full for=3s", 9.0);
    near(hour, -9.0, PRINTED_DEGREES);
}

fn nudge_for(mount: &mut Mount) {
    mount.play(EAST);
    for seconds in [0.5, 4.0] {
        let [hour, _] = moved_by(mount, &format!("nudge direction=west rate=20x for={seconds}s"), 8.0);
        near(hour, seconds * 20.0 * PER_SECOND / 3600.0, PRINTED_DEGREES);
    }
}

/// A held nudge ends after the time that it may be held in silence, one second if nothing is said.
fn nudge_hold(mount: &mut Mount) {
    mount.play(EAST);
    for (hold, seconds) in [("", 1.0), (" hold=3s", 3.0)] {
        mount.events();
        let [hour, _] = moved_by(mount, &format!("nudge direction=west rate=20x{hold}"), 8.0);
        near(hour, seconds * 20.0 * PER_SECOND / 3600.0, PRINTED_DEGREES);
        assert_eq!(mount.events(), ["* dead-man"]);
    }
}

/// Braking from a small rate v takes 2·√(v/j).
fn release(mount: &mut Mount) {
    mount.play(EAST);
    mount.events();
    let before = dials(mount)[0];
    mount.play(&["nudge direction=west rate=100x hold=9s", "(2 s)"]);
    let seconds = mount.seconds("release", "seconds");
    near(seconds, 2.0 * (100.0 * PER_SECOND / 3600.0 / 6.0).sqrt(), 6e-4);
    mount.wait(20.0);
    near(dials(mount)[0] - before, 200.0 * PER_SECOND / 3600.0, PRINTED_DEGREES);
    assert_eq!(mount.events(), [""; 0]);
}

/// A correction moves the guide rate, half of the stars' if nothing is said, times its time.
fn guide(mount: &mut Mount) {
    mount.play(EAST);
    mount.play(&["track rate=sidereal"]);
    let [hour, _] = moved_by(mount, "guide direction=east for=2s", 10.0);
    near(hour, (10.0 - 1.0) * PER_SECOND / 3600.0, PRINTED_DEGREES);
}

fn guide_direction(mount: &mut Mount) {
    mount.play(EAST);
    for (direction, sense) in DIRECTIONS {
        let moved = moved_by(mount, &format!("guide direction={direction} for=2s"), 5.0);
        for (moved, sense) in moved.into_iter().zip(sense) {
            near(moved, sense * PER_SECOND / 3600.0, PRINTED_DEGREES);
        }
    }
}

fn guide_for(mount: &mut Mount) {
    mount.play(EAST);
    for seconds in [0.5, 4.0] {
        let [hour, _] = moved_by(mount, &format!("guide direction=west for={seconds}s"), 8.0);
        near(hour, seconds * 0.5 * PER_SECOND / 3600.0, PRINTED_DEGREES);
    }
}

/// Arcseconds a second, as it is printed: to four decimals.
fn said_guide_rate(mount: &mut Mount, line: &str) -> f64 {
    mount.quantity::<units::AngularRate>(line, "rate").arcsec()
}

fn guide_rate(mount: &mut Mount) {
    near(said_guide_rate(mount, "guide-rate"), 0.5 * PER_SECOND, 6e-5);
}

fn guide_rate_rate(mount: &mut Mount) {
    mount.play(EAST);
    near(said_guide_rate(mount, "guide-rate rate=0.75x"), 0.75 * PER_SECOND, 6e-5);
    let [hour, _] = moved_by(mount, "guide direction=west for=2s", 5.0);
    near(hour, 1.5 * PER_SECOND / 3600.0, PRINTED_DEGREES);
}

/// The zero of a dial goes back by what a nudge moved the tube from the star.
fn sync(mount: &mut Mount) {
    mount.play(&["goto name=Regulus", "(30 s)", "nudge direction=north rate=20x for=3s", "(5 s)"]);
    let reply = mount.ask("sync name=Regulus");
    let shift = |key: &str| reply.get(key).and_then(|text| text.strip_suffix("deg")?.parse().ok());
    // For ten seconds or so the hour axis alone was turned, while refraction changed by some hundredths of an arcsecond.
    near(shift("second_shift").expect("a shift"), -60.0 * PER_SECOND / 3600.0, 3e-5);
    near(shift("first_shift").expect("a shift"), 0.0, 3e-5);
}

/// After a sync the mount believes to point at what it was told.
fn synced(mount: &mut Mount, line: &str) -> [f64; 2] {
    let before = dials(mount);
    mount.play(&[line]);
    // Nothing moves by it.
    assert_eq!(dials(mount), before);
    ["ra", "dec"].map(|key| mount.degrees("status group=pointing", key))
}

fn sync_name(mount: &mut Mount) {
    mount.play(&["goto ra=10h10m dec=13deg", "(60 s)"]);
    let [ra, dec] = synced(mount, "sync name=Regulus");
    // As for `goto`, whose row says where the place is from.
    near(ra, 152.0930, 0.003);
    near(dec, 11.9672, 0.003);
}

fn sync_ra(mount: &mut Mount) {
    mount.play(&["goto ra=8h40m dec=20deg", "(60 s)"]);
    // As for `goto`: the chain there and back.
    near(synced(mount, "sync ra=8h42m dec=20deg")[0], 130.5, 1e-6);
}

fn sync_dec(mount: &mut Mount) {
    mount.play(&["goto ra=8h40m dec=20deg", "(60 s)"]);
    near(synced(mount, "sync ra=8h40m dec=21deg")[1], 21.0, 1e-6);
}

/// From where `AWAY` left it to home: 30° in declination at 3°/s, 2°/s², 6°/s³ take D/v + v/a + a/j.
const WAY_HOME: f64 = 30.0 / 3.0 + 3.0 / 2.0 + 2.0 / 6.0;

fn park(mount: &mut Mount) {
    mount.play(AWAY);
    mount.events();
    near(mount.seconds("park", "seconds"), WAY_HOME, 6e-4);
    let events = mount.settle();
    assert_eq!(event_field(&events[0], "target").as_deref(), Some("park"), "{events:?}");
    assert_eq!(mount.field("status", "state"), "parked");
    near(dials(mount)[0], -90.0, PRINTED_DEGREES);
    near(dials(mount)[1], 90.0, PRINTED_DEGREES);
    assert_eq!(mount.refused("home"), "parked");
}

fn unpark(mount: &mut Mount) {
    mount.play(&["park", "(1 s)"]);
    assert_eq!(mount.refused("track rate=sidereal"), "parked");
    assert_eq!(mount.field("unpark", "parked"), "no");
    assert_eq!(mount.field("track rate=sidereal", "rate"), "sidereal");
}

fn home(mount: &mut Mount) {
    mount.play(AWAY);
    mount.events();
    near(mount.seconds("home", "seconds"), WAY_HOME, 6e-4);
    let events = mount.settle();
    assert_eq!(event_field(&events[0], "target").as_deref(), Some("home"), "{events:?}");
    assert_eq!(mount.field("status", "state"), "resting");
    near(dials(mount)[0], -90.0, PRINTED_DEGREES);
    near(dials(mount)[1], 90.0, PRINTED_DEGREES);
}
