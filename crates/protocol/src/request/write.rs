//! Writing a request as the line that reads back to it.

use super::{Aim, CivilTime, Rate, Request, Side, SiteEntry, StatusGroup};
use crate::grammar::{Pair, RawRequest, Tag};
use std::fmt;
use units::Quantity;

impl Request {
    /// As a line without tag and check; reading it gives the same request, to the bit of every number.
    pub fn to_line(&self) -> String {
        self.to_raw(None).to_line()
    }

    /// As its words, with a tag.
    pub fn to_raw(&self, tag: Option<Tag>) -> RawRequest {
        let mut raw = RawRequest { tag, verb: self.verb().to_owned(), topic: None, pairs: Vec::new() };
        match self {
            Self::Help(topic) => raw.topic = topic.clone(),
            Self::Site(entry) => push_site(&mut raw, entry),
            Self::Time(Some(time)) => push(&mut raw, "utc", time.to_string()),
            Self::Track(Some(rate)) => push(&mut raw, "rate", Rate::word(*rate).to_owned()),
            Self::Goto { aim, side } => push_goto(&mut raw, aim, *side),
            Self::Status(StatusGroup::Pointing) => push(&mut raw, "group", "pointing".to_owned()),
            Self::Status(StatusGroup::Motion)
            | Self::Time(None)
            | Self::Track(None)
            | Self::Identify
            | Self::Version
            | Self::Stop
            | Self::Axes => {}
        }
        raw
    }
}

fn push(raw: &mut RawRequest, key: &str, value: String) {
    raw.pairs.push(Pair { key: key.to_owned(), value, column: 0 });
}

fn push_quantity<Q: Quantity>(raw: &mut RawRequest, key: &str, value: Option<Q>, unit: &str) {
    if let Some(value) = value {
        push(raw, key, value.text_in(unit));
    }
}

fn push_site(raw: &mut RawRequest, entry: &SiteEntry) {
    push_quantity(raw, "latitude", entry.latitude, "deg");
    push_quantity(raw, "longitude", entry.longitude, "deg");
    push_quantity(raw, "height", entry.height, "m");
    push_quantity(raw, "pressure", entry.pressure, "hPa");
    push_quantity(raw, "temperature", entry.temperature, "degC");
    push_quantity(raw, "humidity", entry.humidity, "%");
}

fn push_goto(raw: &mut RawRequest, aim: &Aim, side: Side) {
    let mut pair = |first, a, second, b| {
        push_quantity(raw, first, Some(a), "deg");
        push_quantity(raw, second, Some(b), "deg");
    };
    match aim {
        Aim::Name(name) => push(raw, "name", name.clone()),
        Aim::Equatorial { ra, dec } => pair("ra", *ra, "dec", *dec),
        Aim::Horizontal { azimuth, altitude } => pair("azimuth", *azimuth, "altitude", *altitude),
        Aim::EquatorialAxes { hour, declination } => {
            pair("hour_axis", *hour, "declination_axis", *declination)
        }
        Aim::HorizontalAxes { azimuth, altitude } => {
            pair("azimuth_axis", *azimuth, "altitude_axis", *altitude)
        }
    }
    if side != Side::Auto {
        push(raw, "solution", side.word().to_owned());
    }
}

impl fmt::Display for CivilTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { year, month, day, hour, minute, second, nanosecond } = self;
        write!(f, "{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}")?;
        if *nanosecond > 0 {
            let digits = format!("{nanosecond:09}");
            write!(f, ".{}", digits.trim_end_matches('0'))?;
        }
        f.write_str("Z")
    }
}
