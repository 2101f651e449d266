//! Civil time: the time of day in a named zone, daylight saving included.
//!
//! Zone rules come with the program (the IANA time zone database inside the crate `jiff`), so that a night means the same on
//! every machine. Where a clock is put forward an hour of names doesn't exist (a gap); where it is put back an hour of names
//! stands for two instants (a fold). Both are refused, with what to write instead, because a guess would be an hour wrong.

#[cfg(test)]
mod tests;

use crate::time::{self, TimeError, Utc};
use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::{AmbiguousOffset, Offset, TimeZone, TimeZoneDatabase};
use std::sync::OnceLock;
use units::{Instant, Span};

/// A time zone with its history and its rules for the future.
#[derive(Clone, Debug)]
pub struct Zone {
    rules: TimeZone,
    name: String,
}

/// A date and time of day without a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Civil {
    /// Year, 1972 to 2100.
    pub year: i32,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
    /// Hour, 0 to 23.
    pub hour: u8,
    /// Minute, 0 to 59.
    pub minute: u8,
    /// Second, 0 to 59, and 60 in a leap second.
    pub second: u8,
    /// Nanosecond, below 1 000 000 000.
    pub nanosecond: u32,
}

/// What clocks in a zone show at an instant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The date and time of day.
    pub civil: Civil,
    /// What is to be added to UTC.
    pub offset: Span,
    /// The zone's short name at that time, such as `CEST`; an offset such as `+03` where it has none.
    pub abbreviation: String,
    /// Whether daylight saving is in force.
    pub daylight_saving: bool,
}

/// Why a civil time or a zone was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ZoneError {
    /// There is no such zone.
    #[error("there is no time zone `{name}`; {}", zone_remedy(.nearest))]
    UnknownZone {
        /// What was asked for, shortened.
        name: String,
        /// A zone that may have been meant.
        nearest: Option<String>,
    },
    /// Clocks were put forward over this time.
    #[error(
        "{civil} doesn't exist in {zone}: clocks went forward from {begins} ({}) to {ends} ({}); give a time outside \
         the gap, or one with its offset from UTC",
        offset_text(*.before), offset_text(*.after)
    )]
    Gap {
        /// The time that doesn't exist.
        civil: Civil,
        /// The zone's name.
        zone: String,
        /// Where the gap begins: the first time of day that doesn't exist.
        begins: Civil,
        /// Where it ends: the first that exists again.
        ends: Civil,
        /// Offset from UTC before the gap.
        before: Span,
        /// Offset from UTC after it.
        after: Span,
        /// The instant at which the clocks went forward.
        instant: Instant,
    },
    /// Clocks were put back over this time, so that it came twice.
    #[error(
        "{civil} came twice in {zone}: {} and {}; write the one that is meant with its offset from UTC, {civil}{} or \
         {civil}{}",
        text_or_range(.earlier.0), text_or_range(.later.0), offset_text(.earlier.1), offset_text(.later.1)
    )]
    Fold {
        /// The time that came twice.
        civil: Civil,
        /// The zone's name.
        zone: String,
        /// The first instant with this name, and the offset from UTC that it has.
        earlier: (Instant, Span),
        /// The second.
        later: (Instant, Span),
    },
    /// The text or the date is wrong, whatever the zone.
    #[error(transparent)]
    Time(#[from] TimeError),
}

fn zone_remedy(nearest: &Option<String>) -> String {
    match nearest {
        Some(name) => format!("did you mean `{name}`?"),
        None => "write a name of the IANA time zone database, such as `Europe/Madrid`, or `UTC`".to_owned(),
    }
}

fn text_or_range(instant: Instant) -> String {
    time::utc_text(instant, 0).unwrap_or_else(|error| error.to_string())
}

/// An offset from UTC as RFC 3339 writes it: `+01:00`; with seconds where an old zone has them.
pub fn offset_text(offset: Span) -> String {
    let seconds = offset.nanoseconds() / 1_000_000_000;
    let sign = if seconds < 0 { '-' } else { '+' };
    let (minutes, rest) = (seconds.abs() / 60, seconds.abs() % 60);
    let text = format!("{sign}{:02}:{:02}", minutes / 60, minutes % 60);
    if rest == 0 { text } else { format!("{text}:{rest:02}") }
}

