//! Runs the cases of `tests/notation/*.csv` through the notation readers, one case a line.
//!
//! Each file has the columns `input`, `expected`, `note`. A second word in the file name after a
//! dot (`load.kg.csv`) is the unit of the heading. What a reader gives is shown in a fixed form; a refusal is
//! shown as `! ` and its sentence.

#![expect(clippy::expect_used, clippy::panic, reason = "a case that cannot be read must stop the test")]

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use proptest::prelude::{any, proptest};
use rimsieve::intake::heading;
use rimsieve::notation::number::{DecimalMark, NumberFrom};
use rimsieve::notation::quantity::{
    LengthUnit, MassUnit, PressureUnit, QuantityUnit, Reading, Unit, UnitFrom,
};
use rimsieve::notation::wheel::WheelPiece;
use rimsieve::notation::{
    Unread, date, mark, money, offset, pattern, quantity, seat, service, text, tire, wheel,
};
use rimsieve::trade::bounds;
use rimsieve::trade::quantity::{Length, Mass, Pressure};
use rimsieve::trade::seat::Seat;

#[path = "fuzz/properties/notation.rs"]
mod properties;

/// The cases of one file as (line, input, expected).
fn cases(file: &str) -> Vec<(u64, String, String)> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/notation").join(file);
    let mut reader = csv::Reader::from_path(&path).unwrap_or_else(|why| panic!("{file}: {why}"));
    assert_eq!(reader.headers().expect("headings"), vec!["input", "expected", "note"], "{file}");
    let mut cases = Vec::new();
    for record in reader.records() {
        let record = record.unwrap_or_else(|why| panic!("{file}: {why}"));
        assert_eq!(record.len(), 3, "{file}: {record:?}");
        let line = record.position().map_or(0, csv::Position::line);
        cases.push((line, record[0].to_owned(), record[1].to_owned()));
    }
    assert!(!cases.is_empty(), "{file} has no cases");
    cases
}

