//! Untidy sheets, small enough to read: what becomes of their rows, facts and verdicts.
//!
//! Most of these are a buyer's trials that once went wrong; the worst were false fits.
#![expect(clippy::panic, reason = "a sheet of this file that cannot be taken in fails its test")]

use rimsieve::document::Source;
use rimsieve::facts::catalog::{Catalog, Weight};
use rimsieve::facts::{Field, State};
use rimsieve::intake::{profile, take_in};
use rimsieve::judge::explain::show_field;
use rimsieve::judge::{VerdictKind, judge};
use rimsieve::rules::RuleSet;
use rimsieve::sheet::{Sheet, read_bytes};
use rimsieve::van;

fn sheet(text: &str) -> Vec<Sheet> {
    match read_bytes("untidy.csv", text.as_bytes().to_vec()) {
        Ok(sheet) => vec![sheet],
        Err(error) => panic!("{error}"),
    }
}

fn taken(sheets: &[Sheet]) -> Catalog<'_> {
    match take_in(sheets, &[]) {
        Ok(catalog) => catalog,
        Err(error) => panic!("{error}"),
    }
}

/// A part's fact in words, or why it has none.
fn fact(catalog: &Catalog<'_>, sku: &str, field: Field) -> String {
    let part = catalog.parts.iter().find(|part| part.sku == sku);
    let spec = part.and_then(|part| catalog.specs.get(part.spec));
    match spec.and_then(|spec| spec.fact(field)).map(|fact| &fact.state) {
        Some(State::Known(value)) => show_field(field, value),
        Some(State::Missing) => "missing".to_owned(),
        Some(State::Unreadable(why)) => format!("unreadable: {why}"),
        Some(State::Contradicted(contradiction)) => format!("in doubt: {}", contradiction.check),
        None => panic!("no part {sku} with {}", field.full_name()),
    }
}

fn remarks(catalog: &Catalog<'_>, weight: Weight) -> Vec<String> {
    let remarks = catalog.sheets.iter().flat_map(|sheet| &sheet.remarks);
    remarks
        .filter(|remark| remark.weight == weight)
        .map(|remark| format!("{} {}", remark.address(), remark.kind))
        .collect()
}

/// The verdict on each part for the single-rear sample van.
fn verdicts(text: &str) -> Vec<(String, VerdictKind)> {
    let sheets = sheet(text);
    let rules = RuleSet::shipped().unwrap_or_default();
    let vans = van::read_all(&["samples/vans/orlbeck-l4.toml"], &rules).unwrap_or_default();
    let judgement = judge(taken(&sheets), rules, vans, Vec::new(), None);
    let parts = judgement.catalog.parts.iter();
    parts.filter_map(|part| Some((part.sku.to_owned(), judgement.finding(0, part)?.kind()))).collect()
}

#[test]
fn a_second_table_is_read_under_its_own_headings_whatever_their_words() {
    let text = "Part,Size,PCD,ET,Bore,Load kg,Seat\nW1,17x8,6x130,45,84.1,1350,Ball R14\n\n\
                Item,Rim,Bolt Pattern,Offset,Center Bore,Capacity lb,Lug Seat\nW2,17x8,6x130,45,84.1,2100,Ball R14\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "W2", Field::WheelLoadRating), "952.5 kg");
    assert_eq!(fact(&catalog, "W2", Field::WheelRimDiameter), "17 in");
    assert_eq!(
        verdicts(text),
        [("W1".to_owned(), VerdictKind::Fits), ("W2".to_owned(), VerdictKind::Rejected)]
    );
}

#[test]
fn a_note_that_names_another_unit_puts_the_headings_unit_in_doubt_below_it() {
    let text = "Part,Size,PCD,ET,Bore,Load kg,Seat\nW1,17x8,6x130,45,84.1,1350,Ball R14\n\
                STEEL WHEELS - loads below in lb,,,,,,\nW2,17x8,6x130,45,84.1,2100,Ball R14\n\
                W3,17x8,6x130,45,84.1,2900 lb,Ball R14\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "W1", Field::WheelLoadRating), "1350 kg");
    assert_eq!(fact(&catalog, "W2", Field::WheelLoadRating), "unreadable: unit not stated");
    assert_eq!(fact(&catalog, "W3", Field::WheelLoadRating), "1315.4 kg");
    assert!(remarks(&catalog, Weight::Fault).contains(&"A3 unit-in-doubt".to_owned()));
}

