//! The plain values: texts, numbers, flags, quantities, lists.

mod comparison;
mod horizon;
mod target;
mod time;

pub use comparison::{Comparison, Count, Sign};
pub use horizon::Horizon;
pub use target::{Stars, TargetName};
pub(crate) use target::{entry, same_target};
pub use time::{Begin, CalendarError, TimeOfDay};

use crate::complaint::ComplaintKind;
use crate::reader::{Node, Reader, describe, listed};
use crate::value::{Form, Item, Shape, Value};
use toml::de::DeValue;
use units::{
    Angle, AngularAcceleration, AngularJerk, AngularRate, Frequency, Length, PartsPerMillion, Pressure,
    Quantity, Share, Span, Speed, Stiffness, Temperature, Torque,
};

/// Reads one of several words; gives its index.
pub(crate) fn word(node: &Node, reader: &mut Reader, what: &str, words: &[&'static str]) -> Option<usize> {
    let DeValue::String(text) = node.value else {
        let problem = format!("this is {}, not {what}", describe(node.value));
        reader.at(node, ComplaintKind::WrongType, problem, format!("expected {}", quoted(words)));
        return None;
    };
    let found = words.iter().position(|word| *word == text.as_ref());
    if found.is_none() {
        let expected = match units::nearest(text, words.iter().copied()) {
            Some(near) if words.len() > 5 => format!("did you mean \"{near}\"?"),
            Some(near) => format!("did you mean \"{near}\"? There are {}", quoted(words)),
            _ => format!("expected {}", quoted(words)),
        };
        let shown: String = text.chars().take(40).collect();
        let problem = format!("`{shown}` is not {what}");
        reader.at(node, ComplaintKind::UnknownWord, problem, expected);
    }
    found
}

fn quoted(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    match quoted.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => String::new(),
    }
}

/// The text of a string value; complains otherwise. `example` is a good value as it stands in the file.
pub(crate) fn text<'n>(
    node: &Node<'n, '_>,
    reader: &mut Reader,
    what: &str,
    example: &str,
) -> Option<&'n str> {
    if let DeValue::String(text) = node.value {
        return Some(text.as_ref());
    }
    let problem = format!("this is {}", describe(node.value));
    reader.at(node, ComplaintKind::WrongType, problem, format!("write {what}, such as {example}"));
    None
}

/// Reads the text of a quantity.
pub(crate) fn quantity<Q: Quantity>(node: &Node, reader: &mut Reader) -> Option<Q> {
    let example = Q::EXAMPLE;
    match node.value {
        DeValue::String(text) => match Q::parse(text) {
            Ok(value) => Some(value),
            Err(error) => {
                let span = reader.within(&node.span, text, error.span);
                let kind = ComplaintKind::WrongQuantity;
                reader.complain(&node.path, span, kind, error.problem, error.remedy);
                None
            }
        },
        DeValue::Integer(_) | DeValue::Float(_) => {
            let problem = format!("`{}` has no unit", reader.token(&node.span));
            let expected = format!("write {} with its unit, in quotes, such as \"{example}\"", Q::NAME);
            reader.at(node, ComplaintKind::WrongType, problem, expected);
            None
        }
        other => {
            let problem = format!("this is {}", describe(other));
            let expected = format!("write {} with its unit, in quotes, such as \"{example}\"", Q::NAME);
            reader.at(node, ComplaintKind::WrongType, problem, expected);
            None
        }
    }
}

/// Prints the text of a quantity, without quotes.
pub(crate) fn quantity_text<Q: Quantity>(value: Q, form: Form) -> String {
    let (unit, factor) = Q::UNITS[0];
    match form {
        Form::Exact => value.text_in(unit),
        Form::Rounded => format!("{}{unit}", rounded(value.inner() / factor)),
    }
}

/// A number to 13 significant digits; the last three of a double are left to the spelling of its unit.
pub(crate) fn rounded(value: f64) -> String {
    let text = format!("{value:.12e}");
    if value == 0.0 { "0e0".to_owned() } else { text }
}

/// Whether a quantity lies between two texts of the key table.
pub(crate) fn quantity_within<Q: Quantity>(value: Q, low: &str, high: &str) -> bool {
    (quantity_bound::<Q>(low)..=quantity_bound::<Q>(high)).contains(&value.inner())
}

/// A bound of the key table in the inner unit.
fn quantity_bound<Q: Quantity>(text: &str) -> f64 {
    match Q::parse(text) {
        Ok(bound) => bound.inner(),
        Err(error) => panic!("the key table has a bad bound {text}: {error}"),
    }
}

