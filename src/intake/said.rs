//! The distinct texts of one column, each with a number of its own, so that each is read once.

use foldhash::fast::RandomState;
use hashbrown::HashTable;
use std::hash::BuildHasher;

use crate::sheet::{Cell, CellKind, NumberFormat};

/// What the cells of one column have said so far.
///
/// A text of another kind, or under another number format, says something else: the number `38` is not the
/// text `38`.
#[derive(Debug, Default)]
pub(super) struct Said {
    /// All texts, one behind the other.
    text: String,
    spans: Vec<Span>,
    /// Places in `spans`.
    table: HashTable<u32>,
    hasher: RandomState,
}

#[derive(Clone, Copy, Debug)]
struct Span {
    start: usize,
    length: u32,
    kind: CellKind,
    /// The length of the number format behind the text.
    format: u32,
}

impl Said {
    /// The number of what a cell says: the next free one, where it was not said before.
    pub(super) fn number(&mut self, cell: Cell<'_>) -> u32 {
        let format = cell.format.map_or("", NumberFormat::code);
        let hash = self.hasher.hash_one(cell.text);
        let said = self.table.find(hash, |at| {
            let span = self.spans[*at as usize];
            let end = span.start + span.length as usize;
            span.kind == cell.kind
                && self.text.as_bytes()[span.start..end] == *cell.text.as_bytes()
                && self.text.as_bytes()[end..end + span.format as usize] == *format.as_bytes()
        });
        if let Some(at) = said {
            return *at;
        }
        let next = self.spans.len() as u32;
        let start = self.text.len();
        self.text.push_str(cell.text);
        self.text.push_str(format);
        self.spans.push(Span {
            start,
            length: cell.text.len() as u32,
            kind: cell.kind,
            format: format.len() as u32,
        });
        let Self { text, spans, table, hasher } = self;
        table.insert_unique(hash, next, |at| {
            let span = spans[*at as usize];
            hasher.hash_one(&text[span.start..span.start + span.length as usize])
        });
        next
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
        assert_eq!(said.number(cell("38", CellKind::Text)), 0);
        assert_eq!(said.number(cell("38", CellKind::Number)), 1);
        assert_eq!(said.number(cell("ET38", CellKind::Text)), 2);
        assert_eq!(said.number(cell("38", CellKind::Text)), 0);
        for more in 0..1000 {
            assert_eq!(said.number(cell(&format!("x{more}"), CellKind::Text)), 3 + more);
        }
        assert_eq!(said.number(cell("ET38", CellKind::Text)), 2);
        said.clear();
        assert_eq!(said.number(cell("ET38", CellKind::Text)), 0);
    }
}
