//! The pairs taken so far: what was counted, and the best of them.

use std::collections::{BinaryHeap, HashMap};

use foldhash::fast::RandomState;
use rust_decimal::Decimal;

use crate::facts::part::Price;
use crate::judge::Case;
use crate::judge::Judgement;
use crate::judge::bench::WorkSet;
use crate::judge::finding::VerdictKind;
use crate::judge::package::derive_some;
use crate::judge::pairing::Request;
use crate::judge::pairing::candidate::Candidate;
use crate::judge::pairing::class::Class;
use crate::judge::pairing::listing::{Listing, best_pairs, is_wieldy};
use crate::judge::pairing::outcomes::{Outcomes, Seen};
use crate::judge::pairing::place::{Entry, Figures, Merit};
use crate::judge::pairing::weigh::{PairBench, Weighed, Weigher};

/// The pairs taken so far.
pub(super) struct Table<'t, 'j> {
    judgement: &'t Judgement<'t>,
    bench: &'t PairBench<'t, 'j>,
    outcomes: Option<&'t Outcomes<'t, 'j>>,
    request: &'t Request,
    weigher: Weigher<'t, 'j>,
    seen: Seen,
    /// The load in reserve, by what wheel and tire are to it.
    reserves: HashMap<(u32, u32), Option<f64>, RandomState>,
    /// Pairs of rows by verdict.
    pub(super) counts: [u64; 4],
    /// How many pairs of rows each rule stops, by its place among those judged by.
    pub(super) stopping: Vec<u64>,
    best: BinaryHeap<Entry<'t>>,
}

/// What all pairs of two classes come to, where that is told without judging one by one.
struct AsTheyAre {
    kind: VerdictKind,
    drawbacks: u32,
}

impl<'t, 'j> Table<'t, 'j> {
    pub(super) fn new(
        judgement: &'t Judgement<'t>,
        bench: &'t PairBench<'t, 'j>,
        outcomes: Option<&'t Outcomes<'t, 'j>>,
        request: &'t Request,
    ) -> Self {
        Self {
            judgement,
            bench,
            outcomes,
            request,
            weigher: Weigher::new(bench),
            seen: Seen::default(),
            reserves: HashMap::default(),
            counts: [0; 4],
            stopping: vec![0; bench.judge.rules().len()],
            best: BinaryHeap::new(),
        }
    }

    /// Both tables as one.
    pub(super) fn merged(mut self, other: Self) -> Self {
        for (own, more) in self.counts.iter_mut().zip(other.counts) {
            *own += more;
        }
        for (own, more) in self.stopping.iter_mut().zip(other.stopping) {
            *own += more;
        }
        for entry in other.best {
            self.keep(entry);
        }
        self
    }

