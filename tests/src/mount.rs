//! A mount on the wire, without a wire: lines in, lines out, on a real world.

use bench::Prepared;
use protocol::{Device, ReadReply, Session, read_event, read_reply};
use units::{Angle, Instant, Quantity, Span};
use world::{Allowed, FaultsAllowed, World, WorldSpec};

/// A night of one perfect mount under air on an invented school field, in a text that several tests share.
pub const NIGHT: &str = r#"
format = 1

[night]
begin = 2027-03-06T20:30:00+01:00
length = "5 h"

[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"
height = "440 m"
pressure = "965 hPa"
temperature = "9 degC"
humidity = 0.6

[mount]
kind = "german-equatorial"
grade = "perfect"
"#;

/// The shared night, ready to be played.
///
/// # Panics
/// If it is refused.
pub fn night(text: &str) -> Prepared {
    let told = |complaints: Vec<scenario::Complaint>| -> Prepared {
        let lines: Vec<String> =
            complaints.iter().map(|one| format!("{}: {}", one.key, one.problem)).collect();
        panic!("the night is refused: {}", lines.join("; "))
    };
    match scenario::read(text).and_then(|plan| bench::prepare(&plan)) {
        Ok(prepared) => prepared,
        Err(complaints) => told(complaints),
    }
}

/// One client at a mount.
pub struct Mount {
    world: World,
    session: Session,
    elsewhere: Option<Session>,
    unread: Vec<String>,
}

impl Mount {
    /// Switches a mount on and connects to it.
    ///
    /// # Panics
    /// If the specification can't be a mount.
    pub fn new(spec: WorldSpec) -> Self {
        let mut world = World::new(spec).unwrap_or_else(|error| panic!("{error}"));
        let session = world.connect();
        Self { world, session, elsewhere: None, unread: Vec::new() }
    }

    /// The shared night's mount, on a bench that allows everything.
    pub fn of_the_shared_night() -> Self {
        let mut mount = Self::new(night(NIGHT).world_spec().clone());
        mount.world.allow(Allowed { clock: true, faults: FaultsAllowed::All });
        mount
    }

    /// The connection of this client.
    pub fn session(&self) -> Session {
        self.session
    }

    /// The world behind it.
    pub fn world(&mut self) -> &mut World {
        &mut self.world
    }

    /// Takes what came in since.
    fn listen(&mut self) {
        let mut bytes = Vec::new();
        self.world.transmit(self.session, &mut bytes);
        let text = String::from_utf8(bytes).expect("the mount speaks ASCII");
        self.unread.extend(text.lines().map(str::to_owned));
    }

    /// Sends bytes as they are and returns the one reply line. Events before it, where the line lets time pass, wait to be asked for.
    ///
    /// # Panics
    /// If there isn't exactly one.
    pub fn send(&mut self, bytes: &[u8]) -> String {
        self.listen();
        let before = self.unread.len();
        self.world.receive(self.session, bytes);
        self.listen();
        let said = self.unread.split_off(before);
        let (events, replies): (Vec<String>, Vec<String>) =
            said.into_iter().partition(|line| line.starts_with('*'));
        self.unread.extend(events);
        assert_eq!(replies.len(), 1, "{:?} was answered with {replies:?}", String::from_utf8_lossy(bytes));
        replies.into_iter().next().unwrap_or_default()
    }

    /// Says lines one after the other, as the manual's examples do: `(60 s)` lets time pass, what begins with `+` is said by
    /// another connection. Returns the replies to the lines of the first one.
    ///
    /// # Panics
    /// If a line is refused.
    pub fn play(&mut self, script: &[&str]) -> Vec<ReadReply> {
        let mut replies = Vec::new();
        for line in script {
            let pause = line.strip_prefix('(').and_then(|rest| rest.strip_suffix(" s)"));
            let reply = match (pause, line.strip_prefix('+')) {
                (Some(seconds), _) => {
                    self.wait(seconds.parse().expect("seconds"));
                    continue;
                }
                (None, Some(line)) => self.ask_elsewhere(line),
                (None, None) => self.ask(line),
            };
            assert!(reply.outcome.is_ok(), "`{line}`: {reply:?}");
            if !line.starts_with('+') {
                replies.push(reply);
            }
        }
        replies
    }

    /// Sends a line by another connection and reads its reply; events that came to that connection are dropped.
    ///
    /// # Panics
    /// If the reply isn't one.
    pub fn ask_elsewhere(&mut self, line: &str) -> ReadReply {
        let elsewhere = match self.elsewhere {
            Some(session) => session,
            None => *self.elsewhere.insert(self.world.connect()),
        };
        let mut bytes = Vec::new();
        self.world.transmit(elsewhere, &mut bytes);
        bytes.clear();
        self.world.receive(elsewhere, format!("{line}\n").as_bytes());
        self.world.transmit(elsewhere, &mut bytes);
        let reply = String::from_utf8(bytes).expect("the mount speaks ASCII");
        read_reply(reply.trim_end()).unwrap_or_else(|| panic!("`{line}` was answered with `{reply}`"))
    }

    /// Sends a line that must be refused, and returns the refusal's word.
    ///
    /// # Panics
    /// If it is obeyed.
    pub fn refused(&mut self, line: &str) -> String {
        let reply = self.ask(line);
        match reply.outcome {
            Ok(fields) => panic!("`{line}` was obeyed: {fields:?}"),
            Err((_, word, _)) => word,
        }
    }

    /// Sends a line and reads its reply.
    ///
    /// # Panics
    /// If the reply isn't one.
    pub fn ask(&mut self, line: &str) -> ReadReply {
        let reply = self.send(format!("{line}\n").as_bytes());
        read_reply(&reply).unwrap_or_else(|| panic!("`{line}` was answered with `{reply}`"))
    }

    /// Sends a line that must be obeyed, and returns one field of its reply.
    ///
    /// # Panics
    /// If it is refused, or has no such field.
    pub fn field(&mut self, line: &str, field: &str) -> String {
        let reply = self.ask(line);
        reply.get(field).unwrap_or_else(|| panic!("`{line}` has no {field} in {reply:?}")).to_owned()
    }

    /// The same, as a quantity.
    ///
    /// # Panics
    /// As [`Mount::field`], and if it is no such quantity.
    pub fn quantity<Q: Quantity>(&mut self, line: &str, field: &str) -> Q {
        let text = self.field(line, field);
        Q::parse(&text).unwrap_or_else(|error| panic!("{field}={text}: {error:?}"))
    }

    /// The same, as degrees.
    pub fn degrees(&mut self, line: &str, field: &str) -> f64 {
        self.quantity::<Angle>(line, field).degrees()
    }

    /// The same, as seconds.
    pub fn seconds(&mut self, line: &str, field: &str) -> f64 {
        self.quantity::<Span>(line, field).seconds()
    }

    /// Lets time pass.
    pub fn wait(&mut self, seconds: f64) {
        let until: Instant = self.world.now() + Span::from_seconds(seconds);
        self.world.advance(until);
    }

    /// Lets time pass until the mount tells of something, at most an hour, and returns the event lines that came.
    pub fn settle(&mut self) -> Vec<String> {
        let latest = self.world.now() + Span::from_whole_seconds(3600);
        while let Some(due) = self.world.next_wake().filter(|due| *due <= latest) {
            self.world.advance(due);
            self.listen();
            if !self.unread.is_empty() {
                break;
            }
        }
        self.events()
    }

    /// The event lines that came since the last question for them.
    pub fn events(&mut self) -> Vec<String> {
        self.listen();
        std::mem::take(&mut self.unread)
    }

    /// Everything that the mount says about itself without being changed, at this instant.
    pub fn everything(&mut self) -> String {
        let questions =
            ["identify", "version", "site", "time", "track", "status", "status group=pointing", "axes"];
        questions.map(|line| self.send(format!("{line}\n").as_bytes())).join("\n")
    }
}

/// The value of a field in an event line.
pub fn event_field(line: &str, field: &str) -> Option<String> {
    let (_, fields) = read_event(line)?;
    fields.into_iter().find(|(key, _)| key == field).map(|(_, value)| value)
}
