//! What is wrong with a file, where, and how to mend it; and its picture in plain text.

use std::fmt::Write as _;
use std::ops::Range;

/// What sort of mistake a complaint is about; programs may match on it, people read the sentences.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ComplaintKind {
    /// The bytes are no text, or too many.
    NotText,
    /// The text is no TOML.
    Syntax,
    /// A key or a table stands twice.
    Duplicate,
    /// There is no such key.
    UnknownKey,
    /// A key that must be there isn't.
    MissingKey,
    /// A value of the wrong type: a bare number where a quantity is due, a local date-time.
    WrongType,
    /// A quantity whose text can't be read: no unit, an unknown unit, no number.
    WrongQuantity,
    /// A word that isn't one of those allowed.
    UnknownWord,
    /// A name that no catalogue has.
    UnknownTarget,
    /// A value outside its range.
    OutOfRange,
    /// A key that has no meaning for this kind of mount or beside its neighbours.
    OutOfPlace,
    /// A value that is good in itself and can't be served all the same.
    Unusable,
    /// The night would cost too much to play.
    TooMuch,
    /// Part of the contract, not built yet.
    NotBuiltYet,
}

/// A complaint about one place of a scenario file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{key}: {problem}; {expected}")]
pub struct Complaint {
    /// The dotted path of the key, list places in brackets: `observe[2].target`; empty for the file as a whole.
    pub key: String,
    /// The faulty part, as a byte range of the file.
    pub span: Range<usize>,
    /// The line of its begin, from 1.
    pub line: usize,
    /// The column of its begin in characters, from 1.
    pub column: usize,
    /// What sort of mistake it is.
    pub kind: ComplaintKind,
    /// What is wrong.
    pub problem: String,
    /// What was expected and how to mend it.
    pub expected: String,
}

/// A line is shown at most this wide, in characters, so that a file without line ends can't flood a terminal.
const SHOWN_WIDTH: usize = 100;

impl Complaint {
    /// A complaint about `span` of `source`.
    pub fn new(
        source: &str,
        key: impl Into<String>,
        span: Range<usize>,
        kind: ComplaintKind,
        problem: impl Into<String>,
        expected: impl Into<String>,
    ) -> Self {
        let start = floor_boundary(source, span.start);
        let end = floor_boundary(source, span.end).max(start);
        let before = &source[..start];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        Self {
            key: key.into(),
            span: start..end,
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
            kind,
            problem: problem.into(),
            expected: expected.into(),
        }
    }

    /// A picture for a terminal, in plain text: what, where, the line with a mark under the fault, and how to mend it.
    ///
    /// `source` is the text that was read. Control characters of the file are not passed on.
    ///
    /// ```text
    /// error: unknown unit `arcsecs`
    ///   in mount.hour_axis.backlash
    ///   at gusty.toml:7:17
    ///    |
    ///  7 | backlash = "100 arcsecs"
    ///    |                 ^^^^^^^ did you mean `arcsec`?
    /// ```
    pub fn render(&self, file_name: &str, source: &str) -> String {
        let mut text = format!("error: {}\n", harmless(&self.problem));
        if !self.key.is_empty() {
            let _ = writeln!(text, "  in {}", harmless(&self.key));
        }
        let _ = writeln!(text, "  at {}:{}:{}", harmless(file_name), self.line, self.column);
        let start = floor_boundary(source, self.span.start);
        let line_start = source[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = source[start..].find('\n').map_or(source.len(), |at| start + at);
        // What is wrong with the file as a whole has no line of its own.
        let whole_file = self.span == (0..0);
        if line_start == line_end || whole_file {
            let _ = writeln!(text, "  {}", harmless(&self.expected));
            return text;
        }
        let (shown, indent, width) = excerpt(
            &source[line_start..line_end],
            start - line_start,
            self.span.end.min(line_end) - line_start,
        );
        let number = self.line.to_string();
        let gutter = " ".repeat(number.len());
        let _ = writeln!(text, " {gutter} |");
        let _ = writeln!(text, " {number} | {shown}");
        let marks = "^".repeat(width.max(1));
        let _ = writeln!(text, " {gutter} | {indent}{marks} {}", harmless(&self.expected));
        text
    }
}

/// The part of a line that is shown, the blanks before the mark, and the mark's width; offsets are bytes of the line.
fn excerpt(line: &str, from: usize, to: usize) -> (String, String, usize) {
    let from = floor_boundary(line, from);
    let to = floor_boundary(line, to).max(from);
    let before: Vec<char> = line[..from].chars().collect();
    let skipped = before.len().saturating_sub(SHOWN_WIDTH / 2);
    let mut shown = String::new();
    let mut indent = String::new();
    if skipped > 0 {
        shown.push('…');
        indent.push(' ');
    }
    for &c in &before[skipped..] {
        shown.push(printable(c));
        indent.push(if c == '\t' { '\t' } else { ' ' });
    }
    let left = SHOWN_WIDTH.saturating_sub(before.len() - skipped);
    let rest = line[from..].trim_end_matches('\r');
    shown.extend(rest.chars().take(left).map(printable));
    let shortened = rest.chars().nth(left).is_some();
    if shortened {
        shown.push('…');
    }
    let marked = line[from..to].trim_end_matches('\r').chars().count().min(left);
    (shown, indent, marked)
}

/// A text without control characters: what a file says must not steer a terminal.
fn harmless(text: &str) -> String {
    text.chars().map(printable).collect()
}

fn printable(c: char) -> char {
    if c == '\t' || !c.is_control() { c } else { '\u{fffd}' }
}

/// The last character boundary at or before `at`.
fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
