//! Rows of one table to the numbers of their facts.

use std::sync::Arc;

use foldhash::fast::RandomState;
use hashbrown::HashMap;

use crate::facts::alike::{AlikeFacts, NumberedRow, Standing};
use crate::facts::catalog::Weight;
use crate::facts::fact::Fact;
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::{PartKind, Spec};
use crate::intake::column::ColumnPlan;
use crate::intake::heading::Concept;
use crate::intake::merge::merge;
use crate::intake::reading::read;
use crate::intake::row_reader::{Fate, RowReader, Weighs, states_facts};
use crate::intake::row_words::is_total;
use crate::intake::said::Said;
use crate::sheet::{Cell, Irregular, Row};

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
///
/// Most rows are plainly parts, and are read straight from their cells. All others go to the
/// reader of rows that the whole intake has, which knows every kind.
#[derive(Debug)]
pub struct TableReader {
    rows: RowReader<'static>,
    kind: PartKind,
    /// For each column of the sheet what it is to a part.
    roles: Vec<Option<Role>>,
    /// For each column of the layout, what its cells said, and what that states.
    columns: Vec<ColumnSaid>,
    /// The facts that cells state: each with its slot and its number.
    stated_facts: Vec<(Field, u8, u32)>,
    facts: AlikeFacts,
    /// For each field the number of a fact that nothing states.
    missing: [u32; MOST_FIELDS],
    merged: HashMap<Merging, u32, RandomState>,
    row: [u32; MOST_FIELDS],
    /// Whether the row read last states something twice and not alike.
    contradicted: bool,
}

/// Fields that a kind of part may have.
const MOST_FIELDS: usize = 32;

/// What the cells of a column said, and what each of that states.
#[derive(Debug, Default)]
struct ColumnSaid {
    said: Said,
    stated: Vec<Stated>,
}

/// What a column of the sheet is to a part.
#[derive(Clone, Copy, Debug)]
struct Role {
    place: u16,
    /// Whether its cells state facts.
    is_read: bool,
    who: Option<Identity>,
}

/// What tells parts apart.
#[derive(Clone, Copy, Debug)]
enum Identity {
    Sku,
    Supplier,
    Name,
    Tread,
}

/// The texts that tell a part apart, by [`Identity`].
type Identities<'s> = [Option<&'s str>; 4];

/// What one cell states.
#[derive(Clone, Copy, Debug)]
struct Stated {
    /// Where its facts begin among all that are stated.
    from: u32,
    /// How many they are.
    count: u8,
    /// How many facts it is good for, to tell a part.
    known: u8,
    unreadable: bool,
}

/// Two facts of one field in one row, and the meaning of the second's column.
type Merging = (Field, u32, u32, Concept);

impl TableReader {
    pub(super) fn new(rows: RowReader<'static>, kind: PartKind, wanted: FieldSet) -> Self {
        let columns = &rows.layout().columns;
        let mut roles = Vec::new();
        for (place, plan) in columns.iter().enumerate() {
            let column = plan.column.index();
            roles.resize(roles.len().max(column + 1), None);
            let who = match plan.concept {
                Concept::Sku => Some(Identity::Sku),
                Concept::Supplier => Some(Identity::Supplier),
                Concept::Name => Some(Identity::Name),
                Concept::Tread => Some(Identity::Tread),
                _ => None,
            };
            if let (Some(role), Ok(place)) = (roles.get_mut(column), u16::try_from(place)) {
                let is_read = states_facts(plan, kind) && !is_idle(plan, columns, kind, wanted);
                *role = Some(Role { place, is_read, who });
            }
        }
        let places = columns.len();
        let mut new = Self {
            rows,
            kind,
            roles,
            columns: Vec::new(),
            stated_facts: Vec::new(),
            facts: AlikeFacts::default(),
            missing: [0; MOST_FIELDS],
            merged: HashMap::default(),
            row: [0; MOST_FIELDS],
            contradicted: false,
        };
        new.columns.resize_with(places, ColumnSaid::default);
        new.forget();
        new
    }

    /// Forgets what every cell said, and no fact: their numbers hold on.
    pub fn forget_texts(&mut self) {
        self.rows.forget();
        for column in &mut self.columns {
            column.said.clear();
            column.stated.clear();
        }
        self.stated_facts.clear();
    }

