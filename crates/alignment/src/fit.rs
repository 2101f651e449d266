//! From sightings to a model, by the method that was asked for; or a reason why not.

use crate::checks;
use crate::error::FitError;
use crate::model::{Model, Residual, celestial_pole};
use crate::parameters::{AXIS_EAST, AXIS_UP, FIRST_ZERO, Frame, Matrix7, SECOND_ZERO, TERMS, Vector7};
use crate::priors::{Priors, Reference};
use crate::rotation::{self, Pair};
use crate::rows::Prepared;
use crate::sighting::Sighting;
use crate::solve::{self, Datum, Problem, Solution};
use kinematics::{Kind, frames};
use nalgebra::Matrix3;
use units::Angle;

/// How an alignment is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// Trust home, level, compass and clock.
    None,
    /// The zero offsets of both axes from one star.
    OneStar,
    /// A rotation of the whole mount from two stars or more, by a closed form; every other term stays nought.
    TwoStar,
    /// All terms, from any number of stars, weighed against what is expected of such a mount.
    ManyStar,
}

impl Method {
    /// How many sightings it needs at least.
    pub const fn needs(self) -> usize {
        match self {
            Self::None => 0,
            Self::OneStar | Self::ManyStar => 1,
            Self::TwoStar => 2,
        }
    }

    /// Which terms it determines; the others keep what the priors expect (a rotation: nought).
    pub(crate) fn holds(self, term: usize) -> bool {
        match self {
            Self::None => false,
            Self::OneStar => matches!(term, FIRST_ZERO | SECOND_ZERO),
            Self::TwoStar => matches!(term, FIRST_ZERO | AXIS_EAST | AXIS_UP),
            Self::ManyStar => true,
        }
    }
}

/// Makes a model of the mount from sightings.
///
/// One star: the newest sighting counts, on top of the terms that the priors expect. Two stars: all sightings given count.
///
/// # Errors
/// Every [`FitError`]: too few sightings, unusable numbers, stars below the horizon, from before a power-off, too near or
/// opposite to each other, sightings that contradict each other (with the culprit's name where there is one).
pub fn fit(
    method: Method,
    kind: Kind,
    latitude: Angle,
    priors: &Priors,
    sightings: &[Sighting],
) -> Result<Model, FitError> {
    checks::settings(latitude, priors)?;
    if method == Method::None {
        return Ok(Model::believed(kind, latitude, priors));
    }
    checks::sightings(sightings)?;
    if sightings.len() < method.needs() {
        return Err(FitError::TooFew { needed: method.needs(), given: sightings.len() });
    }
    let frame = Frame::new(kind, latitude);
    match method {
        Method::None | Method::OneStar => one_star(frame, priors, sightings),
        Method::TwoStar => two_star(frame, priors, sightings),
        Method::ManyStar => many_star(frame, priors, sightings),
    }
}

fn one_star(frame: Frame, priors: &Priors, sightings: &[Sighting]) -> Result<Model, FitError> {
    let index = (0..sightings.len()).max_by_key(|&k| sightings[k].at).unwrap_or(0);
    let terms = zeros_from(&frame, priors, index, &sightings[index])?;
    Ok(linear_model(Method::OneStar, frame, priors, terms, &sightings[index..=index]))
}

/// The zero offsets that put one star where it was seen, the other terms as expected.
fn zeros_from(
    frame: &Frame,
    priors: &Priors,
    index: usize,
    sighting: &Sighting,
) -> Result<Vector7, FitError> {
    let at_the_pole = || FitError::AtThePole { index, name: sighting.name.clone() };
    let from_axis = frames::separation(&frame.axis(), &sighting.direction);
    // Within a degree of the pole a miss of 6′ in the eyepiece would be 6° of the first axis.
    if from_axis.min(Angle::HALF - from_axis) < Angle::from_degrees(1.0) {
        return Err(at_the_pole());
    }
    let mut terms = priors.mean;
    terms[FIRST_ZERO] = 0.0;
    terms[SECOND_ZERO] = 0.0;
    let needed =
        frame.chain(&terms).dials_for(&sighting.direction, sighting.branch).map_err(|_| at_the_pole())?;
    terms[FIRST_ZERO] = (needed.first - sighting.dials.first).wrapped_signed().radians();
    terms[SECOND_ZERO] = (needed.second - sighting.dials.second).wrapped_signed().radians();
    Ok(terms)
}

