//! How well the whole sky is known, and which star would better it most.

use crate::covariance::Covariance2;
use crate::model::Model;
use crate::parameters::{Matrix7, Rows, TERMS};
use crate::stars::{Aim, usual_aim};
use kinematics::{AxisAngles, Kind, frames};
use nalgebra::{Matrix2, SMatrix};
use units::{Angle, maths};

/// Places spread evenly over the sky above an altitude, each with the solution that the mount would use there.
///
/// A spiral in equal steps of height, turning by the golden angle from one to the next.
pub fn sky_map(kind: Kind, latitude: Angle, lowest: Angle, count: usize) -> Vec<Aim> {
    let golden = maths::PI * (3.0 - 5.0_f64.sqrt());
    let floor = lowest.sin();
    (0..count)
        .map(|k| {
            let height = floor + (1.0 - floor) * (k as f64 + 0.5) / count as f64;
            let altitude = Angle::atan2(height, ((1.0 - height) * (1.0 + height)).sqrt());
            let azimuth = Angle::from_radians(golden * k as f64).wrapped_positive();
            usual_aim(kind, latitude, frames::direction(azimuth, altitude))
        })
        .collect()
}

/// The expected error over a map.
#[derive(Clone, Debug, PartialEq)]
pub struct Prediction {
    /// Root of the mean squared expected error, gears included.
    pub rms: Angle,
    /// The largest expected error (as root of its mean square).
    pub worst: Angle,
    /// Per place; `None` where the mount can't point.
    pub places: Vec<Option<Covariance2>>,
}

impl Model {
    /// The expected error at each place of a map. A map of which nothing can be reached predicts nought.
    pub fn prediction(&self, map: &[Aim]) -> Prediction {
        let places: Vec<Option<Covariance2>> =
            map.iter().map(|aim| self.predicted_error(&aim.direction, aim.branch).ok()).collect();
        let squares = || places.iter().flatten().map(|place| place.east + place.north);
        let count = places.iter().flatten().count().max(1) as f64;
        let (sum, worst) = (squares().sum::<f64>(), squares().fold(0.0, f64::max));
        Prediction { rms: root(sum / count), worst: root(worst), places }
    }

    /// Rows at each reachable place.
    fn map_rows(&self, map: &[Aim]) -> Vec<Rows> {
        map.iter()
            .filter_map(|aim| self.dials_for(&aim.direction, aim.branch).ok())
            .map(|dials| self.rows(dials))
            .collect()
    }
}

fn root(square: f64) -> Angle {
    Angle::from_radians(square.max(0.0).sqrt())
}

/// By what the next star is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Criterion {
    /// The smallest mean of squared expected errors over the map (average variance: the A-type criterion on predictions).
    Average,
    /// The smallest of the largest expected errors (the G criterion).
    Worst,
    /// The most knowledge of the terms themselves (log determinant: the D criterion).
    Terms,
}

/// What a sighting costs besides its slew.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// Where the axes stand now.
    pub from: AxisAngles,
    /// How fast they slew, degrees per second.
    pub degrees_per_second: f64,
    /// Minutes that finding and centring a star takes.
    pub minutes_per_star: f64,
}

/// What one more star would buy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranked {
    /// Its place in the list of candidates.
    pub index: usize,
    /// Where, and by which solution.
    pub aim: Aim,
    /// The expected error over the map afterwards (root mean square).
    pub rms: Angle,
    /// The largest expected error on the map afterwards.
    pub worst: Angle,
    /// By how much the logarithm of the terms' covariance determinant falls.
    pub terms_gain: f64,
    /// How far the axis that has farther to go turns.
    pub slew: Angle,
    /// Whether the tube has to change sides.
    pub turns_over: bool,
    /// Minutes for slew, finding and centring.
    pub minutes: f64,
}

/// Candidates ranked by what they buy.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranking {
    /// The expected error over the map as things are (root mean square).
    pub rms: Angle,
    /// The largest expected error on the map as things are.
    pub worst: Angle,
    /// The best first.
    pub candidates: Vec<Ranked>,
}

