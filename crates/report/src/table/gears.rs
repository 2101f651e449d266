//! What a star told of the gears: the correction that was recorded, and the play that was measured.

use super::layout::{Column, Page, numbers, plain, words};
use super::style::{TableStyle, Tone};
use super::texts::{angle, angle_or_dash, span};
use bench::{CorrectionRow, PeriodicRow, PlayRow};
use units::{Angle, AngularRate, Fixed, Span};

const ERROR_COLUMNS: [Column; 3] =
    [words("periodic error of the hour axis", 40), numbers("rms", 12), numbers("swing", 12)];

pub(super) fn correction(page: &mut Page, row: Option<&CorrectionRow>) {
    let Some(row) = row else { return };
    let style = page.style();
    page.titles(&ERROR_COLUMNS);
    for (when, error) in errors_of(row) {
        let cells =
            [plain(when), plain(angle_or_dash(error.map(|one| one.rms), style)), plain(swing(error, style))];
        page.row(&ERROR_COLUMNS, &cells);
    }
    let tone = if row.result == "kept" { Tone::Quiet } else { Tone::Careful };
    page.paragraph("", tone, &style.shown(&in_words(row, style)));
}

fn swing(error: Option<PeriodicRow>, style: TableStyle) -> String {
    angle_or_dash(error.map(|error| error.peak_to_peak), style)
}

/// The true periodic error, and when it was so.
pub(crate) fn errors_of(row: &CorrectionRow) -> [(&'static str, Option<PeriodicRow>); 4] {
    [
        ("without any correction", Some(row.uncorrected)),
        ("before the recording", row.before),
        ("left after it", row.left),
        ("left when the night was over", Some(row.left_at_end)),
    ]
}

/// How the recording went, in a sentence or two.
pub(crate) fn in_words(row: &CorrectionRow, style: TableStyle) -> String {
    let turns = if row.turns == 1 { "one turn".to_owned() } else { format!("{} turns", row.turns) };
    let lasted = match (row.begin, row.end) {
        (Some(begin), Some(end)) => format!(" in {}", span(end - begin)),
        _ => String::new(),
    };
    let star = row.star.as_ref().map_or_else(String::new, |star| format!(" on {star}"));
    let ended = match row.result.as_str() {
        "kept" => format!("{} corrections, amplitude {}", row.corrections, angle(row.amplitude, style)),
        "too-few" => format!("not kept, {} corrections are too few", row.corrections),
        "too-steep" => "not kept, it was too steep for the drive".to_owned(),
        "interrupted" => "not kept, something came between".to_owned(),
        "no-star" => "no star could be brought to the wires".to_owned(),
        "star-lost" => "the star was lost".to_owned(),
        "power-lost" => "the mount lost its power".to_owned(),
        "refused" => format!("refused: {}", row.refusal.as_deref().unwrap_or_default()),
        _ => "the night ended first".to_owned(),
    };
    let played = if row.played { "played back" } else { "nothing is played" };
    let end = match (row.played, row.plays_at_end, row.kept_at_end) {
        (true, false, false) if row.index_mark => "; when the night was over it was gone",
        (true, false, false) => "; without an index mark it was gone when the night was over",
        (true, false, true) => "; when the night was over it was not played",
        _ => "",
    };
    format!("recorded over {turns} of the worm{star}{lasted}: {ended}; {played}{end}")
}

const PLAY_COLUMNS: [Column; 7] = [
    words("play measured", 16),
    words("star", 10),
    numbers("measured", 9),
    numbers("scatter", 9),
    numbers("taken up", 9),
    numbers("true play", 10),
    numbers("remains", 10),
];

pub(super) fn plays(page: &mut Page, rows: &[PlayRow]) {
    if rows.is_empty() {
        return;
    }
    let style = page.style();
    page.titles(&PLAY_COLUMNS);
    for row in rows {
        let cells = [
            plain(format!("{} axis", row.axis)),
            plain(style.shown(row.star.as_deref().unwrap_or("-"))),
            plain(arcsec(row.measured, style)),
            plain(arcsec(row.scatter, style)),
            plain(arcsec(row.take_up, style)),
            plain(arcsec(row.gap, style)),
            plain(arcsec(row.too_long().map(|long| -long), style)),
        ];
        page.row(&PLAY_COLUMNS, &cells);
    }
    for row in rows {
        for line in remarks(row, style) {
            page.paragraph("  ", Tone::Careful, &style.shown(&line));
        }
    }
    let note = "measured: mean of the rounds; scatter: deviation of one of them; remains: true play that is not taken up, \
                below zero where a turn of the axis ends in a jump";
    page.paragraph("", Tone::Quiet, note);
}

/// A play in arcseconds whatever its size, as `take-up` has it; a dash where there is none. Nothing has no sign.
pub(crate) fn arcsec(value: Option<Angle>, style: TableStyle) -> String {
    value.map_or_else(
        || "-".to_owned(),
        |value| {
            let mut text = String::new();
            Fixed { value: value.arcsec(), decimals: 1 }.push_to(&mut text);
            text + style.arcsecond()
        },
    )
}

/// What is to be known of an axis's play beside its numbers.
pub(crate) fn remarks(row: &PlayRow, style: TableStyle) -> Vec<String> {
    let axis = row.axis;
    let mut lines = Vec::new();
    if let Some(refusal) = &row.refusal {
        lines.push(format!("{axis} axis, the mount refused: {refusal}"));
    }
    if row.held_by_load {
        lines.push(format!("{axis} axis: its load held it to one flank, so that its play did not show"));
        return lines;
    }
    let (Some(long), Some(short)) = (row.too_long_at_most(), row.too_short_at_most()) else { return lines };
    let told = Angle::from_arcsec(1.0);
    let size = |angle: Angle| arcsec(Some(angle), style);
    if short > told {
        let waits = short.radians() / AngularRate::SIDEREAL.radians();
        let wait = if axis == "hour" {
            format!(", a wait of {:.1} s", Span::from_seconds(waits).seconds())
        } else {
            String::new()
        };
        lines.push(format!(
            "{axis} axis: where its play is greatest {} remain after a turn{wait}",
            size(short)
        ));
    }
    if long > told {
        lines.push(format!("{axis} axis: where its play is least a turn ends in a jump of {}", size(long)));
    }
    lines
}
