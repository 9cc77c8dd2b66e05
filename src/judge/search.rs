//! The search for the cheapest set of works that makes a part or a package fit.
//!
//! The search is exact. A set grows, while a rule stands in the way, by a work that touches what the
//! rule reads, with all that the work requires: any cure must hold one. The works that a rule is
//! touched by are gone through in order, and what was gone through is left out from there on, so
//! that no set is met twice. Sets are taken by the least that any cure grown from them can cost,
//! then by number of works, then by file order; so the first that serves is the one the contract
//! asks for, and none of its works is superfluous.
//!
//! Three things are left out, and none of them can hold the answer: sets from which some rule can
//! never be met ([`Reachable`]), sets with a work that changes nothing beside the others, and sets
//! that come to the same as a better one with the same works left to add.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use rust_decimal::prelude::{FromPrimitive, ToPrimitive};
use rust_decimal::{Decimal, RoundingStrategy};

use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::value::Value;
use crate::judge::bench::{Bench, WorkSet};
use crate::judge::case::{Case, Look};
use crate::judge::finding::{Cure, NonEmpty};
use crate::judge::package::PassengerLoads;
use crate::judge::reachable::Reachable;
use crate::judge::work::{done, reach};
use crate::rules::{OnFailing, OnUnknown, Outcome, Rule};
use crate::van::work::{Amount, Change, Effect, Work};

/// What a cure must reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// Every rule passes and nothing is unknown.
    Proven,
    /// Nothing fails.
    NothingFails,
}

impl Aim {
    /// Whether an outcome of a rule stands in the way.
    pub(super) fn is_missed(self, rule: &Rule, outcome: Outcome) -> bool {
        match outcome {
            Outcome::Fail => rule.failing == OnFailing::Reject,
            Outcome::Unknown => self == Self::Proven && rule.unknown == OnUnknown::Unproven,
            Outcome::Pass | Outcome::NotApplicable => false,
        }
    }

    /// Whether a rule that stands in the way could stand in it no longer.
    fn could_be_met(self, rule: &Rule, facts: &Reachable<'_>) -> bool {
        let when = rule.when.as_ref().map(|when| facts.could(when));
        if when.is_some_and(|when| when.fail) {
            return true;
        }
        let demand = facts.could(&rule.demand);
        let applies = when.is_none_or(|when| when.hold);
        let unknown = when.is_some_and(|when| when.be_unknown) || (applies && demand.be_unknown);
        (applies && demand.hold) || (unknown && !self.is_missed(rule, Outcome::Unknown))
    }
}

/// A rule to be met, with what could meet it.
#[derive(Clone, Copy, Debug)]
pub struct Demand<'s> {
    /// The rule.
    pub rule: &'s Rule,
    /// The works that touch what it reads, by whatever way.
    pub touching: WorkSet,
    /// Everything that a change could reach what it reads by.
    pub reach: FieldSet,
}

impl<'s> Demand<'s> {
    /// A rule, with what works of a van could meet it.
    #[must_use]
    pub fn new(rule: &'s Rule, bench: &Bench<'_>) -> Self {
        Self { rule, touching: bench.touching(rule), reach: reach(bench.works(), rule.reads) }
    }
}

/// What cures are sought for.
#[derive(Clone, Copy, Debug)]
pub struct Question<'s> {
    /// The van's works.
    pub bench: &'s Bench<'s>,
    /// The rules to be met.
    pub demands: &'s [Demand<'s>],
    /// The facts before any work.
    pub case: Case<'s>,
    /// How passenger tires count.
    pub passenger: PassengerLoads,
    /// What is to be reached.
    pub aim: Aim,
    /// The works to choose from.
    pub allowed: WorkSet,
}

