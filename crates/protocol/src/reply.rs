//! Replies and events: written by the mount, read by its clients.

use crate::grammar::{Pair, RawRequest, Tag, push_quoted, push_value};
use crate::refusal::Refusal;
use units::{Angle, Fixed, Span, push_digits};

/// `key=value` pairs in the order in which they are said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fields {
    text: String,
}

impl Fields {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    fn key(&mut self, key: &str) {
        if self.text.capacity() == 0 {
            self.text.reserve(160);
        }
        self.text.push(' ');
        self.text.push_str(key);
        self.text.push('=');
    }

    /// A word or a text; put in quotes where it must be.
    pub fn text(mut self, key: &str, value: &str) -> Self {
        self.key(key);
        push_value(&mut self.text, value);
        self
    }

    /// A whole number without a unit, such as a job's.
    pub fn count(mut self, key: &str, value: u64) -> Self {
        self.key(key);
        push_digits(&mut self.text, value, 1);
        self
    }

    /// A number with its unit.
    pub fn number(mut self, key: &str, value: f64, decimals: u8, unit: &str) -> Self {
        self.key(key);
        Fixed { value, decimals }.push_to(&mut self.text);
        self.text.push_str(unit);
        self
    }

    /// An angle in degrees with eight decimals (0.00004 arcsec).
    pub fn degrees(self, key: &str, angle: Angle) -> Self {
        self.number(key, angle.degrees(), 8, "deg")
    }

    /// An angle in minutes of arc with two decimals (0.6 arcsec).
    pub fn arcmin(self, key: &str, angle: Angle) -> Self {
        self.number(key, angle.arcmin(), 2, "arcmin")
    }

    /// A length of time in seconds with three decimals.
    pub fn seconds(self, key: &str, span: Span) -> Self {
        self.number(key, span.seconds(), 3, "s")
    }

    /// The pairs as they stand in a line, each with a blank before it.
    pub fn as_str(&self) -> &str {
        &self.text
    }
}

/// The answer to one request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reply {
    /// Done, or begun.
    Ok(Fields),
    /// Refused; nothing has changed.
    No(Refusal),
}

/// A reply with its tag: one line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReplyLine {
    /// The request's tag, repeated.
    pub tag: Option<Tag>,
    /// The answer.
    pub reply: Reply,
}

impl ReplyLine {
    /// Appends the line, without its end, to `out`.
    pub fn push_to(&self, out: &mut String) {
        out.push_str(if matches!(self.reply, Reply::Ok(_)) { "ok" } else { "no" });
        if let Some(tag) = &self.tag {
            out.push_str(" @");
            out.push_str(tag.as_str());
        }
        match &self.reply {
            Reply::Ok(fields) => out.push_str(fields.as_str()),
            Reply::No(refusal) => {
                out.push(' ');
                push_digits(out, u64::from(refusal.kind().number()), 1);
                out.push(' ');
                out.push_str(refusal.kind().word());
                out.push(' ');
                push_quoted(out, refusal.sentence());
            }
        }
    }
}

/// Makes the table of events: kind, word, meaning.
macro_rules! events {
    ($($kind:ident = $word:literal, $meaning:literal;)+) => {
        /// What an event tells of.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum EventKind {
            $(#[doc = $meaning] $kind,)+
        }

        impl EventKind {
            /// All kinds.
            pub const ALL: &'static [Self] = &[$(Self::$kind),+];
            /// The words of all kinds, in the same order.
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// The word that stands in the line.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$kind => $word,)+ }
            }

            /// What it means, for the manual.
            pub const fn meaning(self) -> &'static str {
                match self { $(Self::$kind => $meaning,)+ }
            }
        }

        impl crate::words::Words for EventKind {
            fn read(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|kind| kind.word() == word)
            }
        }
    };
}

events! {
    Arrived = "arrived", "A job has reached its target; both axes do now what tracking asks of them.";
    Stopped = "stopped", "A job was ended by `stop` or `cancel`; both axes have come to rest.";
    Limit = "limit", "Tracking has come to the end of what the mount may do; both axes rest there, tracking is off. `at` says which end.";
    Warn = "warn", "Tracking has carried the hour axis past the meridian; `minutes` says how long it may go on.";
    Flip = "flip", "The hour axis was at the end of its range; the job goes to the other position, and tracking goes on from there.";
    Sun = "sun", "The tube has come to the edge of the circle round the Sun and rests there.";
    DeadMan = "dead-man", "A held nudge was not repeated in time; the axis comes to rest.";
    Recorded = "recorded", "The recording of a correction has ended; `result` says whether it was kept.";
    Awaited = "awaited", "A job that was awaited has ended, or the time to wait for it has passed.";
    Restarted = "restarted", "The power was gone for a while: dials stand at home again, alignment and tracking are lost.";
}

