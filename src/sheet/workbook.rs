//! Reads xlsx, xlsb, xls and ods workbooks into tabs.
//!
//! xlsx and xlsb come as a stream of cells: one stray cell in the last corner must not ask for memory for the whole
//! rectangle. The readers of xls and ods offer rectangles only. Rows and columns hidden within a tab are read like
//! all others; what is hidden and merged is told for xlsx and ods,
//! merged regions also for xls, number formats for xlsx.

mod xlsx;

use std::fmt::{Display, Write};
use std::io::{Cursor, Read, Seek};
use std::panic::{AssertUnwindSafe, catch_unwind};

use calamine::{
    CellErrorType, Data, DataRef, ExcelDateTime, Ods, OdsError, Range, Reader, SheetType, SheetVisible, Xls,
    XlsError, Xlsb, XlsbError, XlsxError,
};

use super::address::{CellRef, Column};
use super::builder::{Content, Taker, looks_empty};
use super::container::Format;
use super::limits::Limits;
use super::moment::{DayCount, IsoLength, iso_date};
use super::open_document::TableNotes;
use super::parts::Parts;
use super::problem::{Damage, Excess, Fault};
use super::{CellKind, Origin, Region, Visibility};

/// What stands for the error in an xlsb formula, whose exact code the reader does not pass on.
const SOME_ERROR: &str = "#ERROR!";

/// The errors that ods workbooks store as the text of a formula's result.
const ERROR_TEXTS: [&str; 7] = ["#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"];

/// Reads the bytes of a workbook, tab by tab.
pub(super) fn read(format: Format, bytes: &[u8], limits: Limits, taker: &mut dyn Taker) -> Result<(), Fault> {
    // The readers of xls and xlsb panic on some damaged files. Nothing outlives the panic but the bytes and the
    // tabs so far, which are dropped.
    let read = catch_unwind(AssertUnwindSafe(|| match format {
        Format::Xlsx => xlsx::read(bytes, limits, taker),
        Format::Xlsb => {
            Parts::check(bytes, limits)?;
            read_xlsb(Cursor::new(bytes), taker)
        }
        Format::Xls => read_xls(Cursor::new(bytes), taker),
        Format::Ods => {
            let mut parts = Parts::check(bytes, limits)?;
            let mut workbook = Ods::new(Cursor::new(bytes))?;
            let notes = parts.table_notes(limits)?;
            read_rectangles(&mut workbook, taker, |_, name, tab| TableNotes::tell(&notes, name, tab.taker))
        }
    }));
    read.unwrap_or(Err(Fault::Damage(Damage::BrokeOff)))
}

impl From<calamine::Error> for Fault {
    fn from(error: calamine::Error) -> Self {
        use calamine::Error;
        match error {
            Error::Xlsx(XlsxError::Password)
            | Error::Xlsb(XlsbError::Password)
            | Error::Xls(XlsError::Password)
            | Error::Ods(OdsError::Password) => Self::Locked,
            Error::Ods(OdsError::CellLimitExceeded { max, .. }) => Self::Excess(Excess::Cells { limit: max }),
            other => Self::Damage(Damage::Workbook(Box::new(other))),
        }
    }
}

/// `?` on a reader's own error goes by way of the error common to all readers.
macro_rules! faults_from {
    ($($error:ty),+) => {$(
        impl From<$error> for Fault {
            fn from(error: $error) -> Self {
                calamine::Error::from(error).into()
            }
        }
    )+};
}
faults_from!(XlsxError, XlsbError, XlsError, OdsError);

/// A tab of a workbook while its cells are taken.
struct Filling<'t> {
    name: String,
    taker: &'t mut dyn Taker,
    /// Where contents that are not text become text.
    text: String,
}

impl<'t> Filling<'t> {
    fn new(about: &calamine::Sheet, taker: &'t mut dyn Taker) -> Result<Self, Fault> {
        let visibility = match about.visible {
            SheetVisible::Visible => Visibility::Shown,
            SheetVisible::Hidden | SheetVisible::VeryHidden => Visibility::Hidden,
        };
        taker.tab(&about.name, visibility)?;
        Ok(Self { name: about.name.clone(), taker, text: String::new() })
    }

