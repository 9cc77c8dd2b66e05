//! What to buy for a set, and what it costs.

use std::sync::Arc;

use rust_decimal::Decimal;

use crate::facts::field::Field;
use crate::facts::part::Part;
use crate::facts::value::Value;
use crate::van::work::Per;
use crate::van::{Van, Work};

/// One thing to buy or have done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What it is.
    pub item: Arc<str>,
    /// The supplier's number for it; none for what work needs, and for work.
    pub sku: Option<Arc<str>>,
    /// How many.
    pub count: u64,
    /// What one costs, where that is known.
    pub each: Option<Decimal>,
}

impl Line {
    /// What the line costs, where that is known.
    #[must_use]
    pub fn total(&self) -> Option<Decimal> {
        self.each.map(|each| each * Decimal::from(self.count))
    }
}

/// Why there is no total.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PriceGap {
    /// The sheet gives the wheel no price.
    Wheel,
    /// The sheet gives the tire no price.
    Tire,
    /// The prices are in different currencies, or one names its currency and the other does not.
    Currency {
        /// The wheel's currency, where it is named.
        wheel: Option<&'static str>,
        /// The tire's currency, where it is named.
        tire: Option<&'static str>,
    },
}

/// Tire pressure sensors of a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sensors {
    /// How many.
    pub count: u32,
    /// Whether the spare has one.
    pub with_spare: bool,
}

/// What to buy for a set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shopping {
    /// How many wheels, and tires, make the set.
    pub set: u32,
    /// Wheel, tire, what the work needs, the work; then sensors, where the van has them.
    pub lines: Vec<Line>,
    /// The sensors, where the van has them.
    pub sensors: Option<Sensors>,
    /// The wheels and tires of the set, without work.
    pub set_price: Option<Decimal>,
    /// All of it; none where a price is not known.
    pub total: Option<Decimal>,
    /// What keeps it from having a total.
    pub missing_price: Vec<PriceGap>,
    /// The currency that both prices name.
    pub currency: Option<&'static str>,
}

/// What the line of sensors is called.
const SENSORS: &str = "tire pressure sensor: the van's own moved across or new ones, relearned to the van";

impl Shopping {
    /// What to buy for a set of so many wheels.
    #[must_use]
    pub fn of(wheel: &Part<'_>, tire: &Part<'_>, van: &Van, works: &[&Work], set: u32) -> Self {
        let missing_price = price_gaps(wheel, tire);
        let priced = |part: &Part<'_>, word: &str| Line {
            item: Arc::from(named(part, word)),
            sku: Some(Arc::from(part.sku)),
            count: u64::from(set),
            each: part.amount.map(|price| price.amount),
        };
        let mut lines = vec![priced(wheel, "wheel"), priced(tire, "tire")];
        for need in works.iter().flat_map(|work| &work.needs) {
            let count = u64::from(need.count) * if need.per == Per::Wheel { u64::from(set) } else { 1 };
            add(&mut lines, Line { item: Arc::clone(&need.item), sku: None, count, each: None });
        }
        for work in works {
            lines.push(Line { item: Arc::clone(&work.name), sku: None, count: 1, each: Some(work.costs) });
        }
        let sensors = sensors(van, set);
        if let Some(sensors) = sensors {
            let count = u64::from(sensors.count);
            lines.push(Line { item: Arc::from(SENSORS), sku: None, count, each: None });
        }
        let parts = match missing_price.as_slice() {
            [] => lines.iter().take(2).map(Line::total).sum::<Option<Decimal>>(),
            _ => None,
        };
        let work: Decimal = works.iter().map(|work| work.costs).sum();
        let currency = wheel.amount.and_then(|price| price.currency).filter(|_| missing_price.is_empty());
        Self {
            set,
            lines,
            sensors,
            set_price: parts,
            total: parts.map(|parts| parts + work),
            missing_price,
            currency,
        }
    }
}

/// A part as a list names it: `wheel, Northfell K7`.
fn named(part: &Part<'_>, word: &str) -> String {
    let who = [part.supplier, part.name].into_iter().filter(|text| !text.is_empty());
    let who: Vec<&str> = who.collect();
    if who.is_empty() { word.to_owned() } else { format!("{word}, {}", who.join(" ")) }
}

/// Equal items add up.
fn add(lines: &mut Vec<Line>, line: Line) {
    match lines.iter_mut().find(|known| known.sku.is_none() && known.item == line.item) {
        Some(known) => known.count += line.count,
        None => lines.push(line),
    }
}

fn price_gaps(wheel: &Part<'_>, tire: &Part<'_>) -> Vec<PriceGap> {
    match (wheel.amount, tire.amount) {
        (Some(wheel), Some(tire)) if wheel.currency == tire.currency => Vec::new(),
        (Some(wheel), Some(tire)) => vec![PriceGap::Currency { wheel: wheel.currency, tire: tire.currency }],
        (wheel, tire) => {
            [wheel.is_none().then_some(PriceGap::Wheel), tire.is_none().then_some(PriceGap::Tire)]
                .into_iter()
                .flatten()
                .collect()
        }
    }
}

/// One for each wheel on the road, and one for the spare unless the van stands on twins: 49 CFR
/// 571.138 S2 asks for no monitor there (*seen*).
fn sensors(van: &Van, set: u32) -> Option<Sensors> {
    let has = van.facts.get(Field::VanSensors) == Some(&Value::Flag(true));
    let road = van.facts.wheels_on_road();
    let with_spare = road <= 4 && set > road;
    has.then(|| Sensors { count: road.min(set) + u32::from(with_spare), with_spare })
}
