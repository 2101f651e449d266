//! What the bench answers on the wire in the mount's place: its clock, and its faults, where they are allowed.

use crate::World;
use crate::disturbance::Disturbance;
use crate::journal::Record;
use faults::{Axis, Choice, Direction, Order, Parameters};
use kinematics::Kind;
use protocol::{
    ClockEntry, Device as _, FaultAxis, FaultEntry, FaultKind, FaultsEntry, Fields, Frame, Refusal,
    RefusalKind, Request, Session, Strikes, WireDirection, WireStrike,
};
use units::{Instant, Span};

/// What whoever starts the bench allows on its wires beyond what a mount would.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Allowed {
    /// A client may let time pass; nothing else does.
    pub clock: bool,
    /// Which faults may be ordered.
    pub faults: FaultsAllowed,
}

/// Which faults may be ordered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FaultsAllowed {
    /// None.
    #[default]
    None,
    /// The mount's; whoever carries the bytes can bring no faults of the wire about.
    OfTheMount,
    /// The wire's too.
    All,
}

/// A year: a stepped night may last so long.
const LONGEST: Span = Span::from_whole_seconds(366 * 86_400);
/// How many faults may be ordered in one night.
const ORDERS_MOST: usize = 256;

/// Faults of the scenario have numbers from here on; those that are ordered live have lower ones.
pub(crate) const FIRST_SCHEDULED: usize = 1 << 20;

/// All faults that were ordered live.
#[derive(Clone, Debug, Default)]
pub(crate) struct Orders {
    all: Vec<Ordered>,
}

#[derive(Clone, Debug)]
struct Ordered {
    entry: FaultEntry,
    begins: Instant,
    ends: Option<Instant>,
    state: State,
    struck: u64,
}

/// How far a fault has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// It has not begun.
    Waiting,
    On,
    /// It has come to its own end.
    Over,
    /// It was taken back before that.
    Cleared,
}

impl State {
    fn word(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::On => "on",
            Self::Over => "over",
            Self::Cleared => "cleared",
        }
    }

    /// Whether anything may still come of it.
    fn is_live(self) -> bool {
        matches!(self, Self::Waiting | Self::On)
    }
}

impl Ordered {
    /// When it next changes by itself.
    fn next_due(&self) -> Option<Instant> {
        match self.state {
            State::Waiting => Some(self.begins),
            State::On => self.ends,
            State::Over | State::Cleared => None,
        }
    }
}

impl Orders {
    pub(crate) fn next_due(&self) -> Option<Instant> {
        self.all.iter().filter_map(Ordered::next_due).min()
    }

    /// The fault of a number has struck; one that wasn't ordered live is not counted.
    pub(crate) fn count_strike(&mut self, number: u64) {
        let index = usize::try_from(number).unwrap_or(usize::MAX).saturating_sub(1);
        if let Some(ordered) = self.all.get_mut(index) {
            ordered.struck += 1;
        }
    }

    fn index_of(&self, entry: u64) -> Result<usize, Refusal> {
        let count = self.all.len();
        usize::try_from(entry - 1).ok().filter(|index| *index < count).ok_or_else(|| {
            let sentence = format!("there is no fault {entry}; ordered so far: {count}");
            Refusal::new(RefusalKind::OutOfRange, sentence)
        })
    }

    /// Clears one; whether it was in force.
    fn clear(&mut self, index: usize) -> bool {
        let state = &mut self.all[index].state;
        let before = *state;
        if before.is_live() {
            *state = State::Cleared;
        }
        before == State::On
    }
}

impl World {
    /// Allows on the wires what a mount doesn't know: to be called before anybody connects.
    pub fn allow(&mut self, allowed: Allowed) {
        self.allowed = allowed;
    }

    /// Whether a line is for the bench and not for the mount.
    pub(crate) fn is_for_the_bench(&self, frame: &Frame) -> bool {
        let Frame::Line(line) = frame else { return false };
        let mut words = line.split(' ').filter(|word| !word.is_empty());
        let verb = words.next().map(|word| if word.starts_with('@') { words.next() } else { Some(word) });
        let Some(verb) = verb.flatten() else { return false };
        let is = |names: &[&str]| names.iter().any(|name| verb.eq_ignore_ascii_case(name));
        self.allowed.clock && is(&["clock"])
            || self.allowed.faults != FaultsAllowed::None && is(&["fault", "faults"])
    }

    /// Answers a line that is for the bench, whether the mount has power or not.
    pub(crate) fn answer_as_bench(&mut self, session: Session, frame: &Frame, reply: &mut String) {
        self.note(Record::BenchRequest(session, frame.clone()));
        let demanded = self.controller.demands_check(session);
        protocol::answered(frame, demanded, reply, |raw| match Request::from_raw(raw)? {
            Request::Clock(entry) => self.clock(entry, session),
            Request::Fault(entry) => self.order_live(entry),
            Request::Faults(entry) => self.list_faults(entry),
            other => unreachable!("{} is not the bench's", other.verb()),
        });
        self.note(Record::BenchReply(session, reply.clone()));
    }

