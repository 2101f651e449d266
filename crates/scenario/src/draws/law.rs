//! Laws of chance for numbers, in the inner unit of a quantity.

use crate::complaint::ComplaintKind;
use crate::reader::{Node, Reader, describe};
use crate::value::Value;
use crate::values::{Ratio, rounded};
use toml::Spanned;
use toml::de::{DeTable, DeValue};
use units::{Stream, maths};

/// How a number is drawn.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Law {
    /// By the normal law.
    Normal { mean: f64, spread: f64 },
    /// Evenly between two values.
    Uniform { low: f64, high: f64 },
    /// Its logarithm by the normal law; `spread` is the natural logarithm of the factor of one sigma.
    LogNormal { median: f64, spread: f64 },
    /// The length of a vector of two normal components of this spread.
    Rayleigh { spread: f64 },
    /// Another law as far as it lies between two values.
    Truncated { law: Box<Self>, low: f64, high: f64 },
}

/// A truncated law that keeps less than this of the whole is a mistake, and dear to draw from.
const KEPT_LEAST: f64 = 0.001;

/// Reads the parameters of one law.
struct Parameters<'a, 'n, 'i> {
    node: &'a Node<'n, 'i>,
    name: &'static str,
    value: &'n Spanned<DeValue<'i>>,
}

impl Law {
    /// Reads the law of a table that has exactly one; complains otherwise.
    pub(super) fn read<T: Value>(node: &Node, table: &DeTable, reader: &mut Reader) -> Option<Self> {
        let laws = ["normal", "uniform", "log-normal", "rayleigh", "truncated"];
        let (name, value) = laws.into_iter().find_map(|name| Some((name, table.get(name)?)))?;
        let parameters = Parameters { node, name, value };
        match name {
            "normal" => {
                let [mean, spread] = parameters.pair::<T>("its mean and its sigma", reader)?;
                parameters.positive(spread, reader)?;
                Some(Self::Normal { mean, spread })
            }
            "uniform" => {
                let [low, high] = parameters.pair::<T>("its least and its greatest value", reader)?;
                parameters.rising(low, high, reader)?;
                Some(Self::Uniform { low, high })
            }
            "log-normal" => parameters.log_normal::<T>(reader),
            "rayleigh" => {
                let node = Node::new(value, node.path.clone());
                let spread = T::read(&node, reader)?.number()?;
                parameters.positive(spread, reader)?;
                Some(Self::Rayleigh { spread })
            }
            _ => parameters.truncated::<T>(table, reader),
        }
    }

    /// The value that stands for it: its median, or its mean where that is the same.
    pub(super) fn middle(&self) -> f64 {
        match self {
            Self::Normal { mean, .. } => *mean,
            Self::Uniform { low, high } => 0.5 * (low + high),
            Self::LogNormal { median, .. } => *median,
            Self::Rayleigh { spread } => spread * (2.0 * std::f64::consts::LN_2).sqrt(),
            Self::Truncated { law, low, high } => law.middle().clamp(*low, *high),
        }
    }

    /// One value.
    pub(super) fn draw(&self, stream: &mut Stream) -> f64 {
        match self {
            Self::Normal { mean, spread } => mean + spread * stream.normal(),
            Self::Uniform { low, high } => stream.between(*low, *high),
            Self::LogNormal { median, spread } => median * maths::exp(spread * stream.normal()),
            Self::Rayleigh { spread } => spread * stream.rayleigh(),
            Self::Truncated { law, low, high } => loop {
                // Ends: at least one draw in a thousand is kept, or the law was refused.
                let value = law.draw(stream);
                if (*low..=*high).contains(&value) {
                    return value;
                }
            },
        }
    }

    /// The probability of a value below `bound`.
    pub(super) fn below(&self, bound: f64) -> f64 {
        match self {
            Self::Normal { mean, spread } => tail((mean - bound) / spread),
            Self::Uniform { low, high } => {
                if high > low {
                    ((bound - low) / (high - low)).clamp(0.0, 1.0)
                } else {
                    f64::from(u8::from(*low < bound))
                }
            }
            Self::LogNormal { median, spread } => {
                if bound > 0.0 {
                    tail(maths::ln(median / bound) / spread)
                } else {
                    0.0
                }
            }
            Self::Rayleigh { spread } => {
                if bound > 0.0 {
                    1.0 - rayleigh_above(bound, *spread)
                } else {
                    0.0
                }
            }
            Self::Truncated { law, low, high } => {
                let kept = law.between(*low, *high);
                (law.between(*low, bound.clamp(*low, *high)) / kept).clamp(0.0, 1.0)
            }
        }
    }

    /// The probability of a value above `bound`, without the loss of digits of a difference from one.
    pub(super) fn above(&self, bound: f64) -> f64 {
        match self {
            Self::Normal { mean, spread } => tail((bound - mean) / spread),
            Self::Uniform { low, high } => {
                if high > low {
                    ((high - bound) / (high - low)).clamp(0.0, 1.0)
                } else {
                    f64::from(u8::from(*high > bound))
                }
            }
            Self::LogNormal { median, spread } => {
                if bound > 0.0 {
                    tail(maths::ln(bound / median) / spread)
                } else {
                    1.0
                }
            }
            Self::Rayleigh { spread } => {
                if bound > 0.0 {
                    rayleigh_above(bound, *spread)
                } else {
                    1.0
                }
            }
            Self::Truncated { law, low, high } => {
                let kept = law.between(*low, *high);
                (law.between(bound.clamp(*low, *high), *high) / kept).clamp(0.0, 1.0)
            }
        }
    }

