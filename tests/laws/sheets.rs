//! Whole sheets through the library: neither the order of rows nor the number of threads matters.

use std::cell::Cell;

use proptest::prelude::{Just, Strategy};
use proptest::prop_assert_eq;
use rayon::ThreadPool;
use rimsieve::document::literal;
use rimsieve::facts::{PartKind, Value};
use rimsieve::intake::take_in;
use rimsieve::judge::{Judgement, judge};
use rimsieve::plan::Styling;
use rimsieve::report;
use rimsieve::sheet::{Sheet, read_bytes};

use crate::parts::{sample_vans, shipped};
use crate::tape::{Tape, demand_share, tapes, try_law};

/// A column: its heading, and spellings of cells; the first ones are plain and suit some van.
type Columns = &'static [(&'static str, &'static [&'static str])];

const WHEELS: Columns = &[
    ("Supplier", &["Northfell", "Skarnwell Forge", ""]),
    ("Style", &["Yarrowmoot", "", "K7"]),
    (
        "Wheel Size",
        &["17x8", "16x6.5", "6J x 16 H2", "17 x 8.5", "16x5.5", "", "n/a", "18x9", "1O x 7", "15x7"],
    ),
    (
        "Bolt Pattern",
        &[
            "6x130",
            "6x205",
            "6x5.118\"",
            "6x139.7 / 6x130",
            "6-130",
            "5x120.65",
            "",
            "see drawing",
            "6x13",
            "Jun 05",
        ],
    ),
    ("Offset (mm)", &["45", "+60", "ET115", "-12", "38", "", "?", "45 mm", "1,5", "62"]),
    ("Center Bore", &["84.1", "161.1 mm", "106.1", "3.311\"", "84.3", "", "-", "841", "78.1", "66.6"]),
    ("Load Rating (lb)", &["2,756", "2866", "1300 kg", "2205", "", "tbd", "3,197 lb", "28", "2756"]),
    ("Lug Seat", &["Ball R14", "Conical 60°", "flat", "cone", "ball", "", "acorn?", "mag", "Kugelbund R14"]),
    ("Bolt Hole (mm)", &["15", "14.3", "", "14", "fourteen"]),
    ("Backspacing (in)", &["", "", "6.1", "4.75", "x"]),
    ("Beadlock", &["no", "", "yes", "maybe"]),
    ("Marking", &["SAE J2530", "JWL", "", "JWL-T, VIA", "UN R124"]),
    ("MSRP", &["189.00", "", "$ 210", "ask"]),
];

const TIRES: Columns = &[
    ("Supplier", &["Ombrick Rubber", "Northfell", ""]),
    ("Tread", &["Kerbule Van", "", "All Terrain"]),
    (
        "Tire Size",
        &[
            "235/65R16C 121/119R",
            "LT245/75R16",
            "235/65R16C",
            "225/75 r16c",
            "7.50R16LT",
            "35x12.50R17LT",
            "",
            "265/70R17",
            "205/75R16C 113/111R",
            "round",
        ],
    ),
    ("Service Desc.", &["", "121/119R", "115/113T", "120/116 S", "??", "107", "121/118N"]),
    ("Load Range", &["", "E", "C", "10PR", "D1"]),
    ("Max Load Single (lb)", &["", "3197", "2,679", "1450 kg", "heavy", "2150"]),
    ("Max Load Dual (lb)", &["", "2998", "2,403 lb", "none", "1900"]),
    ("O.D. (in)", &["", "28.0", "28.11", "31.7", "712 mm", "round"]),
    ("Section (in)", &["", "9.3", "10.71", "wide"]),
    ("Rim", &["", "16", "17", "sixteen"]),
    ("3PMSF", &["", "Yes", "No", "maybe"]),
    ("DOT", &["", "3524", "1924", "5424", "n/a"]),
    ("Max PSI", &["", "80", "69", "lots"]),
];

fn columns(kind: PartKind) -> Columns {
    match kind {
        PartKind::Wheel => WHEELS,
        PartKind::Tire => TIRES,
    }
}

/// Rows of cells, each with a number of its own.
fn any_rows(tape: &mut Tape, kind: PartKind, most: usize) -> Vec<Vec<&'static str>> {
    let rows = 1 + tape.pick(most);
    let mut row = |_| {
        let good = tape.pick(3) == 0;
        let cell = |(_, spellings): &(&str, &[&'static str])| {
            let choices = if good && !tape.in_hundred(15) { 2 } else { spellings.len() };
            spellings[tape.pick(choices.min(spellings.len()))]
        };
        columns(kind).iter().map(cell).collect()
    };
    (0..rows).map(&mut row).collect()
}

