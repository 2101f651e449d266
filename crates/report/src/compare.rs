//! Two nights side by side: what got better or worse, by how much, and whether that is tolerated.

mod drawn;
mod figures;
mod night_file;
mod tolerance;

pub use drawn::{comparison_html, comparison_json, comparison_table};
pub use night_file::{NightFile, NightFileError};
pub use tolerance::{Tolerance, ToleranceError};

use figures::{FIGURES, Figure, Way};
use night_file::Target;

/// What became of one figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// The same, to the last printed digit or two.
    Same,
    /// Better.
    Better,
    /// Worse, but no more than is tolerated.
    Tolerated,
    /// Worse than is tolerated.
    Worse,
    /// There is only one of the two, so nothing can be said.
    Apart,
}

impl Change {
    /// Its word in results.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Same => "same",
            Self::Better => "better",
            Self::Tolerated => "worse-but-tolerated",
            Self::Worse => "worse",
            Self::Apart => "apart",
        }
    }
}

/// One figure of both nights.
#[derive(Clone, Debug)]
pub struct FigureChange {
    figure: &'static Figure,
    old: Option<f64>,
    new: Option<f64>,
    allowed: f64,
    change: Change,
}

/// One target of both nights; they belong together by name, those of one name by their order.
#[derive(Clone, Debug)]
pub struct TargetChange {
    name: String,
    old: Option<Target>,
    new: Option<Target>,
    change: Change,
}

/// Two nights side by side.
#[derive(Clone, Debug)]
pub struct Comparison {
    titles: [String; 2],
    /// What else differs between the two than how they came out.
    notices: Vec<String>,
    figures: Vec<FigureChange>,
    targets: Vec<TargetChange>,
    /// A sentence for everything that got worse than is tolerated.
    worse: Vec<String>,
}

impl Comparison {
    /// The sentences that say what got worse beyond tolerance; none if all is well.
    pub fn worse(&self) -> &[String] {
        &self.worse
    }

    /// What else differs between the nights: the program, the scenario, the seed, the mathematics.
    pub fn notices(&self) -> &[String] {
        &self.notices
    }
}

/// Compares two nights.
pub fn compare(old: &NightFile, new: &NightFile, tolerance: &Tolerance) -> Comparison {
    let figures: Vec<FigureChange> =
        FIGURES.iter().map(|figure| figure_change(figure, old, new, tolerance)).collect();
    let targets = target_changes(old, new, tolerance);
    let worse = figures
        .iter()
        .filter(|row| row.change == Change::Worse)
        .map(FigureChange::sentence)
        .chain(targets.iter().filter(|row| row.change == Change::Worse).map(TargetChange::sentence))
        .collect();
    Comparison {
        titles: [old.title.clone(), new.title.clone()],
        notices: notices(old, new),
        figures,
        targets,
        worse,
    }
}

/// Everything that makes the two nights unlike before anything was measured.
fn notices(old: &NightFile, new: &NightFile) -> Vec<String> {
    let mut notices = Vec::new();
    let mut differ = |what: &str, old: &str, new: &str, so: &str| {
        if old != new {
            notices.push(format!("The {what} differ ({old}, then {new}): {so}."));
        }
    };
    let short = |digest: &str| digest.chars().take(12).collect::<String>();
    differ(
        "scenarios",
        &short(&old.scenario_digest),
        &short(&new.scenario_digest),
        "these are two different nights",
    );
    differ("seeds", &old.seed.to_string(), &new.seed.to_string(), "part of the difference is chance");
    differ(
        "versions of the program",
        &old.version,
        &new.version,
        "part of the difference may be the program's",
    );
    let so = "the last printed digit may differ by that alone";
    differ("mathematics", &old.maths_fingerprint, &new.maths_fingerprint, so);
    notices
}

