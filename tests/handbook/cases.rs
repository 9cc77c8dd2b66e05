//! Every case of `check_cases.csv`: computed by `trade` and compared, or listed with the reason why
//! it is not for `trade`. A case that is neither, or both, fails.

use std::collections::BTreeMap;

use jiff::civil::Weekday;
use rimsieve::trade::axle::{self, Fitment, Limit};
use rimsieve::trade::bolt_circle::Drilling;
use rimsieve::trade::date_code::{self, DateCode, DateCodeError};
use rimsieve::trade::inflation::{self, InflationError, LoadRelation, MonitoredTire, Need, RatedPoint};
use rimsieve::trade::load_range::LoadRange;
use rimsieve::trade::quantity::{Length, Mass, Pressure, Speed};
use rimsieve::trade::speed_symbol::SpeedSymbol;
use rimsieve::trade::thread::{self, Thread};
use rimsieve::trade::tire::{self, Construction, Marking, Size};
use rimsieve::trade::{load_index, published, wheel};

use crate::designation::{service, size};
use crate::rows::{Row, read};

/// Cases that no function of `trade` answers.
const NOT_FOR_TRADE: [(&str, &str); 27] = [
    ("OD-EXACT", "no diameter without rounding is offered; the design diameter is the rounded one"),
    ("AX-9", "a bonus for trailers; never credited to a driven van"),
    ("AX-11", "0.27 of a twin axle is memory; the rules ask a quarter and the tire's dual load"),
    ("LP-5", "a chart's dual figure, 22 lb per tire above load index 116, which is what we go by"),
    ("LP-6", "no pressure is computed for passenger tires"),
    ("LP-7", "no pressure is computed for passenger tires"),
    ("LS-1", "load against speed is not reckoned: above any van's top speed"),
    ("LS-2", "load against speed is not reckoned: above any van's top speed"),
    ("LS-3", "a bonus below the reference speed; never credited to a road van"),
    ("LS-4", "no bonus is ever credited, so there is none to compute at the reference speed"),
    ("CB-1", "a verdict of the rule on center bores"),
    ("CB-2", "a verdict of the rule on center bores and of the work that adds a ring"),
    ("TIN-4", "only the date code of an identification number is read"),
    ("TIN-5", "only the date code of an identification number is read"),
    ("MK-1", "the meaning of a rim's source letter; no rule reads it"),
    ("MK-2", "a verdict of the rule on wheel marks"),
    ("MK-3", "a traction index; no sheet states one"),
    ("MK-4", "an ice grip index; no sheet states one"),
    ("MK-5", "a snow grip index; no sheet states one"),
    ("LAW-1", "twin tires on a van are one package, hence one size"),
    ("LAW-2", "run-out is measured on a wheel, not read in a catalog"),
    ("LAW-3", "tread depth is measured on a tire, not read in a catalog"),
    ("LAW-4", "a correction for gauges read hot"),
    ("LAW-5", "a diameter limit by law; a van file states its own"),
    ("LAW-6", "a diameter limit by law; a van file states its own"),
    ("LAW-7", "a verdict against the van maker's load index; the rules ask the axle load"),
    ("LAW-8", "a verdict that needs the van's top speed and a driver's label"),
];

/// One case, its inputs taken apart.
struct Case {
    row: Row,
    inputs: BTreeMap<String, String>,
}

impl Case {
    fn new(row: Row) -> Self {
        let mut inputs = BTreeMap::new();
        let mut last = String::new();
        for part in row.text("inputs").split(';') {
            match part.split_once('=') {
                Some((key, value)) => {
                    last = key.to_owned();
                    inputs.insert(last.clone(), value.to_owned());
                }
                // A list goes on: `symbols=U;H`.
                None => inputs.get_mut(&last).expect("a first value").push_str(&format!(";{part}")),
            }
        }
        Self { row, inputs }
    }

    fn id(&self) -> &str {
        self.row.text("case_id")
    }

    fn get(&self, key: &str) -> &str {
        self.inputs.get(key).unwrap_or_else(|| panic!("{}: no input {key}", self.row))
    }

