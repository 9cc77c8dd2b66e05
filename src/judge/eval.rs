//! Programs on cases: one statement to true, false or unknown; one number to its value.

use crate::facts::field::Field;
use crate::facts::value::{BILLION, Value};
use crate::judge::case::{Case, Look};
use crate::judge::truth::Truth;
use crate::rules::program::{Allowance, Bounds, Number, Operand, Order, Test};
use crate::rules::{Outcome, Rule};
use crate::trade::axle::Fitment;
use crate::trade::load_index;
use crate::trade::quantity::{Length, Mass};
use crate::trade::seat::{Seat, SeatKind};

/// A number, or why there is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// A whole count of base units.
    Known(f64),
    /// A fact it needs is stated nowhere.
    Missing,
    /// A fact it needs cannot be used, or the sum cannot be worked out.
    Unusable,
}

impl Figure {
    /// The number, where there is one.
    #[must_use]
    pub fn known(self) -> Option<f64> {
        if let Self::Known(number) = self { Some(number) } else { None }
    }

    /// Changes a known figure.
    #[must_use]
    pub fn map(self, change: impl FnOnce(f64) -> Self) -> Self {
        if let Self::Known(number) = self { change(number) } else { self }
    }

    /// What cannot be used weighs more than what is missing: only an empty cell has a stand-in.
    #[must_use]
    pub fn with(self, other: Self, combine: impl FnOnce(f64, f64) -> Self) -> Self {
        match (self, other) {
            (Self::Known(left), Self::Known(right)) => combine(left, right),
            (Self::Unusable, _) | (_, Self::Unusable) => Self::Unusable,
            (Self::Missing, _) | (_, Self::Missing) => Self::Missing,
        }
    }
}

/// A finite result, or unusable: a rule whose sum overflows must not pass.
pub(super) fn finite(number: f64) -> Figure {
    if number.is_finite() { Figure::Known(number) } else { Figure::Unusable }
}

/// What a rule gives on a case.
#[must_use]
pub fn outcome(rule: &Rule, case: Case<'_>) -> Outcome {
    if case.lacks_limit(rule.reads).is_some() {
        return Outcome::NotApplicable;
    }
    match rule.when.as_ref().map_or(Truth::True, |when| truth(when, case)) {
        Truth::False => Outcome::NotApplicable,
        Truth::Unknown => Outcome::Unknown,
        Truth::True => match truth(&rule.demand, case) {
            Truth::True => Outcome::Pass,
            Truth::False => Outcome::Fail,
            Truth::Unknown => Outcome::Unknown,
        },
    }
}

/// Whether a statement holds.
#[must_use]
pub fn truth(test: &Test, case: Case<'_>) -> Truth {
    match test {
        Test::Flag(field) => match case.look(*field) {
            Look::Known(Value::Flag(flag)) => Truth::from(*flag),
            _ => Truth::Unknown,
        },
        Test::Compare { order, left, right, allowing, .. } => match (figure(left, case), figure(right, case))
        {
            (Figure::Known(left), Figure::Known(right)) => {
                Truth::from(holds(*order, left, right, slack(*allowing, right)))
            }
            _ => Truth::Unknown,
        },
        Test::Inside { number, bounds, .. } => match (figure(number, case), ends(bounds, case)) {
            (Figure::Known(number), Some((from, to))) => Truth::from(from <= number && number <= to),
            _ => Truth::Unknown,
        },
        Test::Same(left, right)
        | Test::OneOf(left, right)
        | Test::HasAny(left, right)
        | Test::Drilled { drillings: left, wanted: right, .. } => {
            match (operand(left, case), operand(right, case)) {
                (Some(left), Some(right)) => meets(test, left, right),
                _ => Truth::Unknown,
            }
        }
        Test::And(tests) => tests.iter().fold(Truth::True, |all, test| all.and(truth(test, case))),
        Test::Or(tests) => tests.iter().fold(Truth::False, |any, test| any.or(truth(test, case))),
        Test::Not(test) => !truth(test, case),
    }
}

