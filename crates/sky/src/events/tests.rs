use super::*;
use crate::time::{self, Utc};
use crate::{Air, Geocentre, Site, StarPlace};
use std::sync::Arc;
use units::Length;

fn instant(text: &str) -> Instant {
    time::instant_from_utc(&Utc::parse(text).expect("a date")).expect("in range")
}

fn station(latitude: f64, longitude: f64) -> Station {
    let degrees = Angle::from_degrees;
    let site =
        Site::new(degrees(latitude), degrees(longitude), Length::from_metres(100.0)).expect("on Earth");
    let ut1 = time::ut1_minus_tai(instant("2027-01-01T00:00:00Z"), Span::ZERO).expect("in range");
    Station::new(site, Air::standard(Length::from_metres(100.0)), ut1)
}

fn days(number: i64) -> Span {
    Span::DAY * number
}

fn track(source: Source, begin: Instant, end: Instant) -> Track {
    Arc::new(Geocentre::new(begin, end)).track(&source)
}

fn body(body: Body, begin: Instant, end: Instant) -> Track {
    track(Source::Body(body), begin, end)
}

fn star(declination: f64) -> Source {
    Source::Star(StarPlace::fixed(Angle::from_degrees(100.0), Angle::from_degrees(declination)))
}

#[test]
fn the_midnight_sun_never_sets_and_the_polar_night_never_ends() {
    let far_north = station(78.0, 15.0);
    for (begin, up) in [("2027-06-20T00:00:00Z", true), ("2027-12-20T00:00:00Z", false)] {
        let (begin, end) = (instant(begin), instant(begin) + days(3));
        let found = crossings(&body(Body::Sun, begin, end), &far_north, Limit::Horizon, begin, end);
        assert_eq!((found.never_sets(), found.never_rises()), (up, !up));
        let whole: &[_] = if up { &[(begin, end)] } else { &[] };
        assert_eq!(found.windows(begin, end), whole);
    }
    let begin = instant("2027-12-20T00:00:00Z");
    let sun = body(Body::Sun, begin, begin + days(1));
    // At 78° the Sun's noon altitude in December is −11.4°: it comes to nautical twilight and no further.
    let reached: Vec<Darkness> = darkness_changes(&sun, &far_north, begin, begin + days(1))
        .into_iter()
        .map(|change| change.1)
        .collect();
    assert_eq!(
        reached,
        [
            Darkness::AstronomicalTwilight,
            Darkness::NauticalTwilight,
            Darkness::AstronomicalTwilight,
            Darkness::Night
        ]
    );
    assert_eq!(darkness(&sun, &far_north, begin), Darkness::Night);
}

#[test]
fn on_the_pole_the_sun_rises_once_a_year() {
    let pole = station(90.0, 0.0);
    let (begin, end) = (instant("2027-01-01T00:00:00Z"), instant("2028-01-01T00:00:00Z"));
    let found = crossings(&body(Body::Sun, begin, end), &pole, Limit::Horizon, begin, end);
    let what: Vec<Happening> = found.events.iter().map(|event| event.what).collect();
    assert_eq!(what, [Happening::Rise, Happening::Set]);
    // Two days before the equinox (20 March 2027), because of refraction and the Sun's radius.
    let rise = time::utc_from_instant(found.events[0].instant).expect("in range");
    assert_eq!((rise.month, rise.day), (3, 18));
    let fixed = track(star(20.0), begin, begin + days(2));
    assert!(crossings(&fixed, &pole, Limit::Horizon, begin, begin + days(2)).never_sets());
    // The meridian of the site's longitude still gives two transits in a day of the stars.
    assert_eq!(transits(&fixed, &pole, begin, begin + days(2)).len(), 4);
}

#[test]
fn a_night_of_minutes_is_not_missed() {
    // The midnight altitude of the June Sun at latitude φ is φ + 23.44° − 90°: −0.86° here, a hair below −50′.
    let edge = station(65.70, 0.0);
    let begin = instant("2027-06-21T12:00:00Z");
    let found =
        crossings(&body(Body::Sun, begin, begin + days(1)), &edge, Limit::Horizon, begin, begin + days(1));
    assert_eq!(found.events.len(), 2, "{:?}", found.events);
    let night = found.events[1].instant - found.events[0].instant;
    assert!(night.minutes() > 1.0 && night.minutes() < 60.0, "{}", night.minutes());
}

