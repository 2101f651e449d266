//! The device with its clock, shared by all connections of a server.

use crate::clock::Clock;
use crate::connection::Reason;
use protocol::{Device, Session};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::Notify;
use tokio::sync::watch;
use tokio::time::Duration;

/// How long what one connection caused may wait until the others hear of it.
const GATHER: Duration = Duration::from_millis(1);

/// What waits to be sent on one connection.
#[derive(Debug, Default)]
pub(crate) struct Outbox {
    waiting: Mutex<Waiting>,
    /// Wakes the connection's task.
    pub(crate) changed: Notify,
}

#[derive(Debug, Default)]
struct Waiting {
    bytes: Vec<u8>,
    overflowed: bool,
    /// The device wants the connection to end.
    closing: bool,
}

impl Outbox {
    /// Moves what waits to the end of `out`.
    ///
    /// # Errors
    /// [`Reason::NotReading`] if more waited than was allowed; it is dropped by now. [`Reason::Broken`] if the device wants the
    /// connection to end.
    pub(crate) fn take(&self, out: &mut Vec<u8>) -> Result<(), Reason> {
        let mut waiting = held(&self.waiting);
        if waiting.closing {
            return Err(Reason::Broken);
        }
        if waiting.overflowed {
            return Err(Reason::NotReading);
        }
        if out.is_empty() {
            // Both keep their room, so nothing is allocated in the long run.
            std::mem::swap(out, &mut waiting.bytes);
        } else {
            out.append(&mut waiting.bytes);
        }
        Ok(())
    }

    /// Forgets that more waited than was allowed.
    pub(crate) fn begin_again(&self) {
        held(&self.waiting).overflowed = false;
    }
}

/// A mutex whose holder panicked guards plain bytes and a device whose own invariants hold between calls.
fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The device, and the connections that talk to it.
pub(crate) struct Engine<D> {
    inner: Mutex<Inner<D>>,
    output_most: usize,
    /// Wakes the clock's task: something may be due earlier, or other connections have something to send.
    stirred: Notify,
}

struct Inner<D> {
    device: D,
    clock: Clock,
    outboxes: BTreeMap<Session, Arc<Outbox>>,
    /// What the clock's task waits for.
    awaited: Option<units::Instant>,
}

impl<D: Device> Engine<D> {
    pub(crate) fn new(device: D, clock: Clock, output_most: usize) -> Self {
        let inner = Inner { device, clock, outboxes: BTreeMap::new(), awaited: None };
        Self { inner: Mutex::new(inner), output_most, stirred: Notify::new() }
    }

    pub(crate) fn connect(&self) -> (Session, Arc<Outbox>) {
        let mut inner = held(&self.inner);
        self.catch_up(&mut inner);
        let session = inner.device.connect();
        let outbox = Arc::new(Outbox::default());
        inner.outboxes.insert(session, Arc::clone(&outbox));
        (session, outbox)
    }

    pub(crate) fn disconnect(&self, session: Session) {
        let mut inner = held(&self.inner);
        self.catch_up(&mut inner);
        inner.device.disconnect(session);
        inner.outboxes.remove(&session);
        self.stir(&inner);
    }

    /// Hands bytes to the device at the present instant; what it answers is in the session's outbox afterwards.
    pub(crate) fn receive(&self, session: Session, bytes: &[u8]) {
        let mut inner = held(&self.inner);
        self.catch_up(&mut inner);
        inner.device.receive(session, bytes);
        self.deliver_to(&mut inner, session);
        self.stir(&inner);
    }

    /// Lets the device's time come up to the clock's.
    fn catch_up(&self, inner: &mut Inner<D>) {
        // Where clients step it, time has passed within their requests.
        let Some(now) = inner.clock.now() else { return };
        let due = inner.device.next_wake().is_some_and(|wake| wake <= now);
        inner.device.advance(now);
        if due {
            self.deliver_to_all(inner);
        }
    }

    /// Wakes the clock's task if it waits for the wrong thing, or others may have something to send.
    fn stir(&self, inner: &Inner<D>) {
        let timer_is_wrong = inner.clock.now().is_some() && inner.device.next_wake() != inner.awaited;
        if inner.outboxes.len() > 1 || timer_is_wrong {
            self.stirred.notify_one();
        }
    }

    fn deliver_to(&self, inner: &mut Inner<D>, session: Session) {
        let Some(outbox) = inner.outboxes.get(&session) else { return };
        self.deliver(&mut inner.device, session, outbox);
    }

    fn deliver_to_all(&self, inner: &mut Inner<D>) {
        for (session, outbox) in &inner.outboxes {
            if self.deliver(&mut inner.device, *session, outbox) {
                outbox.changed.notify_one();
            }
        }
    }

    /// Moves what the device has to say into an outbox; whether there was anything.
    fn deliver(&self, device: &mut D, session: Session, outbox: &Outbox) -> bool {
        let mut waiting = held(&outbox.waiting);
        let before = waiting.bytes.len();
        device.transmit(session, &mut waiting.bytes);
        waiting.closing |= device.closes(session);
        let grown = waiting.bytes.len() > before || waiting.closing;
        if waiting.overflowed || waiting.bytes.len() > self.output_most {
            waiting.overflowed = true;
            waiting.bytes = Vec::new();
        }
        grown
    }

    /// Wakes the device whenever something is due, until told to end.
    pub(crate) async fn run_clock(&self, mut ending: watch::Receiver<bool>) {
        loop {
            let next = {
                let mut inner = held(&self.inner);
                self.catch_up(&mut inner);
                self.deliver_to_all(&mut inner);
                inner.awaited = inner.device.next_wake();
                inner.awaited.and_then(|instant| inner.clock.wall_at(instant))
            };
            let due = async {
                match next {
                    Some(wall) => tokio::time::sleep_until(wall).await,
                    None => std::future::pending().await,
                }
            };
            let stirred = async {
                self.stirred.notified().await;
                // A crowd's requests are dealt with together.
                tokio::time::sleep(GATHER).await;
            };
            tokio::select! {
                () = due => {}
                () = stirred => {}
                _ = ending.wait_for(|ending| *ending) => return,
            }
        }
    }

    /// Brings the motors to rest; to be called when nobody is left who could move them.
    pub(crate) fn stop_motors(&self) {
        let (session, _) = self.connect();
        self.receive(session, b"stop\n");
        self.disconnect(session);
        // Whoever is told in a moment that the server ends is to hear of this first.
        self.deliver_to_all(&mut held(&self.inner));
    }

    /// Looks at the device, or measures on it, at the present instant. Whoever changes it so that it has something to say or to
    /// do stirs the clock's task thereby.
    pub(crate) fn with<T>(&self, look: impl FnOnce(&mut D) -> T) -> T {
        let mut inner = held(&self.inner);
        self.catch_up(&mut inner);
        let result = look(&mut inner.device);
        self.stir(&inner);
        result
    }

    /// Lets the clock go on from the instant and at the speed that `look` gives, after the device has come up to now.
    pub(crate) fn set_clock(&self, look: impl FnOnce(&mut D) -> (units::Instant, f64)) {
        let mut inner = held(&self.inner);
        self.catch_up(&mut inner);
        let (begin, speed) = look(&mut inner.device);
        inner.clock = Clock::start(begin, speed);
        self.stirred.notify_one();
    }

    /// How many times as fast as the wall's the device's time passes.
    pub(crate) fn speed(&self) -> f64 {
        held(&self.inner).clock.speed()
    }
}
