//! What follows from a wheel, a tire and a van together: the facts of a package.
//!
//! All of it is geometry and load of `trade`, on the facts as they stand with the work done. A figure
//! whose source is missing is missing; one whose source cannot be used cannot be used either.

use crate::facts::fact::Fact;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::value::{BILLION, Value};
use crate::judge::case::{Case, Look};
use crate::judge::eval::{Figure, number, rated_load};
use crate::trade::axle::{Fitment, passenger_counted_load};
use crate::trade::inflation::{
    InflationError, LoadRelation, Need, RatedPoint, commercial_reference, pressure_for,
};
use crate::trade::load_range::LoadRange;
use crate::trade::quantity::{Length, Mass, Pressure};
use crate::trade::tire::{Size, ride_height_change, road_speed_error, section_on_other_rim};
use crate::trade::wheel::{half_width, inboard_reach, outboard_reach, track_change};
use crate::van::VanFacts;

/// The facts of a package, one a field of its scope; all are numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct PackageFacts {
    slots: [Slot; SLOTS],
}

const SLOTS: usize = 17;

#[derive(Clone, Debug, PartialEq)]
enum Slot {
    Known(Value),
    Missing,
    Unusable,
}

impl Default for PackageFacts {
    fn default() -> Self {
        Self { slots: [const { Slot::Missing }; SLOTS] }
    }
}

impl PackageFacts {
    /// What is known of a fact; a field of another scope is missing.
    #[must_use]
    pub fn look(&self, field: Field) -> Look<'_> {
        match self.slots.get(field.slot()).filter(|_| field.scope() == Scope::Package) {
            Some(Slot::Known(value)) => Look::Known(value),
            Some(Slot::Unusable) => Look::Unusable,
            Some(Slot::Missing) | None => Look::Missing,
        }
    }

    /// States a fact; a field of another scope changes nothing.
    pub(super) fn put(&mut self, field: Field, figure: Figure) {
        if field.scope() == Scope::Package
            && let Some(slot) = self.slots.get_mut(field.slot())
        {
            *slot = match figure {
                Figure::Known(count) => Slot::Known(Value::Number(count)),
                Figure::Missing => Slot::Missing,
                Figure::Unusable => Slot::Unusable,
            };
        }
    }
}

/// Whether a passenger tire counts at its load divided by 1.10 here (49 CFR 571.110 S4.2.2.2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PassengerLoads {
    /// As rated.
    AsRated,
    /// Divided, as the law of the United States has it for vans.
    Divided,
}

impl PassengerLoads {
    /// The pack whose rules divide them.
    const PACK: &str = "us-road";

    /// How they count under some packs.
    #[must_use]
    pub fn under(packs: &[String]) -> Self {
        if packs.iter().any(|pack| pack == Self::PACK) { Self::Divided } else { Self::AsRated }
    }
}

/// The front or the rear axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Axle {
    /// The front axle.
    Front,
    /// The rear axle.
    Rear,
}

impl Axle {
    /// Both, from the front.
    pub const ALL: [Self; 2] = [Self::Front, Self::Rear];

    /// The word in outputs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Rear => "rear",
        }
    }

    /// The van's fact that is the load on it.
    #[must_use]
    pub fn load(self) -> Field {
        match self {
            Self::Front => Field::VanFrontAxleLoad,
            Self::Rear => Field::VanRearAxleLoad,
        }
    }

    /// The van's fact that counts the wheels on it.
    #[must_use]
    pub fn wheels(self) -> Field {
        match self {
            Self::Front => Field::VanFrontWheels,
            Self::Rear => Field::VanRearWheels,
        }
    }

    /// The package's fact that is its capacity.
    #[must_use]
    pub fn capacity(self) -> Field {
        match self {
            Self::Front => Field::PackageCapacityFront,
            Self::Rear => Field::PackageCapacityRear,
        }
    }

    /// The package's fact that is the pressure it needs.
    #[must_use]
    pub fn pressure(self) -> Field {
        match self {
            Self::Front => Field::PackagePressureFront,
            Self::Rear => Field::PackagePressureRear,
        }
    }

    /// The package's fact that is the cautious bound of that pressure.
    #[must_use]
    pub fn cautious(self) -> Field {
        match self {
            Self::Front => Field::PackageCautiousFront,
            Self::Rear => Field::PackageCautiousRear,
        }
    }

    /// How its wheels stand, where the van says how many there are.
    #[must_use]
    pub fn fitment(self, van: &VanFacts) -> Option<Fitment> {
        let wheels = van.get(self.wheels())?.number()? / BILLION;
        [Fitment::Single, Fitment::Twin].into_iter().find(|fitment| f64::from(fitment.wheels()) == wheels)
    }
}

