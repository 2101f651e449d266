//! Level two, in the tests only: elastic contact through a dead zone, friction, small steps. In its limits it must choose the
//! same flank at the same time as the mount's own law.
//!
//! Contact as in Nordin, Galić and Gutman (International Journal of Adaptive Control and Signal Processing 11 (1997) 49):
//! spring and damper beyond the dead zone, clamped so that it never pulls. Bearing friction is LuGre (Canudas de Wit et
//! al., IEEE Transactions on Automatic Control 40 (1995) 419, from memory). The grease in the gap is a damper b on the
//! relative rate.

mod common;

use common::{after, arcsec, at_zero, degrees, ideal, switch_on};
use kinematics::{Kind, Path};
use mechanics::{Contact, WindSpec};
use units::{Angle, Length, Span, Speed, Streams, Torque};

/// Constants of the small model; stiff and nearly massless, so that its own time constants are short.
struct Level2 {
    gap: f64,
    friction: f64,
    damping: f64,
    inertia: f64,
    stiffness: f64,
    contact_damping: f64,
    bristle: f64,
    bristle_damping: f64,
    wheel: f64,
    rate: f64,
    z: f64,
}

impl Level2 {
    fn new(gap: f64, friction: f64, damping: f64) -> Self {
        Self {
            gap,
            friction,
            damping,
            inertia: 0.05,
            stiffness: 2e6,
            contact_damping: 300.0,
            // A bristle yields by friction/bristle before it slides: 0.2 N·m over 1e6 are 0.04″.
            bristle: 1e6,
            bristle_damping: 200.0,
            wheel: 0.0,
            rate: 0.0,
            z: 0.0,
        }
    }

    /// One step with the worm at `worm` moving at `worm_rate` under an external torque.
    fn step(&mut self, dt: f64, worm: f64, worm_rate: f64, torque: f64) {
        let relative = self.wheel - worm;
        let beyond =
            if relative.abs() > 0.5 * self.gap { relative - 0.5 * self.gap * relative.signum() } else { 0.0 };
        let spring = -self.stiffness * beyond;
        let mut contact = spring;
        if beyond != 0.0 {
            contact -= self.contact_damping * (self.rate - worm_rate);
            // It never pulls.
            contact = if spring > 0.0 { contact.max(0.0) } else { contact.min(0.0) };
        }
        let (z, zdot) = lugre(self.z, self.rate, self.bristle, self.friction, dt);
        self.z = z;
        let friction = self.bristle * z + self.bristle_damping * zdot;
        // Grease acts on the relative rate; taken implicitly, so that light parts don't shake.
        let push = torque + contact - friction + self.damping * worm_rate;
        self.rate = (self.rate + dt * push / self.inertia) / (1.0 + dt * self.damping / self.inertia);
        self.wheel += dt * self.rate;
    }
}

/// One implicit step of ż = v − σ₀|v|z/g with constant g: the new z, and its rate.
fn lugre(z: f64, v: f64, bristle: f64, level: f64, dt: f64) -> (f64, f64) {
    let next = (z + dt * v) / (1.0 + dt * bristle * v.abs() / level);
    (next, (next - z) / dt)
}

#[test]
fn friction_in_steady_sliding_is_its_level_and_bristles_stay_bounded() {
    // g(v)·sgn v, and |z| ≤ level/σ₀ at all times.
    let (bristle, level, dt) = (1e6, 0.2, 1e-5);
    let mut z = 0.0;
    for i in 0..100_000 {
        let v = if i < 50_000 { 1e-3 } else { -2e-4 };
        z = lugre(z, v, bristle, level, dt).0;
        assert!(z.abs() <= level / bristle * (1.0 + 1e-12));
        if i == 49_999 {
            assert!((bristle * z - level).abs() < 1e-9);
        }
    }
    assert!((bristle * z + level).abs() < 1e-9);
}

const GAP: f64 = 120.0;
const FRICTION: f64 = 0.2;
const DAMPING: f64 = 200.0;
const STEP: f64 = 2e-5;

