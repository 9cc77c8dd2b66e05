//! The list of text sheets, row by row with no row kept, is the list of a whole judgement, byte for byte.
//!
//! Sheets are made of the spellings of the trade and of what stands in real sheets in their place, so that every
//! notation, sense check, derivation, rule and work has its turn; each is listed both ways.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use rimsieve::document::Source;
use rimsieve::facts::value::Value;
use rimsieve::intake;
use rimsieve::judge::{Judgement, judge};
use rimsieve::progress::Progress;
use rimsieve::report;
use rimsieve::rules::{RuleSet, read_rules};
use rimsieve::run::is_sheet_name;
use rimsieve::sheet::{self, Irregular, Limits, Piece, PiecedText, Tab};
use rimsieve::sieve::{self, By, Given};
use rimsieve::van::{self, Van};
use rust_xlsxwriter::{Format, Workbook};

/// A source of numbers that are the same in every run.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % most
    }

    fn pick<'t>(&mut self, from: &[&'t str]) -> &'t str {
        from[self.below(from.len())]
    }
}

/// What stands in cells of any column now and then.
const ODD: [&str; 16] = [
    "",
    "",
    "",
    "N/A",
    "-",
    "TBD",
    "call",
    "#REF!",
    "??",
    "see notes",
    "17x",
    "1O5",
    "\u{a0}",
    "=1+1",
    "two\nlines",
    "say \"so\"",
];

const WHEELS: [(&str, &[&str]); 15] = [
    ("Supplier", &["Pellowick Alloys", "Skarnwell", "D\u{f6}rrhagen", "-Quabbet", "a, b"]),
    ("Model", &["Skelver", "Total Grip", "Totalo", "Marrow \"II\"", "@tag"]),
    ("Finish", &["black", "satin, machined", "bronze"]),
    (
        "Size",
        &[
            "17x8.5",
            "16x7",
            "8.5Jx17H2",
            "17 X 8,5",
            "16x6.5",
            "18x9",
            "17x8.5 ET38",
            "20x10",
            "16x6.5 6x130",
        ],
    ),
    (
        "Bolt Pattern",
        &["6x130", "6-130", "6/130", "130x6", "6x5.12\"", "5x127/5x139.7", "6x139.7", "6 X 130mm"],
    ),
    ("Offset (mm)", &["ET38", "+38", "38mm", "-12", "50", "62", "68", "S0", "115", "\u{2212}12"]),
    ("Backspacing (in)", &["6.24", "6.5", "5.5", "7.1", "5.7", "160 mm", "6 1/2"]),
    ("Center Bore (mm)", &["84.1", "84.10 mm", "106.1", "78.1", "84,1", "3.31 in", "250"]),
    ("Load Rating (lb)", &["3,200", "2700", "1450 kg", "2679 lb", "2676", "3200#", "1.450 kg", "99"]),
    ("Seat", &["60\u{b0} cone", "conical", "ball R14", "Ball", "flat", "radius 13", "acorn"]),
    ("Bolt Hole (mm)", &["15", "14.5", "16 mm", "13"]),
    ("Beadlock", &["no", "yes", "N", "Y"]),
    ("Markings", &["JWL", "JWL-T", "SAE J2530", "ECE R124"]),
    ("Weight (lb)", &["24.5", "11 kg", "31"]),
    ("Price (USD)", &["281.00", "$1,281.50", "308"]),
];

const TIRES: [(&str, &[&str]); 14] = [
    ("Supplier", &["Hathermoor Tire", "Orrinbeck", "sum total", "+plus"]),
    ("Tread", &["Fellside AW", "Count Down", "Average", "Moorgrip"]),
    (
        "Size",
        &[
            "LT265/70R17/E 121/118S",
            "265/70R17 115T XL",
            "235/65R16C 121/119R",
            "35x12.50R17LT 121Q E",
            "225/75R16C 10PR",
            "LT245/75R16",
            "LT275 65R20 126 123S",
            "7.50R16LT",
            "235/65R16C 119/121R",
        ],
    ),
    ("Overall Diameter (in)", &["31.6", "30.5", "28.0", "803 mm", "27.8", "29.7"]),
    ("Section Width (in)", &["10.7", "9.3", "240 mm", "10.4"]),
    ("Load Index", &["121/118", "115", "121", "121/119", "300", "88"]),
    ("Speed", &["S", "R", "Q", "T", "H", "ZZ"]),
    ("Max Load (lb)", &["3195", "3,195", "1450 kg", "2535", "1.450 kg"]),
    ("Max Load Dual (lb)", &["2910", "1360 kg", "2,910"]),
    ("Max Pressure (psi)", &["80", "65 psi", "550 kPa", "5.5 bar"]),
    ("Load Range", &["E", "D", "C", "E (10)", "10PR"]),
    ("3PMSF", &["Y", "N", "yes"]),
    ("DOT", &["2323", "1019", "3525", "0199"]),
    ("Price (EUR)", &["189.00", "204,50"]),
];