    fn number(&self, key: &str) -> f64 {
        let text = self.get(key);
        text.parse().unwrap_or_else(|_| panic!("{}: {key} is {text:?}", self.row))
    }

    fn mm(&self, key: &str) -> Length {
        Length::from_mm(self.number(key))
    }

    fn inches(&self, key: &str) -> Length {
        Length::from_inches(self.number(key))
    }

    fn kg(&self, key: &str) -> Mass {
        Mass::from_kg(self.number(key))
    }

    fn kpa(&self, key: &str) -> Pressure {
        Pressure::from_kpa(self.number(key))
    }

    fn km_h(&self, key: &str) -> Speed {
        Speed::from_km_h(self.number(key))
    }

    fn size(&self) -> Size {
        size(self.get("size"))
    }

    fn thread(&self) -> Thread {
        Thread::parse(self.get("thread")).unwrap_or_else(|why| panic!("{}: {why}", self.row))
    }

    fn fitment(&self) -> Fitment {
        match self.get("fitment") {
            "single" => Fitment::Single,
            "dual" => Fitment::Twin,
            other => panic!("{}: fitment {other:?}", self.row),
        }
    }

    /// Compares with the expected figure within the case's tolerance.
    fn is(&self, found: f64) {
        let expected = self.row.number("expected");
        // The last digits of a decimal that has no exact binary form are not the case's business.
        let allowed = self.row.number("tolerance") + 1e-9;
        let off = (found - expected).abs();
        assert!(off <= allowed, "{}: {found}, expected {expected} within {allowed}", self.row);
    }

    /// Compares with the expected words.
    fn says(&self, found: &str) {
        assert_eq!(found, self.row.text("expected"), "{}", self.row);
    }

    fn holds(&self, found: bool, what: &str) {
        assert!(found, "{}: {what}", self.row);
    }
}

#[test]
fn every_case_is_computed_or_listed_with_a_reason() {
    let (mut computed, mut listed) = (0, 0);
    for row in read("check_cases.csv") {
        let case = Case::new(row);
        let family = case.id().split('-').next().expect("an id");
        let answered = match family {
            "LI" => load_indices(&case),
            "SP" => speed_symbols(&case),
            "LR" => load_ranges(&case),
            "OD" => diameters(&case),
            "MR" | "SW" => widths(&case),
            "RC" | "RH" | "SM" => on_the_road(&case),
            "BS" | "CL" | "SPC" | "TR" | "DUAL" => wheels(&case),
            "AX" | "WR" => axles(&case),
            "LP" => loads_and_pressures(&case),
            "PU" | "TP" => pressures(&case),
            "TH" => threads(&case),
            "BC" => bolt_circles(&case),
            "TIN" => date_codes(&case),
            "XC" => printed_loads(&case),
            "RIM" => rims(&case),
            _ => false,
        };
        let reason = NOT_FOR_TRADE.iter().find(|(id, _)| *id == case.id());
        match (answered, reason) {
            (true, None) => computed += 1,
            (false, Some(_)) => listed += 1,
            (true, Some(_)) => panic!("{}: computed, yet listed as not for trade", case.row),
            (false, None) => panic!("{}: neither computed nor listed", case.row),
        }
    }
    assert_eq!((computed, listed), (154, NOT_FOR_TRADE.len()));
}

fn index_kg(index: u16) -> Mass {
    load_index::capacity(index).expect("an index of the list")
}

fn load_indices(case: &Case) -> bool {
    match case.id() {
        "LI-REV-1" | "LI-REV-2" => {
            let index = load_index::smallest_for(case.kg("required_kg")).expect("in the list");
            case.is(f64::from(index));
        }
        "LI-LB-1" | "LI-LB-2" => {
            case.is(index_kg(case.get("load_index").parse().expect("an index")).lb());
        }
        "LI-DUAL" => {
            let (single, dual, _) = service(case.get("service"));
            let dual = index_kg(dual.expect("two indices"));
            case.says(&format!("{}/{}", index_kg(single).kg(), dual.kg()));
        }
        _ => case.is(index_kg(case.get("load_index").parse().expect("an index")).kg()),
    }
    true
}

