//! Texts with units: reading them, and saying precisely what is wrong with one.

use std::ops::Range;

/// What is wrong with the text of a quantity, and where.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{problem}; {remedy}")]
pub struct QuantityError {
    /// The faulty part, as a byte range within the text.
    pub span: Range<usize>,
    /// What is wrong, such as ``unknown unit `arcsecs` ``.
    pub problem: String,
    /// What was expected and how to mend it, such as ``write `arcsec` ``.
    pub remedy: String,
}

/// A quantity that can be read from and written to text, always with its unit.
///
/// The text is a decimal number, an optional blank, and one of [`Quantity::UNITS`] (blanks within a unit are ignored):
/// `4 arcmin`, `2.5s`, `0.6 N m`. A bare number is refused: a unit mistake must not pass.
pub trait Quantity: Sized + Copy {
    /// With its article, for messages: `an angle`.
    const NAME: &'static str;
    /// A good text, for messages.
    const EXAMPLE: &'static str;
    /// Unit names as they are written, the usual one first, with the factor to the inner unit.
    const UNITS: &'static [(&'static str, f64)];

    /// From the inner unit (SI; nanoseconds for spans, degrees Celsius for temperatures).
    fn from_inner(value: f64) -> Self;

    /// In the inner unit.
    fn inner(self) -> f64;

    /// Reads a text.
    ///
    /// # Errors
    /// [`QuantityError`] for a text that isn't a finite number with one of the units.
    fn parse(text: &str) -> Result<Self, QuantityError> {
        let (value, unit, unit_span) = split::<Self>(text)?;
        let factor = factor_of::<Self>(&unit, unit_span)?;
        finite::<Self>(value * factor, text).map(Self::from_inner)
    }

    /// Writes it in `unit` (one of [`Quantity::UNITS`]) so that [`Quantity::parse`] gives back the very same value:
    /// the shortest such decimal that is found in this unit, else in the unit whose factor is 1. A value that no text of
    /// its units can give is written as the nearest that one can.
    ///
    /// # Panics
    /// If `unit` is not one of the units.
    fn text_in(self, unit: &str) -> String {
        let factor = Self::UNITS
            .iter()
            .find(|(name, _)| *name == unit)
            .map(|(_, factor)| *factor)
            .unwrap_or_else(|| panic!("{} has no unit {unit}", Self::NAME));
        let value = self.inner() / factor;
        for candidate in [value, value.next_up(), value.next_down()] {
            if (Self::from_inner(candidate * factor)).inner() == self.inner() {
                return format!("{candidate}{unit}");
            }
        }
        let exact = Self::UNITS.iter().find(|(_, factor)| *factor == 1.0);
        match exact {
            Some((name, _)) => format!("{}{name}", self.inner()),
            None => format!("{value}{unit}"),
        }
    }
}

/// Splits a text into its number, its unit with blanks removed, and the unit's place.
fn split<Q: Quantity>(text: &str) -> Result<(f64, String, Range<usize>), QuantityError> {
    let start = text.len() - text.trim_start().len();
    let end = text.trim_end().len();
    let body = &text[start..end.max(start)];
    let digits = number_length(body);
    if digits == 0 {
        return Err(QuantityError {
            span: start..end.max(start),
            problem: if body.is_empty() {
                format!("{} is missing", Q::NAME)
            } else {
                format!("`{}` is not {}", shortened(body), Q::NAME)
            },
            remedy: format!("write a number with its unit, such as `{}`", Q::EXAMPLE),
        });
    }
    let value: f64 = body[..digits].parse().map_err(|_| QuantityError {
        span: start..start + digits,
        problem: format!("`{}` is not a number", shortened(&body[..digits])),
        remedy: format!("write {} such as `{}`", Q::NAME, Q::EXAMPLE),
    })?;
    let rest = &body[digits..];
    let unit_start = start + digits + (rest.len() - rest.trim_start().len());
    let unit: String = rest.chars().filter(|c| !c.is_whitespace()).collect();
    if unit.is_empty() {
        return Err(QuantityError {
            span: start..end,
            problem: format!("`{body}` has no unit"),
            remedy: format!("write {} with its unit, such as `{}`", Q::NAME, Q::EXAMPLE),
        });
    }
    Ok((value, unit, unit_start..end))
}

/// Length of the decimal number at the start of a text: sign, digits, fraction, exponent.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits_from = |mut i: usize| {
        while bytes.get(i).is_some_and(u8::is_ascii_digit) {
            i += 1;
        }
        i
    };
    let sign = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let whole = digits_from(sign);
    let mut end = whole;
    let mut any = whole > sign;
    if bytes.get(whole) == Some(&b'.') {
        let fraction = digits_from(whole + 1);
        any |= fraction > whole + 1;
        end = fraction;
    }
    if !any {
        return 0;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = end + 1 + usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = digits_from(signed);
        if exponent > signed {
            end = exponent;
        }
    }
    end
}

fn factor_of<Q: Quantity>(unit: &str, span: Range<usize>) -> Result<f64, QuantityError> {
    let squeezed = |name: &str| -> String { name.chars().filter(|c| !c.is_whitespace()).collect() };
    if let Some((_, factor)) = Q::UNITS.iter().find(|(name, _)| squeezed(name) == unit) {
        return Ok(*factor);
    }
    let names: Vec<&str> = Q::UNITS.iter().map(|(name, _)| *name).collect();
    let remedy = match nearest(unit, names.iter().copied()) {
        Some(name) => format!("did you mean `{name}`?"),
        None => format!("{} is written with {}", Q::NAME, listed(&names)),
    };
    Err(QuantityError { span, problem: format!("unknown unit `{}`", shortened(unit)), remedy })
}

pub(crate) fn finite<Q: Quantity>(value: f64, text: &str) -> Result<f64, QuantityError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError {
            span: 0..text.len(),
            problem: format!("`{}` is too large a number", shortened(text)),
            remedy: format!("write {} such as `{}`", Q::NAME, Q::EXAMPLE),
        })
    }
}

/// A faulty text as it may be shown in a message: at most 40 characters of it.
pub(crate) fn shortened(text: &str) -> String {
    if text.chars().count() <= 40 {
        text.to_owned()
    } else {
        text.chars().take(39).chain(std::iter::once('…')).collect()
    }
}

fn listed(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => String::new(),
    }
}

/// The candidate nearest to a mistyped word, if one is near enough to be worth proposing.
///
/// Distance is that of Damerau and Levenshtein restricted to adjacent swaps, without regard to case; "near enough" is at most a
/// third of the longer word's length, and at least one. The first of equals wins.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let lower: Vec<char> = word.to_lowercase().chars().take(64).collect();
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in candidates {
        let other: Vec<char> = candidate.to_lowercase().chars().collect();
        let bound = (lower.len().max(other.len()) / 3).max(1);
        let distance = edit_distance(&lower, &other);
        if distance <= bound && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn edit_distance(a: &[char], b: &[char]) -> usize {
    let width = b.len() + 1;
    let mut before_last = vec![0; width];
    let mut last: Vec<usize> = (0..width).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; width];
        for j in 1..=b.len() {
            let substitution = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = substitution.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before_last[j - 2] + 1);
            }
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}
