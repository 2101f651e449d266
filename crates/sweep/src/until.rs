//! Playing until a figure is known well enough.

use crate::about::About;
use crate::answers::{CaseAnswers, cases};
use crate::tally::Tally;
use units::{Quantity as _, Share};

/// Nights between two looks at the interval.
pub(crate) const ROUND: u64 = 500;

/// A figure and how wide its interval may be at most, in every case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Until {
    figure: Figure,
    /// As a share: of one for a share, of the figure itself for a miss.
    width: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Figure {
    InField,
    NightMedian,
    InFieldDifference,
    MissRatio,
}

/// The figures by their names.
const FIGURES: [(&str, Figure); 4] = [
    ("in_field", Figure::InField),
    ("miss_night_median", Figure::NightMedian),
    ("in_field_difference", Figure::InFieldDifference),
    ("miss_ratio", Figure::MissRatio),
];

/// A condition that isn't one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is no figure with a width; write one such as \"in_field 2 %\": the figures are in_field, miss_night_median, in_field_difference, miss_ratio"
)]
pub struct UntilError(String);

impl Until {
    /// Reads a text such as `in_field 2 %`: the 95 % interval is at most so wide from end to end, in per cent of all targets
    /// for shares, in per cent of itself for misses and their ratio.
    ///
    /// # Errors
    /// [`UntilError`].
    pub fn read(text: &str) -> Result<Self, UntilError> {
        let error = || UntilError(text.chars().take(60).collect());
        let (name, width) = text.trim().split_once(char::is_whitespace).ok_or_else(error)?;
        let figure = FIGURES.iter().find(|(known, _)| *known == name).ok_or_else(error)?.1;
        let width = Share::parse(width).map_err(|_| error())?.fraction();
        if width > 0.0 { Ok(Self { figure, width }) } else { Err(error()) }
    }

    /// How many nights are played between two looks.
    pub fn round(&self) -> u64 {
        ROUND
    }

    /// Whether the interval is narrow enough in every case that has one; never where none has.
    pub fn is_reached(&self, about: &About, tally: &Tally) -> bool {
        let cases = cases(about, tally);
        let widths: Vec<f64> = cases.iter().filter_map(|case| self.width_of(case)).collect();
        !widths.is_empty() && widths.iter().all(|width| *width <= self.width)
    }

    fn width_of(&self, case: &CaseAnswers) -> Option<f64> {
        let absolute = |[low, high]: [f64; 2]| high - low;
        match self.figure {
            Figure::InField => case.in_field_interval.map(absolute),
            Figure::NightMedian => {
                let ([low, high], middle) = (case.night_median_interval?, case.night_median?);
                Some((high - low) / middle)
            }
            Figure::InFieldDifference => case.against.as_ref()?.in_field.map(|(_, ends)| absolute(ends)),
            Figure::MissRatio => {
                let (middle, [low, high]) = case.against.as_ref()?.miss_ratio?;
                Some((high - low) / middle)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conditions_are_read() {
        assert_eq!(Until::read("in_field 2 %"), Ok(Until { figure: Figure::InField, width: 0.02 }));
        assert!(Until::read(" miss_ratio  10%").is_ok());
        for bad in ["", "in_field", "in_field 0 %", "in_field 2 deg", "share 2 %"] {
            assert!(Until::read(bad).is_err(), "{bad}");
        }
    }
}
