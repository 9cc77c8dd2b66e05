//! Sheets handed back, questions and answers, driven through the program as people drive it, and
//! checked by openpyxl and LibreOffice (`interop/handback.py`).

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test's own helpers fail the test by panicking"
)]

use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

use serde_json::Value;
use tempfile::TempDir;

const SET_UP: &str = "set-up step: `pip install openpyxl xlsxwriter` and `apt-get install libreoffice-calc`";

fn python(arguments: &[&str]) -> String {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/interop/handback.py");
    let done = Command::new("python3").arg(script).args(arguments).output().expect(SET_UP);
    let said = String::from_utf8_lossy(&done.stderr);
    assert!(done.status.success(), "{arguments:?}: {SET_UP}\n{said}");
    String::from_utf8(done.stdout).unwrap()
}

/// The suppliers' sheets, made once for all tests.
fn sheets() -> &'static Path {
    static SHEETS: OnceLock<TempDir> = OnceLock::new();
    SHEETS
        .get_or_init(|| {
            // Within the build folder, as what a static holds is never cleared away.
            let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
            python(&["make", text(folder.path())]);
            folder
        })
        .path()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn van() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/vans/orlbeck-l4.toml")
}

fn rimsieve(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_rimsieve")).args(arguments).output().unwrap()
}

fn done(arguments: &[&str]) -> String {
    let output = rimsieve(arguments);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}\n{said}");
    String::from_utf8(output.stdout).unwrap()
}

fn refused(arguments: &[&str], words: &str) {
    let output = rimsieve(arguments);
    let said = String::from_utf8_lossy(&output.stderr).split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(output.status.code(), Some(2), "{arguments:?}\n{said}");
    assert!(output.stdout.is_empty() && said.replace("│ ", "").contains(words), "{said}");
}

/// The verdicts by SKU.
fn verdicts(arguments: &[&str]) -> BTreeMap<String, Value> {
    let van = van();
    let lines = done(&[&["vet"], arguments, &["--van", text(&van), "--format", "jsonl"]].concat());
    let record = |line: &str| {
        let record: Value = serde_json::from_str(line).unwrap();
        (record["part"]["sku"].as_str().unwrap().to_owned(), record)
    };
    lines.lines().map(record).collect()
}

fn kinds(verdicts: &BTreeMap<String, Value>) -> Vec<(&str, &str)> {
    verdicts.iter().map(|(sku, record)| (sku.as_str(), record["verdict"].as_str().unwrap())).collect()
}

fn parts(path: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut archive = zip::ZipArchive::new(std::fs::File::open(path).unwrap()).unwrap();
    (0..archive.len())
        .map(|at| {
            let mut file = archive.by_index(at).unwrap();
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes).unwrap();
            (file.name().unwrap().into_owned(), bytes)
        })
        .collect()
}

const CSV: &str = "\
Northfell wheels
Supplier,SKU,Style,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating,Lug Seat
Northfell,NF-1,Plain,16x6.5,6x130,55,84.1,1250 kg,ball R14
Northfell,NF-3,Plain,16x6.5,6x130,55,84.1,,ball R14
Northfell,NF-6,Plain,16x6.5,6x130,ask us,84.1,1250 kg,ball R14
Northfell,NF-7,Plain,16x6.5,6x130,55,84.1,1250,ball R14
";

#[test]
fn an_xlsx_comes_back_with_nothing_else_lost() {
    let folder = TempDir::new().unwrap();
    for name in ["rich.xlsx", "writer.xlsx", "prefixed.xlsx"] {
        let (before, after) = (sheets().join(name), folder.path().join(name));
        let found = verdicts(&[text(&before), "--annotated", text(&after)]);
        let expected = [
            ("NF-1", "fits"),
            ("NF-2", "fits"),
            ("NF-3", "unproven"),
            ("NF-4", "rejected"),
            ("NF-5", "fits-with-work"),
            ("NF-6", "unproven"),
        ];
        assert_eq!(kinds(&found), expected, "{name}");
        let (old, new) = (parts(&before), parts(&after));
        let changed: Vec<&str> = old
            .iter()
            .filter(|(part, bytes)| new.get(*part) != Some(bytes))
            .map(|(part, _)| part.as_str())
            .collect();
        let may_change = |part: &str| {
            ["[Content_Types].xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", "xl/workbook.xml"]
                .contains(&part)
                || part.starts_with("xl/worksheets/sheet1.xml")
                || part.starts_with("xl/worksheets/_rels/sheet1.xml")
                || part.contains("comment")
        };
        assert!(changed.iter().all(|part| may_change(part)), "{name}: {changed:?}");
        python(&["check", text(&before), text(&after)]);
    }
}

