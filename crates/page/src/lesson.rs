//! A lesson as a file that a teacher can write: a night to begin with, steps that the page recognises as done, a question with a
//! measured answer, and what is behind it. The manual's page `docs/reference/lesson-files.md` has every key.

use crate::facts;
use serde::Deserialize;

/// The largest lesson file that is read, in bytes.
const BYTES_MOST: usize = 64 * 1024;
const STEPS_MOST: usize = 20;

/// Why a lesson can't be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{name}: {problem}")]
pub struct LessonError {
    /// The file.
    pub name: String,
    /// What is wrong, where, and what was expected.
    pub problem: String,
}

/// One lesson.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lesson {
    /// The name by which it is asked for: its file's, without the ending.
    #[serde(skip)]
    pub name: String,
    /// Version of the form; 1.
    pub format: u64,
    /// What it is called.
    pub title: String,
    /// Its place among the lessons; those of the same place go by name.
    #[serde(default)]
    pub order: u64,
    /// How long it takes, in minutes.
    pub minutes: u64,
    /// What can be told afterwards.
    pub goal: String,
    /// A warning about what can hurt outside.
    pub caution: Option<String>,
    /// The night that it begins with: a scenario file.
    pub scenario: String,
    /// Errors whose sliders are shown; all if left out.
    pub errors: Option<Vec<String>>,
    /// Which panel is of most use: `eyepiece`, `gear`, `sky` or `time`.
    pub panel: Panel,
    /// Which axis is drawn from the inside: 1 or 2.
    #[serde(default = "first_axis")]
    pub axis: u64,
    /// What is done, in this order.
    #[serde(rename = "step")]
    pub steps: Vec<Step>,
    /// What is asked in the end.
    pub question: Question,
    /// What is behind it.
    pub explanation: Explanation,
    /// What a teacher wants to know.
    pub handout: Handout,
}

fn first_axis() -> u64 {
    1
}

/// A panel of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Panel {
    /// Through the eyepiece.
    Eyepiece,
    /// Inside the gear.
    Gear,
    /// Where it thinks, where it is.
    Sky,
    /// Over time.
    Time,
}

/// One step.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// What is to be done.
    pub say: String,
    /// Help for whoever is stuck.
    pub hint: String,
    /// When it is done: all of these at once.
    pub done: Vec<Condition>,
    /// How the page does it by itself when asked.
    pub show: Vec<Show>,
}

/// One condition on the mount's state.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Condition {
    /// Name of a fact.
    pub fact: String,
    /// The word that it is.
    pub is: Option<String>,
    /// Its size is at least this, in the fact's unit.
    pub at_least: Option<f64>,
    /// Its size is at most this.
    pub at_most: Option<f64>,
}

/// One thing that the page does to show a step: exactly one of `line`, `wait`, `set` with `to`, `knock`, `centre`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Show {
    /// A line for the mount.
    pub line: Option<String>,
    /// Seconds of the mount's time that pass.
    pub wait: Option<f64>,
    /// An error, by its name
    pub set: Option<String>,
    /// and its new value in its unit.
    pub to: Option<f64>,
    /// A knock at the first axis, in arcminutes.
    pub knock: Option<f64>,
    /// The direction keys bring the target to the middle.
    pub centre: Option<bool>,
}

/// The same, read.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed<'a> {
    /// A line for the mount.
    Line(&'a str),
    /// So many seconds of the mount's time pass.
    Wait(f64),
    /// An error gets a value.
    Set(&'a str, f64),
    /// The first axis is knocked by so many arcminutes.
    Knock(f64),
    /// The direction keys bring the target to the middle.
    Centre,
}

/// What is asked in the end: with `choices` one of them is `right`, else a number is measured.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// The question.
    pub ask: String,
    /// Help for whoever is stuck.
    pub hint: String,
    /// Answers to choose from,
    pub choices: Option<Vec<String>>,
    /// and the number of the right one, from 1 on.
    pub right: Option<usize>,
    /// The fact that is asked for, by its size,
    pub fact: Option<String>,
    /// how far an answer may be off, in the fact's unit,
    pub within: Option<f64>,
    /// and, where the fact passes, the number that a right answer had at the end of the last step.
    #[serde(default)]
    pub kept: bool,
}

/// What is behind it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Explanation {
    /// Some paragraphs, a blank line between.
    pub text: String,
    /// The formula, as it is written in one line.
    pub formula: String,
    /// What its letters mean.
    pub letters: String,
}

/// The teacher's sheet.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Handout {
    /// What pupils have to know before.
    pub before: String,
    /// What they tend to think, and what to ask them then.
    pub beware: String,
    /// What to do with a real mount afterwards, with its cautions.
    pub outside: String,
    /// Headings of a table for their own measurements.
    pub table: Vec<String>,
}

const BUILT_IN: &[(&str, &str)] = &[
    ("backlash", include_str!("../lessons/backlash.toml")),
    ("same-way", include_str!("../lessons/same-way.toml")),
    ("take-up", include_str!("../lessons/take-up.toml")),
    ("watch", include_str!("../lessons/watch.toml")),
    ("wave", include_str!("../lessons/wave.toml")),
    ("polar-drift", include_str!("../lessons/polar-drift.toml")),
    ("drift-method", include_str!("../lessons/drift-method.toml")),
    ("one-hour", include_str!("../lessons/one-hour.toml")),
    ("cone", include_str!("../lessons/cone.toml")),
    ("two-or-three", include_str!("../lessons/two-or-three.toml")),
    ("one-is-enough", include_str!("../lessons/one-is-enough.toml")),
    ("knock", include_str!("../lessons/knock.toml")),
    ("zenith", include_str!("../lessons/zenith.toml")),
];

