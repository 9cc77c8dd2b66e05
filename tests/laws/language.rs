//! The rule language against a second evaluator, and what a missing fact may do to a statement.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::sync::Arc;

use proptest::prop_assert_eq;
use rimsieve::facts::{Fact, Field, PartKind, Spec, State, Value};
use rimsieve::judge::Case;
use rimsieve::judge::eval::{self, figure, truth};
use rimsieve::judge::truth::Truth;
use rimsieve::rules::check::{Checked, Names, anything, statement};
use rimsieve::rules::parse::parse;
use rimsieve::rules::program::Test;
use rimsieve::van::VanFacts;

use crate::oracle::{Figure, Oracle, whole};
use crate::parts::{any_spec, any_value, any_van_facts, named};
use crate::tape::{Tape, demand_share, tapes, try_law};
use crate::trees::Maker;

const DEEPEST: usize = 4;

fn program(text: &str, kind: PartKind) -> Option<Test> {
    let tree = parse(text).unwrap_or_else(|why| panic!("{text}: {why}"));
    statement(&tree, &Names { on: kind.into(), given: &BTreeMap::new() }).ok()
}

fn any_kind(tape: &mut Tape) -> PartKind {
    tape.one_of(&PartKind::ALL)
}

fn any_case(tape: &mut Tape, kind: PartKind) -> (Spec, VanFacts, Option<Value>) {
    let as_of = (tape.pick(3) != 2).then(|| any_value(tape, Field::RunAsOf, 70));
    (any_spec(tape, kind), any_van_facts(tape), as_of)
}

#[test]
fn programs_agree_with_an_evaluator_that_shares_no_code_with_them() {
    let [tried, checked, compared, known, held] = [const { Cell::new(0) }; 5];
    let count = |counter: &Cell<u32>| counter.set(counter.get() + 1);
    try_law(2000, &tapes(400), |mut tape| {
        let kind = any_kind(&mut tape);
        let maker = Maker { on: kind.scope(), stand_ins: true };
        let text = maker.statement(&mut tape, DEEPEST).to_string();
        count(&tried);
        let Some(program) = program(&text, kind) else { return Ok(()) };
        count(&checked);
        // Four cases for each expression: it takes longer to make than to evaluate.
        for _ in 0..4 {
            let (spec, van, as_of) = any_case(&mut tape, kind);
            let names = named(&spec, &van, as_of.as_ref());
            let tree = parse(&text).expect("it was parsed before");
            let Ok(expected) = (Oracle { named: &names }).truth(&tree) else { continue };
            let found = match truth(&program, Case::of_part(&spec, &van, as_of.as_ref())) {
                Truth::True => Some(true),
                Truth::False => Some(false),
                Truth::Unknown => None,
            };
            prop_assert_eq!(found, expected, "{}\n{:#?}", text, names);
            count(&compared);
            if let Some(holds) = found {
                count(&known);
                held.set(held.get() + u32::from(holds));
            }
        }
        Ok(())
    });
    demand_share("expressions that check", checked.get(), tried.get(), 70);
    demand_share("cases within what is exact", compared.get(), 4 * checked.get(), 90);
    demand_share("statements that are known", known.get(), compared.get(), 20);
    demand_share("known statements that hold", held.get(), known.get(), 20);
    demand_share("known statements that do not", known.get() - held.get(), known.get(), 20);
}

/// Not only statements: every number to the last base unit, since a unit decides only at a limit.
#[test]
fn numbers_agree_to_the_base_unit() {
    let [tried, checked, compared, known] = [const { Cell::new(0) }; 4];
    try_law(2000, &tapes(400), |mut tape| {
        tried.set(tried.get() + 4);
        let kind = any_kind(&mut tape);
        let maker = Maker { on: kind.scope(), stand_ins: true };
        let dimension = maker.dimension(&mut tape);
        let text = maker.number(&mut tape, dimension, DEEPEST).to_string();
        let tree = parse(&text).unwrap_or_else(|why| panic!("{text}: {why}"));
        let names = Names { on: kind.into(), given: &BTreeMap::new() };
        let Ok(Checked::Number(program, _)) = anything(&tree, &names) else { return Ok(()) };
        for _ in 0..4 {
            checked.set(checked.get() + 1);
            let (spec, van, as_of) = any_case(&mut tape, kind);
            let names = named(&spec, &van, as_of.as_ref());
            let Ok(expected) = (Oracle { named: &names }).number(&tree) else { continue };
            let found = match figure(&program, Case::of_part(&spec, &van, as_of.as_ref())) {
                eval::Figure::Known(count) => Figure::Known(whole(count)),
                eval::Figure::Missing => Figure::Missing,
                eval::Figure::Unusable => Figure::Unusable,
            };
            prop_assert_eq!(found, expected, "{}\n{:#?}", text, names);
            compared.set(compared.get() + 1);
            known.set(known.get() + u32::from(matches!(found, Figure::Known(_))));
        }
        Ok(())
    });
    demand_share("expressions that check", checked.get(), tried.get(), 70);
    demand_share("cases within what is exact", compared.get(), checked.get(), 90);
    demand_share("numbers that are known", known.get(), compared.get(), 20);
}

/// What is true or false stays so, whatever a missing fact turns out to be: unknown is never taken
/// for either. Holds for statements without `else`; a value that stood in for an empty cell gives way
/// to the stated one, which may differ.
#[test]
fn what_is_known_does_not_change_when_a_missing_fact_is_filled_in() {
    let (settled, moved) = (Cell::new(0), Cell::new(0));
    try_law(1500, &tapes(400), |mut tape| {
        let kind = any_kind(&mut tape);
        let maker = Maker { on: kind.scope(), stand_ins: false };
        let text = maker.statement(&mut tape, DEEPEST).to_string();
        let Some(program) = program(&text, kind) else { return Ok(()) };
        let (mut spec, van, as_of) = any_case(&mut tape, kind);
        let before = truth(&program, Case::of_part(&spec, &van, as_of.as_ref()));
        let missing: Vec<Field> = program.reads().iter().filter(|field| is_missing(&spec, *field)).collect();
        for field in missing {
            spec.put(field, Fact::derived(any_value(&mut tape, field, 50)));
            let after = truth(&program, Case::of_part(&spec, &van, as_of.as_ref()));
            if before == Truth::Unknown {
                moved.set(moved.get() + u32::from(after != Truth::Unknown));
            } else {
                settled.set(settled.get() + 1);
                prop_assert_eq!(after, before, "{} with {}", text, field.full_name());
            }
        }
        Ok(())
    });
    assert!(settled.get() > 20, "only {} known statements read a missing fact", settled.get());
    assert!(moved.get() > 20, "only {} statements were settled by a filled fact", moved.get());
}

fn is_missing(spec: &Spec, field: Field) -> bool {
    spec.fact(field).map(Arc::as_ref).is_some_and(|fact| matches!(fact.state, State::Missing))
}
