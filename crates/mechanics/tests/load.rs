//! Load: what pulls at the axes, and what it does to the wheel in its gap.

mod common;

use common::{after, arcsec, at_zero, degrees, ideal, level_base, switch_on};
use kinematics::{AxisAngles, Kind, Path};
use mechanics::{Contact, Mount, MountEventKind, MountSpec, Spectrum, WindSpec};
use units::{Angle, AngularRate, Length, Span, Speed, Stiffness, Streams, Torque, maths};

/// A mount whose only error is a wind-up of 1 rad per 1e6 N·m: the torque can be read off the axis.
const PER_NEWTON_METRE: f64 = 1e-6;

fn pliant(kind: Kind, latitude: f64) -> MountSpec {
    let mut spec = ideal(kind, degrees(latitude));
    for axis in &mut spec.axes {
        axis.stiffness = Some(Stiffness::from_newton_metres_per_radian(1.0 / PER_NEWTON_METRE));
    }
    spec
}

fn torques(spec: MountSpec, first: f64, second: f64) -> [f64; 2] {
    torques_of(&switch_on(spec, AxisAngles { first: degrees(first), second: degrees(second) }))
}

fn torques_of(mount: &Mount) -> [f64; 2] {
    let pose = mount.pose(after(1.0));
    [pose.axes.first - pose.dials.first, pose.axes.second - pose.dials.second]
        .map(|angle| angle.radians() / PER_NEWTON_METRE)
}

/// Angles of some radians in binary, divided by the compliance: 4e-16/1e-6.
const READ: f64 = 2e-9;

#[test]
fn imbalance_equals_the_hour_formula_in_both_hemispheres() {
    // τ = G cos φ sin(θ − θ₀).
    for latitude in [50.0, 0.0, -35.0] {
        for theta in [-170.0, -90.0, -20.0, 5.0, 40.0] {
            let mut spec = pliant(Kind::GermanEquatorial, latitude);
            spec.axes[0].imbalance = Torque::from_newton_metres(1.3);
            spec.axes[0].balance_angle = degrees(25.0);
            let expected = 1.3 * degrees(latitude).cos() * degrees(theta - 25.0).sin();
            let found = torques(spec, theta, 20.0);
            assert!((found[0] - expected).abs() < READ, "{latitude} {theta}: {found:?} {expected}");
            assert!(found[1].abs() < READ);
        }
    }
}

#[test]
fn a_front_heavy_tube_falls() {
    // On an azimuth mount gravity turns the altitude by −G cos h and the azimuth not at all.
    let mut spec = pliant(Kind::AltAzimuth, 45.0);
    spec.axes[1].imbalance = Torque::from_newton_metres(2.0);
    let found = torques(spec, 70.0, 30.0);
    assert!(found[0].abs() < READ);
    assert!((found[1] + 2.0 * degrees(30.0).cos()).abs() < READ);
}

#[test]
fn torque_is_lever_cross_weight_in_the_topocentric_frame() {
    // The general law by vectors in (east, north, up), against the mount's own reckoning.
    let latitude = degrees(-35.0);
    for (h, d) in [(-100.0, 130.0), (-40.0, 20.0), (10.0, -50.0)] {
        let mut spec = pliant(Kind::GermanEquatorial, -35.0);
        spec.axes[1].imbalance = Torque::from_newton_metres(0.9);
        spec.axes[1].balance_angle = degrees(60.0);
        let base = level_base(Kind::GermanEquatorial, latitude);
        let body = base * kinematics::frames::rz(degrees(-h)) * kinematics::frames::ry(degrees(-d));
        let (s, c) = degrees(60.0).sin_cos();
        let lever = body * nalgebra::Vector3::new(c, 0.0, s) * 0.9;
        let torque = lever.cross(&nalgebra::Vector3::new(0.0, 0.0, -1.0));
        let hour = -base.column(2);
        let declination = -(base * kinematics::frames::rz(degrees(-h))).column(1);
        let found = torques(spec, h, d);
        assert!((found[0] - torque.dot(&hour)).abs() < READ, "{found:?} {torque}");
        assert!((found[1] - torque.dot(&declination)).abs() < READ, "{found:?} {torque}");
    }
}

#[test]
fn wind_force_and_torque() {
    // 5 m/s, 0.15 m², drag 1.2, 1.225 kg/m³, lever 0.1 m: 2.76 N, 0.276 N·m (to their printed digits).
    let wind =
        WindSpec { gusts: None, ..WindSpec::open_field(Speed::from_metres_per_second(5.0), degrees(270.0)) };
    assert!((wind.force(5.0) - 2.76).abs() < 0.005);
    let mut mount = switch_on(pliant(Kind::AltAzimuth, 45.0), at_zero());
    mount.wind(Some(wind), &Streams::new(1), 0, after(0.0));
    let [azimuth, altitude] = torques_of(&mount);
    assert!((azimuth - 0.276).abs() < 0.0005, "{azimuth}");
    assert!(altitude.abs() < READ);
}

