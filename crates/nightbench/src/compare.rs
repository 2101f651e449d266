//! `nightbench compare`: two nights, or two sweeps, side by side.

use crate::exit::{Exit, Failure};
use crate::files::{OutFile, shown, text_of};
use crate::output;
use report::{NIGHT_FILE, NightFile, Tolerance};
use std::path::{Path, PathBuf};
use sweep::{SWEEP_FILE, SweepFile, compare_sweeps};

/// More than any night has.
const BYTES_MOST: u64 = 256 << 20;

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct CompareArguments {
    /// The night before: a night.json, or the folder that holds it; or a sweep.json, likewise
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
    if let (Some(old), Some(new)) = (sweep_text(&arguments.old), sweep_text(&arguments.new)) {
        return sweeps(arguments, &old, &new);
    }
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

/// The text of a sweep.json that a path names, or that stands in the folder it names; `None` for anything else.
fn sweep_text(path: &Path) -> Option<String> {
    let path = if path.is_dir() { path.join(SWEEP_FILE) } else { path.to_owned() };
    text_of(&path, "sweep", BYTES_MOST).ok().filter(|text| SweepFile::is_one(text))
}

/// Compares two sweeps: what differs by more than chance needs no tolerance.
fn sweeps(arguments: &CompareArguments, old: &str, new: &str) -> Result<Exit, Failure> {
    if arguments.tolerance.is_some() || arguments.html.is_some() {
        let sentence =
            "sweeps are compared by their intervals, as table or JSON; leave --tolerance and --html out";
        return Err(Failure::new(Exit::Unusable, sentence));
    }
    let read = |text: &str, path: &Path| {
        SweepFile::read(text).map_err(|error| {
            Failure::new(Exit::Unusable, format!("`{}` can't be compared: {error}", shown(path)))
        })
    };
    let comparison = compare_sweeps(&read(old, &arguments.old)?, &read(new, &arguments.new)?);
    output::say(&if arguments.json { comparison.json() } else { comparison.table() })?;
    Ok(if comparison.is_worse() { Exit::ExpectationFailed } else { Exit::Held })
}

fn night(path: &Path) -> Result<NightFile, Failure> {
    let path = if path.is_dir() { path.join(NIGHT_FILE) } else { path.to_owned() };
    NightFile::read(&text_of(&path, "night", BYTES_MOST)?).map_err(|error| {
        Failure::new(Exit::Unusable, format!("`{}` can't be compared: {error}", shown(&path)))
    })
}
