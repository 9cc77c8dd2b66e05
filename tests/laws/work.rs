//! The search for work against trying every set of works.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::Arc;

use proptest::{prop_assert, prop_assert_eq};
use rimsieve::facts::{Contradiction, Fact, Field, PartKind, RemarkKind, Scope, Spec, State, Value};
use rimsieve::judge::bench::WorkSet;
use rimsieve::judge::case::Look;
use rimsieve::judge::eval::{outcome, truth};
use rimsieve::judge::package::{self, PassengerLoads};
use rimsieve::judge::prospects::Hindrance;
use rimsieve::judge::reachable::Reachable;
use rimsieve::judge::search::Aim;
use rimsieve::judge::truth::Truth;
use rimsieve::judge::{Case, Cure, Judge, PlacedRule, VerdictKind};
use rimsieve::rules::{OnFailing, OnUnknown, Outcome, Rule};
use rimsieve::van::work::{Amount, Change, Effect};
use rimsieve::van::{Van, VanFacts};
use rust_decimal::Decimal;

use crate::parts::{any_value, judge_spec, placed, sample_vans, shipped, value, van_of, van_text};
use crate::tape::{Kept, Tape, demand_share, tapes, try_law};

/// Changes that a work may make, by the key of the van file; those that meet stand near one another.
const OF_WHEELS: [(&str, &str, &str); 23] = [
    ("sets", "van.hub.seat", "'cone 60'"),
    ("sets", "van.hub.seat", "'ball R14'"),
    ("sets", "van.hub.seat", "'flat'"),
    ("lowers", "wheel.center_bore", "'84.1 mm'"),
    ("lowers", "wheel.center_bore", "'van.hub.pilot'"),
    ("lowers", "wheel.center_bore", "'86 mm'"),
    ("shifts", "van.hub.pilot", "'-1 mm'"),
    ("sets", "van.hub.pilot", "'89.1 mm'"),
    ("shifts", "wheel.offset", "'-20 mm'"),
    ("shifts", "wheel.offset", "'15 mm'"),
    ("shifts", "wheel.offset", "'30 mm'"),
    ("sets", "wheel.offset", "'40 mm'"),
    ("sets", "wheel.offset", "'van.stock.offset'"),
    ("sets", "van.stock.offset", "'50 mm'"),
    ("sets", "van.room.offset", "['0 mm', '80 mm']"),
    ("raises", "wheel.load_rating", "'1250 kg'"),
    ("sets", "wheel.load_rating", "'1250 kg'"),
    ("lowers", "van.rear.axle_load", "'2200 kg'"),
    ("lowers", "van.rear.axle_load", "'2400 kg'"),
    ("shifts", "van.rear.axle_load", "'-120 kg'"),
    ("sets", "van.rear.wheels", "4"),
    ("sets", "wheel.bolt_hole", "'15 mm'"),
    ("sets", "van.hub.thread", "'M12x1.5'"),
];

const OF_TIRES: [(&str, &str, &str); 14] = [
    ("raises", "van.room.tire_diameter", "'815 mm'"),
    ("raises", "van.room.tire_diameter", "'740 mm'"),
    ("sets", "van.room.tire_diameter", "'van.room.spare_diameter'"),
    ("sets", "van.room.spare_diameter", "'820 mm'"),
    ("raises", "van.room.road_speed", "'18 %'"),
    ("sets", "van.stock.tire", "'225/75R16C'"),
    ("raises", "van.room.tire_section", "'290 mm'"),
    ("lowers", "van.top_speed", "'130 km/h'"),
    ("sets", "tire.speed_symbol", "'T'"),
    ("lowers", "van.rear.axle_load", "'2000 kg'"),
    ("lowers", "van.front.axle_load", "'1800 kg'"),
    ("sets", "tire.load_index", "121"),
    ("sets", "van.room.tire_service", "['LT', 'C', 'passenger']"),
    ("sets", "van.room.load_range", "'C'"),
];

const ASKED_OF_WHEELS: [&str; 5] = [
    "wheel.load_rating >= 1200 kg",
    "wheel.center_bore >= van.hub.pilot + 2 mm",
    "wheel.offset >= 55 mm",
    "wheel.seat != 'flat'",
    "not wheel.beadlock or wheel.load_rating >= 1200 kg",
];

const ASKED_OF_TIRES: [&str; 2] = ["tire.overall_diameter <= 800 mm", "tire.service == 'LT'"];

/// Changes that matter to a wheel with a tire on it, beside those of either.
const OF_BOTH: [(&str, &str, &str); 16] = [
    ("shifts", "van.room.tire_diameter", "'10 mm'"),
    ("shifts", "van.room.tire_diameter", "'6 mm'"),
    ("shifts", "van.room.tire_diameter", "'1 mm'"),
    ("shifts", "van.room.road_speed", "'15 %'"),
    ("shifts", "wheel.offset", "'-20 mm'"),
    ("shifts", "wheel.offset", "'-5 mm'"),
    ("shifts", "van.room.outboard_reach", "'15 mm'"),
    ("shifts", "van.room.outboard_reach", "'5 mm'"),
    ("shifts", "van.room.inboard_reach", "'10 mm'"),
    ("raises", "van.room.inboard_reach", "'210 mm'"),
    ("shifts", "van.rear.axle_load", "'-60 kg'"),
    ("shifts", "van.front.axle_load", "'-40 kg'"),
    ("lowers", "van.rear.axle_load", "'2200 kg'"),
    ("sets", "tire.max_pressure", "'600 kPa'"),
    ("sets", "tire.section_width", "'240 mm'"),
    ("raises", "wheel.max_pressure", "'550 kPa'"),
];

