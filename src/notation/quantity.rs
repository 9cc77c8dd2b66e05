//! Lengths, masses and pressures as cells state them, with or without a unit.
//!
//! The cell's own unit beats the heading's. A bare length is taken in the only unit its bounds
//! allow; a bare mass or pressure is never given a unit.

use std::ops::Range;

use super::Unread;
use super::number::{DecimalMark, Number, NumberFrom, Spaces, number};
use super::text::{Scanner, says_nothing};
pub use super::unit::{LengthUnit, MassUnit, PressureUnit, QuantityUnit, Unit};
use super::unit::{mark_unit, unit};
use crate::trade::bounds::Bounds;
use crate::trade::quantity::{Length, Mass, Pressure};

/// Where the unit of a reading was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum UnitFrom {
    /// The cell states it.
    Cell,
    /// The heading, or the supplier's profile, states it.
    Heading,
    /// No other unit makes the figure a possible one.
    OnlyPossible,
    /// The trade states this fact in one unit: rim sizes in inches, `ET` in millimeters.
    Convention,
}

/// A quantity read from a cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading<U: QuantityUnit> {
    /// The quantity.
    pub value: U::Quantity,
    /// The unit written, or taken.
    pub unit: U,
    /// Where the unit was found.
    pub unit_from: UnitFrom,
    /// How the number came to have its value.
    pub number_from: NumberFrom,
    /// The bytes of the cell's text that say it.
    pub span: Range<usize>,
}

/// A number and the unit beside it, as written.
#[derive(Clone, Copy)]
struct Stated<U> {
    number: Number,
    unit: Option<U>,
    start: usize,
    end: usize,
}

/// The most figures one cell may hold: two loads, each in two units.
const MOST_FIGURES: usize = 4;

/// Words before a figure that change nothing.
const LEADS: &[&str] = &[
    "ø", "max", "maximum", "maxi", "load", "single", "dual", "twin", "up to", "bis", "jusqu'a", "hasta",
    "fino a", "tot",
];
/// Words after a figure that change nothing.
const TRAILS: &[&str] = &[
    "max",
    "maximum",
    "each",
    "ea",
    "per wheel",
    "per tire",
    "per tyre",
    "pro rad",
    "je rad",
    "par roue",
    "por rueda",
    "per ruota",
    "per wiel",
    "cold",
    "single",
    "dual",
    "twin",
    "dia",
    "diameter",
];

/// Moves over any of the phrases, with the spaces and full stops about them.
fn skip_phrases(scanner: &mut Scanner<'_>, phrases: &[&str]) {
    loop {
        let mut probe = *scanner;
        probe.skip_spaces();
        // Mostly the figure itself, or nothing more.
        if matches!(probe.peek(), None | Some('0'..='9')) || probe.eat_any(phrases).is_none() {
            return;
        }
        if matches!(probe.peek(), Some('.' | ':')) {
            probe.bump();
        }
        *scanner = probe;
    }
}

/// The figures of a cell in the order written, and how many there are.
type Figures<U> = ([Option<Stated<U>>; MOST_FIGURES], usize);

/// Takes a cell apart into its figures.
fn figures<U: QuantityUnit>(text: &str) -> Result<Figures<U>, Unread> {
    let mut scanner = Scanner::new(text);
    let mut found = [const { None }; MOST_FIGURES];
    let mut count = 0;
    loop {
        skip_phrases(&mut scanner, LEADS);
        scanner.skip_spaces();
        let start = scanner.at();
        let number = number(&mut scanner, Spaces::Group).ok_or(Unread::NotUnderstood)?;
        let number = sixteenths(&mut scanner, number);
        let unit = unit::<U>(&mut scanner)?;
        let slot = found.get_mut(count).ok_or(Unread::NotUnderstood)?;
        *slot = Some(Stated { number, unit, start, end: scanner.at() });
        count += 1;
        skip_phrases(&mut scanner, TRAILS);
        reference_pressure::<U>(&mut scanner);
        while scanner.eat_spaced(')') || scanner.eat_spaced(']') {}
        if scanner.at_end() {
            return Ok((found, count));
        }
        scanner.skip_spaces();
        match scanner.peek() {
            Some('/' | '(' | '[' | '&' | ';' | '=' | '|') => {
                scanner.bump();
                // "/ (3197 lb)"
                while scanner.eat_spaced('(') {}
            }
            Some(',') if unit.is_some() => {
                scanner.bump();
            }
            Some(c) if c.is_ascii_digit() && unit.is_some() => {}
            _ => return Err(Unread::NotUnderstood),
        }
    }
}

