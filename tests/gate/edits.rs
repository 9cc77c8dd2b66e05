//! Kinds of edit, one a line: the file, what is put in whose place, and what the gate must find.

use serde_json::Value;

use crate::shop::Shop;

const WHEELS: &str = "sheets/wheels.csv";
const TIRES: &str = "sheets/tires.csv";
const VAN: &str = "vans/orlbeck-l4.toml";

/// What the gate finds, in one line a change: `lost QW-1 by sheet: wheel.load_rating 1300 kg > 1100 kg`.
fn found(result: &Value) -> Vec<String> {
    let text = |value: &Value| value.as_str().unwrap_or("-").to_owned();
    let list = |value: &Value| value.as_array().unwrap().clone();
    let line = |change: &Value| {
        let causes: Vec<String> = list(&change["causes"])
            .iter()
            .map(|cause| match cause["name"].as_str() {
                Some(name) => format!("{} {name}", text(&cause["cause"])),
                None => text(&cause["cause"]),
            })
            .collect();
        let facts: Vec<String> = list(&change["facts"])
            .iter()
            .map(|fact| format!("{} {} > {}", text(&fact["fact"]), text(&fact["before"]), text(&fact["now"])))
            .collect();
        let facts = if facts.is_empty() { String::new() } else { format!(": {}", facts.join(", ")) };
        format!("{} {} by {}{facts}", text(&change["standing"]), text(&change["sku"]), causes.join(", "))
    };
    list(&result["changes"]).iter().map(line).collect()
}

/// The gate finds just these changes and ends so.
fn finds(shop: &Shop, told: &str, wanted: &[&str], exit: i32) {
    let (result, value) = shop.result(&[]);
    assert_eq!(found(&result), wanted, "{told}");
    assert_eq!(value, exit, "{told}");
    // Once it is accepted, nothing is left to say.
    let (_, value) = shop.result(&["--accept"]);
    assert_eq!(value, 0, "{told}");
    let (result, value) = shop.result(&[]);
    assert_eq!((found(&result), value), (Vec::new(), 0), "{told}, accepted");
    assert_eq!(result["summary"]["quiet"], 0, "{told}, accepted");
    assert_eq!(result["differences"], Value::Array(Vec::new()), "{told}, accepted");
}

/// Each edit of one text of a file: what it is, the file, from, to, what is found, the exit value.
type Edit = (&'static str, &'static str, &'static str, &'static str, &'static [&'static str], i32);

const QW1: &str = "QW-1,Fellmoor,17x7.5,6x130,50,84.1,1300,ball R14,180";
const QW6: &str = "Quarnley Wheel,QW-6,Fellmoor,16x6.5,6x130,60,84.1,1220,ball R14,150\n";

