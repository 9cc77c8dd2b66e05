//! Tree to program: every name is a fact, every comparison makes sense, every number has its unit.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::document::literal;
use crate::document::{Fault, Span, nearest};
use crate::facts::field::Field;
use crate::facts::part::Subject;
use crate::facts::value::{Dimension, Kind, Unit, Value, plain_text};
use crate::rules::program::{Allowance, Bounds, Number, Operand, Order, Test};
use crate::rules::tree::{Arithmetic, Comparison, Expr, Node};

/// A checked expression.
#[derive(Clone, Debug, PartialEq)]
pub enum Checked {
    /// A statement.
    Test(Test),
    /// A number and what it measures.
    Number(Number, Dimension),
    /// Some other value and its kind.
    Operand(Operand, Kind),
}

impl Checked {
    fn kind(&self) -> String {
        match self {
            Self::Test(_) => "a statement".to_owned(),
            Self::Number(_, dimension) => dimension.to_string(),
            Self::Operand(_, kind) => kind.to_string(),
        }
    }
}

/// What an expression may name.
#[derive(Debug)]
pub struct Names<'n> {
    /// What it is about.
    pub on: Subject,
    /// Names that the rule gives to expressions of its own.
    pub given: &'n BTreeMap<String, Checked>,
}

/// A fault at its place in the expression's text.
pub type Placed = (Span, Fault);

type Found<T> = Result<T, Placed>;

const FUNCTIONS: [&str; 9] =
    ["abs", "min", "max", "index_load", "design_diameter", "rim_of", "diameter", "pitch", "years_before"];

/// Checks an expression that must be a statement.
///
/// # Errors
/// The first fault found, with its place in the expression's text.
pub fn statement(expr: &Expr, names: &Names<'_>) -> Found<Test> {
    test(expr, names)
}

/// Checks an expression of any kind.
///
/// # Errors
/// The first fault found, with its place in the expression's text.
pub fn anything(expr: &Expr, names: &Names<'_>) -> Found<Checked> {
    check(expr, names)
}

fn test(expr: &Expr, names: &Names<'_>) -> Found<Test> {
    match check(expr, names)? {
        Checked::Test(test) => Ok(test),
        Checked::Operand(Operand::Fact(field), Kind::Flag) => Ok(Test::Flag(field)),
        Checked::Operand(Operand::Constant(Value::Flag(_)), _) => Err((expr.span, Fault::Constant)),
        other => Err((expr.span, Fault::KindNeeded { wanted: "a statement", found: other.kind() })),
    }
}

fn check(expr: &Expr, names: &Names<'_>) -> Found<Checked> {
    match &expr.node {
        Node::Number { count, unit } => Ok(number_literal(*count, *unit)),
        Node::Text(text) => {
            Ok(Checked::Operand(Operand::Constant(Value::Word(Arc::from(text.as_str()))), Kind::Word(&[])))
        }
        Node::Flag(flag) => Ok(Checked::Operand(Operand::Constant(Value::Flag(*flag)), Kind::Flag)),
        Node::List(items) => list(items),
        Node::Name(name) => named(name, expr.span, names),
        Node::Call { name, name_span, arguments } => call(name, name_span.0, arguments, names),
        Node::Negative(inner) => {
            let (number, dimension) = number(inner, names)?;
            Ok(Checked::Number(Number::Negative(Box::new(number)), dimension))
        }
        Node::Not(inner) => Ok(Checked::Test(Test::Not(Box::new(test(inner, names)?)))),
        Node::Else(first, second) => {
            let (left, right, dimension) = two_numbers(first, second, names, "used for one another")?;
            Ok(Checked::Number(Number::Else(Box::new(left), Box::new(right)), dimension))
        }
        Node::Arithmetic(operation, left, right) => arithmetic(*operation, left, right, names),
        Node::Compare { comparison, left, right, allowing } => {
            compare(*comparison, left, right, allowing.as_deref(), names).map(Checked::Test)
        }
        Node::And(items) => all(items, names).map(|tests| Checked::Test(Test::And(tests))),
        Node::Or(items) => all(items, names).map(|tests| Checked::Test(Test::Or(tests))),
    }
}

