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
    table: HashTable<u32>,
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
        let known = self.table.find(hash, |at| {
            let (known, alike) = &self.facts[*at as usize];
            *known == field && are_alike(field, alike, fact)
        });
        if let Some(at) = known {
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
        let Self { facts, table, hasher, .. } = self;
        table.insert_unique(hash, next, |at| {
            let (field, fact) = &facts[*at as usize];
            hash_of(hasher, *field, fact)
        });
        next
    }

    /// A fact with a number that was given out.
    #[must_use]
    pub fn fact(&self, number: u32) -> &Arc<Fact> {
        &self.facts[number as usize].1
    }

    /// How the fact with a number stands.
    #[must_use]
    pub fn standing(&self, number: u32) -> Standing {
        self.standing[number as usize]
    }

    /// How many numbers were given out.
    #[must_use]
    pub fn len(&self) -> usize {
        self.facts.len()
    }

    /// Whether none was.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.facts.is_empty()
    }
}

/// Whether a fact's spelling is ever shown.
fn is_shown(field: Field, fact: &Fact) -> bool {
    match &fact.state {
        State::Known(Value::Number(_)) => !matches!(field.kind(), Kind::Quantity(_)) || field.unit().is_none(),
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

/// Numbers of rows of numbers, all of one width.
#[derive(Debug)]
pub struct Combinations {
    width: usize,
    rows: Vec<u32>,
    table: HashTable<u32>,
    hasher: RandomState,
    /// Where the width is one, the number of each.
    direct: Vec<u32>,
}

/// No number.
const NONE: u32 = u32::MAX;

impl Combinations {
    /// Combinations of so many numbers.
    #[must_use]
    pub fn of(width: usize) -> Self {
        let hasher = RandomState::default();
        Self { width, rows: Vec::new(), table: HashTable::new(), hasher, direct: Vec::new() }
    }

    /// The number of a combination, and whether it is new: then it is the next free one.
    pub fn number(&mut self, row: &[u32]) -> (u32, bool) {
        debug_assert_eq!(row.len(), self.width, "combinations are of one width");
        if let [only] = row {
            let at = *only as usize;
            if at >= self.direct.len() {
                self.direct.resize(at + 1, NONE);
            }
            if self.direct[at] != NONE {
                return (self.direct[at], false);
            }
            let next = self.rows.len() as u32;
            self.rows.push(*only);
            self.direct[at] = next;
            return (next, true);
        }
        let Self { width, rows, table, hasher, .. } = self;
        let row_at = |rows: &[u32], at: u32| -> std::ops::Range<usize> {
            let start = at as usize * *width;
            debug_assert!(start + *width <= rows.len(), "every number has its row");
            start..start + *width
        };
        let hash = hasher.hash_one(row);
        if let Some(at) = table.find(hash, |at| rows[row_at(rows, *at)] == *row) {
            return (*at, false);
        }
        let next = table.len() as u32;
        rows.extend_from_slice(row);
        table.insert_unique(hash, next, |at| hasher.hash_one(&rows[row_at(rows, *at)]));
        (next, true)
    }

    /// How many combinations there are.
    #[must_use]
    pub fn len(&self) -> usize {
        if self.width == 1 { self.rows.len() } else { self.table.len() }
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}
