//! Pseudo-terminals behind a stable path: what looks like a serial port to a program.
//!
//! The stable path is a symbolic link. Each opening gets a pseudo-terminal of its own: as soon as somebody has opened the one
//! that the link points at, the link is moved to a fresh one. So nothing that was said to one client can be read by the next,
//! and a terminal whose client has gone is closed for good, rather than asked again and again (once hung up, a terminal
//! counts as readable for ever, and a waiting task would spin).
//!
//! A client that opens within the same tenth of a millisecond in which another has opened, written and closed may still get
//! that one's terminal. Then whatever came is obeyed, nothing is answered, and the line is hung up: as if it had been
//! unplugged.
//!
//! Openings and closings are told by inotify; a terminal is raw before its name is published.
#![allow(
    unsafe_code,
    reason = "registering a file handle with the event loop needs a promise about its owner"
)]

use crate::error::LinkError;
use crate::paced::Baud;
use rustix::fs::inotify::{self, CreateFlags, ReadFlags, WatchFlags};
use rustix::io::Errno;
use rustix::pty::OpenptFlags;
use rustix::termios::{OptionalActions, SpecialCodeIndex, Termios};
use std::collections::BTreeMap;
use std::io;
use std::mem::MaybeUninit;
use std::os::fd::{AsFd, AsRawFd, BorrowedFd, OwnedFd, RawFd};
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};
use std::pin::Pin;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::task::{Context, Poll, ready};
use tokio::io::unix::AsyncFd;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::Duration;

/// Between an opening and the first byte taken from it: by then the link is moved, and who came by the old one is seen.
const SETTLING: Duration = Duration::from_millis(1);

/// A stable path at which pseudo-terminals are opened, one after another or several at once.
#[derive(Debug)]
pub struct PseudoTerminal {
    path: PathBuf,
    baud: Baud,
    fresh: Terminal,
    told: Arc<Told>,
}

impl PseudoTerminal {
    /// Makes the first terminal and publishes it. Each opening begins with the line at `baud`.
    ///
    /// # Errors
    /// Something else at the path, or a system without pseudo-terminals.
    pub fn publish(path: &Path, baud: Baud) -> Result<Self, LinkError> {
        let shown = || path.display().to_string();
        let failed = |source: io::Error| LinkError::PseudoTerminal { path: shown(), source };
        match std::fs::symlink_metadata(path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(failed(error)),
            Ok(found) if !found.is_symlink() => {
                return Err(LinkError::PathTaken { path: shown(), problem: "it is no link of ours" });
            }
            // A link that leads nowhere was left by a server that was killed.
            Ok(_) if path.exists() => {
                return Err(LinkError::PathTaken {
                    path: shown(),
                    problem: "a link to something that is there",
                });
            }
            Ok(_) => {}
        }
        let told = Arc::new(Told::new().map_err(failed)?);
        let fresh = Terminal::open(baud, &told).map_err(failed)?;
        point(path, &fresh.name).map_err(failed)?;
        Ok(Self { path: path.to_owned(), baud, fresh, told })
    }

    /// The path that clients open.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Waits until somebody opens the path.
    ///
    /// # Errors
    /// No further terminal can be made, such as for want of file handles: try again later, nothing is lost.
    pub async fn accept(&mut self) -> io::Result<PtyStream> {
        self.told.opened(self.fresh.seen.number).await?;
        let next = Terminal::open(self.baud, &self.told)?;
        point(&self.path, &next.name)?;
        let opened = std::mem::replace(&mut self.fresh, next);
        tokio::time::sleep(SETTLING).await;
        opened.into_stream()
    }
}

impl Drop for PseudoTerminal {
    fn drop(&mut self) {
        if std::fs::read_link(&self.path).is_ok_and(|target| target == self.fresh.name) {
            let _ = std::fs::remove_file(&self.path);
        }
    }
}

/// Points the link at a terminal, at no moment leading nowhere.
fn point(path: &Path, name: &Path) -> io::Result<()> {
    let mut beside = path.as_os_str().to_owned();
    beside.push(format!(".new-{}", std::process::id()));
    let beside = PathBuf::from(beside);
    let _ = std::fs::remove_file(&beside);
    std::os::unix::fs::symlink(name, &beside)?;
    std::fs::rename(&beside, path).inspect_err(|_| {
        let _ = std::fs::remove_file(&beside);
    })
}

