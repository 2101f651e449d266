//! Refraction A tan z + B tan³ z, in vectors.
//!
//! The form, its Newton correction and its limits near the horizon are those of the SOFA collection's step from the
//! intermediate frame to the observed place: below an altitude of about 2.9° (sine 0.05) the tangent is held, so that
//! the formula stays finite; refraction there is too small (11′ at the horizon where the sky has 34′).

use nalgebra::Vector3;

/// Least sine of the altitude that enters the tangent.
const LEAST_SINE: f64 = 0.05;
/// Least cosine of the altitude: keeps the zenith from a division by zero.
const LEAST_COSINE: f64 = 1e-6;

/// The two constants of a site's air, in radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Refraction {
    pub(crate) a: f64,
    pub(crate) b: f64,
}

impl Refraction {
    /// From the direction without air to the observed one; frame (east, north, up), unit vectors.
    #[inline]
    pub(crate) fn apply(&self, airless: &Vector3<f64>) -> Vector3<f64> {
        let (across, up) = ((airless.x * airless.x + airless.y * airless.y).sqrt(), airless.z);
        let (factor, lifted) = self.lift(across, up);
        let observed = Vector3::new(airless.x * factor, airless.y * factor, lifted);
        // Above the limit the step keeps the length to 1e-10; below, it doesn't.
        if up < LEAST_SINE { observed.normalize() } else { observed }
    }

    /// In the vertical plane: what the horizontal part is multiplied by, and the new vertical part.
    #[inline]
    fn lift(&self, across: f64, up: f64) -> (f64, f64) {
        let r = across.max(LEAST_COSINE);
        let z = up.max(LEAST_SINE);
        let tangent = r / z;
        let w = self.b * tangent * tangent;
        let angle = (self.a + w) * tangent * z * z / (z * z + self.a + 3.0 * w);
        let cosine = 1.0 - angle * angle / 2.0;
        (cosine - angle * z / r, cosine * up + angle * r)
    }

    /// The exact inverse of [`Refraction::apply`], by iteration on the same form.
    pub(crate) fn undo(&self, observed: &Vector3<f64>) -> Vector3<f64> {
        let across = (observed.x * observed.x + observed.y * observed.y).sqrt();
        if across < 1e-12 {
            return *observed;
        }
        let length = (across * across + observed.z * observed.z).sqrt();
        let goal = (across / length, observed.z / length);
        let (mut level, mut up) = goal;
        // Each pass leaves the refraction's change with altitude (below a tenth) of the misfit.
        for _ in 0..40 {
            let (factor, lifted) = self.lift(level, up);
            let reached = (level * factor, lifted);
            let scale = (reached.0 * reached.0 + reached.1 * reached.1).sqrt();
            let misfit = (goal.0 * reached.1 - goal.1 * reached.0) / scale;
            (level, up) = (level + misfit * up, up - misfit * level);
            let norm = (level * level + up * up).sqrt();
            (level, up) = (level / norm, up / norm);
            if misfit.abs() < 1e-16 {
                break;
            }
        }
        let factor = level / across;
        Vector3::new(observed.x * factor, observed.y * factor, up)
    }
}
