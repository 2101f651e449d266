//! From the angles of the two axes to the direction of the boresight, and back.
//!
//! Forward: turn the boresight by the cone error within the tube's plane, by the second axis, by the skew of the axes,
//! by the first axis, by the base; then lower it by the flexure of the tube. Backward: the same undone step by step,
//! exactly, with both solutions.

use crate::base::Kind;
use crate::frames;
use nalgebra::{Matrix3, Vector3};
use std::fmt;
use units::{Angle, maths};

/// The angles of both axes, unwrapped: a turn of the cable is a turn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AxisAngles {
    /// Hour angle (positive west) or azimuth (from north through east).
    pub first: Angle,
    /// Declination or altitude; beyond a quarter turn it has gone through the pole.
    pub second: Angle,
}

/// Which of the two pairs of axis angles that point in one direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Branch {
    /// The second axis within a quarter turn of zero.
    Direct,
    /// The second axis beyond, the first turned half round.
    ThroughPole,
}

impl Branch {
    /// +1 direct, −1 through the pole: the sign that many small errors change with.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Direct => 1.0,
            Self::ThroughPole => -1.0,
        }
    }
}

/// One end of the first axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AxisEnd {
    /// North end of an hour axis, upper end of an azimuth axis.
    Positive,
    /// South end of an hour axis, lower end of an azimuth axis.
    Negative,
}

/// The geometry of one mount with its constant errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geometry {
    /// How it is built.
    pub kind: Kind,
    /// Attitude of the base, from [`base`](crate::base()).
    pub base: Matrix3<f64>,
    /// True angle of the first axis minus its dial.
    pub zero_first: Angle,
    /// True angle of the second axis minus its dial.
    pub zero_second: Angle,
    /// The two axes are not square: positive if the +y end of the second axis leans towards the positive end of the first.
    pub axis_skew: Angle,
    /// The boresight is not square to the second axis: positive if it leans towards that axis's +y end.
    pub cone_error: Angle,
    /// Radians that the cone error gains for each unit by which the second axis's +y end points up.
    pub cone_droop: f64,
    /// How far the tube sags when it is level; it sags by the cosine of the altitude.
    pub tube_flexure: Angle,
}

impl Geometry {
    /// A mount without an error of its own on this base.
    pub fn ideal(kind: Kind, base: Matrix3<f64>) -> Self {
        Self {
            kind,
            base,
            zero_first: Angle::ZERO,
            zero_second: Angle::ZERO,
            axis_skew: Angle::ZERO,
            cone_error: Angle::ZERO,
            cone_droop: 0.0,
            tube_flexure: Angle::ZERO,
        }
    }
}

/// No angles of the axes point in that direction: skewed axes and a cone error keep a cap round each end of the first
/// axis out of reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unreachable {
    /// How far inside the cap the direction lies.
    pub short_by: Angle,
    /// The radius of the cap.
    pub cap: Angle,
    /// Round which end of the first axis.
    pub end: AxisEnd,
}

impl fmt::Display for Unreachable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let end = match self.end {
            AxisEnd::Positive => "north or upper",
            AxisEnd::Negative => "south or lower",
        };
        write!(
            f,
            "no position of the axes points there: it is {:.2} arcmin inside the cap of {:.2} arcmin round the {end} end \
             of the first axis, which skewed axes and cone error keep out of reach; choose a direction further from that axis",
            self.short_by.arcmin(),
            self.cap.arcmin()
        )
    }
}

impl std::error::Error for Unreachable {}

/// The chain of one mount, prepared: the sines and cosines of its constants are kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chain {
    geometry: Geometry,
    skew: (f64, f64),
    cone: (f64, f64),
    flexure: f64,
}

/// Rounds for a drooping cone: what they correct is of the second order in the droop, and each corrects what the one
/// before left by as much again.
const DROOP_ROUNDS: usize = 4;

impl Chain {
    /// Prepares a chain.
    pub fn new(geometry: Geometry) -> Self {
        Self {
            geometry,
            skew: geometry.axis_skew.sin_cos(),
            cone: geometry.cone_error.sin_cos(),
            flexure: geometry.tube_flexure.radians(),
        }
    }

    /// The same chain on another base.
    #[must_use]
    pub fn on_base(mut self, base: Matrix3<f64>) -> Self {
        self.geometry.base = base;
        self
    }

    /// What it was prepared from.
    pub fn geometry(&self) -> &Geometry {
        &self.geometry
    }

    /// The positive end of the first axis as (east, north, up): the north end of an hour axis, the top of an azimuth axis.
    pub fn hour_axis(&self) -> Vector3<f64> {
        self.geometry.base.column(2).into_owned()
    }

