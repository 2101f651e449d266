//! Gathering shards: files are trusted, and nothing else.

use crate::about::About;
use crate::file::{Damage, RowsFile, files_in};
use crate::run::merged;
use crate::tally::Tally;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Mutex;

/// All shards of a sweep, each in one file.
#[derive(Clone, Debug)]
pub struct Gathered {
    /// What the sweep is of.
    pub about: About,
    /// The files in the order of their nights.
    pub files: Vec<PathBuf>,
}

/// What keeps shards from being gathered.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Problem {
    /// A folder can't be read.
    #[error("the folder `{0}` can't be read ({1})")]
    NoFolder(String, String),
    /// There is nothing.
    #[error("there are no shards (files such as shard-000003-of-000010.nights)")]
    Nothing,
    /// A file is damaged.
    #[error("`{0}` is damaged: {1}; remove it and run that shard again")]
    Damaged(String, Damage),
    /// A file belongs to another sweep than most.
    #[error("`{0}` is of another sweep than the others: {1}; put it elsewhere")]
    Foreign(String, String),
    /// Two files of one shard that differ.
    #[error("`{0}` and `{1}` are the same shard and differ; remove the wrong one, or both and run it again")]
    Differ(String, String),
    /// Shards that no file has.
    #[error("{} missing: {}", if indices.len() == 1 { "1 shard is".to_owned() } else { format!("{} shards are", indices.len()) }, listed(indices, *of))]
    Missing {
        /// Their numbers.
        indices: Vec<u64>,
        /// Of how many.
        of: u64,
    },
}

/// Numbers as ranges, for `--array=` and for eyes: `3, 5-9 of 20`.
fn listed(indices: &[u64], of: u64) -> String {
    let mut ranges: Vec<(u64, u64)> = Vec::new();
    for index in indices {
        match ranges.last_mut() {
            Some((_, last)) if *last + 1 == *index => *last = *index,
            _ => ranges.push((*index, *index)),
        }
    }
    let text: Vec<String> = ranges
        .iter()
        .map(|(from, to)| if from == to { from.to_string() } else { format!("{from}-{to}") })
        .collect();
    format!("run again with --shard I/{of} for I = {}", text.join(","))
}

/// What a file says of itself, for finding those that belong together.
fn kinship(file: &RowsFile) -> (String, String, String, u64, u64) {
    let about = &file.about;
    let of = file.shard.map_or(0, |(_, of)| of);
    (about.digest.clone(), about.version.clone(), about.maths_fingerprint.clone(), about.nights, of)
}

/// Looks through folders for the shards of one sweep.
///
/// # Errors
/// Every [`Problem`] at once.
pub fn gather(folders: &[PathBuf]) -> Result<Gathered, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut paths = Vec::new();
    for folder in folders {
        match files_in(folder, "shard-") {
            Ok(found) => paths.extend(found),
            Err(error) => problems.push(Problem::NoFolder(shown(folder), error.to_string())),
        }
    }
    paths.sort();
    paths.dedup();
    let opened: Vec<(PathBuf, Result<RowsFile, Damage>)> = paths
        .into_par_iter()
        .map(|path| {
            let file = RowsFile::open(&path).and_then(|file| match file.shard {
                Some((index, of)) if (crate::Shard { index, of }).range(file.about.nights) == file.range => {
                    Ok(file.without_rows())
                }
                _ => Err(Damage::Inconsistent),
            });
            (path, file)
        })
        .collect();
    let mut kin: BTreeMap<_, u64> = BTreeMap::new();
    for (_, file) in &opened {
        if let Ok(file) = file {
            *kin.entry(kinship(file)).or_default() += 1;
        }
    }
    // Those that most belong to; among equals the first.
    let Some(most) = kin.iter().max_by(|one, other| one.1.cmp(other.1).then(other.0.cmp(one.0))) else {
        problems.extend(
            opened
                .into_iter()
                .filter_map(|(path, file)| file.err().map(|damage| Problem::Damaged(shown(&path), damage))),
        );
        if problems.is_empty() {
            problems.push(Problem::Nothing);
        }
        return Err(problems);
    };
    let (kin, of) = (most.0.clone(), most.0.4);
    let mut shards: BTreeMap<u64, (PathBuf, RowsFile)> = BTreeMap::new();
    for (path, file) in opened {
        match file {
            Err(damage) => problems.push(Problem::Damaged(shown(&path), damage)),
            Ok(file) => {
                let of_file = kinship(&file);
                if of_file != kin {
                    problems.push(Problem::Foreign(shown(&path), difference(&of_file, &kin)));
                    continue;
                }
                let index = file.shard.map_or(0, |(index, _)| index);
                if let Some((other, _)) = shards.get(&index) {
                    if std::fs::read(other).ok() != std::fs::read(&path).ok() {
                        problems.push(Problem::Differ(shown(other), shown(&path)));
                    }
                } else {
                    shards.insert(index, (path, file));
                }
            }
        }
    }
    let missing: Vec<u64> = (0..of).filter(|index| !shards.contains_key(index)).collect();
    if !missing.is_empty() {
        problems.push(Problem::Missing { indices: missing, of });
    }
    match shards.first_key_value() {
        Some((_, (_, file))) if problems.is_empty() => Ok(Gathered {
            about: file.about.clone(),
            files: shards.into_values().map(|(path, _)| path).collect(),
        }),
        _ => Err(problems),
    }
}

/// Why a file isn't of the sweep that the others are of.
fn difference(
    one: &(String, String, String, u64, u64),
    other: &(String, String, String, u64, u64),
) -> String {
    // What stands in a file is shown as what it is: somebody else's text.
    let text = if one.0 != other.0 {
        "the plan differs".to_owned()
    } else if one.1 != other.1 {
        format!("it was played by version {}, they by {}", one.1, other.1)
    } else if one.2 != other.2 {
        format!("it was played with the platform's mathematics {}, they with {}", one.2, other.2)
    } else if one.3 != other.3 {
        format!("it is a part of {} nights, they of {}", one.3, other.3)
    } else {
        format!("it is one of {} shards, they are of {}", one.4, other.4)
    };
    report::harmless(&text).into_owned()
}

fn shown(path: &std::path::Path) -> String {
    report::harmless(&path.display().to_string()).into_owned()
}

impl Gathered {
    /// Adds up all nights.
    ///
    /// # Errors
    /// [`Problem::Damaged`] for a file that has changed since it was found good.
    pub fn tally(&self) -> Result<Tally, Problem> {
        let all = Mutex::new(Tally::new(&self.about));
        self.files.par_iter().try_for_each(|path| {
            let file = RowsFile::open(path).map_err(|damage| Problem::Damaged(shown(path), damage))?;
            merged(&all, Tally::of(&self.about, file.rows()));
            Ok(())
        })?;
        Ok(all.into_inner().unwrap_or_else(|broken| broken.into_inner()))
    }
}
