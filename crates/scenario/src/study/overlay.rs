//! Laying what a strategy sets, and a value of each factor, over the file.

use super::{CASES_MOST, Level, entries, twice};
use crate::complaint::ComplaintKind;
use crate::draws::is_distribution;
use crate::plan::Vary;
use crate::reader::Reader;
use std::borrow::Cow;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The file as one case has it.
pub(super) struct Overlay<'s> {
    pub(super) strategy: String,
    pub(super) levels: Vec<Level>,
    pub(super) table: DeTable<'s>,
}

/// What no case can have of its own: the file's form, and the numbers of the nights.
const SHARED: [&str; 2] = ["format", "night.seed"];

/// One value of one factor.
type Value<'t, 's> = (String, &'t Spanned<DeValue<'s>>);

/// The files of all cases; none if there would be too many of them, or if `[vary]` isn't understood.
pub(super) fn all<'s>(
    root: &DeTable<'s>,
    vary: &Vary,
    table: Option<&DeTable<'s>>,
    reader: &mut Reader,
) -> Vec<Overlay<'s>> {
    twice(vary.strategies.iter().map(|one| one.name.as_str()), "strategies", "name", reader);
    twice(vary.factors.iter().map(|one| one.key.as_str()), "factors", "key", reader);
    if !few_enough(vary, reader) {
        return Vec::new();
    }
    let strategies = entries(table, "strategies");
    let factors = entries(table, "factors");
    if strategies.len() != vary.strategies.len() || factors.len() != vary.factors.len() {
        // Something of them was complained of.
        return Vec::new();
    }
    let mut files = Vec::new();
    if strategies.is_empty() {
        files.push((String::new(), root.clone()));
    }
    for (index, (given, strategy)) in strategies.iter().zip(&vary.strategies).enumerate() {
        let mut file = root.clone();
        for key in &strategy.leave_out {
            leave_out(&mut file, key, index, reader);
        }
        if let Some(DeValue::Table(set)) = given.get("set").map(Spanned::get_ref) {
            forbid_shared(set, index, reader);
            lay(&mut file, set);
        }
        files.push((strategy.name.clone(), file));
    }
    let grid = grid(&factors, vary, reader);
    let mut overlays = Vec::new();
    for (strategy, file) in files {
        for point in &grid {
            let mut table = file.clone();
            for (index, (key, value)) in point.iter().enumerate() {
                if !place(&mut table, key, value) {
                    nowhere(key, index, reader);
                    return Vec::new();
                }
            }
            let levels = point
                .iter()
                .map(|(key, value)| Level { key: key.clone(), text: text_of(value, reader) })
                .collect();
            overlays.push(Overlay { strategy: strategy.clone(), levels, table });
        }
    }
    overlays
}

/// A value as the file has it, without quotes.
fn text_of(value: &Spanned<DeValue>, reader: &Reader) -> String {
    match value.get_ref() {
        DeValue::String(text) => text.to_string(),
        _ => reader.token(&value.span()),
    }
}

fn few_enough(vary: &Vary, reader: &mut Reader) -> bool {
    let counts = vary.factors.iter().map(|factor| factor.values.count);
    let points = counts.fold(1_usize, usize::saturating_mul);
    let cases = points.saturating_mul(vary.strategies.len().max(1));
    if cases <= CASES_MOST {
        return true;
    }
    let (path, table) =
        if points > CASES_MOST { ("vary.factors", "factors") } else { ("vary", "strategies") };
    let span = reader.places.get(path).map_or(0..0, |place| place.key.clone());
    let counts: Vec<String> = std::iter::once(vary.strategies.len().max(1))
        .chain(vary.factors.iter().map(|factor| factor.values.count))
        .map(|count| count.to_string())
        .collect();
    let problem = format!("strategies and factors make {} = {cases} cases", counts.join(" × "));
    let expected = format!("{CASES_MOST} cases are the most: leave out values or {table}, or split the file");
    reader.complain(path, span, ComplaintKind::TooMuch, problem, expected);
    false
}

/// All points of the grid, the last factor the fastest; one empty point without factors.
fn grid<'t, 's>(factors: &[&'t DeTable<'s>], vary: &Vary, reader: &mut Reader) -> Vec<Vec<Value<'t, 's>>> {
    let mut points: Vec<Vec<Value<'t, 's>>> = vec![Vec::new()];
    for (index, (given, factor)) in factors.iter().zip(&vary.factors).enumerate() {
        if SHARED.contains(&factor.key.as_str()) || factor.key.starts_with("vary") {
            shared(&format!("vary.factors[{index}].key"), &factor.key, reader);
        }
        let Some(DeValue::Array(values)) = given.get("values").map(Spanned::get_ref) else { continue };
        points = points
            .into_iter()
            .flat_map(|point| {
                values.iter().map(move |value| {
                    let mut longer = point.clone();
                    longer.push((factor.key.clone(), value));
                    longer
                })
            })
            .collect();
    }
    points
}

