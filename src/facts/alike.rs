//! Facts that nothing tells apart, each with one number.
//!
//! Thousands of rows say `ET38` in a dozen spellings. Whatever is worked out from their facts is the same as long
//! as the facts are alike, so it is worked out once for each number, or each few numbers, and looked up after that.

use std::hash::{BuildHasher, Hash, Hasher};
use std::sync::Arc;

use foldhash::fast::RandomState;
use hashbrown::HashTable;

use crate::facts::fact::{Fact, State};
use crate::facts::field::Field;
use crate::facts::value::{Kind, Value};

/// Numbers of facts; alike facts of one field have one number.
///
/// Facts are alike that no rule, no sentence of a rule and no derivation tells apart: all is equal but the
/// supplier's spelling, which is never shown of a quantity that has a unit, nor of what cannot be used.
#[derive(Debug, Default)]
pub struct AlikeFacts {
    facts: Vec<(Field, Arc<Fact>)>,
    standing: Vec<Standing>,
    /// Hashes with the places of their facts, so that no fact is gone to in vain.
    table: HashTable<(u64, u32)>,
    hasher: RandomState,
}

/// What is asked of a fact before all else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It has a value.
    Known,
    /// Nothing states it.
    Missing,
    /// A cell states it and cannot be read.
    Unreadable,
    /// The row contradicts itself about it.
    Contradicted,
}

impl AlikeFacts {
    /// The number of a fact of a field: the next free one, if no alike fact has one.
    pub fn number(&mut self, field: Field, fact: &Arc<Fact>) -> u32 {
        let hash = hash_of(&self.hasher, field, fact);
        let known = self.table.find(hash, |(of, at)| {
            *of == hash && {
                let (known, alike) = &self.facts[*at as usize];
                *known == field && are_alike(field, alike, fact)
            }
        });
        if let Some((_, at)) = known {
            return *at;
        }
        let next = self.facts.len() as u32;
        self.facts.push((field, Arc::clone(fact)));
        self.standing.push(match fact.state {
            State::Known(_) => Standing::Known,
            State::Missing => Standing::Missing,
            State::Unreadable(_) => Standing::Unreadable,
            State::Contradicted(_) => Standing::Contradicted,
        });
        self.table.insert_unique(hash, (hash, next), |(of, _)| *of);
        next
    }

    /// How many numbers were given out.
    #[must_use]
    pub fn count(&self) -> usize {
        self.facts.len()
    }

    /// A fact with a number that was given out.
    #[must_use]
    pub fn fact(&self, number: u32) -> &Arc<Fact> {
        &self.facts[number as usize].1
    }

    /// How the fact with a number stands.
    #[must_use]
    #[inline]
    pub fn standing(&self, number: u32) -> Standing {
        self.standing[number as usize]
    }
}

/// A row of one part by the numbers of its facts.
#[derive(Debug)]
pub struct NumberedRow<'r> {
    /// The numbers, in slot order.
    pub numbers: &'r [u32],
    /// Whether the row states some fact twice and not alike.
    pub contradicted: bool,
    /// The facts behind the numbers.
    pub facts: &'r mut AlikeFacts,
}

/// Whether a fact's spelling is ever shown.
fn is_shown(field: Field, fact: &Fact) -> bool {
    match &fact.state {
        State::Known(Value::Number(_)) => {
            !matches!(field.kind(), Kind::Quantity(_)) || field.unit().is_none()
        }
        // A size is shown as it was understood.
        State::Known(Value::Size(_)) => false,
        State::Known(_) => true,
        State::Missing | State::Unreadable(_) | State::Contradicted(_) => false,
    }
}

fn are_alike(field: Field, one: &Fact, other: &Fact) -> bool {
    let spelling = one.text == other.text
        || (one.text.is_empty() == other.text.is_empty() && !is_shown(field, one) && !is_shown(field, other));
    spelling
        && one.unit == other.unit
        && one.column == other.column
        && one.from == other.from
        && one.state == other.state
}