#[test]
fn a_number_of_holes_that_disagrees_with_the_pattern_is_never_proof() {
    let text = "SKU,Size,Lugs,PCD,ET,Bore,Load kg,Seat\nW1,17x8,5,6x130,45,84.1,1350,Ball R14\n\
                W2,17x8,6,130,45,84.1,1350,Ball R14\nW3,17x8,,130,45,84.1,1350,Ball R14\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "W1", Field::WheelBoltPatterns), "in doubt: stated-twice");
    assert_eq!(fact(&catalog, "W2", Field::WheelBoltPatterns), "6x130");
    assert!(fact(&catalog, "W3", Field::WheelBoltPatterns).starts_with("unreadable"));
}

#[test]
fn of_two_pattern_columns_an_unreadable_one_blocks_rejection_and_proof() {
    let text = "SKU,Size,Bolt Pattern 1,Bolt Pattern 2,Offset,Bore,Load kg,Seat\n\
                W1,17x8,6x13O,6x139.7,45,84.1,1350,Ball R14\nW2,17x8,6x130,TBD,45,84.1,1350,Ball R14\n\
                W3,17x8,6x130,6x139.7,45,84.1,1350,Ball R14\nW4,17x8,,6x139.7,45,84.1,1350,Ball R14\n";
    let expected = [
        ("W1", VerdictKind::Unproven),
        ("W2", VerdictKind::Unproven),
        ("W3", VerdictKind::Fits),
        ("W4", VerdictKind::Rejected),
    ];
    assert_eq!(verdicts(text), expected.map(|(sku, kind)| (sku.to_owned(), kind)));
}

#[test]
fn headings_may_take_three_rows() {
    let text = "Part #,Rim,,Bolt Pattern,Offset,Center Bore,Load,Seat\n,Diameter,Width,,,,,\n,in,in,,mm,mm,kg,\n\
                A1,17,8,6x130,45,84.1,1350,Ball R14\n";
    assert_eq!(verdicts(text), [("A1".to_owned(), VerdictKind::Fits)]);
}

#[test]
fn tires_may_stand_in_one_description_column() {
    let text = "SKU,Description,Price\nC1,LT245/75R16 E 120/116S GRIZZLEFOOT A/T,100\n\
                C2,235/65R16C 121/119R FENROAD VAN 10PR,100\nC3,Fitting kit M14x1.5 2019,12\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "C1", Field::TireLoadRange), "E (10 ply)");
    assert_eq!(fact(&catalog, "C2", Field::TireLoadIndex), "121");
    assert_eq!((catalog.sheets[0].parts, catalog.sheets[0].reported), (2, 1), "the kit is reported");
}

#[test]
fn a_second_table_beside_the_first_is_told_and_not_mixed_in() {
    let text = "SKU,Size,Bolt Pattern,Offset,Bore,Load (lb),Seat,,SKU,Size,LI,Speed\n\
                W1,17x8,6x130,45,84.1,3000,Ball R14,,T1,235/65R16C,121/119,R\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "W1", Field::WheelRimDiameter), "17 in");
    assert!(remarks(&catalog, Weight::Fault).contains(&"I1 second-table".to_owned()));
}

#[test]
fn a_category_that_names_other_goods_makes_no_wheel() {
    let text = "Category,SKU,Size,Bolt Pattern,Offset,Bore,Load kg\nWheel,W1,17x8,6x130,45,84.1,1350\n\
                Lug Nuts,N1,M14x1.5,,,,\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(catalog.parts.iter().map(|part| part.sku).collect::<Vec<_>>(), ["W1"]);
    assert!(remarks(&catalog, Weight::Note).contains(&"A3 other-goods".to_owned()));
}

#[test]
fn every_row_is_accounted_for() {
    let text = "Our list\n\nSKU,Size,Bolt Pattern,Offset,Bore,Load kg\nW1,17x8,6x130,45,84.1,1350\n,,,,,\n\
                17 INCH,,,,,\nW2,17x8,6x130,45,84.1,1350\nW9,,,,,\nTotal,,,,,2700\nAll prices net.\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    let account = &catalog.sheets[0];
    assert_eq!((account.rows, account.parts, account.reported, account.furniture), (10, 2, 1, 7));
}

