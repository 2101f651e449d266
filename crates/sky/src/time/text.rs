//! Civil time as text (RFC 3339).

use super::{TimeError, Utc, rounded, utc_from_instant};
use crate::library;
use units::Instant;

/// The civil time of an instant as RFC 3339 with `decimals` digits (0 to 9) after the point of seconds, rounded to the
/// nearest; a leap second keeps its 60.
pub fn utc_text(instant: Instant, decimals: usize) -> Result<String, TimeError> {
    let utc = utc_from_instant(rounded(instant, decimals))?;
    let digits = format!("{:09}", utc.nanosecond);
    Ok(with_decimals(&utc, &digits[..decimals.min(9)]))
}

/// RFC 3339 with the given decimals of the second.
pub(super) fn with_decimals(utc: &Utc, decimals: &str) -> String {
    let Utc { year, month, day, hour, minute, second, .. } = utc;
    let point = if decimals.is_empty() { "" } else { "." };
    format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}{point}{decimals}Z")
}

/// Reads the text from left to right and remembers where it is.
struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl Reader<'_> {
    fn wrong(&self, expected: &'static str) -> TimeError {
        let text: String = self.text.chars().take(40).collect();
        let at = self.text[..self.at].chars().count() + 1;
        TimeError::NotADateTime { text, at, expected }
    }

    fn next(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn number(&mut self, digits: usize, expected: &'static str) -> Result<i32, TimeError> {
        let mut value = 0;
        for _ in 0..digits {
            let digit = self.next().filter(u8::is_ascii_digit).ok_or_else(|| self.wrong(expected))?;
            value = value * 10 + i32::from(digit - b'0');
            self.at += 1;
        }
        Ok(value)
    }

    fn mark(&mut self, marks: &[u8], expected: &'static str) -> Result<u8, TimeError> {
        let mark = self.next().filter(|mark| marks.contains(mark)).ok_or_else(|| self.wrong(expected))?;
        self.at += 1;
        Ok(mark)
    }

    /// Decimals of the second in nanoseconds; what is finer is dropped.
    fn fraction(&mut self) -> Result<u32, TimeError> {
        if self.next() != Some(b'.') {
            return Ok(0);
        }
        self.at += 1;
        let begin = self.at;
        let mut nanoseconds = 0;
        while let Some(digit) = self.next().filter(u8::is_ascii_digit) {
            if self.at - begin < 9 {
                nanoseconds = nanoseconds * 10 + u32::from(digit - b'0');
            }
            self.at += 1;
        }
        let digits = self.at - begin;
        if digits == 0 {
            return Err(self.wrong("a digit"));
        }
        Ok(nanoseconds * 10_u32.pow(9 - digits.min(9) as u32))
    }
}

pub(super) fn parse(text: &str) -> Result<Utc, TimeError> {
    let mut reader = Reader { text, at: 0 };
    let year = reader.number(4, "a year of four digits")?;
    reader.mark(b"-", "`-`")?;
    let month = reader.number(2, "a month of two digits")? as u8;
    reader.mark(b"-", "`-`")?;
    let day = reader.number(2, "a day of two digits")? as u8;
    reader.mark(b"Tt ", "`T`")?;
    let hour = reader.number(2, "an hour of two digits")? as u8;
    reader.mark(b":", "`:`")?;
    let minute = reader.number(2, "a minute of two digits")? as u8;
    reader.mark(b":", "`:`")?;
    let second = reader.number(2, "a second of two digits")? as u8;
    let nanosecond = reader.fraction()?;
    let local = Utc { year, month, day, hour, minute, second, nanosecond };
    let sign = match reader.mark(b"Zz+-", "`Z` or an offset such as `+01:00`")? {
        b'+' => 1,
        b'-' => -1,
        _ => 0,
    };
    let mut offset_minutes = 0;
    if sign != 0 {
        let hours = reader.number(2, "an offset's hours of two digits")?;
        reader.mark(b":", "`:`")?;
        let minutes = reader.number(2, "an offset's minutes of two digits")?;
        if hours > 23 || minutes > 59 {
            return Err(TimeError::NoSuchTime {
                what: format!("offset {hours:02}:{minutes:02}"),
                mend: "offsets go from -23:59 to +23:59",
            });
        }
        offset_minutes = sign * (hours * 60 + minutes);
    }
    if reader.at != text.len() {
        return Err(reader.wrong("the end"));
    }
    to_utc(local, offset_minutes)
}

/// Takes an offset in minutes off a local time. A leap second is judged by its UTC name, not by its local one.
fn to_utc(local: Utc, offset_minutes: i32) -> Result<Utc, TimeError> {
    if offset_minutes == 0 {
        return local.checked();
    }
    // Its date, hours and minutes must exist as they are written.
    Utc { second: local.second.min(59), ..local }.checked()?;
    let day = library::day_number(local.year, local.month, local.day).expect("the date was checked");
    let minutes = i64::from(local.hour) * 60 + i64::from(local.minute) - i64::from(offset_minutes);
    let (year, month, day) = library::civil_day(day + minutes.div_euclid(24 * 60));
    let minutes = minutes.rem_euclid(24 * 60);
    Utc { year, month, day, hour: (minutes / 60) as u8, minute: (minutes % 60) as u8, ..local }.checked()
}
