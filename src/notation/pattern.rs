//! Bolt patterns: hole count and bolt circle, one drilling or several.
//!
//! The hole count comes first where both figures could be one (`6x5`); a circle below 10 is in
//! inches. Common practice, no source.

use super::Unread;
use super::number::{DecimalMark, NumberFrom, Spaces, number};
use super::quantity::{LengthUnit, Reading, UnitFrom, length};
use super::text::{Scanner, looks_like_date, says_nothing};
use super::unit::unit;
use crate::trade::bolt_circle::Drilling;
use crate::trade::bounds::BOLT_CIRCLE;
use crate::trade::quantity::Length;

/// One drilling as read.
#[derive(Clone, Debug, PartialEq)]
pub struct DrillingReading {
    /// Holes and circle.
    pub drilling: Drilling,
    /// The unit of the circle, written or taken.
    pub unit: LengthUnit,
    /// Where the unit was found.
    pub unit_from: UnitFrom,
    /// How the circle's number came to have its value.
    pub number_from: NumberFrom,
    /// The bytes of the cell's text that say it.
    pub span: std::ops::Range<usize>,
}

/// The fewest and most holes of a road wheel; common practice, no source.
const HOLES: std::ops::RangeInclusive<u32> = 3..=10;

/// Circles below this many are in inches: the smallest metric one is ten times as large.
const INCH_CIRCLES_BELOW: f64 = 10.0;

/// Words for a wheel without holes; folded.
const UNDRILLED: &[&str] = &[
    "blank",
    "undrilled",
    "not drilled",
    "custom drilled",
    "custom drill",
    "blank drilled",
    "no holes",
    "ungebohrt",
    "ohne bohrung",
    "blanko",
    "non perce",
    "non percee",
    "sans percage",
    "sin taladrar",
    "sin taladro",
    "non forato",
    "non forata",
    "ongeboord",
];

/// Words before or after a pattern that change nothing; folded.
const LABELS: &[&str] = &[
    "lk",
    "lochkreis",
    "pcd",
    "bolt pattern",
    "bp",
    "entraxe",
    "anclaje",
    "interasse",
    "attacco",
    "steek",
    "mm",
];

/// Words for holes between count and circle; folded.
const HOLE_WORDS: &[&str] = &[
    "loch", "lochs", "lug", "lugs", "hole", "holes", "bolt", "bolts", "stud", "studs", "trous", "trou",
    "agujeros", "fori", "gats", "gaten", "h", "l",
];

/// Reads one or several drillings: `6x130`, `6-130`, `130x6`, `6x5.12"`, `8 on 6.5`,
/// `6 Loch 130`, `5x114,3`, `5x127/5x139.7`, `5x114.3/120`.
///
/// A second circle without a count must be the larger: a smaller figure may be the center bore.
///
/// # Errors
///
/// The reason; [`Unread::Undrilled`] for `BLANK`, [`Unread::LooksLikeDate`] for `12-Jun`.
pub fn bolt_patterns(text: &str, decimal: Option<DecimalMark>) -> Result<Vec<DrillingReading>, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    let mut probe = scanner;
    if probe.eat_any(UNDRILLED).is_some() && probe.at_end() {
        return Err(Unread::Undrilled);
    }
    let first = match drilling(&mut scanner, decimal) {
        Err(Unread::NotUnderstood) if looks_like_date(text) => return Err(Unread::LooksLikeDate),
        read => read?,
    };
    let mut found = vec![first];
    while !scanner.at_end() {
        next(&mut scanner, &mut found, decimal)?;
    }
    Ok(found)
}

