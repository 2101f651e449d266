//! The solid shape of the mount, from the scenario's sizes.

use kinematics::Kind;
use mechanics::{Body, Capsule, MountSpec};
use scenario::{Plan, Structure};
use units::{Angle, Length};

/// Puts a body of the scenario's sizes in place of the grade's if the scenario gives any.
pub(super) fn amend(spec: &mut MountSpec, plan: &Plan) {
    let file = &plan.mount.structure;
    if *file != Structure::default() {
        spec.body = Some(body(spec.geometry.kind, spec.latitude, plan, file));
    }
}

fn metres(length: Option<Length>, usual: f64) -> f64 {
    length.map_or(usual, Length::metres)
}

fn body(kind: Kind, latitude: Angle, plan: &Plan, file: &Structure) -> Body {
    let focal_length = metres(plan.tube.focal_length, 1.5);
    let length = metres(file.tube_length, (1.2 * focal_length).min(1.5));
    let diameter = metres(file.tube_diameter, 1.2 * metres(plan.tube.aperture, 0.15));
    // The tube is thicker by the clearance: it counts as a touch to come nearer than that.
    let radius = diameter / 2.0 + metres(file.clearance, 0.05);
    let german = kind == Kind::GermanEquatorial;
    let offset = if german { metres(file.tube_offset, 0.15) } else { 0.0 };
    let tube = Capsule::new([-0.42 * length, -offset, 0.0], [0.58 * length, -offset, 0.0], radius);
    let counterweight = {
        let shaft = metres(file.shaft_length, 0.4);
        let radius = metres(file.counterweight_diameter, 0.14) / 2.0;
        Capsule::new([0.0, (shaft - 0.2).max(0.0), 0.0], [0.0, shaft, 0.0], radius)
    };
    Body {
        fixed: support(german, latitude, file),
        on_first: if german { vec![counterweight] } else { Vec::new() },
        on_second: vec![tube],
    }
}

/// Pier and legs. The head of a German mount overhangs its pier along the lower end of the hour axis.
fn support(german: bool, latitude: Angle, file: &Structure) -> Vec<Capsule> {
    let lower_end = if latitude < Angle::ZERO { 1.0 } else { -1.0 };
    let overhang = if german { 0.25 * latitude.cos() * lower_end } else { 0.0 };
    let top = -0.30;
    let foot = top - metres(file.pier_height, 0.4);
    let (radius, spread) = (metres(file.pier_diameter, 0.12) / 2.0, metres(file.leg_spread, 0.6));
    let pier = Capsule::new([0.0, overhang, top], [0.0, overhang, foot], radius);
    let legs = [0.0, 120.0, 240.0].map(|azimuth| {
        let (sin, cos) = Angle::from_degrees(azimuth).sin_cos();
        Capsule::new([0.0, overhang, foot], [spread * sin, overhang + spread * cos, foot - 0.5], 0.025)
    });
    std::iter::once(pier).chain(legs).collect()
}
