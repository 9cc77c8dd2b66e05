//! Packages against those of `tests/oracle/packages.py`: verdicts, work, figures, pressures, money and
//! order.
//!
//! The oracle is written in another language with another library's units, shares no code with
//! rimsieve, and tries every set of works. Its answers stand in `tests/oracle/expected_packages*.csv`.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;

/// What both sides say of a package, column by column.
type Said = BTreeMap<String, String>;

/// Figures are printed by the oracle to a thousandth and by rimsieve to a ten-thousandth, pressures by
/// rimsieve to a tenth of a kilopascal.
const FIGURES: [(&str, &str, f64); 15] = [
    ("section_on_rim_mm", "section_on_rim", 0.001),
    ("overall_diameter_mm", "overall_diameter", 0.001),
    ("outboard_reach_mm", "outboard_reach", 0.001),
    ("inboard_reach_mm", "inboard_reach", 0.001),
    ("outboard_change_mm", "outboard_change", 0.001),
    ("inboard_change_mm", "inboard_change", 0.001),
    ("track_change_mm", "track_change", 0.001),
    ("ride_height_change_mm", "ride_height_change", 0.001),
    ("road_speed_error_percent", "road_speed_error", 0.001),
    ("capacity_front_kg", "capacity_front", 0.001),
    ("capacity_rear_kg", "capacity_rear", 0.001),
    ("pressure_front_kpa", "pressure_front", 0.051),
    ("cautious_front_kpa", "cautious_front", 0.051),
    ("pressure_rear_kpa", "pressure_rear", 0.051),
    ("cautious_rear_kpa", "cautious_rear", 0.051),
];

/// Cautions that the oracle knows by another name than the shipped rule's.
const RENAMED: [(&str, &str); 5] = [
    ("ride-height", "rides-higher"),
    ("speed-reading", "dial-reads-low"),
    ("passenger-pressure", "no-pressure-table"),
    ("spare-margin", "diameter-margin"),
    ("cautious-pressure", "pressure-ceiling"),
];

/// Rules that say nothing where a figure is not known, which the oracle tells as not stated: that the
/// figure is missing is told by the rule that demands it.
const SILENT: [&str; 6] =
    ["track-wider", "ride-height", "speed-reading", "valve-pressure", "load-reserve", "diameter-margin"];

fn caution(name: &str) -> String {
    RENAMED.iter().find(|(one, _)| *one == name).map_or(name, |(_, other)| other).to_owned()
}

fn set(names: impl IntoIterator<Item = String>) -> String {
    let names: BTreeSet<String> = names.into_iter().filter(|name| !name.is_empty()).collect();
    names.into_iter().collect::<Vec<_>>().join("; ")
}

fn oracle(file: &str, van: &str) -> Vec<Said> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle").join(file);
    let mut reader = csv::Reader::from_path(&path).unwrap();
    let rows = reader.deserialize::<BTreeMap<String, String>>().map(Result::unwrap);
    rows.filter(|row| row["van"] == van).collect()
}

