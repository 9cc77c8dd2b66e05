//! What a ledger of a judgement says.

use std::borrow::Cow;
use std::sync::Arc;

use rayon::prelude::*;

use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::{Part, PartKind, Spec};
use crate::judge::explain::show_field;
use crate::judge::{Case, Finding, Judgement, PlacedRule, VerdictKind};
use crate::ledger::entry::{Entry, Key};
use crate::ledger::terms::{ReadBy, Terms, terms_of};
use crate::ledger::text;
use crate::rules::OnFailing;
use crate::van::Van;

/// What a record says of a fact that its row leaves out.
pub(super) const NOT_STATED: &str = "not stated";

/// The records of a judgement.
#[derive(Debug)]
pub struct Fresh<'j> {
    /// By what was judged.
    pub terms: Terms<'j>,
    /// The parts, by key.
    pub parts: Vec<FreshPart<'j>>,
}

/// The record of one part, and where it comes from.
#[derive(Debug)]
pub struct FreshPart<'j> {
    /// Whose it is.
    pub key: Key<'j>,
    /// What it comes to, as a ledger writes it.
    pub body: Arc<str>,
    /// Which van of the judgement.
    pub van: usize,
    /// Which part of the catalog decided it.
    pub part: usize,
}

impl Fresh<'_> {
    /// The text of the ledger.
    #[must_use]
    pub fn text(&self) -> String {
        text::write(&self.terms, self.parts.iter().map(|part| (&part.key, &*part.body)))
    }
}

/// The records of a judgement, by key.
///
/// A number that stands on several rows has one record, that of its least favorable row: what is
/// listed must hold for whichever of them is delivered.
#[must_use]
pub fn fresh<'j>(judgement: &'j Judgement<'_>, read_by: &'j ReadBy) -> Fresh<'j> {
    let mut parts = Vec::new();
    for (at, van) in judgement.vans.iter().enumerate() {
        let frame = Frame::new(judgement, at, van);
        let specs = 0..judgement.catalog.specs.len();
        let bodies: Vec<Option<Arc<str>>> =
            specs.into_par_iter().map(|spec| frame.record(spec).map(|(_, body)| body)).collect();
        for (place, part) in judgement.catalog.parts.iter().enumerate() {
            if let Some(Some(body)) = bodies.get(part.spec) {
                let key = key_of(judgement, van, part);
                parts.push(FreshPart { key, body: Arc::clone(body), van: at, part: place });
            }
        }
    }
    // The least favorable row of a number first; rows that say the same stay in the order of the sheets.
    parts.par_sort_by(|one, other| {
        one.key.cmp(&other.key).then_with(|| worth(&other.body).cmp(&worth(&one.body)))
    });
    parts.dedup_by(|next, first| next.key == first.key);
    Fresh { terms: terms_of(judgement, read_by), parts }
}

/// How unfavorable a record is: by its verdict, then by its text, so that the order of rows is all one.
fn worth(body: &str) -> (Option<VerdictKind>, &str) {
    let verdict = body.split(" | ").next().unwrap_or_default();
    (VerdictKind::ALL.into_iter().find(|kind| kind.name() == verdict), body)
}

fn key_of<'j>(judgement: &'j Judgement<'_>, van: &'j Van, part: &'j Part<'_>) -> Key<'j> {
    let described = match judgement.spec(part) {
        Some(spec) if part.sku.is_empty() => {
            Cow::Owned(description(part, spec, judgement.rules.reads(part.kind)))
        }
        _ => Cow::Borrowed(""),
    };
    Key {
        van: Cow::Borrowed(&van.id),
        supplier: Cow::Borrowed(part.supplier),
        sku: Cow::Borrowed(part.sku),
        kind: part.kind,
        described,
    }
}

/// What tells a part that has no number from another: its name, and every fact that a rule reads.
fn description(part: &Part<'_>, spec: &Spec, read: FieldSet) -> String {
    let facts = spec.iter().filter(|(field, _)| read.contains(*field));
    let facts = facts.filter_map(|(field, fact)| Some(show_field(field, fact.value()?)));
    std::iter::once(part.name.to_owned())
        .chain(facts)
        .filter(|text| !text.is_empty())
        .collect::<Vec<_>>()
        .join(", ")
}

