//! Made-up parts and vans: specs with known, missing and unusable facts.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use rimsieve::document::literal;
use rimsieve::document::{Source, read_source};
use rimsieve::facts::{
    Contradiction, Dimension, Fact, Field, Kind, PartKind, RemarkKind, Scope, Spec, State, Value,
};
use rimsieve::judge::{Case, Finding, Judge, PlacedRule};
use rimsieve::rules::{Rule, RuleSet};
use rimsieve::van::{Van, VanFacts, read_van};

use crate::tape::Tape;

/// Spellings of values of a field: first those that suit the van of one rear wheel a side, then others.
fn spellings(field: Field) -> (&'static [&'static str], &'static [&'static str]) {
    use Field::*;
    match field {
        WheelRimDiameter | VanStockRimDiameter => (&["17 in", "16 in", "18 in"], &["15 in", "20 in"]),
        WheelRimWidth | VanStockRimWidth => (&["8 in", "6 in", "9 in"], &["9.5 in", "5.5 in", "165.1 mm"]),
        WheelBoltPatterns | VanHubBoltPattern => (
            &["6x130", "6x139.7, 6x130", "6x130.15", "6x5.12"],
            &["6x130.16", "6x129.84", "5x130", "6x139.7", "6x205", "5x120.65"],
        ),
        WheelOffset | VanStockOffset => {
            (&["45 mm", "30 mm", "62 mm", "60 mm"], &["-12 mm", "29.9 mm", "75 mm", "2 in"])
        }
        WheelCenterBore | VanHubPilot => (
            &["84.1 mm", "84.05 mm", "84.3 mm"],
            &["84.04 mm", "84.31 mm", "66.6 mm", "89.1 mm", "106.1 mm", "3.311 in"],
        ),
        WheelLoadRating => {
            (&["1300 kg", "1214 kg", "2866 lb"], &["1213.9 kg", "1100 kg", "2425 lb", "925 kg"])
        }
        WheelSeat | VanHubSeat => (&["ball R14"], &["cone 60", "ball", "cone", "flat", "shank", "ball R12"]),
        WheelBoltHole => (&["15 mm", "14.3 mm"], &["14.29 mm", "13 mm"]),
        WheelBackspacing => (&["6.8 in", "160 mm"], &["4.75 in", "130 mm"]),
        WheelBeadlock => (&["no"], &["yes"]),
        WheelMarkings => (&["SAE J2530", "JWL|JWL-T"], &["JWL", "JWL|VIA"]),
        TireSize | VanStockTire => (
            &["235/65R16C", "225/75R16C", "LT215/75R16"],
            &["265/70R17", "LT265/70R17", "35x12.50R17LT", "7.50R16LT", "215/75R16C"],
        ),
        TireService => (&["C", "LT"], &["passenger", "trailer", "flotation"]),
        TireSectionWidth => (&["240 mm", "275 mm"], &["275.1 mm", "11.3 in", "205 mm"]),
        TireAspect => (&["65 %"], &["75 %", "0.7"]),
        TireConstruction => (&["radial"], &["diagonal", "bias-belted"]),
        TireRimDiameter => (&["16 in"], &["17 in", "15 in"]),
        TireLoadIndex => (&["121", "115"], &["114", "107", "300", "116"]),
        TireLoadIndexDual => (&["119", "113"], &["105", "280", "110"]),
        TireSpeedSymbol | VanTopSpeed => (&["R", "T", "150 km/h"], &["N", "Q", "93.3 mph", "130 km/h"]),
        TireLoadRange | TirePlyRating | VanRoomLoadRange => (&["E", "10 ply", "F"], &["C", "D", "8 ply"]),
        TireLoadSingle => (&["1450 kg", "1214 kg", "3195 lb"], &["1213.9 kg", "975 kg"]),
        TireLoadDual => (&["1360 kg", "1400 kg"], &["925 kg", "2094 lb"]),
        TireMaxPressure | WheelMaxPressure => (&["550 kPa"], &["80 psi", "4.75 bar"]),
        TireOverallDiameter | VanStockTireDiameter => {
            (&["712 mm", "733.36 mm", "728 mm"], &["733.37 mm", "790 mm", "31.7 in"])
        }
        TireRimWidthMin | TireRimWidthMax | TireMeasuringRim => (&["6.5 in"], &["8 in", "9 in"]),
        TireSnowMark | TireMudSnow | VanSensors => (&["yes"], &["no"]),
        TireDateCode | RunAsOf => (&["2025-09-01", "3524"], &["2026-11-25", "2021-11-22", "2016-02-29"]),
        WheelPadThickness | VanHubFastenerShank => (&["14 mm", "28 mm"], &["32 mm", "12.7 mm"]),
        WheelWeight | TireWeight => (&["13.5 kg"], &["36 lb"]),
        VanFrontAxleLoad => (&["1850 kg"], &["2000 kg", "4080 lb"]),
        VanRearAxleLoad => (&["2430 kg"], &["2600 kg", "3700 kg", "2200 kg"]),
        VanCornerLoad => (&["1215 kg"], &["1300 kg"]),
        VanFrontWheels => (&["2"], &["4"]),
        VanRearWheels => (&["2", "4"], &["3"]),
        VanGvwr => (&["4200 kg"], &["5400 kg"]),
        VanHubFixing => (&["bolt"], &["stud"]),
        VanHubThread => (&["M14x1.5"], &["9/16-18", "M12x1.25"]),
        VanRoomRimDiameter => (&["16 in..18 in"], &["16 in..17 in"]),
        VanRoomRimWidth => (&["6 in..9 in"], &["5.5 in..6.5 in"]),
        VanRoomOffset => (&["30 mm..62 mm"], &["105 mm..125 mm", "45 mm..45 mm"]),
        VanRoomTireDiameter | VanRoomSpareDiameter => (&["790 mm"], &["728 mm", "750 mm"]),
        VanRoomTireSection => (&["275 mm"], &["235 mm"]),
        VanRoomRoadSpeed => (&["3 %"], &["18 %", "0 %"]),
        VanRoomOutboardReach | VanRoomInboardReach => (&["118 mm"], &["196 mm"]),
        VanRoomTireService => (&["LT|C"], &["LT", "passenger|LT"]),
        VanRoomDualGap => (&["15 mm"], &["20 mm"]),
        PackageOverallDiameter | PackageDesignationDiameter => (&["712 mm"], &["804 mm"]),
        PackageSectionOnRim | PackageHalfWidth => (&["232 mm"], &["290 mm"]),
        PackageOutboardReach | PackageInboardReach => (&["98 mm"], &["196.1 mm"]),
        PackageOutboardChange | PackageInboardChange | PackageTrackChange | PackageRideHeightChange => {
            (&["20 mm"], &["-4 mm", "51 mm"])
        }
        PackageRoadSpeedError => (&["1 %"], &["-2 %", "9 %"]),
        PackageCapacityFront | PackageCapacityRear => (&["2900 kg"], &["2430 kg", "1850 kg"]),
        PackagePressureFront | PackagePressureRear | PackageCautiousFront | PackageCautiousRear => {
            (&["420 kPa"], &["560 kPa"])
        }
        WheelSupplier | WheelName | WheelFinish | TireSupplier | TireName | TireTread => {
            (&["Northfell"], &["Skarnwell Forge", ""])
        }
    }
}

