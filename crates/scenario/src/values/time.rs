//! When: the begin of the night, and times of day within it.

use crate::complaint::ComplaintKind;
use crate::reader::{Node, Reader, describe};
use crate::value::{Form, Item, Shape, Value};
use crate::values::text;
use toml::de::DeValue;
use toml::value::{Datetime, Offset};
use units::Instant;

/// A civil date-time with its offset from UTC: the true instant at which the night begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Begin {
    /// Year of the offset's calendar, 1972 to 2100.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, 1 to 31.
    pub day: u8,
    /// Time of day in the offset's clock.
    pub time: TimeOfDay,
    /// Minutes by which the offset's clock is ahead of UTC.
    pub offset_minutes: i16,
}

/// A date outside the years that are served, or a 60th second where there was no leap second.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct CalendarError(pub String);

/// A time of day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TimeOfDay {
    /// 0 to 23.
    pub hour: u8,
    /// 0 to 59.
    pub minute: u8,
    /// 0 to 59, 60 in a leap second.
    pub second: u8,
    /// 0 to 999 999 999.
    pub nanosecond: u32,
}

impl std::fmt::Display for TimeOfDay {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:02}:{:02}:{:02}", self.hour, self.minute, self.second)?;
        if self.nanosecond > 0 {
            let digits = format!("{:09}", self.nanosecond);
            write!(f, ".{}", digits.trim_end_matches('0'))?;
        }
        Ok(())
    }
}

impl std::fmt::Display for Begin {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-{:02}-{:02}T{}", self.year, self.month, self.day, self.time)?;
        let size = self.offset_minutes.unsigned_abs();
        let sign = if self.offset_minutes < 0 { '-' } else { '+' };
        write!(f, "{sign}{:02}:{:02}", size / 60, size % 60)
    }
}

/// Days from 1970-01-01 to a date of the Gregorian calendar (the usual integer algorithm; years from 1 March).
fn days_from_civil(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let century = year.div_euclid(400);
    let of_century = year.rem_euclid(400);
    let day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    century * 146_097 + of_century * 365 + of_century / 4 - of_century / 100 + day_of_year - 719_468
}

/// The date of a day number since 1970-01-01.
fn civil_from_days(days: i64) -> (i32, u8, u8) {
    let shifted = days + 719_468;
    let century = shifted.div_euclid(146_097);
    let of_century = shifted.rem_euclid(146_097);
    let year = (of_century - of_century / 1460 + of_century / 36_524 - of_century / 146_096) / 365;
    let day_of_year = of_century - (365 * year + year / 4 - year / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = (day_of_year - (153 * month_from_march + 2) / 5 + 1) as u8;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 } as u8;
    let year = century * 400 + year + i64::from(month <= 2);
    (year as i32, month, day)
}

impl Begin {
    /// The instant.
    ///
    /// # Errors
    /// [`CalendarError`] outside 1972 to 2100, or for a 60th second that never was.
    pub fn instant(&self) -> Result<Instant, CalendarError> {
        instant(self.utc_day_and_minute(), self.time)
    }

    /// The first instant at or after the begin at which a clock set to the begin's offset shows `time`.
    ///
    /// # Errors
    /// [`CalendarError`] as for [`Begin::instant`].
    pub fn next(&self, time: TimeOfDay) -> Result<Instant, CalendarError> {
        let day = days_from_civil(i64::from(self.year), i64::from(self.month), i64::from(self.day));
        let day = if time < self.time { day + 1 } else { day };
        instant(self.to_utc(day, time), time)
    }

    fn utc_day_and_minute(&self) -> (i64, i64) {
        let day = days_from_civil(i64::from(self.year), i64::from(self.month), i64::from(self.day));
        self.to_utc(day, self.time)
    }

    /// The day number and minute of the day in UTC.
    fn to_utc(self, day: i64, time: TimeOfDay) -> (i64, i64) {
        let minute = i64::from(time.hour) * 60 + i64::from(time.minute) - i64::from(self.offset_minutes);
        (day + minute.div_euclid(1440), minute.rem_euclid(1440))
    }
}

/// The instant of a UTC day and minute with the seconds of a time of day.
fn instant((day, minute): (i64, i64), time: TimeOfDay) -> Result<Instant, CalendarError> {
    let (year, month, day) = civil_from_days(day);
    let utc = sky::time::Utc {
        year,
        month,
        day,
        hour: (minute / 60) as u8,
        minute: (minute % 60) as u8,
        second: time.second,
        nanosecond: time.nanosecond,
    };
    sky::time::instant_from_utc(&utc).map_err(|error| CalendarError(error.to_string()))
}

