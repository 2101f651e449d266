//! One trial.

use crate::dialect::{Dialect, Speaking};
use crate::ending::Ending;
use crate::program::Program;
use bench::{Outcome, Prepared, Pulse, TrialAccount, Verdict, WatchedWorld};
use link::{Baud, Clock, Limits, LinkError, Server};
use std::io;
use tokio::time::{Duration, Instant as Wall};
use units::Streams;
use world::{Allowed, FaultsAllowed, World};

/// How often the program is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(20);
/// How long a journal waits for the connections of a program that has ended.
const HANG_UP_WITHIN: Duration = Duration::from_millis(500);
/// More lines than this within a second of the night are a flood: ten times what a line of 921 600 bits a second carries.
const FLOOD_LINES: u64 = 20_000;
/// The speed of a pseudo-terminal that isn't paced, for programs that ask.
const UNPACED_BAUD: u32 = 9600;

/// How the program is to reach the mount.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// A port of this computer.
    Tcp,
    /// A pseudo-terminal.
    Pty,
}

/// How a trial is to go.
#[derive(Clone, Debug)]
pub struct Options {
    /// How the program is to reach the mount.
    pub way: Way,
    /// How many times as fast as the wall's the night's time runs; `None` if the program steps it.
    pub speed: Option<f64>,
    /// How long the program may take to connect, and how long it may say nothing.
    pub silence: Duration,
    /// How long the whole trial may take.
    pub within: Duration,
    /// Whether the program may order faults.
    pub allow_faults: bool,
    /// The program's own language, if it has one.
    pub dialect: Option<Dialect>,
    /// Whether a journal is kept.
    pub journal: Option<Added>,
}

/// The faults that a trial's night has beyond its scenario's, each in the words that [`crate::read_orders`] reads: a journal's
/// head names them, so that it plays again.
pub type Added = Vec<String>;

impl Default for Options {
    fn default() -> Self {
        Self {
            way: Way::Tcp,
            speed: None,
            silence: Duration::from_secs(30),
            within: Duration::from_secs(600),
            allow_faults: false,
            dialect: None,
            journal: None,
        }
    }
}

