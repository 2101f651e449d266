//! A file of many nights: its cases, and the plan of each night of each case.
//!
//! A *case* is one strategy at one value of every factor. All cases of one number meet the same night: a draw depends on the
//! number and on the path of its key, and on nothing else. **The number of a night is its seed**, so a single night of a
//! sweep can be played again by that seed alone.

mod overlay;

use crate::canonical::hexadecimal;
use crate::draws::{Drawing, DrawnValue, Window};
use crate::plan::{self, Strategy, Vary};
use crate::reader::{Node, Reader};
use crate::value::Value as _;
use crate::{BYTES_MOST, Complaint, ComplaintKind, Places, Plan, syntax, too_large};
use overlay::Overlay;
use sha2::{Digest as _, Sha256};
use std::ops::Range;
use std::sync::Arc;
use toml::de::{DeTable, DeValue};
use units::Streams;

/// More cases than this would drown whoever reads the results.
pub const CASES_MOST: usize = 200;

/// A file of many nights.
#[derive(Clone, Debug)]
pub struct Study<'s> {
    vary: Vary,
    places: Places,
    cases: Vec<Case<'s>>,
}

/// One strategy at one value of every factor.
#[derive(Clone, Debug)]
pub struct Case<'s> {
    source: &'s str,
    strategy: String,
    levels: Vec<Level>,
    tree: DeValue<'s>,
    span: Range<usize>,
    typical: Plan,
    recipes: Vec<String>,
    drawn: Vec<DrawnValue>,
}

/// The value of one factor in a case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Level {
    /// The path of its key.
    pub key: String,
    /// The value as it stands in the file, without quotes.
    pub text: String,
}

/// One night of one case.
#[derive(Clone, Debug)]
pub struct DrawnNight {
    /// Its plan, seed and all draws in it.
    pub plan: Plan,
    /// What was drawn from distributions of the file, in the order of reading.
    pub draws: Vec<DrawnValue>,
}

impl<'s> Study<'s> {
    /// Reads a file with distributions and `[vary]`; one without either is a study of one case.
    ///
    /// # Errors
    /// All complaints at once, as [`crate::read`]: every strategy and every value of every factor is judged.
    pub fn read(text: &'s str) -> Result<Self, Vec<Complaint>> {
        if text.len() > BYTES_MOST {
            return Err(vec![too_large(text.len())]);
        }
        let mut reader = Reader::new(text);
        let tree = syntax::parse(text, &mut reader);
        let span = tree.span();
        let mut root = tree.into_inner();
        let vary = root.remove_entry("vary");
        if let Some((key, given)) = &vary {
            reader.remember("vary", crate::KeyPlace { key: key.span(), value: given.span() });
        }
        let vary = vary.map(|(_, given)| given);
        let read = match &vary {
            None => Vary::default(),
            Some(given) => {
                let node = Node::new(given, "vary".to_owned());
                Vary::read(&node, &mut reader).unwrap_or_default()
            }
        };
        let table = vary.as_ref().and_then(|given| given.get_ref().as_table());
        let overlays = overlay::all(&root, &read, table, &mut reader);
        let places = Places::new(text, std::mem::take(&mut reader.places));
        if reader.any_complaints() && overlays.is_empty() {
            return Err(reader.into_complaints());
        }
        let mut cases = Vec::with_capacity(overlays.len());
        for overlay in overlays {
            let broken = reader.broken;
            match Case::judged(text, span.clone(), overlay, &places, broken) {
                Ok(case) => cases.push(case),
                // What is wrong with one case is mostly wrong with all of them.
                Err(found) => return Err(reader.with(found)),
            }
        }
        if reader.any_complaints() {
            Err(reader.into_complaints())
        } else {
            Ok(Self { vary: read, places, cases })
        }
    }

    /// Its cases: the strategies in the order of the file, each at all values of the factors, the last factor the fastest.
    pub fn cases(&self) -> &[Case<'s>] {
        &self.cases
    }

