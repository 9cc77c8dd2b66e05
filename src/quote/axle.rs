//! What each axle carries with a package on it, and the pressure it needs.

use std::sync::Arc;

use crate::facts::field::Field;
use crate::facts::value::Value;
use crate::judge::case::{Case, Look};
use crate::judge::eval::number;
use crate::judge::package::{Axle, Inflation, PassengerLoads, TireClass, tire_load};
use crate::judge::work::Done;
use crate::trade::axle::Fitment;
use crate::trade::inflation::{InflationError, LoadRelation, Need};
use crate::trade::quantity::{Mass, Pressure};
use crate::van::Work;
use crate::van::work::Change;

/// What sets the capacity of an axle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Limit {
    /// The tire.
    Tire,
    /// The wheel.
    Wheel,
    /// Tire and wheel are rated alike.
    Both,
    /// A work that lowers what the wheel may carry, such as a spacer with a rating of its own.
    Work(Arc<str>),
}

/// The pressure an axle needs, as the class of its tires has it.
#[derive(Clone, Debug, PartialEq)]
pub enum PressureQuote {
    /// Worked out.
    Worked {
        /// By which class.
        class: TireClass,
        /// What it needs.
        needed: Need,
        /// What it needs at most, whatever the exponent.
        cautious: Need,
    },
    /// The load is above the tire's rating: no pressure is enough.
    AboveRating(TireClass),
    /// A figure that it follows from is not known.
    NotKnown(TireClass),
    /// No relation of load to pressure is used for tires of this service; none where that is not known.
    NoRelation(Option<Arc<str>>),
}

/// One axle under a package.
#[derive(Clone, Debug)]
pub struct AxleQuote {
    /// Which.
    pub axle: Axle,
    /// How its wheels stand.
    pub fitment: Fitment,
    /// The load the van's maker allows on it.
    pub load: Mass,
    /// What wheels and tires carry; none where a rating is not known.
    pub capacity: Option<Mass>,
    /// What sets the capacity.
    pub limit: Option<Limit>,
    /// The pressure it needs.
    pub pressure: PressureQuote,
}

impl AxleQuote {
    /// What may still be added: capacity less load; negative where there is too much already.
    #[must_use]
    pub fn margin(&self) -> Option<Mass> {
        self.capacity.map(|capacity| capacity - self.load)
    }
}

/// Both axles, from the front; an axle whose load or wheels are not known is left out.
pub(super) fn axles(done: &Done<'_>, works: &[&Work], passenger: PassengerLoads) -> Vec<AxleQuote> {
    let case = done.case();
    let axle = |axle: Axle| {
        let fitment = axle.fitment(case.van)?;
        let load = Mass::from_base(known(axle.load(), case)?);
        let capacity = known(axle.capacity(), case).map(Mass::from_base);
        let limit = capacity.and_then(|_| limit(axle, case, works, passenger));
        Some(AxleQuote { axle, fitment, load, capacity, limit, pressure: pressure(axle, case) })
    };
    Axle::ALL.into_iter().filter_map(axle).collect()
}

fn known(field: Field, case: Case<'_>) -> Option<f64> {
    number(field, case).known()
}

fn limit(axle: Axle, case: Case<'_>, works: &[&Work], passenger: PassengerLoads) -> Option<Limit> {
    let wheel = known(Field::WheelLoadRating, case)?;
    let tire = tire_load(axle, case, passenger).known()?;
    if tire < wheel {
        return Some(Limit::Tire);
    }
    // A work that lowers the rating stands for what it puts beside the wheel.
    let lowering = works.iter().find(|work| {
        work.effects.iter().any(|effect| {
            effect.field == Field::WheelLoadRating && matches!(effect.change, Change::Lower | Change::Set)
        })
    });
    Some(match lowering {
        Some(work) if wheel < tire => Limit::Work(Arc::clone(&work.name)),
        _ if wheel < tire => Limit::Wheel,
        _ => Limit::Both,
    })
}

fn pressure(axle: Axle, case: Case<'_>) -> PressureQuote {
    let inflation = Inflation::of(axle, case);
    let Some(class) = inflation.class else {
        return PressureQuote::NoRelation(match case.look(Field::TireService) {
            Look::Known(Value::Word(service)) => Some(Arc::clone(service)),
            _ => None,
        });
    };
    match (inflation.need(class.relation()), inflation.need(LoadRelation::Cautious)) {
        (Some(Ok(needed)), Some(Ok(cautious))) => PressureQuote::Worked { class, needed, cautious },
        (Some(Err(InflationError::AboveRating)), _) => PressureQuote::AboveRating(class),
        _ => PressureQuote::NotKnown(class),
    }
}

impl PressureQuote {
    /// The pressure to set, where it is known.
    #[must_use]
    pub fn needed(&self) -> Option<Pressure> {
        match self {
            Self::Worked { needed, .. } => Some(needed.pressure()),
            Self::AboveRating(_) | Self::NotKnown(_) | Self::NoRelation(_) => None,
        }
    }
}
