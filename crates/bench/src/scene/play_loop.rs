//! The play of an axis as a loop, on a mount of the night's own kind that does nothing else.

use super::PlayLoop;
use crate::outcome::MountKind;
use kinematics::{Limits, RestToRest};
use mechanics::Mount;
use units::{Angle, AngularRate, Span};
use world::WorldSpec;

/// Points of one stroke.
const POINTS: i32 = 60;
/// A stroke is so many times as long as the play: the wheel is at rest for the first part of it, and follows for the rest.
const STROKE_IN_PLAYS: f64 = 2.5;

/// Seconds that the motor takes for as much as the play.
const STROKE_SECONDS: f64 = 2.0;

/// The loops of those axes that have play.
pub(super) fn loops(spec: &WorldSpec, kind: MountKind) -> Vec<PlayLoop> {
    let (first, second) = kind.axis_words();
    [first, second].into_iter().enumerate().filter_map(|(axis, name)| one(spec, axis, name)).collect()
}

fn one(spec: &WorldSpec, axis: usize, name: &'static str) -> Option<PlayLoop> {
    let play = spec.mount.axes[axis].backlash;
    if play <= Angle::ZERO {
        return None;
    }
    let mut mount = Mount::new(spec.mount.clone(), spec.begin, spec.settings.home).ok()?;
    let read = |mount: &Mount, at| {
        let axes = mount.axes(at);
        (mount.dial(axis, at), if axis == 0 { axes.first } else { axes.second })
    };
    // Slowly, so that nothing swings.
    let limits = Limits {
        rate: AngularRate::from_radians(play.radians() / STROKE_SECONDS),
        ..spec.settings.limits[axis]
    };
    let zero = read(&mount, spec.begin);
    let mut points = Vec::with_capacity(3 * POINTS as usize + 1);
    for way in [1.0, -1.0, 1.0] {
        let begun = mount.now();
        let stroke = RestToRest::new(play * (STROKE_IN_PLAYS * way), &limits);
        let dial = mount.dial(axis, begun);
        let path = stroke.path(mount.crystal().controller_time(begun)).shifted(Span::ZERO, dial);
        mount.order(axis, path, begun);
        for step in 1..=POINTS {
            let at = begun + Span::from_seconds(stroke.seconds() * f64::from(step) / f64::from(POINTS));
            mount.advance(at);
            let (motor, wheel) = read(&mount, at);
            points.push((motor - zero.0, wheel - zero.1));
        }
    }
    Some(PlayLoop { axis: name, play, points })
}
