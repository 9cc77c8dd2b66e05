//! Looks into the content of an ods for what its reader of cells does not tell: hidden rows and columns, and merged
//! regions.
//!
//! Names of elements: OpenDocument 1.3 part 3, sections 9.1 to 9.3 (from memory).

use quick_xml::events::BytesStart;

use super::Region;
use super::address::{CellRef, Column};
use super::builder::Taker;
use super::limits::Limits;
use super::parts::{attribute, number};
use super::problem::{Excess, Fault};

/// What one table hides and merges.
#[derive(Debug, Default)]
pub(super) struct TableNotes {
    name: String,
    hidden_rows: Vec<(u32, u32)>,
    hidden_columns: Vec<(Column, Column)>,
    merged: Vec<Region>,
}

impl TableNotes {
    /// Tells the notes on the table of this name.
    pub(super) fn tell(all: &[Self], name: &str, taker: &mut dyn Taker) -> Result<(), Fault> {
        let Some(notes) = all.iter().find(|notes| notes.name == name) else { return Ok(()) };
        notes.hidden_rows.iter().try_for_each(|rows| taker.hidden_rows(*rows))?;
        notes.hidden_columns.iter().try_for_each(|columns| taker.hidden_columns(*columns))?;
        notes.merged.iter().try_for_each(|region| taker.merged(*region))
    }
}

/// Takes the elements of a content part, in order.
pub(super) struct Tables {
    tables: Vec<TableNotes>,
    /// How many notes there may still be.
    left: usize,
    limits: Limits,
    /// The rows and columns passed so far, and the cells passed in the row.
    rows: u32,
    columns: u32,
    cells: u32,
    overrun: Option<Excess>,
}

impl Tables {
    pub(super) fn new(limits: Limits) -> Self {
        Self { tables: Vec::new(), left: limits.cells, limits, rows: 0, columns: 0, cells: 0, overrun: None }
    }

    pub(super) fn finish(self) -> Result<Vec<TableNotes>, Fault> {
        self.overrun.map_or(Ok(self.tables), |excess| Err(excess.into()))
    }

    pub(super) fn take(&mut self, element: &BytesStart<'_>) {
        if self.left == 0 {
            self.overrun = Some(Excess::Cells { limit: self.limits.cells });
            return;
        }
        match element.local_name().as_ref() {
            "table" => {
                self.left -= 1;
                (self.rows, self.columns, self.cells) = (0, 0, 0);
                let name = attribute(element, "name").unwrap_or_default();
                self.tables.push(TableNotes { name, ..TableNotes::default() });
            }
            "table-column" => {
                let first = self.columns;
                self.columns = first.saturating_add(repeats(element, "number-columns-repeated"));
                if let (true, Some(first), Some(last)) =
                    (is_hidden(element), column(first), column(self.columns - 1))
                {
                    self.left -= 1;
                    self.table(|table| table.hidden_columns.push((first, last)));
                }
            }
            "table-row" => {
                let first = self.rows.saturating_add(1);
                self.rows = self.rows.saturating_add(repeats(element, "number-rows-repeated"));
                self.cells = 0;
                if is_hidden(element) {
                    self.left -= 1;
                    let rows = (first, self.rows);
                    self.table(|table| table.hidden_rows.push(rows));
                }
            }
            "table-cell" => {
                let wide = number(element, "number-columns-spanned").unwrap_or(1).max(1);
                let high = number(element, "number-rows-spanned").unwrap_or(1).max(1);
                let end = self.cells.saturating_add(wide - 1);
                if let (true, Some(left), Some(right)) =
                    (wide > 1 || high > 1, column(self.cells), column(end))
                {
                    self.left -= 1;
                    let first = CellRef::new(left, self.rows);
                    let last = CellRef::new(right, self.rows.saturating_add(high - 1));
                    self.table(|table| table.merged.push(Region { first, last }));
                }
                self.cells = self.cells.saturating_add(repeats(element, "number-columns-repeated"));
            }
            "covered-table-cell" => {
                self.cells = self.cells.saturating_add(repeats(element, "number-columns-repeated"));
            }
            _ => {}
        }
    }

    fn table(&mut self, note: impl FnOnce(&mut TableNotes)) {
        if let Some(table) = self.tables.last_mut() {
            note(table);
        }
    }
}

fn repeats(element: &BytesStart<'_>, name: &str) -> u32 {
    number(element, name).unwrap_or(1).max(1)
}

/// A column counted from zero; the last one for what lies beyond it.
fn column(place: u32) -> Option<Column> {
    let place = usize::try_from(place).ok()?;
    Some(Column::from_index(place).unwrap_or(Column::LAST))
}

/// Hidden by hand (`collapse`) or by a filter.
fn is_hidden(element: &BytesStart<'_>) -> bool {
    attribute(element, "visibility").is_some_and(|value| matches!(value.as_str(), "collapse" | "filter"))
}
