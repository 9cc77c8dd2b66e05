//! A text file piece by piece, for files that are gone through once and never held whole.
//!
//! A piece is a [`Tab`] of some hundred whole records under the numbers that they have in the file. Pieces are
//! cut by one reader and split by whoever takes them, on as many threads as there are. Only files without any
//! doubt are read so: UTF-8, quoted as RFC 4180 (IETF, 2005, section 2) has it, within every limit. All else is
//! [`Irregular`] and must be read whole by [`read`](super::read), which tells people what is wrong, or is
//! forgiving.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use memchr::{memchr, memchr_iter, memrchr};
use wide::u8x16;

use super::address::Column;
use super::builder::{RowStart, Stored, looks_empty};
use super::container::{self, Container};
use super::limits::Limits;
use super::{Delimiter, Form, Tab, Visibility, delimiter};

/// Bytes that a piece has at least, while there are more: enough that cutting costs nothing, and few enough that
/// what a piece gives, many times its size with many vans, stays small.
const PIECE: usize = 1 << 17;

/// A record longer than this is no row of a catalog.
const LONGEST: usize = 1 << 22;

/// The mark that some programs put before UTF-8.
const MARK: &[u8] = b"\xEF\xBB\xBF";

/// The file must be read whole: it holds something that pieces have no answer to, or asks for a sentence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Irregular;

/// A text file that is cut into pieces.
#[derive(Debug)]
pub struct PiecedText {
    /// The file's name as shown, without folders.
    pub name: String,
    file: File,
    form: Form,
    /// The bytes read and not handed out yet.
    carried: Vec<u8>,
    at_end: bool,
    /// How many bytes the text had when it was opened.
    length: u64,
}

/// How much of a file a piece holds, to add up against the limits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Extent {
    /// Records, blank lines included.
    pub records: u32,
    /// The last of them that holds something, counted from the first of the piece, from 1; 0 where none does.
    pub last_held: u32,
    cells: usize,
    text: usize,
}

impl PiecedText {
    /// Opens a text file, and finds its delimiter as [`read`](super::read) does.
    ///
    /// # Errors
    /// [`Irregular`] for whatever is not plainly a text file.
    pub fn open(path: &Path, limits: &Limits) -> Result<Self, Irregular> {
        let mut text = Self::of(path, limits)?;
        match container::recognize(&text.name, &text.carried, *limits) {
            Ok(Container::Text) => {}
            Ok(Container::Workbook(_)) | Err(_) => return Err(Irregular),
        }
        // A short file is judged by all of it, a longer one by its first records: as when it is read whole.
        let whole = match memrchr(b'\n', &text.carried) {
            Some(last) if text.length > delimiter::SAMPLE as u64 => last + 1,
            _ => text.carried.len(),
        };
        let start = std::str::from_utf8(&text.carried[..whole]).map_err(|_| Irregular)?;
        text.form = Form::Text { encoding: "UTF-8", delimiter: delimiter::find(start) };
        Ok(text)
    }

    /// Opens a text file again of which the form is known.
    ///
    /// # Errors
    /// [`Irregular`] where it cannot be read any more, or has grown too large.
    pub fn reopen(path: &Path, form: Form, limits: &Limits) -> Result<Self, Irregular> {
        let mut text = Self::of(path, limits)?;
        text.form = form;
        Ok(text)
    }

    /// A text file from its first byte, behind a mark of its encoding.
    fn of(path: &Path, limits: &Limits) -> Result<Self, Irregular> {
        // A pipe is not even opened: what it gives, it gives once.
        let about = std::fs::metadata(path).map_err(|_| Irregular)?;
        if !about.is_file() || about.len() > limits.file {
            return Err(Irregular);
        }
        let file = File::open(path).map_err(|_| Irregular)?;
        let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
        let mut text = Self {
            name,
            file,
            form: Form::Text { encoding: "UTF-8", delimiter: Delimiter::Comma },
            carried: Vec::new(),
            at_end: false,
            length: about.len(),
        };
        let mut first = Vec::new();
        text.fill(&mut first, delimiter::SAMPLE)?;
        text.carried = first;
        if text.carried.starts_with(MARK) {
            let mut first = text.carried.split_off(MARK.len());
            text.fill(&mut first, delimiter::SAMPLE)?;
            text.carried = first;
            text.length = text.length.saturating_sub(MARK.len() as u64);
        }
        Ok(text)
    }

