//! The shape of a request line, before its words mean anything.
//!
//! ```text
//! request = [tag SP] verb [SP topic] *(SP key "=" value)
//! ```
//! The grammar in full (RFC 5234) stands in the manual's protocol page.

use crate::refusal::{Refusal, RefusalKind};
use nom::branch::alt;
use nom::bytes::complete::{escaped_transform, is_not, take_while, take_while_m_n, take_while1};
use nom::character::complete::{char, one_of};
use nom::combinator::{map, opt, recognize, value, verify};
use nom::sequence::{delimited, preceded, terminated};
use nom::{IResult, Parser};

/// A client's mark on a request, repeated on the reply: 1 to 8 letters and digits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tag(String);

impl Tag {
    /// Makes one, if the text is of the right form.
    pub fn new(text: &str) -> Option<Self> {
        let fits = (1..=8).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_alphanumeric());
        fits.then(|| Self(text.to_owned()))
    }

    /// Its text, without the `@`.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// One `key=value` pair; `column` is the place of its key, counting from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pair {
    /// The key, in lower case.
    pub key: String,
    /// The value, with quotes taken off.
    pub value: String,
    /// Where the key stands in the line.
    pub column: usize,
}

/// A request whose words have not been given their meaning yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RawRequest {
    /// The client's mark.
    pub tag: Option<Tag>,
    /// The verb, in lower case.
    pub verb: String,
    /// The one bare word that may follow a verb (`help goto`), in lower case.
    pub topic: Option<String>,
    /// The pairs in their order.
    pub pairs: Vec<Pair>,
}

impl RawRequest {
    /// Reads a line (without its check).
    ///
    /// # Errors
    /// A refusal of kind `unreadable` that says at which column, together with the tag if that could be read.
    pub fn read(line: &str) -> Result<Self, (Option<Tag>, Refusal)> {
        let body = line.trim_matches(' ');
        let lead = line.len() - line.trim_start_matches(' ').len();
        let column = |rest: &str| lead + body.len() - rest.len() + 1;
        let (rest, tag) = tag(body).unwrap_or((body, None));
        let fail = |rest: &str, expected: &str| {
            let found = rest.chars().next().map_or("the end of the line".to_owned(), |c| format!("`{c}`"));
            let sentence = format!("{found} at column {}: {expected}", column(rest));
            (tag.clone(), Refusal::new(RefusalKind::Unreadable, sentence))
        };
        let (rest, verb) = word(rest).map_err(|_| fail(rest, "a verb was expected, such as status"))?;
        let (mut rest, topic) = topic(rest).unwrap_or((rest, None));
        let mut pairs = Vec::new();
        loop {
            let (after, blanks) = blanks(rest).unwrap_or((rest, ""));
            if after.is_empty() {
                break;
            }
            if blanks.is_empty() {
                return Err(fail(after, "a blank was expected"));
            }
            let column = column(after);
            let (after_key, key) = terminated(key, char('='))
                .parse(after)
                .map_err(|_: nom::Err<Error<'_>>| fail(after, "key=value was expected"))?;
            let (after_value, value) = value_text(after_key)
                .map_err(|_| fail(after_key, "a value was expected, in quotes if it has blanks"))?;
            pairs.push(Pair { key: key.to_ascii_lowercase(), value, column });
            rest = after_value;
        }
        Ok(Self { tag, verb: verb.to_ascii_lowercase(), topic: topic.map(str::to_ascii_lowercase), pairs })
    }

    /// Writes it as a line that reads back to the same.
    pub fn to_line(&self) -> String {
        let mut line = String::with_capacity(64);
        if let Some(tag) = &self.tag {
            line.push('@');
            line.push_str(tag.as_str());
            line.push(' ');
        }
        line.push_str(&self.verb);
        if let Some(topic) = &self.topic {
            line.push(' ');
            line.push_str(topic);
        }
        for pair in &self.pairs {
            line.push(' ');
            line.push_str(&pair.key);
            line.push('=');
            push_value(&mut line, &pair.value);
        }
        line
    }
}

/// Writes a value, in quotes where it must be.
pub(crate) fn push_value(line: &mut String, value: &str) {
    let bare = !value.is_empty() && value.bytes().all(|b| is_bare(char::from(b)));
    if bare {
        line.push_str(value);
        return;
    }
    push_quoted(line, value);
}

/// Writes a text in quotes, a backslash before each quote and backslash in it.
pub fn push_quoted(line: &mut String, text: &str) {
    line.push('"');
    for c in text.chars() {
        if matches!(c, '"' | '\\') {
            line.push('\\');
        }
        line.push(c);
    }
    line.push('"');
}

type Error<'a> = nom::error::Error<&'a str>;

fn is_bare(c: char) -> bool {
    c.is_ascii_graphic() && !matches!(c, '"' | '\\' | '=')
}

fn tag(input: &str) -> IResult<&str, Option<Tag>> {
    let name = take_while_m_n(1, 8, |c: char| c.is_ascii_alphanumeric());
    opt(map(delimited(char('@'), name, take_while1(|c| c == ' ')), |text: &str| Tag(text.to_owned())))
        .parse(input)
}

/// Letters, then letters, digits and hyphens; ends at a blank or the end of the line.
fn word(input: &str) -> IResult<&str, &str> {
    verify(
        recognize((
            take_while1(|c: char| c.is_ascii_alphabetic()),
            take_while(|c: char| c.is_ascii_alphanumeric() || c == '-'),
        )),
        |found: &str| matches!(input.as_bytes().get(found.len()), None | Some(b' ')),
    )
    .parse(input)
}

fn topic(input: &str) -> IResult<&str, Option<&str>> {
    opt(preceded(take_while1(|c| c == ' '), word)).parse(input)
}

fn blanks(input: &str) -> IResult<&str, &str> {
    take_while(|c| c == ' ').parse(input)
}

fn key(input: &str) -> IResult<&str, &str> {
    recognize((
        take_while1(|c: char| c.is_ascii_alphabetic()),
        take_while(|c: char| c.is_ascii_alphanumeric() || c == '_'),
    ))
    .parse(input)
}

/// A bare value, or one in quotes where `\"` and `\\` stand for themselves.
fn value_text(input: &str) -> IResult<&str, String> {
    let quoted = delimited(
        char('"'),
        map(
            opt(escaped_transform(
                is_not("\"\\"),
                '\\',
                alt((value("\"", one_of("\"")), value("\\", one_of("\\")))),
            )),
            Option::unwrap_or_default,
        ),
        char('"'),
    );
    let bare = map(take_while1(is_bare), str::to_owned);
    alt((quoted, bare)).parse(input)
}

#[cfg(test)]
mod tests;
