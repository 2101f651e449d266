//! Causes in the gears, in the hands, and in what happens during the night.

use super::Cause;
use scenario::{Axis, Correction, DisturbanceKind, Grade, Plan};
use units::{Angle, Share};

/// Whether the grade brings errors of its own where the file is silent.
pub(super) fn graded(plan: &Plan) -> bool {
    plan.mount.grade != Some(Grade::Perfect)
}

fn axes(plan: &Plan) -> [Option<&Axis>; 2] {
    let mount = &plan.mount;
    if mount.kind.is_equatorial() {
        [mount.hour_axis.as_ref(), mount.declination_axis.as_ref()]
    } else {
        [mount.azimuth_axis.as_ref(), mount.altitude_axis.as_ref()]
    }
}

fn axes_mut(plan: &mut Plan) -> [&mut Axis; 2] {
    let mount = &mut plan.mount;
    let (first, second) = if mount.kind.is_equatorial() {
        (&mut mount.hour_axis, &mut mount.declination_axis)
    } else {
        (&mut mount.azimuth_axis, &mut mount.altitude_axis)
    };
    [first.get_or_insert_default(), second.get_or_insert_default()]
}

/// Whether an axis has an error: what its file says of it, or what the grade brings where the file is silent.
fn any_axis(plan: &Plan, said: impl Fn(&Axis) -> Option<bool>) -> bool {
    axes(plan).into_iter().any(|axis| axis.and_then(&said).unwrap_or_else(|| graded(plan)))
}

const ZERO: Angle = Angle::ZERO;

/// Turns disturbances into touches of no size. They keep their places in the list, by whose numbers the others draw.
fn still(plan: &mut Plan, which: fn(DisturbanceKind) -> bool) {
    for file in plan.disturb.iter_mut().filter(|file| which(file.kind)) {
        file.kind = DisturbanceKind::Bump;
        (file.hour_axis, file.declination_axis) = (None, None);
        (file.azimuth_axis, file.altitude_axis) = (None, None);
    }
}

/// Makes a cause out of one kind of disturbance.
macro_rules! strike {
    ($name:literal, $kind:pat) => {
        Cause {
            name: $name,
            present: |plan| plan.disturb.iter().any(|file| matches!(file.kind, $kind)),
            remove: |plan| still(plan, |kind| matches!(kind, $kind)),
        }
    };
}

pub(super) const GEARS: &[Cause] = &[
    Cause {
        name: "The play of the gears",
        present: |plan| any_axis(plan, |axis| axis.backlash.map(|play| play != ZERO)),
        remove: |plan| axes_mut(plan).into_iter().for_each(|axis| axis.backlash = Some(ZERO)),
    },
    Cause {
        name: "The periodic error of the worms",
        present: |plan| any_axis(plan, |axis| axis.periodic_error.as_ref().map(|terms| !terms.is_empty())),
        remove: |plan| {
            for axis in axes_mut(plan) {
                axis.periodic_error = Some(Vec::new());
                axis.periodic_error_other_flank = Some(Vec::new());
                // A correction of an error that isn't there would be an error itself.
                axis.error_correction = Some(Correction::Off);
                axis.error_correction_turns = None;
            }
            plan.observer.periodic_error = None;
        },
    },
    Cause {
        name: "The correction that was recorded",
        present: |plan| plan.observer.periodic_error.is_some(),
        remove: |plan| plan.observer.periodic_error = None,
    },
    Cause {
        name: "The take-up that was measured",
        present: |plan| plan.observer.play.is_some(),
        remove: |plan| plan.observer.play = None,
    },
    Cause {
        name: "The errors of the reducers",
        present: |plan| any_axis(plan, |axis| axis.reducer_error.as_ref().map(|terms| !terms.is_empty())),
        remove: |plan| axes_mut(plan).into_iter().for_each(|axis| axis.reducer_error = Some(Vec::new())),
    },
    Cause {
        name: "The errors of the wheels",
        present: |plan| {
            any_axis(plan, |axis| axis.wheel_eccentricity.map(|size| size != ZERO))
                || any_axis(plan, |axis| axis.tooth_noise.map(|size| size != ZERO))
        },
        remove: |plan| {
            for axis in axes_mut(plan) {
                (axis.wheel_eccentricity, axis.tooth_noise) = (Some(ZERO), Some(ZERO));
            }
        },
    },
];

pub(super) const HANDS: &[Cause] = &[
    Cause {
        name: "The person's centring",
        present: |plan| {
            let person = &plan.observer;
            let eyepiece = person.eyepiece_centring.map(|size| size != Share::ZERO);
            let finder = person.finder_centring.map(|size| size != ZERO);
            eyepiece
                .or(finder)
                .unwrap_or_else(|| plan.setup.care != Some(scenario::Care::Perfect) && graded(plan))
        },
        remove: |plan| {
            plan.observer.eyepiece_centring = Some(Share::ZERO);
            plan.observer.finder_centring = Some(ZERO);
        },
    },
    Cause {
        name: "The wrong star",
        present: |plan| plan.observer.wrong_star.is_some_and(|chance| chance != Share::ZERO),
        remove: |plan| plan.observer.wrong_star = Some(Share::ZERO),
    },
    Cause {
        name: "The sinking of the tripod",
        present: |plan| {
            plan.setup.settling.is_some_and(|size| size != ZERO)
                || plan.disturb.iter().any(|file| file.kind == DisturbanceKind::Settle)
        },
        remove: |plan| {
            plan.setup.settling = Some(ZERO);
            still(plan, |kind| kind == DisturbanceKind::Settle);
        },
    },
    strike!("The knocks", DisturbanceKind::Knock | DisturbanceKind::Bump | DisturbanceKind::TripodKick),
    strike!("The slip of a clutch", DisturbanceKind::ClutchSlip),
    strike!("The wind", DisturbanceKind::Wind),
    strike!("The failures of power", DisturbanceKind::BrownOut),
    strike!("The stalls", DisturbanceKind::Stall),
    strike!("The jump of the clock", DisturbanceKind::ClockJump),
    strike!("The cold", DisturbanceKind::Temperature),
    strike!("The clouds", DisturbanceKind::Cloud),
];