#[rustfmt::skip]
const SHEET_EDITS: &[Edit] = &[
    ("a rating is lowered too far", WHEELS, "84.1,1300", "84.1,1100",
        &["lost QW-1 by sheet: wheel.load_rating 1300 kg > 1100 kg"], 1),
    ("a rating is lowered and still enough", WHEELS, "84.1,1300", "84.1,1250",
        &["moved QW-1 by sheet: wheel.load_rating 1300 kg > 1250 kg"], 1),
    ("a rating is raised", WHEELS, "84.1,1300", "84.1,1350",
        &["moved QW-1 by sheet: wheel.load_rating 1300 kg > 1350 kg"], 1),
    ("a rating is emptied", WHEELS, "84.1,1300", "84.1,",
        &["lost QW-1 by sheet: wheel.load_rating 1300 kg > not stated"], 1),
    ("a rating is made unreadable", WHEELS, "84.1,1300", "84.1,n/a",
        &["lost QW-1 by sheet: wheel.load_rating 1300 kg > unreadable"], 1),
    ("a rating is given in pounds", WHEELS, "84.1,1300", "84.1,1300 lb",
        &["lost QW-1 by sheet: wheel.load_rating 1300 kg > 589.7 kg"], 1),
    ("a rating is written with its unit", WHEELS, "84.1,1300", "84.1,1300 kg", &[], 0),
    ("an offset is retyped, a digit short", WHEELS, "6x130,50,84.1,1300", "6x130,5,84.1,1300",
        &["lost QW-1 by sheet: wheel.offset 50 mm > 5 mm"], 1),
    ("an offset loses its sign", WHEELS, "6x130,50,84.1,1300", "6x130,-50,84.1,1300",
        &["lost QW-1 by sheet: wheel.offset 50 mm > -50 mm"], 1),
    ("an offset moves within the window", WHEELS, "6x130,50,84.1,1300", "6x130,45,84.1,1300",
        &["moved QW-1 by sheet: wheel.offset 50 mm > 45 mm"], 0),
    ("an offset now wants a spacer", WHEELS, "6x130,45,", "6x130,70,",
        &["weakened QW-2 by sheet: wheel.offset 45 mm > 70 mm"], 1),
    ("an offset is spelled another way", WHEELS, "6x130,50,84.1,1300", "6x130,ET50,84.1,1300", &[], 0),
    ("a bore is too wide without rings", WHEELS, "50,84.1,1300", "50,106.1,1300",
        &["weakened QW-1 by sheet: wheel.center_bore 84.1 mm > 106.1 mm"], 1),
    ("a bore is too narrow", WHEELS, "50,84.1,1300", "50,66.6,1300",
        &["lost QW-1 by sheet: wheel.center_bore 84.1 mm > 66.6 mm"], 1),
    ("a bore moves by a hair", WHEELS, "50,84.1,1300", "50,84.2,1300",
        &["moved QW-1 by sheet: wheel.center_bore 84.1 mm > 84.2 mm"], 1),
    ("a bore needs no ring any more", WHEELS, "52,106.1", "52,84.1",
        &["gained QW-3 by sheet: wheel.center_bore 106.1 mm > 84.1 mm"], 0),
    ("a bore beyond any wheel", WHEELS, "50,84.1,1300", "50,841,1300",
        &["lost QW-1 by sheet: wheel.center_bore 84.1 mm > contradicted"], 1),
    ("a bolt pattern changes", WHEELS, "6x130,50,84.1,1300", "6x139.7,50,84.1,1300",
        &["lost QW-1 by sheet: wheel.bolt_patterns 6x130 > 6x139.7"], 1),
    ("a second bolt pattern is drilled", WHEELS, "6x130,50,84.1,1300", "6x130/6x139.7,50,84.1,1300",
        &["moved QW-1 by sheet: wheel.bolt_patterns 6x130 > 6x130, 6x139.7"], 1),
    ("a spreadsheet program made a date of a pattern", WHEELS, "6x130,50,84.1,1300", "2012-06-05,50,84.1,1300",
        &["lost QW-1 by sheet: wheel.bolt_patterns 6x130 > unreadable"], 1),
    ("a seat becomes a cone", WHEELS, "1300,ball R14,180", "1300,cone 60,180",
        &["weakened QW-1 by sheet: wheel.seat ball R14 > cone 60"], 1),
    ("a seat loses its radius", WHEELS, "1300,ball R14,180", "1300,ball,180",
        &["lost QW-1 by sheet: wheel.seat ball R14 > ball"], 1),
    ("a seat suits the van's own fasteners", WHEELS, "cone 60", "ball R14",
        &["gained QW-2 by sheet: wheel.seat cone 60 > ball R14"], 0),
    ("a rim grows wider and still fits", WHEELS, "QW-1,Fellmoor,17x7.5", "QW-1,Fellmoor,17x8",
        &["moved QW-1 by sheet: wheel.rim_width 7.5 in > 8 in"], 0),
    ("a rim is too large", WHEELS, "QW-1,Fellmoor,17x7.5", "QW-1,Fellmoor,20x7.5",
        &["lost QW-1 by sheet: wheel.rim_diameter 17 in > 20 in"], 1),
    ("a row is dropped", WHEELS, QW6, "", &["vanished QW-6 by sheet"], 1),
    ("a part is renumbered", WHEELS, "QW-6,", "QW-60,",
        &["vanished QW-6 by sheet", "gained QW-60 by sheet"], 1),
    ("a number is reused for another wheel", WHEELS, QW1, "QW-1,Highmoor,16x6.5,6x130,60,84.1,1220,ball R14,99",
        &["moved QW-1 by sheet: wheel.rim_diameter 17 in > 16 in, wheel.rim_width 7.5 in > 6.5 in, \
           wheel.offset 50 mm > 60 mm, wheel.load_rating 1300 kg > 1220 kg"], 1),
    ("a number is reused for a wheel that does not fit", WHEELS, QW1, "QW-1,Lowmoor,15x6,5x112,60,66.6,800,cone 60,99",
        &["lost QW-1 by sheet: wheel.rim_diameter 17 in > 15 in, wheel.bolt_patterns 6x130 > 5x112, \
           wheel.center_bore 84.1 mm > 66.6 mm, wheel.load_rating 1300 kg > 800 kg, wheel.seat ball R14 > cone 60"], 1),
    ("a unit changes in a heading", WHEELS, "Load (kg)", "Load (lb)",
        &["lost QW-1 by sheet: wheel.load_rating 1300 kg > 589.7 kg",
          "lost QW-2 by sheet: wheel.load_rating 1250 kg > 567 kg",
          "lost QW-3 by sheet: wheel.load_rating 1300 kg > 589.7 kg",
          "lost QW-6 by sheet: wheel.load_rating 1220 kg > 553.4 kg"], 1),
    ("a heading loses its unit", WHEELS, "Load (kg)", "Load",
        &["lost QW-1 by sheet: wheel.load_rating 1300 kg > unreadable",
          "lost QW-2 by sheet: wheel.load_rating 1250 kg > unreadable",
          "lost QW-3 by sheet: wheel.load_rating 1300 kg > unreadable",
          "lost QW-6 by sheet: wheel.load_rating 1220 kg > unreadable"], 1),
    ("a column is gone", WHEELS, "Load (kg)", "Remarks",
        &["lost QW-1 by sheet: wheel.load_rating 1300 kg > not stated",
          "lost QW-2 by sheet: wheel.load_rating 1250 kg > not stated",
          "lost QW-3 by sheet: wheel.load_rating 1300 kg > not stated",
          "lost QW-6 by sheet: wheel.load_rating 1220 kg > not stated"], 1),
    ("a row is there twice", WHEELS, QW6, "Quarnley Wheel,QW-6,Fellmoor,16x6.5,6x130,60,84.1,1220,ball R14,150\n\
        Quarnley Wheel,QW-6,Fellmoor,16x6.5,6x130,60,84.1,1220,ball R14,150\n", &[], 0),
    ("a row is there twice with another rating", WHEELS, QW6,
        "Quarnley Wheel,QW-6,Fellmoor,16x6.5,6x130,60,84.1,1220,ball R14,150\n\
         Quarnley Wheel,QW-6,Fellmoor,16x6.5,6x130,60,84.1,1420,ball R14,150\n",
        &["lost QW-6 by sheet: wheel.load_rating 1220 kg > contradicted"], 1),
    ("a part comes that fits", WHEELS, QW6, "Quarnley Wheel,QW-6,Fellmoor,16x6.5,6x130,60,84.1,1220,ball R14,150\n\
        Quarnley Wheel,QW-7,Fellmoor,16x6.5,6x130,58,84.1,1220,ball R14,150\n", &["gained QW-7 by sheet"], 0),
    ("a part comes that does not fit", WHEELS, QW6, "Quarnley Wheel,QW-6,Fellmoor,16x6.5,6x130,60,84.1,1220,ball R14,150\n\
        Quarnley Wheel,QW-7,Fellmoor,15x6.5,6x130,58,84.1,1220,ball R14,150\n", &[], 0),
    ("a rejected part gets rated for the van", WHEELS, "84.1,1100", "84.1,1300",
        &["gained QW-4 by sheet: wheel.load_rating 1100 kg > 1300 kg"], 0),
    ("an unproven part gets its rating", WHEELS, "84.1,,", "84.1,1400,",
        &["gained QW-5 by sheet: wheel.load_rating not stated > 1400 kg"], 0),
    ("a rejected part is rejected for more", WHEELS, "6x130,50,84.1,1100", "6x112,50,84.1,1100", &[], 0),
    ("a rejected part is dropped", WHEELS, "Quarnley Wheel,QW-4,Fellmoor,17x8,6x130,50,84.1,1100,ball R14,160\n", "", &[], 0),
    ("a supplier is renamed on a row", WHEELS, "Quarnley Wheel,QW-6", "Quarnley Wheels Ltd,QW-6",
        &["vanished QW-6 by sheet", "gained QW-6 by sheet"], 1),
    ("a price changes", WHEELS, "ball R14,180", "ball R14,199", &[], 0),
    ("a model is renamed", WHEELS, "QW-1,Fellmoor", "QW-1,Fellmoor II", &[], 0),
    ("two facts change at once", WHEELS, "6x130,50,84.1,1300", "6x130,48,84.1,1280",
        &["moved QW-1 by sheet: wheel.offset 50 mm > 48 mm, wheel.load_rating 1300 kg > 1280 kg"], 1),
    ("a load index is lowered too far", TIRES, "121/119R", "110/108R",
        &["lost ER-1 by sheet: tire.load_index 121 > 110, tire.load_index_dual 119 > 108"], 1),
    ("a load index is lowered and still enough", TIRES, "121/119R", "118/116R",
        &["moved ER-1 by sheet: tire.load_index 121 > 118, tire.load_index_dual 119 > 116"], 1),
    ("a speed symbol is too slow", TIRES, "121/119R", "121/119N",
        &["lost ER-1 by sheet: tire.speed_symbol 170 km/h > 140 km/h"], 1),
    ("a speed symbol is faster", TIRES, "121/119R", "121/119S",
        &["moved ER-1 by sheet: tire.speed_symbol 170 km/h > 180 km/h"], 0),
    ("a load range is too low", TIRES, "R16/E", "R16/D",
        &["lost ER-2 by sheet: tire.load_range E (10 ply) > D (8 ply)"], 1),
    ("a tire is dropped", TIRES, "Eskdale Rubber,ER-1,Plodder,235/65R16C 121/119R,140\n", "",
        &["vanished ER-1 by sheet"], 1),
    ("the service letter is forgotten", TIRES, "235/65R16C", "235/65R16",
        &["lost ER-1 by sheet: tire.service C > unreadable"], 1),
];

