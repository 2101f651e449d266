//! Lines of at most 80 columns: rows of cells, and paragraphs.

use super::style::{TableStyle, Tone};
use unicode_width::UnicodeWidthStr as _;

/// The table's width in columns.
pub(crate) const WIDTH: usize = 80;

/// One column of a table.
pub(crate) struct Column {
    pub(crate) title: &'static str,
    pub(crate) width: usize,
    /// Numbers stand to the right.
    pub(crate) right: bool,
}

/// A column of words.
pub(crate) const fn words(title: &'static str, width: usize) -> Column {
    Column { title, width, right: false }
}

/// A column of numbers.
pub(crate) const fn numbers(title: &'static str, width: usize) -> Column {
    Column { title, width, right: true }
}

/// One cell of a row.
pub(crate) struct Cell {
    text: String,
    tone: Tone,
}

/// A cell in ordinary type.
pub(crate) fn plain(text: impl Into<String>) -> Cell {
    Cell { text: text.into(), tone: Tone::Plain }
}

/// A cell in a tone.
pub(crate) fn toned(tone: Tone, text: impl Into<String>) -> Cell {
    Cell { text: text.into(), tone }
}

/// The text of a page under way.
pub(crate) struct Page {
    text: String,
    style: TableStyle,
}

impl Page {
    pub(crate) fn new(style: TableStyle) -> Self {
        Self { text: String::with_capacity(4096), style }
    }

    pub(crate) fn finish(self) -> String {
        self.text
    }

    pub(crate) fn style(&self) -> TableStyle {
        self.style
    }

    /// An empty line.
    pub(crate) fn gap(&mut self) {
        self.text.push('\n');
    }

    /// Two texts at both ends of a line; the left one is cut if they don't fit.
    pub(crate) fn ends(&mut self, left: &str, right: &str) {
        let right = self.style.cut(right, WIDTH / 2);
        let left = self.style.cut(left, WIDTH - 2 - right.width());
        let between = " ".repeat(WIDTH - left.width() - right.width());
        self.text.push_str(&self.style.toned(Tone::Heading, &left));
        self.text.push_str(&between);
        self.text.push_str(&self.style.toned(Tone::Quiet, &right));
        self.gap();
    }

    /// A heading over a part of the page.
    pub(crate) fn heading(&mut self, title: &str) {
        self.gap();
        self.text.push_str(&self.style.toned(Tone::Heading, title));
        self.gap();
    }

    /// The titles of columns and the rule under them.
    pub(crate) fn titles(&mut self, columns: &[Column]) {
        self.gap();
        let cells: Vec<Cell> = columns.iter().map(|column| toned(Tone::Heading, column.title)).collect();
        self.row(columns, &cells);
        let line: Vec<String> = columns.iter().map(|column| self.style.rule().repeat(column.width)).collect();
        self.text.push_str(&self.style.toned(Tone::Quiet, &line.join(" ")));
        self.gap();
    }

    /// A row; where it has fewer cells than the table has columns, the last one takes what is left of the line.
    pub(crate) fn row(&mut self, columns: &[Column], cells: &[Cell]) {
        let mut used = 0;
        for (index, (column, cell)) in columns.iter().zip(cells).enumerate() {
            let last = index + 1 == cells.len();
            let short = last && cells.len() < columns.len();
            let width = if short { WIDTH - used } else { column.width };
            let text = self.style.cut(&cell.text, width);
            let blanks = " ".repeat(width - text.width());
            let toned = self.style.toned(cell.tone, &text);
            if column.right && !short {
                self.text.push_str(&blanks);
                self.text.push_str(&toned);
            } else {
                self.text.push_str(&toned);
                if !last {
                    self.text.push_str(&blanks);
                }
            }
            if !last {
                self.text.push(' ');
            }
            used += width + 1;
        }
        self.gap();
    }

    /// A paragraph, broken at blanks; its further lines are indented by as much as `mark` is wide.
    pub(crate) fn paragraph(&mut self, mark: &str, tone: Tone, text: &str) {
        let shown = self.style.shown(text);
        let indent = " ".repeat(mark.width());
        let mut line = mark.to_owned();
        let mut bare = true;
        for word in shown.split_whitespace() {
            let word = self.style.cut(word, WIDTH - mark.width());
            if !bare && line.width() + 1 + word.width() > WIDTH {
                self.line(tone, &line);
                line = indent.clone();
                bare = true;
            }
            if !bare {
                line.push(' ');
            }
            line.push_str(&word);
            bare = false;
        }
        self.line(tone, &line);
    }

    fn line(&mut self, tone: Tone, line: &str) {
        self.text.push_str(&self.style.toned(tone, line.trim_end()));
        self.gap();
    }
}
