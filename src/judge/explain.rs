//! Why a statement holds or not: the smallest comparison that decided, its values and the margin.
//!
//! The tree tells it, so an explanation can never drift from the rule. Of several comparisons that
//! fail together the worst is told; of several that were offered as alternatives, the nearest.

use crate::facts::fact::Fact;
use crate::facts::field::{Field, FieldSet, Scope};
use crate::facts::value::date_of_days;
use crate::facts::value::{BILLION, Dimension, Kind, Unit, Value, plain_text};
use crate::judge::case::{Case, Look};
use crate::judge::eval::{Figure, ends, figure, operand, truth};
use crate::judge::package::{follows_from, to_blame};
use crate::judge::truth::Truth;
use crate::rules::program::{Bounds, Number, Operand, Order, Test};
use crate::trade::bolt_circle::Drilling;
use crate::trade::load_range::LoadRange;
use crate::trade::quantity::Length;

/// A value as people and machines read it.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// In words: the supplier's own text where there is one.
    pub text: String,
    /// As a figure in [`Shown::unit`], where it is a number.
    pub number: Option<f64>,
    /// The unit of the figure, where it has one.
    pub unit: Option<Unit>,
}

/// How far a value is from what was required.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distance {
    /// In base units; never negative.
    pub base: f64,
    /// What it measures.
    pub dimension: Dimension,
    /// The unit outputs give it in, where it has one.
    pub unit: Option<Unit>,
    /// The supplier's own unit, where that is another.
    pub own_unit: Option<Unit>,
    /// Which way it is off.
    pub side: Side,
}

/// Which way a value is off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Below what is required at least.
    Short,
    /// Above what is allowed at most.
    Over,
    /// Away from the one value that fits.
    Off,
    /// Inside, by this much.
    Inside,
    /// Beyond the limit, but by no more than the rule allows.
    Allowed,
}

/// The comparison that decided.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// The fact of the part or the package that decided.
    pub field: Field,
    /// Its value.
    pub measured: Shown,
    /// How it had to stand: `>=`, `<=`, `==`, `in`, `has any`, ...
    pub test: &'static str,
    /// What it had to meet.
    pub required: Shown,
    /// By how much it missed, or what room is left; none where there is no figure.
    pub distance: Option<Distance>,
    /// All facts of the part that the comparison read.
    pub reads: FieldSet,
    /// The distance as a share of what was required, to weigh one comparison against another.
    weight: f64,
}

/// What decided a statement that is true or false; none where no fact of the part did.
#[must_use]
pub fn evidence(test: &Test, case: Case<'_>) -> Option<Evidence> {
    match truth(test, case) {
        Truth::True => deciding(test, case, true),
        Truth::False => deciding(test, case, false),
        Truth::Unknown => None,
    }
}

/// Every comparison that fails on its own in a false statement, in the order of the rule.
#[must_use]
pub fn all_failing(test: &Test, case: Case<'_>) -> Vec<Evidence> {
    match test {
        Test::And(tests) => tests.iter().flat_map(|test| all_failing(test, case)).collect(),
        _ if truth(test, case) == Truth::False => evidence(test, case).into_iter().collect(),
        _ => Vec::new(),
    }
}

/// The part's facts that keep a statement unknown.
#[must_use]
pub fn unknown_facts(test: &Test, case: Case<'_>) -> FieldSet {
    if truth(test, case) != Truth::Unknown {
        return FieldSet::EMPTY;
    }
    match test {
        Test::And(tests) | Test::Or(tests) => {
            tests.iter().fold(FieldSet::EMPTY, |set, test| set.union(unknown_facts(test, case)))
        }
        Test::Not(test) => unknown_facts(test, case),
        Test::Compare { left, right, .. } => unknown_in(left, case).union(unknown_in(right, case)),
        Test::Inside { number, bounds, .. } => match bounds {
            Bounds::Fact(_) => unknown_in(number, case),
            Bounds::Between(from, to) => {
                unknown_in(number, case).union(unknown_in(from, case)).union(unknown_in(to, case))
            }
        },
        Test::Flag(_) | Test::Same(..) | Test::OneOf(..) | Test::HasAny(..) | Test::Drilled { .. } => {
            let unknown: FieldSet = of_part(test.reads()).filter(|field| !known(*field, case)).collect();
            // All known and yet unknown: a seat without its size, say.
            if unknown.is_empty() { of_part(test.reads()).collect() } else { unknown }
        }
    }
}

