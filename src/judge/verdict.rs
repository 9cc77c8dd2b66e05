//! Outcomes of all rules on one case to a finding: the decision table, and the search for work.

use std::sync::Arc;

use crate::facts::fact::{Contradiction, Fact, State};
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::Spec;
use crate::facts::value::Value;
use crate::judge::case::Case;
use crate::judge::eval::{outcome, truth};
use crate::judge::explain::{evidence, unknown_facts};
use crate::judge::finding::{Caution, Cure, Finding, Gap, NonEmpty, Reason, Verdict};
use crate::judge::truth::Truth;
use crate::judge::wording;
use crate::judge::work::{allowed, cheapest, done};
use crate::rules::{OnFailing, OnUnknown, Outcome, Rule};
use crate::trade::seat::Seat;
use crate::van::{Van, VanFacts};

/// A rule with its place in the rule set.
pub type PlacedRule<'r> = (usize, &'r Rule);

/// Judges one spec for one van. Every rule is judged; only then is work looked for.
#[must_use]
pub fn judge_spec(spec: &Spec, van: &Van, rules: &[PlacedRule<'_>], as_of: Option<&Value>) -> Finding {
    let case = Case { spec, van: &van.facts, as_of };
    let standing = standing(rules, case);
    let doubts = doubts(spec);
    let reasons: Vec<Reason> = standing.failing.iter().map(|rule| reason(*rule, case)).collect();
    let proven = standing.unknown.is_empty() && doubts.is_empty();
    let cure =
        if reasons.is_empty() && proven { None } else { cure(spec, van, rules, as_of, &standing, &doubts) };
    let Some(cure) = cure else {
        let gaps = gaps(&standing.unknown, &doubts, case);
        return Finding { verdict: decide(None, reasons, gaps), cautions: cautions(rules, case) };
    };
    let works: Vec<_> = cure.works.iter().filter_map(|work| van.works.get(*work)).collect();
    let (spec, van_facts) = done(&works, spec, &van.facts);
    let case = Case { spec: &spec, van: &van_facts, as_of };
    let gaps = gaps(&self::standing(rules, case).unknown, &doubts, case);
    Finding { verdict: decide(Some(cure), reasons, gaps), cautions: cautions(rules, case) }
}

/// The decision table. `gaps` are those that stand once the cure is done.
fn decide(cure: Option<Cure>, reasons: Vec<Reason>, gaps: Vec<Gap>) -> Verdict {
    match (cure, NonEmpty::new(gaps)) {
        // Nothing was looked for, or no work helps.
        (None, gaps) => match (NonEmpty::new(reasons), gaps) {
            // Every demand is proven.
            (None, None) => Verdict::Fits,
            // Nothing fails, something cannot be shown: missing is never a pass.
            (None, Some(gaps)) => Verdict::Unproven { gaps, mending: None },
            // Something fails for good; what is missing is told besides.
            (Some(reasons), gaps) => {
                Verdict::Rejected { reasons, gaps: gaps.map_or_else(Vec::new, |gaps| gaps.to_vec()) }
            }
        },
        // Work settles everything.
        (Some(cure), None) => Verdict::FitsWithWork { cure, cured: reasons },
        // Work cures what fails, but something still cannot be shown.
        (Some(cure), Some(gaps)) => Verdict::Unproven { gaps, mending: Some((cure, reasons)) },
    }
}

/// The rules that stand in the way of fitting.
#[derive(Debug, Default)]
struct Standing<'r> {
    failing: Vec<PlacedRule<'r>>,
    unknown: Vec<PlacedRule<'r>>,
}

fn standing<'r>(rules: &[PlacedRule<'r>], case: Case<'_>) -> Standing<'r> {
    let mut standing = Standing::default();
    for (place, rule) in rules {
        match (outcome(rule, case), rule.failing, rule.unknown) {
            (Outcome::Fail, OnFailing::Reject, _) => standing.failing.push((*place, rule)),
            (Outcome::Unknown, _, OnUnknown::Unproven) => standing.unknown.push((*place, rule)),
            (Outcome::Fail | Outcome::Unknown | Outcome::Pass | Outcome::NotApplicable, _, _) => {}
        }
    }
    standing
}

