//! What a sweep comes to, in plain words.

use crate::about::About;
use crate::answers::{Against, CaseAnswers};
use crate::words::{angle, percent, times};

/// One sentence for a case alone; one for each case against the first strategy; one for what could not be played.
pub(crate) fn sentences(about: &About, nights: u64, cases: &[CaseAnswers]) -> Vec<String> {
    let mut said: Vec<String> = cases
        .iter()
        .enumerate()
        .filter_map(|(index, case)| Some(compared(about, index, case, cases, case.against.as_ref()?)))
        .collect();
    if said.is_empty() {
        said.extend(cases.iter().enumerate().map(|(index, case)| alone(about, index, case, nights)));
    }
    // A grid has a table; a page of sentences helps nobody.
    if said.len() > SENTENCES_MOST {
        said.truncate(SENTENCES_MOST);
        said.push("The table has the other cases.".to_owned());
    }
    let unplayable: u64 = cases.iter().map(|case| case.unplayable).sum();
    if unplayable > 0 {
        let first = cases.iter().filter_map(|case| case.first_unplayable).min().unwrap_or_default();
        said.push(format!(
            "{} could not be played, since what was drawn contradicts itself; night {first} is the first of them.",
            times(unplayable, "night")
        ));
    }
    said
}

const SENTENCES_MOST: usize = 12;

fn alone(about: &About, index: usize, case: &CaseAnswers, nights: u64) -> String {
    let head = if about.cases.len() > 1 {
        format!("{}: in {}", about.cases[index].label, times(nights, "night"))
    } else {
        format!("In {}", times(nights, "night"))
    };
    match (case.in_field, case.in_field_interval, case.misses[0]) {
        (Some(share), Some([low, high]), Some(median)) => format!(
            "{head}, {} of the targets ({} to {}) stood in the field; half of the misses stayed below {}.",
            percent(share),
            percent(low),
            percent(high),
            angle(median)
        ),
        (Some(share), ..) => format!("{head}, {} of the targets stood in the field.", percent(share)),
        _ => format!("{head}, nothing was looked at."),
    }
}

fn compared(
    about: &About,
    index: usize,
    case: &CaseAnswers,
    cases: &[CaseAnswers],
    against: &Against,
) -> String {
    let (name, first) = (&about.cases[index].label, &about.cases[against.case].label);
    let [better, equal, worse] = against.nights;
    let all = better + equal + worse;
    if all == 0 {
        return format!("{name} and {first} have no night in common.");
    }
    let of_all = |count: u64| percent(count as f64 / all as f64);
    if equal == all {
        return format!("{name} and {first} came out the same in every night.");
    }
    let (verb, count) = if better >= worse { ("beat", better) } else { ("did worse than", worse) };
    let mut sentence = format!("{name} {verb} {first} in {} of the nights", of_all(count));
    if equal > 0 {
        sentence += &format!(" (the same in {})", of_all(equal));
    }
    if let Some((minutes, _)) = against.alignment_minutes {
        sentence += &match minutes {
            minutes if minutes.abs() < 0.05 => "; as long".to_owned(),
            minutes if minutes > 0.0 => format!("; {minutes:.1} minutes longer"),
            minutes => format!("; {:.1} minutes shorter", -minutes),
        };
    }
    if let (Some(mine), Some(theirs)) = (case.misses[0], cases[against.case].misses[0]) {
        sentence += &format!("; median miss {} instead of {}", angle(mine), angle(theirs));
    }
    if against.sign_test > 0.05 {
        sentence += &format!("; that may be chance (sign test p = {:.2})", against.sign_test);
    }
    sentence + "."
}
