//! What intake makes of the sheets: parts, their specs, and an account of every row.

use std::sync::Arc;

use crate::facts::field::Field;
use crate::facts::part::{Part, PartKind, Spec};
use crate::facts::remark::RemarkKind;
use crate::sheet::Column;

/// Something about a cell or row that people should know.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Remark {
    /// Which tab.
    pub tab: usize,
    /// The row as people count it; 0 for a remark on the tab as a whole.
    pub row: u32,
    /// The column, where one cell is meant.
    pub column: Option<Column>,
    /// What it is about.
    pub kind: RemarkKind,
    /// A sentence about it.
    pub says: Arc<str>,
    /// Whether it is a fault of the sheet, or only something to know.
    pub weight: Weight,
}

/// How much a remark matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// A fault of the sheet: something could not be used.
    Fault,
    /// How something was read; nothing is lost.
    Note,
}

/// One column of a tab, as it was understood.
#[derive(Clone, Debug, Default)]
pub struct ColumnAccount {
    /// The column's letters.
    pub column: String,
    /// Its heading as written.
    pub heading: String,
    /// The row that its heading first stands in.
    pub heading_row: u32,
    /// What it holds, in the words of profiles; none where the heading names nothing known.
    pub holds: Option<&'static str>,
    /// What else it may hold, in the words of profiles, where heading or cells leave that in doubt.
    pub nearest: Option<&'static str>,
    /// What a buyer should know of it, as a phrase: what its cells look like, or which price counts.
    pub note: Option<String>,
    /// The unit stated for it.
    pub unit: Option<&'static str>,
    /// Who states the unit: `heading` or `profile`; or `proof`, by another column.
    pub unit_from: Option<&'static str>,
    /// Which column proves the unit, and how, as a phrase.
    pub unit_proof: Option<String>,
    /// The kind of part alone for which the unit is proven; both, if none.
    pub unit_for: Option<PartKind>,
    /// The decimal mark its texts prove.
    pub decimal: Option<&'static str>,
    /// The facts that a column of its kind states.
    pub facts: Vec<Field>,
    /// Facts that its cells state besides, as a size does that goes on with an offset.
    pub more_facts: Vec<Field>,
    /// Cells of parts in it.
    pub cells: u32,
    /// Cells among them that could not be read.
    pub unread: u32,
    /// The first few different texts.
    pub samples: Vec<String>,
}

/// One tab of a sheet, as it was taken in.
#[derive(Clone, Debug)]
pub struct TabAccount {
    /// Its name; empty for text files.
    pub name: String,
    /// Whether people see it when they open the file.
    pub hidden: bool,
    /// The column of each fact, by kind of part.
    pub columns: Vec<(PartKind, Field, Column)>,
    /// The row the headings stand in; none where no heading row was found.
    pub heading_row: Option<u32>,
    /// The last row of those headings, units in a row of their own included.
    pub last_heading_row: Option<u32>,
    /// Every column with a heading, from left to right; a column that changes its meaning further
    /// down stands once for each.
    pub understood: Vec<ColumnAccount>,
    /// How the tab is stored: the encoding and delimiter of text, or a workbook.
    pub form: String,
    /// Rows that are parts.
    pub parts: u32,
}

/// One sheet, with what became of every row.
#[derive(Clone, Debug)]
pub struct SheetAccount {
    /// The file's name as shown.
    pub name: String,
    /// Its tabs.
    pub tabs: Vec<TabAccount>,
    /// Rows of all tabs, blank ones up to the last used row included.
    pub rows: u32,
    /// Rows that are parts.
    pub parts: u32,
    /// Rows that could be neither judged nor recognized, each with a remark.
    pub reported: u32,
    /// Headings, titles, notes, totals and blank rows.
    pub furniture: u32,
    /// What to know about cells and rows, in sheet order.
    pub remarks: Vec<Remark>,
}

/// Everything taken in.
#[derive(Clone, Debug, Default)]
pub struct Catalog<'s> {
    /// The sheets in the order given.
    pub sheets: Vec<SheetAccount>,
    /// The parts in sheet order.
    pub parts: Vec<Part<'s>>,
    /// The distinct specs that the parts have.
    pub specs: Vec<Spec>,
}

impl<'s> Catalog<'s> {
    /// Adds what another catalog holds behind its own; parts know their sheet by its place among all.
    pub fn add(&mut self, other: Self) {
        let before = self.specs.len();
        self.specs.extend(other.specs);
        self.parts.extend(other.parts.into_iter().map(|part| Part { spec: part.spec + before, ..part }));
        self.sheets.extend(other.sheets);
    }
}

impl ColumnAccount {
    /// Whether it holds something known that is not left alone.
    #[must_use]
    pub fn is_read(&self) -> bool {
        !matches!(self.holds, None | Some("left_over"))
    }
}

impl Remark {
    /// The cell it stands at; for a row or tab as a whole, the first cell of it.
    #[must_use]
    pub fn address(&self) -> String {
        let row = self.row.max(1);
        self.column.map_or_else(|| format!("A{row}"), |column| format!("{column}{row}"))
    }
}
