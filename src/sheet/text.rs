//! Reads delimited text into a tab.
//!
//! Finds the encoding and the delimiter, then splits records. Every field is text: what it means is for others.

use std::borrow::Cow;

use encoding_rs::{Encoding, UTF_8, WINDOWS_1252};

use super::address::{CellRef, Column};
use super::builder::TabBuilder;
use super::problem::{Damage, Excess, NotASheet, SheetError};
use super::{CellKind, Delimiter, Form, Origin, Tab, Visibility, delimiter};

/// Reads the bytes of a text file.
pub(super) fn read(name: &str, bytes: &[u8]) -> Result<Tab, SheetError> {
    let (text, encoding) = decode(name, bytes)?;
    let delimiter = delimiter::find(&text);
    let form = Form::Text { encoding: encoding.name(), delimiter };
    let mut tab = TabBuilder::new(String::new(), Visibility::Shown, form);
    tab.expect_text(text.len());
    split(name, &text, delimiter, &mut tab)?;
    tab.finish().map_err(|at| SheetError::Damaged {
        name: name.to_owned(),
        source: Damage::CellTwice { tab: String::new(), at },
    })
}

/// The text, without its byte order mark, and the encoding it was in.
///
/// A byte order mark decides. Without one, bytes that are valid UTF-8 are UTF-8: text in another encoding hardly
/// ever is by chance. All else is read as windows-1252, which gives every byte a character; [`Form::Text`] says so,
/// and here is the place to weigh further encodings.
fn decode<'b>(name: &str, bytes: &'b [u8]) -> Result<(Cow<'b, str>, &'static Encoding), SheetError> {
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        return encoding
            .decode_without_bom_handling_and_without_replacement(&bytes[mark..])
            .map(|text| (text, encoding))
            .ok_or_else(|| SheetError::Undecodable { name: name.to_owned(), encoding: encoding.name() });
    }
    // No text has zero bytes, save in the wide encodings, which are not guessed.
    if bytes.contains(&0) {
        return Err(SheetError::NotASheet { name: name.to_owned(), why: NotASheet::Binary });
    }
    Ok(match std::str::from_utf8(bytes) {
        Ok(text) => (Cow::Borrowed(text), UTF_8),
        Err(_) => (WINDOWS_1252.decode_without_bom_handling(bytes).0, WINDOWS_1252),
    })
}

/// Splits the text into records and fields.
fn split(name: &str, text: &str, delimiter: Delimiter, tab: &mut TabBuilder) -> Result<(), SheetError> {
    let too_large = |excess| SheetError::TooLarge { name: name.to_owned(), excess };
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter.byte())
        .from_reader(text.as_bytes());
    let mut record = csv::StringRecord::new();
    let mut row = 0_u32;
    let mut start = 0_usize;
    let mut end = 0_usize;
    while reader.read_record(&mut record).map_err(|error| SheetError::Damaged {
        name: name.to_owned(),
        source: Damage::Text(Box::new(error)),
    })? {
        let blank;
        (blank, start) = skip_blank_lines(text.as_bytes(), end);
        row = blank
            .checked_add(1)
            .and_then(|step| row.checked_add(step))
            .ok_or_else(|| too_large(Excess::Rows { limit: u32::MAX }))?;
        end = usize::try_from(reader.position().byte()).unwrap_or(text.len());
        for (index, field) in record.iter().enumerate() {
            if field.is_empty() {
                continue;
            }
            let column = Column::from_index(index)
                .ok_or_else(|| too_large(Excess::Columns { row, limit: Column::COUNT }))?;
            tab.text(CellRef::new(column, row), CellKind::Text, Origin::Typed, field).map_err(too_large)?;
        }
    }
    // A quotation mark that is never closed swallows every row after it into one field, without any complaint
    // from the reader. Only the last record can be so.
    let last = text.as_bytes().get(start..end).unwrap_or_default();
    if ends_inside_quotes(last, delimiter) {
        return Err(SheetError::OpenQuote { name: name.to_owned(), row });
    }
    Ok(())
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

/// Whether a record's last field is quoted and not closed, by the reader's own rules: a quotation mark opens a
/// quoted field only at its start, and two in a row within one stand for the mark itself.
fn ends_inside_quotes(record: &[u8], delimiter: Delimiter) -> bool {
    #[derive(Clone, Copy, PartialEq)]
    enum At {
        FieldStart,
        Bare,
        Quoted,
        MarkInQuoted,
    }
    let end = record.iter().fold(At::FieldStart, |at, byte| {
        let is_mark = *byte == b'"';
        match at {
            At::FieldStart | At::MarkInQuoted if is_mark => At::Quoted,
            At::Quoted if is_mark => At::MarkInQuoted,
            At::Quoted => At::Quoted,
            _ if *byte == delimiter.byte() => At::FieldStart,
            _ => At::Bare,
        }
    });
    end == At::Quoted
}

#[cfg(test)]
mod tests;
