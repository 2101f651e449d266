//! Learning where the tube points: proposals, sightings, and the model that is made of them.

use crate::Controller;
use crate::follower::{Course, Follower};
use crate::motors::Motors;
use crate::sync::CENTRING;
use crate::target::Target;
use crate::tracking::branch_of_dials;
use alignment::{
    FitError, Method, Model, Priors, ProposalRules, Sense, Sighting, Verdict, fit, propose, replace_nearest,
    replace_oldest, visible_stars,
};
use kinematics::{AxisAngles, Branch, frames};
use protocol::{
    AlignEntry, AlignMethod, Estimator, Fields, Refusal, RefusalKind, Replaced, Seen, Side, SightEntry,
};
use units::{Angle, Span};

/// The alignment under way.
#[derive(Clone, Debug, Default)]
pub(crate) struct Alignment {
    method: Option<AlignMethod>,
    estimator: Option<Estimator>,
    pub(crate) sightings: Vec<Sighting>,
    /// Proposals that would not do, and the last one.
    declined: Vec<String>,
    proposed: Option<String>,
}

impl Alignment {
    fn method(&self) -> AlignMethod {
        self.method.unwrap_or(AlignMethod::None)
    }

    fn needed(&self) -> usize {
        match self.method() {
            AlignMethod::None => 0,
            AlignMethod::OneStar => 1,
            AlignMethod::TwoStar => 2,
            AlignMethod::ManyStar => 3,
        }
    }

    /// What is made of so many sightings. Until the method has all that it needs, one star gives the zeros, so that the
    /// next star is found more easily.
    fn fitting(&self, taken: usize) -> Method {
        let usual = if taken == 2 { Estimator::Rotation } else { Estimator::FullModel };
        match (self.method(), self.estimator.unwrap_or(usual)) {
            _ if taken == 1 => Method::OneStar,
            (AlignMethod::None | AlignMethod::OneStar, _) => Method::OneStar,
            (_, Estimator::Rotation) => Method::TwoStar,
            (_, Estimator::FullModel) => Method::ManyStar,
        }
    }
}

/// Keep this far from the Moon: its light hides a star in the finder.
const FROM_MOON: Angle = Angle::from_degrees(5.0);

impl Controller {
    pub(crate) fn align(
        &mut self,
        entry: &AlignEntry,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        if let Some(method) = entry.method {
            self.idle()?;
            self.alignment =
                Alignment { method: Some(method), estimator: entry.estimator, ..Alignment::default() };
            if method == AlignMethod::None {
                self.belief.forget_alignment();
                self.belief_changed(now, motors);
            }
        }
        Ok(self.progress(Fields::new().text("method", self.alignment.method().word())))
    }

    fn progress(&self, fields: Fields) -> Fields {
        fields
            .count("needed", self.alignment.needed() as u64)
            .count("taken", self.alignment.sightings.len() as u64)
    }

    pub(crate) fn propose(&mut self, next: bool, now: Span) -> Result<Fields, Refusal> {
        let belief = &self.belief;
        let declined = |name: &String| {
            self.alignment.declined.contains(name) || next && self.alignment.proposed.as_ref() == Some(name)
        };
        let rules = self.proposal_rules(now);
        let instant = belief.instant(now);
        let candidates = visible_stars(belief.station(), belief.geocentre(), instant, rules.faintest);
        let taken: Vec<_> = self.alignment.sightings.iter().map(|sighting| sighting.direction).collect();
        let latitude = belief.station().site().latitude();
        let found = propose(self.settings.kind, latitude, &rules, &candidates, &taken)
            .into_iter()
            .find(|proposal| !declined(&candidates[proposal.index].name));
        let Some(proposal) = found else {
            let sentence = "no star is bright, well placed and far enough from the others now";
            return Err(Refusal::new(RefusalKind::NoStar, sentence));
        };
        let star = &candidates[proposal.index];
        let (azimuth, altitude) = frames::horizontal(&star.direction);
        let fields = Fields::new()
            .text("star", &star.name)
            .degrees("azimuth", azimuth)
            .degrees("altitude", altitude)
            .text("solution", side_of(proposal.aim.branch).word());
        if next {
            self.alignment.declined.extend(self.alignment.proposed.take());
        }
        self.alignment.proposed = Some(star.name.clone());
        Ok(fields)
    }

