//! The numbers beside a figure.

use crate::escape::harmless;
use maud::{Markup, html};

/// The files that hold the numbers of a night.
pub(super) const FILES: [&str; 3] = [crate::NIGHT_FILE, crate::SAMPLES_FILE, crate::PARQUET_FILE];

/// A picture, what is to be seen in it, and its numbers.
pub(super) struct Drawn {
    pub(super) picture: Markup,
    /// One plain sentence or two, computed from the data.
    pub(super) caption: String,
    pub(super) numbers: Numbers,
}

impl Drawn {
    pub(super) fn new(picture: Markup, caption: String, numbers: Numbers) -> Self {
        Self { picture, caption, numbers }
    }
}

/// Where the numbers of a figure are.
pub(super) enum Numbers {
    /// In the page itself, as a table of comma-separated values.
    Here(String),
    /// In the files of samples, the rows of one dwell.
    Samples { dwell: usize },
}

impl Numbers {
    /// A link that saves them, or the words that say where they are.
    pub(super) fn shown(&self, figure: usize, title: &str) -> Markup {
        match self {
            Self::Here(text) => html! {
                a class="numbers" download={ "figure-" (figure) ".csv" } href=(as_address(text))
                  aria-label={ "numbers of figure " (figure) ", " (harmless(title)) ", as a table" } { "numbers" }
            },
            Self::Samples { dwell } => html! {
                span class="numbers" { "Numbers: " (FILES[1]) " and " (FILES[2]) ", dwell " (dwell) "." }
            },
        }
    }
}

/// Rows under their titles as comma-separated values (RFC 4180).
pub(super) fn csv(titles: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Numbers {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let written = writer.write_record(titles).and_then(|()| {
        let mut rows = rows;
        rows.try_for_each(|row| writer.write_record(row.iter().map(|cell| harmless(cell).into_owned())))
    });
    written.expect("rows as long as their titles go into a text");
    let bytes = writer.into_inner().expect("writing into a text can't fail");
    Numbers::Here(String::from_utf8(bytes).expect("cells are texts"))
}

/// A text as an address that holds it (RFC 2397), what isn't plain escaped (RFC 3986).
fn as_address(text: &str) -> String {
    let mut address = String::with_capacity(text.len() * 3 / 2 + 40);
    address.push_str("data:text/csv;charset=utf-8,");
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~,:".contains(&byte) {
            address.push(char::from(byte));
        } else {
            address.push_str(&format!("%{byte:02X}"));
        }
    }
    address
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_survive_quotes_commas_and_other_tongues() {
        let rows =
            [vec!["a, \"b\"".to_owned(), "1.5".to_owned()], vec!["Ω\u{1b}".to_owned(), "-2".to_owned()]];
        let Numbers::Here(text) = csv(&["name", "value_arcsec"], rows.into_iter()) else {
            panic!("no table")
        };
        assert_eq!(text, "name,value_arcsec\n\"a, \"\"b\"\"\",1.5\nΩ\u{fffd},-2\n");
        assert_eq!(as_address("Ω,1\n"), "data:text/csv;charset=utf-8,%CE%A9,1%0A");
    }
}
