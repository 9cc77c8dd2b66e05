//! Van files and their work with one fault each: the fault found, the very text it marks, and the name
//! that was probably meant.
//!
//! Faults are told apart by their variant and data, never by their wording.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

#[macro_use]
mod marked;

use std::fmt::Write as _;
use std::path::Path;

use rimsieve::document::literal::LiteralProblem;
use rimsieve::document::{Fault, FileProblem, Source};
use rimsieve::facts::field::Field;
use rimsieve::facts::value::Value;
use rimsieve::judge::work::never_helping;
use rimsieve::rules::RuleSet;
use rimsieve::trade::quantity::Length;
use rimsieve::van::{Van, read_all, read_van};

use marked::{Wanted, is, told};

/// The van file that shows every setting; all cases change one line of it.
const HERON: &str = r#"[van]
id        = "heron-h2"                       # used in outputs; letters, digits, hyphens
name      = "Heron H2 long, single rear wheels"
gvwr      = "4280 kg"
top_speed = "150 km/h"
packs     = ["us-road"]                      # rule packs beside core; optional
front = { axle_load = "1850 kg", wheels = 2 }
rear  = { axle_load = "2430 kg", wheels = 2 }  # 4 = twin rear wheels

[van.hub]
bolt_pattern = "6x130"
pilot  = "84.1 mm"
fixing = "bolt"                              # bolt | stud
thread = "M14x1.5"
seat   = "ball R14"                          # cone 60 | ball R12 R13 R14 | flat | shank
# fastener_shank = "28 mm"                   # optional: length under the seat

[van.stock]
wheel = "6.5x16 ET62"
tire  = "235/65R16C 121/119R"

[van.room]
rim_diameter   = ["16 in", "18 in"]          # windows are inclusive
rim_width      = ["6 in", "9 in"]
offset         = ["30 mm", "62 mm"]
tire_diameter  = "790 mm"                    # largest
tire_section   = "275 mm"                    # widest
road_speed     = "3 %"                       # how far the overall diameter may differ from stock
outboard_reach = "118 mm"                    # hub face to the outer tire face before a door or arch fouls
inboard_reach  = "196 mm"                    # hub face to the inner tire face before strut, spring or brake line
spare_diameter = "770 mm"
tire_service   = ["LT", "C"]
load_range     = "E"                         # least, for LT tires
# dual_gap     = "20 mm"                     # optional: least gap between twin tires

[[work]]
name   = "cone-seat lug bolts"
sets   = { "van.hub.seat" = "cone 60" }
needs  = [ { item = "lug bolt M14x1.5, cone 60, 28 mm shank", per = "wheel", count = 6 } ]
costs  = "38.00"                             # for one set
leaves = ["torque to the van maker's figure, again after 50 km"]
"#;

/// Only what must be stated.
const BARE: &str = r#"[van]
id        = "heron-h2"
top_speed = "150 km/h"
front     = { axle_load = "1850 kg", wheels = 2 }
rear      = { axle_load = "2430 kg", wheels = 4 }

[van.hub]
bolt_pattern = "6x130"
pilot        = "84.1 mm"
fixing       = "bolt"
thread       = "M14x1.5"
seat         = "ball R14"

[[work]]
name  = "cone-seat lug bolts"
sets  = { "van.hub.seat" = "cone 60" }
costs = 38
"#;

/// The van file with one text put in place of another.
fn with(text: &str, instead: &str) -> String {
    let changed = HERON.replacen(text, instead, 1);
    assert!(changed != HERON, "the van file has no `{text}`");
    changed
}

/// The van file with lines behind it.
fn and(more: &str) -> String {
    format!("{HERON}{more}\n")
}

/// Checks that each text has one fault, which marks its first line so; reports all that differ at once.
fn check(cases: &[(String, Wanted)]) {
    let mut differing = String::new();
    for (text, Wanted(marked, pattern, is)) in cases {
        let (van, found) = read_van(&Source::new("van.toml", text.as_str()), Path::new(""));
        let alike = matches!(found.as_slice(), [one]
            if one.marked().lines().next().unwrap_or_default() == *marked && is(one.fault()));
        if !alike || van.is_some() {
            let changed: String = text
                .lines()
                .filter(|line| !HERON.contains(line))
                .fold(String::new(), |lines, line| lines + line + "\n");
            let _ = writeln!(
                differing,
                "{changed}  gave\n{}  instead of\n    at `{marked}`: {pattern}\n",
                told(&found)
            );
        }
    }
    assert!(differing.is_empty(), "\n{differing}");
}

fn read(text: &str) -> Van {
    let (van, found) = read_van(&Source::new("van.toml", text), Path::new(""));
    assert!(found.is_empty(), "{}", told(&found));
    van.unwrap()
}

