//! One row at a time: what it is, and what its cells say.
//!
//! Takes in the rows of a table under one [`Layout`]; yields a [`Fate`] for each. Alike cells of a column are read
//! once. Remarks on a row are handed out, not kept, so that rows can be read that nobody holds.

use std::sync::Arc;

use crate::facts::catalog::Weight;
use crate::facts::fact::{Contradiction, Fact, From, State};
use crate::facts::field::Field;
use crate::facts::part::{PartKind, Spec};
use crate::facts::remark::RemarkKind;
use crate::facts::value::Value;
use crate::intake::column::{ColumnPlan, measure_alike};
use crate::intake::heading::{Concept, understand};
use crate::intake::layout::{self, Layout};
use crate::intake::merge::merge;
use crate::intake::profile::Profile;
use crate::intake::reading::{Reading, constant, read, translated};
use crate::intake::row_words::{is_total, kind_named, looks_like_a_number, names_other_goods, one_line};
use crate::intake::said::Said;
use crate::notation::tire::tire;
use crate::notation::wheel::wheel_mixed;
use crate::sheet::{Cell, CellKind, Column, Row};
use crate::trade::bolt_circle::Drilling;
use crate::trade::quantity::Length;

/// What a row turned out to be.
#[derive(Debug)]
pub(super) enum Fate<'s> {
    /// A wheel or tire; what its cells say stands in [`RowReader::read`].
    Part(PartKind, Option<&'s str>),
    /// Nothing that can be judged.
    Reported(RowRemark),
    /// A heading, note, total or the like.
    Furniture,
    /// Furniture that puts the units of some columns in doubt.
    UnitNote(RowRemark),
    /// Furniture that may be a further row of headings.
    PerhapsHeadings,
}

/// Something to know about a row.
#[derive(Debug)]
pub(super) struct RowRemark {
    pub(super) column: Option<Column>,
    pub(super) kind: RemarkKind,
    pub(super) says: String,
    pub(super) weight: Weight,
}

/// How much one cell says of a part.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weighs {
    /// Facts that can be used.
    pub(super) known: u8,
    /// Whether it says anything, be it unreadable.
    stated: bool,
}

impl Weighs {
    pub(super) fn of(reading: &Reading, concept: Concept) -> Self {
        if is_identity(concept) {
            return Self { known: 0, stated: false };
        }
        let known = match reading.unreadable {
            Some(_) => 0,
            // Free text counts for as many facts as it holds.
            None if concept == Concept::Description => reading.facts.len(),
            None => usize::from(!reading.facts.is_empty() || reading.circle.is_some()),
        };
        let stated = reading.unreadable.is_some() || !reading.facts.is_empty();
        Self { known: u8::try_from(known).unwrap_or(u8::MAX), stated }
    }
}

/// No reading yet.
const UNREAD: u32 = u32::MAX;

/// Reads rows under one layout.
#[derive(Debug)]
pub(super) struct RowReader<'p> {
    profile: Option<&'p Profile>,
    layout: Layout,
    places: Places,
    /// For each column of the layout, what its cells said.
    said: Vec<Said>,
    /// For each column, and each thing said there, its reading as a wheel's and as a tire's.
    reading_of: Vec<Vec<[u32; 2]>>,
    readings: Vec<Reading>,
    /// For each reading how much it says.
    weights: Vec<Weighs>,
    /// For each kind, a fact for every field that nothing states.
    missing: [Vec<Arc<Fact>>; 2],
    /// What the row read last says: the places of columns with their readings, from left to right.
    read: Vec<(usize, usize)>,
}

/// Which columns of a layout hold what, from left to right.
#[derive(Debug, Default)]
struct Places {
    /// For each column of the sheet its place in the layout.
    by_column: Vec<Option<u16>>,
    by_concept: Vec<(Concept, Vec<usize>)>,
    /// The headings that name a part: no row says them again but one of headings.
    naming: Vec<usize>,
}