fn hash_of(hasher: &RandomState, field: Field, fact: &Fact) -> u64 {
    let mut state = hasher.build_hasher();
    (field as u8).hash(&mut state);
    match &fact.state {
        State::Known(Value::Number(count)) => count.to_bits().hash(&mut state),
        State::Known(Value::Size(size)) => size.hash(&mut state),
        State::Known(_) => fact.text.hash(&mut state),
        State::Missing => {}
        State::Unreadable(why) => why.hash(&mut state),
        State::Contradicted(contradiction) => contradiction.hash(&mut state),
    }
    state.finish()
}

/// Numbers of combinations of numbers, all of one width.
#[derive(Debug)]
pub struct Combinations {
    by_width: ByWidth,
    hasher: RandomState,
    /// How many there are.
    count: u32,
}

#[derive(Debug)]
enum ByWidth {
    /// For each number that of its combination.
    One(Vec<u32>),
    /// Up to four numbers, packed, each with that of its combination.
    Packed(HashTable<(u128, u32)>),
    /// All combinations, one behind the other, and a table of their numbers.
    Wide { width: usize, rows: Vec<u32>, table: HashTable<u32> },
}

/// No number.
const NONE: u32 = u32::MAX;

impl Combinations {
    /// Combinations of so many numbers.
    #[must_use]
    pub fn of(width: usize) -> Self {
        let by_width = match width {
            1 => ByWidth::One(Vec::new()),
            0..=4 => ByWidth::Packed(HashTable::new()),
            _ => ByWidth::Wide { width, rows: Vec::new(), table: HashTable::new() },
        };
        Self { by_width, hasher: RandomState::default(), count: 0 }
    }

    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count as usize
    }

    /// The number of the combination that a row of numbers holds at some places, and whether it is new: then it is
    /// the next free one.
    #[inline]
    pub fn number(&mut self, row: &[u32], places: &[usize]) -> (u32, bool) {
        let Self { by_width, hasher, count } = self;
        let next = *count;
        let known = match by_width {
            ByWidth::One(known) => {
                let at = row[places[0]] as usize;
                if at >= known.len() {
                    known.resize(at + 1, NONE);
                }
                let number = known[at];
                if number == NONE {
                    known[at] = next;
                }
                number
            }
            ByWidth::Packed(table) => {
                let packed = places.iter().fold(0, |all: u128, at| all << 32 | u128::from(row[*at]));
                let hash = hasher.hash_one(packed);
                match table.find(hash, |(known, _)| *known == packed) {
                    Some((_, number)) => *number,
                    None => {
                        table.insert_unique(hash, (packed, next), |(packed, _)| hasher.hash_one(packed));
                        NONE
                    }
                }
            }
            ByWidth::Wide { width, rows, table } => {
                let start = rows.len();
                rows.extend(places.iter().map(|at| row[*at]));
                let row_of = |at: u32| at as usize * *width..(at as usize + 1) * *width;
                let hash = hasher.hash_one(&rows[start..]);
                match table.find(hash, |at| rows[row_of(*at)] == rows[start..]).copied() {
                    Some(number) => {
                        rows.truncate(start);
                        number
                    }
                    None => {
                        table.insert_unique(hash, next, |at| hasher.hash_one(&rows[row_of(*at)]));
                        NONE
                    }
                }
            }
        };
        if known != NONE {
            return (known, false);
        }
        *count += 1;
        (next, true)
    }
}

#[cfg(test)]
mod tests {
    use super::Combinations;

    #[test]
    fn combinations_of_every_width_keep_their_numbers() {
        for width in 0..7_usize {
            let mut seen = Combinations::of(width);
            // The places are taken from behind, so that they cannot be passed over.
            let places: Vec<usize> = (0..width).map(|place| 9 - place).collect();
            let row = |nth: u32| -> Vec<u32> { (0..10).map(|place| nth / (place + 1)).collect() };
            let told = |nth: u32| -> Vec<u32> { places.iter().map(|place| row(nth)[*place]).collect() };
            let mut found: Vec<Vec<u32>> = Vec::new();
            for nth in (0..200).chain(0..200) {
                let (number, new) = seen.number(&row(nth), &places);
                assert_eq!(new, number as usize == found.len(), "width {width}, row {nth}");
                if new {
                    found.push(told(nth));
                }
                assert_eq!(found[number as usize], told(nth), "width {width}");
            }
            found.sort();
            found.dedup();
            assert_eq!(found.len(), seen.count as usize, "width {width}");
        }
    }
}
