//! What differs between the cases of a sweep. Not part of a night's plan: each case has a plan of its own.

use crate::complaint::ComplaintKind;
use crate::reader::{Node, Reader, describe};
use crate::value::{Form, Item, Shape, Value, section};
use toml::de::DeValue;

section! {
    /// Many nights of one file: strategies and factors that are compared on the same draws.
    #[derive(Default)]
    pub struct Vary {
        required {}
        optional {
            /// How many nights a sweep plays where the command line doesn't say.
            nights: u64 = "1000", in "1" to "10000000";
            /// Whether dwells are sampled; without that, tracking figures are null and a night costs less.
            tracking: bool = "true";
        }
        nested {
            /// Ways to do it, compared on the same nights; the others are held against the first.
            strategies: Vec<Strategy> = "one, as the file stands";
            /// Keys that go through several values, every value with every other and with every strategy.
            factors: Vec<Factor> = "none";
        }
    }
}

section! {
    /// One way to do it.
    pub struct Strategy {
        required {
            /// What it is called.
            name: String;
        }
        optional {}
        nested {
            /// Keys of the file and what they are in this strategy, as in set.alignment.method = "two-star".
            set: Overrides = "nothing: as the file stands";
            /// Paths of keys that this strategy leaves out.
            leave_out: Vec<String> = "none";
        }
    }
}

section! {
    /// A key that goes through several values.
    pub struct Factor {
        required {
            /// The path of the key, such as `setup.polar_altitude_error` or `observe[0].dwell`.
            key: String;
            /// Its values, written as the key itself would be.
            values: Levels;
        }
        optional {}
        nested {}
    }
}

/// A table of keys that a strategy sets. What stands in it is judged where it takes effect: in the plan of its case.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Overrides;

impl Value for Overrides {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        if matches!(node.value, DeValue::Table(_)) {
            return Some(Self);
        }
        let problem = format!("this is {}", describe(node.value));
        let expected = "write keys of the file, such as set.alignment.method = \"two-star\"";
        reader.at(node, ComplaintKind::WrongType, problem, expected);
        None
    }

    fn print(&self, _form: Form) -> Item {
        Item::Table(Vec::new())
    }

    fn shape() -> Shape {
        Shape::Overrides
    }

    crate::value::never_drawn!();
}

/// The values of a factor, judged where they take effect.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Levels {
    /// How many there are.
    pub count: usize,
}

impl Value for Levels {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let problem = match node.value {
            DeValue::Array(list) if !list.is_empty() => return Some(Self { count: list.len() }),
            DeValue::Array(_) => "a factor without values".to_owned(),
            other => format!("this is {}", describe(other)),
        };
        let expected = "write a list of values, such as [\"0 deg\", \"1 deg\", \"2 deg\"]";
        reader.at(node, ComplaintKind::WrongType, problem, expected);
        None
    }

    fn print(&self, _form: Form) -> Item {
        Item::List(Vec::new())
    }

    fn shape() -> Shape {
        Shape::Levels
    }

    crate::value::never_drawn!();
}
