//! `nightbench sweep`: many nights of one file, and `nightbench merge`: the shards of many machines.

pub mod merge;
mod results;
mod watch;

use crate::exit::{Exit, Failure};
use crate::files::{Source, shown};
use crate::output;
use report::{OutFolder, harmless};
use scenario::Study;
use std::ops::Range;
use std::path::{Path, PathBuf};
use sweep::{
    About, Answers, DEFAULT_FOLDER, Ended, NIGHTS_MOST, PartialFolder, RowsFile, Shard, Sweep, SweepError,
    Tally, Until, shard_name,
};
use watch::Watcher;

/// Nights that are played where neither the command line nor the file says.
const NIGHTS: u64 = 1000;

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct SweepArguments {
    /// Scenario file with distributions and [vary], `-` for standard input
    file: PathBuf,
    /// How many nights [the file's vary.nights, else 1000]
    #[arg(long, value_name = "NUMBER")]
    nights: Option<u64>,
    /// Threads that play [one for each core]
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..=4096))]
    jobs: Option<u64>,
    /// Play one part of several, such as 3/10; array/10 takes the number that an array engine sets
    #[arg(long, value_name = "I/N", conflicts_with = "until")]
    shard: Option<String>,
    /// Added to the number of --shard: -1 for arrays that begin with 1
    #[arg(
        long,
        value_name = "NUMBER",
        default_value_t = 0,
        allow_negative_numbers = true,
        requires = "shard"
    )]
    shard_offset: i64,
    /// Stop as soon as an interval is narrow enough, such as "in_field 2 %"
    #[arg(long, value_name = "FIGURE WIDTH")]
    until: Option<String>,
    /// Folder for the results: sweep.html, sweep.json, nights.parquet; or for the shard's file [nightbench-sweep]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Go on with what an interrupted run left in the folder
    #[arg(long)]
    resume: bool,
    /// Print sweep.json alone; writes a folder only where --out names one
    #[arg(long, conflicts_with = "shard")]
    json: bool,
    /// Width of the table, 40 to 160 [the terminal's by COLUMNS, else 80]
    #[arg(long, value_name = "NUMBER", value_parser = output::columns_of)]
    columns: Option<usize>,
    /// Print no table and no progress
    #[arg(long, conflicts_with = "json")]
    quiet: bool,
}

/// Plays the nights, writes the folder, prints the answer.
///
/// # Errors
/// A failure in words with the status to end with.
pub fn run(arguments: &SweepArguments) -> Result<Exit, Failure> {
    let source = Source::open(&arguments.file)?;
    let text = source.text().map_err(|complaints| source.failure(&complaints))?;
    let study = Study::read(text).map_err(|complaints| source.failure(&complaints))?;
    let nights = nights_of(arguments, &study)?;
    let shard = shard_of(arguments)?;
    let range = shard.map_or(0..nights, |shard| shard.range(nights));
    if range.end - range.start > NIGHTS_MOST {
        return Err(too_many(range.end - range.start, nights));
    }
    let until = arguments.until.as_deref().map(Until::read).transpose();
    let until = until.map_err(|error| Failure::new(Exit::Unusable, error))?;
    let about = About::of(&study, nights).map_err(|complaints| source.failure(&complaints))?;
    let place = Place::of(arguments)?;
    let jobs = jobs_of(arguments);
    let task = Task { arguments, study: &study, about: &about, range: &range, place: &place, jobs };
    match shard {
        Some(shard) => task.shard(shard),
        None => task.whole(until),
    }
}

fn nights_of(arguments: &SweepArguments, study: &Study<'_>) -> Result<u64, Failure> {
    let nights = arguments.nights.or(study.vary().nights).unwrap_or(NIGHTS);
    if nights == 0 {
        let sentence = "no nights, no answer; ask for one at least, or leave --nights out";
        return Err(Failure::new(Exit::Unusable, sentence));
    }
    let last = study.first_night().checked_add(nights - 1).filter(|last| *last < 1 << 53);
    if last.is_none() {
        let room = (1_u64 << 53) - study.first_night();
        let sentence = format!(
            "the numbers of the nights would pass 2^53; from {} there is room for {room}",
            study.first_night()
        );
        return Err(Failure::new(Exit::Unusable, sentence));
    }
    Ok(nights)
}

