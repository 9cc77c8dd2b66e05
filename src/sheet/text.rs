//! Reads delimited text into a tab.
//!
//! Finds the encoding and the delimiter, then splits records. Every field is text: what it means is for others.

use csv_core::ReadRecordResult;

use super::address::{CellRef, Column};
use super::builder::{Content, TabBuilder};
use super::limits::Limits;
use super::place::At;
use super::problem::{Damage, Excess, SheetError};
use super::{CellKind, Delimiter, Form, Origin, Tab, Visibility, delimiter, encoding};

/// Room for the text of one record to start with, in bytes; it grows to the longest record.
const ROOM: usize = 1 << 16;

/// Reads the bytes of a text file.
pub(super) fn read(name: &str, bytes: Vec<u8>, limits: Limits) -> Result<Tab, SheetError> {
    let (text, encoding) = encoding::decode(name, bytes, limits)?;
    let delimiter = delimiter::find(&text);
    let form = Form::Text { encoding: encoding.name(), delimiter };
    let mut tab = TabBuilder::new(String::new(), Visibility::Shown, form, limits);
    tab.expect_text(text.len());
    let split = split(&text, delimiter, limits, &mut tab);
    match split.map_err(|excess| SheetError::TooLarge { name: name.to_owned(), excess })? {
        Ending::Closed => {}
        Ending::OpenQuote { row } => return Err(SheetError::OpenQuote { name: name.to_owned(), row }),
    }
    tab.finish().map_err(|at| SheetError::Damaged {
        name: name.to_owned(),
        source: Damage::CellTwice { tab: String::new(), at },
    })
}

/// How the last record of a text ends. A quotation mark that is never closed swallows every row after it into one
/// field, without any complaint from the reader; only the last record can be so.
enum Ending {
    Closed,
    OpenQuote { row: u32 },
}

/// Splits the text into records and fields.
///
/// Splits straight from the text into room of a fixed width, so that neither one endless line nor one endless field
/// can ask for more memory than the text itself.
fn split(text: &str, delimiter: Delimiter, limits: Limits, tab: &mut TabBuilder) -> Result<Ending, Excess> {
    let mut reader = csv_core::ReaderBuilder::new().delimiter(delimiter.byte()).build();
    let mut ends = vec![0_usize; usize::from(limits.columns) + 1];
    let mut fields = vec![0_u8; ROOM];
    let mut row = 0_u32;
    let mut from = 0_usize;
    let mut last = 0..0;
    loop {
        let (blank, start) = skip_blank_lines(text.as_bytes(), from);
        let (mut filled, mut count) = (0, 0);
        let result = loop {
            let rest = text.as_bytes().get(from..).unwrap_or_default();
            let (result, read, wrote, ended) =
                reader.read_record(rest, &mut fields[filled..], &mut ends[count..]);
            from += read;
            filled += wrote;
            count += ended;
            match result {
                // Asked again without input, the reader knows that there is no more.
                ReadRecordResult::InputEmpty => {}
                ReadRecordResult::OutputFull => {
                    let field = filled - count.checked_sub(1).map_or(0, |last| ends[last]);
                    if field > limits.cell {
                        let column = Column::from_index(count).unwrap_or_default();
                        let row = row.saturating_add(blank).saturating_add(1);
                        return Err(Excess::Cell { at: CellRef::new(column, row), limit: limits.cell });
                    }
                    fields.resize(fields.len() * 2, 0);
                }
                other => break other,
            }
        };
        if matches!(result, ReadRecordResult::End) {
            let last = text.as_bytes().get(last).unwrap_or_default();
            let open = ends_inside_quotes(last, delimiter);
            return Ok(if open { Ending::OpenQuote { row } } else { Ending::Closed });
        }
        row = row
            .checked_add(blank)
            .and_then(|row| row.checked_add(1))
            .ok_or(Excess::Rows { limit: u32::MAX })?;
        let too_wide = Excess::Columns { row, limit: limits.columns };
        if matches!(result, ReadRecordResult::OutputEndsFull) {
            return Err(too_wide);
        }
        let mut begin = 0;
        for (index, end) in ends[..count].iter().copied().enumerate() {
            // Cut at delimiters and quotation marks, text stays text; were it not so, the field would show it.
            let field = String::from_utf8_lossy(&fields[begin..end]);
            begin = end;
            if field.is_empty() {
                continue;
            }
            let column = Column::from_index(index).ok_or(too_wide)?;
            let content = Content { kind: CellKind::Text, origin: Origin::Typed, format: 0, text: &field };
            tab.put(CellRef::new(column, row), content)?;
        }
        last = start..from;
    }
}

/// Counts the blank lines after a record that ended at `from`, and finds where the next record starts.
///
/// The reader skips blank lines without saying so, and of a CR LF pair it takes the LF only with the next record.
fn skip_blank_lines(bytes: &[u8], from: usize) -> (u32, usize) {
    let mut at = from;
    if from > 0 && bytes.get(from - 1) == Some(&b'\r') && bytes.get(from) == Some(&b'\n') {
        at += 1;
    }
    let mut blank = 0_u32;
    loop {
        at += match (bytes.get(at), bytes.get(at + 1)) {
            (Some(b'\r'), Some(b'\n')) => 2,
            (Some(b'\r' | b'\n'), _) => 1,
            _ => return (blank, at),
        };
        blank = blank.saturating_add(1);
    }
}

/// Whether a record's last field is quoted and not closed.
fn ends_inside_quotes(record: &[u8], delimiter: Delimiter) -> bool {
    record.iter().fold(At::FieldStart, |at, byte| at.after(*byte, delimiter)) == At::Quoted
}

#[cfg(test)]
mod tests;
