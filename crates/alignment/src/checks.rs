//! What is looked at before any fit: numbers, horizon, power-offs, separations.

use crate::error::FitError;
use crate::fit::pairs;
use crate::parameters::{Frame, Vector7};
use crate::priors::Priors;
use crate::rotation::{Pair, SeparationCheck, separation_check};
use crate::rows::Prepared;
use crate::sighting::Sighting;
use kinematics::{Kind, frames};
use nalgebra::RowVector3;
use units::Angle;

/// Nearer than this two stars leave the rotation about their middle 5.4 times worse than their centring.
pub const LEAST_SEPARATION: Angle = Angle::from_degrees(15.0);
/// Farther than this the same happens about the other axis.
pub const GREATEST_SEPARATION: Angle = Angle::from_degrees(165.0);
/// Separations that disagree by more than this can't be centring and the mount's own errors: 0.1 % of one degree of
/// freedom is 3.29 standard deviations, the rest is for tails that are not quite normal.
const SEPARATION_SIGMAS: f64 = 4.0;

/// What is nearer than this may be play or a rough tooth of a worn mount: it counts less, but it is no other star (our
/// own estimate: the largest play of our grades is 8′).
pub const GEARS: Angle = Angle::from_arcmin(10.0);

/// How far apart two sighted stars stand by the dials of an errorless mount and by belief: the one check that two stars allow.
pub fn separation_between(
    kind: Kind,
    latitude: Angle,
    first: &Sighting,
    second: &Sighting,
) -> SeparationCheck {
    let perfect = Prepared::new(&Frame::new(kind, latitude), &Vector7::zeros());
    let pair = |sighting: &Sighting| Pair {
        from: perfect.direction(sighting.dials),
        to: sighting.direction,
        sigma: sighting.sigma,
    };
    separation_check(&pair(first), &pair(second))
}

/// Whether two stars so far apart determine a rotation well.
pub fn separation_is_good(separation: Angle) -> bool {
    (LEAST_SEPARATION..=GREATEST_SEPARATION).contains(&separation)
}

/// Refuses settings that no model can be made of.
pub fn settings(latitude: Angle, priors: &Priors) -> Result<(), FitError> {
    if !latitude.is_finite() || latitude.abs() > Angle::QUARTER {
        return Err(FitError::BadSetting { what: "the latitude is not between -90 and 90 deg" });
    }
    let finite = priors.mean.iter().chain(priors.covariance.iter()).all(|value| value.is_finite());
    let added = [priors.mechanical, priors.ageing_per_root_hour, priors.play[0], priors.play[1]];
    if !finite || added.iter().any(|angle| !angle.is_finite()) {
        return Err(FitError::BadSetting { what: "an expected term or its spread is not a number" });
    }
    if priors.covariance.cholesky().is_none() {
        return Err(FitError::BadSetting { what: "the spread of the expected terms is not a covariance" });
    }
    Ok(())
}

/// Refuses sightings with unusable numbers, below the horizon, or from before a power-off.
pub fn sightings(sightings: &[Sighting]) -> Result<(), FitError> {
    let now = sightings.iter().map(|sighting| sighting.power_on).max();
    for (index, sighting) in sightings.iter().enumerate() {
        let name = || sighting.name.clone();
        if let Some(what) = unusable(sighting) {
            return Err(FitError::NotFinite { index, name: name(), what });
        }
        if sighting.direction.z < 0.0 {
            let altitude = frames::horizontal(&sighting.direction).1;
            return Err(FitError::BelowHorizon { index, name: name(), altitude });
        }
        if Some(sighting.power_on) != now {
            return Err(FitError::FromBeforePowerOff { index, name: name() });
        }
    }
    Ok(())
}

/// Which part of a sighting is unusable, if any.
pub fn unusable(sighting: &Sighting) -> Option<&'static str> {
    // A millionth: rounding through text and rotations, far below anything that matters.
    let off = (sighting.direction.norm() - 1.0).abs();
    if off.is_nan() || off > 1e-6 {
        return Some("the star's direction");
    }
    if !sighting.dials.first.is_finite() || !sighting.dials.second.is_finite() {
        return Some("a dial");
    }
    if !(sighting.sigma > Angle::ZERO && sighting.sigma < Angle::QUARTER) {
        return Some("the centring uncertainty");
    }
    None
}