#[test]
fn the_van_file_of_the_contract_reads_without_problems() {
    let van = read(HERON);
    assert_eq!((&*van.id, &*van.name), ("heron-h2", "Heron H2 long, single rear wheels"));
    assert_eq!(van.packs, ["us-road"]);
    assert_eq!((van.facts.wheels_on_road(), van.set()), (4, 5));
    let mm = |mm| Some(Value::length(Length::from_mm(mm)));
    for (field, value) in [
        (Field::VanHubPilot, mm(84.1)),
        (Field::VanStockOffset, mm(62.0)),
        (Field::VanStockRimDiameter, mm(406.4)),
        (Field::VanStockRimWidth, mm(165.1)),
        (Field::VanRoomInboardReach, mm(196.0)),
        // ETRTO design diameter: 16 x 25.4 + 2 x 0.65 x 235 = 711.9, each flank rounded to 1 mm by the book: 712.
        (Field::VanStockTireDiameter, mm(712.0)),
        // 2430 / 2, in micrograms.
        (Field::VanCornerLoad, Some(Value::Number(1215e9))),
        (Field::VanRoomDualGap, None),
        (Field::VanHubFastenerShank, None),
    ] {
        assert_eq!(van.facts.get(field), value.as_ref(), "{}", field.full_name());
    }
    assert_eq!(van.works.len(), 1);
    assert_eq!(van.works[0].costs.to_string(), "38.00");
    let rules = RuleSet::shipped().unwrap();
    assert!(van.check_packs(&rules).is_empty());
}

#[test]
fn everything_optional_can_be_left_out() {
    let van = read(BARE);
    assert_eq!(&*van.name, "heron-h2", "the id stands for the name");
    assert_eq!(van.set(), 7);
    let stated: Vec<String> = Field::of(rimsieve::facts::Scope::Van)
        .iter()
        .filter(|field| van.facts.get(**field).is_some())
        .map(|field| field.full_name())
        .collect();
    assert_eq!(
        stated,
        [
            "van.front.axle_load",
            "van.front.wheels",
            "van.rear.axle_load",
            "van.rear.wheels",
            "van.corner_load",
            "van.top_speed",
            "van.hub.bolt_pattern",
            "van.hub.pilot",
            "van.hub.fixing",
            "van.hub.thread",
            "van.hub.seat",
        ]
    );
    // The front axle: 1850 / 2; the twins share 2430 by four.
    assert_eq!(van.facts.get(Field::VanCornerLoad), Some(&Value::Number(925e9)));
}

#[test]
fn every_optional_setting_can_be_left_out_alone() {
    for line in HERON.lines() {
        let key = line.split('=').next().unwrap_or_default().trim();
        let optional = [
            "gvwr",
            "packs",
            "wheel",
            "tire",
            "rim_diameter",
            "rim_width",
            "offset",
            "tire_diameter",
            "tire_section",
            "road_speed",
            "outboard_reach",
            "inboard_reach",
            "spare_diameter",
            "tire_service",
            "load_range",
            "needs",
            "leaves",
        ];
        if optional.contains(&key) {
            read(&with(&format!("{line}\n"), ""));
        }
    }
    let extra = with("\n[van.stock]", "fastener_shank = \"28 mm\"\n\n[van.stock]");
    let extra = extra.replacen("\n[[work]]", "dual_gap = \"20 mm\"\n\n[[work]]", 1);
    let van = read(&extra.replacen("packs ", "sensors = true\npacks ", 1));
    assert!(
        van.facts.get(Field::VanHubFastenerShank).is_some() && van.facts.get(Field::VanRoomDualGap).is_some()
    );
    assert_eq!(van.facts.get(Field::VanSensors), Some(&Value::Flag(true)));
}

#[test]
fn quantities_need_their_unit_and_the_right_one() {
    check(&[
        (
            with("\"4280 kg\"", "4280"),
            at!("4280", Fault::Literal(LiteralProblem::UnitMissing { example }) if example == "4280 kg"),
        ),
        (
            with("\"84.1 mm\"", "\"84.1\""),
            at!("\"84.1\"", Fault::Literal(LiteralProblem::UnitMissing { example }) if example == "84.1 mm"),
        ),
        (
            with("\"150 km/h\"", "150.5"),
            at!("150.5", Fault::Literal(LiteralProblem::UnitMissing { example }) if example == "150.5 km/h"),
        ),
        (
            with("\"84.1 mm\"", "\"84.1 kg\""),
            at!("\"84.1 kg\"", Fault::Literal(LiteralProblem::WrongUnit { unit, allowed, .. })
                if unit == "kg" && allowed.contains(&"mm")),
        ),
        (with("\"84.1 mm\"", "\"84,1 mm\""), at!("\"84,1 mm\"", Fault::Literal(_))),
        (
            with("\"1850 kg\"", "\"heavy\""),
            at!("\"heavy\"", Fault::Literal(LiteralProblem::NotANumber(text)) if text == "heavy"),
        ),
        (with("\"790 mm\"", "true"), at!("true", Fault::Literal(LiteralProblem::Type { .. }))),
        (
            with("\"3 %\"", "\"3 mm\""),
            at!("\"3 mm\"", Fault::Literal(LiteralProblem::WrongUnit { unit, .. }) if unit == "mm"),
        ),
    ]);
}

