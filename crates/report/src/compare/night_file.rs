//! `night.json` read back, as far as a comparison needs it.

use serde_json::Value;
use std::collections::BTreeMap;

/// A night as its file tells of it.
#[derive(Clone, Debug, PartialEq)]
pub struct NightFile {
    pub(super) title: String,
    pub(super) seed: u64,
    pub(super) scenario_digest: String,
    pub(super) version: String,
    pub(super) maths_fingerprint: String,
    summary: BTreeMap<String, f64>,
    pub(super) targets: Vec<Target>,
}

/// One target of a night.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Target {
    pub(super) name: String,
    pub(super) outcome: String,
    pub(super) in_field: bool,
    /// In arcseconds; none if nobody looked.
    pub(super) miss: Option<f64>,
}

/// A text is no `night.json` that can be read, and how to mend that.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NightFileError {
    /// It is no JSON.
    #[error("it is no JSON ({0}); name a night.json, or the folder that holds it")]
    NoJson(String),
    /// It is JSON of another kind.
    #[error("it has no `{0}` as a night.json has; name a night.json, or the folder that holds it")]
    Missing(&'static str),
    /// Its format is a later one.
    #[error("its format is {0}, this version reads format 1; use the version that wrote it")]
    OtherFormat(String),
}

impl NightFile {
    /// Reads the text of a `night.json`. Fields that a comparison doesn't need are passed over.
    ///
    /// # Errors
    /// [`NightFileError`] for what is no JSON, is no night, or has a later format.
    pub fn read(text: &str) -> Result<Self, NightFileError> {
        let night: Value =
            serde_json::from_str(text).map_err(|error| NightFileError::NoJson(error.to_string()))?;
        let format = night.get("format").ok_or(NightFileError::Missing("format"))?;
        if format.as_u64() != Some(1) {
            return Err(NightFileError::OtherFormat(format.to_string()));
        }
        let text = |key: &'static str| -> Result<String, NightFileError> {
            night.get(key).and_then(Value::as_str).map(str::to_owned).ok_or(NightFileError::Missing(key))
        };
        let summary =
            night.get("summary").and_then(Value::as_object).ok_or(NightFileError::Missing("summary"))?;
        let gotos = night.get("gotos").and_then(Value::as_array).ok_or(NightFileError::Missing("gotos"))?;
        Ok(Self {
            title: text("title")?,
            seed: night.get("seed").and_then(Value::as_u64).ok_or(NightFileError::Missing("seed"))?,
            scenario_digest: text("scenario_digest")?,
            version: text("version")?,
            maths_fingerprint: text("maths_fingerprint")?,
            summary: summary.iter().filter_map(|(key, value)| Some((key.clone(), value.as_f64()?))).collect(),
            targets: gotos
                .iter()
                .map(target)
                .collect::<Option<_>>()
                .ok_or(NightFileError::Missing("gotos[].target"))?,
        })
    }

    /// A figure of the summary; `None` where the night had nothing to measure.
    pub(super) fn figure(&self, field: &str) -> Option<f64> {
        self.summary.get(field).copied()
    }
}

fn target(row: &Value) -> Option<Target> {
    Some(Target {
        name: row.get("target")?.as_str()?.to_owned(),
        outcome: row.get("outcome")?.as_str()?.to_owned(),
        in_field: row.get("in_field")?.as_bool()?,
        miss: row.get("miss_arcsec")?.as_f64(),
    })
}