/// A file handle that the event loop watches. It stays open, and the same, for as long as this lives.
#[derive(Debug)]
struct Handle(OwnedFd);

impl AsRawFd for Handle {
    fn as_raw_fd(&self) -> RawFd {
        self.0.as_raw_fd()
    }
}

impl AsFd for Handle {
    fn as_fd(&self) -> BorrowedFd<'_> {
        self.0.as_fd()
    }
}

fn watched(handle: OwnedFd) -> io::Result<AsyncFd<Handle>> {
    // SAFETY: `Handle` owns its file handle, gives the same one each time, and closes it only when the `AsyncFd` that owns
    // it has been dropped and so has left the event loop.
    unsafe { AsyncFd::register(Handle(handle)) }.map_err(io::Error::from)
}

/// A terminal that nobody has opened yet.
#[derive(Debug)]
struct Terminal {
    master: OwnedFd,
    name: PathBuf,
    seen: Seen,
}

impl Terminal {
    fn open(baud: Baud, told: &Arc<Told>) -> io::Result<Self> {
        let flags = OpenptFlags::RDWR | OpenptFlags::NOCTTY | OpenptFlags::CLOEXEC;
        let master = rustix::pty::openpt(flags)?;
        rustix::io::ioctl_fionbio(&master, true)?;
        rustix::pty::grantpt(&master)?;
        rustix::pty::unlockpt(&master)?;
        let name = rustix::pty::ptsname(&master, Vec::new())?;
        let name = PathBuf::from(std::ffi::OsStr::from_bytes(name.as_bytes()));
        make_raw(&master, baud)?;
        let seen = Told::watch(told, &name)?;
        Ok(Self { master, name, seen })
    }

    fn into_stream(self) -> io::Result<PtyStream> {
        Ok(PtyStream(Arc::new(Inner { master: watched(self.master)?, seen: self.seen })))
    }
}

/// Takes away everything that a terminal does for people: echo, line editing, signals, flow control by characters,
/// translation of line ends.
fn make_raw(master: &OwnedFd, baud: Baud) -> io::Result<()> {
    // What is set on the master is set on the terminal at its other end.
    let mut settings: Termios = rustix::termios::tcgetattr(master)?;
    settings.make_raw();
    settings.special_codes[SpecialCodeIndex::VMIN] = 1;
    settings.special_codes[SpecialCodeIndex::VTIME] = 0;
    settings.set_speed(baud.bits_per_second())?;
    rustix::termios::tcsetattr(master, OptionalActions::Now, &settings)?;
    Ok(())
}

/// What was done to a terminal, as far as it was told.
#[derive(Clone, Copy, Debug, Default)]
struct Use {
    opened: bool,
    /// Whether a client has written.
    written: bool,
    /// Whether a client has closed it.
    left: bool,
    /// Somebody opened it after another had written and closed it: nothing may be answered any more.
    mixed: bool,
}

impl Use {
    fn note(&mut self, event: ReadFlags) {
        if event.contains(ReadFlags::OPEN) {
            // Where those before have written nothing, the line is as good as new.
            self.mixed |= self.left && self.written;
            self.left = false;
            self.opened = true;
        } else if event.contains(ReadFlags::MODIFY) {
            self.written = true;
        } else if event.intersects(ReadFlags::CLOSE_WRITE | ReadFlags::CLOSE_NOWRITE) {
            self.left = true;
        }
    }
}

/// What the system tells of all terminals behind one path. One queue for all: to close a queue takes the system milliseconds.
#[derive(Debug)]
struct Told {
    queue: AsyncFd<Handle>,
    uses: Mutex<BTreeMap<i32, Use>>,
}

impl Told {
    fn new() -> io::Result<Self> {
        let queue = watched(inotify::init(CreateFlags::NONBLOCK | CreateFlags::CLOEXEC)?)?;
        Ok(Self { queue, uses: Mutex::default() })
    }

