//! Measures as drawings write them: millimeters with inches, kilograms with pounds.

use crate::facts::value::{Dimension, Unit, plain_text};
use crate::trade::quantity::Length;

/// A length without its sign in both units: `45 mm (1.77 in)`.
pub(super) fn both(length: Length) -> String {
    quantity(length.abs().base(), Dimension::Length)
}

/// A count of base units in the unit of its dimension, with the other one that buyers use beside it.
pub(super) fn quantity(base: f64, dimension: Dimension) -> String {
    match dimension {
        Dimension::Length => pair(base, Unit::Mm, Unit::Inch),
        Dimension::Mass => pair(base, Unit::Kg, Unit::Lb),
        Dimension::Pressure => pair(base, Unit::KPa, Unit::Psi),
        Dimension::Speed => pair(base, Unit::KmH, Unit::Mph),
        Dimension::Plain | Dimension::Ply | Dimension::Day => plain_text(base),
    }
}

/// A count of base units in the first unit of its dimension alone: `45 mm`.
pub(super) fn short(base: f64, dimension: Dimension) -> String {
    match dimension {
        Dimension::Length => figure(base, Unit::Mm),
        Dimension::Mass => figure(base, Unit::Kg),
        Dimension::Pressure => figure(base, Unit::KPa),
        Dimension::Speed => figure(base, Unit::KmH),
        Dimension::Plain | Dimension::Ply | Dimension::Day => plain_text(base),
    }
}

fn pair(base: f64, first: Unit, second: Unit) -> String {
    format!("{} ({})", figure(base, first), figure(base, second))
}

/// Tenths are what a drawing can show; a hundredth of an inch is a quarter of a millimeter.
fn figure(base: f64, unit: Unit) -> String {
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
    use super::both;
    use crate::trade::quantity::Length;

    #[test]
    fn a_length_is_written_in_both_units_without_its_sign() {
        assert_eq!(both(Length::from_mm(-32.45)), "32.5 mm (1.28 in)");
        assert_eq!(both(Length::from_inches(1.0)), "25.4 mm (1 in)");
    }
}