#[test]
fn gust_spectra_have_their_variances() {
    let speed = Speed::from_metres_per_second(5.0);
    // Substitution f = e^u, midpoints; both spectra fall off as powers beyond these bounds.
    let variance = |spectrum: Spectrum| {
        let (low, high, n) = (-25.0, 25.0, 20_000);
        let step = (high - low) / f64::from(n);
        (0..n)
            .map(|i| {
                let f = maths::exp(low + (f64::from(i) + 0.5) * step);
                spectrum.density(speed, f) * f * step
            })
            .sum::<f64>()
    };
    // σ² = 6κV² exactly; the tail beyond e^25 Hz holds 1e-8 of it.
    let davenport = variance(Spectrum::Davenport { roughness: 0.005 });
    assert!((davenport / (6.0 * 0.005 * 25.0) - 1.0).abs() < 1e-6, "{davenport}");
    assert!(((davenport).sqrt() / 5.0 - 0.173).abs() < 0.0005);
    // Integral 1 to 0.3 %: the constant 70.8 is rounded.
    let karman = variance(Spectrum::Karman { intensity: 0.2, length: Length::from_metres(100.0) });
    assert!((karman - 1.0).abs() < 0.003, "{karman}");
}

#[test]
fn gust_torque_is_twice_the_relative_gust() {
    // Torque RMS ≈ 2(σ_u/V)·mean for small gusts. The synthesis leaves out what lies beyond 0.001 to 2 Hz: some 4 % of the variance.
    let speed = Speed::from_metres_per_second(8.0);
    let gusts = Some(Spectrum::Davenport { roughness: 0.0002 });
    let wind = WindSpec { gusts, ..WindSpec::open_field(speed, degrees(270.0)) };
    let mut mount = switch_on(pliant(Kind::AltAzimuth, 45.0), at_zero());
    mount.wind(Some(wind), &Streams::new(4), 0, after(0.0));
    let mut values = Vec::new();
    for i in 0..20_000 {
        let at = after(f64::from(i));
        let _ = mount.advance(at);
        values.push(mount.axes(at).first.radians() / PER_NEWTON_METRE);
    }
    let mean = values.iter().sum::<f64>() / 20_000.0;
    let rms = (values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / 20_000.0).sqrt();
    let expected = 2.0 * (6.0_f64 * 0.0002).sqrt();
    // 20 000 s hold some hundred independent slow gusts: 10 %.
    assert!((rms / mean / expected - 1.0).abs() < 0.1, "{} {expected}", rms / mean);
}

/// G = 1, friction 0.15, latitude 45°: the reversal near the meridian.
fn reversing() -> MountSpec {
    let mut spec = ideal(Kind::GermanEquatorial, degrees(45.0));
    let axis = &mut spec.axes[0];
    axis.backlash = arcsec(120.0);
    axis.imbalance = Torque::from_newton_metres(1.0);
    axis.friction = Torque::from_newton_metres(0.15);
    axis.seat_damping = 200.0;
    spec
}

/// Tracks from a dial for hours; tells when the load changed what holds the wheel, as hour angles of the axis.
fn changes(mut spec: MountSpec, from: f64, balance: f64) -> Vec<(f64, Contact)> {
    spec.axes[0].balance_angle = degrees(balance);
    let home = AxisAngles { first: degrees(from), second: degrees(20.0) };
    let mut mount = switch_on(spec, home);
    mount.order(0, Path::steady(Span::ZERO, degrees(from), AngularRate::SIDEREAL), after(0.0));
    let mut found = Vec::new();
    for event in mount.advance(after(4.0 * 3600.0)) {
        if let MountEventKind::FlankChanged { axis: 0, held } = event.kind {
            found.push((mount.dial_at(event.at), held));
        }
    }
    found
}

trait DialAt {
    fn dial_at(&self, at: units::Instant) -> f64;
}

impl DialAt for Mount {
    fn dial_at(&self, at: units::Instant) -> f64 {
        // The order is steady, so its dial at a past instant follows from the present one.
        let now = self.now();
        let back = (now - at).seconds() * AngularRate::SIDEREAL.degrees();
        self.dial(0, now).degrees() - back
    }
}

#[test]
fn the_flank_changes_where_the_load_crosses_the_friction() {
    // θ₀ = 0: held on the driving flank until −12.2°, then left to itself, laid on the leading flank after +12.2°.
    let width = Angle::from_radians(maths::asin(0.15 / degrees(45.0).cos())).degrees();
    assert!((width - 12.2).abs() < 0.05);
    let found = changes(reversing(), -25.0, 0.0);
    // At the beginning the wheel crosses to its flank.
    let later: Vec<_> = found.iter().filter(|(dial, _)| *dial > -24.0).collect();
    assert_eq!(later.len(), 3, "{found:?}");
    // One nanosecond of tracking is 4e-12°; the arcs are good to some 1e-13.
    assert!((later[0].0 + width).abs() < 1e-11, "{later:?}");
    assert!((later[1].0 - width).abs() < 1e-11, "{later:?}");
    assert_eq!(
        later.iter().map(|(_, held)| *held).collect::<Vec<_>>(),
        [Contact::None, Contact::None, Contact::Leading]
    );
}

