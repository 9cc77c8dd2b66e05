//! The buyer's page as bytes: what it counts, what it leaves out and says so. How it looks and works in a
//! browser is held by `tests/browser`.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

const ORLBECK: &str = "samples/vans/orlbeck-l4.toml";
const WEXHOLM: &str = "samples/vans/wexholm-d46.toml";

struct Bench {
    folder: TempDir,
}

impl Bench {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn write(&self, name: &str, text: &str) -> PathBuf {
        let path = self.folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path
    }
}

fn vet(sheets: &[&Path], more: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_rimsieve"))
        .arg("vet")
        .args(sheets)
        .args(["--format", "page", "--no-shop"])
        .args(more)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap()
}

fn page(sheets: &[&Path], more: &[&str]) -> String {
    let output = vet(sheets, more);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// The strips of a page: what each measures, what it tells in words, and which parts it counts.
fn strips(page: &str) -> Vec<[String; 3]> {
    let between = |text: &str, from: &str, to: &str| {
        let start = text.find(from).unwrap() + from.len();
        let start =
            start + text[start..].find('>').map_or(0, |at| if from.ends_with('>') { 0 } else { at + 1 });
        text[start..start + text[start..].find(to).unwrap()].to_owned()
    };
    let mut found = Vec::new();
    for list in page.split("<ul class=\"strips\"").skip(1) {
        let list = &list[..list.find("</ul>").unwrap()];
        for strip in list.split("<li>").skip(1) {
            found.push([
                between(strip, "<h4>", "</h4>"),
                between(strip, "<desc", "</desc>"),
                between(strip, "<p class=\"also\">", "</p>"),
            ]);
        }
    }
    found
}

fn strip<'s>(strips: &'s [[String; 3]], words: &str) -> &'s [String; 3] {
    let found = strips.iter().find(|[name, ..]| name == words);
    assert!(found.is_some(), "no `{words}` in {strips:?}");
    found.unwrap()
}

const TIRES: &str = "\
Supplier,SKU,Name,Size,Service Description,Price USD
Ombrick,LT-1,Mimwick,LT245/75R16,120/116S,179.00
Ombrick,P-1,Mimwick,P235/70R16,106T,99.00
Ombrick,C-1,Mimwick,235/65R16C,121/119R,129.00
Ombrick,N-1,Mimwick,235/65R16C,,129.00
";

#[test]
fn the_page_is_the_same_on_any_number_of_threads() {
    let samples = [Path::new("samples/sheets/wheels.xlsx"), Path::new("samples/sheets/tires.csv")];
    let one = page(&samples, &["--van", "samples/vans", "--threads", "1"]);
    assert_eq!(one, page(&samples, &["--van", "samples/vans", "--threads", "4"]));
    assert_eq!(one, page(&samples, &["--van", "samples/vans"]));
    assert!(one.starts_with("<!doctype html>") && one.ends_with("</html>\n"));
}

#[test]
fn strips_count_only_parts_that_their_rule_decides() {
    let bench = Bench::new();
    let sheet = bench.write("tires.csv", TIRES);
    let strips = strips(&page(&[&sheet], &["--van", ORLBECK]));
    // LT-1, P-1 and C-1 have a load; N-1 states none. 120 is 1400 kg, 106 is 950 kg, 121 is 1450 kg; the
    // rear axle of 2430 kg needs 1215 kg a tire.
    let [_, tells, counted] = strip(&strips, "tire: load of one tire");
    assert_eq!(counted, "3 tires, rule tire-load");
    assert!(tells.starts_with("At least 1215 kg (2679 lb) is needed; 2 within,"), "{tells}");
    assert!(tells.ends_with("1 further off."), "{tells}");
    // Only P-1 is a passenger tire, and only its load is divided.
    let [_, tells, counted] = strip(&strips, "tire: load of one tire, as passenger-derate counts it");
    assert_eq!(counted, "1 tire, rule passenger-derate");
    // 950 / 1.10.
    assert!(tells.contains("this part has 863.6 kg (1904 lb), beyond"), "{tells}");
    // Four sizes, each with its diameter.
    assert_eq!(strip(&strips, "tire: overall diameter")[2], "4 tires, rule tire-diameter");
}