fn speed_symbols(case: &Case) -> bool {
    let speed = |text: &str| SpeedSymbol::parse(text).expect("a symbol").speed();
    match case.id() {
        "SP-ORDER" => {
            let (slower, faster) = case.get("symbols").split_once(';').expect("two symbols");
            case.holds(speed(slower) < speed(faster), "ranks the other way");
            case.says(&format!("{faster}>{slower}"));
        }
        "SP-MPH" => case.is(speed(case.get("symbol")).mph()),
        _ => case.is(speed(case.get("symbol")).km_h()),
    }
    true
}

fn load_ranges(case: &Case) -> bool {
    let range = |case: &Case| {
        let letter = case.get("load_range").chars().next().expect("a letter");
        LoadRange::from_letter(letter).expect("a load range")
    };
    match case.id() {
        "LR-PLY" => case.is(f64::from(range(case).ply())),
        "LR-NOT-C" => {
            let size = case.size();
            case.holds(size.marking() == Some(Marking::Commercial), "the C is a service mark");
            let c = LoadRange::from_letter('C').expect("a load range");
            case.holds(c.reference_pressure_for(size).is_none(), "no LT pressure for a C tire");
        }
        _ => case.is(range(case).reference_pressure().expect("a pressure").kpa()),
    }
    true
}

fn diameters(case: &Case) -> bool {
    let size = case.size();
    let design = size.design_diameter().expect("a diameter");
    match case.id() {
        "OD-EXACT" => return false,
        "OD-INCH" => case.is(design.inches()),
        "OD-MUD" => {
            let printed = published::dimensions(size).expect("published").diameter();
            case.is(printed.mm());
            case.holds(printed - design == tire::traction_pattern_excess(), "6 mm over the design");
        }
        "OD-FLOT" => {
            // The contract takes a flotation size as its inches; the case says that this overstates.
            case.is(published::dimensions(size).expect("published").diameter().mm());
            case.holds(design == Length::from_inches(31.0), "31 in as designated");
        }
        _ => case.is(design.mm()),
    }
    true
}

fn widths(case: &Case) -> bool {
    match case.id() {
        "SW-RIM" => {
            let on = |key| case.size().section_on_rim(case.inches(key), None, None).expect("known");
            case.is((on("rim_to") - on("rim_from")).mm());
        }
        "SW-228" => {
            let section = case.size().section_on_rim(case.inches("rim_in"), None, None);
            case.is(section.expect("known").mm());
        }
        "SW-MAX" => case.is(tire::widest_permitted_section(case.mm("section_width_mm")).mm()),
        id if id.starts_with("MR") => {
            case.is(case.size().measuring_rim_by_formula().expect("a band").inches());
            case.is(case.size().measuring_rim(None).expect("a band").inches());
        }
        _ => {
            let rim = case.inches("rim_in");
            let section = case.size().section_on_measuring_rim(None, rim).expect("a band");
            case.is(section.mm());
            let on_rim = case.size().section_on_rim(rim, None, None);
            case.holds(on_rim == Some(section), "the rim is the measuring rim");
        }
    }
    true
}

