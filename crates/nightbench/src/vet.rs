//! `nightbench vet`: the conformance suite of the line language against whatever answers at an address.

use crate::event_loop;
use crate::exit::{Exit, Failure};
use crate::files::OutFile;
use crate::output;
use crate::serve::{failure, read_token};
use link::Address;
use link::vet::{Finding, Subject, Verdict};
use serde_json::{Value, json};
use std::path::PathBuf;

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct VetArguments {
    /// HOST:PORT, or the path of a serial port or pseudo-terminal with or without @BAUD
    address: String,
    /// Try what moves the axes, too: by some degrees, so stand by
    #[arg(long)]
    may_move: bool,
    /// File with the token that the server wants to be shown
    #[arg(long, value_name = "FILE")]
    token_file: Option<PathBuf>,
    /// Print the findings as JSON
    #[arg(long)]
    json: bool,
    /// Write the findings as a JUnit report
    #[arg(long, value_name = "FILE")]
    junit: Option<PathBuf>,
}

/// Tries every requirement; the status says whether all that apply are met.
///
/// # Errors
/// Nobody answers, or the report can't be written.
pub fn run(arguments: &VetArguments) -> Result<Exit, Failure> {
    let address: Address = arguments.address.parse().map_err(failure)?;
    let token = arguments.token_file.as_deref().map(read_token).transpose()?;
    let subject = Subject { address, token, may_move: arguments.may_move };
    let junit = arguments.junit.as_deref().map(|path| OutFile::open(path, "--junit")).transpose()?;
    let runtime = event_loop::begin()?;
    let mut unsaid = Ok(());
    let told = |finding: &Finding| {
        if !arguments.json && unsaid.is_ok() {
            unsaid = output::say(&row(finding));
        }
    };
    let findings = runtime.block_on(link::vet::vet(&subject, told)).map_err(failure)?;
    unsaid?;
    if arguments.json {
        let all: Vec<Value> = findings.iter().map(as_json).collect();
        output::say(&format!("{:#}\n", Value::Array(all)))?;
    } else {
        output::say(&summary(&findings))?;
    }
    if let Some(junit) = junit {
        junit.write(&link::vet::junit(&subject.address.to_string(), &findings))?;
    }
    let failed = findings.iter().any(|finding| matches!(finding.verdict, Verdict::Failed(_)));
    Ok(if failed { Exit::ExpectationFailed } else { Exit::Held })
}

fn row(finding: &Finding) -> String {
    let demand = format!("{}  {}\n", finding.requirement.number, finding.requirement.demand);
    match &finding.verdict {
        Verdict::Passed => format!("passed   {demand}"),
        Verdict::NotApplicable(why) => format!("-        {demand}              {}\n", report::harmless(why)),
        Verdict::Failed(what) => {
            let lines: String = finding
                .lines
                .iter()
                .map(|line| format!("              {}\n", report::harmless(line)))
                .collect();
            format!("FAILED   {demand}              {}\n{lines}", report::harmless(what))
        }
    }
}

fn summary(findings: &[Finding]) -> String {
    let count = |of: fn(&Verdict) -> bool| findings.iter().filter(|finding| of(&finding.verdict)).count();
    let failed = count(|verdict| matches!(verdict, Verdict::Failed(_)));
    let left_out = count(|verdict| matches!(verdict, Verdict::NotApplicable(_)));
    let passed = findings.len() - failed - left_out;
    format!("{passed} passed, {failed} failed, {left_out} not applicable\n")
}

fn as_json(finding: &Finding) -> Value {
    let (verdict, why) = match &finding.verdict {
        Verdict::Passed => ("passed", None),
        Verdict::Failed(what) => ("failed", Some(what)),
        Verdict::NotApplicable(why) => ("not-applicable", Some(why)),
    };
    json!({
        "number": finding.requirement.number,
        "demand": finding.requirement.demand,
        "verdict": verdict,
        "why": why,
        "lines": finding.lines,
    })
}
