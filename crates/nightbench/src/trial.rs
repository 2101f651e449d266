//! `nightbench trial`: a program of one's own against a night.

use crate::event_loop;
use crate::exit::{Exit, Failure};
use crate::files::{OutFile, Source, shown};
use crate::output;
use ::trial::matrix::{self, Cell, CellOutcome};
use ::trial::{Options, TrialOutcome, Way, read_orders, trial_json, trial_text, usual_fault};
use bench::Prepared;
use faults::{Kind, Order};
use report::{JUNIT_FILE, NIGHT_FILE, OutFolder, OutputFile, SAMPLES_FILE, harmless};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use tokio::time::Duration;

/// What a trial has beside the files of a night.
const TRIAL_FILE: &str = "trial.json";
/// What stands for each kind of fault alone.
const EACH_KIND: &str = "each-kind";

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct TrialArguments {
    /// Scenario files; `-` for standard input
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The program and its arguments; {port} and {address} become the mount's
    #[arg(last = true, required = true, value_name = "PROGRAM")]
    program: Vec<String>,
    /// Let the program reach the mount by a pseudo-terminal, not by a port
    #[cfg(target_os = "linux")]
    #[arg(long)]
    pty: bool,
    /// Let the night's time run N times as fast as the wall's, 1 to 1000 [the program steps it, by the verb `clock`]
    #[arg(long, value_name = "N", value_parser = speed)]
    speed: Option<f64>,
    /// Let only the program move the night's time, by the verb `clock`: the usual way
    #[arg(long, conflicts_with = "speed")]
    stepped: bool,
    /// A fault that is added to the night's own, such as `lost-reply chance=20%`; `each-kind` in a matrix for each of the
    /// kinds alone
    #[arg(long = "with", value_name = "FAULT")]
    with: Vec<String>,
    /// Seed of the night's draws, in place of the file's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..1 << 53), conflicts_with = "matrix")]
    seed: Option<u64>,
    /// Hold a trial for each file, each fault of --with (and none) and each seed, and find the fewest faults that fail
    #[arg(long)]
    matrix: bool,
    /// Seeds of a matrix, such as 1..20
    #[arg(long, value_name = "FROM..TO", requires = "matrix", value_parser = seeds, default_value = "1..1")]
    seeds: RangeInclusive<u64>,
    /// Trials of a matrix at once [as many as there are processors]
    #[arg(long, value_name = "N", requires = "matrix", value_parser = clap::value_parser!(u64).range(1..=256))]
    jobs: Option<u64>,
    /// The program's own language, in place of the line language
    #[arg(long, value_name = "FILE")]
    dialect: Option<PathBuf>,
    /// Seconds that the program may take to connect, or say nothing
    #[arg(long, value_name = "SECONDS", default_value_t = 30, value_parser = clap::value_parser!(u64).range(1..=86_400))]
    silence: u64,
    /// Seconds that a trial may take
    #[arg(long, value_name = "SECONDS", default_value_t = 600, value_parser = clap::value_parser!(u64).range(1..=604_800))]
    within: u64,
    /// Let the program order faults, by the verb `fault`
    #[arg(long)]
    allow_faults: bool,
    /// Folder for the results: night.json, trial.json, samples.csv, junit.xml
    #[arg(long, value_name = "FOLDER", conflicts_with = "matrix")]
    out: Option<PathBuf>,
    /// Write the journal: all that passed between the program and the mount, line by line; `night FILE --replay` plays it again
    #[arg(long, value_name = "FILE", conflicts_with = "matrix")]
    journal: Option<PathBuf>,
    /// Print trial.json alone; in a matrix one object on a line for each trial
    #[arg(long)]
    json: bool,
}

fn speed(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(speed) if (1.0..=1000.0).contains(&speed) => Ok(speed),
        _ => Err("write a number from 1 to 1000".to_owned()),
    }
}

fn seeds(text: &str) -> Result<RangeInclusive<u64>, String> {
    let (from, to) = text.split_once("..").unwrap_or((text, text));
    match (from.parse::<u64>(), to.parse::<u64>()) {
        (Ok(from), Ok(to)) if from <= to && to < 1 << 53 => Ok(from..=to),
        _ => Err("write the first and the last seed, such as 1..20".to_owned()),
    }
}

