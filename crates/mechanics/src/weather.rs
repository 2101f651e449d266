//! What cold does to gears, and what a battery gives.

use crate::spec::{AxisSpec, Battery, Supply};
use units::{Instant, Span, Temperature};

/// A course of the mount's temperature: straight lines between points, constant outside of them.
#[derive(Clone, Debug, PartialEq)]
pub struct TemperatureCourse {
    /// The temperature at which the specification's play and friction hold.
    pub reference: Temperature,
    /// Instants, ascending, and temperatures.
    pub points: Vec<(Instant, Temperature)>,
}

/// Gears follow the temperature in steps of this time: play must not change between two turns of the motor.
const STEP: Span = Span::from_whole_seconds(60);

impl TemperatureCourse {
    /// Kelvins above the reference at an instant; zero if there are no points.
    pub fn warming(&self, at: Instant) -> f64 {
        let after = self.points.partition_point(|(knot, _)| *knot <= at);
        let value = match (after.checked_sub(1).map(|i| self.points[i]), self.points.get(after)) {
            (Some((t0, v0)), Some((t1, v1))) => {
                let share = (at - t0).seconds() / (*t1 - t0).seconds();
                v0.celsius() + (v1.celsius() - v0.celsius()) * share
            }
            (Some((_, value)), None) | (None, Some(&(_, value))) => value.celsius(),
            (None, None) => self.reference.celsius(),
        };
        value - self.reference.celsius()
    }

    /// When the gears follow next, after an instant; a last time at the first step from the last point on.
    pub fn next_step(&self, begun: Instant, after: Instant) -> Option<Instant> {
        let (end, _) = self.points.last()?;
        let steps = (after - begun).nanoseconds() / STEP.nanoseconds() + 1;
        let next = begun + STEP * steps;
        // They stand as at the step before: whatever else has happened since, the end is still to come for them.
        (next - STEP < *end).then_some(next)
    }
}

/// Factors on play and friction at so many kelvins above the reference. Neither falls below a twentieth.
pub(crate) fn factors(axis: &AxisSpec, warming: f64) -> (f64, f64) {
    let play = 1.0 + axis.backlash_warming * warming;
    let friction = 1.0 - axis.friction_cooling * warming;
    (play.max(0.05), friction.max(0.05))
}

/// Share of the nominal voltage, so long after the supply was new.
pub(crate) fn voltage_share(supply: &Supply, age: Span) -> f64 {
    match supply {
        Supply::Steady => 1.0,
        Supply::Battery(battery) => volts(battery, age) / battery.full,
    }
}

/// The voltage of a battery of an age; it doesn't fall below zero.
fn volts(battery: &Battery, age: Span) -> f64 {
    let slope = (battery.full - battery.empty) / battery.lasts.seconds();
    (battery.full - slope * age.seconds()).max(0.0)
}

/// The age at which a battery resets the electronics, if ever.
pub(crate) fn flat_after(supply: &Supply) -> Option<Span> {
    let Supply::Battery(battery) = supply else { return None };
    let slope = (battery.full - battery.empty) / battery.lasts.seconds();
    let room = battery.full - battery.reset_below;
    (slope > 0.0).then(|| Span::from_seconds_up(room / slope))
}
