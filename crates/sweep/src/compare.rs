//! Two sweeps side by side: which figures differ by more than chance.

use crate::words::{angle, percent};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// A `sweep.json`, as far as a comparison needs it.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepFile {
    title: String,
    digest: String,
    version: String,
    maths_fingerprint: String,
    cases: Vec<Case>,
}

#[derive(Clone, Debug, PartialEq)]
struct Case {
    label: String,
    /// Value and interval: share in the field, geometric mean of the nights' median misses.
    in_field: Option<(f64, [f64; 2])>,
    miss: Option<(f64, [f64; 2])>,
}

/// A text is no `sweep.json` that can be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SweepFileError {
    /// It is no JSON.
    #[error("it is no JSON ({0}); name a sweep.json, or the folder that holds it")]
    NoJson(String),
    /// It is JSON of another kind.
    #[error("it has no `{0}` as a sweep.json has; name a sweep.json, or the folder that holds it")]
    Missing(&'static str),
}

impl SweepFile {
    /// Reads the text of a `sweep.json`.
    ///
    /// # Errors
    /// [`SweepFileError`].
    pub fn read(text: &str) -> Result<Self, SweepFileError> {
        let sweep: Value =
            serde_json::from_str(text).map_err(|error| SweepFileError::NoJson(error.to_string()))?;
        let text = |key: &'static str| {
            sweep.get(key).and_then(Value::as_str).map(str::to_owned).ok_or(SweepFileError::Missing(key))
        };
        let cases = sweep.get("cases").and_then(Value::as_array).ok_or(SweepFileError::Missing("cases"))?;
        let case = |case: &Value| {
            let figure = |key: &str, interval: &str| {
                let ends = case.get(interval)?.as_array()?;
                Some((case.get(key)?.as_f64()?, [ends.first()?.as_f64()?, ends.get(1)?.as_f64()?]))
            };
            Some(Case {
                label: case.get("label")?.as_str()?.to_owned(),
                in_field: figure("in_field", "in_field_interval"),
                miss: figure("miss_night_median_arcsec", "miss_night_median_interval_arcsec"),
            })
        };
        Ok(Self {
            title: text("title")?,
            digest: text("plan_digest")?,
            version: text("version")?,
            maths_fingerprint: text("maths_fingerprint")?,
            cases: cases
                .iter()
                .map(case)
                .collect::<Option<_>>()
                .ok_or(SweepFileError::Missing("cases[].label"))?,
        })
    }

    /// Whether a text looks like one: so that a night's file goes where nights go.
    pub fn is_one(text: &str) -> bool {
        serde_json::from_str::<Value>(text).is_ok_and(|json| json.get("plan_digest").is_some())
    }
}

/// Two sweeps side by side.
#[derive(Clone, Debug)]
pub struct SweepComparison {
    notices: Vec<String>,
    rows: Vec<Row>,
    apart: Vec<String>,
}

#[derive(Clone, Debug)]
struct Row {
    label: String,
    figure: &'static str,
    old: (f64, [f64; 2]),
    new: (f64, [f64; 2]),
    /// More is better.
    more: bool,
}

impl Row {
    /// `same` where the intervals meet: that may be chance.
    fn change(&self) -> &'static str {
        let ((_, old), (_, new)) = (self.old, self.new);
        let (above, below) = (new[0] > old[1], new[1] < old[0]);
        match (above, below) {
            (false, false) => "same",
            _ if above == self.more => "better",
            _ => "worse",
        }
    }

    fn shown(&self, value: f64) -> String {
        if self.more { percent(value) } else { angle(value) }
    }
}

/// Compares two sweeps, case by case of one name. A figure has changed where its 95 % intervals don't meet.
pub fn compare_sweeps(old: &SweepFile, new: &SweepFile) -> SweepComparison {
    let mut notices = Vec::new();
    let mut differ = |what: &str, old: &str, new: &str, so: &str| {
        if old != new {
            notices.push(format!("The {what} differ ({old}, then {new}): {so}."));
        }
    };
    differ("titles", &old.title, &new.title, "these may be two different studies");
    let short = |digest: &str| digest.chars().take(12).collect::<String>();
    differ("plans", &short(&old.digest), &short(&new.digest), "part of the difference is the plan's");
    differ(
        "versions of the program",
        &old.version,
        &new.version,
        "part of the difference may be the program's",
    );
    differ(
        "mathematics",
        &old.maths_fingerprint,
        &new.maths_fingerprint,
        "last digits may differ by that alone",
    );
    let (mut rows, mut apart) = (Vec::new(), Vec::new());
    for case in &old.cases {
        let Some(after) = new.cases.iter().find(|other| other.label == case.label) else {
            apart.push(format!("`{}` is in the old sweep alone.", case.label));
            continue;
        };
        let mut row = |figure, one: Option<_>, other: Option<_>, more| {
            if let (Some(old), Some(new)) = (one, other) {
                rows.push(Row { label: case.label.clone(), figure, old, new, more });
            }
        };
        row("share in the field", case.in_field, after.in_field, true);
        row("median miss of a night", case.miss, after.miss, false);
    }
    let added = new.cases.iter().filter(|case| old.cases.iter().all(|other| other.label != case.label));
    apart.extend(added.map(|case| format!("`{}` is in the new sweep alone.", case.label)));
    SweepComparison { notices, rows, apart }
}

impl SweepComparison {
    /// Whether any figure got worse by more than chance.
    pub fn is_worse(&self) -> bool {
        self.rows.iter().any(|row| row.change() == "worse")
    }

    /// The comparison for eyes.
    pub fn table(&self) -> String {
        let mut text = String::new();
        for line in self.notices.iter().chain(&self.apart) {
            let _ = writeln!(text, "{}", report::harmless(line));
        }
        for row in &self.rows {
            let ((old, old_ends), (new, new_ends)) = (row.old, row.new);
            let ends = |ends: [f64; 2]| format!("{} to {}", row.shown(ends[0]), row.shown(ends[1]));
            let _ = writeln!(
                text,
                "{:6} {}: {} {} ({}), was {} ({})",
                row.change(),
                report::harmless(&row.label),
                row.figure,
                row.shown(new),
                ends(new_ends),
                row.shown(old),
                ends(old_ends)
            );
        }
        text
    }

    /// The comparison for programs.
    pub fn json(&self) -> String {
        let row = |row: &Row| {
            json!({
                "case": row.label,
                "figure": row.figure,
                "old": row.old.0,
                "old_interval": row.old.1,
                "new": row.new.0,
                "new_interval": row.new.1,
                "change": row.change(),
            })
        };
        let whole = json!({
            "format": 1,
            "notices": self.notices,
            "apart": self.apart,
            "figures": self.rows.iter().map(row).collect::<Vec<_>>(),
        });
        format!("{whole:#}\n")
    }
}
