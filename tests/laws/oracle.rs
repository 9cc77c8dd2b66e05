//! A second evaluator, written from the contract: it walks the tree in whole numbers of any length.
//!
//! Shares no code with `rimsieve::judge::eval` or the checker. A missing fact and one that cannot be
//! used are told apart only where one stands in for another: a stand-in serves an empty cell alone.

use std::collections::BTreeMap;

use rimsieve::facts::{Field, Kind, Unit, Value};
use rimsieve::rules::tree::{Arithmetic, Comparison, Expr, Node};
use rimsieve::trade::load_index;

use crate::trees::SPELT;

/// Whole numbers are exact up to here in the program; beyond, nothing is promised.
const EXACT: i128 = 1 << 53;
const BILLION: i128 = 1_000_000_000;

/// The case lies beyond what the program promises to be exact in: a number above 2^53 base units, or
/// a product or quotient so near to half a unit that a double cannot tell which way to round.
#[derive(Debug)]
pub(crate) struct Beyond;

/// A result within what is exact.
pub(crate) type Known<T> = Result<T, Beyond>;

/// A number of base units, or why there is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Figure {
    /// This many.
    Known(i128),
    /// A fact is stated nowhere.
    Missing,
    /// A fact cannot be used, or nothing can be worked out.
    Unusable,
}

#[derive(Debug, PartialEq)]
enum Thing {
    Flag(bool),
    Word(String),
    Words(Vec<String>),
    Drillings(Vec<(u8, i128)>),
    Seat(String, Option<String>),
    Other(String),
}

/// Evaluates trees over named facts: absent is missing, `None` is stated but not usable.
pub(crate) struct Oracle<'n> {
    /// The facts by full name.
    pub(crate) named: &'n BTreeMap<String, Option<Value>>,
}

fn within(number: i128) -> Known<Figure> {
    if number.abs() > EXACT { Err(Beyond) } else { Ok(Figure::Known(number)) }
}

/// The nearest whole number, halves away from zero.
fn rounded(mut number: i128, mut divisor: i128) -> Known<i128> {
    if divisor < 0 {
        (number, divisor) = (-number, -divisor);
    }
    let (whole, rest) = (number.abs() / divisor, number.abs() % divisor);
    let off_half = (2 * rest - divisor).abs();
    let exact = number as f64 as i128 == number;
    let clear_half = off_half == 0 && exact && whole < EXACT / 2;
    if !clear_half && off_half.checked_mul(1 << 51).ok_or(Beyond)? <= 2 * divisor * whole {
        return Err(Beyond);
    }
    Ok((whole + i128::from(2 * rest >= divisor)) * number.signum())
}

/// A figure of the expression in base units: its decimal digits times the unit, rounded once.
fn written(count: f64, unit: Option<Unit>) -> Known<i128> {
    // International pound, inch and mile; the psi to the digits that the program keeps.
    let (factor, divisor): (i128, i128) = match unit {
        None => (BILLION, 1),
        Some(Unit::Mm | Unit::KmH) => (1_000_000, 1),
        Some(Unit::Cm | Unit::Percent) => (10_000_000, 1),
        Some(Unit::Inch) => (25_400_000, 1),
        Some(Unit::Kg) => (BILLION, 1),
        Some(Unit::Tonne) => (1000 * BILLION, 1),
        Some(Unit::Lb) => (453_592_370, 1),
        Some(Unit::KPa) => (1000, 1),
        Some(Unit::Psi) => (6_894_757_293_168, BILLION),
        Some(Unit::Bar) => (100_000, 1),
        Some(Unit::Mph) => (1_609_344, 1),
        Some(Unit::Ply) => (1, 1),
    };
    let text = count.to_string();
    let (whole, decimals) = text.split_once('.').unwrap_or((&text, ""));
    let digits: i128 = format!("{whole}{decimals}").parse().expect("a figure is digits");
    let scale = 10_i128.pow(u32::try_from(decimals.len()).expect("few decimals"));
    rounded(digits * factor, scale * divisor)
}

fn not(truth: Option<bool>) -> Option<bool> {
    truth.map(|holds| !holds)
}

