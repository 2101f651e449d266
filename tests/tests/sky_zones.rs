//! The zone rules inside the program against two other readings of the IANA time zone database, 1990 to 2037.
//!
//! `fixtures/reference/zone_changes.csv` lists every change of every zone by Python's zoneinfo on the package tzdata 2026.6
//! (version 2026f, which is also the one inside the program); `tests/python/list_zone_changes.py` made it. The machine's own
//! zone files are asked too, where there are any, once a week of those years.

use sky::time::{Utc, instant_from_utc};
use sky::zones::Zone;
use std::process::Command;
use units::Instant;

/// The version of the database in the fixture and in the program.
const VERSION: &str = "2026f";
/// 1990-01-01T00:00:00Z and 2038-01-01T00:00:00Z in seconds of 1970's count.
const BEGIN: i64 = 631_152_000;
const END: i64 = 2_145_916_800;
const WEEK: i64 = 7 * 86_400;

/// The instant of a count of seconds since 1970 that has no leap seconds.
fn instant(second: i64) -> Instant {
    // Days to a date by eras of 400 years that begin in March.
    let (days, within) = (second.div_euclid(86_400) + 719_468, second.rem_euclid(86_400));
    let (era, day_of_era) = (days.div_euclid(146_097), days.rem_euclid(146_097));
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month + 2) / 5 + 1;
    let utc = Utc {
        year: (era * 400 + year_of_era + i64::from(month >= 10)) as i32,
        month: if month < 10 { month + 3 } else { month - 9 } as u8,
        day: day as u8,
        hour: (within / 3600) as u8,
        minute: (within / 60 % 60) as u8,
        second: (within % 60) as u8,
        nanosecond: 0,
    };
    instant_from_utc(&utc).expect("a date from 1990 to 2037")
}

/// Offset in seconds and short name as the program has them.
fn state(zone: &Zone, second: i64) -> String {
    let reading = zone.reading(instant(second)).expect("in range");
    format!("{} {}", reading.offset.nanoseconds() / 1_000_000_000, reading.abbreviation)
}

/// Zones that share a history, and their states with the seconds from which they hold.
type History<'a> = (Vec<&'a str>, Vec<(i64, &'a str)>);

/// Lines `zones,history` as the script writes them.
fn histories(text: &str) -> Vec<History<'_>> {
    text.lines()
        .skip(1)
        .map(|line| {
            let (zones, history) = line.split_once(',').expect("two columns");
            let (first, changes) = history.split_once(';').unwrap_or((history, ""));
            let change = |text| {
                let (second, state) = str::split_once(text, ' ').expect("second and state");
                (second.parse().expect("a number"), state)
            };
            let later = changes.split(';').filter(|text| !text.is_empty()).map(change);
            (zones.split(' ').collect(), std::iter::once((BEGIN, first)).chain(later).collect())
        })
        .collect()
}

#[test]
fn every_change_of_every_zone_is_known_to_the_second() {
    let text = tests::text_of("fixtures/reference/zone_changes.csv");
    let (mut zones, mut changes) = (0, 0);
    for (names, history) in histories(&text) {
        for name in names {
            let zone = Zone::named(name).unwrap_or_else(|error| panic!("{error}"));
            zones += 1;
            for (index, (from, expected)) in history.iter().enumerate() {
                let until = history.get(index + 1).map_or(END, |next| next.0);
                assert_eq!(&state(&zone, *from), expected, "{name} at {from}");
                assert_eq!(&state(&zone, until - 1), expected, "{name} before {until}");
                // Nothing happens in between: looked at once in thirty days.
                for second in (*from..until).step_by(30 * 86_400) {
                    assert_eq!(&state(&zone, second), expected, "{name} at {second}");
                }
                changes += usize::from(index > 0);
            }
        }
    }
    println!("{zones} zones, {changes} changes");
    assert!(zones > 590 && changes > 20_000);
}

/// The state of each zone once a week by Python on the machine's own files; nothing if the machine has no Python or files.
fn asked_of_the_machine() -> Option<String> {
    let script = tests::top().join("tests/python/list_zone_changes.py");
    let asked = Command::new("python3").arg(script).arg("--weekly").output().ok()?;
    let text = String::from_utf8(asked.stdout).ok()?;
    (asked.status.success() && text.lines().count() > 200).then_some(text)
}

#[test]
fn the_machines_own_zone_files_agree() {
    let Some(text) = asked_of_the_machine() else {
        println!("this machine has no zone files or no Python; the committed table serves");
        return;
    };
    let installed = std::fs::read_to_string("/usr/share/zoneinfo/tzdata.zi").unwrap_or_default();
    let same_version = installed.lines().next().is_some_and(|line| line.ends_with(VERSION));
    let (mut zones, mut differing) = (0, Vec::new());
    for (names, history) in histories(&text) {
        for name in names {
            let Ok(zone) = Zone::named(name) else { continue };
            zones += 1;
            let expected =
                |second| history.iter().rev().find(|(from, _)| *from <= second).map(|found| found.1);
            let seconds = (BEGIN..END).step_by(WEEK as usize);
            let wrong =
                seconds.filter(|second| Some(state(&zone, *second).as_str()) != expected(*second)).count();
            if wrong > 0 {
                differing.push(format!("{name} ({wrong} weeks)"));
            }
        }
    }
    println!("{zones} zones, same version {same_version}, differing: {differing:?}");
    assert!(zones > 300);
    // Another version of the database has other laws in it and corrections to the past: from 2025b to 2026f 17 zones of 597.
    let allowed = if same_version { 0 } else { zones / 20 };
    assert!(differing.len() <= allowed, "{differing:?}");
}
