//! The night as one HTML file that needs nothing else: no script, no network.
//!
//! It is laid out as a drawn sheet: a title block, thin rules, numbered figures, each with a sentence that says what is
//! to be seen in it. The colours are those of the screen's theme, or one that the reader picks; on paper they are light.

pub(crate) mod axes;
mod budget_chart;
mod dwell_chart;
mod expected_chart;
mod field_circles;
mod frame;
mod loop_chart;
mod misses_chart;
mod numbers;
pub(crate) mod pen;
mod sky_chart;
mod spectrum;
mod tables;
mod words;

use crate::escape::harmless;
use bench::Outcome;
use maud::{Markup, html};
use numbers::Drawn;

pub use frame::{Cell, page};
pub use tables::data_table;

/// The night as a page for a browser: one file, a few hundred kilobytes.
///
/// For eyes: its wording, its layout and its markup may change from version to version.
pub fn night_html(outcome: &Outcome) -> String {
    let mut figures = Figures::default();
    let body = html! {
        (answer(outcome))
        (tables::verdicts(outcome))
        (tables::cautions(outcome))
        section {
            h2 { "Pointing" }
            div class="pairs" {
                (figures.shown("The sky, and where the tube pointed", sky_chart::chart(outcome)))
                (figures.shown("Where the mount expects to miss", expected_chart::chart(outcome)))
            }
            (figures.shown("Each target in its eyepiece", field_circles::circles(outcome)))
            (figures.shown("Pointing error along the night", misses_chart::chart(outcome)))
            (tables::targets(outcome))
            (tables::faults(outcome))
        }
        (budget(outcome, &mut figures))
        (tracking(outcome, &mut figures))
        (gears(outcome, &mut figures))
        (alignment(outcome))
    };
    page(&outcome.title, &title_block(outcome), &body)
}

/// Numbers the figures of a page.
#[derive(Default)]
struct Figures {
    last: usize,
}

impl Figures {
    fn shown(&mut self, title: &str, drawn: Option<Drawn>) -> Markup {
        let Some(drawn) = drawn else { return html! {} };
        self.last += 1;
        html! {
            figure {
                h3 { span class="number" { "Figure " (self.last) } " " (harmless(title)) }
                (drawn.picture)
                figcaption { (harmless(&drawn.caption)) " " (drawn.numbers.shown(self.last, title)) }
            }
        }
    }
}

fn title_block(outcome: &Outcome) -> Vec<Cell> {
    let mount = crate::table::kind_words(outcome.kind);
    let scene = &outcome.scene;
    let night = if scene.end > scene.begin {
        let time = |at| words::time_of_day(at)[..5].to_owned();
        format!("{}, {} to {} UTC", words::day(scene.begin), time(scene.begin), time(scene.end))
    } else {
        "-".to_owned()
    };
    vec![
        Cell::new("night", night),
        Cell::new("mount", mount),
        Cell::new("seed", outcome.seed.to_string()),
        Cell::new("targets", field_circles::counted(outcome)),
        Cell::new("scenario", format!("{}…", &outcome.scenario_digest.get(..12).unwrap_or_default())),
        Cell::new("mathematics", outcome.maths_fingerprint.clone()),
        Cell::new("version", env!("CARGO_PKG_VERSION")),
        Cell::new("numbers", numbers::FILES.join(", ")),
    ]
}

/// What the night shows, and its figures.
fn answer(outcome: &Outcome) -> Markup {
    let summary = &outcome.summary;
    let mut figures = Vec::new();
    if let Some(share) = summary.in_field {
        let count = outcome.gotos.iter().filter(|row| row.in_field()).count();
        figures.push(("in the field", words::percent(share), format!("{count} of {}", outcome.gotos.len())));
    }
    let mut angle = |label, value: Option<units::Angle>, note: &str| {
        if let Some(value) = value {
            figures.push((label, words::angle(value), note.to_owned()));
        }
    };
    angle("median miss", summary.miss_median, "half of the targets are nearer");
    angle("95 % within", summary.miss_p95, "all but the worst twentieth");
    angle("tracking, rms", summary.tracking_rms, "over all dwells");
    angle("largest swing", summary.tracking_peak_to_peak, "from peak to peak");
    if summary.visitors_served > 0 {
        figures.push(("visitors", summary.visitors_served.to_string(), "saw their target".to_owned()));
    }
    if summary.alignment > units::Span::ZERO {
        figures.push(("alignment", words::span(summary.alignment), "until the first target".to_owned()));
    }
    html! {
        section class="answer" {
            @for line in outcome.advice.iter().filter(|line| !line.is_empty()) { p { (harmless(line)) } }
            @if !figures.is_empty() {
                dl class="figures" {
                    @for (label, value, note) in &figures { div { dt { (label) } dd { (value) small { (note) } } } }
                }
            }
        }
    }
}

fn budget(outcome: &Outcome, figures: &mut Figures) -> Markup {
    if outcome.budget.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 { "What it was that cost" }
            (figures.shown("The same night without each of its causes", budget_chart::chart(outcome)))
            (tables::budget(outcome))
        }
    }
}

fn tracking(outcome: &Outcome, figures: &mut Figures) -> Markup {
    if outcome.dwells.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 { "Tracking" }
            div class="pairs" {
                @for (index, row) in outcome.dwells.iter().enumerate() {
                    @let samples = samples_of(outcome, index);
                    @if samples.len() > 1 {
                        @let series = dwell_chart::both(row, samples);
                        (figures.shown(&format!("Tracking error on {}", row.target), Some(dwell_chart::chart(index, row, &series))))
                        (figures.shown(
                            &format!("What repeats in the error on {}", row.target),
                            spectrum::chart(index, &row.target, &series, &outcome.scene.periods),
                        ))
                    }
                }
            }
            (tables::dwells(outcome))
        }
    }
}

/// The samples of one dwell, which stand together.
fn samples_of(outcome: &Outcome, index: usize) -> &[bench::Sample] {
    let from = outcome.samples.partition_point(|sample| sample.dwell < index);
    let to = outcome.samples.partition_point(|sample| sample.dwell <= index);
    &outcome.samples[from..to.max(from)]
}

fn gears(outcome: &Outcome, figures: &mut Figures) -> Markup {
    let told = outcome.correction.is_some() || !outcome.plays.is_empty();
    if outcome.scene.loops.is_empty() && !told {
        return html! {};
    }
    html! {
        section {
            h2 { "Gears" }
            div class="pairs" {
                @for play in &outcome.scene.loops {
                    (figures.shown(&format!("Play of the {} axis", play.axis), Some(loop_chart::chart(play))))
                }
            }
            (tables::correction(outcome))
            (tables::plays(outcome))
        }
    }
}

fn alignment(outcome: &Outcome) -> Markup {
    if outcome.sightings.is_empty() && outcome.model.is_none() && tables::nothing_set_up(outcome) {
        return html! {};
    }
    html! {
        section {
            h2 { "Set-up and alignment" }
            (tables::setup(outcome))
            (tables::sightings(outcome))
            (tables::doubts(outcome))
            (tables::model(outcome))
        }
    }
}
