//! A lesson that is being done: which step, since when, what was answered.

use crate::facts::{Evidence, Mark, Value as Found, field};
use crate::lesson::{Condition, Lesson, Question};
use bench::live::Live;
use serde_json::{Value, json};

/// A lesson under way.
pub(crate) struct Running {
    pub(crate) lesson: Lesson,
    /// Steps that are done.
    done: usize,
    mark: Mark,
    /// What was measured when the last step was done, for a question about something that passes.
    kept: Option<f64>,
    answer: Option<Answer>,
    tries: u64,
}

#[derive(Clone, Debug, PartialEq)]
struct Answer {
    given: String,
    right: bool,
    measured: Option<f64>,
}

impl Running {
    pub(crate) fn begin(lesson: Lesson, live: &mut Live) -> Self {
        Self { lesson, done: 0, mark: Mark::now(live), kept: None, answer: None, tries: 0 }
    }

    /// The number of the present step, from 0 on; none once all are done.
    pub(crate) fn step(&self) -> Option<usize> {
        (self.done < self.lesson.steps.len()).then_some(self.done)
    }

    /// Looks whether the present step is done; at most one by each look. Whether it was. A step is never done while a key is
    /// held or a slew is under way: what moves would count for the next one.
    pub(crate) fn look(&mut self, live: &mut Live) -> bool {
        let Some(step) = self.step() else { return false };
        let picture = live.picture();
        if matches!(field(&picture.told.status, "state"), Some("nudging" | "slewing" | "stopping")) {
            return false;
        }
        let mut evidence = Evidence { live, now: &picture, mark: &self.mark };
        if !self.lesson.steps[step].done.iter().all(|condition| holds(condition, &mut evidence)) {
            return false;
        }
        if step + 1 == self.lesson.steps.len() {
            self.kept = measured(&self.lesson.question, &mut evidence);
            self.done += 1;
            return true;
        }
        self.done += 1;
        self.mark = Mark::now(live);
        true
    }

    /// Takes an answer to the question, once all steps are done.
    ///
    /// # Errors
    /// A sentence: too early, or no number.
    pub(crate) fn answer(&mut self, given: &str, live: &mut Live) -> Result<(), String> {
        if self.step().is_some() {
            return Err("do the steps first, then answer".to_owned());
        }
        let question = &self.lesson.question;
        let number: f64 = given.trim().replace(',', ".").parse().map_err(|_| {
            format!("`{}` is no number; write one, such as 12.5", given.chars().take(20).collect::<String>())
        })?;
        let (right, found) = match question.right {
            Some(right) => (number == right as f64, None),
            None => {
                let picture = live.picture();
                let mut evidence = Evidence { live, now: &picture, mark: &self.mark };
                let now = measured(question, &mut evidence);
                let found = if question.kept { self.kept } else { now.or(self.kept) };
                let within = question.within.unwrap_or(0.0);
                (found.is_some_and(|found| (number.abs() - found).abs() <= within), found)
            }
        };
        self.tries += 1;
        let given = given.trim().chars().take(20).collect();
        self.answer = Some(Answer { given, right, measured: found });
        Ok(())
    }

    /// As everybody may see it. The measured answer is told with the answer given, not before.
    pub(crate) fn value(&self) -> Value {
        json!({
            "name": self.lesson.name,
            "steps": self.lesson.steps.len(),
            "done": self.done,
            "tries": self.tries,
            "answer": self.answer.as_ref().map(|answer| json!({
                "given": answer.given, "right": answer.right, "measured": answer.measured,
            })),
        })
    }

    #[cfg(test)]
    pub(crate) fn measured(&self, live: &mut Live) -> Option<f64> {
        let picture = live.picture();
        let mut evidence = Evidence { live, now: &picture, mark: &self.mark };
        let now = measured(&self.lesson.question, &mut evidence);
        if self.lesson.question.kept { self.kept } else { now.or(self.kept) }
    }

    #[cfg(test)]
    pub(crate) fn facts_of_step(&self, live: &mut Live) -> Vec<String> {
        let Some(step) = self.step() else { return Vec::new() };
        let picture = live.picture();
        let mut evidence = Evidence { live, now: &picture, mark: &self.mark };
        let said =
            |condition: &Condition| format!("{} = {:?}", condition.fact, evidence.value(&condition.fact));
        self.lesson.steps[step].done.iter().map(said).collect()
    }
}

fn holds(condition: &Condition, evidence: &mut Evidence<'_>) -> bool {
    match (evidence.value(&condition.fact), &condition.is) {
        (Found::Word(word), Some(is)) => word.eq_ignore_ascii_case(is),
        (Found::Number(number), None) => {
            condition.at_least.is_none_or(|least| number >= least)
                && condition.at_most.is_none_or(|most| number <= most)
        }
        _ => false,
    }
}

fn measured(question: &Question, evidence: &mut Evidence<'_>) -> Option<f64> {
    match evidence.value(question.fact.as_deref()?) {
        Found::Number(number) => Some(number),
        Found::Word(_) | Found::Nothing => None,
    }
}
