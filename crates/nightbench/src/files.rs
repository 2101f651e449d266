//! Scenario files: from a path to a plan, or to what is wrong with it in words.

use crate::exit::{Exit, Failure};
use bench::Prepared;
use report::{OutFolder, OutputFile, harmless};
use scenario::{Complaint, Plan, Study};
use std::fs::File;
use std::io::{self, ErrorKind, Read as _};
use std::path::Path;

/// The night that is played when no file is named.
const BUILT_IN: &str = include_str!("../../../fixtures/scenarios/built-in/school-field.toml");
/// What stands in a complaint in place of its file's name.
const BUILT_IN_NAME: &str = "the built-in night";
/// Standard input as a path.
const STANDARD_INPUT: &str = "-";

/// The bytes of a scenario, and the name that complaints give it.
pub struct Source {
    name: String,
    bytes: Vec<u8>,
}

impl Source {
    /// Reads the file that is named, as [`Source::open`]; the built-in night if none is.
    ///
    /// # Errors
    /// As [`Source::open`].
    pub fn named(path: Option<&Path>) -> Result<Self, Failure> {
        let built_in = || Self { name: BUILT_IN_NAME.to_owned(), bytes: BUILT_IN.as_bytes().to_vec() };
        path.map_or_else(|| Ok(built_in()), Self::open)
    }

    /// Reads a file, or standard input for `-`.
    ///
    /// # Errors
    /// A failure in words for a missing file, a folder, and whatever else keeps it from being read.
    pub fn open(path: &Path) -> Result<Self, Failure> {
        if path.as_os_str() == STANDARD_INPUT {
            let name = "standard input".to_owned();
            let bytes = bytes_of(io::stdin().lock()).map_err(|error| unreadable(&name, &error))?;
            return Ok(Self { name, bytes });
        }
        let name = shown(path);
        if path.is_dir() {
            let sentence = format!("`{name}` is a folder; name a scenario file in it");
            return Err(Failure::new(Exit::Unusable, sentence));
        }
        let bytes = File::open(path).and_then(bytes_of).map_err(|error| unreadable(&name, &error))?;
        Ok(Self { name, bytes })
    }

    /// Its text, for what reads more than one plan out of it.
    ///
    /// # Errors
    /// A complaint about bytes that are no text.
    pub fn text(&self) -> Result<&str, Vec<Complaint>> {
        scenario::text_of(&self.bytes)
    }

    /// The plan that it holds, of the first case where it has several: everything is drawn by the seed, which is the file's
    /// own without one.
    ///
    /// # Errors
    /// All complaints of the reader.
    pub fn plan(&self, seed: Option<u64>) -> Result<Plan, Vec<Complaint>> {
        Study::read(self.text()?)?.cases()[0].night(seed).map(|night| night.plan)
    }

    /// The plan, made ready to be played.
    ///
    /// # Errors
    /// All complaints of the bench.
    pub fn prepare(&self, plan: &Plan) -> Result<Prepared, Vec<Complaint>> {
        bench::prepare(plan)
    }

    /// The night of a seed, as [`Source::plan`] reads it, made ready to be played.
    ///
    /// # Errors
    /// All complaints as a failure in words.
    pub fn prepared(&self, seed: Option<u64>) -> Result<Prepared, Failure> {
        let prepared = self.plan(seed).and_then(|plan| self.prepare(&plan));
        prepared.map_err(|complaints| self.failure(&complaints))
    }

    /// Complaints as a failure in words.
    pub fn failure(&self, complaints: &[Complaint]) -> Failure {
        // The line of a text that is too long isn't worth showing; what is no UTF-8 is shown as far as it is.
        let text = match self.bytes.len() {
            0..=scenario::BYTES_MOST => String::from_utf8_lossy(&self.bytes),
            _ => "".into(),
        };
        let pictures: Vec<String> =
            complaints.iter().map(|complaint| complaint.render(&self.name, &text)).collect();
        Failure { message: pictures.join("\n"), exit: Exit::Unusable }
    }
}

/// All bytes, but no more than one beyond what a scenario may have: that is enough to refuse it.
fn bytes_of(input: impl io::Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    input.take(scenario::BYTES_MOST as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn unreadable(name: &str, error: &io::Error) -> Failure {
    match error.kind() {
        ErrorKind::NotFound => Failure::new(
            Exit::Unusable,
            format!("there is no file `{name}`; name a scenario file, or none for the built-in night"),
        ),
        ErrorKind::PermissionDenied => {
            Failure::new(Exit::Unusable, format!("`{name}` may not be read; allow reading it"))
        }
        _ => Failure::new(Exit::OutsideFailed, format!("`{name}` can't be read: {error}; try again")),
    }
}

/// One file to be written: a name in a folder that is tried before the work.
pub struct OutFile {
    folder: OutFolder,
    name: String,
}

impl OutFile {
    /// Looks whether it can be written; `option` is what it was named by.
    ///
    /// # Errors
    /// A failure in words.
    pub fn open(path: &Path, option: &str) -> Result<Self, Failure> {
        let name =
            path.file_name().and_then(|name| name.to_str()).filter(|_| !path.is_dir()).ok_or_else(|| {
                Failure::new(
                    Exit::Unusable,
                    format!("`{}` is no name of a file; name one ({option})", shown(path)),
                )
            })?;
        let folder = match path.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        Ok(Self { folder: OutFolder::open(folder)?, name: name.to_owned() })
    }

    /// Writes it, whole or not at all.
    ///
    /// # Errors
    /// A failure in words.
    pub fn write(&self, text: &str) -> Result<(), Failure> {
        let file = OutputFile { name: &self.name, bytes: text.as_bytes() };
        Ok(self.folder.write(&[file])?)
    }
}

/// The text of a file, up to so many bytes.
///
/// # Errors
/// A failure in words that says what it should have been.
pub fn text_of(path: &Path, what: &str, most: u64) -> Result<String, Failure> {
    let name = shown(path);
    let mut text = String::new();
    let read = std::fs::File::open(path).and_then(|file| file.take(most).read_to_string(&mut text));
    match read {
        Ok(_) => Ok(text),
        Err(error) => Err(match error.kind() {
            ErrorKind::NotFound => {
                Failure::new(Exit::Unusable, format!("there is no {what} `{name}`; name one that is there"))
            }
            ErrorKind::PermissionDenied => {
                Failure::new(Exit::Unusable, format!("`{name}` may not be read; allow reading it"))
            }
            ErrorKind::InvalidData => {
                Failure::new(Exit::Unusable, format!("`{name}` is no text; name a {what}"))
            }
            ErrorKind::IsADirectory => {
                Failure::new(Exit::Unusable, format!("`{name}` is a folder; name a {what}"))
            }
            _ => Failure::new(Exit::OutsideFailed, format!("`{name}` can't be read: {error}; try again")),
        }),
    }
}

/// A path as it may be shown.
pub fn shown(path: &Path) -> String {
    harmless(&path.display().to_string()).into_owned()
}