fn shard_of(arguments: &SweepArguments) -> Result<Option<Shard>, Failure> {
    #[expect(clippy::disallowed_methods, reason = "array engines say by a variable which shard this is")]
    let variable = |name: &str| std::env::var(name).ok();
    let shard = arguments.shard.as_deref();
    let shard = shard.map(|text| Shard::read(text, arguments.shard_offset, variable)).transpose();
    shard.map_err(|error| Failure::new(Exit::Unusable, error))
}

fn too_many(asked: u64, nights: u64) -> Failure {
    let shards = nights.div_ceil(NIGHTS_MOST);
    let sentence = format!(
        "{asked} nights in one run would take days; {NIGHTS_MOST} are the most: play them as {shards} shards or more \
         (--shard 0/{shards} and so on), or ask for fewer"
    );
    Failure::new(Exit::Unusable, sentence)
}

fn jobs_of(arguments: &SweepArguments) -> usize {
    let cores = || std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    arguments.jobs.map_or_else(cores, |jobs| jobs as usize)
}

/// Where results go: a folder that stays, or a passing one.
enum Place {
    Folder(OutFolder),
    Passing(tempfile::TempDir),
}

impl Place {
    fn of(arguments: &SweepArguments) -> Result<Self, Failure> {
        let outside = |error: &dyn std::fmt::Display| Failure::new(Exit::OutsideFailed, error);
        let named = match &arguments.out {
            Some(folder) => Some(folder.as_path()),
            None if arguments.json => None,
            None => Some(Path::new(DEFAULT_FOLDER)),
        };
        match named {
            Some(path) => OutFolder::open(path).map(Self::Folder).map_err(|error| outside(&error)),
            None => {
                let passing = tempfile::Builder::new().prefix("nightbench-").tempdir();
                passing.map(Self::Passing).map_err(|error| {
                    outside(&format!("no passing folder can be made ({error}); name one with --out"))
                })
            }
        }
    }

    fn path(&self) -> &Path {
        match self {
            Self::Folder(folder) => folder.path(),
            Self::Passing(passing) => passing.path(),
        }
    }

    /// The folder that stays, if there is one.
    fn folder(&self) -> Option<&OutFolder> {
        match self {
            Self::Folder(folder) => Some(folder),
            Self::Passing(_) => None,
        }
    }
}

/// Everything that a run needs.
struct Task<'t, 's> {
    arguments: &'t SweepArguments,
    study: &'t Study<'s>,
    about: &'t About,
    range: &'t Range<u64>,
    place: &'t Place,
    jobs: usize,
}

impl Task<'_, '_> {
    /// A whole sweep on this machine.
    fn whole(&self, until: Option<Until>) -> Result<Exit, Failure> {
        let folder = self.unfinished(".nightbench-unfinished")?;
        if !folder.is_empty() && !self.arguments.resume {
            let sentence = format!(
                "`{}` holds an unfinished sweep of this plan; go on with --resume, or name another folder (--out)",
                shown(self.place.path())
            );
            return Err(Failure::new(Exit::Unusable, sentence));
        }
        let Some((tally, range)) = self.played(&folder, until)? else { return Ok(self.stopped()) };
        let answers = Answers::of(self.about, tally);
        if let Some(out) = self.place.folder() {
            let files = folder.in_order(&range).map_err(failed)?;
            results::write(out, &answers, files.map(|file| file.map_err(failed)))?;
            folder.remove();
        }
        let shown = results::Shown {
            json: self.arguments.json,
            quiet: self.arguments.quiet,
            columns: self.arguments.columns,
            folder: self.place.folder(),
        };
        shown.say(&answers)?;
        Ok(if answers.held() { Exit::Held } else { Exit::ExpectationFailed })
    }

