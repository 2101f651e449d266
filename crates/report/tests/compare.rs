//! Two nights side by side: what counts as worse, what is tolerated, what is said aloud.

mod common;

use common::eventful;
use report::{
    NightFile, NightFileError, TableStyle, Tolerance, compare, comparison_html, comparison_json,
    comparison_table, night_json,
};
use units::Angle;

fn night(change: impl FnOnce(&mut bench::Outcome)) -> NightFile {
    let mut outcome = eventful();
    change(&mut outcome);
    NightFile::read(&night_json(&outcome)).unwrap()
}

fn tolerance(text: &str) -> Tolerance {
    Tolerance::read(text).unwrap()
}

#[test]
fn the_same_night_is_the_same() {
    let comparison = compare(&night(|_| ()), &night(|_| ()), &Tolerance::default());
    assert!(comparison.worse().is_empty() && comparison.notices().is_empty());
    let table = comparison_table(&comparison, TableStyle { colour: false, unicode: true }, 80);
    assert!(table.contains("The two nights came out the same."), "{table}");
}

#[test]
fn what_got_worse_is_said_with_both_figures() {
    let worse = night(|outcome| outcome.summary.miss_median = Some(Angle::from_arcsec(563.2)));
    let comparison = compare(&night(|_| ()), &worse, &Tolerance::default());
    assert_eq!(
        comparison.worse(),
        ["The median miss got worse: 9.4′ where it was 8.4′, by 1.0′; nothing is tolerated."]
    );
    // The other way round it got better.
    assert!(compare(&worse, &night(|_| ()), &Tolerance::default()).worse().is_empty());
}

#[test]
fn tolerances_are_absolute_or_shares() {
    let worse = night(|outcome| outcome.summary.miss_median = Some(Angle::from_arcsec(563.2)));
    // It went from 503.2 to 563.2: by 60″, or 11.9 %.
    for (text, held) in [
        ("miss_median = \"1 arcmin\"", true),
        ("miss_median = \"59 arcsec\"", false),
        ("miss_median = \"12 %\"", true),
        ("miss_median = \"11 %\"", false),
        ("miss_p95 = \"50 %\"", false),
    ] {
        assert_eq!(compare(&night(|_| ()), &worse, &tolerance(text)).worse().is_empty(), held, "{text}");
    }
    // Two of six targets in the field, then one: 16.7 hundredths of the targets, not of the old share.
    let fewer = night(|outcome| outcome.summary.in_field = Some(1.0 / 6.0));
    assert!(compare(&night(|_| ()), &fewer, &tolerance("in_field = \"17 %\"")).worse().is_empty());
    assert!(!compare(&night(|_| ()), &fewer, &tolerance("in_field = \"16 %\"")).worse().is_empty());
    let visitors = night(|outcome| outcome.summary.visitors_served = 9);
    assert!(compare(&night(|_| ()), &visitors, &tolerance("visitors_served = 3")).worse().is_empty());
    assert!(!compare(&night(|_| ()), &visitors, &tolerance("visitors_served = 2")).worse().is_empty());
}

#[test]
fn the_last_digit_is_no_difference_and_a_lost_figure_is_the_worst() {
    // 0.1 thousandths of an arcsecond is the last digit that is printed.
    let close = night(|outcome| outcome.summary.miss_median = Some(Angle::from_arcsec(503.200_1)));
    assert!(compare(&night(|_| ()), &close, &Tolerance::default()).worse().is_empty());
    let lost = night(|outcome| outcome.summary.miss_median = None);
    let comparison = compare(&night(|_| ()), &lost, &tolerance("miss_median = \"90 %\""));
    assert_eq!(comparison.worse(), ["The median miss can't be measured any more; it was 8.4′."]);
}

