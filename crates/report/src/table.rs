//! The night for eyes: a page of 80 columns.

mod gears;
mod layout;
mod sections;
mod spark;
mod style;
pub(crate) mod texts;

use bench::{GotoOutcome, GotoRow, MountKind, Outcome, SetupRow, Summary};
pub(crate) use gears::{arcsec, errors_of, in_words, remarks};
pub(crate) use layout::{Cell, Column, Page, numbers, plain, toned, words};
pub use style::TableStyle;
pub(crate) use style::Tone;
use texts::{angle, day, degrees, span, time_of_day};
use units::{Angle, Span};

/// The night as a page of text, at most 80 columns wide, each line ended.
///
/// For eyes, not for programs: its wording and order may change from version to version; [`crate::night_json`] is what
/// programs read. Texts of the scenario are shown without whatever could steer a terminal.
pub fn night_table(outcome: &Outcome, style: TableStyle) -> String {
    night_table_within(outcome, style, layout::WIDTH)
}

/// The night as a page of text within a width in columns (40 to 160; what is beyond is taken as the nearest).
///
/// On a narrow page columns at the end of a table are left out; on a wide one names have more room.
pub fn night_table_within(outcome: &Outcome, style: TableStyle, columns: usize) -> String {
    let mut page = Page::new(style, columns);
    title(&mut page, outcome);
    targets(&mut page, &outcome.gotos);
    sections::dwells(&mut page, outcome);
    sections::alignment(&mut page, outcome);
    sections::doubts(&mut page, &outcome.evening.doubts);
    gears::correction(&mut page, outcome.correction.as_ref());
    gears::plays(&mut page, &outcome.plays);
    sections::faults(&mut page, &outcome.faults);
    sections::budget(&mut page, &outcome.budget);
    summary(&mut page, outcome);
    sections::verdicts(&mut page, &outcome.verdicts);
    sections::cautions(&mut page, &outcome.cautions);
    page.finish()
}

fn title(page: &mut Page, outcome: &Outcome) {
    let style = page.style();
    let seed = format!("seed {}", outcome.seed);
    let title = if outcome.title.is_empty() { "A night without a title" } else { &outcome.title };
    page.ends(&style.shown(title), &seed);
    let mount = kind_words(outcome.kind);
    let first = outcome.gotos.iter().find_map(|row| row.look.as_ref());
    let line = match first {
        Some(look) => format!("{mount}; times are UTC, first look on {}", day(look.at)),
        None => mount.to_owned(),
    };
    page.paragraph("", Tone::Quiet, &line);
    let rows = outcome.setup.iter().filter(|row| row.set != Angle::ZERO || row.total != Angle::ZERO);
    let setup: Vec<String> = rows.map(|row| setup(row, style)).collect();
    if !setup.is_empty() {
        page.paragraph("set up: ", Tone::Plain, &setup.join("; "));
    }
}

/// The kind of mount in words.
pub(crate) const fn kind_words(kind: MountKind) -> &'static str {
    match kind {
        MountKind::GermanEquatorial => "German equatorial mount",
        MountKind::ForkEquatorial => "fork mount on an equatorial wedge",
        MountKind::AltAzimuth => "alt-azimuth mount",
    }
}

fn setup(row: &SetupRow, style: TableStyle) -> String {
    // By their texts: two sums of the same angles may differ in the last bit.
    let (set, total) = (angle(row.set, style), angle(row.total, style));
    if set == total {
        format!("{} {set}", row.name)
    } else {
        format!("{} {set} (with the lean {total})", row.name)
    }
}

const TARGET_COLUMNS: [Column; 7] = [
    words("target", 22),
    words("outcome", 12),
    words("UTC", 8),
    numbers("altitude", 9),
    numbers("miss", 9),
    numbers("in widths", 9),
    words("tube", 5),
];

fn targets(page: &mut Page, rows: &[GotoRow]) {
    if rows.is_empty() {
        return;
    }
    page.titles(&TARGET_COLUMNS);
    for row in rows {
        let cells = target(page, row);
        page.row(&TARGET_COLUMNS, &cells);
    }
    let note = "miss: from the target to where the tube points, at the first look; in widths of the eyepiece's \
                field, so 0.50 is the field's edge";
    page.paragraph("", Tone::Quiet, note);
}

fn target(page: &Page, row: &GotoRow) -> Vec<Cell> {
    let style = page.style();
    let (word, tone) = match row.outcome {
        GotoOutcome::Arrived if row.in_field() => ("in field", Tone::Good),
        GotoOutcome::Arrived => ("out of field", Tone::Bad),
        GotoOutcome::Refused => ("refused", Tone::Careful),
        GotoOutcome::Unreachable => ("unreachable", Tone::Careful),
        GotoOutcome::NightOver => ("night over", Tone::Careful),
    };
    let mut cells = vec![plain(style.shown(&row.target)), toned(tone, word)];
    match &row.look {
        Some(look) => cells.extend([
            plain(time_of_day(look.at)),
            plain(degrees(look.target.1, style)),
            plain(angle(look.miss, style)),
            plain(format!("{:.2}", look.miss / row.true_field)),
            plain(look.tube_side),
        ]),
        None => cells.push(plain(style.shown(row.refusal.as_deref().unwrap_or(match row.outcome {
            GotoOutcome::Unreachable => "no position of the axes points there",
            GotoOutcome::NightOver => "the night ended before anybody looked",
            GotoOutcome::Arrived | GotoOutcome::Refused => "nobody looked",
        })))),
    }
    cells
}

fn summary(page: &mut Page, outcome: &Outcome) {
    let advice: Vec<&String> = outcome.advice.iter().filter(|line| !line.is_empty()).collect();
    let figures = figures(&outcome.summary, page.style());
    if advice.is_empty() && figures.is_empty() {
        return;
    }
    page.heading("What the night shows");
    for line in advice {
        page.paragraph("  ", Tone::Heading, line);
    }
    for line in figures {
        page.paragraph("  ", Tone::Plain, &line);
    }
}

fn figures(summary: &Summary, style: TableStyle) -> Vec<String> {
    let mut lines = Vec::new();
    if let (Some(median), Some(p68), Some(p95), Some(rms)) =
        (summary.miss_median, summary.miss_p68, summary.miss_p95, summary.miss_rms)
    {
        lines.push(format!(
            "miss: median {}, 68 % within {}, 95 % within {}, rms {}",
            angle(median, style),
            angle(p68, style),
            angle(p95, style),
            angle(rms, style)
        ));
    }
    if let (Some(rms), Some(peak)) = (summary.tracking_rms, summary.tracking_peak_to_peak) {
        let drift = summary.drift_median.map_or_else(String::new, |rate| {
            let per_minute = Angle::from_arcsec(rate.arcsec() * 60.0);
            format!(", median drift {} per minute", angle(per_minute, style))
        });
        lines.push(format!(
            "tracking: rms {}, largest swing {}{drift}",
            angle(rms, style),
            angle(peak, style)
        ));
    }
    if summary.visitors_served > 0 {
        lines.push(format!("visitors who saw their target: {}", summary.visitors_served));
    }
    if summary.alignment > Span::ZERO {
        lines.push(format!("time spent on alignment: {}", span(summary.alignment)));
    }
    lines
}