/// A sheet of so many rows, as comma separated text.
fn made(columns: &[(&str, &[&str])], rows: usize, seed: u64) -> String {
    let first = columns[1].0;
    let mut numbers = Numbers(seed);
    let mut text = String::from("Spring list, all prices without tax\r\n\r\nSKU");
    for (heading, _) in columns {
        write!(text, ",{heading}").unwrap();
    }
    text.push_str("\r\n");
    for row in 0..rows {
        match numbers.below(40) {
            0 => text.push_str("\r\n"),
            1 => text.push_str("\"Notes: hub rings sold separately\"\r\n"),
            2 => text.push_str("Total,12\r\n"),
            3 => write!(text, "A-{row}\r\n").unwrap(),
            _ => {}
        }
        let sku = if numbers.below(50) == 0 { String::new() } else { format!("{first}-{seed}-{row:05}") };
        text.push_str(&sku);
        for (_, texts) in columns {
            let cell = if numbers.below(12) == 0 { numbers.pick(&ODD) } else { numbers.pick(texts) };
            if cell.contains([',', '"', '\n']) {
                write!(text, ",\"{}\"", cell.replace('"', "\"\"")).unwrap();
            } else {
                write!(text, ",{cell}").unwrap();
            }
        }
        text.push_str(if numbers.below(9) == 0 { "\n" } else { "\r\n" });
    }
    text
}

struct Shop {
    rules: RuleSet,
    vans: Vec<Van>,
    packs: Vec<String>,
    as_of: Option<Value>,
}

/// A van for which the shop has no work.
const NO_WORK: &str = r#"
[van]
id = "bare-hub"
name = "Bare hub"
gvwr = "4280 kg"
top_speed = "150 km/h"
front = { axle_load = "1850 kg", wheels = 2 }
rear = { axle_load = "2430 kg", wheels = 2 }
[van.hub]
bolt_pattern = "6x130"
pilot = "84.1 mm"
fixing = "bolt"
thread = "M14x1.5"
seat = "cone 60"
[van.room]
offset = ["30 mm", "62 mm"]
rim_width = ["6 in", "9 in"]
tire_diameter = "790 mm"
"#;

/// Rules of a shop: they name what shipped rules never read, compare words, and ask of three facts at once.
const OWN_RULES: &str = r#"
[[rule]]
name = "named-load"
on = "wheel"
demand = "wheel.load_rating >= 1300 kg"
failing = "reject"
says = "{wheel.name} by {wheel.supplier}, \"{wheel.finish}\", carries {measured}"
basis = "the shop's own"

[[rule]]
name = "counted-tread"
on = "tire"
demand = "tire.tread in [\"Fellside AW\", \"Moorgrip\"]"
failing = "reject"
says = "tread {tire.tread}, size {tire.size}"
basis = "the shop's own"

[[rule]]
name = "three-facts"
on = "wheel"
when = "wheel.rim_diameter >= 17 in"
demand = "wheel.offset + wheel.rim_width * 2 >= wheel.center_bore * 4"
failing = "reject"
says = "offset, width and bore do not go together"
basis = "the shop's own"
"#;

