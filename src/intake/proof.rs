//! Units proven by another column of the same table.
//!
//! Loads without a unit are kilograms or pounds. Beside a second column of the same loads, or beside
//! load indices, only one of the two is possible. Everything short of proof leaves the unit open: the
//! wrong one makes a wheel carry twice its load.

use std::sync::Arc;

use crate::facts::fact::From;
use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::facts::value::{BILLION, Unit as FactUnit, Value};
use crate::intake::column::{ColumnPlan, UnitProof, UnitSource};
use crate::intake::heading::Concept;
use crate::intake::layout::rows_of_table;
use crate::intake::profile::Profile;
use crate::intake::reading::{read, translated};
use crate::notation::quantity::{MassUnit, QuantityUnit, Unit};
use crate::sheet::{Row, Tab};
use crate::trade::load_index::{HIGHEST, capacity};
use crate::trade::quantity::Mass;

/// Rows that a proof needs. Two may agree by chance or by copying; common practice, no source.
const LEAST_ROWS: usize = 3;

/// The share by which a printed load may differ from its index's, as in the check `load-index-vs-load`.
const INDEX_SHARE: f64 = 0.02;

/// Gives each column of loads without a unit the one that another column proves.
pub(super) fn prove_units(
    tab: &Tab,
    columns: &mut [ColumnPlan],
    kinds: &[PartKind],
    after: u32,
    profile: Option<&Profile>,
) {
    if !are_open(columns, kinds) {
        return;
    }
    let open = |plan: &ColumnPlan| is_open(plan, kinds);
    let table = Table { rows: rows_of_table(tab, columns, after, profile).collect(), kinds, profile };
    let loads: Vec<Option<Vec<Option<Figure>>>> = columns
        .iter()
        .map(|plan| field_of(plan.concept, kinds).map(|field| table.loads(plan, field)))
        .collect();
    let mut proven = Vec::new();
    for (place, plan) in columns.iter().enumerate().filter(|(_, plan)| open(plan)) {
        let Some(figures) = loads.get(place).and_then(Option::as_deref) else { continue };
        if figures.iter().flatten().all(|figure| figure.unit.is_some()) {
            continue;
        }
        let mut proofs = Vec::new();
        for (other, beside) in columns.iter().zip(&loads) {
            if other.column != plan.column && other.concept == plan.concept {
                proofs.extend(beside.as_deref().and_then(|beside| by_second_load(figures, other, beside)));
            }
            if states_index(other, plan.concept) {
                proofs.extend(table.by_index(figures, other, plan.concept));
            }
        }
        // Two columns that prove different units prove none.
        if let Some((unit, proof)) = proofs.first().cloned()
            && proofs.iter().all(|(also, _)| *also == unit)
        {
            proven.push((place, unit, proof));
        }
    }
    for (place, unit, proof) in proven {
        if let Some(plan) = columns.get_mut(place) {
            plan.unit = Some(Unit::Mass(unit));
            plan.unit_from = UnitSource::Proven(proof);
        }
    }
}

/// Whether some column of loads says no unit, so that others may prove one.
pub(super) fn are_open(columns: &[ColumnPlan], kinds: &[PartKind]) -> bool {
    columns.iter().any(|plan| is_open(plan, kinds))
}

fn is_open(plan: &ColumnPlan, kinds: &[PartKind]) -> bool {
    field_of(plan.concept, kinds).is_some() && plan.unit.is_none()
}

/// The load that a column of a concept states; none where it states none.
fn field_of(concept: Concept, kinds: &[PartKind]) -> Option<Field> {
    match (concept, kinds) {
        (Concept::Load, [PartKind::Wheel]) => Some(Field::WheelLoadRating),
        // Where both kinds stand in one column, the reading for tires takes in the one for wheels.
        (Concept::Load, _) => Some(Field::TireLoadSingle),
        (Concept::LoadDual, kinds) if kinds.contains(&PartKind::Tire) => Some(Field::TireLoadDual),
        _ => None,
    }
}