/// One search. It hands out cures, the cheapest first.
///
/// `unmet` tells of a set of works which demands it leaves unmet, by their places.
#[derive(Debug)]
pub struct Search<'s, U> {
    question: Question<'s>,
    unmet: U,
    /// The facts that some demand could be reached by.
    matters: FieldSet,
    /// Every cure, or only the cheapest of those that come to the same.
    every: bool,
    /// Sets and ways that are tried before much is reckoned.
    freely: Freely,
    waiting: BinaryHeap<Reverse<Node>>,
    best: BTreeMap<Footing, Rank>,
    tried: usize,
}

/// How far a search goes without reckoning where it could lead: most end sooner than that would pay.
#[derive(Clone, Copy, Debug)]
struct Freely {
    /// Sets tried.
    sets: usize,
    /// Ways to go on from a set.
    ways: u32,
}

const FREELY: Freely = Freely { sets: 8, ways: 3 };

/// What sets are taken by: cost, number of works, file order.
type Rank = (Decimal, u32, Vec<usize>);

/// A set in the queue, by the least rank that a cure grown from it can have.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Node {
    least: Rank,
    set: WorkSet,
    /// The works it may still grow by.
    possible: WorkSet,
    serves: bool,
}

/// Where a set leaves the facts, as far as works to come can tell: sets of one footing come to the
/// same, whatever is added to both.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Footing {
    possible: WorkSet,
    /// Works that count by themselves: those on facts that are not plain, and those required.
    by_name: WorkSet,
    /// For each plain fact the first work on file that sets it so, its extreme, and its shift.
    plain: Vec<(Field, Option<usize>, Option<i64>, i64)>,
}

impl<'s, U: FnMut(WorkSet) -> Vec<usize>> Search<'s, U> {
    /// A search that has tried nothing yet.
    #[must_use]
    pub fn new(question: Question<'s>, unmet: U) -> Self {
        let matters = question.demands.iter().fold(FieldSet::EMPTY, |all, demand| all.union(demand.reach));
        let (waiting, best) = (BinaryHeap::new(), BTreeMap::new());
        let mut search =
            Self { question, unmet, matters, every: false, freely: FREELY, waiting, best, tried: 0 };
        search.wait(Least::default(), WorkSet::EMPTY, question.bench.doable(question.allowed));
        search
    }

    /// The same search, handing out also cures that come to the same as cheaper ones.
    #[must_use]
    pub fn for_every_cure(mut self) -> Self {
        self.every = true;
        self
    }

    /// The same search, reckoning from the first set on; it finds the same.
    #[must_use]
    pub fn reckoning_at_once(mut self) -> Self {
        self.freely = Freely { sets: 0, ways: 0 };
        self
    }

    /// How many sets were tried so far.
    #[must_use]
    pub fn tried(&self) -> usize {
        self.tried
    }

    /// The next cure; none where there is none, or none that is found by trying so many sets more.
    pub fn next_within(&mut self, effort: usize) -> Option<Cure> {
        let most = self.tried.saturating_add(effort);
        while let Some(Reverse(node)) = self.waiting.pop() {
            if node.serves {
                let (cost, _, works) = node.least;
                return NonEmpty::new(works).map(|works| Cure { works, cost });
            }
            if self.tried >= most {
                return None;
            }
            self.try_set(node);
        }
        None
    }

    /// The cheapest cure; none where there is none.
    #[must_use]
    pub fn cheapest(mut self) -> Option<Cure> {
        self.next_within(usize::MAX)
    }