fn shop(vans: &[&str], packs: &[&str]) -> Shop {
    let mut rules = RuleSet::shipped().unwrap();
    if vans.is_empty() {
        let (own, problems) = read_rules(&Source::new("own.toml", OWN_RULES));
        assert!(problems.is_empty(), "{problems:?}");
        rules.add(own);
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let bare = tempfile::tempdir().unwrap();
    let no_work = written(bare.path(), "bare-hub.toml", NO_WORK);
    let vans: Vec<PathBuf> = vans.iter().map(|van| root.join(van)).chain([no_work]).collect();
    let vans = van::read_all(&vans, &rules).unwrap();
    let as_of = (!packs.is_empty()).then_some(Value::Number(20_000.0));
    Shop { rules, vans, packs: packs.iter().map(|pack| (*pack).to_owned()).collect(), as_of }
}

/// The list and the account, the whole way.
fn whole(shop: &Shop, paths: &[PathBuf]) -> (String, String) {
    let sheets: Vec<_> = paths.iter().map(|path| sheet::read(path).unwrap()).collect();
    let catalog = intake::take_in(&sheets, &[]).unwrap();
    let Shop { rules, vans, packs, as_of } = shop;
    let judgement = judge(catalog, rules.clone(), vans.clone(), packs.clone(), as_of.clone());
    let (mut list, mut account) = (Vec::new(), Vec::new());
    report::list::write(&judgement, &mut list).unwrap();
    report::people::write_aside(&judgement, &mut account).unwrap();
    (String::from_utf8(list).unwrap(), String::from_utf8(account).unwrap())
}

/// The same, row by row.
fn row_by_row(shop: &Shop, paths: &[PathBuf], threads: usize) -> Result<(String, String), Irregular> {
    let limits = Limits::default();
    // A sheet that cannot be read is told of by the whole way.
    let read = |path: &PathBuf| {
        let is_book = sheet::begins_as_workbook(path);
        is_book.then(|| sheet::read(path)).transpose().map_err(|_| Irregular)
    };
    let books = paths.iter().map(read).collect::<Result<Vec<_>, Irregular>>()?;
    let given = paths.iter().zip(&books).map(|(path, book)| match book {
        Some(book) => Given::Held(book),
        None => Given::Text(path),
    });
    let given: Vec<Given<'_>> = given.collect();
    let sheets = sieve::survey(&given, &limits, threads, &Progress::unseen())?;
    let Shop { rules, vans, packs, as_of } = shop;
    let by = By { rules, vans, packs, as_of: as_of.as_ref() };
    let mut list = Vec::new();
    let listed =
        sieve::write(&sheets, by, &limits, threads, &Progress::unseen(), &mut list).unwrap().unwrap();
    let none: Judgement<'_> =
        judge(intake::take_in(&[], &[]).unwrap(), rules.clone(), vans.clone(), packs.clone(), as_of.clone());
    let mut account = Vec::new();
    let accounts = listed.sheets.iter().map(|sheet| (&sheet.account, sheet.faults));
    report::people::write_counts(&none, accounts, &mut account).unwrap();
    Ok((String::from_utf8(list).unwrap(), String::from_utf8(account).unwrap()))
}

fn written(folder: &Path, name: &str, text: &str) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path
}

/// Points at the first line that differs.
fn assert_same(ours: &str, theirs: &str, what: &str) {
    for (nth, (ours, theirs)) in ours.lines().zip(theirs.lines()).enumerate() {
        assert_eq!(ours, theirs, "{what}, line {}", nth + 1);
    }
    assert_eq!(ours.len(), theirs.len(), "{what}: one list is longer");
}

/// The list of the whole way, which is that of the other on one thread and on three; and so is the account.
fn list_of_both_ways(shop: &Shop, paths: &[PathBuf]) -> String {
    let (list, account) = whole(shop, paths);
    for threads in [1, 3] {
        let (ours, counts) = row_by_row(shop, paths, threads).unwrap();
        assert_same(&ours, &list, &format!("{threads} threads"));
        assert_eq!(counts, account);
    }
    list
}

#[test]
fn sheets_of_every_spelling_are_listed_as_the_whole_way_lists_them() {
    let folder = tempfile::tempdir().unwrap();
    for (vans, packs) in [
        (&["samples/vans"][..], &[][..]),
        (&["samples/vans"], &["winter", "us-road", "unece-road"]),
        // No van of the samples, and the rules of a shop beside the shipped ones.
        (&[], &[]),
    ] {
        let shop = shop(vans, packs);
        let mut all = String::new();
        for seed in 1..4 {
            let paths = [
                written(folder.path(), "wheels.csv", &made(&WHEELS, 300, seed)),
                written(folder.path(), "tires.csv", &made(&TIRES, 300, seed)),
            ];
            all.push_str(&list_of_both_ways(&shop, &paths));
        }
        for verdict in ["fits-with-work", "unproven", "rejected"] {
            let some =
                all.contains(&format!(",{verdict},wheel")) && all.contains(&format!(",{verdict},tire"));
            assert!(some || vans.is_empty(), "no part is {verdict}: the test tests too little");
        }
    }
}

