//! From text to a tree: the TOML parser's errors in our words.

use crate::complaint::ComplaintKind;
use crate::reader::Reader;
use std::ops::Range;
use toml::Spanned;
use toml::de::DeTable;

/// Parses the text as far as it can be understood; complains about the rest.
pub(crate) fn parse<'s>(source: &'s str, reader: &mut Reader<'s>) -> Spanned<DeTable<'s>> {
    let (tree, errors) = DeTable::parse_recoverable(source);
    for error in &errors {
        reader.broken |= error.message() != "duplicate key";
        if reader.is_full() {
            reader.skip_check();
            break;
        }
        let span = error.span().unwrap_or(0..0);
        let message = error.message();
        if message == "duplicate key" {
            duplicate(source, span, reader);
        } else {
            let (problem, expected) = explained(source, &span, message);
            reader.complain("", span, ComplaintKind::Syntax, problem, expected);
        }
    }
    tree
}

fn duplicate(source: &str, span: Range<usize>, reader: &mut Reader) {
    let name = source.get(span.clone()).unwrap_or_default();
    let shown: String = name.chars().take(40).collect();
    let expected = match first_place(source, &span) {
        Some(line) => format!("it stands in line {line} already; keep one of the two"),
        None => "it was given before; keep one of the two".to_owned(),
    };
    let problem = format!("`{shown}` stands twice");
    reader.complain(name, span, ComplaintKind::Duplicate, problem, expected);
}

/// The line, from 1, in which a duplicate key stood first.
fn first_place(source: &str, span: &Range<usize>) -> Option<usize> {
    let name = source.get(span.clone())?;
    let before = source.get(..span.start)?;
    let this_line = before.rfind('\n').map_or(0, |at| at + 1);
    let this_number = before.matches('\n').count() + 1;
    let whole_line = source[this_line..].lines().next()?;
    if let Some(header) = header_of(whole_line) {
        return source
            .lines()
            .take(this_number - 1)
            .position(|line| header_of(line) == Some(header))
            .map(|i| i + 1);
    }
    if keys_of(&before[this_line..]).any(|key| key == name) {
        return Some(this_number);
    }
    let earlier: Vec<&str> = before[..this_line].lines().collect();
    for (index, line) in earlier.iter().enumerate().rev() {
        if header_of(line).is_some() {
            return None;
        }
        if keys_of(line).any(|key| key == name) {
            return Some(index + 1);
        }
    }
    None
}

/// The path of a table header line.
fn header_of(line: &str) -> Option<&str> {
    let inner = line.trim_start().strip_prefix('[')?;
    let inner = inner.strip_prefix('[').unwrap_or(inner);
    let end = inner.find(']')?;
    Some(inner[..end].trim())
}

/// The words of a line that stand before an equals sign.
fn keys_of(line: &str) -> impl Iterator<Item = &str> {
    line.match_indices('=').filter_map(|(at, _)| {
        let before = line[..at].trim_end();
        let start =
            before.rfind(|c: char| c.is_whitespace() || matches!(c, '{' | ',' | '.')).map_or(0, |i| i + 1);
        before.get(start..).filter(|word| !word.is_empty())
    })
}

/// What a broken line lacks, as far as it can be guessed, and how it is mended.
fn explained(source: &str, span: &Range<usize>, message: &str) -> (String, String) {
    let start = source.get(..span.start).map_or(0, |before| before.rfind('\n').map_or(0, |at| at + 1));
    let line = source.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    let value = line.split_once('=').map(|(_, value)| value.split('#').next().unwrap_or_default().trim());
    let said = format!("the file can't be read here: {message}");
    match value {
        Some("") => ("a value is missing".to_owned(), "write a value after the `=`".to_owned()),
        Some(value) if quantity_without_quotes(value) => {
            ("a quantity stands in quotes".to_owned(), format!("write \"{value}\""))
        }
        Some(value) if value.starts_with(|c: char| c.is_ascii_digit()) && value.contains(':') => {
            (said, "a date-time is written as 2027-03-06T20:30:00+01:00".to_owned())
        }
        _ => {
            (said, "lines are `key = value` or `[section]`; texts and quantities stand in quotes".to_owned())
        }
    }
}

/// `100 arcsec`, `-4.5deg`: begins like a number, ends in letters.
fn quantity_without_quotes(value: &str) -> bool {
    value.len() < 40
        && value.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'))
        && !value.contains([':', '"', '\''])
        && value.ends_with(|c: char| c.is_ascii_alphanumeric() || c == '%')
        && value.contains(|c: char| c.is_ascii_alphabetic() || c == '%')
}
