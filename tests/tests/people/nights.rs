//! The nights of `fixtures/scenarios/people`, one test each, with what was worked out beforehand.

use bench::{Outcome, Prepared};
use kinematics::frames;
use units::{Angle, AngularRate, Span, maths};

fn prepared(name: &str) -> Prepared {
    let path = tests::top().join(format!("fixtures/scenarios/people/{name}.toml"));
    let text = std::fs::read_to_string(&path).expect("the fixture is there");
    let plan = scenario::read(&text).unwrap_or_else(|complaints| panic!("{name}: {complaints:?}"));
    bench::prepare(&plan).unwrap_or_else(|complaints| panic!("{name}: {complaints:?}"))
}

fn played(name: &str) -> Outcome {
    prepared(name).measure()
}

/// Misses in arcseconds, by target.
fn misses(outcome: &Outcome) -> Vec<(&str, f64)> {
    let miss = |row: &bench::GotoRow| row.look.as_ref().expect("it was looked at").miss.arcsec();
    outcome.gotos.iter().map(|row| (row.target.as_str(), miss(row))).collect()
}

#[track_caller]
fn all_below(name: &str, arcsec: f64) -> Outcome {
    let outcome = played(name);
    for (target, miss) in misses(&outcome) {
        assert!(miss <= arcsec, "{name}: {target} is off by {miss} arcsec");
    }
    outcome
}

fn presses(outcome: &Outcome) -> (u64, Span) {
    (outcome.evening.alignment_presses, outcome.summary.alignment)
}

#[test]
fn a_perfect_person_leaves_nothing_in_vacuum() {
    let outcome = all_below("perfect_in_vacuum", 0.001);
    assert_eq!(outcome.sightings.len(), 2);
    all_below("southern", 0.001);
}

#[test]
fn in_air_the_miss_is_what_the_air_does_in_three_seconds() {
    let outcome = played("perfect_in_air");
    let latitude = Angle::from_degrees(40.5);
    let omega = AngularRate::SIDEREAL.radians();
    for row in &outcome.gotos {
        let look = row.look.as_ref().expect("it was looked at");
        let (azimuth, altitude) = look.target;
        // R = k cot h towards the zenith; in the frame of the turning sky its length changes with the altitude, its direction
        // with the parallactic angle.
        let k = 58.3_f64;
        let rise = omega * latitude.cos() * azimuth.sin();
        let turn = omega * latitude.cos() * azimuth.cos() / altitude.cos();
        let along = k / (altitude.sin() * altitude.sin()) * rise;
        let across = k * altitude.cos() / altitude.sin() * turn;
        let expected = 3.0 * maths::hypot(along, across);
        // A tenth: k is that of 10 degrees and 1010 hPa by the handbook, the night's is its library's.
        let miss = look.miss.arcsec();
        assert!((miss / expected - 1.0).abs() < 0.1, "{}: {miss} instead of {expected}", row.target);
    }
}

#[test]
fn an_hour_of_daylight_saving_turns_the_sky_by_fifteen_degrees() {
    let outcome = played("daylight_saving");
    let turn = Angle::from_radians(AngularRate::SIDEREAL.radians() * 3600.0);
    for row in &outcome.gotos {
        let look = row.look.as_ref().expect("it was looked at");
        // The chord of a turn about the pole: sin(d/2) = cos δ sin(t/2), δ of date.
        let direction = frames::direction(look.target.0, look.target.1);
        let latitude = Angle::from_degrees(40.5);
        let sin_declination = direction.y * latitude.cos() + direction.z * latitude.sin();
        let cos_declination = (1.0 - sin_declination * sin_declination).sqrt();
        let expected = 2.0 * maths::asin(cos_declination * (turn / 2.0).sin());
        // The chord is exact; half an arcsecond is left for the milliseconds of the look's instant.
        let off = (look.miss.radians() - expected).abs();
        assert!(Angle::from_radians(off).arcsec() < 0.5, "{}: {}", row.target, look.miss.degrees());
    }
}

#[test]
fn one_star_takes_the_hour_out_but_must_be_found_first() {
    // A perfect hand centres to a quarter of an arcsecond.
    let outcome = all_below("daylight_saving_one_star", 0.5);
    let sighting = &outcome.sightings[0];
    assert!((sighting.first_miss.degrees() - 10.4).abs() < 0.2, "{}", sighting.first_miss.degrees());
    assert!(outcome.summary.alignment > Span::from_whole_seconds(180));
}

#[test]
fn a_wrong_star_puts_everything_off_by_how_far_it_stands() {
    let outcome = played("wrong_star");
    // Alnilam to Alnitak is 1.356 degrees, to Mintaka 1.386 (from memory; the catalogue agrees).
    let off = outcome.sightings[0].centring_miss.degrees();
    assert!([1.356, 1.386].iter().any(|apart| (off - apart).abs() < 0.002), "{off}");
    for (target, miss) in misses(&outcome) {
        // All in the same part of the sky: a shift of both dials keeps its length to a hundredth there.
        assert!((miss / 3600.0 / off - 1.0).abs() < 0.01, "{target}: {miss}");
    }
}

