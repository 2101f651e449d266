//! Many nights of one scenario: strategies compared on the same draws, on one machine or on many.
//!
//! ```text
//! Study ─▶ run (nights in parallel) ─▶ files of rows ─▶ Tally ─▶ Answers ─▶ table, JSON, HTML, Parquet
//!                                        ▲
//!                         shards of other machines (merge)
//! ```
//!
//! - [`About`], [`NightRow`], [`RowsFile`]: what a sweep is of, what is kept of a night, and files that say of themselves what
//!   they are
//! - [`Sweep`]: plays a range of nights; stops when told to, goes on where it was
//! - [`gather`]: trusts files and nothing else; says which shards are missing, foreign or damaged
//! - [`Tally`], [`Answers`]: everything that is added up, in whole numbers; figures with intervals
//!
//! The same nights give the same bytes whatever the number of threads, shards, interruptions and machines: sums are of whole
//! numbers, samples are chosen by the nights' numbers.
#![forbid(unsafe_code)]

mod about;
mod answers;
mod compare;
mod file;
mod frame;
mod histogram;
mod json;
mod merge;
mod page;
mod resample;
mod row;
mod run;
mod schema;
mod sensitivity;
mod sentences;
mod shard;
mod table;
mod tally;
mod until;
mod words;

pub use about::{About, CaseAbout};
pub use answers::{Against, Answers, CaseAnswers};
pub use compare::{SweepComparison, SweepFile, SweepFileError, compare_sweeps};
pub use file::{Damage, RowsFile, shard_name};
pub use frame::{FrameError, FrameWriter};
pub use json::sweep_json;
pub use merge::{Gathered, Problem, gather};
pub use page::sweep_html;
pub use row::{CaseRow, NOTHING, NightRow};
pub use run::{Ended, PartialFolder, Sweep, SweepError, Watch};
pub use schema::sweep_schema;
pub use sensitivity::{InputShare, Sensitivity};
pub use shard::{Shard, ShardError};
pub use table::sweep_table;
pub use tally::Tally;
pub use until::{Until, UntilError};

/// The name of the file that [`sweep_json`] fills.
pub const SWEEP_FILE: &str = "sweep.json";
/// The name of the file that [`sweep_html`] fills.
pub const HTML_FILE: &str = "sweep.html";
/// The name of the file of nights as a data frame.
pub const FRAME_FILE: &str = "nights.parquet";
/// The folder that is written where none is named.
pub const DEFAULT_FOLDER: &str = "nightbench-sweep";
/// More nights than this in one sweep are refused: it would be days on a large machine.
pub const NIGHTS_MOST: u64 = 10_000_000;
