//! Playing a range of nights, in parallel, into files that survive whatever ends the run.

mod folder;

pub use folder::PartialFolder;

use crate::about::About;
use crate::file::RowsFile;
use crate::row::{CaseRow, NightRow};
use crate::tally::Tally;
use bench::Almanac;
use rayon::prelude::*;
use scenario::{Case, Expect, Study};
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Nights that one thread plays in a row.
const BLOCK: u64 = 256;
/// Rows are written at least this often, so that no more than this is lost with the power.
const WRITTEN_EVERY: Duration = Duration::from_secs(1);

/// Nights of one study.
#[derive(Debug)]
pub struct Sweep<'a, 's> {
    study: &'a Study<'s>,
    about: &'a About,
    almanac: Almanac,
}

/// Who watches a sweep, from any thread.
pub trait Watch: Sync {
    /// Whether to stop after the nights in flight.
    fn stopped(&self) -> bool;
    /// So many nights more are done.
    fn done(&self, nights: u64);
}

/// How a run ended.
#[derive(Debug)]
pub enum Ended {
    /// All nights are there.
    Complete(Box<Tally>),
    /// It was told to stop; what was played is kept.
    Stopped,
}

/// What kept a sweep from going on.
#[derive(Debug, thiserror::Error)]
pub enum SweepError {
    /// A file of rows could not be written; those before it are kept.
    #[error("`{}` can't be written ({source}); what was played so far is kept: make room, then go on with --resume", path.display())]
    NotWritten {
        /// The folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A folder holds parts of another sweep.
    #[error("`{}` holds an unfinished sweep of another plan or version ({what}); name another folder (--out), or remove that one", path.display())]
    Foreign {
        /// The folder.
        path: PathBuf,
        /// What differs.
        what: &'static str,
    },
    /// A part that was there has gone or is damaged.
    #[error("a part of the sweep in `{}` has gone or was changed; go on with --resume", path.display())]
    Gone {
        /// The folder.
        path: PathBuf,
    },
    /// The threads can't be started.
    #[error("{0} threads can't be started ({1}); ask for fewer (--jobs)")]
    Threads(usize, String),
}

impl<'a, 's> Sweep<'a, 's> {
    /// Makes ready; places of the sky are shared by all nights.
    pub fn new(study: &'a Study<'s>, about: &'a About) -> Self {
        let plan = study.cases()[0].typical();
        Self { study, about, almanac: Almanac::over(plan.begin(), plan.end()) }
    }

    /// Plays one night of every case; `index` counts from the first of the sweep.
    pub fn night(&self, index: u64) -> NightRow {
        let number = self.about.first_night + index;
        let mut inputs = vec![f64::NAN; self.about.inputs.len()];
        let cases = self.study.cases().iter().enumerate();
        let cases = cases.map(|(place, case)| {
            let inputs = (place == 0).then_some(inputs.as_mut_slice());
            self.case(case, number, inputs).unwrap_or_else(CaseRow::unplayable)
        });
        NightRow { number, cases: cases.collect(), inputs }
    }

    /// `None` for what can't be played.
    fn case(&self, case: &Case<'_>, number: u64, inputs: Option<&mut [f64]>) -> Option<CaseRow> {
        let drawn = case.night(Some(number)).ok()?;
        let prepared = bench::prepare_with(&drawn.plan, &self.almanac).ok()?;
        if let Some(inputs) = inputs {
            for input in prepared.inputs() {
                self.note(inputs, input.key, input.value);
            }
            for value in &drawn.draws {
                self.note(inputs, &value.key, value.value);
            }
        }
        let figures = prepared.figures(self.about.tracking);
        let expect = &drawn.plan.expect;
        let held = (*expect != Expect::default())
            .then(|| bench::judge(expect, &figures.summary).iter().all(|verdict| verdict.held));
        Some(CaseRow::of(&figures, held))
    }

    fn note(&self, inputs: &mut [f64], key: &str, value: f64) {
        if let Some(place) = self.about.inputs.iter().position(|(known, _)| known == key) {
            inputs[place] = value;
        }
    }