    /// Where the keys of `[vary]` stand; those of a night stand in the plan of each case.
    pub fn places(&self) -> &Places {
        &self.places
    }

    /// What `[vary]` says beside strategies and factors.
    pub fn vary(&self) -> &Vary {
        &self.vary
    }

    /// Names of the strategies in the order of the file; one empty name where there are none.
    fn strategies(&self) -> Vec<&str> {
        let named: Vec<&str> = self.vary.strategies.iter().map(|one: &Strategy| one.name.as_str()).collect();
        if named.is_empty() { vec![""] } else { named }
    }

    /// The number of the first night: the file's seed.
    pub fn first_night(&self) -> u64 {
        self.cases[0].typical.night.seed.unwrap_or(0)
    }

    /// SHA-256 over everything that decides the nights and their cases, in 64 hexadecimal digits; the seed, which is the
    /// number of the first night, is in it.
    pub fn digest(&self) -> String {
        let mut hash = Sha256::new();
        hash.update(format!("first night {}\n", self.first_night()));
        hash.update(format!("tracking {}\n", self.vary.tracking.unwrap_or(true)));
        for case in &self.cases {
            hash.update(format!("case {:?}\n{}\n", case.label(), case.typical.digest()));
            for recipe in &case.recipes {
                hash.update(format!("{recipe}\n"));
            }
        }
        hexadecimal(&hash.finalize())
    }

    /// The case of a strategy and of values of factors, as their texts stand in the file; what is left out takes the first.
    ///
    /// # Errors
    /// A sentence that says what there is.
    pub fn case(&self, strategy: Option<&str>, levels: &[(String, String)]) -> Result<&Case<'s>, String> {
        if let Some(wanted) = strategy
            && !self.strategies().contains(&wanted)
        {
            let names: Vec<&str> = self.strategies().into_iter().filter(|name| !name.is_empty()).collect();
            return Err(match names.is_empty() {
                true => format!("the file has no strategies, so there is none called `{wanted}`"),
                false => {
                    format!("there is no strategy `{wanted}`; the file has {}", crate::reader::listed(&names))
                }
            });
        }
        for (key, text) in levels {
            let values: Vec<&str> = self
                .cases
                .iter()
                .flat_map(|case| &case.levels)
                .filter(|level| level.key == *key)
                .map(|level| level.text.as_str())
                .collect();
            if values.is_empty() {
                return Err(format!("the file has no factor `{key}`"));
            }
            if !values.contains(&text.as_str()) {
                let mut distinct = values;
                distinct.dedup();
                return Err(format!(
                    "the factor `{key}` has no value `{text}`; it has {}",
                    crate::reader::listed(&distinct)
                ));
            }
        }
        let fits = |case: &&Case| {
            strategy.is_none_or(|wanted| case.strategy == wanted)
                && levels.iter().all(|(key, text)| {
                    case.levels.iter().any(|level| level.key == *key && level.text == *text)
                })
        };
        self.cases.iter().find(fits).ok_or_else(|| "no case has all of that".to_owned())
    }
}

impl<'s> Case<'s> {
    fn judged(
        source: &'s str,
        span: Range<usize>,
        overlay: Overlay<'s>,
        varied: &Places,
        broken: bool,
    ) -> Result<Self, Vec<Complaint>> {
        let mut reader = Reader::new(source);
        reader.broken = broken;
        let Overlay { strategy, levels, table } = overlay;
        reader.window = Window::of(&table, &reader);
        let tree = DeValue::Table(table);
        let plan = Plan::read(&Node { value: &tree, span: span.clone(), path: String::new() }, &mut reader);
        let mut plan = match plan {
            Some(plan) if !reader.any_complaints() => plan,
            _ => return Err(reader.into_complaints()),
        };
        plan.places = varied.with(std::mem::take(&mut reader.places));
        let found = plan::check(&plan);
        if !found.is_empty() {
            return Err(reader.with(found));
        }
        let recipes = std::mem::take(&mut reader.recipes);
        let drawn = std::mem::take(&mut reader.draws);
        Ok(Self { source, strategy, levels, tree, span, typical: plan, recipes, drawn })
    }

