//! `nightbench serve`: a mount to connect to.

use crate::event_loop::{self, Interruption};
use crate::exit::{Exit, Failure};
use crate::files::{Source, shown};
use crate::journal::JournalFile;
use crate::output;
use crate::page::Opened;
use ::trial::dialect::Speaking;
use bench::Prepared;
use bench::live::Live;
use link::{Baud, Clock, Limits, LinkError, Server, Token};
use protocol::Device;
use serde_json::{Value, json};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::time::Duration;
use units::Streams;
use world::{Allowed, FaultsAllowed, World};

/// Where it listens if nothing else is asked for.
const USUAL_ADDRESS: &str = "127.0.0.1:20530";
/// How often the journal's lines are written.
const JOURNAL_EVERY: Duration = Duration::from_millis(200);
/// The speed of a pseudo-terminal that isn't paced, for programs that ask.
const UNPACED_BAUD: u32 = 9600;

/// What is served: a mount, behind a dialect if there is one.
type Mount = Speaking<World>;

/// What the command is given.
#[derive(Debug, clap::Args)]
#[command(group(clap::ArgGroup::new("reachable").args(["tcp", "page"]).multiple(true)))]
pub struct ServeArguments {
    /// Listen for connections over TCP at ADDRESS:PORT, port 0 for any [127.0.0.1:20530 if no other way is named]
    #[arg(long, value_name = "ADDRESS")]
    tcp: Option<SocketAddr>,
    /// Be a serial port at a path of your choice; with @BAUD at that pace
    #[cfg(target_os = "linux")]
    #[arg(long, value_name = "PATH[@BAUD]")]
    pty: Option<String>,
    /// Serve a real serial device
    #[arg(long, value_name = "PATH@BAUD")]
    serial: Option<String>,
    /// Serve the live bench as a page in a browser at ADDRESS:PORT, beside the mount's other ways
    #[arg(long, value_name = "ADDRESS")]
    page: Option<SocketAddr>,
    #[command(flatten)]
    page_options: crate::page::PageOptions,
    /// Let the mount's time run N times as fast as the wall's
    #[arg(long, value_name = "N", default_value_t = 1.0, value_parser = speed)]
    speed: f64,
    /// Let the mount's time pass only when a client says so, by the verb `clock`
    #[arg(long, conflicts_with_all = ["speed", "page"])]
    stepped: bool,
    /// Speak a language of the clients' own, in place of the line language
    #[arg(long, value_name = "FILE", conflicts_with = "page")]
    dialect: Option<PathBuf>,
    /// Let clients order faults, by the verb `fault`
    #[arg(long)]
    allow_faults: bool,
    /// Write a journal as the mount is served: every line, event and disturbance with its time
    #[arg(long, value_name = "FILE", conflicts_with = "page")]
    journal: Option<PathBuf>,
    /// Scenario file, `-` for standard input [the built-in night without it]
    #[arg(long, value_name = "FILE")]
    scenario: Option<PathBuf>,
    /// Seed of the night's draws, in place of the file's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..1 << 53))]
    seed: Option<u64>,
    /// Allow --tcp and --page an address that other computers can reach; needs --token-file
    #[arg(long, requires = "reachable")]
    allow_remote: bool,
    /// File with a token that everyone who connects over TCP has to show first, and that opens the page's controls
    #[arg(long, value_name = "FILE")]
    token_file: Option<PathBuf>,
    /// Connections over TCP at once, 1 to 500
    #[arg(long, value_name = "N", default_value_t = Limits::default().connections as u64,
          value_parser = clap::value_parser!(u64).range(1..=Limits::CONNECTIONS_MOST as u64))]
    connections: u64,
    /// Print how to connect as JSON, one object on a line
    #[arg(long)]
    json: bool,
    /// Tell of connections on standard error
    #[arg(long)]
    verbose: bool,
}

fn speed(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(speed) if (0.01..=1000.0).contains(&speed) => Ok(speed),
        _ => Err("write a number from 0.01 to 1000".to_owned()),
    }
}

