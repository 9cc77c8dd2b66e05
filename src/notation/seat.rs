//! Seats in words: English, German, French, Spanish, Italian and Dutch.
//!
//! The words are common practice, no source; the families behind them see `trade::seat`.

use super::Unread;
use super::number::{Spaces, number};
use super::text::{Scanner, says_nothing};
use crate::trade::quantity::Length;
use crate::trade::seat::{Seat, SeatKind};

/// Words that name a kind; folded.
const KINDS: &[(&str, SeatKind)] = &[
    ("cone", SeatKind::Cone),
    ("cones", SeatKind::Cone),
    ("coned", SeatKind::Cone),
    ("conical", SeatKind::Cone),
    ("conic", SeatKind::Cone),
    ("taper", SeatKind::Cone),
    ("tapered", SeatKind::Cone),
    ("acorn", SeatKind::Cone),
    ("kegel", SeatKind::Cone),
    ("kegelbund", SeatKind::Cone),
    ("kegelsitz", SeatKind::Cone),
    ("kegelform", SeatKind::Cone),
    ("kegelig", SeatKind::Cone),
    ("konus", SeatKind::Cone),
    ("konisch", SeatKind::Cone),
    ("konische", SeatKind::Cone),
    ("conique", SeatKind::Cone),
    ("coniques", SeatKind::Cone),
    ("conico", SeatKind::Cone),
    ("conica", SeatKind::Cone),
    ("cono", SeatKind::Cone),
    ("conisch", SeatKind::Cone),
    ("conische", SeatKind::Cone),
    ("ball", SeatKind::Ball),
    ("radius", SeatKind::Ball),
    ("radiused", SeatKind::Ball),
    ("round", SeatKind::Ball),
    ("sphere", SeatKind::Ball),
    ("spherical", SeatKind::Ball),
    ("kugel", SeatKind::Ball),
    ("kugelbund", SeatKind::Ball),
    ("kugelsitz", SeatKind::Ball),
    ("kugelig", SeatKind::Ball),
    ("kugelform", SeatKind::Ball),
    ("spherique", SeatKind::Ball),
    ("spheriques", SeatKind::Ball),
    ("esferico", SeatKind::Ball),
    ("esferica", SeatKind::Ball),
    ("sferico", SeatKind::Ball),
    ("sferica", SeatKind::Ball),
    ("bola", SeatKind::Ball),
    ("bol", SeatKind::Ball),
    ("bolle", SeatKind::Ball),
    ("kogel", SeatKind::Ball),
    ("flat", SeatKind::Flat),
    ("flach", SeatKind::Flat),
    ("flachbund", SeatKind::Flat),
    ("flachsitz", SeatKind::Flat),
    ("planbund", SeatKind::Flat),
    ("plansitz", SeatKind::Flat),
    ("plat", SeatKind::Flat),
    ("plate", SeatKind::Flat),
    ("plano", SeatKind::Flat),
    ("plana", SeatKind::Flat),
    ("piatto", SeatKind::Flat),
    ("piatta", SeatKind::Flat),
    ("piano", SeatKind::Flat),
    ("piana", SeatKind::Flat),
    ("vlak", SeatKind::Flat),
    ("vlakke", SeatKind::Flat),
    ("mag", SeatKind::Shank),
    ("shank", SeatKind::Shank),
    ("sleeve", SeatKind::Shank),
];

/// Words beside a kind that change nothing; folded.
const FILLING: &[&str] = &[
    "seat", "seats", "seating", "style", "type", "lug", "lugs", "nut", "nuts", "bolt", "bolts", "shape",
    "form", "w", "with", "washer", "washers", "mit", "scheibe", "avec", "rondelle", "con", "arandela",
    "rondella", "met", "ring", "sitz", "bund", "auflage", "mutter", "schraube", "siege", "portee", "assise",
    "asiento", "sede", "zitting", "deg", "degree", "degrees", "grad", "degres", "grados", "gradi", "graden",
    "angle", "mm", "only",
];

