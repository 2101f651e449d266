//! Requests with their types and units.

mod faults;
mod keys;
mod read;
mod types;
mod write;

use crate::grammar::RawRequest;
use crate::refusal::{Refusal, RefusalKind};
use crate::verbs::{self, VERBS};
use keys::Keys;
use units::{Angle, AngularRate, Span, nearest};

pub use faults::*;
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
    /// `align …`
    Align(AlignEntry),
    /// `propose …`
    Propose {
        /// Whether the last proposal won't do.
        next: bool,
        /// What the star is to serve.
        purpose: Purpose,
    },
    /// `next-star …`
    NextStar(RankEntry),
    /// `questions …`
    Questions(Option<u64>),
    /// `verify …`
    Verify(String),
    /// `moved …`
    Moved(MovedPart),
    /// `polar-axis`
    PolarAxis,
    /// `polar-offset …`
    PolarOffset(String),
    /// `polar-done …`
    PolarDone(String),
    /// `sight …`
    Sight(SightEntry),
    /// `sightings …`
    Sightings(Option<u64>),
    /// `forget …`
    Forget {
        /// Number of the sighting, from 1.
        entry: u64,
    },
    /// `keep [alignment=…]`
    Keep(Option<KeptAlignment>),
    /// `model …`
    Model(Option<String>),
    /// `record turns=…`
    Record {
        /// Over how many turns of the worm.
        turns: u64,
    },
    /// `playback [state=…]`
    Playback(Option<bool>),
    /// `measure-play …`
    MeasurePlay(PlayEntry),
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
    /// `events …`
    Events(EventsEntry),
    /// `controls [action=…]`
    Controls(Option<ControlsAction>),
    /// `checks [demand=…]`
    Checks(Option<bool>),
    /// `clock …`
    Clock(ClockEntry),
    /// `fault …`
    Fault(FaultEntry),
    /// `faults …`
    Faults(FaultsEntry),
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

    /// Whether only the holder of the controls may ask it: whatever moves the mount or changes what it knows. `stop` and
    /// `release` make things safer and are anybody's.
    pub fn acts(&self) -> bool {
        match self {
            Self::Goto { .. } | Self::Nudge { .. } | Self::Guide { .. } | Self::Sync(_) => true,
            Self::Park | Self::Unpark | Self::Home | Self::Cancel { .. } => true,
            Self::Site(entry) => *entry != SiteEntry::default(),
            Self::Time(time) => time.is_some(),
            Self::Track(entry) => *entry != TrackEntry::default(),
            Self::GuideRate(rate) => rate.is_some(),
            Self::Align(entry) => *entry != AlignEntry::default(),
            Self::Propose { .. } | Self::Sight(_) | Self::Forget { .. } => true,
            Self::PolarOffset(_) | Self::PolarDone(_) | Self::Verify(_) | Self::Moved(_) => true,
            Self::Keep(which) => which.is_some(),
            Self::Questions(_) => false,
            Self::Sightings(_) | Self::Model(_) | Self::NextStar(_) | Self::PolarAxis => false,
            Self::Record { .. } | Self::MeasurePlay(_) => true,
            Self::Playback(state) => state.is_some(),
            Self::Approach(entry) => *entry != ApproachEntry::default(),
            Self::TakeUp(entry) => *entry != AxisEntry::default(),
            Self::Solution(choice) => choice.is_some(),
            Self::Meridian(entry) => *entry != MeridianEntry::default(),
            Self::Limits(entry) => *entry != LimitsEntry::default(),
            Self::Horizon(level) => level.is_some(),
            Self::Sun(radius) => radius.is_some(),
            Self::Errors(entry) => *entry == ErrorsEntry::Clear,
            Self::Identify | Self::Version | Self::Help(_) | Self::Stop | Self::Release => false,
            Self::Status(_) | Self::Axes | Self::Jobs | Self::Await { .. } => false,
            Self::Events(_) | Self::Controls(_) | Self::Checks(_) => false,
            // The bench's, not the mount's: its controls have nothing to do with them.
            Self::Clock(_) | Self::Fault(_) | Self::Faults(_) => false,
        }
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
            Self::Align(_) => "align",
            Self::Propose { .. } => "propose",
            Self::NextStar(_) => "next-star",
            Self::Questions(_) => "questions",
            Self::Verify(_) => "verify",
            Self::Moved(_) => "moved",
            Self::PolarAxis => "polar-axis",
            Self::PolarOffset(_) => "polar-offset",
            Self::PolarDone(_) => "polar-done",
            Self::Sight(_) => "sight",
            Self::Sightings(_) => "sightings",
            Self::Forget { .. } => "forget",
            Self::Keep(_) => "keep",
            Self::Model(_) => "model",
            Self::Record { .. } => "record",
            Self::Playback(_) => "playback",
            Self::MeasurePlay(_) => "measure-play",
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
            Self::Events(_) => "events",
            Self::Controls(_) => "controls",
            Self::Checks(_) => "checks",
            Self::Clock(_) => "clock",
            Self::Fault(_) => "fault",
            Self::Faults(_) => "faults",
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
