//! Writing a request as the line that reads back to it.

use super::{
    Aim, AxisEntry, CivilTime, ClockEntry, ErrorsEntry, FaultEntry, FaultsEntry, LimitsEntry, NudgeEnd,
    RankEntry, Rate, Replaced, Request, Seen, Side, SiteEntry, Strikes,
};
use super::{StatusGroup, TrackEntry};
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
        let text = |word: &str| word.to_owned();
        match self {
            Self::Help(topic) => raw.topic = topic.clone(),
            Self::Site(entry) => push_site(&mut raw, entry),
            Self::Time(time) => push_some(&mut raw, "utc", time.map(|time| time.to_string())),
            Self::Track(entry) => push_track(&mut raw, entry),
            Self::Goto { aim, side } => push_goto(&mut raw, aim, *side),
            Self::Nudge { direction, rate, end } => {
                push(&mut raw, "direction", text(direction.word()));
                push(&mut raw, "rate", text(rate.word()));
                match *end {
                    NudgeEnd::For(span) => push_quantity(&mut raw, "for", Some(span), "ns"),
                    NudgeEnd::Held(hold) => push_quantity(&mut raw, "hold", hold, "ns"),
                }
            }
            Self::Guide { direction, span } => {
                push(&mut raw, "direction", text(direction.word()));
                push_quantity(&mut raw, "for", Some(*span), "ns");
            }
            Self::GuideRate(rate) => push_quantity(&mut raw, "rate", *rate, "arcsec/s"),
            Self::Sync(Seen::Name(name)) => push(&mut raw, "name", name.clone()),
            Self::Sync(Seen::Equatorial { ra, dec }) => {
                push_quantity(&mut raw, "ra", Some(*ra), "deg");
                push_quantity(&mut raw, "dec", Some(*dec), "deg");
            }
            Self::Align(entry) => {
                push_some(&mut raw, "method", entry.method.map(|method| text(method.word())));
                push_some(&mut raw, "estimator", entry.estimator.map(|estimator| text(estimator.word())));
            }
            Self::Propose { next, purpose } => {
                push_some(&mut raw, "next", next.then(|| text("yes")));
                push(&mut raw, "for", text(purpose.word()));
            }
            Self::Questions(entry) => push_some(&mut raw, "entry", entry.map(|entry| entry.to_string())),
            Self::Moved(part) => push(&mut raw, "part", text(part.word())),
            Self::Verify(name) | Self::PolarOffset(name) | Self::PolarDone(name) => {
                push(&mut raw, "name", name.clone())
            }
            Self::NextStar(RankEntry { entry, by }) => {
                push(&mut raw, "entry", entry.to_string());
                push(&mut raw, "criterion", text(by.word()));
            }
            Self::Sight(entry) => {
                push(&mut raw, "name", entry.name.clone());
                if entry.replaces != Replaced::None {
                    push(&mut raw, "replaces", text(entry.replaces.word()));
                }
                push_some(&mut raw, "anyway", entry.anyway.then(|| text("yes")));
            }
            Self::Sightings(entry) => push_some(&mut raw, "entry", entry.map(|entry| entry.to_string())),
            Self::Forget { entry } => push(&mut raw, "entry", entry.to_string()),
            Self::Keep(which) => push_some(&mut raw, "alignment", which.map(|which| text(which.word()))),
            Self::Model(term) => push_some(&mut raw, "term", term.clone()),
            Self::Record { turns } => push(&mut raw, "turns", turns.to_string()),
            Self::Playback(state) => {
                push_some(&mut raw, "state", state.map(|on| text(if on { "on" } else { "off" })));
            }
            Self::MeasurePlay(entry) => {
                push(&mut raw, "name", entry.name.clone());
                push(&mut raw, "centring", text(entry.centring.word()));
                push_some(&mut raw, "set", entry.set.then(|| text("yes")));
            }
            Self::Approach(entry) => {
                push_some(&mut raw, "final", entry.last.map(|last| text(last.word())));
                push_quantity(&mut raw, "overshoot", entry.overshoot, "deg");
            }
            Self::TakeUp(entry) => push_axes(&mut raw, entry),
            Self::Solution(choice) => push_some(&mut raw, "choice", choice.map(|choice| text(choice.word()))),
            Self::Meridian(entry) => {
                push_some(&mut raw, "policy", entry.policy.map(|policy| text(policy.word())));
                push_quantity(&mut raw, "over_run", entry.over_run, "deg");
            }
            Self::Limits(entry) => push_limits(&mut raw, entry),
            Self::Horizon(level) => push_quantity(&mut raw, "level", *level, "deg"),
            Self::Sun(radius) => push_quantity(&mut raw, "radius", *radius, "deg"),
            Self::Status(StatusGroup::Pointing) => push(&mut raw, "group", text("pointing")),
            Self::Await { job, within } => {
                push(&mut raw, "job", job.to_string());
                push_quantity(&mut raw, "within", Some(*within), "ns");
            }
            Self::Cancel { job } => push(&mut raw, "job", job.to_string()),
            Self::Errors(ErrorsEntry::Show(entry)) => {
                push_some(&mut raw, "entry", entry.map(|entry| entry.to_string()));
            }
            Self::Events(entry) => {
                push_some(&mut raw, "kind", entry.kind.map(|kind| text(kind.word())));
                push_some(&mut raw, "show", entry.show.map(|show| text(if show { "on" } else { "off" })));
            }
            Self::Controls(action) => push_some(&mut raw, "action", action.map(|action| text(action.word()))),
            Self::Errors(ErrorsEntry::Clear) => push(&mut raw, "clear", text("yes")),
            Self::Checks(demand) => {
                push_some(&mut raw, "demand", demand.map(|demand| text(if demand { "yes" } else { "no" })));
            }
            Self::Clock(ClockEntry::By(by)) => push_quantity(&mut raw, "by", Some(*by), "ns"),
            Self::Clock(ClockEntry::UntilEvent(within)) => {
                push(&mut raw, "until", text("event"));
                push_quantity(&mut raw, "within", Some(*within), "ns");
            }
            Self::Fault(entry) => push_fault(&mut raw, entry),
            Self::Faults(FaultsEntry::Show(entry)) => {
                push_some(&mut raw, "entry", entry.map(|entry| entry.to_string()));
            }
            Self::Faults(FaultsEntry::Clear(entry)) => {
                push_some(&mut raw, "entry", entry.map(|entry| entry.to_string()));
                push(&mut raw, "clear", text("yes"));
            }
            Self::Identify
            | Self::Version
            | Self::Release
            | Self::Stop
            | Self::Park
            | Self::Unpark
            | Self::Home
            | Self::Status(StatusGroup::Motion)
            | Self::Axes
            | Self::PolarAxis
            | Self::Jobs
            | Self::Clock(ClockEntry::Show) => {}
        }
        raw
    }
}

