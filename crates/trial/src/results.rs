//! A trial for eyes and for programs.

use crate::run::TrialOutcome;
use bench::{TrialAccount, utc_text};
use serde_json::{Value, json};
use units::Instant;

/// How many refusals are told one by one.
const REFUSALS_SHOWN: usize = 20;

/// `trial.json`: what a trial came to beside `night.json`.
pub fn trial_json(outcome: &TrialOutcome) -> Value {
    let account = &outcome.account;
    let instant = |at: Instant| utc_text(at, 6).unwrap_or_else(|error| error.to_string());
    let refusals: Vec<Value> = account
        .refusals
        .iter()
        .map(|(at, line, reply)| json!({ "utc": instant(*at), "line": line, "reply": reply }))
        .collect();
    let recoveries: Vec<Value> = account
        .recoveries
        .iter()
        .map(|one| {
            json!({
                "struck_utc": instant(one.struck),
                "recovered_utc": one.recovered.map(instant),
                "seconds": one.recovered.map(|at| (at - one.struck).seconds()),
            })
        })
        .collect();
    json!({
        "format": 1,
        "scenario_digest": outcome.night.scenario_digest,
        "seed": outcome.night.seed,
        "held": outcome.held(),
        "ending": outcome.ending.word(),
        "ending_sentence": outcome.ending.sentence(),
        "targets": account.targets,
        "targets_reached": account.reached,
        "connections": account.connections,
        "lines": account.lines,
        "bytes": account.bytes,
        "events": account.events,
        "lines_repeated": account.repeated,
        "refusals": refusals,
        "refusals_ignored": account.refusals_ignored,
        "arrivals": account.arrivals,
        "arrivals_with_play_taken_up": account.taken_up,
        "idle_lines": account.idle_lines,
        "motion_after_stop_arcsec": account.motion_after_stop.arcsec(),
        "limits_met": account.limits_met,
        "sun_distance_deg": account.sun_distance.map(units::Angle::degrees),
        "recoveries": recoveries,
        "recovery_seconds": account.recovery_time.seconds(),
        "never_recovered": account.never_recovered,
    })
}

/// The trial in lines for eyes, to stand under the night's table.
pub fn trial_text(outcome: &TrialOutcome) -> String {
    let TrialAccount { targets, reached, connections, lines, repeated, .. } = outcome.account;
    let account = &outcome.account;
    let mut text = format!(
        "The program: {}.\n  {reached} of {targets} targets reached; {connections} connections, {lines} lines, {repeated} sent again; {} refused\n",
        outcome.ending.sentence(),
        account.refusals.len()
    );
    if !account.recoveries.is_empty() {
        text.push_str(&format!(
            "  {} blows to recover from, the longest took {:.1} s; {} never\n",
            account.recoveries.len(),
            account.recovery_time.seconds(),
            account.never_recovered
        ));
    }
    for (_, line, reply) in account.refusals.iter().take(REFUSALS_SHOWN) {
        text.push_str(&format!("  refused: {} -> {}\n", report::harmless(line), report::harmless(reply)));
    }
    text
}