fn all(items: &[Expr], names: &Names<'_>) -> Found<Vec<Test>> {
    items.iter().map(|item| test(item, names)).collect()
}

fn number_literal(count: f64, unit: Option<Unit>) -> Checked {
    match unit {
        Some(unit) => Checked::Number(Number::Constant(unit.to_base(count)), unit.dimension()),
        None => Checked::Number(constant(&Value::plain(count)), Dimension::Plain),
    }
}

fn constant(value: &Value) -> Number {
    Number::Constant(value.number().unwrap_or(f64::NAN))
}

/// A list of texts; lists of numbers only stand behind `in`, where [`compare`] reads them.
fn list(items: &[Expr]) -> Found<Checked> {
    let mut words = Vec::new();
    for item in items {
        let Node::Text(text) = &item.node else {
            let fault = Fault::KindNeeded { wanted: "a text in quotes", found: "something else".to_owned() };
            return Err((item.span, fault));
        };
        words.push(Arc::from(text.as_str()));
    }
    Ok(Checked::Operand(Operand::Constant(Value::Words(words.into())), Kind::Words(&[])))
}

fn named(name: &str, span: Span, names: &Names<'_>) -> Found<Checked> {
    if let Some(given) = names.given.get(name) {
        return Ok(given.clone());
    }
    let Some(field) = Field::from_full_name(name) else {
        let known: Vec<String> = Field::ALL
            .iter()
            .filter(|field| names.on.reaches(**field))
            .map(|field| field.full_name())
            .chain(names.given.keys().cloned())
            .collect();
        let nearest = nearest(name, known.iter().map(String::as_str));
        return Err((span, Fault::UnknownFact { name: name.to_owned(), nearest }));
    };
    if !names.on.reaches(field) {
        return Err((span, Fault::FactOutOfReach { on: names.on.name(), name: name.to_owned() }));
    }
    Ok(match field.kind() {
        Kind::Quantity(dimension) => Checked::Number(Number::Fact(field), dimension),
        kind => Checked::Operand(Operand::Fact(field), kind),
    })
}

fn call(name: &str, span: Span, arguments: &[Expr], names: &Names<'_>) -> Found<Checked> {
    let Some(known) = FUNCTIONS.into_iter().find(|known| *known == name) else {
        let fault = Fault::UnknownFunction { name: name.to_owned(), nearest: nearest(name, FUNCTIONS) };
        return Err((span, fault));
    };
    match (known, arguments) {
        ("abs", [value]) => {
            let (number, dimension) = number(value, names)?;
            Ok(Checked::Number(Number::Absolute(Box::new(number)), dimension))
        }
        ("min" | "max", [first, second]) => {
            let (left, right, dimension) = two_numbers(first, second, names, "compared")?;
            let make = if known == "min" { Number::Lesser } else { Number::Greater };
            Ok(Checked::Number(make(Box::new(left), Box::new(right)), dimension))
        }
        ("index_load", [index]) => {
            let number = number_of(index, Dimension::Plain, names)?;
            Ok(Checked::Number(Number::LoadOfIndex(Box::new(number)), Dimension::Mass))
        }
        ("design_diameter", [size]) => {
            let field = fact_of(size, Kind::Size, "a tire size", names)?;
            Ok(Checked::Number(Number::DesignDiameter(field), Dimension::Length))
        }
        ("rim_of", [size]) => {
            let field = fact_of(size, Kind::Size, "a tire size", names)?;
            Ok(Checked::Number(Number::RimOfSize(field), Dimension::Length))
        }
        ("diameter", [thread]) => {
            let field = fact_of(thread, Kind::Thread, "a thread", names)?;
            Ok(Checked::Number(Number::ThreadDiameter(field), Dimension::Length))
        }
        ("pitch", [thread]) => {
            let field = fact_of(thread, Kind::Thread, "a thread", names)?;
            Ok(Checked::Number(Number::ThreadPitch(field), Dimension::Length))
        }
        ("years_before", [years, date]) => {
            let Node::Number { count, unit: None } = years.node else {
                let fault = Fault::KindNeeded {
                    wanted: "a plain number of years",
                    found: "something else".to_owned(),
                };
                return Err((years.span, fault));
            };
            let date = number_of(date, Dimension::Day, names)?;
            // A figure of the file is never negative, and a date so far back is unknown anyway.
            let years = count.min(10_000.0) as i32;
            Ok(Checked::Number(Number::YearsBefore(Box::new(date), years), Dimension::Day))
        }
        (known, _) => {
            let wanted = if matches!(known, "min" | "max" | "years_before") { 2 } else { 1 };
            Err((span, Fault::ArgumentCount { name: known, wanted, found: arguments.len() }))
        }
    }
}

