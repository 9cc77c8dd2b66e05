//! Load against inflation pressure, and pressures that regulations name.
//!
//! `L = L_max (P / P_ref)^n`, so `P = P_ref (L / L_max)^(1/n)`. This is the least certain relation
//! of the trade: the exponents differ between classes and sources, and a smaller one asks for *less*
//! pressure at part load. It never reaches above the rated point.

use thiserror::Error;

use super::axle::Fitment;
use super::load_range::LoadRange;
use super::quantity::{Mass, PA_PER_PSI, Pressure};
use super::tire::{Construction, RimCode, Service, Size, Suffix};

/// Which exponent relates load and pressure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LoadRelation {
    /// LT-marked tires, flotation sizes included: n = 0.70, fitted to a maker's ten-point chart for
    /// LT235/85R16 (chart *seen*, exponent *derived*, worst miss 0.72 %).
    LightTruck,
    /// Euro-metric C: n = 0.80 (parts *seen*; no ETRTO van table was found, and rated points of one
    /// size give anything from 0.54 to 1.03).
    Commercial,
    /// n = 1, pressure in proportion to load: the cautious bound for any class (a 2009 paper, *seen*
    /// second hand).
    Cautious,
}

impl LoadRelation {
    /// The exponent n.
    #[must_use]
    pub fn exponent(self) -> f64 {
        match self {
            Self::LightTruck => 0.70,
            Self::Commercial => 0.80,
            Self::Cautious => 1.0,
        }
    }
}

/// The rated point of a tire in one fitment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatedPoint {
    /// Load of one tire; the dual load on a twin axle.
    pub load: Mass,
    /// The cold pressure it carries that load at.
    pub pressure: Pressure,
}

/// The pressure that a load needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Need {
    /// As the relation gives it.
    Computed(Pressure),
    /// The relation gives less than [`least_pressure`], which then applies.
    RaisedToLeast {
        /// What the relation gave.
        computed: Pressure,
    },
}

impl Need {
    /// The pressure to set, cold.
    #[must_use]
    pub fn pressure(self) -> Pressure {
        match self {
            Self::Computed(pressure) => pressure,
            Self::RaisedToLeast { .. } => least_pressure(),
        }
    }
}

/// Why no pressure is enough, or none can be given.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum InflationError {
    /// The load is above the rating by more than [`rounding_allowance`]; no pressure cures that.
    #[error("the load is above the tire's rating")]
    AboveRating,
    /// A load, rating or pressure that is not positive.
    #[error("a load, rating or pressure that is not positive")]
    NotPositive,
}

/// Below this no need is reported: 240 kPa, the floor of 49 CFR 571.138 Table 1 for load ranges D
/// and E (*seen*), taken here as the lowest entry of a van tire's table.
#[must_use]
pub fn least_pressure() -> Pressure {
    Pressure::from_kpa(240.0)
}

/// How far a load may lie above the rating and still count as equal to it: 1 kg, what rounding
/// between pounds and kilograms does.
#[must_use]
pub fn rounding_allowance() -> Mass {
    Mass::from_kg(1.0)
}

/// The cold pressure one tire needs for `load`. A load up to 1 kg over the rating needs the rated
/// pressure itself.
///
/// # Errors
///
/// * [`InflationError::AboveRating`] for a load further above the rating.
/// * [`InflationError::NotPositive`] unless load, rating and rated pressure are positive.
pub fn pressure_for(load: Mass, rated: RatedPoint, relation: LoadRelation) -> Result<Need, InflationError> {
    if load.base() <= 0.0 || rated.load.base() <= 0.0 || rated.pressure.base() <= 0.0 {
        return Err(InflationError::NotPositive);
    }
    if load > rated.load + rounding_allowance() {
        return Err(InflationError::AboveRating);
    }
    let share = (load / rated.load).min(1.0);
    let computed = rated.pressure * share.powf(1.0 / relation.exponent());
    // A rating may itself belong to less than the least pressure; then the least still applies.
    Ok(if computed < least_pressure() { Need::RaisedToLeast { computed } } else { Need::Computed(computed) })
}

