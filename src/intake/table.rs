//! A table that is gone through row by row and never held: for sheets of one plain table.
//!
//! First every row is looked at once ([`Outline`]): only then is known how figures are to be read, and that no row
//! changes what the headings mean. Then rows are read ([`TableReader`]), each to the numbers of its facts. What is
//! not one plain table is [`Irregular`], and the whole intake must take it in.

use std::hash::BuildHasher;
use std::sync::Arc;

use foldhash::fast::RandomState;
use hashbrown::HashMap;

use crate::facts::alike::{AlikeFacts, NumberedRow, Standing};
use crate::facts::catalog::Weight;
use crate::facts::fact::Fact;
use crate::facts::field::Field;
use crate::facts::part::{PartKind, Spec};
use crate::intake::heading::{Concept, understand};
use crate::intake::layout::{self, Layout, Offers};
use crate::intake::merge::merge;
use crate::intake::proof;
use crate::intake::reading::read;
use crate::intake::row_reader::{Fate, RowReader, Weighs, states_facts};
use crate::intake::row_words::is_total;
use crate::intake::said::Said;
use crate::notation::number::{DecimalMark, decimal_evidence};
use crate::sheet::{Cell, Irregular, Row, Tab};

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
        let layout = layout::find(first, None, Offers::NotMade).ok_or(Irregular)?;
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
        shapes: &RowShapes<'_>,
        hasher: &RandomState,
        numbers: &mut Vec<u64>,
    ) -> Result<(), Irregular> {
        let sku =
            self.sku.and_then(|at| self.layout.columns.get(at)).map(|plan| plan.column).ok_or(Irregular)?;
        for row in tab.rows().filter(|row| row.number() > self.layout.last_heading_row) {
            let cells = row.cells().len();
            let first = row.cells().next().map_or("", |cell| cell.trimmed());
            if cells == 1 && understand(first).unit.is_some() {
                return Err(Irregular);
            }
            // Titles and totals are no parts; theirs may stand as often as they like.
            let perhaps_part = cells > 1 && !is_total(first);
            let (mut with_figures, mut again) = (0, 0);
            for cell in row.cells() {
                if cell.column == sku && perhaps_part {
                    numbers.push(hasher.hash_one(cell.trimmed()));
                }
                with_figures += usize::from(has_figure(cell.text));
                let place = self.place_of.get(cell.column.index()).copied().flatten();
                let Some(place) = place.map(usize::from) else { continue };
                again +=
                    usize::from(self.layout.columns.get(place).is_some_and(|plan| says(&plan.heading, cell)));
                let Some(marks) = self.marks.get_mut(place).filter(|marks| marks.could_learn(cell.text))
                else {
                    continue;
                };
                match decimal_evidence(cell.text) {
                    Some(DecimalMark::Comma) => marks.comma = true,
                    Some(DecimalMark::Point) => marks.point = true,
                    None => {}
                }
            }
            // What headings are is for the reader to tell; no other row has so few figures, or says so again.
            if (with_figures * 4 <= cells || again * 2 > cells) && shapes.0.is_headings(row) {
                return Err(Irregular);
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

/// Whether a cell says what a heading says.
fn says(heading: &str, cell: Cell<'_>) -> bool {
    heading.len() <= cell.text.len() && heading.eq_ignore_ascii_case(cell.trimmed())
}

/// Whether a text holds a figure. Most that do begin or end with one.
fn has_figure(text: &str) -> bool {
    let text = text.as_bytes();
    let at_end = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_digit);
    at_end(text.last()) || at_end(text.first()) || text.iter().any(u8::is_ascii_digit)
}

impl Marks {
    /// Whether a text could prove what is not proven yet: only marks of decimals or thousands prove a decimal mark,
    /// and points prove a comma only where they set thousands apart twice.
    fn could_learn(self, text: &str) -> bool {
        let text = text.as_bytes();
        match (self.comma, self.point) {
            (true, true) => false,
            // Two groups of thousands take nine letters.
            (false, true) if text.len() < 9 => text.iter().any(|byte| *byte == b','),
            _ => {
                let mut marks = text.iter().enumerate().filter(|(_, byte)| matches!(**byte, b'.' | b','));
                let first = marks.next();
                first.is_some_and(|(at, _)| marks.next().is_some() || !sets_thousands_apart(text, at))
            }
        }
    }
}

/// Whether an only mark stands before three figures and behind one to three, as in `3,200`: that proves nothing,
/// whether it is a decimal mark or not. `0,125` does, and so may what goes on with something else than words.
fn sets_thousands_apart(text: &[u8], at: usize) -> bool {
    let (before, after) = (&text[..at], &text[at + 1..]);
    let leading = before.iter().rev().take_while(|byte| byte.is_ascii_digit()).count();
    let trailing = after.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let plain = |byte: Option<&u8>| byte.is_none_or(|byte| byte.is_ascii_alphabetic() || *byte == b' ');
    let start = at - leading;
    (1..=3).contains(&leading)
        && trailing == 3
        && text[start] != b'0'
        && plain(start.checked_sub(1).and_then(|at| text.get(at)))
        && plain(after.get(3))
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
///
/// Most rows are plainly parts, and are read straight from their cells. All others go to the [`RowReader`], which
/// knows every kind of row.
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
    fn new(rows: RowReader<'static>, kind: PartKind) -> Self {
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
                *role = Some(Role { place, is_read: states_facts(plan, kind), who });
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

    /// Forgets every cell and fact; no number holds any more.
    pub fn forget(&mut self) {
        self.rows.forget();
        for column in &mut self.columns {
            column.said.clear();
            column.stated.clear();
        }
        self.stated_facts.clear();
        self.facts = AlikeFacts::default();
        self.merged.clear();
        let fields = Field::of(self.kind.scope()).iter().zip(self.rows.missing(self.kind));
        for ((field, fact), missing) in fields.zip(&mut self.missing) {
            *missing = self.facts.number(*field, fact);
        }
    }

    /// How many distinct cells are kept.
    #[must_use]
    pub fn kept(&self) -> usize {
        self.columns.iter().map(|column| column.said.len()).sum::<usize>() + self.rows.kept()
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
        let text = |concept| self.rows.text_of(row, concept);
        Ok(Some(TableRow::Part {
            supplier: text(Concept::Supplier).unwrap_or(""),
            sku: sku.unwrap_or(""),
            name: text(Concept::Name).or_else(|| text(Concept::Tread)).unwrap_or(""),
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

/// What two cells of a row come to that state one field.
fn merged(field: Field, held: &Arc<Fact>, fact: &Arc<Fact>, concept: Concept, kind: PartKind) -> Arc<Fact> {
    let nothing = Arc::new(Fact::missing(None));
    let mut spec = Spec::new(kind, |at| Arc::clone(if at == field { held } else { &nothing }));
    merge(&mut spec, field, fact, concept);
    spec.fact(field).map_or(nothing, Arc::clone)
}

#[cfg(test)]
mod tests {
    use super::{MOST_FIELDS, Marks};
    use crate::facts::field::Field;
    use crate::facts::part::PartKind;
    use crate::notation::number::{DecimalMark, decimal_evidence};

    #[test]
    fn every_field_of_a_part_has_a_place_in_a_row() {
        for kind in PartKind::ALL {
            assert!(Field::of(kind.scope()).len() <= MOST_FIELDS);
        }
    }

    #[test]
    fn no_text_is_passed_over_that_could_prove_a_mark() {
        let figures = ["0", "3", "17", "3200", "450", "125", "000", "1"];
        let marks = [".", ",", "'", "/", "x", " ", "-", "½", ".5", ",5"];
        let ends = ["", " lb", "lb", "½", "#", "/120", " mm 8.5"];
        let mut texts: Vec<String> = figures.map(str::to_owned).to_vec();
        for _ in 0..3 {
            let mut longer = Vec::new();
            for text in &texts {
                for mark in marks {
                    longer.extend(figures.map(|figure| format!("{text}{mark}{figure}")));
                }
            }
            texts.extend(longer.into_iter().take(60_000));
        }
        let mut proving = 0;
        for text in texts.iter().flat_map(|text| ends.iter().map(move |end| format!("{text}{end}"))) {
            let Some(mark) = decimal_evidence(&text) else { continue };
            proving += 1;
            let comma = mark == DecimalMark::Comma;
            for (known_comma, known_point) in [(false, false), (!comma, comma)] {
                let marks = Marks { comma: known_comma, point: known_point };
                assert!(marks.could_learn(&text), "{text} proves {mark:?} beside {marks:?}");
            }
        }
        assert!(proving > 10_000, "{proving} texts prove something");
    }
}
