//! One truth, written as ten suppliers would write it: the verdicts are the same.
//!
//! The suppliers and parts are invented.
#![expect(clippy::panic, reason = "a sheet of this file that cannot be read or taken in fails its test")]

use std::collections::BTreeMap;

use rimsieve::intake::take_in;
use rimsieve::judge::{VerdictKind, judge};
use rimsieve::rules::RuleSet;
use rimsieve::sheet::read_bytes;
use rimsieve::van;

#[derive(Clone, Copy)]
enum Seat {
    Ball,
    Cone,
    Flat,
}

/// A wheel as it is: inches, holes, millimeters, kilograms.
struct Wheel {
    sku: &'static str,
    width: f64,
    diameter: u32,
    circle: f64,
    offset: Option<i32>,
    bore: f64,
    load: Option<f64>,
    seat: Option<Seat>,
}

const fn wheel(sku: &'static str, offset: Option<i32>, bore: f64, load: Option<f64>) -> Wheel {
    Wheel { sku, width: 6.5, diameter: 16, circle: 130.0, offset, bore, load, seat: Some(Seat::Ball) }
}

/// What is true, with what the single-rear sample van makes of it.
fn truth() -> Vec<(Wheel, VerdictKind)> {
    use VerdictKind::{Fits, FitsWithWork, Rejected, Unproven};
    vec![
        (wheel("NF-101", Some(60), 84.1, Some(1250.0)), Fits),
        (wheel("NF-102", Some(32), 84.1, Some(1450.0)), Fits),
        (wheel("NF-103", Some(63), 84.1, Some(1250.0)), Rejected),
        (wheel("NF-104", Some(-12), 84.1, Some(1250.0)), Rejected),
        (wheel("NF-105", Some(52), 106.1, Some(1250.0)), FitsWithWork),
        (wheel("NF-106", Some(52), 78.1, Some(1250.0)), Rejected),
        (wheel("NF-107", Some(52), 84.1, Some(1150.0)), Rejected),
        (wheel("NF-108", Some(52), 84.1, None), Unproven),
        (wheel("NF-109", None, 84.1, Some(1250.0)), Unproven),
        (Wheel { seat: Some(Seat::Cone), ..wheel("NF-110", Some(52), 84.1, Some(1250.0)) }, FitsWithWork),
        (Wheel { seat: Some(Seat::Flat), ..wheel("NF-111", Some(52), 84.1, Some(1250.0)) }, Rejected),
        (Wheel { seat: None, ..wheel("NF-112", Some(52), 84.1, Some(1250.0)) }, Unproven),
        (Wheel { circle: 139.7, ..wheel("NF-113", Some(52), 84.1, Some(1250.0)) }, Rejected),
        (Wheel { width: 7.5, diameter: 17, ..wheel("NF-114", Some(45), 84.1, Some(1300.0)) }, Fits),
    ]
}

/// A figure in as few digits as it needs, with this decimal mark.
fn figure(number: f64, mark: &str) -> String {
    number.to_string().replace('.', mark)
}

/// What may be left out: nothing where it is.
fn stated<T>(value: Option<T>, write: impl FnOnce(T) -> String) -> String {
    value.map_or_else(String::new, write)
}

fn seat(wheel: &Wheel, ball: &str, cone: &str, flat: &str) -> String {
    stated(wheel.seat, |seat| match seat {
        Seat::Ball => ball.to_owned(),
        Seat::Cone => cone.to_owned(),
        Seat::Flat => flat.to_owned(),
    })
}

/// Rows of cells as delimited text.
fn lines(delimiter: &str, before: &[&str], row: impl Fn(&Wheel) -> Vec<String>) -> String {
    let mut text: String = before.iter().map(|line| format!("{line}\n")).collect();
    for (wheel, _) in truth() {
        text += &row(&wheel).join(delimiter);
        text.push('\n');
    }
    text
}

fn utf_16(text: &str) -> Vec<u8> {
    std::iter::once(0xFEFF).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
}

/// Latin letters as one byte each, as Windows-1252 writes them.
fn one_byte_letters(text: &str) -> Vec<u8> {
    text.chars().map(|letter| u8::try_from(u32::from(letter)).unwrap_or(b'?')).collect()
}