/// What records for one van are made by.
pub(super) struct Frame<'j> {
    judgement: &'j Judgement<'j>,
    at: usize,
    van: &'j Van,
    rules: [Vec<PlacedRule<'j>>; 2],
}

impl<'j> Frame<'j> {
    pub(super) fn new<'s>(judgement: &'j Judgement<'s>, at: usize, van: &'j Van) -> Frame<'j>
    where
        's: 'j,
    {
        let rules = PartKind::ALL.map(|kind| judgement.in_force(van, kind.into()));
        Frame { judgement, at, van, rules }
    }

    pub(super) fn rules(&self, kind: PartKind) -> &[PlacedRule<'j>] {
        let [wheels, tires] = &self.rules;
        match kind {
            PartKind::Wheel => wheels,
            PartKind::Tire => tires,
        }
    }

    /// The record of a spec, and its line.
    pub(super) fn record(&self, spec: usize) -> Option<(Entry, Arc<str>)> {
        let finding = self.judgement.finding_of(self.at, spec)?;
        let entry = self.entry(self.judgement.catalog.specs.get(spec)?, finding);
        let body = Arc::from(entry.body());
        Some((entry, body))
    }

    fn entry(&self, spec: &Spec, finding: &Finding) -> Entry {
        let mut against: Vec<String> = finding
            .reasons()
            .iter()
            .filter_map(|reason| self.judgement.rule(reason.rule))
            .map(|rule| rule.name.to_string())
            .chain(finding.gaps().iter().map(|gap| gap.rule.to_string()))
            .collect();
        against.sort_unstable();
        against.dedup();
        let works = finding.cure().map_or(&[][..], |cure| &cure.works);
        let works = works.iter().filter_map(|work| self.van.works.get(*work));
        let mut works: Vec<String> = works.map(|work| work.name.to_string()).collect();
        works.sort_unstable();
        let mut entry = Entry { verdict: finding.kind(), against, works, facts: Vec::new() };
        let own = |fields: FieldSet| fields.intersection(FieldSet::of_scope(spec.kind().scope()));
        let facts = if entry.is_listed() {
            // Nothing that a listing rests on can be open.
            known(spec, own(self.considered(spec)))
        } else {
            let in_the_way = |rule: &&PlacedRule<'_>| entry.against.iter().any(|name| **name == *rule.1.name);
            let read = own(reads(self.rules(spec.kind()).iter().filter(in_the_way)));
            let open: FieldSet = finding.gaps().iter().filter_map(|gap| gap.field).collect();
            let mut facts = known(spec, read);
            facts.extend(
                own(open).iter().filter_map(|field| Some((field, why_open(spec, field)?.to_owned()))),
            );
            facts.sort_by_key(|(field, _)| field.slot());
            facts
        };
        entry.facts = facts;
        entry
    }

    /// The facts that rejecting rules read which apply to a van that states their limits.
    fn considered(&self, spec: &Spec) -> FieldSet {
        let case = Case::of_part(spec, &self.van.facts, self.judgement.as_of.as_ref());
        let rejecting = |rule: &&PlacedRule<'_>| rule.1.failing == OnFailing::Reject;
        let rules = self.rules(spec.kind()).iter().filter(rejecting);
        reads(rules.filter(|rule| case.lacks_limit(rule.1.reads).is_none()))
    }
}

fn reads<'r>(rules: impl Iterator<Item = &'r PlacedRule<'r>>) -> FieldSet {
    rules.fold(FieldSet::EMPTY, |set, (_, rule)| set.union(rule.reads))
}

/// Those of some facts that are known, as a record has them.
fn known(spec: &Spec, fields: FieldSet) -> Vec<(Field, String)> {
    let shown = |field: Field| Some((field, show_field(field, spec.fact(field)?.value()?)));
    fields.iter().filter_map(shown).collect()
}

/// What keeps a fact open, as a record has it; none where it is known.
fn why_open(spec: &Spec, field: Field) -> Option<&'static str> {
    match &spec.fact(field)?.state {
        State::Known(_) => None,
        State::Missing => Some(NOT_STATED),
        State::Unreadable(_) => Some("unreadable"),
        State::Contradicted(_) => Some("contradicted"),
    }
}
