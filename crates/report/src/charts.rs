//! Charts for pages of other crates: curves, bands, bars and dots, in the look of the sheet.

use crate::sheet::axes::{Axes, Scale};
use crate::sheet::pen::{Anchor, Ink, Pen, Picture};
use maud::{Markup, html};

/// One of the two scales of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartScale {
    /// Its least value; above zero where the scale is logarithmic.
    pub low: f64,
    /// Its greatest value.
    pub high: f64,
    /// Whether equal ratios take equal room.
    pub logarithmic: bool,
    /// What it counts, with its unit.
    pub label: String,
    /// Words in place of numbers, from 0 on; empty for numbers.
    pub words: Vec<String>,
}

impl ChartScale {
    fn scale(&self) -> Scale {
        if !self.words.is_empty() {
            let ticks = self.words.iter().enumerate().map(|(at, words)| (at as f64, words.clone())).collect();
            return Scale::given(self.low, self.high, ticks, self.label.clone());
        }
        if self.logarithmic {
            let (low, high) = (self.low, self.high.max(self.low * 1.01));
            Scale::logarithmic(low, high, self.label.clone())
        } else {
            Scale::even(self.low, self.high, 5.0, self.label.clone())
        }
    }
}

/// How a series is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawn {
    /// A line through its points, with a mark at each.
    Curve,
    /// An area between its points, given forth along one edge and back along the other.
    Band,
    /// Steps from point to point: a histogram.
    Steps,
    /// A dot for each point.
    Dots,
    /// A line without marks, as a guide.
    Guide,
}

/// What is drawn into a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Its name beside its end; empty for none.
    pub name: String,
    /// Pairs of values, across and up.
    pub points: Vec<(f64, f64)>,
    /// How it is drawn.
    pub drawn: Drawn,
    /// Which of the series' looks it gets, from 0; four differ.
    pub look: usize,
}

/// A chart with a caption: `id` is unlike that of any other on the page.
pub fn chart(
    id: &str,
    title: &str,
    caption: &str,
    across: &ChartScale,
    up: &ChartScale,
    series: &[Series],
) -> Markup {
    const SIZE: (f64, f64) = (560.0, 320.0);
    let axes = Axes::new(SIZE, across.scale(), up.scale());
    let picture = Picture { id, size: SIZE, title, description: caption };
    let drawn = picture.drawn(|pen| {
        // Bands lie under everything else.
        for one in series.iter().filter(|one| one.drawn == Drawn::Band) {
            draw(pen, &axes, one);
        }
        axes.draw(pen);
        for one in series.iter().filter(|one| one.drawn != Drawn::Band) {
            draw(pen, &axes, one);
        }
        legend(pen, &axes, series);
    });
    html! {
        figure {
            h3 { (crate::harmless(title)) }
            (drawn)
            figcaption { (crate::harmless(caption)) }
        }
    }
}

const fn ink(look: usize) -> Ink {
    match look % 4 {
        0 => Ink::First,
        1 => Ink::Second,
        2 => Ink::FirstTrend,
        _ => Ink::SecondTrend,
    }
}

fn draw(pen: &mut Pen<'_>, axes: &Axes, series: &Series) {
    let places: Vec<(f64, f64)> = series
        .points
        .iter()
        .filter(|(across, up)| across.is_finite() && up.is_finite())
        .map(|(across, up)| {
            axes.place(
                across.clamp(axes.across.low(), axes.across.high()),
                up.clamp(axes.up.low(), axes.up.high()),
            )
        })
        .collect();
    match series.drawn {
        Drawn::Band => pen.area(&places, Ink::Shade),
        Drawn::Guide => pen.path(&places, Ink::Limit, 1.0),
        Drawn::Dots => places.iter().for_each(|place| pen.circle(*place, 1.6, ink(series.look), 0.0)),
        Drawn::Curve => {
            pen.path(&places, ink(series.look), 1.6);
            places.iter().for_each(|place| pen.circle(*place, 2.6, ink(series.look), 0.0));
        }
        Drawn::Steps => {
            let mut corners = Vec::with_capacity(2 * places.len());
            for (index, place) in places.iter().enumerate() {
                if let Some(before) = index.checked_sub(1).and_then(|before| places.get(before)) {
                    corners.push((place.0, before.1));
                }
                corners.push(*place);
            }
            pen.path(&corners, ink(series.look), 1.4);
        }
    }
}

/// Names with a piece of their line, under each other at the upper right.
fn legend(pen: &mut Pen<'_>, axes: &Axes, series: &[Series]) {
    let named = series.iter().filter(|one| !one.name.is_empty());
    for (index, one) in named.enumerate() {
        let y = axes.top() + 12.0 + 15.0 * index as f64;
        let x = axes.right() - 8.0;
        pen.line((x - 26.0, y), (x, y), ink(one.look), 1.8);
        let name: String = one.name.chars().take(48).collect();
        pen.text((x - 32.0, y), Anchor::End, 11.0, Ink::Line, &name);
    }
}
