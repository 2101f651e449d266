//! Values that are drawn anew for each night: `{ normal = ["0 deg", "0.7 deg"] }` where one value could stand.
//!
//! A draw has a stream of its own, named by the path of its key, from the night's seed: the same key draws the same chance
//! in every strategy, and a further distribution moves no other.

mod law;
mod moments;

pub(crate) use moments::Window;

use crate::complaint::ComplaintKind;
use crate::reader::{Node, Reader, describe, listed};
use crate::value::Value;
use law::Law;
use toml::Spanned;
use toml::de::{DeTable, DeValue};
use units::{Share, Stream, Streams};

/// The kinds of distribution, as their keys.
pub(crate) const KINDS: [&str; 8] =
    ["normal", "uniform", "log-normal", "rayleigh", "bernoulli", "choice", "truncated", "poisson"];

/// Keys that may stand beside them.
pub(crate) const BESIDE: [&str; 3] = ["weights", "from", "to"];

/// More alternatives than this are a list that belongs elsewhere.
const ALTERNATIVES_MOST: usize = 1000;

/// A value outside its range may come up this often at most, as a probability: never in practice, whatever the number of nights.
const IMPOSSIBLE: f64 = 1e-12;

/// What becomes of a distribution while a file is read.
#[derive(Clone, Debug)]
pub(crate) enum Drawing {
    /// It is judged, and its middle stands for it.
    Typical,
    /// It is drawn from.
    Night(Streams),
}

/// One value that a night drew.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnValue {
    /// The path of its key.
    pub key: String,
    /// The value in the usual unit of its key; for a word, a name or a flag, its place among the alternatives, from 0.
    pub value: f64,
    /// That unit; empty where there is none.
    pub unit: &'static str,
}

/// The table of a distribution, where a value of this type may be one and there is one.
fn distribution<'n, 'i, T: Value>(node: &Node<'n, 'i>) -> Option<&'n DeTable<'i>> {
    let DeValue::Table(table) = node.value else { return None };
    (is_distribution(table) && T::may_be_drawn()).then_some(table)
}

/// Whether a table is one by its keys.
pub(crate) fn is_distribution(table: &DeTable) -> bool {
    table.keys().any(|key| KINDS.contains(&key.get_ref().as_ref()))
}

impl Reader<'_> {
    /// Reads a value, or draws it.
    pub fn value<T: Value>(&mut self, node: &Node) -> Option<T> {
        let Some(table) = distribution::<T>(node) else { return T::read(node, self) };
        let outermost = self.inside.is_empty();
        let drawn = Draw { node, table }.value::<T>(self)?;
        if outermost {
            let (unit, factor) = T::usual_unit();
            let value = drawn.number().map_or(self.picked as f64, |number| number / factor);
            let key = self.cause(&node.path);
            self.draws.push(DrawnValue { key, value, unit });
        }
        Some(drawn)
    }

    /// The name of a key's draws: its path, and which of several of a kind this is.
    fn cause(&self, path: &str) -> String {
        match self.occurrence {
            Some((index, _)) if index > 0 => format!("{path} {}", index + 1),
            _ => path.to_owned(),
        }
    }

    fn stream(&self, streams: &Streams, path: &str) -> Stream {
        let index = self.occurrence.map_or(0, |(index, _)| index);
        streams.stream(&format!("draw {path}{}", self.inside), index)
    }
}

/// A distribution at its place.
struct Draw<'a, 'n, 'i> {
    node: &'a Node<'n, 'i>,
    table: &'n DeTable<'i>,
}