#[test]
fn each_target_is_judged_where_that_is_asked() {
    let moved = night(|outcome| outcome.gotos[0].look.as_mut().unwrap().miss = Angle::from_arcsec(600.0));
    assert!(compare(&night(|_| ()), &moved, &Tolerance::default()).worse().is_empty());
    let comparison = compare(&night(|_| ()), &moved, &tolerance("each_miss = \"1 arcmin\""));
    assert_eq!(comparison.worse(), ["M 42 got worse: missed by 10.0′ where it was 8.4′."]);
}

#[test]
fn unlike_nights_are_said_aloud() {
    let other = night(|outcome| {
        outcome.seed = 8;
        outcome.scenario_digest = "f".repeat(64);
        outcome.maths_fingerprint = "00000000".to_owned();
    });
    let comparison = compare(&night(|_| ()), &other, &Tolerance::default());
    let notices = comparison.notices().join(" ");
    for what in ["scenarios", "seeds differ (7, then 8)", "mathematics"] {
        assert!(notices.contains(what), "{notices}");
    }
}

#[test]
fn a_wrong_tolerance_file_is_refused_with_its_remedy() {
    for (text, sentence) in [
        ("miss_medain = \"1 arcsec\"", "`miss_medain` is no figure; did you mean `miss_median`?"),
        ("miss_median = 3", "`miss_median`: it is no text; write a quantity in quotes, such as `\"10 %\"`"),
        (
            "miss_median = \"-1 arcsec\"",
            "`miss_median`: it is less than nothing; write how much worse the figure may get",
        ),
        ("in_field = \"3 arcsec\"", "`in_field`: it is a share; write such as `\"5 %\"`"),
        ("visitors_served = \"3\"", "`visitors_served`: it is a count; write such as `3`"),
    ] {
        assert_eq!(Tolerance::read(text).unwrap_err().to_string(), sentence);
    }
    assert!(Tolerance::read("miss_median").unwrap_err().to_string().contains("write lines such as"));
}

#[test]
fn what_is_no_night_is_refused() {
    assert!(matches!(NightFile::read("{"), Err(NightFileError::NoJson(_))));
    assert_eq!(NightFile::read("{}"), Err(NightFileError::Missing("format")));
    assert_eq!(NightFile::read("{\"format\": 2}"), Err(NightFileError::OtherFormat("2".to_owned())));
    assert_eq!(NightFile::read("{\"format\": 1}"), Err(NightFileError::Missing("summary")));
}

#[test]
fn json_and_page_hold_the_same() {
    let worse = night(|outcome| {
        outcome.summary.miss_median = Some(Angle::from_arcsec(563.2));
        outcome.gotos.remove(1);
        outcome.gotos[0].target = "<b>M 42".to_owned();
    });
    let comparison = compare(&night(|_| ()), &worse, &Tolerance::default());
    let json: serde_json::Value = serde_json::from_str(&comparison_json(&comparison)).unwrap();
    assert_eq!(json["worse"].as_array().unwrap().len(), 1);
    let median =
        json["figures"].as_array().unwrap().iter().find(|row| row["figure"] == "miss_median").unwrap();
    assert_eq!(median["change"], "worse");
    assert!((median["difference"].as_f64().unwrap() - 60.0).abs() < 1e-9);
    // Two that were are gone, and one is new.
    let alone =
        |side: &str| json["targets"].as_array().unwrap().iter().filter(|row| row[side].is_null()).count();
    assert_eq!((alone("new"), alone("old")), (2, 1));
    let page = comparison_html(&comparison);
    assert!(page.contains("The median miss got worse") && !page.contains("<b>M 42"));
}

#[test]
fn the_table_keeps_to_80_columns_and_to_ascii_where_asked() {
    use unicode_width::UnicodeWidthStr as _;
    let other = night(|outcome| outcome.summary.tracking_rms = None);
    let comparison = compare(&night(|_| ()), &other, &Tolerance::default());
    let table = comparison_table(&comparison, TableStyle { colour: false, unicode: false }, 80);
    assert!(table.is_ascii());
    for line in comparison_table(&comparison, TableStyle { colour: false, unicode: true }, 80).lines() {
        assert!(line.width() <= 80, "{line}");
    }
}
