//! Pairing: which wheels and tires make a package for one van, best first.
//!
//! Pairs are judged by distinct specs, not by rows. What a wheel or a tire comes to by itself under a
//! set of works is worked out once; a part that no work saves is never paired; only pairs of one rim
//! are looked at. What remains for each pair are the rules on packages. The verdict is that of
//! [`Judge::finding`] on the same facts, which tells the listed pairs in full.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BinaryHeap, HashMap};

use rayon::prelude::*;
use rust_decimal::Decimal;

use crate::facts::fact::State;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::part::{Part, PartKind, Spec, Subject};
use crate::facts::value::Value;
use crate::judge::Judgement;
use crate::judge::bench::WorkSet;
use crate::judge::case::Case;
use crate::judge::eval::{number, truth};
use crate::judge::finding::{Finding, VerdictKind};
use crate::judge::glance::{Glance, Kinds, Seen};
use crate::judge::package::Axle;
use crate::judge::search::Aim;
use crate::judge::truth::Truth;
use crate::judge::verdict::{Judge, Obstacles};
use crate::judge::work::reach;
use crate::van::work::Amount;
use crate::van::{Van, VanFacts};

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
    let [mut wheels, mut tires] = PartKind::ALL.map(|kind| candidates(judgement, &bench, kind));
    let glance = if bench.entangled { None } else { first_look(&judge, &mut wheels, &mut tires) };
    let mut tires_on: BTreeMap<u64, TiresOfRim<'_>> = BTreeMap::new();
    for tire in &tires {
        if let Some(rim) = tire.rim {
            tires_on.entry(rim).or_default().add(tire, request);
        }
    }
    let share = wheels.len().div_ceil(rayon::current_num_threads()).max(1);
    let found = wheels
        .par_chunks(share)
        .map(|wheels| {
            let mut table = Table::new(judgement, &bench, glance.as_ref(), request);
            for wheel in wheels {
                if let Some(tires) = wheel.rim.and_then(|rim| tires_on.get(&rim)) {
                    table.take_all(wheel, tires);
                }
            }
            table
        })
        .reduce_with(Table::merged);
    let Some(table) = found else { return Pairing::default() };
    let rows = |list: &[Candidate<'_>]| list.iter().map(Candidate::count).sum::<u64>();
    let pairs = rows(&wheels) * rows(&tires);
    let placed = |(rule, pairs): (usize, u64)| Some((judge.rules().get(rule)?.0, pairs));
    let mut stopping: Vec<(usize, u64)> = table.stopping.into_iter().filter_map(placed).collect();
    stopping.sort_by_key(|(rule, pairs)| (Reverse(*pairs), *rule));
    let mut best = table.best.into_vec();
    best.sort();
    let listed =
        best.into_iter().filter_map(|entry| package(judgement, &judge, van, entry.wheel, entry.tire));
    Pairing {
        listed: listed.collect(),
        counts: table.counts,
        other_rims: pairs - table.counts.iter().sum::<u64>(),
        stopping,
    }
}

/// Sorts wheels and tires into the kinds that they are to the rules on packages.
fn first_look<'g, 'j, 's>(
    judge: &'g Judge<'j>,
    wheels: &mut [Candidate<'s>],
    tires: &mut [Candidate<'s>],
) -> Option<Glance<'g, 'j>> {
    let of_wheels: Vec<&Spec> = wheels.iter().map(|one| one.spec).collect();
    let of_tires: Vec<&Spec> = tires.iter().map(|one| one.spec).collect();
    let (glance, wheel_kinds, tire_kinds) = Glance::new(judge, &of_wheels, &of_tires)?;
    for (one, kinds) in wheels.iter_mut().zip(wheel_kinds).chain(tires.iter_mut().zip(tire_kinds)) {
        one.kinds = kinds;
    }
    Some(glance)
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

/// A spec that may be paired, with the rows that have it.
#[derive(Debug)]
struct Candidate<'s> {
    at: usize,
    spec: &'s Spec,
    rim: Option<u64>,
    rows: Vec<usize>,
    /// The sheet contradicts itself about it: no package with it is proven.
    doubted: bool,
    /// The works that what they ask of this part alone allows, or that ask something else.
    allowed: WorkSet,
    /// Whether it fails something whatever work is done.
    is_hopeless: bool,
    /// What it comes to by itself as things are.
    as_it_is: Obstacles,
    /// The kind that it is to each rule on packages.
    kinds: Kinds,
}

impl Candidate<'_> {
    /// The rules that it fails whatever work is done; nothing where some work saves it.
    fn stopped_by(&self) -> &[usize] {
        if self.is_hopeless { &self.as_it_is.failing } else { &[] }
    }

    fn count(&self) -> u64 {
        self.rows.len() as u64
    }
}

