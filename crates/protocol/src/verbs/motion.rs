//! Verbs that move the axes.

use super::{LATITUDE, RATE, SEQ, TURN_AND_BACK, ValueKind, Verb, field, key};
use crate::refusal::RefusalKind;
use crate::reply::EventKind;
use crate::request::{Direction, NudgeRate, Rate, Side, TrackAxes};

/// What may speak against a nudge or a correction.
const MOTION_REFUSALS: &[RefusalKind] = &[
    RefusalKind::Busy,
    RefusalKind::BeyondLimit,
    RefusalKind::WrongKind,
    RefusalKind::NearSun,
    RefusalKind::Parked,
];

/// `track`
pub(super) const TRACK: Verb = Verb {
    name: "track",
    purpose: "Show, begin or end tracking.",
    notes: "The sidereal rate turns the hour axis 1.00273781191135448 times in a day of UT1, the solar one once in 24 hours, the refraction-averaged one once in \
            1436.46 minutes. The lunar rate turns both axes with the Moon as seen from the site. With `axes=both` the dials follow the mount's \
            model and refraction; an alt-azimuth mount can't track in another way. While a job is under way the rate can't be changed.",
    topic: "",
    keys: &[
        key("rate", ValueKind::Word(Rate::WORDS), "off ends tracking"),
        key("hour", RATE, "with rate=custom: of the hour axis, westward"),
        key("declination", RATE, "with rate=custom: on the sky, northward; none if left out"),
        key("axes", ValueKind::Word(TrackAxes::WORDS), "which axes tracking turns"),
        SEQ,
    ],
    reply: &[field("rate", "what it is now, or will be on arrival"), field("axes", "one or both")],
    events: &[EventKind::Limit, EventKind::Warn, EventKind::Flip, EventKind::Sun],
    refusals: &[RefusalKind::Busy, RefusalKind::WrongKind, RefusalKind::Unreachable, RefusalKind::Parked],
};

/// `goto`
pub(super) const GOTO: Verb = Verb {
    name: "goto",
    purpose: "Point the tube at a place and, for things in the sky, track it from there.",
    notes: "Give `name`, or `ra` and `dec`, or `azimuth` and `altitude`, or the pair of axis angles of this kind of mount. The \
            answer comes at once with a job number; the event `arrived` tells the end. After a go-to to a direction or to axis angles the axes rest; after one to a \
            name or to coordinates the mount tracks. By the settings of `approach` each axis may go past its target and come back, so that it always arrives in the same sense. `ra` and `dec` are of the International Celestial Reference System, as in a catalogue for J2000.0.",
    topic: "",
    keys: &[
        key("name", ValueKind::Text, "a star, an object of the catalogues, the Sun, the Moon or a planet"),
        key("ra", ValueKind::Angle { least: 0.0, greatest: 360.0 }, "right ascension, such as 5h35m17.3s"),
        key("dec", LATITUDE, "declination, such as -5d23m28s"),
        key("azimuth", TURN_AND_BACK, "from north through east, as observed"),
        key("altitude", LATITUDE, "above the level horizon, as observed"),
        key("hour_axis", TURN_AND_BACK, "dial of the hour axis, westward"),
        key("declination_axis", TURN_AND_BACK, "dial of the declination axis"),
        key("azimuth_axis", TURN_AND_BACK, "dial of the azimuth axis"),
        key("altitude_axis", TURN_AND_BACK, "dial of the altitude axis"),
        key(
            "solution",
            ValueKind::Word(Side::WORDS),
            "which of the two positions of a German equatorial mount; auto: by the rule of `solution`",
        ),
        SEQ,
    ],
    reply: &[
        field("job", "number of the job"),
        field("seconds", "how long the slew will take, s"),
        field("solution", "direct or through-pole"),
    ],
    events: &[EventKind::Arrived, EventKind::Stopped, EventKind::Limit],
    refusals: &[
        RefusalKind::Busy,
        RefusalKind::UnknownTarget,
        RefusalKind::BelowHorizon,
        RefusalKind::Unreachable,
        RefusalKind::BeyondLimit,
        RefusalKind::WrongKind,
        RefusalKind::NearSun,
        RefusalKind::Parked,
    ],
};