#[test]
fn other_forms_come_back_as_a_new_workbook() {
    let folder = TempDir::new().unwrap();
    let csv = folder.path().join("list.csv");
    std::fs::write(&csv, CSV).unwrap();
    for (name, before) in [("from-ods.xlsx", sheets().join("list.ods")), ("from-csv.xlsx", csv)] {
        let after = folder.path().join(name);
        let first = verdicts(&[text(&before), "--annotated", text(&after)]);
        python(&["opens", text(&after)]);
        let again = verdicts(&[text(&after)]);
        assert_eq!(kinds(&first), kinds(&again), "{name}");
        let sheet = rimsieve::sheet::read(&after).unwrap();
        let old = rimsieve::sheet::read(&before).unwrap();
        for row in old.tabs[0].rows() {
            for cell in row.cells() {
                let new = sheet.tabs[0].row(row.number()).unwrap().cell(cell.column).unwrap();
                assert_eq!(
                    (new.text, new.kind),
                    (cell.text, cell.kind),
                    "{name} {} {}",
                    row.number(),
                    cell.column
                );
            }
        }
    }
}

#[test]
fn nothing_is_said_twice_on_a_sheet_handed_back() {
    let folder = TempDir::new().unwrap();
    let csv = folder.path().join("list.csv");
    std::fs::write(&csv, CSV).unwrap();
    for before in [csv, sheets().join("rich.xlsx")] {
        let after = folder.path().join("after.xlsx");
        verdicts(&[text(&before), "--annotated", text(&after)]);
        let parts = parts(&after);
        let notes = parts.iter().filter(|(name, _)| name.contains("comments"));
        let notes: String = notes.map(|(_, bytes)| String::from_utf8_lossy(bytes)).collect();
        assert_eq!(notes.matches("not understood").count(), 1, "{}: {notes}", before.display());

        // What holds of every part stands on the summary, and leaves the rows to the reasons.
        let book = rimsieve::sheet::read(&after).unwrap();
        let holding = |words: &str| {
            let rows = book.tabs.iter().flat_map(rimsieve::sheet::Tab::rows);
            rows.filter(|row| row.cells().any(|cell| cell.text.contains(words))).count()
        };
        assert_eq!(
            (holding("bolt hole diameter cannot be shown"), holding("Caution on every wheel")),
            (1, 1)
        );
    }
}

#[test]
fn a_sheet_handed_back_reads_as_it_did_before() {
    let folder = TempDir::new().unwrap();
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    for before in
        [samples.join("sheets/wheels.xlsx"), samples.join("twins/german.xlsx"), sheets().join("rich.xlsx")]
    {
        // Of the same name, as reasons name the file.
        let after = folder.path().join(before.file_name().unwrap());
        let vans = samples.join("vans");
        let run = |sheet: &Path, more: &[&str]| {
            let common = ["vet", text(sheet), "--van", text(&vans), "--format", "json"];
            let document: Value = serde_json::from_str(&done(&[&common, more].concat())).unwrap();
            (document["verdicts"].clone(), document["sheets"][0]["remarks"].clone())
        };
        assert_eq!(run(&before, &["--annotated", text(&after)]), run(&after, &[]), "{before:?}");
        refused(
            &[
                "vet",
                text(&after),
                "--van",
                text(&vans),
                "--annotated",
                text(&folder.path().join("twice.xlsx")),
            ],
            "already has columns that rimsieve added",
        );
    }
}

