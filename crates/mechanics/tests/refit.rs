//! Other matter in place of the old while a mount runs: what stays, and what can't be changed.

mod common;

use common::{after, arcsec, at_zero, degrees, ideal, switch_on, zigzag};
use kinematics::{Kind, frames};
use mechanics::RefitError;
use units::{Angle, PartsPerMillion};

#[test]
fn motors_go_on_and_the_wheel_stays_where_it_is() {
    let spec = ideal(Kind::GermanEquatorial, degrees(40.0));
    let mut mount = switch_on(spec.clone(), at_zero());
    mount.order(0, zigzag(&[0.0, 600.0, 0.0], 10.0), after(0.0));
    mount.advance(after(5.0));
    let (dial, axis) = (mount.dial(0, after(5.0)), mount.axes(after(5.0)).first);
    let mut loose = spec.clone();
    loose.axes[0].backlash = arcsec(100.0);
    mount.refit(loose, after(5.0)).expect("play may be put in");
    assert_eq!(mount.dial(0, after(5.0)), dial);
    assert_eq!(mount.axes(after(5.0)).first, axis);
    // It was in the middle of the new gap: half of it passes before the wheel follows on, and a whole one on the way back.
    mount.advance(after(10.0));
    let end = mount.axes(after(10.0)).first;
    assert!((end.arcsec() - 550.0).abs() < 1e-6, "{}", end.arcsec());
    mount.advance(after(20.0));
    assert!((mount.axes(after(20.0)).first.arcsec() - 50.0).abs() < 1e-6);
    // Taken out again, the wheel is where its motor is.
    mount.refit(spec, after(20.0)).expect("and taken out");
    assert!(mount.axes(after(20.0)).first.arcsec().abs() < 1e-6);
}

#[test]
fn what_befell_the_base_stays() {
    let spec = ideal(Kind::GermanEquatorial, degrees(40.0));
    let mut kicked = switch_on(spec.clone(), at_zero());
    kicked.tripod_kick(Angle::ZERO, degrees(1.0), after(1.0));
    let before = kicked.boresight(after(2.0));
    let mut other = spec.clone();
    other.geometry.cone_error = degrees(0.5);
    kicked.refit(other, after(2.0)).expect("a cone may be put in");
    let off = frames::separation(&before, &kicked.boresight(after(2.0)));
    // A cone of half a degree moves the boresight by it, whatever the base does; both by arc tangents of vectors: 1e-9 deg.
    assert!((off.degrees() - 0.5).abs() < 1e-9, "{}", off.degrees());
    kicked.refit(spec, after(3.0)).expect("and taken out");
    assert!(frames::separation(&before, &kicked.boresight(after(3.0))).degrees() < 1e-9);
}

#[test]
fn what_counts_and_time_rest_on_is_refused_and_nothing_has_changed() {
    let spec = ideal(Kind::GermanEquatorial, degrees(40.0));
    let mut mount = switch_on(spec.clone(), at_zero());
    mount.order(0, zigzag(&[0.0, 600.0], 10.0), after(0.0));
    mount.advance(after(3.0));
    let before = mount.pose(after(3.0));
    let changes: [fn(&mut mechanics::MountSpec); 5] = [
        |spec| spec.axes[1].teeth = 180,
        |spec| spec.axes[0].microsteps = 16,
        |spec| spec.crystal_drift = PartsPerMillion::from_ppm(10.0),
        |spec| spec.latitude = degrees(41.0),
        |spec| spec.axes[0].reducer_ratio = 4.0,
    ];
    for change in changes {
        let mut other = spec.clone();
        change(&mut other);
        assert!(matches!(mount.refit(other, after(3.0)), Err(RefitError::Kept { .. })));
    }
    let mut impossible = spec.clone();
    impossible.axes[0].backlash = arcsec(-1.0);
    assert!(matches!(mount.refit(impossible, after(3.0)), Err(RefitError::Spec(_))));
    assert_eq!(mount.pose(after(3.0)), before);
}
