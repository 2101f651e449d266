//! What somebody learns of the gears, as many nights and the budget have it.

use bench::{Prepared, prepare};
use units::Span;

const NIGHT: &str = r#"
format = 1

[night]
begin = 2027-06-10T22:00:00+02:00
length = "2 h"

[site]
latitude = "-33 deg"
longitude = "20 deg"
pressure = "0 hPa"

[mount]
kind = "german-equatorial"
grade = "perfect"

[mount.hour_axis]
teeth = 144
periodic_error = [{ harmonic = 1.0, amplitude = "15 arcsec", phase = "70 deg" }]

[mount.declination_axis]
backlash = "400 arcsec"
backlash_variation = "50 %"
backlash_phase = "-26.5 deg"

[[observe]]
name = "A"
ra = "238.59 deg"
dec = "60 deg"

[[observe]]
name = "B"
ra = "238.59 deg"
dec = "-10 deg"
"#;

fn night(further: &str) -> Prepared {
    let plan = scenario::read(&format!("{NIGHT}{further}")).expect("it is a night");
    prepare(&plan).expect("it can be played")
}

const RECORDED: &str = "[observer.periodic_error]\nrecord_turns = 2\n";
const MEASURED: &str = "[observer.play]\nrounds = 1\nstar = \"Antares\"\n";

#[test]
fn the_minutes_and_slews_of_many_nights_have_recording_and_measuring_in_them() {
    let (without, with) = (night("").figures(false), night(&format!("{RECORDED}{MEASURED}")).figures(false));
    // Two turns of a worm of 144 teeth: the mean sidereal day by 72 (from memory), and a star to be found for each of both.
    let turns = Span::from_seconds(86_164.090_5 / 72.0);
    let longer = with.evening - without.evening;
    assert!(longer > turns && longer < turns + Span::from_whole_seconds(400), "{longer:?}");
    assert_eq!(with.slews, without.slews + 2);
    // It is what such a night takes longer until its first target.
    assert!(without.summary.alignment == Span::ZERO && with.summary.alignment > turns);
    assert!(with.presses > without.presses + 100, "{} presses", with.presses);
    // The figures of a sweep are those of the night by itself.
    let alone = night(&format!("{RECORDED}{MEASURED}")).measure();
    assert_eq!(with.summary.miss_median, alone.summary.miss_median);
}

#[test]
fn the_budget_weighs_what_was_recorded_and_measured() {
    let outcome = night(&format!("{RECORDED}{MEASURED}")).play();
    let row = |cause: &str| outcome.budget.iter().find(|row| row.cause == cause);
    for cause in ["The correction that was recorded", "The take-up that was measured"] {
        assert!(row(cause).is_some_and(|row| row.miss_median_without.is_some()), "{cause} has no row");
    }
    let bare = night("").play();
    assert!(
        bare.budget.iter().all(|row| !row.cause.ends_with("recorded") && !row.cause.ends_with("measured"))
    );
}