/// The two sightings whose separation is nearest to a quarter turn, and that separation.
pub fn widest_separation(sightings: &[Sighting]) -> (usize, usize, Angle) {
    let mut best = (0, 0, Angle::ZERO);
    for i in 0..sightings.len() {
        for j in 0..i {
            let separation = frames::separation(&sightings[j].direction, &sightings[i].direction);
            if separation.sin() > best.2.sin() || best.0 == best.1 {
                best = (j, i, separation);
            }
        }
    }
    best
}

/// The complaint about stars that don't determine a rotation.
pub fn bad_separation(sightings: &[Sighting]) -> FitError {
    let (first, second, separation) = widest_separation(sightings);
    let (first, second) = (sightings[first].name.clone(), sightings[second].name.clone());
    FitError::BadSeparation { first, second, separation }
}

/// Refuses stars of which no two stand well apart.
pub fn separations(sightings: &[Sighting]) -> Result<(), FitError> {
    let (first, second, separation) = widest_separation(sightings);
    if separation_is_good(separation) {
        return Ok(());
    }
    let same_name = sightings[first].name == sightings[second].name;
    if separation < LEAST_SEPARATION && (same_name || separation < Angle::from_arcmin(1.0)) {
        return Err(FitError::SameStar { name: sightings[first].name.clone() });
    }
    Err(bad_separation(sightings))
}

/// Refuses stars that stand otherwise apart by the dials than by belief; with three or more names the one that all
/// disagreements have in common.
pub fn separations_agree(frame: &Frame, priors: &Priors, sightings: &[Sighting]) -> Result<(), FitError> {
    let pairs = pairs(frame, priors, sightings);
    let mut wrong = Vec::new();
    for i in 0..pairs.len() {
        for j in 0..i {
            let in_sigmas = separation_in_sigmas(frame, priors, sightings, &pairs, j, i);
            let check = separation_check(&pairs[j], &pairs[i]);
            let off = (check.by_dials - check.by_belief).abs();
            if in_sigmas.abs() > SEPARATION_SIGMAS && off > GEARS {
                wrong.push((j, i, in_sigmas));
            }
        }
    }
    let Some(&(first, second, in_sigmas)) = wrong.iter().max_by(|a, b| a.2.abs().total_cmp(&b.2.abs()))
    else {
        return Ok(());
    };
    let count = sightings.len();
    if count >= 3 && wrong.len() >= 2 {
        let mut common = (0..count).filter(|&k| wrong.iter().all(|&(i, j, _)| i == k || j == k));
        if let (Some(index), None) = (common.next(), common.next()) {
            let distance = (0..count)
                .filter(|&k| k != index)
                .map(|k| separation_check(&pairs[k], &pairs[index]))
                .map(|check| (check.by_dials - check.by_belief).abs())
                .fold(Angle::ZERO, Angle::max);
            return Err(FitError::Culprit { index, name: sightings[index].name.clone(), distance });
        }
        return Err(FitError::Contradictory { disagreeing: wrong.len().min(count), given: count });
    }
    let check = separation_check(&pairs[first], &pairs[second]);
    Err(FitError::SeparationDisagrees {
        first: sightings[first].name.clone(),
        second: sightings[second].name.clone(),
        by_dials: check.by_dials,
        by_belief: check.by_belief,
        in_sigmas,
    })
}

/// How far two separations disagree, in standard deviations of what centring and the expected terms allow.
fn separation_in_sigmas(
    frame: &Frame,
    priors: &Priors,
    sightings: &[Sighting],
    pairs: &[Pair],
    first: usize,
    second: usize,
) -> f64 {
    let prepared = Prepared::new(frame, &Vector7::zeros());
    let a = prepared.linearised(sightings[first].dials);
    let b = prepared.linearised(sightings[second].dials);
    let check = separation_check(&pairs[first], &pairs[second]);
    let sine = check.by_dials.sin();
    // d(separation) = −d(a·b)/sin; where a and b coincide it has no direction, and centring alone must do.
    let slope = if sine > 1e-6 {
        let toward = |v: &nalgebra::Vector3<f64>| RowVector3::new(v.x, v.y, v.z) / -sine;
        toward(&b.direction) * a.columns + toward(&a.direction) * b.columns
    } else {
        nalgebra::RowSVector::zeros()
    };
    let centring = pairs[first].sigma.radians() * pairs[first].sigma.radians()
        + pairs[second].sigma.radians() * pairs[second].sigma.radians();
    let variance = (slope * priors.covariance * slope.transpose())[(0, 0)] + centring;
    (check.by_dials - check.by_belief).radians() / variance.sqrt()
}
