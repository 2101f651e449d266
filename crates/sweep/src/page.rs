//! `sweep.html`: the sweep as a page of drawings, one file that needs nothing else.

use crate::answers::Answers;
use crate::words::{angle, percent};
use maud::{Markup, html};
use report::{Cell, ChartScale, Drawn, Series, chart, data_table, harmless};

/// Strategies that are drawn beside each other; more would hide each other.
const DRAWN_MOST: usize = 4;

/// The sweep as a page for a browser. For eyes: its wording, its layout and its markup may change from version to version.
pub fn sweep_html(answers: &Answers) -> String {
    let about = &answers.about;
    let last = about.first_night + answers.nights.saturating_sub(1);
    let cells = vec![
        Cell::new("nights", format!("{} ({} to {last})", answers.nights, about.first_night)),
        Cell::new("cases", about.cases.len().to_string()),
        Cell::new("plan", format!("{}…", about.digest.get(..12).unwrap_or_default())),
        Cell::new("mathematics", about.maths_fingerprint.clone()),
        Cell::new("version", about.version.clone()),
        Cell::new("quantiles", "within 0.5 %"),
        Cell::new("intervals", "95 %"),
        Cell::new("numbers", format!("{}, {}", crate::SWEEP_FILE, crate::FRAME_FILE)),
    ];
    let body = html! {
        section class="answer" { @for sentence in &answers.sentences { p { (harmless(sentence)) } } }
        section { h2 { "Strategies" } (strategies(answers)) (against(answers)) }
        section {
            h2 { "Spread" }
            div class="pairs" {
                (distributions(answers))
                @for index in drawn(answers) { (pairs(answers, index)) }
            }
        }
        (factors(answers))
        (sensitivity(answers))
        section { h2 { "The worst nights" } (worst(answers)) p { (crate::table::replay(answers)) } }
    };
    report::page(&about.title, &cells, &body)
}

/// The cases that are drawn: each strategy at the first value of every factor.
fn drawn(answers: &Answers) -> Vec<usize> {
    let first = &answers.about.cases[0].levels;
    let cases = answers.about.cases.iter().enumerate().filter(|(_, case)| case.levels == *first);
    cases.map(|(index, _)| index).take(DRAWN_MOST).collect()
}

fn strategies(answers: &Answers) -> Markup {
    let titles = [
        "case",
        "nights",
        "in the field",
        "from",
        "to",
        "median",
        "68 %",
        "95 %",
        "tracking",
        "alignment, min",
        "go-tos",
        "not reached",
        "not playable",
    ];
    let or_dash = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), angle);
    let rows: Vec<Vec<String>> = answers
        .cases
        .iter()
        .enumerate()
        .map(|(index, case)| {
            let share = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), percent);
            vec![
                answers.about.cases[index].label.clone(),
                case.played.to_string(),
                share(case.in_field),
                share(case.in_field_interval.map(|ends| ends[0])),
                share(case.in_field_interval.map(|ends| ends[1])),
                or_dash(case.misses[0]),
                or_dash(case.misses[1]),
                or_dash(case.misses[2]),
                or_dash(case.tracking_rms),
                format!("{:.1}", case.minutes[1]),
                format!("{:.1}", case.slews),
                case.not_reached.iter().sum::<u64>().to_string(),
                case.unplayable.to_string(),
            ]
        })
        .collect();
    data_table("Figures over all nights", &titles, &[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], &rows)
}

