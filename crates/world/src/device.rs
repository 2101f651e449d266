//! The world as a device at the end of a line.

use crate::World;
use crate::journal::Record;
use crate::motors::Counters;
use controller::Controller;
use protocol::{Device, EventKind, Frame, LineBuffer, Session, check};
use std::collections::BTreeMap;
use units::Instant;

/// The connections, and what waits to be sent on each.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sessions {
    given_out: u32,
    open: BTreeMap<Session, Connection>,
}

#[derive(Clone, Debug, Default)]
struct Connection {
    incoming: LineBuffer,
    outgoing: Vec<u8>,
    /// Whether its lines go over a wire, where faults may strike.
    wired: bool,
    /// The last event that was sent.
    told: Option<EventKind>,
}

impl Connection {
    fn say(&mut self, line: &str) {
        self.outgoing.extend_from_slice(line.as_bytes());
        self.outgoing.push(b'\n');
    }
}

impl Sessions {
    /// Says an event's line to every connection that wants to hear it.
    pub(crate) fn tell(&mut self, line: &str, kind: EventKind, controller: &Controller) {
        for (session, connection) in &mut self.open {
            if !controller.wants(*session, kind) {
                continue;
            }
            connection.told = Some(kind);
            if controller.demands_check(*session) {
                let mut checked = line.to_owned();
                check::append(&mut checked);
                connection.say(&checked);
            } else {
                connection.say(line);
            }
        }
    }

    /// Forgets which event was sent last to a connection.
    pub(crate) fn forget_told(&mut self, session: Session) {
        if let Some(connection) = self.open.get_mut(&session) {
            connection.told = None;
        }
    }

    /// The event that was sent last to a connection.
    pub(crate) fn last_told(&self, session: Session) -> Option<EventKind> {
        self.open.get(&session).and_then(|connection| connection.told)
    }

    /// The connections whose lines go over a wire.
    pub(crate) fn on_wires(&self) -> Vec<Session> {
        let wired = self.open.iter().filter(|(_, connection)| connection.wired);
        wired.map(|(session, _)| *session).collect()
    }

    /// What the mount has said to a connection since.
    pub(crate) fn take_said(&mut self, session: Session) -> Vec<u8> {
        self.open.get_mut(&session).map_or(Vec::new(), |connection| std::mem::take(&mut connection.outgoing))
    }

    /// Takes bytes in.
    fn push(&mut self, session: Session, bytes: &[u8]) {
        if let Some(connection) = self.open.get_mut(&session) {
            connection.incoming.push(bytes);
        }
    }

    /// The next whole line of a connection.
    fn next_frame(&mut self, session: Session) -> Option<Frame> {
        self.open.get_mut(&session)?.incoming.next_frame()
    }

    fn say(&mut self, session: Session, line: &str) {
        if let Some(connection) = self.open.get_mut(&session) {
            connection.say(line);
        }
    }
}

impl Device for World {
    fn connect(&mut self) -> Session {
        let session = Session(self.sessions.given_out);
        self.sessions.given_out += 1;
        self.sessions.open.insert(session, Connection { wired: true, ..Connection::default() });
        self.tell_session("open", session);
        self.attach(session);
        session
    }

    fn disconnect(&mut self, session: Session) {
        if self.sessions.open.remove(&session).is_some() {
            self.tell_session("close", session);
        }
        self.detach(session);
        self.controller.disconnected(session);
        self.look_ahead();
    }

    fn receive(&mut self, session: Session, bytes: &[u8]) {
        if !self.send_on_wire(session, bytes) {
            self.arrive(session, bytes);
        }
    }

    fn transmit(&mut self, session: Session, out: &mut Vec<u8>) {
        if !self.delivered(session, out) {
            out.append(&mut self.sessions.take_said(session));
        }
    }

    fn next_wake(&self) -> Option<Instant> {
        self.due
    }

    fn advance(&mut self, until: Instant) {
        self.advance_to(until);
    }

    fn closes(&self, session: Session) -> bool {
        self.is_closing(session)
    }
}

impl World {
    /// A connection that is no wire: the hand controller that is part of the mount.
    pub fn connect_handset(&mut self) -> Session {
        let session = self.connect();
        self.detach(session);
        if let Some(connection) = self.sessions.open.get_mut(&session) {
            connection.wired = false;
        }
        session
    }

    /// Bytes have come to the mount.
    pub(crate) fn arrive(&mut self, session: Session, bytes: &[u8]) {
        self.sessions.push(session, bytes);
        while let Some(frame) = self.sessions.next_frame(session) {
            let reply = self.answer_frame(session, &frame);
            // A computer without power says nothing.
            if !reply.is_empty() && !self.deliver_past_faults(session, &frame, &reply) {
                self.sessions.say(session, &reply);
            }
            // After each line: the next one may let time pass.
            self.look_ahead();
        }
    }

    /// The reply to a line, empty if nothing is said.
    pub(crate) fn answer_frame(&mut self, session: Session, frame: &Frame) -> String {
        let mut reply = String::new();
        self.tell_request(session, frame);
        if self.is_for_the_bench(frame) {
            self.answer_as_bench(session, frame, &mut reply);
        } else {
            self.strike_at_line(frame);
            self.answer_as_mount(session, frame, &mut reply);
            self.let_hear(session, frame, &reply);
        }
        self.tell_reply(session, &reply);
        reply
    }

    /// Lets the mount's computer answer a line.
    fn answer_as_mount(&mut self, session: Session, frame: &Frame, reply: &mut String) {
        let time = self.mount.crystal().controller_time(self.now);
        let mut motors =
            Counters { mount: &mut self.mount, now: self.now, time, journal: self.journal.as_mut() };
        if let Some(journal) = &mut motors.journal {
            journal.record(time, Record::Request(session, frame.clone()));
        }
        self.controller.answer_from(session, frame, time, &mut motors, reply);
        if let Some(journal) = &mut self.journal {
            journal.record(time, Record::Reply(session, reply.clone()));
        }
    }
}