#[test]
fn each_edit_of_a_sheet_is_found_for_what_it_is() {
    for (told, file, from, to, wanted, exit) in SHEET_EDITS {
        let shop = Shop::accepted();
        shop.edit(file, from, to);
        finds(&shop, told, wanted, *exit);
    }
}

#[rustfmt::skip]
const VAN_EDITS: &[Edit] = &[
    ("an axle is loaded more", VAN, "rear  = { axle_load = \"2430 kg\"", "rear  = { axle_load = \"2480 kg\"",
        &["lost ER-2 by van van.rear.axle_load", "lost QW-6 by van van.corner_load"], 1),
    ("a window is narrowed", VAN, "[\"30 mm\", \"62 mm\"]", "[\"30 mm\", \"58 mm\"]",
        &["lost QW-6 by van van.room.offset"], 1),
    ("a window is widened", VAN, "[\"30 mm\", \"62 mm\"]", "[\"20 mm\", \"62 mm\"]", &[], 0),
    ("a top speed is raised", VAN, "top_speed = \"150 km/h\"", "top_speed = \"175 km/h\"",
        &["lost ER-1 by van van.top_speed", "lost ER-2 by van van.top_speed"], 1),
    ("a limit is no longer stated", VAN, "road_speed     = \"3 %\"\n", "",
        &["gained ER-2 by van van.room.road_speed"], 0),
    ("a pack is chosen", VAN, "packs     = [\"us-road\"]", "packs     = [\"us-road\", \"winter\"]",
        &["lost ER-1 by van packs", "lost ER-2 by van packs"], 1),
    ("a work is renamed", VAN, "name   = \"hub rings to 84.1 mm\"", "name   = \"rings to 84.1 mm\"",
        &["weakened QW-3 by work hub rings to 84.1 mm, work rings to 84.1 mm"], 1),
    ("a work costs more", VAN, "costs  = \"24.00\"", "costs  = \"29.00\"", &[], 0),
    ("a work is asked more first", VAN, "van.hub.pilot + 2 mm", "van.hub.pilot + 30 mm",
        &["lost QW-3 by work hub rings to 84.1 mm"], 1),
];

