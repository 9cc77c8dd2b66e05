//! What the words of a row tell about it: totals, part numbers, wheel or tire; and how they are quoted.

use crate::facts::part::PartKind;
use crate::notation::service::service_word;
use crate::notation::text::fold;

/// A part number has digits and is one word; a section title is neither.
pub(super) fn looks_like_a_number(text: &str) -> bool {
    text.chars().any(|letter| letter.is_ascii_digit()) && !text.contains(char::is_whitespace)
}

pub(super) fn is_total(text: &str) -> bool {
    static TOTALS: [&str; 20] = [
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
    // Asked of every row: most texts begin with no word of these, which one look at two letters tells.
    let two = text.as_bytes().first_chunk::<2>().map(|two| two.map(|letter| letter.to_ascii_lowercase()));
    let starts = matches!(
        two.as_ref().map(<[u8; 2]>::as_slice),
        Some(b"to" | b"su" | b"gr" | b"av" | b"me" | b"co" | b"zw" | b"ge" | b"du" | b"an" | b"mo" | b"pr")
    );
    starts
        && TOTALS.iter().any(|total| {
            let said = text.get(..total.len()).is_some_and(|said| said.eq_ignore_ascii_case(total));
            said && !text.get(total.len()..).is_some_and(|rest| rest.starts_with(char::is_alphanumeric))
        })
}

pub(super) fn kind_named(text: &str) -> Option<PartKind> {
    // A llanta is a rim in Spain and a tire in Mexico: what else stands in the row decides.
    const WHEELS: [&str; 17] = [
        "wheel",
        "wheels",
        "rim",
        "rims",
        "alloy",
        "rad",
        "rader",
        "raeder",
        "jante",
        "jantes",
        "rin",
        "rines",
        "cerchio",
        "cerchi",
        "cerchione",
        "wiel",
        "wielen",
    ];
    const TIRES: [&str; 14] = [
        "tire",
        "tires",
        "tyre",
        "tyres",
        "pneu",
        "pneus",
        "neumatico",
        "neumaticos",
        "pneumatico",
        "pneumatici",
        "gomma",
        "gomme",
        "band",
        "banden",
    ];
    // Ends of compounds: Alufelgen, Ganzjahresreifen, winterbanden.
    const WHEEL_ENDS: [&str; 4] = ["felge", "felgen", "velg", "velgen"];
    const TIRE_ENDS: [&str; 2] = ["reifen", "banden"];
    let lower: String = text.chars().map(fold).collect();
    let has = |words: &[&str], ends: &[&str]| {
        lower
            .split(|letter: char| !letter.is_alphanumeric())
            .any(|word| words.contains(&word) || ends.iter().any(|end| word.ends_with(end)))
    };
    match (has(&WHEELS, &WHEEL_ENDS), has(&TIRES, &TIRE_ENDS)) {
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

/// A supplier's text on one line, for a sentence.
pub(super) fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::is_total;

    #[test]
    fn totals_are_told_by_their_first_word() {
        for text in [
            "Total",
            "TOTALS",
            "subtotal:",
            "Sub-total",
            "Grand Total",
            "sum",
            "Average",
            "avg.",
            "mean",
            "Count",
            "Summe",
            "Zwischensumme",
            "Gesamt",
            "Durchschnitt",
            "Anzahl",
            "Moyenne",
            "Totale",
            "Media",
            "Promedio",
            "totaal 12",
            "total",
        ] {
            assert!(is_total(text), "{text}");
        }
        for text in
            ["", "T", "Totalo", "Summit", "VOR-1690", "Tangent", "Counter", "x total", "tot", "s\u{fc}m"]
        {
            assert!(!is_total(text), "{text}");
        }
    }
}