    /// One shard: its file is written once, whole; a run that finds it there has nothing to do.
    fn shard(&self, shard: Shard) -> Result<Exit, Failure> {
        let name = shard_name(shard.index, shard.of);
        let path = self.place.path().join(&name);
        if path.exists() {
            match RowsFile::open(&path) {
                Ok(file) if file.about == *self.about && file.range == *self.range => {
                    self.tell(&format!("{name} is there already, whole\n"));
                    return Ok(Exit::Held);
                }
                Ok(_) => {
                    let sentence = format!(
                        "`{}` is a shard of another sweep; name another folder (--out), or remove it",
                        shown(&path)
                    );
                    return Err(Failure::new(Exit::Unusable, sentence));
                }
                Err(damage) => self.tell(&format!("{name} is damaged and is made anew: {damage}\n")),
            }
        }
        let unfinished = format!(".nightbench-{name}").replace(".nights", "");
        let folder = self.unfinished(&unfinished)?;
        if self.played(&folder, None)?.is_none() {
            return Ok(self.stopped());
        }
        let joined = folder.join(self.about, (shard.index, shard.of), self.range, self.place.path(), &name);
        match joined {
            // Another run of the same shard may have been the first to finish, and to clear up.
            Err(SweepError::Gone { .. }) if RowsFile::open(&path).is_ok() => {}
            other => other.map_err(failed)?,
        }
        folder.remove();
        self.tell(&format!("written: {}\n", shown(&path)));
        Ok(Exit::Held)
    }

    fn unfinished(&self, name: &str) -> Result<PartialFolder, Failure> {
        PartialFolder::open(self.place.path(), name, self.about).map_err(failed)
    }

    /// All nights, or as many as are needed; `None` if it was told to stop.
    fn played(
        &self,
        folder: &PartialFolder,
        until: Option<Until>,
    ) -> Result<Option<(Tally, Range<u64>)>, Failure> {
        let watcher = Watcher::new(self.range.end - self.range.start, self.arguments.quiet)?;
        let played = self.rounds(folder, until, &watcher);
        watcher.finish();
        played
    }

    /// Round by round, each added to those before it; without a condition all nights are one round.
    fn rounds(
        &self,
        folder: &PartialFolder,
        until: Option<Until>,
        watcher: &Watcher,
    ) -> Result<Option<(Tally, Range<u64>)>, Failure> {
        let sweep = Sweep::new(self.study, self.about);
        let mut tally = Tally::new(self.about);
        let mut at = self.range.start;
        loop {
            let end = until.map_or(self.range.end, |until| self.range.end.min(at + until.round()));
            match sweep.play(&(at..end), folder, self.jobs, watcher).map_err(failed)? {
                Ended::Complete(round) => tally.merge(*round),
                Ended::Stopped => return Ok(None),
            }
            at = end;
            if at == self.range.end || until.is_some_and(|until| until.is_reached(self.about, &tally)) {
                return Ok(Some((tally, self.range.start..at)));
            }
        }
    }

    fn stopped(&self) -> Exit {
        let how = match (self.place.folder(), &self.arguments.shard) {
            (None, _) => "nothing is kept without --out",
            (Some(_), None) => "what was played is kept: go on with --resume",
            (Some(_), Some(_)) => "what was played is kept: run the same shard again",
        };
        output::tell(&format!("stopped; {how}\n"));
        Exit::OutsideFailed
    }

    fn tell(&self, text: &str) {
        if !self.arguments.quiet {
            output::tell(text);
        }
    }
}

fn failed(error: SweepError) -> Failure {
    let exit = match error {
        SweepError::NotWritten { .. } | SweepError::Gone { .. } => Exit::OutsideFailed,
        SweepError::Foreign { .. } | SweepError::Threads(..) => Exit::Unusable,
    };
    Failure::new(exit, harmless(&error.to_string()))
}
