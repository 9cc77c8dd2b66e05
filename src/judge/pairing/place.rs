//! The place of a package among others: what it is placed by, in each order.

use std::cmp::{Ordering, Reverse};

use rust_decimal::Decimal;

use crate::facts::field::Field;
use crate::facts::part::Part;
use crate::judge::case::Case;
use crate::judge::eval::number;
use crate::judge::finding::VerdictKind;
use crate::judge::package::Axle;
use crate::judge::pairing::Order;

/// Figures of a package that it is placed by.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figures {
    /// How far the road speed is off, either way, in billionths; infinite where it is not known.
    pub(super) speed_error: f64,
    /// The load in reserve on the axle that has the least, as a share of its load.
    pub(super) reserve: Option<f64>,
    pub(super) diameter: Option<f64>,
}

impl Default for Figures {
    fn default() -> Self {
        Self { speed_error: f64::INFINITY, reserve: None, diameter: None }
    }
}

impl Figures {
    /// The facts of a package that they are taken from.
    pub(super) const FROM: [Field; 4] = [
        Field::PackageRoadSpeedError,
        Field::PackageOverallDiameter,
        Field::PackageCapacityFront,
        Field::PackageCapacityRear,
    ];

    pub(super) fn of(case: Case<'_>) -> Self {
        let known = |field: Field| number(field, case).known();
        let reserve = |axle: Axle| Some(known(axle.capacity())? / known(axle.load())? - 1.0);
        Self {
            speed_error: known(Field::PackageRoadSpeedError).map_or(f64::INFINITY, f64::abs),
            reserve: reserve(Axle::Front).zip(reserve(Axle::Rear)).map(|(front, rear)| front.min(rear)),
            diameter: known(Field::PackageOverallDiameter),
        }
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

/// What a package is placed by before its names; the least is the best.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Merit {
    /// Proven, not proven, rejected.
    standing: u8,
    lead: Lead,
    kind: VerdictKind,
    drawbacks: u32,
    speed_error: Rising,
    total: AbsentLast<Decimal>,
}

impl Merit {
    pub(super) fn new(
        order: Order,
        kind: VerdictKind,
        drawbacks: u32,
        figures: Figures,
        total: Option<Decimal>,
    ) -> Self {
        let lead = match order {
            Order::Appropriate => Lead::None,
            Order::Price => Lead::Total(AbsentLast(total)),
            Order::Margin => Lead::Most(most_first(figures.reserve)),
            Order::Diameter => Lead::Most(most_first(figures.diameter)),
        };
        Self {
            standing: standing(kind),
            lead,
            kind,
            drawbacks,
            speed_error: Rising(figures.speed_error),
            total: AbsentLast(total),
        }
    }
}

/// What an order asked for puts before all else.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Lead {
    None,
    Total(AbsentLast<Decimal>),
    Most(MostFirst),
}

/// A figure by which the most comes first, and none last.
pub(super) type MostFirst = AbsentLast<Reverse<Rising>>;

/// A figure in falling order.
pub(super) fn most_first(figure: Option<f64>) -> MostFirst {
    AbsentLast(figure.map(|figure| Reverse(Rising(figure))))
}

/// A pair of rows with what it is placed by; the least is the best.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Entry<'t> {
    pub(super) merit: Merit,
    pub(super) who: (Who<'t>, Who<'t>),
    pub(super) wheel: usize,
    pub(super) tire: usize,
}

/// Supplier and part number.
pub(super) type Who<'t> = (&'t str, &'t str);

/// Who a part is.
pub(super) fn who<'t>(part: &Part<'t>) -> Who<'t> {
    (part.supplier, part.sku)
}

/// A figure in rising order.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rising(pub(super) f64);

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
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct AbsentLast<T>(pub(super) Option<T>);

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
