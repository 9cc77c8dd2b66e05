//! The distinct texts of one column, each with a number of its own, so that each is read once.

use std::hash::BuildHasher;

use foldhash::fast::RandomState;
use hashbrown::HashTable;

use crate::sheet::{Cell, CellKind, NumberFormat};

/// What the cells of one column have said so far.
///
/// A text of another kind, or under another number format, says something else: the number `38` is not the
/// text `38`.
#[derive(Debug, Default)]
pub(super) struct Said {
    /// The longer texts and all number formats, one behind the other.
    text: String,
    spans: Vec<Span>,
    /// Places in `spans`.
    table: HashTable<u32>,
    seeds: Seeds,
}

/// What hashes begin with: other in each run, so that no sheet can be made to slow it down.
#[derive(Clone, Copy, Debug)]
struct Seeds(u64, u64);

impl Default for Seeds {
    fn default() -> Self {
        let state = RandomState::default();
        Self(state.hash_one(0_u8), state.hash_one(1_u8))
    }
}

impl Seeds {
    /// One multiplication, whose halves are laid over one another: for three words it is all that is needed.
    #[inline]
    fn hash(self, ends: Ends) -> u64 {
        let one = u128::from(ends.first ^ self.0);
        let other = u128::from(ends.last.rotate_left(29) ^ u64::from(ends.length) ^ self.1);
        let product = one.wrapping_mul(other | 1);
        (product as u64) ^ ((product >> 64) as u64)
    }
}

/// One text. Most are short and wholly told by their ends.
#[derive(Clone, Copy, Debug)]
struct Span {
    ends: Ends,
    kind: CellKind,
    start: usize,
    /// The length of the number format behind the text.
    format: u32,
}

/// The first and last eight bytes of a text, and its length: all of a text of sixteen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Ends {
    first: u64,
    last: u64,
    length: u32,
}

/// Texts up to this length are told by their ends.
const SHORT: usize = 16;

impl Ends {
    #[inline]
    fn of(text: &[u8]) -> Self {
        let length = u32::try_from(text.len()).unwrap_or(u32::MAX);
        let (first, last) = match (text.first_chunk::<8>(), text.last_chunk::<8>()) {
            (Some(first), Some(last)) => (u64::from_le_bytes(*first), u64::from_le_bytes(*last)),
            _ => match (text.first_chunk::<4>(), text.last_chunk::<4>()) {
                (Some(first), Some(last)) => {
                    (u64::from(u32::from_le_bytes(*first)), u64::from(u32::from_le_bytes(*last)))
                }
                _ => (text.iter().fold(0, |all, byte| all << 8 | u64::from(*byte)), 0),
            },
        };
        Self { first, last, length }
    }
}

impl Said {
    /// The number of what a cell says: the next free one, where it was not said before.
    #[inline]
    pub(super) fn number(&mut self, cell: Cell<'_>) -> u32 {
        let text = cell.text.as_bytes();
        let format = cell.format.map_or("", NumberFormat::code);
        let ends = Ends::of(text);
        let hash = self.seeds.hash(ends);
        let said = self.table.find(hash, |at| {
            let span = self.spans[*at as usize];
            span.ends == ends
                && span.kind == cell.kind
                && (text.len() <= SHORT && format.is_empty() && span.format == 0
                    || self.kept(span) == (cell.text, format))
        });
        if let Some(at) = said {
            return *at;
        }
        let next = u32::try_from(self.spans.len()).unwrap_or(u32::MAX);
        let start = self.text.len();
        self.text.push_str(cell.text);
        self.text.push_str(format);
        let format = u32::try_from(format.len()).unwrap_or(u32::MAX);
        self.spans.push(Span { ends, kind: cell.kind, start, format });
        let Self { spans, table, seeds, .. } = self;
        table.insert_unique(hash, next, |at| seeds.hash(spans[*at as usize].ends));
        next
    }

    /// A text that was said, and its number format.
    fn kept(&self, span: Span) -> (&str, &str) {
        let end = span.start + span.ends.length as usize;
        let behind = end + span.format as usize;
        (self.text.get(span.start..end).unwrap_or(""), self.text.get(end..behind).unwrap_or(""))
    }

    /// How many different things were said.
    pub(super) fn len(&self) -> usize {
        self.spans.len()
    }

    /// Forgets everything; numbers start again.
    pub(super) fn clear(&mut self) {
        self.text.clear();
        self.spans.clear();
        self.table.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::Said;
    use crate::sheet::{Cell, CellKind, Column, Origin};

    fn cell(text: &str, kind: CellKind) -> Cell<'_> {
        Cell { column: Column::default(), text, kind, origin: Origin::Typed, format: None }
    }

    #[test]
    fn alike_cells_have_one_number_and_others_have_others() {
        let mut said = Said::default();
        let long = "x".repeat(40);
        let texts = [
            "",
            "3",
            "38",
            "380",
            "3800",
            "38000",
            "ET38",
            "ET 38",
            "+38 mm",
            "+38.0 mm",
            "-38.0 mm",
            "17x8.5 ET38 6x1",
            "17x8.5 ET38 6x13",
            "17x8.5 ET38 6x130",
            "17x8.5 ET39 6x130",
            "17x8.5-ET38 6x130",
            &long,
        ];
        for (number, text) in (0..).zip(texts) {
            assert_eq!(said.number(cell(text, CellKind::Text)), number, "{text}");
        }
        for (number, text) in (0..).zip(texts) {
            assert_eq!(said.number(cell(text, CellKind::Text)), number, "{text}");
        }
        let next = texts.len() as u32;
        assert_eq!(said.number(cell("38", CellKind::Number)), next);
        for more in 0..1000 {
            assert_eq!(said.number(cell(&format!("text {more}"), CellKind::Text)), next + 1 + more);
        }
        assert_eq!(said.number(cell("ET38", CellKind::Text)), 6);
        assert_eq!(said.len(), texts.len() + 1001);
        said.clear();
        assert_eq!(said.number(cell("ET38", CellKind::Text)), 0);
    }

    #[test]
    fn a_text_of_any_length_is_told_by_its_ends_and_itself() {
        let mut said = Said::default();
        let mut next = 0;
        for length in 0..40 {
            for changed in 0..length {
                let mut text = vec![b'a'; length];
                text[changed] = b'b';
                let text = String::from_utf8(text).unwrap();
                assert_eq!(said.number(cell(&text, CellKind::Text)), next, "{text}");
                next += 1;
            }
        }
    }
}
