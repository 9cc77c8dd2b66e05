//! Where the cells of a text file stand for a text editor: line and column.
//!
//! A sheet counts records; an editor, and whoever marks a line for people, counts lines. The two part
//! where a quoted field holds a line break.

use super::address::CellRef;
use super::container::{self, Container};
use super::limits::Limits;
use super::{Delimiter, delimiter, encoding};

/// A stretch of a text file as editors count it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// The line, from 1.
    pub line: u32,
    /// The first character's column, from 1, in Unicode code points.
    pub column: u32,
    /// The line that it ends in.
    pub end_line: u32,
    /// The column after the last character.
    pub end_column: u32,
}

/// The text of one file, with the places of its records.
#[derive(Debug)]
pub struct TextPlaces {
    text: String,
    delimiter: Delimiter,
    /// Row, line and first byte of each record; ascends.
    records: Vec<(u32, u32, usize)>,
}

/// Where in a record a byte stands, by the reader's own rules: a quotation mark opens a quoted field only
/// at its start, and two in a row within one stand for the mark itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum At {
    FieldStart,
    Bare,
    Quoted,
    MarkInQuoted,
}

impl At {
    /// Where the next byte stands.
    pub(super) fn after(self, byte: u8, delimiter: Delimiter) -> Self {
        match self {
            Self::FieldStart | Self::MarkInQuoted if byte == b'"' => Self::Quoted,
            Self::Quoted if byte == b'"' => Self::MarkInQuoted,
            Self::Quoted => Self::Quoted,
            _ if byte == delimiter.byte() => Self::FieldStart,
            _ => Self::Bare,
        }
    }
}

impl TextPlaces {
    /// The places in a file's bytes; none where it is a workbook, or no sheet at all.
    #[must_use]
    pub fn of(name: &str, bytes: &[u8], limits: &Limits) -> Option<Self> {
        let Ok(Container::Text) = container::recognize(name, bytes, *limits) else { return None };
        let (text, _) = encoding::decode(name, bytes.to_vec(), *limits).ok()?;
        let delimiter = delimiter::find(&text);
        Some(Self { records: records(&text, delimiter), text, delimiter })
    }

    /// Where a cell stands; the end of its record where that has no such cell, and none where there
    /// is no such record.
    #[must_use]
    pub fn at(&self, cell: CellRef) -> Option<Place> {
        let record = self.records.binary_search_by_key(&cell.row, |(row, ..)| *row).ok()?;
        let (_, line, start) = *self.records.get(record)?;
        let mut at = At::FieldStart;
        let mut index = 0;
        let (mut now, mut first) = ((line, 1), (line, 1));
        for letter in self.text.get(start..)?.chars() {
            let quoted = at == At::Quoted;
            if !quoted && matches!(letter, '\r' | '\n') {
                break;
            }
            // Whatever is not ASCII is neither mark nor delimiter.
            at = at.after(u8::try_from(letter).unwrap_or(b'x'), self.delimiter);
            if !quoted && at == At::FieldStart {
                if index == cell.column.index() {
                    break;
                }
                index += 1;
                first = (now.0, now.1 + 1);
            }
            now = if letter == '\n' { (now.0 + 1, 1) } else { (now.0, now.1 + 1) };
        }
        if index != cell.column.index() {
            first = now;
        }
        Some(Place { line: first.0, column: first.1, end_line: now.0, end_column: now.1 })
    }
}

fn records(text: &str, delimiter: Delimiter) -> Vec<(u32, u32, usize)> {
    let bytes = text.as_bytes();
    let mut records = Vec::new();
    let (mut row, mut line, mut at) = (1_u32, 1_u32, At::FieldStart);
    let mut open = false;
    for (place, byte) in bytes.iter().copied().enumerate() {
        let quoted = at == At::Quoted;
        match byte {
            // Of a pair the second counts.
            b'\r' if !quoted && bytes.get(place + 1) == Some(&b'\n') => {}
            b'\r' | b'\n' if !quoted => {
                (row, line) = (row.saturating_add(1), line.saturating_add(1));
                (open, at) = (false, At::FieldStart);
            }
            _ => {
                if !open {
                    records.push((row, line, place));
                    open = true;
                }
                line = line.saturating_add(u32::from(byte == b'\n'));
                at = at.after(byte, delimiter);
            }
        }
    }
    records
}

#[cfg(test)]
mod tests {
    use super::{Place, TextPlaces};
    use crate::sheet::Limits;

    fn place(text: &[u8], cell: &str) -> Option<Place> {
        TextPlaces::of("a.csv", text, &Limits::default()).unwrap().at(cell.parse().unwrap())
    }

    fn one_line(line: u32, column: u32, end_column: u32) -> Option<Place> {
        Some(Place { line, column, end_line: line, end_column })
    }

    #[test]
    fn cells_are_found_by_line_and_column() {
        let text = b"SKU;Load;Seat\r\n\r\nA-1;1250;cone\r\nA-2;9\r\n";
        assert_eq!(place(text, "A1"), one_line(1, 1, 4));
        assert_eq!(place(text, "B3"), one_line(3, 5, 9));
        assert_eq!(place(text, "C3"), one_line(3, 10, 14));
        assert_eq!(place(text, "C4"), one_line(4, 6, 6), "the record ends before");
        assert_eq!(place(text, "A2"), None, "a blank line is no record");
        assert_eq!(place(text, "A9"), None);
    }

    #[test]
    fn a_line_break_within_quotes_is_a_line_and_no_record() {
        let text = "SKU,Note,Load\nA-1,\"two, \"\"so\"\"\nlines\",1250\nÄ-2,x,\"1300\"".as_bytes();
        assert_eq!(place(text, "B2"), Some(Place { line: 2, column: 5, end_line: 3, end_column: 7 }));
        assert_eq!(place(text, "C2"), one_line(3, 8, 12));
        assert_eq!(place(text, "A3"), one_line(4, 1, 4));
        assert_eq!(place(text, "C3"), one_line(4, 7, 13));
    }

    #[test]
    fn a_workbook_has_no_lines() {
        assert!(TextPlaces::of("a.xlsx", b"PK\x03\x04", &Limits::default()).is_none());
    }
}
