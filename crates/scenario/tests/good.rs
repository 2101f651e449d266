//! Nights that must be read, and what reading them gives.

mod common;

use common::{each, fixtures, text_of};
use scenario::{Aim, Horizon, Kind, Method, Plan, Stars, Study, key_table, read};
use std::collections::BTreeSet;
use units::{Angle, Span};

fn plan_of(name: &str) -> Plan {
    let text = text_of(&fixtures("good").join(name));
    read(&text).unwrap_or_else(|complaints| panic!("{}", common::rendered(name, &text, &complaints)))
}

#[test]
fn every_good_night_is_read_and_its_canonical_form_is_the_same_night() {
    let mut seen = 0;
    each("good", "toml", |name, text| {
        let plan = plan_of(name);
        let canonical = plan.canonical_toml();
        let again = read(&canonical).unwrap_or_else(|complaints| {
            panic!("canonical form of {name}:\n{}", common::rendered(name, &canonical, &complaints))
        });
        assert_eq!(plan, again, "{name}");
        assert_eq!(canonical, again.canonical_toml(), "{name}");
        assert_eq!(plan.digest(), again.digest(), "{name}");
        assert_eq!(plan.places.source(), text);
        plan.validate().unwrap();
        seen += 1;
    });
    assert!(seen >= 9);
}

/// Whoever adds a key adds it to a good night.
#[test]
fn the_good_nights_together_have_every_key() {
    let mut present = BTreeSet::new();
    each("good", "toml", |name, text| {
        for key in plan_of(name).places.keys() {
            present.insert(without_indices(key));
        }
        present.extend(Study::read(text).unwrap().places().keys().map(without_indices));
    });
    let missing: Vec<&str> =
        key_table().iter().map(|doc| doc.path.as_str()).filter(|path| !present.contains(*path)).collect();
    assert!(missing.is_empty(), "no good night has {missing:?}");
}

fn without_indices(key: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in key.chars() {
        match c {
            '[' => {
                inside = true;
                out.push('[');
            }
            ']' => {
                inside = false;
                out.push(']');
            }
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out
}

#[test]
fn the_values_of_the_school_field() {
    let plan = plan_of("school_field.toml");
    assert_eq!(plan.mount.kind, Kind::GermanEquatorial);
    assert_eq!(plan.night.length, Span::from_whole_seconds(5 * 3600));
    assert_eq!(plan.night.seed, Some(7));
    assert_eq!(plan.site.longitude, Angle::from_degrees(-4.5));
    assert_eq!(plan.site.horizon, Some(Horizon::Level(Angle::from_degrees(12.0))));
    let axis = plan.mount.hour_axis.as_ref().unwrap();
    assert_eq!(axis.backlash, Some(Angle::from_arcsec(100.0)));
    assert_eq!(axis.periodic_error.as_ref().unwrap()[0].harmonic, 1.0);
    assert_eq!(plan.setup.entered.clock_error, Some(Span::from_whole_seconds(40)));
    assert_eq!(plan.alignment.method, Some(Method::TwoStar));
    assert_eq!(plan.alignment.stars, Some(Stars::Auto));
    assert!(matches!(plan.observe[0].aim(), Some(Aim::Named(name)) if name.0 == "M 42"));
    assert!(plan.expect.in_field.unwrap().holds(units::Share::from_percent(90.0)));
    assert!(!plan.expect.in_field.unwrap().holds(units::Share::from_percent(89.9)));
}

/// 2027-03-06T19:30:00 UTC is 9926 days and 7.5 h after 2000-01-01T12:00 UTC by the calendar (27 years with 7 leap
/// days, then 64 days), and TAI − UTC is 37 s since 2017 (IERS Bulletin C).
#[test]
fn the_begin_is_the_instant_that_was_written() {
    let plan = plan_of("school_field.toml");
    let days = 27 * 365 + 7 + 64;
    let seconds = days * 86_400 + 7 * 3600 + 1800 + 37;
    assert_eq!(plan.begin().nanoseconds(), seconds * 1_000_000_000);
    let later = plan.instant_of(plan.alignment.later[0].at).unwrap();
    assert_eq!(later.since(plan.begin()), Span::from_whole_seconds(3 * 3600 + 600));
    let knock = plan.instant_of(plan.disturb[0].at).unwrap();
    assert_eq!(knock.since(plan.begin()), Span::from_whole_seconds(75 * 60));
}

#[test]
fn a_time_of_day_after_midnight_is_the_next_days() {
    let plan = plan_of("southern_fork.toml");
    let later = plan.instant_of(plan.alignment.later[0].at).unwrap();
    assert_eq!(later.since(plan.begin()), Span::from_whole_seconds(5 * 3600 + 1800));
}

/// The last second of 2016 had a leap second after it (IERS Bulletin C 52).
#[test]
fn a_leap_second_counts() {
    let text = text_of(&fixtures("good").join("smallest.toml"));
    let with = |begin: &str| read(&text.replace("2031-10-04T19:00:00Z", begin));
    let before = with("2016-12-31T23:59:59Z").unwrap().begin();
    let leap = with("2016-12-31T23:59:60Z").unwrap().begin();
    let after = with("2017-01-01T01:00:00+01:00").unwrap().begin();
    assert_eq!(leap.since(before), Span::from_whole_seconds(1));
    assert_eq!(after.since(before), Span::from_whole_seconds(2));
    assert_eq!(with("2027-03-06T23:59:60Z").unwrap_err()[0].key, "night.begin");
}

#[test]
fn the_digest_ignores_comments_order_spelling_and_seed_and_nothing_else() {
    let text = text_of(&fixtures("good").join("school_field.toml"));
    let digest = |text: &str| read(text).unwrap().digest();
    let original = digest(&text);
    assert_eq!(original.len(), 64);
    assert_eq!(original, digest(&format!("# a remark\n{text}")));
    assert_eq!(original, digest(&text.replace("\"40.5 deg\"", "\"40d30m\"")));
    assert_eq!(original, digest(&text.replace("\"0.8 deg\"", "\"2880arcsec\"")));
    assert_eq!(original, digest(&text.replace("\"965 hPa\"", "\"96.5 kPa\"")));
    assert_eq!(original, digest(&text.replace("seed = 7", "seed = 8")));
    assert_eq!(
        original,
        digest(&text.replace("length = \"5 h\"\nseed = 7", "seed = 9\nlength = \"300 min\""))
    );
    assert_ne!(original, digest(&text.replace("\"0.8 deg\"", "\"0.800001 deg\"")));
    assert_ne!(original, digest(&text.replace("refine = 2", "refine = 1")));
}

#[test]
fn a_later_complaint_points_into_the_file() {
    let plan = plan_of("school_field.toml");
    let complaint = plan.complain("mount.hour_axis.backlash", "too much", "expected less");
    assert_eq!(&plan.places.source()[complaint.span.clone()], "\"100 arcsec\"");
    let absent = plan.complain("mount.hour_axis.jerk", "too little", "expected more");
    assert_eq!(&plan.places.source()[absent.span.clone()], "hour_axis");
    assert_eq!(absent.line, 34);
    let element = plan.not_built_yet("observe[0].visitors");
    assert_eq!(&plan.places.source()[element.span.clone()], "12");
}
