//! The facts of one van: what its file states, and what follows from it.

use crate::facts::field::{Field, Scope};
use crate::facts::value::{BILLION, Value};
use crate::trade::axle::Fitment;
use crate::trade::quantity::{Length, Mass};

/// The facts of a van, one a field of the van's scope; a limit not stated is none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct VanFacts {
    /// Empty until one is stated: sense checks are asked of a van that states nothing, thousands of times.
    values: Vec<Option<Value>>,
}

impl VanFacts {
    /// The value of a fact, where the van states it.
    #[must_use]
    pub fn get(&self, field: Field) -> Option<&Value> {
        if field.scope() == Scope::Van { self.values.get(field.slot())?.as_ref() } else { None }
    }

    /// States a fact; a field of another scope changes nothing.
    pub fn put(&mut self, field: Field, value: Value) {
        if field.scope() != Scope::Van {
            return;
        }
        self.values.resize(Field::of(Scope::Van).len(), None);
        if let Some(place) = self.values.get_mut(field.slot()) {
            *place = Some(value);
        }
    }

    /// Works out the facts that follow from others: the load on the heaviest wheel and the diameter
    /// of the stock tire. What is stated outright and rests on nothing else stays.
    pub fn follow(&mut self) {
        let axles = [
            (Field::VanFrontAxleLoad, Field::VanFrontWheels),
            (Field::VanRearAxleLoad, Field::VanRearWheels),
        ];
        let shares: Vec<f64> = axles.iter().filter_map(|(load, wheels)| self.share(*load, *wheels)).collect();
        if let Some(heaviest) = shares.into_iter().reduce(f64::max) {
            self.put(Field::VanCornerLoad, Value::Number(heaviest));
        }
        if let Some(Value::Size(size)) = self.get(Field::VanStockTire)
            && let Some(diameter) = size.design_diameter()
        {
            self.put(Field::VanStockTireDiameter, Value::Number(Length::base(diameter)));
        }
    }

    fn share(&self, load: Field, wheels: Field) -> Option<f64> {
        let load = self.get(load)?.number()?;
        let wheels = self.get(wheels)?.number()? / BILLION;
        let fitment = if wheels == 4.0 { Fitment::Twin } else { Fitment::Single };
        Some(fitment.share(Mass::from_base(load)).base())
    }

    /// The wheels on the road: 4, or 6 with twins on one axle.
    #[must_use]
    pub fn wheels_on_road(&self) -> u32 {
        let wheels = |field| self.get(field).and_then(Value::number).map_or(0.0, |count| count / BILLION);
        (wheels(Field::VanFrontWheels) + wheels(Field::VanRearWheels)) as u32
    }
}
