//! What the rules on packages give as things are, each worked out once for all pairs that are alike to it.
//!
//! A rule sees of a wheel and of a tire no more than the facts it reads and those that the package's facts
//! follow from. Parts that are alike in these are one kind to the rule, and a table holds its outcome for each
//! kind of wheel with each kind of tire. Kinds that come to the same with every kind of the other part are put
//! together, so that a load rating among fifty is soon one of three.

use std::collections::HashMap;
use std::hash::Hash;
use std::sync::atomic::{AtomicU8, Ordering};

use foldhash::fast::RandomState;
use rayon::prelude::*;

use crate::facts::field::{FieldSet, Scope};
use crate::facts::part::{PartKind, Subject};
use crate::judge::Case;
use crate::judge::eval::{Figure, outcome};
use crate::judge::package::{derive_some, follows_from, from_tire, standing_for};
use crate::judge::pairing::numbered::{Kinds, Numbered};
use crate::judge::verdict::Judge;
use crate::rules::{OnFailing, OnUnknown, Outcome, Rule};

/// Outcomes that one table may hold: beyond, pairs are judged one by one.
const MOST_OUTCOMES: usize = 1 << 26;

/// Outcomes that are worked out ahead of any pair; in larger tables only those that are asked for.
const WORKED_OUT_AHEAD: usize = 1 << 20;