fn against(answers: &Answers) -> Markup {
    let titles = [
        "case",
        "against",
        "better",
        "the same",
        "worse",
        "p",
        "in the field",
        "from, to",
        "miss, ratio",
        "from, to",
        "minutes more",
        "from, to",
    ];
    let rows: Vec<Vec<String>> = answers
        .cases
        .iter()
        .enumerate()
        .filter_map(|(index, case)| {
            let against = case.against.as_ref()?;
            let both = |figure: Option<(f64, [f64; 2])>, shown: &dyn Fn(f64) -> String| match figure {
                Some((value, [low, high])) => [shown(value), format!("{}, {}", shown(low), shown(high))],
                None => ["-".to_owned(), "-".to_owned()],
            };
            let points = |value: f64| format!("{:+.1} %", 100.0 * value);
            let mut cells = vec![
                answers.about.cases[index].label.clone(),
                answers.about.cases[against.case].label.clone(),
            ];
            cells.extend(against.nights.iter().map(u64::to_string));
            cells.push(format!("{:.2e}", against.sign_test));
            cells.extend(both(against.in_field, &points));
            cells.extend(both(against.miss_ratio, &|value| format!("{value:.3}")));
            cells.extend(both(against.alignment_minutes, &|value| format!("{value:+.2}")));
            Some(cells)
        })
        .collect();
    data_table("Night by night against the first strategy", &titles, &[2, 3, 4, 5, 6, 7, 8, 9, 10, 11], &rows)
}

/// A scale of misses round all that is to be shown.
fn misses(label: &str, least: f64, greatest: f64) -> ChartScale {
    let low = if least.is_finite() { least.clamp(0.01, 3e5) } else { 1.0 };
    let high = greatest.clamp(low * 10.0, 648_000.0);
    ChartScale { low, high, logarithmic: true, label: label.to_owned(), words: Vec::new() }
}

fn distributions(answers: &Answers) -> Markup {
    let mut series = Vec::new();
    let (mut least, mut greatest, mut highest) = (f64::INFINITY, 0.0_f64, 0.0_f64);
    for (look, index) in drawn(answers).into_iter().enumerate() {
        let histogram = &answers.tally.cases[index].misses;
        let total = histogram.total().max(1) as f64;
        let mut points = Vec::new();
        for (from, to, count) in histogram.groups(12.0) {
            let share = 100.0 * count as f64 / total;
            points.push((from, share));
            // The last step comes down again.
            points.push((to, share));
            (least, greatest, highest) = (least.min(from), greatest.max(to), highest.max(share));
        }
        series.push(Series {
            name: answers.about.cases[index].label.clone(),
            points,
            drawn: Drawn::Steps,
            look,
        });
    }
    if highest == 0.0 {
        return html! {};
    }
    let up = ChartScale {
        low: 0.0,
        high: highest * 1.3,
        logarithmic: false,
        label: "share of targets, %".to_owned(),
        words: Vec::new(),
    };
    let caption = "How often a miss of a size came up, over all targets of all nights; a step is a twelfth of a decade.";
    chart(
        "misses",
        "Misses over all targets",
        caption,
        &misses("miss, arcsec", least, greatest),
        &up,
        &series,
    )
}

/// Night by night against the first strategy; nothing for a case that isn't held against another.
fn pairs(answers: &Answers, index: usize) -> Markup {
    let Some(against) = &answers.cases[index].against else { return html! {} };
    let points: Vec<(f64, f64)> = answers
        .tally
        .sample
        .values()
        .filter_map(|night| Some((night.medians[against.case]?, night.medians[index]?)))
        .collect();
    let all = points.iter().flat_map(|(one, other)| [*one, *other]);
    let (least, greatest) =
        all.fold((f64::INFINITY, 0.0_f64), |(low, high), value| (low.min(value), high.max(value)));
    let (name, first) = (&answers.about.cases[index].label, &answers.about.cases[against.case].label);
    let below = points.iter().filter(|(one, other)| other < one).count();
    let caption = format!(
        "Each dot is a night: its median miss by `{first}` across, by `{name}` up. {below} of {} dots lie below the dotted \
         line, where the second is the nearer.",
        points.len()
    );
    let (across, up) = (
        misses(&format!("{first}, arcsec"), least, greatest),
        misses(&format!("{name}, arcsec"), least, greatest),
    );
    let guide = vec![(across.low, across.low), (across.high, across.high)];
    let series = [
        Series { name: String::new(), points: guide, drawn: Drawn::Guide, look: 0 },
        Series { name: String::new(), points, drawn: Drawn::Dots, look: 0 },
    ];
    chart(
        &format!("pairs-{index}"),
        &format!("{name} against {first}, night by night"),
        &caption,
        &across,
        &up,
        &series,
    )
}

