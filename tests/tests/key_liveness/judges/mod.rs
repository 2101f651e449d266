//! What must come of a change: families that several keys share, and rules of single keys.

pub mod air;
pub mod build;
pub mod clock;
pub mod computer;
pub mod gears;
pub mod machine;
pub mod night;
pub mod people;
pub mod site;
pub mod sky;
pub mod trial;
pub mod troubles;
pub mod wire;

use crate::Row;
use crate::night::{Case, EAST, GROUND, Setting, WEST, look, prepared};
use bench::Outcome;
use kinematics::Branch;
use kinematics::first_order::EquatorialTerm;
use units::Angle;

/// What must come of a change.
pub enum Holds {
    /// The value is refused, with a complaint at this key.
    Refused(&'static str),
    /// No figure changes; the value is repeated under `equipment`.
    Echoed,
    /// One expectation no longer holds; no figure changes.
    Verdict,
    /// Both misses change by the first-order row of an error of one arcminute.
    FirstOrder(EquatorialTerm),
    /// All hour angles grow: the dials, looked at at the same instant, stand further west.
    HourAngle { arcsec: f64 },
    /// The mount believes in hour angles that are too great: it points too far west by that, times cos δ.
    TooFarWest { arcsec: f64 },
    /// The same for a large turn, by the great circle.
    TurnedSky { arcsec: f64 },
    /// The true field of the first target grows by this factor.
    Field { ratio: f64 },
    /// The true refraction changes by this factor.
    Refraction { ratio: f64 },
    /// The believed refraction changes by this factor.
    FalseRefraction { ratio: f64 },
    /// The direction over the ground moves by these degrees.
    Ground { azimuth: f64, altitude: f64 },
    /// A rule of this key alone.
    Rule(Rule),
}

pub type Verdict = Result<(), String>;
pub type Rule = fn(&Case) -> Verdict;

pub const fn by_rule(rule: Rule) -> Holds {
    Holds::Rule(rule)
}

/// Holds a row.
pub fn judge(row: &Row) -> Verdict {
    if let Holds::Refused(key) = row.holds {
        return refused(row, key);
    }
    let case = Case::new(row.given, (row.key, row.becomes));
    match row.holds {
        Holds::Refused(_) => unreachable!("it was just judged"),
        Holds::Echoed => echoed(&case, row.key, row.becomes),
        Holds::Verdict => no_longer_held(&case, row.key),
        Holds::FirstOrder(term) => first_order(&case, term),
        Holds::HourAngle { arcsec } => clock::hour_angles_grow(&case, arcsec),
        Holds::TooFarWest { arcsec } => too_far_west(&case, arcsec),
        Holds::TurnedSky { arcsec } => turned_sky(&case, arcsec),
        Holds::Field { ratio } => field(&case, ratio),
        Holds::Refraction { ratio } => air::scaled(&case, ratio),
        Holds::FalseRefraction { ratio } => air::scaled_in_belief(&case, ratio),
        Holds::Ground { azimuth, altitude } => ground(&case, azimuth, altitude),
        Holds::Rule(rule) => rule(&case),
    }
}

/// A value that must be near another.
pub fn near(what: &str, found: f64, expected: f64, tolerance: f64) -> Verdict {
    if (found - expected).abs() <= tolerance {
        return Ok(());
    }
    Err(format!("{what} is {found}, expected {expected} within {tolerance}"))
}

/// A condition in words.
pub fn hold(condition: bool, otherwise: &str) -> Verdict {
    if condition { Ok(()) } else { Err(otherwise.to_owned()) }
}

/// An outcome's figures: all of it but names, seed, digest and verdicts.
pub fn figures(outcome: &Outcome) -> Outcome {
    let mut bare = outcome.clone();
    bare.title.clear();
    bare.scenario_digest.clear();
    bare.equipment.clear();
    bare.verdicts.clear();
    bare.seed = 0;
    bare
}

fn refused(row: &Row, key: &str) -> Verdict {
    prepared(row.given).map_err(|_| "it is refused even before the change".to_owned())?;
    match prepared(&[row.given, &[(row.key, row.becomes)] as &[Setting]].concat()) {
        Ok(_) => Err("it was taken".to_owned()),
        Err(complaints) => {
            let keys: Vec<&str> = complaints.iter().map(|complaint| complaint.key.as_str()).collect();
            hold(keys == [key], &format!("the complaints are at {keys:?}, not at {key}"))
        }
    }
}

fn echoed(case: &Case, key: &str, becomes: &str) -> Verdict {
    hold(figures(&case.base) == figures(&case.changed), "a figure changed")?;
    let echo = if key == "night.title" {
        Some(case.changed.title.as_str())
    } else {
        let found = case.changed.equipment.iter().find(|(name, _)| name == key);
        found.map(|(_, text)| text.as_str())
    };
    hold(echo == Some(becomes.trim_matches('"')), &format!("the result repeats {echo:?}"))
}

fn no_longer_held(case: &Case, key: &str) -> Verdict {
    let name = key.trim_start_matches("expect.");
    let held = |outcome: &Outcome| {
        let verdict = outcome.verdicts.iter().find(|verdict| verdict.key == name);
        verdict.map(|verdict| verdict.held)
    };
    hold(figures(&case.base) == figures(&case.changed), "a figure changed")?;
    let found = (held(&case.base), held(&case.changed));
    hold(found == (Some(true), Some(false)), &format!("before and after: {found:?}"))
}

/// What the two components of a miss changed by, arcseconds.
fn miss_change(case: &Case, target: usize) -> (f64, f64) {
    let (before, after) = case.looks(target);
    ((after.miss_east - before.miss_east).arcsec(), (after.miss_north - before.miss_north).arcsec())
}

/// Hour angle and declination that the dials say, and on which branch.
pub fn hour_and_declination(case: &Case, target: usize) -> (Angle, Angle, Branch) {
    let look = look(&case.base, target);
    match look.solution {
        "direct" => (look.dials.0, look.dials.1, Branch::Direct),
        _ => (look.dials.0 + Angle::HALF, Angle::HALF - look.dials.1, Branch::ThroughPole),
    }
}

/// Rows of the first-order table (kinematics, differentiated from the chain by hand) for one arcminute.
fn first_order(case: &Case, term: EquatorialTerm) -> Verdict {
    // The base night's latitude.
    let latitude = Angle::from_degrees(40.5);
    for (target, solution) in [(EAST, "direct"), (WEST, "through-pole")] {
        hold(look(&case.base, target).solution == solution, "the base night's solutions have changed")?;
        let (hour, declination, branch) = hour_and_declination(case, target);
        let (hour_row, declination_row) = term.row(latitude, hour, declination, branch);
        let (east, north) = miss_change(case, target);
        // What is left out is of the order of the square of one arcminute, 0.017″, times slopes below 2.
        near("miss_east_arcsec", east, -60.0 * hour_row * declination.cos(), 0.035)?;
        near("miss_north_arcsec", north, 60.0 * declination_row, 0.035)?;
        hold(east.abs() + north.abs() > 5.0, "the change is too small to judge here")?;
    }
    Ok(())
}

fn too_far_west(case: &Case, arcsec: f64) -> Verdict {
    for target in [EAST, WEST] {
        let (_, declination, _) = hour_and_declination(case, target);
        let (east, north) = miss_change(case, target);
        // Along a parallel the offset north is H²/2 · sin δ cos δ: 0.009″ for 60″; aberration moves by less.
        near("miss_east_arcsec", east, -arcsec * declination.cos(), 0.01)?;
        near("miss_north_arcsec", north, 0.0, 0.01)?;
    }
    Ok(())
}

/// Two places at one declination δ that are H apart in hour angle: sin(miss/2) = cos δ · sin(H/2).
fn turned_sky(case: &Case, arcsec: f64) -> Verdict {
    let (_, declination, _) = hour_and_declination(case, EAST);
    let half = (declination.cos() * Angle::from_arcsec(arcsec / 2.0).sin()).clamp(-1.0, 1.0);
    let expected = 2.0 * Angle::atan2(half, (1.0 - half * half).sqrt()).arcsec();
    // Within an hour annual aberration moves by 20.5″ · 2π/8766 = 0.015″, precession by 0.006″.
    near("miss_arcsec", case.looks(EAST).1.miss.arcsec(), expected, 0.03)?;
    near("miss_arcsec of the base night", case.looks(EAST).0.miss.arcsec(), 0.0, 0.001)
}

/// Apparent field over magnification.
fn field(case: &Case, ratio: f64) -> Verdict {
    let found = case.changed.gotos[EAST].true_field / case.base.gotos[EAST].true_field;
    // Three roundings of a double.
    near("ratio of true_field_arcsec", found, ratio, 1e-14)?;
    let mut other = case.changed.clone();
    for (row, before) in other.gotos.iter_mut().zip(&case.base.gotos) {
        row.true_field = before.true_field;
    }
    hold(figures(&other) == figures(&case.base), "another figure changed, too")
}

fn ground(case: &Case, azimuth: f64, altitude: f64) -> Verdict {
    let (before, after) = case.looks(GROUND);
    // A direction over the ground is as exact as its degrees are.
    near("target_azimuth_deg", (after.target.0 - before.target.0).degrees(), azimuth, 1e-10)?;
    near("target_altitude_deg", (after.target.1 - before.target.1).degrees(), altitude, 1e-10)?;
    // A perfect mount without air stands where it was sent.
    near("boresight_azimuth_deg", (after.boresight.0 - before.boresight.0).degrees(), azimuth, 1e-8)?;
    near("boresight_altitude_deg", (after.boresight.1 - before.boresight.1).degrees(), altitude, 1e-8)
}
