//! Proposals: a star for the next sighting, a body while no star shows, a star for the polar axis.

use crate::align::side_of;
use crate::{Belief, Controller, Settings};
use alignment::polar::bolt_share;
use alignment::{Candidate, Proposal, ProposalRules, propose, visible_stars};
use kinematics::frames;
use nalgebra::Vector3;
use protocol::{AlignMethod, Fields, Purpose, Refusal, RefusalKind};
use sky::events::magnitude;
use sky::{Body, Source};
use units::{Angle, Span};

/// Keep this far from the Moon: its light hides a star in the finder.
const FROM_MOON: Angle = Angle::from_degrees(5.0);

/// Moon and planets are proposed from this altitude on; stars only from where the usual rules have their lowest.
const LOWEST_BODY: Angle = Angle::from_degrees(10.0);

/// Those that show in twilight.
const BODIES: [Body; 6] = [Body::Moon, Body::Venus, Body::Jupiter, Body::Mars, Body::Saturn, Body::Mercury];

/// A star serves the polar axis if it shows at least this share of what the best place would.
const LEAST_USE: f64 = 0.5;

/// How much of the polar error a star's place shows, from 0 to 1. Bolts: how fully they act. Drift: an axis too far east lets a
/// star drift by cos H, one too high by sin H (see [`alignment::drift`]); near the equator the field turns least.
fn usefulness(purpose: Purpose, latitude: Angle, direction: &Vector3<f64>) -> f64 {
    let (hour, declination) = hour_and_declination(latitude, direction);
    match purpose {
        Purpose::Sighting => 1.0,
        Purpose::Bolts => bolt_share(direction),
        Purpose::MeridianDrift => hour.cos() * declination.cos(),
        Purpose::SideDrift => hour.sin().abs() * declination.cos(),
    }
}

fn hour_and_declination(latitude: Angle, direction: &Vector3<f64>) -> (Angle, Angle) {
    let equatorial = frames::equatorial_to_topocentric(latitude).transpose() * direction;
    frames::hour_and_declination(&equatorial)
}

/// The altitude that clears the skyline all round, or `least` if that is higher.
fn above_skyline(settings: &Settings, least: Angle) -> Angle {
    settings.horizon.corners().iter().map(|corner| corner.1).fold(least, Angle::max)
}

/// The usual rules for stars to sight after `now` of the computer's time: above the skyline, away from Sun and Moon.
pub fn proposal_rules(settings: &Settings, belief: &Belief, now: Span) -> ProposalRules {
    let usual = ProposalRules::default();
    ProposalRules {
        lowest: above_skyline(settings, usual.lowest),
        avoid: vec![(belief.sun(now), settings.sun_radius), (belief.moon(now), FROM_MOON)],
        ..usual
    }
}

impl Controller {
    /// Proposes a star, or a body while no star shows.
    pub(crate) fn propose(&mut self, next: bool, purpose: Purpose, now: Span) -> Result<Fields, Refusal> {
        if purpose != Purpose::Sighting && !self.settings.kind.is_equatorial() {
            let sentence = "an alt-azimuth mount has no polar axis to adjust";
            return Err(Refusal::new(RefusalKind::WrongKind, sentence));
        }
        let belief = &self.belief;
        let declined = |name: &String| {
            self.alignment.declined.contains(name) || next && self.alignment.proposed.as_ref() == Some(name)
        };
        let bodies =
            self.alignment.method() == AlignMethod::MoonOrPlanet && self.alignment.sightings.is_empty();
        let (rules, candidates) = if bodies && purpose == Purpose::Sighting {
            (self.rules_for_bodies(now), self.bodies(now))
        } else {
            let rules = proposal_rules(&self.settings, belief, now);
            let instant = belief.instant(now);
            let stars = visible_stars(belief.station(), belief.geocentre(), instant, rules.faintest);
            (rules, stars)
        };
        let latitude = belief.station().site().latitude();
        let taken: Vec<_> = match purpose {
            Purpose::Sighting => self.alignment.sightings.iter().map(|one| one.direction).collect(),
            _ => Vec::new(),
        };
        let proposals = propose(self.settings.kind, latitude, &rules, &candidates, &taken).into_iter();
        let rated = |proposal: Proposal| (usefulness(purpose, latitude, &proposal.aim.direction), proposal);
        let mut proposals: Vec<(f64, Proposal)> = proposals.map(rated).collect();
        proposals.retain(|(usefulness, _)| *usefulness >= LEAST_USE);
        // Those of like use stay in the order in which they were proposed, as all do for a sighting.
        proposals.sort_by(|(one, _), (other, _)| other.total_cmp(one));
        let found = proposals.into_iter().find(|(_, proposal)| !declined(&candidates[proposal.index].name));
        let Some((_, proposal)) = found else {
            let sentence = "no star is bright, well placed and far enough from the others now";
            return Err(Refusal::new(RefusalKind::NoStar, sentence));
        };
        let star = &candidates[proposal.index];
        let (azimuth, altitude) = frames::horizontal(&star.direction);
        let fields = Fields::new()
            .text("star", &star.name)
            .degrees("azimuth", azimuth)
            .degrees("altitude", altitude)
            .text("solution", side_of(proposal.aim.branch).word())
            .degrees("hour", hour_and_declination(latitude, &star.direction).0);
        if next {
            self.alignment.declined.extend(self.alignment.proposed.take());
        }
        self.alignment.proposed = Some(star.name.clone());
        Ok(fields)
    }

    /// The same for Moon and planets, which need not keep away from the Moon, and may stand lower.
    fn rules_for_bodies(&self, now: Span) -> ProposalRules {
        let mut rules = proposal_rules(&self.settings, &self.belief, now);
        rules.avoid.truncate(1);
        rules.lowest = above_skyline(&self.settings, LOWEST_BODY);
        rules
    }

    /// Moon and planets above the horizon, as the mount believes.
    fn bodies(&self, now: Span) -> Vec<Candidate> {
        let belief = &self.belief;
        BODIES
            .iter()
            .filter_map(|body| {
                let direction = belief.observed(&belief.track(&Source::Body(*body)), now);
                let magnitude = magnitude(belief.geocentre(), *body, belief.instant(now))?;
                (direction.z > 0.0).then(|| Candidate { name: body.name().to_owned(), direction, magnitude })
            })
            .collect()
    }
}
