//! The mount's computer has read no truth: fed with a journal's lines, alarms and step counts, and with no mount at all,
//! it says and orders the same again.

use bench::Prepared;
use controller::{Axis, Controller, CorrectionOrder, Motors};
use kinematics::path::Path;
use protocol::Device;
use tests::mount::{Mount, night};
use tests::text_of;
use units::{Angle, Span};
use world::{Journal, Record};

/// Gives the step counts that a journal has, and holds the orders against those that it has.
struct FromJournal<'a> {
    records: &'a [(Span, Record)],
    next: usize,
    differences: Vec<String>,
}

impl FromJournal<'_> {
    fn take(&mut self) -> Option<(Span, Record)> {
        let record = self.records.get(self.next).cloned();
        self.next += 1;
        record
    }

    /// Holds that the next record is this one.
    fn expect(&mut self, found: &Record) {
        let place = self.next;
        match self.take() {
            Some((_, record)) if record == *found => {}
            other => {
                self.differences.push(format!("record {place}: {found:?} where the journal has {other:?}"))
            }
        }
    }
}

impl Motors for FromJournal<'_> {
    fn dial(&mut self, axis: Axis) -> Angle {
        let place = self.next;
        match self.take() {
            Some((_, Record::Dial(same, dial))) if same == axis => dial,
            other => {
                self.differences
                    .push(format!("record {place}: a dial was read where the journal has {other:?}"));
                Angle::ZERO
            }
        }
    }

    fn order(&mut self, axis: Axis, path: Path) {
        self.expect(&Record::Order(axis, path));
    }

    fn correct(&mut self, axis: Axis, order: CorrectionOrder) {
        self.expect(&Record::Correct(axis, order));
    }
}

/// Runs a fresh computer through a journal; what it says or orders otherwise.
fn differences(prepared: &Prepared, records: &[(Span, Record)]) -> Vec<String> {
    let spec = prepared.world_spec();
    let mut computer = Controller::new(spec.settings.clone(), spec.geocentre.clone());
    let mut motors = FromJournal { records, next: 0, differences: Vec::new() };
    while motors.differences.is_empty()
        && let Some((time, record)) = motors.take()
    {
        match record {
            Record::Request(session, frame) => {
                let mut reply = String::new();
                computer.answer_from(session, &frame, time, &mut motors, &mut reply);
                motors.expect(&Record::Reply(session, reply));
            }
            Record::Wake | Record::PowerLost | Record::Restarted | Record::ClockJump(_) => {
                let mut events = Vec::new();
                match record {
                    Record::PowerLost => computer.power_lost(time),
                    Record::Restarted => computer.restarted(time, &mut motors, &mut events),
                    Record::ClockJump(by) => computer.clock_jump(by, time, &mut motors),
                    _ => computer.wake(time, &mut motors, &mut events),
                }
                for event in events {
                    let mut line = String::new();
                    event.push_to(&mut line);
                    motors.expect(&Record::Event(line));
                }
            }
            other => motors.differences.push(format!("record {}: {other:?} came unasked", motors.next - 1)),
        }
    }
    motors.differences
}

