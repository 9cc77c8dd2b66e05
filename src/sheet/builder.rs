//! Gathers cells into a [`Tab`].
//!
//! All text of a tab goes into one string and all cells into one list, so a cell costs twelve bytes and its text,
//! and no allocation of its own. Takes cells in any order, since workbooks may store them so.

use std::fmt::{Display, Write};
use std::ops::Range;

use super::address::{CellRef, Column};
use super::problem::Excess;
use super::{CellKind, Form, Origin, Tab, Visibility};

/// The most text a tab may hold, in bytes. A workbook can name one long text from many cells, so the size of
/// the file alone is no limit.
const MOST_TEXT: usize = 1 << 30;

/// The most cells a tab may hold.
const MOST_CELLS: usize = 1 << 28;

/// A cell as a tab keeps it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stored {
    start: u32,
    length: u32,
    pub(super) column: Column,
    pub(super) kind: CellKind,
    pub(super) origin: Origin,
}

impl Stored {
    /// Where the cell's text lies in the tab's text.
    pub(super) fn span(&self) -> Range<usize> {
        // Widening from 32 bits: exact wherever MOST_TEXT bytes can be addressed.
        let start = self.start as usize;
        start..start + self.length as usize
    }
}

/// Where a row's cells begin.
#[derive(Clone, Copy, Debug)]
pub(super) struct RowStart {
    pub(super) number: u32,
    pub(super) first: usize,
}

/// A tab being gathered.
pub(super) struct TabBuilder {
    tab: Tab,
    /// The last cell, to see whether they come in reading order.
    last: Option<CellRef>,
    order: Order,
}

#[derive(PartialEq)]
enum Order {
    Reading,
    Mixed,
}

impl TabBuilder {
    pub(super) fn new(name: String, visibility: Visibility, form: Form) -> Self {
        Self {
            tab: Tab { name, visibility, form, text: String::new(), cells: Vec::new(), rows: Vec::new() },
            last: None,
            order: Order::Reading,
        }
    }

    /// Makes room for as much text as is expected.
    pub(super) fn expect_text(&mut self, bytes: usize) {
        self.tab.text.reserve(bytes.min(MOST_TEXT));
    }

    /// Adds a cell unless it looks empty to a person: no text, or only white space.
    pub(super) fn text(
        &mut self,
        at: CellRef,
        kind: CellKind,
        origin: Origin,
        text: &str,
    ) -> Result<(), Excess> {
        if looks_empty(text) {
            return Ok(());
        }
        // Asked before copying: a tab of many long texts must not pass the limit by a whole cell.
        if self.tab.text.len().saturating_add(text.len()) > MOST_TEXT {
            return Err(Excess::Text { limit: MOST_TEXT });
        }
        let start = self.tab.text.len();
        self.tab.text.push_str(text);
        self.cell(at, kind, origin, start)
    }

    /// Adds a cell whose text is written straight into the tab. An empty text is kept.
    pub(super) fn shown(
        &mut self,
        at: CellRef,
        kind: CellKind,
        origin: Origin,
        content: impl Display,
    ) -> Result<(), Excess> {
        let start = self.tab.text.len();
        // Writing to a string gives no error of its own, and the contents are our own types.
        let _ = write!(self.tab.text, "{content}");
        self.cell(at, kind, origin, start)
    }

    fn cell(&mut self, at: CellRef, kind: CellKind, origin: Origin, start: usize) -> Result<(), Excess> {
        let too_much_text = |_| Excess::Text { limit: MOST_TEXT };
        if self.tab.text.len() > MOST_TEXT {
            return Err(Excess::Text { limit: MOST_TEXT });
        }
        if self.tab.cells.len() >= MOST_CELLS {
            return Err(Excess::Cells { limit: MOST_CELLS });
        }
        if self.last.is_some_and(|last| last >= at) {
            self.order = Order::Mixed;
        }
        if self.last.is_none_or(|last| last.row != at.row) {
            self.tab.rows.push(RowStart { number: at.row, first: self.tab.cells.len() });
        }
        self.last = Some(at);
        self.tab.cells.push(Stored {
            start: u32::try_from(start).map_err(too_much_text)?,
            length: u32::try_from(self.tab.text.len() - start).map_err(too_much_text)?,
            column: at.column,
            kind,
            origin,
        });
        Ok(())
    }

