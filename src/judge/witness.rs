//! Running the witnesses that rules carry: does each rule do what its author says?

use std::sync::Arc;

use crate::document::{Fault, FileProblem};
use crate::facts::fact::Fact;
use crate::facts::field::Scope;
use crate::facts::part::{PartKind, Spec, Subject};
use crate::judge::case::Case;
use crate::judge::derive::derive;
use crate::judge::eval::{Figure, outcome};
use crate::judge::package::{self, PassengerLoads};
use crate::rules::{Outcome, Rule, Witness};
use crate::van::VanFacts;

/// What a rule gives on one of its witnesses.
#[must_use]
pub fn given(rule: &Rule, witness: &Witness) -> Outcome {
    let missing = Arc::new(Fact::missing(None));
    let [mut wheel, mut tire] = PartKind::ALL.map(|kind| Spec::new(kind, |_| Arc::clone(&missing)));
    let mut van = VanFacts::default();
    let mut as_of = None;
    for (field, value) in &witness.facts {
        match field.scope() {
            Scope::Wheel => wheel.put(*field, Fact::derived(value.clone())),
            Scope::Tire => tire.put(*field, Fact::derived(value.clone())),
            Scope::Van => van.put(*field, value.clone()),
            Scope::Run => as_of = Some(value.clone()),
            Scope::Package => {}
        }
    }
    van.follow();
    // Sense checks look at what is stated, all other rules at what follows from it as well.
    if !rule.is_sense_check() {
        derive(&mut wheel);
        derive(&mut tire);
    }
    let (wheel, tire) = match rule.on {
        Subject::Wheel => (Some(&wheel), None),
        Subject::Tire => (None, Some(&tire)),
        Subject::Package => (Some(&wheel), Some(&tire)),
    };
    let parts = Case { wheel, tire, package: None, van: &van, as_of: as_of.as_ref() };
    if rule.on != Subject::Package {
        return outcome(rule, parts);
    }
    let passenger = PassengerLoads::under(&rule.packs);
    let mut facts = package::derive(parts, passenger);
    // A witness may state outright what would otherwise follow.
    for (field, value) in witness.facts.iter().filter(|(field, _)| field.scope() == Scope::Package) {
        facts.put(*field, value.number().map_or(Figure::Missing, Figure::Known));
    }
    outcome(rule, Case { package: Some(&facts), ..parts })
}

/// A problem for every witness that gives something else than it says, and for every rule that
/// lacks a witness for pass, fail or unknown.
#[must_use]
pub fn problems(rules: &[Rule]) -> Vec<FileProblem> {
    let mut problems = Vec::new();
    for rule in rules {
        for witness in &rule.witnesses {
            let gave = given(rule, witness);
            if gave != witness.gives {
                let fault = Fault::WitnessWrong { said: witness.gives.name(), gave: gave.name() };
                problems.push(FileProblem::new(rule.source.clone(), witness.span, fault));
            }
        }
        for gives in [Outcome::Pass, Outcome::Fail, Outcome::Unknown] {
            if !rule.witnesses.iter().any(|witness| witness.gives == gives) {
                let fault = Fault::WitnessMissing { rule: rule.name.to_string(), gives: gives.name() };
                problems.push(FileProblem::new(rule.source.clone(), rule.span, fault));
            }
        }
    }
    problems
}