/// Moves over `1/2`, `-1/2` or ` 3/8` after a whole number and adds it.
pub(super) fn sixteenths(scanner: &mut Scanner<'_>, whole: Number) -> Number {
    let Number::One { value, evidence: None } = whole else {
        return whole;
    };
    let mut probe = *scanner;
    if !probe.skip_spaces() && !probe.eat('-') {
        return whole;
    }
    let Some((top, _)) = probe.digits() else {
        return whole;
    };
    if !probe.eat('/') {
        return whole;
    }
    match probe.digits() {
        Some((bottom @ (2 | 4 | 8 | 16 | 32), _)) if top > 0 && top < bottom && value < 100.0 => {
            *scanner = probe;
            Number::One { value: value + f64::from(top) / f64::from(bottom), evidence: None }
        }
        _ => whole,
    }
}

/// Moves over `@ 80 psi` after a load: the pressure at which the load holds.
fn reference_pressure<U: QuantityUnit>(scanner: &mut Scanner<'_>) {
    let mut probe = *scanner;
    probe.skip_spaces();
    let stated = probe.eat('@') || probe.eat_word("at") || probe.eat_word("bei");
    if !stated || mark_unit::<U>("lb").is_none() {
        return;
    }
    probe.skip_spaces();
    if number(&mut probe, Spaces::End).is_some() && matches!(unit::<PressureUnit>(&mut probe), Ok(Some(_))) {
        skip_phrases(&mut probe, TRAILS);
        *scanner = probe;
    }
}

