//! The sheet round whatever is on it: head, themes, title block, foot.

use crate::escape::harmless;
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("sheet.css");

/// Nothing may be fetched or run, whatever a scenario's texts hold.
const NOTHING_FETCHED: &str = "script-src 'none'; img-src 'none'; font-src 'none'; connect-src 'none'; media-src 'none'; \
                               object-src 'none'; frame-src 'none'; form-action 'none'";

/// One cell of the title block.
#[derive(Clone, Debug)]
pub struct Cell {
    label: &'static str,
    text: String,
}

impl Cell {
    /// A label and what stands under it.
    pub fn new(label: &'static str, text: impl Into<String>) -> Self {
        Self { label, text: text.into() }
    }
}

/// A whole page.
pub fn page(title: &str, cells: &[Cell], body: &Markup) -> String {
    let title = if title.is_empty() { "A night without a title" } else { title };
    let title = harmless(title);
    let themes = [("screen", "as the screen"), ("light", "light"), ("dark", "dark"), ("red", "deep red")];
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content=(NOTHING_FETCHED);
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                nav aria-label="colours of the page" { fieldset class="themes" {
                    legend { "colours" }
                    @for (index, (value, words)) in themes.iter().enumerate() {
                        label { input type="radio" name="theme" id={ "theme-" (value) } checked[index == 0]; " " (words) }
                    }
                } }
                main class="sheet" {
                    header {
                        h1 { (title) }
                        dl class="block" {
                            @for cell in cells { div { dt { (cell.label) } dd { (harmless(&cell.text)) } } }
                        }
                    }
                    (body)
                    footer {
                        p { "A simulation. What it shows of a mount is no promise about yours; outside, keep to the maker's instructions and the local rules, and never look at or near the Sun through an instrument without a safe solar filter." }
                    }
                }
            }
        }
    }
    .into_string()
}