#[test]
fn each_edit_of_a_van_is_found_for_what_it_is() {
    for (told, file, from, to, wanted, exit) in VAN_EDITS {
        let shop = Shop::accepted();
        shop.edit(file, from, to);
        finds(&shop, told, wanted, *exit);
    }
}

const RULE: &str = "[[rule]]\nname = \"shop-reserve\"\non = \"wheel\"\n\
    demand = \"wheel.load_rating >= van.corner_load + 20 kg\"\nsays = \"too little in reserve\"\n\
    basis = \"common practice, no source\"\n";

#[test]
fn a_new_rule_is_named_with_what_it_costs() {
    let mut shop = Shop::accepted();
    shop.write("rules/own.toml", RULE);
    shop.options(&["--rules", "rules"]);
    finds(&shop, "a rule is new", &["lost QW-6 by rule shop-reserve"], 1);
}

#[test]
fn a_changed_rule_is_named_with_its_terms_before_and_now() {
    let shop = Shop::accepted_with(&["--rules", "rules"], |shop| shop.write("rules/own.toml", RULE));
    shop.edit("rules/own.toml", "+ 20 kg", "+ 40 kg");
    let (result, _) = shop.result(&[]);
    let difference = &result["differences"][0];
    assert_eq!(difference["of"], "rule");
    assert_eq!(difference["before"], "demand wheel.load_rating >= van.corner_load + 20 kg");
    assert_eq!(difference["now"], "demand wheel.load_rating >= van.corner_load + 40 kg");
    finds(&shop, "a rule is stricter", &["lost QW-2 by rule shop-reserve"], 1);
}

