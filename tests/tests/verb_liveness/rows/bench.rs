//! Verbs of the bench: its clock and its faults; and the check that a connection can demand.

use super::{near, row};
use crate::Row;
use protocol::{Device as _, FaultEntry, RawRequest, Request, check};
use tests::mount::{Mount, NIGHT, night};
use world::{Allowed, FaultsAllowed, Happening};

pub const ROWS: &[Row] = &[
    row("checks", "", checks),
    row("checks", "demand", checks_demand),
    row("clock", "", clock),
    row("clock", "by", clock_by),
    row("clock", "until", clock_until),
    row("clock", "within", clock_within),
    row("fault", "", fault),
    row("fault", "kind", fault_kind),
    row("fault", "direction", |mount| reaches_the_wire(mount, "lost-reply", "direction=sent")),
    row("fault", "after", fault_after),
    row("fault", "for", fault_for),
    row("fault", "every", |mount| reaches_the_wire(mount, "lost-reply", "every=10")),
    row("fault", "nth", |mount| reaches_the_wire(mount, "lost-reply", "nth=3")),
    row("fault", "line", |mount| reaches_the_wire(mount, "lost-reply", "line=status")),
    row("fault", "rate", |mount| reaches_the_wire(mount, "lost-reply", "rate=5%")),
    row("fault", "correlation", |mount| reaches_the_wire(mount, "lost-reply", "rate=5% correlation=50%")),
    row("fault", "burst", |mount| reaches_the_wire(mount, "lost-reply", "burst=4")),
    row("fault", "axis", fault_axis),
    row("fault", "angle", fault_angle),
    row("fault", "by", fault_by),
    row("fault", "delay", |mount| reaches_the_wire(mount, "late-reply", "delay=0.5s")),
    row("fault", "jitter", |mount| reaches_the_wire(mount, "late-bytes", "jitter=0.1s")),
    row("fault", "bytes", |mount| reaches_the_wire(mount, "cut-line", "bytes=16")),
    row("fault", "baud", |mount| reaches_the_wire(mount, "slow-line", "baud=1200")),
    row("faults", "", faults),
    row("faults", "entry", faults_entry),
    row("faults", "clear", faults_clear),
];

fn checked(line: &str) -> Vec<u8> {
    let mut line = line.to_owned();
    check::append(&mut line);
    line.push('\n');
    line.into_bytes()
}

fn has_a_check(line: &str) -> bool {
    matches!(check::take(line), check::Checked::Good(_))
}

fn checks(mount: &mut Mount) {
    assert_eq!(mount.field("checks", "demanded"), "no");
}

fn checks_demand(mount: &mut Mount) {
    assert_eq!(mount.field("checks demand=yes", "demanded"), "yes");
    let refused = mount.send(b"goto name=Regulus\n");
    assert!(refused.starts_with("no 20 bad-check ") && has_a_check(&refused), "{refused}");
    assert!(has_a_check(&mount.send(&checked("goto name=Regulus"))));
    // Another connection demands nothing.
    assert!(mount.ask_elsewhere("status").outcome.is_ok());
    mount.wait(60.0);
    let events = mount.events();
    assert!(events.len() == 1 && events.iter().all(|event| has_a_check(event)), "{events:?}");
    let again = mount.send(&checked("checks demand=no"));
    assert!(again.starts_with("ok demanded=no check="), "{again}");
    assert!(mount.ask("status").outcome.is_ok());
}

fn clock(mount: &mut Mount) {
    mount.wait(12.5);
    assert_eq!(mount.seconds("clock", "elapsed"), 12.5);
    assert_eq!(mount.field("clock", "event"), "none");
    let mut unstepped = Mount::new(night(NIGHT).world_spec().clone());
    assert_eq!(unstepped.refused("clock by=1s"), "not-allowed");
}

/// The mount's time goes on by as much: its crystal is perfect in the shared night.
fn clock_by(mount: &mut Mount) {
    let reply = mount.ask("clock by=2min");
    assert_eq!((reply.get("elapsed"), reply.get("moved")), (Some("120.000000s"), Some("120.000000s")));
    assert_eq!(mount.field("time", "utc"), "2027-03-06T19:32:00.000Z");
}

fn clock_until(mount: &mut Mount) {
    mount.play(&["goto hour_axis=-80deg declination_axis=60deg"]);
    // Events of the time that passes come before the reply.
    let mut said = Vec::new();
    mount.world().receive(protocol::Session(0), b"clock until=event\n");
    mount.world().transmit(protocol::Session(0), &mut said);
    let expected = "* arrived job=1 target=axes\nok elapsed=11.833333s moved=11.833333s event=arrived\n";
    assert_eq!(String::from_utf8_lossy(&said), expected);
}

fn clock_within(mount: &mut Mount) {
    let moved = |mount: &mut Mount, line: &str| mount.seconds(line, "moved");
    near(moved(mount, "clock until=event within=30s"), 30.0, 1e-6);
    // An hour, if nothing is said.
    near(moved(mount, "clock until=event"), 3600.0, 1e-6);
}

fn fault(mount: &mut Mount) {
    assert_eq!(mount.field("fault kind=stall", "fault"), "1");
    assert_eq!(mount.field("fault kind=lost-reply", "fault"), "2");
    let mut harmless = Mount::new(night(NIGHT).world_spec().clone());
    assert_eq!(harmless.refused("fault kind=stall"), "not-allowed");
    // Where nothing can bring faults of the wire about, they are refused.
    harmless.world().allow(Allowed { clock: false, faults: FaultsAllowed::OfTheMount });
    assert_eq!(harmless.refused("fault kind=lost-reply"), "not-allowed");
}