/// Why a trial could not be held.
#[derive(Debug, thiserror::Error)]
pub enum TrialError {
    /// No program was named.
    #[error("no program is named; write it after `--`, such as `-- python3 program.py {{address}}`")]
    NoProgram,
    /// The program can't be started.
    #[error("`{name}` can't be started: {source}; is it there, and may it be run?")]
    Program {
        /// As it was named.
        name: String,
        /// What the system said.
        source: io::Error,
    },
    /// The line can't be made.
    #[error(transparent)]
    Link(#[from] LinkError),
    /// Something else of the system's.
    #[error("{what}: {source}; try again")]
    System {
        /// What was tried.
        what: &'static str,
        /// What the system said.
        source: io::Error,
    },
}

/// What a trial came to.
#[derive(Clone, Debug)]
pub struct TrialOutcome {
    /// The night; its verdicts begin with the program's own.
    pub night: Outcome,
    /// What only a trial measures.
    pub account: TrialAccount,
    /// How the program ended.
    pub ending: Ending,
    /// What passed, as a journal, if one was kept.
    pub journal: Option<String>,
}

impl TrialOutcome {
    /// Whether everything held.
    pub fn held(&self) -> bool {
        self.night.verdicts.iter().all(|verdict| verdict.held)
    }
}

/// Holds one trial: to be called within a tokio runtime.
///
/// # Errors
/// What keeps it from being held. A program that does badly is an outcome, not an error.
pub async fn run(
    prepared: &Prepared,
    program: &[String],
    options: &Options,
) -> Result<TrialOutcome, TrialError> {
    let faults = if options.allow_faults { FaultsAllowed::All } else { FaultsAllowed::None };
    let allowed = Allowed { clock: options.speed.is_none(), faults };
    let (watched, head) = match &options.journal {
        Some(with) => prepared.on_trial_with_journal(allowed, with),
        None => (prepared.on_trial(), String::new()),
    };
    let mut watched = watched;
    watched.world().allow(allowed);
    let clock = match options.speed {
        Some(speed) => Clock::start(watched.now(), speed),
        None => Clock::stepped(),
    };
    let device = Speaking::new(watched, options.dialect.clone());
    let mut server = Server::start(device, clock, Limits::default());
    // The folder of a pseudo-terminal's path goes with the trial.
    let folder = tempfile::tempdir()
        .map_err(|source| TrialError::System { what: "no temporary folder can be made", source })?;
    let address = open(&mut server, options.way, folder.path()).await?;
    let environment = environment(prepared, &address, options);
    let mut program = Program::start(program, &address, &environment)?;
    let ending = watch(&server, &mut program, prepared, options).await;
    let left = program.end_the_rest().await;
    let ending = if ending == Ending::Finished && left { Ending::LeftChildren } else { ending };
    let mut journal = None;
    if options.journal.is_some() {
        hang_up(&server).await;
        journal = Some(head + &server.with(|device| last_lines(device.inner().world())));
    }
    let (mut night, account) = server.with(|device| device.inner().outcome(prepared));
    server.end().await;
    night.verdicts.insert(
        0,
        Verdict {
            key: "program".to_owned(),
            expected: "ends well".to_owned(),
            found: format!("{}: {}", ending.word(), ending.sentence()),
            held: ending.held(),
        },
    );
    Ok(TrialOutcome { night, account, ending, journal })
}

async fn open(
    server: &mut Server<Speaking<WatchedWorld>>,
    way: Way,
    folder: &std::path::Path,
) -> Result<String, TrialError> {
    match way {
        Way::Tcp => {
            let any = std::net::SocketAddr::from(([127, 0, 0, 1], 0));
            let listener = link::bind(any, false, None).await?;
            let address = listener
                .local_addr()
                .map_err(|source| TrialError::System { what: "the port can't be told", source })?;
            server.tcp(listener, None);
            Ok(address.to_string())
        }
        Way::Pty => {
            let path = folder.join("mount");
            let baud = Baud::new(UNPACED_BAUD).unwrap_or_else(|| unreachable!("{UNPACED_BAUD} is a speed"));
            let terminal = link::PseudoTerminal::publish(&path, baud)?;
            server.pseudo_terminal(terminal, None, Streams::new(0));
            Ok(path.display().to_string())
        }
    }
}

/// What the program is told by its environment.
fn environment(prepared: &Prepared, address: &str, options: &Options) -> Vec<(&'static str, String)> {
    let mut told = vec![
        ("NIGHTBENCH_ADDRESS", address.to_owned()),
        ("NIGHTBENCH_CLOCK", options.speed.map_or("stepped".to_owned(), |speed| format!("wall {speed}"))),
        ("NIGHTBENCH_TARGETS", prepared.target_lines().join("\n")),
    ];
    if let (Way::Tcp, Some((_, port))) = (options.way, address.rsplit_once(':')) {
        told.push(("NIGHTBENCH_PORT", port.to_owned()));
    }
    told
}

/// Looks on until the program ends, or must be ended.
async fn watch(
    server: &Server<Speaking<WatchedWorld>>,
    program: &mut Program,
    prepared: &Prepared,
    options: &Options,
) -> Ending {
    let begun = Wall::now();
    let mut lines = 0;
    let mut last_said = begun;
    loop {
        tokio::select! {
            ending = program.ended() => return ending_of(ending, &pulse(server)),
            () = tokio::time::sleep(LOOK_EVERY) => {}
        }
        let pulse = pulse(server);
        let now = Wall::now();
        if pulse.lines > lines {
            (lines, last_said) = (pulse.lines, now);
        }
        let judged = if pulse.busiest_second > FLOOD_LINES {
            Ending::Flooded
        } else if pulse.now >= prepared.end() {
            Ending::EndedWithTheNight
        } else if pulse.connections == 0 && now > begun + options.silence {
            Ending::NeverConnected
        } else if now > last_said + options.silence || now > begun + options.within {
            Ending::Hung
        } else {
            continue;
        };
        let polite = program.end().await;
        return match judged {
            Ending::EndedWithTheNight if !polite => Ending::Stubborn,
            other => other,
        };
    }
}

fn pulse(server: &Server<Speaking<WatchedWorld>>) -> Pulse {
    server.with(|device| device.inner().pulse())
}

/// Waits until the server has seen that the program is gone, so that the same trial has the same journal, down to who hung up
/// when; not for long, since a pseudo-terminal stays open.
async fn hang_up(server: &Server<Speaking<WatchedWorld>>) {
    let until = Wall::now() + HANG_UP_WITHIN;
    while pulse(server).open > 0 && Wall::now() < until {
        tokio::time::sleep(Duration::from_millis(1)).await;
    }
}

fn last_lines(world: &mut World) -> String {
    world.end_transcript();
    world.take_transcript()
}

/// A program that ended well without ever having connected did nothing.
fn ending_of(ending: Ending, pulse: &Pulse) -> Ending {
    if ending == Ending::Finished && pulse.connections == 0 { Ending::NeverConnected } else { ending }
}
