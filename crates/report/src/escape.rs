//! Characters of a scenario that must not reach a terminal or a file as they are.

use std::borrow::Cow;

/// Whether a character can steer what shows it: a control character (C0, DEL, C1), a line or paragraph separator, or
/// one of Unicode's marks that turn the reading direction round.
pub(crate) fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The text with a replacement character (U+FFFD) for each character that could steer a terminal: an escape sequence,
/// a line end or a change of reading direction in a target's name stays without effect.
pub fn harmless(text: &str) -> Cow<'_, str> {
    if text.contains(steers) {
        Cow::Owned(text.chars().map(|c| if steers(c) { '\u{fffd}' } else { c }).collect())
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_that_steers_is_left() {
        assert_eq!(harmless("M 42"), "M 42");
        assert_eq!(harmless("α Orionis"), "α Orionis");
        assert_eq!(harmless("a\u{1b}[2Jb"), "a\u{fffd}[2Jb");
        assert_eq!(harmless("a\nb\u{9b}c\u{7f}"), "a\u{fffd}b\u{fffd}c\u{fffd}");
        assert_eq!(harmless("abc\u{202e}cba"), "abc\u{fffd}cba");
    }

    proptest! {
        #[test]
        fn any_text_becomes_harmless(text in "\\PC*|[\\x00-\\x9f]{0,30}") {
            prop_assert!(!harmless(&text).contains(steers));
            prop_assert_eq!(harmless(&text).chars().count(), text.chars().count());
        }
    }
}
