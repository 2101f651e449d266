//! What the machine believes about its own geometry, and how well it knows it.

use crate::covariance::Covariance2;
use crate::fit::Method;
use crate::parameters::{Frame, Matrix7, Rows, Vector7};
use crate::priors::{Priors, Reference};
use crate::rows::Prepared;
use crate::sighting::Sighting;
use kinematics::{AxisAngles, Branch, Chain, Kind, Unreachable};
use nalgebra::{Vector2, Vector3};
use units::{Angle, maths};

/// What a sighting still shows after the fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// The star's name.
    pub name: String,
    /// Boresight by the model − believed direction of the star, east of the celestial pole, a length on the sky.
    pub east: Angle,
    /// The same, north.
    pub north: Angle,
    /// 1 where the sighting counted in full, less where the fit took it for an outlier.
    pub weight: f64,
}

/// How far a new sighting stands from where the model expects it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Innovation {
    /// Believed direction of the star − boresight by the model, east.
    pub east: Angle,
    /// The same, north.
    pub north: Angle,
    /// Squared distance in units of its own covariance; for a sound sighting it averages 2.
    pub squared: f64,
    /// How often a sound sighting would be as far off or farther: e^(−d²/2).
    pub probability: f64,
    /// What to do with it.
    pub verdict: Verdict,
}

/// What to do with a new sighting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It fits.
    Accept,
    /// One sound sighting in a hundred looks like this: ask.
    Ask,
    /// One sound sighting in a thousand looks like this: refuse, unless the observer insists.
    Refuse,
}

/// d² beyond which one asks: 1 % of χ² with two degrees of freedom, −2 ln 0.01.
pub const ASK_BEYOND: f64 = 9.21;
/// d² beyond which one refuses: 0.1 %, −2 ln 0.001.
pub const REFUSE_BEYOND: f64 = 13.82;

impl Innovation {
    pub(crate) fn of(difference: Vector2<f64>, spread: &Covariance2) -> Self {
        let squared = spread.squared_distance(&difference);
        let verdict = if squared > REFUSE_BEYOND {
            Verdict::Refuse
        } else if squared > ASK_BEYOND {
            Verdict::Ask
        } else {
            Verdict::Accept
        };
        Self {
            east: Angle::from_radians(difference.x),
            north: Angle::from_radians(difference.y),
            squared,
            probability: maths::exp(-squared / 2.0),
            verdict,
        }
    }

    /// How far off on the sky.
    pub fn length(&self) -> Angle {
        Angle::from_radians(maths::hypot(self.east.radians(), self.north.radians()))
    }
}

/// The machine's belief about its own geometry.
///
/// Whatever the method, the belief is a set of terms with the covariance of their *errors*: for a method that leaves
/// terms out, their prior spread and what of it the method mistakes for something else are in that covariance.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    pub(crate) method: Method,
    pub(crate) frame: Frame,
    pub(crate) priors: Priors,
    pub(crate) terms: Vector7,
    pub(crate) covariance: Matrix7,
    pub(crate) chain: Chain,
    pub(crate) prepared: Prepared,
    /// The usual approach, against which a new sighting is judged.
    pub(crate) reference: Reference,
    pub(crate) residuals: Vec<Residual>,
    /// Believed direction and dials of every sighting, for telling why a term isn't determined.
    pub(crate) seen: Vec<(Vector3<f64>, AxisAngles)>,
}

impl Model {
    /// A mount that was not aligned: a perfect chain at the entered latitude, with the usual owner's uncertainty.
    pub fn unaligned(kind: Kind, latitude: Angle) -> Self {
        Self::believed(kind, latitude, &Priors::usual(kind, latitude))
    }

    /// A mount that was not aligned since: the expected terms of the priors, with their uncertainty. Resuming after a
    /// power-off starts from here, with the priors of [`Model::as_priors`].
    pub fn believed(kind: Kind, latitude: Angle, priors: &Priors) -> Self {
        let frame = Frame::new(kind, latitude);
        Self::assembled(Method::None, frame, priors, priors.mean, priors.covariance)
    }

    pub(crate) fn assembled(
        method: Method,
        frame: Frame,
        priors: &Priors,
        terms: Vector7,
        covariance: Matrix7,
    ) -> Self {
        Self {
            method,
            frame,
            priors: *priors,
            terms,
            covariance,
            chain: frame.chain(&terms),
            prepared: Prepared::new(&frame, &terms),
            reference: Reference::of(&[]),
            residuals: Vec::new(),
            seen: Vec::new(),
        }
    }