    /// The +y end of the second axis as (east, north, up), where a German mount has its counterweight.
    pub fn second_axis(&self, first: Angle) -> Vector3<f64> {
        self.geometry.base * self.second_axis_on_base(first.sin_cos())
    }

    /// Where the boresight points, as (east, north, up), at these **true** angles of the axes.
    pub fn boresight(&self, axes: AxisAngles) -> Vector3<f64> {
        self.boresight_from_turns(axes.first.sin_cos(), axes.second.sin_cos())
    }

    /// Where the boresight points at these **dial** readings: the zero offsets are added.
    pub fn boresight_from_dials(&self, dials: AxisAngles) -> Vector3<f64> {
        self.boresight(self.axes_from_dials(dials))
    }

    /// The true angles of the axes at these dial readings.
    pub fn axes_from_dials(&self, dials: AxisAngles) -> AxisAngles {
        AxisAngles {
            first: dials.first + self.geometry.zero_first,
            second: dials.second + self.geometry.zero_second,
        }
    }

    /// Where the boresight points, given (sine, cosine) of the true angles: for callers that keep them up to date.
    #[inline]
    pub fn boresight_from_turns(&self, first: (f64, f64), second: (f64, f64)) -> Vector3<f64> {
        let (sn, cn) = self.skew;
        let (sc, cc) = self.cone_at(first);
        let (x, z0) = (second.1 * cc, second.0 * cc);
        let (y, z) = (sc * cn - z0 * sn, sc * sn + z0 * cn);
        let on_base = Vector3::new(x * first.1 + y * first.0, y * first.1 - x * first.0, z);
        self.lowered(self.geometry.base * on_base)
    }

    /// The attitude of what is seen in the eyepiece at these true angles, flexure included. Columns, each as (east, north,
    /// up): the boresight; the lateral direction, to the side of the second axis's +y end; the tube's own up.
    pub fn field_frame(&self, axes: AxisAngles) -> Matrix3<f64> {
        let (sc, cc) = self.cone_at(axes.first.sin_cos());
        let cone = Matrix3::new(cc, -sc, 0.0, sc, cc, 0.0, 0.0, 0.0, 1.0);
        let rigid = self.geometry.base
            * frames::rz(-axes.first)
            * frames::rx(self.geometry.axis_skew)
            * frames::ry(-axes.second)
            * cone;
        let s = rigid.column(0).into_owned();
        // Sagging turns the tube about the level axis square to its vertical plane.
        let level = Vector3::new(s.y, -s.x, 0.0);
        let size = level.norm();
        if size == 0.0 || self.flexure == 0.0 {
            return rigid;
        }
        let k = (level / size).cross_matrix();
        let (sine, cosine) = maths::sincos_small(-self.flexure * size);
        (Matrix3::identity() + k * sine + k * k * (1.0 - cosine)) * rigid
    }

    /// The dial readings, each within (−half turn, half turn], at which the boresight points along a unit vector.
    ///
    /// The exact inverse of [`Chain::boresight_from_dials`], flexure and drooping cone included.
    ///
    /// # Errors
    /// [`Unreachable`] for a direction too near the first axis.
    pub fn dials_for(&self, direction: &Vector3<f64>, branch: Branch) -> Result<AxisAngles, Unreachable> {
        let p = self.geometry.base.tr_mul(&self.raised(direction));
        let first = if self.geometry.cone_droop == 0.0 {
            self.first_for(&p, branch)?
        } else {
            self.first_with_droop(&p, branch)?
        };
        // With the first axis known the direction lies in the plane in which the second one turns.
        let (sn, cn) = self.skew;
        let (sh, ch) = first.sin_cos();
        let (x, y) = (p.x * ch - p.y * sh, p.x * sh + p.y * ch);
        let second = Angle::atan2(p.z * cn - y * sn, x);
        Ok(AxisAngles {
            first: (first - self.geometry.zero_first).wrapped_signed(),
            second: (second - self.geometry.zero_second).wrapped_signed(),
        })
    }

    /// The true angle of the first axis for a direction in the frame of the base, the cone error being constant: where the
    /// direction's part along the second axis is sin c. Two such places, or none.
    fn first_for(&self, p: &Vector3<f64>, branch: Branch) -> Result<Angle, Unreachable> {
        let (sn, cn) = self.skew;
        let y = (self.cone.0 - p.z * sn) / cn;
        // From the level part of the direction, which keeps its digits near the first axis, where a difference from 1 would
        // lose half of them.
        let level = frames::level_part(p);
        let square = (level - y) * (level + y);
        if square < 0.0 {
            return Err(self.unreachable(p));
        }
        let x = square.sqrt() * branch.sign();
        Ok(Angle::atan2(y, x) - Angle::atan2(p.y, p.x))
    }