#[test]
fn events_do_not_depend_on_where_the_search_begins() {
    let place = station(40.5, -4.5);
    let begin = instant("2027-03-06T00:00:00Z");
    let moon = body(Body::Moon, begin, begin + days(3));
    let whole = crossings(&moon, &place, Limit::Horizon, begin, begin + days(3));
    assert!(whole.events.len() >= 5);
    for minutes in (0..1440).step_by(7) {
        let from = begin + Span::from_whole_seconds(minutes * 60);
        let part = crossings(&moon, &place, Limit::Horizon, from, begin + days(3));
        let expected: Vec<&Event> = whole.events.iter().filter(|event| event.instant > from).collect();
        assert_eq!(part.events.len(), expected.len());
        for (one, other) in part.events.iter().zip(expected) {
            assert_eq!(one.what, other.what);
            // Bisection ends within a nanosecond of the root, from either side.
            assert!((one.instant - other.instant).abs() < Span::from_nanoseconds(1000));
        }
    }
    assert!(crossings(&moon, &place, Limit::Horizon, begin, begin).events.is_empty());
    assert!(transits(&moon, &place, begin + days(1), begin).is_empty());
}

#[test]
fn a_star_transits_once_in_a_sidereal_day_and_highest_there() {
    let place = station(-33.0, 150.0);
    let begin = instant("2027-03-06T00:00:00Z");
    let (end, source) = (begin + days(2), star(-20.0));
    let star = track(source, begin, end);
    let found = transits(&star, &place, begin, end);
    let upper: Vec<&Event> = found.iter().filter(|event| event.what == Happening::UpperTransit).collect();
    // 86 164.09 s of UT1: a turn of the Earth against the stars; precession and aberration alter it by milliseconds.
    assert!(((upper[1].instant - upper[0].instant).seconds() - 86_164.09).abs() < 0.05);
    for event in &found {
        let high = event.what == Happening::UpperTransit;
        // 90° − |φ − δ| at the upper one, |φ + δ| − 90° at the lower; the star's place of date is within 0.2° of it.
        let expected = if high { 77.0 } else { -37.0 };
        assert!((event.place.airless_altitude().degrees() - expected).abs() < 0.2, "{event:?}");
    }
    let list =
        visibility(std::slice::from_ref(&star), &place, Limit::Seen(Angle::from_degrees(15.0)), begin, end);
    assert!((list[0].best - upper[0].instant).abs() < Span::from_seconds(1.0));
    assert!(list[0].windows.len() >= 2);
}

#[test]
fn windows_close_at_the_end_of_the_search() {
    let place = station(40.5, -4.5);
    let begin = instant("2027-03-06T20:00:00Z");
    let end = begin + Span::from_seconds(3600.0);
    let star = track(star(40.0), begin, end);
    let found = crossings(&star, &place, Limit::Airless(Angle::from_degrees(20.0)), begin, end);
    assert_eq!(found.windows(begin, end), [(begin, end)]);
}

#[test]
fn phases_follow_each_other_and_ages_count_from_new_moon() {
    let begin = instant("2027-03-06T00:00:00Z");
    let geocentre = Arc::new(Geocentre::new(begin - days(40), begin + days(40)));
    let mut after = begin;
    for quarter in [Quarter::New, Quarter::First, Quarter::Full, Quarter::Last] {
        let found = next_quarter(&geocentre, quarter, after);
        assert!(found > after && found - after < days(9), "{quarter:?}");
        assert_eq!(moon_phase(&geocentre, found).words(), quarter.words());
        after = found;
    }
    let new = next_quarter(&geocentre, Quarter::New, begin);
    for hours in [1, 20, 300, 700] {
        let age = moon_phase(&geocentre, new + Span::from_whole_seconds(3600 * hours)).age;
        assert!((age.hours() - hours as f64).abs() < 0.001, "{hours}: {}", age.hours());
    }
    let before = moon_phase(&geocentre, new - Span::from_whole_seconds(3600)).age;
    assert!((29.2..29.9).contains(&(before.hours() / 24.0)), "{}", before.hours() / 24.0);
}

#[test]
fn directions_are_said_in_words() {
    let place = |azimuth: f64, altitude: f64| {
        let line = crate::horizontal_direction(Angle::from_degrees(azimuth), Angle::from_degrees(altitude));
        direction_in_words(&Observed { airless: line, refracted: line })
    };
    assert_eq!(place(157.0, 30.0), "south-south-east, a third of the way up");
    assert_eq!(place(359.0, -2.0), "north, below the horizon");
    assert_eq!(place(90.0, 45.0), "east, half way up");
    assert_eq!(place(12.0, 88.0), "overhead");
}

#[test]
fn brightness_has_gaps_only_where_the_series_have() {
    let begin = instant("2027-03-06T00:00:00Z");
    let geocentre = Arc::new(Geocentre::new(begin, begin));
    for one in Body::ALL {
        assert!(magnitude(&geocentre, one, begin).is_some(), "{one}");
    }
    // Almanacs: the Sun −26.8, the Moon's disc 31′.
    let sun = magnitude(&geocentre, Body::Sun, begin).expect("always");
    assert!((sun + 26.78).abs() < 0.05);
    assert!((angular_diameter(Body::Moon, 0.002_57).arcmin() - 31.07).abs() < 0.05);
}
