//! What can keep a file from becoming cells, in words for a person who works with parts.

use std::error::Error as StdError;
use std::fmt::{self, Display};
use std::io;
use std::path::PathBuf;

use miette::Diagnostic;
use thiserror::Error;

use super::address::{CellRef, Column};

/// Why a file could not be read into cells. [`Diagnostic::help`] says what to do about it.
#[derive(Debug, Error)]
pub enum SheetError {
    /// No such file.
    #[error("there is no file `{}`", path.display())]
    NotFound {
        /// The path as given.
        path: PathBuf,
    },
    /// The file exists but cannot be opened or read.
    #[error("`{}` cannot be opened", path.display())]
    Io {
        /// The path as given.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file is something else.
    #[error("`{name}` is not a sheet: it {why}")]
    NotASheet {
        /// The file's name.
        name: String,
        /// What it is.
        why: NotASheet,
    },
    /// The workbook needs a password.
    #[error("`{name}` is locked with a password")]
    Encrypted {
        /// The file's name.
        name: String,
    },
    /// The workbook is broken.
    #[error("`{name}` is damaged and cannot be read to its end")]
    Damaged {
        /// The file's name.
        name: String,
        /// What is broken.
        source: Damage,
    },
    /// A limit was passed.
    #[error("`{name}` is too large: {excess}")]
    TooLarge {
        /// The file's name.
        name: String,
        /// Which limit.
        excess: Excess,
    },
    /// The text breaks the encoding its byte order mark declares.
    #[error("`{name}` declares that it is {encoding} text, but part of it is not")]
    Undecodable {
        /// The file's name.
        name: String,
        /// The declared encoding.
        encoding: &'static str,
    },
    /// A quoted field runs to the end of the file, so the rows after its start cannot be told apart.
    #[error("in `{name}` a quotation mark opened in row {row} is never closed")]
    OpenQuote {
        /// The file's name.
        name: String,
        /// The row that holds the mark, as a spreadsheet counts.
        row: u32,
    },
}

/// What a file is instead of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum NotASheet {
    /// A folder.
    #[error("is a folder")]
    Folder,
    /// Nothing at all.
    #[error("is empty")]
    Empty,
    /// A PDF document.
    #[error("is a PDF document")]
    Pdf,
    /// A picture.
    #[error("is a picture")]
    Picture,
    /// A web page, whatever its name ends in.
    #[error("is a web page")]
    WebPage,
    /// An XML document.
    #[error("is an XML document")]
    Xml,
    /// A rich text document.
    #[error("is a text document")]
    Document,
    /// An archive without a workbook in it.
    #[error("is an archive without a workbook in it")]
    Archive,
    /// Text with zero bytes in it, which no text has.
    #[error("has zero bytes within its text")]
    ZeroBytes,
    /// Bytes that are no text.
    #[error("is neither text nor a known kind of workbook")]
    Binary,
}

impl NotASheet {
    fn remedy(self) -> &'static str {
        match self {
            Self::Folder => "name the sheets in it",
            Self::Empty | Self::ZeroBytes => "ask the supplier to send the file again",
            Self::Pdf | Self::Picture | Self::Document => {
                "ask the supplier for the spreadsheet it was made from"
            }
            Self::WebPage | Self::Xml => "open it in a spreadsheet program and save it as an xlsx workbook",
            Self::Archive => "unpack it first, then name the sheets that were in it",
            Self::Binary => {
                "open it in a spreadsheet program and save it as an xlsx workbook or as CSV in UTF-8"
            }
        }
    }
}

/// Which limit was passed. [`Excess::limit_name`] is the field of [`Limits`](super::Limits) that raises it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum Excess {
    /// The file itself.
    #[error("the file has more than {}", Size(*limit))]
    File {
        /// The most bytes taken in.
        limit: u64,
    },
    /// The workbook once unpacked, or the text once decoded.
    #[error("unpacked, the file has more than {}", Size(*limit))]
    Unpacked {
        /// The most bytes taken in.
        limit: u64,
    },
    /// The text of all cells.
    #[error("its cells hold more than {} of text", Size::of(*limit))]
    Text {
        /// The most bytes taken in.
        limit: usize,
    },
    /// The text of one cell.
    #[error("cell {at} holds more than {} of text", Size::of(*limit))]
    Cell {
        /// The cell.
        at: CellRef,
        /// The most bytes taken in.
        limit: usize,
    },
    /// The cells of all tabs.
    #[error("it has more than {limit} cells")]
    Cells {
        /// The most cells taken in.
        limit: usize,
    },
    /// The columns of one tab.
    #[error("row {row} has more than {limit} columns")]
    Columns {
        /// The row, as a spreadsheet counts.
        row: u32,
        /// The most columns taken in.
        limit: u16,
    },
    /// The rows of one tab.
    #[error("one tab has more than {limit} rows")]
    Rows {
        /// The most rows taken in.
        limit: u32,
    },
    /// The memory that a workbook's reader asked for.
    #[error("reading it takes more than {} of memory", Size(*limit))]
    Memory {
        /// The most bytes given.
        limit: u64,
    },
    /// The time that a workbook's reader took.
    #[error("reading it takes more than {seconds} seconds")]
    Time {
        /// The most seconds given.
        seconds: u64,
    },
}

