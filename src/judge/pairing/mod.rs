//! Pairing: which wheels and tires make a package for one van, best first.
//!
//! Pairs are judged by classes of parts, not by rows. Whatever a rule gives on packages is worked out once for
//! all pairs that are alike to it (`outcomes`); wheels that come to the same with every tire are one class, and
//! so are tires (`class`); only pairs of one rim are looked at, and of most pairs of classes no row is ever
//! touched: they are counted, and what best package they could hold tells whether their rows are worth listing
//! (`listing`). Where work may help, the pairs of two classes are judged one by one (`weigh`); what a wheel
//! or a tire comes to by itself under a set of works is worked out once. The verdict is that of
//! [`Judge::finding`] on the same facts, which tells the listed pairs in full.

mod candidate;
mod class;
mod listing;
mod numbered;
mod outcomes;
mod place;
mod table;
mod weigh;

use std::cmp::Reverse;

use rayon::prelude::*;

use crate::facts::part::PartKind;
use crate::judge::Judgement;
use crate::judge::finding::{Finding, VerdictKind};
use crate::judge::pairing::candidate::{Candidate, candidates};
use crate::judge::pairing::class::classes;
use crate::judge::pairing::outcomes::Outcomes;
use crate::judge::pairing::table::Table;
use crate::judge::pairing::weigh::PairBench;
use crate::judge::verdict::Judge;
use crate::van::Van;

/// In which order packages are listed. Those that are not proven come last in any order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Order {
    /// The most appropriate first: fitting as it is, few drawbacks, near the stock road speed, cheap.
    #[default]
    Appropriate,
    /// The lowest total first.
    Price,
    /// The most load in reserve first, on the axle that has the least.
    Margin,
    /// The largest tire first.
    Diameter,
}

/// What is asked for.
#[derive(Clone, Debug)]
pub struct Request {
    /// How many wheels, and tires, make a set.
    pub set: u32,
    /// The order.
    pub order: Order,
    /// How many packages to list at most.
    pub best: usize,
    /// Whether rejected pairs of one rim are listed too.
    pub rejected: bool,
}

/// A wheel and a tire as a package.
#[derive(Clone, Debug)]
pub struct Package {
    /// The wheel, by its place among the catalog's parts.
    pub wheel: usize,
    /// The tire, likewise.
    pub tire: usize,
    /// What judging them together comes to.
    pub finding: Finding,
}

/// What pairing comes to.
#[derive(Clone, Debug, Default)]
pub struct Pairing {
    /// The packages asked for, best first.
    pub listed: Vec<Package>,
    /// Pairs of rows by verdict, in the order of [`VerdictKind::ALL`]; pairs of one rim only.
    pub counts: [u64; 4],
    /// Pairs of rows whose rims differ or are not known.
    pub other_rims: u64,
    /// How many rejected pairs each rule fails, by its place in the rule set; most first.
    pub stopping: Vec<(usize, u64)>,
}

/// Pairs the wheels and tires of a judgement for the van at a place.
#[must_use]
pub fn pair(judgement: &Judgement<'_>, van: usize, request: &Request) -> Pairing {
    let (Some(van), Some(judge)) = (judgement.vans.get(van), judgement.package_judge(van)) else {
        return Pairing::default();
    };
    let bench = PairBench::new(&judge, van, judgement.as_of.as_ref());
    let candidates_of = |kind| candidates(judgement, &bench, kind);
    let ((wheels, wheel_facts), (tires, tire_facts)) =
        rayon::join(|| candidates_of(PartKind::Wheel), || candidates_of(PartKind::Tire));
    let outcomes = if bench.entangled {
        None
    } else {
        Outcomes::new(&judge, &wheel_facts, &tire_facts, bench.nothing())
    };
    let rims = classes(judgement, outcomes.as_ref(), (&wheels, &wheel_facts), (&tires, &tire_facts), request);
    let pairs: Vec<_> =
        rims.iter().flat_map(|rim| rim.wheels.iter().map(move |one| (one, &rim.tires))).collect();
    // Every thread takes a share of each rim: some rims are of far more work than others.
    let threads = rayon::current_num_threads().max(1);
    let found = (0..threads).into_par_iter().map(|thread| {
        let mut table = Table::new(judgement, &bench, outcomes.as_ref(), request);
        for (wheel, tires) in pairs.iter().skip(thread).step_by(threads) {
            for tire in *tires {
                table.take(wheel, tire);
            }
        }
        table
    });
    let Some(table) = found.reduce_with(Table::merged) else { return Pairing::default() };
    let rows = |list: &[Candidate<'_>]| list.iter().map(Candidate::count).sum::<u64>();
    let all = rows(&wheels) * rows(&tires);
    let placed = |(rule, pairs): (usize, u64)| Some((judge.rules().get(rule)?.0, pairs));
    let stopping = table.stopping.iter().copied().enumerate().filter(|(_, pairs)| *pairs > 0);
    let mut stopping: Vec<(usize, u64)> = stopping.filter_map(placed).collect();
    stopping.sort_by_key(|(rule, pairs)| (Reverse(*pairs), *rule));
    let counts = table.counts;
    let best = table.best_first();
    let listed =
        best.into_iter().filter_map(|entry| package(judgement, &judge, van, entry.wheel, entry.tire));
    Pairing { listed: listed.collect(), counts, other_rims: all - counts.iter().sum::<u64>(), stopping }
}

/// Judges one row with another as a package; none where a place holds no part.
#[must_use]
pub fn package(
    judgement: &Judgement<'_>,
    judge: &Judge<'_>,
    van: &Van,
    wheel: usize,
    tire: usize,
) -> Option<Package> {
    let parts = &judgement.catalog.parts;
    let case = judgement.package_case(van, parts.get(wheel)?, parts.get(tire)?);
    Some(Package { wheel, tire, finding: judge.finding(case) })
}

impl Pairing {
    /// How many pairs of rows of one rim have a verdict.
    #[must_use]
    pub fn count(&self, kind: VerdictKind) -> u64 {
        self.counts.get(kind as usize).copied().unwrap_or(0)
    }
}
