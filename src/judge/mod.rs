//! Judging: every rule on every part for every van.
//!
//! Takes in a [`Catalog`], [`RuleSet`] and [`Van`]s; yields a [`Judgement`] in input order. Knows no
//! text of a sheet and writes nothing. Each distinct spec is judged once for each van, on as many
//! threads as there are; rows only look their spec's finding up.

pub mod alike;
pub mod bench;
pub mod case;
mod derive;
pub mod eval;
pub mod explain;
pub mod finding;
pub mod package;
pub mod pairing;
pub mod prospects;
pub mod reachable;
mod repeats;
pub mod search;
mod sense;
pub mod truth;
mod verdict;
pub mod witness;
pub mod wording;
pub mod work;

use std::sync::Arc;

use rayon::prelude::*;

use crate::facts::catalog::{Catalog, Remark, Weight};
use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::{Part, PartKind, Spec, Subject};
use crate::facts::value::Value;
use crate::rules::{Rule, RuleSet};
use crate::van::Van;

pub use case::Case;
pub use finding::{Caution, CautionAbout, Cure, Finding, Gap, Reason, Verdict, VerdictKind};
pub use verdict::{Judge, PlacedRule, undecided, why};

/// Everything judged, with what it was judged by.
#[derive(Debug)]
pub struct Judgement<'s> {
    /// The sheets, parts and specs; specs hold what follows and what is in doubt by now.
    pub catalog: Catalog<'s>,
    /// The rules.
    pub rules: RuleSet,
    /// The vans in the order given.
    pub vans: Vec<Van>,
    /// Packs chosen for all vans.
    pub packs: Vec<String>,
    /// The date given with `--as-of`.
    pub as_of: Option<Value>,
    /// For each van, the finding of each spec; empty where parts are not judged by themselves.
    findings: Vec<Vec<Arc<Finding>>>,
}

/// Judges a catalog.
#[must_use]
pub fn judge<'s>(
    catalog: Catalog<'s>,
    rules: RuleSet,
    vans: Vec<Van>,
    packs: Vec<String>,
    as_of: Option<Value>,
) -> Judgement<'s> {
    let mut judgement = sensed(catalog, rules, vans, packs, as_of);
    let Judgement { catalog, rules, vans, packs, as_of, .. } = &judgement;
    judgement.findings = vans
        .iter()
        .map(|van| {
            if catalog.specs.is_empty() {
                return Vec::new();
            }
            let packs = packs_of(van, packs);
            let [wheels, tires] =
                PartKind::ALL.map(|kind| Judge::new(van, placed(rules, kind.into(), &packs), &packs));
            catalog
                .specs
                .par_iter()
                .map(|spec| {
                    let judge = match spec.kind() {
                        PartKind::Wheel => &wheels,
                        PartKind::Tire => &tires,
                    };
                    Arc::new(judge.finding(Case::of_part(spec, &van.facts, as_of.as_ref())))
                })
                .collect()
        })
        .collect();
    judgement
}

/// A catalog made ready for judging, with no part judged by itself: for whoever asks for packages alone.
#[must_use]
pub fn sensed<'s>(
    mut catalog: Catalog<'s>,
    rules: RuleSet,
    vans: Vec<Van>,
    packs: Vec<String>,
    as_of: Option<Value>,
) -> Judgement<'s> {
    repeats::check(&mut catalog, &rules);
    make_sense(&mut catalog, &rules);
    Judgement { catalog, rules, vans, packs, as_of, findings: Vec::new() }
}

/// For each part of a catalog, the facts that its sheet contradicts itself about.
///
/// Judging makes these unusable; a caller that would fill in what is open asks for them before.
#[must_use]
pub fn in_doubt(catalog: &Catalog<'_>, rules: &RuleSet) -> Vec<FieldSet> {
    let mut catalog = catalog.clone();
    repeats::check(&mut catalog, rules);
    make_sense(&mut catalog, rules);
    let doubted = |spec: &Spec| {
        let doubted = spec.iter().filter(|(_, fact)| matches!(fact.state, State::Contradicted(_)));
        doubted.map(|(field, _)| field).collect()
    };
    let specs: Vec<FieldSet> = catalog.specs.iter().map(doubted).collect();
    catalog.parts.iter().map(|part| specs.get(part.spec).copied().unwrap_or_default()).collect()
}

fn packs_of(van: &Van, chosen: &[String]) -> Vec<String> {
    van.packs.iter().chain(chosen).cloned().collect()
}

/// The rules in force, with their places in the whole set.
fn placed<'r>(rules: &'r RuleSet, on: Subject, packs: &[String]) -> Vec<PlacedRule<'r>> {
    rules.all().iter().enumerate().filter(|(_, rule)| rules.is_in_force(rule, on, packs)).collect()
}

