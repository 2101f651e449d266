//! Whole mounts of every kind and grade, and the whole drive train against its formulas written out plainly.

mod common;

use common::{START, after, degrees, level_base};
use kinematics::{Kind, Path};
use mechanics::{AxisSpec, Grade, Mount};
use units::{Angle, AngularRate, PartsPerMillion, Span, Streams, Torque, maths};

const KINDS: [Kind; 3] = [Kind::GermanEquatorial, Kind::ForkEquatorial, Kind::AltAzimuth];
const GRADES: [Grade; 4] = [Grade::Worn, Grade::MidRange, Grade::Tuned, Grade::Perfect];

#[test]
fn every_kind_and_grade_is_a_mount_anywhere() {
    for kind in KINDS {
        for latitude in [-78.0, -35.0, 0.0, 40.5, 66.0] {
            let latitude = degrees(latitude);
            for grade in GRADES {
                for seed in 0..5 {
                    let spec = grade.mount(kind, latitude, level_base(kind, latitude), &Streams::new(seed));
                    let mount = Mount::new(spec, START, kinematics::home(kind, latitude));
                    assert!(mount.is_ok(), "{kind:?} {latitude:?} {grade:?} {seed}: {:?}", mount.err());
                }
            }
        }
    }
}

#[test]
fn a_perfect_mount_points_where_its_dials_say() {
    for kind in KINDS {
        let latitude = degrees(48.0);
        let spec = Grade::Perfect.mount(kind, latitude, level_base(kind, latitude), &Streams::new(1));
        let chain = kinematics::Chain::new(spec.geometry);
        let mut mount =
            Mount::new(spec, START, kinematics::home(kind, latitude)).expect("a grade is a mount");
        mount.order(0, Path::steady(Span::ZERO, degrees(-30.0), AngularRate::SIDEREAL), START);
        mount.order(1, Path::steady(Span::ZERO, degrees(25.0), AngularRate::SIDEREAL * 0.7), START);
        for i in 0..50 {
            let pose = mount.pose(after(700.0 * f64::from(i)));
            let apart = kinematics::frames::separation(&pose.boresight, &chain.boresight(pose.dials));
            // The kept sines and cosines are good to some last bits of 1: 4e-16 rad are 1e-10″.
            assert!(apart.arcsec() < 1e-9, "{apart:?}");
        }
    }
}

/// The drive train of one axis moving in the positive sense with its play taken up, written out with plain sines; play varies
/// round the wheel and is solved to the last digit.
fn written_out(axis: &AxisSpec, ordered: f64, torque: f64) -> f64 {
    let teeth = axis.teeth as f64;
    let step = axis.microstep().radians();
    let quantised = |x: f64| maths::rint(x / step) * step;
    let correction = axis.correction.as_ref().map_or(0.0, |table| {
        let turns = teeth * ordered / maths::TAU;
        table.at(turns).radians()
    });
    let motor = quantised(ordered + correction);
    let full = axis.full_step().radians();
    let half_peak = 0.5 * axis.microstep_error.fraction() * full;
    let electrical = maths::TAU * motor / (4.0 * full);
    let rotor = motor + half_peak * (maths::sin(electrical) + maths::sin(4.0 * electrical));
    let psi = teeth * rotor;
    let waves = |waves: &[mechanics::Harmonic]| {
        waves
            .iter()
            .map(|w| w.amplitude.radians() * maths::sin(w.order * psi + w.phase.radians()))
            .sum::<f64>()
    };
    let driven = rotor + waves(&axis.reducer_errors) + waves(&axis.worm_errors[0]);
    let gap = |y: f64| {
        let variation = axis.backlash_variation.fraction() * maths::cos(y - axis.backlash_phase.radians());
        axis.backlash.radians() * (1.0 + variation)
    };
    let mut y = driven;
    for _ in 0..20 {
        y = driven - 0.5 * gap(y);
    }
    let wheel = &axis.wheel;
    let once = wheel.eccentricity.radians() * maths::sin(y + wheel.eccentricity_phase.radians());
    let twice = wheel.second.radians() * maths::sin(2.0 * y + wheel.second_phase.radians());
    let place = (y / maths::TAU).rem_euclid(1.0) * teeth;
    let (index, u) = (place.floor() as usize, place - place.floor());
    let tooth = |k: usize| wheel.teeth[(index + axis.teeth as usize - 1 + k) % axis.teeth as usize].radians();
    let (p0, p1, p2, p3) = (tooth(0), tooth(1), tooth(2), tooth(3));
    // Catmull and Rom's spline in its usual form.
    let spline = 0.5
        * (2.0 * p1
            + (p2 - p0) * u
            + (2.0 * p0 - 5.0 * p1 + 4.0 * p2 - p3) * u * u
            + (3.0 * p1 - p0 - 3.0 * p2 + p3) * u * u * u);
    let compliance = axis.stiffness.map_or(0.0, |k| 1.0 / k.newton_metres_per_radian());
    let motor_data = axis.motor.as_ref().expect("a grade has motors");
    let holding = motor_data.holding.newton_metres() * axis.gearing() * motor_data.efficiency.fraction();
    let lag = 4.0 * full / maths::TAU * maths::asin(torque / holding);
    y + once + twice + spline + torque * compliance + lag
}

#[test]
fn the_whole_drive_train_is_its_formulas() {
    let latitude = degrees(40.5);
    let kind = Kind::GermanEquatorial;
    for grade in [Grade::Worn, Grade::MidRange, Grade::Tuned] {
        for seed in 0..4 {
            let mut spec = grade.mount(kind, latitude, level_base(kind, latitude), &Streams::new(seed));
            spec.crystal_drift = PartsPerMillion::ZERO;
            // The load lags at all times: G = 1 N·m about 90° ahead of where it hangs, so that the driving flank is the one that
            // touches; the second axis is balanced.
            spec.axes[0].imbalance = Torque::from_newton_metres(1.0);
            spec.axes[0].balance_angle = degrees(0.0);
            spec.axes[1].imbalance = Torque::ZERO;
            spec.body = None;
            let axis = spec.axes[0].clone();
            let mut mount = Mount::new(spec, START, kinematics::home(kind, latitude)).expect("a mount");
            mount.order(0, Path::steady(Span::ZERO, degrees(-110.0), AngularRate::SIDEREAL), START);
            for i in 1..40 {
                let seconds = 60.0 + 251.3 * f64::from(i);
                let _ = mount.advance(after(seconds));
                let ordered = degrees(-110.0).radians() + AngularRate::SIDEREAL.radians() * seconds;
                let torque = latitude.cos() * maths::sin(ordered);
                let expected = written_out(&axis, ordered, torque);
                let found = mount.axes(after(seconds)).first.radians();
                let apart = Angle::from_radians(found - expected).arcsec();
                // The series for the play's place leaves 1e-8″; the rest are last bits of some radians.
                assert!(apart.abs() < 1e-7, "{grade:?} {seed} {seconds}: {apart}");
            }
        }
    }
}