/// Moves over a mark between drillings and the drilling, or circle alone, behind it.
fn next(
    scanner: &mut Scanner<'_>,
    found: &mut Vec<DrillingReading>,
    decimal: Option<DecimalMark>,
) -> Result<(), Unread> {
    scanner.skip_spaces();
    let marked = ['/', '(', '&', ',', ';', '+', '|'].into_iter().any(|mark| scanner.eat(mark));
    if !marked {
        scanner
            .eat_any(&["and", "und", "et", "y", "e", "en", "or", "oder", "ou"])
            .ok_or(Unread::NotUnderstood)?;
    }
    let mut probe = *scanner;
    if let Ok(read) = drilling(&mut probe, decimal) {
        *scanner = probe;
        let _ = scanner.eat_spaced(')');
        if !found.iter().any(|earlier| said_again(earlier, &read)) {
            found.push(read);
        }
        return Ok(());
    }
    let Some(last) = found.last() else {
        return Err(Unread::NotUnderstood);
    };
    scanner.skip_spaces();
    let start = scanner.at();
    let circle = circle(scanner, decimal)?;
    let drilling = Drilling { holes: last.drilling.holes, circle: circle.value };
    let read = circle.with(drilling, scanner.since(start));
    let _ = scanner.eat_spaced(')');
    if said_again(last, &read) {
        return Ok(());
    }
    if read.drilling.circle <= last.drilling.circle {
        return Err(Unread::TwoMeanings);
    }
    found.push(read);
    Ok(())
}

/// Whether two readings are one drilling, said twice or in two units: 130 mm is 5.12 in to the two
/// decimals that sheets give.
fn said_again(first: &DrillingReading, second: &DrillingReading) -> bool {
    first.drilling == second.drilling
        || (first.unit != second.unit
            && first.drilling.same_pattern(second.drilling, Length::from_inches(0.005)))
}

/// A circle's diameter and how it was read.
struct Circle {
    value: Length,
    unit: LengthUnit,
    unit_from: UnitFrom,
    number_from: NumberFrom,
}

impl Circle {
    fn with(self, drilling: Drilling, span: std::ops::Range<usize>) -> DrillingReading {
        DrillingReading {
            drilling,
            unit: self.unit,
            unit_from: self.unit_from,
            number_from: self.number_from,
            span,
        }
    }
}

fn circle(scanner: &mut Scanner<'_>, decimal: Option<DecimalMark>) -> Result<Circle, Unread> {
    scanner.skip_spaces();
    let number = number(scanner, Spaces::End).ok_or(Unread::NotUnderstood)?;
    let stated = unit::<LengthUnit>(scanner)?;
    let taken = |count: f64| match stated {
        Some(unit) => unit,
        None if count < INCH_CIRCLES_BELOW => LengthUnit::Inch,
        None => LengthUnit::Mm,
    };
    let in_unit = |count: f64| super::quantity::QuantityUnit::of(taken(count), count);
    let (count, number_from) = number.resolve(decimal, |count| BOLT_CIRCLE.contains(in_unit(count)))?;
    let value = in_unit(count);
    if !BOLT_CIRCLE.contains(value) {
        return Err(Unread::NotUnderstood);
    }
    let unit_from = if stated.is_some() { UnitFrom::Cell } else { UnitFrom::OnlyPossible };
    Ok(Circle { value, unit: taken(count), unit_from, number_from })
}

/// Moves over a hole count and no more of a number.
fn hole_count(scanner: &mut Scanner<'_>) -> Option<u8> {
    let mut probe = *scanner;
    let (count, digits) = probe.digits()?;
    let mut after = probe;
    let goes_on = after.bump().is_some_and(|c| matches!(c, '.' | ','))
        && after.peek().is_some_and(|c| c.is_ascii_digit());
    if !HOLES.contains(&count) || digits > 2 || goes_on {
        return None;
    }
    *scanner = probe;
    u8::try_from(count).ok()
}

