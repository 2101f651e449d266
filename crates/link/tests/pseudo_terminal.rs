//! The pseudo-terminal: what a program that opens a serial port sees.
#![cfg(target_os = "linux")]

mod toy;

use link::vet::{Subject, Verdict, vet};
use link::{Baud, Limits, LinkError, PseudoTerminal, Server};
use rustix::event::{PollFd, PollFlags};
use rustix::fs::{Mode, OFlags};
use rustix::io::Errno;
use rustix::termios::{LocalModes, OptionalActions};
use std::os::fd::OwnedFd;
use std::path::{Path, PathBuf};
use tokio::runtime::Runtime;
use tokio::time::{Duration, Instant};
use toy::Toy;
use units::Streams;

const BAUD: u32 = 9600;

/// A path of this test's own, and a server behind it.
fn serve(name: &str, pace: Option<u32>) -> (Server<Toy>, PathBuf) {
    let path = std::env::temp_dir().join(format!("nightbench-{}-{name}", std::process::id()));
    let terminal = PseudoTerminal::publish(&path, Baud::new(BAUD).unwrap()).unwrap();
    let mut server = Server::start_at(Toy::new(None), |toy| toy.now, 1.0, Limits::default());
    server.pseudo_terminal(terminal, pace.and_then(Baud::new), Streams::new(7));
    (server, path)
}

fn open(path: &Path) -> Result<OwnedFd, Errno> {
    rustix::fs::open(path, OFlags::RDWR | OFlags::NOCTTY | OFlags::NONBLOCK | OFlags::CLOEXEC, Mode::empty())
}

/// Reads until a line is whole, for at most five seconds; `None` if the line hung up.
fn line(port: &OwnedFd) -> Option<String> {
    let mut bytes = Vec::new();
    loop {
        let mut chunk = [0; 512];
        match rustix::io::read(port, &mut chunk) {
            Ok(0) | Err(Errno::IO) => return None,
            Ok(count) => bytes.extend_from_slice(&chunk[..count]),
            Err(Errno::AGAIN) => wait_for(port, &bytes),
            Err(error) => panic!("{error}"),
        }
        if bytes.contains(&b'\n') {
            return Some(String::from_utf8_lossy(&bytes).trim_end().to_owned());
        }
    }
}

fn wait_for(port: &OwnedFd, so_far: &[u8]) {
    let five_seconds = rustix::event::Timespec { tv_sec: 5, tv_nsec: 0 };
    let mut watched = [PollFd::new(port, PollFlags::IN)];
    let ready = rustix::event::poll(&mut watched, Some(&five_seconds)).unwrap();
    assert!(ready > 0, "no line within five seconds, but `{}`", so_far.escape_ascii());
}

/// A runtime for the server; the test's own thread is the client.
fn runtime() -> Runtime {
    tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build().unwrap()
}

#[allow(clippy::disallowed_methods, reason = "the client waits, not the server")]
fn pause(seconds: f64) {
    std::thread::sleep(Duration::from_secs_f64(seconds));
}

#[test]
fn it_is_raw_from_the_first_byte_and_the_path_goes_with_the_server() {
    let runtime = runtime();
    let _inside = runtime.enter();
    let (server, path) = serve("raw", None);
    let port = open(&path).unwrap();
    let settings = rustix::termios::tcgetattr(&port).unwrap();
    let cooked = LocalModes::ECHO | LocalModes::ICANON | LocalModes::ISIG | LocalModes::IEXTEN;
    assert!(!settings.local_modes.intersects(cooked));
    assert!(settings.input_modes.is_empty() && settings.output_speed() == BAUD);
    // Bytes that a terminal for people would take for signals, flow control and line ends.
    rustix::io::write(&port, b"\x03\x11\x13\x1a\r\n").unwrap();
    assert!(line(&port).unwrap().starts_with("no 19 not-text"));
    runtime.block_on(server.end());
    assert!(!path.is_symlink());
    // Hung up, as if unplugged. Whether the last line is still read, or dropped with the rest, is the system's affair.
    let last = line(&port);
    assert!(
        last.is_none() || last.as_deref() == Some("* closing reason=ending") && line(&port).is_none(),
        "{last:?}"
    );
}

/// Opens and asks `cycles` times, at once or when the path leads to a fresh terminal; every third client vanishes without reading what it asked for.
/// How many lines were hung up.
fn reopen(path: &Path, cycles: usize, patient: bool) -> usize {
    let mut hung_up = 0;
    for cycle in 0..cycles {
        let target = std::fs::read_link(path).unwrap();
        let port = open(path).unwrap();
        let sent = rustix::io::write(&port, format!("@{cycle} axes\n").as_bytes());
        if sent.is_ok() && cycle % 3 == 1 {
            drop(port);
            await_fresh(path, &target, patient);
            continue;
        }
        match line(&port).filter(|_| sent.is_ok()) {
            None => hung_up += 1,
            Some(reply) => assert!(reply.starts_with(&format!("ok @{cycle} ")), "cycle {cycle}: {reply}"),
        }
        await_fresh(path, &target, patient);
    }
    hung_up
}

/// Waits until a path leads elsewhere than to a terminal that was used.
fn await_fresh(path: &Path, used: &Path, patient: bool) {
    let until = Instant::now() + Duration::from_secs(5);
    while patient && std::fs::read_link(path).unwrap() == used {
        assert!(Instant::now() < until, "the path still leads to {}", used.display());
        pause(0.0001);
    }
}

