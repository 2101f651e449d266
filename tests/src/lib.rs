//! Tests that cross crates, and those that hold the house's own rules. The tests are in `tests/`; here is what several share.

pub mod mount;
pub mod program;

use std::path::{Path, PathBuf};
use std::process::Command;

/// The top of the working tree.
///
/// # Panics
/// If this package doesn't lie directly in it.
pub fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("the package tests lies in the top folder")
        .to_path_buf()
}

/// The files that git keeps, as paths from the top with forward slashes, those deleted in the working tree left out.
///
/// # Panics
/// If git is missing or this isn't a working tree of it.
pub fn tracked_files() -> Vec<String> {
    let top = top();
    let listed = Command::new("git")
        .args(["-c", "safe.directory=*", "-C"])
        .arg(&top)
        .args(["ls-files", "-z"])
        .output()
        .expect("the house tests list the files by git");
    assert!(listed.status.success(), "git ls-files: {}", String::from_utf8_lossy(&listed.stderr));
    String::from_utf8(listed.stdout)
        .expect("file names are UTF-8")
        .split_terminator('\0')
        .filter(|name| top.join(name).is_file())
        .map(str::to_owned)
        .collect()
}

/// A file of the working tree as text, whatever bytes it holds.
///
/// # Panics
/// If it can't be read.
pub fn text_of(name: &str) -> String {
    let bytes = std::fs::read(top().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Fails with every complaint on a line of its own.
///
/// # Panics
/// If there are complaints.
pub fn hold(rule: &str, complaints: &[String]) {
    assert!(complaints.is_empty(), "{rule}:\n  {}", complaints.join("\n  "));
}
