//! The world as a device at the end of a line.

use crate::World;
use crate::journal::Record;
use crate::motors::Counters;
use protocol::{Device, LineBuffer, Session};
use std::collections::BTreeMap;
use units::Instant;

/// The connections, and what waits to be sent on each.
#[derive(Debug, Default)]
pub(crate) struct Sessions {
    given_out: u32,
    open: BTreeMap<Session, Connection>,
}

#[derive(Debug, Default)]
struct Connection {
    incoming: LineBuffer,
    outgoing: Vec<u8>,
}

impl Connection {
    fn say(&mut self, line: &str) {
        self.outgoing.extend_from_slice(line.as_bytes());
        self.outgoing.push(b'\n');
    }
}

impl Sessions {
    /// Says a line to every connection that wants to hear it.
    pub(crate) fn tell(&mut self, line: &str, wants: impl Fn(Session) -> bool) {
        for (session, connection) in &mut self.open {
            if wants(*session) {
                connection.say(line);
            }
        }
    }
}

impl Device for World {
    fn connect(&mut self) -> Session {
        let session = Session(self.sessions.given_out);
        self.sessions.given_out += 1;
        self.sessions.open.insert(session, Connection::default());
        session
    }

    fn disconnect(&mut self, session: Session) {
        self.sessions.open.remove(&session);
        self.controller.disconnected(session);
    }

    fn receive(&mut self, session: Session, bytes: &[u8]) {
        let Some(connection) = self.sessions.open.get_mut(&session) else { return };
        connection.incoming.push(bytes);
        let mut reply = String::new();
        while let Some(frame) = connection.incoming.next_frame() {
            let time = self.mount.crystal().controller_time(self.now);
            let mut motors =
                Counters { mount: &mut self.mount, now: self.now, time, journal: self.journal.as_mut() };
            if let Some(journal) = &mut motors.journal {
                journal.record(time, Record::Request(session, frame.clone()));
            }
            reply.clear();
            self.controller.answer_from(session, &frame, time, &mut motors, &mut reply);
            if let Some(journal) = &mut self.journal {
                journal.record(time, Record::Reply(session, reply.clone()));
            }
            // A computer without power says nothing.
            if !reply.is_empty() {
                connection.say(&reply);
            }
        }
    }

    fn transmit(&mut self, session: Session, out: &mut Vec<u8>) {
        if let Some(connection) = self.sessions.open.get_mut(&session) {
            out.append(&mut connection.outgoing);
        }
    }

    fn next_wake(&self) -> Option<Instant> {
        self.next_due()
    }

    fn advance(&mut self, until: Instant) {
        self.advance_to(until);
    }
}
