//! Reads xlsx workbooks: each tab as far as its worksheet is written plainly, and by the workbook's reader from there on.

use std::collections::{HashMap, HashSet};
use std::io::{Cursor, Read, Seek};

use calamine::{Reader, Xlsx, XlsxError};

use crate::sheet::Origin;
use crate::sheet::builder::Taker;
use crate::sheet::limits::Limits;
use crate::sheet::number_format::NumberFormat;
use crate::sheet::parts::{Formats, Parts};
use crate::sheet::plain_cells::{Next, PlainCells, PlainContent, SharedTexts, is_shown_so};
use crate::sheet::problem::Fault;

use super::{Filling, Value, holds_cells, origin};

/// Reads the bytes of an xlsx, tab by tab.
pub(super) fn read(bytes: &[u8], limits: Limits, taker: &mut dyn Taker) -> Result<(), Fault> {
    let mut parts = Parts::check(bytes, limits)?;
    let mut workbook = Xlsx::new(Cursor::new(bytes))?;
    let worksheets = parts.worksheets()?;
    let tabs = workbook.sheets_metadata().to_vec();
    // Both readers may have a part in a tab only where both are sure to take the same worksheet for it.
    let names: HashSet<&str> = tabs.iter().map(|about| about.name.as_str()).collect();
    let usual = [worksheets.len(), names.len()] == [tabs.len(); 2] && parts.are_usual()?;
    let shared = usual.then(|| shared_texts(&mut parts));
    let mut styles: Option<Styles> = None;
    for (place, about) in tabs.iter().enumerate() {
        let mut tab = Filling::new(about, taker)?;
        if !holds_cells(about) {
            continue;
        }
        // That it can be opened is asked of every tab, whoever reads it then.
        let styles = {
            let cells = workbook.worksheet_cells_reader(&about.name)?;
            &*styles.get_or_insert_with(|| Styles::of(cells.styles()))
        };
        let mut placed = Formats::new();
        let mut taken = Taken::First(0);
        if let Some(Some(worksheet)) = worksheets.get(place) {
            tab.taker.formats(&styles.codes)?;
            if let (Some(texts), Some(part)) = (&shared, parts.part(worksheet)) {
                taken = fill_plainly(part, texts, styles, &mut tab)?;
            }
            // Cells that were taken plainly came with their formats; the workbook's reader does not tell them.
            let is_told = styles.codes.is_empty() || matches!(taken, Taken::All);
            if !is_told || parts.is_noted(worksheet) {
                placed = parts.note(worksheet, &styles.telling, limits, tab.taker)?;
            }
        }
        if let Taken::First(count) = taken {
            fill(&mut workbook, &mut tab, &placed, count)?;
        }
    }
    Ok(())
}

/// What the styles of an xlsx say of numbers.
struct Styles {
    /// The codes of the formats that tell something.
    codes: Vec<String>,
    /// For each style its format's place among them, counted from one; empty where there are none.
    telling: Vec<u16>,
    /// For each style whether it shows no number as a date.
    dateless: Vec<bool>,
}

impl Styles {
    fn of(styles: &[calamine::Style]) -> Self {
        let mut codes: Vec<String> = Vec::new();
        let mut places = HashMap::new();
        let (mut telling, mut dateless) = (Vec::new(), Vec::new());
        for style in styles {
            let format = style.number_format.as_ref();
            dateless.push(format.is_some_and(is_dateless));
            let code = format.map_or(GENERAL, |format| format.format_code.as_str());
            let place = *places.entry(code).or_insert_with(|| {
                // Past the last place formats go untold, as they do in the other kinds of workbook.
                let place = u16::try_from(codes.len() + 1).unwrap_or(0);
                if place == 0 || !NumberFormat::new(code).tells() {
                    return 0;
                }
                codes.push(code.to_owned());
                place
            });
            telling.push(place);
        }
        if codes.is_empty() {
            telling.clear();
        }
        Self { codes, telling, dateless }
    }
}

/// The code of the format that numbers have without another.
const GENERAL: &str = "General";

/// Whether a format surely shows no number as a date or time: its code has none of the letters that those have, and its
/// number is not among those that stand for dates in all or some countries.
fn is_dateless(format: &calamine::NumberFormat) -> bool {
    let in_dates = |letter: char| "dmyhsap".contains(letter.to_ascii_lowercase());
    let code = &format.format_code;
    matches!(format.format_id, Some(0..=13 | 37..=44 | 48..=49 | 164..))
        && (code == GENERAL || !code.contains(in_dates))
}

/// The texts that the cells of an xlsx share; none where they are not written plainly.
fn shared_texts(parts: &mut Parts<'_>) -> SharedTexts {
    let mut bytes = Vec::new();
    let read = parts.part("xl/sharedStrings.xml").map(|mut part| part.read_to_end(&mut bytes));
    read.and_then(Result::ok).and_then(|_| SharedTexts::of(&bytes)).unwrap_or_default()
}

/// How many cells of a worksheet were taken.
enum Taken {
    All,
    /// So many; what comes behind them is not written plainly.
    First(usize),
}

/// Takes the cells of a worksheet as far as it is written plainly.
fn fill_plainly(
    part: impl Read,
    texts: &SharedTexts,
    styles: &Styles,
    tab: &mut Filling<'_>,
) -> Result<Taken, Fault> {
    let Some(mut cells) = PlainCells::begin(part, texts) else { return Ok(Taken::First(0)) };
    for count in 0_usize.. {
        let cell = match cells.next() {
            Next::Cell(cell) => cell,
            Next::Over => break,
            Next::Other => return Ok(Taken::First(count)),
        };
        let (value, format) = match &cell.content {
            PlainContent::Nothing => continue,
            PlainContent::Text(text) => (Value::Text(text), 0),
            PlainContent::Figures(figures) => {
                let dateless = cell.style.is_none_or(|style| styles.dateless.get(style) == Some(&true));
                let value = match is_shown_so(figures) {
                    true => Some(Value::Figures(figures)),
                    false => figures.parse().ok().map(Value::Number),
                };
                let (true, Some(value)) = (dateless, value) else { return Ok(Taken::First(count)) };
                (value, styles.telling.get(cell.style.unwrap_or(0)).copied().unwrap_or(0))
            }
        };
        tab.put_at(cell.at, value, Origin::Typed, format)?;
    }
    Ok(Taken::All)
}

/// Takes the cells of a worksheet behind the first so many.
fn fill<R: Read + Seek>(
    workbook: &mut Xlsx<R>,
    tab: &mut Filling<'_>,
    formats: &Formats,
    taken: usize,
) -> Result<(), Fault> {
    // Errors that the reader has no name for stop it without saying where. It can go on after them, so they are
    // noted by their place in the stream and looked up in a second pass.
    let mut unnamed: Vec<(usize, String)> = Vec::new();
    let mut cells = workbook.worksheet_cells_reader(&tab.name)?;
    for place in 0_usize.. {
        match cells.next_cell_with_formula_metadata() {
            Ok(Some(_)) if place < taken => {}
            Ok(Some(cell)) => {
                let origin = origin(cell.formula.is_some());
                let format = formats
                    .binary_search_by_key(&cell.pos, |(place, _)| *place)
                    .map_or(0, |found| formats[found].1);
                tab.put(cell.pos, Value::from(&cell.value), origin, format)?;
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
            tab.put_error(cell.get_position(), origin(!cell.get_value().is_empty()), &shown)?;
        }
    }
    Ok(())
}
