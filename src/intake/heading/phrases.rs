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

/// Phrases one behind the other, sorted, each with its bounds and what it means. Texts of their own would be as many
/// addresses, which every start of the program has to work out.
struct Table<T: 'static> {
    text: &'static str,
    rows: &'static [(u32, u32, T)],
}

impl<T: Copy> Table<T> {
    fn phrase(&self, (start, end, _): &(u32, u32, T)) -> &'static str {
        self.text.get(*start as usize..*end as usize).unwrap_or_default()
    }

    fn iter(&self) -> impl Iterator<Item = (&'static str, T)> {
        self.rows.iter().map(|row| (self.phrase(row), row.2))
    }

    fn meaning(&self, phrase: &str) -> Option<T> {
        let at = self.rows.binary_search_by(|row| self.phrase(row).cmp(phrase)).ok()?;
        self.rows.get(at).map(|row| row.2)
    }
}

/// Every phrase that names a concept, in the form phrases are compared in, sorted.
pub(super) fn known() -> impl Iterator<Item = (&'static str, Concept)> {
    CONCEPTS.iter()
}

/// The concept that a phrase names, of words each [`singular`](super::singular::singular).
pub(super) fn concept(phrase: &str) -> Option<Concept> {
    CONCEPTS.meaning(phrase)
}

/// The unit that a word is, letter for letter.
pub(super) fn unit(word: &str) -> Option<Unit> {
    UNITS.meaning(word)
}

/// Whose price a word tells.
pub(super) fn price(word: &str) -> Option<PriceKind> {
    PRICES.meaning(word)
}

/// Whether a word changes nothing.
pub(super) fn is_noise(word: &str) -> bool {
    NOISE.meaning(word).is_some()
}

#[cfg(test)]
mod tests {
    use super::{CONCEPTS, NOISE, PRICES, Table, UNITS};
    use crate::intake::heading::{Concept, understand};

    #[test]
    fn every_concept_has_phrases_and_each_is_understood_as_it() {
        for concept in Concept::ALL {
            assert!(CONCEPTS.iter().any(|(_, named)| named == *concept), "{}", concept.name());
            assert_eq!(concept.name().parse(), Ok(*concept));
        }
        for (phrase, concept) in CONCEPTS.iter() {
            assert_eq!(understand(phrase).concept, Some(concept), "{phrase}");
        }
    }

    #[test]
    fn tables_are_searched_so_they_are_sorted() {
        fn sorted<T: Copy>(table: &Table<T>) -> usize {
            let phrases: Vec<&str> = table.iter().map(|(phrase, _)| phrase).collect();
            assert!(
                phrases.is_sorted_by(|one, other| one < other)
                    && phrases.iter().all(|phrase| !phrase.is_empty())
            );
            phrases.len()
        }
        assert!(sorted(&CONCEPTS) > 2000);
        assert!(sorted(&UNITS) > 20 && sorted(&PRICES) > 20 && sorted(&NOISE) > 20);
    }
}