    fn note(&mut self, record: Record) {
        if let Some(journal) = &mut self.journal {
            journal.record(self.mount.crystal().controller_time(self.now), record);
        }
    }

    fn clock(&mut self, entry: ClockEntry, session: Session) -> Result<Fields, Refusal> {
        let from = self.now;
        let most = match entry {
            ClockEntry::Show => Span::ZERO,
            ClockEntry::By(span) | ClockEntry::UntilEvent(span) => span,
        };
        if from + most > self.begin + LONGEST {
            let sentence = "a stepped night lasts 366 days at most";
            return Err(Refusal::new(RefusalKind::OutOfRange, sentence));
        }
        let event = match entry {
            ClockEntry::Show => None,
            ClockEntry::By(_) => {
                self.advance_to(from + most);
                None
            }
            ClockEntry::UntilEvent(_) => self.advance_until_told(session, from + most),
        };
        Ok(Fields::new()
            .number("elapsed", (self.now - self.begin).seconds(), 6, "s")
            .number("moved", (self.now - from).seconds(), 6, "s")
            .text("event", event.unwrap_or("none")))
    }

    /// Lets time pass until an event is sent to a connection, at most to `latest`; the event's word.
    fn advance_until_told(&mut self, session: Session, latest: Instant) -> Option<&'static str> {
        self.sessions.forget_told(session);
        while let Some(due) = self.next_wake().filter(|due| *due <= latest) {
            self.advance_to(due.max(self.now));
            if let Some(kind) = self.sessions.last_told(session) {
                return Some(kind.word());
            }
        }
        self.advance_to(latest);
        None
    }

    fn order_live(&mut self, entry: FaultEntry) -> Result<Fields, Refusal> {
        self.may_order(&entry)?;
        let begins = self.now + entry.after.unwrap_or_default();
        let kind = kind_of(entry.kind);
        let lasts = if kind.doc().group.is_wire() {
            entry.lasts
        } else if entry.strikes == Strikes::All {
            Some(entry.lasts.unwrap_or(Disturbance::usual_length(kind)))
        } else {
            // It waits for its line; how long it lasts is counted from then on.
            None
        };
        let ends = lasts.map(|lasts| begins + lasts);
        self.orders.all.push(Ordered { entry, begins, ends, state: State::Waiting, struck: 0 });
        let number = self.orders.all.len() as u64;
        self.strike_ordered();
        Ok(Fields::new().count("fault", number))
    }

    /// Refuses what is not allowed here, and keys that a kind has no use for.
    fn may_order(&self, entry: &FaultEntry) -> Result<(), Refusal> {
        let kind = kind_of(entry.kind);
        let word = kind.word();
        if kind.doc().group.is_wire() && self.allowed.faults != FaultsAllowed::All {
            let sentence = format!("{word} is a fault of the wire; nothing here can bring it about");
            return Err(Refusal::new(RefusalKind::NotAllowed, sentence));
        }
        if self.orders.all.len() >= ORDERS_MOST {
            let sentence = format!("{ORDERS_MOST} faults were ordered in this night; that is the most");
            return Err(Refusal::new(RefusalKind::OutOfRange, sentence));
        }
        let useful: Vec<&str> = kind.keys().into_iter().map(key_on_the_wire).collect();
        let raw = Request::Fault(entry.clone()).to_raw(None);
        let of_use = |key: &str| key == "kind" || useful.contains(&key);
        if let Some(pair) = raw.pairs.iter().find(|pair| !of_use(&pair.key)) {
            let sentence = format!("{word} has no use for {}; it takes {}", pair.key, useful.join(", "));
            return Err(Refusal::new(RefusalKind::ConflictingKeys, sentence));
        }
        if kind == faults::Kind::ClockJump && entry.by.is_none() {
            return Err(Refusal::new(RefusalKind::MissingKey, "clock-jump needs by"));
        }
        entry.axis.map_or(Ok(()), |axis| self.axis_of(axis).map(drop))
    }

    fn axis_of(&self, axis: FaultAxis) -> Result<Axis, Refusal> {
        let alt_azimuth = self.controller.settings().kind == Kind::AltAzimuth;
        match (axis, alt_azimuth) {
            (FaultAxis::Hour, false) | (FaultAxis::Azimuth, true) => Ok(Axis::First),
            (FaultAxis::Declination, false) | (FaultAxis::Altitude, true) => Ok(Axis::Second),
            _ => {
                let kind = self.controller.settings().kind.word();
                let sentence = format!("a mount of the kind {kind} has no {} axis", axis.word());
                Err(Refusal::new(RefusalKind::WrongKind, sentence))
            }
        }
    }

    /// Begins and ends what is due of what was ordered.
    pub(crate) fn strike_ordered(&mut self) {
        for index in 0..self.orders.all.len() {
            let ordered = &mut self.orders.all[index];
            let Some(due) = ordered.next_due().filter(|due| *due <= self.now) else { continue };
            if ordered.state == State::Waiting {
                ordered.state = State::On;
                let order = self.order_of(index);
                if !order.kind.doc().group.is_wire() && order.choice.is_none() {
                    self.orders.all[index].struck += 1;
                }
                self.order_fault(index + 1, order);
                self.strike();
                self.step_to(self.now);
            }
            let ordered = &mut self.orders.all[index];
            if ordered.ends.is_some_and(|ends| ends <= self.now.max(due)) {
                ordered.state = State::Over;
                self.end_fault(index + 1);
            }
        }
    }

    /// One that begins now, as whoever brings it about takes it.
    fn order_of(&self, index: usize) -> Order {
        let entry = &self.orders.all[index].entry;
        let mut order = Order::new(kind_of(entry.kind), self.now);
        order.stream = index as u64 + 1;
        if let Some(direction) = entry.direction {
            order.direction = match direction {
                WireDirection::Received => Direction::Received,
                WireDirection::Sent => Direction::Sent,
                WireDirection::Both => Direction::Both,
            };
        }
        order.choice = match &entry.strikes {
            Strikes::All => None,
            Strikes::Every(number) => Some(Choice::Every(*number)),
            Strikes::Nth(number) => Some(Choice::Nth(*number)),
            Strikes::Line(part) => Some(Choice::Line(part.clone())),
            Strikes::Rate { rate, correlation } => {
                order.correlation = correlation.map_or(0.0, units::Share::fraction);
                Some(Choice::Chance(rate.fraction()))
            }
        };
        let small = |number: u64| u32::try_from(number).unwrap_or(u32::MAX);
        if let Some(burst) = entry.burst {
            order.burst = small(burst).max(1);
        }
        order.parameters = Parameters {
            delay: entry.delay,
            jitter: entry.jitter,
            bytes: entry.bytes.map(small),
            baud: entry.baud.map(small),
            lasts: entry.lasts,
            axis: entry.axis.and_then(|axis| self.axis_of(axis).ok()),
            angle: entry.angle,
            by: entry.by,
        };
        order
    }

    fn list_faults(&mut self, entry: FaultsEntry) -> Result<Fields, Refusal> {
        let shown = match entry {
            FaultsEntry::Show(entry) => entry,
            FaultsEntry::Clear(None) => {
                (0..self.orders.all.len()).for_each(|index| self.clear_live(index));
                None
            }
            FaultsEntry::Clear(Some(entry)) => {
                let index = self.orders.index_of(entry)?;
                self.clear_live(index);
                Some(entry)
            }
        };
        let index = shown.map(|entry| self.orders.index_of(entry)).transpose()?;
        let live: Vec<String> = (1..)
            .zip(&self.orders.all)
            .filter(|(_, ordered)| ordered.state.is_live())
            .map(|(number, _): (u64, _)| number.to_string())
            .collect();
        let live = if live.is_empty() { "none".to_owned() } else { live.join(",") };
        let fields = Fields::new().count("count", self.orders.all.len() as u64).text("live", &live);
        let Some(index) = index else { return Ok(fields) };
        let ordered = &self.orders.all[index];
        let line = Request::Fault(ordered.entry.clone()).to_line();
        Ok(fields
            .count("entry", index as u64 + 1)
            .text("state", ordered.state.word())
            .count("struck", ordered.struck)
            .text("order", line.trim_start_matches("fault ")))
    }

    fn clear_live(&mut self, index: usize) {
        if self.orders.clear(index) {
            self.end_fault(index + 1);
        }
    }

    /// Keeps account of what a fault of the wire did.
    pub(crate) fn note_strike(&mut self, strike: &WireStrike) {
        if let Some(number) = strike.number {
            self.orders.count_strike(number);
        }
        self.note(Record::WireStrike(strike.clone()));
        self.tell_wire(strike);
    }
}

/// A kind of fault by the name that it has in the line language: the words are the same.
fn kind_of(kind: FaultKind) -> faults::Kind {
    faults::Kind::of_word(kind.word()).unwrap_or_else(|| unreachable!("{} is a fault", kind.word()))
}

/// What a key of a scenario's disturbance is called in the line language.
fn key_on_the_wire(key: &'static str) -> &'static str {
    match key {
        "lasts" => "for",
        "chance" => "rate",
        other => other,
    }
}