/// Ranks candidates by what sighting each of them (with this centring) would make of the expected errors over a map.
///
/// The model's covariance is taken as what is known so far, whatever method made it, and the update is that of the full
/// model: two rows more, C′ = C − C Gᵀ (G C Gᵀ + σ² 1)⁻¹ G C. Candidates that can't be reached are left out. (Criteria A, D and G
/// are the standard ones of optimal design of experiments.)
pub fn rank(
    model: &Model,
    map: &[Aim],
    candidates: &[Aim],
    centring: Angle,
    effort: &Effort,
    criterion: Criterion,
) -> Ranking {
    let mechanical = model.priors().mechanical.radians();
    let gears = mechanical * mechanical;
    let variance = centring.radians() * centring.radians() + gears;
    let covariance = model.covariance();
    let rows = model.map_rows(map);
    let count = rows.len().max(1) as f64;
    // The mean over the map needs one matrix; only the largest needs every place.
    let mean: Matrix7 = rows.iter().map(|row| row.transpose() * row / count).sum();
    let before: Vec<f64> = rows.iter().map(|row| (row * covariance * row.transpose()).trace()).collect();
    let mean_before = (mean * covariance).trace();
    let mut ranked: Vec<Ranked> = candidates
        .iter()
        .enumerate()
        .filter_map(|(index, aim)| {
            let dials = model.dials_for(&aim.direction, aim.branch).ok()?;
            let (learnt, determinant) = learnt(covariance, &model.rows(dials), variance)?;
            let worst = rows
                .iter()
                .zip(&before)
                .map(|(row, before)| before - (row * learnt).norm_squared())
                .fold(0.0, f64::max);
            let (slew, turns_over) = travel(model.kind(), effort.from, dials);
            Some(Ranked {
                index,
                aim: *aim,
                rms: root(mean_before - (learnt.transpose() * mean * learnt).trace() + 2.0 * gears),
                worst: root(worst + 2.0 * gears),
                terms_gain: maths::ln(determinant / (variance * variance)),
                slew,
                turns_over,
                minutes: effort.minutes_per_star + slew.degrees() / effort.degrees_per_second / 60.0,
            })
        })
        .collect();
    let key = |one: &Ranked| match criterion {
        Criterion::Average => one.rms.radians(),
        Criterion::Worst => one.worst.radians(),
        Criterion::Terms => -one.terms_gain,
    };
    ranked.sort_by(|a, b| key(a).total_cmp(&key(b)).then(a.index.cmp(&b.index)));
    Ranking {
        rms: root(mean_before + 2.0 * gears),
        worst: root(before.iter().copied().fold(0.0, f64::max) + 2.0 * gears),
        candidates: ranked,
    }
}

/// What a sighting with these rows takes off the covariance, as B in C − B Bᵀ, and the determinant of its innovation.
fn learnt(covariance: &Matrix7, rows: &Rows, variance: f64) -> Option<(SMatrix<f64, TERMS, 2>, f64)> {
    let crossed = covariance * rows.transpose();
    let spread: Matrix2<f64> = rows * crossed + Matrix2::identity() * variance;
    let lower = spread.cholesky()?.l();
    let solved = lower.solve_lower_triangular(&crossed.transpose())?;
    Some((solved.transpose(), lower[(0, 0)] * lower[(0, 0)] * lower[(1, 1)] * lower[(1, 1)]))
}

/// The longer of both axes' ways, and whether the second axis passes a pole.
fn travel(kind: Kind, from: AxisAngles, to: AxisAngles) -> (Angle, bool) {
    let way = |a: Angle, b: Angle| (b - a).wrapped_signed().abs();
    let turns_over = kind == Kind::GermanEquatorial && (from.second.cos() < 0.0) != (to.second.cos() < 0.0);
    (way(from.first, to.first).max(way(from.second, to.second)), turns_over)
}

impl Model {
    /// The candidate whose sighting (with this centring) would narrow one term down most, and to what standard deviation.
    ///
    /// `term` is a term's [`crate::Term::index`]. `None` if no candidate can be reached.
    pub fn deciding_star(&self, term: usize, candidates: &[Aim], centring: Angle) -> Option<(usize, Angle)> {
        let mechanical = self.priors.mechanical.radians();
        let variance = centring.radians() * centring.radians() + mechanical * mechanical;
        let turn = self.to_people();
        let asked = turn.row(term);
        let known = (asked * self.covariance * asked.transpose())[(0, 0)];
        candidates
            .iter()
            .enumerate()
            .filter_map(|(index, aim)| {
                let dials = self.dials_for(&aim.direction, aim.branch).ok()?;
                let (learnt, _) = learnt(&self.covariance, &self.rows(dials), variance)?;
                Some((index, root(known - (asked * learnt).norm_squared())))
            })
            .min_by(|a, b| a.1.radians().total_cmp(&b.1.radians()))
    }
}
