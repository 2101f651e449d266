//! Where lines come from and where text goes: a terminal with editing and history, or pipes.

use super::complete::Completion;
use crate::exit::{Exit, Failure};
use crate::output;
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{Editor, ExternalPrinter};
use std::io::{self, BufRead as _, IsTerminal as _};
use std::path::PathBuf;
use tokio::sync::mpsc;

/// The longest line that is read from a pipe: far more than a mount takes, so that it may be refused.
const LINE_MOST: u64 = 64 * 1024;

/// What was typed.
pub enum Typed {
    /// A line, without its end.
    Line(String),
    /// There is nothing more.
    End,
}

/// One that types.
pub struct Typing {
    lines: mpsc::Receiver<Result<String, Failure>>,
    /// Tells the typing thread that the last line was dealt with, so that the prompt comes after its reply.
    done: mpsc::Sender<()>,
    printer: Option<Box<dyn ExternalPrinter + Send>>,
    waiting: bool,
}

impl Typing {
    /// Begins to read: with a prompt if both ends are terminals.
    ///
    /// # Errors
    /// A terminal that can't be set up.
    pub fn begin(history: Option<PathBuf>) -> Result<Self, Failure> {
        let (sender, lines) = mpsc::channel(1);
        let (done, next) = mpsc::channel(1);
        let printer = if io::stdin().is_terminal() && io::stdout().is_terminal() {
            let mut editor = editor(history.as_ref()).map_err(unusable)?;
            let printer = editor.create_external_printer().map_err(unusable)?;
            tokio::task::spawn_blocking(move || edit(editor, history, &sender, next));
            Some(Box::new(printer) as Box<dyn ExternalPrinter + Send>)
        } else {
            tokio::task::spawn_blocking(move || read(&sender, next));
            None
        };
        Ok(Self { lines, done, printer, waiting: false })
    }

    /// Whether somebody sits at a terminal.
    pub fn is_interactive(&self) -> bool {
        self.printer.is_some()
    }

    /// The next line.
    ///
    /// # Errors
    /// An input that can't be read.
    pub async fn next(&mut self) -> Result<Typed, Failure> {
        if !self.waiting {
            self.waiting = true;
            // If nobody takes it, there is nothing more to read.
            let _ = self.done.send(()).await;
        }
        let line = self.lines.recv().await;
        self.waiting = false;
        line.map_or(Ok(Typed::End), |line| line.map(Typed::Line))
    }

    /// Shows text, above the prompt if there is one.
    ///
    /// # Errors
    /// An output that can't be written.
    pub fn show(&mut self, text: &str) -> Result<(), Failure> {
        let text: String = text.lines().map(|line| format!("{}\n", report::harmless(line))).collect();
        match &mut self.printer {
            Some(printer) if self.waiting => printer.print(text).map_err(unusable),
            _ => output::say(&text),
        }
    }

    /// Lets the typing thread end.
    pub fn end(self) {
        drop(self);
    }
}

type OurEditor = Editor<Completion, DefaultHistory>;

fn editor(history: Option<&PathBuf>) -> rustyline::Result<OurEditor> {
    let config = rustyline::Config::builder()
        .auto_add_history(true)
        .completion_type(rustyline::CompletionType::List)
        .build();
    let mut editor = OurEditor::with_config(config)?;
    editor.set_helper(Some(Completion));
    if let Some(path) = history.filter(|path| path.exists()) {
        editor.load_history(path)?;
    }
    Ok(editor)
}

fn edit(
    mut editor: OurEditor,
    history: Option<PathBuf>,
    lines: &mpsc::Sender<Result<String, Failure>>,
    mut next: mpsc::Receiver<()>,
) {
    while next.blocking_recv().is_some() {
        let line = match editor.readline("> ") {
            Ok(line) => Ok(line),
            Err(ReadlineError::Eof | ReadlineError::Interrupted) => break,
            Err(error) => Err(unusable(error)),
        };
        if lines.blocking_send(line).is_err() {
            break;
        }
    }
    if let Some(path) = history
        && let Err(error) = editor.save_history(&path)
    {
        output::tell(&format!("the history can't be kept: {error}\n"));
    }
}

fn read(lines: &mpsc::Sender<Result<String, Failure>>, mut next: mpsc::Receiver<()>) {
    let mut input = io::stdin().lock();
    while next.blocking_recv().is_some() {
        let mut bytes = Vec::new();
        let line = match io::Read::take(&mut input, LINE_MOST).read_until(b'\n', &mut bytes) {
            Ok(0) => break,
            Ok(_) => Ok(String::from_utf8_lossy(&bytes).trim_end_matches(['\n', '\r']).to_owned()),
            Err(error) => {
                Err(Failure::new(Exit::OutsideFailed, format!("standard input can't be read: {error}")))
            }
        };
        if lines.blocking_send(line).is_err() {
            break;
        }
    }
}

fn unusable(error: ReadlineError) -> Failure {
    Failure::new(Exit::OutsideFailed, format!("the terminal can't be used: {error}"))
}
