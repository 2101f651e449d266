//! Vector pictures: what is drawn goes through plotters' SVG backend, and its colours become those of the page's theme.

use crate::escape::harmless;
use maud::{Markup, PreEscaped, html};
use plotters::prelude::{
    BLACK, DrawingBackend as _, FontFamily, IntoFont as _, RGBColor, SVGBackend, ShapeStyle, TextStyle,
};
use plotters::style::text_anchor::{HPos, Pos, VPos};

/// The backend's coordinates are whole numbers; the picture is drawn this many times as large as it is shown.
const FINENESS: f64 = 10.0;
/// The backend writes a type size divided by this.
const TYPE_SCALE: f64 = 1.24;

/// What a line, an area or a text stands for; the page's theme gives it its colour and its dashes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Frames, words.
    Line,
    /// Rules that only guide the eye.
    Faint,
    /// The ground under a part that doesn't count, such as what lies behind the skyline.
    Shade,
    /// The first of two series: a whole line.
    First,
    /// The second of two series: dashed, so that it is told apart without colour.
    Second,
    /// The trend of the first series.
    FirstTrend,
    /// The trend of the second series.
    SecondTrend,
    /// What is well.
    Good,
    /// What isn't.
    Bad,
    /// A limit that something is held against: dotted.
    Limit,
    /// The ground of the page.
    Paper,
}

/// Colours of the backend that stand for inks, and what is written in their place.
const INKS: [(Ink, RGBColor, &str, &str); 11] = [
    (Ink::Line, RGBColor(1, 1, 1), "#010101", "var(--line)"),
    (Ink::Faint, RGBColor(1, 1, 2), "#010102", "var(--faint)"),
    (Ink::Shade, RGBColor(1, 1, 3), "#010103", "var(--shade)"),
    (Ink::First, RGBColor(1, 1, 4), "#010104", "var(--first)"),
    (Ink::Second, RGBColor(1, 1, 5), "#010105", "var(--second)\" stroke-dasharray=\"60 25"),
    (Ink::FirstTrend, RGBColor(1, 1, 6), "#010106", "var(--first)\" stroke-dasharray=\"150 40 20 40"),
    (Ink::SecondTrend, RGBColor(1, 1, 7), "#010107", "var(--second)\" stroke-dasharray=\"150 40 20 40"),
    (Ink::Good, RGBColor(1, 1, 8), "#010108", "var(--good)"),
    (Ink::Bad, RGBColor(1, 1, 9), "#010109", "var(--bad)"),
    (Ink::Limit, RGBColor(1, 2, 1), "#010201", "var(--line)\" stroke-dasharray=\"15 30"),
    (Ink::Paper, RGBColor(1, 2, 2), "#010202", "var(--paper)"),
];

impl Ink {
    fn colour(self) -> RGBColor {
        INKS.iter().find(|(ink, ..)| *ink == self).map_or(BLACK, |(_, colour, ..)| *colour)
    }
}

/// A place in a picture: to the right and downwards, in the units of its size.
pub(crate) type Place = (f64, f64);

/// Which end of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Begin,
    Middle,
    End,
}

/// Draws one picture.
pub(crate) struct Pen<'a> {
    backend: SVGBackend<'a>,
}

impl Pen<'_> {
    /// A line through places.
    pub(crate) fn path(&mut self, places: &[Place], ink: Ink, width: f64) {
        if places.len() > 1 {
            let done =
                self.backend.draw_path(places.iter().map(|place| fine(*place)), &style(ink, width, false));
            done.expect("drawing into a text can't fail");
        }
    }

    /// A straight line.
    pub(crate) fn line(&mut self, from: Place, to: Place, ink: Ink, width: f64) {
        self.path(&[from, to], ink, width);
    }

    /// A filled area.
    pub(crate) fn area(&mut self, corners: &[Place], ink: Ink) {
        let done =
            self.backend.fill_polygon(corners.iter().map(|place| fine(*place)), &style(ink, 0.0, true));
        done.expect("drawing into a text can't fail");
    }

    /// A circle's line, or its disc where `width` is zero.
    pub(crate) fn circle(&mut self, centre: Place, radius: f64, ink: Ink, width: f64) {
        let filled = width == 0.0;
        let radius = (radius * FINENESS).round().max(1.0) as u32;
        let done = self.backend.draw_circle(fine(centre), radius, &style(ink, width, filled), filled);
        done.expect("drawing into a text can't fail");
    }

    /// A mark for a thing that is well (a disc) or not (a cross), told apart by its shape.
    pub(crate) fn mark(&mut self, at: Place, good: bool) {
        if good {
            self.circle(at, 3.5, Ink::Good, 0.0);
        } else {
            for (right, down) in [(3.5, 3.5), (3.5, -3.5)] {
                self.line((at.0 - right, at.1 - down), (at.0 + right, at.1 + down), Ink::Bad, 1.8);
            }
        }
    }

    /// An arrow.
    pub(crate) fn arrow(&mut self, from: Place, to: Place, ink: Ink) {
        self.line(from, to, ink, 1.4);
        let (right, down) = (to.0 - from.0, to.1 - from.1);
        let length = units::maths::hypot(right, down);
        if length < 1.0 {
            return;
        }
        let head = (0.4 * length).min(6.0);
        let (along, across) = (
            (right / length * head, down / length * head),
            (-down / length * head * 0.45, right / length * head * 0.45),
        );
        let foot = (to.0 - along.0, to.1 - along.1);
        self.area(&[to, (foot.0 + across.0, foot.1 + across.1), (foot.0 - across.0, foot.1 - across.1)], ink);
    }

    /// A text, its middle at the height of `at`.
    pub(crate) fn text(&mut self, at: Place, anchor: Anchor, size: f64, ink: Ink, text: &str) {
        let h_pos = match anchor {
            Anchor::Begin => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let colour = ink.colour();
        let style = TextStyle::from((FontFamily::SansSerif, size * TYPE_SCALE * FINENESS).into_font())
            .pos(Pos::new(h_pos, VPos::Center))
            .color(&colour);
        let done = self.backend.draw_text(&harmless(text), &style, fine(at));
        done.expect("drawing into a text can't fail");
    }
}

