//! Civil time, its texts and its leap seconds.

use super::*;
use proptest::prelude::*;

/// Seconds of TAI after noon of 2000-01-01 of a civil time.
fn seconds(text: &str) -> f64 {
    let utc = Utc::parse(text).unwrap_or_else(|error| panic!("{error}"));
    instant_from_utc(&utc).unwrap_or_else(|error| panic!("{error}")).nanoseconds() as f64 / 1e9
}

#[test]
fn civil_times_become_instants() {
    // TAI − UTC was 32 s in 2000 and is 37 s from 2017 (IERS Bulletin C 52).
    assert_eq!(seconds("2000-01-01T12:00:00Z"), 32.0);
    assert_eq!(seconds("2000-01-01T11:59:28Z"), 0.0);
    assert_eq!(seconds("2017-01-01T00:00:00Z") - seconds("2016-12-31T00:00:00Z"), 86_401.0);
    assert_eq!(seconds("1972-01-01T00:00:00Z"), -28.0 * 365.25 * 86_400.0 - 43_200.0 + 10.0);
    assert_eq!(seconds("2027-03-06T20:30:00.25+01:00"), seconds("2027-03-06T19:30:00.25Z"));
    assert_eq!(seconds("2027-12-31t23:30:00-01:00"), seconds("2028-01-01 00:30:00z"));
}

#[test]
fn a_leap_second_keeps_its_name() {
    let leap = Utc::parse("2016-12-31T23:59:60.5Z").expect("a leap second");
    let instant = instant_from_utc(&leap).expect("an instant");
    assert_eq!(utc_from_instant(instant), Ok(leap));
    assert_eq!(leap.to_string(), "2016-12-31T23:59:60.5Z");
    assert_eq!(utc_text(instant, 3).as_deref(), Ok("2016-12-31T23:59:60.500Z"));
    // RFC 3339's own example, by its local name.
    assert_eq!(seconds("1990-12-31T15:59:60-08:00"), seconds("1990-12-31T23:59:60Z"));
    assert_eq!(seconds("2017-01-01T00:00:00Z") - seconds("2016-12-31T23:59:60Z"), 1.0);
}

#[test]
fn texts_are_rounded_across_every_border() {
    let at = |text: &str| instant_from_utc(&Utc::parse(text).unwrap()).unwrap();
    assert_eq!(utc_text(at("2026-12-31T23:59:59.9999996Z"), 6).as_deref(), Ok("2027-01-01T00:00:00.000000Z"));
    assert_eq!(utc_text(at("2016-12-31T23:59:59.5Z"), 0).as_deref(), Ok("2016-12-31T23:59:60Z"));
    assert_eq!(utc_text(at("2016-12-31T23:59:60.5Z"), 0).as_deref(), Ok("2017-01-01T00:00:00Z"));
    assert_eq!(utc_text(at("1999-12-31T23:59:59.4Z"), 0).as_deref(), Ok("1999-12-31T23:59:59Z"));
    assert_eq!(Utc::parse("2027-03-06T19:30:00Z").unwrap().to_string(), "2027-03-06T19:30:00Z");
    assert_eq!(
        Utc::parse("2027-03-06T19:30:00.1234567899Z").unwrap().to_string(),
        "2027-03-06T19:30:00.123456789Z"
    );
}

#[track_caller]
fn refused(text: &str, message: &str) {
    assert_eq!(Utc::parse(text).unwrap_err().to_string(), message);
}