/// Serves until it is interrupted.
///
/// # Errors
/// A failure in words with the status to end with: the scenario, an address, a path, a device.
pub fn run(arguments: &ServeArguments) -> Result<Exit, Failure> {
    if let (None, Some(option)) = (arguments.page, arguments.page_options.given()) {
        return Err(Failure::new(
            Exit::Unusable,
            format!("{option} is for the page; add --page, or leave it out"),
        ));
    }
    let source = Source::named(arguments.scenario.as_deref())?;
    let prepared = source.prepared(arguments.seed)?;
    let token = arguments.token_file.as_deref().map(read_token).transpose()?;
    output::log(arguments.verbose);
    let streams = prepared.world_spec().streams.clone();
    let runtime = event_loop::begin()?;
    runtime.block_on(async {
        match arguments.page {
            None => {
                let (world, journal) = arguments.world(&prepared)?;
                let dialect = arguments.dialect.as_deref().map(crate::trial::read_dialect).transpose()?;
                let mount = Speaking::new(world, dialect);
                serve_mount(arguments, mount, journal, token, streams).await
            }
            Some(address) => serve_page(arguments, prepared, address, token, streams).await,
        }
    })
}

/// Serves the mount until it is interrupted, and writes its journal.
async fn serve_mount(
    arguments: &ServeArguments,
    mount: Mount,
    journal: Option<JournalFile>,
    token: Option<Token>,
    streams: Streams,
) -> Result<Exit, Failure> {
    let mut interrupted = Interruption::listen()?;
    let mut server = arguments.start(mount);
    let ways = open_ways(arguments, &mut server, token, streams).await?;
    arguments.say(&ways, None)?;
    let written = write_until(journal, &server, &mut interrupted).await;
    let last_lines = |mount: &mut Mount| {
        mount.inner().end_transcript();
        mount.inner().take_transcript()
    };
    let (_, last) = server.end_with(last_lines).await;
    if let Some(mut journal) = written? {
        journal.add(&last)?;
    }
    Ok(Exit::Held)
}

/// Serves the live bench, and the mount in it by all other ways that are named.
async fn serve_page(
    arguments: &ServeArguments,
    prepared: Prepared,
    address: SocketAddr,
    token: Option<Token>,
    streams: Streams,
) -> Result<Exit, Failure> {
    let mut interrupted = Interruption::listen()?;
    let page = arguments.page_options.page(token.clone(), None)?;
    let listener = link::bind(address, arguments.allow_remote, token.as_ref()).await.map_err(failure)?;
    let mut server =
        Server::start_at(arguments.live(prepared), Live::now, arguments.speed, arguments.limits());
    let opened = Opened::begin(listener, server.handle(), page).await?;
    let ways = open_ways(arguments, &mut server, token, streams).await?;
    arguments.say(&ways, Some(&opened))?;
    interrupted.wait().await;
    opened.end().await;
    server.end().await;
    Ok(Exit::Held)
}

/// Opens every way to the mount that is named.
async fn open_ways<D: Device + Send + 'static>(
    arguments: &ServeArguments,
    server: &mut Server<D>,
    token: Option<Token>,
    streams: Streams,
) -> Result<Vec<Way>, Failure> {
    let mut ways = Vec::new();
    if let Some(address) = arguments.address() {
        let listener = link::bind(address, arguments.allow_remote, token.as_ref()).await.map_err(failure)?;
        let address = listener.local_addr().map_err(|error| Failure::new(Exit::OutsideFailed, error))?;
        ways.push(Way { transport: "tcp", address: address.to_string(), baud: None, token: token.is_some() });
        server.tcp(listener, token);
    }
    #[cfg(target_os = "linux")]
    if let Some(text) = &arguments.pty {
        let (path, pace) = path_and_baud(text)?;
        let usual = Baud::new(UNPACED_BAUD).unwrap_or_else(|| unreachable!("{UNPACED_BAUD} is a speed"));
        let terminal = link::PseudoTerminal::publish(&path, pace.unwrap_or(usual)).map_err(failure)?;
        ways.push(Way { transport: "pty", address: path.display().to_string(), baud: pace, token: false });
        server.pseudo_terminal(terminal, pace, streams);
    }
    if let Some(text) = &arguments.serial {
        let (path, Some(baud)) = path_and_baud(text)? else {
            let sentence =
                format!("`{}` names no speed; write {0}@9600, or whatever it is", report::harmless(text));
            return Err(Failure::new(Exit::Unusable, sentence));
        };
        let device = link::open_serial(&path, baud).map_err(failure)?;
        ways.push(Way {
            transport: "serial",
            address: path.display().to_string(),
            baud: Some(baud),
            token: false,
        });
        server.serial(device, path, baud);
    }
    Ok(ways)
}

/// Writes the journal as it grows, until the server is to end; fails as soon as it can't be written.
async fn write_until(
    journal: Option<JournalFile>,
    server: &Server<Mount>,
    interrupted: &mut Interruption,
) -> Result<Option<JournalFile>, Failure> {
    let Some(mut journal) = journal else {
        interrupted.wait().await;
        return Ok(None);
    };
    loop {
        tokio::select! {
            () = interrupted.wait() => return Ok(Some(journal)),
            () = tokio::time::sleep(JOURNAL_EVERY) => journal.add(&server.with(|mount| mount.inner().take_transcript()))?,
        }
    }
}

