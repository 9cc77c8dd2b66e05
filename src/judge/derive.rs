//! Facts that follow from others of the same row, worked out after the sense checks.
//!
//! A stand-in is used only where the stated fact's cell is empty. What it rests on passes its state
//! on: a designation that cannot be used gives a diameter that cannot be used.

use std::collections::HashMap;
use std::sync::Arc;

use foldhash::fast::RandomState;

use crate::facts::fact::{Fact, From, State};
use crate::facts::field::Field;
use crate::facts::part::{PartKind, Spec};
use crate::facts::value::{BILLION, Unit, Value};
use crate::notation::service::{ServiceKind, service_kind};
use crate::trade::load_range::LoadRange;
use crate::trade::published::{RimWidths, rim_widths};
use crate::trade::quantity::Length;
use crate::trade::tire::{Construction, Size};
use crate::trade::wheel::offset_from_back_spacing;

/// Facts that may be filled in, each by itself and only where nothing states it; and all that they follow from.
#[derive(Debug)]
pub(super) struct Following {
    /// What may be filled in.
    pub(super) gets: &'static [Field],
    /// What that follows from.
    pub(super) from: &'static [Field],
}

/// What [`derive`] may fill in. A tire's size stands in for nearly all of it by itself, which is known at once for
/// all tires of the size.
pub(super) fn following(kind: PartKind) -> &'static [Following] {
    match kind {
        PartKind::Wheel => &[Following {
            gets: &[Field::WheelOffset],
            from: &[Field::WheelBackspacing, Field::WheelRimWidth],
        }],
        PartKind::Tire => &[
            Following {
                gets: &[
                    Field::TireSectionWidth,
                    Field::TireAspect,
                    Field::TireConstruction,
                    Field::TireRimDiameter,
                    Field::TireOverallDiameter,
                    Field::TireMeasuringRim,
                    Field::TireRimWidthMin,
                    Field::TireRimWidthMax,
                ],
                from: &[Field::TireSize],
            },
            Following {
                gets: &[Field::TireService],
                from: &[
                    Field::TireSize,
                    Field::TireLoadRange,
                    Field::TirePlyRating,
                    Field::TireLoadIndexDual,
                    Field::TireLoadDual,
                ],
            },
        ],
    }
}

/// What sizes told so far: rows of one size share what follows from it.
#[derive(Debug, Default)]
pub(super) struct FromSizes(HashMap<Asked, Option<Arc<Fact>>, RandomState>);

/// A size, the column it stands in, and what it is asked for.
type Asked = (Size, Option<usize>, Telling);

/// What a size is asked for: a field, with the marks beside the size where that is the service type.
type Telling = (Field, Option<ServiceMarks>);

/// Fills in what follows from the facts of a row.
pub(super) fn derive(spec: &mut Spec) {
    for Following { gets, .. } in following(spec.kind()) {
        derive_only(gets, spec);
    }
}

/// The same beside other rows, whose facts it shares where they are of one size.
pub(super) fn derive_beside(spec: &mut Spec, known: &mut FromSizes) {
    for Following { gets, .. } in following(spec.kind()) {
        derive_with(gets, spec, |stated, size, telling| {
            let asked = (size, column_of(stated), telling);
            known.0.entry(asked).or_insert_with(|| told(stated, size, telling)).clone()
        });
    }
}

/// The same of some of the facts that may be filled in.
pub(super) fn derive_only(fields: &[Field], spec: &mut Spec) {
    derive_with(fields, spec, told);
}

fn derive_with(
    fields: &[Field],
    spec: &mut Spec,
    told: impl FnMut(&Fact, Size, Telling) -> Option<Arc<Fact>>,
) {
    match spec.kind() {
        PartKind::Wheel => derive_offset(spec),
        PartKind::Tire => derive_from_size(fields, spec, told),
    }
}

/// A wheel with back spacing and width but no offset gets its offset from them.
fn derive_offset(spec: &mut Spec) {
    if !is_missing(spec, Field::WheelOffset) {
        return;
    }
    let (Some(back), Some(width)) = (spec.fact(Field::WheelBackspacing), spec.fact(Field::WheelRimWidth))
    else {
        return;
    };
    let fact = match (back.value(), width.value()) {
        (Some(Value::Number(spacing)), Some(Value::Number(rim))) => {
            let offset = offset_from_back_spacing(Length::from_base(*rim), Length::from_base(*spacing));
            Fact {
                state: State::Known(Value::length(offset)),
                text: Arc::from(format!(
                    "{} (from {} back spacing)",
                    Unit::Mm.show(offset.base()),
                    back.text
                )),
                unit: Some(Unit::Mm),
                column: back.column,
                from: From::Derived,
            }
        }
        // Nothing to work it out from: it stays missing, or passes on why.
        _ if matches!(back.state, State::Missing) => return,
        _ => {
            let state = if back.value().is_none() { &back.state } else { &width.state };
            if matches!(state, State::Missing) {
                return;
            }
            Fact { column: back.column, from: From::Derived, ..back.with_state(state.clone()) }
        }
    };
    spec.put(Field::WheelOffset, fact);
}

fn is_missing(spec: &Spec, field: Field) -> bool {
    spec.fact(field).is_some_and(|fact| matches!(fact.state, State::Missing))
}