fn replayed(prepared: &Prepared, journal: &Journal) {
    let found = differences(prepared, journal.records());
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// A night with errors of every kind that the truth has and the computer doesn't.
const WRONG: &str = r#"
format = 1
[night]
begin = 2027-03-06T20:30:00+01:00
length = "5 h"
[site]
latitude = "-33.9 deg"
longitude = "18.4 deg"
height = "1200 m"
[mount]
kind = "german-equatorial"
grade = "perfect"
[mount.geometry]
cone_error = "5 arcmin"
axis_skew = "3 arcmin"
tube_flexure = "2 arcmin"
[mount.clock]
drift = "80 ppm"
[setup]
polar_altitude_error = "1.5 deg"
polar_azimuth_error = "-2 deg"
home_hour_error = "0.5 deg"
home_declination_error = "-0.4 deg"
entered = { clock_error = "55 s", latitude = "-33 deg", pressure = "700 hPa" }
[[observe]]
target = "Sirius"
dwell = "10 min"
[[observe]]
target = "Polaris"
[[observe]]
ra = "5h35m17.3s"
dec = "-5d23m28s"
[[observe]]
azimuth = "200 deg"
altitude = "35 deg"
[[observe]]
target = "Acrux"
dwell = "5 h"
"#;

#[test]
fn nights_are_answered_alike_without_a_mount() {
    let built_in = text_of("fixtures/scenarios/built-in/school-field.toml");
    for text in [WRONG, &built_in] {
        let prepared = night(text);
        let (outcome, journal) = prepared.measure_with_journal();
        let requests = journal.records().iter().filter(|(_, record)| matches!(record, Record::Request(..)));
        assert!(requests.count() >= outcome.gotos.len(), "the journal lacks requests");
        replayed(&prepared, &journal);
    }
}

/// Every verb that reads a step count or gives an order, in the middle of everything.
fn talk(prepared: &Prepared) -> Journal {
    let mut mount = Mount::new(prepared.world_spec().clone());
    mount.world().keep_journal();
    let second = mount.world().connect();
    let lines = [
        "status",
        "track rate=sidereal",
        "axes",
        "goto name=Sirius",
        "status group=pointing",
        "goto name=Rigel",
        "nonsense",
        "stop",
        "status",
        "track rate=off",
        "goto hour_axis=-170deg declination_axis=-20deg",
        "axes",
        "@7 status",
        "site latitude=-34deg",
        "time utc=2027-03-06T20:00:00Z",
        "goto ra=7h dec=-20deg solution=direct",
    ];
    for (index, line) in lines.iter().enumerate() {
        mount.send(format!("{line}\n").as_bytes());
        mount.wait(0.7 + 3.1 * index as f64);
    }
    mount.world().receive(second, b"stop\r\nst\x07\nstatus\n");
    mount.settle();
    mount.ask("goto hour_axis=9deg declination_axis=-20deg");
    mount.settle();
    mount.ask("track rate=sidereal");
    let events = mount.settle();
    assert!(events.iter().any(|event| event.starts_with("* limit")), "{events:?}");
    mount.world().journal().cloned().expect("it was kept")
}

#[test]
fn talk_is_answered_alike_without_a_mount() {
    let prepared = night(WRONG);
    let journal = talk(&prepared);
    let dials = journal.records().iter().filter(|(_, record)| matches!(record, Record::Dial(..))).count();
    assert!(dials > 10, "only {dials} step counts were read");
    replayed(&prepared, &journal);
}

/// A correction is recorded, handed to the drive and played, and the play is measured.
#[test]
fn a_recording_is_answered_alike_without_a_mount() {
    let prepared = night(WRONG);
    let mut mount = Mount::new(prepared.world_spec().clone());
    mount.world().keep_journal();
    mount.play(&["goto name=Sirius", "(90 s)", "record turns=1"]);
    for look in 0..60 {
        let direction = if look % 20 < 10 { "west" } else { "east" };
        mount.play(&[&format!("guide direction={direction} for=0.2s"), "(10 s)"]);
    }
    mount.play(&["playback state=on", "nudge direction=north rate=20x for=2s", "(5 s)"]);
    mount.play(&["measure-play name=Sirius centring=first", "playback state=off"]);
    let journal = mount.world().journal().cloned().expect("it was kept");
    let told = journal.records().iter().filter(|(_, record)| matches!(record, Record::Correct(..)));
    assert_eq!(told.count(), 3, "handed over, played, no longer played");
    replayed(&prepared, &journal);
}

/// The replay would notice: one step count that is off by a milliarcsecond, one alarm that is late, are found.
#[test]
fn a_changed_journal_is_noticed() {
    let prepared = night(WRONG);
    let mut records = talk(&prepared).records().to_vec();
    let dial = records.iter().position(|(_, record)| matches!(record, Record::Dial(..))).expect("one");
    let kept = records[dial].clone();
    if let Record::Dial(_, angle) = &mut records[dial].1 {
        *angle += Angle::from_arcsec(0.001);
    }
    assert!(!differences(&prepared, &records).is_empty(), "a changed step count was not noticed");
    records[dial] = kept;
    assert!(differences(&prepared, &records).is_empty(), "the journal was not put back");
    let goto = records.iter().position(|(_, record)| matches!(record, Record::Order(..))).expect("one");
    for (time, _) in &mut records[..=goto] {
        *time += Span::from_nanoseconds(1_000_000);
    }
    assert!(!differences(&prepared, &records).is_empty(), "another time was not noticed");
}
