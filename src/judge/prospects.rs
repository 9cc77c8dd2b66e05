//! What else there is to say about work: other cures than the cheapest, and why nothing cures what
//! fails. Worked out only where somebody asks.

use std::collections::BTreeSet;

use crate::judge::bench::WorkSet;
use crate::judge::case::Case;
use crate::judge::eval::{outcome, truth};
use crate::judge::explain::{Distance, evidence};
use crate::judge::finding::Cure;
use crate::judge::search::Aim;
use crate::judge::truth::Truth;
use crate::judge::verdict::Judge;
use crate::rules::Outcome;

/// Alternatives told at most.
const MOST_ALTERNATIVES: usize = 3;
/// Sets tried for what is told besides; what no such effort finds is left untold.
const EFFORT: usize = 1500;
/// Cures of one rule looked at for one that breaks nothing.
const MOST_CURES: usize = 20;

/// Why no allowed work cures a rule that fails.
#[derive(Clone, Debug, PartialEq)]
pub enum Hindrance {
    /// No work on file changes anything that the rule rests on.
    Untouched,
    /// Works change it, but what they ask first is not so, or not shown.
    Barred(Vec<Barred>),
    /// No set of works goes far enough.
    TooLittle {
        /// Works that come near, by their place; none where none comes nearer.
        with: Vec<usize>,
        /// How far off it still is with them; none where there is no figure.
        left: Option<Distance>,
        /// Works that are not allowed.
        barred: Vec<Barred>,
    },
    /// Whatever cures it makes another rule fail.
    Breaks {
        /// The cheapest that cures it.
        with: Cure,
        /// The rules that fail then, by their place in the rule set.
        then: Vec<usize>,
    },
    /// Some works cure it, but not together with what the other failing rules need.
    NotWithTheRest {
        /// The cheapest that cures it and breaks nothing.
        with: Cure,
    },
}

/// A work that what it asks keeps from being done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Barred {
    /// The work, by its place.
    pub work: usize,
    /// Whether what it asks is known not to be so; else it is not shown.
    pub refuted: bool,
}