/// Which parts are judged: one by itself, or both together.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Judged {
    Alone(PartKind),
    Together,
}

/// The text of a van with so many works at most; money is drawn so that sums often tie.
fn any_van_text(tape: &mut Tape, judged: Judged, most: usize) -> String {
    let base = van_text("orlbeck-l4");
    let mut text = base[..base.find("[[work]]").expect("it has works")].to_owned();
    let works = most - tape.pick(3);
    let names: Vec<String> = (0..works).map(|work| format!("work {work}")).collect();
    let (changes, asked): (Vec<_>, Vec<_>) = match judged {
        Judged::Alone(PartKind::Wheel) => (OF_WHEELS.to_vec(), ASKED_OF_WHEELS.to_vec()),
        Judged::Alone(PartKind::Tire) => (OF_TIRES.to_vec(), ASKED_OF_TIRES.to_vec()),
        Judged::Together => {
            ([&OF_WHEELS[..], &OF_BOTH, &OF_TIRES].concat(), [&ASKED_OF_WHEELS[..], &ASKED_OF_TIRES].concat())
        }
    };
    // Neighbors on the list, so that works help and hinder one another.
    let first = tape.pick(changes.len());
    for name in &names {
        let costs = tape.one_of(&["10.00", "0", "20", "20.01", "30.00", "0.10", "0.20", "0.30"]);
        let mut tables: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
        for _ in 0..1 + tape.pick(2) {
            let (change, fact, value) = changes[(first + tape.pick(7)) % changes.len()];
            // What one work does twice to a fact is refused when read.
            if !tables.values().any(|facts| facts.contains_key(fact)) {
                tables.entry(change).or_default().insert(fact, value);
            }
        }
        writeln!(text, "[[work]]\nname = '{name}'\ncosts = '{costs}'").expect("memory takes it");
        for (change, facts) in tables {
            let facts: Vec<String> =
                facts.iter().map(|(fact, value)| format!("'{fact}' = {value}")).collect();
            writeln!(text, "{change} = {{ {} }}", facts.join(", ")).expect("memory takes it");
        }
        if tape.pick(4) == 3 {
            writeln!(text, "asks = \"{}\"", tape.one_of(&asked)).expect("memory takes it");
        }
        // A work that needs or rules out itself, or needs what it rules out, is refused when read.
        let mut needed = None;
        for key in ["requires", "excludes"] {
            if tape.pick(6) == 5 {
                let other = &names[tape.pick(works)];
                if other == name || needed == Some(other) {
                    continue;
                }
                needed = Some(other);
                writeln!(text, "{key} = ['{other}']").expect("memory takes it");
            }
        }
    }
    text
}

/// A part that suits the van but for a few facts.
fn nearly_fitting(tape: &mut Tape, kind: PartKind, faults: usize) -> Spec {
    let mut spec = Spec::new(kind, |field| Fact::derived(any_value(tape, field, 100)).into());
    let telling: &[Field] = match kind {
        PartKind::Wheel => &[
            Field::WheelSeat,
            Field::WheelCenterBore,
            Field::WheelOffset,
            Field::WheelLoadRating,
            Field::WheelBoltHole,
            Field::WheelBeadlock,
        ],
        PartKind::Tire => &[
            Field::TireOverallDiameter,
            Field::TireSectionWidth,
            Field::TireSpeedSymbol,
            Field::TireLoadIndex,
            Field::TireService,
            Field::TireLoadRange,
        ],
    };
    for _ in 0..1 + tape.pick(faults) {
        let field = tape.one_of(telling);
        let fact = match tape.pick(8) {
            5 | 6 => Fact::missing(None),
            7 if tape.pick(2) == 1 => contradicted(),
            7 => Fact::missing(None).with_state(State::Unreadable("it cannot be read".into())),
            _ => Fact::derived(any_value(tape, field, 0)),
        };
        spec.put(field, fact);
    }
    // No rule reads a weight; a contradiction in it keeps the part unproven all the same.
    if tape.pick(8) == 7 {
        let weight = if kind == PartKind::Wheel { Field::WheelWeight } else { Field::TireWeight };
        spec.put(weight, contradicted());
    }
    spec
}

fn contradicted() -> Fact {
    let contradiction = Contradiction { check: RemarkKind::StatedTwice, says: "it cannot be".into() };
    Fact::missing(None).with_state(State::Contradicted(contradiction.into()))
}

/// A wheel, a tire, or both.
#[derive(Clone, Default)]
struct Parts {
    wheel: Option<Spec>,
    tire: Option<Spec>,
}

impl Parts {
    fn of(spec: Spec) -> Self {
        match spec.kind() {
            PartKind::Wheel => Self { wheel: Some(spec), tire: None },
            PartKind::Tire => Self { wheel: None, tire: Some(spec) },
        }
    }

