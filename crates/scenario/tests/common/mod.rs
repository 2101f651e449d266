//! The fixture nights.
#![allow(dead_code)] // Each test crate uses its own part.

use scenario::Complaint;
use std::path::{Path, PathBuf};

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

pub fn fixtures(kind: &str) -> PathBuf {
    root().join("fixtures/scenarios").join(kind)
}

pub fn text_of(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Calls `f` with name and text of every fixture of an extension, by name.
pub fn each(kind: &str, extension: &str, mut f: impl FnMut(&str, &str)) {
    let folder = fixtures(kind);
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.extension().is_some_and(|found| found == extension) {
            f(path.file_name().unwrap().to_str().unwrap(), &text_of(&path));
        }
    }
}

/// All complaints as a user sees them.
pub fn rendered(name: &str, source: &str, complaints: &[Complaint]) -> String {
    complaints.iter().map(|complaint| complaint.render(name, source)).collect::<Vec<_>>().join("\n")
}
