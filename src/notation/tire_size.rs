//! Tire sizes as suppliers write them: metric, flotation and in inches.
//!
//! Model years, prices, dates, oil grades, threads, wheel sizes and bolt patterns are no sizes; the
//! forms below leave none of them room.

use super::service::{take_description, take_extra_load, take_range_letter};
use super::text::Scanner;
use crate::trade::load_range::LoadRange;
use crate::trade::tire::{Construction, Marking, RimCode, Service, Size, Suffix};

/// Moves over a size with its prefix and suffix, and over a load range letter joined to it.
pub(super) fn take_size(scanner: &mut Scanner<'_>) -> Option<(Size, Option<LoadRange>)> {
    let mut probe = *scanner;
    let service = prefix(&mut probe);
    let mut metric = probe;
    let mut numeric = probe;
    let mut flotation = probe;
    let (mut size, mut probe) = if let Some(size) = take_metric(&mut metric, service) {
        (size, metric)
    } else if let Some(size) = take_flotation(&mut flotation) {
        (marked(size, service)?, flotation)
    } else {
        (marked(take_numeric(&mut numeric)?, service)?, numeric)
    };
    let range = take_suffix(&mut probe, &mut size)?;
    *scanner = probe;
    Some((size, range))
}

/// Moves over `LT`, `P` or `ST` before a figure.
fn prefix(scanner: &mut Scanner<'_>) -> Service {
    for (letters, service) in [("lt", Service::Lt), ("st", Service::St), ("p", Service::P)] {
        let mut probe = *scanner;
        if probe.eat_text(letters) {
            let _ = probe.eat('-') || probe.skip_spaces();
            if probe.peek().is_some_and(|c| c.is_ascii_digit()) {
                *scanner = probe;
                return service;
            }
        }
    }
    Service::Unmarked
}

/// Gives a size in inches the mark that stands before it: only `LT` has a place there.
fn marked(size: Size, service: Service) -> Option<Size> {
    match service {
        Service::Unmarked => Some(size),
        Service::Lt => Some(with_suffix(size, Suffix::Lt)),
        Service::P | Service::St => None,
    }
}

fn with_suffix(size: Size, suffix: Suffix) -> Size {
    match size {
        Size::Metric { service, width_mm, aspect, construction, rim, .. } => {
            Size::Metric { service, width_mm, aspect, construction, rim, suffix }
        }
        Size::Numeric { width_hundredths, construction, rim, .. } => {
            Size::Numeric { width_hundredths, construction, rim, suffix }
        }
        Size::Flotation { diameter_hundredths, width_hundredths, construction, rim, .. } => {
            Size::Flotation { diameter_hundredths, width_hundredths, construction, rim, suffix }
        }
    }
}

/// Moves over `ZR`, `R`, `B` or `D` with the spaces before it.
fn construction_letter(scanner: &mut Scanner<'_>) -> Option<Construction> {
    let mut probe = *scanner;
    probe.skip_spaces();
    let found = if probe.eat_text("zr") {
        Construction::SpeedRadial
    } else if probe.eat('r') {
        Construction::Radial
    } else if probe.eat('b') {
        Construction::BiasBelted
    } else if probe.eat('d') {
        Construction::Diagonal
    } else {
        return None;
    };
    let _ = probe.eat('-') || probe.skip_spaces();
    *scanner = probe;
    Some(found)
}

/// Moves over a rim code: two digits from 10 to 30, and `.5` or `,5`.
fn rim_code(scanner: &mut Scanner<'_>) -> Option<RimCode> {
    let mut probe = *scanner;
    let (whole, _) = probe.digits().filter(|(_, digits)| *digits == 2)?;
    let mut tenths = u16::try_from(whole).ok()? * 10;
    let mut half = probe;
    if half.eat_text(".5") || half.eat_text(",5") {
        tenths += 5;
        probe = half;
    } else if half.eat_text(".0") && !half.peek().is_some_and(|c| c.is_ascii_digit()) {
        probe = half;
    }
    let mut after = probe;
    let goes_on = after.bump().is_some_and(|c| matches!(c, '.' | ','))
        && after.peek().is_some_and(|c| c.is_ascii_digit());
    if !(100..=300).contains(&tenths) || goes_on || probe.peek().is_some_and(|c| c.is_ascii_digit()) {
        return None;
    }
    *scanner = probe;
    Some(RimCode::from_tenths(tenths))
}

/// Moves over `265/70R17`, `275 65R20`, `265/70/17`, `185R14`.
fn take_metric(scanner: &mut Scanner<'_>, service: Service) -> Option<Size> {
    let mut probe = *scanner;
    let (width, digits) = probe.digits()?;
    if digits != 3 || !(105..=405).contains(&width) || !width.is_multiple_of(5) {
        return None;
    }
    let width_mm = u16::try_from(width).ok()?;
    let suffix = Suffix::None;
    let mut without_aspect = probe;
    if let Some(construction) = construction_letter(&mut without_aspect)
        && let Some(rim) = rim_code(&mut without_aspect)
    {
        *scanner = without_aspect;
        return Some(Size::Metric { service, width_mm, aspect: None, construction, rim, suffix });
    }
    let slashed = probe.eat_spaced('/');
    let parted = slashed || probe.eat('-');
    let spaced = probe.skip_spaces();
    if !parted && !spaced {
        return None;
    }
    let (aspect, digits) = probe.digits()?;
    if !(2..=3).contains(&digits) || !(25..=100).contains(&aspect) {
        return None;
    }
    let aspect = Some(u8::try_from(aspect).ok()?);
    let construction = match construction_letter(&mut probe) {
        Some(construction) => construction,
        // "265/70/17", "265/70-17", "265/70 17": the letter is not written.
        None if slashed && (probe.eat_spaced('/') || probe.eat('-') || probe.skip_spaces()) => {
            probe.skip_spaces();
            Construction::Unknown
        }
        None => return None,
    };
    let rim = rim_code(&mut probe)?;
    *scanner = probe;
    Some(Size::Metric { service, width_mm, aspect, construction, rim, suffix })
}

