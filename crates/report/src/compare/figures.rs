//! The figures that nights are compared by.

use crate::table::{TableStyle, texts};
use units::{Angle, Span};

/// The last digit to which arcseconds are printed.
pub(super) const ARCSEC_DIGIT: f64 = 1e-4;

/// Which way a figure is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    Less,
    More,
}

/// What a figure counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    Share,
    Count,
    Arcsec,
    ArcsecPerMinute,
    Seconds,
}

/// One figure of a night's summary.
#[derive(Debug)]
pub(super) struct Figure {
    /// Its key in a tolerance file.
    pub(super) key: &'static str,
    /// Its field in `summary`.
    pub(super) field: &'static str,
    pub(super) words: &'static str,
    pub(super) unit: Unit,
    pub(super) way: Way,
    /// The last digit to which it is printed.
    pub(super) last_digit: f64,
}

const fn angle(key: &'static str, field: &'static str, words: &'static str) -> Figure {
    Figure { key, field, words, unit: Unit::Arcsec, way: Way::Less, last_digit: ARCSEC_DIGIT }
}

pub(super) const FIGURES: &[Figure] = &[
    Figure {
        key: "in_field",
        field: "in_field",
        words: "share of targets in the field",
        unit: Unit::Share,
        way: Way::More,
        last_digit: 1e-8,
    },
    Figure {
        key: "visitors_served",
        field: "visitors_served",
        words: "number of visitors served",
        unit: Unit::Count,
        way: Way::More,
        last_digit: 0.0,
    },
    angle("miss_median", "miss_median_arcsec", "median miss"),
    angle("miss_p68", "miss_p68_arcsec", "miss that 68 % keep within"),
    angle("miss_p95", "miss_p95_arcsec", "miss that 95 % keep within"),
    angle("miss_rms", "miss_rms_arcsec", "rms of the misses"),
    angle("tracking_rms", "tracking_rms_arcsec", "rms of the tracking error"),
    angle("tracking_peak_to_peak", "tracking_peak_to_peak_arcsec", "largest swing while tracking"),
    Figure {
        key: "drift_median",
        field: "drift_median_arcsec_per_min",
        words: "median drift",
        unit: Unit::ArcsecPerMinute,
        way: Way::Less,
        last_digit: ARCSEC_DIGIT,
    },
    Figure {
        key: "alignment",
        field: "alignment_seconds",
        words: "time spent on alignment",
        unit: Unit::Seconds,
        way: Way::Less,
        last_digit: 1e-6,
    },
];

const STYLE: TableStyle = TableStyle { colour: false, unicode: true };

/// Arcseconds in the unit that suits their size.
pub(super) fn arcsec(value: f64) -> String {
    texts::angle(Angle::from_arcsec(value), STYLE)
}

impl Figure {
    /// A value with its unit.
    pub(super) fn shown(&self, value: f64) -> String {
        match self.unit {
            Unit::Share => format!("{:.1} %", value * 100.0),
            Unit::Count => format!("{value:.0}"),
            Unit::Arcsec => arcsec(value),
            Unit::ArcsecPerMinute => format!("{}/min", arcsec(value)),
            Unit::Seconds => texts::span(Span::from_seconds(value)),
        }
    }
}
