//! How long, how often, and names.

use super::{Verdict, figures, hold};
use crate::night::{Case, EAST, WEST};
use bench::GotoOutcome;
use units::Span;

/// A night that ends during the first dwell cuts it there, and no later target is reached.
pub fn length_cuts_the_dwell(case: &Case) -> Verdict {
    let (before, after) = (&case.base.dwells[EAST], &case.changed.dwells[EAST]);
    hold(after.begin == before.begin, "the dwell begins at another instant")?;
    let left = case.begin() + Span::from_whole_seconds(480) - after.begin;
    hold(after.length == left, "the dwell does not end with the night")?;
    hold(case.base.gotos[WEST].outcome == GotoOutcome::Arrived, "the whole night reached nothing more")?;
    hold(case.changed.gotos[WEST].outcome == GotoOutcome::NightOver, "a target was reached after the end")
}

/// A perfect night draws nothing: the seed is repeated, and neither digest nor figures change.
pub fn seed_alone(case: &Case) -> Verdict {
    hold((case.base.seed, case.changed.seed) == (7, 8), "the seed is not repeated")?;
    hold(case.base.scenario_digest == case.changed.scenario_digest, "the digest depends on the seed")?;
    hold(figures(&case.base) == figures(&case.changed), "a figure changed")
}

/// Ten minutes have 601 samples a second apart, both ends counted, and 301 two seconds apart.
pub fn half_the_samples(case: &Case) -> Verdict {
    let counts = (case.base.samples.len(), case.changed.samples.len());
    hold(counts == (601, 301), &format!("the samples are {counts:?}"))
}

/// Five minutes are three hundred seconds, and the next target comes as much earlier.
pub fn half_the_dwell(case: &Case) -> Verdict {
    let five_minutes = Span::from_whole_seconds(300);
    hold(case.changed.dwells[EAST].length == five_minutes, "the dwell has another length")?;
    let (before, after) = case.looks(WEST);
    // Where the slew goes from and to has moved with the sky by 1.25°.
    let earlier = (before.at - after.at - five_minutes).seconds().abs();
    hold(earlier < 1.0, &format!("the next look is off by {earlier} s"))
}
