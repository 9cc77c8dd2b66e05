//! What a filled-in fact and a further rule may do to a verdict.

use std::cell::Cell;
use std::sync::Arc;

use proptest::{prop_assert, prop_assert_eq};
use rimsieve::document::Source;
use rimsieve::document::literal;
use rimsieve::facts::catalog::Catalog;
use rimsieve::facts::{Fact, Field, Part, PartKind, Spec, State, Value};
use rimsieve::judge::{Judgement, VerdictKind, judge};
use rimsieve::rules::{OnUnknown, Rule, RuleSet, read_rules};
use rimsieve::van::Van;

use crate::parts::{any_spec, any_value, judge_spec, placed, sample_vans, shipped, value};
use crate::tape::{Tape, demand_share, tapes, try_law};
use crate::trees::Maker;

/// The shipped rules of every pack whose unknown keeps a part unproven.
fn strict_rules() -> Vec<Rule> {
    shipped().all().iter().filter(|rule| rule.unknown == OnUnknown::Unproven).cloned().collect()
}

fn vans_without_work() -> Vec<Van> {
    let mut vans = sample_vans();
    vans.iter_mut().for_each(|van| van.works.clear());
    vans
}

fn date() -> Value {
    literal::read(Field::RunAsOf.kind(), "2026-11-25").expect("a date")
}

fn is_missing(spec: &Spec, field: Field) -> bool {
    spec.fact(field).is_some_and(|fact| matches!(fact.state, State::Missing))
}

/// Fills in one missing fact, unless some other value stood in for it.
fn filled(tape: &mut Tape, spec: &Spec, stood_in: impl Fn(&Spec, Field) -> bool) -> Option<(Field, Spec)> {
    let missing: Vec<Field> = spec
        .iter()
        .map(|(field, _)| field)
        .filter(|field| is_missing(spec, *field) && !stood_in(spec, *field))
        .collect();
    if missing.is_empty() {
        return None;
    }
    let field = tape.one_of(&missing);
    let mut spec = spec.clone();
    spec.put(field, Fact::derived(any_value(tape, field, 50)));
    Some((field, spec))
}

/// The facts that rules use in place of an empty cell with `else`.
fn stands_in_by_rule(spec: &Spec, field: Field) -> bool {
    let other = match field {
        Field::TireLoadIndex => Field::TireLoadSingle,
        Field::TireLoadIndexDual => Field::TireLoadDual,
        Field::TireLoadRange => Field::TirePlyRating,
        _ => return false,
    };
    !is_missing(spec, other)
}

/// The facts that follow from others where their own cell is empty, and those the service of a size
/// is told by.
fn stands_in_by_derivation(spec: &Spec, field: Field) -> bool {
    match field {
        Field::WheelOffset => !is_missing(spec, Field::WheelBackspacing),
        Field::TireSectionWidth
        | Field::TireAspect
        | Field::TireConstruction
        | Field::TireRimDiameter
        | Field::TireOverallDiameter
        | Field::TireService => !is_missing(spec, Field::TireSize),
        Field::TireLoadIndexDual | Field::TireLoadRange | Field::TirePlyRating => {
            !is_missing(spec, Field::TireSize) && is_missing(spec, Field::TireService)
        }
        _ => false,
    }
}