impl Lesson {
    /// The lessons that come with the program, in their order.
    pub fn built_in() -> Vec<Self> {
        let read = |(name, text): &(&str, &str)| {
            Self::read(name, text)
                .unwrap_or_else(|error| unreachable!("a lesson of our own is good: {error}"))
        };
        sorted(BUILT_IN.iter().map(read).collect())
    }

    /// Reads a lesson; `name` is its file's without the ending.
    ///
    /// # Errors
    /// What is wrong with the file: a key or a form that isn't known with its line and column, a fact or an error that there
    /// isn't, a scenario that can't be played.
    pub fn read(name: &str, text: &str) -> Result<Self, LessonError> {
        let error = |problem: String| LessonError { name: name.to_owned(), problem };
        if text.len() > BYTES_MOST {
            return Err(error(format!("the file has {} bytes; {BYTES_MOST} are the most", text.len())));
        }
        let is_name = |c: char| c.is_ascii_alphanumeric() || c == '-';
        if name.is_empty() || name.len() > 40 || !name.chars().all(is_name) {
            return Err(error("call the file by at most 40 letters, digits and hyphens".to_owned()));
        }
        let mut lesson: Self = toml::from_str(text).map_err(|problem| error(problem.to_string()))?;
        lesson.name = name.to_owned();
        lesson.check().map_err(error)?;
        Ok(lesson)
    }

    fn check(&self) -> Result<(), String> {
        if self.format != 1 {
            return Err(format!("format = {} isn't known; write format = 1", self.format));
        }
        if !(1..=2).contains(&self.axis) {
            return Err(format!("axis = {}: write 1 or 2", self.axis));
        }
        if self.steps.is_empty() || self.steps.len() > STEPS_MOST {
            return Err(format!("a lesson has 1 to {STEPS_MOST} steps; this one has {}", self.steps.len()));
        }
        for (index, step) in self.steps.iter().enumerate() {
            let place = format!("step {}", index + 1);
            if step.done.is_empty() {
                return Err(format!(
                    "{place}: `done` is empty, so that it could never be recognised; add a condition"
                ));
            }
            for condition in &step.done {
                condition.check().map_err(|problem| format!("{place}: {problem}"))?;
            }
            for show in &step.show {
                show.deed().map_err(|problem| format!("{place}: {problem}"))?;
            }
        }
        let names: Vec<&str> = bench::live::TRIMS.iter().map(|trim| trim.name).collect();
        let shown = self.steps.iter().flat_map(|step| &step.show).filter_map(|show| show.set.as_deref());
        for name in self.errors.iter().flatten().map(String::as_str).chain(shown) {
            if !names.contains(&name) {
                return Err(facts::unknown("an error", name, names.iter().copied()));
            }
        }
        self.question.check().map_err(|problem| format!("question: {problem}"))?;
        bench::live::read_night(&self.scenario).map_err(|problem| format!("scenario: {problem}"))?;
        Ok(())
    }
}

/// Lessons in their order.
pub fn sorted(mut lessons: Vec<Lesson>) -> Vec<Lesson> {
    lessons.sort_by(|one, other| (one.order, &one.name).cmp(&(other.order, &other.name)));
    lessons
}

impl Condition {
    fn check(&self) -> Result<(), String> {
        let fact = facts::find(&self.fact)?;
        match (fact.unit, &self.is, self.at_least.or(self.at_most)) {
            (None, Some(_), None) | (Some(_), None, Some(_)) => Ok(()),
            (None, ..) => Err(format!("`{}` is a word; write is = \"…\" and no bounds", self.fact)),
            (Some(unit), ..) => {
                Err(format!("`{}` is a number in {unit}; write at_least or at_most, and no word", self.fact))
            }
        }
    }
}

impl Show {
    /// What it does.
    ///
    /// # Errors
    /// If it isn't exactly one of the four.
    pub fn deed(&self) -> Result<Deed<'_>, String> {
        let given = [
            self.line.as_deref().map(Deed::Line),
            self.wait.filter(|seconds| *seconds > 0.0 && *seconds <= 7200.0).map(Deed::Wait),
            self.set.as_deref().zip(self.to).map(|(name, value)| Deed::Set(name, value)),
            self.knock.map(Deed::Knock),
            self.centre.filter(|centre| *centre).map(|_| Deed::Centre),
        ];
        let keys = [self.line.is_some(), self.wait.is_some(), self.set.is_some() || self.to.is_some()];
        let keys = keys.into_iter().chain([self.knock.is_some(), self.centre.is_some()]);
        let mut given = given.into_iter().flatten();
        match (given.next(), keys.filter(|key| *key).count()) {
            (Some(deed), 1) => Ok(deed),
            _ => Err("each entry of `show` is one of: line, wait (up to 7200 seconds), set with to, knock, centre = true"
                .to_owned()),
        }
    }
}

impl Question {
    fn check(&self) -> Result<(), String> {
        match (&self.choices, self.right, &self.fact, self.within) {
            (Some(choices), Some(right), None, None) if (1..=choices.len()).contains(&right) => Ok(()),
            (None, None, Some(name), Some(within)) if within > 0.0 => {
                let fact = facts::find(name)?;
                match fact.unit {
                    Some(_) => Ok(()),
                    None => Err(format!("`{name}` is a word; ask for a number, or give `choices`")),
                }
            }
            _ => Err("give `choices` with `right`, or `fact` with `within`".to_owned()),
        }
    }
}

#[cfg(test)]
mod tests;
