//! The lines between the mount and its clients, with the faults that strike on them, and the faults of the mount that wait for
//! a line.

use crate::World;
use crate::disturbance::Disturbance;
use faults::{Choice, Chooser, Direction, Injection, Kind, Order, Wire};
use protocol::{FaultKind, Frame, LineBuffer, Session, WireDirection, WireStrike};
use std::collections::BTreeMap;
use units::{Instant, Streams};

/// What a frozen computer's buffer takes in meanwhile.
const FROZEN_BUFFER_BYTES: usize = 512;
/// A line for the bench is looked for in no more than this.
const LINE_MOST: usize = 4096;
/// How many strikes are remembered for reports.
const STRIKES_KEPT: usize = 100_000;

/// One connection on a wire.
#[derive(Clone, Debug)]
struct Carried {
    wire: Wire,
    /// A line that isn't whole yet, and so may be the bench's.
    begun: Vec<u8>,
    /// What has come out at the client's end.
    delivered: Vec<u8>,
    /// What came in while the computer was frozen.
    held: Vec<u8>,
    closing: bool,
    /// Whether the client has had the beginning of a line without its end.
    mid_line: bool,
}

impl Carried {
    /// Lets bytes come out at the client's end.
    fn deliver(&mut self, bytes: &[u8]) {
        if let Some(last) = bytes.last() {
            self.mid_line = *last != b'\n';
            self.delivered.extend_from_slice(bytes);
        }
    }
}

/// A fault of the mount that waits for its line.
#[derive(Clone, Debug)]
struct Armed {
    number: usize,
    order: Order,
    chooser: Chooser,
}

/// All lines, and what was ordered for them.
#[derive(Clone, Debug)]
pub(crate) struct Wires {
    streams: Streams,
    ordered: Vec<(usize, Order)>,
    armed: Vec<Armed>,
    open: BTreeMap<Session, Carried>,
    /// Until when the computer does nothing.
    frozen_until: Option<Instant>,
    strikes: Vec<(Session, Injection)>,
    /// Whether what comes in has been through its faults before.
    off: bool,
}

impl Wires {
    pub(crate) fn new(streams: Streams) -> Self {
        Self {
            streams,
            ordered: Vec::new(),
            armed: Vec::new(),
            open: BTreeMap::new(),
            frozen_until: None,
            strikes: Vec::new(),
            off: false,
        }
    }

    fn carried(&self, session: Session, now: Instant) -> Carried {
        let mut wire = Wire::new(session.0, self.streams.clone());
        for (number, order) in &self.ordered {
            wire.order(*number, order, now);
        }
        Carried {
            wire,
            begun: Vec::new(),
            delivered: Vec::new(),
            held: Vec::new(),
            closing: false,
            mid_line: false,
        }
    }

    /// Whether the computer does nothing at an instant.
    pub(crate) fn frozen_at(&self, at: Instant) -> bool {
        self.frozen_until.is_some_and(|until| at < until)
    }

    /// Until when the computer does nothing, if it is frozen.
    pub(crate) fn thaws(&self) -> Option<Instant> {
        self.frozen_until
    }

    /// Whether the computer isn't frozen.
    pub(crate) fn is_awake(&self) -> bool {
        self.frozen_until.is_none()
    }

    /// When something on a line, or the computer's freezing, is next due.
    pub(crate) fn next_due(&self) -> Option<Instant> {
        let lines = self.open.values().filter(|carried| !carried.closing);
        lines.filter_map(|carried| carried.wire.next_due()).chain(self.frozen_until).min()
    }
}

impl World {
    /// Orders a fault that strikes from its own instant on. `number` tells it apart in what is told of it.
    pub fn order_fault(&mut self, number: usize, order: Order) {
        if !order.can_strike() {
            return;
        }
        if !order.kind.doc().group.is_wire() {
            match order.choice {
                None => {
                    let disturbance = Disturbance::of_order(&order);
                    let place = self.coming.partition_point(|(at, _)| *at <= order.from);
                    self.coming.insert(place, (order.from, disturbance));
                    self.look_ahead();
                }
                Some(_) => self.arm(number, order),
            }
            return;
        }
        if self.wires.off {
            return;
        }
        self.attach_all();
        for carried in self.wires.open.values_mut() {
            carried.wire.order(number, &order, self.now);
        }
        self.wires.ordered.push((number, order));
        self.look_ahead();
    }