fn csv_of(kind: PartKind, rows: &[(usize, Vec<&str>)]) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let headings = columns(kind).iter().map(|(heading, _)| *heading);
    writer.write_record(std::iter::once("Part Number").chain(headings)).expect("memory takes it");
    for (number, cells) in rows {
        let sku = format!("NF-{number:03}");
        writer
            .write_record(std::iter::once(sku.as_str()).chain(cells.iter().copied()))
            .expect("memory takes it");
    }
    writer.into_inner().expect("memory takes it")
}

fn sheets_of(csv: Vec<u8>) -> Vec<Sheet> {
    vec![read_bytes("made.csv", csv).expect("a sheet")]
}

/// All of the library but the command line, with every pack and a date.
fn judged(sheets: &[Sheet]) -> Judgement<'_> {
    let catalog = take_in(sheets, &[]).expect("it has headings");
    let as_of: Value = literal::read(rimsieve::facts::Field::RunAsOf.kind(), "2026-11-25").expect("a date");
    judge(catalog, shipped(), sample_vans(), vec!["winter".to_owned()], Some(as_of))
}

fn lines(judgement: &Judgement<'_>) -> Vec<u8> {
    let mut out = Vec::new();
    report::machine::write_lines(judgement, None, &mut out).expect("memory takes it");
    out
}

/// Each record without its row; of the addresses of cells the column stays.
fn records_without_rows(lines: &[u8]) -> Vec<String> {
    fn forget(value: &mut serde_json::Value) {
        match value {
            serde_json::Value::Object(fields) => {
                fields.remove("row");
                for (key, value) in fields.iter_mut() {
                    match value {
                        serde_json::Value::String(cell) if key == "cell" => {
                            *cell = cell.trim_end_matches(|letter: char| letter.is_ascii_digit()).to_owned();
                        }
                        other => forget(other),
                    }
                }
            }
            serde_json::Value::Array(items) => items.iter_mut().for_each(forget),
            _ => {}
        }
    }
    let mut records: Vec<String> = serde_json::Deserializer::from_slice(lines)
        .into_iter::<serde_json::Value>()
        .map(|record| {
            let mut record = record.expect("a record is JSON");
            forget(&mut record);
            record.to_string()
        })
        .collect();
    records.sort();
    records
}

#[test]
fn the_order_of_rows_does_not_change_any_verdict() {
    let (rows, parts, fitting) = (Cell::new(0), Cell::new(0), Cell::new(0));
    let shuffled = tapes(220).prop_flat_map(|mut tape| {
        let kind = tape.one_of(&PartKind::ALL);
        let rows: Vec<_> = any_rows(&mut tape, kind, 10).into_iter().enumerate().collect();
        (Just(kind), Just(rows.clone()), Just(rows).prop_shuffle())
    });
    try_law(100, &shuffled, |(kind, in_order, shuffled)| {
        let first = sheets_of(csv_of(kind, &in_order));
        let second = sheets_of(csv_of(kind, &shuffled));
        let (first, second) = (lines(&judged(&first)), lines(&judged(&second)));
        rows.set(rows.get() + u32::try_from(in_order.len()).expect("few"));
        let records = records_without_rows(&first);
        parts.set(parts.get() + u32::try_from(records.len()).expect("few") / 2);
        let fits = records.iter().filter(|record| record.contains("\"verdict\":\"fits")).count();
        fitting.set(fitting.get() + u32::try_from(fits).expect("few"));
        prop_assert_eq!(records, records_without_rows(&second));
        Ok(())
    });
    demand_share("rows that are parts", parts.get(), rows.get(), 90);
    demand_share("parts that fit", fitting.get(), parts.get(), 2);
}

#[test]
fn the_number_of_threads_does_not_change_a_byte() {
    let pools: Vec<ThreadPool> = [1, 2, 7]
        .map(|threads| rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads"))
        .into();
    try_law(25, &tapes(900), |mut tape| {
        let kind = tape.one_of(&PartKind::ALL);
        let rows: Vec<_> = any_rows(&mut tape, kind, 60).into_iter().enumerate().collect();
        let csv = csv_of(kind, &rows);
        let run = || {
            let sheets = sheets_of(csv.clone());
            let judgement = judged(&sheets);
            let [mut document, mut list, mut page] = [const { Vec::new() }; 3];
            report::machine::write_document(&judgement, None, &mut document).expect("memory takes it");
            report::list::write(&judgement, &mut list).expect("memory takes it");
            report::people::write(&judgement, None, Styling::Plain, &mut page).expect("memory takes it");
            [lines(&judgement), document, list, page].map(|bytes| String::from_utf8(bytes).expect("text"))
        };
        let mut outputs = pools.iter().map(|pool| pool.install(run));
        let alone = outputs.next().expect("there are three pools");
        assert!(alone.iter().all(|output| !output.is_empty()), "nothing was written");
        for several in outputs {
            prop_assert_eq!(&several, &alone);
        }
        Ok(())
    });
}
