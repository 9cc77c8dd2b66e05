//! The sheet handed back: the supplier's rows with verdict, reasons, work and cost for each van.
//!
//! From an xlsx it is the supplier's own workbook: every part of the archive is copied as it is, but
//! for those that must change (sheets that hold parts, formats, the list of tabs, notes), and there
//! only what is added is new. From any other form it is a new workbook. A supplier's text is only
//! ever written as text.

mod content;
mod fresh;
mod notes;
mod own;
mod package;
mod problem;
mod styles;
mod tab;
mod xml;

use std::path::Path;

use crate::intake::heading::OURS;
use crate::judge::Judgement;
use crate::sheet::{Row, Sheet, is_open_workbook};

pub(super) use fresh::timeless;
pub use problem::{AnnotatedError, PartFault};

use package::PackageError;

/// The bytes of the workbook to hand back: of the first and only sheet of a judgement.
///
/// `bytes` are the sheet's own; `path` is where it is to go, for the ending that its content needs.
///
/// # Errors
/// [`AnnotatedError`]; nothing is written.
pub fn annotate(
    judgement: &Judgement<'_>,
    sheets: &[Sheet],
    bytes: &[u8],
    path: &Path,
) -> Result<Vec<u8>, AnnotatedError> {
    let [sheet] = sheets else {
        return Err(AnnotatedError::NotOneSheet { count: sheets.len() });
    };
    let name = || sheet.name.clone();
    let of_package = |error| match error {
        PackageError::Part { part, fault } => AnnotatedError::Part { sheet: name(), part, fault },
        PackageError::Archive(source) => AnnotatedError::Archive { sheet: name(), source },
    };
    if has_our_columns(sheet) {
        return Err(AnnotatedError::AlreadyAnnotated { sheet: name() });
    }
    let own = is_open_workbook(&sheet.name, bytes);
    let wanted = if own && own::has_macros(bytes).map_err(of_package)? { "xlsm" } else { "xlsx" };
    if path.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case(wanted)) {
        return Err(AnnotatedError::Ending { path: path.to_owned(), wanted });
    }
    let additions = content::additions(judgement, sheet);
    if own {
        own::write(bytes, &additions).map_err(of_package)
    } else {
        fresh::write(sheet, &additions).map_err(|source| AnnotatedError::Workbook { sheet: name(), source })
    }
}

fn has_our_columns(sheet: &Sheet) -> bool {
    let start = format!("{OURS} verdict: ");
    let mut cells = sheet.tabs.iter().flat_map(|tab| tab.rows().take(60)).flat_map(Row::cells);
    cells.any(|cell| cell.text.starts_with(&start))
}