    /// What kind of file its tabs are read from.
    #[must_use]
    pub fn form(&self) -> Form {
        self.form
    }

    /// Whether no piece is left.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.at_end && self.carried.is_empty()
    }

    /// How many pieces there are about.
    #[must_use]
    pub fn about(&self) -> usize {
        Self::pieces_of(self.length)
    }

    /// How many pieces so many bytes make, about.
    #[must_use]
    pub fn pieces_of(bytes: u64) -> usize {
        usize::try_from(bytes).unwrap_or(usize::MAX) / PIECE + 1
    }

    /// Reads until there are so many bytes, or no more.
    fn fill(&mut self, into: &mut Vec<u8>, bytes: usize) -> Result<(), Irregular> {
        while !self.at_end && into.len() < bytes {
            let lacking = bytes - into.len();
            let want = u64::try_from(lacking).unwrap_or(u64::MAX);
            into.reserve(lacking);
            self.file.by_ref().take(want).read_to_end(into).map_err(|_| Irregular)?;
            self.at_end = into.len() < bytes;
        }
        Ok(())
    }

    /// The bytes of the next piece, into room that is used again; `false` after the last.
    ///
    /// A line end outside quotation marks has an even number of them before it. That holds only in files without
    /// a stray one, and [`Piece::split`] finds every stray one.
    ///
    /// # Errors
    /// [`Irregular`] where the file cannot be read, or a record does not end.
    pub fn next(&mut self, bytes: &mut Vec<u8>) -> Result<bool, Irregular> {
        bytes.clear();
        bytes.append(&mut self.carried);
        let mut size = PIECE.max(bytes.len());
        loop {
            self.fill(bytes, size)?;
            if self.at_end {
                return Ok(!bytes.is_empty());
            }
            if let Some(end) = last_record_end(bytes) {
                self.carried.extend_from_slice(&bytes[end..]);
                bytes.truncate(end);
                return Ok(true);
            }
            if size >= LONGEST {
                return Err(Irregular);
            }
            size *= 2;
        }
    }
}

/// The end of the last record that ends within some bytes, which begin with a record.
fn last_record_end(bytes: &[u8]) -> Option<usize> {
    let mut end = memrchr(b'\n', bytes)?;
    let mut quotes = memchr_iter(b'"', &bytes[..end]).count();
    while quotes % 2 == 1 {
        let before = memrchr(b'\n', &bytes[..end])?;
        quotes -= memchr_iter(b'"', &bytes[before..end]).count();
        end = before;
    }
    Some(end + 1)
}

/// Some whole records of a text file, as a tab; its room is used again for the next.
#[derive(Debug)]
pub struct Piece {
    tab: Tab,
    marks: Vec<u32>,
}

impl Piece {
    /// A piece without records.
    #[must_use]
    pub fn new(form: Form) -> Self {
        Self { tab: Tab::empty(String::new(), Visibility::Shown, form), marks: Vec::new() }
    }

    /// The records.
    #[must_use]
    pub fn tab(&self) -> &Tab {
        &self.tab
    }

