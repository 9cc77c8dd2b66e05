//! Tire designations, alone or within a longer description.
//!
//! A letter after a size may be a load range, a speed symbol or the start of a tread name; where it
//! stands decides, and where that does not settle it the letter is left over and nothing is read.

use std::ops::Range;

use super::Unread;
use super::mark::{SnowMarks, take_snow_mark};
use super::service::{
    ServiceDescription, ServiceKind, service_kind, take_description, take_extra_load, take_labeled_range,
    take_ply, take_range_letter, take_standard_load,
};
use super::text::{Scanner, looks_like_date, says_nothing};
use super::tire_size::take_size;
use crate::trade::load_range::LoadRange;
use crate::trade::tire::{Construction, Service, Size, Suffix};

/// What a text says about a tire.
#[derive(Clone, Debug, PartialEq)]
pub struct TireText {
    /// The size.
    pub size: Size,
    /// The bytes of the text that state the size.
    pub span: Range<usize>,
    /// Load indices and speed symbol; all absent where none stands.
    pub service: ServiceDescription,
    /// The bytes of the service description.
    pub service_span: Option<Range<usize>>,
    /// A second service description, in brackets or after the first; kept but not used.
    pub second_service: Option<ServiceDescription>,
    /// Load range by its letter.
    pub load_range: Option<LoadRange>,
    /// Ply rating.
    pub ply_rating: Option<u8>,
    /// `XL` or reinforced.
    pub extra_load: bool,
    /// Snow marks named in the text; `None` where not mentioned.
    pub snow: SnowMarks,
    /// The words before the size: perhaps supplier and tread name. Empty where none stand.
    pub before: Range<usize>,
    /// The words behind the size that hold no fact known here.
    pub left_over: Vec<Range<usize>>,
}

impl TireText {
    /// The service the size is built for, as far as the text tells.
    ///
    /// # Errors
    ///
    /// As [`service_kind`]; a second service description counts as a second load index.
    pub fn service_kind(&self) -> Result<ServiceKind, Unread> {
        let second = self.second_service.and_then(|second| second.single);
        let dual = self.service.dual.or(second);
        service_kind(self.size, dual, self.load_range, self.ply_rating)
    }
}

/// Sidewall and build words that may follow a load range letter; folded. Common practice, no source.
const SIDEWALLS: &[&str] = &[
    "owl", "rwl", "orwl", "rbl", "bsw", "bw", "blk", "bl", "obl", "vsb", "wsw", "rowl", "tl", "tt",
    "tubeless", "radial",
];

/// Reads a tire designation, alone or within a longer text: `LT265/70R17/E 121/118S`,
/// `235/65R16C 121/119R`, `35x12.50R17LT 121Q E`, `Fellside AT LT265/70R17 121/118S OWL`.
///
/// # Errors
///
/// The reason; [`Unread::TwoMeanings`] for two different sizes, or a load range and a ply rating
/// that disagree.
pub fn tire(text: &str) -> Result<TireText, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    let (size, span, range) = loop {
        scanner.skip_spaces();
        if scanner.peek().is_none() {
            return Err(if looks_like_date(text) { Unread::LooksLikeDate } else { Unread::NotUnderstood });
        }
        let start = scanner.at();
        if let Some((size, range)) = take_size(&mut scanner) {
            break (size, scanner.since(start), range);
        }
        next_word(&mut scanner);
    };
    let mut found = TireText {
        size,
        before: trimmed(text, 0..span.start),
        span,
        service: ServiceDescription { single: None, dual: None, speed: None },
        service_span: None,
        second_service: None,
        load_range: range,
        ply_rating: None,
        extra_load: false,
        snow: SnowMarks::default(),
        left_over: Vec::new(),
    };
    read_rest(&mut scanner, &mut found)?;
    match (found.load_range, found.ply_rating) {
        // A C beside another ply rating is no load range, so it is the commercial C.
        (Some(range), Some(ply)) if range.ply() != ply => match commercial(found.size) {
            Some(size) if range.letter() == 'C' => Ok(TireText { size, load_range: None, ..found }),
            _ => Err(Unread::TwoMeanings),
        },
        _ => Ok(found),
    }
}

/// A metric size without letters as the commercial size it is with a C.
fn commercial(size: Size) -> Option<Size> {
    match size {
        Size::Metric {
            service: Service::Unmarked,
            width_mm,
            aspect,
            construction,
            rim,
            suffix: Suffix::None,
        } => {
            let (service, suffix) = (Service::Unmarked, Suffix::C);
            Some(Size::Metric { service, width_mm, aspect, construction, rim, suffix })
        }
        Size::Metric { .. } | Size::Numeric { .. } | Size::Flotation { .. } => None,
    }
}