macro_rules! quantities {
    ($($type:ty),+) => {
        $(
            impl Value for $type {
                fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
                    quantity(node, reader)
                }

                fn print(&self, form: Form) -> Item {
                    Item::Atom(format!("\"{}\"", quantity_text(*self, form)))
                }

                fn shape() -> Shape {
                    Shape::Quantity {
                        name: <$type as Quantity>::NAME,
                        example: <$type as Quantity>::EXAMPLE,
                        units: <$type as Quantity>::UNITS.iter().map(|(unit, _)| *unit).collect(),
                    }
                }

                fn within(&self, low: &str, high: &str) -> bool {
                    quantity_within(*self, low, high)
                }

                fn number(&self) -> Option<f64> {
                    Some(self.inner())
                }

                fn from_number(value: f64) -> Option<Self> {
                    Some(<$type as Quantity>::from_inner(value))
                }

                fn bound(text: &str) -> Option<f64> {
                    Some(quantity_bound::<$type>(text))
                }

                fn usual_unit() -> (&'static str, f64) {
                    <$type as Quantity>::UNITS[0]
                }
            }
        )+
    };
}
quantities!(
    Angle,
    AngularAcceleration,
    AngularJerk,
    AngularRate,
    Frequency,
    Length,
    PartsPerMillion,
    Pressure,
    Share,
    Span,
    Speed,
    Stiffness,
    Temperature,
    Torque
);

/// Reads a bare number, whole or not.
fn number(node: &Node, reader: &mut Reader, expected: &str) -> Option<f64> {
    let read = match node.value {
        DeValue::Integer(integer) => integer.as_str().replace('_', "").parse::<f64>().ok(),
        DeValue::Float(float) => float.as_str().replace('_', "").parse::<f64>().ok(),
        DeValue::Boolean(_)
        | DeValue::String(_)
        | DeValue::Datetime(_)
        | DeValue::Array(_)
        | DeValue::Table(_) => {
            let problem = format!("this is {}", describe(node.value));
            reader.at(node, ComplaintKind::WrongType, problem, expected);
            return None;
        }
    };
    let finite = read.filter(|value| value.is_finite());
    if finite.is_none() {
        let problem = format!("`{}` is no usable number", reader.token(&node.span));
        reader.at(node, ComplaintKind::WrongType, problem, expected);
    }
    finite
}

fn parsed_bound(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("the key table has a bad bound {text}"))
}

impl Value for f64 {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        number(node, reader, "write a number without unit and without quotes, such as 0.6")
    }

    fn print(&self, form: Form) -> Item {
        Item::Atom(match form {
            Form::Exact => format!("{self:?}"),
            Form::Rounded => rounded(*self),
        })
    }

    fn shape() -> Shape {
        Shape::Number
    }

    fn within(&self, low: &str, high: &str) -> bool {
        (parsed_bound(low)..=parsed_bound(high)).contains(self)
    }

    fn number(&self) -> Option<f64> {
        Some(*self)
    }

    fn from_number(value: f64) -> Option<Self> {
        Some(value)
    }

    fn bound(text: &str) -> Option<f64> {
        Some(parsed_bound(text))
    }
}

/// A plain factor; the file may have it bare or in quotes.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Ratio(pub f64);

impl Value for Ratio {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let expected = "write a factor, such as \"0.7\"";
        let DeValue::String(text) = node.value else {
            return number(node, reader, expected).map(Self);
        };
        let read = text.trim().parse::<f64>().ok().filter(|value| value.is_finite());
        if read.is_none() {
            let problem = format!("{} is no factor", reader.token(&node.span));
            reader.at(node, ComplaintKind::WrongQuantity, problem, expected);
        }
        read.map(Self)
    }

    fn print(&self, form: Form) -> Item {
        self.0.print(form)
    }

    fn shape() -> Shape {
        Shape::Ratio
    }

    fn within(&self, low: &str, high: &str) -> bool {
        self.0.within(low, high)
    }

    fn number(&self) -> Option<f64> {
        Some(self.0)
    }

    fn from_number(value: f64) -> Option<Self> {
        Some(Self(value))
    }

    fn bound(text: &str) -> Option<f64> {
        Some(parsed_bound(text))
    }
}