    /// Splits bytes into records, which are numbered on from `before`, the number of records before them. The room
    /// of the piece before is left in `bytes`.
    ///
    /// # Errors
    /// [`Irregular`] for what no careful program writes, and beyond the limits of one cell, row or column.
    pub fn split(&mut self, bytes: &mut Vec<u8>, before: u32, limits: &Limits) -> Result<Extent, Irregular> {
        let Form::Text { delimiter, .. } = self.tab.form else { return Err(Irregular) };
        let room = std::mem::take(&mut self.tab.text).into_bytes();
        self.tab.text = String::from_utf8(std::mem::replace(bytes, room)).map_err(|_| Irregular)?;
        self.tab.cells.clear();
        self.tab.rows.clear();
        find_marks(self.tab.text.as_bytes(), delimiter.byte(), &mut self.marks)?;
        self.tab.cells.reserve(self.marks.len() + 1);
        let splitter = Splitter {
            text: &self.tab.text,
            marks: &self.marks,
            delimiter: delimiter.byte(),
            cells: &mut self.tab.cells,
            rows: &mut self.tab.rows,
            unquoted: String::new(),
        };
        let (extent, unquoted) = splitter.split(before, limits)?;
        self.tab.text.push_str(&unquoted);
        Ok(extent)
    }
}

impl Extent {
    /// Both together, the other after this.
    ///
    /// # Errors
    /// [`Irregular`] beyond a limit of the whole file.
    pub fn and(self, after: Self, limits: &Limits) -> Result<Self, Irregular> {
        let records = self.records.checked_add(after.records).ok_or(Irregular)?;
        let sum = Self {
            records,
            last_held: if after.last_held == 0 { self.last_held } else { self.records + after.last_held },
            cells: self.cells + after.cells,
            text: self.text + after.text,
        };
        let within = sum.cells <= limits.cells && sum.text <= limits.text && sum.last_held <= limits.rows;
        if within { Ok(sum) } else { Err(Irregular) }
    }
}

/// Finds every delimiter, line end and quotation mark.
///
/// A line end is LF or CR LF. A CR alone ends a line too, to some, and no text holds a zero byte: both are irregular.
fn find_marks(bytes: &[u8], delimiter: u8, marks: &mut Vec<u32>) -> Result<(), Irregular> {
    marks.clear();
    if u32::try_from(bytes.len()).is_err() {
        return Err(Irregular);
    }
    let mut after_return = false;
    let (blocks, rest) = bytes.as_chunks::<BLOCK>();
    let mut last = [b' '; BLOCK];
    last.get_mut(..rest.len()).ok_or(Irregular)?.copy_from_slice(rest);
    for (nth, block) in blocks.iter().chain([&last]).enumerate() {
        let (mut ends, mut lines, mut returns, mut zeros) = (0_u64, 0_u64, 0_u64, 0_u64);
        for (place, lane) in block.as_chunks::<LANE>().0.iter().enumerate() {
            let lane = u8x16::new(*lane);
            let is = |byte: u8| lane.simd_eq(u8x16::splat(byte));
            let bits = |lanes: u8x16| u64::from(lanes.to_bitmask()) << (place * LANE);
            let lines_here = is(b'\n');
            ends |= bits(is(delimiter) | is(b'"') | lines_here);
            lines |= bits(lines_here);
            returns |= bits(is(b'\r'));
            zeros |= bits(is(0));
        }
        let awaited = returns << 1 | u64::from(after_return);
        if zeros != 0 || awaited & !lines != 0 {
            return Err(Irregular);
        }
        after_return = returns >> (BLOCK - 1) != 0;
        let start = (nth * BLOCK) as u32;
        while ends != 0 {
            marks.push(start + ends.trailing_zeros());
            ends &= ends - 1;
        }
    }
    if after_return { Err(Irregular) } else { Ok(()) }
}

/// Bytes that are looked at together: a bit of a word each.
const BLOCK: usize = 64;

const LANE: usize = 16;

struct Splitter<'p> {
    text: &'p str,
    marks: &'p [u32],
    delimiter: u8,
    cells: &'p mut Vec<Stored>,
    rows: &'p mut Vec<RowStart>,
    /// What quoted fields with quotation marks in them say; it comes to stand behind the text.
    unquoted: String,
}

/// A field in quotation marks.
struct Quoted {
    start: usize,
    length: usize,
    is_empty: bool,
    /// Behind the closing mark.
    end: usize,
}

