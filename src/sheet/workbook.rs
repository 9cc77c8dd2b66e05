//! Reads xlsx, xlsb, xls and ods workbooks into tabs.
//!
//! xlsx and xlsb come as a stream of cells: one stray cell in the last corner must not ask for memory for the whole
//! rectangle. The readers of xls and ods offer rectangles only. Rows and columns hidden within a tab are read like
//! all others.

use std::io::{Cursor, Read, Seek};
use std::panic::{AssertUnwindSafe, catch_unwind};

use calamine::{
    CellErrorType, Data, DataRef, ExcelDateTime, Ods, OdsError, Range, Reader, SheetType, SheetVisible, Xls,
    XlsError, Xlsb, XlsbError, Xlsx, XlsxError,
};

use super::address::{CellRef, Column};
use super::builder::TabBuilder;
use super::container::Format;
use super::moment::{DayCount, IsoLength, iso_date};
use super::problem::{Damage, Excess, SheetError};
use super::{CellKind, Form, Origin, Tab, Visibility};

/// What stands for the error in an xlsb formula, whose exact code the reader does not pass on.
const SOME_ERROR: &str = "#ERROR!";

/// The errors that ods workbooks store as the text of a formula's result.
const ERROR_TEXTS: [&str; 7] = ["#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"];

/// Reads the bytes of a workbook.
pub(super) fn read(name: &str, format: Format, bytes: Vec<u8>) -> Result<Vec<Tab>, SheetError> {
    // The readers of xls and xlsb panic on some damaged files. Nothing outlives the panic but the bytes.
    let read = catch_unwind(AssertUnwindSafe(|| {
        let bytes = Cursor::new(bytes);
        match format {
            Format::Xlsx => read_xlsx(bytes),
            Format::Xlsb => read_xlsb(bytes),
            Format::Xls => read_rectangles::<Xls<_>>(bytes),
            Format::Ods => read_rectangles::<Ods<_>>(bytes),
        }
    }));
    match read {
        Ok(tabs) => tabs.map_err(|fault| fault.of(name)),
        Err(_) => Err(Fault::Damage(Damage::BrokeOff).of(name)),
    }
}

/// What went wrong, before the file's name is put to it.
enum Fault {
    Locked,
    Damage(Damage),
    Excess(Excess),
}

