//! Time, the Earth's rotation, and the crystal.

use super::{Verdict, hour_and_declination, near};
use crate::night::{Case, EAST, NAMED, WEST};
use units::AngularRate;

/// Arcseconds by which the sky turns in a second of UT1: 1.00273781191135448 turns a day.
pub const PER_SECOND: f64 = 1_296_000.0 * AngularRate::SIDEREAL_TURNS_PER_UT1_DAY / 86_400.0;

/// What the hour dials grew by beyond the turning of the sky between the two looks, arcseconds.
fn growth(case: &Case, target: usize) -> f64 {
    let (before, after) = case.looks(target);
    (after.dials.0 - before.dials.0).arcsec() - PER_SECOND * (after.at - before.at).seconds()
}

/// Hour angles that grow at one instant.
pub fn hour_angles_grow(case: &Case, arcsec: f64) -> Verdict {
    for target in [EAST, WEST, NAMED] {
        // Nothing else changes but diurnal aberration, 0.3″ times the part of a radian that was turned.
        near("hour_dial_deg in arcsec", growth(case, target), arcsec, 0.003)?;
    }
    Ok(())
}

/// Ten minutes later the stars stand ten minutes further west.
pub fn dials_follow_the_clock(case: &Case) -> Verdict {
    for target in [EAST, WEST, NAMED] {
        let (before, after) = case.looks(target);
        // Slews to other places take a little longer or shorter.
        near("seconds between the looks", (after.at - before.at).seconds(), 600.0, 5.0)?;
        // Annual aberration moves by 20.5″ · 2π/52596 in ten minutes, diurnal by 0.3″ · 2.5°.
        near("hour_dial_deg in arcsec", growth(case, target), 0.0, 0.02)?;
    }
    Ok(())
}

/// A crystal that is 100 ppm fast turns the hour axis too fast by as much.
pub fn crystal_turns_the_axis(case: &Case) -> Verdict {
    let (_, declination, _) = hour_and_declination(case, EAST);
    let west_per_second = PER_SECOND * 1e-4 * declination.cos();
    let last =
        |outcome: &bench::Outcome| outcome.samples.last().map_or(f64::NAN, |one| one.error_east.arcsec());
    // Ten minutes of it; the sky's own aberration and precession stay below a milliarcsecond.
    near(
        "error_east_arcsec at the end",
        last(&case.changed) - last(&case.base),
        -600.0 * west_per_second,
        0.002,
    )?;
    let drift = case.changed.dwells[0].drift.arcsec() * 60.0;
    near("drift_arcsec_per_min", drift, 60.0 * west_per_second, 0.001)
}
