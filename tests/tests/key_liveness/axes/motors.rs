//! Motors: steps, rates, and what they can carry.

use super::{AxisRow, Case, Turner, row};
use crate::judges::{Verdict, hold, near};
use crate::night::Setting;
use units::maths;

const STEPS: &[Setting] = &[("full_steps", "200"), ("microsteps", "8"), ("reducer_ratio", "3.0")];
const UNEVEN: &[Setting] = &[("full_steps", "200"), ("microsteps", "8"), ("microstep_error", "\"4 %\"")];
/// The most that both axes do, by hand, so that all four are alike.
const RATES: &[Setting] =
    &[("slew_rate", "\"3 deg/s\""), ("acceleration", "\"2 deg/s2\""), ("jerk", "\"6 deg/s3\"")];
const STRONG: &[Setting] = &[("friction", "\"1 N m\""), ("stall_torque", "\"4 N m\"")];

pub const ROWS: &[AxisRow] = &[
    row("full_steps", STEPS, "400", |case| {
        steps(&mut case.before(), microstep(200.0, 8.0, 3.0))?;
        steps(&mut case.after(), microstep(400.0, 8.0, 3.0))
    }),
    row("microsteps", STEPS, "20", |case| steps(&mut case.after(), microstep(200.0, 20.0, 3.0))),
    row("reducer_ratio", STEPS, "5.0", |case| steps(&mut case.after(), microstep(200.0, 8.0, 5.0))),
    row("microstep_error", UNEVEN, "\"10 %\"", |case| {
        uneven(&mut case.before(), 0.04)?;
        uneven(&mut case.after(), 0.10)
    }),
    row("slew_rate", RATES, "\"2 deg/s\"", |case| {
        duration(&mut case.before(), 3.0, 2.0, 6.0)?;
        duration(&mut case.after(), 2.0, 2.0, 6.0)
    }),
    row("acceleration", RATES, "\"1 deg/s2\"", |case| duration(&mut case.after(), 3.0, 1.0, 6.0)),
    row("jerk", RATES, "\"12 deg/s3\"", |case| duration(&mut case.after(), 3.0, 2.0, 12.0)),
    row("stall_torque", STRONG, "\"2 N m\"", stall_torque),
];

/// One microstep of a wheel of 160 teeth, arcseconds.
fn microstep(full_steps: f64, microsteps: f64, reducer: f64) -> f64 {
    1_296_000.0 / (full_steps * microsteps * reducer * 160.0)
}

/// An axis stands on the whole microstep nearest to where it was sent.
fn steps(turner: &mut Turner, step: f64) -> Verdict {
    for place in [11.3, 17.72, 29.050_31, 41.191, 57.9] {
        let ordered = turner.dial_of(place) * 3600.0;
        let nearest = (ordered / step).round() * step;
        near("true angle minus order, arcsec", turner.aside(place), nearest - ordered, 1e-3)?;
    }
    Ok(())
}

/// Half of the peak with the electrical period of four full steps, half with each full step.
fn uneven(turner: &mut Turner, share: f64) -> Verdict {
    let (step, full) = (microstep(200.0, 8.0, 3.0), microstep(200.0, 1.0, 3.0));
    for place in [11.3, 17.72, 29.050_31, 41.191, 57.9] {
        let ordered = turner.dial_of(place) * 3600.0;
        let nearest = (ordered / step).round() * step;
        let wave = |period: f64| maths::sincos(maths::TAU * nearest / period).0;
        let expected = nearest - ordered + 0.5 * share * full * (wave(4.0 * full) + wave(full));
        near("true angle minus order, arcsec", turner.aside(place), expected, 1e-3)?;
    }
    Ok(())
}

/// Forty degrees take D/v + v/a + a/j.
fn duration(turner: &mut Turner, rate: f64, acceleration: f64, jerk: f64) -> Verdict {
    turner.go(10.0);
    let expected = 40.0 / rate + rate / acceleration + acceleration / jerk;
    // Printed to a millisecond.
    near("seconds", turner.go(50.0), expected, 6e-4)
}

/// A motor that stalls at rest under 4 N·m still has 0.47 of that at 3°/s, 800 full steps a second: 0.56 by its curve, less a
/// sixth in its band of resonance. That is more than the friction of 1 N·m; half as strong a motor is refused.
fn stall_torque(case: &Case) -> Verdict {
    case.before().go(10.0);
    let complaints = case.complaints();
    hold(complaints == ["slew_rate"], &format!("the complaints are at {complaints:?}"))
}