/// Something that happened without being asked at that moment: `* arrived job=4`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// What.
    pub kind: EventKind,
    /// Its particulars.
    pub fields: Fields,
}

impl Event {
    /// Appends the line, without its end, to `out`.
    pub fn push_to(&self, out: &mut String) {
        out.push_str("* ");
        out.push_str(self.kind.word());
        out.push_str(self.fields.as_str());
    }
}

/// A reply as a client reads it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadReply {
    /// The tag that was repeated.
    pub tag: Option<Tag>,
    /// The pairs, or the refusal's number, word and sentence.
    pub outcome: Result<Vec<(String, String)>, (u16, String, String)>,
}

impl ReadReply {
    /// The value of a key in a reply that was `ok`.
    pub fn get(&self, key: &str) -> Option<&str> {
        self.outcome.as_ref().ok()?.iter().find(|(name, _)| name == key).map(|(_, value)| value.as_str())
    }
}

/// Reads a reply line; `None` for anything else.
pub fn read_reply(line: &str) -> Option<ReadReply> {
    let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
    let (tag, rest) = match rest.strip_prefix('@') {
        Some(tagged) => {
            let (tag, rest) = tagged.split_once(' ').unwrap_or((tagged, ""));
            (Some(Tag::new(tag)?), rest)
        }
        None => (None, rest),
    };
    match word {
        "ok" => Some(ReadReply { tag, outcome: Ok(pairs(rest)?) }),
        "no" => {
            let mut parts = rest.splitn(3, ' ');
            let number = parts.next()?.parse().ok()?;
            let word = parts.next()?.to_owned();
            let sentence = pairs(&format!("said={}", parts.next()?))?.pop()?.1;
            Some(ReadReply { tag, outcome: Err((number, word, sentence)) })
        }
        _ => None,
    }
}

/// Reads an event line as its word and its pairs; `None` for anything else.
pub fn read_event(line: &str) -> Option<(String, Vec<(String, String)>)> {
    let rest = line.strip_prefix("* ")?;
    let (word, rest) = rest.split_once(' ').unwrap_or((rest, ""));
    Some((word.to_owned(), pairs(rest)?))
}

/// Pairs have one form in requests, replies and events, so one reader serves all three.
fn pairs(text: &str) -> Option<Vec<(String, String)>> {
    let raw = RawRequest::read(&format!("reply {text}")).ok()?;
    if raw.topic.is_some() {
        return None;
    }
    Some(raw.pairs.into_iter().map(|Pair { key, value, .. }| (key, value)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refusal::RefusalKind;

    #[test]
    fn replies_read_back() {
        let fields =
            Fields::new().count("job", 4).text("target", "M 42").degrees("ra", Angle::from_degrees(83.5));
        let line = ReplyLine { tag: Tag::new("17"), reply: Reply::Ok(fields) };
        let mut text = String::new();
        line.push_to(&mut text);
        assert_eq!(text, "ok @17 job=4 target=\"M 42\" ra=83.50000000deg");
        let read = read_reply(&text).unwrap();
        assert_eq!(read.get("target"), Some("M 42"));
        assert_eq!(read.tag, Tag::new("17"));
    }

    #[test]
    fn refusals_read_back() {
        let refusal = Refusal::new(RefusalKind::BelowHorizon, "the target is 3.2 deg below \"it\"");
        let mut text = String::new();
        ReplyLine { tag: None, reply: Reply::No(refusal) }.push_to(&mut text);
        assert_eq!(text, "no 31 below-horizon \"the target is 3.2 deg below \\\"it\\\"\"");
        let (number, word, sentence) = read_reply(&text).unwrap().outcome.unwrap_err();
        assert_eq!((number, word.as_str()), (31, "below-horizon"));
        assert_eq!(sentence, "the target is 3.2 deg below \"it\"");
    }

    #[test]
    fn events_read_back_and_are_no_replies() {
        let event = Event { kind: EventKind::Arrived, fields: Fields::new().count("job", 4) };
        let mut text = String::new();
        event.push_to(&mut text);
        assert_eq!(text, "* arrived job=4");
        assert_eq!(read_event(&text), Some(("arrived".into(), vec![("job".into(), "4".into())])));
        assert_eq!(read_reply(&text), None);
        assert_eq!(read_event("ok"), None);
    }
}
