//! What the words of a row tell about it: totals, part numbers, wheel or tire.

use crate::facts::part::PartKind;
use crate::notation::service::service_word;

/// A part number has digits and is one word; a section title is neither.
pub(super) fn looks_like_a_number(text: &str) -> bool {
    text.chars().any(|letter| letter.is_ascii_digit()) && !text.contains(char::is_whitespace)
}

pub(super) fn is_total(text: &str) -> bool {
    const TOTALS: [&str; 20] = [
        "total",
        "totals",
        "subtotal",
        "sub-total",
        "grand total",
        "sum",
        "average",
        "avg",
        "mean",
        "count",
        "summe",
        "zwischensumme",
        "gesamt",
        "durchschnitt",
        "anzahl",
        "moyenne",
        "totale",
        "media",
        "promedio",
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

/// Whether a category names goods that are neither wheels nor tires.
pub(super) fn names_other_goods(text: &str) -> bool {
    const OTHER: [&str; 26] = [
        "nut",
        "nuts",
        "bolt",
        "bolts",
        "lug",
        "lugs",
        "ring",
        "rings",
        "cap",
        "caps",
        "spacer",
        "spacers",
        "adapter",
        "adapters",
        "sensor",
        "sensors",
        "tpms",
        "valve",
        "valves",
        "tube",
        "tubes",
        "chain",
        "chains",
        "hardware",
        "accessory",
        "accessories",
    ];
    let lower = text.to_lowercase();
    lower.split(|letter: char| !letter.is_alphanumeric()).any(|word| OTHER.contains(&word))
}