#[test]
fn settings_nobody_knows_are_marked_and_the_nearest_offered() {
    check(&[
        (with("gvwr ", "gvwrr"), at!("gvwrr", Fault::UnknownKey { nearest, .. } if is(nearest, "gvwr"))),
        (
            with("packs ", "colour = \"white\"\npacks "),
            at!("colour", Fault::UnknownKey { nearest: None, .. }),
        ),
        (
            with("offset  ", "ofset   "),
            at!("ofset", Fault::UnknownKey { nearest, .. } if is(nearest, "offset")),
        ),
        (
            with("[van.stock]", "[van.stok]"),
            at!("stok", Fault::UnknownKey { nearest, .. } if is(nearest, "stock")),
        ),
        (
            with("# fastener_shank", "fastner_shank"),
            at!("fastner_shank", Fault::UnknownKey { nearest, .. } if is(nearest, "fastener_shank")),
        ),
        (
            with("[[work]]", "[[works]]"),
            at!("works", Fault::UnknownKey { nearest, .. } if is(nearest, "work")),
        ),
        (
            with("leaves =", "leave  ="),
            at!("leave", Fault::UnknownKey { nearest, .. } if is(nearest, "leaves")),
        ),
        (
            with("axle_load = \"1850 kg\", wheels", "axle_load = \"1850 kg\", tires = 2, wheels"),
            at!("tires", Fault::UnknownKey { nearest: None, .. }),
        ),
        (
            with("per = \"wheel\"", "per = \"wheel\", pr = \"van\""),
            at!("pr", Fault::UnknownKey { nearest, .. } if is(nearest, "per")),
        ),
    ]);
}

#[test]
fn settings_that_must_be_there_are_named() {
    for (line, key, table) in [
        ("id        = \"heron-h2\"", "id", "[van]"),
        ("top_speed = \"150 km/h\"\n", "top_speed", "[van]"),
        ("front = { axle_load = \"1850 kg\", wheels = 2 }\n", "front", "[van]"),
        ("rear  = { axle_load = \"2430 kg\", wheels = 2 }", "rear", "[van]"),
        ("bolt_pattern = \"6x130\"\n", "bolt_pattern", "[van.hub]"),
        ("pilot  = \"84.1 mm\"\n", "pilot", "[van.hub]"),
        ("fixing = \"bolt\"", "fixing", "[van.hub]"),
        ("thread = \"M14x1.5\"\n", "thread", "[van.hub]"),
        ("seat   = \"ball R14\"", "seat", "[van.hub]"),
        ("axle_load = \"1850 kg\", ", "axle_load", "{ wheels = 2 }"),
        ("axle_load = \"1850 kg\", wheels = 2", "axle_load", "{  }"),
        ("name   = \"cone-seat lug bolts\"\n", "name", "[[work]]"),
        ("costs  = \"38.00\"", "costs", "[[work]]"),
        (", count = 6", "count", "{ item = \"lug bolt M14x1.5, cone 60, 28 mm shank\", per = \"wheel\" }"),
        ("per = \"wheel\", ", "per", "{ item = \"lug bolt M14x1.5, cone 60, 28 mm shank\", count = 6 }"),
        ("item = \"lug bolt M14x1.5, cone 60, 28 mm shank\", ", "item", "{ per = \"wheel\", count = 6 }"),
    ] {
        let (van, found) = read_van(&Source::new("van.toml", with(line, "")), Path::new(""));
        assert!(van.is_none());
        let missing: Vec<_> = found
            .iter()
            .map(|problem| match problem.fault() {
                Fault::KeyMissing(key) => (*key, problem.marked().lines().next().unwrap_or_default()),
                other => panic!("{key}: {other:?}"),
            })
            .collect();
        assert_eq!(missing.first(), Some(&(key, table)), "{line}");
        assert!(missing.len() == 1 || table == "{  }", "{line}: {missing:?}");
    }
    // A van without a hub at all.
    let hub = HERON.find("[van.hub]").unwrap()..HERON.find("[van.stock]").unwrap();
    let without = format!("{}{}", &HERON[..hub.start], &HERON[hub.end..]);
    let (_, found) = read_van(&Source::new("van.toml", without), Path::new(""));
    assert!(
        matches!(found.as_slice(), [one] if matches!(one.fault(), Fault::KeyMissing("hub"))),
        "{}",
        told(&found)
    );
}

#[test]
fn an_axle_has_two_wheels_or_four() {
    check(&[
        (with("wheels = 2 }\nrear", "wheels = 3 }\nrear"), at!("3", Fault::AxleWheels)),
        (with("wheels = 2 }\nrear", "wheels = 0 }\nrear"), at!("0", Fault::AxleWheels)),
        (with("wheels = 2 }\nrear", "wheels = 6 }\nrear"), at!("6", Fault::AxleWheels)),
        (
            with("wheels = 2 }\nrear", "wheels = \"2\" }\nrear"),
            at!("\"2\"", Fault::WrongType { wanted: "a whole number", .. }),
        ),
        (
            with("wheels = 2 }\nrear", "wheels = 2.0 }\nrear"),
            at!("2.0", Fault::WrongType { wanted: "a whole number", .. }),
        ),
        (
            with("front = { axle_load = \"1850 kg\", wheels = 2 }", "front = \"1850 kg\""),
            at!("\"1850 kg\"", Fault::WrongType { wanted: "a table", .. }),
        ),
    ]);
}