impl<'n, 'i> Draw<'_, 'n, 'i> {
    fn value<T: Value>(&self, reader: &mut Reader) -> Option<T> {
        let (kind, parameters) = self.kind(reader)?;
        let parameters = Node::new(parameters, self.node.path.clone());
        match kind {
            "choice" => self.choice::<T>(&parameters, reader),
            "bernoulli" => self.bernoulli::<T>(&parameters, reader),
            "poisson" => self.moment::<T>(&parameters, reader),
            _ => self.number::<T>(reader),
        }
    }

    /// The one key that says what is drawn, and what stands behind it.
    fn kind(&self, reader: &mut Reader) -> Option<(&'static str, &'n Spanned<DeValue<'i>>)> {
        let mut found = Vec::new();
        for (key, value) in self.table.iter() {
            let name = key.get_ref().as_ref();
            match KINDS.into_iter().find(|kind| *kind == name) {
                Some(kind) => found.push((kind, value)),
                None if BESIDE.contains(&name) => {}
                None => {
                    let shown: String = name.chars().take(40).collect();
                    let problem = format!("a distribution has no key `{shown}`");
                    let expected = match units::nearest(name, KINDS.into_iter().chain(BESIDE)) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("the kinds are {}", listed(&KINDS)),
                    };
                    reader.complain(
                        &self.node.path,
                        key.span(),
                        ComplaintKind::UnknownKey,
                        problem,
                        expected,
                    );
                    return None;
                }
            }
        }
        let beside = |kind: &str, key: &str| match key {
            "weights" => kind == "choice",
            _ => kind == "truncated",
        };
        match found.as_slice() {
            [(kind, value)] => {
                let stray = self.table.keys().find(|key| {
                    let key = key.get_ref().as_ref();
                    BESIDE.contains(&key) && !beside(kind, key)
                });
                let Some(stray) = stray else { return Some((*kind, value)) };
                let problem = format!("`{}` has no meaning beside `{kind}`", stray.get_ref());
                let expected = "`weights` go with `choice`, `from` and `to` with `truncated`";
                reader.complain(&self.node.path, stray.span(), ComplaintKind::OutOfPlace, problem, expected);
                None
            }
            several => {
                let names: Vec<&str> = several.iter().map(|(kind, _)| *kind).collect();
                let problem = format!("this is {} at once", listed(&names).replace(" or ", " and "));
                reader.at(self.node, ComplaintKind::Duplicate, problem, "write one of them");
                None
            }
        }
    }

    /// One of several values, each as likely as the others or by weights.
    fn choice<T: Value>(&self, parameters: &Node<'n, 'i>, reader: &mut Reader) -> Option<T> {
        let DeValue::Array(list) = parameters.value else {
            let problem = format!("this is {}", describe(parameters.value));
            let expected = "write a list of alternatives, such as { choice = [\"0 h\", \"1 h\"] }";
            reader.at(parameters, ComplaintKind::WrongType, problem, expected);
            return None;
        };
        if list.is_empty() || list.len() > ALTERNATIVES_MOST {
            let problem = format!("this choice has {} alternatives", list.len());
            let expected = format!("write 1 to {ALTERNATIVES_MOST}");
            reader.at(parameters, ComplaintKind::OutOfRange, problem, expected);
            return None;
        }
        let weights = self.weights(list.len(), reader)?;
        let picked = match reader.drawing.clone() {
            Drawing::Typical => heaviest(&weights),
            Drawing::Night(streams) => {
                let mut stream = reader.stream(&streams, &self.node.path);
                picked(&weights, stream.uniform())
            }
        };
        let read = |index: usize, reader: &mut Reader| {
            let kept = reader.inside.len();
            reader.inside.push_str(&format!(" alternative {}", index + 1));
            let value = reader.value::<T>(&Node::new(&list[index], self.node.path.clone()));
            reader.inside.truncate(kept);
            value.filter(|value| self.is_possible(value, &list[index], reader))
        };
        if let Drawing::Night(_) = reader.drawing {
            let value = read(picked, reader);
            reader.picked = picked;
            return value;
        }
        reader.recipe(&self.node.path, &format!("choice {weights:?}"));
        let all: Vec<Option<T>> = (0..list.len()).map(|index| read(index, reader)).collect();
        for value in all.iter().flatten() {
            reader.recipe(&self.node.path, &value.print(crate::value::Form::Rounded).text());
        }
        let complete = all.iter().all(Option::is_some);
        all.into_iter().nth(picked).flatten().filter(|_| complete)
    }

    /// Whether an alternative keeps the bounds of its key.
    fn is_possible<T: Value>(&self, value: &T, at: &Spanned<DeValue>, reader: &mut Reader) -> bool {
        let Some((low, high)) = reader.bounds else { return true };
        if value.within(low, high) {
            return true;
        }
        let problem = format!("{} is out of range", reader.token(&at.span()));
        let expected = format!("expected {low} to {high}");
        reader.complain(&self.node.path, at.span(), ComplaintKind::OutOfRange, problem, expected);
        false
    }

    fn weights(&self, count: usize, reader: &mut Reader) -> Option<Vec<f64>> {
        let Some(given) = self.table.get("weights") else { return Some(vec![1.0; count]) };
        let node = Node::new(given, self.node.path.clone());
        let DeValue::Array(list) = node.value else {
            let problem = format!("this is {}", describe(node.value));
            reader.at(&node, ComplaintKind::WrongType, problem, "write a list of numbers, such as [3, 1]");
            return None;
        };
        // Plain numbers: nothing is drawn to draw by, and the bounds of the key are none for a weight.
        let numbers: Vec<Option<f64>> =
            list.iter().map(|one| f64::read(&Node::new(one, self.node.path.clone()), reader)).collect();
        let weights = numbers.into_iter().collect::<Option<Vec<f64>>>()?;
        let sum: f64 = weights.iter().sum();
        let good = weights.len() == count && weights.iter().all(|one| *one >= 0.0) && sum > 0.0;
        if !good || !sum.is_finite() {
            let problem = "these weights don't fit the alternatives";
            let expected = format!("write {count} numbers, none negative, not all zero");
            reader.at(&node, ComplaintKind::OutOfRange, problem, expected);
            return None;
        }
        Some(weights)
    }

    /// Yes or no; or one value with a chance, else another.
    fn bernoulli<T: Value>(&self, parameters: &Node<'n, 'i>, reader: &mut Reader) -> Option<T> {
        let flag = T::from_flag(true).is_some();
        let list = match parameters.value {
            DeValue::Array(list) if list.len() == 3 && !flag => Some(list),
            _ if flag => None,
            _ => {
                let problem = "this needs a chance, a value and what holds otherwise";
                let expected = format!("write {{ bernoulli = [\"10 %\", {0}, {0}] }}", example::<T>());
                reader.at(parameters, ComplaintKind::WrongType, problem, expected);
                return None;
            }
        };
        let chance = match list {
            None => self.chance(parameters, reader)?,
            Some(list) => self.chance(&Node::new(&list[0], self.node.path.clone()), reader)?,
        };
        let happens = match reader.drawing.clone() {
            Drawing::Typical => chance > 0.5,
            Drawing::Night(streams) => reader.stream(&streams, &self.node.path).chance(chance),
        };
        reader.recipe(&self.node.path, &format!("bernoulli {}", crate::values::rounded(chance)));
        reader.picked = usize::from(happens);
        let Some(list) = list else { return T::from_flag(happens) };
        let mut value = |index: usize| {
            let kept = reader.inside.len();
            reader.inside.push_str(if index == 1 { " if so" } else { " if not" });
            let value = reader.value::<T>(&Node::new(&list[index], self.node.path.clone()));
            reader.inside.truncate(kept);
            let value = value.filter(|value| self.is_possible(value, &list[index], reader))?;
            reader.recipe(&self.node.path, &value.print(crate::value::Form::Rounded).text());
            Some(value)
        };
        // Both are read, so that both are judged.
        let (yes, no) = (value(1), value(2));
        reader.picked = usize::from(happens);
        match (yes, no) {
            (Some(yes), Some(no)) => Some(if happens { yes } else { no }),
            _ => None,
        }
    }

    fn chance(&self, node: &Node, reader: &mut Reader) -> Option<f64> {
        let chance = <Share as Value>::read(node, reader)?.fraction();
        if !(0.0..=1.0).contains(&chance) {
            let problem = format!("{} is no chance", reader.token(&node.span));
            reader.at(node, ComplaintKind::OutOfRange, problem, "expected 0 % to 100 %");
            return None;
        }
        Some(chance)
    }

    /// A number by a law with a middle and a spread.
    fn number<T: Value>(&self, reader: &mut Reader) -> Option<T> {
        let (_, factor) = T::usual_unit();
        if T::from_number(factor).is_none() {
            let problem = "what is no number has no middle and no spread";
            let expected = format!("write a choice, such as {{ choice = [{0}, {0}] }}", example::<T>());
            reader.at(self.node, ComplaintKind::WrongType, problem, expected);
            return None;
        }
        let law = Law::read::<T>(self.node, self.table, reader)?;
        match reader.drawing.clone() {
            Drawing::Typical => {
                self.judge::<T>(&law, reader)?;
                reader.recipe(&self.node.path, &law.recipe(factor));
                T::from_number(law.middle())
            }
            Drawing::Night(streams) => {
                let mut stream = reader.stream(&streams, &self.node.path);
                T::from_number(law.draw(&mut stream))
            }
        }
    }

    /// Refuses a law that yields values which its key can't have.
    fn judge<T: Value>(&self, law: &Law, reader: &mut Reader) -> Option<()> {
        let Some((low, high)) = reader.bounds else { return Some(()) };
        let (Some(least), Some(greatest)) = (T::bound(low), T::bound(high)) else { return Some(()) };
        let (below, above) = (law.below(least), law.above(greatest));
        if below + above <= IMPOSSIBLE {
            return Some(());
        }
        let (side, bound) = if below >= above { ("below", low) } else { ("above", high) };
        let problem =
            format!("this distribution gives values {side} {bound} in {} of nights", percent(below + above));
        let expected = format!(
            "nothing beyond {low} to {high} is possible: write {{ truncated = {{ … }}, from = {}, to = {} }}",
            quoted::<T>(low),
            quoted::<T>(high)
        );
        reader.at(self.node, ComplaintKind::OutOfRange, problem, expected);
        None
    }
}