#[test]
fn a_sheet_of_many_pieces_is_one_list_before_the_next() {
    let folder = tempfile::tempdir().unwrap();
    let shop = shop(&["samples/vans"], &[]);
    // Some five pieces, and at each border a record with a line end in it. All hands go on to the next sheet.
    let paths = [
        written(folder.path(), "wheels.csv", &made(&WHEELS, 8_000, 9)),
        written(folder.path(), "tires.csv", &made(&TIRES, 300, 9)),
    ];
    list_of_both_ways(&shop, &paths);
}

#[test]
fn a_sheet_whose_cells_all_differ_is_listed_though_hands_forget() {
    let folder = tempfile::tempdir().unwrap();
    let shop = shop(&["samples/vans/orlbeck-l4.toml"], &[]);
    let mut text = String::from(
        "SKU,Supplier,Model,Finish,Size,Bolt Pattern,Offset (mm),Backspacing (in),Center Bore (mm),Load Rating (lb),\
         Seat,Bolt Hole (mm),Weight (lb)\n",
    );
    // More distinct cells than a hand keeps of such a sheet.
    for row in 0..6_000 {
        let (small, offset) = (f64::from(row) / 1e6, 20 + row % 50);
        writeln!(
            text,
            "D-{row},by {row},model {row},gloss {row},17x{:.6},6x{:.6},ET{offset}.{row:04},{:.6},{:.6} mm,{:.6},\
             cone 60 {row},{:.6},{:.6}",
            8.5 + small,
            130.0 + small,
            6.24 + small,
            84.1 + small,
            3200.0 + small * 1e3,
            14.5 + small,
            24.0 + small,
        )
        .unwrap();
    }
    let paths = [written(folder.path(), "wheels.csv", &text)];
    list_of_both_ways(&shop, &paths);
}

#[test]
fn a_sheet_of_many_spellings_is_listed_though_hands_forget_texts_alone() {
    let folder = tempfile::tempdir().unwrap();
    let shop = shop(&["samples/vans/orlbeck-l4.toml"], &[]);
    let mut text = String::from("SKU,Size,Bolt Pattern,Offset (mm),Center Bore (mm)\n");
    // More texts than a hand keeps, but fewer than rows, and of few facts.
    for row in 0..40_000 {
        let spelled = row - row % 5 / 4;
        let (bore, zeros, spaces) = (60 + spelled % 100, 1 + spelled / 100 % 8, spelled / 800);
        writeln!(text, "S-{row},17x8.5,6x130,ET50,{bore}.{:0<zeros$}{:spaces$}mm", "", "").unwrap();
    }
    let paths = [written(folder.path(), "wheels.csv", &text)];
    list_of_both_ways(&shop, &paths);
}

/// The same tables as tabs of one workbook, figures as numbers, behind a tab of notes.
fn workbook(folder: &Path, tabs: &[(&str, String)]) -> PathBuf {
    let mut book = Workbook::new();
    let notes = book.add_worksheet();
    notes.set_name("Terms").unwrap();
    notes.write(0, 0, "Prices hold until spring").unwrap();
    let weight = Format::new().set_num_format("0.0\" lb\"");
    for (name, text) in tabs {
        let tab = book.add_worksheet();
        tab.set_name(*name).unwrap();
        let mut reader =
            csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
        for (row, record) in (3..).zip(reader.records()) {
            for (column, text) in (1..).zip(record.unwrap().iter()) {
                match text.parse::<f64>() {
                    Ok(number) if column == 13 => {
                        tab.write_with_format(row, column, number, &weight).unwrap()
                    }
                    Ok(number) => tab.write(row, column, number).unwrap(),
                    Err(_) if text == "=1+1" => tab.write_formula(row, column, text).unwrap(),
                    Err(_) => tab.write(row, column, text).unwrap(),
                };
            }
        }
        tab.set_row_hidden(9).unwrap();
    }
    let path = folder.join("book.xlsx");
    book.save(&path).unwrap();
    path
}

