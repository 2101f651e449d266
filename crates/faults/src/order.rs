//! The envelope that all faults have.

use crate::kinds::Kind;
use units::{Angle, Instant, Span};

/// Which way on the wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Direction {
    /// From the client to the mount: what the mount receives.
    Received,
    /// From the mount to the client: what the mount sends.
    Sent,
    /// Both, each by itself.
    Both,
}

impl Direction {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Received, Self::Sent, Self::Both];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Received => "received",
            Self::Sent => "sent",
            Self::Both => "both",
        }
    }

    /// Whether it takes in a single direction.
    pub fn includes(self, one: Self) -> bool {
        self == Self::Both || self == one
    }
}

/// Which units are struck while an order is in force.
#[derive(Clone, Debug, PartialEq)]
pub enum Choice {
    /// Each with this probability: 0 never, 1 all.
    Chance(f64),
    /// Each whose number is a multiple of this; it is at least 1.
    Every(u64),
    /// The one of this number, counted from 1.
    Nth(u64),
    /// Lines in which this text stands, whatever its case.
    Line(String),
}

/// One of the two axes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Hour axis, or azimuth axis.
    First,
    /// Declination axis, or altitude axis.
    Second,
}

impl Axis {
    /// 0 or 1.
    pub const fn index(self) -> usize {
        match self {
            Self::First => 0,
            Self::Second => 1,
        }
    }
}

/// What some kinds take besides; [`crate::KindDoc::parameters`] says which.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Parameters {
    /// How late.
    pub delay: Option<Span>,
    /// How much later or earlier still, at most.
    pub jitter: Option<Span>,
    /// How many bytes.
    pub bytes: Option<u32>,
    /// A speed of the line.
    pub baud: Option<u32>,
    /// How long what it does goes on.
    pub lasts: Option<Span>,
    /// Which axis.
    pub axis: Option<Axis>,
    /// How far.
    pub angle: Option<Angle>,
    /// How far a clock jumps.
    pub by: Option<Span>,
}

/// One fault as it was ordered.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// What happens.
    pub kind: Kind,
    /// On which way. The mount's own faults, where they wait for lines, count those to the mount.
    pub direction: Direction,
    /// From when on it is in force.
    pub from: Instant,
    /// Until when; for ever if not.
    pub until: Option<Instant>,
    /// What it strikes. The mount's own faults without a choice strike once, at [`Order::from`].
    pub choice: Option<Choice>,
    /// How much alike successive draws are: 0 not at all, 1 for ever. The chance itself stays as it is.
    pub correlation: f64,
    /// How many units in a row are struck, at least 1.
    pub burst: u32,
    /// Which stream of draws it has; orders with different numbers draw independently.
    pub stream: u64,
    /// The rest.
    pub parameters: Parameters,
}

impl Order {
    /// An order that is in force from an instant on, with everything as usual for its kind.
    pub fn new(kind: Kind, from: Instant) -> Self {
        Self {
            kind,
            direction: kind.usual_direction(),
            from,
            until: None,
            choice: None,
            correlation: 0.0,
            burst: kind.usual_burst(),
            stream: 0,
            parameters: Parameters::default(),
        }
    }

    /// Whether it is in force.
    pub fn holds_at(&self, at: Instant) -> bool {
        at >= self.from && self.until.is_none_or(|until| at < until)
    }

    /// Whether it can ever strike.
    pub fn can_strike(&self) -> bool {
        self.choice != Some(Choice::Chance(0.0)) && self.until.is_none_or(|until| until > self.from)
    }

    /// Whether it closes a connection once, at its instant, whatever passes and whichever way.
    pub(crate) fn closes_at_once(&self) -> bool {
        self.kind == Kind::HangUp && self.choice.is_none()
    }

    /// In words, for reports: `lost-reply sent chance 20 %`.
    pub fn text(&self) -> String {
        let mut text = self.kind.word().to_owned();
        let wire = self.kind.doc().group.is_wire();
        if wire {
            text.push_str(&format!(" {}", self.direction.word()));
        }
        match &self.choice {
            None => {}
            Some(Choice::Chance(chance)) => text.push_str(&format!(" chance {} %", chance * 100.0)),
            Some(Choice::Every(n)) => text.push_str(&format!(" every {n}")),
            Some(Choice::Nth(n)) => text.push_str(&format!(" number {n}")),
            Some(Choice::Line(part)) => text.push_str(&format!(" at lines with `{part}`")),
        }
        if let Some(until) = self.until {
            text.push_str(&format!(" for {} s", (until - self.from).seconds()));
        }
        if self.burst != self.kind.usual_burst() {
            text.push_str(&format!(" burst {}", self.burst));
        }
        if self.correlation > 0.0 {
            text.push_str(&format!(" correlation {} %", self.correlation * 100.0));
        }
        let p = &self.parameters;
        let mut add = |name: &str, value: Option<String>| {
            if let Some(value) = value {
                text.push_str(&format!(" {name} {value}"));
            }
        };
        let seconds = |span: Option<Span>| span.map(|span| format!("{} s", span.seconds()));
        add("delay", seconds(p.delay));
        add("jitter", seconds(p.jitter));
        add("bytes", p.bytes.map(|n| n.to_string()));
        add("bits per second", p.baud.map(|n| n.to_string()));
        add("lasts", seconds(p.lasts));
        add("axis", p.axis.map(|axis| ["first", "second"][axis.index()].to_owned()));
        add("angle", p.angle.map(|angle| format!("{:.4} arcmin", angle.arcmin())));
        add("by", seconds(p.by));
        text
    }
}
