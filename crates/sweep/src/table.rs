//! The table for a terminal.

use crate::answers::{Answers, CaseAnswers};
use crate::words::{angle, percent, times};
use report::TableStyle;
use std::fmt::Write as _;
use unicode_width::UnicodeWidthStr as _;

/// More cases than this are left to the files.
const CASES_SHOWN: usize = 40;
/// Inputs that are named for each strategy.
const INPUTS_SHOWN: usize = 5;

/// The sweep for eyes, within a width in columns; ASCII alone where the style asks for that.
pub fn sweep_table(answers: &Answers, style: TableStyle, width: usize) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}", report::harmless(&answers.about.title));
    let last = answers.about.first_night + answers.nights.saturating_sub(1);
    let _ = writeln!(text, "{}, {} to {last}\n", times(answers.nights, "night"), answers.about.first_night);
    for sentence in &answers.sentences {
        paragraph(&mut text, sentence, width);
    }
    text.push('\n');
    cases(&mut text, answers, width);
    sensitivities(&mut text, answers, width);
    worst(&mut text, answers, width);
    verdicts(&mut text, answers);
    if style.unicode { text } else { ascii(&text) }
}

/// Breaks a sentence into lines.
fn paragraph(text: &mut String, sentence: &str, width: usize) {
    let mut column = 0;
    for word in report::harmless(sentence).split(' ') {
        let wide = word.width();
        if column > 0 && column + 1 + wide > width {
            text.push('\n');
            column = 0;
        }
        if column > 0 {
            text.push(' ');
            column += 1;
        }
        text.push_str(word);
        column += wide;
    }
    text.push('\n');
}

fn cases(text: &mut String, answers: &Answers, width: usize) {
    let titles = ["in the field", "median", "68 %", "95 %", "tracking", "minutes", "slews"];
    let rows: Vec<Vec<String>> = answers
        .cases
        .iter()
        .take(CASES_SHOWN)
        .enumerate()
        .map(|(index, case)| {
            let mut cells = vec![report::harmless(&answers.about.cases[index].label).into_owned()];
            cells.extend(row(case));
            cells
        })
        .collect();
    grid(text, "case", &titles, &rows, width);
    if answers.cases.len() > CASES_SHOWN {
        let _ =
            writeln!(text, "{} more in the files", times((answers.cases.len() - CASES_SHOWN) as u64, "case"));
    }
    for (index, case) in answers.cases.iter().enumerate() {
        let [refused, unreachable, night_over] = case.not_reached;
        if refused + unreachable + night_over + case.unplayable > 0 {
            let _ = writeln!(
                text,
                "{}: {refused} refused, {unreachable} unreachable, {night_over} after the night's end; {} not playable",
                report::harmless(&answers.about.cases[index].label),
                times(case.unplayable, "night")
            );
        }
    }
}

fn row(case: &CaseAnswers) -> Vec<String> {
    let or_dash = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), angle);
    let share = match (case.in_field, case.in_field_interval) {
        (Some(share), Some([low, high])) => {
            // Outwards, so that the interval never looks narrower than it is.
            let (low, high) = (units::maths::floor(100.0 * low), units::maths::ceil(100.0 * high));
            format!("{} ({low}-{high})", percent(share))
        }
        (Some(share), None) => percent(share),
        _ => "-".to_owned(),
    };
    vec![
        share,
        or_dash(case.misses[0]),
        or_dash(case.misses[1]),
        or_dash(case.misses[2]),
        or_dash(case.tracking_rms),
        format!("{:.1}", case.minutes[1]),
        format!("{:.1}", case.slews),
    ]
}

