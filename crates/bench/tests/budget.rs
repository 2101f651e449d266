//! The budget: each cause taken away exactly, and nothing else with it.

use bench::{Outcome, prepare};
use units::Angle;

const NIGHT: &str = r#"
format = 1
[night]
begin = 2027-03-06T20:30:00+01:00
length = "3 h"
seed = 7
[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"
[mount]
kind = "german-equatorial"
grade = "perfect"
[[observe]]
target = "Capella"
[[observe]]
target = "Sirius"
[[observe]]
target = "Regulus"
"#;

fn played(more: &str) -> Outcome {
    let plan = scenario::read(&format!("{NIGHT}{more}")).expect("a good scenario");
    prepare(&plan).expect("a night that can be played").play()
}

#[test]
fn a_perfect_night_has_no_budget() {
    assert!(played("").budget.is_empty());
}

#[test]
fn a_single_cause_alone_is_the_night_itself() {
    let night = played("[setup]\npolar_azimuth_error = \"-24 arcmin\"\n");
    let [row] = night.budget.as_slice() else { panic!("{:?}", night.budget) };
    assert_eq!(row.cause, "The polar axis's azimuth error");
    assert_eq!(row.miss_median_alone, night.summary.miss_median);
    assert_eq!(row.in_field_alone, night.summary.in_field);
    // Without it nothing is wrong, and the air's change between arrival and look is hundredths of an arcsecond.
    assert_eq!(row.miss_median_without, played("").summary.miss_median);
    assert!(row.miss_median_without.unwrap() < Angle::from_arcsec(1.0));
}

#[test]
fn without_a_cause_is_the_night_whose_file_has_it_at_zero() {
    let both = |azimuth: &str| {
        played(&format!(
            "[setup]\npolar_altitude_error = \"15 arcmin\"\npolar_azimuth_error = \"{azimuth}\"\n"
        ))
    };
    let night = both("-24 arcmin");
    let row = night.budget.iter().find(|row| row.cause == "The polar axis's azimuth error").unwrap();
    assert_eq!(row.miss_median_without, both("0 arcmin").summary.miss_median);
    // The costliest stands first: most in the field, then the least median.
    let order: Vec<_> =
        night.budget.iter().map(|row| (row.in_field_without, row.miss_median_without)).collect();
    assert!(order.windows(2).all(|pair| pair[0].0 > pair[1].0 || pair[0].1 <= pair[1].1));
    assert!(night.advice[1].starts_with(&format!("{} costs the most", night.budget[0].cause)));
}

#[test]
fn a_disturbance_that_is_taken_away_leaves_the_draws_of_the_others() {
    // The direction in which a tripod sinks is drawn by the disturbance's place in the list.
    let sink =
        "[[disturb]]\nat = \"20:31\"\nkind = \"settle\"\nsize = \"3 arcmin\"\ntime_constant = \"1 min\"\n";
    let knock =
        |size: &str| format!("[[disturb]]\nat = \"20:30\"\nkind = \"knock\"\nhour_axis = \"{size}\"\n{sink}");
    let night = played(&knock("20 arcmin"));
    let row = night.budget.iter().find(|row| row.cause == "The knocks").unwrap();
    assert_eq!(row.miss_median_without, played(&knock("0 arcmin")).summary.miss_median);
    assert_ne!(row.miss_median_without, night.summary.miss_median);
}

#[test]
fn the_gears_of_a_grade_are_causes_though_no_key_names_them() {
    let plan = scenario::read(&NIGHT.replace("\"perfect\"", "\"worn\"")).unwrap();
    let causes: Vec<String> =
        prepare(&plan).unwrap().play().budget.into_iter().map(|row| row.cause).collect();
    for cause in ["The play of the gears", "The periodic error of the worms", "The cone error"] {
        assert!(causes.iter().any(|found| found == cause), "{cause}: {causes:?}");
    }
}
