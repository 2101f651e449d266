//! What each cause cost: the same night without it, and the same night with it alone, all other draws the same.

use crate::causes::{self, Cause};
use crate::outcome::{BudgetRow, GotoRow, Summary};
use crate::prepare::{Prepared, prepare};
use crate::statistics;
use scenario::Plan;
use units::Angle;

/// How a night came out, as far as a budget looks at it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Figures {
    /// Targets in the field.
    pub(crate) in_field: usize,
    /// How many targets there are.
    pub(crate) targets: usize,
    /// Median miss; `None` if no target was reached.
    pub(crate) median: Option<Angle>,
}

impl Figures {
    fn of(gotos: &[GotoRow], summary: &Summary) -> Self {
        let in_field = gotos.iter().filter(|row| row.in_field()).count();
        Self { in_field, targets: gotos.len(), median: summary.miss_median }
    }

    fn share(&self) -> Option<f64> {
        (self.targets > 0).then(|| self.in_field as f64 / self.targets as f64)
    }

    /// Whether this is the better night: more targets in the field, or as many and a smaller median.
    pub(crate) fn better_than(&self, other: &Self) -> bool {
        self.in_field > other.in_field
            || (self.in_field == other.in_field
                && matches!((self.median, other.median), (Some(one), Some(two)) if one < two))
    }
}

/// The night without one of its causes, and with it alone.
pub(crate) struct Weighed {
    cause: &'static Cause,
    pub(crate) without: Figures,
    alone: Option<Figures>,
}

impl Weighed {
    pub(crate) fn name(&self) -> &'static str {
        self.cause.name
    }

    pub(crate) fn row(&self) -> BudgetRow {
        BudgetRow {
            cause: self.name().to_owned(),
            in_field_without: self.without.share(),
            miss_median_without: self.without.median,
            in_field_alone: self.alone.and_then(|alone| alone.share()),
            miss_median_alone: self.alone.and_then(|alone| alone.median),
        }
    }
}

/// All causes of a night, the costliest first.
pub(crate) struct Budget {
    /// The night as it was.
    pub(crate) was: Figures,
    pub(crate) causes: Vec<Weighed>,
    /// The night without the two costliest.
    pub(crate) without_two: Option<Figures>,
}

impl Prepared {
    /// Plays the night again without each of its causes, and with each of them alone: about two nights per cause.
    /// A night without targets has no causes.
    pub(crate) fn budget(&self, gotos: &[GotoRow], summary: &Summary) -> Budget {
        // With every draw of the set-up written into it, so that taking one away draws no other anew.
        let plan = &self.effective;
        let asked = !gotos.is_empty();
        let present: Vec<&'static Cause> =
            causes::all().filter(|cause| asked && (cause.present)(plan)).collect();
        let mut causes: Vec<Weighed> = present
            .iter()
            .filter_map(|cause| {
                let others: Vec<&Cause> =
                    present.iter().filter(|other| other.name != cause.name).copied().collect();
                Some(Weighed {
                    cause,
                    without: played_without(plan, &[cause])?,
                    alone: played_without(plan, &others),
                })
            })
            .collect();
        // Equals keep the order of the list.
        causes.sort_by(|one, other| {
            let median = |weighed: &Weighed| weighed.without.median.map_or(f64::INFINITY, Angle::radians);
            other.without.in_field.cmp(&one.without.in_field).then(median(one).total_cmp(&median(other)))
        });
        let without_two = match causes.as_slice() {
            [first, second, ..] => played_without(plan, &[first.cause, second.cause]),
            _ => None,
        };
        Budget { was: Figures::of(gotos, summary), causes, without_two }
    }
}

/// The night without some causes; `None` where taking them away leaves a plan that can't be played.
fn played_without(plan: &Plan, causes: &[&Cause]) -> Option<Figures> {
    let mut plan = plan.clone();
    for cause in causes {
        (cause.remove)(&mut plan);
    }
    let gotos = prepare(&plan).ok()?.misses();
    let summary = statistics::summary(&gotos, &[], &[], 0);
    Some(Figures::of(&gotos, &summary))
}