/// Works out the facts of a package. A case without a wheel or a tire has none.
#[must_use]
pub fn derive(case: Case<'_>, passenger: PassengerLoads) -> PackageFacts {
    derive_some(case, passenger, FieldSet::of_scope(Scope::Package))
}

/// Works out those facts of a package that are wanted, and perhaps others; facts that are not worked out are
/// missing.
pub(super) fn derive_some(case: Case<'_>, passenger: PassengerLoads, wanted: FieldSet) -> PackageFacts {
    let mut facts = PackageFacts::default();
    let wants = |some: &[Field]| some.iter().any(|field| wanted.contains(*field));
    let changes_reach = wants(&[Field::PackageOutboardChange, Field::PackageInboardChange]);
    let changes_diameter = wants(&[Field::PackageRideHeightChange, Field::PackageRoadSpeedError]);
    let offset = number(Field::WheelOffset, case);
    let diameter = number(Field::TireOverallDiameter, case);
    facts.put(Field::PackageOverallDiameter, diameter);
    let stands_in = case.fact(Field::TireOverallDiameter).is_some_and(Fact::stands_in);
    facts.put(Field::PackageDesignationDiameter, if stands_in { diameter } else { Figure::Missing });
    if changes_reach
        || wants(&[Field::PackageSectionOnRim, Field::PackageHalfWidth])
        || wants(&[Field::PackageOutboardReach, Field::PackageInboardReach])
    {
        let section = section_on_rim(case);
        let half = lengths(number(Field::WheelRimWidth, case), section, half_width);
        let outboard = lengths(half, offset, outboard_reach);
        let inboard = lengths(half, offset, inboard_reach);
        facts.put(Field::PackageSectionOnRim, section);
        facts.put(Field::PackageHalfWidth, half);
        facts.put(Field::PackageOutboardReach, outboard);
        facts.put(Field::PackageInboardReach, inboard);
        if changes_reach {
            let stock = Stock::of(case);
            let less = |new: Length, old: Length| new - old;
            facts.put(Field::PackageOutboardChange, lengths(outboard, stock.outboard, less));
            facts.put(Field::PackageInboardChange, lengths(inboard, stock.inboard, less));
        }
    }
    if wants(&[Field::PackageTrackChange]) {
        let stock = number(Field::VanStockOffset, case);
        facts.put(Field::PackageTrackChange, lengths(stock, offset, track_change));
    }
    if changes_diameter {
        let stock = number(Field::VanStockTireDiameter, case);
        facts.put(Field::PackageRideHeightChange, lengths(stock, diameter, ride_height_change));
        facts.put(
            Field::PackageRoadSpeedError,
            stock.with(diameter, |old, new| {
                let error = road_speed_error(Length::from_base(old), Length::from_base(new));
                error.map_or(Figure::Unusable, |share| Figure::Known((share * BILLION).round()))
            }),
        );
    }
    for axle in Axle::ALL {
        if wants(&[axle.capacity()]) {
            facts.put(axle.capacity(), capacity(axle, case, passenger));
        }
        if wants(&[axle.pressure(), axle.cautious()]) {
            let inflation = Inflation::of(axle, case);
            facts.put(axle.pressure(), inflation.figure(inflation.relation()));
            facts.put(axle.cautious(), inflation.figure(Some(LoadRelation::Cautious)));
        }
    }
    facts
}

