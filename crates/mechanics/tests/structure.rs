//! Structure: how it swings after stops, knocks and bumps.

mod common;

use common::{after, arcsec, at_zero, degrees, ideal, switch_on, zigzag};
use kinematics::Kind;
use mechanics::{Mount, MountSpec, Structure};
use units::{Frequency, maths};

fn swinging(frequency: f64, damping: f64) -> MountSpec {
    let mut spec = ideal(Kind::GermanEquatorial, degrees(45.0));
    spec.structure = Some(Structure { frequency: Frequency::from_hertz(frequency), damping });
    spec
}

fn deflection(mount: &Mount, seconds: f64) -> f64 {
    let pose = mount.pose(after(seconds));
    (pose.axes.first - pose.dials.first).arcsec()
}

#[test]
fn a_bump_falls_to_two_arcseconds_in_this_time() {
    // 120″ → 2″, 3 Hz, ζ = 0.08: ln 60/(ζω) = 2.715 s for the envelope.
    let (frequency, damping) = (3.0, 0.08);
    let mut mount = switch_on(swinging(frequency, damping), at_zero());
    mount.bump(0, arcsec(120.0), after(1.0));
    assert!((deflection(&mount, 1.0) - 120.0).abs() < 1e-9);
    let omega = maths::TAU * frequency;
    let time = maths::ln(120.0 / 2.0) / (damping * omega);
    assert!((time - 2.715).abs() < 5e-4);
    let envelope = |t: f64| 120.0 * maths::exp(-damping * omega * t);
    let damped = omega * (1.0 - damping * damping).sqrt();
    for t in [0.1, 0.77, time, 4.0] {
        // X e^(−ζωt) cos ω_d t, to the digits of a sum of angles.
        let expected = envelope(t) * maths::cos(damped * t);
        assert!((deflection(&mount, 1.0 + t) - expected).abs() < 1e-8, "{t}");
    }
    assert_eq!(deflection(&mount, 61.0), 0.0);
}

#[test]
fn overshoot_of_a_step() {
    // A knock leaves the axis at its new place after overshooting it by e^(−πζ/√(1−ζ²)) of it: 0.777 for ζ = 0.08. The swing starts
    // from rest.
    let mut mount = switch_on(swinging(3.0, 0.08), at_zero());
    mount.knock(0, arcsec(100.0), after(1.0));
    let highest = (0..10_000).map(|i| deflection(&mount, 1.0 + f64::from(i) * 1e-4)).fold(0.0, f64::max);
    let expected = maths::exp(-maths::PI * 0.08 / (1.0_f64 - 0.08 * 0.08).sqrt());
    assert!((expected - 0.777).abs() < 5e-4);
    // Sampled at 0.1 ms: (ω·0.05 ms)²/2 of 100″.
    assert!((highest - 100.0 * (1.0 + expected)).abs() < 1e-3, "{highest}");
    assert!((deflection(&mount, 60.0) - 100.0).abs() < 1e-9);
}

#[test]
fn a_sudden_stop_swings_by_rate_over_frequency() {
    // From 100″/s to rest at once: amplitude v/ω_d, first towards the motion; then quiet.
    let (frequency, damping) = (4.5, 0.05);
    let mut mount = switch_on(swinging(frequency, damping), at_zero());
    mount.order(0, zigzag(&[0.0, 3000.0], 30.0), after(0.0));
    let omega = maths::TAU * frequency;
    let damped = omega * (1.0_f64 - damping * damping).sqrt();
    for t in [0.01, 0.055, 0.3] {
        let expected = 100.0 / damped * maths::exp(-damping * omega * t) * maths::sin(damped * t);
        assert!((deflection(&mount, 30.0 + t) - expected).abs() < 1e-6, "{t}");
    }
    assert_eq!(deflection(&mount, 60.0), 0.0);
}

#[test]
fn steady_acceleration_lags_by_acceleration_over_frequency_squared() {
    let mut mount = switch_on(swinging(2.0, 0.05), at_zero());
    let acceleration = arcsec(50.0).radians();
    let path = kinematics::Path::from_pieces(vec![kinematics::Cubic {
        begin: units::Span::ZERO,
        coefficients: [0.0, 0.0, acceleration / 2.0, 0.0],
    }]);
    mount.order(0, path, after(0.0));
    let omega = maths::TAU * 2.0;
    // After 60 s the beginning's swing is over; the position is then 25 degrees, whose last bit is 1e-11″.
    assert!((deflection(&mount, 60.0) + 50.0 / (omega * omega)).abs() < 1e-6);
}

#[test]
fn a_stiff_mount_never_swings() {
    let mut mount = switch_on(ideal(Kind::GermanEquatorial, degrees(45.0)), at_zero());
    mount.bump(0, arcsec(120.0), after(1.0));
    mount.knock(0, arcsec(60.0), after(1.0));
    assert!((deflection(&mount, 1.0) - 60.0).abs() < 1e-9);
}