/// Sense checks and derivations on every spec; each doubt is remarked on every row that has it.
fn make_sense(catalog: &mut Catalog<'_>, rules: &RuleSet) {
    // No threads are started for nothing.
    if catalog.specs.is_empty() {
        return;
    }
    let doubts: Vec<Vec<sense::Doubt>> = catalog
        .specs
        .par_iter_mut()
        .with_min_len(1024)
        .map_init(Default::default, |derived, spec| {
            let doubts = sense::check(spec, rules);
            derive::derive_beside(spec, derived);
            doubts
        })
        .collect();
    for part in &catalog.parts {
        let (Some(found), Some(spec)) = (doubts.get(part.spec), catalog.specs.get(part.spec)) else {
            continue;
        };
        for doubt in found {
            let column = doubt.spoiled.iter().filter_map(|field| spec.fact(*field)?.column).next();
            let remark = Remark {
                tab: part.tab,
                row: part.row,
                column,
                kind: doubt.contradiction.check.clone(),
                says: Arc::clone(&doubt.contradiction.says),
                weight: Weight::Fault,
            };
            if let Some(sheet) = catalog.sheets.get_mut(part.sheet) {
                sheet.remarks.push(remark);
            }
        }
    }
    for sheet in &mut catalog.sheets {
        sheet.remarks.sort();
    }
}

impl Judgement<'_> {
    /// The finding of a part for the van at a place.
    #[must_use]
    pub fn finding(&self, van: usize, part: &Part<'_>) -> Option<&Arc<Finding>> {
        self.findings.get(van)?.get(part.spec)
    }

    /// The finding of a spec of the catalog for the van at a place.
    #[must_use]
    pub fn finding_of(&self, van: usize, spec: usize) -> Option<&Arc<Finding>> {
        self.findings.get(van)?.get(spec)
    }

    /// The date given with `--as-of`, as `2026-03-30`.
    #[must_use]
    pub fn as_of_words(&self) -> Option<String> {
        self.as_of.as_ref().map(|date| explain::show_field(Field::RunAsOf, date))
    }

    /// The spec of a part.
    #[must_use]
    pub fn spec(&self, part: &Part<'_>) -> Option<&Spec> {
        self.catalog.specs.get(part.spec)
    }

    /// A rule by its place.
    #[must_use]
    pub fn rule(&self, place: usize) -> Option<&Rule> {
        self.rules.all().get(place)
    }

    /// The rules in force for a van on a subject.
    #[must_use]
    pub fn in_force(&self, van: &Van, on: Subject) -> Vec<PlacedRule<'_>> {
        placed(&self.rules, on, &packs_of(van, &self.packs))
    }

    /// A wheel and a tire together on a van, as the sheets have them.
    #[must_use]
    pub fn package_case<'c>(&'c self, van: &'c Van, wheel: &Part<'_>, tire: &Part<'_>) -> Case<'c> {
        Case {
            wheel: self.spec(wheel),
            tire: self.spec(tire),
            package: None,
            van: &van.facts,
            as_of: self.as_of.as_ref(),
        }
    }

    /// What packages are judged by for the van at a place: the rules on wheels, tires and packages.
    #[must_use]
    pub fn package_judge(&self, van: usize) -> Option<Judge<'_>> {
        let van = self.vans.get(van)?;
        let packs = packs_of(van, &self.packs);
        let rules = Subject::ALL.into_iter().flat_map(|on| placed(&self.rules, on, &packs)).collect();
        Some(Judge::new(van, rules, &packs))
    }

    /// What judges parts of a kind by themselves for a van.
    #[must_use]
    pub fn judge<'j>(&'j self, van: &'j Van, kind: PartKind) -> Judge<'j> {
        Judge::new(van, self.in_force(van, kind.into()), &packs_of(van, &self.packs))
    }

    /// The limits that rules in force would read and the van does not state, with the rules that
    /// therefore do not apply.
    #[must_use]
    pub fn limits_not_stated(&self, van: &Van) -> Vec<(Field, Vec<&Rule>)> {
        let mut found: Vec<(Field, Vec<&Rule>)> = Vec::new();
        for kind in PartKind::ALL {
            for (_, rule) in self.in_force(van, kind.into()) {
                let van_reads: FieldSet =
                    rule.reads.iter().filter(|field| field.scope() == Scope::Van).collect();
                for field in van_reads.iter().filter(|field| van.facts.get(*field).is_none()) {
                    match found.iter_mut().find(|(known, _)| *known == field) {
                        Some((_, rules)) => rules.push(rule),
                        None => found.push((field, vec![rule])),
                    }
                }
            }
        }
        found
    }
}