/// The tires for one rim.
#[derive(Default)]
struct TiresOfRim<'c> {
    /// Those that are judged with every wheel.
    judged: Vec<&'c Candidate<'c>>,
    /// Rows of all others: no work saves them, so they are only counted.
    hopeless: u64,
    /// How many of those rows each rule stops.
    stopping: BTreeMap<usize, u64>,
}

impl<'c> TiresOfRim<'c> {
    fn add(&mut self, tire: &'c Candidate<'c>, request: &Request) {
        if !tire.is_hopeless || request.rejected {
            self.judged.push(tire);
            return;
        }
        self.hopeless += tire.count();
        for rule in tire.stopped_by() {
            *self.stopping.entry(*rule).or_default() += tire.count();
        }
    }

    fn count(&self) -> u64 {
        self.hopeless + self.judged.iter().map(|tire| tire.count()).sum::<u64>()
    }
}

fn candidates<'s>(
    judgement: &'s Judgement<'_>,
    bench: &PairBench<'_, '_>,
    kind: PartKind,
) -> Vec<Candidate<'s>> {
    let mut rows: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (at, part) in judgement.catalog.parts.iter().enumerate().filter(|(_, part)| part.kind == kind) {
        rows.entry(part.spec).or_default().push(at);
    }
    let rows: Vec<(usize, Vec<usize>)> = rows.into_iter().collect();
    let candidate = |(at, rows): (usize, Vec<usize>)| {
        let spec = judgement.catalog.specs.get(at)?;
        let rim = match kind {
            PartKind::Wheel => Field::WheelRimDiameter,
            PartKind::Tire => Field::TireRimDiameter,
        };
        let rim = spec.fact(rim).and_then(|fact| fact.value()?.number()).map(f64::to_bits);
        let doubted = spec.iter().any(|(_, fact)| matches!(fact.state, State::Contradicted(_)));
        let allowed = bench.allowed_alone(spec);
        let as_it_is = bench.stand_alone(spec, WorkSet::EMPTY).obstacles;
        let is_hopeless = bench.is_hopeless(spec, allowed, &as_it_is);
        Some(Candidate {
            at,
            spec,
            rim,
            rows,
            doubted,
            allowed,
            is_hopeless,
            as_it_is,
            kinds: Kinds::default(),
        })
    };
    rows.into_par_iter().filter_map(candidate).collect()
}

/// What all pairs are judged with.
struct PairBench<'b, 'j> {
    judge: &'b Judge<'j>,
    van: &'j Van,
    as_of: Option<&'b Value>,
    /// Works that matter to what a wheel comes to, to a tire, and to the rules on packages.
    relevant: [WorkSet; 3],
    /// Works that ask about both parts together.
    asking_both: WorkSet,
    /// A work takes an amount from a part for something else: then nothing is known of a part alone.
    entangled: bool,
}

impl<'b, 'j> PairBench<'b, 'j> {
    fn new(judge: &'b Judge<'j>, van: &'j Van, as_of: Option<&'b Value>) -> Self {
        let works = judge.bench().works();
        let relevant = Subject::ALL.map(|on| {
            let rules = judge.rules().iter().filter(|(_, rule)| rule.on == on);
            let own = FieldSet::of_scope(on.scope());
            let read = rules.fold(own, |all, (_, rule)| all.union(rule.reads));
            let reach = reach(works, read);
            (0..works.len()).filter(|work| works[*work].touches.meets(reach)).collect()
        });
        let asking_both = (0..works.len())
            .filter(|work| {
                works[*work]
                    .asks
                    .as_ref()
                    .is_some_and(|asks| asks.of_wheel.is_none() && asks.of_tire.is_none())
            })
            .collect();
        let entangled = works.iter().flat_map(|work| &work.effects).any(|effect| match effect.amount {
            Amount::Of(field) => {
                !matches!(field.scope(), Scope::Van) && field.scope() != effect.field.scope()
            }
            Amount::Fixed(_) => false,
        });
        Self { judge, van, as_of, relevant, asking_both, entangled }
    }