#[test]
fn a_rule_that_is_dropped_is_why_parts_come() {
    let mut shop = Shop::accepted_with(&["--rules", "rules"], |shop| shop.write("rules/own.toml", RULE));
    shop.options(&[]);
    finds(&shop, "a rule is gone", &["gained QW-6 by rule shop-reserve"], 0);
}

#[test]
fn rule_and_sheet_are_both_named_where_both_changed() {
    let mut shop = Shop::accepted();
    shop.write("rules/own.toml", RULE);
    shop.options(&["--rules", "rules"]);
    shop.edit(WHEELS, "84.1,1300", "84.1,1230");
    let wanted = [
        "lost QW-1 by sheet, rule shop-reserve: wheel.load_rating 1300 kg > 1230 kg",
        "lost QW-6 by rule shop-reserve",
    ];
    finds(&shop, "both changed", &wanted, 1);
}

#[test]
fn a_rule_that_reads_one_more_fact_moves_nothing() {
    let mut shop = Shop::accepted();
    let rule = RULE.replace("wheel.load_rating >= van.corner_load + 20 kg", "not wheel.beadlock")
        + "unknown = \"caution\"\n";
    shop.write("rules/own.toml", &rule);
    shop.options(&["--rules", "rules"]);
    finds(&shop, "a rule reads what is empty", &[], 0);
    let mut shop = Shop::accepted_with(&[], |shop| {
        shop.edit(WHEELS, ",Price", ",Weight (kg)");
    });
    shop.write(
        "rules/own.toml",
        &RULE.replace("wheel.load_rating >= van.corner_load + 20 kg", "wheel.weight < 900 kg"),
    );
    shop.options(&["--rules", "rules"]);
    finds(&shop, "a rule reads what was not read", &[], 0);
}

#[test]
fn rules_that_only_caution_change_no_list() {
    let mut shop = Shop::accepted();
    shop.write("rules/own.toml", &(RULE.to_owned() + "failing = \"caution\"\n"));
    shop.options(&["--rules", "rules"]);
    finds(&shop, "a caution is new", &[], 0);
}

#[test]
fn vans_that_come_and_go_are_why() {
    let shop = Shop::accepted();
    let van = shop.read(VAN).replace("orlbeck-l4", "orlbeck-l5");
    shop.write("vans/second.toml", &van);
    let (result, value) = shop.result(&[]);
    assert_eq!(value, 0);
    assert!(found(&result).iter().all(|line| line.starts_with("gained") && line.ends_with("by van-new")));
    assert_eq!(found(&result).len(), 6);
    shop.result(&["--accept"]);
    std::fs::remove_file(shop.path("vans/second.toml")).unwrap();
    let (result, value) = shop.result(&[]);
    assert_eq!(value, 1);
    assert!(found(&result).iter().all(|line| line.starts_with("vanished") && line.ends_with("by van-gone")));
    assert_eq!(found(&result).len(), 6);
}

#[test]
fn a_profile_may_be_why_a_sheet_reads_otherwise() {
    let mut shop = Shop::accepted();
    shop.write(
        "profile.toml",
        "[profile]\nname = \"Quarnley\"\nfiles = [\"wheels.csv\"]\n[profile.columns]\n\
         \"Load (kg)\" = { holds = \"load\", unit = \"lb\" }\n",
    );
    shop.options(&["--profile", "profile.toml"]);
    let (result, value) = shop.result(&[]);
    assert_eq!(value, 1);
    assert_eq!(result["differences"][0]["of"], "profile");
    let found = found(&result);
    assert_eq!(found.len(), 4);
    assert_eq!(found[0], "lost QW-1 by sheet-or-reading: wheel.load_rating 1300 kg > 589.7 kg");
}