/// Filling in what a sheet does not say never turns a part that fits into one that is rejected, nor
/// the other way round: every verdict but `unproven` rests on what is known.
///
/// Two things are left out. A value that stands in for an empty cell (`else` in rules: a printed load
/// for a load index, a ply rating for a load range) is a known value, not a missing one; when the
/// stated value comes, it may say something else. And rules whose unknown is only a caution
/// (`bolt-hole`, `beadlock`) let a part fit that lacks their fact: see
/// [`only_a_rule_whose_unknown_is_a_caution_can_turn_a_fit_into_a_rejection`].
#[test]
fn filling_in_a_missing_fact_never_flips_fits_and_rejected() {
    let (rules, vans, date) = (strict_rules(), vans_without_work(), date());
    let [tried, fitted, rejected, settled] = [const { Cell::new(0) }; 4];
    try_law(2500, &tapes(220), |mut tape| {
        let kind = tape.one_of(&PartKind::ALL);
        let rules = placed(&rules, kind);
        let spec = any_spec(&mut tape, kind);
        let van = &vans[tape.pick(vans.len())];
        let Some((field, after)) = filled(&mut tape, &spec, stands_in_by_rule) else { return Ok(()) };
        tried.set(tried.get() + 1);
        let judged = |spec: &Spec| judge_spec(spec, van, &rules, Some(&date)).kind();
        let (before, after) = (judged(&spec), judged(&after));
        match before {
            VerdictKind::Unproven => settled.set(settled.get() + u32::from(after != before)),
            VerdictKind::Fits => fitted.set(fitted.get() + 1),
            VerdictKind::Rejected => rejected.set(rejected.get() + 1),
            VerdictKind::FitsWithWork => {}
        }
        // Stronger than the law: what is settled stays as it is.
        prop_assert!(
            before == VerdictKind::Unproven || after == before,
            "{}: {:?} to {:?}",
            field.full_name(),
            before,
            after
        );
        Ok(())
    });
    assert!(fitted.get() >= 50, "only {} parts fitted", fitted.get());
    assert!(settled.get() >= 20, "only {} parts were settled by a fact", settled.get());
    demand_share("rejected parts", rejected.get(), tried.get(), 20);
}

fn whole_path<'s>(spec: &Spec, van: &Van, rules: &[Rule]) -> Judgement<'s> {
    let part = Part {
        kind: spec.kind(),
        supplier: "",
        sku: "",
        name: "",
        price: "",
        amount: None,
        link: "",
        image: "",
        sheet: 0,
        tab: 0,
        row: 1,
        spec: 0,
    };
    let catalog = Catalog { sheets: Vec::new(), parts: vec![part], specs: vec![spec.clone()] };
    let mut set = RuleSet::default();
    set.add(rules.to_vec());
    let packs = ["us-road", "unece-road", "winter"].map(str::to_owned).into();
    judge(catalog, set, vec![van.clone()], packs, Some(date()))
}

/// The same law with sense checks and derivations. A filled fact may contradict another one, so that
/// a settled part becomes unproven; but never flips. Left out besides: facts that follow from others
/// (an offset from back spacing, what a size designation tells), since these stood in.
#[test]
fn nor_does_it_with_sense_checks_and_facts_that_follow_from_others() {
    let (rules, vans) = (strict_rules(), vans_without_work());
    let [fitted, rejected, doubted] = [const { Cell::new(0) }; 3];
    try_law(1500, &tapes(220), |mut tape| {
        let kind = tape.one_of(&PartKind::ALL);
        let spec = any_spec(&mut tape, kind);
        let van = &vans[tape.pick(vans.len())];
        let stood_in = |spec: &Spec, field: Field| {
            stands_in_by_rule(spec, field) || stands_in_by_derivation(spec, field)
        };
        let Some((field, after)) = filled(&mut tape, &spec, stood_in) else { return Ok(()) };
        let judged = |spec: &Spec| {
            let judgement = whole_path(spec, van, &rules);
            let finding = judgement.finding(0, &judgement.catalog.parts[0]).map(Arc::clone);
            finding.expect("it was judged").kind()
        };
        let (before, after) = (judged(&spec), judged(&after));
        match before {
            VerdictKind::Fits => fitted.set(fitted.get() + 1),
            VerdictKind::Rejected => rejected.set(rejected.get() + 1),
            VerdictKind::FitsWithWork | VerdictKind::Unproven => return Ok(()),
        }
        doubted.set(doubted.get() + u32::from(after == VerdictKind::Unproven));
        prop_assert!(
            after == before || after == VerdictKind::Unproven,
            "{}: {:?} to {:?}",
            field.full_name(),
            before,
            after
        );
        Ok(())
    });
    assert!(fitted.get() >= 10, "only {} parts fitted", fitted.get());
    assert!(rejected.get() >= 100, "only {} parts were rejected", rejected.get());
    assert!(doubted.get() >= 5, "only {} settled parts came to be doubted", doubted.get());
}

