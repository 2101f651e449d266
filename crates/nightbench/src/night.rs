//! `nightbench night`: plays one night.

use crate::exit::{Exit, Failure};
use crate::files::{OutFile, Source, shown};
use crate::output;
use bench::Outcome;
use report::{
    DEFAULT_FOLDER, HTML_FILE, JUNIT_FILE, NIGHT_FILE, OutFolder, OutputFile, PARQUET_FILE, SAMPLES_FILE,
};
use scenario::{Plan, Study};
use std::path::{Path, PathBuf};
use units::Span;

/// What the command is given.
#[derive(Debug, Default, clap::Args)]
pub struct NightArguments {
    /// Scenario file, `-` for standard input [the built-in night without it]
    file: Option<PathBuf>,
    /// Seed of the night's draws, in place of the file's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..1 << 53))]
    seed: Option<u64>,
    /// The strategy, where the file's [vary] has several [the first]
    #[arg(long, value_name = "NAME")]
    strategy: Option<String>,
    /// A value of one of its factors; several may be given [the first]
    #[arg(long, value_name = "KEY=VALUE", value_parser = factor)]
    factor: Vec<(String, String)>,
    /// Folder for the results [nightbench-out without it]
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
    /// Write the journal: all that passed, line by line
    #[arg(long, value_name = "FILE")]
    journal: Option<PathBuf>,
    /// Play a journal of this night again and compare
    #[arg(long, value_name = "FILE", conflicts_with_all = ["out", "quiet", "columns", "journal"])]
    replay: Option<PathBuf>,
    /// With --replay: so long after the begin
    #[arg(long, value_name = "TIME", requires = "replay", value_parser = crate::journal::moment_of)]
    until: Option<Span>,
}

impl NightArguments {
    /// The one line that plays the same night again, everything in it that it depends on.
    fn again(&self, outcome: &Outcome) -> String {
        let mut line = "again: nightbench night".to_owned();
        let mut push = |word: &str| {
            line.push(' ');
            line.push_str(&output::for_a_shell(word));
        };
        if let Some(file) = &self.file {
            push(&file.display().to_string());
        }
        push("--seed");
        push(&outcome.seed.to_string());
        if let Some(strategy) = &self.strategy {
            push("--strategy");
            push(strategy);
        }
        for (key, value) in &self.factor {
            push("--factor");
            push(&format!("{key}={value}"));
        }
        let paths = [("--out", &self.out), ("--journal", &self.journal)];
        for (option, path) in paths.into_iter().filter_map(|(option, path)| Some((option, path.as_ref()?))) {
            push(option);
            push(&path.display().to_string());
        }
        for (option, given) in [("--json", self.json), ("--quiet", self.quiet)] {
            if given {
                push(option);
            }
        }
        let (version, scenario) = (env!("CARGO_PKG_VERSION"), &outcome.scenario_digest);
        format!("{line}  # version {version}, maths {}, scenario {scenario}\n", outcome.maths_fingerprint)
    }

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
    let source = Source::named(arguments.file.as_deref())?;
    let plan_of = |seed| plan(arguments, &source, seed);
    if let Some(path) = &arguments.replay {
        let NightArguments { seed, until, json, .. } = arguments;
        return crate::journal::replay(path, &source, plan_of, *seed, *until, *json);
    }
    let plan = plan_of(arguments.seed)?;
    let prepared = source.prepare(&plan).map_err(|complaints| source.failure(&complaints))?;
    let journal = arguments.journal.as_deref().map(|path| OutFile::open(path, "--journal")).transpose()?;
    let folder = arguments.folder().map(OutFolder::open).transpose()?;
    let outcome = match &journal {
        None => prepared.play(),
        Some(file) => {
            let (outcome, text) = prepared.play_with_journal();
            file.write(&text)?;
            outcome
        }
    };
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
            output::tell(&format!("written to {}: {}\n", shown(folder.path()), names.join(", ")));
        }
    }
    let held = outcome.verdicts.iter().all(|verdict| verdict.held);
    if !held {
        output::tell(&arguments.again(&outcome));
    }
    Ok(if held { Exit::Held } else { Exit::ExpectationFailed })
}

/// The night that is asked for: of one strategy at one value of every factor, everything drawn by its seed.
fn plan(arguments: &NightArguments, source: &Source, seed: Option<u64>) -> Result<Plan, Failure> {
    let text = source.text().map_err(|complaints| source.failure(&complaints))?;
    let study = Study::read(text).map_err(|complaints| source.failure(&complaints))?;
    let case = study.case(arguments.strategy.as_deref(), &arguments.factor);
    let case = case.map_err(|sentence| Failure::new(Exit::Unusable, report::harmless(&sentence)))?;
    let night = case.night(seed).map_err(|complaints| source.failure(&complaints))?;
    Ok(night.plan)
}

/// A factor and its value as they are given on the command line.
fn factor(text: &str) -> Result<(String, String), String> {
    let (key, value) = text.split_once('=').ok_or("write KEY=VALUE, such as setup.lean_north=\"1 deg\"")?;
    Ok((key.trim().to_owned(), value.trim().trim_matches('"').to_owned()))
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
    folder.write(&files)?;
    let mut names = vec![HTML_FILE, NIGHT_FILE, SAMPLES_FILE, PARQUET_FILE];
    names.extend(judged.then_some(JUNIT_FILE));
    Ok(names)
}