fn forbid_shared(set: &DeTable, index: usize, reader: &mut Reader) {
    let seed = set.get("night").and_then(|night| night.get_ref().as_table()?.get("seed"));
    let format = set.get("format");
    let path = format!("vary.strategies[{index}].set");
    for (key, given) in [("night.seed", seed), ("format", format), ("vary", set.get("vary"))] {
        if let Some(given) = given {
            reader.remember(&path, crate::KeyPlace { key: given.span(), value: given.span() });
            shared(&path, key, reader);
        }
    }
}

fn shared(path: &str, key: &str, reader: &mut Reader) {
    let span = reader.places.get(path).map_or(0..0, |place| place.value.clone());
    let problem = format!("`{key}` is the same for all cases: they meet the same nights");
    let expected = "leave it out here, and write it once where it belongs";
    reader.complain(path, span, ComplaintKind::OutOfPlace, problem, expected);
}

fn nowhere(key: &str, index: usize, reader: &mut Reader) {
    let path = format!("vary.factors[{index}].key");
    let span = reader.places.get(&path).map_or(0..0, |place| place.value.clone());
    let shown: String = key.chars().take(60).collect();
    let problem = format!("`{shown}` leads nowhere in this file");
    let expected = "write a path such as setup.lean_north, or observe[0].dwell for an entry that is there";
    reader.complain(&path, span, ComplaintKind::UnknownKey, problem, expected);
}

/// Lays one table over another: tables are merged, everything else is replaced.
fn lay<'s>(file: &mut DeTable<'s>, over: &DeTable<'s>) {
    for (key, value) in over.iter() {
        let name = key.get_ref().as_ref();
        match (file.get_mut(name).map(Spanned::get_mut), value.get_ref()) {
            (Some(DeValue::Table(below)), DeValue::Table(above))
                if !is_distribution(below) && !is_distribution(above) =>
            {
                lay(below, above);
            }
            (Some(_), _) => {
                file.remove(name);
                file.insert(key.clone(), value.clone());
            }
            (None, _) => {
                file.insert(key.clone(), value.clone());
            }
        }
    }
}

/// The parts of a path: `observe[2].dwell` is `observe`, 2, `dwell`.
fn parts(path: &str) -> Option<Vec<(&str, Option<usize>)>> {
    path.split('.')
        .map(|part| match part.split_once('[') {
            None => (!part.is_empty()).then_some((part, None)),
            Some((name, index)) => {
                let index = index.strip_suffix(']')?.parse().ok()?;
                (!name.is_empty()).then_some((name, Some(index)))
            }
        })
        .collect()
}

/// Puts a value at a path, making tables on the way; false where the path leads nowhere.
fn place<'s>(file: &mut DeTable<'s>, path: &str, value: &Spanned<DeValue<'s>>) -> bool {
    let Some(parts) = parts(path) else { return false };
    let Some(((last, index), above)) = parts.split_last() else { return false };
    let Some(table) = descend(file, above, Some(value)) else { return false };
    match index {
        None => {
            // The key's own place would be that of the file's former value.
            table.remove(*last);
            let key = Cow::Owned((*last).to_owned());
            table.insert(Spanned::new(value.span(), key), value.clone());
            true
        }
        Some(index) => match table.get_mut(*last).map(Spanned::get_mut) {
            Some(DeValue::Array(list)) => match list.get_mut(*index) {
                Some(entry) => {
                    *entry = value.clone();
                    true
                }
                None => false,
            },
            _ => false,
        },
    }
}

/// Goes down to a table; with `made_for`, tables that aren't there are made, standing where that value stands.
fn descend<'t, 's>(
    file: &'t mut DeTable<'s>,
    parts: &[(&str, Option<usize>)],
    made_for: Option<&Spanned<DeValue<'s>>>,
) -> Option<&'t mut DeTable<'s>> {
    let mut table = file;
    for (name, index) in parts {
        if !table.contains_key(*name) {
            let value = made_for.filter(|_| index.is_none())?;
            let key = Cow::Owned((*name).to_owned());
            let empty = DeValue::Table(DeTable::new());
            table.insert(Spanned::new(value.span(), key), Spanned::new(value.span(), empty));
        }
        let value = table.get_mut(*name)?.get_mut();
        let value = match (index, value) {
            (None, value) => value,
            (Some(index), DeValue::Array(list)) => list.get_mut(*index)?.get_mut(),
            (Some(_), _) => return None,
        };
        let DeValue::Table(inner) = value else { return None };
        table = inner;
    }
    Some(table)
}

fn leave_out(file: &mut DeTable, path: &str, index: usize, reader: &mut Reader) {
    let parts = parts(path);
    let gone = parts.as_ref().and_then(|parts| {
        let ((last, None), above) = parts.split_last()? else { return None };
        descend(file, above, None)?.remove(*last)
    });
    if gone.is_none() {
        let place = format!("vary.strategies[{index}].leave_out");
        let span = reader.places.get(&place).map_or(0..0, |place| place.value.clone());
        let shown: String = path.chars().take(60).collect();
        let problem = format!("the file has no key `{shown}` that could be left out");
        let expected = "write the path of a key that stands in the file, such as alignment.stars";
        reader.complain(&place, span, ComplaintKind::UnknownKey, problem, expected);
    }
}
