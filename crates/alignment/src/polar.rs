//! Adjusting the polar axis: from the model, by a star and the bolts, and by watching stars drift.
//!
//! Errors of the axis here are those of its **north** end, as in `kinematics::BaseErrors`; [`PolarAxis`] speaks of the
//! elevated end. In the south the same bolts move the same base, and the routines serve unchanged.

use crate::model::Model;
use crate::parameters::{AXIS_EAST, AXIS_UP, FIRST_ZERO};
use crate::priors::Priors;
use kinematics::{AxisAngles, Branch, Unreachable, frames};
use nalgebra::{Matrix2, SMatrix, Vector2, Vector3};
use units::{Angle, maths};

/// Why a polar routine can't be used here.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PolarError {
    /// The mount has no polar axis.
    #[error("an alt-azimuth mount has no polar axis to adjust")]
    NoPolarAxis,
    /// The tube can't point there.
    #[error("{0}")]
    Unreachable(Unreachable),
    /// The bolts can't move the star along both directions of the field.
    #[error(
        "the bolts can't centre this star (they act at {:.0} % there): choose one near the meridian, low to middling in \
         altitude", share * 100.0
    )]
    BadPlace {
        /// |cos altitude · cos azimuth| of the star.
        share: f64,
    },
    /// The drift of these stars doesn't show the axis.
    #[error(
        "the drift of these stars does not show both errors: watch one near the meridian and one low in the east or west"
    )]
    BadStars,
}

/// Where the polar axis stands, by a model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PolarAxis {
    /// The elevated end is too high by this.
    pub altitude: Angle,
    /// The elevated end is too far east by this, as an angle about the vertical.
    pub azimuth: Angle,
    /// One standard deviation of the altitude.
    pub altitude_sigma: Angle,
    /// One standard deviation of the azimuth; large near the Earth's poles, where it loses its meaning.
    pub azimuth_sigma: Angle,
    /// Distance of the axis from the pole on the sky.
    pub distance: Angle,
}

/// Least share that the bolts must act at for a star to serve: below it centring errors are more than trebled.
pub const LEAST_BOLT_SHARE: f64 = 0.3;

/// Turns of a bolt for an angle, if one turn moves the axis by `per_turn`.
pub fn bolt_turns(angle: Angle, per_turn: Angle) -> f64 {
    angle / per_turn
}

/// How fully the two bolts act on a star: |determinant| of [`bolt_columns`] = |cos altitude · cos azimuth|.
///
/// Nought due east and west and at the zenith, where both bolts move the star along one line.
pub fn bolt_share(star: &Vector3<f64>) -> f64 {
    star.y.abs()
}

/// How the boresight moves per radian of the altitude bolt (north end up) and the azimuth bolt (north end east): east × s
/// and −up × s.
pub fn bolt_columns(boresight: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
    (Vector3::x().cross(boresight), -Vector3::z().cross(boresight))
}

/// How far the bolts (altitude, azimuth; north end up and east) must turn to bring the boresight onto the star.
///
/// Found by iteration on the exact turns, so that large errors centre too.
///
/// # Errors
/// [`PolarError::BadPlace`] where the bolts act at less than [`LEAST_BOLT_SHARE`].
pub fn bolts_to_centre(
    latitude: Angle,
    boresight: &Vector3<f64>,
    star: &Vector3<f64>,
) -> Result<(Angle, Angle), PolarError> {
    let pole = crate::model::celestial_pole(latitude);
    bolts_per_shift(star, &pole)?;
    let (mut altitude, mut azimuth) = (0.0, 0.0);
    for _ in 0..20 {
        let moved = turned_by_bolts(boresight, Angle::from_radians(altitude), Angle::from_radians(azimuth));
        let (east, north) = crate::rows::tangents(&moved, &pole);
        let off = star - moved;
        let step = bolts_per_shift(&moved, &pole)? * Vector2::new(east.dot(&off), north.dot(&off));
        altitude += step.x;
        azimuth += step.y;
        if step.norm() < 1e-13 {
            break;
        }
    }
    Ok((Angle::from_radians(altitude), Angle::from_radians(azimuth)))
}

/// Where a direction fixed to the mount ends up after turning the altitude bolt, then the azimuth bolt.
pub fn turned_by_bolts(direction: &Vector3<f64>, altitude: Angle, azimuth: Angle) -> Vector3<f64> {
    frames::rz(-azimuth) * (frames::rx(altitude) * direction)
}

/// Standard deviations (altitude, azimuth) that a centring error leaves in the axis after the bolts were turned at this star.
///
/// # Errors
/// [`PolarError::BadPlace`] where the bolts can't centre the star.
pub fn left_by_centring(star: &Vector3<f64>, centring: Angle) -> Result<(Angle, Angle), PolarError> {
    let inverse = bolts_per_shift(star, &Vector3::z())?;
    let spread = inverse * inverse.transpose();
    Ok((centring * spread[(0, 0)].sqrt(), centring * spread[(1, 1)].sqrt()))
}