#[test]
fn hub_stock_and_room_are_read_strictly() {
    check(&[
        (
            with("\"6x130\"", "\"six holes\""),
            at!("\"six holes\"", Fault::Literal(LiteralProblem::Form { wanted: "a bolt pattern", .. })),
        ),
        (
            with("\"M14x1.5\"", "\"fine\""),
            at!("\"fine\"", Fault::Literal(LiteralProblem::Form { wanted: "a thread", .. })),
        ),
        (
            with("\"ball R14\"", "\"egg R14\""),
            at!("\"egg R14\"", Fault::Literal(LiteralProblem::Form { wanted: "a fastener seat", .. })),
        ),
        (
            with("\"bolt\"", "\"bolts\""),
            at!("\"bolts\"", Fault::Literal(LiteralProblem::Word { word, allowed }) if word == "bolts" && allowed.len() == 2),
        ),
        (with("\"6.5x16 ET62\"", "\"6.5x16\""), at!("6.5x16", Fault::Literal(LiteralProblem::Form { .. }))),
        (
            with("\"235/65R16C 121/119R\"", "\"as delivered\""),
            at!("as delivered", Fault::Literal(LiteralProblem::Form { wanted: "a tire size", .. })),
        ),
        (
            with("[\"30 mm\", \"62 mm\"]", "[\"62 mm\", \"30 mm\"]"),
            at!("[\"62 mm\", \"30 mm\"]", Fault::Literal(LiteralProblem::Reversed)),
        ),
        (
            with("[\"30 mm\", \"62 mm\"]", "[\"30 mm\"]"),
            at!("[\"30 mm\"]", Fault::Literal(LiteralProblem::Type { .. })),
        ),
        (
            with("[\"30 mm\", \"62 mm\"]", "\"30 mm\""),
            at!("\"30 mm\"", Fault::Literal(LiteralProblem::Type { .. })),
        ),
        (
            with("[\"30 mm\", \"62 mm\"]", "[\"30 kg\", \"62 kg\"]"),
            at!("\"30 kg\"", Fault::Literal(LiteralProblem::WrongUnit { .. })),
        ),
        (
            with("[\"30 mm\", \"62 mm\"]", "[30, 62]"),
            at!("30", Fault::Literal(LiteralProblem::UnitMissing { example }) if example == "30 mm"),
        ),
        (
            with("[\"LT\", \"C\"]", "[\"LT\", \"Z\"]"),
            at!("\"Z\"", Fault::Literal(LiteralProblem::Word { word, .. }) if word == "Z"),
        ),
        (
            with("load_range     = \"E\"", "load_range     = \"strong\""),
            at!("\"strong\"", Fault::Literal(LiteralProblem::Form { wanted: "a load range", .. })),
        ),
        (
            with("packs     = [\"us-road\"]", "packs     = 5"),
            at!("5", Fault::WrongType { wanted: "a list", .. }),
        ),
    ]);
}

#[test]
fn an_id_holds_letters_digits_and_hyphens() {
    check(&[
        (with("\"heron-h2\"", "\"heron h2\""), at!("heron h2", Fault::IdLetters)),
        (with("\"heron-h2\"", "\"../heron\""), at!("../heron", Fault::IdLetters)),
        (with("\"heron-h2\"", "\"hérôn\""), at!("hérôn", Fault::IdLetters)),
        (with("\"heron-h2\"", "\"\""), at!("", Fault::IdLetters)),
        (with("\"heron-h2\"", "2"), at!("2", Fault::WrongType { wanted: "text in quotes", .. })),
    ]);
}

#[test]
fn a_file_without_a_van_or_without_form_is_told() {
    check(&[
        (String::new(), at!("", Fault::NothingKnown)),
        (
            "[vans]\nid = \"heron-h2\"\n".to_owned(),
            at!("vans", Fault::UnknownKey { nearest, .. } if is(nearest, "van")),
        ),
        (with("[van]", "[van"), at!("", Fault::Syntax(_))),
        (with("\"4280 kg\"", "4280 kg"), at!("4280 kg", Fault::Syntax(_))),
        ("van = 3\n".to_owned(), at!("3", Fault::WrongType { wanted: "a table", .. })),
    ]);
}