fn fact_of(expr: &Expr, kind: Kind, wanted: &'static str, names: &Names<'_>) -> Found<Field> {
    match check(expr, names)? {
        Checked::Operand(Operand::Fact(field), found) if found == kind => Ok(field),
        other => Err((expr.span, Fault::KindNeeded { wanted, found: other.kind() })),
    }
}

fn number(expr: &Expr, names: &Names<'_>) -> Found<(Number, Dimension)> {
    match check(expr, names)? {
        Checked::Number(number, dimension) => Ok((number, dimension)),
        other => Err((expr.span, Fault::KindNeeded { wanted: "a number", found: other.kind() })),
    }
}

fn number_of(expr: &Expr, dimension: Dimension, names: &Names<'_>) -> Found<Number> {
    let (number, found) = number(expr, names)?;
    if found == dimension {
        return Ok(number);
    }
    Err((expr.span, unit_needed(expr, dimension).unwrap_or_else(|| wrong_dimension(dimension, found))))
}

fn wrong_dimension(wanted: Dimension, found: Dimension) -> Fault {
    Fault::KindNeeded { wanted: dimension_words(wanted), found: found.to_string() }
}

/// The fault of a figure without its unit; none for anything else.
fn unit_needed(expr: &Expr, dimension: Dimension) -> Option<Fault> {
    let (count, unit) = (bare(expr)?, Unit::of(dimension)?);
    Some(Fault::UnitNeeded { example: format!("{} {}", plain_text(count), unit.text()) })
}

fn dimension_words(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "a length",
        Dimension::Mass => "a mass",
        Dimension::Pressure => "a pressure",
        Dimension::Speed => "a speed",
        Dimension::Plain => "a plain number",
        Dimension::Ply => "a ply rating",
        Dimension::Day => "a date",
    }
}

/// Two numbers that must measure the same; a text beside a number is read as a fact of its kind.
fn two_numbers(
    left: &Expr,
    right: &Expr,
    names: &Names<'_>,
    verb: &'static str,
) -> Found<(Number, Number, Dimension)> {
    let checked = (check(left, names)?, check(right, names)?);
    let both = match checked {
        (Checked::Number(first, dimension), Checked::Number(second, other)) if dimension == other => {
            return Ok((first, second, dimension));
        }
        (Checked::Number(first, dimension), Checked::Operand(Operand::Constant(Value::Word(_)), _)) => {
            let second = literal_number(right, dimension)?;
            return Ok((first, second, dimension));
        }
        (Checked::Operand(Operand::Constant(Value::Word(_)), _), Checked::Number(second, dimension)) => {
            let first = literal_number(left, dimension)?;
            return Ok((first, second, dimension));
        }
        both => both,
    };
    for (expr, other) in [(left, &both.1), (right, &both.0)] {
        if let Checked::Number(_, wanted) = other
            && let Some(fault) = unit_needed(expr, *wanted)
        {
            return Err((expr.span, fault));
        }
    }
    let span = Span { start: left.span.start, end: right.span.end };
    Err((span, Fault::KindsDiffer { left: both.0.kind(), right: both.1.kind(), verb }))
}

/// The figure of a number written without a unit.
fn bare(expr: &Expr) -> Option<f64> {
    if let Node::Number { count, unit: None } = expr.node { Some(count) } else { None }
}

fn literal_number(expr: &Expr, dimension: Dimension) -> Found<Number> {
    let Node::Text(text) = &expr.node else {
        return Ok(Number::Constant(f64::NAN));
    };
    match literal::read(Kind::Quantity(dimension), text) {
        Ok(value) => Ok(constant(&value)),
        Err(problem) => Err((expr.span, Fault::Literal(problem))),
    }
}

