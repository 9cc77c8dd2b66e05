//! The forms of `gate` and `vet` that other programs read, by readers that are not ours.

use std::process::Command;

use serde_json::Value;

use crate::shop::Shop;

const WHEELS: &str = "sheets/wheels.csv";

/// The schema that SARIF 2.1.0 is published with; `tests/schemas/README.md` names its source.
fn sarif_faults(log: &Value) -> Vec<String> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/schemas/sarif-2.1.0-rtm.5.json");
    let text = std::fs::read_to_string(path).unwrap();
    // The schema as published has a bracket too many in the patterns of languages, which we do not state.
    let faulty = r"[a-zA-Z]{2}]?$";
    assert_eq!(text.matches(faulty).count(), 2);
    let text = text.replace(faulty, r"[a-zA-Z]{2}?$");
    let schema: Value = serde_json::from_str(&text).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    validator.iter_errors(log).map(|fault| format!("{}: {fault}", fault.instance_path())).collect()
}

fn log_of(text: &[u8]) -> Value {
    let log: Value = serde_json::from_slice(text).unwrap();
    assert_eq!(sarif_faults(&log), Vec::<String>::new());
    log
}

fn vet(arguments: &[&str]) -> Vec<u8> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
    let command = command.args(["vet", "--no-shop", "--quiet"]).args(arguments);
    let output = command.current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    output.stdout
}

fn edited() -> Shop {
    let shop = Shop::accepted();
    shop.edit(WHEELS, "84.1,1300", "84.1,1100");
    shop.edit(WHEELS, "QW-6,", "QW-60,");
    shop.edit(WHEELS, "84.1,1250", "84.1,1260");
    shop
}

#[test]
fn the_schema_finds_fault_with_a_wrong_log() {
    assert!(!sarif_faults(&serde_json::json!({"version": "2.0.0", "runs": []})).is_empty());
    assert!(!sarif_faults(&serde_json::json!({"version": "2.1.0", "runs": [{"results": []}]})).is_empty());
}

#[test]
fn the_gates_log_points_at_the_cell_and_the_ledgers_line() {
    let shop = edited();
    let log = log_of(&shop.gate(&["--format", "sarif"]).stdout);
    let results = log["runs"][0]["results"].as_array().unwrap();
    let told: Vec<(&str, &str)> = results
        .iter()
        .map(|result| (result["ruleId"].as_str().unwrap(), result["level"].as_str().unwrap()))
        .collect();
    assert_eq!(told, [("lost", "error"), ("vanished", "error"), ("moved", "error"), ("gained", "note")]);
    let place = |at: usize| &results[at]["locations"][0]["physicalLocation"];
    assert_eq!(place(0)["artifactLocation"]["uri"], WHEELS);
    let region = &place(0)["region"];
    let line = shop.read(WHEELS).lines().nth(1).unwrap().to_owned();
    let (from, to) = (region["startColumn"].as_u64().unwrap(), region["endColumn"].as_u64().unwrap());
    assert_eq!(region["startLine"], 2);
    assert_eq!(&line[from as usize - 1..to as usize - 1], "1100");
    // What no sheet has is shown where the ledger says that it was there.
    assert_eq!(place(1)["artifactLocation"]["uri"], "ledger.txt");
    let at = place(1)["region"]["startLine"].as_u64().unwrap() as usize;
    let ledger = shop.read("ledger.txt");
    assert!(ledger.lines().nth(at - 2).unwrap().contains("QW-6"));
}

#[test]
fn a_log_without_a_finding_is_one_too() {
    let log = log_of(&Shop::accepted().gate(&["--format", "sarif"]).stdout);
    assert_eq!(log["runs"][0]["results"], Value::Array(Vec::new()));
}

