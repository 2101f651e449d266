//! A program's own language on the wire: a file that maps its lines to our requests, and our replies and events back.

mod pattern;
mod speaking;

use pattern::{Pattern, Template, ambiguous};
use serde::Deserialize;
use std::ops::Range;
use toml::Spanned;
use units::{Quantity as _, Span};

pub use speaking::Speaking;

/// The largest dialect file, in bytes.
const BYTES_MOST: usize = 1 << 20;

/// What is wrong with a dialect file, and where.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {problem}; {remedy}")]
pub struct DialectError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong.
    pub problem: String,
    /// How to mend it.
    pub remedy: String,
}

/// A language that is mapped to ours, checked.
#[derive(Clone, Debug)]
pub struct Dialect {
    line_end: Vec<u8>,
    echo: bool,
    greeting: Option<Vec<u8>>,
    unknown: Vec<u8>,
    requests: Vec<Mapping>,
    events: Vec<(String, Template)>,
    unprompted: Vec<Unprompted>,
}

/// One line of the dialect, and what becomes of it.
#[derive(Clone, Debug)]
struct Mapping {
    pattern: Pattern,
    send: Template,
    reply: Option<Template>,
    refused: Template,
}

/// What is said without being asked.
#[derive(Clone, Debug)]
struct Unprompted {
    every: Span,
    send: String,
    say: Template,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: Spanned<u64>,
    #[serde(default)]
    line_end: Option<Spanned<String>>,
    #[serde(default)]
    echo: bool,
    #[serde(default)]
    greeting: Option<Spanned<String>>,
    #[serde(default)]
    unknown: Option<Spanned<String>>,
    #[serde(default)]
    refused: Option<Spanned<String>>,
    #[serde(default)]
    request: Vec<RequestRow>,
    #[serde(default)]
    event: Vec<EventRow>,
    #[serde(default)]
    unprompted: Vec<UnpromptedRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RequestRow {
    line: Spanned<String>,
    send: Spanned<String>,
    #[serde(default)]
    reply: Option<Spanned<String>>,
    #[serde(default)]
    refused: Option<Spanned<String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EventRow {
    of: Spanned<String>,
    say: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct UnpromptedRow {
    every: Spanned<String>,
    send: Spanned<String>,
    say: Spanned<String>,
}

/// Where in the file, and what is wrong there.
struct Reader<'t> {
    text: &'t str,
}

impl Reader<'_> {
    fn error(
        &self,
        span: Range<usize>,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> DialectError {
        let before = self.text.get(..span.start).unwrap_or_default();
        let line = before.matches('\n').count() + 1;
        let column = before.chars().rev().take_while(|c| *c != '\n').count() + 1;
        DialectError { line, column, problem: problem.into(), remedy: remedy.into() }
    }

    fn bytes(&self, text: &Spanned<String>) -> Result<Vec<u8>, DialectError> {
        pattern::unescaped(text.get_ref())
            .map_err(|problem| self.error(text.span(), problem, pattern::ESCAPES))
    }

    fn template(&self, text: &Spanned<String>) -> Result<Template, DialectError> {
        Template::read(text.get_ref()).map_err(|(problem, remedy)| self.error(text.span(), problem, remedy))
    }

    /// A request of ours, with its fields as the pattern has them.
    fn request(&self, send: &Spanned<String>, fields: &[String]) -> Result<Template, DialectError> {
        let template = self.template(send)?;
        for field in template.fields() {
            if !fields.contains(field) {
                let problem = format!("`{{{field}}}` stands in no field of the line");
                return Err(self.error(send.span(), problem, "name a field of `line`"));
            }
        }
        let verb = send.get_ref().split([' ', '{']).next().unwrap_or_default();
        if protocol::verbs::find(verb).is_none() {
            let problem = format!("`{verb}` is no verb of the line language");
            return Err(self.error(send.span(), problem, "write one that `help` names"));
        }
        Ok(template)
    }
}

impl Dialect {
    /// Reads and checks a dialect file.
    ///
    /// # Errors
    /// The first thing that is wrong, with its place: what is no TOML, a key that isn't known, a pattern or template that can't be
    /// read, a verb that our language doesn't have, and two patterns that the same line would fit.
    pub fn read(text: &str) -> Result<Self, DialectError> {
        let reader = Reader { text };
        if text.len() > BYTES_MOST {
            return Err(reader.error(0..0, "the file is too large", "a dialect is a page or two of text"));
        }
        let file: File = toml::from_str(text)
            .map_err(|error| reader.error(error.span().unwrap_or(0..0), error.message(), "mend it there"))?;
        if *file.format.get_ref() != 1 {
            return Err(reader.error(file.format.span(), "this format is not known", "write format = 1"));
        }
        let line_end = match &file.line_end {
            Some(end) => reader.bytes(end)?,
            None => b"\n".to_vec(),
        };
        if line_end.is_empty() {
            let span = file.line_end.map_or(0..0, |end| end.span());
            return Err(reader.error(
                span,
                "lines must have an end",
                "write one byte or more, such as \"\\r\"",
            ));
        }
        let usual = match &file.refused {
            Some(template) => reader.template(template)?,
            None => Template::read("no {number}").unwrap_or_else(|_| unreachable!("it can be read")),
        };
        let requests = requests(&reader, &file.request, &usual)?;
        let events = events(&reader, &file.event)?;
        let unprompted = unprompted(&reader, &file.unprompted)?;
        let bytes = |text: &Option<Spanned<String>>| text.as_ref().map(|text| reader.bytes(text)).transpose();
        Ok(Self {
            line_end,
            echo: file.echo,
            greeting: bytes(&file.greeting)?,
            unknown: bytes(&file.unknown)?.unwrap_or_default(),
            requests,
            events,
            unprompted,
        })
    }
}

fn requests(
    reader: &Reader<'_>,
    rows: &[RequestRow],
    usual: &Template,
) -> Result<Vec<Mapping>, DialectError> {
    let mut mappings: Vec<Mapping> = Vec::new();
    for row in rows {
        let pattern = Pattern::read(row.line.get_ref())
            .map_err(|(problem, remedy)| reader.error(row.line.span(), problem, remedy))?;
        if let Some(earlier) = mappings.iter().position(|other| ambiguous(&other.pattern, &pattern)) {
            let problem = format!("a line could fit this pattern and `{}`", rows[earlier].line.get_ref());
            return Err(reader.error(
                row.line.span(),
                problem,
                "make them differ in a word or in their number of words",
            ));
        }
        let fields: Vec<String> = pattern.fields().cloned().collect();
        let send = reader.request(&row.send, &fields)?;
        let reply = row.reply.as_ref().map(|reply| reader.template(reply)).transpose()?;
        let refused = match &row.refused {
            Some(refused) => reader.template(refused)?,
            None => usual.clone(),
        };
        mappings.push(Mapping { pattern, send, reply, refused });
    }
    Ok(mappings)
}

fn events(reader: &Reader<'_>, rows: &[EventRow]) -> Result<Vec<(String, Template)>, DialectError> {
    let mut events = Vec::new();
    for row in rows {
        let word = row.of.get_ref();
        if !protocol::EventKind::WORDS.contains(&word.as_str()) {
            let remedy = format!("write one of {}", protocol::EventKind::WORDS.join(", "));
            return Err(reader.error(row.of.span(), format!("there is no event `{word}`"), remedy));
        }
        events.push((word.clone(), reader.template(&row.say)?));
    }
    Ok(events)
}

fn unprompted(reader: &Reader<'_>, rows: &[UnpromptedRow]) -> Result<Vec<Unprompted>, DialectError> {
    let mut all = Vec::new();
    for row in rows {
        let every = Span::parse(row.every.get_ref())
            .map_err(|error| reader.error(row.every.span(), error.problem.clone(), error.remedy.clone()))?;
        if every < Span::from_nanoseconds(10_000_000) {
            return Err(reader.error(row.every.span(), "that is too often", "write 10 ms or more"));
        }
        reader.request(&row.send, &[])?;
        all.push(Unprompted { every, send: row.send.get_ref().clone(), say: reader.template(&row.say)? });
    }
    Ok(all)
}

#[cfg(test)]
mod tests;
