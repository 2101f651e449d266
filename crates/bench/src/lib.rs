//! Plays a plan and measures the gap between truth and belief.
//!
//! ```text
//! Plan ── prepare ──▶ Prepared ── play ──▶ Outcome
//!            │                      the observer's line and eyepiece, on a world
//!            └──▶ complaints by key path
//! ```
//!
//! It prints nothing and opens nothing. What it measures it asks of [`world::World::truth`]; what the person is handed is
//! the traits of [`observer::seat`] and nothing more.
#![forbid(unsafe_code)]

mod advice;
mod almanac;
mod budget;
mod causes;
mod fingerprint;
mod journal;
pub mod live;
mod measured;
mod near_sun;
mod next_star;
mod outcome;
mod play;
mod prepare;
mod scene;
mod statistics;
mod verdicts;
mod watch;

pub use alignment::Criterion;
pub use almanac::Almanac;
pub use fingerprint::maths_fingerprint;
pub use journal::{JournalHead, NotThisNight};
pub use next_star::{AdviceError, StarAdvice, StarRow};
pub use outcome::{
    BudgetRow, CorrectionRow, DoubtRow, DwellRow, EffortRow, EveningAccount, FaultRow, GotoOutcome, GotoRow,
    Left, Look, ModelBelief, MountKind, NightFigures, NightInput, OpenTerm, Outcome, PeriodicRow, PlayRow,
    PolarRow, Predicted, Sample, SetupRow, SightingRow, Summary, TermBelief, TryRow, Verdict,
};
pub use prepare::{Prepared, built_keys, equipment_keys, prepare, prepare_with};
pub use scene::{ExpectedMiss, GearPeriod, PlayLoop, SKYLINE_STEP, Scene, Zone};
pub use sky::time::utc_text;
pub use verdicts::judge;
pub use watch::{Pulse, Recovery, TrialAccount, WatchedWorld};
