//! Rows in the order in which packages of them are listed, so that the best packages of many rows are found
//! without looking at all.

use rust_decimal::Decimal;

use crate::facts::part::{Part, Price};
use crate::judge::pairing::Order;
use crate::judge::pairing::place::{AbsentLast, Figures, MostFirst, Rising, Who, most_first, who};

/// Rows of wheels or of tires, by what their prices are stated in.
#[derive(Debug)]
pub(super) struct Listing<'t> {
    purses: Vec<Purse<'t>>,
}

/// Rows whose prices are added to the same prices.
#[derive(Debug)]
struct Purse<'t> {
    money: Money,
    /// In the order of packages that have a total.
    by_price: Vec<Row<'t>>,
    /// In the order of packages that have none.
    by_name: Vec<Row<'t>>,
}

/// What a price is stated in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Money {
    /// There is none.
    None,
    /// A currency; none where the sheet states none.
    In(Option<&'static str>),
    /// A number so long that a total of it could be rounded: which of two is the less cannot be told before.
    Unwieldy,
}

/// A row as packages of it are placed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row<'t> {
    pub(super) place: usize,
    pub(super) who: Who<'t>,
    pub(super) price: Option<Price>,
    pub(super) figures: Figures,
}

impl Row<'_> {
    /// What comes before the price in every order.
    fn lead(&self, order: Order) -> (MostFirst, Rising) {
        let diameter = if order == Order::Diameter { self.figures.diameter } else { None };
        (most_first(diameter), Rising(self.figures.speed_error))
    }
}

/// Whether sums of such prices are exact: no more digits than a total of a set has room for.
pub(super) fn is_wieldy(amount: Decimal) -> bool {
    amount.scale() <= 4 && amount.mantissa().unsigned_abs() < 1_000_000_000_000
}

impl<'t> Listing<'t> {
    /// Rows, each with what the placing takes from it alone.
    pub(super) fn of(rows: impl Iterator<Item = (usize, Figures)>, parts: &[Part<'t>], order: Order) -> Self {
        let mut purses: Vec<Purse<'t>> = Vec::new();
        for (place, figures) in rows {
            let Some(part) = parts.get(place) else { continue };
            let row = Row { place, who: who(part), price: part.amount, figures };
            let money = match part.amount {
                None => Money::None,
                Some(price) if is_wieldy(price.amount) => Money::In(price.currency),
                Some(_) => Money::Unwieldy,
            };
            match purses.iter_mut().find(|purse| purse.money == money) {
                Some(purse) => purse.by_price.push(row),
                None => purses.push(Purse { money, by_price: vec![row], by_name: Vec::new() }),
            }
        }
        for purse in &mut purses {
            purse.by_name.clone_from(&purse.by_price);
            purse.by_name.sort_unstable_by_key(|row| (row.lead(order), row.who, row.place));
            let amount = |row: &Row<'_>| AbsentLast(row.price.map(|price| price.amount));
            if order == Order::Price {
                purse.by_price.sort_unstable_by_key(|row| {
                    (amount(row), Rising(row.figures.speed_error), row.who, row.place)
                });
            } else {
                purse.by_price.sort_unstable_by_key(|row| (row.lead(order), amount(row), row.who, row.place));
            }
        }
        Self { purses }
    }
}

/// Hands out pairs of rows until no pair left could be among so many best. `keep` tells of a pair whether it is
/// kept; whatever comes behind one that is not is not kept either.
///
/// Both lists stand in an order in which a pair is placed behind every pair of rows that come before its own. So a
/// pair is behind as many others as there are such pairs, and a row of pairs ends with the first that is not kept.
pub(super) fn best_pairs<'t>(
    wheels: &Listing<'t>,
    tires: &Listing<'t>,
    most: usize,
    is_wieldy: bool,
    mut keep: impl FnMut(&Row<'t>, &Row<'t>) -> bool,
) {
    for wheels in &wheels.purses {
        for tires in &tires.purses {
            let has_total = wheels.money == tires.money && wheels.money != Money::None;
            let (wheel_rows, tire_rows) = if has_total {
                (&wheels.by_price, &tires.by_price)
            } else {
                (&wheels.by_name, &tires.by_name)
            };
            let unwieldy =
                [wheels.money, tires.money].contains(&Money::Unwieldy) || (has_total && !is_wieldy);
            'wheels: for (before, wheel) in wheel_rows.iter().enumerate() {
                for (ahead, tire) in tire_rows.iter().enumerate() {
                    if !unwieldy && (before + 1).saturating_mul(ahead + 1) > most {
                        break;
                    }
                    if !keep(wheel, tire) && !unwieldy {
                        if ahead == 0 {
                            break 'wheels;
                        }
                        break;
                    }
                }
            }
        }
    }
}