impl Excess {
    /// The name of the field of [`Limits`](super::Limits) to raise, for a file that is honest and wanted whole.
    #[must_use]
    pub fn limit_name(self) -> &'static str {
        match self {
            Self::File { .. } => "file",
            Self::Unpacked { .. } => "unpacked",
            Self::Text { .. } => "text",
            Self::Cell { .. } => "cell",
            Self::Cells { .. } => "cells",
            Self::Columns { .. } => "columns",
            Self::Rows { .. } => "rows",
            Self::Memory { .. } => "memory",
            Self::Time { .. } => "time",
        }
    }
}

/// A count of bytes, shown in MiB where that is exact.
struct Size(u64);

impl Size {
    fn of(bytes: usize) -> Self {
        Self(u64::try_from(bytes).unwrap_or(u64::MAX))
    }
}

impl Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const MIB: u64 = 1 << 20;
        match self.0 {
            bytes if bytes >= MIB && bytes.is_multiple_of(MIB) => write!(f, "{} MiB", bytes / MIB),
            bytes => write!(f, "{bytes} bytes"),
        }
    }
}

/// What is broken in a file.
#[derive(Debug, Error)]
pub enum Damage {
    /// The workbook's parts do not add up.
    #[error("the workbook reader stopped")]
    Workbook(#[source] Box<dyn StdError + Send + Sync>),
    /// A part of the workbook is not what it was when it was stored, or cannot be unpacked.
    #[error("its part `{part}` does not unpack to what was stored")]
    Part {
        /// The name of the part.
        part: String,
    },
    /// The two places that name a part of the workbook differ, or two parts have one name.
    #[error("its part `{part}` is named in two ways")]
    PartName {
        /// The name of the part.
        part: String,
    },
    /// The list of parts at the end of the file is missing or broken, as after an interrupted download.
    #[error("the list of its parts, kept at the end of the file, is missing or broken")]
    Unfinished,
    /// The workbook gives two contents for one cell.
    #[error("cell {at} of tab `{tab}` is stored twice")]
    CellTwice {
        /// The name of the tab.
        tab: String,
        /// The cell.
        at: CellRef,
    },
    /// A cell lies outside of any sheet.
    #[error("tab `{tab}` has a cell beyond the last column or row")]
    OffTheSheet {
        /// The name of the tab.
        tab: String,
    },
    /// The workbook reader panicked or died. What it said is meant for its makers, so it is not kept.
    #[error("the workbook reader broke off")]
    BrokeOff,
}

/// What went wrong, before the file's name is put to it.
#[derive(Debug)]
pub(super) enum Fault {
    Locked,
    Damage(Damage),
    Excess(Excess),
}

impl Fault {
    pub(super) fn of(self, name: &str) -> SheetError {
        let name = name.to_owned();
        match self {
            Self::Locked => SheetError::Encrypted { name },
            Self::Damage(source) => SheetError::Damaged { name, source },
            Self::Excess(excess) => SheetError::TooLarge { name, excess },
        }
    }
}

impl From<Excess> for Fault {
    fn from(excess: Excess) -> Self {
        Self::Excess(excess)
    }
}

impl From<Damage> for Fault {
    fn from(damage: Damage) -> Self {
        Self::Damage(damage)
    }
}

impl Diagnostic for SheetError {
    fn help(&self) -> Option<Box<dyn Display + '_>> {
        let help: &'static str = match self {
            Self::TooLarge { excess: Excess::Columns { limit: Column::COUNT, .. }, .. } => {
                "no sheet has so many columns; look there for a line end that is missing"
            }
            Self::TooLarge { excess, .. } => {
                let limit = excess.limit_name();
                return Some(Box::new(format!(
                    "split it, or delete what is not part of the list, and save it anew; if all of it is wanted, raise the limit `{limit}`"
                )));
            }
            Self::NotFound { .. } => "check the spelling, and that the folder is the right one",
            Self::Io { .. } => "close it in other programs and check that it may be read",
            Self::NotASheet { why, .. } => why.remedy(),
            Self::Encrypted { .. } => {
                "open it with the password in a spreadsheet program and save it without one"
            }
            Self::Damaged { .. } => {
                "open it in a spreadsheet program and save it anew as an xlsx workbook, or ask the supplier to send it again"
            }
            Self::Undecodable { .. } => {
                "open it in a spreadsheet program and save it as CSV in UTF-8, or as an xlsx workbook"
            }
            Self::OpenQuote { .. } => {
                "look in that row for a field that starts with a quotation mark, such as an inch mark in front; close it or take it out"
            }
        };
        Some(Box::new(help))
    }
}
