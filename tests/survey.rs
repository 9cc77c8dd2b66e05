//! How a sheet is understood, as a buyer sees it: `survey`, the profile it drafts, and `why`.
#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use rust_xlsxwriter::Workbook;
use tempfile::TempDir;

const VAN: &str = "samples/vans/orlbeck-l4.toml";

/// Invented wheels with their loads in two columns, of which neither says a unit.
const WHEELS: &[[&str; 8]] = &[
    ["Part No.", "Size", "Max Load", "Bolt Pattern", "Offset", "Bore", "Seat", "Load Rating"],
    ["NF-1", "17x8", "2756", "6x130", "45", "84.1", "Ball R14", "1250"],
    ["NF-2", "17x8", "2976", "6x130", "45", "84.1", "Ball R14", "1350"],
    ["NF-3", "17x8", "3197", "6x130", "45", "84.1", "Ball R14", "1450"],
];

fn printed(arguments: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
    let command = command.args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).stdin(Stdio::null());
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    // However the lines were broken.
    let text = String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn as_csv(folder: &Path, rows: &[[&str; 8]]) -> PathBuf {
    let path = folder.join("wheels.csv");
    let lines: Vec<String> = rows.iter().map(|row| row.join(",")).collect();
    std::fs::write(&path, lines.join("\n")).unwrap();
    path
}

/// The same as a workbook, its figures as numbers.
fn as_workbook(folder: &Path, rows: &[[&str; 8]]) -> PathBuf {
    let path = folder.join("wheels.xlsx");
    let mut workbook = Workbook::new();
    let tab = workbook.add_worksheet();
    for (row, cells) in (0..).zip(rows) {
        for (column, text) in (0..).zip(cells) {
            match text.parse::<f64>() {
                Ok(figure) => tab.write_number(row, column, figure).unwrap(),
                Err(_) => tab.write_string(row, column, *text).unwrap(),
            };
        }
    }
    workbook.save(&path).unwrap();
    path
}

#[test]
fn a_unit_proven_by_another_column_is_told_by_every_report() {
    let folder = TempDir::new().unwrap();
    for sheet in [as_csv(folder.path(), WHEELS), as_workbook(folder.path(), WHEELS)] {
        let sheet = sheet.to_str().unwrap();
        let survey = printed(&["survey", sheet]);
        let proof = "proven by column C, whose figures are 2.2046 times these on 3 rows";
        assert!(survey.contains(&format!("H: unit kg: {proof}")), "{survey}");
        assert!(survey.contains("C: unit lb: proven by column H"), "{survey}");
        let vet = printed(&["vet", sheet, "--van", VAN]);
        assert!(vet.contains(&format!("H1 Load Rating: unit kg, {proof}")), "{vet}");
        let why = printed(&["why", "NF-1", sheet, "--van", VAN]);
        assert!(why.contains("C2 2756 1250.1 kg; unit proven by column H, whose figures are these"), "{why}");
        let json = printed(&["why", "NF-1", sheet, "--van", VAN, "--format", "json"]);
        assert!(json.contains("\"unit_proof\": \"column H, whose figures"), "{json}");
        assert!(json.contains("\"cell\": \"C2\", \"from\": \"cell\""), "{json}");
    }
}

