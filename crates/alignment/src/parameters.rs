//! The seven numbers that a model of the mount consists of, and how they make a rigid chain.
//!
//! The base is written as *swing and twist*: the mount's first axis swings away from where it should stand by a
//! small rotation about a horizontal-to-the-axis direction, and what turns about the axis itself counts as first-axis
//! zero. For an equatorial mount the swing is `axis_east` = u = ΔA cos φ (how far east on the sky the axis points, as
//! a length on the sky, whose share ΔA sin φ about the axis is folded into the first zero) and `axis_up` = Δa. This has no
//! singularity at any latitude, every rotation can be written so, and its columns are nearly independent of each other.

use kinematics::{BaseErrors, Chain, Geometry, Kind, base, frames};
use nalgebra::{Matrix3, SMatrix, SVector, Vector3};
use units::{Angle, maths};

/// How many terms there are.
pub const TERMS: usize = 7;
/// A vector of all terms, in radians.
pub type Vector7 = SVector<f64, TERMS>;
/// A matrix over all terms, in radians squared.
pub type Matrix7 = SMatrix<f64, TERMS, TERMS>;
/// How two components on the sky change with the terms.
pub type Rows = SMatrix<f64, 2, TERMS>;

/// Zero offset of the first axis, with what the base turns about that axis folded in.
pub const FIRST_ZERO: usize = 0;
/// Zero offset of the second axis.
pub const SECOND_ZERO: usize = 1;
/// Swing of the first axis to the east, as a length on the sky.
pub const AXIS_EAST: usize = 2;
/// Swing of the first axis upwards along the meridian (equatorial: its north end) or to the north (alt-azimuth).
pub const AXIS_UP: usize = 3;
/// Non-perpendicularity of the two axes.
pub const AXIS_SKEW: usize = 4;
/// Cone error: how far the tube is from perpendicular to the second axis.
pub const CONE: usize = 5;
/// Tube flexure at the horizon, positive down.
pub const FLEXURE: usize = 6;

/// The frame of a mount without errors: which rotation, and about which directions its first axis can swing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// The kind of mount.
    pub kind: Kind,
    /// The latitude that was entered.
    pub latitude: Angle,
    /// From the mount's own frame to (east, north, up), without errors.
    pub nominal: Matrix3<f64>,
    /// The rotation vector that swings the first axis to the east.
    swing_east: Vector3<f64>,
    /// The rotation vector that swings it up (or north).
    swing_up: Vector3<f64>,
}

impl Frame {
    /// The errorless frame of this kind of mount at this latitude.
    pub fn new(kind: Kind, latitude: Angle) -> Self {
        let nominal = base(kind, latitude, &BaseErrors::default());
        let axis: Vector3<f64> = nominal.column(2).into();
        let (swing_east, swing_up) = match kind {
            Kind::AltAzimuth => (Vector3::y(), -Vector3::x()),
            // East × (up along the meridian) is the axis, so the axis moves up about east, and east about axis × east.
            Kind::GermanEquatorial | Kind::ForkEquatorial => (axis.cross(&Vector3::x()), Vector3::x()),
        };
        Self { kind, latitude, nominal, swing_east, swing_up }
    }

    /// The first axis without errors: the north celestial pole, or the zenith.
    pub fn axis(&self) -> Vector3<f64> {
        self.nominal.column(2).into()
    }

    /// The rotation vector of the swing by these terms.
    pub fn swing(&self, terms: &Vector7) -> Vector3<f64> {
        self.swing_east * terms[AXIS_EAST] + self.swing_up * terms[AXIS_UP]
    }

    /// The two directions of [`Frame::swing`], east first.
    pub fn swing_directions(&self) -> (Vector3<f64>, Vector3<f64>) {
        (self.swing_east, self.swing_up)
    }

    /// The rotation of the base with these terms (without the first zero).
    pub fn base(&self, terms: &Vector7) -> Matrix3<f64> {
        rotation(&self.swing(terms)) * self.nominal
    }

    /// The rigid chain with these terms.
    pub fn chain(&self, terms: &Vector7) -> Chain {
        Chain::new(Geometry {
            kind: self.kind,
            base: self.base(terms),
            zero_first: Angle::from_radians(terms[FIRST_ZERO]),
            zero_second: Angle::from_radians(terms[SECOND_ZERO]),
            axis_skew: Angle::from_radians(terms[AXIS_SKEW]),
            cone_error: Angle::from_radians(terms[CONE]),
            cone_droop: 0.0,
            tube_flexure: Angle::from_radians(terms[FLEXURE]),
        })
    }

    /// Writes a rotation from the mount's frame to (east, north, up) as swing and first zero; the other terms are nought.
    ///
    /// Exact for every rotation but those that turn the axis end for end, where the swing's direction is arbitrary.
    pub fn terms_of_rotation(&self, whole: &Matrix3<f64>) -> Vector7 {
        let axis = self.axis();
        let swung: Vector3<f64> = whole.column(2).into();
        let across = axis.cross(&swung);
        let sine = across.norm();
        let angle = maths::atan2(sine, axis.dot(&swung));
        let vector = if sine > 1e-300 { across * (angle / sine) } else { self.swing_up * angle };
        let mut terms = Vector7::zeros();
        terms[AXIS_EAST] = vector.dot(&self.swing_east);
        terms[AXIS_UP] = vector.dot(&self.swing_up);
        // What is left turns about the axis: Rz(−zero).
        let twist = self.base(&terms).transpose() * whole;
        terms[FIRST_ZERO] = maths::atan2(-twist[(1, 0)], twist[(0, 0)]);
        terms
    }

    /// Where the first axis points with these terms: azimuth (−π, π] and altitude. North end of an equatorial mount.
    pub fn axis_direction(&self, terms: &Vector7) -> (Angle, Angle) {
        let (azimuth, altitude) = frames::horizontal(&self.base(terms).column(2).into());
        (azimuth.wrapped_signed(), altitude)
    }
}

/// Rotation by a vector: its direction the axis, its length the angle (Rodrigues' formula).
pub fn rotation(vector: &Vector3<f64>) -> Matrix3<f64> {
    let angle = vector.norm();
    let cross = vector.cross_matrix();
    let (first, second) = rodrigues_factors(angle);
    Matrix3::identity() + cross * first + cross * cross * second
}

/// The left derivative of [`rotation`]: the small turn that a change of the vector amounts to.
pub fn rotation_derivative(vector: &Vector3<f64>) -> Matrix3<f64> {
    let angle = vector.norm();
    let cross = vector.cross_matrix();
    let (sinc, versed) = rodrigues_factors(angle);
    // (angle − sin angle)/angle³, by its series where the difference would cancel.
    let third = if angle < 1e-3 { 1.0 / 6.0 - angle * angle / 120.0 } else { (1.0 - sinc) / (angle * angle) };
    Matrix3::identity() + cross * versed + cross * cross * third
}

/// sin x / x and (1 − cos x)/x².
fn rodrigues_factors(angle: f64) -> (f64, f64) {
    if angle < 1e-4 {
        let square = angle * angle;
        (1.0 - square / 6.0, 0.5 - square / 24.0)
    } else {
        let (half_sine, half_cosine) = maths::sincos(angle / 2.0);
        (2.0 * half_sine * half_cosine / angle, 2.0 * half_sine * half_sine / (angle * angle))
    }
}
