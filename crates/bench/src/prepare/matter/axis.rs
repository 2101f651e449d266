//! One axis: what the scenario says of it, put over the grade's.

use kinematics::Geometry;
use mechanics::grades::{recorded_correction, tooth_errors};
use mechanics::{AxisSpec, Grade, Harmonic, Motor, MountSpec, Structure};
use scenario::{Axis, Correction, PeriodicTerm};
use units::{Angle, Frequency, Length, Streams, Torque, maths};

pub(super) fn amend(
    spec: &mut MountSpec,
    index: usize,
    file: Option<&Axis>,
    grade: Grade,
    streams: &Streams,
) {
    let Some(file) = file else { return };
    let mut axis = spec.axes[index].clone();
    amend_motor(&mut axis, file);
    amend_stall(spec, &mut axis, index, file, streams);
    amend_gears(&mut axis, index, file, streams);
    amend_teeth(&mut axis, index, file, streams);
    amend_play_and_load(&mut axis, file, grade);
    amend_structure(spec, &mut axis, file);
    amend_correction(&mut axis, file, grade, streams);
    spec.axes[index] = axis;
}

fn amend_motor(axis: &mut AxisSpec, file: &Axis) {
    // A perfect dial is continuous; one whose steps are counted in the file is not.
    axis.continuous &= file.microsteps.is_none() && file.full_steps.is_none();
    set(&mut axis.limits.rate, file.slew_rate);
    set(&mut axis.limits.acceleration, file.acceleration);
    if file.jerk.is_some() {
        axis.limits.jerk = file.jerk;
    }
    set(&mut axis.full_steps, file.full_steps.map(whole));
    set(&mut axis.microsteps, file.microsteps.map(whole));
    set(&mut axis.microstep_error, file.microstep_error);
    set(&mut axis.reducer_ratio, file.reducer_ratio);
}

/// A perfect drive follows any order; one that is said to stall has the usual motor, as strong as it is said to be.
fn amend_stall(spec: &MountSpec, axis: &mut AxisSpec, index: usize, file: &Axis, streams: &Streams) {
    let Some(torque) = file.stall_torque else { return };
    let Geometry { kind, base, .. } = spec.geometry;
    let usual = || Grade::MidRange.mount(kind, spec.latitude, base, streams).axes[index].motor.clone();
    axis.motor = axis.motor.clone().or_else(usual).map(|motor| scaled(&motor, torque, axis));
}

/// The same motor, made to stall at rest under this torque at the axis.
fn scaled(motor: &Motor, at_axis: Torque, axis: &AxisSpec) -> Motor {
    let standstill = motor.pull_out.first().map_or(motor.holding, |point| point.1);
    let present = standstill * axis.gearing() * motor.efficiency.fraction();
    let factor = at_axis / present;
    Motor {
        holding: motor.holding * factor,
        pull_out: motor.pull_out.iter().map(|(speed, torque)| (*speed, *torque * factor)).collect(),
        ..motor.clone()
    }
}

fn amend_gears(axis: &mut AxisSpec, index: usize, file: &Axis, streams: &Streams) {
    let drawn =
        |cause: &str, terms: &mut dyn Iterator<Item = (f64, Angle, Option<Angle>)>| -> Vec<Harmonic> {
            let mut phases = streams.stream(cause, index as u64);
            let term = |(order, amplitude, phase): (f64, Angle, Option<Angle>)| {
                // Drawn even where a phase is given, so that giving one moves no other.
                let drawn = Angle::TURN * phases.uniform();
                Harmonic { order, amplitude, phase: phase.unwrap_or(drawn) }
            };
            terms.map(term).collect()
        };
    let worm = |cause: &str, terms: &[PeriodicTerm]| {
        drawn(cause, &mut terms.iter().map(|term| (term.harmonic, term.amplitude, term.phase)))
    };
    if let Some(terms) = &file.reducer_error {
        axis.reducer_errors =
            drawn("reducer phase", &mut terms.iter().map(|term| (term.order, term.amplitude, term.phase)));
    }
    if let Some(terms) = &file.periodic_error {
        let flank = worm("worm phase", terms);
        axis.worm_errors = [flank.clone(), flank];
    }
    if let Some(terms) = &file.periodic_error_other_flank {
        axis.worm_errors[1] = worm("worm other flank", terms);
    }
    if let Some(eccentricity) = file.wheel_eccentricity {
        axis.wheel.eccentricity = eccentricity;
        // The oval that goes with an eccentric wheel of the grades.
        axis.wheel.second = eccentricity * 0.3;
    }
    set(&mut axis.wheel.eccentricity_phase, file.wheel_phase);
}

