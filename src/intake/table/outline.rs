//! What a whole table must be known to be before any row of it is read.

use std::hash::BuildHasher;

use foldhash::fast::RandomState;

use crate::facts::field::FieldSet;
use crate::facts::part::PartKind;
use crate::intake::heading::{Concept, understand};
use crate::intake::layout::{self, Layout, Look};
use crate::intake::proof;
use crate::intake::row_reader::RowReader;
use crate::intake::row_words::is_total;
use crate::intake::table::TableReader;
use crate::notation::number::ProvenMarks;
use crate::sheet::{CellKind, Irregular, Row, Tab};

/// What the whole table must be known to be before any row of it is read.
#[derive(Clone, Debug)]
pub struct Outline {
    layout: Layout,
    kind: PartKind,
    /// For each column of the layout, what its cells prove.
    marks: Vec<ProvenMarks>,
    /// The place in the layout of each column of the sheet whose cells may prove a decimal mark.
    place_of: Vec<Option<u16>>,
    sku: Option<usize>,
    /// How many headings have figures in them.
    with_figures: usize,
}

impl Outline {
    /// The outline of the table that starts in the first rows of a tab.
    ///
    /// None where no headings stand there.
    ///
    /// # Errors
    /// [`Irregular`] where it takes the whole table to understand its headings, and where there is more to remark on
    /// them than a count.
    pub fn of(first: &Tab) -> Result<Option<Self>, Irregular> {
        let Some(layout) = layout::find(first, None, Look::AtHeadings) else { return Ok(None) };
        let [kind] = layout.kinds[..] else { return Err(Irregular) };
        let holds = |concept| layout.columns.iter().any(|plan| plan.concept == concept);
        let in_need = [Concept::HoleCount, Concept::BoltCircle, Concept::Kind].into_iter().any(holds);
        let proven = layout.columns.iter().any(|plan| plan.proof().is_some());
        if in_need
            || proven
            || !holds(Concept::Sku)
            || layout.second_table.is_some()
            || layout.price.is_some()
            || proof::are_open(&layout.columns, &layout.kinds)
        {
            return Err(Irregular);
        }
        let mut place_of = Vec::new();
        for (place, plan) in layout.columns.iter().enumerate() {
            let column = plan.column.index();
            place_of.resize(place_of.len().max(column + 1), None);
            if let Some(of_column) = place_of.get_mut(column).filter(|_| layout::proves_marks(plan)) {
                *of_column = u16::try_from(place).ok();
            }
        }
        let sku = layout.columns.iter().position(|plan| plan.concept == Concept::Sku);
        let marks = vec![ProvenMarks::default(); layout.columns.len()];
        let with_figures = layout.columns.iter().filter(|plan| has_figure(&plan.heading)).count();
        Ok(Some(Self { layout, kind, marks, place_of, sku, with_figures }))
    }

    /// What the rows of the table are.
    #[must_use]
    pub fn kind(&self) -> PartKind {
        self.kind
    }

    /// A copy to look at other rows by, on another thread.
    #[must_use]
    pub fn blank(&self) -> Self {
        Self { marks: vec![ProvenMarks::default(); self.marks.len()], ..self.clone() }
    }

    /// Takes in what another copy saw.
    pub fn add(&mut self, other: &Self) {
        for (marks, others) in self.marks.iter_mut().zip(&other.marks) {
            *marks = marks.and(*others);
        }
    }

    /// Looks at rows, and hands out a hash of each part number.
    ///
    /// # Errors
    /// [`Irregular`] for a row that may change how those below it are read.
    pub fn look<'s>(
        &mut self,
        rows: impl Iterator<Item = Row<'s>>,
        shapes: &RowShapes<'_>,
        hasher: &RandomState,
        numbers: &mut Vec<u64>,
    ) -> Result<(), Irregular> {
        let sku =
            self.sku.and_then(|at| self.layout.columns.get(at)).map(|plan| plan.column).ok_or(Irregular)?;
        for row in rows.filter(|row| row.number() > self.layout.last_heading_row) {
            let cells = row.cells().len();
            let first = row.cells().next().map_or("", |cell| cell.trimmed());
            if cells == 1 && understand(first).unit.is_some() {
                return Err(Irregular);
            }
            // Titles and totals are no parts; theirs may stand as often as they like.
            let perhaps_part = cells > 1 && !is_total(first);
            let mut with_figures = 0;
            for cell in row.cells() {
                if cell.column == sku && perhaps_part {
                    numbers.push(hasher.hash_one(cell.trimmed()));
                }
                with_figures += usize::from(has_figure(cell.text));
                let place = self.place_of.get(cell.column.index()).copied().flatten();
                // A number that is stored as one has no mark.
                if cell.kind == CellKind::Text
                    && let Some(marks) = place.and_then(|place| self.marks.get_mut(usize::from(place)))
                {
                    marks.learn(cell.text);
                }
            }
            // What headings are is for the reader to tell. A row whose cells are mostly figures is none: a cell that says
            // its heading again has a figure only where the heading has one.
            let plain = with_figures * 2 > cells + 2 * self.with_figures && with_figures * 4 > cells;
            if !plain && shapes.0.is_headings(row) {
                return Err(Irregular);
            }
        }
        Ok(())
    }

    /// Reads rows by what all rows prove, for rules that read these facts.
    #[must_use]
    pub fn reader(&self, wanted: FieldSet) -> TableReader {
        let mut layout = self.layout.clone();
        layout::settle_decimal_marks(&mut layout.columns, &self.marks);
        TableReader::new(RowReader::new(layout, None), self.kind, wanted)
    }

    /// What tells headings among the rows.
    #[must_use]
    pub fn shapes(&self) -> RowShapes<'static> {
        RowShapes(RowReader::new(self.layout.clone(), None))
    }
}

/// Tells headings among rows.
#[derive(Debug)]
pub struct RowShapes<'p>(RowReader<'p>);

/// Whether a text holds a figure. Most that do begin or end with one.
fn has_figure(text: &str) -> bool {
    let text = text.as_bytes();
    let at_end = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_digit);
    at_end(text.last()) || at_end(text.first()) || text.iter().any(u8::is_ascii_digit)
}
