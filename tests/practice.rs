//! What people of the trade know, held against what the program says of it.
//!
//! All of it is common practice, no source, unless a test says otherwise. The parts and the van are
//! invented.

#![expect(clippy::unwrap_used, reason = "a test's own helpers fail the test by panicking")]

use std::path::Path;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

/// A van of 10,000 lb on axles of so many pounds; its stock tire is 28 inches tall.
fn van(front: u32, rear: u32, more: &str) -> String {
    format!(
        r#"
[van]
id = "practice"
gvwr = "10000 lb"
top_speed = "140 km/h"
front = {{ axle_load = "{front} lb", wheels = 2 }}
rear  = {{ axle_load = "{rear} lb", wheels = 2 }}
[van.hub]
bolt_pattern = "6x130"
pilot = "84.1 mm"
fixing = "bolt"
thread = "M14x1.5"
seat = "ball R14"
fastener_shank = "28 mm"
[van.stock]
wheel = "6.5x16 ET62"
tire = "235/65R16C 121/119R"
[van.room]
road_speed = "3 %"
{more}
"#
    )
}

const WHEELS: &str =
    "SKU,Size,Bolt Pattern,Offset (mm),Center Bore (mm),Load Rating (lb),Seat,Pad Thickness (mm)\n";
const TIRES: &str = "SKU,Size,Overall Diameter (in),Min Rim (in),Max Rim (in)\n";

/// What a command says of sheets and a van, line by line.
fn said(command: &str, van: &str, wheels: &str, tires: &str) -> Vec<Value> {
    let folder = TempDir::new().unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put("van.toml", van);
    put("wheels.csv", &format!("{WHEELS}{wheels}"));
    put("tires.csv", &format!("{TIRES}{tires}"));
    let path = |name: &str| folder.path().join(name);
    let output = Command::new(env!("CARGO_BIN_EXE_rimsieve"))
        .arg(command)
        .args([path("wheels.csv"), path("tires.csv")])
        .args([Path::new("--van"), &path("van.toml")])
        .args(["--format", "jsonl", "--quiet"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout)
        .unwrap()
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

fn fails(part: &Value, rule: &str) -> bool {
    part["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .any(|reason| reason["rule"] == rule && reason["outcome"] == "fail")
}

const TIRE: &str = "T1,235/65R16C 121/119R,,6,8\n";

fn wheel(sku: &str, offset: i32, pounds: u32, pad: f64) -> String {
    format!("{sku},16x7,6x130,{offset},84.1,{pounds},ball R14,{pad}\n")
}

#[test]
fn on_a_van_of_ten_thousand_pounds_every_wheel_needs_a_quarter_of_it() {
    let wheels = wheel("light", 52, 2490, 14.0) + &wheel("enough", 52, 2500, 14.0);
    let parts = said("vet", &van(5000, 5000, ""), &wheels, TIRE);
    assert_eq!([fails(&parts[0], "corner-load"), fails(&parts[1], "corner-load")], [true, false]);
    // More where the rear axle is the heavier.
    let wheels = wheel("enough for even axles", 52, 2500, 14.0) + &wheel("enough", 52, 2800, 14.0);
    let parts = said("vet", &van(4400, 5600, ""), &wheels, TIRE);
    assert_eq!([fails(&parts[0], "corner-load"), fails(&parts[1], "corner-load")], [true, false]);
}

#[test]
fn a_35_inch_tire_in_place_of_a_28_inch_one_needs_the_road_speed_recalibrated() {
    let tires = "T1,35x12.50R17LT 121Q,35,8.5,11\n";
    let without = said("vet", &van(5000, 5000, ""), "", tires);
    assert!(fails(&without[0], "road-speed"));
    let coding = "[[work]]\nname = \"road speed recalibration\"\nraises = { \"van.room.road_speed\" = \"30 %\" }\n\
                  costs = \"95.00\"\n";
    let with = said("vet", &van(5000, 5000, coding), "", tires);
    let work: Vec<&Value> = with[0]["work"].as_array().unwrap().iter().map(|work| &work["name"]).collect();
    assert_eq!(work, ["road speed recalibration"]);
}

#[test]
fn less_offset_moves_the_wheel_outward() {
    let wheels = wheel("inner", 52, 2800, 14.0) + &wheel("outer", 40, 2800, 14.0);
    let packages = said("pair", &van(5000, 5000, ""), &wheels, TIRE);
    let of = |sku: &str, fact: &str| {
        let package = packages.iter().find(|package| package["wheel"]["sku"] == sku).unwrap();
        package["facts"][fact]["value"].as_f64().unwrap()
    };
    assert_eq!(of("outer", "outboard_reach") - of("inner", "outboard_reach"), 12.0);
    assert_eq!(of("outer", "inboard_reach") - of("inner", "inboard_reach"), -12.0);
    // On both sides of the axle.
    assert_eq!(of("outer", "track_change") - of("inner", "track_change"), 24.0);
}

#[test]
fn six_fasteners_a_wheel_are_24_on_four_wheels_and_30_on_five() {
    let packages = said("pair", &van(5000, 5000, ""), &wheel("W1", 52, 2800, 14.0), TIRE);
    let fasteners = &packages[0]["fasteners"];
    let counts = ["per_wheel", "on_road", "in_set"].map(|key| fasteners[key].as_u64().unwrap());
    assert_eq!(counts, [6, 24, 30]);
    let sold = ["wheel", "tire"].map(|kind| {
        let sku = &packages[0][kind]["sku"];
        let lines = packages[0]["shopping"].as_array().unwrap();
        lines.iter().find(|line| &line["sku"] == sku).unwrap()["count"].as_u64().unwrap()
    });
    assert_eq!(sold, [5, 5]);
}

#[test]
fn at_least_seven_turns_of_thread_are_engaged() {
    // A shank of 28 mm and a pitch of 1.5 mm: 17.5 mm of pad leave seven turns.
    for (pad, enough) in [(17.5, true), (17.6, false)] {
        let wheels = wheel("W1", 52, 2800, pad);
        let packages = said("pair", &van(5000, 5000, ""), &wheels, TIRE);
        assert_eq!(packages.len(), usize::from(enough), "pad of {pad} mm");
    }
}