    pub(crate) fn proposal_rules(&self, now: Span) -> ProposalRules {
        let usual = ProposalRules::default();
        let skyline =
            self.settings.horizon.corners().iter().map(|corner| corner.1).fold(usual.lowest, Angle::max);
        ProposalRules {
            lowest: skyline,
            avoid: vec![(self.belief.sun(now), self.settings.sun_radius), (self.belief.moon(now), FROM_MOON)],
            ..usual
        }
    }

    pub(crate) fn sight(
        &mut self,
        entry: &SightEntry,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        self.not_parked()?;
        if self.alignment.method() == AlignMethod::None {
            let sentence = "no alignment was begun; send align method=two-star, or sync";
            return Err(Refusal::new(RefusalKind::NoAlignment, sentence));
        }
        let (name, target) = self.seen(&Seen::Name(entry.name.clone()))?;
        let sighting = self.sighting(&name, &target, now, motors)?;
        let innovation = self.belief.model().innovation(&sighting);
        let enough = self.alignment.sightings.len() >= self.alignment.needed();
        if let Some(innovation) = &innovation
            && enough
            && !entry.anyway
            && innovation.verdict == Verdict::Refuse
        {
            let off = innovation.length().arcmin();
            let sentence = format!(
                "{name} stands {off:.1} arcmin from where the model expects it; is it that star? anyway=yes takes it"
            );
            return Err(Refusal::new(RefusalKind::Suspicious, sentence));
        }
        let mut sightings = self.alignment.sightings.clone();
        match entry.replaces {
            Replaced::Nearest => drop(replace_nearest(&mut sightings, sighting.clone())),
            Replaced::Oldest => drop(replace_oldest(&mut sightings, sighting.clone())),
            Replaced::None => sightings.push(sighting.clone()),
        }
        let model = self.fitted(&sightings)?;
        self.alignment.sightings = sightings;
        self.alignment.proposed = None;
        self.believe(model, Some((target, sighting.dials)), now, motors);
        let done = self.alignment.sightings.len() >= self.alignment.needed();
        let disagreement = innovation.map_or(0.0, |innovation| innovation.length().arcmin());
        Ok(self
            .progress(Fields::new().text("star", &name))
            .text("done", if done { "yes" } else { "no" })
            .number("disagreement", disagreement, 2, "arcmin"))
    }

