//! How a tab is laid out: where its headings stand, and what each column holds.
//!
//! The heading row is found, not assumed: titles, logos and blank rows may stand above it, units in
//! a row of their own below it, a group word ("Rim") above it.

use std::collections::{BTreeMap, BTreeSet};

use crate::facts::part::PartKind;
use crate::intake::column::{ColumnPlan, UnitSource};
use crate::intake::heading::{Concept, Heading, understand};
use crate::intake::offer::{self, Offer};
use crate::intake::price::{PriceChoice, choose_price};
use crate::intake::profile::Profile;
use crate::intake::proof::prove_units;
use crate::intake::reading::read;
use crate::intake::row_words::is_total;
use crate::notation::number::{DecimalMark, ProvenMarks};
use crate::sheet::{CellKind, Column, Row, Tab};

/// The columns of a tab, or of the part of it below one heading row.
#[derive(Clone, Debug, Default)]
pub(super) struct Layout {
    /// The columns that hold something known, from left to right.
    pub(super) columns: Vec<ColumnPlan>,
    /// The first row of headings.
    pub(super) heading_row: u32,
    /// The last row of headings, units included.
    pub(super) last_heading_row: u32,
    /// The kinds of part its columns are about.
    pub(super) kinds: Vec<PartKind>,
    /// The headings that name nothing known, with their columns.
    pub(super) unknown: Vec<(Column, String)>,
    /// The headings that are known to hold no fact, with their columns.
    pub(super) left_over: Vec<(Column, String)>,
    /// Every column with a heading, from left to right.
    pub(super) places: Vec<Column>,
    /// What columns may hold whose headings do not say it.
    pub(super) offers: BTreeMap<Column, Offer>,
    /// The price column that counts, where there are several.
    pub(super) price: Option<PriceChoice>,
    /// Where a second table seems to start beside the first.
    pub(super) second_table: Option<Column>,
}

/// Rows above the headings that are looked at: more titles than this stand on no price list.
pub(super) const TITLE_ROWS: usize = 60;

/// What a layout is found by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Look {
    /// Headings and cells: cells prove decimal marks, and what columns may hold whose headings do not say it.
    AtCells,
    /// Headings alone: cells are looked at by whoever asks.
    AtHeadings,
}

/// Finds the first layout of a tab, where the profile says or by its headings.
pub(super) fn find(tab: &Tab, profile: Option<&Profile>, look: Look) -> Option<Layout> {
    if let Some(stated) = profile.and_then(|profile| profile.heading_row) {
        let row = tab.row(stated)?;
        return Some(of_headings(tab, None, row, tab.row(stated + 1), profile, look));
    }
    let mut rows = tab.rows().take(TITLE_ROWS).peekable();
    let mut above: Option<Row<'_>> = None;
    while let Some(row) = rows.next() {
        if let Some(layout) = of_row(tab, above, row, rows.peek().copied(), profile, look) {
            return Some(layout);
        }
        above = Some(row);
    }
    None
}

/// The layout that a row of headings gives; none where the row is none.
pub(super) fn of_row(
    tab: &Tab,
    above: Option<Row<'_>>,
    row: Row<'_>,
    below: Option<Row<'_>>,
    profile: Option<&Profile>,
    look: Look,
) -> Option<Layout> {
    if !could_be_headings(row) {
        return None;
    }
    let understood = row.cells().filter(|cell| holds_fact(&heading_of(cell.text.trim(), profile))).count();
    (understood >= 2).then(|| of_headings(tab, above, row, below, profile, look))
}

/// A heading as the profile says, or as understood without one.
fn heading_of(text: &str, profile: Option<&Profile>) -> Heading {
    profile.map_or_else(|| understand(text), |profile| profile.understand(text))
}