/// Moves to where the next word may begin.
fn next_word(scanner: &mut Scanner<'_>) {
    while let Some(c) = scanner.bump() {
        if matches!(c, ' ' | ',' | ';' | '|' | '(' | ')' | ':' | '[' | ']') {
            return;
        }
    }
}

fn trimmed(text: &str, span: Range<usize>) -> Range<usize> {
    let part = text.get(span.clone()).unwrap_or_default();
    let loose = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | '|' | '(' | ':' | '-' | '[');
    let start = span.start + (part.len() - part.trim_start_matches(loose).len());
    let end = span.start + part.trim_end_matches(loose).len();
    start.min(end)..end
}

/// Takes what stands behind the size, element by element.
fn read_rest(scanner: &mut Scanner<'_>, found: &mut TireText) -> Result<(), Unread> {
    // A slash joined to the size or service sets off a load range: "R17/E".
    while scanner.peek().is_some() {
        let slashed = scanner.eat('/');
        while scanner.peek().is_some_and(|c| matches!(c, ' ' | ',' | ';' | '|' | '-' | ':')) {
            scanner.bump();
        }
        if scanner.peek() == Some('/') {
            continue;
        }
        let start = scanner.at();
        if scanner.peek().is_none() {
            break;
        }
        if scanner.eat('(') || scanner.eat('[') {
            bracket(scanner, found, start)?;
        } else if slashed && let Some(range) = take_range_letter(scanner) {
            note_range(found, range)?;
            gloss(scanner, found)?;
        } else if !element(scanner, found)? {
            let mut other = *scanner;
            if let Some((size, _)) = take_size(&mut other) {
                if size != found.size {
                    return Err(Unread::TwoMeanings);
                }
                *scanner = other;
                continue;
            }
            leave(scanner, found);
        }
    }
    Ok(())
}

/// Leaves one word over.
fn leave(scanner: &mut Scanner<'_>, found: &mut TireText) {
    let start = scanner.at();
    scanner.bump();
    while scanner.peek().is_some_and(|c| !matches!(c, ' ' | ',' | ';' | '|' | '(' | '[')) {
        scanner.bump();
    }
    found.left_over.push(scanner.since(start));
}

/// Moves over one element known behind a size; tells whether there was one.
fn element(scanner: &mut Scanner<'_>, found: &mut TireText) -> Result<bool, Unread> {
    // Words and marks begin with a letter, but for 3PMSF; indices and ply ratings with a figure.
    let is_word = !matches!(scanner.peek(), Some('0'..='2' | '4'..='9'));
    if is_word && take_snow_mark(scanner, &mut found.snow) {
        return Ok(true);
    }
    if is_word && take_extra_load(scanner) {
        found.extra_load = true;
        return Ok(true);
    }
    if is_word && take_standard_load(scanner) {
        return Ok(true);
    }
    if is_word && let Some(range) = take_labeled_range(scanner) {
        note_range(found, range)?;
        gloss(scanner, found)?;
        return Ok(true);
    }
    if let Some(ply) = take_ply(scanner) {
        note_ply(found, ply)?;
        return Ok(true);
    }
    let start = scanner.at();
    let mut probe = *scanner;
    if let Some(read) = take_description(&mut probe)
        // A lone figure before unknown words may be anything.
        && (read.speed.is_some() || read.dual.is_some() || known_follows(probe))
    {
        *scanner = probe;
        note_service(found, read, scanner.since(start))?;
        return Ok(true);
    }
    let mut probe = *scanner;
    if matches!(probe.peek(), Some('c'..='g'))
        && let Some(range) = take_range_letter(&mut probe)
        && !probe.peek().is_some_and(|c| matches!(c, '-' | '+' | '&' | '.'))
        && known_follows(probe)
    {
        *scanner = probe;
        note_range(found, range)?;
        gloss(scanner, found)?;
        return Ok(true);
    }
    Ok(false)
}

/// Whether the text ends here or goes on with something known, so that a lone letter or figure
/// before it is no part of a name.
fn known_follows(mut scanner: Scanner<'_>) -> bool {
    if scanner.at_end() {
        return true;
    }
    scanner.skip_spaces();
    if scanner.peek().is_some_and(|c| matches!(c, ',' | ';' | '|' | '(' | ')' | '[' | ']' | '/')) {
        return true;
    }
    let mut marks = SnowMarks::default();
    let mut letter = scanner;
    scanner.clone().eat_any(SIDEWALLS).is_some()
        || take_snow_mark(&mut scanner.clone(), &mut marks)
        || take_extra_load(&mut scanner.clone())
        || take_standard_load(&mut scanner.clone())
        || take_labeled_range(&mut scanner.clone()).is_some()
        || take_ply(&mut scanner.clone()).is_some()
        || take_description(&mut scanner.clone())
            .is_some_and(|read| read.speed.is_some() || read.dual.is_some())
        || (matches!(letter.peek(), Some('c'..='g'))
            && take_range_letter(&mut letter).is_some()
            && letter.at_end())
}

