//! Which star to sight next, by what it buys, beside what a rule of thumb would take.

use crate::map::{Criterion, Effort, Ranking, rank, sky_map};
use crate::model::Model;
use crate::stars::{Aim, Candidate, ProposalRules};
use kinematics::{Kind, frames};
use nalgebra::Vector3;
use units::Angle;

/// How many places of the sky the expected misses are averaged over.
const MAP_PLACES: usize = 500;

/// What the next star is chosen from, and for.
#[derive(Clone, Copy, Debug)]
pub struct Choice<'a> {
    /// Stars that may be sighted.
    pub stars: &'a [Candidate],
    /// What each of them must keep to.
    pub rules: &'a ProposalRules,
    /// The directions sighted already, the newest last.
    pub taken: &'a [Vector3<f64>],
    /// How well a star is centred: one standard deviation in each direction.
    pub centring: Angle,
    /// What a sighting costs.
    pub effort: Effort,
    /// The lowest altitude at which there are targets: the map begins there.
    pub lowest_target: Angle,
    /// By what is chosen.
    pub criterion: Criterion,
}

/// Stars ranked by what they buy.
#[derive(Clone, Debug, PartialEq)]
pub struct NextStars {
    /// The ranking; `index` counts in [`Choice::stars`].
    pub ranking: Ranking,
    /// Where the rule of thumb's star stands in the ranking: the brightest on the other side of the pier than the star
    /// before (on a mount that never turns over, a quarter turn of azimuth away or more); the brightest of all if there was none
    /// before, or if none stands there.
    pub by_thumb: Option<usize>,
}

/// Ranks all stars that keep to the rules.
pub fn next_stars(model: &Model, choice: &Choice<'_>) -> NextStars {
    let (kind, latitude) = (model.kind(), model.latitude());
    let map = sky_map(kind, latitude, choice.lowest_target, MAP_PLACES);
    let fit: Vec<(usize, Aim)> = choice
        .stars
        .iter()
        .enumerate()
        .filter_map(|(index, star)| {
            Some((index, choice.rules.judge(kind, latitude, star, choice.taken).ok()?))
        })
        .collect();
    let aims: Vec<Aim> = fit.iter().map(|(_, aim)| *aim).collect();
    let mut ranking = rank(model, &map, &aims, choice.centring, &choice.effort, choice.criterion);
    for one in &mut ranking.candidates {
        one.index = fit[one.index].0;
    }
    let by_thumb = by_thumb(model, choice, &ranking);
    NextStars { ranking, by_thumb }
}

fn by_thumb(model: &Model, choice: &Choice<'_>, ranking: &Ranking) -> Option<usize> {
    let brightest = |far: &dyn Fn(&Aim) -> bool| {
        let magnitude = |place: &usize| choice.stars[ranking.candidates[*place].index].magnitude;
        (0..ranking.candidates.len())
            .filter(|place| far(&ranking.candidates[*place].aim))
            .min_by(|a, b| magnitude(a).total_cmp(&magnitude(b)))
    };
    let Some(last) = choice.taken.last() else { return brightest(&|_| true) };
    let side = crate::stars::usual_aim(model.kind(), model.latitude(), *last).branch;
    let azimuth = frames::horizontal(last).0;
    let far = |aim: &Aim| {
        if model.kind() == Kind::GermanEquatorial {
            return aim.branch != side;
        }
        let apart = frames::horizontal(&aim.direction).0 - azimuth;
        apart.wrapped_signed().abs() >= Angle::QUARTER
    };
    brightest(&far).or_else(|| brightest(&|_| true))
}
