//! Scenarios × faults × seeds: many trials side by side, and the fewest faults with which a failure still fails.

use crate::run::{Options, TrialError, TrialOutcome, run};
use bench::Prepared;
use faults::Order;
use std::collections::VecDeque;
use tokio::task::JoinSet;
use world::WorldSpec;

/// One trial of a matrix.
#[derive(Clone, Debug)]
pub struct Cell {
    /// The scenario's name.
    pub scenario: String,
    /// The fault that is added, in the words of a command line.
    pub fault: Option<String>,
    /// The seed.
    pub seed: u64,
    /// The night with all of it.
    pub prepared: Prepared,
}

/// What became of one.
#[derive(Debug)]
pub struct CellOutcome {
    /// Which.
    pub cell: Cell,
    /// What it came to.
    pub outcome: Result<TrialOutcome, TrialError>,
    /// Where it failed with several things going wrong: the fewest of them with which it still fails; empty if it fails without
    /// any.
    pub fewest: Option<Vec<String>>,
}

impl CellOutcome {
    /// Whether everything held.
    pub fn held(&self) -> bool {
        self.outcome.as_ref().is_ok_and(TrialOutcome::held)
    }
}

/// Adds faults to a night.
pub fn with_faults(prepared: &Prepared, orders: &[Order]) -> Prepared {
    let mut world = prepared.world_spec().clone();
    world.faults.extend(orders.iter().cloned());
    prepared.with_world(world)
}

/// Holds all trials, so many at once; `told` hears of each as it ends. The outcomes stand in the order of the cells.
///
/// To be called within a tokio runtime's local set or a current-thread runtime: each trial is a task.
pub async fn hold(
    cells: Vec<Cell>,
    program: &[String],
    options: &Options,
    at_once: usize,
    mut told: impl FnMut(&CellOutcome),
) -> Vec<CellOutcome> {
    let mut waiting: VecDeque<(usize, Cell)> = cells.into_iter().enumerate().collect();
    let mut under_way = JoinSet::new();
    let mut done: Vec<(usize, CellOutcome)> = Vec::new();
    loop {
        while under_way.len() < at_once.max(1) {
            let Some((number, cell)) = waiting.pop_front() else { break };
            let (program, options) = (program.to_vec(), options.clone());
            under_way.spawn(async move { (number, one(cell, &program, &options).await) });
        }
        match under_way.join_next().await {
            None => break,
            Some(Ok((number, outcome))) => {
                told(&outcome);
                done.push((number, outcome));
            }
            Some(Err(error)) => std::panic::resume_unwind(error.into_panic()),
        }
    }
    done.sort_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, outcome)| outcome).collect()
}

async fn one(cell: Cell, program: &[String], options: &Options) -> CellOutcome {
    let outcome = run(&cell.prepared, program, options).await;
    let failed = outcome.as_ref().is_ok_and(|outcome| !outcome.held());
    let fewest = if failed { shrink(&cell.prepared, program, options).await } else { None };
    CellOutcome { cell, outcome, fewest }
}

/// What goes wrong in a night, by place: disturbances first, then faults.
fn troubles(world: &WorldSpec) -> Vec<String> {
    let struck = world.disturbances.iter().map(|(_, disturbance)| disturbance.word().to_owned());
    struck.chain(world.faults.iter().map(Order::text)).collect()
}

/// The night with those of its troubles alone whose places are kept.
fn with_those(world: &WorldSpec, kept: &[usize]) -> WorldSpec {
    let struck = world.disturbances.len();
    let mut fewer = world.clone();
    (fewer.disturbances, fewer.faults) = (Vec::new(), Vec::new());
    for place in kept {
        match place.checked_sub(struck) {
            None => fewer.disturbances.push(world.disturbances[*place].clone()),
            Some(place) => fewer.faults.push(world.faults[place].clone()),
        }
    }
    fewer
}

/// The fewest troubles with which the trial still fails; `None` where there are fewer than two.
///
/// None at all is tried first, then each alone: one that does it by itself isn't hidden behind others. Then one after the other
/// is left out, round by round, until each of those that are left is needed; two are then the fewest for certain.
async fn shrink(prepared: &Prepared, program: &[String], options: &Options) -> Option<Vec<String>> {
    let world = prepared.world_spec();
    let all = troubles(world);
    if all.len() < 2 {
        return None;
    }
    let fails = async |kept: &[usize]| {
        let again = run(&prepared.with_world(with_those(world, kept)), program, options).await;
        again.is_ok_and(|outcome| !outcome.held())
    };
    if fails(&[]).await {
        return Some(Vec::new());
    }
    for (place, alone) in all.iter().enumerate() {
        if fails(&[place]).await {
            return Some(vec![alone.clone()]);
        }
    }
    let mut kept: Vec<usize> = (0..all.len()).collect();
    loop {
        let before = kept.len();
        let mut at = 0;
        while at < kept.len() && kept.len() > 2 {
            let mut fewer = kept.clone();
            fewer.remove(at);
            if fails(&fewer).await {
                kept = fewer;
            } else {
                at += 1;
            }
        }
        if kept.len() == before || kept.len() == 2 {
            return Some(kept.into_iter().map(|place| all[place].clone()).collect());
        }
    }
}
