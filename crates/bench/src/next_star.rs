//! The next star for a mount that is not played: what each star would buy its owner, by what is expected of such a mount.

use crate::prepare::{Prepared, spread};
use alignment::{
    Choice, Criterion, FitError, Method, Model, Sense, Sighting, fit, next_stars, visible_stars,
};
use controller::{Belief, LOWEST_TARGET, effort, proposal_rules};
use kinematics::{AxisAngles, frames};
use nalgebra::Vector3;
use std::sync::Arc;
use units::{Angle, Instant, Span};

/// Stars ranked by what they buy.
#[derive(Clone, Debug, PartialEq)]
pub struct StarAdvice {
    /// The instant, by the mount's clock.
    pub at: Instant,
    /// The stars that count as sighted.
    pub given: Vec<String>,
    /// The expected miss over the sky as things are: root mean square.
    pub rms: Angle,
    /// The expected miss at the worst place.
    pub worst: Angle,
    /// The ranking, the best first.
    pub rows: Vec<StarRow>,
    /// Where in it the star of the rule of thumb stands: bright, on the other side.
    pub by_thumb: Option<usize>,
}

/// What one star would buy.
#[derive(Clone, Debug, PartialEq)]
pub struct StarRow {
    /// Its name.
    pub star: String,
    /// Its magnitude.
    pub magnitude: f64,
    /// From north through east.
    pub azimuth: Angle,
    /// Above the horizon.
    pub altitude: Angle,
    /// `direct` or `through-pole`.
    pub solution: &'static str,
    /// The expected miss over the sky after it: root mean square.
    pub rms: Angle,
    /// The expected miss at the worst place after it.
    pub worst: Angle,
    /// How far the axis turns that has farther to go.
    pub slew: Angle,
    /// Whether the tube has to change sides.
    pub turns_over: bool,
    /// For slew, finding and centring.
    pub minutes: f64,
}

/// Why there is no advice.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AdviceError {
    /// A name that the catalogue doesn't have.
    #[error("{0}")]
    Unknown(String),
    /// The same star given twice.
    #[error("`{0}` is given twice: a second sighting of it tells nothing new; give each star once")]
    Twice(String),
    /// A given star that the catalogue's stars for alignment don't have above the horizon.
    #[error("`{0}` is no alignment star above the horizon then; {1}")]
    NotUp(String, String),
    /// The given stars make no model.
    #[error(transparent)]
    Unfit(FitError),
    /// Nothing can be sighted.
    #[error(
        "no star is bright, well placed and far enough from the others then; choose another time, or a lower skyline"
    )]
    NoStar,
}

/// The faintest star that somebody may say they have sighted.
const FAINTEST_GIVEN: f64 = 4.5;

impl Prepared {
    /// Ranks the stars that stand well `later` than the night's begin, for a mount whose alignment has these stars already.
    ///
    /// The mount and its owner are taken as the file's grade and care describe them, not as this night's draws came out: that
    /// is what anybody can know beforehand. The given stars count as sighted where the mount believes them to be, at that
    /// instant, each as well centred as this person does it.
    ///
    /// # Errors
    /// [`AdviceError`], each with what to do.
    pub fn next_stars(
        &self,
        given: &[String],
        later: Span,
        criterion: Criterion,
    ) -> Result<StarAdvice, AdviceError> {
        let settings = &self.world_spec().settings;
        let belief = Belief::new(settings, Arc::clone(&self.world_spec().geocentre));
        let latitude = settings.site.latitude();
        let priors = spread::priors(&self.plan, latitude);
        let person = &self.evening.person;
        let centring =
            (self.glasses.first_field * person.eyepiece_centring.fraction()).max(Angle::from_arcsec(1.0));
        let at = belief.instant(later);
        let rules = proposal_rules(settings, &belief, later);
        let known = visible_stars(belief.station(), belief.geocentre(), at, FAINTEST_GIVEN);
        let start = Model::believed(settings.kind, latitude, &priors);
        let sighted: Vec<Sighting> =
            given.iter().map(|name| sighted(name, &known, &start, at, centring)).collect::<Result<_, _>>()?;
        if let Some(twice) =
            (1..sighted.len()).find(|&k| sighted[..k].iter().any(|one| one.name == sighted[k].name))
        {
            return Err(AdviceError::Twice(sighted[twice].name.clone()));
        }
        let method = if sighted.is_empty() { Method::None } else { Method::ManyStar };
        let model = fit(method, settings.kind, latitude, &priors, &sighted).map_err(AdviceError::Unfit)?;
        let taken: Vec<Vector3<f64>> = sighted.iter().map(|sighting| sighting.direction).collect();
        let choice = Choice {
            stars: &known,
            rules: &rules,
            taken: &taken,
            centring,
            effort: effort(settings, sighted.last().map_or(settings.home, |sighting| sighting.dials)),
            lowest_target: LOWEST_TARGET,
            criterion,
        };
        let found = next_stars(&model, &choice);
        if found.ranking.candidates.is_empty() {
            return Err(AdviceError::NoStar);
        }
        let rows = found.ranking.candidates.iter().map(|one| {
            let star = &known[one.index];
            let (azimuth, altitude) = frames::horizontal(&star.direction);
            StarRow {
                star: star.name.clone(),
                magnitude: star.magnitude,
                azimuth,
                altitude,
                solution: if one.aim.branch.sign() > 0.0 { "direct" } else { "through-pole" },
                rms: one.rms,
                worst: one.worst,
                slew: one.slew,
                turns_over: one.turns_over,
                minutes: one.minutes,
            }
        });
        Ok(StarAdvice {
            at,
            given: sighted.iter().map(|sighting| sighting.name.clone()).collect(),
            rms: found.ranking.rms,
            worst: found.ranking.worst,
            rows: rows.collect(),
            by_thumb: found.by_thumb,
        })
    }
}

/// A star as if it had been sighted where the mount expected it.
fn sighted(
    name: &str,
    known: &[alignment::Candidate],
    start: &Model,
    at: Instant,
    centring: Angle,
) -> Result<Sighting, AdviceError> {
    let not_up = |mend: &str| AdviceError::NotUp(name.to_owned(), mend.to_owned());
    let entry = sky::catalogue::Catalogue::embedded()
        .find(name)
        .map_err(|error| AdviceError::Unknown(error.to_string()))?;
    let star = known
        .iter()
        .find(|star| star.name == entry.name)
        .ok_or_else(|| not_up("name a star down to magnitude 4.5 that is up"))?;
    let aim = alignment::usual_aim(start.kind(), start.latitude(), star.direction);
    let dials: AxisAngles =
        start.dials_for(&star.direction, aim.branch).map_err(|error| not_up(&error.to_string()))?;
    Ok(Sighting {
        at,
        direction: star.direction,
        dials,
        branch: aim.branch,
        approach: [Sense::Unknown; 2],
        sigma: centring,
        power_on: 0,
        name: star.name.clone(),
    })
}
