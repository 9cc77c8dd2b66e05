//! Axles: how a load divides over the wheels, and what tires and wheels carry together.
//!
//! Ratings are per tire and per wheel. A twin axle counts the tire's dual load, the figure after the
//! slash. The sum of ratings against the axle load is 49 CFR 571.110 S4.2.2.1 (*seen*).

use super::quantity::Mass;

/// How many wheels share an axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fitment {
    /// Two wheels, one on each side.
    Single,
    /// Four wheels, two on each side.
    Twin,
}

impl Fitment {
    /// The fitment with so many wheels on the axle; `None` unless two or four.
    #[must_use]
    pub fn from_wheels(wheels: u8) -> Option<Self> {
        match wheels {
            2 => Some(Self::Single),
            4 => Some(Self::Twin),
            _ => None,
        }
    }

    /// Wheels on the axle.
    #[must_use]
    pub fn wheels(self) -> u8 {
        match self {
            Self::Single => 2,
            Self::Twin => 4,
        }
    }

    /// What one wheel and its tire must be rated for under an axle load, shared evenly.
    #[must_use]
    pub fn share(self, axle_load: Mass) -> Mass {
        axle_load / f64::from(self.wheels())
    }
}

/// What an axle can carry, and which part sets it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacity {
    /// Of all wheels of the axle together.
    pub total: Mass,
    /// The lower of the two ratings.
    pub limit: Limit,
}

/// The part that limits an axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// The tire is rated lower.
    Tire,
    /// The wheel is rated lower.
    Wheel,
    /// Both are rated alike.
    Both,
}

/// The capacity of an axle: its wheels x the lower of one tire's load and one wheel's rating.
///
/// `tire` is the single or the dual load, as the fitment asks, after
/// [`passenger_counted_load`] where that applies.
#[must_use]
pub fn capacity(fitment: Fitment, tire: Mass, wheel: Mass) -> Capacity {
    let (lower, limit) = if tire < wheel {
        (tire, Limit::Tire)
    } else if wheel < tire {
        (wheel, Limit::Wheel)
    } else {
        (tire, Limit::Both)
    };
    Capacity { total: lower * f64::from(fitment.wheels()), limit }
}

/// What 49 CFR 571.110 S4.2.2.2 divides a passenger tire's rating by on a van, truck or bus (*seen*).
pub const PASSENGER_DIVISOR: f64 = 1.10;

/// The load a passenger tire counts for on a van in the United States: its rating / 1.10.
#[must_use]
pub fn passenger_counted_load(rating: Mass) -> Mass {
    rating / PASSENGER_DIVISOR
}

/// The rating a passenger tire needs so that it counts for `share`: share x 1.10.
#[must_use]
pub fn passenger_rating_needed(share: Mass) -> Mass {
    share * PASSENGER_DIVISOR
}

/// The most a tire may carry at the vehicle's normal load: 94 % of its rating at the placard
/// pressure, 49 CFR 571.110 S4.2.2.3 (*seen*); for a passenger tire, of the divided rating.
#[must_use]
pub fn normal_load_limit(counted_load: Mass) -> Mass {
    counted_load * 0.94
}

#[cfg(test)]
mod tests {
    use super::{Capacity, Fitment, Limit, capacity};
    use crate::trade::quantity::Mass;

    #[test]
    fn only_two_or_four_wheels_make_an_axle() {
        for wheels in 0..=8 {
            let known = Fitment::from_wheels(wheels).map(Fitment::wheels);
            assert_eq!(known, matches!(wheels, 2 | 4).then_some(wheels));
        }
    }

    #[test]
    fn the_lower_rating_sets_the_capacity_and_is_named() {
        let kg = Mass::from_kg;
        for (tire, wheel, total, limit) in [
            (1450.0, 1100.0, 2200.0, Limit::Wheel),
            (1000.0, 1100.0, 2000.0, Limit::Tire),
            (1100.0, 1100.0, 2200.0, Limit::Both),
        ] {
            let found = capacity(Fitment::Single, kg(tire), kg(wheel));
            assert_eq!(found, Capacity { total: kg(total), limit });
        }
        assert_eq!(capacity(Fitment::Twin, kg(925.0), kg(2000.0)).total, kg(3700.0));
    }
}
