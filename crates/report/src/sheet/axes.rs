//! A frame with two scales, and what is drawn in it.

use super::pen::{Anchor, Ink, Pen, Place};

/// Size of the type beside the scales.
pub(crate) const TYPE: f64 = 11.0;

/// One scale.
#[derive(Clone, Debug)]
pub(crate) struct Scale {
    low: f64,
    high: f64,
    logarithmic: bool,
    /// Values that get a rule, and the words beside it.
    ticks: Vec<(f64, String)>,
    /// What it counts, with its unit.
    label: String,
}

impl Scale {
    /// An even scale from `low` to `high`, widened to whole steps; `count` ticks or so.
    pub(crate) fn even(low: f64, high: f64, count: f64, label: impl Into<String>) -> Self {
        let (low, high) = if high - low > 1e-9 { (low, high) } else { (low - 0.5, low + 0.5) };
        let step = round_step((high - low) / count);
        let (first, last) = ((low / step + 1e-9).floor(), (high / step - 1e-9).ceil());
        let decimals = decimals_of(step);
        let ticks = (first as i64..=last as i64).map(|n| {
            let value = n as f64 * step;
            (value, format!("{:.decimals$}", if value.abs() < step / 2.0 { 0.0 } else { value }))
        });
        Self {
            low: first * step,
            high: last * step,
            logarithmic: false,
            ticks: ticks.collect(),
            label: label.into(),
        }
    }

    /// A scale whose ends and ticks are given.
    pub(crate) fn given(low: f64, high: f64, ticks: Vec<(f64, String)>, label: impl Into<String>) -> Self {
        Self { low, high, logarithmic: false, ticks, label: label.into() }
    }

    /// A logarithmic scale with ticks at 1, 2 and 5 times the powers of ten.
    pub(crate) fn logarithmic(low: f64, high: f64, label: impl Into<String>) -> Self {
        let mut ticks = Vec::new();
        for power in -4..=7 {
            for lead in [1.0, 2.0, 5.0] {
                let value = lead * units::maths::pow(10.0, f64::from(power));
                if (low..=high).contains(&value) {
                    ticks.push((value, format!("{value}")));
                }
            }
        }
        Self { low, high, logarithmic: true, ticks, label: label.into() }
    }

    /// Where a value lies between both ends, 0 to 1.
    fn share(&self, value: f64) -> f64 {
        if self.logarithmic {
            let log = units::maths::ln;
            (log(value) - log(self.low)) / (log(self.high) - log(self.low))
        } else {
            (value - self.low) / (self.high - self.low)
        }
    }

    pub(crate) fn low(&self) -> f64 {
        self.low
    }

    pub(crate) fn high(&self) -> f64 {
        self.high
    }
}

/// A step of 1, 2 or 5 times a power of ten, no less than `least`.
pub(crate) fn round_step(least: f64) -> f64 {
    let power = units::maths::pow(10.0, units::maths::floor(units::maths::log10(least)));
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|lead| lead * power)
        .find(|step| *step >= least * 0.999_999)
        .unwrap_or(least)
}

/// Decimals that a step needs.
fn decimals_of(step: f64) -> usize {
    (0..6).find(|decimals| step * units::maths::pow(10.0, f64::from(*decimals)) >= 0.999).unwrap_or(6)
        as usize
}

/// Both scales and the frame between them.
pub(crate) struct Axes {
    /// Left, top, right, bottom.
    frame: (f64, f64, f64, f64),
    pub(crate) across: Scale,
    pub(crate) up: Scale,
}

impl Axes {
    /// Scales round a frame with room for their words in a picture of a size.
    pub(crate) fn new(size: Place, across: Scale, up: Scale) -> Self {
        Self { frame: (58.0, 22.0, size.0 - 16.0, size.1 - 42.0), across, up }
    }

    /// Where a pair of values stands.
    pub(crate) fn place(&self, across: f64, up: f64) -> Place {
        let (left, top, right, bottom) = self.frame;
        (left + (right - left) * self.across.share(across), bottom - (bottom - top) * self.up.share(up))
    }

    pub(crate) fn top(&self) -> f64 {
        self.frame.1
    }

