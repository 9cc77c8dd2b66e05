//! Wheels and tires that may be paired, each with what it comes to by itself.

use std::collections::HashMap;
use std::sync::OnceLock;

use foldhash::fast::RandomState;
use rayon::prelude::*;

use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::{PartKind, Spec};
use crate::judge::Judgement;
use crate::judge::bench::WorkSet;
use crate::judge::case::Case;
use crate::judge::package::derive_some;
use crate::judge::pairing::Order;
use crate::judge::pairing::listing::Listing;
use crate::judge::pairing::numbered::Numbered;
use crate::judge::pairing::outcomes::Gives;
use crate::judge::pairing::place::Figures;
use crate::judge::pairing::weigh::PairBench;
use crate::judge::verdict::Obstacles;
use crate::judge::work::with_what_they_follow_from;
use crate::van::work::Amount;

/// Rows of a wheel or a tire that nothing tells apart.
#[derive(Debug)]
pub(super) struct Candidate<'s> {
    /// Its place among those of its kind.
    pub(super) at: usize,
    pub(super) spec: &'s Spec,
    pub(super) rim: Option<u64>,
    pub(super) rows: Vec<usize>,
    /// The sheet contradicts itself about it: no package with it is proven.
    pub(super) doubted: bool,
    /// The works that what they ask of this part alone allows, or that ask something else.
    pub(super) allowed: WorkSet,
    /// Whether it fails something whatever work is done.
    pub(super) is_hopeless: bool,
    /// What it comes to by itself as things are.
    pub(super) as_it_is: Obstacles,
    /// What the placing of a package takes from it alone, as things are.
    pub(super) figures: Figures,
    listing: OnceLock<Listing<'s>>,
}

impl<'s> Candidate<'s> {
    /// The rules that it fails whatever work is done; nothing where some work saves it.
    pub(super) fn stopped_by(&self) -> &[usize] {
        if self.is_hopeless { &self.as_it_is.failing } else { &[] }
    }

    pub(super) fn count(&self) -> u64 {
        self.rows.len() as u64
    }

    /// Its rows in the order in which packages of them are listed.
    pub(super) fn listing(&self, judgement: &'s Judgement<'s>, order: Order) -> &Listing<'s> {
        self.listing.get_or_init(|| {
            Listing::of(self.rows.iter().map(|row| (*row, self.figures)), &judgement.catalog.parts, order)
        })
    }
}

/// All candidates of a kind, and their facts by number.
pub(super) fn candidates<'s>(
    judgement: &'s Judgement<'_>,
    bench: &PairBench<'_, '_>,
    kind: PartKind,
) -> (Vec<Candidate<'s>>, Numbered<'s>) {
    let catalog = &judgement.catalog;
    let mut place_of = vec![None; catalog.specs.len()];
    let mut used: Vec<&Spec> = Vec::new();
    for part in catalog.parts.iter().filter(|part| part.kind == kind) {
        if let (Some(place @ None), Some(spec)) = (place_of.get_mut(part.spec), catalog.specs.get(part.spec))
        {
            *place = Some(used.len());
            used.push(spec);
        }
    }
    let (numbered, merged) = merged(&Numbered::new(used, told_apart(bench, kind)));
    let mut rows = vec![Vec::new(); numbered.specs.len()];
    for (at, part) in catalog.parts.iter().enumerate().filter(|(_, part)| part.kind == kind) {
        let place = place_of.get(part.spec).copied().flatten();
        if let Some(rows) = place.and_then(|place| merged.get(place)).and_then(|at| rows.get_mut(*at)) {
            rows.push(at);
        }
    }
    let alone = alone(bench, &numbered, kind);
    let figures = figures(bench, &numbered, kind);
    let rim = match kind {
        PartKind::Wheel => Field::WheelRimDiameter,
        PartKind::Tire => Field::TireRimDiameter,
    };
    let each = rows.into_iter().zip(alone).zip(figures).enumerate();
    let candidate = |(at, ((rows, as_it_is), figures)): (usize, ((Vec<usize>, Obstacles), Figures))| {
        let spec = numbered.specs[at];
        let allowed = bench.allowed_alone(spec);
        let is_hopeless = bench.is_hopeless(spec, allowed, &as_it_is);
        Candidate {
            at,
            spec,
            rim: spec.fact(rim).and_then(|fact| fact.value()?.number()).map(f64::to_bits),
            rows,
            doubted: is_doubted(spec),
            allowed,
            is_hopeless,
            as_it_is,
            figures,
            listing: OnceLock::new(),
        }
    };
    let candidates = each.collect::<Vec<_>>().into_par_iter().map(candidate).collect();
    (candidates, numbered)
}