#[test]
fn the_date_to_judge_on_is_no_change_of_the_sheet() {
    let rule = "[[rule]]\nname = \"fresh\"\non = \"tire\"\ndemand = \"tire.date_code >= years_before(2, run.as_of)\"\n\
                unknown = \"caution\"\nsays = \"too old\"\nbasis = \"common practice, no source\"\n";
    let mut shop = Shop::accepted_with(&["--rules", "rules", "--as-of", "2026-01-05"], |shop| {
        shop.write("rules/own.toml", rule);
        shop.edit(TIRES, "Size,Price", "Size,DOT");
        shop.edit(TIRES, "121/119R,140", "121/119R,0125");
        shop.edit(TIRES, "115/112R,190", "115/112R,");
        shop.edit(TIRES, "110/108R,120", "110/108R,");
    });
    shop.options(&["--rules", "rules", "--as-of", "2028-01-05"]);
    finds(&shop, "two years later", &["lost ER-1 by elsewhere"], 1);
}

#[test]
fn the_order_of_rows_and_sheets_is_all_one() {
    let shop = Shop::accepted();
    let before = shop.read("ledger.txt");
    let text = shop.read(WHEELS);
    let (heading, rows) = text.split_once('\n').unwrap();
    let mut rows: Vec<&str> = rows.lines().collect();
    rows.reverse();
    std::fs::remove_file(shop.path(WHEELS)).unwrap();
    shop.write("sheets/a-wheels.csv", &format!("{heading}\n\n{}\n", rows.join("\n")));
    finds(&shop, "rows the other way round", &[], 0);
    assert_eq!(shop.read("ledger.txt"), before);
}

#[test]
fn what_to_fail_on_can_be_chosen() {
    let shop = Shop::accepted();
    shop.edit(WHEELS, "6x130,50,84.1,1300", "6x130,45,84.1,1300");
    for (fail_on, value) in [("moved", 1), ("moved-load-bearing", 0), ("lost,gained", 0), ("nothing", 0)] {
        assert_eq!(shop.result(&["--fail-on", fail_on]).1, value, "{fail_on}");
    }
    let shop = Shop::accepted();
    shop.edit(WHEELS, "84.1,1300", "84.1,1100");
    for (fail_on, value) in [("lost", 1), ("vanished", 0), ("nothing", 0)] {
        assert_eq!(shop.result(&["--fail-on", fail_on]).1, value, "{fail_on}");
    }
}

#[test]
fn parts_without_a_number_are_followed_by_what_they_are() {
    let shop = Shop::accepted_with(&[], |shop| shop.edit(WHEELS, "QW-6,", ","));
    assert!(
        shop.read("ledger.txt").contains("part orlbeck-l4 | Quarnley Wheel |  | wheel | Fellmoor, 16 in")
    );
    shop.edit(WHEELS, "60,84.1,1220", "58,84.1,1220");
    let (result, value) = shop.result(&[]);
    assert_eq!(value, 1);
    assert_eq!(found(&result), ["vanished  by sheet", "gained  by sheet"]);
}

#[test]
fn a_renumbered_part_is_known_by_its_facts() {
    let shop = Shop::accepted();
    shop.edit(WHEELS, "QW-6,", "QW-60,");
    let (result, _) = shop.result(&[]);
    assert_eq!(result["changes"][0]["renumbered"], "QW-60");
}

#[test]
fn what_no_part_needs_is_told_when_asked() {
    let shop = Shop::accepted();
    shop.edit(WHEELS, QW6, "");
    let (result, _) = shop.result(&["--review"]);
    let has = |list: &str, wanted: &str| {
        let list = result["review"][list].as_array().unwrap();
        list.iter().any(|line| line.as_str().unwrap().contains(wanted))
    };
    assert!(has("idle_rules", "bolt-pattern"));
    assert!(!has("idle_rules", "corner-load"), "it rejects QW-4");
    assert!(has("idle_works", "40 mm lift with long arch liners"));
    assert!(!has("idle_works", "hub rings"), "QW-3 needs them");
    assert!(has("roomy_limits", "widest tire section"), "235 mm of 275 mm");
    assert!(!has("roomy_limits", "rim diameters that clear"), "16 in is the least");
    assert!(has("unexplained", "QW-6"));
    assert_eq!(shop.result(&[]).0["review"], Value::Null);
}
