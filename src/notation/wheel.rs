//! Wheel sizes, rim diameters and widths alone, and cells that hold several facts of a wheel.

use std::ops::Range;

use super::Unread;
use super::number::{DecimalMark, NumberFrom, Spaces, number};
use super::offset::{self, Said};
use super::pattern::{self, DrillingReading};
use super::quantity::{LengthUnit, QuantityUnit, Reading, UnitFrom, sixteenths};
use super::text::{Scanner, fold, looks_like_date, says_nothing};
use super::unit::unit;
use crate::trade::bounds::{CENTER_BORE, OFFSET, RIM_DIAMETER, RIM_WIDTH};
use crate::trade::quantity::Length;

/// A wheel's nominal size.
#[derive(Clone, Debug, PartialEq)]
pub struct WheelSize {
    /// Nominal rim diameter.
    pub diameter: Length,
    /// Rim width between the flanges.
    pub width: Length,
    /// How the width's number came to have its value.
    pub number_from: NumberFrom,
    /// The bytes of the cell's text that say it.
    pub span: Range<usize>,
}

/// Flange contours that follow a rim width; folded, longer first. *Memory* (ETRTO).
const FLANGES: &[&str] = &["jj", "jk", "j", "k"];

/// Hump contours that follow a size; folded, longer first. *Memory* (ETRTO).
const HUMPS: &[&str] = &["eh2+", "eh2", "eh+", "fh2", "fh", "ch", "h2", "h1", "h", "x"];

/// Reads a wheel size in inches: `17x8.5`, `8.5Jx17H2`, `17 X 8,5`, `6½J x 16`, `17"x8.5"`.
///
/// The larger figure is the diameter (common practice, no source); a figure that carries `J` is the width.
///
/// # Errors
///
/// The reason; figures no wheel has are [`Unread::NotUnderstood`].
pub fn wheel_size(text: &str, decimal: Option<DecimalMark>) -> Result<WheelSize, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    match take_size(&mut scanner, decimal) {
        Ok(size) if scanner.at_end() => Ok(size),
        Ok(_) => Err(Unread::NotUnderstood),
        Err(Unread::NotUnderstood) if looks_like_date(text) => Err(Unread::LooksLikeDate),
        Err(why) => Err(why),
    }
}

/// One figure of a wheel size.
struct Figure {
    inches: f64,
    number_from: NumberFrom,
    flanged: bool,
}

fn figure(scanner: &mut Scanner<'_>, decimal: Option<DecimalMark>) -> Result<Figure, Unread> {
    scanner.skip_spaces();
    let number = number(scanner, Spaces::End).ok_or(Unread::NotUnderstood)?;
    // "6 1/2 J x 16"
    let number = sixteenths(scanner, number);
    let possible = |count: f64| {
        RIM_DIAMETER.contains(Length::from_inches(count)) || RIM_WIDTH.contains(Length::from_inches(count))
    };
    let (inches, number_from) = number.resolve(decimal, possible)?;
    // "8Jx17": the J may be joined to the x that follows.
    let mut flanged = false;
    let mut probe = *scanner;
    probe.skip_spaces();
    for flange in FLANGES {
        let mut end = probe;
        if end.eat_text(flange) && (end.ends_word() || end.peek() == Some('x')) {
            flanged = true;
            *scanner = end;
            break;
        }
    }
    match unit::<LengthUnit>(scanner)? {
        None | Some(LengthUnit::Inch) => {}
        Some(LengthUnit::Mm | LengthUnit::Cm) => return Err(Unread::NotUnderstood),
    }
    Ok(Figure { inches, number_from, flanged })
}

