//! `nightbench talk`: type at a mount, or pipe lines to it.

mod complete;
mod manual;
mod typing;

use crate::event_loop;
use crate::exit::{Exit, Failure};
use crate::serve::{failure, read_token};
use link::{Address, Answer, Client, ClientError, ClientOptions, Event};
use std::path::PathBuf;
use tokio::sync::broadcast::Receiver;
use tokio::sync::broadcast::error::{RecvError, TryRecvError};
use tokio::time::Duration;
use typing::{Typed, Typing};

/// A slew across the whole sky and back, at the pace of a slow mount, with room.
const LONGEST_JOB: Duration = Duration::from_secs(900);

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct TalkArguments {
    /// HOST:PORT, or the path of a serial port or pseudo-terminal with or without @BAUD
    address: String,
    /// File with the token that the server wants to be shown
    #[arg(long, value_name = "FILE")]
    token_file: Option<PathBuf>,
    /// After a line that begins a job, wait for the job's end before the next line
    #[arg(long)]
    finish: bool,
    /// Let every line carry a check, against damage on its way
    #[arg(long)]
    check: bool,
    /// File that keeps what was typed for the next time
    #[arg(long, value_name = "FILE")]
    history: Option<PathBuf>,
}

/// Sends each line that is typed or piped and shows what comes back; the status says whether anything was refused.
///
/// # Errors
/// Nobody there, or the connection broke.
pub fn run(arguments: &TalkArguments) -> Result<Exit, Failure> {
    let address: Address = arguments.address.parse().map_err(failure)?;
    let token = arguments.token_file.as_deref().map(read_token).transpose()?;
    let options =
        ClientOptions { token, check: arguments.check, reconnect: false, ..ClientOptions::default() };
    let runtime = event_loop::begin()?;
    let result = runtime.block_on(async {
        let client = Client::connect(&address, options).await.map_err(failure)?;
        // Asked before anything is typed: a wrong address is known at once, and so is a token that doesn't open.
        let hello = client.request("identify").await.map_err(|error| no_answer(&address, &error))?;
        talk(arguments, &address, client, &hello).await
    });
    // A thread that still waits for a key can't be called back; one that keeps the history is done in no time.
    runtime.shutdown_timeout(Duration::from_millis(300));
    result
}

fn no_answer(address: &Address, error: &ClientError) -> Failure {
    let sentence = format!("{address} doesn't answer as a mount: {error}");
    Failure::new(Exit::OutsideFailed, report::harmless(&sentence))
}

async fn talk(
    arguments: &TalkArguments,
    address: &Address,
    client: Client,
    hello: &Answer,
) -> Result<Exit, Failure> {
    let mut events = client.events();
    let mut typing = Typing::begin(arguments.history.clone())?;
    if typing.is_interactive() {
        let kind = hello.get("kind").unwrap_or("mount");
        typing.show(&format!("{kind} at {address}; `help` tells the verbs, `quit` ends\n"))?;
    }
    let mut refused = false;
    loop {
        let typed = tokio::select! {
            typed = typing.next() => typed?,
            event = events.recv() => {
                show_event(&mut typing, event)?;
                continue;
            }
        };
        let line = match typed {
            Typed::End => break,
            Typed::Line(line) => line,
        };
        match line.trim() {
            "" => continue,
            "quit" | "exit" => break,
            line if typing.is_interactive() && manual::is_question(line) => {
                typing.show(&manual::answer(line))?;
                continue;
            }
            line => refused |= !send(arguments, &client, line, &mut events, &mut typing).await?,
        }
    }
    typing.end();
    Ok(if refused { Exit::ExpectationFailed } else { Exit::Held })
}

/// Sends one line and shows its reply, and with `--finish` the events up to the end of its job. Whether it was obeyed.
async fn send(
    arguments: &TalkArguments,
    client: &Client,
    line: &str,
    events: &mut Receiver<Event>,
    typing: &mut Typing,
) -> Result<bool, Failure> {
    let answered = client.request(line).await;
    // What was told before the reply is shown before it.
    loop {
        match events.try_recv() {
            Ok(event) => show_event(typing, Ok(event))?,
            Err(TryRecvError::Lagged(count)) => show_event(typing, Err(RecvError::Lagged(count)))?,
            Err(TryRecvError::Empty | TryRecvError::Closed) => break,
        }
    }
    let answer = match answered {
        Ok(answer) => answer,
        Err(ClientError::Refused { number, word, sentence }) => {
            typing.show(&format!("no {number} {word} \"{sentence}\"\n"))?;
            return Ok(false);
        }
        Err(ClientError::Unsendable(sentence)) => {
            typing.show(&format!("not sent: {sentence}\n"))?;
            return Ok(false);
        }
        Err(error) => return Err(Failure::new(Exit::OutsideFailed, error)),
    };
    typing.show(&shown(&answer))?;
    let Some(job) = answer.get("job").filter(|job| arguments.finish && *job != "none") else {
        return Ok(true);
    };
    let until = tokio::time::Instant::now() + LONGEST_JOB;
    loop {
        match tokio::time::timeout_at(until, events.recv()).await {
            Err(_) => return Err(Failure::new(Exit::OutsideFailed, format!("job {job} doesn't end"))),
            Ok(event) => {
                let ended = event.as_ref().is_ok_and(|event| event.get("job") == Some(job));
                show_event(typing, event)?;
                if ended {
                    return Ok(true);
                }
            }
        }
    }
}

fn show_event(typing: &mut Typing, event: Result<Event, RecvError>) -> Result<(), Failure> {
    match event {
        Ok(event) => typing.show(&format!("* {}{}\n", event.word, pairs(&event.pairs))),
        Err(RecvError::Lagged(count)) => typing.show(&format!("({count} events were missed)\n")),
        Err(RecvError::Closed) => {
            Err(Failure::new(Exit::OutsideFailed, "the connection was closed by the other end"))
        }
    }
}

fn shown(answer: &Answer) -> String {
    format!("ok{}\n", pairs(answer.pairs()))
}

/// Pairs as they stand in a line, with quotes where there are blanks.
fn pairs(pairs: &[(String, String)]) -> String {
    pairs
        .iter()
        .map(|(key, value)| match value.contains(' ') || value.is_empty() {
            true => format!(" {key}=\"{value}\""),
            false => format!(" {key}={value}"),
        })
        .collect()
}
