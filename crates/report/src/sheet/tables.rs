//! The numbers beside the pictures.

use super::words::{angle, angle_or_dash, percent, span, time_of_day};
use crate::escape::harmless;
use crate::table::{TableStyle, arcsec, errors_of, in_words, remarks};
use bench::{GotoOutcome, GotoRow, Outcome, TermBelief};
use maud::{Markup, html};
use units::Angle;

/// A table that scrolls by itself on a narrow screen; `numbers` are the columns that stand to the right.
pub fn data_table(caption: &str, titles: &[&str], numbers: &[usize], rows: &[Vec<String>]) -> Markup {
    if rows.is_empty() {
        return html! {};
    }
    let class = |column: usize| if numbers.contains(&column) { "number" } else { "" };
    html! {
        div class="scroll" tabindex="0" role="region" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { @for (column, title) in titles.iter().enumerate() { th scope="col" class=(class(column)) { (title) } } } }
                tbody {
                    @for row in rows {
                        tr { @for (column, cell) in row.iter().enumerate() {
                            @if column == 0 { th scope="row" { (harmless(cell)) } } @else { td class=(class(column)) { (harmless(cell)) } }
                        } }
                    }
                }
            }
        }
    }
}

pub(super) fn targets(outcome: &Outcome) -> Markup {
    let rows: Vec<Vec<String>> = outcome.gotos.iter().map(target).collect();
    let titles =
        ["target", "outcome", "UTC", "azimuth", "altitude", "miss", "east", "north", "in fields", "tube"];
    data_table("Targets at the first look", &titles, &[3, 4, 5, 6, 7, 8], &rows)
}

fn target(row: &GotoRow) -> Vec<String> {
    let outcome = match row.outcome {
        GotoOutcome::Arrived if row.in_field() => "in field".to_owned(),
        GotoOutcome::Arrived => "out of field".to_owned(),
        GotoOutcome::Refused => format!("refused: {}", row.refusal.as_deref().unwrap_or_default()),
        GotoOutcome::Unreachable => "unreachable".to_owned(),
        GotoOutcome::NightOver => "night over".to_owned(),
    };
    let mut cells = vec![row.target.clone(), outcome];
    match &row.look {
        Some(look) => cells.extend([
            time_of_day(look.at),
            format!("{:.1}°", look.target.0.degrees()),
            format!("{:.1}°", look.target.1.degrees()),
            angle(look.miss),
            angle(look.miss_east),
            angle(look.miss_north),
            format!("{:.2}", look.miss / row.true_field),
            look.tube_side.to_owned(),
        ]),
        None => cells.extend((0..8).map(|_| "-".to_owned())),
    }
    cells
}

pub(super) fn dwells(outcome: &Outcome) -> Markup {
    let rows: Vec<Vec<String>> = outcome
        .dwells
        .iter()
        .map(|row| {
            vec![
                row.target.clone(),
                time_of_day(row.begin),
                span(row.length),
                angle(Angle::from_arcsec(row.drift.arcsec() * 60.0)),
                angle(row.rms),
                angle(row.peak_to_peak),
                span(row.in_field),
                format!("{:.2}°", row.field_rotation.degrees()),
            ]
        })
        .collect();
    let titles =
        ["dwell", "begin, UTC", "length", "drift per min", "rms", "swing", "in field", "turn of field"];
    data_table("Dwells", &titles, &[2, 3, 4, 5, 6, 7], &rows)
}

pub(super) fn sightings(outcome: &Outcome) -> Markup {
    let rows: Vec<Vec<String>> = outcome
        .sightings
        .iter()
        .map(|row| {
            vec![
                row.star.clone(),
                time_of_day(row.at),
                angle(row.first_miss),
                angle(row.centring_miss),
                angle_or_dash(row.residual.map(|left| left.length)),
            ]
        })
        .collect();
    let titles = ["star", "accepted, UTC", "first miss", "centred to", "left by the model"];
    data_table("Sightings", &titles, &[2, 3, 4], &rows)
}

pub(super) fn doubts(outcome: &Outcome) -> Markup {
    let right = |right: Option<bool>| right.map_or("-", |right| if right { "yes" } else { "no" });
    let rows: Vec<Vec<String>> = outcome
        .evening
        .doubts
        .iter()
        .map(|row| {
            vec![time_of_day(row.at), row.asked.clone(), row.answer.to_owned(), right(row.right).to_owned()]
        })
        .collect();
    let titles = ["UTC", "the mount asked", "the person", "rightly"];
    data_table("What the mount asked", &titles, &[], &rows)
}

pub(super) fn model(outcome: &Outcome) -> Markup {
    let Some(model) = &outcome.model else { return html! {} };
    let rows: Vec<Vec<String>> = model
        .terms
        .iter()
        .map(|term| believed(term, "determined"))
        .chain(model.not_determined.iter().map(|open| believed(&open.belief, &open.reason)))
        .collect();
    let titles = ["term", "value", "one sigma", "truth", "by the stars"];
    data_table("What the mount believes of itself", &titles, &[1, 2, 3], &rows)
}

