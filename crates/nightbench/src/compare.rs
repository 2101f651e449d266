//! `nightbench compare`: two nights side by side.

use crate::exit::{Exit, Failure};
use crate::files::{OutFile, shown, text_of};
use crate::output;
use report::{NIGHT_FILE, NightFile, Tolerance};
use std::path::{Path, PathBuf};

/// More than any night has.
const BYTES_MOST: u64 = 256 << 20;

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct CompareArguments {
    /// The night before: a night.json, or the folder that holds it
    old: PathBuf,
    /// The night after, likewise
    new: PathBuf,
    /// How much worse each figure may get (TOML) [by nothing without it]
    #[arg(long, value_name = "FILE")]
    tolerance: Option<PathBuf>,
    /// Width of the table, 40 to 160 [the terminal's by COLUMNS, else 80]
    #[arg(long, value_name = "NUMBER", value_parser = output::columns_of)]
    columns: Option<usize>,
    /// Print the comparison as JSON
    #[arg(long)]
    json: bool,
    /// Write the comparison as a page for a browser too
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

/// Compares two nights, prints the answer; status 1 if something got worse than is tolerated.
///
/// # Errors
/// A failure in words with the status to end with.
pub fn run(arguments: &CompareArguments) -> Result<Exit, Failure> {
    let (old, new) = (night(&arguments.old)?, night(&arguments.new)?);
    let tolerance = match &arguments.tolerance {
        None => Tolerance::default(),
        Some(path) => Tolerance::read(&text_of(path, "tolerance file", BYTES_MOST)?)
            .map_err(|error| Failure::new(Exit::Unusable, format!("`{}`: {error}", shown(path))))?,
    };
    let page = arguments.html.as_deref().map(|path| OutFile::open(path, "--html")).transpose()?;
    let comparison = report::compare(&old, &new, &tolerance);
    if let Some(page) = page {
        page.write(&report::comparison_html(&comparison))?;
    }
    if arguments.json {
        output::say(&report::comparison_json(&comparison))?;
    } else {
        output::say(&report::comparison_table(
            &comparison,
            output::style(),
            output::columns(arguments.columns),
        ))?;
    }
    Ok(if comparison.worse().is_empty() { Exit::Held } else { Exit::ExpectationFailed })
}

fn night(path: &Path) -> Result<NightFile, Failure> {
    let path = if path.is_dir() { path.join(NIGHT_FILE) } else { path.to_owned() };
    NightFile::read(&text_of(&path, "night", BYTES_MOST)?).map_err(|error| {
        Failure::new(Exit::Unusable, format!("`{}` can't be compared: {error}", shown(&path)))
    })
}