/// The value of a spelling: a window as `a..b`, a list of words as `a|b`.
pub(crate) fn value(field: Field, text: &str) -> Value {
    let read = |kind: Kind, text: &str| {
        literal::read(kind, text).unwrap_or_else(|why| panic!("{}: `{text}`: {why}", field.full_name()))
    };
    match field.kind() {
        Kind::Window(dimension) => {
            let (from, to) = text.split_once("..").expect("a window is spelt a..b");
            let end = |text| read(Kind::Quantity(dimension), text).number().expect("an end is a number");
            Value::Window { from: end(from), to: end(to) }
        }
        Kind::Words(_) => Value::Words(text.split('|').map(Arc::from).collect()),
        kind => read(kind, text),
    }
}

/// How good the facts of a spec are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Quality {
    /// Nearly all suit the van.
    Good,
    /// About half do; many are missing.
    Mixed,
}

/// A value of a field; one in eight numbers lies a base unit beside its spelling.
pub(crate) fn any_value(tape: &mut Tape, field: Field, suiting: usize) -> Value {
    let (good, other) = spellings(field);
    let text = if tape.in_hundred(100 - suiting) { tape.one_of(other) } else { tape.one_of(good) };
    let value = value(field, text);
    match (&value, field.kind()) {
        (Value::Number(count), Kind::Quantity(Dimension::Length | Dimension::Mass)) if tape.pick(8) == 7 => {
            Value::Number(count + if tape.pick(2) == 0 { 1.0 } else { -1.0 })
        }
        _ => value,
    }
}