impl std::fmt::Display for Civil {
    /// `2027-03-06T20:30:00`, with as many decimals as it needs.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The same digits as UTC's, without its mark.
        f.write_str(self.as_utc().to_string().trim_end_matches('Z'))
    }
}

impl Civil {
    /// Reads `2027-03-06T20:30:00.25`; a blank may stand for the `T`, and seconds may be left out.
    ///
    /// # Errors
    /// [`TimeError`] for anything else, an offset from UTC included: such a text needs no zone
    /// ([`Utc::parse`] reads it).
    pub fn parse(text: &str) -> Result<Self, TimeError> {
        let trimmed = text.trim();
        let whole = if trimmed.len() == "2027-03-06T20:30".len() {
            format!("{trimmed}:00Z")
        } else {
            format!("{trimmed}Z")
        };
        // A leap second's local name isn't that of UTC, so the 60 waits until the offset is known.
        let leap = whole.get(16..19) == Some(":60");
        let readable = if leap { format!("{}:59{}", &whole[..16], &whole[19..]) } else { whole };
        let utc = Utc::parse(&readable)?;
        Ok(Self { second: if leap { 60 } else { utc.second }, ..Self::from_utc(&utc) })
    }

    fn as_utc(&self) -> Utc {
        let Self { year, month, day, hour, minute, second, nanosecond } = *self;
        Utc { year, month, day, hour, minute, second, nanosecond }
    }

    fn from_utc(utc: &Utc) -> Self {
        let Utc { year, month, day, hour, minute, second, nanosecond } = *utc;
        Self { year, month, day, hour, minute, second, nanosecond }
    }
}

impl Zone {
    /// The zone of that name (`Europe/Madrid`, `UTC`); case makes no difference.
    ///
    /// # Errors
    /// [`ZoneError::UnknownZone`], with the nearest name.
    pub fn named(name: &str) -> Result<Self, ZoneError> {
        let wanted = name.trim().replace(' ', "_");
        match database().get(&wanted) {
            Ok(rules) => {
                let name = rules.iana_name().unwrap_or(&wanted).to_owned();
                Ok(Self { rules, name })
            }
            Err(_) => {
                let names: Vec<String> = Self::names().collect();
                // Most people leave out the continent: `Madrid` is nearer to `Europe/Madrid` than letters tell.
                let place = |full: &&String| {
                    full.rsplit('/').next().is_some_and(|last| last.eq_ignore_ascii_case(&wanted))
                };
                let by_letters = || units::nearest(&wanted, names.iter().map(String::as_str));
                let nearest = names.iter().find(place).map(String::as_str).or_else(by_letters);
                Err(ZoneError::UnknownZone {
                    name: name.chars().take(40).collect(),
                    nearest: nearest.map(str::to_owned),
                })
            }
        }
    }

