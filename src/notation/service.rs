//! What follows a tire size: load index, speed symbol, load range, ply rating.

use super::Unread;
use super::text::{Scanner, says_nothing};
use crate::trade::load_index;
use crate::trade::load_range::LoadRange;
use crate::trade::speed_symbol::SpeedSymbol;
use crate::trade::tire::{Marking, Size};

/// A service description: load index for single and, where stated, twin tires, and speed symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ServiceDescription {
    /// Load index of a tire running alone.
    pub single: Option<u16>,
    /// Load index of each tire of a twin pair.
    pub dual: Option<u16>,
    /// Speed symbol.
    pub speed: Option<SpeedSymbol>,
}

/// The load indices that tires of vans and light trucks carry. Narrower than the table, so that a
/// stray figure beside a size is not taken for one; common practice, no source.
const USUAL: std::ops::RangeInclusive<u16> = 60..=150;

/// Moves over a load index.
fn index(scanner: &mut Scanner<'_>) -> Option<u16> {
    let mut probe = *scanner;
    let (value, digits) = probe.digits()?;
    let value = u16::try_from(value).ok()?;
    // "121.5" or "1,210" is a number and no index.
    let mut after = probe;
    let goes_on = after.bump().is_some_and(|c| matches!(c, '.' | ','))
        && after.peek().is_some_and(|c| c.is_ascii_digit());
    if goes_on || digits > 3 || load_index::capacity(value).is_none() {
        return None;
    }
    *scanner = probe;
    Some(value)
}

/// Moves over a speed symbol that ends a word: a letter, `A1` to `A8`, or `(Y)`.
pub(super) fn symbol(scanner: &mut Scanner<'_>) -> Option<SpeedSymbol> {
    let mut probe = *scanner;
    if probe.eat_text("(y)") {
        *scanner = probe;
        return SpeedSymbol::parse("(Y)");
    }
    let start = probe.at();
    let letter = probe.bump()?;
    if letter == 'a' {
        probe.digits()?;
    }
    let span = probe.since(start);
    if !letter.is_ascii_alphabetic() || !probe.ends_word() {
        return None;
    }
    let found = SpeedSymbol::parse(scanner.text().get(span)?)?;
    *scanner = probe;
    Some(found)
}

/// Moves over a service description: `121/118S`, `115T`, `115/Q`, `126 123S`, `121/118 S`, `121`.
/// An index without a symbol is taken only in the usual range.
pub(super) fn take_description(scanner: &mut Scanner<'_>) -> Option<ServiceDescription> {
    let mut probe = *scanner;
    let single = index(&mut probe)?;
    let mut dual = None;
    // The second index after a slash, a dash or a space.
    let mut second = probe;
    let parted = second.eat_spaced('/') || second.eat_spaced('-') || second.skip_spaces();
    if parted {
        second.skip_spaces();
        if let Some(found) = index(&mut second)
            && (second.ends_word() || symbol(&mut second.clone()).is_some())
            && USUAL.contains(&found)
            && found <= single
        {
            dual = Some(found);
            probe = second;
        }
    }
    let mut lettered = probe;
    let joined = symbol(&mut lettered);
    let speed = joined.or_else(|| {
        lettered = probe;
        let slashed = dual.is_none() && lettered.eat('/');
        let _ = slashed || lettered.skip_spaces();
        // "121 E": apart from the index, C to G are load ranges; as speeds they are for tractors.
        if !slashed && lettered.peek().is_some_and(|c| matches!(c, 'c'..='g')) {
            return None;
        }
        symbol(&mut lettered)
    });
    match speed {
        Some(speed) => {
            probe = lettered;
            // "121S/118S": the symbol said twice.
            let mut twice = probe;
            if dual.is_none()
                && twice.eat('/')
                && let Some(found) = index(&mut twice)
                && USUAL.contains(&found)
                && found <= single
                && symbol(&mut twice) == Some(speed)
            {
                dual = Some(found);
                probe = twice;
            }
        }
        // No symbol: the figure must end here and be a likely index.
        None if !probe.ends_word() || !USUAL.contains(&single) => return None,
        None => {}
    }
    *scanner = probe;
    Some(ServiceDescription { single: Some(single), dual, speed })
}