#[test]
fn effects_of_work_are_checked() {
    let sets = "sets   = { \"van.hub.seat\" = \"cone 60\" }";
    check(&[
        (with(&format!("{sets}\n"), ""), at!("cone-seat lug bolts", Fault::WorkWithoutEffect)),
        (
            with(sets, "sets   = { \"van.hub.seet\" = \"cone 60\" }"),
            at!("\"van.hub.seet\"", Fault::UnknownFact { nearest, .. } if is(nearest, "van.hub.seat")),
        ),
        (
            with(sets, "sets   = { \"hub.seat\" = \"cone 60\" }"),
            at!("\"hub.seat\"", Fault::UnknownFact { .. }),
        ),
        (
            with(sets, "shifts = { \"van.hub.seat\" = \"cone 60\" }"),
            at!("\"van.hub.seat\"", Fault::NotANumber { name, .. } if name == "van.hub.seat"),
        ),
        (
            with(sets, "raises = { \"wheel.beadlock\" = true }"),
            at!("\"wheel.beadlock\"", Fault::NotANumber { .. }),
        ),
        (
            with(sets, "lowers = { \"van.room.offset\" = \"20 mm\" }"),
            at!("\"van.room.offset\"", Fault::NotANumber { .. }),
        ),
        (
            with(sets, "sets   = { \"van.hub.seat\" = \"30 mm\" }"),
            at!("\"30 mm\"", Fault::Literal(LiteralProblem::Form { wanted: "a fastener seat", .. })),
        ),
        (
            with(sets, "shifts = { \"wheel.offset\" = \"-20 kg\" }"),
            at!("\"-20 kg\"", Fault::Literal(LiteralProblem::WrongUnit { unit, .. }) if unit == "kg"),
        ),
        (
            with(sets, "shifts = { \"wheel.offset\" = -20 }"),
            at!("-20", Fault::Literal(LiteralProblem::UnitMissing { example }) if example == "-20 mm"),
        ),
        (
            with(sets, "sets   = { \"wheel.center_bore\" = \"van.gvwr\" }"),
            at!("\"van.gvwr\"", Fault::KindsDiffer { .. }),
        ),
        (
            with(sets, "shifts = { \"wheel.offset\" = \"wheel.backspacing\" }"),
            at!("\"wheel.backspacing\"", Fault::KindsDiffer { .. }),
        ),
        (with(sets, "sets   = \"cone 60\""), at!("\"cone 60\"", Fault::WrongType { wanted: "a table", .. })),
    ]);
}

#[test]
fn prices_are_exact_and_never_negative() {
    let costs = |costs: &str| with("\"38.00\"", costs);
    check(&[
        (costs("\"about 38\""), at!("about 38", Fault::Money(text) if text == "about 38")),
        (costs("\"38,00\""), at!("38,00", Fault::Money(_))),
        (costs("\"-38.00\""), at!("-38.00", Fault::Money(_))),
        (costs("\"\""), at!("", Fault::Money(_))),
        (costs("38.5"), at!("38.5", Fault::WrongType { wanted: "text in quotes", .. })),
        (costs("-38"), at!("-38", Fault::WrongType { wanted: "a whole number", .. })),
    ]);
}

#[test]
fn what_a_work_needs_is_checked() {
    check(&[
        (
            with("per = \"wheel\"", "per = \"rim\""),
            at!("rim", Fault::WordNotAllowed { word, allowed, nearest: None } if word == "rim" && allowed.len() == 2),
        ),
        (
            with("per = \"wheel\"", "per = \"wheels\""),
            at!("wheels", Fault::WordNotAllowed { nearest, .. } if is(nearest, "wheel")),
        ),
        (with("count = 6", "count = 6.5"), at!("6.5", Fault::WrongType { wanted: "a whole number", .. })),
        (with("count = 6", "count = -6"), at!("-6", Fault::WrongType { wanted: "a whole number", .. })),
        (
            with("count = 6", "count = \"six\""),
            at!("\"six\"", Fault::WrongType { wanted: "a whole number", .. }),
        ),
        (
            with(
                "needs  = [ { item = \"lug bolt M14x1.5, cone 60, 28 mm shank\", per = \"wheel\", count = 6 } ]",
                "needs  = \"bolts\"",
            ),
            at!("\"bolts\"", Fault::WrongType { wanted: "a list", .. }),
        ),
        (with("leaves = [", "leaves = [3, "), at!("3", Fault::WrongType { wanted: "text in quotes", .. })),
    ]);
}

#[test]
fn what_a_work_asks_is_checked_like_a_demand() {
    let asks = |asks: &str| and(&format!("asks   = '{asks}'"));
    check(&[
        (
            asks("wheel.ofset >= 55 mm"),
            at!("wheel.ofset", Fault::UnknownFact { nearest, .. } if is(nearest, "wheel.offset")),
        ),
        (asks("wheel.offset >= 55"), at!("55", Fault::UnitNeeded { example } if example == "55 mm")),
        (asks("wheel.offset >= 55 kg"), at!("wheel.offset >= 55 kg", Fault::KindsDiffer { .. })),
        (asks("wheel.offset = 55 mm"), at!("=", Fault::Expression(_))),
        (asks("wheel.offset"), at!("wheel.offset", Fault::KindNeeded { wanted: "a statement", .. })),
        (asks("1 mm < 2 mm"), at!("1 mm < 2 mm", Fault::Constant)),
        (and("asks   = true"), at!("true", Fault::WrongType { wanted: "text in quotes", .. })),
    ]);
    // One that speaks of tires or of the van alone is as good as one that speaks of wheels.
    for text in ["tire.overall_diameter <= 800 mm", "van.hub.fixing == \"bolt\"", "wheel.beadlock"] {
        let van = read(&asks(text));
        assert!(van.works[0].asks.is_some(), "{text}");
    }
}

#[test]
fn works_refer_to_works_of_the_same_file_each_with_its_own_name() {
    check(&[
        (
            and("requires = [\"cone-seat lug bolt\"]"),
            at!("cone-seat lug bolt", Fault::UnknownWork { nearest, .. } if is(nearest, "cone-seat lug bolts")),
        ),
        (and("excludes = [\"hub rings\"]"), at!("hub rings", Fault::UnknownWork { nearest: None, .. })),
        (
            and(
                "\n[[work]]\nname  = \"cone-seat lug bolts\"\nsets  = { \"van.hub.seat\" = \"flat\" }\ncosts = 5",
            ),
            at!("cone-seat lug bolts", Fault::NameTwice(name) if name == "cone-seat lug bolts"),
        ),
    ]);
}