/// The layout below a row that is known to be headings.
fn of_headings(
    tab: &Tab,
    above: Option<Row<'_>>,
    row: Row<'_>,
    below: Option<Row<'_>>,
    profile: Option<&Profile>,
    look: Look,
) -> Layout {
    let mut headings: Vec<(Column, String)> =
        row.cells().map(|cell| (cell.column, cell.text.trim().to_owned())).collect();
    let mut first = row.number();
    let mut last = row.number();
    // Further lines of headings and units, in the rows right below.
    let mut below = below;
    while let Some(row) =
        below.filter(|row| row.number() == last + 1 && row.number() <= first + 2 && continues(*row))
    {
        last = row.number();
        let groups = headings.clone();
        for cell in row.cells() {
            match headings.iter_mut().find(|(column, _)| *column == cell.column) {
                Some((_, text)) => {
                    text.push(' ');
                    text.push_str(cell.text.trim());
                }
                // A group word ("Rim") stands over its first column only.
                None => {
                    let group = groups.iter().rfind(|(column, _)| *column < cell.column);
                    let joined =
                        group.map(|(_, group)| format!("{} {}", first_word(group), cell.text.trim()));
                    let joined = joined.filter(|joined| understand(joined).concept.is_some());
                    headings.push((cell.column, joined.unwrap_or_else(|| cell.text.trim().to_owned())));
                }
            }
        }
        headings.sort_by_key(|(column, _)| *column);
        below = tab.row(last + 1);
    }
    // A group word in the row right above, over several columns, settles what is unclear below it.
    if let Some(above) = above.filter(|above| above.number() + 1 == row.number() && could_be_headings(*above))
    {
        for (column, text) in &mut headings {
            let heading = understand(text);
            let unclear = matches!(heading.concept, None | Some(Concept::Diameter | Concept::Width));
            let group = above.cells().rfind(|cell| cell.column <= *column);
            if let Some(group) = group.filter(|_| unclear) {
                let joined = format!("{} {text}", group.text.trim());
                if understand(&joined).concept.is_some() {
                    *text = joined;
                    first = above.number();
                }
            }
        }
    }
    plan(tab, &headings, (first, last), profile, look)
}

fn first_word(text: &str) -> &str {
    text.split_whitespace().next().unwrap_or(text)
}

/// Whether a row below headings is a further row of headings: few figures, and mostly heading words.
pub(super) fn looks_like_headings(row: Row<'_>, profile: Option<&Profile>) -> bool {
    let cells = row.cells().len();
    // More than a quarter with figures are too many; most rows show so many at once.
    let with_figures = row.cells().filter(|cell| cell.text.bytes().any(|letter| letter.is_ascii_digit()));
    if cells < 2 || with_figures.take(cells / 4 + 1).count() * 4 > cells || !could_be_headings(row) {
        return false;
    }
    let known = row.cells().filter(|cell| heading_of(cell.text.trim(), profile).concept.is_some()).count();
    known >= 2 && known * 5 >= cells * 3
}

/// The rows of a table: up to other headings, without totals and what the profile leaves out.
pub(super) fn rows_of_table<'t>(
    tab: &'t Tab,
    columns: &[ColumnPlan],
    after: u32,
    profile: Option<&Profile>,
) -> impl Iterator<Item = Row<'t>> {
    let first_text = |row: Row<'t>| row.cells().next().map_or("", |cell| cell.text.trim());
    // Headings that stand again say under each column what its heading says, or a line of it.
    let again = |row: Row<'_>| {
        columns.iter().all(|plan| {
            let said = row.cell(plan.column).map_or_else(String::new, |cell| cell.text.trim().to_lowercase());
            plan.heading.to_lowercase().contains(&said)
        })
    };
    tab.rows()
        .skip_while(move |row| row.number() <= after)
        .take_while(move |row| !looks_like_headings(*row, profile) || again(*row))
        .filter(move |row| !is_total(first_text(*row)))
        .filter(move |row| !profile.is_some_and(|profile| profile.skips(row.number(), first_text(*row))))
}

/// Headings are words: no numbers, dates or errors, and more than one.
fn could_be_headings(row: Row<'_>) -> bool {
    row.cells().len() >= 2 && row.cells().all(|cell| cell.kind == CellKind::Text)
}

/// A row below headings belongs to them where it holds units or further heading words and no figure.
fn continues(row: Row<'_>) -> bool {
    let mut cells = row.cells();
    let words = cells
        .all(|cell| cell.kind == CellKind::Text && !cell.text.chars().any(|letter| letter.is_ascii_digit()));
    let said = |text: &str| {
        let heading = understand(text);
        heading.unit.is_some() || heading.currency.is_some() || heading.concept.is_some()
    };
    let telling = row.cells().filter(|cell| said(cell.text)).count();
    // "ea", "text" and the like may stand among the units.
    words && telling * 2 > row.cells().len() && row.cells().all(|cell| cell.text.chars().count() <= 24)
}

fn holds_fact(heading: &Heading) -> bool {
    heading.concept.is_some_and(|concept| concept != Concept::LeftOver)
}