impl ServeArguments {
    /// The mount at its begin, with what is allowed on its wires, and the journal that is asked for.
    fn world(&self, prepared: &Prepared) -> Result<(World, Option<JournalFile>), Failure> {
        let allowed = self.allowed();
        if let Some(path) = &self.journal {
            let (world, head) = prepared.world_with_journal(allowed);
            return Ok((world, Some(JournalFile::begin(path, &head)?)));
        }
        let mut world = prepared.world();
        world.allow(allowed);
        Ok((world, None))
    }

    fn limits(&self) -> Limits {
        Limits { connections: self.connections as usize, ..Limits::default() }
    }

    fn allowed(&self) -> Allowed {
        let faults = if self.allow_faults { FaultsAllowed::All } else { FaultsAllowed::None };
        Allowed { clock: self.stepped, faults }
    }

    /// Begins to let the mount's time pass, or leaves that to the clients.
    fn start(&self, mut mount: Mount) -> Server<Mount> {
        if self.stepped {
            Server::start(mount, Clock::stepped(), self.limits())
        } else {
            let begin = mount.inner().now();
            Server::start(mount, Clock::start(begin, self.speed), self.limits())
        }
    }

    /// The mount to play with that the page shows.
    fn live(&self, prepared: Prepared) -> Live {
        let mut live = Live::new(prepared);
        live.allow(self.allowed());
        live
    }

    /// Says how to connect.
    fn say(&self, ways: &[Way], page: Option<&Opened>) -> Result<(), Failure> {
        for way in ways {
            output::say(&if self.json { format!("{}\n", way.json()) } else { way.text() })?;
        }
        page.map_or(Ok(()), |page| page.say(self.json))?;
        if self.json { Ok(()) } else { output::say("end it with Ctrl-C\n") }
    }

    /// Where to listen over TCP, if at all.
    fn address(&self) -> Option<SocketAddr> {
        let other_way = self.serial.is_some() || self.page.is_some();
        #[cfg(target_os = "linux")]
        let other_way = other_way || self.pty.is_some();
        let usual =
            || USUAL_ADDRESS.parse().unwrap_or_else(|_| unreachable!("{USUAL_ADDRESS} is an address"));
        self.tcp.or_else(|| (!other_way).then(usual))
    }
}

/// One way to the mount, as it is told.
struct Way {
    transport: &'static str,
    address: String,
    baud: Option<Baud>,
    token: bool,
}

impl Way {
    fn json(&self) -> Value {
        json!({
            "transport": self.transport,
            "address": self.address,
            "baud": self.baud.map(Baud::bits_per_second),
            "token": self.token,
        })
    }

    fn text(&self) -> String {
        let address = report::harmless(&self.address);
        let talk = match self.transport {
            "serial" => "what stands at the other end of the cable".to_owned(),
            _ if self.token => format!("nightbench talk {address} --token-file FILE"),
            _ => format!("nightbench talk {address}"),
        };
        let pace = self.baud.map_or(String::new(), |baud| format!(" at {baud} bits per second"));
        format!("{:<7} {address}{pace}   connect with: {talk}\n", self.transport)
    }
}

/// `PATH` or `PATH@BAUD`.
fn path_and_baud(text: &str) -> Result<(PathBuf, Option<Baud>), Failure> {
    match text.rsplit_once('@') {
        Some((path, baud)) => Ok((PathBuf::from(path), Some(baud.parse().map_err(failure)?))),
        None => Ok((PathBuf::from(text), None)),
    }
}

/// The token in the first line of a file.
pub fn read_token(path: &Path) -> Result<Token, Failure> {
    let text = std::fs::read_to_string(path).map_err(|error| {
        Failure::new(Exit::Unusable, format!("the token file `{}` can't be read: {error}", shown(path)))
    })?;
    Token::new(text.lines().next().unwrap_or_default().trim()).map_err(failure)
}

/// What was asked for that can't be, as against what the outside refused.
pub fn failure(error: LinkError) -> Failure {
    let exit = match error {
        LinkError::Address { .. }
        | LinkError::Remote { .. }
        | LinkError::TokenNeeded { .. }
        | LinkError::Token { .. }
        | LinkError::Baud { .. } => Exit::Unusable,
        _ => Exit::OutsideFailed,
    };
    Failure::new(exit, report::harmless(&error.to_string()))
}
