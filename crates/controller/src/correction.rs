//! Correction of the periodic error: recorded from guide corrections, handed to the drive, played there or not.

use crate::Controller;
use crate::motors::{Axis, CorrectionOrder, Motors};
use crate::tracking::hour_rate;
use protocol::{Event, EventKind, Fields, Rate, Refusal, RefusalKind};
use std::sync::Arc;
use units::{Angle, Span, maths};

/// Parts of a turn of the worm, each with a correction of its own.
const BINS: usize = 64;
/// The longest recording, turns of the worm: some two hours.
const MOST_TURNS: u64 = 12;
/// The fewest corrections in a turn: four for each wave of the fourth harmonic, the last that is usual in a worm.
const FEWEST: u64 = 16;

/// The worm of the hour axis, as its maker tells the computer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worm {
    /// Its turns to one turn of the axis.
    pub turns: u32,
    /// Whether it has an index mark, by which its drive knows it again after a loss of power.
    pub index_mark: bool,
    /// How steep a correction its drive takes, radians of correction per radian of motion.
    pub steepest: f64,
}

/// What the computer knows of the correction that its drive has.
#[derive(Clone, Debug)]
pub(crate) struct Correction {
    /// What is added in each bin.
    table: Option<Arc<[Angle]>>,
    playing: bool,
    recording: Option<Recording>,
}

/// A recording under way.
#[derive(Clone, Debug)]
struct Recording {
    job: u64,
    ends: Span,
    turns: u64,
    /// Its rate of tracking; another one ends it.
    rate: Rate,
    /// All corrections so far together.
    total: Angle,
    /// Turns of the worm, and what the corrections wanted there came to in radians.
    knots: Vec<(f64, f64)>,
    /// Something came between.
    broken: bool,
}

impl Correction {
    /// The drive has this one from the begin on, and plays it.
    pub(crate) fn with(table: Option<Arc<[Angle]>>) -> Self {
        Self { playing: table.is_some(), table, recording: None }
    }

    /// The power fails: without an index mark the table is worth nothing afterwards.
    pub(crate) fn lose_power(&mut self, index_mark: bool) {
        self.recording = None;
        if !index_mark {
            *self = Self::with(None);
        }
    }

    /// Something came between that moves the star otherwise than guiding does.
    pub(crate) fn interrupt(&mut self) {
        if let Some(recording) = &mut self.recording {
            recording.broken = true;
        }
    }

    /// When the recording of that job ends.
    pub(crate) fn ends(&self, job: u64) -> Option<Span> {
        self.recording.as_ref().filter(|recording| recording.job == job).map(|recording| recording.ends)
    }
}

impl Controller {
    pub(crate) fn record(
        &mut self,
        turns: u64,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        self.not_parked()?;
        if let Some(recording) = &self.correction.recording {
            let sentence = format!("job {} records already; await its end or cancel it", recording.job);
            return Err(Refusal::new(RefusalKind::Busy, sentence));
        }
        if turns > MOST_TURNS {
            let sentence = format!("turns={turns}: give at most {MOST_TURNS} turns of the worm");
            return Err(Refusal::new(RefusalKind::OutOfRange, sentence));
        }
        let rate = self.motion.rate;
        let steady = matches!(rate, Rate::Sidereal | Rate::Solar | Rate::RefractionAveraged);
        if !self.settings.kind.is_equatorial() || !steady {
            let sentence =
                "only an hour axis that tracks at a steady rate can be recorded; send track rate=sidereal";
            return Err(Refusal::new(RefusalKind::WrongKind, sentence));
        }
        self.order_playback(false, motors);
        let turn = Angle::TURN.radians() / f64::from(self.settings.worm.turns) / hour_rate(rate).radians();
        let ends = now + Span::from_seconds(turn * turns as f64);
        let job = self.begin_beside("record");
        let knots = vec![(self.worm_turns(now), 0.0)];
        self.correction.recording =
            Some(Recording { job, ends, turns, rate, total: Angle::ZERO, knots, broken: false });
        Ok(Fields::new().count("job", job).seconds("seconds", ends - now))
    }

    pub(crate) fn playback(
        &mut self,
        state: Option<bool>,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        if let Some(on) = state {
            if self.correction.recording.is_some() {
                let sentence = "a correction is being recorded; await its end or cancel it";
                return Err(Refusal::new(RefusalKind::Busy, sentence));
            }
            if self.correction.table.is_none() && on {
                let sentence = "no correction was recorded; send record turns=3 and guide meanwhile";
                return Err(Refusal::new(RefusalKind::NoRecording, sentence));
            }
            self.order_playback(on, motors);
        }
        let word = |yes: bool| if yes { "yes" } else { "no" };
        let table = self.correction.table.as_deref();
        Ok(Fields::new()
            .text("state", if self.correction.playing { "on" } else { "off" })
            .text("recorded", word(table.is_some()))
            .number("amplitude", table.map_or(0.0, |table| amplitude(table).arcsec()), 2, "arcsec")
            .text("index", word(self.settings.worm.index_mark)))
    }

    fn order_playback(&mut self, on: bool, motors: &mut impl Motors) {
        if self.correction.playing != on {
            self.correction.playing = on;
            motors.correct(Axis::First, CorrectionOrder::Play(on));
        }
    }