fn on_the_road(case: &Case) -> bool {
    match case.id() {
        "RC-1" => {
            let turn = tire::rolling_circumference(case.mm("diameter_mm"), Construction::Radial);
            case.is(turn.expect("radial").mm());
        }
        "RC-2" => {
            let turns = tire::revolutions_per_km(case.mm("rolling_circumference_mm"));
            case.is(turns.expect("positive"));
        }
        "RC-3" => {
            let turns = tire::revolutions_per_mile(case.mm("rolling_circumference_mm"));
            case.is(turns.expect("positive"));
        }
        "RC-4" => case.is(tire::geometric_circumference(case.mm("diameter_mm")).mm()),
        "RH-1" => {
            let [old, new] =
                ["from", "to"].map(|key| size(case.get(key)).design_diameter().expect("an aspect ratio"));
            case.is(tire::ride_height_change(old, new).mm());
        }
        "SM-1" => {
            let (old, new) = (case.mm("d_old"), case.mm("d_new"));
            let speed = tire::true_speed(case.km_h("indicated"), old, new);
            case.is(speed.expect("positive").km_h());
        }
        "SM-2" => {
            let (old, new) = (case.mm("d_old"), case.mm("d_new"));
            let dial = tire::true_speed(case.km_h("true"), new, old);
            case.is(dial.expect("positive").km_h());
        }
        "SM-3" | "SM-5" => case.is(tire::highest_indication(case.km_h("true")).km_h()),
        "SM-4" => {
            let (at, least) = (case.km_h("true"), Speed::from_km_h(case.row.number("expected")));
            case.holds(tire::indication_permitted(least, at), "the least is permitted");
            let less = least - Speed::from_km_h(0.001);
            case.holds(!tire::indication_permitted(less, at), "and nothing below it");
        }
        "SM-6" => {
            let permitted = tire::indication_permitted(case.km_h("indicated"), case.km_h("true"));
            case.says(&permitted.to_string());
        }
        "SM-7" => {
            // With the factory's over-reading the dial shows 83.2 at a true 80.
            let (old, dial) = (case.mm("d_old"), Speed::from_km_h(80.0 * (1.0 + case.number("over_read"))));
            let legal = |new: f64| {
                let factory = Speed::from_km_h(80.0);
                let at = tire::true_speed(factory, old, Length::from_mm(new)).expect("positive");
                tire::indication_permitted(dial, at)
            };
            let largest = case.row.number("expected");
            case.holds(legal(largest - 0.1), "just under the largest is legal");
            case.holds(!legal(largest + 0.1), "just over it is not");
        }
        _ => return false,
    }
    true
}

/// `6.5x16 ET68` as rim width and offset.
fn width_and_offset(text: &str) -> (Length, Length) {
    let (rim, offset) = text.split_once(" ET").expect(text);
    let (width, _) = rim.split_once('x').expect(text);
    let figure = |text: &str| text.parse::<f64>().expect("a figure");
    (Length::from_inches(figure(width)), Length::from_mm(figure(offset)))
}

fn wheels(case: &Case) -> bool {
    /// New reach less old, of the bare rims, outboard and inboard.
    fn reach_changes(case: &Case) -> (f64, f64) {
        let [old, new] = ["from", "to"].map(|key| {
            let (width, offset) = width_and_offset(case.get(key));
            let half = wheel::half_overall_width(width);
            (wheel::outboard_reach(half, offset), wheel::inboard_reach(half, offset))
        });
        ((new.0 - old.0).mm(), (new.1 - old.1).mm())
    }
    match case.id() {
        "BS-1" | "BS-2" => {
            case.holds(case.mm("flange_mm") == wheel::flange_allowance(), "another flange");
            let spacing = wheel::back_spacing(case.inches("rim_in"), case.mm("inset_mm"));
            case.is(if case.id() == "BS-1" { spacing.mm() } else { spacing.inches() });
        }
        "BS-3" => {
            let spacing = case.inches("back_spacing_in");
            case.is(wheel::offset_from_back_spacing(case.inches("rim_in"), spacing).mm());
        }
        "CL-1" => case.is(reach_changes(case).0),
        "CL-2" => case.is(reach_changes(case).1),
        "CL-3" => {
            let (outboard, inboard) = reach_changes(case);
            case.says(&format!("{outboard}/{inboard}"));
        }
        "CL-4" => {
            // A mounting face toward the street side leaves more of the wheel inboard of it.
            let (half, inset) = (Length::from_mm(100.0), Length::from_mm(40.0));
            let more_inboard = wheel::inboard_reach(half, inset) > wheel::outboard_reach(half, inset);
            case.holds(more_inboard, "inset is positive");
        }
        "SPC-1" => {
            case.is(wheel::offset_with_spacer(case.mm("inset_mm"), case.mm("spacer_mm")).mm());
        }
        "TR-1" => case.is(wheel::track_change(case.mm("inset_from"), case.mm("inset_to")).mm()),
        "TR-2" => {
            let old = case.mm("inset_from");
            let new = wheel::offset_with_spacer(old, case.mm("spacer_mm"));
            case.is(wheel::track_change(old, new).mm());
        }
        "DUAL-1" => case.is(wheel::twin_center_distance(case.mm("inset_mm")).mm()),
        _ => return false,
    }
    true
}

