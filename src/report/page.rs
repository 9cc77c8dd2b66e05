//! Text for people on 80 columns: headings, wrapped lines, and tables in any script.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

use crate::plan::Styling;

/// Columns of a page.
pub const WIDTH: usize = 80;

/// A page being written.
#[derive(Debug)]
pub struct Page {
    text: String,
    styling: Styling,
}

/// Where a table's cell stands in its column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// At the left.
    Left,
    /// At the right, as figures do.
    Right,
}

impl Page {
    /// An empty page.
    #[must_use]
    pub fn new(styling: Styling) -> Self {
        Self { text: String::new(), styling }
    }

    /// The text so far.
    #[must_use]
    pub fn into_text(self) -> String {
        self.text
    }

    /// An empty line, unless the page is empty or one stands there already.
    pub fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A heading, set apart by an empty line and a rule of dashes below it.
    pub fn heading(&mut self, text: &str) {
        self.gap();
        let text = clean(text);
        let bold = self.styling == Styling::Styled;
        let (on, off) = if bold { ("\u{1b}[1m", "\u{1b}[0m") } else { ("", "") };
        let _ = writeln!(self.text, "{on}{text}{off}\n{}", "-".repeat(text.width().min(WIDTH)));
    }

    /// A paragraph, wrapped; every line begins with `indent` spaces.
    pub fn line(&mut self, indent: usize, text: &str) {
        self.hanging(indent, indent, text);
    }

    /// A paragraph whose first line begins with `first` spaces and every other with `rest`.
    pub fn hanging(&mut self, first: usize, rest: usize, text: &str) {
        let mut line = " ".repeat(first);
        let mut empty = true;
        for word in clean(text).split(' ').filter(|word| !word.is_empty()) {
            if !empty && line.width() + 1 + word.width() > WIDTH {
                self.text.push_str(line.trim_end());
                self.text.push('\n');
                line = " ".repeat(rest);
                empty = true;
            }
            if !empty {
                line.push(' ');
            }
            line.push_str(word);
            empty = false;
        }
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// A table; columns are as wide as their widest cell, the last one wraps. A row of one cell is a
    /// line across all columns.
    pub fn table(&mut self, indent: usize, sides: &[Side], rows: &[Vec<String>]) {
        let columns = sides.len();
        let rows: Vec<Vec<String>> =
            rows.iter().map(|row| row.iter().map(|cell| clean(cell)).collect()).collect();
        let whole = |row: &&Vec<String>| row.len() == columns;
        let width_of = |at: usize| {
            rows.iter().filter(whole).filter_map(|row| row.get(at)).map(|cell| cell.width()).max()
        };
        let widths: Vec<usize> = (0..columns).map(|at| width_of(at).unwrap_or(0)).collect();
        for row in &rows {
            if let [across] = row.as_slice() {
                self.line(indent, across);
                continue;
            }
            let mut line = " ".repeat(indent);
            for (at, cell) in row.iter().enumerate() {
                if at > 0 {
                    line.push_str("  ");
                }
                let width = widths.get(at).copied().unwrap_or(0);
                let space = " ".repeat(width.saturating_sub(cell.width()));
                match sides.get(at) {
                    Some(Side::Right) => {
                        line.push_str(&space);
                        line.push_str(cell);
                    }
                    _ if at + 1 == columns => line.push_str(cell),
                    _ => {
                        line.push_str(cell);
                        line.push_str(&space);
                    }
                }
            }
            let before_last: usize =
                indent + widths.iter().take(columns - 1).map(|width| width + 2).sum::<usize>();
            if line.trim_end().width() <= WIDTH || before_last + 20 > WIDTH {
                self.text.push_str(line.trim_end());
                self.text.push('\n');
            } else {
                self.wrap_last(&line, before_last);
            }
        }
    }

    /// Wraps a line so that its further lines stand under its last column.
    fn wrap_last(&mut self, line: &str, indent: usize) {
        let mut rest = line.trim_end();
        let mut first = true;
        while !rest.is_empty() {
            let room = if first { WIDTH } else { WIDTH - indent };
            let from = if first { indent.min(rest.len()) } else { 0 };
            let cut = if rest.width() <= room { rest.len() } else { break_at(rest, from, room) };
            let (head, tail) = rest.split_at(cut);
            if !first {
                self.text.push_str(&" ".repeat(indent));
            }
            self.text.push_str(head.trim_end());
            self.text.push('\n');
            rest = tail.trim_start();
            first = false;
        }
    }
}

/// The last space at which a text still fits a room; beyond it where there is none.
fn break_at(text: &str, from: usize, room: usize) -> usize {
    let mut best = None;
    let mut width = 0;
    for (at, letter) in text.char_indices() {
        if letter == ' ' && at > from {
            if width <= room {
                best = Some(at);
            } else {
                return best.unwrap_or(at);
            }
        }
        width += unicode_width::UnicodeWidthChar::width(letter).unwrap_or(0);
    }
    if width > room { best.unwrap_or(text.len()) } else { text.len() }
}

/// The lines that a text takes in a column of a spreadsheet, which breaks words that are too long.
pub(super) fn lines_within(text: &str, room: usize) -> usize {
    let room = room.max(1);
    let lines_of = |line: &str| {
        let (mut lines, mut rest) = (0, line.trim_end());
        while !rest.is_empty() {
            let (head, tail) = rest.split_at(break_at(rest, 0, room));
            lines += head.width().div_ceil(room).max(1);
            rest = tail.trim_start();
        }
        lines.max(1)
    };
    text.lines().map(lines_of).sum()
}

/// A text on one line and without control characters: a sheet's words must not move the cursor.
#[must_use]
pub fn clean(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}

/// A count with its noun: `1 wheel`, `2 wheels`.
#[must_use]
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::{Page, Side, WIDTH};
    use crate::plan::Styling;

    #[test]
    fn no_line_is_wider_than_the_page() {
        let mut page = Page::new(Styling::Plain);
        let long = "a sentence that goes on ".repeat(12);
        page.hanging(2, 6, &long);
        page.table(
            2,
            &[Side::Left, Side::Right, Side::Left],
            &[vec!["SKU".into(), "12".into(), long.clone()]],
        );
        for line in page.into_text().lines() {
            assert!(line.chars().count() <= WIDTH, "{line}");
        }
    }

    #[test]
    fn words_of_a_sheet_cannot_move_the_cursor() {
        let mut page = Page::new(Styling::Plain);
        page.line(0, "a\u{1b}[2Jb\rc");
        assert!(!page.into_text().contains('\u{1b}'));
    }
}