    /// The address of a cell from its row and column, both counted from zero.
    fn address(&self, (row, column): (u32, u32)) -> Result<CellRef, Fault> {
        let column = usize::try_from(column).ok().and_then(Column::from_index);
        match (column, row.checked_add(1)) {
            (Some(column), Some(row)) => Ok(CellRef::new(column, row)),
            _ => Err(Fault::Damage(Damage::OffTheSheet { tab: self.name.clone() })),
        }
    }

    /// Puts in the cell at a row and column counted from zero.
    fn put(&mut self, place: (u32, u32), value: Value<'_>, origin: Origin, format: u16) -> Result<(), Fault> {
        if origin == Origin::Typed && matches!(value, Value::Empty) {
            return Ok(());
        }
        self.put_at(self.address(place)?, value, origin, format)
    }

    /// Puts in the cell at an address.
    fn put_at(&mut self, at: CellRef, value: Value<'_>, origin: Origin, format: u16) -> Result<(), Fault> {
        let text = &mut self.text;
        text.clear();
        let mut show = |kind, shown: &dyn Display| {
            // Writing to a string gives no error of its own, and the contents are our own types.
            let _ = write!(text, "{shown}");
            (kind, format)
        };
        let (kind, format) = match value {
            Value::Empty => (CellKind::Lost, 0),
            Value::Text(text) => {
                let content = Content { kind: CellKind::Text, origin, format: 0, text };
                return if looks_empty(text) { Ok(()) } else { self.taker.cell(at, content) };
            }
            Value::Figures(figures) => show(CellKind::Number, &figures),
            // A text that reads as infinity or as no number at all is nothing to calculate with.
            Value::Number(number) if !number.is_finite() => show(CellKind::Text, &number),
            // Most are whole, and those take a third of the time.
            Value::Number(number) => match whole(number) {
                Some(whole) => show(CellKind::Number, &whole),
                None => show(CellKind::Number, &number),
            },
            Value::Whole(number) => show(CellKind::Number, &number),
            Value::Flag(true) => show(CellKind::Flag, &"TRUE"),
            Value::Flag(false) => show(CellKind::Flag, &"FALSE"),
            Value::Days(days) => show(CellKind::Date, &DayCount(days)),
            Value::IsoDate(date) => show(CellKind::Date, &iso_date(date)),
            Value::IsoLength(length) => show(CellKind::Date, &IsoLength(length)),
            Value::Error(error) => show(CellKind::Error, &error),
        };
        self.taker.cell(at, Content { kind, origin, format, text: &self.text })
    }

    /// Puts in an error by what it shows.
    fn put_error(&mut self, place: (u32, u32), origin: Origin, shown: &str) -> Result<(), Fault> {
        let at = self.address(place)?;
        self.taker.cell(at, Content { kind: CellKind::Error, origin, format: 0, text: shown })
    }
}

/// A number as a whole one that is shown alike.
fn whole(number: f64) -> Option<i64> {
    const EXACT: f64 = 9_007_199_254_740_992.0;
    let is_whole = number.abs() < EXACT && number.trunc() == number;
    // A zero below zero is shown with its sign.
    (is_whole && (number != 0.0 || number.is_sign_positive())).then_some(number as i64)
}

