//! Measures as drawings write them: millimeters with inches, kilograms with pounds.

use crate::facts::value::{Unit, plain_text};
use crate::trade::quantity::Length;

/// A length without its sign in both units: `45 mm (1.77 in)`.
pub(super) fn both(length: Length) -> String {
    quantity(length.abs().base(), Unit::Mm)
}

/// A count of base units in a unit, with the one beside it that buyers elsewhere use.
pub(super) fn quantity(base: f64, unit: Unit) -> String {
    let other = match unit {
        Unit::Mm => Some(Unit::Inch),
        Unit::Inch => Some(Unit::Mm),
        Unit::Kg => Some(Unit::Lb),
        Unit::Lb => Some(Unit::Kg),
        _ => None,
    };
    let other = other.map_or_else(String::new, |other| format!(" ({})", figure(base, other)));
    format!("{}{other}", figure(base, unit))
}

/// A count of base units in a unit alone: `45 mm`. Tenths are what a drawing can show; a hundredth of an inch is a quarter of a millimeter.
pub(super) fn figure(base: f64, unit: Unit) -> String {
    let scale = match unit {
        Unit::Inch => 100.0,
        Unit::Lb | Unit::Psi | Unit::Mph => 1.0,
        _ => 10.0,
    };
    let rounded = (base / unit.factor() * scale).round() / scale;
    format!("{} {}", plain_text(rounded), unit.text())
}

#[cfg(test)]
mod tests {
    use super::{both, quantity};
    use crate::facts::value::Unit;
    use crate::trade::quantity::Length;

    #[test]
    fn a_length_is_written_in_both_units_without_its_sign() {
        assert_eq!(both(Length::from_mm(-32.45)), "32.5 mm (1.28 in)");
        assert_eq!(both(Length::from_inches(1.0)), "25.4 mm (1 in)");
        assert_eq!(quantity(Unit::Lb.to_base(2650.0), Unit::Kg), "1202 kg (2650 lb)");
    }
}
