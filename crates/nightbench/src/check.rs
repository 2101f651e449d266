//! `nightbench check`: judges scenario files without playing them.

use crate::exit::{Exit, Failure};
use crate::files::Source;
use crate::output;
use scenario::{Complaint, Study};
use serde_json::{Value, json};
use std::path::PathBuf;

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct CheckArguments {
    /// Scenario files, `-` for standard input
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Print the findings as JSON
    #[arg(long)]
    json: bool,
}

/// Reads each file and makes it ready as `night` would; says which are good, and of the others what is wrong.
///
/// # Errors
/// Only for standard output; what is wrong with a file is an answer, told on standard error and in the status.
pub fn run(arguments: &CheckArguments) -> Result<Exit, Failure> {
    let mut exit = Exit::Held;
    let mut findings = Vec::new();
    for path in &arguments.files {
        let name = path.display().to_string();
        match judge(path) {
            Ok(complaints) if complaints.is_empty() => {
                if !arguments.json {
                    output::say(&format!("{}: good\n", report::harmless(&name)))?;
                }
                findings.push(finding(&name, &complaints));
            }
            Ok(complaints) => {
                findings.push(finding(&name, &complaints));
                exit = Exit::Unusable;
            }
            Err(failure) => {
                output::tell(&failure.message);
                findings.push(json!({ "file": name, "good": false, "complaints": [], "unreadable": failure.message.trim_end() }));
                if exit == Exit::Held {
                    exit = failure.exit;
                }
            }
        }
    }
    if arguments.json {
        output::say(&format!("{:#}\n", Value::Array(findings)))?;
    }
    Ok(exit)
}

/// All complaints about a file; they are told on the way.
fn judge(path: &std::path::Path) -> Result<Vec<Complaint>, Failure> {
    let source = Source::open(path)?;
    let complaints = judged(&source).err().unwrap_or_default();
    if !complaints.is_empty() {
        output::tell(&source.failure(&complaints).message);
    }
    Ok(complaints)
}

/// Every case of a file is held to what a single night is.
fn judged(source: &Source) -> Result<(), Vec<Complaint>> {
    let study = Study::read(source.text()?)?;
    for case in study.cases() {
        source.prepare(case.typical())?;
    }
    // And the night of the file's own seed, as it is drawn.
    source.prepare(&source.plan(None)?).map(|_| ())
}

fn finding(name: &str, complaints: &[Complaint]) -> Value {
    let complaints: Vec<Value> = complaints
        .iter()
        .map(|complaint| {
            json!({
                "key": complaint.key,
                "line": complaint.line,
                "column": complaint.column,
                "problem": complaint.problem,
                "expected": complaint.expected,
            })
        })
        .collect();
    json!({ "file": name, "good": complaints.is_empty(), "complaints": complaints })
}
