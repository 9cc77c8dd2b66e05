//! Reads sheets that other programs wrote and compares every cell with what those programs were told to write.
//!
//! `interop/make_sheets.py` holds the table and writes it by openpyxl, xlwt, odfpy, LibreOffice, Python's csv module
//! and, for xlsb, by records laid out after MS-XLSB, since no library writes that format.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test's own helpers fail the test by panicking"
)]

use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;

use miette::Diagnostic;
use rimsieve::sheet::{
    CellKind, CellRef, Damage, Delimiter, Form, NotASheet, Origin, SheetError, Visibility, read,
};
use tempfile::TempDir;

const SET_UP: &str = "the interop sheets could not be made; set-up step: `pip install openpyxl xlwt odfpy` and \
                      `apt-get install libreoffice-calc`";

/// The folder of sheets, made once for all tests.
fn sheets() -> &'static Path {
    static SHEETS: OnceLock<TempDir> = OnceLock::new();
    SHEETS
        .get_or_init(|| {
            // Within the build folder, as what a static holds is never cleared away.
            let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
            let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/interop/make_sheets.py");
            let made = Command::new("python3").arg(script).arg(folder.path()).output().expect(SET_UP);
            let said = String::from_utf8_lossy(&made.stderr);
            assert!(made.status.success(), "{SET_UP}\n{said}");
            folder
        })
        .path()
}

/// A cell in one line: tab, address, kind, origin, text.
type Line = [String; 5];

fn written() -> Vec<Line> {
    let list = std::fs::read_to_string(sheets().join("expected.tsv")).unwrap();
    list.lines()
        .map(|line| {
            let mut fields = line.split('\t').map(str::to_owned);
            std::array::from_fn(|_| fields.next().unwrap())
        })
        .collect()
}

fn found(file: &str) -> Vec<Line> {
    let sheet = read(&sheets().join(file)).unwrap_or_else(|error| panic!("{file}: {error:?}"));
    assert_eq!(sheet.name, file);
    let mut lines = Vec::new();
    for tab in &sheet.tabs {
        for row in tab.rows() {
            for cell in row.cells() {
                assert_eq!(row.cell(cell.column), Some(cell));
                lines.push([
                    tab.name().to_owned(),
                    CellRef::new(cell.column, row.number()).to_string(),
                    format!("{:?}", cell.kind),
                    format!("{:?}", cell.origin),
                    cell.text.to_owned(),
                ]);
            }
        }
    }
    lines
}

#[test]
fn the_table_is_one_that_can_go_wrong() {
    let lines = written();
    let has = |place: usize, text: &str| lines.iter().any(|line| line[place] == text);
    assert_eq!(lines[0][1], "C4");
    assert!(has(1, "AB2") && !lines.iter().any(|line| line[1].ends_with('7')));
    assert!(has(2, "Date") && has(2, "Error") && has(2, "Number") && has(3, "Formula"));
    assert!(has(4, "84.1") && has(4, "6x130") && has(4, " 6x130 ") && has(4, "2026-12-06"));
}

#[test]
fn workbooks_with_results_read_back_as_written() {
    for file in ["office.xlsx", "office.xls", "office.ods", "odfpy.ods"] {
        assert_eq!(found(file), written(), "{file}");
    }
}

#[test]
fn a_formula_filled_down_in_an_xls_passes_for_typed() {
    // Its reader keeps no trace of formulas that share one text. The content is right all the same.
    let lines = found("filled_down.xls");
    let texts: Vec<_> = lines.iter().map(|line| line[4].as_str()).collect();
    assert_eq!(texts, ["5", "5", "5"]);
    let origins: Vec<_> = lines.iter().map(|line| line[3].as_str()).collect();
    assert_eq!(origins, ["Typed", "Typed", "Formula"]);
}

#[test]
fn a_binary_workbook_reads_back_as_written_but_for_the_code_of_errors() {
    let mut expected = written();
    for line in &mut expected {
        if line[4] == "#DIV/0!" {
            line[4] = "#ERROR!".to_owned();
        }
    }
    assert_eq!(found("binary.xlsb"), expected);
}

#[test]
fn formulas_whose_results_were_never_stored_are_lost_not_empty() {
    // openpyxl stores no result; xlwt stores an empty text as the result of every formula.
    let mut expected = written();
    for line in &mut expected {
        if line[3] == format!("{:?}", Origin::Formula) {
            line[2] = format!("{:?}", CellKind::Lost);
            line[4] = String::new();
        }
    }
    for file in ["openpyxl.xlsx", "xlwt.xls"] {
        assert_eq!(found(file), expected, "{file}");
    }
}

#[test]
fn text_files_read_back_as_written() {
    let mut expected = written();
    expected.retain(|line| line[0] == "Wheels");
    for line in &mut expected {
        line[0] = String::new();
        line[2] = format!("{:?}", CellKind::Text);
        line[3] = format!("{:?}", Origin::Typed);
    }
    for (file, encoding, delimiter) in [
        ("plain.csv", "UTF-8", Delimiter::Comma),
        ("semicolon.csv", "windows-1252", Delimiter::Semicolon),
        ("utf16.txt", "UTF-16LE", Delimiter::Tab),
    ] {
        assert_eq!(found(file), expected, "{file}");
        let sheet = read(&sheets().join(file)).unwrap();
        let form = Form::Text { encoding, delimiter };
        assert_eq!(sheet.tabs[0].form(), form, "{file}");
    }
}

