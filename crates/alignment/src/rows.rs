//! How the boresight answers to each term: the exact chain and its derivatives.

use crate::parameters::{
    AXIS_EAST, AXIS_SKEW, AXIS_UP, CONE, FIRST_ZERO, FLEXURE, Frame, Rows, SECOND_ZERO, TERMS, Vector7,
    rotation_derivative,
};
use kinematics::{AxisAngles, frames};
use nalgebra::{Matrix3, SMatrix, Vector3};
use units::{Angle, maths};

/// A chain at one set of terms, prepared for directions and derivatives at any dials.
///
/// Its formulas are those of the crate `kinematics`, written once more because the derivatives need the intermediate
/// axes; a test holds the two together.
#[derive(Clone, Debug, PartialEq)]
pub struct Prepared {
    base: Matrix3<f64>,
    terms: Vector7,
    swing_east: Vector3<f64>,
    swing_up: Vector3<f64>,
    skew: Matrix3<f64>,
    cone: Matrix3<f64>,
}

/// A boresight and how it moves, in (east, north, up), per radian of each term.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Linearised {
    /// Where the tube points.
    pub direction: Vector3<f64>,
    /// One column per term.
    pub columns: SMatrix<f64, 3, TERMS>,
}

impl Prepared {
    /// Prepares the chain of this frame with these terms.
    pub fn new(frame: &Frame, terms: &Vector7) -> Self {
        let (east, up) = frame.swing_directions();
        let derivative = rotation_derivative(&frame.swing(terms));
        Self {
            base: frame.base(terms),
            terms: *terms,
            swing_east: derivative * east,
            swing_up: derivative * up,
            skew: frames::rx(Angle::from_radians(terms[AXIS_SKEW])),
            cone: frames::rz(Angle::from_radians(terms[CONE])),
        }
    }

    /// Where the tube points at these dials.
    pub fn direction(&self, dials: AxisAngles) -> Vector3<f64> {
        self.stages(dials).3
    }

    /// Hour stage, declination stage, tube matrix (columns: boresight, lateral, tube-up) and flexed boresight.
    fn stages(&self, dials: AxisAngles) -> (Matrix3<f64>, Matrix3<f64>, Matrix3<f64>, Vector3<f64>) {
        let first = dials.first + Angle::from_radians(self.terms[FIRST_ZERO]);
        let second = dials.second + Angle::from_radians(self.terms[SECOND_ZERO]);
        let carried = self.base * frames::rz(-first);
        let skewed = carried * self.skew;
        let tube = skewed * frames::ry(-second) * self.cone;
        let flexed = lowered(&tube.column(0).into(), self.terms[FLEXURE]);
        (carried, skewed, tube, flexed)
    }

    /// Where the tube points at these dials, and how that changes with each term.
    pub fn linearised(&self, dials: AxisAngles) -> Linearised {
        let (carried, skewed, tube, direction) = self.stages(dials);
        let rigid: Vector3<f64> = tube.column(0).into();
        let axis: Vector3<f64> = self.base.column(2).into();
        let mut columns = SMatrix::<f64, 3, TERMS>::zeros();
        // Each is a small turn about some axis: that axis × the boresight.
        columns.set_column(FIRST_ZERO, &rigid.cross(&axis));
        columns.set_column(SECOND_ZERO, &rigid.cross(&skewed.column(1)));
        columns.set_column(AXIS_EAST, &self.swing_east.cross(&rigid));
        columns.set_column(AXIS_UP, &self.swing_up.cross(&rigid));
        columns.set_column(AXIS_SKEW, &carried.column(0).cross(&rigid));
        columns.set_column(CONE, &tube.column(1));
        let (lowering, droop) = lowering_derivatives(&rigid, self.terms[FLEXURE]);
        if self.terms[FLEXURE] != 0.0 {
            columns = lowering * columns;
        }
        columns.set_column(FLEXURE, &droop);
        Linearised { direction, columns }
    }

    /// How the boresight moves east and north of the pole (a unit vector), seen at its own place.
    pub fn rows(&self, dials: AxisAngles, pole: &Vector3<f64>) -> Rows {
        let linearised = self.linearised(dials);
        let (east, north) = tangents(&linearised.direction, pole);
        project(&linearised.columns, &east, &north)
    }
}

/// The unit vectors east and north of a pole at a place; at the pole itself some fixed pair.
pub fn tangents(place: &Vector3<f64>, pole: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
    let east = pole.cross(place).try_normalize(1e-12).unwrap_or_else(|| {
        let aside = if place.x.abs() < 0.5 { Vector3::x() } else { Vector3::y() };
        aside.cross(place).normalize()
    });
    (east, place.cross(&east))
}

/// Components of columns along two directions.
pub fn project(columns: &SMatrix<f64, 3, TERMS>, east: &Vector3<f64>, north: &Vector3<f64>) -> Rows {
    let mut rows = Rows::zeros();
    rows.set_row(0, &(east.transpose() * columns));
    rows.set_row(1, &(north.transpose() * columns));
    rows
}

/// Lowers a direction by flexure · cos(altitude), keeping its azimuth.
fn lowered(rigid: &Vector3<f64>, flexure: f64) -> Vector3<f64> {
    let level = maths::hypot(rigid.x, rigid.y);
    if flexure == 0.0 || level == 0.0 {
        return *rigid;
    }
    let (sine, cosine) = maths::sincos_small(flexure * level);
    let outward = (level * cosine + rigid.z * sine) / level;
    Vector3::new(rigid.x * outward, rigid.y * outward, rigid.z * cosine - level * sine)
}

/// How the lowered direction follows the rigid one (a matrix on tangent vectors), and how it changes with the flexure.
fn lowering_derivatives(rigid: &Vector3<f64>, flexure: f64) -> (Matrix3<f64>, Vector3<f64>) {
    let level = maths::hypot(rigid.x, rigid.y);
    if level < 1e-12 {
        // At the zenith cos h is nought; both horizontal directions stretch by 1 + f sin h there.
        return (Matrix3::identity() * (1.0 + flexure * rigid.z), Vector3::zeros());
    }
    let outward = Vector3::new(rigid.x / level, rigid.y / level, 0.0);
    let (sine, cosine) = maths::sincos_small(flexure * level);
    let (new_level, new_height) = (level * cosine + rigid.z * sine, rigid.z * cosine - level * sine);
    let up_before = Vector3::z() * level - outward * rigid.z;
    let up_after = Vector3::z() * new_level - outward * new_height;
    let sideways = Vector3::z().cross(&outward);
    let matrix = up_after * up_before.transpose() * (1.0 + flexure * rigid.z)
        + sideways * sideways.transpose() * (new_level / level);
    (matrix, up_after * -level)
}