/// The ways of ten suppliers, by name.
fn dialects() -> Vec<(&'static str, Vec<u8>)> {
    let comma = |number| figure(number, ",");
    let point = |number| figure(number, ".");
    let pattern = |wheel: &Wheel| format!("6x{}", point(wheel.circle));
    let us = lines(",", &["SKU,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (lb),Seat"], |w| {
        vec![
            w.sku.to_owned(),
            format!("{}x{}", w.diameter, w.width),
            pattern(w),
            stated(w.offset, |offset| offset.to_string()),
            point(w.bore),
            stated(w.load, |load| format!("{:.0}", load / 0.453_592_37)),
            seat(w, "Ball R14", "60 deg conical", "Flat"),
        ]
    });
    let german = lines(
        ";",
        &[
            "Räder für Kastenwagen",
            "",
            "Artikelnummer;Felgengröße;Lochkreis;Einpresstiefe;Mittenloch;Traglast;Bolzensitz",
        ],
        |w| {
            vec![
                w.sku.to_owned(),
                format!("{}Jx{}H2", comma(w.width), w.diameter),
                format!("6x{}", comma(w.circle)),
                stated(w.offset, |offset| format!("ET {offset}")),
                format!("{} mm", comma(w.bore)),
                stated(w.load, |load| format!("{load} kg")),
                seat(w, "Kugelbund R14", "Kegelbund 60°", "Flachbund"),
            ]
        },
    );
    let french = lines(
        "\t",
        &["Réf\tTaille jante\tEntraxe\tDéport (mm)\tAlésage (mm)\tCharge (kg)\tPortée"],
        |w| {
            vec![
                w.sku.to_owned(),
                format!("{} x {}", comma(w.width), w.diameter),
                format!("6 x {}", comma(w.circle)),
                stated(w.offset, |offset| offset.to_string()),
                comma(w.bore),
                stated(w.load, |load| load.to_string()),
                seat(w, "sphérique R14", "conique 60°", "plate"),
            ]
        },
    );
    let columns = lines(
        "|",
        &["Part No|Rim Diameter|Rim Width|Holes|PCD (mm)|ET|CB (mm)|Max Load (kg)|Lug Seat"],
        |w| {
            vec![
                w.sku.to_owned(),
                w.diameter.to_string(),
                point(w.width),
                "6".to_owned(),
                point(w.circle),
                stated(w.offset, |offset| format!("{offset:+}")),
                point(w.bore),
                stated(w.load, |load| load.to_string()),
                seat(w, "R14", "60° cone", "flat w/ washer"),
            ]
        },
    );
    let together = lines(",", &["Item,Wheel Size,Bore,Load Rating,Seat"], |w| {
        let offset = stated(w.offset, |offset| format!(" ET{offset}"));
        vec![
            w.sku.to_owned(),
            format!("{}x{}{offset} {}", w.diameter, w.width, pattern(w)),
            format!("{}mm", point(w.bore)),
            stated(w.load, |load| format!("{load}kg")),
            seat(w, "ball seat R14", "conical 60", "flat"),
        ]
    });
    let two_rows = lines(
        ",",
        &["Part Number,Wheel,Bolt,Offset,Hub,Load,Lug", ",Size,Pattern,(mm),Bore (mm),Rating (kg),Seat"],
        |w| {
            vec![
                w.sku.to_owned(),
                format!("{}X{}", w.width, w.diameter),
                format!("6-{}", point(w.circle)),
                stated(w.offset, |offset| offset.to_string()),
                point(w.bore),
                stated(w.load, |load| load.to_string()),
                seat(w, "BALL R14", "CONE 60", "FLAT"),
            ]
        },
    );
    let back_spacing =
        lines(",", &["SKU,Wheel Size,Lug Pattern,Backspacing (in),Center Bore,Load Rating,Seat"], |w| {
            let back = |offset| (w.width + 1.0) / 2.0 + f64::from(offset) / 25.4;
            vec![
                w.sku.to_owned(),
                format!("{}x{}", w.diameter, w.width),
                format!("{}/6", point(w.circle)),
                stated(w.offset, |offset| format!("{:.4}", back(offset))),
                format!("{} mm", point(w.bore)),
                stated(w.load, |load| format!("\"{:.0} lbs\"", load / 0.453_592_37)),
                seat(w, "R14 ball", "acorn 60", "flat"),
            ]
        });
    let quoted = lines(
        ",",
        &["\"Item\nNo.\",\"Size\",\"P.C.D.\",\"Offset\n[mm]\",\"C.B.\n[mm]\",\"Load\n[kg]\",\"Seat\""],
        |w| {
            let quoted = |text: String| format!("\"{text}\"");
            vec![
                quoted(w.sku.to_owned()),
                quoted(format!("{}×{}", w.diameter, w.width)),
                quoted(format!("6×{}", point(w.circle))),
                quoted(stated(w.offset, |offset| offset.to_string())),
                quoted(point(w.bore)),
                quoted(stated(w.load, |load| format!("{},{:03}", (load / 1000.0).floor(), load % 1000.0))),
                quoted(seat(w, "Ball R14", "Cone 60°", "Flat")),
            ]
        },
    );
    let spanish = lines(";", &["Código;Medida llanta;PCD;ET (mm);Buje (mm);Carga (kg);Asiento"], |w| {
        vec![
            w.sku.to_owned(),
            format!("{}x{}", comma(w.width), w.diameter),
            format!("6x{}", comma(w.circle)),
            stated(w.offset, |offset| offset.to_string()),
            comma(w.bore),
            stated(w.load, |load| format!("{}.{:03}", (load / 1000.0).floor(), load % 1000.0)),
            seat(w, "esférico R14", "cónico 60", "plano"),
        ]
    });
    let dutch =
        lines(";", &["Artikelcode;Velgmaat;Steekcirkel;ET-waarde;Naafgat;Draagvermogen (kg);Zitting"], |w| {
            vec![
                w.sku.to_owned(),
                format!("{}Jx{}", comma(w.width), w.diameter),
                format!("6x{}", comma(w.circle)),
                stated(w.offset, |offset| format!("ET{offset}")),
                format!("{}mm", comma(w.bore)),
                stated(w.load, |load| load.to_string()),
                seat(w, "kogel R14", "conisch 60 graden", "vlak"),
            ]
        });
    vec![
        ("us", us.into_bytes()),
        ("german", one_byte_letters(&german)),
        ("french", utf_16(&french)),
        ("columns", columns.into_bytes()),
        ("together", together.into_bytes()),
        ("two_rows", [&[0xEF, 0xBB, 0xBF], two_rows.as_bytes()].concat()),
        ("back_spacing", back_spacing.into_bytes()),
        ("quoted", quoted.replace('\n', "\r\n").into_bytes()),
        ("spanish", spanish.replace('\n', "\r").into_bytes()),
        ("dutch", dutch.into_bytes()),
    ]
}

