//! A table that is gone through row by row and never held: for sheets of one plain table.
//!
//! First every row is looked at once ([`Outline`]): only then is known how figures are to be read, and that no row
//! changes what the headings mean. Then rows are read ([`TableReader`]), each to the numbers of its facts. What is
//! not one plain table is [`Irregular`], and the whole intake must take it in.

use std::hash::BuildHasher;
use std::sync::Arc;

use foldhash::fast::RandomState;
use hashbrown::HashMap;

use crate::facts::alike::{AlikeFacts, Standing};
use crate::facts::fact::Fact;
use crate::facts::field::Field;
use crate::facts::part::{PartKind, Spec};
use crate::intake::heading::{Concept, understand};
use crate::intake::layout::{self, Layout};
use crate::intake::merge::merge;
use crate::intake::proof;
use crate::intake::row_reader::{Fate, RowReader};
use crate::notation::number::{DecimalMark, decimal_evidence};
use crate::sheet::{Irregular, Row, Tab};

/// What the whole table must be known to be before any row of it is read.
#[derive(Clone, Debug)]
pub struct Outline {
    layout: Layout,
    kind: PartKind,
    /// For each column of the layout, whether cells prove a comma, and a point.
    marks: Vec<Marks>,
    /// The place in the layout of each column of the sheet.
    place_of: Vec<Option<u16>>,
    sku: Option<usize>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Marks {
    comma: bool,
    point: bool,
}

impl Outline {
    /// The outline of the table that starts in the first rows of a tab.
    ///
    /// # Errors
    /// [`Irregular`] where there is none, where it takes the whole table to understand its headings, and where
    /// there is more to remark on them than a count.
    pub fn of(first: &Tab) -> Result<Self, Irregular> {
        let layout = layout::find(first, None).ok_or(Irregular)?;
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
            if let Some(of_column) = place_of.get_mut(column).filter(|_| plan.concept != Concept::Link) {
                *of_column = u16::try_from(place).ok();
            }
        }
        let sku = layout.columns.iter().position(|plan| plan.concept == Concept::Sku);
        let marks = vec![Marks::default(); layout.columns.len()];
        Ok(Self { layout, kind, marks, place_of, sku })
    }

    /// What the rows of the table are.
    #[must_use]
    pub fn kind(&self) -> PartKind {
        self.kind
    }

    /// A copy to look at other rows by, on another thread.
    #[must_use]
    pub fn blank(&self) -> Self {
        Self { marks: vec![Marks::default(); self.marks.len()], ..self.clone() }
    }

    /// Takes in what another copy saw.
    pub fn add(&mut self, other: &Self) {
        for (marks, others) in self.marks.iter_mut().zip(&other.marks) {
            marks.comma |= others.comma;
            marks.point |= others.point;
        }
    }

    /// Looks at rows, and hands out a hash of each part number.
    ///
    /// # Errors
    /// [`Irregular`] for a row that may change how those below it are read.
    pub fn look(
        &mut self,
        tab: &Tab,
        reader: &RowShapes<'_>,
        hasher: &RandomState,
        numbers: &mut Vec<u64>,
    ) -> Result<(), Irregular> {
        let sku = self.sku.and_then(|at| self.layout.columns.get(at)).map(|plan| plan.column).ok_or(Irregular)?;
        for row in tab.rows().filter(|row| row.number() > self.layout.last_heading_row) {
            if row.cells().len() == 1 {
                let only = row.cells().next().map_or("", |cell| cell.text.trim());
                if understand(only).unit.is_some() {
                    return Err(Irregular);
                }
            }
            if reader.0.is_headings(row) {
                return Err(Irregular);
            }
            for cell in row.cells() {
                if cell.column == sku {
                    numbers.push(hasher.hash_one(cell.text.trim()));
                }
                let place = self.place_of.get(cell.column.index()).copied().flatten();
                let Some(marks) = place.and_then(|place| self.marks.get_mut(usize::from(place))) else {
                    continue;
                };
                if !could_prove(cell.text, *marks) {
                    continue;
                }
                match decimal_evidence(cell.text) {
                    Some(DecimalMark::Comma) => marks.comma = true,
                    Some(DecimalMark::Point) => marks.point = true,
                    None => {}
                }
            }
        }
        Ok(())
    }