/// Whether two numbers stand as ordered, within a slack.
fn holds(order: Order, left: f64, right: f64, slack: f64) -> bool {
    match order {
        Order::AtLeast => left >= right - slack,
        Order::AtMost => left <= right + slack,
        Order::Above => left > right - slack,
        Order::Below => left < right + slack,
        Order::Same => (left - right).abs() <= slack,
    }
}

pub(super) fn slack(allowing: Allowance, right: f64) -> f64 {
    match allowing {
        Allowance::None => 0.0,
        Allowance::Amount(amount) => amount,
        Allowance::Share(billionths) => (right.abs() * billionths / BILLION).round(),
    }
}

/// Whether two values that are no numbers meet as a statement on two operands asks.
pub(super) fn meets(test: &Test, left: &Value, right: &Value) -> Truth {
    match test {
        Test::Same(..) => same(left, right),
        Test::OneOf(..) => Truth::from(holds_word(right, left)),
        Test::HasAny(..) => {
            let Value::Words(wanted) = right else { return Truth::Unknown };
            Truth::from(wanted.iter().any(|word| holds_word(left, &Value::Word(word.clone()))))
        }
        Test::Drilled { allowing, .. } => {
            let (Value::Drillings(drillings), Value::Drillings(wanted)) = (left, right) else {
                return Truth::Unknown;
            };
            let tolerance = Length::from_base(*allowing);
            let fits =
                wanted.iter().all(|want| drillings.iter().any(|one| one.same_pattern(*want, tolerance)));
            Truth::from(fits)
        }
        Test::Flag(_)
        | Test::Compare { .. }
        | Test::Inside { .. }
        | Test::And(_)
        | Test::Or(_)
        | Test::Not(_) => Truth::Unknown,
    }
}

/// The value of an operand, where it has one.
#[must_use]
pub fn operand<'c>(operand: &'c Operand, case: Case<'c>) -> Option<&'c Value> {
    match operand {
        Operand::Constant(value) => Some(value),
        Operand::Fact(field) => match case.look(*field) {
            Look::Known(value) => Some(value),
            Look::Missing | Look::Unusable => None,
        },
    }
}

/// The least and most of a window, where both are known.
#[must_use]
pub fn ends(bounds: &Bounds, case: Case<'_>) -> Option<(f64, f64)> {
    match bounds {
        Bounds::Fact(field) => match case.look(*field) {
            Look::Known(Value::Window { from, to }) => Some((*from, *to)),
            _ => None,
        },
        Bounds::Between(from, to) => match (figure(from, case), figure(to, case)) {
            (Figure::Known(from), Figure::Known(to)) => Some((from, to)),
            _ => None,
        },
    }
}

fn same(left: &Value, right: &Value) -> Truth {
    if let (Value::Seat(left), Value::Seat(right)) = (left, right) {
        return same_seat(*left, *right);
    }
    Truth::from(left == right)
}

/// Seats compare kind and size apart: a ball without a radius fails on a cone hub and is unknown on
/// a ball hub.
fn same_seat(left: Seat, right: Seat) -> Truth {
    let kind = Truth::from(left.kind() == right.kind());
    let size = match (left.size(), right.size()) {
        (Some(left), Some(right)) => Truth::from(left == right),
        (None, None) if matches!(left.kind(), SeatKind::Flat | SeatKind::Shank) => Truth::True,
        _ => Truth::Unknown,
    };
    kind.and(size)
}

fn holds_word(list: &Value, word: &Value) -> bool {
    match (list, word) {
        (Value::Words(list), Value::Word(word)) => list.contains(word),
        _ => false,
    }
}