impl Oracle<'_> {
    /// Whether a statement holds; `None` where that is not known.
    pub(crate) fn truth(&self, tree: &Expr) -> Known<Option<bool>> {
        match &tree.node {
            Node::Flag(flag) => Ok(Some(*flag)),
            Node::Name(name) => Ok(match self.named.get(name) {
                Some(Some(Value::Flag(flag))) => Some(*flag),
                _ => None,
            }),
            Node::Not(inner) => self.truth(inner).map(not),
            // Some false part decides an `and`, some true part an `or`; else one unknown part does.
            Node::And(items) => self.joined(items, false),
            Node::Or(items) => self.joined(items, true),
            Node::Compare { comparison, left, right, allowing } => {
                self.compare(*comparison, left, right, allowing.as_deref())
            }
            other => panic!("not a statement: {other:?}"),
        }
    }

    fn joined(&self, items: &[Expr], decides: bool) -> Known<Option<bool>> {
        let found = items.iter().map(|item| self.truth(item)).collect::<Known<Vec<_>>>()?;
        Ok(if found.contains(&Some(decides)) {
            Some(decides)
        } else if found.contains(&None) {
            None
        } else {
            Some(!decides)
        })
    }

    fn compare(
        &self,
        comparison: Comparison,
        left: &Expr,
        right: &Expr,
        allowing: Option<&Expr>,
    ) -> Known<Option<bool>> {
        match comparison {
            Comparison::In if is_number(left) => self.inside(left, right),
            Comparison::In => Ok(self.things(right, left, |list, word| match (list, word) {
                (Thing::Words(list), Thing::Word(word)) => Some(list.contains(&word)),
                _ => None,
            })),
            Comparison::Has | Comparison::HasAny => {
                let slack = match allowing.map(|allowing| self.number(allowing)).transpose()? {
                    Some(Figure::Known(slack)) => slack,
                    _ => 0,
                };
                Ok(self.things(left, right, |list, wanted| has(&list, &wanted, slack)))
            }
            Comparison::Same | Comparison::Differs if !is_number(left) && !is_number(right) => {
                let same = self.things(left, right, |left, right| same(&left, &right));
                Ok(if comparison == Comparison::Same { same } else { not(same) })
            }
            _ => {
                let (Figure::Known(left), Figure::Known(right)) = (self.number(left)?, self.number(right)?)
                else {
                    return Ok(None);
                };
                let slack = match allowing.map(|allowing| &allowing.node) {
                    None => 0,
                    Some(Node::Number { count, unit: unit @ Some(Unit::Percent) }) => {
                        rounded(right.abs() * written(*count, *unit)?, BILLION)?
                    }
                    Some(Node::Number { count, unit }) => written(*count, *unit)?,
                    Some(other) => panic!("not a fixed figure: {other:?}"),
                };
                let miss = left - right;
                Ok(Some(match comparison {
                    Comparison::AtLeast => miss >= -slack,
                    Comparison::AtMost => miss <= slack,
                    Comparison::Above => miss > -slack,
                    Comparison::Below => miss < slack,
                    Comparison::Same => miss.abs() <= slack,
                    _ => miss.abs() > slack,
                }))
            }
        }
    }

    fn inside(&self, number: &Expr, window: &Expr) -> Known<Option<bool>> {
        let ends = match &window.node {
            Node::List(ends) => match (self.number(&ends[0])?, self.number(&ends[1])?) {
                (Figure::Known(from), Figure::Known(to)) => Some((from, to)),
                _ => None,
            },
            Node::Name(name) => match self.named.get(name) {
                Some(Some(Value::Window { from, to })) => Some((whole(*from), whole(*to))),
                _ => None,
            },
            other => panic!("not a window: {other:?}"),
        };
        Ok(match (self.number(number)?, ends) {
            (Figure::Known(number), Some((from, to))) => Some(from <= number && number <= to),
            _ => None,
        })
    }

    /// The value of a number.
    pub(crate) fn number(&self, tree: &Expr) -> Known<Figure> {
        match &tree.node {
            Node::Number { count, unit } => within(written(*count, *unit)?),
            Node::Text(text) => {
                let found = SPELT.iter().find(|(spelt, ..)| spelt == text);
                within(found.unwrap_or_else(|| panic!("`{text}` is no number")).2)
            }
            Node::Name(name) => Ok(match self.named.get(name) {
                Some(Some(Value::Number(count))) => Figure::Known(whole(*count)),
                Some(_) => Figure::Unusable,
                None => Figure::Missing,
            }),
            Node::Negative(inner) => self.changed(inner, |number| -number),
            Node::Else(first, second) => match self.number(first)? {
                Figure::Missing => self.number(second),
                stated => {
                    // Also what is not used must lie within the promise, or the case says nothing.
                    self.number(second).map(|_| stated)
                }
            },
            Node::Arithmetic(operation, left, right) => {
                self.both(left, right, |left, right| match operation {
                    Arithmetic::Add => within(left + right),
                    Arithmetic::Subtract => within(left - right),
                    Arithmetic::Multiply => within(rounded(left * right, BILLION)?),
                    Arithmetic::Divide if right == 0 => Ok(Figure::Unusable),
                    Arithmetic::Divide => within(rounded(left * BILLION, right)?),
                })
            }
            Node::Call { name, arguments, .. } => self.call(name, arguments),
            other => panic!("not a number: {other:?}"),
        }
    }

    fn changed(&self, inner: &Expr, change: impl FnOnce(i128) -> i128) -> Known<Figure> {
        Ok(match self.number(inner)? {
            Figure::Known(number) => Figure::Known(change(number)),
            nothing => nothing,
        })
    }

    fn both(
        &self,
        left: &Expr,
        right: &Expr,
        combine: impl FnOnce(i128, i128) -> Known<Figure>,
    ) -> Known<Figure> {
        match (self.number(left)?, self.number(right)?) {
            (Figure::Known(left), Figure::Known(right)) => combine(left, right),
            (Figure::Unusable, _) | (_, Figure::Unusable) => Ok(Figure::Unusable),
            _ => Ok(Figure::Missing),
        }
    }

    fn call(&self, name: &str, arguments: &[Expr]) -> Known<Figure> {
        match (name, arguments) {
            ("abs", [inner]) => self.changed(inner, i128::abs),
            ("min", [left, right]) => {
                self.both(left, right, |left, right| Ok(Figure::Known(left.min(right))))
            }
            ("max", [left, right]) => {
                self.both(left, right, |left, right| Ok(Figure::Known(left.max(right))))
            }
            ("index_load", [index]) => Ok(match self.number(index)? {
                Figure::Known(index) if index % BILLION == 0 => u16::try_from(index / BILLION)
                    .ok()
                    .and_then(load_index::capacity)
                    .map_or(Figure::Unusable, |load| Figure::Known(whole(load.base()))),
                Figure::Known(_) => Figure::Unusable,
                nothing => nothing,
            }),
            ("years_before", [years, date]) => {
                let Node::Number { count, .. } = years.node else { panic!("not years: {years:?}") };
                Ok(match self.number(date)? {
                    // Calendars hold the years -9999 to 9999, and the program far less than four million days back.
                    Figure::Known(days) if (-4_000_000..=2_932_896).contains(&days) => {
                        Figure::Known(years_before(days, whole(count)))
                    }
                    Figure::Known(_) => Figure::Unusable,
                    nothing => nothing,
                })
            }
            (name, [fact]) => Ok(match self.value(fact) {
                None => Figure::Missing,
                Some(None) => Figure::Unusable,
                Some(Some(Value::Thread(thread))) if name == "diameter" => {
                    Figure::Known(whole(thread.diameter().base()))
                }
                Some(Some(Value::Thread(thread))) if name == "pitch" => {
                    Figure::Known(whole(thread.pitch().base()))
                }
                Some(Some(Value::Size(size))) if name == "rim_of" => {
                    Figure::Known(i128::from(size.rim().tenths()) * 2_540_000)
                }
                Some(Some(Value::Size(size))) if name == "design_diameter" => size
                    .design_diameter()
                    .map_or(Figure::Unusable, |diameter| Figure::Known(whole(diameter.base()))),
                Some(Some(other)) => panic!("{name}({other:?})"),
            }),
            _ => panic!("{name} of {} things", arguments.len()),
        }
    }

    fn value(&self, tree: &Expr) -> Option<Option<&Value>> {
        let Node::Name(name) = &tree.node else { panic!("not a fact: {tree}") };
        self.named.get(name).map(Option::as_ref)
    }

    /// Two values that are no numbers; not known unless both are.
    fn things(
        &self,
        left: &Expr,
        right: &Expr,
        test: impl FnOnce(Thing, Thing) -> Option<bool>,
    ) -> Option<bool> {
        let kind = [left, right].into_iter().find_map(fact_kind).expect("one side is a fact");
        test(self.thing(left, kind)?, self.thing(right, kind)?)
    }

    fn thing(&self, tree: &Expr, kind: Kind) -> Option<Thing> {
        Some(match &tree.node {
            Node::Flag(flag) => Thing::Flag(*flag),
            Node::Text(text) => match kind {
                Kind::Seat => seat(text),
                Kind::Drillings => Thing::Drillings(vec![drilling(text)]),
                Kind::Thread | Kind::Size => Thing::Other(text.clone()),
                _ => Thing::Word(text.clone()),
            },
            Node::List(items) => Thing::Words(
                items
                    .iter()
                    .map(|item| match &item.node {
                        Node::Text(text) => text.clone(),
                        other => panic!("not a word: {other:?}"),
                    })
                    .collect(),
            ),
            _ => match self.value(tree)?? {
                Value::Flag(flag) => Thing::Flag(*flag),
                Value::Word(word) => Thing::Word(word.to_string()),
                Value::Words(words) => Thing::Words(words.iter().map(ToString::to_string).collect()),
                Value::Seat(seat) => self::seat(&seat.to_string()),
                Value::Drillings(drillings) => Thing::Drillings(
                    drillings.iter().map(|one| (one.holes, whole(one.circle.base()))).collect(),
                ),
                Value::Thread(thread) => Thing::Other(thread.to_string()),
                Value::Size(size) => Thing::Other(size.to_string()),
                Value::Number(_) | Value::Window { .. } => panic!("a number: {tree}"),
            },
        })
    }
}

