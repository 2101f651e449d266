//! Orders from words and texts, as they come over a wire.

use crate::kinds::Kind;
use crate::order::{Axis, Choice, Direction, Order};
use units::{Angle, Instant, Quantity, Share, Span, nearest};

/// The keys of the envelope and of all parameters, with what is written there and what it means.
pub(crate) const PARAMETER_KEYS: &[(&str, &str, &str)] = &[
    (
        "direction",
        "received, sent or both",
        "which way on the wire, as the mount sees it (both; echo received; lost-reply, doubled-reply and late-reply sent)",
    ),
    ("after", "length of time", "begins so long from now (at once)"),
    (
        "lasts",
        "length of time",
        "wire: how long it is in force (for ever); else how long what it does goes on",
    ),
    ("chance", "share", "how often a byte or a line is struck (100 %; second-reader 50 %); 0 % never"),
    ("every", "whole number from 1 on", "strikes each byte or line whose number is a multiple"),
    ("nth", "whole number from 1 on", "strikes the byte or line of this number, and no other"),
    ("line", "text", "strikes lines in which this text stands"),
    ("correlation", "share", "how much alike successive draws of a chance are (0 %)"),
    (
        "burst",
        "whole number from 1 on",
        "how many bytes or lines in a row are struck (1; garbled-bytes 8, error-flood 32, limit-bounce 3)",
    ),
    ("stream", "whole number", "which stream of draws it has (that of its number)"),
    ("delay", "length of time", "how late"),
    ("jitter", "length of time", "how much later or earlier still, at most"),
    ("bytes", "whole number from 1 on", "how many bytes"),
    ("baud", "whole number, 1 to 10000000", "a speed of the line"),
    ("axis", "hour, declination, azimuth or altitude", "which axis (the first)"),
    ("angle", "angle", "how far an axis is off"),
    ("by", "length of time", "how far a clock jumps forward"),
];

/// The longest text to look for.
const PATTERN_MOST: usize = 200;

/// What is wrong with an order.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum OrderError {
    /// There is no such kind.
    #[error("there is no fault `{word}`{}", .suggestion.map(|word| format!("; did you mean `{word}`?")).unwrap_or_default())]
    Kind {
        /// What was written.
        word: String,
        /// The nearest that there is.
        suggestion: Option<&'static str>,
    },
    /// A key that this kind doesn't have.
    #[error("{kind} takes no `{key}`; it takes {}", .takes.join(", "))]
    Key {
        /// The kind.
        kind: &'static str,
        /// The key.
        key: String,
        /// What it takes.
        takes: Vec<&'static str>,
    },
    /// A value that can't be read, or is out of range.
    #[error("{key}: {problem}")]
    Value {
        /// The key.
        key: String,
        /// What is wrong, and what to write.
        problem: String,
    },
    /// More than one choice.
    #[error("an order has one of chance, every, nth and line, not several")]
    Choices,
}

impl Kind {
    /// The keys that an order of this kind may have.
    pub fn keys(self) -> Vec<&'static str> {
        let doc = self.doc();
        let mut keys = vec!["after", "chance", "every", "nth", "line", "correlation", "burst", "stream"];
        if doc.group.is_wire() {
            keys.extend(["direction", "lasts"]);
        }
        keys.extend(doc.parameters);
        keys
    }

    /// Which way an order goes that doesn't say so.
    pub const fn usual_direction(self) -> Direction {
        // An echo of the mount's own lines is answered by the mount, for ever.
        match self {
            Self::Echo => Direction::Received,
            Self::LostReply | Self::DoubledReply | Self::LateReply => Direction::Sent,
            _ => Direction::Both,
        }
    }
}

