//! The table for a terminal: its bytes, its width, its colours.

mod common;

use common::{empty, eventful, holds_golden};
use report::{TableStyle, night_table};
use unicode_width::UnicodeWidthStr as _;

const PLAIN: TableStyle = TableStyle { colour: false, unicode: true };
const ASCII: TableStyle = TableStyle { colour: false, unicode: false };
const COLOUR: TableStyle = TableStyle { colour: true, unicode: true };

#[test]
fn the_pages_are_those_of_the_golden_files() {
    holds_golden("eventful.txt", &night_table(&eventful(), PLAIN));
    holds_golden("eventful-ascii.txt", &night_table(&eventful(), ASCII));
    holds_golden("empty.txt", &night_table(&empty(), PLAIN));
}

#[test]
fn no_line_is_wider_than_eighty_columns_or_ends_in_blanks() {
    for style in [PLAIN, ASCII] {
        for line in night_table(&eventful(), style).lines() {
            assert!(line.width() <= 80, "{}: {line}", line.width());
            assert_eq!(line, line.trim_end());
        }
    }
}

#[test]
fn without_colour_nothing_steers_and_without_unicode_all_is_ascii() {
    let plain = night_table(&eventful(), PLAIN);
    assert!(!plain.contains(|c: char| (c.is_control() && c != '\n') || c == '\u{202e}'));
    assert!(night_table(&eventful(), ASCII).is_ascii());
}

#[test]
fn colour_changes_nothing_but_colour() {
    let mut stripped = night_table(&eventful(), COLOUR);
    assert!(stripped.contains("\u{1b}[32min field\u{1b}[0m"));
    while let Some(begin) = stripped.find("\u{1b}[") {
        let end = begin + stripped[begin..].find('m').unwrap();
        stripped.replace_range(begin..=end, "");
    }
    assert_eq!(stripped, night_table(&eventful(), PLAIN));
}
