//! A comparison for eyes and for programs.

use super::{Change, Comparison, FigureChange, TargetChange, figures};
use crate::escape::harmless;
use crate::sheet::{Cell, page};
use crate::table::{Column, Page, TableStyle, Tone, numbers, plain, toned, words};
use maud::{Markup, html};
use serde_json::{Value, json};

fn signed(text: String, value: f64) -> String {
    if value > 0.0 { format!("+{text}") } else { text }
}

impl FigureChange {
    fn cells(&self) -> [String; 3] {
        let shown =
            |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| self.figure.shown(value));
        let difference =
            self.difference().map_or_else(|| "-".to_owned(), |value| signed(self.figure.shown(value), value));
        [shown(self.old), shown(self.new), difference]
    }
}

impl TargetChange {
    fn cells(&self) -> [String; 3] {
        let shown = |target: &Option<super::Target>| match target {
            None => "-".to_owned(),
            Some(target) => target.miss.map_or_else(|| target.outcome.clone(), figures::arcsec),
        };
        let difference =
            self.difference().map_or_else(|| "-".to_owned(), |value| signed(figures::arcsec(value), value));
        [shown(&self.old), shown(&self.new), difference]
    }

    /// What became of it in the field's terms, where that changed.
    fn field(&self) -> &'static str {
        match (self.old.as_ref().map(|old| old.in_field), self.new.as_ref().map(|new| new.in_field)) {
            (Some(true), Some(false)) => "left the field",
            (Some(false), Some(true)) => "came into the field",
            (Some(_), None) => "only in the old night",
            (None, Some(_)) => "only in the new night",
            _ => "",
        }
    }
}

fn words_of(change: Change) -> (&'static str, Tone) {
    match change {
        Change::Same => ("same", Tone::Quiet),
        Change::Better => ("better", Tone::Good),
        Change::Tolerated => ("a little worse", Tone::Careful),
        Change::Worse => ("worse", Tone::Bad),
        Change::Apart => ("-", Tone::Quiet),
    }
}

/// The answer in a sentence.
fn answer(comparison: &Comparison) -> String {
    let count = |change| comparison.figures.iter().filter(|row| row.change == change).count();
    let better = count(Change::Better);
    match (comparison.worse.len(), better) {
        (0, 0) if count(Change::Tolerated) == 0 => "The two nights came out the same.".to_owned(),
        (0, 0) => "Nothing got worse than is tolerated.".to_owned(),
        (0, _) => format!(
            "Nothing got worse than is tolerated; {better} of {} figures got better.",
            comparison.figures.len()
        ),
        (1, _) => comparison.worse[0].clone(),
        (many, _) => format!("{many} things got worse than is tolerated. {}", comparison.worse[0]),
    }
}

const FIGURE_COLUMNS: [Column; 5] =
    [words("figure", 29), numbers("old", 11), numbers("new", 11), numbers("difference", 11), words("", 14)];
const TARGET_COLUMNS: [Column; 5] = [
    words("target", 22),
    numbers("old miss", 11),
    numbers("new miss", 11),
    numbers("difference", 11),
    words("", 21),
];

/// The comparison as a page of text within a width in columns (40 to 160; what is beyond is taken as the nearest).
pub fn comparison_table(comparison: &Comparison, style: TableStyle, columns: usize) -> String {
    let mut page = Page::new(style, columns);
    page.ends(&style.shown(&comparison.titles[1]), "compared");
    if comparison.titles[0] != comparison.titles[1] {
        page.paragraph("", Tone::Quiet, &format!("with {}", comparison.titles[0]));
    }
    for notice in &comparison.notices {
        page.paragraph("! ", Tone::Careful, notice);
    }
    page.titles(&FIGURE_COLUMNS);
    for row in &comparison.figures {
        let [old, new, difference] = row.cells();
        let (word, tone) = words_of(row.change);
        let cells = [old, new, difference].map(|cell| plain(style.shown(&cell)));
        let mut all = vec![plain(row.figure.words)];
        all.extend(cells);
        all.push(toned(tone, word));
        page.row(&FIGURE_COLUMNS, &all);
    }
    if !comparison.targets.is_empty() {
        page.titles(&TARGET_COLUMNS);
    }
    for row in &comparison.targets {
        let (word, tone) = words_of(row.change);
        let word = if row.field().is_empty() { word } else { row.field() };
        let mut all = vec![plain(style.shown(&row.name))];
        all.extend(row.cells().map(|cell| plain(style.shown(&cell))));
        all.push(toned(tone, style.cut(word, TARGET_COLUMNS[4].width)));
        page.row(&TARGET_COLUMNS, &all);
    }
    page.gap();
    let worse = !comparison.worse.is_empty();
    if worse {
        for sentence in &comparison.worse {
            page.paragraph("", Tone::Bad, sentence);
        }
    } else {
        page.paragraph("", Tone::Good, &answer(comparison));
    }
    page.finish()
}

