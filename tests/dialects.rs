//! One truth, written as fifteen suppliers would write it: `survey` names every column rightly, the verdicts
//! are the same, and a drafted profile changes nothing.
//!
//! The suppliers and parts are invented.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test's own helpers fail the test by panicking"
)]

#[cfg(test)]
#[path = "dialects/text.rs"]
mod text;
#[cfg(test)]
#[path = "dialects/workbooks.rs"]
mod workbooks;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use rimsieve::facts::{Fact, Field, From, Part};
use rimsieve::intake::profile::{self, Profile};
use rimsieve::intake::take_in;
use rimsieve::judge::VerdictKind;
use rimsieve::sheet::{self, Sheet};
use serde_json::Value;
use tempfile::TempDir;

/// One supplier's way to write the truth.
struct Dialect {
    file: String,
    bytes: Vec<u8>,
    /// For each column of wheels from the left, what it holds, its unit, and what it states besides.
    columns: Vec<String>,
}

impl Dialect {
    fn new(file: &str, bytes: Vec<u8>, columns: &str) -> Self {
        let columns = columns.split(", ").map(str::to_owned).collect();
        Self { file: file.to_owned(), bytes, columns }
    }
}

#[derive(Clone, Copy)]
enum Seat {
    Ball,
    Cone,
    Flat,
}

/// A wheel as it is: inches, holes, millimeters, kilograms.
struct Wheel {
    sku: &'static str,
    width: f64,
    diameter: u32,
    circle: f64,
    offset: Option<i32>,
    bore: f64,
    load: Option<f64>,
    seat: Option<Seat>,
}

const fn wheel(sku: &'static str, offset: Option<i32>, bore: f64, load: Option<f64>) -> Wheel {
    Wheel { sku, width: 6.5, diameter: 16, circle: 130.0, offset, bore, load, seat: Some(Seat::Ball) }
}

/// What is true, with what the single-rear sample van makes of it.
fn truth() -> Vec<(Wheel, VerdictKind)> {
    use VerdictKind::{Fits, FitsWithWork, Rejected, Unproven};
    vec![
        (wheel("NF-101", Some(60), 84.1, Some(1250.0)), Fits),
        (wheel("NF-102", Some(32), 84.1, Some(1450.0)), Fits),
        (wheel("NF-103", Some(63), 84.1, Some(1250.0)), Rejected),
        (wheel("NF-104", Some(-12), 84.1, Some(1250.0)), Rejected),
        (wheel("NF-105", Some(52), 106.1, Some(1250.0)), FitsWithWork),
        (wheel("NF-106", Some(52), 78.1, Some(1250.0)), Rejected),
        (wheel("NF-107", Some(52), 84.1, Some(1150.0)), Rejected),
        (wheel("NF-108", Some(52), 84.1, None), Unproven),
        (wheel("NF-109", None, 84.1, Some(1250.0)), Unproven),
        (Wheel { seat: Some(Seat::Cone), ..wheel("NF-110", Some(52), 84.1, Some(1250.0)) }, FitsWithWork),
        (Wheel { seat: Some(Seat::Flat), ..wheel("NF-111", Some(52), 84.1, Some(1250.0)) }, Rejected),
        (Wheel { seat: None, ..wheel("NF-112", Some(52), 84.1, Some(1250.0)) }, Unproven),
        (Wheel { circle: 139.7, ..wheel("NF-113", Some(52), 84.1, Some(1250.0)) }, Rejected),
        (Wheel { width: 7.5, diameter: 17, ..wheel("NF-114", Some(45), 84.1, Some(1300.0)) }, Fits),
    ]
}

fn dialects() -> Vec<Dialect> {
    let all: Vec<Dialect> = [text::dialects(), workbooks::dialects()].into_iter().flatten().collect();
    assert_eq!(all.len(), 15);
    all
}

/// What the program gives for these arguments.
fn done(arguments: &[&str]) -> String {
    let mut program = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
    let output = program.args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}\n{said}");
    String::from_utf8(output.stdout).unwrap()
}

