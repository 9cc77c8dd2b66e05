//! What works do to facts.

use crate::document::{Fault, FileProblem};
use crate::facts::fact::{Fact, From, State};
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::{Spec, Subject};
use crate::facts::value::Value;
use crate::judge::bench::{Bench, WorkSet};
use crate::judge::case::{Case, Look};
use crate::judge::package::{self, PackageFacts, PassengerLoads};
use crate::rules::RuleSet;
use crate::van::work::{Amount, Change, Effect, Work};
use crate::van::{Van, VanFacts};

use std::borrow::Cow;

/// Facts of a part or a package and of a van, once works are done; what no work changes is borrowed.
#[derive(Clone, Debug)]
pub struct Done<'f> {
    /// The wheel's facts.
    pub wheel: Option<Cow<'f, Spec>>,
    /// The tire's facts.
    pub tire: Option<Cow<'f, Spec>>,
    /// What follows from wheel, tire and van together, where both parts are there.
    pub package: Option<PackageFacts>,
    /// The van's facts.
    pub van: Cow<'f, VanFacts>,
    as_of: Option<&'f Value>,
}

impl Done<'_> {
    /// What rules are evaluated on.
    #[must_use]
    pub fn case(&self) -> Case<'_> {
        Case {
            wheel: self.wheel.as_deref(),
            tire: self.tire.as_deref(),
            package: self.package.as_ref(),
            van: &self.van,
            as_of: self.as_of,
        }
    }
}

/// The facts of a case once works are done: sets first, then raises and lowers, then shifts.
#[must_use]
pub fn done<'f>(works: &[&Work], case: Case<'f>, passenger: PassengerLoads) -> Done<'f> {
    let mut facts = Done {
        wheel: case.wheel.map(Cow::Borrowed),
        tire: case.tire.map(Cow::Borrowed),
        package: None,
        van: Cow::Borrowed(case.van),
        as_of: case.as_of,
    };
    let effects = in_turn(works.iter().map(|work| ((), *work)));
    for (_, effect) in &effects {
        apply(effect, &mut facts);
    }
    if effects.iter().any(|(_, effect)| effect.field.scope() == Scope::Van) {
        facts.van.to_mut().follow();
    }
    if facts.wheel.is_some() && facts.tire.is_some() {
        facts.package = Some(package::derive(facts.case(), passenger));
    }
    facts
}

/// The effects of works in the order in which they apply, each with what its work goes by.
pub(super) fn in_turn<'w, K: Copy>(works: impl Iterator<Item = (K, &'w Work)>) -> Vec<(K, &'w Effect)> {
    let mut effects: Vec<(K, &Effect)> =
        works.flat_map(|(key, work)| work.effects.iter().map(move |effect| (key, effect))).collect();
    effects.sort_by_key(|(_, effect)| effect.change.turn());
    effects
}

fn apply(effect: &Effect, facts: &mut Done<'_>) {
    let known = |field: Field| match facts.case().look(field) {
        Look::Known(value) => Some(value.clone()),
        Look::Missing | Look::Unusable => None,
    };
    let amount = match &effect.amount {
        Amount::Fixed(value) => Some(value.clone()),
        Amount::Of(field) => known(*field),
    };
    let after = amount.and_then(|amount| changed(effect.change, known(effect.field).as_ref(), &amount));
    let Some(after) = after else { return };
    let spec = match effect.field.scope() {
        Scope::Van => return facts.van.to_mut().put(effect.field, after),
        Scope::Wheel => &mut facts.wheel,
        Scope::Tire => &mut facts.tire,
        Scope::Package | Scope::Run => return,
    };
    if let Some(spec) = spec
        && let Some(fact) = spec.fact(effect.field)
        // Nothing a shop does settles what a sheet contradicts.
        && !matches!(fact.state, State::Contradicted(_))
    {
        let fact = Fact { text: "".into(), from: From::Derived, ..fact.with_state(State::Known(after)) };
        spec.to_mut().put(effect.field, fact);
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

/// The works of a set, in file order.
pub fn works_of(van: &Van, set: WorkSet) -> Vec<&Work> {
    set.iter().filter_map(|work| van.works.get(work)).collect()
}

/// Whether a work changes something that these facts rest on, itself or by what follows from it.
#[must_use]
pub fn touches(work: &Work, facts: FieldSet) -> bool {
    work.touches.meets(with_what_they_follow_from(facts))
}

/// A problem for every work of a van that can never help: that changes nothing that a rule in force
/// for the van rests on, and that no work that does requires.
#[must_use]
pub fn never_helping(van: &Van, rules: &RuleSet) -> Vec<FileProblem> {
    let in_force = rules
        .all()
        .iter()
        .filter(|rule| Subject::ALL.iter().any(|on| rules.is_in_force(rule, *on, &van.packs)));
    let read = in_force.fold(FieldSet::EMPTY, |all, rule| all.union(rule.reads));
    let reach = reach(&van.works, read);
    let bench = Bench::new(van);
    let helping = (0..van.works.len()).filter(|work| van.works[*work].touches.meets(reach));
    let needed = helping.fold(WorkSet::EMPTY, |all, work| all.union(bench.whole(work)));
    let idle = van.works.iter().enumerate().filter(|(at, _)| !needed.contains(*at));
    idle.map(|(_, work)| {
        let fault = Fault::NeverHelps { van: van.id.to_string() };
        FileProblem::new(work.source.clone(), work.span, fault)
    })
    .collect()
}

/// Everything that a change could reach these facts by: themselves, those that they follow from,
/// and those that works on any of them take their amounts from.
#[must_use]
pub fn reach(works: &[Work], facts: FieldSet) -> FieldSet {
    let mut reach = with_what_they_follow_from(facts);
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

/// Facts with those that they are worked out from: a package's ([`package::follows_from`]) and a
/// van's ([`VanFacts::follow`]).
pub(super) fn with_what_they_follow_from(facts: FieldSet) -> FieldSet {
    let package = facts.intersection(FieldSet::of_scope(Scope::Package));
    let mut facts = package.iter().fold(facts, |all, field| all.union(package::follows_from(field)));
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
