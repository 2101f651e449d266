//! Walks the parsed file and collects every complaint, with the place of every key that it met.

use crate::complaint::{Complaint, ComplaintKind};
use crate::draws::{Drawing, DrawnValue, Window};
use crate::value::Value;
use crate::values::TimeOfDay;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Complaints beyond these are left out: somebody who mends fifty mistakes runs the check again anyway.
const COMPLAINTS_SHOWN: usize = 50;

/// Where a key and its value stand, as byte ranges of the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyPlace {
    /// The key itself (the whole element for a place in a list).
    pub key: Range<usize>,
    /// Its value.
    pub value: Range<usize>,
}

/// A value of the file with its path.
pub(crate) struct Node<'n, 'i> {
    pub value: &'n DeValue<'i>,
    pub span: Range<usize>,
    pub path: String,
}

impl<'n, 'i> Node<'n, 'i> {
    pub fn new(value: &'n Spanned<DeValue<'i>>, path: String) -> Self {
        Self { value: value.get_ref(), span: value.span(), path }
    }
}

/// Collects what is read.
pub(crate) struct Reader<'s> {
    source: &'s str,
    complaints: Vec<Complaint>,
    /// Whether complaints were left out, or checks that would only have led to more of them.
    left_out: bool,
    pub places: BTreeMap<String, KeyPlace>,
    /// Set where the text is broken: keys that seem to be missing may just not have been understood.
    pub broken: bool,
    /// What becomes of distributions.
    pub drawing: Drawing,
    /// What was drawn, in the order of reading.
    pub draws: Vec<DrawnValue>,
    /// What is drawn from, one text for all spellings.
    pub recipes: Vec<String>,
    /// The bounds of the key that is being read.
    pub bounds: Option<(&'static str, &'static str)>,
    /// Where within nested distributions the reading stands, as the end of a stream's name.
    pub inside: String,
    /// Which alternative was picked last.
    pub picked: usize,
    /// From when to when random moments are drawn.
    pub window: Option<Window>,
    /// Which of the random moments is being read.
    pub occurrence: Option<(u64, TimeOfDay)>,
}

impl<'s> Reader<'s> {
    pub fn new(source: &'s str) -> Self {
        Self {
            source,
            complaints: Vec::new(),
            left_out: false,
            places: BTreeMap::new(),
            broken: false,
            drawing: Drawing::Typical,
            draws: Vec::new(),
            recipes: Vec::new(),
            bounds: None,
            inside: String::new(),
            picked: 0,
            window: None,
            occurrence: None,
        }
    }

    /// A reader of the same text that draws the same and whose complaints are forgotten.
    pub fn aside(&self) -> Self {
        Self { drawing: self.drawing.clone(), ..Self::new(self.source) }
    }

    /// Remembers where a key stands; a night that is drawn stands where the file's does.
    pub fn remember(&mut self, path: &str, place: KeyPlace) {
        if let Drawing::Typical = self.drawing {
            self.places.insert(path.to_owned(), place);
        }
    }

    /// Notes what a key is drawn from.
    pub fn recipe(&mut self, path: &str, recipe: &str) {
        if let Drawing::Typical = self.drawing {
            self.recipes.push(format!("{path}{} = {recipe}", self.inside));
        }
    }

    pub fn complain(
        &mut self,
        key: &str,
        span: Range<usize>,
        kind: ComplaintKind,
        problem: impl Into<String>,
        expected: impl Into<String>,
    ) {
        if self.is_full() {
            self.left_out = true;
            return;
        }
        self.complaints.push(Complaint::new(self.source, key, span, kind, problem, expected));
    }

    pub fn at(
        &mut self,
        node: &Node,
        kind: ComplaintKind,
        problem: impl Into<String>,
        expected: impl Into<String>,
    ) {
        self.complain(&node.path, node.span.clone(), kind, problem, expected);
    }

    /// Whether further complaints are left out.
    pub fn is_full(&self) -> bool {
        self.complaints.len() >= COMPLAINTS_SHOWN
    }

    /// Says that a check was skipped because of that.
    pub fn skip_check(&mut self) {
        self.left_out = true;
    }

    pub fn any_complaints(&self) -> bool {
        !self.complaints.is_empty()
    }

    /// All complaints with more of them, as [`Reader::into_complaints`].
    pub fn with(mut self, more: Vec<Complaint>) -> Vec<Complaint> {
        let room = COMPLAINTS_SHOWN.saturating_sub(self.complaints.len());
        self.left_out |= more.len() > room;
        self.complaints.extend(more.into_iter().take(room));
        self.into_complaints()
    }

    /// All complaints in the order of the file.
    pub fn into_complaints(mut self) -> Vec<Complaint> {
        // What stands in a broken line was understood by half: the parser's complaint is enough.
        let broken: BTreeSet<usize> = self
            .complaints
            .iter()
            .filter(|complaint| complaint.kind == ComplaintKind::Syntax)
            .map(|complaint| complaint.line)
            .collect();
        self.complaints
            .retain(|complaint| complaint.kind == ComplaintKind::Syntax || !broken.contains(&complaint.line));
        self.complaints.sort_by_key(|complaint| (complaint.span.start, complaint.span.end));
        self.complaints.dedup();
        if self.left_out {
            let (span, kind) = match self.complaints.last() {
                Some(last) => (last.span.clone(), last.kind),
                None => (0..0, ComplaintKind::Syntax),
            };
            let problem = format!("only the first {COMPLAINTS_SHOWN} mistakes are listed");
            let expected = "mend those first, then check again";
            self.complaints.push(Complaint::new(self.source, "", span, kind, problem, expected));
        }
        self.complaints
    }