/// For each factor the curves of its strategies, the other factors at their first value.
fn factors(answers: &Answers) -> Markup {
    let levels = &answers.about.cases[0].levels;
    if levels.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 { "Factors" }
            div class="pairs" { @for place in 0..levels.len() { (factor(answers, place)) } }
        }
    }
}

fn factor(answers: &Answers, place: usize) -> Markup {
    let first = &answers.about.cases[0];
    let strategies: Vec<&str> =
        drawn(answers).into_iter().map(|index| answers.about.cases[index].strategy.as_str()).collect();
    let on_curve = |index: usize, strategy: &str| {
        let case = &answers.about.cases[index];
        case.strategy == strategy
            && case
                .levels
                .iter()
                .enumerate()
                .all(|(other, level)| other == place || *level == first.levels[other])
    };
    let words: Vec<String> = (0..answers.cases.len())
        .filter(|index| on_curve(*index, &first.strategy))
        .map(|index| answers.about.cases[index].levels[place].text.clone())
        .collect();
    let mut series = Vec::new();
    let (mut least, mut greatest) = (f64::INFINITY, 0.0_f64);
    for (look, strategy) in strategies.iter().enumerate() {
        let mut curve = Vec::new();
        let (mut low, mut high) = (Vec::new(), Vec::new());
        let cases = (0..answers.cases.len()).filter(|index| on_curve(*index, strategy));
        for (at, index) in cases.enumerate() {
            let histogram = &answers.tally.cases[index].misses;
            let quantile = |share| histogram.quantile(share);
            let (Some(sixteenth), Some(median), Some(rest)) = (quantile(0.16), quantile(0.5), quantile(0.84))
            else {
                continue;
            };
            curve.push((at as f64, median));
            low.push((at as f64, sixteenth));
            high.push((at as f64, rest));
            (least, greatest) = (least.min(sixteenth), greatest.max(rest));
        }
        high.reverse();
        if look == 0 {
            low.extend(high);
            series.push(Series { name: String::new(), points: low, drawn: Drawn::Band, look });
        }
        series.push(Series { name: (*strategy).to_owned(), points: curve, drawn: Drawn::Curve, look });
    }
    let across = ChartScale {
        low: -0.2,
        high: words.len() as f64 - 0.8,
        logarithmic: false,
        label: first.levels[place].key.clone(),
        words,
    };
    let caption = "Median miss over all targets; the band holds the middle 68 % of the first strategy's.";
    let title = format!("Miss against {}", first.levels[place].key);
    chart(
        &format!("factor-{place}"),
        &title,
        caption,
        &across,
        &misses("miss, arcsec", least, greatest),
        &series,
    )
}

fn sensitivity(answers: &Answers) -> Markup {
    if answers.sensitivity.is_empty() {
        return html! {};
    }
    let titles = ["input", "explains", "standard error", "rank correlation"];
    html! {
        section {
            h2 { "What explains the spread" }
            p { "Share of the variance of the logarithm of the night's median miss that each input explains by itself, and its rank
                 correlation (with the input's size where it takes both signs)." }
            @for one in &answers.sensitivity {
                @let rows: Vec<Vec<String>> = one.inputs.iter().map(|input| vec![
                    input.key.clone(),
                    format!("{:.1} %", 100.0 * input.explained),
                    format!("{:.1} %", 100.0 * input.explained_error),
                    format!("{:+.3}", input.rank_correlation),
                ]).collect();
                (data_table(&format!("{}, {} nights", answers.about.cases[one.case].label, one.nights), &titles, &[1, 2, 3], &rows))
            }
        }
    }
}

fn worst(answers: &Answers) -> Markup {
    let titles = ["case", "night", "in the field", "median miss"];
    let rows: Vec<Vec<String>> = answers
        .cases
        .iter()
        .enumerate()
        .flat_map(|(index, case)| case.worst.iter().map(move |night| (index, night)))
        .map(|(index, (number, in_field, targets, median))| {
            vec![
                answers.about.cases[index].label.clone(),
                number.to_string(),
                format!("{in_field} of {targets}"),
                median.map_or_else(|| "none reached".to_owned(), angle),
            ]
        })
        .collect();
    data_table("The worst nights of each case", &titles, &[1, 2, 3], &rows)
}
