//! What a person at the mount sees: from the truth to a spot in a field, and nothing more.

use super::seat::Seat;
use crate::prepare::Glasses;
use nalgebra::{Matrix3, Vector3};
use observer::View;
use observer::seat::{Glass, Object, Sight, Spot};
use sky::Track;
use sky::catalogue::Catalogue;
use std::sync::Arc;
use units::{Angle, maths};

/// A star that somebody has looked for.
#[derive(Clone, Debug)]
pub(super) struct Star {
    pub(super) track: Arc<Track>,
    magnitude: f64,
}

impl Star {
    /// A star, or whatever goes by that name; `None` for a name that the sky doesn't have.
    pub(super) fn named(name: &str, seat: &Seat) -> Option<Self> {
        let entry = Catalogue::embedded().find(name).ok()?;
        let track = Arc::new(seat.geocentre().track(&entry.source));
        // The Moon and the planets show in any twilight.
        Some(Self { track, magnitude: entry.magnitude.unwrap_or(f64::NEG_INFINITY) })
    }
}

impl Seat {
    pub(super) fn sight(&mut self, glass: Glass, object: Object<'_>) -> Sight {
        let (direction, magnitude) = match object {
            Object::Target(index) => (self.targets()[index].goal.direction(&self.world().truth()), None),
            Object::Star(name) => {
                let Some(star) = self.star(name) else { return Sight::NotThere };
                (self.world().truth().observed(&star.track), Some(star.magnitude))
            }
        };
        if self.is_hidden(&direction) {
            return Sight::Hidden;
        }
        if magnitude.is_some_and(|magnitude| magnitude > self.faintest()) {
            return Sight::TooBright;
        }
        let spot = spot(self.glasses(), glass, &self.world().truth().field_frame(), &direction);
        let field = self.field_of(glass, object).radians();
        let (right, up) = (spot.0 / field, spot.1 / field);
        if maths::hypot(right, up) < 0.5 { Sight::Seen(Spot { right, up }) } else { Sight::NotThere }
    }

    pub(super) fn field_of(&self, glass: Glass, object: Object<'_>) -> Angle {
        match (glass, object) {
            (Glass::Finder, _) => self.glasses().finder_field,
            (Glass::Eyepiece, Object::Target(index)) => self.targets()[index].true_field,
            (Glass::Eyepiece, Object::Star(_)) => self.glasses().first_field,
        }
    }

    /// Behind the skyline or a cloud.
    fn is_hidden(&self, direction: &Vector3<f64>) -> bool {
        let (azimuth, altitude) = kinematics::frames::horizontal(direction);
        let glasses = self.glasses();
        let now = self.world().now();
        altitude < glasses.horizon.altitude_at(azimuth)
            || glasses.clouds.iter().any(|cloud| cloud.hides(azimuth, now))
    }

    /// The faintest star that shows in a finder, by how low the Sun is: stars of the first magnitude at the end of civil
    /// twilight, those of the sixth in full night (common practice, no source).
    fn faintest(&self) -> f64 {
        let below = -sky::altitude(&self.world().truth().observed(self.sun())).degrees();
        const STEPS: [(f64, f64); 4] = [(0.0, -3.0), (6.0, 1.2), (12.0, 4.5), (16.0, 7.0)];
        if below <= STEPS[0].0 {
            return STEPS[0].1;
        }
        for pair in STEPS.windows(2) {
            let ((from, low), (to, high)) = (pair[0], pair[1]);
            if below <= to {
                return low + (high - low) * (below - from) / (to - from);
            }
        }
        f64::INFINITY
    }
}

/// Where a direction stands in a glass as the eye sees it, to the right and upwards, in radians from the middle.
fn spot(glasses: &Glasses, glass: Glass, frame: &Matrix3<f64>, direction: &Vector3<f64>) -> (f64, f64) {
    let (right, up) = spot_upright(glasses, glass, frame, direction);
    match (glass, glasses.view) {
        (Glass::Finder, _) | (Glass::Eyepiece, View::Upright) => (right, up),
        (Glass::Eyepiece, View::Inverted) => (-right, -up),
        (Glass::Eyepiece, View::Mirrored) => (-right, up),
    }
}

/// The same as the naked eye would see it along the glass, with the head upright.
pub(crate) fn spot_upright(
    glasses: &Glasses,
    glass: Glass,
    frame: &Matrix3<f64>,
    direction: &Vector3<f64>,
) -> (f64, f64) {
    let along = direction.dot(&frame.column(0));
    // Seen along the tube with the head upright, the lateral axis of the field points to the left.
    let (right, up) = (-direction.dot(&frame.column(1)), direction.dot(&frame.column(2)));
    let aside = maths::hypot(right, up);
    let stretch = if aside > 0.0 { maths::atan2(aside, along) / aside } else { 1.0 };
    let (right, up) = (right * stretch, up * stretch);
    match glass {
        Glass::Finder => {
            let level = maths::hypot(frame[(0, 0)], frame[(1, 0)]);
            let droop = glasses.finder_droop.radians() * level;
            let [offset_right, offset_up] = glasses.finder_offset.map(Angle::radians);
            (right - offset_right, up - offset_up + droop)
        }
        Glass::Eyepiece => (right, up),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use sky::Horizon;

    fn glasses(view: View) -> Glasses {
        Glasses {
            finder_field: Angle::from_degrees(6.0),
            finder_offset: [Angle::from_arcmin(6.0), Angle::from_arcmin(-4.0)],
            finder_droop: Angle::from_arcmin(3.0),
            first_field: Angle::from_arcmin(50.0),
            view,
            horizon: Horizon::level(Angle::ZERO),
            clouds: Vec::new(),
        }
    }

    /// A tube that points level to the south: on the right is the west, and up is up.
    fn southward() -> Matrix3<f64> {
        Matrix3::from_columns(&[
            Vector3::new(0.0, -1.0, 0.0),
            Vector3::new(1.0, 0.0, 0.0),
            Vector3::new(0.0, 0.0, 1.0),
        ])
    }

    #[test]
    fn west_is_on_the_right_of_who_looks_south() {
        let west_and_up = kinematics::frames::direction(Angle::from_degrees(180.5), Angle::from_degrees(0.2));
        let seen = |view, glass| {
            let (right, up) = spot(&glasses(view), glass, &southward(), &west_and_up);
            (Angle::from_radians(right).arcmin(), Angle::from_radians(up).arcmin())
        };
        // 30 and 12 arcmin; a field of a degree is flat to a hundredth of an arcminute.
        let near = |found: (f64, f64), right: f64, up: f64| {
            assert!((found.0 - right).abs() < 0.01 && (found.1 - up).abs() < 0.01, "{found:?}");
        };
        near(seen(View::Upright, Glass::Eyepiece), 30.0, 12.0);
        near(seen(View::Inverted, Glass::Eyepiece), -30.0, -12.0);
        near(seen(View::Mirrored, Glass::Eyepiece), -30.0, 12.0);
        // The finder points 6 to the right and 4 down, and 3 lower still since the tube is level.
        near(seen(View::Mirrored, Glass::Finder), 24.0, 19.0);
    }
}
