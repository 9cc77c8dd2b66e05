//! How the program ends: 0 where the work was done, 1 where it found what it was asked to fail on, 2 where
//! it could not be done, and then nothing is written.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::io::{Read as _, Write as _};
use std::path::Path;
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

const WHEELS: &str = "samples/sheets/wheels.xlsx";
const TIRES: &str = "samples/sheets/tires.csv";
const VANS: &str = "samples/vans";

fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rimsieve"));
    command.args(arguments).current_dir(env!("CARGO_MANIFEST_DIR"));
    command
}

fn run(arguments: &[&str]) -> Output {
    command(arguments).stdin(Stdio::null()).output().unwrap()
}

fn run_with(arguments: &[&str], typed: &[u8]) -> Output {
    let mut child = command(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(typed).unwrap();
    child.wait_with_output().unwrap()
}

fn aside(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// The words of a message, however its lines were broken and framed.
fn words(text: &str) -> String {
    let framed =
        |letter: char| letter.is_whitespace() || matches!(letter, '│' | '╰' | '╭' | '─' | '·' | '▶' | '×');
    text.split(framed).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

fn ends(arguments: &[&str], value: i32) -> Output {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(value), "{arguments:?}\n{}", aside(&output));
    output
}

/// The work could not be done: nothing on standard output, and a message that holds these words.
fn cannot(arguments: &[&str], said: &[&str]) {
    let output = ends(arguments, 2);
    assert_eq!(out(&output), "", "{arguments:?}");
    let message = words(&aside(&output));
    assert!(!message.contains("panicked"), "{arguments:?}\n{message}");
    for part in said {
        assert!(message.contains(part), "{arguments:?}: `{part}` is not in\n{}", aside(&output));
    }
}

/// A folder with these files.
fn folder(files: &[(&str, &[u8])]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        std::fs::write(folder.path().join(name), bytes).unwrap();
    }
    folder
}

fn at(folder: &TempDir, name: &str) -> String {
    folder.path().join(name).to_str().unwrap().to_owned()
}

fn orlbeck() -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(VANS).join("orlbeck-l4.toml")).unwrap()
}

#[test]
fn work_that_was_done_ends_with_0() {
    for format in ["report", "json", "jsonl", "csv", "page", "sarif", "junit"] {
        let output = ends(&["vet", WHEELS, TIRES, "--van", VANS, "--format", format], 0);
        assert!(out(&output).len() > 10_000, "{format}");
    }
    for format in ["report", "json"] {
        let output = ends(&["why", "SK-1707", WHEELS, "--van", VANS, "--format", format], 0);
        assert!(out(&output).contains("SK-1707"), "{format}");
    }
    assert!(out(&ends(&["rules"], 0)).contains("center-bore"));
    ends(&["rules", "check"], 0);
    ends(&["--help"], 0);
    ends(&["--version"], 0);
}

#[test]
fn rejected_and_unproven_parts_alone_do_not_fail() {
    ends(&["vet", WHEELS, "--van", VANS], 0);
}

