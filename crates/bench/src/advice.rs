//! Two plain lines: what the night shows, and which error it was.

use crate::causes::CAUSES;
use crate::outcome::{GotoRow, Summary};
use crate::prepare::{Prepared, prepare};
use crate::statistics;
use units::Angle;

/// The night without one of its causes.
struct Without {
    name: &'static str,
    in_field: usize,
    median: Option<Angle>,
}

pub(crate) fn two_lines(prepared: &Prepared, gotos: &[GotoRow], summary: &Summary) -> [String; 2] {
    [what_it_shows(gotos, summary), which_error(prepared, gotos, summary)]
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

fn which_error(prepared: &Prepared, gotos: &[GotoRow], summary: &Summary) -> String {
    let Some(median) = summary.miss_median else {
        return "Nothing can be said about its errors.".to_owned();
    };
    let landed = gotos.iter().filter(|row| row.in_field()).count();
    let without: Vec<Without> = CAUSES
        .iter()
        .filter(|cause| (cause.present)(&prepared.effective))
        .filter_map(|cause| {
            let mut plan = prepared.effective.clone();
            (cause.remove)(&mut plan);
            let misses = prepare(&plan).ok()?.misses();
            let summary = statistics::summary(&misses, &[], &[], 0);
            let in_field = misses.iter().filter(|row| row.in_field()).count();
            Some(Without { name: cause.name, in_field, median: summary.miss_median })
        })
        .collect();
    let costliest = without
        .iter()
        .filter_map(|one| Some((one, one.median?)))
        // The first of equals wins: most in the field, then the least median.
        .reduce(|best, next| {
            let better =
                next.0.in_field > best.0.in_field || (next.0.in_field == best.0.in_field && next.1 < best.1);
            if better { next } else { best }
        });
    match costliest {
        None => "The mount and its set-up have no error; what is left is the air between arrival and look."
            .to_owned(),
        Some((cause, other)) if cause.in_field > landed || other < median => format!(
            "{} costs the most: without it {} would stand in the field and the median miss would be {}.",
            cause.name,
            of(cause.in_field, gotos.len()),
            miss(other)
        ),
        Some(_) => "No single error costs anything by itself: they only hurt together.".to_owned(),
    }
}

fn of(count: usize, total: usize) -> String {
    if count == total { format!("all {total}") } else { format!("{count} of {total}") }
}