/// What one tire carries at `pressure`; at the rated pressure and above, its rating and no more.
/// `None` unless all figures are positive.
#[must_use]
pub fn load_at(pressure: Pressure, rated: RatedPoint, relation: LoadRelation) -> Option<Mass> {
    if pressure.base() <= 0.0 || rated.load.base() <= 0.0 || rated.pressure.base() <= 0.0 {
        return None;
    }
    let share = (pressure / rated.pressure).min(1.0);
    Some(rated.load * share.powf(relation.exponent()))
}

/// The rated pressure of a euro-metric C tire where its service description settles it. Only
/// 225/75R16C is known: 116/114 at 475, 118/116 at 525, 121/120 at 575 kPa (trade article, *seen*).
#[must_use]
pub fn commercial_reference(size: Size, single: u16, dual: u16) -> Option<Pressure> {
    let listed = Size::Metric {
        service: Service::Unmarked,
        width_mm: 225,
        aspect: Some(75),
        construction: Construction::Radial,
        rim: RimCode::from_tenths(160),
        suffix: Suffix::C,
    };
    if size != listed {
        return None;
    }
    match (single, dual) {
        (116, 114) => Some(Pressure::from_kpa(475.0)),
        (118, 116) => Some(Pressure::from_kpa(525.0)),
        (121, 120) => Some(Pressure::from_kpa(575.0)),
        _ => None,
    }
}

/// The pressure in whole psi that is not below it: 240 kPa is 34.81 and gives 35 (49 CFR 571.139
/// S5.5.4, *seen*). 571.138 Table 1 prints 49 beside 340 kPa, where this gives 50.
#[must_use]
pub fn whole_psi_up(pressure: Pressure) -> f64 {
    // A figure read in psi was rounded to a whole pascal, at most half a pascal up: 80 psi stays 80.
    ((pressure.base() - 0.5) / PA_PER_PSI).ceil()
}

/// The pressure in tens of kPa that is not below it.
#[must_use]
pub fn ten_kpa_up(pressure: Pressure) -> Pressure {
    Pressure::from_base((pressure.base() / 1e4).ceil() * 1e4)
}

/// The kinds of tire 49 CFR 571.138 Table 1 tells apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MonitoredTire {
    /// Passenger, standard load.
    Passenger,
    /// Passenger, extra load.
    PassengerExtraLoad,
    /// LT of this load range.
    LightTruck(LoadRange),
}

/// The pressure at or below which a tire pressure monitor must warn: the higher of 75 % of the
/// placard's and the floor of 49 CFR 571.138 S4.2(a) and Table 1 (*seen*). `None` for a load range
/// the table does not list.
#[must_use]
pub fn monitor_warns_at(placard: Pressure, tire: MonitoredTire) -> Option<Pressure> {
    let floor_kpa = match tire {
        MonitoredTire::Passenger => 140.0,
        MonitoredTire::PassengerExtraLoad => 160.0,
        MonitoredTire::LightTruck(range) => match range.letter() {
            'C' => 200.0,
            'D' | 'E' => 240.0,
            _ => return None,
        },
    };
    let (share, floor) = (placard * 0.75, Pressure::from_kpa(floor_kpa));
    Some(if share > floor { share } else { floor })
}

/// Whether 49 CFR 571.138 asks for a pressure monitor: up to 4536 kg (10,000 lb) gross, and no twin
/// wheels (S2, *seen*).
#[must_use]
pub fn monitor_required(gross: Mass, rear: Fitment) -> bool {
    rear == Fitment::Single && gross <= Mass::from_kg(4536.0)
}

#[cfg(test)]
mod tests {
    use super::{
        InflationError, LoadRelation, MonitoredTire, Need, RatedPoint, commercial_reference, load_at,
        monitor_warns_at, pressure_for, ten_kpa_up, whole_psi_up,
    };
    use crate::trade::load_range::LoadRange;
    use crate::trade::quantity::{Mass, Pressure};
    use crate::trade::tire::{Construction, RimCode, Service, Size, Suffix};

    const RELATIONS: [LoadRelation; 3] =
        [LoadRelation::LightTruck, LoadRelation::Commercial, LoadRelation::Cautious];

