//! Where the mount stands.

use super::{Verdict, hold, near};
use crate::night::{Case, EAST, WEST, look};
use bench::GotoOutcome;
use units::Angle;

/// Without air the altitude follows from the nautical triangle: sin h = sin φ sin δ + cos φ cos δ cos H.
pub fn altitude_of_the_triangle(case: &Case) -> Verdict {
    for target in [EAST, WEST] {
        for (outcome, latitude) in [(&case.base, 40.5), (&case.changed, 40.6)] {
            let dials = look(outcome, target).dials;
            let through_pole = look(outcome, target).solution == "through-pole";
            let (hour, declination) =
                if through_pole { (dials.0 + Angle::HALF, Angle::HALF - dials.1) } else { dials };
            let (sp, cp) = Angle::from_degrees(latitude).sin_cos();
            let sine = sp * declination.sin() + cp * declination.cos() * hour.cos();
            let altitude = Angle::atan2(sine, (1.0 - sine * sine).sqrt());
            // The star moves otherwise than the dials by aberration alone, over the three seconds before the look.
            near("target_altitude_deg", look(outcome, target).target.1.degrees(), altitude.degrees(), 1e-7)?;
        }
    }
    let (before, after) = case.looks(EAST);
    hold(
        (after.target.1 - before.target.1).abs() > Angle::from_arcmin(1.0),
        "the change is too small to judge",
    )
}

/// A skyline of 60° hides the target, and the mount says by how much.
pub fn refused_by_what_is_missing(case: &Case) -> Verdict {
    let row = &case.changed.gotos[EAST];
    if row.outcome != GotoOutcome::Refused {
        return Err(format!("the outcome is {}", row.outcome.word()));
    }
    let sentence = row.refusal.as_deref().unwrap_or_default();
    let said = sentence.split(' ').find_map(|word| word.parse::<f64>().ok()).unwrap_or(f64::NAN);
    // It is said to a tenth of a degree.
    near(sentence, said, 60.0 - look(&case.base, EAST).target.1.degrees(), 0.06)
}