#[test]
fn a_profile_settles_what_the_sheet_leaves_open() {
    let text = "Art,Dim,Loch,Versatz,Nabe,Last,Form\nW1,17x8,6x130,45,84.1,1350,SR\nRabatt,1,2,3,4,5,6\n";
    let source = Source::new(
        "profile.toml",
        "[profile]\nfiles = [\"untidy*\"]\nheading_row = 1\nskip = [\"Rabatt*\"]\n[profile.columns]\n\
         \"Art\" = \"sku\"\n\"Dim\" = \"size\"\n\"Loch\" = \"bolt_pattern\"\n\"Versatz\" = \"offset\"\n\
         \"Nabe\" = { holds = \"center_bore\", unit = \"mm\" }\n\"Last\" = { holds = \"load\", unit = \"kg\" }\n\
         \"Form\" = \"seat\"\n[profile.constants]\nsupplier = \"Northfell\"\nmarkings = \"JWL-T\"\n\
         [profile.values.seat]\n\"SR\" = \"ball R14\"\n",
    );
    let (read, problems) = profile::read_profile(&source);
    assert!(problems.is_empty(), "{problems:?}");
    let profiles: Vec<_> = read.into_iter().collect();
    let sheets = sheet(text);
    let catalog = match take_in(&sheets, &profiles) {
        Ok(catalog) => catalog,
        Err(error) => panic!("{error}"),
    };
    assert_eq!(catalog.parts.len(), 1, "the rebate is skipped");
    assert_eq!(catalog.parts[0].supplier, "Northfell");
    assert_eq!(fact(&catalog, "W1", Field::WheelSeat), "ball R14");
    assert_eq!(fact(&catalog, "W1", Field::WheelLoadRating), "1350 kg");
    assert_eq!(fact(&catalog, "W1", Field::WheelMarkings), "JWL-T");
    let spec = &catalog.specs[catalog.parts[0].spec];
    let from = |field| spec.fact(field).map(|fact| fact.from.name());
    assert_eq!(from(Field::WheelLoadRating), Some("profile"));
    assert_eq!(from(Field::WheelMarkings), Some("profile"));
}

#[test]
fn a_part_is_never_taken_for_headings_for_the_words_it_holds() {
    let text = "Supplier,SKU,Tread,Size,Load Index,Speed,3PMSF,M+S\n\
                Northfell,NF-1,Kerbule,235/65R16C,121/119,S,3PMSF,M+S\nNorthfell,NF-2,Tread,235/65R16C,121/119,S,,\n\
                Northfell,NF-3,Kerbule,235/65R16C,121/119,R,,\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    let skus: Vec<&str> = catalog.parts.iter().map(|part| part.sku).collect();
    assert_eq!(skus, ["NF-1", "NF-2", "NF-3"]);
}

#[test]
fn a_size_column_that_names_tires_makes_its_rows_tires() {
    let text = "SKU,Wheel Size,Bolt Pattern,Tire Size\nW1,17x8,6x130,\nT1,,,235/65R16C 121/119R\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "W1", Field::WheelRimWidth), "8 in");
    assert_eq!(fact(&catalog, "T1", Field::TireLoadIndexDual), "119");
}

#[test]
fn headings_may_be_cut_over_two_rows() {
    let text = "Supplier,SKU,Name,Wheel,Bolt,Offset,Center,Load,Lug\n,,,Size,Pattern,(mm),Bore (mm),Rating (lb),Seat\n\
                Northfell,A1,K7,17x8,6x130,45,84.1,2756,Ball R14\n";
    assert_eq!(verdicts(text), [("A1".to_owned(), VerdictKind::Fits)]);
}

#[test]
fn a_fraction_under_offset_without_a_unit_may_be_a_back_spacing() {
    let text = "SKU,Wheel Size,Bolt Pattern,Offset,Center Bore (mm)\nW1,17x8,6x130,6.31,84.1\nW2,17x8,6x130,45,84.1\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "W1", Field::WheelOffset), "unreadable: unit not stated");
    assert_eq!(fact(&catalog, "W2", Field::WheelOffset), "45 mm");
}

#[test]
fn one_load_in_pounds_and_in_kilograms_is_no_contradiction() {
    let text = "Supplier,SKU,Size,Bolt Pattern,Load\nN,W1,17x8,6x130,1250 kg\nN,W1,17x8,6x130,2756 lb\n\
                N,W2,17x8,6x130,1250 kg\nN,W2,17x8,6x130,1300 kg\n";
    let sheets = sheet(text);
    let rules = RuleSet::shipped().unwrap_or_default();
    let judgement = judge(taken(&sheets), rules, Vec::new(), Vec::new(), None);
    assert_eq!(fact(&judgement.catalog, "W1", Field::WheelLoadRating), "1250 kg");
    assert_eq!(fact(&judgement.catalog, "W2", Field::WheelLoadRating), "in doubt: sku-repeated");
}