/// Reads a service description standing alone: `121/118S`, `115/Q`, `115T`, `121`, `121/118`.
///
/// # Errors
///
/// The reason; [`Unread::NoSuchService`] for an index or symbol that no table lists, and
/// [`Unread::TwoMeanings`] where the second index is above the first.
pub fn service_description(text: &str) -> Result<ServiceDescription, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    // An index alone may be any of the table where its column says that it is one.
    let mut probe = scanner;
    if let Some(single) = index(&mut probe)
        && probe.at_end()
    {
        return Ok(ServiceDescription { single: Some(single), dual: None, speed: None });
    }
    match take_description(&mut scanner) {
        Some(read) if scanner.at_end() => Ok(read),
        _ => Err(why_no_description(text)),
    }
}

/// Tells a figure or letter outside the tables from a text that is no description at all.
fn why_no_description(text: &str) -> Unread {
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    let Some((first, _)) = scanner.digits() else {
        return Unread::NotUnderstood;
    };
    let mut second = None;
    if scanner.eat('/') {
        second = scanner.digits().map(|(value, _)| value);
    }
    let lettered = scanner.peek().is_some_and(char::is_alphabetic);
    if lettered {
        scanner.bump();
    }
    if !scanner.at_end() {
        return Unread::NotUnderstood;
    }
    match second {
        Some(second) if second > first && second <= u32::from(load_index::HIGHEST) => Unread::TwoMeanings,
        _ => Unread::NoSuchService,
    }
}

/// Reads a column of load indices: `121`, `121/118`. A speed symbol may stand behind.
///
/// # Errors
///
/// As [`service_description`].
pub fn load_indices(text: &str) -> Result<ServiceDescription, Unread> {
    service_description(text)
}

/// Reads a column of speed symbols: `S`, `s`, `(Y)`, `H (210 km/h)`.
///
/// # Errors
///
/// The reason; [`Unread::NoSuchService`] for a letter that is none.
pub fn speed_symbol(text: &str) -> Result<SpeedSymbol, Unread> {
    let trimmed = text.trim();
    if let Some(found) = SpeedSymbol::parse(trimmed) {
        return Ok(found);
    }
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    if let Some(found) = symbol(&mut scanner) {
        scanner.skip_spaces();
        // The speed in brackets is the supplier's own gloss and must be the symbol's.
        if scanner.eat('(')
            && let Some((speed, _)) = scanner.digits()
        {
            scanner.skip_spaces();
            let stated = if scanner.eat_text("km/h") || scanner.eat_text("kmh") || scanner.eat_text("kph") {
                found.speed().km_h()
            } else if scanner.eat_text("mph") {
                found.speed().mph()
            } else {
                return Err(Unread::NotUnderstood);
            };
            let _ = scanner.eat(')');
            if !scanner.at_end() {
                return Err(Unread::NotUnderstood);
            }
            return if (stated - f64::from(speed)).abs() < 1.5 {
                Ok(found)
            } else {
                Err(Unread::TwoMeanings)
            };
        }
    }
    let one_letter = trimmed.chars().count() == 1 && trimmed.chars().all(char::is_alphabetic);
    Err(if one_letter { Unread::NoSuchService } else { Unread::NotUnderstood })
}

/// What a load range column says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strength {
    /// A load range, by letter or ply rating.
    Range(LoadRange),
    /// A ply rating and no letter.
    Ply(u8),
    /// Extra load (reinforced), passenger practice.
    ExtraLoad,
    /// Standard load, passenger practice.
    StandardLoad,
}

const EXTRA_LOAD: &[&str] = &["xl", "extra load", "extraload", "reinforced", "reinf", "rf", "rfd", "hl"];
const STANDARD_LOAD: &[&str] = &["sl", "standard load", "standard", "std", "ll"];

/// Moves over `XL` and the like.
pub(super) fn take_extra_load(scanner: &mut Scanner<'_>) -> bool {
    take_ending(scanner, &["xl", "extra load", "extraload", "reinforced", "reinf"])
}

