//! One column of a layout: what it holds, and in which unit and decimal mark.

use std::sync::Arc;

use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::intake::fields::fields_of;
use crate::intake::heading::Concept;
use crate::notation::money::Currency;
use crate::notation::number::DecimalMark;
use crate::notation::quantity::{LengthUnit, MassUnit, PressureUnit, Unit};
use crate::sheet::Column;

/// What one column holds.
#[derive(Clone, Debug)]
pub(super) struct ColumnPlan {
    /// The column.
    pub(super) column: Column,
    /// What it holds.
    pub(super) concept: Concept,
    /// The unit of its figures, where its cells do not say it.
    pub(super) unit: Option<Unit>,
    /// Who says the unit.
    pub(super) unit_from: UnitSource,
    /// The kind of part that its heading names, as `Tire Size` does; both may be meant, if none.
    pub(super) only: Option<PartKind>,
    /// The heading as written.
    pub(super) heading: String,
    /// The decimal mark its texts use, where they prove one.
    pub(super) decimal: Option<DecimalMark>,
    /// Whether it is the rest of the tab that proves the mark: then what is possible outweighs it.
    pub(super) decimal_from_tab: bool,
    /// The currency that the heading of a price names.
    pub(super) currency: Option<Currency>,
}

/// Who says the unit of a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum UnitSource {
    /// Its heading, if anything does.
    Heading,
    /// The supplier's profile.
    Profile,
    /// Another column, whose figures leave no other unit.
    Proven(UnitProof),
}

/// The proof of a unit by another column of the same table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct UnitProof {
    /// The kind of part on whose rows it rests; both, if none.
    pub(super) only: Option<PartKind>,
    /// What proves it, as a phrase: `column H, whose figures are 2.2046 times these on 24 rows`.
    pub(super) says: Arc<str>,
}

/// Whether two units measure the same.
pub(super) fn measure_alike(one: Unit, other: Unit) -> bool {
    std::mem::discriminant(&one) == std::mem::discriminant(&other)
}

impl ColumnPlan {
    /// The facts it states of a kind of part; none where it is about the other kind.
    pub(super) fn states(&self, kind: PartKind) -> &'static [Field] {
        if self.only.is_some_and(|only| only != kind) { &[] } else { fields_of(self.concept, kind) }
    }

    pub(super) fn length_unit(&self) -> Option<LengthUnit> {
        if let Some(Unit::Length(unit)) = self.unit { Some(unit) } else { None }
    }

    /// The unit of a mass, for a part of a kind: what is proven on tires is not proven on wheels.
    pub(super) fn mass_unit(&self, kind: PartKind) -> Option<MassUnit> {
        let Some(Unit::Mass(unit)) = self.unit else { return None };
        let elsewhere = self.proof().and_then(|proof| proof.only).is_some_and(|only| only != kind);
        (!elsewhere).then_some(unit)
    }

    /// What proves the unit, where another column does.
    pub(super) fn proof(&self) -> Option<&UnitProof> {
        if let UnitSource::Proven(proof) = &self.unit_from { Some(proof) } else { None }
    }

    pub(super) fn pressure_unit(&self) -> Option<PressureUnit> {
        if let Some(Unit::Pressure(unit)) = self.unit { Some(unit) } else { None }
    }
}
