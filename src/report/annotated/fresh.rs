//! A sheet of another form handed back: a new workbook with the supplier's rows in their places.

use rust_decimal::prelude::ToPrimitive;
use rust_xlsxwriter::{Color, DocProperties, ExcelDateTime, Format, Note, Workbook, Worksheet, XlsxError};

use super::content::{Added, Additions, Figure, Line, Mark, SUMMARY_WIDTHS, TabAdditions};
use super::styles::{COLORS, mark_color, verdict_color};
use crate::sheet::{Cell, CellKind, CellRef, Column, Sheet, Tab};

/// The formats of the workbook.
struct Formats {
    title: Format,
    heading: Format,
    wrapped: Format,
    cost: Format,
    plain: Format,
    colors: [Format; 4],
}

impl Formats {
    fn new() -> Self {
        Self {
            title: Format::new().set_bold(),
            heading: Format::new().set_bold().set_text_wrap(),
            wrapped: Format::new().set_text_wrap(),
            cost: Format::new().set_num_format("#,##0.00"),
            plain: Format::new(),
            colors: COLORS.map(|color| Format::new().set_background_color(Color::RGB(color))),
        }
    }
}

/// The properties of a workbook whose bytes depend on nothing but its content: no clock.
///
/// # Errors
/// None, as the date is a date.
pub(in crate::report) fn timeless() -> Result<DocProperties, XlsxError> {
    Ok(DocProperties::new().set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?))
}

/// The new workbook.
pub(super) fn write(sheet: &Sheet, additions: &Additions) -> Result<Vec<u8>, XlsxError> {
    let formats = Formats::new();
    let mut workbook = Workbook::new();
    workbook.set_properties(&timeless()?);
    for (tab, added) in sheet.tabs.iter().zip(&additions.tabs) {
        let worksheet = workbook.add_worksheet_with_low_memory()?;
        worksheet.set_name(if tab.name().is_empty() { "Sheet" } else { tab.name() })?;
        write_tab(worksheet, tab, added.as_ref(), &formats)?;
    }
    let worksheet = workbook.add_worksheet();
    worksheet.set_name(&additions.summary_name)?;
    write_summary(worksheet, &additions.summary, &formats)?;
    workbook.save_to_buffer()
}

fn at(place: usize) -> Result<u16, XlsxError> {
    u16::try_from(place).map_err(|_| XlsxError::RowColumnLimitError)
}

fn write_tab(
    worksheet: &mut Worksheet,
    tab: &Tab,
    added: Option<&TabAdditions>,
    formats: &Formats,
) -> Result<(), XlsxError> {
    let free = tab
        .rows()
        .filter_map(|row| row.cells().last())
        .map(|cell| cell.column.index() + 1)
        .max()
        .unwrap_or(0);
    for row in tab.rows() {
        let at_row = row.number() - 1;
        // Low memory asks for cells in order, row by row.
        for cell in row.cells() {
            let mark = added.and_then(|added| added.marks.get(&CellRef::new(cell.column, row.number())));
            let format = mark.map_or(&formats.plain, |mark| &formats.colors[mark_color(mark.severity)]);
            write_cell(worksheet, at_row, at(cell.column.index())?, cell, format)?;
        }
        for (place, mark) in added.into_iter().flat_map(|added| marks_of(added, row.number())) {
            let column = at(place.column.index())?;
            if row.cell(place.column).is_none() {
                worksheet.write_blank(at_row, column, &formats.colors[mark_color(mark.severity)])?;
            }
            if mark.noted {
                let words = mark.lines.join("\n");
                worksheet.insert_note(
                    at_row,
                    column,
                    &Note::new(words).set_author("rimsieve").add_author_prefix(false),
                )?;
            }
        }
        let Some(added) = added else {
            continue;
        };
        if let Some(height) = added.height(row.number()) {
            worksheet.set_row_height(at_row, height)?;
        }
        if row.number() == added.heading_row {
            for (place, heading) in added.headings.iter().enumerate() {
                worksheet.write_string_with_format(at_row, at(free + place)?, heading, &formats.heading)?;
            }
        }
        for (place, cell) in added.rows.get(&row.number()).into_iter().flatten().enumerate() {
            let column = at(free + place)?;
            match cell {
                Added::Nothing => continue,
                Added::Verdict(kind) => {
                    let color = &formats.colors[verdict_color(*kind)];
                    worksheet.write_string_with_format(at_row, column, kind.name(), color)?
                }
                Added::Text(text) => {
                    let text: String = text.chars().take(32_000).collect();
                    worksheet.write_string_with_format(at_row, column, text, &formats.wrapped)?
                }
                Added::Cost(cost) => worksheet.write_number_with_format(
                    at_row,
                    column,
                    cost.to_f64().unwrap_or(f64::NAN),
                    &formats.cost,
                )?,
            };
        }
    }
    let Some(added) = added else {
        return Ok(());
    };
    for place in 0..added.headings.len() {
        worksheet.set_column_width(at(free + place)?, added.width(place))?;
    }
    worksheet.set_freeze_panes(added.last_heading_row, 0)?;
    let last = at((free + added.headings.len()).saturating_sub(1))?;
    let headings =
        tab.rows().filter(|row| (added.heading_row..=added.last_heading_row).contains(&row.number()));
    let first =
        headings.filter_map(|row| row.cells().next()).map(|cell| cell.column.index()).min().unwrap_or(0);
    worksheet.autofilter(added.last_heading_row - 1, at(first)?, added.last_row - 1, last)?;
    Ok(())
}

