//! Reads a supplier's file into cells and loses nothing on the way.
//!
//! Takes in the bytes of delimited text or of an xlsx, xlsb, xls or ods workbook; yields a [`Sheet`] of tabs of cells.
//! Each cell keeps its address as people see it, its text and what kind of content it was. Knows nothing about
//! headings, wheels or tires, and never guesses what a cell means.
//!
//! Addresses are absolute. Suppliers rarely start in the corner; this tab's content starts at C4:
//!
//! ```text
//!        A      B      C        D
//!   1  ┌──────┬──────┬────────┬────────┐
//!   2  │      │      │        │        │     rows 1 to 3 and columns A and B hold nothing, so they are not
//!   3  │      │      │        │        │     stored, but they still count
//!   4  │      │      │ SKU    │ Offset │     <- rows() starts here: number() is 4, its first cell is in column C
//!   5  │      │      │ K7-178 │ ET38   │     <- "ET38" is D5, not B2
//!   6  │      │      │        │        │
//!   7  │      │      │ K7-179 │ ET45   │     <- the next row after 5 is 7; last_row() is 7
//!      └──────┴──────┴────────┴────────┘
//! ```
//!
//! Workbook readers report rows relative to the first used cell, and text readers skip blank lines. A person who
//! is told "B2" would look at an empty cell, so both are put right here and nowhere else.

mod address;
mod builder;
pub mod contained;
mod container;
mod delimiter;
mod encoding;
mod limits;
mod moment;
mod number_format;
mod open_document;
mod parts;
mod pieces;
mod place;
mod plain_cells;
mod problem;
mod text;
mod workbook;

use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

pub use address::{AddressError, CellRef, Column};
pub use limits::Limits;
pub use number_format::{DateShape, NumberFormat};
pub use pieces::{Extent, Irregular, Piece, PiecedText};
pub use place::{Place, TextPlaces};
pub use problem::{Damage, Excess, NotASheet, SheetError};

use builder::{RowStart, Stored};
use container::Container;

/// A supplier's file: its tabs, in the order the file lists them.
#[derive(Debug)]
pub struct Sheet {
    /// The file's name as shown, without folders.
    pub name: String,
    /// Every tab, hidden ones included. A text file has one.
    pub tabs: Vec<Tab>,
}

/// One tab of a sheet: its cells, found by row and column.
#[derive(Debug)]
pub struct Tab {
    name: String,
    visibility: Visibility,
    form: Form,
    // INVARIANT: `rows` ascends by number and by start; within a row `cells` ascends by column; every cell's
    // span lies within `text` on character borders. Only `builder` makes tabs.
    text: String,
    cells: Vec<Stored>,
    rows: Vec<RowStart>,
    formats: Vec<String>,
    // INVARIANT: these two ascend, and no range touches the next.
    hidden_rows: Vec<(u32, u32)>,
    hidden_columns: Vec<(Column, Column)>,
    merged: Vec<Region>,
}

/// A region of cells that is shown as one cell; its content is that of the first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Region {
    /// The cell at the top left.
    pub first: CellRef,
    /// The cell at the bottom right.
    pub last: CellRef,
}

impl Region {
    /// Whether a cell lies within.
    #[must_use]
    pub fn contains(&self, at: CellRef) -> bool {
        (self.first.row..=self.last.row).contains(&at.row)
            && (self.first.column..=self.last.column).contains(&at.column)
    }

    /// A region as workbooks write it, `A1:C3`; `None` if it is not one.
    fn from_text(text: &str) -> Option<Self> {
        let (first, last) = text.split_once(':')?;
        let (first, last): (CellRef, CellRef) = (first.parse().ok()?, last.parse().ok()?);
        (first.row <= last.row && first.column <= last.column).then_some(Self { first, last })
    }
}

/// Whether the spreadsheet program shows a tab.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Visibility {
    /// Shown.
    Shown,
    /// Hidden, by whatever means. Its cells are read all the same.
    Hidden,
}

