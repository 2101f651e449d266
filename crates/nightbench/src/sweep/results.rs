//! Writing and showing what a sweep came to: the same for one machine and for many.

use crate::exit::{Exit, Failure};
use crate::files::shown;
use crate::output;
use report::{FolderError, OutFolder, OutputFile};
use sweep::{Answers, FRAME_FILE, FrameError, FrameWriter, HTML_FILE, RowsFile, SWEEP_FILE};

/// Writes `nights.parquet`, `sweep.html` and, last, `sweep.json`: where that is new, all are.
///
/// # Errors
/// A failure in words; files that were there before stay.
pub fn write(
    folder: &OutFolder,
    answers: &Answers,
    files: impl Iterator<Item = Result<RowsFile, Failure>>,
) -> Result<(), Failure> {
    let frame = folder.begin(FRAME_FILE).map_err(outside)?;
    let broken = |error: FrameError| {
        let sentence = format!(
            "the output folder `{}` could not take {FRAME_FILE} ({error}); make room there, then go on with --resume",
            shown(folder.path())
        );
        Failure::new(Exit::OutsideFailed, sentence)
    };
    let mut writer = FrameWriter::new(&answers.about, frame).map_err(broken)?;
    let mut left = answers.nights;
    for file in files {
        for row in file?.rows().take(usize::try_from(left).unwrap_or(usize::MAX)) {
            writer.add(&row).map_err(broken)?;
            left -= 1;
        }
    }
    let frame = writer.finish().map_err(broken)?;
    frame.finish().map_err(outside)?;
    let (page, json) = (sweep::sweep_html(answers), sweep::sweep_json(answers));
    let files = [
        OutputFile { name: HTML_FILE, bytes: page.as_bytes() },
        OutputFile { name: SWEEP_FILE, bytes: json.as_bytes() },
    ];
    folder.write(&files).map_err(outside)
}

/// What is shown of it.
pub struct Shown<'a> {
    pub json: bool,
    pub quiet: bool,
    pub columns: Option<usize>,
    pub folder: Option<&'a OutFolder>,
}

impl Shown<'_> {
    /// Prints the table, or `sweep.json`, or nothing.
    ///
    /// # Errors
    /// A failure in words if standard output fails.
    pub fn say(&self, answers: &Answers) -> Result<(), Failure> {
        if self.json {
            return output::say(&sweep::sweep_json(answers));
        }
        if self.quiet {
            return Ok(());
        }
        output::say(&sweep::sweep_table(answers, output::style(), output::columns(self.columns)))?;
        if let Some(folder) = self.folder {
            let path = shown(folder.path());
            output::tell(&format!("written to {path}: {HTML_FILE}, {SWEEP_FILE}, {FRAME_FILE}\n"));
        }
        Ok(())
    }
}

fn outside(error: FolderError) -> Failure {
    Failure::new(Exit::OutsideFailed, error)
}
