//! The task behind a client: it owns the connection, and makes it again.

use super::{AnyStream, ClientError, ClientOptions, Event, open};
use crate::address::Address;
use protocol::check::{self, Checked};
use protocol::{Frame, LineBuffer, RawRequest, Tag, read_event, read_reply};
use std::collections::BTreeMap;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::sync::{broadcast, mpsc, oneshot};
use tokio::time::{Duration, Instant};

/// What has the same effect when it is sent twice, so that it may be sent again after a lost reply. Whatever moves the
/// mount, or means the moment at which it is sent, is not among them.
const MAY_REPEAT: &[&str] = &["identify", "version", "help", "stop", "status", "axes", "jobs"];
/// These only show something if they have no keys.
const MAY_REPEAT_BARE: &[&str] = &["site", "time", "track", "limits", "horizon", "approach"];
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
    may_repeat: bool,
    reply: oneshot::Sender<Outcome>,
}

pub(super) struct Carrier {
    again: Option<Address>,
    options: ClientOptions,
    events: broadcast::Sender<Event>,
    pending: BTreeMap<u32, Pending>,
    next_tag: u32,
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
        Self { again, options, events, pending: BTreeMap::new(), next_tag: 1 }
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
        let mut incoming = LineBuffer::new();
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
                        while let Some(frame) = incoming.next_frame() {
                            self.take(frame);
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

    fn queue(&mut self, command: Command, out: &mut Vec<u8>) {
        let Command { mut request, reply } = command;
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
        self.pending.insert(number, Pending { may_repeat: may_repeat(&request), line, reply });
    }

    /// Requests whose caller waits no longer.
    fn forget_the_abandoned(&mut self) {
        self.pending.retain(|_, pending| !pending.reply.is_closed());
    }

    /// A line from the mount. One that can't be read was damaged; its request is answered by time.
    fn take(&mut self, frame: Frame) {
        let Frame::Line(line) = frame else { return };
        let (line, checked) = match check::take(&line) {
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

fn may_repeat(request: &RawRequest) -> bool {
    MAY_REPEAT.contains(&request.verb.as_str())
        || request.pairs.is_empty() && MAY_REPEAT_BARE.contains(&request.verb.as_str())
}