fn known(field: Field, case: Case<'_>) -> bool {
    matches!(case.look(field), Look::Known(_))
}

/// The part's facts that keep a number unknown. A stand-in counts only where it was turned to.
fn unknown_in(number: &Number, case: Case<'_>) -> FieldSet {
    if matches!(figure(number, case), Figure::Known(_)) {
        return FieldSet::EMPTY;
    }
    match number {
        Number::Else(first, second) => match figure(first, case) {
            Figure::Missing => unknown_in(first, case).union(unknown_in(second, case)),
            Figure::Known(_) | Figure::Unusable => unknown_in(first, case),
        },
        Number::Sum(left, right)
        | Number::Difference(left, right)
        | Number::Product(left, right)
        | Number::Quotient(left, right)
        | Number::Lesser(left, right)
        | Number::Greater(left, right) => unknown_in(left, case).union(unknown_in(right, case)),
        Number::Negative(inner) | Number::Absolute(inner) | Number::YearsBefore(inner, _) => {
            unknown_in(inner, case)
        }
        // The load index may be known and stand in no table.
        Number::LoadOfIndex(inner) => of_part(inner.reads()).collect(),
        Number::Fact(field) if field.scope() == Scope::Package => to_blame(*field, case),
        Number::Constant(_)
        | Number::Fact(_)
        | Number::DesignDiameter(_)
        | Number::RimOfSize(_)
        | Number::ThreadDiameter(_)
        | Number::ThreadPitch(_) => of_part(number.reads()).collect(),
    }
}

/// The facts of the parts; those of a package by what they follow from.
fn of_part(set: FieldSet) -> impl Iterator<Item = Field> {
    let package = set.intersection(FieldSet::of_scope(Scope::Package));
    let set = package.iter().fold(set, |all, field| all.union(follows_from(field)));
    set.iter().filter(|field| matches!(field.scope(), Scope::Wheel | Scope::Tire))
}

/// Whether a fact is one of what is judged, and not of what it is judged by.
fn is_judged(field: Field) -> bool {
    !matches!(field.scope(), Scope::Van | Scope::Run)
}

fn deciding(test: &Test, case: Case<'_>, holds: bool) -> Option<Evidence> {
    let wanted = Truth::from(holds);
    let of = |tests: &[Test]| -> Vec<Evidence> {
        tests
            .iter()
            .filter(|test| truth(test, case) == wanted)
            .filter_map(|test| deciding(test, case, holds))
            .collect()
    };
    match (test, holds) {
        // A true `and`, like a false `or`, has every branch decided: the tightest, or nearest, tells.
        (Test::And(tests), true) | (Test::Or(tests), false) => least_weight(of(tests)),
        (Test::And(tests), false) => most_weight(of(tests)),
        (Test::Or(tests), true) => most_weight(of(tests)),
        (Test::Not(test), _) => deciding(test, case, !holds).map(turned),
        (Test::Compare { order, left, right, dimension, .. }, _) => {
            compared(*order, left, right, *dimension, case, holds)
        }
        (Test::Inside { number, bounds, dimension }, _) => inside(number, bounds, *dimension, case, holds),
        (Test::Same(left, right), _) => matched(left, right, "==", case),
        (Test::OneOf(word, list), _) => matched(word, list, "in", case),
        (Test::HasAny(list, wanted), _) => matched(list, wanted, "has any", case),
        (Test::Drilled { drillings, wanted, .. }, _) => drilled(drillings, wanted, case, holds),
        (Test::Flag(field), _) => {
            let shown = |flag: bool| Shown { text: yes_no(flag).to_owned(), number: None, unit: None };
            let evidence = Evidence {
                field: *field,
                measured: shown(holds),
                test: "==",
                required: shown(true),
                distance: None,
                reads: [*field].into_iter().collect(),
                weight: 1.0,
            };
            (field.scope() != Scope::Van).then_some(evidence)
        }
    }
}

