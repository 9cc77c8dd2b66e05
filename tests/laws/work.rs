//! The search for work against trying every set of works.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::Arc;

use proptest::prop_assert_eq;
use rimsieve::facts::{Contradiction, Fact, Field, PartKind, RemarkKind, Scope, Spec, State, Value};
use rimsieve::judge::case::Look;
use rimsieve::judge::eval::{outcome, truth};
use rimsieve::judge::truth::Truth;
use rimsieve::judge::{Case, PlacedRule, VerdictKind};
use rimsieve::rules::{OnFailing, OnUnknown, Outcome, Rule};
use rimsieve::van::work::{Amount, Change, Effect};
use rimsieve::van::{Van, VanFacts};
use rust_decimal::Decimal;

use crate::parts::{any_value, judge_spec, placed, sample_vans, shipped, value, van_of, van_text};
use crate::tape::{Tape, demand_share, tapes, try_law};

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

/// The text of a van with up to five works; money is drawn so that sums often tie.
fn any_van_text(tape: &mut Tape, kind: PartKind) -> String {
    let base = van_text("orlbeck-l4");
    let mut text = base[..base.find("[[work]]").expect("it has works")].to_owned();
    let works = 5 - tape.pick(3);
    let names: Vec<String> = (0..works).map(|work| format!("work {work}")).collect();
    let (changes, asked): (&[_], &[_]) = match kind {
        PartKind::Wheel => (&OF_WHEELS, &ASKED_OF_WHEELS),
        PartKind::Tire => (&OF_TIRES, &ASKED_OF_TIRES),
    };
    // Neighbors on the list, so that works help and hinder one another.
    let first = tape.pick(changes.len());
    for name in &names {
        let costs = tape.one_of(&["10.00", "0", "20", "20.01", "30.00", "0.10", "0.20", "0.30"]);
        let mut tables: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
        for _ in 0..1 + tape.pick(2) {
            let (change, fact, value) = changes[(first + tape.pick(7)) % changes.len()];
            tables.entry(change).or_default().insert(fact, value);
        }
        writeln!(text, "[[work]]\nname = '{name}'\ncosts = '{costs}'").expect("memory takes it");
        for (change, facts) in tables {
            let facts: Vec<String> =
                facts.iter().map(|(fact, value)| format!("'{fact}' = {value}")).collect();
            writeln!(text, "{change} = {{ {} }}", facts.join(", ")).expect("memory takes it");
        }
        if tape.pick(4) == 3 {
            writeln!(text, "asks = \"{}\"", tape.one_of(asked)).expect("memory takes it");
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
fn nearly_fitting(tape: &mut Tape, kind: PartKind) -> Spec {
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
    for _ in 0..1 + tape.pick(2) {
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

/// Facts with works done, as the contract says: sets, then raises and lowers, then shifts. Nothing
/// settles what a sheet contradicts, and what does not exist is neither raised, lowered nor shifted.
fn with_works(van: &Van, works: &[usize], spec: &Spec) -> (Spec, VanFacts) {
    let (mut spec, mut facts) = (spec.clone(), van.facts.clone());
    let effects: Vec<&Effect> = works.iter().flat_map(|work| &van.works[*work].effects).collect();
    let turns: [&[Change]; 3] = [&[Change::Set], &[Change::Raise, Change::Lower], &[Change::Shift]];
    for turn in turns {
        for effect in effects.iter().filter(|effect| turn.contains(&effect.change)) {
            let look = |field: Field| match (Case::of_part(&spec, &facts, None)).look(field) {
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
            } else if let Some(fact) = spec.fact(effect.field)
                && !matches!(fact.state, State::Contradicted(_))
            {
                let fact = fact.with_state(State::Known(after));
                spec.put(effect.field, fact);
            }
        }
    }
    facts.follow();
    (spec, facts)
}

/// What a cure must reach.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Aim {
    /// Every rule passes and nothing is unknown.
    Proven,
    /// Nothing fails.
    NothingFails,
}

fn serves(aim: Aim, rules: &[PlacedRule<'_>], spec: &Spec, van: &VanFacts) -> bool {
    rules.iter().all(|(_, rule)| match outcome(rule, Case::of_part(spec, van, None)) {
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

/// The cheapest set of works that serves, by trying all of them.
fn cheapest_of_all(
    van: &Van,
    spec: &Spec,
    rules: &[PlacedRule<'_>],
    aim: Aim,
) -> Option<(Decimal, Vec<usize>)> {
    let before = Case::of_part(spec, &van.facts, None);
    let allowed: Vec<bool> = van
        .works
        .iter()
        .map(|work| {
            work.asks.as_ref().is_none_or(|asks| {
                let asked = if spec.kind() == PartKind::Wheel { &asks.of_wheel } else { &asks.of_tire };
                asked.as_ref().is_some_and(|test| truth(test, before) == Truth::True)
            })
        })
        .collect();
    let sets = (1_usize..1 << van.works.len())
        .map(|bits| (0..van.works.len()).filter(|work| bits >> work & 1 == 1).collect::<Vec<usize>>());
    sets.filter(|set| {
        set.iter().all(|work| allowed[*work])
            && set.iter().all(|work| van.works[*work].requires.iter().all(|other| set.contains(other)))
            && set.iter().all(|one| set.iter().all(|other| one >= other || !clash(van, *one, *other)))
    })
    .filter(|set| {
        let (spec, facts) = with_works(van, set, spec);
        serves(aim, rules, &spec, &facts)
    })
    .map(|set| (set.iter().map(|work| van.works[*work].costs).sum::<Decimal>(), set))
    .min_by_key(|(cost, set)| (*cost, set.len(), set.clone()))
}

/// The verdict and the cure that the contract asks for.
fn expected(
    van: &Van,
    spec: &Spec,
    rules: &[PlacedRule<'_>],
) -> (VerdictKind, Option<(Decimal, Vec<usize>)>) {
    let doubted = spec.iter().any(|(_, fact)| matches!(fact.state, State::Contradicted(_)));
    let fails = !serves(Aim::NothingFails, rules, spec, &van.facts);
    if !doubted && serves(Aim::Proven, rules, spec, &van.facts) {
        return (VerdictKind::Fits, None);
    }
    let proven = if doubted { None } else { cheapest_of_all(van, spec, rules, Aim::Proven) };
    if proven.is_some() {
        return (VerdictKind::FitsWithWork, proven);
    }
    if !fails {
        return (VerdictKind::Unproven, None);
    }
    match cheapest_of_all(van, spec, rules, Aim::NothingFails) {
        None => (VerdictKind::Rejected, None),
        mended => (VerdictKind::Unproven, mended),
    }
}

#[test]
fn the_search_finds_the_same_cure_as_trying_every_set() {
    let rules: Vec<Rule> = shipped().all().to_vec();
    let [tried, cured, together, mended] = [const { Cell::new(0) }; 4];
    try_law(4000, &tapes(120), |mut tape| {
        let kind = tape.one_of(&PartKind::ALL);
        let text = any_van_text(&mut tape, kind);
        let van = van_of(&text);
        let spec = nearly_fitting(&mut tape, kind);
        let rules = placed(&rules, kind);
        let finding = judge_spec(&spec, &van, &rules, None);
        let found = (finding.kind(), finding.cure().map(|cure| (cure.cost, cure.works.to_vec())));
        let expected = expected(&van, &spec, &rules);
        tried.set(tried.get() + 1);
        if let (kind, Some((_, works))) = &expected {
            let counter = if *kind == VerdictKind::Unproven { &mended } else { &cured };
            counter.set(counter.get() + 1);
            together.set(together.get() + u32::from(works.len() > 1));
        }
        let works = &text[text.find("[[work]]").unwrap_or(0)..];
        prop_assert_eq!(found, expected, "{}\n{:#?}", works, known(&spec));
        Ok(())
    });
    demand_share("parts that work makes fit", cured.get(), tried.get(), 10);
    demand_share("cures of several works", together.get(), tried.get(), 1);
    assert!(mended.get() >= 10, "only {} parts stay unproven with their failures mended", mended.get());
}

/// The sample vans' own works, on parts with several faults at once.
#[test]
fn it_does_on_the_sample_vans() {
    let rules: Vec<Rule> = shipped().all().to_vec();
    let vans = sample_vans();
    let cured = Cell::new(0);
    try_law(300, &tapes(120), |mut tape| {
        let kind = tape.one_of(&PartKind::ALL);
        let van = &vans[tape.pick(vans.len())];
        let spec = nearly_fitting(&mut tape, kind);
        let rules = placed(&rules, kind);
        let finding = judge_spec(&spec, van, &rules, None);
        let found = (finding.kind(), finding.cure().map(|cure| (cure.cost, cure.works.to_vec())));
        let expected = expected(van, &spec, &rules);
        cured.set(cured.get() + u32::from(expected.1.is_some()));
        prop_assert_eq!(found, expected, "{}\n{:#?}", van.id, known(&spec));
        Ok(())
    });
    assert!(cured.get() >= 20, "only {} parts were cured", cured.get());
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
    (judge_spec(&spec, &van, &rules, None).kind(), expected(&van, &spec, &rules).0)
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