    fn alone<'c>(&'c self, spec: &'c Spec) -> Case<'c> {
        Case::of_part(spec, &self.van.facts, self.as_of)
    }

    /// The works that are not ruled out by what they ask of this part alone.
    fn allowed_alone(&self, spec: &Spec) -> WorkSet {
        let case = self.alone(spec);
        let works = self.judge.bench().works();
        let ruled_out = |work: &usize| {
            works[*work].asks.as_ref().is_some_and(|asks| {
                let asked = match spec.kind() {
                    PartKind::Wheel => asks.of_wheel.as_ref(),
                    PartKind::Tire => asks.of_tire.as_ref(),
                };
                asked.is_some_and(|test| truth(test, case) != Truth::True)
            })
        };
        (0..works.len()).filter(|work| !ruled_out(work)).collect()
    }

    /// Whether a part fails something whatever is done; what works ask beyond the part is taken for
    /// granted, so that nothing is called hopeless that a pair could save.
    fn is_hopeless(&self, spec: &Spec, allowed: WorkSet, as_it_is: &Obstacles) -> bool {
        if self.entangled || as_it_is.failing.is_empty() {
            return false;
        }
        let failing = |set| self.stand_alone(spec, set).obstacles.failing;
        self.judge.search(self.alone(spec), Aim::NothingFails, allowed, failing).cheapest().is_none()
    }
}

/// What a part comes to by itself once works are done.
struct Stand {
    spec: Option<Spec>,
    obstacles: Obstacles,
}

/// What a package comes to by its own rules once works are done.
struct PackageStand {
    figures: Figures,
    obstacles: Obstacles,
}

/// Stands that were worked out, by the works that matter to them.
type Memo<S> = Vec<(WorkSet, S)>;

/// Looks a stand up, or works it out once.
fn remembered<S>(memo: &mut Memo<S>, set: WorkSet, make: impl FnOnce() -> S) -> &S {
    let at = memo.iter().position(|(known, _)| *known == set).unwrap_or_else(|| {
        memo.push((set, make()));
        memo.len() - 1
    });
    &memo[at].1
}

/// What a package comes to, as far as its place among others needs it.
#[derive(Clone, Copy, Debug)]
struct Weighed {
    kind: VerdictKind,
    works: WorkSet,
    drawbacks: u32,
    figures: Figures,
}

/// The pairs taken so far: what was counted, and the best of them.
struct Table<'t, 'j> {
    judgement: &'t Judgement<'t>,
    bench: &'t PairBench<'t, 'j>,
    glance: Option<&'t Glance<'t, 'j>>,
    request: &'t Request,
    seen: Seen,
    /// What the placing of a pair takes from its tire alone, as things are.
    of_tire: HashMap<usize, Figures>,
    stands: Vec<Memo<Stand>>,
    vans: Memo<VanFacts>,
    counts: [u64; 4],
    stopping: BTreeMap<usize, u64>,
    best: BinaryHeap<Entry<'t>>,
}

impl Pairing {
    /// How many pairs of rows of one rim have a verdict.
    #[must_use]
    pub fn count(&self, kind: VerdictKind) -> u64 {
        self.counts.get(kind as usize).copied().unwrap_or(0)
    }
}

impl<'t, 'j> Table<'t, 'j> {
    fn new(
        judgement: &'t Judgement<'t>,
        bench: &'t PairBench<'t, 'j>,
        glance: Option<&'t Glance<'t, 'j>>,
        request: &'t Request,
    ) -> Self {
        let stands = (0..judgement.catalog.specs.len()).map(|_| Memo::new()).collect();
        Self {
            judgement,
            bench,
            glance,
            request,
            seen: Seen::default(),
            of_tire: HashMap::new(),
            stands,
            vans: Memo::new(),
            counts: [0; 4],
            stopping: BTreeMap::new(),
            best: BinaryHeap::new(),
        }
    }

