//! The search for the cheapest set of works that makes a part or a package fit.
//!
//! The search is exact. It grows sets work by work: while a rule stands in the way, any cure must
//! hold a work that touches what the rule reads, and a work's requirements; nothing else is tried.
//! Sets are taken by cost, then by number of works, then by file order, so the first that serves is
//! the one the contract asks for, and none of its works is superfluous.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use rust_decimal::Decimal;

use crate::facts::field::Scope;
use crate::judge::case::Case;
use crate::judge::eval::truth;
use crate::judge::finding::{Cure, NonEmpty};
use crate::judge::truth::Truth;
use crate::judge::work::reach;
use crate::rules::Rule;
use crate::van::Van;
use crate::van::work::{Asks, Change, MOST_WORKS, Work};

/// A set of a van's works, by their place in its file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct WorkSet(u128);

impl WorkSet {
    /// No work.
    pub const EMPTY: Self = Self(0);

    /// The set with one work more; a place beyond [`MOST_WORKS`] changes nothing.
    #[must_use]
    pub fn with(self, work: usize) -> Self {
        if work < MOST_WORKS { Self(self.0 | 1 << work) } else { self }
    }

    /// Whether the work is in it.
    #[must_use]
    pub fn contains(self, work: usize) -> bool {
        work < MOST_WORKS && self.0 & (1 << work) != 0
    }

    /// The works of both that are the same.
    #[must_use]
    pub fn intersection(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// The works that the other set does not hold.
    #[must_use]
    pub fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether every work of it is in the other.
    #[must_use]
    pub fn is_within(self, other: Self) -> bool {
        self.0 & !other.0 == 0
    }

    /// Whether it holds nothing.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// How many works it holds.
    #[must_use]
    pub fn len(self) -> u32 {
        self.0.count_ones()
    }

    /// Its works, in file order.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        let mut left = self.0;
        std::iter::from_fn(move || {
            let next = (left != 0).then_some(left.trailing_zeros() as usize)?;
            left &= left - 1;
            Some(next)
        })
    }

    /// The places in file order, to compare sets by.
    fn order(self) -> Vec<usize> {
        self.iter().collect()
    }
}

impl FromIterator<usize> for WorkSet {
    fn from_iter<I: IntoIterator<Item = usize>>(works: I) -> Self {
        works.into_iter().fold(Self::EMPTY, Self::with)
    }
}

/// A van's works, with what rules them out for one another: worked out once, asked for every part.
#[derive(Debug)]
pub struct Bench<'v> {
    works: &'v [Work],
    clashes: Vec<WorkSet>,
    requires: Vec<WorkSet>,
}

impl<'v> Bench<'v> {
    /// The works of a van.
    #[must_use]
    pub fn new(van: &'v Van) -> Self {
        let works = van.works.as_slice();
        let clashes = (0..works.len())
            .map(|one| (0..works.len()).filter(|other| *other != one && clash(works, one, *other)).collect())
            .collect();
        let requires = works.iter().map(|work| work.requires.iter().copied().collect()).collect();
        Self { works, clashes, requires }
    }

    /// The works, in file order.
    #[must_use]
    pub fn works(&self) -> &'v [Work] {
        self.works
    }

    /// The works that touch what a rule reads, by whatever way.
    #[must_use]
    pub fn touching(&self, rule: &Rule) -> WorkSet {
        let reach = reach(self.works, rule.reads);
        (0..self.works.len()).filter(|work| self.works[*work].touches.meets(reach)).collect()
    }

    /// Which works may be done on a case at all: what each asks is judged on the facts before any
    /// work, and unknown is not allowed.
    #[must_use]
    pub fn allowed(&self, case: Case<'_>) -> WorkSet {
        let may = |work: &Work| {
            work.asks
                .as_ref()
                .is_none_or(|asks| asks_of(asks, case).is_some_and(|test| truth(test, case) == Truth::True))
        };
        (0..self.works.len()).filter(|work| may(&self.works[*work])).collect()
    }

    /// What a set costs, exactly.
    #[must_use]
    pub fn cost(&self, set: WorkSet) -> Decimal {
        set.iter().filter_map(|work| self.works.get(work)).map(|work| work.costs).sum()
    }

    /// The cheapest set of allowed works after which nothing stands in the way; none where there is
    /// none.
    ///
    /// `in_the_way` tells of a set of works what stands in the way once they are done: for each
    /// obstacle the works that touch it.
    pub fn cheapest(
        &self,
        allowed: WorkSet,
        mut in_the_way: impl FnMut(WorkSet) -> Vec<WorkSet>,
    ) -> Option<Cure> {
        let mut waiting = BinaryHeap::new();
        let mut seen: BTreeSet<WorkSet> = BTreeSet::new();
        waiting.push(Reverse((Decimal::ZERO, 0, Vec::new(), WorkSet::EMPTY)));
        while let Some(Reverse((cost, _, _, set))) = waiting.pop() {
            let lacking =
                set.iter().filter_map(|work| self.requires.get(work)).find(|all| !all.is_within(set));
            let next = if let Some(required) = lacking {
                required.without(set).iter().take(1).collect()
            } else {
                let obstacles = in_the_way(set);
                let Some(obstacle) = obstacles.first() else {
                    return NonEmpty::new(set.order()).map(|works| Cure { works, cost });
                };
                // Every obstacle must be touched by some work; if one never is, no set serves.
                if obstacles.iter().any(|touching| touching.is_empty()) {
                    continue;
                }
                *obstacle
            };
            for work in next.intersection(allowed).without(set).iter() {
                if self.clashes.get(work).is_none_or(|clashes| !clashes.intersection(set).is_empty()) {
                    continue;
                }
                let grown = set.with(work);
                if seen.insert(grown) {
                    let cost = cost + self.works[work].costs;
                    waiting.push(Reverse((cost, grown.len(), grown.order(), grown)));
                }
            }
        }
        None
    }
}

/// What a work asks of a case of this make-up; none where its question makes no sense there.
fn asks_of<'a>(asks: &'a Asks, case: Case<'_>) -> Option<&'a crate::rules::program::Test> {
    match (case.wheel, case.tire) {
        (Some(_), Some(_)) => Some(&asks.of_package),
        (Some(_), None) => asks.of_wheel.as_ref(),
        (None, _) => asks.of_tire.as_ref(),
    }
}

/// Whether two works can never be done together: one excludes the other, both set one fact
/// differently, or both shift the same fact of the wheel or tire.
fn clash(works: &[Work], one: usize, other: usize) -> bool {
    let (Some(first), Some(second)) = (works.get(one), works.get(other)) else {
        return true;
    };
    if first.excludes.contains(&other) || second.excludes.contains(&one) {
        return true;
    }
    first.effects.iter().any(|a| {
        second.effects.iter().any(|b| {
            a.field == b.field
                && match (a.change, b.change) {
                    (Change::Set, Change::Set) => a.amount != b.amount,
                    (Change::Shift, Change::Shift) => a.field.scope() != Scope::Van,
                    _ => false,
                }
        })
    })
}