fn least_weight(found: Vec<Evidence>) -> Option<Evidence> {
    found.into_iter().reduce(|best, next| if next.weight < best.weight { next } else { best })
}

fn most_weight(found: Vec<Evidence>) -> Option<Evidence> {
    found.into_iter().reduce(|best, next| if next.weight > best.weight { next } else { best })
}

/// The evidence of a negated comparison.
fn turned(evidence: Evidence) -> Evidence {
    // A yes-or-no fact that must not be yes must be no.
    if evidence.field.kind() == Kind::Flag {
        let required = Shown { text: yes_no(false).to_owned(), ..evidence.required };
        return Evidence { required, ..evidence };
    }
    let test = match evidence.test {
        "==" => "!=",
        "!=" => "==",
        ">=" => "<",
        "<=" => ">",
        ">" => "<=",
        "<" => ">=",
        "in" => "not in",
        "has any" => "has none of",
        other => other,
    };
    Evidence { test, ..evidence }
}

fn compared(
    order: Order,
    left: &Number,
    right: &Number,
    dimension: Dimension,
    case: Case<'_>,
    holds: bool,
) -> Option<Evidence> {
    let (Figure::Known(left_figure), Figure::Known(right_figure)) = (figure(left, case), figure(right, case))
    else {
        return None;
    };
    let turned_order = |order| match order {
        Order::AtLeast => Order::AtMost,
        Order::AtMost => Order::AtLeast,
        Order::Above => Order::Below,
        Order::Below => Order::Above,
        Order::Same => Order::Same,
    };
    // The side that holds a fact of the part is the measured one.
    let (order, measured, required, value, limit) = match subject(left, case) {
        Some(_) => (order, left, right, left_figure, right_figure),
        None => (turned_order(order), right, left, right_figure, left_figure),
    };
    let field = subject(measured, case)?;
    let reads = of_part(left.reads().union(right.reads())).collect();
    Some(weighed(
        Weighing { field, measured, value, limit, order, dimension, reads, required: Some(required) },
        case,
        holds,
    ))
}

fn inside(
    number: &Number,
    bounds: &Bounds,
    dimension: Dimension,
    case: Case<'_>,
    holds: bool,
) -> Option<Evidence> {
    let Figure::Known(value) = figure(number, case) else {
        return None;
    };
    let (from, to) = ends(bounds, case)?;
    let field = subject(number, case)?;
    // The end that is missed, or the nearer one.
    let low = if holds { value - from <= to - value } else { value < from };
    let (order, limit) = if low { (Order::AtLeast, from) } else { (Order::AtMost, to) };
    let reads = of_part(number.reads()).collect();
    Some(weighed(
        Weighing { field, measured: number, value, limit, order, dimension, reads, required: None },
        case,
        holds,
    ))
}

#[derive(Clone, Copy)]
struct Weighing<'t> {
    field: Field,
    measured: &'t Number,
    value: f64,
    limit: f64,
    order: Order,
    dimension: Dimension,
    reads: FieldSet,
    required: Option<&'t Number>,
}

fn weighed(weighing: Weighing<'_>, case: Case<'_>, holds: bool) -> Evidence {
    let Weighing { field, measured, value, limit, order, dimension, reads, required } = weighing;
    let bare = bare_fact(measured, case);
    // A sum is in the field's unit only where it measures the same: a share of a length is a share.
    let unit = match field.kind() {
        Kind::Quantity(own) if own == dimension => field.unit().or(Unit::of(dimension)),
        _ if dimension == Dimension::Plain => Some(Unit::Percent).filter(|_| is_share(required)),
        _ => Unit::of(dimension),
    };
    let own_unit =
        bare.and_then(|fact| fact.unit).filter(|own| Some(*own) != unit && own.dimension() == dimension);
    let measured_text = match bare {
        Some(fact) if !fact.text.is_empty() => fact.text.to_string(),
        _ => show(value, dimension, unit),
    };
    let test = match order {
        Order::AtLeast => ">=",
        Order::AtMost => "<=",
        Order::Above => ">",
        Order::Below => "<",
        Order::Same => "==",
    };
    let base = (value - limit).abs();
    let side = match order {
        Order::AtLeast | Order::Above if holds && value < limit => Side::Allowed,
        Order::AtMost | Order::Below if holds && value > limit => Side::Allowed,
        _ if holds => Side::Inside,
        Order::AtLeast | Order::Above => Side::Short,
        Order::AtMost | Order::Below => Side::Over,
        Order::Same => Side::Off,
    };
    let has_distance = !(holds && order == Order::Same) && dimension != Dimension::Day;
    Evidence {
        field,
        measured: Shown { text: measured_text, number: Some(in_unit(value, dimension, unit)), unit },
        test,
        required: Shown {
            text: show(limit, dimension, unit),
            number: Some(in_unit(limit, dimension, unit)),
            unit,
        },
        distance: has_distance.then_some(Distance { base, dimension, unit, own_unit, side }),
        reads,
        weight: if limit == 0.0 { base / BILLION } else { base / limit.abs() },
    }
}