fn two_star(frame: Frame, priors: &Priors, sightings: &[Sighting]) -> Result<Model, FitError> {
    checks::separations(sightings)?;
    checks::separations_agree(&frame, priors, sightings)?;
    let rotation = rotation_of(&frame, priors, sightings).ok_or_else(|| checks::bad_separation(sightings))?;
    let terms = frame.terms_of_rotation(&rotation);
    Ok(linear_model(Method::TwoStar, frame, priors, terms, sightings))
}

/// Directions by the dials on a perfect mount, and by belief.
pub(crate) fn pairs(frame: &Frame, priors: &Priors, sightings: &[Sighting]) -> Vec<Pair> {
    let perfect = Prepared::new(frame, &Vector7::zeros());
    let reference = Reference::of(sightings);
    sightings
        .iter()
        .map(|sighting| {
            let variance = priors.variance(sighting, &reference);
            Pair {
                from: frame.nominal.transpose() * perfect.direction(sighting.dials),
                to: sighting.direction,
                sigma: Angle::from_radians(variance.sqrt()),
            }
        })
        .collect()
}

/// Weighed without the play: of two stars that were come to from either side neither is the right one, and by giving either of them
/// more weight the rotation would only lean to that side.
fn rotation_of(frame: &Frame, priors: &Priors, sightings: &[Sighting]) -> Option<Matrix3<f64>> {
    let without_play = Priors { play: [Angle::ZERO; 2], ..*priors };
    rotation::by_singular_values(&pairs(frame, &without_play, sightings))
}

/// The model of a method that solves for some of the terms only, with the covariance of its errors.
///
/// The estimate is linear in what is seen: x̂ = K (G x + e), so its error is (K G − 1) x + K e, with x drawn from the priors:
/// terms that are left out come back as errors of those that are solved for.
fn linear_model(
    method: Method,
    frame: Frame,
    priors: &Priors,
    terms: Vector7,
    sightings: &[Sighting],
) -> Model {
    let data = solve::data(sightings, priors, &celestial_pole(frame.latitude));
    let prepared = Prepared::new(&frame, &terms);
    let mut information = Matrix7::zeros();
    for datum in &data {
        let linearised = prepared.linearised(datum.dials);
        let rows = crate::rows::project(&linearised.columns, &datum.east, &datum.north);
        information += rows.transpose() * rows / datum.variance;
    }
    // Only the solved terms' rows and columns count in the inverse; unit entries keep the rest out of the way.
    let mut solved = Matrix7::identity();
    let mut seen = Matrix7::zeros();
    for i in (0..TERMS).filter(|&i| method.holds(i)) {
        for j in 0..TERMS {
            seen[(i, j)] = information[(i, j)];
            if method.holds(j) {
                solved[(i, j)] = information[(i, j)];
            }
        }
    }
    let inverse = solved.try_inverse().unwrap_or_else(Matrix7::zeros);
    let leak = inverse * seen - Matrix7::identity();
    let mut noise = inverse;
    for i in (0..TERMS).filter(|&i| !method.holds(i)) {
        noise[(i, i)] = 0.0;
    }
    let covariance = leak * priors.covariance * leak.transpose() + noise;
    let mut model = Model::assembled(method, frame, priors, terms, covariance);
    describe(&mut model, sightings, &data, None);
    model
}

/// Notes residuals and geometry of the sightings in a model.
fn describe(model: &mut Model, sightings: &[Sighting], data: &[Datum], weights: Option<&[f64]>) {
    let pole = celestial_pole(model.frame.latitude);
    model.reference = Reference::of(sightings);
    for (index, (sighting, datum)) in sightings.iter().zip(data).enumerate() {
        let boresight = model.prepared.direction(datum.dials);
        let (east, north) = frames::tangent_offset(&sighting.direction, &boresight, &pole);
        let weight = weights.map_or(1.0, |weights| weights[index]);
        model.residuals.push(Residual { name: sighting.name.clone(), east, north, weight });
        model.seen.push((sighting.direction, sighting.dials));
    }
}

