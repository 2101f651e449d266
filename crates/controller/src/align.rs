//! Learning where the tube points: proposals, sightings, and the model that is made of them.

use crate::Controller;
use crate::flank::{PLAY, compared};
use crate::follower::{Course, Follower};
use crate::motors::Motors;
use crate::sync::CENTRING;
use crate::target::Target;
use crate::tracking::branch_of_dials;
use alignment::{
    FitError, Method, Model, Priors, Sense, Sighting, Verdict, fit, replace_nearest, replace_oldest,
};
use kinematics::{AxisAngles, Branch, frames};
use nalgebra::Vector3;
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
    /// Stars that were held against the model since the last sighting, the latest last.
    pub(crate) verified: Vec<Sighting>,
    /// What is known already, and how many sightings go with it: after a power-off, after the bolts were turned.
    start: Option<Start>,
    /// Proposals that would not do, and the last one.
    pub(crate) declined: Vec<String>,
    pub(crate) proposed: Option<String>,
}

/// What an alignment goes on from in place of what is expected of any mount.
#[derive(Clone, Debug)]
pub(crate) struct Start {
    priors: Priors,
    needed: usize,
}

impl Alignment {
    pub(crate) fn method(&self) -> AlignMethod {
        self.method.unwrap_or(AlignMethod::None)
    }

    fn needed(&self) -> usize {
        if let Some(start) = &self.start {
            return start.needed;
        }
        match self.method() {
            AlignMethod::None | AlignMethod::Resume => 0,
            AlignMethod::OneStar | AlignMethod::MoonOrPlanet => 1,
            AlignMethod::TwoStar => 2,
            AlignMethod::ManyStar => 3,
        }
    }

    /// Goes on from what is known: the sightings so far are in it, and so many new ones are to come.
    pub(crate) fn go_on_from(&mut self, priors: Priors, needed: usize) {
        self.start = Some(Start { priors, needed });
        self.sightings.clear();
    }

    /// What is made of so many sightings. Until the method has all that it needs, one star gives the zeros, so that the
    /// next star is found more easily.
    fn fitting(&self, taken: usize) -> Method {
        if self.start.is_some() {
            return Method::ManyStar;
        }
        let twilight = self.method() == AlignMethod::MoonOrPlanet;
        let usual = if taken == 2 && !twilight { Estimator::Rotation } else { Estimator::FullModel };
        match (self.method(), self.estimator.unwrap_or(usual)) {
            _ if taken == 1 => Method::OneStar,
            (AlignMethod::None | AlignMethod::OneStar, _) => Method::OneStar,
            (_, Estimator::Rotation) => Method::TwoStar,
            (_, Estimator::FullModel) => Method::ManyStar,
        }
    }
}

impl Controller {
    pub(crate) fn align(
        &mut self,
        entry: &AlignEntry,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        if let Some(method) = entry.method {
            self.idle()?;
            if method == AlignMethod::Resume && self.kept().is_none() {
                let sentence = "no alignment was kept for this site; align on a star first";
                return Err(Refusal::new(RefusalKind::NoAlignment, sentence));
            }
            self.alignment =
                Alignment { method: Some(method), estimator: entry.estimator, ..Alignment::default() };
            match method {
                AlignMethod::None => self.belief.forget_alignment(),
                AlignMethod::Resume => self.resume(),
                _ => return Ok(self.progress(Fields::new().text("method", method.word()))),
            }
            self.belief_changed(now, motors);
        }
        let fields = self.progress(Fields::new().text("method", self.alignment.method().word()));
        let resumed = entry.method == Some(AlignMethod::Resume);
        let was_there = if self.left_home { "no" } else { "yes" };
        Ok(if resumed { fields.text("at_home", was_there) } else { fields })
    }

    fn progress(&self, fields: Fields) -> Fields {
        fields
            .count("needed", self.alignment.needed() as u64)
            .count("taken", self.alignment.sightings.len() as u64)
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
            let sentence = match self.likelier(&sighting, now) {
                Some(other) => format!(
                    "{name} stands {off:.1} arcmin from where the model expects it, and {other} where the tube points: is it \
                     that one? anyway=yes takes it"
                ),
                None => format!(
                    "{name} stands {off:.1} arcmin from where the model expects it; is it that star? anyway=yes takes it"
                ),
            };
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
        self.alignment.verified.clear();
        self.believe(model, Some((target, sighting.dials)), now, motors);
        let done = self.alignment.sightings.len() >= self.alignment.needed();
        if done {
            self.keep_if_latest();
        }
        let disagreement = innovation.map_or(Angle::ZERO, |innovation| innovation.length());
        Ok(self
            .progress(Fields::new().text("star", &name))
            .text("done", if done { "yes" } else { "no" })
            .arcmin("disagreement", disagreement)
            .text("flanks", self.flanks()))
    }

