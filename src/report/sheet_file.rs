//! Sheets as other programs find them: by the path that was given, and by line and column where they
//! are text.

use std::path::{Component, Path};

use serde::Serialize;

use crate::facts::field::Field;
use crate::facts::part::Part;
use crate::judge::Judgement;
use crate::sheet::{CellRef, TextPlaces};

/// The file of one sheet.
#[derive(Debug)]
pub struct SheetFile {
    uri: String,
    lines: Option<TextPlaces>,
}

impl SheetFile {
    /// A sheet's file, with its lines where it is text; no path is standard input.
    #[must_use]
    pub fn new(path: Option<&Path>, lines: Option<TextPlaces>) -> Self {
        Self { uri: path.map_or_else(|| "standard-input".to_owned(), uri), lines }
    }
}

/// A path as a URI reference: relative as it was given, or with the `file` scheme.
#[must_use]
pub fn uri(path: &Path) -> String {
    let mut uri = String::new();
    for component in path.components() {
        let text = match component {
            Component::CurDir | Component::Prefix(_) => continue,
            Component::RootDir => {
                uri.push_str("file://");
                String::new()
            }
            Component::ParentDir => "..".to_owned(),
            Component::Normal(name) => name.to_string_lossy().into_owned(),
        };
        if !uri.is_empty() && !uri.ends_with('/') || text.is_empty() {
            uri.push('/');
        }
        for byte in text.bytes() {
            if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
                uri.push(char::from(byte));
            } else {
                uri.push_str(&format!("%{byte:02X}"));
            }
        }
    }
    uri
}

/// A place in a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Spot {
    /// The file, as a URI reference.
    #[serde(skip)]
    pub uri: String,
    /// The tab; empty for text files.
    #[serde(skip)]
    pub tab: String,
    /// The cell, as people name it.
    #[serde(skip)]
    pub cell: CellRef,
    /// Line and column, from 1; none for workbooks.
    #[serde(flatten)]
    pub lines: Option<Lines>,
}

/// A stretch of a text file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Lines {
    /// The line, from 1.
    pub line: u32,
    /// The column, from 1, in Unicode code points.
    pub column: u32,
    /// The line it ends in.
    pub end_line: u32,
    /// The column after its last character.
    pub end_column: u32,
}

/// A cell of a sheet of a judgement.
#[must_use]
pub fn spot(judgement: &Judgement<'_>, files: &[SheetFile], sheet: usize, tab: usize, cell: CellRef) -> Spot {
    let file = files.get(sheet);
    let account = judgement.catalog.sheets.get(sheet);
    let place = file.and_then(|file| file.lines.as_ref()?.at(cell));
    Spot {
        uri: file.map_or_else(String::new, |file| file.uri.clone()),
        tab: account.and_then(|sheet| sheet.tabs.get(tab)).map_or_else(String::new, |tab| tab.name.clone()),
        cell,
        lines: place.map(|place| Lines {
            line: place.line,
            column: place.column,
            end_line: place.end_line,
            end_column: place.end_column,
        }),
    }
}

/// Where a fact of a part stands; the first cell of its row where the sheet has no column for it.
#[must_use]
pub fn spot_of(
    judgement: &Judgement<'_>,
    files: &[SheetFile],
    part: &Part<'_>,
    field: Option<Field>,
) -> Spot {
    let column = field.and_then(|field| judgement.spec(part)?.fact(field)?.column).unwrap_or_default();
    spot(judgement, files, part.sheet, part.tab, CellRef::new(column, part.row))
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::uri;

    #[test]
    fn paths_are_uri_references() {
        for (path, wanted) in [
            ("samples/sheets/wheels.xlsx", "samples/sheets/wheels.xlsx"),
            ("./a b/ä#1.csv", "a%20b/%C3%A4%231.csv"),
            ("../x.csv", "../x.csv"),
            ("/srv/x.csv", "file:///srv/x.csv"),
        ] {
            assert_eq!(uri(Path::new(path)), wanted);
        }
    }
}
