//! Facts that follow from others of the same row, worked out after the sense checks.
//!
//! A stand-in is used only where the stated fact's cell is empty. What it rests on passes its state
//! on: a designation that cannot be used gives a diameter that cannot be used.

use std::sync::Arc;

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

/// What a tire's size stands in for.
const FROM_SIZE: [Field; 9] = [
    Field::TireSectionWidth,
    Field::TireAspect,
    Field::TireConstruction,
    Field::TireRimDiameter,
    Field::TireOverallDiameter,
    Field::TireService,
    Field::TireMeasuringRim,
    Field::TireRimWidthMin,
    Field::TireRimWidthMax,
];

/// What [`derive`] may fill in, each by itself and only where nothing states it; and all that it reads besides.
pub(super) fn fields(kind: PartKind) -> (&'static [Field], &'static [Field]) {
    match kind {
        PartKind::Wheel => (&[Field::WheelOffset], &[Field::WheelBackspacing, Field::WheelRimWidth]),
        PartKind::Tire => (
            &FROM_SIZE,
            &[
                Field::TireSize,
                Field::TireLoadRange,
                Field::TirePlyRating,
                Field::TireLoadIndexDual,
                Field::TireLoadDual,
            ],
        ),
    }
}

/// Fills in what follows from the facts of a row.
pub(super) fn derive(spec: &mut Spec) {
    match spec.kind() {
        PartKind::Wheel => derive_offset(spec),
        PartKind::Tire => derive_from_size(spec),
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

fn derive_from_size(spec: &mut Spec) {
    let Some(size_fact) = spec.fact(Field::TireSize).map(Arc::clone) else {
        return;
    };
    for field in FROM_SIZE {
        if !is_missing(spec, field) {
            continue;
        }
        let state = match &size_fact.state {
            State::Known(Value::Size(size)) => match from_size(field, *size, spec) {
                Derived::Value(value) => State::Known(value),
                Derived::Nothing => continue,
                Derived::Unclear(why) => State::Unreadable(Arc::from(why)),
            },
            State::Known(_) | State::Missing => continue,
            unusable => unusable.clone(),
        };
        let fact = Fact {
            state,
            text: Arc::from(""),
            unit: None,
            column: size_fact.column,
            from: From::Designation,
        };
        spec.put(field, fact);
    }
}

enum Derived {
    Value(Value),
    Nothing,
    Unclear(&'static str),
}

fn from_size(field: Field, size: Size, spec: &Spec) -> Derived {
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
        Field::TireService => service(size, spec),
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

fn service(size: Size, spec: &Spec) -> Derived {
    let number = |field| spec.fact(field).and_then(|fact| fact.value()).and_then(Value::number);
    let range = number(Field::TireLoadRange).and_then(|ply| LoadRange::from_ply(ply as u8));
    let ply = number(Field::TirePlyRating).map(|ply| ply as u8);
    // An index that cannot be read is still an index: the tire is not shown to have one alone.
    let dual = spec.fact(Field::TireLoadIndexDual).and_then(|fact| match &fact.state {
        State::Missing => None,
        State::Known(value) => whole_index(value).or(Some(0)),
        State::Unreadable(_) | State::Contradicted(_) => Some(0),
    });
    // A printed load in twin fitment tells as much.
    let twin_load = spec.fact(Field::TireLoadDual).is_some_and(|fact| !matches!(fact.state, State::Missing));
    match service_kind(size, dual.or(twin_load.then_some(0)), range, ply) {
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
