//! Units as cells write them, in words and marks.

use super::Unread;
use super::text::Scanner;
use crate::trade::quantity::{Length, Mass, Pressure};

/// A unit of length found on sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LengthUnit {
    /// Millimeters.
    Mm,
    /// Centimeters.
    Cm,
    /// Inches of 25.4 mm.
    Inch,
}

/// A unit of mass found on sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MassUnit {
    /// Kilograms.
    Kg,
    /// Pounds of 0.45359237 kg.
    Lb,
}

/// A unit of pressure found on sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PressureUnit {
    /// Pounds-force per square inch.
    Psi,
    /// Kilopascals.
    Kpa,
    /// Bar of 100 kPa.
    Bar,
}

/// A unit of any kind, as headings state them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// A unit of length.
    Length(LengthUnit),
    /// A unit of mass.
    Mass(MassUnit),
    /// A unit of pressure.
    Pressure(PressureUnit),
}

/// Ties a unit to the quantity it measures.
pub trait QuantityUnit: Copy + PartialEq + std::fmt::Debug + Sized + 'static {
    /// What the unit measures.
    type Quantity: Copy + PartialEq + PartialOrd + std::fmt::Debug + 'static;

    /// The units a bare figure may be taken in where its bounds allow only one; empty where a bare
    /// figure is never given a unit.
    const INFERRED: &'static [Self];

    /// The spellings of the units, folded, longer before shorter where one begins another.
    const SPELLINGS: &'static [(&'static str, Self)];

    /// This many of the unit.
    fn of(self, count: f64) -> Self::Quantity;

    /// How far apart two quantities are, as a share of the first.
    fn apart(first: Self::Quantity, second: Self::Quantity) -> f64;
}

impl QuantityUnit for LengthUnit {
    type Quantity = Length;

    const INFERRED: &'static [Self] = &[Self::Mm, Self::Inch];

    const SPELLINGS: &'static [(&'static str, Self)] = &[
        ("mm", Self::Mm),
        ("millimeters", Self::Mm),
        ("millimeter", Self::Mm),
        ("millimetres", Self::Mm),
        ("millimetre", Self::Mm),
        ("milimetros", Self::Mm),
        ("millimetri", Self::Mm),
        ("cm", Self::Cm),
        ("inches", Self::Inch),
        ("inch", Self::Inch),
        ("ins", Self::Inch),
        ("in", Self::Inch),
        ("zoll", Self::Inch),
        ("pouces", Self::Inch),
        ("pouce", Self::Inch),
        ("po", Self::Inch),
        ("pulgadas", Self::Inch),
        ("pulgada", Self::Inch),
        ("pulg", Self::Inch),
        ("pollici", Self::Inch),
        ("pollice", Self::Inch),
        ("duim", Self::Inch),
    ];

    fn of(self, count: f64) -> Length {
        match self {
            Self::Mm => Length::from_mm(count),
            Self::Cm => Length::from_mm(count * 10.0),
            Self::Inch => Length::from_inches(count),
        }
    }

    fn apart(first: Length, second: Length) -> f64 {
        ((first - second) / first).abs()
    }
}

impl QuantityUnit for MassUnit {
    type Quantity = Mass;

    const INFERRED: &'static [Self] = &[];

    // Left out on purpose: Pfund and pond, which are half kilograms in everyday use.
    const SPELLINGS: &'static [(&'static str, Self)] = &[
        ("kg", Self::Kg),
        ("kgs", Self::Kg),
        ("kilograms", Self::Kg),
        ("kilogram", Self::Kg),
        ("kilogramm", Self::Kg),
        ("kilogrammes", Self::Kg),
        ("kilogrammi", Self::Kg),
        ("kilogramos", Self::Kg),
        ("kilos", Self::Kg),
        ("kilo", Self::Kg),
        ("lbs", Self::Lb),
        ("lb", Self::Lb),
        ("pounds", Self::Lb),
        ("pound", Self::Lb),
        ("livres", Self::Lb),
        ("libras", Self::Lb),
        ("libbre", Self::Lb),
    ];

    fn of(self, count: f64) -> Mass {
        match self {
            Self::Kg => Mass::from_kg(count),
            Self::Lb => Mass::from_lb(count),
        }
    }

    fn apart(first: Mass, second: Mass) -> f64 {
        ((first - second) / first).abs()
    }
}

impl QuantityUnit for PressureUnit {
    type Quantity = Pressure;

    const INFERRED: &'static [Self] = &[];

    const SPELLINGS: &'static [(&'static str, Self)] = &[
        ("psi", Self::Psi),
        ("psig", Self::Psi),
        ("kpa", Self::Kpa),
        ("bar", Self::Bar),
        ("bars", Self::Bar),
    ];

    fn of(self, count: f64) -> Pressure {
        match self {
            Self::Psi => Pressure::from_psi(count),
            Self::Kpa => Pressure::from_kpa(count),
            Self::Bar => Pressure::from_bar(count),
        }
    }

    fn apart(first: Pressure, second: Pressure) -> f64 {
        ((first - second) / first).abs()
    }
}

/// Moves over a unit and the full stop of its short form.
///
/// # Errors
///
/// [`Unread::AmbiguousUnit`] at a single prime, which may mark feet or inches.
pub fn unit<U: QuantityUnit>(scanner: &mut Scanner<'_>) -> Result<Option<U>, Unread> {
    let mut probe = *scanner;
    probe.skip_spaces();
    let found = if let Some(unit) = probe.eat_meaning(U::SPELLINGS) {
        if probe.peek() == Some('.') {
            probe.bump();
        }
        Some(unit)
    } else if probe.eat('"') || probe.eat_text("''") {
        mark_unit::<U>("in")
    } else if probe.peek() == Some('#') {
        probe.bump();
        mark_unit::<U>("lb")
    } else if probe.peek() == Some('\'') && mark_unit::<U>("in").is_some() {
        return Err(Unread::AmbiguousUnit);
    } else {
        None
    };
    if found.is_some() {
        *scanner = probe;
    }
    Ok(found)
}

/// The unit that a mark stands for, where this kind of quantity has it.
pub(super) fn mark_unit<U: QuantityUnit>(word: &str) -> Option<U> {
    U::SPELLINGS.iter().find(|(spelling, _)| *spelling == word).map(|(_, unit)| *unit)
}
