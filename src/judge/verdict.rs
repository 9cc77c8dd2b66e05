//! Outcomes of all rules on one case to a finding: the decision table, and the search for work.

use std::sync::Arc;

use crate::facts::fact::{Contradiction, Fact, State};
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::Subject;
use crate::facts::value::Value;
use crate::judge::bench::{Bench, WorkSet};
use crate::judge::case::Case;
use crate::judge::eval::{outcome, truth};
use crate::judge::explain::{evidence, unknown_facts};
use crate::judge::finding::{Caution, CautionAbout, Cure, Finding, Gap, NonEmpty, Reason, Verdict};
use crate::judge::package::PassengerLoads;
use crate::judge::search::{Aim, Demand, Question, Search};
use crate::judge::truth::Truth;
use crate::judge::wording;
use crate::judge::work::{Done, done, works_of};
use crate::rules::{OnFailing, OnUnknown, Outcome, Rule};
use crate::trade::seat::Seat;
use crate::van::Van;

/// A rule with its place in the rule set.
pub type PlacedRule<'r> = (usize, &'r Rule);

/// What parts or packages are judged by for one van: the rules in force on them and the van's works.
#[derive(Debug)]
pub struct Judge<'j> {
    van: &'j Van,
    rules: Vec<PlacedRule<'j>>,
    bench: Bench<'j>,
    /// For each rule what could meet it.
    demands: Vec<Demand<'j>>,
    passenger: PassengerLoads,
}

impl<'j> Judge<'j> {
    /// Judges for a van by these rules; all packs in force are named, its own included.
    #[must_use]
    pub fn new(van: &'j Van, rules: Vec<PlacedRule<'j>>, packs: &[String]) -> Self {
        let bench = Bench::new(van);
        let demands = rules.iter().map(|(_, rule)| Demand::new(rule, &bench)).collect();
        Self { van, rules, bench, demands, passenger: PassengerLoads::under(packs) }
    }

    /// The van.
    #[must_use]
    pub fn van(&self) -> &'j Van {
        self.van
    }

    /// The works, with what rules them out for one another.
    #[must_use]
    pub fn bench(&self) -> &Bench<'j> {
        &self.bench
    }

    /// How loads of passenger tires count.
    #[must_use]
    pub fn passenger(&self) -> PassengerLoads {
        self.passenger
    }

    /// The rules it judges by.
    #[must_use]
    pub fn rules(&self) -> &[PlacedRule<'j>] {
        &self.rules
    }

    /// What could meet each of its rules.
    #[must_use]
    pub fn demands(&self) -> &[Demand<'j>] {
        &self.demands
    }

    /// A search for cures of a case among some works; `unmet` tells of a set of works which rules it
    /// leaves unmet, by their place among those judged by.
    pub fn search<'s, U: FnMut(WorkSet) -> Vec<usize>>(
        &'s self,
        case: Case<'s>,
        aim: Aim,
        allowed: WorkSet,
        unmet: U,
    ) -> Search<'s, U> {
        let Self { bench, demands, passenger, .. } = self;
        Search::new(Question { bench, demands, case, passenger: *passenger, aim, allowed }, unmet)
    }

    /// The rules that a set of works leaves unmet on a case, by their place among those judged by.
    #[must_use]
    pub fn unmet(&self, set: WorkSet, case: Case<'_>, aim: Aim) -> Vec<usize> {
        let done = self.with_done(set, case);
        let is_missed = |at: &usize| {
            self.rules.get(*at).is_some_and(|(_, rule)| aim.is_missed(rule, outcome(rule, done.case())))
        };
        (0..self.rules.len()).filter(is_missed).collect()
    }

    /// The facts of a case once works are done.
    #[must_use]
    pub fn with_done<'f>(&self, set: WorkSet, case: Case<'f>) -> Done<'f> {
        done(&works_of(self.van, set), case, self.passenger)
    }

    /// Judges a part by itself, or a wheel and a tire together. Every rule is judged; only then is
    /// work looked for.
    #[must_use]
    pub fn finding(&self, case: Case<'_>) -> Finding {
        let as_it_is = self.with_done(WorkSet::EMPTY, case);
        let case = as_it_is.case();
        let standing = self.standing(case);
        let doubts = doubts(case);
        let reasons: Vec<Reason> = standing.failing.iter().map(|at| reason(self.rules[*at], case)).collect();
        let proven = standing.unknown.is_empty() && doubts.is_empty();
        let cure = if reasons.is_empty() && proven { None } else { self.cure(case, &standing, &doubts) };
        let Some(cure) = cure else {
            let gaps = self.gaps(&standing.unknown, &doubts, case);
            return Finding { verdict: decide(None, reasons, gaps), cautions: self.cautions(case) };
        };
        let done = self.with_done(cure.works.iter().copied().collect(), case);
        let case = done.case();
        let gaps = self.gaps(&self.standing(case).unknown, &doubts, case);
        Finding { verdict: decide(Some(cure), reasons, gaps), cautions: self.cautions(case) }
    }

    /// What stands in the way of a case by all its rules.
    fn standing(&self, case: Case<'_>) -> Obstacles {
        let mut obstacles = Obstacles::default();
        for on in Subject::ALL {
            self.gather(case, on, &mut obstacles);
        }
        obstacles
    }

    /// What stands in the way of a case by the rules on one subject.
    #[must_use]
    pub fn obstacles(&self, case: Case<'_>, on: Subject) -> Obstacles {
        let mut obstacles = Obstacles::default();
        self.gather(case, on, &mut obstacles);
        obstacles
    }

    fn gather(&self, case: Case<'_>, on: Subject, obstacles: &mut Obstacles) {
        for (at, (_, rule)) in self.rules.iter().enumerate().filter(|(_, (_, rule))| rule.on == on) {
            match (outcome(rule, case), rule.failing, rule.unknown) {
                (Outcome::Fail, OnFailing::Reject, _) => obstacles.failing.push(at),
                (Outcome::Fail, OnFailing::Caution, _) => obstacles.drawbacks += 1,
                (Outcome::Unknown, _, OnUnknown::Unproven) => obstacles.unknown.push(at),
                (Outcome::Fail | Outcome::Unknown | Outcome::Pass | Outcome::NotApplicable, _, _) => {}
            }
        }
    }

    /// The cheapest work that proves the case; else the cheapest after which at least nothing fails.
    /// A contradiction is never cured by work, so under one only the latter is sought.
    fn cure(&self, case: Case<'_>, found: &Obstacles, doubts: &[Arc<Contradiction>]) -> Option<Cure> {
        if self.bench.works().is_empty() {
            return None;
        }
        let allowed = self.bench.allowed(case);
        let cheapest = |aim| self.search(case, aim, allowed, |set| self.unmet(set, case, aim)).cheapest();
        let full = if doubts.is_empty() { cheapest(Aim::Proven) } else { None };
        if full.is_some() || found.failing.is_empty() {
            return full;
        }
        cheapest(Aim::NothingFails)
    }

    /// What cannot be shown: for each undecided rule the facts that keep it so, then the sense checks.
    fn gaps(&self, unknown: &[usize], doubts: &[Arc<Contradiction>], case: Case<'_>) -> Vec<Gap> {
        let mut gaps = Vec::new();
        for at in unknown {
            gaps.extend(gaps_of(self.rules[*at].1, case));
        }
        for doubt in doubts {
            let of_doubt = |state: &State| matches!(state, State::Contradicted(found) if found == doubt);
            let field = case.part_facts().find(|(_, fact)| of_doubt(&fact.state)).map(|(field, _)| field);
            let rule = Arc::from(doubt.check.name());
            gaps.push(Gap { rule, of: None, field, why: Arc::clone(&doubt.says) });
        }
        gaps
    }

    fn cautions(&self, case: Case<'_>) -> Vec<Caution> {
        let mut cautions = Vec::new();
        for (_, rule) in &self.rules {
            let (says, about) = match (outcome(rule, case), rule.failing, rule.unknown) {
                (Outcome::Fail, OnFailing::Caution, _) => {
                    let evidence = evidence(&rule.demand, case);
                    (wording::fill(&rule.says, evidence.as_ref(), case), CautionAbout::Drawback)
                }
                (Outcome::Unknown, _, OnUnknown::Caution) => {
                    let fields: Vec<Field> = undecided(rule, case).iter().collect();
                    let says = fields.iter().map(|field| wording::cannot_show(*field, &why(*field, case)));
                    (says.collect::<Vec<_>>().join("; "), CautionAbout::NotStated(fields))
                }
                (Outcome::Fail | Outcome::Unknown | Outcome::Pass | Outcome::NotApplicable, _, _) => {
                    continue;
                }
            };
            cautions.push(Caution { rule: Arc::clone(&rule.name), about, says: Arc::from(says) });
        }
        cautions
    }
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

