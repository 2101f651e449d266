//! `nightbench page`: the live bench in a browser, the shortest way in.

use crate::event_loop::{self, Interruption};
use crate::exit::{Exit, Failure};
use crate::files::{Source, shown};
use crate::output;
use crate::serve::{failure, read_token};
use bench::live::Live;
use link::{Handle, Limits, Server, Token};
use page::{Lesson, Page};
use serde_json::json;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use tokio::net::TcpListener;
use tokio::sync::watch;
use tokio::task::JoinHandle;

/// Where the page is if nothing else is asked for.
const USUAL_ADDRESS: &str = "127.0.0.1:20580";

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct PageArguments {
    /// Where to listen, port 0 for any
    #[arg(value_name = "ADDRESS", default_value = USUAL_ADDRESS)]
    address: SocketAddr,
    /// Lesson to begin with
    #[arg(long, value_name = "NAME", default_value = "backlash")]
    lesson: String,
    /// Begin without a lesson, with the built-in night or --scenario
    #[arg(long, conflicts_with = "lesson")]
    no_lesson: bool,
    /// Scenario file to play with, `-` for standard input; no lesson is begun then
    #[arg(long, value_name = "FILE", conflicts_with = "lesson")]
    scenario: Option<PathBuf>,
    #[command(flatten)]
    options: PageOptions,
    /// Allow an address that other computers can reach; needs --token-file
    #[arg(long, requires = "token_file")]
    allow_remote: bool,
    /// File with the token that opens the page's controls
    #[arg(long, value_name = "FILE")]
    token_file: Option<PathBuf>,
    /// Print the addresses as JSON, one object on a line
    #[arg(long)]
    json: bool,
    /// Tell of connections on standard error
    #[arg(long)]
    verbose: bool,
}

/// What a page is served with, alone or beside a mount's other ways.
#[derive(Debug, clap::Args)]
pub struct PageOptions {
    /// Folder with lessons of your own beside those that are built in
    #[arg(long, value_name = "FOLDER")]
    lessons: Option<PathBuf>,
    /// File with the token that opens the page for looking; without it nobody needs one for that
    #[arg(long, value_name = "FILE")]
    viewer_token_file: Option<PathBuf>,
    /// Name by which other computers call this one; may be given several times
    #[arg(long, value_name = "NAME")]
    page_name: Vec<String>,
    /// Browsers at once, 1 to 500 [100]
    #[arg(long, value_name = "N",
          value_parser = clap::value_parser!(u64).range(1..=page::Limits::CLIENTS_MOST as u64))]
    viewers: Option<u64>,
}

impl PageOptions {
    /// An option that was given, for whoever serves no page.
    pub fn given(&self) -> Option<&'static str> {
        let all = [
            (self.lessons.is_some(), "--lessons"),
            (self.viewer_token_file.is_some(), "--viewer-token-file"),
            (!self.page_name.is_empty(), "--page-name"),
            (self.viewers.is_some(), "--viewers"),
        ];
        all.into_iter().find(|(given, _)| *given).map(|(_, name)| name)
    }

    /// What the page is served with.
    ///
    /// # Errors
    /// A token or a lesson that can't be used.
    pub fn page(&self, teacher: Option<Token>, first: Option<String>) -> Result<Page, Failure> {
        let viewer = self.viewer_token_file.as_deref().map(read_token).transpose()?;
        if viewer.is_some() && teacher.is_none() {
            let sentence =
                "a viewer's token needs a teacher's beside it; name a file with one by --token-file";
            return Err(Failure::new(Exit::Unusable, sentence));
        }
        let mut lessons = Lesson::built_in();
        if let Some(folder) = &self.lessons {
            let own = lessons_in(folder, &lessons)?;
            lessons.extend(own);
        }
        Ok(Page {
            names: self.page_name.clone(),
            tokens: page::Tokens { teacher, viewer },
            limits: page::Limits {
                clients: self.viewers.map_or(page::Limits::default().clients, |viewers| viewers as usize),
                ..page::Limits::default()
            },
            lessons: page::lesson::sorted(lessons),
            first,
        })
    }
}

