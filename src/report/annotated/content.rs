//! What is added to a supplier's sheet, whatever the form of the file: columns, marks, a summary.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rust_decimal::Decimal;

use crate::facts::catalog::Weight;
use crate::facts::field::Field;
use crate::facts::part::{Part, PartKind};
use crate::intake::heading::OURS;
use crate::judge::{Finding, Judgement, VerdictKind};
use crate::report::prospects::NearMiss;
use crate::report::row_height::row_height;
use crate::report::words::{CAUTIONS, verdict_words};
use crate::sheet::{CellRef, Sheet, Tab};
use crate::van::Van;

/// Notes on one tab, before cells are only colored: spreadsheet programs grow slow on more.
const MOST_NOTES: usize = 10_000;
/// Columns at least that wide, in characters: verdict, reasons, work, cost.
const WIDTHS: [u32; 4] = [16, 72, 34, 12];
/// No heading makes its column wider.
const WIDEST: u32 = 72;
/// The columns of the summary: words, and a count for each verdict. Sentences behind the first column
/// go on over the empty cells beside them.
pub(super) const SUMMARY_WIDTHS: [u32; 5] = [76, 14, 14, 14, 14];
/// Remarks listed on the summary tab.
const MOST_REMARKS: usize = 5_000;

/// How much a marked cell matters; the worst of several counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Severity {
    /// Work cures it.
    Cured,
    /// It cannot be read, or something is missing.
    Unknown,
    /// It rules the part out for a van.
    Fails,
}

/// A cell that decided something.
#[derive(Clone, Debug)]
pub(super) struct Mark {
    pub(super) severity: Severity,
    /// The lines of its note.
    pub(super) lines: Vec<String>,
    /// Why the cell cannot be used, as remarks on it end.
    pub(super) unusable: Vec<Arc<str>>,
    /// Whether it gets a note; beyond a number it gets a color only.
    pub(super) noted: bool,
}

/// The content of an added cell.
#[derive(Clone, Debug)]
pub(super) enum Added {
    Verdict(VerdictKind),
    Text(String),
    Cost(Decimal),
    Nothing,
}

/// What is added to one tab.
#[derive(Clone, Debug)]
pub(super) struct TabAdditions {
    pub(super) heading_row: u32,
    pub(super) last_heading_row: u32,
    /// The last row that is a part.
    pub(super) last_row: u32,
    pub(super) headings: Vec<String>,
    pub(super) rows: BTreeMap<u32, Vec<Added>>,
    pub(super) marks: BTreeMap<CellRef, Mark>,
}

/// One line of the summary tab.
#[derive(Clone, Debug)]
pub(super) enum Line {
    Title(String),
    Text(String),
    Headings(Vec<String>),
    Row(Vec<Figure>),
    Gap,
}

/// A cell of the summary tab.
#[derive(Clone, Debug)]
pub(super) enum Figure {
    Words(String),
    Count(usize),
}

impl TabAdditions {
    /// The width of an added column in characters: its heading stands on one line.
    pub(super) fn width(&self, place: usize) -> u32 {
        let heading = self.headings.get(place).map_or(0, |heading| heading.chars().count());
        WIDTHS[place % WIDTHS.len()].max(u32::try_from(heading + 2).unwrap_or(u32::MAX).min(WIDEST))
    }

    /// The height in points that a row of parts needs for what is added to it; none where one line will do.
    pub(super) fn height(&self, row: u32) -> Option<f64> {
        let cells = self.rows.get(&row)?.iter().enumerate();
        row_height(cells.filter_map(|(place, added)| match added {
            Added::Text(text) => Some((text.as_str(), self.width(place) as usize)),
            Added::Verdict(_) | Added::Cost(_) | Added::Nothing => None,
        }))
    }
}

impl Line {
    /// The height in points that it needs on the summary tab; none where one line will do.
    pub(super) fn height(&self) -> Option<f64> {
        match self {
            Self::Text(text) => row_height([(text.as_str(), SUMMARY_WIDTHS[0] as usize)]),
            Self::Title(_) | Self::Headings(_) | Self::Row(_) | Self::Gap => None,
        }
    }
}

/// Everything that is added to a sheet.
#[derive(Clone, Debug)]
pub(super) struct Additions {
    /// For each tab; none where the tab holds no part.
    pub(super) tabs: Vec<Option<TabAdditions>>,
    pub(super) summary: Vec<Line>,
    /// The name of the summary tab.
    pub(super) summary_name: String,
}

