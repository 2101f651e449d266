//! One connection, from its first byte to the reason of its end.

use crate::engine::{Engine, Outbox};
use crate::gate::{Gate, Token, Verdict};
use crate::limits::Limits;
use protocol::{Device, Session};
use std::io;
use std::pin::pin;
use std::sync::Arc;
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::sync::watch;
use tokio::time::{Duration, Instant};

/// Bytes taken from a connection at once.
const READ_BYTES: usize = 16 * 1024;
/// Bytes handed to the device at once: even if each two of them are answered with a line of 255, the answers stay within
/// a few times [`Limits::output_high`].
const SLICE_BYTES: usize = 1024;
/// How long a last word to a client may take.
const FAREWELL: Duration = Duration::from_millis(200);

/// Why a connection ended. All but the first two are told to the client as `* closing reason=…` if it still reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// The client hung up.
    HungUp,
    /// The line broke.
    Broken,
    /// The server ends.
    Ending,
    /// Nothing was heard for too long.
    Idle,
    /// A line was begun and not ended in time.
    SlowLine,
    /// The client didn't take what was sent.
    NotReading,
    /// No token, or the wrong one.
    NoToken,
    /// A web browser was made to connect: a page may send lines, but it is no client.
    Web,
}

impl Reason {
    /// Its word in the line that tells of it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::HungUp => "hung-up",
            Self::Broken => "broken",
            Self::Ending => "ending",
            Self::Idle => "idle",
            Self::SlowLine => "slow-line",
            Self::NotReading => "not-reading",
            Self::NoToken => "no-token",
            Self::Web => "web",
        }
    }
}

/// How a server treats one connection.
#[derive(Clone, Debug)]
pub(crate) struct Terms {
    pub(crate) limits: Limits,
    /// Whether lines and silence have a deadline: not at a terminal where somebody types.
    pub(crate) deadlines: bool,
    /// What happens to output that the client doesn't take.
    pub(crate) stall: Stall,
    /// What has to be shown first.
    pub(crate) token: Option<Token>,
}

/// What happens to output that a client doesn't take for [`Limits::stalled`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stall {
    /// The connection ends.
    Close,
    /// It is lost, as on a wire at whose other end nobody listens.
    Lose,
}

/// Carries one connection to its end.
pub(crate) async fn carry<D: Device, S: AsyncRead + AsyncWrite + Unpin>(
    engine: &Engine<D>,
    stream: S,
    terms: &Terms,
    ending: watch::Receiver<bool>,
) -> Reason {
    let (session, outbox) = engine.connect();
    let mut connection = Connection::new(engine, session, outbox, terms);
    let (mut reader, mut writer) = tokio::io::split(stream);
    let reason = connection.run(&mut reader, &mut writer, ending).await;
    if reason == Reason::Ending {
        // What overflowed is lost with the connection.
        let _ = connection.collect();
    }
    engine.disconnect(session);
    if !matches!(reason, Reason::HungUp | Reason::Broken) {
        let last = format!("* closing reason={}\n", reason.word());
        connection.out.drain(..connection.sent);
        // In the middle of a line that the client didn't take, a further line would only be taken for its end.
        if reason != Reason::NotReading {
            connection.out.extend_from_slice(last.as_bytes());
        }
        let _ = tokio::time::timeout(FAREWELL, async {
            writer.write_all(&connection.out).await?;
            writer.shutdown().await
        })
        .await;
    }
    reason
}

struct Connection<'a, D> {
    engine: &'a Engine<D>,
    session: Session,
    outbox: Arc<Outbox>,
    terms: &'a Terms,
    gate: Option<Gate>,
    /// What was read, and how much of it the device has had.
    input: Vec<u8>,
    taken: usize,
    /// What is to be written, and how much of it was.
    out: Vec<u8>,
    sent: usize,
    begun: Instant,
    heard: Instant,
    /// When the line that isn't ended yet was begun.
    line_begun: Option<Instant>,
    /// When bytes last went out, or there were none.
    progress: Instant,
}

impl<'a, D: Device> Connection<'a, D> {
    fn new(engine: &'a Engine<D>, session: Session, outbox: Arc<Outbox>, terms: &'a Terms) -> Self {
        let now = Instant::now();
        Self {
            engine,
            session,
            outbox,
            terms,
            gate: terms.token.clone().map(Gate::new),
            input: vec![0; READ_BYTES],
            taken: 0,
            out: Vec::new(),
            sent: 0,
            begun: now,
            heard: now,
            line_begun: None,
            progress: now,
        }
    }