fn rimsieve(arguments: &[&str]) -> Vec<Value> {
    let output = Command::new(env!("CARGO_BIN_EXE_rimsieve"))
        .arg("pair")
        .args(arguments)
        .args(["--best", "10000", "--format", "jsonl", "--quiet"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

/// Where a package stands in the sheets.
fn who(row: &Said) -> String {
    let of = |key: &str| row[key].as_str();
    format!("{} row {} with {} row {}", of("wheel"), of("wheel_row"), of("tire"), of("tire_row"))
}

/// One package as rimsieve tells it, in the oracle's columns.
fn told(package: &Value) -> Said {
    let each = |list: &str, name: &str| -> Vec<String> {
        package[list].as_array().unwrap().iter().map(|entry| text(&entry[name])).collect()
    };
    let of_rule = |list: &str| -> String {
        let entries = package[list].as_array().unwrap().iter();
        set(entries.map(|entry| format!("{}:{}", text(&entry["of"]), text(&entry["rule"]))))
    };
    let mut said = Said::new();
    let mut put = |key: &str, value: String| said.insert(key.to_owned(), value);
    for part in ["wheel", "tire"] {
        put(part, text(&package[part]["sku"]));
        put(&format!("{part}_row"), package[part]["row"].to_string());
    }
    put("verdict", text(&package["verdict"]));
    put("work", each("work", "name").join("; "));
    put("reasons", of_rule("reasons"));
    put("missing", of_rule("missing"));
    put("cautions", set(each("cautions", "rule").iter().map(|name| caution(name))));
    for (column, fact, _) in FIGURES {
        let figure = &package["facts"][fact]["value"];
        put(column, if figure.is_null() { String::new() } else { figure.to_string() });
    }
    put("set_price", text(&package["set_price"]));
    put("total", text(&package["total"]));
    let class = package["pressures"][0]["class"].as_str().unwrap_or_default();
    put("class", class.to_owned());
    let lines = package["shopping"].as_array().unwrap();
    let bought = lines.iter().filter(|line| !text(&line["item"]).starts_with("tire pressure sensor"));
    let line = |line: &Value| match (line["sku"].as_str(), line["each"].as_str()) {
        (Some(sku), Some(each)) => format!("{} x {sku} at {each} = {}", line["count"], text(&line["total"])),
        (Some(sku), None) => format!("{} x {sku}", line["count"]),
        (None, Some(each)) => format!("{} for {each}", text(&line["item"])),
        (None, None) => format!("{} x {}", line["count"], text(&line["item"])),
    };
    put("shopping", bought.map(line).collect::<Vec<_>>().join("; "));
    let sensors = lines.iter().find(|line| text(&line["item"]).starts_with("tire pressure sensor"));
    put("sensors", sensors.map_or_else(String::new, |line| line["count"].to_string()));
    said
}

/// The oracle's row in the same columns.
fn expected(mut row: Said) -> Said {
    let list = |row: &Said, key: &str| row[key].split("; ").map(str::to_owned).collect::<Vec<_>>();
    let open = list(&row, "not_stated").into_iter().filter(|name| !SILENT.contains(&name.as_str()));
    let cautions = list(&row, "cautions").into_iter().chain(open);
    let cautions = set(cautions.map(|name| caution(&name)));
    row.insert("cautions".to_owned(), cautions);
    for key in ["reasons", "missing"] {
        let rules = set(list(&row, key));
        row.insert(key.to_owned(), rules);
    }
    row
}

fn differences(expected: &Said, found: &Said) -> String {
    let mut told = String::new();
    for (key, value) in found {
        let other = &expected[key];
        let close = FIGURES.iter().find(|(column, ..)| column == key).is_some_and(|(_, _, within)| {
            match (value.parse::<f64>(), other.parse::<f64>()) {
                (Ok(one), Ok(other)) => (one - other).abs() <= *within,
                _ => false,
            }
        });
        if value != other && !close {
            let _ = writeln!(told, "    {key}: rimsieve `{value}`, oracle `{other}`");
        }
    }
    told
}

/// Compares every package and their order; gives how many there were and how many had a pressure.
fn compare(file: &str, van: &str, arguments: &[&str]) -> (usize, usize) {
    let expected: Vec<Said> = oracle(file, van).into_iter().map(expected).collect();
    let found: Vec<Said> = rimsieve(arguments).iter().map(told).collect();
    let mut wrong = String::new();
    let by_place: BTreeMap<String, &Said> = expected.iter().map(|row| (who(row), row)).collect();
    for row in &found {
        match by_place.get(&who(row)) {
            None => {
                let _ = writeln!(wrong, "{}: the oracle does not list it", who(row));
            }
            Some(other) => {
                let told = differences(other, row);
                if !told.is_empty() {
                    let _ = writeln!(wrong, "{}:\n{told}", who(row));
                }
            }
        }
    }
    let places: BTreeSet<String> = found.iter().map(who).collect();
    for row in expected.iter().filter(|row| !places.contains(&who(row))) {
        let _ = writeln!(wrong, "{}: only the oracle lists it", who(row));
    }
    assert!(wrong.is_empty(), "{van}\n{wrong}");
    let order = |rows: &[Said]| rows.iter().map(who).collect::<Vec<_>>();
    assert_eq!(order(&found), order(&expected), "{van}: another order");
    let worked = found.iter().filter(|row| !row["pressure_rear_kpa"].is_empty()).count();
    (found.len(), worked)
}

#[test]
fn packages_of_the_samples_are_the_oracles() {
    let mut counts = (0, 0);
    for van in ["orlbeck-l4", "wexholm-d46"] {
        let file = format!("samples/vans/{van}.toml");
        let (packages, worked) = compare("expected_packages.csv", van, &["samples/sheets", "--van", &file]);
        counts = (counts.0 + packages, counts.1 + worked);
    }
    assert_eq!(counts, (667, 596));
}

#[test]
fn packages_of_an_invented_catalog_are_the_oracles() {
    let mut counts = (0, 0);
    for van in ["garsdale-m3", "hollin-c2", "skelgate-t6", "wintle-p1"] {
        let file = format!("tests/oracle/packages/vans/{van}.toml");
        let arguments = ["tests/oracle/packages/sheets", "--van", &file, "--as-of", "2026-03-02"];
        let (packages, worked) = compare("expected_packages_invented.csv", van, &arguments);
        counts = (counts.0 + packages, counts.1 + worked);
    }
    assert_eq!(counts.0, 264);
    assert!(counts.1 > 100, "{counts:?}");
}

/// The figures of packages and their formulas, for the first packages of a van.
fn formulas(sheets: &str, van: &str, packages: usize) -> Vec<Value> {
    let listed = rimsieve(&[sheets, "--van", van]);
    let accounts = listed.iter().take(packages).map(|package| {
        let [wheel, tire] = ["wheel", "tire"].map(|part| text(&package[part]["sku"]));
        let output = Command::new(env!("CARGO_BIN_EXE_rimsieve"))
            .args(["why", &wheel, "--with", &tire, sheets, "--van", van, "--format", "json"])
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        serde_json::from_slice::<Value>(&output.stdout).unwrap()
    });
    let accounts: Vec<Value> = accounts.collect();
    let each = accounts.iter().flat_map(|account| match account {
        Value::Array(several) => several.clone(),
        one => vec![one.clone()],
    });
    each.flat_map(|account| account["steps"].as_array().unwrap().clone()).collect()
}

/// Every figure of a package follows from its formula, worked out again by `pint`.
#[test]
fn formulas_come_to_their_figures_in_another_library() {
    let mut steps = Vec::new();
    for van in ["garsdale-m3", "hollin-c2", "skelgate-t6", "wintle-p1"] {
        let van = format!("tests/oracle/packages/vans/{van}.toml");
        steps.extend(formulas("tests/oracle/packages/sheets", &van, 10));
    }
    steps.extend(formulas("samples/sheets", "samples/vans/orlbeck-l4.toml", 4));
    assert!(steps.len() > 500, "{}", steps.len());
    let steps: Vec<Value> = steps
        .iter()
        .map(|step| {
            let result = &step["result"];
            let (value, unit) = (&result["value"], &result["unit"]);
            serde_json::json!({"fact": step["fact"], "formula": step["formula"], "value": value, "unit": unit})
        })
        .collect();
    let mut python = Command::new("python3")
        .arg("tests/interop/recompute.py")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    serde_json::to_writer(python.stdin.take().unwrap(), &steps).unwrap();
    let output = python.wait_with_output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    assert_eq!(said, format!("{} worked out again\n", steps.len()));
}
