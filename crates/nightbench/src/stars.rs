//! `nightbench stars`: the best next alignment star, and what it will buy.

mod text;

use crate::exit::{Exit, Failure};
use crate::files::Source;
use crate::output;
use bench::{Criterion, StarAdvice, StarRow};
use serde_json::{Value, json};
use std::path::PathBuf;
use units::{Quantity as _, Span};

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct StarsArguments {
    /// Scenario file, `-` for standard input [the built-in night without it]
    file: Option<PathBuf>,
    /// Stars that were sighted already, in their order, with commas between: Regulus,Capella
    #[arg(long, value_name = "STARS", value_delimiter = ',')]
    given: Vec<String>,
    /// How long after the night's begin: 90 min [0 s]
    #[arg(long, value_name = "TIME", value_parser = span_of, default_value = "0 s", hide_default_value = true)]
    after: Span,
    /// What is to fall: the mean of the expected misses over the sky, or the largest of them
    #[arg(long, value_enum, default_value_t = By::Average)]
    by: By,
    /// How many stars are listed
    #[arg(long, value_name = "NUMBER", default_value_t = 12)]
    list: usize,
    /// Print the whole ranking as JSON
    #[arg(long)]
    json: bool,
}

/// By what stars are ranked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum By {
    Average,
    Worst,
}

fn span_of(text: &str) -> Result<Span, String> {
    let span = Span::parse(text).map_err(|error| format!("{}; {}", error.problem, error.remedy))?;
    let day = Span::from_whole_seconds(86_400);
    if (Span::ZERO..=day).contains(&span) { Ok(span) } else { Err("write 0 s to 24 h".to_owned()) }
}

/// Ranks the stars and tells.
///
/// # Errors
/// A failure in words with the status to end with.
pub fn run(arguments: &StarsArguments) -> Result<Exit, Failure> {
    let source = Source::named(arguments.file.as_deref())?;
    let prepared = source.prepared(None)?;
    let criterion = match arguments.by {
        By::Average => Criterion::Average,
        By::Worst => Criterion::Worst,
    };
    let given: Vec<String> = arguments.given.iter().map(|name| name.trim().to_owned()).collect();
    let advice = prepared
        .next_stars(&given, arguments.after, criterion)
        .map_err(|error| Failure::new(Exit::Unusable, report::harmless(&error.to_string())))?;
    if arguments.json {
        output::say(&format!("{:#}\n", as_json(&advice, arguments.by)))?;
    } else {
        output::say(&text::told(&advice, arguments.list))?;
    }
    Ok(Exit::Held)
}

fn as_json(advice: &StarAdvice, by: By) -> Value {
    let thumb = advice.by_thumb.map(|place| advice.rows[place].star.as_str());
    json!({
        "format": 1,
        "utc": bench::utc_text(advice.at, 3).unwrap_or_default(),
        "criterion": match by { By::Average => "average", By::Worst => "worst" },
        "given": advice.given,
        "expected_rms_arcsec": rounded(advice.rms.arcsec()),
        "expected_worst_arcsec": rounded(advice.worst.arcsec()),
        "stars": advice.rows.iter().map(star).collect::<Vec<_>>(),
        "rule_of_thumb": thumb,
    })
}

fn star(row: &StarRow) -> Value {
    json!({
        "star": row.star,
        "magnitude": row.magnitude,
        "azimuth_deg": rounded(row.azimuth.degrees()),
        "altitude_deg": rounded(row.altitude.degrees()),
        "solution": row.solution,
        "expected_rms_arcsec": rounded(row.rms.arcsec()),
        "expected_worst_arcsec": rounded(row.worst.arcsec()),
        "slew_deg": rounded(row.slew.degrees()),
        "turns_over": row.turns_over,
        "minutes": rounded(row.minutes),
    })
}

/// To four decimals: what comes after them is no knowledge.
fn rounded(value: f64) -> f64 {
    units::maths::round(value * 1e4) / 1e4
}
