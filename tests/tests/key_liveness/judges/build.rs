//! How the mount is built: its solid shape, and what droops.

use super::{Verdict, hold, hour_and_declination, near};
use crate::night::{Case, EAST, WEST, look, prepared};
use kinematics::first_order::EquatorialTerm;
use mechanics::{Body, Capsule};
use units::Angle;

fn bodies(case: &Case) -> Result<[Body; 2], String> {
    let body = |settings: &[crate::night::Setting]| {
        let prepared = prepared(settings).map_err(|_| "the night is refused".to_owned())?;
        prepared.world_spec().mount.body.clone().ok_or_else(|| "the mount has no shape".to_owned())
    };
    let given = case.given();
    Ok([body(given)?, body(&[given, &[case.change()]].concat())?])
}

fn length(capsule: &Capsule) -> f64 {
    (capsule.to - capsule.from).norm()
}

/// A measure of both bodies, metres, that must be these.
fn measured(case: &Case, what: fn(&Body) -> f64, before: f64, after: f64) -> Verdict {
    let [one, other] = bodies(case)?;
    // A few roundings of metres.
    near("before, m", what(&one), before, 1e-12)?;
    near("after, m", what(&other), after, 1e-12)
}

pub fn tube_length(case: &Case) -> Verdict {
    measured(case, |body| length(&body.on_second[0]), 1.5, 1.0)
}

/// Half of the diameter, and the clearance.
pub fn tube_diameter(case: &Case) -> Verdict {
    measured(case, |body| body.on_second[0].radius.metres(), 0.09 + 0.05, 0.08 + 0.05)
}

pub fn clearance(case: &Case) -> Verdict {
    measured(case, |body| body.on_second[0].radius.metres(), 0.09 + 0.05, 0.09 + 0.08)
}

pub fn tube_offset(case: &Case) -> Verdict {
    measured(case, |body| -body.on_second[0].from.y, 0.15, 0.25)
}

pub fn shaft_length(case: &Case) -> Verdict {
    measured(case, |body| body.on_first[0].to.y, 0.4, 0.6)
}

pub fn counterweight_diameter(case: &Case) -> Verdict {
    measured(case, |body| body.on_first[0].radius.metres(), 0.07, 0.1)
}

pub fn pier_height(case: &Case) -> Verdict {
    measured(case, |body| length(&body.fixed[0]), 0.4, 0.7)
}

pub fn pier_diameter(case: &Case) -> Verdict {
    measured(case, |body| body.fixed[0].radius.metres(), 0.06, 0.1)
}

pub fn leg_spread(case: &Case) -> Verdict {
    let spread = |body: &Body| (body.fixed[1].to - body.fixed[1].from).xy().norm();
    measured(case, spread, 0.6, 0.9)
}

/// A droop of an arcminute is a cone error of an arcminute times the height of the declination axis's end: cos φ times the
/// sine of the hour axis's dial.
pub fn cone_droops(case: &Case) -> Verdict {
    let latitude = Angle::from_degrees(40.5);
    for target in [EAST, WEST] {
        let (hour, declination, branch) = hour_and_declination(case, target);
        let (hour_row, declination_row) = EquatorialTerm::ConeError.row(latitude, hour, declination, branch);
        let height = latitude.cos() * look(&case.base, target).dials.0.sin();
        let (before, after) = case.looks(target);
        let east = (after.miss_east - before.miss_east).arcsec();
        let north = (after.miss_north - before.miss_north).arcsec();
        let expected = (-60.0 * height * hour_row * declination.cos(), 60.0 * height * declination_row);
        // Up to the sense of the axis's end, which both parts share; as for the cone error itself.
        let sense = if east * expected.0 < 0.0 { -1.0 } else { 1.0 };
        near("miss_east_arcsec", east, sense * expected.0, 0.035)?;
        near("miss_north_arcsec", north, sense * expected.1, 0.035)?;
        hold(east.abs() + north.abs() > 5.0, "the change is too small to judge here")?;
    }
    Ok(())
}
