//! Motors: stalls and lost steps, stops, power.

mod common;

use common::{START, after, arcsec, at_zero, degrees, ideal, switch_on};
use kinematics::{AxisAngles, Cubic, Kind, Path, RestToRest};
use mechanics::{Battery, Motor, Mount, MountEventKind, MountSpec, StallCause};
use units::{Angle, AngularRate, Share, Span, Torque};

fn with_motor() -> MountSpec {
    let mut spec = ideal(Kind::GermanEquatorial, degrees(45.0));
    let torque = Torque::from_newton_metres;
    for axis in &mut spec.axes {
        axis.motor = Some(Motor {
            holding: torque(0.05),
            pull_out: vec![(0.0, torque(0.04)), (1000.0, torque(0.01)), (1200.0, torque(0.0))],
            resonances: Vec::new(),
            catches_below: 200.0,
            efficiency: Share::from_fraction(0.5),
        });
        axis.friction = torque(0.1);
        axis.inertia = 2.0;
        axis.continuous = false;
    }
    spec
}

fn kinds(mount: &mut Mount, seconds: f64) -> Vec<MountEventKind> {
    mount.advance(after(seconds)).into_iter().map(|event| event.kind).collect()
}

fn slew(mount: &mut Mount, way: Angle, now: f64) -> f64 {
    let profile = RestToRest::new(way, &common::limits());
    let at = after(now);
    let time = mount.crystal().controller_time(at);
    let _ = mount.advance(at);
    let path = Path::hold(time, mount.dial(0, at)).plus(time, &profile);
    mount.order(0, path, at);
    now + profile.duration().seconds()
}

#[test]
fn a_healthy_mount_never_stalls() {
    let mut mount = switch_on(with_motor(), at_zero());
    let end = slew(&mut mount, degrees(30.0), 1.0);
    assert_eq!(kinds(&mut mount, end + 1.0), []);
    let pose = mount.pose(after(end));
    // Only the motor's lag under friction-free balance is left: none.
    assert_eq!(pose.axes.first, pose.dials.first);
}

#[test]
fn an_overloaded_motor_loses_multiples_of_four_full_steps_and_the_dial_does_not_know() {
    // 3°/s are 800 full steps/s, where the motor pulls 0.016 N·m, 3.84 N·m at the axis. 8 N·m out of balance at latitude
    // 45° pull with up to 4.9 N·m at 60°: it stalls on the way.
    let mut spec = with_motor();
    spec.axes[0].imbalance = Torque::from_newton_metres(8.0);
    spec.axes[0].balance_angle = degrees(180.0);
    let period = 4.0 * spec.axes[0].full_step().arcsec();
    let mut mount = switch_on(spec, at_zero());
    let end = slew(&mut mount, degrees(60.0), 1.0);
    let seen = kinds(&mut mount, end + 1.0);
    assert!(matches!(seen[0], MountEventKind::Stalled { axis: 0, cause: StallCause::Torque }), "{seen:?}");
    let MountEventKind::Caught { axis: 0, lost } = seen[1] else { panic!("{seen:?}") };
    let dial = mount.dial(0, after(end + 1.0));
    assert!((dial.degrees() - 60.0).abs() < 1e-4, "the dial has arrived");
    let periods = lost.arcsec() / period;
    assert!(periods >= 1.0 && (periods - periods.round()).abs() < 1e-6, "{periods}");
    // The axis stands short by what was lost, less the lag of the loaded motor (below a full step of 13.5″).
    let short = (dial - mount.axes(after(end + 1.0)).first).arcsec();
    assert!((short - lost.arcsec()).abs() < 13.5, "{short} {lost:?}");
}

#[test]
fn a_forced_stall_while_tracking_loses_one_period() {
    let spec = with_motor();
    let period = 4.0 * spec.axes[0].full_step().arcsec();
    let mut mount = switch_on(spec, at_zero());
    mount.order(0, Path::steady(Span::ZERO, Angle::ZERO, AngularRate::SIDEREAL), after(0.0));
    mount.stall(0, Span::ZERO, after(100.0));
    let seen = kinds(&mut mount, 101.0);
    assert!(matches!(seen[..], [MountEventKind::Stalled { .. }, MountEventKind::Caught { .. }]), "{seen:?}");
    let pose = mount.pose(after(200.0));
    assert!(((pose.dials.first - pose.axes.first).arcsec() - period).abs() < 1e-6);
}

