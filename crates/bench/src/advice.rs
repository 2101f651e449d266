//! Two plain lines: what the night shows, and which error it was.

use crate::budget::{Budget, Figures, Weighed};
use crate::outcome::{GotoRow, Summary};
use units::Angle;

/// What the night shows, and which of its errors cost the most.
pub(crate) fn two_lines(gotos: &[GotoRow], summary: &Summary, budget: &Budget) -> [String; 2] {
    [what_it_shows(gotos, summary), which_error(budget)]
}

fn what_it_shows(gotos: &[GotoRow], summary: &Summary) -> String {
    let landed = gotos.iter().filter(|row| row.in_field()).count();
    let total = gotos.len();
    match (total, summary.miss_median) {
        (0, _) => "No target was asked for, so there is nothing to measure.".to_owned(),
        (_, None) => format!("None of {} was reached.", counted(total)),
        (_, Some(median)) => {
            let stand = if landed == 1 { "stands" } else { "stand" };
            format!(
                "{landed} of {} {stand} in the field at the first look; the median miss is {}.",
                counted(total),
                miss(median)
            )
        }
    }
}

fn counted(total: usize) -> String {
    if total == 1 { "1 target".to_owned() } else { format!("{total} targets") }
}

/// A miss as people say it.
fn miss(angle: Angle) -> String {
    if angle >= Angle::from_arcmin(1.0) {
        format!("{:.1} arcmin", angle.arcmin())
    } else {
        format!("{:.2} arcsec", angle.arcsec())
    }
}

fn which_error(budget: &Budget) -> String {
    let was = &budget.was;
    if was.median.is_none() {
        return "Nothing can be said about its errors.".to_owned();
    }
    let Some(first) = budget.causes.iter().find(|weighed| weighed.without.median.is_some()) else {
        return "The mount and its set-up have no error; what is left is the air between arrival and look."
            .to_owned();
    };
    if looks_the_same(&first.without, was) || !first.without.better_than(was) {
        return "No single error costs anything that shows; where something misses, several do it together."
            .to_owned();
    }
    let mut line = format!("{} costs the most: without it {}.", first.name(), would_be(&first.without));
    match (budget.causes.get(1), &budget.without_two) {
        (Some(second), Some(both)) if matters(both, &first.without) => {
            line.push_str(&format!(" Without {} too, {}.", lower(second.name()), would_be(both)));
        }
        _ => {}
    }
    if let Some(idle) = budget.causes.iter().rev().find(|weighed| changed_nothing(weighed, was)) {
        line.push_str(&format!(" {} changed nothing.", idle.name()));
    }
    line
}

fn would_be(figures: &Figures) -> String {
    let stand = of(figures.in_field, figures.targets);
    match figures.median {
        Some(median) => {
            format!("{stand} would stand in the field and the median miss would be {}", miss(median))
        }
        None => format!("{stand} would stand in the field"),
    }
}

/// Whether a second remedy is worth a word: another target in the field, or a quarter off the median.
fn matters(both: &Figures, one: &Figures) -> bool {
    both.in_field > one.in_field
        || (both.in_field == one.in_field
            && matches!((both.median, one.median), (Some(both), Some(one)) if both < one * 0.75))
}

/// Whether the night without a cause is the same but for a hundredth.
fn changed_nothing(weighed: &Weighed, was: &Figures) -> bool {
    weighed.without.in_field == was.in_field
        && matches!((weighed.without.median, was.median), (Some(one), Some(two)) if (one - two).abs() <= two * 0.01)
}

/// Whether two nights come to the same as far as it is told.
fn looks_the_same(one: &Figures, other: &Figures) -> bool {
    one.in_field == other.in_field && one.median.map(miss) == other.median.map(miss)
}

/// A cause within a sentence.
fn lower(name: &str) -> String {
    name.strip_prefix("The ").map_or_else(|| name.to_owned(), |rest| format!("the {rest}"))
}

fn of(count: usize, total: usize) -> String {
    if count == total { format!("all {total}") } else { format!("{count} of {total}") }
}
