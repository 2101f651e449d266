//! An outcome as text: `night.json`, `samples.csv`, the table for a terminal, and the folder that holds them.
//!
//! - [`night_json`]: everything that a night came to, for programs
//! - [`night_schema`]: the JSON Schema of that
//! - [`samples_csv`]: the samples of the dwells, a row each
//! - [`night_table`]: the night for eyes, 80 columns wide
//! - [`night_html`]: the night as a page of drawings, one file
//! - [`samples_parquet`]: the same as Parquet, types and units in its metadata
//! - [`junit_xml`]: the verdicts for build servers
//! - [`compare`]: two nights side by side, as table, JSON or HTML
//! - [`OutFolder`]: writes a set of files whole or not at all
//! - [`harmless`]: keeps what a file says from steering a terminal
//!
//! Nothing here computes physics: a number is printed as the bench measured it, or rounded.
#![forbid(unsafe_code)]

mod charts;
mod columns;
mod compare;
mod escape;
mod folder;
mod json;
mod junit;
mod samples;
mod schema;
mod sheet;
mod table;

pub use charts::{ChartScale, Drawn, Series, chart};
pub use columns::samples_parquet;
pub use compare::{
    Change, Comparison, NightFile, NightFileError, Tolerance, ToleranceError, compare, comparison_html,
    comparison_json, comparison_table,
};
pub use escape::harmless;
pub use folder::{FolderError, FolderProblem, OutFolder, OutputFile, WholeFile, passing_file};
pub use json::night_json;
pub use junit::junit_xml;
pub use samples::samples_csv;
pub use schema::night_schema;
pub use sheet::{Cell, data_table, night_html, page};
pub use table::{TableStyle, night_table, night_table_within};

/// The name of the file that [`night_json`] fills.
pub const NIGHT_FILE: &str = "night.json";
/// The name of the file that [`samples_csv`] fills.
pub const SAMPLES_FILE: &str = "samples.csv";
/// The name of the file that [`samples_parquet`] fills.
pub const PARQUET_FILE: &str = "samples.parquet";
/// The name of the file that [`night_html`] fills.
pub const HTML_FILE: &str = "report.html";
/// The name of the file that [`junit_xml`] fills.
pub const JUNIT_FILE: &str = "junit.xml";
/// The folder that is written where none is named.
pub const DEFAULT_FOLDER: &str = "nightbench-out";
