//! JSON with two blanks of indent and numbers of a fixed count of decimals.

use crate::escape::steers;
use std::fmt::Write as _;
use units::Fixed;

/// Writes one JSON text from its first byte to its last.
pub(super) struct Writer {
    text: String,
    depth: usize,
    /// Whether the innermost object or list has no member yet.
    empty: bool,
}

impl Writer {
    pub(super) fn new() -> Self {
        Self { text: String::with_capacity(16 * 1024), depth: 0, empty: true }
    }

    /// The whole text, with a line end.
    pub(super) fn finish(mut self) -> String {
        self.text.push('\n');
        self.text
    }

    /// An object; `fill` writes its members.
    pub(super) fn object(&mut self, fill: impl FnOnce(&mut Self)) {
        self.nest('{', '}', fill);
    }

    /// A list with an entry for each item.
    pub(super) fn list<T>(&mut self, items: &[T], mut entry: impl FnMut(&mut Self, &T)) {
        self.nest('[', ']', |json| {
            for item in items {
                json.separate();
                entry(json, item);
            }
        });
    }

    fn nest(&mut self, open: char, close: char, fill: impl FnOnce(&mut Self)) {
        self.text.push(open);
        self.depth += 1;
        self.empty = true;
        fill(self);
        self.depth -= 1;
        if !self.empty {
            self.new_line();
        }
        self.text.push(close);
        self.empty = false;
    }

    /// The key of the next value.
    pub(super) fn key(&mut self, name: &str) -> &mut Self {
        self.separate();
        self.string(name);
        self.text.push_str(": ");
        self
    }

    fn separate(&mut self) {
        if !self.empty {
            self.text.push(',');
        }
        self.empty = false;
        self.new_line();
    }

    fn new_line(&mut self) {
        self.text.push('\n');
        for _ in 0..self.depth {
            self.text.push_str("  ");
        }
    }

    /// A text; whatever could steer a terminal is written as `\u…`, so the value is kept and the bytes are harmless.
    pub(super) fn string(&mut self, value: &str) {
        self.text.push('"');
        for c in value.chars() {
            match c {
                '"' => self.text.push_str("\\\""),
                '\\' => self.text.push_str("\\\\"),
                '\n' => self.text.push_str("\\n"),
                '\r' => self.text.push_str("\\r"),
                '\t' => self.text.push_str("\\t"),
                // All such characters are below U+10000, where one group of four digits is enough.
                c if steers(c) => {
                    let _ = write!(self.text, "\\u{:04x}", u32::from(c));
                }
                c => self.text.push(c),
            }
        }
        self.text.push('"');
    }

    /// A text or null.
    pub(super) fn optional_string(&mut self, value: Option<&str>) {
        match value {
            Some(value) => self.string(value),
            None => self.null(),
        }
    }

    /// A number of `decimals` digits after the point. One that isn't finite becomes null, since JSON has no word for it.
    pub(super) fn number(&mut self, value: f64, decimals: u8) {
        if value.is_finite() {
            Fixed { value, decimals }.push_to(&mut self.text);
        } else {
            self.null();
        }
    }

    /// A number or null.
    pub(super) fn optional_number(&mut self, value: Option<f64>, decimals: u8) {
        self.number(value.unwrap_or(f64::NAN), decimals);
    }

    /// A share from 0 to 1 or null: eight decimals, and no zeros at the end.
    pub(super) fn optional_share(&mut self, value: Option<f64>) {
        self.optional_number(value, 8);
        if value.is_some_and(f64::is_finite) {
            let kept = self.text.trim_end_matches('0').trim_end_matches('.').len();
            self.text.truncate(kept);
        }
    }

    /// A count.
    pub(super) fn count(&mut self, value: u64) {
        let _ = write!(self.text, "{value}");
    }

    pub(super) fn boolean(&mut self, value: bool) {
        self.text.push_str(if value { "true" } else { "false" });
    }

    pub(super) fn null(&mut self) {
        self.text.push_str("null");
    }
}