/// What kind of file a tab was read from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Delimited text.
    Text {
        /// The encoding that was found, by its name in the WHATWG Encoding Standard.
        encoding: &'static str,
        /// The delimiter that was found.
        delimiter: Delimiter,
    },
    /// A workbook.
    Workbook,
}

/// What separates the fields of a text file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Delimiter {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// The tab character.
    Tab,
    /// `|`
    Pipe,
}

impl fmt::Display for Delimiter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Comma => "comma",
            Self::Semicolon => "semicolon",
            Self::Tab => "tab",
            Self::Pipe => "pipe",
        })
    }
}

/// What a cell held. Every cell of a text file is [`CellKind::Text`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CellKind {
    /// Words, or anything stored as words.
    Text,
    /// A number.
    Number,
    /// A date, a time of day or a length of time.
    Date,
    /// `TRUE` or `FALSE`.
    Flag,
    /// An error such as `#REF!`.
    Error,
    /// A formula whose result was never stored; its text is empty, but the cell is not.
    Lost,
}

/// How a cell came by its content.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// It was typed in or pasted; or, in an xls, a formula gave it that the file keeps once for several cells.
    Typed,
    /// A formula gave it.
    Formula,
}

/// A cell that holds something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cell<'s> {
    /// The column the cell stands in.
    pub column: Column,
    /// The content as stored, not trimmed. Numbers are the shortest decimal text that gives the same number
    /// (`38`, `84.1`); dates are ISO 8601 (`2026-12-06`, `2026-12-06T12:30:00`), times and lengths of time
    /// `hh:mm:ss`; errors are as shown (`#REF!`).
    pub text: &'s str,
    /// What the cell held.
    pub kind: CellKind,
    /// How it came by it.
    pub origin: Origin,
    /// Its number format, where that says more than the number: a unit, a percent sign, a currency, the shape of a
    /// date. Told for xlsx only; elsewhere a format goes unseen.
    pub format: Option<NumberFormat<'s>>,
}

impl<'s> Cell<'s> {
    /// The content without white space around it. Most has none, which two letters tell.
    #[must_use]
    #[inline]
    pub fn trimmed(&self) -> &'s str {
        match self.text.as_bytes() {
            [first, .., last] if first.is_ascii_graphic() && last.is_ascii_graphic() => self.text,
            _ => self.text.trim(),
        }
    }
}

/// A row that holds at least one cell.
#[derive(Clone, Copy)]
pub struct Row<'s> {
    tab: &'s Tab,
    number: u32,
    cells: &'s [Stored],
}

impl Tab {
    /// A tab that holds nothing.
    fn empty(name: String, visibility: Visibility, form: Form) -> Self {
        Self {
            name,
            visibility,
            form,
            text: String::new(),
            cells: Vec::new(),
            rows: Vec::new(),
            formats: Vec::new(),
            hidden_rows: Vec::new(),
            hidden_columns: Vec::new(),
            merged: Vec::new(),
        }
    }

    /// The name on the tab; empty for a text file.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Whether the spreadsheet program shows the tab.
    pub fn visibility(&self) -> Visibility {
        self.visibility
    }

    /// What kind of file the tab was read from.
    pub fn form(&self) -> Form {
        self.form
    }