/// A table whose first column gives way.
fn grid(text: &mut String, first: &str, titles: &[&str], rows: &[Vec<String>], width: usize) {
    let mut widths: Vec<usize> = titles.iter().map(|title| title.width()).collect();
    for row in rows {
        for (width, cell) in widths.iter_mut().zip(&row[1..]) {
            *width = (*width).max(cell.width());
        }
    }
    while widths.len() > 2 && widths.iter().map(|width| width + 2).sum::<usize>() + 16 > width {
        widths.pop();
    }
    let rest: usize = widths.iter().map(|width| width + 2).sum();
    let longest = rows.iter().map(|row| row[0].width()).max().unwrap_or(0).max(first.width());
    let names = longest.min(width.saturating_sub(rest).max(12));
    let line = |text: &mut String, name: &str, cells: &mut dyn Iterator<Item = String>| {
        let mut shown: String = name.to_owned();
        if shown.width() > names {
            while shown.width() > names.saturating_sub(1) {
                shown.pop();
            }
            shown.push('…');
        }
        let _ = write!(text, "{shown}{}", " ".repeat(names - shown.width().min(names)));
        for (width, cell) in widths.iter().zip(cells) {
            let _ = write!(text, "  {}{cell}", " ".repeat(width - cell.width().min(*width)));
        }
        text.push('\n');
    };
    line(text, first, &mut titles.iter().map(|title| (*title).to_owned()));
    for row in rows {
        line(text, &row[0], &mut row[1..].iter().cloned());
    }
    text.push('\n');
}

fn sensitivities(text: &mut String, answers: &Answers, width: usize) {
    for one in &answers.sensitivity {
        let label = report::harmless(&answers.about.cases[one.case].label);
        let _ = writeln!(text, "What explains the spread of the misses: {label}");
        let rows: Vec<Vec<String>> = one
            .inputs
            .iter()
            .take(INPUTS_SHOWN)
            .map(|input| {
                vec![
                    input.key.clone(),
                    format!(
                        "{:.0} % ±{:.0}",
                        100.0 * input.explained.max(0.0),
                        100.0 * input.explained_error
                    ),
                    format!("{:+.2}", input.rank_correlation),
                ]
            })
            .collect();
        grid(text, "input", &["explains", "rank correlation"], &rows, width);
    }
}

fn worst(text: &mut String, answers: &Answers, width: usize) {
    let mut line = String::from("The worst nights, each to be played again by its seed: ");
    let mut named = Vec::new();
    for (index, case) in answers.cases.iter().enumerate().take(CASES_SHOWN) {
        let numbers: Vec<String> = case.worst.iter().take(3).map(|night| night.0.to_string()).collect();
        if !numbers.is_empty() {
            named.push(format!("{} {}", answers.about.cases[index].label, numbers.join(", ")));
        }
    }
    if named.is_empty() {
        return;
    }
    line += &named.join("; ");
    line += ". ";
    line += &replay(answers);
    paragraph(text, &line, width);
}

/// How one night is played again, with the first case as an example.
pub(crate) fn replay(answers: &Answers) -> String {
    let about = &answers.about.cases[0];
    let mut command = "nightbench night FILE".to_owned();
    if !about.strategy.is_empty() {
        command += &format!(" --strategy \"{}\"", about.strategy);
    }
    for level in &about.levels {
        command += &format!(" --factor \"{}={}\"", level.key, level.text);
    }
    format!("Such as: {command} --seed N")
}

fn verdicts(text: &mut String, answers: &Answers) {
    for (index, case) in answers.cases.iter().enumerate() {
        for verdict in &case.verdicts {
            let _ = writeln!(
                text,
                "{}: {} {} in {}: found {}",
                if verdict.held { "held" } else { "FAILED" },
                verdict.key,
                verdict.expected,
                report::harmless(&answers.about.cases[index].label),
                verdict.found
            );
        }
    }
}

fn ascii(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '″' => plain.push('"'),
            '′' => plain.push('\''),
            '°' => plain.push_str(" deg"),
            '±' => plain.push_str("+-"),
            '…' => plain.push('~'),
            c if c.is_ascii() => plain.push(c),
            _ => plain.push('?'),
        }
    }
    plain
}
