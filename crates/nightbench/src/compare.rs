//! `nightbench compare`: two nights side by side.

use crate::exit::{Exit, Failure};
use crate::output;
use report::{NIGHT_FILE, NightFile, OutFolder, OutputFile, Tolerance, harmless};
use std::io::{ErrorKind, Read as _};
use std::path::{Path, PathBuf};

/// More than any night has.
const BYTES_MOST: u64 = 256 << 20;

/// What the command is given.
#[derive(Debug, clap::Args)]
pub struct CompareArguments {
    /// The night before: a night.json, or the folder that holds it
    old: PathBuf,
    /// The night after, likewise
    new: PathBuf,
    /// How much worse each figure may get (TOML) [by nothing without it]
    #[arg(long, value_name = "FILE")]
    tolerance: Option<PathBuf>,
    /// Width of the table, 40 to 160 [the terminal's by COLUMNS, else 80]
    #[arg(long, value_name = "NUMBER", value_parser = output::columns_of)]
    columns: Option<usize>,
    /// Print the comparison as JSON
    #[arg(long)]
    json: bool,
    /// Write the comparison as a page for a browser too
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

/// Compares two nights, prints the answer; status 1 if something got worse than is tolerated.
///
/// # Errors
/// A failure in words with the status to end with.
pub fn run(arguments: &CompareArguments) -> Result<Exit, Failure> {
    let (old, new) = (night(&arguments.old)?, night(&arguments.new)?);
    let tolerance = match &arguments.tolerance {
        None => Tolerance::default(),
        Some(path) => Tolerance::read(&text_of(path, "tolerance file")?)
            .map_err(|error| Failure::new(Exit::Unusable, format!("`{}`: {error}", shown(path))))?,
    };
    let page = arguments.html.as_deref().map(Page::open).transpose()?;
    let comparison = report::compare(&old, &new, &tolerance);
    if let Some(page) = page {
        page.write(&report::comparison_html(&comparison))?;
    }
    if arguments.json {
        output::say(&report::comparison_json(&comparison))?;
    } else {
        output::say(&report::comparison_table(
            &comparison,
            output::style(),
            output::columns(arguments.columns),
        ))?;
    }
    Ok(if comparison.worse().is_empty() { Exit::Held } else { Exit::ExpectationFailed })
}

/// Where the page goes: a name in a folder that is tried before the work.
struct Page {
    folder: OutFolder,
    name: String,
}

impl Page {
    fn open(path: &Path) -> Result<Self, Failure> {
        let name =
            path.file_name().and_then(|name| name.to_str()).filter(|_| !path.is_dir()).ok_or_else(|| {
                Failure::new(
                    Exit::Unusable,
                    format!("`{}` is no name of a file; name one for the page (--html)", shown(path)),
                )
            })?;
        let folder = match path.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let folder = OutFolder::open(folder).map_err(|error| Failure::new(Exit::OutsideFailed, error))?;
        Ok(Self { folder, name: name.to_owned() })
    }

    fn write(&self, page: &str) -> Result<(), Failure> {
        let file = OutputFile { name: &self.name, bytes: page.as_bytes() };
        self.folder.write(&[file]).map_err(|error| Failure::new(Exit::OutsideFailed, error))
    }
}

fn night(path: &Path) -> Result<NightFile, Failure> {
    let path = if path.is_dir() { path.join(NIGHT_FILE) } else { path.to_owned() };
    NightFile::read(&text_of(&path, "night")?).map_err(|error| {
        Failure::new(Exit::Unusable, format!("`{}` can't be compared: {error}", shown(&path)))
    })
}

fn text_of(path: &Path, what: &str) -> Result<String, Failure> {
    let name = shown(path);
    let mut text = String::new();
    let read = std::fs::File::open(path).and_then(|file| file.take(BYTES_MOST).read_to_string(&mut text));
    match read {
        Ok(_) => Ok(text),
        Err(error) => Err(match error.kind() {
            ErrorKind::NotFound => {
                Failure::new(Exit::Unusable, format!("there is no {what} `{name}`; name one that is there"))
            }
            ErrorKind::PermissionDenied => {
                Failure::new(Exit::Unusable, format!("`{name}` may not be read; allow reading it"))
            }
            ErrorKind::InvalidData => {
                Failure::new(Exit::Unusable, format!("`{name}` is no text; name a {what}"))
            }
            ErrorKind::IsADirectory => {
                Failure::new(Exit::Unusable, format!("`{name}` is a folder; name a {what}"))
            }
            _ => Failure::new(Exit::OutsideFailed, format!("`{name}` can't be read: {error}; try again")),
        }),
    }
}

fn shown(path: &Path) -> String {
    harmless(&path.display().to_string()).into_owned()
}
