//! The event loop of commands that talk with others, and the signals that end it.

use crate::exit::{Exit, Failure};
use tokio::runtime::{Builder, Runtime};

/// Begins an event loop in this thread.
///
/// # Errors
/// A failure in words if the system lets none begin.
pub fn begin() -> Result<Runtime, Failure> {
    let outside = |error| Failure::new(Exit::OutsideFailed, format!("no event loop can be begun: {error}"));
    Builder::new_current_thread().enable_all().build().map_err(outside)
}

/// Ctrl-C, and the signal by which a service is ended.
pub struct Interruption {
    #[cfg(unix)]
    terminate: tokio::signal::unix::Signal,
    #[cfg(unix)]
    interrupt: tokio::signal::unix::Signal,
}

impl Interruption {
    /// Begins to listen, within an event loop.
    ///
    /// # Errors
    /// A failure in words if signals can't be listened for.
    #[cfg(unix)]
    pub fn listen() -> Result<Self, Failure> {
        use tokio::signal::unix::{SignalKind, signal};
        let listen = |kind| {
            signal(kind).map_err(|error| {
                Failure::new(Exit::OutsideFailed, format!("signals can't be listened for: {error}"))
            })
        };
        Ok(Self { terminate: listen(SignalKind::terminate())?, interrupt: listen(SignalKind::interrupt())? })
    }

    /// Waits for the first of both.
    #[cfg(unix)]
    pub async fn wait(&mut self) {
        tokio::select! {
            _ = self.terminate.recv() => {}
            _ = self.interrupt.recv() => {}
        }
    }

    #[cfg(not(unix))]
    pub fn listen() -> Result<Self, Failure> {
        Ok(Self {})
    }

    #[cfg(not(unix))]
    pub async fn wait(&mut self) {
        // Without signals there is no end but the process's.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    }
}