fn plan(
    tab: &Tab,
    headings: &[(Column, String)],
    (first, last): (u32, u32),
    profile: Option<&Profile>,
    look: Look,
) -> Layout {
    let mut columns = Vec::new();
    let mut unknown = Vec::new();
    let mut left_over = Vec::new();
    for (column, text) in headings {
        let heading = heading_of(text, profile);
        let stated = profile.and_then(|profile| profile.column(text));
        match heading.concept {
            Some(Concept::LeftOver) => left_over.push((*column, text.clone())),
            Some(concept) => columns.push(ColumnPlan {
                column: *column,
                concept,
                unit: heading.unit,
                unit_from: if stated.is_some_and(|stated| stated.unit.is_some()) {
                    UnitSource::Profile
                } else {
                    UnitSource::Heading
                },
                only: kind_in_heading(concept, &heading.words),
                heading: text.clone(),
                decimal: None,
                decimal_from_tab: false,
                currency: None,
            }),
            None => unknown.push((*column, text.clone())),
        }
    }
    let second_table = second_table(&columns);
    if let Some(start) = second_table {
        columns.retain(|plan| plan.column < start);
    }
    understand_by_kind(&mut columns, &mut unknown);
    if look == Look::AtCells {
        find_decimal_marks(tab, &mut columns, last);
    }
    if let Some(mark) = profile.and_then(|profile| profile.decimal) {
        for plan in &mut columns {
            (plan.decimal, plan.decimal_from_tab) = (Some(mark), false);
        }
    }
    let kinds = kinds_of(&columns);
    let offers = match look {
        Look::AtCells => offered(tab, &columns, &unknown, &left_over, &kinds, last, profile),
        Look::AtHeadings => BTreeMap::new(),
    };
    let price = choose_price(&mut columns, profile);
    for plan in columns.iter_mut().filter(|plan| plan.concept == Concept::Price) {
        plan.currency = understand(&plan.heading).currency;
    }
    prove_units(tab, &mut columns, &kinds, last, profile);
    let places = headings.iter().map(|(column, _)| *column).collect();
    Layout {
        columns,
        heading_row: first,
        last_heading_row: last,
        kinds,
        unknown,
        left_over,
        places,
        offers,
        price,
        second_table,
    }
}

/// What columns may hold whose headings do not say it, or whose cells are nothing their headings say.
fn offered(
    tab: &Tab,
    columns: &[ColumnPlan],
    unknown: &[(Column, String)],
    left_over: &[(Column, String)],
    kinds: &[PartKind],
    after: u32,
    profile: Option<&Profile>,
) -> BTreeMap<Column, Offer> {
    let rows = offer::first_rows(rows_of_table(tab, columns, after, profile));
    let held: BTreeSet<Concept> = columns.iter().map(|plan| plan.concept).collect();
    let mut offers = BTreeMap::new();
    for (column, heading) in unknown {
        let cells = offer::cells_of(&rows, *column);
        offers.extend(offer::of_unknown(heading, &cells, kinds, &held).map(|offer| (*column, offer)));
    }
    // What the buyer states is no question any more.
    let stated = |heading: &str| profile.is_some_and(|profile| profile.column(heading).is_some());
    for (column, _) in left_over.iter().filter(|(_, heading)| !stated(heading)) {
        let cells = offer::cells_of(&rows, *column);
        offers.extend(offer::of_left_over(&cells, kinds).map(|offer| (*column, offer)));
    }
    for plan in columns.iter().filter(|plan| !stated(&plan.heading)) {
        let cells = offer::cells_of(&rows, plan.column);
        let offer = match plan.concept {
            Concept::Supplier | Concept::Name | Concept::Finish | Concept::Tread => {
                offer::of_words(&cells, kinds, &held)
            }
            Concept::Sku
            | Concept::Kind
            | Concept::Description
            | Concept::Price
            | Concept::Link
            | Concept::Image => None,
            concept => offer::of_misread(concept, &cells, kinds).filter(|_| is_misread(&rows, plan, kinds)),
        };
        offers.extend(offer.map(|offer| (plan.column, offer)));
    }
    offers
}

