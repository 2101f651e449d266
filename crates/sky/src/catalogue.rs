//! Stars, deep-sky objects and bodies of the solar system by name.
//!
//! [`Catalogue::find`] takes what an observer would write: `Betelgeuse`, `alpha Ori`, `α Orionis`, `58 Ori`, `HR 2061`,
//! `HIP 27989`, `M 42`, `ngc869`, `Andromeda Galaxy`, `Moon`; case, blanks, punctuation, accents, Greek symbols and raised
//! digits make no difference. A miss proposes what may have been meant.
//!
//! The tables are embedded text (see `data/README.md` for sources and licences). The first question reads the columns that
//! names are made of, once for the whole program; a row's numbers are read when that row is first found.

mod constellation;
mod query;
mod rows;
#[cfg(test)]
mod tests;

pub use constellation::{CONSTELLATIONS, Constellation};

use crate::{Body, Source, StarPlace};
use query::{Numbered, squeezed};
use rows::{DeepRow, StarRow, star_column};
use std::sync::OnceLock;
use units::Angle;

/// Something in the sky that can be named.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The name that the bench writes: the approved name of a star or else its designation with the genitive
    /// (`58 Orionis`), `M 42`, `NGC 869`, `Moon`. [`Catalogue::find`] finds the same entry by it.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// What its places are computed from.
    pub source: Source,
    /// Apparent magnitude in V; `None` where the table has none, and for bodies, whose brightness changes.
    pub magnitude: Option<f64>,
    /// Major and minor axis of its outline; `None` for points and where the table has none.
    pub size: Option<(Angle, Angle)>,
    /// The constellation that it lies in; `None` for bodies, which wander.
    pub constellation: Option<&'static Constellation>,
    /// Its other names and designations.
    pub designations: Vec<String>,
    /// Whether it may serve as an alignment star: a star whose place and motion in the table can be trusted.
    pub alignment_fit: bool,
}

/// What an [`Entry`] is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A star.
    Star,
    /// A deep-sky object, with its type in words: `open cluster`.
    DeepSky(&'static str),
    /// The Sun, the Moon or a planet.
    Body,
}

impl Kind {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Star => "star",
            Self::DeepSky(words) => words,
            Self::Body => "body of the solar system",
        }
    }
}

/// Nothing goes by this name.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("nothing in the catalogue is called `{asked}`{}", proposal(.suggestions))]
pub struct NotFound {
    /// What was asked for, at most 40 characters of it.
    pub asked: String,
    /// Names that may have been meant, the likeliest first; at most three.
    pub suggestions: Vec<String>,
}

fn proposal(suggestions: &[String]) -> String {
    let quoted: Vec<String> = suggestions.iter().map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        None => "; write a star's name, `alpha Ori`, `58 Ori`, `HR 2061`, `HIP 27989`, `M 42`, `NGC 869`, `IC 434`, \
                 the Sun, the Moon or a planet"
            .to_owned(),
        Some((last, [])) => format!("; did you mean {last}?"),
        Some((last, others)) => format!("; did you mean {} or {last}?", others.join(", ")),
    }
}

/// Names that observers use and the tables lack (common practice, no source).
const FURTHER_NAMES: [(&str, &str); 12] = [
    ("North Star", "Polaris"),
    ("Pole Star", "Polaris"),
    ("Dog Star", "Sirius"),
    ("Seven Sisters", "M 45"),
    ("Beehive Cluster", "M 44"),
    ("Great Hercules Cluster", "M 13"),
    ("Hercules Cluster", "M 13"),
    ("Pinwheel Galaxy", "M 101"),
    ("Andromeda Nebula", "M 31"),
    ("Spindle Nebula", "NGC 3115"),
    ("Tarantula", "NGC 2070"),
    ("Cigar", "M 82"),
];

/// Last words of common names that people leave out.
const LEFT_OUT: [&str; 4] = ["nebula", "galaxy", "galaxies", "cluster"];

/// Where in the tables something stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Position {
    Star(usize),
    Deep(usize),
    Body(Body),
}

/// A name that isn't a designation, squeezed for comparison and as it is written.
#[derive(Debug)]
struct Named {
    key: String,
    written: &'static str,
    position: Position,
}