#[test]
fn tabs_of_a_workbook_are_listed_as_the_whole_way_lists_them() {
    let folder = tempfile::tempdir().unwrap();
    let shop = shop(&["samples/vans"], &[]);
    for seed in 1..3 {
        let tabs = [("Wheels", made(&WHEELS, 1500, seed)), ("Tires, all", made(&TIRES, 300, seed))];
        let paths =
            [workbook(folder.path(), &tabs), written(folder.path(), "more.csv", &made(&WHEELS, 40, 7))];
        let list = list_of_both_ways(&shop, &paths);
        assert!(list.contains(",book.xlsx,\"Tires, all\","), "the test tests too little");
    }
}

#[test]
fn the_sheets_of_other_tests_are_listed_alike_or_left_to_the_whole_way() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let shop = shop(&["samples/vans"], &[]);
    let (mut alike, mut left) = (0, 0);
    for folder in [
        "samples/sheets",
        "samples/next",
        "samples/truth",
        "samples/twins",
        "samples/shop/sheets",
        "tests/dialects",
    ] {
        for file in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = file.unwrap().path();
            if !is_sheet_name(&path) {
                continue;
            }
            match row_by_row(&shop, std::slice::from_ref(&path), 2) {
                Ok((ours, counts)) => {
                    let (list, account) = whole(&shop, std::slice::from_ref(&path));
                    assert_same(&ours, &list, &path.display().to_string());
                    assert_eq!(counts, account);
                    alike += 1;
                }
                Err(Irregular) => left += 1,
            }
        }
    }
    assert!(alike >= 4 && left >= 3, "{alike} listed, {left} left: neither way is tried enough");
}

#[test]
fn what_takes_the_whole_sheet_to_understand_is_left_to_the_whole_way() {
    let folder = tempfile::tempdir().unwrap();
    let shop = shop(&["samples/vans"], &[]);
    let row = "K7-1,17x8.5,6x130,38,84.1,3200,60 cone\n";
    let headings = "SKU,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (lb),Seat\n";
    let plain = format!("{headings}{row}");
    assert!(row_by_row(&shop, &[written(folder.path(), "plain.csv", &plain)], 1).is_ok());
    let bytes = |text: &str| text.as_bytes().to_vec();
    for (why, bytes) in [
        ("a part number twice", bytes(&format!("{plain}{row}"))),
        ("headings again", bytes(&format!("{plain}{headings}K7-2,17x8.5,6x130,38,84.1,3200,60 cone\n"))),
        ("other headings", bytes(&format!("{plain}SKU,Size,Load Rating (kg)\nK7-2,17x8.5,1450\n"))),
        (
            "a note on units",
            bytes(&format!("{plain}all loads in kg from here\nK7-2,17x8.5,6x130,38,84.1,1450,60 cone\n")),
        ),
        ("loads without a unit", bytes(&plain.replace(" (lb)", ""))),
        ("several prices", bytes("SKU,Size,Bolt Pattern,Price,Dealer Price\nK7-1,17x8.5,6x130,281,200\n")),
        (
            "wheels and tires",
            bytes("SKU,Wheel Size,Offset,Tire Size,Load Index\nK7-1,17x8.5,38,,\nT-1,,,LT265/70R17,121\n"),
        ),
        ("a quotation mark in a field", bytes(&plain.replace("60 cone", "60\" cone"))),
        ("an open quotation mark", bytes(&plain.replace("60 cone", "\"60 cone"))),
        ("a field that goes on behind its quotation mark", bytes(&plain.replace("60 cone", "\"60\" cone"))),
        ("a line that ends in CR alone", bytes(&plain.replace('\n', "\r"))),
        ("a zero byte", bytes(&plain.replace("60 cone", "60\0cone"))),
        ("another encoding", [plain.as_bytes(), b"K7-\xE9,17x8.5,6x130,38,84.1,3200,60 cone\n"].concat()),
        ("a workbook", b"PK\x03\x04".to_vec()),
        ("nothing", Vec::new()),
        ("no headings", bytes("1,2,3\n4,5,6\n")),
    ] {
        let path = folder.path().join("sheet.csv");
        std::fs::write(&path, bytes).unwrap();
        assert_eq!(row_by_row(&shop, &[path], 1).map(|(list, _)| list), Err(Irregular), "{why}");
    }
}