/// Whether no cell of a column can be read as its heading says.
fn is_misread(rows: &[Row<'_>], plan: &ColumnPlan, kinds: &[PartKind]) -> bool {
    let mut cells = rows.iter().filter_map(|row| row.cell(plan.column));
    cells.all(|cell| kinds.iter().all(|kind| read(plan, *kind, cell).unreadable.is_some()))
}

/// A second column of part numbers, with columns behind it that stand before it already, starts a
/// second table: its rows are other parts.
fn second_table(columns: &[ColumnPlan]) -> Option<Column> {
    let mut numbers = columns.iter().filter(|plan| plan.concept == Concept::Sku);
    let start = numbers.nth(1)?.column;
    let (before, behind): (Vec<&ColumnPlan>, Vec<&ColumnPlan>) =
        columns.iter().partition(|plan| plan.column < start);
    let repeats = |plan: &&ColumnPlan| {
        let telling =
            !matches!(plan.concept, Concept::Sku | Concept::Name | Concept::Supplier | Concept::Price);
        telling && before.iter().any(|earlier| earlier.concept == plan.concept)
    };
    behind.iter().any(repeats).then_some(start)
}

/// The kind of part that the heading of a size names: `Tire Size`, `Felgengröße`. A `llanta` is a rim in
/// Spain and a tire in Mexico, so it names none.
fn kind_in_heading(concept: Concept, words: &str) -> Option<PartKind> {
    const WHEEL: [&str; 7] = ["wheel", "rim", "felge", "jante", "rin", "cerchi", "velg"];
    const TIRE: [&str; 7] = ["tire", "tyre", "reifen", "pneu", "neumatico", "gomm", "band"];
    let names = |stems: &[&str]| words.split(' ').any(|word| stems.iter().any(|stem| word.starts_with(stem)));
    match (concept, names(&WHEEL), names(&TIRE)) {
        (Concept::Size, true, false) => Some(PartKind::Wheel),
        (Concept::Size, false, true) => Some(PartKind::Tire),
        _ => None,
    }
}

/// Headings that mean one thing on wheels and another on tires.
const BY_KIND: [(&str, Concept, Concept); 4] = [
    ("pattern", Concept::BoltPattern, Concept::Tread),
    ("profil", Concept::LeftOver, Concept::Tread),
    ("profiel", Concept::LeftOver, Concept::Tread),
    ("rating", Concept::Load, Concept::LeftOver),
];

/// Settles headings that only the kind of the tab's parts settles.
fn understand_by_kind(columns: &mut Vec<ColumnPlan>, unknown: &mut Vec<(Column, String)>) {
    let [kind] = kinds_of(columns)[..] else { return };
    unknown.retain(|(column, text)| {
        let heading = understand(text);
        let Some((_, wheel, tire)) = BY_KIND.iter().find(|(words, ..)| *words == heading.words) else {
            return true;
        };
        let concept = if kind == PartKind::Wheel { *wheel } else { *tire };
        if concept == Concept::LeftOver {
            return true;
        }
        columns.push(ColumnPlan {
            column: *column,
            concept,
            unit: heading.unit,
            unit_from: UnitSource::Heading,
            only: None,
            heading: text.clone(),
            decimal: None,
            decimal_from_tab: false,
            currency: None,
        });
        false
    });
    columns.sort_by_key(|plan| plan.column);
}

/// Which kinds of part the columns can be about: one where some column belongs to it alone.
fn kinds_of(columns: &[ColumnPlan]) -> Vec<PartKind> {
    let alone = |kind: PartKind, other: PartKind| {
        columns.iter().any(|plan| !plan.states(kind).is_empty() && plan.states(other).is_empty())
    };
    match (alone(PartKind::Wheel, PartKind::Tire), alone(PartKind::Tire, PartKind::Wheel)) {
        (true, false) => vec![PartKind::Wheel],
        (false, true) => vec![PartKind::Tire],
        (true, true) | (false, false) => PartKind::ALL.to_vec(),
    }
}

/// A comma or point that is unmistakable in one cell settles the mistakable ones of its column; a
/// column that proves nothing goes by the rest of the tab, if that is of one mind.
fn find_decimal_marks(tab: &Tab, columns: &mut [ColumnPlan], after: u32) {
    let mut found = vec![ProvenMarks::default(); columns.len()];
    for row in tab.rows().filter(|row| row.number() > after) {
        for (plan, marks) in columns.iter().zip(&mut found) {
            if proves_marks(plan)
                && let Some(cell) = row.cell(plan.column).filter(|cell| cell.kind == CellKind::Text)
            {
                marks.learn(cell.text);
            }
        }
    }
    settle_decimal_marks(columns, &found);
}

/// Whether figures in a column may prove a decimal mark: those in an address do not.
pub(super) fn proves_marks(plan: &ColumnPlan) -> bool {
    !matches!(plan.concept, Concept::Link | Concept::Image)
}

/// Gives each column its decimal mark, by what its cells prove.
pub(super) fn settle_decimal_marks(columns: &mut [ColumnPlan], found: &[ProvenMarks]) {
    let mark_of = |proven: ProvenMarks| match (proven.comma, proven.point) {
        (true, false) => Some(DecimalMark::Comma),
        (false, true) => Some(DecimalMark::Point),
        (true, true) | (false, false) => None,
    };
    let all = found.iter().copied().fold(ProvenMarks::default(), ProvenMarks::and);
    for (plan, proven) in columns.iter_mut().zip(found) {
        plan.decimal_from_tab = *proven == ProvenMarks::default();
        plan.decimal = mark_of(if plan.decimal_from_tab { all } else { *proven });
    }
}