fn lengths(one: Figure, other: Figure, combine: impl FnOnce(Length, Length) -> Length) -> Figure {
    one.with(other, |one, other| {
        Figure::Known(combine(Length::from_base(one), Length::from_base(other)).base())
    })
}

/// What becomes of figures of which one is known not to be there.
fn unknown(_: f64, _: f64) -> Figure {
    Figure::Unusable
}

fn size(field: Field, case: Case<'_>) -> Result<Size, Figure> {
    match case.look(field) {
        Look::Known(Value::Size(size)) => Ok(*size),
        Look::Known(_) | Look::Unusable => Err(Figure::Unusable),
        Look::Missing => Err(Figure::Missing),
    }
}

/// The section width on this rim: that on the measuring rim, and 0.4 mm more for each mm of rim.
fn section_on_rim(case: Case<'_>) -> Figure {
    let rims = [Field::TireMeasuringRim, Field::WheelRimWidth].map(|field| number(field, case));
    match (section_on_measuring_rim(case), rims) {
        (Figure::Known(section), [Figure::Known(measuring), Figure::Known(width)]) => {
            let [section, measuring, width] = [section, measuring, width].map(Length::from_base);
            Figure::Known(section_on_other_rim(section, measuring, width).base())
        }
        (section, [measuring, width]) => section.with(measuring, unknown).with(width, unknown),
    }
}

/// The section width on the measuring rim: stated, else from the designation. A nominal width that
/// only stands in for a stated one is not a measured one.
fn section_on_measuring_rim(case: Case<'_>) -> Figure {
    if !case.fact(Field::TireSectionWidth).is_some_and(Fact::stands_in) {
        return number(Field::TireSectionWidth, case);
    }
    let size = match size(Field::TireSize, case) {
        Ok(size) => size,
        Err(why) => return why,
    };
    match number(Field::TireMeasuringRim, case) {
        Figure::Known(rim) => size
            .section_on_measuring_rim(None, Length::from_base(rim))
            .map_or(Figure::Unusable, |section| Figure::Known(section.base())),
        why => why,
    }
}

/// How far the stock wheel and tire reach.
struct Stock {
    outboard: Figure,
    inboard: Figure,
}

impl Stock {
    fn of(case: Case<'_>) -> Self {
        let offset = number(Field::VanStockOffset, case);
        let width = number(Field::VanStockRimWidth, case);
        let section = match (size(Field::VanStockTire, case), width) {
            (Ok(size), Figure::Known(width)) => size
                .section_on_rim(Length::from_base(width), None, None)
                .map_or(Figure::Unusable, |section| Figure::Known(section.base())),
            (Err(why), _) | (_, why) => why,
        };
        let half = lengths(width, section, half_width);
        Self {
            outboard: lengths(half, offset, outboard_reach),
            inboard: lengths(half, offset, inboard_reach),
        }
    }
}

/// What one tire counts for on an axle: the index's load, else the printed one, single or dual as
/// the axle stands.
#[must_use]
pub fn tire_load(axle: Axle, case: Case<'_>, passenger: PassengerLoads) -> Figure {
    let Some(fitment) = axle.fitment(case.van) else { return Figure::Missing };
    let load = rated_load(fitment, case);
    match (passenger, case.look(Field::TireService)) {
        (PassengerLoads::AsRated, _) => load,
        (PassengerLoads::Divided, Look::Known(Value::Word(service))) if &**service == "passenger" => {
            load.map(|load| Figure::Known(passenger_counted_load(Mass::from_base(load)).base()))
        }
        (PassengerLoads::Divided, Look::Known(_)) => load,
        // Whether it must be divided is not known.
        (PassengerLoads::Divided, Look::Missing | Look::Unusable) => Figure::Unusable,
    }
}