#[test]
fn ten_thousand_openings_and_not_one_stale_byte() {
    let runtime = runtime();
    let _inside = runtime.enter();
    let (server, path) = serve("reopen", None);
    let begun = Instant::now();
    let hung_up = reopen(&path, 10_000, false);
    println!("10000 openings in {:?}, {hung_up} of them hung up", begun.elapsed());
    // One in three comes within microseconds of one that vanished, and may find the line mixed.
    assert!(hung_up <= 3334, "{hung_up}");
    // Nobody is there: nothing spins.
    pause(0.3);
    let (idle_from, wall) = (processor_seconds(), Instant::now());
    pause(1.0);
    let share = (processor_seconds() - idle_from) / wall.elapsed().as_secs_f64();
    assert!(share < 0.2, "an idle server uses {share} of a core");
    assert_eq!(server.with(|toy| toy.connected()), 0);
    runtime.block_on(server.end());
}

#[test]
fn who_comes_a_moment_after_another_is_never_hung_up() {
    let runtime = runtime();
    let _inside = runtime.enter();
    let (server, path) = serve("moment", None);
    assert_eq!(reopen(&path, 1000, true), 0);
    // Opened and closed without a word, again and again within microseconds: that mixes nothing.
    for cycle in 0..300 {
        let target = std::fs::read_link(&path).unwrap();
        drop(open(&path).unwrap());
        let port = open(&path).unwrap();
        rustix::io::write(&port, format!("@{cycle} axes\n").as_bytes()).unwrap();
        let reply = line(&port).expect("a reply");
        assert!(reply.starts_with(&format!("ok @{cycle} ")), "cycle {cycle}: {reply}");
        await_fresh(&path, &target, true);
    }
    runtime.block_on(server.end());
}

/// Processor time of this process: other tests of the file run in it too, so only gross spinning shows.
fn processor_seconds() -> f64 {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
}

#[test]
fn two_openings_at_once_are_two_connections() {
    let runtime = runtime();
    let _inside = runtime.enter();
    let (server, path) = serve("two", None);
    let one = open(&path).unwrap();
    rustix::io::write(&one, b"@one axes\n").unwrap();
    assert!(line(&one).unwrap().starts_with("ok @one "));
    let other = open(&path).unwrap();
    rustix::io::write(&other, b"@other axes\n").unwrap();
    assert!(line(&other).unwrap().starts_with("ok @other "));
    rustix::io::write(&one, b"@again axes\n").unwrap();
    assert!(line(&one).unwrap().starts_with("ok @again "));
    runtime.block_on(server.end());
}

#[test]
fn what_is_written_and_left_is_obeyed() {
    let runtime = runtime();
    let _inside = runtime.enter();
    let (server, path) = serve("left", None);
    let port = open(&path).unwrap();
    rustix::io::write(&port, b"site height=77m\n").unwrap();
    drop(port);
    let until = Instant::now() + Duration::from_secs(5);
    while server.with(|toy| toy.height.metres()) != 77.0 {
        assert!(Instant::now() < until);
        pause(0.005);
    }
    runtime.block_on(server.end());
}

#[test]
fn a_paced_line_takes_its_time_and_a_wrong_speed_makes_rubbish() {
    let runtime = runtime();
    let _inside = runtime.enter();
    let (server, path) = serve("paced", Some(BAUD));
    let port = open(&path).unwrap();
    let begun = Instant::now();
    rustix::io::write(&port, b"help goto\n").unwrap();
    let reply = line(&port).unwrap();
    // Ten bytes there, the reply and its LF back, 960 bytes a second; reading in this loop may be late, never early.
    let least = (10 + reply.len() + 1) as f64 / 960.0;
    let took = begun.elapsed().as_secs_f64();
    assert!(took >= least * 0.98, "{took} s instead of {least} s");
    let mut settings = rustix::termios::tcgetattr(&port).unwrap();
    settings.set_speed(19200).unwrap();
    rustix::termios::tcsetattr(&port, OptionalActions::Now, &settings).unwrap();
    rustix::io::write(&port, b"help goto\nhelp goto\nhelp goto\n").unwrap();
    pause(0.6);
    let mut chunk = [0; 2048];
    let heard = rustix::io::read(&port, &mut chunk).map_or(&[][..], |count| &chunk[..count]);
    assert!(!heard.windows(3).any(|bytes| bytes == b"ok "), "{}", heard.escape_ascii());
    runtime.block_on(server.end());
}

#[test]
fn the_suite_passes_over_a_terminal_as_it_is_and_over_a_paced_one() {
    let runtime = runtime();
    let _inside = runtime.enter();
    for (name, pace) in [("vet", None), ("vet-paced", Some(19200))] {
        let (server, path) = serve(name, pace);
        let address = format!("{}@{}", path.display(), pace.unwrap_or(BAUD)).parse().unwrap();
        let subject = Subject { address, token: None, may_move: true };
        let findings = runtime.block_on(vet(&subject, |_| {})).unwrap();
        for finding in &findings {
            assert!(!matches!(finding.verdict, Verdict::Failed(_)), "{name}: {finding:#?}");
        }
        runtime.block_on(server.end());
    }
}

#[test]
fn a_path_in_use_is_left_alone_and_a_dead_link_is_replaced() {
    let runtime = runtime();
    let _inside = runtime.enter();
    let path = std::env::temp_dir().join(format!("nightbench-{}-taken", std::process::id()));
    let publish = || PseudoTerminal::publish(&path, Baud::new(BAUD).unwrap());
    std::fs::write(&path, "somebody's file").unwrap();
    assert!(matches!(publish(), Err(LinkError::PathTaken { .. })));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "somebody's file");
    std::fs::remove_file(&path).unwrap();
    std::os::unix::fs::symlink("/nowhere/at/all", &path).unwrap();
    let first = publish().unwrap();
    assert!(matches!(publish(), Err(LinkError::PathTaken { .. })));
    drop(first);
    assert!(!path.is_symlink());
}