/// Van files in a folder of their own, and what reading them all says.
fn read_folder(files: &[(&str, &str)]) -> Result<Vec<Van>, Vec<FileProblem>> {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    read_all(&[folder.path()], &RuleSet::shipped().unwrap()).map_err(|problems| problems.0)
}

#[test]
fn a_pack_that_no_rule_belongs_to_is_marked_and_the_nearest_offered() {
    let text = with("[\"us-road\"]", "[\"winter\", \"us-raod\"]");
    let found = read_folder(&[("a.toml", &text)]).unwrap_err();
    let [problem] = found.as_slice() else { panic!("{}", told(&found)) };
    assert_eq!(problem.marked(), "us-raod");
    let Fault::WordNotAllowed { nearest, allowed, .. } = problem.fault() else { panic!("{}", told(&found)) };
    assert!(is(nearest, "us-road") && allowed.len() == 3, "{}", told(&found));
}

#[test]
fn two_vans_never_share_an_id() {
    let found = read_folder(&[("a.toml", HERON), ("b.toml", BARE)]).unwrap_err();
    let [problem] = found.as_slice() else { panic!("{}", told(&found)) };
    assert!(matches!(problem.fault(), Fault::NameTwice(id) if id == "heron-h2"));
    assert!(problem.file().ends_with("b.toml"), "{}", problem.file());
}

#[test]
fn vans_of_a_folder_come_by_file_name_and_other_files_are_let_be() {
    let other = with("heron-h2", "aardvark");
    let vans = read_folder(&[("b.toml", &other), ("a.toml", HERON), ("notes.txt", "not a van")]).unwrap();
    let ids: Vec<&str> = vans.iter().map(|van| &*van.id).collect();
    assert_eq!(ids, ["heron-h2", "aardvark"]);
}

#[test]
fn folders_without_a_van_and_paths_that_are_not_there_are_told() {
    let found = read_folder(&[("notes.txt", "not a van")]).unwrap_err();
    assert!(
        matches!(found.as_slice(), [one] if matches!(one.fault(), Fault::NothingKnown)),
        "{}",
        told(&found)
    );
    let rules = RuleSet::shipped().unwrap();
    let found = read_all(&["no/such/van.toml", "no/such/folder"], &rules).unwrap_err();
    assert_eq!(found.0.len(), 2, "{}", told(&found.0));
    assert!(found.0.iter().all(|one| matches!(one.fault(), Fault::CannotRead(_))), "{}", told(&found.0));
}

/// Works that several vans share.
const COMMON: &str = r#"[[work]]
name   = "hub rings to 84.1 mm"
lowers = { "wheel.center_bore" = "84.1 mm" }
costs  = "24.00"

[[work]]
name     = "cone-seat lug bolts"
sets     = { "van.hub.seat" = "cone 60" }
costs    = "40.00"
excludes = ["hub rings to 84.1 mm"]
"#;

/// The van file with one more setting under `[van]`.
fn naming(work_files: &str) -> String {
    with("gvwr ", &format!("work_files = {work_files}\ngvwr "))
}

fn works_of(van: &Van) -> Vec<(&str, String)> {
    van.works.iter().map(|work| (&*work.name, work.costs.to_string())).collect()
}

#[test]
fn shared_works_come_first_and_an_own_one_takes_the_place_of_its_namesake() {
    let more = "[[work]]\nname = \"liner\"\nraises = { \"van.room.tire_diameter\" = \"815 mm\" }\ncosts = 1\n\
                requires = [\"hub rings to 84.1 mm\"]\n";
    let van = naming("[\"common.toml\"]") + more;
    let other = BARE.replacen("[[work]]", "[[work]]\n", 1).replacen(
        "heron-h2\"",
        "other\"\nwork_files = \"common.toml\"",
        1,
    );
    let vans = read_folder(&[("a.toml", &van), ("b.toml", &other), ("common.toml", COMMON)]).unwrap();
    let [first, second] = vans.as_slice() else { panic!("{} vans", vans.len()) };
    let money = |name: &'static str, costs: &str| (name, costs.to_owned());
    let (rings, bolts, liner) = ("hub rings to 84.1 mm", "cone-seat lug bolts", "liner");
    assert_eq!(works_of(first), [money(rings, "24.00"), money(bolts, "38.00"), money(liner, "1")]);
    assert_eq!(works_of(second), [money(rings, "24.00"), money(bolts, "38")]);
    assert_eq!(first.works[2].requires, [0]);
    assert!(first.works[1].excludes.is_empty(), "the own work is its own, not the shared one changed");
}

