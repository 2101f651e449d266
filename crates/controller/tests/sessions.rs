//! Several connections: controls, events, sequence numbers.

mod common;

use common::Desk;
use protocol::{EventKind, Frame, Session};

fn say(desk: &mut Desk, session: u32, line: &str) -> String {
    let mut reply = String::new();
    let frame = Frame::Line(line.to_owned());
    desk.controller.answer_from(Session(session), &frame, desk.now, &mut desk.motors, &mut reply);
    reply
}

const GOTO: &str = "goto hour_axis=-80deg declination_axis=60deg";

#[test]
fn one_holds_the_controls_and_all_may_stop() {
    let mut desk = Desk::german();
    assert_eq!(say(&mut desk, 1, "controls"), "ok holder=nobody");
    assert_eq!(say(&mut desk, 1, "controls action=take"), "ok holder=this");
    assert_eq!(say(&mut desk, 2, "controls"), "ok holder=another");
    let before = desk.controller.state_digest();
    for line in [
        GOTO,
        "controls action=take",
        "track rate=sidereal",
        "nudge direction=west rate=2x",
        "sun radius=10deg",
        "time utc=2027-03-06T20:30:00Z",
        "park",
        "errors clear=yes",
    ] {
        assert!(say(&mut desk, 2, line).starts_with("no 22 not-in-control "), "{line}");
    }
    assert_eq!(desk.controller.state_digest(), before);
    for line in ["status", "track", "sun", "site", "release", "controls action=release"] {
        assert!(say(&mut desk, 2, line).starts_with("ok "), "{line}");
    }
    assert!(say(&mut desk, 1, GOTO).starts_with("ok job=1"));
    desk.run(3.0);
    assert!(say(&mut desk, 2, "stop").starts_with("ok job=1"));
    desk.run(3.0);
    // Who goes lets go.
    desk.controller.disconnected(Session(1));
    assert!(say(&mut desk, 2, GOTO).starts_with("ok job=2"));
}

#[test]
fn each_connection_has_the_events_that_it_wants() {
    let mut desk = Desk::german();
    assert!(say(&mut desk, 1, "events").ends_with("silent=none"));
    let reply = say(&mut desk, 1, "events kind=arrived show=off");
    assert!(reply.ends_with("silent=arrived"), "{reply}");
    assert!(!desk.controller.wants(Session(1), EventKind::Arrived));
    assert!(desk.controller.wants(Session(1), EventKind::Limit));
    assert!(desk.controller.wants(Session(2), EventKind::Arrived));
    assert!(say(&mut desk, 1, "events show=off").starts_with("ok shown=none silent="));
    assert!(say(&mut desk, 1, "events show=on").ends_with("silent=none"));
    assert!(say(&mut desk, 1, "events kind=arrived").starts_with("no 13 missing-key"));
}

#[test]
fn a_numbered_motion_line_moves_once() {
    let mut desk = Desk::german();
    let nudge = "nudge direction=west rate=20x for=1s seq=7";
    let first = say(&mut desk, 1, nudge);
    desk.run(3.0);
    let there = desk.dial(0);
    let orders = desk.motors.orders;
    assert_eq!(say(&mut desk, 1, nudge), first);
    assert_eq!(say(&mut desk, 1, &format!("@a1 {nudge}")), first.replacen("ok", "ok @a1", 1));
    desk.run(3.0);
    assert_eq!((desk.dial(0), desk.motors.orders), (there, orders));
    let before = desk.controller.state_digest();
    for line in ["nudge direction=east rate=20x for=1s seq=7", "nudge direction=west rate=20x for=1s seq=6"] {
        assert!(say(&mut desk, 1, line).starts_with("no 23 sequence-used"), "{line}");
    }
    assert!(say(&mut desk, 1, "nudge direction=west rate=20x for=1s seq=0").starts_with("no 14"));
    assert_eq!(desk.controller.state_digest(), before);
    // Another connection counts for itself, and a refused line uses no number.
    assert!(say(&mut desk, 2, nudge).starts_with("ok"));
    assert!(say(&mut desk, 1, &format!("{GOTO} seq=8")).starts_with("no 21 busy"));
    desk.run(3.0);
    assert!(say(&mut desk, 1, &format!("{GOTO} seq=8")).starts_with("ok job=1"));
}