/// The catalogue.
#[derive(Debug)]
pub struct Catalogue {
    stars: Vec<StarRow>,
    /// What stars have been asked for, read and named: the bright ones are, again and again.
    entries: Vec<OnceLock<Box<Entry>>>,
    deep_sky: Vec<DeepRow>,
    names: Vec<Named>,
}

impl Catalogue {
    /// The catalogue that is part of the program.
    pub fn embedded() -> &'static Self {
        static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
        CATALOGUE.get_or_init(Self::read)
    }

    fn read() -> Self {
        let stars = rows::stars();
        let deep_sky = rows::deep_sky();
        let named = |written: &'static str, position| Named { key: squeezed(written), written, position };
        let bodies = Body::ALL.into_iter().map(|body| named(body.name(), Position::Body(body)));
        let star_names = stars.iter().enumerate().filter_map(|(i, row)| {
            let name = row.name();
            (!name.is_empty()).then(|| named(name, Position::Star(i)))
        });
        let deep_names = deep_sky
            .iter()
            .enumerate()
            .flat_map(|(i, row)| common_names(row).map(move |name| named(name, Position::Deep(i))));
        let names = bodies.chain(star_names).chain(deep_names).collect();
        let entries = stars.iter().map(|_| OnceLock::new()).collect();
        let mut catalogue = Self { stars, entries, deep_sky, names };
        for (written, target) in FURTHER_NAMES {
            let position =
                catalogue.locate(target).expect("a further name belongs to something in the tables");
            catalogue.names.push(named(written, position));
        }
        catalogue
    }

    /// What goes by this name or designation. Where a letter without component digit fits several stars, it is the
    /// brightest of them.
    ///
    /// # Errors
    /// [`NotFound`], with what may have been meant.
    pub fn find(&self, text: &str) -> Result<Entry, NotFound> {
        match self.locate(text) {
            Some(position) => Ok(self.entry(position)),
            None => Err(NotFound {
                asked: if text.chars().count() > 40 {
                    text.chars().take(39).chain(['…']).collect()
                } else {
                    text.to_owned()
                },
                suggestions: self.suggestions(text),
            }),
        }
    }

    /// All stars, the brightest first.
    pub fn stars(&self) -> impl Iterator<Item = Entry> {
        (0..self.stars.len()).map(|index| self.read_star(index))
    }

    /// The stars whose magnitude in V is at most `magnitude`, the brightest first.
    pub fn stars_to(&self, magnitude: f64) -> impl Iterator<Item = &Entry> {
        // The table is sorted, so that only the rows that are wanted are read, and one more.
        (0..self.stars.len())
            .map(|index| self.star(index))
            .take_while(move |star| star.magnitude.is_some_and(|own| own <= magnitude))
    }

    /// All deep-sky objects, Messier's first.
    pub fn deep_sky(&self) -> impl Iterator<Item = Entry> {
        (0..self.deep_sky.len()).map(|index| self.deep(index))
    }

    /// The Sun, the Moon and the planets.
    pub fn bodies(&self) -> impl Iterator<Item = Entry> {
        Body::ALL.into_iter().map(wanderer)
    }

    /// Everything: bodies, stars, deep-sky objects.
    pub fn all(&self) -> impl Iterator<Item = Entry> {
        self.bodies().chain(self.stars()).chain(self.deep_sky())
    }

    fn entry(&self, position: Position) -> Entry {
        match position {
            Position::Star(index) => self.star(index).clone(),
            Position::Deep(index) => self.deep(index),
            Position::Body(body) => wanderer(body),
        }
    }

    fn locate(&self, text: &str) -> Option<Position> {
        let whole = squeezed(text);
        self.by_name(&whole)
            .or_else(|| self.by_number(&whole))
            .or_else(|| self.by_letter_or_flamsteed(&whole))
            .or_else(|| self.by_identifier(&whole))
            .or_else(|| self.by_short_name(&whole))
    }

    fn by_name(&self, key: &str) -> Option<Position> {
        let plain = without_article(key);
        self.names.iter().find(|named| without_article(&named.key) == plain).map(|named| named.position)
    }

    fn by_number(&self, key: &str) -> Option<Position> {
        let (catalogue, number) = query::numbered(key).filter(|(_, number)| *number > 0)?;
        match catalogue {
            Numbered::Hip => self.stars.iter().position(|row| row.hip == number).map(Position::Star),
            Numbered::Hr => self.stars.iter().position(|row| row.hr == number).map(Position::Star),
            Numbered::Messier => {
                self.deep_sky.iter().position(|row| row.messier == number).map(Position::Deep)
            }
            Numbered::Ngc | Numbered::Ic => self.by_identifier(key),
        }
    }

    fn by_identifier(&self, key: &str) -> Option<Position> {
        let wanted = query::without_leading_zeros(key);
        if wanted.is_empty() {
            return None;
        }
        self.deep_sky.iter().position(|row| row.key == wanted).map(Position::Deep)
    }

    fn by_letter_or_flamsteed(&self, key: &str) -> Option<Position> {
        if let Some((number, constellation)) = query::flamsteed(key) {
            let fits = |row: &StarRow| row.flamsteed == number && row.constellation == constellation;
            return self.stars.iter().position(fits).map(Position::Star);
        }
        let (bayer, constellation) = query::bayer(key)?;
        let exact = |row: &StarRow| row.bayer == Some(bayer) && row.constellation == constellation;
        let any_component = |row: &StarRow| {
            bayer.component == 0
                && row.constellation == constellation
                && row.bayer.is_some_and(|own| own.letter == bayer.letter)
        };
        self.stars
            .iter()
            .position(exact)
            .or_else(|| self.stars.iter().position(any_component))
            .map(Position::Star)
    }

    /// A common name whose last word was left out (`dumbbell`), if it is the only one. A constellation's name alone
    /// means the constellation, which is no target.
    fn by_short_name(&self, key: &str) -> Option<Position> {
        let key = without_article(key);
        if Constellation::index_spelled(key).is_some() {
            return None;
        }
        let fits = |named: &&Named| {
            LEFT_OUT.iter().any(|word| without_article(&named.key).strip_suffix(word) == Some(key))
        };
        let mut fitting = self.names.iter().filter(fits).map(|named| named.position);
        let first = fitting.next()?;
        fitting.all(|other| other == first).then_some(first)
    }

    fn suggestions(&self, text: &str) -> Vec<String> {
        let key = squeezed(text);
        let mut found: Vec<&str> = Vec::new();
        if key.len() >= 3 {
            let begins = self.names.iter().filter(|named| named.key.starts_with(&key));
            found.extend(begins.map(|named| named.written).take(3));
        }
        let short = text.split_whitespace().next_back().is_some_and(|word| word.chars().count() <= 4);
        let letters = self.letter_texts(&key, short);
        while found.len() < 3 {
            let names = self.names.iter().map(|named| named.written);
            let candidates = names.chain(letters.iter().map(String::as_str));
            match units::nearest(text, candidates.filter(|one| !found.contains(one))) {
                Some(name) => found.push(name),
                None => break,
            }
        }
        found.into_iter().map(str::to_owned).collect()
    }

    /// Designations by letter and number that begin as the text does, to look for a mistyped constellation; with its code
    /// where the text has a short one.
    fn letter_texts(&self, key: &str, short: bool) -> Vec<String> {
        let start: String = key.chars().take(2).collect();
        if start.len() < 2 {
            return Vec::new();
        }
        self.stars
            .iter()
            .flat_map(|row| {
                [if short { row.bayer_code_text() } else { row.bayer_text() }, row.flamsteed_text()]
            })
            .flatten()
            .filter(|written| squeezed(written).starts_with(&start))
            .collect()
    }

    fn star(&self, index: usize) -> &Entry {
        self.entries[index].get_or_init(|| Box::new(self.read_star(index)))
    }

    fn read_star(&self, index: usize) -> Entry {
        let row = &self.stars[index];
        let approved = Some(row.name()).filter(|name| !name.is_empty()).map(str::to_owned);
        let hr = (row.hr > 0).then(|| format!("HR {}", row.hr));
        let hip = Some(format!("HIP {}", row.hip));
        let mut names = [approved, row.bayer_text(), row.flamsteed_text(), hr, hip].into_iter().flatten();
        // A few letters and numbers stand twice, for both stars of a pair; only the brighter one is called by them.
        let own = |name: &String| self.locate(name) == Some(Position::Star(index));
        let name = names.find(own).expect("a star is found by its Hipparcos number at least");
        Entry {
            name,
            kind: Kind::Star,
            source: Source::Star(star_place(row)),
            magnitude: Some(row.number(star_column::MAGNITUDE)),
            size: None,
            constellation: Constellation::by_code(row.column(star_column::CONSTELLATION)),
            designations: names.collect(),
            alignment_fit: row.column(star_column::FLAG) != "u",
        }
    }

    fn deep(&self, index: usize) -> Entry {
        let row = &self.deep_sky[index];
        let messier = (row.messier > 0).then(|| format!("M {}", row.messier));
        let identifier = Some(written_identifier(row.id)).filter(|written| Some(written) != messier.as_ref());
        let common = common_names(row).map(str::to_owned);
        // NGC and IC numbers are what charts print; the rarer lists are less known than a common name.
        let mut names: Vec<String> = if row.id.starts_with("NGC") || row.id.starts_with("IC") {
            messier.into_iter().chain(identifier).chain(common).collect()
        } else {
            messier.into_iter().chain(common).chain(identifier).collect()
        };
        let name = names.remove(0);
        let axes = (rows::number(row.major), rows::number(row.minor));
        let size = axes.0.map(|major| {
            // The table leaves the minor axis out where the outline is round.
            (Angle::from_arcmin(major), Angle::from_arcmin(axes.1.unwrap_or(major)))
        });
        let degrees = |column| rows::number(column).expect("the embedded deep-sky table has every place");
        let place =
            StarPlace::fixed(Angle::from_degrees(degrees(row.ra)), Angle::from_degrees(degrees(row.dec)));
        Entry {
            name,
            kind: Kind::DeepSky(type_in_words(row.kind)),
            source: Source::Star(place),
            magnitude: rows::number(row.magnitude),
            size,
            constellation: Constellation::by_code(row.constellation),
            designations: names,
            alignment_fit: false,
        }
    }
}

