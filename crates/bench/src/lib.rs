//! Plays a plan and measures the gap between truth and belief.
#![forbid(unsafe_code)]

mod outcome;

pub use outcome::{
    BudgetRow, DwellRow, FaultRow, GotoOutcome, GotoRow, Look, ModelBelief, MountKind, Outcome, Sample, SetupRow,
    SightingRow, Summary, TermBelief, Verdict,
};
pub use sky::time::utc_text;
