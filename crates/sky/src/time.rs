//! Time scales: civil time (UTC with its leap seconds), atomic time, Terrestrial Time, the Earth's rotation.
//!
//! The program's clock is [`Instant`], nanoseconds of International Atomic Time (TAI). Civil time is known from 1972,
//! when UTC got its present form, to the end of 2100; after the last leap second that has been announced
//! (2016-12-31) TAI − UTC stays 37 s, because nobody can know better.

#[cfg(test)]
mod tests;
mod text;

use crate::library::{self, JulianDate};
use thiserror::Error;
use units::{Instant, Span, maths};

pub use text::utc_text;

/// First and last year for which civil time is known here.
pub const YEARS: std::ops::RangeInclusive<i32> = 1972..=2100;

const NANOSECONDS_PER_DAY: i64 = 86_400_000_000_000;
const NANOSECONDS_PER_SECOND: i64 = 1_000_000_000;
/// Modified Julian day number of 2000-01-01, at whose noon instants begin to count.
const DAY_OF_J2000: i64 = 51_544;
/// Terrestrial Time − TAI (IAU 1991).
const TT_MINUS_TAI: i64 = 32_184_000_000;

/// Why a civil time was refused.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum TimeError {
    /// The text isn't a date and time of RFC 3339.
    #[error(
        "`{text}` is no date and time: {expected} was expected at character {at}; write it as \
         2027-03-06T19:30:00Z, or with an offset from UTC as 2027-03-06T20:30:00+01:00"
    )]
    NotADateTime {
        /// What was given, shortened.
        text: String,
        /// Where it went wrong, characters from 1.
        at: usize,
        /// What should have stood there.
        expected: &'static str,
    },
    /// The calendar or the clock has no such date or time.
    #[error("there is no {what}; {mend}")]
    NoSuchTime {
        /// The part that doesn't exist.
        what: String,
        /// What can be given instead.
        mend: &'static str,
    },
    /// The year lies outside [`YEARS`].
    #[error("the year {year} is out of range: civil time is known here from 1972 to 2100")]
    OutOfRange {
        /// The year that was asked for.
        year: i64,
    },
}

/// A moment of Coordinated Universal Time, leap seconds with their own name (second 60).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Utc {
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

impl Utc {
    /// Reads a date and time of RFC 3339: `2027-03-06T19:30:00.25Z`, or with an offset (`+01:00`); a blank may stand
    /// for the `T`. Digits beyond nanoseconds are dropped. A leap second keeps its 60.
    pub fn parse(text: &str) -> Result<Self, TimeError> {
        text::parse(text)
    }

    /// Checks every part against the calendar, the clock and the table of leap seconds.
    pub fn checked(self) -> Result<Self, TimeError> {
        let clock = format!("{:02}:{:02}:{:02}", self.hour, self.minute, self.second);
        if !YEARS.contains(&self.year) {
            return Err(TimeError::OutOfRange { year: i64::from(self.year) });
        }
        let Some(day) = library::day_number(self.year, self.month, self.day) else {
            return Err(TimeError::NoSuchTime {
                what: format!("date {:04}-{:02}-{:02}", self.year, self.month, self.day),
                mend: "give a day of the calendar, as year-month-day",
            });
        };
        if self.hour > 23 || self.minute > 59 || self.second > 60 || self.nanosecond > 999_999_999 {
            return Err(TimeError::NoSuchTime {
                what: format!("time {clock}"),
                mend: "hours go to 23, minutes and seconds to 59",
            });
        }
        let last_minute = (self.hour, self.minute) == (23, 59);
        if self.second == 60 && !(last_minute && day_seconds(day) > 86_400) {
            return Err(TimeError::NoSuchTime {
                what: format!("leap second {:04}-{:02}-{:02} {clock}", self.year, self.month, self.day),
                mend: "leap seconds end a few days of June or December, the last of them 2016-12-31",
            });
        }
        Ok(self)
    }
}

impl std::fmt::Display for Utc {
    /// RFC 3339 with as many decimals as it needs.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let decimals = format!("{:09}", self.nanosecond);
        let decimals = decimals.trim_end_matches('0');
        f.write_str(&text::with_decimals(self, decimals))
    }
}

/// TAI − UTC in seconds on a modified Julian day.
fn leap_seconds(day: i64) -> i64 {
    let (year, month, day) = library::civil_day(day);
    library::leap_seconds(year, month, day)
}

/// Length of a UTC day in seconds: 86 400, or 86 401 with a leap second.
fn day_seconds(day: i64) -> i64 {
    86_400 + leap_seconds(day + 1) - leap_seconds(day)
}

/// The instant at which a UTC day begins.
fn day_begin(day: i64) -> i64 {
    (day - DAY_OF_J2000) * NANOSECONDS_PER_DAY - NANOSECONDS_PER_DAY / 2
        + leap_seconds(day) * NANOSECONDS_PER_SECOND
}