    fn arm(&mut self, number: usize, order: Order) {
        let stream = self.wires.streams.stream(order.kind.word(), order.stream);
        // What a fault of the mount does in a row it does at one blow.
        let once = Order { burst: 1, ..order.clone() };
        let chooser = Chooser::new(&once, Choice::Chance(1.0), stream);
        self.wires.armed.push(Armed { number, order, chooser });
    }

    /// Ends a fault that was ordered; what it has done stays done.
    pub(crate) fn end_fault(&mut self, number: usize) {
        self.wires.ordered.retain(|(other, _)| *other != number);
        self.wires.armed.retain(|armed| armed.number != number);
        for carried in self.wires.open.values_mut() {
            carried.wire.end(number, self.now);
        }
        self.carry();
    }

    /// Ends all faults of the wire and all that wait for a line, and strikes out what was still to come: from now on
    /// nothing goes wrong any more. What was done stays done, and what is under way arrives.
    pub fn clear_faults(&mut self) {
        self.coming.clear();
        self.wires.ordered.clear();
        self.wires.armed.clear();
        for carried in self.wires.open.values_mut() {
            carried.wire.clear(self.now);
        }
        self.carry();
        self.look_ahead();
    }

    /// What comes in from now on has been through its faults before, as in the replay of a journal: none strikes on the way.
    pub(crate) fn carry_as_received(&mut self) {
        self.wires.off = true;
        self.wires.ordered.clear();
        self.wires.open.clear();
    }

    /// What the faults of the wire did so far: whose line, and which bytes. The first hundred thousand strikes are kept.
    pub fn wire_strikes(&self) -> &[(Session, Injection)] {
        &self.wires.strikes
    }

    /// The computer does nothing until an instant.
    pub(crate) fn freeze(&mut self, until: Instant) {
        self.attach_all();
        self.wires.frozen_until = Some(self.wires.frozen_until.map_or(until, |other| other.max(until)));
        self.look_ahead();
    }

    /// A new connection gets its wire, if anything can strike there.
    pub(crate) fn attach(&mut self, session: Session) {
        let needed = !self.wires.ordered.is_empty() || self.wires.frozen_until.is_some();
        if needed && !self.wires.off {
            let carried = self.wires.carried(session, self.now);
            self.wires.open.insert(session, carried);
            self.carry();
        }
    }

    fn attach_all(&mut self) {
        if self.wires.off {
            return;
        }
        for session in self.sessions.on_wires() {
            if !self.wires.open.contains_key(&session) {
                let mut carried = self.wires.carried(session, self.now);
                // What was said before is under way already.
                carried.delivered = self.sessions.take_said(session);
                self.wires.open.insert(session, carried);
            }
        }
    }

    /// The reply to a line of the bench goes past all faults; false for the mount's replies, and where there is no wire.
    pub(crate) fn deliver_past_faults(&mut self, session: Session, frame: &Frame, reply: &str) -> bool {
        if !self.wires.open.contains_key(&session) || !self.is_for_the_bench(frame) {
            return false;
        }
        self.carry();
        if let Some(carried) = self.wires.open.get_mut(&session) {
            // What a fault left without its end must not swallow it.
            let begin = if carried.mid_line { "\n" } else { "" };
            carried.deliver(format!("{begin}{reply}\n").as_bytes());
        }
        true
    }

    pub(crate) fn detach(&mut self, session: Session) {
        self.wires.open.remove(&session);
    }

    /// Whether the connection is to be closed.
    pub(crate) fn is_closing(&self, session: Session) -> bool {
        self.wires.open.get(&session).is_some_and(|carried| carried.closing)
    }

    /// Takes bytes at the client's end of a wire; false if the connection has none, or they need none.
    pub(crate) fn send_on_wire(&mut self, session: Session, bytes: &[u8]) -> bool {
        if !self.wires.open.contains_key(&session) {
            // Keys that are pressed while the computer is frozen are lost.
            return self.wires.frozen_at(self.now);
        }
        let mut rest = bytes;
        while !rest.is_empty() {
            let end = rest.iter().position(|byte| *byte == b'\n').map_or(rest.len(), |end| end + 1);
            let (part, after) = rest.split_at(end);
            rest = after;
            let Some(carried) = self.wires.open.get_mut(&session) else { return true };
            carried.begun.extend_from_slice(part);
            if part.ends_with(b"\n") || carried.begun.len() > LINE_MOST {
                let line = std::mem::take(&mut carried.begun);
                self.line_on_wire(session, &line);
            }
        }
        true
    }