/// Moves over a wheel size.
///
/// # Errors
///
/// As [`wheel_size`]; the place is then unspecified.
pub fn take_size(scanner: &mut Scanner<'_>, decimal: Option<DecimalMark>) -> Result<WheelSize, Unread> {
    scanner.skip_spaces();
    let start = scanner.at();
    let first = figure(scanner, decimal)?;
    if !scanner.eat_spaced('x') {
        return Err(Unread::NotUnderstood);
    }
    let second = figure(scanner, decimal)?;
    let mut probe = *scanner;
    probe.skip_spaces();
    for hump in HUMPS {
        let mut end = probe;
        if end.eat_text(hump) && end.ends_word() {
            *scanner = end;
            break;
        }
    }
    if !scanner.ends_word() {
        return Err(Unread::NotUnderstood);
    }
    let (diameter, width) = match (first.flanged, second.flanged) {
        (true, true) => return Err(Unread::NotUnderstood),
        (true, false) => (second, first),
        (false, true) => (first, second),
        (false, false) if first.inches >= second.inches => (first, second),
        (false, false) => (second, first),
    };
    let (whole, across) = (Length::from_inches(diameter.inches), Length::from_inches(width.inches));
    if !RIM_DIAMETER.contains(whole) || !RIM_WIDTH.contains(across) {
        return Err(Unread::NotUnderstood);
    }
    Ok(WheelSize {
        diameter: whole,
        width: across,
        number_from: width.number_from,
        span: scanner.since(start),
    })
}

/// Reads a rim width alone: `8.5`, `8,5J`, `8½"`; inches by the trade's convention.
///
/// # Errors
///
/// The reason.
pub fn rim_width(
    text: &str,
    hint: Option<LengthUnit>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<LengthUnit>, Unread> {
    nominal(
        text,
        hint,
        decimal,
        |scanner| scanner.eat_any(FLANGES).is_some(),
        |length| RIM_WIDTH.contains(length),
    )
}

/// Reads a rim diameter alone: `17`, `17"`, `R17`, `17 Zoll`; inches by the trade's convention.
///
/// # Errors
///
/// The reason.
pub fn rim_diameter(
    text: &str,
    hint: Option<LengthUnit>,
    decimal: Option<DecimalMark>,
) -> Result<Reading<LengthUnit>, Unread> {
    nominal(text, hint, decimal, |_| false, |length| RIM_DIAMETER.contains(length))
}

fn nominal(
    text: &str,
    hint: Option<LengthUnit>,
    decimal: Option<DecimalMark>,
    flange: impl Fn(&mut Scanner<'_>) -> bool,
    possible: impl Fn(Length) -> bool,
) -> Result<Reading<LengthUnit>, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    let start = scanner.at();
    let _ = scanner.eat('r');
    let number = number(&mut scanner, Spaces::End).ok_or(Unread::NotUnderstood)?;
    let stated = unit::<LengthUnit>(&mut scanner)?;
    let mut probe = scanner;
    probe.skip_spaces();
    let flanged = stated.is_none() && flange(&mut probe);
    if flanged {
        scanner = probe;
    }
    if !scanner.at_end() {
        return Err(Unread::NotUnderstood);
    }
    let (unit, unit_from) = match (stated, hint) {
        (Some(unit), _) => (unit, UnitFrom::Cell),
        (None, Some(unit)) if !flanged => (unit, UnitFrom::Heading),
        _ => (LengthUnit::Inch, UnitFrom::Convention),
    };
    let (count, number_from) = number.resolve(decimal, |count| possible(unit.of(count)))?;
    Ok(Reading { value: unit.of(count), unit, unit_from, number_from, span: scanner.since(start) })
}

/// One fact found in a cell that holds several.
#[derive(Clone, Debug, PartialEq)]
pub enum WheelPiece {
    /// A wheel size.
    Size(WheelSize),
    /// An offset marked by `ET`, or by a sign behind a size or drilling.
    Offset(Reading<LengthUnit>),
    /// A drilling.
    Drilling(DrillingReading),
    /// A center bore marked as one by `CB`, `DIA` or the like.
    CenterBore(Reading<LengthUnit>),
}

impl WheelPiece {
    /// The bytes of the cell's text that say it.
    #[must_use]
    pub fn span(&self) -> Range<usize> {
        match self {
            Self::Size(size) => size.span.clone(),
            Self::Offset(reading) | Self::CenterBore(reading) => reading.span.clone(),
            Self::Drilling(reading) => reading.span.clone(),
        }
    }
}

/// The facts of a cell such as `17x8.5 ET38 6x130 CB84.1`, and the words that are none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WheelMixed {
    /// The facts in the order written; one kind may occur twice.
    pub pieces: Vec<WheelPiece>,
    /// The words that hold no fact known here, an unmarked figure among them.
    pub left_over: Vec<Range<usize>>,
}