#[test]
fn twin_wheels_have_their_own_load() {
    let bench = Bench::new();
    let sheet = bench.write("tires.csv", TIRES);
    let strips = strips(&page(&[&sheet], &["--van", WEXHOLM]));
    // 1850 kg on two, 3840 kg on four.
    let single = &strip(&strips, "tire: load of one tire")[1];
    assert!(single.starts_with("At least 925 kg (2039 lb) is needed"), "{single}");
    let twin = &strip(&strips, "tire: load of one tire in twin fitment")[1];
    assert!(twin.starts_with("At least 960 kg (2116 lb) is needed"), "{twin}");
}

#[test]
fn a_shops_own_rule_has_its_strip_whichever_way_it_is_written() {
    let bench = Bench::new();
    let wheels = bench.write(
        "wheels.csv",
        "Supplier,SKU,Name,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (kg),Seat,Weight (kg)\n\
         Tallow,T-1,Oxter,16x6.5,6x130,50,84.1,1300,Ball R14,11\n\
         Tallow,T-2,Oxter,16x6.5,6x130,50,84.1,1300,Ball R14,19\n",
    );
    let rules = bench.write(
        "light.toml",
        r#"
[[rule]]
name   = "light"
on     = "wheel"
demand = "15 kg >= wheel.weight"
says   = "weighs {wheel.weight}"
basis  = "common practice, no source: one person lifts it"
[[rule.witness]]
gives = "pass"
wheel = { weight = "14 kg" }
[[rule.witness]]
gives = "fail"
wheel = { weight = "16 kg" }
[[rule.witness]]
gives = "unknown"
wheel = {}
"#,
    );
    let strips = strips(&page(&[&wheels], &["--van", ORLBECK, "--rules", rules.to_str().unwrap()]));
    let [_, tells, counted] = strip(&strips, "wheel: weight");
    assert_eq!(counted, "2 wheels, rule light");
    assert!(tells.starts_with("At most 15 kg (33 lb) is allowed; 1 within,"), "{tells}");
}

#[test]
fn what_is_left_out_is_counted() {
    let bench = Bench::new();
    let mut sheet = String::from(
        "Supplier,SKU,Name,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (kg),Seat\n",
    );
    for at in 0..2100 {
        // Every seventh fits; the first 250 have an offset that nobody can read.
        let offset = if at < 250 { "deep".to_owned() } else { (45 + at % 5).to_string() };
        let load = if at % 7 == 0 { 1300 } else { 700 };
        writeln!(sheet, "Tallow,T-{at:04},Oxter,16x6.5,6x130,{offset},84.1,{load},Ball R14").unwrap();
    }
    let page = page(&[&bench.write("many.csv", &sheet)], &["--van", ORLBECK]);
    assert!(page.contains("The table holds 2000 of 2100 parts"));
    let rows = page.matches("<tr data-kind=").count();
    assert_eq!(rows, 2000);
    let fits = (250..2100).filter(|at| at % 7 == 0).count();
    assert_eq!(page.matches("data-v=\"fits\"").count(), fits, "what fits is never left out");
    assert!(
        page.contains("50 more are not listed here; the JSON form"),
        "of 250 unreadable cells 200 are told"
    );
}

#[test]
fn a_sheet_without_parts_has_a_page_that_says_so() {
    let bench = Bench::new();
    let page = page(&[&bench.write("empty.csv", "SKU,Size,Bolt Pattern,Offset (mm)\n")], &["--van", ORLBECK]);
    assert!(page.contains("No wheel or tire was found in these sheets"));
    assert!(!page.contains("<script>") && !page.contains("<table"));
}

#[test]
fn a_run_that_cannot_be_done_writes_no_page() {
    let output = vet(&[Path::new("samples/sheets/tires.csv")], &["--van", "no-such-van.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
}
