//! What a night is expected to hold: a sign and a bound.

use crate::complaint::ComplaintKind;
use crate::reader::{Node, Reader};
use crate::value::{Form, Item, Shape, Value};
use crate::values::{quantity_text, quantity_within, text};
use units::{Quantity, QuantityError};

/// How a figure is compared with a bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// `>=`
    AtLeast,
    /// `<=`
    AtMost,
    /// `>`
    MoreThan,
    /// `<`
    LessThan,
}

impl Sign {
    /// All signs, the longer ones first, as a reader must try them.
    pub const ALL: [Self; 4] = [Self::AtLeast, Self::AtMost, Self::MoreThan, Self::LessThan];

    /// As it stands in the file.
    pub const fn text(self) -> &'static str {
        match self {
            Self::AtLeast => ">=",
            Self::AtMost => "<=",
            Self::MoreThan => ">",
            Self::LessThan => "<",
        }
    }

    /// Whether `figure` stands in this relation to `bound`; never for a figure that is no number.
    pub fn holds(self, figure: f64, bound: f64) -> bool {
        match self {
            Self::AtLeast => figure >= bound,
            Self::AtMost => figure <= bound,
            Self::MoreThan => figure > bound,
            Self::LessThan => figure < bound,
        }
    }
}

/// An expectation such as `>= 90 %`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison<Q> {
    /// The sign.
    pub sign: Sign,
    /// What the figure is compared with.
    pub bound: Q,
}

impl<Q: Quantity> Comparison<Q> {
    /// Whether a figure holds it.
    pub fn holds(&self, figure: Q) -> bool {
        self.sign.holds(figure.inner(), self.bound.inner())
    }
}

impl<Q: Quantity> std::fmt::Display for Comparison<Q> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.sign.text(), quantity_text(self.bound, Form::Exact))
    }
}

impl<Q: Quantity> Value for Comparison<Q> {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let example = format!("\">= {}\"", Q::EXAMPLE);
        let text = text(node, reader, "a comparison in quotes", &example)?;
        let body = text.trim_start();
        let Some(sign) = Sign::ALL.into_iter().find(|sign| body.starts_with(sign.text())) else {
            let problem = format!("{} has no comparison sign", reader.token(&node.span));
            let expected = format!("begin with >=, <=, > or <, such as {example}");
            reader.at(node, ComplaintKind::WrongQuantity, problem, expected);
            return None;
        };
        let skipped = text.len() - body.len() + sign.text().len();
        match Q::parse(&text[skipped..]) {
            Ok(bound) => Some(Self { sign, bound }),
            Err(error) => {
                let part = error.span.start + skipped..error.span.end + skipped;
                let span = reader.within(&node.span, text, part);
                let kind = ComplaintKind::WrongQuantity;
                reader.complain(&node.path, span, kind, error.problem, error.remedy);
                None
            }
        }
    }

    fn print(&self, form: Form) -> Item {
        Item::Atom(format!("\"{} {}\"", self.sign.text(), quantity_text(self.bound, form)))
    }

    fn shape() -> Shape {
        Shape::Comparison(Box::new(Shape::Quantity {
            name: Q::NAME,
            example: Q::EXAMPLE,
            units: Q::UNITS.iter().map(|(unit, _)| *unit).collect(),
        }))
    }

    fn within(&self, low: &str, high: &str) -> bool {
        quantity_within(self.bound, low, high)
    }

    crate::value::never_drawn!();
}

/// A number of things: the one quantity that has no unit.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Count(pub f64);

impl Quantity for Count {
    const NAME: &'static str = "a number of things";
    const EXAMPLE: &'static str = "12";
    const UNITS: &'static [(&'static str, f64)] = &[("", 1.0)];

    fn from_inner(value: f64) -> Self {
        Self(value)
    }

    fn inner(self) -> f64 {
        self.0
    }

    fn parse(text: &str) -> Result<Self, QuantityError> {
        let whole = text.trim().parse::<u32>().ok();
        whole.map(|count| Self(f64::from(count))).ok_or_else(|| QuantityError {
            span: text.len() - text.trim_start().len()..text.trim_end().len(),
            problem: format!("`{}` is no number of things", text.trim().chars().take(40).collect::<String>()),
            remedy: "write a whole number, such as 12".to_owned(),
        })
    }
}