#[test]
fn deliberate_imbalance_keeps_one_flank() {
    // The same mount made east-heavy by turning its centre of mass to the west of the meridian: no change within ±30°.
    let found = changes(reversing(), -25.0, 90.0);
    let later: Vec<_> = found.iter().filter(|(dial, _)| *dial > -24.0).collect();
    assert!(later.is_empty(), "{later:?}");
}

#[test]
fn crossing_takes_gap_times_damping_over_excess() {
    // 120″, b = 200 N·m·s/rad, excess 0.3 N·m: 0.39 s (0.3878).
    let mut spec = ideal(Kind::AltAzimuth, degrees(45.0));
    spec.axes[0].backlash = arcsec(120.0);
    spec.axes[0].friction = Torque::from_newton_metres(0.2);
    spec.axes[0].seat_damping = 200.0;
    let mut mount = switch_on(spec, at_zero());
    let wind = |from: f64| {
        let calm = WindSpec {
            gusts: None,
            ..WindSpec::open_field(Speed::from_metres_per_second(5.0), degrees(from))
        };
        Some(WindSpec { lever: Length::from_metres(0.5 / calm.force(5.0)), ..calm })
    };
    mount.wind(wind(90.0), &Streams::new(1), 0, after(0.0));
    let _ = mount.advance(after(5.0));
    assert_eq!(mount.play_state(0, after(5.0)).contact, Contact::Driving);
    mount.wind(wind(270.0), &Streams::new(1), 0, after(5.0));
    let events = mount.advance(after(10.0));
    let arrived = events
        .iter()
        .rev()
        .find(|event| event.kind == MountEventKind::FlankChanged { axis: 0, held: Contact::Leading });
    let took = (arrived.expect("it arrives").at - after(5.0)).seconds();
    let expected = arcsec(120.0).radians() * 200.0 / 0.3;
    assert!((expected - 0.39).abs() < 0.005);
    // The gap is 1e-7 wider or narrower than its mean by the tube's own turn of 120″ in the wind: 2e-7 of the torque.
    assert!((took - expected).abs() < 1e-6, "{took} {expected}");
    // Half-way through the time the wheel is half-way through the gap.
    assert!(
        events
            .iter()
            .any(|event| event.kind == MountEventKind::FlankChanged { axis: 0, held: Contact::None })
    );
}

#[test]
fn the_image_slews_by_gap_times_cosine_of_declination() {
    let mut spec = reversing();
    spec.axes[0].seat_damping = 0.0;
    let home = AxisAngles { first: degrees(-13.0), second: degrees(60.0) };
    let mut mount = switch_on(spec, home);
    mount.order(0, Path::steady(Span::ZERO, degrees(-13.0), AngularRate::SIDEREAL), after(0.0));
    // The wheel is laid over where +12.2° is reached: 25.2° after the beginning, 1.68 h.
    let change =
        (13.0 + maths::asin(0.15 / degrees(45.0).cos()).to_degrees()) / AngularRate::SIDEREAL.degrees();
    let (before, then) = (mount.boresight(after(change - 0.001)), mount.boresight(after(change + 0.001)));
    let moved = kinematics::frames::separation(&before, &then).arcsec();
    // 120″·cos 60° and 2 ms of tracking (0.015″).
    assert!((moved - 60.0).abs() < 0.02, "{moved}");
}

#[test]
fn a_strong_gust_lays_the_wheel_over_and_it_may_stay() {
    // No imbalance, friction 0.2 N·m: a wind of 0.5 N·m lays the wheel on the leading flank; after it the wheel stays.
    let mut spec = ideal(Kind::AltAzimuth, degrees(45.0));
    spec.axes[0].backlash = arcsec(100.0);
    spec.axes[0].friction = Torque::from_newton_metres(0.2);
    spec.axes[0].seat_damping = 200.0;
    let mut mount = switch_on(spec, at_zero());
    let calm =
        WindSpec { gusts: None, ..WindSpec::open_field(Speed::from_metres_per_second(5.0), degrees(270.0)) };
    let wind = WindSpec { lever: Length::from_metres(0.5 / calm.force(5.0)), ..calm };
    mount.wind(Some(wind), &Streams::new(1), 0, after(0.0));
    mount.wind(None, &Streams::new(1), 0, after(30.0));
    let state = mount.play_state(0, after(60.0));
    assert!(!state.loaded && state.contact == Contact::Leading, "{state:?}");
    assert!((mount.axes(after(60.0)).first.arcsec() - 50.0).abs() < 1e-9);
}
