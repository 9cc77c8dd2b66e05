//! The rows of one tab: parts, furniture, and what could not be placed; every row is accounted for.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use crate::facts::catalog::{Catalog, ColumnAccount, Remark, TabAccount, Weight};
use crate::facts::fact::{Contradiction, Fact, From, State};
use crate::facts::field::Field;
use crate::facts::part::{Part, PartKind, Price, Spec};
use crate::facts::remark::RemarkKind;
use crate::facts::value::Value;
use crate::intake::column::{ColumnPlan, UnitSource, measure_alike};
use crate::intake::heading::Concept;
use crate::intake::heading::understand;
use crate::intake::layout::{self, Layout};
use crate::intake::merge::merge;
use crate::intake::profile::Profile;
use crate::intake::profile::unit_name;
use crate::intake::reading::{Assumption, Reading, constant, read, translated};
use crate::intake::row_words::{is_total, kind_named, looks_like_a_number, names_other_goods, one_line};
use crate::notation::money::{Currency, money};
use crate::notation::number::DecimalMark;
use crate::notation::tire::tire;
use crate::notation::wheel::wheel_mixed;
use crate::sheet::{CellKind, Column, Form, NumberFormat, Row, Tab, Visibility};
use crate::trade::bolt_circle::Drilling;

/// What became of the rows of a tab.
#[derive(Debug, Default)]
pub(super) struct Count {
    pub(super) rows: u32,
    pub(super) parts: u32,
    pub(super) reported: u32,
    pub(super) furniture: u32,
}

/// Takes in one tab: its parts and specs go to the catalog, its remarks to the list.
pub(super) fn take_in<'s>(
    tab: &'s Tab,
    sheet_at: usize,
    tab_at: usize,
    profile: Option<&'s Profile>,
    catalog: &mut Catalog<'s>,
    remarks: &mut Vec<Remark>,
) -> (TabAccount, Count) {
    let mut account = blank_account(tab, form_words(tab.form()));
    let mut count = Count { rows: tab.last_row(), ..Count::default() };
    let wanted = profile.is_none_or(|profile| profile.wants_tab(tab.name()));
    let Some(layout) = layout::find(tab, profile).filter(|_| wanted) else {
        // A tab without headings holds no catalog: notes, drawings, terms of sale.
        count.furniture = count.rows;
        return (account, count);
    };
    account.heading_row = Some(layout.heading_row);
    account.last_heading_row = Some(layout.last_heading_row);
    let mut taker = Taker::new(sheet_at, tab_at, profile, catalog, remarks);
    taker.start(layout, &mut account);
    let mut above: Option<Row<'s>> = None;
    let mut rows = tab.rows().peekable();
    while let Some(row) = rows.next() {
        if row.number() < taker.layout.heading_row {
            above = Some(row);
            continue;
        }
        if row.number() <= taker.layout.last_heading_row {
            continue;
        }
        match taker.row(row) {
            Fate::Part => count.parts += 1,
            Fate::Reported => count.reported += 1,
            Fate::Furniture => {}
            Fate::PerhapsHeadings => {
                if let Some(layout) = layout::of_row(tab, above, row, rows.peek().copied(), profile) {
                    taker.start(layout, &mut account);
                }
            }
        }
        above = Some(row);
    }
    taker.finish(&mut account);
    taker.remark_hidden(tab);
    account.parts = count.parts;
    count.furniture = count.rows - count.parts - count.reported;
    (account, count)
}

/// What a row turned out to be.
enum Fate {
    Part,
    Reported,
    Furniture,
    /// Furniture that may be a further row of headings.
    PerhapsHeadings,
}

struct Taker<'s, 'c> {
    sheet_at: usize,
    tab_at: usize,
    profile: Option<&'s Profile>,
    catalog: &'c mut Catalog<'s>,
    remarks: &'c mut Vec<Remark>,
    layout: Layout,
    /// For each kind and column, each distinct text that was read.
    seen: HashMap<(PartKind, Column, CellKind, &'s str, Option<&'s str>), usize>,
    readings: Vec<Reading>,
    /// For each kind, a fact for every field that nothing states.
    missing: BTreeMap<PartKind, Vec<Arc<Fact>>>,
    specs: HashMap<(PartKind, Vec<usize>), usize>,
    assumed: BTreeMap<(Column, Assumption), u32>,
    /// The columns of the layout, and what their cells came to so far.
    understood: Vec<ColumnAccount>,
}

