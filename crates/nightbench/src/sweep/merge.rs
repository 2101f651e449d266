//! `nightbench merge`: from the shards of many machines to the results of one.

use super::results;
use crate::exit::{Exit, Failure};
use crate::files::shown;
use crate::output;
use report::OutFolder;
use std::path::{Path, PathBuf};
use sweep::{Answers, DEFAULT_FOLDER, Problem, RowsFile, gather};

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct MergeArguments {
    /// Folders that hold shards
    #[arg(required = true, value_name = "FOLDER")]
    folders: Vec<PathBuf>,
    /// Folder for the results: sweep.html, sweep.json, nights.parquet [nightbench-sweep]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Print sweep.json alone; writes a folder only where --out names one
    #[arg(long)]
    json: bool,
    /// Width of the table, 40 to 160 [the terminal's by COLUMNS, else 80]
    #[arg(long, value_name = "NUMBER", value_parser = output::columns_of)]
    columns: Option<usize>,
    /// Print no table
    #[arg(long, conflicts_with = "json")]
    quiet: bool,
}

/// Gathers the shards, writes the folder, prints the answer.
///
/// # Errors
/// A failure that lists every missing, foreign and damaged shard, with the status to end with.
pub fn run(arguments: &MergeArguments) -> Result<Exit, Failure> {
    let gathered = gather(&arguments.folders).map_err(|problems| failure(&problems))?;
    let folder = match &arguments.out {
        Some(path) => Some(path.as_path()),
        None if arguments.json => None,
        None => Some(Path::new(DEFAULT_FOLDER)),
    };
    let folder = folder.map(OutFolder::open).transpose();
    let folder = folder.map_err(|error| Failure::new(Exit::OutsideFailed, error))?;
    let tally = gathered.tally().map_err(|problem| failure(&[problem]))?;
    let answers = Answers::of(&gathered.about, tally);
    if let Some(folder) = &folder {
        let files = gathered.files.iter().map(|path| {
            RowsFile::open(path).map_err(|damage| failure(&[Problem::Damaged(shown(path), damage)]))
        });
        results::write(folder, &answers, files)?;
    }
    let shown = results::Shown {
        json: arguments.json,
        quiet: arguments.quiet,
        columns: arguments.columns,
        folder: folder.as_ref(),
    };
    shown.say(&answers)?;
    Ok(if answers.held() { Exit::Held } else { Exit::ExpectationFailed })
}

fn failure(problems: &[Problem]) -> Failure {
    let lines: Vec<String> = problems.iter().map(|problem| format!("error: {problem}\n")).collect();
    Failure { message: lines.concat(), exit: Exit::Unusable }
}
