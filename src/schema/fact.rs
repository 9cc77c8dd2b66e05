//! Facts, as our own files state their values.

use serde_json::{Value as Json, json};

use crate::facts::field::{Field, Scope};
use crate::facts::value::{Dimension, Kind, Unit};
use crate::schema::form::{one_or_list, text, word, words};

/// Every dimension, with the name its values are defined under.
const DIMENSIONS: [(Dimension, &str); 7] = [
    (Dimension::Length, "length"),
    (Dimension::Mass, "mass"),
    (Dimension::Pressure, "pressure"),
    (Dimension::Speed, "speed"),
    (Dimension::Plain, "plain"),
    (Dimension::Ply, "ply"),
    (Dimension::Day, "day"),
];

/// A figure, as a pattern.
const FIGURE: &str = r"[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)";

/// The value of a fact.
pub(super) fn value(field: Field) -> Json {
    about(field, json!({ "allOf": [of_kind(field.kind())] }))
}

fn about(field: Field, mut form: Json) -> Json {
    form["description"] = json!(field.words());
    form
}

/// What the values of facts refer to: quantities, and the names of facts that have each.
pub(super) fn definitions() -> Json {
    let mut all = json!({ "fact": names(|_| true) });
    for (dimension, name) in DIMENSIONS {
        all[name] = quantity(dimension);
        all[format!("{name}-facts")] = names(|field| field.kind() == Kind::Quantity(dimension));
    }
    all
}

fn defined(dimension: Dimension, suffix: &str) -> Json {
    let known = DIMENSIONS.iter().find(|(known, _)| *known == dimension);
    known.map_or(Json::Bool(true), |(_, name)| json!({ "$ref": format!("#/definitions/{name}{suffix}") }))
}

fn of_kind(kind: Kind) -> Json {
    match kind {
        Kind::Quantity(dimension) => defined(dimension, ""),
        Kind::Window(dimension) => {
            json!({ "type": "array", "items": defined(dimension, ""), "minItems": 2, "maxItems": 2 })
        }
        Kind::Flag => json!({ "enum": [true, false, "yes", "no"] }),
        Kind::Word([]) => text(),
        Kind::Word(allowed) => word(allowed.iter().copied()),
        Kind::Words([]) => one_or_list(&text()),
        Kind::Words(allowed) => one_or_list(&word(allowed.iter().copied())),
        Kind::Drillings => such_as(words(), "6x130"),
        Kind::Seat => such_as(pattern(r"^(flat|shank|cone( \+?[0-9]+)?|ball( R\S+)?)$"), "cone 60"),
        Kind::Thread => such_as(words(), "M14x1.5"),
        Kind::Size => such_as(words(), "235/65R16C"),
    }
}

/// A figure with its unit, in quotes; bare only where it has none.
fn quantity(dimension: Dimension) -> Json {
    match dimension {
        Dimension::Plain => {
            json!({ "anyOf": [{ "type": "number" }, with_unit(dimension, true)] })
        }
        Dimension::Ply => {
            let ply = Unit::Ply.text();
            such_as(pattern(&format!(r"^([A-Za-z]|\s*{FIGURE}\s*{ply})$")), "E")
        }
        Dimension::Speed => {
            let symbol = json!({ "type": "string", "pattern": r"^\(?[A-Za-z][A-Za-z0-9]?\)?$" });
            json!({ "anyOf": [with_unit(dimension, false), symbol] })
        }
        Dimension::Day => such_as(words(), "2026-03-30"),
        Dimension::Length | Dimension::Mass | Dimension::Pressure => with_unit(dimension, false),
    }
}

fn with_unit(dimension: Dimension, or_none: bool) -> Json {
    let units = Unit::ALL.into_iter().filter(|unit| unit.dimension() == dimension).map(Unit::text);
    let units: Vec<&str> = units.collect();
    let none = if or_none { "?" } else { "" };
    pattern(&format!(r"^\s*{FIGURE}\s*({}){none}\s*$", units.join("|")))
}

fn pattern(pattern: &str) -> Json {
    json!({ "type": "string", "pattern": pattern })
}

fn such_as(mut form: Json, example: &str) -> Json {
    form["examples"] = json!([example]);
    form
}

/// A table of the facts of one scope. A dot in a name is a table within the table; a name in quotes may
/// hold the dot itself.
pub(super) fn facts_of(scope: Scope) -> Json {
    let mut table = closed();
    for field in Field::of(scope) {
        match field.name().split_once('.') {
            None => table["properties"][field.name()] = value(*field),
            Some((within, name)) => {
                let inner = &mut table["properties"][within];
                if inner.is_null() {
                    *inner = closed();
                }
                inner["properties"][name] = value(*field);
                table["patternProperties"][format!(r"^{within}\.{name}$")] = value(*field);
            }
        }
    }
    table
}

fn closed() -> Json {
    json!({ "type": "object", "properties": {}, "additionalProperties": false })
}

/// The full names of facts.
pub(super) fn names(those: impl Fn(Field) -> bool) -> Json {
    let names: Vec<String> =
        Field::ALL.iter().filter(|field| those(**field)).map(|field| field.full_name()).collect();
    json!({ "enum": names })
}

/// A value of a fact, or the name of another fact that has it.
pub(super) fn value_or_name(field: Field) -> Json {
    let same = match field.kind() {
        Kind::Quantity(dimension) => defined(dimension, "-facts"),
        kind => names(|other| other.kind() == kind),
    };
    about(field, json!({ "anyOf": [of_kind(field.kind()), same] }))
}

/// Texts that each name a fact.
pub(super) fn facts() -> Json {
    one_or_list(&json!({ "$ref": "#/definitions/fact" }))
}