    /// The dials of now as a sighting of something.
    pub(crate) fn sighting(
        &self,
        name: &str,
        target: &Target,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Sighting, Refusal> {
        let direction = self.pointable(name, target, now)?;
        let dials = self.counted(now, motors);
        Ok(self.sighting_of(name, direction, now, dials, self.motion.senses(now)))
    }

    /// Where something was observed, if a tube can point there.
    pub(crate) fn pointable(&self, name: &str, target: &Target, at: Span) -> Result<Vector3<f64>, Refusal> {
        let direction = target.observed(&self.belief, at);
        let (_, altitude) = frames::horizontal(&direction);
        if altitude < Angle::ZERO {
            let sentence = format!("{name} is below the level horizon: the tube can't point at it");
            return Err(Refusal::new(RefusalKind::BelowHorizon, sentence));
        }
        Ok(direction)
    }

    /// What stood in the middle of the eyepiece at an instant, with the dials then and how they were come to.
    pub(crate) fn sighting_of(
        &self,
        name: &str,
        direction: Vector3<f64>,
        at: Span,
        dials: AxisAngles,
        approach: [Sense; 2],
    ) -> Sighting {
        Sighting {
            at: self.belief.instant(at),
            direction,
            dials,
            branch: branch_of_dials(dials),
            approach,
            sigma: CENTRING,
            power_on: self.power_on,
            name: name.to_owned(),
        }
    }

    pub(crate) fn fitted(&self, sightings: &[Sighting]) -> Result<Model, Refusal> {
        let kind = self.settings.kind;
        let latitude = self.belief.station().site().latitude();
        let method =
            if sightings.is_empty() { Method::None } else { self.alignment.fitting(sightings.len()) };
        let usual = || Priors::usual(kind, latitude);
        let priors = self.alignment.start.as_ref().map_or_else(usual, |start| start.priors);
        let priors = Priors { play: self.play_left(), ..priors };
        fit(method, kind, latitude, &priors, sightings).map_err(|error| unfit(&error))
    }

    /// The play that is expected of each axis: none where a take-up takes it, else that of a usual mount.
    fn play_left(&self) -> [Angle; 2] {
        self.settings.take_up.map(|amount| if amount == Angle::ZERO { PLAY } else { Angle::ZERO })
    }

    /// Whether the newest sighting rests on the same flanks of the gears as the others, as far as that matters.
    fn flanks(&self) -> &'static str {
        let Some((newest, others)) = self.alignment.sightings.split_last() else { return "alike" };
        let left = self.play_left();
        let pairs = others.iter().flat_map(|one| [0, 1].map(|axis| (axis, one.approach[axis])));
        let told: Vec<Option<bool>> = pairs
            .filter(|(axis, _)| left[*axis] > Angle::ZERO)
            .map(|(axis, sense)| compared(sense, newest.approach[axis]))
            .collect();
        if told.contains(&Some(false)) {
            "different"
        } else if told.contains(&None) {
            "unknown"
        } else {
            "alike"
        }
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
            .number("north", north.arcsec(), 2, "arcsec")
            .text("first_axis", sense_word(sighting.approach[0]))
            .text("second_axis", sense_word(sighting.approach[1])))
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
        let fields = Fields::new()
            .text("method", method_word(model.method()))
            .count("sightings", model.sightings_used() as u64);
        let fields = match model.residual_rms() {
            Some(rms) => fields.number("residual", rms.arcsec(), 2, "arcsec"),
            None => fields.text("residual", "none"),
        };
        let names: Vec<&str> = terms.iter().map(|term| term.name).collect();
        Ok(fields.text("terms", &names.join(",")))
    }
}

/// The method that made a model, in its word.
pub(crate) fn method_word(method: Method) -> &'static str {
    let method = match method {
        Method::None => AlignMethod::None,
        Method::OneStar => AlignMethod::OneStar,
        Method::TwoStar => AlignMethod::TwoStar,
        Method::ManyStar => AlignMethod::ManyStar,
    };
    method.word()
}

pub(crate) fn side_of(branch: Branch) -> Side {
    match branch {
        Branch::Direct => Side::Direct,
        Branch::ThroughPole => Side::ThroughPole,
    }
}

fn sense_word(sense: Sense) -> &'static str {
    match sense {
        Sense::Increasing => "growing",
        Sense::Decreasing => "falling",
        Sense::Unknown => "unknown",
    }
}

fn unfit(error: &FitError) -> Refusal {
    Refusal::new(RefusalKind::UnfitSighting, error.to_string())
}
