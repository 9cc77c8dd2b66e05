//! Intake: cells to wheels and tires with facts.
//!
//! Takes in [`Sheet`]s; yields a [`Catalog`] in which every row is accounted for and every fact is
//! known, missing, unreadable or contradicted, with its cell. Knows headings and notations; knows no
//! rules and no vans. Nothing that a sheet leaves open is guessed without a remark.

pub mod answers;
mod column;
mod fields;
pub mod heading;
mod layout;
mod merge;
mod offer;
mod price;
pub mod profile;
mod proof;
mod reading;
mod row_reader;
mod row_words;
mod rows;
mod said;
pub mod table;

use std::sync::Arc;

use rayon::prelude::*;
use thiserror::Error;

use crate::facts::catalog::{Catalog, Remark, SheetAccount, Weight};
use crate::facts::remark::RemarkKind;
use crate::intake::profile::Profile;
use crate::sheet::{Row, Sheet, Tab};

/// Why a sheet cannot be taken in.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum IntakeError {
    /// No tab has a row of headings.
    #[error("{sheet}: no row of headings was found, so no column can be understood")]
    NoHeadings {
        /// The file's name.
        sheet: String,
        /// The first words found in it, for the message.
        first_words: Vec<String>,
    },
}

impl miette::Diagnostic for IntakeError {
    fn help<'a>(&'a self) -> Option<Box<dyn std::fmt::Display + 'a>> {
        let Self::NoHeadings { first_words, .. } = self;
        let found = if first_words.is_empty() {
            "the sheet is empty".to_owned()
        } else {
            format!("its first words are: {}", first_words.join(", "))
        };
        Some(Box::new(format!(
            "headings are words such as SKU, Size, Bolt Pattern, Offset, Load Rating (lb); at least two of them must \
             stand in one row. {found}"
        )))
    }
}

/// Takes in sheets in the order given.
///
/// # Errors
/// [`IntakeError::NoHeadings`] for the first sheet in which no tab has a row of headings.
pub fn take_in<'s>(sheets: &'s [Sheet], profiles: &'s [Profile]) -> Result<Catalog<'s>, IntakeError> {
    let of_sheet = |(at, sheet): (usize, &'s Sheet)| {
        let mut catalog = Catalog::default();
        let account = take_in_sheet(sheet, at, profile_for(sheet, profiles), &mut catalog)?;
        catalog.sheets.push(account);
        Ok(catalog)
    };
    // Nothing to take in is no work for threads, which would be started for it.
    if sheets.is_empty() {
        return Ok(Catalog::default());
    }
    // Each sheet is taken in by itself; what they come to is put together in their order.
    let taken: Vec<Result<Catalog<'s>, IntakeError>> = sheets.par_iter().enumerate().map(of_sheet).collect();
    let mut taken = taken.into_iter();
    let mut all = taken.next().transpose()?.unwrap_or_default();
    for catalog in taken {
        all.add(catalog?);
    }
    Ok(all)
}

/// The first profile that is for a sheet, by its name or by the headings of one of its tabs.
fn profile_for<'p>(sheet: &Sheet, profiles: &'p [Profile]) -> Option<&'p Profile> {
    let rows = || sheet.tabs.iter().flat_map(|tab| tab.rows().take(layout::TITLE_ROWS));
    profiles.iter().find(|profile| {
        profile.is_for(&sheet.name, &[])
            || rows().any(|row| {
                let texts: Vec<String> = row.cells().map(|cell| cell.text.trim().to_owned()).collect();
                profile.is_for("", &texts)
            })
    })
}

fn take_in_sheet<'s>(
    sheet: &'s Sheet,
    at: usize,
    profile: Option<&'s Profile>,
    catalog: &mut Catalog<'s>,
) -> Result<SheetAccount, IntakeError> {
    let mut account = SheetAccount {
        name: sheet.name.clone(),
        tabs: Vec::new(),
        rows: 0,
        parts: 0,
        reported: 0,
        furniture: 0,
        remarks: Vec::new(),
    };
    for (tab_at, tab) in sheet.tabs.iter().enumerate() {
        let (tab, count) = rows::take_in(tab, at, tab_at, profile, catalog, &mut account.remarks);
        account.rows += count.rows;
        account.parts += count.parts;
        account.reported += count.reported;
        account.furniture += count.furniture;
        if tab.hidden {
            account.remarks.push(Remark {
                tab: tab_at,
                row: 0,
                column: None,
                kind: RemarkKind::TabHidden,
                says: Arc::from(format!(
                    "tab `{}` is hidden in the spreadsheet program; it was read all the same",
                    tab.name
                )),
                weight: Weight::Note,
            });
        }
        account.tabs.push(tab);
    }
    if account.tabs.iter().all(|tab| tab.heading_row.is_none()) {
        let first_words = sheet.tabs.iter().flat_map(Tab::rows).flat_map(Row::cells);
        let first_words =
            first_words.take(6).map(|cell| cell.text.trim().chars().take(30).collect()).collect();
        return Err(IntakeError::NoHeadings { sheet: sheet.name.clone(), first_words });
    }
    once_a_sheet(&mut account.remarks, &RemarkKind::ConeAngleAssumed);
    Ok(account)
}

/// Keeps the first remark of a kind.
fn once_a_sheet(remarks: &mut Vec<Remark>, kind: &RemarkKind) {
    let mut seen = false;
    remarks.retain(|remark| {
        let first = !seen;
        seen |= remark.kind == *kind;
        first || remark.kind != *kind
    });
}
