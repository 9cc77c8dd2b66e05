//! Gathers cells into a [`Tab`].
//!
//! All text of a tab goes into one string and all cells into one list, so a cell costs sixteen bytes and its text,
//! and no allocation of its own. Takes cells in any order, since workbooks may store them so.

use std::ops::Range;

use super::address::{CellRef, Column};
use super::limits::Limits;
use super::problem::{Damage, Excess, Fault};
use super::{CellKind, Form, Origin, Region, Tab, Visibility};

/// A cell as a tab keeps it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stored {
    start: u32,
    length: u32,
    pub(super) column: Column,
    pub(super) kind: CellKind,
    pub(super) origin: Origin,
    /// The place of its number format in the tab's list, counted from one; 0 for none.
    pub(super) format: u16,
}

impl Stored {
    /// A cell of a text file.
    pub(super) fn typed(start: u32, length: u32, column: Column) -> Self {
        Self { start, length, column, kind: CellKind::Text, origin: Origin::Typed, format: 0 }
    }

    /// Where the cell's text lies in the tab's text.
    pub(super) fn span(&self) -> Range<usize> {
        // Widening from 32 bits: exact wherever a tab's text can be addressed.
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

/// Takes what a workbook's reader finds, tab by tab.
///
/// Between the reader and the tabs there may be a pipe to another process, so nothing is borrowed or given back.
pub(super) trait Taker {
    /// Starts the next tab; what follows belongs to it.
    fn tab(&mut self, name: &str, visibility: Visibility) -> Result<(), Fault>;
    /// Names the number formats of the tab; cells count in this list from one.
    fn formats(&mut self, codes: &[String]) -> Result<(), Fault>;
    /// A cell, in any order. `format` is 0 for a cell without a format worth telling.
    fn cell(&mut self, at: CellRef, content: Content<'_>) -> Result<(), Fault>;
    /// Rows that are not shown, first and last.
    fn hidden_rows(&mut self, rows: (u32, u32)) -> Result<(), Fault>;
    /// Columns that are not shown, first and last.
    fn hidden_columns(&mut self, columns: (Column, Column)) -> Result<(), Fault>;
    /// A region of cells shown as one.
    fn merged(&mut self, region: Region) -> Result<(), Fault>;
}

/// What a cell holds, on its way into a tab.
#[derive(Clone, Copy, Debug)]
pub(super) struct Content<'c> {
    pub(super) kind: CellKind,
    pub(super) origin: Origin,
    pub(super) format: u16,
    pub(super) text: &'c str,
}

/// What tabs have used of the limits that hold for a whole file.
#[derive(Clone, Copy, Debug, Default)]
struct Spent {
    cells: usize,
    text: usize,
    /// Hidden runs and merged regions.
    notes: usize,
}

/// Gathers the tabs of one file, within its limits.
pub(super) struct Gathering {
    limits: Limits,
    tabs: Vec<Tab>,
    current: Option<TabBuilder>,
}

impl Gathering {
    pub(super) fn new(limits: Limits) -> Self {
        Self { limits, tabs: Vec::new(), current: None }
    }

    fn current(&mut self) -> Result<&mut TabBuilder, Fault> {
        self.current.as_mut().ok_or(Fault::Damage(Damage::BrokeOff))
    }

    fn close(&mut self) -> Result<Spent, Fault> {
        let Some(builder) = self.current.take() else { return Ok(Spent::default()) };
        let spent = builder.spent;
        let name = builder.tab.name.clone();
        let tab = builder.finish().map_err(|at| Fault::Damage(Damage::CellTwice { tab: name, at }))?;
        self.tabs.push(tab);
        Ok(spent)
    }

    /// The tabs, in the order they came.
    pub(super) fn finish(mut self) -> Result<Vec<Tab>, Fault> {
        self.close()?;
        Ok(self.tabs)
    }
}

impl Taker for Gathering {
    fn tab(&mut self, name: &str, visibility: Visibility) -> Result<(), Fault> {
        let mut spent = self.close()?;
        // A name counts as text, lest a list of tabs without cells grow without end.
        spent.text = spent.text.saturating_add(name.len().max(64));
        if spent.text > self.limits.text {
            return Err(Excess::Text { limit: self.limits.text }.into());
        }
        let mut builder = TabBuilder::new(name.to_owned(), visibility, Form::Workbook, self.limits);
        builder.spent = spent;
        self.current = Some(builder);
        Ok(())
    }

    fn formats(&mut self, codes: &[String]) -> Result<(), Fault> {
        let builder = self.current()?;
        for code in codes {
            builder.spend_text(code.len())?;
        }
        builder.tab.formats = codes.to_vec();
        Ok(())
    }

    fn cell(&mut self, at: CellRef, content: Content<'_>) -> Result<(), Fault> {
        Ok(self.current()?.put(at, content)?)
    }

    fn hidden_rows(&mut self, rows: (u32, u32)) -> Result<(), Fault> {
        let builder = self.current()?;
        builder.note()?;
        builder.tab.hidden_rows.push(rows);
        Ok(())
    }

    fn hidden_columns(&mut self, columns: (Column, Column)) -> Result<(), Fault> {
        let builder = self.current()?;
        builder.note()?;
        builder.tab.hidden_columns.push(columns);
        Ok(())
    }

    fn merged(&mut self, region: Region) -> Result<(), Fault> {
        let builder = self.current()?;
        builder.note()?;
        builder.tab.merged.push(region);
        Ok(())
    }
}

/// A tab being gathered.
pub(super) struct TabBuilder {
    tab: Tab,
    /// The last cell, to see whether they come in reading order.
    last: Option<CellRef>,
    order: Order,
    limits: Limits,
    spent: Spent,
}

#[derive(PartialEq)]
enum Order {
    Reading,
    Mixed,
}

impl TabBuilder {
    pub(super) fn new(name: String, visibility: Visibility, form: Form, limits: Limits) -> Self {
        Self {
            tab: Tab::empty(name, visibility, form),
            last: None,
            order: Order::Reading,
            limits,
            spent: Spent::default(),
        }
    }

    /// Makes room for as much text as is expected.
    pub(super) fn expect_text(&mut self, bytes: usize) {
        self.tab.text.reserve(bytes.min(self.limits.text));
    }

    fn spend_text(&mut self, bytes: usize) -> Result<(), Excess> {
        self.spent.text = self.spent.text.saturating_add(bytes);
        if self.spent.text > self.limits.text {
            return Err(Excess::Text { limit: self.limits.text });
        }
        Ok(())
    }

    fn note(&mut self) -> Result<(), Excess> {
        self.spent.notes += 1;
        if self.spent.notes > self.limits.cells {
            return Err(Excess::Cells { limit: self.limits.cells });
        }
        Ok(())
    }

    /// Adds a cell unless it looks empty to a person: no text, or only white space. A lost result is kept.
    pub(super) fn put(&mut self, at: CellRef, content: Content<'_>) -> Result<(), Excess> {
        let Content { kind, origin, format, text } = content;
        if kind != CellKind::Lost && looks_empty(text) {
            return Ok(());
        }
        // All asked before copying: a tab of many long texts must not pass a limit by a whole cell.
        if text.len() > self.limits.cell {
            return Err(Excess::Cell { at, limit: self.limits.cell });
        }
        if at.row > self.limits.rows {
            return Err(Excess::Rows { limit: self.limits.rows });
        }
        if at.column.index() >= usize::from(self.limits.columns) {
            return Err(Excess::Columns { row: at.row, limit: self.limits.columns });
        }
        self.spent.cells += 1;
        if self.spent.cells > self.limits.cells {
            return Err(Excess::Cells { limit: self.limits.cells });
        }
        self.spend_text(text.len())?;
        let too_much_text = |_| Excess::Text { limit: usize::try_from(u32::MAX).unwrap_or(usize::MAX) };
        let start = u32::try_from(self.tab.text.len()).map_err(too_much_text)?;
        let length = u32::try_from(text.len()).map_err(too_much_text)?;
        if self.last.is_some_and(|last| last >= at) {
            self.order = Order::Mixed;
        }
        if self.last.is_none_or(|last| last.row != at.row) {
            self.tab.rows.push(RowStart { number: at.row, first: self.tab.cells.len() });
        }
        self.last = Some(at);
        self.tab.text.push_str(text);
        self.tab.cells.push(Stored { start, length, column: at.column, kind, origin, format });
        Ok(())
    }

    /// The finished tab; or, if a cell was given twice, which one. Programs disagree on which of the two counts.
    pub(super) fn finish(self) -> Result<Tab, CellRef> {
        let mut tab = self.tab;
        tab.hidden_rows = in_runs(tab.hidden_rows, |row| row.checked_add(1));
        tab.hidden_columns = in_runs(tab.hidden_columns, |column| Column::from_index(column.index() + 1));
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

/// Ranges from first to last, in order, those that touch put together.
fn in_runs<T: Copy + Ord>(mut ranges: Vec<(T, T)>, next: impl Fn(T) -> Option<T>) -> Vec<(T, T)> {
    ranges.sort_unstable();
    let mut runs: Vec<(T, T)> = Vec::new();
    for (first, last) in ranges {
        match runs.last_mut() {
            Some(run) if next(run.1).is_none_or(|beyond| first <= beyond) => run.1 = run.1.max(last),
            _ => runs.push((first, last)),
        }
    }
    runs
}

/// Whether a person would call the cell empty. No-break spaces are white space to Unicode; the characters
/// without width are not, but a cell of them shows nothing either.
pub(super) fn looks_empty(text: &str) -> bool {
    text.chars().all(|c| {
        c.is_whitespace() || matches!(c, '\u{200B}' | '\u{200C}' | '\u{200D}' | '\u{2060}' | '\u{FEFF}')
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gathered(cells: &[(&str, &str)]) -> Result<Tab, CellRef> {
        let mut builder = TabBuilder::new("t".into(), Visibility::Shown, Form::Workbook, Limits::default());
        for (at, text) in cells {
            let at = at.parse().unwrap();
            let content = Content { kind: CellKind::Text, origin: Origin::Typed, format: 0, text };
            builder.put(at, content).unwrap();
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
    fn runs_that_touch_or_overlap_become_one() {
        let runs =
            in_runs(vec![(9, 9), (2, 3), (4, 4), (3, 6), (u32::MAX, u32::MAX)], |row| row.checked_add(1));
        assert_eq!(runs, [(2, 6), (9, 9), (u32::MAX, u32::MAX)]);
    }

    #[test]
    fn limits_hold_for_all_tabs_of_a_file_together() {
        let limits = Limits { cells: 3, ..Limits::default() };
        let mut gathering = Gathering::new(limits);
        let content = Content { kind: CellKind::Text, origin: Origin::Typed, format: 0, text: "x" };
        gathering.tab("one", Visibility::Shown).unwrap();
        gathering.cell("A1".parse().unwrap(), content).unwrap();
        gathering.cell("A2".parse().unwrap(), content).unwrap();
        gathering.tab("two", Visibility::Shown).unwrap();
        gathering.cell("A1".parse().unwrap(), content).unwrap();
        let refused = gathering.cell("A2".parse().unwrap(), content);
        assert!(matches!(refused, Err(Fault::Excess(Excess::Cells { limit: 3 }))));
    }

    #[test]
    fn a_stored_cell_stays_small() {
        assert_eq!(size_of::<Stored>(), 16);
    }
}