/// The mount's own law under the same wind: torque in N·m on the azimuth of a level tube.
fn mount_with(torques: &[(f64, f64)], path: Path) -> mechanics::Mount {
    let mut spec = ideal(Kind::AltAzimuth, degrees(45.0));
    spec.axes[0].backlash = arcsec(GAP);
    spec.axes[0].friction = Torque::from_newton_metres(FRICTION);
    spec.axes[0].seat_damping = DAMPING;
    let mut mount = switch_on(spec, at_zero());
    mount.order(0, path, after(0.0));
    for (at, torque) in torques {
        let from = degrees(if *torque > 0.0 { 270.0 } else { 90.0 });
        let wind = WindSpec { gusts: None, ..WindSpec::open_field(Speed::from_metres_per_second(5.0), from) };
        let lever = Length::from_metres(torque.abs() / wind.force(5.0));
        mount.wind((*torque != 0.0).then_some(WindSpec { lever, ..wind }), &Streams::new(1), 0, after(*at));
    }
    mount
}

#[test]
fn crossing_under_load_takes_the_same_time() {
    // From the driving flank at −0.5 N·m to the leading one at +0.5: excess 0.3 N·m, 0.388 s.
    let rest = Path::hold(Span::ZERO, Angle::ZERO);
    let before = mount_with(&[(0.0, -0.5)], rest.clone());
    let mount = mount_with(&[(0.0, -0.5), (5.0, 0.5)], rest);
    let mut model = Level2::new(arcsec(GAP).radians(), FRICTION, DAMPING);
    let mut crossed = None;
    let steps = (7.0 / STEP) as i64;
    for i in 0..steps {
        let t = i as f64 * STEP;
        model.step(STEP, 0.0, 0.0, if t < 5.0 { -0.5 } else { 0.5 });
        if t > 5.0 && crossed.is_none() && model.wheel >= 0.5 * model.gap {
            crossed = Some(t - 5.0);
        }
        if i % 5000 == 0 {
            let own = if t < 5.0 { &before } else { &mount }.axes(after(t)).first.arcsec();
            // Spring of 2e6 N·m/rad under 0.5 N·m: 0.05″; bristles 0.04″; the light wheel starts within inertia/damping = 0.25 ms
            // at 300″/s: 0.1″.
            let apart = (Angle::from_radians(model.wheel).arcsec() - own).abs();
            assert!(apart < 0.5, "{t}: {apart}");
        }
    }
    let own = arcsec(GAP).radians() * DAMPING / 0.3;
    // The start's 0.25 ms and the bristles' 0.04″ of 120″.
    assert!((crossed.expect("it crosses") - own).abs() < 2e-3, "{crossed:?} {own}");
    assert_eq!(mount.play_state(0, after(7.0)).contact, Contact::Leading);
}

#[test]
fn without_load_the_wheel_moves_as_the_play_operator_says() {
    // Slow motion (60″/s), no torque: grease carries b·rate = 0.06 N·m, below the friction, so the wheel stays until it is pushed.
    let positions = [0.0, 200.0, 50.0, 120.0, -80.0];
    let leg = 4.0;
    let mount = mount_with(&[], common::zigzag(&positions, leg));
    let mut model = Level2::new(arcsec(GAP).radians(), FRICTION, DAMPING);
    let steps = (16.0 / STEP) as i64;
    for i in 0..steps {
        let t = i as f64 * STEP;
        let index = ((t / leg) as usize).min(positions.len() - 2);
        let slope = (positions[index + 1] - positions[index]) / leg;
        let worm = arcsec(positions[index] + slope * (t - leg * index as f64)).radians();
        model.step(STEP, worm, arcsec(slope).radians(), 0.0);
        if i % 5000 == 0 {
            let own = mount.axes(after(t)).first.arcsec();
            // Pushing against 0.2 N·m compresses the contact by 0.02″ and bends bristles by 0.04″.
            let apart = (Angle::from_radians(model.wheel).arcsec() - own).abs();
            assert!(apart < 0.2, "{t}: {apart}");
        }
    }
}

#[test]
fn load_beyond_the_friction_runs_ahead_on_the_leading_flank() {
    // +0.5 N·m while the worm advances at 15″/s: both rest half a gap ahead.
    let rate = units::AngularRate::from_arcsec(15.0);
    let mount = mount_with(&[(0.0, 0.5)], Path::steady(Span::ZERO, Angle::ZERO, rate));
    let mut model = Level2::new(arcsec(GAP).radians(), FRICTION, DAMPING);
    for i in 0..(3.0 / STEP) as i64 {
        model.step(STEP, rate.radians() * i as f64 * STEP, rate.radians(), 0.5);
    }
    let own = mount.axes(after(3.0)).first.arcsec();
    assert!((own - 45.0 - 60.0).abs() < 1e-6);
    // The spring yields by 0.3 N·m/2e6: 0.03″.
    assert!((Angle::from_radians(model.wheel).arcsec() - own).abs() < 0.1);
}
