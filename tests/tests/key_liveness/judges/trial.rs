//! What is expected of a program on trial: a good one is let loose on both nights.

use super::{Verdict, hold};
use crate::night::Case;
use bench::Prepared;
use tests::program::{GOOD, Program};

/// The expectation that was changed held before, and doesn't now; in a person's night there is nothing to measure.
pub fn no_longer_held(case: &Case) -> Verdict {
    let key = case.change().0.trim_start_matches("expect.");
    let held = |prepared: &Prepared| {
        let mut device = prepared.on_trial();
        // What it came to is judged, not whether it got through.
        let _ = Program::new(&mut device, GOOD).evening(prepared);
        let (outcome, _) = device.outcome(prepared);
        outcome.verdicts.iter().find(|verdict| verdict.key == key).map(|verdict| verdict.held)
    };
    hold(held(&case.base_night()) == Some(true), "it doesn't hold beforehand")?;
    hold(held(&case.changed_night()) == Some(false), "it holds all the same")?;
    let of_a_person = case.base.verdicts.iter().find(|verdict| verdict.key == key);
    hold(of_a_person.is_some_and(|verdict| !verdict.held), "a person's night has something to measure")
}