#[test]
fn refusals_say_where_and_how_to_mend() {
    let form = "write it as 2027-03-06T19:30:00Z, or with an offset from UTC as 2027-03-06T20:30:00+01:00";
    let expected = |text: &str, what: &str, at: usize| {
        format!("`{text}` is no date and time: {what} was expected at character {at}; {form}")
    };
    let local = "2027-03-06T19:30:00";
    refused(local, &expected(local, "`Z` or an offset such as `+01:00`", 20));
    refused("6 March 2027", &expected("6 March 2027", "a year of four digits", 2));
    refused("2027-03-06", &expected("2027-03-06", "`T`", 11));
    refused("2027-03-06T19:30:00.Z", &expected("2027-03-06T19:30:00.Z", "a digit", 21));
    refused("2027-03-06T19:30:00Zulu", &expected("2027-03-06T19:30:00Zulu", "the end", 21));
    refused("2027–03-06", &expected("2027–03-06", "`-`", 5));
    refused("", &expected("", "a year of four digits", 1));
    refused(
        "2027-02-29T00:00:00Z",
        "there is no date 2027-02-29; give a day of the calendar, as year-month-day",
    );
    refused("2027-02-28T24:00:00Z", "there is no time 24:00:00; hours go to 23, minutes and seconds to 59");
    let leap = "leap seconds end a few days of June or December, the last of them 2016-12-31";
    refused("2017-12-31T23:59:60Z", &format!("there is no leap second 2017-12-31 23:59:60; {leap}"));
    refused("2016-12-31T12:00:60Z", &format!("there is no leap second 2016-12-31 12:00:60; {leap}"));
    refused("2027-03-06T19:30:00+24:00", "there is no offset 24:00; offsets go from -23:59 to +23:59");
    for year in [1971, 2101] {
        let message = format!("the year {year} is out of range: civil time is known here from 1972 to 2100");
        refused(&format!("{year}-06-01T00:00:00Z"), &message);
    }
    refused(
        "1972-01-01T00:30:00+01:00",
        "the year 1971 is out of range: civil time is known here from 1972 to 2100",
    );
}

#[test]
fn instants_outside_are_refused() {
    let last = instant_from_utc(&Utc::parse("2100-12-31T23:59:59.999999999Z").unwrap()).unwrap();
    let nanosecond = Span::from_nanoseconds(1);
    assert_eq!(utc_from_instant(last + nanosecond), Err(TimeError::OutOfRange { year: 2101 }));
    let first = instant_from_utc(&Utc::parse("1972-01-01T00:00:00Z").unwrap()).unwrap();
    assert_eq!(utc_from_instant(first - nanosecond), Err(TimeError::OutOfRange { year: 1971 }));
    for extreme in [i64::MIN, i64::MAX] {
        assert!(utc_from_instant(Instant::from_nanoseconds(extreme)).is_err());
        assert!(utc_text(Instant::from_nanoseconds(extreme), 0).is_err());
    }
}

#[test]
fn the_earth_doesn_t_jump_when_civil_time_does() {
    let begin = instant_from_utc(&Utc::parse("2016-12-31T22:00:00Z").unwrap()).unwrap();
    let offset = ut1_minus_tai(begin, Span::from_seconds(-0.4)).unwrap();
    assert_eq!(offset, Span::from_seconds(-36.4));
    // Two hours and the leap second later UT1 reads a day's begin less 0.4 s plus the second that UTC took in.
    let (day, fraction) = julian_ut1(begin + Span::from_whole_seconds(7201), offset);
    assert_eq!(day, 2_457_754.0);
    assert!((fraction - (0.5 + 0.6 / 86_400.0)).abs() < 1e-15);
}

#[test]
fn julian_dates_of_j2000() {
    assert_eq!(julian_tai(Instant::J2000_TAI), (2_451_545.0, 0.0));
    assert_eq!(julian_tt(Instant::J2000_TAI), (2_451_545.0, 0.000_372_5));
    assert_eq!(julian_tai(Instant::J2000_TAI - Span::from_whole_seconds(21_600)), (2_451_544.0, 0.75));
}

proptest! {
    #[test]
    fn civil_time_and_back(nanoseconds in -883_612_790_000_000_000_i64..3_187_252_800_000_000_000) {
        let instant = Instant::from_nanoseconds(nanoseconds);
        let utc = utc_from_instant(instant).unwrap();
        prop_assert_eq!(instant_from_utc(&utc), Ok(instant));
        prop_assert_eq!(Utc::parse(&utc.to_string()), Ok(utc));
    }

    #[test]
    fn any_text_is_answered(text in "\\PC{0,40}") {
        let _ = Utc::parse(&text);
    }
}