impl Places {
    fn of(layout: &Layout) -> Self {
        let mut places = Self::default();
        for (place, plan) in layout.columns.iter().enumerate() {
            let column = plan.column.index();
            if places.by_column.len() <= column {
                places.by_column.resize(column + 1, None);
            }
            if let Some(of_column) = places.by_column.get_mut(column) {
                *of_column = u16::try_from(place).ok();
            }
            match places.by_concept.iter_mut().find(|(concept, _)| *concept == plan.concept) {
                Some((_, found)) => found.push(place),
                None => places.by_concept.push((plan.concept, vec![place])),
            }
            if matches!(
                plan.concept,
                Concept::Sku | Concept::Size | Concept::BoltPattern | Concept::Description
            ) {
                places.naming.push(place);
            }
        }
        places
    }

    fn of_concept(&self, concept: Concept) -> &[usize] {
        self.by_concept.iter().find(|(known, _)| *known == concept).map_or(&[], |(_, places)| places)
    }
}

impl<'p> RowReader<'p> {
    /// A reader of rows under a layout.
    pub(super) fn new(layout: Layout, profile: Option<&'p Profile>) -> Self {
        let columns = layout.columns.len();
        let mut reader = Self {
            profile,
            places: Places::of(&layout),
            layout,
            said: Vec::new(),
            reading_of: Vec::new(),
            readings: Vec::new(),
            weights: Vec::new(),
            missing: [Vec::new(), Vec::new()],
            read: Vec::new(),
        };
        reader.said.resize_with(columns, Said::default);
        reader.reading_of.resize_with(columns, Vec::new);
        reader.missing = PartKind::ALL.map(|kind| {
            Field::of(kind.scope()).iter().map(|field| Arc::new(reader.missing_fact(*field, kind))).collect()
        });
        reader
    }

    pub(super) fn layout(&self) -> &Layout {
        &self.layout
    }

    /// What the cells of the row read last say: places of columns in the layout, and readings.
    pub(super) fn read(&self) -> &[(usize, usize)] {
        &self.read
    }

    pub(super) fn reading(&self, at: usize) -> &Reading {
        &self.readings[at]
    }

    /// Every reading, with the place of its column.
    pub(super) fn readings(&self) -> impl Iterator<Item = (usize, &Reading)> {
        let places = self.reading_of.iter().enumerate();
        let readings = places.flat_map(|(place, said)| said.iter().flatten().map(move |at| (place, *at)));
        readings.filter_map(|(place, at)| Some((place, self.readings.get(at as usize)?)))
    }

    /// How many distinct cells are kept.
    pub(super) fn kept(&self) -> usize {
        self.said.iter().map(Said::len).sum()
    }

    /// Forgets what cells said; nothing that was handed out holds any more.
    pub(super) fn forget(&mut self) {
        self.said.iter_mut().for_each(Said::clear);
        self.reading_of.iter_mut().for_each(Vec::clear);
        self.readings.clear();
        self.weights.clear();
        self.read.clear();
    }

    /// A fact of each field of a kind for a row that states nothing.
    pub(super) fn missing(&self, kind: PartKind) -> &[Arc<Fact>] {
        &self.missing[kind.place()]
    }

