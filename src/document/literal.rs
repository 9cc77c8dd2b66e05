//! Values as our own files write them: strict, with a unit on every figure that has one.
//!
//! Suppliers' spellings are read elsewhere and leniently; a van or rule file is ours to demand
//! exactness of.

use std::sync::Arc;

use jiff::civil::Date;
use thiserror::Error;

use crate::document::nearest;
use crate::facts::value::{Dimension, Kind, Unit, Value, days_of_date, plain_text};
use crate::notation::{number::DecimalMark, pattern, tire};
use crate::trade::date_code::{self, DateCode};
use crate::trade::load_range::LoadRange;
use crate::trade::speed_symbol::SpeedSymbol;

/// Why a text is no value of the kind asked for.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LiteralProblem {
    /// Not a figure where one is needed.
    #[error("`{0}` is not a number")]
    NotANumber(String),
    /// A figure without its unit.
    #[error("this number needs a unit")]
    UnitMissing {
        /// The figure with the usual unit.
        example: String,
    },
    /// A unit that does not exist or measures something else.
    #[error("`{unit}` is not a unit of {wanted}")]
    WrongUnit {
        /// As written.
        unit: String,
        /// What was to be measured.
        wanted: &'static str,
        /// Units that would do.
        allowed: Vec<&'static str>,
    },
    /// A word that is none of the allowed ones.
    #[error("`{word}` is not one of the words allowed here")]
    Word {
        /// As written.
        word: String,
        /// The allowed words.
        allowed: &'static [&'static str],
    },
    /// Not what the kind of fact looks like.
    #[error("`{text}` is not {wanted}")]
    Form {
        /// As written.
        text: String,
        /// What is needed.
        wanted: &'static str,
        /// One that would do.
        example: &'static str,
    },
    /// A value of the wrong TOML type.
    #[error("this must be {wanted}")]
    Type {
        /// What is needed.
        wanted: &'static str,
    },
    /// A window whose ends are the wrong way round.
    #[error("this window ends before it starts")]
    Reversed,
}

impl LiteralProblem {
    /// The allowed word that was probably meant.
    #[must_use]
    pub fn nearest(&self) -> Option<String> {
        let Self::Word { word, allowed } = self else { return None };
        nearest(word, allowed.iter().copied())
    }

    /// What would do, as a sentence.
    #[must_use]
    pub fn remedy(&self) -> Option<String> {
        match self {
            Self::NotANumber(_) | Self::Type { .. } => None,
            Self::UnitMissing { example } => Some(format!("write it as \"{example}\"")),
            Self::WrongUnit { allowed, .. } => Some(format!("units that would do: {}", allowed.join(", "))),
            Self::Word { allowed, .. } => Some(format!("allowed are: {}", allowed.join(", "))),
            Self::Form { example, .. } => Some(format!("write it as in \"{example}\"")),
            Self::Reversed => Some("write the smaller value first".to_owned()),
        }
    }
}

/// Reads a text as a value of a kind.
///
/// # Errors
/// [`LiteralProblem`], which says what the text is not.
pub fn read(kind: Kind, text: &str) -> Result<Value, LiteralProblem> {
    let form = |wanted, example| LiteralProblem::Form { text: text.to_owned(), wanted, example };
    match kind {
        Kind::Quantity(dimension) => quantity(dimension, text),
        Kind::Window(_) => {
            Err(LiteralProblem::Type { wanted: "a list of two values, the least and the most" })
        }
        Kind::Flag => match text {
            "yes" => Ok(Value::Flag(true)),
            "no" => Ok(Value::Flag(false)),
            _ => Err(LiteralProblem::Type { wanted: "true or false" }),
        },
        Kind::Word(allowed) => {
            if allowed.is_empty() || allowed.contains(&text) {
                return Ok(Value::Word(Arc::from(text)));
            }
            Err(LiteralProblem::Word { word: text.to_owned(), allowed })
        }
        Kind::Words(allowed) => match read(Kind::Word(allowed), text)? {
            Value::Word(word) => Ok(Value::Words([word].into())),
            other => Ok(other),
        },
        Kind::Drillings => match pattern::bolt_patterns(text, Some(DecimalMark::Point)) {
            Ok(drillings) if !drillings.is_empty() => {
                Ok(Value::Drillings(drillings.iter().map(|reading| reading.drilling).collect()))
            }
            _ => Err(form("a bolt pattern", "6x130")),
        },
        Kind::Seat => text.parse().map(Value::Seat).map_err(|_| form("a fastener seat", "cone 60")),
        Kind::Thread => crate::trade::thread::Thread::parse(text)
            .map(Value::Thread)
            .map_err(|_| form("a thread", "M14x1.5")),
        Kind::Size => match tire::tire(text) {
            Ok(tire) => Ok(Value::Size(tire.size)),
            Err(_) => Err(form("a tire size", "235/65R16C")),
        },
    }
}