/// Moves over a figure of inches with up to two decimals; gives hundredths and the decimals written.
fn hundredths(scanner: &mut Scanner<'_>) -> Option<(u16, usize)> {
    let mut probe = *scanner;
    let (whole, digits) = probe.digits()?;
    if digits > 2 {
        return None;
    }
    let mut value = whole * 100;
    let mut decimals = 0;
    let mut after = probe;
    if (after.eat('.') || after.eat(','))
        && let Some((fraction, count)) = after.digits()
    {
        value += match count {
            1 => fraction * 10,
            2 => fraction,
            _ => return None,
        };
        decimals = count;
        probe = after;
    }
    *scanner = probe;
    Some((u16::try_from(value).ok()?, decimals))
}

/// Moves over `35x12.50R17`, `33X12.5R15`, `35 x 12.50 R17`, `31x10.50-15`, `35x12.50x17`.
fn take_flotation(scanner: &mut Scanner<'_>) -> Option<Size> {
    let mut probe = *scanner;
    let (diameter_hundredths, _) = hundredths(&mut probe)?;
    let _ = probe.eat('"');
    let crossed = probe.eat_spaced('x');
    if !crossed && !probe.eat('/') {
        return None;
    }
    probe.skip_spaces();
    let (width_hundredths, decimals) = hundredths(&mut probe)?;
    let _ = probe.eat('"');
    if !(2200..=5400).contains(&diameter_hundredths)
        || !(600..=2000).contains(&width_hundredths)
        || (!crossed && decimals == 0)
    {
        return None;
    }
    let construction = match construction_letter(&mut probe) {
        Some(construction) => construction,
        None if probe.eat('-') => Construction::Diagonal,
        None if probe.eat_spaced('x') => {
            probe.skip_spaces();
            Construction::Unknown
        }
        None => return None,
    };
    let rim = rim_code(&mut probe)?;
    *scanner = probe;
    Some(Size::Flotation { diameter_hundredths, width_hundredths, construction, rim, suffix: Suffix::None })
}

/// Moves over `7.50R16`, `7.50-16`, `10R22.5`.
fn take_numeric(scanner: &mut Scanner<'_>) -> Option<Size> {
    let mut probe = *scanner;
    let (width_hundredths, decimals) = hundredths(&mut probe)?;
    if !(400..=1700).contains(&width_hundredths) {
        return None;
    }
    let construction = match construction_letter(&mut probe) {
        Some(construction) => construction,
        None if decimals == 2 && probe.eat('-') => Construction::Diagonal,
        None => return None,
    };
    let rim = rim_code(&mut probe)?;
    // Whole inches are written only with the half-inch codes of truck tires.
    if decimals == 0 && rim.tenths() % 10 != 5 {
        return None;
    }
    *scanner = probe;
    Some(Size::Numeric { width_hundredths, construction, rim, suffix: Suffix::None })
}

/// Moves over what is joined to a size: `C`, `LT`, a load range letter; or over `C` and `LT` set
/// apart where they can be nothing else. `None` where the size runs on into other letters.
fn take_suffix(scanner: &mut Scanner<'_>, size: &mut Size) -> Option<Option<LoadRange>> {
    let light_truck = size.marking() == Some(Marking::LightTruck);
    let mut probe = *scanner;
    if probe.eat_text("lt") && (probe.ends_word() || take_range_letter(&mut probe.clone()).is_some()) {
        *size = with_suffix(*size, Suffix::Lt);
        *scanner = probe;
        return Some(joined_range(scanner));
    }
    let mut probe = *scanner;
    if probe.eat('c') && probe.ends_word() {
        *scanner = probe;
        // An LT size is no commercial one, so its C is the load range.
        if light_truck {
            return Some(LoadRange::from_letter('C'));
        }
        *size = with_suffix(*size, Suffix::C);
        return Some(None);
    }
    if let Some(range) = joined_range(scanner) {
        return Some(Some(range));
    }
    let mut probe = *scanner;
    if take_extra_load(&mut probe) {
        // Left for the caller, who notes it.
        return Some(None);
    }
    if !scanner.ends_word() {
        return None;
    }
    let mut probe = *scanner;
    probe.skip_spaces();
    if probe.eat_word("lt") && probe.ends_word() && size.marking().is_none() {
        *size = with_suffix(*size, Suffix::Lt);
        *scanner = probe;
        return Some(None);
    }
    // "235/65 R16 C 121/119R": two indices behind the C of a size without LT are the commercial
    // form (common practice, no source); otherwise the C may be a load range.
    let mut probe = *scanner;
    probe.skip_spaces();
    if size.marking().is_none()
        && matches!(size, Size::Metric { .. })
        && probe.eat('c')
        && probe.peek() == Some(' ')
    {
        let after = probe;
        probe.skip_spaces();
        if take_description(&mut probe).is_some_and(|read| read.dual.is_some()) {
            *size = with_suffix(*size, Suffix::C);
            *scanner = after;
        }
    }
    Some(None)
}

/// Moves over a load range letter from C to G joined to what stands before it.
fn joined_range(scanner: &mut Scanner<'_>) -> Option<LoadRange> {
    if matches!(scanner.peek(), Some('c'..='g')) { take_range_letter(scanner) } else { None }
}
