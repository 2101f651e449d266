//! The folder of results: a set of files is written whole or not at all.
//!
//! Each file is written under a passing name beside its place and forced to the medium; only when all of them are
//! there do they take their names, each at once, and the folder is forced too. If anything fails on the way, what was
//! there before is put back and nothing of ours is left lying about. A power cut in the middle of the renaming can
//! leave one file new and another old, never a torn one. Files of other names are never touched.

use crate::escape::harmless;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use tempfile::{NamedTempFile, TempPath};

/// One file to be written.
#[derive(Clone, Copy, Debug)]
pub struct OutputFile<'a> {
    /// Its name within the folder, without any folder part.
    pub name: &'a str,
    /// What is to be in it.
    pub bytes: &'a [u8],
}

/// What kept the results from being written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FolderProblem {
    /// The folder isn't there and can't be made.
    CannotMake,
    /// Something else than a folder has that name.
    NotAFolder,
    /// The folder belongs to another user, who could change what is written.
    ForeignOwner,
    /// No file can be made in it.
    CannotWrite,
    /// A file could not be written to its end.
    WriteFailed,
    /// A whole file could not take its name.
    RenameFailed,
}

impl FolderProblem {
    const fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::CannotMake => ("can't be made", "name a folder that can be made (--out)"),
            Self::NotAFolder => ("is no folder", "move what is there, or name another folder (--out)"),
            Self::ForeignOwner => ("belongs to another user", "name a folder of your own (--out)"),
            Self::CannotWrite => {
                ("can't be written to", "allow writing there, or name another folder (--out)")
            }
            Self::WriteFailed => {
                ("could not take the results, so it was left as it was", "make room there, then try again")
            }
            Self::RenameFailed => (
                "could not take the results under their names, so it was left as it was",
                "move what stands in the way, then try again",
            ),
        }
    }
}

/// The folder of results can't be used, why, and how to mend it.
#[derive(Debug)]
pub struct FolderError {
    /// The folder, or the file in it.
    pub path: PathBuf,
    /// What went wrong.
    pub problem: FolderProblem,
    /// What the system said, if it was the system.
    pub source: Option<io::Error>,
}

impl std::fmt::Display for FolderError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (what, remedy) = self.problem.words();
        let path = self.path.display().to_string();
        write!(f, "the output folder `{}` {what}", harmless(&path))?;
        if let Some(source) = &self.source {
            write!(f, " ({source})")?;
        }
        write!(f, "; {remedy}")
    }
}

impl std::error::Error for FolderError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.source.as_ref().map(|source| source as _)
    }
}

/// A folder that results can be written to.
#[derive(Clone, Debug)]
pub struct OutFolder {
    path: PathBuf,
}

impl OutFolder {
    /// Makes the folder if need be and tries whether a file can be written in it: before the work, not after it.
    ///
    /// # Errors
    /// [`FolderError`] if it can't be made, isn't a folder, belongs to another user, or takes no file.
    pub fn open(path: &Path) -> Result<Self, FolderError> {
        let folder = Self { path: path.to_owned() };
        if path.exists() && !path.is_dir() {
            return Err(folder.error(FolderProblem::NotAFolder, None));
        }
        fs::create_dir_all(path).map_err(|source| folder.error(FolderProblem::CannotMake, Some(source)))?;
        let trial = || -> io::Result<NamedTempFile> {
            let mut trial = passing_file(path)?;
            OwnDisk.fill(trial.as_file_mut(), b"trial")?;
            Ok(trial)
        };
        let trial = trial().map_err(|source| folder.error(FolderProblem::CannotWrite, Some(source)))?;
        if !same_owner(path, trial.path()) {
            return Err(folder.error(FolderProblem::ForeignOwner, None));
        }
        trial.close().map_err(|source| folder.error(FolderProblem::CannotWrite, Some(source)))?;
        Ok(folder)
    }

