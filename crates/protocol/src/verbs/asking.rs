//! Verbs that ask how things stand.

use super::{ValueKind, Verb, field, key};
use crate::refusal::RefusalKind;
use crate::reply::EventKind;
use crate::request::{ControlsAction, StatusGroup};

/// `status`
pub(super) const STATUS: Verb = Verb {
    name: "status",
    purpose: "Say in one line what the mount is doing and where it believes to point.",
    notes: "Without `group`: what it does, its dials and its clock. With `group=pointing`: the direction that it believes in.",
    topic: "",
    keys: &[key("group", ValueKind::Word(StatusGroup::WORDS), "motion if left out")],
    reply: &[
        field("state", "resting, tracking, nudging, slewing, stopping or parked (motion)"),
        field("job", "number of the job under way, or none (motion)"),
        field("rate", "tracking rate, as for track (motion)"),
        field("hour_dial", "dial of the hour axis, deg; on an alt-azimuth mount azimuth_dial (motion)"),
        field(
            "declination_dial",
            "dial of the declination axis, deg; on an alt-azimuth mount altitude_dial (motion)",
        ),
        field("utc", "the mount's clock"),
        field("azimuth", "where it believes to point, deg from north through east, as observed (pointing)"),
        field("altitude", "where it believes to point, deg, as observed (pointing)"),
        field(
            "ra",
            "right ascension of that direction, International Celestial Reference System, deg (pointing)",
        ),
        field("dec", "its declination, deg (pointing)"),
    ],
    events: &[],
    refusals: &[],
};

/// `axes`
pub(super) const AXES: Verb = Verb {
    name: "axes",
    purpose: "Read the dials of both axes.",
    notes: "A dial is the step count of its motor, as an angle: what the mount knows, not where the axis is.",
    topic: "",
    keys: &[],
    reply: &[
        field("hour_dial", "deg, westward, unwrapped; on an alt-azimuth mount azimuth_dial"),
        field("declination_dial", "deg, unwrapped; on an alt-azimuth mount altitude_dial"),
    ],
    events: &[],
    refusals: &[],
};

/// `jobs`
pub(super) const JOBS: Verb = Verb {
    name: "jobs",
    purpose: "List the latest jobs.",
    notes: "A job is a go-to, park, home or flip. One can be under way at a time; the last eight are kept.",
    topic: "",
    keys: &[],
    reply: &[
        field("jobs", "number:kind:state of each, newest first, with commas between; none if there is none"),
        field("seconds", "until the one under way ends, s"),
    ],
    events: &[],
    refusals: &[],
};

/// `await`
pub(super) const AWAIT: Verb = Verb {
    name: "await",
    purpose: "Say what a job is doing now, and tell by an event when it has ended or the time is up.",
    notes: "The answer comes at once; then exactly one event `awaited` with the state at that moment. One job is awaited at a time: a second `await` takes the place of the first.",
    topic: "",
    keys: &[
        key("job", ValueKind::Count, "number of the job"),
        key("within", ValueKind::Span { least: 0.0, greatest: 3600.0 }, "how long to wait at most"),
    ],
    reply: &[
        field("job", "its number"),
        field("state", "under-way, arrived or stopped"),
        field("seconds", "until it ends, as far as is known, s"),
    ],
    events: &[EventKind::Awaited],
    refusals: &[RefusalKind::UnknownJob],
};

/// `cancel`
pub(super) const CANCEL: Verb = Verb {
    name: "cancel",
    purpose: "End a job.",
    notes: "As `stop`, but only if that job is still under way; otherwise nothing changes.",
    topic: "",
    keys: &[key("job", ValueKind::Count, "number of the job")],
    reply: &[
        field("job", "its number"),
        field("state", "what it was: under-way, arrived or stopped"),
        field("seconds", "until both axes are at rest, s"),
    ],
    events: &[EventKind::Stopped],
    refusals: &[RefusalKind::UnknownJob],
};

/// `errors`
pub(super) const ERRORS: Verb = Verb {
    name: "errors",
    purpose: "Show the log of what went wrong, or empty it.",
    notes: "The log keeps sixteen entries. When it is full the newest takes the last place and says how many were dropped.",
    topic: "",
    keys: &[
        key("entry", ValueKind::Count, "1 is the oldest; the newest if left out"),
        key("clear", ValueKind::Word(&["yes"]), "empty the log"),
    ],
    reply: &[
        field("count", "how many entries there are"),
        field("entry", "number of this one (if there is one)"),
        field("utc", "when, by the mount's clock"),
        field("kind", "the event's word"),
        field("dropped", "how many entries were lost before this one"),
    ],
    events: &[],
    refusals: &[RefusalKind::OutOfRange],
};

/// `events`
pub(super) const EVENTS: Verb = Verb {
    name: "events",
    purpose: "Show which events are sent to this connection, or switch them on or off.",
    notes: "For programs that only poll. All are on until a connection switches them off for itself.",
    topic: "",
    keys: &[
        key("kind", ValueKind::Word(EventKind::WORDS), "one kind; all if left out"),
        key("show", ValueKind::Word(&["on", "off"]), "whether to send them"),
    ],
    reply: &[
        field("shown", "the kinds that are sent, with commas between; none if there is none"),
        field("silent", "the kinds that are not"),
    ],
    events: &[],
    refusals: &[],
};

/// `checks`
pub(super) const CHECKS: Verb = Verb {
    name: "checks",
    purpose: "Show whether this connection demands a check at the end of every line, or demand it.",
    notes: "From the next line on a line without a check is refused as one with a bad check is, and every reply and every event on this connection has one. \
            It ends with `demand=no`, in a line with a check, or with the connection.",
    topic: "",
    keys: &[key("demand", ValueKind::Word(&["yes", "no"]), "whether to demand it")],
    reply: &[field("demanded", "yes or no")],
    events: &[],
    refusals: &[],
};

/// `controls`
pub(super) const CONTROLS: Verb = Verb {
    name: "controls",
    purpose: "Show who holds the controls, take them, or let go of them.",
    notes: "While one connection holds them, all others may only ask, `stop` and `release`. A connection that ends lets go of them. \
            While nobody holds them everybody may act.",
    topic: "",
    keys: &[key("action", ValueKind::Word(ControlsAction::WORDS), "what to do")],
    reply: &[field("holder", "this, another or nobody")],
    events: &[],
    refusals: &[RefusalKind::NotInControl],
};