    /// Turns of the hour axis's worm at its step count.
    fn worm_turns(&self, now: Span) -> f64 {
        let count = self.motion.dials(now).first + self.count_zeros(now)[0];
        count.radians() / maths::TAU * f64::from(self.settings.worm.turns)
    }

    /// A guide correction in hour angle has begun by which the dial will have come so much farther.
    pub(crate) fn note_correction(&mut self, by: Angle, now: Span) {
        let place = self.worm_turns(now);
        let Some(recording) = &mut self.correction.recording else { return };
        recording.total += by;
        // A correction that turns the worm back by a hair must not unsettle the order.
        let place = recording.knots.last().map_or(place, |(last, _)| place.max(*last));
        recording.knots.push((place, recording.total.radians()));
    }

    /// When the recording under way ends; at once if something came between.
    pub(crate) fn recording_ends(&self) -> Option<Span> {
        let recording = self.correction.recording.as_ref()?;
        let interrupted = recording.broken || recording.rate != self.motion.rate;
        Some(if interrupted { Span::ZERO } else { recording.ends })
    }

    /// Ends the recording if that is due, and hands the drive what came of it.
    pub(crate) fn end_recording(&mut self, now: Span, motors: &mut impl Motors, events: &mut Vec<Event>) {
        let Some(due) = self.recording_ends().filter(|due| *due <= now) else { return };
        let Some(recording) = self.correction.recording.take() else { return };
        let corrections = recording.knots.len() as u64 - 1;
        let table: Arc<[Angle]> = averaged(&recording.knots, recording.turns as usize).into();
        let worm = self.settings.worm;
        let result = if due < recording.ends {
            "interrupted"
        } else if corrections < FEWEST * recording.turns {
            "too-few"
        } else if steepest(&table) * f64::from(worm.turns) / maths::TAU > worm.steepest {
            "too-steep"
        } else {
            "kept"
        };
        let kept = result == "kept";
        let fields = Fields::new()
            .count("job", recording.job)
            .text("result", result)
            .count("corrections", corrections)
            .number("amplitude", if kept { amplitude(&table).arcsec() } else { 0.0 }, 2, "arcsec");
        if kept {
            motors.correct(Axis::First, CorrectionOrder::Load(Arc::clone(&table)));
            self.correction.table = Some(table);
        }
        self.end_beside(recording.job, kept);
        events.push(Event { kind: EventKind::Recorded, fields });
    }
}

/// Half of the range of a table.
fn amplitude(table: &[Angle]) -> Angle {
    let first = table.first().copied().unwrap_or(Angle::ZERO);
    let least = table.iter().copied().fold(first, Angle::min);
    let greatest = table.iter().copied().fold(first, Angle::max);
    (greatest - least) * 0.5
}

/// The steepest slope of a table, radians per turn of the worm.
fn steepest(table: &[Angle]) -> f64 {
    let steps = (0..table.len()).map(|bin| (table[(bin + 1) % table.len()] - table[bin]).radians().abs());
    steps.fold(0.0, f64::max) * table.len() as f64
}

/// The mean correction in each bin, over whole turns, without mean and straight trend.
fn averaged(knots: &[(f64, f64)], turns: usize) -> Vec<Angle> {
    let begin = knots.first().map_or(0.0, |(place, _)| *place);
    let first = maths::ceil(begin * BINS as f64 - 0.5);
    let place = |index: usize| (first + index as f64 + 0.5) / BINS as f64;
    let mut wanted: Vec<f64> = (0..BINS * turns).map(|index| between(knots, place(index))).collect();
    // What no wave of the worm can feign: how much more is wanted at the same angle a turn later.
    let drift =
        if turns > 1 { between_turns(&wanted) } else { between(knots, begin + 1.0) - between(knots, begin) };
    let middle = (wanted.len() as f64 - 1.0) / 2.0;
    let mean = wanted.iter().sum::<f64>() / wanted.len() as f64;
    for (index, value) in wanted.iter_mut().enumerate() {
        *value -= mean + drift * (index as f64 - middle) / BINS as f64;
    }
    let mut sums = [0.0; BINS];
    let shift = (first - maths::floor(first / BINS as f64) * BINS as f64) as usize;
    for (index, value) in wanted.iter().enumerate() {
        sums[(index + shift) % BINS] += value;
    }
    sums.iter().map(|sum| Angle::from_radians(sum / turns as f64)).collect()
}

/// The correction wanted at a place, on the straight lines between the knots.
fn between(knots: &[(f64, f64)], place: f64) -> f64 {
    let above = knots.partition_point(|(knot, _)| *knot <= place);
    match (above.checked_sub(1).map(|below| knots[below]), knots.get(above)) {
        (Some((p0, c0)), Some((p1, c1))) => c0 + (c1 - c0) * (place - p0) / (p1 - p0),
        (Some((_, last)), None) => last,
        (None, Some((_, first))) => *first,
        (None, None) => 0.0,
    }
}

/// By how much whole turns differ from one to the next: the slope of the straight line nearest to their means, of two or more.
fn between_turns(values: &[f64]) -> f64 {
    let means = values.chunks(BINS).map(|turn| turn.iter().sum::<f64>() / BINS as f64);
    let middle = ((values.len() / BINS) as f64 - 1.0) / 2.0;
    let (mut across, mut along) = (0.0, 0.0);
    for (turn, mean) in means.enumerate() {
        let place = turn as f64 - middle;
        across += place * mean;
        along += place * place;
    }
    across / along
}