#[test]
fn vet_logs_every_reason_at_its_cell() {
    let log = log_of(&vet(&["samples/sheets", "--van", "samples/vans", "--format", "sarif"]));
    let lines = vet(&["samples/sheets", "--van", "samples/vans", "--format", "jsonl"]);
    let verdicts: Vec<Value> =
        String::from_utf8(lines).unwrap().lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let count = |verdict: &Value, list: &str| verdict[list].as_array().unwrap().len();
    let wanted: usize = verdicts
        .iter()
        .map(|verdict| match verdict["verdict"].as_str().unwrap() {
            "rejected" => count(verdict, "reasons") + count(verdict, "missing"),
            "unproven" => count(verdict, "missing"),
            _ => 0,
        })
        .sum();
    let results = log["runs"][0]["results"].as_array().unwrap();
    let topics = log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    let topic = |result: &Value| {
        let topic = &topics[result["ruleIndex"].as_u64().unwrap() as usize];
        assert_eq!(topic["id"], result["ruleId"]);
        topic["id"].as_str().unwrap().split_once('/').unwrap()
    };
    let of_sheets: Vec<&Value> = results.iter().filter(|result| topic(result).0 == "sheet").collect();
    assert_eq!(results.len() - of_sheets.len(), wanted);
    let of_rule = |name: &str| {
        let is_rule = |(of, rule): (&str, &str)| of != "sheet" && rule == name;
        results.iter().filter(|result| is_rule(topic(result))).count()
    };
    let in_verdicts = |name: &str| -> usize {
        let reasons = verdicts.iter().filter(|verdict| verdict["verdict"] == "rejected");
        let reasons = reasons.flat_map(|verdict| verdict["reasons"].as_array().unwrap());
        let gaps = verdicts.iter().flat_map(|verdict| verdict["missing"].as_array().unwrap());
        reasons.chain(gaps).filter(|reason| reason["rule"] == name).count()
    };
    for rule in ["bolt-pattern", "corner-load", "tire-load", "road-speed", "lug-seat"] {
        assert_eq!(of_rule(rule), in_verdicts(rule), "{rule}");
        assert!(of_rule(rule) > 0, "{rule}");
    }
    // Every remark on a sheet is there, and those that are only to be known are no warnings.
    let report: Value =
        serde_json::from_slice(&vet(&["samples/sheets", "--van", "samples/vans", "--format", "json"]))
            .unwrap();
    let sheets = report["sheets"].as_array().unwrap();
    let remarks: usize = sheets.iter().map(|sheet| sheet["remarks"].as_array().unwrap().len()).sum();
    assert_eq!(of_sheets.len(), remarks);
    for (kind, level) in [("cone-angle-assumed", "note"), ("load-index-vs-load", "warning")] {
        let of_kind: Vec<_> = of_sheets.iter().filter(|result| topic(result).1 == kind).collect();
        assert!(!of_kind.is_empty(), "{kind}");
        assert!(of_kind.iter().all(|result| result["level"] == level), "{kind}");
    }
    // In a workbook a cell has a tab and no line; in a text file it has line and column.
    for result in results {
        let location = &result["locations"][0];
        let uri = location["physicalLocation"]["artifactLocation"]["uri"].as_str().unwrap();
        let has_lines = location["physicalLocation"]["region"]["startLine"].is_u64();
        assert_eq!(has_lines, uri == "samples/sheets/tires.csv", "{uri}");
        assert!(location["logicalLocations"][0]["name"].is_string());
    }
}

#[test]
fn a_name_that_rules_on_wheels_and_on_tires_share_is_two_topics() {
    let shop = Shop::accepted();
    shop.write(
        "wheels.csv",
        "SKU,Wheel Size,Bolt Pattern,Offset (mm),Center Bore (mm)\nA,17x8,6x130,50,900\n",
    );
    shop.write("tires.csv", "SKU,Tire Size,Max Load (kg)\nB,235/65R16C,90000\n");
    let (wheels, tires) = (shop.path("wheels.csv"), shop.path("tires.csv"));
    let sheets = [wheels.to_str().unwrap(), tires.to_str().unwrap()];
    let log =
        log_of(&vet(&[sheets[0], sheets[1], "--van", "samples/vans/orlbeck-l4.toml", "--format", "sarif"]));
    let topics = log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    let ids: Vec<&str> = topics.iter().map(|topic| topic["id"].as_str().unwrap()).collect();
    for id in ["wheel/value-out-of-range", "tire/value-out-of-range", "sheet/value-out-of-range"] {
        assert_eq!(ids.iter().filter(|known| **known == id).count(), 1, "{id}: {ids:?}");
    }
    let text = |id: &str| {
        let place = ids.iter().position(|known| *known == id).unwrap();
        topics[place]["shortDescription"]["text"].as_str().unwrap()
    };
    assert!(text("wheel/value-out-of-range").contains("wheel.center_bore"));
    assert!(text("tire/value-out-of-range").contains("tire.load_single"));
}