/// A path as an argument.
fn named(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// Writes each dialect to a folder.
fn written(folder: &TempDir) -> Vec<(Dialect, PathBuf)> {
    let write = |dialect: Dialect| {
        let path = folder.path().join(&dialect.file);
        std::fs::write(&path, &dialect.bytes).unwrap();
        (dialect, path)
    };
    dialects().into_iter().map(write).collect()
}

/// A verdict for each line of `vet` on a sheet.
fn vetted(sheet: &Path, more: &[&str]) -> Vec<Value> {
    let lines = done(&[&["vet", named(sheet), "--van", "samples/vans", "--format", "jsonl"], more].concat());
    lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

#[test]
fn every_dialect_of_one_truth_gets_the_same_verdicts() {
    let truth = truth();
    let expected: Vec<(&str, &str)> =
        truth.iter().map(|(wheel, verdict)| (wheel.sku, verdict.name())).collect();
    let folder = TempDir::new().unwrap();
    for (dialect, path) in written(&folder) {
        let records = vetted(&path, &[]);
        let of_van = records.iter().filter(|record| record["van"] == "orlbeck-l4");
        let text = |value: &'_ Value| value.as_str().unwrap().to_owned();
        let got: Vec<(String, String)> =
            of_van.map(|record| (text(&record["part"]["sku"]), text(&record["verdict"]))).collect();
        let got: Vec<(&str, &str)> =
            got.iter().map(|(sku, verdict)| (sku.as_str(), verdict.as_str())).collect();
        assert_eq!(got, expected, "{}", dialect.file);
    }
}

/// A column as dialects tell it: what it holds, its unit, and the facts it states besides its own.
fn named_by(column: &Value) -> String {
    let holds = column["holds"].as_str().unwrap_or("?");
    let mut name = holds.to_owned();
    if let Some(unit) = column["unit"].as_str() {
        name += &format!(" in {unit}");
    }
    let facts: Vec<&str> =
        column["facts"].as_array().unwrap().iter().map(|fact| fact.as_str().unwrap()).collect();
    let own = facts_of(holds);
    assert!(facts.starts_with(own), "{column}");
    for more in &facts[own.len()..] {
        name += &format!(" + {more}");
    }
    name
}

/// The facts that a column of this meaning states.
fn facts_of(holds: &str) -> &'static [&'static str] {
    match holds {
        "sku" | "price" => &[],
        "size" => &["wheel.rim_diameter", "wheel.rim_width"],
        "rim_diameter" => &["wheel.rim_diameter"],
        "rim_width" => &["wheel.rim_width"],
        "bolt_pattern" | "bolt_circle" | "hole_count" => &["wheel.bolt_patterns"],
        "offset" => &["wheel.offset"],
        "backspacing" => &["wheel.backspacing"],
        "center_bore" => &["wheel.center_bore"],
        "load" => &["wheel.load_rating"],
        "seat" => &["wheel.seat"],
        other => panic!("no dialect has a column for {other}"),
    }
}

#[test]
fn survey_names_every_column_of_every_dialect() {
    let folder = TempDir::new().unwrap();
    for (dialect, path) in written(&folder) {
        let survey: Value =
            serde_json::from_str(&done(&["survey", named(&path), "--format", "json"])).unwrap();
        let tabs = survey["sheets"][0]["tabs"].as_array().unwrap();
        let mut parts = 0;
        for tab in tabs {
            let columns = tab["columns"].as_array().unwrap();
            let expected = if tab["heading_row"].is_null() { &[][..] } else { &dialect.columns };
            assert_eq!(columns.iter().map(named_by).collect::<Vec<_>>(), expected, "{}", dialect.file);
            parts += tab["parts"].as_u64().unwrap();
        }
        assert_eq!(parts, truth().len() as u64, "{}", dialect.file);
    }
}

/// Every fact of every part of a sheet, and where its unit or value was stated.
fn facts(sheet: &[Sheet], profiles: &[Profile]) -> Vec<(String, Fact)> {
    let catalog = take_in(sheet, profiles).unwrap();
    let of_part = |part: &Part<'_>| {
        let named = |(field, fact): (Field, &Arc<Fact>)| {
            (format!("row {} {} {}", part.row, part.sku, field.full_name()), Fact::clone(fact))
        };
        catalog.specs[part.spec].iter().map(named).collect::<Vec<_>>()
    };
    catalog.parts.iter().flat_map(of_part).collect()
}

#[test]
fn a_drafted_profile_read_back_changes_nothing_but_who_states_a_unit() {
    let folder = TempDir::new().unwrap();
    let mut sheets: Vec<PathBuf> = written(&folder).into_iter().map(|(_, path)| path).collect();
    for samples in ["samples/sheets", "samples/twins"] {
        let files = std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(samples)).unwrap();
        sheets.extend(files.map(|file| file.unwrap().path()));
    }
    assert_eq!(sheets.len(), 20);
    for path in sheets {
        let draft = folder.path().join("profile.toml");
        done(&["survey", named(&path), "--draft", named(&draft)]);
        assert_eq!(vetted(&path, &["--profile", named(&draft)]), vetted(&path, &[]), "{}", path.display());

        let sheet = [sheet::read(&path).unwrap()];
        let profiles = profile::read_all(&[&draft]).unwrap();
        let before = facts(&sheet, &[]);
        let after = facts(&sheet, &profiles);
        assert_eq!(after.len(), before.len(), "{}", path.display());
        for ((place, before), (_, after)) in before.into_iter().zip(after) {
            let from = if before.from == From::Heading { From::Profile } else { before.from.clone() };
            assert_eq!(after, Fact { from, ..before }, "{} {place}", path.display());
        }
    }
}