/// What stands in the way of fitting, by the places of rules among those judged by.
#[derive(Clone, Debug, Default)]
pub struct Obstacles {
    /// Rules that fail and reject.
    pub failing: Vec<usize>,
    /// Rules that cannot be decided and must be.
    pub unknown: Vec<usize>,
    /// How many rules fail and only caution.
    pub drawbacks: u32,
}

/// The contradictions in the parts, each once.
fn doubts(case: Case<'_>) -> Vec<Arc<Contradiction>> {
    let mut doubts: Vec<Arc<Contradiction>> = Vec::new();
    for (_, fact) in case.part_facts() {
        if let State::Contradicted(contradiction) = &fact.state
            && !doubts.contains(contradiction)
        {
            doubts.push(Arc::clone(contradiction));
        }
    }
    doubts
}

/// What keeps a rule that cannot be decided undecided.
pub(super) fn gaps_of(rule: &Rule, case: Case<'_>) -> Vec<Gap> {
    let gap = |field, why| Gap { rule: Arc::clone(&rule.name), of: Some(rule.on), field, why };
    let fields = undecided(rule, case);
    if fields.is_empty() {
        return vec![gap(None, Arc::from("the figures cannot be worked out"))];
    }
    fields.iter().map(|field| gap(Some(field), why(field, case))).collect()
}

/// What a rule that fails says.
pub(super) fn says_of(rule: &Rule, case: Case<'_>) -> Arc<str> {
    Arc::from(wording::fill(&rule.says, evidence(&rule.demand, case).as_ref(), case))
}

fn reason((place, rule): PlacedRule<'_>, case: Case<'_>) -> Reason {
    let evidence = evidence(&rule.demand, case);
    let says = Arc::from(wording::fill(&rule.says, evidence.as_ref(), case));
    let remedy = wording::remedy(rule, evidence.as_ref(), case).map(Arc::from);
    Reason { rule: place, evidence, says, remedy }
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

#[cfg(test)]
mod tests {
    use rust_decimal::Decimal;

    use super::decide;
    use crate::judge::finding::Finding;
    use crate::judge::finding::{Cure, Gap, NonEmpty, Reason, VerdictKind};

    #[test]
    fn nothing_unshown_is_ever_published_as_fitting() {
        let gap = || Gap { rule: "r".into(), of: None, field: None, why: "w".into() };
        let reason = || Reason { rule: 0, evidence: None, says: "s".into(), remedy: None };
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