/// Whether a limit is a percentage rather than a count.
fn is_share(required: Option<&Number>) -> bool {
    match required {
        Some(Number::Fact(field)) => field.unit() == Some(Unit::Percent),
        Some(Number::Constant(count)) => count.abs() < BILLION,
        _ => false,
    }
}

/// The part's fact that a number rests on; of a stand-in pair, the one used.
fn subject(number: &Number, case: Case<'_>) -> Option<Field> {
    match number {
        Number::Else(first, second) => match figure(first, case) {
            Figure::Missing => subject(second, case).or_else(|| subject(first, case)),
            Figure::Known(_) | Figure::Unusable => subject(first, case).or_else(|| subject(second, case)),
        },
        Number::Sum(left, right)
        | Number::Difference(left, right)
        | Number::Product(left, right)
        | Number::Quotient(left, right)
        | Number::Lesser(left, right)
        | Number::Greater(left, right) => subject(left, case).or_else(|| subject(right, case)),
        Number::Negative(inner)
        | Number::Absolute(inner)
        | Number::LoadOfIndex(inner)
        | Number::YearsBefore(inner, _) => subject(inner, case),
        Number::Constant(_) => None,
        Number::Fact(field)
        | Number::DesignDiameter(field)
        | Number::RimOfSize(field)
        | Number::ThreadDiameter(field)
        | Number::ThreadPitch(field) => Some(*field).filter(|field| is_judged(*field)),
    }
}

/// The fact a number is, where it is nothing but one fact of the part.
fn bare_fact<'c>(number: &Number, case: Case<'c>) -> Option<&'c Fact> {
    match number {
        Number::Fact(field) => case.fact(*field),
        Number::Else(first, second) => match figure(first, case) {
            Figure::Missing => bare_fact(second, case),
            Figure::Known(_) | Figure::Unusable => bare_fact(first, case),
        },
        _ => None,
    }
}

fn matched(left: &Operand, right: &Operand, test: &'static str, case: Case<'_>) -> Option<Evidence> {
    let part_fact = |operand: &Operand| match operand {
        Operand::Fact(field) if is_judged(*field) => Some(*field),
        Operand::Fact(_) | Operand::Constant(_) => None,
    };
    let (field, other) = match (part_fact(left), part_fact(right)) {
        (Some(field), _) => (field, right),
        (None, Some(field)) => (field, left),
        (None, None) => return None,
    };
    let measured = match case.fact(field) {
        Some(fact) if !fact.text.is_empty() => fact.text.to_string(),
        Some(fact) => fact.value().map_or_else(String::new, show_value),
        None => String::new(),
    };
    let required = operand(other, case).map_or_else(String::new, show_value);
    let shown = |text| Shown { text, number: None, unit: None };
    Some(Evidence {
        field,
        measured: shown(measured),
        test,
        required: shown(required),
        distance: None,
        reads: [part_fact(left), part_fact(right)].into_iter().flatten().collect(),
        weight: 1.0,
    })
}

