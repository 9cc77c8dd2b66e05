//! A first look at pairs: what the rules on packages give as things are, each worked out once for all pairs
//! that are alike to it.
//!
//! A rule sees of a wheel and of a tire no more than the facts it reads and those that the package's facts
//! follow from. Parts that are alike in these are one kind to the rule, and a table holds its outcome for each
//! kind of wheel with each kind of tire.

use std::collections::HashMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};

use crate::facts::fact::{Fact, State};
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::{Spec, Subject};
use crate::judge::eval::outcome;
use crate::judge::package::follows_from;
use crate::judge::verdict::Judge;
use crate::judge::{Case, bench::WorkSet};
use crate::rules::{OnFailing, OnUnknown, Outcome};

/// Outcomes that one table may hold: beyond, pairs are judged one by one.
const MOST_OUTCOMES: usize = 1 << 26;

/// What a rule on packages gives, as far as the verdict needs it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Gives {
    /// Nothing that counts.
    Nothing = 1,
    /// It fails, and rejects.
    Failing = 2,
    /// It cannot be decided, and must be.
    Unknown = 3,
    /// It fails, and only cautions.
    Drawback = 4,
}

impl Gives {
    fn of(found: Outcome, failing: OnFailing, unknown: OnUnknown) -> Self {
        match (found, failing, unknown) {
            (Outcome::Fail, OnFailing::Reject, _) => Self::Failing,
            (Outcome::Fail, OnFailing::Caution, _) => Self::Drawback,
            (Outcome::Unknown, _, OnUnknown::Unproven) => Self::Unknown,
            (Outcome::Fail | Outcome::Unknown | Outcome::Pass | Outcome::NotApplicable, _, _) => {
                Self::Nothing
            }
        }
    }

    fn from_mark(mark: u8) -> Option<Self> {
        [Self::Nothing, Self::Failing, Self::Unknown, Self::Drawback]
            .into_iter()
            .find(|gives| *gives as u8 == mark)
    }
}

/// The kind that a part is to each rule on packages, in the order of the rules.
pub(super) type Kinds = Box<[u32]>;

/// What the rules on packages give for a pair as things are.
#[derive(Clone, Debug, Default)]
pub(super) struct Seen {
    /// Rules that fail and reject, by their place among those judged by.
    pub(super) failing: Vec<usize>,
    /// Whether a rule cannot be decided and must be.
    pub(super) unknown: bool,
    /// How many rules fail and only caution.
    pub(super) drawbacks: u32,
    /// Whether a rule fails that no work touches.
    pub(super) out_of_reach: bool,
}

impl Seen {
    fn clear(&mut self) {
        self.failing.clear();
        (self.unknown, self.drawbacks, self.out_of_reach) = (false, 0, false);
    }
}

/// The rules on packages with what they came to so far; shared by all threads.
#[derive(Debug)]
pub(super) struct Glance<'g, 'j> {
    judge: &'g Judge<'j>,
    rules: Vec<Watched>,
}

/// One rule on packages.
#[derive(Debug)]
struct Watched {
    /// Its place among those judged by.
    at: usize,
    /// What it sees of a wheel, and of a tire.
    sees: [FieldSet; 2],
    /// How many kinds of tire there are to it.
    tires: usize,
    /// The outcome for each kind of wheel with each kind of tire; 0 where it was not asked for yet.
    outcomes: Vec<AtomicU8>,
}