/// Moves over brackets: a second service description, a ply rating, a load range, or words.
fn bracket(scanner: &mut Scanner<'_>, found: &mut TireText, start: usize) -> Result<(), Unread> {
    let closes = |scanner: &mut Scanner<'_>| {
        scanner.skip_spaces();
        scanner.eat(')') || scanner.eat(']')
    };
    scanner.skip_spaces();
    let mut probe = *scanner;
    let inner = probe.at();
    if let Some(read) = take_description(&mut probe) {
        let span = probe.since(inner);
        if (read.speed.is_some() || read.dual.is_some()) && closes(&mut probe) {
            *scanner = probe;
            return note_service(found, read, span);
        }
    }
    let mut probe = *scanner;
    if let Some(range) = take_range_letter(&mut probe)
        && closes(&mut probe)
    {
        *scanner = probe;
        return note_range(found, range);
    }
    let mut probe = *scanner;
    if element(&mut probe, found)? {
        let _ = closes(&mut probe);
        *scanner = probe;
        return Ok(());
    }
    while scanner.peek().is_some_and(|c| !matches!(c, ')' | ']')) {
        scanner.bump();
    }
    scanner.bump();
    found.left_over.push(scanner.since(start));
    Ok(())
}

/// Moves over the ply rating beside a load range: `/10`, `(10)`, `10PR`.
fn gloss(scanner: &mut Scanner<'_>, found: &mut TireText) -> Result<(), Unread> {
    let mut probe = *scanner;
    let marked = probe.eat('/') || probe.eat_spaced('(');
    let ply = match take_ply(&mut probe) {
        Some(ply) => Some(ply),
        None if marked => probe
            .digits()
            .and_then(|(ply, _)| u8::try_from(ply).ok())
            .filter(|ply| LoadRange::from_ply(*ply).is_some()),
        None => None,
    };
    let _ = probe.eat(')');
    if let Some(ply) = ply
        && probe.ends_word()
    {
        *scanner = probe;
        note_ply(found, ply)?;
    }
    Ok(())
}

fn note_range(found: &mut TireText, range: LoadRange) -> Result<(), Unread> {
    if found.load_range.is_some_and(|earlier| earlier != range) {
        return Err(Unread::TwoMeanings);
    }
    found.load_range = Some(range);
    Ok(())
}

fn note_ply(found: &mut TireText, ply: u8) -> Result<(), Unread> {
    if found.ply_rating.is_some_and(|earlier| earlier != ply) {
        return Err(Unread::TwoMeanings);
    }
    found.ply_rating = Some(ply);
    Ok(())
}

fn note_service(found: &mut TireText, read: ServiceDescription, span: Range<usize>) -> Result<(), Unread> {
    if found.service_span.is_none() {
        found.service = read;
        found.service_span = Some(span);
    } else if read != found.service {
        if found.second_service.is_some_and(|earlier| earlier != read) {
            return Err(Unread::TwoMeanings);
        }
        found.second_service = Some(read);
    }
    Ok(())
}

/// Reads a column of constructions: `R`, `radial`, `ZR`, `bias`, `D`.
///
/// # Errors
///
/// The reason.
pub fn construction(text: &str) -> Result<Construction, Unread> {
    let words: &[(&str, Construction)] = &[
        ("r", Construction::Radial),
        ("radial", Construction::Radial),
        ("zr", Construction::SpeedRadial),
        ("b", Construction::BiasBelted),
        ("bias belted", Construction::BiasBelted),
        ("d", Construction::Diagonal),
        ("bias", Construction::Diagonal),
        ("bias ply", Construction::Diagonal),
        ("diagonal", Construction::Diagonal),
    ];
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    for (word, construction) in words {
        let mut probe = scanner;
        if probe.eat_word(word) && probe.at_end() {
            return Ok(*construction);
        }
    }
    // "-" alone is a filler, not a diagonal ply.
    Err(says_nothing(text).unwrap_or(Unread::NotUnderstood))
}

/// Reads a column of aspect ratios in %: `70`, `/70`, `70 %`.
///
/// # Errors
///
/// The reason.
pub fn aspect(text: &str) -> Result<u8, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    scanner.skip_spaces();
    let _ = scanner.eat('/');
    let (aspect, _) = scanner.digits().ok_or(Unread::NotUnderstood)?;
    let _ = scanner.eat_text(".0") || scanner.eat_spaced('%');
    match u8::try_from(aspect) {
        Ok(aspect @ 25..=100) if scanner.at_end() => Ok(aspect),
        _ => Err(Unread::NotUnderstood),
    }
}