    async fn run(
        &mut self,
        reader: &mut (impl AsyncRead + Unpin),
        writer: &mut (impl AsyncWrite + Unpin),
        mut ending: watch::Receiver<bool>,
    ) -> Reason {
        let mut end = pin!(ending.wait_for(|ending| *ending));
        let mut timer = pin!(tokio::time::sleep_until(self.next_deadline()));
        // A range of the input that the device has not had.
        let mut filled = 0;
        let mut first = true;
        let outbox = Arc::clone(&self.outbox);
        loop {
            if self.taken < filled && self.waiting() < self.terms.limits.output_high {
                if let Err(reason) = self.feed(filled) {
                    return reason;
                }
                continue;
            }
            if let Err(reason) = self.collect() {
                return reason;
            }
            let may_read = self.taken >= filled && self.waiting() < self.terms.limits.output_high;
            tokio::select! {
                biased;
                _ = &mut end => return Reason::Ending,
                written = writer.write(&self.out[self.sent..]), if self.sent < self.out.len() => match written {
                    Ok(count) if count > 0 => self.wrote(count),
                    _ => return Reason::Broken,
                },
                () = outbox.changed.notified() => {}
                read = reader.read(&mut self.input), if may_read => match read {
                    Ok(0) => return Reason::HungUp,
                    Ok(count) => {
                        if first && self.terms.deadlines && is_web(&self.input[..count]) {
                            return Reason::Web;
                        }
                        first = false;
                        filled = count;
                        self.taken = 0;
                        self.hear(count);
                    }
                    Err(error) => return broken(&error),
                },
                () = &mut timer => {
                    match self.overdue() {
                        Some(Reason::NotReading) if self.terms.stall == Stall::Lose => self.lose(),
                        Some(reason) => return reason,
                        None => {}
                    }
                    timer.as_mut().reset(self.next_deadline());
                }
            }
        }
    }

    /// Bytes that are to be written.
    fn waiting(&self) -> usize {
        self.out.len() - self.sent
    }

    /// Hands the next slice of the input to the gate or to the device.
    fn feed(&mut self, filled: usize) -> Result<(), Reason> {
        let to = filled.min(self.taken + SLICE_BYTES);
        let slice = &self.input[self.taken..to];
        let Some(gate) = &mut self.gate else {
            self.engine.receive(self.session, slice);
            self.taken = to;
            return self.collect();
        };
        match gate.judge(slice) {
            Verdict::Wait => self.taken = to,
            Verdict::Open { answer, used } => {
                self.taken += used;
                self.gate = None;
                self.out.extend_from_slice(answer.as_bytes());
            }
            Verdict::Shut(answer) => {
                self.out.extend_from_slice(answer.as_bytes());
                return Err(Reason::NoToken);
            }
        }
        Ok(())
    }

    /// Takes what waits in the outbox.
    fn collect(&mut self) -> Result<(), Reason> {
        if self.sent == self.out.len() {
            self.out.clear();
            self.sent = 0;
            self.progress = Instant::now();
        }
        if self.gate.is_some() {
            return Ok(());
        }
        match self.outbox.take(&mut self.out) {
            Err(Reason::NotReading) if self.terms.stall == Stall::Lose => {
                self.outbox.begin_again();
                self.lose();
                Ok(())
            }
            other => other,
        }
    }

    /// Drops what waits to be sent; a line that was begun is ended, so that the next one stands by itself.
    fn lose(&mut self) {
        self.out.clear();
        self.out.push(b'\n');
        self.sent = 0;
        self.progress = Instant::now();
    }

    fn wrote(&mut self, count: usize) {
        self.sent += count;
        self.progress = Instant::now();
    }

    /// Keeps the times by which silence and slow lines are judged.
    fn hear(&mut self, count: usize) {
        let now = Instant::now();
        self.heard = now;
        self.line_begun = match self.input[..count].iter().rposition(|byte| *byte == b'\n') {
            Some(end) if end + 1 == count => None,
            Some(_) => Some(now),
            None => self.line_begun.or(Some(now)),
        };
    }

    fn overdue(&self) -> Option<Reason> {
        let now = Instant::now();
        self.deadlines().into_iter().flatten().find(|(at, _)| *at <= now).map(|(_, reason)| reason)
    }

    fn next_deadline(&self) -> Instant {
        // Deadlines only move away while a connection lives, but for those that begin with a line or with output: look
        // often enough for those.
        let limits = &self.terms.limits;
        let soon = Instant::now() + limits.stalled.min(limits.line) / 4;
        self.deadlines().into_iter().flatten().map(|(at, _)| at).chain([soon]).min().unwrap_or(soon)
    }

    fn deadlines(&self) -> [Option<(Instant, Reason)>; 4] {
        let limits = &self.terms.limits;
        let timed = self.terms.deadlines;
        [
            self.gate.is_some().then(|| (self.begun + limits.token, Reason::NoToken)),
            (self.waiting() > 0).then(|| (self.progress + limits.stalled, Reason::NotReading)),
            self.line_begun.filter(|_| timed).map(|begun| (begun + limits.line, Reason::SlowLine)),
            timed.then(|| (self.heard + limits.idle, Reason::Idle)),
        ]
    }
}

/// Whether a connection begins as a request of a web browser does. A page that somebody looks at can make their browser send
/// any lines to this computer after such a first line; they must not move a mount.
fn is_web(bytes: &[u8]) -> bool {
    const METHODS: [&[u8]; 8] =
        [b"GET ", b"POST ", b"PUT ", b"HEAD ", b"OPTIONS ", b"DELETE ", b"PATCH ", b"CONNECT "];
    METHODS.iter().any(|method| bytes.starts_with(method))
}

/// A connection that was reset is one whose client has gone.
fn broken(error: &io::Error) -> Reason {
    match error.kind() {
        io::ErrorKind::ConnectionReset | io::ErrorKind::BrokenPipe | io::ErrorKind::UnexpectedEof => {
            Reason::HungUp
        }
        _ => Reason::Broken,
    }
}