/// The verdict on each part of a sheet for the single-rear sample van.
fn verdicts(name: &str, bytes: Vec<u8>) -> BTreeMap<String, VerdictKind> {
    let sheet = match read_bytes(&format!("{name}.csv"), bytes) {
        Ok(sheet) => [sheet],
        Err(error) => panic!("{name}: {error}"),
    };
    let catalog = match take_in(&sheet, &[]) {
        Ok(catalog) => catalog,
        Err(error) => panic!("{name}: {error}"),
    };
    let rules = RuleSet::shipped().unwrap_or_default();
    let vans = van::read_all(&["samples/vans/orlbeck-l4.toml"], &rules).unwrap_or_default();
    let judgement = judge(catalog, rules, vans, Vec::new(), None);
    let parts = judgement.catalog.parts.iter();
    parts.filter_map(|part| Some((part.sku.to_owned(), judgement.finding(0, part)?.kind()))).collect()
}

#[test]
fn ten_dialects_of_one_truth_get_the_same_verdicts() {
    let expected: BTreeMap<String, VerdictKind> =
        truth().into_iter().map(|(wheel, verdict)| (wheel.sku.to_owned(), verdict)).collect();
    let dialects = dialects();
    assert_eq!(dialects.len(), 10);
    let wrong: Vec<String> = dialects
        .into_iter()
        .flat_map(|(name, bytes)| {
            let got = verdicts(name, bytes);
            let wrong = expected.iter().filter(|(sku, verdict)| got.get(*sku) != Some(verdict));
            wrong
                .map(|(sku, verdict)| format!("{name} {sku}: {verdict:?}, got {:?}", got.get(sku)))
                .collect::<Vec<_>>()
        })
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}