    /// The names of all zones, in the order of the alphabet.
    pub fn names() -> impl Iterator<Item = String> {
        database().available().map(|name| name.as_str().to_owned())
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What clocks show at an instant. A leap second keeps its 60.
    ///
    /// # Errors
    /// [`TimeError::OutOfRange`] outside 1972 to 2100.
    pub fn reading(&self, instant: Instant) -> Result<Reading, TimeError> {
        let utc = time::utc_from_instant(instant)?;
        let stamp = timestamp(&utc);
        let info = self.rules.to_offset_info(stamp);
        let shown = info.offset().to_datetime(stamp);
        let mut civil = civil_of(&shown, utc.nanosecond);
        if utc.second == 60 && civil.second == 59 {
            civil.second = 60;
        }
        Ok(Reading {
            civil,
            offset: span_of(info.offset()),
            abbreviation: info.abbreviation().to_owned(),
            daylight_saving: info.dst().is_dst(),
        })
    }

    /// The instant of a civil time.
    ///
    /// # Errors
    /// [`ZoneError::Gap`], [`ZoneError::Fold`], or [`ZoneError::Time`] for a date or time that doesn't exist anywhere and
    /// for years outside 1972 to 2100.
    pub fn instant(&self, civil: &Civil) -> Result<Instant, ZoneError> {
        // Dates and times are judged by the one place that knows how to say what is wrong with them. The leap second is
        // judged by its name in UTC, below.
        let without_leap = Civil { second: civil.second.min(59), ..*civil };
        if civil.second > 60 {
            return Err(civil
                .as_utc()
                .checked()
                .map_or_else(ZoneError::from, |_| unreachable!("no such second")));
        }
        without_leap.as_utc().checked()?;
        let local = date_time(&without_leap);
        match self.rules.to_ambiguous_timestamp(local).offset() {
            AmbiguousOffset::Unambiguous { offset } => at_offset(civil, offset),
            AmbiguousOffset::Gap { before, after } => Err(self.gap(civil, local, before, after)),
            AmbiguousOffset::Fold { before, after } => Err(ZoneError::Fold {
                civil: *civil,
                zone: self.name.clone(),
                earlier: (at_offset(civil, before)?, span_of(before)),
                later: (at_offset(civil, after)?, span_of(after)),
            }),
        }
    }

    fn gap(&self, civil: &Civil, local: DateTime, before: Offset, after: Offset) -> ZoneError {
        // With the offset from before the gap, the name falls after the change; the last change before it is the one.
        let beyond = before.to_timestamp(local).expect("checked dates lie within the library's range");
        let next = Timestamp::from_second(beyond.as_second() + 1).expect("within the library's range");
        let change =
            self.rules.preceding(next).next().expect("there is a change where there is a gap").timestamp();
        match at_offset(&civil_of(&before.to_datetime(change), 0), before) {
            Ok(instant) => ZoneError::Gap {
                civil: *civil,
                zone: self.name.clone(),
                begins: civil_of(&before.to_datetime(change), 0),
                ends: civil_of(&after.to_datetime(change), 0),
                before: span_of(before),
                after: span_of(after),
                instant,
            },
            Err(error) => error,
        }
    }
}

impl Reading {
    /// `2027-03-06T20:30:00+01:00 CET`, with `decimals` digits (0 to 9) of the second, cut off rather than rounded, so that a
    /// reading never shows a time that hasn't come.
    pub fn text(&self, decimals: usize) -> String {
        let whole = Civil { nanosecond: 0, ..self.civil };
        let digits = format!("{:09}", self.civil.nanosecond);
        let point = if decimals == 0 { "" } else { "." };
        let fraction = &digits[..decimals.min(9)];
        format!("{whole}{point}{fraction}{} {}", offset_text(self.offset), self.abbreviation)
    }
}

/// The zones inside the program; what the machine has is never looked at.
fn database() -> &'static TimeZoneDatabase {
    static DATABASE: OnceLock<TimeZoneDatabase> = OnceLock::new();
    DATABASE.get_or_init(TimeZoneDatabase::bundled)
}

/// The instant of a civil time with a known offset.
fn at_offset(civil: &Civil, offset: Offset) -> Result<Instant, ZoneError> {
    let leap = civil.second == 60;
    let local = date_time(&Civil { second: civil.second.min(59), ..*civil });
    let stamp = offset.to_timestamp(local).expect("checked dates lie within the library's range");
    let mut utc = Civil::as_utc(&civil_of(&Offset::UTC.to_datetime(stamp), civil.nanosecond));
    if leap {
        utc.second += 1;
    }
    Ok(time::instant_from_utc(&utc)?)
}

/// The library's count has no leap seconds: a leap second counts as the second before it.
fn timestamp(utc: &Utc) -> Timestamp {
    let second = utc.second.min(59);
    let civil = Civil { second, ..Civil::from_utc(utc) };
    Offset::UTC.to_timestamp(date_time(&civil)).expect("checked dates lie within the library's range")
}

fn date_time(civil: &Civil) -> DateTime {
    let small = |value: u8| i8::try_from(value).expect("checked parts of a date are below 60");
    let year = i16::try_from(civil.year).expect("checked years have four digits");
    DateTime::new(
        year,
        small(civil.month),
        small(civil.day),
        small(civil.hour),
        small(civil.minute),
        small(civil.second),
        0,
    )
    .expect("the date and time were checked")
}

fn civil_of(shown: &DateTime, nanosecond: u32) -> Civil {
    let small = |value: i8| u8::try_from(value).expect("parts of a date are positive");
    Civil {
        year: i32::from(shown.year()),
        month: small(shown.month()),
        day: small(shown.day()),
        hour: small(shown.hour()),
        minute: small(shown.minute()),
        second: small(shown.second()),
        nanosecond,
    }
}

fn span_of(offset: Offset) -> Span {
    Span::from_whole_seconds(i64::from(offset.seconds()))
}
