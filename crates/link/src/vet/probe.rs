//! A connection that takes nothing for granted: raw bytes, with everything noted.

use super::Subject;
use crate::client::{AnyStream, open};
use crate::error::LinkError;
use std::collections::VecDeque;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::time::{Duration, Instant};

/// How long a reply may take: the longest line there and back on a slow serial line, with room.
const PATIENCE: Duration = Duration::from_secs(5);
/// How long silence is listened to.
const LISTEN: Duration = Duration::from_millis(250);
/// A line that hasn't ended by then never will.
const LINE_MOST: usize = 4096;

/// Why a trial didn't pass.
pub(super) enum Fault {
    /// The demand isn't met.
    Broken(String),
    /// It says nothing about this mount.
    NotApplicable(String),
    /// The mount can't be reached any more.
    Outside(LinkError),
}

pub(super) struct Probe {
    subject: Subject,
    stream: Box<dyn AnyStream>,
    bytes: Vec<u8>,
    events: VecDeque<String>,
    lines: Vec<String>,
    /// What this connection is called in the notes, if there are several.
    mark: &'static str,
}

impl Probe {
    pub(super) async fn open(subject: &Subject) -> Result<Self, LinkError> {
        let stream = open(&subject.address).await?;
        let mut probe = Self {
            subject: subject.clone(),
            stream,
            bytes: Vec::new(),
            events: VecDeque::new(),
            lines: Vec::new(),
            mark: "",
        };
        if let Some(token) = &subject.token {
            let hello = format!("{}\n", token.hello());
            // Not noted: a token doesn't belong in a report.
            let _ = probe.stream.write_all(hello.as_bytes()).await;
            let _ = probe.reply().await;
            probe.lines.clear();
        }
        Ok(probe)
    }

    pub(super) fn may_move(&self) -> Result<(), Fault> {
        if self.subject.may_move {
            return Ok(());
        }
        Err(Fault::NotApplicable("moving the axes was not allowed".to_owned()))
    }

    /// Whether it is a device of the system's rather than a link to a pseudo-terminal, as this server publishes it.
    pub(super) fn is_real_device(&self) -> bool {
        match &self.subject.address {
            crate::Address::Device { path, .. } => !path.is_symlink(),
            crate::Address::Tcp { .. } => false,
        }
    }

    /// Holds that the mount has a verb, and that verb a key if one is named.
    pub(super) async fn has(&mut self, verb: &str, key: Option<&str>) -> Result<(), Fault> {
        let absent = |what: &str| Err(Fault::NotApplicable(format!("this mount has no {what}")));
        let verbs = value(&self.ask("help").await?, "verbs")?;
        if !verbs.split(',').any(|name| name == verb) {
            return absent(verb);
        }
        let Some(key) = key else { return Ok(()) };
        let keys = value(&self.ask(&format!("help {verb}")).await?, "keys")?;
        if keys.split(',').any(|name| name == key) { Ok(()) } else { absent(&format!("{verb} {key}=")) }
    }

    /// A second connection to the same mount, where it is reached in a way that allows several.
    pub(super) async fn another(&mut self) -> Result<Self, Fault> {
        if matches!(self.subject.address, crate::Address::Device { .. }) {
            return Err(Fault::NotApplicable("a serial line has one connection".to_owned()));
        }
        let mut other = Self::open(&self.subject).await.map_err(Fault::Outside)?;
        other.mark = "second: ";
        Ok(other)
    }

    /// Closes this connection and makes another in its place.
    pub(super) async fn reopen(&mut self) -> Result<(), Fault> {
        self.lines.push("(closed and opened again)".to_owned());
        self.stream = Box::new(tokio::io::empty());
        let fresh = Self::open(&self.subject).await.map_err(Fault::Outside)?;
        self.stream = fresh.stream;
        self.bytes.clear();
        self.events.clear();
        Ok(())
    }

    pub(super) fn into_lines(self) -> Vec<String> {
        self.lines
    }

    /// Takes over the notes of a second connection.
    pub(super) fn take_notes(&mut self, other: Self) {
        self.lines.extend(other.lines);
    }

    /// Sends bytes as they are.
    pub(super) async fn send(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        self.lines.push(format!("{}> {}", self.mark, bytes.escape_ascii()));
        let sent = tokio::time::timeout(PATIENCE, async {
            self.stream.write_all(bytes).await?;
            self.stream.flush().await
        });
        match sent.await {
            Ok(Ok(())) => Ok(()),
            Ok(Err(error)) => Err(Fault::Broken(format!("the connection broke: {error}"))),
            Err(_) => Err(Fault::Broken("nothing is taken from the line any more".to_owned())),
        }
    }