/// How far both bolts turn (altitude, azimuth) per shift of the star east and north of a pole.
fn bolts_per_shift(star: &Vector3<f64>, pole: &Vector3<f64>) -> Result<Matrix2<f64>, PolarError> {
    let share = bolt_share(star);
    if share.is_nan() || share < LEAST_BOLT_SHARE {
        return Err(PolarError::BadPlace { share });
    }
    let (east, north) = crate::rows::tangents(star, pole);
    let (up, over) = bolt_columns(star);
    Matrix2::new(east.dot(&up), east.dot(&over), north.dot(&up), north.dot(&over))
        .try_inverse()
        .ok_or(PolarError::BadPlace { share })
}

impl Model {
    /// Where the polar axis stands, lean included.
    ///
    /// # Errors
    /// An alt-azimuth mount has none.
    pub fn polar_axis(&self) -> Result<PolarAxis, PolarError> {
        if !self.frame.kind.is_equatorial() {
            return Err(PolarError::NoPolarAxis);
        }
        let (azimuth, altitude) = self.frame.axis_direction(&self.terms);
        let sign = self.elevated_sign();
        let axis: Vector3<f64> = self.frame.base(&self.terms).column(2).into();
        let turn = self.to_people();
        let known = turn * self.covariance * turn.transpose();
        let sigma = |index: usize| Angle::from_radians(known[(index, index)].max(0.0).sqrt());
        Ok(PolarAxis {
            altitude: (altitude - self.frame.latitude) * sign,
            azimuth: azimuth * sign,
            altitude_sigma: sigma(AXIS_UP),
            azimuth_sigma: sigma(AXIS_EAST),
            distance: frames::separation(&axis, &self.frame.axis()),
        })
    }

    /// The dials at which the star would stand in the middle if the polar axis were perfect and all else as the model says.
    ///
    /// The mount goes there; the star is then off by the image of the polar error, and is to be centred with the bolts.
    ///
    /// # Errors
    /// No polar axis, a star that the bolts can't centre, or that can't be reached.
    pub fn dials_for_bolts(&self, star: &Vector3<f64>, branch: Branch) -> Result<AxisAngles, PolarError> {
        if !self.frame.kind.is_equatorial() {
            return Err(PolarError::NoPolarAxis);
        }
        let share = bolt_share(star);
        if share.is_nan() || share < LEAST_BOLT_SHARE {
            return Err(PolarError::BadPlace { share });
        }
        self.frame.chain(&self.with_perfect_axis()).dials_for(star, branch).map_err(PolarError::Unreachable)
    }

    /// The terms once the bolts have brought the axis to the pole: the hour zero in the narrow sense stays, so the first
    /// zero loses the share ΔA sin φ that the axis's azimuth had put into it.
    fn with_perfect_axis(&self) -> crate::parameters::Vector7 {
        let (azimuth, altitude) = self.frame.axis_direction(&self.terms);
        let set = frames::rz(-azimuth) * frames::equatorial_to_topocentric(altitude);
        let whole = self.frame.base(&self.terms) * frames::rz(-Angle::from_radians(self.terms[FIRST_ZERO]));
        let twist = set.transpose() * whole;
        let mut terms = self.terms;
        terms[AXIS_EAST] = 0.0;
        terms[AXIS_UP] = 0.0;
        terms[FIRST_ZERO] = maths::atan2(-twist[(1, 0)], twist[(0, 0)]);
        terms
    }

    /// What to expect after the star was centred with the bolts: the axis at the pole but for what centring and locking
    /// left (`locking`: one standard deviation in each direction), all else as known. The priors of the fit with the
    /// re-sighted stars: one star, or two if the correction was beyond half a degree.
    ///
    /// # Errors
    /// No polar axis, or a star that the bolts can't centre.
    pub fn after_bolts(
        &self,
        star: &Vector3<f64>,
        branch: Branch,
        centring: Angle,
        locking: Angle,
    ) -> Result<Priors, PolarError> {
        if !self.frame.kind.is_equatorial() {
            return Err(PolarError::NoPolarAxis);
        }
        let inverse = bolts_per_shift(star, &self.celestial_pole())?;
        let dials = self.dials_for(star, branch).map_err(PolarError::Unreachable)?;
        let rows = self.rows(dials);
        let (sine, cosine) = self.frame.latitude.sin_cos();
        // What the bolts do to the terms (columns: altitude, azimuth; the azimuth bolt turns by ΔA sin φ about the axis too).
        let mut bolts = SMatrix::<f64, 7, 2>::zeros();
        bolts[(AXIS_UP, 0)] = 1.0;
        bolts[(AXIS_EAST, 1)] = cosine;
        bolts[(FIRST_ZERO, 1)] = sine;
        // The star is centred whatever the errors were, so they come back through the bolts: x′ = (1 − K J⁻¹ G) x.
        let carry = SMatrix::<f64, 7, 7>::identity() - bolts * inverse * rows;
        let square = |angle: Angle| angle.radians() * angle.radians();
        let set = inverse * inverse.transpose() * square(centring) + Matrix2::identity() * square(locking);
        let mut priors = self.as_priors();
        priors.mean = self.with_perfect_axis();
        priors.covariance = carry * self.covariance * carry.transpose() + bolts * set * bolts.transpose();
        // Rounding may have taken the last bit of a positive determinant.
        priors.covariance = (priors.covariance + priors.covariance.transpose()) / 2.0;
        for k in 0..7 {
            priors.covariance[(k, k)] += 1e-16;
        }
        Ok(priors)
    }
}
