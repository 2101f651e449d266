//! The exit statuses: part of the contract.

use std::process::ExitCode;

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Everything held.
    Held,
    /// An expectation of the scenario failed.
    ExpectationFailed,
    /// What was given can't be used: mend it.
    Unusable,
    /// Something outside failed, such as the disk: try again.
    OutsideFailed,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(match exit {
            Exit::Held => 0,
            Exit::ExpectationFailed => 1,
            Exit::Unusable => 2,
            Exit::OutsideFailed => 3,
        })
    }
}

/// A command that came to no answer: what to say on standard error, and how to end.
#[derive(Debug)]
pub struct Failure {
    /// The whole message, its lines ended.
    pub message: String,
    /// The status to end with.
    pub exit: Exit,
}

impl Failure {
    /// One sentence, said as an error.
    pub fn new(exit: Exit, sentence: impl std::fmt::Display) -> Self {
        Self { message: format!("error: {sentence}\n"), exit }
    }
}

impl From<report::FolderError> for Failure {
    fn from(error: report::FolderError) -> Self {
        Self::new(Exit::OutsideFailed, error)
    }
}
