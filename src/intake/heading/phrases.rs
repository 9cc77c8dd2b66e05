//! The words of `headings.toml`, laid out by the build script and sorted.

use super::{Concept, PriceKind};
use crate::notation::quantity::{LengthUnit, MassUnit, PressureUnit, Unit};

// The names of units in the list.
const MM: Unit = Unit::Length(LengthUnit::Mm);
const CM: Unit = Unit::Length(LengthUnit::Cm);
const IN: Unit = Unit::Length(LengthUnit::Inch);
const KG: Unit = Unit::Mass(MassUnit::Kg);
const LB: Unit = Unit::Mass(MassUnit::Lb);
const PSI: Unit = Unit::Pressure(PressureUnit::Psi);
const KPA: Unit = Unit::Pressure(PressureUnit::Kpa);
const BAR: Unit = Unit::Pressure(PressureUnit::Bar);

include!(concat!(env!("OUT_DIR"), "/headings.rs"));

/// The most words that a phrase has.
pub(super) const MOST_WORDS: usize = LONGEST;

/// Every phrase that names a concept, in the form phrases are compared in, sorted.
pub(super) fn known() -> &'static [(&'static str, Concept)] {
    &CONCEPTS
}

/// The concept that a phrase names, of words each [`singular`](super::singular::singular).
pub(super) fn concept(phrase: &str) -> Option<Concept> {
    meaning(&CONCEPTS, phrase)
}

/// The unit that a word is, letter for letter.
pub(super) fn unit(word: &str) -> Option<Unit> {
    meaning(&UNITS, word)
}

/// Whose price a word tells.
pub(super) fn price(word: &str) -> Option<PriceKind> {
    meaning(&PRICES, word)
}

/// Whether a word changes nothing.
pub(super) fn is_noise(word: &str) -> bool {
    meaning(&NOISE, word).is_some()
}

fn meaning<T: Copy>(table: &[(&str, T)], phrase: &str) -> Option<T> {
    let at = table.binary_search_by(|(known, _)| (*known).cmp(phrase)).ok()?;
    table.get(at).map(|(_, meaning)| *meaning)
}

#[cfg(test)]
mod tests {
    use super::{CONCEPTS, NOISE, PRICES, UNITS};
    use crate::intake::heading::{Concept, understand};

    #[test]
    fn every_concept_has_phrases_and_each_is_understood_as_it() {
        for concept in Concept::ALL {
            assert!(CONCEPTS.iter().any(|(_, named)| named == concept), "{}", concept.name());
            assert_eq!(concept.name().parse(), Ok(*concept));
        }
        for (phrase, concept) in CONCEPTS {
            assert_eq!(understand(phrase).concept, Some(concept), "{phrase}");
        }
    }

    #[test]
    fn tables_are_searched_so_they_are_sorted() {
        assert!(CONCEPTS.is_sorted_by(|(one, _), (other, _)| one < other));
        assert!(UNITS.is_sorted_by(|(one, _), (other, _)| one < other));
        assert!(PRICES.is_sorted_by(|(one, _), (other, _)| one < other));
        assert!(NOISE.is_sorted_by(|(one, _), (other, _)| one < other));
        assert!(UNITS.len() > 20);
    }
}
