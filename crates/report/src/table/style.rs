//! What the terminal can show: colour, and characters beyond ASCII.

use crate::escape::harmless;
use unicode_width::UnicodeWidthStr as _;

/// How the table is to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TableStyle {
    /// Colour and bold type by SGR sequences (ECMA-48); for a terminal only.
    pub colour: bool,
    /// Characters beyond ASCII: degree signs, primes, lines.
    pub unicode: bool,
}

/// What a piece of text says beside its words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tone {
    Plain,
    Heading,
    Quiet,
    Good,
    Bad,
    Careful,
}

impl Tone {
    const fn code(self) -> Option<&'static str> {
        match self {
            Self::Plain => None,
            Self::Heading => Some("1"),
            Self::Quiet => Some("2"),
            Self::Good => Some("32"),
            Self::Bad => Some("31"),
            Self::Careful => Some("33"),
        }
    }
}

impl TableStyle {
    /// The text in a tone's colour; unchanged without colour.
    pub(crate) fn toned(self, tone: Tone, text: &str) -> String {
        match tone.code().filter(|_| self.colour && !text.is_empty()) {
            Some(code) => format!("\u{1b}[{code}m{text}\u{1b}[0m"),
            None => text.to_owned(),
        }
    }

    /// A text of the scenario or the bench, fit to be shown: nothing that steers, and ASCII alone where that is asked.
    pub(crate) fn shown(self, text: &str) -> String {
        let text = harmless(text);
        if self.unicode { text.into_owned() } else { text.chars().fold(String::new(), push_ascii) }
    }

    /// Cuts a text to a width in columns and marks the cut.
    pub(crate) fn cut(self, text: &str, width: usize) -> String {
        if text.width() <= width {
            return text.to_owned();
        }
        let mark = if self.unicode { "…" } else { "~" };
        // Measured as a whole each time: some characters change the width of the one before them.
        let mut cut = String::new();
        for c in text.chars() {
            cut.push(c);
            if cut.width() + mark.width() > width {
                cut.pop();
                break;
            }
        }
        cut.truncate(cut.trim_end().len());
        cut.push_str(mark);
        cut
    }

    pub(crate) const fn degree(self) -> &'static str {
        if self.unicode { "°" } else { " deg" }
    }

    pub(crate) const fn arcminute(self) -> &'static str {
        if self.unicode { "′" } else { "'" }
    }

    pub(crate) const fn arcsecond(self) -> &'static str {
        if self.unicode { "″" } else { "\"" }
    }

    pub(crate) const fn rule(self) -> &'static str {
        if self.unicode { "─" } else { "-" }
    }
}

/// Signs that the bench's own sentences use, in ASCII; any other character becomes a question mark.
fn push_ascii(mut text: String, c: char) -> String {
    match c {
        '°' => text.push_str(" deg"),
        '′' | '’' | '‘' => text.push('\''),
        '″' | '“' | '”' => text.push('"'),
        '−' | '–' => text.push('-'),
        '≤' => text.push_str("<="),
        '≥' => text.push_str(">="),
        '±' => text.push_str("+-"),
        '×' => text.push('x'),
        '\u{a0}' | '\u{2009}' | '\u{202f}' => text.push(' '),
        c if c.is_ascii() => text.push(c),
        _ => text.push('?'),
    }
    text
}
