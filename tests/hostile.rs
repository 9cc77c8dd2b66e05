//! Reads files that are damaged, dishonest or boundless: each ends in cells or in a [`SheetError`], within the limits
//! on memory and time.
//!
//! `interop/make_hostile.py` makes the files. Workbooks are read by the built program started as a child, as the
//! command line does.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test's own helpers fail the test by panicking"
)]

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use miette::Diagnostic;
use rimsieve::sheet::{
    CellRef, Damage, DateShape, Excess, Limits, NotASheet, Sheet, SheetError, contained, load_stream,
    read_bytes, read_bytes_within, read_within,
};
use tempfile::TempDir;

const SET_UP: &str = "the hostile sheets could not be made; set-up step: `pip install openpyxl xlwt odfpy`";

/// The folder of files, made once; and the program to read workbooks with, named once.
fn files() -> &'static Path {
    static FILES: OnceLock<TempDir> = OnceLock::new();
    FILES
        .get_or_init(|| {
            contained::use_program(PathBuf::from(env!("CARGO_BIN_EXE_rimsieve")));
            let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
            let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/interop/make_hostile.py");
            let made = Command::new("python3")
                .env("PYTHONDONTWRITEBYTECODE", "1")
                .arg(script)
                .arg(folder.path())
                .output()
                .expect(SET_UP);
            let said = String::from_utf8_lossy(&made.stderr);
            assert!(made.status.success(), "{SET_UP}\n{said}");
            folder
        })
        .path()
}

fn bytes_of(file: &str) -> Vec<u8> {
    std::fs::read(files().join(file)).unwrap()
}

fn read_file(file: &str) -> Result<Sheet, SheetError> {
    read_bytes(file, bytes_of(file))
}

fn cell_count(sheet: &Sheet) -> usize {
    sheet.tabs.iter().flat_map(rimsieve::sheet::Tab::rows).map(|row| row.cells().len()).sum()
}

/// Numbers that look random and are the same on every run (xorshift, Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(bound.max(1)).unwrap()).unwrap()
    }
}

/// Changes some bytes, copies a run over another, or cuts the file.
fn mutate(bytes: &mut Vec<u8>, dice: &mut Dice) {
    for _ in 0..=dice.below(4) {
        let at = dice.below(bytes.len());
        match dice.below(8) {
            0 => bytes[at] = 0xFF,
            1 => bytes[at] = 0,
            2 => bytes[at] ^= 1 << dice.below(8),
            3 => {
                let length = dice.below(64).min(bytes.len() - at);
                let from = dice.below(bytes.len() - length);
                bytes.copy_within(from..from + length, at);
            }
            4 if dice.below(8) == 0 => bytes.truncate(at.max(1)),
            // Most structure stands in numbers of four bytes.
            5 => {
                let end = (at + 4).min(bytes.len());
                bytes[at..end].fill(0xFF);
            }
            _ => bytes[at] = u8::try_from(dice.below(256)).unwrap(),
        }
    }
}

fn mutations(file: &str, seed: u64, runs: usize) {
    let whole = bytes_of(file);
    let mut dice = Dice(seed);
    let limits = Limits { memory: 512 << 20, time: Duration::from_secs(10), ..Limits::default() };
    let (mut read, mut refused) = (0, 0);
    for run in 0..runs {
        let mut bytes = whole.clone();
        mutate(&mut bytes, &mut dice);
        match read_bytes_within(file, bytes, &limits) {
            Ok(_) => read += 1,
            Err(error) => {
                // Never a word without a remedy, and never the words of the system's own signals.
                assert!(error.help().is_some(), "{file}, run {run}: {error:?}");
                refused += 1;
            }
        }
    }
    assert!(read + refused == runs && refused > runs / 20, "{file}: {read} read, {refused} refused");
}

#[test]
fn mutated_xls_workbooks_end_in_cells_or_an_error() {
    mutations("small.xls", 0x5EED_0001, 1000);
}

#[test]
fn mutated_xlsb_workbooks_end_in_cells_or_an_error() {
    mutations("small.xlsb", 0x5EED_0002, 700);
}