    /// The best pairs, the best first.
    pub(super) fn best_first(self) -> Vec<Entry<'t>> {
        self.best.into_sorted_vec()
    }

    /// Takes every pair of a class of wheels and a class of tires.
    pub(super) fn take(&mut self, wheels: &'t Class<'t>, tires: &'t Class<'t>) {
        let (Some(wheel), Some(tire)) = (wheels.first(), tires.first()) else { return };
        let pairs = wheels.count * tires.count;
        // Candidates of one class are hopeless together.
        if wheel.is_hopeless || tire.is_hopeless {
            for rule in wheel.stopped_by().iter().chain(tire.stopped_by()) {
                self.stopping[*rule] += pairs;
            }
            if !self.request.rejected {
                self.counts[VerdictKind::Rejected as usize] += pairs;
                return;
            }
        }
        let found = match self.outcomes {
            Some(outcomes) => self.at_a_glance(outcomes, (wheels, wheel), (tires, tire), pairs),
            None => None,
        };
        let Some(AsTheyAre { kind, drawbacks }) = found else {
            for wheel in &wheels.candidates {
                for tire in &tires.candidates {
                    self.weigh(wheel, tire);
                }
            }
            return;
        };
        self.counts[kind as usize] += pairs;
        if kind == VerdictKind::Rejected && !self.request.rejected {
            return;
        }
        let reserve = match (wheels.reserve, tires.reserve) {
            (Some(one), Some(other)) => self.reserve((one, other), wheel, tire),
            _ => None,
        };
        let best = Figures { reserve, ..tires.figures };
        let merit = |total| Merit::new(self.request.order, kind, drawbacks, best, total);
        if self.is_beyond(|| merit(self.least_total(wheels, tires))) {
            return;
        }
        let figures = |of_tire: Figures| Figures { reserve, ..of_tire };
        let order = self.request.order;
        let lists = (wheels.listing(self.judgement, order), tires.listing(self.judgement, order));
        self.list(lists, (kind, drawbacks), Decimal::ZERO, figures);
    }

    /// What all pairs of two classes come to by what is known of them as things are; none where work may help.
    fn at_a_glance(
        &mut self,
        outcomes: &Outcomes<'_, '_>,
        (wheels, wheel): (&Class<'_>, &Candidate<'_>),
        (tires, tire): (&Class<'_>, &Candidate<'_>),
        pairs: u64,
    ) -> Option<AsTheyAre> {
        let Self { seen, bench, .. } = self;
        outcomes.look(&wheels.numbers, &tires.numbers, bench.both(wheel.spec, tire.spec), seen);
        let (wheel_alone, tire_alone) = (&wheel.as_it_is, &tire.as_it_is);
        let drawbacks = wheel_alone.drawbacks + tire_alone.drawbacks + seen.drawbacks;
        let told = |kind| Some(AsTheyAre { kind, drawbacks });
        if wheel.is_hopeless || tire.is_hopeless {
            return told(VerdictKind::Rejected);
        }
        let own = || wheel_alone.failing.iter().chain(&tire_alone.failing);
        if seen.fails_for_good {
            for rule in own().chain(&seen.failing) {
                self.stopping[*rule] += pairs;
            }
            return told(VerdictKind::Rejected);
        }
        if own().next().is_some() || !seen.failing.is_empty() {
            return None;
        }
        let doubted = wheel.doubted || tire.doubted;
        let mut unknown = wheel_alone.unknown.iter().chain(&tire_alone.unknown).peekable();
        if !doubted && !seen.unknown && unknown.peek().is_none() {
            return told(VerdictKind::Fits);
        }
        // Nothing fails, and nothing that is done could show what is not shown.
        let demands = bench.judge.demands();
        let for_good = doubted || seen.unknown_for_good;
        if for_good || unknown.any(|rule| demands[*rule].touching.is_empty()) {
            return told(VerdictKind::Unproven);
        }
        None
    }

    /// Judges a wheel with a tire that work may help, for all rows that have them.
    fn weigh(&mut self, wheel: &'t Candidate<'t>, tire: &'t Candidate<'t>) {
        let pairs = wheel.count() * tire.count();
        let found = self.weigher.weigh(wheel, tire);
        let Weighed { kind, works, drawbacks, figures, stopped_by } = found;
        self.counts[kind as usize] += pairs;
        for rule in stopped_by {
            self.stopping[rule] += pairs;
        }
        if kind == VerdictKind::Rejected && !self.request.rejected {
            return;
        }
        let order = self.request.order;
        // No total is less than this, so that all but the total decides.
        if self.is_beyond(|| Merit::new(order, kind, drawbacks, figures, Some(Decimal::MIN))) {
            return;
        }
        let cost = self.cost(works);
        let lists = (wheel.listing(self.judgement, order), tire.listing(self.judgement, order));
        self.list(lists, (kind, drawbacks), cost, |_| figures);
    }

    fn cost(&self, works: WorkSet) -> Decimal {
        self.bench.judge.bench().cost(works)
    }

    /// The load in reserve of a pair as it is.
    fn reserve(&mut self, at: (u32, u32), wheel: &Candidate<'_>, tire: &Candidate<'_>) -> Option<f64> {
        let bench = self.bench;
        *self.reserves.entry(at).or_insert_with(|| {
            let case = bench.both(wheel.spec, tire.spec);
            let facts = derive_some(case, bench.judge.passenger(), Figures::FROM.into_iter().collect());
            Figures::of(Case { package: Some(&facts), ..case }).reserve
        })
    }

    /// The least total of any pair of two classes.
    fn least_total(&self, wheels: &Class<'_>, tires: &Class<'_>) -> Option<Decimal> {
        let totals = wheels.cheapest.iter().flat_map(|(currency, wheel)| {
            let of_tire = tires.cheapest.iter().filter(move |(other, _)| other == currency);
            of_tire.filter_map(move |(_, tire)| total(*wheel, *tire, self.request.set, Decimal::ZERO))
        });
        totals.min()
    }

    /// Whether every pair that is placed by this or by more is behind all that are kept.
    fn is_beyond(&self, least: impl FnOnce() -> Merit) -> bool {
        if self.best.len() < self.request.best {
            return false;
        }
        self.best.peek().is_none_or(|worst| least() > worst.merit)
    }

    /// Keeps the best pairs of rows that all come to the same but for what `figures` tells by the tire's own.
    fn list(
        &mut self,
        (wheels, tires): (&Listing<'t>, &Listing<'t>),
        (kind, drawbacks): (VerdictKind, u32),
        cost: Decimal,
        figures: impl Fn(Figures) -> Figures,
    ) {
        let Request { set, order, best, .. } = *self.request;
        let exact = is_wieldy(cost) && set > 0;
        best_pairs(wheels, tires, best, exact, |wheel, tire| {
            let total = match (wheel.price, tire.price) {
                (Some(Price { amount: one, currency }), Some(other)) if currency == other.currency => {
                    total(one, other.amount, set, cost)
                }
                _ => None,
            };
            let merit = Merit::new(order, kind, drawbacks, figures(tire.figures), total);
            let who = (wheel.who, tire.who);
            self.keep(Entry { merit, who, wheel: wheel.place, tire: tire.place })
        });
    }

    /// Keeps a pair if it is among the best so far, and tells whether it is.
    fn keep(&mut self, entry: Entry<'t>) -> bool {
        if self.best.len() < self.request.best {
            self.best.push(entry);
            return true;
        }
        if let Some(mut worst) = self.best.peek_mut()
            && entry < *worst
        {
            *worst = entry;
            return true;
        }
        false
    }
}

/// What a set of wheels and tires costs with the work; none where that is beyond what can be reckoned.
fn total(wheel: Decimal, tire: Decimal, set: u32, work: Decimal) -> Option<Decimal> {
    wheel.checked_add(tire)?.checked_mul(Decimal::from(set))?.checked_add(work)
}
