//! Verbs that ask how things stand, and those of a connection.

use super::{near, row};
use crate::Row;
use protocol::EventKind;
use tests::mount::Mount;

pub const ROWS: &[Row] = &[
    row("jobs", "", jobs),
    row("await", "", await_),
    row("await", "job", await_job),
    row("await", "within", await_within),
    row("cancel", "", cancel),
    row("cancel", "job", cancel_job),
    row("errors", "", errors),
    row("errors", "entry", errors_entry),
    row("errors", "clear", errors_clear),
    row("events", "", events),
    row("events", "kind", events_kind),
    row("events", "show", events_show),
    row("controls", "", controls),
    row("controls", "action", controls_action),
];

const AWAY: &str = "goto hour_axis=-80deg declination_axis=60deg";
/// How long that takes from home: D/v + v/a + a/j.
const WAY: f64 = 30.0 / 3.0 + 3.0 / 2.0 + 2.0 / 6.0;

fn jobs(mount: &mut Mount) {
    assert_eq!(mount.field("jobs", "jobs"), "none");
    mount.play(&[AWAY, "(60 s)", "home", "(4 s)"]);
    assert_eq!(mount.field("jobs", "jobs"), "2:home:under-way,1:goto:arrived");
    // Printed to a millisecond.
    near(mount.seconds("jobs", "seconds"), WAY - 4.0, 6e-4);
}

fn await_(mount: &mut Mount) {
    mount.play(&[AWAY]);
    let reply = mount.ask("await job=1 within=60s");
    assert_eq!((reply.get("job"), reply.get("state")), (Some("1"), Some("under-way")));
    mount.wait(60.0);
    assert_eq!(mount.events(), ["* arrived job=1 target=axes", "* awaited job=1 state=arrived"]);
}

fn await_job(mount: &mut Mount) {
    mount.play(&[AWAY, "(60 s)", "home"]);
    mount.events();
    // The first has ended: that is told at once.
    assert_eq!(mount.field("await job=1 within=60s", "state"), "arrived");
    mount.wait(0.1);
    assert_eq!(mount.events(), ["* awaited job=1 state=arrived"]);
    assert_eq!(mount.refused("await job=3 within=60s"), "unknown-job");
}

fn await_within(mount: &mut Mount) {
    mount.play(&[AWAY, "await job=1 within=2s", "(1.9 s)"]);
    assert!(mount.events().is_empty());
    mount.wait(0.2);
    assert_eq!(mount.events(), ["* awaited job=1 state=under-way"]);
}

fn cancel(mount: &mut Mount) {
    mount.play(&[AWAY, "(5 s)"]);
    let reply = mount.ask("cancel job=1");
    assert_eq!((reply.get("job"), reply.get("state")), (Some("1"), Some("under-way")));
    assert_eq!(mount.field("status", "state"), "stopping");
    mount.wait(10.0);
    assert_eq!(mount.events(), ["* stopped job=1"]);
    assert_eq!(mount.field("jobs", "jobs"), "1:goto:stopped");
}

/// Another job than the one under way is left alone.
fn cancel_job(mount: &mut Mount) {
    mount.play(&[AWAY, "(60 s)", "home", "(1 s)"]);
    assert_eq!(mount.field("cancel job=1", "state"), "arrived");
    assert_eq!(mount.field("status", "state"), "slewing");
    assert_eq!(mount.field("cancel job=2", "state"), "under-way");
    assert_eq!(mount.field("status", "state"), "stopping");
    assert_eq!(mount.refused("cancel job=3"), "unknown-job");
}

/// Two held nudges that nobody let go of.
const LAPSES: &[&str] = &["nudge direction=north rate=2x", "(5 s)", "nudge direction=south rate=2x", "(5 s)"];

fn errors(mount: &mut Mount) {
    assert_eq!(mount.field("errors", "count"), "0");
    mount.play(LAPSES);
    let reply = mount.ask("errors");
    assert_eq!((reply.get("count"), reply.get("entry")), (Some("2"), Some("2")));
    assert_eq!((reply.get("kind"), reply.get("dropped")), (Some("dead-man"), Some("0")));
}

/// Half a minute and two seconds lie between the begins of both; each lasts as long as the other.
fn errors_entry(mount: &mut Mount) {
    mount.play(LAPSES);
    // A second's holding and the braking from two sidereal rates: 2·√(v/j) = 0.075 s.
    assert_eq!(mount.field("errors entry=1", "utc"), "2027-03-06T19:30:01.075Z");
    assert_eq!(mount.field("errors entry=2", "utc"), "2027-03-06T19:30:06.075Z");
    assert_eq!(mount.refused("errors entry=3"), "out-of-range");
}

fn errors_clear(mount: &mut Mount) {
    mount.play(LAPSES);
    assert_eq!(mount.field("errors clear=yes", "count"), "0");
    assert_eq!(mount.field("errors", "count"), "0");
}

fn events(mount: &mut Mount) {
    let words: Vec<&str> = EventKind::ALL.iter().map(|kind| kind.word()).collect();
    assert_eq!(mount.field("events", "shown"), words.join(","));
    assert_eq!(mount.field("events", "silent"), "none");
}

fn events_kind(mount: &mut Mount) {
    assert_eq!(mount.field("events kind=arrived show=off", "silent"), "arrived");
    mount.play(&[AWAY, "await job=1 within=60s", "(60 s)"]);
    assert_eq!(mount.events(), ["* awaited job=1 state=arrived"]);
}

fn events_show(mount: &mut Mount) {
    assert_eq!(mount.field("events show=off", "shown"), "none");
    mount.play(&[AWAY, "(60 s)"]);
    assert!(mount.events().is_empty());
    assert_eq!(mount.field("events show=on", "silent"), "none");
    mount.play(&["home", "(60 s)"]);
    assert_eq!(mount.events(), ["* arrived job=2 target=home"]);
}

fn controls(mount: &mut Mount) {
    assert_eq!(mount.field("controls", "holder"), "nobody");
    mount.play(&["+controls action=take"]);
    assert_eq!(mount.field("controls", "holder"), "another");
}

fn controls_action(mount: &mut Mount) {
    assert_eq!(mount.field("controls action=take", "holder"), "this");
    let refused = mount.ask_elsewhere(AWAY).outcome.expect_err("the other connection holds the controls");
    assert_eq!(refused.1, "not-in-control");
    assert_eq!(mount.field("controls action=release", "holder"), "nobody");
    mount.play(&[&format!("+{AWAY}")]);
}