/// What is to be added to the first sheet of a judgement.
pub(super) fn additions(judgement: &Judgement<'_>, sheet: &Sheet) -> Additions {
    let account = judgement.catalog.sheets.first();
    let mut tabs: Vec<Option<TabAdditions>> = (0..sheet.tabs.len())
        .map(|at| {
            let tab = account?.tabs.get(at)?;
            Some(TabAdditions {
                heading_row: tab.heading_row?,
                last_heading_row: tab.last_heading_row?,
                last_row: 0,
                headings: headings(judgement),
                rows: BTreeMap::new(),
                marks: BTreeMap::new(),
            })
        })
        .collect();
    let shared = shared_cautions(judgement);
    for part in judgement.catalog.parts.iter().filter(|part| part.sheet == 0) {
        let Some(Some(tab)) = tabs.get_mut(part.tab) else {
            continue;
        };
        tab.last_row = tab.last_row.max(part.row);
        let mut cells = Vec::new();
        for (at, van) in judgement.vans.iter().enumerate() {
            if let Some(finding) = judgement.finding(at, part) {
                cells.extend(cells_of(finding, van, shared.get(&(at, part.kind))));
                mark(tab, judgement, part, van, finding);
            }
        }
        tab.rows.insert(part.row, cells);
    }
    for remark in account.map_or(&[][..], |account| &account.remarks) {
        let (Some(Some(tab)), Some(cells)) = (tabs.get_mut(remark.tab), sheet.tabs.get(remark.tab)) else {
            continue;
        };
        if remark.weight == Weight::Fault
            && let Some(row) = cells.row(remark.row)
            && let Some(column) = remark.column.or_else(|| row.cells().next().map(|cell| cell.column))
        {
            let at = CellRef::new(column, remark.row);
            let told = tab
                .marks
                .get(&at)
                .is_some_and(|mark| mark.unusable.iter().any(|why| remark.says.ends_with(why.as_ref())));
            if !told {
                put_mark(tab, at, Severity::Unknown, remark.says.to_string());
            }
        }
    }
    for tab in tabs.iter_mut().flatten() {
        for mark in tab.marks.values_mut().skip(MOST_NOTES) {
            mark.noted = false;
        }
    }
    for tab in &mut tabs {
        if tab.as_ref().is_some_and(|tab| tab.rows.is_empty()) {
            *tab = None;
        }
    }
    let summary = summary(judgement, &tabs, &shared);
    Additions { tabs, summary, summary_name: free_name(&sheet.tabs) }
}

/// A name for the summary that no tab has; names of tabs differ by more than case.
fn free_name(tabs: &[Tab]) -> String {
    let mut name = format!("{OURS} summary");
    let mut count = 1_u32;
    while tabs.iter().any(|tab| tab.name().to_lowercase() == name) {
        count += 1;
        name = format!("{OURS} summary {count}");
    }
    name
}

fn headings(judgement: &Judgement<'_>) -> Vec<String> {
    let of_van =
        |van: &Van| ["verdict", "reasons", "work", "cost"].map(|what| format!("{OURS} {what}: {}", van.id));
    judgement.vans.iter().flat_map(of_van).collect()
}

/// The cautions that stand at every part of a kind for a van, by the van's place; of several parts.
type Shared = BTreeMap<(usize, PartKind), BTreeSet<Arc<str>>>;

/// Most are about a column that the sheet does not have: said once, they leave room for the reasons.
fn shared_cautions(judgement: &Judgement<'_>) -> Shared {
    let mut shared = Shared::new();
    for at in 0..judgement.vans.len() {
        for kind in PartKind::ALL {
            let parts = judgement.catalog.parts.iter().filter(|part| part.sheet == 0 && part.kind == kind);
            let mut told = parts.filter_map(|part| judgement.finding(at, part)).map(cautions_of);
            let (Some(first), Some(second)) = (told.next(), told.next()) else { continue };
            let both = first.intersection(&second).cloned().collect();
            let all =
                told.fold(both, |all: BTreeSet<Arc<str>>, more| all.intersection(&more).cloned().collect());
            shared.insert((at, kind), all);
        }
    }
    shared
}

fn cautions_of(finding: &Arc<Finding>) -> BTreeSet<Arc<str>> {
    finding.cautions.iter().map(|caution| Arc::clone(&caution.says)).collect()
}

fn cells_of(finding: &Finding, van: &Van, shared: Option<&BTreeSet<Arc<str>>>) -> [Added; 4] {
    let mut told: Vec<String> = finding.reasons().iter().map(|reason| reason.says.to_string()).collect();
    // Where little is amiss, what it would take is worth the room.
    let remedy = NearMiss::of(finding).and_then(|miss| miss.reason.remedy.as_ref());
    told.extend(remedy.map(|remedy| format!("it would take {remedy}")));
    for gap in finding.gaps() {
        let line = match gap.field {
            Some(field) if !gap.why.contains(field.words()) => {
                format!("{} cannot be shown: {}", field.words(), gap.why)
            }
            _ => gap.why.to_string(),
        };
        if !told.contains(&line) {
            told.push(line);
        }
    }
    let own =
        finding.cautions.iter().filter(|caution| !shared.is_some_and(|all| all.contains(&caution.says)));
    told.extend(own.map(|caution| format!("caution: {}", caution.says)));
    let text =
        |parts: Vec<String>| if parts.is_empty() { Added::Nothing } else { Added::Text(parts.join("; ")) };
    let works = finding.cure().map_or_else(Vec::new, |cure| {
        cure.works.iter().filter_map(|work| van.works.get(*work)).map(|work| work.name.to_string()).collect()
    });
    let cost = finding.cure().map_or(Added::Nothing, |cure| Added::Cost(cure.cost));
    [Added::Verdict(finding.kind()), text(told), text(works), cost]
}