/// Moves over `SL` and the like.
pub(super) fn take_standard_load(scanner: &mut Scanner<'_>) -> bool {
    take_ending(scanner, &["sl", "standard load"])
}

fn take_ending(scanner: &mut Scanner<'_>, words: &[&str]) -> bool {
    for word in words {
        let mut probe = *scanner;
        if probe.eat_text(word) && probe.ends_word() {
            *scanner = probe;
            return true;
        }
    }
    false
}

/// Moves over a ply rating: `10PR`, `10 PLY`, `10-ply rated`. A bare figure is none.
pub(super) fn take_ply(scanner: &mut Scanner<'_>) -> Option<u8> {
    let mut probe = *scanner;
    let (ply, digits) = probe.digits()?;
    let _ = probe.eat('-') || probe.skip_spaces();
    probe.eat_any(&["pr", "ply", "plys", "plies"])?;
    if !probe.ends_word() {
        return None;
    }
    let mut rated = probe;
    rated.skip_spaces();
    if rated.eat_any(&["rated", "rating"]).is_some() {
        probe = rated;
    }
    let ply = u8::try_from(ply).ok()?;
    if digits > 2 {
        return None;
    }
    LoadRange::from_ply(ply)?;
    *scanner = probe;
    Some(ply)
}

/// Moves over `LRE`, `LR E`, `LR-E`, `Load Range E`.
pub(super) fn take_labeled_range(scanner: &mut Scanner<'_>) -> Option<LoadRange> {
    let mut probe = *scanner;
    if !probe.eat_text("load range") && !probe.eat_text("loadrange") && !probe.eat_text("lr") {
        return None;
    }
    let _ = probe.eat_spaced('-') || probe.eat_spaced(':') || probe.eat_spaced('=');
    probe.skip_spaces();
    let found = take_range_letter(&mut probe)?;
    *scanner = probe;
    Some(found)
}

/// Moves over a load range letter that ends a word.
pub(super) fn take_range_letter(scanner: &mut Scanner<'_>) -> Option<LoadRange> {
    let mut probe = *scanner;
    let found = LoadRange::from_letter(probe.bump()?)?;
    if !probe.ends_word() {
        return None;
    }
    *scanner = probe;
    Some(found)
}

/// Reads a column of load ranges or ply ratings: `E`, `E (10)`, `E/10`, `LRE`, `10PR`, `10`, `XL`,
/// `SL`.
///
/// # Errors
///
/// The reason; [`Unread::TwoMeanings`] where letter and ply rating disagree (`E (8)`).
pub fn strength(text: &str) -> Result<Strength, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    for (words, strength) in [(EXTRA_LOAD, Strength::ExtraLoad), (STANDARD_LOAD, Strength::StandardLoad)] {
        let mut probe = scanner;
        if take_ending(&mut probe, words) {
            // "XL (4)": the ply rating of a passenger tire says nothing further.
            let _ = gloss(&mut probe);
            return if probe.at_end() { Ok(strength) } else { Err(Unread::NotUnderstood) };
        }
    }
    let mut letter = take_labeled_range(&mut scanner).or_else(|| take_range_letter(&mut scanner));
    let ply = gloss(&mut scanner);
    if letter.is_none() && ply.is_some() {
        scanner.skip_spaces();
        let _ = scanner.eat('/') || scanner.eat('(') || scanner.eat(',');
        scanner.skip_spaces();
        letter = take_labeled_range(&mut scanner).or_else(|| take_range_letter(&mut scanner));
        let _ = scanner.eat(')');
    }
    if !scanner.at_end() {
        return Err(Unread::NotUnderstood);
    }
    match (letter, ply) {
        (Some(letter), Some(ply)) if letter.ply() != ply => Err(Unread::TwoMeanings),
        (Some(letter), _) => Ok(Strength::Range(letter)),
        (None, Some(ply)) => Ok(Strength::Ply(ply)),
        (None, None) => Err(Unread::NotUnderstood),
    }
}