impl WheelMixed {
    /// The one size stated.
    ///
    /// # Errors
    ///
    /// [`Unread::TwoMeanings`] where two different sizes stand in the cell.
    pub fn size(&self) -> Result<Option<&WheelSize>, Unread> {
        let sizes = self
            .pieces
            .iter()
            .filter_map(|piece| if let WheelPiece::Size(size) = piece { Some(size) } else { None });
        only(sizes, |a, b| a.diameter == b.diameter && a.width == b.width)
    }

    /// The one offset stated.
    ///
    /// # Errors
    ///
    /// [`Unread::TwoMeanings`] where two different offsets stand in the cell.
    pub fn offset(&self) -> Result<Option<&Reading<LengthUnit>>, Unread> {
        let offsets = self
            .pieces
            .iter()
            .filter_map(|piece| if let WheelPiece::Offset(read) = piece { Some(read) } else { None });
        only(offsets, |a, b| a.value == b.value)
    }

    /// The one center bore stated.
    ///
    /// # Errors
    ///
    /// [`Unread::TwoMeanings`] where two different bores stand in the cell.
    pub fn center_bore(&self) -> Result<Option<&Reading<LengthUnit>>, Unread> {
        let bores = self
            .pieces
            .iter()
            .filter_map(|piece| if let WheelPiece::CenterBore(read) = piece { Some(read) } else { None });
        only(bores, |a, b| a.value == b.value)
    }

    /// Every drilling stated, in the order written.
    pub fn drillings(&self) -> impl Iterator<Item = &DrillingReading> {
        self.pieces.iter().filter_map(
            |piece| {
                if let WheelPiece::Drilling(read) = piece { Some(read) } else { None }
            },
        )
    }
}

fn only<'a, T>(
    mut found: impl Iterator<Item = &'a T>,
    same: impl Fn(&T, &T) -> bool,
) -> Result<Option<&'a T>, Unread> {
    let Some(first) = found.next() else {
        return Ok(None);
    };
    if found.all(|other| same(first, other)) { Ok(Some(first)) } else { Err(Unread::TwoMeanings) }
}

/// Labels before a center bore; folded. `NB` is the German *Nabenbohrung*.
const BORES: &[&str] = &[
    "cb",
    "dia",
    "nb",
    "ml",
    "mlb",
    "mz",
    "hub",
    "bore",
    "center bore",
    "centre bore",
    "nabenbohrung",
    "alesage",
];

/// Takes apart a cell that holds several facts of a wheel. Only what is marked or has a form of its
/// own is taken: a bare `84.1` is left over.
#[must_use]
pub fn wheel_mixed(text: &str, decimal: Option<DecimalMark>) -> WheelMixed {
    let mut mixed = WheelMixed::default();
    let mut scanner = Scanner::new(text);
    while !scanner.at_end() {
        scanner.skip_spaces();
        if scanner.peek().is_some_and(|c| matches!(c, ',' | ';' | '|' | '(' | ')' | '/' | '·')) {
            scanner.bump();
            continue;
        }
        let beside_wheel = !mixed.pieces.is_empty();
        if let Some((piece, after)) = piece(scanner, beside_wheel, decimal) {
            // "5x114.3/120": the second circle belongs to the drilling before it.
            if let WheelPiece::Drilling(_) = piece
                && let Some((several, after)) = several_drillings(scanner, decimal)
            {
                mixed.pieces.extend(several.into_iter().map(WheelPiece::Drilling));
                scanner = after;
                continue;
            }
            mixed.pieces.push(piece);
            scanner = after;
            continue;
        }
        let word = scanner.word();
        if word.is_empty() {
            scanner.bump();
        } else {
            mixed.left_over.push(word);
        }
    }
    mixed
}

/// The drillings of the word at this place, where the word as a whole is a list of them.
fn several_drillings(
    scanner: Scanner<'_>,
    decimal: Option<DecimalMark>,
) -> Option<(Vec<DrillingReading>, Scanner<'_>)> {
    let mut after = scanner;
    let word = after.word();
    let mut several = pattern::bolt_patterns(scanner.text().get(word.clone())?, decimal).ok()?;
    for reading in &mut several {
        reading.span = reading.span.start + word.start..reading.span.end + word.start;
    }
    Some((several, after))
}