/// The instant of a civil time.
pub fn instant_from_utc(utc: &Utc) -> Result<Instant, TimeError> {
    let utc = utc.checked()?;
    let day = library::day_number(utc.year, utc.month, utc.day).expect("the date was checked");
    let seconds = (i64::from(utc.hour) * 60 + i64::from(utc.minute)) * 60 + i64::from(utc.second);
    let nanoseconds = seconds * NANOSECONDS_PER_SECOND + i64::from(utc.nanosecond);
    Ok(Instant::from_nanoseconds(day_begin(day) + nanoseconds))
}

/// The civil time of an instant, from 1972 to 2100.
pub fn utc_from_instant(instant: Instant) -> Result<Utc, TimeError> {
    let (day, within) = utc_day(instant)?;
    let (year, month, day_of_month) = library::civil_day(day);
    let seconds = within / NANOSECONDS_PER_SECOND;
    // The minute that holds a leap second is the day's last and runs to 61 seconds.
    let minutes = (seconds / 60).min(24 * 60 - 1);
    Ok(Utc {
        year,
        month,
        day: day_of_month,
        hour: (minutes / 60) as u8,
        minute: (minutes % 60) as u8,
        second: (seconds - minutes * 60) as u8,
        nanosecond: (within % NANOSECONDS_PER_SECOND) as u32,
    })
}

/// The UTC day (modified Julian day number) of an instant and the nanoseconds since it began.
fn utc_day(instant: Instant) -> Result<(i64, i64), TimeError> {
    // Read as if it were civil time, an instant is at most 37 s fast, so the day is this one or the one before.
    let nanoseconds = i128::from(instant.nanoseconds()) + i128::from(NANOSECONDS_PER_DAY / 2);
    let mut day = DAY_OF_J2000 + nanoseconds.div_euclid(i128::from(NANOSECONDS_PER_DAY)) as i64;
    let first = library::day_number(*YEARS.start(), 1, 1).expect("a day of the calendar");
    let end = library::day_number(*YEARS.end() + 1, 1, 1).expect("a day of the calendar");
    let out_of_range = |day: i64| TimeError::OutOfRange { year: i64::from(library::civil_day(day).0) };
    if !(first..=end).contains(&day) {
        return Err(out_of_range(day));
    }
    if instant.nanoseconds() < day_begin(day) {
        day -= 1;
    }
    if !(first..end).contains(&day) {
        return Err(out_of_range(day));
    }
    Ok((day, instant.nanoseconds() - day_begin(day)))
}

/// TAI − UTC on a civil day, from the library's table of leap seconds; 37 s from 2017 on.
pub fn tai_minus_utc(year: i32, month: u8, day: u8) -> Result<Span, TimeError> {
    Utc { year, month, day, hour: 0, minute: 0, second: 0, nanosecond: 0 }.checked()?;
    Ok(Span::from_whole_seconds(library::leap_seconds(year, month, day)))
}

/// UT1 − TAI as it is held through a night: from UT1 − UTC at its begin (below 0.9 s, 0 where nobody says), and the
/// leap seconds of that day. It stays what it is even if a leap second falls into the night, because the Earth's
/// rotation doesn't jump when civil time does.
pub fn ut1_minus_tai(begin: Instant, ut1_minus_utc: Span) -> Result<Span, TimeError> {
    let (day, _) = utc_day(begin)?;
    Ok(ut1_minus_utc - Span::from_whole_seconds(leap_seconds(day)))
}

/// A count of nanoseconds from noon of 2000-01-01 in a scale, as a Julian date in two parts: whole days and the rest.
fn julian(nanoseconds: i128) -> JulianDate {
    let day = i128::from(NANOSECONDS_PER_DAY);
    let days = nanoseconds.div_euclid(day);
    let rest = (nanoseconds - days * day) as f64;
    (library::J2000 + days as f64, rest / NANOSECONDS_PER_DAY as f64)
}

/// Julian date of TAI in two parts, days and fraction.
pub fn julian_tai(instant: Instant) -> (f64, f64) {
    julian(i128::from(instant.nanoseconds()))
}

/// Julian date of Terrestrial Time in two parts, days and fraction.
pub fn julian_tt(instant: Instant) -> (f64, f64) {
    julian(i128::from(instant.nanoseconds()) + i128::from(TT_MINUS_TAI))
}

/// Julian date of UT1 in two parts, days and fraction.
pub fn julian_ut1(instant: Instant, ut1_minus_tai: Span) -> (f64, f64) {
    julian(i128::from(instant.nanoseconds()) + i128::from(ut1_minus_tai.nanoseconds()))
}

/// Decimal year of an instant (365.25 days to the year from 2000.0), as magnetic and star catalogues count.
pub fn julian_year(instant: Instant) -> f64 {
    let (day, fraction) = julian_tt(instant);
    2000.0 + ((day - library::J2000) + fraction) / library::DAYS_PER_YEAR
}

/// Rounds an instant to a multiple of 10⁻ᵈᵉᶜⁱᵐᵃˡˢ seconds.
fn rounded(instant: Instant, decimals: usize) -> Instant {
    let step = maths::round(maths::pow(10.0, 9.0 - decimals.min(9) as f64)) as i64;
    let nanoseconds = instant.nanoseconds();
    let up = nanoseconds.saturating_add(step / 2);
    Instant::from_nanoseconds(up.saturating_sub(up.rem_euclid(step)))
}
