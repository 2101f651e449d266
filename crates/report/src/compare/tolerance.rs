//! How much worse a figure may get: a TOML file of keys and quantities.

use super::figures::{FIGURES, Figure, Unit};
use std::collections::BTreeMap;
use units::{Angle, AngularRate, Quantity, QuantityError, Share, Span, nearest};

/// The key of the tolerance that each target is judged by.
const EACH_MISS: &str = "each_miss";

/// How much worse each figure may get; without a file, by nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tolerance {
    bounds: BTreeMap<&'static str, Bound>,
}

/// One bound, in the unit in which the figure is printed, or as a share of the old value.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Bound {
    By(f64),
    Share(f64),
}

impl Bound {
    fn of(self, old: f64) -> f64 {
        match self {
            Self::By(value) => value,
            Self::Share(share) => share * old.abs(),
        }
    }
}

/// A tolerance file can't be used: what is wrong and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ToleranceError {
    /// It is no TOML.
    #[error("{0}")]
    NoToml(String),
    /// It has a key that no figure has.
    #[error("`{key}` is no figure; {remedy}")]
    UnknownKey {
        /// The key.
        key: String,
        /// The nearest right one.
        remedy: String,
    },
    /// A value can't be read.
    #[error("`{key}`: {sentence}")]
    Unreadable {
        /// The key.
        key: String,
        /// What is wrong and how to mend it.
        sentence: String,
    },
}

impl Tolerance {
    /// Reads a tolerance file: `miss_median = "20 arcsec"` or `"10 %"` of the old value; `in_field = "5 %"` is five of a
    /// hundred targets; `visitors_served = 3`; `each_miss` judges every target by itself.
    ///
    /// # Errors
    /// [`ToleranceError`] at the first key that can't be used.
    pub fn read(text: &str) -> Result<Self, ToleranceError> {
        let table: toml::Table = text.parse().map_err(|error: toml::de::Error| {
            let sentence = error.to_string();
            ToleranceError::NoToml(format!(
                "{}; write lines such as `miss_median = \"20 arcsec\"`",
                sentence.trim_end()
            ))
        })?;
        let mut bounds = BTreeMap::new();
        for (key, value) in &table {
            let (name, unit) = known(key)?;
            let bound = bound(unit, value)
                .map_err(|sentence| ToleranceError::Unreadable { key: key.clone(), sentence })?;
            bounds.insert(name, bound);
        }
        Ok(Self { bounds })
    }

    /// By how much a figure may be worse than it was.
    pub(super) fn allowed(&self, figure: &Figure, old: f64) -> f64 {
        self.bounds.get(figure.key).map_or(0.0, |bound| bound.of(old))
    }

    /// By how many arcseconds each miss may be worse than it was; `None` where targets aren't judged by themselves.
    pub(super) fn each_miss(&self, old: f64) -> Option<f64> {
        self.bounds.get(EACH_MISS).map(|bound| bound.of(old))
    }
}

fn known(key: &str) -> Result<(&'static str, Unit), ToleranceError> {
    if key == EACH_MISS {
        return Ok((EACH_MISS, Unit::Arcsec));
    }
    FIGURES.iter().find(|figure| figure.key == key).map(|figure| (figure.key, figure.unit)).ok_or_else(|| {
        let keys = || FIGURES.iter().map(|figure| figure.key).chain([EACH_MISS]);
        let remedy = match nearest(key, keys()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("write one of {}", keys().collect::<Vec<_>>().join(", ")),
        };
        ToleranceError::UnknownKey { key: key.to_owned(), remedy }
    })
}

fn bound(unit: Unit, value: &toml::Value) -> Result<Bound, String> {
    if unit == Unit::Count {
        let count = value.as_integer().filter(|count| *count >= 0);
        return count
            .map(|count| Bound::By(count as f64))
            .ok_or_else(|| "it is a count; write such as `3`".to_owned());
    }
    let text = value.as_str().ok_or("it is no text; write a quantity in quotes, such as `\"10 %\"`")?;
    let share = text.trim_end().ends_with('%');
    let bound = match unit {
        _ if share => {
            let share = read::<Share>(text)?.fraction();
            // A share of the targets is itself in per cent.
            if unit == Unit::Share { Bound::By(share) } else { Bound::Share(share) }
        }
        Unit::Arcsec => Bound::By(read::<Angle>(text)?.arcsec()),
        Unit::ArcsecPerMinute => Bound::By(read::<AngularRate>(text)?.arcsec() * 60.0),
        Unit::Seconds => Bound::By(read::<Span>(text)?.seconds()),
        Unit::Share | Unit::Count => return Err("it is a share; write such as `\"5 %\"`".to_owned()),
    };
    match bound {
        Bound::By(value) | Bound::Share(value) if value < 0.0 => {
            Err("it is less than nothing; write how much worse the figure may get".to_owned())
        }
        bound => Ok(bound),
    }
}

fn read<Q: Quantity>(text: &str) -> Result<Q, String> {
    Q::parse(text).map_err(|error: QuantityError| error.to_string())
}
