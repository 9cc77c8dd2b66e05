//! The list of one van as a workbook: wheels, tires, the work they need, and the cautions.
//!
//! Figures are numbers, with their units in the headings; words are words, whatever they begin with.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use rust_xlsxwriter::{Format, FormatAlign, Workbook, Worksheet, XlsxError};

use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::report::annotated::timeless;
use crate::report::publish::entry::{Entry, VanList};
use crate::report::record::WorkRecord;
use crate::report::row_height::row_height;
use crate::report::words::{CAUTIONS, verdict_words};

/// What stands in a cell.
enum Cell {
    Nothing,
    Words(String),
    Figure(f64),
    Money(Decimal),
}

/// A column: its heading, its width in characters, and what it holds of a part.
struct Column {
    heading: &'static str,
    width: u32,
    of: fn(&Entry<'_>) -> Cell,
    /// Whether it is left out where it would be empty.
    if_any: bool,
}

const fn column(heading: &'static str, width: u32, of: fn(&Entry<'_>) -> Cell) -> Column {
    Column { heading, width, of, if_any: false }
}

const fn column_if_any(heading: &'static str, width: u32, of: fn(&Entry<'_>) -> Cell) -> Column {
    Column { heading, width, of, if_any: true }
}

/// The columns that wheels and tires begin with.
const FIRST: [Column; 5] = [
    column("Part number", 16, |entry| words(&entry.sku)),
    column("Supplier", 20, |entry| words(&entry.supplier)),
    column("Name", 20, |entry| words(&entry.name)),
    column("Verdict", 15, |entry| words(verdict_words(entry.finding.kind()))),
    column("Description", 26, |entry| words(&entry.description())),
];

const OF_WHEELS: [Column; 8] = [
    column("Rim diameter (in)", 10, |entry| figure(entry.told.rim)),
    column("Rim width (in)", 9, |entry| figure(entry.figure(Field::WheelRimWidth))),
    column("Bolt pattern", 14, |entry| shown(entry, Field::WheelBoltPatterns)),
    column("Offset (mm)", 9, |entry| figure(entry.told.offset)),
    column("Center bore (mm)", 10, |entry| figure(entry.figure(Field::WheelCenterBore))),
    column("Load rating (kg)", 10, |entry| figure(entry.told.load)),
    column("Seat", 12, |entry| shown(entry, Field::WheelSeat)),
    column("Weight (kg)", 9, |entry| figure(entry.figure(Field::WheelWeight))),
];

const OF_TIRES: [Column; 9] = [
    column("Rim diameter (in)", 10, |entry| figure(entry.told.rim)),
    column("Size", 18, |entry| shown(entry, Field::TireSize)),
    column("Service", 11, |entry| shown(entry, Field::TireService)),
    column("Carries (kg)", 10, |entry| figure(entry.told.load)),
    column("Speed (km/h)", 9, |entry| figure(entry.figure(Field::TireSpeedSymbol))),
    column("Load range", 12, |entry| shown(entry, Field::TireLoadRange)),
    column("Overall diameter (mm)", 11, |entry| figure(entry.figure(Field::TireOverallDiameter))),
    column("Section width (mm)", 11, |entry| figure(entry.figure(Field::TireSectionWidth))),
    column("Three-peak mountain snowflake", 13, |entry| shown(entry, Field::TireSnowMark)),
];

/// The columns that wheels and tires end with.
const LAST: [Column; 9] = [
    column("Price", 11, |entry| match entry.price.amount {
        Some(amount) => Cell::Money(amount),
        None => words(&entry.price.text),
    }),
    column("Currency", 9, |entry| words(entry.price.currency.unwrap_or_default())),
    column("Room to spare, with the work done", 52, |entry| {
        lines(entry.told.room().map(|margin| margin.says.as_str()))
    }),
    column("Work it needs", 30, |entry| lines(entry.told.work.iter().map(|work| work.name))),
    column("Work, cost for a set", 11, |entry| {
        entry.finding.cure().map_or(Cell::Nothing, |cure| Cell::Money(cure.cost))
    }),
    column("Drawbacks of the work", 44, |entry| {
        lines(entry.told.work.iter().flat_map(|work| work.leaves.iter().copied()))
    }),
    column("Cautions", 44, |entry| words(&entry.cautions_in_short().join("\n"))),
    column_if_any("Link", 30, |entry| words(&entry.link)),
    column_if_any("Picture", 30, |entry| words(&entry.image)),
];

/// The formats of the workbook.
struct Formats {
    title: Format,
    heading: Format,
    cell: Format,
    figure: Format,
    money: Format,
}

impl Formats {
    fn new() -> Self {
        let top = Format::new().set_align(FormatAlign::Top);
        let bold = top.clone().set_bold();
        Self {
            title: bold.clone().set_font_size(14),
            heading: bold.set_align(FormatAlign::Left).set_text_wrap().set_indent(1),
            cell: top.clone().set_align(FormatAlign::Left).set_text_wrap().set_indent(1),
            figure: top.clone(),
            money: top.set_num_format("#,##0.00"),
        }
    }
}

pub(super) fn write(list: &VanList<'_>, as_of: Option<&str>) -> Result<Vec<u8>, XlsxError> {
    let formats = Formats::new();
    let mut book = Workbook::new();
    book.set_properties(&timeless()?);
    for (kind, name, own) in
        [(PartKind::Wheel, "Wheels", &OF_WHEELS[..]), (PartKind::Tire, "Tires", &OF_TIRES[..])]
    {
        let entries: Vec<&Entry<'_>> = list.entries.iter().filter(|entry| entry.kind == kind).collect();
        let columns = FIRST.iter().chain(own).chain(&LAST).filter(|column| {
            let empty = entries.iter().all(|entry| matches!((column.of)(entry), Cell::Nothing));
            !(column.if_any && empty)
        });
        let columns: Vec<&Column> = columns.collect();
        parts(book.add_worksheet().set_name(name)?, &columns, &entries, &formats)?;
    }
    works(book.add_worksheet().set_name("Work")?, list, &formats)?;
    cautions(book.add_worksheet().set_name("Cautions")?, list, as_of, &formats)?;
    book.save_to_buffer()
}

