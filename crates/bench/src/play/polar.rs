//! The bolts under the polar axis: what a turn of them does, and where the axis stood before and after.

use super::belief;
use super::seat::Seat;
use crate::outcome::PolarRow;
use alignment::values_of;
use observer::seat::Bolts;
use units::{Angle, maths};
use world::{BaseMove, Disturbance};

/// A pass at the bolts that has begun.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pass {
    before: (Angle, Angle),
    believed: Option<(Angle, Angle)>,
    turned: [f64; 2],
}

impl Seat {
    /// Where the polar axis truly stands: its elevated end too high, and too far east.
    fn polar_axis(&self) -> (Angle, Angle) {
        let world = self.world();
        let site = world.truth().station().site().latitude();
        let geometry = world.truth().geometry();
        let [altitude, azimuth, ..] = values_of(geometry.kind, site, &geometry);
        (altitude, azimuth)
    }

    /// The elevated end goes up and east by as much, whatever the hemisphere.
    pub(super) fn base_turned(&self, up: Angle, east: Angle) -> Disturbance {
        let sense = if self.northern() { 1.0 } else { -1.0 };
        Disturbance::TripodKick(BaseMove {
            north_end_up: up * sense,
            north_end_east: east * sense,
            ..BaseMove::default()
        })
    }

    /// Whole steps of what a hand means to turn.
    fn steps(&self, angle: Angle) -> Angle {
        let step = self.bolts().step;
        if step == Angle::ZERO { angle } else { step * maths::round(angle / step) }
    }
}

impl Bolts for Seat {
    fn turn_bolts(&mut self, up: Angle, east: Angle) {
        if self.pass.is_none() {
            let before = self.polar_axis();
            self.pass = Some(Pass { before, believed: belief::polar_axis(self.world()), turned: [0.0; 2] });
        }
        let turned = [self.steps(up), self.steps(east)];
        if let Some(pass) = &mut self.pass {
            for (sum, angle) in pass.turned.iter_mut().zip(turned) {
                *sum += angle.radians().abs();
            }
        }
        let share = self.bolts().cross_talk;
        self.befall(self.base_turned(turned[0] + turned[1] * share, turned[1] + turned[0] * share));
    }

    fn lock_bolts(&mut self, star: &str) {
        let Some(pass) = self.pass.take() else { return };
        let mut stream = self.streams().stream("locking the bolts", self.polar.len() as u64);
        let sigma = self.bolts().locking_shift;
        let shift = [sigma * stream.normal(), sigma * stream.normal()];
        if shift != [Angle::ZERO; 2] {
            self.befall(self.base_turned(shift[0], shift[1]));
        }
        let pitch = self.bolts().pitch.radians();
        let row = PolarRow {
            star: star.to_owned(),
            at: self.world().now(),
            before: pass.before,
            believed: pass.believed,
            after: self.polar_axis(),
            turns: (pass.turned[0] / pitch, pass.turned[1] / pitch),
        };
        self.polar.push(row);
    }
}