fn figure_change(
    figure: &'static Figure,
    old: &NightFile,
    new: &NightFile,
    tolerance: &Tolerance,
) -> FigureChange {
    let (before, after) = (old.figure(figure.field), new.figure(figure.field));
    let allowed = tolerance.allowed(figure, before.unwrap_or(0.0));
    let change = match (before, after) {
        (Some(before), Some(after)) => {
            judged(figure.way.worsening(before, after), allowed, figure.last_digit)
        }
        // Something to measure has gone: that is the worst that can become of a figure.
        (Some(_), None) => Change::Worse,
        (None, _) => Change::Apart,
    };
    FigureChange { figure, old: before, new: after, allowed, change }
}

fn judged(worsening: f64, allowed: f64, last_digit: f64) -> Change {
    // Two nights of one program on two platforms may differ by one unit of the last printed digit each.
    let resolution = 2.0 * last_digit;
    if worsening.abs() <= resolution {
        Change::Same
    } else if worsening < 0.0 {
        Change::Better
    } else if worsening <= allowed + resolution {
        Change::Tolerated
    } else {
        Change::Worse
    }
}

fn target_changes(old: &NightFile, new: &NightFile, tolerance: &Tolerance) -> Vec<TargetChange> {
    let mut left: Vec<Option<&Target>> = new.targets.iter().map(Some).collect();
    let mut rows: Vec<TargetChange> = old
        .targets
        .iter()
        .map(|before| {
            let mut same_name =
                left.iter_mut().filter(|after| after.is_some_and(|after| after.name == before.name));
            let after = same_name.next().and_then(Option::take);
            let change = after.map_or(Change::Apart, |after| target_change(before, after, tolerance));
            TargetChange { name: before.name.clone(), old: Some(before.clone()), new: after.cloned(), change }
        })
        .collect();
    rows.extend(left.into_iter().flatten().map(|after| TargetChange {
        name: after.name.clone(),
        old: None,
        new: Some(after.clone()),
        change: Change::Apart,
    }));
    rows
}

/// A target by itself is judged only where a tolerance for each miss is given: the figures of the night judge them all
/// together.
fn target_change(before: &Target, after: &Target, tolerance: &Tolerance) -> Change {
    match (before.miss, after.miss) {
        (Some(one), Some(two)) => {
            let allowed = tolerance.each_miss(one).unwrap_or(f64::INFINITY);
            judged(two - one, allowed, figures::ARCSEC_DIGIT)
        }
        (Some(_), None) if tolerance.each_miss(0.0).is_some() => Change::Worse,
        (Some(_), None) => Change::Tolerated,
        (None, Some(_)) => Change::Better,
        (None, None) => Change::Same,
    }
}

impl FigureChange {
    fn sentence(&self) -> String {
        let figure = self.figure;
        match (self.old, self.new) {
            (Some(old), Some(new)) => {
                let by = figure.shown(figure.way.worsening(old, new));
                format!(
                    "The {} got worse: {} where it was {}, by {by}; {} is tolerated.",
                    figure.words,
                    figure.shown(new),
                    figure.shown(old),
                    if self.allowed > 0.0 { figure.shown(self.allowed) } else { "nothing".to_owned() }
                )
            }
            (Some(old), None) => {
                format!("The {} can't be measured any more; it was {}.", figure.words, figure.shown(old))
            }
            (None, _) => String::new(),
        }
    }

    /// New less old, where both are there.
    fn difference(&self) -> Option<f64> {
        Some(self.new? - self.old?)
    }
}

impl TargetChange {
    fn sentence(&self) -> String {
        let shown = figures::arcsec;
        match (self.old.as_ref().and_then(|old| old.miss), self.new.as_ref().and_then(|new| new.miss)) {
            (Some(old), Some(new)) => {
                format!("{} got worse: missed by {} where it was {}.", self.name, shown(new), shown(old))
            }
            _ => format!("{} got worse: it wasn't reached any more.", self.name),
        }
    }

    fn difference(&self) -> Option<f64> {
        Some(self.new.as_ref()?.miss? - self.old.as_ref()?.miss?)
    }
}

impl Way {
    /// By how much the new value is worse than the old one.
    fn worsening(self, old: f64, new: f64) -> f64 {
        match self {
            Self::Less => new - old,
            Self::More => old - new,
        }
    }
}