    /// The next line that is no event, as its bytes without the LF.
    pub(super) async fn raw_reply(&mut self) -> Result<Vec<u8>, Fault> {
        let until = Instant::now() + PATIENCE;
        loop {
            let Some(line) = self.line_until(until).await? else {
                return Err(Fault::Broken("a reply was expected; none came within 5 s".to_owned()));
            };
            if line.starts_with(b"* ") {
                self.events.push_back(String::from_utf8_lossy(&line).into_owned());
                continue;
            }
            return Ok(line);
        }
    }

    /// The same as text. A CR at its end is a matter of the reply's form alone, for which there is a trial.
    pub(super) async fn reply(&mut self) -> Result<String, Fault> {
        let line = self.raw_reply().await?;
        Ok(String::from_utf8_lossy(line.strip_suffix(b"\r").unwrap_or(&line)).into_owned())
    }

    /// Sends a line and takes its reply.
    pub(super) async fn ask(&mut self, line: &str) -> Result<String, Fault> {
        self.send(format!("{line}\n").as_bytes()).await?;
        self.reply().await
    }

    /// Holds that an event that begins so doesn't come for a moment.
    pub(super) async fn no_event(&mut self, begin: &str) -> Result<(), Fault> {
        self.silence().await?;
        match self.events.iter().find(|event| event.starts_with(begin)) {
            Some(event) => Err(Fault::Broken(format!("an event too many: {event}"))),
            None => Ok(()),
        }
    }

    /// Holds that no reply comes for a moment.
    pub(super) async fn silence(&mut self) -> Result<(), Fault> {
        let until = Instant::now() + LISTEN;
        while let Some(line) = self.line_until(until).await? {
            if !line.starts_with(b"* ") {
                return Err(Fault::Broken(format!("a reply too many: {}", line.escape_ascii())));
            }
            self.events.push_back(String::from_utf8_lossy(&line).into_owned());
        }
        Ok(())
    }

    /// Waits for an event that begins so.
    pub(super) async fn event(&mut self, begin: &str, within: Duration) -> Result<String, Fault> {
        let until = Instant::now() + within;
        let fits =
            |line: &str| line == begin || line.strip_prefix(begin).is_some_and(|rest| rest.starts_with(' '));
        loop {
            if let Some(at) = self.events.iter().position(|event| fits(event)) {
                return Ok(self.events.remove(at).unwrap_or_default());
            }
            match self.line_until(until).await? {
                Some(line) => self.events.push_back(String::from_utf8_lossy(&line).into_owned()),
                None => {
                    let seconds = within.as_secs();
                    return Err(Fault::Broken(format!(
                        "`{begin}` was expected; it didn't come within {seconds} s"
                    )));
                }
            }
        }
    }

    async fn line_until(&mut self, until: Instant) -> Result<Option<Vec<u8>>, Fault> {
        loop {
            if let Some(end) = self.bytes.iter().position(|byte| *byte == b'\n') {
                let mut line: Vec<u8> = self.bytes.drain(..=end).collect();
                line.pop();
                self.lines.push(format!("{}< {}", self.mark, line.escape_ascii()));
                return Ok(Some(line));
            }
            if self.bytes.len() > LINE_MOST {
                return Err(Fault::Broken(format!("a line of over {LINE_MOST} bytes")));
            }
            let mut chunk = [0; 1024];
            match tokio::time::timeout_at(until, self.stream.read(&mut chunk)).await {
                Err(_) => return Ok(None),
                Ok(Ok(count)) if count > 0 => self.bytes.extend_from_slice(&chunk[..count]),
                Ok(_) => return Err(Fault::Broken("the connection was closed".to_owned())),
            }
        }
    }
}

/// Holds that a reply is `ok`.
pub(super) fn ok(reply: &str) -> Result<(), Fault> {
    let is_ok = reply == "ok" || reply.starts_with("ok ");
    if is_ok { Ok(()) } else { Err(Fault::Broken(format!("`ok` was expected, not `{reply}`"))) }
}

/// Holds that a reply without a tag is the refusal of that number.
pub(super) fn refused(reply: &str, number: u16) -> Result<(), Fault> {
    if reply.starts_with(&format!("no {number} ")) {
        return Ok(());
    }
    Err(Fault::Broken(format!("a refusal with {number} was expected, not `{reply}`")))
}

/// The value of a key in a reply that is `ok`.
pub(super) fn value(reply: &str, key: &str) -> Result<String, Fault> {
    let found = protocol::read_reply(reply).and_then(|read| read.get(key).map(str::to_owned));
    found.ok_or_else(|| Fault::Broken(format!("`{key}=` was expected in `{reply}`")))
}