/// What a rule on packages or on a part gives, as far as the verdict needs it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Gives {
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
    /// What a rule gives on a case.
    pub(super) fn of(rule: &Rule, case: Case<'_>) -> Self {
        match (outcome(rule, case), rule.failing, rule.unknown) {
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

/// What the rules on packages give for a pair as things are.
#[derive(Clone, Debug, Default)]
pub(super) struct Seen {
    /// Rules that fail and reject, by their place among those judged by.
    pub(super) failing: Vec<usize>,
    /// Whether a rule cannot be decided and must be.
    pub(super) unknown: bool,
    /// Whether such a rule is one that no work touches.
    pub(super) unknown_for_good: bool,
    /// How many rules fail and only caution.
    pub(super) drawbacks: u32,
    /// Whether a rule fails that no work touches.
    pub(super) fails_for_good: bool,
}

impl Seen {
    fn clear(&mut self) {
        self.failing.clear();
        (self.unknown, self.unknown_for_good, self.drawbacks, self.fails_for_good) = (false, false, 0, false);
    }
}

/// The rules on packages that can come to anything, with what they come to.
#[derive(Debug)]
pub(super) struct Outcomes<'g, 'j> {
    judge: &'g Judge<'j>,
    rules: Vec<Watched>,
}

/// One rule on packages.
#[derive(Debug)]
struct Watched {
    /// Its place among those judged by.
    at: usize,
    is_touched: bool,
    /// What each wheel, and each tire, is to it.
    numbers: [Vec<u32>; 2],
    /// How many tires there are that it tells apart.
    tires: usize,
    cells: Cells,
}

/// The outcome for each wheel with each tire that a rule tells apart.
#[derive(Debug)]
enum Cells {
    Known(Vec<Gives>),
    /// 0 where it was not asked for yet; shared by all threads.
    Asked(Vec<AtomicU8>),
}

impl<'g, 'j> Outcomes<'g, 'j> {
    /// What the rules give for these wheels and tires; none where there are more kinds than tables are worth.
    /// `case` is a pair as the sheets have it.
    pub(super) fn new<'c>(
        judge: &'g Judge<'j>,
        wheels: &Numbered<'c>,
        tires: &Numbered<'c>,
        empty: Case<'c>,
    ) -> Option<Self> {
        let watch = |(sees, rules): (Sees, Vec<usize>)| {
            let kinds = [wheels.kinds(sees.wheel), tire_kinds(judge, sees, tires, empty)];
            watched(judge, &rules, [wheels, tires], &kinds, empty)
        };
        let rules: Option<Vec<Vec<Watched>>> = grouped(judge, empty).into_par_iter().map(watch).collect();
        Some(Self { judge, rules: rules?.into_iter().flatten().collect() })
    }

    /// What a part of a kind is to each rule, in the order of the rules.
    pub(super) fn of(&self, kind: PartKind, at: usize) -> impl Iterator<Item = u32> {
        self.rules.iter().map(move |rule| rule.numbers[kind.place()][at])
    }

    /// What the rules give for a wheel and a tire that are so much to each of them; `case` holds both as the
    /// sheets have them.
    pub(super) fn look(&self, wheel: &[u32], tire: &[u32], case: Case<'_>, seen: &mut Seen) {
        seen.clear();
        for ((rule, wheel), tire) in self.rules.iter().zip(wheel).zip(tire) {
            let cell = *wheel as usize * rule.tires + *tire as usize;
            let gives = match &rule.cells {
                Cells::Known(cells) => cells[cell],
                Cells::Asked(cells) => {
                    Gives::from_mark(cells[cell].load(Ordering::Relaxed)).unwrap_or_else(|| {
                        let gives = gives(self.judge, self.judge.rules()[rule.at].1, case);
                        // Whoever comes first writes what any other would.
                        cells[cell].store(gives as u8, Ordering::Relaxed);
                        gives
                    })
                }
            };
            match gives {
                Gives::Nothing => {}
                Gives::Failing => {
                    seen.failing.push(rule.at);
                    seen.fails_for_good |= !rule.is_touched;
                }
                Gives::Unknown => {
                    seen.unknown = true;
                    seen.unknown_for_good |= !rule.is_touched;
                }
                Gives::Drawback => seen.drawbacks += 1,
            }
        }
    }
}

/// Watches rules that see the same of a pair, by the kinds that wheels and tires are to them; none where these are
/// more than a table is worth.
fn watched<'c>(
    judge: &Judge<'_>,
    rules: &[usize],
    parts: [&Numbered<'c>; 2],
    kinds: &[Kinds; 2],
    empty: Case<'c>,
) -> Option<Vec<Watched>> {
    let [of_wheel, of_tire] = kinds;
    let across = of_tire.first.len();
    let size = of_wheel.first.len().checked_mul(across).filter(|size| *size <= MOST_OUTCOMES)?;
    if size <= WORKED_OUT_AHEAD {
        let rows = worked_out(judge, rules, parts, kinds, empty);
        let of_rule = |(place, at): (usize, &usize)| {
            let own = |row: &Vec<Gives>| row.iter().skip(place).step_by(rules.len()).copied().collect();
            Watched::known(judge, *at, rows.iter().map(own).collect(), kinds)
        };
        return Some(rules.iter().enumerate().filter_map(of_rule).collect());
    }
    let asked = |at: &usize| Watched {
        at: *at,
        is_touched: is_touched(judge, *at),
        numbers: [of_wheel.of.clone(), of_tire.of.clone()],
        tires: across,
        cells: Cells::Asked((0..size).map(|_| AtomicU8::new(0)).collect()),
    };
    Some(rules.iter().map(asked).collect())
}

/// What each rule gives, tire by tire, for each wheel: the package's facts are worked out for all rules at once.
fn worked_out<'c>(
    judge: &Judge<'_>,
    rules: &[usize],
    [wheels, tires]: [&Numbered<'c>; 2],
    [of_wheel, of_tire]: &[Kinds; 2],
    empty: Case<'c>,
) -> Vec<Vec<Gives>> {
    let reads = rules.iter().fold(FieldSet::EMPTY, |all, at| all.union(judge.rules()[*at].1.reads));
    let row = |wheel: &usize| -> Vec<Gives> {
        let mut row = Vec::with_capacity(of_tire.first.len() * rules.len());
        for tire in &of_tire.first {
            let case = Case { wheel: Some(wheels.specs[*wheel]), tire: Some(tires.specs[*tire]), ..empty };
            let facts = derive_some(case, judge.passenger(), reads);
            let case = Case { package: Some(&facts), ..case };
            row.extend(rules.iter().map(|at| Gives::of(judge.rules()[*at].1, case)));
        }
        row
    };
    of_wheel.first.par_iter().map(row).collect()
}

impl Watched {
    /// A rule of which every outcome is known, a row for each kind of wheel; none where it comes to nothing.
    fn known(
        judge: &Judge<'_>,
        at: usize,
        rows: Vec<Vec<Gives>>,
        [of_wheel, of_tire]: &[Kinds; 2],
    ) -> Option<Self> {
        if rows.iter().flatten().all(|gives| *gives == Gives::Nothing) {
            return None;
        }
        let (row_of, rows) = distinct(rows);
        let columns = (0..of_tire.first.len()).map(|column| rows.iter().map(|row| row[column]).collect());
        let (column_of, columns): (_, Vec<Vec<Gives>>) = distinct(columns.collect());
        let cells = (0..rows.len()).flat_map(|row| columns.iter().map(move |column| column[row]));
        let number = |kinds: &Kinds, numbers: &[u32]| -> Vec<u32> {
            kinds.of.iter().map(|kind| numbers[*kind as usize]).collect()
        };
        Some(Self {
            at,
            is_touched: is_touched(judge, at),
            numbers: [number(of_wheel, &row_of), number(of_tire, &column_of)],
            tires: columns.len(),
            cells: Cells::Known(cells.collect()),
        })
    }
}

/// Whether some work touches what a rule reads.
fn is_touched(judge: &Judge<'_>, at: usize) -> bool {
    !judge.demands()[at].touching.is_empty()
}

/// What a rule on packages sees of a pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Sees {
    wheel: FieldSet,
    /// Of the tire, what the package's facts follow from included.
    tire: FieldSet,
    /// Facts of the tire that it reads.
    read: FieldSet,
    /// Facts of the package of which each stands for those that take the same from a tire.
    taken: FieldSet,
}

