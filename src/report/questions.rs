//! Questions for the supplier: one row for each part and fact that keeps it unproven, with an empty
//! cell to fill. `intake::answers` reads the filled file back.

use std::collections::BTreeMap;
use std::sync::Arc;

use rust_xlsxwriter::{
    Color, DataValidation, Format, FormatAlign, FormatBorder, ProtectionOptions, Workbook, Worksheet,
    XlsxError,
};
use thiserror::Error;

use crate::facts::fact::{Fact, State};
use crate::facts::field::Field;
use crate::facts::part::{Part, Spec};
use crate::facts::value::{Dimension, Kind, Unit};
use crate::intake::answers::{ANSWER_HEADING, FORMAT, QuestionKey, example};
use crate::judge::{Gap, Judgement, VerdictKind};
use crate::report::annotated::timeless;
use crate::report::record::{PartRecord, cell_of};
use crate::report::row_height::row_height;

/// The questions cannot be written.
#[derive(Debug, Error)]
pub enum QuestionsError {
    /// They do not go into a workbook.
    #[error("the questions cannot be written as a workbook")]
    Workbook(#[from] XlsxError),
    /// The key of a question cannot be written.
    #[error("the key of a question cannot be written")]
    Key(#[from] serde_json::Error),
}

/// One question.
struct Question<'j> {
    part: &'j Part<'j>,
    field: Field,
    /// What it settles: rules with the vans they are judged for, or the sense check that failed.
    matters: Vec<String>,
}

/// What the top of the sheet tells.
const INSTRUCTIONS: [&str; 4] = [
    "Your price list leaves some facts open that we need before we can use the parts below.",
    "Please fill in the yellow column where you can, one answer in each cell, with its unit. Leave a cell empty where \
     you do not know; an estimate does not help us.",
    "Please keep the other columns as they are: they tell us which part and which fact your answer is for. You may \
     filter the rows.",
    "Save the file as it is (.xlsx) and send it back. Thank you.",
];

const HEADINGS: [&str; 12] = [
    "No.",
    "Part number",
    "Supplier",
    "Name",
    "File",
    "Tab",
    "Row",
    "Cell",
    "What we need to know",
    "What your list says",
    "Why it matters",
    "How to write it",
];
const WIDTHS: [u32; 12] = [5, 18, 18, 18, 18, 14, 6, 8, 24, 34, 40, 34];
/// The row of the headings, from 0.
const HEADING_ROW: u32 = 6;
const ANSWER: u16 = 12;
const KEY: u16 = 13;

/// The workbook of questions; its bytes depend on nothing but the judgement.
///
/// # Errors
/// [`QuestionsError`] where the rows do not go into a workbook.
pub fn workbook(judgement: &Judgement<'_>) -> Result<Vec<u8>, QuestionsError> {
    let mut book = Workbook::new();
    book.set_properties(&timeless()?);
    let sheet = book.add_worksheet();
    sheet.set_name("Questions")?;
    let bold = Format::new().set_bold();
    sheet.write_string_with_format(
        0,
        0,
        "Questions about your price list",
        &bold.clone().set_font_size(14),
    )?;
    for (row, text) in (1_u32..).zip(INSTRUCTIONS) {
        sheet.write_string(row, 0, text)?;
    }
    let heading =
        bold.set_text_wrap().set_align(FormatAlign::Top).set_background_color(Color::RGB(0x00DD_EBF7));
    for (column, (text, width)) in (0_u16..).zip(HEADINGS.iter().zip(WIDTHS)) {
        sheet.write_string_with_format(HEADING_ROW, column, *text, &heading)?;
        sheet.set_column_width(column, width)?;
    }
    sheet.write_string_with_format(HEADING_ROW, ANSWER, ANSWER_HEADING, &heading)?;
    sheet.set_column_width(ANSWER, 24)?;
    sheet.write_string_with_format(HEADING_ROW, KEY, FORMAT, &heading)?;
    sheet.set_column_hidden(KEY)?;
    let questions = questions(judgement);
    let cell = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    // Text, so that no spreadsheet program makes a date of an answer such as 6-130.
    let answer = Format::new()
        .set_unlocked()
        .set_num_format("@")
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border(FormatBorder::Thin)
        .set_background_color(Color::RGB(0x00FF_F9DB));
    for (row, question) in (HEADING_ROW + 1..).zip(&questions) {
        write_question(sheet, row, judgement, question, &cell, &answer)?;
    }
    let count = u32::try_from(questions.len()).unwrap_or(u32::MAX);
    if count == 0 {
        sheet.write_string(
            HEADING_ROW + 1,
            0,
            "No questions: nothing is missing that would decide a part.",
        )?;
    }
    sheet.set_freeze_panes(HEADING_ROW + 1, 0)?;
    sheet.autofilter(HEADING_ROW, 0, HEADING_ROW.saturating_add(count.max(1)), KEY)?;
    sheet.protect_with_options(&ProtectionOptions {
        use_autofilter: true,
        format_columns: true,
        format_rows: true,
        ..ProtectionOptions::new()
    });
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_repeat_rows(HEADING_ROW, HEADING_ROW)?;
    Ok(book.save_to_buffer()?)
}

fn write_question(
    sheet: &mut Worksheet,
    row: u32,
    judgement: &Judgement<'_>,
    question: &Question<'_>,
    cell: &Format,
    answer: &Format,
) -> Result<(), QuestionsError> {
    let Question { part, field, matters } = question;
    let spec = judgement.spec(part);
    let who = PartRecord::of(judgement, part);
    sheet.write_number_with_format(row, 0, f64::from(row - HEADING_ROW), cell)?;
    let said = spec.and_then(|spec| spec.fact(*field)).map_or_else(String::new, |fact| said(fact));
    let place = cell_of(spec, Some(*field), part).unwrap_or_default();
    let texts = [
        (1, part.sku),
        (2, part.supplier),
        (3, part.name),
        (4, who.sheet()),
        (5, who.tab()),
        (7, &place),
        (8, field.words()),
        (9, &said),
        (10, &matters.join("; ")),
        (11, &form(*field)),
    ];
    let wrapped = texts.iter().map(|(column, text)| (*text, WIDTHS[usize::from(*column)] as usize));
    if let Some(height) = row_height(wrapped) {
        sheet.set_row_height(row, height)?;
    }
    for (column, text) in texts {
        let text: String = text.chars().take(32_000).collect();
        sheet.write_string_with_format(row, column, text, cell)?;
    }
    sheet.write_number_with_format(row, 6, f64::from(part.row), cell)?;
    sheet.write_blank(row, ANSWER, answer)?;
    if let Some(words) = choices(*field) {
        sheet.add_data_validation(
            row,
            ANSWER,
            row,
            ANSWER,
            &DataValidation::new().allow_list_strings(words)?,
        )?;
    }
    let key = QuestionKey {
        fact: field.full_name(),
        sheet: who.sheet().to_owned(),
        tab: who.tab().to_owned(),
        row: part.row,
        supplier: part.supplier.to_owned(),
        sku: part.sku.to_owned(),
    };
    sheet.write_string(row, KEY, serde_json::to_string(&key)?)?;
    Ok(())
}

/// The questions in sheet order; for one part in the order of the facts.
fn questions<'j>(judgement: &'j Judgement<'_>) -> Vec<Question<'j>> {
    let mut all = Vec::new();
    for part in &judgement.catalog.parts {
        let mut asked: BTreeMap<Field, Vec<String>> = BTreeMap::new();
        for (at, van) in judgement.vans.iter().enumerate() {
            let finding =
                judgement.finding(at, part).filter(|finding| finding.kind() == VerdictKind::Unproven);
            for gap in finding.map_or(&[][..], |finding| finding.gaps()) {
                for (field, doubt) in fields_of(gap, judgement.spec(part)) {
                    let matters = if doubt {
                        "your list contradicts itself here".to_owned()
                    } else {
                        format!("to check the {} for the {}", gap.rule.replace('-', " "), van.name)
                    };
                    let known = asked.entry(field).or_default();
                    if !known.contains(&matters) {
                        known.push(matters);
                    }
                }
            }
        }
        all.extend(asked.into_iter().map(|(field, matters)| Question { part, field, matters }));
    }
    all
}

/// The facts that a gap asks for, each with whether a contradiction is to blame. A contradiction is
/// settled only by all the facts it makes unusable.
fn fields_of(gap: &Gap, spec: Option<&Spec>) -> Vec<(Field, bool)> {
    let Some((field, spec)) = gap.field.zip(spec) else {
        return Vec::new();
    };
    let state_of = |field: Field| spec.fact(field).map(|fact| &fact.state);
    let Some(State::Contradicted(found)) = state_of(field) else {
        return vec![(field, false)];
    };
    let same = |state: &State| matches!(state, State::Contradicted(other) if Arc::ptr_eq(other, found) || other == found);
    spec.iter()
        .filter(|(_, fact)| same(&fact.state))
        .map(|(field, _)| (field, *gap.rule == *found.check.name()))
        .collect()
}

/// What the sheet says about a fact, as the supplier would recognize it.
fn said(fact: &Fact) -> String {
    let why = fact.why_unknown();
    match (&fact.state, why) {
        (State::Known(_), _) => format!("{}, which leaves it open", fact.text),
        (State::Missing, _) if fact.column.is_none() => "nothing: there is no column for it".to_owned(),
        (State::Missing, _) => "nothing: the cell is empty".to_owned(),
        (State::Unreadable(_), Some(why)) if !fact.text.is_empty() => format!("{}: {why}", fact.text),
        (_, why) => why.unwrap_or_default(),
    }
}

/// How to write an answer, with its unit.
fn form(field: Field) -> String {
    let example = example(field);
    let what = match field.kind() {
        Kind::Flag => return "yes or no".to_owned(),
        Kind::Word(words) if !words.is_empty() => return format!("one of: {}", words.join(", ")),
        Kind::Quantity(Dimension::Speed) => "the letter",
        Kind::Quantity(Dimension::Plain) => "the number",
        Kind::Quantity(Dimension::Ply) => "the letter or the number of plies",
        Kind::Quantity(Dimension::Day) => "week and year, four digits",
        Kind::Quantity(dimension) if Unit::of(dimension).is_some() => "a number with its unit",
        _ => "as you mark it",
    };
    format!("{what}, such as {example}")
}

/// The answers to choose from, where there are few.
fn choices(field: Field) -> Option<&'static [&'static str]> {
    match field.kind() {
        Kind::Flag => Some(&["yes", "no"]),
        Kind::Word(words) if !words.is_empty() => Some(words),
        _ => None,
    }
}
