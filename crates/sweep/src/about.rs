//! What a sweep is of: everything that its results need to know beside the nights' rows.

use scenario::{Expect, Level, Study};
use serde_json::{Value, json};

/// What a sweep is of. It stands at the head of every file of rows, so that results can be made from those alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct About {
    /// The file's title.
    pub title: String,
    /// Hash over everything that decides the nights and their cases.
    pub digest: String,
    /// The program's version.
    pub version: String,
    /// Which mathematics the rows rest on.
    pub maths_fingerprint: String,
    /// The number of the first night.
    pub first_night: u64,
    /// How many nights there are in all.
    pub nights: u64,
    /// Whether dwells were sampled.
    pub tracking: bool,
    /// The cases, the first of which the others are held against.
    pub cases: Vec<CaseAbout>,
    /// What differs from night to night: key and unit.
    pub inputs: Vec<(String, String)>,
}

/// One case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CaseAbout {
    /// A name for people.
    pub label: String,
    /// The strategy's name; empty where the file has none.
    pub strategy: String,
    /// The values of the factors.
    pub levels: Vec<Level>,
    /// What it is expected to hold, as lines of a scenario: `expect.in_field = ">= 90 %"`.
    pub expected: Vec<String>,
}

impl CaseAbout {
    /// What it is expected to hold.
    pub(crate) fn expect(&self) -> Expect {
        if self.expected.is_empty() {
            return Expect::default();
        }
        // The least that a scenario has; only the expectations are looked at.
        let text = format!(
            "format = 1\nnight.begin = 2027-03-06T20:30:00Z\nnight.length = \"1 h\"\nsite.latitude = \"0 deg\"\n\
             site.longitude = \"0 deg\"\nmount.kind = \"alt-azimuth\"\n{}\n",
            self.expected.join("\n")
        );
        scenario::read(&text).map(|plan| plan.expect).unwrap_or_default()
    }
}

impl About {
    /// What a sweep of so many nights of a study is of.
    ///
    /// # Errors
    /// The bench's complaints where a case can't be played even at the middle of all its distributions.
    pub fn of(study: &Study<'_>, nights: u64) -> Result<Self, Vec<scenario::Complaint>> {
        let mut inputs: Vec<(String, String)> = Vec::new();
        for (index, case) in study.cases().iter().enumerate() {
            let prepared = bench::prepare(case.typical())?;
            if index == 0 {
                inputs.extend(
                    prepared.inputs().iter().map(|input| (input.key.to_owned(), input.unit.to_owned())),
                );
            }
        }
        for drawn in study.cases()[0].drawn() {
            if !inputs.iter().any(|(key, _)| *key == drawn.key) {
                inputs.push((drawn.key.clone(), drawn.unit.to_owned()));
            }
        }
        let title = study.cases()[0].typical().night.title.clone();
        Ok(Self {
            title: title.unwrap_or_else(|| "A sweep without a title".to_owned()),
            digest: study.digest(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
            maths_fingerprint: bench::maths_fingerprint().to_owned(),
            first_night: study.first_night(),
            nights,
            tracking: study.vary().tracking.unwrap_or(true),
            cases: study
                .cases()
                .iter()
                .map(|case| CaseAbout {
                    label: case.label(),
                    strategy: case.strategy().to_owned(),
                    levels: case.levels().to_vec(),
                    expected: case
                        .typical()
                        .canonical_toml()
                        .lines()
                        .filter(|line| line.starts_with("expect."))
                        .map(str::to_owned)
                        .collect(),
                })
                .collect(),
            inputs,
        })
    }

    /// The index of the case that another is held against: the first strategy at the same values of the factors. `None`
    /// for those of the first strategy itself.
    pub fn against(&self, case: usize) -> Option<usize> {
        let of = &self.cases[case];
        if of.strategy == self.cases[0].strategy {
            return None;
        }
        self.cases
            .iter()
            .position(|other| other.strategy == self.cases[0].strategy && other.levels == of.levels)
    }

    /// As JSON, for the head of a file.
    pub(crate) fn json(&self) -> Value {
        let level = |level: &Level| json!({ "key": level.key, "value": level.text });
        let case = |case: &CaseAbout| {
            json!({
                "label": case.label,
                "strategy": case.strategy,
                "factors": case.levels.iter().map(level).collect::<Vec<_>>(),
                "expect": case.expected,
            })
        };
        json!({
            "title": self.title,
            "plan_digest": self.digest,
            "version": self.version,
            "maths_fingerprint": self.maths_fingerprint,
            "first_night": self.first_night,
            "nights": self.nights,
            "tracking": self.tracking,
            "cases": self.cases.iter().map(case).collect::<Vec<_>>(),
            "inputs": self.inputs.iter().map(|(key, unit)| json!({ "key": key, "unit": unit })).collect::<Vec<_>>(),
        })
    }

    /// From that JSON; `None` for anything else.
    pub(crate) fn read(json: &Value) -> Option<Self> {
        let text = |value: &Value, key: &str| value.get(key)?.as_str().map(str::to_owned);
        let level = |value: &Value| Some(Level { key: text(value, "key")?, text: text(value, "value")? });
        let case = |value: &Value| {
            Some(CaseAbout {
                label: text(value, "label")?,
                strategy: text(value, "strategy")?,
                levels: value.get("factors")?.as_array()?.iter().map(level).collect::<Option<_>>()?,
                expected: value
                    .get("expect")?
                    .as_array()?
                    .iter()
                    .map(|line| line.as_str().map(str::to_owned))
                    .collect::<Option<_>>()?,
            })
        };
        let cases: Vec<CaseAbout> = json.get("cases")?.as_array()?.iter().map(case).collect::<Option<_>>()?;
        let inputs = json.get("inputs")?.as_array()?.iter();
        Some(Self {
            title: text(json, "title")?,
            digest: text(json, "plan_digest")?,
            version: text(json, "version")?,
            maths_fingerprint: text(json, "maths_fingerprint")?,
            first_night: json.get("first_night")?.as_u64()?,
            nights: json.get("nights")?.as_u64()?,
            tracking: json.get("tracking")?.as_bool()?,
            cases: if cases.is_empty() { return None } else { cases },
            inputs: inputs
                .map(|input| Some((text(input, "key")?, text(input, "unit")?)))
                .collect::<Option<_>>()?,
        })
    }
}