#[test]
fn mutated_xlsx_workbooks_end_in_cells_or_an_error() {
    mutations("small.xlsx", 0x5EED_0003, 700);
}

#[test]
fn mutated_ods_workbooks_end_in_cells_or_an_error() {
    mutations("small.ods", 0x5EED_0004, 600);
}

#[test]
fn mutated_text_ends_in_cells_or_an_error() {
    let whole = "SKU;Größe;ET\r\n\"NF-1\";8½x17;\"38\"\r\nNF-2;7x16;45\r\n".repeat(20).into_bytes();
    let mut dice = Dice(0x5EED_0005);
    for _ in 0..2000 {
        let mut bytes = whole.clone();
        mutate(&mut bytes, &mut dice);
        let _ = read_bytes("list.csv", bytes);
    }
}

#[test]
fn workbooks_cut_short_give_an_error_and_never_fewer_cells() {
    for file in ["small.xlsx", "small.xlsb", "small.xls", "small.ods"] {
        let whole = bytes_of(file);
        let cells = cell_count(&read_file(file).unwrap());
        for part in 1..20 {
            match read_bytes(file, whole[..whole.len() * part / 20].to_vec()) {
                Err(SheetError::Damaged { .. } | SheetError::TooLarge { .. }) => {}
                Err(other) => panic!("{file} at {part}/20: {other:?}"),
                Ok(sheet) => assert_eq!(cell_count(&sheet), cells, "{file} at {part}/20"),
            }
        }
    }
}

#[test]
fn parts_that_are_not_what_the_directory_says_are_damage() {
    match read_file("wrong_sum.xlsx") {
        Err(SheetError::Damaged { source: Damage::Part { part }, .. }) => {
            assert!(part.ends_with("sheet1.xml"));
        }
        other => panic!("{other:?}"),
    }
    match read_file("lying.xlsx") {
        Err(SheetError::Damaged { source: Damage::Part { part }, .. }) => {
            assert!(part.ends_with("sheet1.xml"));
        }
        other => panic!("{other:?}"),
    }
    for file in ["renamed.xlsx", "two_parts.xlsx"] {
        match read_file(file) {
            Err(SheetError::Damaged { source: Damage::PartName { part }, .. }) => {
                assert!(part.ends_with("sheet1.xml"), "{file}: {part}");
            }
            other => panic!("{file}: {other:?}"),
        }
    }
}

#[test]
fn workbooks_with_a_password_say_so_whatever_their_kind() {
    let change = |bytes: &mut Vec<u8>, from: &[u8], to: &[u8]| {
        let at = bytes.windows(from.len()).position(|window| window == from).unwrap();
        bytes[at..at + to.len()].copy_from_slice(to);
    };
    assert!(matches!(read_file("locked.ods"), Err(SheetError::Encrypted { .. })));
    // The record that names the writer (0x5C, 112 bytes) becomes one that tells of a password (0x2F): MS-XLS,
    // sections 2.4.349 and 2.4.117 (from memory).
    let mut old = bytes_of("small.xls");
    change(&mut old, &[0x5C, 0, 112, 0], &[0x2F, 0, 112, 0]);
    let locked = read_bytes("locked.xls", old);
    assert!(matches!(locked, Err(SheetError::Encrypted { .. })), "{locked:?}");
    // A locked xlsx is a compound file with one stream of this name: MS-OFFCRYPTO, section 2.3.4.4 (from memory).
    let wide = |text: &str| -> Vec<u8> { text.encode_utf16().flat_map(u16::to_le_bytes).collect() };
    let mut new = bytes_of("small.xls");
    change(&mut new, &wide("Workbook"), &wide("EncryptedPackage"));
    let locked = read_bytes("locked.xlsx", new);
    assert!(matches!(locked, Err(SheetError::Encrypted { .. })), "{locked:?}");
}

#[test]
fn a_stray_cell_in_the_last_corner_is_read() {
    let sheet = read_file("stray.xlsx").unwrap();
    let corner: CellRef = "XFD1048576".parse().unwrap();
    assert_eq!(sheet.tabs[0].cell(corner).unwrap().text, "1");
    assert_eq!(cell_count(&sheet), 2);
}