fn wanderer(body: Body) -> Entry {
    Entry {
        name: body.name().to_owned(),
        kind: Kind::Body,
        source: Source::Body(body),
        magnitude: None,
        size: None,
        constellation: None,
        designations: Vec::new(),
        alignment_fit: false,
    }
}

fn star_place(row: &StarRow) -> StarPlace {
    let milliarcsec = |column| Angle::from_arcsec(row.number(column) / 1000.0);
    StarPlace {
        ra: Angle::from_degrees(row.number(star_column::RA)),
        dec: Angle::from_degrees(row.number(star_column::DEC)),
        pm_ra_cosdec: milliarcsec(star_column::PM_RA_COSDEC),
        pm_dec: milliarcsec(star_column::PM_DEC),
        parallax: milliarcsec(star_column::PARALLAX),
    }
}

fn common_names(row: &DeepRow) -> impl Iterator<Item = &'static str> + use<> {
    row.common_names.split(';').map(str::trim).filter(|name| !name.is_empty())
}

fn without_article(key: &str) -> &str {
    // `Thebe` and the like must keep their beginnings: an article is one only before a name that is long enough.
    key.strip_prefix("the").filter(|rest| rest.len() >= 3).unwrap_or(key)
}

/// `NGC0869` as it is printed: `NGC 869`.
fn written_identifier(id: &str) -> String {
    let digits = id.find(|c: char| c.is_ascii_digit()).unwrap_or(id.len());
    let (letters, number) = id.split_at(digits);
    format!("{} {}", letters, number.trim_start_matches('0'))
}

/// The types of the deep-sky table in words.
fn type_in_words(code: &str) -> &'static str {
    match code {
        "**" => "double star",
        "*Ass" => "stellar association",
        "OCl" => "open cluster",
        "GCl" => "globular cluster",
        "Cl+N" => "open cluster with nebula",
        "G" => "galaxy",
        "PN" => "planetary nebula",
        "HII" => "nebula of ionised hydrogen",
        "EmN" => "emission nebula",
        "RfN" => "reflection nebula",
        "Neb" => "nebula",
        "SNR" => "supernova remnant",
        "DrkN" => "dark nebula",
        "Dup" => "second entry of another object",
        "Other" => "group of stars or other object",
        _ => panic!("the embedded deep-sky table has the unknown type {code}"),
    }
}
