//! Taking typed values out of a line's pairs, by the verb's table.

use super::CivilTime;
use crate::grammar::Pair;
use crate::refusal::{Refusal, RefusalKind};
use crate::verbs::{ValueKind, Verb};
use units::{Angle, AngularRate, Length, Pressure, Quantity, Share, Span, Temperature, nearest};

/// The pairs of one line, known to have only keys that the verb has, each at most once.
pub(super) struct Keys<'a> {
    verb: &'static Verb,
    pairs: &'a [Pair],
}

impl<'a> Keys<'a> {
    pub(super) fn new(verb: &'static Verb, pairs: &'a [Pair]) -> Result<Self, Refusal> {
        for (index, pair) in pairs.iter().enumerate() {
            if !verb.keys.iter().any(|key| key.name == pair.key) {
                return Err(unknown_key(verb, pair));
            }
            if pairs[..index].iter().any(|earlier| earlier.key == pair.key) {
                let sentence =
                    format!("the key {} stands twice, the second time at column {}", pair.key, pair.column);
                return Err(Refusal::new(RefusalKind::RepeatedKey, sentence));
            }
        }
        Ok(Self { verb, pairs })
    }

    /// Whether the verb knows such a key.
    pub(super) fn has(&self, key: &str) -> bool {
        self.verb.keys.iter().any(|known| known.name == key)
    }

    fn pair(&self, key: &str) -> Option<&'a Pair> {
        debug_assert!(self.verb.keys.iter().any(|known| known.name == key), "{key} is not in the table");
        self.pairs.iter().find(|pair| pair.key == key)
    }

    fn kind(&self, key: &str) -> ValueKind {
        let found = self.verb.keys.iter().find(|known| known.name == key);
        found.unwrap_or_else(|| unreachable!("{key} is not in the table of {}", self.verb.name)).kind
    }

    pub(super) fn text(&self, key: &str) -> Option<&'a str> {
        self.pair(key).map(|pair| pair.value.as_str())
    }

    pub(super) fn word(&self, key: &str) -> Result<Option<&'static str>, Refusal> {
        let Some(pair) = self.pair(key) else { return Ok(None) };
        let ValueKind::Word(words) = self.kind(key) else {
            unreachable!("{key} is no word in the table of {}", self.verb.name)
        };
        let found = words.iter().copied().find(|word| word.eq_ignore_ascii_case(&pair.value));
        found.map(Some).ok_or_else(|| {
            let sentence =
                format!("{key}={} at column {}: write {}", pair.value, pair.column, words.join(" or "));
            Refusal::new(RefusalKind::BadValue, sentence)
        })
    }

    fn quantity<Q: Quantity>(&self, key: &str) -> Result<Option<(Q, &'a Pair)>, Refusal> {
        let Some(pair) = self.pair(key) else { return Ok(None) };
        Q::parse(&pair.value).map(|value| Some((value, pair))).map_err(|error| {
            let sentence = format!("{key} at column {}: {}; {}", pair.column, error.problem, error.remedy);
            Refusal::new(RefusalKind::BadValue, sentence.replace('`', ""))
        })
    }

    fn within<Q: Quantity>(
        &self,
        key: &str,
        measure: impl Fn(Q) -> f64,
        least: f64,
        greatest: f64,
        unit: &str,
    ) -> Result<Option<Q>, Refusal> {
        let Some((value, pair)) = self.quantity::<Q>(key)? else { return Ok(None) };
        // A hair of room for the rounding of the unit's factor at the very bound.
        let room = 1e-12 * greatest.abs().max(least.abs());
        if (least - room..=greatest + room).contains(&measure(value)) {
            return Ok(Some(value));
        }
        let sentence = format!(
            "{key}={} at column {}: it must be from {least} to {greatest} {unit}",
            pair.value, pair.column
        );
        Err(Refusal::new(RefusalKind::OutOfRange, sentence))
    }

    pub(super) fn angle(&self, key: &str) -> Result<Option<Angle>, Refusal> {
        let ValueKind::Angle { least, greatest } = self.kind(key) else {
            unreachable!("{key} is no angle in the table of {}", self.verb.name)
        };
        self.within(key, Angle::degrees, least, greatest, "deg")
    }

    pub(super) fn rate(&self, key: &str) -> Result<Option<AngularRate>, Refusal> {
        let ValueKind::Rate { least, greatest } = self.kind(key) else {
            unreachable!("{key} is no rate in the table of {}", self.verb.name)
        };
        self.within(key, AngularRate::arcsec, least, greatest, "arcsec/s")
    }

    pub(super) fn span(&self, key: &str) -> Result<Option<Span>, Refusal> {
        let ValueKind::Span { least, greatest } = self.kind(key) else {
            unreachable!("{key} is no length of time in the table of {}", self.verb.name)
        };
        self.within(key, Span::seconds, least, greatest, "s")
    }

    /// A whole number above zero, such as a job's: it counts, so it has no unit.
    pub(super) fn count(&self, key: &str) -> Result<Option<u64>, Refusal> {
        let Some(pair) = self.pair(key) else { return Ok(None) };
        let digits = pair.value.bytes().all(|b| b.is_ascii_digit());
        pair.value.parse().ok().filter(|count| digits && *count > 0).map(Some).ok_or_else(|| {
            let sentence =
                format!("{key}={} at column {}: write a whole number from 1 on", pair.value, pair.column);
            Refusal::new(RefusalKind::BadValue, sentence)
        })
    }

    /// Holds that a key of the verb is there.
    pub(super) fn needed<T>(&self, key: &str, value: Option<T>) -> Result<T, Refusal> {
        value.ok_or_else(|| Refusal::new(RefusalKind::MissingKey, format!("{} needs {key}", self.verb.name)))
    }

    pub(super) fn length(&self, key: &str) -> Result<Option<Length>, Refusal> {
        let ValueKind::Length { least, greatest } = self.kind(key) else {
            unreachable!("{key} is no length in the table of {}", self.verb.name)
        };
        self.within(key, Length::metres, least, greatest, "m")
    }

    pub(super) fn pressure(&self, key: &str) -> Result<Option<Pressure>, Refusal> {
        self.within(key, Pressure::hectopascals, 0.0, 1200.0, "hPa")
    }

    pub(super) fn temperature(&self, key: &str) -> Result<Option<Temperature>, Refusal> {
        self.within(key, Temperature::celsius, -90.0, 60.0, "degC")
    }

    pub(super) fn share(&self, key: &str) -> Result<Option<Share>, Refusal> {
        self.within(key, Share::percent, 0.0, 100.0, "%")
    }

    pub(super) fn civil_time(&self, key: &str) -> Result<Option<CivilTime>, Refusal> {
        let Some(pair) = self.pair(key) else { return Ok(None) };
        CivilTime::parse(&pair.value).map(Some).ok_or_else(|| {
            let sentence = format!(
                "{key}={} at column {}: write an instant from 1972 to 2100 as 2027-03-06T19:30:00.25Z",
                pair.value, pair.column
            );
            Refusal::new(RefusalKind::BadValue, sentence)
        })
    }

    /// Holds that one of the groups of keys is there whole and none of the others is begun.
    pub(super) fn exactly_one_of(&self, groups: &[&[&str]]) -> Result<(), Refusal> {
        let named = |keys: &[&str]| keys.join(" and ");
        let begun: Vec<&[&str]> =
            groups.iter().copied().filter(|keys| keys.iter().any(|key| self.pair(key).is_some())).collect();
        match begun[..] {
            [] => {
                let all: Vec<String> = groups.iter().map(|keys| named(keys)).collect();
                let sentence = format!("{} needs {}", self.verb.name, all.join(", or "));
                Err(Refusal::new(RefusalKind::MissingKey, sentence))
            }
            [keys] => match keys.iter().find(|key| self.pair(key).is_none()) {
                Some(missing) => {
                    let sentence =
                        format!("{} needs {} together; {missing} is missing", self.verb.name, named(keys));
                    Err(Refusal::new(RefusalKind::MissingKey, sentence))
                }
                None => Ok(()),
            },
            [first, second, ..] => {
                let sentence = format!("{} and {} exclude each other", named(first), named(second));
                Err(Refusal::new(RefusalKind::ConflictingKeys, sentence))
            }
        }
    }
}

