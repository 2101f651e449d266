//! What pulls at the axes: weight out of balance, and the wind.
//!
//! Torque about an axis is û·(r × F) with û in the sense in which its angle grows; all vectors are in the frame of the
//! base (x towards the upper meridian or north, z along the first axis). Angles are the ordered ones: play, periodic error and the
//! skew of the axes change a lever by parts of a thousand, and are left out of it.

use crate::spec::MountSpec;
use nalgebra::{Matrix3, Vector3};

/// Sines and cosines of both axes' true angles.
pub(crate) type Attitude = [(f64, f64); 2];

/// Moments of weight that the two axes carry.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Weights {
    /// On the body of the first axis: x and y part where the axis stands at zero.
    first: (f64, f64),
    /// On the tube: along the boresight and towards the tube's upper side.
    second: (f64, f64),
}

impl Weights {
    pub fn new(spec: &MountSpec) -> Self {
        let parts = |index: usize| {
            let axis = &spec.axes[index];
            let (s, c) = axis.balance_angle.sin_cos();
            let size = axis.imbalance.newton_metres();
            (size * c, size * s)
        };
        Self { first: parts(0), second: parts(1) }
    }

    /// A unit force's moment at a point of the boresight so many metres ahead of the axes.
    pub fn of_tube(lever: f64) -> Self {
        Self { first: (0.0, 0.0), second: (lever, 0.0) }
    }

    /// The greatest torque about each axis, whatever the attitude.
    pub fn greatest(&self) -> [f64; 2] {
        let size = |(a, b): (f64, f64)| (a * a + b * b).sqrt();
        [size(self.first) + size(self.second), size(self.second)]
    }

    /// Torques about both axes. `up` is the upward direction in the frame of the base.
    #[inline]
    pub fn torques(&self, up: &Vector3<f64>, [(s1, c1), (s2, c2)]: Attitude) -> [f64; 2] {
        // The tube's moment in the body of the first axis.
        let (tx, tz) = (self.second.0 * c2 - self.second.1 * s2, self.second.0 * s2 + self.second.1 * c2);
        // Both in the base: the first axis turns by −θ.
        let (bx, by) = (self.first.0 + tx, self.first.1);
        let (rx, ry) = (bx * c1 + by * s1, by * c1 - bx * s1);
        let about_first = rx * up.y - ry * up.x;
        // Upwards as the body of the first axis sees it.
        let up_x = up.x * c1 - up.y * s1;
        let about_second = tz * up_x - tx * up.z;
        [about_first, about_second]
    }
}

/// The upward direction in the frame of a base.
pub(crate) fn up_in(base: &Matrix3<f64>) -> Vector3<f64> {
    base.row(2).transpose()
}
