//! Jobs, the log, park and home, loss of power.

mod common;

use common::{Desk, NIGHT, field, settings};
use controller::Motors;
use kinematics::Kind;
use units::Span;

const FAR: &str = "goto hour_axis=-30deg declination_axis=20deg";
const NEAR: &str = "goto hour_axis=-80deg declination_axis=80deg";

#[test]
fn jobs_are_listed_awaited_and_cancelled() {
    let mut desk = Desk::german();
    assert_eq!(desk.obeyed("jobs"), "ok jobs=none seconds=0.000s");
    desk.refused("await job=1 within=1s", "unknown-job");
    desk.refused("cancel job=1", "unknown-job");
    desk.obeyed(NEAR);
    let reply = desk.obeyed("await job=1 within=100s");
    assert!(reply.starts_with("ok job=1 state=under-way seconds="), "{reply}");
    assert_eq!(desk.run_until("awaited", 100.0), "* awaited job=1 state=arrived");
    assert_eq!(desk.events, ["* arrived job=1 target=axes", "* awaited job=1 state=arrived"]);
    // Again: it has ended, and the event says so at once.
    desk.obeyed("await job=1 within=100s");
    desk.run(0.0);
    assert_eq!(desk.events.last().unwrap(), "* awaited job=1 state=arrived");
    desk.obeyed(FAR);
    desk.obeyed("await job=2 within=2s");
    let begin = desk.now;
    assert_eq!(desk.run_until("awaited", 100.0), "* awaited job=2 state=under-way");
    assert!((desk.now - begin) <= Span::from_seconds(2.25));
    desk.obeyed("await job=2 within=100s");
    desk.obeyed("cancel job=2");
    assert!(desk.obeyed("jobs").starts_with("ok jobs=2:goto:stopped,1:goto:arrived seconds="));
    assert_eq!(desk.run_until("awaited", 10.0), "* awaited job=2 state=stopped");
    assert!(desk.events.contains(&"* stopped job=2".to_owned()));
    // A job that has ended is not cancelled again: nothing brakes.
    let orders = desk.motors.orders;
    assert!(desk.obeyed("cancel job=2").contains("state=stopped"));
    assert_eq!(desk.motors.orders, orders);
}

#[test]
fn a_stop_with_nothing_to_stop_ends_at_once() {
    let mut desk = Desk::german();
    for _ in 0..2 {
        assert_eq!(desk.obeyed("stop"), "ok job=none seconds=0.000s");
        assert!(desk.obeyed("status").contains("state=resting"));
    }
    assert!(desk.obeyed(NEAR).starts_with("ok job=1"));
    assert_eq!(desk.run_until("arrived", 100.0), "* arrived job=1 target=axes");
    assert_eq!(desk.events, ["* arrived job=1 target=axes"]);
    // Tracking is something to stop, though it is no job.
    desk.obeyed("track rate=sidereal");
    assert!(desk.obeyed("stop").starts_with("ok job=none seconds=0.0"));
    assert_eq!(desk.run_until("stopped", 5.0), "* stopped job=none");
}

#[test]
fn eight_jobs_are_remembered() {
    let mut desk = Desk::german();
    for job in 1..=10 {
        desk.obeyed(if job % 2 == 0 { NEAR } else { FAR });
        desk.run_until("arrived", 100.0);
    }
    desk.refused("await job=2 within=1s", "unknown-job");
    desk.obeyed("await job=3 within=1s");
    assert_eq!(field(&desk.obeyed("jobs"), "jobs").split(',').count(), 8);
}

#[test]
fn a_parked_mount_moves_only_after_unpark() {
    let mut desk = Desk::german();
    desk.obeyed(NEAR);
    desk.run_until("arrived", 100.0);
    desk.obeyed("park");
    assert_eq!(desk.run_until("arrived", 100.0), "* arrived job=2 target=park");
    assert_eq!((desk.dial(0), desk.dial(1)), (-90.0, 90.0));
    assert!(desk.obeyed("status").contains("state=parked"));
    for line in
        [NEAR, "home", "park", "track rate=sidereal", "nudge direction=west rate=2x", "sync name=Capella"]
    {
        desk.refused(line, "parked");
    }
    desk.refused("guide direction=west for=1s", "parked");
    desk.obeyed("unpark");
    desk.obeyed(NEAR);
    desk.run_until("arrived", 100.0);
    desk.obeyed("home");
    assert_eq!(desk.run_until("arrived", 100.0), "* arrived job=4 target=home");
    assert!(desk.obeyed("status").contains("state=resting"));
}

#[test]
fn the_log_keeps_sixteen_entries_and_says_what_it_dropped() {
    let mut desk = Desk::german();
    assert_eq!(desk.obeyed("errors"), "ok count=0");
    desk.refused("errors entry=1", "out-of-range");
    for _ in 0..20 {
        desk.obeyed("nudge direction=north rate=0.5x hold=0.1s");
        desk.run(1.0);
    }
    let reply = desk.obeyed("errors");
    assert!(reply.starts_with("ok count=16 entry=16 utc=2027-03-06T20:30:1"), "{reply}");
    assert!(reply.ends_with("kind=dead-man dropped=4"), "{reply}");
    assert!(desk.obeyed("errors entry=15").ends_with("dropped=0"));
    assert_eq!(desk.obeyed("errors clear=yes"), "ok count=0");
}

#[test]
fn a_loss_of_power_leaves_dials_at_home_and_no_alignment() {
    for battery in [true, false] {
        let mut told = settings(Kind::AltAzimuth, NIGHT);
        told.clock_has_battery = battery;
        let mut desk = Desk::new(told);
        desk.obeyed("goto name=Capella");
        desk.run_until("arrived", 200.0);
        desk.obeyed("sync name=Capella");
        desk.obeyed("guide-rate rate=1x");
        desk.run(10.0);
        let now = desk.now;
        desk.controller.power_lost(now);
        assert_eq!(desk.controller.next_wake(), None);
        let mut reply = String::new();
        let line = protocol::Frame::Line("status".to_owned());
        desk.controller.answer(&line, now, &mut desk.motors, &mut reply);
        assert_eq!(reply, "", "without power there is silence");
        // The motors stand where they were.
        for axis in controller::Axis::BOTH {
            let stands = desk.motors.dial(axis);
            desk.motors.paths[axis.index()] = kinematics::path::Path::hold(now, stands);
        }
        desk.now += Span::from_whole_seconds(5);
        desk.motors.now = desk.now;
        let mut events = Vec::new();
        desk.controller.restarted(desk.now, &mut desk.motors, &mut events);
        assert_eq!(events.len(), 1);
        assert_eq!(events[0].kind, protocol::EventKind::Restarted);
        assert!(!desk.controller.belief().aligned());
        let status = desk.obeyed("status");
        assert!(status.contains("state=resting") && status.contains("rate=off"), "{status}");
        assert_eq!(common::degrees(&status, "azimuth_dial"), 0.0);
        assert!((common::degrees(&status, "altitude_dial")).abs() < 1e-9);
        let kept = field(&status, "utc").as_str() > "2027-03-06T20:30:10";
        assert_eq!(kept, battery, "{status}");
        // A setting is kept.
        assert!(desk.obeyed("guide-rate").contains("15.0411"));
        // It goes on from what it believes.
        desk.obeyed("goto azimuth=10deg altitude=10deg");
        desk.run_until("arrived", 100.0);
        let axes = desk.obeyed("axes");
        assert!((common::degrees(&axes, "azimuth_dial") - 10.0).abs() < 1e-8, "{axes}");
    }
}