#[test]
fn the_draft_fixes_what_was_proven_and_asks_about_the_rest() {
    let folder = TempDir::new().unwrap();
    let mut rows = WHEELS.to_vec();
    // `Fitment` holds no fact by its word, and `Nuts` names nothing known.
    (rows[0][3], rows[0][6]) = ("Fitment", "Nuts");
    let sheet = as_csv(folder.path(), &rows);
    let (sheet, profile) = (sheet.to_str().unwrap(), folder.path().join("draft.toml"));
    printed(&["survey", sheet, "--draft", profile.to_str().unwrap()]);
    let draft = std::fs::read_to_string(&profile).unwrap();
    for line in [
        "\"Max Load\" = { holds = \"load\", unit = \"lb\" }  # unit proven by column H",
        "\"Load Rating\" = { holds = \"load\", unit = \"kg\" }  # unit proven by column C",
        "\"Fitment\" = \"left_over\"  # its cells look like bolt patterns: is `bolt_pattern` meant?",
        "# \"Nuts\" = \"seat\"  # not understood; its cells look like seats of lug nuts or bolts",
    ] {
        assert!(draft.contains(line), "{line}\n{draft}");
    }
    // The buyer answers both questions, and the wheels are whole.
    let answered = draft
        .replace("# \"Nuts\"", "\"Nuts\"")
        .replace("\"Fitment\" = \"left_over\"", "\"Fitment\" = \"bolt_pattern\"");
    std::fs::write(&profile, answered).unwrap();
    let list = ["vet", sheet, "--van", VAN, "--profile", profile.to_str().unwrap(), "--format", "csv"];
    let list = printed(&list);
    assert_eq!(list.matches("orlbeck-l4,fits,wheel").count(), 3, "{list}");
}

#[test]
fn one_heading_over_both_units_is_never_drafted_with_one_of_them() {
    let folder = TempDir::new().unwrap();
    let mut rows = WHEELS.to_vec();
    rows[0][7] = "Max Load";
    let sheet = as_csv(folder.path(), &rows);
    let profile = folder.path().join("draft.toml");
    printed(&["survey", sheet.to_str().unwrap(), "--draft", profile.to_str().unwrap()]);
    let draft = std::fs::read_to_string(&profile).unwrap();
    assert!(draft.contains("\"Max Load\" = \"load\"  # stands over columns in different units"), "{draft}");
}

#[test]
fn why_names_the_cell_of_the_price_that_counts() {
    let folder = TempDir::new().unwrap();
    let mut rows = WHEELS.to_vec();
    (rows[0][2], rows[0][7]) = ("Dealer", "MSRP");
    let sheet = as_csv(folder.path(), &rows);
    let why = printed(&["why", "NF-1", sheet.to_str().unwrap(), "--van", VAN]);
    assert!(why.contains("price H2 1250"), "{why}");
    let survey = printed(&["survey", sheet.to_str().unwrap()]);
    assert!(
        survey.contains(
            "of several prices H `MSRP` counts, being what a customer pays; C `Dealer` is left alone"
        ),
        "{survey}"
    );
}

#[test]
fn a_price_in_a_second_table_is_named_by_the_column_it_stands_in_there() {
    let folder = TempDir::new().unwrap();
    let sheet = folder.path().join("two.csv");
    let text = "SKU,Size,Bolt Pattern,Price\nNF-1,17x8,6x130,150\n\nSKU,Price,Wheel Size,Bolt Pattern\n\
                NF-2,160,17x8,6x130\n";
    std::fs::write(&sheet, text).unwrap();
    let why = |sku| printed(&["why", sku, sheet.to_str().unwrap(), "--van", VAN]);
    assert!(why("NF-1").contains("price D2 150"));
    assert!(why("NF-2").contains("price B5 160"));
}

#[test]
fn what_a_column_may_hold_is_asked_by_the_cells_of_its_own_table() {
    let folder = TempDir::new().unwrap();
    let sheet = folder.path().join("stacked.csv");
    let text = "Item,Dia x Width,PCD/holes,CB,£ each\nNF-1,17x8,6/130,84.1,205\nNF-2,17x8,130 x 6,84.1,call\n\
                NF-3,17x8,6x130,84.1,199\n\nItem,Size,LI/SS,Ply,£ each\nNT-1,LT245/75R17,121/118S,10 PR,178\n\
                NT-2,LT265/70R17,121/118S,10 PR,165\n";
    std::fs::write(&sheet, text).unwrap();
    let told = printed(&["survey", sheet.to_str().unwrap()]);
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("its cells look like bolt patterns: is `bolt_pattern` meant?"), "{told}");
    assert!(told.contains("is `price` meant?") && !told.contains("is `weight` meant?"), "{told}");
}
