//! The folder under faults: nothing is torn, nothing is left behind, nothing foreign is touched.

use super::*;
use std::cell::Cell;

/// A disk that fails at one step.
struct Failing {
    /// How many files can be filled before the disk is full; the one that fails gets half of its bytes.
    fills: Cell<usize>,
    renames: Cell<usize>,
    settles: bool,
}

impl Failing {
    fn full_after(fills: usize) -> Self {
        Self { fills: Cell::new(fills), renames: Cell::new(usize::MAX), settles: true }
    }

    fn renames_only(renames: usize) -> Self {
        Self { fills: Cell::new(usize::MAX), renames: Cell::new(renames), settles: true }
    }
}

fn full() -> io::Error {
    io::Error::new(io::ErrorKind::StorageFull, "no space left")
}

impl Disk for Failing {
    fn fill(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        if self.fills.get() == 0 {
            file.write_all(&bytes[..bytes.len() / 2])?;
            return Err(full());
        }
        self.fills.set(self.fills.get() - 1);
        OwnDisk.fill(file, bytes)
    }

    fn rename(&self, part: TempPath, name: &Path) -> io::Result<()> {
        if self.renames.get() == 0 {
            return Err(io::Error::new(io::ErrorKind::PermissionDenied, "not allowed"));
        }
        self.renames.set(self.renames.get() - 1);
        OwnDisk.rename(part, name)
    }

    fn settle(&self, folder: &Path) -> io::Result<()> {
        if self.settles { OwnDisk.settle(folder) } else { Err(full()) }
    }
}

const FILES: [OutputFile<'static>; 2] = [
    OutputFile { name: "samples.csv", bytes: b"new samples" },
    OutputFile { name: "night.json", bytes: b"new night" },
];

/// Names and contents of all files of a folder, hidden ones too, in order.
fn contents(path: &Path) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = fs::read_dir(path)
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|entry| {
            let text = fs::read_to_string(entry.path()).unwrap_or_else(|_| "(folder)".to_owned());
            (entry.file_name().into_string().unwrap(), text)
        })
        .collect();
    found.sort();
    found
}

fn pairs(expected: &[(&str, &str)]) -> Vec<(String, String)> {
    expected.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect()
}

#[test]
fn a_folder_is_made_and_foreign_files_stay() {
    let top = tempfile::tempdir().unwrap();
    let path = top.path().join("deep/er");
    let folder = OutFolder::open(&path).unwrap();
    fs::write(path.join("notes.txt"), "mine").unwrap();
    fs::write(path.join("night.json"), "old night").unwrap();
    folder.write(&FILES).unwrap();
    let expected = [("night.json", "new night"), ("notes.txt", "mine"), ("samples.csv", "new samples")];
    assert_eq!(contents(&path), pairs(&expected));
}

#[test]
fn a_full_disk_leaves_the_folder_as_it_was() {
    for fills in 0..2 {
        let top = tempfile::tempdir().unwrap();
        fs::write(top.path().join("night.json"), "old night").unwrap();
        let folder = OutFolder::open(top.path()).unwrap();
        let error = folder.write_with(&Failing::full_after(fills), &FILES).unwrap_err();
        assert_eq!(error.problem, FolderProblem::WriteFailed);
        assert_eq!(error.source.as_ref().unwrap().kind(), io::ErrorKind::StorageFull);
        assert!(error.to_string().contains("(no space left); make room there, then try again"), "{error}");
        assert_eq!(contents(top.path()), pairs(&[("night.json", "old night")]));
    }
}

#[test]
fn a_name_that_is_not_given_takes_the_others_back() {
    for renames in 0..2 {
        for old in [false, true] {
            let top = tempfile::tempdir().unwrap();
            let before: &[(&str, &str)] =
                if old { &[("night.json", "old night"), ("samples.csv", "old samples")] } else { &[] };
            for (name, text) in before {
                fs::write(top.path().join(name), text).unwrap();
            }
            let folder = OutFolder::open(top.path()).unwrap();
            let error = folder.write_with(&Failing::renames_only(renames), &FILES).unwrap_err();
            assert_eq!(error.problem, FolderProblem::RenameFailed);
            assert_eq!(contents(top.path()), pairs(before));
        }
    }
}

#[test]
fn a_folder_in_a_file_s_place_is_an_error_and_stays() {
    let top = tempfile::tempdir().unwrap();
    fs::create_dir(top.path().join("night.json")).unwrap();
    let folder = OutFolder::open(top.path()).unwrap();
    let error = folder.write(&FILES).unwrap_err();
    assert_eq!(error.problem, FolderProblem::RenameFailed);
    assert_eq!(contents(top.path()), pairs(&[("night.json", "(folder)")]));
}

#[test]
fn a_folder_that_does_not_settle_is_an_error() {
    let top = tempfile::tempdir().unwrap();
    let folder = OutFolder::open(top.path()).unwrap();
    let disk = Failing { settles: false, ..Failing::full_after(usize::MAX) };
    assert_eq!(folder.write_with(&disk, &FILES).unwrap_err().problem, FolderProblem::WriteFailed);
}

#[test]
fn an_unusable_folder_is_refused_before_any_work() {
    let top = tempfile::tempdir().unwrap();
    let file = top.path().join("file");
    fs::write(&file, "text").unwrap();
    assert_eq!(OutFolder::open(&file).unwrap_err().problem, FolderProblem::NotAFolder);
    assert_eq!(OutFolder::open(&file.join("under")).unwrap_err().problem, FolderProblem::CannotMake);
    assert_eq!(fs::read_to_string(&file).unwrap(), "text");
    let folder = top.path().join("empty");
    OutFolder::open(&folder).unwrap();
    assert_eq!(contents(&folder), pairs(&[]));
}

#[cfg(unix)]
#[test]
fn a_symbolic_link_is_replaced_and_not_followed() {
    let top = tempfile::tempdir().unwrap();
    let elsewhere = top.path().join("elsewhere");
    fs::write(&elsewhere, "not ours").unwrap();
    let path = top.path().join("out");
    let folder = OutFolder::open(&path).unwrap();
    std::os::unix::fs::symlink(&elsewhere, path.join("night.json")).unwrap();
    folder.write(&FILES).unwrap();
    assert_eq!(fs::read_to_string(&elsewhere).unwrap(), "not ours");
    assert_eq!(fs::read_to_string(path.join("night.json")).unwrap(), "new night");
}

#[cfg(unix)]
#[test]
fn the_rights_are_those_of_any_new_file() {
    use std::os::unix::fs::PermissionsExt as _;
    let top = tempfile::tempdir().unwrap();
    let ordinary = top.path().join("ordinary");
    fs::write(&ordinary, "").unwrap();
    OutFolder::open(top.path()).unwrap().write(&FILES).unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
    assert_eq!(mode(&top.path().join("night.json")), mode(&ordinary));
}

/// Only root can give a folder away; for anybody else there is nothing to try.
#[cfg(unix)]
#[test]
fn a_folder_of_another_user_is_refused() {
    let top = tempfile::tempdir().unwrap();
    let given = top.path().join("given");
    fs::create_dir(&given).unwrap();
    if std::os::unix::fs::chown(&given, Some(1), None).is_ok() {
        assert_eq!(OutFolder::open(&given).unwrap_err().problem, FolderProblem::ForeignOwner);
        assert_eq!(contents(&given), pairs(&[]));
    }
}