/// The unit that intake gives a column of a sheet, and who gives it.
fn unit_of<'c>(catalog: &'c Catalog<'_>, column: &str) -> (Option<&'c str>, Option<&'c str>) {
    let columns = catalog.sheets.iter().flat_map(|sheet| &sheet.tabs).flat_map(|tab| &tab.understood);
    let column = columns.into_iter().find(|known| known.column == column);
    column.map_or((None, None), |known| (known.unit, known.unit_from))
}

#[test]
fn loads_in_two_columns_prove_the_units_of_both_in_any_order() {
    // Common practice, no source; 1 kg is 2.20462 lb by definition of the pound.
    for (heads, rows) in [
        ("Load Rating,Max Load", ["1250,2756", "1350,2976", "1450,3197"]),
        ("Load Rating,Max Load", ["1250 kg,2756", "1350 kg,2976", "1450 kg,3197"]),
        ("Load Rating,Max Load (lb)", ["1250,2756", "1350,2976", "1450,3197"]),
        ("Load Rating (kg),Max Load", ["1250,2756", "1350,2976", "1450,3197"]),
    ] {
        let text = format!(
            "SKU,{heads},Bolt Pattern,Size\nW1,{},6x130,17x8\nW2,{},6x130,17x8\nW3,{},6x130,17x8\nW4,,2866,6x130,17x8\n",
            rows[0], rows[1], rows[2]
        );
        let sheets = sheet(&text);
        let catalog = taken(&sheets);
        assert_eq!(fact(&catalog, "W1", Field::WheelLoadRating), "1250 kg", "{heads}");
        assert_eq!(
            fact(&catalog, "W4", Field::WheelLoadRating),
            "1300 kg",
            "{heads}: one figure has its unit too"
        );
    }
    let text = "Max Load,SKU,Size,PCD,Load\n2756,W1,17x8,6x130,1250\n2976,W2,17x8,6x130,1350\n3197,W3,17x8,6x130,1450\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(unit_of(&catalog, "A"), (Some("lb"), Some("proof")));
    assert_eq!(unit_of(&catalog, "E"), (Some("kg"), Some("proof")));
    assert_eq!(fact(&catalog, "W1", Field::WheelLoadRating), "1250.1 kg", "2756 lb, which stands first");
    let told = remarks(&catalog, Weight::Note);
    assert!(
        told.contains(&"A1 unit-proven".to_owned()) && told.contains(&"E1 unit-proven".to_owned()),
        "{told:?}"
    );
}

#[test]
fn what_falls_short_of_proof_leaves_the_unit_open() {
    for (why, text) in [
        ("a lone figure", "SKU,Size,PCD,Load\nW1,17x8,6x130,1250\n"),
        ("a lone column", "SKU,Size,PCD,Load\nW1,17x8,6x130,1250\nW2,17x8,6x130,1350\nW3,17x8,6x130,1450\n"),
        ("two rows", "SKU,Size,PCD,Load,Max Load\nW1,17x8,6x130,1250,2756\nW2,17x8,6x130,1350,2976\n"),
        (
            "one row of another ratio",
            "SKU,Size,PCD,Load,Max Load\nW1,17x8,6x130,1250,2756\nW2,17x8,6x130,1350,2976\n\
             W3,17x8,6x130,1450,3197\nW4,17x8,6x130,1450,2900\n",
        ),
        (
            "a ratio near to that of pounds",
            "SKU,Size,PCD,Load,Max Load\nW1,17x8,6x130,1250,2700\nW2,17x8,6x130,1350,2916\n\
             W3,17x8,6x130,1450,3132\n",
        ),
        (
            "three columns, the middle one kilograms to one and pounds to the other",
            "SKU,Size,PCD,Max Load,Load,Load Rating\nW1,17x8,6x130,600,1323,2916\nW2,17x8,6x130,700,1543,3402\n\
             W3,17x8,6x130,800,1764,3888\n",
        ),
        (
            "the heading says pounds where the figures say kilograms",
            "SKU,Size,PCD,Load (lb),Max Load\nW1,17x8,6x130,1250,2756\nW2,17x8,6x130,1350,2976\n\
             W3,17x8,6x130,1450,3197\n",
        ),
    ] {
        let sheets = sheet(text);
        let catalog = taken(&sheets);
        let unproven =
            catalog.sheets[0].tabs[0].understood.iter().all(|column| column.unit_from != Some("proof"));
        assert!(unproven || why.starts_with("three"), "{why}");
        if why.starts_with("three") {
            assert_eq!(unit_of(&catalog, "E"), (None, None), "{why}");
        } else if !why.starts_with("the heading") {
            assert_eq!(fact(&catalog, "W1", Field::WheelLoadRating), "unreadable: unit not stated", "{why}");
        }
    }
}

