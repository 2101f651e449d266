//! `nightbench new`: eight questions in plain words, and a scenario of one's own is there.

mod answers;
mod file;
mod suggest;

use crate::exit::{Exit, Failure};
use crate::files::shown;
use crate::output;
use answers::{Answers, QUESTIONS, Question};
use std::fs::OpenOptions;
use std::io::{self, BufRead as _, ErrorKind, IsTerminal as _, Write as _};
use std::path::{Path, PathBuf};

/// Where the scenario goes if no file is named.
const DEFAULT_FILE: &str = "my-night.toml";

/// How often a question is asked again.
const TRIES: usize = 3;

/// What the command is given. A question whose option is given isn't asked.
#[derive(Debug, Default, clap::Args)]
pub struct NewArguments {
    /// File to write; one that is there already stays as it is [my-night.toml without it]
    file: Option<PathBuf>,
    /// Latitude, longitude and height: `40.5 deg,-4.5 deg,440 m`
    #[arg(long = "where", value_name = "PLACE", allow_hyphen_values = true)]
    place: Option<String>,
    /// When the evening begins: `2027-03-06T20:30:00+01:00`
    #[arg(long, value_name = "INSTANT")]
    when: Option<String>,
    /// Kind of mount: german-equatorial, fork-equatorial or alt-azimuth
    #[arg(long, value_name = "KIND")]
    mount: Option<String>,
    /// How old and how loose it is: tight, usual or loose
    #[arg(long, value_name = "WORD")]
    age: Option<String>,
    /// Aperture and focal length of the tube, then the eyepieces: `150/1500 25/50 18/52`
    #[arg(long, value_name = "NUMBERS")]
    tube: Option<String>,
    /// How carefully you set up: hurried, usual or careful
    #[arg(long, value_name = "WORD")]
    care: Option<String>,
    /// How many visitors come to each target
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    visitors: Option<String>,
    /// Targets with commas between, or `suggest`
    #[arg(long, value_name = "NAMES")]
    targets: Option<String>,
    /// Ask nothing: what isn't given is as it would be for an empty answer
    #[arg(long)]
    no_questions: bool,
}

impl NewArguments {
    /// The options in the order of the questions.
    fn given(&self) -> [Option<&str>; 8] {
        [
            &self.place,
            &self.when,
            &self.mount,
            &self.age,
            &self.tube,
            &self.care,
            &self.visitors,
            &self.targets,
        ]
        .map(Option::as_deref)
    }
}

/// Asks, writes the file, and says what to do with it.
///
/// # Errors
/// An answer that can't be used, a file that is there already, a disk that fails; nothing is written then.
pub fn run(arguments: &NewArguments) -> Result<Exit, Failure> {
    let path = arguments.file.as_deref().unwrap_or(Path::new(DEFAULT_FILE));
    if path.symlink_metadata().is_ok() {
        return Err(is_there(path));
    }
    let mut answers = Answers::default();
    for (question, given) in QUESTIONS.iter().zip(arguments.given()) {
        match given {
            Some(text) => (question.take)(&mut answers, text)
                .map_err(|problem| Failure::new(Exit::Unusable, format!("{}: {problem}", question.option)))?,
            None if arguments.no_questions => usual(question, &mut answers)?,
            None => ask(question, &mut answers)?,
        }
    }
    let text = file::text(&answers);
    let plan = scenario::read(&text).map_err(|complaints| not_a_night(&complaints))?;
    bench::prepare(&plan).map_err(|complaints| not_a_night(&complaints))?;
    write(path, &text)?;
    let shown = shown(path);
    output::say(&format!("written to {shown}; play it with `nightbench night {shown}`\n"))?;
    Ok(Exit::Held)
}

fn usual(question: &Question, answers: &mut Answers) -> Result<(), Failure> {
    (question.take)(answers, question.usual).map_err(|problem| Failure::new(Exit::Unusable, problem))
}

/// Asks on standard error and reads an answer; an empty one, or the end of the input, takes what is usual.
fn ask(question: &Question, answers: &mut Answers) -> Result<(), Failure> {
    let terminal = io::stdin().is_terminal();
    for _ in 0..TRIES {
        output::tell(&format!("{} [{}] ", question.words, question.usual));
        let mut line = String::new();
        let read = io::stdin().lock().read_line(&mut line).map_err(|error| {
            Failure::new(Exit::OutsideFailed, format!("the answer can't be read: {error}; try again"))
        })?;
        if !terminal {
            output::tell("\n");
        }
        let text = line.trim();
        if read == 0 || text.is_empty() {
            return usual(question, answers);
        }
        match (question.take)(answers, text) {
            Ok(()) => return Ok(()),
            Err(problem) => output::tell(&format!("{problem}\n")),
        }
    }
    let sentence = format!("{TRIES} answers could not be used; give {} instead", question.option);
    Err(Failure::new(Exit::Unusable, sentence))
}

/// What the questions let through but the bench doesn't take: each complaint on a line.
fn not_a_night(complaints: &[scenario::Complaint]) -> Failure {
    let all: Vec<String> = complaints
        .iter()
        .map(|complaint| format!("{}: {}; {}", complaint.key, complaint.problem, complaint.expected))
        .collect();
    Failure::new(Exit::Unusable, format!("these answers make no night: {}", all.join("; ")))
}

fn is_there(path: &Path) -> Failure {
    let sentence = format!("`{}` is there already and stays as it is; name another file", shown(path));
    Failure::new(Exit::Unusable, sentence)
}

/// Makes the file; never one that is there.
fn write(path: &Path, text: &str) -> Result<(), Failure> {
    let outside = |error: io::Error| {
        let sentence = format!("`{}` can't be written: {error}; name another file", shown(path));
        Failure::new(Exit::OutsideFailed, sentence)
    };
    let mut file = match OpenOptions::new().write(true).create_new(true).open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::AlreadyExists => return Err(is_there(path)),
        Err(error) => return Err(outside(error)),
    };
    if let Err(error) = file.write_all(text.as_bytes()).and_then(|()| file.sync_all()) {
        // Half a scenario is worse than none.
        let _ = std::fs::remove_file(path);
        return Err(outside(error));
    }
    Ok(())
}
