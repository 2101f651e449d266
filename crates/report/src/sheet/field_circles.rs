//! Each target in its eyepiece's circle, where it landed.

use super::numbers::{Drawn, csv};
use super::pen::{Anchor, Ink, Pen, Picture};
use super::words::{angle, plural, shortened};
use bench::{GotoRow, Look, Outcome};
use maud::{Markup, html};
use units::Angle;

const SIZE: f64 = 130.0;
const CENTRE: (f64, f64) = (65.0, 65.0);
/// Radius of the circle of the field.
const FIELD: f64 = 42.0;
/// How far out a target is drawn that isn't in the field.
const OUTSIDE: f64 = 54.0;

/// The circles and their caption.
pub(super) fn circles(outcome: &Outcome) -> Option<Drawn> {
    let looks: Vec<(&GotoRow, &Look)> =
        outcome.gotos.iter().filter_map(|row| Some((row, row.look.as_ref()?))).collect();
    if looks.is_empty() {
        return None;
    }
    let markup = html! {
        ul class="fields" {
            @for (index, (row, look)) in looks.iter().enumerate() {
                li { (circle(index, row, look)) div { b { (shortened(&row.target, 18)) } br; (angle(look.miss)) " off" } }
            }
        }
    };
    let cells = looks.iter().map(|(row, look)| {
        let angles = [row.true_field, look.miss_east, look.miss_north];
        let numbers = angles.map(|angle| format!("{:.4}", angle.arcsec()));
        [vec![row.target.clone()], numbers.to_vec()].concat()
    });
    let titles = ["target", "true_field_arcsec", "miss_east_arcsec", "miss_north_arcsec"];
    Some(Drawn::new(markup, caption(&looks), csv(&titles, cells)))
}

fn caption(looks: &[(&GotoRow, &Look)]) -> String {
    let inside = looks.iter().filter(|(row, _)| row.in_field()).count();
    let side = leaning(looks).map_or_else(String::new, |(way, count)| {
        format!(
            " {} of them stood {way} of the middle.",
            if count == looks.len() { "All".to_owned() } else { count.to_string() }
        )
    });
    let all = if inside == looks.len() { "Every".to_owned() } else { format!("{inside} of {}", looks.len()) };
    let (verb, noun) =
        if inside == looks.len() || looks.len() == 1 { ("stood", "target") } else { ("stood", "targets") };
    format!(
        "{all} {noun} {verb} in the field at the first look.{side} North is above and east on the left, as the naked \
         eye has it; a target outside the circle is drawn at its rim, with its distance in fields."
    )
}

/// The side on which most targets stood, if it is more than chance would give to a side.
fn leaning(looks: &[(&GotoRow, &Look)]) -> Option<(&'static str, usize)> {
    let count = |test: fn(&Look) -> bool| looks.iter().filter(|(_, look)| test(look)).count();
    // The miss is from the target to the boresight: a boresight in the east has its target in the west.
    let sides = [
        ("west", count(|look| look.miss_east > Angle::ZERO)),
        ("east", count(|look| look.miss_east < Angle::ZERO)),
        ("south", count(|look| look.miss_north > Angle::ZERO)),
        ("north", count(|look| look.miss_north < Angle::ZERO)),
    ];
    let most = sides.into_iter().max_by_key(|(_, count)| *count)?;
    (looks.len() > 3 && most.1 * 4 >= looks.len() * 3).then_some(most)
}

fn circle(index: usize, row: &GotoRow, look: &Look) -> Markup {
    let inside = row.in_field();
    let fields = look.miss / row.true_field;
    let description = format!(
        "A field {} wide; the target stands {} from its middle, {}.",
        angle(row.true_field),
        angle(look.miss),
        if inside { "inside" } else { "outside" }
    );
    let picture = Picture {
        id: &format!("field-{index}"),
        size: (SIZE, SIZE),
        title: &format!("{} in the eyepiece", row.target),
        description: &description,
    };
    picture.drawn(|pen| {
        pen.circle(CENTRE, FIELD, Ink::Line, 1.4);
        for (right, down) in [(1.0, 0.0), (0.0, 1.0)] {
            let arm = 5.0;
            pen.line(
                (CENTRE.0 - arm * right, CENTRE.1 - arm * down),
                (CENTRE.0 + arm * right, CENTRE.1 + arm * down),
                Ink::Faint,
                0.8,
            );
        }
        landed(pen, look, fields, inside);
    })
}

fn landed(pen: &mut Pen<'_>, look: &Look, fields: f64, inside: bool) {
    if look.miss <= Angle::ZERO {
        pen.mark(CENTRE, inside);
        return;
    }
    // The target as seen from the boresight: against the miss; east is on the left.
    let (right, down) = (look.miss_east / look.miss, look.miss_north / look.miss);
    let out = if inside { FIELD * 2.0 * fields } else { OUTSIDE };
    let at = (CENTRE.0 + out * right, CENTRE.1 + out * down);
    pen.line(CENTRE, at, if inside { Ink::Good } else { Ink::Bad }, 0.8);
    pen.mark(at, inside);
    if !inside {
        let middle = (CENTRE.0 - 18.0 * right, CENTRE.1 - 18.0 * down);
        pen.text(middle, Anchor::Middle, 11.0, Ink::Line, &format!("{fields:.1}"));
    }
}

/// How many targets there are, in words, for the heading.
pub(super) fn counted(outcome: &Outcome) -> String {
    plural(outcome.gotos.len(), "target", "targets")
}
