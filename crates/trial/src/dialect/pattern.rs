//! Patterns of a dialect's lines, and templates of what is said.

use units::{Angle, Quantity as _, Span};

/// How a field's text becomes a value of ours, or a value of ours a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    /// As it is.
    Text,
    /// A bare number of degrees.
    Degrees,
    /// A bare number of hours of right ascension.
    Hours,
    /// A bare number of seconds of time.
    Seconds,
    /// A whole number.
    Whole,
}

impl Form {
    const WORDS: [(&'static str, Self); 5] = [
        ("text", Self::Text),
        ("degrees", Self::Degrees),
        ("hours", Self::Hours),
        ("seconds", Self::Seconds),
        ("whole", Self::Whole),
    ];

    fn fits(self, text: &str) -> bool {
        match self {
            Self::Text => !text.is_empty(),
            Self::Whole => !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit()),
            Self::Degrees | Self::Hours | Self::Seconds => {
                let digits =
                    text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'+' | b'-' | b'.'));
                digits && text.parse::<f64>().is_ok_and(f64::is_finite)
            }
        }
    }

    /// A field of the dialect as a value of ours.
    fn inward(self, text: &str) -> String {
        match self {
            Self::Text if text.contains(' ') => format!("\"{text}\""),
            Self::Text | Self::Whole => text.to_owned(),
            Self::Degrees => format!("{text}deg"),
            Self::Hours => format!("{text}h"),
            Self::Seconds => format!("{text}s"),
        }
    }

    /// A value of ours as the dialect writes it.
    fn outward(self, value: &str, decimals: usize) -> String {
        let number = match self {
            Self::Text | Self::Whole => return value.to_owned(),
            Self::Degrees => Angle::parse(value).map(Angle::degrees),
            Self::Hours => Angle::parse(value).map(|angle| angle.degrees() / 15.0),
            Self::Seconds => Span::parse(value).map(Span::seconds),
        };
        number.map_or_else(|_| value.to_owned(), |number| format!("{number:.decimals$}"))
    }
}

/// A literal, or a field between braces.
#[derive(Clone, Debug, PartialEq)]
enum Part {
    Literal(Vec<u8>),
    Field { name: String, form: Form, decimals: usize },
}

type Complaint = (String, String);

/// Splits a text at its fields.
fn parts(text: &str) -> Result<Vec<Part>, Complaint> {
    let mut parts = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        let literal = unescaped(&rest[..open]).map_err(|problem| (problem, ESCAPES.to_owned()))?;
        if !literal.is_empty() {
            parts.push(Part::Literal(literal));
        }
        let Some(close) = rest[open..].find('}') else {
            return Err((
                "a brace is not closed".to_owned(),
                "write a field as {name} or {name:degrees}".to_owned(),
            ));
        };
        let inside = &rest[open + 1..open + close];
        let (name, form) = inside.split_once(':').unwrap_or((inside, "text"));
        let (form, decimals) = form.split_once('.').unwrap_or((form, "6"));
        let known = Form::WORDS.iter().find(|(word, _)| *word == form).map(|(_, form)| *form);
        let name_is_good =
            !name.is_empty() && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'_');
        match (known, decimals.parse().ok().filter(|decimals| *decimals <= 12)) {
            (Some(form), Some(decimals)) if name_is_good => {
                parts.push(Part::Field { name: name.to_owned(), form, decimals });
            }
            _ => {
                let forms = Form::WORDS.map(|(word, _)| word).join(", ");
                let remedy = format!(
                    "write a name of letters, digits and underscores, and one of {forms} after a colon"
                );
                return Err((format!("`{{{inside}}}` is no field"), remedy));
            }
        }
        rest = &rest[open + close + 1..];
    }
    let literal = unescaped(rest).map_err(|problem| (problem, ESCAPES.to_owned()))?;
    if !literal.is_empty() {
        parts.push(Part::Literal(literal));
    }
    Ok(parts)
}

/// How to mend an escape that can't be read.
pub(super) const ESCAPES: &str = "write \\xNN with two hexadecimal digits, \\r, \\n, \\t or \\\\";

/// The bytes of a text with escapes.
pub(super) fn unescaped(text: &str) -> Result<Vec<u8>, String> {
    let mut out = Vec::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find('\\') {
        out.extend_from_slice(&rest.as_bytes()[..at]);
        let escape = &rest[at + 1..];
        let (byte, used) = match escape.bytes().next() {
            Some(b'r') => (b'\r', 1),
            Some(b'n') => (b'\n', 1),
            Some(b't') => (b'\t', 1),
            Some(b'\\') => (b'\\', 1),
            Some(b'x') => {
                let digits = escape.get(1..3).unwrap_or_default();
                (u8::from_str_radix(digits, 16).map_err(|_| format!("`\\x{digits}` is no byte"))?, 3)
            }
            _ => return Err("there is no such escape".to_owned()),
        };
        out.push(byte);
        rest = &escape[used..];
    }
    out.extend_from_slice(rest.as_bytes());
    Ok(out)
}

/// What a line of the dialect looks like: words with one blank or more between, in which fields may stand.
#[derive(Clone, Debug)]
pub(super) struct Pattern {
    words: Vec<Vec<Part>>,
}

