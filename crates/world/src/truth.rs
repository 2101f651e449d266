//! What is true at an instant, for whoever measures.

use kinematics::{AxisAngles, Geometry, frames, sides};
use mechanics::{Mount, PeriodicError, PlayState, Pose};
use nalgebra::{Matrix3, Vector3};
use sky::{Station, Track};
use units::{Angle, Instant, Span};

/// The truth at the present instant: pure questions.
#[derive(Clone, Copy, Debug)]
pub struct Truth<'a> {
    mount: &'a Mount,
    station: &'a Station,
    now: Instant,
}

/// Target and boresight at one instant, and the gap between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Observed direction of the target (east, north, up).
    pub target: Vector3<f64>,
    /// Direction of the boresight (east, north, up).
    pub boresight: Vector3<f64>,
    /// Observed azimuth and altitude of the target.
    pub target_horizontal: (Angle, Angle),
    /// Azimuth and altitude of the boresight.
    pub boresight_horizontal: (Angle, Angle),
    /// Boresight − target along the bearing at the target, east and north of the unrefracted pole.
    pub error: (Angle, Angle),
}

impl<'a> Truth<'a> {
    pub(crate) fn new(mount: &'a Mount, station: &'a Station, now: Instant) -> Self {
        Self { mount, station, now }
    }

    /// The true site, air and rotation of the Earth.
    pub fn station(&self) -> &Station {
        self.station
    }

    /// The instant.
    pub fn at(&self) -> Instant {
        self.now
    }

    /// What is true a little later, if nobody orders anything until then.
    pub fn later(&self, at: Instant) -> Self {
        Self { now: at, ..*self }
    }

    /// The time since power-on by the crystal of the mount's computer.
    pub fn computer_time(&self) -> Span {
        self.mount.crystal().controller_time(self.now)
    }

    /// How fast the tube turns at most until something happens to the mount, in radians per second: both axes in the same
    /// sense, and twice their motors' rates, which is more than gears can make of them. It is the same at every instant between
    /// two events.
    pub fn greatest_rate(&self) -> f64 {
        2.0 * (self.mount.greatest_rate(0) + self.mount.greatest_rate(1))
    }

    /// What the step counters say.
    pub fn dials(&self) -> AxisAngles {
        AxisAngles { first: self.mount.dial(0, self.now), second: self.mount.dial(1, self.now) }
    }

    /// The true angles of the axes.
    pub fn axes(&self) -> AxisAngles {
        self.mount.axes(self.now)
    }

    /// The rigid chain from step counts to the sky, gears perfect.
    pub fn geometry(&self) -> Geometry {
        self.mount.geometry(self.now)
    }

    /// Where an axis (0 first, 1 second) is in its play.
    pub fn play(&self, axis: usize) -> PlayState {
        self.mount.play_state(axis, self.now)
    }

    /// The play of an axis where it is least round the wheel and where it is greatest.
    pub fn play_round_the_wheel(&self, axis: usize) -> (Angle, Angle) {
        self.mount.play_round_the_wheel(axis, self.now)
    }

    /// The periodic error of an axis, with or without the correction that its drive may play.
    pub fn periodic_error(&self, axis: usize, corrected: bool) -> PeriodicError {
        self.mount.periodic_error(axis, corrected, self.now)
    }

    /// Whether the drive of an axis plays the correction that it has; `None` if it has none.
    pub fn correction_plays(&self, axis: usize) -> Option<bool> {
        self.mount.correction_plays(axis, self.now)
    }

    /// Dials, axes and boresight at once.
    pub fn pose(&self) -> Pose {
        self.mount.pose(self.now)
    }

    /// On which side of the pier the tube is.
    pub fn tube_side(&self) -> sides::Side {
        sides::tube_side(self.mount.spec().geometry.kind, &self.mount.second_axis(self.now))
    }

    /// Where a source is observed (east, north, up).
    pub fn observed(&self, track: &Track) -> Vector3<f64> {
        self.station.observe(&track.cirs(self.now), self.now).refracted
    }

    /// Target, boresight and the gap.
    pub fn sample(&self, track: &Track) -> Sample {
        self.sample_of(self.observed(track))
    }

    /// The same for a direction that is fixed over the ground.
    pub fn sample_of(&self, target: Vector3<f64>) -> Sample {
        self.sample_between(target, self.mount.boresight(self.now))
    }

    /// A sample with dials and true axes, all from one pose of the mount: cheaper than asking one by one.
    pub fn sample_with_pose(&self, target: Vector3<f64>) -> (Sample, Pose) {
        let pose = self.mount.pose(self.now);
        (self.sample_between(target, pose.boresight), pose)
    }

    #[inline]
    fn sample_between(&self, target: Vector3<f64>, boresight: Vector3<f64>) -> Sample {
        let target_horizontal = frames::horizontal(&target);
        Sample {
            target,
            boresight,
            target_horizontal,
            boresight_horizontal: horizontal_near(&boresight, &target, target_horizontal),
            error: offset(&target, &boresight, &self.pole()),
        }
    }

