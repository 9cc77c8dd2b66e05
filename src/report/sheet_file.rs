//! Sheets as other programs find them: by a path that names no machine, and by line and column where
//! they are text.

use std::path::{Component, Path, PathBuf};

use serde::Serialize;

use crate::facts::field::Field;
use crate::facts::part::Part;
use crate::judge::Judgement;
use crate::sheet::{CellRef, TextPlaces};

/// The file of one sheet.
#[derive(Debug)]
pub struct SheetFile {
    file: FilePlace,
    lines: Option<TextPlaces>,
}

impl SheetFile {
    /// A sheet's file, with its lines where it is text.
    #[must_use]
    pub fn new(file: FilePlace, lines: Option<TextPlaces>) -> Self {
        Self { file, lines }
    }
}

/// A file by its way from a folder, so that nothing is told of the machine that the run was made on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FilePlace {
    /// The way, as a relative URI reference.
    pub uri: String,
    /// The folder it starts from; none is the one that the run was started in. Only to tell folders apart:
    /// it is shown to nobody.
    pub from: Option<PathBuf>,
}

impl FilePlace {
    /// Standard input, which is no file.
    #[must_use]
    pub fn standard_input() -> Self {
        Self { uri: "standard-input".to_owned(), from: None }
    }

    /// A file by the path that was given: a relative one as it is, an absolute one from `working`, the
    /// folder that the run was started in, where it lies under that, and else from its own folder.
    #[must_use]
    pub fn of(path: &Path, working: &Path) -> Self {
        if path.is_relative() {
            return Self { uri: uri(path), from: None };
        }
        // Where it is not known where the run was started, nothing lies under it.
        if working.is_absolute()
            && let Ok(way) = path.strip_prefix(working)
        {
            return Self { uri: uri(way), from: None };
        }
        let name = path.file_name().map_or_else(String::new, |name| uri(Path::new(name)));
        Self { uri: name, from: path.parent().map(Path::to_owned) }
    }
}

/// A relative path as a URI reference.
fn uri(path: &Path) -> String {
    let mut uri = String::new();
    for component in path.components() {
        let text = match component {
            Component::CurDir | Component::Prefix(_) | Component::RootDir => continue,
            Component::ParentDir => "..".to_owned(),
            Component::Normal(name) => name.to_string_lossy().into_owned(),
        };
        if !uri.is_empty() {
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
    /// The file.
    #[serde(skip)]
    pub file: FilePlace,
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
        file: file.map(|file| file.file.clone()).unwrap_or_default(),
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
    use std::path::{Path, PathBuf};

    use super::FilePlace;

    #[test]
    fn a_file_is_told_by_its_way_and_no_machine_is_named() {
        for (path, way, from) in [
            ("samples/sheets/wheels.xlsx", "samples/sheets/wheels.xlsx", None),
            ("./a b/ä#1.csv", "a%20b/%C3%A4%231.csv", None),
            ("../x.csv", "../x.csv", None),
            ("a:b.csv", "a%3Ab.csv", None),
            ("/srv/shop/x.csv", "x.csv", None),
            ("/srv/shop/new/x.csv", "new/x.csv", None),
            ("/srv/shops/x.csv", "x.csv", Some("/srv/shops")),
            ("/x y.csv", "x%20y.csv", Some("/")),
        ] {
            let wanted = FilePlace { uri: way.to_owned(), from: from.map(PathBuf::from) };
            assert_eq!(FilePlace::of(Path::new(path), Path::new("/srv/shop")), wanted, "{path}");
        }
        let adrift = FilePlace::of(Path::new("/srv/shop/x.csv"), Path::new(""));
        assert_eq!((adrift.uri.as_str(), adrift.from), ("x.csv", Some(PathBuf::from("/srv/shop"))));
    }
}