    /// Both tables as one.
    fn merged(mut self, other: Self) -> Self {
        for (own, more) in self.counts.iter_mut().zip(other.counts) {
            *own += more;
        }
        for (rule, pairs) in other.stopping {
            self.stop(rule, pairs);
        }
        for entry in other.best {
            self.keep(entry);
        }
        self
    }

    /// Judges a wheel with every tire of its rim; what no work saves is only counted, unless rejected
    /// pairs are asked for.
    fn take_all(&mut self, wheel: &Candidate<'t>, tires: &TiresOfRim<'t>) {
        let of_tires =
            if wheel.is_hopeless && !self.request.rejected { tires.count() } else { tires.hopeless };
        self.counts[VerdictKind::Rejected as usize] += wheel.count() * of_tires;
        for rule in wheel.stopped_by() {
            self.stop(*rule, wheel.count() * tires.count());
        }
        for (rule, rows) in &tires.stopping {
            self.stop(*rule, wheel.count() * rows);
        }
        if !wheel.is_hopeless || self.request.rejected {
            for tire in &tires.judged {
                self.take(wheel, tire);
            }
        }
    }

    fn stop(&mut self, rule: usize, pairs: u64) {
        *self.stopping.entry(rule).or_default() += pairs;
    }

    /// Judges a wheel with a tire of the same rim, for all rows that have them.
    fn take(&mut self, wheel: &Candidate<'t>, tire: &Candidate<'t>) {
        let pairs = wheel.count() * tire.count();
        let hopeless = wheel.is_hopeless || tire.is_hopeless;
        for rule in tire.stopped_by() {
            self.stop(*rule, pairs);
        }
        let weighed = match self.seen_at_once(wheel, tire, pairs) {
            Some(None) => return,
            Some(Some(weighed)) => weighed,
            None => self.weigh(wheel, tire, hopeless, pairs),
        };
        self.counts[weighed.kind as usize] += pairs;
        if weighed.kind == VerdictKind::Rejected && !self.request.rejected {
            return;
        }
        if self.is_beyond(weighed) {
            return;
        }
        let cost = self.bench.judge.bench().cost(weighed.works);
        for wheel in &wheel.rows {
            for tire in &tire.rows {
                if let Some(entry) = self.entry(*wheel, *tire, weighed, cost) {
                    self.keep(entry);
                }
            }
        }
    }

