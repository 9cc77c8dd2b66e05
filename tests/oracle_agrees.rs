//! Verdicts on the samples against those of `tests/oracle/oracle.py`.
//!
//! The oracle is written in another language, shares no code with rimsieve and reads the truth table
//! that the samples were made from instead of the untidy sheets. Its answers stand in
//! `tests/oracle/expected_*.csv`.

#![expect(clippy::panic, clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// Whether rows of the oracle are found by their place in the sheet or, where two sheets hold the
/// same parts, by their number alone.
#[derive(Clone, Copy, PartialEq)]
enum Keys {
    Place,
    Number,
}

/// What one side says of a part and a van.
#[derive(Clone, Debug, PartialEq)]
struct Said {
    verdict: String,
    failing: BTreeSet<String>,
    unknown: BTreeSet<String>,
    work: Vec<String>,
}

type Answers = BTreeMap<String, Said>;

fn key(parts: &[&str], place: &[&str], keys: Keys) -> String {
    let place = if keys == Keys::Place { place } else { &[] };
    parts.iter().chain(place).copied().collect::<Vec<_>>().join(" | ")
}

fn names(text: &str) -> impl Iterator<Item = String> {
    text.split('+').filter(|name| !name.is_empty()).map(str::to_owned)
}

fn oracle(file: &str, keys: Keys) -> Answers {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle").join(file);
    let mut reader = csv::Reader::from_path(&path).unwrap();
    let mut answers = Answers::new();
    for record in reader.records() {
        let record = record.unwrap();
        let [van, kind, supplier, sku, verdict, failing, unknown, work, checks, sheet, tab, row] =
            std::array::from_fn(|place| &record[place]);
        // A unit not stated and a date for a text are readings of a cell: the rule that lacks the
        // fact is listed. All other checks are contradictions and stand under their own name.
        let readings = ["unit-not-stated", "date-for-text"];
        let contradictions = names(checks).filter(|check| !readings.contains(&check.as_str()));
        let said = Said {
            verdict: verdict.to_owned(),
            failing: names(failing).collect(),
            unknown: names(unknown).chain(contradictions).collect(),
            work: names(work).collect(),
        };
        let twice = answers.insert(key(&[van, kind, supplier, sku], &[sheet, tab, row], keys), said);
        assert!(twice.is_none(), "{file}: {van} {sku} twice");
    }
    answers
}

fn rimsieve(arguments: &[&str], keys: Keys) -> Answers {
    let output = Command::new(env!("CARGO_BIN_EXE_rimsieve"))
        .args(arguments)
        .args(["--van", "samples/vans", "--format", "jsonl", "--quiet"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let mut answers = Answers::new();
    for line in String::from_utf8(output.stdout).unwrap().lines() {
        let row: Value = serde_json::from_str(line).unwrap();
        let text = |value: &Value| value.as_str().unwrap_or_else(|| panic!("{line}")).to_owned();
        let each = |list: &str, name: &str| -> Vec<String> {
            row[list].as_array().unwrap().iter().map(|entry| text(&entry[name])).collect()
        };
        let part = &row["part"];
        let said = Said {
            verdict: text(&row["verdict"]),
            failing: each("reasons", "rule").into_iter().collect(),
            unknown: each("missing", "rule").into_iter().collect(),
            work: each("work", "name"),
        };
        let [van, kind, supplier, sku] =
            [&row["van"], &part["kind"], &part["supplier"], &part["sku"]].map(text);
        let (sheet, tab, row_number) = (text(&part["sheet"]), text(&part["tab"]), part["row"].to_string());
        let key = key(&[&van, &kind, &supplier, &sku], &[&sheet, &tab, &row_number], keys);
        let twice = answers.insert(key.clone(), said);
        assert!(twice.is_none(), "{key} twice");
    }
    answers
}

/// How many answers were compared, of each verdict; all differences are reported at once.
fn compare(expected: &Answers, found: &Answers) -> BTreeMap<String, usize> {
    let mut wrong = String::new();
    let mut counts = BTreeMap::new();
    for key in expected.keys().chain(found.keys()).collect::<BTreeSet<_>>() {
        match (expected.get(key), found.get(key)) {
            (Some(expected), Some(found)) if expected == found => {
                *counts.entry(found.verdict.clone()).or_default() += 1;
            }
            (expected, found) => {
                let _ = writeln!(wrong, "{key}\n  oracle   {expected:?}\n  rimsieve {found:?}");
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    counts
}

fn counts(counts: &[(&str, usize)]) -> BTreeMap<String, usize> {
    counts.iter().map(|(verdict, count)| ((*verdict).to_owned(), *count)).collect()
}

#[test]
fn verdicts_reasons_gaps_and_work_on_the_samples_are_those_of_the_oracle() {
    let expected = oracle("expected_verdicts.csv", Keys::Place);
    let found = rimsieve(&["vet", "samples/sheets"], Keys::Place);
    assert_eq!(
        compare(&expected, &found),
        counts(&[("fits", 46), ("fits-with-work", 47), ("rejected", 167), ("unproven", 50)])
    );
}

#[test]
fn so_they_are_with_the_pack_for_winter() {
    let expected = oracle("expected_winter.csv", Keys::Place);
    let found = rimsieve(&["vet", "samples/sheets", "--pack", "winter"], Keys::Place);
    assert_eq!(
        compare(&expected, &found),
        counts(&[("fits", 28), ("fits-with-work", 24), ("rejected", 169), ("unproven", 89)])
    );
}

#[test]
fn fifty_parts_in_inches_and_in_german_give_the_verdicts_of_the_oracle() {
    let expected = oracle("expected_twins.csv", Keys::Number);
    let inches =
        rimsieve(&["vet", "samples/twins/us-wheels.csv", "samples/twins/us-tires.csv"], Keys::Number);
    let german = rimsieve(&["vet", "samples/twins/german.xlsx"], Keys::Number);
    assert_eq!(
        compare(&expected, &inches),
        counts(&[("fits", 18), ("fits-with-work", 17), ("rejected", 55), ("unproven", 10)])
    );
    assert_eq!(
        compare(&expected, &german),
        counts(&[("fits", 18), ("fits-with-work", 17), ("rejected", 55), ("unproven", 10)])
    );
    assert_eq!(inches, german);
}
