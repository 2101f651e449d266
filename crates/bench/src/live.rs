//! A mount to play with: a world whose errors can be changed while it runs, with everything measured that a drawing needs.
//!
//! [`Live`] is a [`protocol::Device`] like the world inside it. Connections outlive the night: [`Live::begin`] puts another world in
//! place of the old one, which looks to a client as if the mount had been switched off and on. [`Live::set`] changes one error at
//! the present instant and pointing by [`world::World::refit`]: the motors, their counts and all that the mount's computer believes
//! stay as they are, so that what changes on the sky is that error's work alone.
//!
//! **Invariant:** looking changes nothing; the truth goes to whoever draws, never to the controller.

mod course;
mod picture;
mod scope;
mod trim;

pub use course::{COURSE_MOST, Moment as CourseMoment};
pub use picture::{Picture, Play, SkyMark, Target as LiveTarget, Told};
pub use scope::{Scope, Seen, names_like};
pub use trim::{TRIMS, Trim, TrimUnit};

use crate::prepare::{Prepared, prepare, wind};
use course::Course;
use protocol::{Device, Session};
use scenario::{Complaint, Plan};
use scope::Chart;
use sky::Track;
use sky::catalogue::Catalogue;
use std::collections::BTreeMap;
use units::{Angle, Instant, Span, Speed};
use world::{Allowed, Disturbance, World};

/// Why an error can't be changed as asked.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TrimError {
    /// This mount has no such error.
    #[error("a mount of this kind has no `{0}`; the names are those that the list of errors gives")]
    Unknown(String),
    /// Outside what can be set.
    #[error("{name} goes from {least} to {most}; {value} is outside")]
    OutOfRange {
        /// Which.
        name: &'static str,
        /// What was asked.
        value: f64,
        /// Lower bound.
        least: f64,
        /// Upper bound.
        most: f64,
    },
    /// It can't be a mount with that.
    #[error("{0}")]
    Refused(String),
}

/// A mount under a sky that somebody plays with.
#[derive(Debug)]
pub struct Live {
    prepared: Prepared,
    world: World,
    given_out: u32,
    connections: BTreeMap<Session, Connection>,
    /// The connection by which the bench itself asks what the mount says of itself.
    own: Session,
    heard: Vec<u8>,
    target: Option<Aimed>,
    arrivals: u64,
    crossings: [u64; 2],
    touching: [Option<world::Contact>; 2],
    wind: Speed,
    course: Course,
    chart: Chart,
    nights: u64,
    allowed: Option<Allowed>,
}

#[derive(Debug)]
struct Connection {
    inner: Session,
    /// What the world before had still to say.
    left: Vec<u8>,
}

/// Reads a scenario and makes it ready to be played with.
///
/// # Errors
/// All that is wrong with it, in words with line and column.
pub fn read_night(text: &str) -> Result<Prepared, String> {
    let told = |complaints: Vec<Complaint>| {
        let pictures: Vec<String> = complaints.iter().map(|one| one.render("the scenario", text)).collect();
        pictures.join("\n")
    };
    prepare(&scenario::read(text).map_err(told)?).map_err(told)
}

/// What the tube was sent to last and reached.
#[derive(Debug)]
struct Aimed {
    name: String,
    track: Track,
}

impl Live {
    /// Switches the mount of a prepared night on.
    pub fn new(prepared: Prepared) -> Self {
        let mut world = prepared.world();
        let own = world.connect();
        let chart = Chart::new(&prepared);
        Self {
            course: Course::begin(world.now()),
            prepared,
            world,
            given_out: 0,
            connections: BTreeMap::new(),
            own,
            heard: Vec::new(),
            target: None,
            arrivals: 0,
            crossings: [0; 2],
            touching: [None; 2],
            wind: Speed::ZERO,
            chart,
            nights: 0,
            allowed: None,
        }
    }

    /// Begins another night in place of this one; whoever is connected stays so, and finds the mount just switched on.
    pub fn begin(&mut self, prepared: Prepared) {
        let mut next = Self::new(prepared);
        for (session, connection) in std::mem::take(&mut self.connections) {
            let mut left = connection.left;
            self.world.transmit(connection.inner, &mut left);
            next.connections.insert(session, Connection { inner: next.world.connect(), left });
        }
        next.given_out = self.given_out;
        next.nights = self.nights + 1;
        if let Some(allowed) = self.allowed {
            next.allow(allowed);
        }
        *self = next;
    }

    /// Says what clients may do beyond the language's usual verbs, in this night and those that are begun later.
    pub fn allow(&mut self, allowed: Allowed) {
        self.allowed = Some(allowed);
        self.world.allow(allowed);
    }

    /// Counts the nights begun: what was measured in different ones doesn't belong together.
    pub fn nights(&self) -> u64 {
        self.nights
    }

    /// The present instant.
    pub fn now(&self) -> Instant {
        self.world.now()
    }

    /// Lets time pass, for whoever owns the clock.
    pub fn pass_to(&mut self, until: Instant) {
        Device::advance(self, until);
    }