    fn any(tape: &mut Tape, judged: Judged) -> Self {
        match judged {
            Judged::Alone(kind) => Self::of(nearly_fitting(tape, kind, 2)),
            Judged::Together => {
                let mut both = [PartKind::Wheel, PartKind::Tire].map(|kind| nearly_fitting(tape, kind, 1));
                for (field, text) in ON_ONE_RIM {
                    let fact = Fact::derived(value(field, text));
                    both.iter_mut().filter(|spec| spec.fact(field).is_some()).for_each(|spec| {
                        spec.put(field, fact.clone());
                    });
                }
                let [wheel, tire] = both;
                Self { wheel: Some(wheel), tire: Some(tire) }
            }
        }
    }

    fn case<'c>(&'c self, van: &'c VanFacts) -> Case<'c> {
        Case { wheel: self.wheel.as_ref(), tire: self.tire.as_ref(), package: None, van, as_of: None }
    }

    fn spec_of(&mut self, field: Field) -> Option<&mut Spec> {
        match field.scope() {
            Scope::Wheel => self.wheel.as_mut(),
            Scope::Tire => self.tire.as_mut(),
            Scope::Package | Scope::Van | Scope::Run => None,
        }
    }

    fn specs(&self) -> impl Iterator<Item = &Spec> {
        self.wheel.iter().chain(&self.tire)
    }

    fn are_doubted(&self) -> bool {
        self.specs().any(|spec| spec.iter().any(|(_, fact)| matches!(fact.state, State::Contradicted(_))))
    }
}

/// What makes a wheel and a tire go together, so that other rules decide.
const ON_ONE_RIM: [(Field, &str); 6] = [
    (Field::WheelRimDiameter, "16 in"),
    (Field::WheelRimWidth, "7 in"),
    (Field::TireRimDiameter, "16 in"),
    (Field::TireRimWidthMin, "6 in"),
    (Field::TireRimWidthMax, "8 in"),
    (Field::TireMaxPressure, "550 kPa"),
];

/// Facts with works done, as the contract says: sets, then raises and lowers, then shifts. Nothing
/// settles what a sheet contradicts, and what does not exist is neither raised, lowered nor shifted.
fn with_works(van: &Van, works: &[usize], parts: &Parts) -> (Parts, VanFacts) {
    let (mut parts, mut facts) = (parts.clone(), van.facts.clone());
    let effects: Vec<&Effect> = works.iter().flat_map(|work| &van.works[*work].effects).collect();
    let turns: [&[Change]; 3] = [&[Change::Set], &[Change::Raise, Change::Lower], &[Change::Shift]];
    for turn in turns {
        for effect in effects.iter().filter(|effect| turn.contains(&effect.change)) {
            let look = |field: Field| match parts.case(&facts).look(field) {
                Look::Known(value) => Some(value.clone()),
                Look::Missing | Look::Unusable => None,
            };
            let amount = match &effect.amount {
                Amount::Fixed(value) => Some(value.clone()),
                Amount::Of(field) => look(*field),
            };
            let number = |value: Option<Value>| value.and_then(|value| value.number());
            let combined = |combine: fn(f64, f64) -> f64| {
                Some(Value::Number(combine(number(look(effect.field))?, number(amount.clone())?)))
            };
            let after = match effect.change {
                Change::Set => amount.clone(),
                Change::Raise => combined(f64::max),
                Change::Lower => combined(f64::min),
                Change::Shift => combined(|before, by| before + by),
            };
            let Some(after) = after else { continue };
            if effect.field.scope() == Scope::Van {
                facts.put(effect.field, after);
            } else if let Some(spec) = parts.spec_of(effect.field)
                && let Some(fact) = spec.fact(effect.field)
                && !matches!(fact.state, State::Contradicted(_))
            {
                let fact = fact.with_state(State::Known(after));
                spec.put(effect.field, fact);
            }
        }
    }
    facts.follow();
    (parts, facts)
}