    /// Forgets every cell and fact; no number holds any more.
    pub fn forget(&mut self) {
        self.forget_texts();
        self.facts = AlikeFacts::default();
        self.merged.clear();
        let fields = Field::of(self.kind.scope()).iter().zip(self.rows.missing(self.kind));
        for ((field, fact), missing) in fields.zip(&mut self.missing) {
            *missing = self.facts.number(*field, fact);
        }
    }

    /// How many distinct texts of cells are kept.
    #[must_use]
    pub fn texts(&self) -> usize {
        self.columns.iter().map(|column| column.said.len()).sum::<usize>() + self.rows.kept()
    }

    /// How many distinct facts are kept, and pairs of them that stood in one row.
    #[must_use]
    pub fn facts(&self) -> usize {
        self.facts.count() + self.merged.len()
    }

    /// The row read last, for judging.
    pub fn numbers(&mut self) -> NumberedRow<'_> {
        let fields = Field::of(self.kind.scope()).len();
        NumberedRow { numbers: &self.row[..fields], contradicted: self.contradicted, facts: &mut self.facts }
    }

    /// Reads a row; none for those of the headings and above.
    ///
    /// # Errors
    /// [`Irregular`] where the row should have been found to be so before.
    pub fn read<'s>(&mut self, row: Row<'s>) -> Result<Option<TableRow<'s>>, Irregular> {
        if row.number() <= self.rows.layout().last_heading_row {
            return Ok(None);
        }
        if let Some(part) = self.plain_part(row)? {
            return Ok(Some(part));
        }
        let (kind, sku) = match self.rows.row(row) {
            Fate::Part(kind, sku) => (kind, sku),
            Fate::Reported(remark) => {
                return Ok(Some(TableRow::Reported { faults: u32::from(remark.weight == Weight::Fault) }));
            }
            Fate::Furniture => return Ok(Some(TableRow::Furniture)),
            Fate::UnitNote(_) | Fate::PerhapsHeadings => return Err(Irregular),
        };
        if kind != self.kind {
            return Err(Irregular);
        }
        self.start();
        let mut faults = u32::from(sku.is_none());
        for cell in row.cells() {
            let role = self.roles.get(cell.column.index()).copied().flatten();
            if let Some(role) = role.filter(|role| role.is_read) {
                let stated = self.stated(role, cell)?;
                faults += u32::from(stated.unreadable) + self.put(stated, role);
            }
        }
        Ok(Some(TableRow::Part {
            supplier: self.rows.text_of(row, Concept::Supplier).unwrap_or(""),
            sku: sku.unwrap_or(""),
            name: self.rows.name_of(row).unwrap_or(""),
            faults,
        }))
    }

    /// Reads a row that is plainly a part: it has a number, states something, and is no total; `None` for others.
    #[inline]
    fn plain_part<'s>(&mut self, row: Row<'s>) -> Result<Option<TableRow<'s>>, Irregular> {
        let first = row.cells().next().map_or("", |cell| cell.trimmed());
        if row.cells().len() == 1 || is_total(first) {
            return Ok(None);
        }
        self.start();
        let mut who: Identities<'s> = [None; 4];
        let (mut faults, mut known) = (0, 0);
        for cell in row.cells() {
            let Some(role) = self.roles.get(cell.column.index()).copied().flatten() else { continue };
            if let Some(identity) = role.who
                && let Some(text) = who.get_mut(identity as usize).filter(|text| text.is_none())
            {
                *text = Some(cell.trimmed());
            }
            if role.is_read {
                let stated = self.stated(role, cell)?;
                known += u32::from(stated.known);
                faults += u32::from(stated.unreadable) + self.put(stated, role);
            }
        }
        let [Some(sku), supplier, name, tread] = who else { return Ok(None) };
        if known == 0 || name.is_some_and(is_total) {
            return Ok(None);
        }
        let name = name.or(tread).unwrap_or("");
        Ok(Some(TableRow::Part { supplier: supplier.unwrap_or(""), sku, name, faults }))
    }

    /// Starts a row that states nothing yet.
    fn start(&mut self) {
        self.contradicted = false;
        self.row = self.missing;
    }

    /// What a cell states; alike cells of a column are read once.
    #[inline]
    fn stated(&mut self, role: Role, cell: Cell<'_>) -> Result<Stated, Irregular> {
        let place = usize::from(role.place);
        let column = &mut self.columns[place];
        let number = column.said.number(cell) as usize;
        match column.stated.get(number) {
            Some(stated) => Ok(*stated),
            None => self.state(place, cell),
        }
    }

    #[cold]
    fn state(&mut self, place: usize, cell: Cell<'_>) -> Result<Stated, Irregular> {
        let plan = self.rows.layout().columns.get(place).ok_or(Irregular)?;
        let reading = read(plan, self.kind, cell);
        if reading.holes.is_some() || reading.circle.is_some() {
            return Err(Irregular);
        }
        let from = u32::try_from(self.stated_facts.len()).map_err(|_| Irregular)?;
        let count = u8::try_from(reading.facts.len()).map_err(|_| Irregular)?;
        for (field, fact) in &reading.facts {
            let slot = u8::try_from(field.slot()).map_err(|_| Irregular)?;
            self.stated_facts.push((*field, slot, self.facts.number(*field, fact)));
        }
        let known = Weighs::of(&reading, plan.concept).known;
        let stated = Stated { from, count, known, unreadable: reading.unreadable.is_some() };
        self.columns[place].stated.push(stated);
        Ok(stated)
    }

    /// Puts what a cell states into the row; gives how many facts it makes the row contradict itself about.
    #[inline]
    fn put(&mut self, stated: Stated, role: Role) -> u32 {
        let mut contradicted = 0;
        let from = stated.from as usize;
        for at in from..from + usize::from(stated.count) {
            let (field, slot, number) = self.stated_facts[at];
            let slot = usize::from(slot) % MOST_FIELDS;
            if self.row[slot] == self.missing[slot] {
                self.row[slot] = number;
            } else {
                contradicted += self.put_besides(field, slot, number, role);
            }
        }
        contradicted
    }

    /// Puts a fact beside one that states the same field.
    fn put_besides(&mut self, field: Field, slot: usize, number: u32, role: Role) -> u32 {
        let held = self.row[slot];
        let concept = self.rows.layout().columns[usize::from(role.place)].concept;
        let merging = (field, held, number, concept);
        let both = match self.merged.get(&merging) {
            Some(known) => *known,
            None => {
                let both = merged(field, self.facts.fact(held), self.facts.fact(number), concept, self.kind);
                let both = self.facts.number(field, &both);
                self.merged.insert(merging, both);
                both
            }
        };
        self.row[slot] = both;
        let contradicted = both != held && self.facts.standing(both) == Standing::Contradicted;
        self.contradicted |= contradicted;
        u32::from(contradicted)
    }
}