    /// Tells what a row is; if a part, reads its cells.
    pub(super) fn row<'s>(&mut self, row: Row<'s>) -> Fate<'s>
    where
        'p: 's,
    {
        let first = row.cells().next().map_or("", |cell| cell.text.trim());
        let sku = self.text_of(row, Concept::Sku);
        if self.profile.is_some_and(|profile| profile.skips(row.number(), first)) {
            return Fate::Furniture;
        }
        if is_total(first) || self.text_of(row, Concept::Name).is_some_and(is_total) {
            return Fate::Furniture;
        }
        if row.cells().len() == 1 {
            if !sku.is_some_and(looks_like_a_number) {
                return self.heed_note(row, first).map_or(Fate::Furniture, Fate::UnitNote);
            }
            return Fate::Reported(RowRemark {
                column: self.column_with(Concept::Sku),
                kind: RemarkKind::RowWithoutFacts,
                says: "a part number and nothing else".to_owned(),
                weight: Weight::Fault,
            });
        }
        if self.is_headings(row) {
            return Fate::PerhapsHeadings;
        }
        if let Some(other) = self.text_of(row, Concept::Kind).filter(|text| names_other_goods(text)) {
            return Fate::Reported(RowRemark {
                column: self.column_with(Concept::Kind),
                kind: RemarkKind::OtherGoods,
                says: format!("`{}` is neither wheel nor tire; left out", one_line(other)),
                weight: Weight::Note,
            });
        }
        let Some(kind) = self.kind_of(row) else {
            return self.unplaced(row, sku, "nothing in it tells whether it is a wheel or a tire");
        };
        self.read_row(row, kind);
        let (mut known, mut stated) = (0_usize, 0_usize);
        for (_, reading) in &self.read {
            let Weighs { known: facts, stated: states } = self.weights[*reading];
            known += usize::from(facts);
            stated += usize::from(states);
        }
        match (known, stated, sku.is_some()) {
            (0, 0, _) | (0, _, false) => {
                self.unplaced(row, sku, "nothing in it names a size, a bolt pattern or the like")
            }
            (1, _, false) => self.unplaced(row, sku, "one figure and no part number"),
            _ => Fate::Part(kind, sku),
        }
    }

    /// The first text of a row under a heading of this meaning, as the profile has it.
    pub(super) fn text_of<'s>(&self, row: Row<'s>, concept: Concept) -> Option<&'s str>
    where
        'p: 's,
    {
        let mut plans = self.places.of_concept(concept).iter().filter_map(|at| self.layout.columns.get(*at));
        let text = plans
            .find_map(|plan| row.cell(plan.column))
            .map(|cell| cell.text.trim())
            .filter(|text| !text.is_empty());
        let profile = self.profile;
        let said = |text| profile.and_then(|profile| profile.translated(concept, text)).unwrap_or(text);
        text.map(said).or_else(|| profile?.constants.get(&concept).map(String::as_str))
    }

    /// What a row's part is called: its name, else its tread.
    pub(super) fn name_of<'s>(&self, row: Row<'s>) -> Option<&'s str>
    where
        'p: 's,
    {
        self.text_of(row, Concept::Name).or_else(|| self.text_of(row, Concept::Tread))
    }

    /// The first column with a meaning, for a remark on a cell that may be empty.
    pub(super) fn column_with(&self, concept: Concept) -> Option<Column> {
        let place = self.places.of_concept(concept).first()?;
        self.layout.columns.get(*place).map(|plan| plan.column)
    }

    /// Whether a row is headings again: most cells say what headings say, and none that would name a
    /// part says anything else. `S` and `3PMSF` are heading words too.
    pub(super) fn is_headings(&self, row: Row<'_>) -> bool {
        let again = |cell: &Cell<'_>| {
            let place = self.places.by_column.get(cell.column.index()).copied().flatten();
            let plan = place.and_then(|place| self.layout.columns.get(usize::from(place)));
            plan.is_some_and(|plan| {
                plan.heading.len() <= cell.text.len() && plan.heading.eq_ignore_ascii_case(cell.text.trim())
            })
        };
        let again = || row.cells().filter(again).count() * 2 > row.cells().len();
        // The cheaper questions first: this is asked of every row.
        if !(layout::looks_like_headings(row, self.profile) || again()) {
            return false;
        }
        let says_else = |place: &usize| {
            let cell = self.layout.columns.get(*place).and_then(|plan| row.cell(plan.column));
            cell.is_some_and(|cell| understand(cell.text.trim()).concept.is_none())
        };
        !self.places.naming.iter().any(says_else) && all_text(row)
    }

    /// A note between the parts that names a unit puts the unit of the headings in doubt below it.
    fn heed_note(&mut self, row: Row<'_>, note: &str) -> Option<RowRemark> {
        // "16 INCH" is the title of a section, not a word on units.
        let sized = note.bytes().any(|letter| letter.is_ascii_digit());
        let unit = understand(note)
            .unit
            .filter(|unit| !sized || !matches!(unit, crate::notation::quantity::Unit::Length(_)))?;
        let mut doubted = Vec::new();
        for plan in &mut self.layout.columns {
            if plan.unit.is_some_and(|known| known != unit && measure_alike(known, unit)) {
                plan.unit = None;
                doubted.push(one_line(&plan.heading));
            }
        }
        if doubted.is_empty() {
            return None;
        }
        self.forget();
        let says = format!(
            "the sheet says `{}` here, so figures without a unit below it are not read under `{}`",
            one_line(note),
            doubted.join("`, `")
        );
        let column = row.cells().next().map(|cell| cell.column);
        Some(RowRemark { column, kind: RemarkKind::UnitInDoubt, says, weight: Weight::Fault })
    }

    /// A row that is no part: headings again, a note, or something to report.
    fn unplaced<'s>(&self, row: Row<'s>, sku: Option<&str>, says: &str) -> Fate<'s> {
        // A note may spread over a few cells; figures and part numbers are no notes.
        let has_figure = |text: &str| text.bytes().any(|letter| letter.is_ascii_digit());
        let figures = row.cells().filter(|cell| has_figure(cell.text)).count();
        let fact_cells = self
            .layout
            .columns
            .iter()
            .filter(|plan| !is_identity(plan.concept) && row.cell(plan.column).is_some())
            .count();
        let wordy = sku.is_none_or(|sku| !looks_like_a_number(sku) && row.cells().len() <= 2);
        if wordy && figures == 0 && fact_cells < 2 {
            return Fate::Furniture;
        }
        let start: Vec<String> = row.cells().take(3).map(|cell| one_line(cell.text)).collect();
        let says = format!("{says}; it begins `{}`", start.join("`, `"));
        Fate::Reported(RowRemark {
            column: None,
            kind: RemarkKind::RowNotUnderstood,
            says,
            weight: Weight::Fault,
        })
    }

    /// Wheel or tire: by the tab's columns, else by a column that says it, else by what is in the row.
    fn kind_of(&self, row: Row<'_>) -> Option<PartKind> {
        if let [only] = self.layout.kinds.as_slice() {
            return Some(*only);
        }
        if let Some(kind) = self.text_of(row, Concept::Kind).and_then(kind_named) {
            return Some(kind);
        }
        for concept in [Concept::Size, Concept::Description] {
            let Some(text) = self.text_of(row, concept) else {
                continue;
            };
            if tire(text).is_ok() {
                return Some(PartKind::Tire);
            }
            if !wheel_mixed(text, None).pieces.is_empty() {
                return Some(PartKind::Wheel);
            }
        }
        let about = |kind: PartKind, other: PartKind| {
            let own = |plan: &&ColumnPlan| !plan.states(kind).is_empty() && plan.states(other).is_empty();
            self.layout.columns.iter().filter(own).filter(|plan| row.cell(plan.column).is_some()).count()
        };
        let (wheel, tire) = (about(PartKind::Wheel, PartKind::Tire), about(PartKind::Tire, PartKind::Wheel));
        match wheel.cmp(&tire) {
            std::cmp::Ordering::Greater => Some(PartKind::Wheel),
            std::cmp::Ordering::Less => Some(PartKind::Tire),
            std::cmp::Ordering::Equal => None,
        }
    }

    /// Reads a row's cells; alike texts are read once.
    fn read_row(&mut self, row: Row<'_>, kind: PartKind) {
        self.read.clear();
        for cell in row.cells() {
            let place = self.places.by_column.get(cell.column.index()).copied().flatten();
            let Some(place) = place.map(usize::from) else { continue };
            let plan = &self.layout.columns[place];
            if !states_facts(plan, kind) {
                continue;
            }
            let said = self.said[place].number(cell) as usize;
            let known = &mut self.reading_of[place];
            if known.len() <= said {
                known.resize(said + 1, [UNREAD; 2]);
            }
            let known = &mut known[said][kind.place()];
            if *known == UNREAD {
                *known = self.readings.len() as u32;
                let reading = read(plan, kind, translated(self.profile, plan.concept, cell));
                self.weights.push(Weighs::of(&reading, plan.concept));
                self.readings.push(reading);
            }
            self.read.push((place, *known as usize));
        }
    }

    /// Where a fact would stand: in the column that is for it, else in the one for the fewest others.
    pub(super) fn column_of(&self, field: Field, kind: PartKind) -> Option<(Column, From)> {
        let stating = self.layout.columns.iter().filter_map(|plan| {
            let fields = plan.states(kind);
            let place = fields.iter().position(|stated| *stated == field)?;
            Some((place > 0, fields.len(), plan.column))
        });
        let (shared, _, column) = stating.min()?;
        Some((column, if shared { From::Designation } else { From::Cell }))
    }

    fn missing_fact(&self, field: Field, kind: PartKind) -> Fact {
        match self.column_of(field, kind) {
            Some((column, from)) => Fact { from, ..Fact::missing(Some(column)) },
            None => Fact::missing(None),
        }
    }

    /// What the profile says of every row stands in where no cell does.
    fn put_constants(&self, spec: &mut Spec, kind: PartKind) {
        let Some(profile) = self.profile else { return };
        for (concept, text) in &profile.constants {
            for (field, fact) in constant(*concept, text, kind, profile.decimal).facts {
                if spec.fact(field).is_some_and(|held| matches!(held.state, State::Missing)) {
                    spec.put(field, Fact { column: None, from: From::Profile, ..Fact::clone(&fact) });
                }
            }
        }
    }

    /// The facts of a part, of what its cells say.
    pub(super) fn spec(&self, kind: PartKind, read: &[(usize, usize)]) -> Spec {
        let nothing = Arc::new(Fact::missing(None));
        let missing = self.missing(kind);
        let mut spec = Spec::new(kind, |field| Arc::clone(missing.get(field.slot()).unwrap_or(&nothing)));
        let mut holes: Option<(u8, Column)> = None;
        let mut circle: Option<(Length, Arc<str>, Column)> = None;
        for (place, reading) in read {
            let plan = &self.layout.columns[*place];
            let reading = &self.readings[*reading];
            for (field, fact) in &reading.facts {
                merge(&mut spec, *field, fact, plan.concept);
            }
            holes = holes.or(reading.holes.map(|holes| (holes, plan.column)));
            circle = circle.or(reading.circle.clone().map(|(circle, text)| (circle, text, plan.column)));
        }
        self.put_constants(&mut spec, kind);
        if let Some((count, _)) = holes {
            doubt_hole_count(&mut spec, count);
        }
        let field = Field::WheelBoltPatterns;
        let open = spec.fact(field).is_some_and(|fact| matches!(fact.state, State::Missing));
        if let Some((circle, text, column)) = circle.filter(|_| open) {
            let fact = match holes {
                Some((holes, _)) => Fact {
                    state: State::Known(Value::Drillings([Drilling { holes, circle }].into())),
                    text: Arc::from(format!("{holes}x{text}")),
                    unit: None,
                    column: Some(column),
                    from: From::Cell,
                },
                None => Fact {
                    state: State::Unreadable(Arc::from("a bolt circle without the number of holes")),
                    text,
                    unit: None,
                    column: Some(column),
                    from: From::Cell,
                },
            };
            spec.put(field, fact);
        } else if let Some((holes, column)) = holes.filter(|_| open) {
            let fact = Fact {
                state: State::Unreadable(Arc::from("a number of holes without the bolt circle")),
                text: Arc::from(holes.to_string()),
                unit: None,
                column: Some(column),
                from: From::Cell,
            };
            spec.put(field, fact);
        }
        spec
    }
}

