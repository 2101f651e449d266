//! Verbs that are the bench's and not the mount's: its clock, and its faults.
//!
//! The bench answers them, also while the mount has no power, and only where whoever started it allowed them.

use super::{ValueKind, Verb, field, key};
use crate::refusal::RefusalKind;
use crate::request::{FaultAxis, FaultKind, WireDirection};

/// A day: the longest that a clock is moved, or a fault waits and lasts.
const DAY: f64 = 86_400.0;
const UP_TO_A_DAY: ValueKind = ValueKind::Span { least: 0.0, greatest: DAY };

/// `clock`
pub(super) const CLOCK: Verb = Verb {
    name: "clock",
    purpose: "Show the bench's clock, or let time pass.",
    notes: "Only where the bench is stepped: there nothing moves, and no time passes, but by this verb, however long the client thinks. \
            Everything that is due on the way happens in its order; events are sent before the reply. It is the bench's clock, not the \
            mount's, which has its own crystal. It is answered while the mount has no power.",
    topic: "",
    keys: &[
        key("by", UP_TO_A_DAY, "how much time passes"),
        key("until", ValueKind::Word(&["event"]), "let time pass until this connection is sent an event"),
        key("within", UP_TO_A_DAY, "with until: how much at most, 1 h if left out"),
    ],
    reply: &[
        field("elapsed", "since the night began, s"),
        field("moved", "how much time this line let pass, s"),
        field("event", "word of the event that ended it, or none"),
    ],
    events: &[],
    refusals: &[RefusalKind::NotAllowed],
};

/// `fault`
pub(super) const FAULT: Verb = Verb {
    name: "fault",
    purpose: "Let something go wrong.",
    notes: "Only where the bench allows it. Without `after` it begins at once, without `for` it lasts until it is cleared (a stall 2 s, \
            a brown-out 1 s). Of `every`, `nth`, `line` and `rate` one at most may stand; without them a fault of the wire strikes whatever passes. \
            A key that a kind has no use for is refused.",
    topic: "",
    keys: &[
        key("kind", ValueKind::Word(FaultKind::WORDS), "what goes wrong"),
        key(
            "direction",
            ValueKind::Word(WireDirection::WORDS),
            "which way on the wire, as the mount sees it",
        ),
        key("after", UP_TO_A_DAY, "how long until it begins"),
        key("for", UP_TO_A_DAY, "how long it lasts"),
        key("every", ValueKind::Count, "strikes one in so many"),
        key("nth", ValueKind::Count, "strikes that one alone, counted from its begin"),
        key("line", ValueKind::Text, "strikes lines in which this text stands"),
        key("rate", ValueKind::Share, "strikes by chance, so often"),
        key("correlation", ValueKind::Share, "with rate: how much the next chance hangs on the last"),
        key("burst", ValueKind::Count, "how many in a row are struck"),
        key("axis", ValueKind::Word(FaultAxis::WORDS), "which axis, the first if left out"),
        key("angle", super::TURN_AND_BACK, "by how much an axis or a count is off"),
        key("by", ValueKind::Span { least: -DAY, greatest: DAY }, "by how much a clock jumps"),
        key("delay", ValueKind::Span { least: 0.0, greatest: 3600.0 }, "how late it comes"),
        key(
            "jitter",
            ValueKind::Span { least: 0.0, greatest: 3600.0 },
            "by how much that varies, either way",
        ),
        key("bytes", ValueKind::Count, "how many bytes: of a burst, of a buffer, of what is left"),
        key("baud", ValueKind::Count, "bits per second of the other end, or of a throttled line"),
    ],
    reply: &[field("fault", "its number")],
    events: &[],
    refusals: &[RefusalKind::NotAllowed],
};

/// `faults`
pub(super) const FAULTS: Verb = Verb {
    name: "faults",
    purpose: "List the faults that were ordered, or clear them.",
    notes: "Only where the bench allows it. What a fault has done stays done when it is cleared.",
    topic: "",
    keys: &[
        key("entry", ValueKind::Count, "number of one fault"),
        key("clear", ValueKind::Word(&["yes"]), "end it, or all of them without entry"),
    ],
    reply: &[
        field("count", "how many were ordered"),
        field("live", "numbers of those that wait or go on, with commas between; none if there is none"),
        field("entry", "number of the one that was asked for"),
        field("state", "waiting, on, over or cleared"),
        field("struck", "how often it has struck"),
        field("order", "the keys with which it was ordered"),
    ],
    events: &[],
    refusals: &[RefusalKind::NotAllowed, RefusalKind::OutOfRange],
};
