//! One cell under a known heading to the facts it states.
//!
//! Alike texts in one column are read once. A reading knows no row, so that rows can share it.

use std::sync::Arc;

use crate::facts::fact::{Fact, From, State};
use crate::facts::field::Field;
use crate::facts::literal::days_of_date;
use crate::facts::part::PartKind;
use crate::facts::value::{Unit, Value};
use crate::intake::heading::Concept;
use crate::intake::layout::ColumnPlan;
use crate::notation::mark::{beadlock, flag, markings, snow_marks};
use crate::notation::number::{DecimalMark, NumberFrom};
use crate::notation::offset::offset;
use crate::notation::pattern::{bolt_circle, bolt_patterns, holes};
use crate::notation::quantity::{
    self, LengthUnit, MassUnit, PressureUnit, QuantityUnit, Reading as Read, UnitFrom,
};
use crate::notation::seat::seat;
use crate::notation::service::{self, ServiceDescription, ServiceKind, Strength};
use crate::notation::tire::{self, TireText, tire};
use crate::notation::unread::Unread;
use crate::notation::wheel::{rim_diameter, rim_width, wheel_mixed};
use crate::sheet::{Cell, CellKind};
use crate::trade::bolt_circle::Drilling;
use crate::trade::bounds::{self, Bounds};
use crate::trade::quantity::{Length, Mass, Pressure};
use crate::trade::seat::Seat;
use crate::trade::tire::Construction;

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
    pub(super) kind: &'static str,
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

/// The facts that a column states of a kind of part, whether or not a cell does; the first is the
/// one the column is for. None where the column is not about that kind.
pub(super) fn fields_of(concept: Concept, kind: PartKind) -> &'static [Field] {
    use Field as F;
    match (kind, concept) {
        (PartKind::Wheel, concept) => match concept {
            Concept::Supplier => &[F::WheelSupplier],
            Concept::Name => &[F::WheelName],
            Concept::Finish => &[F::WheelFinish],
            Concept::Size => &[F::WheelRimDiameter, F::WheelRimWidth],
            Concept::RimDiameter | Concept::Diameter => &[F::WheelRimDiameter],
            Concept::RimWidth | Concept::Width => &[F::WheelRimWidth],
            Concept::BoltPattern | Concept::HoleCount | Concept::BoltCircle => {
                &[F::WheelBoltPatterns]
            }
            Concept::Offset => &[F::WheelOffset],
            Concept::Backspacing => &[F::WheelBackspacing],
            Concept::CenterBore => &[F::WheelCenterBore],
            Concept::Load => &[F::WheelLoadRating],
            Concept::Seat => &[F::WheelSeat],
            Concept::BoltHole => &[F::WheelBoltHole],
            Concept::PadThickness => &[F::WheelPadThickness],
            Concept::MaxPressure => &[F::WheelMaxPressure],
            Concept::Beadlock => &[F::WheelBeadlock],
            Concept::Markings => &[F::WheelMarkings],
            Concept::Weight => &[F::WheelWeight],
            _ => &[],
        },
        (PartKind::Tire, concept) => match concept {
            Concept::Supplier => &[F::TireSupplier],
            Concept::Name => &[F::TireName],
            Concept::Tread => &[F::TireTread],
            Concept::Size => &[
                F::TireSize,
                F::TireLoadIndex,
                F::TireLoadIndexDual,
                F::TireSpeedSymbol,
                F::TireLoadRange,
                F::TirePlyRating,
            ],
            Concept::RimDiameter => &[F::TireRimDiameter],
            Concept::Diameter | Concept::OverallDiameter => &[F::TireOverallDiameter],
            Concept::Width | Concept::SectionWidth => &[F::TireSectionWidth],
            Concept::Service => &[F::TireService],
            Concept::Aspect => &[F::TireAspect],
            Concept::Construction => &[F::TireConstruction],
            Concept::LoadIndex => &[F::TireLoadIndex, F::TireLoadIndexDual, F::TireSpeedSymbol],
            Concept::LoadIndexDual => &[F::TireLoadIndexDual],
            Concept::SpeedSymbol => &[F::TireSpeedSymbol],
            Concept::LoadAndSpeed => &[F::TireLoadIndex, F::TireLoadIndexDual, F::TireSpeedSymbol],
            Concept::LoadRange => &[F::TireLoadRange],
            Concept::PlyRating => &[F::TirePlyRating],
            Concept::Load => &[F::TireLoadSingle],
            Concept::LoadDual => &[F::TireLoadDual],
            Concept::MaxPressure => &[F::TireMaxPressure],
            Concept::RimWidthMin => &[F::TireRimWidthMin],
            Concept::RimWidthMax => &[F::TireRimWidthMax],
            Concept::RimWidthRange => &[F::TireRimWidthMin, F::TireRimWidthMax],
            Concept::MeasuringRim => &[F::TireMeasuringRim],
            Concept::SnowMark => &[F::TireSnowMark],
            Concept::MudSnow => &[F::TireMudSnow],
            Concept::DateCode => &[F::TireDateCode],
            Concept::Weight => &[F::TireWeight],
            _ => &[],
        },
    }
}