    /// The world inside, to be looked at.
    pub fn world(&self) -> &World {
        &self.world
    }

    /// The night with all changes made so far, as a scenario file.
    pub fn scenario(&self) -> String {
        self.plan_with_wind().canonical_toml()
    }

    fn plan(&self) -> &Plan {
        &self.prepared.plan
    }

    /// The names and present values of all errors that this kind of mount has, in the order of [`TRIMS`].
    pub fn trims(&self) -> impl Iterator<Item = (&'static Trim, f64)> {
        TRIMS.iter().filter(|trim| trim.serves(self.plan())).map(|trim| (trim, self.value(trim)))
    }

    /// The same of an error by its name; none if this mount has no such error.
    pub fn value_of(&self, name: &str) -> Option<f64> {
        self.trims().find(|(trim, _)| trim.name == name).map(|(_, value)| value)
    }

    /// The present value of one error, in its unit.
    pub fn value(&self, trim: &Trim) -> f64 {
        match trim.name {
            trim::WIND => self.wind.metres_per_second(),
            _ => trim.value(&self.prepared),
        }
    }

    /// Changes one error at this instant. Returns the line to be typed at the mount if the error is one of what it was told;
    /// such an error comes about when that line is obeyed.
    ///
    /// # Errors
    /// An unknown name, a value out of range, or what could not be a mount. Nothing has changed then.
    pub fn set(&mut self, name: &str, value: f64) -> Result<Option<String>, TrimError> {
        let trim = TRIMS.iter().find(|trim| trim.name == name && trim.serves(self.plan()));
        let trim = trim.ok_or_else(|| TrimError::Unknown(name.chars().take(40).collect()))?;
        if !(trim.least..=trim.most).contains(&value) {
            let (least, most) = (trim.least, trim.most);
            return Err(TrimError::OutOfRange { name: trim.name, value, least, most });
        }
        if trim.name == trim::WIND {
            self.blow(Speed::from_metres_per_second(value));
            return Ok(None);
        }
        let mut plan = self.prepared.plan.clone();
        trim.write(&mut plan, &self.prepared.world.mount, value);
        let next = prepare(&plan).map_err(|complaints| TrimError::Refused(in_words(&complaints)))?;
        if trim.is_told() {
            self.prepared = next;
            return Ok(Some(self.telling(trim)));
        }
        self.world.refit(next.world.mount.clone()).map_err(|error| TrimError::Refused(error.to_string()))?;
        self.prepared = next;
        self.notice_contacts();
        Ok(None)
    }

    /// Something befalls the mount at this instant: it is knocked, about each axis by so much.
    pub fn knock(&mut self, axes: [Angle; 2]) {
        self.world.befall(Disturbance::Knock { axes, base: world::BaseMove::default() });
    }

    fn blow(&mut self, speed: Speed) {
        let west = Angle::from_degrees(270.0);
        let wind = (speed > Speed::ZERO).then(|| wind(speed, west, None));
        self.world.befall(Disturbance::Wind(wind));
        self.wind = speed;
    }

    /// The line that tells the mount what it is to believe now.
    fn telling(&self, trim: &Trim) -> String {
        let told = &self.prepared.world.settings;
        match trim.name {
            trim::CLOCK => {
                let shown = self.now() + (told.clock - self.prepared.world.begin);
                let utc = sky::time::utc_text(shown, 3).unwrap_or_default();
                format!("time utc={utc}")
            }
            _ => format!("site latitude={:.8}deg", told.site.latitude().degrees()),
        }
    }

    /// Says a line on the bench's own connection and returns the mount's answer.
    pub fn ask(&mut self, question: &str) -> String {
        self.world.receive(self.own, question.as_bytes());
        self.world.receive(self.own, b"\n");
        let mut said = Vec::new();
        self.world.transmit(self.own, &mut said);
        let mut answer = String::new();
        for line in String::from_utf8_lossy(&said).lines() {
            if line.starts_with('*') {
                self.note_event(line);
            } else {
                answer = line.to_owned();
            }
        }
        answer
    }

    /// How far the mount's clock is ahead of the truth; none while it can't tell its time.
    pub fn clock_off(&mut self) -> Option<Span> {
        let answer = self.ask("time");
        let text = answer.split(' ').find_map(|pair| pair.strip_prefix("utc="))?;
        let shown = sky::time::Utc::parse(text).and_then(|utc| sky::time::instant_from_utc(&utc)).ok()?;
        Some(shown - self.now())
    }