/// Whether works reach an aim on parts.
fn serve(aim: Aim, rules: &[PlacedRule<'_>], van: &Van, works: &[usize], parts: &Parts) -> bool {
    let (parts, facts) = with_works(van, works, parts);
    let case = parts.case(&facts);
    let together = parts.specs().count() == 2;
    let package = together.then(|| package::derive(case, PassengerLoads::under(&van.packs)));
    let case = Case { package: package.as_ref(), ..case };
    rules.iter().all(|(_, rule)| match outcome(rule, case) {
        Outcome::Fail => rule.failing != OnFailing::Reject,
        Outcome::Unknown => aim == Aim::NothingFails || rule.unknown != OnUnknown::Unproven,
        Outcome::Pass | Outcome::NotApplicable => true,
    })
}

/// Whether two works may never be done together.
fn clash(van: &Van, one: usize, other: usize) -> bool {
    let (first, second) = (&van.works[one], &van.works[other]);
    let excluded = first.excludes.contains(&other) || second.excludes.contains(&one);
    let fight = |a: &Effect, b: &Effect| {
        a.field == b.field
            && ((a.change == Change::Set && b.change == Change::Set && a.amount != b.amount)
                || (a.change == Change::Shift && b.change == Change::Shift && a.field.scope() != Scope::Van))
    };
    excluded || first.effects.iter().any(|a| second.effects.iter().any(|b| fight(a, b)))
}

/// Every set of works that may be done on parts, by trying all.
fn all_sets(van: &Van, parts: &Parts) -> Vec<Vec<usize>> {
    let (parts, facts) = with_works(van, &[], parts);
    let case = parts.case(&facts);
    let package = package::derive(case, PassengerLoads::under(&van.packs));
    let before = Case { package: (parts.specs().count() == 2).then_some(&package), ..case };
    let allowed: Vec<bool> = van
        .works
        .iter()
        .map(|work| {
            work.asks.as_ref().is_none_or(|asks| {
                let asked = match (&parts.wheel, &parts.tire) {
                    (Some(_), Some(_)) => Some(&asks.of_package),
                    (Some(_), None) => asks.of_wheel.as_ref(),
                    (None, _) => asks.of_tire.as_ref(),
                };
                asked.is_some_and(|test| truth(test, before) == Truth::True)
            })
        })
        .collect();
    let clashes: Vec<Vec<bool>> = (0..van.works.len())
        .map(|one| (0..van.works.len()).map(|other| one != other && clash(van, one, other)).collect())
        .collect();
    (1_usize..1 << van.works.len())
        .map(|bits| (0..van.works.len()).filter(|work| bits >> work & 1 == 1).collect::<Vec<usize>>())
        .filter(|set| {
            set.iter().all(|work| allowed[*work])
                && set.iter().all(|work| van.works[*work].requires.iter().all(|other| set.contains(other)))
                && set.iter().all(|one| set.iter().all(|other| !clashes[*one][*other]))
        })
        .collect()
}

/// What sets are taken by.
fn rank(van: &Van, set: &[usize]) -> (Decimal, usize, Vec<usize>) {
    (set.iter().map(|work| van.works[*work].costs).sum(), set.len(), set.to_vec())
}

/// The cheapest set of works that serves, by trying all of them.
fn cheapest_of_all(
    van: &Van,
    parts: &Parts,
    rules: &[PlacedRule<'_>],
    aim: Aim,
) -> Option<(Decimal, Vec<usize>)> {
    let mut sets = all_sets(van, parts);
    sets.sort_by_key(|set| rank(van, set));
    let first = sets.into_iter().find(|set| serve(aim, rules, van, set, parts))?;
    Some((rank(van, &first).0, first))
}

/// The verdict and the cure that the contract asks for.
fn expected(
    van: &Van,
    parts: &Parts,
    rules: &[PlacedRule<'_>],
) -> (VerdictKind, Option<(Decimal, Vec<usize>)>) {
    let doubted = parts.are_doubted();
    let fails = !serve(Aim::NothingFails, rules, van, &[], parts);
    if !doubted && serve(Aim::Proven, rules, van, &[], parts) {
        return (VerdictKind::Fits, None);
    }
    let proven = if doubted { None } else { cheapest_of_all(van, parts, rules, Aim::Proven) };
    if proven.is_some() {
        return (VerdictKind::FitsWithWork, proven);
    }
    if !fails {
        return (VerdictKind::Unproven, None);
    }
    match cheapest_of_all(van, parts, rules, Aim::NothingFails) {
        None => (VerdictKind::Rejected, None),
        mended => (VerdictKind::Unproven, mended),
    }
}

/// The rules on what is judged, without the sense checks, whatever their packs.
fn rules_on(rules: &[Rule], judged: Judged) -> Vec<PlacedRule<'_>> {
    let on_it = |rule: &Rule| match judged {
        Judged::Alone(kind) => rule.on == kind.into(),
        Judged::Together => true,
    };
    rules.iter().enumerate().filter(|(_, rule)| on_it(rule) && !rule.is_sense_check()).collect()
}

/// What the cases of a law came to.
#[derive(Default)]
struct Tally {
    tried: Cell<u32>,
    cured: Cell<u32>,
    together: Cell<u32>,
    mended: Cell<u32>,
}

fn add(counter: &Cell<u32>, more: bool) {
    counter.set(counter.get() + u32::from(more));
}

/// The search against trying every set, on one van and what is judged for it.
fn agree(van: &Van, works: &str, parts: &Parts, rules: &[PlacedRule<'_>], tally: &Tally) -> Kept {
    let judge = Judge::new(van, rules.to_vec(), &van.packs);
    let finding = judge.finding(parts.case(&van.facts));
    let plain = |cure: &Cure| (cure.cost, cure.works.to_vec());
    let found = (finding.kind(), finding.cure().map(plain));
    let expected = expected(van, parts, rules);
    add(&tally.tried, true);
    if let (kind, Some((_, works))) = &expected {
        add(&tally.mended, *kind == VerdictKind::Unproven);
        add(&tally.cured, *kind != VerdictKind::Unproven);
        add(&tally.together, works.len() > 1);
    }
    let known: Vec<_> = parts.specs().map(known).collect();
    prop_assert_eq!(&found, &expected, "{}\n{:#?}", works, known);
    // A search this small ends before much is reckoned: the same must come of reckoning at once.
    let aim = if found.0 == VerdictKind::FitsWithWork { Aim::Proven } else { Aim::NothingFails };
    if !matches!(found.0, VerdictKind::Fits | VerdictKind::Unproven) || found.1.is_some() {
        let case = judge.with_done(WorkSet::EMPTY, parts.case(&van.facts));
        let (case, allowed) = (case.case(), judge.bench().allowed(case.case()));
        let search = judge.search(case, aim, allowed, |set| judge.unmet(set, case, aim));
        let at_once = search.reckoning_at_once().cheapest();
        prop_assert_eq!(at_once.as_ref().map(plain), found.1, "{}\n{:#?}", works, known);
    }
    Ok(())
}

fn search_agrees(cases: u32, judged: &[Judged], most: usize) -> Tally {
    let rules: Vec<Rule> = shipped().all().to_vec();
    let tally = Tally::default();
    try_law(cases, &tapes(120 + 20 * most), |mut tape| {
        let judged = tape.one_of(judged);
        let text = any_van_text(&mut tape, judged, most);
        let van = van_of(&text);
        let parts = Parts::any(&mut tape, judged);
        agree(&van, &text[text.find("[[work]]").unwrap_or(0)..], &parts, &rules_on(&rules, judged), &tally)
    });
    tally
}

const EITHER: [Judged; 2] = [Judged::Alone(PartKind::Wheel), Judged::Alone(PartKind::Tire)];

#[test]
fn the_search_finds_the_same_cure_as_trying_every_set() {
    let tally = search_agrees(4000, &EITHER, 5);
    demand_share("parts that work makes fit", tally.cured.get(), tally.tried.get(), 10);
    demand_share("cures of several works", tally.together.get(), tally.tried.get(), 1);
    let mended = tally.mended.get();
    assert!(mended >= 10, "only {mended} parts stay unproven with their failures mended");
}

#[test]
fn it_does_with_ten_works() {
    let tally = search_agrees(400, &EITHER, 10);
    demand_share("parts that work makes fit", tally.cured.get(), tally.tried.get(), 10);
    demand_share("cures of several works", tally.together.get(), tally.tried.get(), 2);
}

#[test]
fn it_does_on_a_wheel_with_a_tire() {
    let tally = search_agrees(600, &[Judged::Together], 8);
    demand_share("packages that work makes fit", tally.cured.get(), tally.tried.get(), 1);
    demand_share("cures of several works", tally.together.get(), tally.tried.get(), 1);
}

/// Works that add up, where what a cure must cost at least is reckoned from what each is worth.
#[test]
fn it_does_where_works_add_up() {
    let rules: Vec<Rule> = shipped().all().to_vec();
    let tally = Tally::default();
    let base = van_text("orlbeck-l4");
    let base = &base[..base.find("[[work]]").expect("it has works")];
    try_law(250, &tapes(120), |mut tape| {
        let mut works = String::new();
        for at in 0..10 - tape.pick(2) {
            let step = 1 + tape.pick(6);
            let effect = match tape.pick(6) {
                0 | 1 => format!("shifts = {{ 'van.rear.axle_load' = '-{} kg' }}", step * 30),
                2 => format!("shifts = {{ 'van.room.tire_diameter' = '{} mm' }}", step * 4),
                3 => format!("shifts = {{ 'van.room.tire_section' = '{} mm' }}", step * 2),
                4 => format!("raises = {{ 'van.room.tire_section' = '{} mm' }}", 275 + step * 3),
                _ => format!(
                    "shifts = {{ 'van.rear.axle_load' = '-{} kg', 'van.room.tire_section' = '{step} mm' }}",
                    step * 20
                ),
            };
            let costs = tape.one_of(&["10", "12.50", "20", "7", "0", "31.25"]);
            let bound = match tape.pick(12) {
                10 if at > 0 => format!("requires = ['work {}']\n", at - 1),
                11 if at > 1 => format!("excludes = ['work {}']\n", at - 2),
                _ => String::new(),
            };
            writeln!(works, "[[work]]\nname = 'work {at}'\ncosts = '{costs}'\n{effect}\n{bound}")
                .expect("memory takes it");
        }
        let van = van_of(&format!("{base}{works}"));
        let stated = [
            (Field::TireLoadIndex, tape.one_of(&["112", "113", "114", "121"])),
            (Field::TireOverallDiameter, "733.36 mm"),
            (Field::TireSectionWidth, tape.one_of(&["281 mm", "285 mm", "275 mm"])),
        ];
        let parts = Parts::of(fitting_tire(&stated));
        agree(&van, &works, &parts, &rules_on(&rules, EITHER[1]), &tally)
    });
    demand_share("cures of several works", tally.together.get(), tally.tried.get(), 30);
}

/// The sample vans' own works, on parts with several faults at once.
#[test]
fn it_does_on_the_sample_vans() {
    let rules: Vec<Rule> = shipped().all().to_vec();
    let vans = sample_vans();
    let tally = Tally::default();
    try_law(300, &tapes(120), |mut tape| {
        let judged = tape.one_of(&EITHER);
        let van = &vans[tape.pick(vans.len())];
        let parts = Parts::any(&mut tape, judged);
        agree(van, &van.id, &parts, &rules_on(&rules, judged), &tally)
    });
    let cured = tally.cured.get() + tally.mended.get();
    assert!(cured >= 20, "only {cured} parts were cured");
}

/// Why nothing cures a rule, held against every set of works.
#[test]
fn what_hinders_a_cure_is_so() {
    let rules: Vec<Rule> = shipped().all().to_vec();
    let kinds = [const { Cell::new(0) }; 5];
    try_law(2500, &tapes(220), |mut tape| {
        let judged = tape.one_of(&[EITHER[0], EITHER[1], Judged::Together]);
        let text = any_van_text(&mut tape, judged, 6);
        let van = van_of(&text);
        let parts = Parts::any(&mut tape, judged);
        let judge = Judge::new(&van, rules_on(&rules, judged), &van.packs);
        let finding = judge.finding(parts.case(&van.facts));
        if finding.kind() != VerdictKind::Rejected {
            return Ok(());
        }
        let hindrances = judge.hindrances(parts.case(&van.facts));
        let hindered: Vec<usize> = hindrances.iter().map(|(rule, _)| *rule).collect();
        let failing: Vec<usize> = finding.reasons().iter().map(|reason| reason.rule).collect();
        prop_assert_eq!(sorted(hindered), sorted(failing));
        let sets = all_sets(&van, &parts);
        let fails = |set: &[usize], rule: usize| -> bool {
            let only = [(rule, &rules[rule])];
            !serve(Aim::NothingFails, &only, &van, set, &parts)
        };
        for (rule, hindrance) in &hindrances {
            let cures: Vec<&Vec<usize>> = sets.iter().filter(|set| !fails(set, *rule)).collect();
            let places: Vec<usize> = judge.rules().iter().map(|(place, _)| *place).collect();
            let broken = |set: &[usize]| -> Vec<usize> {
                places.iter().copied().filter(|rule| fails(set, *rule) && !fails(&[], *rule)).collect()
            };
            let (kind, holds) = match hindrance {
                Hindrance::Untouched => (0, cures.is_empty()),
                Hindrance::Barred(barred) => (1, cures.is_empty() && !barred.is_empty()),
                Hindrance::TooLittle { with, .. } => {
                    (2, cures.is_empty() && (with.is_empty() || sets.contains(with)))
                }
                Hindrance::Breaks { with, then } => {
                    let with = with.works.to_vec();
                    let all_break = cures.iter().all(|cure| !broken(cure).is_empty());
                    (3, all_break && cures.contains(&&with) && !then.is_empty() && broken(&with) == *then)
                }
                Hindrance::NotWithTheRest { with } => {
                    let with = with.works.to_vec();
                    (4, cures.contains(&&with) && broken(&with).is_empty())
                }
            };
            add(&kinds[kind], true);
            let works = &text[text.find("[[work]]").unwrap_or(0)..];
            prop_assert!(holds, "{}: {:?}\n{}", rules[*rule].name, hindrance, works);
        }
        Ok(())
    });
    let told = kinds.map(|kind| kind.get());
    assert!(told.iter().all(|count| *count >= 5), "kinds of hindrance: {told:?}");
}

fn sorted(mut list: Vec<usize>) -> Vec<usize> {
    list.sort_unstable();
    list
}

/// Other cures serve, cost more, spare a drawback of each cheaper one, and hold nothing superfluous.
#[test]
fn alternatives_trade_cost_against_drawbacks() {
    let rules: Vec<Rule> = shipped().all().to_vec();
    let [cured, with_others] = [const { Cell::new(0) }; 2];
    try_law(1500, &tapes(220), |mut tape| {
        let judged = tape.one_of(&EITHER);
        let mut text = any_van_text(&mut tape, judged, 7);
        for at in 0..7 {
            let drawback = tape.one_of(&["noise", "wear", "torque again"]);
            let name = format!("name = 'work {at}'\n");
            text = text.replace(&name, &format!("{name}leaves = ['{drawback}']\n"));
        }
        let van = van_of(&text);
        let parts = Parts::any(&mut tape, judged);
        let rules = rules_on(&rules, judged);
        let judge = Judge::new(&van, rules.clone(), &van.packs);
        let finding = judge.finding(parts.case(&van.facts));
        let (VerdictKind::FitsWithWork, Some(chosen)) = (finding.kind(), finding.cure()) else {
            return Ok(());
        };
        let others = judge.alternatives(parts.case(&van.facts), chosen, Aim::Proven);
        add(&cured, true);
        add(&with_others, !others.is_empty());
        let cures: Vec<Vec<usize>> = all_sets(&van, &parts)
            .into_iter()
            .filter(|set| serve(Aim::Proven, &rules, &van, set, &parts))
            .collect();
        let drawbacks = |works: &[usize]| -> BTreeSet<String> {
            works.iter().flat_map(|work| &van.works[*work].leaves).map(ToString::to_string).collect()
        };
        let mut told = vec![chosen.clone()];
        for other in others {
            let works = other.works.to_vec();
            prop_assert!(cures.contains(&works), "{:?} serves", works);
            let smaller = cures
                .iter()
                .any(|cure| cure.len() < works.len() && cure.iter().all(|work| works.contains(work)));
            prop_assert!(!smaller, "{:?} holds nothing superfluous", works);
            for cheaper in &told {
                prop_assert!(other.cost > cheaper.cost);
                prop_assert!(!drawbacks(&cheaper.works).is_subset(&drawbacks(&works)));
            }
            told.push(other);
        }
        Ok(())
    });
    demand_share("cures with alternatives", with_others.get(), cured.get(), 3);
}

/// Whatever works make of a rule lies within what the bounds say it could come to.
#[test]
fn what_works_make_of_a_rule_lies_within_its_bounds() {
    let rules: Vec<Rule> = shipped().all().to_vec();
    let [tried, narrow] = [const { Cell::new(0) }; 2];
    try_law(300, &tapes(300), |mut tape| {
        let judged = tape.one_of(&[EITHER[0], EITHER[1], Judged::Together]);
        let van = van_of(&any_van_text(&mut tape, judged, 7));
        let parts = Parts::any(&mut tape, judged);
        let judge = Judge::new(&van, rules_on(&rules, judged), &van.packs);
        let before = judge.with_done(WorkSet::EMPTY, parts.case(&van.facts));
        let sets = all_sets(&van, &parts);
        let sure: WorkSet = if sets.is_empty() || tape.pick(2) == 0 {
            WorkSet::EMPTY
        } else {
            sets[tape.pick(sets.len())].iter().copied().collect()
        };
        let grown = sets.iter().map(|set| set.iter().copied().collect::<WorkSet>());
        let grown: Vec<WorkSet> = grown.filter(|set| sure.is_within(*set)).collect();
        let maybe = grown.iter().fold(WorkSet::EMPTY, |all, set| all.union(*set)).without(sure);
        let done = judge.with_done(sure, before.case());
        let bounds = Reachable::new(judge.bench(), before.case(), done.case(), sure, maybe);
        for (_, rule) in judge.rules() {
            let could = bounds.could(&rule.demand);
            add(&narrow, !(could.hold && could.fail));
            for set in &grown {
                let done = judge.with_done(*set, before.case());
                let is = truth(&rule.demand, done.case());
                let within = match is {
                    Truth::True => could.hold,
                    Truth::False => could.fail,
                    Truth::Unknown => could.be_unknown,
                };
                add(&tried, true);
                prop_assert!(within, "{}: {:?} beside {:?} with {:?}", rule.name, is, could, set.order());
            }
        }
        Ok(())
    });
    demand_share("bounds that tell something", narrow.get(), tried.get(), 1);
}

/// The facts of a spec for a failing case, by name.
fn known(spec: &Spec) -> BTreeMap<String, String> {
    spec.iter()
        .map(|(field, fact)| {
            let text = fact
                .value()
                .map_or_else(|| fact.why_unknown().unwrap_or_default(), |value| format!("{value:?}"));
            (field.full_name(), text)
        })
        .collect()
}

const BOTH: (VerdictKind, VerdictKind) = (VerdictKind::FitsWithWork, VerdictKind::FitsWithWork);

fn fitting_tire(stated: &[(Field, &str)]) -> Spec {
    let usual = [
        (Field::TireOverallDiameter, "733.37 mm"),
        (Field::TireSectionWidth, "240 mm"),
        (Field::TireLoadIndex, "121"),
        (Field::TireService, "C"),
        (Field::TireSpeedSymbol, "R"),
        (Field::TireSnowMark, "yes"),
    ];
    let missing = Arc::new(Fact::missing(None));
    let mut spec = Spec::new(PartKind::Tire, |_| Arc::clone(&missing));
    for (field, text) in usual.iter().chain(stated) {
        spec.put(*field, Fact::derived(value(*field, text)));
    }
    spec
}

/// The verdict on a tire that nearly suits the sample van, and the one that trying every set gives.
fn verdicts_with(works: &str, stated: &[(Field, &str)]) -> (VerdictKind, VerdictKind) {
    let base = van_text("orlbeck-l4");
    let van = van_of(&format!("{}{works}", &base[..base.find("[[work]]").expect("it has works")]));
    let rules: Vec<Rule> = shipped().all().to_vec();
    let (spec, rules) = (fitting_tire(stated), placed(&rules, PartKind::Tire));
    let kind = judge_spec(&spec, &van, &rules, None).kind();
    (kind, expected(&van, &Parts::of(spec), &rules).0)
}

/// The stock tire's diameter follows from the stock tire, so a dial that is coded for another size
/// cures `road-speed`, which reads the diameter alone.
#[test]
fn a_work_on_the_stock_tire_cures_what_reads_its_diameter() {
    let works = "[[work]]\nname = 'dial coded for 225/75R16C'\ncosts = '95.00'\nsets = { 'van.stock.tire' = '225/75R16C' }\n";
    assert_eq!(verdicts_with(works, &[]), BOTH);
}

/// A work may take its amount from a fact that another work changes; only both together serve.
#[test]
fn a_work_that_changes_the_amount_of_another_is_found() {
    let works = "[[work]]\nname = 'bigger carrier'\ncosts = '10'\nsets = { 'van.room.spare_diameter' = '820 mm' }\n\
                 [[work]]\nname = 'arches as wide as the carrier'\ncosts = '10'\nsets = { 'van.room.tire_diameter' = 'van.room.spare_diameter' }\n\
                 [[work]]\nname = 'dial'\ncosts = '10'\nraises = { 'van.room.road_speed' = '18 %' }\n";
    assert_eq!(verdicts_with(works, &[(Field::TireOverallDiameter, "31.7 in")]), BOTH);
}

/// How many sets the search tries on a tire for the sample van with other works, and what it finds.
fn effort(works: &str, stated: &[(Field, &str)]) -> (usize, Option<usize>) {
    let base = van_text("orlbeck-l4");
    let van = van_of(&format!("{}{works}", &base[..base.find("[[work]]").expect("it has works")]));
    let rules: Vec<Rule> = shipped().all().to_vec();
    let judge = Judge::new(&van, placed(&rules, PartKind::Tire), &van.packs);
    let parts = Parts::of(fitting_tire(stated));
    let case = judge.with_done(WorkSet::EMPTY, parts.case(&van.facts));
    let (case, allowed) = (case.case(), judge.bench().allowed(case.case()));
    let mut search = judge.search(case, Aim::Proven, allowed, |set| judge.unmet(set, case, Aim::Proven));
    let cure = search.next_within(usize::MAX);
    (search.tried(), cure.map(|cure| cure.works.len()))
}

/// A van's 24 works, each made from its number.
fn two_dozen(work: impl Fn(usize) -> (String, usize)) -> String {
    (0..24)
        .map(|at| {
            let (effects, costs) = work(at);
            format!("[[work]]\nname = 'work {at}'\ncosts = {costs}\n{effects}\n")
        })
        .collect()
}

const WIDE_TIRE: [(Field, &str); 2] =
    [(Field::TireOverallDiameter, "733.36 mm"), (Field::TireSectionWidth, "300 mm")];

/// What it is called, the works, what the tire states, and how many works cure it.
type Shape<'s> = (&'s str, String, &'s [(Field, &'s str)], Option<usize>);