/// Reads one cell as a part of a kind would state it.
pub(super) fn read(plan: &ColumnPlan, kind: PartKind, cell: Cell<'_>) -> Reading {
    let mut reader = Reader {
        plan,
        text: cell.text,
        reading: Reading::default(),
    };
    let unreadable = match cell.kind {
        CellKind::Error => Err(Trouble::Spreadsheet),
        CellKind::Lost => Err(Trouble::Lost),
        CellKind::Date if expects_no_date(plan.concept) => {
            Err(Trouble::Unread(Unread::LooksLikeDate))
        }
        CellKind::Text | CellKind::Number | CellKind::Date | CellKind::Flag => {
            // A number cell has lost its spelling: its text is ours, with a decimal point.
            let decimal = if cell.kind == CellKind::Number {
                Some(DecimalMark::Point)
            } else {
                plan.decimal
            };
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

/// Words may well be dates (a note, a name); figures, sizes and patterns may not.
fn expects_no_date(concept: Concept) -> bool {
    !matches!(
        concept,
        Concept::Supplier | Concept::Name | Concept::Finish | Concept::Tread | Concept::Description
    )
}

enum Trouble {
    Unread(Unread),
    Spreadsheet,
    Lost,
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
                ("unit-not-stated", unread.to_string())
            }
            Trouble::Unread(unread @ Unread::LooksLikeDate) => {
                ("date-for-text", unread.to_string())
            }
            Trouble::Unread(unread @ Unread::SaysNothing) => {
                ("unreadable", format!("{unread}: `{text}`"))
            }
            Trouble::Unread(unread) => ("unreadable", unread.to_string()),
            Trouble::Spreadsheet => (
                "unreadable",
                format!("the spreadsheet shows an error here, {text}"),
            ),
            Trouble::Lost => (
                "unreadable",
                "a formula whose result was never stored".to_owned(),
            ),
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
                    let fact =
                        self.fact(State::Unreadable(Arc::clone(&why)), text, None, From::Cell);
                    (*field, Arc::new(fact))
                })
                .collect(),
            unreadable: Some(Unreadable { kind: remark, why }),
            ..Reading::default()
        };
    }

    fn fact(&self, state: State, text: &str, unit: Option<Unit>, from: From) -> Fact {
        Fact {
            state,
            text: Arc::from(text),
            unit,
            column: Some(self.plan.column),
            from,
        }
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
            UnitFrom::Heading => From::Heading,
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

    fn length(
        &mut self,
        field: Field,
        bounds: &Bounds<Length>,
        decimal: Option<DecimalMark>,
    ) -> Done {
        let read = quantity::length(self.text, self.plan.length_unit(), bounds, decimal)?;
        self.quantity(field, &read, read.value.base());
        Ok(())
    }

    fn mass(&mut self, field: Field, bounds: &Bounds<Mass>, decimal: Option<DecimalMark>) -> Done {
        let read = quantity::mass(self.text, self.plan.mass_unit(), bounds, decimal)?;
        self.quantity(field, &read, read.value.base());
        Ok(())
    }

    fn pressure(
        &mut self,
        field: Field,
        bounds: &Bounds<Pressure>,
        decimal: Option<DecimalMark>,
    ) -> Done {
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

    fn wheel(&mut self, decimal: Option<DecimalMark>) -> Done {
        use Field as F;
        match self.plan.concept {
            Concept::Supplier => self.word(F::WheelSupplier),
            Concept::Name => self.word(F::WheelName),
            Concept::Finish => self.word(F::WheelFinish),
            Concept::Size => return self.wheel_size(decimal),
            Concept::Description => self.wheel_pieces(decimal)?,
            Concept::RimDiameter | Concept::Diameter => {
                return self.rim_diameter(F::WheelRimDiameter, decimal);
            }
            Concept::RimWidth | Concept::Width => return self.rim_width(F::WheelRimWidth, decimal),
            Concept::BoltPattern => return self.bolt_pattern(decimal),
            Concept::HoleCount => self.reading.holes = Some(holes(self.text)?),
            Concept::BoltCircle => {
                // Some sheets put the whole pattern under the circle's heading.
                if self.bolt_pattern(decimal).is_err() {
                    let read = bolt_circle(self.text, self.plan.length_unit(), decimal)?;
                    self.reading.circle = Some((read.value, Arc::from(self.text.trim())));
                }
            }
            Concept::Offset => {
                let read = offset(self.text, self.plan.length_unit(), decimal)?;
                self.quantity(F::WheelOffset, &read, read.value.base());
            }
            Concept::Backspacing => {
                return self.length(F::WheelBackspacing, &bounds::BACK_SPACING, decimal);
            }
            Concept::CenterBore => {
                return self.length(F::WheelCenterBore, &bounds::CENTER_BORE, decimal);
            }
            Concept::Load => return self.mass(F::WheelLoadRating, &bounds::WHEEL_RATING, decimal),
            Concept::Seat => {
                let mut seat = seat(self.text)?;
                if seat.is_cone_without_angle() {
                    self.assume(Assumption::ConeAngle);
                    seat = Seat::Cone { degrees: Some(60) };
                }
                self.whole(F::WheelSeat, Value::Seat(seat));
            }
            Concept::BoltHole => return self.length(F::WheelBoltHole, &bounds::BOLT_HOLE, decimal),
            Concept::PadThickness => {
                return self.length(F::WheelPadThickness, &bounds::PAD_THICKNESS, decimal);
            }
            Concept::MaxPressure => {
                return self.pressure(F::WheelMaxPressure, &bounds::MAX_PRESSURE, decimal);
            }
            Concept::Beadlock => {
                let flag = beadlock(self.text)?;
                self.whole(F::WheelBeadlock, Value::Flag(flag));
            }
            Concept::Markings => {
                let marks = markings(self.text)?;
                let words = marks
                    .iter()
                    .map(|mark| Arc::from(mark.to_string()))
                    .collect();
                self.whole(F::WheelMarkings, Value::Words(words));
            }
            Concept::Weight => return self.mass(F::WheelWeight, &WEIGHT, decimal),
            _ => {}
        }
        Ok(())
    }

    fn bolt_pattern(&mut self, decimal: Option<DecimalMark>) -> Done {
        let read = bolt_patterns(self.text, decimal)?;
        if read
            .iter()
            .any(|one| one.unit_from == UnitFrom::OnlyPossible && one.unit == LengthUnit::Inch)
        {
            self.assume(Assumption::UnitBySize(Unit::Inch));
        }
        let drillings: Arc<[Drilling]> = read.iter().map(|one| one.drilling).collect();
        if drillings.is_empty() {
            return Err(Unread::NotUnderstood);
        }
        self.whole(Field::WheelBoltPatterns, Value::Drillings(drillings));
        Ok(())
    }

    /// A size column that must hold a size, and may hold more.
    fn wheel_size(&mut self, decimal: Option<DecimalMark>) -> Done {
        if let Some(why) = crate::notation::text::says_nothing(self.text) {
            return Err(why);
        }
        self.wheel_pieces(decimal)?;
        if self
            .reading
            .facts
            .iter()
            .any(|(field, _)| *field == Field::WheelRimDiameter)
        {
            return Ok(());
        }
        Err(if crate::notation::text::looks_like_date(self.text) {
            Unread::LooksLikeDate
        } else {
            Unread::NotUnderstood
        })
    }

    fn wheel_pieces(&mut self, decimal: Option<DecimalMark>) -> Done {
        let mixed = wheel_mixed(self.text, decimal);
        let text_of = |text: &str, span: &std::ops::Range<usize>| {
            text.get(span.clone()).unwrap_or(text).trim().to_owned()
        };
        if let Some(size) = mixed.size()? {
            let text = text_of(self.text, &size.span);
            for (field, length) in [
                (Field::WheelRimDiameter, size.diameter),
                (Field::WheelRimWidth, size.width),
            ] {
                self.put(
                    field,
                    Value::length(length),
                    &text,
                    Some(Unit::Inch),
                    From::Designation,
                );
            }
        }
        if let Some(offset) = mixed.offset()? {
            let text = text_of(self.text, &offset.span);
            self.put(
                Field::WheelOffset,
                Value::length(offset.value),
                &text,
                Some(offset.unit.into()),
                From::Designation,
            );
        }
        if let Some(bore) = mixed.center_bore()? {
            let text = text_of(self.text, &bore.span);
            self.put(
                Field::WheelCenterBore,
                Value::length(bore.value),
                &text,
                Some(bore.unit.into()),
                From::Designation,
            );
        }
        let mut texts = Vec::new();
        let mut drillings = Vec::new();
        for drilling in mixed.drillings() {
            texts.push(text_of(self.text, &drilling.span));
            drillings.push(drilling.drilling);
        }
        if !drillings.is_empty() {
            let value = Value::Drillings(drillings.into());
            self.put(
                Field::WheelBoltPatterns,
                value,
                &texts.join(", "),
                None,
                From::Designation,
            );
        }
        Ok(())
    }

    fn tire(&mut self, decimal: Option<DecimalMark>) -> Done {
        use Field as F;
        match self.plan.concept {
            Concept::Supplier => self.word(F::TireSupplier),
            Concept::Name => self.word(F::TireName),
            Concept::Tread => self.word(F::TireTread),
            Concept::Size => {
                let found = tire(self.text)?;
                self.tire_text(&found);
            }
            Concept::Description => {
                if let Ok(found) = tire(self.text) {
                    self.tire_text(&found);
                }
            }
            Concept::Service => {
                let word = match service::service_word(self.text)? {
                    ServiceKind::LightTruck => "LT",
                    ServiceKind::Commercial => "C",
                    ServiceKind::Passenger => "passenger",
                    ServiceKind::Flotation => "flotation",
                    ServiceKind::Trailer => "trailer",
                };
                self.whole(F::TireService, Value::Word(Arc::from(word)));
            }
            Concept::Aspect => {
                let aspect = tire::aspect(self.text)?;
                self.whole(F::TireAspect, Value::plain(f64::from(aspect) / 100.0));
            }
            Concept::Construction => {
                let word = match tire::construction(self.text)? {
                    Construction::Radial | Construction::SpeedRadial => "radial",
                    Construction::BiasBelted => "bias-belted",
                    Construction::Diagonal => "diagonal",
                    Construction::Unknown => return Err(Unread::NotUnderstood),
                };
                self.whole(F::TireConstruction, Value::Word(Arc::from(word)));
            }
            Concept::RimDiameter => return self.rim_diameter(F::TireRimDiameter, decimal),
            Concept::Diameter => {
                // A rim diameter or the tire's own: their sizes do not overlap.
                if self.rim_diameter(F::TireRimDiameter, decimal).is_err()
                    || self.too_large_for_a_rim()
                {
                    self.reading = Reading::default();
                    return self.length(F::TireOverallDiameter, &bounds::OVERALL_DIAMETER, decimal);
                }
            }
            Concept::OverallDiameter => {
                return self.length(F::TireOverallDiameter, &bounds::OVERALL_DIAMETER, decimal);
            }
            Concept::Width | Concept::SectionWidth => {
                return self.length(F::TireSectionWidth, &bounds::SECTION_WIDTH, decimal);
            }
            Concept::LoadIndex => {
                let read = service::load_indices(self.text)
                    .or_else(|_| service::service_description(self.text))?;
                self.service(&read, self.text.trim(), From::Cell);
            }
            Concept::LoadIndexDual => {
                let read = service::load_indices(self.text)?;
                match (read.single, read.dual) {
                    (Some(index), None) => {
                        self.whole(F::TireLoadIndexDual, Value::plain(f64::from(index)))
                    }
                    _ => return Err(Unread::NotUnderstood),
                }
            }
            Concept::SpeedSymbol => {
                let symbol = service::speed_symbol(self.text)?;
                self.whole(F::TireSpeedSymbol, Value::speed(symbol.speed()));
            }
            Concept::LoadAndSpeed => {
                return self.service_and_strength();
            }
            Concept::LoadRange | Concept::PlyRating => {
                let strength = service::strength(self.text)?;
                self.strength(strength, self.text.trim(), From::Cell);
            }
            Concept::Load => {
                let pair = quantity::mass_pair(
                    self.text,
                    self.plan.mass_unit(),
                    &bounds::TIRE_LOAD,
                    decimal,
                )?;
                self.quantity(F::TireLoadSingle, &pair.single, pair.single.value.base());
                if let Some(dual) = &pair.dual {
                    self.quantity(F::TireLoadDual, dual, dual.value.base());
                }
            }
            Concept::LoadDual => return self.mass(F::TireLoadDual, &bounds::TIRE_LOAD, decimal),
            Concept::MaxPressure => {
                return self.pressure(F::TireMaxPressure, &bounds::MAX_PRESSURE, decimal);
            }
            Concept::RimWidthMin => return self.rim_width(F::TireRimWidthMin, decimal),
            Concept::RimWidthMax => return self.rim_width(F::TireRimWidthMax, decimal),
            Concept::RimWidthRange => {
                let hint = self.plan.length_unit().or(Some(LengthUnit::Inch));
                let range = quantity::length_range(self.text, hint, &bounds::RIM_WIDTH, decimal)?;
                self.quantity(F::TireRimWidthMin, &range.least, range.least.value.base());
                self.quantity(
                    F::TireRimWidthMax,
                    &range.greatest,
                    range.greatest.value.base(),
                );
            }
            Concept::MeasuringRim => return self.rim_width(F::TireMeasuringRim, decimal),
            Concept::SnowMark => {
                let marked = match flag(self.text) {
                    Ok(flag) => flag,
                    // The column may name the mark: only the snowflake counts, M+S has no threshold.
                    Err(_) => snow_marks(self.text)?.three_peak.unwrap_or(false),
                };
                self.whole(F::TireSnowMark, Value::Flag(marked));
            }
            Concept::MudSnow => {
                let marked = match flag(self.text) {
                    Ok(flag) => flag,
                    Err(_) => snow_marks(self.text)?.mud_snow.unwrap_or(false),
                };
                self.whole(F::TireMudSnow, Value::Flag(marked));
            }
            Concept::DateCode => {
                let monday = crate::notation::date::date_code(self.text)?;
                self.whole(F::TireDateCode, Value::Number(days_of_date(monday)));
            }
            Concept::Weight => return self.mass(F::TireWeight, &WEIGHT, decimal),
            _ => {}
        }
        Ok(())
    }

    fn too_large_for_a_rim(&self) -> bool {
        let largest = bounds::RIM_DIAMETER.high().base();
        let rim = self
            .reading
            .facts
            .first()
            .and_then(|(_, fact)| fact.value())
            .and_then(Value::number);
        rim.is_some_and(|rim| rim > largest)
    }

    fn tire_text(&mut self, found: &TireText) {
        let text = self
            .text
            .get(found.span.clone())
            .unwrap_or(self.text)
            .trim()
            .to_owned();
        self.put(
            Field::TireSize,
            Value::Size(found.size),
            &text,
            None,
            From::Cell,
        );
        let service = found
            .service_span
            .clone()
            .and_then(|span| self.text.get(span))
            .unwrap_or("")
            .trim()
            .to_owned();
        self.service(&found.service, &service, From::Designation);
        // A second service description is not used, but it tells that the tire may run as a twin.
        if found.service.dual.is_none()
            && found
                .second_service
                .is_some_and(|second| second.dual.is_some())
        {
            let why = State::Unreadable(Arc::from("two service descriptions in one cell"));
            let fact = self.fact(why, &service, None, From::Designation);
            self.reading
                .facts
                .push((Field::TireLoadIndexDual, Arc::new(fact)));
        }
        if let Some(range) = found.load_range {
            let letter = range.to_string();
            self.put(
                Field::TireLoadRange,
                Value::Number(f64::from(range.ply())),
                &letter,
                None,
                From::Designation,
            );
        }
        if let Some(ply) = found.ply_rating {
            self.put(
                Field::TirePlyRating,
                Value::Number(f64::from(ply)),
                &format!("{ply}PR"),
                None,
                From::Designation,
            );
        }
        for (field, mark, text) in [
            (Field::TireSnowMark, found.snow.three_peak, "3PMSF"),
            (Field::TireMudSnow, found.snow.mud_snow, "M+S"),
        ] {
            if let Some(flag) = mark {
                self.put(field, Value::Flag(flag), text, None, From::Designation);
            }
        }
    }

    /// A service description, with a load range or `XL` behind it in some sheets.
    fn service_and_strength(&mut self) -> Done {
        let whole = service::service_description(self.text);
        let text = self.text.trim();
        let (read, strength) = match (whole, text.rsplit_once(char::is_whitespace)) {
            (Ok(read), _) => (read, None),
            (Err(why), None) => return Err(why),
            (Err(why), Some((description, strength))) => {
                let read = service::service_description(description).map_err(|_| why)?;
                (
                    read,
                    Some((service::strength(strength).map_err(|_| why)?, strength)),
                )
            }
        };
        self.service(&read, text, From::Cell);
        if let Some((strength, text)) = strength {
            self.strength(strength, text, From::Designation);
        }
        Ok(())
    }

    fn strength(&mut self, strength: Strength, text: &str, from: From) {
        let (field, ply) = match strength {
            Strength::Range(range) => (Field::TireLoadRange, range.ply()),
            Strength::Ply(ply) => (Field::TirePlyRating, ply),
            // Load versions of passenger tires: readable, and no load range.
            Strength::ExtraLoad | Strength::StandardLoad => return,
        };
        self.put(field, Value::Number(f64::from(ply)), text, None, from);
    }

    fn service(&mut self, read: &ServiceDescription, text: &str, from: From) {
        for (field, index) in [
            (Field::TireLoadIndex, read.single),
            (Field::TireLoadIndexDual, read.dual),
        ] {
            if let Some(index) = index {
                self.put(
                    field,
                    Value::plain(f64::from(index)),
                    &index.to_string(),
                    None,
                    from,
                );
            }
        }
        if let Some(symbol) = read.speed {
            let shown = if read.single.is_none() {
                text.to_owned()
            } else {
                symbol.text().to_owned()
            };
            self.put(
                Field::TireSpeedSymbol,
                Value::speed(symbol.speed()),
                &shown,
                None,
                from,
            );
        }
    }
}

/// What wheels and tires of vans weigh; common practice, no source.
const WEIGHT: Bounds<Mass> = bounds::PART_WEIGHT;

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
