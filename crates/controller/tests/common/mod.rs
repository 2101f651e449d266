//! A computer on a desk: its motors do exactly what they are told, and time passes when a test says so.
#![allow(dead_code)] // each test file uses its part

use controller::{Axis, Controller, CorrectionOrder, Motors, Settings};
use kinematics::path::Path;
use kinematics::{Kind, Limits};
use protocol::{Event, Frame, read_event, read_reply};
use sky::{Air, Geocentre, Site};
use std::sync::Arc;
use units::{
    Angle, AngularAcceleration, AngularJerk, AngularRate, Instant, Length, Pressure, Quantity, Share, Span,
    Temperature,
};

/// Motors that follow every order.
pub struct Obedient {
    pub paths: [Path; 2],
    pub now: Span,
    pub orders: usize,
    /// What the drives were told about their corrections.
    pub corrections: Vec<(Axis, CorrectionOrder)>,
}

impl Motors for Obedient {
    fn dial(&mut self, axis: Axis) -> Angle {
        self.paths[axis.index()].position(self.now)
    }

    fn order(&mut self, axis: Axis, path: Path) {
        let index = axis.index();
        // Nothing that turns can jump: 0.02 arcsec is what two cubics through the same knots may differ by.
        let jump = path.position(self.now) - self.paths[index].position(self.now);
        assert!(jump.abs().arcsec() < 0.02, "axis {index} was ordered to jump by {} arcsec", jump.arcsec());
        self.paths[index] = self.paths[index].spliced(self.now, &path);
        self.orders += 1;
    }

    fn correct(&mut self, axis: Axis, order: CorrectionOrder) {
        self.corrections.push((axis, order));
        self.orders += 1;
    }
}

pub struct Desk {
    pub controller: Controller,
    pub motors: Obedient,
    pub now: Span,
    pub events: Vec<String>,
}

/// 3 deg/s, 2 deg/s2, 6 deg/s3: a mid-range mount.
pub fn limits() -> Limits {
    Limits {
        rate: AngularRate::from_degrees(3.0),
        acceleration: AngularAcceleration::from_degrees(2.0),
        jerk: Some(AngularJerk::from_degrees(6.0)),
    }
}

pub fn utc(text: &str) -> Instant {
    let time = protocol::CivilTime::parse(text).unwrap();
    sky::time::instant_from_utc(&sky::time::Utc {
        year: time.year,
        month: time.month,
        day: time.day,
        hour: time.hour,
        minute: time.minute,
        second: time.second,
        nanosecond: time.nanosecond,
    })
    .unwrap()
}

pub fn settings(kind: Kind, clock: &str) -> Settings {
    let site =
        Site::new(Angle::from_degrees(45.0), Angle::from_degrees(5.0), Length::from_metres(300.0)).unwrap();
    let air = Air::new(
        Pressure::from_hectopascals(980.0),
        Temperature::from_celsius(10.0),
        Share::from_fraction(0.5),
        0.55,
    )
    .unwrap();
    Settings::new(kind, site, air, utc(clock), [limits(), limits()])
}

/// A night at 45 degrees north.
pub const NIGHT: &str = "2027-03-06T20:30:00Z";
/// The noon before it.
pub const NOON: &str = "2027-03-06T11:40:00Z";

impl Desk {
    pub fn new(settings: Settings) -> Self {
        let home = settings.home;
        let geocentre = Arc::new(Geocentre::new(settings.clock, settings.clock + Span::DAY));
        let paths = [Path::hold(Span::ZERO, home.first), Path::hold(Span::ZERO, home.second)];
        Self {
            controller: Controller::new(settings, geocentre),
            motors: Obedient { paths, now: Span::ZERO, orders: 0, corrections: Vec::new() },
            now: Span::ZERO,
            events: Vec::new(),
        }
    }

    pub fn german() -> Self {
        Self::new(settings(Kind::GermanEquatorial, NIGHT))
    }

    pub fn alt_azimuth() -> Self {
        Self::new(settings(Kind::AltAzimuth, NIGHT))
    }

    /// Sends a line; the reply. A refusal must have changed nothing.
    #[track_caller]
    pub fn say(&mut self, line: &str) -> String {
        let before = (self.controller.state_digest(), self.motors.orders);
        let mut reply = String::new();
        self.controller.answer(&Frame::Line(line.to_owned()), self.now, &mut self.motors, &mut reply);
        assert!(!reply.contains('\n') && read_reply(&reply).is_some(), "no reply line: {reply}");
        if reply.starts_with("no ") {
            let after = (self.controller.state_digest(), self.motors.orders);
            assert_eq!(before, after, "refused, but something changed: {line}");
        }
        reply
    }

    /// Sends a line that must be obeyed.
    #[track_caller]
    pub fn obeyed(&mut self, line: &str) -> String {
        let reply = self.say(line);
        assert!(reply.starts_with("ok"), "{line}: {reply}");
        reply
    }

    /// Sends a line that must be refused with this word.
    #[track_caller]
    pub fn refused(&mut self, line: &str, word: &str) -> String {
        let reply = self.say(line);
        let read = read_reply(&reply).unwrap();
        assert_eq!(
            read.outcome.as_ref().err().map(|(_, found, _)| found.as_str()),
            Some(word),
            "{line}: {reply}"
        );
        reply
    }

    /// Lets time pass.
    pub fn run(&mut self, seconds: f64) {
        let until = self.now + Span::from_seconds(seconds);
        while let Some(due) = self.controller.next_wake().filter(|due| *due <= until) {
            self.now = due.max(self.now);
            self.motors.now = self.now;
            let mut events: Vec<Event> = Vec::new();
            self.controller.wake(self.now, &mut self.motors, &mut events);
            for event in events {
                let mut text = String::new();
                event.push_to(&mut text);
                assert!(read_event(&text).is_some());
                self.events.push(text);
            }
        }
        self.now = until;
        self.motors.now = until;
    }

    /// Lets time pass until an event of this word, or fails.
    #[track_caller]
    pub fn run_until(&mut self, word: &str, at_most: f64) -> String {
        let seen = self.events.len();
        let mut left = at_most;
        while left > 0.0 {
            self.run(0.25);
            left -= 0.25;
            let found = |event: &&String| event.starts_with(&format!("* {word}"));
            if let Some(event) = self.events[seen..].iter().find(found) {
                return event.clone();
            }
        }
        panic!("no event {word} within {at_most} s; there were {:?}", self.events);
    }

    /// The motor's position now, in degrees.
    pub fn dial(&self, axis: usize) -> f64 {
        self.motors.paths[axis].position(self.now).degrees()
    }

    /// The motor's rate now, in arcseconds per second.
    pub fn rate(&self, axis: usize) -> f64 {
        self.motors.paths[axis].rate(self.now).arcsec()
    }
}

/// A field of a reply, as text.
#[track_caller]
pub fn field(reply: &str, key: &str) -> String {
    read_reply(reply).unwrap().get(key).unwrap_or_else(|| panic!("no {key} in {reply}")).to_owned()
}

/// A field of a reply in degrees.
#[track_caller]
pub fn degrees(reply: &str, key: &str) -> f64 {
    Angle::parse(&field(reply, key)).unwrap().degrees()
}
