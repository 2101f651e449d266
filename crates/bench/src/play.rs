//! Playing a prepared night.

pub(crate) mod belief;
mod eyes;
mod figures;
mod gears;
mod lived;
mod polar;
mod seat;
pub(crate) mod told;

pub(crate) use eyes::spot_upright;

use crate::advice;
use crate::budget::Weighed;
use crate::fingerprint::maths_fingerprint;
use crate::measured::Measured;
use crate::outcome::{GotoOutcome, GotoRow, Outcome, Summary, Verdict};
use crate::prepare::{Goal, Prepared};
use crate::scene::{Scene, expected};
use crate::statistics;
use crate::verdicts;
use observer::{Account, Ending};
use seat::{Notes, Seat};
use std::sync::Arc;
use units::{Angle, Instant};
use world::{Allowed, Journal, World};

/// What is kept of what passes between the computer and everything else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kept {
    /// Nothing.
    Nothing,
    /// Every touch of the motors, in memory.
    Records,
    /// The journal as text.
    Lines,
}

/// What the mount's computer keeps of an alignment when the evening is over.
pub(crate) fn kept_alignment(prepared: &Prepared) -> Option<Arc<alignment::Model>> {
    let played = prepared.played(Measured::Looks, Kept::Nothing);
    played.seat.world().controller().settings().kept_alignment.clone()
}

/// What one playing leaves.
pub(crate) struct Played {
    pub(crate) gotos: Vec<GotoRow>,
    pub(crate) seat: Seat,
    pub(crate) account: Account,
}

impl Prepared {
    /// Plays the night, and again without each of its causes and with each of them alone, to say what each one costs.
    pub fn play(&self) -> Outcome {
        self.weighed(self.outcome(self.played(Measured::Everything, Kept::Nothing), true))
    }

    /// The same, and the journal of the night as it was played with all its causes.
    pub fn play_with_journal(&self) -> (Outcome, String) {
        let (outcome, journal) = self.journalled(true);
        (self.weighed(outcome), journal)
    }

    /// Plays the night once, as [`Prepared::measure`] does, and gives its journal too.
    pub fn measure_with_lines(&self) -> (Outcome, String) {
        self.journalled(false)
    }

    fn journalled(&self, with_scene: bool) -> (Outcome, String) {
        let (night, text) = self.watched(&self.journal_head(Allowed::default()));
        let mut played = night.played(Measured::Everything, Kept::Lines);
        let journal = text + &played.seat.take_transcript();
        (self.outcome(played, with_scene), journal)
    }

    /// Plays the night again without each of its causes and with each of them alone.
    fn weighed(&self, mut outcome: Outcome) -> Outcome {
        let budget = self.budget(&outcome.gotos, &outcome.summary);
        outcome.advice = advice::two_lines(&outcome.gotos, &outcome.summary, &budget);
        outcome.budget = budget.causes.iter().map(Weighed::row).collect();
        outcome
    }

    /// Plays the night once; the budget, the lines of advice and the scene stay empty.
    pub fn measure(&self) -> Outcome {
        self.outcome(self.played(Measured::Everything, Kept::Nothing), false)
    }

    /// Plays the night once and keeps what passed between the computer and everything else.
    pub fn measure_with_journal(&self) -> (Outcome, Journal) {
        let played = self.played(Measured::Everything, Kept::Records);
        let journal = played.seat.journal().cloned().unwrap_or_default();
        (self.outcome(played, false), journal)
    }

    /// How many targets stand in the field, and the misses, without measuring the dwells.
    pub(crate) fn misses(&self) -> Vec<GotoRow> {
        self.played(Measured::Looks, Kept::Nothing).gotos
    }

    /// A world at the begin of this night, with nobody in it yet.
    pub fn world(&self) -> World {
        World::new(self.world.clone()).unwrap_or_else(|error| {
            unreachable!("the mount was checked when the night was prepared: {error}")
        })
    }

    fn played(&self, measured: Measured, kept: Kept) -> Played {
        let mut world = self.world();
        match kept {
            Kept::Nothing => {}
            Kept::Records => world.keep_journal(),
            Kept::Lines => world.begin_transcript(),
        }
        let mut seat = Seat::new(world, self, measured);
        let account = observer::observe(&self.evening, &mut seat);
        let gotos = account
            .targets
            .iter()
            .enumerate()
            .map(|(index, told)| self.row(index, &told.ending, &mut seat))
            .collect();
        Played { gotos, seat, account }
    }

