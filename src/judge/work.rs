//! Works on facts, and the search for the cheapest set of them that makes a part fit.
//!
//! The search is exact. It grows sets work by work: while a rule stands in the way, any cure must
//! hold a work that touches what the rule reads, and a work's requirements; nothing else is tried.
//! Sets are taken by cost, then by number of works, then by file order, so the first that serves is
//! the one the contract asks for, and none of its works is superfluous.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use rust_decimal::Decimal;

use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::{PartKind, Spec};
use crate::facts::value::Value;
use crate::judge::case::{Case, Look};
use crate::judge::eval::truth;
use crate::judge::finding::{Cure, NonEmpty};
use crate::judge::truth::Truth;
use crate::van::work::{Amount, Change, Effect, Work};
use crate::van::{Van, VanFacts};

/// Which works may be done on a part at all: what each asks is judged on the facts before any work,
/// and unknown is not allowed.
#[must_use]
pub fn allowed(van: &Van, case: Case<'_>) -> Vec<bool> {
    van.works
        .iter()
        .map(|work| {
            work.asks.as_ref().is_none_or(|asks| {
                let test = match case.spec.kind() {
                    PartKind::Wheel => asks.of_wheel.as_ref(),
                    PartKind::Tire => asks.of_tire.as_ref(),
                };
                test.is_some_and(|test| truth(test, case) == Truth::True)
            })
        })
        .collect()
}

/// The facts of a part and a van once works are done: sets first, then raises and lowers, then shifts.
#[must_use]
pub fn done(works: &[&Work], spec: &Spec, van: &VanFacts) -> (Spec, VanFacts) {
    let (mut spec, mut van) = (spec.clone(), van.clone());
    let mut effects: Vec<&Effect> = works.iter().flat_map(|work| &work.effects).collect();
    effects.sort_by_key(|effect| effect.change.turn());
    for effect in effects {
        apply(effect, &mut spec, &mut van);
    }
    van.follow();
    (spec, van)
}

fn apply(effect: &Effect, spec: &mut Spec, van: &mut VanFacts) {
    let case = Case { spec, van, as_of: None };
    let amount = match &effect.amount {
        Amount::Fixed(value) => Some(value.clone()),
        Amount::Of(field) => match case.look(*field) {
            Look::Known(value) => Some(value.clone()),
            Look::Missing | Look::Unusable => None,
        },
    };
    let before = match case.look(effect.field) {
        Look::Known(value) => Some(value.clone()),
        Look::Missing | Look::Unusable => None,
    };
    let Some(after) = amount.and_then(|amount| changed(effect.change, before.as_ref(), &amount)) else {
        return;
    };
    if effect.field.scope() == Scope::Van {
        van.put(effect.field, after);
    } else if let Some(fact) = spec.fact(effect.field) {
        // Nothing a shop does settles what a sheet contradicts.
        if matches!(fact.state, State::Contradicted(_)) {
            return;
        }
        let fact = crate::facts::fact::Fact { text: "".into(), ..fact.with_state(State::Known(after)) };
        spec.put(effect.field, fact);
    }
}

fn changed(change: Change, before: Option<&Value>, amount: &Value) -> Option<Value> {
    if change == Change::Set {
        return Some(amount.clone());
    }
    let (before, amount) = (before?.number()?, amount.number()?);
    Some(Value::Number(match change {
        Change::Raise => before.max(amount),
        Change::Lower => before.min(amount),
        Change::Shift => before + amount,
        Change::Set => amount,
    }))
}

/// Whether two works can never be done together: one excludes the other, both set one fact
/// differently, or both shift the same fact of the wheel or tire.
fn clash(works: &[Work], one: usize, other: usize) -> bool {
    let (Some(first), Some(second)) = (works.get(one), works.get(other)) else {
        return true;
    };
    if first.excludes.contains(&other) || second.excludes.contains(&one) {
        return true;
    }
    first.effects.iter().any(|a| {
        second.effects.iter().any(|b| {
            a.field == b.field
                && match (a.change, b.change) {
                    (Change::Set, Change::Set) => a.amount != b.amount,
                    (Change::Shift, Change::Shift) => a.field.scope() != Scope::Van,
                    _ => false,
                }
        })
    })
}