    /// The finished tab; or, if a cell was given twice, which one. Programs disagree on which of the two counts.
    pub(super) fn finish(self) -> Result<Tab, CellRef> {
        let mut tab = self.tab;
        if self.order == Order::Mixed {
            put_in_reading_order(&mut tab)?;
        }
        Ok(tab)
    }
}

fn put_in_reading_order(tab: &mut Tab) -> Result<(), CellRef> {
    let ends = tab.rows.iter().skip(1).map(|next| next.first);
    let mut addressed = Vec::with_capacity(tab.cells.len());
    for (row, end) in tab.rows.iter().zip(ends.chain([tab.cells.len()])) {
        addressed.extend(
            tab.cells[row.first..end].iter().map(|cell| (CellRef::new(cell.column, row.number), *cell)),
        );
    }
    addressed.sort_by_key(|(at, _)| *at);
    tab.cells.clear();
    tab.rows.clear();
    let mut last: Option<CellRef> = None;
    for (at, cell) in addressed {
        if last == Some(at) {
            return Err(at);
        }
        if last.is_none_or(|last| last.row != at.row) {
            tab.rows.push(RowStart { number: at.row, first: tab.cells.len() });
        }
        tab.cells.push(cell);
        last = Some(at);
    }
    Ok(())
}

/// Whether a person would call the cell empty. No-break spaces are white space to Unicode; the characters
/// without width are not, but a cell of them shows nothing either.
fn looks_empty(text: &str) -> bool {
    text.chars().all(|c| {
        c.is_whitespace() || matches!(c, '\u{200B}' | '\u{200C}' | '\u{200D}' | '\u{2060}' | '\u{FEFF}')
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gathered(cells: &[(&str, &str)]) -> Result<Tab, CellRef> {
        let mut builder = TabBuilder::new("t".into(), Visibility::Shown, Form::Workbook);
        for (at, text) in cells {
            let at = at.parse().unwrap();
            builder.text(at, CellKind::Text, Origin::Typed, text).unwrap();
        }
        builder.finish()
    }

    fn listed(tab: &Tab) -> Vec<(String, &str)> {
        tab.rows()
            .flat_map(|row| {
                row.cells().map(move |cell| (CellRef::new(cell.column, row.number()).to_string(), cell.text))
            })
            .collect()
    }

    #[test]
    fn cells_in_any_order_come_out_in_reading_order() {
        let tab = gathered(&[("D9", "four"), ("C4", "one"), ("E4", "three"), ("D4", "two")]).unwrap();
        let expected = [("C4", "one"), ("D4", "two"), ("E4", "three"), ("D9", "four")];
        assert_eq!(listed(&tab), expected.map(|(at, text)| (at.to_owned(), text)));
        assert_eq!(tab.last_row(), 9);
        assert_eq!(tab.cell("E4".parse().unwrap()).unwrap().text, "three");
        assert_eq!(tab.cell("F4".parse().unwrap()), None);
        assert_eq!(tab.cell("C5".parse().unwrap()), None);
    }

    #[test]
    fn a_cell_given_twice_is_refused() {
        for cells in [[("C4", "38"), ("C4", "45"), ("D4", "x")], [("C4", "38"), ("D4", "x"), ("C4", "45")]] {
            assert_eq!(gathered(&cells).unwrap_err(), "C4".parse().unwrap());
        }
    }

    #[test]
    fn cells_that_show_nothing_are_not_stored() {
        let tab = gathered(&[("A1", ""), ("B2", " \t\u{A0}\u{202F}"), ("C3", "\u{200B}\u{FEFF}")]);
        let tab = tab.unwrap();
        assert_eq!(tab.last_row(), 0);
        assert_eq!(tab.rows().len(), 0);
    }

    #[test]
    fn text_is_kept_as_stored() {
        let tab = gathered(&[("A1", "  ET38\u{A0}\n")]).unwrap();
        assert_eq!(listed(&tab), [("A1".to_owned(), "  ET38\u{A0}\n")]);
    }

    #[test]
    fn a_stored_cell_stays_small() {
        assert_eq!(size_of::<Stored>(), 12);
    }
}
