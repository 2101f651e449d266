//! The mount as matter: the grade's mount, with what the scenario says in place of what the grade does.

mod axis;
mod shape;

use kinematics::{BaseErrors, Geometry, base};
use mechanics::{Battery, Grade, MountSpec, Supply};
use scenario::{Complaint, Plan};
use units::{Angle, Span, Streams};

/// The mount on its base, as truly set up.
pub(super) fn spec(plan: &Plan, latitude: Angle, errors: &BaseErrors, streams: &Streams) -> MountSpec {
    let kind = kind(plan.mount.kind);
    let mut spec = grade(plan).mount(kind, latitude, base(kind, latitude, errors), streams);
    let geometry = &plan.mount.geometry;
    let (first, second) = zero_offsets(plan);
    spec.geometry = Geometry {
        zero_first: first,
        zero_second: second,
        axis_skew: geometry.axis_skew.unwrap_or(spec.geometry.axis_skew),
        cone_error: geometry.cone_error.unwrap_or(spec.geometry.cone_error),
        tube_flexure: geometry.tube_flexure.unwrap_or(spec.geometry.tube_flexure),
        cone_droop: geometry.cone_droop.unwrap_or(Angle::ZERO).radians(),
        ..spec.geometry
    };
    for (index, file) in axes(plan).into_iter().enumerate() {
        axis::amend(&mut spec, index, file, grade(plan), streams);
    }
    if let Some(drift) = plan.mount.clock.drift {
        spec.crystal_drift = drift;
    }
    if let Some(life) = plan.mount.battery_life {
        spec.supply = battery(life);
    }
    shape::amend(&mut spec, plan);
    spec
}

/// Holds that both axes say the same of what swings as one: tube, mount and tripod.
pub(super) fn one_structure(plan: &Plan) -> Result<(), Complaint> {
    let [Some(first), Some(second)] = axes(plan) else { return Ok(()) };
    let names = plan.mount.kind.axes();
    let hold = |same: bool, key: &str| {
        if same {
            return Ok(());
        }
        let problem = format!("both axes swing as one structure, and mount.{}.{key} is another", names.first);
        let path = format!("mount.{}.{key}", names.second);
        Err(plan.complain(&path, problem, "give it once, or the same for both axes"))
    };
    let differ =
        |(one, other): (Option<f64>, Option<f64>)| matches!((one, other), (Some(a), Some(b)) if a != b);
    let hertz = |axis: &scenario::Axis| axis.natural_frequency.map(units::Frequency::hertz);
    hold(!differ((hertz(first), hertz(second))), "natural_frequency")?;
    hold(!differ((first.damping, second.damping)), "damping")
}

/// The grade; mid-range where nothing is said.
pub(super) fn grade(plan: &Plan) -> Grade {
    match plan.mount.grade {
        Some(scenario::Grade::Worn) => Grade::Worn,
        None | Some(scenario::Grade::MidRange) => Grade::MidRange,
        Some(scenario::Grade::Tuned) => Grade::Tuned,
        Some(scenario::Grade::Perfect) => Grade::Perfect,
    }
}

/// The scenario's tables of the first and the second axis.
fn axes(plan: &Plan) -> [Option<&scenario::Axis>; 2] {
    let mount = &plan.mount;
    if mount.kind.is_equatorial() {
        [mount.hour_axis.as_ref(), mount.declination_axis.as_ref()]
    } else {
        [mount.azimuth_axis.as_ref(), mount.altitude_axis.as_ref()]
    }
}

fn zero_offsets(plan: &Plan) -> (Angle, Angle) {
    let setup = &plan.setup;
    let (first, second) = if plan.mount.kind.is_equatorial() {
        (setup.home_hour_error, setup.home_declination_error)
    } else {
        (setup.home_azimuth_error, setup.home_altitude_error)
    };
    (first.unwrap_or(Angle::ZERO), second.unwrap_or(Angle::ZERO))
}

/// A lead battery of 12 V: it sags from 12.6 V, and at 10.8 V the electronics reset (common practice, no source).
fn battery(life: Span) -> Supply {
    Supply::Battery(Battery { full: 12.6, empty: 10.8, lasts: life, reset_below: 10.8 })
}

pub(super) fn kind(kind: scenario::Kind) -> kinematics::Kind {
    match kind {
        scenario::Kind::GermanEquatorial => kinematics::Kind::GermanEquatorial,
        scenario::Kind::ForkEquatorial => kinematics::Kind::ForkEquatorial,
        scenario::Kind::AltAzimuth => kinematics::Kind::AltAzimuth,
    }
}
