//! A program that serves, in a process of its own.

use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, ChildStdout, ExitStatus, Stdio};
use std::time::Duration;

/// It ends when this is dropped.
pub struct Served {
    process: Child,
    out: BufReader<ChildStdout>,
}

impl Served {
    /// Starts the program; what it says on standard error is left unread.
    pub fn begin(arguments: &[&str]) -> Self {
        let mut process = super::nightbench(Path::new("."), arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program can be started");
        let out = BufReader::new(process.stdout.take().expect("it is piped"));
        Self { process, out }
    }

    /// Serves a mount on a free port; with its address.
    pub fn on_a_free_port(more: &[&str]) -> (Self, String) {
        let mut served = Self::begin(&[&["serve", "--tcp", "127.0.0.1:0", "--json"], more].concat());
        let way = served.way();
        assert_eq!(way["transport"], "tcp");
        (served, way["address"].as_str().expect("an address").to_owned())
    }

    /// The next line that it says.
    pub fn line(&mut self) -> String {
        let mut line = String::new();
        self.out.read_line(&mut line).expect("a line of text");
        line.trim_end().to_owned()
    }

    /// The next way to it, of `--json`.
    pub fn way(&mut self) -> serde_json::Value {
        serde_json::from_str(&self.line()).expect("one JSON object on a line")
    }

    /// Sends it a signal; how it ended.
    pub fn signal(&mut self, signal: rustix::process::Signal) -> ExitStatus {
        let id = rustix::process::Pid::from_child(&self.process);
        rustix::process::kill_process(id, signal).expect("it still runs");
        self.ends_within_a_second()
    }

    #[allow(clippy::disallowed_methods, reason = "a test of a process waits for it")]
    fn ends_within_a_second(&mut self) -> ExitStatus {
        // A second is the promise; the machine that tests may be busy for another.
        for _ in 0..200 {
            if let Some(status) = self.process.try_wait().expect("a child can be waited for") {
                return status;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        panic!("it doesn't end");
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}