impl<'s, 'c> Taker<'s, 'c> {
    fn new(
        sheet_at: usize,
        tab_at: usize,
        profile: Option<&'s Profile>,
        catalog: &'c mut Catalog<'s>,
        remarks: &'c mut Vec<Remark>,
    ) -> Self {
        Self {
            sheet_at,
            tab_at,
            profile,
            catalog,
            remarks,
            layout: Layout {
                columns: Vec::new(),
                heading_row: 0,
                last_heading_row: 0,
                kinds: Vec::new(),
                unknown: Vec::new(),
                left_over: Vec::new(),
                places: Vec::new(),
                offers: BTreeMap::new(),
                price: None,
                second_table: None,
            },
            seen: HashMap::new(),
            readings: Vec::new(),
            missing: BTreeMap::new(),
            specs: HashMap::new(),
            assumed: BTreeMap::new(),
            understood: Vec::new(),
        }
    }

    /// Begins with a layout: what the one before taught does not hold any more.
    fn start(&mut self, mut layout: Layout, account: &mut TabAccount) {
        self.remark_assumptions();
        self.keep_accounts(account);
        let same = layout.columns.iter().map(|plan| &plan.heading).eq(self
            .layout
            .columns
            .iter()
            .map(|plan| &plan.heading));
        if same {
            keep_proofs(&mut layout.columns, &self.layout.columns);
        } else {
            self.remark_headings(&layout);
            self.remark_proofs(&layout);
        }
        self.understood = column_accounts(&layout);
        self.layout = layout;
        self.seen.clear();
        self.specs.clear();
        self.missing.clear();
        for kind in self.layout.kinds.clone() {
            let facts = Field::of(kind.scope())
                .iter()
                .map(|field| Arc::new(self.missing_fact(*field, kind)))
                .collect();
            self.missing.insert(kind, facts);
            for field in Field::of(kind.scope()) {
                let column = self.column_of(*field, kind).map(|(column, _)| column);
                if let Some(column) =
                    column.filter(|_| !account.columns.iter().any(|(_, known, _)| known == field))
                {
                    account.columns.push((kind, *field, column));
                }
            }
        }
    }

    fn finish(&mut self, account: &mut TabAccount) {
        self.remark_assumptions();
        self.keep_accounts(account);
    }

    /// Hands over what the columns came to; headings that stand again go on with the same columns.
    fn keep_accounts(&mut self, account: &mut TabAccount) {
        for ((_, place, ..), reading) in &self.seen {
            let at = self.layout.places.iter().position(|column| column == place);
            let Some(column) = at.and_then(|at| self.understood.get_mut(at)) else { continue };
            for (field, fact) in &self.readings[*reading].facts {
                let listed = column.facts.contains(field) || column.more_facts.contains(field);
                if !listed && matches!(fact.state, State::Known(_)) {
                    column.more_facts.push(*field);
                }
            }
        }
        for mut column in self.understood.drain(..) {
            column.more_facts.sort_unstable();
            let same =
                |known: &&mut ColumnAccount| known.column == column.column && known.heading == column.heading;
            match account.understood.iter_mut().find(same) {
                Some(known) => go_on(known, column),
                None => account.understood.push(column),
            }
        }
    }

