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
    /// The faults that are added, in words; `none`.
    pub faults: String,
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
    /// Where it failed with several things going wrong: the fewest of them with which it still fails.
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

fn without(world: &WorldSpec, place: usize) -> WorldSpec {
    let mut world = world.clone();
    match place.checked_sub(world.disturbances.len()) {
        None => drop(world.disturbances.remove(place)),
        Some(place) => drop(world.faults.remove(place)),
    }
    world
}

/// Leaves out one trouble after the other for as long as the trial still fails; `None` where there are fewer than two.
async fn shrink(prepared: &Prepared, program: &[String], options: &Options) -> Option<Vec<String>> {
    let mut world = prepared.world_spec().clone();
    if troubles(&world).len() < 2 {
        return None;
    }
    let mut place = 0;
    while place < troubles(&world).len() {
        let fewer = without(&world, place);
        let again = run(&prepared.with_world(fewer.clone()), program, options).await;
        if again.is_ok_and(|outcome| !outcome.held()) {
            world = fewer;
        } else {
            place += 1;
        }
    }
    Some(troubles(&world))
}
