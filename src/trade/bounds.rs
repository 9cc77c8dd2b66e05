//! Physical ranges: a figure outside its range is a mistake of the sheet, not a part.
//!
//! One row per figure, both ends included; the same row feeds the check, its message and the tests'
//! generators. The ranges are ours, drawn wide around what vans carry; common practice, no source.
//! They say that a figure is possible, never that a part fits.

use super::quantity::{Length, Mass, Pressure};

/// The range of one kind of figure.
#[derive(Clone, Copy, Debug)]
pub struct Bounds<Q> {
    name: &'static str,
    unit: &'static str,
    low: f64,
    high: f64,
    in_unit: fn(f64) -> Q,
}

impl<Q: PartialOrd + Copy> Bounds<Q> {
    /// What the figure is called.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        self.name
    }

    /// The unit the range is written in: `mm`, `in`, `kg` or `kPa`.
    #[must_use]
    pub const fn unit(&self) -> &'static str {
        self.unit
    }

    /// The ends as written, in [`unit`](Self::unit), for messages.
    #[must_use]
    pub const fn figures(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    /// The smallest possible figure.
    #[must_use]
    pub fn low(&self) -> Q {
        (self.in_unit)(self.low)
    }

    /// The largest possible figure.
    #[must_use]
    pub fn high(&self) -> Q {
        (self.in_unit)(self.high)
    }

    /// Whether the figure lies in the range, ends included.
    #[must_use]
    pub fn contains(&self, figure: Q) -> bool {
        self.low() <= figure && figure <= self.high()
    }
}

const fn mm(name: &'static str, low: f64, high: f64) -> Bounds<Length> {
    Bounds { name, unit: "mm", low, high, in_unit: Length::from_mm }
}

const fn inches(name: &'static str, low: f64, high: f64) -> Bounds<Length> {
    Bounds { name, unit: "in", low, high, in_unit: Length::from_inches }
}

const fn kg(name: &'static str, low: f64, high: f64) -> Bounds<Mass> {
    Bounds { name, unit: "kg", low, high, in_unit: Mass::from_kg }
}

/// Diameter of a wheel's center bore.
pub const CENTER_BORE: Bounds<Length> = mm("center bore", 40.0, 200.0);
/// Offset, positive toward the street side.
pub const OFFSET: Bounds<Length> = mm("offset", -150.0, 150.0);
/// Back spacing.
pub const BACK_SPACING: Bounds<Length> = mm("back spacing", 40.0, 320.0);
/// Diameter of a bolt circle.
pub const BOLT_CIRCLE: Bounds<Length> = mm("bolt circle", 90.0, 350.0);
/// Diameter of a bolt hole.
pub const BOLT_HOLE: Bounds<Length> = mm("bolt hole", 8.0, 30.0);
/// Thickness of the wheel's pad under a fastener's seat.
pub const PAD_THICKNESS: Bounds<Length> = mm("pad thickness", 2.0, 60.0);
/// Nominal rim diameter.
pub const RIM_DIAMETER: Bounds<Length> = inches("rim diameter", 10.0, 26.0);
/// Rim width between the flanges.
pub const RIM_WIDTH: Bounds<Length> = inches("rim width", 3.0, 16.0);
/// Overall diameter of a tire.
pub const OVERALL_DIAMETER: Bounds<Length> = mm("overall diameter", 400.0, 1300.0);
/// Section width of a tire.
pub const SECTION_WIDTH: Bounds<Length> = mm("section width", 100.0, 500.0);
/// Weight of a wheel or tire.
pub const PART_WEIGHT: Bounds<Mass> = kg("weight", 2.0, 150.0);
/// Load rating of a wheel.
pub const WHEEL_RATING: Bounds<Mass> = kg("wheel load rating", 200.0, 5000.0);
/// Load of a tire, single or dual.
pub const TIRE_LOAD: Bounds<Mass> = kg("tire load", 100.0, 5000.0);
/// Maximum pressure of a tire or wheel.
pub const MAX_PRESSURE: Bounds<Pressure> =
    Bounds { name: "maximum pressure", unit: "kPa", low: 100.0, high: 1100.0, in_unit: Pressure::from_kpa };

#[cfg(test)]
mod tests {
    use super::{CENTER_BORE, MAX_PRESSURE, OFFSET, RIM_WIDTH, WHEEL_RATING};
    use crate::trade::quantity::{Length, Mass, Pressure};

    #[test]
    fn ends_are_inside_and_the_next_step_is_not() {
        assert!(CENTER_BORE.contains(Length::from_mm(40.0)));
        assert!(!CENTER_BORE.contains(Length::from_mm(39.999)));
        assert!(OFFSET.contains(Length::from_mm(-150.0)));
        assert!(!OFFSET.contains(Length::from_mm(-150.001)));
        assert!(WHEEL_RATING.contains(Mass::from_kg(5000.0)));
        assert!(!WHEEL_RATING.contains(Mass::from_kg(5000.001)));
        assert!(MAX_PRESSURE.contains(Pressure::from_psi(80.0)));
        assert!(!MAX_PRESSURE.contains(Pressure::from_kpa(80.0)));
    }

    #[test]
    fn a_range_in_inches_takes_its_metric_twin() {
        assert!(RIM_WIDTH.contains(Length::from_mm(76.2)));
        assert!(!RIM_WIDTH.contains(Length::from_mm(76.1)));
    }
}
