//! Requests with their types and units.

mod keys;
mod write;

use crate::grammar::RawRequest;
use crate::refusal::{Refusal, RefusalKind};
use crate::verbs::{self, VERBS};
use keys::Keys;
use units::{Angle, Length, Pressure, Share, Temperature, nearest};

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
    /// `track [rate=…]`
    Track(Option<Rate>),
    /// `goto …`
    Goto {
        /// Where to.
        aim: Aim,
        /// Which of two positions.
        side: Side,
    },
    /// `stop`
    Stop,
    /// `status [group=…]`
    Status(StatusGroup),
    /// `axes`
    Axes,
}

/// What of the site is told; what is `None` stays as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SiteEntry {
    /// North positive.
    pub latitude: Option<Angle>,
    /// East positive.
    pub longitude: Option<Angle>,
    /// Above the ellipsoid.
    pub height: Option<Length>,
    /// Of the air at the site; zero leaves refraction out.
    pub pressure: Option<Pressure>,
    /// Of the air.
    pub temperature: Option<Temperature>,
    /// Relative, 0 to 1.
    pub humidity: Option<Share>,
}

/// A civil time in UTC as it stands in a line; whether it exists is for the reader's calendar to say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CivilTime {
    /// 1972 to 2100.
    pub year: i32,
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
    /// 0 to 23.
    pub hour: u8,
    /// 0 to 59.
    pub minute: u8,
    /// 0 to 60: a leap second has its name.
    pub second: u8,
    /// 0 to 999 999 999.
    pub nanosecond: u32,
}

/// A tracking rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rate {
    /// No tracking.
    Off,
    /// The hour axis turns with the stars.
    Sidereal,
}

impl Rate {
    /// Its word on the wire.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::Sidereal => "sidereal",
        }
    }
}

/// Where a go-to goes.
#[derive(Clone, Debug, PartialEq)]
pub enum Aim {
    /// Something of the catalogues.
    Name(String),
    /// A place in the sky.
    Equatorial {
        /// Right ascension, International Celestial Reference System.
        ra: Angle,
        /// Declination.
        dec: Angle,
    },
    /// A direction over the ground, as observed.
    Horizontal {
        /// From north through east.
        azimuth: Angle,
        /// Above the level horizon.
        altitude: Angle,
    },
    /// Dials of an equatorial mount.
    EquatorialAxes {
        /// Hour axis.
        hour: Angle,
        /// Declination axis.
        declination: Angle,
    },
    /// Dials of an alt-azimuth mount.
    HorizontalAxes {
        /// Azimuth axis.
        azimuth: Angle,
        /// Altitude axis.
        altitude: Angle,
    },
}

/// Which of the two positions of a German equatorial mount is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The mount's rule decides.
    Auto,
    /// The direct one.
    Direct,
    /// The one through the pole.
    ThroughPole,
}

impl Side {
    /// Its word on the wire.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Auto => "auto",
            Self::Direct => "direct",
            Self::ThroughPole => "through-pole",
        }
    }
}

/// Which part of the status is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StatusGroup {
    /// What it does, dials, clock.
    Motion,
    /// Where it believes to point.
    Pointing,
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
        let keys = Keys::new(verb, &raw.pairs)?;
        Ok(match verb.name {
            "identify" => Self::Identify,
            "version" => Self::Version,
            "help" => Self::Help(help_topic(raw)?),
            "site" => Self::Site(site(&keys)?),
            "time" => Self::Time(keys.civil_time("utc")?),
            "track" => Self::Track(keys.word("rate")?.map(rate)),
            "goto" => Self::Goto { aim: aim(&keys)?, side: keys.word("solution")?.map_or(Side::Auto, side) },
            "stop" => Self::Stop,
            "status" => Self::Status(match keys.word("group")? {
                Some("pointing") => StatusGroup::Pointing,
                _ => StatusGroup::Motion,
            }),
            "axes" => Self::Axes,
            other => unreachable!("the verb {other} is in the table but is not read"),
        })
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
            Self::Stop => "stop",
            Self::Status(_) => "status",
            Self::Axes => "axes",
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
    match &raw.topic {
        Some(topic) if verbs::find(topic).is_none() => Err(unknown_verb(topic)),
        topic => Ok(topic.clone()),
    }
}

fn site(keys: &Keys<'_>) -> Result<SiteEntry, Refusal> {
    Ok(SiteEntry {
        latitude: keys.angle("latitude")?,
        longitude: keys.angle("longitude")?,
        height: keys.length("height")?,
        pressure: keys.pressure("pressure")?,
        temperature: keys.temperature("temperature")?,
        humidity: keys.share("humidity")?,
    })
}

fn rate(word: &str) -> Rate {
    if word == "off" { Rate::Off } else { Rate::Sidereal }
}

fn side(word: &str) -> Side {
    match word {
        "direct" => Side::Direct,
        "through-pole" => Side::ThroughPole,
        _ => Side::Auto,
    }
}

fn aim(keys: &Keys<'_>) -> Result<Aim, Refusal> {
    keys.exactly_one_of(&[
        &["name"],
        &["ra", "dec"],
        &["azimuth", "altitude"],
        &["hour_axis", "declination_axis"],
        &["azimuth_axis", "altitude_axis"],
    ])?;
    if let Some(name) = keys.text("name") {
        return Ok(Aim::Name(name.to_owned()));
    }
    let pair = |first, second| -> Result<Option<(Angle, Angle)>, Refusal> {
        Ok(keys.angle(first)?.zip(keys.angle(second)?))
    };
    if let Some((ra, dec)) = pair("ra", "dec")? {
        return Ok(Aim::Equatorial { ra, dec });
    }
    if let Some((azimuth, altitude)) = pair("azimuth", "altitude")? {
        return Ok(Aim::Horizontal { azimuth, altitude });
    }
    if let Some((hour, declination)) = pair("hour_axis", "declination_axis")? {
        return Ok(Aim::EquatorialAxes { hour, declination });
    }
    let (azimuth, altitude) = pair("azimuth_axis", "altitude_axis")?
        .unwrap_or_else(|| unreachable!("one of the pairs is there, as was just found"));
    Ok(Aim::HorizontalAxes { azimuth, altitude })
}

#[cfg(test)]
mod tests;