    /// What a first look tells of a pair, if it tells all: nothing more to do where the pair is rejected.
    fn seen_at_once(
        &mut self,
        wheel: &Candidate<'t>,
        tire: &Candidate<'t>,
        pairs: u64,
    ) -> Option<Option<Weighed>> {
        let glance = self.glance.filter(|_| !self.request.rejected)?;
        let case = self.bench.both(wheel.spec, tire.spec, &self.bench.van.facts);
        glance.look(&wheel.kinds, &tire.kinds, case, &mut self.seen)?;
        if self.seen.out_of_reach {
            self.counts[VerdictKind::Rejected as usize] += pairs;
            let own = [&wheel.as_it_is, &tire.as_it_is].into_iter().flat_map(|alone| &alone.failing);
            for rule in own.chain(&self.seen.failing) {
                *self.stopping.entry(*rule).or_default() += pairs;
            }
            return Some(None);
        }
        let stands_well = |one: &Candidate<'_>| {
            !one.doubted && one.as_it_is.failing.is_empty() && one.as_it_is.unknown.is_empty()
        };
        let fits =
            self.seen.failing.is_empty() && !self.seen.unknown && stands_well(wheel) && stands_well(tire);
        // The reserve follows from wheel and tire together.
        if !fits || self.request.order == Order::Margin {
            return None;
        }
        let bench = self.bench;
        let figures = *self.of_tire.entry(tire.at).or_insert_with(|| Figures {
            reserve: None,
            ..Figures::of(bench.judge.with_done(WorkSet::EMPTY, case).case())
        });
        let drawbacks = wheel.as_it_is.drawbacks + tire.as_it_is.drawbacks + self.seen.drawbacks;
        Some(Some(Weighed { kind: VerdictKind::Fits, works: WorkSet::EMPTY, drawbacks, figures }))
    }

    /// Whether every row that comes to this is placed behind all that are kept, by what it comes to alone.
    fn is_beyond(&self, weighed: Weighed) -> bool {
        if self.request.order != Order::Appropriate || self.best.len() < self.request.best {
            return false;
        }
        let place = |kind: VerdictKind| (standing(kind), kind);
        let own = (place(weighed.kind), weighed.drawbacks, Rising(weighed.figures.speed_error));
        self.best.peek().is_none_or(|worst| {
            let key = &worst.key;
            own > (place(key.kind), key.drawbacks, key.speed_error)
        })
    }

    fn keep(&mut self, entry: Entry<'t>) {
        if self.best.len() < self.request.best {
            self.best.push(entry);
        } else if let Some(mut worst) = self.best.peek_mut()
            && entry < *worst
        {
            *worst = entry;
        }
    }

    /// What a pair comes to: the search of [`Judge::finding`], on what is remembered of its parts.
    fn weigh(&mut self, wheel: &Candidate<'t>, tire: &Candidate<'t>, hopeless: bool, pairs: u64) -> Weighed {
        let mut packages = Memo::new();
        let as_it_is = self.stand(wheel, tire, &mut packages, WorkSet::EMPTY);
        let doubted = wheel.doubted || tire.doubted;
        let fails = !as_it_is.failing.is_empty();
        let rejected = |table: &mut Self| {
            if !hopeless {
                for rule in &as_it_is.failing {
                    table.stop(*rule, pairs);
                }
            }
            as_it_is.weighed(VerdictKind::Rejected, WorkSet::EMPTY)
        };
        if !fails && as_it_is.unknown.is_empty() && !doubted {
            return as_it_is.weighed(VerdictKind::Fits, WorkSet::EMPTY);
        }
        if hopeless {
            return rejected(self);
        }
        let allowed = self.allowed(wheel, tire);
        let judge = self.bench.judge;
        let out_of_reach = |rule: &usize| !judge.demands()[*rule].touching.meets(allowed);
        if as_it_is.failing.iter().any(out_of_reach) {
            return rejected(self);
        }
        let case = self.bench.both(wheel.spec, tire.spec, &self.bench.van.facts);
        let full = if doubted {
            None
        } else {
            let unmet = |set| {
                let stand = self.stand(wheel, tire, &mut packages, set);
                [stand.failing, stand.unknown].concat()
            };
            judge.search(case, Aim::Proven, allowed, unmet).cheapest()
        };
        let cure = match full {
            None if fails => {
                let failing = |set| self.stand(wheel, tire, &mut packages, set).failing;
                judge.search(case, Aim::NothingFails, allowed, failing).cheapest()
            }
            full => full,
        };
        let Some(cure) = cure else {
            if fails {
                return rejected(self);
            }
            return as_it_is.weighed(VerdictKind::Unproven, WorkSet::EMPTY);
        };
        let works = cure.works.iter().copied().collect();
        let stand = self.stand(wheel, tire, &mut packages, works);
        let proven = stand.unknown.is_empty() && !doubted;
        stand.weighed(if proven { VerdictKind::FitsWithWork } else { VerdictKind::Unproven }, works)
    }

    /// The works that may be done on a pair.
    fn allowed(&self, wheel: &Candidate<'t>, tire: &Candidate<'t>) -> WorkSet {
        let allowed = wheel.allowed.intersection(tire.allowed);
        if allowed.intersection(self.bench.asking_both).is_empty() {
            return allowed;
        }
        let case = self.bench.both(wheel.spec, tire.spec, &self.bench.van.facts);
        let judge = self.bench.judge;
        judge.bench().allowed(judge.with_done(WorkSet::EMPTY, case).case())
    }

    /// What stands in the way of a pair once works are done, and what it brings with it.
    fn stand(
        &mut self,
        wheel: &Candidate<'t>,
        tire: &Candidate<'t>,
        packages: &mut Memo<PackageStand>,
        set: WorkSet,
    ) -> PairStand {
        let bench = self.bench;
        if bench.entangled {
            return bench.stand_together(wheel.spec, tire.spec, set);
        }
        let [of_wheel, of_tire, of_package] = bench.relevant.map(|relevant| set.intersection(relevant));
        for (candidate, set) in [(wheel, of_wheel), (tire, of_tire)] {
            let alone = || bench.stand_alone(candidate.spec, set);
            if let Some(memo) = self.stands.get_mut(candidate.at) {
                remembered(memo, set, alone);
            }
        }
        let found = |candidate: &Candidate<'t>, set: WorkSet| {
            let memo = self.stands.get(candidate.at)?;
            memo.iter().find(|(known, _)| *known == set).map(|(_, stand)| stand)
        };
        let (Some(wheel_stand), Some(tire_stand)) = (found(wheel, of_wheel), found(tire, of_tire)) else {
            return bench.stand_together(wheel.spec, tire.spec, set);
        };
        let package = remembered(packages, of_package, || {
            let van = remembered(&mut self.vans, set, || bench.van_done(set));
            let case = bench.both(
                wheel_stand.spec.as_ref().unwrap_or(wheel.spec),
                tire_stand.spec.as_ref().unwrap_or(tire.spec),
                van,
            );
            let done = bench.judge.with_done(WorkSet::EMPTY, case);
            let obstacles = bench.judge.obstacles(done.case(), Subject::Package);
            PackageStand { figures: Figures::of(done.case()), obstacles }
        });
        let mut stand = PairStand { figures: package.figures, ..PairStand::default() };
        for obstacles in [&wheel_stand.obstacles, &tire_stand.obstacles, &package.obstacles] {
            stand.add(obstacles);
        }
        stand
    }

    fn entry(&self, wheel: usize, tire: usize, weighed: Weighed, cost: Decimal) -> Option<Entry<'t>> {
        let parts = &self.judgement.catalog.parts;
        let (wheel_part, tire_part) = (parts.get(wheel)?, parts.get(tire)?);
        let total = match (wheel_part.amount, tire_part.amount) {
            (Some(wheel), Some(tire)) if wheel.currency == tire.currency => {
                Some((wheel.amount + tire.amount) * Decimal::from(self.request.set) + cost)
            }
            _ => None,
        };
        let falling = |figure: f64| Reverse(Rising(figure));
        let lead = match self.request.order {
            Order::Appropriate => Lead::None,
            Order::Price => Lead::Total(AbsentLast(total)),
            Order::Margin => Lead::Most(AbsentLast(weighed.figures.reserve.map(falling))),
            Order::Diameter => Lead::Most(AbsentLast(weighed.figures.diameter.map(falling))),
        };
        let who = |part: &Part<'t>| (part.supplier, part.sku);
        let key = Key {
            standing: standing(weighed.kind),
            lead,
            kind: weighed.kind,
            drawbacks: weighed.drawbacks,
            speed_error: Rising(weighed.figures.speed_error),
            total: AbsentLast(total),
            who: (who(wheel_part), who(tire_part)),
        };
        Some(Entry { key, wheel, tire })
    }
}