fn is_doubted(spec: &Spec) -> bool {
    spec.iter().any(|(_, fact)| matches!(fact.state, State::Contradicted(_)))
}

/// Every fact of a part of a kind that a verdict on a package, or its place among others, could rest on.
fn told_apart(bench: &PairBench<'_, '_>, kind: PartKind) -> FieldSet {
    let mut facts: FieldSet = Figures::FROM.into_iter().collect();
    facts.insert(Field::WheelRimDiameter);
    facts.insert(Field::TireRimDiameter);
    for (_, rule) in bench.judge.rules() {
        facts = facts.union(rule.reads);
    }
    for work in bench.judge.bench().works() {
        facts = facts.union(work.touches);
        facts = work.asks.iter().fold(facts, |all, asks| all.union(asks.of_package.reads()));
        for effect in &work.effects {
            facts.insert(effect.field);
            if let Amount::Of(field) = effect.amount {
                facts.insert(field);
            }
        }
    }
    with_what_they_follow_from(facts).intersection(FieldSet::of_scope(kind.scope()))
}

/// The specs of which no two are alike, and for each spec which of them it is.
fn merged<'s>(all: &Numbered<'s>) -> (Numbered<'s>, Vec<usize>) {
    let kinds = all.alike();
    let mut known: HashMap<(u32, bool), usize, RandomState> = HashMap::default();
    let mut first = Vec::new();
    let merge = |(at, (kind, spec)): (usize, (&u32, &&Spec))| {
        let next = first.len();
        *known.entry((*kind, is_doubted(spec))).or_insert_with(|| {
            first.push(at);
            next
        })
    };
    let merged = kinds.of.iter().zip(&all.specs).enumerate().map(merge).collect();
    (all.some(&first), merged)
}

/// What stands in the way of each spec by itself as things are; every rule is asked once for alike specs.
fn alone(bench: &PairBench<'_, '_>, specs: &Numbered<'_>, kind: PartKind) -> Vec<Obstacles> {
    let mut alone = vec![Obstacles::default(); specs.specs.len()];
    for (at, (_, rule)) in bench.judge.rules().iter().enumerate() {
        if rule.on != kind.into() || bench.nothing().lacks_limit(rule.reads).is_some() {
            continue;
        }
        let kinds = specs.kinds(rule.reads);
        let gives: Vec<Gives> =
            kinds.first.iter().map(|first| Gives::of(rule, bench.alone(specs.specs[*first]))).collect();
        if gives.iter().all(|gives| *gives == Gives::Nothing) {
            continue;
        }
        for (obstacles, kind) in alone.iter_mut().zip(&kinds.of) {
            match gives[*kind as usize] {
                Gives::Nothing => {}
                Gives::Failing => obstacles.failing.push(at),
                Gives::Unknown => obstacles.unknown.push(at),
                Gives::Drawback => obstacles.drawbacks += 1,
            }
        }
    }
    alone
}

/// What the placing of a package takes from each spec alone; nothing of wheels.
fn figures(bench: &PairBench<'_, '_>, specs: &Numbered<'_>, kind: PartKind) -> Vec<Figures> {
    if kind == PartKind::Wheel {
        return vec![Figures::default(); specs.specs.len()];
    }
    let from: FieldSet = [Field::PackageRoadSpeedError, Field::PackageOverallDiameter].into_iter().collect();
    let seen = with_what_they_follow_from(from);
    let kinds = specs.kinds(seen.intersection(FieldSet::of_scope(Scope::Tire)));
    let figures_of = |first: &usize| {
        let case = bench.alone(specs.specs[*first]);
        let facts = derive_some(case, bench.judge.passenger(), from);
        Figures { reserve: None, ..Figures::of(Case { package: Some(&facts), ..case }) }
    };
    let figures: Vec<Figures> = kinds.first.iter().map(figures_of).collect();
    kinds.of.iter().map(|kind| figures[*kind as usize]).collect()
}