#[test]
fn rows_of_a_text_file_have_the_numbers_that_a_spreadsheet_program_shows() {
    let places =
        |file| -> Vec<String> { found(file).iter().map(|line| format!("{} {}", line[1], line[4])).collect() };
    let shown = places("lines.xlsx");
    assert_eq!(places("lines.csv"), shown);
    assert_eq!(shown.last().unwrap(), "C10 y");
}

#[test]
fn hidden_tabs_are_read_and_marked() {
    for file in
        ["openpyxl.xlsx", "office.xlsx", "binary.xlsb", "xlwt.xls", "office.xls", "odfpy.ods", "office.ods"]
    {
        let sheet = read(&sheets().join(file)).unwrap();
        let tabs: Vec<_> =
            sheet.tabs.iter().map(|tab| (tab.name(), tab.visibility(), tab.form(), tab.last_row())).collect();
        assert_eq!(
            tabs,
            [
                ("Wheels", Visibility::Shown, Form::Workbook, 8),
                ("Old list", Visibility::Hidden, Form::Workbook, 2),
            ],
            "{file}"
        );
    }
}

#[test]
fn the_kind_of_file_follows_from_its_bytes_not_its_name() {
    for file in ["office.xlsx", "office.xls", "office.ods", "binary.xlsb", "plain.csv"] {
        let bytes = std::fs::read(sheets().join(file)).unwrap();
        let misnamed = rimsieve::sheet::read_bytes("wheels.csv", bytes).unwrap();
        let named = read(&sheets().join(file)).unwrap();
        assert_eq!(misnamed.tabs[0].form(), named.tabs[0].form(), "{file}");
        assert_eq!(misnamed.tabs[0].last_row(), 8, "{file}");
    }
}

#[test]
fn a_workbook_cut_short_gives_an_error_and_never_fewer_cells() {
    for file in ["office.xlsx", "office.xls", "office.ods", "binary.xlsb", "xlwt.xls"] {
        let whole = std::fs::read(sheets().join(file)).unwrap();
        let cells = found(file).len();
        for percent in [10, 50, 75, 90, 95, 99] {
            let cut = whole[..whole.len() * percent / 100].to_vec();
            match rimsieve::sheet::read_bytes(file, cut) {
                Err(SheetError::Damaged { .. }) => {}
                Err(other) => panic!("{file} at {percent} %: {other:?}"),
                Ok(sheet) => {
                    let left: usize = sheet
                        .tabs
                        .iter()
                        .flat_map(rimsieve::sheet::Tab::rows)
                        .map(|row| row.cells().len())
                        .sum();
                    assert_eq!(left, cells, "{file} at {percent} %");
                }
            }
        }
    }
}

#[test]
fn odd_cells_come_out_in_order_and_as_people_see_them() {
    // 84.100000000000009 is how a workbook stores the double next above 84.1; it is not 84.1.
    let expected = [
        "A2 Flag Typed TRUE",
        "B2 Flag Formula FALSE",
        "C2 Text Typed 6x130",
        "D2 Text Formula ET38",
        "A3 Error Typed #CALC!",
        "B3 Error Formula #SPILL!",
        "C3 Error Typed #REF!",
        "A4 Date Typed 2026-12-06",
        "B4 Date Typed 36:00:00",
        "C4 Date Typed 2026-12-06T18:00:00",
        "D4 Date Typed -12",
        "E4 Date Typed 2026-12-06",
        "F4 Number Typed 0.0000001",
        "G4 Number Typed 84.10000000000001",
        "H4 Number Typed 1000000000000000000000",
        "XFD1048576 Number Typed 1",
    ];
    let lines: Vec<_> = found("odd.xlsx").iter().map(|line| line[1..].join(" ")).collect();
    assert_eq!(lines, expected);
}

#[test]
fn a_cell_given_twice_is_damage_named_by_its_address() {
    match read(&sheets().join("twice.xlsx")) {
        Err(SheetError::Damaged { source: Damage::CellTwice { tab, at }, .. }) => {
            assert_eq!((tab.as_str(), at), ("Odd", "C4".parse().unwrap()));
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_tab_that_is_a_chart_is_kept_without_cells() {
    let sheet = read(&sheets().join("chart.xlsx")).unwrap();
    let tabs: Vec<_> = sheet.tabs.iter().map(|tab| (tab.name(), tab.last_row())).collect();
    assert_eq!(tabs, [("Wheels", 2), ("Sales", 0)]);
}

#[test]
fn a_workbook_with_a_password_says_so_and_what_to_do() {
    let locked = read(&sheets().join("locked.ods")).unwrap_err();
    assert!(matches!(locked, SheetError::Encrypted { .. }), "{locked:?}");
    assert_eq!(locked.to_string(), "`locked.ods` is locked with a password");
    assert!(locked.help().is_some());
}

#[test]
fn a_missing_file_and_a_folder_are_named_for_what_they_are() {
    let missing = read(&sheets().join("nothing.xlsx"));
    assert!(matches!(missing, Err(SheetError::NotFound { .. })));
    let folder = read(sheets());
    assert!(matches!(folder, Err(SheetError::NotASheet { why: NotASheet::Folder, .. })));
}
