//! The folder of an unfinished sweep: parts, each written whole, in any order.

use super::SweepError;
use crate::about::About;
use crate::file::{RowsFile, files_in, part_name};
use std::fs;
use std::io::{self, Write as _};
use std::ops::Range;
use std::path::{Path, PathBuf};

/// The folder of an unfinished sweep.
#[derive(Clone, Debug)]
pub struct PartialFolder {
    path: PathBuf,
}

impl PartialFolder {
    /// Opens the folder `name` within `out`, making both if need be.
    ///
    /// Parts of this sweep that are there are kept; damaged ones are removed, since their nights are played again.
    ///
    /// # Errors
    /// [`SweepError`] if it can't be made, or if it holds parts of another sweep.
    pub fn open(out: &Path, name: &str, about: &About) -> Result<Self, SweepError> {
        let folder = Self { path: out.join(name) };
        fs::create_dir_all(&folder.path).map_err(|source| folder.not_written(source))?;
        for path in files_in(&folder.path, "part-").map_err(|source| folder.not_written(source))? {
            match RowsFile::open(&path) {
                Ok(file) => folder.is_ours(&file.about, about)?,
                Err(_) => fs::remove_file(&path).map_err(|source| folder.not_written(source))?,
            }
        }
        Ok(folder)
    }

    fn is_ours(&self, found: &About, about: &About) -> Result<(), SweepError> {
        let what = if found.digest != about.digest {
            "the plan differs"
        } else if found.version != about.version {
            "the version differs"
        } else if found.maths_fingerprint != about.maths_fingerprint {
            "the platform's mathematics differ"
        } else {
            return Ok(());
        };
        Err(SweepError::Foreign { path: self.path.clone(), what })
    }

    /// Whether anything was played into it.
    pub fn is_empty(&self) -> bool {
        self.parts().is_empty()
    }

    /// Its parts that tell of themselves by their names, in order.
    pub(super) fn parts(&self) -> Vec<(Range<u64>, PathBuf)> {
        let paths = files_in(&self.path, "part-").unwrap_or_default();
        let mut parts: Vec<(Range<u64>, PathBuf)> = paths
            .into_iter()
            .filter_map(|path| {
                let name = path.file_stem()?.to_str()?.strip_prefix("part-")?;
                let (from, to) = name.split_once('-')?;
                Some((from.parse().ok()?..to.parse().ok()?, path))
            })
            .collect();
        parts.sort_by_key(|(range, _)| (range.start, std::cmp::Reverse(range.end)));
        // Two runs at once may have played some nights twice; a part that begins within an earlier one is left out, and covers
        // nothing.
        let mut covered = 0;
        parts.retain(|(range, _)| {
            let taken = range.start >= covered;
            if taken {
                covered = range.end;
            }
            taken
        });
        parts
    }

    /// Writes a part; one of no nights isn't written.
    pub(super) fn write(&self, about: &About, range: &Range<u64>, rows: &[u8]) -> Result<(), SweepError> {
        if range.is_empty() {
            return Ok(());
        }
        let bytes = RowsFile::bytes(about, None, range, rows);
        self.whole(&self.path, &part_name(range), &bytes)
    }

    /// Joins all parts of `range` into the one file of a shard.
    ///
    /// # Errors
    /// [`SweepError`] if it can't be written, or if a part has gone.
    pub fn join(
        &self,
        about: &About,
        shard: (u64, u64),
        range: &Range<u64>,
        out: &Path,
        name: &str,
    ) -> Result<(), SweepError> {
        let parts = self.in_order(range)?;
        let mut rows = Vec::new();
        for file in parts {
            rows.extend_from_slice(file?.raw());
        }
        let bytes = RowsFile::bytes(about, Some(shard), range, &rows);
        self.whole(out, name, &bytes)
    }

    /// The parts of a range, one after the other and without gap.
    ///
    /// # Errors
    /// [`SweepError::Gone`] where there is a gap, or a part that can't be read.
    pub fn in_order(
        &self,
        range: &Range<u64>,
    ) -> Result<impl Iterator<Item = Result<RowsFile, SweepError>>, SweepError> {
        let parts: Vec<(Range<u64>, PathBuf)> =
            self.parts().into_iter().filter(|(part, _)| part.start < range.end).collect();
        let mut next = range.start;
        for (part, _) in &parts {
            if part.start != next {
                return Err(self.gone());
            }
            next = part.end;
        }
        if next < range.end {
            return Err(self.gone());
        }
        let folder = self.clone();
        Ok(parts.into_iter().map(move |(_, path)| RowsFile::open(&path).map_err(|_| folder.gone())))
    }

    /// Removes the folder with its parts; somebody else's files in it stay, and the folder with them.
    pub fn remove(&self) {
        for path in files_in(&self.path, "part-").unwrap_or_default() {
            let _ = fs::remove_file(path);
        }
        let _ = fs::remove_dir(&self.path);
    }

    /// Writes a file under a passing name, forces it to the medium, gives it its name.
    fn whole(&self, folder: &Path, name: &str, bytes: &[u8]) -> Result<(), SweepError> {
        let written = || -> io::Result<()> {
            let mut passing = report::passing_file(folder)?;
            passing.write_all(bytes)?;
            passing.as_file().sync_data()?;
            passing.persist(folder.join(name)).map_err(|error| error.error)?;
            Ok(())
        };
        written().map_err(|source| self.not_written(source))
    }

    pub(super) fn gone(&self) -> SweepError {
        SweepError::Gone { path: self.path.clone() }
    }

    fn not_written(&self, source: io::Error) -> SweepError {
        SweepError::NotWritten { path: self.path.clone(), source }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::tests::{about, rows};

    /// Two runs at once left parts that lie across each other: whichever is left out, those behind it count.
    #[test]
    fn a_part_that_is_left_out_hides_none_behind_it() {
        let (out, about) = (tempfile::tempdir().unwrap(), about(256, 1));
        let folder = PartialFolder::open(out.path(), "unfinished", &about).unwrap();
        for range in [0..100, 0..80, 80..256, 100..256] {
            folder.write(&about, &range, &rows(range.clone(), 1)).unwrap();
        }
        let taken: Vec<Range<u64>> = folder.parts().into_iter().map(|(range, _)| range).collect();
        assert_eq!(taken, [0..100, 100..256]);
        let mut numbers = Vec::new();
        for file in folder.in_order(&(0..256)).unwrap() {
            numbers.extend(file.unwrap().rows().map(|row| row.number));
        }
        assert!(numbers.into_iter().eq(100..356), "each night once, in order");
    }
}