/// Proven, not proven, rejected: the order of verdicts in any order of packages.
fn standing(kind: VerdictKind) -> u8 {
    match kind {
        VerdictKind::Fits | VerdictKind::FitsWithWork => 0,
        VerdictKind::Unproven => 1,
        VerdictKind::Rejected => 2,
    }
}

impl<'b> PairBench<'b, '_> {
    fn both<'c>(&self, wheel: &'c Spec, tire: &'c Spec, van: &'c VanFacts) -> Case<'c>
    where
        'b: 'c,
    {
        Case { wheel: Some(wheel), tire: Some(tire), package: None, van, as_of: self.as_of }
    }

    fn stand_alone(&self, spec: &Spec, set: WorkSet) -> Stand {
        let done = self.judge.with_done(set, self.alone(spec));
        let obstacles = self.judge.obstacles(done.case(), spec.kind().into());
        let changed = match spec.kind() {
            PartKind::Wheel => done.wheel,
            PartKind::Tire => done.tire,
        };
        Stand { spec: changed.filter(|_| !set.is_empty()).map(std::borrow::Cow::into_owned), obstacles }
    }

    /// What a pair comes to once works are done, without anything that is remembered.
    fn stand_together(&self, wheel: &Spec, tire: &Spec, set: WorkSet) -> PairStand {
        let done = self.judge.with_done(set, self.both(wheel, tire, &self.van.facts));
        let mut stand = PairStand { figures: Figures::of(done.case()), ..PairStand::default() };
        for on in Subject::ALL {
            stand.add(&self.judge.obstacles(done.case(), on));
        }
        stand
    }

    fn van_done(&self, set: WorkSet) -> VanFacts {
        let nothing =
            Case { wheel: None, tire: None, package: None, van: &self.van.facts, as_of: self.as_of };
        self.judge.with_done(set, nothing).van.into_owned()
    }
}

