//! An outcome as text: `night.json`, `samples.csv`, the table for a terminal, and the folder that holds them.
//!
//! - [`night_json`]: everything that a night came to, for programs
//! - [`night_schema`]: the JSON Schema of that
//! - [`samples_csv`]: the samples of the dwells, a row each
//! - [`night_table`]: the night for eyes, 80 columns wide
//! - [`OutFolder`]: writes a set of files whole or not at all
//! - [`harmless`]: keeps what a file says from steering a terminal
//!
//! Nothing here computes physics: a number is printed as the bench measured it, or rounded.
#![forbid(unsafe_code)]

mod escape;
mod folder;
mod json;
mod samples;
mod schema;
mod table;

pub use escape::harmless;
pub use folder::{FolderError, FolderProblem, OutFolder, OutputFile};
pub use json::night_json;
pub use samples::samples_csv;
pub use schema::night_schema;
pub use table::{TableStyle, night_table};

/// The name of the file that [`night_json`] fills.
pub const NIGHT_FILE: &str = "night.json";
/// The name of the file that [`samples_csv`] fills.
pub const SAMPLES_FILE: &str = "samples.csv";
/// The folder that is written where none is named.
pub const DEFAULT_FOLDER: &str = "nightbench-out";
