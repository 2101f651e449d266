//! The table of verbs: what requests are read by, and what help and the manual say.

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

const fn key(name: &'static str, kind: ValueKind, meaning: &'static str) -> Key {
    Key { name, kind, meaning }
}

const fn field(name: &'static str, meaning: &'static str) -> Field {
    Field { name, meaning }
}

const SITE_FIELDS: &[Field] = &[
    field("latitude", "as entered, deg, north positive"),
    field("longitude", "as entered, deg, east positive"),
    field("height", "as entered, m above the ellipsoid"),
    field("pressure", "air pressure at the site, hPa; 0 means that refraction is left out"),
    field("temperature", "air temperature, degC"),
    field("humidity", "relative humidity, %"),
];

/// All verbs, in the order of the manual.
pub const VERBS: &[Verb] = &[
    Verb {
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
    },
    Verb {
        name: "version",
        purpose: "Say the version of the program.",
        notes: "",
        topic: "",
        keys: &[],
        reply: &[field("version", "of the program, as released")],
        events: &[],
        refusals: &[],
    },
    Verb {
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
    },
    Verb {
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
    },
    Verb {
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
    },
    Verb {
        name: "track",
        purpose: "Show, begin or end tracking.",
        notes: "Tracking at the sidereal rate turns the hour axis 1.00273781191135448 times in a day of UT1. While a job is under way the \
                rate can't be changed.",
        topic: "",
        keys: &[key("rate", ValueKind::Word(&["off", "sidereal"]), "off ends tracking")],
        reply: &[field("rate", "what it is now: off or sidereal")],
        events: &[EventKind::Limit],
        refusals: &[RefusalKind::Busy, RefusalKind::WrongKind],
    },
    Verb {
        name: "goto",
        purpose: "Point the tube at a place and, for things in the sky, track it from there.",
        notes: "Give `name`, or `ra` and `dec`, or `azimuth` and `altitude`, or the pair of axis angles of this kind of mount. The \
                answer comes at once with a job number; the event `arrived` tells the end. After a go-to to a direction or to axis angles the axes rest; after one to a \
                name or to coordinates the mount tracks. `ra` and `dec` are of the International Celestial Reference System, as in a catalogue for J2000.0.",
        topic: "",
        keys: &[
            key(
                "name",
                ValueKind::Text,
                "a star, an object of the catalogues, the Sun, the Moon or a planet",
            ),
            key(
                "ra",
                ValueKind::Angle { least: 0.0, greatest: 360.0 },
                "right ascension, such as 5h35m17.3s",
            ),
            key("dec", LATITUDE, "declination, such as -5d23m28s"),
            key("azimuth", TURN_AND_BACK, "from north through east, as observed"),
            key("altitude", LATITUDE, "above the level horizon, as observed"),
            key("hour_axis", TURN_AND_BACK, "dial of the hour axis, westward"),
            key("declination_axis", TURN_AND_BACK, "dial of the declination axis"),
            key("azimuth_axis", TURN_AND_BACK, "dial of the azimuth axis"),
            key("altitude_axis", TURN_AND_BACK, "dial of the altitude axis"),
            key(
                "solution",
                ValueKind::Word(&["auto", "direct", "through-pole"]),
                "which of the two positions of a German equatorial mount; auto: direct east of the meridian, else through the pole",
            ),
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
        ],
    },
    Verb {
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
    },
    Verb {
        name: "status",
        purpose: "Say in one line what the mount is doing and where it believes to point.",
        notes: "Without `group`: what it does, its dials and its clock. With `group=pointing`: the direction that it believes in.",
        topic: "",
        keys: &[key("group", ValueKind::Word(&["motion", "pointing"]), "motion if left out")],
        reply: &[
            field("state", "resting, tracking, slewing or stopping (motion)"),
            field("job", "number of the job under way, or none (motion)"),
            field("rate", "tracking rate: off or sidereal (motion)"),
            field("hour_dial", "dial of the hour axis, deg; on an alt-azimuth mount azimuth_dial (motion)"),
            field(
                "declination_dial",
                "dial of the declination axis, deg; on an alt-azimuth mount altitude_dial (motion)",
            ),
            field("utc", "the mount's clock"),
            field(
                "azimuth",
                "where it believes to point, deg from north through east, as observed (pointing)",
            ),
            field("altitude", "where it believes to point, deg, as observed (pointing)"),
            field(
                "ra",
                "right ascension of that direction, International Celestial Reference System, deg (pointing)",
            ),
            field("dec", "its declination, deg (pointing)"),
        ],
        events: &[],
        refusals: &[],
    },
    Verb {
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
    },
];

/// The verb of that name.
pub fn find(name: &str) -> Option<&'static Verb> {
    VERBS.iter().find(|verb| verb.name == name)
}