    /// Where a fact would stand: in the column that is for it, else in the one for the fewest others.
    fn column_of(&self, field: Field, kind: PartKind) -> Option<(Column, From)> {
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

    /// Rows and columns with something in them that people do not see when they open the file; they were
    /// read all the same.
    fn remark_hidden(&mut self, tab: &Tab) {
        // Most tabs hide nothing, and large ones are not walked for it.
        if tab.hidden_rows().is_empty() && tab.hidden_columns().is_empty() {
            return;
        }
        let rows: BTreeSet<u32> = tab.rows().map(Row::number).collect();
        let columns: BTreeSet<Column> = tab.rows().flat_map(Row::cells).map(|cell| cell.column).collect();
        let rows = hidden_and_held(tab.hidden_rows(), &rows);
        let columns = hidden_and_held(tab.hidden_columns(), &columns);
        for (one, many, hidden) in [("row", "rows", rows), ("column", "columns", columns)] {
            let [first, more @ ..] = hidden.as_slice() else { continue };
            let (what, verb) = if more.is_empty() && !first.contains(' ') {
                (one, "is hidden in the spreadsheet program; it was")
            } else {
                (many, "are hidden in the spreadsheet program; they were")
            };
            let says = format!("{what} {} {verb} read all the same", hidden.join(", "));
            self.note(0, None, RemarkKind::Hidden, says, Weight::Note);
        }
    }

    fn remark_headings(&mut self, layout: &Layout) {
        for (column, text) in &layout.unknown {
            let offer = layout
                .offers
                .get(column)
                .map_or_else(String::new, |offer| format!("; {} A profile can say so", offer.asks()));
            let text = one_line(text);
            let says =
                format!("heading `{text}` names nothing known here, so its column is left alone{offer}");
            self.note(layout.heading_row, Some(*column), RemarkKind::HeadingNotKnown, says, Weight::Note);
        }
        let known = layout.columns.iter().map(|plan| (plan.column, &plan.heading, plan.concept));
        let left_over = layout.left_over.iter().map(|(column, text)| (*column, text, Concept::LeftOver));
        for (column, text, concept) in known.chain(left_over) {
            if let Some(offer) = layout.offers.get(&column) {
                let taken = if concept == Concept::LeftOver {
                    "is left alone".to_owned()
                } else {
                    format!("is read as {}", concept.name().replace('_', " "))
                };
                let says = format!("`{}` {taken}, but {} A profile can say so", one_line(text), offer.asks());
                self.note(layout.heading_row, Some(column), RemarkKind::HeadingAndCells, says, Weight::Note);
            }
        }
        if let Some(price) = &layout.price {
            self.note(
                layout.heading_row,
                Some(price.column),
                RemarkKind::PriceChosen,
                price.says(),
                Weight::Note,
            );
        }
        if let Some(start) = layout.second_table {
            let says = format!(
                "a second table seems to start in column {start}; it was not read. Put it on a tab of its own"
            );
            self.note(layout.heading_row, Some(start), RemarkKind::SecondTable, says, Weight::Fault);
        }
        let states = |concept| layout.columns.iter().any(|plan| plan.concept == concept);
        if !states(Concept::Sku) {
            let says = "no column holds a part number, so parts of this tab have none".to_owned();
            self.note(layout.heading_row, None, RemarkKind::SkuNotStated, says, Weight::Fault);
        }
    }

    fn remark_proofs(&mut self, layout: &Layout) {
        for plan in &layout.columns {
            if let (Some(proof), Some(unit)) = (plan.proof(), plan.unit.and_then(unit_name)) {
                let says = format!("{}: unit {unit}, proven by {}", one_line(&plan.heading), proof.says);
                self.note(layout.heading_row, Some(plan.column), RemarkKind::UnitProven, says, Weight::Note);
            }
        }
    }

    fn note(&mut self, row: u32, column: Option<Column>, kind: RemarkKind, says: String, weight: Weight) {
        let remark = Remark { tab: self.tab_at, row, column, kind, says: Arc::from(says), weight };
        self.remarks.push(remark);
    }

    fn row(&mut self, row: Row<'s>) -> Fate {
        let cells = row.cells().len();
        let first = row.cells().next().map_or("", |cell| cell.text.trim());
        let sku = self.text_of(row, Concept::Sku);
        if self.profile.is_some_and(|profile| profile.skips(row.number(), first)) {
            return Fate::Furniture;
        }
        if is_total(first) || self.text_of(row, Concept::Name).is_some_and(is_total) {
            return Fate::Furniture;
        }
        if cells == 1 {
            return if sku.is_some_and(looks_like_a_number) {
                self.note(
                    row.number(),
                    self.column_with(Concept::Sku),
                    RemarkKind::RowWithoutFacts,
                    "a part number and nothing else".to_owned(),
                    Weight::Fault,
                );
                Fate::Reported
            } else {
                self.heed_note(row, first);
                Fate::Furniture
            };
        }
        if self.is_headings(row) {
            return Fate::PerhapsHeadings;
        }
        if let Some(other) = self.text_of(row, Concept::Kind).filter(|text| names_other_goods(text)) {
            let says = format!("`{}` is neither wheel nor tire; left out", one_line(other));
            self.note(
                row.number(),
                self.column_with(Concept::Kind),
                RemarkKind::OtherGoods,
                says,
                Weight::Note,
            );
            return Fate::Reported;
        }
        let Some(kind) = self.kind_of(row) else {
            return self.unplaced(row, sku, "nothing in it tells whether it is a wheel or a tire");
        };
        let read: Vec<(usize, usize)> = self.read_row(row, kind);
        let (mut known, mut stated) = (0, 0);
        for (place, reading) in &read {
            let reading = &self.readings[*reading];
            if is_identity(self.layout.columns[*place].concept) {
                continue;
            }
            known += match reading.unreadable {
                Some(_) => 0,
                // Free text counts for as many facts as it holds.
                None if self.layout.columns[*place].concept == Concept::Description => reading.facts.len(),
                None => usize::from(!reading.facts.is_empty() || reading.circle.is_some()),
            };
            stated += usize::from(reading.unreadable.is_some() || !reading.facts.is_empty());
        }
        match (known, stated, sku.is_some()) {
            (0, 0, _) | (0, _, false) => {
                self.unplaced(row, sku, "nothing in it names a size, a bolt pattern or the like")
            }
            (1, _, false) => self.unplaced(row, sku, "one figure and no part number"),
            _ => {
                self.part(row, kind, sku, &read);
                Fate::Part
            }
        }
    }

    /// Whether a row is headings again: most cells say what headings say, and none that would name a
    /// part says anything else. `S` and `3PMSF` are heading words too.
    fn is_headings(&self, row: Row<'s>) -> bool {
        let names_part = |plan: &&ColumnPlan| {
            matches!(plan.concept, Concept::Sku | Concept::Size | Concept::BoltPattern | Concept::Description)
        };
        let a_part = self.layout.columns.iter().filter(names_part).any(|plan| {
            row.cell(plan.column).is_some_and(|cell| understand(cell.text.trim()).concept.is_none())
        });
        if a_part || !all_text(row) {
            return false;
        }
        let again = |plan: &&ColumnPlan| {
            row.cell(plan.column).is_some_and(|cell| plan.heading.eq_ignore_ascii_case(cell.text.trim()))
        };
        let again = self.layout.columns.iter().filter(again).count();
        again * 2 > row.cells().len() || layout::looks_like_headings(row, self.profile)
    }

    /// A note between the parts that names a unit puts the unit of the headings in doubt below it.
    fn heed_note(&mut self, row: Row<'s>, note: &str) {
        // "16 INCH" is the title of a section, not a word on units.
        let sized = note.bytes().any(|letter| letter.is_ascii_digit());
        let unit = understand(note)
            .unit
            .filter(|unit| !sized || !matches!(unit, crate::notation::quantity::Unit::Length(_)));
        let Some(unit) = unit else { return };
        let mut doubted = Vec::new();
        for plan in &mut self.layout.columns {
            if plan.unit.is_some_and(|known| known != unit && measure_alike(known, unit)) {
                plan.unit = None;
                doubted.push(one_line(&plan.heading));
            }
        }
        if doubted.is_empty() {
            return;
        }
        self.seen.clear();
        self.specs.clear();
        let says = format!(
            "the sheet says `{}` here, so figures without a unit below it are not read under `{}`",
            one_line(note),
            doubted.join("`, `")
        );
        let column = row.cells().next().map(|cell| cell.column);
        self.note(row.number(), column, RemarkKind::UnitInDoubt, says, Weight::Fault);
    }

    /// A row that is no part: headings again, a note, or something to report.
    fn unplaced(&mut self, row: Row<'s>, sku: Option<&str>, says: &str) -> Fate {
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
        self.note(row.number(), None, RemarkKind::RowNotUnderstood, says, Weight::Fault);
        Fate::Reported
    }

    fn text_of(&self, row: Row<'s>, concept: Concept) -> Option<&'s str> {
        let mut plans = self.layout.columns.iter().filter(|plan| plan.concept == concept);
        let text = plans
            .find_map(|plan| row.cell(plan.column))
            .map(|cell| cell.text.trim())
            .filter(|text| !text.is_empty());
        let profile = self.profile;
        let said = |text| profile.and_then(|profile| profile.translated(concept, text)).unwrap_or(text);
        text.map(said).or_else(|| profile?.constants.get(&concept).map(String::as_str))
    }

    /// The first column with a meaning, for a remark on a cell that may be empty.
    fn column_with(&self, concept: Concept) -> Option<Column> {
        self.layout.columns.iter().find(|plan| plan.concept == concept).map(|plan| plan.column)
    }

    /// Wheel or tire: by the tab's columns, else by a column that says it, else by what is in the row.
    fn kind_of(&self, row: Row<'s>) -> Option<PartKind> {
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

    /// The readings of a row's cells, by the place of their column; alike texts are read once.
    fn read_row(&mut self, row: Row<'s>, kind: PartKind) -> Vec<(usize, usize)> {
        let mut read_cells = Vec::new();
        for (place, plan) in self.layout.columns.iter().enumerate() {
            let Some(cell) = row.cell(plan.column) else {
                continue;
            };
            let cell = translated(self.profile, plan.concept, cell);
            if matches!(
                plan.concept,
                Concept::Sku | Concept::Price | Concept::Link | Concept::Image | Concept::Kind
            ) || plan.only.is_some_and(|only| only != kind)
            {
                continue;
            }
            let readings = &mut self.readings;
            let reading = *self
                .seen
                .entry((kind, plan.column, cell.kind, cell.text, cell.format.map(NumberFormat::code)))
                .or_insert_with(|| {
                    readings.push(read(plan, kind, cell));
                    readings.len() - 1
                });
            read_cells.push((place, reading));
        }
        read_cells
    }

    fn part(&mut self, row: Row<'s>, kind: PartKind, sku: Option<&'s str>, read: &[(usize, usize)]) {
        self.remark_cells(row, read);
        self.count_cells(row, read);
        if let Some(column) = self.column_with(Concept::Sku).filter(|_| sku.is_none()) {
            let says = "the row has no part number".to_owned();
            self.note(row.number(), Some(column), RemarkKind::SkuNotStated, says, Weight::Fault);
        }
        let key: Vec<usize> = read.iter().map(|(_, reading)| *reading).collect();
        let spec = if let Some(spec) = self.specs.get(&(kind, key.clone())) {
            *spec
        } else {
            let spec = self.spec(kind, read);
            self.catalog.specs.push(spec);
            let place = self.catalog.specs.len() - 1;
            self.specs.insert((kind, key), place);
            place
        };
        let spec_facts = &self.catalog.specs[spec];
        let twice = spec_facts.iter().filter_map(|(_, fact)| match &fact.state {
            State::Contradicted(contradiction) => Some((fact.column, Arc::clone(contradiction))),
            _ => None,
        });
        let twice: Vec<_> = twice.collect();
        for (column, contradiction) in twice {
            self.note(
                row.number(),
                column,
                contradiction.check.clone(),
                contradiction.says.to_string(),
                Weight::Fault,
            );
        }
        let name = self.text_of(row, Concept::Name).or_else(|| self.text_of(row, Concept::Tread));
        self.catalog.parts.push(Part {
            kind,
            supplier: self.text_of(row, Concept::Supplier).unwrap_or(""),
            sku: sku.unwrap_or(""),
            name: name.unwrap_or(""),
            price: self.text_of(row, Concept::Price).unwrap_or(""),
            amount: self.amount(row),
            link: self.text_of(row, Concept::Link).unwrap_or(""),
            image: self.text_of(row, Concept::Image).unwrap_or(""),
            sheet: self.sheet_at,
            tab: self.tab_at,
            row: row.number(),
            spec,
        });
    }

    /// The price in a row, with the currency of its heading where the cell names none.
    fn amount(&self, row: Row<'s>) -> Option<Price> {
        let plan = self.layout.columns.iter().find(|plan| plan.concept == Concept::Price)?;
        let read = money(row.cell(plan.column)?.text, plan.decimal).ok()?;
        let currency = read.currency.or(plan.currency);
        Some(Price { amount: read.amount, currency: currency.map(Currency::code) })
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

    fn count_cells(&mut self, row: Row<'s>, read: &[(usize, usize)]) {
        for (account, column) in self.understood.iter_mut().zip(&self.layout.places) {
            let Some(cell) = row.cell(*column) else { continue };
            account.cells += 1;
            let text = cell.text.trim();
            if account.samples.len() < SAMPLES && !account.samples.iter().any(|sample| sample == text) {
                account.samples.push(one_line(text));
            }
        }
        for (place, reading) in read {
            if self.readings[*reading].unreadable.is_some() {
                let column = self.layout.columns[*place].column;
                let at = self.layout.places.iter().position(|place| *place == column);
                if let Some(account) = at.and_then(|at| self.understood.get_mut(at)) {
                    account.unread += 1;
                }
            }
        }
    }

    fn remark_cells(&mut self, row: Row<'s>, read: &[(usize, usize)]) {
        for (place, reading) in read {
            let plan = &self.layout.columns[*place];
            let reading = &self.readings[*reading];
            for assumption in &reading.assumed {
                *self.assumed.entry((plan.column, *assumption)).or_default() += 1;
            }
            let Some(unreadable) = &reading.unreadable else {
                continue;
            };
            let text = row.cell(plan.column).map_or("", |cell| cell.text.trim());
            let text = if text.is_empty() { String::new() } else { format!(" `{}`:", one_line(text)) };
            let says = format!("{}:{text} {}", one_line(&plan.heading), unreadable.why);
            let (column, kind) = (plan.column, unreadable.kind.clone());
            self.note(row.number(), Some(column), kind, says, Weight::Fault);
        }
    }

    /// What was assumed, once a column; the angle of cones once a sheet, which the caller sees to.
    fn remark_assumptions(&mut self) {
        for ((column, assumption), cells) in std::mem::take(&mut self.assumed) {
            let heading = self.layout.columns.iter().find(|plan| plan.column == column);
            let heading = heading.map_or(String::new(), |plan| one_line(&plan.heading));
            let figures = |one: &str, many: &str| {
                if cells == 1 { format!("1 {one}") } else { format!("{cells} {many}") }
            };
            let (kind, says) = match assumption {
                Assumption::UnitBySize(unit) => {
                    let figures = figures("figure", "figures");
                    let unit = unit.text();
                    (
                        RemarkKind::UnitBySize,
                        format!(
                            "{heading}: no unit on {figures}; read as {unit}, the only unit possible at that size"
                        ),
                    )
                }
                Assumption::NumberBySize => {
                    let numbers = figures("number", "numbers");
                    (
                        RemarkKind::NumberBySize,
                        format!(
                            "{heading}: {numbers} with an unclear mark, read the only way that is possible"
                        ),
                    )
                }
                Assumption::ConeAngle => {
                    let seats = figures("cone seat", "cone seats");
                    (
                        RemarkKind::ConeAngleAssumed,
                        format!("{heading}: {seats} without an angle read as 60 degrees, common practice"),
                    )
                }
            };
            self.note(self.layout.heading_row, Some(column), kind, says, Weight::Note);
        }
    }

    fn spec(&self, kind: PartKind, read: &[(usize, usize)]) -> Spec {
        let missing = self.missing.get(&kind);
        let nothing = Arc::new(Fact::missing(None));
        let mut spec = Spec::new(kind, |field| {
            missing.and_then(|facts| facts.get(field.slot())).map_or_else(|| Arc::clone(&nothing), Arc::clone)
        });
        let mut holes: Option<(u8, Column)> = None;
        let mut circle: Option<(crate::trade::quantity::Length, Arc<str>, Column)> = None;
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

/// Headings that stand again go on with the units that the whole table proves, and with no others.
fn keep_proofs(columns: &mut [ColumnPlan], before: &[ColumnPlan]) {
    for (plan, before) in columns.iter_mut().zip(before) {
        let stated = plan.unit.is_some() && plan.proof().is_none();
        if !stated && plan.column == before.column {
            (plan.unit, plan.unit_from) = (before.unit, before.unit_from.clone());
        }
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

fn all_text(row: Row<'_>) -> bool {
    row.cells().all(|cell| cell.kind == CellKind::Text)
}

/// The stretches of hidden rows or columns, each cut to the part that holds something.
fn hidden_and_held<T: Copy + Ord + std::fmt::Display>(hidden: &[(T, T)], held: &BTreeSet<T>) -> Vec<String> {
    let stretch = |&(first, last): &(T, T)| {
        let mut within = held.range(first..=last);
        let first = within.next()?;
        Some(within.next_back().map_or_else(|| first.to_string(), |last| format!("{first} to {last}")))
    };
    hidden.iter().filter_map(stretch).collect()
}

/// The account of a tab of which nothing is understood yet.
pub(super) fn blank_account(tab: &Tab, form: String) -> TabAccount {
    TabAccount {
        name: tab.name().to_owned(),
        hidden: tab.visibility() == Visibility::Hidden,
        columns: Vec::new(),
        heading_row: None,
        last_heading_row: None,
        understood: Vec::new(),
        form,
        parts: 0,
    }
}

/// Samples kept of a column.
const SAMPLES: usize = 3;

/// An account for each heading of a layout, in the order of its places.
fn column_accounts(layout: &Layout) -> Vec<ColumnAccount> {
    layout
        .places
        .iter()
        .map(|column| {
            let known = layout.columns.iter().find(|plan| plan.column == *column);
            let other_prices = layout.price.iter().flat_map(|price| &price.others);
            let at = |(place, _): &&(Column, String)| place == column;
            let other = layout.left_over.iter().chain(&layout.unknown).chain(other_prices.clone()).find(at);
            let heading = known.map(|plan| &plan.heading).or(other.map(|(_, text)| text));
            let left_over = layout.left_over.iter().chain(other_prices).any(|other| at(&other));
            let offer = layout.offers.get(column);
            let unit = known.and_then(|plan| plan.unit);
            let facts = |plan: &ColumnPlan| {
                let kinds = layout.kinds.iter();
                kinds.flat_map(|kind| plan.states(*kind).iter().copied()).collect()
            };
            ColumnAccount {
                column: column.to_string(),
                heading_row: layout.heading_row,
                heading: heading.map_or_else(String::new, |text| one_line(text)),
                holds: known.map(|plan| plan.concept.name()).or(left_over.then(|| Concept::LeftOver.name())),
                nearest: offer.map(|offer| offer.concept.name()),
                note: offer
                    .map(|offer| offer.asks())
                    .or_else(|| layout.price.as_ref().and_then(|price| price.says_of(*column))),
                unit: unit.and_then(unit_name),
                unit_from: unit.and(known).map(|plan| match plan.unit_from {
                    UnitSource::Heading => "heading",
                    UnitSource::Profile => "profile",
                    UnitSource::Proven(_) => "proof",
                }),
                unit_for: unit.and(known).and_then(ColumnPlan::proof).and_then(|proof| proof.only),
                unit_proof: unit.and(known).and_then(ColumnPlan::proof).map(|proof| proof.says.to_string()),
                decimal: known.and_then(|plan| plan.decimal).map(|mark| match mark {
                    DecimalMark::Point => "point",
                    DecimalMark::Comma => "comma",
                }),
                facts: known.map_or_else(Vec::new, facts),
                ..ColumnAccount::default()
            }
        })
        .collect()
}

fn go_on(known: &mut ColumnAccount, further: ColumnAccount) {
    let more = further.more_facts.iter().filter(|field| !known.more_facts.contains(field)).copied();
    known.more_facts.extend(more.collect::<Vec<_>>());
    known.cells += further.cells;
    known.unread += further.unread;
    for sample in further.samples {
        if known.samples.len() < SAMPLES && !known.samples.contains(&sample) {
            known.samples.push(sample);
        }
    }
}

fn form_words(form: Form) -> String {
    match form {
        Form::Text { encoding, delimiter } => format!("{encoding} text, columns set apart by {delimiter}"),
        Form::Workbook => "workbook".to_owned(),
    }
}
