//! What can be wrong with a night, and the same night without it.

mod gears_and_hands;

use scenario::Plan;
use units::{Angle, PartsPerMillion, Span};

/// One cause of error.
pub(crate) struct Cause {
    /// With its article, as a sentence begins: `The cone error`.
    pub(crate) name: &'static str,
    /// Whether the plan has it.
    pub(crate) present: fn(&Plan) -> bool,
    /// Takes it out of the plan.
    pub(crate) remove: fn(&mut Plan),
}

fn some(angle: Option<Angle>) -> bool {
    angle.is_some_and(|angle| angle != Angle::ZERO)
}

/// Makes a cause out of one key that holds an angle.
macro_rules! angle_cause {
    ($name:literal, $($key:ident).+) => {
        Cause {
            name: $name,
            present: |plan| some(plan.$($key).+),
            remove: |plan| plan.$($key).+ = Some(Angle::ZERO),
        }
    };
}

/// Makes a cause out of one key of the geometry, for which the grade draws where the file is silent.
macro_rules! geometry_cause {
    ($name:literal, $key:ident) => {
        Cause {
            name: $name,
            present: |plan| match plan.mount.geometry.$key {
                Some(angle) => angle != Angle::ZERO,
                None => gears_and_hands::graded(plan),
            },
            remove: |plan| plan.mount.geometry.$key = Some(Angle::ZERO),
        }
    };
}

/// Makes a cause out of one entered value; without it the mount was told the truth.
macro_rules! entered_cause {
    ($name:literal, $key:ident) => {
        Cause {
            name: $name,
            present: |plan| plan.setup.entered.$key.is_some(),
            remove: |plan| plan.setup.entered.$key = None,
        }
    };
}

/// All causes, in the order in which equals are named.
pub(crate) fn all() -> impl Iterator<Item = &'static Cause> {
    STANDING.iter().chain(gears_and_hands::GEARS).chain(gears_and_hands::HANDS)
}

/// Causes in how the mount stands and what it was told.
const STANDING: &[Cause] = &[
    angle_cause!("The polar axis's altitude error", setup.polar_altitude_error),
    angle_cause!("The polar axis's azimuth error", setup.polar_azimuth_error),
    Cause {
        name: "The lean of the base",
        present: |plan| some(plan.setup.lean_north) || some(plan.setup.lean_east),
        remove: |plan| {
            plan.setup.lean_north = Some(Angle::ZERO);
            plan.setup.lean_east = Some(Angle::ZERO);
        },
    },
    angle_cause!("The hour axis's home mark", setup.home_hour_error),
    angle_cause!("The declination axis's home mark", setup.home_declination_error),
    angle_cause!("The azimuth axis's home mark", setup.home_azimuth_error),
    angle_cause!("The altitude axis's home mark", setup.home_altitude_error),
    geometry_cause!("The cone error", cone_error),
    geometry_cause!("The skew of the axes", axis_skew),
    geometry_cause!("The sag of the tube", tube_flexure),
    Cause {
        name: "The mount's clock",
        present: |plan| plan.setup.entered.clock_error.is_some_and(|error| error != Span::ZERO),
        remove: |plan| plan.setup.entered.clock_error = None,
    },
    entered_cause!("The zone that was entered", zone_error),
    Cause {
        name: "The hour of daylight saving",
        present: |plan| plan.setup.entered.daylight_saving_wrong == Some(true),
        remove: |plan| plan.setup.entered.daylight_saving_wrong = None,
    },
    entered_cause!("The latitude that was entered", latitude),
    entered_cause!("The longitude that was entered", longitude),
    entered_cause!("The height that was entered", height),
    Cause {
        name: "The air that was entered",
        present: |plan| {
            let entered = &plan.setup.entered;
            entered.pressure.is_some() || entered.temperature.is_some() || entered.humidity.is_some()
        },
        remove: |plan| {
            let entered = &mut plan.setup.entered;
            (entered.pressure, entered.temperature, entered.humidity) = (None, None, None);
        },
    },
    Cause {
        name: "The drift of the mount's crystal",
        present: |plan| match plan.mount.clock.drift {
            Some(drift) => drift != PartsPerMillion::ZERO,
            None => gears_and_hands::graded(plan),
        },
        remove: |plan| plan.mount.clock.drift = Some(PartsPerMillion::ZERO),
    },
];