    /// Plays whatever of `range` the folder doesn't have yet, with so many threads, and adds up those nights alone.
    ///
    /// # Errors
    /// [`SweepError`]; what was played is kept.
    pub fn play(
        &self,
        range: &Range<u64>,
        folder: &PartialFolder,
        jobs: usize,
        watch: &dyn Watch,
    ) -> Result<Ended, SweepError> {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(jobs)
            .build()
            .map_err(|error| SweepError::Threads(jobs, error.to_string()))?;
        let tally = Mutex::new(Tally::new(self.about));
        pool.install(|| {
            let mut kept = folder.parts();
            kept.retain(|(part, _)| part.start < range.end && range.start < part.end);
            kept.par_iter().try_for_each(|(_, path)| {
                let file = RowsFile::open(path).map_err(|_| folder.gone())?;
                let part = Tally::of(self.about, file.rows().filter(|row| self.is_within(row, range)));
                watch.done(part.nights);
                merged(&tally, part);
                Ok(())
            })?;
            let blocks = blocks(range, kept.iter().map(|(range, _)| range.clone()));
            blocks.par_iter().with_max_len(1).try_for_each(|block| {
                let part = self.block(block, folder, watch)?;
                merged(&tally, part);
                Ok(())
            })
        })?;
        if watch.stopped() {
            return Ok(Ended::Stopped);
        }
        Ok(Ended::Complete(Box::new(tally.into_inner().unwrap_or_else(|broken| broken.into_inner()))))
    }

    fn is_within(&self, row: &NightRow, range: &Range<u64>) -> bool {
        range.contains(&(row.number - self.about.first_night))
    }

    /// Plays some nights in a row, writing them as time passes.
    #[expect(
        clippy::disallowed_methods,
        reason = "how long a night takes decides when rows are written, and no row"
    )]
    fn block(
        &self,
        block: &Range<u64>,
        folder: &PartialFolder,
        watch: &dyn Watch,
    ) -> Result<Tally, SweepError> {
        let mut tally = Tally::new(self.about);
        let mut from = block.start;
        let mut rows = Vec::new();
        let mut since = Instant::now();
        for index in block.clone() {
            if watch.stopped() {
                folder.write(self.about, &(from..index), &rows)?;
                return Ok(tally);
            }
            let row = self.night(index);
            tally.add(&row);
            row.write(&mut rows);
            watch.done(1);
            if since.elapsed() >= WRITTEN_EVERY {
                folder.write(self.about, &(from..index + 1), &rows)?;
                rows.clear();
                from = index + 1;
                since = Instant::now();
            }
        }
        folder.write(self.about, &(from..block.end), &rows)?;
        Ok(tally)
    }
}

/// Adds the nights of one thread to those of all.
pub(crate) fn merged(all: &Mutex<Tally>, part: Tally) {
    all.lock().unwrap_or_else(|broken| broken.into_inner()).merge(part);
}

/// What of a range isn't covered, in pieces that begin at whole blocks or where something is covered.
fn blocks(range: &Range<u64>, covered: impl Iterator<Item = Range<u64>>) -> Vec<Range<u64>> {
    let mut covered: Vec<Range<u64>> = covered.collect();
    covered.sort_by_key(|part| part.start);
    let mut blocks = Vec::new();
    let mut at = range.start;
    let mut gap = |from: u64, to: u64| {
        let mut from = from;
        while from < to {
            let end = ((from / BLOCK + 1) * BLOCK).min(to);
            blocks.push(from..end);
            from = end;
        }
    };
    for part in covered {
        gap(at, part.start.min(range.end));
        at = at.max(part.end);
    }
    gap(at, range.end);
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_fill_what_is_not_covered() {
        assert_eq!(blocks(&(0..600), std::iter::empty()), [0..256, 256..512, 512..600]);
        let covered = [300..400, 0..256, 590..700];
        assert_eq!(blocks(&(0..600), covered.into_iter()), [256..300, 400..512, 512..590]);
        assert!(blocks(&(5..5), std::iter::empty()).is_empty());
        assert!(blocks(&(10..20), std::iter::once(0..50)).is_empty());
    }
}