/// A mount without power says nothing for a second; the bench answers all the while.
fn fault_kind(mount: &mut Mount) {
    mount.play(&["fault kind=brown-out", "clock by=0.5s"]);
    mount.world().receive(protocol::Session(0), b"status\n");
    assert_eq!(mount.events(), Vec::<String>::new());
    mount.play(&["clock by=10s"]);
    assert!(mount.ask("status").outcome.is_ok());
}

/// The order as it is listed is the one that was written.
fn reaches_the_wire(mount: &mut Mount, kind: &str, keys: &str) {
    let line = format!("fault kind={kind} {keys}");
    mount.play(&[&line]);
    let raw = RawRequest::read(&line).expect("a line");
    let Ok(Request::Fault(entry)) = Request::from_raw(&raw) else { panic!("`{line}` is no fault") };
    assert_ne!(entry, FaultEntry::of(entry.kind), "the key made no difference");
    let told = mount.field("faults entry=1", "order");
    let again = RawRequest::read(&format!("fault {told}")).expect("an order reads back");
    assert_eq!(Request::from_raw(&again), Ok(Request::Fault(entry)));
}

/// Bytes that a client hears in reply to a line, the bench's lines aside.
fn heard(mount: &mut Mount, line: &str) -> usize {
    let session = mount.session();
    mount.world().receive(session, line.as_bytes());
    let mut bytes = Vec::new();
    mount.world().transmit(session, &mut bytes);
    bytes.len()
}

fn fault_after(mount: &mut Mount) {
    mount.play(&["fault kind=clock-jump by=2s after=5s", "clock by=4s"]);
    assert_eq!(mount.field("time", "utc"), "2027-03-06T19:30:04.000Z");
    assert_eq!(mount.field("faults entry=1", "state"), "waiting");
    mount.play(&["clock by=2s"]);
    assert_eq!(mount.field("time", "utc"), "2027-03-06T19:30:08.000Z");
    assert_eq!(mount.field("faults entry=1", "state"), "over");
}

/// A fault of the wire strikes from its begin to its end.
fn fault_for(mount: &mut Mount) {
    mount.play(&["fault kind=lost-reply after=5s for=10s"]);
    assert!(heard(mount, "status\n") > 0);
    mount.play(&["clock by=5s"]);
    assert_eq!(heard(mount, "status\n"), 0);
    mount.play(&["clock by=9.9s"]);
    assert_eq!(heard(mount, "status\n"), 0);
    mount.play(&["clock by=0.1s"]);
    assert!(heard(mount, "status\n") > 0);
    assert_eq!(mount.field("faults entry=1", "state"), "over");
}

/// What the night did to the mount, in words.
fn happened(mount: &mut Mount) -> String {
    let struck = mount.world().happened().iter().filter(|one| matches!(one, Happening::Struck(..)));
    format!("{:?}", struck.collect::<Vec<_>>())
}

fn fault_axis(mount: &mut Mount) {
    mount.play(&["fault kind=stall axis=declination"]);
    assert!(happened(mount).contains("Stall { axis: 1"), "{}", happened(mount));
    assert_eq!(mount.refused("fault kind=stall axis=azimuth"), "wrong-kind");
}

fn fault_angle(mount: &mut Mount) {
    let dial = |mount: &mut Mount| mount.degrees("axes", "hour_dial");
    let before = dial(mount);
    mount.play(&["fault kind=count-slip axis=hour angle=1deg"]);
    // Counts are whole microsteps.
    near(dial(mount) - before, 1.0, 1e-3);
    assert_eq!(mount.refused("fault kind=stall angle=1deg"), "conflicting-keys");
}

fn fault_by(mount: &mut Mount) {
    mount.play(&["fault kind=clock-jump by=-2s"]);
    assert_eq!(mount.field("time", "utc"), "2027-03-06T19:29:58.000Z");
    assert_eq!(mount.refused("fault kind=clock-jump"), "missing-key");
}

fn faults(mount: &mut Mount) {
    mount.play(&[
        "fault kind=lost-reply",
        "fault kind=stall for=1s",
        "fault kind=echo after=1h",
        "clock by=2s",
    ]);
    let reply = mount.ask("faults");
    assert_eq!((reply.get("count"), reply.get("live")), (Some("3"), Some("1,3")));
}

fn faults_entry(mount: &mut Mount) {
    mount.play(&["fault kind=lost-reply", "fault kind=stall"]);
    assert_eq!(mount.field("faults entry=2", "struck"), "1");
    assert_eq!(mount.field("faults entry=1", "struck"), "0");
    assert_eq!(heard(mount, "status\n"), 0);
    assert_eq!(mount.field("faults entry=1", "struck"), "1");
    assert_eq!(mount.refused("faults entry=3"), "out-of-range");
}

fn faults_clear(mount: &mut Mount) {
    mount.play(&["fault kind=lost-reply", "fault kind=clock-jump by=2s after=5s"]);
    assert_eq!(heard(mount, "status\n"), 0);
    assert_eq!(mount.field("faults entry=1 clear=yes", "state"), "cleared");
    assert!(heard(mount, "status\n") > 0);
    assert_eq!(mount.field("faults clear=yes", "live"), "none");
    mount.play(&["clock by=10s"]);
    assert_eq!(mount.field("time", "utc"), "2027-03-06T19:30:10.000Z");
}
