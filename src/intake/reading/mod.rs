//! One cell under a known heading to the facts it states.
//!
//! Alike texts in one column are read once. A reading knows no row, so that rows can share it.

mod tire;
mod wheel;

use std::sync::Arc;

use crate::facts::fact::{Fact, From, State};
use crate::facts::field::Field;
use crate::facts::part::PartKind;
use crate::facts::remark::RemarkKind;
use crate::facts::value::{Unit, Value};
use crate::intake::column::{ColumnPlan, UnitSource};
use crate::intake::fields::fields_of;
use crate::intake::heading::Concept;
use crate::intake::profile::Profile;
use crate::notation::number::{DecimalMark, NumberFrom};
use crate::notation::quantity::{
    self, LengthUnit, MassUnit, PressureUnit, QuantityUnit, Reading as Read, UnitFrom,
};
use crate::notation::unread::Unread;
use crate::notation::wheel::{rim_diameter, rim_width};
use crate::sheet::{Cell, CellKind, Column, Origin};
use crate::trade::bounds::Bounds;
use crate::trade::quantity::{Length, Mass, Pressure};

/// How something was read that the sheet leaves open; remarked once a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Assumption {
    /// A figure without a unit, of a size that leaves one unit only.
    UnitBySize(Unit),
    /// A number whose mark could mean two things, of which one is possible.
    NumberBySize,
    /// A cone without an angle, read as 60 degrees.
    ConeAngle,
}

/// Why a cell states nothing that can be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Unreadable {
    /// The kind of remark.
    pub(super) kind: RemarkKind,
    /// Why, as a phrase.
    pub(super) why: Arc<str>,
}

/// What one cell states.
#[derive(Clone, Debug, Default)]
pub(super) struct Reading {
    /// Its facts.
    pub(super) facts: Vec<(Field, Arc<Fact>)>,
    /// A bolt circle alone, that a hole count in another column completes.
    pub(super) circle: Option<(Length, Arc<str>)>,
    /// A hole count alone.
    pub(super) holes: Option<u8>,
    /// Why it could not be read, where it could not.
    pub(super) unreadable: Option<Unreadable>,
    /// What was assumed.
    pub(super) assumed: Vec<Assumption>,
}

/// Reads one cell as a part of a kind would state it.
pub(super) fn read(plan: &ColumnPlan, kind: PartKind, cell: Cell<'_>) -> Reading {
    // `1120` under the format `0" kg"` is what people see as `1120 kg`.
    let formatted = cell
        .format
        .filter(|_| cell.kind == CellKind::Number)
        .map(|format| format!("{}{}{}", format.words_before(), cell.text, format.words_after()));
    let text = formatted.as_deref().unwrap_or(cell.text);
    let mut reader = Reader { plan, text, reading: Reading::default() };
    let unreadable = match cell.kind {
        CellKind::Error => Err(Trouble::Spreadsheet),
        CellKind::Lost => Err(Trouble::Lost),
        CellKind::Date if expects_no_date(plan.concept) => Err(Trouble::Date),
        CellKind::Text | CellKind::Number | CellKind::Date | CellKind::Flag => {
            // A number cell has lost its spelling: its text is ours, with a decimal point.
            let decimal = if cell.kind == CellKind::Number { Some(DecimalMark::Point) } else { plan.decimal };
            let mut result = reader.part(kind, decimal);
            if result == Err(Unread::AmbiguousNumber) && plan.decimal_from_tab {
                reader.reading = Reading::default();
                result = reader.part(kind, None);
            }
            result.map_err(Trouble::Unread)
        }
    };
    if let Err(trouble) = unreadable {
        reader.give_up(kind, &trouble);
    }
    reader.reading
}

/// A cell as the profile has its words read.
pub(super) fn translated<'s>(profile: Option<&'s Profile>, concept: Concept, cell: Cell<'s>) -> Cell<'s> {
    match profile.and_then(|profile| profile.translated(concept, cell.text)) {
        Some(text) => Cell { text, kind: CellKind::Text, ..cell },
        None => cell,
    }
}