    pub(crate) fn bottom(&self) -> f64 {
        self.frame.3
    }

    pub(crate) fn right(&self) -> f64 {
        self.frame.2
    }

    /// Draws rules, frame and words.
    pub(crate) fn draw(&self, pen: &mut Pen<'_>) {
        let (left, top, right, bottom) = self.frame;
        for (value, words) in &self.across.ticks {
            let (x, _) = self.place(*value, self.up.low);
            if x < left - 0.5 || x > right + 0.5 {
                continue;
            }
            pen.line((x, top), (x, bottom), Ink::Faint, 0.5);
            pen.line((x, bottom), (x, bottom + 4.0), Ink::Line, 0.8);
            pen.text((x, bottom + 13.0), Anchor::Middle, TYPE, Ink::Line, words);
        }
        for (value, words) in &self.up.ticks {
            let (_, y) = self.place(self.across.low, *value);
            pen.line((left, y), (right, y), Ink::Faint, 0.5);
            pen.line((left - 4.0, y), (left, y), Ink::Line, 0.8);
            pen.text((left - 7.0, y), Anchor::End, TYPE, Ink::Line, words);
        }
        pen.path(&[(left, top), (right, top), (right, bottom), (left, bottom), (left, top)], Ink::Line, 0.8);
        pen.text(((left + right) / 2.0, bottom + 31.0), Anchor::Middle, TYPE, Ink::Line, &self.across.label);
        pen.text((6.0, top - 11.0), Anchor::Begin, TYPE, Ink::Line, &self.up.label);
    }

    /// A line through pairs of values. Where there are many, each column of the picture keeps its least and its
    /// greatest, in their order.
    pub(crate) fn series(&self, pen: &mut Pen<'_>, pairs: &[(f64, f64)], ink: Ink, width: f64) {
        let columns = 2.0 * (self.frame.2 - self.frame.0);
        let places: Vec<Place> = pairs.iter().map(|(across, up)| self.place(*across, *up)).collect();
        pen.path(&thinned(&places, columns as usize), ink, width);
    }
}

/// No more than a few hundred places that look like all of them: of each group, the first, the highest, the lowest and
/// the last.
fn thinned(places: &[Place], most: usize) -> Vec<Place> {
    if places.len() <= most {
        return places.to_vec();
    }
    let group = places.len().div_ceil(most / 4);
    let mut kept = Vec::with_capacity(most + 4);
    for part in places.chunks(group) {
        let by = |one: &&Place, other: &&Place| one.1.total_cmp(&other.1);
        let mut few: Vec<Place> = [part.first(), part.iter().min_by(by), part.iter().max_by(by), part.last()]
            .into_iter()
            .flatten()
            .copied()
            .collect();
        few.sort_by(|one, other| one.0.total_cmp(&other.0));
        few.dedup();
        kept.extend(few);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        for (least, step) in [(0.011, 0.02), (0.3, 0.5), (1.0, 1.0), (4.9, 5.0), (5.1, 10.0), (130.0, 200.0)]
        {
            assert!((round_step(least) - step).abs() < 1e-9, "{least}");
        }
    }

    #[test]
    fn an_even_scale_ends_on_whole_steps() {
        let scale = Scale::even(-3.2, 7.9, 5.0, "");
        assert_eq!((scale.low(), scale.high()), (-5.0, 10.0));
        let words: Vec<&str> = scale.ticks.iter().map(|(_, words)| words.as_str()).collect();
        assert_eq!(words, ["-5", "0", "5", "10"]);
        // A series without any spread has a scale all the same.
        let flat = Scale::even(0.0, 0.0, 4.0, "");
        assert!(flat.high() > flat.low());
    }

    #[test]
    fn thinning_keeps_both_extremes() {
        let mut places: Vec<Place> = (0..10_000).map(|n| (f64::from(n), 0.0)).collect();
        places[777].1 = 50.0;
        places[9_001].1 = -50.0;
        let kept = thinned(&places, 400);
        assert!(kept.len() <= 404);
        assert!(kept.contains(&(777.0, 50.0)) && kept.contains(&(9_001.0, -50.0)));
        assert!(kept.windows(2).all(|pair| pair[0].0 <= pair[1].0));
    }
}
