//! What is expected of a mount of some grade, set up with some care, before it is seen: one sigma of each cause.

use super::{matter, people};
use alignment::{Priors, Spread};
use mechanics::Grade;
use observer::Care;
use scenario::Plan;
use units::Angle;

/// The priors of an alignment on such a mount: the spreads that the grade's mounts are drawn with and those of the care.
///
/// What no smooth term explains is one figure of the grade: play that is not taken up (its width over √12), teeth, worm and
/// wheel, squared and added.
pub(crate) fn priors(plan: &Plan, latitude: Angle) -> Priors {
    let kind = matter::kind(plan.mount.kind);
    let (skew, cone, flexure, gears) = of_grade(matter::grade(plan));
    let (polar, home, lean) = of_care(people::care(plan));
    let arcmin = Angle::from_arcmin;
    // Lean and polar error act alike; they are drawn apart.
    let both = |one: f64, other: f64| arcmin((one * one + other * other).sqrt());
    let spread = if kind.is_equatorial() {
        let (sine, cosine) = latitude.abs().sin_cos();
        Spread {
            first_zero: both(home[0], lean / cosine.max(0.05)),
            second_zero: arcmin(home[1]),
            axis_altitude: both(polar[0], lean),
            axis_azimuth: both(polar[1], lean * sine / cosine.max(0.05)),
            axis_skew: arcmin(skew),
            cone_error: arcmin(cone),
            tube_flexure: arcmin(flexure),
        }
    } else {
        Spread {
            first_zero: both(home[0], polar[1]),
            second_zero: arcmin(home[1]),
            axis_altitude: arcmin(lean),
            axis_azimuth: arcmin(lean),
            axis_skew: arcmin(skew),
            cone_error: arcmin(cone),
            tube_flexure: arcmin(flexure),
        }
    };
    Priors { mechanical: arcmin(gears), ..Priors::from_spread(kind, latitude, &spread) }
}

/// Skew, cone, flexure, and what gears add, in arcminutes.
fn of_grade(grade: Grade) -> (f64, f64, f64, f64) {
    match grade {
        Grade::Worn => (8.0, 20.0, 4.0, 3.0),
        Grade::MidRange => (4.0, 10.0, 2.0, 1.0),
        Grade::Tuned => (1.5, 4.0, 0.7, 0.25),
        Grade::Perfect => (0.0, 0.0, 0.0, 0.0),
    }
}

/// Polar axis (altitude, azimuth), home marks, lean, in arcminutes.
fn of_care(care: Care) -> ([f64; 2], [f64; 2], f64) {
    match care {
        Care::Hurried => ([60.0, 180.0], [60.0, 45.0], 30.0),
        Care::Usual => ([25.0, 60.0], [30.0, 20.0], 18.0),
        Care::Careful => ([4.0, 5.0], [15.0, 10.0], 6.0),
        Care::Perfect => ([0.0; 2], [0.0; 2], 0.0),
    }
}