/// A bound as it would stand in the file.
fn quoted<T: Value>(bound: &str) -> String {
    match T::usual_unit() {
        ("", _) => bound.to_owned(),
        _ => format!("\"{bound}\""),
    }
}

fn example<T: Value>() -> String {
    crate::schema::example("", &T::shape()).unwrap_or_default()
}

/// A probability in words: two digits that count.
fn percent(probability: f64) -> String {
    let percent = 100.0 * probability;
    if percent >= 10.0 {
        format!("{percent:.0} %")
    } else if percent >= 0.01 {
        format!("{percent:.2} %")
    } else {
        format!("{percent:.0e} %")
    }
}

/// The alternative of the greatest weight, the first of equals.
fn heaviest(weights: &[f64]) -> usize {
    let mut best = 0;
    for (index, weight) in weights.iter().enumerate() {
        if *weight > weights[best] {
            best = index;
        }
    }
    best
}

/// Which alternative a chance within [0, 1) falls on.
fn picked(weights: &[f64], chance: f64) -> usize {
    let mut left = chance * weights.iter().sum::<f64>();
    for (index, weight) in weights.iter().enumerate() {
        left -= weight;
        if left < 0.0 {
            return index;
        }
    }
    // Rounding may leave a last trace of the sum.
    weights.iter().rposition(|weight| *weight > 0.0).unwrap_or(0)
}

#[cfg(test)]
mod tests;
