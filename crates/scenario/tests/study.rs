//! Files of many nights: cases, common draws, and what one night of them is.

mod common;

use common::{fixtures, text_of};
use scenario::{Grade, Method, Stars, Study};

fn text() -> String {
    text_of(&fixtures("good").join("study.toml"))
}

#[test]
fn cases_are_strategies_at_every_value_of_the_factors() {
    let text = text();
    let study = Study::read(&text).unwrap();
    let labels: Vec<String> = study.cases().iter().map(scenario::Case::label).collect();
    assert_eq!(labels.len(), 12);
    assert_eq!(labels[0], "two stars, cone error 0 arcmin, target Castor");
    assert_eq!(labels[1], "two stars, cone error 0 arcmin, target Pollux");
    assert_eq!(labels[11], "three stars, cone error 5 arcmin, target M 35");
    assert_eq!(study.first_night(), 100);
    let of = |strategy, levels: &[(&str, &str)]| {
        let levels: Vec<_> =
            levels.iter().map(|(key, text)| ((*key).to_owned(), (*text).to_owned())).collect();
        study.case(Some(strategy), &levels).map(scenario::Case::label)
    };
    assert_eq!(of("three stars", &[("observe[1].target", "M 35")]).unwrap(), labels[8]);
    assert!(of("four stars", &[]).unwrap_err().contains("`two stars` or `three stars`"));
    assert!(of("two stars", &[("observe[1].target", "M 13")]).unwrap_err().contains("`Pollux`"));
}

#[test]
fn a_strategy_lays_over_and_leaves_out() {
    let text = text();
    let study = Study::read(&text).unwrap();
    let plan = study.case(Some("three stars"), &[]).unwrap().night(Some(3)).unwrap().plan;
    assert_eq!(plan.alignment.method, Some(Method::ManyStar));
    assert_eq!((plan.alignment.stars.clone(), plan.alignment.refine), (None, None));
    assert!(plan.observer.final_approach.is_some());
    assert_eq!(plan.night.seed, Some(3));
}

/// Common random numbers: what two cases share, they draw alike; and a distribution more moves no other draw.
#[test]
fn all_cases_of_a_number_meet_the_same_night() {
    let text = text();
    let study = Study::read(&text).unwrap();
    for number in [0, 100, 101, 9_007_199_254_740_991] {
        let nights: Vec<_> =
            study.cases().iter().map(|case| case.night(Some(number)).unwrap().plan).collect();
        for plan in &nights[1..] {
            assert_eq!((plan.night.begin, &plan.site), (nights[0].night.begin, &nights[0].site));
            assert_eq!((&plan.setup, &plan.disturb), (&nights[0].setup, &nights[0].disturb));
            assert_eq!(plan.mount.hour_axis, nights[0].mount.hour_axis);
        }
    }
    let more = text
        .replace("pressure", "")
        .replace("humidity = {", "pressure = { normal = [\"965 hPa\", \"5 hPa\"] }\nhumidity = {");
    let more = Study::read(&more).unwrap();
    for number in 0..20 {
        let before = study.cases()[0].night(Some(number)).unwrap().plan;
        let mut after = more.cases()[0].night(Some(number)).unwrap().plan;
        assert!(after.site.pressure.take().is_some());
        assert_eq!(before, after);
    }
}

#[test]
fn words_lists_and_dates_are_drawn_too() {
    let text = text();
    let study = Study::read(&text).unwrap();
    let nights: Vec<_> = (0..200).map(|number| study.cases()[0].night(Some(number)).unwrap().plan).collect();
    let count = |of: &dyn Fn(&scenario::Plan) -> bool| nights.iter().filter(|plan| of(plan)).count();
    // Binomial bands of 99.9 %: 100 ± 23 of 200 for a half, 50 ± 20 for a quarter.
    assert!((77..=123).contains(&count(&|plan| plan.night.begin.month == 5)));
    assert!((30..=70).contains(&count(&|plan| plan.mount.grade == Some(Grade::Worn))));
    assert!((77..=123).contains(&count(&|plan| plan.alignment.stars == Some(Stars::Auto))));
    assert!(count(&|plan| plan.setup.entered.daylight_saving_wrong == Some(true)) > 5);
    assert!(count(&|plan| plan.observe[1].visitors == Some(0)) > 5);
    assert!(nights.iter().all(|plan| plan.observe[1].visitors <= Some(5)));
}

/// What a night drew stands in its plan: the plan's canonical form is the same night without any distribution.
#[test]
fn a_drawn_night_is_a_night_of_its_own() {
    let text = text();
    let study = Study::read(&text).unwrap();
    for number in 100..120 {
        let plan = study.cases()[5].night(Some(number)).unwrap().plan;
        assert_eq!(scenario::read(&plan.canonical_toml()).unwrap(), plan);
    }
    assert_eq!(scenario::read(&text).unwrap(), study.cases()[0].night(Some(100)).unwrap().plan);
}

#[test]
fn the_digest_is_of_all_that_decides_a_night_and_of_nothing_else() {
    let digest = |text: &str| Study::read(text).unwrap().digest();
    let text = text();
    let original = digest(&text);
    assert_eq!(original, digest(&text.replace("\"0.7 deg\"", "\"42 arcmin\"")));
    assert_eq!(original, digest(&format!("{text}\n# a remark\n")));
    assert_eq!(original, digest(&text.replace("nights = 500", "nights = 600")));
    for (from, to) in [
        ("\"0.3 deg\"", "\"0.31 deg\""),
        ("seed = 100", "seed = 101"),
        ("weights = [1, 2, 1]", "weights = [1, 2, 2]"),
        ("name = \"two stars\"", "name = \"two\""),
        ("\"5 %\", \"1 h\"", "\"5 %\", \"2 h\""),
        ("tracking = false", "tracking = true"),
    ] {
        assert!(text.contains(from), "{from}");
        assert_ne!(original, digest(&text.replace(from, to)), "{from}");
    }
}

/// Values that are good each by itself and not together: that night is refused, with the place of the key.
#[test]
fn a_night_that_can_not_be_is_a_complaint() {
    let text = text()
        .replace("tracking = false", "")
        .replace("[mount.hour_axis]", "altitude_lowest = { uniform = [\"10 deg\", \"80 deg\"] }\naltitude_highest = \"50 deg\"\n[mount.hour_axis]");
    let study = Study::read(&text).unwrap();
    let refused: Vec<_> = (0..100).filter_map(|number| study.cases()[0].night(Some(number)).err()).collect();
    // 3 of 7 parts of the range: 43 ± 16 of 100.
    assert!((27..=59).contains(&refused.len()), "{}", refused.len());
    assert_eq!(refused[0][0].key, "mount.altitude_lowest");
    assert!(refused[0][0].line > 1);
}