impl Pattern {
    pub(super) fn read(text: &str) -> Result<Self, Complaint> {
        let words: Vec<Vec<Part>> =
            text.split(' ').filter(|word| !word.is_empty()).map(parts).collect::<Result<_, _>>()?;
        if words.is_empty() {
            return Err(("a pattern must have a word".to_owned(), "write what the program sends".to_owned()));
        }
        let two_fields =
            |word: &Vec<Part>| word.iter().filter(|part| matches!(part, Part::Field { .. })).count() > 1;
        if words.iter().any(two_fields) {
            let remedy = "put a blank between them".to_owned();
            return Err(("two fields stand in one word".to_owned(), remedy));
        }
        Ok(Self { words })
    }

    pub(super) fn fields(&self) -> impl Iterator<Item = &String> {
        self.words.iter().flatten().filter_map(|part| match part {
            Part::Field { name, .. } => Some(name),
            Part::Literal(_) => None,
        })
    }

    /// The fields of a line, as values of ours; `None` if the line is another.
    pub(super) fn matched(&self, line: &[u8]) -> Option<Vec<(String, String)>> {
        let words: Vec<&[u8]> = line.split(|byte| *byte == b' ').filter(|word| !word.is_empty()).collect();
        if words.len() != self.words.len() {
            return None;
        }
        let mut fields = Vec::new();
        for (word, parts) in words.iter().zip(&self.words) {
            let (prefix, field, suffix) = split(parts);
            let Some((name, form)) = field else {
                if !word.eq_ignore_ascii_case(prefix) {
                    return None;
                }
                continue;
            };
            let inner = strip(word, prefix, suffix)?;
            let text = str::from_utf8(inner).ok().filter(|text| form.fits(text))?;
            fields.push((name.clone(), form.inward(text)));
        }
        Some(fields)
    }
}

/// A word as what stands before its field, the field, and what stands behind.
fn split(parts: &[Part]) -> (&[u8], Option<(&String, Form)>, &[u8]) {
    match parts {
        [Part::Literal(before)] => (before, None, &[]),
        [Part::Field { name, form, .. }] => (&[], Some((name, *form)), &[]),
        [Part::Literal(before), Part::Field { name, form, .. }] => (before, Some((name, *form)), &[]),
        [Part::Field { name, form, .. }, Part::Literal(after)] => (&[], Some((name, *form)), after),
        [Part::Literal(before), Part::Field { name, form, .. }, Part::Literal(after)] => {
            (before, Some((name, *form)), after)
        }
        other => unreachable!("a word has at most one field: {other:?}"),
    }
}

fn strip<'w>(word: &'w [u8], prefix: &[u8], suffix: &[u8]) -> Option<&'w [u8]> {
    let (start, end) = (prefix.len(), word.len().checked_sub(suffix.len())?);
    let fits = start <= end
        && word[..start].eq_ignore_ascii_case(prefix)
        && word[end..].eq_ignore_ascii_case(suffix);
    fits.then(|| &word[start..end])
}

/// Whether some line could fit both.
pub(super) fn ambiguous(one: &Pattern, other: &Pattern) -> bool {
    one.words.len() == other.words.len()
        && one.words.iter().zip(&other.words).all(|(one, other)| {
            let ((before, field, after), (others_before, others_field, others_after)) =
                (split(one), split(other));
            match (field, others_field) {
                (None, None) => before.eq_ignore_ascii_case(others_before),
                (Some((_, form)), None) => word_fits(others_before, before, form, after),
                (None, Some((_, form))) => word_fits(before, others_before, form, others_after),
                // Of any two forms there is a text that both take: a whole number.
                (Some(_), Some(_)) => alike(before, others_before) && alike_from_behind(after, others_after),
            }
        })
}

fn word_fits(word: &[u8], before: &[u8], form: Form, after: &[u8]) -> bool {
    strip(word, before, after).is_some_and(|inner| str::from_utf8(inner).is_ok_and(|text| form.fits(text)))
}

/// Whether the shorter begins the longer.
fn alike(one: &[u8], other: &[u8]) -> bool {
    let length = one.len().min(other.len());
    one[..length].eq_ignore_ascii_case(&other[..length])
}

fn alike_from_behind(one: &[u8], other: &[u8]) -> bool {
    let length = one.len().min(other.len());
    one[one.len() - length..].eq_ignore_ascii_case(&other[other.len() - length..])
}

/// A text with fields to be filled in.
#[derive(Clone, Debug)]
pub(super) struct Template {
    parts: Vec<Part>,
}

impl Template {
    pub(super) fn read(text: &str) -> Result<Self, Complaint> {
        Ok(Self { parts: parts(text)? })
    }

    pub(super) fn fields(&self) -> impl Iterator<Item = &String> {
        self.parts.iter().filter_map(|part| match part {
            Part::Field { name, .. } => Some(name),
            Part::Literal(_) => None,
        })
    }

    /// The text with the values of ours in it; a field that has none is left out.
    pub(super) fn filled(&self, values: &[(String, String)]) -> Vec<u8> {
        let mut out = Vec::new();
        for part in &self.parts {
            match part {
                Part::Literal(bytes) => out.extend_from_slice(bytes),
                Part::Field { name, form, decimals } => {
                    if let Some((_, value)) = values.iter().find(|(key, _)| key == name) {
                        out.extend_from_slice(form.outward(value, *decimals).as_bytes());
                    }
                }
            }
        }
        out
    }
}
