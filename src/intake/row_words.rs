//! What the words of a row tell about it: totals, part numbers, wheel or tire.

use crate::facts::part::PartKind;
use crate::notation::service::service_word;

/// A part number has digits and is one word; a section title is neither.
pub(super) fn looks_like_a_number(text: &str) -> bool {
    text.chars().any(|letter| letter.is_ascii_digit()) && !text.contains(char::is_whitespace)
}

pub(super) fn is_total(text: &str) -> bool {
    const TOTALS: [&str; 10] = [
        "total",
        "subtotal",
        "sub-total",
        "grand total",
        "sum",
        "summe",
        "zwischensumme",
        "gesamt",
        "totale",
        "totaal",
    ];
    let lower = text.to_lowercase();
    TOTALS
        .iter()
        .any(|total| lower.strip_prefix(total).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric)))
}

pub(super) fn kind_named(text: &str) -> Option<PartKind> {
    const WHEELS: [&str; 12] = [
        "wheel", "wheels", "rim", "rims", "alloy", "felge", "felgen", "rad", "jante", "jantes", "llanta",
        "cerchio",
    ];
    const TIRES: [&str; 10] =
        ["tire", "tires", "tyre", "tyres", "reifen", "pneu", "pneus", "neumatico", "pneumatico", "band"];
    let lower = text.to_lowercase();
    let has = |words: &[&str]| {
        lower.split(|letter: char| !letter.is_alphanumeric()).any(|word| words.contains(&word))
    };
    match (has(&WHEELS), has(&TIRES)) {
        (true, false) => Some(PartKind::Wheel),
        (false, true) => Some(PartKind::Tire),
        _ => service_word(text).ok().map(|_| PartKind::Tire),
    }
}
