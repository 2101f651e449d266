//! Mounts that can't be: each refusal gives the number that would do, and that number does.

mod common;

use common::{START, arcsec, at_zero, degrees, ideal};
use kinematics::{AxisAngles, Kind};
use mechanics::{Grade, Harmonic, Mount, MountSpec, SpecError};
use units::{Angle, AngularRate, Streams, Torque};

fn refusal(spec: MountSpec) -> SpecError {
    Mount::new(spec, START, at_zero()).expect_err("it can't be a mount")
}

fn spec() -> MountSpec {
    ideal(Kind::GermanEquatorial, degrees(45.0))
}

#[test]
fn slopes_that_add_up_beyond_their_bound() {
    // 1200″ on 160 teeth: 0.93.
    let mut steep = spec();
    let wave =
        |amplitude: f64| vec![Harmonic { order: 1.0, amplitude: arcsec(amplitude), phase: Angle::ZERO }];
    steep.axes[0].worm_errors = [wave(1200.0), wave(1200.0)];
    let SpecError::TooSteep { axis: "first", sum, factor } = refusal(steep.clone()) else { panic!() };
    assert!((sum - 0.931).abs() < 0.001);
    steep.axes[0].worm_errors = [wave(1200.0 * factor), wave(1200.0 * factor)];
    assert!(Mount::new(steep, START, at_zero()).is_ok(), "{factor}");
}

#[test]
fn a_wheel_of_minus_one_teeth() {
    let mut bad = spec();
    bad.axes[1].teeth = -1;
    let error = refusal(bad);
    assert_eq!(error.to_string(), "second axis, teeth: -1 is out of range; give a number from 1 to 100000");
}

#[test]
fn imbalance_without_friction() {
    let mut bad = spec();
    bad.axes[0].imbalance = Torque::from_newton_metres(0.6);
    bad.axes[0].backlash = arcsec(100.0);
    let error = refusal(bad.clone());
    let SpecError::NoFriction { friction, .. } = error else { panic!() };
    assert_eq!(
        error.to_string(),
        "first axis: 0.6 N m out of balance need a friction above zero; give it at least 0.01 N m, or balance the axis"
    );
    bad.axes[0].friction = friction;
    assert!(Mount::new(bad, START, at_zero()).is_ok());
}

#[test]
fn numbers_in_messages_have_no_tail() {
    let torque = Torque::from_newton_metres(1.1999999999999997);
    let error = SpecError::NoFriction { axis: "first", imbalance: torque, friction: torque };
    assert!(error.to_string().contains(": 1.2 N m out of balance"), "{error}");
}

#[test]
fn rates_above_the_motors() {
    let home = AxisAngles { first: degrees(-90.0), second: degrees(90.0) };
    let base = common::level_base(Kind::GermanEquatorial, degrees(45.0));
    let mut bad = Grade::MidRange.mount(Kind::GermanEquatorial, degrees(45.0), base, &Streams::new(1));
    bad.axes[0].limits.rate = AngularRate::from_degrees(30.0);
    let Err(SpecError::TooFast { possible, .. }) = Mount::new(bad.clone(), START, home) else { panic!() };
    assert!(possible > AngularRate::from_degrees(3.0));
    bad.axes[0].limits.rate = possible;
    assert!(Mount::new(bad, START, home).is_ok());
}

#[test]
fn stops_that_exclude_home_and_a_tooth_table_of_the_wrong_length() {
    let mut bad = spec();
    bad.axes[0].stops = Some((degrees(5.0), degrees(90.0)));
    assert!(matches!(refusal(bad), SpecError::HomeOutside { axis: "first", .. }));
    let mut bad = spec();
    bad.axes[0].wheel.teeth = vec![Angle::ZERO; 7];
    assert!(matches!(refusal(bad), SpecError::ToothTable { given: 7, teeth: 160, .. }));
}

#[test]
fn what_is_not_a_number() {
    let mut bad = spec();
    bad.axes[0].backlash = arcsec(f64::NAN);
    assert!(matches!(refusal(bad), SpecError::OutOfRange { .. }));
}