#[test]
fn load_indices_prove_the_unit_of_the_loads_beside_them() {
    // Kilograms of the indices 121, 118, 116: 1450, 1320, 1250 (UN R54 Annex 4).
    let text = "SKU,Size,LI,Load,Load Dual\nT1,235/65R16C,121/119,3197,2998\nT2,225/75R16C,118/116,2910,2756\n\
                T3,225/75R16C,116/114,2756,2601\nT4,225/75R16C,,2756,2601\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(unit_of(&catalog, "D"), (Some("lb"), Some("proof")));
    assert_eq!(fact(&catalog, "T4", Field::TireLoadSingle), "1250.1 kg");
    assert_eq!(fact(&catalog, "T4", Field::TireLoadDual), "1179.8 kg");

    let text = "SKU,Load,Size\nT1,1450,235/65R16C 121/119R\nT2,1320,225/75R16C 118/116R\nT3,1250,225/75R16C 116/114R\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "T1", Field::TireLoadSingle), "1450 kg", "the index stands in the size");
}

#[test]
fn loads_that_contradict_their_indices_prove_nothing_unless_they_are_few() {
    let row = |number: usize, load: u32| format!("T{number},225/75R16C,118/116,{load}\n");
    let sheet_of = |loads: &[u32]| {
        let rows = loads.iter().enumerate().map(|(at, load)| row(at + 1, *load));
        format!("SKU,Size,LI,Load\n{}", rows.collect::<String>())
    };
    let unit = |loads: &[u32]| {
        let text = sheet_of(loads);
        let sheets = sheet(&text);
        let catalog = taken(&sheets);
        unit_of(&catalog, "D").0.map(str::to_owned)
    };
    assert_eq!(unit(&[1320, 1320]), None, "two rows");
    assert_eq!(unit(&[1320, 1320, 1320]).as_deref(), Some("kg"));
    assert_eq!(unit(&[1320, 1320, 1320, 1200]), None, "one of four is no exception");
    assert_eq!(unit(&[1320, 1320, 1320, 1320, 1320, 1320, 1320, 1320, 1320, 1200]).as_deref(), Some("kg"));
    assert_eq!(
        unit(&[1320, 1320, 1320, 1320, 1320, 1320, 1320, 1320, 1320, 2910]),
        None,
        "a row in the other unit spoils the proof"
    );
    // The row that differs is still found.
    let text = sheet_of(&[1320, 1320, 1320, 1320, 1320, 1320, 1320, 1320, 1320, 1200]);
    let sheets = sheet(&text);
    let rules = RuleSet::shipped().unwrap_or_default();
    let judgement = judge(taken(&sheets), rules, Vec::new(), Vec::new(), None);
    assert_eq!(fact(&judgement.catalog, "T10", Field::TireLoadSingle), "in doubt: load-index-vs-load");
}

#[test]
fn what_tires_prove_says_nothing_of_wheels_in_the_same_column() {
    let text = "SKU,Size,Load\nT1,235/65R16C 121/119R,1450\nT2,225/75R16C 118/116R,1320\n\
                T3,225/75R16C 116/114R,1250\nW1,17x8,2756\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "T1", Field::TireLoadSingle), "1450 kg");
    assert_eq!(fact(&catalog, "W1", Field::WheelLoadRating), "unreadable: unit not stated");
}

#[test]
fn a_proof_holds_over_repeated_headings_and_ends_at_others() {
    let heads = "SKU,Size,PCD,Load,Max Load";
    let rows = "W1,17x8,6x130,1250,2756\nW2,17x8,6x130,1350,2976\nW3,17x8,6x130,1450,3197\n";
    let text = format!("{heads}\n{rows}{heads}\nW4,17x8,6x130,1300,2866\n");
    let sheets = sheet(&text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "W4", Field::WheelLoadRating), "1300 kg");
    let text = format!("{heads}\n{rows}Item,Size,PCD,Offset,Max Load\nW4,17x8,6x130,45,1300\n");
    let sheets = sheet(&text);
    let catalog = taken(&sheets);
    assert_eq!(fact(&catalog, "W1", Field::WheelLoadRating), "1250 kg");
    assert_eq!(fact(&catalog, "W4", Field::WheelLoadRating), "unreadable: unit not stated");
}