    /// The rows that hold something, from the top.
    pub fn rows(&self) -> impl ExactSizeIterator<Item = Row<'_>> + DoubleEndedIterator + Clone {
        (0..self.rows.len()).map(|place| self.row_at(place))
    }

    /// The row with this number (first row 1); `None` if it holds nothing.
    pub fn row(&self, number: u32) -> Option<Row<'_>> {
        self.rows.binary_search_by_key(&number, |start| start.number).ok().map(|place| self.row_at(place))
    }

    /// The cell at an address; `None` if it holds nothing.
    pub fn cell(&self, at: CellRef) -> Option<Cell<'_>> {
        self.row(at.row)?.cell(at.column)
    }

    /// The number of the last row that holds something (first row 1); 0 for an empty tab.
    pub fn last_row(&self) -> u32 {
        self.rows.last().map_or(0, |start| start.number)
    }

    /// The rows that are not shown, as ranges from first to last (first row 1), ascending. Their cells are read all
    /// the same. Told for xlsx and ods only: none here does not mean none in an xls or xlsb.
    pub fn hidden_rows(&self) -> &[(u32, u32)] {
        &self.hidden_rows
    }

    /// The columns that are not shown, as ranges from first to last, ascending. Told for xlsx and ods only.
    pub fn hidden_columns(&self) -> &[(Column, Column)] {
        &self.hidden_columns
    }

    /// Whether a row is one of the [`hidden_rows`](Self::hidden_rows).
    pub fn hides_row(&self, row: u32) -> bool {
        within(&self.hidden_rows, row)
    }

    /// Whether a column is one of the [`hidden_columns`](Self::hidden_columns).
    pub fn hides_column(&self, column: Column) -> bool {
        within(&self.hidden_columns, column)
    }

    /// The regions of cells shown as one, in the order the file lists them. Told for xlsx, xls and ods.
    pub fn merged(&self) -> &[Region] {
        &self.merged
    }

    fn row_at(&self, place: usize) -> Row<'_> {
        let start = &self.rows[place];
        let end = self.rows.get(place + 1).map_or(self.cells.len(), |next| next.first);
        Row { tab: self, number: start.number, cells: &self.cells[start.first..end] }
    }

    fn show(&self, stored: &Stored) -> Cell<'_> {
        Cell {
            column: stored.column,
            text: &self.text[stored.span()],
            kind: stored.kind,
            origin: stored.origin,
            format: usize::from(stored.format)
                .checked_sub(1)
                .and_then(|place| self.formats.get(place))
                .map(|code| NumberFormat::new(code)),
        }
    }
}

impl<'s> Row<'s> {
    /// The row's number as people see it: the first is 1.
    pub fn number(self) -> u32 {
        self.number
    }

    /// The cells that hold something, from the left.
    pub fn cells(self) -> impl ExactSizeIterator<Item = Cell<'s>> + DoubleEndedIterator + Clone {
        self.cells.iter().map(move |stored| self.tab.show(stored))
    }

    /// The cell in a column; `None` if it holds nothing.
    pub fn cell(self, column: Column) -> Option<Cell<'s>> {
        // Rows have few gaps, and a cell stands no further right in the list than in the sheet.
        let most = column.index().min(self.cells.len().checked_sub(1)?);
        let near = &self.cells[most.saturating_sub(NEAR)..=most];
        let found = match near.iter().rfind(|stored| stored.column <= column) {
            Some(stored) => Some(stored).filter(|stored| stored.column == column),
            None => {
                let place = self.cells.binary_search_by_key(&column, |stored| stored.column).ok()?;
                self.cells.get(place)
            }
        };
        Some(self.tab.show(found?))
    }
}

/// How many cells are looked at before a cell is searched for among all.
const NEAR: usize = 7;

/// Whether one of the ascending ranges holds a value.
fn within<T: Copy + Ord>(ranges: &[(T, T)], value: T) -> bool {
    let after = ranges.partition_point(|(first, _)| *first <= value);
    after.checked_sub(1).and_then(|place| ranges.get(place)).is_some_and(|(_, last)| value <= *last)
}

impl fmt::Debug for Row<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Row")
            .field("number", &self.number)
            .field("cells", &self.cells().collect::<Vec<_>>())
            .finish()
    }
}

/// Reads a file into cells.
///
/// # Errors
///
/// As [`read_bytes`], and when the file is missing or cannot be opened.
pub fn read(path: &Path) -> Result<Sheet, SheetError> {
    read_within(path, &Limits::default())
}

/// Reads a file into cells, within other limits than the usual.
///
/// # Errors
///
/// As [`read`].
pub fn read_within(path: &Path, limits: &Limits) -> Result<Sheet, SheetError> {
    let (name, bytes) = load(path, limits)?;
    read_bytes_within(&name, bytes, limits)
}

