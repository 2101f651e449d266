//! What the wire costs, beside bare echo servers and the same client:
//! `cargo run --release -p link --example figures -- PROGRAM`, where PROGRAM is nightbench in release.
//!
//! Server, echo and client are processes of their own. Linux only.

use std::error::Error;
use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Read, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::process::{Child, Command, Stdio};
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::{Duration, Instant, interval, sleep};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// Round trips of one run.
const ROUND_TRIPS: usize = 20_000;
const RUNS: usize = 5;
/// Requests sent without waiting.
const PIPELINED: usize = 400_000;
const POLLERS: usize = 500;
const POLL_EVERY: Duration = Duration::from_millis(100);
const POLL_FOR: Duration = Duration::from_secs(5);
const IDLE_FOR: Duration = Duration::from_secs(10);
const REQUEST: &[u8] = b"status\n";

#[tokio::main(flavor = "current_thread")]
async fn main() -> Outcome<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.first().map(String::as_str) {
        Some("echo") => echo().await,
        Some("echo-terminal") => echo_terminal(),
        Some(program) => figures(program).await,
        None => Err("which program? Give the path of nightbench in release".into()),
    }
}

/// A child that ends with this.
struct Process(Child);

impl Drop for Process {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Starts a program and takes the first words that it says: where it answers.
fn begin(command: &mut Command, lines: usize) -> Outcome<(Process, Vec<String>)> {
    let mut child = command.stdout(Stdio::piped()).spawn()?;
    let out = BufReader::new(child.stdout.take().ok_or("it is piped")?);
    let said = out.lines().take(lines).collect::<Result<_, _>>()?;
    Ok((Process(child), said))
}

async fn figures(program: &str) -> Outcome<()> {
    let terminal = std::env::temp_dir().join(format!("nightbench-figures-{}", std::process::id()));
    let mut command = Command::new(program);
    command.args(["serve", "--tcp", "127.0.0.1:0", "--connections", "500", "--pty"]).arg(&terminal);
    let (server, said) = begin(&mut command, 3)?;
    let address = said[0].split_whitespace().nth(1).ok_or("an address")?.to_owned();
    let this = std::env::current_exe()?;
    let (_echo, said) = begin(Command::new(&this).arg("echo"), 1)?;
    let bare = said[0].clone();
    let (_echo_terminal, said) = begin(Command::new(&this).arg("echo-terminal"), 1)?;
    let bare_terminal = said[0].clone();

    let idle = idle_share(server.0.id()).await?;
    println!("idle: {:.3} % of a core", 100.0 * idle);

    let mut runs = Vec::new();
    for _ in 0..RUNS {
        runs.push((round_trips(&address).await?, round_trips(&bare).await?));
    }
    compared("round trip over TCP", &runs);

    let mut runs = Vec::new();
    for _ in 0..RUNS {
        let path = terminal.to_str().ok_or("a path")?;
        runs.push((terminal_round_trips(path)?, terminal_round_trips(&bare_terminal)?));
    }
    compared("round trip over a terminal", &runs);

    let mut rates = Vec::new();
    for _ in 0..RUNS {
        rates.push(pipelined(&address).await?);
    }
    rates.sort_by(f64::total_cmp);
    println!("pipelined requests on one connection: {:.0} a second (median of {RUNS})", rates[RUNS / 2]);

    let times = polled(&address).await?;
    let (p50, p99) = (quantile(&times, 0.5), quantile(&times, 0.99));
    println!(
        "{POLLERS} connections at 10 Hz: p50 {p50:.0} us, p99 {p99:.0} us, {} answers, peak memory {:.1} MB",
        times.len(),
        peak_megabytes(server.0.id())?
    );
    Ok(())
}

/// Prints the medians over the runs of p50 and p99, in microseconds, and their ratios.
fn compared(what: &str, runs: &[(Vec<f64>, Vec<f64>)]) {
    for share in [0.5, 0.99] {
        let middle = |times: Vec<f64>| quantile(&sorted(times), 0.5);
        let ours = middle(runs.iter().map(|(ours, _)| quantile(ours, share)).collect());
        let bare = middle(runs.iter().map(|(_, bare)| quantile(bare, share)).collect());
        let percent = 100.0 * share;
        println!("{what}, p{percent:.0}: {ours:.1} us, bare echo {bare:.1} us, ratio {:.2}", ours / bare);
    }
}

fn quantile(sorted: &[f64], share: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * share) as usize]
}

fn sorted(mut times: Vec<f64>) -> Vec<f64> {
    times.sort_by(f64::total_cmp);
    times
}

/// Microseconds of each round trip, in order of size.
async fn round_trips(address: &str) -> Outcome<Vec<f64>> {
    let mut stream = TcpStream::connect(address).await?;
    stream.set_nodelay(true)?;
    let mut reply = vec![0; 4096];
    let mut times = Vec::with_capacity(ROUND_TRIPS);
    for _ in 0..ROUND_TRIPS {
        let sent = Instant::now();
        stream.write_all(REQUEST).await?;
        let mut count = 0;
        while count == 0 || reply[count - 1] != b'\n' {
            count += stream.read(&mut reply[count..]).await?;
        }
        times.push(sent.elapsed().as_secs_f64() * 1e6);
    }
    Ok(sorted(times))
}