    /// Reads rows by what all rows prove.
    #[must_use]
    pub fn reader(&self) -> TableReader {
        let mut layout = self.layout.clone();
        let marks: Vec<(bool, bool)> = self.marks.iter().map(|marks| (marks.comma, marks.point)).collect();
        layout::settle_decimal_marks(&mut layout.columns, &marks);
        TableReader::new(RowReader::new(layout, None), self.kind)
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

/// Whether a text could prove what is not proven yet: only marks of decimals or thousands prove a decimal mark, and
/// a point proves a comma only where it sets thousands apart twice.
fn could_prove(text: &str, marks: Marks) -> bool {
    let text = text.as_bytes();
    match (marks.comma, marks.point) {
        (true, true) => false,
        (false, true) if text.len() < 9 => text.contains(&b','),
        _ => text.iter().any(|byte| matches!(byte, b'.' | b',')),
    }
}

/// A row of a table, with nothing of it kept.
#[derive(Debug)]
pub enum TableRow<'s> {
    /// A wheel or tire; the numbers of its facts stand in [`TableReader::numbers`].
    Part {
        /// Who sells it.
        supplier: &'s str,
        /// The supplier's number for it.
        sku: &'s str,
        /// Its model name.
        name: &'s str,
        /// Faults to be remarked on in its cells.
        faults: u32,
    },
    /// Nothing that can be judged; it may be a fault of the sheet.
    Reported {
        /// Faults to be remarked on.
        faults: u32,
    },
    /// A title, note, total or the like.
    Furniture,
}

/// Reads the rows of one table to numbers of facts.
#[derive(Debug)]
pub struct TableReader {
    reader: RowReader<'static>,
    kind: PartKind,
    facts: AlikeFacts,
    /// For each reading what it states, once it was asked.
    numbered: Vec<Option<Numbered>>,
    /// For each field the number of a fact that nothing states.
    missing: Vec<u32>,
    merged: HashMap<Merging, u32, RandomState>,
    row: Vec<u32>,
}

/// What one cell states, by number.
#[derive(Clone, Debug)]
struct Numbered {
    facts: Box<[(Field, u32)]>,
    unreadable: bool,
}

/// Two facts of one field in one row, and the meaning of the second's column.
type Merging = (Field, u32, u32, Concept);

impl TableReader {
    fn new(reader: RowReader<'static>, kind: PartKind) -> Self {
        let mut new = Self {
            reader,
            kind,
            facts: AlikeFacts::default(),
            numbered: Vec::new(),
            missing: Vec::new(),
            merged: HashMap::default(),
            row: Vec::new(),
        };
        new.forget();
        new
    }

    /// Forgets every cell and fact; no number holds any more.
    pub fn forget(&mut self) {
        self.reader.forget();
        self.facts = AlikeFacts::default();
        self.numbered.clear();
        self.merged.clear();
        let missing = Field::of(self.kind.scope()).iter().zip(self.reader.missing(self.kind));
        self.missing = missing.map(|(field, fact)| self.facts.number(*field, fact)).collect();
    }

    /// How many distinct cells are kept.
    #[must_use]
    pub fn kept(&self) -> usize {
        self.reader.kept()
    }

    /// The facts behind the numbers.
    pub fn facts(&mut self) -> &mut AlikeFacts {
        &mut self.facts
    }

    /// The numbers of the facts of the row read last, in slot order; and the facts behind them.
    pub fn numbers(&mut self) -> (&[u32], &mut AlikeFacts) {
        (&self.row, &mut self.facts)
    }

    /// Reads a row; none for those of the headings and above.
    ///
    /// # Errors
    /// [`Irregular`] where the row should have been found to be so before.
    pub fn read<'s>(&mut self, row: Row<'s>) -> Result<Option<TableRow<'s>>, Irregular> {
        if row.number() <= self.reader.layout().last_heading_row {
            return Ok(None);
        }
        let (kind, sku) = match self.reader.row(row) {
            Fate::Part(kind, sku) => (kind, sku),
            Fate::Reported(remark) => {
                let faults = u32::from(remark.weight == crate::facts::catalog::Weight::Fault);
                return Ok(Some(TableRow::Reported { faults }));
            }
            Fate::Furniture => return Ok(Some(TableRow::Furniture)),
            Fate::UnitNote(_) | Fate::PerhapsHeadings => return Err(Irregular),
        };
        if kind != self.kind {
            return Err(Irregular);
        }
        let mut faults = u32::from(sku.is_none());
        self.row.clear();
        self.row.extend_from_slice(&self.missing);
        for (place, reading) in self.reader.read() {
            if self.numbered.len() <= *reading {
                self.numbered.resize(*reading + 1, None);
            }
            if self.numbered[*reading].is_none() {
                let said = self.reader.reading(*reading);
                if said.holes.is_some() || said.circle.is_some() {
                    return Err(Irregular);
                }
                let facts = said.facts.iter().map(|(field, fact)| (*field, self.facts.number(*field, fact)));
                let numbered = Numbered { facts: facts.collect(), unreadable: said.unreadable.is_some() };
                self.numbered[*reading] = Some(numbered);
            }
            let Some(numbered) = &self.numbered[*reading] else { continue };
            faults += u32::from(numbered.unreadable);
            for (field, number) in &numbered.facts {
                let held = &mut self.row[field.slot()];
                if *held == self.missing[field.slot()] {
                    *held = *number;
                    continue;
                }
                let concept = self.reader.layout().columns[*place].concept;
                let merging = (*field, *held, *number, concept);
                *held = match self.merged.get(&merging) {
                    Some(known) => *known,
                    None => {
                        let both = merged(*field, self.facts.fact(*held), self.facts.fact(*number), concept, kind);
                        let number = self.facts.number(*field, &both);
                        self.merged.insert(merging, number);
                        number
                    }
                };
            }
        }
        let twice = self.row.iter().filter(|number| self.facts.standing(**number) == Standing::Contradicted);
        faults += twice.count() as u32;
        let name = self.reader.text_of(row, Concept::Name).or_else(|| self.reader.text_of(row, Concept::Tread));
        Ok(Some(TableRow::Part {
            supplier: self.reader.text_of(row, Concept::Supplier).unwrap_or(""),
            sku: sku.unwrap_or(""),
            name: name.unwrap_or(""),
            faults,
        }))
    }
}

/// What two cells of a row come to that state one field.
fn merged(field: Field, held: &Arc<Fact>, fact: &Arc<Fact>, concept: Concept, kind: PartKind) -> Arc<Fact> {
    let nothing = Arc::new(Fact::missing(None));
    let mut spec = Spec::new(kind, |at| Arc::clone(if at == field { held } else { &nothing }));
    merge(&mut spec, field, fact, concept);
    spec.fact(field).map_or(nothing, Arc::clone)
}
