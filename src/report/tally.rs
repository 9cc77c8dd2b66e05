//! What stands in the way of parts, counted: rules that fail, cautions, and facts that sheets do not say.

use std::collections::BTreeMap;

use crate::facts::fact::State;
use crate::facts::field::Field;
use crate::facts::part::Part;
use crate::judge::{Judgement, VerdictKind};

/// A rule that rejected parts fail.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Failure<'j> {
    /// Its name.
    pub(super) rule: &'j str,
    /// How many parts fail it.
    pub(super) count: usize,
    /// How many of them fail nothing else.
    pub(super) alone: usize,
    /// What it says of the first.
    pub(super) example: &'j str,
}

/// The rules that rejected parts fail for the van at a place: the most frequent first, rules of equal
/// count in rule order.
pub(super) fn failures<'j>(judgement: &'j Judgement<'_>, van: usize) -> Vec<Failure<'j>> {
    let mut by_rule: BTreeMap<usize, Failure<'j>> = BTreeMap::new();
    for part in &judgement.catalog.parts {
        let Some(finding) = judgement.finding(van, part) else { continue };
        if finding.kind() != VerdictKind::Rejected {
            continue;
        }
        let alone = finding.reasons().len() == 1;
        for reason in finding.reasons() {
            let failure = by_rule.entry(reason.rule).or_insert_with(|| Failure {
                rule: judgement.rule(reason.rule).map_or("", |rule| &rule.name),
                count: 0,
                alone: 0,
                example: &reason.says,
            });
            failure.count += 1;
            failure.alone += usize::from(alone);
        }
    }
    let mut failures: Vec<Failure<'j>> = by_rule.into_values().collect();
    failures.sort_by_key(|failure| std::cmp::Reverse(failure.count));
    failures
}

/// A caution on parts that fit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Warned<'j> {
    /// The rule that gives it.
    pub(super) rule: &'j str,
    /// How many parts that fit have it, with or without work.
    pub(super) count: usize,
    /// What it says of the first.
    pub(super) example: &'j str,
}

/// The cautions on parts that fit the van at a place, with or without work: the most frequent first.
pub(super) fn warned<'j>(judgement: &'j Judgement<'_>, van: usize) -> Vec<Warned<'j>> {
    let mut warned: Vec<Warned<'j>> = Vec::new();
    for part in &judgement.catalog.parts {
        let Some(finding) = judgement.finding(van, part) else { continue };
        if !matches!(finding.kind(), VerdictKind::Fits | VerdictKind::FitsWithWork) {
            continue;
        }
        for caution in &finding.cautions {
            match warned.iter_mut().find(|known| known.rule == &*caution.rule) {
                Some(known) => known.count += 1,
                None => warned.push(Warned { rule: &caution.rule, count: 1, example: &caution.says }),
            }
        }
    }
    warned.sort_by_key(|warned| std::cmp::Reverse(warned.count));
    warned
}

/// A fact that keeps parts unproven.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Wanting<'j> {
    /// The fact.
    pub(super) field: Field,
    /// Why it has no usable value.
    pub(super) why: &'j str,
    /// The parts that it keeps unproven for some van, by their numbers, in sheet order.
    pub(super) parts: Vec<String>,
    /// How many of them nothing else keeps so.
    pub(super) alone: usize,
}

impl Wanting<'_> {
    /// The fact, why it is wanting and a few of the parts: `offset: the cell is empty (SK-1, SK-2, ...)`.
    pub(super) fn told(&self) -> String {
        let mut different: Vec<&str> = self.parts.iter().map(String::as_str).collect();
        different.dedup();
        let mut named: Vec<&str> = different.iter().copied().take(4).collect();
        if different.len() > named.len() {
            named.push("...");
        }
        format!("{}: {} ({})", self.field.words(), self.why, named.join(", "))
    }
}

/// The facts that keep parts unproven for any van, the most frequent first.
pub(super) fn wanting<'j>(judgement: &'j Judgement<'_>) -> Vec<Wanting<'j>> {
    let mut wanting: BTreeMap<(Field, &str), (Vec<String>, usize)> = BTreeMap::new();
    for part in &judgement.catalog.parts {
        let mut facts: Vec<(Field, &str)> = Vec::new();
        for at in 0..judgement.vans.len() {
            let Some(finding) = judgement.finding(at, part) else {
                continue;
            };
            if finding.kind() != VerdictKind::Unproven {
                continue;
            }
            for gap in finding.gaps() {
                if let Some(field) = gap.field.filter(|field| !facts.iter().any(|(known, _)| known == field))
                {
                    facts.push((field, &gap.why));
                }
            }
        }
        let alone = facts.len() == 1;
        for (field, why) in facts {
            // Contradictions differ from row to row; the cells stand among the remarks.
            let why = if contradicted(judgement, part, field) { "the sheet contradicts itself" } else { why };
            let entry = wanting.entry((field, why)).or_default();
            entry.0.push(name_of(part));
            entry.1 += usize::from(alone);
        }
    }
    let mut wanting: Vec<Wanting<'j>> = wanting
        .into_iter()
        .map(|((field, why), (parts, alone))| Wanting { field, why, parts, alone })
        .collect();
    wanting.sort_by_key(|fact| std::cmp::Reverse(fact.parts.len()));
    wanting
}

/// Whether the row contradicts itself about a fact; the reason is then a sentence of its own.
pub(super) fn contradicted(judgement: &Judgement<'_>, part: &Part<'_>, field: Field) -> bool {
    let fact = judgement.spec(part).and_then(|spec| spec.fact(field));
    fact.is_some_and(|fact| matches!(fact.state, State::Contradicted(_)))
}

/// What a part goes by in lists: its number, or its row.
pub(super) fn name_of(part: &Part<'_>) -> String {
    if part.sku.is_empty() { format!("row {}", part.row) } else { part.sku.to_owned() }
}