    /// The dials of now as a sighting of something.
    pub(crate) fn sighting(
        &self,
        name: &str,
        target: &Target,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Sighting, Refusal> {
        let direction = target.observed(&self.belief, now);
        let (_, altitude) = frames::horizontal(&direction);
        if altitude < Angle::ZERO {
            let sentence = format!("{name} is below the level horizon: the tube can't point at it");
            return Err(Refusal::new(RefusalKind::BelowHorizon, sentence));
        }
        let dials = self.counted(now, motors);
        Ok(Sighting {
            at: self.belief.instant(now),
            direction,
            dials,
            branch: branch_of_dials(dials),
            approach: [Sense::Unknown; 2],
            sigma: CENTRING,
            power_on: self.power_on,
            name: name.to_owned(),
        })
    }

    fn fitted(&self, sightings: &[Sighting]) -> Result<Model, Refusal> {
        let kind = self.settings.kind;
        let latitude = self.belief.station().site().latitude();
        let method =
            if sightings.is_empty() { Method::None } else { self.alignment.fitting(sightings.len()) };
        fit(method, kind, latitude, &Priors::usual(kind, latitude), sightings).map_err(|error| unfit(&error))
    }

    /// Takes a new model, and goes on following by it; what stands in the eyepiece now is followed from where it stands.
    pub(crate) fn believe(
        &mut self,
        model: Model,
        seen: Option<(Target, AxisAngles)>,
        now: Span,
        motors: &mut impl Motors,
    ) {
        self.belief.set_model(model);
        let Some((target, dials)) = seen else {
            self.belief_changed(now, motors);
            return;
        };
        if let Some(Follower { course: Course::Model { branch, .. }, .. }) = &self.motion.follower {
            let course = Course::Model { target, branch: *branch };
            let (rate, axes) = (self.motion.rate, self.motion.axes);
            if let Ok(base) = self.following(course, dials, rate, axes, now) {
                self.begin_motion(base, [None, None], now, motors);
            }
        }
    }

    pub(crate) fn sightings(&self, entry: Option<u64>) -> Result<Fields, Refusal> {
        let fields = Fields::new().count("count", self.alignment.sightings.len() as u64);
        let Some(entry) = entry else { return Ok(fields) };
        let index = self.index_of(entry)?;
        let sighting = &self.alignment.sightings[index];
        let utc = sky::time::utc_text(sighting.at, 3).unwrap_or_else(|error| error.to_string());
        let residuals = self.belief.model().residuals();
        let (east, north) = residuals
            .iter()
            .find(|residual| residual.name == sighting.name)
            .map_or((Angle::ZERO, Angle::ZERO), |residual| (residual.east, residual.north));
        Ok(fields
            .text("star", &sighting.name)
            .text("utc", &utc)
            .number("east", east.arcsec(), 2, "arcsec")
            .number("north", north.arcsec(), 2, "arcsec"))
    }

    pub(crate) fn forget(
        &mut self,
        entry: u64,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        let mut sightings = self.alignment.sightings.clone();
        let gone = sightings.remove(self.index_of(entry)?);
        let model = self.fitted(&sightings)?;
        self.alignment.sightings = sightings;
        self.believe(model, None, now, motors);
        Ok(Fields::new().text("star", &gone.name).count("taken", self.alignment.sightings.len() as u64))
    }

    fn index_of(&self, entry: u64) -> Result<usize, Refusal> {
        let count = self.alignment.sightings.len();
        usize::try_from(entry - 1).ok().filter(|index| *index < count).ok_or_else(|| {
            let sentence = format!("there is no sighting {entry}; {count} were taken");
            Refusal::new(RefusalKind::OutOfRange, sentence)
        })
    }

    pub(crate) fn model(&self, term: Option<&str>) -> Result<Fields, Refusal> {
        let model = self.belief.model();
        let terms = model.terms();
        if let Some(name) = term {
            let Some(term) = terms.iter().find(|term| term.name.eq_ignore_ascii_case(name)) else {
                let names: Vec<&str> = terms.iter().map(|term| term.name).collect();
                let sentence = format!("there is no term {name}; there are {}", names.join(", "));
                return Err(Refusal::new(RefusalKind::BadValue, sentence));
            };
            let fields = Fields::new().number("value", term.value.arcsec(), 2, "arcsec");
            let fields = match term.sigma {
                Some(sigma) => fields.number("sigma", sigma.arcsec(), 2, "arcsec"),
                None => fields.text("sigma", "none"),
            };
            return Ok(fields.text("determined", if term.determined { "yes" } else { "no" }));
        }
        let method = match model.method() {
            Method::None => AlignMethod::None,
            Method::OneStar => AlignMethod::OneStar,
            Method::TwoStar => AlignMethod::TwoStar,
            Method::ManyStar => AlignMethod::ManyStar,
        };
        let fields =
            Fields::new().text("method", method.word()).count("sightings", model.sightings_used() as u64);
        let fields = match model.residual_rms() {
            Some(rms) => fields.number("residual", rms.arcsec(), 2, "arcsec"),
            None => fields.text("residual", "none"),
        };
        let names: Vec<&str> = terms.iter().map(|term| term.name).collect();
        Ok(fields.text("terms", &names.join(",")))
    }
}

pub(crate) fn side_of(branch: Branch) -> Side {
    match branch {
        Branch::Direct => Side::Direct,
        Branch::ThroughPole => Side::ThroughPole,
    }
}

fn unfit(error: &FitError) -> Refusal {
    Refusal::new(RefusalKind::UnfitSighting, error.to_string())
}