#[test]
fn a_forced_stall_that_lasts_loses_what_was_ordered_meanwhile() {
    // 20 s of tracking are 300.8″, or 5.57 periods of 54″: six are lost, the rotor catches ahead.
    let mut mount = switch_on(with_motor(), at_zero());
    mount.order(0, Path::steady(Span::ZERO, Angle::ZERO, AngularRate::SIDEREAL), after(0.0));
    mount.stall(0, Span::from_whole_seconds(20), after(100.0));
    let standing = mount.axes(after(100.0));
    assert_eq!(mount.axes(after(119.0)), standing);
    let pose = mount.pose(after(130.0));
    assert!(((pose.dials.first - pose.axes.first).arcsec() - 6.0 * 54.0).abs() < 1e-6);
}

#[test]
fn a_hard_stop_holds_the_axis_until_the_order_leads_away() {
    let mut spec = with_motor();
    spec.axes[0].stops = Some((degrees(-10.0), degrees(10.0)));
    let mut mount = switch_on(spec, at_zero());
    let end = slew(&mut mount, degrees(20.0), 1.0);
    let seen = kinds(&mut mount, end);
    assert!(matches!(seen[..], [MountEventKind::Stalled { axis: 0, cause: StallCause::Stop }]), "{seen:?}");
    assert!((mount.axes(after(end)).first.degrees() - 10.0).abs() < 1e-3);
    assert!((mount.dial(0, after(end)).degrees() - 20.0).abs() < 1e-3);
    let end = slew(&mut mount, degrees(-5.0), end + 1.0);
    let seen = kinds(&mut mount, end);
    assert!(seen.iter().any(|kind| matches!(kind, MountEventKind::Caught { axis: 0, .. })), "{seen:?}");
    // It follows again within half an electrical period of 54″.
    assert!((mount.axes(after(end)).first.degrees() - 5.0).abs() < 28.0 / 3600.0);
}

#[test]
fn a_brown_out_sets_the_dials_home_and_leaves_the_axes() {
    let home = AxisAngles { first: degrees(-90.0), second: degrees(90.0) };
    let mut mount = switch_on(with_motor(), home);
    let end = slew(&mut mount, degrees(40.0), 1.0);
    let before = mount.axes(after(end + 1.0));
    mount.brown_out(Span::from_seconds(0.5), after(end + 1.0));
    // An order without power goes nowhere.
    mount.order(0, Path::hold(Span::ZERO, Angle::ZERO), after(end + 1.2));
    assert!(!mount.powered());
    let seen = kinds(&mut mount, end + 2.0);
    assert_eq!(seen, [MountEventKind::PowerLost, MountEventKind::Reset]);
    let now = after(end + 2.0);
    assert!((mount.dial(0, now) - home.first).abs() < arcsec(0.5));
    assert_eq!(mount.axes(now), before);
}

#[test]
fn a_flat_battery_ends_the_night() {
    // 12.6 V to 11.0 V over 6 h; reset below 10.8 V: after 6 h·1.8/1.6 = 6.75 h.
    let mut mount = switch_on(with_motor(), at_zero());
    let battery =
        Battery { full: 12.6, empty: 11.0, lasts: Span::from_whole_seconds(6 * 3600), reset_below: 10.8 };
    mount.battery(battery, START);
    mount.order(0, Path::steady(Span::ZERO, Angle::ZERO, AngularRate::SIDEREAL), START);
    let events = mount.advance(after(7.0 * 3600.0));
    let flat = events.iter().find(|event| event.kind == MountEventKind::PowerLost).expect("it goes flat");
    // The voltages are decimal fractions in binary: 1e-13 of the time.
    assert!(((flat.at - START).hours() - 6.75).abs() < 1e-9);
    assert!((mount.dial(0, after(7.0 * 3600.0)).degrees() - 6.75 * 15.041_067).abs() < 1e-3);
}

