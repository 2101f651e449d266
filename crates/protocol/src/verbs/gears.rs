//! Verbs by which the mount learns of its own gears: the correction of the periodic error, and the play.

use super::{ValueKind, Verb, field, key};
use crate::refusal::RefusalKind;
use crate::reply::EventKind;
use crate::request::{Centring, Yes};

/// `record`
pub(super) const RECORD: Verb = Verb {
    name: "record",
    purpose: "Record a correction of the hour axis's periodic error from the guide corrections that come meanwhile.",
    notes: "Track a star and guide it: what the corrections in hour angle come to is averaged over the worm's angle, without its mean and its straight trend. \
            Each `guide` is to be what moves the star back to its place. Corrections by less than sixteen to a turn of the worm are too few for it. Whatever was \
            played before is off from the begin on. A go-to, a nudge, `stop`, `release`, `cancel` and another rate end the recording without a result.",
    topic: "",
    keys: &[key("turns", ValueKind::Count, "over how many turns of the worm, up to 12")],
    reply: &[field("job", "number of the job"), field("seconds", "how long it will take, s")],
    events: &[EventKind::Recorded],
    refusals: &[RefusalKind::Busy, RefusalKind::Parked, RefusalKind::WrongKind, RefusalKind::OutOfRange],
};

/// `playback`
pub(super) const PLAYBACK: Verb = Verb {
    name: "playback",
    purpose: "Show the recorded correction of the hour axis's periodic error, or begin or end playing it.",
    notes: "A recording is kept over a loss of power only if the worm has an index mark; without one the drive goes by its step count, and steps that were lost \
            shift the correction against the worm.",
    topic: "",
    keys: &[key("state", ValueKind::Word(&["on", "off"]), "whether it is played")],
    reply: &[
        field("state", "on or off"),
        field("recorded", "yes if there is a correction"),
        field("amplitude", "half of the correction's range, arcsec"),
        field("index", "yes if the worm has an index mark"),
    ],
    events: &[],
    refusals: &[RefusalKind::NoRecording, RefusalKind::Busy],
};

/// `measure-play`
pub(super) const MEASURE_PLAY: Verb = Verb {
    name: "measure-play",
    purpose: "Measure the play in the gears by one star that is centred from two sides.",
    notes: "Nudge the star into the middle from one side and send centring=first; nudge it out and bring it back from the other side, and send centring=second. Both \
            times the dials count at which the last nudge ended, so that tracking doesn't blur them: let the key go when the star stands in the middle. In hour \
            angle only nudges faster than the stars turn the motor back. The take-up that is set counts in: what is told is the whole play.",
    topic: "",
    keys: &[
        key("name", ValueKind::Text, "the star"),
        key("centring", ValueKind::Word(Centring::WORDS), "which of the two this is"),
        key("set", ValueKind::Word(Yes::WORDS), "with centring=second: set the take-up to it"),
    ],
    reply: &[
        field("star", "its name in the catalogue"),
        field(
            "hour_axis",
            "play, deg, or none if it was not come to from both sides; on an alt-azimuth mount azimuth_axis",
        ),
        field("declination_axis", "play, deg, or none; on an alt-azimuth mount altitude_axis"),
        field("set", "yes if the take-up was set"),
    ],
    events: &[],
    refusals: &[
        RefusalKind::Busy,
        RefusalKind::Parked,
        RefusalKind::UnknownTarget,
        RefusalKind::BelowHorizon,
        RefusalKind::Unreachable,
        RefusalKind::UnfitSighting,
    ],
};