    /// A line for the bench goes past all faults: a client that steps the clock must be able to wait.
    fn line_on_wire(&mut self, session: Session, line: &[u8]) {
        self.carry();
        let mut buffer = LineBuffer::new();
        buffer.push(line);
        if let Some(frame) = buffer.next_frame().filter(|frame| self.is_for_the_bench(frame)) {
            let reply = self.answer_frame(session, &frame);
            self.deliver_past_faults(session, &frame, &reply);
            self.look_ahead();
            return;
        }
        let now = self.now;
        if let Some(carried) = self.wires.open.get_mut(&session) {
            carried.wire.send(Direction::Received, line, now);
        }
        self.carry();
    }

    /// Moves what is due on all wires, until nothing more is due.
    pub(crate) fn carry(&mut self) {
        if self.wires.frozen_until.is_some_and(|until| until <= self.now) {
            self.wires.frozen_until = None;
        }
        if self.wires.open.is_empty() {
            return;
        }
        let sessions: Vec<Session> = self.wires.open.keys().copied().collect();
        for session in sessions {
            while self.carry_one(session) {}
        }
        self.look_ahead();
    }

    /// Moves what is due on one wire; whether anything reached the mount.
    fn carry_one(&mut self, session: Session) -> bool {
        let now = self.now;
        let frozen = self.wires.frozen_at(now);
        let Some(carried) = self.wires.open.get_mut(&session) else { return false };
        let said = self.sessions.take_said(session);
        carried.wire.send(Direction::Sent, &said, now);
        let output = carried.wire.take(now);
        carried.closing |= output.closed;
        carried.deliver(&output.from_mount);
        let mut arrived = output.to_mount;
        if frozen {
            let room = FROZEN_BUFFER_BYTES.saturating_sub(carried.held.len());
            carried.held.extend_from_slice(&arrived[..arrived.len().min(room)]);
            arrived.clear();
        } else if !carried.held.is_empty() {
            arrived.splice(0..0, std::mem::take(&mut carried.held));
        }
        for strike in output.injections {
            self.tell_strike(session, strike);
        }
        if arrived.is_empty() {
            return false;
        }
        self.arrive(session, &arrived);
        true
    }

    /// What has come out at the client's end of a wire, if the connection has one.
    pub(crate) fn delivered(&mut self, session: Session, out: &mut Vec<u8>) -> bool {
        if !self.wires.open.contains_key(&session) {
            return false;
        }
        self.carry();
        if let Some(carried) = self.wires.open.get_mut(&session) {
            out.append(&mut carried.delivered);
        }
        true
    }

    fn tell_strike(&mut self, session: Session, strike: Injection) {
        let direction = match strike.direction {
            Direction::Received => WireDirection::Received,
            _ => WireDirection::Sent,
        };
        self.note_strike(&WireStrike {
            number: (strike.order < crate::operator::FIRST_SCHEDULED).then_some(strike.order as u64),
            kind: kind_on_the_wire(strike.kind),
            session,
            direction,
            before: strike.before.clone(),
            after: strike.after.iter().flat_map(|(_, bytes)| bytes.iter().copied()).collect(),
        });
        if self.wires.strikes.len() < STRIKES_KEPT {
            self.wires.strikes.push((session, strike));
        }
    }

    /// A line is about to be answered: what waited for it strikes.
    pub(crate) fn strike_at_line(&mut self, frame: &Frame) {
        if self.wires.armed.is_empty() {
            return;
        }
        let line = match frame {
            Frame::Line(line) => line.as_bytes(),
            Frame::TooLong | Frame::NotText { .. } => &[],
        };
        let now = self.now;
        let mut struck = Vec::new();
        for armed in self.wires.armed.iter_mut().filter(|armed| armed.order.holds_at(now)) {
            if armed.chooser.strikes(line) {
                struck.push((armed.number, Disturbance::of_order(&armed.order)));
            }
        }
        for (number, disturbance) in struck {
            self.orders.count_strike(number as u64);
            // Lines are counted again in a replay, so nobody need be told that this was not foreseen.
            self.strike_now(disturbance);
        }
    }
}

/// A kind of fault by the name that it has in the line language: the words are the same.
pub(crate) fn kind_on_the_wire(kind: Kind) -> FaultKind {
    FaultKind::of_word(kind.word())
        .unwrap_or_else(|| unreachable!("{} is a fault of the line language", kind.word()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_language_and_the_faults_have_the_same_words() {
        let words: Vec<&str> = Kind::ALL.iter().map(|kind| kind.word()).collect();
        assert_eq!(words, FaultKind::WORDS);
        for kind in Kind::ALL {
            assert_eq!(kind_on_the_wire(*kind).of_the_wire(), kind.doc().group.is_wire());
        }
    }
}