/// The piece at this place, and the place behind it.
fn piece(
    scanner: Scanner<'_>,
    beside_wheel: bool,
    decimal: Option<DecimalMark>,
) -> Option<(WheelPiece, Scanner<'_>)> {
    let ends = |after: &Scanner<'_>| {
        after.peek().is_none_or(|c| matches!(c, ' ' | ',' | ';' | '|' | '(' | ')' | '/'))
    };
    let mut after = scanner;
    if let Ok(size) = take_size(&mut after, decimal)
        && ends(&after)
    {
        return Some((WheelPiece::Size(size), after));
    }
    let mut after = scanner;
    if let Ok(reading) = pattern::drilling(&mut after, decimal)
        && ends(&after)
        && !may_be_a_date(scanner.text(), &reading, after)
        && !may_be_a_drive(scanner.text(), &reading)
    {
        return Some((WheelPiece::Drilling(reading), after));
    }
    let mut after = scanner;
    if let Ok((reading, said)) = offset::take(&mut after, None, decimal)
        && ends(&after)
        && match said {
            Said::Labeled => true,
            // "-12" among words is an offset only beside a size or drilling, written as such.
            Said::Signed => beside_wheel && OFFSET.contains(reading.value) && signed_figure(scanner),
            Said::Bare => false,
        }
    {
        return Some((WheelPiece::Offset(reading), after));
    }
    let mut after = scanner;
    if let Some(reading) = center_bore(&mut after, decimal)
        && ends(&after)
    {
        return Some((WheelPiece::CenterBore(reading), after));
    }
    None
}

fn center_bore(scanner: &mut Scanner<'_>, decimal: Option<DecimalMark>) -> Option<Reading<LengthUnit>> {
    let start = scanner.at();
    if !scanner.eat('ø') {
        scanner.eat_any(BORES)?;
    }
    let _ = scanner.eat_spaced(':') || scanner.eat_spaced('=') || scanner.eat_spaced('.');
    scanner.skip_spaces();
    let number = number(scanner, Spaces::End)?;
    let stated = unit::<LengthUnit>(scanner).ok()?;
    let unit = stated.unwrap_or(LengthUnit::Mm);
    let (count, number_from) = number.resolve(decimal, |count| CENTER_BORE.contains(unit.of(count))).ok()?;
    // A bore too small for millimeters is not taken for inches out of a mixed cell.
    if stated.is_none() && !CENTER_BORE.contains(unit.of(count)) {
        return None;
    }
    let unit_from = if stated.is_some() { UnitFrom::Cell } else { UnitFrom::OnlyPossible };
    Some(Reading { value: unit.of(count), unit, unit_from, number_from, span: scanner.since(start) })
}

/// Whether a drilling among words may be part of a date or a fraction: no letter or cross parts its
/// figures, and they are inches that nothing marks as such, or a slash goes on behind.
fn may_be_a_date(text: &str, reading: &DrillingReading, after: Scanner<'_>) -> bool {
    let unmarked_inches = reading.unit == LengthUnit::Inch && reading.unit_from == UnitFrom::OnlyPossible;
    let written = text.get(reading.span.clone()).unwrap_or_default();
    let crossed = written.chars().map(fold).any(char::is_alphabetic);
    !crossed && (unmarked_inches || after.peek() == Some('/'))
}

/// Whether a drilling among words is `4x4`: driven wheels, far more often than four holes on 4 in.
fn may_be_a_drive(text: &str, reading: &DrillingReading) -> bool {
    let written = text.get(reading.span.clone()).unwrap_or_default();
    written.chars().map(fold).filter(|c| *c != ' ').eq("4x4".chars())
}

/// Whether a sign and a figure without leading zero stand here.
fn signed_figure(mut scanner: Scanner<'_>) -> bool {
    if !scanner.eat('+') && !scanner.eat('-') {
        return false;
    }
    let zero = scanner.eat('0');
    !zero || !scanner.peek().is_some_and(|c| c.is_ascii_digit())
}
