//! `nightbench place`: where a thing is, when it rises, culminates and sets, and which way to look.

mod answer;
mod question;
mod table;
#[cfg(test)]
mod tests;
mod text;

use crate::exit::{Exit, Failure};
use crate::output;
use std::path::PathBuf;

/// What the command is given.
#[derive(Debug, Default, clap::Args)]
pub struct PlaceArguments {
    /// Name or designation: Betelgeuse, alpha Ori, 58 Ori, HR 2061, M 42, NGC 869, Moon
    #[arg(required_unless_present_any = ["ra", "table"], conflicts_with_all = ["ra", "table"])]
    target: Vec<String>,
    /// Right ascension in place of a name (ICRS, J2000.0), such as 5h35m17.3s
    #[arg(
        long,
        value_name = "ANGLE",
        requires = "dec",
        conflicts_with = "table",
        allow_hyphen_values = true
    )]
    ra: Option<String>,
    /// Declination to it, such as -5d23m28s
    #[arg(long, value_name = "ANGLE", requires = "ra", allow_hyphen_values = true)]
    dec: Option<String>,
    /// Instant: 2027-03-06T19:30:00Z, an offset in place of Z, or without either in the time of --zone [now]
    #[arg(long, value_name = "TIME", conflicts_with = "table")]
    at: Option<String>,
    /// Site: "40.5 deg,-4.5 deg,440 m" or 40.5,-4.5,440 (north, east, up); without it only what is the same everywhere
    #[arg(long, value_name = "LAT,LON,HEIGHT", conflicts_with = "table", allow_hyphen_values = true)]
    site: Option<String>,
    /// Air at the site: "965 hPa,9 degC,60 %", or none [standard at the height]
    #[arg(long, value_name = "PRESSURE,TEMPERATURE,HUMIDITY", requires = "site", allow_hyphen_values = true)]
    air: Option<String>,
    /// Time zone by name to read --at in and to print times in, such as Europe/Madrid [UTC]
    #[arg(long, value_name = "NAME", conflicts_with = "table")]
    zone: Option<String>,
    /// UT1-UTC: how far the Earth's turn is ahead of civil time; a second of it is 15 arcsec of hour angle [0 s]
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    ut1_minus_utc: Option<String>,
    /// Print the answer as JSON
    #[arg(long, conflicts_with = "table")]
    json: bool,
    /// Answer for every row of a CSV file (- for standard input), print CSV
    #[arg(long, value_name = "IN.csv")]
    table: Option<PathBuf>,
}

/// Answers one question, or each row of a table.
///
/// # Errors
/// A failure in words with the status to end with.
pub fn run(arguments: &PlaceArguments) -> Result<Exit, Failure> {
    let ut1_minus_utc = question::ut1_minus_utc(arguments).map_err(unusable)?;
    if let Some(path) = &arguments.table {
        let answer = table::answered(path, ut1_minus_utc)?;
        output::say(&answer)?;
        return Ok(Exit::Held);
    }
    let question = question::Question::read(arguments, ut1_minus_utc).map_err(unusable)?;
    let answer = answer::Answer::to(&question).map_err(unusable)?;
    let told = if arguments.json {
        format!("{:#}\n", answer.json(&question))
    } else {
        text::told(&question, &answer)
    };
    output::say(&told)?;
    Ok(Exit::Held)
}

fn unusable(sentence: String) -> Failure {
    Failure::new(Exit::Unusable, report::harmless(&sentence))
}