fn derive_from_size(
    fields: &[Field],
    spec: &mut Spec,
    mut told: impl FnMut(&Fact, Size, Telling) -> Option<Arc<Fact>>,
) {
    let Some(stated) = spec.fact(Field::TireSize).map(Arc::clone) else {
        return;
    };
    for field in fields.iter().copied() {
        if !is_missing(spec, field) {
            continue;
        }
        match &stated.state {
            State::Known(Value::Size(size)) => {
                let marks = (field == Field::TireService).then(|| ServiceMarks::of(spec));
                if let Some(fact) = told(&stated, *size, (field, marks)) {
                    spec.share(field, &fact);
                }
            }
            State::Known(_) | State::Missing => {}
            unusable => spec.share(field, &from_designation(&stated, unusable.clone())),
        }
    }
}

/// What a stated size tells.
fn told(stated: &Fact, size: Size, (field, marks): Telling) -> Option<Arc<Fact>> {
    match from_size(field, size, marks) {
        Derived::Value(value) => Some(from_designation(stated, State::Known(value))),
        Derived::Nothing => None,
        Derived::Unclear(why) => Some(from_designation(stated, State::Unreadable(Arc::from(why)))),
    }
}

fn from_designation(stated: &Fact, state: State) -> Arc<Fact> {
    Arc::new(Fact { state, text: Arc::from(""), unit: None, column: stated.column, from: From::Designation })
}

/// Which column of its sheet a fact stands in, from 0.
fn column_of(fact: &Fact) -> Option<usize> {
    let column = fact.column?;
    Some(column.index())
}

enum Derived {
    Value(Value),
    Nothing,
    Unclear(&'static str),
}

fn from_size(field: Field, size: Size, marks: Option<ServiceMarks>) -> Derived {
    match field {
        Field::TireSectionWidth => Derived::Value(Value::length(size.nominal_section())),
        Field::TireAspect => size
            .aspect()
            .map_or(Derived::Nothing, |aspect| Derived::Value(Value::plain(f64::from(aspect) / 100.0))),
        Field::TireConstruction => match size.construction() {
            Construction::Radial | Construction::SpeedRadial => word("radial"),
            Construction::BiasBelted => word("bias-belted"),
            Construction::Diagonal => word("diagonal"),
            Construction::Unknown => Derived::Nothing,
        },
        Field::TireRimDiameter => Derived::Value(Value::length(size.rim().inches())),
        Field::TireOverallDiameter => size
            .design_diameter()
            .map_or(Derived::Unclear("no table on file gives the diameter of this size"), |diameter| {
                Derived::Value(Value::length(diameter))
            }),
        Field::TireService => marks.map_or(Derived::Nothing, |marks| service(size, marks)),
        Field::TireMeasuringRim => size.measuring_rim(None).map_or(
            Derived::Unclear("neither a table on file nor a formula gives the measuring rim of this size"),
            |rim| Derived::Value(Value::length(rim)),
        ),
        Field::TireRimWidthMin => rim_width(size, RimWidths::least),
        Field::TireRimWidthMax => rim_width(size, RimWidths::most),
        _ => Derived::Nothing,
    }
}

fn rim_width(size: Size, end: impl FnOnce(&RimWidths) -> Length) -> Derived {
    rim_widths(size).map_or(Derived::Unclear("no table on file gives the rim widths of this size"), |row| {
        Derived::Value(Value::length(end(row)))
    })
}

fn word(word: &'static str) -> Derived {
    Derived::Value(Value::Word(Arc::from(word)))
}

/// What tells the service type of a tire beside its size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct ServiceMarks {
    /// The ply rating that its load range is named for.
    range: Option<u8>,
    ply: Option<u8>,
    /// The load index in twin fitment; 0 where there is one that is not known.
    dual: Option<u16>,
}

impl ServiceMarks {
    fn of(spec: &Spec) -> Self {
        let ply = |field| spec.fact(field).and_then(|fact| fact.value()?.number()).map(|ply| ply as u8);
        // An index that cannot be read is still an index: the tire is not shown to have one alone.
        let dual = spec.fact(Field::TireLoadIndexDual).and_then(|fact| match &fact.state {
            State::Missing => None,
            State::Known(value) => whole_index(value).or(Some(0)),
            State::Unreadable(_) | State::Contradicted(_) => Some(0),
        });
        // A printed load in twin fitment tells as much.
        let twin_load =
            spec.fact(Field::TireLoadDual).is_some_and(|fact| !matches!(fact.state, State::Missing));
        Self {
            range: ply(Field::TireLoadRange),
            ply: ply(Field::TirePlyRating),
            dual: dual.or(twin_load.then_some(0)),
        }
    }
}

fn service(size: Size, marks: ServiceMarks) -> Derived {
    let ServiceMarks { range, ply, dual } = marks;
    match service_kind(size, dual, range.and_then(LoadRange::from_ply), ply) {
        Ok(ServiceKind::LightTruck) => word("LT"),
        Ok(ServiceKind::Commercial) => word("C"),
        Ok(ServiceKind::Passenger) => word("passenger"),
        Ok(ServiceKind::Flotation) => word("flotation"),
        Ok(ServiceKind::Trailer) => word("trailer"),
        Err(_) => {
            Derived::Unclear("the size does not tell light-truck, commercial and passenger service apart")
        }
    }
}

/// A load index as a whole number, where the fact is one.
fn whole_index(value: &Value) -> Option<u16> {
    let whole = value.number()? / BILLION;
    ((0.0..=279.0).contains(&whole) && whole.fract() == 0.0).then_some(whole as u16)
}