impl Judge<'_> {
    /// For each rule that a case fails, by its place in the rule set, why no work cures it. Meant for
    /// a case that is rejected.
    #[must_use]
    pub fn hindrances(&self, case: Case<'_>) -> Vec<(usize, Hindrance)> {
        let as_it_is = self.with_done(WorkSet::EMPTY, case);
        let case = as_it_is.case();
        let allowed = self.bench().allowed(case);
        self.unmet(WorkSet::EMPTY, case, Aim::NothingFails)
            .into_iter()
            .filter_map(|at| Some((self.rules().get(at)?.0, self.hindrance(at, case, allowed)?)))
            .collect()
    }

    fn hindrance(&self, at: usize, case: Case<'_>, allowed: WorkSet) -> Option<Hindrance> {
        let touching = self.demands().get(at)?.touching;
        if touching.is_empty() {
            return Some(Hindrance::Untouched);
        }
        let aim = Aim::NothingFails;
        let only_this = |set| -> Vec<usize> {
            self.unmet(set, case, aim).into_iter().filter(|unmet| *unmet == at).collect()
        };
        let doable = self.bench().doable(allowed);
        // What a work asks hinders only where the work would help.
        let every = (0..self.bench().works().len()).collect();
        let helps_if_allowed = || self.search(case, aim, every, only_this).cheapest().is_some();
        let barred = self.barred(touching, allowed, case);
        let barred = if !barred.is_empty() && helps_if_allowed() { barred } else { Vec::new() };
        if !touching.meets(doable) && !barred.is_empty() {
            return Some(Hindrance::Barred(barred));
        }
        let Some(with) = self.search(case, aim, allowed, only_this).cheapest() else {
            let (with, left) = self.nearest(at, case, touching.intersection(doable));
            return Some(Hindrance::TooLittle { with: with.order(), left, barred });
        };
        let mut cures = self.search(case, aim, allowed, only_this).for_every_cure();
        let mut broken = None;
        for _ in 0..MOST_CURES {
            let Some(cure) = cures.next_within(EFFORT) else { break };
            let then = self.broken(&cure, case);
            if then.is_empty() {
                return Some(Hindrance::NotWithTheRest { with: cure });
            }
            broken.get_or_insert((cure, then));
        }
        let (with, then) = broken.unwrap_or_else(|| {
            let then = self.broken(&with, case);
            (with, then)
        });
        Some(Hindrance::Breaks { with, then })
    }

    /// The rules that pass as it is and fail with a cure done, by their place in the rule set.
    fn broken(&self, cure: &Cure, case: Case<'_>) -> Vec<usize> {
        let failing =
            |set| -> BTreeSet<usize> { self.unmet(set, case, Aim::NothingFails).into_iter().collect() };
        let before = failing(WorkSet::EMPTY);
        let after = failing(cure.works.iter().copied().collect());
        after.difference(&before).filter_map(|at| self.rules().get(*at)).map(|(place, _)| *place).collect()
    }

    /// Works that a cure would need, and that may not be done.
    fn barred(&self, touching: WorkSet, allowed: WorkSet, case: Case<'_>) -> Vec<Barred> {
        let needed = touching.iter().fold(WorkSet::EMPTY, |all, work| all.union(self.bench().whole(work)));
        let refuted = |work: usize| {
            let asks = self.bench().works().get(work).and_then(|work| work.asks.as_ref());
            asks.and_then(|asks| asks.of(case)).is_some_and(|test| truth(test, case) == Truth::False)
        };
        needed.without(allowed).iter().map(|work| Barred { work, refuted: refuted(work) }).collect()
    }

    /// How near works come to meeting a rule, adding the one that helps most while one helps.
    fn nearest(&self, at: usize, case: Case<'_>, works: WorkSet) -> (WorkSet, Option<Distance>) {
        let left = |set: WorkSet| -> Option<Distance> {
            let done = self.with_done(set, case);
            let (_, rule) = self.rules().get(at)?;
            let fails = outcome(rule, done.case()) == Outcome::Fail;
            evidence(&rule.demand, done.case()).filter(|_| fails)?.distance
        };
        let (mut set, mut best) = (WorkSet::EMPTY, left(WorkSet::EMPTY));
        while let Some(now) = best {
            let grown = works.without(set).iter().map(|work| set.union(self.bench().whole(work)));
            let nearer = grown
                .filter(|grown| self.bench().at_peace(*grown))
                .filter_map(|grown| Some((left(grown)?, grown)))
                .filter(|(left, _)| left.base < now.base && left.dimension == now.dimension)
                .min_by(|(one, _), (other, _)| one.base.total_cmp(&other.base));
            let Some((left, grown)) = nearer else { break };
            (set, best) = (grown, Some(left));
        }
        (set, best)
    }

    /// Cures that cost more than the chosen one and spare a drawback of every cheaper one told; none
    /// of their works is superfluous. `aim` is what the chosen one reaches.
    #[must_use]
    pub fn alternatives(&self, case: Case<'_>, chosen: &Cure, aim: Aim) -> Vec<Cure> {
        let as_it_is = self.with_done(WorkSet::EMPTY, case);
        let case = as_it_is.case();
        let unmet = |set| self.unmet(set, case, aim);
        let mut cures = self.search(case, aim, self.bench().allowed(case), unmet).for_every_cure();
        let mut told = vec![chosen.clone()];
        while told.len() <= MOST_ALTERNATIVES {
            let left = EFFORT.saturating_sub(cures.tried());
            let Some(cure) = cures.next_within(left) else { break };
            let spares = told.iter().all(|cheaper| {
                let own = self.drawbacks(&cure);
                cheaper.cost < cure.cost && self.drawbacks(cheaper).iter().any(|one| !own.contains(one))
            });
            if spares && !self.has_superfluous(&cure, &unmet) {
                told.push(cure);
            }
        }
        told.remove(0);
        told
    }

    /// What a cure leaves behind.
    fn drawbacks(&self, cure: &Cure) -> BTreeSet<&str> {
        let works = cure.works.iter().filter_map(|work| self.bench().works().get(*work));
        works.flat_map(|work| &work.leaves).map(AsRef::as_ref).collect()
    }

    /// Whether a cure serves without one of its works and those that require it.
    fn has_superfluous(&self, cure: &Cure, unmet: &impl Fn(WorkSet) -> Vec<usize>) -> bool {
        let set: WorkSet = cure.works.iter().copied().collect();
        set.iter().any(|work| unmet(set.without(self.bench().requiring(work, set))).is_empty())
    }
}