    /// The strategy's name; empty where the file has none.
    pub fn strategy(&self) -> &str {
        &self.strategy
    }

    /// The values of the factors, in the order of the file.
    pub fn levels(&self) -> &[Level] {
        &self.levels
    }

    /// A name for people: the strategy, then the values of the factors.
    pub fn label(&self) -> String {
        let mut parts = Vec::with_capacity(1 + self.levels.len());
        if !self.strategy.is_empty() || self.levels.is_empty() {
            let name = if self.strategy.is_empty() { "as the file stands" } else { &self.strategy };
            parts.push(name.to_owned());
        }
        parts.extend(self.levels.iter().map(|level| {
            let last = level.key.rsplit('.').next().unwrap_or(&level.key);
            format!("{} {}", last.replace('_', " "), level.text)
        }));
        parts.join(", ")
    }

    /// The plan with the middle of every distribution in place of its draws.
    pub fn typical(&self) -> &Plan {
        &self.typical
    }

    /// The keys that are drawn, each with the middle of its distribution; of random moments the first.
    pub fn drawn(&self) -> &[DrawnValue] {
        &self.drawn
    }

    /// Whether anything of the file itself is drawn.
    fn draws(&self) -> bool {
        !self.recipes.is_empty()
    }

    /// The night of a number: that seed, and everything drawn by it. Without a number it is the file's own seed.
    ///
    /// # Errors
    /// Complaints where what was drawn makes no night: values that are good each by itself and not together.
    pub fn night(&self, number: Option<u64>) -> Result<DrawnNight, Vec<Complaint>> {
        let seed = number.or(self.typical.night.seed);
        if !self.draws() {
            let mut plan = self.typical.clone();
            plan.night.seed = seed;
            return Ok(DrawnNight { plan, draws: Vec::new() });
        }
        let mut reader = Reader::new(self.source);
        reader.drawing = Drawing::Night(Streams::new(seed.unwrap_or(0)));
        if let DeValue::Table(table) = &self.tree {
            reader.window = Window::of(table, &reader);
        }
        let node = Node { value: &self.tree, span: self.span.clone(), path: String::new() };
        let mut plan = match Plan::read(&node, &mut reader) {
            Some(plan) if !reader.any_complaints() => plan,
            _ => return Err(reader.into_complaints()),
        };
        plan.places = self.typical.places.clone();
        plan.night.seed = seed;
        let found = plan::check(&plan);
        if found.is_empty() { Ok(DrawnNight { plan, draws: reader.draws }) } else { Err(found) }
    }
}

/// Names that stand twice are complained of at the second.
fn twice<'a>(names: impl Iterator<Item = &'a str>, list: &str, key: &str, reader: &mut Reader) {
    let mut seen: Vec<&str> = Vec::new();
    for (index, name) in names.enumerate() {
        if seen.contains(&name) {
            let path = format!("vary.{list}[{index}].{key}");
            let span = reader.places.get(&path).map_or(0..0, |place| place.value.clone());
            let problem = format!("`{name}` stands twice");
            let expected = "give each a name of its own";
            reader.complain(&path, span, ComplaintKind::Duplicate, problem, expected);
        }
        seen.push(name);
    }
}

/// A table of `[vary]` as the file has it.
fn entries<'t, 's>(table: Option<&'t DeTable<'s>>, list: &str) -> Vec<&'t DeTable<'s>> {
    let Some(DeValue::Array(list)) = table.and_then(|table| table.get(list)).map(|one| one.get_ref()) else {
        return Vec::new();
    };
    list.iter().filter_map(|entry| entry.get_ref().as_table()).collect()
}

/// Everything that a sweep shares: where its keys stand, those of `[vary]` among them.
impl Places {
    fn with(&self, keys: std::collections::BTreeMap<String, crate::KeyPlace>) -> Self {
        Self { source: Arc::clone(&self.source), keys: Arc::new(keys) }
    }
}
