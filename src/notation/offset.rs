//! Offsets: `ET38`, `+38`, `38mm`, `-12`, `S0`, `38 P`.

use super::Unread;
use super::number::{DecimalMark, Spaces, number};
use super::quantity::{LengthUnit, QuantityUnit, Reading, UnitFrom};
use super::text::{Scanner, says_nothing};
use super::unit::unit;
use crate::trade::bounds::OFFSET;
use crate::trade::quantity::Length;

/// Labels before an offset that make it millimeters. `ET` is the German *Einpresstiefe*, used
/// everywhere; the others common practice, no source.
const LABELS: &[&str] = &["et", "offset", "einpresstiefe", "deport"];

/// A whole offset with a sign is in millimeters by convention up to this many; beyond it the bounds
/// say so anyway.
const BARE_INCHES_UP_TO: f64 = 5.905;

/// Back spacings of vans end below this many inches; common practice, no source.
const BACK_SPACINGS_UP_TO: f64 = 12.6;

/// Reads an offset, positive where the mounting face lies toward the street side.
///
/// `ET`, a plus sign, or a sign before a whole number mean millimeters, as does a bare figure too
/// large for inches; zero is zero in any unit.
///
/// # Errors
///
/// The reason; [`Unread::UnitNotStated`] for a bare figure below 5.9 other than zero, or beyond any offset, without
/// `hint`, [`Unread::TwoMeanings`] where sign and letter disagree (`-12 P`).
pub fn offset(
    text: &str,
    hint: Option<LengthUnit>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<LengthUnit>, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    let (reading, _) = take(&mut scanner, hint, decimal)?;
    if scanner.at_end() { Ok(reading) } else { Err(Unread::NotUnderstood) }
}

/// Gives a number cell of a spreadsheet its unit, as [`offset`] does for text without a sign or label.
///
/// # Errors
///
/// [`Unread::UnitNotStated`] for a figure below 5.9 other than zero, or beyond any offset, without `hint`,
/// whatever its sign: a number cell cannot show a plus.
pub fn offset_from_number(number: f64, hint: Option<LengthUnit>) -> Result<Reading<LengthUnit>, Unread> {
    if !number.is_finite() {
        return Err(Unread::NotUnderstood);
    }
    let (unit, unit_from) = match hint {
        Some(unit) => (unit, UnitFrom::Heading),
        None if number == 0.0 => (LengthUnit::Mm, UnitFrom::Convention),
        None if number.abs() > BARE_INCHES_UP_TO && OFFSET.contains(LengthUnit::Mm.of(number)) => {
            (LengthUnit::Mm, UnitFrom::OnlyPossible)
        }
        None => return Err(Unread::UnitNotStated),
    };
    Ok(Reading {
        value: unit.of(number),
        unit,
        unit_from,
        number_from: super::number::NumberFrom::Plain,
        span: 0..0,
    })
}

/// How plainly a text says that it is an offset.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// It carries `ET` or the like, or is `S0`.
    Labeled,
    /// It carries a sign, or a letter for one.
    Signed,
    /// A figure that could be something else.
    Bare,
}

