//! What a night came to: everything that a report needs, in the types of the program.

use crate::scene::Scene;
use units::{Angle, AngularRate, Instant, Span};

/// The outcome of one night.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The scenario's title.
    pub title: String,
    /// The night's seed.
    pub seed: u64,
    /// SHA-256 of the canonical plan without its seed, in lower-case hexadecimal.
    pub scenario_digest: String,
    /// Hash of a few function values: says whether two results rest on the same mathematics.
    pub maths_fingerprint: String,
    /// Kind of mount, in the scenario's word.
    pub kind: MountKind,
    /// What of the scenario changes no figure, as key and text.
    pub equipment: Vec<(String, String)>,
    /// What was set up, and what it truly came to.
    pub setup: Vec<SetupRow>,
    /// The figures of the whole night.
    pub summary: Summary,
    /// Sightings of the alignment.
    pub sightings: Vec<SightingRow>,
    /// What the mount's computer believes about itself after its alignment; `None` without one.
    pub model: Option<ModelBelief>,
    /// One row for each time that the bolts of the polar axis were turned and locked.
    pub polar: Vec<PolarRow>,
    /// The correction of the periodic error that the person recorded; `None` where nobody set about it.
    pub correction: Option<CorrectionRow>,
    /// The play of each axis as the person measured it; empty where nobody set about it.
    pub plays: Vec<PlayRow>,
    /// One row per target, in the order of the file.
    pub gotos: Vec<GotoRow>,
    /// One row per dwell.
    pub dwells: Vec<DwellRow>,
    /// Samples of the dwells, in time order.
    pub samples: Vec<Sample>,
    /// Faults and disturbances that struck.
    pub faults: Vec<FaultRow>,
    /// Expectations and whether they held.
    pub verdicts: Vec<Verdict>,
    /// What a reader must be told before going outside.
    pub cautions: Vec<String>,
    /// What each cause cost.
    pub budget: Vec<BudgetRow>,
    /// The evening as the person lived it: minutes, keys, visitors.
    pub evening: EveningAccount,
    /// What a drawing of the night needs beside its figures.
    pub scene: Scene,
    /// Two plain sentences on what the night shows.
    pub advice: [String; 2],
}

/// What many nights keep of each.
#[derive(Clone, Debug, PartialEq)]
pub struct NightFigures {
    /// The figures of the whole night.
    pub summary: Summary,
    /// One row per target, in the order of the file, without what the computer expected of it.
    pub gotos: Vec<GotoRow>,
    /// How often the mount was sent somewhere: to stars that were sighted and to targets.
    pub slews: usize,
    /// How many keys were pressed in the whole evening.
    pub presses: u64,
    /// How long setting up took, before the night began.
    pub setting_up: Span,
    /// How long the person was at it: the alignment and every target with its dwell and visitors.
    pub evening: Span,
}

/// One thing that differs from night to night, by the path of its key.
#[derive(Clone, Debug, PartialEq)]
pub struct NightInput {
    /// The key of the scenario that would fix it.
    pub key: &'static str,
    /// Its value.
    pub value: f64,
    /// In this unit.
    pub unit: &'static str,
}

/// What the evening cost the person.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EveningAccount {
    /// How long setting up took, before the night began.
    pub setting_up: Span,
    /// How many keys were pressed for the alignment.
    pub alignment_presses: u64,
    /// How many keys were pressed in the whole evening.
    pub presses: u64,
    /// Every try at sighting a star, in time order.
    pub tries: Vec<TryRow>,
    /// What the mount doubted or asked and the person looked after, in time order.
    pub doubts: Vec<DoubtRow>,
    /// One row per target, in the order of the file.
    pub targets: Vec<EffortRow>,
    /// What the visitors did to the mount.
    pub jolts: usize,
}

/// One try at sighting a star.
#[derive(Clone, Debug, PartialEq)]
pub struct TryRow {
    /// The star that was meant.
    pub star: String,
    /// What for, in words: `alignment`, `later`, `recovery`, `stepping`, `polar`.
    pub purpose: &'static str,
    /// How it ended, in words: `taken`, `not-found`, `hidden`, `stuck`, `refused`.
    pub ending: &'static str,
    /// What the mount said where it refused.
    pub refusal: Option<String>,
    /// How long it took.
    pub took: Span,
    /// How many keys were pressed.
    pub presses: u64,
}

/// The mount doubted something or asked, and the person looked.
#[derive(Clone, Debug, PartialEq)]
pub struct DoubtRow {
    /// When.
    pub at: Instant,
    /// What the mount said.
    pub asked: String,
    /// What the person did about it.
    pub answer: &'static str,
    /// Whether that was right; `None` where nobody at the mount could tell.
    pub right: Option<bool>,
}