/// Loads a file: its name as shown, and its bytes.
///
/// # Errors
///
/// When the file is missing, is a folder or cannot be opened. A file beyond the limit is loaded to one byte past
/// it, which [`read_bytes_within`] refuses.
pub fn load(path: &Path, limits: &Limits) -> Result<(String, Vec<u8>), SheetError> {
    let cannot_open = |source: io::Error| match source.kind() {
        io::ErrorKind::NotFound => SheetError::NotFound { path: path.to_owned() },
        _ => SheetError::Io { path: path.to_owned(), source },
    };
    let shown = path.file_name().unwrap_or(path.as_os_str());
    let name = shown.to_string_lossy();
    let mut file = File::open(path).map_err(cannot_open)?;
    let about = file.metadata().map_err(cannot_open)?;
    if about.is_dir() {
        return Err(SheetError::NotASheet { name: name.into_owned(), why: NotASheet::Folder });
    }
    let mut bytes =
        Vec::with_capacity(usize::try_from(about.len().min(limits.file).saturating_add(1)).unwrap_or(0));
    fill(&mut bytes, &mut file, limits).map_err(cannot_open)?;
    Ok((name.into_owned(), bytes))
}

/// Whether bytes are an xlsx workbook, by their content; `name` is for no more than messages.
pub fn is_open_workbook(name: &str, bytes: &[u8]) -> bool {
    matches!(
        container::recognize(name, bytes, Limits::default()),
        Ok(Container::Workbook(container::Format::Xlsx))
    )
}

/// Whether a file begins as workbooks do. A pipe does not, and is not opened: what it gives, it gives once.
#[must_use]
pub fn begins_as_workbook(path: &Path) -> bool {
    let mut start = Vec::new();
    path.is_file()
        && File::open(path).is_ok_and(|file| file.take(8).read_to_end(&mut start).is_ok())
        && container::begins_as_workbook(&start)
}

/// Loads what a stream gives, such as standard input; `name` is what it is called in messages.
///
/// # Errors
///
/// [`SheetError::Io`] when the stream breaks off. A stream beyond the limit is loaded to one byte past it.
pub fn load_stream(name: &str, stream: &mut dyn Read, limits: &Limits) -> Result<Vec<u8>, SheetError> {
    let mut bytes = Vec::new();
    fill(&mut bytes, stream, limits).map_err(|source| SheetError::Io { path: name.into(), source })?;
    Ok(bytes)
}

/// Takes in at most one byte more than is allowed: that tells a file that is too large from one that just fits, and
/// a pipe without end or a file that grows meanwhile cannot fill the memory.
fn fill(bytes: &mut Vec<u8>, from: &mut dyn Read, limits: &Limits) -> io::Result<()> {
    from.take(limits.file.saturating_add(1)).read_to_end(bytes).map(drop)
}

/// Reads the bytes of a file into cells. What kind of file it is follows from the bytes, never from the name.
///
/// # Errors
///
/// - [`SheetError::NotASheet`] if the bytes are empty or are something else, such as a web page.
/// - [`SheetError::Encrypted`] if a password is needed.
/// - [`SheetError::Damaged`] if a workbook cannot be read to its end, or gives one cell twice.
/// - [`SheetError::TooLarge`] if a limit is passed.
/// - [`SheetError::Undecodable`] if text breaks the encoding its byte order mark declares.
/// - [`SheetError::OpenQuote`] if a quotation mark swallows the rest of a text file.
pub fn read_bytes(name: &str, bytes: Vec<u8>) -> Result<Sheet, SheetError> {
    read_bytes_within(name, bytes, &Limits::default())
}

/// Reads the bytes of a file into cells, within other limits than the usual.
///
/// # Errors
///
/// As [`read_bytes`].
pub fn read_bytes_within(name: &str, bytes: Vec<u8>, limits: &Limits) -> Result<Sheet, SheetError> {
    if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > limits.file {
        let excess = Excess::File { limit: limits.file };
        return Err(SheetError::TooLarge { name: name.to_owned(), excess });
    }
    let tabs = match container::recognize(name, &bytes, *limits)? {
        Container::Text => vec![text::read(name, bytes, *limits)?],
        Container::Workbook(format) => {
            contained::read(format, bytes, *limits).map_err(|fault| fault.of(name))?
        }
    };
    Ok(Sheet { name: name.to_owned(), tabs })
}
