//! TOML values as values of facts.

use toml::de::DeValue;

use crate::document::literal::{self, LiteralProblem};
use crate::document::{Item, Span};
use crate::facts::value::{Dimension, Kind, Unit, Value};

const TWO_VALUES: LiteralProblem =
    LiteralProblem::Type { wanted: "a list of two values, the least and the most" };

/// Reads a TOML value as a value of a kind; bare figures are for plain numbers only.
///
/// # Errors
/// [`LiteralProblem`], which says what the value is not, at its place; in a list, at the item's.
pub fn value_of(kind: Kind, item: &Item<'_>) -> Result<Value, (Span, LiteralProblem)> {
    let here = |problem| (Span::from(item.span()), problem);
    match (kind, item.get_ref()) {
        (Kind::Window(dimension), DeValue::Array(items)) => {
            let end = |item| value_of(Kind::Quantity(dimension), item);
            let ends: Vec<Value> = items.iter().map(end).collect::<Result<_, _>>()?;
            match ends.as_slice() {
                [Value::Number(from), Value::Number(to)] if from <= to => {
                    Ok(Value::Window { from: *from, to: *to })
                }
                [Value::Number(_), Value::Number(_)] => Err(here(LiteralProblem::Reversed)),
                _ => Err(here(TWO_VALUES)),
            }
        }
        (Kind::Words(allowed), DeValue::Array(items)) => {
            let mut words = Vec::new();
            for item in items {
                if let Value::Word(word) = value_of(Kind::Word(allowed), item)? {
                    words.push(word);
                }
            }
            Ok(Value::Words(words.into()))
        }
        (Kind::Flag, DeValue::Boolean(flag)) => Ok(Value::Flag(*flag)),
        (_, DeValue::String(text)) => literal::read(kind, text).map_err(here),
        (Kind::Quantity(dimension), DeValue::Integer(_) | DeValue::Float(_)) => {
            let figure = match item.get_ref() {
                DeValue::Integer(figure) => figure.as_str(),
                DeValue::Float(figure) => figure.as_str(),
                _ => "",
            };
            bare(dimension, figure).map_err(here)
        }
        (kind, _) => Err(here(LiteralProblem::Type {
            wanted: match kind {
                Kind::Flag => "true or false",
                Kind::Window(_) => return Err(here(TWO_VALUES)),
                Kind::Words(_) => "a list of words",
                Kind::Quantity(_) => "a figure with its unit, in quotes",
                Kind::Word(_) | Kind::Drillings | Kind::Seat | Kind::Thread | Kind::Size => "text in quotes",
            },
        })),
    }
}

fn bare(dimension: Dimension, figure: &str) -> Result<Value, LiteralProblem> {
    if dimension != Dimension::Plain {
        let unit = Unit::of(dimension).map_or("", Unit::text);
        return Err(LiteralProblem::UnitMissing { example: format!("{figure} {unit}") });
    }
    match figure.parse::<f64>() {
        Ok(count) if count.is_finite() => Ok(Value::plain(count)),
        _ => Err(LiteralProblem::NotANumber(figure.to_owned())),
    }
}