/// Reads a text that a profile states of every row.
pub(super) fn constant(
    concept: Concept,
    text: &str,
    kind: PartKind,
    decimal: Option<DecimalMark>,
) -> Reading {
    let Some(column) = Column::from_index(0) else { return Reading::default() };
    let plan = ColumnPlan {
        column,
        concept,
        unit: None,
        unit_from: UnitSource::Profile,
        only: None,
        heading: String::new(),
        decimal,
        decimal_from_tab: false,
        currency: None,
    };
    read(&plan, kind, Cell { column, text, kind: CellKind::Text, origin: Origin::Typed, format: None })
}

/// Words may well be dates (a note, a name); figures, sizes and patterns may not.
fn expects_no_date(concept: Concept) -> bool {
    !matches!(
        concept,
        Concept::Supplier | Concept::Name | Concept::Finish | Concept::Tread | Concept::Description
    )
}

enum Trouble {
    Unread(Unread),
    Date,
    Spreadsheet,
    Lost,
}

/// What a date was perhaps written as before a spreadsheet program took it for one.
fn once_written(date: &str) -> String {
    let parts: Vec<u32> =
        date.get(..10).unwrap_or("").split('-').filter_map(|part| part.parse().ok()).collect();
    match parts.as_slice() {
        [year, month, day] => format!(
            "a date stands here, perhaps made by a spreadsheet program from `{month}-{day}`, `{day}-{month}` or `{month}-{}`",
            year % 100
        ),
        _ => Unread::LooksLikeDate.to_string(),
    }
}

struct Reader<'r> {
    plan: &'r ColumnPlan,
    text: &'r str,
    reading: Reading,
}

type Done = Result<(), Unread>;