fn many_star(frame: Frame, priors: &Priors, sightings: &[Sighting]) -> Result<Model, FitError> {
    let data = solve::data(sightings, priors, &celestial_pole(frame.latitude));
    let (covariance, starts) = starts(&frame, priors, sightings);
    let problem = Problem::new(&frame, priors.mean, &covariance, &data).ok_or(FitError::NotConverged)?;
    let start = starts
        .iter()
        .min_by(|a, b| problem.cost(a).total_cmp(&problem.cost(b)))
        .ok_or(FitError::NotConverged)?;
    let Some(solution) = problem.solve(start) else {
        return Err(if sightings.len() > 1 {
            FitError::Contradictory { disagreeing: sightings.len(), given: sightings.len() }
        } else {
            FitError::NotConverged
        });
    };
    contradictions(&problem, &solution, sightings)?;
    let mut model = Model::assembled(Method::ManyStar, frame, priors, solution.terms, solution.covariance);
    describe(&mut model, sightings, &data, Some(&solution.weights));
    Ok(model)
}

/// Where the iteration may start, and the covariance of the priors widened where the stars contradict it flatly.
///
/// An hour of daylight saving is fifteen degrees of first zero, thirty times the usual spread. A normal prior would drag
/// the answer; so where the first look at zeros (one star) or at the rotation (more) is beyond three standard
/// deviations, that term's spread is widened to hold it.
fn starts(frame: &Frame, priors: &Priors, sightings: &[Sighting]) -> (Matrix7, Vec<Vector7>) {
    let spread = checks::widest_separation(sightings);
    let well_apart = sightings.len() > 1 && checks::separation_is_good(spread.2);
    let rotation = if well_apart { rotation_of(frame, priors, sightings) } else { None };
    let (seen, terms) = match rotation {
        Some(rotation) => {
            let mut seen = frame.terms_of_rotation(&rotation);
            for term in (0..TERMS).filter(|&term| !Method::TwoStar.holds(term)) {
                seen[term] = priors.mean[term];
            }
            (Some(seen), [FIRST_ZERO, AXIS_EAST, AXIS_UP].as_slice())
        }
        None => {
            let last = sightings.len() - 1;
            (zeros_from(frame, priors, last, &sightings[last]).ok(), [FIRST_ZERO, SECOND_ZERO].as_slice())
        }
    };
    let mut covariance = priors.covariance;
    let mut starts = vec![priors.mean];
    if let Some(seen) = seen {
        for &term in terms {
            let off = seen[term] - priors.mean[term];
            if off * off > 9.0 * priors.covariance[(term, term)] {
                covariance[(term, term)] += off * off;
            }
        }
        starts.push(seen);
    }
    (covariance, starts)
}

/// A sighting whose d² is beyond this may contradict the others: one sound sighting in 270 000 does (e^(−25/2)).
const CONTRADICTS: f64 = 25.0;
/// From so many sightings on, one that is wrong can be told from the rest.
const CULPRIT_FROM: usize = 4;

/// Whether a sighting can't be true if the others are: improbable, and farther off than gears can be.
fn contradicts(solution: &Solution, problem: &Problem, index: usize) -> bool {
    let found = solution.disagreement(index, problem.data[index].variance);
    found.squared > CONTRADICTS && found.distance > checks::GEARS.radians()
}

/// Refuses sightings that can't all be true; names the culprit if leaving out exactly one brings all others in.
fn contradictions(problem: &Problem, solution: &Solution, sightings: &[Sighting]) -> Result<(), FitError> {
    let count = sightings.len();
    if count < 2 {
        return Ok(());
    }
    let disagreeing = (0..count).filter(|&i| contradicts(solution, problem, i)).count();
    if disagreeing == 0 {
        return Ok(());
    }
    if count >= CULPRIT_FROM {
        let mut named = (0..count).filter_map(|out| {
            let without = Problem { without: Some(out), robust: false, ..*problem };
            let solution = without.solve(&solution.terms)?;
            let others_agree = (0..count).all(|i| i == out || !contradicts(&solution, problem, i));
            (others_agree && contradicts(&solution, problem, out))
                .then(|| (out, solution.residuals[out].norm()))
        });
        if let (Some((index, distance)), None) = (named.next(), named.next()) {
            let name = sightings[index].name.clone();
            return Err(FitError::Culprit { index, name, distance: Angle::from_radians(distance) });
        }
    }
    Err(FitError::Contradictory { disagreeing, given: count })
}