impl Splitter<'_> {
    /// Goes from mark to mark; gives the extent, and what is to stand behind the text.
    fn split(mut self, before: u32, limits: &Limits) -> Result<(Extent, String), Irregular> {
        let (text, bytes) = (self.text, self.text.as_bytes());
        let mut extent = Extent::default();
        let (mut start, mut column, mut longest, mut widest) = (0, 0_usize, 0, 0);
        let mut first = 0;
        let mut marks = self.marks.iter().map(|at| *at as usize).peekable();
        loop {
            let at = marks.next();
            let byte = at.map_or(b'\n', |at| bytes[at]);
            let mut at = at.unwrap_or(bytes.len());
            let (begin, mut length, is_empty, ends_record);
            if byte == b'"' {
                // A quotation mark opens a field at its start, and nowhere else.
                if at != start {
                    return Err(Irregular);
                }
                let quoted = self.quoted(at + 1)?;
                (begin, length, is_empty) = (quoted.start, quoted.length, quoted.is_empty);
                at = quoted.end;
                ends_record = bytes.get(at) != Some(&self.delimiter);
                if ends_record && bytes.get(at) == Some(&b'\r') {
                    at += 1;
                }
                if ends_record && !matches!(bytes.get(at), None | Some(b'\n')) {
                    return Err(Irregular);
                }
                // The marks that stand within were passed.
                while marks.next_if(|passed| *passed <= at).is_some() {}
            } else {
                ends_record = byte == b'\n';
                // A text that ends with its last record has no more of them.
                if at == bytes.len() && start == at && column == 0 {
                    break;
                }
                (begin, length) = (start, at - start);
                if ends_record && length > 0 && at < bytes.len() && bytes[at - 1] == b'\r' {
                    length -= 1;
                }
                is_empty = length == 0
                    || (!bytes[begin].is_ascii_graphic() && looks_empty(&text[begin..begin + length]));
            }
            if !is_empty {
                let place = Column::from_index(column).ok_or(Irregular)?;
                let (start, size) = (begin as u32, length as u32);
                self.cells.push(Stored::typed(start, size, place));
                longest = longest.max(length);
                extent.text += length;
            }
            column += 1;
            start = at + 1;
            if ends_record {
                widest = widest.max(column);
                column = 0;
                extent.records += 1;
                if self.cells.len() > first {
                    let number = before.checked_add(extent.records).ok_or(Irregular)?;
                    self.rows.push(RowStart { number, first });
                    first = self.cells.len();
                    extent.last_held = extent.records;
                }
                if start > bytes.len() {
                    break;
                }
            }
        }
        extent.cells = self.cells.len();
        // Addresses are of 32 bits, and what is unquoted comes behind the text.
        let addressed = u32::try_from(bytes.len() + self.unquoted.len()).is_ok();
        let within = longest <= limits.cell && widest <= usize::from(limits.columns) && addressed;
        if within { Ok((extent, self.unquoted)) } else { Err(Irregular) }
    }

    /// A quoted field from behind its opening mark.
    #[cold]
    fn quoted(&mut self, from: usize) -> Result<Quoted, Irregular> {
        let bytes = self.text.as_bytes();
        let mut at = from;
        let mut doubled = false;
        let close = loop {
            let close = at + memchr(b'"', bytes.get(at..).ok_or(Irregular)?).ok_or(Irregular)?;
            if bytes.get(close + 1) != Some(&b'"') {
                break close;
            }
            doubled = true;
            at = close + 2;
        };
        let said = self.text.get(from..close).ok_or(Irregular)?;
        if !doubled {
            let is_empty = looks_empty(said);
            return Ok(Quoted { start: from, length: said.len(), is_empty, end: close + 1 });
        }
        let start = self.text.len() + self.unquoted.len();
        let said = said.replace("\"\"", "\"");
        self.unquoted.push_str(&said);
        Ok(Quoted { start, length: said.len(), is_empty: looks_empty(&said), end: close + 1 })
    }
}
