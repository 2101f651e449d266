//! A served device from inside the program: to look at it, to set its clock, and to talk to it as any client does.

use crate::engine::Outbox;
use crate::server::Shared;
use protocol::{Device, Session};
use std::sync::Arc;
use units::Instant;

/// A way to a served device that outlives no promise: it may be cloned and sent to other tasks, and works as long as the
/// server lives.
pub struct Handle<D>(pub(crate) Arc<Shared<D>>);

impl<D> Clone for Handle<D> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<D: Device> Handle<D> {
    /// Looks at the device, or measures on it, at its present instant.
    pub fn with<T>(&self, look: impl FnOnce(&mut D) -> T) -> T {
        self.0.engine.with(look)
    }

    /// How many times as fast as the wall's the device's time passes; 0 while it stands.
    pub fn speed(&self) -> f64 {
        self.0.engine.speed()
    }

    /// Changes the device at its present instant and lets its time go on from the instant and at the speed that `change` returns:
    /// for a pause (speed 0), another pace, or another night. A serial line that is already open keeps its pace of bytes.
    ///
    /// # Panics
    /// If the speed is negative or no number: whoever reads it from a user says so first.
    pub fn set_clock(&self, change: impl FnOnce(&mut D) -> (Instant, f64)) {
        self.0.engine.set_clock(change);
    }

    /// Connects as a client within the program: it has no deadlines and is not counted among the connections over TCP.
    pub fn connect(&self) -> Line<D> {
        let (session, outbox) = self.0.engine.connect();
        Line { handle: self.clone(), session, outbox }
    }
}

/// One connection within the program; hangs up when dropped.
pub struct Line<D: Device> {
    handle: Handle<D>,
    session: Session,
    outbox: Arc<Outbox>,
}

impl<D: Device> Line<D> {
    /// Sends bytes and returns what waits for this connection by then: the answers to whole lines, and events before them.
    pub fn send(&self, bytes: &[u8]) -> Vec<u8> {
        self.handle.0.engine.receive(self.session, bytes);
        self.take()
    }

    /// Waits until the device has something to say by itself.
    pub async fn hear(&self) -> Vec<u8> {
        loop {
            let heard = self.take();
            if !heard.is_empty() {
                return heard;
            }
            self.outbox.changed.notified().await;
        }
    }

    fn take(&self) -> Vec<u8> {
        let mut out = Vec::new();
        if self.outbox.take(&mut out).is_err() {
            // More waited than is allowed since nobody listened: it is lost, and the next line is heard again.
            self.outbox.begin_again();
        }
        out
    }
}

impl<D: Device> Drop for Line<D> {
    fn drop(&mut self) {
        self.handle.0.engine.disconnect(self.session);
    }
}