/// All lesson files of a folder; none of them is called as one that is built in.
fn lessons_in(folder: &Path, built_in: &[Lesson]) -> Result<Vec<Lesson>, Failure> {
    let unreadable = |what: &str, error: std::io::Error| {
        Failure::new(Exit::Unusable, format!("{what} `{}` can't be read: {error}", shown(folder)))
    };
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .and_then(|entries| entries.map(|entry| entry.map(|entry| entry.path())).collect())
        .map_err(|error| unreadable("the folder of lessons", error))?;
    files.retain(|file| file.extension().is_some_and(|ending| ending == "toml"));
    files.sort();
    let mut lessons = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).map_err(|error| unreadable("a lesson of", error))?;
        let name = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        if built_in.iter().any(|lesson| lesson.name == name) {
            let sentence = format!(
                "there is a built-in lesson `{}` already; call the file otherwise",
                report::harmless(&name)
            );
            return Err(Failure::new(Exit::Unusable, sentence));
        }
        let lesson = Lesson::read(&name, &text);
        lessons.push(
            lesson.map_err(|error| Failure::new(Exit::Unusable, report::harmless(&error.to_string())))?,
        );
    }
    Ok(lessons)
}

/// Serves the page until it is interrupted.
///
/// # Errors
/// A failure in words with the status to end with: the scenario, a lesson, the address.
pub fn run(arguments: &PageArguments) -> Result<Exit, Failure> {
    let source = Source::named(arguments.scenario.as_deref())?;
    let prepared = source.prepared(None)?;
    let token = arguments.token_file.as_deref().map(read_token).transpose()?;
    let first = (!arguments.no_lesson && arguments.scenario.is_none()).then(|| arguments.lesson.clone());
    let page = arguments.options.page(token.clone(), first)?;
    output::log(arguments.verbose);
    let runtime = event_loop::begin()?;
    runtime.block_on(async {
        let mut interrupted = Interruption::listen()?;
        let listener =
            link::bind(arguments.address, arguments.allow_remote, token.as_ref()).await.map_err(failure)?;
        let server = Server::start_at(Live::new(prepared), Live::now, 1.0, Limits::default());
        let opened = Opened::begin(listener, server.handle(), page).await?;
        opened.say(arguments.json)?;
        if !arguments.json {
            output::say("open it in a browser; end it with Ctrl-C\n")?;
        }
        interrupted.wait().await;
        opened.end().await;
        server.end().await;
        Ok(Exit::Held)
    })
}

/// A page that is being served.
pub struct Opened {
    addresses: Vec<(&'static str, String)>,
    ending: watch::Sender<bool>,
    task: JoinHandle<Result<(), page::PageError>>,
}

impl Opened {
    /// Begins to serve a page.
    ///
    /// # Errors
    /// A first lesson that there isn't.
    pub async fn begin(listener: TcpListener, handle: Handle<Live>, page: Page) -> Result<Self, Failure> {
        let address = listener.local_addr().map_err(|error| Failure::new(Exit::OutsideFailed, error))?;
        if address.ip().is_unspecified() && page.names.is_empty() {
            let sentence = "a page at every address of this computer has to know by which name it is called; give --page-name, or \
                            listen at one address";
            return Err(Failure::new(Exit::Unusable, sentence));
        }
        let known = |first: &String| page.lessons.iter().any(|lesson| lesson.name == *first);
        if let Some(first) = page.first.as_ref().filter(|first| !known(first)) {
            let names: Vec<&str> = page.lessons.iter().map(|lesson| lesson.name.as_str()).collect();
            let sentence =
                format!("there is no lesson `{}`; there are {}", report::harmless(first), names.join(", "));
            return Err(Failure::new(Exit::Unusable, sentence));
        }
        let addresses = page.addresses(address);
        let (ending, watched) = watch::channel(false);
        let task = tokio::spawn(page::serve(listener, handle, page, watched));
        Ok(Self { addresses, ending, task })
    }

    /// Says where it is.
    ///
    /// # Errors
    /// If standard output can't be written to.
    pub fn say(&self, json: bool) -> Result<(), Failure> {
        for (purpose, address) in &self.addresses {
            let line = json!({ "transport": "page", "address": address, "for": purpose });
            output::say(&if json {
                format!("{line}\n")
            } else {
                format!("page    {address}   to {purpose}\n")
            })?;
        }
        Ok(())
    }

    /// Ends it, and tells everybody who has it open.
    pub async fn end(self) {
        let _ = self.ending.send(true);
        // A listener that is gone has ended it before.
        let _ = self.task.await;
    }
}
