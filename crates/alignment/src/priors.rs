//! What is assumed of a mount before any star is seen.

use crate::parameters::{
    AXIS_EAST, AXIS_SKEW, AXIS_UP, CONE, FIRST_ZERO, FLEXURE, Matrix7, SECOND_ZERO, Vector7,
};
use crate::sighting::{Sense, Sighting};
use kinematics::Kind;
use units::{Angle, Instant};

/// One standard deviation of each cause, as people think of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Zero of the hour or azimuth dial: home mark, clock, zone and longitude together.
    pub first_zero: Angle,
    /// Zero of the declination or altitude dial.
    pub second_zero: Angle,
    /// Altitude of the polar axis; alt-azimuth: lean of the base to the north.
    pub axis_altitude: Angle,
    /// Azimuth of the polar axis, an angle about the vertical; alt-azimuth: lean of the base to the east.
    pub axis_azimuth: Angle,
    /// Non-perpendicularity of the axes.
    pub axis_skew: Angle,
    /// Cone error.
    pub cone_error: Angle,
    /// Tube flexure at the horizon.
    pub tube_flexure: Angle,
}

impl Spread {
    /// A mid-range mount set up by its usual owner (our own estimates: common practice, no source).
    ///
    /// The base of an alt-azimuth mount stands by its bubble (0.3°), and its azimuth by a compass.
    pub fn usual(kind: Kind) -> Self {
        let (first_zero, axis_altitude, axis_azimuth) = if kind == Kind::AltAzimuth {
            (Angle::from_degrees(2.0), Angle::from_arcmin(18.0), Angle::from_arcmin(18.0))
        } else {
            (Angle::from_arcmin(30.0), Angle::from_arcmin(25.0), Angle::from_arcmin(60.0))
        };
        Self {
            first_zero,
            second_zero: Angle::from_arcmin(20.0),
            axis_altitude,
            axis_azimuth,
            axis_skew: Angle::from_arcmin(4.0),
            cone_error: Angle::from_arcmin(10.0),
            tube_flexure: Angle::from_arcmin(2.0),
        }
    }
}

/// What is assumed before any star is seen: expected terms with their covariance, and what no smooth term explains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Priors {
    /// Expected terms, in radians.
    pub mean: Vector7,
    /// Their covariance, in radians squared; positive definite.
    pub covariance: Matrix7,
    /// What teeth, play and the like add to every pointing: one standard deviation per direction on the sky.
    pub mechanical: Angle,
    /// The play of each axis, as far as it isn't in `mechanical` already: a sighting that was approached from the other
    /// side than most has this much more spread, one whose approach nobody knows half as much.
    pub play: [Angle; 2],
    /// What settling ground adds to a sighting's variance per hour of age, as the root of it.
    pub ageing_per_root_hour: Angle,
}

/// The smallest standard deviation that is kept: a term that is said to be known is known to a thousandth of an arcsecond.
const SMALLEST: f64 = 5e-9;
/// The default of [`Priors::ageing_per_root_hour`], 0.1′ (our own estimate: common practice, no source).
const AGEING: f64 = 0.1;