/// The load index that belongs to the load of a concept.
fn index_of(concept: Concept) -> Field {
    if concept == Concept::LoadDual { Field::TireLoadIndexDual } else { Field::TireLoadIndex }
}

fn states_index(plan: &ColumnPlan, concept: Concept) -> bool {
    let stated = plan.states(PartKind::Tire).contains(&index_of(concept));
    stated || (plan.concept == Concept::Description && plan.only != Some(PartKind::Wheel))
}

/// A load as a cell writes it.
#[derive(Clone, Copy, Debug)]
struct Figure {
    count: f64,
    /// The unit that the cell itself states.
    unit: Option<MassUnit>,
}

impl Figure {
    fn load(self, unit: MassUnit) -> Mass {
        self.unit.unwrap_or(unit).of(self.count)
    }
}

struct Table<'t> {
    rows: Vec<Row<'t>>,
    kinds: &'t [PartKind],
    profile: Option<&'t Profile>,
}

impl Table<'_> {
    /// What each row's cell under a column states of a fact, and how it was come by.
    fn stated(&self, plan: &ColumnPlan, kind: PartKind, field: Field) -> Vec<Option<Stated>> {
        let of_row = |row: &Row<'_>| {
            let cell = translated(self.profile, plan.concept, row.cell(plan.column)?);
            let reading = read(plan, kind, cell);
            let (_, fact) = reading.facts.into_iter().find(|(stated, _)| *stated == field)?;
            let base = fact.value().and_then(Value::number)?;
            Some(Stated { base, unit: fact.unit, own_unit: fact.from == From::Cell })
        };
        self.rows.iter().map(of_row).collect()
    }

    fn loads(&self, plan: &ColumnPlan, field: Field) -> Vec<Option<Figure>> {
        let kind = if field == Field::WheelLoadRating { PartKind::Wheel } else { PartKind::Tire };
        // Read as kilograms, a figure without a unit stays what it is.
        let as_kg = ColumnPlan {
            unit: Some(Unit::Mass(MassUnit::Kg)),
            unit_from: UnitSource::Heading,
            ..plan.clone()
        };
        let figure = |stated: Stated| {
            let unit = if stated.unit == Some(FactUnit::Lb) { MassUnit::Lb } else { MassUnit::Kg };
            let count = Mass::from_base(stated.base);
            let count = if unit == MassUnit::Lb { count.lb() } else { count.kg() };
            Figure { count, unit: stated.own_unit.then_some(unit) }
        };
        self.stated(&as_kg, kind, field).into_iter().map(|stated| stated.map(figure)).collect()
    }

    /// The unit in which loads are those of their indices: on nine rows of ten at least, so that the
    /// check of load against index still has its finds, and on none in the other unit.
    fn by_index(
        &self,
        figures: &[Option<Figure>],
        indices: &ColumnPlan,
        concept: Concept,
    ) -> Option<(MassUnit, UnitProof)> {
        if !self.kinds.contains(&PartKind::Tire) {
            return None;
        }
        let stated = self.stated(indices, PartKind::Tire, index_of(concept));
        let rows: Vec<(Figure, Mass)> = figures
            .iter()
            .zip(stated)
            .filter_map(|(figure, index)| {
                let figure = figure.filter(|figure| figure.unit.is_none())?;
                Some((figure, index_load(index?.base)?))
            })
            .collect();
        let agreeing = |unit: MassUnit| {
            let agrees = |(figure, load): &&(Figure, Mass)| {
                (figure.load(unit).base() - load.base()).abs() <= load.base() * INDEX_SHARE
            };
            rows.iter().filter(agrees).count()
        };
        let (kg, lb) = (agreeing(MassUnit::Kg), agreeing(MassUnit::Lb));
        let (unit, agree) = match (kg, lb) {
            (kg, 0) => (MassUnit::Kg, kg),
            (0, lb) => (MassUnit::Lb, lb),
            _ => return None,
        };
        if rows.len() < LEAST_ROWS || agree * 10 < rows.len() * 9 {
            return None;
        }
        // What tires prove says nothing of wheels in the same column.
        let only = (self.kinds.len() > 1).then_some(PartKind::Tire);
        let told = match (agree == rows.len(), only) {
            (true, None) => format!("{agree} rows"),
            (true, Some(_)) => format!("{agree} rows, for tires alone"),
            (false, None) => format!("{agree} of {} rows", rows.len()),
            (false, Some(_)) => format!("{agree} of {} rows, for tires alone", rows.len()),
        };
        let says = format!(
            "column {}, whose load indices stand for these loads in {} on {told}",
            indices.column,
            unit_word(unit),
        );
        Some((unit, UnitProof { only, says: Arc::from(says) }))
    }
}