/// The value of a number.
#[must_use]
pub fn figure(sum: &Number, case: Case<'_>) -> Figure {
    match sum {
        Number::Constant(count) => finite(*count),
        Number::Fact(field) => number(*field, case),
        Number::Sum(left, right) => figure(left, case).with(figure(right, case), |a, b| finite(a + b)),
        Number::Difference(left, right) => figure(left, case).with(figure(right, case), |a, b| finite(a - b)),
        // One factor is in billionths, whichever it is.
        Number::Product(left, right) => {
            figure(left, case).with(figure(right, case), |a, b| finite((a * b / BILLION).round()))
        }
        Number::Quotient(left, right) => {
            figure(left, case).with(figure(right, case), |a, b| finite((a * BILLION / b).round()))
        }
        Number::Negative(inner) => figure(inner, case).map(|a| Figure::Known(-a)),
        Number::Absolute(inner) => figure(inner, case).map(|a| Figure::Known(a.abs())),
        Number::Lesser(left, right) => {
            figure(left, case).with(figure(right, case), |a, b| Figure::Known(a.min(b)))
        }
        Number::Greater(left, right) => {
            figure(left, case).with(figure(right, case), |a, b| Figure::Known(a.max(b)))
        }
        Number::Else(first, second) => match figure(first, case) {
            Figure::Missing => figure(second, case),
            found => found,
        },
        Number::LoadOfIndex(index) => load_of_index(figure(index, case)),
        Number::DesignDiameter(field)
        | Number::RimOfSize(field)
        | Number::ThreadDiameter(field)
        | Number::ThreadPitch(field) => fact_figure(*field, case, |value| told_by(sum, value)),
        Number::YearsBefore(date, years) => figure(date, case).map(|days| years_before(days, *years)),
    }
}

/// The figure that a size or a thread tells, for a number that asks it.
pub(super) fn told_by(number: &Number, value: &Value) -> Option<f64> {
    match (number, value) {
        (Number::DesignDiameter(_), Value::Size(size)) => size.design_diameter().map(Length::base),
        (Number::RimOfSize(_), Value::Size(size)) => Some(size.rim().inches().base()),
        (Number::ThreadDiameter(_), Value::Thread(thread)) => Some(thread.diameter().base()),
        (Number::ThreadPitch(_), Value::Thread(thread)) => Some(thread.pitch().base()),
        _ => None,
    }
}

/// The mass that a load index stands for; unusable beyond the table.
pub(super) fn load_of_index(index: Figure) -> Figure {
    index.map(|index| {
        let whole = index / BILLION;
        let known = (0.0..=279.0).contains(&whole) && whole.fract() == 0.0;
        let load = if known { load_index::capacity(whole as u16) } else { None };
        load.map_or(Figure::Unusable, |load: Mass| Figure::Known(load.base()))
    })
}

/// What one tire carries in a fitment: its index's load, else the printed one.
#[must_use]
pub fn rated_load(fitment: Fitment, case: Case<'_>) -> Figure {
    let (index, printed) = match fitment {
        Fitment::Single => (Field::TireLoadIndex, Field::TireLoadSingle),
        Fitment::Twin => (Field::TireLoadIndexDual, Field::TireLoadDual),
    };
    match load_of_index(number(index, case)) {
        Figure::Missing => number(printed, case),
        found => found,
    }
}

/// The value of a fact that is a number.
#[must_use]
pub fn number(field: Field, case: Case<'_>) -> Figure {
    fact_figure(field, case, Value::number)
}

fn fact_figure(field: Field, case: Case<'_>, number: impl FnOnce(&Value) -> Option<f64>) -> Figure {
    match case.look(field) {
        Look::Known(value) => number(value).map_or(Figure::Unusable, finite),
        Look::Missing => Figure::Missing,
        Look::Unusable => Figure::Unusable,
    }
}

pub(super) fn years_before(days: f64, years: i32) -> Figure {
    use crate::facts::value::{date_of_days, days_of_date};
    let earlier = date_of_days(days).and_then(|date| date.checked_sub(jiff::Span::new().years(years)).ok());
    earlier.map_or(Figure::Unusable, |date| Figure::Known(days_of_date(date)))
}