    /// The same where the cone error droops by k times the height w of the second axis's end.
    ///
    /// sin(c + k w) = sin c + k r w with r near cos c; and w, too, is a part along the second axis, that of the vertical. So the
    /// direction less k r times the vertical obeys the rule of a constant cone error, and r is found in a few rounds.
    fn first_with_droop(&self, p: &Vector3<f64>, branch: Branch) -> Result<Angle, Unreachable> {
        let droop = self.geometry.cone_droop;
        let up = self.geometry.base.row(2).transpose();
        let mut ratio = self.cone.1;
        let mut first = self.first_for(&(p - up * (droop * ratio)), branch)?;
        for _ in 1..DROOP_ROUNDS {
            let gained = droop * up.dot(&self.second_axis_on_base(first.sin_cos()));
            // sin(c + g) − sin c = 2 sin(g/2) cos(c + g/2), without a difference of equals.
            let (half_sine, half_cosine) = maths::sincos_small(gained / 2.0);
            let middle = self.cone.1 * half_cosine - self.cone.0 * half_sine;
            ratio = if gained == 0.0 { self.cone.1 } else { 2.0 * half_sine * middle / gained };
            first = self.first_for(&(p - up * (droop * ratio)), branch)?;
        }
        Ok(first)
    }

    /// How far a direction in the frame of the base is out of reach.
    fn unreachable(&self, p: &Vector3<f64>) -> Unreachable {
        let Geometry { axis_skew: skew, cone_error: cone, .. } = self.geometry;
        let (end, cap) = if p.z > 0.0 {
            (AxisEnd::Positive, (skew - cone).abs())
        } else {
            (AxisEnd::Negative, (skew + cone).abs())
        };
        let from_end = Angle::atan2(frames::level_part(p), p.z.abs());
        Unreachable { short_by: (cap - from_end).max(Angle::ZERO), cap, end }
    }

    /// The +y end of the second axis in the frame of the base.
    fn second_axis_on_base(&self, first: (f64, f64)) -> Vector3<f64> {
        let (sn, cn) = self.skew;
        Vector3::new(cn * first.0, cn * first.1, sn)
    }

    /// Sine and cosine of the cone error as it is at this turn of the first axis.
    fn cone_at(&self, first: (f64, f64)) -> (f64, f64) {
        if self.geometry.cone_droop == 0.0 {
            return self.cone;
        }
        let base = &self.geometry.base;
        let end = self.second_axis_on_base(first);
        let up = base[(2, 0)] * end.x + base[(2, 1)] * end.y + base[(2, 2)] * end.z;
        maths::sincos_small(self.geometry.cone_error.radians() + self.geometry.cone_droop * up)
    }

    /// A direction after the tube has sagged: altitude h becomes h − f cos h, the azimuth stays.
    #[inline]
    fn lowered(&self, s: Vector3<f64>) -> Vector3<f64> {
        if self.flexure == 0.0 {
            return s;
        }
        let level = frames::level_part(&s);
        if level == 0.0 {
            return s;
        }
        let sag = self.flexure * level;
        let (sine, cosine) =
            if sag.abs() <= 0.05 { maths::sincos_tiny(sag) } else { maths::sincos_small(sag) };
        let scale = cosine + s.z * sine / level;
        Vector3::new(s.x * scale, s.y * scale, s.z * cosine - level * sine)
    }

    /// The direction before the tube sagged: the root of d = f cos(h + d) by Newton's method.
    fn raised(&self, s: &Vector3<f64>) -> Vector3<f64> {
        let level = frames::level_part(s);
        if self.flexure == 0.0 || level == 0.0 {
            return *s;
        }
        let f = self.flexure;
        let mut d = f * level / (1.0 + f * s.z);
        // The error begins at f³/2 and each round squares it: two are enough below a degree, four up to a quarter of a radian.
        for _ in 0..4 {
            let (sine, cosine) = maths::sincos_small(d);
            d -= (d - f * (level * cosine - s.z * sine)) / (1.0 + f * (level * sine + s.z * cosine));
        }
        let (sine, cosine) = maths::sincos_small(d);
        let scale = cosine - s.z * sine / level;
        Vector3::new(s.x * scale, s.y * scale, s.z * cosine + level * sine)
    }
}