fn arithmetic(operation: Arithmetic, left: &Expr, right: &Expr, names: &Names<'_>) -> Found<Checked> {
    let boxed = |first, second| (Box::new(first), Box::new(second));
    match operation {
        Arithmetic::Add | Arithmetic::Subtract => {
            let verb = if operation == Arithmetic::Add { "added" } else { "subtracted" };
            let (first, second, dimension) = two_numbers(left, right, names, verb)?;
            let (first, second) = boxed(first, second);
            let make = if operation == Arithmetic::Add { Number::Sum } else { Number::Difference };
            Ok(Checked::Number(make(first, second), dimension))
        }
        Arithmetic::Multiply => {
            let (first, dimension) = number(left, names)?;
            let (second, other) = number(right, names)?;
            let ((Dimension::Plain, product) | (product, Dimension::Plain)) = (dimension, other) else {
                let (first, second) = (dimension.to_string(), other.to_string());
                let fault = Fault::KindsDiffer { left: first, right: second, verb: "multiplied" };
                return Err((span_of(left, right), fault));
            };
            let (first, second) = boxed(first, second);
            Ok(Checked::Number(Number::Product(first, second), product))
        }
        Arithmetic::Divide => {
            let (first, dimension) = number(left, names)?;
            let (second, divisor) = number(right, names)?;
            let quotient = match (dimension, divisor) {
                (dimension, Dimension::Plain) => dimension,
                (dimension, divisor) if dimension == divisor => Dimension::Plain,
                _ => {
                    let span = Span { start: left.span.start, end: right.span.end };
                    let (left, right) = (dimension.to_string(), divisor.to_string());
                    return Err((span, Fault::KindsDiffer { left, right, verb: "divided" }));
                }
            };
            let (first, second) = boxed(first, second);
            Ok(Checked::Number(Number::Quotient(first, second), quotient))
        }
    }
}

fn compare(
    comparison: Comparison,
    left: &Expr,
    right: &Expr,
    allowing: Option<&Expr>,
    names: &Names<'_>,
) -> Found<Test> {
    let order = match comparison {
        Comparison::AtLeast => Order::AtLeast,
        Comparison::AtMost => Order::AtMost,
        Comparison::Above => Order::Above,
        Comparison::Below => Order::Below,
        Comparison::Same | Comparison::Differs => {
            let same = same(left, right, allowing, names)?;
            return Ok(if comparison == Comparison::Same { same } else { Test::Not(Box::new(same)) });
        }
        Comparison::In => {
            no_allowance(allowing)?;
            return inside(left, right, names);
        }
        Comparison::Has | Comparison::HasAny => {
            return has(comparison, left, right, allowing, names);
        }
    };
    let (first, second, dimension) = two_numbers(left, right, names, "compared")?;
    ordered(order, first, second, dimension, allowing, names, span_of(left, right))
}

fn ordered(
    order: Order,
    left: Number,
    right: Number,
    dimension: Dimension,
    allowing: Option<&Expr>,
    names: &Names<'_>,
    span: Span,
) -> Found<Test> {
    if left == right || (left.reads().is_empty() && right.reads().is_empty()) {
        return Err((span, Fault::Constant));
    }
    let allowing = allowance(allowing, dimension, names)?;
    Ok(Test::Compare { order, left, right, allowing, dimension })
}

fn span_of(left: &Expr, right: &Expr) -> Span {
    Span { start: left.span.start, end: right.span.end }
}

fn no_allowance(allowing: Option<&Expr>) -> Found<()> {
    allowing.map_or(Ok(()), |expr| {
        let fault = Fault::KindNeeded {
            wanted: "a comparison of numbers before `allowing`",
            found: "another one".to_owned(),
        };
        Err((expr.span, fault))
    })
}