#[test]
fn of_several_prices_one_counts_and_is_named() {
    let rows = "W1,17x8,6x130,100,200\nW2,17x8,6x130,110,\n";
    for (heads, price) in [
        ("Dealer,MSRP", "200"),
        ("MSRP,Cost", "100"),
        ("Price,Net Price", "100"),
        ("EK,VK netto", "200"),
        ("MAP,Price", "200"),
        ("Price EUR,Price USD", "100"),
    ] {
        let text = format!("SKU,Size,PCD,{heads}\n{rows}");
        let sheets = sheet(&text);
        let catalog = taken(&sheets);
        assert_eq!(catalog.parts[0].price, price, "{heads}");
        let column = if price == "200" { "E" } else { "D" };
        let told = remarks(&catalog, Weight::Note);
        assert!(told.contains(&format!("{column}1 price-chosen")), "{heads}: {told:?}");
        // A price of another kind never fills in.
        assert_eq!(catalog.parts[1].price, if price == "200" { "" } else { "110" }, "{heads}");
    }
    let source =
        Source::new("p.toml", "[profile]\nfiles = [\"untidy*\"]\n[profile.columns]\n\"Cost\" = \"price\"\n");
    let profiles: Vec<_> = profile::read_profile(&source).0.into_iter().collect();
    let text = format!("SKU,Size,PCD,MSRP,Cost\n{rows}");
    let sheets = sheet(&text);
    let catalog = take_in(&sheets, &profiles).unwrap_or_default();
    assert_eq!(catalog.parts[0].price, "200", "a profile chooses");
}

#[test]
fn a_column_is_asked_about_by_its_cells_and_never_guessed() {
    let text = "Cat. No.,Wheel,Fitment,Rated,Nuts,Offset,MSPN\nA1,16x6.5,6x130,1250,Ball R14,45,1\n\
                A2,17x8,6x139.7,1350,Cone 60,50,2\nA3,17x8,6x139.7,1450,Cone 60,50,2\n";
    let sheets = sheet(&format!("{text}A4,17x8,6x130,1450,Cone 60,52,3\n"));
    // Two known headings make a row of headings; here only one is known.
    assert!(take_in(&sheets, &[]).is_err());
    let text = text
        .replace("MSPN", "Bore")
        .replace("\nA1,16x6.5,6x130,1250,Ball R14,45,1", "\nA1,16x6.5,6x130,1250,Ball R14,45,84.1");
    let sheets = sheet(&text);
    let catalog = taken(&sheets);
    let columns = &catalog.sheets[0].tabs[0].understood;
    let offered = |heading: &str| {
        let column = columns.iter().find(|column| column.heading == heading);
        column.map(|column| (column.holds, column.nearest))
    };
    assert_eq!(offered("Cat. No."), Some((None, Some("sku"))));
    assert_eq!(offered("Wheel"), Some((None, Some("size"))));
    assert_eq!(offered("Fitment"), Some((Some("left_over"), Some("bolt_pattern"))));
    assert_eq!(offered("Rated"), Some((None, Some("load"))));
    assert_eq!(offered("Nuts"), Some((None, Some("seat"))));
    assert_eq!(offered("Offset"), Some((Some("offset"), None)));
    let notes: Vec<&str> = catalog.sheets[0].remarks.iter().map(|remark| &*remark.says).collect();
    assert!(
        notes.iter().any(|says| says.contains("`Fitment`") && says.contains("look like bolt patterns")),
        "{notes:?}"
    );
    assert_eq!(fact(&catalog, "", Field::WheelBoltPatterns), "missing");
    assert_eq!(fact(&catalog, "", Field::WheelRimWidth), "missing");
}

#[test]
fn cells_of_another_kind_than_the_heading_says_are_named() {
    let text = "SKU,Size,Offset,Bore\nW1,17x8,6x130,84.1\nW2,17x8,6x139.7,84.1\nW3,17x8,6x130,84.1\n";
    let sheets = sheet(text);
    let catalog = taken(&sheets);
    let offset = &catalog.sheets[0].tabs[0].understood[2];
    assert_eq!((offset.holds, offset.nearest), (Some("offset"), Some("bolt_pattern")));
    let told = remarks(&catalog, Weight::Note);
    assert!(told.contains(&"C1 heading-and-cells".to_owned()), "{told:?}");
}