/// Why the law leaves such rules out: without its bolt hole a wheel fits with a caution, and with a
/// hole that is too small it does not.
#[test]
fn only_a_rule_whose_unknown_is_a_caution_can_turn_a_fit_into_a_rejection() {
    let rules = shipped();
    let rules = placed(rules.all(), PartKind::Wheel);
    let van = &vans_without_work()[0];
    let stated = [
        (Field::WheelBoltPatterns, "6x130"),
        (Field::WheelCenterBore, "84.1 mm"),
        (Field::WheelLoadRating, "1300 kg"),
        (Field::WheelOffset, "45 mm"),
        (Field::WheelRimDiameter, "17 in"),
        (Field::WheelRimWidth, "8 in"),
        (Field::WheelSeat, "ball R14"),
    ];
    let missing = Arc::new(Fact::missing(None));
    let mut spec = Spec::new(PartKind::Wheel, |_| Arc::clone(&missing));
    for (field, text) in stated {
        spec.put(field, Fact::derived(value(field, text)));
    }
    let fits = judge_spec(&spec, van, &rules, None);
    assert_eq!(fits.kind(), VerdictKind::Fits);
    assert!(fits.cautions.iter().any(|caution| &*caution.rule == "bolt-hole"));
    for (field, text) in [(Field::WheelBoltHole, "13 mm"), (Field::WheelBeadlock, "yes")] {
        let mut filled = spec.clone();
        filled.put(field, Fact::derived(value(field, text)));
        assert_eq!(judge_spec(&filled, van, &rules, None).kind(), VerdictKind::Rejected, "{text}");
    }
}

/// A rule of a made-up demand that rejects.
fn any_rule(tape: &mut Tape, kind: PartKind) -> Option<Rule> {
    let demand = Maker { on: kind.scope(), stand_ins: true }.statement(tape, 2);
    let unknown = tape.one_of(&["unproven", "caution"]);
    let text = format!(
        "[[rule]]\nname = 'made-up'\non = '{}'\ndemand = '''{demand}'''\nfailing = 'reject'\nunknown = '{unknown}'\n\
         says = 'x'\nbasis = 'none'\n",
        kind.name()
    );
    let (mut rules, problems) = read_rules(&Source::new("made-up.toml", text));
    if problems.is_empty() { rules.pop() } else { None }
}

/// A further rule that rejects where it fails can only take away: no verdict improves, with the work
/// of the sample vans or without. Verdicts from best to worst: fits, fits with work, unproven, rejected.
#[test]
fn a_further_rule_never_improves_a_verdict() {
    let (shipped, vans) = (shipped(), sample_vans());
    let [tried, stayed, worsened, held] = [const { Cell::new(0) }; 4];
    try_law(1200, &tapes(260), |mut tape| {
        let kind = tape.one_of(&PartKind::ALL);
        let all: Vec<Rule> = shipped
            .all()
            .iter()
            .filter(|rule| rule.on == kind.into() && !rule.is_sense_check())
            .cloned()
            .collect();
        // Some of the shipped rules, so that parts of all verdicts come about.
        let mut rules: Vec<Rule> = all.iter().filter(|_| !tape.in_hundred(35)).cloned().collect();
        let spec = any_spec(&mut tape, kind);
        let van = &vans[tape.pick(vans.len())];
        let further = if tape.pick(3) == 0 {
            any_rule(&mut tape, kind)
        } else {
            Some(all[tape.pick(all.len())].clone())
        };
        let Some(further) = further.filter(|further| !rules.iter().any(|rule| rule.name == further.name))
        else {
            return Ok(());
        };
        tried.set(tried.get() + 1);
        let before = judge_spec(&spec, van, &placed(&rules, kind), None).kind();
        let place = tape.pick(rules.len() + 1);
        rules.insert(place, further.clone());
        let after = judge_spec(&spec, van, &placed(&rules, kind), None).kind();
        if matches!(before, VerdictKind::Unproven | VerdictKind::Rejected) {
            held.set(held.get() + 1);
            prop_assert!(
                !matches!(after, VerdictKind::Fits | VerdictKind::FitsWithWork),
                "{}: {:?} to {:?}",
                further.demand_text,
                before,
                after
            );
        }
        prop_assert_eq!(before.max(after), after, "{}", further.demand_text);
        let counter = if after == before { &stayed } else { &worsened };
        counter.set(counter.get() + 1);
        Ok(())
    });
    demand_share("rules that worsen a verdict", worsened.get(), tried.get(), 3);
    demand_share("parts rejected or unproven before", held.get(), tried.get(), 30);
    demand_share("rules that change nothing", stayed.get(), tried.get(), 10);
}