/// `nudge`
pub(super) const NUDGE: Verb = Verb {
    name: "nudge",
    purpose: "Move the tube a little, on top of tracking.",
    notes: "Directions are those in which the tube moves on the sky, whatever position the mount is in. The rate adds to tracking: an east nudge turns the \
            hour motor back only above 1x. With `for` it lasts that long, the speeding up in it and the braking after it. \
            Without, it is held: repeat the line before the dead-man time is over, or it stops with the event `dead-man`. A repeat that would bring the tube too near the Sun or beyond a limit is refused, and the nudge ends by that time. Nudges of both axes may overlap.",
    topic: "",
    keys: &[
        key(
            "direction",
            ValueKind::Word(Direction::WORDS),
            "up, down, left and right on an alt-azimuth mount only",
        ),
        key("rate", ValueKind::Word(NudgeRate::WORDS), "in sidereal rates, or as fast as the drives go"),
        key("for", ValueKind::Span { least: 0.001, greatest: 60.0 }, "how long"),
        key(
            "hold",
            ValueKind::Span { least: 0.1, greatest: 10.0 },
            "the dead-man time of this nudge; 1 s if left out",
        ),
        SEQ,
    ],
    reply: &[field("seconds", "until the axis is back at what it did before, if nothing more is said, s")],
    events: &[EventKind::DeadMan],
    refusals: MOTION_REFUSALS,
};

/// `release`
pub(super) const RELEASE: Verb = Verb {
    name: "release",
    purpose: "End all nudges and guide corrections.",
    notes: "The axes brake to what tracking asks of them. Never refused.",
    topic: "",
    keys: &[],
    reply: &[field("seconds", "until they have, s")],
    events: &[],
    refusals: &[],
};

/// `guide`
pub(super) const GUIDE: Verb = Verb {
    name: "guide",
    purpose: "Correct tracking a little for a set time.",
    notes: "At the rate of `guide-rate`. Corrections of both axes may overlap; a second one of an axis takes the place of the first.",
    topic: "",
    keys: &[
        key("direction", ValueKind::Word(Direction::WORDS), "as for nudge"),
        key("for", ValueKind::Span { least: 0.001, greatest: 10.0 }, "how long"),
        SEQ,
    ],
    reply: &[field("seconds", "until it is over, s")],
    events: &[],
    refusals: MOTION_REFUSALS,
};

/// `stop`
pub(super) const STOP: Verb = Verb {
    name: "stop",
    purpose: "Bring both axes to rest, at once, whatever else is pending.",
    notes: "The axes brake as fast as their limits allow. Tracking is off afterwards. `stop` is never refused.",
    topic: "",
    keys: &[],
    reply: &[
        field("job", "number of the job that this ended, or none"),
        field("seconds", "until both axes are at rest, s"),
    ],
    events: &[EventKind::Stopped],
    refusals: &[],
};

/// `sync`
pub(super) const SYNC: Verb = Verb {
    name: "sync",
    purpose: "Say that the tube points at this thing now.",
    notes: "The zeros of both dials are set anew so that the mount believes it; whatever else is known of the mount stays. Nothing moves. Not within \
            a degree of the pole of the first axis, where a small miss would be a large turn.",
    topic: "",
    keys: &[
        key("name", ValueKind::Text, "a star, an object of the catalogues, the Moon or a planet"),
        key("ra", ValueKind::Angle { least: 0.0, greatest: 360.0 }, "right ascension, as for goto"),
        key("dec", LATITUDE, "declination, as for goto"),
        SEQ,
    ],
    reply: &[
        field("first_shift", "by how much the zero of the hour or azimuth dial was moved, deg"),
        field("second_shift", "by how much the zero of the declination or altitude dial was moved, deg"),
    ],
    events: &[],
    refusals: &[
        RefusalKind::Busy,
        RefusalKind::UnknownTarget,
        RefusalKind::BelowHorizon,
        RefusalKind::Unreachable,
        RefusalKind::Parked,
    ],
};

/// `park`
pub(super) const PARK: Verb = Verb {
    name: "park",
    purpose: "Go to the place where the mount is put away, and move no more until it is unparked.",
    notes: "The place is home. It stays parked over a loss of power.",
    topic: "",
    keys: &[SEQ],
    reply: &[field("job", "number of the job"), field("seconds", "how long it will take, s")],
    events: &[EventKind::Arrived, EventKind::Stopped],
    refusals: &[RefusalKind::Busy, RefusalKind::Parked, RefusalKind::NearSun],
};

/// `unpark`
pub(super) const UNPARK: Verb = Verb {
    name: "unpark",
    purpose: "Let a parked mount move again.",
    notes: "Nothing moves by this alone. On a mount that isn't parked it changes nothing.",
    topic: "",
    keys: &[],
    reply: &[field("parked", "no")],
    events: &[],
    refusals: &[],
};

/// `home`
pub(super) const HOME: Verb = Verb {
    name: "home",
    purpose: "Go to the dials at which the mount is switched on.",
    notes: "The cables unwind on the way. Tracking is off afterwards.",
    topic: "",
    keys: &[SEQ],
    reply: &[field("job", "number of the job"), field("seconds", "how long it will take, s")],
    events: &[EventKind::Arrived, EventKind::Stopped],
    refusals: &[RefusalKind::Busy, RefusalKind::Parked, RefusalKind::NearSun],
};