/// Reads a seat: `60° Cone`, `Acorn`, `Kegel 60°`, `Ball R14`, `R13`, `Flat w/ washer`, `mag`.
///
/// A cone without an angle keeps none: see [`Seat::is_cone_without_angle`].
///
/// # Errors
///
/// The reason; [`Unread::TwoMeanings`] for two kinds or two sizes in one cell.
pub fn seat(text: &str) -> Result<Seat, Unread> {
    if let Some(why) = says_nothing(text) {
        return Err(why);
    }
    let mut scanner = Scanner::new(text);
    let mut kind = None;
    let mut radius = None;
    let mut degrees = None;
    let mut bare = None;
    while let Some(c) = scanner.peek() {
        if c.is_ascii_digit() {
            let value = size(&mut scanner).ok_or(Unread::NotUnderstood)?;
            let mut probe = scanner;
            probe.skip_spaces();
            let is_angle = probe.peek() == Some('°')
                || probe
                    .eat_any(&["deg", "degree", "degrees", "grad", "degres", "grados", "gradi", "graden"])
                    .is_some();
            let place = if is_angle {
                &mut degrees
            } else if probe.eat_word("mm") {
                &mut radius
            } else {
                &mut bare
            };
            state(place, value)?;
        } else if c == 'r' {
            let mut probe = scanner;
            probe.bump();
            let _ = probe.eat('-') || probe.eat('.') || probe.skip_spaces();
            match size(&mut probe) {
                Some(value) => {
                    state(&mut radius, value)?;
                    scanner = probe;
                }
                None => word(&mut scanner, &mut kind)?,
            }
        } else if c.is_alphabetic() {
            word(&mut scanner, &mut kind)?;
        } else if matches!(c, ' ' | ',' | ';' | '/' | '-' | '(' | ')' | '.' | '°' | '+' | '&' | '=' | ':') {
            scanner.bump();
        } else {
            return Err(Unread::NotUnderstood);
        }
    }
    assemble(kind, radius, degrees, bare)
}

/// Moves over an angle or a radius. No seat has thousands of either, so `14.508` has one reading.
fn size(scanner: &mut Scanner<'_>) -> Option<f64> {
    let (value, _) = number(scanner, Spaces::End)?.resolve(None, |size| size < 1000.0).ok()?;
    Some(value)
}

/// Takes the value, unless another one stands there already.
fn state(place: &mut Option<f64>, value: f64) -> Result<(), Unread> {
    if place.is_some_and(|earlier| (earlier - value).abs() > 1e-9) {
        return Err(Unread::TwoMeanings);
    }
    *place = Some(value);
    Ok(())
}

/// Moves over one word and takes the kind it names, if any.
fn word(scanner: &mut Scanner<'_>, kind: &mut Option<SeatKind>) -> Result<(), Unread> {
    // A flat washer under a mag nut is no second kind of seat.
    if scanner.eat_text("flat washer") {
        return Ok(());
    }
    for (spelling, named) in KINDS {
        if scanner.eat_word(spelling) {
            if kind.is_some_and(|earlier| earlier != *named) {
                return Err(Unread::TwoMeanings);
            }
            *kind = Some(*named);
            return Ok(());
        }
    }
    scanner.eat_any(FILLING).map(|_| ()).ok_or(Unread::NotUnderstood)
}

fn assemble(
    kind: Option<SeatKind>,
    radius: Option<f64>,
    degrees: Option<f64>,
    bare: Option<f64>,
) -> Result<Seat, Unread> {
    // Sizes written without a kind name it: only balls have a radius and only cones an angle.
    let kind = match (kind, radius, degrees) {
        (Some(kind), _, _) => kind,
        (None, Some(_), None) => SeatKind::Ball,
        (None, None, Some(_)) => SeatKind::Cone,
        (None, _, _) => return Err(Unread::NotUnderstood),
    };
    match kind {
        SeatKind::Cone => match (radius, degrees.or(bare)) {
            (None, None) => Ok(Seat::Cone { degrees: None }),
            (None, Some(size)) if degrees.is_none() || bare.is_none() => whole_degrees(size)
                .map(|degrees| Seat::Cone { degrees: Some(degrees) })
                .ok_or(Unread::NotUnderstood),
            _ => Err(Unread::TwoMeanings),
        },
        SeatKind::Ball => match (degrees, radius, bare) {
            (None, None, None) => Ok(Seat::Ball { radius: None }),
            (None, Some(size), None) | (None, None, Some(size)) if (10.0..=20.0).contains(&size) => {
                Ok(Seat::Ball { radius: Some(Length::from_mm(size)) })
            }
            (Some(_), _, _) | (None, Some(_), Some(_)) => Err(Unread::TwoMeanings),
            _ => Err(Unread::NotUnderstood),
        },
        SeatKind::Flat if (radius, degrees, bare) == (None, None, None) => Ok(Seat::Flat),
        SeatKind::Shank if (radius, degrees, bare) == (None, None, None) => Ok(Seat::Shank),
        SeatKind::Flat | SeatKind::Shank => Err(Unread::NotUnderstood),
    }
}

/// A cone's angle in whole degrees, if it is one that cones have.
fn whole_degrees(size: f64) -> Option<u8> {
    (40_u8..=120).find(|degrees| (f64::from(*degrees) - size).abs() < 1e-9)
}