#[test]
fn an_approach_that_is_kept_drops_the_play_out_on_its_side_of_the_meridian() {
    // The declination axis has 180″ of play. Which side shows it depends on which of its flanks the sighting was on.
    for (name, here, there) in [("approach_kept", 0.0, 180.0), ("approach_forgotten", 180.0, 0.0)] {
        let outcome = played(name);
        for (target, miss) in misses(&outcome) {
            let same_side = matches!(target, "Regulus" | "M 44");
            let expected = if same_side { here } else { there };
            // A perfect hand's quarter of an arcsecond on each axis.
            assert!((miss - expected).abs() < 0.5, "{name}, {target}: {miss} instead of {expected}");
        }
    }
}

#[test]
fn a_finder_that_was_not_set_costs_keys_and_no_accuracy() {
    let (set, unset) = (all_below("finder_aligned", 0.5), all_below("finder_unaligned", 0.5));
    let ((few, short), (many, long)) = (presses(&set), presses(&unset));
    assert!(many >= few + 5 && long > short, "{few} keys in {short:?}, {many} in {long:?}");
}

#[test]
fn a_compass_without_its_declination_turns_the_whole_mount() {
    let outcome = played("compass");
    let set = outcome.setup.iter().find(|row| row.name == "polar axis, azimuth").expect("it is told");
    assert!((set.set.degrees() - 7.0).abs() < 1e-9 && (set.total.degrees() - 7.0).abs() < 1e-9);
    for row in &outcome.gotos {
        let look = row.look.as_ref().expect("it was looked at");
        let turned = (look.boresight.0 - look.target.0).wrapped_signed().degrees();
        // A turn about the vertical: azimuth by seven degrees, altitude not at all; within the sky's way in three seconds
        // under a skewed axis (half an arcminute).
        assert!((turned - 7.0).abs() < 0.02, "{}: {turned}", row.target);
        assert!((look.boresight.1 - look.target.1).arcmin().abs() < 0.5, "{}", row.target);
    }
}

#[test]
fn stars_on_one_side_hide_the_cone_until_the_tube_is_turned_over() {
    let cone = 600.0;
    let east = |target: &str| matches!(target, "Regulus" | "Algieba");
    for (target, miss) in misses(&played("stars_on_one_side")) {
        // On the stars' own side the rotation has nearly all of it; beyond the meridian it counts twice.
        let expected = if east(target) { 0.0 } else { 2.0 * cone };
        assert!((miss - expected).abs() < 0.15 * cone, "{target}: {miss}");
    }
    for (target, miss) in misses(&played("stars_across")) {
        // Each side gets half of the difference of two cones.
        assert!((miss - cone).abs() < 0.15 * cone, "{target}: {miss}");
    }
}

#[test]
fn two_stars_take_a_southern_polar_error_out() {
    // A perfect hand's quarter of an arcsecond at each star, and what a star drifts in the seconds of a look.
    let outcome = all_below("southern_bolts", 1.0);
    assert!(outcome.sightings.iter().all(|one| one.first_miss.arcmin() > 15.0));
}

#[test]
fn thirty_people_have_their_look() {
    let outcome = played("thirty_visitors");
    let effort = &outcome.evening.targets[0];
    assert_eq!((effort.visitors_came, effort.visitors_saw, effort.centrings), (30, 30, 0));
    assert_eq!(outcome.summary.visitors_served, 30);
    // 45 s each and a glance of two seconds before each, after slewing and settling.
    let look = outcome.gotos[0].look.as_ref().expect("it was looked at");
    let expected = look.slew + Span::from_whole_seconds(3 + 30 * 47);
    assert!((effort.took - expected).abs() < Span::from_whole_seconds(1), "{:?}", effort.took);
}

#[test]
fn hands_on_the_tube_are_made_good_between_visitors() {
    let outcome = played("thirty_hands");
    let effort = &outcome.evening.targets[0];
    assert!(outcome.evening.jolts > 0, "nobody touched it");
    // At most a few see nothing since somebody has just pushed it out of the field.
    assert!(effort.visitors_came == 30 && effort.visitors_saw >= 27, "{effort:?}");
}

#[test]
fn a_cloud_hides_stars_and_targets() {
    let outcome = all_below("cloud", 0.001);
    let endings: Vec<&str> = outcome.evening.tries.iter().map(|one| one.ending).collect();
    assert_eq!(endings[0], "hidden");
    assert_eq!(endings.iter().filter(|ending| **ending == "taken").count(), 2);
    let saw: Vec<u64> = outcome.evening.targets.iter().map(|one| one.visitors_saw).collect();
    assert_eq!(saw, [0, 3]);
}

#[test]
fn the_first_star_is_waited_for() {
    let outcome = all_below("dusk", 0.001);
    // Sunset at the field is at 18:20 UTC on that day, civil twilight ends half an hour later; Sirius shows before that.
    let wait = outcome.summary.alignment.minutes();
    assert!((5.0..40.0).contains(&wait), "{wait} min");
}

#[test]
fn the_same_night_has_the_same_bytes() {
    let prepared = prepared("thirty_hands");
    assert_eq!(prepared.measure(), prepared.measure());
}
