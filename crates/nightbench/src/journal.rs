//! Journals as files: one that grows while a mount is served, and one that is played again.

use crate::exit::{Exit, Failure};
use crate::files::{Source, shown, text_of};
use crate::output;
use ::trial::matrix::with_faults;
use bench::JournalHead;
use scenario::Plan;
use serde_json::json;
use std::fs::File;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use units::{Quantity as _, Span};
use world::Replayed;

/// The longest journal that is read: that of some hundred busy nights.
const BYTES_MOST: u64 = 1 << 28;

/// A journal that grows line by line.
pub struct JournalFile {
    path: PathBuf,
    file: File,
}

impl JournalFile {
    /// Begins one with its head.
    ///
    /// # Errors
    /// A failure in words if it can't be written.
    pub fn begin(path: &Path, head: &str) -> Result<Self, Failure> {
        let file = File::create(path).map_err(|error| unwritten(path, &error))?;
        let mut journal = Self { path: path.to_owned(), file };
        journal.add(head)?;
        Ok(journal)
    }

    /// Adds lines, and hands them to the system at once.
    ///
    /// # Errors
    /// A failure in words if they can't be written.
    pub fn add(&mut self, lines: &str) -> Result<(), Failure> {
        self.file.write_all(lines.as_bytes()).map_err(|error| unwritten(&self.path, &error))
    }
}

fn unwritten(path: &Path, error: &std::io::Error) -> Failure {
    Failure::new(Exit::OutsideFailed, format!("the journal `{}` can't be written: {error}", shown(path)))
}

/// A length of time after the begin, as it is typed.
///
/// # Errors
/// A sentence for what is none.
pub fn moment_of(text: &str) -> Result<Span, String> {
    match Span::parse(text) {
        Ok(span) if span >= Span::ZERO => Ok(span),
        Ok(_) => Err("the night begins at 0 s".to_owned()),
        Err(error) => Err(format!("{}; {}", error.problem, error.remedy).replace('`', "")),
    }
}

/// Plays a journal again against its night, and says whether all came again.
///
/// # Errors
/// A failure in words for a journal that can't be used, or is of another night.
pub fn replay(
    path: &Path,
    source: &Source,
    plan_of: impl FnOnce(Option<u64>) -> Result<Plan, Failure>,
    seed: Option<u64>,
    until: Option<Span>,
    as_json: bool,
) -> Result<Exit, Failure> {
    let unusable = |sentence: String| Failure::new(Exit::Unusable, report::harmless(&sentence));
    let name = shown(path);
    let text = text_of(path, "journal", BYTES_MOST)?;
    let whole = text.rfind('\n').map_or("", |end| &text[..=end]);
    let (head, ..) =
        JournalHead::read(whole).map_err(|error| unusable(format!("`{name}`: {}", error.sentence())))?;
    let plan = plan_of(seed.or(Some(head.seed)))?;
    let prepared = source.prepare(&plan).map_err(|complaints| source.failure(&complaints))?;
    let added = crate::trial::orders(&head.with, &prepared)
        .map_err(|failure| unusable(format!("`{name}`: {}", failure.message)))?;
    let prepared = with_faults(&prepared, &added);
    let mut replay = prepared.replay(whole).map_err(|error| unusable(format!("`{name}`: {error}")))?;
    let own = prepared.journal_head(head.allowed);
    if whole.len() < text.len() {
        output::tell("note: the journal's last line is cut short; it is left out\n");
    }
    if (&head.version, &head.maths) != (&own.version, &own.maths) {
        output::tell(&report::harmless(&format!(
            "note: the journal was written by version {} with the mathematics {}, this is version {} with {}\n",
            head.version, head.maths, own.version, own.maths
        )));
    }
    let found = replay.play_to(until);
    output::say(&if as_json { format!("{}\n", as_object(&found)) } else { as_text(&found) })?;
    Ok(if matches!(found, Replayed::Same { .. }) { Exit::Held } else { Exit::ExpectationFailed })
}

fn as_object(found: &Replayed) -> serde_json::Value {
    match found {
        Replayed::Same { lines, at, digest } => json!({
            "same": true, "lines": lines, "seconds": at.seconds(), "state": format!("{digest:016x}"),
        }),
        Replayed::Differs { line, expected, got } => {
            json!({ "same": false, "line": line, "expected": expected, "got": got })
        }
    }
}

fn as_text(found: &Replayed) -> String {
    let line = |line: &Option<String>| match line {
        Some(line) => report::harmless(line).into_owned(),
        None => "nothing".to_owned(),
    };
    match found {
        Replayed::Same { lines, at, digest } => {
            format!("the same: {lines} lines, {:.3} s after the begin, state {digest:016x}\n", at.seconds())
        }
        Replayed::Differs { line: number, expected, got } => {
            format!("line {number} differs\n  expected: {}\n  got:      {}\n", line(expected), line(got))
        }
    }
}
