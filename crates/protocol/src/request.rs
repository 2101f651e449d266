//! Requests with their types and units.

mod keys;
mod read;
mod types;
mod write;

use crate::grammar::RawRequest;
use crate::refusal::{Refusal, RefusalKind};
use crate::verbs::{self, VERBS};
use keys::Keys;
use units::{Angle, AngularRate, Span, nearest};

pub use types::*;

/// What a client asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Request {
    /// `identify`
    Identify,
    /// `version`
    Version,
    /// `help [verb]`
    Help(Option<String>),
    /// `site …`
    Site(SiteEntry),
    /// `time [utc=…]`
    Time(Option<CivilTime>),
    /// `track …`
    Track(TrackEntry),
    /// `goto …`
    Goto {
        /// Where to.
        aim: Aim,
        /// Which of two positions.
        side: Side,
    },
    /// `nudge …`
    Nudge {
        /// Which way.
        direction: Direction,
        /// How fast.
        rate: NudgeRate,
        /// How long.
        end: NudgeEnd,
    },
    /// `release`
    Release,
    /// `guide …`
    Guide {
        /// Which way.
        direction: Direction,
        /// How long.
        span: Span,
    },
    /// `guide-rate [rate=…]`
    GuideRate(Option<AngularRate>),
    /// `stop`
    Stop,
    /// `sync …`
    Sync(Seen),
    /// `park`
    Park,
    /// `unpark`
    Unpark,
    /// `home`
    Home,
    /// `approach …`
    Approach(ApproachEntry),
    /// `take-up …`
    TakeUp(AxisEntry),
    /// `solution [choice=…]`
    Solution(Option<SolutionChoice>),
    /// `meridian …`
    Meridian(MeridianEntry),
    /// `limits …`
    Limits(LimitsEntry),
    /// `horizon [level=…]`
    Horizon(Option<Angle>),
    /// `sun [radius=…]`
    Sun(Option<Angle>),
    /// `status [group=…]`
    Status(StatusGroup),
    /// `axes`
    Axes,
    /// `jobs`
    Jobs,
    /// `await …`
    Await {
        /// Number of the job.
        job: u64,
        /// How long to wait at most.
        within: Span,
    },
    /// `cancel …`
    Cancel {
        /// Number of the job.
        job: u64,
    },
    /// `errors …`
    Errors(ErrorsEntry),
}

impl Request {
    /// Gives a line's words their meaning.
    ///
    /// # Errors
    /// A refusal that names the key and how to mend it.
    pub fn from_raw(raw: &RawRequest) -> Result<Self, Refusal> {
        let verb = verbs::find(&raw.verb).ok_or_else(|| unknown_verb(&raw.verb))?;
        if let (Some(topic), true) = (&raw.topic, verb.topic.is_empty()) {
            let sentence = format!("{} takes key=value pairs only, not the word {topic}", verb.name);
            return Err(Refusal::new(RefusalKind::Unreadable, sentence));
        }
        if verb.name == "help" {
            return Ok(Self::Help(help_topic(raw)?));
        }
        read::request(verb.name, &Keys::new(verb, &raw.pairs)?)
    }

    /// Its verb.
    pub fn verb(&self) -> &'static str {
        match self {
            Self::Identify => "identify",
            Self::Version => "version",
            Self::Help(_) => "help",
            Self::Site(_) => "site",
            Self::Time(_) => "time",
            Self::Track(_) => "track",
            Self::Goto { .. } => "goto",
            Self::Nudge { .. } => "nudge",
            Self::Release => "release",
            Self::Guide { .. } => "guide",
            Self::GuideRate(_) => "guide-rate",
            Self::Stop => "stop",
            Self::Sync(_) => "sync",
            Self::Park => "park",
            Self::Unpark => "unpark",
            Self::Home => "home",
            Self::Approach(_) => "approach",
            Self::TakeUp(_) => "take-up",
            Self::Solution(_) => "solution",
            Self::Meridian(_) => "meridian",
            Self::Limits(_) => "limits",
            Self::Horizon(_) => "horizon",
            Self::Sun(_) => "sun",
            Self::Status(_) => "status",
            Self::Axes => "axes",
            Self::Jobs => "jobs",
            Self::Await { .. } => "await",
            Self::Cancel { .. } => "cancel",
            Self::Errors(_) => "errors",
        }
    }
}

fn unknown_verb(verb: &str) -> Refusal {
    let sentence = match nearest(verb, VERBS.iter().map(|verb| verb.name)) {
        Some(near) => format!("there is no verb {verb}; did you mean {near}?"),
        None => format!("there is no verb {verb}; help names all verbs"),
    };
    Refusal::new(RefusalKind::UnknownVerb, sentence)
}

fn help_topic(raw: &RawRequest) -> Result<Option<String>, Refusal> {
    if let Some(pair) = raw.pairs.first() {
        let sentence = format!("help takes a verb, not the key {}; write help goto", pair.key);
        return Err(Refusal::new(RefusalKind::UnknownKey, sentence));
    }
    match &raw.topic {
        Some(topic) if verbs::find(topic).is_none() => Err(unknown_verb(topic)),
        topic => Ok(topic.clone()),
    }
}

#[cfg(test)]
mod tests;
