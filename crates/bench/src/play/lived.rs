//! The evening as the person lived it, as rows of the outcome.

use crate::outcome::{DoubtRow, EffortRow, EveningAccount, TryRow};
use crate::prepare::Prepared;
use observer::{Account, Purpose, Sighting, SightingEnding, setup};

pub(super) fn account(prepared: &Prepared, account: &Account, jolts: usize) -> EveningAccount {
    EveningAccount {
        setting_up: setup::minutes_needed(prepared.evening.person.care),
        alignment_presses: account.alignment_presses,
        presses: account.presses,
        tries: account.sightings.iter().map(try_row).collect(),
        doubts: account
            .doubts
            .iter()
            .map(|doubt| DoubtRow {
                at: prepared.world.begin + doubt.at,
                asked: doubt.asked.clone(),
                answer: doubt.answer,
                right: doubt.right,
            })
            .collect(),
        targets: prepared
            .targets
            .iter()
            .zip(&account.targets)
            .map(|(target, told)| EffortRow {
                target: target.name.clone(),
                seen: told.seen,
                took: told.took,
                presses: told.presses,
                visitors_came: told.visits.came,
                visitors_saw: told.visits.saw,
                centrings: told.visits.centrings,
            })
            .collect(),
        jolts,
    }
}

fn try_row(sighting: &Sighting) -> TryRow {
    let purpose = match sighting.purpose {
        Purpose::Alignment => "alignment",
        Purpose::Later => "later",
        Purpose::Recovery => "recovery",
        Purpose::Stepping => "stepping",
        Purpose::Polar => "polar",
    };
    let (ending, refusal) = match &sighting.ending {
        SightingEnding::Taken => ("taken", None),
        SightingEnding::NotFound => ("not-found", None),
        SightingEnding::Hidden => ("hidden", None),
        SightingEnding::Stuck => ("stuck", None),
        SightingEnding::Refused(sentence) => ("refused", Some(sentence.clone())),
    };
    TryRow {
        star: sighting.star.clone(),
        purpose,
        ending,
        refusal,
        took: sighting.took,
        presses: sighting.presses,
    }
}
