//! Every input kept from fuzzing, and the nesting no small input has, through the properties that the fuzzer
//! tries (`tests/fuzz/run`).

#![expect(clippy::panic, reason = "a property that does not hold must stop the test")]

use std::path::{Path, PathBuf};

#[path = "fuzz/properties/heading.rs"]
mod heading;
#[path = "fuzz/properties/notation.rs"]
mod notation;
#[path = "fuzz/properties/problem.rs"]
mod problem;
#[path = "fuzz/properties/rule.rs"]
mod rule;
#[path = "fuzz/properties/sheet.rs"]
mod sheet;
#[path = "fuzz/properties/van.rs"]
mod van;

/// The kept inputs of a target, by name.
fn corpus(target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus").join(target);
    let mut inputs: Vec<(PathBuf, Vec<u8>)> = std::fs::read_dir(&folder)
        .unwrap_or_else(|why| panic!("{}: {why}", folder.display()))
        .map(|entry| entry.map_or_else(|why| panic!("{why}"), |entry| entry.path()))
        .map(|path| {
            let bytes = std::fs::read(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
            (path, bytes)
        })
        .collect();
    inputs.sort();
    inputs
}

/// Puts every kept input to a property, and a text to the ones that take text.
fn replay(target: &str, property: fn(&[u8])) {
    let inputs = corpus(target);
    assert!(inputs.len() >= 10, "{target}: only {} inputs", inputs.len());
    for (path, bytes) in &inputs {
        assert!(bytes.len() <= 4096, "{} is too long to be kept", path.display());
        if std::panic::catch_unwind(|| property(bytes)).is_err() {
            panic!("{} breaks a promise", path.display());
        }
    }
}

#[test]
fn kept_cells() {
    replay("notation", |bytes| notation::holds(&String::from_utf8_lossy(bytes)));
}

#[test]
fn kept_headings() {
    replay("heading", |bytes| heading::holds(&String::from_utf8_lossy(bytes)));
}

#[test]
fn kept_text_files() {
    replay("csv", sheet::holds);
}

#[test]
fn kept_van_files() {
    replay("van", |bytes| van::holds(&String::from_utf8_lossy(bytes)));
}

#[test]
fn kept_rule_files() {
    replay("rule", |bytes| rule::holds(&String::from_utf8_lossy(bytes)));
}

/// Far more than any stack has room for, were each level a call.
const DEEP: usize = 10_000;

/// Texts that nest or go on without end, in every way an expression or a file can.
fn nested() -> Vec<String> {
    let opened = [
        "(",
        "[",
        "not ",
        "-",
        "f(",
        "(-",
        "a else (",
        "x in [",
        "1 + (",
        "{a = ",
        "[[",
        "[a.",
        "a = [",
        "a = {b = ",
    ];
    let chained =
        [" + 1", " - 1", " / 1", " else a", " and a", " or a and a", ".a", ", a", " == a", " allowing a"];
    let opened = opened.iter().map(|open| open.repeat(DEEP));
    opened.chain(chained.iter().map(|link| format!("a{}", link.repeat(DEEP)))).collect()
}

#[test]
fn no_nesting_overflows_the_stack() {
    for text in nested() {
        for file in [
            text.clone(),
            format!("[[rule]]\nname = \"deep\"\non = \"wheel\"\ndemand = \"{text}\""),
            format!("[van]\nid = \"deep\"\n[[work]]\nname = \"deep\"\nasks = \"{text}\""),
            format!("[van]\nid = {text}"),
            format!("rule = {text}"),
        ] {
            rule::holds(&file);
            van::holds(&file);
        }
    }
}

/// Cells and headings as long as sheets may hold; a reader whose work grew with the square of the length would
/// take minutes.
#[test]
fn no_cell_is_too_long_to_read() {
    for part in
        ["(", "not ", "-", "6x130 ", "17x8.5 ET38 ", "265/70", "1.", "x", "cone ", "1450 kg / ", "a load "]
    {
        let text = part.repeat((1 << 15) / part.len());
        notation::holds(&text);
        heading::holds(&text);
    }
}
