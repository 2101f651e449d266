//! The table of verbs: what requests are read by, and what help and the manual say.

mod alignment;
mod asking;
mod basics;
mod bench;
mod gears;
mod motion;
mod setting;

use crate::refusal::RefusalKind;
use crate::reply::EventKind;

/// What a key's value may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ValueKind {
    /// An angle with its unit within these bounds, in degrees.
    Angle {
        /// Least, degrees.
        least: f64,
        /// Greatest, degrees.
        greatest: f64,
    },
    /// A length in metres within these bounds.
    Length {
        /// Least, metres.
        least: f64,
        /// Greatest, metres.
        greatest: f64,
    },
    /// A rate of turning within these bounds, in arcseconds per second.
    Rate {
        /// Least, arcsec/s.
        least: f64,
        /// Greatest, arcsec/s.
        greatest: f64,
    },
    /// A length of time within these bounds, in seconds.
    Span {
        /// Least, seconds.
        least: f64,
        /// Greatest, seconds.
        greatest: f64,
    },
    /// A whole number from 1 on, without a unit.
    Count,
    /// An air pressure, 0 to 1200 hPa; 0 leaves refraction out.
    Pressure,
    /// A temperature, −90 to 60 degC.
    Temperature,
    /// A share from 0 to 100 %.
    Share,
    /// A UTC instant such as `2027-03-06T19:30:00.25Z`, 1972 to 2100.
    Utc,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A text, in quotes if it has blanks.
    Text,
}

impl ValueKind {
    /// In words, with the range, for the manual and for help.
    pub fn described(&self) -> String {
        match self {
            Self::Angle { least, greatest } => format!("angle, {least} to {greatest} deg"),
            Self::Length { least, greatest } => format!("length, {least} to {greatest} m"),
            Self::Rate { least, greatest } => format!("rate, {least} to {greatest} arcsec/s"),
            Self::Span { least, greatest } => format!("length of time, {least} to {greatest} s"),
            Self::Count => "whole number from 1 on".to_owned(),
            Self::Pressure => "pressure, 0 to 1200 hPa".to_owned(),
            Self::Temperature => "temperature, -90 to 60 degC".to_owned(),
            Self::Share => "share, 0 to 100 %".to_owned(),
            Self::Utc => "UTC instant, 1972 to 2100".to_owned(),
            Self::Word(words) => words.join(" or "),
            Self::Text => "text".to_owned(),
        }
    }
}

/// A key of a verb, or a field of a reply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// What its value may be.
    pub kind: ValueKind,
    /// What it is for.
    pub meaning: &'static str,
}

/// A field of a reply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Its name.
    pub name: &'static str,
    /// What it says, with its unit.
    pub meaning: &'static str,
}

/// One verb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verb {
    /// The word that is typed.
    pub name: &'static str,
    /// What it does, in one sentence.
    pub purpose: &'static str,
    /// More about it, for the manual.
    pub notes: &'static str,
    /// The bare word that may follow it; empty if none may.
    pub topic: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
    /// The fields of its reply.
    pub reply: &'static [Field],
    /// Events that follow it.
    pub events: &'static [EventKind],
    /// Refusals of its own, beside those of every line.
    pub refusals: &'static [RefusalKind],
}

const LATITUDE: ValueKind = ValueKind::Angle { least: -90.0, greatest: 90.0 };
const TURN_AND_BACK: ValueKind = ValueKind::Angle { least: -360.0, greatest: 360.0 };

/// The key that makes a repeated motion line harmless.
const SEQ: Key = key(
    "seq",
    ValueKind::Count,
    "number of this motion line, growing on each connection; the same line sent again with it moves nothing and is answered as before",
);

/// What a custom rate may be: two hundred times the stars', either way.
const RATE: ValueKind = ValueKind::Rate { least: -3000.0, greatest: 3000.0 };

const fn key(name: &'static str, kind: ValueKind, meaning: &'static str) -> Key {
    Key { name, kind, meaning }
}

const fn field(name: &'static str, meaning: &'static str) -> Field {
    Field { name, meaning }
}

/// All verbs, in the order of the manual.
pub const VERBS: &[Verb] = &[
    basics::IDENTIFY,
    basics::VERSION,
    basics::HELP,
    basics::SITE,
    basics::TIME,
    motion::TRACK,
    motion::GOTO,
    motion::NUDGE,
    motion::RELEASE,
    motion::GUIDE,
    setting::GUIDE_RATE,
    motion::STOP,
    motion::SYNC,
    motion::PARK,
    motion::UNPARK,
    motion::HOME,
    alignment::ALIGN,
    alignment::PROPOSE,
    alignment::NEXT_STAR,
    alignment::QUESTIONS,
    alignment::VERIFY,
    alignment::MOVED,
    alignment::POLAR_AXIS,
    alignment::POLAR_OFFSET,
    alignment::POLAR_DONE,
    alignment::SIGHT,
    alignment::SIGHTINGS,
    alignment::FORGET,
    alignment::KEEP,
    alignment::MODEL,
    gears::RECORD,
    gears::PLAYBACK,
    gears::MEASURE_PLAY,
    setting::APPROACH,
    setting::TAKE_UP,
    setting::SOLUTION,
    setting::MERIDIAN,
    setting::LIMITS,
    setting::HORIZON,
    setting::SUN,
    asking::STATUS,
    asking::AXES,
    asking::JOBS,
    asking::AWAIT,
    asking::CANCEL,
    asking::ERRORS,
    asking::EVENTS,
    asking::CONTROLS,
    asking::CHECKS,
    bench::CLOCK,
    bench::FAULT,
    bench::FAULTS,
];

/// The verb of that name.
pub fn find(name: &str) -> Option<&'static Verb> {
    VERBS.iter().find(|verb| verb.name == name)
}