fn allowance(allowing: Option<&Expr>, dimension: Dimension, names: &Names<'_>) -> Found<Allowance> {
    let Some(expr) = allowing else {
        return Ok(Allowance::None);
    };
    let (number, found) = number(expr, names)?;
    let Number::Constant(amount) = number else {
        return Err((
            expr.span,
            Fault::KindNeeded { wanted: "a fixed figure", found: "one that changes".to_owned() },
        ));
    };
    if found == dimension && dimension != Dimension::Plain {
        return Ok(Allowance::Amount(amount));
    }
    if found == Dimension::Plain && (dimension == Dimension::Plain || bare(expr).is_none()) {
        let share = matches!(expr.node, Node::Number { unit: Some(Unit::Percent), .. });
        return Ok(if share { Allowance::Share(amount) } else { Allowance::Amount(amount) });
    }
    Err((expr.span, unit_needed(expr, dimension).unwrap_or_else(|| wrong_dimension(dimension, found))))
}

fn same(left: &Expr, right: &Expr, allowing: Option<&Expr>, names: &Names<'_>) -> Found<Test> {
    let checked = (check(left, names)?, check(right, names)?);
    match checked {
        (Checked::Number(..), _) | (_, Checked::Number(..)) => {
            let (first, second, dimension) = two_numbers(left, right, names, "compared")?;
            ordered(Order::Same, first, second, dimension, allowing, names, span_of(left, right))
        }
        (Checked::Operand(first, kind), Checked::Operand(second, other)) => {
            no_allowance(allowing)?;
            let (first, second) = match (&first, &second) {
                (Operand::Constant(_), Operand::Constant(_)) => {
                    return Err((span_of(left, right), Fault::Constant));
                }
                (Operand::Constant(_), Operand::Fact(_)) => (read_as(left, first, other)?, second),
                (Operand::Fact(_), Operand::Constant(_)) => (first, read_as(right, second, kind)?),
                (Operand::Fact(_), Operand::Fact(_)) if alike(kind, other) => (first, second),
                (Operand::Fact(_), Operand::Fact(_)) => {
                    let (left_kind, right_kind) = (kind.to_string(), other.to_string());
                    let fault = Fault::KindsDiffer { left: left_kind, right: right_kind, verb: "compared" };
                    return Err((span_of(left, right), fault));
                }
            };
            Ok(Test::Same(first, second))
        }
        (first, second) => {
            let fault = Fault::KindsDiffer { left: first.kind(), right: second.kind(), verb: "compared" };
            Err((span_of(left, right), fault))
        }
    }
}

fn alike(kind: Kind, other: Kind) -> bool {
    matches!((kind, other), (Kind::Word(_), Kind::Word(_)) | (Kind::Words(_), Kind::Words(_)))
        || kind == other
}

/// A text constant as a value of the kind it is compared with.
fn read_as(expr: &Expr, operand: Operand, kind: Kind) -> Found<Operand> {
    match (&expr.node, &operand) {
        (Node::Text(text), _) => match literal::read(kind, text) {
            Ok(value) => Ok(Operand::Constant(value)),
            Err(problem) => Err((expr.span, Fault::Literal(problem))),
        },
        (Node::Flag(_), _) if kind == Kind::Flag => Ok(operand),
        (Node::List(items), Operand::Constant(Value::Words(words)))
            if matches!(kind, Kind::Words(_) | Kind::Word(_)) =>
        {
            let (Kind::Words(allowed) | Kind::Word(allowed)) = kind else {
                return Ok(operand);
            };
            for (item, word) in items.iter().zip(words.iter()) {
                if let Err(problem) = literal::read(Kind::Word(allowed), word) {
                    return Err((item.span, Fault::Literal(problem)));
                }
            }
            Ok(operand)
        }
        _ => Err((
            expr.span,
            Fault::KindsDiffer { left: kind.to_string(), right: "this".to_owned(), verb: "compared" },
        )),
    }
}

fn inside(left: &Expr, right: &Expr, names: &Names<'_>) -> Found<Test> {
    match check(left, names)? {
        Checked::Number(number, dimension) => {
            let bounds = window(right, dimension, names)?;
            if number.reads().is_empty() && bounds.reads().is_empty() {
                return Err((span_of(left, right), Fault::Constant));
            }
            Ok(Test::Inside { number, bounds, dimension })
        }
        Checked::Operand(word @ Operand::Fact(_), kind @ Kind::Word(_)) => {
            let list = match check(right, names)? {
                Checked::Operand(list @ Operand::Fact(_), Kind::Words(_)) => list,
                Checked::Operand(list @ Operand::Constant(_), _) => read_as(right, list, kind)?,
                other => {
                    return Err((
                        right.span,
                        Fault::KindNeeded { wanted: "a list of words", found: other.kind() },
                    ));
                }
            };
            Ok(Test::OneOf(word, list))
        }
        other => Err((left.span, Fault::KindNeeded { wanted: "a number or a word", found: other.kind() })),
    }
}