fn axles(case: &Case) -> bool {
    /// The load one tire counts for in the case's fitment.
    fn counted(case: &Case) -> Mass {
        let (single, dual, _) = service(case.get("service"));
        let index = match case.fitment() {
            Fitment::Single => single,
            Fitment::Twin => dual.expect("two indices"),
        };
        match case.inputs.get("tyre_class").map(String::as_str) {
            None => index_kg(index),
            Some("passenger") => axle::passenger_counted_load(index_kg(index)),
            Some(other) => panic!("{}: class {other:?}", case.row),
        }
    }
    let strong_wheel = Mass::from_kg(5000.0);
    match case.id() {
        "AX-1" | "AX-2" | "AX-3" => {
            let capacity = axle::capacity(case.fitment(), counted(case), strong_wheel);
            case.holds(capacity.limit == Limit::Tire, "the tire limits");
            case.is(capacity.total.kg());
        }
        "AX-4" | "AX-5" | "AX-6" => {
            let share = case.fitment().share(case.kg("gawr_kg"));
            case.says(if counted(case) >= share { "pass" } else { "fail" });
            let capacity = axle::capacity(case.fitment(), counted(case), strong_wheel).total;
            case.says(if capacity >= case.kg("gawr_kg") { "pass" } else { "fail" });
        }
        "AX-7" => {
            let share = case.fitment().share(case.kg("gawr_kg"));
            case.is(axle::passenger_rating_needed(share).kg());
        }
        "AX-8" => case.is(axle::normal_load_limit(case.kg("load_rating_at_placard_kg")).kg()),
        "AX-10" => case.is(case.fitment().share(case.kg("axle_kg")).kg()),
        "WR-1" | "WR-2" => {
            let wheels = case.get("wheels_on_axle").parse().expect("a count");
            let fitment = Fitment::from_wheels(wheels).expect("two or four");
            case.is(fitment.share(case.kg("gawr_kg")).kg());
        }
        "WR-3" => {
            let (tire, wheel) = (case.kg("tyre_kg"), case.kg("wheel_kg"));
            let capacity = axle::capacity(Fitment::Single, tire, wheel);
            case.holds(capacity.total < case.kg("gawr_kg"), "the corner is too weak");
            case.holds(capacity.limit == Limit::Wheel, "the wheel limits");
            case.says("fail: wheel");
        }
        _ => return false,
    }
    true
}

fn loads_and_pressures(case: &Case) -> bool {
    let rated = |case: &Case| RatedPoint { load: case.kg("lmax_kg"), pressure: case.kpa("pref_kpa") };
    let relation = |case: &Case| {
        let exponent = case.number("exponent");
        [LoadRelation::LightTruck, LoadRelation::Commercial, LoadRelation::Cautious]
            .into_iter()
            .find(|relation| relation.exponent() == exponent)
            .unwrap_or_else(|| panic!("{}: exponent {exponent}", case.row))
    };
    match case.id() {
        "LP-1" | "LP-2" | "LP-3" | "LP-4" => {
            let rated = RatedPoint {
                load: Mass::from_lb(case.number("lmax_lb")),
                pressure: Pressure::from_psi(case.number("pmax_psi")),
            };
            let pressure = Pressure::from_psi(case.number("p_psi"));
            let load = inflation::load_at(pressure, rated, LoadRelation::LightTruck);
            case.is(load.expect("positive").lb());
        }
        id if id.starts_with("LP-8-") => {
            let need = inflation::pressure_for(case.kg("load_kg"), rated(case), relation(case));
            let Ok(Need::Computed(pressure)) = need else { panic!("{}: {need:?}", case.row) };
            case.is(pressure.kpa());
        }
        id if id.starts_with("LP-9-") => {
            let load = inflation::load_at(case.kpa("p_kpa"), rated(case), relation(case));
            case.is(load.expect("positive").kg());
        }
        "LP-10" => {
            for relation in [LoadRelation::LightTruck, LoadRelation::Commercial, LoadRelation::Cautious] {
                let need = inflation::pressure_for(case.kg("load_kg"), rated(case), relation);
                case.holds(need == Err(InflationError::AboveRating), "no pressure is enough");
            }
        }
        "LP-11" | "LP-12" => {
            let (single, dual, _) = service(case.get("service"));
            let dual = dual.expect("two indices");
            let pressure = inflation::commercial_reference(case.size(), single, dual);
            case.is(pressure.expect("listed").kpa());
        }
        _ => return false,
    }
    true
}

