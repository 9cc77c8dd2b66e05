//! Pairs judged one by one: the search of [`Judge::finding`], on what is remembered of their parts.

use crate::facts::field::{FieldSet, Scope};
use crate::facts::part::{PartKind, Spec, Subject};
use crate::facts::value::Value;
use crate::judge::bench::WorkSet;
use crate::judge::case::Case;
use crate::judge::eval::truth;
use crate::judge::finding::VerdictKind;
use crate::judge::pairing::candidate::Candidate;
use crate::judge::pairing::place::Figures;
use crate::judge::search::Aim;
use crate::judge::truth::Truth;
use crate::judge::verdict::{Judge, Obstacles};
use crate::judge::work::reach;
use crate::van::work::Amount;
use crate::van::{Van, VanFacts};

/// What all pairs are judged with.
pub(super) struct PairBench<'b, 'j> {
    pub(super) judge: &'b Judge<'j>,
    pub(super) van: &'j Van,
    as_of: Option<&'b Value>,
    /// Works that matter to what a wheel comes to, to a tire, and to the rules on packages.
    relevant: [WorkSet; 3],
    /// Works that ask about both parts together.
    asking_both: WorkSet,
    /// A work takes an amount from a part for something else: then nothing is known of a part alone.
    pub(super) entangled: bool,
}

impl<'b, 'j> PairBench<'b, 'j> {
    pub(super) fn new(judge: &'b Judge<'j>, van: &'j Van, as_of: Option<&'b Value>) -> Self {
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

    pub(super) fn alone<'c>(&'c self, spec: &'c Spec) -> Case<'c> {
        Case::of_part(spec, &self.van.facts, self.as_of)
    }

    /// The works that are not ruled out by what they ask of this part alone.
    pub(super) fn allowed_alone(&self, spec: &Spec) -> WorkSet {
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
    pub(super) fn is_hopeless(&self, spec: &Spec, allowed: WorkSet, as_it_is: &Obstacles) -> bool {
        if self.entangled || as_it_is.failing.is_empty() {
            return false;
        }
        let beyond = |rule: &usize| !self.judge.demands()[*rule].touching.meets(allowed);
        if as_it_is.failing.iter().any(beyond) {
            return true;
        }
        let failing = |set| self.stand_alone(spec, set).obstacles.failing;
        self.judge.search(self.alone(spec), Aim::NothingFails, allowed, failing).cheapest().is_none()
    }
}

impl PairBench<'_, '_> {
    /// A pair as the sheets have it.
    pub(super) fn both<'c>(&'c self, wheel: &'c Spec, tire: &'c Spec) -> Case<'c> {
        Case { wheel: Some(wheel), tire: Some(tire), ..self.nothing() }
    }

    /// The van, with no part on it.
    pub(super) fn nothing(&self) -> Case<'_> {
        Case { wheel: None, tire: None, package: None, van: &self.van.facts, as_of: self.as_of }
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
        let done = self.judge.with_done(set, self.both(wheel, tire));
        let mut stand = PairStand { figures: Figures::of(done.case()), ..PairStand::default() };
        for on in Subject::ALL {
            stand.add(&self.judge.obstacles(done.case(), on));
        }
        stand
    }

    fn van_done(&self, set: WorkSet) -> VanFacts {
        self.judge.with_done(set, self.nothing()).van.into_owned()
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
#[derive(Clone, Debug)]
pub(super) struct Weighed {
    pub(super) kind: VerdictKind,
    pub(super) works: WorkSet,
    pub(super) drawbacks: u32,
    pub(super) figures: Figures,
    /// The rules that stop it, where it is rejected.
    pub(super) stopped_by: Vec<usize>,
}

/// Weighs pairs, and remembers what their parts come to.
pub(super) struct Weigher<'t, 'j> {
    bench: &'t PairBench<'t, 'j>,
    /// For each wheel what it comes to by itself.
    wheels: Vec<Memo<Stand>>,
    /// For each tire.
    tires: Vec<Memo<Stand>>,
    vans: Memo<VanFacts>,
}

impl<'t, 'j> Weigher<'t, 'j> {
    pub(super) fn new(bench: &'t PairBench<'t, 'j>) -> Self {
        Self { bench, wheels: Vec::new(), tires: Vec::new(), vans: Memo::new() }
    }

    /// What a pair comes to; the rules that stop a hopeless part by itself are not told again.
    pub(super) fn weigh(&mut self, wheel: &Candidate<'t>, tire: &Candidate<'t>) -> Weighed {
        let mut packages = Memo::new();
        let as_it_is = self.stand(wheel, tire, &mut packages, WorkSet::EMPTY);
        let doubted = wheel.doubted || tire.doubted;
        let fails = !as_it_is.failing.is_empty();
        if !fails && as_it_is.unknown.is_empty() && !doubted {
            return as_it_is.weighed(VerdictKind::Fits, WorkSet::EMPTY);
        }
        if wheel.is_hopeless || tire.is_hopeless {
            return as_it_is.weighed(VerdictKind::Rejected, WorkSet::EMPTY);
        }
        let allowed = self.allowed(wheel, tire);
        let judge = self.bench.judge;
        let out_of_reach = |rule: &usize| !judge.demands()[*rule].touching.meets(allowed);
        if as_it_is.failing.iter().any(out_of_reach) {
            return as_it_is.rejected();
        }
        let case = self.bench.both(wheel.spec, tire.spec);
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
                return as_it_is.rejected();
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
        let case = self.bench.both(wheel.spec, tire.spec);
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
        let Self { wheels, tires, vans, .. } = self;
        for (stands, at) in [(&mut *wheels, wheel.at), (&mut *tires, tire.at)] {
            if stands.len() <= at {
                stands.resize_with(at + 1, Memo::new);
            }
        }
        let wheel_stand =
            remembered(&mut wheels[wheel.at], of_wheel, || bench.stand_alone(wheel.spec, of_wheel));
        let tire_stand = remembered(&mut tires[tire.at], of_tire, || bench.stand_alone(tire.spec, of_tire));
        let package = remembered(packages, of_package, || {
            let van = remembered(vans, set, || bench.van_done(set));
            let case = Case {
                van,
                ..bench.both(
                    wheel_stand.spec.as_ref().unwrap_or(wheel.spec),
                    tire_stand.spec.as_ref().unwrap_or(tire.spec),
                )
            };
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
        let Self { drawbacks, figures, .. } = *self;
        Weighed { kind, works, drawbacks, figures, stopped_by: Vec::new() }
    }

    fn rejected(self) -> Weighed {
        let weighed = self.weighed(VerdictKind::Rejected, WorkSet::EMPTY);
        Weighed { stopped_by: self.failing, ..weighed }
    }
}