/// The window behind `in`: a fact that is one, or two numbers in brackets.
fn window(expr: &Expr, dimension: Dimension, names: &Names<'_>) -> Found<Bounds> {
    if let Node::List(items) = &expr.node {
        let [from, to] = items.as_slice() else {
            let fault =
                Fault::KindNeeded { wanted: "a least and a most value", found: "another list".to_owned() };
            return Err((expr.span, fault));
        };
        let (from_number, to_number) = (number_of(from, dimension, names)?, number_of(to, dimension, names)?);
        if let (Number::Constant(least), Number::Constant(most)) = (&from_number, &to_number)
            && least > most
        {
            return Err((expr.span, Fault::WindowReversed));
        }
        return Ok(Bounds::Between(from_number, to_number));
    }
    match check(expr, names)? {
        Checked::Operand(Operand::Fact(field), Kind::Window(found)) if found == dimension => {
            Ok(Bounds::Fact(field))
        }
        Checked::Operand(_, Kind::Window(found)) => {
            let fault = Fault::KindsDiffer {
                left: dimension.to_string(),
                right: found.to_string(),
                verb: "compared",
            };
            Err((expr.span, fault))
        }
        other => Err((
            expr.span,
            Fault::KindNeeded { wanted: "a window such as [30 mm, 62 mm]", found: other.kind() },
        )),
    }
}

fn has(
    comparison: Comparison,
    left: &Expr,
    right: &Expr,
    allowing: Option<&Expr>,
    names: &Names<'_>,
) -> Found<Test> {
    match (check(left, names)?, check(right, names)?) {
        (Checked::Operand(drillings, Kind::Drillings), wanted) if comparison == Comparison::Has => {
            let wanted = match wanted {
                Checked::Operand(wanted, Kind::Drillings) => wanted,
                Checked::Operand(wanted, _) => read_as(right, wanted, Kind::Drillings)?,
                other => {
                    return Err((
                        right.span,
                        Fault::KindNeeded { wanted: "a bolt pattern", found: other.kind() },
                    ));
                }
            };
            let allowing = match allowance(allowing, Dimension::Length, names)? {
                Allowance::None => 0.0,
                Allowance::Amount(amount) => amount,
                Allowance::Share(_) => {
                    let span = allowing.map_or(right.span, |expr| expr.span);
                    return Err((
                        span,
                        Fault::KindNeeded { wanted: "a length", found: "a share".to_owned() },
                    ));
                }
            };
            Ok(Test::Drilled { drillings, wanted, allowing })
        }
        (Checked::Operand(list, kind @ Kind::Words(_)), Checked::Operand(wanted, other)) => {
            no_allowance(allowing)?;
            let wanted = match (comparison, other, &wanted) {
                (Comparison::HasAny, Kind::Words(_), Operand::Constant(_)) => read_as(right, wanted, kind)?,
                (Comparison::HasAny, Kind::Words(_), Operand::Fact(_)) => wanted,
                (Comparison::Has, Kind::Word(_), Operand::Constant(Value::Word(word))) => {
                    let (Kind::Words(allowed) | Kind::Word(allowed)) = kind else {
                        return Err((right.span, Fault::Constant));
                    };
                    if let Err(problem) = literal::read(Kind::Word(allowed), word) {
                        return Err((right.span, Fault::Literal(problem)));
                    }
                    Operand::Constant(Value::Words([Arc::clone(word)].into()))
                }
                _ => {
                    let fault = Fault::KindNeeded {
                        wanted: "a word after `has`, a list after `has any`",
                        found: other.to_string(),
                    };
                    return Err((right.span, fault));
                }
            };
            Ok(Test::HasAny(list, wanted))
        }
        (first, _) => Err((left.span, Fault::KindNeeded { wanted: "a list", found: first.kind() })),
    }
}