fn quantity(dimension: Dimension, text: &str) -> Result<Value, LiteralProblem> {
    let form = |wanted, example| LiteralProblem::Form { text: text.to_owned(), wanted, example };
    match dimension {
        Dimension::Day => day(text).ok_or_else(|| form("a date", "2026-03-30")),
        Dimension::Ply if !text.ends_with("ply") => {
            let mut letters = text.chars();
            match (letters.next().and_then(LoadRange::from_letter), letters.next()) {
                (Some(range), None) => Ok(Value::Number(f64::from(range.ply()))),
                _ => Err(form("a load range", "E")),
            }
        }
        Dimension::Speed if SpeedSymbol::parse(text).is_some() => SpeedSymbol::parse(text)
            .map(|symbol| Value::speed(symbol.speed()))
            .ok_or_else(|| form("a speed", "150 km/h")),
        _ => figure_with_unit(dimension, text),
    }
}

fn figure_with_unit(dimension: Dimension, text: &str) -> Result<Value, LiteralProblem> {
    let text = text.trim();
    let split = text
        .char_indices()
        .find(|(at, letter)| {
            !(letter.is_ascii_digit() || *letter == '.' || (*at == 0 && matches!(letter, '-' | '+')))
        })
        .map_or(text.len(), |(at, _)| at);
    let (figure, unit) = (&text[..split], text[split..].trim());
    let Ok(count) = figure.parse::<f64>() else {
        return Err(LiteralProblem::NotANumber(text.to_owned()));
    };
    let usual = Unit::of(dimension);
    if unit.is_empty() {
        return match usual {
            None => Ok(Value::plain(count)),
            Some(usual) => {
                let example = format!("{} {}", plain_text(count), usual.text());
                Err(LiteralProblem::UnitMissing { example })
            }
        };
    }
    match Unit::from_text(unit) {
        Some(known) if known.dimension() == dimension => Ok(Value::Number(known.to_base(count))),
        _ => {
            let units = Unit::ALL.into_iter().filter(|known| known.dimension() == dimension);
            Err(LiteralProblem::WrongUnit {
                unit: unit.to_owned(),
                wanted: measure(dimension),
                allowed: units.map(Unit::text).collect(),
            })
        }
    }
}

fn measure(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "length",
        Dimension::Mass => "mass",
        Dimension::Pressure => "pressure",
        Dimension::Speed => "speed",
        Dimension::Plain => "a plain number",
        Dimension::Ply => "ply rating",
        Dimension::Day => "time",
    }
}

/// A calendar date, or a date code's Monday.
fn day(text: &str) -> Option<Value> {
    if let Ok(date) = text.parse::<Date>() {
        return Some(Value::Number(days_of_date(date)));
    }
    match date_code::parse(text) {
        Ok(DateCode::WeekOf(monday)) => Some(Value::Number(days_of_date(monday))),
        Ok(DateCode::Before2000) | Err(_) => None,
    }
}
