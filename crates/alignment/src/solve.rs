//! The iteration of the full model: terms that fit sightings and priors best, exact chain, robust weights.
//!
//! Minimises Σ ρ(|rᵢ|²) + (p − p₀)ᵀ P₀⁻¹ (p − p₀) by Gauss–Newton with backtracking, rᵢ being the two tangent components of
//! belief − boresight in units of their standard deviation. ρ is Huber's: square up to k = 1.345, linear beyond (Huber,
//! Annals of Mathematical Statistics 35 (1964) 73–101; the constant from memory), done by re-weighting.

use crate::parameters::{Frame, Matrix7, Rows, Vector7};
use crate::priors::{Priors, Reference};
use crate::rows::{Prepared, project, tangents};
use crate::sighting::Sighting;
use kinematics::AxisAngles;
use nalgebra::{Matrix2, Vector2, Vector3};

/// Where Huber's function turns from square to linear, in standard deviations.
const HUBER: f64 = 1.345;
/// With fewer sightings weights can't tell the culprit from its victims.
const ROBUST_FROM: usize = 5;
/// Steps after which an iteration is given up; from any sensible start five or six are enough.
const STEPS: usize = 40;
/// A step that moves no term by more than this (radians; two nanoarcseconds) ends the iteration.
const REST: f64 = 1e-14;

/// A sighting made ready for the iteration.
#[derive(Clone, Debug)]
pub struct Datum {
    pub dials: AxisAngles,
    pub direction: Vector3<f64>,
    /// Per direction, radians squared.
    pub variance: f64,
    /// Unit vectors east and north of the celestial pole, at the believed place.
    pub east: Vector3<f64>,
    pub north: Vector3<f64>,
}

/// Makes the data of all sightings; ages count from the newest.
pub fn data(sightings: &[Sighting], priors: &Priors, pole: &Vector3<f64>) -> Vec<Datum> {
    let reference = Reference::of(sightings);
    sightings
        .iter()
        .map(|sighting| {
            let (east, north) = tangents(&sighting.direction, pole);
            let variance = priors.variance(sighting, &reference);
            Datum { dials: sighting.dials, direction: sighting.direction, variance, east, north }
        })
        .collect()
}

/// What the iteration came to.
#[derive(Clone, Debug)]
pub struct Solution {
    pub terms: Vector7,
    /// Of the terms, at the solution.
    pub covariance: Matrix7,
    /// Belief − boresight (east, north), radians, per sighting.
    pub residuals: Vec<Vector2<f64>>,
    /// 1 where a sighting counts in full, less where it is an outlier, 0 where it was left out.
    pub weights: Vec<f64>,
    /// Rows of each sighting at the solution.
    pub rows: Vec<Rows>,
}

/// The problem: what stays the same from step to step.
#[derive(Clone, Copy)]
pub struct Problem<'a> {
    pub frame: &'a Frame,
    pub mean: Vector7,
    /// Inverse of the priors' covariance.
    pub prior_information: Matrix7,
    pub data: &'a [Datum],
    /// A sighting that is to be left out.
    pub without: Option<usize>,
    /// Whether outliers lose weight.
    pub robust: bool,
}

impl<'a> Problem<'a> {
    /// The problem with all sightings, or `None` if the covariance can't be inverted.
    pub fn new(frame: &'a Frame, mean: Vector7, covariance: &Matrix7, data: &'a [Datum]) -> Option<Self> {
        let prior_information = covariance.cholesky()?.inverse();
        Some(Self { frame, mean, prior_information, data, without: None, robust: data.len() >= ROBUST_FROM })
    }

    /// Residual components of one sighting: belief − boresight along its own east and north.
    fn residual(datum: &Datum, boresight: &Vector3<f64>) -> Vector2<f64> {
        let difference = datum.direction - boresight;
        // A boresight on the far side has no tangent components to speak of; the length of the chord keeps the cost honest.
        let (east, north) = (datum.east.dot(&difference), datum.north.dot(&difference));
        if datum.direction.dot(boresight) >= 0.0 {
            return Vector2::new(east, north);
        }
        let flat = (east * east + north * north).sqrt();
        let chord = difference.norm();
        if flat > 0.0 { Vector2::new(east, north) * (chord / flat) } else { Vector2::new(chord, 0.0) }
    }

    fn weight(&self, index: usize, squared: f64) -> f64 {
        if self.without == Some(index) {
            0.0
        } else if self.robust && squared > HUBER * HUBER {
            HUBER / squared.sqrt()
        } else {
            1.0
        }
    }