fn believed(term: &TermBelief, told: &str) -> Vec<String> {
    let (value, truth) = (angle(term.value), angle(term.truth));
    vec![term.name.clone(), value, angle_or_dash(term.sigma), truth, told.to_owned()]
}

/// Signs as a browser shows them.
const SIGNS: TableStyle = TableStyle { colour: false, unicode: true };

pub(super) fn correction(outcome: &Outcome) -> Markup {
    let Some(row) = &outcome.correction else { return html! {} };
    let rows: Vec<Vec<String>> = errors_of(row)
        .into_iter()
        .map(|(when, error)| {
            vec![
                when.to_owned(),
                angle_or_dash(error.map(|one| one.rms)),
                angle_or_dash(error.map(|one| one.peak_to_peak)),
            ]
        })
        .collect();
    html! {
        (data_table("Periodic error of the hour axis", &["when", "rms", "swing"], &[1, 2], &rows))
        p { "The correction was " (harmless(&in_words(row, SIGNS))) "." }
    }
}

pub(super) fn plays(outcome: &Outcome) -> Markup {
    let rows: Vec<Vec<String>> = outcome
        .plays
        .iter()
        .map(|row| {
            vec![
                format!("{} axis", row.axis),
                row.star.clone().unwrap_or_else(|| "-".to_owned()),
                row.rounds.to_string(),
                arcsec(row.measured, SIGNS),
                arcsec(row.scatter, SIGNS),
                arcsec(row.take_up, SIGNS),
                arcsec(row.gap, SIGNS),
                arcsec(row.too_long().map(|long| -long), SIGNS),
            ]
        })
        .collect();
    let titles = ["axis", "star", "rounds", "measured", "scatter of one", "taken up", "true play", "remains"];
    let remarks: Vec<String> = outcome.plays.iter().flat_map(|row| remarks(row, SIGNS)).collect();
    html! {
        (data_table("Play as it was measured", &titles, &[2, 3, 4, 5, 6, 7], &rows))
        @if !remarks.is_empty() { ul { @for line in &remarks { li { (harmless(line)) } } } }
    }
}

/// Whether there is no error of the set-up to tell.
pub(super) fn nothing_set_up(outcome: &Outcome) -> bool {
    outcome.setup.iter().all(is_none)
}

fn is_none(row: &bench::SetupRow) -> bool {
    row.set == Angle::ZERO && row.total == Angle::ZERO
}

pub(super) fn setup(outcome: &Outcome) -> Markup {
    let rows: Vec<Vec<String>> = outcome
        .setup
        .iter()
        .filter(|row| !is_none(row))
        .map(|row| vec![row.name.clone(), angle(row.set), angle(row.total)])
        .collect();
    data_table("How it stood", &["part", "by itself", "with the lean"], &[1, 2], &rows)
}

pub(super) fn budget(outcome: &Outcome) -> Markup {
    let share = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), percent);
    let rows: Vec<Vec<String>> = outcome
        .budget
        .iter()
        .map(|row| {
            vec![
                row.cause.clone(),
                share(row.in_field_without),
                angle_or_dash(row.miss_median_without),
                share(row.in_field_alone),
                angle_or_dash(row.miss_median_alone),
            ]
        })
        .collect();
    let titles = [
        "cause",
        "in field without it",
        "median miss without it",
        "in field with it alone",
        "median miss with it alone",
    ];
    data_table("Budget", &titles, &[1, 2, 3, 4], &rows)
}

pub(super) fn faults(outcome: &Outcome) -> Markup {
    if outcome.faults.is_empty() {
        return html! {};
    }
    html! {
        h3 { "What struck" }
        ol class="struck" { @for row in &outcome.faults { li { (time_of_day(row.at)) " " b { (harmless(&row.kind)) } ": " (harmless(&row.detail)) } } }
    }
}

pub(super) fn verdicts(outcome: &Outcome) -> Markup {
    if outcome.verdicts.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 { "What was expected" }
            ul class="verdicts" {
                @for row in &outcome.verdicts {
                    li class=(if row.held { "held" } else { "failed" }) {
                        b { (if row.held { "✓ held" } else { "✗ failed" }) } " " (harmless(&row.key)) " " (harmless(&row.expected)) ", found " (harmless(&row.found))
                    }
                }
            }
        }
    }
}

pub(super) fn cautions(outcome: &Outcome) -> Markup {
    if outcome.cautions.is_empty() {
        return html! {};
    }
    html! { section class="cautions" { h2 { "Before you go outside" } ul { @for line in &outcome.cautions { li { (harmless(line)) } } } } }
}
