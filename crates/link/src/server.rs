//! One device, any number of ways to it.

use crate::clock::Clock;
use crate::connection::{Reason, Stall, Terms, carry};
use crate::engine::Engine;
use crate::gate::{TOO_MANY, Token};
use crate::handle::Handle;
use crate::limits::Limits;
use crate::paced::{Baud, paced};
use crate::serial::open_serial;
use crate::tcp;
use protocol::Device;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use tokio::io::{AsyncRead, AsyncWrite, AsyncWriteExt};
use tokio::net::TcpListener;
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::Duration;
use units::{Instant, Streams};

/// How long to wait after the system had no room for a further connection, and between looks for an unplugged device.
const TRY_AGAIN: Duration = Duration::from_millis(200);
/// All connections have this long to end by themselves.
const LEAVE_WITHIN: Duration = Duration::from_millis(600);
/// Bytes on a serial line that nobody picks up are lost after this time.
const LINE_STALL: Duration = Duration::from_secs(2);

/// What a server has seen so far.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Connections that were begun.
    pub begun: u64,
    /// Connections that were turned away because there were too many.
    pub turned_away: u64,
    /// Connections that ended, by the reason.
    pub ended: BTreeMap<Reason, u64>,
}

/// Serves a device over any number of transports at once. Ends when it is dropped, or well-mannered by [`Server::end`].
pub struct Server<D> {
    shared: Arc<Shared<D>>,
    tasks: JoinSet<()>,
    ending: watch::Sender<bool>,
}

pub(crate) struct Shared<D> {
    pub(crate) engine: Engine<D>,
    limits: Limits,
    over_tcp: AtomicUsize,
    lines: AtomicU64,
    counts: Mutex<Counts>,
}

impl<D: Device + Send + 'static> Server<D> {
    /// Begins to let the device's time pass. To be called within a tokio runtime.
    pub fn start(device: D, clock: Clock, limits: Limits) -> Self {
        let shared = Arc::new(Shared {
            engine: Engine::new(device, clock, limits.output_most),
            limits,
            over_tcp: AtomicUsize::new(0),
            lines: AtomicU64::new(0),
            counts: Mutex::default(),
        });
        let (ending, watched) = watch::channel(false);
        let mut tasks = JoinSet::new();
        let of_clock = Arc::clone(&shared);
        tasks.spawn(async move { of_clock.engine.run_clock(watched).await });
        Self { shared, tasks, ending }
    }

    /// The same, from the instant at which the device is, `speed` times as fast as the wall's time.
    pub fn start_at(device: D, now: impl Fn(&D) -> Instant, speed: f64, limits: Limits) -> Self {
        let clock = Clock::start(now(&device), speed);
        Self::start(device, clock, limits)
    }

    /// What was seen so far.
    pub fn counts(&self) -> Counts {
        self.shared.counts().clone()
    }

    /// Looks at the device at its present instant.
    pub fn with<T>(&self, look: impl FnOnce(&mut D) -> T) -> T {
        self.shared.engine.with(look)
    }

    /// A way to the device for other parts of the program.
    pub fn handle(&self) -> Handle<D> {
        Handle(Arc::clone(&self.shared))
    }

    /// Serves whoever connects to a listener. Make the listener with [`crate::bind`].
    pub fn tcp(&mut self, listener: TcpListener, token: Option<Token>) {
        let shared = Arc::clone(&self.shared);
        let terms = Terms { limits: shared.limits, deadlines: true, stall: Stall::Close, token };
        let ending = self.ending.subscribe();
        self.tasks.spawn(until_ending(ending.clone(), accept_tcp(shared, listener, terms, ending)));
    }

    /// Serves one stream, such as an in-memory pipe, with the deadlines of a connection over TCP.
    pub fn stream<S: AsyncRead + AsyncWrite + Send + Unpin + 'static>(&mut self, stream: S) {
        let shared = Arc::clone(&self.shared);
        let terms = Terms { limits: shared.limits, deadlines: true, stall: Stall::Close, token: None };
        let ending = self.ending.subscribe();
        self.tasks.spawn(async move { shared.carry(stream, &terms, ending).await });
    }

    /// Serves whoever opens a pseudo-terminal. With `pace` at that speed, with noise from `streams` where the client sets
    /// another; without it as fast as the system carries bytes, whatever the client sets.
    #[cfg(target_os = "linux")]
    pub fn pseudo_terminal(&mut self, terminal: crate::PseudoTerminal, pace: Option<Baud>, streams: Streams) {
        let shared = Arc::clone(&self.shared);
        let ending = self.ending.subscribe();
        self.tasks
            .spawn(until_ending(ending.clone(), accept_openings(shared, terminal, pace, streams, ending)));
    }

    /// Serves a real serial device, and looks for it again whenever it was unplugged. Open it once with
    /// [`crate::open_serial`] beforehand, to tell the user what is wrong with it.
    pub fn serial(&mut self, opened: tokio_serial::SerialStream, path: PathBuf, baud: Baud) {
        let shared = Arc::clone(&self.shared);
        let ending = self.ending.subscribe();
        self.tasks.spawn(until_ending(ending.clone(), keep_serial(shared, opened, path, baud, ending)));
    }

    /// Brings the motors to rest, tells every client, and ends; within a second, whoever doesn't listen.
    pub async fn end(self) -> Counts {
        self.end_with(|_| ()).await.0
    }

    /// The same, with a last look at the device when nobody can change it any more.
    pub async fn end_with<T>(mut self, look: impl FnOnce(&mut D) -> T) -> (Counts, T) {
        self.shared.engine.stop_motors();
        let _ = self.ending.send(true);
        // Every task and every connection holds a receiver; when the last is dropped, all have ended.
        if tokio::time::timeout(LEAVE_WITHIN, self.ending.closed()).await.is_err() {
            tracing::debug!("somebody doesn't listen and is left");
        }
        self.tasks.shutdown().await;
        // A client may have moved it again before it was told.
        self.shared.engine.stop_motors();
        (self.counts(), self.shared.engine.with(look))
    }
}

