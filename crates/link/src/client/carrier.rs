//! The task behind a client: it owns the connection, and makes it again.

use super::{AnyStream, ClientError, ClientOptions, Event, open};
use crate::address::Address;
use crate::incoming::Incoming;
use protocol::check::{self, Checked};
use protocol::grammar::Pair;
use protocol::{RawRequest, Request, Tag, read_event, read_reply, verbs};
use std::collections::BTreeMap;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::sync::{broadcast, mpsc, oneshot};
use tokio::time::{Duration, Instant};

/// The key of a sequence number.
const NUMBER: &str = "seq";
const FIRST_WAIT: Duration = Duration::from_millis(50);
const LONGEST_WAIT: Duration = Duration::from_secs(2);

type Outcome = Result<Vec<(String, String)>, ClientError>;

/// A request on its way to the carrier.
#[derive(Debug)]
pub(super) struct Command {
    pub(super) request: RawRequest,
    pub(super) reply: oneshot::Sender<Outcome>,
}

struct Pending {
    line: String,
    /// Whether it has the same effect when it is sent twice, even to another connection of the mount.
    may_repeat: bool,
    /// Whether it moves nothing when it is sent twice on the same connection.
    numbered: bool,
    sent: Instant,
    reply: oneshot::Sender<Outcome>,
}

pub(super) struct Carrier {
    again: Option<Address>,
    options: ClientOptions,
    events: broadcast::Sender<Event>,
    pending: BTreeMap<u32, Pending>,
    next_tag: u32,
    next_number: u64,
}

/// Why a connection is no longer carried.
enum End {
    /// Nobody wants anything any more.
    Dropped,
    /// The other end has gone.
    Lost,
}

impl Carrier {
    pub(super) fn new(
        again: Option<Address>,
        options: ClientOptions,
        events: broadcast::Sender<Event>,
    ) -> Self {
        Self { again, options, events, pending: BTreeMap::new(), next_tag: 1, next_number: first_number() }
    }

    pub(super) async fn run(mut self, first: Box<dyn AnyStream>, mut commands: mpsc::Receiver<Command>) {
        let mut stream = first;
        loop {
            match self.carry(&mut stream, &mut commands).await {
                End::Dropped => return,
                End::Lost => {}
            }
            drop(stream);
            self.give_up_on(|pending| !pending.may_repeat);
            match self.reconnect(&commands).await {
                Some(made) => stream = made,
                None => return self.give_up_on(|_| true),
            }
        }
    }

    /// Ends the requests whose reply can't come any more.
    fn give_up_on(&mut self, which: impl Fn(&Pending) -> bool) {
        for (_, pending) in self.pending.extract_if(.., |_, pending| which(pending)) {
            let _ = pending.reply.send(Err(ClientError::ReplyLost));
        }
    }

    /// Tries again, ever more slowly, for as long as anybody holds the client.
    async fn reconnect(&self, commands: &mpsc::Receiver<Command>) -> Option<Box<dyn AnyStream>> {
        let address = self.again.as_ref()?;
        let mut wait = FIRST_WAIT;
        while !commands.is_closed() {
            tokio::time::sleep(wait).await;
            match open(address).await {
                Ok(stream) => return Some(stream),
                Err(error) => tracing::debug!(%error, "not back yet"),
            }
            wait = (wait * 2).min(LONGEST_WAIT);
        }
        None
    }

    async fn carry(
        &mut self,
        stream: &mut Box<dyn AnyStream>,
        commands: &mut mpsc::Receiver<Command>,
    ) -> End {
        let (mut reader, mut writer) = tokio::io::split(stream);
        let mut out = self.opening();
        let mut sent = 0;
        let mut incoming = Incoming::default();
        let mut bytes = vec![0; 4096];
        let mut heard = Instant::now();
        loop {
            tokio::select! {
                biased;
                written = writer.write(&out[sent..]), if sent < out.len() => match written {
                    Ok(count) if count > 0 => {
                        sent += count;
                        if sent == out.len() {
                            out.clear();
                            sent = 0;
                        }
                    }
                    _ => return End::Lost,
                },
                read = reader.read(&mut bytes) => match read {
                    Ok(count) if count > 0 => {
                        heard = Instant::now();
                        incoming.push(&bytes[..count]);
                        while let Some(line) = incoming.next_line() {
                            self.take(&line);
                        }
                    }
                    _ => return End::Lost,
                },
                command = commands.recv() => match command {
                    None => return End::Dropped,
                    Some(command) => {
                        self.forget_the_abandoned();
                        self.queue(command, &mut out);
                    }
                },
                () = tokio::time::sleep_until(self.next_repeat(heard)), if self.repeats() => self.repeat(&mut out),
                // Requests that nobody answers for twice their time: the connection is only half there.
                () = tokio::time::sleep_until(heard + self.options.timeout * 2), if !self.pending.is_empty() => {
                    self.forget_the_abandoned();
                    if !self.pending.is_empty() {
                        return End::Lost;
                    }
                    heard = Instant::now();
                }
            }
        }
    }