/// Checks every case of a file; reports all that differ at once.
fn check(file: &str, read: impl Fn(&str) -> Result<String, Unread>) {
    let mut wrong = String::new();
    for (line, input, expected) in cases(file) {
        let shown = read(&input).unwrap_or_else(|why| format!("! {why}"));
        if shown != expected {
            let _ = writeln!(wrong, "{file}:{line}: `{input}` gave `{shown}`, expected `{expected}`");
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// A figure without needless digits.
fn figure(value: f64) -> String {
    let rounded = (value * 1000.0).round() / 1000.0;
    // Minus zero is zero.
    format!("{}", rounded + 0.0)
}

/// How unit and number were found, where that needs saying.
fn how<U: QuantityUnit>(reading: &Reading<U>) -> String {
    let mut how = String::new();
    match reading.unit_from {
        UnitFrom::Cell => {}
        UnitFrom::Heading => how.push_str(" heading"),
        UnitFrom::OnlyPossible => how.push_str(" only-unit"),
        UnitFrom::Convention => how.push_str(" convention"),
    }
    match reading.number_from {
        NumberFrom::Plain => {}
        NumberFrom::Evidence => how.push_str(" evidence"),
        NumberFrom::OnlyPossible => how.push_str(" only-number"),
    }
    how
}

fn mm(reading: &Reading<LengthUnit>) -> String {
    format!("{} mm{}", figure(reading.value.mm()), how(reading))
}

fn kg(reading: &Reading<MassUnit>) -> String {
    format!("{} kg{}", figure(reading.value.kg()), how(reading))
}

fn kpa(reading: &Reading<PressureUnit>) -> String {
    format!("{} kPa{}", figure(reading.value.kpa()), how(reading))
}

#[test]
fn bores_read_as_listed() {
    check("bore.csv", |text| quantity::length(text, None, &bounds::CENTER_BORE, None).map(|read| mm(&read)));
}

#[test]
fn back_spacings_read_as_listed() {
    check("backspacing.csv", |text| {
        quantity::length(text, None, &bounds::BACK_SPACING, None).map(|read| mm(&read))
    });
}

#[test]
fn back_spacings_under_a_heading_in_inches_read_as_listed() {
    check("backspacing.in.csv", |text| {
        quantity::length(text, Some(LengthUnit::Inch), &bounds::BACK_SPACING, None).map(|read| mm(&read))
    });
}

#[test]
fn loads_read_as_listed() {
    check("load.csv", |text| quantity::mass(text, None, &bounds::WHEEL_RATING, None).map(|read| kg(&read)));
}

#[test]
fn loads_under_a_heading_in_pounds_read_as_listed() {
    check("load.lb.csv", |text| {
        quantity::mass(text, Some(MassUnit::Lb), &bounds::WHEEL_RATING, None).map(|read| kg(&read))
    });
}

#[test]
fn loads_in_a_column_of_decimal_points_read_as_listed() {
    check("load.point.csv", |text| {
        quantity::mass(text, Some(MassUnit::Kg), &bounds::WHEEL_RATING, Some(DecimalMark::Point))
            .map(|read| kg(&read))
    });
}

#[test]
fn tire_loads_read_as_listed() {
    check("load_pair.csv", |text| {
        let pair = quantity::mass_pair(text, None, &bounds::TIRE_LOAD, None)?;
        let mut shown = kg(&pair.single);
        if let Some(dual) = &pair.dual {
            let _ = write!(shown, " | {}", kg(dual));
        }
        Ok(shown)
    });
}

#[test]
fn pressures_read_as_listed() {
    check("pressure.csv", |text| {
        quantity::pressure(text, None, &bounds::MAX_PRESSURE, None).map(|read| kpa(&read))
    });
}

#[test]
fn rim_width_ranges_read_as_listed() {
    check("rim_width_range.csv", |text| {
        let range = quantity::length_range(text, None, &bounds::RIM_WIDTH, None)?;
        Ok(format!("{} to {} in", figure(range.least.value.inches()), figure(range.greatest.value.inches())))
    });
}

#[test]
fn wheel_sizes_read_as_listed() {
    check("wheel_size.csv", |text| {
        let size = wheel::wheel_size(text, None)?;
        Ok(format!("{}x{}", figure(size.diameter.inches()), figure(size.width.inches())))
    });
}

#[test]
fn rim_diameters_read_as_listed() {
    check("rim_diameter.csv", |text| {
        wheel::rim_diameter(text, None, None).map(|read| figure(read.value.inches()))
    });
}

#[test]
fn rim_widths_read_as_listed() {
    check("rim_width.csv", |text| wheel::rim_width(text, None, None).map(|read| figure(read.value.inches())));
}

#[test]
fn bolt_patterns_read_as_listed() {
    check("bolt_pattern.csv", |text| {
        let read = pattern::bolt_patterns(text, None)?;
        for one in &read {
            assert!(
                text.get(one.span.clone()).is_some_and(|part| !part.is_empty()),
                "{text}: {:?}",
                one.span
            );
        }
        Ok(read.iter().map(|one| one.drilling.to_string()).collect::<Vec<_>>().join(" "))
    });
}

#[test]
fn bolt_circles_read_as_listed() {
    check("bolt_circle.csv", |text| pattern::bolt_circle(text, None, None).map(|read| mm(&read)));
}

#[test]
fn hole_counts_read_as_listed() {
    check("holes.csv", |text| pattern::holes(text).map(|count| count.to_string()));
}

#[test]
fn offsets_read_as_listed() {
    check("offset.csv", |text| offset::offset(text, None, None).map(|read| mm(&read)));
}

#[test]
fn offsets_under_a_heading_in_millimeters_read_as_listed() {
    check("offset.mm.csv", |text| offset::offset(text, Some(LengthUnit::Mm), None).map(|read| mm(&read)));
}

#[test]
fn seats_read_as_listed() {
    check("seat.csv", |text| {
        let read = seat::seat(text)?;
        // What van files write is what sheets are read as.
        assert_eq!(read.to_string().parse::<Seat>(), Ok(read), "{text}");
        assert_eq!(seat::seat(&read.to_string()), Ok(read), "{text}");
        Ok(read.to_string())
    });
}

#[test]
fn flags_read_as_listed() {
    check("flag.csv", |text| mark::flag(text).map(|yes| if yes { "yes" } else { "no" }.to_owned()));
}

#[test]
fn beadlocks_read_as_listed() {
    check("beadlock.csv", |text| mark::beadlock(text).map(|yes| if yes { "yes" } else { "no" }.to_owned()));
}

#[test]
fn markings_read_as_listed() {
    check("markings.csv", |text| {
        let marks = mark::markings(text)?;
        Ok(marks.iter().map(ToString::to_string).collect::<Vec<_>>().join(" | "))
    });
}

#[test]
fn mixed_wheel_cells_read_as_listed() {
    check("wheel_mixed.csv", |text| {
        let mixed = wheel::wheel_mixed(text, None);
        let mut shown: Vec<String> = mixed
            .pieces
            .iter()
            .map(|piece| {
                assert!(text.get(piece.span()).is_some_and(|part| !part.is_empty()), "{text}");
                match piece {
                    WheelPiece::Size(size) => {
                        format!("size {}x{}", figure(size.diameter.inches()), figure(size.width.inches()))
                    }
                    WheelPiece::Offset(read) => format!("offset {}", figure(read.value.mm())),
                    WheelPiece::Drilling(read) => read.drilling.to_string(),
                    WheelPiece::CenterBore(read) => format!("bore {}", figure(read.value.mm())),
                }
            })
            .collect();
        shown.extend(mixed.left_over.iter().map(|span| format!("<{}>", &text[span.clone()])));
        Ok(shown.join(" "))
    });
}

fn description(read: service::ServiceDescription) -> String {
    let mut shown = read.single.map_or_else(|| "-".to_owned(), |index| index.to_string());
    if let Some(dual) = read.dual {
        let _ = write!(shown, "/{dual}");
    }
    if let Some(speed) = read.speed {
        shown.push_str(speed.text());
    }
    shown
}

#[test]
fn tires_read_as_listed() {
    check("tire.csv", |text| {
        let read = tire::tire(text)?;
        assert!(text.get(read.span.clone()).is_some_and(|part| !part.is_empty()), "{text}");
        let mut shown = read.size.to_string();
        if read.service_span.is_some() {
            let _ = write!(shown, " {}", description(read.service));
        }
        if let Some(second) = read.second_service {
            let _ = write!(shown, " second {}", description(second));
        }
        if let Some(range) = read.load_range {
            let _ = write!(shown, " LR{range}");
        }
        if let Some(ply) = read.ply_rating {
            let _ = write!(shown, " {ply}PR");
        }
        if read.extra_load {
            shown.push_str(" XL");
        }
        if read.snow.three_peak == Some(true) {
            shown.push_str(" 3PMSF");
        }
        if read.snow.mud_snow == Some(true) {
            shown.push_str(" M+S");
        }
        match read.service_kind() {
            Ok(kind) => {
                let _ = write!(shown, " {kind:?}");
            }
            Err(why) => {
                assert_eq!(why, Unread::ServiceNotStated);
                shown.push_str(" service?");
            }
        }
        if !read.before.is_empty() {
            let _ = write!(shown, " before<{}>", &text[read.before.clone()]);
        }
        for span in &read.left_over {
            let _ = write!(shown, " <{}>", &text[span.clone()]);
        }
        Ok(shown)
    });
}

#[test]
fn service_descriptions_read_as_listed() {
    check("service.csv", |text| service::service_description(text).map(description));
}

#[test]
fn load_ranges_read_as_listed() {
    check("load_range.csv", |text| {
        Ok(match service::strength(text)? {
            service::Strength::Range(range) => format!("range {range}"),
            service::Strength::Ply(ply) => format!("ply {ply}"),
            service::Strength::ExtraLoad => "XL".to_owned(),
            service::Strength::StandardLoad => "SL".to_owned(),
        })
    });
}

#[test]
fn speed_symbols_read_as_listed() {
    check("speed_symbol.csv", |text| service::speed_symbol(text).map(|symbol| symbol.text().to_owned()));
}

#[test]
fn date_codes_read_as_listed() {
    check("date_code.csv", |text| date::date_code(text).map(|monday| monday.to_string()));
}

#[test]
fn prices_read_as_listed() {
    check("price.csv", |text| {
        let read = money::money(text, None)?;
        Ok(format!("{} {}", read.amount, read.currency.map_or("-", money::Currency::code)))
    });
}

#[test]
fn headings_read_as_listed() {
    check("heading.csv", |text| {
        let read = heading::understand(text);
        let unit = match read.unit {
            Some(Unit::Length(LengthUnit::Mm)) => " mm",
            Some(Unit::Length(LengthUnit::Cm)) => " cm",
            Some(Unit::Length(LengthUnit::Inch)) => " in",
            Some(Unit::Mass(MassUnit::Kg)) => " kg",
            Some(Unit::Mass(MassUnit::Lb)) => " lb",
            Some(Unit::Pressure(PressureUnit::Psi)) => " psi",
            Some(Unit::Pressure(PressureUnit::Kpa)) => " kPa",
            Some(Unit::Pressure(PressureUnit::Bar)) => " bar",
            None => "",
        };
        let currency = read.currency.map_or(String::new(), |currency| format!(" {}", currency.code()));
        Ok(format!("{}{unit}{currency}", read.concept.map_or("nothing", heading::Concept::name)))
    });
}

#[test]
fn a_known_decimal_comma_settles_what_bounds_cannot() {
    let read = money::money("1.450", Some(DecimalMark::Comma)).expect("thousands");
    assert_eq!(read.amount.to_string(), "1450");
    let read = money::money("1.450", Some(DecimalMark::Point)).expect("decimals");
    assert_eq!(read.amount.to_string(), "1.450");
    let read = pattern::bolt_patterns("5x114,300", Some(DecimalMark::Comma)).expect("a pattern");
    assert_eq!(read[0].drilling.to_string(), "5x114.3");
}

#[test]
fn number_cells_take_the_unit_of_the_heading_or_the_only_possible_one() {
    let bore = quantity::length_from_number(84.1, None, &bounds::CENTER_BORE).expect("only millimeters");
    assert_eq!((bore.value, bore.unit_from), (Length::from_mm(84.1), UnitFrom::OnlyPossible));
    assert_eq!(quantity::mass_from_number(1250.0, None, &bounds::WHEEL_RATING), Err(Unread::UnitNotStated));
    let load = quantity::mass_from_number(3200.0, Some(MassUnit::Lb), &bounds::WHEEL_RATING).expect("pounds");
    assert_eq!(load.value, Mass::from_lb(3200.0));
    let pressure =
        quantity::pressure_from_number(80.0, Some(PressureUnit::Psi), &bounds::MAX_PRESSURE).expect("psi");
    assert_eq!(pressure.value, Pressure::from_psi(80.0));
    assert_eq!(offset::offset_from_number(-5.0, None), Err(Unread::UnitNotStated));
    let offset = offset::offset_from_number(-12.0, None).expect("no inches");
    assert_eq!((offset.value, offset.unit_from), (Length::from_mm(-12.0), UnitFrom::OnlyPossible));
    assert!(quantity::length_from_number(f64::NAN, None, &bounds::CENTER_BORE).is_err());
}

/// Every table of cells, by file name.
fn tables() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/notation");
    let files = std::fs::read_dir(folder).expect("the tables");
    let names = files.map(|file| file.expect("a table").file_name().to_string_lossy().into_owned());
    names.filter(|name| name != "heading.csv").collect()
}

/// Fillers say nothing and headings are no cells, so neither counts as a spelling that is refused.
#[test]
fn the_tables_hold_enough_different_spellings_and_refusals() {
    let (mut spellings, mut refusals) = (BTreeSet::new(), BTreeSet::new());
    for file in tables() {
        let mut inputs = BTreeSet::new();
        for (line, input, expected) in cases(&file) {
            assert!(inputs.insert(input.clone()), "{file}:{line}: `{input}` stands there twice");
            if expected.starts_with("! ") && text::says_nothing(&input).is_none() {
                refusals.insert(input.clone());
            }
            spellings.insert(input);
        }
    }
    assert!(spellings.len() >= 300, "only {} different spellings", spellings.len());
    assert!(refusals.len() >= 100, "only {} different refusals", refusals.len());
}

proptest! {
    #[test]
    fn every_reader_keeps_its_promises_on_any_text(text in any::<String>()) {
        properties::holds(&text);
    }

    #[test]
    fn every_reader_keeps_its_promises_on_texts_of_trade_signs(
        text in r#"[0-9xX×/.,\-+()"' RCLTPEJSéß½°#✓a-z\u{a0}]{0,40}"#,
    ) {
        properties::holds(&text);
    }

    #[test]
    fn a_drilling_reads_back_as_shown(holes in 3_u8..=10, tenths in 900_u32..3500) {
        let text = format!("{holes}x{}", f64::from(tenths) / 10.0);
        let read = pattern::bolt_patterns(&text, None).expect("a pattern");
        assert_eq!(read.len(), 1);
        assert_eq!(read[0].drilling.to_string(), text);
    }

    #[test]
    fn a_tire_size_reads_back_as_shown(
        prefix in "(LT|P|ST|)", width in 21_u32..80, aspect in 25_u32..=100, letter in "(R|ZR|D|B)", rim in 10_u32..=30, suffix in "(C|LT|)",
    ) {
        // An LT size has no commercial C; see the reader.
        let suffix = if prefix.is_empty() { suffix } else { String::new() };
        let text = format!("{prefix}{}/{aspect}{letter}{rim}{suffix}", width * 5);
        let read = tire::tire(&text).expect("a size");
        assert_eq!(read.size.to_string(), text);
        assert!(read.left_over.is_empty());
    }
}