    fn works(&self, set: WorkSet) -> impl Iterator<Item = &'s Work> {
        let works = self.question.bench.works();
        set.iter().filter_map(move |work| works.get(work))
    }

    fn try_set(&mut self, node: Node) {
        let Node { least, set, possible, .. } = node;
        if self.is_outdone(set, possible) {
            return;
        }
        self.tried += 1;
        let demands = self.question.demands;
        let unmet: Vec<Demand<'s>> =
            (self.unmet)(set).into_iter().filter_map(|at| demands.get(at)).copied().collect();
        // The demand that fewest works touch leaves the fewest ways to go.
        let Some(narrowest) = unmet.iter().min_by_key(|demand| demand.touching.intersection(possible).len())
        else {
            let least = (self.question.bench.cost(set), set.len(), set.order());
            self.waiting.push(Reverse(Node { least, set, possible, serves: true }));
            return;
        };
        // Every demand must be touched by some work; if one never is, no set grown from this serves.
        let ways = narrowest.touching.intersection(possible);
        if ways.is_empty() {
            return;
        }
        let Some(more) = self.least_more(&unmet, set, possible) else { return };
        let least = Least { cost: least.0, works: least.1 }.or_more(Least {
            cost: self.question.bench.cost(set) + more.cost,
            works: set.len() + more.works,
        });
        let mut left = possible;
        for work in ways.iter() {
            self.grow(least, set, left, work);
            // A cure with this work and one of those after it is grown from this one.
            left = left.without(WorkSet::EMPTY.with(work));
        }
    }

    /// Puts a set with one work more, and with all that the work requires, in the queue.
    fn grow(&mut self, least: Least, set: WorkSet, possible: WorkSet, work: usize) {
        let added = self.question.bench.whole(work).without(set);
        if !added.is_within(possible) {
            return;
        }
        let grown = set.union(added);
        if !self.question.bench.at_peace(grown) {
            return;
        }
        let left = possible.without(added).without(self.question.bench.ruled_out(grown));
        let reachable = grown.union(left);
        let left: WorkSet =
            left.iter().filter(|work| self.question.bench.whole(*work).is_within(reachable)).collect();
        if self.has_idle_work(grown, left) {
            return;
        }
        self.wait(least, grown, left);
    }

    fn notes_footings(&self) -> bool {
        !self.every && self.tried > self.freely.sets
    }

    /// Whether a better set of the same footing came after this was put in the queue.
    fn is_outdone(&self, set: WorkSet, possible: WorkSet) -> bool {
        self.notes_footings()
            && self
                .best
                .get(&self.footing(set, possible))
                .is_some_and(|best| *best < (self.question.bench.cost(set), set.len(), set.order()))
    }

    fn wait(&mut self, least: Least, set: WorkSet, possible: WorkSet) {
        let (cost, works) = (self.question.bench.cost(set), set.len());
        if self.notes_footings() {
            let footing = self.footing(set, possible);
            let rank = (cost, works, set.order());
            if self.best.get(&footing).is_some_and(|best| *best <= rank) {
                return;
            }
            self.best.insert(footing, rank);
        }
        // Whatever is grown from it has a rank behind this: its works in file order may come first.
        let least = (least.cost.max(cost), least.works.max(works), Vec::new());
        self.waiting.push(Reverse(Node { least, set, possible, serves: false }));
    }

    /// The least that a cure must add to a set that leaves these demands unmet; none where no cure is
    /// grown from it.
    fn least_more(&self, unmet: &[Demand<'_>], set: WorkSet, possible: WorkSet) -> Option<Least> {
        let cheapest = |works: WorkSet| self.works(works).map(|work| work.costs).min().unwrap_or_default();
        let mut each: Vec<(Least, WorkSet)> = unmet
            .iter()
            .map(|demand| demand.touching.intersection(possible))
            .map(|touching| (Least { cost: cheapest(touching), works: 1 }, touching))
            .collect();
        let narrowest = each.iter().map(|(_, touching)| touching.len()).min().unwrap_or_default();
        if self.tried > self.freely.sets || narrowest > self.freely.ways {
            let Question { bench, case, passenger, aim, .. } = self.question;
            let done = done(&self.works(set).collect::<Vec<_>>(), case, passenger);
            let bounds = Reachable::new(bench, case, done.case(), set, possible);
            if unmet.iter().any(|demand| !aim.could_be_met(demand.rule, &bounds)) {
                return None;
            }
            for (demand, (least, touching)) in unmet.iter().zip(&mut each) {
                // A work or two need no reckoning.
                if self.tried <= self.freely.sets || touching.len() <= self.freely.ways {
                    continue;
                }
                let Some(field) = self.shifts_only(demand, *touching) else { continue };
                let shifts: Vec<(f64, Decimal)> =
                    self.works(*touching).map(|work| (shift_of(work, field).abs(), work.costs)).collect();
                let enough = |by: f64| {
                    let as_done = Reachable::new(bench, case, done.case(), set, WorkSet::EMPTY);
                    aim.could_be_met(demand.rule, &as_done.widened(field, by))
                };
                let wanted = least_such(shifts.iter().map(|(by, _)| by).sum(), enough);
                *least = least.or_more(Least::of_shifts(shifts, wanted));
            }
        }
        // Demands that no work touches two of add up.
        each.sort_by_key(|(least, _)| Reverse((least.cost, least.works)));
        let (mut sum, mut counted) = (Least::default(), WorkSet::EMPTY);
        for (least, touching) in each {
            if !touching.meets(counted) {
                sum.cost += least.cost;
                sum.works += least.works;
                counted = counted.union(touching);
            }
        }
        Some(sum)
    }

    /// The number of the van that works touch a demand by, where they do so by shifts of it alone.
    fn shifts_only(&self, demand: &Demand<'_>, touching: WorkSet) -> Option<Field> {
        let effects: Vec<&Effect> = self.works(touching).flat_map(|work| &work.effects).collect();
        let mut reaching = effects.iter().filter(|effect| demand.reach.contains(effect.field));
        let field = reaching.next()?.field;
        let of_package = FieldSet::of_scope(Scope::Package);
        let alike = field.scope() == Scope::Van
            // What follows from both parts is not followed through a number anywhere.
            && !demand.rule.reads.meets(of_package)
            && self.question.bench.plain().contains(field)
            && effects
                .iter()
                .filter(|effect| demand.reach.contains(effect.field))
                .all(|effect| effect.field == field && effect.change == Change::Shift);
        alike.then_some(field)
    }

    /// Whether a set has a work that changes nothing that matters beside the others and that nothing
    /// needs: whatever serves with it, serves without.
    fn has_idle_work(&self, set: WorkSet, possible: WorkSet) -> bool {
        let all = set.union(possible);
        set.iter().any(|work| {
            self.question.bench.requiring(work, all).len() == 1
                && self.works(WorkSet::EMPTY.with(work)).flat_map(|work| &work.effects).all(|effect| {
                    !self.matters.contains(effect.field)
                        || self.is_idle(effect, set.without(WorkSet::EMPTY.with(work)), possible)
                })
        })
    }

    fn is_idle(&self, effect: &Effect, others: WorkSet, possible: WorkSet) -> bool {
        if !self.question.bench.plain().contains(effect.field) {
            return false;
        }
        // Nothing settles a contradiction.
        if self
            .question
            .case
            .fact(effect.field)
            .is_some_and(|fact| matches!(fact.state, State::Contradicted(_)))
        {
            return true;
        }
        let Some(amount) = fixed(effect) else { return false };
        let on_it = |set: WorkSet, change: Change| {
            let effects = self.works(set).flat_map(|work| &work.effects);
            effects.filter(move |other| other.field == effect.field && other.change == change)
        };
        let covers = |value: &Value| match (effect.change, value.number(), amount.number()) {
            (Change::Set, ..) => value == amount,
            (Change::Raise, Some(value), Some(amount)) => value >= amount,
            (Change::Lower, Some(value), Some(amount)) => value <= amount,
            (Change::Raise | Change::Lower | Change::Shift, ..) => false,
        };
        if on_it(others, effect.change).filter_map(fixed).any(covers) {
            return true;
        }
        // What the van has already needs no raise. A part's fact is not the same once work is done
        // on it: a figure that stands in for a stated one no longer does.
        let is_set = on_it(others.union(possible), Change::Set).next().is_some();
        let as_it_is = matches!(self.question.case.look(effect.field), Look::Known(value) if covers(value));
        effect.field.scope() == Scope::Van && !is_set && as_it_is
    }

    fn footing(&self, set: WorkSet, possible: WorkSet) -> Footing {
        let mut plain: BTreeMap<Field, (Option<usize>, Option<i64>, i64)> = BTreeMap::new();
        let mut by_name: WorkSet =
            set.iter().filter(|work| !self.question.bench.requiring(*work, possible).is_empty()).collect();
        for at in set.iter() {
            let effects = self.works(WorkSet::EMPTY.with(at)).flat_map(|work| &work.effects);
            for effect in effects.filter(|effect| self.matters.contains(effect.field)) {
                let Some(amount) =
                    fixed(effect).filter(|_| self.question.bench.plain().contains(effect.field))
                else {
                    by_name = by_name.with(at);
                    continue;
                };
                let entry = plain.entry(effect.field).or_default();
                // Base units are whole.
                let count = amount.number().unwrap_or_default() as i64;
                match effect.change {
                    Change::Set => {
                        let like = |work: &Work| work.effects.iter().any(|other| other == effect);
                        entry.0 = self.question.bench.works().iter().position(like);
                    }
                    Change::Raise => entry.1 = Some(entry.1.map_or(count, |other| other.max(count))),
                    Change::Lower => entry.1 = Some(entry.1.map_or(count, |other| other.min(count))),
                    Change::Shift => entry.2 += count,
                }
            }
        }
        let plain = plain.into_iter().map(|(field, (set, extreme, shift))| (field, set, extreme, shift));
        Footing { possible, by_name, plain: plain.collect() }
    }
}

