//! What a ledger of a judgement says.

use std::borrow::Cow;
use std::sync::Arc;

use rayon::prelude::*;

use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::{Part, PartKind, Spec};
use crate::judge::explain::show_field;
use crate::judge::{Case, Finding, Judgement, PlacedRule, VerdictKind};
use crate::ledger::entry::{Entry, Key};
use crate::ledger::terms::{ReadBy, Terms, terms_of};
use crate::ledger::text;
use crate::rules::OnFailing;
use crate::van::Van;

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
        let entries: Vec<Option<(Entry, Arc<str>)>> =
            judgement.catalog.specs.par_iter().enumerate().map(|(spec, _)| frame.record(spec)).collect();
        for (place, part) in judgement.catalog.parts.iter().enumerate() {
            if let Some(Some((_, body))) = entries.get(part.spec) {
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
        Some(spec) if part.sku.is_empty() => Cow::Owned(description(part, spec)),
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

/// What tells a part that has no number from another: all that its row says of it.
fn description(part: &Part<'_>, spec: &Spec) -> String {
    let facts = spec.iter().filter_map(|(field, fact)| Some(show_field(field, fact.value()?)));
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
        let fields = if entry.is_listed() {
            self.considered(spec)
        } else {
            let in_the_way = |rule: &PlacedRule<'_>| entry.against.iter().any(|name| **name == *rule.1.name);
            let read = reads(self.rules(spec.kind()).iter().filter(|rule| in_the_way(rule)));
            finding.gaps().iter().filter_map(|gap| gap.field).fold(read, |mut set, field| {
                set.insert(field);
                set
            })
        };
        let own = fields.intersection(FieldSet::of_scope(spec.kind().scope()));
        let listed = entry.is_listed();
        entry.facts = own.iter().filter_map(|field| Some((field, fact_text(spec, field, listed)?))).collect();
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

/// A fact as a record has it. Of a listed part only what is known is recorded: nothing that it rests on
/// can be open.
fn fact_text(spec: &Spec, field: Field, listed: bool) -> Option<String> {
    debug_assert!(field.scope() != Scope::Van);
    let fact = spec.fact(field)?;
    match &fact.state {
        State::Known(value) => Some(show_field(field, value)),
        _ if listed => None,
        State::Missing => Some("not stated".to_owned()),
        State::Unreadable(_) => Some("unreadable".to_owned()),
        State::Contradicted(_) => Some("contradicted".to_owned()),
    }
}