#[test]
fn faults_of_a_shared_work_are_marked_in_its_own_file_and_told_once() {
    let van = naming("[\"common.toml\"]");
    let other = van.replacen("heron-h2", "other", 1);
    let common = COMMON
        .replacen("cone-seat", "cone", 1)
        .replacen("\"84.1 mm\" }", "\"84.1 kg\" }", 1)
        .replacen("[\"hub rings to", "[\"hub rinks to", 1);
    let found = read_folder(&[("a.toml", &van), ("b.toml", &other), ("common.toml", &common)]).unwrap_err();
    let marked: Vec<&str> = found.iter().map(FileProblem::marked).collect();
    assert!(found.iter().all(|problem| problem.file().ends_with("common.toml")), "{}", told(&found));
    assert_eq!(marked, ["\"84.1 kg\"", "hub rinks to 84.1 mm"], "{}", told(&found));
}

#[test]
fn a_work_file_that_is_not_there_or_named_twice_is_marked_in_the_van() {
    let cases = [
        ("[\"no/such.toml\"]", "no/such.toml"),
        ("[\"common.toml\", \"common.toml\"]", "common.toml"),
        ("[\"a.toml\"]", "van"),
    ];
    for (work_files, marked) in cases {
        let found = read_folder(&[("a.toml", &naming(work_files)), ("common.toml", COMMON)]).unwrap_err();
        let first = found.first().unwrap();
        let expected = match marked {
            "no/such.toml" => matches!(first.fault(), Fault::WorkFile { path, .. } if path == marked),
            "common.toml" => matches!(first.fault(), Fault::NameTwice(path) if path == marked),
            // Only works stand in a work file.
            _ => matches!(first.fault(), Fault::UnknownKey { key, .. } if key == marked),
        };
        assert!(expected && first.marked() == marked, "{}", told(&found));
    }
}

#[test]
fn works_of_one_name_in_two_shared_files_are_a_fault() {
    let van = naming("[\"common.toml\", \"more.toml\"]");
    let found = read_folder(&[("a.toml", &van), ("common.toml", COMMON), ("more.toml", COMMON)]).unwrap_err();
    assert!(found.iter().all(|one| matches!(one.fault(), Fault::NameTwice(_))), "{}", told(&found));
    assert!(
        found.iter().all(|one| one.file().ends_with("more.toml")) && found.len() == 2,
        "{}",
        told(&found)
    );
}

#[test]
fn a_work_file_named_as_a_van_is_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("common.toml");
    std::fs::write(&file, COMMON).unwrap();
    let found = read_all(&[file], &RuleSet::shipped().unwrap()).unwrap_err();
    assert!(
        matches!(found.0.as_slice(), [one] if matches!(one.fault(), Fault::OnlyWork)),
        "{}",
        told(&found.0)
    );
}

#[test]
fn a_work_that_contradicts_itself_is_marked_where_it_does() {
    let shift = |more: &str| with("sets   = { \"van.hub.seat\" = \"cone 60\" }", more);
    check(&[
        (
            shift("sets = { \"wheel.offset\" = \"40 mm\" }\nshifts = { \"wheel.offset\" = \"-20 mm\" }"),
            at!("\"wheel.offset\"", Fault::SetAndChanged { then: "shifts", .. }),
        ),
        (
            shift(
                "sets = { \"van.top_speed\" = \"150 km/h\" }\nraises = { \"van.top_speed\" = \"130 km/h\" }",
            ),
            at!("\"van.top_speed\"", Fault::SetAndChanged { then: "raises", .. }),
        ),
    ]);
}

#[test]
fn a_work_that_can_never_help_is_found() {
    let idle = "[[work]]\nname = \"new badges\"\nsets = { \"van.gvwr\" = \"4300 kg\" }\ncosts = 1\n";
    let needed = "[[work]]\nname = \"plate\"\nsets = { \"van.gvwr\" = \"4100 kg\" }\ncosts = 1\n\
                  [[work]]\nname = \"less load\"\nlowers = { \"van.rear.axle_load\" = \"2200 kg\" }\ncosts = 1\n\
                  requires = [\"plate\"]\nexcludes = [\"new badges\"]\n";
    let (van, _) = read_van(&Source::new("van.toml", and(&(idle.to_owned() + needed))), Path::new(""));
    let found = never_helping(&van.unwrap(), &RuleSet::shipped().unwrap());
    let [one] = found.as_slice() else { panic!("{}", told(&found)) };
    assert!(
        matches!(one.fault(), Fault::NeverHelps { van } if van == "heron-h2") && one.marked() == "new badges"
    );
}

#[test]
fn faults_of_all_files_are_reported_at_once() {
    let text = with("\"84.1 mm\"", "84.1")
        .replacen("wheels = 2 }\nrear", "wheels = 5 }\nrear", 1)
        .replacen("\"38.00\"", "\"38.00 dollars\"", 1)
        .replacen("per = \"wheel\"", "per = \"rim\"", 1)
        .replacen("tire_diameter  =", "tire_diamter   =", 1)
        .replacen("cone 60\" }", "egg\" }", 1);
    let found = read_folder(&[("a.toml", &text), ("b.toml", "[van]\n"), ("c.toml", "oops")]).unwrap_err();
    let of = |name: &str| -> Vec<&str> {
        let mut marked: Vec<&str> =
            found.iter().filter(|one| one.file().ends_with(name)).map(FileProblem::marked).collect();
        marked.sort_unstable();
        marked
    };
    assert_eq!(of("a.toml"), ["\"egg\"", "38.00 dollars", "5", "84.1", "rim", "tire_diamter"]);
    assert_eq!(of("b.toml").len(), 5, "id, top speed, both axles and the hub: {}", told(&found));
    assert_eq!(of("c.toml").len(), 1);
}