impl TrialArguments {
    fn options(&self) -> Result<Options, Failure> {
        #[cfg(target_os = "linux")]
        let way = if self.pty { Way::Pty } else { Way::Tcp };
        #[cfg(not(target_os = "linux"))]
        let way = Way::Tcp;
        Ok(Options {
            way,
            speed: self.speed,
            silence: Duration::from_secs(self.silence),
            within: Duration::from_secs(self.within),
            allow_faults: self.allow_faults,
            dialect: self.dialect.as_deref().map(read_dialect).transpose()?,
            journal: self.journal.is_some().then(|| self.with.clone()),
        })
    }

    /// The line that holds one trial of a matrix alone, and everything of it that it depends on.
    fn alone(&self, cell: &Cell) -> String {
        let mut words = vec!["nightbench".to_owned(), "trial".to_owned(), cell.scenario.clone()];
        let mut push = |option: &str, value: Option<String>| {
            words.extend(value.map(|value| [option.to_owned(), value]).into_iter().flatten());
        };
        push("--seed", Some(cell.seed.to_string()));
        push("--with", cell.fault.clone());
        push("--speed", self.speed.map(|speed| speed.to_string()));
        push("--dialect", self.dialect.as_ref().map(|path| path.display().to_string()));
        push("--silence", Some(self.silence.to_string()));
        push("--within", Some(self.within.to_string()));
        #[cfg(target_os = "linux")]
        words.extend(self.pty.then(|| "--pty".to_owned()));
        words.extend(self.allow_faults.then(|| "--allow-faults".to_owned()));
        words.push("--".to_owned());
        words.extend(self.program.iter().cloned());
        words.iter().map(|word| output::for_a_shell(word)).collect::<Vec<_>>().join(" ")
    }
}

/// Reads a dialect file.
pub fn read_dialect(path: &Path) -> Result<::trial::dialect::Dialect, Failure> {
    let name = shown(path);
    let text = std::fs::read_to_string(path).map_err(|error| {
        Failure::new(Exit::Unusable, format!("the dialect `{name}` can't be read: {error}"))
    })?;
    ::trial::dialect::Dialect::read(&text)
        .map_err(|error| Failure::new(Exit::Unusable, format!("{name}: {}", harmless(&error.to_string()))))
}

/// Holds the trial, or the matrix of trials.
///
/// # Errors
/// A failure in words with the status to end with: a scenario, a fault, a dialect, a folder, a program that can't be started.
pub fn run(arguments: &TrialArguments) -> Result<Exit, Failure> {
    if !arguments.matrix && arguments.files.len() > 1 {
        let sentence = "several files are for a matrix; add --matrix, or name one file";
        return Err(Failure::new(Exit::Unusable, sentence));
    }
    let options = arguments.options()?;
    let runtime = event_loop::begin()?;
    if arguments.matrix {
        return runtime.block_on(hold_matrix(arguments, &options));
    }
    let prepared = Source::open(&arguments.files[0])?.prepared(arguments.seed)?;
    let orders = orders(&arguments.with, &prepared)?;
    let prepared = matrix::with_faults(&prepared, &orders);
    let journal = arguments.journal.as_deref().map(|path| OutFile::open(path, "--journal")).transpose()?;
    let folder = arguments.out.as_deref().map(OutFolder::open).transpose()?;
    let outcome =
        runtime.block_on(::trial::run(&prepared, &arguments.program, &options)).map_err(trial_failure)?;
    let json = serde_json::to_string_pretty(&trial_json(&outcome)).unwrap_or_default() + "\n";
    if let (Some(file), Some(text)) = (&journal, &outcome.journal) {
        file.write(text)?;
    }
    if let Some(folder) = &folder {
        write(folder, &outcome, &json)?;
    }
    if arguments.json {
        output::say(&json)?;
    } else {
        let table = report::night_table_within(&outcome.night, output::style(), output::columns(None));
        output::say(&format!("{table}\n{}", trial_text(&outcome)))?;
    }
    Ok(if outcome.held() { Exit::Held } else { Exit::ExpectationFailed })
}

/// Faults in words, all together.
///
/// # Errors
/// A failure in words for the first that is none.
pub fn orders(texts: &[String], prepared: &Prepared) -> Result<Vec<Order>, Failure> {
    let unusable = |sentence: &str| Failure::new(Exit::Unusable, harmless(sentence));
    if let Some(text) = texts.iter().find(|text| text.contains(char::is_control)) {
        return Err(unusable(&format!("the fault `{text}` is more than one line; write it on one")));
    }
    read_orders(texts, prepared.world_spec().begin).map_err(|error| unusable(&error.to_string()))
}

