//! One order at work on one direction of one connection.

use crate::chooser::Chooser;
use crate::injection::Injection;
use crate::kinds::{Kind, Unit};
use crate::mismatch::SpeedMismatch;
use crate::order::{Choice, Direction, Order};
use crate::pace::{Bucket, Pace, time_of};
use crate::strikes::{bytes_struck, line_struck};
use std::collections::BTreeMap;
use units::{Instant, Span, Stream};

/// The speed at which both ends of a line are meant to be.
const USUAL_BITS_PER_SECOND: u32 = 9600;
/// What comes back of a line needs this long.
const ECHO_TIME: Span = Span::from_nanoseconds(1_000_000);

/// Bytes on their way, and when they are there.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Piece {
    pub(crate) due: Instant,
    pub(crate) bytes: Vec<u8>,
}

/// What became of a line.
#[derive(Debug, Default)]
pub(crate) struct Passed {
    pub(crate) on: Vec<Piece>,
    pub(crate) back: Vec<Piece>,
    pub(crate) closed: bool,
}

#[derive(Clone, Debug)]
struct Drawn {
    chooser: Chooser,
    mismatch: SpeedMismatch,
    pace: Pace,
    bucket: Bucket,
}

/// Where strikes come from.
#[derive(Clone, Debug)]
enum Source {
    Drawn(Box<Drawn>),
    /// From a log: by the number of the line.
    Logged(BTreeMap<u64, Injection>),
}

/// One order at work.
#[derive(Clone, Debug)]
pub(crate) struct Stage {
    number: usize,
    order: Order,
    direction: Direction,
    source: Source,
    lines: u64,
    /// When the connection is to be closed whatever passes.
    pub(crate) closes: Option<Instant>,
}

impl Stage {
    /// An order that begins to work on a connection `now`, with a stream for its choices and one for its noise.
    pub(crate) fn new(
        number: usize,
        order: &Order,
        direction: Direction,
        now: Instant,
        streams: [Stream; 2],
    ) -> Self {
        let usual = match order.kind {
            Kind::SecondReader => Choice::Chance(0.5),
            Kind::HeldBack => Choice::Nth(1),
            _ => Choice::Chance(1.0),
        };
        let [choices, noise] = streams;
        let drawn = Drawn {
            chooser: Chooser::new(order, usual, choices),
            mismatch: SpeedMismatch::new(noise),
            pace: Pace::new(now),
            bucket: Bucket::new(now),
        };
        let closes = match () {
            () if !order.closes_at_once() || direction != Direction::Received => None,
            () if now <= order.from => Some(order.from),
            () => (order.until.is_some() && order.holds_at(now)).then_some(now),
        };
        Self {
            number,
            order: order.clone(),
            direction,
            source: Source::Drawn(Box::new(drawn)),
            lines: 0,
            closes,
        }
    }

    /// The strikes of a log again, those of one order, direction and connection.
    pub(crate) fn logged(number: usize, direction: Direction, log: Vec<Injection>) -> Option<Self> {
        let first = log.first()?;
        let order = Order::new(first.kind, first.at);
        let closes = log.iter().find(|strike| strike.line == 0).map(|strike| strike.at);
        let source = Source::Logged(log.into_iter().map(|strike| (strike.line, strike)).collect());
        Some(Self { number, order, direction, source, lines: 0, closes })
    }

    pub(crate) fn number(&self) -> usize {
        self.number
    }

    pub(crate) fn direction(&self) -> Direction {
        self.direction
    }

    /// Passes a line on, or what becomes of it; tells of it if that is anything else.
    pub(crate) fn pass(&mut self, piece: Piece, log: &mut Vec<Injection>) -> Passed {
        self.lines += 1;
        let (kind, number) = (self.order.kind, self.lines);
        let passed = match &mut self.source {
            Source::Logged(strikes) => match strikes.get(&number) {
                Some(strike) => again(strike, &piece),
                None => untouched(piece.clone()),
            },
            Source::Drawn(drawn) if self.order.holds_at(piece.due) => {
                drawn.strike(&self.order, self.direction, &piece)
            }
            // What is still on its way on a slow line keeps its place before what comes after the fault.
            Source::Drawn(drawn) if drawn.pace.busy_at(piece.due) => {
                let due = drawn.pace.pass(piece.due, Span::ZERO);
                Passed { on: vec![Piece { due, bytes: piece.bytes.clone() }], ..Passed::default() }
            }
            Source::Drawn(_) => untouched(piece.clone()),
        };
        if passed.closed || !passed.back.is_empty() || passed.on.as_slice() != std::slice::from_ref(&piece) {
            let late = |pieces: &[Piece]| {
                pieces.iter().map(|one| (one.due - piece.due, one.bytes.clone())).collect::<Vec<_>>()
            };
            log.push(Injection {
                at: piece.due,
                order: self.number,
                kind,
                direction: self.direction,
                line: number,
                after: late(&passed.on),
                back: late(&passed.back),
                closed: passed.closed,
                before: piece.bytes,
            });
        }
        passed
    }