/// The comparison for programs.
pub fn comparison_json(comparison: &Comparison) -> String {
    let figures: Vec<Value> = comparison
        .figures
        .iter()
        .map(|row| {
            json!({ "figure": row.figure.key, "field": row.figure.field, "old": row.old, "new": row.new,
                "difference": row.difference(), "tolerated": row.allowed, "change": row.change.word() })
        })
        .collect();
    let targets: Vec<Value> = comparison.targets.iter().map(target_json).collect();
    let whole = json!({
        "format": 1,
        "worse": comparison.worse,
        "notices": comparison.notices,
        "figures": figures,
        "targets": targets,
    });
    format!("{whole:#}\n")
}

fn target_json(row: &TargetChange) -> Value {
    let side = |target: &Option<super::Target>| {
        target.as_ref().map(|target| {
            json!({ "outcome": target.outcome, "in_field": target.in_field, "miss_arcsec": target.miss })
        })
    };
    json!({ "target": row.name, "old": side(&row.old), "new": side(&row.new),
        "miss_difference_arcsec": row.difference(), "change": row.change.word() })
}

/// The comparison as a page for a browser, one file.
pub fn comparison_html(comparison: &Comparison) -> String {
    let [old, new] = &comparison.titles;
    let title =
        if old == new { format!("{new}: two runs compared") } else { format!("{old}, and {new}, compared") };
    let figures: Vec<(String, [String; 3], Change, &str)> = comparison
        .figures
        .iter()
        .map(|row| (row.figure.words.to_owned(), row.cells(), row.change, ""))
        .collect();
    let targets: Vec<(String, [String; 3], Change, &str)> = comparison
        .targets
        .iter()
        .map(|row| (row.name.clone(), row.cells(), row.change, row.field()))
        .collect();
    let cells = [
        Cell::new("old", old.clone()),
        Cell::new("new", new.clone()),
        Cell::new("worse than tolerated", comparison.worse.len().to_string()),
        Cell::new("version", env!("CARGO_PKG_VERSION")),
    ];
    let body = html! {
        section class="answer" {
            p { (harmless(&answer(comparison))) }
            @for sentence in comparison.worse.iter().skip(1) { p { (harmless(sentence)) } }
        }
        @if !comparison.notices.is_empty() {
            section class="cautions" {
                h2 { "What else differs" }
                ul { @for notice in &comparison.notices { li { (harmless(notice)) } } }
            }
        }
        section { h2 { "The night's figures" } (table("Figures", "figure", &figures)) }
        @if !targets.is_empty() {
            section { h2 { "Target by target" } (table("Misses", "target", &targets)) }
        }
    };
    page(&title, &cells, &body)
}

fn table(caption: &str, first: &str, rows: &[(String, [String; 3], Change, &str)]) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="region" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr {
                    th scope="col" { (first) }
                    @for title in ["old", "new", "difference"] { th scope="col" class="number" { (title) } }
                    th scope="col" { "change" }
                } }
                tbody {
                    @for (name, cells, change, field) in rows {
                        tr {
                            th scope="row" { (harmless(name)) }
                            @for cell in cells { td class="number" { (harmless(cell)) } }
                            td class=(class_of(*change)) { (words_of(*change).0) @if !field.is_empty() { "; " (field) } }
                        }
                    }
                }
            }
        }
    }
}

fn class_of(change: Change) -> &'static str {
    match change {
        Change::Better => "better",
        Change::Worse => "worse",
        Change::Same | Change::Tolerated | Change::Apart => "",
    }
}