    /// The probability of a value from `low` to `high`.
    fn between(&self, low: f64, high: f64) -> f64 {
        (1.0 - self.below(low) - self.above(high)).max(0.0)
    }

    /// One text for all spellings, in the usual unit.
    pub(super) fn recipe(&self, factor: f64) -> String {
        let shown = |value: f64| rounded(value / factor);
        match self {
            Self::Normal { mean, spread } => format!("normal {} {}", shown(*mean), shown(*spread)),
            Self::Uniform { low, high } => format!("uniform {} {}", shown(*low), shown(*high)),
            Self::LogNormal { median, spread } => {
                format!("log-normal {} {}", shown(*median), rounded(*spread))
            }
            Self::Rayleigh { spread } => format!("rayleigh {}", shown(*spread)),
            Self::Truncated { law, low, high } => {
                format!("truncated {} {} of {}", shown(*low), shown(*high), law.recipe(factor))
            }
        }
    }
}

/// The part of the normal law beyond `sigmas`.
fn tail(sigmas: f64) -> f64 {
    0.5 * maths::erfc(sigmas * std::f64::consts::FRAC_1_SQRT_2)
}

fn rayleigh_above(bound: f64, spread: f64) -> f64 {
    maths::exp(-0.5 * (bound / spread) * (bound / spread))
}

impl<'n, 'i> Parameters<'_, 'n, 'i> {
    /// Exactly so many values in a list; complains otherwise.
    fn list(&self, what: &str, example: &str, reader: &mut Reader) -> Option<[Node<'n, 'i>; 2]> {
        let found = match self.value.get_ref() {
            DeValue::Array(list) if list.len() == 2 => {
                return Some([0, 1].map(|index| Node::new(&list[index], self.node.path.clone())));
            }
            DeValue::Array(list) => format!("`{}` has {} values", self.name, list.len()),
            other => format!("`{}` has {} behind it", self.name, describe(other)),
        };
        let node = Node::new(self.value, self.node.path.clone());
        let expected = format!("write {what}, such as {{ {} = [{example}] }}", self.name);
        reader.at(&node, ComplaintKind::WrongType, found, expected);
        None
    }

    fn pair<T: Value>(&self, what: &str, reader: &mut Reader) -> Option<[f64; 2]> {
        let one = super::example::<T>();
        let [first, second] = self.list(what, &format!("{one}, {one}"), reader)?;
        let (first, second) = (T::read(&first, reader), T::read(&second, reader));
        Some([first?.number()?, second?.number()?])
    }

    fn log_normal<T: Value>(&self, reader: &mut Reader) -> Option<Law> {
        let example = format!("{}, 1.5", super::example::<T>());
        let [median, factor] = self.list("its median and the factor of one sigma", &example, reader)?;
        let (median, factor) = (T::read(&median, reader), Ratio::read(&factor, reader));
        let (median, factor) = (median?.number()?, factor?.0);
        self.positive(median, reader)?;
        if factor <= 1.0 {
            let problem = "the factor of one sigma isn't above one";
            let expected =
                "write a factor such as 1.5: two nights in three lie within the median over and times it";
            reader.at(
                &Node::new(self.value, self.node.path.clone()),
                ComplaintKind::OutOfRange,
                problem,
                expected,
            );
            return None;
        }
        Some(Law::LogNormal { median, spread: maths::ln(factor) })
    }

    fn truncated<T: Value>(&self, table: &DeTable, reader: &mut Reader) -> Option<Law> {
        let inner = Node::new(self.value, self.node.path.clone());
        let law = match inner.value {
            DeValue::Table(law) if law.len() == 1 && !law.contains_key("truncated") => {
                Law::read::<T>(&inner, law, reader)
            }
            _ => None,
        };
        let Some(law) = law else {
            if !reader.any_complaints() {
                let problem = "`truncated` has no law of a number behind it";
                let one = super::example::<T>();
                let expected = format!("write {{ truncated = {{ normal = [{one}, {one}] }}, from = {one} }}");
                reader.at(&inner, ComplaintKind::WrongType, problem, expected);
            }
            return None;
        };
        let mut end = |key: &str, otherwise: f64| match table.get(key) {
            None => Some(otherwise),
            Some(given) => T::read(&Node::new(given, self.node.path.clone()), reader)?.number(),
        };
        let (low, high) = (end("from", f64::NEG_INFINITY), end("to", f64::INFINITY));
        let (low, high) = (low?, high?);
        let kept = law.between(low, high);
        if kept >= KEPT_LEAST {
            return Some(Law::Truncated { law: Box::new(law), low, high });
        }
        let problem = format!("between `from` and `to` lies {} of this law", super::percent(kept));
        let expected = "move the ends to where the law has its middle, or write a uniform law";
        reader.at(self.node, ComplaintKind::OutOfRange, problem, expected);
        None
    }

    fn positive(&self, value: f64, reader: &mut Reader) -> Option<()> {
        if value > 0.0 {
            return Some(());
        }
        let node = Node::new(self.value, self.node.path.clone());
        let problem = format!("`{}` needs a spread (or a median) above zero", self.name);
        let expected = "write one value in place of the distribution where nothing varies";
        reader.at(&node, ComplaintKind::OutOfRange, problem, expected);
        None
    }

    fn rising(&self, low: f64, high: f64, reader: &mut Reader) -> Option<()> {
        if low < high {
            return Some(());
        }
        let node = Node::new(self.value, self.node.path.clone());
        let problem = "the least value isn't below the greatest one";
        reader.at(&node, ComplaintKind::OutOfRange, problem, "write the lesser value first");
        None
    }
}
