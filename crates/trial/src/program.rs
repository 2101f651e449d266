//! The program on trial: a process group of its own, ended politely, then firmly.

use crate::ending::Ending;
use crate::run::TrialError;
use rustix::process::{Pid, Signal, kill_process_group, test_kill_process_group};
use std::io;
use std::os::unix::process::ExitStatusExt as _;
use std::process::{ExitStatus, Stdio};
use tokio::process::{Child, Command};
use tokio::time::Duration;

/// How long a program has to end after it was asked to.
const POLITE: Duration = Duration::from_secs(3);
/// How often a group that was killed is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(10);

/// A program under way.
pub(crate) struct Program {
    child: Child,
    group: Pid,
}

impl Program {
    /// Starts it. `{port}` and `{address}` in its arguments become those of the mount; so does what `environment` says.
    pub(crate) fn start(
        words: &[String],
        address: &str,
        environment: &[(&str, String)],
    ) -> Result<Self, TrialError> {
        let port = address.rsplit_once(':').map_or(address, |(_, port)| port);
        let filled: Vec<String> =
            words.iter().map(|word| word.replace("{port}", port).replace("{address}", address)).collect();
        let [name, arguments @ ..] = filled.as_slice() else { return Err(TrialError::NoProgram) };
        let failed = |source: io::Error| TrialError::Program { name: name.clone(), source };
        let mut command = Command::new(name);
        command.args(arguments).stdin(Stdio::null()).stdout(Stdio::from(io::stderr())).process_group(0);
        for (key, value) in environment {
            command.env(key, value);
        }
        // If the trial itself is interrupted, the program must not outlive it.
        command.kill_on_drop(true);
        let child = command.spawn().map_err(failed)?;
        let id = child.id().and_then(|id| i32::try_from(id).ok()).and_then(Pid::from_raw);
        let group = id.ok_or_else(|| failed(io::Error::other("it ended at once")))?;
        Ok(Self { child, group })
    }

    /// Waits until it ends by itself.
    pub(crate) async fn ended(&mut self) -> Ending {
        match self.child.wait().await {
            Ok(status) => of_status(status),
            Err(_) => Ending::Crashed(0),
        }
    }

    /// Asks it to end, kills it if it doesn't; whether the asking was enough.
    pub(crate) async fn end(&mut self) -> bool {
        let _ = kill_process_group(self.group, Signal::TERM);
        let polite = tokio::time::timeout(POLITE, self.child.wait()).await.is_ok();
        if !polite {
            let _ = kill_process_group(self.group, Signal::KILL);
            let _ = self.child.wait().await;
        }
        polite
    }

    /// Ends whatever of its group is left; whether there was anything.
    pub(crate) async fn end_the_rest(&self) -> bool {
        if test_kill_process_group(self.group).is_err() {
            return false;
        }
        let _ = kill_process_group(self.group, Signal::TERM);
        let until = tokio::time::Instant::now() + POLITE;
        while test_kill_process_group(self.group).is_ok() {
            if tokio::time::Instant::now() > until {
                let _ = kill_process_group(self.group, Signal::KILL);
                break;
            }
            tokio::time::sleep(LOOK_EVERY).await;
        }
        true
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        // A trial that is given up leaves nothing running: neither the program nor its children.
        if test_kill_process_group(self.group).is_ok() {
            let _ = kill_process_group(self.group, Signal::KILL);
        }
    }
}

fn of_status(status: ExitStatus) -> Ending {
    match (status.code(), status.signal()) {
        (Some(0), _) => Ending::Finished,
        (Some(code), _) => Ending::Failed(code),
        (None, signal) => Ending::Crashed(signal.unwrap_or(0)),
    }
}