fn parts(
    sheet: &mut Worksheet,
    columns: &[&Column],
    entries: &[&Entry<'_>],
    formats: &Formats,
) -> Result<(), XlsxError> {
    for (at, column) in (0_u16..).zip(columns) {
        sheet.write_string_with_format(0, at, column.heading, &formats.heading)?;
        sheet.set_column_width(at, column.width)?;
    }
    sheet.set_row_height(0, 45)?;
    let mut last = 0;
    for (row, entry) in (1_u32..).zip(entries) {
        let mut height = None;
        for (at, column) in (0_u16..).zip(columns) {
            match (column.of)(entry) {
                Cell::Nothing => {}
                Cell::Words(text) => {
                    let text: String = text.chars().take(32_000).collect();
                    let high = row_height([(text.as_str(), column.width as usize)]);
                    height = [height, high].into_iter().flatten().reduce(f64::max);
                    sheet.write_string_with_format(row, at, text, &formats.cell)?;
                }
                Cell::Figure(number) => {
                    sheet.write_number_with_format(row, at, number, &formats.figure)?;
                }
                Cell::Money(amount) => {
                    let number = amount.to_f64().unwrap_or(f64::NAN);
                    sheet.write_number_with_format(row, at, number, &formats.money)?;
                }
            }
        }
        if let Some(height) = height {
            sheet.set_row_height(row, height)?;
        }
        last = row;
    }
    let width = u16::try_from(columns.len()).unwrap_or(u16::MAX);
    sheet.set_freeze_panes(1, 1)?;
    sheet.autofilter(0, 0, last.max(1), width - 1)?;
    printed(sheet)?;
    sheet.set_repeat_rows(0, 0)?;
    Ok(())
}

/// Each work that a part of the list needs, once.
fn works(sheet: &mut Worksheet, list: &VanList<'_>, formats: &Formats) -> Result<(), XlsxError> {
    const WIDTHS: [u32; 5] = [34, 14, 16, 52, 60];
    let set = format!("Cost for a set of {}", list.set);
    let headings = ["Work", &set, "Parts that need it", "What it needs", "Drawbacks"];
    for (at, (heading, width)) in (0_u16..).zip(headings.into_iter().zip(WIDTHS)) {
        sheet.write_string_with_format(0, at, heading, &formats.heading)?;
        sheet.set_column_width(at, width)?;
    }
    let used = list.van.works.iter().enumerate().filter_map(|(at, work)| {
        let needs = |entry: &&Entry<'_>| entry.finding.cure().is_some_and(|cure| cure.works.contains(&at));
        let count = list.entries.iter().filter(needs).count();
        (count > 0).then_some((work, count))
    });
    for (row, (work, count)) in (1_u32..).zip(used) {
        let record = WorkRecord::of(work, list.set);
        let needs: Vec<String> =
            record.needs.iter().map(|need| format!("{} x {}", need.count, need.item)).collect();
        let (needs, leaves) = (needs.join("\n"), record.leaves.join("\n"));
        if let Some(height) = row_height([(record.name, 34), (&needs, 52), (&leaves, 60)]) {
            sheet.set_row_height(row, height)?;
        }
        sheet.write_string_with_format(row, 0, record.name, &formats.cell)?;
        sheet.write_number_with_format(row, 1, work.costs.to_f64().unwrap_or(f64::NAN), &formats.money)?;
        // Counts of parts are far below what a float holds exactly.
        sheet.write_number_with_format(row, 2, count as f64, &formats.figure)?;
        sheet.write_string_with_format(row, 3, needs, &formats.cell)?;
        sheet.write_string_with_format(row, 4, leaves, &formats.cell)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    printed(sheet)
}

fn cautions(
    sheet: &mut Worksheet,
    list: &VanList<'_>,
    as_of: Option<&str>,
    formats: &Formats,
) -> Result<(), XlsxError> {
    const WIDTH: u32 = 100;
    sheet.set_column_width(0, WIDTH)?;
    sheet.write_string_with_format(0, 0, format!("What fits the {}", list.van.name), &formats.title)?;
    let costs = list.entries.iter().any(Entry::needs_work).then(|| {
        format!(
            "What work costs is for a set of {} wheels, the spare included; prices of parts are each.",
            list.set
        )
    });
    let date = as_of.map(|date| format!("As of {date}."));
    let texts = [Some(CAUTIONS.to_owned()), costs, date];
    for (row, text) in (2_u32..).zip(texts.into_iter().flatten()) {
        if let Some(height) = row_height([(text.as_str(), WIDTH as usize)]) {
            sheet.set_row_height(row, height)?;
        }
        sheet.write_string_with_format(row, 0, text, &formats.cell)?;
    }
    printed(sheet)
}

fn printed(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    Ok(())
}

fn words(text: &str) -> Cell {
    if text.is_empty() { Cell::Nothing } else { Cell::Words(text.to_owned()) }
}

fn lines<'t>(texts: impl Iterator<Item = &'t str>) -> Cell {
    words(&texts.collect::<Vec<_>>().join("\n"))
}

fn figure(number: Option<f64>) -> Cell {
    number.map_or(Cell::Nothing, Cell::Figure)
}

fn shown(entry: &Entry<'_>, field: Field) -> Cell {
    entry.shown(field).map_or(Cell::Nothing, Cell::Words)
}