fn pressures(case: &Case) -> bool {
    match case.id() {
        "PU-1" => case.is(Pressure::from_bar(case.number("bar")).psi()),
        "PU-2" => case.is(Pressure::from_psi(case.number("psi")).kpa()),
        "PU-3" | "PU-4" => case.is(inflation::whole_psi_up(case.kpa("kpa"))),
        "PU-5" => {
            let up = inflation::whole_psi_up(case.kpa("kpa")).to_string();
            let mut either = case.row.text("expected").split(" or ");
            case.holds(either.any(|printed| printed == up), "one of the two printed figures");
        }
        "TP-1" | "TP-2" => {
            let letter = case.get("tyre").strip_prefix("load range ").expect("an LT tire");
            let letter = letter.chars().next().expect("a letter");
            let tire = MonitoredTire::LightTruck(LoadRange::from_letter(letter).expect("listed"));
            let warns_at = inflation::monitor_warns_at(case.kpa("placard_kpa"), tire);
            case.is(warns_at.expect("listed").kpa());
        }
        "TP-3" => {
            case.holds(case.get("dual_rear") == "true", "a twin rear axle");
            let required = inflation::monitor_required(case.kg("gvwr_kg"), Fitment::Twin);
            case.says(&required.to_string());
        }
        _ => return false,
    }
    true
}

fn threads(case: &Case) -> bool {
    let thread = |text: &str| Thread::parse(text).expect("a thread");
    match case.id() {
        // Published to one decimal.
        "TH-A-M12x1.75" => case.is((case.thread().stress_area_mm2() * 10.0).round() / 10.0),
        id if id.starts_with("TH-A-") => {
            let mm2 = case.thread().stress_area_mm2();
            let inch = case.row.text("unit") == "in2";
            case.is(if inch { mm2 / (25.4 * 25.4) } else { mm2 });
        }
        "TH-E-1" => {
            // The note is about a 12 mm stud.
            let stud = thread(&format!("M12x{}", case.get("pitch_mm")));
            case.is(stud.engaged_by(case.number("turns")).mm());
        }
        "TH-E-4" => {
            let stud = thread(&format!("1/2-{}", case.get("tpi")));
            case.is(stud.engaged_by(case.number("turns")).inches());
        }
        "TH-E-2" => case.is(case.thread().turns_for_diameters(case.number("factor"))),
        "TH-E-3" | "TH-E-5" => {
            case.is(case.thread().turns_for_diameters(case.number("factor")).ceil());
        }
        "TH-E-6" => {
            let engaged = case.thread().engaged_by(case.number("turns"));
            let needed = case.thread().diameter() * case.number("factor");
            case.holds(engaged < needed, "too short");
            case.says(&format!("fail ({} mm < {} mm)", engaged.mm(), needed.mm()));
        }
        "TH-S-1" => {
            // The longer bolt engages behind spacer and pad what the old one did behind the pad.
            let (shank, pad) = (case.mm("shank_mm"), Length::from_mm(12.0));
            let longer = Length::from_mm(case.row.number("expected"));
            let behind = thread::engagement_behind(longer, pad + case.mm("spacer_mm"));
            case.holds(behind == thread::engagement_behind(shank, pad), "equal engagement");
        }
        _ => return false,
    }
    true
}

