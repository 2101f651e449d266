//! Stars ranked by what sighting each of them would buy.

use crate::align::side_of;
use crate::motors::Motors;
use crate::propose::proposal_rules;
use crate::sync::CENTRING;
use crate::{Controller, Settings};
use alignment::{Choice, Criterion, Effort, next_stars, visible_stars};
use kinematics::{AxisAngles, frames};
use protocol::{Fields, RankEntry, RankedBy, Refusal, RefusalKind};
use units::{Angle, Span};

/// What finding and centring a star takes (common practice, no source: with its slew a practised person needs one to two
/// minutes).
const MINUTES_PER_STAR: f64 = 1.5;

/// Targets are looked at from this altitude on.
pub const LOWEST_TARGET: Angle = Angle::from_degrees(15.0);

/// What a sighting costs a mount with such settings whose axes stand at `from`: the axis that slews slower sets the pace.
pub fn effort(settings: &Settings, from: AxisAngles) -> Effort {
    let slowest = settings.limits[0].rate.min(settings.limits[1].rate);
    Effort { from, degrees_per_second: slowest.degrees(), minutes_per_star: MINUTES_PER_STAR }
}

impl Controller {
    pub(crate) fn next_star(
        &self,
        entry: RankEntry,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        let belief = &self.belief;
        let rules = proposal_rules(&self.settings, belief, now);
        let stars = visible_stars(belief.station(), belief.geocentre(), belief.instant(now), rules.faintest);
        let taken: Vec<_> = self.alignment.sightings.iter().map(|sighting| sighting.direction).collect();
        let choice = Choice {
            stars: &stars,
            rules: &rules,
            taken: &taken,
            centring: CENTRING,
            effort: effort(&self.settings, self.counted(now, motors)),
            lowest_target: LOWEST_TARGET,
            criterion: match entry.by {
                RankedBy::Average => Criterion::Average,
                RankedBy::Worst => Criterion::Worst,
            },
        };
        let found = next_stars(belief.model(), &choice);
        let ranking = &found.ranking;
        let count = ranking.candidates.len();
        let place = usize::try_from(entry.entry - 1).unwrap_or(usize::MAX);
        let (Some(usual), false) = (found.by_thumb, ranking.candidates.is_empty()) else {
            let sentence = "no star is bright, well placed and far enough from the others now";
            return Err(Refusal::new(RefusalKind::NoStar, sentence));
        };
        let Some(one) = ranking.candidates.get(place) else {
            let sentence = format!("there is no place {} in the ranking; it has {count} stars", entry.entry);
            return Err(Refusal::new(RefusalKind::OutOfRange, sentence));
        };
        let usual = &ranking.candidates[usual];
        let (azimuth, altitude) = frames::horizontal(&one.aim.direction);
        Ok(Fields::new()
            .text("star", &stars[one.index].name)
            .degrees("azimuth", azimuth)
            .degrees("altitude", altitude)
            .text("solution", side_of(one.aim.branch).word())
            .arcmin("before", ranking.rms)
            .arcmin("after", one.rms)
            .arcmin("worst_before", ranking.worst)
            .arcmin("worst_after", one.worst)
            .number("minutes", one.minutes, 1, "min")
            .number("slew", one.slew.degrees(), 1, "deg")
            .text("turns_over", if one.turns_over { "yes" } else { "no" })
            .count("count", count as u64)
            .text("usual", &stars[usual.index].name)
            .arcmin("usual_after", usual.rms))
    }
}