fn unknown_key(verb: &Verb, pair: &Pair) -> Refusal {
    let names = || verb.keys.iter().map(|key| key.name);
    let remedy = match nearest(&pair.key, names()) {
        Some(near) => format!("did you mean {near}?"),
        None if verb.keys.is_empty() => "it takes no keys".to_owned(),
        None => format!("its keys are {}", names().collect::<Vec<_>>().join(", ")),
    };
    let sentence = format!("{} has no key {} (column {}); {remedy}", verb.name, pair.key, pair.column);
    Refusal::new(RefusalKind::UnknownKey, sentence)
}

impl CivilTime {
    /// Reads `YYYY-MM-DDThh:mm:ss[.fraction]Z`, with at most nine digits of fraction, years 1972 to 2100.
    pub fn parse(text: &str) -> Option<Self> {
        let body = text.strip_suffix(['Z', 'z'])?;
        let (date, time) = body.split_once(['T', 't'])?;
        let (clock, fraction) = time.split_once('.').unwrap_or((time, "0"));
        let [year, month, day] = numbers(date, '-', [4, 2, 2])?;
        let [hour, minute, second] = numbers(clock, ':', [2, 2, 2])?;
        if fraction.is_empty() || fraction.len() > 9 || !fraction.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let nanosecond = format!("{fraction:0<9}").parse().ok()?;
        let in_range = (1972..=2100).contains(&year)
            && (1..=12).contains(&month)
            && (1..=31).contains(&day)
            && hour <= 23
            && minute <= 59
            && second <= 60;
        in_range.then_some(Self {
            year: year as i32,
            month: month as u8,
            day: day as u8,
            hour: hour as u8,
            minute: minute as u8,
            second: second as u8,
            nanosecond,
        })
    }
}

fn numbers(text: &str, separator: char, widths: [usize; 3]) -> Option<[u32; 3]> {
    let mut out = [0; 3];
    let mut parts = text.split(separator);
    for (slot, width) in out.iter_mut().zip(widths) {
        let part = parts.next()?;
        if part.len() != width || !part.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        *slot = part.parse().ok()?;
    }
    parts.next().is_none().then_some(out)
}
