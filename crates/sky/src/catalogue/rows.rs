//! The embedded tables, row by row. Numbers are read when a row is asked for, not before: a lookup needs one row.

use super::constellation::Constellation;
use super::query::{Bayer, squeezed, without_leading_zeros};
use std::iter::Peekable;
use std::str::Lines;

const STARS: &str = include_str!("../../data/bright_stars.csv");
const DESIGNATIONS: &str = include_str!("../../data/star_designations.csv");
const DEEP_SKY: &str = include_str!("../../data/deep_sky.csv");

/// Marks a star without constellation in its designation.
pub(super) const NO_CONSTELLATION: u8 = u8::MAX;

/// What is needed to find a star, and its row of the table.
#[derive(Clone, Debug)]
pub(super) struct StarRow {
    pub text: &'static str,
    pub hip: u32,
    /// 0: none.
    pub hr: u32,
    pub bayer: Option<Bayer>,
    /// 0: none.
    pub flamsteed: u16,
    /// Place in the table of constellations of the one in the star's designations.
    pub constellation: u8,
}

/// Columns of `bright_stars.csv`.
pub(super) mod star_column {
    pub const RA: usize = 1;
    pub const DEC: usize = 2;
    pub const PM_RA_COSDEC: usize = 3;
    pub const PM_DEC: usize = 4;
    pub const PARALLAX: usize = 5;
    pub const MAGNITUDE: usize = 6;
    pub const CONSTELLATION: usize = 8;
    pub const DESIGNATION: usize = 9;
    pub const FLAG: usize = 11;
}

/// A row of `deep_sky.csv` in its columns.
#[derive(Clone, Debug)]
pub(super) struct DeepRow {
    pub id: &'static str,
    /// The identifier as texts are compared with it.
    pub key: String,
    /// Messier's number; 0: none.
    pub messier: u32,
    pub kind: &'static str,
    pub ra: &'static str,
    pub dec: &'static str,
    pub constellation: &'static str,
    pub magnitude: &'static str,
    pub major: &'static str,
    pub minor: &'static str,
    pub common_names: &'static str,
}

impl StarRow {
    /// One column of the row.
    pub(super) fn column(&self, index: usize) -> &'static str {
        self.text.split(',').nth(index).unwrap_or_default()
    }

    /// A column with a number in it.
    pub(super) fn number(&self, index: usize) -> f64 {
        number(self.column(index)).expect("the embedded star table has a number in this column")
    }

    /// The approved name, empty if there is none.
    pub(super) fn name(&self) -> &'static str {
        // From the end: the last column but one. Most rows have none, so this is worth its own way.
        self.text.rsplit(',').nth(1).unwrap_or_default()
    }

    /// How the star is written by Bayer's letter: `alpha Orionis`.
    pub(super) fn bayer_text(&self) -> Option<String> {
        Some(format!("{} {}", self.bayer?.words(), self.designation_constellation()?.genitive))
    }

    /// The same with the constellation's code: `alpha Ori`.
    pub(super) fn bayer_code_text(&self) -> Option<String> {
        Some(format!("{} {}", self.bayer?.words(), self.designation_constellation()?.code))
    }

    /// How the star is written by Flamsteed's number: `58 Orionis`.
    pub(super) fn flamsteed_text(&self) -> Option<String> {
        let constellation = self.designation_constellation().filter(|_| self.flamsteed > 0)?;
        Some(format!("{} {}", self.flamsteed, constellation.genitive))
    }

    fn designation_constellation(&self) -> Option<&'static Constellation> {
        super::CONSTELLATIONS.get(usize::from(self.constellation))
    }
}

/// Reads a number; an empty column has none.
pub(super) fn number(column: &str) -> Option<f64> {
    if column.is_empty() { None } else { column.parse().ok() }
}

/// All stars in the order of the table: the brightest first.
pub(super) fn stars() -> Vec<StarRow> {
    let mut designations = DESIGNATIONS.lines();
    designations.next();
    let mut designations = designations.peekable();
    STARS.lines().skip(1).map(|text| star(text, &mut designations)).collect()
}

/// The star of a row; both tables have the same order, so one pass joins them.
fn star(text: &'static str, designations: &mut Peekable<Lines<'static>>) -> StarRow {
    let hip_text = text.split(',').next().unwrap_or_default();
    let hip = hip_text.parse().expect("the embedded star table begins each row with a number");
    let mut row = StarRow { text, hip, hr: 0, bayer: None, flamsteed: 0, constellation: NO_CONSTELLATION };
    let partner =
        designations.next_if(|line| line.strip_prefix(hip_text).is_some_and(|rest| rest.starts_with(',')));
    if let Some(line) = partner {
        let mut columns = line.split(',').skip(1);
        let mut column = || columns.next().unwrap_or_default();
        row.hr = column().parse().unwrap_or(0);
        let bayer = column();
        row.bayer = if bayer.is_empty() { None } else { Bayer::parse(bayer) };
        row.flamsteed = column().parse().unwrap_or(0);
        row.constellation = Constellation::index(column()).unwrap_or(NO_CONSTELLATION);
    } else if !row.column(star_column::DESIGNATION).is_empty() {
        // A named star without partner in the Bright Star Catalogue keeps the designation of its own row.
        let designation = row.column(star_column::DESIGNATION);
        row.bayer = Bayer::parse(designation);
        row.flamsteed = designation.parse().unwrap_or(0);
        row.constellation =
            Constellation::index(row.column(star_column::CONSTELLATION)).unwrap_or(NO_CONSTELLATION);
    }
    row
}

/// All deep-sky objects in the order of the table: Messier's first.
pub(super) fn deep_sky() -> Vec<DeepRow> {
    DEEP_SKY.lines().skip(1).map(deep_row).collect()
}

fn deep_row(text: &'static str) -> DeepRow {
    let columns: Vec<&'static str> = text.split(',').collect();
    let &[id, m, kind, ra, dec, constellation, magnitude, _, _, major, minor, _, common_names] =
        columns.as_slice()
    else {
        panic!("the embedded deep-sky table has 13 columns in each row, not {}: {text}", columns.len());
    };
    // One galaxy is entered as the first part of its number.
    let id = id.split(' ').next().unwrap_or_default();
    let key = without_leading_zeros(&squeezed(id));
    let messier = m.strip_prefix('M').and_then(|digits| digits.parse().ok()).unwrap_or(0);
    DeepRow { id, key, messier, kind, ra, dec, constellation, magnitude, major, minor, common_names }
}
