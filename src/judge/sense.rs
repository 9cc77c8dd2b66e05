//! Sense checks: facts of one row that contradict one another become unusable.
//!
//! They look at what the sheet states, before anything is worked out from it.

use std::sync::Arc;

use crate::facts::fact::{Contradiction, State};
use crate::facts::field::Field;
use crate::facts::part::Spec;
use crate::facts::remark::RemarkKind;
use crate::judge::case::Case;
use crate::judge::eval::truth;
use crate::judge::explain::{Evidence, all_failing};
use crate::judge::truth::Truth;
use crate::judge::wording;
use crate::rules::{OnFailing, RuleSet};
use crate::van::VanFacts;

/// A contradiction in a spec: which facts are unusable, and the one to point at.
#[derive(Clone, Debug)]
pub(super) struct Doubt {
    /// What does not agree.
    pub(super) contradiction: Arc<Contradiction>,
    /// The facts that cannot be used.
    pub(super) spoiled: Vec<Field>,
}

/// Runs every sense check on a spec, and makes the facts it doubts unusable.
pub(super) fn check(spec: &mut Spec, rules: &RuleSet) -> Vec<Doubt> {
    let nowhere = VanFacts::default();
    let case = Case::of_part(spec, &nowhere, None);
    let mut doubts = Vec::new();
    for rule in rules.sense_checks(spec.kind()) {
        let OnFailing::Doubt(spoils) = rule.failing else {
            continue;
        };
        if rule.when.as_ref().is_some_and(|when| truth(when, case) != Truth::True) {
            continue;
        }
        // A statement is false where one of its comparisons is; nearly always none is.
        if truth(&rule.demand, case) != Truth::False {
            continue;
        }
        for evidence in all_failing(&rule.demand, case) {
            let spoiled: Vec<Field> = spoils.iter().filter(|field| evidence.reads.contains(*field)).collect();
            let says = wording::filled(&rule.says, Some(&evidence), case);
            let contradiction = Arc::new(Contradiction {
                check: RemarkKind::SenseCheck(Arc::clone(&rule.name)),
                says: Arc::from(says),
            });
            doubts.push((Doubt { contradiction, spoiled }, evidence));
        }
    }
    for (doubt, _) in &doubts {
        spoil(spec, doubt);
    }
    doubts.into_iter().map(pointing_at_what_was_measured).collect()
}

/// Makes the facts of a doubt unusable.
pub(super) fn spoil(spec: &mut Spec, doubt: &Doubt) {
    for field in &doubt.spoiled {
        let Some(fact) = spec.fact(*field) else {
            continue;
        };
        // The first contradiction stands: it is the one told first.
        if matches!(fact.state, State::Contradicted(_)) {
            continue;
        }
        let state = State::Contradicted(Arc::clone(&doubt.contradiction));
        let fact = fact.with_state(state);
        spec.put(*field, fact);
    }
}

/// The measured fact first, so that a remark stands at its cell.
fn pointing_at_what_was_measured((mut doubt, evidence): (Doubt, Evidence)) -> Doubt {
    doubt.spoiled.sort_by_key(|field| *field != evidence.field);
    doubt
}