/// Moves over a ply rating beside a letter, with or without its word: `(10)`, `/10`, `10PR`, `10`.
fn gloss(scanner: &mut Scanner<'_>) -> Option<u8> {
    let mut probe = *scanner;
    probe.skip_spaces();
    let _ = probe.eat('(') || probe.eat('/') || probe.eat('-') || probe.eat(',');
    probe.skip_spaces();
    let ply = match take_ply(&mut probe) {
        Some(ply) => ply,
        None => {
            let (ply, digits) = probe.digits()?;
            let ply = u8::try_from(ply).ok()?;
            if digits > 2 || !probe.ends_word() {
                return None;
            }
            LoadRange::from_ply(ply)?;
            ply
        }
    };
    let _ = probe.eat(')');
    *scanner = probe;
    Some(ply)
}

/// What a tire is built for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ServiceKind {
    /// Light truck, `LT`; flotation sizes marked LT are this.
    LightTruck,
    /// Commercial, `C`.
    Commercial,
    /// Passenger cars, with `P` or without letters.
    Passenger,
    /// A flotation size without `LT`.
    Flotation,
    /// Trailers only, `ST`.
    Trailer,
}

/// The service a size is built for, as far as its letters and what stands beside it tell.
///
/// # Errors
///
/// [`Unread::ServiceNotStated`] for a size without letters that is stronger than passenger tires
/// are (two load indices, a load range of C or more, a ply rating of 6 or more), and for a size
/// without aspect ratio or in inches without letters.
pub fn service_kind(
    size: Size,
    dual: Option<u16>,
    range: Option<LoadRange>,
    ply: Option<u8>,
) -> Result<ServiceKind, Unread> {
    match (size.marking(), size) {
        (Some(Marking::LightTruck), _) => Ok(ServiceKind::LightTruck),
        (Some(Marking::Commercial), _) => Ok(ServiceKind::Commercial),
        (Some(Marking::Passenger), _) => Ok(ServiceKind::Passenger),
        (Some(Marking::Trailer), _) => Ok(ServiceKind::Trailer),
        (None, Size::Flotation { .. }) => Ok(ServiceKind::Flotation),
        (None, Size::Numeric { .. } | Size::Metric { aspect: None, .. }) => Err(Unread::ServiceNotStated),
        (None, Size::Metric { .. }) => {
            let heavy = range.is_some_and(|range| range.ply() >= 6) || ply.is_some_and(|ply| ply >= 6);
            if dual.is_some() || heavy { Err(Unread::ServiceNotStated) } else { Ok(ServiceKind::Passenger) }
        }
    }
}

/// Reads a column that names the service in words: `LT`, `Light Truck`, `C`, `Commercial`,
/// `Passenger`, `Flotation`, `ST`.
///
/// # Errors
///
/// The reason.
pub fn service_word(text: &str) -> Result<ServiceKind, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let words: &[(&str, ServiceKind)] = &[
        ("lt", ServiceKind::LightTruck),
        ("light truck", ServiceKind::LightTruck),
        ("lt metric", ServiceKind::LightTruck),
        ("lt-metric", ServiceKind::LightTruck),
        ("c", ServiceKind::Commercial),
        ("commercial", ServiceKind::Commercial),
        ("euro commercial", ServiceKind::Commercial),
        ("commercial van", ServiceKind::Commercial),
        ("llkw", ServiceKind::Commercial),
        ("p", ServiceKind::Passenger),
        ("passenger", ServiceKind::Passenger),
        ("passenger car", ServiceKind::Passenger),
        ("p metric", ServiceKind::Passenger),
        ("p-metric", ServiceKind::Passenger),
        ("pkw", ServiceKind::Passenger),
        ("flotation", ServiceKind::Flotation),
        ("st", ServiceKind::Trailer),
        ("trailer", ServiceKind::Trailer),
    ];
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    for (word, kind) in words {
        let mut probe = scanner;
        if probe.eat_word(word) && probe.at_end() {
            return Ok(*kind);
        }
    }
    Err(Unread::NotUnderstood)
}