/// The wheels on an axle times the lower of tire load and wheel rating.
fn capacity(axle: Axle, case: Case<'_>, passenger: PassengerLoads) -> Figure {
    let Some(fitment) = axle.fitment(case.van) else { return Figure::Missing };
    let tire = tire_load(axle, case, passenger);
    tire.with(number(Field::WheelLoadRating, case), |tire, wheel| {
        let (tire, wheel) = (Mass::from_base(tire), Mass::from_base(wheel));
        Figure::Known(crate::trade::axle::capacity(fitment, tire, wheel).total.base())
    })
}

/// What the pressure of one axle is worked out from.
#[derive(Clone, Copy, Debug)]
pub struct Inflation {
    /// The class whose exponent relates load and pressure; none for tires no relation is used for.
    pub class: Option<TireClass>,
    /// The load on one tire.
    pub load: Figure,
    /// What one tire carries at the reference pressure.
    pub rating: Figure,
    /// The reference pressure: stated, else a table's.
    pub reference: Figure,
}

/// The classes of tire that a relation between load and pressure is known for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TireClass {
    /// Light truck, flotation sizes marked LT included.
    LightTruck,
    /// Euro-metric commercial.
    Commercial,
}

impl TireClass {
    /// The letters in outputs.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::LightTruck => "LT",
            Self::Commercial => "C",
        }
    }

    /// The relation between its load and its pressure.
    #[must_use]
    pub fn relation(self) -> LoadRelation {
        match self {
            Self::LightTruck => LoadRelation::LightTruck,
            Self::Commercial => LoadRelation::Commercial,
        }
    }
}

impl Inflation {
    /// What there is to work the pressure of an axle out from.
    #[must_use]
    pub fn of(axle: Axle, case: Case<'_>) -> Self {
        let class = match case.look(Field::TireService) {
            Look::Known(Value::Word(word)) if &**word == "LT" => Some(TireClass::LightTruck),
            Look::Known(Value::Word(word)) if &**word == "C" => Some(TireClass::Commercial),
            _ => None,
        };
        let fitment = axle.fitment(case.van);
        let load = fitment.map_or(Figure::Missing, |fitment| {
            number(axle.load(), case).map(|load| Figure::Known(fitment.share(Mass::from_base(load)).base()))
        });
        let rating = fitment.map_or(Figure::Missing, |fitment| rated_load(fitment, case));
        let reference = match number(Field::TireMaxPressure, case) {
            Figure::Missing => table_reference(class, case),
            stated => stated,
        };
        Self { class, load, rating, reference }
    }

    /// The relation of its class.
    #[must_use]
    pub fn relation(&self) -> Option<LoadRelation> {
        self.class.map(TireClass::relation)
    }

    /// What the axle needs under a relation; none where a figure it needs is not known.
    #[must_use]
    pub fn need(&self, relation: LoadRelation) -> Option<Result<Need, InflationError>> {
        let (Some(_), Figure::Known(load), Figure::Known(rating), Figure::Known(reference)) =
            (self.class, self.load, self.rating, self.reference)
        else {
            return None;
        };
        let rated = RatedPoint { load: Mass::from_base(rating), pressure: Pressure::from_base(reference) };
        Some(pressure_for(Mass::from_base(load), rated, relation))
    }

    fn figure(&self, relation: Option<LoadRelation>) -> Figure {
        match relation.and_then(|relation| self.need(relation)) {
            Some(Ok(need)) => Figure::Known(need.pressure().base()),
            Some(Err(_)) => Figure::Unusable,
            None if self.class.is_none() => Figure::Unusable,
            None => self.load.with(self.rating, unknown).with(self.reference, unknown),
        }
    }
}

