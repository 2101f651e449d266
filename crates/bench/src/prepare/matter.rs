//! The mount as matter, from the scenario's `[mount]` and what was done to it in the field.

use kinematics::profile::Limits;
use kinematics::{BaseErrors, Geometry, base};
use mechanics::{AxisSpec, MountSpec, Supply};
use scenario::{Axis, Plan};
use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, PartsPerMillion};

/// Teeth and reducer of a mid-range mount, which a perfect one shares.
const TEETH: i64 = 160;
const REDUCER_RATIO: f64 = 3.0;

pub(super) fn spec(plan: &Plan, latitude: Angle, errors: &BaseErrors) -> MountSpec {
    let kind = kind(plan.mount.kind);
    let file = &plan.mount.geometry;
    let or_none = |angle: Option<Angle>| angle.unwrap_or(Angle::ZERO);
    let geometry = Geometry {
        zero_first: or_none(plan.setup.home_hour_error),
        zero_second: or_none(plan.setup.home_declination_error),
        axis_skew: or_none(file.axis_skew),
        cone_error: or_none(file.cone_error),
        tube_flexure: or_none(file.tube_flexure),
        ..Geometry::ideal(kind, base(kind, latitude, errors))
    };
    let axis = |file: &Option<Axis>| AxisSpec::ideal(TEETH, REDUCER_RATIO, limits(file.as_ref()));
    MountSpec {
        latitude,
        geometry,
        axes: [axis(&plan.mount.hour_axis), axis(&plan.mount.declination_axis)],
        crystal_drift: plan.mount.clock.drift.unwrap_or(PartsPerMillion::ZERO),
        structure: None,
        supply: Supply::Steady,
        body: None,
    }
}

/// What a drive can do: a mid-range mount's figures where nothing is said.
fn limits(axis: Option<&Axis>) -> Limits {
    Limits {
        rate: axis.and_then(|axis| axis.slew_rate).unwrap_or(AngularRate::from_degrees(3.0)),
        acceleration: axis
            .and_then(|axis| axis.acceleration)
            .unwrap_or(AngularAcceleration::from_degrees(2.0)),
        jerk: Some(axis.and_then(|axis| axis.jerk).unwrap_or(AngularJerk::from_degrees(6.0))),
    }
}

pub(super) fn kind(kind: scenario::Kind) -> kinematics::Kind {
    match kind {
        scenario::Kind::GermanEquatorial => kinematics::Kind::GermanEquatorial,
        scenario::Kind::ForkEquatorial => kinematics::Kind::ForkEquatorial,
        scenario::Kind::AltAzimuth => kinematics::Kind::AltAzimuth,
    }
}
