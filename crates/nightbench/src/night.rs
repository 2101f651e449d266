//! `nightbench night`: plays one night.

use crate::exit::{Exit, Failure};
use crate::files::Source;
use crate::output;
use bench::Outcome;
use report::{
    DEFAULT_FOLDER, HTML_FILE, JUNIT_FILE, NIGHT_FILE, OutFolder, OutputFile, PARQUET_FILE, SAMPLES_FILE,
};
use std::path::{Path, PathBuf};

/// What the command is given.
#[derive(Debug, Default, clap::Args)]
pub struct NightArguments {
    /// Scenario file, `-` for standard input [the built-in night without it]
    file: Option<PathBuf>,
    /// Seed of the night's draws, in place of the file's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..1 << 53))]
    seed: Option<u64>,
    /// Folder for the results: night.json, samples.csv, samples.parquet, report.html, and junit.xml where something is
    /// expected [nightbench-out without it]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Print night.json alone; writes a folder only where --out names one
    #[arg(long)]
    json: bool,
    /// Width of the table, 40 to 160 [the terminal's by COLUMNS, else 80]
    #[arg(long, value_name = "NUMBER", value_parser = output::columns_of)]
    columns: Option<usize>,
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
    let names = match &folder {
        Some(folder) => write(folder, &outcome, &night)?,
        None => Vec::new(),
    };
    if arguments.json {
        output::say(&night)?;
    } else if !arguments.quiet {
        output::say(&report::night_table_within(
            &outcome,
            output::style(),
            output::columns(arguments.columns),
        ))?;
        if let Some(folder) = &folder {
            let path = folder.path().display().to_string();
            output::tell(&format!("written to {}: {}\n", report::harmless(&path), names.join(", ")));
        }
    }
    let held = outcome.verdicts.iter().all(|verdict| verdict.held);
    Ok(if held { Exit::Held } else { Exit::ExpectationFailed })
}

/// Writes all files, and gives their names, what people open first at the front.
fn write(folder: &OutFolder, outcome: &Outcome, night: &str) -> Result<Vec<&'static str>, Failure> {
    let samples = report::samples_csv(outcome);
    let frames = report::samples_parquet(outcome);
    let page = report::night_html(outcome);
    let verdicts = report::junit_xml(outcome);
    let mut files = vec![
        OutputFile { name: SAMPLES_FILE, bytes: samples.as_bytes() },
        OutputFile { name: PARQUET_FILE, bytes: &frames },
        OutputFile { name: HTML_FILE, bytes: page.as_bytes() },
    ];
    // An earlier night's verdicts are replaced even by none: nobody shall read them as this night's.
    let judged = !outcome.verdicts.is_empty() || folder.path().join(JUNIT_FILE).exists();
    if judged {
        files.push(OutputFile { name: JUNIT_FILE, bytes: verdicts.as_bytes() });
    }
    // The night's own file comes last: where it is new, all are.
    files.push(OutputFile { name: NIGHT_FILE, bytes: night.as_bytes() });
    folder.write(&files).map_err(outside)?;
    let mut names = vec![HTML_FILE, NIGHT_FILE, SAMPLES_FILE, PARQUET_FILE];
    names.extend(judged.then_some(JUNIT_FILE));
    Ok(names)
}

fn outside(error: report::FolderError) -> Failure {
    Failure::new(Exit::OutsideFailed, error)
}