#[test]
fn a_sheet_that_cannot_be_read_is_named() {
    cannot(&["vet", "no-such.csv", "--van", VANS], &["no-such.csv"]);
    cannot(&["why", "SK-1707", "no-such.csv", "--van", VANS], &["no-such.csv"]);
    let files = folder(&[
        ("prose.csv", b"Dear buyer,\nplease find our new list on the usual page.\n"),
        ("list.pdf", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n<< >>\nendobj\n"),
        ("renamed.xlsx", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n<< >>\nendobj\n"),
        ("empty.csv", b""),
        ("cut.xlsx", b"PK\x03\x04\x14\x00\x00\x00\x08\x00"),
        ("picture.csv", b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01"),
    ]);
    for (name, also) in [
        ("prose.csv", "SKU"),
        ("list.pdf", "PDF"),
        ("renamed.xlsx", "PDF"),
        ("empty.csv", ""),
        ("cut.xlsx", ""),
        ("picture.csv", ""),
    ] {
        cannot(&["vet", &at(&files, name), "--van", VANS], &[name, also]);
        // One bad sheet among good ones: still nothing is written.
        cannot(&["vet", TIRES, &at(&files, name), "--van", VANS], &[name]);
    }
}

#[test]
fn a_folder_without_a_sheet_is_named() {
    let files = folder(&[("notes.md", b"nothing here"), ("~$open.xlsx", b"a lock")]);
    let path = files.path().to_str().unwrap();
    cannot(&["vet", path, "--van", VANS], &[files.path().file_name().unwrap().to_str().unwrap(), ".xlsx"]);
}

#[test]
fn a_van_that_cannot_be_read_is_named() {
    cannot(&["vet", TIRES, "--van", "no-such-van.toml"], &["no-such-van.toml"]);
    let files = folder(&[("notes.md", b"nothing here")]);
    let path = files.path().to_str().unwrap();
    cannot(&["vet", TIRES, "--van", path], &["[van]"]);
}

#[test]
fn a_slip_in_a_van_file_is_shown_with_what_was_meant() {
    let slip = orlbeck().replace("pilot  = \"84.1 mm\"", "pilott = \"84.1 mm\"").replace("4200 kg", "4200");
    let files = folder(&[("slip.toml", slip.as_bytes())]);
    cannot(
        &["vet", TIRES, "--van", &at(&files, "slip.toml")],
        &["slip.toml", "pilott", "is `pilot` meant?", "needs a unit", "4200 kg"],
    );
    let pack = orlbeck().replace("[\"us-road\"]", "[\"us-raod\"]");
    let files = folder(&[("pack.toml", pack.as_bytes())]);
    cannot(
        &["vet", TIRES, "--van", &at(&files, "pack.toml")],
        &["pack.toml", "us-raod", "is `us-road` meant?"],
    );
    let files = folder(&[("a.toml", orlbeck().as_bytes()), ("b.toml", orlbeck().as_bytes())]);
    cannot(&["vet", TIRES, "--van", files.path().to_str().unwrap()], &["b.toml", "orlbeck-l4", "twice"]);
}

const RULE: &str = "[[rule]]\nname = \"own\"\non = \"wheel\"\ndemand = \"wheel.offset >= 40 mm\"\nsays = \"no\"\nbasis = \"common practice\"\n";
const WITNESSES: &str = "[[rule.witness]]\ngives = \"pass\"\nwheel = { offset = \"40 mm\" }\n[[rule.witness]]\ngives = \"fail\"\nwheel = { offset = \"39 mm\" }\n[[rule.witness]]\ngives = \"unknown\"\n";

#[test]
fn a_slip_in_a_rule_file_is_shown_with_what_was_meant() {
    let files = folder(&[
        ("slip.toml", RULE.replace("wheel.offset", "wheel.ofset").as_bytes()),
        ("form.toml", b"[[rule]\n"),
    ]);
    for arguments in [
        &["vet", TIRES, "--van", VANS, "--rules"][..],
        &["why", "SK-1707", WHEELS, "--van", VANS, "--rules"],
        &["rules", "--rules"],
    ] {
        let with = |name: &str| [arguments, &[at(&files, name).as_str()]].concat().join("\n");
        let [slip, form] = ["slip.toml", "form.toml"].map(with);
        cannot(&slip.lines().collect::<Vec<_>>(), &["slip.toml", "wheel.ofset", "is `wheel.offset` meant?"]);
        cannot(&form.lines().collect::<Vec<_>>(), &["form.toml"]);
    }
    cannot(&["vet", TIRES, "--van", VANS, "--rules", "no-such-rules"], &["no-such-rules"]);
}

#[test]
fn a_pack_that_no_rule_belongs_to_is_refused_with_the_packs_there_are() {
    cannot(&["vet", TIRES, "--van", VANS, "--pack", "wintr"], &["wintr", "is `winter` meant?", "unece-road"]);
    cannot(&["rules", "--pack", "wintr"], &["wintr", "is `winter` meant?"]);
}

#[test]
fn arguments_that_cannot_be_understood_end_with_2() {
    cannot(&[], &[]);
    cannot(&["vet"], &[]);
    cannot(&["vet", TIRES], &["no van was named"]);
    cannot(&["vet", "--van", VANS], &["SHEET"]);
    cannot(&["vett", TIRES, "--van", VANS], &["vett", "'vet'"]);
    cannot(&["vet", TIRES, "--van", VANS, "--format", "yaml"], &["yaml", "jsonl"]);
    cannot(&["vet", TIRES, "--van", VANS, "--as-of", "30.03.2026"], &["30.03.2026", "--as-of"]);
    cannot(&["vet", TIRES, "--van", VANS, "--as-of", "2026-02-30"], &["2026-02-30"]);
    cannot(&["vet", TIRES, "--van", VANS, "--set", "0"], &["--set"]);
    cannot(&["vet", TIRES, "--van", VANS, "--threads", "0"], &["--threads"]);
    cannot(&["vet", TIRES, "--van", VANS, "--fail-on", "rejection"], &["rejection", "rejected"]);
    cannot(&["why", "SK-1707", "--van", VANS], &[]);
}

#[test]
fn a_number_that_no_part_has_is_refused_and_the_nearest_offered() {
    cannot(&["why", "SK-1770", WHEELS, "--van", VANS], &["SK-1770", "SK-17"]);
    cannot(&["why", "SK-17O7", WHEELS, "--van", VANS], &["SK-17O7", "is `SK-1707` meant?"]);
    cannot(&["why", "nothing like it", WHEELS, "--van", VANS], &["nothing like it"]);
}

#[test]
fn what_a_run_was_asked_to_fail_on_ends_with_1_and_is_still_written() {
    for what in ["rejected", "unproven", "sheet"] {
        let output = ends(&["vet", WHEELS, "--van", VANS, "--format", "csv", "--fail-on", what], 1);
        assert!(out(&output).lines().count() > 100, "{what}");
    }
    ends(&["vet", WHEELS, "--van", VANS, "--fail-on", "rejected,sheet"], 1);
    // One wheel that fits, with every cell read.
    let fits = folder(&[("fits.csv", FITS.as_bytes())]);
    let sheet = at(&fits, "fits.csv");
    let van = "samples/vans/orlbeck-l4.toml";
    let output =
        ends(&["vet", &sheet, "--van", van, "--format", "jsonl", "--fail-on", "rejected,unproven,sheet"], 0);
    assert!(out(&output).contains("\"verdict\":\"fits\""), "{}", out(&output));
    // Each asks for itself alone.
    let rejected = FITS.replace("6x130", "5x130");
    let unproven = FITS.replace("6x130", "");
    let garbled = FITS.replace("6x130", "a few");
    let files = folder(&[
        ("rejected.csv", rejected.as_bytes()),
        ("unproven.csv", unproven.as_bytes()),
        ("garbled.csv", garbled.as_bytes()),
    ]);
    for (name, values) in
        [("rejected.csv", [1, 0, 0]), ("unproven.csv", [0, 1, 0]), ("garbled.csv", [0, 1, 1])]
    {
        for (what, value) in ["rejected", "unproven", "sheet"].into_iter().zip(values) {
            ends(&["vet", &at(&files, name), "--van", van, "--fail-on", what], value);
        }
    }
}

/// A sheet with one wheel that fits the Orlbeck.
const FITS: &str = "Supplier,SKU,Model,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (kg),Seat,Bolt Hole (mm),Beadlock,Marking\n\
                    Skarnwell Forge,X-1,Skelver,16x6.5,6x130,60,84.1,1300,ball R14,15,no,SAE J2530\n";

#[test]
fn checking_rules_ends_with_1_where_anything_is_wrong() {
    let sound = format!("{RULE}{WITNESSES}");
    let files = folder(&[
        ("sound.toml", sound.as_bytes()),
        ("unwitnessed.toml", RULE.as_bytes()),
        ("untrue.toml", sound.replace("39 mm", "41 mm").as_bytes()),
        ("slip.toml", sound.replace("wheel.offset", "wheel.ofset").as_bytes()),
        ("form.toml", b"[[rule]\n"),
        ("van.toml", orlbeck().as_bytes()),
        ("vanslip.toml", orlbeck().replace("pilot ", "pilott").as_bytes()),
        ("vanpack.toml", orlbeck().replace("us-road", "us-raod").as_bytes()),
    ]);
    ends(&["rules", "check", &at(&files, "sound.toml")], 0);
    ends(&["rules", "check", &at(&files, "van.toml")], 0);
    ends(&["rules", "check", VANS, "rules"], 0);
    for (name, said) in [
        ("unwitnessed.toml", "no witness"),
        ("untrue.toml", "the rule gives `pass`"),
        ("slip.toml", "is `wheel.offset` meant?"),
        ("form.toml", "form.toml"),
        ("vanslip.toml", "is `pilot` meant?"),
        ("vanpack.toml", "is `us-road` meant?"),
    ] {
        let output = ends(&["rules", "check", &at(&files, name)], 1);
        let message = words(&aside(&output));
        assert!(message.contains(said) && message.contains(name), "{name}: {}", aside(&output));
    }
    // All files of a folder, all problems.
    let output = ends(&["rules", "check", files.path().to_str().unwrap()], 1);
    for name in ["unwitnessed.toml", "untrue.toml", "slip.toml", "form.toml", "vanslip.toml", "vanpack.toml"]
    {
        assert!(words(&aside(&output)).contains(name), "{name}: {}", aside(&output));
    }
    cannot(&["rules", "check", "no-such-folder"], &["no-such-folder"]);
}

#[test]
fn work_files_are_checked_alone_and_with_the_vans_that_name_them() {
    let shared =
        "[[work]]\nname = \"hub rings\"\nlowers = { \"wheel.center_bore\" = \"84.1 mm\" }\ncosts = 24\n";
    let idle = "[[work]]\nname = \"new badges\"\nsets = { \"van.gvwr\" = \"4300 kg\" }\ncosts = 1\n";
    let van = orlbeck().replace("gvwr ", "work_files = \"work.toml\"\ngvwr ");
    let sound = folder(&[("van.toml", van.as_bytes()), ("work.toml", shared.as_bytes())]);
    let output = ends(&["rules", "check", sound.path().to_str().unwrap()], 0);
    assert!(out(&output).starts_with("1 van, 1 work file, "), "{}", out(&output));
    let args = ["why", "SK-1707", WHEELS, "--van", sound.path().to_str().unwrap()];
    assert!(out(&ends(&args, 0)).contains("hub rings  "), "the van has the shared work");
    cannot(
        &["vet", WHEELS, "--van", &at(&sound, "work.toml")],
        &["work.toml", "holds work only", "work_files"],
    );

    let useless = folder(&[("van.toml", van.as_bytes()), ("work.toml", idle.as_bytes())]);
    let output = ends(&["rules", "check", useless.path().to_str().unwrap()], 1);
    let message = words(&aside(&output));
    assert!(message.contains("work.toml") && message.contains("new badges"), "{}", aside(&output));
    ends(&["vet", WHEELS, "--van", useless.path().to_str().unwrap()], 0);
}

#[test]
fn sheets_come_from_standard_input_too() {
    let van = "samples/vans/orlbeck-l4.toml";
    let output = run_with(&["vet", "-", "--van", van, "--format", "jsonl"], FITS.as_bytes());
    assert_eq!(output.status.code(), Some(0), "{}", aside(&output));
    assert!(out(&output).contains("\"verdict\":\"fits\""));
    let output = run_with(&["why", "X-1", "-", "--van", van], FITS.as_bytes());
    assert_eq!(output.status.code(), Some(0), "{}", aside(&output));
    let output = run_with(&["vet", "-", "--van", van], b"");
    assert_eq!(output.status.code(), Some(2));
    assert!(
        out(&output).is_empty() && words(&aside(&output)).contains("standard input"),
        "{}",
        aside(&output)
    );
}

#[test]
fn sheets_may_stand_behind_the_vans_where_other_options_part_them() {
    let wanted = out(&ends(&["vet", TIRES, "--van", VANS, "--format", "csv"], 0));
    assert_eq!(out(&ends(&["vet", "--van", VANS, "--format", "csv", TIRES], 0)), wanted);
    assert_eq!(out(&ends(&["vet", "--format", "csv", "--van", VANS, "--", TIRES], 0)), wanted);
}

#[test]
fn sheets_may_stand_right_behind_the_vans() {
    let wanted = out(&ends(&["vet", TIRES, "--van", VANS, "--format", "csv"], 0));
    assert_eq!(out(&ends(&["vet", "--van", VANS, TIRES, "--format", "csv"], 0)), wanted);
    let vans = ["samples/vans/orlbeck-l4.toml", "samples/vans/wexholm-d46.toml"];
    let both = ends(&["vet", "--van", vans[0], vans[1], TIRES, "--format", "csv"], 0);
    assert_eq!(out(&both), wanted);
    let output = run_with(&["vet", "--van", VANS, "-"], FITS.as_bytes());
    assert_eq!(output.status.code(), Some(0), "{}", aside(&output));
}

#[test]
fn remarks_stand_on_standard_error_unless_asked_to_be_quiet() {
    for format in ["json", "jsonl", "csv", "page"] {
        let loud = ends(&["vet", WHEELS, "--van", VANS, "--format", format], 0);
        let quiet = ends(&["vet", WHEELS, "--van", VANS, "--format", format, "--quiet"], 0);
        assert!(!aside(&loud).is_empty() && aside(&quiet).is_empty(), "{format}");
        assert_eq!(out(&loud), out(&quiet), "{format}");
    }
    // What went wrong is said all the same.
    cannot(&["vet", "no-such.csv", "--van", VANS, "--quiet"], &["no-such.csv"]);
}

/// Reads one byte of the output, then goes away.
fn goes_away(format: &str) {
    let mut child = command(&["vet", WHEELS, TIRES, "--van", VANS, "--format", format, "--quiet"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0; 1];
    child.stdout.take().unwrap().read_exact(&mut first).unwrap();
    let output = child.wait_with_output().unwrap();
    // Ended by itself, or by the system's signal.
    assert!(matches!(output.status.code(), Some(0) | None), "{format}: {}", aside(&output));
    assert_eq!(aside(&output), "", "{format}");
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    for format in ["json", "jsonl"] {
        goes_away(format);
    }
}

#[test]
fn a_reader_of_csv_that_goes_away_is_no_error() {
    goes_away("csv");
}

#[test]
fn nothing_is_written_into_the_folders_that_are_read() {
    let files = folder(&[("fits.csv", FITS.as_bytes()), ("van.toml", orlbeck().as_bytes())]);
    let path = files.path().to_str().unwrap();
    ends(&["vet", path, "--van", path], 0);
    let mut names: Vec<_> =
        std::fs::read_dir(files.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, ["fits.csv", "van.toml"]);
}

#[test]
fn an_output_that_cannot_be_written_ends_with_2() {
    let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") else {
        // Only some systems have a device that is always full.
        return;
    };
    let output = command(&["vet", WHEELS, "--van", VANS, "--format", "csv", "--quiet"])
        .stdout(full)
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| panic!("{error}"))
        .wait_with_output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(!aside(&output).is_empty());
}

#[test]
fn a_draft_never_takes_the_place_of_what_is_read() {
    let folder = TempDir::new().unwrap();
    let (sheet, draft) = (folder.path().join("list.csv"), folder.path().join("list.toml"));
    let rows = "SKU,Size,Bolt Pattern\nNF-1,16x6.5,6x130\n";
    std::fs::write(&sheet, rows).unwrap();
    let (list, profile) = (sheet.to_str().unwrap(), draft.to_str().unwrap());
    ends(&["survey", list, "--draft", profile], 0);
    let drafted = std::fs::read_to_string(&draft).unwrap();
    cannot(&["survey", list, "--draft", list], &["read or written by this run already"]);
    cannot(
        &["survey", list, "--profile", profile, "--draft", profile],
        &["read or written by this run already"],
    );
    assert_eq!(std::fs::read_to_string(&sheet).unwrap(), rows);
    assert_eq!(std::fs::read_to_string(&draft).unwrap(), drafted);
}

#[test]
fn packages_are_for_one_van_and_need_wheels_and_tires() {
    let one = "samples/vans/orlbeck-l4.toml";
    cannot(&["pair", WHEELS, TIRES, "--van", VANS], &["one van", "here are 2"]);
    cannot(&["pair", WHEELS, "--van", one], &["no tire"]);
    cannot(&["pair", TIRES, "--van", one], &["no wheel"]);
    cannot(&["why", "PW-1606", "--with", "SK-1604", WHEELS, TIRES, "--van", one], &["no tire"]);
    cannot(&["why", "PW-1606", "--with", "OB-10001", WHEELS, TIRES, "--van", one], &["is `OB-1001` meant"]);
    let fails = ["pair", WHEELS, TIRES, "--van", one, "--fail-on"];
    for what in ["rejected", "unproven", "sheet"] {
        ends(&[fails.as_slice(), &[what]].concat(), 1);
    }
}

#[test]
fn without_a_package_the_rule_that_stops_most_pairs_is_named() {
    let folder = folder(&[
        ("wheels.csv", b"SKU,Size,Bolt Pattern\nW1,16x6.5,5x120\nW2,16x7,5x120\n"),
        ("tires.csv", b"SKU,Size\nT1,235/65R16C 121/119R\n"),
        ("other.csv", b"SKU,Size\nT1,265/70R17 121/118S\n"),
    ]);
    let pair = |tires: &str, more: &[&str]| {
        let (wheels, tires) = (at(&folder, "wheels.csv"), at(&folder, tires));
        let van = ["--van", "samples/vans/orlbeck-l4.toml"];
        let output = ends(&[&["pair", &wheels, &tires], van.as_slice(), more].concat(), 0);
        (words(&out(&output)), words(&aside(&output)))
    };
    let (report, _) = pair("tires.csv", &[]);
    assert!(report.contains("stops most pairs is bolt-pattern (2 pairs)"), "{report}");
    let (lines, remarks) = pair("tires.csv", &["--format", "jsonl"]);
    assert_eq!(lines, "");
    assert!(remarks.contains("stops most pairs is bolt-pattern (2 pairs)"), "{remarks}");
    let (lines, _) = pair("tires.csv", &["--format", "jsonl", "--rejected"]);
    assert_eq!(lines.matches("\"verdict\":\"rejected\"").count(), 2);
    let (report, _) = pair("other.csv", &[]);
    assert!(report.contains("no wheel and tire are for the same rim"), "{report}");
}
