//! The parts of the page that not every night has.

use super::layout::{Column, Page, numbers, plain, toned, words};
use super::spark;
use super::style::Tone;
use super::texts::{angle, angle_or_dash, degrees, percent, span, time_of_day};
use bench::{BudgetRow, DoubtRow, DwellRow, FaultRow, ModelBelief, Outcome, Verdict};
use units::Angle;

const DWELL_COLUMNS: [Column; 8] = [
    words("dwell", 15),
    words("begin", 8),
    numbers("length", 8),
    numbers("drift/min", 9),
    numbers("rms", 8),
    numbers("swing", 8),
    numbers("in field", 8),
    numbers("turn", 9),
];

pub(super) fn dwells(page: &mut Page, outcome: &Outcome) {
    let rows: &[DwellRow] = &outcome.dwells;
    if rows.is_empty() {
        return;
    }
    let style = page.style();
    page.titles(&DWELL_COLUMNS);
    for (index, row) in rows.iter().enumerate() {
        let per_minute = Angle::from_arcsec(row.drift.arcsec() * 60.0);
        let kept = if row.in_field == row.length { Tone::Good } else { Tone::Careful };
        let cells = [
            plain(style.shown(&row.target)),
            plain(time_of_day(row.begin)),
            plain(span(row.length)),
            plain(angle(per_minute, style)),
            plain(angle(row.rms, style)),
            plain(angle(row.peak_to_peak, style)),
            toned(kept, span(row.in_field)),
            plain(degrees(row.field_rotation, style)),
        ];
        page.row(&DWELL_COLUMNS, &cells);
        if let Some(line) = spark::line(&outcome.samples, index, page.width(), style) {
            page.paragraph("  ", Tone::Quiet, &line);
        }
    }
    let note = if style.unicode {
        "swing: peak to peak of the worse direction; in field: how long; turn: rotation of the field; the bars: how far \
         the target had moved since the begin"
    } else {
        "swing: peak to peak of the worse direction; in field: how long; turn: rotation of the field"
    };
    page.paragraph("", Tone::Quiet, note);
}

const SIGHTING_COLUMNS: [Column; 5] = [
    words("sighting", 24),
    words("accepted", 8),
    numbers("first miss", 12),
    numbers("centred to", 12),
    numbers("left by model", 14),
];

pub(super) fn alignment(page: &mut Page, outcome: &Outcome) {
    let style = page.style();
    if !outcome.sightings.is_empty() {
        page.titles(&SIGHTING_COLUMNS);
        for row in &outcome.sightings {
            let cells = [
                plain(style.shown(&row.star)),
                plain(time_of_day(row.at)),
                plain(angle(row.first_miss, style)),
                plain(angle(row.centring_miss, style)),
                plain(angle_or_dash(row.residual.map(|left| left.length), style)),
            ];
            page.row(&SIGHTING_COLUMNS, &cells);
        }
    }
    if let Some(model) = &outcome.model {
        belief(page, model);
    }
}

fn belief(page: &mut Page, model: &ModelBelief) {
    let style = page.style();
    page.heading("What the mount believes of itself");
    for term in &model.terms {
        let sigma =
            term.sigma.map_or_else(String::new, |sigma| format!(", give or take {}", angle(sigma, style)));
        let (value, truth) = (angle(term.value, style), angle(term.truth, style));
        page.paragraph("  ", Tone::Plain, &format!("{}: {value}{sigma}; in truth {truth}", term.name));
    }
    for open in &model.not_determined {
        let star = match &open.deciding {
            Some((star, _)) => format!("; {} would tell most", style.shown(star)),
            None => String::new(),
        };
        let line = format!("{}: not determined by these stars: {}{star}", open.belief.name, open.reason);
        page.paragraph("  ", Tone::Quiet, &line);
    }
    let sightings = model.sightings_used;
    let plural = if sightings == 1 { "sighting" } else { "sightings" };
    let left = angle(model.residual_rms, style);
    page.paragraph("  ", Tone::Quiet, &format!("from {sightings} {plural}; rms of what they leave: {left}"));
}

pub(super) fn doubts(page: &mut Page, rows: &[DoubtRow]) {
    if rows.is_empty() {
        return;
    }
    let style = page.style();
    page.heading("What the mount asked, and what the person did");
    for row in rows {
        page.paragraph("  ", Tone::Plain, &format!("{} {}", time_of_day(row.at), style.shown(&row.asked)));
        page.paragraph("    ", Tone::Quiet, &format!("{}{}", row.answer, rightly(row)));
    }
}

/// Whether an answer was right, behind it.
const fn rightly(row: &DoubtRow) -> &'static str {
    match row.right {
        Some(true) => ": rightly",
        Some(false) => ": wrongly",
        None => "",
    }
}

pub(super) fn faults(page: &mut Page, rows: &[FaultRow]) {
    if rows.is_empty() {
        return;
    }
    page.heading("What struck");
    for row in rows {
        let line = format!("{} {}: {}", time_of_day(row.at), row.kind, row.detail);
        page.paragraph("  ", Tone::Plain, &line);
    }
}

const BUDGET_COLUMNS: [Column; 3] =
    [words("without this cause", 40), numbers("targets in field", 18), numbers("median miss", 18)];

pub(super) fn budget(page: &mut Page, rows: &[BudgetRow]) {
    if rows.is_empty() {
        return;
    }
    let style = page.style();
    page.titles(&BUDGET_COLUMNS);
    for row in rows {
        let cells = [
            plain(style.shown(&row.cause)),
            plain(row.in_field_without.map_or_else(|| "-".to_owned(), percent)),
            plain(angle_or_dash(row.miss_median_without, style)),
        ];
        page.row(&BUDGET_COLUMNS, &cells);
    }
}

pub(super) fn verdicts(page: &mut Page, rows: &[Verdict]) {
    if rows.is_empty() {
        return;
    }
    page.heading("What was expected");
    for row in rows {
        let (mark, tone) = if row.held { ("  held   ", Tone::Good) } else { ("  failed ", Tone::Bad) };
        page.paragraph(mark, tone, &format!("{} {}, found {}", row.key, row.expected, row.found));
    }
}

pub(super) fn cautions(page: &mut Page, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    page.heading("Before you go outside");
    for line in lines {
        page.paragraph("  ! ", Tone::Careful, line);
    }
}
