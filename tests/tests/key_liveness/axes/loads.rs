//! Play, load, and what gives way under it.

use super::{AxisRow, Case, Turner, row};
use crate::judges::{Verdict, hold, near};
use crate::night::Setting;
use units::{Angle, maths};
use world::Disturbance;

const PLAY: &[Setting] =
    &[("backlash", "\"200 arcsec\""), ("backlash_variation", "\"25 %\""), ("backlash_phase", "\"30 deg\"")];
/// A worn mount with everything but its play taken off.
const WORN: &[Setting] = &[
    ("mount.grade", "\"worn\""),
    ("setup.care", "\"perfect\""),
    ("pitch_radius", "\"40 mm\""),
    ("periodic_error", "[]"),
    ("reducer_error", "[]"),
    ("wheel_eccentricity", "\"0 arcsec\""),
    ("tooth_noise", "\"0 arcsec\""),
    ("backlash_variation", "\"0 %\""),
    ("microstep_error", "\"0 %\""),
    ("imbalance", "\"0 N m\""),
    ("other.imbalance", "\"0 N m\""),
];
const HEAVY: &[Setting] = &[
    ("imbalance", "\"0.6 N m\""),
    ("balance_angle", "\"15 deg\""),
    ("friction", "\"0.005 N m\""),
    ("stiffness", "\"2000 N m/rad\""),
];
const HEAVY_WITH_PLAY: &[Setting] = &[
    ("imbalance", "\"0.6 N m\""),
    ("balance_angle", "\"15 deg\""),
    ("friction", "\"0.005 N m\""),
    ("backlash", "\"100 arcsec\""),
];
const SPRINGY: &[Setting] = &[("natural_frequency", "\"4 Hz\""), ("damping", "0.05")];
const SPRINGY_TOGETHER: &[Setting] = &[SPRINGY[0], ("other.natural_frequency", "\"4 Hz\"")];

pub const ROWS: &[AxisRow] = &[
    row("backlash", &[("backlash", "\"100 arcsec\"")], "\"150 arcsec\"", |case| {
        near("play, arcsec", case.before().play(30.0), 100.0, 1e-3)?;
        near("play, arcsec", case.after().play(30.0), 150.0, 1e-3)
    }),
    row("backlash_variation", PLAY, "\"10 %\"", |case| {
        varied(&mut case.before(), 0.25, 30.0)?;
        varied(&mut case.after(), 0.10, 30.0)
    }),
    row("backlash_phase", PLAY, "\"100 deg\"", |case| varied(&mut case.after(), 0.25, 100.0)),
    row("pitch_radius", WORN, "\"80 mm\"", |case| {
        // 360 and 500 arcsec of the worn grade hold on its 40 mm; the same millimetres on twice the radius are half the angle.
        let of_grade = [360.0, 500.0][case.axis.index];
        near("play, arcsec", case.before().play(30.0), of_grade, 0.01)?;
        near("play, arcsec", case.after().play(30.0), of_grade / 2.0, 0.01)
    }),
    row("imbalance", HEAVY, "\"1.2 N m\"", |case| {
        near("wind-up, arcsec", wind_up(&mut case.before()), expected(case, 0.6, 2000.0), 1e-3)?;
        near("wind-up, arcsec", wind_up(&mut case.after()), expected(case, 1.2, 2000.0), 1e-3)
    }),
    row("balance_angle", HEAVY, "\"45 deg\"", balance_angle),
    row("friction", HEAVY_WITH_PLAY, "\"5 N m\"", |case| {
        // A load above the friction holds the wheel to one flank; below it the wheel stays where the motor left it.
        near("play under load, arcsec", case.before().play(30.0), 0.0, 1e-3)?;
        near("play with much friction, arcsec", case.after().play(30.0), 100.0, 1e-3)
    }),
    row("stiffness", HEAVY, "\"5000 N m/rad\"", |case| {
        near("wind-up, arcsec", wind_up(&mut case.after()), expected(case, 0.6, 5000.0), 1e-3)
    }),
    row("natural_frequency", SPRINGY, "\"7 Hz\"", |case| {
        swings(&mut case.before(), case.axis.index, 4.0, 0.05)?;
        swings(&mut case.after(), case.axis.index, 7.0, 0.05)
    }),
    row("natural_frequency", SPRINGY_TOGETHER, "\"7 Hz\"", |case| {
        // Tube, mount and tripod swing as one: two axes that say otherwise of it can't both be right.
        let complaints = case.complaints();
        hold(
            complaints.len() == 1 && complaints[0].ends_with("natural_frequency"),
            &format!("the complaints are at {complaints:?}"),
        )
    }),
    row("damping", SPRINGY, "0.2", |case| swings(&mut case.after(), case.axis.index, 4.0, 0.2)),
];

/// The play round the wheel: g · (1 + v cos(y − p)).
fn varied(turner: &mut Turner, variation: f64, phase: f64) -> Verdict {
    for place in [10.0, 40.0, 65.0] {
        let cosine = maths::sincos((turner.dial_of(place) - phase).to_radians()).1;
        // Where it is felt from below and from above are 200″ apart: g' · g / 2 is 0.02″.
        near("play, arcsec", turner.play(place), 200.0 * (1.0 + variation * cosine), 0.03)?;
    }
    Ok(())
}

/// Amplitude, over a turn, of what the axis gives way by under an unbalanced load, arcseconds: that of the sine through two
/// places 60° apart, a² = (u² + w² − 2 u w cos 60°)/sin² 60°.
fn wind_up(turner: &mut Turner) -> f64 {
    let (u, w) = (turner.aside(5.0), turner.aside(65.0));
    ((u * u + w * w - u * w) / 0.75).sqrt()
}

/// G · (gravity's part across the axis) / k.
fn expected(case: &Case, imbalance: f64, stiffness: f64) -> f64 {
    Angle::from_radians(imbalance * case.axis.across / stiffness).arcsec()
}

/// A centre of mass 30° further on is met 30° further on by the first axis, and 30° sooner by the second, where it is
/// counted from the boresight upwards.
fn balance_angle(case: &Case) -> Verdict {
    let shift = if case.axis.index == 0 { 30.0 } else { -30.0 };
    let at = if case.axis.index == 0 { 10.0 } else { 50.0 };
    let (before, after) = (case.before().aside(at), case.after().aside(at + shift));
    near("wind-up, arcsec", after, before, 1e-3)?;
    hold((case.after().aside(at) - before).abs() > 1.0, "the change is too small to judge")
}

/// Pushed aside by 100″ it springs back as x(t) = X · e^(−ζωt) · cos(ω √(1 − ζ²) t).
fn swings(turner: &mut Turner, index: usize, hertz: f64, damping: f64) -> Verdict {
    turner.go(30.0);
    let mut push = [Angle::ZERO; 2];
    push[index] = Angle::from_arcsec(100.0);
    turner.befall(Disturbance::Bump(push));
    let omega = maths::TAU * hertz;
    for step in 0..12 {
        let t = f64::from(step) * 0.05;
        let (_, cosine) = maths::sincos(omega * (1.0 - damping * damping).sqrt() * t);
        let expected = 100.0 * maths::exp(-damping * omega * t) * cosine;
        near("pushed aside, arcsec", turner.aside_of(30.0), expected, 1e-3)?;
        turner.wait(0.05);
    }
    Ok(())
}