/// Moves over what stands between the two figures of a pattern.
fn between(scanner: &mut Scanner<'_>) -> Option<()> {
    let mut probe = *scanner;
    probe.skip_spaces();
    let _ = probe.eat('-');
    let worded = probe.eat_any(HOLE_WORDS).is_some();
    let _ = worded && probe.eat('.');
    probe.skip_spaces();
    let marked = probe.eat('x')
        || probe.eat('-')
        || probe.eat('/')
        || probe.eat_word("on")
        || probe.eat_word("auf")
        || probe.eat('@');
    let dashed = scanner.peek() == Some('-');
    if !(worded || marked || dashed) {
        return None;
    }
    probe.skip_spaces();
    let _ = probe.eat_any(LABELS);
    probe.skip_spaces();
    *scanner = probe;
    Some(())
}

/// Moves over one drilling, count first or circle first, with its labels.
///
/// # Errors
///
/// The reason; the place is then unspecified.
pub fn drilling(scanner: &mut Scanner<'_>, decimal: Option<DecimalMark>) -> Result<DrillingReading, Unread> {
    scanner.skip_spaces();
    if scanner.eat_any(LABELS).is_some() {
        let _ = scanner.eat_spaced(':');
        scanner.skip_spaces();
    }
    let start = scanner.at();
    let mut probe = *scanner;
    if let Some(holes) = hole_count(&mut probe)
        && between(&mut probe).is_some()
    {
        let circle = circle(&mut probe, decimal)?;
        return finish(scanner, probe, start, holes, circle);
    }
    // Circle first: the first figure can be no hole count.
    let circle = circle(scanner, decimal)?;
    between(scanner).ok_or(Unread::NotUnderstood)?;
    let holes = hole_count(scanner).ok_or(Unread::NotUnderstood)?;
    let mut probe = *scanner;
    probe.skip_spaces();
    let _ = probe.eat_any(HOLE_WORDS);
    finish(scanner, probe, start, holes, circle)
}

fn finish<'a>(
    scanner: &mut Scanner<'a>,
    mut probe: Scanner<'a>,
    start: usize,
    holes: u8,
    circle: Circle,
) -> Result<DrillingReading, Unread> {
    let span = probe.since(start);
    // "6x1305" or "6x130abc" is no pattern.
    if !probe.ends_word() {
        return Err(Unread::NotUnderstood);
    }
    let mut labels = probe;
    labels.skip_spaces();
    if labels.eat_any(LABELS).is_some() || labels.eat_any(HOLE_WORDS).is_some() {
        probe = labels;
    }
    *scanner = probe;
    let drilling = Drilling { holes, circle: circle.value };
    Ok(circle.with(drilling, span))
}

/// Reads a column of hole counts alone: `6`, `6 holes`, `6-lug`.
///
/// # Errors
///
/// The reason; counts outside 3 to 10 are [`Unread::NotUnderstood`].
pub fn holes(text: &str) -> Result<u8, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    let (count, _) =
        scanner.digits().filter(|(count, _)| HOLES.contains(count)).ok_or(Unread::NotUnderstood)?;
    let count = u8::try_from(count).map_err(|_| Unread::NotUnderstood)?;
    // A number cell shows as "6.0" in some exports.
    let _ = scanner.eat_text(".0") || scanner.eat_text(",0");
    scanner.skip_spaces();
    let _ = scanner.eat('-');
    let _ = scanner.eat_any(HOLE_WORDS);
    if scanner.at_end() { Ok(count) } else { Err(Unread::NotUnderstood) }
}

/// Reads a column of bolt circles alone: `130`, `5.5`, `130 mm`, `5.12"`. Without a unit a figure
/// below 10 is in inches and any other must be possible in millimeters.
///
/// # Errors
///
/// The reason, as [`length`]; [`Unread::UnitNotStated`] for `12`, which is 12 in at best.
pub fn bolt_circle(
    text: &str,
    hint: Option<LengthUnit>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<LengthUnit>, Unread> {
    let read = length(text, hint, &BOLT_CIRCLE, decimal)?;
    let taken_for_inches = read.unit_from == UnitFrom::OnlyPossible && read.unit == LengthUnit::Inch;
    if taken_for_inches && read.value >= Length::from_inches(INCH_CIRCLES_BELOW) {
        return Err(Unread::UnitNotStated);
    }
    Ok(read)
}
