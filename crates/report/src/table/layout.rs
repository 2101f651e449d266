//! Lines of at most 80 columns: rows of cells, and paragraphs.

use super::style::{TableStyle, Tone};
use unicode_width::UnicodeWidthStr as _;

/// The width in columns that the tables are made for.
pub(crate) const WIDTH: usize = 80;
/// The least width of a page, in columns.
const NARROWEST: usize = 40;
/// The greatest: longer lines are hard to read.
const WIDEST: usize = 160;
/// The least width to which a column of names shrinks before others go.
const NAMES_LEAST: usize = 10;

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
    width: usize,
}

impl Page {
    /// A page of a width in columns, or the nearest that can be read.
    pub(crate) fn new(style: TableStyle, width: usize) -> Self {
        Self { text: String::with_capacity(4096), style, width: width.clamp(NARROWEST, WIDEST) }
    }

    /// Its width in columns.
    pub(crate) fn width(&self) -> usize {
        self.width
    }

    /// Widths of those columns that the page has room for: the first one, which holds names, gives and takes; where it
    /// can't give more, columns at the end are left out.
    fn widths(&self, columns: &[Column]) -> Vec<usize> {
        let mut widths: Vec<usize> = columns.iter().map(|column| column.width).collect();
        let names = widths[0];
        // A table that is narrower than the page stays so, but its names may be as wide as the page allows.
        widths[0] = (names + self.width).saturating_sub(WIDTH).max(NAMES_LEAST.min(names));
        while widths.len() > 2 && widths.iter().sum::<usize>() + widths.len() - 1 > self.width {
            widths.pop();
        }
        widths
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
        let right = self.style.cut(right, self.width / 2);
        let left = self.style.cut(left, self.width - 2 - right.width());
        let between = " ".repeat(self.width - left.width() - right.width());
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
        let line: Vec<String> =
            self.widths(columns).into_iter().map(|width| self.style.rule().repeat(width)).collect();
        self.text.push_str(&self.style.toned(Tone::Quiet, &line.join(" ")));
        self.gap();
    }

    /// A row; where it has fewer cells than the table has columns, the last one takes what is left of the line.
    pub(crate) fn row(&mut self, columns: &[Column], cells: &[Cell]) {
        let widths = self.widths(columns);
        let shown = cells.len().min(widths.len());
        let mut used = 0;
        for (index, ((column, cell), width)) in columns.iter().zip(cells).zip(&widths).enumerate() {
            let last = index + 1 == shown;
            let short = index + 1 == cells.len() && cells.len() < columns.len();
            let width = if short { self.width - used } else { *width };
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
            let word = self.style.cut(word, self.width - mark.width());
            if !bare && line.width() + 1 + word.width() > self.width {
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