/// A fact of a field: known, missing, unreadable, or contradicted, as a share of the quality.
pub(crate) fn any_fact(tape: &mut Tape, field: Field, quality: Quality) -> Fact {
    let (known, missing, suiting) = match quality {
        Quality::Good => (92, 7, 97),
        Quality::Mixed => (55, 33, 60),
    };
    let at = tape.pick(100);
    if at < known {
        return Fact::derived(any_value(tape, field, suiting));
    }
    let missing_fact = Fact::missing(None);
    if at < known + missing {
        missing_fact
    } else if tape.pick(4) != 3 {
        missing_fact.with_state(State::Unreadable(Arc::from("it cannot be read")))
    } else {
        let contradiction = Contradiction { check: RemarkKind::StatedTwice, says: Arc::from("it cannot be") };
        missing_fact.with_state(State::Contradicted(Arc::new(contradiction)))
    }
}

/// A spec with facts of all kinds.
pub(crate) fn any_spec(tape: &mut Tape, kind: PartKind) -> Spec {
    let quality = if tape.pick(2) == 0 { Quality::Good } else { Quality::Mixed };
    Spec::new(kind, |field| Arc::new(any_fact(tape, field, quality)))
}

/// Facts of a van, each stated in nine of ten cases; what follows is left as stated.
pub(crate) fn any_van_facts(tape: &mut Tape) -> VanFacts {
    let mut facts = VanFacts::default();
    for field in Field::of(Scope::Van) {
        if !tape.in_hundred(10) {
            facts.put(*field, any_value(tape, *field, 70));
        }
    }
    facts
}

/// Every known value by its full name, and whether a fact without one is unusable rather than missing.
pub(crate) fn named(spec: &Spec, van: &VanFacts, as_of: Option<&Value>) -> BTreeMap<String, Option<Value>> {
    let mut named = BTreeMap::new();
    for (field, fact) in spec.iter() {
        match &fact.state {
            State::Known(value) => drop(named.insert(field.full_name(), Some(value.clone()))),
            State::Missing => {}
            State::Unreadable(_) | State::Contradicted(_) => drop(named.insert(field.full_name(), None)),
        }
    }
    for field in Field::of(Scope::Van) {
        if let Some(value) = van.get(*field) {
            named.insert(field.full_name(), Some(value.clone()));
        }
    }
    if let Some(value) = as_of {
        named.insert(Field::RunAsOf.full_name(), Some(value.clone()));
    }
    named
}

/// A path within the project.
pub(crate) fn at(path: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// A van of a text; its problems stop the test.
pub(crate) fn van_of(text: &str) -> Van {
    let (van, problems) = read_van(&Source::new("van.toml", text), Path::new(""));
    let told: Vec<String> =
        problems.iter().map(|problem| format!("{problem}: {}", problem.marked())).collect();
    van.unwrap_or_else(|| panic!("{}\n{text}", told.join("\n")))
}

/// The text of a sample van.
pub(crate) fn van_text(id: &str) -> String {
    read_source(&at(&format!("samples/vans/{id}.toml"))).expect("the samples can be read").text().to_owned()
}

/// The sample vans: one rear wheel a side, and two.
pub(crate) fn sample_vans() -> Vec<Van> {
    ["orlbeck-l4", "wexholm-d46"].map(|id| van_of(&van_text(id))).into()
}

/// The shipped rules.
pub(crate) fn shipped() -> RuleSet {
    RuleSet::shipped().expect("the shipped rules are sound")
}

/// Rules with their places, without the sense checks, whatever their packs.
pub(crate) fn placed(rules: &[Rule], kind: PartKind) -> Vec<PlacedRule<'_>> {
    rules.iter().enumerate().filter(|(_, rule)| rule.on == kind.into() && !rule.is_sense_check()).collect()
}

/// What a part by itself comes to for a van.
pub(crate) fn judge_spec(spec: &Spec, van: &Van, rules: &[PlacedRule<'_>], as_of: Option<&Value>) -> Finding {
    Judge::new(van, rules.to_vec(), &van.packs).finding(Case::of_part(spec, &van.facts, as_of))
}