#[test]
fn a_rule_that_shows_sizes_as_they_are_spelled_is_left_to_the_whole_way() {
    let folder = tempfile::tempdir().unwrap();
    let mut shop = shop(&["samples/vans"], &[]);
    let own = "[[rule]]\nname = \"stock-size\"\non = \"tire\"\ndemand = \"tire.size == van.stock.tire\"\n\
        failing = \"reject\"\nsays = \"{measured} is not {required}\"\nbasis = \"the shop's own\"\n";
    let (own, problems) = read_rules(&Source::new("own.toml", own));
    assert!(problems.is_empty(), "{problems:?}");
    shop.rules.add(own);
    let limits = Limits::default();
    let path = written(folder.path(), "tires.csv", &made(&TIRES, 3, 1));
    let sheets = sieve::survey(&[Given::Text(&path)], &limits, 1, &Progress::unseen()).unwrap();
    let Shop { rules, vans, packs, as_of } = &shop;
    let by = By { rules, vans, packs, as_of: as_of.as_ref() };
    let mut list = Vec::new();
    assert!(sieve::write(&sheets, by, &limits, 1, &Progress::unseen(), &mut list).is_none());
    assert!(list.is_empty());
}

#[test]
fn pieces_hold_the_cells_that_reading_the_whole_finds() {
    let folder = tempfile::tempdir().unwrap();
    let limits = Limits::default();
    let words =
        ["a", "1", ",", ",", "\"", "\"\"", "\n", "\r\n", "\r", " ", ";", "\u{e9}", "x,y", "\",\"", "\"\n\""];
    let mut numbers = Numbers(7);
    let mut regular = 0;
    for _ in 0..6000 {
        let text: String = (0..numbers.below(24)).map(|_| numbers.pick(&words)).collect();
        let path = written(folder.path(), "text.csv", &text);
        let whole = sheet::read(&path);
        let pieces = || {
            let mut text = PiecedText::open(&path, &limits)?;
            let mut piece = Piece::new(text.form());
            let (mut bytes, mut cells) = (Vec::new(), Vec::new());
            let mut before = 0;
            while text.next(&mut bytes)? {
                before += piece.split(&mut bytes, before, &limits)?.records;
                cells.extend(cells_of(piece.tab()));
            }
            Ok::<_, Irregular>((text.form(), cells))
        };
        let Ok((form, cells)) = pieces() else { continue };
        let whole = whole.unwrap_or_else(|error| panic!("{text:?} is regular, and yet: {error}"));
        assert_eq!((form, cells), (whole.tabs[0].form(), cells_of(&whole.tabs[0])), "{text:?}");
        regular += 1;
    }
    assert!((500..5000).contains(&regular), "{regular} texts of 6000 are regular");
}

fn cells_of(tab: &Tab) -> Vec<(u32, usize, String)> {
    let cells = |row: sheet::Row<'_>| {
        row.cells().map(|cell| (row.number(), cell.column.index(), cell.text.to_owned())).collect::<Vec<_>>()
    };
    tab.rows().flat_map(cells).collect()
}

#[cfg(unix)]
#[test]
fn what_comes_through_a_pipe_is_read_once() {
    let folder = tempfile::tempdir().unwrap();
    let text = made(&WHEELS, 40, 2);
    let file = written(folder.path(), "wheels.csv", &text);
    let pipe = folder.path().join("pipe");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let van = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/vans/orlbeck-l4.toml");
    let listed = |path: &Path| {
        let mut vet = std::process::Command::new(env!("CARGO_BIN_EXE_rimsieve"));
        vet.args(["vet", "--format", "csv", "--no-shop"]).arg(path).arg("--van").arg(&van);
        String::from_utf8(vet.output().unwrap().stdout).unwrap()
    };
    let wanted = listed(&file).replace(",wheels.csv,", ",pipe,");
    let writer = std::thread::spawn({
        let pipe = pipe.clone();
        move || std::fs::write(pipe, text)
    });
    assert_same(&listed(&pipe), &wanted, "through a pipe");
    writer.join().unwrap().unwrap();
}
