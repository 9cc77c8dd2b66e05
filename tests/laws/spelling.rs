//! What is written reads back, and no text at all brings a reader down.

use std::cell::Cell;
use std::path::Path;

use proptest::prelude::{Just, Strategy, any, prop_oneof};
use proptest::test_runner::TestCaseError;
use proptest::{prop_assert, prop_assert_eq};
use rimsieve::document::literal;
use rimsieve::document::{Source, read_source};
use rimsieve::facts::{Dimension, Kind, PartKind, Subject, Unit, Value};
use rimsieve::rules::lex::lex;
use rimsieve::rules::parse::parse;
use rimsieve::rules::read_rules;
use rimsieve::rules::template::Template;
use rimsieve::rules::tree::Expr;
use rimsieve::van::read_van;

use crate::parts::{at, van_text};
use crate::tape::{Tape, tapes, try_law};
use crate::trees::{Maker, anything};
use crate::{rule, van};

/// A tree in full, but for the places of its nodes.
fn without_places(tree: &Expr) -> String {
    let shown = format!("{tree:?}");
    let mut pieces = shown.split("Span {");
    let first = pieces.next().unwrap_or_default().to_owned();
    pieces.fold(first, |kept, piece| kept + piece.split_once('}').map_or("", |(_, rest)| rest))
}

/// That a tree prints to a text which parses to it again.
fn reads_back(tree: &Expr) -> Result<(), TestCaseError> {
    let text = tree.to_string();
    prop_assert_eq!(parse(&text).map(|again| without_places(&again)), Ok(without_places(tree)), "{}", text);
    Ok(())
}

#[test]
fn a_tree_prints_to_a_text_that_parses_to_the_same_tree() {
    try_law(3000, &tapes(150), |mut tape| {
        let tree = anything(&mut tape, 5);
        reads_back(&tree)
    });
    try_law(500, &tapes(150), |mut tape| {
        let kind = tape.one_of(&PartKind::ALL);
        let tree = Maker { on: kind.scope(), stand_ins: true }.statement(&mut tape, 5);
        reads_back(&tree)
    });
}

/// Decimals that a unit is shown with, as people use it: hundredths of a millimeter, tenths of a pound.
fn decimals(unit: Unit) -> i32 {
    match unit {
        Unit::Mm | Unit::Percent => 2,
        Unit::Cm | Unit::Inch | Unit::Tonne | Unit::Bar => 3,
        Unit::Kg | Unit::Lb | Unit::KPa | Unit::Psi | Unit::KmH | Unit::Mph => 1,
        Unit::Ply => 0,
    }
}

#[test]
fn a_shown_quantity_reads_back_within_the_rounding_of_its_last_decimal() {
    let quantities = (0..Unit::ALL.len(), -2_000_000_000_000_i64..2_000_000_000_000);
    try_law(2000, &quantities, |(unit, count)| {
        let unit = Unit::ALL[unit];
        // From nanometers to kilometers: the counts of a unit run from about -2000 to 2000.
        let base = (count as f64 * unit.factor() / 1e9).round();
        let shown = unit.show(base);
        let read = literal::read(Kind::Quantity(unit.dimension()), &shown);
        let Ok(Value::Number(again)) = read else {
            return Err(TestCaseError::fail(format!("`{shown}`: {read:?}")));
        };
        // Half the last decimal, and half a base unit for rounding it to a whole count.
        let rounding = 0.5 * unit.factor() / 10_f64.powi(decimals(unit)) + 0.5;
        prop_assert!(
            (again - base).abs() <= rounding * (1.0 + 1e-9),
            "{} is {}, `{}` reads {}",
            unit.text(),
            base,
            shown,
            again
        );
        prop_assert_eq!(unit.show(again), shown);
        Ok(())
    });
}

/// Texts of letters, signs and words that mean something in expressions and files.
fn texts() -> impl Strategy<Value = String> {
    let words = vec![
        "wheel.offset",
        "van.hub.pilot",
        "and",
        "or",
        "not",
        "in",
        "has any",
        "allowing",
        "else",
        ">=",
        "==",
        "=",
        "(",
        ")",
        "[",
        "]",
        ",",
        "-",
        "\"",
        "'",
        "'''",
        "\"\"\"",
        "84.1 mm",
        "3 %",
        "km/h",
        "1e999",
        "9".repeat(400).leak(),
        "{",
        "}",
        "{fact}",
        "{wheel.offset",
        "true",
        "\n",
        "\r\n",
        "\t",
        "\u{feff}",
        "\u{0}",
        "ü",
        "≥",
        "🚐",
        "\u{202e}",
        "#",
        "[[rule]]",
        "[van]",
        "name = ",
        "demand = ",
        "-9223372036854775808",
        "nan",
        "2026-02-30",
        "6x130",
        "M14x1.5",
        "LT265/70R17",
    ];
    let piece = prop_oneof![
        3 => proptest::sample::select(words).prop_map(str::to_owned),
        1 => any::<char>().prop_map(String::from),
        1 => proptest::collection::vec(any::<char>(), 0..8).prop_map(String::from_iter),
    ];
    proptest::collection::vec((piece, prop_oneof![Just(""), Just(" ")]), 0..14)
        .prop_map(|pieces| pieces.into_iter().map(|(text, gap)| text + gap).collect())
}

