//! Which star was it really, and was the mount knocked?

use crate::covariance::Covariance2;
use crate::model::{ASK_BEYOND, Model, Verdict};
use crate::parameters::{AXIS_EAST, AXIS_UP, FIRST_ZERO, Matrix7, SECOND_ZERO};
use crate::priors::Priors;
use crate::questions::chi_square_chance;
use crate::sighting::Sighting;
use crate::stars::Candidate;
use kinematics::frames;
use nalgebra::{DMatrix, DVector, Vector2};
use units::{Angle, maths};

/// A star that the observer may have centred.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Identity {
    /// Its place in the list of candidates.
    pub index: usize,
    /// How far it stands from where the dials point by the model.
    pub distance: Angle,
    /// Squared distance in units of what model and centring allow.
    pub squared: f64,
    /// Its share of the probability among the candidates: near the dials, and bright.
    pub share: f64,
}

/// Which of the candidates stands where the dials point, the likeliest first.
///
/// The model must be one made *without* the doubtful sighting, and the candidates' directions those at its instant.
/// Brightness counts in proportion: of two stars equally near, the one that is a magnitude brighter is 2.5 times likelier to
/// have been taken (our own estimate). Only stars within d² ≤ 25 are named.
pub fn identities(model: &Model, sighting: &Sighting, candidates: &[Candidate]) -> Vec<Identity> {
    let boresight = model.direction_for(sighting.dials);
    let pole = model.celestial_pole();
    let variance = model.priors.variance(sighting, &model.reference.at(sighting.at));
    let spread = Covariance2::of(&model.rows(sighting.dials), &model.covariance).plus_isotropic(variance);
    let mut found: Vec<Identity> = candidates
        .iter()
        .enumerate()
        .filter_map(|(index, candidate)| {
            let (east, north) = frames::tangent_offset(&boresight, &candidate.direction, &pole);
            let squared = spread.squared_distance(&Vector2::new(east.radians(), north.radians()));
            let share = maths::exp(-squared / 2.0) * maths::pow(10.0, -0.4 * candidate.magnitude);
            let distance = frames::separation(&boresight, &candidate.direction);
            (squared <= 25.0).then_some(Identity { index, distance, squared, share })
        })
        .collect();
    let total: f64 = found.iter().map(|one| one.share).sum();
    for one in &mut found {
        one.share /= total;
    }
    found.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.index.cmp(&b.index)));
    found
}

/// What moved when the stars no longer stand where the model has them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Moved {
    /// The first axis slipped against its dial.
    FirstAxis,
    /// The second axis slipped against its dial.
    SecondAxis,
    /// The whole base turned: somebody kicked the tripod, or it was carried away.
    Base,
}

/// All recent sightings are shifted together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knock {
    /// The simplest movement that explains them.
    pub moved: Moved,
    /// About how far: the largest shift among the recent sightings.
    pub size: Angle,
    /// The chance of the sightings without any movement.
    pub chance_before: f64,
    /// The chance of the sightings with it.
    pub chance_after: f64,
}

/// How far a knock may move things, for the test: whatever is not absurd.
const KNOCK: f64 = 0.1;

impl Model {
    /// Whether the recent sightings (none of which the model was made of) are shifted together.
    ///
    /// At least two are needed, and two of them must be doubtful by themselves; one doubtful sighting among sound ones is
    /// rather a wrong star. `None`: no knock, or too few sightings to tell, or sightings that no movement explains.
    pub fn knock(&self, recent: &[Sighting]) -> Option<Knock> {
        let innovations: Vec<_> =
            recent.iter().map(|sighting| self.innovation(sighting)).collect::<Option<_>>()?;
        let doubtful = innovations.iter().filter(|one| one.verdict != Verdict::Accept).count();
        if doubtful < 2 {
            return None;
        }
        let size = innovations.iter().map(|one| one.length()).fold(Angle::ZERO, Angle::max);
        let chance_before = self.joint_chance(recent, &[]);
        if chance_before > maths::exp(-ASK_BEYOND / 2.0) {
            return None;
        }
        [Moved::FirstAxis, Moved::SecondAxis, Moved::Base].into_iter().find_map(|moved| {
            let chance_after = self.joint_chance(recent, moved.terms());
            (chance_after > 0.01).then_some(Knock { moved, size, chance_before, chance_after })
        })
    }

    /// The chance of these sightings together, with some terms free to have moved.
    fn joint_chance(&self, sightings: &[Sighting], free: &[usize]) -> f64 {
        let count = sightings.len();
        let mut covariance: Matrix7 = self.covariance;
        for &term in free {
            covariance[(term, term)] += KNOCK * KNOCK;
        }
        let pole = self.celestial_pole();
        let mut rows = DMatrix::zeros(2 * count, 7);
        let mut off = DVector::zeros(2 * count);
        let mut noise = DMatrix::zeros(2 * count, 2 * count);
        for (k, sighting) in sightings.iter().enumerate() {
            let boresight = self.direction_for(sighting.dials);
            let (east, north) = frames::tangent_offset(&boresight, &sighting.direction, &pole);
            off[2 * k] = east.radians();
            off[2 * k + 1] = north.radians();
            rows.view_mut((2 * k, 0), (2, 7)).copy_from(&self.rows(sighting.dials));
            let variance = self.priors.variance(sighting, &self.reference.at(sighting.at));
            noise[(2 * k, 2 * k)] = variance;
            noise[(2 * k + 1, 2 * k + 1)] = variance;
        }
        let known = DMatrix::from_fn(7, 7, |i, j| covariance[(i, j)]);
        let spread = &rows * known * rows.transpose() + noise;
        spread.cholesky().map_or(0.0, |factor| chi_square_chance(off.dot(&factor.solve(&off)), count))
    }

    /// The priors for going on after a knock of about this size: what was learnt of axes, tube and cone stays, only what
    /// moved is open again. Old sightings must be left out of the new fit, they are in these priors already.
    pub fn after_knock(&self, moved: Moved, size: Angle) -> Priors {
        let mut priors = self.as_priors();
        for &term in moved.terms() {
            priors.covariance[(term, term)] += size.radians() * size.radians();
        }
        priors
    }
}

impl Moved {
    /// Which terms it opens again.
    fn terms(self) -> &'static [usize] {
        match self {
            Self::FirstAxis => &[FIRST_ZERO],
            Self::SecondAxis => &[SECOND_ZERO],
            Self::Base => &[FIRST_ZERO, AXIS_EAST, AXIS_UP],
        }
    }
}
