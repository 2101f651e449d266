//! Verbs that say what the mount is, and what it is told of site and time.

use super::{Field, LATITUDE, ValueKind, Verb, field, key};
use crate::refusal::RefusalKind;

const SITE_FIELDS: &[Field] = &[
    field("latitude", "as entered, deg, north positive"),
    field("longitude", "as entered, deg, east positive"),
    field("height", "as entered, m above the ellipsoid"),
    field("pressure", "air pressure at the site, hPa; 0 means that refraction is left out"),
    field("temperature", "air temperature, degC"),
    field("humidity", "relative humidity, %"),
];

/// `identify`
pub(super) const IDENTIFY: Verb = Verb {
    name: "identify",
    purpose: "Say what is at the other end of the line.",
    notes: "",
    topic: "",
    keys: &[],
    reply: &[
        field("device", "`nightbench`"),
        field("kind", "kind of mount: german-equatorial, fork-equatorial or alt-azimuth"),
        field("language", "version of this language; it grows only when an old client could be misled"),
    ],
    events: &[],
    refusals: &[],
};

/// `version`
pub(super) const VERSION: Verb = Verb {
    name: "version",
    purpose: "Say the version of the program.",
    notes: "",
    topic: "",
    keys: &[],
    reply: &[field("version", "of the program, as released")],
    events: &[],
    refusals: &[],
};

/// `help`
pub(super) const HELP: Verb = Verb {
    name: "help",
    purpose: "Name the verbs, or the keys of one verb.",
    notes: "`help` alone lists the verbs; `help goto` says what goto does and which keys it takes.",
    topic: "a verb",
    keys: &[],
    reply: &[
        field("verbs", "the verbs, with commas between (without a topic)"),
        field("purpose", "what the verb does (with a topic)"),
        field("keys", "its keys, with commas between (with a topic)"),
    ],
    events: &[],
    refusals: &[RefusalKind::UnknownVerb],
};

/// `site`
pub(super) const SITE: Verb = Verb {
    name: "site",
    purpose: "Show the site that the mount was told, or tell it another.",
    notes: "Without keys it shows; with keys it sets those and shows all. The mount computes every place from what it \
            was told here, refraction included; it has no other knowledge of where it stands.",
    topic: "",
    keys: &[
        key("latitude", LATITUDE, "north positive"),
        key("longitude", ValueKind::Angle { least: -180.0, greatest: 360.0 }, "east positive"),
        key("height", ValueKind::Length { least: -500.0, greatest: 9000.0 }, "above the ellipsoid"),
        key("pressure", ValueKind::Pressure, "at the site; 0 hPa leaves refraction out"),
        key("temperature", ValueKind::Temperature, "of the air"),
        key("humidity", ValueKind::Share, "relative"),
    ],
    reply: SITE_FIELDS,
    events: &[],
    refusals: &[RefusalKind::Busy],
};

/// `time`
pub(super) const TIME: Verb = Verb {
    name: "time",
    purpose: "Show the mount's clock, or set it.",
    notes: "The clock runs on the mount's own crystal. A wrong hour here turns the whole sky of the mount by 15 degrees.",
    topic: "",
    keys: &[key("utc", ValueKind::Utc, "what the clock is to show now")],
    reply: &[
        field("utc", "what the clock shows"),
        field("sidereal", "local apparent sidereal time by that clock and site, in hours"),
    ],
    events: &[],
    refusals: &[RefusalKind::Busy],
};