fn fine(place: Place) -> (i32, i32) {
    ((place.0 * FINENESS).round() as i32, (place.1 * FINENESS).round() as i32)
}

fn style(ink: Ink, width: f64, filled: bool) -> ShapeStyle {
    let stroke_width = (width * FINENESS).round() as u32;
    ShapeStyle { color: ink.colour().into(), filled, stroke_width }
}

/// How wide a text of a size comes out, roughly: the mean character of a sans-serif face is a little over half its size.
pub(crate) fn text_width(text: &str, size: f64) -> f64 {
    use unicode_width::UnicodeWidthStr as _;
    text.width() as f64 * size * 0.56
}

/// One picture with its name and its description for those who don't see it.
pub(crate) struct Picture<'a> {
    /// Unlike that of any other on the page.
    pub(crate) id: &'a str,
    /// Width and height that the drawing is made in, about as many pixels of a screen.
    pub(crate) size: (f64, f64),
    pub(crate) title: &'a str,
    pub(crate) description: &'a str,
}

impl Picture<'_> {
    /// The picture as inline SVG.
    pub(crate) fn drawn(&self, draw: impl FnOnce(&mut Pen<'_>)) -> Markup {
        let mut text = String::with_capacity(16 * 1024);
        let (wide, high) = ((self.size.0 * FINENESS) as u32, (self.size.1 * FINENESS) as u32);
        {
            let mut pen = Pen { backend: SVGBackend::with_string(&mut text, (wide, high)) };
            draw(&mut pen);
            pen.backend.present().expect("drawing into a text can't fail");
        }
        let (title, description) = (format!("{}-title", self.id), format!("{}-description", self.id));
        let class = match self.size.0 {
            width if width > 700.0 => "wide",
            width if width > 500.0 => "square",
            _ => "small",
        };
        let svg = html! {
            svg class=(class) role="img" aria-labelledby={ (title) " " (description) }
                viewBox={ "0 0 " (wide) " " (high) } style={ "max-width:" (self.size.0) "px" } {
                title id=(title) { (harmless(self.title)) }
                desc id=(description) { (harmless(self.description)) }
                (PreEscaped(themed(&text)))
            }
        };
        // On a narrow screen a large picture scrolls by itself, with the keyboard too.
        match class {
            "small" => svg,
            _ => {
                html! { div class="scroll" tabindex="0" role="group" aria-label=(harmless(self.title)) { (svg) } }
            }
        }
    }
}

/// What the backend wrote, without its outermost tag, with the theme's colours, and without what says nothing.
fn themed(svg: &str) -> String {
    let inner = svg.find('>').map_or("", |end| &svg[end + 1..]);
    let inner = inner.trim_end().strip_suffix("</svg>").unwrap_or(inner);
    let inner = inner.replace(" opacity=\"1\"", "").replace(" font-family=\"sans-serif\"", "");
    let mut text = String::with_capacity(inner.len() + inner.len() / 8);
    // Texts can't hold a colour in quotes: the backend escapes them.
    let mut pieces = inner.split("\"#");
    text.push_str(pieces.next().unwrap_or_default());
    for piece in pieces {
        let (colour, rest) = piece.split_at(piece.find('"').unwrap_or(piece.len()));
        let themed = INKS.iter().find(|(_, _, plain, _)| plain.trim_start_matches('#') == colour);
        text.push('"');
        text.push_str(themed.map_or("currentColor", |(.., themed)| themed));
        text.push_str(rest);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inks_are_themed_and_texts_escaped() {
        let picture = Picture { id: "a", size: (100.0, 50.0), title: "<t>", description: "d & e" };
        let text = picture
            .drawn(|pen| {
                pen.line((0.0, 0.0), (10.0, 5.0), Ink::Second, 1.0);
                pen.text((5.0, 5.0), Anchor::Middle, 12.0, Ink::Line, "a<b>\u{1b}\"#010101\"");
                pen.circle((1.0, 1.0), 2.0, Ink::Good, 0.0);
            })
            .into_string();
        assert!(text.contains("stroke=\"var(--second)\" stroke-dasharray"), "{text}");
        assert!(text.contains("&lt;t&gt;") && text.contains("d &amp; e"), "{text}");
        assert!(text.contains("a&lt;b&gt;\u{fffd}&quot;#010101&quot;"), "{text}");
        assert!(!text.contains("\"#0"), "{text}");
        assert_eq!(text.matches("<svg").count(), 1);
        assert_eq!(text.matches("</svg>").count(), 1);
    }
}