/// The rules on packages that can come to anything, those together that see the same.
fn grouped(judge: &Judge<'_>, empty: Case<'_>) -> Vec<(Sees, Vec<usize>)> {
    let mut groups: Vec<(Sees, Vec<usize>)> = Vec::new();
    for (at, (_, rule)) in judge.rules().iter().enumerate() {
        // A limit that the van does not state is wanting for all pairs alike.
        if rule.on != Subject::Package || empty.lacks_limit(rule.reads).is_some() {
            continue;
        }
        let all = rule.reads.iter().fold(rule.reads, |all, field| all.union(follows_from(field)));
        let of = |fields: FieldSet, scope| fields.intersection(FieldSet::of_scope(scope));
        let sees = Sees {
            wheel: of(all, Scope::Wheel),
            tire: of(all, Scope::Tire),
            read: of(rule.reads, Scope::Tire),
            taken: of(rule.reads, Scope::Package).iter().map(standing_for).collect(),
        };
        match groups.iter_mut().find(|(known, _)| *known == sees) {
            Some((_, rules)) => rules.push(at),
            None => groups.push((sees, vec![at])),
        }
    }
    groups
}

/// The kinds that tires are to a rule: those that differ in a fact which the rule reads, or in what some fact of
/// the package that it reads takes from them. A section width and a size tell thousands of tires apart, and of what
/// they come to there are some hundred.
fn tire_kinds(judge: &Judge<'_>, sees: Sees, tires: &Numbered<'_>, empty: Case<'_>) -> Kinds {
    let apart = tires.kinds(sees.tire);
    if sees.taken.is_empty() {
        return apart;
    }
    let read = tires.kinds(sees.read);
    let told = |first: &usize| {
        let case = Case { tire: Some(tires.specs[*first]), ..empty };
        let figures = sees.taken.iter().flat_map(|field| from_tire(field, case, judge.passenger()));
        (read.of[*first], figures.map(Told::from).collect::<Vec<_>>())
    };
    let (number_of, told) = distinct(apart.first.iter().map(told).collect());
    let mut first = vec![usize::MAX; told.len()];
    for (number, at) in number_of.iter().zip(&apart.first) {
        let known = &mut first[*number as usize];
        *known = (*known).min(*at);
    }
    Kinds { of: apart.of.iter().map(|kind| number_of[*kind as usize]).collect(), first }
}

/// A figure, told apart by every bit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Told {
    Known(u64),
    Missing,
    Unusable,
}

impl From<Figure> for Told {
    fn from(figure: Figure) -> Self {
        match figure {
            Figure::Known(number) => Self::Known(number.to_bits()),
            Figure::Missing => Self::Missing,
            Figure::Unusable => Self::Unusable,
        }
    }
}

/// What a rule on packages gives for a pair as the sheets have it.
fn gives(judge: &Judge<'_>, rule: &Rule, case: Case<'_>) -> Gives {
    let facts = derive_some(case, judge.passenger(), rule.reads);
    Gives::of(rule, Case { package: Some(&facts), ..case })
}

/// The things that differ, in the order of their first, and for each thing which of these it is.
fn distinct<T: Clone + Eq + Hash>(things: Vec<T>) -> (Vec<u32>, Vec<T>) {
    let mut known: HashMap<T, u32, RandomState> = HashMap::default();
    let mut apart = Vec::new();
    let number = |thing: T| {
        let next = apart.len() as u32;
        *known.entry(thing).or_insert_with_key(|thing| {
            apart.push(thing.clone());
            next
        })
    };
    let numbers = things.into_iter().map(number).collect();
    (numbers, apart)
}