/// Whether nothing can come of reading a column: it holds names of any spelling, which no rule asks for and no other
/// column states.
fn is_idle(plan: &ColumnPlan, columns: &[ColumnPlan], kind: PartKind, wanted: FieldSet) -> bool {
    let states = |plan: &ColumnPlan| plan.states(kind).iter().copied().collect::<FieldSet>();
    let own = states(plan);
    let names = matches!(plan.concept, Concept::Supplier | Concept::Name | Concept::Finish | Concept::Tread);
    names && !wanted.meets(own) && columns.iter().filter(|other| states(other).meets(own)).count() == 1
}

/// What two cells of a row come to that state one field.
fn merged(field: Field, held: &Arc<Fact>, fact: &Arc<Fact>, concept: Concept, kind: PartKind) -> Arc<Fact> {
    let nothing = Arc::new(Fact::missing(None));
    let mut spec = Spec::new(kind, |at| Arc::clone(if at == field { held } else { &nothing }));
    merge(&mut spec, field, fact, concept);
    spec.fact(field).map_or(nothing, Arc::clone)
}

#[cfg(test)]
mod tests {
    use super::MOST_FIELDS;
    use crate::facts::field::Field;
    use crate::facts::part::PartKind;

    #[test]
    fn every_field_of_a_part_has_a_place_in_a_row() {
        for kind in PartKind::ALL {
            assert!(Field::of(kind.scope()).len() <= MOST_FIELDS);
        }
    }
}
