//! The rows of one tab: parts, furniture, and what could not be placed; every row is accounted for.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use foldhash::fast::RandomState;

use crate::facts::catalog::{Catalog, ColumnAccount, Remark, TabAccount, Weight};
use crate::facts::fact::State;
use crate::facts::field::Field;
use crate::facts::part::{Part, PartKind, Price};
use crate::facts::remark::RemarkKind;
use crate::intake::column::{ColumnPlan, UnitSource};
use crate::intake::heading::Concept;
use crate::intake::layout::{self, Layout, Look};
use crate::intake::profile::Profile;
use crate::intake::profile::unit_name;
use crate::intake::reading::Assumption;
use crate::intake::row_reader::{Fate, RowReader, RowRemark};
use crate::intake::row_words::one_line;
use crate::notation::money::{Currency, money};
use crate::notation::number::DecimalMark;
use crate::sheet::{Column, Form, Row, Tab, Visibility};

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
    let Some(layout) = layout::find(tab, profile, Look::AtCells).filter(|_| wanted) else {
        // A tab without headings holds no catalog: notes, drawings, terms of sale.
        count.furniture = count.rows;
        return (account, count);
    };
    account.heading_row = Some(layout.heading_row);
    account.last_heading_row = Some(layout.last_heading_row);
    let mut taker = Taker {
        sheet_at,
        tab_at,
        profile,
        catalog,
        remarks,
        reader: RowReader::new(Layout::default(), profile),
        specs: Default::default(),
        assumed: BTreeMap::new(),
        understood: Vec::new(),
    };
    taker.start(layout, &mut account);
    let mut above: Option<Row<'s>> = None;
    let mut rows = tab.rows().peekable();
    while let Some(row) = rows.next() {
        if row.number() < taker.reader.layout().heading_row {
            above = Some(row);
            continue;
        }
        if row.number() <= taker.reader.layout().last_heading_row {
            continue;
        }
        match taker.reader.row(row) {
            Fate::Part(kind, sku) => {
                taker.part(row, kind, sku);
                count.parts += 1;
            }
            Fate::Reported(remark) => {
                taker.note_on(row, remark);
                count.reported += 1;
            }
            Fate::UnitNote(remark) => {
                taker.note_on(row, remark);
                taker.forget_specs();
            }
            Fate::Furniture => {}
            Fate::PerhapsHeadings => {
                if let Some(layout) =
                    layout::of_row(tab, above, row, rows.peek().copied(), profile, Look::AtCells)
                {
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

struct Taker<'s, 'c> {
    sheet_at: usize,
    tab_at: usize,
    profile: Option<&'s Profile>,
    catalog: &'c mut Catalog<'s>,
    remarks: &'c mut Vec<Remark>,
    reader: RowReader<'s>,
    /// For each kind the spec of each row of readings.
    specs: [HashMap<Vec<usize>, usize, RandomState>; 2],
    assumed: BTreeMap<(Column, Assumption), u32>,
    /// The columns of the layout, and what their cells came to so far.
    understood: Vec<ColumnAccount>,
}

impl<'s> Taker<'s, '_> {
    /// Begins with a layout: what the one before taught does not hold any more.
    fn start(&mut self, mut layout: Layout, account: &mut TabAccount) {
        self.remark_assumptions();
        self.keep_accounts(account);
        let before = self.reader.layout();
        let same = layout
            .columns
            .iter()
            .map(|plan| &plan.heading)
            .eq(before.columns.iter().map(|plan| &plan.heading));
        if same {
            keep_proofs(&mut layout.columns, &before.columns);
        } else {
            self.remark_headings(&layout);
            self.remark_proofs(&layout);
        }
        self.understood = column_accounts(&layout);
        self.forget_specs();
        self.reader = RowReader::new(layout, self.profile);
        for kind in self.reader.layout().kinds.iter().copied() {
            for field in Field::of(kind.scope()) {
                let column = self.reader.column_of(*field, kind).map(|(column, _)| column);
                if let Some(column) =
                    column.filter(|_| !account.columns.iter().any(|(_, known, _)| known == field))
                {
                    account.columns.push((kind, *field, column));
                }
            }
        }
    }

    fn forget_specs(&mut self) {
        self.specs.iter_mut().for_each(HashMap::clear);
    }

    fn finish(&mut self, account: &mut TabAccount) {
        self.remark_assumptions();
        self.keep_accounts(account);
    }

    /// Hands over what the columns came to; headings that stand again go on with the same columns.
    fn keep_accounts(&mut self, account: &mut TabAccount) {
        let layout = self.reader.layout();
        for (place, reading) in self.reader.readings() {
            let at = layout.columns.get(place).map(|plan| plan.column);
            let at = layout.places.iter().position(|column| Some(*column) == at);
            let Some(column) = at.and_then(|at| self.understood.get_mut(at)) else { continue };
            for (field, fact) in &reading.facts {
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

    fn note_on(&mut self, row: Row<'_>, remark: RowRemark) {
        let RowRemark { column, kind, says, weight } = remark;
        self.note(row.number(), column, kind, says, weight);
    }

    fn note(&mut self, row: u32, column: Option<Column>, kind: RemarkKind, says: String, weight: Weight) {
        let remark = Remark { tab: self.tab_at, row, column, kind, says: Arc::from(says), weight };
        self.remarks.push(remark);
    }

    fn part(&mut self, row: Row<'s>, kind: PartKind, sku: Option<&'s str>) {
        self.remark_cells(row);
        self.count_cells(row);
        if let Some(column) = self.reader.column_with(Concept::Sku).filter(|_| sku.is_none()) {
            let says = "the row has no part number".to_owned();
            self.note(row.number(), Some(column), RemarkKind::SkuNotStated, says, Weight::Fault);
        }
        let key: Vec<usize> = self.reader.read().iter().map(|(_, reading)| *reading).collect();
        let specs = &mut self.specs[kind.place()];
        let spec = if let Some(spec) = specs.get(&key) {
            *spec
        } else {
            let spec = self.reader.spec(kind, self.reader.read());
            self.catalog.specs.push(spec);
            let place = self.catalog.specs.len() - 1;
            specs.insert(key, place);
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
        self.catalog.parts.push(Part {
            kind,
            supplier: self.reader.text_of(row, Concept::Supplier).unwrap_or(""),
            sku: sku.unwrap_or(""),
            name: self.reader.name_of(row).unwrap_or(""),
            price: self.reader.text_of(row, Concept::Price).unwrap_or(""),
            amount: self.amount(row),
            link: self.reader.text_of(row, Concept::Link).unwrap_or(""),
            image: self.reader.text_of(row, Concept::Image).unwrap_or(""),
            sheet: self.sheet_at,
            tab: self.tab_at,
            row: row.number(),
            spec,
        });
    }

    /// The price in a row, with the currency of its heading where the cell names none.
    fn amount(&self, row: Row<'s>) -> Option<Price> {
        let plan = self.reader.layout().columns.iter().find(|plan| plan.concept == Concept::Price)?;
        let read = money(row.cell(plan.column)?.text, plan.decimal).ok()?;
        let currency = read.currency.or(plan.currency);
        Some(Price { amount: read.amount, currency: currency.map(Currency::code) })
    }

    fn count_cells(&mut self, row: Row<'s>) {
        let layout = self.reader.layout();
        for (account, column) in self.understood.iter_mut().zip(&layout.places) {
            let Some(cell) = row.cell(*column) else { continue };
            account.cells += 1;
            let text = cell.text.trim();
            if account.samples.len() < SAMPLES && !account.samples.iter().any(|sample| sample == text) {
                account.samples.push(one_line(text));
            }
        }
        for (place, reading) in self.reader.read() {
            if self.reader.reading(*reading).unreadable.is_some() {
                let column = layout.columns[*place].column;
                let at = layout.places.iter().position(|place| *place == column);
                if let Some(account) = at.and_then(|at| self.understood.get_mut(at)) {
                    account.unread += 1;
                }
            }
        }
    }

    fn remark_cells(&mut self, row: Row<'s>) {
        for (place, reading) in self.reader.read() {
            let plan = &self.reader.layout().columns[*place];
            let reading = self.reader.reading(*reading);
            for assumption in &reading.assumed {
                *self.assumed.entry((plan.column, *assumption)).or_default() += 1;
            }
            let Some(unreadable) = &reading.unreadable else {
                continue;
            };
            let text = row.cell(plan.column).map_or("", |cell| cell.text.trim());
            let text = if text.is_empty() { String::new() } else { format!(" `{}`:", one_line(text)) };
            let says = format!("{}:{text} {}", one_line(&plan.heading), unreadable.why);
            self.remarks.push(Remark {
                tab: self.tab_at,
                row: row.number(),
                column: Some(plan.column),
                kind: unreadable.kind.clone(),
                says: Arc::from(says),
                weight: Weight::Fault,
            });
        }
    }

    /// What was assumed, once a column; the angle of cones once a sheet, which the caller sees to.
    fn remark_assumptions(&mut self) {
        for ((column, assumption), cells) in std::mem::take(&mut self.assumed) {
            let heading = self.reader.layout().columns.iter().find(|plan| plan.column == column);
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
            self.note(self.reader.layout().heading_row, Some(column), kind, says, Weight::Note);
        }
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
