//! Refraction A tan z + B tan³ z, in vectors.
//!
//! The form, its Newton correction and its limits near the horizon are those of the SOFA collection's step from the
//! intermediate frame to the observed place: below an altitude of about 2.9° (sine 0.05) the tangent is held, so that
//! the formula stays finite; refraction there is too small (11′ at the horizon where the sky has 34′).

use nalgebra::Vector3;

/// Least sine of the altitude that enters the tangent.
const LEAST_SINE: f64 = 0.05;

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
        let up = airless.z;
        let (factor, lifted) = self.lift(airless.x * airless.x + airless.y * airless.y, up);
        let observed = Vector3::new(airless.x * factor, airless.y * factor, lifted);
        // Above the limit the step keeps the length to 1e-10; below, it doesn't.
        if up < LEAST_SINE { observed.normalize() } else { observed }
    }

    /// In the vertical plane: what the horizontal part is multiplied by, and the new vertical part.
    ///
    /// With tangent t = r/z and w = B t², the lift is (A + w) t / (1 + (A + 3w)/z²). Multiplied through by z⁴ it takes one
    /// division and the square of r only, so nothing happens at the zenith that needs a guard.
    #[inline]
    fn lift(&self, across_squared: f64, up: f64) -> (f64, f64) {
        let z = up.max(LEAST_SINE);
        let z2 = z * z;
        let (a, b) = (self.a * z2, self.b * across_squared);
        let lift_per_across = (a + b) * z / (z2 * z2 + a + 3.0 * b);
        let cosine = 1.0 - lift_per_across * lift_per_across * across_squared / 2.0;
        (cosine - lift_per_across * z, cosine * up + lift_per_across * across_squared)
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
            let (factor, lifted) = self.lift(level * level, up);
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