    /// A line that brings the target nearer to the middle by the direction keys, and how long it takes until the next look; none
    /// once it is within 2 arcseconds, or without a target. What a hand does that watches the eyepiece.
    pub fn centring(&mut self) -> Option<(String, Span)> {
        let picture = self.picture();
        let target = picture.target?;
        let (right, up, ways) = if self.prepared.kind == crate::MountKind::AltAzimuth {
            let azimuth = (picture.truth.0 - target.horizontal.0).wrapped_signed() * picture.truth.1.cos();
            (azimuth, picture.truth.1 - target.horizontal.1, ["left", "right", "down", "up"])
        } else {
            (target.error.0, target.error.1, ["west", "east", "south", "north"])
        };
        let (miss, [back, forth]) =
            if right.abs() > up.abs() { (right, [ways[0], ways[1]]) } else { (up, [ways[2], ways[3]]) };
        let size = miss.arcsec().abs();
        if size < 2.0 {
            return None;
        }
        let direction = if miss > Angle::ZERO { back } else { forth };
        // The slowest rate that is there in ten seconds; 15.04″ of time's motion in a second (sidereal rate).
        const SIDEREAL: f64 = 15.04;
        let rates = [("0.5x", 0.5), ("2x", 2.0), ("20x", 20.0), ("100x", 100.0)];
        let (word, rate) =
            rates.into_iter().find(|(_, rate)| size / (rate * SIDEREAL) < 10.0).unwrap_or(rates[3]);
        let seconds = (size / (rate * SIDEREAL)).clamp(0.05, 60.0);
        let line = format!("nudge direction={direction} rate={word} for={seconds:.3}s");
        Some((line, Span::from_seconds(seconds + 3.0)))
    }

    /// Takes events that the mount has told the bench's own connection.
    fn listen(&mut self) {
        self.world.transmit(self.own, &mut self.heard);
        if self.heard.is_empty() {
            return;
        }
        let said = std::mem::take(&mut self.heard);
        for line in String::from_utf8_lossy(&said).lines() {
            self.note_event(line);
        }
    }

    fn note_event(&mut self, line: &str) {
        let Some(name) = line.strip_prefix("* arrived ").and_then(|rest| rest.split_once("target=")) else {
            return;
        };
        let name = name.1.trim_matches('"');
        self.arrivals += 1;
        if matches!(name, "flip") {
            return;
        }
        self.aim_at(name);
        self.course.forget(self.world.now());
    }

    /// What errors are measured against from now on; nothing for what the catalogue doesn't have.
    pub fn aim_at(&mut self, name: &str) {
        let geocentre = &self.prepared.world.geocentre;
        self.target = Catalogue::embedded()
            .find(name)
            .ok()
            .map(|entry| Aimed { track: geocentre.track(&entry.source), name: entry.name });
    }

    /// How often a wheel has come to lie against the other flank, by axis.
    pub fn crossings(&self) -> [u64; 2] {
        self.crossings
    }

    /// How many go-tos have arrived.
    pub fn arrivals(&self) -> u64 {
        self.arrivals
    }

    /// Errors over time, from the moment numbered `after` on.
    pub fn course(&self, after: u64) -> impl Iterator<Item = &CourseMoment> {
        self.course.after(after)
    }

    fn notice_contacts(&mut self) {
        for axis in 0..2 {
            let contact = self.contact(axis);
            if contact == world::Contact::None {
                continue;
            }
            let before = self.touching[axis].replace(contact);
            if before.is_some_and(|before| before != contact) {
                self.crossings[axis] += 1;
            }
        }
    }

    fn note_moment(&mut self) {
        let error = self.target.as_ref().map(|aimed| self.world.truth().sample(&aimed.track).error);
        let pose = self.world.truth().pose();
        self.course.note(self.world.now(), error, &pose);
    }
}

/// Complaints as one sentence.
fn in_words(complaints: &[Complaint]) -> String {
    let sentences: Vec<String> =
        complaints.iter().map(|one| format!("{}; {}", one.problem, one.expected)).collect();
    sentences.join(" ")
}

impl Device for Live {
    fn connect(&mut self) -> Session {
        let session = Session(self.given_out);
        self.given_out += 1;
        let inner = self.world.connect();
        self.connections.insert(session, Connection { inner, left: Vec::new() });
        session
    }

    fn disconnect(&mut self, session: Session) {
        if let Some(connection) = self.connections.remove(&session) {
            self.world.disconnect(connection.inner);
        }
    }

    fn receive(&mut self, session: Session, bytes: &[u8]) {
        if let Some(connection) = self.connections.get(&session) {
            self.world.receive(connection.inner, bytes);
        }
    }

    fn transmit(&mut self, session: Session, out: &mut Vec<u8>) {
        if let Some(connection) = self.connections.get_mut(&session) {
            out.append(&mut connection.left);
            self.world.transmit(connection.inner, out);
        }
    }

    fn next_wake(&self) -> Option<Instant> {
        self.world.next_wake()
    }

    fn closes(&self, session: Session) -> bool {
        self.connections.get(&session).is_some_and(|connection| self.world.closes(connection.inner))
    }

    fn advance(&mut self, until: Instant) {
        // Errors over time are measured at even steps of the mount's time, however the clock runs.
        while self.course.due() <= until {
            let due = self.course.due();
            self.world.advance_to(due);
            self.listen();
            self.notice_contacts();
            self.note_moment();
            let behind = until - due;
            self.course.pace(if behind > Span::from_whole_seconds(1000) { 60 } else { 1 });
        }
        self.world.advance_to(until);
        self.listen();
        self.notice_contacts();
    }
}

#[cfg(test)]
mod tests;