/// The reference pressure where the sheet states no highest one: an LT tire's load range gives it,
/// a commercial tire's service description in the one size it is known for.
fn table_reference(class: Option<TireClass>, case: Case<'_>) -> Figure {
    let size = match size(Field::TireSize, case) {
        Ok(size) => size,
        Err(why) => return why,
    };
    let pressure = match class {
        Some(TireClass::LightTruck) => {
            let ply = match number(Field::TireLoadRange, case) {
                Figure::Missing => number(Field::TirePlyRating, case),
                stated => stated,
            };
            let Figure::Known(ply) = ply else { return ply };
            LoadRange::from_ply(ply as u8).and_then(|range| range.reference_pressure_on(size))
        }
        Some(TireClass::Commercial) => {
            let indices = (number(Field::TireLoadIndex, case), number(Field::TireLoadIndexDual, case));
            let (Figure::Known(single), Figure::Known(dual)) = indices else { return Figure::Missing };
            commercial_reference(size, (single / BILLION) as u16, (dual / BILLION) as u16)
        }
        None => None,
    };
    pressure.map_or(Figure::Missing, |pressure| Figure::Known(pressure.base()))
}

/// The facts of the parts that keep a fact of a package unknown; nothing where it is known.
#[must_use]
pub fn to_blame(field: Field, case: Case<'_>) -> FieldSet {
    use Field as F;
    if matches!(case.look(field), Look::Known(_)) {
        return FieldSet::EMPTY;
    }
    let unknown = |fields: &[Field]| -> FieldSet {
        let unknown = fields.iter().filter(|field| !matches!(case.look(**field), Look::Known(_)));
        unknown.copied().collect()
    };
    let section = || {
        let stated = !case.fact(F::TireSectionWidth).is_some_and(Fact::stands_in);
        let own = if stated { F::TireSectionWidth } else { F::TireSize };
        unknown(&[own, F::TireMeasuringRim, F::WheelRimWidth])
    };
    let load = |axle: Axle| match axle.fitment(case.van) {
        Some(fitment) if !matches!(rated_load(fitment, case), Figure::Known(_)) => match fitment {
            Fitment::Single => unknown(&[F::TireLoadIndex, F::TireLoadSingle]),
            Fitment::Twin => unknown(&[F::TireLoadIndexDual, F::TireLoadDual]),
        },
        _ => FieldSet::EMPTY,
    };
    let capacity = |axle: Axle| {
        let found = load(axle).union(unknown(&[F::WheelLoadRating]));
        // Both loads are known: it is whether the tire's must be divided that is not.
        if found.is_empty() { unknown(&[F::TireService]) } else { found }
    };
    let pressure = |axle: Axle| {
        let reference = match Inflation::of(axle, case).reference {
            Figure::Known(_) => FieldSet::EMPTY,
            Figure::Missing | Figure::Unusable => unknown(&[F::TireMaxPressure, F::TireSize]),
        };
        load(axle).union(unknown(&[F::TireService])).union(reference)
    };
    let diameter = || unknown(&[F::TireOverallDiameter]);
    match field {
        F::PackageSectionOnRim | F::PackageHalfWidth => section(),
        F::PackageOutboardReach
        | F::PackageInboardReach
        | F::PackageOutboardChange
        | F::PackageInboardChange => section().union(unknown(&[F::WheelOffset])),
        F::PackageTrackChange => unknown(&[F::WheelOffset]),
        F::PackageOverallDiameter
        | F::PackageDesignationDiameter
        | F::PackageRideHeightChange
        | F::PackageRoadSpeedError => diameter(),
        F::PackageCapacityFront => capacity(Axle::Front),
        F::PackageCapacityRear => capacity(Axle::Rear),
        F::PackagePressureFront | F::PackageCautiousFront => pressure(Axle::Front),
        F::PackagePressureRear | F::PackageCautiousRear => pressure(Axle::Rear),
        _ => FieldSet::EMPTY,
    }
}

/// The first of the facts of a package that take the same from a tire as one does.
pub(super) fn standing_for(field: Field) -> Field {
    use Field as F;
    match field {
        F::PackageRideHeightChange | F::PackageRoadSpeedError => F::PackageOverallDiameter,
        F::PackageHalfWidth
        | F::PackageOutboardReach
        | F::PackageInboardReach
        | F::PackageOutboardChange
        | F::PackageInboardChange => F::PackageSectionOnRim,
        F::PackageCautiousFront => F::PackagePressureFront,
        F::PackageCautiousRear => F::PackagePressureRear,
        own => own,
    }
}