    /// The field's frame (east, north, up): its columns are boresight, lateral and tube-up.
    pub fn field_frame(&self) -> Matrix3<f64> {
        self.mount.field_frame(self.now)
    }

    /// Position angle, from north through east, of the tube's upward direction at the boresight.
    pub fn field_angle(&self) -> Angle {
        let frame = self.mount.field_frame(self.now);
        let (boresight, up) = (frame.column(0).into_owned(), frame.column(2).into_owned());
        let east = self.pole().cross(&boresight).normalize();
        let north = boresight.cross(&east);
        Angle::atan2(up.dot(&east), up.dot(&north))
    }

    /// The unrefracted celestial pole (east, north, up): north, whatever the hemisphere.
    fn pole(&self) -> Vector3<f64> {
        let (sin, cos) = self.station.latitude_sin_cos();
        Vector3::new(0.0, cos, sin)
    }
}

/// Beyond this sine of the distance the short ways of this module give way to the long ones.
const NEAR: f64 = 0.05;

/// Arc sine of a small number, |x| ≤ [`NEAR`]: Taylor's series to x¹¹; what is left out is below 1e-17.
fn asin_small(x: f64) -> f64 {
    x * asin_ratio(x * x)
}

/// What an arc is longer than its sine, as a factor, by the square of the sine: the same series.
#[inline]
fn asin_ratio(x2: f64) -> f64 {
    1.0 + x2
        * (1.0 / 6.0
            + x2 * (3.0 / 40.0 + x2 * (15.0 / 336.0 + x2 * (105.0 / 3456.0 + x2 * (945.0 / 42_240.0)))))
}

/// Azimuth and altitude of a vector that is near another of which they are known: two short series instead of two
/// arc tangents.
fn horizontal_near(vector: &Vector3<f64>, known: &Vector3<f64>, angles: (Angle, Angle)) -> (Angle, Angle) {
    let level = (vector.x * vector.x + vector.y * vector.y).sqrt();
    let level_known = (known.x * known.x + known.y * known.y).sqrt();
    let sin_azimuth = (vector.x * known.y - vector.y * known.x) / (level * level_known);
    let cos_azimuth = vector.x * known.x + vector.y * known.y;
    let sin_altitude = vector.z * level_known - level * known.z;
    // Not `>`: a vector at the zenith makes these NaN and must take the long way, too.
    let near = sin_azimuth.abs() < NEAR && cos_azimuth > 0.0 && sin_altitude.abs() < NEAR;
    if !near {
        return frames::horizontal(vector);
    }
    let azimuth = angles.0 + Angle::from_radians(asin_small(sin_azimuth));
    (azimuth.wrapped_positive(), angles.1 + Angle::from_radians(asin_small(sin_altitude)))
}

/// The great circle from `target` to `boresight` as its parts east and north at the target.
fn offset(target: &Vector3<f64>, boresight: &Vector3<f64>, pole: &Vector3<f64>) -> (Angle, Angle) {
    let sin_squared = target.cross(boresight).norm_squared();
    let east = pole.cross(target);
    let across = east.norm();
    // Not `<` and `>` turned round: NaN must take the long way, too.
    let near = sin_squared < NEAR * NEAR && across > 0.0 && target.dot(boresight) > 0.0;
    if !near {
        return frames::tangent_offset(target, boresight, pole);
    }
    let stretch = asin_ratio(sin_squared) / across;
    let north = target.cross(&east);
    (
        Angle::from_radians(boresight.dot(&east) * stretch),
        Angle::from_radians(boresight.dot(&north) * stretch),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The short ways against the long ones, over the sky and over distances up to where they hand over.
    #[test]
    fn short_and_long_ways_agree() {
        let pole = Vector3::new(0.0, 0.7, 0.51_f64.sqrt());
        for step in 0..400 {
            let turn = f64::from(step);
            let target =
                frames::direction(Angle::from_degrees(turn * 37.3), Angle::from_degrees(turn * 0.22));
            let aside = Vector3::new(0.3, -0.5, 0.2) * (NEAR * 1.8 * turn / 400.0);
            let boresight = (target + aside).normalize();
            let known = frames::horizontal(&target);
            let (azimuth, altitude) = horizontal_near(&boresight, &target, known);
            let (long_azimuth, long_altitude) = frames::horizontal(&boresight);
            // 1e-15 rad: a few units in the last place of an angle of up to 2π; the azimuth's divided by its circle.
            let level = long_altitude.cos().max(1e-3);
            assert!((azimuth - long_azimuth).wrapped_signed().radians().abs() * level < 2e-15, "{step}");
            assert!((altitude - long_altitude).radians().abs() < 2e-15, "{step}");
            let (short, long) =
                (offset(&target, &boresight, &pole), frames::tangent_offset(&target, &boresight, &pole));
            assert!((short.0 - long.0).radians().abs() < 2e-16 + 1e-15 * NEAR, "{step}");
            assert!((short.1 - long.1).radians().abs() < 2e-16 + 1e-15 * NEAR, "{step}");
        }
    }
}