fn bolt_circles(case: &Case) -> bool {
    let drilling = |text: &str| {
        let (holes, mm) = text.split_once('x').expect(text);
        let circle = Length::from_mm(mm.parse().expect(text));
        Drilling { holes: holes.parse().expect(text), circle }
    };
    let holes = |case: &Case| case.get("holes").parse().expect("a count");
    match case.id() {
        "BC-5A" | "BC-6" => {
            let drilling = Drilling { holes: holes(case), circle: case.mm("pcd_mm") };
            case.is(drilling.neighbor_chord().expect("three holes and more").mm());
        }
        "BC-5B" => {
            let found = Drilling::from_skip_chord(holes(case), case.mm("skip_chord_mm"));
            let found = found.expect("three holes and more");
            case.is(found.circle.mm());
            let back = found.skip_chord().expect("three holes and more");
            case.holds((back - case.mm("skip_chord_mm")).abs() < Length::from_mm(0.001), "and back");
        }
        "BC-NEAR" => {
            let (wheel, hub) = (drilling(case.get("wheel")), drilling(case.get("hub")));
            let same = wheel.same_pattern(hub, Length::from_mm(0.15));
            case.says(if same { "pass" } else { "fail" });
        }
        _ => {
            case.is(case.inches("inch").mm());
            let exactly = Length::from_mm(case.row.number("expected"));
            case.holds(case.inches("inch") == exactly, "the same to the nanometer");
        }
    }
    true
}

fn date_codes(case: &Case) -> bool {
    match case.id() {
        "TIN-1" => {
            let code = date_code::parse(case.get("tin_tail"));
            let Ok(DateCode::WeekOf(day)) = code else { panic!("{}: {code:?}", case.row) };
            case.holds(day.weekday() == Weekday::Monday, "a Monday");
            let week = day.iso_week_date();
            case.says(&format!("{}-W{:02}", week.year(), week.week()));
        }
        "TIN-2" => {
            let code = date_code::parse(case.get("tin_tail"));
            case.holds(code == Err(DateCodeError::NoSuchWeek { week: 55 }), "no such week");
        }
        "TIN-3" => {
            let code = date_code::parse(case.get("tin_tail"));
            case.holds(code == Ok(DateCode::Before2000), "of the last century");
        }
        _ => return false,
    }
    true
}

fn printed_loads(case: &Case) -> bool {
    let (single, dual, _) = service(case.get("service"));
    let table = [single, dual.expect("two indices")].map(index_kg);
    let (one, two) = case.get("printed_kg").split_once('/').expect("two loads");
    let printed = [one, two].map(|kg| Mass::from_kg(kg.parse().expect("a load")));
    // The contract's 2 % of the index's kilograms.
    let agrees = |at: usize| (printed[at] - table[at]).abs() <= table[at] * 0.02;
    if agrees(0) && agrees(1) {
        case.says("consistent");
    } else {
        case.says(&format!("inconsistent ({}/{})", table[0].kg(), table[1].kg()));
    }
    true
}

fn rims(case: &Case) -> bool {
    let size = case.size();
    if case.id() == "RIM-4" {
        // `17x7`: diameter first.
        let (diameter, _) = case.get("rim").split_once('x').expect("a rim");
        let diameter = Length::from_inches(diameter.parse().expect("a figure"));
        case.holds(size.rim().inches() != diameter, "another diameter");
        case.says("fail (diameter)");
        return true;
    }
    let (rim, range) = (case.inches("rim_in"), published::rim_widths(size).expect("published"));
    if rim < range.least() {
        case.says(&format!("fail (minimum {:.1})", range.least().inches()));
    } else {
        case.says(if rim <= range.most() { "pass" } else { "fail" });
    }
    true
}
