//! The solid shape of a mount as capsules, and how near its parts come to each other.
//!
//! A capsule is every point within a radius of a segment. All parts are given in metres from the point where the two
//! axes meet (or pass each other).

use kinematics::{AxisAngles, Geometry, frames};
use nalgebra::{Matrix3, Vector3};
use units::{AngularRate, Length, Span};

/// Every point within a radius of a segment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capsule {
    /// One end of the segment, metres.
    pub from: Vector3<f64>,
    /// Its other end, metres.
    pub to: Vector3<f64>,
    /// The radius.
    pub radius: Length,
}

impl Capsule {
    /// A capsule between two points in metres.
    pub fn new(from: [f64; 3], to: [f64; 3], radius: f64) -> Self {
        Self { from: from.into(), to: to.into(), radius: Length::from_metres(radius) }
    }

    /// The same capsule elsewhere.
    pub fn moved(&self, by: [f64; 3]) -> Self {
        let by = Vector3::from(by);
        Self { from: self.from + by, to: self.to + by, radius: self.radius }
    }

    fn turned(&self, by: &Matrix3<f64>) -> Self {
        Self { from: by * self.from, to: by * self.to, radius: self.radius }
    }

    /// The distance between two capsules' surfaces; negative if they overlap.
    pub fn distance(&self, other: &Self) -> Length {
        let axes = segment_distance(&self.from, &self.to, &other.from, &other.to);
        Length::from_metres(axes - self.radius.metres() - other.radius.metres())
    }

    /// The distance of its farthest point from the origin.
    fn reach(&self) -> f64 {
        self.from.norm().max(self.to.norm()) + self.radius.metres()
    }
}

/// The parts that may meet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Body {
    /// What stands on the ground (pier, legs), as (east, north, up).
    pub fixed: Vec<Capsule>,
    /// What turns with the first axis (counterweight, fork), at angle zero in the frame of the base.
    pub on_first: Vec<Capsule>,
    /// What turns with the second axis too (tube, shield, eyepiece), at angles zero: x along the boresight, y along the
    /// second axis.
    pub on_second: Vec<Capsule>,
}

/// The shortest wait of the path check: contacts are found to this.
const STEP: Span = Span::from_nanoseconds(1_000_000);

impl Body {
    /// The smallest distance between parts that move against each other, at true angles of the axes; negative if two
    /// overlap, infinite if nothing can meet.
    pub fn clearance(&self, geometry: &Geometry, axes: AxisAngles) -> Length {
        let first = geometry.base * frames::rz(-axes.first) * frames::rx(geometry.axis_skew);
        let second = first * frames::ry(-axes.second);
        let mut least = f64::INFINITY;
        for part in &self.on_second {
            let part = part.turned(&second);
            for other in &self.fixed {
                least = least.min(part.distance(other).metres());
            }
            for other in &self.on_first {
                least = least.min(part.distance(&other.turned(&first)).metres());
            }
        }
        for part in &self.on_first {
            let part = part.turned(&first);
            for other in &self.fixed {
                least = least.min(part.distance(other).metres());
            }
        }
        Length::from_metres(least)
    }

    /// When the clearance first falls to `margin` on a way, looking from `from` to `to`.
    ///
    /// Conservative: no point moves faster than the axes' greatest `rates` times its distance, so the parts can't meet before
    /// the clearance divided by that speed has passed; the way is walked in such strides and never in shorter ones
    /// than a millisecond.
    pub fn first_contact(
        &self,
        geometry: &Geometry,
        (from, to): (Span, Span),
        rates: [AngularRate; 2],
        margin: Length,
        mut axes: impl FnMut(Span) -> AxisAngles,
    ) -> Option<Span> {
        let clearance = self.clearance(geometry, axes(from));
        self.first_contact_from(clearance, geometry, (from, to), rates, margin, axes)
    }

    /// The same where the clearance at the begin is known.
    pub(crate) fn first_contact_from(
        &self,
        mut clearance: Length,
        geometry: &Geometry,
        (from, to): (Span, Span),
        rates: [AngularRate; 2],
        margin: Length,
        mut axes: impl FnMut(Span) -> AxisAngles,
    ) -> Option<Span> {
        let speed = self.greatest_speed(rates);
        let mut at = from;
        loop {
            let room = (clearance - margin).metres();
            if room <= 0.0 {
                return Some(at);
            }
            if at >= to || speed == 0.0 || room == f64::INFINITY {
                return None;
            }
            let stride = Span::from_seconds((room / speed).min(1e6)).max(STEP);
            at = (at + stride).min(to);
            clearance = self.clearance(geometry, axes(at));
        }
    }

    /// A bound on how much nearer to each other parts can come within a time, in metres, at these greatest rates of the axes.
    pub(crate) fn greatest_approach(&self, rates: [AngularRate; 2], within: Span) -> f64 {
        self.greatest_speed(rates) * within.seconds()
    }

    /// The same for turns of the axes from one attitude to another.
    pub(crate) fn greatest_approach_between(&self, from: AxisAngles, to: AxisAngles) -> f64 {
        let turned = [to.first - from.first, to.second - from.second];
        self.greatest_speed(turned.map(|angle| AngularRate::from_radians(angle.radians())))
    }

    /// A bound on the speed of any point of it, m/s.
    fn greatest_speed(&self, rates: [AngularRate; 2]) -> f64 {
        let on_first = self.on_first.iter().map(Capsule::reach).fold(0.0, f64::max);
        let on_second = self.on_second.iter().map(Capsule::reach).fold(0.0, f64::max);
        let [first, second] = rates.map(|rate| rate.radians().abs());
        first * on_first.max(on_second) + second * on_second
    }
}

/// The smallest distance between two segments (closest points as in Ericson, "Real-Time Collision Detection", 2005,
/// section 5.1.9, from memory).
fn segment_distance(p1: &Vector3<f64>, q1: &Vector3<f64>, p2: &Vector3<f64>, q2: &Vector3<f64>) -> f64 {
    let (d1, d2, r) = (q1 - p1, q2 - p2, p1 - p2);
    let (a, e, f) = (d1.norm_squared(), d2.norm_squared(), d2.dot(&r));
    let c = d1.dot(&r);
    let share = |over: f64, under: f64| if under > 0.0 { (over / under).clamp(0.0, 1.0) } else { 0.0 };
    let b = d1.dot(&d2);
    let mut s = share(b * f - c * e, a * e - b * b);
    let mut t = if e > 0.0 { (b * s + f) / e } else { 0.0 };
    if t < 0.0 {
        t = 0.0;
        s = share(-c, a);
    } else if t > 1.0 {
        t = 1.0;
        s = share(b - c, a);
    } else if e == 0.0 {
        s = share(-c, a);
    }
    ((p1 + d1 * s) - (p2 + d2 * t)).norm()
}