    /// What a fresh connection begins with: the token, and what may be asked again.
    fn opening(&self) -> Vec<u8> {
        let mut out = String::new();
        if let Some(token) = &self.options.token {
            out.push_str(&token.hello());
            out.push('\n');
        }
        for pending in self.pending.values() {
            out.push_str(&pending.line);
        }
        out.into_bytes()
    }

    fn repeats(&self) -> bool {
        self.options.repeat_after.is_some() && !self.pending.is_empty()
    }

    /// When the next request is to be sent again, if nothing comes. A line that is busy with replies is not pressed.
    fn next_repeat(&self, heard: Instant) -> Instant {
        let wait = self.options.repeat_after.unwrap_or(LONGEST_WAIT);
        let oldest = self.pending.values().map(|pending| pending.sent).min().unwrap_or(heard);
        oldest.max(heard) + wait
    }

    fn repeat(&mut self, out: &mut Vec<u8>) {
        self.forget_the_abandoned();
        let now = Instant::now();
        for pending in self.pending.values_mut() {
            if pending.may_repeat || pending.numbered {
                out.extend_from_slice(pending.line.as_bytes());
            }
            pending.sent = now;
        }
    }

    fn queue(&mut self, command: Command, out: &mut Vec<u8>) {
        let Command { mut request, reply } = command;
        if self.options.number_motions {
            self.number(&mut request);
        }
        let number = self.next_tag;
        self.next_tag = self.next_tag % 99_999_999 + 1;
        request.tag = Tag::new(&number.to_string());
        let mut line = request.to_line();
        if self.options.check {
            check::append(&mut line);
        }
        if line.len() > protocol::MAX_LINE_BYTES {
            let problem = format!("a line may have {} bytes", protocol::MAX_LINE_BYTES);
            let _ = reply.send(Err(ClientError::Unsendable(problem)));
            return;
        }
        line.push('\n');
        out.extend_from_slice(line.as_bytes());
        let numbered = request.pairs.iter().any(|pair| pair.key == NUMBER);
        let may_repeat = may_repeat(&request);
        self.pending.insert(number, Pending { may_repeat, numbered, line, sent: Instant::now(), reply });
    }

    /// Gives a motion its sequence number, if it has none and its verb takes one.
    fn number(&mut self, request: &mut RawRequest) {
        let takes =
            verbs::find(&request.verb).is_some_and(|verb| verb.keys.iter().any(|key| key.name == NUMBER));
        let acts = Request::from_raw(request).is_ok_and(|request| request.acts());
        if takes && acts && !request.pairs.iter().any(|pair| pair.key == NUMBER) {
            let value = self.next_number.to_string();
            request.pairs.push(Pair { key: NUMBER.to_owned(), value, column: 0 });
            self.next_number += 1;
        }
    }

    /// Requests whose caller waits no longer.
    fn forget_the_abandoned(&mut self) {
        self.pending.retain(|_, pending| !pending.reply.is_closed());
    }

    /// A line from the mount. One that can't be read was damaged; its request is answered by time.
    fn take(&mut self, line: &str) {
        let (line, checked) = match check::take(line) {
            Checked::Absent(line) => (line, false),
            Checked::Good(line) => (line, true),
            Checked::Bad => return,
        };
        if let Some((word, pairs)) = read_event(line) {
            // Nobody may be listening.
            let _ = self.events.send(Event { word, pairs });
            return;
        }
        let Some(reply) = read_reply(line).filter(|_| checked || !self.options.check) else { return };
        let Some(number) = reply.tag.and_then(|tag| tag.as_str().parse().ok()) else { return };
        if let Some(pending) = self.pending.remove(&number) {
            let outcome = reply.outcome.map_err(|(number, word, sentence)| ClientError::Refused {
                number,
                word,
                sentence,
            });
            let _ = pending.reply.send(outcome);
        }
    }
}

/// Whether a request has the same effect when it is sent twice: it asks, or it makes things safer.
fn may_repeat(request: &RawRequest) -> bool {
    Request::from_raw(request).is_ok_and(|request| !request.acts())
}

/// Where a client's sequence numbers begin: later than those of a client before it, for on a serial line the mount takes
/// both for the same connection.
#[allow(clippy::disallowed_methods, reason = "nothing that is simulated depends on it")]
pub(crate) fn first_number() -> u64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    since.map_or(1, |since| since.as_millis() as u64)
}