fn push(raw: &mut RawRequest, key: &str, value: String) {
    raw.pairs.push(Pair { key: key.to_owned(), value, column: 0 });
}

fn push_some(raw: &mut RawRequest, key: &str, value: Option<String>) {
    if let Some(value) = value {
        push(raw, key, value);
    }
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

fn push_track(raw: &mut RawRequest, entry: &TrackEntry) {
    push_some(raw, "rate", entry.rate.map(|rate| rate.word().to_owned()));
    if let Some(Rate::Custom { hour, declination }) = entry.rate {
        push_quantity(raw, "hour", Some(hour), "arcsec/s");
        push_quantity(raw, "declination", Some(declination), "arcsec/s");
    }
    push_some(raw, "axes", entry.axes.map(|axes| axes.word().to_owned()));
}

fn push_axes(raw: &mut RawRequest, entry: &AxisEntry) {
    push_quantity(raw, "hour_axis", entry.hour, "deg");
    push_quantity(raw, "declination_axis", entry.declination, "deg");
    push_quantity(raw, "azimuth_axis", entry.azimuth, "deg");
    push_quantity(raw, "altitude_axis", entry.altitude, "deg");
}

fn push_fault(raw: &mut RawRequest, entry: &FaultEntry) {
    push(raw, "kind", entry.kind.word().to_owned());
    push_some(raw, "direction", entry.direction.map(|direction| direction.word().to_owned()));
    push_quantity(raw, "after", entry.after, "s");
    push_quantity(raw, "for", entry.lasts, "s");
    match &entry.strikes {
        Strikes::All => {}
        Strikes::Every(count) => push(raw, "every", count.to_string()),
        Strikes::Nth(number) => push(raw, "nth", number.to_string()),
        Strikes::Line(text) => push(raw, "line", text.clone()),
        Strikes::Rate { rate, correlation } => {
            push_quantity(raw, "rate", Some(*rate), "%");
            push_quantity(raw, "correlation", *correlation, "%");
        }
    }
    push_some(raw, "burst", entry.burst.map(|count| count.to_string()));
    push_some(raw, "axis", entry.axis.map(|axis| axis.word().to_owned()));
    push_quantity(raw, "angle", entry.angle, "deg");
    push_quantity(raw, "by", entry.by, "s");
    push_quantity(raw, "delay", entry.delay, "s");
    push_quantity(raw, "jitter", entry.jitter, "s");
    push_some(raw, "bytes", entry.bytes.map(|count| count.to_string()));
    push_some(raw, "baud", entry.baud.map(|count| count.to_string()));
}

fn push_limits(raw: &mut RawRequest, entry: &LimitsEntry) {
    push_quantity(raw, "lowest", entry.lowest, "deg");
    push_quantity(raw, "highest", entry.highest, "deg");
    push_quantity(raw, "cable_wrap", entry.cable_wrap, "deg");
    push_quantity(raw, "zenith_zone", entry.zenith_zone, "deg");
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
