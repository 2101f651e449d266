//! A device that speaks a dialect, or our own language where none is named.

use super::Dialect;
use protocol::{Device, Session, read_event, read_reply};
use std::collections::BTreeMap;
use std::sync::Arc;
use units::Instant;

/// A dialect's line is looked for in no more than this.
const LINE_MOST: usize = 1024;
/// Requests without a reply so far, per connection.
const OPEN_MOST: usize = 64;

/// What a reply is for.
#[derive(Clone, Copy, Debug)]
enum For {
    /// A line of the dialect, by its place in the file.
    Line(usize),
    /// What is said unprompted, by its place.
    Unprompted(usize),
}

#[derive(Clone, Debug, Default)]
struct Talk {
    begun: Vec<u8>,
    heard: Vec<u8>,
    out: Vec<u8>,
    open: BTreeMap<u32, For>,
    next_tag: u32,
    /// When each of what is said unprompted is next due.
    due: Vec<Option<Instant>>,
}

/// A device behind a dialect.
#[derive(Debug)]
pub struct Speaking<D> {
    inner: D,
    dialect: Option<Arc<Dialect>>,
    talks: BTreeMap<Session, Talk>,
    now: Option<Instant>,
}

impl<D: Device> Speaking<D> {
    /// Puts a dialect before a device; without one the device speaks for itself.
    pub fn new(inner: D, dialect: Option<Dialect>) -> Self {
        Self { inner, dialect: dialect.map(Arc::new), talks: BTreeMap::new(), now: None }
    }

    /// The device behind it.
    pub fn inner(&mut self) -> &mut D {
        &mut self.inner
    }

    /// Sends a line of ours, marked so that its reply is known again.
    fn ask(&mut self, session: Session, line: &[u8], what: For) {
        let Some(talk) = self.talks.get_mut(&session) else { return };
        talk.next_tag = talk.next_tag % 99_999_999 + 1;
        while talk.open.len() >= OPEN_MOST {
            talk.open.pop_first();
        }
        talk.open.insert(talk.next_tag, what);
        let ours = [format!("@{} ", talk.next_tag).as_bytes(), line, b"\n"].concat();
        self.inner.receive(session, &ours);
    }

    /// Says what is due unprompted.
    fn speak_up(&mut self) {
        let (Some(dialect), Some(now)) = (self.dialect.clone(), self.now) else { return };
        let sessions: Vec<Session> = self.talks.keys().copied().collect();
        for session in sessions {
            for (place, row) in dialect.unprompted.iter().enumerate() {
                let Some(talk) = self.talks.get_mut(&session) else { continue };
                let due = talk.due[place].get_or_insert(now + row.every);
                if *due <= now {
                    *due = now + row.every;
                    self.ask(session, row.send.as_bytes(), For::Unprompted(place));
                }
            }
        }
    }
}

impl<D: Device> Device for Speaking<D> {
    fn connect(&mut self) -> Session {
        let session = self.inner.connect();
        if let Some(dialect) = &self.dialect {
            let mut talk = Talk { due: vec![None; dialect.unprompted.len()], ..Talk::default() };
            if let Some(greeting) = &dialect.greeting {
                talk.out.extend_from_slice(greeting);
                talk.out.extend_from_slice(&dialect.line_end);
            }
            self.talks.insert(session, talk);
        }
        session
    }

    fn disconnect(&mut self, session: Session) {
        self.talks.remove(&session);
        self.inner.disconnect(session);
    }

    fn receive(&mut self, session: Session, bytes: &[u8]) {
        // A stop of ours always works: the server itself says it when it ends.
        let Some(dialect) = self.dialect.clone().filter(|_| bytes != b"stop\n") else {
            return self.inner.receive(session, bytes);
        };
        let Some(talk) = self.talks.get_mut(&session) else { return };
        talk.begun.extend_from_slice(bytes);
        while let Some(line) =
            self.talks.get_mut(&session).and_then(|talk| next(&mut talk.begun, &dialect.line_end))
        {
            if let (Some(talk), true) = (self.talks.get_mut(&session), dialect.echo) {
                talk.out.extend_from_slice(&line);
                talk.out.extend_from_slice(&dialect.line_end);
            }
            if line.is_empty() {
                continue;
            }
            let found = dialect.requests.iter().enumerate().find_map(|(place, row)| {
                row.pattern.matched(&line).map(|fields| (place, row.send.filled(&fields)))
            });
            match found {
                Some((place, ours)) => self.ask(session, &ours, For::Line(place)),
                None => {
                    let Some(talk) = self.talks.get_mut(&session) else { return };
                    if !dialect.unknown.is_empty() {
                        talk.out.extend_from_slice(&dialect.unknown);
                        talk.out.extend_from_slice(&dialect.line_end);
                    }
                }
            }
        }
    }

    fn transmit(&mut self, session: Session, out: &mut Vec<u8>) {
        let Some(dialect) = &self.dialect else { return self.inner.transmit(session, out) };
        let Some(talk) = self.talks.get_mut(&session) else { return };
        self.inner.transmit(session, &mut talk.heard);
        while let Some(line) = next(&mut talk.heard, b"\n") {
            let said = translated(dialect, &mut talk.open, &String::from_utf8_lossy(&line));
            if let Some(said) = said {
                talk.out.extend_from_slice(&said);
                talk.out.extend_from_slice(&dialect.line_end);
            }
        }
        out.append(&mut talk.out);
    }

    fn next_wake(&self) -> Option<Instant> {
        let due = self.talks.values().flat_map(|talk| talk.due.iter().flatten().copied()).min();
        self.inner.next_wake().into_iter().chain(due).min()
    }

    fn advance(&mut self, until: Instant) {
        self.inner.advance(until);
        self.now = Some(until);
        self.speak_up();
    }

    fn closes(&self, session: Session) -> bool {
        self.inner.closes(session)
    }
}

/// What the dialect says for a line of ours, if anything.
fn translated(dialect: &Dialect, open: &mut BTreeMap<u32, For>, line: &str) -> Option<Vec<u8>> {
    if let Some((word, pairs)) = read_event(line) {
        let (_, say) = dialect.events.iter().find(|(of, _)| *of == word)?;
        return Some(say.filled(&pairs));
    }
    let reply = read_reply(line)?;
    let tag = reply.tag.as_ref()?.as_str().parse().ok()?;
    let what = open.remove(&tag)?;
    match (reply.outcome, what) {
        (Ok(pairs), For::Line(place)) => {
            dialect.requests[place].reply.as_ref().map(|reply| reply.filled(&pairs))
        }
        (Ok(pairs), For::Unprompted(place)) => Some(dialect.unprompted[place].say.filled(&pairs)),
        (Err((number, word, sentence)), For::Line(place)) => {
            let told = [("number", number.to_string()), ("word", word), ("sentence", sentence)];
            Some(dialect.requests[place].refused.filled(&told.map(|(key, value)| (key.to_owned(), value))))
        }
        (Err(_), For::Unprompted(_)) => None,
    }
}

/// Cuts the next line off, without its end; what can no longer become one is dropped.
fn next(bytes: &mut Vec<u8>, end: &[u8]) -> Option<Vec<u8>> {
    let Some(at) = bytes.windows(end.len()).position(|window| window == end) else {
        if bytes.len() > LINE_MOST {
            bytes.clear();
        }
        return None;
    };
    let mut line: Vec<u8> = bytes.drain(..at + end.len()).collect();
    line.truncate(at);
    Some(line)
}