fn has(list: &Thing, wanted: &Thing, slack: i128) -> Option<bool> {
    Some(match (list, wanted) {
        (Thing::Words(list), Thing::Word(word)) => list.contains(word),
        (Thing::Words(list), Thing::Words(words)) => words.iter().any(|word| list.contains(word)),
        (Thing::Drillings(list), Thing::Drillings(wanted)) => wanted.iter().all(|(holes, circle)| {
            list.iter().any(|(found, other)| found == holes && (other - circle).abs() <= slack)
        }),
        other => panic!("{other:?}"),
    })
}

/// Seats: kind and size apart, and a size that is not stated is not known.
fn same(left: &Thing, right: &Thing) -> Option<bool> {
    match (left, right) {
        (Thing::Seat(kind, _), Thing::Seat(other, _)) if kind != other => Some(false),
        (Thing::Seat(kind, _), Thing::Seat(..)) if kind == "flat" || kind == "shank" => Some(true),
        (Thing::Seat(_, Some(size)), Thing::Seat(_, Some(other))) => Some(size == other),
        (Thing::Seat(..), Thing::Seat(..)) => None,
        (left, right) => Some(left == right),
    }
}

fn seat(text: &str) -> Thing {
    let (kind, size) =
        text.split_once(' ').map_or((text, None), |(kind, size)| (kind, Some(size.to_owned())));
    Thing::Seat(kind.to_owned(), size)
}