/// Gives a figure its value and unit.
fn settle<U: QuantityUnit>(
    stated: Stated<U>,
    hint: Option<U>,
    bounds: &Bounds<U::Quantity>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<U>, Unread> {
    let span = stated.start..stated.end;
    let known = match (stated.unit, hint) {
        (Some(unit), _) => Some((unit, UnitFrom::Cell)),
        (None, Some(unit)) => Some((unit, UnitFrom::Heading)),
        (None, None) => None,
    };
    if let Some((unit, unit_from)) = known {
        let (count, number_from) = stated.number.resolve(decimal, |count| bounds.contains(unit.of(count)))?;
        return Ok(Reading { value: unit.of(count), unit, unit_from, number_from, span });
    }
    let mut only = None;
    for unit in U::INFERRED.iter().copied() {
        let possible = |count: f64| bounds.contains(unit.of(count));
        let read = match stated.number.resolve(decimal, possible) {
            Ok((count, number_from)) if possible(count) => (unit, count, number_from),
            // Neither reading is possible in this unit, so the other unit decides.
            Err(Unread::AmbiguousNumber) if !either_possible(stated.number, possible) => continue,
            Ok(_) => continue,
            Err(why) => return Err(why),
        };
        if only.replace(read).is_some() {
            return Err(Unread::UnitNotStated);
        }
    }
    let (unit, count, number_from) = only.ok_or(Unread::UnitNotStated)?;
    Ok(Reading { value: unit.of(count), unit, unit_from: UnitFrom::OnlyPossible, number_from, span })
}

fn either_possible(number: Number, possible: impl Fn(f64) -> bool) -> bool {
    match number {
        Number::One { value, .. } => possible(value),
        Number::TwoReadings { decimal, grouped, .. } => possible(decimal) || possible(grouped),
    }
}

/// Whether the cell names the load of twin tires. One figure beside such a word is no single load.
fn names_dual(text: &str) -> bool {
    // Hardly a figure has one of their first letters beside it.
    let plain = |byte: u8| byte.is_ascii() && !matches!(byte, b'd' | b'D' | b't' | b'T');
    if text.bytes().all(plain) {
        return false;
    }
    let mut scanner = Scanner::new(text);
    while scanner.peek().is_some() {
        if scanner.before().is_none_or(|c| !c.is_alphabetic()) && scanner.eat_any(&["dual", "twin"]).is_some()
        {
            return true;
        }
        scanner.bump();
    }
    false
}

/// Two statements of one quantity in two units may differ by this share, for rounding.
const AGREEMENT: f64 = 0.01;

/// The first of two readings if both say the same.
fn agreed<U: QuantityUnit>(mut first: Reading<U>, second: &Reading<U>) -> Result<Reading<U>, Unread> {
    if U::apart(first.value, second.value) <= AGREEMENT
        && (first.unit != second.unit || first.value == second.value)
    {
        first.span.end = second.span.end;
        Ok(first)
    } else {
        Err(Unread::TwoMeanings)
    }
}

fn read<U: QuantityUnit>(
    text: &str,
    hint: Option<U>,
    bounds: &Bounds<U::Quantity>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<U>, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let (found, count) = figures::<U>(text)?;
    if names_dual(text) {
        return Err(Unread::NotUnderstood);
    }
    match (count, found) {
        (1, [Some(first), ..]) => settle(first, hint, bounds, decimal),
        (2, [Some(first), Some(second), ..]) => {
            if first.unit.is_none() || second.unit.is_none() {
                return Err(Unread::TwoMeanings);
            }
            agreed(settle(first, hint, bounds, decimal)?, &settle(second, hint, bounds, decimal)?)
        }
        _ => Err(Unread::TwoMeanings),
    }
}

/// Reads one length: `84.1`, `84,1 mm`, `5 1/2"`, `790 mm (31.1 in)`.
///
/// # Errors
///
/// The reason, [`Unread::UnitNotStated`] where neither cell, `hint` nor `bounds` settle the unit.
pub fn length(
    text: &str,
    hint: Option<LengthUnit>,
    bounds: &Bounds<Length>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<LengthUnit>, Unread> {
    read(text, hint, bounds, decimal)
}

/// Reads one mass: `3,200 lb`, `1450kg`, `3200#`, `1450 kg / 3197 lb`.
///
/// # Errors
///
/// The reason, [`Unread::UnitNotStated`] where neither the cell nor `hint` states a unit.
pub fn mass(
    text: &str,
    hint: Option<MassUnit>,
    bounds: &Bounds<Mass>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<MassUnit>, Unread> {
    read(text, hint, bounds, decimal)
}

/// Reads one pressure: `80 psi`, `550kPa`, `5,5 bar`, `80 psi (550 kPa)`.
///
/// # Errors
///
/// The reason, [`Unread::UnitNotStated`] where neither the cell nor `hint` states a unit.
pub fn pressure(
    text: &str,
    hint: Option<PressureUnit>,
    bounds: &Bounds<Pressure>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<PressureUnit>, Unread> {
    read(text, hint, bounds, decimal)
}

/// A load for a single tire and, where stated, for each of twin tires.
#[derive(Clone, Debug, PartialEq)]
pub struct MassPair {
    /// The load of a tire running alone.
    pub single: Reading<MassUnit>,
    /// The load of each tire of a twin pair; never above the single load.
    pub dual: Option<Reading<MassUnit>>,
}

/// Reads a tire's load, single or single and dual: `1250 kg`, `1250/1180 kg`,
/// `2756 lb / 2601 lb`, `1250/1180 kg (2756/2601 lb)`, `2756 lb @ 80 psi`.
///
/// # Errors
///
/// As [`mass`]; [`Unread::TwoMeanings`] where the second load is above the first or the units
/// disagree.
pub fn mass_pair(
    text: &str,
    hint: Option<MassUnit>,
    bounds: &Bounds<Mass>,
    decimal: Option<DecimalMark>,
) -> Result<MassPair, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let (mut found, count) = figures::<MassUnit>(text)?;
    // In "1250/1180 kg" the unit stands once, at the end.
    let mut later = None;
    for stated in found.iter_mut().rev().flatten() {
        stated.unit = stated.unit.or(later);
        later = stated.unit;
    }
    let settle = |stated: Stated<MassUnit>| settle(stated, hint, bounds, decimal);
    let pair = |single: Reading<MassUnit>, dual: Reading<MassUnit>| {
        if dual.value > single.value {
            return Err(Unread::TwoMeanings);
        }
        Ok(MassPair { single, dual: Some(dual) })
    };
    match (count, found) {
        (1, _) if names_dual(text) => Err(Unread::NotUnderstood),
        (1, [Some(only), ..]) => Ok(MassPair { single: settle(only)?, dual: None }),
        (2, [Some(a), Some(b), ..]) if a.unit == b.unit => pair(settle(a)?, settle(b)?),
        (2, [Some(a), Some(b), ..]) => Ok(MassPair { single: agreed(settle(a)?, &settle(b)?)?, dual: None }),
        (4, [Some(a), Some(b), Some(c), Some(d)]) => {
            let (a, b, c, d) = (settle(a)?, settle(b)?, settle(c)?, settle(d)?);
            if a.unit == b.unit && c.unit == d.unit && a.unit != c.unit {
                pair(agreed(a, &c)?, agreed(b, &d)?)
            } else if a.unit == c.unit && b.unit == d.unit && a.unit != b.unit {
                pair(agreed(a, &b)?, agreed(c, &d)?)
            } else {
                Err(Unread::TwoMeanings)
            }
        }
        _ => Err(Unread::TwoMeanings),
    }
}

/// Gives a number cell of a spreadsheet its unit, as [`length`] does for text.
///
/// # Errors
///
/// [`Unread::UnitNotStated`] where neither `hint` nor `bounds` settles the unit.
pub fn length_from_number(
    number: f64,
    hint: Option<LengthUnit>,
    bounds: &Bounds<Length>,
) -> Result<Reading<LengthUnit>, Unread> {
    from_number(number, hint, bounds)
}

/// Gives a number cell of a spreadsheet the heading's unit.
///
/// # Errors
///
/// [`Unread::UnitNotStated`] without `hint`.
pub fn mass_from_number(
    number: f64,
    hint: Option<MassUnit>,
    bounds: &Bounds<Mass>,
) -> Result<Reading<MassUnit>, Unread> {
    from_number(number, hint, bounds)
}

/// Gives a number cell of a spreadsheet the heading's unit.
///
/// # Errors
///
/// [`Unread::UnitNotStated`] without `hint`.
pub fn pressure_from_number(
    number: f64,
    hint: Option<PressureUnit>,
    bounds: &Bounds<Pressure>,
) -> Result<Reading<PressureUnit>, Unread> {
    from_number(number, hint, bounds)
}

fn from_number<U: QuantityUnit>(
    number: f64,
    hint: Option<U>,
    bounds: &Bounds<U::Quantity>,
) -> Result<Reading<U>, Unread> {
    if !number.is_finite() || number < 0.0 {
        return Err(Unread::NotUnderstood);
    }
    settle(
        Stated { number: Number::One { value: number, evidence: None }, unit: None, start: 0, end: 0 },
        hint,
        bounds,
        None,
    )
}

/// The ends of a range of lengths, least first.
#[derive(Clone, Debug, PartialEq)]
pub struct LengthRange {
    /// The least length.
    pub least: Reading<LengthUnit>,
    /// The greatest length.
    pub greatest: Reading<LengthUnit>,
}

/// Reads a range of lengths: `6.0-7.5`, `6.5 - 8.5 in`, `6½J to 8J`, `165 mm - 215 mm`.
///
/// # Errors
///
/// As [`length`]; [`Unread::NotUnderstood`] for a single figure, which may be the measuring rim
/// and not a range, and for ends in falling order.
pub fn length_range(
    text: &str,
    hint: Option<LengthUnit>,
    bounds: &Bounds<Length>,
    decimal: Option<DecimalMark>,
) -> Result<LengthRange, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    let least = range_end(&mut scanner)?;
    scanner.skip_spaces();
    if !scanner.eat('-') && !scanner.eat('/') && !scanner.eat('…') && !scanner.eat_text("..") {
        scanner
            .eat_any(&["to", "thru", "through", "bis", "a", "hasta", "tot"])
            .ok_or(Unread::NotUnderstood)?;
    }
    let greatest = range_end(&mut scanner)?;
    if !scanner.at_end() {
        return Err(Unread::NotUnderstood);
    }
    let shared = least.unit.or(greatest.unit);
    let least = settle(Stated { unit: shared, ..least }, hint, bounds, decimal)?;
    let greatest = settle(Stated { unit: greatest.unit.or(shared), ..greatest }, hint, bounds, decimal)?;
    if least.value > greatest.value {
        return Err(Unread::NotUnderstood);
    }
    Ok(LengthRange { least, greatest })
}

/// One end of a range; `J`, the usual rim contour, marks a rim width and so inches.
fn range_end(scanner: &mut Scanner<'_>) -> Result<Stated<LengthUnit>, Unread> {
    scanner.skip_spaces();
    let start = scanner.at();
    let number = number(scanner, Spaces::End).ok_or(Unread::NotUnderstood)?;
    let unit = match unit(scanner)? {
        None if scanner.eat_word("jj") || scanner.eat_word("jk") || scanner.eat_word("j") => {
            Some(LengthUnit::Inch)
        }
        found => found,
    };
    Ok(Stated { number, unit, start, end: scanner.at() })
}