#[test]
fn a_question_answered_settles_its_part() {
    let folder = TempDir::new().unwrap();
    let csv = folder.path().join("list.csv");
    std::fs::write(&csv, CSV).unwrap();
    for sheet in [csv, sheets().join("rich.xlsx")] {
        let (asked, filled) = (folder.path().join("questions.xlsx"), folder.path().join("filled.xlsx"));
        let before = verdicts(&[text(&sheet), "--questions", text(&asked)]);
        assert_eq!(
            (before["NF-3"]["verdict"].as_str(), before["NF-6"]["verdict"].as_str()),
            (Some("unproven"), Some("unproven"))
        );
        python(&["opens", text(&asked)]);
        let cells = python(&[
            "fill",
            text(&asked),
            text(&filled),
            "NF-3/wheel.load_rating=2756 lb",
            "NF-6/wheel.offset=ET20",
        ]);
        let cell = cells.lines().find(|line| line.starts_with("NF-3")).unwrap().rsplit(' ').next().unwrap();
        let after = verdicts(&[text(&sheet), "--answers", text(&filled)]);
        assert_eq!(
            (after["NF-3"]["verdict"].as_str(), after["NF-1"]["verdict"].as_str()),
            (Some("fits"), Some("fits"))
        );
        // A clear answer may settle that a part does not fit.
        assert_eq!(after["NF-6"]["verdict"].as_str(), Some("rejected"));
        assert!(after["NF-6"]["reasons"][0]["cell"].as_str().unwrap().starts_with("filled.xlsx Questions "));
        let van = van();
        let why = done(&[
            "why",
            "NF-3",
            text(&sheet),
            "--van",
            text(&van),
            "--answers",
            text(&filled),
            "--format",
            "json",
        ]);
        let why: Value = serde_json::from_str(&why).unwrap();
        let fact =
            why["facts"].as_array().unwrap().iter().find(|fact| fact["fact"] == "wheel.load_rating").unwrap();
        assert_eq!((fact["from"].as_str(), fact["text"].as_str()), (Some("answer"), Some("2756 lb")));
        assert_eq!(fact["cell"].as_str(), Some(format!("filled.xlsx Questions {cell}").as_str()));
    }
}

/// The places of a list, of the questions about it, and of their answers.
fn exchange(folder: &TempDir) -> [PathBuf; 3] {
    ["list.csv", "questions.xlsx", "filled.xlsx"].map(|name| folder.path().join(name))
}

#[test]
fn an_answer_without_a_unit_or_sense_settles_nothing_and_is_remarked_at_its_cell() {
    let folder = TempDir::new().unwrap();
    let [csv, asked, filled] = exchange(&folder);
    std::fs::write(&csv, CSV).unwrap();
    verdicts(&[text(&csv), "--questions", text(&asked)]);
    let cells = python(&[
        "fill",
        text(&asked),
        text(&filled),
        "NF-3/wheel.load_rating=1250",
        "NF-7/wheel.load_rating=1250 kg",
        "NF-6/wheel.offset=soon",
    ]);
    let van = van();
    let document =
        done(&["vet", text(&csv), "--van", text(&van), "--answers", text(&filled), "--format", "json"]);
    let document: Value = serde_json::from_str(&document).unwrap();
    let verdict = |sku: &str| {
        let found = document["verdicts"].as_array().unwrap().iter().find(|found| found["part"]["sku"] == sku);
        found.unwrap()["verdict"].as_str().unwrap().to_owned()
    };
    assert_eq!([verdict("NF-3"), verdict("NF-6"), verdict("NF-7")], ["unproven", "unproven", "fits"]);
    let account = &document["sheets"][1];
    assert_eq!((account["name"].as_str(), account["reported"].as_u64()), (Some("filled.xlsx"), Some(2)));
    for sku in ["NF-3", "NF-6"] {
        let cell = cells.lines().find(|line| line.starts_with(sku)).unwrap().rsplit(' ').next().unwrap();
        let remark =
            account["remarks"].as_array().unwrap().iter().find(|remark| remark["cell"] == cell).unwrap();
        assert_eq!(remark["kind"], "answer-unreadable", "{remark}");
    }
}

#[test]
fn what_the_sheet_states_is_not_replaced_by_an_answer() {
    let folder = TempDir::new().unwrap();
    let [csv, asked, filled] = exchange(&folder);
    std::fs::write(&csv, CSV).unwrap();
    verdicts(&[text(&csv), "--questions", text(&asked)]);
    python(&["fill", text(&asked), text(&filled), "NF-3/wheel.load_rating=1250 kg"]);
    // The supplier sent a new list meanwhile, which states it; and another in which the part is gone.
    std::fs::write(&csv, CSV.replace("84.1,,ball", "84.1,900 kg,ball")).unwrap();
    let van = van();
    let run = |sheet: &Path| {
        let document =
            done(&["vet", text(sheet), "--van", text(&van), "--answers", text(&filled), "--format", "json"]);
        serde_json::from_str::<Value>(&document).unwrap()
    };
    let document = run(&csv);
    assert_eq!(document["sheets"][1]["remarks"][0]["kind"], "answer-not-used");
    assert_eq!(document["verdicts"][1]["verdict"], "rejected");
    std::fs::write(&csv, CSV.replace("NF-3", "NF-9")).unwrap();
    assert_eq!(run(&csv)["sheets"][1]["remarks"][0]["kind"], "answer-without-part");
}