/// Moves over an offset.
///
/// # Errors
///
/// As [`offset`]; the place is then unspecified.
pub fn take(
    scanner: &mut Scanner<'_>,
    hint: Option<LengthUnit>,
    decimal: Option<DecimalMark>,
) -> Result<(Reading<LengthUnit>, Said), Unread> {
    scanner.skip_spaces();
    let start = scanner.at();
    let mut labeled = label(scanner);
    // "S0" is zero offset and no other.
    if !labeled && scanner.eat_text("s0") && scanner.ends_word() {
        return Ok((in_mm(0.0, scanner.since(start)), Said::Labeled));
    }
    let mut sign = sign(scanner);
    if !labeled && sign.is_none() && scanner.peek().is_some_and(char::is_alphabetic) {
        sign = letter(scanner);
    }
    scanner.skip_spaces();
    let number = number(scanner, Spaces::End).ok_or(Unread::NotUnderstood)?;
    let stated = unit::<LengthUnit>(scanner)?;
    let mut end = scanner.at();
    if let Some(after) = letter(scanner) {
        if sign.is_some_and(|before| before != after) {
            return Err(Unread::TwoMeanings);
        }
        sign = Some(after);
        end = scanner.at();
    }
    // "38 ET"
    let mut probe = *scanner;
    probe.skip_spaces();
    if !labeled && probe.eat_word("et") && !probe.peek().is_some_and(char::is_alphanumeric) {
        labeled = true;
        *scanner = probe;
        end = scanner.at();
    }
    if !scanner.ends_word() {
        return Err(Unread::NotUnderstood);
    }
    let factor = if sign == Some(Sign::Minus) { -1.0 } else { 1.0 };
    let said = match sign {
        _ if labeled => Said::Labeled,
        Some(_) => Said::Signed,
        None => Said::Bare,
    };
    let span = start..end;
    let possible = |count: f64| OFFSET.contains(stated.or(hint).unwrap_or(LengthUnit::Mm).of(count));
    let (count, number_from) = number.resolve(decimal, possible)?;
    let (unit, unit_from) = match (stated, hint) {
        (Some(unit), _) => (unit, UnitFrom::Cell),
        (None, _) if labeled => (LengthUnit::Mm, UnitFrom::Convention),
        (None, Some(unit)) => (unit, UnitFrom::Heading),
        (None, None) if count == 0.0 || (sign.is_some() && count.fract() == 0.0) => {
            (LengthUnit::Mm, UnitFrom::Convention)
        }
        // A fraction may be a back spacing in inches, whatever the heading says.
        (None, None)
            if count > BARE_INCHES_UP_TO
                && (count.fract() == 0.0 || count > BACK_SPACINGS_UP_TO)
                && possible(count) =>
        {
            (LengthUnit::Mm, UnitFrom::OnlyPossible)
        }
        (None, None) => return Err(Unread::UnitNotStated),
    };
    Ok((Reading { value: unit.of(count * factor), unit, unit_from, number_from, span }, said))
}

fn in_mm(mm: f64, span: std::ops::Range<usize>) -> Reading<LengthUnit> {
    Reading {
        value: Length::from_mm(mm),
        unit: LengthUnit::Mm,
        unit_from: UnitFrom::Convention,
        number_from: super::number::NumberFrom::Plain,
        span,
    }
}

/// Moves over `ET`, `ET:`, `ET=` or another label; never into a longer word.
fn label(scanner: &mut Scanner<'_>) -> bool {
    let mut probe = *scanner;
    if probe.eat_any(LABELS).is_none() {
        return false;
    }
    let _ = probe.eat_spaced(':') || probe.eat_spaced('=') || probe.eat_spaced('.');
    probe.skip_spaces();
    *scanner = probe;
    true
}

#[derive(Clone, Copy, PartialEq)]
enum Sign {
    Plus,
    Minus,
}

fn sign(scanner: &mut Scanner<'_>) -> Option<Sign> {
    if scanner.eat('+') {
        Some(Sign::Plus)
    } else if scanner.eat('-') {
        Some(Sign::Minus)
    } else {
        None
    }
}

/// Moves over `P` or `N`, positive or negative, as some American sheets write.
/// Common practice, no source.
fn letter(scanner: &mut Scanner<'_>) -> Option<Sign> {
    let mut probe = *scanner;
    probe.skip_spaces();
    let found = if probe.eat_any(&["p", "pos", "positive"]).is_some() {
        Sign::Plus
    } else if probe.eat_any(&["n", "neg", "negative"]).is_some() {
        Sign::Minus
    } else {
        return None;
    };
    let _ = probe.eat('.');
    *scanner = probe;
    Some(found)
}
