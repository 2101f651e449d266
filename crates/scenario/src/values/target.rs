//! Names of the sky.

use crate::complaint::ComplaintKind;
use crate::reader::{Node, Reader};
use crate::value::{Form, Item, Shape, Value};
use crate::values::{elements, text};
use sky::catalogue::{Catalogue, Entry};
use toml::de::DeValue;

/// The name of a star, a deep-sky object, the Sun, the Moon or a planet, as it stands in the file; the catalogue has it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TargetName(pub String);

impl std::fmt::Display for TargetName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl Value for TargetName {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let name = text(node, reader, "a name in quotes", "\"M 42\"")?;
        if reader.is_full() {
            // The file is refused anyway, and looking up what might have been meant is dear.
            reader.skip_check();
            return Some(Self(name.to_owned()));
        }
        match known_target(name) {
            Ok(()) => Some(Self(name.to_owned())),
            Err(suggestions) => {
                let shown: String = name.chars().take(40).collect();
                let problem = format!("no catalogue has `{shown}`");
                let expected = match suggestions.first() {
                    Some(near) => format!("did you mean \"{near}\"?"),
                    None => "write a name such as \"Vega\", \"alpha Lyrae\", \"M 42\" or \"Moon\"".to_owned(),
                };
                reader.at(node, ComplaintKind::UnknownTarget, problem, expected);
                None
            }
        }
    }

    fn print(&self, _form: Form) -> Item {
        Item::Atom(crate::canonical::quoted(&self.0))
    }

    fn shape() -> Shape {
        Shape::Target
    }
}

/// Whether the catalogue knows a name; else the names that come near.
fn known_target(name: &str) -> Result<(), Vec<String>> {
    Catalogue::embedded().find(name).map(|_| ()).map_err(|missing| missing.suggestions)
}

/// What a name means; `None` only in a plan made in code.
pub(crate) fn entry(name: &TargetName) -> Option<Entry> {
    Catalogue::embedded().find(&name.0).ok()
}

/// Whether two names mean the same thing of the sky.
pub(crate) fn same_target(one: &TargetName, other: &TargetName) -> bool {
    match (entry(one), entry(other)) {
        (Some(one), Some(other)) => one.name == other.name && one.kind == other.kind,
        _ => one == other,
    }
}

/// Which stars an alignment uses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stars {
    /// The mount proposes, the person accepts.
    Auto,
    /// These, in this order.
    Named(Vec<TargetName>),
}

impl Value for Stars {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        let expected = "write \"auto\" or a list of names, such as [\"Vega\", \"Altair\"]";
        if let DeValue::String(word) = node.value {
            if word == "auto" {
                return Some(Self::Auto);
            }
            let problem = format!("{} is neither \"auto\" nor a list", reader.token(&node.span));
            reader.at(node, ComplaintKind::UnknownWord, problem, expected);
            return None;
        }
        let names: Vec<TargetName> = elements(node, reader, expected)?;
        if names.is_empty() {
            reader.at(node, ComplaintKind::OutOfRange, "this list is empty", expected);
            return None;
        }
        Some(Self::Named(names))
    }

    fn print(&self, form: Form) -> Item {
        match self {
            Self::Auto => Item::Atom("\"auto\"".to_owned()),
            Self::Named(names) => names.print(form),
        }
    }

    fn shape() -> Shape {
        Shape::Either(vec![Shape::Words { words: vec!["auto"] }, Shape::List(Box::new(Shape::Target), 1)])
    }
}