/// Shapes of files on which trying set after set would take millions. A search over 24 works stays
/// instant as long as it tries few; what it finds is held against all sets by the laws above.
#[test]
fn two_dozen_works_need_few_tries() {
    let section = |mm: usize| format!("raises = {{ 'van.room.tire_section' = '{mm} mm' }}");
    let scattered = |at: usize| (at * 37 + 11) % 24;
    let heavy = [(Field::TireLoadIndex, "107"), (Field::TireOverallDiameter, "733.36 mm")];
    let lighter = |kg: usize| format!("shifts = {{ 'van.rear.axle_load' = '-{kg} kg' }}");
    let both_ways = |at: usize| {
        let (one, other) = (276 + at, 300 - at);
        format!(
            "raises = {{ 'van.room.tire_section' = '{one} mm', 'van.room.tire_diameter' = '{} mm' }}",
            other + 515
        )
    };
    let tall_and_wide = [(Field::TireOverallDiameter, "815 mm"), (Field::TireSectionWidth, "299 mm")];
    let dial = "[[work]]\nname = 'dial'\ncosts = 10\nraises = { 'van.room.road_speed' = '18 %' }\n";
    let shapes: [Shape<'_>; 13] = [
        ("none far enough", two_dozen(|at| (section(276 + at), 10)), &WIDE_TIRE, None),
        ("only the dearest far enough", two_dozen(|at| (section(277 + at), 10 + at)), &WIDE_TIRE, Some(1)),
        (
            "far enough in no order",
            two_dozen(|at| (section(277 + scattered(at)), 50 - at)),
            &WIDE_TIRE,
            Some(1),
        ),
        (
            "two limits, traded for one another",
            two_dozen(|at| (both_ways(at), 10 + scattered(at))) + dial,
            &tall_and_wide,
            Some(3),
        ),
        (
            "one limit that moves, one that does not",
            two_dozen(|at| (section(290 + at), 10)),
            &[
                (Field::TireSectionWidth, "300 mm"),
                (Field::TireSpeedSymbol, "Q"),
                (Field::TireSnowMark, "no"),
            ],
            None,
        ),
        ("many alike, most needed", two_dozen(|_| (lighter(30), 10)), &heavy, Some(16)),
        ("many alike, too few", two_dozen(|_| (lighter(15), 10)), &heavy, None),
        (
            "many unlike, some needed",
            two_dozen(|at| (lighter(20 + 3 * scattered(at)), 30 + scattered(at * 5))),
            &heavy,
            Some(6),
        ),
        ("each at its worth", two_dozen(|at| (lighter(31 + 2 * at), 31 + 2 * at)), &heavy, Some(8)),
        (
            "two shifted at once",
            two_dozen(|at| {
                let field = if at % 2 == 0 { "tire_section" } else { "tire_diameter" };
                (format!("shifts = {{ 'van.room.{field}' = '{} mm' }}", 3 + at / 4), 10 + scattered(at))
            }) + dial,
            &tall_and_wide,
            Some(10),
        ),
        (
            "each needs the one before",
            two_dozen(|at| {
                let before =
                    if at == 0 { String::new() } else { format!("\nrequires = ['work {}']", at - 1) };
                (section(277 + at) + &before, 10)
            }),
            &WIDE_TIRE,
            Some(24),
        ),
        (
            "each rules out the next",
            two_dozen(|at| (lighter(60) + &format!("\nexcludes = ['work {}']", (at + 1) % 24), 10 + at)),
            &heavy,
            Some(8),
        ),
        (
            "words that never fit",
            two_dozen(|at| {
                (
                    format!(
                        "sets = {{ 'tire.service' = '{}' }}",
                        if at % 2 == 0 { "trailer" } else { "flotation" }
                    ),
                    10,
                )
            }),
            &[(Field::TireService, "passenger"), (Field::TireOverallDiameter, "712 mm")],
            None,
        ),
    ];
    for (shape, works, stated, cured) in shapes {
        let (tried, found) = effort(&works, stated);
        assert_eq!(found, cured, "{shape}");
        assert!(tried <= 3000, "{shape}: {tried} sets were tried");
    }
}
