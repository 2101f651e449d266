//! Figures as the sheet says them.

use crate::table::{TableStyle, texts};
use unicode_width::UnicodeWidthStr as _;
use units::{Angle, Instant, Span};

const STYLE: TableStyle = TableStyle { colour: false, unicode: true };

/// An angle in the unit that suits its size: `0.02″`, `12.3″`, `8.4′`, `1.52°`.
pub(super) fn angle(value: Angle) -> String {
    texts::angle(value, STYLE)
}

pub(super) fn angle_or_dash(value: Option<Angle>) -> String {
    texts::angle_or_dash(value, STYLE)
}

/// A length of time: `45 s`, `18.0 min`, `2.5 h`.
pub(super) fn span(value: Span) -> String {
    texts::span(value)
}

/// The time of day in UTC: `19:31:07`.
pub(super) fn time_of_day(at: Instant) -> String {
    texts::time_of_day(at)
}

/// The day in UTC: `2027-03-06`.
pub(super) fn day(at: Instant) -> String {
    texts::day(at)
}

/// A share as per cent: `58 %`.
pub(super) fn percent(share: f64) -> String {
    texts::percent(share)
}

/// A count with its noun.
pub(super) fn plural(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// No more than so many columns of a text.
pub(super) fn shortened(text: &str, width: usize) -> String {
    let text = crate::harmless(text);
    if text.width() <= width { text.into_owned() } else { STYLE.cut(&text, width) }
}
