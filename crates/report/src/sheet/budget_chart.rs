//! What each cause cost, as bars.

use super::numbers::{Drawn, csv};
use super::pen::{Anchor, Ink, Pen, Picture, text_width};
use super::words::{angle, percent, plural, shortened};
use bench::{BudgetRow, Outcome};
use units::Angle;

const WIDTH: f64 = 760.0;
const LEFT: f64 = 290.0;
const RIGHT: f64 = 590.0;
const ROW: f64 = 24.0;
const TOP: f64 = 34.0;
const TYPE: f64 = 11.5;

/// The chart and its caption.
pub(super) fn chart(outcome: &Outcome) -> Option<Drawn> {
    let was = outcome.summary.miss_median?;
    let rows: Vec<(&BudgetRow, Angle)> =
        outcome.budget.iter().filter_map(|row| Some((row, row.miss_median_without?))).collect();
    if rows.is_empty() {
        return None;
    }
    let caption = caption(&rows, was);
    let size = (WIDTH, TOP + ROW * rows.len() as f64 + 30.0);
    let picture = Picture { id: "budget", size, title: "What each cause cost", description: &caption };
    let longest = rows.iter().map(|(_, without)| *without).fold(was, Angle::max);
    let x = |value: Angle| LEFT + (RIGHT - LEFT) * if longest > Angle::ZERO { value / longest } else { 0.0 };
    let markup = picture.drawn(|pen| {
        pen.text((LEFT - 8.0, 14.0), Anchor::End, TYPE, Ink::Line, "without this cause");
        pen.text((LEFT, 14.0), Anchor::Begin, TYPE, Ink::Line, "median miss");
        pen.text((WIDTH - 6.0, 14.0), Anchor::End, TYPE, Ink::Line, "targets in field");
        for (index, (row, without)) in rows.iter().enumerate() {
            let y = TOP + ROW * (index as f64 + 0.5);
            bar(pen, y, x(*without), helps(*without, was));
            pen.text((LEFT - 8.0, y), Anchor::End, TYPE, Ink::Line, &shortened(&row.cause, 42));
            pen.text((x((*without).max(was)) + 8.0, y), Anchor::Begin, TYPE, Ink::Line, &angle(*without));
            if let Some(share) = row.in_field_without {
                pen.text((WIDTH - 6.0, y), Anchor::End, TYPE, Ink::Line, &percent(share));
            }
        }
        let foot = TOP + ROW * rows.len() as f64;
        pen.line((LEFT, TOP - 6.0), (LEFT, foot + 4.0), Ink::Line, 1.0);
        pen.line((x(was), TOP - 6.0), (x(was), foot + 4.0), Ink::Limit, 1.4);
        let words = format!("as it was: {}", angle(was));
        let half = text_width(&words, TYPE) / 2.0;
        pen.text((x(was).max(LEFT + half), foot + 16.0), Anchor::Middle, TYPE, Ink::Line, &words);
    });
    let cells = rows.iter().map(|(row, without)| {
        let share = row.in_field_without.map_or_else(String::new, |share| share.to_string());
        vec![row.cause.clone(), format!("{:.4}", without.arcsec()), share]
    });
    let titles = ["cause", "miss_median_without_arcsec", "in_field_without"];
    Some(Drawn::new(markup, caption, csv(&titles, cells)))
}

/// A bar, whole where removing the cause helps and open where it doesn't.
fn bar(pen: &mut Pen<'_>, y: f64, right: f64, helps: bool) {
    let corners = [(LEFT, y - 7.0), (right, y - 7.0), (right, y + 7.0), (LEFT, y + 7.0)];
    if helps {
        pen.area(&corners, Ink::First);
    } else {
        pen.path(&[corners[0], corners[1], corners[2], corners[3], corners[0]], Ink::Line, 0.8);
    }
}

/// Whether a night without a cause is better as far as it is told.
fn helps(without: Angle, was: Angle) -> bool {
    without < was && angle(without) != angle(was)
}

fn caption(rows: &[(&BudgetRow, Angle)], was: Angle) -> String {
    let helping = rows.iter().filter(|(_, without)| helps(*without, was)).count();
    let (first, without) = rows[0];
    if helping == 0 {
        return format!(
            "Taking away any single cause leaves the median miss at {} or more: they act together, or what is left is chance.",
            angle(was)
        );
    }
    format!(
        "The same night, each time without one cause and with all other draws the same: {} of {} cost something, \
         and without the first, {}, the median miss is {} in place of {}.",
        helping,
        plural(rows.len(), "cause", "causes"),
        lower_first(&first.cause),
        angle(without),
        angle(was)
    )
}

/// A cause within a sentence.
pub(super) fn lower_first(text: &str) -> String {
    text.strip_prefix("The ").map_or_else(|| text.to_owned(), |rest| format!("the {rest}"))
}