#[test]
fn both_facts_of_a_contradiction_are_asked_and_settle_it_together() {
    let folder = TempDir::new().unwrap();
    let [csv, asked, filled] = exchange(&folder);
    let rows = "SKU,Size,Bolt Pattern,Offset (mm),Back Spacing (mm),Center Bore (mm),Load Rating (kg),Lug Seat\n\
                NF-8,16x6.5,6x130,55,100,84.1,1250,ball R14\n";
    std::fs::write(&csv, rows).unwrap();
    assert_eq!(kinds(&verdicts(&[text(&csv), "--questions", text(&asked)])), [("NF-8", "unproven")]);
    // One alone leaves the contradiction standing.
    for (answers, verdict) in [
        (&["NF-8/wheel.offset=55 mm"][..], "unproven"),
        (&["NF-8/wheel.offset=55 mm", "NF-8/wheel.backspacing=150 mm"], "fits"),
    ] {
        python(&[&["fill", text(&asked), text(&filled)], answers].concat());
        assert_eq!(kinds(&verdicts(&[text(&csv), "--answers", text(&filled)])), [("NF-8", verdict)]);
    }
}

#[test]
fn what_cannot_be_done_writes_nothing() {
    let folder = TempDir::new().unwrap();
    let (csv, van) = (folder.path().join("list.csv"), van());
    std::fs::write(&csv, CSV).unwrap();
    let (a, q) = (folder.path().join("a.xlsx"), folder.path().join("q.xlsx"));
    let rich = sheets().join("rich.xlsx");
    let vet = |more: &[&str], words: &str| {
        refused(&[&["vet", text(&csv), "--van", text(&van), "--questions", text(&q)], more].concat(), words);
    };
    vet(&[text(&rich), "--annotated", text(&a)], "hands back one sheet, and 2 were given");
    vet(&["--annotated", text(&folder.path().join("a.csv"))], "must end in .xlsx");
    vet(&["--annotated", text(&q)], "is read or written by this run already");
    vet(&["--answers", text(&rich)], "is not a questions file that rimsieve wrote");
    vet(&["--annotated", text(&folder.path().join("none/a.xlsx"))], "cannot be written");
    refused(
        &["vet", text(&rich), "--van", text(&van), "--annotated", text(&rich)],
        "is read or written by this run already",
    );
    let left: Vec<_> =
        std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left, ["list.csv"]);
}

#[test]
fn a_suppliers_text_is_never_a_formula_or_markup() {
    let folder = TempDir::new().unwrap();
    let (csv, a, q) =
        (folder.path().join("list.csv"), folder.path().join("a.xlsx"), folder.path().join("q.xlsx"));
    let rows = "SKU,Style,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (kg),Lug Seat\n\
                =HYPERLINK(1),<b>&amp;</b>,16x6.5,6x130,55,84.1,,ball R14\n\
                @SUM(1),+1+1,16x6.5,6x130,55,84.1,=1+1,ball R14\n\
                -2,x\u{1b}[31m,16x6.5,6x130,\"=1\n2\",84.1,1250,ball R14\n";
    std::fs::write(&csv, rows).unwrap();
    let found = verdicts(&[text(&csv), "--annotated", text(&a), "--questions", text(&q)]);
    assert_eq!(found.len(), 3);
    // `opens` asks openpyxl for every cell of the kind formula, and there must be none.
    python(&["opens", text(&a), text(&q)]);
    assert!(python(&["list", text(&q)]).contains("=HYPERLINK(1)\twheel.load_rating"));
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let folder = TempDir::new().unwrap();
    let rich = sheets().join("rich.xlsx");
    let run = |name: &str| {
        let (a, q) =
            (folder.path().join(format!("{name}a.xlsx")), folder.path().join(format!("{name}q.xlsx")));
        verdicts(&[text(&rich), "--annotated", text(&a), "--questions", text(&q)]);
        (parts(&a), parts(&q), std::fs::read(q).unwrap())
    };
    assert_eq!(run("one"), run("two"));
}