    fn watch(told: &Arc<Self>, name: &Path) -> io::Result<Seen> {
        let events =
            WatchFlags::OPEN | WatchFlags::MODIFY | WatchFlags::CLOSE_WRITE | WatchFlags::CLOSE_NOWRITE;
        let number = inotify::add_watch(&told.queue, name, events)?;
        told.uses().insert(number, Use::default());
        Ok(Seen { told: Arc::clone(told), number })
    }

    fn uses(&self) -> MutexGuard<'_, BTreeMap<i32, Use>> {
        self.uses.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes in what was told until now; what is known of one terminal.
    fn about(&self, number: i32) -> Use {
        let mut uses = self.uses();
        let mut buffer = [MaybeUninit::uninit(); 1024];
        let mut reader = inotify::Reader::new(&self.queue, &mut buffer);
        while let Ok(event) = reader.next() {
            if let Some(known) = uses.get_mut(&event.wd()) {
                known.note(event.events());
            }
        }
        uses.get(&number).copied().unwrap_or_default()
    }

    /// Waits until a terminal has been opened.
    async fn opened(&self, number: i32) -> io::Result<()> {
        while !self.about(number).opened {
            // Whoever takes in what was told, this is woken whenever more is.
            self.queue.readable().await?.clear_ready();
        }
        Ok(())
    }
}

/// A terminal that is watched, for as long as this lives.
#[derive(Debug)]
struct Seen {
    told: Arc<Told>,
    number: i32,
}

impl Drop for Seen {
    fn drop(&mut self) {
        self.told.uses().remove(&self.number);
        // If the terminal has gone already, so has the watch.
        let _ = inotify::remove_watch(&self.told.queue, self.number);
    }
}

#[derive(Debug)]
struct Inner {
    master: AsyncFd<Handle>,
    seen: Seen,
}

impl Inner {
    /// Whether answers may go out.
    fn is_of_one_client(&self) -> bool {
        !self.seen.told.about(self.seen.number).mixed
    }
}

/// The device's end of one opened terminal. Dropping it hangs up.
#[derive(Debug)]
pub struct PtyStream(Arc<Inner>);

impl PtyStream {
    /// Tells, whenever asked, which speed the client has set, in bits per second.
    pub fn speed(&self) -> impl Fn() -> Option<u32> + Clone + Send + 'static {
        let inner = Arc::downgrade(&self.0);
        move || {
            let inner = inner.upgrade()?;
            rustix::termios::tcgetattr(&inner.master).ok().map(|settings| settings.output_speed())
        }
    }
}

impl AsyncRead for PtyStream {
    fn poll_read(self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        let inner = &self.0;
        loop {
            let mixed = !inner.is_of_one_client();
            let mut ready = ready!(inner.master.poll_read_ready(cx))?;
            match rustix::io::read(&inner.master, buf.initialize_unfilled()) {
                Ok(count) => {
                    buf.advance(count);
                    return Poll::Ready(Ok(()));
                }
                // Everything was read: the last client has gone, or who is left has come too early.
                Err(Errno::IO) => return Poll::Ready(Ok(())),
                Err(Errno::AGAIN) if mixed => return Poll::Ready(Ok(())),
                Err(Errno::AGAIN) => ready.clear_ready(),
                Err(Errno::INTR) => {}
                Err(error) => return Poll::Ready(Err(error.into())),
            }
        }
    }
}

impl AsyncWrite for PtyStream {
    fn poll_write(self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        let inner = &self.0;
        loop {
            let mut ready = ready!(inner.master.poll_write_ready(cx))?;
            if !inner.is_of_one_client() {
                return Poll::Ready(Ok(buf.len()));
            }
            match rustix::io::write(&inner.master, buf) {
                Ok(count) => return Poll::Ready(Ok(count)),
                // Nobody is there to hear it.
                Err(Errno::IO) => return Poll::Ready(Ok(buf.len())),
                Err(Errno::AGAIN) => ready.clear_ready(),
                Err(Errno::INTR) => {}
                Err(error) => return Poll::Ready(Err(error.into())),
            }
        }
    }

    fn poll_flush(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<io::Result<()>> {
        Poll::Ready(Ok(()))
    }

    fn poll_shutdown(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<io::Result<()>> {
        Poll::Ready(Ok(()))
    }
}