// What follows fails today; each says what a person would expect.

#[test]
fn loads_speeds_and_lengths_are_above_nothing() {
    for (text, instead) in [
        ("\"1850 kg\"", "\"0 kg\""),
        ("\"2430 kg\"", "\"-2430 kg\""),
        ("\"150 km/h\"", "\"0 km/h\""),
        ("\"84.1 mm\"", "\"-84.1 mm\""),
        ("\"84.1 mm\"", "\"84.1 in\""),
        ("\"3 %\"", "\"-3 %\""),
    ] {
        let (_, found) = read_van(&Source::new("van.toml", with(text, instead)), Path::new(""));
        assert_eq!(found.len(), 1, "{instead}: {}", told(&found));
    }
}

#[test]
fn a_van_has_no_more_works_than_a_set_of_them_holds() {
    let work = |at: usize| {
        format!("[[work]]\nname = 'w{at}'\ncosts = '1'\nraises = {{ 'van.room.road_speed' = '5 %' }}\n")
    };
    let many: String = (0..=128).map(work).collect();
    let van = format!("{}{many}", &HERON[..HERON.find("[[work]]").expect("it has works")]);
    check(&[(van, at!("w128", Fault::TooManyWorks { most: 128 }))]);
}

#[test]
fn a_work_with_an_empty_table_of_changes_does_nothing() {
    check(&[(
        with("sets   = { \"van.hub.seat\" = \"cone 60\" }", "sets   = {}"),
        at!("cone-seat lug bolts", Fault::WorkWithoutEffect),
    )]);
}

#[test]
fn a_question_about_tires_is_checked_as_one_about_tires() {
    check(&[
        (
            and("asks   = 'tire.overal_diameter <= 800 mm'"),
            at!("tire.overal_diameter", Fault::UnknownFact { nearest, .. } if is(nearest, "tire.overall_diameter")),
        ),
        (
            and("asks   = 'tire.overall_diameter <= 800'"),
            at!("800", Fault::UnitNeeded { example } if example == "800 mm"),
        ),
        (
            and("asks   = 'tire.overall_diameter <= 800 kg'"),
            at!("tire.overall_diameter <= 800 kg", Fault::KindsDiffer { .. }),
        ),
    ]);
}

#[test]
fn a_work_that_can_never_be_done_is_told() {
    for lines in [
        "excludes = [\"cone-seat lug bolts\"]",
        "requires = [\"cone-seat lug bolts\"]",
        "requires = [\"two\"]\nexcludes = [\"two\"]\n[[work]]\nname = \"two\"\nsets = { \"van.hub.fixing\" = \"stud\" }\ncosts = 1",
    ] {
        let (_, found) = read_van(&Source::new("van.toml", and(lines)), Path::new(""));
        assert_eq!(found.len(), 1, "{lines}: {}", told(&found));
    }
}

#[test]
fn work_changes_only_what_work_can_change() {
    for sets in [
        "sets = { \"wheel.name\" = \"K7\" }",
        "sets = { \"run.as_of\" = \"2020-01-01\" }",
        "sets = { \"van.corner_load\" = \"1 kg\" }",
    ] {
        let text = with("sets   = { \"van.hub.seat\" = \"cone 60\" }", sets);
        let (_, found) = read_van(&Source::new("van.toml", text), Path::new(""));
        assert_eq!(found.len(), 1, "{sets}: {}", told(&found));
    }
}

#[test]
fn a_work_changes_a_fact_in_one_way() {
    let text = and("raises = { \"wheel.offset\" = \"40 mm\" }\nlowers = { \"wheel.offset\" = \"30 mm\" }");
    let (_, found) = read_van(&Source::new("van.toml", text), Path::new(""));
    assert_eq!(found.len(), 1, "{}", told(&found));
}

#[test]
fn nothing_a_work_says_may_be_empty() {
    for (text, instead) in [
        ("\"cone-seat lug bolts\"", "\"\""),
        ("count = 6", "count = 0"),
        ("\"lug bolt M14x1.5, cone 60, 28 mm shank\"", "\"\""),
    ] {
        let (_, found) = read_van(&Source::new("van.toml", with(text, instead)), Path::new(""));
        assert_eq!(found.len(), 1, "{instead}: {}", told(&found));
    }
}

#[test]
fn a_bad_item_of_a_list_is_marked_alone() {
    check(&[
        (
            with("[\"LT\", \"C\"]", "[\"LT\", \"Z\"]"),
            at!("\"Z\"", Fault::Literal(LiteralProblem::Word { .. })),
        ),
        (
            with("[\"30 mm\", \"62 mm\"]", "[\"30 mm\", 62]"),
            at!("62", Fault::Literal(LiteralProblem::UnitMissing { .. })),
        ),
    ]);
}

#[test]
fn a_misspelt_van_table_is_marked_and_the_nearest_offered() {
    check(&[(
        with("[van]", "[vam]").replace("[van.", "[vam."),
        at!("vam", Fault::UnknownKey { nearest, .. } if is(nearest, "van")),
    )]);
}
