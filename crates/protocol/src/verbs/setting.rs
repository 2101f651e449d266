//! Verbs that show and change the mount's settings.

use super::{ValueKind, Verb, field, key};
use crate::refusal::RefusalKind;
use crate::request::{FinalApproach, MeridianPolicy, SolutionChoice};

/// `guide-rate`
pub(super) const GUIDE_RATE: Verb = Verb {
    name: "guide-rate",
    purpose: "Show or set the rate of guide corrections.",
    notes: "",
    topic: "",
    keys: &[key("rate", ValueKind::Rate { least: 0.1, greatest: 60.0 }, "such as 0.5x")],
    reply: &[field("rate", "arcsec/s")],
    events: &[],
    refusals: &[],
};

/// `approach`
pub(super) const APPROACH: Verb = Verb {
    name: "approach",
    purpose: "Show or set how go-tos end.",
    notes: "With a `final` direction each axis arrives moving that way: if it would come from the other side it goes past the target by the overshoot and returns. The overshoot is to be \
            half as much again as the play in the gears. For an alt-azimuth mount west means growing azimuth and north growing altitude.",
    topic: "",
    keys: &[
        key("final", ValueKind::Word(FinalApproach::WORDS), "the direction in which the tube last moves"),
        key("overshoot", ValueKind::Angle { least: 0.0, greatest: 5.0 }, "how far past the target"),
    ],
    reply: &[field("final", "the direction"), field("overshoot", "deg")],
    events: &[],
    refusals: &[RefusalKind::Busy],
};

/// `take-up`
pub(super) const TAKE_UP: Verb = Verb {
    name: "take-up",
    purpose: "Show or set by how much a motor runs on when an axis turns back.",
    notes: "Meant to be the play in the gears: the motor crosses it quickly and the dial leaves it out. Too little leaves the axis behind, too much throws it forward.",
    topic: "",
    keys: &[
        key("hour_axis", ValueKind::Angle { least: 0.0, greatest: 2.0 }, "of an equatorial mount"),
        key("declination_axis", ValueKind::Angle { least: 0.0, greatest: 2.0 }, "of an equatorial mount"),
        key("azimuth_axis", ValueKind::Angle { least: 0.0, greatest: 2.0 }, "of an alt-azimuth mount"),
        key("altitude_axis", ValueKind::Angle { least: 0.0, greatest: 2.0 }, "of an alt-azimuth mount"),
    ],
    reply: &[
        field("hour_axis", "deg; on an alt-azimuth mount azimuth_axis"),
        field("declination_axis", "deg; on an alt-azimuth mount altitude_axis"),
    ],
    events: &[],
    refusals: &[RefusalKind::Busy, RefusalKind::WrongKind],
};

/// `solution`
pub(super) const SOLUTION: Verb = Verb {
    name: "solution",
    purpose: "Show or set the rule by which a German equatorial mount chooses between its two positions.",
    notes: "A go-to may ask for another.",
    topic: "",
    keys: &[key(
        "choice",
        ValueKind::Word(SolutionChoice::WORDS),
        "by-hour-angle: direct east of the meridian, else through the pole",
    )],
    reply: &[field("choice", "the rule")],
    events: &[],
    refusals: &[RefusalKind::WrongKind],
};

/// `meridian`
pub(super) const MERIDIAN: Verb = Verb {
    name: "meridian",
    purpose: "Show or set what happens when tracking reaches the end of the hour axis's range.",
    notes: "stop: rest there. warn: say so at the meridian, rest at the end. flip: go to the other position and track on.",
    topic: "",
    keys: &[
        key("policy", ValueKind::Word(MeridianPolicy::WORDS), "what to do"),
        key(
            "over_run",
            ValueKind::Angle { least: 0.0, greatest: 30.0 },
            "how far past the meridian the axis may turn, on either side",
        ),
    ],
    reply: &[field("policy", "what to do"), field("over_run", "deg")],
    events: &[],
    refusals: &[RefusalKind::Busy, RefusalKind::WrongKind],
};

/// `limits`
pub(super) const LIMITS: Verb = Verb {
    name: "limits",
    purpose: "Show or set where the mount does not go.",
    notes: "By what the mount believes. Tracking that comes to one of them ends with the event `limit`.",
    topic: "",
    keys: &[
        key("lowest", ValueKind::Angle { least: -30.0, greatest: 60.0 }, "altitude"),
        key("highest", ValueKind::Angle { least: 30.0, greatest: 90.0 }, "altitude"),
        key(
            "cable_wrap",
            ValueKind::Angle { least: 180.0, greatest: 360.0 },
            "how far the azimuth axis may turn from home, either way",
        ),
        key(
            "zenith_zone",
            ValueKind::Angle { least: 0.5, greatest: 10.0 },
            "radius round the zenith that an alt-azimuth mount keeps out of",
        ),
    ],
    reply: &[
        field("lowest", "deg"),
        field("highest", "deg"),
        field("cable_wrap", "deg (alt-azimuth)"),
        field("zenith_zone", "deg (alt-azimuth)"),
    ],
    events: &[],
    refusals: &[RefusalKind::Busy, RefusalKind::WrongKind, RefusalKind::OutOfRange],
};

/// `horizon`
pub(super) const HORIZON: Verb = Verb {
    name: "horizon",
    purpose: "Show the skyline that the mount was told, or tell it a level one.",
    notes: "Go-tos below it are refused.",
    topic: "",
    keys: &[key("level", ValueKind::Angle { least: -5.0, greatest: 60.0 }, "the same altitude all round")],
    reply: &[
        field("lowest", "the skyline's lowest corner, deg"),
        field("highest", "its highest, deg"),
        field("corners", "how many corners it has"),
    ],
    events: &[],
    refusals: &[],
};

/// `sun`
pub(super) const SUN: Verb = Verb {
    name: "sun",
    purpose: "Show how near the Sun the tube points, or set how near it may come.",
    notes: "While the Sun is higher than 1 deg below the horizon, no go-to, nudge or tracking enters the circle round it. By day a mount that was not aligned refuses to move at all, since it \
            can't know where the Sun is for it. All this is by belief: never leave a tube unwatched by day, and never look at or near the Sun without a proper filter over the front.",
    topic: "",
    keys: &[key("radius", ValueKind::Angle { least: 5.0, greatest: 90.0 }, "of the circle")],
    reply: &[
        field("radius", "of the circle, deg"),
        field("separation", "between the tube and the Sun, deg"),
        field("up", "yes or no"),
        field("override", "yes if the mount's settings allow it to point anywhere"),
    ],
    events: &[],
    refusals: &[],
};
