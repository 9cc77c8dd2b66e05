//! One column of a layout: what it holds, and in which unit and decimal mark.

use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::intake::fields::fields_of;
use crate::intake::heading::Concept;
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
    /// The unit its heading or the supplier's profile states.
    pub(super) unit: Option<Unit>,
    /// The kind of part that its heading names, as `Tire Size` does; both may be meant, if none.
    pub(super) only: Option<PartKind>,
    /// Whether it is the profile that states the unit.
    pub(super) unit_from_profile: bool,
    /// The heading as written.
    pub(super) heading: String,
    /// The decimal mark its texts use, where they prove one.
    pub(super) decimal: Option<DecimalMark>,
    /// Whether it is the rest of the tab that proves the mark: then what is possible outweighs it.
    pub(super) decimal_from_tab: bool,
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

    pub(super) fn mass_unit(&self) -> Option<MassUnit> {
        if let Some(Unit::Mass(unit)) = self.unit { Some(unit) } else { None }
    }

    pub(super) fn pressure_unit(&self) -> Option<PressureUnit> {
        if let Some(Unit::Pressure(unit)) = self.unit { Some(unit) } else { None }
    }
}
