//! Watching a sweep: a bar on a terminal, and the signals that end it.

use crate::exit::{Exit, Failure};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal as _;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// After a signal the nights in flight are played to their end, if that doesn't take longer than this.
const PATIENCE: Duration = Duration::from_secs(8);

/// A bar and a flag.
pub struct Watcher {
    stopped: Arc<AtomicBool>,
    bar: ProgressBar,
}

impl Watcher {
    /// Draws a bar of so many nights on standard error if that is a terminal, and listens for the signals that end a run
    /// (interrupt and terminate).
    ///
    /// # Errors
    /// A failure in words if signals can't be listened to.
    pub fn new(nights: u64, quiet: bool) -> Result<Self, Failure> {
        let hidden = quiet || !std::io::stderr().is_terminal();
        let target =
            if hidden { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(5) };
        let bar = ProgressBar::with_draw_target(Some(nights), target);
        let style =
            ProgressStyle::with_template("{bar:30} {human_pos} of {human_len} nights, {per_sec}, {eta} left");
        bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
        let stopped = Arc::new(AtomicBool::new(false));
        listen(Arc::clone(&stopped))?;
        Ok(Self { stopped, bar })
    }

    /// Takes the bar away.
    pub fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl sweep::Watch for Watcher {
    fn stopped(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }

    fn done(&self, nights: u64) {
        self.bar.inc(nights);
    }
}

/// Starts a thread that raises the flag at the first signal and ends the program at the second, or if nights take too long.
#[expect(clippy::disallowed_methods, reason = "signals come at any time; no night is played in this thread")]
fn listen(stopped: Arc<AtomicBool>) -> Result<(), Failure> {
    let failure = |error: std::io::Error| {
        let sentence = format!("signals can't be listened to ({error}); try again");
        Failure::new(Exit::OutsideFailed, sentence)
    };
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(failure)?;
    // Taken up before the first night, so that no signal is missed.
    let mut signals = {
        let _inside = runtime.enter();
        Signals::new().map_err(failure)?
    };
    std::thread::spawn(move || {
        runtime.block_on(async {
            signals.next().await;
            stopped.store(true, Ordering::Relaxed);
            let _ = tokio::time::timeout(PATIENCE, signals.next()).await;
        });
        // Whatever was written is whole; the nights in flight are lost.
        std::process::exit(3);
    });
    Ok(())
}

#[cfg(unix)]
struct Signals {
    interrupt: tokio::signal::unix::Signal,
    terminate: tokio::signal::unix::Signal,
}

#[cfg(unix)]
impl Signals {
    fn new() -> std::io::Result<Self> {
        use tokio::signal::unix::{SignalKind, signal};
        Ok(Self { interrupt: signal(SignalKind::interrupt())?, terminate: signal(SignalKind::terminate())? })
    }

    async fn next(&mut self) {
        tokio::select! {
            _ = self.interrupt.recv() => {}
            _ = self.terminate.recv() => {}
        }
    }
}

#[cfg(not(unix))]
struct Signals;

#[cfg(not(unix))]
impl Signals {
    fn new() -> std::io::Result<Self> {
        Ok(Self)
    }

    async fn next(&mut self) {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    }
}