fn terminal_round_trips(path: &str) -> Outcome<Vec<f64>> {
    const NO_CONTROLLING_TERMINAL: i32 = rustix::fs::OFlags::NOCTTY.bits() as i32;
    let mut port: File =
        OpenOptions::new().read(true).write(true).custom_flags(NO_CONTROLLING_TERMINAL).open(path)?;
    let mut reply = vec![0; 4096];
    let mut times = Vec::with_capacity(ROUND_TRIPS);
    for _ in 0..ROUND_TRIPS {
        let sent = Instant::now();
        port.write_all(REQUEST)?;
        let mut count = 0;
        while count == 0 || reply[count - 1] != b'\n' {
            count += port.read(&mut reply[count..])?;
        }
        times.push(sent.elapsed().as_secs_f64() * 1e6);
    }
    Ok(sorted(times))
}

/// Requests answered in a second when nobody waits for a reply before the next request.
async fn pipelined(address: &str) -> Outcome<f64> {
    let (reader, mut writer) = TcpStream::connect(address).await?.into_split();
    let text = REQUEST.repeat(PIPELINED);
    let begun = Instant::now();
    let writing = tokio::spawn(async move { writer.write_all(&text).await.map(|()| writer) });
    let mut reader = tokio::io::BufReader::with_capacity(1 << 16, reader);
    let mut left = PIPELINED;
    while left > 0 {
        let bytes = reader.fill_buf().await?;
        if bytes.is_empty() {
            return Err("the server closed".into());
        }
        left -= bytes.iter().filter(|byte| **byte == b'\n').count();
        let taken = bytes.len();
        reader.consume(taken);
    }
    let seconds = begun.elapsed().as_secs_f64();
    drop(writing.await??);
    Ok(PIPELINED as f64 / seconds)
}

/// Round trips of many connections that poll side by side, microseconds in order of size.
async fn polled(address: &str) -> Outcome<Vec<f64>> {
    let mut polling = tokio::task::JoinSet::new();
    for number in 0..POLLERS {
        let mut stream = TcpStream::connect(address).await?;
        stream.set_nodelay(true)?;
        polling.spawn(async move {
            // Spread over the period, as clients that know nothing of each other are.
            sleep(POLL_EVERY.mul_f64(number as f64 / POLLERS as f64)).await;
            let mut ticks = interval(POLL_EVERY);
            let (mut times, begun, mut reply) = (Vec::new(), Instant::now(), vec![0; 4096]);
            while begun.elapsed() < POLL_FOR {
                ticks.tick().await;
                let sent = Instant::now();
                stream.write_all(REQUEST).await?;
                let mut count = 0;
                while count == 0 || reply[count - 1] != b'\n' {
                    count += stream.read(&mut reply[count..]).await?;
                }
                times.push(sent.elapsed().as_secs_f64() * 1e6);
            }
            Ok::<_, std::io::Error>(times)
        });
    }
    let mut all = Vec::new();
    while let Some(times) = polling.join_next().await {
        all.extend(times??);
    }
    Ok(sorted(all))
}

/// The share of a core that a process uses while nobody asks it anything.
async fn idle_share(id: u32) -> Outcome<f64> {
    let ticks = || -> Outcome<f64> {
        let stat = std::fs::read_to_string(format!("/proc/{id}/stat"))?;
        let after_name = stat.rsplit(") ").next().ok_or("a process has a name")?;
        let fields: Vec<&str> = after_name.split(' ').collect();
        // User and system time are fields 14 and 15 of the file; the name was the second.
        Ok(fields[11].parse::<f64>()? + fields[12].parse::<f64>()?)
    };
    sleep(Duration::from_secs(1)).await;
    let (before, begun) = (ticks()?, Instant::now());
    sleep(IDLE_FOR).await;
    // A hundred ticks a second on every Linux of today (proc(5), from memory).
    Ok((ticks()? - before) / 100.0 / begun.elapsed().as_secs_f64())
}

fn peak_megabytes(id: u32) -> Outcome<f64> {
    let status = std::fs::read_to_string(format!("/proc/{id}/status"))?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).ok_or("a peak of memory")?;
    let kilobytes: f64 = line.split_whitespace().nth(1).ok_or("a number")?.parse()?;
    Ok(kilobytes / 1000.0)
}

/// What comes goes back: the least that a server on this runtime can do.
async fn echo() -> Outcome<()> {
    let listener = TcpListener::bind("127.0.0.1:0").await?;
    println!("{}", listener.local_addr()?);
    loop {
        let (mut stream, _) = listener.accept().await?;
        stream.set_nodelay(true)?;
        tokio::spawn(async move {
            let mut bytes = vec![0; 16 * 1024];
            while let Ok(count @ 1..) = stream.read(&mut bytes).await {
                if stream.write_all(&bytes[..count]).await.is_err() {
                    break;
                }
            }
        });
    }
}

/// The same on a terminal, without any runtime.
fn echo_terminal() -> Outcome<()> {
    use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
    let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY)?;
    grantpt(&master)?;
    unlockpt(&master)?;
    let name = ptsname(&master, Vec::new())?.into_string()?;
    // Held, so that the terminal outlives its first client.
    let _held = OpenOptions::new().read(true).write(true).open(&name)?;
    let mut settings = rustix::termios::tcgetattr(&master)?;
    settings.make_raw();
    rustix::termios::tcsetattr(&master, rustix::termios::OptionalActions::Now, &settings)?;
    println!("{name}");
    let mut terminal = File::from(master);
    let mut bytes = vec![0; 16 * 1024];
    loop {
        let count = terminal.read(&mut bytes)?;
        terminal.write_all(&bytes[..count])?;
    }
}
