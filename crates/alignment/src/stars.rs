//! Which stars serve, and a first rule of thumb for which to take.

use kinematics::{Branch, Kind, frames, usual_branch};
use nalgebra::Vector3;
use sky::catalogue::Catalogue;
use sky::{Geocentre, Station};
use std::sync::Arc;
use units::{Angle, Instant};

/// A star that may be sighted, as the machine believes it to stand at one instant.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Its name in the catalogue.
    pub name: String,
    /// Where it stands: a unit vector (east, north, up), refraction included.
    pub direction: Vector3<f64>,
    /// Its magnitude.
    pub magnitude: f64,
}

/// Where the tube may be sent, and by which solution: a place on a map of the sky, or a star's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aim {
    /// A unit vector (east, north, up).
    pub direction: Vector3<f64>,
    /// By which solution.
    pub branch: Branch,
}

/// All catalogue stars down to a magnitude that stand above the horizon and whose table place can be trusted.
///
/// Site and clock of `station` and `instant` are the machine's own.
pub fn visible_stars(
    station: &Station,
    geocentre: &Arc<Geocentre>,
    instant: Instant,
    faintest: f64,
) -> Vec<Candidate> {
    Catalogue::embedded()
        .stars_to(faintest)
        .filter(|entry| entry.alignment_fit)
        .filter_map(|entry| {
            let place = geocentre.track(&entry.source).cirs(instant);
            let direction = station.observe(&place, instant).refracted;
            let magnitude = entry.magnitude?;
            (direction.z > 0.0).then_some(Candidate { name: entry.name.clone(), direction, magnitude })
        })
        .collect()
}

/// What a star must keep to before it is proposed.
#[derive(Clone, Debug, PartialEq)]
pub struct ProposalRules {
    /// No fainter than this: it must be told from its neighbours in a finder.
    pub faintest: f64,
    /// No lower than this: refraction, trees, haze.
    pub lowest: Angle,
    /// No higher than this: awkward to look through, and an alt-azimuth mount can't follow at the zenith.
    pub highest: Angle,
    /// No nearer than this to the pole of the first axis.
    pub from_pole: Angle,
    /// No nearer than this to a star that was sighted already, nor to the point opposite to it.
    pub from_others: Angle,
    /// Places to keep away from, such as the Sun and the Moon, and how far.
    pub avoid: Vec<(Vector3<f64>, Angle)>,
    /// Only by this solution, if one is asked for.
    pub side: Option<Branch>,
}

impl Default for ProposalRules {
    fn default() -> Self {
        Self {
            faintest: 2.5,
            lowest: Angle::from_degrees(20.0),
            highest: Angle::from_degrees(75.0),
            from_pole: Angle::from_degrees(10.0),
            from_others: Angle::from_degrees(15.0),
            avoid: Vec::new(),
            side: None,
        }
    }
}

/// Why a star isn't proposed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// Fainter than asked for.
    TooFaint,
    /// Below the lowest altitude.
    TooLow,
    /// Above the highest altitude.
    TooHigh,
    /// Near the pole of the first axis.
    NearThePole,
    /// Near the Sun, the Moon or another place to avoid.
    NearAvoided,
    /// Near a star sighted already, or opposite to it.
    NearAnother,
    /// Reached by the other solution.
    OtherSide,
}

/// The solution by which a mount of this kind usually reaches a direction.
pub fn usual_aim(kind: Kind, latitude: Angle, direction: Vector3<f64>) -> Aim {
    let branch = if kind == Kind::GermanEquatorial {
        let equatorial = frames::equatorial_to_topocentric(latitude).transpose() * direction;
        usual_branch(frames::hour_and_declination(&equatorial).0)
    } else {
        Branch::Direct
    };
    Aim { direction, branch }
}

impl ProposalRules {
    /// Whether a star keeps to the rules; `taken` are the directions sighted already.
    ///
    /// # Errors
    /// The first rule that it breaks.
    pub fn judge(
        &self,
        kind: Kind,
        latitude: Angle,
        candidate: &Candidate,
        taken: &[Vector3<f64>],
    ) -> Result<Aim, Unfit> {
        let direction = candidate.direction;
        let altitude = frames::horizontal(&direction).1;
        if candidate.magnitude > self.faintest {
            return Err(Unfit::TooFaint);
        }
        if altitude < self.lowest {
            return Err(Unfit::TooLow);
        }
        if altitude > self.highest {
            return Err(Unfit::TooHigh);
        }
        let axis =
            if kind == Kind::AltAzimuth { Vector3::z() } else { crate::model::celestial_pole(latitude) };
        let from_axis = frames::separation(&axis, &direction);
        if from_axis.min(Angle::HALF - from_axis) < self.from_pole {
            return Err(Unfit::NearThePole);
        }
        if self.avoid.iter().any(|(place, least)| frames::separation(place, &direction) < *least) {
            return Err(Unfit::NearAvoided);
        }
        let near = |other: &Vector3<f64>| {
            let separation = frames::separation(other, &direction);
            separation.min(Angle::HALF - separation) < self.from_others
        };
        if taken.iter().any(near) {
            return Err(Unfit::NearAnother);
        }
        let aim = usual_aim(kind, latitude, direction);
        if self.side.is_some_and(|side| side != aim.branch) {
            return Err(Unfit::OtherSide);
        }
        Ok(aim)
    }
}

/// A star that keeps to the rules, and how it is to be reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Proposal {
    /// Its place in the list of candidates.
    pub index: usize,
    /// Where and by which solution.
    pub aim: Aim,
    /// Smaller is better, in magnitudes.
    pub score: f64,
}

/// Stars by a rule of thumb, the best first: bright, about half-way up, and about a quarter turn from what was sighted.
///
/// A magnitude weighs as much as 15° of altitude away from 45°, or 30° of separation away from 90° (our own choice). For
/// what a star really buys, see [`crate::rank`].
pub fn propose(
    kind: Kind,
    latitude: Angle,
    rules: &ProposalRules,
    candidates: &[Candidate],
    taken: &[Vector3<f64>],
) -> Vec<Proposal> {
    let mut proposals: Vec<Proposal> = candidates
        .iter()
        .enumerate()
        .filter_map(|(index, candidate)| {
            let aim = rules.judge(kind, latitude, candidate, taken).ok()?;
            let altitude = frames::horizontal(&aim.direction).1.degrees();
            let mut score = candidate.magnitude + (altitude - 45.0).abs() / 15.0;
            let nearest = taken
                .iter()
                .map(|other| (frames::separation(other, &aim.direction).degrees() - 90.0).abs())
                .fold(0.0, f64::max);
            score += nearest / 30.0;
            Some(Proposal { index, aim, score })
        })
        .collect();
    proposals.sort_by(|a, b| {
        a.score.total_cmp(&b.score).then_with(|| candidates[a.index].name.cmp(&candidates[b.index].name))
    });
    proposals
}
