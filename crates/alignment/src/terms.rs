//! The model's terms in words, with what is known of each, and why what isn't known isn't.

use crate::model::Model;
use crate::parameters::{
    AXIS_EAST, AXIS_SKEW, AXIS_UP, CONE, FIRST_ZERO, FLEXURE, Frame, Matrix7, SECOND_ZERO, TERMS, Vector7,
};
use kinematics::{Geometry, Kind, frames};
use std::fmt;
use units::{Angle, maths};

/// One term of a model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// Its name in words.
    pub name: &'static str,
    /// Its place in [`crate::parameters`].
    pub index: usize,
    /// What the machine believes. Polar axis: of the elevated end, positive too high and too far east, lean included.
    pub value: Angle,
    /// One standard deviation of the belief's error; `None` where it has no meaning (the azimuth of a vertical axis).
    pub sigma: Option<Angle>,
    /// The same before the first star.
    pub prior_sigma: Option<Angle>,
    /// Whether the stars narrowed it down, to 0.7 of its prior spread or less.
    pub determined: bool,
    /// If not, why.
    pub reason: Option<Reason>,
}

/// Why a term isn't determined by the stars so far.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// No star was sighted.
    NoSighting,
    /// The method leaves the term out.
    NotInMethod,
    /// One star gives two numbers.
    OneStar,
    /// The stars stand in one place.
    OnePlace,
    /// Two stars give a rotation and one number more.
    TwoStars,
    /// All stars have one declination (altitude).
    OneCircle,
    /// All stars have one hour angle (azimuth).
    OneHourCircle,
    /// All stars are on one side of the pier, where cone and skew look like zero offsets.
    OneSide,
    /// This mount can't turn over, so cone and skew keep looking like zero offsets.
    NeverTurnsOver,
    /// The axis stands upright and has no azimuth.
    AxisUpright,
    /// The sightings aren't good enough for so small a term.
    TooSmall,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoSighting => "no star was sighted yet",
            Self::NotInMethod => "this method leaves it as it was set up; many-star alignment would look for it",
            Self::OneStar => "one star gives two numbers, and the zero offsets take them; sight a second star far from it",
            Self::OnePlace => "all stars stand in one place; sight one far from them",
            Self::TwoStars => "two stars give a rotation and one number more; sight a third star",
            Self::OneCircle => "all stars have one declination or altitude; sight one higher or lower",
            Self::OneHourCircle => "all stars have one hour angle or azimuth; sight one further east or west",
            Self::OneSide => "all stars are on one side of the pier, where it looks like a zero offset; sight one on the other",
            Self::NeverTurnsOver => "this mount can't turn over, and without that it looks like a zero offset",
            Self::AxisUpright => "the axis stands upright, where it has no azimuth",
            Self::TooSmall => "it is too small for the sightings so far; centre more carefully, or sight more stars",
        })
    }
}

/// A term is shown as determined if its spread has shrunk at least to this share of the prior's.
const DETERMINED: f64 = 0.7;
/// Stars whose declinations or hour angles differ by less than this stand on one circle, for telling reasons.
const ONE_CIRCLE: Angle = Angle::from_degrees(12.0);
/// With the axis this near to the vertical its azimuth has no meaning.
const UPRIGHT: Angle = Angle::from_degrees(0.5);

impl Model {
    /// The terms in words, with value, uncertainty, and the reason where the stars don't determine one.
    ///
    /// Equatorial: polar axis altitude and azimuth (of the elevated end, lean included), hour and declination zero.
    /// Alt-azimuth: lean of the base, azimuth and altitude zero. Both: axis skew, cone error, tube flexure.
    pub fn terms(&self) -> Vec<Term> {
        let altaz = self.frame.kind == Kind::AltAzimuth;
        let values = people_values(&self.frame, &self.terms);
        let turn = self.to_people();
        let known = turn * self.covariance * turn.transpose();
        let expected = turn * self.priors.covariance * turn.transpose();
        let upright = !altaz && self.axis_is_upright();
        ORDER
            .map(|index| {
                let sigma = Angle::from_radians(known[(index, index)].max(0.0).sqrt());
                let prior = Angle::from_radians(expected[(index, index)].max(0.0).sqrt());
                let meaningless = upright && matches!(index, AXIS_EAST | FIRST_ZERO);
                let determined = self.method.holds(index) && !meaningless && sigma <= prior * DETERMINED;
                let reason = if determined {
                    None
                } else if meaningless {
                    Some(Reason::AxisUpright)
                } else {
                    Some(self.why_undetermined(index))
                };
                Term {
                    name: name(altaz, index),
                    index,
                    value: Angle::from_radians(values[index]),
                    sigma: (!meaningless).then_some(sigma),
                    prior_sigma: (!meaningless).then_some(prior),
                    determined,
                    reason,
                }
            })
            .to_vec()
    }

    /// −1 in the south, where the elevated end of the axis is the southern one.
    pub(crate) fn elevated_sign(&self) -> f64 {
        elevated_sign(&self.frame)
    }

    fn axis_is_upright(&self) -> bool {
        (Angle::QUARTER - self.frame.axis_direction(&self.terms).1.abs()) < UPRIGHT
    }