impl Reader<'_> {
    /// Marks everything the column states as unreadable.
    fn give_up(&mut self, kind: PartKind, trouble: &Trouble) {
        let text = self.text.trim();
        let (remark, why) = match trouble {
            Trouble::Unread(unread @ Unread::UnitNotStated) => {
                (RemarkKind::UnitNotStated, unread.to_string())
            }
            Trouble::Date => (RemarkKind::DateForText, once_written(text)),
            Trouble::Unread(unread @ Unread::LooksLikeDate) => (RemarkKind::DateForText, unread.to_string()),
            Trouble::Unread(unread) => (RemarkKind::Unreadable, unread.to_string()),
            Trouble::Spreadsheet => {
                (RemarkKind::Unreadable, "the spreadsheet shows an error here".to_owned())
            }
            Trouble::Lost => (RemarkKind::Unreadable, "a formula whose result was never stored".to_owned()),
        };
        // Free text may or may not hold facts: nothing is lost if it does not.
        if self.plan.concept == Concept::Description {
            return;
        }
        let why: Arc<str> = Arc::from(why);
        self.reading = Reading {
            facts: fields_of(self.plan.concept, kind)
                .iter()
                .map(|field| {
                    let fact = self.fact(State::Unreadable(Arc::clone(&why)), text, None, From::Cell);
                    (*field, Arc::new(fact))
                })
                .collect(),
            unreadable: Some(Unreadable { kind: remark, why }),
            ..Reading::default()
        };
    }

    fn fact(&self, state: State, text: &str, unit: Option<Unit>, from: From) -> Fact {
        Fact { state, text: Arc::from(text), unit, column: Some(self.plan.column), from }
    }

    fn put(&mut self, field: Field, value: Value, text: &str, unit: Option<Unit>, from: From) {
        let fact = self.fact(State::Known(value), text, unit, from);
        self.reading.facts.push((field, Arc::new(fact)));
    }

    /// A value that the whole cell states.
    fn whole(&mut self, field: Field, value: Value) {
        self.put(field, value, self.text.trim(), None, From::Cell);
    }

    fn word(&mut self, field: Field) {
        let text = self.text.trim();
        self.whole(field, Value::Word(Arc::from(text)));
    }

    fn assume(&mut self, assumption: Assumption) {
        if !self.reading.assumed.contains(&assumption) {
            self.reading.assumed.push(assumption);
        }
    }

    /// A quantity with where its unit came from.
    fn quantity<U: QuantityUnit + Into<Unit>>(&mut self, field: Field, read: &Read<U>, base: f64) {
        let unit: Unit = read.unit.into();
        let from = match read.unit_from {
            UnitFrom::Heading => match &self.plan.unit_from {
                UnitSource::Heading => From::Heading,
                UnitSource::Profile => From::Profile,
                UnitSource::Proven(proof) => From::Proven(Arc::clone(&proof.says)),
            },
            UnitFrom::Cell | UnitFrom::Convention => From::Cell,
            UnitFrom::OnlyPossible => {
                self.assume(Assumption::UnitBySize(unit));
                From::Cell
            }
        };
        if read.number_from == NumberFrom::OnlyPossible {
            self.assume(Assumption::NumberBySize);
        }
        let text = self.text.get(read.span.clone()).unwrap_or(self.text).trim();
        self.put(field, Value::Number(base), text, Some(unit), from);
    }

    fn length(&mut self, field: Field, bounds: &Bounds<Length>, decimal: Option<DecimalMark>) -> Done {
        let read = quantity::length(self.text, self.plan.length_unit(), bounds, decimal)?;
        self.quantity(field, &read, read.value.base());
        Ok(())
    }

    fn mass(&mut self, field: Field, bounds: &Bounds<Mass>, decimal: Option<DecimalMark>) -> Done {
        let kind = if field.scope() == PartKind::Wheel.scope() { PartKind::Wheel } else { PartKind::Tire };
        let read = quantity::mass(self.text, self.plan.mass_unit(kind), bounds, decimal)?;
        self.quantity(field, &read, read.value.base());
        Ok(())
    }

    fn pressure(&mut self, field: Field, bounds: &Bounds<Pressure>, decimal: Option<DecimalMark>) -> Done {
        let read = quantity::pressure(self.text, self.plan.pressure_unit(), bounds, decimal)?;
        self.quantity(field, &read, read.value.base());
        Ok(())
    }

    fn rim_width(&mut self, field: Field, decimal: Option<DecimalMark>) -> Done {
        let read = rim_width(self.text, self.plan.length_unit(), decimal)?;
        self.quantity(field, &read, read.value.base());
        Ok(())
    }

    fn rim_diameter(&mut self, field: Field, decimal: Option<DecimalMark>) -> Done {
        let read = rim_diameter(self.text, self.plan.length_unit(), decimal)?;
        self.quantity(field, &read, read.value.base());
        Ok(())
    }

    fn part(&mut self, kind: PartKind, decimal: Option<DecimalMark>) -> Done {
        match kind {
            PartKind::Wheel => self.wheel(decimal),
            PartKind::Tire => self.tire(decimal),
        }
    }
}

impl std::convert::From<LengthUnit> for Unit {
    fn from(unit: LengthUnit) -> Self {
        match unit {
            LengthUnit::Mm => Self::Mm,
            LengthUnit::Cm => Self::Cm,
            LengthUnit::Inch => Self::Inch,
        }
    }
}

impl std::convert::From<MassUnit> for Unit {
    fn from(unit: MassUnit) -> Self {
        match unit {
            MassUnit::Kg => Self::Kg,
            MassUnit::Lb => Self::Lb,
        }
    }
}

impl std::convert::From<PressureUnit> for Unit {
    fn from(unit: PressureUnit) -> Self {
        match unit {
            PressureUnit::Psi => Self::Psi,
            PressureUnit::Kpa => Self::KPa,
            PressureUnit::Bar => Self::Bar,
        }
    }
}
