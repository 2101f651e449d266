//! Which terms a set of stars can tell apart at all, before anything is sighted.

use crate::model::celestial_pole;
use crate::parameters::{Frame, Vector7};
use crate::rows::Prepared;
use crate::stars::Aim;
use kinematics::Kind;
use nalgebra::DMatrix;
use units::Angle;

/// How well a set of stars tells a set of terms apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Identifiability {
    /// How many independent combinations of the terms the stars show.
    pub rank: usize,
    /// How many terms were asked for.
    pub of: usize,
    /// Ratio of the largest to the smallest singular value with every term's column scaled to one; infinite below full rank.
    pub condition: f64,
}

/// Singular values below this share of the largest are rounding.
const ROUNDING: f64 = 1e-9;

/// Rank and condition of these terms (places in [`crate::parameters`]) on a mount without errors.
///
/// Directions that the mount can't reach, and terms that don't exist, are left out.
pub fn identifiability(kind: Kind, latitude: Angle, stars: &[Aim], terms: &[usize]) -> Identifiability {
    let frame = Frame::new(kind, latitude);
    let perfect = Vector7::zeros();
    let chain = frame.chain(&perfect);
    let prepared = Prepared::new(&frame, &perfect);
    let pole = celestial_pole(latitude);
    let rows: Vec<_> = stars
        .iter()
        .filter_map(|aim| chain.dials_for(&aim.direction, aim.branch).ok())
        .map(|dials| prepared.rows(dials, &pole))
        .collect();
    let terms: Vec<usize> = terms.iter().copied().filter(|&term| term < Vector7::zeros().len()).collect();
    let of = terms.len();
    if rows.is_empty() || of == 0 {
        return Identifiability { rank: 0, of, condition: f64::INFINITY };
    }
    let mut matrix = DMatrix::from_fn(2 * rows.len(), of, |i, j| rows[i / 2][(i % 2, terms[j])]);
    for mut column in matrix.column_iter_mut() {
        let norm = column.norm();
        if norm > ROUNDING {
            column /= norm;
        } else {
            column.fill(0.0);
        }
    }
    let singular = matrix.singular_values();
    let largest = singular.max();
    let rank = singular.iter().filter(|&&value| value > largest * ROUNDING).count();
    let condition = if rank == of { largest / singular.min() } else { f64::INFINITY };
    Identifiability { rank, of, condition }
}