impl Priors {
    /// From the standard deviations of the causes; on an equatorial mount the azimuth of the axis is a swing by ΔA cos φ
    /// and a first zero of ΔA sin φ, so these two are correlated.
    pub fn from_spread(kind: Kind, latitude: Angle, spread: &Spread) -> Self {
        let square = |angle: Angle| {
            let kept = angle.radians().abs().max(SMALLEST);
            kept * kept
        };
        let mut covariance = Matrix7::zeros();
        covariance[(FIRST_ZERO, FIRST_ZERO)] = square(spread.first_zero);
        covariance[(SECOND_ZERO, SECOND_ZERO)] = square(spread.second_zero);
        covariance[(AXIS_UP, AXIS_UP)] = square(spread.axis_altitude);
        covariance[(AXIS_SKEW, AXIS_SKEW)] = square(spread.axis_skew);
        covariance[(CONE, CONE)] = square(spread.cone_error);
        covariance[(FLEXURE, FLEXURE)] = square(spread.tube_flexure);
        let azimuth = square(spread.axis_azimuth);
        if kind == Kind::AltAzimuth {
            covariance[(AXIS_EAST, AXIS_EAST)] = azimuth;
        } else {
            let (sine, cosine) = latitude.sin_cos();
            covariance[(AXIS_EAST, AXIS_EAST)] = (azimuth * cosine * cosine).max(SMALLEST * SMALLEST);
            covariance[(FIRST_ZERO, FIRST_ZERO)] += azimuth * sine * sine;
            covariance[(FIRST_ZERO, AXIS_EAST)] = azimuth * sine * cosine;
            covariance[(AXIS_EAST, FIRST_ZERO)] = azimuth * sine * cosine;
        }
        Self {
            mean: Vector7::zeros(),
            covariance,
            mechanical: Angle::from_arcmin(1.0),
            play: [Angle::ZERO; 2],
            ageing_per_root_hour: Angle::from_arcmin(AGEING),
        }
    }

    /// A mid-range mount set up by its usual owner, whose gears add 1′ (play that is not always taken up included).
    pub fn usual(kind: Kind, latitude: Angle) -> Self {
        Self::from_spread(kind, latitude, &Spread::usual(kind))
    }

    /// Independent terms with these standard deviations, in the order of the terms, and nothing but centring errors.
    pub fn independent(sigmas: [Angle; 7]) -> Self {
        let variances = sigmas.map(|sigma| {
            let kept = sigma.radians().abs().max(SMALLEST);
            kept * kept
        });
        Self {
            mean: Vector7::zeros(),
            covariance: Matrix7::from_diagonal(&Vector7::from(variances)),
            mechanical: Angle::ZERO,
            play: [Angle::ZERO; 2],
            ageing_per_root_hour: Angle::ZERO,
        }
    }

    /// Nothing is known: every term may be anything up to radians.
    pub fn open() -> Self {
        Self::independent([Angle::from_radians(3.0); 7])
    }

    /// The variance of a sighting per direction: its centring, what the gears add, its age, and the play where the
    /// approach was another than that of the reference.
    pub(crate) fn variance(&self, sighting: &Sighting, reference: &Reference) -> f64 {
        let square = |angle: Angle| angle.radians() * angle.radians();
        let age = reference.newest.since(sighting.at).abs().hours();
        let play: f64 = (0..2)
            .map(|axis| match (sighting.approach[axis], reference.senses[axis]) {
                (Sense::Unknown, _) | (_, Sense::Unknown) => square(self.play[axis] / 2.0),
                (seen, usual) if seen == usual => 0.0,
                _ => square(self.play[axis]),
            })
            .sum();
        square(sighting.sigma) + square(self.mechanical) + square(self.ageing_per_root_hour) * age + play
    }
}

/// What ages and approaches are counted from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Reference {
    /// The instant of the newest sighting.
    pub newest: Instant,
    /// The sense in which most sightings were approached, per axis.
    pub senses: [Sense; 2],
}

impl Reference {
    /// Of these sightings. Where as many came from either side, the sense of growing dials counts.
    pub fn of(sightings: &[Sighting]) -> Self {
        let newest = sightings.iter().map(|sighting| sighting.at).max().unwrap_or(Instant::J2000_TAI);
        let sense = |axis: usize| {
            let count = |sense| sightings.iter().filter(|one| one.approach[axis] == sense).count();
            match (count(Sense::Increasing), count(Sense::Decreasing)) {
                (0, 0) => Sense::Unknown,
                (growing, falling) if growing >= falling => Sense::Increasing,
                _ => Sense::Decreasing,
            }
        };
        Self { newest, senses: [sense(0), sense(1)] }
    }

    /// The same approaches, seen from the instant of a new sighting.
    pub fn at(self, newest: Instant) -> Self {
        Self { newest, ..self }
    }
}