fn fixed(effect: &Effect) -> Option<&Value> {
    if let Amount::Fixed(value) = &effect.amount { Some(value) } else { None }
}

/// How far a work shifts a number, in base units.
fn shift_of(work: &Work, field: Field) -> f64 {
    let on_it = work.effects.iter().filter(|effect| effect.field == field && effect.change == Change::Shift);
    on_it.filter_map(fixed).filter_map(Value::number).sum()
}

/// A number just below the least one up to `most` that is enough; what is enough stays so upward.
fn least_such(most: f64, enough: impl Fn(f64) -> bool) -> f64 {
    let (mut short, mut beyond) = (0.0, most);
    // Twenty halvings tell it to a millionth, near enough for a bound.
    for _ in 0..20 {
        let middle = f64::midpoint(short, beyond);
        if enough(middle) { beyond = middle } else { short = middle }
    }
    short
}

/// What a cure must add at least, in money and in works.
#[derive(Clone, Copy, Debug, Default)]
struct Least {
    cost: Decimal,
    works: u32,
}

impl Least {
    fn or_more(self, other: Self) -> Self {
        Self { cost: self.cost.max(other.cost), works: self.works.max(other.works) }
    }

    /// What shifts that come to so much must add: the cheapest for their worth, the last one in part;
    /// and the fewest of them.
    fn of_shifts(mut shifts: Vec<(f64, Decimal)>, wanted: f64) -> Self {
        shifts.retain(|(by, _)| *by > 0.0);
        let each = |(by, cost): &(f64, Decimal)| cost.to_f64().unwrap_or_default() / by;
        shifts.sort_by(|one, other| each(one).total_cmp(&each(other)));
        let (mut cost, mut left) = (0.0, wanted);
        for shift in &shifts {
            let part = left.min(shift.0);
            cost += part * each(shift);
            left -= part;
        }
        shifts.sort_by(|one, other| other.0.total_cmp(&one.0));
        let (mut works, mut left) = (0, wanted);
        for (by, _) in &shifts {
            if left <= 0.0 {
                break;
            }
            left -= by;
            works += 1;
        }
        // Any sum has no more decimals than the costs; what floating point added is taken off first.
        let decimals = shifts.iter().map(|(_, cost)| cost.normalize().scale()).max().unwrap_or_default();
        let cost = Decimal::from_f64(cost * (1.0 - 1e-9)).unwrap_or_default();
        let cost = cost.round_dp_with_strategy(decimals, RoundingStrategy::ToPositiveInfinity);
        Self { cost, works }
    }
}