/// A quantity that a cell states.
struct Stated {
    base: f64,
    unit: Option<FactUnit>,
    /// Whether the cell states the unit itself.
    own_unit: bool,
}

/// The most that a tire of this index carries.
fn index_load(plain: f64) -> Option<Mass> {
    let index = (0..=HIGHEST).find(|index| f64::from(*index) * BILLION == plain)?;
    capacity(index)
}

/// The unit in which figures are the same loads as those of a second column on every row with both.
fn by_second_load(
    figures: &[Option<Figure>],
    other: &ColumnPlan,
    beside: &[Option<Figure>],
) -> Option<(MassUnit, UnitProof)> {
    let stated = if let Some(Unit::Mass(unit)) = other.unit { Some(unit) } else { None };
    let rows: Vec<(Figure, Figure)> = figures
        .iter()
        .zip(beside)
        .filter_map(|(figure, beside)| {
            let (figure, beside) = (figure.filter(|figure| figure.unit.is_none())?, (*beside)?);
            Some((figure, Figure { unit: beside.unit.or(stated), ..beside }))
        })
        .collect();
    if rows.len() < LEAST_ROWS {
        return None;
    }
    let units: &[(MassUnit, MassUnit)] = match rows.first().and_then(|(_, beside)| beside.unit) {
        Some(unit) if rows.iter().all(|(_, beside)| beside.unit == Some(unit)) => {
            &[(MassUnit::Kg, unit), (MassUnit::Lb, unit)]
        }
        None if rows.iter().all(|(_, beside)| beside.unit.is_none()) => {
            &[(MassUnit::Kg, MassUnit::Lb), (MassUnit::Lb, MassUnit::Kg)]
        }
        _ => return None,
    };
    let kind = Field::WheelLoadRating.kind();
    let same = |unit: MassUnit, beside_unit: MassUnit| {
        rows.iter().all(|(figure, beside)| {
            let (one, other) = (figure.load(unit).base(), beside.load(beside_unit).base());
            kind.agree(&Value::Number(one), &Value::Number(other))
        })
    };
    let (unit, beside_unit) = *units.iter().find(|(unit, beside)| same(*unit, *beside))?;
    let figures = match (unit, beside_unit) {
        (MassUnit::Kg, MassUnit::Lb) => "are 2.2046 times these".to_owned(),
        (MassUnit::Lb, MassUnit::Kg) => "are these divided by 2.2046".to_owned(),
        (MassUnit::Kg, MassUnit::Kg) | (MassUnit::Lb, MassUnit::Lb) => {
            format!("are in {} and the same", unit_word(unit))
        }
    };
    let says = format!("column {}, whose figures {figures} on {} rows", other.column, rows.len());
    Some((unit, UnitProof { only: None, says: Arc::from(says) }))
}

fn unit_word(unit: MassUnit) -> &'static str {
    match unit {
        MassUnit::Kg => "kg",
        MassUnit::Lb => "lb",
    }
}