/// A number of holes in one column against bolt patterns in another.
fn doubt_hole_count(spec: &mut Spec, count: u8) {
    let field = Field::WheelBoltPatterns;
    let Some(fact) = spec.fact(field).map(Arc::clone) else { return };
    let Some(Value::Drillings(drillings)) = fact.value() else { return };
    if drillings.iter().all(|drilling| drilling.holes != count) {
        let says = format!("the sheet says {count} holes, but the bolt pattern is `{}`", fact.text);
        let contradiction = Contradiction { check: RemarkKind::StatedTwice, says: Arc::from(says) };
        spec.put(field, fact.with_state(State::Contradicted(Arc::new(contradiction))));
    }
}

/// Columns that tell parts apart but say nothing of whether they fit.
fn is_identity(concept: Concept) -> bool {
    matches!(
        concept,
        Concept::Supplier
            | Concept::Sku
            | Concept::Name
            | Concept::Finish
            | Concept::Kind
            | Concept::Tread
            | Concept::Price
            | Concept::Link
            | Concept::Image
            | Concept::Weight
    )
}

/// Whether cells of a column are read for what they say of a part of a kind.
pub(super) fn states_facts(plan: &ColumnPlan, kind: PartKind) -> bool {
    let other = matches!(
        plan.concept,
        Concept::Sku | Concept::Price | Concept::Link | Concept::Image | Concept::Kind
    );
    !other && plan.only.is_none_or(|only| only == kind)
}

fn all_text(row: Row<'_>) -> bool {
    row.cells().all(|cell| cell.kind == CellKind::Text)
}
