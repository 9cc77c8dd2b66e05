//! How a sheet is understood: a table that a buyer can check in a minute, or JSON, or a profile to
//! correct.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::io::{self, Write};

use serde::Serialize;

use crate::facts::catalog::{ColumnAccount, SheetAccount, TabAccount};
use crate::facts::field::Field;
use crate::plan::Styling;
use crate::report::page::{Page, Side, counted};

/// Writes the table.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(sheets: &[SheetAccount], styling: Styling, out: &mut dyn Write) -> io::Result<()> {
    let mut page = Page::new(styling);
    for sheet in sheets {
        page.heading(&format!("How {} is understood", sheet.name));
        page.line(
            0,
            &format!(
                "{} = {}, {} not understood, {} of headings, notes and blanks",
                counted(sheet.rows as usize, "row", "rows"),
                counted(sheet.parts as usize, "part", "parts"),
                sheet.reported,
                sheet.furniture
            ),
        );
        for tab in &sheet.tabs {
            page.gap();
            tab_table(&mut page, tab);
        }
    }
    out.write_all(page.into_text().as_bytes())
}

fn tab_table(page: &mut Page, tab: &TabAccount) {
    let name = if tab.name.is_empty() { String::new() } else { format!("Tab {}: ", tab.name) };
    let hidden = if tab.hidden { ", hidden in the spreadsheet program" } else { "" };
    let Some(heading_row) = tab.heading_row else {
        page.line(0, &format!("{name}{}{hidden}; no row of headings, so nothing was read", tab.form));
        return;
    };
    let parts = counted(tab.parts as usize, "part", "parts");
    // Where all columns agree on the comma, it is said once.
    let comma = |column: &ColumnAccount| column.decimal == Some("comma");
    let mut read = tab.understood.iter().filter(|column| column.is_read()).peekable();
    let all_comma = read.peek().is_some() && read.all(comma);
    let decimal = if all_comma { "; decimal comma" } else { "" };
    page.line(0, &format!("{name}{}{hidden}; headings in row {heading_row}; {parts}{decimal}", tab.form));
    let mut rows = vec![["", "heading", "read as", "cells", "unread", "such as"].map(str::to_owned).to_vec()];
    for column in &tab.understood {
        rows.push(vec![
            column.column.clone(),
            column.heading.clone(),
            format!(
                "{}{}",
                read_as(column),
                if comma(column) && !all_comma { ", decimal comma" } else { "" }
            ),
            column.cells.to_string(),
            if column.unread == 0 { String::new() } else { column.unread.to_string() },
            column.samples.join(" | "),
        ]);
    }
    let sides = [Side::Left, Side::Left, Side::Left, Side::Right, Side::Right, Side::Left];
    page.table(0, &sides, &rows);
    for column in &tab.understood {
        if let (Some(unit), Some(proof)) = (column.unit, &column.unit_proof) {
            page.hanging(0, 2, &format!("{}: unit {unit}: proven by {proof}", column.column));
        }
    }
    for column in &tab.understood {
        let (at, heading) = (&column.column, &column.heading);
        let line = match (column.holds, &column.note) {
            (None, Some(note)) => {
                format!("{at}: `{heading}` names nothing known; {note} A profile can say so")
            }
            (None, None) => format!("{at}: `{heading}` names nothing known"),
            (Some("price"), Some(note)) => format!("{at}: {note}"),
            (Some("left_over"), Some(note)) if column.nearest.is_some() => {
                format!("{at}: `{heading}` is left alone, but {note} A profile can say so")
            }
            (Some(_), Some(note)) if column.nearest.is_some() => {
                format!("{at}: `{heading}` is read as {}, but {note} A profile can say so", read_as(column))
            }
            (Some(_), _) => continue,
        };
        page.hanging(0, 2, &line);
    }
}

fn read_as(column: &ColumnAccount) -> String {
    let unit = column.unit.map_or_else(String::new, |unit| format!(" in {unit}"));
    match column.holds {
        None => "?".to_owned(),
        Some("left_over") => "(left alone)".to_owned(),
        Some(holds) if column.more_facts.is_empty() => format!("{}{unit}", holds.replace('_', " ")),
        Some(holds) => {
            let more: Vec<&str> = column.more_facts.iter().map(|field| field.words()).collect();
            format!("{}{unit}, with {}", holds.replace('_', " "), more.join(", "))
        }
    }
}

#[derive(Serialize)]
struct SurveyRecord<'s> {
    format: &'static str,
    sheets: Vec<SheetRecord<'s>>,
}

#[derive(Serialize)]
struct SheetRecord<'s> {
    name: &'s str,
    rows: u32,
    parts: u32,
    reported: u32,
    furniture: u32,
    tabs: Vec<TabRecord<'s>>,
}

#[derive(Serialize)]
struct TabRecord<'s> {
    name: &'s str,
    hidden: bool,
    form: &'s str,
    heading_row: Option<u32>,
    parts: u32,
    columns: Vec<ColumnRecord<'s>>,
}

#[derive(Serialize)]
struct ColumnRecord<'s> {
    column: &'s str,
    heading: &'s str,
    holds: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    nearest: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<&'s str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit_from: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit_proof: Option<&'s str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    decimal: Option<&'static str>,
    facts: Vec<String>,
    cells: u32,
    unread: u32,
    samples: &'s [String],
}

