//! Whether a specification can be a mount.

use crate::drive;
use crate::error::SpecError;
use crate::motor;
use crate::spec::{AxisSpec, Harmonic, MountSpec, Supply};
use kinematics::AxisAngles;
use std::fmt::{Arguments, Display};
use units::{Angle, AngularRate, Torque};

/// Names of the two axes in messages.
pub(crate) const NAMES: [&str; 2] = ["first", "second"];
/// What the slopes upstream of the play may add up to.
const STEEPEST: f64 = 0.9;

impl MountSpec {
    /// Whether a mount can be made of it and switched on at `home`: what [`crate::Mount::new`] asks, without making one.
    ///
    /// # Errors
    /// [`SpecError`] for what can't be a mount, with the number that would do.
    pub fn check(&self, home: AxisAngles) -> Result<(), SpecError> {
        within("latitude, degrees", self.latitude.degrees(), -90.0, 90.0)?;
        within("crystal drift, ppm", self.crystal_drift.ppm(), -1000.0, 1000.0)?;
        if let Some(structure) = &self.structure {
            within("structure, natural frequency, Hz", structure.frequency.hertz(), 0.1, 1000.0)?;
            within("structure, damping ratio", structure.damping, 1e-4, 0.99)?;
        }
        if let Supply::Battery(battery) = &self.supply {
            within("battery, full voltage", battery.full, 1.0, 1000.0)?;
            within("battery, empty voltage", battery.empty, 0.0, battery.full)?;
            within("battery, reset voltage", battery.reset_below, 0.0, battery.full)?;
            within("battery, hours it lasts", battery.lasts.hours(), 0.01, 10_000.0)?;
        }
        let greatest = crate::load::Weights::new(self).greatest();
        for (index, axis) in self.axes.iter().enumerate() {
            check_numbers(NAMES[index], axis)?;
            check_gears(NAMES[index], axis)?;
            check_load(NAMES[index], axis, greatest[index])?;
            check_motor(NAMES[index], axis)?;
            check_stops(NAMES[index], axis, if index == 0 { home.first } else { home.second })?;
        }
        check_body(self, home)
    }
}

/// `place` is made into text for a complaint only: a mount is checked for hundreds of numbers each time one is built.
fn within(place: impl Display, value: f64, low: f64, high: f64) -> Result<(), SpecError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(SpecError::OutOfRange {
        place: place.to_string(),
        value,
        expected: format!("give a number from {low} to {high}"),
    })
}

fn check_numbers(name: &str, axis: &AxisSpec) -> Result<(), SpecError> {
    let named = |what: Arguments, value: f64, low: f64, high: f64| {
        within(format_args!("{name} axis, {what}"), value, low, high)
    };
    let field = |what: &str, value: f64, low: f64, high: f64| named(format_args!("{what}"), value, low, high);
    field("teeth", axis.teeth as f64, 1.0, 100_000.0)?;
    field("reducer ratio", axis.reducer_ratio, 0.01, 1e6)?;
    field("full steps per turn", axis.full_steps as f64, 1.0, 1e6)?;
    field("microsteps", axis.microsteps as f64, 1.0, 4096.0)?;
    field("microstep error, per cent", axis.microstep_error.percent(), 0.0, 100.0)?;
    field("backlash, degrees", axis.backlash.degrees(), 0.0, 5.0)?;
    field("backlash variation, per cent", axis.backlash_variation.percent(), 0.0, 99.0)?;
    field("backlash phase, degrees", axis.backlash_phase.degrees(), -1e6, 1e6)?;
    field("backlash per kelvin", axis.backlash_warming, -0.02, 0.02)?;
    field("imbalance, N m", axis.imbalance.newton_metres(), -1e6, 1e6)?;
    field("balance angle, degrees", axis.balance_angle.degrees(), -1e6, 1e6)?;
    field("friction, N m", axis.friction.newton_metres(), 0.0, 1e6)?;
    field("friction per kelvin", axis.friction_cooling, -0.02, 0.1)?;
    field("seat damping, N m s/rad", axis.seat_damping, 0.0, 1e9)?;
    field("moment of inertia, kg m²", axis.inertia, 0.0, 1e6)?;
    field("greatest rate, deg/s", axis.limits.rate.degrees(), 1e-6, 1000.0)?;
    field("greatest acceleration, deg/s²", axis.limits.acceleration.degrees(), 1e-6, 1e6)?;
    if let Some(jerk) = axis.limits.jerk {
        field("greatest jerk, deg/s³", jerk.degrees(), 1e-6, 1e9)?;
    }
    if let Some(stiffness) = axis.stiffness {
        field("stiffness, N m/rad", stiffness.newton_metres_per_radian(), 1.0, 1e12)?;
    }
    let wheel = &axis.wheel;
    for (what, angle) in [
        ("wheel eccentricity, degrees", wheel.eccentricity),
        ("wheel second harmonic, degrees", wheel.second),
    ] {
        field(what, angle.degrees(), -5.0, 5.0)?;
    }
    for (what, angle) in [
        ("wheel eccentricity phase, degrees", wheel.eccentricity_phase),
        ("wheel second phase, degrees", wheel.second_phase),
    ] {
        field(what, angle.degrees(), -1e6, 1e6)?;
    }
    for tooth in &wheel.teeth {
        field("tooth error, degrees", tooth.degrees(), -5.0, 5.0)?;
    }
    let waves = |what: &str, waves: &[Harmonic]| {
        waves.iter().try_for_each(|wave| {
            named(format_args!("{what}, order"), wave.order, 0.0, 1e4)?;
            named(format_args!("{what}, amplitude in degrees"), wave.amplitude.degrees(), -5.0, 5.0)?;
            named(format_args!("{what}, phase in degrees"), wave.phase.degrees(), -1e6, 1e6)
        })
    };
    waves("reducer error", &axis.reducer_errors)?;
    waves("worm error", &axis.worm_errors[0])?;
    waves("worm error of the other flank", &axis.worm_errors[1])
}