impl Order {
    /// Reads an order that is given at `now`, the `number`th.
    ///
    /// # Errors
    /// [`OrderError`] for a kind, a key or a value that isn't there.
    pub fn read<'a>(
        word: &str,
        pairs: impl IntoIterator<Item = (&'a str, &'a str)>,
        now: Instant,
        number: u64,
    ) -> Result<Self, OrderError> {
        let kind = Kind::of_word(word).ok_or_else(|| OrderError::Kind {
            word: word.chars().take(40).collect(),
            suggestion: nearest(word, Kind::ALL.iter().map(|kind| kind.word())),
        })?;
        let takes = kind.keys();
        let mut order = Self { stream: number, ..Self::new(kind, now) };
        for (key, value) in pairs {
            if !takes.contains(&key) {
                return Err(OrderError::Key {
                    kind: kind.word(),
                    key: key.chars().take(40).collect(),
                    takes,
                });
            }
            let fresh = order
                .set(key, value, now)
                .map_err(|problem| OrderError::Value { key: key.to_owned(), problem })?;
            if !fresh {
                return Err(OrderError::Choices);
            }
        }
        if kind.doc().group.is_wire() {
            order.until = order.parameters.lasts.take().map(|lasts| order.from + lasts);
        }
        Ok(order)
    }

    /// Sets one key; false if there was a choice already.
    fn set(&mut self, key: &str, value: &str, now: Instant) -> Result<bool, String> {
        let given = &mut self.parameters;
        match key {
            "direction" => {
                let found = Direction::ALL.into_iter().find(|one| one.word() == value);
                self.direction = found.ok_or("write received, sent or both")?;
            }
            "after" => self.from = now + span(value)?,
            "lasts" => given.lasts = Some(span(value)?),
            "chance" => return Ok(self.choose(Choice::Chance(share(value)?))),
            "every" => return Ok(self.choose(Choice::Every(whole(value, u64::MAX)?))),
            "nth" => return Ok(self.choose(Choice::Nth(whole(value, u64::MAX)?))),
            "line" if value.len() > PATTERN_MOST => return Err(format!("at most {PATTERN_MOST} bytes")),
            "line" => return Ok(self.choose(Choice::Line(value.to_owned()))),
            "correlation" => self.correlation = share(value)?,
            "burst" => self.burst = whole(value, 100_000)? as u32,
            "stream" => {
                self.stream = value.parse::<u32>().map_err(|_| "write a whole number".to_owned())?.into()
            }
            "delay" => given.delay = Some(span(value)?),
            "jitter" => given.jitter = Some(span(value)?),
            "bytes" => given.bytes = Some(whole(value, 100_000)? as u32),
            "baud" => given.baud = Some(whole(value, 10_000_000)? as u32),
            "axis" => {
                given.axis = Some(match value {
                    "hour" | "azimuth" => Axis::First,
                    "declination" | "altitude" => Axis::Second,
                    _ => return Err("write hour, declination, azimuth or altitude".to_owned()),
                });
            }
            "angle" => given.angle = Some(within(Angle::parse(value), Angle::degrees, -90.0, 90.0, "deg")?),
            "by" => given.by = Some(within(Span::parse(value), Span::hours, -48.0, 48.0, "h")?),
            other => unreachable!("{other} is a key of no kind"),
        }
        Ok(true)
    }

    fn choose(&mut self, choice: Choice) -> bool {
        self.choice.replace(choice).is_none()
    }
}

/// The longest time that an order may name.
const LONGEST_HOURS: f64 = 48.0;

fn span(text: &str) -> Result<Span, String> {
    within(Span::parse(text), Span::hours, 0.0, LONGEST_HOURS, "h")
}

fn share(text: &str) -> Result<f64, String> {
    within(Share::parse(text), Share::percent, 0.0, 100.0, "%").map(Share::fraction)
}

fn whole(text: &str, most: u64) -> Result<u64, String> {
    match text.parse::<u64>() {
        Ok(number) if (1..=most).contains(&number) => Ok(number),
        _ if most == u64::MAX => Err("write a whole number from 1 on".to_owned()),
        _ => Err(format!("write a whole number from 1 to {most}")),
    }
}

fn within<Q: Copy>(
    read: Result<Q, units::QuantityError>,
    shown: impl Fn(Q) -> f64,
    least: f64,
    most: f64,
    unit: &str,
) -> Result<Q, String> {
    let value = read.map_err(|error| error.to_string())?;
    if (least..=most).contains(&shown(value)) {
        Ok(value)
    } else {
        Err(format!("{least} to {most} {unit} are allowed"))
    }
}