impl<'g, 'j> Glance<'g, 'j> {
    /// The rules on packages, with the kinds that wheels and tires are to them; none where there are more kinds
    /// than tables are worth.
    pub(super) fn new(
        judge: &'g Judge<'j>,
        wheels: &[&Spec],
        tires: &[&Spec],
    ) -> Option<(Self, Vec<Kinds>, Vec<Kinds>)> {
        let on_packages =
            judge.rules().iter().enumerate().filter(|(_, (_, rule))| rule.on == Subject::Package);
        let mut rules: Vec<Watched> = on_packages
            .map(|(at, (_, rule))| {
                let sees = rule.reads.iter().fold(rule.reads, |all, field| all.union(follows_from(field)));
                let sees =
                    [Scope::Wheel, Scope::Tire].map(|scope| sees.intersection(FieldSet::of_scope(scope)));
                Watched { at, sees, tires: 0, outcomes: Vec::new() }
            })
            .collect();
        let mut states = States::default();
        let (wheel_kinds, wheel_counts) = kinds(wheels, rules.iter().map(|rule| rule.sees[0]), &mut states);
        let (tire_kinds, tire_counts) = kinds(tires, rules.iter().map(|rule| rule.sees[1]), &mut states);
        for ((rule, wheels), tires) in rules.iter_mut().zip(wheel_counts).zip(tire_counts) {
            let size = wheels.checked_mul(tires).filter(|size| *size <= MOST_OUTCOMES)?;
            rule.tires = tires;
            rule.outcomes = (0..size).map(|_| AtomicU8::new(0)).collect();
        }
        Some((Self { judge, rules }, wheel_kinds, tire_kinds))
    }

    /// What the rules give for a pair; `case` holds both parts as the sheets have them. None for parts
    /// that were not sorted into kinds: a rule that is not looked at is not passed.
    pub(super) fn look(&self, wheel: &Kinds, tire: &Kinds, case: Case<'_>, seen: &mut Seen) -> Option<()> {
        seen.clear();
        let mut done = None;
        for (at, rule) in self.rules.iter().enumerate() {
            let (wheel, tire) = (*wheel.get(at)? as usize, *tire.get(at)? as usize);
            let held = rule.outcomes.get(wheel * rule.tires + tire)?;
            let gives = Gives::from_mark(held.load(Ordering::Relaxed)).unwrap_or_else(|| {
                let done = done.get_or_insert_with(|| self.judge.with_done(WorkSet::EMPTY, case));
                let (_, judged) = self.judge.rules()[rule.at];
                let gives = Gives::of(outcome(judged, done.case()), judged.failing, judged.unknown);
                // Whoever comes first writes what any other would.
                held.store(gives as u8, Ordering::Relaxed);
                gives
            });
            match gives {
                Gives::Nothing => {}
                Gives::Failing => {
                    seen.failing.push(rule.at);
                    seen.out_of_reach |= self.judge.demands()[rule.at].touching.is_empty();
                }
                Gives::Unknown => seen.unknown = true,
                Gives::Drawback => seen.drawbacks += 1,
            }
        }
        Some(())
    }
}

/// The kinds of parts to each rule, and how many kinds there are to it.
fn kinds(
    specs: &[&Spec],
    sees: impl Iterator<Item = FieldSet>,
    states: &mut States,
) -> (Vec<Kinds>, Vec<usize>) {
    let sees: Vec<Vec<Field>> = sees.map(|fields| fields.iter().collect()).collect();
    let mut known: Vec<HashMap<Vec<u32>, u32>> = vec![HashMap::new(); sees.len()];
    let kinds = specs.iter().map(|spec| {
        let each = sees.iter().zip(&mut known).map(|(fields, known)| {
            let alike: Vec<u32> = fields.iter().map(|field| states.number(spec.fact(*field))).collect();
            let next = known.len() as u32;
            *known.entry(alike).or_insert(next)
        });
        each.collect()
    });
    let kinds = kinds.collect();
    (kinds, known.iter().map(HashMap::len).collect())
}

/// Facts by number: two have the same where no rule tells them apart.
#[derive(Debug, Default)]
struct States {
    /// Alike rows share their facts, so most are known by where they stand in memory.
    by_place: HashMap<*const Fact, u32>,
    by_state: HashMap<String, u32>,
}

impl States {
    fn number(&mut self, fact: Option<&Arc<Fact>>) -> u32 {
        let Some(fact) = fact else { return u32::MAX };
        let Self { by_place, by_state } = self;
        *by_place.entry(Arc::as_ptr(fact)).or_insert_with(|| {
            // A designation that stands in for a stated figure is not the same as one that is stated.
            let state = match &fact.state {
                State::Known(value) => format!("{} {value:?}", fact.stands_in()),
                State::Missing => format!("{} missing", fact.stands_in()),
                State::Unreadable(_) | State::Contradicted(_) => format!("{} unusable", fact.stands_in()),
            };
            let next = by_state.len() as u32;
            *by_state.entry(state).or_insert(next)
        })
    }
}
