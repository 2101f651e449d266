//! What goes wrong in the computer itself.

mod common;

use common::Desk;
use controller::{Axis, Mishap};
use units::Span;

fn befall(desk: &mut Desk, mishap: Mishap) {
    let mut events = Vec::new();
    desk.motors.now = desk.now;
    desk.controller.befall(mishap, desk.now, &mut desk.motors, &mut events);
    for event in events {
        let mut line = String::new();
        event.push_to(&mut line);
        desk.events.push(line);
    }
}

#[test]
fn while_it_is_stuck_it_answers_questions_and_stops_and_does_nothing_else() {
    let mut desk = Desk::german();
    desk.obeyed("track rate=sidereal");
    befall(&mut desk, Mishap::StuckBusy(Span::from_whole_seconds(30)));
    desk.refused("goto hour_axis=-30deg declination_axis=20deg", "busy");
    desk.refused("site height=500m", "busy");
    assert!(desk.obeyed("status").contains("state=tracking"));
    assert!(desk.obeyed("stop").starts_with("ok"));
    desk.run(30.0);
    assert!(desk.obeyed("goto hour_axis=-30deg declination_axis=20deg").starts_with("ok job=1"));
}

#[test]
fn a_flood_fills_the_log_and_counts_what_it_drops() {
    let mut desk = Desk::german();
    befall(&mut desk, Mishap::ErrorFlood(32));
    assert_eq!(desk.events.len(), 32);
    // The log has sixteen places: the last says how many it dropped before it.
    let reply = desk.obeyed("errors");
    assert!(
        reply.contains("count=16") && reply.contains("kind=warn") && reply.ends_with("dropped=16"),
        "{reply}"
    );
}

#[test]
fn old_settings_are_those_of_the_first_minute() {
    let mut desk = Desk::german();
    let site = desk.obeyed("site");
    let approach = desk.obeyed("approach");
    desk.run(100.0);
    desk.obeyed("site latitude=10deg");
    desk.obeyed("time utc=2027-03-06T22:00:00Z");
    desk.obeyed("approach final=west-north");
    befall(&mut desk, Mishap::OldSettings);
    assert_eq!((desk.obeyed("site"), desk.obeyed("approach")), (site, approach));
    assert!(desk.obeyed("time").contains("utc=2027-03-06T20:31:40"), "{}", desk.obeyed("time"));
}

#[test]
fn a_bouncing_switch_ends_whatever_moves() {
    let mut desk = Desk::german();
    desk.obeyed("goto name=Regulus");
    desk.run(2.0);
    befall(&mut desk, Mishap::LimitBounce { axis: Axis::First, times: 1 });
    assert_eq!(desk.events, ["* limit at=switch-first"]);
    assert_eq!(desk.run_until("stopped", 10.0), "* stopped job=1");
    assert!(desk.obeyed("status").contains("state=resting"));
    // With nothing to stop it is told all the same.
    befall(&mut desk, Mishap::LimitBounce { axis: Axis::Second, times: 1 });
    assert_eq!(desk.events.last().map(String::as_str), Some("* limit at=switch-second"));
}