#[test]
fn every_limit_names_itself_and_how_to_raise_it() {
    let small = Limits::default();
    for (file, limits, name) in [
        ("small.xlsx", Limits { file: 100, ..small }, "file"),
        ("small.xlsx", Limits { unpacked: 100, ..small }, "unpacked"),
        ("small.xlsx", Limits { cells: 3, ..small }, "cells"),
        ("small.xlsx", Limits { text: 20, ..small }, "text"),
        ("small.xlsx", Limits { cell: 5, ..small }, "cell"),
        ("small.xlsx", Limits { rows: 5, ..small }, "rows"),
        ("small.xlsx", Limits { columns: 4, ..small }, "columns"),
        ("small.xls", Limits { cells: 3, ..small }, "cells"),
        ("small.xlsb", Limits { cells: 3, ..small }, "cells"),
        ("small.ods", Limits { cells: 3, ..small }, "cells"),
        ("deep.xlsx", small, "unpacked"),
    ] {
        match read_within(&files().join(file), &limits) {
            Err(error @ SheetError::TooLarge { excess, .. }) => {
                assert_eq!(excess.limit_name(), name, "{file}");
                let help = error.help().unwrap().to_string();
                assert!(help.contains(&format!("raise the limit `{name}`")), "{file}: {help}");
            }
            other => panic!("{file}, {name}: {other:?}"),
        }
    }
}

#[test]
fn text_without_bounds_meets_a_limit_or_is_read() {
    let started = Instant::now();
    let line = read_bytes("list.csv", vec![b'x'; 50 << 20]);
    let said = line.as_ref().unwrap_err().to_string();
    assert_eq!(said, "`list.csv` is too large: cell A1 holds more than 1 MiB of text");
    assert!(matches!(line, Err(SheetError::TooLarge { excess: Excess::Cell { .. }, .. })), "{line:?}");
    let line = read_bytes("list.csv", b"ab,".repeat(17 << 20));
    assert!(
        matches!(line, Err(SheetError::TooLarge { excess: Excess::Columns { row: 1, .. }, .. })),
        "{line:?}"
    );
    let mut rows = b"SKU,ET\n".to_vec();
    rows.resize(rows.len() + 1_000_000, b'\n');
    rows.extend(b"NF-1,38\n");
    let sheet = read_bytes("list.csv", rows).unwrap();
    assert_eq!((sheet.tabs[0].last_row(), sheet.tabs[0].rows().len()), (1_000_002, 2));
    let zeros = read_bytes("list.csv", b"SKU,ET\nNF-1,38\nNF-2,\0 45, with a longer note to it\n".repeat(3));
    assert!(matches!(zeros, Err(SheetError::NotASheet { why: NotASheet::ZeroBytes, .. })), "{zeros:?}");
    assert!(started.elapsed() < Duration::from_secs(30));
}

#[test]
fn a_stream_without_end_meets_the_limit_on_the_file() {
    let limits = Limits { file: 1 << 20, ..Limits::default() };
    let endless = load_stream("standard input", &mut std::io::repeat(b'x'), &limits)
        .and_then(|bytes| read_bytes_within("standard input", bytes, &limits));
    assert!(matches!(endless, Err(SheetError::TooLarge { excess: Excess::File { .. }, .. })), "{endless:?}");
}

#[test]
fn an_old_workbook_with_a_stray_cell_in_its_last_corner_is_read_or_refused_for_its_size() {
    // Its reader offers rectangles only: 65,536 rows of 256 columns.
    match read_file("stray.xls") {
        Ok(sheet) => assert_eq!(cell_count(&sheet), 2),
        Err(SheetError::TooLarge { excess: Excess::Memory { .. } | Excess::Time { .. }, .. }) => {}
        Err(other) => panic!("{other:?}"),
    }
}

