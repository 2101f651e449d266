//! What the tests of the sky share: reading the reference tables, sites, comparing directions.

// Each test file takes what it needs.
#![allow(dead_code)]

use sky::{Air, Site};
use std::path::Path;
use units::{Angle, Instant, Length, Span};

/// One row of a reference table.
pub struct Row {
    headers: csv::StringRecord,
    record: csv::StringRecord,
}

impl Row {
    /// The text of a column.
    pub fn text(&self, column: &str) -> &str {
        let index = self.headers.iter().position(|header| header == column);
        &self.record[index.unwrap_or_else(|| panic!("no column {column}"))]
    }

    /// The number of a column, or nothing if it is blank.
    pub fn maybe(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("{column} `{text}`")))
    }

    /// The number of a column.
    pub fn number(&self, column: &str) -> f64 {
        self.maybe(column).unwrap_or_else(|| panic!("{column} is blank"))
    }

    /// The number of a column, in degrees.
    pub fn degrees(&self, column: &str) -> Angle {
        Angle::from_degrees(self.number(column))
    }

    /// The site of the row.
    pub fn site(&self) -> Site {
        let height = Length::from_metres(self.number("height_m"));
        Site::new(self.degrees("lat_deg"), self.degrees("lon_east_deg"), height).expect("a site on Earth")
    }

    /// The instant of the row.
    pub fn instant(&self) -> Instant {
        instant(self.text("utc"))
    }
}

/// All rows of a table of `fixtures/reference/`.
pub fn rows(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/reference").join(name);
    let mut reader =
        csv::Reader::from_path(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let headers = reader.headers().expect("a header").clone();
    reader.records().map(|record| Row { headers: headers.clone(), record: record.expect("a row") }).collect()
}

/// The instant of a civil time.
pub fn instant(text: &str) -> Instant {
    let utc = sky::time::Utc::parse(text).unwrap_or_else(|error| panic!("{error}"));
    sky::time::instant_from_utc(&utc).unwrap_or_else(|error| panic!("{error}"))
}

/// UT1 − TAI where UT1 equals UTC at the instant.
pub fn ut1_is_utc(instant: Instant) -> Span {
    sky::time::ut1_minus_tai(instant, Span::ZERO).expect("an instant in range")
}

/// Air switched off.
#[allow(dead_code)]
pub fn no_air() -> Air {
    Air::vacuum()
}

/// How far two angles are apart round the circle, in arcseconds.
pub fn apart(a: Angle, b: Angle) -> f64 {
    (a - b).wrapped_signed().arcsec().abs()
}

/// How far two longitude-like angles are apart on the sky at a latitude-like one, in arcseconds.
#[allow(dead_code)]
pub fn apart_at(a: Angle, b: Angle, latitude: Angle) -> f64 {
    apart(a, b) * latitude.cos().abs()
}

/// Keeps the worst of a series and which case it was.
#[derive(Default)]
pub struct Worst {
    value: f64,
    case: String,
}

impl Worst {
    /// Takes in one case.
    pub fn take(&mut self, value: f64, case: &str) {
        assert!(value.is_finite(), "{case}: {value}");
        if value >= self.value {
            (self.value, self.case) = (value, case.to_owned());
        }
    }

    /// Prints the worst and fails if it is beyond the tolerance.
    #[track_caller]
    pub fn check(&self, what: &str, tolerance: f64) {
        println!("{what}: worst {:.3e} ({}), allowed {tolerance}", self.value, self.case);
        assert!(self.value <= tolerance, "{what}: {} in {}, allowed {tolerance}", self.value, self.case);
    }
}
