//! Quotes: a package as a customer gets it.
//!
//! Takes in a judged package; yields what to buy and what it costs, what each axle carries and needs,
//! where the spare goes, and how to look after it. Words are the report's; figures are made here.

mod axle;
mod care;
mod fasteners;
mod formula;
mod shopping;

use crate::facts::part::Part;
use crate::judge::bench::WorkSet;
use crate::judge::pairing::Package;
use crate::judge::work::Done;
use crate::judge::{Judge, Judgement};
use crate::van::{Van, Work};

pub use axle::{AxleQuote, Limit, PressureQuote};
pub use care::{Care, Life, ROTATION_MILES, SOFT_GROUND_PSI, Spare};
pub use fasteners::Fasteners;
pub use formula::{Step, steps};
pub use shopping::{Line, PriceGap, Sensors, Shopping};

/// A package with all that is told of it.
#[derive(Debug)]
pub struct Quote<'q> {
    /// The wheel's row.
    pub wheel: &'q Part<'q>,
    /// The tire's row.
    pub tire: &'q Part<'q>,
    /// The van.
    pub van: &'q Van,
    /// The facts with the work done.
    pub done: Done<'q>,
    /// The work to be done, in file order.
    pub works: Vec<&'q Work>,
    /// What each axle carries and needs, from the front.
    pub axles: Vec<AxleQuote>,
    /// What to buy.
    pub shopping: Shopping,
    /// What holds the wheels; none where the hub's bolt pattern is not known.
    pub fasteners: Option<Fasteners>,
    /// Where the spare goes; none where the set holds no spare.
    pub spare: Option<Spare>,
    /// How to look after it.
    pub care: Care,
}

impl<'q> Quote<'q> {
    /// The quote of a package for the van at a place; none where a part of it is not there.
    #[must_use]
    pub fn of(
        judgement: &'q Judgement<'q>,
        judge: &Judge<'q>,
        van: &'q Van,
        package: &Package,
        set: u32,
    ) -> Option<Self> {
        let wheel = judgement.catalog.parts.get(package.wheel)?;
        let tire = judgement.catalog.parts.get(package.tire)?;
        let case = judgement.package_case(van, wheel, tire);
        let cure = package.finding.cure();
        let chosen: WorkSet = cure.map(|cure| cure.works.iter().copied().collect()).unwrap_or_default();
        let done = judge.with_done(chosen, case);
        let works: Vec<&Work> = chosen.iter().filter_map(|work| van.works.get(work)).collect();
        let axles = axle::axles(&done, &works, judge.passenger());
        let shopping = Shopping::of(wheel, tire, van, &works, set);
        let spare = (set > van.facts.wheels_on_road()).then(|| Spare::of(done.case()));
        let fasteners = Fasteners::of(done.case(), van, &works, set);
        let care = Care::of(done.case(), van);
        Some(Self { wheel, tire, van, done, works, axles, shopping, fasteners, spare, care })
    }
}
