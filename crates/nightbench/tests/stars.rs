//! `nightbench stars`, as a program.

mod common;

use common::run;
use serde_json::Value;
use std::path::Path;

fn ranking(arguments: &[&str]) -> Value {
    let mut all = vec!["stars", "--json"];
    all.extend(arguments);
    let run = run(Path::new("."), &all);
    assert_eq!(run.status, 0, "{}", run.err);
    serde_json::from_str(&run.out).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// What the ranking promises of a star is what a whole new fit with that star comes to.
#[test]
fn a_promise_is_kept_by_the_fit_with_that_star() {
    let before = ranking(&["--given", "Sirius"]);
    for place in [0, 4, 9] {
        let promised = &before["stars"][place];
        let star = promised["star"].as_str().expect("a name");
        let after = ranking(&["--given", &format!("Sirius,{star}")]);
        let (then, now) = (number(&promised["expected_rms_arcsec"]), number(&after["expected_rms_arcsec"]));
        // 1 %: the update takes the boresight's answer to each term where the model points before, the fit after.
        assert!((then / now - 1.0).abs() < 0.01, "{star}: {then} and {now}");
        let (then, now) =
            (number(&promised["expected_worst_arcsec"]), number(&after["expected_worst_arcsec"]));
        assert!((then / now - 1.0).abs() < 0.01, "{star}, worst: {then} and {now}");
    }
}

#[test]
fn the_best_comes_first_by_either_measure() {
    for (by, field) in [("average", "expected_rms_arcsec"), ("worst", "expected_worst_arcsec")] {
        let found = ranking(&["--given", "Sirius", "--by", by]);
        let stars = found["stars"].as_array().expect("a list");
        assert!(stars.len() > 10 && stars.iter().map(|row| number(&row[field])).is_sorted(), "{by}");
        assert!(number(&stars[0][field]) < number(&found[field]), "{by}: a star makes it better");
        let thumb = found["rule_of_thumb"].as_str().expect("a name");
        assert!(stars.iter().any(|row| row["star"] == thumb), "{thumb}");
        // The rule wants the other side of the pier.
        let side = |name: &str| {
            let all = ranking(&[]);
            let rows = all["stars"].as_array().expect("a list").clone();
            rows.iter().find(|row| row["star"] == name).map(|row| row["solution"].clone())
        };
        assert_ne!(side("Sirius"), side(thumb));
    }
}

#[test]
fn what_can_not_be_given_is_refused_with_what_to_do() {
    for (given, said) in [
        ("Sirus", "did you mean `Sirius`?"),
        ("Vega", "`Vega` is no alignment star above the horizon then"),
        ("Sirius,Sirius", "`Sirius` is given twice"),
        ("Sirius,alpha CMa", "`Sirius` is given twice"),
    ] {
        let run = run(Path::new("."), &["stars", "--given", given]);
        let told = run.err;
        assert_eq!(run.status, 2, "{given}: {told}");
        assert!(told.contains(said), "{given}: {told}");
    }
}

#[test]
fn the_words_name_the_stars_of_the_figures() {
    let run = run(Path::new("."), &["stars", "--given", "Sirius", "--list", "3"]);
    let told = run.out;
    let found = ranking(&["--given", "Sirius"]);
    for place in 0..3 {
        assert!(told.contains(found["stars"][place]["star"].as_str().expect("a name")), "{told}");
    }
    assert!(told.starts_with("Expected miss over the sky after Sirius: "), "{told}");
}
