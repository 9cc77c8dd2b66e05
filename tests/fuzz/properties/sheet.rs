//! What must hold for the bytes of any text file, from its cells to the catalog.

use rimsieve::facts::catalog::{Catalog, Weight};
use rimsieve::facts::{Fact, From, State, Value};
use rimsieve::intake::take_in;
use rimsieve::sheet::{Sheet, Tab, read_bytes};

/// The first bytes of workbooks, which are another reader's.
const WORKBOOKS: [&[u8]; 2] = [b"PK", b"\xD0\xCF\x11\xE0"];

/// That a file is refused with a sentence or read whole: its cells written out again are the same cells, every
/// row is a part, reported or furniture, and every fact is that of its cell.
pub(crate) fn holds(bytes: &[u8]) {
    if WORKBOOKS.iter().any(|start| bytes.starts_with(start)) {
        return;
    }
    let sheet = match read_bytes("any.csv", bytes.to_vec()) {
        Ok(sheet) => sheet,
        Err(why) => return assert!(!why.to_string().is_empty(), "{why:?}"),
    };
    assert_eq!(sheet.tabs.len(), 1, "a text file is one tab");
    for tab in &sheet.tabs {
        assert_eq!(cells(tab), cells_written_again(tab));
    }
    let sheets = [sheet];
    match take_in(&sheets, &[]) {
        Ok(catalog) => accounts(&catalog, &sheets),
        Err(why) => assert!(!why.to_string().is_empty(), "{why:?}"),
    }
}

/// Every cell as (row, column, text).
fn cells(tab: &Tab) -> Vec<(u32, usize, String)> {
    let row = |row: rimsieve::sheet::Row<'_>| {
        row.cells().map(|cell| (row.number(), cell.column.index(), cell.text.to_owned())).collect::<Vec<_>>()
    };
    tab.rows().flat_map(row).collect()
}

/// The cells of a tab that was written as plain text and read again.
fn cells_written_again(tab: &Tab) -> Vec<(u32, usize, String)> {
    let mut text = String::from("\u{feff}");
    for number in 1..=tab.last_row() {
        if let Some(row) = tab.row(number) {
            let mut column = 0;
            for cell in row.cells() {
                text.push_str(&",".repeat(cell.column.index() - column));
                column = cell.column.index();
                text.push_str(&format!("\"{}\"", cell.text.replace('"', "\"\"")));
            }
            // Lest one column alone leave the delimiter open.
            text.push(',');
        }
        text.push('\n');
    }
    read_bytes("again.csv", text.into_bytes())
        .map_or_else(|_| Vec::new(), |sheet| sheet.tabs.iter().flat_map(cells).collect())
}

fn accounts(catalog: &Catalog<'_>, sheets: &[Sheet]) {
    let (Some(account), Some(tab)) =
        (catalog.sheets.first(), sheets.iter().find_map(|sheet| sheet.tabs.first()))
    else {
        panic!("a sheet without an account");
    };
    assert_eq!(account.rows, account.parts + account.reported + account.furniture, "{account:?}");
    assert_eq!(account.rows, tab.last_row(), "{account:?}");
    assert_eq!(account.parts as usize, catalog.parts.len(), "{account:?}");
    let faults = account.remarks.iter().filter(|remark| remark.weight == Weight::Fault && remark.row > 0);
    let mut remarked: Vec<u32> = faults.map(|remark| remark.row).collect();
    remarked.sort_unstable();
    remarked.dedup();
    let parts: Vec<u32> = catalog.parts.iter().map(|part| part.row).collect();
    assert!(parts.is_sorted_by(|one, next| one < next), "{parts:?}");
    let unremarked = remarked.iter().filter(|row| !parts.contains(row)).count();
    assert!(unremarked >= account.reported as usize, "{account:?}");
    for part in &catalog.parts {
        let spec = &catalog.specs[part.spec];
        assert_eq!(spec.kind(), part.kind);
        for (_, fact) in spec.iter() {
            fact_holds(fact, tab, part.row);
        }
    }
}

fn fact_holds(fact: &Fact, tab: &Tab, row: u32) {
    match &fact.state {
        State::Known(Value::Number(number)) => {
            assert!(number.is_finite() && number.fract() == 0.0, "{fact:?}");
        }
        State::Known(Value::Window { from, to }) => assert!(from <= to, "{fact:?}"),
        State::Known(_) => {}
        State::Missing => assert!(fact.text.is_empty(), "{fact:?}"),
        State::Unreadable(why) => assert!(!why.is_empty(), "{fact:?}"),
        State::Contradicted(why) => assert!(!why.says.is_empty(), "{fact:?}"),
    }
    // A fact's text is what the supplier wrote in its cell; a speed symbol behind an index is shown as a capital.
    if matches!(fact.from, From::Cell | From::Heading | From::Designation)
        && !fact.text.is_empty()
        && let Some(column) = fact.column
    {
        let cell = tab.row(row).and_then(|row| row.cell(column)).map_or("", |cell| cell.text);
        assert!(cell.to_lowercase().contains(&fact.text.to_lowercase()), "{fact:?} in row {row} of {cell:?}");
    }
}
