//! Cold, and a load that winds the axis up.

mod common;

use common::{after, arcsec, at_zero, degrees, ideal, switch_on, zigzag};
use kinematics::{AxisAngles, Kind};
use mechanics::{Contact, TemperatureCourse};
use units::{Span, Temperature, Torque};

fn course(kelvins: f64, minutes: f64) -> TemperatureCourse {
    TemperatureCourse {
        reference: Temperature::from_celsius(10.0),
        points: vec![
            (after(0.0), Temperature::from_celsius(10.0)),
            (after(60.0 * minutes), Temperature::from_celsius(10.0 + kelvins)),
        ],
    }
}

#[test]
fn cooling_closes_the_gap() {
    // 0.45 % per kelvin: 12 K of cooling leave 94.6 % of 200″.
    let mut spec = ideal(Kind::GermanEquatorial, degrees(45.0));
    spec.axes[0].backlash = arcsec(200.0);
    spec.axes[0].backlash_warming = 0.0045;
    let mut mount = switch_on(spec, at_zero());
    mount.temperature(course(-12.0, 120.0), after(0.0));
    // Half-way, to the step of a minute before: 60 minutes are a step themselves.
    let gap = mount.play_state(0, after(3600.0)).gap;
    assert!((gap.arcsec() - 200.0 * (1.0 - 0.0045 * 6.0)).abs() < 1e-9, "{gap:?}");
    let gap = mount.play_state(0, after(9000.0)).gap;
    assert!((gap.arcsec() - 189.2).abs() < 1e-9, "{gap:?}");
    // A wheel at rest by a flank is pushed along by the closing gap.
    let far = zigzag(&[0.0, 1000.0], 1.0).shifted(Span::from_whole_seconds(9000), units::Angle::ZERO);
    mount.order(0, far, after(9000.0));
    assert!((mount.axes(after(9002.0)).first.arcsec() - (1000.0 - 94.6)).abs() < 1e-9);
}

#[test]
fn cold_stiffens_the_grease() {
    // 0.6 N·m at 30° off its balance at latitude 45° pull with 0.212 N·m: more than 0.2 N·m of friction, less than that 10 K
    // colder (+2 % per kelvin: 0.24 N·m).
    let mut spec = ideal(Kind::GermanEquatorial, degrees(45.0));
    let axis = &mut spec.axes[0];
    axis.backlash = arcsec(100.0);
    axis.imbalance = Torque::from_newton_metres(0.6);
    axis.friction = Torque::from_newton_metres(0.2);
    axis.friction_cooling = 0.02;
    let home = AxisAngles { first: degrees(30.0), second: degrees(0.0) };
    let mut mount = switch_on(spec, home);
    assert_eq!(mount.play_state(0, after(1.0)).contact, Contact::Leading);
    assert!(mount.play_state(0, after(1.0)).loaded);
    mount.temperature(course(-10.0, 60.0), after(1.0));
    let state = mount.play_state(0, after(4000.0));
    assert!(!state.loaded && state.contact == Contact::Leading, "the wheel stays where it was laid");
}