    fn rated() -> RatedPoint {
        RatedPoint { load: Mass::from_kg(1450.0), pressure: Pressure::from_kpa(575.0) }
    }

    #[test]
    fn the_rated_load_needs_the_rated_pressure_and_so_does_a_kilogram_more() {
        for relation in RELATIONS {
            let need = |kg| pressure_for(Mass::from_kg(kg), rated(), relation);
            assert_eq!(need(1450.0), Ok(Need::Computed(rated().pressure)));
            assert_eq!(need(1451.0), Ok(Need::Computed(rated().pressure)));
            assert_eq!(need(1451.001), Err(InflationError::AboveRating));
            assert_eq!(need(0.0), Err(InflationError::NotPositive));
        }
    }

    #[test]
    fn pressure_and_load_are_each_others_inverse_below_the_rated_point() {
        for relation in RELATIONS {
            for kg in (800..=1450).step_by(50).map(f64::from) {
                let need = pressure_for(Mass::from_kg(kg), rated(), relation).expect("in range");
                let Need::Computed(pressure) = need else {
                    continue;
                };
                let back = load_at(pressure, rated(), relation).expect("positive");
                assert!((back.kg() - kg).abs() < 0.01, "{relation:?} at {kg} kg: {back:?}");
            }
        }
    }

    #[test]
    fn the_cautious_relation_never_asks_for_less() {
        for kg in (700..=1450).step_by(10).map(f64::from) {
            let need = RELATIONS.map(|relation| {
                pressure_for(Mass::from_kg(kg), rated(), relation).expect("in range").pressure()
            });
            assert!(need[0] <= need[1] && need[1] <= need[2], "{kg} kg: {need:?}");
        }
    }

    #[test]
    fn a_light_load_is_raised_to_the_least_pressure_and_says_so() {
        let need = pressure_for(Mass::from_kg(400.0), rated(), LoadRelation::Cautious);
        let need = need.expect("in range");
        assert!(matches!(need, Need::RaisedToLeast { .. }));
        assert_eq!(need.pressure(), Pressure::from_kpa(240.0));
    }

    #[test]
    fn more_than_the_rated_pressure_carries_no_more() {
        let load = load_at(Pressure::from_kpa(900.0), rated(), LoadRelation::LightTruck);
        assert_eq!(load, Some(rated().load));
    }

    #[test]
    fn whole_psi_survive_being_read_and_rounded_up() {
        for psi in (20..=120).map(f64::from) {
            assert_eq!(whole_psi_up(Pressure::from_psi(psi)), psi);
            assert_eq!(whole_psi_up(Pressure::from_psi(psi + 0.01)), psi + 1.0);
        }
    }

    #[test]
    fn tens_of_kilopascals_round_up() {
        assert_eq!(ten_kpa_up(Pressure::from_kpa(416.4)), Pressure::from_kpa(420.0));
        assert_eq!(ten_kpa_up(Pressure::from_kpa(420.0)), Pressure::from_kpa(420.0));
    }

    #[test]
    fn the_one_known_commercial_size_has_a_reference_for_each_service_description() {
        let size = |suffix| Size::Metric {
            service: Service::Unmarked,
            width_mm: 225,
            aspect: Some(75),
            construction: Construction::Radial,
            rim: RimCode::from_tenths(160),
            suffix,
        };
        // Trade article on euro-metric commercial tires.
        for (single, dual, kpa) in [(116, 114, 475.0), (118, 116, 525.0), (121, 120, 575.0)] {
            let reference = |suffix| commercial_reference(size(suffix), single, dual);
            assert_eq!(reference(Suffix::C), Some(Pressure::from_kpa(kpa)));
            assert_eq!(reference(Suffix::None), None);
        }
        assert_eq!(commercial_reference(size(Suffix::C), 121, 119), None);
    }

    #[test]
    fn a_load_range_the_regulation_does_not_list_has_no_warning_point() {
        let f = LoadRange::from_letter('F').expect("listed");
        let point = monitor_warns_at(Pressure::from_kpa(650.0), MonitoredTire::LightTruck(f));
        assert_eq!(point, None);
    }
}
