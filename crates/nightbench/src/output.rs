//! Standard output and standard error, and what they can show.

use crate::exit::{Exit, Failure};
use report::TableStyle;
use std::ffi::OsStr;
use std::io::{self, ErrorKind, IsTerminal as _, Write as _};

/// Writes a result to standard output. A reader that has gone away is no failure: it has seen what it wanted.
pub fn say(text: &str) -> Result<(), Failure> {
    let mut output = io::stdout().lock();
    match output.write_all(text.as_bytes()).and_then(|()| output.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            let sentence = format!("the result can't be written to standard output: {error}; try again");
            Err(Failure::new(Exit::OutsideFailed, sentence))
        }
        _ => Ok(()),
    }
}

/// Writes to standard error. If that fails there is nobody left to tell.
pub fn tell(text: &str) {
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// Lets the libraries tell on standard error what they see: warnings, and with `verbose` every connection.
pub fn log(verbose: bool) {
    let level = if verbose {
        tracing_subscriber::filter::LevelFilter::DEBUG
    } else {
        tracing_subscriber::filter::LevelFilter::WARN
    };
    tracing_subscriber::fmt()
        .with_max_level(level)
        .with_writer(io::stderr)
        .with_ansi(false)
        .without_time()
        .init();
}

/// What standard output can show: colour on a terminal whose user didn't switch it off, and characters beyond ASCII
/// unless a terminal's locale rules them out.
pub fn style() -> TableStyle {
    let terminal = io::stdout().is_terminal();
    let value = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
    let colour = terminal && value("NO_COLOR").is_none() && value("TERM").is_none_or(|term| term != "dumb");
    // The first of these that is set decides (POSIX.1, chapter 8.2); a file or a pipe gets UTF-8 always.
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(value);
    TableStyle { colour, unicode: !terminal || locale.is_some_and(|locale| names_utf8(&locale)) }
}

/// A width of tables as it is given on the command line.
///
/// # Errors
/// A sentence for what is no number from 40 to 160.
pub fn columns_of(text: &str) -> Result<usize, String> {
    let columns = text.parse().ok().filter(|columns| (40..=160).contains(columns));
    columns.ok_or_else(|| "a table has 40 to 160 columns".to_owned())
}

/// The width of tables: the one that is asked for, else what a terminal says of itself in COLUMNS (POSIX.1, chapter 8.3),
/// else 80.
pub fn columns(asked: Option<usize>) -> usize {
    let said = || {
        let text = std::env::var_os("COLUMNS").filter(|_| io::stdout().is_terminal())?;
        text.to_str()?.parse::<usize>().ok()
    };
    asked.or_else(said).unwrap_or(80).clamp(40, 160)
}

/// Whether a locale such as `en_GB.UTF-8` or `C.utf8` writes UTF-8.
fn names_utf8(locale: &OsStr) -> bool {
    let locale = locale.to_string_lossy().to_ascii_lowercase();
    locale.contains("utf-8") || locale.contains("utf8")
}

/// A word as a shell takes it for one, on one line.
pub fn for_a_shell(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_./=:@".contains(c);
    if !word.is_empty() && word.chars().all(plain) {
        return word.to_owned();
    }
    format!("'{}'", report::harmless(word).replace('\'', r"'\''"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn locales() {
        assert!(names_utf8(OsStr::new("es_ES.UTF-8")));
        assert!(names_utf8(OsStr::new("C.utf8")));
        assert!(!names_utf8(OsStr::new("C")));
        assert!(!names_utf8(OsStr::new("en_US.ISO-8859-1")));
    }

    #[test]
    fn words_for_a_shell() {
        assert_eq!(for_a_shell("night-1.toml"), "night-1.toml");
        assert_eq!(for_a_shell("a night.toml"), "'a night.toml'");
        assert_eq!(for_a_shell("it's"), r"'it'\''s'");
        assert_eq!(for_a_shell(""), "''");
    }
}