/// Figures of a package that it is placed by.
#[derive(Clone, Copy, Debug)]
struct Figures {
    /// How far the road speed is off, either way, in billionths; infinite where it is not known.
    speed_error: f64,
    /// The load in reserve on the axle that has the least, as a share of its load.
    reserve: Option<f64>,
    diameter: Option<f64>,
}

impl Default for Figures {
    fn default() -> Self {
        Self { speed_error: f64::INFINITY, reserve: None, diameter: None }
    }
}

impl Figures {
    fn of(case: Case<'_>) -> Self {
        let known = |field: Field| number(field, case).known();
        let reserve = |axle: Axle| Some(known(axle.capacity())? / known(axle.load())? - 1.0);
        Self {
            speed_error: known(Field::PackageRoadSpeedError).map_or(f64::INFINITY, f64::abs),
            reserve: reserve(Axle::Front).zip(reserve(Axle::Rear)).map(|(front, rear)| front.min(rear)),
            diameter: known(Field::PackageOverallDiameter),
        }
    }
}

/// What stands in the way of a pair and what it brings with it.
#[derive(Debug, Default)]
struct PairStand {
    failing: Vec<usize>,
    unknown: Vec<usize>,
    drawbacks: u32,
    figures: Figures,
}

impl PairStand {
    fn add(&mut self, obstacles: &Obstacles) {
        self.failing.extend(&obstacles.failing);
        self.unknown.extend(&obstacles.unknown);
        self.drawbacks += obstacles.drawbacks;
    }

    fn weighed(&self, kind: VerdictKind, works: WorkSet) -> Weighed {
        Weighed { kind, works, drawbacks: self.drawbacks, figures: self.figures }
    }
}

/// A pair of rows with what it is placed by; the least is the best.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Entry<'t> {
    key: Key<'t>,
    wheel: usize,
    tire: usize,
}

type Who<'t> = (&'t str, &'t str);

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Key<'t> {
    /// Proven, not proven, rejected.
    standing: u8,
    lead: Lead,
    kind: VerdictKind,
    drawbacks: u32,
    speed_error: Rising,
    total: AbsentLast<Decimal>,
    who: (Who<'t>, Who<'t>),
}

/// What an order asked for puts before all else.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Lead {
    None,
    Total(AbsentLast<Decimal>),
    Most(AbsentLast<Reverse<Rising>>),
}

/// A figure in rising order.
#[derive(Clone, Copy, Debug)]
struct Rising(f64);

impl PartialEq for Rising {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Rising {}

impl PartialOrd for Rising {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Rising {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// A value; one that is not there comes after all that are.
#[derive(Clone, Debug, PartialEq, Eq)]
struct AbsentLast<T>(Option<T>);

impl<T: Ord> PartialOrd for AbsentLast<T> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<T: Ord> Ord for AbsentLast<T> {
    fn cmp(&self, other: &Self) -> Ordering {
        match (&self.0, &other.0) {
            (Some(one), Some(other)) => one.cmp(other),
            (Some(_), None) => Ordering::Less,
            (None, Some(_)) => Ordering::Greater,
            (None, None) => Ordering::Equal,
        }
    }
}
