//! The rotation that carries directions by the dials onto directions by belief.
//!
//! Minimises Σ aᵢ |vᵢ − R wᵢ|² with aᵢ = 1/σᵢ² (Wahba's problem: SIAM Review 7 (1965) 409). Solved by the singular value
//! decomposition (Markley, Journal of the Astronautical Sciences 36 (1988) 245–258), once more by Davenport's matrix, and
//! for exactly two directions by TRIAD (Shuster & Oh, Journal of Guidance and Control 4 (1981) 70–77). From memory.

use nalgebra::{Matrix3, Matrix4, Vector3};
use units::{Angle, maths};

/// A direction seen in two frames, and how well: `from` by the dials, `to` by belief; both unit vectors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// In the frame that is to be turned.
    pub from: Vector3<f64>,
    /// In the frame to which it is to be turned.
    pub to: Vector3<f64>,
    /// Standard deviation along each of two directions across.
    pub sigma: Angle,
}

impl Pair {
    fn weight(&self) -> f64 {
        1.0 / (self.sigma.radians() * self.sigma.radians())
    }
}

/// Σ a v wᵀ, scaled to weights that add up to one.
fn profile(pairs: &[Pair]) -> Matrix3<f64> {
    let total: f64 = pairs.iter().map(Pair::weight).sum();
    pairs.iter().map(|pair| pair.to * pair.from.transpose() * (pair.weight() / total)).sum()
}

/// The best rotation, by singular values with the determinant put right.
///
/// `None` where it is not determined: fewer than two different directions, or two opposite ones.
pub fn by_singular_values(pairs: &[Pair]) -> Option<Matrix3<f64>> {
    let decomposed = profile(pairs).svd(true, true);
    let (u, v_t) = (decomposed.u?, decomposed.v_t?);
    let sign = (u.determinant() * v_t.determinant()).signum();
    // nalgebra sorts the singular values downwards; the rotation is unique if the second and the signed third don't cancel.
    let singular = decomposed.singular_values;
    let gap = singular[1] + sign * singular[2];
    if gap.is_nan() || gap <= 1e-12 {
        return None;
    }
    Some(u * Matrix3::from_diagonal(&Vector3::new(1.0, 1.0, sign)) * v_t)
}

/// The best rotation, by the largest eigenvector of Davenport's matrix: the second method, for checking the first.
pub fn by_largest_eigenvector(pairs: &[Pair]) -> Matrix3<f64> {
    let b = profile(pairs);
    let z = Vector3::new(b[(2, 1)] - b[(1, 2)], b[(0, 2)] - b[(2, 0)], b[(1, 0)] - b[(0, 1)]);
    let mut k = Matrix4::zeros();
    k.fixed_view_mut::<3, 3>(0, 0).copy_from(&(b + b.transpose() - Matrix3::identity() * b.trace()));
    k.fixed_view_mut::<3, 1>(0, 3).copy_from(&z);
    k.fixed_view_mut::<1, 3>(3, 0).copy_from(&z.transpose());
    k[(3, 3)] = b.trace();
    let eigen = k.symmetric_eigen();
    let largest = eigen.eigenvalues.imax();
    let q = eigen.eigenvectors.column(largest);
    let (vector, scalar) = (Vector3::new(q[0], q[1], q[2]), q[3]);
    let cross = vector.cross_matrix();
    Matrix3::identity() + cross * (2.0 * scalar) + cross * cross * 2.0
}

/// The rotation that fits the first direction exactly and the second as nearly as that allows.
///
/// `None` if the two are the same or opposite in either frame.
pub fn by_two_directions(first: &Pair, second: &Pair) -> Option<Matrix3<f64>> {
    let triad = |a: &Vector3<f64>, b: &Vector3<f64>| {
        let across = a.cross(b).try_normalize(1e-12)?;
        Some(Matrix3::from_columns(&[*a, across, a.cross(&across)]))
    };
    Some(triad(&first.to, &second.to)? * triad(&first.from, &second.from)?.transpose())
}

/// Covariance of the small rotation that is still wrong, in the frame of `to`: [Σ (I − v vᵀ)/σ²]⁻¹, radians squared.
///
/// `None` where the directions don't determine a rotation.
pub fn covariance(pairs: &[Pair]) -> Option<Matrix3<f64>> {
    let information: Matrix3<f64> =
        pairs.iter().map(|pair| (Matrix3::identity() - pair.to * pair.to.transpose()) * pair.weight()).sum();
    // Scaled, so that the test for rank doesn't depend on how good the sightings are.
    let scale = information.trace();
    let scaled = information / scale;
    if scaled.determinant() < 1e-14 {
        return None;
    }
    Some(scaled.cholesky()?.inverse() / scale)
}

/// The only redundancy that two directions have: do they stand equally far apart in both frames?
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeparationCheck {
    /// How far apart the two stars stand by the dials.
    pub by_dials: Angle,
    /// How far apart they stand by belief.
    pub by_belief: Angle,
    /// The difference in units of the centring's own standard deviation, √(σ₁² + σ₂²).
    pub in_sigmas: f64,
}

/// Compares the separations. A large value means a wrong star, a declination zero, a cone, or play.
pub fn separation_check(first: &Pair, second: &Pair) -> SeparationCheck {
    let by_dials = kinematics::frames::separation(&first.from, &second.from);
    let by_belief = kinematics::frames::separation(&first.to, &second.to);
    let sigma = maths::hypot(first.sigma.radians(), second.sigma.radians());
    SeparationCheck { by_dials, by_belief, in_sigmas: (by_dials - by_belief).radians() / sigma }
}
