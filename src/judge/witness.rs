//! Running the witnesses that rules carry: does each rule do what its author says?

use std::sync::Arc;

use crate::document::{Fault, FileProblem};
use crate::facts::fact::Fact;
use crate::facts::field::Scope;
use crate::facts::part::Spec;
use crate::judge::case::Case;
use crate::judge::derive::derive;
use crate::judge::eval::outcome;
use crate::rules::{Outcome, Rule, Witness};
use crate::van::VanFacts;

/// What a rule gives on one of its witnesses.
#[must_use]
pub fn given(rule: &Rule, witness: &Witness) -> Outcome {
    let missing = Arc::new(Fact::missing(None));
    let mut spec = Spec::new(rule.on, |_| Arc::clone(&missing));
    let mut van = VanFacts::default();
    let mut as_of = None;
    for (field, value) in &witness.facts {
        match field.scope() {
            Scope::Wheel | Scope::Tire => spec.put(*field, Fact::derived(value.clone())),
            Scope::Van => van.put(*field, value.clone()),
            Scope::Run => as_of = Some(value.clone()),
        }
    }
    van.follow();
    // Sense checks look at what is stated, all other rules at what follows from it as well.
    if !rule.is_sense_check() {
        derive(&mut spec);
    }
    outcome(rule, Case { spec: &spec, van: &van, as_of: as_of.as_ref() })
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