/// Writes the same as a JSON document.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_json(sheets: &[SheetAccount], out: &mut dyn Write) -> io::Result<()> {
    let record = SurveyRecord {
        format: "rimsieve.survey/1",
        sheets: sheets
            .iter()
            .map(|sheet| SheetRecord {
                name: &sheet.name,
                rows: sheet.rows,
                parts: sheet.parts,
                reported: sheet.reported,
                furniture: sheet.furniture,
                tabs: sheet.tabs.iter().map(tab_record).collect(),
            })
            .collect(),
    };
    serde_json::to_writer_pretty(&mut *out, &record)?;
    out.write_all(b"\n")
}

fn tab_record(tab: &TabAccount) -> TabRecord<'_> {
    let columns = tab.understood.iter().map(|column| ColumnRecord {
        column: &column.column,
        heading: &column.heading,
        holds: column.holds,
        nearest: column.nearest,
        note: column.note.as_deref(),
        unit: column.unit,
        unit_from: column.unit_from,
        unit_proof: column.unit_proof.as_deref(),
        decimal: column.decimal,
        facts: column.facts.iter().chain(&column.more_facts).copied().map(Field::full_name).collect(),
        cells: column.cells,
        unread: column.unread,
        samples: &column.samples,
    });
    TabRecord {
        name: &tab.name,
        hidden: tab.hidden,
        form: &tab.form,
        heading_row: tab.heading_row,
        parts: tab.parts,
        columns: columns.collect(),
    }
}

/// A profile that says what was understood, for a buyer to correct.
#[must_use]
pub fn draft(sheet: &SheetAccount) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "# How rimsieve understood {}. Correct what is wrong, and", comment(&sheet.name));
    let _ = writeln!(text, "# give this file with --profile. What you leave out is found as without it.");
    let _ = writeln!(text, "[profile]");
    let _ = writeln!(text, "name  = {}", quoted(&sheet.name));
    let _ = writeln!(text, "files = [{}]", quoted(&sheet.name));
    let read: Vec<String> =
        sheet.tabs.iter().filter(|tab| tab.heading_row.is_some()).map(|tab| quoted(&tab.name)).collect();
    if sheet.tabs.len() > 1 {
        let _ = writeln!(text, "tabs  = [{}]", read.join(", "));
    }
    let _ =
        writeln!(text, "\n# Heading = what the column holds, and its unit where the cells do not say it.");
    let _ =
        writeln!(text, "# A line that begins with # is a question: take the # away where the answer is yes.");
    let _ = writeln!(text, "[profile.columns]");
    let mut told = BTreeSet::new();
    let columns = || sheet.tabs.iter().flat_map(|tab| &tab.understood);
    for column in columns() {
        if column.heading.is_empty() || !told.insert(column.heading.to_lowercase()) {
            continue;
        }
        let same_heading =
            columns().filter(|other| other.heading.to_lowercase() == column.heading.to_lowercase());
        // One line speaks for all columns of a heading; units that differ are left to the sheet.
        let units: BTreeSet<Option<&str>> = same_heading.map(|other| other.unit).collect();
        let heading = quoted(&column.heading);
        let proof = column.unit_proof.as_ref().map(|proof| format!("unit proven by {proof}"));
        let mut remarks: Vec<&str> = proof.iter().chain(&column.note).map(String::as_str).collect();
        if column.holds.is_none() {
            remarks.insert(0, "not understood");
        }
        if units.len() > 1 {
            remarks.insert(0, "stands over columns in different units, which the sheet settles");
        }
        let samples = column.samples.join(" | ");
        let remarks = comment(&if remarks.is_empty() {
            samples
        } else {
            format!("{}; such as {samples}", remarks.join("; "))
        });
        // Nor is a unit fixed for wheels that is proven for tires alone.
        let unit = column.unit.filter(|_| units.len() == 1 && column.unit_for.is_none());
        let _ = match (column.holds, unit) {
            (Some(holds), Some(unit)) => {
                writeln!(text, "{heading} = {{ holds = \"{holds}\", unit = \"{unit}\" }}  # {remarks}")
            }
            (Some(holds), None) => writeln!(text, "{heading} = \"{holds}\"  # {remarks}"),
            // Without its first mark the line says so.
            (None, _) => {
                let near = column.nearest.unwrap_or("left_over");
                writeln!(text, "# {heading} = \"{near}\"  # {remarks}")
            }
        };
    }
    let _ = writeln!(text, "\n# What every row has in common, such as: supplier = \"Northfell\"");
    let _ = writeln!(text, "[profile.constants]");
    let _ = writeln!(text, "\n# The supplier's words for ours, such as: seat = {{ \"SR\" = \"ball R14\" }}");
    let _ = writeln!(text, "[profile.values]");
    text
}

/// A text as a TOML string on one line.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            letter if letter.is_control() => {
                let _ = write!(quoted, "\\u{:04X}", u32::from(letter));
            }
            letter => quoted.push(letter),
        }
    }
    quoted.push('"');
    quoted
}

/// A text that ends no comment.
fn comment(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}