/// `6x139.7` as holes and nanometers, digit by digit.
fn drilling(text: &str) -> (u8, i128) {
    let (holes, circle) = text.split_once('x').expect("holes x circle");
    let (mm, rest) = circle.split_once('.').unwrap_or((circle, ""));
    let nanometers: i128 = format!("{mm}{rest:0<6}").parse().expect("digits");
    (holes.parse().expect("a count"), nanometers)
}

fn fact_kind(tree: &Expr) -> Option<Kind> {
    let Node::Name(name) = &tree.node else { return None };
    Field::from_full_name(name).map(Field::kind)
}

fn is_number(tree: &Expr) -> bool {
    match &tree.node {
        Node::Number { .. }
        | Node::Call { .. }
        | Node::Negative(_)
        | Node::Arithmetic(..)
        | Node::Else(..) => true,
        _ => matches!(fact_kind(tree), Some(Kind::Quantity(_))),
    }
}

/// A whole count as an integer.
pub(crate) fn whole(count: f64) -> i128 {
    assert!(count.fract() == 0.0, "{count} is no whole count");
    count as i128
}

/// That many calendar years earlier; 29 February gives way to the 28th. Days to dates and back by the
/// Gregorian cycle of 400 years, which has 146097 days.
fn years_before(days: i128, years: i128) -> i128 {
    const CYCLE: i128 = 146_097;
    let is_leap = |year: i128| year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let length = |year: i128, month: i128| match month {
        2 => 28 + i128::from(is_leap(year)),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    // Walk from 1 January 1970 within the cycle; slow and plain.
    let (cycle, mut rest) = (days.div_euclid(CYCLE), days.rem_euclid(CYCLE));
    let mut year = 1970 + 400 * cycle;
    while rest >= 365 + i128::from(is_leap(year)) {
        rest -= 365 + i128::from(is_leap(year));
        year += 1;
    }
    let mut month = 1;
    while rest >= length(year, month) {
        rest -= length(year, month);
        month += 1;
    }
    let earlier = year - years;
    let day = rest.min(length(earlier, month) - 1);
    let (cycle, mut from) = ((earlier - 1970).div_euclid(400), 1970);
    let mut found = cycle * CYCLE;
    while from < earlier - 400 * cycle {
        found += 365 + i128::from(is_leap(from));
        from += 1;
    }
    found + (1..month).map(|month| length(earlier, month)).sum::<i128>() + day
}