/// Other teeth, or teeth of another irregularity, are drawn anew from the same stream.
fn amend_teeth(axis: &mut AxisSpec, index: usize, file: &Axis, streams: &Streams) {
    if file.teeth.is_none() && file.tooth_noise.is_none() {
        return;
    }
    let present = spread(&axis.wheel.teeth);
    set(&mut axis.teeth, file.teeth.map(whole));
    let sigma = file.tooth_noise.unwrap_or(present);
    axis.wheel.teeth =
        if sigma == Angle::ZERO { Vec::new() } else { tooth_errors(axis.teeth, sigma, index, streams) };
}

fn spread(teeth: &[Angle]) -> Angle {
    let squares: f64 = teeth.iter().map(|tooth| tooth.radians() * tooth.radians()).sum();
    Angle::from_radians((squares / teeth.len().max(1) as f64).sqrt())
}

fn amend_play_and_load(axis: &mut AxisSpec, file: &Axis, grade: Grade) {
    if let Some(radius) = file.pitch_radius {
        // The same millimetres are other angles on another radius; what the file gives below is an angle already.
        let factor = usual_radius(grade) / radius;
        axis.backlash = axis.backlash * factor;
        if file.wheel_eccentricity.is_none() {
            axis.wheel.eccentricity = axis.wheel.eccentricity * factor;
            axis.wheel.second = axis.wheel.second * factor;
        }
    }
    set(&mut axis.backlash, file.backlash);
    set(&mut axis.backlash_variation, file.backlash_variation);
    set(&mut axis.backlash_phase, file.backlash_phase);
    set(&mut axis.imbalance, file.imbalance);
    set(&mut axis.balance_angle, file.balance_angle);
    set(&mut axis.friction, file.friction);
}

/// Pitch radius of the wheel for which a grade's angles hold (common practice, no source).
fn usual_radius(grade: Grade) -> Length {
    Length::from_millimetres(match grade {
        Grade::Worn => 40.0,
        Grade::MidRange | Grade::Perfect => 50.0,
        Grade::Tuned => 70.0,
    })
}

fn amend_structure(spec: &mut MountSpec, axis: &mut AxisSpec, file: &Axis) {
    if file.stiffness.is_some() {
        axis.stiffness = file.stiffness;
    }
    if file.natural_frequency.is_some() || file.damping.is_some() {
        let usual = Structure { frequency: Frequency::from_hertz(4.5), damping: 0.05 };
        let present = spec.structure.unwrap_or(usual);
        spec.structure = Some(Structure {
            frequency: file.natural_frequency.unwrap_or(present.frequency),
            damping: file.damping.unwrap_or(present.damping),
        });
    }
    if let (Some(stiffness), Some(structure)) = (axis.stiffness, spec.structure) {
        // What swings at that frequency on that stiffness.
        let omega = maths::TAU * structure.frequency.hertz();
        axis.inertia = stiffness.newton_metres_per_radian() / (omega * omega);
    }
}

fn amend_correction(axis: &mut AxisSpec, file: &Axis, grade: Grade, streams: &Streams) {
    set(&mut axis.index_mark, file.worm_index);
    // A correction that was recorded before the gears were changed by hand is recorded anew.
    let on = match file.error_correction {
        Some(Correction::On) => true,
        Some(Correction::Off) => false,
        None => axis.correction.is_some(),
    };
    let turns = file.error_correction_turns.map_or(4, |turns| turns as usize);
    axis.correction = if on { recorded_correction(axis, turns, noise(grade), streams) } else { None };
}

/// How well one bin of one turn is measured when a correction is recorded.
fn noise(grade: Grade) -> Angle {
    match grade {
        Grade::Perfect => Angle::ZERO,
        Grade::Tuned => Angle::from_arcsec(0.5),
        Grade::Worn | Grade::MidRange => Angle::from_arcsec(1.0),
    }
}

fn set<T>(place: &mut T, value: Option<T>) {
    if let Some(value) = value {
        *place = value;
    }
}

fn whole(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}