#[test]
fn a_log_names_no_machine() {
    let shop = Shop::accepted();
    for folder in ["one", "two"] {
        shop.write(&format!("{folder}/x.csv"), "SKU,Wheel Size,Bolt Pattern\nA,17x8,5x120\n");
    }
    let at = |path: &str| shop.path(path).to_str().unwrap().to_owned();
    let van = ["--van", "samples/vans/orlbeck-l4.toml", "--format", "sarif"];
    let artifacts = |log: &Value| -> Vec<Value> {
        let results = log["runs"][0]["results"].as_array().unwrap();
        let mut found: Vec<Value> = Vec::new();
        for result in results {
            let artifact = &result["locations"][0]["physicalLocation"]["artifactLocation"];
            if !found.contains(artifact) {
                found.push(artifact.clone());
            }
        }
        found
    };
    // Elsewhere: by name, from a folder that has a number, each its own.
    let sheets = [at("one/x.csv"), at("two/x.csv")];
    let text = vet(&[&[sheets[0].as_str(), &sheets[1]][..], &van].concat());
    let folder = shop.path("").to_str().unwrap().trim_end_matches('/').to_owned();
    assert!(!String::from_utf8(text.clone()).unwrap().contains(&folder));
    let log = log_of(&text);
    let from = |id: &str| serde_json::json!({"uri": "x.csv", "uriBaseId": id});
    assert_eq!(artifacts(&log), [from("FOLDER_1"), from("FOLDER_2")]);
    let folders = log["runs"][0]["originalUriBaseIds"].as_object().unwrap();
    assert_eq!(folders.keys().collect::<Vec<_>>(), ["FOLDER_1", "FOLDER_2"]);
    assert!(folders.values().all(|folder| folder["uri"].is_null()));
    // Under the folder that the run is started in: by the way from there, however it was named.
    let whole = format!("{}/samples/sheets/tires.csv", env!("CARGO_MANIFEST_DIR"));
    let log = log_of(&vet(&[&[whole.as_str()][..], &van].concat()));
    assert_eq!(artifacts(&log), [serde_json::json!({"uri": "samples/sheets/tires.csv"})]);
    assert!(log["runs"][0]["originalUriBaseIds"].is_null());
}

#[cfg(unix)]
#[test]
fn a_sheet_named_by_a_link_to_the_folder_is_told_from_the_folder() {
    let shop = Shop::accepted();
    std::os::unix::fs::symlink(env!("CARGO_MANIFEST_DIR"), shop.path("link")).unwrap();
    let path = shop.path("link/samples/sheets/tires.csv");
    let van = "samples/vans/orlbeck-l4.toml";
    let log = log_of(&vet(&[path.to_str().unwrap(), "--van", van, "--format", "sarif"]));
    let result = &log["runs"][0]["results"][0];
    let artifact = &result["locations"][0]["physicalLocation"]["artifactLocation"];
    assert_eq!(*artifact, serde_json::json!({"uri": "samples/sheets/tires.csv"}));
}

#[test]
fn the_gates_test_cases_are_read_by_another_reader() {
    let shop = edited();
    let report = junit_parser::from_reader(&shop.gate(&["--format", "junit"]).stdout[..]).unwrap();
    assert_eq!((report.tests, report.failures, report.errors), (5, 3, 0));
    let van = &report.suites[0];
    assert_eq!((van.name.as_str(), van.cases.len()), ("orlbeck-l4", 4));
    let lost = &van.cases[0];
    assert!(lost.original_name.contains("QW-1"));
    let failure = lost.status.failure_as_ref();
    assert_eq!(failure.failure_type, "lost");
    assert!(failure.message.contains("load rating was 1300 kg and is 1100 kg, in wheels.csv, cell H2"));
    let report =
        junit_parser::from_reader(&Shop::accepted().gate(&["--format", "junit"]).stdout[..]).unwrap();
    assert_eq!((report.tests, report.failures), (1, 0));
}

#[test]
fn vets_test_cases_are_the_parts_and_the_sheets() {
    let text = vet(&["samples/sheets", "--van", "samples/vans", "--format", "junit"]);
    let report = junit_parser::from_reader(&text[..]).unwrap();
    let csv =
        String::from_utf8(vet(&["samples/sheets", "--van", "samples/vans", "--format", "csv"])).unwrap();
    let count =
        |verdict: &str| csv.lines().filter(|line| line.contains(&format!(",{verdict},"))).count() as u64;
    let faulty = report.suites.iter().find(|suite| suite.name == "sheets").unwrap();
    assert_eq!(faulty.tests, 2);
    assert_eq!(report.failures, count("rejected") + faulty.failures);
    assert_eq!(report.errors, count("unproven"), "missing is never a pass");
    assert_eq!(report.tests, csv.lines().count() as u64 - 1 + 2);
}

