//! What a value of a scenario file can do: be read, be printed, say its shape.

use crate::reader::{Node, Reader};
use crate::values::TimeOfDay;

/// How numbers are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// So that reading gives back the same bits.
    Exact,
    /// To 13 significant digits in the quantity's usual unit: `0.5 deg` and `30 arcmin` are the same.
    Rounded,
}

/// A printed value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Item {
    /// A TOML literal.
    Atom(String),
    /// A list.
    List(Vec<Item>),
    /// A table.
    Table(Vec<(&'static str, Item)>),
}

impl Item {
    /// In one line.
    pub(crate) fn text(&self) -> String {
        crate::canonical::inline(self)
    }
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Need {
    /// The file is refused without it.
    Required,
    /// It may be left out.
    Optional,
}

/// A key of a table, for the schema and the manual.
#[derive(Clone, Debug)]
pub(crate) struct Field {
    pub key: &'static str,
    /// What it means, in sentences.
    pub meaning: String,
    /// What holds when it is left out, in words.
    pub default: &'static str,
    /// Least and greatest value, as texts of the file.
    pub bounds: Option<(&'static str, &'static str)>,
    pub need: Need,
    pub shape: Shape,
}

/// What a value may look like.
#[derive(Clone, Debug)]
pub(crate) enum Shape {
    /// A text with a unit.
    Quantity { name: &'static str, example: &'static str, units: Vec<&'static str> },
    /// A number without a unit, as a bare number.
    Number,
    /// A whole number.
    Whole,
    /// A number without a unit, bare or in quotes.
    Ratio,
    /// `true` or `false`.
    Flag,
    /// Any text.
    Text,
    /// A name of the catalogue.
    Target,
    /// One of a few words.
    Words { words: Vec<&'static str> },
    /// A date-time with its offset.
    OffsetDateTime,
    /// A time of day, in quotes.
    TimeOfDay,
    /// A comparison sign and a value.
    Comparison(Box<Shape>),
    /// A list; the number is how many at least.
    List(Box<Shape>, usize),
    /// A list of exactly two.
    Pair(Box<Shape>),
    /// Either of several.
    Either(Vec<Shape>),
    /// A table of keys.
    Table(Vec<Field>),
    /// A table of any keys of the file: what a strategy sets.
    Overrides,
    /// A list of values of any kind: what a factor goes through.
    Levels,
}

/// A value of a scenario file.
pub(crate) trait Value: Sized {
    /// Reads it; complaints go to the reader, and `None` comes back with at least one of them.
    fn read(node: &Node, reader: &mut Reader) -> Option<Self>;
    /// Prints it as TOML.
    fn print(&self, form: Form) -> Item;
    /// What it may look like.
    fn shape() -> Shape;
    /// Whether it lies between two values, given as texts of the file.
    fn within(&self, _low: &str, _high: &str) -> bool {
        true
    }
    /// Whether a distribution may stand in its place.
    fn may_be_drawn() -> bool {
        true
    }
    /// As a number in the inner unit, if it is one.
    fn number(&self) -> Option<f64> {
        None
    }
    /// From a number in the inner unit, for what is a number.
    fn from_number(_value: f64) -> Option<Self> {
        None
    }
    /// From a yes or no, for what is one.
    fn from_flag(_flag: bool) -> Option<Self> {
        None
    }
    /// From a time of day, for what is one.
    fn from_time(_time: TimeOfDay) -> Option<Self> {
        None
    }
    /// A bound of the key table as a number in the inner unit, for what is a number.
    fn bound(_text: &str) -> Option<f64> {
        None
    }
    /// The usual unit and its factor to the inner one.
    fn usual_unit() -> (&'static str, f64) {
        ("", 1.0)
    }
}

/// The methods of a [`Value`] that can't be drawn from a distribution.
macro_rules! never_drawn {
    () => {
        fn may_be_drawn() -> bool {
            false
        }
    };
}
pub(crate) use never_drawn;

/// Makes a table of the file: the struct, its reader, its printer and its description from one list of keys.
///
/// Three groups of keys in this order: `required` (a plain field), `optional` (an `Option`: `None` where the file says
/// nothing), `nested` (a table or list whose absence is the same as its being empty). The text after `=` says
/// what holds when the key is left out; `in … to …` are its least and greatest value.
macro_rules! section {
    (
        $(#[$meta:meta])*
        pub struct $name:ident {
            required { $( $(#[doc = $rdoc:literal])+ $rkey:ident: $rtype:ty $(, in $rlow:literal to $rhigh:literal)?; )* }
            optional { $( $(#[doc = $odoc:literal])+ $okey:ident: $otype:ty = $odefault:literal $(, in $olow:literal to $ohigh:literal)?; )* }
            nested { $( $(#[doc = $ndoc:literal])+ $nkey:ident: $ntype:ty = $ndefault:literal; )* }
            $( unlisted { $(#[doc = $udoc:literal])+ $ukey:ident: $utype:ty; } )?
        }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name {
            $( $(#[doc = $rdoc])+ pub $rkey: $rtype, )*
            $( $(#[doc = $odoc])+ pub $okey: Option<$otype>, )*
            $( $(#[doc = $ndoc])+ pub $nkey: $ntype, )*
            $( $(#[doc = $udoc])+ pub $ukey: $utype, )?
        }

        impl $crate::value::Value for $name {
            fn read(node: &$crate::reader::Node, reader: &mut $crate::reader::Reader) -> Option<Self> {
                let known = [$(stringify!($rkey),)* $(stringify!($okey),)* $(stringify!($nkey),)*];
                let table = reader.table(node, &known)?;
                $( let $rkey = reader.required(
                    node, table, stringify!($rkey), $crate::value::bounds!($($rlow, $rhigh)?)); )*
                Some(Self {
                    $( $okey: reader.optional(
                        &node.path, table, stringify!($okey), $crate::value::bounds!($($olow, $ohigh)?)), )*
                    $( $nkey: reader.optional(&node.path, table, stringify!($nkey), None).unwrap_or_default(), )*
                    $( $rkey: $rkey?, )*
                    $( $ukey: Default::default(), )?
                })
            }

            fn print(&self, form: $crate::value::Form) -> $crate::value::Item {
                let entries: Vec<Option<(&'static str, $crate::value::Item)>> = vec![
                    $( Some((stringify!($rkey), self.$rkey.print(form))), )*
                    $( self.$okey.as_ref().map(|value| (stringify!($okey), value.print(form))), )*
                    $( (self.$nkey != <$ntype>::default())
                        .then(|| (stringify!($nkey), self.$nkey.print(form))), )*
                ];
                $crate::value::Item::Table(entries.into_iter().flatten().collect())
            }

            $crate::value::never_drawn!();

            fn shape() -> $crate::value::Shape {
                use $crate::value::{Field, Need};
                $crate::value::Shape::Table(vec![
                    $( Field {
                        key: stringify!($rkey),
                        meaning: $crate::value::sentence(&[$($rdoc),+]),
                        default: "",
                        bounds: $crate::value::bounds!($($rlow, $rhigh)?),
                        need: Need::Required,
                        shape: <$rtype>::shape(),
                    }, )*
                    $( Field {
                        key: stringify!($okey),
                        meaning: $crate::value::sentence(&[$($odoc),+]),
                        default: $odefault,
                        bounds: $crate::value::bounds!($($olow, $ohigh)?),
                        need: Need::Optional,
                        shape: <$otype>::shape(),
                    }, )*
                    $( Field {
                        key: stringify!($nkey),
                        meaning: $crate::value::sentence(&[$($ndoc),+]),
                        default: $ndefault,
                        bounds: None,
                        need: Need::Optional,
                        shape: <$ntype>::shape(),
                    }, )*
                ])
            }
        }
    };
}
pub(crate) use section;

/// The bounds of a key, if there are any.
macro_rules! bounds {
    () => {
        None
    };
    ($low:literal, $high:literal) => {
        Some(($low, $high))
    };
}
pub(crate) use bounds;

/// Joins the lines of a doc comment.
pub(crate) fn sentence(lines: &[&str]) -> String {
    lines.iter().map(|line| line.trim()).collect::<Vec<_>>().join(" ")
}

/// Makes an enum of words that the file knows.
macro_rules! words {
    (
        $(#[$meta:meta])*
        pub enum $name:ident, $what:literal { $( $(#[doc = $doc:literal])+ $variant:ident = $word:literal, )+ }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name {
            $( $(#[doc = $doc])+ $variant, )+
        }

        impl $name {
            /// All of them, in the order of the manual.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word of the file.
            pub const fn word(self) -> &'static str {
                match self {
                    $( Self::$variant => $word, )+
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }

        impl $crate::value::Value for $name {
            fn read(node: &$crate::reader::Node, reader: &mut $crate::reader::Reader) -> Option<Self> {
                let index = $crate::values::word(node, reader, $what, &[$($word),+])?;
                Some(Self::ALL[index])
            }

            fn print(&self, _form: $crate::value::Form) -> $crate::value::Item {
                $crate::value::Item::Atom(format!("\"{}\"", self.word()))
            }

            fn shape() -> $crate::value::Shape {
                $crate::value::Shape::Words { words: vec![$($word),+] }
            }
        }
    };
}
pub(crate) use words;
