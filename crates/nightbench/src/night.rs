//! `nightbench night`: plays one night.

use crate::exit::{Exit, Failure};
use crate::files::Source;
use crate::output;
use bench::Outcome;
use report::{DEFAULT_FOLDER, NIGHT_FILE, OutFolder, OutputFile, SAMPLES_FILE};
use std::path::{Path, PathBuf};

/// What the command is given.
#[derive(Debug, Default, clap::Args)]
pub struct NightArguments {
    /// Scenario file, `-` for standard input [the built-in night without it]
    file: Option<PathBuf>,
    /// Seed of the night's draws, in place of the file's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..1 << 53))]
    seed: Option<u64>,
    /// Folder for night.json and samples.csv [nightbench-out without it]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Print night.json alone; writes a folder only where --out names one
    #[arg(long)]
    json: bool,
    /// Print no table
    #[arg(long, conflicts_with = "json")]
    quiet: bool,
}

impl NightArguments {
    /// The folder to write, if any.
    fn folder(&self) -> Option<&Path> {
        match &self.out {
            Some(folder) => Some(folder),
            None if self.json => None,
            None => Some(Path::new(DEFAULT_FOLDER)),
        }
    }
}

/// Plays the night, writes the folder, prints the answer.
///
/// Whatever can be found unusable is found before the first star is gone to: the scenario, then the folder.
///
/// # Errors
/// A failure in words with the status to end with.
pub fn run(arguments: &NightArguments) -> Result<Exit, Failure> {
    let source = match &arguments.file {
        Some(path) => Source::open(path)?,
        None => Source::built_in(),
    };
    let mut plan = source.plan().map_err(|complaints| source.failure(&complaints))?;
    if arguments.seed.is_some() {
        plan.night.seed = arguments.seed;
    }
    let prepared = source.prepare(&plan).map_err(|complaints| source.failure(&complaints))?;
    let folder = arguments.folder().map(OutFolder::open).transpose().map_err(outside)?;
    let outcome = prepared.play();
    let night = report::night_json(&outcome);
    if let Some(folder) = &folder {
        write(folder, &outcome, &night)?;
    }
    if arguments.json {
        output::say(&night)?;
    } else if !arguments.quiet {
        output::say(&report::night_table(&outcome, output::style()))?;
        if let Some(folder) = &folder {
            let path = folder.path().display().to_string();
            output::tell(&format!("written to {}: {NIGHT_FILE}, {SAMPLES_FILE}\n", report::harmless(&path)));
        }
    }
    let held = outcome.verdicts.iter().all(|verdict| verdict.held);
    Ok(if held { Exit::Held } else { Exit::ExpectationFailed })
}

fn write(folder: &OutFolder, outcome: &Outcome, night: &str) -> Result<(), Failure> {
    let samples = report::samples_csv(outcome);
    // The night's own file comes last: where it is new, all are.
    let files = [
        OutputFile { name: SAMPLES_FILE, bytes: samples.as_bytes() },
        OutputFile { name: NIGHT_FILE, bytes: night.as_bytes() },
    ];
    folder.write(&files).map_err(outside)
}

fn outside(error: report::FolderError) -> Failure {
    Failure::new(Exit::OutsideFailed, error)
}