/// What one target cost.
#[derive(Clone, Debug, PartialEq)]
pub struct EffortRow {
    /// The target as it was named.
    pub target: String,
    /// Whether it was seen in the eyepiece in the end.
    pub seen: bool,
    /// How long it took, dwell and visitors included.
    pub took: Span,
    /// How many keys were pressed.
    pub presses: u64,
    /// How many visitors came to the eyepiece.
    pub visitors_came: u64,
    /// How many of them saw it.
    pub visitors_saw: u64,
    /// How often it was centred anew between them.
    pub centrings: u64,
}

/// Kind of mount.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MountKind {
    /// Two equatorial axes, the tube beside the pier, a counterweight opposite.
    GermanEquatorial,
    /// Two equatorial axes, the tube in a fork.
    ForkEquatorial,
    /// A vertical and a level axis.
    AltAzimuth,
}

impl MountKind {
    /// Names of both axes as they begin the names of result fields.
    pub const fn axis_words(self) -> (&'static str, &'static str) {
        match self {
            Self::GermanEquatorial | Self::ForkEquatorial => ("hour", "declination"),
            Self::AltAzimuth => ("azimuth", "altitude"),
        }
    }
}

/// One quantity of the set-up: what was said or set, and what it came to.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupRow {
    /// In words, such as `polar axis, altitude`.
    pub name: String,
    /// As set by its own key.
    pub set: Angle,
    /// Together with what else acts the same way (a lean of the base).
    pub total: Angle,
}

/// The figures of the whole night. An angle is `None` where there is nothing to measure.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Summary {
    /// How many targets were asked for.
    pub targets: usize,
    /// Share of them that stood in the field at the first look, 0 to 1; `None` without targets.
    pub in_field: Option<f64>,
    /// Visitors who saw the target.
    pub visitors_served: u64,
    /// Median miss.
    pub miss_median: Option<Angle>,
    /// Miss that 68 % keep within.
    pub miss_p68: Option<Angle>,
    /// Miss that 95 % keep within.
    pub miss_p95: Option<Angle>,
    /// Root of the mean squared miss.
    pub miss_rms: Option<Angle>,
    /// Root of the mean squared tracking error over all samples.
    pub tracking_rms: Option<Angle>,
    /// Largest peak-to-peak tracking error of any dwell.
    pub tracking_peak_to_peak: Option<Angle>,
    /// Median drift of the dwells, per second.
    pub drift_median: Option<AngularRate>,
    /// Time spent on alignment, polar axis and gears before the first target.
    pub alignment: Span,
}

/// How a go-to ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GotoOutcome {
    /// The mount arrived and somebody looked.
    Arrived,
    /// The mount refused.
    Refused,
    /// No position of the axes points there.
    Unreachable,
    /// The night ended before the look.
    NightOver,
}

impl GotoOutcome {
    /// Its word in results.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Arrived => "arrived",
            Self::Refused => "refused",
            Self::Unreachable => "unreachable",
            Self::NightOver => "night-over",
        }
    }
}

/// One target.
#[derive(Clone, Debug, PartialEq)]
pub struct GotoRow {
    /// The target as it was named.
    pub target: String,
    /// How it ended.
    pub outcome: GotoOutcome,
    /// What the mount said where it refused.
    pub refusal: Option<String>,
    /// Where the target is in the catalogue's system at the instant of the look (or of the request, if there was no look).
    pub icrs: (Angle, Angle),
    /// Diameter of the true field that was looked through.
    pub true_field: Angle,
    /// What was seen; `None` if nobody looked.
    pub look: Option<Look>,
}

impl GotoRow {
    /// Whether the target stood in the field at the first look.
    pub fn in_field(&self) -> bool {
        self.look.as_ref().is_some_and(|look| look.in_field)
    }
}

/// The instant of a look, and everything at it.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// The instant.
    pub at: Instant,
    /// Observed place of the target: azimuth, altitude.
    pub target: (Angle, Angle),
    /// Direction of the boresight: azimuth, altitude.
    pub boresight: (Angle, Angle),
    /// What the controller reads on its dials.
    pub dials: (Angle, Angle),
    /// True angles of the axes.
    pub axes: (Angle, Angle),
    /// `direct` or `through-pole`.
    pub solution: &'static str,
    /// `west`, `east` or `none`.
    pub tube_side: &'static str,
    /// Great circle from target to boresight.
    pub miss: Angle,
    /// Its part along the bearing at the target, towards the east.
    pub miss_east: Angle,
    /// And towards the north.
    pub miss_north: Angle,
    /// Whether the target stands in the field.
    pub in_field: bool,
    /// How long the slew took.
    pub slew: Span,
    /// How far off the mount's computer expected to be; `None` where its model can't say.
    pub predicted: Option<Predicted>,
}