    /// From changes of the parameters to changes of the terms that people speak of.
    ///
    /// Equatorial: azimuth = swing east / cos(altitude of the axis), hour zero = first zero − azimuth · sin(altitude).
    pub(crate) fn to_people(&self) -> Matrix7 {
        let mut turn = Matrix7::identity();
        if self.frame.kind == Kind::AltAzimuth {
            return turn;
        }
        let altitude = self.frame.axis_direction(&self.terms).1;
        let cosine = altitude.cos().max(1e-6);
        let sign = self.elevated_sign();
        turn[(AXIS_EAST, AXIS_EAST)] = sign / cosine;
        turn[(FIRST_ZERO, AXIS_EAST)] = -altitude.sin() / cosine;
        turn[(AXIS_UP, AXIS_UP)] = sign;
        turn
    }

    fn why_undetermined(&self, term: usize) -> Reason {
        if self.seen.is_empty() {
            return Reason::NoSighting;
        }
        if !self.method.holds(term) {
            return Reason::NotInMethod;
        }
        let count = self.seen.len();
        if count == 1 {
            return Reason::OneStar;
        }
        let spread_of = |value: &dyn Fn(usize) -> Angle| {
            let reference = value(0);
            let offsets: Vec<Angle> =
                (0..count).map(|k| value(k).unwrapped_near(reference) - reference).collect();
            let low = offsets.iter().copied().fold(Angle::ZERO, Angle::min);
            let high = offsets.iter().copied().fold(Angle::ZERO, Angle::max);
            high - low
        };
        // On the errorless mount of this kind, so that the circles are the sky's (or the horizon's) own.
        let place =
            |k: usize| frames::hour_and_declination(&(self.frame.nominal.transpose() * self.seen[k].0));
        let one_circle = spread_of(&|k| place(k).1) < ONE_CIRCLE;
        let one_hour = spread_of(&|k| place(k).0) < ONE_CIRCLE;
        let second = |k: usize| self.seen[k].1.second + Angle::from_radians(self.terms[SECOND_ZERO]);
        let sides = (0..count).filter(|&k| second(k).cos() < 0.0).count();
        let one_side = sides == 0 || sides == count;
        let turns_over = self.frame.kind == Kind::GermanEquatorial;
        if one_circle && one_hour {
            Reason::OnePlace
        } else if count == 2 {
            Reason::TwoStars
        } else if one_circle {
            Reason::OneCircle
        } else if one_hour {
            Reason::OneHourCircle
        } else if one_side && term != FLEXURE {
            if turns_over { Reason::OneSide } else { Reason::NeverTurnsOver }
        } else {
            Reason::TooSmall
        }
    }
}

/// The order in which people are told the terms.
const ORDER: [usize; TERMS] = [AXIS_UP, AXIS_EAST, FIRST_ZERO, SECOND_ZERO, AXIS_SKEW, CONE, FLEXURE];

fn elevated_sign(frame: &Frame) -> f64 {
    if frame.latitude < Angle::ZERO { -1.0 } else { 1.0 }
}

/// The values that [`Model::terms`] would have, in its order, if the model were exactly this chain from dials to believed
/// directions. For whoever compares a belief with what it should be.
pub fn values_of(kind: Kind, latitude: Angle, geometry: &Geometry) -> [Angle; TERMS] {
    let frame = Frame::new(kind, latitude);
    let whole = geometry.base * frames::rz(-geometry.zero_first);
    let mut terms = frame.terms_of_rotation(&whole);
    terms[SECOND_ZERO] = geometry.zero_second.wrapped_signed().radians();
    terms[AXIS_SKEW] = geometry.axis_skew.radians();
    terms[CONE] = geometry.cone_error.radians();
    terms[FLEXURE] = geometry.tube_flexure.radians();
    let values = people_values(&frame, &terms);
    ORDER.map(|index| Angle::from_radians(values[index]))
}

/// The terms as people speak of them. Equatorial: altitude and azimuth error of the axis's elevated end, and the hour zero
/// without the share of the axis's azimuth.
fn people_values(frame: &Frame, terms: &Vector7) -> Vector7 {
    if frame.kind == Kind::AltAzimuth {
        return *terms;
    }
    let mut values = *terms;
    let (azimuth, altitude) = frame.axis_direction(terms);
    let sign = elevated_sign(frame);
    values[AXIS_UP] = (altitude - frame.latitude).radians() * sign;
    values[AXIS_EAST] = azimuth.radians() * sign;
    // What is left of the rotation after azimuth and altitude turns about the axis itself.
    let set = frames::rz(-azimuth) * frames::equatorial_to_topocentric(altitude);
    let whole = frame.base(terms) * frames::rz(-Angle::from_radians(terms[FIRST_ZERO]));
    let twist = set.transpose() * whole;
    values[FIRST_ZERO] = maths::atan2(-twist[(1, 0)], twist[(0, 0)]);
    values
}

fn name(altaz: bool, index: usize) -> &'static str {
    const EQUATORIAL: [&str; TERMS] = [
        "hour zero",
        "declination zero",
        "polar axis azimuth",
        "polar axis altitude",
        "axis skew",
        "cone error",
        "tube flexure",
    ];
    const ALT_AZIMUTH: [&str; TERMS] = [
        "azimuth zero",
        "altitude zero",
        "base lean east",
        "base lean north",
        "axis skew",
        "cone error",
        "tube flexure",
    ];
    if altaz { ALT_AZIMUTH[index] } else { EQUATORIAL[index] }
}