    /// By which method it was made.
    pub fn method(&self) -> Method {
        self.method
    }

    /// The kind of mount.
    pub fn kind(&self) -> Kind {
        self.frame.kind
    }

    /// The latitude that was entered.
    pub fn latitude(&self) -> Angle {
        self.frame.latitude
    }

    /// The chain that it amounts to.
    pub fn chain(&self) -> &Chain {
        &self.chain
    }

    /// The terms as numbers, in radians, in the order of [`crate::parameters`].
    pub fn parameters(&self) -> &Vector7 {
        &self.terms
    }

    /// Covariance of the errors of [`Model::parameters`].
    pub fn covariance(&self) -> &Matrix7 {
        &self.covariance
    }

    /// What was assumed before the first star.
    pub fn priors(&self) -> &Priors {
        &self.priors
    }

    /// The dials at which this direction (unit vector, east, north, up) stands in the middle; wrapped to (−π, π].
    ///
    /// # Errors
    /// The direction is inside the cap round the axis's pole that the tube can't reach.
    pub fn dials_for(&self, direction: &Vector3<f64>, branch: Branch) -> Result<AxisAngles, Unreachable> {
        self.chain.dials_for(direction, branch)
    }

    /// Where the machine believes to point at these dials.
    pub fn direction_for(&self, dials: AxisAngles) -> Vector3<f64> {
        self.chain.boresight_from_dials(dials)
    }

    /// How many sightings the model rests on.
    pub fn sightings_used(&self) -> usize {
        self.residuals.len()
    }

    /// What each sighting still shows, in the order in which they were given.
    pub fn residuals(&self) -> &[Residual] {
        &self.residuals
    }

    /// Root of the mean squared residual length on the sky; `None` without sightings.
    pub fn residual_rms(&self) -> Option<Angle> {
        if self.residuals.is_empty() {
            return None;
        }
        let square = |angle: Angle| angle.radians() * angle.radians();
        let sum: f64 = self.residuals.iter().map(|one| square(one.east) + square(one.north)).sum();
        Some(Angle::from_radians((sum / self.residuals.len() as f64).sqrt()))
    }

    /// The north celestial pole as the machine believes it to stand.
    pub fn celestial_pole(&self) -> Vector3<f64> {
        celestial_pole(self.frame.latitude)
    }

    /// How far off a go-to in this direction is expected to be: covariance east and north, gears included.
    ///
    /// # Errors
    /// The direction can't be reached by this branch.
    pub fn predicted_error(
        &self,
        direction: &Vector3<f64>,
        branch: Branch,
    ) -> Result<Covariance2, Unreachable> {
        let dials = self.dials_for(direction, branch)?;
        let mechanical = self.priors.mechanical.radians();
        Ok(Covariance2::of(&self.rows(dials), &self.covariance).plus_isotropic(mechanical * mechanical))
    }

    /// How the boresight at these dials moves east and north per radian of each term.
    pub fn rows(&self, dials: AxisAngles) -> Rows {
        self.prepared.rows(dials, &self.celestial_pole())
    }

    /// How a new sighting fits, before it is accepted.
    ///
    /// `None` if a number in it is not a number, which [`crate::fit`] refuses with a reason.
    pub fn innovation(&self, sighting: &Sighting) -> Option<Innovation> {
        let boresight = self.direction_for(sighting.dials);
        let (east, north) =
            kinematics::frames::tangent_offset(&boresight, &sighting.direction, &self.celestial_pole());
        let variance = self.priors.variance(sighting, &self.reference.at(sighting.at));
        let spread = Covariance2::of(&self.rows(sighting.dials), &self.covariance).plus_isotropic(variance);
        let difference = Vector2::new(east.radians(), north.radians());
        let innovation = Innovation::of(difference, &spread);
        innovation.squared.is_finite().then_some(innovation)
    }

    /// What this model teaches for later: its terms and covariance as priors of a new fit.
    ///
    /// Resuming after a power-off without having moved: fit with these, and the old sightings left out.
    pub fn as_priors(&self) -> Priors {
        Priors { mean: self.terms, covariance: self.covariance, ..self.priors }
    }
}

/// The north celestial pole at a latitude, in (east, north, up).
pub(crate) fn celestial_pole(latitude: Angle) -> Vector3<f64> {
    let (sine, cosine) = latitude.sin_cos();
    Vector3::new(0.0, cosine, sine)
}
