//! How much a stepping motor can pull, and how fast it can therefore turn.

use crate::spec::{AxisSpec, Motor};
use units::{AngularRate, maths};

/// Pull-out torque in N·m at the motor's shaft, at full steps per second and nominal voltage.
pub(crate) fn pull_out(motor: &Motor, speed: f64) -> f64 {
    curve(motor, speed) * motor.resonances.iter().map(|band| 1.0 - dip(band, speed)).product::<f64>()
}

/// The torque curve without its resonances.
fn curve(motor: &Motor, speed: f64) -> f64 {
    let curve = &motor.pull_out;
    let above = curve.partition_point(|(knot, _)| *knot <= speed);
    match (above.checked_sub(1).map(|i| &curve[i]), curve.get(above)) {
        (None, Some((_, torque))) => torque.newton_metres(),
        (Some((v0, t0)), Some((v1, t1))) => {
            let share = (speed - v0) / (v1 - v0);
            t0.newton_metres() + (t1.newton_metres() - t0.newton_metres()) * share
        }
        (Some((last, torque)), None) if speed <= *last => torque.newton_metres(),
        _ => 0.0,
    }
}

/// A lower bound on the pull-out torque at all speeds up to this one.
pub(crate) fn least_pull_out(motor: &Motor, speed: f64) -> f64 {
    // Overlapping bands multiply, so all that may be met are taken together.
    let bands = motor.resonances.iter().filter(|band| band.from < speed);
    let kept: f64 = bands.map(|band| 1.0 - band.dip.fraction()).product();
    let knots = motor.pull_out.iter().map(|(knot, _)| *knot).take_while(|knot| *knot < speed);
    kept * knots.chain([speed]).map(|knot| curve(motor, knot)).fold(f64::INFINITY, f64::min)
}

/// The share of the torque that a resonance takes: a smooth bell over its band, deepest in the middle.
fn dip(band: &crate::spec::Resonance, speed: f64) -> f64 {
    if speed <= band.from || speed >= band.to {
        return 0.0;
    }
    let place = (speed - band.from) / (band.to - band.from);
    let wave = maths::sin(maths::PI * place);
    band.dip.fraction() * wave * wave
}

/// Full steps per second at a rate of the axis in radians per second.
pub(crate) fn full_steps_per_second(axis: &AxisSpec, rate: f64) -> f64 {
    rate.abs() / axis.full_step().radians()
}

/// Torque at the motor's shaft that moves the axis: friction, load against the motion, and inertia.
///
/// `load` in N·m and `acceleration` in rad/s² are in the positive sense of the axis, `rate` gives the sense of motion. A load or
/// a braking that helps counts against the friction; a self-locking worm takes the rest.
pub(crate) fn demand(
    axis: &AxisSpec,
    motor: &Motor,
    friction: f64,
    load: f64,
    rate: f64,
    acceleration: f64,
) -> f64 {
    let sense = if rate < 0.0 { -1.0 } else { 1.0 };
    let resisting = friction - sense * load + sense * axis.inertia * acceleration;
    resisting.max(0.0) / (axis.gearing() * motor.efficiency.fraction())
}

/// The highest rate at which the balanced axis still accelerates as its limits ask: the end of the stretch from
/// standstill over which pull-out torque suffices, found to a thousandth of the curve's length. It is looked for no further
/// than the first such step that isn't below the axis's own greatest rate.
pub(crate) fn fastest_balanced(axis: &AxisSpec, motor: &Motor) -> AngularRate {
    let needed =
        demand(axis, motor, axis.friction.newton_metres(), 0.0, 1.0, axis.limits.acceleration.radians());
    let last = motor.pull_out.last().map_or(0.0, |(speed, _)| *speed);
    // What all resonances at their deepest leave: where that is enough, none needs to be looked at.
    let kept: f64 = motor.resonances.iter().map(|band| 1.0 - band.dip.fraction()).product();
    let mut fastest = AngularRate::from_radians(0.0);
    for step in 0..=1000 {
        let speed = last * f64::from(step) / 1000.0;
        if curve(motor, speed) * kept < needed && pull_out(motor, speed) < needed {
            break;
        }
        fastest = AngularRate::from_radians(speed * axis.full_step().radians());
        if fastest >= axis.limits.rate {
            break;
        }
    }
    fastest
}
