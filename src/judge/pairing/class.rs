//! Classes of wheels and of tires: whatever the one comes to with a part of the other kind, all of the class do.

use std::collections::{BTreeMap, HashMap};
use std::sync::OnceLock;

use foldhash::fast::RandomState;
use rust_decimal::Decimal;

use crate::facts::field::{Field, FieldSet};
use crate::facts::part::PartKind;
use crate::judge::Judgement;
use crate::judge::package::follows_from;
use crate::judge::pairing::candidate::Candidate;
use crate::judge::pairing::listing::Listing;
use crate::judge::pairing::numbered::Numbered;
use crate::judge::pairing::outcomes::Outcomes;
use crate::judge::pairing::place::Figures;
use crate::judge::pairing::{Order, Request};

/// Candidates that come to the same with whatever part as things are.
#[derive(Debug)]
pub(super) struct Class<'c> {
    pub(super) candidates: Vec<&'c Candidate<'c>>,
    /// What they are to each rule on packages that is watched.
    pub(super) numbers: Vec<u32>,
    /// What they are to the load in reserve, where packages are placed by it.
    pub(super) reserve: Option<u32>,
    /// How many rows they have.
    pub(super) count: u64,
    /// The least amount of its rows in each currency.
    pub(super) cheapest: Vec<(Option<&'static str>, Decimal)>,
    /// The best of each figure that the placing takes from one of them alone.
    pub(super) figures: Figures,
    listing: OnceLock<Listing<'c>>,
}

impl<'c> Class<'c> {
    fn new(numbers: Vec<u32>, reserve: Option<u32>) -> Self {
        Self {
            candidates: Vec::new(),
            numbers,
            reserve,
            count: 0,
            cheapest: Vec::new(),
            figures: Figures::default(),
            listing: OnceLock::new(),
        }
    }

    /// The first of its candidates, which stands for all.
    pub(super) fn first(&self) -> Option<&'c Candidate<'c>> {
        self.candidates.first().copied()
    }

    fn add(&mut self, judgement: &Judgement<'_>, candidate: &'c Candidate<'c>) {
        self.candidates.push(candidate);
        self.count += candidate.count();
        let Figures { speed_error, diameter, .. } = candidate.figures;
        self.figures.speed_error = self.figures.speed_error.min(speed_error);
        self.figures.diameter = match (self.figures.diameter, diameter) {
            (Some(known), Some(other)) => Some(known.max(other)),
            (known, other) => known.or(other),
        };
        let prices = candidate.rows.iter().filter_map(|row| judgement.catalog.parts.get(*row)?.amount);
        for price in prices {
            match self.cheapest.iter_mut().find(|(currency, _)| *currency == price.currency) {
                Some((_, least)) => *least = price.amount.min(*least),
                None => self.cheapest.push((price.currency, price.amount)),
            }
        }
    }

    /// Its rows in the order in which packages of them are listed.
    pub(super) fn listing(&self, judgement: &'c Judgement<'c>, order: Order) -> &Listing<'c> {
        let rows = || {
            let candidates = self.candidates.iter();
            candidates.flat_map(|one| one.rows.iter().map(|row| (*row, one.figures)))
        };
        self.listing.get_or_init(|| Listing::of(rows(), &judgement.catalog.parts, order))
    }
}

/// The wheels and tires of one rim.
#[derive(Debug, Default)]
pub(super) struct OneRim<'c> {
    pub(super) wheels: Vec<Class<'c>>,
    pub(super) tires: Vec<Class<'c>>,
}

/// How a candidate stands by itself: what fails, what is unknown, drawbacks, whether it is doubted and hopeless.
type Standing<'c> = (&'c [usize], &'c [usize], u32, bool, bool);

/// What makes a class: the rim, a number of how its candidates stand, and what they are to the load in reserve and
/// to the rules.
type Footing = (u64, u32, Option<u32>, Vec<u32>);

/// The classes of wheels and tires, rim by rim; without outcomes each candidate is a class by itself. Parts whose
/// rim is not known are in none.
pub(super) fn classes<'c>(
    judgement: &Judgement<'_>,
    outcomes: Option<&Outcomes<'_, '_>>,
    wheels: (&'c [Candidate<'c>], &Numbered<'_>),
    tires: (&'c [Candidate<'c>], &Numbered<'_>),
    request: &Request,
) -> Vec<OneRim<'c>> {
    let mut rims: BTreeMap<u64, OneRim<'c>> = BTreeMap::new();
    for (kind, (candidates, numbered)) in PartKind::ALL.into_iter().zip([wheels, tires]) {
        let reserves = if request.order == Order::Margin { Some(reserves(numbered, kind)) } else { None };
        let mut alone: HashMap<Standing<'_>, u32, RandomState> = HashMap::default();
        let mut known: HashMap<Footing, usize, RandomState> = HashMap::default();
        for candidate in candidates {
            let Some(rim) = candidate.rim else { continue };
            let next = alone.len() as u32;
            let standing = (
                candidate.as_it_is.failing.as_slice(),
                candidate.as_it_is.unknown.as_slice(),
                candidate.as_it_is.drawbacks,
                candidate.doubted,
                candidate.is_hopeless,
            );
            let alone = *alone.entry(standing).or_insert(next);
            let reserve = reserves.as_ref().map(|reserves| reserves[candidate.at]);
            let numbers: Vec<u32> = match outcomes {
                None => vec![candidate.at as u32],
                // Only counted: nobody asks what else it comes to.
                Some(_) if candidate.is_hopeless && !request.rejected => Vec::new(),
                Some(outcomes) => outcomes.of(kind, candidate.at).collect(),
            };
            let of_rim = rims.entry(rim).or_default();
            let classes = match kind {
                PartKind::Wheel => &mut of_rim.wheels,
                PartKind::Tire => &mut of_rim.tires,
            };
            let place = *known.entry((rim, alone, reserve, numbers)).or_insert_with_key(|(.., numbers)| {
                classes.push(Class::new(numbers.clone(), reserve));
                classes.len() - 1
            });
            if let Some(class) = classes.get_mut(place) {
                class.add(judgement, candidate);
            }
        }
    }
    rims.into_values().collect()
}

/// The kinds that parts are to the load in reserve.
fn reserves(numbered: &Numbered<'_>, kind: PartKind) -> Vec<u32> {
    let capacity = [Field::PackageCapacityFront, Field::PackageCapacityRear];
    let seen = capacity.into_iter().fold(FieldSet::EMPTY, |all, field| all.union(follows_from(field)));
    numbered.kinds(seen.intersection(FieldSet::of_scope(kind.scope()))).of
}