impl<D: Device> Shared<D> {
    fn counts(&self) -> std::sync::MutexGuard<'_, Counts> {
        self.counts.lock().unwrap_or_else(PoisonError::into_inner)
    }

    async fn carry<S: AsyncRead + AsyncWrite + Unpin>(
        &self,
        stream: S,
        terms: &Terms,
        ending: watch::Receiver<bool>,
    ) {
        self.counts().begun += 1;
        let reason = carry(&self.engine, stream, terms, ending).await;
        tracing::debug!(reason = reason.word(), "a connection ended");
        *self.counts().ended.entry(reason).or_default() += 1;
    }

    /// A serial line's terms: nobody is cut off for typing slowly, and what isn't picked up is lost.
    fn line_terms(&self) -> Terms {
        let limits = Limits { stalled: LINE_STALL, ..self.limits };
        Terms { limits, deadlines: false, stall: Stall::Lose, token: None }
    }
}

async fn until_ending(mut ending: watch::Receiver<bool>, work: impl Future<Output = ()>) {
    // The work hears of the ending too, for the connections that it has begun; what it waits for may be a newcomer.
    tokio::select! {
        () = work => {}
        _ = ending.wait_for(|ending| *ending) => {}
    }
}

/// One connection is over when this is dropped, however it ended.
struct Place<D>(Arc<Shared<D>>);

impl<D> Drop for Place<D> {
    fn drop(&mut self) {
        self.0.over_tcp.fetch_sub(1, Ordering::Relaxed);
    }
}

async fn accept_tcp<D: Device + Send + 'static>(
    shared: Arc<Shared<D>>,
    listener: TcpListener,
    terms: Terms,
    ending: watch::Receiver<bool>,
) {
    loop {
        let mut stream = match listener.accept().await {
            Ok((stream, _)) => stream,
            Err(error) => {
                // Out of file handles, mostly: those who are connected go on, and newcomers wait.
                tracing::warn!(%error, "no further connection can be taken for the moment");
                tokio::time::sleep(TRY_AGAIN).await;
                continue;
            }
        };
        tcp::prepare(&stream);
        if shared.over_tcp.fetch_add(1, Ordering::Relaxed) >= terms.limits.connections {
            let place = Place(Arc::clone(&shared));
            shared.counts().turned_away += 1;
            let most = terms.limits.connections;
            let sentence =
                format!("no {TOO_MANY} too-many \"this mount takes {most} connections at once\"\n");
            // A fresh connection has room for one line; if not, it is closed without.
            let _ = stream.try_write(sentence.as_bytes());
            let _ = stream.shutdown().await;
            drop(place);
            continue;
        }
        let place = Place(Arc::clone(&shared));
        let (terms, ending) = (terms.clone(), ending.clone());
        tokio::spawn(async move { place.0.carry(stream, &terms, ending).await });
    }
}

#[cfg(target_os = "linux")]
async fn accept_openings<D: Device + Send + 'static>(
    shared: Arc<Shared<D>>,
    mut terminal: crate::PseudoTerminal,
    pace: Option<Baud>,
    streams: Streams,
    ending: watch::Receiver<bool>,
) {
    loop {
        let stream = match terminal.accept().await {
            Ok(stream) => stream,
            Err(error) => {
                tracing::warn!(%error, "no further terminal can be made for the moment");
                tokio::time::sleep(TRY_AGAIN).await;
                continue;
            }
        };
        let (shared, ending, streams) = (Arc::clone(&shared), ending.clone(), streams.clone());
        tokio::spawn(async move {
            let terms = shared.line_terms();
            let Some(baud) = pace else { return shared.carry(stream, &terms, ending).await };
            let number = shared.lines.fetch_add(1, Ordering::Relaxed);
            let noise = ["line noise in", "line noise out"].map(|cause| streams.stream(cause, number));
            let speed = stream.speed();
            let line = paced(stream, baud, shared.engine.speed(), speed, noise);
            shared.carry(line, &terms, ending).await;
        });
    }
}

async fn keep_serial<D: Device + Send + 'static>(
    shared: Arc<Shared<D>>,
    opened: tokio_serial::SerialStream,
    path: PathBuf,
    baud: Baud,
    ending: watch::Receiver<bool>,
) {
    let terms = shared.line_terms();
    let mut next = Some(opened);
    loop {
        match next.take().map_or_else(|| open_serial(&path, baud), Ok) {
            Ok(stream) => {
                // A task of its own, so that it can say its last word when the server ends.
                let (of_line, terms, ending) = (Arc::clone(&shared), terms.clone(), ending.clone());
                let carried = tokio::spawn(async move { of_line.carry(stream, &terms, ending).await });
                let _ = carried.await;
                tracing::warn!(path = %path.display(), "the serial device has gone; waiting for it to come back");
            }
            Err(error) => tracing::debug!(%error, "the serial device is not back yet"),
        }
        tokio::time::sleep(TRY_AGAIN).await;
    }
}
