use super::*;

fn zone(name: &str) -> Zone {
    Zone::named(name).unwrap_or_else(|error| panic!("{error}"))
}

fn civil(text: &str) -> Civil {
    Civil::parse(text).unwrap_or_else(|error| panic!("{error}"))
}

/// The UTC text of a civil time in a zone, or the complaint about it.
fn utc(name: &str, text: &str) -> String {
    match zone(name).instant(&civil(text)) {
        Ok(instant) => time::utc_text(instant, 0).expect("in range"),
        Err(error) => error.to_string(),
    }
}

fn instant(text: &str) -> Instant {
    time::instant_from_utc(&Utc::parse(text).expect("a date")).expect("in range")
}

#[test]
fn summer_and_winter_have_their_offsets() {
    assert_eq!(utc("Europe/Madrid", "2027-03-06 20:30"), "2027-03-06T19:30:00Z");
    assert_eq!(utc("europe/madrid", "2027-07-06T20:30:00"), "2027-07-06T18:30:00Z");
    assert_eq!(utc("Asia/Kathmandu", "2027-07-06T20:30"), "2027-07-06T14:45:00Z");
    assert_eq!(utc("UTC", "2027-07-06T20:30"), "2027-07-06T20:30:00Z");
    let reading = zone("Europe/Madrid").reading(instant("2027-07-06T18:30:00.25Z")).expect("in range");
    assert_eq!(reading.text(0), "2027-07-06T20:30:00+02:00 CEST");
    assert_eq!(reading.text(2), "2027-07-06T20:30:00.25+02:00 CEST");
    assert!(reading.daylight_saving);
}

#[test]
fn a_time_in_a_gap_is_refused_with_the_bounds_of_the_gap() {
    let error = zone("Europe/Madrid").instant(&civil("2027-03-28T02:30")).expect_err("a gap");
    let ZoneError::Gap { begins, ends, before, after, instant: change, .. } = &error else {
        panic!("{error:?}")
    };
    assert_eq!((begins.hour, ends.hour), (2, 3));
    assert_eq!((before.hours(), after.hours()), (1.0, 2.0));
    assert_eq!(*change, instant("2027-03-28T01:00:00Z"));
    assert_eq!(
        error.to_string(),
        "2027-03-28T02:30:00 doesn't exist in Europe/Madrid: clocks went forward from 2027-03-28T02:00:00 (+01:00) to \
         2027-03-28T03:00:00 (+02:00); give a time outside the gap, or one with its offset from UTC"
    );
    // The first moment of the gap is in it, its end isn't.
    assert!(utc("Europe/Madrid", "2027-03-28T02:00").contains("doesn't exist"));
    assert_eq!(utc("Europe/Madrid", "2027-03-28T03:00"), "2027-03-28T01:00:00Z");
    // A whole day was left out when the date line moved.
    assert!(utc("Pacific/Apia", "2011-12-30T12:00").contains("from 2011-12-30T00:00:00 (-10:00)"));
}

#[test]
fn a_time_in_a_fold_is_refused_with_both_instants() {
    let error = zone("Europe/Madrid").instant(&civil("2027-10-31T02:30")).expect_err("a fold");
    let ZoneError::Fold { earlier, later, .. } = &error else { panic!("{error:?}") };
    assert_eq!(earlier.0, instant("2027-10-31T00:30:00Z"));
    assert_eq!(later.0, instant("2027-10-31T01:30:00Z"));
    assert_eq!(
        error.to_string(),
        "2027-10-31T02:30:00 came twice in Europe/Madrid: 2027-10-31T00:30:00Z and 2027-10-31T01:30:00Z; write the one \
         that is meant with its offset from UTC, 2027-10-31T02:30:00+02:00 or 2027-10-31T02:30:00+01:00"
    );
}

#[test]
fn a_leap_second_keeps_its_name() {
    let leap = instant("2016-12-31T23:59:60.5Z");
    for (name, text) in [
        ("UTC", "2016-12-31T23:59:60.5"),
        ("Europe/Madrid", "2017-01-01T00:59:60.5"),
        ("Asia/Kathmandu", "2017-01-01T05:44:60.5"),
        ("America/St_Johns", "2016-12-31T20:29:60.5"),
    ] {
        let reading = zone(name).reading(leap).expect("in range");
        assert_eq!(reading.civil.to_string(), text, "{name}");
        assert_eq!(zone(name).instant(&civil(text)), Ok(leap), "{name}");
    }
    // In the zone's own midnight there was none.
    assert!(utc("Europe/Madrid", "2016-12-31T23:59:60").contains("leap second"));
}

#[test]
fn what_is_no_zone_or_no_date_is_refused_with_a_way_out() {
    let unknown = |name: &str| Zone::named(name).expect_err(name).to_string();
    assert_eq!(unknown("Madrid"), "there is no time zone `Madrid`; did you mean `Europe/Madrid`?");
    assert_eq!(
        unknown("Europe/Madird"),
        "there is no time zone `Europe/Madird`; did you mean `Europe/Madrid`?"
    );
    assert!(unknown("").contains("`UTC`"));
    for text in [
        "2027-02-29T12:00",
        "2027-01-01T24:00",
        "2027-01-01",
        "yesterday",
        "",
        "2027-01-01T12:00:61",
        "2101-01-01T00:00",
    ] {
        assert!(Civil::parse(text).is_err(), "{text}");
    }
    let odd = Civil { second: 61, ..civil("2027-01-01T12:00") };
    assert!(matches!(zone("UTC").instant(&odd), Err(ZoneError::Time(_))));
}

#[test]
fn every_zone_reads_its_own_readings_back() {
    // A few hours a year apart from round times; a fold gives one of its two candidates.
    for name in Zone::names() {
        let zone = zone(&name);
        for step in 0..60_i64 {
            let moment = instant("1972-01-02T03:04:05Z") + Span::from_whole_seconds(step * 67_000_000);
            let reading = zone.reading(moment).expect("in range");
            match zone.instant(&reading.civil) {
                Ok(again) => assert_eq!(again, moment, "{name} {}", reading.text(0)),
                Err(ZoneError::Fold { earlier, later, .. }) => {
                    assert!(earlier.0 == moment || later.0 == moment)
                }
                Err(error) => panic!("{name}: {error}"),
            }
        }
    }
}