#[test]
fn what_a_worksheet_hides_merges_and_formats_is_told() {
    let sheet = read_file("noted.xlsx").unwrap();
    let tab = &sheet.tabs[0];
    assert_eq!(tab.hidden_rows(), [(4, 5), (9, 9)]);
    let e = "E".parse().unwrap();
    assert_eq!(tab.hidden_columns(), [(e, e)]);
    assert!(tab.hides_row(5) && !tab.hides_row(3) && tab.hides_column(e));
    let [merged] = tab.merged() else { panic!("{:?}", tab.merged()) };
    assert!(merged.contains("C1".parse().unwrap()) && !merged.contains("C2".parse().unwrap()));
    let format = |at: &str| tab.cell(at.parse().unwrap()).unwrap().format;
    assert_eq!(format("A3"), None);
    assert_eq!(format("B3").unwrap().words_before(), "ET");
    assert_eq!(format("C4").unwrap().words_after(), "kg");
    assert_eq!(format("D3").unwrap().currency(), Some("€"));
    assert!(format("E3").unwrap().is_percent());
    assert_eq!(format("F4").unwrap().date_shape(), Some(DateShape::DayMonth));
    let plain = &sheet.tabs[1];
    assert!(plain.hidden_rows().is_empty() && plain.merged().is_empty());
    let open = read_file("noted.ods").unwrap();
    let open = &open.tabs[0];
    assert_eq!(open.hidden_rows(), [(3, 5)]);
    let c = "C".parse().unwrap();
    assert_eq!(open.hidden_columns(), [(c, c)]);
    let [merged] = open.merged() else { panic!("{:?}", open.merged()) };
    assert_eq!((merged.first, merged.last), ("B1".parse().unwrap(), "D1".parse().unwrap()));
    let old = read_file("merged.xls").unwrap();
    assert_eq!(old.tabs[0].merged().len(), 1);
    assert!(old.tabs[0].merged()[0].contains("D3".parse().unwrap()));
}

/// The most memory that any child of this process has held so far, in KiB, as the system counts (`VmHWM`).
#[cfg(target_os = "linux")]
fn peak_of_children() -> u64 {
    let me = std::process::id().to_string();
    let mut peak = 0;
    for entry in std::fs::read_dir("/proc").unwrap().flatten() {
        let status = std::fs::read_to_string(entry.path().join("status")).unwrap_or_default();
        let value = |name: &str| {
            let line = status.lines().find_map(|line| line.strip_prefix(name))?;
            Some(line.trim().trim_end_matches(" kB").to_owned())
        };
        let name = value("Name:").unwrap_or_default();
        if value("PPid:").as_deref() == Some(&me) && name.starts_with("rimsieve") {
            peak = peak.max(value("VmHWM:").and_then(|peak| peak.parse().ok()).unwrap_or(0));
        }
    }
    peak
}

#[cfg(target_os = "linux")]
#[test]
fn bombs_stay_under_one_gibibyte_and_thirty_seconds() {
    files();
    let (over, peak) = (AtomicBool::new(false), AtomicU64::new(0));
    std::thread::scope(|scope| {
        scope.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                peak.fetch_max(peak_of_children(), Ordering::Relaxed);
                std::thread::sleep(Duration::from_millis(5));
            }
        });
        // The time is cut so that a slow build of these tests stays quick; the memory is what is tried here.
        let limits = Limits { time: Duration::from_secs(6), cells: 2_000_000, ..Limits::default() };
        for file in ["strings.xlsx", "styles.xlsx", "node.xlsx", "cells.xlsx"] {
            let started = Instant::now();
            let read = read_bytes_within(file, bytes_of(file), &limits);
            assert!(started.elapsed() < Duration::from_secs(30), "{file}");
            match read {
                Err(SheetError::TooLarge { excess, .. }) => println!("{file}: {excess}"),
                Ok(sheet) => println!("{file}: {} cells", cell_count(&sheet)),
                Err(other) => panic!("{file}: {other:?}"),
            }
        }
        over.store(true, Ordering::Relaxed);
    });
    let (peak, mine) = (peak.into_inner(), own_peak());
    println!("peak of the children {peak} KiB, of this process {mine} KiB");
    assert!(peak > 100 << 10, "the bombs were not measured: {peak} KiB");
    assert!(peak < 1 << 20, "a child held {peak} KiB");
    assert!(mine < 1 << 20, "this process held {mine} KiB");
}

#[cfg(target_os = "linux")]
fn own_peak() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap();
    line.trim().trim_end_matches(" kB").trim().parse().unwrap()
}