    /// What is minimised.
    pub fn cost(&self, terms: &Vector7) -> f64 {
        let prepared = Prepared::new(self.frame, terms);
        let off = terms - self.mean;
        let mut cost = (off.transpose() * self.prior_information * off)[(0, 0)];
        for (index, datum) in self.data.iter().enumerate() {
            if self.without == Some(index) {
                continue;
            }
            let residual = Self::residual(datum, &prepared.direction(datum.dials));
            let squared = residual.norm_squared() / datum.variance;
            cost += if self.robust && squared > HUBER * HUBER {
                HUBER * (2.0 * squared.sqrt() - HUBER)
            } else {
                squared
            };
        }
        cost
    }

    /// Iterates from a start. `None` if it doesn't come to rest or a number gets lost.
    pub fn solve(&self, start: &Vector7) -> Option<Solution> {
        let mut terms = *start;
        let mut cost = self.cost(&terms);
        for _ in 0..STEPS {
            let (information, gradient) = self.normal(&terms);
            let step = information.cholesky()?.solve(&gradient);
            let mut share = 1.0;
            let mut taken = terms + step;
            let mut new_cost = self.cost(&taken);
            // The slack lets the last step, which moves nothing any more, pass in spite of rounding.
            while (new_cost.is_nan() || new_cost > cost * (1.0 + 1e-12) + 1e-12) && share > 1e-6 {
                share *= 0.5;
                taken = terms + step * share;
                new_cost = self.cost(&taken);
            }
            if !new_cost.is_finite() {
                return None;
            }
            let gain = cost - new_cost;
            (terms, cost) = (taken, new_cost);
            if step.amax() < REST || (gain.abs() <= 1e-13 * (1.0 + cost) && step.amax() < 1e-10) {
                return self.finish(&terms);
            }
        }
        None
    }

    /// The normal matrix and the gradient of the next step.
    fn normal(&self, terms: &Vector7) -> (Matrix7, Vector7) {
        let prepared = Prepared::new(self.frame, terms);
        let mut information = self.prior_information;
        let mut gradient = self.prior_information * (self.mean - terms);
        for (index, datum) in self.data.iter().enumerate() {
            if self.without == Some(index) {
                continue;
            }
            let linearised = prepared.linearised(datum.dials);
            let rows = project(&linearised.columns, &datum.east, &datum.north);
            let residual = Self::residual(datum, &linearised.direction);
            let weight = self.weight(index, residual.norm_squared() / datum.variance) / datum.variance;
            information += rows.transpose() * rows * weight;
            gradient += rows.transpose() * residual * weight;
        }
        (information, gradient)
    }

    fn finish(&self, terms: &Vector7) -> Option<Solution> {
        let prepared = Prepared::new(self.frame, terms);
        let mut information = self.prior_information;
        let count = self.data.len();
        let mut residuals = Vec::with_capacity(count);
        let mut weights = Vec::with_capacity(count);
        let mut all_rows = Vec::with_capacity(count);
        for (index, datum) in self.data.iter().enumerate() {
            let linearised = prepared.linearised(datum.dials);
            let rows = project(&linearised.columns, &datum.east, &datum.north);
            let residual = Self::residual(datum, &linearised.direction);
            let weight = self.weight(index, residual.norm_squared() / datum.variance);
            information += rows.transpose() * rows * (weight / datum.variance);
            residuals.push(residual);
            weights.push(weight);
            all_rows.push(rows);
        }
        let covariance = information.cholesky()?.inverse();
        Some(Solution { terms: *terms, covariance, residuals, weights, rows: all_rows })
    }
}

/// How a sighting stands to what the others and the priors say.
#[derive(Clone, Copy, Debug)]
pub struct Disagreement {
    /// d², in the long run 2 on average.
    pub squared: f64,
    /// How far off on the sky, radians.
    pub distance: f64,
}

impl Solution {
    /// How a sighting stands to what the others and the priors say.
    ///
    /// A sighting that took part is first taken out again, by the matrix identity for two rows less.
    pub fn disagreement(&self, index: usize, variance: f64) -> Disagreement {
        let rows = &self.rows[index];
        let known = rows * self.covariance * rows.transpose();
        let precision = self.weights[index] / variance;
        let none = Disagreement { squared: 0.0, distance: 0.0 };
        let Some(kept) = (Matrix2::identity() - known * precision).try_inverse() else {
            return none;
        };
        let residual = kept * self.residuals[index];
        let spread = known * kept + Matrix2::identity() * variance;
        let Some(inverse) = spread.try_inverse() else {
            return none;
        };
        let squared = (residual.transpose() * inverse * residual)[(0, 0)];
        Disagreement { squared, distance: residual.norm() }
    }
}