fn write(folder: &OutFolder, outcome: &TrialOutcome, json: &str) -> Result<(), Failure> {
    let night = report::night_json(&outcome.night);
    let samples = report::samples_csv(&outcome.night);
    let junit = report::junit_xml(&outcome.night);
    Ok(folder.write(&[
        OutputFile { name: NIGHT_FILE, bytes: night.as_bytes() },
        OutputFile { name: TRIAL_FILE, bytes: json.as_bytes() },
        OutputFile { name: SAMPLES_FILE, bytes: samples.as_bytes() },
        OutputFile { name: JUNIT_FILE, bytes: junit.as_bytes() },
    ])?)
}

async fn hold_matrix(arguments: &TrialArguments, options: &Options) -> Result<Exit, Failure> {
    let mut cells = Vec::new();
    for file in &arguments.files {
        let source = Source::open(file)?;
        for seed in arguments.seeds.clone() {
            let prepared = source.prepared(Some(seed))?;
            let each = Kind::ALL.iter().map(|kind| usual_fault(*kind));
            let added = arguments.with.iter().flat_map(|text| match text.as_str() {
                EACH_KIND => each.clone().collect(),
                _ => vec![text.clone()],
            });
            for fault in std::iter::once(None).chain(added.map(Some)) {
                let orders = orders(fault.as_slice(), &prepared)?;
                let scenario = file.display().to_string();
                cells.push(Cell { scenario, fault, seed, prepared: matrix::with_faults(&prepared, &orders) });
            }
        }
    }
    let processors = std::thread::available_parallelism().map_or(1, usize::from);
    let at_once = arguments.jobs.map_or(processors, |jobs| jobs as usize);
    let count = cells.len();
    let json = arguments.json;
    let mut told = Ok(());
    let alone = |cell: &Cell| arguments.alone(cell);
    let outcomes = matrix::hold(cells, &arguments.program, options, at_once, |one| {
        if told.is_ok() {
            told = output::say(&if json {
                format!("{}\n", cell_json(one))
            } else {
                cell_text(one, &alone(&one.cell))
            });
        }
    })
    .await;
    told?;
    let held = outcomes.iter().filter(|one| one.held()).count();
    if !json {
        output::say(&format!("{held} of {count} trials held\n"))?;
    }
    if let Some(error) = outcomes.into_iter().find_map(|one| one.outcome.err()) {
        return Err(trial_failure(error));
    }
    Ok(if held == count { Exit::Held } else { Exit::ExpectationFailed })
}

/// What of a trial's expectations didn't hold.
fn failed(one: &CellOutcome) -> Vec<String> {
    match &one.outcome {
        Err(error) => vec![error.to_string()],
        Ok(outcome) => {
            let verdicts = outcome.night.verdicts.iter().filter(|verdict| !verdict.held);
            verdicts
                .map(|verdict| format!("{} {}, found {}", verdict.key, verdict.expected, verdict.found))
                .collect()
        }
    }
}

fn cell_text(one: &CellOutcome, alone: &str) -> String {
    let word = if one.held() { "held  " } else { "FAILED" };
    let Cell { scenario, fault, seed, .. } = &one.cell;
    let fault = fault.as_deref().unwrap_or("none");
    let mut text = format!("{word} {} with {} seed {seed}\n", harmless(scenario), harmless(fault));
    for line in failed(one) {
        text.push_str(&format!("       {}\n", harmless(&line)));
    }
    if let Some(fewest) = &one.fewest {
        let line = match fewest.as_slice() {
            [] => "fails still with nothing going wrong".to_owned(),
            fewest => format!("fails still with no more than: {}", fewest.join("; ")),
        };
        text.push_str(&format!("       {}\n", harmless(&line)));
    }
    if !one.held() {
        text.push_str(&format!("       alone: {}\n", harmless(alone)));
    }
    text
}

fn cell_json(one: &CellOutcome) -> serde_json::Value {
    let Cell { scenario, fault, seed, .. } = &one.cell;
    serde_json::json!({
        "scenario": scenario,
        "faults": fault.as_deref().unwrap_or("none"),
        "seed": seed,
        "held": one.held(),
        "failed": failed(one),
        "fewest": one.fewest,
    })
}

fn trial_failure(error: ::trial::TrialError) -> Failure {
    let exit = match &error {
        ::trial::TrialError::NoProgram | ::trial::TrialError::Program { .. } => Exit::Unusable,
        _ => Exit::OutsideFailed,
    };
    Failure::new(exit, harmless(&error.to_string()))
}
