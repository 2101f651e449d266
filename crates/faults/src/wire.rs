//! One connection with the faults that were ordered for it.

use crate::injection::Injection;
use crate::order::{Direction, Order};
use crate::stage::{Piece, Stage};
use std::collections::BTreeMap;
use units::{Instant, Streams};

/// A line is passed on when it is whole, or when it has become as long as this.
const LINE_MOST: usize = 4096;
/// More bytes than this on their way are lost.
const UNDER_WAY_MOST: usize = 1 << 20;

/// What has arrived.
#[derive(Debug, Default, PartialEq)]
pub struct WireOutput {
    /// At the mount.
    pub to_mount: Vec<u8>,
    /// At the client.
    pub from_mount: Vec<u8>,
    /// Whether the connection is to be closed.
    pub closed: bool,
    /// What struck since it was last asked.
    pub injections: Vec<Injection>,
}

/// One way of a connection.
#[derive(Clone, Debug, Default)]
struct Way {
    /// A line that isn't whole yet.
    begun: Vec<u8>,
    under_way: BTreeMap<(Instant, u64), Vec<u8>>,
    bytes: usize,
}

impl Way {
    fn put(&mut self, piece: Piece, number: u64) {
        if self.bytes + piece.bytes.len() <= UNDER_WAY_MOST && !piece.bytes.is_empty() {
            self.bytes += piece.bytes.len();
            self.under_way.insert((piece.due, number), piece.bytes);
        }
    }

    fn arrived(&mut self, now: Instant, out: &mut Vec<u8>) {
        while let Some(entry) = self.under_way.first_entry() {
            if entry.key().0 > now {
                return;
            }
            let bytes = entry.remove();
            self.bytes -= bytes.len();
            out.extend_from_slice(&bytes);
        }
    }
}

/// One connection. Bytes go in by [`Wire::send`] and come out by [`Wire::take`], at the instants that are handed in.
#[derive(Clone, Debug)]
pub struct Wire {
    number: u32,
    streams: Streams,
    stages: Vec<Stage>,
    /// To the mount, from the mount.
    ways: [Way; 2],
    pieces: u64,
    closed: bool,
    injections: Vec<Injection>,
}

impl Wire {
    /// A connection of that number, without any faults.
    pub fn new(number: u32, streams: Streams) -> Self {
        Self {
            number,
            streams,
            stages: Vec::new(),
            ways: Default::default(),
            pieces: 0,
            closed: false,
            injections: Vec::new(),
        }
    }

    /// One on which the strikes of a log happen again, without any draws: those of this connection, in the log's order.
    pub fn replaying(number: u32, log: &[Injection]) -> Self {
        let mut wire = Self::new(number, Streams::new(0));
        let mut orders: BTreeMap<(usize, Direction), Vec<Injection>> = BTreeMap::new();
        for strike in log {
            orders.entry((strike.order, strike.direction)).or_default().push(strike.clone());
        }
        wire.stages = orders
            .into_iter()
            .filter_map(|((number, direction), strikes)| Stage::logged(number, direction, strikes))
            .collect();
        wire
    }

    /// Orders a fault from `now` on. `number` tells it apart in the log. Orders of the mount's own faults, and those that
    /// can never strike, do nothing here.
    pub fn order(&mut self, number: usize, order: &Order, now: Instant) {
        if !order.kind.doc().group.is_wire() || !order.can_strike() {
            return;
        }
        for (index, way) in [Direction::Received, Direction::Sent].into_iter().enumerate() {
            // What closes at once does so from one way, whichever it was ordered for.
            let wanted = if order.closes_at_once() {
                way == Direction::Received
            } else {
                order.direction.includes(way)
            };
            if !wanted {
                continue;
            }
            let place = (order.stream << 32 | u64::from(self.number)) << 1 | index as u64;
            let word = order.kind.word();
            let streams =
                [word.to_owned(), format!("{word} noise")].map(|cause| self.streams.stream(&cause, place));
            self.stages.push(Stage::new(number, order, way, now, streams));
        }
    }

    /// Ends all faults. What is under way arrives as it was to.
    pub fn clear(&mut self, now: Instant) {
        self.stages.clear();
        for way in &mut self.ways {
            let begun = std::mem::take(&mut way.begun);
            self.pieces += 1;
            way.put(Piece { due: now, bytes: begun }, self.pieces);
        }
    }

    /// Ends the faults of one order.
    pub fn end(&mut self, number: usize, now: Instant) {
        self.stages.retain(|stage| stage.number() != number);
        if self.stages.is_empty() {
            self.clear(now);
        }
    }

    /// Whether nothing is ordered and nothing under way: bytes may go past it.
    pub fn is_plain(&self) -> bool {
        self.stages.is_empty() && !self.closed && self.ways.iter().all(|way| way.under_way.is_empty())
    }

    /// Bytes are sent, to the mount or from it.
    pub fn send(&mut self, direction: Direction, bytes: &[u8], now: Instant) {
        let index = usize::from(direction == Direction::Sent);
        self.close_if_due(now);
        for byte in bytes {
            let begun = &mut self.ways[index].begun;
            begun.push(*byte);
            if *byte == b'\n' || begun.len() == LINE_MOST || self.stages.is_empty() {
                let line = std::mem::take(begun);
                self.pass(index, Piece { due: now, bytes: line });
            }
        }
    }

    fn pass(&mut self, index: usize, piece: Piece) {
        let way = [Direction::Received, Direction::Sent][index];
        let mut pieces = vec![piece];
        for stage in self.stages.iter_mut().filter(|stage| stage.direction() == way) {
            let mut next = Vec::with_capacity(pieces.len());
            for piece in pieces {
                let passed = stage.pass(piece, &mut self.injections);
                next.extend(passed.on);
                self.closed |= passed.closed;
                for piece in passed.back {
                    self.pieces += 1;
                    self.ways[1 - index].put(piece, self.pieces);
                }
            }
            pieces = next;
        }
        for piece in pieces {
            self.pieces += 1;
            self.ways[index].put(piece, self.pieces);
        }
    }

    fn close_if_due(&mut self, now: Instant) {
        for stage in &mut self.stages {
            if let Some(at) = stage.closes.filter(|at| *at <= now) {
                self.injections.push(stage.close(at));
                self.closed = true;
            }
        }
    }

    /// When something next arrives or happens by itself.
    pub fn next_due(&self) -> Option<Instant> {
        let under_way = self.ways.iter().filter_map(|way| way.under_way.keys().next().map(|(due, _)| *due));
        under_way.chain(self.stages.iter().filter_map(|stage| stage.closes)).min()
    }

    /// What has arrived by `now`.
    pub fn take(&mut self, now: Instant) -> WireOutput {
        self.close_if_due(now);
        let mut output = WireOutput { closed: self.closed, ..WireOutput::default() };
        let [to_mount, from_mount] = &mut self.ways;
        to_mount.arrived(now, &mut output.to_mount);
        from_mount.arrived(now, &mut output.from_mount);
        output.injections = std::mem::take(&mut self.injections);
        output
    }
}