impl Value for u64 {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let expected = "write a whole number without quotes, such as 12";
        let DeValue::Integer(integer) = node.value else {
            let problem = format!("this is {}", describe(node.value));
            reader.at(node, ComplaintKind::WrongType, problem, expected);
            return None;
        };
        let digits = integer.as_str().replace('_', "");
        let read = Self::from_str_radix(digits.trim_start_matches('+'), integer.radix()).ok();
        if read.is_none() {
            let problem = format!("`{}` is out of range", reader.token(&node.span));
            let expected = "expected a whole number that isn't negative";
            reader.at(node, ComplaintKind::OutOfRange, problem, expected);
        }
        read
    }

    fn print(&self, _form: Form) -> Item {
        Item::Atom(self.to_string())
    }

    fn shape() -> Shape {
        Shape::Whole
    }

    fn within(&self, low: &str, high: &str) -> bool {
        let bound = |text: &str| -> u64 {
            text.parse().unwrap_or_else(|_| panic!("the key table has a bad bound {text}"))
        };
        (bound(low)..=bound(high)).contains(self)
    }

    fn number(&self) -> Option<f64> {
        Some(*self as f64)
    }

    fn from_number(value: f64) -> Option<Self> {
        // To the nearest whole number; a negative one becomes zero and a huge one the greatest.
        Some(units::maths::round(value) as Self)
    }

    fn bound(text: &str) -> Option<f64> {
        Some(parsed_bound(text))
    }
}

impl Value for bool {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        if let DeValue::Boolean(flag) = node.value {
            return Some(*flag);
        }
        let problem = format!("this is {}", describe(node.value));
        reader.at(node, ComplaintKind::WrongType, problem, "write true or false, without quotes");
        None
    }

    fn print(&self, _form: Form) -> Item {
        Item::Atom(self.to_string())
    }

    fn shape() -> Shape {
        Shape::Flag
    }

    fn from_flag(flag: bool) -> Option<Self> {
        Some(flag)
    }
}

/// Texts are shown on screens and printed on cards: longer ones than this are a mistake.
const TEXT_LENGTH: usize = 200;

impl Value for String {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let text = text(node, reader, "a text in quotes", "\"wide\"")?;
        if text.trim().is_empty() || text.chars().count() > TEXT_LENGTH || text.chars().any(char::is_control)
        {
            let problem = "this text is empty, too long or has control characters";
            let expected = format!("write one line of at most {TEXT_LENGTH} characters");
            reader.at(node, ComplaintKind::OutOfRange, problem, expected);
            return None;
        }
        Some(text.to_owned())
    }

    fn print(&self, _form: Form) -> Item {
        Item::Atom(crate::canonical::quoted(self))
    }

    fn shape() -> Shape {
        Shape::Text
    }
}

/// Reads the elements of a list.
pub(crate) fn elements<T: Value>(node: &Node, reader: &mut Reader, expected: &str) -> Option<Vec<T>> {
    let DeValue::Array(list) = node.value else {
        let problem = format!("this is {}", describe(node.value));
        reader.at(node, ComplaintKind::WrongType, problem, expected);
        return None;
    };
    let mut all = Vec::with_capacity(list.len());
    let mut complete = true;
    for (index, element) in list.iter().enumerate() {
        let path = format!("{}[{index}]", node.path);
        let span = element.span();
        reader.remember(&path, crate::KeyPlace { key: span.clone(), value: span });
        for occurrence in reader.occurrences(&node.path, element, &path) {
            let outer = reader.occurrence;
            reader.occurrence = occurrence.or(outer);
            match reader.value::<T>(&Node::new(element, path.clone())) {
                Some(value) => all.push(value),
                None => complete = false,
            }
            reader.occurrence = outer;
        }
    }
    complete.then_some(all)
}

impl<T: Value> Value for Vec<T> {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        elements(node, reader, "write a list in brackets")
    }

    fn print(&self, form: Form) -> Item {
        Item::List(self.iter().map(|element| element.print(form)).collect())
    }

    fn shape() -> Shape {
        Shape::List(Box::new(T::shape()), 0)
    }

    fn within(&self, low: &str, high: &str) -> bool {
        self.iter().all(|element| element.within(low, high))
    }
}

impl<T: Value + Copy> Value for [T; 2] {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let read: Vec<T> = elements(node, reader, "write a list of two values in brackets")?;
        let pair = <[T; 2]>::try_from(read).ok();
        if pair.is_none() {
            reader.at(
                node,
                ComplaintKind::WrongType,
                "this list has not two values",
                "write exactly two values",
            );
        }
        pair
    }

    fn print(&self, form: Form) -> Item {
        Item::List(self.iter().map(|element| element.print(form)).collect())
    }

    fn shape() -> Shape {
        Shape::Pair(Box::new(T::shape()))
    }

    fn within(&self, low: &str, high: &str) -> bool {
        self.iter().all(|element| element.within(low, high))
    }
}

/// For messages: the known names, shortened where there are many.
pub(crate) fn some_of(names: &[&str]) -> String {
    listed(&names[..names.len().min(6)])
}