    /// The strike that closes the connection whatever passes.
    pub(crate) fn close(&mut self, at: Instant) -> Injection {
        self.closes = None;
        Injection {
            at,
            order: self.number,
            kind: self.order.kind,
            direction: self.direction,
            line: 0,
            before: Vec::new(),
            after: Vec::new(),
            back: Vec::new(),
            closed: true,
        }
    }
}

fn untouched(piece: Piece) -> Passed {
    Passed { on: vec![piece], ..Passed::default() }
}

fn again(strike: &Injection, piece: &Piece) -> Passed {
    let pieces = |logged: &[(Span, Vec<u8>)]| {
        logged.iter().map(|(late, bytes)| Piece { due: piece.due + *late, bytes: bytes.clone() }).collect()
    };
    Passed { on: pieces(&strike.after), back: pieces(&strike.back), closed: strike.closed }
}

impl Drawn {
    fn strike(&mut self, order: &Order, direction: Direction, piece: &Piece) -> Passed {
        let on = |pieces: Vec<Piece>| Passed { on: pieces, ..Passed::default() };
        let at = |due: Instant, bytes: Vec<u8>| Piece { due, bytes };
        let given = &order.parameters;
        if order.kind.doc().unit == Unit::Byte {
            let bytes = bytes_struck(order.kind, given.bytes.unwrap_or(3), &piece.bytes, &mut self.chooser);
            // A line of which nothing is left is nothing at all.
            return on(if bytes.is_empty() { Vec::new() } else { vec![at(piece.due, bytes)] });
        }
        let struck = self.chooser.strikes(&piece.bytes);
        let bytes = piece.bytes.clone();
        let due = match order.kind {
            // The line keeps its order while it is slow or stands still, struck or not.
            Kind::LateBytes => {
                let jitter = given.jitter.unwrap_or(Span::ZERO).seconds();
                let late = given.delay.unwrap_or(Span::from_whole_seconds(1));
                let late = (late + Span::from_seconds(self.chooser.stream().between(-jitter, jitter)))
                    .max(Span::ZERO);
                self.pace.follow(piece.due, if struck { late } else { Span::ZERO })
            }
            Kind::SlowLine => {
                let takes = time_of(bytes.len(), given.baud.unwrap_or(300));
                self.pace.pass(piece.due, if struck { takes } else { Span::ZERO })
            }
            Kind::HeldBack => {
                let late = given.delay.unwrap_or(Span::from_whole_seconds(5));
                self.pace.follow(piece.due, if struck { late } else { Span::ZERO })
            }
            Kind::LateReply if struck => piece.due + given.delay.unwrap_or(Span::from_whole_seconds(3)),
            _ => piece.due,
        };
        if due != piece.due || !struck {
            return on(vec![at(due, bytes)]);
        }
        match order.kind {
            Kind::LateBytes | Kind::SlowLine | Kind::HeldBack | Kind::LateReply => on(vec![at(due, bytes)]),
            // Without a choice it has its instant, and what passes doesn't matter.
            Kind::HangUp if order.closes_at_once() => untouched(at(due, bytes)),
            Kind::HangUp => Passed { closed: true, ..Passed::default() },
            Kind::HalfOpen => Passed::default(),
            Kind::Echo => Passed {
                back: vec![at(due + ECHO_TIME, bytes.clone())],
                on: vec![at(due, bytes)],
                closed: false,
            },
            Kind::SecondReader if direction == Direction::Sent => Passed::default(),
            Kind::SecondReader => on(vec![at(due, b"status\n".to_vec()), at(due, bytes)]),
            Kind::WrongSpeed => {
                let wrong = given.baud.unwrap_or(USUAL_BITS_PER_SECOND / 2);
                let (sent, received) = match direction {
                    Direction::Received => (wrong, USUAL_BITS_PER_SECOND),
                    _ => (USUAL_BITS_PER_SECOND, wrong),
                };
                let bytes = self.mismatch.received(&bytes, sent, received);
                on(if bytes.is_empty() { Vec::new() } else { vec![at(due, bytes)] })
            }
            Kind::Overrun => {
                let (room, speed) = (given.bytes.unwrap_or(32), given.baud.unwrap_or(USUAL_BITS_PER_SECOND));
                let taken = self.bucket.admit(due, bytes.len(), room, speed);
                on(if taken == 0 { Vec::new() } else { vec![at(due, bytes[..taken].to_vec())] })
            }
            kind => {
                let lines = line_struck(kind, given.bytes, &bytes, &mut self.chooser);
                on(lines.into_iter().map(|line| at(due, line)).collect())
            }
        }
    }
}
