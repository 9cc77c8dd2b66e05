//! TOML values as values of facts.

use toml::de::DeValue;

use crate::document::Item;
use crate::facts::literal::{self, LiteralProblem};
use crate::facts::value::{Dimension, Kind, Unit, Value};

/// Reads a TOML value as a value of a kind; bare figures are for plain numbers only.
///
/// # Errors
/// [`LiteralProblem`], which says what the value is not.
pub fn value_of(kind: Kind, item: &Item<'_>) -> Result<Value, LiteralProblem> {
    match (kind, item.get_ref()) {
        (Kind::Window(dimension), DeValue::Array(items)) => {
            let ends: Vec<Value> = items
                .iter()
                .map(|item| value_of(Kind::Quantity(dimension), item))
                .collect::<Result<_, _>>()?;
            match ends.as_slice() {
                [Value::Number(from), Value::Number(to)] if from <= to => {
                    Ok(Value::Window { from: *from, to: *to })
                }
                [Value::Number(_), Value::Number(_)] => Err(LiteralProblem::Reversed),
                _ => Err(LiteralProblem::Type { wanted: "a list of two values, the least and the most" }),
            }
        }
        (Kind::Words(allowed), DeValue::Array(items)) => {
            let mut words = Vec::new();
            for item in items {
                match value_of(Kind::Word(allowed), item)? {
                    Value::Word(word) => words.push(word),
                    _ => {
                        return Err(LiteralProblem::Type { wanted: "a list of words" });
                    }
                }
            }
            Ok(Value::Words(words.into()))
        }
        (Kind::Flag, DeValue::Boolean(flag)) => Ok(Value::Flag(*flag)),
        (_, DeValue::String(text)) => literal::read(kind, text),
        (Kind::Quantity(Dimension::Plain), DeValue::Integer(figure)) => bare(figure.as_str()),
        (Kind::Quantity(Dimension::Plain), DeValue::Float(figure)) => bare(figure.as_str()),
        (Kind::Quantity(dimension), DeValue::Integer(_) | DeValue::Float(_)) => {
            let figure = match item.get_ref() {
                DeValue::Integer(figure) => figure.as_str(),
                DeValue::Float(figure) => figure.as_str(),
                _ => "",
            };
            let unit = Unit::of(dimension).map_or("", Unit::text);
            Err(LiteralProblem::UnitMissing { example: format!("{figure} {unit}") })
        }
        (Kind::Flag, _) => Err(LiteralProblem::Type { wanted: "true or false" }),
        (Kind::Window(_), _) => {
            Err(LiteralProblem::Type { wanted: "a list of two values, the least and the most" })
        }
        (Kind::Words(_), _) => Err(LiteralProblem::Type { wanted: "a list of words" }),
        (Kind::Quantity(_), _) => Err(LiteralProblem::Type { wanted: "a figure with its unit, in quotes" }),
        (Kind::Word(_) | Kind::Drillings | Kind::Seat | Kind::Thread | Kind::Size, _) => {
            Err(LiteralProblem::Type { wanted: "text in quotes" })
        }
    }
}

fn bare(figure: &str) -> Result<Value, LiteralProblem> {
    match figure.parse::<f64>() {
        Ok(count) if count.is_finite() => Ok(Value::plain(count)),
        _ => Err(LiteralProblem::NotANumber(figure.to_owned())),
    }
}