#[test]
fn a_suppliers_words_break_no_form() {
    let hostile = "\"<b>&\u{1b}]]> | `x` @all [a](b)\"";
    let shop = Shop::accepted_with(&[], |shop| {
        shop.edit(WHEELS, "Quarnley Wheel,QW-1,", &format!("{hostile},QW-1,"));
    });
    shop.edit(WHEELS, "84.1,1300", "84.1,1100");
    let log = log_of(&shop.gate(&["--format", "sarif"]).stdout);
    words_are_plain(&log);
    let report = junit_parser::from_reader(&shop.gate(&["--format", "junit"]).stdout[..]).unwrap();
    assert_eq!(report.failures, 1);
    for format in ["report", "markdown"] {
        let text = String::from_utf8(shop.gate(&["--format", format]).stdout).unwrap();
        assert!(text.contains("QW-1"), "{format}");
        assert!(!text.contains('\u{1b}'), "{format}");
        assert!(format == "report" || (!text.contains("<b>") && !text.contains("@all")), "{text}");
    }
}

/// No message holds a link or a place for an argument.
fn words_are_plain(log: &Value) {
    let results = log["runs"][0]["results"].as_array().unwrap();
    assert!(!results.is_empty());
    for result in results {
        let text = result["message"]["text"].as_str().unwrap();
        let plain = text.replace("{{", "").replace("}}", "");
        assert!(!plain.contains("](") && !plain.contains('{') && !plain.contains('}'), "{text}");
    }
}

#[test]
fn a_part_number_is_no_link_in_a_log_and_its_cell_is_where_the_log_says() {
    let shop = Shop::accepted();
    let sheet = "SKU,Size,Bolt Pattern,Offset (mm)\r\n[get it](http://e.example) {0},16x6.5,5x120,52\r\n\
                 \"W\r\n2\",16x7,6x130,75\r\n";
    shop.write("hostile.csv", &format!("\u{feff}{sheet}"));
    let path = shop.path("hostile.csv");
    let log =
        log_of(&vet(&[path.to_str().unwrap(), "--van", "samples/vans/orlbeck-l4.toml", "--format", "sarif"]));
    words_are_plain(&log);
    let lines: Vec<&str> = sheet.split("\r\n").collect();
    let mut told = Vec::new();
    for result in log["runs"][0]["results"].as_array().unwrap() {
        let place = &result["locations"][0];
        let region = &place["physicalLocation"]["region"];
        let number = |key: &str| region[key].as_u64().unwrap() as usize;
        // What no column states is shown at the row's first cell, here one of two lines.
        if number("startLine") != number("endLine") {
            continue;
        }
        let line: Vec<char> = lines[number("startLine") - 1].chars().collect();
        let text: String = line[number("startColumn") - 1..number("endColumn") - 1].iter().collect();
        told.push((place["logicalLocations"][0]["name"].as_str().unwrap().to_owned(), text));
    }
    for (cell, text) in [("C2", "5x120"), ("D3", "75")] {
        assert!(told.contains(&(cell.to_owned(), text.to_owned())), "{cell}: {told:?}");
    }
}

#[test]
fn a_buyer_reads_what_happened_and_why() {
    let shop = Shop::accepted();
    shop.edit(WHEELS, "84.1,1300", "84.1,1100");
    let output = shop.gate(&[]);
    assert_eq!(output.status.code(), Some(1));
    let text = String::from_utf8(output.stdout).unwrap();
    for said in [
        "THE LIST GOT WORSE: 1 change to look at before it is published.",
        "1 part lost: it was on the list and cannot stay",
        "QW-1, Quarnley Wheel, 17x7.5 ET50 6x130, for orlbeck-l4",
        "was: fits",
        "rated 1100 kg, the heaviest corner needs 1215 kg: short by",
        "fact: load rating was 1300 kg and is 1100 kg, in wheels.csv, cell H2",
        "why: the sheet changed",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
}

#[test]
fn every_form_is_the_same_for_any_number_of_threads() {
    let shop = edited();
    for format in ["report", "json", "markdown", "sarif", "junit"] {
        let one = shop.gate(&["--format", format, "--review", "--threads", "1"]).stdout;
        let many = shop.gate(&["--format", format, "--review", "--threads", "7"]).stdout;
        assert!(!one.is_empty());
        assert_eq!(one, many, "{format}");
    }
}
