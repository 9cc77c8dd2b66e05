//! A van's works and what binds them: which clash, which need one another, which a case allows.

use rust_decimal::Decimal;

use crate::facts::field::{Field, FieldSet, Scope};
use crate::judge::case::Case;
use crate::judge::eval::truth;
use crate::judge::truth::Truth;
use crate::judge::work::reach;
use crate::rules::Rule;
use crate::rules::program::Test;
use crate::van::Van;
use crate::van::work::{Amount, Asks, Change, MOST_WORKS, Work};

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

    /// All works of both.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// The works that the other set does not hold.
    #[must_use]
    pub fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether both hold some work.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.0 & other.0 != 0
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
    #[must_use]
    pub fn order(self) -> Vec<usize> {
        self.iter().collect()
    }
}

impl FromIterator<usize> for WorkSet {
    fn from_iter<I: IntoIterator<Item = usize>>(works: I) -> Self {
        works.into_iter().fold(Self::EMPTY, Self::with)
    }
}

/// A van's works, with what binds them to one another: worked out once, asked for every part.
#[derive(Debug)]
pub struct Bench<'v> {
    works: &'v [Work],
    /// For each work those that it can never be done with.
    clashes: Vec<WorkSet>,
    /// For each work itself with all that it requires, and what those require.
    whole: Vec<WorkSet>,
    /// For each fact of a package the works that touch it.
    on_package: Vec<WorkSet>,
    plain: FieldSet,
}

impl<'v> Bench<'v> {
    /// The works of a van.
    #[must_use]
    pub fn new(van: &'v Van) -> Self {
        let works = van.works.as_slice();
        let clashes = (0..works.len())
            .map(|one| (0..works.len()).filter(|other| *other != one && clash(works, one, *other)).collect())
            .collect();
        let whole = (0..works.len()).map(|work| with_required(works, work)).collect();
        let on_package = Field::of(Scope::Package)
            .iter()
            .map(|field| touching(works, reach(works, [*field].into_iter().collect())))
            .collect();
        Self { works, clashes, whole, on_package, plain: plain(works) }
    }

    /// The works, in file order.
    #[must_use]
    pub fn works(&self) -> &'v [Work] {
        self.works
    }

    /// The works that touch what a rule reads, by whatever way.
    #[must_use]
    pub fn touching(&self, rule: &Rule) -> WorkSet {
        touching(self.works, reach(self.works, rule.reads))
    }

    /// The works that touch a fact of a package, by whatever way; none for other facts.
    #[must_use]
    pub fn touching_package(&self, field: Field) -> WorkSet {
        let of_package = (field.scope() == Scope::Package).then(|| self.on_package.get(field.slot()));
        of_package.flatten().copied().unwrap_or_default()
    }

    /// Which works may be done on a case at all: what each asks is judged on the facts before any
    /// work, and unknown is not allowed.
    #[must_use]
    pub fn allowed(&self, case: Case<'_>) -> WorkSet {
        let may = |work: &Work| {
            work.asks
                .as_ref()
                .is_none_or(|asks| asks.of(case).is_some_and(|test| truth(test, case) == Truth::True))
        };
        (0..self.works.len()).filter(|work| may(&self.works[*work])).collect()
    }

    /// Those of a set that can be done with nothing but works of the set, by what they require and
    /// what that rules out.
    #[must_use]
    pub fn doable(&self, set: WorkSet) -> WorkSet {
        set.iter()
            .filter(|work| self.whole(*work).is_within(set) && self.at_peace(self.whole(*work)))
            .collect()
    }

    /// A work with all that it requires, and what those require.
    #[must_use]
    pub fn whole(&self, work: usize) -> WorkSet {
        self.whole.get(work).copied().unwrap_or_default()
    }

    /// What can never be done with some work of a set.
    #[must_use]
    pub fn ruled_out(&self, set: WorkSet) -> WorkSet {
        set.iter().filter_map(|work| self.clashes.get(work)).fold(WorkSet::EMPTY, |all, one| all.union(*one))
    }

    /// Whether no work of a set rules out another of it.
    #[must_use]
    pub fn at_peace(&self, set: WorkSet) -> bool {
        !self.ruled_out(set).meets(set)
    }

    /// The works of a set that require a work, by whatever way; itself among them.
    #[must_use]
    pub fn requiring(&self, work: usize, set: WorkSet) -> WorkSet {
        set.iter().filter(|other| self.whole(*other).contains(work)).collect()
    }

    /// The facts on which works only meet by equal sets, the highest raise or the deepest cut, and
    /// the sum of shifts, so that neither their order nor any other fact counts.
    #[must_use]
    pub fn plain(&self) -> FieldSet {
        self.plain
    }

    /// What a set costs, exactly.
    #[must_use]
    pub fn cost(&self, set: WorkSet) -> Decimal {
        set.iter().filter_map(|work| self.works.get(work)).map(|work| work.costs).sum()
    }
}

impl Asks {
    /// What a work asks of a case of this make-up; none where its question makes no sense there.
    #[must_use]
    pub fn of(&self, case: Case<'_>) -> Option<&Test> {
        match (case.wheel, case.tire) {
            (Some(_), Some(_)) => Some(&self.of_package),
            (Some(_), None) => self.of_wheel.as_ref(),
            (None, _) => self.of_tire.as_ref(),
        }
    }
}

fn touching(works: &[Work], reach: FieldSet) -> WorkSet {
    (0..works.len()).filter(|work| works[*work].touches.meets(reach)).collect()
}

fn with_required(works: &[Work], work: usize) -> WorkSet {
    let mut whole = WorkSet::EMPTY.with(work);
    loop {
        let required = whole.iter().filter_map(|work| works.get(work)).flat_map(|work| &work.requires);
        let wider = required.fold(whole, |all, work| all.with(*work));
        if wider == whole {
            return whole;
        }
        whole = wider;
    }
}

fn plain(works: &[Work]) -> FieldSet {
    let effects = || works.iter().flat_map(|work| &work.effects);
    let is_plain = |field: Field| {
        let on_it = || effects().filter(|effect| effect.field == field);
        let raised = on_it().any(|effect| effect.change == Change::Raise);
        let lowered = on_it().any(|effect| effect.change == Change::Lower);
        let taken = effects().any(|effect| effect.amount == Amount::Of(field));
        let fixed = on_it().all(|effect| matches!(effect.amount, Amount::Fixed(_)));
        fixed && !taken && !(raised && lowered)
    };
    Field::ALL.iter().copied().filter(|field| is_plain(*field)).collect()
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
