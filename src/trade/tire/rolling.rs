//! What a tire's diameter does on the road: ride height, speed, circumference.
//!
//! Two tires are compared by overall diameter alone; the rolling factor cancels. Common practice.

use std::f64::consts::PI;

use crate::trade::quantity::{KM_PER_MILE, Length, Speed};

use super::size::Construction;

/// How much the van rises with the new tire: half the difference in diameter, unloaded, assuming
/// equal deflection. Common practice, no source.
#[must_use]
pub fn ride_height_change(old_diameter: Length, new_diameter: Length) -> Length {
    (new_diameter - old_diameter) / 2.0
}

/// How the road speed differs from the dial's, as a part of it: (new - old) / old, positive where
/// the van is faster than the dial says, 0.05 for 5 %. `None` unless the old diameter is positive.
#[must_use]
pub fn road_speed_error(old_diameter: Length, new_diameter: Length) -> Option<f64> {
    (old_diameter.base() > 0.0).then(|| (new_diameter - old_diameter) / old_diameter)
}

/// The true speed at an indicated one, for a dial that was exact with the old diameter. With the
/// diameters exchanged it is the indicated speed at a true one. `None` unless the old diameter is
/// positive.
#[must_use]
pub fn true_speed(indicated: Speed, old_diameter: Length, new_diameter: Length) -> Option<Speed> {
    road_speed_error(old_diameter, new_diameter).map(|error| indicated * (1.0 + error))
}

/// The highest a speedometer may show at a true speed: V + 0.1 V + 4 km/h. UN R39 para 5.3 (*seen*
/// as quoted), a rule for the vehicle as delivered; holding a tire change to it is our own reading.
#[must_use]
pub fn highest_indication(true_speed: Speed) -> Speed {
    true_speed * 1.1 + Speed::from_km_h(4.0)
}

/// Whether UN R39 para 5.3 permits this indication: never below the true speed and never above
/// [`highest_indication`].
#[must_use]
pub fn indication_permitted(indicated: Speed, true_speed: Speed) -> bool {
    true_speed <= indicated && indicated <= highest_indication(true_speed)
}

/// Distance of one turn on the road: 3.05 x diameter for radial, 2.98 for diagonal tires (ETRTO
/// Engineering Design Information, *memory*; some 1.5 % either way). `None` for other or unknown
/// constructions.
#[must_use]
pub fn rolling_circumference(diameter: Length, construction: Construction) -> Option<Length> {
    let factor = match construction {
        Construction::Radial | Construction::SpeedRadial => 3.05,
        Construction::Diagonal => 2.98,
        Construction::BiasBelted | Construction::Unknown => return None,
    };
    Some(diameter * factor)
}

/// The circle of the unloaded diameter, some 3 % more than the rolling circumference.
#[must_use]
pub fn geometric_circumference(diameter: Length) -> Length {
    diameter * PI
}

/// Turns in a kilometer; `None` unless the circumference is positive.
#[must_use]
pub fn revolutions_per_km(circumference: Length) -> Option<f64> {
    (circumference.base() > 0.0).then(|| Length::from_mm(1e6) / circumference)
}

/// Turns in a mile; `None` unless the circumference is positive.
#[must_use]
pub fn revolutions_per_mile(circumference: Length) -> Option<f64> {
    revolutions_per_km(circumference).map(|per_km| per_km * KM_PER_MILE)
}

#[cfg(test)]
mod tests {
    use super::{indication_permitted, revolutions_per_km, road_speed_error, rolling_circumference};
    use crate::trade::quantity::{Length, Speed};
    use crate::trade::tire::Construction;

    #[test]
    fn a_diameter_of_nothing_gives_no_figure() {
        let (none, some) = (Length::from_mm(0.0), Length::from_mm(728.0));
        assert_eq!(road_speed_error(none, some), None);
        assert_eq!(revolutions_per_km(none), None);
        assert_eq!(rolling_circumference(some, Construction::Unknown), None);
    }

    #[test]
    fn a_larger_tire_makes_the_van_faster_than_its_dial() {
        let (stock, larger) = (Length::from_mm(700.0), Length::from_mm(735.0));
        let error = road_speed_error(stock, larger).expect("a positive diameter");
        assert!((error - 0.05).abs() < 1e-12);
        assert!(road_speed_error(larger, stock) < Some(0.0));
    }

    #[test]
    fn an_exact_dial_is_permitted_and_one_that_reads_low_is_not() {
        let at = Speed::from_km_h;
        assert!(indication_permitted(at(80.0), at(80.0)));
        assert!(indication_permitted(at(92.0), at(80.0)));
        assert!(!indication_permitted(at(79.999), at(80.0)));
        assert!(!indication_permitted(at(92.001), at(80.0)));
    }
}