impl Value for Begin {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let good = "2027-03-06T20:30:00+01:00";
        let DeValue::Datetime(found) = node.value else {
            let what = describe(node.value);
            let problem = format!("this is {what}, not a date-time");
            let expected = format!("write a date-time with its offset and without quotes, such as {good}");
            reader.at(node, ComplaintKind::WrongType, problem, expected);
            return None;
        };
        let Some(begin) = from_toml(found) else {
            let problem =
                format!("`{}` names no instant: its offset from UTC is missing", reader.token(&node.span));
            let expected = format!(
                "write date, time and offset, such as {good}; a local time alone would depend on zone rules"
            );
            reader.at(node, ComplaintKind::WrongType, problem, expected);
            return None;
        };
        if !(1972..=2100).contains(&begin.year) {
            let problem = format!("the year {} is out of range", begin.year);
            let expected =
                "expected 1972 to 2100: before, UTC had no leap seconds; after, nothing is promised";
            reader.at(node, ComplaintKind::OutOfRange, problem, expected);
            return None;
        }
        if !(-12 * 60..=14 * 60).contains(&begin.offset_minutes) {
            let problem = "this offset from UTC is used nowhere";
            reader.at(node, ComplaintKind::OutOfRange, problem, "expected -12:00 to +14:00");
            return None;
        }
        if let Err(error) = begin.instant() {
            reader.at(
                node,
                ComplaintKind::OutOfRange,
                error.0,
                "expected an instant of UTC from 1972 to 2100",
            );
            return None;
        }
        Some(begin)
    }

    fn print(&self, _form: Form) -> Item {
        Item::Atom(self.to_string())
    }

    fn shape() -> Shape {
        Shape::OffsetDateTime
    }
}

/// The parts of a TOML date-time, if it has all three.
fn from_toml(found: &Datetime) -> Option<Begin> {
    let (date, time, offset) = (found.date?, found.time?, found.offset?);
    let offset_minutes = match offset {
        Offset::Z => 0,
        Offset::Custom { minutes } => minutes,
    };
    let time = TimeOfDay {
        hour: time.hour,
        minute: time.minute,
        second: time.second.unwrap_or(0),
        nanosecond: time.nanosecond.unwrap_or(0),
    };
    Some(Begin { year: date.year, month: date.month, day: date.day, time, offset_minutes })
}

impl Value for TimeOfDay {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let text = text(node, reader, "a time of day in quotes", "\"23:40\"")?;
        let read = parse_time_of_day(text.trim());
        if read.is_none() {
            let problem = format!("{} is no time of day", reader.token(&node.span));
            let expected = "write hours and minutes, or seconds too, such as \"23:40\" or \"23:40:15\"";
            reader.at(node, ComplaintKind::WrongQuantity, problem, expected);
        }
        read
    }

    fn print(&self, _form: Form) -> Item {
        Item::Atom(format!("\"{self}\""))
    }

    fn shape() -> Shape {
        Shape::TimeOfDay
    }

    fn from_time(time: TimeOfDay) -> Option<Self> {
        Some(time)
    }
}

/// `hh:mm`, `hh:mm:ss` or `hh:mm:ss.fff`, with up to nine decimals.
fn parse_time_of_day(text: &str) -> Option<TimeOfDay> {
    let two = |part: &str, below: u8| {
        let good = part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
        part.parse::<u8>().ok().filter(|value| good && *value < below)
    };
    let (clock, fraction) = match text.split_once('.') {
        Some((clock, fraction)) => (clock, Some(fraction)),
        None => (text, None),
    };
    let parts: Vec<&str> = clock.split(':').collect();
    let second = match parts.as_slice() {
        [_, _] if fraction.is_none() => 0,
        [_, _, second] => two(second, 60)?,
        _ => return None,
    };
    let nanosecond = match fraction {
        None => 0,
        Some(digits) if (1..=9).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit()) => {
            format!("{digits:0<9}").parse().ok()?
        }
        Some(_) => return None,
    };
    Some(TimeOfDay { hour: two(parts[0], 24)?, minute: two(parts[1], 60)?, second, nanosecond })
}
