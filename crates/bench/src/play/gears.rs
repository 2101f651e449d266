//! What a star told of the gears, and the truth beside it.

use super::seat::Seat;
use crate::outcome::{CorrectionRow, PeriodicRow, PlayRow};
use crate::prepare::Prepared;
use observer::{Account, PlayTold, Recording, RecordingEnding};
use units::{Angle, Instant};
use world::{PeriodicError, Truth};

/// What the bench notes down while the person learns of the gears.
#[derive(Clone, Debug, Default)]
pub(crate) struct GearNotes {
    /// When a recording began, and the hour axis's periodic error as its drive ran before.
    records: Option<(Instant, PeriodicRow)>,
    /// When it was over, and what was left then.
    recorded: Option<(Instant, PeriodicRow)>,
    /// The play of each axis at its measurements, and whether the load held it to a flank.
    plays: [Vec<(Angle, bool)>; 2],
}

/// What is left of the periodic error when the night is over, and what there would be without any correction.
struct AtTheEnd {
    uncorrected: PeriodicRow,
    corrected: PeriodicRow,
    plays: Option<bool>,
}

fn row(error: PeriodicError) -> PeriodicRow {
    PeriodicRow { rms: error.rms, peak_to_peak: error.peak_to_peak }
}

fn as_it_runs(truth: &Truth<'_>) -> (Instant, PeriodicRow) {
    (truth.at(), row(truth.periodic_error(0, true)))
}

impl GearNotes {
    pub(super) fn records(&mut self, truth: &Truth<'_>) {
        self.records = Some(as_it_runs(truth));
    }

    pub(super) fn recorded(&mut self, truth: &Truth<'_>) {
        self.recorded = Some(as_it_runs(truth));
    }

    pub(super) fn play_measured(&mut self, axis: usize, truth: &Truth<'_>) {
        let state = truth.play(axis);
        self.plays[axis].push((state.gap, state.loaded));
    }
}

/// The rows of the correction and of the play, as the night ended.
pub(super) fn rows(
    prepared: &Prepared,
    account: &Account,
    seat: &Seat,
) -> (Option<CorrectionRow>, Vec<PlayRow>) {
    let truth = seat.world().truth();
    let correction = account.recording.as_ref().map(|told| {
        let end = AtTheEnd {
            uncorrected: row(truth.periodic_error(0, false)),
            corrected: row(truth.periodic_error(0, true)),
            plays: truth.correction_plays(0),
        };
        let turns = prepared.evening.recording.as_ref().map_or(0, |intent| intent.turns);
        correction_row(told, turns, &seat.gears, &end)
    });
    let (first, second) = prepared.kind.axis_words();
    let plays = account
        .plays
        .iter()
        .map(|told| {
            let name = if told.axis == 0 { first } else { second };
            play_row(told, name, &seat.gears.plays[told.axis], truth.play_round_the_wheel(told.axis))
        })
        .collect();
    (correction, plays)
}

fn correction_row(told: &Recording, turns: u64, notes: &GearNotes, end: &AtTheEnd) -> CorrectionRow {
    let (result, refusal) = match &told.ending {
        RecordingEnding::Told(word) => (word.as_str(), None),
        RecordingEnding::NoStar => ("no-star", None),
        RecordingEnding::StarLost => ("star-lost", None),
        RecordingEnding::PowerLost => ("power-lost", None),
        RecordingEnding::Refused(sentence) => ("refused", Some(sentence.clone())),
        RecordingEnding::NightOver => ("night-over", None),
    };
    CorrectionRow {
        star: told.star.clone(),
        begin: notes.records.map(|(at, _)| at),
        end: notes.recorded.map(|(at, _)| at),
        turns,
        result: result.to_owned(),
        refusal,
        corrections: told.corrections,
        amplitude: told.amplitude,
        index_mark: told.index_mark,
        played: told.played,
        plays_at_end: end.plays == Some(true),
        kept_at_end: end.plays.is_some(),
        uncorrected: end.uncorrected,
        before: notes.records.map(|(_, error)| error),
        left: notes.recorded.map(|(_, error)| error),
        left_at_end: end.corrected,
    }
}

fn play_row(
    told: &PlayTold,
    axis: &'static str,
    noted: &[(Angle, bool)],
    (least, greatest): (Angle, Angle),
) -> PlayRow {
    let sum = noted.iter().fold(Angle::ZERO, |sum, (gap, _)| sum + *gap);
    let gap = (!noted.is_empty()).then(|| sum * (1.0 / noted.len() as f64));
    PlayRow {
        axis,
        star: told.star.clone(),
        rounds: told.rounds.len(),
        measured: told.mean(),
        scatter: told.scatter(),
        take_up: told.take_up,
        refusal: told.refusal.clone(),
        gap,
        held_by_load: noted.iter().any(|(_, loaded)| *loaded),
        gap_least: least,
        gap_greatest: greatest,
    }
}
