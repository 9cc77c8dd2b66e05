//! Reads one file of the handbook into rows of named cells.

use std::collections::BTreeMap;
use std::fmt;
use std::path::Path;

/// One row; shows as its file, first cell and source, for failure messages.
pub(crate) struct Row {
    file: &'static str,
    first: String,
    cells: BTreeMap<String, String>,
}

impl Row {
    pub(crate) fn text(&self, column: &str) -> &str {
        self.cells.get(column).unwrap_or_else(|| panic!("{self}: no column {column}"))
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{self}: {column} is {text:?}, not a number"))
    }

    /// Whether the row was read in its source, rather than recalled or computed.
    pub(crate) fn is_seen(&self) -> bool {
        self.text("status") == "seen"
    }
}

impl fmt::Display for Row {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let source = self.cells.get("source").map_or("", String::as_str);
        write!(f, "{}: {} [source: {source}]", self.file, self.first)
    }
}

/// Every row of a file of `tests/handbook`.
pub(crate) fn read(file: &'static str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/handbook").join(file);
    let mut reader = csv::Reader::from_path(path).expect(file);
    let headings = reader.headers().expect(file).clone();
    reader
        .records()
        .map(|record| {
            let record = record.expect(file);
            let first = record[0].to_owned();
            let pairs = headings.iter().zip(&record).map(|(h, c)| (h.to_owned(), c.to_owned()));
            Row { file, first, cells: pairs.collect() }
        })
        .collect()
}