#[test]
fn no_text_brings_down_the_readers_of_expressions_sentences_and_values() {
    const DIMENSIONS: [Dimension; 7] = [
        Dimension::Length,
        Dimension::Mass,
        Dimension::Pressure,
        Dimension::Speed,
        Dimension::Plain,
        Dimension::Ply,
        Dimension::Day,
    ];
    try_law(3000, &texts(), |text| {
        let on_a_letter = |at: usize| text.is_char_boundary(at);
        match lex(&text) {
            Ok(tokens) => prop_assert!(
                tokens.iter().all(|token| on_a_letter(token.span.start) && on_a_letter(token.span.end))
            ),
            Err(strange) => prop_assert!(on_a_letter(strange.at), "{:?} at {}", text, strange.at),
        }
        match parse(&text) {
            Ok(tree) => prop_assert!(tree.span.end <= text.len()),
            Err(why) => prop_assert!(
                on_a_letter(why.span.start) && on_a_letter(why.span.end) && why.span.start <= why.span.end
            ),
        }
        for subject in Subject::ALL {
            if let Err((span, _)) = Template::read(&text, subject) {
                prop_assert!(on_a_letter(span.start) && on_a_letter(span.end));
            }
        }
        let others = [
            Kind::Flag,
            Kind::Word(&["LT"]),
            Kind::Words(&[]),
            Kind::Drillings,
            Kind::Seat,
            Kind::Thread,
            Kind::Size,
        ];
        for kind in DIMENSIONS.map(Kind::Quantity).into_iter().chain(others) {
            if let Err(why) = literal::read(kind, &text) {
                prop_assert!(!why.to_string().is_empty());
            }
        }
        Ok(())
    });
}

/// A text with some stretches taken out, doubled, or replaced.
fn spoiled(tape: &mut Tape, text: &str) -> String {
    let mut letters: Vec<char> = text.chars().collect();
    for _ in 0..1 + tape.pick(3) {
        let start = (tape.pick(1 << 16) * letters.len()) >> 16;
        let length = tape.one_of(&[1_usize, 1, 2, 5, 40, 400]).min(letters.len() - start);
        let stretch: Vec<char> = letters[start..start + length].to_vec();
        let instead: Vec<char> = match tape.pick(4) {
            0 => Vec::new(),
            1 => [stretch.clone(), stretch].concat(),
            2 => tape
                .one_of(&["\"", "'", "[", "]", "{", "}", "=", "\n", ".", "ü", "\u{0}", "#", "-"])
                .chars()
                .collect(),
            _ => tape
                .one_of(&[
                    "true",
                    "-1",
                    "1e400",
                    "[]",
                    "{}",
                    "''",
                    "'1 mm'",
                    "'3 %'",
                    "[[rule]]",
                    "'wheel.offset'",
                    "1979-05-27",
                ])
                .chars()
                .collect(),
        };
        letters.splice(start..start + length, instead);
    }
    letters.into_iter().collect()
}

#[test]
fn no_file_brings_down_the_readers_of_rules_and_vans() {
    let both = |text: &str| {
        rule::holds(text);
        van::holds(text);
        Ok(())
    };
    try_law(1000, &texts(), |text| both(&text));
    let mut files: Vec<String> = ["wheel", "tire", "road", "winter", "sense"]
        .iter()
        .map(|name| read_source(&at(&format!("rules/{name}.toml"))).expect("shipped").text().to_owned())
        .collect();
    files.extend(["orlbeck-l4", "wexholm-d46"].map(van_text));
    let (tried, faulty) = (Cell::new(0), Cell::new(0));
    try_law(300, &tapes(20), |mut tape| {
        let file = &files[tape.pick(files.len())];
        let text = spoiled(&mut tape, file);
        tried.set(tried.get() + 1);
        let source = Source::new("spoiled.toml", text.as_str());
        let problems =
            if file.contains("[van]") { read_van(&source, Path::new("")).1 } else { read_rules(&source).1 };
        faulty.set(faulty.get() + u32::from(!problems.is_empty()));
        both(&text)
    });
    crate::tape::demand_share("spoiled files with problems", faulty.get(), tried.get(), 50);
}