/// What stands in the way once some works are done: the read set of each rule in the way.
pub type InTheWay = Vec<FieldSet>;

/// The cheapest set of allowed works after which nothing stands in the way; none where there is none.
///
/// `in_the_way` judges the facts that it is given.
pub fn cheapest(
    van: &Van,
    allowed: &[bool],
    spec: &Spec,
    in_the_way: &dyn Fn(&Spec, &VanFacts) -> InTheWay,
) -> Option<Cure> {
    type Sets = BinaryHeap<Reverse<(Decimal, usize, Vec<usize>)>>;
    let works = &van.works;
    let mut waiting: Sets = BinaryHeap::new();
    let mut seen: BTreeSet<Vec<usize>> = BTreeSet::new();
    waiting.push(Reverse((Decimal::ZERO, 0, Vec::new())));
    while let Some(Reverse((cost, _, set))) = waiting.pop() {
        let chosen: Vec<&Work> = set.iter().filter_map(|work| works.get(*work)).collect();
        let lacking = chosen.iter().flat_map(|work| &work.requires).find(|work| !set.contains(work));
        let next: Vec<usize> = if let Some(required) = lacking {
            vec![*required]
        } else {
            let (spec_done, van_done) = done(&chosen, spec, &van.facts);
            let obstacles = in_the_way(&spec_done, &van_done);
            let Some(obstacle) = obstacles.first() else {
                return NonEmpty::new(set).map(|works| Cure { works, cost });
            };
            // Every obstacle must be touched by some work; if one never is, no set serves.
            let touching = |obstacle: &FieldSet| -> Vec<usize> {
                let reach = reach(works, *obstacle);
                (0..works.len()).filter(|work| works[*work].touches.meets(reach)).collect()
            };
            if obstacles.iter().any(|obstacle| touching(obstacle).is_empty()) {
                continue;
            }
            touching(obstacle)
        };
        for work in next {
            let usable = allowed.get(work).copied().unwrap_or(false);
            if !usable || set.contains(&work) || set.iter().any(|other| clash(works, *other, work)) {
                continue;
            }
            let mut grown = set.clone();
            grown.push(work);
            grown.sort_unstable();
            if seen.insert(grown.clone()) {
                waiting.push(Reverse((cost + works[work].costs, grown.len(), grown)));
            }
        }
    }
    None
}

/// Whether a work changes something that these facts rest on, itself or by what follows from it.
#[must_use]
pub fn touches(work: &Work, facts: FieldSet) -> bool {
    work.touches.meets(with_what_they_follow_from(facts))
}

/// Everything that a change could reach an obstacle by: the facts it reads, those that they follow
/// from, and those that works on any of them take their amounts from.
fn reach(works: &[Work], obstacle: FieldSet) -> FieldSet {
    let mut reach = with_what_they_follow_from(obstacle);
    loop {
        let mut wider = reach;
        for effect in
            works.iter().flat_map(|work| &work.effects).filter(|effect| reach.contains(effect.field))
        {
            if let Amount::Of(field) = effect.amount {
                wider.insert(field);
            }
        }
        wider = with_what_they_follow_from(wider);
        if wider == reach {
            return reach;
        }
        reach = wider;
    }
}

/// A van's facts with those that it works out from others ([`VanFacts::follow`]).
fn with_what_they_follow_from(mut facts: FieldSet) -> FieldSet {
    if facts.contains(Field::VanCornerLoad) {
        let axles =
            [Field::VanFrontAxleLoad, Field::VanFrontWheels, Field::VanRearAxleLoad, Field::VanRearWheels];
        facts = facts.union(axles.into_iter().collect());
    }
    if facts.contains(Field::VanStockTireDiameter) {
        facts.insert(Field::VanStockTire);
    }
    facts
}
