//! What a run never needed: rules that decided nothing, limits no part came near, works never used.

use std::collections::BTreeSet;

use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::PartKind;
use crate::facts::remark::RemarkKind;
use crate::judge::eval::outcome;
use crate::judge::explain::evidence;
use crate::judge::{Case, Judgement};
use crate::ledger::fresh::Frame;
use crate::ledger::terms::in_force;
use crate::rules::{Outcome, Rule};
use crate::van::Work;

/// What could be left out without any part of these sheets coming to something else.
#[derive(Debug, Default)]
pub struct Review<'j> {
    /// Rules in force that neither failed nor stayed open on any part.
    pub idle_rules: Vec<&'j Rule>,
    /// Limits of a van, by its place, that no part came near.
    pub roomy_limits: Vec<(usize, Field)>,
    /// Works on file for a van, by its place, that no part needs.
    pub idle_works: Vec<(usize, &'j Work)>,
}

/// How close a part comes to a limit that it keeps, as a share of the limit, to be near it. Common
/// practice, no source.
const NEAR: f64 = 0.1;

/// Reviews a judgement.
#[must_use]
pub fn review<'j>(judgement: &'j Judgement<'_>) -> Review<'j> {
    let mut told: BTreeSet<(PartKind, String)> = BTreeSet::new();
    let mut review = Review::default();
    // Rows that repeat one another leave specs that no part has.
    let specs: BTreeSet<usize> = judgement.catalog.parts.iter().map(|part| part.spec).collect();
    let specs: Vec<_> =
        specs.iter().filter_map(|at| Some((*at, judgement.catalog.specs.get(*at)?))).collect();
    for (_, spec) in &specs {
        let checks = spec.iter().filter_map(|(_, fact)| match &fact.state {
            State::Contradicted(contradiction) => Some(&contradiction.check),
            State::Known(_) | State::Missing | State::Unreadable(_) => None,
        });
        let checks = checks.filter_map(|check| match check {
            RemarkKind::SenseCheck(name) => Some((spec.kind(), name.to_string())),
            _ => None,
        });
        told.extend(checks);
    }
    for (at, van) in judgement.vans.iter().enumerate() {
        let frame = Frame::new(judgement, at, van);
        let mut used = vec![false; van.works.len()];
        let mut near = FieldSet::EMPTY;
        for (place, spec) in &specs {
            let Some(finding) = judgement.finding_of(at, *place) else { continue };
            for work in finding.cure().map_or(&[][..], |cure| &cure.works) {
                if let Some(used) = used.get_mut(*work) {
                    *used = true;
                }
            }
            let reasons = finding.reasons().iter().filter_map(|reason| judgement.rule(reason.rule));
            let names = reasons.map(|rule| rule.name.to_string());
            let gaps = finding.gaps().iter().map(|gap| gap.rule.to_string());
            let cautions = finding.cautions.iter().map(|caution| caution.rule.to_string());
            told.extend(names.chain(gaps).chain(cautions).map(|name| (spec.kind(), name)));
            let case = Case::of_part(spec, &van.facts, judgement.as_of.as_ref());
            for (_, rule) in frame.rules(spec.kind()) {
                if !rule.reads.meets(FieldSet::of_scope(Scope::Van)) || !comes_near(rule, case) {
                    continue;
                }
                near = near.union(rule.reads.intersection(FieldSet::of_scope(Scope::Van)));
            }
        }
        let read = PartKind::ALL.iter().flat_map(|kind| frame.rules(*kind));
        let read = read.fold(FieldSet::EMPTY, |set, (_, rule)| set.union(rule.reads));
        let is_room = |field: &Field| field.name().starts_with("room.") && van.facts.get(*field).is_some();
        let roomy = read.iter().filter(is_room).filter(|field| !near.contains(*field));
        review.roomy_limits.extend(roomy.map(|field| (at, field)));
        let idle = van.works.iter().zip(&used).filter(|(_, used)| !**used);
        review.idle_works.extend(idle.map(|(work, _)| (at, work)));
    }
    let kind_of = |rule: &Rule| PartKind::ALL.into_iter().find(|kind| rule.on == (*kind).into());
    review.idle_rules = in_force(judgement)
        .filter(|rule| kind_of(rule).is_some_and(|kind| !told.contains(&(kind, rule.name.to_string()))))
        .collect();
    review
}

/// Whether a part fails a rule, leaves it open, or keeps it with little to spare.
fn comes_near(rule: &Rule, case: Case<'_>) -> bool {
    match outcome(rule, case) {
        Outcome::Fail | Outcome::Unknown => true,
        Outcome::NotApplicable => false,
        Outcome::Pass => evidence(&rule.demand, case).is_some_and(|evidence| {
            let (Some(distance), Some(limit), Some(unit)) =
                (evidence.distance, evidence.required.number, evidence.required.unit)
            else {
                return false;
            };
            distance.base <= NEAR * (limit * unit.factor()).abs()
        }),
    }
}