/// How far off the mount's computer expects to be at one place, gears included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Predicted {
    /// Root of the expected squared miss.
    pub rms: Angle,
    /// Radius of the circle that should hold 68 % of such misses.
    pub p68: Angle,
    /// Radius of the circle that should hold 95 % of them.
    pub p95: Angle,
}

/// One dwell on a target.
#[derive(Clone, Debug, PartialEq)]
pub struct DwellRow {
    /// The target as it was named.
    pub target: String,
    /// Begin.
    pub begin: Instant,
    /// Length.
    pub length: Span,
    /// Length of the vector of both least-squares slopes, per second.
    pub drift: AngularRate,
    /// Root of the mean squared distance from the mean.
    pub rms: Angle,
    /// The larger of both axes' peak-to-peak.
    pub peak_to_peak: Angle,
    /// How long the target stood in the field.
    pub in_field: Span,
    /// By how much the field turned, from north through east.
    pub field_rotation: Angle,
}

/// One sample of a dwell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Index into [`Outcome::dwells`].
    pub dwell: usize,
    /// The instant.
    pub at: Instant,
    /// Observed place of the target: azimuth, altitude.
    pub target: (Angle, Angle),
    /// Direction of the boresight: azimuth, altitude.
    pub boresight: (Angle, Angle),
    /// Boresight minus target, towards the east, minus its value at the dwell's first sample.
    pub error_east: Angle,
    /// And towards the north.
    pub error_north: Angle,
    /// What the controller reads on its dials.
    pub dials: (Angle, Angle),
    /// True angles of the axes.
    pub axes: (Angle, Angle),
}

/// One sighting of the alignment.
#[derive(Clone, Debug, PartialEq)]
pub struct SightingRow {
    /// The star that was meant.
    pub star: String,
    /// When it was accepted.
    pub at: Instant,
    /// How far the first arrival was off.
    pub first_miss: Angle,
    /// How far from the star the boresight was when it was accepted.
    pub centring_miss: Angle,
    /// What the model leaves of it.
    pub residual: Option<Left>,
}

/// What a model leaves of a sighting: boresight by the model minus believed direction of the star.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// Its length on the sky.
    pub length: Angle,
    /// Its part towards the east.
    pub east: Angle,
    /// And towards the north.
    pub north: Angle,
    /// 1 where the sighting counted in full, less where the fit took it for an outlier.
    pub weight: f64,
}

/// One pass at the bolts: where the polar axis stood before and after, its elevated end too high and too far east.
#[derive(Clone, Debug, PartialEq)]
pub struct PolarRow {
    /// The star that was centred with the bolts, or the last one that was watched.
    pub star: String,
    /// When the bolts were locked.
    pub at: Instant,
    /// In truth, before (altitude, azimuth).
    pub before: (Angle, Angle),
    /// As the mount's model had it before; `None` if no star had told it.
    pub believed: Option<(Angle, Angle)>,
    /// In truth, after the bolts were locked.
    pub after: (Angle, Angle),
    /// How far each bolt was turned in all, to and fro, in turns (altitude, azimuth).
    pub turns: (f64, f64),
}

/// A correction of the periodic error that was recorded in the evening, and the truth beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct CorrectionRow {
    /// The star that was guided; `None` if none was found.
    pub star: Option<String>,
    /// When the recording began; `None` if it came to none.
    pub begin: Option<Instant>,
    /// When it was over and what was to be played was played.
    pub end: Option<Instant>,
    /// Over how many turns of the worm it was meant to go.
    pub turns: u64,
    /// How it ended, in a word: `kept`, `too-few`, `too-steep`, `interrupted` (as the mount told), `no-star`, `star-lost`,
    /// `power-lost`, `refused`, `night-over`.
    pub result: String,
    /// What the mount said where it refused.
    pub refusal: Option<String>,
    /// How many guide corrections in hour angle the mount counted.
    pub corrections: u64,
    /// Half of the range of the correction, as the mount told it.
    pub amplitude: Angle,
    /// Whether the worm has an index mark.
    pub index_mark: bool,
    /// Whether a correction was played after the recording.
    pub played: bool,
    /// Whether the drive still has a correction when the night is over.
    pub kept_at_end: bool,
    /// Whether it plays it then.
    pub plays_at_end: bool,
    /// The periodic error of the hour axis without any correction, in truth.
    pub uncorrected: PeriodicRow,
    /// As its drive ran before the recording; an earlier correction may have been played.
    pub before: Option<PeriodicRow>,
    /// What was left of it after the recording.
    pub left: Option<PeriodicRow>,
    /// What is left of it when the night is over.
    pub left_at_end: PeriodicRow,
}