impl Fault {
    fn of(self, name: &str) -> SheetError {
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

/// A tab of a workbook while its cells are put in.
struct Filling {
    name: String,
    tab: TabBuilder,
}

impl Filling {
    fn new(about: &calamine::Sheet) -> Self {
        let visibility = match about.visible {
            SheetVisible::Visible => Visibility::Shown,
            SheetVisible::Hidden | SheetVisible::VeryHidden => Visibility::Hidden,
        };
        Self {
            name: about.name.clone(),
            tab: TabBuilder::new(about.name.clone(), visibility, Form::Workbook),
        }
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
    fn put(&mut self, place: (u32, u32), value: Value<'_>, origin: Origin) -> Result<(), Fault> {
        if origin == Origin::Typed && matches!(value, Value::Empty) {
            return Ok(());
        }
        let at = self.address(place)?;
        let tab = &mut self.tab;
        match value {
            Value::Empty => tab.shown(at, CellKind::Lost, origin, ""),
            Value::Text(text) => tab.text(at, CellKind::Text, origin, text),
            // A text that reads as infinity or as no number at all is nothing to calculate with.
            Value::Number(number) if !number.is_finite() => tab.shown(at, CellKind::Text, origin, number),
            Value::Number(number) => tab.shown(at, CellKind::Number, origin, number),
            Value::Whole(number) => tab.shown(at, CellKind::Number, origin, number),
            Value::Flag(true) => tab.shown(at, CellKind::Flag, origin, "TRUE"),
            Value::Flag(false) => tab.shown(at, CellKind::Flag, origin, "FALSE"),
            Value::Days(days) => tab.shown(at, CellKind::Date, origin, DayCount(days)),
            Value::IsoDate(date) => tab.text(at, CellKind::Date, origin, iso_date(date)),
            Value::IsoLength(length) => tab.shown(at, CellKind::Date, origin, IsoLength(length)),
            Value::Error(error) => tab.shown(at, CellKind::Error, origin, error),
        }?;
        Ok(())
    }

    fn finish(self) -> Result<Tab, Fault> {
        let name = self.name;
        self.tab.finish().map_err(|at| Fault::Damage(Damage::CellTwice { tab: name, at }))
    }
}

/// The content of a cell, borrowed from whichever of the readers' two types holds it.
#[derive(Clone, Copy)]
enum Value<'v> {
    Empty,
    Text(&'v str),
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

fn read_xlsx(bytes: Cursor<Vec<u8>>) -> Result<Vec<Tab>, Fault> {
    let mut workbook = Xlsx::new(bytes)?;
    let mut tabs = Vec::new();
    for about in workbook.sheets_metadata().to_vec() {
        let mut tab = Filling::new(&about);
        if holds_cells(&about) {
            fill_from_xlsx(&mut workbook, &mut tab)?;
        }
        tabs.push(tab.finish()?);
    }
    Ok(tabs)
}

fn fill_from_xlsx<R: Read + Seek>(workbook: &mut Xlsx<R>, tab: &mut Filling) -> Result<(), Fault> {
    // Errors that the reader has no name for stop it without saying where. It can go on after them, so they are
    // noted by their place in the stream and looked up in a second pass.
    let mut unnamed: Vec<(usize, String)> = Vec::new();
    let mut cells = workbook.worksheet_cells_reader(&tab.name)?;
    for place in 0_usize.. {
        match cells.next_cell_with_formula_metadata() {
            Ok(Some(cell)) => {
                let origin = origin(cell.formula.is_some());
                tab.put(cell.pos, Value::from(&cell.value), origin)?;
            }
            Ok(None) => break,
            Err(XlsxError::CellError(shown)) => unnamed.push((place, shown)),
            Err(error) => return Err(error.into()),
        }
    }
    if unnamed.is_empty() {
        return Ok(());
    }
    drop(cells);
    let mut cells = workbook.worksheet_cells_reader(&tab.name)?;
    let mut unnamed = unnamed.into_iter().peekable();
    for place in 0_usize.. {
        let Some(cell) = cells.next_formula()? else {
            break;
        };
        if let Some((_, shown)) = unnamed.next_if(|(wanted, _)| *wanted == place) {
            let at = tab.address(cell.get_position())?;
            let origin = origin(!cell.get_value().is_empty());
            tab.tab.shown(at, CellKind::Error, origin, shown)?;
        }
    }
    Ok(())
}

fn read_xlsb(bytes: Cursor<Vec<u8>>) -> Result<Vec<Tab>, Fault> {
    let mut workbook = Xlsb::new(bytes)?;
    let mut tabs = Vec::new();
    for about in workbook.sheets_metadata().to_vec() {
        let mut tab = Filling::new(&about);
        if holds_cells(&about) {
            fill_from_xlsb(&mut workbook, &mut tab)?;
        }
        tabs.push(tab.finish()?);
    }
    Ok(tabs)
}

fn fill_from_xlsb<R: Read + Seek>(workbook: &mut Xlsb<R>, tab: &mut Filling) -> Result<(), Fault> {
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
        tab.put(place, Value::from(cell.get_value()), origin(formula.is_ok()))?;
    }
    // The reader passes on the results of all formulas but those that are errors.
    for (place, met) in formulas {
        if met == Met::No {
            let at = tab.address(place)?;
            tab.tab.shown(at, CellKind::Error, Origin::Formula, SOME_ERROR)?;
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

fn read_rectangles<W>(bytes: Cursor<Vec<u8>>) -> Result<Vec<Tab>, Fault>
where
    W: Reader<Cursor<Vec<u8>>>,
    Fault: From<W::Error>,
{
    let mut workbook = W::new(bytes)?;
    let mut tabs = Vec::new();
    for about in workbook.sheets_metadata().to_vec() {
        let mut tab = Filling::new(&about);
        if holds_cells(&about) {
            let values = workbook.worksheet_range(&about.name)?;
            let formulas = workbook.worksheet_formula(&about.name)?;
            fill_from_rectangles(&values, &formulas, &mut tab)?;
        }
        tabs.push(tab.finish()?);
    }
    Ok(tabs)
}

/// Puts in the cells of two rectangles that need not cover the same ground.
fn fill_from_rectangles(
    values: &Range<Data>,
    formulas: &Range<String>,
    tab: &mut Filling,
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
                let at = tab.address(place)?;
                tab.tab.text(at, CellKind::Error, origin, text.trim())?;
            }
            value => tab.put(place, Value::from(value), origin)?,
        }
    }
    for (place, formula) in absolute(formulas) {
        let result = values.get_value(place);
        let is_lost = match result {
            None | Some(Data::Empty) => true,
            result => !has_results && shows_nothing(result),
        };
        if !formula.is_empty() && is_lost {
            tab.put(place, Value::Empty, Origin::Formula)?;
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