/// The content of a cell, borrowed from whichever of the readers' two types holds it.
#[derive(Clone, Copy)]
enum Value<'v> {
    Empty,
    Text(&'v str),
    /// A number, as it is shown.
    Figures(&'v str),
    Number(f64),
    Whole(i64),
    Flag(bool),
    Days(&'v ExcelDateTime),
    IsoDate(&'v str),
    IsoLength(&'v str),
    Error(&'v CellErrorType),
}

impl<'v> From<&'v DataRef<'_>> for Value<'v> {
    fn from(value: &'v DataRef<'_>) -> Self {
        match value {
            DataRef::Empty => Self::Empty,
            DataRef::String(text) => Self::Text(text),
            DataRef::SharedString(text) => Self::Text(text),
            DataRef::Float(number) => Self::Number(*number),
            DataRef::Int(number) => Self::Whole(*number),
            DataRef::Bool(flag) => Self::Flag(*flag),
            DataRef::DateTime(days) => Self::Days(days),
            DataRef::DateTimeIso(date) => Self::IsoDate(date),
            DataRef::DurationIso(length) => Self::IsoLength(length),
            DataRef::Error(error) => Self::Error(error),
        }
    }
}

impl<'v> From<&'v Data> for Value<'v> {
    fn from(value: &'v Data) -> Self {
        match value {
            Data::Empty => Self::Empty,
            Data::String(text) => Self::Text(text),
            Data::Float(number) => Self::Number(*number),
            Data::Int(number) => Self::Whole(*number),
            Data::Bool(flag) => Self::Flag(*flag),
            Data::DateTime(days) => Self::Days(days),
            Data::DateTimeIso(date) => Self::IsoDate(date),
            Data::DurationIso(length) => Self::IsoLength(length),
            Data::Error(error) => Self::Error(error),
        }
    }
}

/// Whether a tab holds cells. Tabs that are a chart or a dialog are kept, empty, so that none goes unmentioned.
fn holds_cells(about: &calamine::Sheet) -> bool {
    matches!(about.typ, SheetType::WorkSheet)
}

fn read_xlsb(bytes: Cursor<&[u8]>, taker: &mut dyn Taker) -> Result<(), Fault> {
    let mut workbook = Xlsb::new(bytes)?;
    for about in workbook.sheets_metadata().to_vec() {
        let mut tab = Filling::new(&about, taker)?;
        if holds_cells(&about) {
            fill_from_xlsb(&mut workbook, &mut tab)?;
        }
    }
    Ok(())
}

fn fill_from_xlsb<R: Read + Seek>(workbook: &mut Xlsb<R>, tab: &mut Filling<'_>) -> Result<(), Fault> {
    let mut formulas = Vec::new();
    let mut cells = workbook.worksheet_cells_reader(&tab.name)?;
    while let Some(formula) = cells.next_formula()? {
        formulas.push((formula.get_position(), Met::No));
    }
    drop(cells);
    formulas.sort_unstable_by_key(|(place, _)| *place);
    let mut cells = workbook.worksheet_cells_reader(&tab.name)?;
    while let Some(cell) = cells.next_cell()? {
        let place = cell.get_position();
        let formula = formulas.binary_search_by_key(&place, |(place, _)| *place);
        if let Ok(formula) = formula {
            formulas[formula].1 = Met::Yes;
        }
        tab.put(place, Value::from(cell.get_value()), origin(formula.is_ok()), 0)?;
    }
    // The reader passes on the results of all formulas but those that are errors.
    for (place, met) in formulas {
        if met == Met::No {
            tab.put_error(place, Origin::Formula, SOME_ERROR)?;
        }
    }
    Ok(())
}

/// Whether the result of a formula has been met.
#[derive(Clone, Copy, PartialEq)]
enum Met {
    Yes,
    No,
}

fn read_xls(bytes: Cursor<&[u8]>, taker: &mut dyn Taker) -> Result<(), Fault> {
    read_rectangles(&mut Xls::new(bytes)?, taker, |workbook, name, tab| {
        for region in workbook.merge_cells_by_sheet_name(name)? {
            let (first, last) = (tab.address(region.start)?, tab.address(region.end)?);
            tab.taker.merged(Region { first, last })?;
        }
        Ok(())
    })
}

fn read_rectangles<'b, W>(
    workbook: &mut W,
    taker: &mut dyn Taker,
    note: impl Fn(&W, &str, &mut Filling<'_>) -> Result<(), Fault>,
) -> Result<(), Fault>
where
    W: Reader<Cursor<&'b [u8]>>,
    Fault: From<W::Error>,
{
    for about in workbook.sheets_metadata().to_vec() {
        let mut tab = Filling::new(&about, taker)?;
        if holds_cells(&about) {
            let values = workbook.worksheet_range(&about.name)?;
            let formulas = workbook.worksheet_formula(&about.name)?;
            fill_from_rectangles(&values, &formulas, &mut tab)?;
            note(workbook, &about.name, &mut tab)?;
        }
    }
    Ok(())
}

/// Puts in the cells of two rectangles that need not cover the same ground.
fn fill_from_rectangles(
    values: &Range<Data>,
    formulas: &Range<String>,
    tab: &mut Filling<'_>,
) -> Result<(), Fault> {
    let is_formula = |place| formulas.get_value(place).is_some_and(|text| !text.is_empty());
    // An empty text is a common result. But a writer that calculates nothing may store it for every formula, and
    // then no result is to be trusted.
    let mut results = absolute(formulas)
        .filter(|(_, formula)| !formula.is_empty())
        .map(|(place, _)| values.get_value(place));
    let has_results = results.any(|result| !shows_nothing(result));
    for (place, value) in absolute(values) {
        let origin = origin(is_formula(place));
        match value {
            Data::Empty => {}
            Data::String(text) if origin == Origin::Formula && is_error(text) => {
                tab.put_error(place, origin, text.trim())?;
            }
            value => tab.put(place, Value::from(value), origin, 0)?,
        }
    }
    for (place, formula) in absolute(formulas) {
        let result = values.get_value(place);
        let is_lost = match result {
            None | Some(Data::Empty) => true,
            result => !has_results && shows_nothing(result),
        };
        if !formula.is_empty() && is_lost {
            tab.put(place, Value::Empty, Origin::Formula, 0)?;
        }
    }
    Ok(())
}

fn shows_nothing(result: Option<&Data>) -> bool {
    match result {
        None | Some(Data::Empty) => true,
        Some(Data::String(text)) => text.is_empty(),
        Some(_) => false,
    }
}

/// The cells of a rectangle that are set, by their row and column in the sheet, both counted from zero.
fn absolute<T: calamine::CellType>(range: &Range<T>) -> impl Iterator<Item = ((u32, u32), &T)> {
    let (top, left) = range.start().unwrap_or_default();
    range.used_cells().map(move |(row, column, value)| {
        // No reader gives a rectangle past 32 bits; if one did, the address would be off the sheet and refused.
        let row = u32::try_from(row).unwrap_or(u32::MAX);
        let column = u32::try_from(column).unwrap_or(u32::MAX);
        ((top.saturating_add(row), left.saturating_add(column)), value)
    })
}

/// Whether the text result of a formula is an error: one that all programs know, or a numbered one (`Err:508`).
fn is_error(text: &str) -> bool {
    let text = text.trim();
    ERROR_TEXTS.contains(&text)
        || text
            .strip_prefix("Err:")
            .is_some_and(|code| !code.is_empty() && code.bytes().all(|b| b.is_ascii_digit()))
}

fn origin(has_formula: bool) -> Origin {
    if has_formula { Origin::Formula } else { Origin::Typed }
}

#[cfg(test)]
mod tests {
    use super::whole;

    #[test]
    fn whole_numbers_are_shown_as_the_numbers_they_are() {
        let mut numbers =
            vec![0.0, -0.0, 0.5, 1e15, 1e16, 9_007_199_254_740_991.0, f64::MAX, f64::MIN_POSITIVE];
        numbers.extend((0..60).map(|power| 2_f64.powi(power)));
        numbers.extend((0..40_000).map(|nth| f64::from(nth) / 8.0));
        let mut shown_whole = 0;
        for number in numbers.iter().flat_map(|number| [*number, -number]) {
            if let Some(whole) = whole(number) {
                assert_eq!(whole.to_string(), number.to_string());
                shown_whole += 1;
            }
        }
        assert!(shown_whole > 10_000, "{shown_whole}");
    }
}