#[test]
fn a_sagging_battery_stalls_what_a_fresh_one_drives() {
    // 3.84 N·m at the axis are pulled at 12.6 V, 2.9 N·m after 50 minutes at 9.6 V. 4.9 N·m out of balance at latitude 45°
    // pull with up to 3.0 N·m.
    let mut spec = with_motor();
    spec.axes[0].imbalance = Torque::from_newton_metres(4.9);
    spec.axes[0].balance_angle = degrees(180.0);
    let stalls = |age: i64| {
        let mut mount = switch_on(spec.clone(), at_zero());
        let battery =
            Battery { full: 12.6, empty: 9.0, lasts: Span::from_whole_seconds(3600), reset_below: 8.0 };
        mount.battery(battery, START);
        let end = slew(&mut mount, degrees(60.0), 1.0 + age as f64);
        kinds(&mut mount, end + 1.0).iter().any(|kind| matches!(kind, MountEventKind::Stalled { .. }))
    };
    assert!(!stalls(0) && stalls(3000));
}

#[test]
fn following_orders_piece_by_piece() {
    let mut mount = switch_on(ideal(Kind::GermanEquatorial, degrees(45.0)), at_zero());
    let path = Path::from_pieces(vec![
        Cubic { begin: Span::from_seconds(1.0), coefficients: [0.0, 0.0, 0.01, 0.0] },
        Cubic { begin: Span::from_seconds(2.0), coefficients: [0.01, 0.02, -0.01, 0.0] },
        Cubic::hold(Span::from_seconds(3.0), Angle::from_radians(0.02)),
    ]);
    mount.order(0, path.clone(), after(0.0));
    for seconds in [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0] {
        let expected = path.position(Span::from_seconds(seconds));
        assert_eq!(mount.axes(after(seconds)).first, expected);
        assert_eq!(mount.dial(0, after(seconds)), expected);
    }
}

#[test]
fn lost_steps_are_whole_periods_that_the_dial_does_not_know() {
    let spec = with_motor();
    let period = 4.0 * spec.axes[0].full_step().arcsec();
    let mut mount = switch_on(spec, at_zero());
    let before = mount.pose(after(1.0));
    mount.lose_steps(0, arcsec(period * 2.4), after(1.0));
    let kinds = kinds(&mut mount, 1.0);
    let [MountEventKind::Caught { axis: 0, lost }] = kinds[..] else { panic!("{kinds:?}") };
    // Two periods, to the rounding of a double at a right angle.
    assert!((lost.arcsec() - 2.0 * period).abs() < 1e-9, "{}", lost.arcsec());
    let after_it = mount.pose(after(1.0));
    assert_eq!(after_it.dials, before.dials);
    let behind = (before.axes.first - after_it.axes.first).arcsec();
    assert!((behind - 2.0 * period).abs() < 1e-9, "{behind}");
    // However little was meant, a motor can't lose less than one.
    mount.lose_steps(0, arcsec(-0.1), after(2.0));
    let more = (mount.pose(after(2.0)).axes.first - after_it.axes.first).arcsec();
    assert!((more - period).abs() < 1e-9, "{more}");
}

#[test]
fn a_slipped_count_is_off_while_nothing_moves() {
    let mut mount = switch_on(with_motor(), at_zero());
    let before = mount.pose(after(1.0));
    mount.count_slip(1, arcsec(300.0), after(1.0));
    let now = mount.pose(after(1.0));
    // A microstep is far below an arcsecond here: 160 teeth, 200 steps a turn and finer.
    let jump = (now.dials.second - before.dials.second).arcsec();
    assert!((jump - 300.0).abs() < 1.0, "{jump}");
    assert_eq!(now.dials.first, before.dials.first);
    // The axis stays, to the rounding of a double.
    assert!((now.axes.second - before.axes.second).arcsec().abs() < 1e-9);
}
