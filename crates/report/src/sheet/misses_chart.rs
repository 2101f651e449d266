//! The pointing error along the night, with what struck.

use super::axes::{Axes, Scale};
use super::numbers::{Drawn, csv};
use super::pen::{Anchor, Ink, Pen, Picture, text_width};
use super::words::{angle, shortened, time_of_day};
use bench::{GotoRow, Look, Outcome};
use units::{Instant, Span};

const SIZE: (f64, f64) = (760.0, 300.0);

/// The chart and its caption.
pub(super) fn chart(outcome: &Outcome) -> Option<Drawn> {
    let looks: Vec<(&GotoRow, &Look)> =
        outcome.gotos.iter().filter_map(|row| Some((row, row.look.as_ref()?))).collect();
    if looks.is_empty() {
        return None;
    }
    let caption = caption(&looks, outcome);
    let arcmin = looks.iter().map(|(_, look)| look.miss.arcmin()).fold(0.0, f64::max) >= 1.0;
    let unit = if arcmin { "arcmin" } else { "arcsec" };
    let sized = |value: units::Angle| if arcmin { value.arcmin() } else { value.arcsec() };
    // Less than a hundredth of an arcsecond is drawn as the nothing that it is.
    let highest = looks.iter().map(|(_, look)| sized(look.miss)).fold(0.01, f64::max);
    // The field's edge is shown where it doesn't push the misses themselves down to nothing.
    let edges = looks.iter().map(|(row, _)| sized(row.true_field) / 2.0).filter(|edge| *edge < 4.0 * highest);
    let up = Scale::even(0.0, edges.fold(highest, f64::max) * 1.08, 5.0, format!("miss, {unit}"));
    let axes = Axes::new(SIZE, clock(outcome.scene.begin, last_event(outcome)), up);
    let title = "Pointing error along the night";
    let picture = Picture { id: "misses", size: SIZE, title, description: &caption };
    let markup = picture.drawn(|pen| {
        axes.draw(pen);
        let hours = |at: Instant| (at - outcome.scene.begin).hours();
        let mut free = f64::NEG_INFINITY;
        for (index, row) in outcome.faults.iter().enumerate() {
            struck(pen, &axes, hours(row.at), index, &mut free);
        }
        for (row, look) in &looks {
            let (x, edge) = (hours(look.at), sized(row.true_field) / 2.0);
            if edge <= axes.up.high() {
                let (left, right) = (axes.place(x, edge), axes.place(x, edge));
                pen.line((left.0 - 7.0, left.1), (right.0 + 7.0, right.1), Ink::Line, 1.0);
            }
            let (foot, head) = (axes.place(x, 0.0), axes.place(x, sized(look.miss)));
            pen.line(foot, head, if row.in_field() { Ink::Good } else { Ink::Bad }, 1.4);
            pen.mark(head, row.in_field());
        }
    });
    let cells = looks.iter().map(|(row, look)| {
        let at = crate::json::utc(look.at, crate::json::SECOND_DECIMALS);
        vec![row.target.clone(), at, format!("{:.4}", look.miss.arcsec())]
    });
    Some(Drawn::new(markup, caption, csv(&["target", "utc", "miss_arcsec"], cells)))
}

/// The night's end, or half an hour after the last thing that is drawn if that is sooner.
fn last_event(outcome: &Outcome) -> Instant {
    let looks = outcome.gotos.iter().filter_map(|row| row.look.as_ref()).map(|look| look.at);
    let last = looks.chain(outcome.faults.iter().map(|row| row.at)).fold(outcome.scene.begin, Instant::max);
    (last + Span::from_whole_seconds(1_800)).min(outcome.scene.end.max(last))
}

/// A disturbance: a line from top to bottom with its number, where there is room for it; the others are told by the list below.
/// `free` is where the last number ended.
fn struck(pen: &mut Pen<'_>, axes: &Axes, hours: f64, index: usize, free: &mut f64) {
    let (x, _) = axes.place(hours, axes.up.low());
    pen.line((x, axes.top()), (x, axes.bottom()), Ink::Limit, 1.2);
    let number = format!("{}", index + 1);
    if x > *free {
        *free = x + 6.0 + text_width(&number, 10.0);
        pen.text((x + 4.0, axes.top() + 9.0), Anchor::Begin, 10.0, Ink::Line, &number);
    }
}

fn caption(looks: &[(&GotoRow, &Look)], outcome: &Outcome) -> String {
    let half = looks.len() / 2;
    let mean = |part: &[(&GotoRow, &Look)]| {
        part.iter().map(|(_, look)| look.miss.arcsec()).sum::<f64>() / part.len() as f64
    };
    let course = if half == 0 {
        format!("{} was missed by {}.", looks[0].0.target, angle(looks[0].1.miss))
    } else {
        let (early, late) = (mean(&looks[..half]), mean(&looks[half..]));
        let words = if late > 1.25 * early {
            "grew in the course of the night"
        } else if late < 0.8 * early {
            "shrank in the course of the night"
        } else {
            "stayed about the same all night"
        };
        let shown = |arcsec| angle(units::Angle::from_arcsec(arcsec));
        format!(
            "The misses {words}: {} on the average in its first half, {} in its second.",
            shown(early),
            shown(late)
        )
    };
    match outcome.faults.first() {
        None => course,
        Some(first) => format!(
            "{course} The first disturbance came at {} UTC ({}).",
            time_of_day(first.at),
            shortened(&first.kind, 30)
        ),
    }
}

/// A scale of hours since the begin, with the time of day in UTC beside its ticks.
pub(super) fn clock(begin: Instant, end: Instant) -> Scale {
    let hours = (end - begin).hours().max(1.0 / 60.0);
    let steps: [f64; 9] = [1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 240.0];
    let step = steps
        .into_iter()
        .find(|minutes| hours * 60.0 / minutes <= 9.0)
        .unwrap_or_else(|| (hours * 60.0 / 9.0).ceil());
    let step = Span::from_whole_seconds((step * 60.0) as i64).nanoseconds();
    // From the first whole step of the clock on; the day's begin in UTC is no whole number of steps from the epoch by
    // the leap seconds, so the clock's own text is asked.
    let offset = since_midnight(begin).nanoseconds().rem_euclid(step);
    let first = begin + Span::from_nanoseconds((step - offset).rem_euclid(step));
    let mut ticks = Vec::new();
    let mut at = first;
    while at <= end {
        let words = time_of_day(at);
        ticks.push(((at - begin).hours(), words[..words.len().min(5)].to_owned()));
        at += Span::from_nanoseconds(step);
    }
    Scale::given(0.0, hours, ticks, "time of day, UTC")
}

/// How long ago the UTC day began.
fn since_midnight(at: Instant) -> Span {
    let text = crate::json::utc(at, crate::json::SECOND_DECIMALS);
    let time = text.split_once('T').map_or("", |(_, time)| time.trim_end_matches('Z'));
    let mut seconds = 0.0;
    for part in time.split(':') {
        seconds = seconds * 60.0 + part.parse::<f64>().unwrap_or(0.0);
    }
    Span::from_seconds(seconds)
}