    /// The token of a value as it stands in the file, shortened for a message.
    pub fn token(&self, span: &Range<usize>) -> String {
        let text = self.source.get(span.clone()).unwrap_or_default();
        let line = text.lines().next().unwrap_or_default();
        if line.chars().count() > 40 || line.len() < text.len() {
            line.chars().take(39).chain(std::iter::once('…')).collect()
        } else {
            line.to_owned()
        }
    }

    /// The place in the file of a part of a string value: exact where the string has no escapes, else the whole token.
    pub fn within(&self, span: &Range<usize>, decoded: &str, part: Range<usize>) -> Range<usize> {
        let token = self.source.get(span.clone()).unwrap_or_default();
        let plain = token.len() == decoded.len() + 2 && token.get(1..token.len() - 1) == Some(decoded);
        if plain && part.end <= decoded.len() {
            let start = span.start + 1;
            // A mark of no width can't be seen: the whole token stands for an empty part.
            if part.is_empty() { span.clone() } else { start + part.start..start + part.end }
        } else {
            span.clone()
        }
    }

    /// The node as a table whose keys are all among `known`; complains otherwise.
    pub fn table<'n, 'i>(&mut self, node: &Node<'n, 'i>, known: &[&'static str]) -> Option<&'n DeTable<'i>> {
        let DeValue::Table(table) = node.value else {
            let expected = match known.first() {
                Some(key) => format!("write a table with keys such as `{key}`"),
                None => "write a table".to_owned(),
            };
            let found = describe(node.value);
            self.at(node, ComplaintKind::WrongType, format!("this is {found}"), expected);
            return None;
        };
        for (key, _) in table.iter() {
            if !known.contains(&key.get_ref().as_ref()) {
                self.unknown_key(&node.path, key.get_ref(), key.span(), known);
            }
        }
        Some(table)
    }

    fn unknown_key(&mut self, parent: &str, key: &str, span: Range<usize>, known: &[&'static str]) {
        let path = join(parent, key);
        if self.is_full() {
            self.left_out = true;
            return;
        }
        let here = units::nearest(key, known.iter().copied());
        let expected = match here {
            Some(near) => format!("did you mean `{near}`?"),
            None => match crate::schema::nearest_path(parent, key) {
                Some(elsewhere) => format!("did you mean `{elsewhere}`?"),
                None if parent.is_empty() => format!("the sections are {}", listed(known)),
                None => format!("the keys of `{parent}` are {}", listed(known)),
            },
        };
        let shown: String = key.chars().take(40).collect();
        self.complain(
            &path,
            span,
            ComplaintKind::UnknownKey,
            format!("there is no key `{shown}` here"),
            expected,
        );
    }

    /// Reads the value of a key, if it is there, and remembers its place.
    pub fn optional<T: Value>(
        &mut self,
        parent: &str,
        table: &DeTable,
        key: &'static str,
        bounds: Option<(&'static str, &'static str)>,
    ) -> Option<T> {
        let (name, value) = table.get_key_value(key)?;
        let path = join(parent, key);
        let span = value.span();
        self.remember(&path, KeyPlace { key: name.span(), value: span.clone() });
        let outer = std::mem::replace(&mut self.bounds, bounds);
        let read = self.value::<T>(&Node::new(value, path.clone()));
        self.bounds = outer;
        let read = read?;
        if let Some((low, high)) = bounds
            && !read.within(low, high)
        {
            let problem = format!("{} is out of range", self.token(&span));
            let expected =
                if low == high { format!("expected {low}") } else { format!("expected {low} to {high}") };
            self.complain(&path, span, ComplaintKind::OutOfRange, problem, expected);
            return None;
        }
        Some(read)
    }

    /// Reads the value of a key that must be there.
    pub fn required<T: Value>(
        &mut self,
        parent: &Node,
        table: &DeTable,
        key: &'static str,
        bounds: Option<(&'static str, &'static str)>,
    ) -> Option<T> {
        if !table.contains_key(key) {
            if !self.broken {
                let path = join(&parent.path, key);
                // A table's own place is its header; an inline table or the file itself is too long to be marked.
                let end = parent.span.end.min(parent.span.start + self.token(&parent.span).len());
                let end = if parent.path.is_empty() { parent.span.start } else { end };
                let shape = crate::schema::expectation(&T::shape(), key);
                let problem = format!("`{path}` is missing");
                self.complain(&path, parent.span.start..end, ComplaintKind::MissingKey, problem, shape);
            }
            return None;
        }
        self.optional(&parent.path, table, key, bounds)
    }
}

/// Appends a key to a path.
pub(crate) fn join(parent: &str, key: &str) -> String {
    if parent.is_empty() { key.to_owned() } else { format!("{parent}.{key}") }
}

/// A value's type, for messages.
pub(crate) fn describe(value: &DeValue) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "`true` or `false`",
        DeValue::Datetime(_) => "a date or a time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// `a`, `b` or `c`.
pub(crate) fn listed(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => String::new(),
    }
}
