//! Every kind of remark, from a sheet that earns it, at the cell it names; driven through the program.
//!
//! The parts are invented, and so are the slips, after those that suppliers make.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

use rimsieve::facts::{PartKind, RemarkKind};
use rimsieve::intake::answers::{ANSWER_HEADING, FORMAT, QuestionKey};
use rimsieve::rules::RuleSet;
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook, Worksheet, XlsxError};
use serde_json::Value;
use tempfile::TempDir;

/// What a sheet is made of.
#[derive(Clone, Copy)]
enum Made {
    /// Wheels as delimited text.
    Text(&'static str),
    /// A workbook: `WHEELS` on its first tab, and then what this does to it.
    Book(fn(&mut Workbook) -> Result<(), XlsxError>),
    /// The same, changed by a line of Python and saved by openpyxl.
    Openpyxl(&'static str),
    /// `WHEELS` as text, and an answer to a question about a fact of the wheel of a number.
    Answer { sku: &'static str, fact: &'static str, answer: &'static str },
}
use Made::{Answer, Book, Openpyxl, Text};

/// A remark that is expected: its kind, its cell, words of what it says, and the sheet it is made on.
struct Case(&'static str, &'static str, &'static [&'static str], Made);

/// Two wheels, of which the second leaves its load and its seat open.
const WHEELS: &str = "Supplier,SKU,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (kg),Seat\n\
                      Northfell,NF-1,16x6.5,6x130,52,84.1,1250,ball R14\n\
                      Northfell,NF-2,16x6.5,6x130,52,84.1,,\n";

fn first(book: &mut Workbook) -> Result<&mut Worksheet, XlsxError> {
    book.worksheet_from_index(0)
}

fn cases() -> Vec<Case> {
    [wheels(), tires(), books(), answers()].into_iter().flatten().collect()
}

fn wheels() -> Vec<Case> {
    vec![
        Case(
            "cone-angle-assumed",
            "E1",
            &["Seat", "2 cone seats without an angle", "60 degrees"],
            Text(
                "SKU,Size,Bolt Pattern,Offset (mm),Seat\nNF-1,16x6.5,6x130,52,cone\nNF-2,16x6.5,6x130,52,cone\n",
            ),
        ),
        Case(
            "date-for-text",
            "C2",
            &["Bolt Pattern", "`2012-06-05`", "a date stands here"],
            Text("SKU,Size,Bolt Pattern,Offset (mm)\nNF-1,16x6.5,2012-06-05,52\n"),
        ),
        Case(
            "heading-and-cells",
            "D1",
            &["`Fitment` is left alone", "bolt patterns"],
            Text(
                "SKU,Size,Offset (mm),Fitment\nNF-1,16x6.5,52,6x130\nNF-2,16x6.5,52,6x130\nNF-3,16x6.5,52,6x130\n",
            ),
        ),
        Case(
            "price-chosen",
            "E1",
            &["`MSRP` counts", "what a customer pays"],
            Text("SKU,Size,Bolt Pattern,Dealer Cost,MSRP\nNF-1,16x6.5,6x130,99,149\n"),
        ),
        Case(
            "unit-proven",
            "D1",
            &["Load Rating", "unit lb", "proven by"],
            Text(
                "SKU,Size,Bolt Pattern,Load Rating,Load kg\nNF-1,16x6.5,6x130,2756,1250\n\
                 NF-2,16x6.5,6x130,2646,1200\nNF-3,16x6.5,6x130,2866,1300\n",
            ),
        ),
        Case(
            "heading-not-known",
            "D1",
            &["`Quorl`", "left alone"],
            Text("SKU,Size,Bolt Pattern,Quorl\nNF-1,16x6.5,6x130,7\n"),
        ),
        Case(
            "number-by-size",
            "D1",
            &["Load Rating (kg)", "1 number with an unclear mark"],
            Text("SKU;Size;Bolt Pattern;Load Rating (kg)\nNF-1;16x6.5;6x130;1.450\n"),
        ),
        Case(
            "other-goods",
            "A3",
            &["`Lug Nuts`", "neither wheel nor tire"],
            Text("Category,SKU,Size,Bolt Pattern\nWheel,NF-1,16x6.5,6x130\nLug Nuts,NF-9,M14x1.5,\n"),
        ),
        Case(
            "row-not-understood",
            "A3",
            &["nothing in it names a size", "`NF-9`, `Gift card`"],
            Text("SKU,Style,Size,Bolt Pattern,Price\nNF-1,Kerbule,16x6.5,6x130,99\nNF-9,Gift card,,,50\n"),
        ),
        Case(
            "row-without-facts",
            "B3",
            &["a part number and nothing else"],
            Text("Supplier,SKU,Size,Bolt Pattern\nNorthfell,NF-1,16x6.5,6x130\n,NF-2,,\n"),
        ),
        Case(
            "second-table",
            "E1",
            &["a second table", "column E", "not read"],
            Text("SKU,Size,Bolt Pattern,,SKU,Size,LI,Speed\nNF-1,16x6.5,6x130,,NT-1,235/65R16C,121/119,R\n"),
        ),
        Case(
            "sku-not-stated",
            "A1",
            &["no column holds a part number"],
            Text("Style,Size,Bolt Pattern\nKerbule,16x6.5,6x130\n"),
        ),
        Case(
            "sku-not-stated",
            "B3",
            &["the row has no part number"],
            Text("Style,SKU,Size,Bolt Pattern\nKerbule,NF-1,16x6.5,6x130\nKerbule,,16x7,6x130\n"),
        ),
        Case(
            "sku-repeated",
            "C3",
            &["stands in list.csv row 2", "another bolt pattern"],
            Text("SKU,Size,Bolt Pattern\nNF-1,16x6.5,6x130\nNF-1,16x6.5,6x139.7\n"),
        ),
        Case(
            "sku-repeated",
            "A2",
            &["list.csv row 3", "prices differ: 90 and 99"],
            Text("SKU,Size,Bolt Pattern,Price\nNF-1,16x6.5,6x130,99\nNF-1,16x6.5,6x130,90\n"),
        ),
        Case(
            "stated-twice",
            "B2",
            &["rim width is stated twice", "7 in"],
            Text("SKU,Size,Rim Width (in),Bolt Pattern\nNF-1,16x6.5,7,6x130\n"),
        ),
        Case(
            "stated-twice",
            "D2",
            &["5 holes", "`6x130`"],
            Text("SKU,Size,Lugs,Bolt Pattern\nNF-1,16x6.5,5,6x130\n"),
        ),
        Case(
            "unit-by-size",
            "D1",
            &["Center Bore", "no unit on 1 figure", "read as mm"],
            Text("SKU,Size,Bolt Pattern,Center Bore\nNF-1,16x6.5,6x130,84.1\n"),
        ),
        Case(
            "unit-in-doubt",
            "A3",
            &["`loads below in lb`", "`Load (kg)`"],
            Text(
                "SKU,Size,Bolt Pattern,Load (kg)\nNF-1,16x6.5,6x130,1250\nloads below in lb,,,\nNF-2,16x6.5,6x130,2100\n",
            ),
        ),
        Case(
            "unit-not-stated",
            "D2",
            &["Load Rating", "`1250`", "unit not stated"],
            Text("SKU,Size,Bolt Pattern,Load Rating\nNF-1,16x6.5,6x130,1250\n"),
        ),
        Case(
            "unreadable",
            "C3",
            &["Bolt Pattern", "`6x13O`"],
            Text("SKU,Size,Bolt Pattern\nNF-1,16x6.5,6x130\nNF-2,16x6.5,6x13O\n"),
        ),
        Case(
            "offset-vs-backspacing",
            "E2",
            &["offset 52 mm", "6.5 in", "the sheet says 4.75 in"],
            Text("SKU,Size,Bolt Pattern,Offset (mm),Backspacing (in)\nNF-1,16x6.5,6x130,52,4.75\n"),
        ),
        Case(
            "value-out-of-range",
            "D2",
            &["center bore", "841 mm", "cannot be right"],
            Text("SKU,Size,Bolt Pattern,Center Bore (mm)\nNF-1,16x6.5,6x130,841\n"),
        ),
    ]
}

fn tires() -> Vec<Case> {
    vec![
        Case(
            "load-index-vs-load",
            "D2",
            &["975 kg", "1120 kg"],
            Text("SKU,Tire Size,Load Index,Max Load Single (kg)\nNT-1,235/65R16C,112,975\n"),
        ),
        Case(
            "diameter-vs-size",
            "C2",
            &["29.7 in", "LT265/70R17"],
            Text("SKU,Tire Size,Overall Diameter (in)\nNT-1,LT265/70R17,29.7\n"),
        ),
        Case(
            "rim-vs-size",
            "C2",
            &["17 in", "235/65R16C"],
            Text("SKU,Tire Size,Rim Diameter,Load Index\nNT-1,235/65R16C,17,121\n"),
        ),
        Case(
            "value-out-of-range",
            "C2",
            &["overall diameter", "cannot be right"],
            Text("SKU,Tire Size,Overall Diameter (mm)\nNT-1,235/65R16C,7120\n"),
        ),
    ]
}

/// What only a workbook can hold.
fn books() -> Vec<Case> {
    vec![
        Case(
            "date-for-text",
            "D2",
            &["Bolt Pattern", "a spreadsheet program", "`6-12`"],
            Book(|book| {
                let date = ExcelDateTime::from_ymd(2026, 6, 12)?;
                let shown = Format::new().set_num_format("d-mmm");
                first(book)?.write_datetime_with_format(1, 3, &date, &shown)?;
                Ok(())
            }),
        ),
        Case(
            "hidden",
            "A1",
            &["row 3 is hidden", "read all the same"],
            Book(|book| first(book)?.set_row_hidden(2).map(|_| ())),
        ),
        Case(
            "hidden",
            "A1",
            &["columns E to F are hidden", "read all the same"],
            Book(|book| first(book)?.set_column_hidden(4)?.set_column_hidden(5).map(|_| ())),
        ),
        Case(
            "tab-hidden",
            "A1",
            &["tab `Old list` is hidden", "read all the same"],
            Book(|book| {
                let old = book.add_worksheet().set_name("Old list")?.set_hidden(true);
                old.write(0, 0, "SKU")?.write(0, 1, "Size")?.write(0, 2, "Bolt Pattern")?;
                old.write(1, 0, "NF-8")?.write(1, 1, "16x6.5")?.write(1, 2, "6x130").map(|_| ())
            }),
        ),
        Case(
            "unit-not-stated",
            "G3",
            &["Load Rating", "`1250`", "unit not stated"],
            // The format of a number states its unit: the first row is clear, the second is not.
            Book(|book| {
                let kilograms = Format::new().set_num_format("0\" kg\"");
                let sheet = first(book)?.write(0, 6, "Load Rating")?;
                sheet.write_with_format(1, 6, 1250, &kilograms)?.write(2, 6, 1250).map(|_| ())
            }),
        ),
        Case(
            "unreadable",
            "F2",
            &["Center Bore (mm)", "the spreadsheet shows an error"],
            Book(|book| {
                first(book)?.write_formula(1, 5, Formula::new("=1/0").set_result("#DIV/0!")).map(|_| ())
            }),
        ),
        Case(
            "unreadable",
            "G2",
            &["Load Rating (kg)", "a formula whose result was never stored"],
            // Programs that write workbooks but do not calculate leave the result out.
            Openpyxl("sheet['G2'] = '=5*250'"),
        ),
    ]
}

fn answers() -> Vec<Case> {
    let load = "wheel.load_rating";
    vec![
        Case(
            "answer-not-used",
            "B2",
            &["load rating of NF-1", "`1250`", "`900 kg`"],
            Answer { sku: "NF-1", fact: load, answer: "900 kg" },
        ),
        Case(
            "answer-unreadable",
            "B2",
            &["load rating of NF-2", "unit not stated"],
            Answer { sku: "NF-2", fact: load, answer: "1250" },
        ),
        Case(
            "answer-without-part",
            "B2",
            &["no part", "`NF-9`"],
            Answer { sku: "NF-9", fact: load, answer: "1250 kg" },
        ),
        Case(
            "answer-without-question",
            "B2",
            &["no longer tells what this answers"],
            Answer { sku: "NF-2", fact: "wheel.paint", answer: "red" },
        ),
        Case(
            "cone-angle-assumed",
            "B2",
            &["cone seat of NF-2", "60 degrees"],
            Answer { sku: "NF-2", fact: "wheel.seat", answer: "cone" },
        ),
    ]
}

/// Writes `WHEELS` as a person would type it: figures as numbers.
fn wheels_typed(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    for (row, line) in (0..).zip(WHEELS.lines()) {
        for (column, text) in (0..).zip(line.split(',')).filter(|(_, text)| !text.is_empty()) {
            match text.parse::<f64>() {
                Ok(number) => sheet.write(row, column, number)?,
                Err(_) => sheet.write(row, column, text)?,
            };
        }
    }
    Ok(())
}

/// Writes the files of a case and gives the arguments that name them; the remark is on the last.
fn written(made: Made, folder: &Path) -> Vec<PathBuf> {
    let [text, book, answers] = ["list.csv", "list.xlsx", "filled.xlsx"].map(|name| folder.join(name));
    match made {
        Text(content) => {
            std::fs::write(&text, content).unwrap();
            vec![text]
        }
        Book(change) => {
            let mut workbook = Workbook::new();
            wheels_typed(workbook.add_worksheet()).unwrap();
            change(&mut workbook).unwrap();
            workbook.save(&book).unwrap();
            vec![book]
        }
        Openpyxl(change) => {
            let paths = written(Book(|_| Ok(())), folder);
            let open =
                "import openpyxl, sys; book = openpyxl.load_workbook(sys.argv[1]); sheet = book.active";
            let script = format!("{open}; {change}; book.save(sys.argv[1])");
            let done = Command::new("python3").arg("-c").arg(script).args(&paths).output();
            assert!(done.is_ok_and(|done| done.status.success()), "set-up step: `pip install openpyxl`");
            paths
        }
        Answer { sku, fact, answer } => {
            std::fs::write(&text, WHEELS).unwrap();
            let row = WHEELS.lines().position(|line| line.contains(sku)).map_or(9, |at| at + 1);
            let key = QuestionKey {
                fact: fact.to_owned(),
                sheet: "list.csv".to_owned(),
                tab: String::new(),
                row: u32::try_from(row).unwrap(),
                supplier: "Northfell".to_owned(),
                sku: sku.to_owned(),
            };
            let mut workbook = Workbook::new();
            let sheet = workbook.add_worksheet();
            sheet.write(0, 0, FORMAT).unwrap().write(0, 1, ANSWER_HEADING).unwrap();
            sheet.write(1, 0, serde_json::to_string(&key).unwrap()).unwrap().write(1, 1, answer).unwrap();
            workbook.save(&answers).unwrap();
            vec![text, PathBuf::from("--answers"), answers]
        }
    }
}

/// The remarks that the program makes on the last file of a case: kind, cell, words.
fn remarks(made: Made) -> Vec<[String; 3]> {
    let folder = TempDir::new().unwrap();
    let mut program = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
    program.current_dir(env!("CARGO_MANIFEST_DIR")).arg("vet").args(written(made, folder.path()));
    let output =
        program.args(["--van", "samples/vans/orlbeck-l4.toml", "--format", "json"]).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let document: Value = serde_json::from_slice(&output.stdout).unwrap();
    let account = document["sheets"].as_array().unwrap().last().unwrap();
    let remarks = account["remarks"].as_array().unwrap().iter();
    remarks
        .map(|remark| ["kind", "cell", "says"].map(|key| remark[key].as_str().unwrap().to_owned()))
        .collect()
}

#[test]
fn every_remark_names_its_cell_and_says_what_is_the_matter() {
    for Case(kind, cell, words, made) in cases() {
        let found = remarks(made);
        let of_kind: Vec<&[String; 3]> = found.iter().filter(|remark| remark[0] == kind).collect();
        let told =
            of_kind.iter().any(|[_, at, says]| at == cell && words.iter().all(|part| says.contains(part)));
        assert!(told, "{kind} at {cell} with {words:?}, not among {found:#?}");
    }
}

#[test]
fn a_sheet_in_order_earns_no_remark() {
    let found = remarks(Text(WHEELS));
    assert!(found.is_empty(), "{found:#?}");
    let found = remarks(Book(|_| Ok(())));
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn every_kind_there_is_has_a_case_and_every_case_a_kind() {
    let rules = RuleSet::shipped().unwrap();
    let checks = PartKind::ALL.into_iter().flat_map(|kind| rules.sense_checks(kind)).map(|rule| &*rule.name);
    let kinds: BTreeSet<&str> = RemarkKind::OWN.iter().map(RemarkKind::name).chain(checks).collect();
    let covered: BTreeSet<&str> = cases().iter().map(|case| case.0).collect();
    assert_eq!(covered, kinds);
}

#[test]
fn kinds_are_told_apart_by_name() {
    let names: Vec<&str> = RemarkKind::OWN.iter().map(RemarkKind::name).collect();
    assert!(names.is_sorted_by(|one, next| one < next), "{names:?}");
}