    fn row(&self, index: usize, ending: &Ending, seat: &mut Seat) -> GotoRow {
        let target = &self.targets[index];
        let (look, asked_at) = seat.take_look(index);
        let at = look.as_ref().map_or(asked_at, |look| look.at);
        let (outcome, refusal) = match ending {
            Ending::Looked => (GotoOutcome::Arrived, None),
            Ending::Refused(sentence) => (GotoOutcome::Refused, Some(sentence.clone())),
            Ending::Unreachable(sentence) => (GotoOutcome::Unreachable, Some(sentence.clone())),
            Ending::NightOver => (GotoOutcome::NightOver, None),
        };
        let icrs = self.icrs(&target.goal, at, seat);
        GotoRow { target: target.name.clone(), outcome, refusal, icrs, true_field: target.true_field, look }
    }

    fn icrs(&self, goal: &Goal, at: Instant, seat: &Seat) -> (Angle, Angle) {
        self.icrs_at(goal, at, seat.world())
    }

    /// Where a goal is in the catalogue's system at an instant: a star with its proper motion and without parallax.
    pub(crate) fn icrs_at(&self, goal: &Goal, at: Instant, world: &World) -> (Angle, Angle) {
        let truth = world.truth();
        let station = truth.station();
        let geocentre = &self.world.geocentre;
        match goal {
            Goal::Sky(track) => match track.source() {
                sky::Source::Star(star) => sky::icrs_at(star, at),
                sky::Source::Body(_) => {
                    let observed = station.observe(&track.cirs(at), at).refracted;
                    station.icrs_from_observed(geocentre, &observed, at)
                }
            },
            Goal::Ground(direction) => station.icrs_from_observed(geocentre, direction, at),
        }
    }

    /// What a night came to of which everything was measured; `drawn` says whether somebody will draw it.
    fn outcome(&self, played: Played, drawn: bool) -> Outcome {
        let Played { gotos, seat, account } = played;
        let (model, faults) = (seat.model(), told::faults(seat.world(), &self.world.faults));
        let expected = if drawn { expected::map(seat.world()) } else { Vec::new() };
        let cautions = seat.cautions();
        let (correction, plays) = gears::rows(self, &account, &seat);
        let notes = seat.into_notes();
        let summary = summary_of(&gotos, &notes, &account);
        let verdicts = verdicts::judge(&self.plan.expect, &summary);
        let Notes { dwells, samples, sightings, polar, jolts } = notes;
        Outcome {
            scene: if drawn { self.scene(&sightings, expected) } else { Scene::default() },
            sightings,
            evening: lived::account(self, &account, jolts),
            model,
            polar,
            cautions,
            correction,
            plays,
            gotos,
            dwells,
            samples,
            faults,
            ..self.bare(summary, verdicts)
        }
    }

    /// An outcome of which nothing is known but the night itself, its figures and what was expected of them.
    pub(crate) fn bare(&self, summary: Summary, verdicts: Vec<Verdict>) -> Outcome {
        let plan = &self.plan;
        Outcome {
            title: plan.night.title.clone().unwrap_or_else(|| "A night without a title".to_owned()),
            seed: plan.night.seed.unwrap_or(0),
            scenario_digest: plan.digest(),
            maths_fingerprint: maths_fingerprint().to_owned(),
            kind: self.kind,
            equipment: self.equipment(),
            setup: self.setup.clone(),
            summary,
            verdicts,
            sightings: Vec::new(),
            model: None,
            polar: Vec::new(),
            correction: None,
            plays: Vec::new(),
            gotos: Vec::new(),
            dwells: Vec::new(),
            samples: Vec::new(),
            faults: Vec::new(),
            cautions: Vec::new(),
            budget: Vec::new(),
            evening: Default::default(),
            scene: Scene::default(),
            advice: Default::default(),
        }
    }

    /// What changes no figure, as it stands in the scenario.
    pub(crate) fn equipment(&self) -> Vec<(String, String)> {
        let places = &self.plan.places;
        crate::prepare::EQUIPMENT
            .iter()
            .filter_map(|key| {
                let range = places.of(key)?.value.clone();
                let text = places.source().get(range)?.trim_matches('"');
                Some(((*key).to_owned(), text.to_owned()))
            })
            .collect()
    }
}

/// The figures of a night that a person was at.
fn summary_of(gotos: &[GotoRow], notes: &Notes, account: &Account) -> Summary {
    let served = account.targets.iter().map(|told| told.visits.saw).sum();
    let summary = statistics::summary(gotos, &notes.dwells, &notes.samples, served);
    Summary { alignment: account.alignment, ..summary }
}