fn marks_of(added: &TabAdditions, row: u32) -> impl Iterator<Item = (&CellRef, &Mark)> {
    let after = Column::from_index(0).map(|first| CellRef::new(first, row));
    let marks = after.map(|after| added.marks.range(after..));
    marks.into_iter().flatten().take_while(move |(at, _)| at.row == row)
}

/// A supplier's cell: words stay words, whatever they begin with.
fn write_cell(
    worksheet: &mut Worksheet,
    row: u32,
    column: u16,
    cell: Cell<'_>,
    format: &Format,
) -> Result<(), XlsxError> {
    match (cell.kind, cell.text.parse::<f64>()) {
        (CellKind::Number, Ok(number)) if number.is_finite() => {
            worksheet.write_number_with_format(row, column, number, format)?
        }
        (CellKind::Flag, _) => {
            worksheet.write_boolean_with_format(row, column, cell.text == "TRUE", format)?
        }
        _ => worksheet.write_string_with_format(row, column, cell.text, format)?,
    };
    Ok(())
}

fn write_summary(worksheet: &mut Worksheet, lines: &[Line], formats: &Formats) -> Result<(), XlsxError> {
    for (column, width) in (0_u16..).zip(SUMMARY_WIDTHS) {
        worksheet.set_column_width(column, width)?;
    }
    for (row, line) in (0_u32..).zip(lines) {
        if let Some(height) = line.height() {
            worksheet.set_row_height(row, height)?;
        }
        match line {
            Line::Title(text) => {
                worksheet.write_string_with_format(row, 0, text, &formats.title)?;
            }
            Line::Text(text) => {
                worksheet.write_string_with_format(row, 0, text, &formats.wrapped)?;
            }
            Line::Headings(texts) => {
                for (place, text) in texts.iter().enumerate() {
                    worksheet.write_string_with_format(row, at(place)?, text, &formats.title)?;
                }
            }
            Line::Row(figures) => {
                for (place, figure) in figures.iter().enumerate() {
                    match figure {
                        Figure::Words(text) => {
                            let text: String = text.chars().take(32_000).collect();
                            worksheet.write_string(row, at(place)?, text)?
                        }
                        // Counts of rows are far below what a float holds exactly.
                        Figure::Count(count) => worksheet.write_number(row, at(place)?, *count as f64)?,
                    };
                }
            }
            Line::Gap => {}
        }
    }
    Ok(())
}
