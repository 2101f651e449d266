//! Starts the program as its users do.
#![allow(dead_code)] // each test file uses its own part

#[cfg(target_os = "linux")]
pub mod served;

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a run left behind.
#[derive(Debug)]
pub struct Run {
    pub status: i32,
    pub out: String,
    pub err: String,
}

/// The program, to be started in `folder`.
pub fn nightbench(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_nightbench"));
    command.current_dir(folder).args(arguments).stdin(Stdio::null());
    command
}

/// Runs the program to its end.
pub fn run(folder: &Path, arguments: &[&str]) -> Run {
    finish(nightbench(folder, arguments), b"")
}

/// Runs the program with a text on its standard input.
pub fn run_with_input(folder: &Path, arguments: &[&str], input: &[u8]) -> Run {
    let mut command = nightbench(folder, arguments);
    command.stdin(Stdio::piped());
    finish(command, input)
}

fn finish(mut command: Command, input: &[u8]) -> Run {
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    if let Some(mut stdin) = child.stdin.take() {
        // A program that has read enough may close its end.
        let _ = stdin.write_all(input);
    }
    let output = child.wait_with_output().unwrap();
    Run {
        status: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A folder of scenario fixtures.
pub fn fixtures(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/scenarios").join(name)
}

/// All scenarios of a fixture folder, by name.
pub fn scenarios(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".toml"))
        .collect();
    names.sort();
    assert!(!names.is_empty());
    names
}
