//! `samples.csv`: the samples of the dwells.

use crate::escape::harmless;
use crate::json::{ARCSEC_DECIMALS, DEGREE_DECIMALS, SECOND_DECIMALS, utc};
use bench::{Outcome, Sample};
use units::{Fixed, Instant, Span, push_digits};

/// A row is about this long, in bytes.
const ROW_BYTES: usize = 220;

/// The text of `samples.csv` (RFC 4180 with bare line feeds): a line of column names, then a row per sample.
///
/// `dwell` is the place in `night.json`'s list `dwells`, from 0. Angles are degrees or arcseconds by the column's name.
pub fn samples_csv(outcome: &Outcome) -> String {
    let mut text = String::with_capacity(512 + outcome.samples.len() * ROW_BYTES);
    let (first, second) = outcome.kind.axis_words();
    text.push_str("dwell,target,utc,target_azimuth_deg,target_altitude_deg,boresight_azimuth_deg,");
    text.push_str("boresight_altitude_deg,error_east_arcsec,error_north_arcsec,");
    text.push_str(&format!("{first}_dial_deg,{second}_dial_deg,{first}_axis_deg,{second}_axis_deg\n"));
    let names: Vec<String> = outcome.dwells.iter().map(|dwell| field(&dwell.target)).collect();
    let mut clock = Clock::default();
    for sample in &outcome.samples {
        push_digits(&mut text, sample.dwell as u64, 1);
        text.push(',');
        text.push_str(&names[sample.dwell]);
        text.push(',');
        clock.push(&mut text, sample.at);
        push_angles(&mut text, sample);
        text.push('\n');
    }
    text
}

fn push_angles(text: &mut String, sample: &Sample) {
    let mut push = |value: f64, decimals: u8| {
        text.push(',');
        Fixed { value, decimals }.push_to(text);
    };
    for angle in [sample.target.0, sample.target.1, sample.boresight.0, sample.boresight.1] {
        push(angle.degrees(), DEGREE_DECIMALS);
    }
    for angle in [sample.error_east, sample.error_north] {
        push(angle.arcsec(), ARCSEC_DECIMALS);
    }
    for angle in [sample.dials.0, sample.dials.1, sample.axes.0, sample.axes.1] {
        push(angle.degrees(), DEGREE_DECIMALS);
    }
}

/// A text as a field: harmless, and in quotes where it holds a separator.
fn field(text: &str) -> String {
    let text = harmless(text);
    if text.contains([',', '"']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.into_owned() }
}

/// Civil time of instants that follow each other closely, without the calendar's cost for each.
///
/// Within one minute of UTC the seconds run evenly, whatever leap second may end it; so the calendar is asked once a
/// minute, and in a leap second itself.
#[derive(Default)]
struct Clock {
    /// The instant at which the minute began, and its text up to the seconds: `2027-03-06T19:30:`.
    minute: Option<(Instant, String)>,
}

impl Clock {
    fn push(&mut self, text: &mut String, at: Instant) {
        const MICROSECOND: i64 = 1_000;
        const MINUTE: i64 = 60_000_000;
        if let Some((begin, prefix)) = &self.minute {
            // To the nearest microsecond, half up, as the calendar does it.
            let micros = (at.since(*begin).nanoseconds() + MICROSECOND / 2).div_euclid(MICROSECOND);
            if (0..MINUTE).contains(&micros) {
                text.push_str(prefix);
                push_digits(text, (micros / 1_000_000) as u64, 2);
                text.push('.');
                push_digits(text, (micros % 1_000_000) as u64, usize::from(SECOND_DECIMALS));
                text.push('Z');
                return;
            }
        }
        let whole = utc(at, SECOND_DECIMALS);
        text.push_str(&whole);
        self.minute = minute_of(at, &whole);
    }
}

/// The begin of the minute that `at`, whose text is `whole`, lies in.
pub(crate) fn minute_of(at: Instant, whole: &str) -> Option<(Instant, String)> {
    let (prefix, seconds) = whole.strip_suffix('Z')?.rsplit_once(':')?;
    let (seconds, micros) = seconds.split_once('.')?;
    let micros = seconds.parse::<i64>().ok()? * 1_000_000 + micros.parse::<i64>().ok()?;
    // The text was rounded; so the begin is taken from the rounded instant, a whole number of microseconds.
    let rounded = (at.nanoseconds() + 500).div_euclid(1_000) * 1_000;
    let begin = Instant::from_nanoseconds(rounded) - Span::from_nanoseconds(micros * 1_000);
    Some((begin, format!("{prefix}:")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_running_clock_agrees_with_the_calendar() {
        // 2016-12-31 ended with a leap second (IERS Bulletin C 52): steps of 0.3717 s from 23:58:50 to 00:01 cross it.
        // The begin in TAI: 6209 days and 12 h less 70 s from J2000, and 36 s of leap seconds.
        let begin = Instant::J2000_TAI + Span::from_whole_seconds(6_209 * 86_400 + 43_200 - 70 + 36);
        let mut clock = Clock::default();
        let mut seen_leap = false;
        for step in 0..500 {
            let at = begin + Span::from_nanoseconds(371_700_499) * step;
            let mut text = String::new();
            clock.push(&mut text, at);
            assert_eq!(text, utc(at, SECOND_DECIMALS));
            seen_leap |= text.starts_with("2016-12-31T23:59:60");
        }
        assert!(seen_leap);
    }

    #[test]
    fn a_name_with_separators_is_quoted() {
        assert_eq!(field("M 42"), "M 42");
        assert_eq!(field("the \"trapezium\", M 42"), "\"the \"\"trapezium\"\", M 42\"");
        assert_eq!(field("a\nb"), "a\u{fffd}b");
    }
}
