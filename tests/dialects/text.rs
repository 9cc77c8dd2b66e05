//! The truth as ten suppliers would write it as delimited text.

use crate::{Dialect, Seat, Wheel, truth};

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

/// The ways of ten suppliers who send text.
pub(crate) fn dialects() -> Vec<Dialect> {
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
        Dialect::new(
            "us.csv",
            us.into_bytes(),
            "sku, size, bolt_pattern, offset in mm, center_bore in mm, load in lb, seat",
        ),
        Dialect::new(
            "german.csv",
            one_byte_letters(&german),
            "sku, size, bolt_pattern, offset, center_bore, load, seat",
        ),
        Dialect::new(
            "french.csv",
            utf_16(&french),
            "sku, size, bolt_pattern, offset in mm, center_bore in mm, load in kg, seat",
        ),
        Dialect::new(
            "columns.csv",
            columns.into_bytes(),
            "sku, rim_diameter, rim_width, hole_count, bolt_pattern in mm, offset, center_bore in mm, load in kg, seat",
        ),
        Dialect::new(
            "together.csv",
            together.into_bytes(),
            "sku, size + wheel.bolt_patterns + wheel.offset, center_bore, load, seat",
        ),
        Dialect::new(
            "two_rows.csv",
            [&[0xEF, 0xBB, 0xBF], two_rows.as_bytes()].concat(),
            "sku, size, bolt_pattern, offset in mm, center_bore in mm, load in kg, seat",
        ),
        Dialect::new(
            "back_spacing.csv",
            back_spacing.into_bytes(),
            "sku, size, bolt_pattern, backspacing in in, center_bore, load, seat",
        ),
        Dialect::new(
            "quoted.csv",
            quoted.replace('\n', "\r\n").into_bytes(),
            "sku, size, bolt_pattern, offset in mm, center_bore in mm, load in kg, seat",
        ),
        Dialect::new(
            "spanish.csv",
            spanish.replace('\n', "\r").into_bytes(),
            "sku, size, bolt_pattern, offset in mm, center_bore in mm, load in kg, seat",
        ),
        Dialect::new(
            "dutch.csv",
            dutch.into_bytes(),
            "sku, size, bolt_circle, offset, center_bore, load in kg, seat",
        ),
    ]
}