fn drilled(drillings: &Operand, wanted: &Operand, case: Case<'_>, holds: bool) -> Option<Evidence> {
    let Operand::Fact(field) = drillings else {
        return None;
    };
    let (Some(Value::Drillings(have)), Some(Value::Drillings(want))) =
        (operand(drillings, case), operand(wanted, case))
    else {
        return None;
    };
    let want = want.first()?;
    // The nearest drilling: the same count before all, then the nearer circle.
    let away = |one: &Drilling| (one.circle - want.circle).abs().base();
    let nearest = have.iter().min_by(|a, b| {
        (a.holes != want.holes, away(a))
            .partial_cmp(&(b.holes != want.holes, away(b)))
            .unwrap_or(std::cmp::Ordering::Equal)
    })?;
    let same_count = nearest.holes == want.holes;
    let shown = |circle: Length, text: String| Shown {
        text,
        number: Some(in_unit(circle.base(), Dimension::Length, Some(Unit::Mm))),
        unit: Some(Unit::Mm),
    };
    let text = case.fact(*field).map(|fact| fact.text.to_string()).filter(|text| !text.is_empty());
    Some(Evidence {
        field: *field,
        measured: shown(nearest.circle, text.unwrap_or_else(|| show_value(&Value::Drillings(have.clone())))),
        test: "==",
        required: shown(want.circle, want.to_string()),
        distance: (same_count && !holds).then_some(Distance {
            base: away(nearest),
            dimension: Dimension::Length,
            unit: Some(Unit::Mm),
            own_unit: None,
            side: Side::Off,
        }),
        reads: [*field].into_iter().collect(),
        weight: if same_count { away(nearest) / want.circle.base() } else { 1.0 },
    })
}

/// A count of base units as a figure in a unit, without the noise of the last digits.
#[must_use]
pub fn in_unit(base: f64, dimension: Dimension, unit: Option<Unit>) -> f64 {
    let figure = match unit {
        Some(unit) => base / unit.factor(),
        None if dimension == Dimension::Plain => base / BILLION,
        None => base,
    };
    (figure * 1e4).round() / 1e4
}

/// A number as people read it.
#[must_use]
pub fn show(base: f64, dimension: Dimension, unit: Option<Unit>) -> String {
    match (dimension, unit) {
        (Dimension::Day, _) => date_of_days(base).map_or_else(String::new, |date| date.to_string()),
        (Dimension::Ply, _) => show_ply(base),
        (_, Some(unit)) => unit.show(base),
        (_, None) => plain_text(in_unit(base, dimension, None)),
    }
}

/// A ply rating by the load range it stands for, which is what sheets and vans write.
fn show_ply(ply: f64) -> String {
    let range = LoadRange::from_ply(ply as u8);
    range.map_or_else(
        || format!("{} ply", plain_text(ply)),
        |range| format!("{} ({} ply)", range.letter(), plain_text(ply)),
    )
}

/// Yes or no, in words.
#[must_use]
pub fn yes_no(flag: bool) -> &'static str {
    if flag { "yes" } else { "no" }
}

/// A value that is no number, as people read it; numbers need their field's unit.
#[must_use]
pub fn show_value(value: &Value) -> String {
    match value {
        Value::Number(count) => plain_text(*count),
        Value::Window { from, to } => format!("{} to {}", plain_text(*from), plain_text(*to)),
        Value::Flag(flag) => yes_no(*flag).to_owned(),
        Value::Word(word) => word.to_string(),
        Value::Words(words) => words.iter().map(AsRef::as_ref).collect::<Vec<_>>().join(", "),
        Value::Drillings(drillings) => {
            drillings.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
        }
        Value::Seat(seat) => seat.to_string(),
        Value::Thread(thread) => thread.to_string(),
        Value::Size(size) => size.to_string(),
    }
}

/// A field's value as people read it, in the unit outputs give it in.
#[must_use]
pub fn show_field(field: Field, value: &Value) -> String {
    match (field.kind(), value) {
        (Kind::Quantity(dimension), Value::Number(count)) => show(*count, dimension, field.unit()),
        (Kind::Window(dimension), Value::Window { from, to }) => {
            format!("{} to {}", show(*from, dimension, field.unit()), show(*to, dimension, field.unit()))
        }
        _ => show_value(value),
    }
}