/// The cheapest work that proves the part; else the cheapest after which at least nothing fails.
/// A contradiction is never cured by work, so under one only the latter is sought.
fn cure(
    spec: &Spec,
    van: &Van,
    rules: &[PlacedRule<'_>],
    as_of: Option<&Value>,
    found: &Standing<'_>,
    doubts: &[Arc<Contradiction>],
) -> Option<Cure> {
    if van.works.is_empty() {
        return None;
    }
    let allowed = allowed(van, Case { spec, van: &van.facts, as_of });
    let nothing_fails = |spec: &Spec, van: &VanFacts| -> Vec<FieldSet> {
        reads(&standing(rules, Case { spec, van, as_of }).failing)
    };
    let proven = |spec: &Spec, van: &VanFacts| -> Vec<FieldSet> {
        let standing = standing(rules, Case { spec, van, as_of });
        let mut obstacles = reads(&standing.failing);
        obstacles.extend(reads(&standing.unknown));
        obstacles
    };
    let full = if doubts.is_empty() { cheapest(van, &allowed, spec, &proven) } else { None };
    if full.is_some() || found.failing.is_empty() {
        return full;
    }
    cheapest(van, &allowed, spec, &nothing_fails)
}

fn reads(rules: &[PlacedRule<'_>]) -> Vec<FieldSet> {
    rules.iter().map(|(_, rule)| rule.reads).collect()
}

/// The contradictions in a spec, each once.
fn doubts(spec: &Spec) -> Vec<Arc<Contradiction>> {
    let mut doubts: Vec<Arc<Contradiction>> = Vec::new();
    for (_, fact) in spec.iter() {
        if let State::Contradicted(contradiction) = &fact.state
            && !doubts.contains(contradiction)
        {
            doubts.push(Arc::clone(contradiction));
        }
    }
    doubts
}

fn reason((place, rule): PlacedRule<'_>, case: Case<'_>) -> Reason {
    let evidence = evidence(&rule.demand, case);
    let says = Arc::from(wording::fill(&rule.says, evidence.as_ref(), case));
    Reason { rule: place, evidence, says }
}

/// What cannot be shown: for each undecided rule the facts that keep it so, then the sense checks.
fn gaps(unknown: &[PlacedRule<'_>], doubts: &[Arc<Contradiction>], case: Case<'_>) -> Vec<Gap> {
    let mut gaps = Vec::new();
    for (_, rule) in unknown {
        let fields: Vec<Field> = undecided(rule, case).iter().collect();
        if fields.is_empty() {
            let why = Arc::from("the figures cannot be worked out");
            gaps.push(Gap { rule: Arc::clone(&rule.name), field: None, why });
        }
        for field in fields {
            gaps.push(Gap { rule: Arc::clone(&rule.name), field: Some(field), why: why(field, case) });
        }
    }
    for doubt in doubts {
        let of_doubt = |state: &State| matches!(state, State::Contradicted(found) if found == doubt);
        let field = case.spec.iter().find(|(_, fact)| of_doubt(&fact.state)).map(|(field, _)| field);
        gaps.push(Gap { rule: Arc::from(doubt.check.name()), field, why: Arc::clone(&doubt.says) });
    }
    gaps
}

/// The part's facts that keep a rule undecided.
#[must_use]
pub fn undecided(rule: &Rule, case: Case<'_>) -> FieldSet {
    if let Some(when) = &rule.when
        && truth(when, case) == Truth::Unknown
    {
        return unknown_facts(when, case);
    }
    unknown_facts(&rule.demand, case)
}

/// Why a fact does not settle a rule.
#[must_use]
pub fn why(field: Field, case: Case<'_>) -> Arc<str> {
    let why = case.fact(field).and_then(Fact::why_unknown);
    // Known, and yet not enough.
    let settles_nothing = || match case.fact(field).and_then(Fact::value) {
        Some(Value::Seat(Seat::Ball { radius: None })) => "a ball seat, but no radius: R12, R13 or R14?",
        Some(Value::Number(_)) if matches!(field, Field::TireLoadIndex | Field::TireLoadIndexDual) => {
            "no table lists this load index"
        }
        _ => "what it says does not settle it",
    };
    Arc::from(why.unwrap_or_else(|| settles_nothing().to_owned()))
}

fn cautions(rules: &[PlacedRule<'_>], case: Case<'_>) -> Vec<Caution> {
    let mut cautions = Vec::new();
    for (_, rule) in rules {
        let says = match (outcome(rule, case), rule.failing, rule.unknown) {
            (Outcome::Fail, OnFailing::Caution, _) => {
                let evidence = evidence(&rule.demand, case);
                wording::fill(&rule.says, evidence.as_ref(), case)
            }
            (Outcome::Unknown, _, OnUnknown::Caution) => {
                let fields: Vec<String> = undecided(rule, case)
                    .iter()
                    .map(|field| wording::cannot_show(field, &why(field, case)))
                    .collect();
                fields.join("; ")
            }
            (Outcome::Fail | Outcome::Unknown | Outcome::Pass | Outcome::NotApplicable, _, _) => {
                continue;
            }
        };
        cautions.push(Caution { rule: Arc::clone(&rule.name), says: Arc::from(says) });
    }
    cautions
}

#[cfg(test)]
mod tests {
    use rust_decimal::Decimal;

    use super::decide;
    use crate::judge::finding::Finding;
    use crate::judge::finding::{Cure, Gap, NonEmpty, Reason, VerdictKind};

    #[test]
    fn nothing_unshown_is_ever_published_as_fitting() {
        let gap = || Gap { rule: "r".into(), field: None, why: "w".into() };
        let reason = || Reason { rule: 0, evidence: None, says: "s".into() };
        let cure = || Cure { works: NonEmpty::new(vec![0]).unwrap(), cost: Decimal::ONE };
        for (cured, fails, unknown, kind) in [
            (false, false, false, VerdictKind::Fits),
            (false, false, true, VerdictKind::Unproven),
            (false, true, false, VerdictKind::Rejected),
            (false, true, true, VerdictKind::Rejected),
            (true, false, false, VerdictKind::FitsWithWork),
            (true, true, false, VerdictKind::FitsWithWork),
            (true, false, true, VerdictKind::Unproven),
            (true, true, true, VerdictKind::Unproven),
        ] {
            let reasons = if fails { vec![reason()] } else { Vec::new() };
            let gaps = if unknown { vec![gap()] } else { Vec::new() };
            let verdict = decide(cured.then(cure), reasons, gaps);
            assert_eq!(Finding { verdict, cautions: Vec::new() }.kind(), kind);
        }
    }
}