fn mark(tab: &mut TabAdditions, judgement: &Judgement<'_>, part: &Part<'_>, van: &Van, finding: &Finding) {
    let spec = judgement.spec(part);
    let cell = |field: Option<Field>| {
        let column = spec?.fact(field?)?.column?;
        Some(CellRef::new(column, part.row))
    };
    let severity = if finding.kind() == VerdictKind::Rejected { Severity::Fails } else { Severity::Cured };
    for reason in finding.reasons() {
        if let Some(at) = cell(reason.evidence.as_ref().map(|evidence| evidence.field)) {
            put_mark(tab, at, severity, format!("{}: {}", van.id, reason.says));
        }
    }
    for gap in finding.gaps() {
        if let Some(at) = cell(gap.field) {
            let field = gap.field.map_or("", Field::words);
            put_mark(tab, at, Severity::Unknown, format!("{}: {field}: {}", van.id, gap.why));
            if let Some(mark) = tab.marks.get_mut(&at) {
                mark.unusable.push(Arc::clone(&gap.why));
            }
        }
    }
}

fn put_mark(tab: &mut TabAdditions, at: CellRef, severity: Severity, line: String) {
    let mark = tab.marks.entry(at).or_insert_with(|| Mark {
        severity,
        lines: Vec::new(),
        unusable: Vec::new(),
        noted: true,
    });
    mark.severity = mark.severity.max(severity);
    if !mark.lines.contains(&line) {
        mark.lines.push(line);
    }
}

fn summary(judgement: &Judgement<'_>, tabs: &[Option<TabAdditions>], shared: &Shared) -> Vec<Line> {
    let account = judgement.catalog.sheets.first();
    let name = account.map_or("", |account| account.name.as_str());
    let mut lines = vec![Line::Title(format!("What fits which van: {name}")), Line::Gap];
    let mut headings = vec!["Van and kind of part".to_owned()];
    headings.extend(VerdictKind::ALL.map(|kind| verdict_words(kind).to_owned()));
    lines.push(Line::Headings(headings));
    for (at, van) in judgement.vans.iter().enumerate() {
        for kind in PartKind::ALL {
            let parts = || judgement.catalog.parts.iter().filter(|part| part.sheet == 0 && part.kind == kind);
            if parts().next().is_none() {
                continue;
            }
            let mut row = vec![Figure::Words(format!("{} ({}): {}s", van.name, van.id, kind.name()))];
            row.extend(VerdictKind::ALL.map(|verdict| {
                let of_kind = |part: &&Part<'_>| {
                    judgement.finding(at, part).is_some_and(|finding| finding.kind() == verdict)
                };
                Figure::Count(parts().filter(of_kind).count())
            }));
            lines.push(Line::Row(row));
        }
    }
    lines.push(Line::Gap);
    lines.push(Line::Text(
        "Unproven: nothing speaks against it, but the sheet leaves out or garbles something that must be known first. \
         Missing is never taken as good."
            .to_owned(),
    ));
    lines.push(Line::Text(format!(
        "Columns whose headings begin with `{OURS}` were added; everything else is the supplier's own. A colored cell \
         decided something and its note says what: red rules the part out, amber is missing or cannot be used, blue is \
         cured by work."
    )));
    let unnoted: usize = tabs.iter().flatten().map(|tab| tab.marks.len().saturating_sub(MOST_NOTES)).sum();
    if unnoted > 0 {
        lines.push(Line::Text(format!(
            "Only the first {MOST_NOTES} colored cells of a tab have notes; {unnoted} more are colored only."
        )));
    }
    for ((at, kind), cautions) in shared {
        if let Some(van) = judgement.vans.get(*at).filter(|_| !cautions.is_empty()) {
            let all: Vec<&str> = cautions.iter().map(AsRef::as_ref).collect();
            let on = format!("Caution on every {} for the {}: ", kind.name(), van.id);
            lines.push(Line::Text(on + &all.join("; ")));
        }
    }
    lines.push(Line::Text(CAUTIONS.to_owned()));
    let remarks = account.map_or(&[][..], |account| &account.remarks);
    if !remarks.is_empty() {
        lines.push(Line::Gap);
        lines.push(Line::Headings(vec!["Where".to_owned(), "What to know about the sheet".to_owned()]));
    }
    for remark in remarks.iter().take(MOST_REMARKS) {
        let tab =
            account.and_then(|account| account.tabs.get(remark.tab)).map_or("", |tab| tab.name.as_str());
        let place = format!("{tab} {}", remark.address());
        lines.push(Line::Row(vec![
            Figure::Words(place.trim().to_owned()),
            Figure::Words(remark.says.to_string()),
        ]));
    }
    let more = remarks.len().saturating_sub(MOST_REMARKS);
    if more > 0 {
        lines.push(Line::Text(format!("... and {more} more")));
    }
    lines
}