fn check_gears(name: &'static str, axis: &AxisSpec) -> Result<(), SpecError> {
    let given = axis.wheel.teeth.len();
    if given != 0 && given as i64 != axis.teeth {
        return Err(SpecError::ToothTable { axis: name, given, teeth: axis.teeth });
    }
    steep(name, drive::slopes(axis, axis.correction.as_ref()))
}

/// Refuses slopes upstream of the play that add up to too much.
pub(crate) fn steepness(axis: usize, sum: f64) -> Result<(), SpecError> {
    steep(NAMES[axis], sum)
}

/// How steep a correction of an axis's drive may be at most, in radians of correction per radian of ordered motion. A table at this limit is taken.
pub fn room_for_correction(axis: &AxisSpec) -> f64 {
    // A thousandth is left for rounding on the way.
    0.999 * (STEEPEST - drive::slopes(axis, None)).max(0.0)
}

fn steep(name: &'static str, sum: f64) -> Result<(), SpecError> {
    if sum < STEEPEST {
        return Ok(());
    }
    // Rounded down, so that the printed number itself will do.
    let factor = units::maths::floor(100.0 * 0.999 * STEEPEST / sum) / 100.0;
    Err(SpecError::TooSteep { axis: name, sum, factor })
}

fn check_load(name: &'static str, axis: &AxisSpec, greatest: f64) -> Result<(), SpecError> {
    if greatest == 0.0 || axis.friction.newton_metres() > 0.0 || axis.backlash.radians() == 0.0 {
        return Ok(());
    }
    Err(SpecError::NoFriction {
        axis: name,
        imbalance: Torque::from_newton_metres(greatest),
        friction: Torque::from_newton_metres(0.01),
    })
}

fn check_motor(name: &'static str, axis: &AxisSpec) -> Result<(), SpecError> {
    let Some(specified) = &axis.motor else { return Ok(()) };
    let field = |what: &str, value: f64, low: f64, high: f64| {
        within(format_args!("{name} axis, motor, {what}"), value, low, high)
    };
    field("holding torque, N m", specified.holding.newton_metres(), 1e-9, 1e6)?;
    field("efficiency, per cent", specified.efficiency.percent(), 0.1, 100.0)?;
    field("catching speed, full steps per second", specified.catches_below, 1e-3, 1e9)?;
    field("points of the torque curve", specified.pull_out.len() as f64, 1.0, 1000.0)?;
    let mut before = -1.0;
    for (speed, torque) in &specified.pull_out {
        field("speed in the torque curve (ascending)", *speed, before + 1e-9, 1e9)?;
        field("torque in the torque curve, N m", torque.newton_metres(), 0.0, 1e6)?;
        before = *speed;
    }
    for band in &specified.resonances {
        field("dip of a resonance, per cent", band.dip.percent(), 0.0, 100.0)?;
        field("lower bound of a resonance, full steps per second", band.from, 0.0, band.to)?;
    }
    let possible = motor::fastest_balanced(axis, specified);
    if axis.limits.rate > possible {
        // Rounded down to what the message prints.
        let printed = units::maths::floor(possible.degrees() * 1e4) / 1e4;
        let possible = AngularRate::from_degrees(printed);
        return Err(SpecError::TooFast { axis: name, rate: axis.limits.rate, possible });
    }
    Ok(())
}

fn check_stops(name: &'static str, axis: &AxisSpec, home: Angle) -> Result<(), SpecError> {
    match axis.stops {
        Some((from, to)) if !(from < home && home < to) => {
            Err(SpecError::HomeOutside { axis: name, home, from, to })
        }
        _ => Ok(()),
    }
}

fn check_body(spec: &MountSpec, home: AxisAngles) -> Result<(), SpecError> {
    let Some(body) = &spec.body else { return Ok(()) };
    let axes = AxisAngles {
        first: home.first + spec.geometry.zero_first,
        second: home.second + spec.geometry.zero_second,
    };
    let clearance = body.clearance(&spec.geometry, axes);
    if clearance.metres() < 0.0 {
        return Err(SpecError::HomeCollides { overlap: -clearance });
    }
    Ok(())
}