/// All that a fact of a package takes from its tire: tires that are alike in it give one fact with any wheel.
pub(super) fn from_tire(field: Field, case: Case<'_>, passenger: PassengerLoads) -> [Figure; 2] {
    use Field as F;
    let pressures = |axle: Axle| {
        let inflation = Inflation::of(axle, case);
        [inflation.figure(inflation.relation()), inflation.figure(Some(LoadRelation::Cautious))]
    };
    match standing_for(field) {
        F::PackageOverallDiameter => [number(F::TireOverallDiameter, case), Figure::Missing],
        F::PackageDesignationDiameter => {
            let stands_in = case.fact(F::TireOverallDiameter).is_some_and(Fact::stands_in);
            let mark = if stands_in { Figure::Known(1.0) } else { Figure::Missing };
            [number(F::TireOverallDiameter, case), mark]
        }
        F::PackageSectionOnRim => [section_on_measuring_rim(case), number(F::TireMeasuringRim, case)],
        F::PackageCapacityFront => [tire_load(Axle::Front, case, passenger), Figure::Missing],
        F::PackageCapacityRear => [tire_load(Axle::Rear, case, passenger), Figure::Missing],
        F::PackagePressureFront => pressures(Axle::Front),
        F::PackagePressureRear => pressures(Axle::Rear),
        _ => [Figure::Missing; 2],
    }
}

/// The facts of parts and van that a package's fact follows from; nothing for other facts.
#[must_use]
pub fn follows_from(field: Field) -> FieldSet {
    use Field as F;
    let diameter = [F::TireOverallDiameter];
    let section = [F::TireSectionWidth, F::TireMeasuringRim, F::TireSize, F::WheelRimWidth];
    let stock = [F::VanStockOffset, F::VanStockRimWidth, F::VanStockTire];
    let tire_load =
        [F::TireLoadIndex, F::TireLoadSingle, F::TireLoadIndexDual, F::TireLoadDual, F::TireService];
    let reference = [F::TireMaxPressure, F::TireLoadRange, F::TirePlyRating, F::TireSize];
    let set = |lists: &[&[Field]]| -> FieldSet { lists.iter().copied().flatten().copied().collect() };
    match field {
        F::PackageOverallDiameter | F::PackageDesignationDiameter => set(&[&diameter]),
        F::PackageSectionOnRim | F::PackageHalfWidth => set(&[&section]),
        F::PackageOutboardReach | F::PackageInboardReach => set(&[&section, &[F::WheelOffset]]),
        F::PackageOutboardChange | F::PackageInboardChange => set(&[&section, &[F::WheelOffset], &stock]),
        F::PackageTrackChange => set(&[&[F::WheelOffset, F::VanStockOffset]]),
        F::PackageRideHeightChange | F::PackageRoadSpeedError => {
            set(&[&diameter, &[F::VanStockTireDiameter, F::VanStockTire]])
        }
        F::PackageCapacityFront => set(&[&tire_load, &[F::WheelLoadRating, F::VanFrontWheels]]),
        F::PackageCapacityRear => set(&[&tire_load, &[F::WheelLoadRating, F::VanRearWheels]]),
        F::PackagePressureFront | F::PackageCautiousFront => {
            set(&[&tire_load, &reference, &[F::VanFrontAxleLoad, F::VanFrontWheels]])
        }
        F::PackagePressureRear | F::PackageCautiousRear => {
            set(&[&tire_load, &reference, &[F::VanRearAxleLoad, F::VanRearWheels]])
        }
        _ => FieldSet::EMPTY,
    }
}

#[cfg(test)]
mod tests {
    use super::{SLOTS, follows_from};
    use crate::facts::field::{Field, Scope};

    #[test]
    fn every_fact_of_a_package_has_a_slot_and_says_what_it_follows_from() {
        let fields = Field::of(Scope::Package);
        assert_eq!(fields.len(), SLOTS);
        assert!(fields.iter().all(|field| !follows_from(*field).is_empty()));
        assert!(follows_from(Field::WheelOffset).is_empty());
    }
}