    /// Its path as it was given.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Writes the files, all or none; files of the same names are replaced, all others stay as they are.
    ///
    /// # Errors
    /// [`FolderError`] with what the system said; the folder is then as it was before.
    ///
    /// # Panics
    /// If a name has a folder part.
    pub fn write(&self, files: &[OutputFile<'_>]) -> Result<(), FolderError> {
        self.write_with(&OwnDisk, files)
    }

    /// Begins a file that is written bit by bit, for what is too large to be held; it takes its name when it is whole.
    ///
    /// # Errors
    /// [`FolderError`] if no file can be made.
    ///
    /// # Panics
    /// If the name has a folder part.
    pub fn begin(&self, name: &str) -> Result<WholeFile, FolderError> {
        assert!(Path::new(name).file_name().is_some_and(|bare| bare == name), "a bare file name");
        let part = passing_file(&self.path)
            .map_err(|source| self.error(FolderProblem::CannotWrite, Some(source)))?;
        Ok(WholeFile { folder: self.clone(), name: self.path.join(name), part })
    }

    fn write_with(&self, disk: &dyn Disk, files: &[OutputFile<'_>]) -> Result<(), FolderError> {
        let mut whole = Vec::with_capacity(files.len());
        for file in files {
            assert!(
                Path::new(file.name).file_name().is_some_and(|name| name == file.name),
                "a bare file name"
            );
            let written = passing_file(&self.path).and_then(|mut part| {
                disk.fill(part.as_file_mut(), file.bytes)?;
                Ok(part.into_temp_path())
            });
            let part = written.map_err(|source| self.error(FolderProblem::WriteFailed, Some(source)))?;
            whole.push((part, self.path.join(file.name)));
        }
        self.name_all(disk, whole).map_err(|source| self.error(FolderProblem::RenameFailed, Some(source)))?;
        disk.settle(&self.path).map_err(|source| self.error(FolderProblem::WriteFailed, Some(source)))
    }

    /// Gives whole files their names; at the first failure, those that have theirs already are taken back.
    fn name_all(&self, disk: &dyn Disk, whole: Vec<(TempPath, PathBuf)>) -> io::Result<()> {
        let mut done: Vec<(PathBuf, Option<TempPath>)> = Vec::with_capacity(whole.len());
        for (part, name) in whole {
            let former = self.former(&name);
            match former.and_then(|former| disk.rename(part, &name).map(|()| former)) {
                Ok(former) => done.push((name, former)),
                Err(error) => {
                    for (name, former) in done {
                        match former {
                            Some(former) => former.persist(&name).map_err(|kept| kept.error)?,
                            None => fs::remove_file(&name)?,
                        }
                    }
                    return Err(error);
                }
            }
        }
        Ok(())
    }

    /// A second name of the file that is about to be replaced, so that it can be put back; it goes when dropped.
    fn former(&self, name: &Path) -> io::Result<Option<TempPath>> {
        if !name.is_file() {
            return Ok(None);
        }
        let link = |second: &Path| {
            // Where the file system knows no second names, a copy serves.
            fs::hard_link(name, second).or_else(|error| match error.kind() {
                io::ErrorKind::AlreadyExists => Err(error),
                _ => fs::copy(name, second).map(|_| ()),
            })
        };
        let second = tempfile::Builder::new().prefix(PREFIX).suffix(".former").make_in(&self.path, link)?;
        Ok(Some(second.into_temp_path()))
    }

    fn error(&self, problem: FolderProblem, source: Option<io::Error>) -> FolderError {
        FolderError { path: self.path.clone(), problem, source }
    }
}

/// A file under way; it goes without a trace unless it is finished.
#[derive(Debug)]
pub struct WholeFile {
    folder: OutFolder,
    name: PathBuf,
    part: NamedTempFile,
}

impl WholeFile {
    /// Forces the file to the medium and gives it its name.
    ///
    /// # Errors
    /// [`FolderError`] with what the system said; a file of that name stays as it was.
    pub fn finish(self) -> Result<(), FolderError> {
        let Self { folder, name, part } = self;
        let failed = |source| folder.error(FolderProblem::WriteFailed, Some(source));
        part.as_file().sync_all().map_err(failed)?;
        let renamed = |source| folder.error(FolderProblem::RenameFailed, Some(source));
        OwnDisk.rename(part.into_temp_path(), &name).map_err(renamed)?;
        OwnDisk.settle(&folder.path).map_err(failed)
    }
}

impl io::Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.part.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.part.flush()
    }
}

/// Names of our passing files begin like this: hidden, and known as ours.
const PREFIX: &str = ".nightbench-";

/// A new file under a passing name, with the rights that any new file of the user has; it goes when dropped.
///
/// # Errors
/// What the system said if no file can be made in the folder.
pub fn passing_file(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX).suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

/// Whether the folder belongs to whoever has just made `file` in it.
#[cfg(unix)]
fn same_owner(folder: &Path, file: &Path) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    match (fs::metadata(folder), fs::metadata(file)) {
        (Ok(folder), Ok(file)) => folder.uid() == file.uid(),
        _ => false,
    }
}

/// Elsewhere than on Unix the system's own rights decide.
#[cfg(not(unix))]
fn same_owner(_folder: &Path, _file: &Path) -> bool {
    true
}

/// The steps that a full or broken disk can fail at; a seam for tests.
trait Disk {
    /// Writes all bytes and forces them to the medium.
    fn fill(&self, file: &mut File, bytes: &[u8]) -> io::Result<()>;
    /// Gives a file its name.
    fn rename(&self, part: TempPath, name: &Path) -> io::Result<()>;
    /// Forces the folder's list of names to the medium.
    fn settle(&self, folder: &Path) -> io::Result<()>;
}

/// The disk of this machine.
struct OwnDisk;

impl Disk for OwnDisk {
    fn fill(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        file.write_all(bytes)?;
        file.sync_all()
    }

    fn rename(&self, part: TempPath, name: &Path) -> io::Result<()> {
        part.persist(name).map_err(|error| error.error)
    }

    fn settle(&self, folder: &Path) -> io::Result<()> {
        // Only Unix opens a folder as a file.
        if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
    }
}

#[cfg(test)]
mod tests;