/// How far a periodic error goes: worm and the stages before it, as an angle of the axis, over many turns of the worm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeriodicRow {
    /// Root of its mean square about its mean.
    pub rms: Angle,
    /// From its least to its greatest value.
    pub peak_to_peak: Angle,
}

/// The play of one axis as it was measured at a star, and the truth beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayRow {
    /// The axis, as the names of result fields begin: `hour`, `declination`, `azimuth`, `altitude`.
    pub axis: &'static str,
    /// The star; `None` if none was found.
    pub star: Option<String>,
    /// How many rounds came to a value.
    pub rounds: usize,
    /// Their mean.
    pub measured: Option<Angle>,
    /// Deviation of a single round; `None` with fewer than two.
    pub scatter: Option<Angle>,
    /// What the take-up was set to; `None` if it wasn't.
    pub take_up: Option<Angle>,
    /// What the mount said where it refused.
    pub refusal: Option<String>,
    /// The true play where it was measured.
    pub gap: Option<Angle>,
    /// Whether the load held the axis to a flank at a measurement: then the play doesn't show.
    pub held_by_load: bool,
    /// The true play where it is least round the wheel.
    pub gap_least: Angle,
    /// And where it is greatest.
    pub gap_greatest: Angle,
}

impl PlayRow {
    /// The take-up that was set less the play where it was measured: above zero a turn of the axis ends in a jump, below it in a
    /// wait.
    pub fn too_long(&self) -> Option<Angle> {
        Some(self.take_up? - self.gap?)
    }

    /// By how much the take-up is too long where the play is least round the wheel.
    pub fn too_long_at_most(&self) -> Option<Angle> {
        Some((self.take_up? - self.gap_least).max(Angle::ZERO))
    }

    /// By how much it is too short where the play is greatest.
    pub fn too_short_at_most(&self) -> Option<Angle> {
        Some((self.gap_greatest - self.take_up?).max(Angle::ZERO))
    }
}

/// What the mount's computer believes about itself.
#[derive(Clone, Debug, PartialEq)]
pub struct ModelBelief {
    /// The terms that its sightings determine.
    pub terms: Vec<TermBelief>,
    /// Those that they don't, and why.
    pub not_determined: Vec<OpenTerm>,
    /// How many sightings it rests on.
    pub sightings_used: usize,
    /// What the sightings leave.
    pub residual_rms: Angle,
}

/// One term of a model.
#[derive(Clone, Debug, PartialEq)]
pub struct TermBelief {
    /// In words.
    pub name: String,
    /// What it is believed to be.
    pub value: Angle,
    /// How well it is known.
    pub sigma: Option<Angle>,
    /// What it should be, as things stood at the last sighting: the true geometry as it looks from what was entered, so that
    /// an error of the clock is part of the first zero. For the bench's reader; the mount never sees it.
    pub truth: Angle,
}

/// A term that the sightings don't determine.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenTerm {
    /// What is believed of it all the same.
    pub belief: TermBelief,
    /// Why it isn't determined.
    pub reason: String,
    /// The star whose sighting would tell most about it, and how well it would be known then; `None` where no star helps.
    pub deciding: Option<(String, Angle)>,
}

/// One fault or disturbance that struck.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultRow {
    /// When.
    pub at: Instant,
    /// Its kind, in the scenario's word.
    pub kind: String,
    /// What it did, in words.
    pub detail: String,
}

/// One expectation and whether it held.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The key under `[expect]`.
    pub key: String,
    /// As the scenario has it.
    pub expected: String,
    /// What came out, with its unit.
    pub found: String,
    /// Whether it held.
    pub held: bool,
}

/// One cause, what the night would have been without it, and what it would have been with nothing else wrong.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BudgetRow {
    /// The cause, in words.
    pub cause: String,
    /// Share of targets in the field without it.
    pub in_field_without: Option<f64>,
    /// Median miss without it.
    pub miss_median_without: Option<Angle>,
    /// Share of targets in the field with this cause alone.
    pub in_field_alone: Option<f64>,
    /// Median miss with this cause alone.
    pub miss_median_alone: Option<Angle>,
}
