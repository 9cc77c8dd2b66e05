//! One sheet part of a workbook, with columns, marks and a pane added.
//!
//! Every tag that is there stays; those of marked cells change their format number alone.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::iter::Peekable;
use std::ops::Range;

use super::content::{Added, Figure, Line, Mark, SUMMARY_WIDTHS, TabAdditions};
use super::problem::PartFault;
use super::styles::{Look, Styles};
use super::xml::{Edits, Standing, Tag, cell_text, opened, walk, with_attribute, without_attribute};
use crate::sheet::{CellRef, Column};

/// The namespace of sheets in the form of ECMA-376 that programs write.
const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const RELATIONSHIPS: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";

/// Headings further down than this are not frozen: they would leave no room to scroll in.
const LAST_FROZEN: u32 = 25;

/// What is to be known of a sheet part before it is changed.
#[derive(Clone, Debug, Default)]
pub(super) struct Before {
    /// The column behind the last that has a cell or merged range.
    free: usize,
    /// The relationship of its legacy drawing.
    pub(super) legacy: Option<String>,
}

/// Looks a sheet part over.
pub(super) fn look_over(xml: &str) -> Result<Before, PartFault> {
    let mut before = Before::default();
    let mut column = 0;
    walk(xml, |tag| {
        match (tag.depth, tag.local()) {
            (0, local) if tag.begins() => {
                if local != "worksheet" {
                    return Err(PartFault::Incomplete);
                }
                let prefix = tag.prefix().trim_end_matches(':');
                let name = if prefix.is_empty() { "xmlns".to_owned() } else { format!("xmlns:{prefix}") };
                if tag.attribute(&name).as_deref() != Some(MAIN) {
                    return Err(PartFault::Strict);
                }
            }
            (1, "legacyDrawing") if tag.begins() => before.legacy = tag.attribute_behind_prefix("id"),
            (2, "row") => column = 0,
            (3, "c") if tag.begins() => {
                column = column_of(&tag).map_or(column, Column::index) + 1;
                before.free = before.free.max(column);
            }
            (2, "mergeCell") if tag.begins() => {
                let last =
                    tag.attribute("ref").and_then(|range| range.rsplit(':').next()?.parse::<CellRef>().ok());
                before.free = before.free.max(last.map_or(0, |last| last.column.index() + 1));
            }
            _ => {}
        }
        Ok(())
    })?;
    Ok(before)
}

fn column_of(tag: &Tag<'_>) -> Option<Column> {
    tag.attribute("r")?.parse::<CellRef>().ok().map(|at| at.column)
}

/// Changes a sheet part; `legacy` is the relationship of a legacy drawing to add.
pub(super) fn patch(
    xml: &str,
    before: &Before,
    additions: &TabAdditions,
    styles: &mut Styles,
    legacy: Option<&str>,
) -> Result<String, PartFault> {
    let last = (before.free + additions.headings.len()).checked_sub(1);
    let (Some(first), Some(last)) = (Column::from_index(before.free), last.and_then(Column::from_index))
    else {
        return Err(PartFault::NoRoom);
    };
    let mut wanted: BTreeSet<u32> = additions.rows.keys().copied().collect();
    wanted.insert(additions.heading_row);
    wanted.extend(additions.marks.keys().map(|at| at.row));
    let mut patch = Patch {
        additions,
        styles,
        legacy,
        first,
        last,
        edits: Edits::default(),
        p: String::new(),
        wanted,
        row: None,
        row_number: 0,
        column: 0,
        leftmost: None,
        views: Views::default(),
        columns_done: false,
        behind_rows: false,
        filter_at: None,
        has_filter: false,
        legacy_at: None,
    };
    walk(xml, |tag| patch.tag(&tag))?;
    patch.edits.apply(xml)
}

/// The views of a sheet part while it is changed.
#[derive(Debug, Default)]
struct Views {
    done: bool,
    open: Option<(String, Range<usize>)>,
    has_pane: bool,
}

type Marks<'a> = Peekable<std::collections::btree_map::Range<'a, CellRef, Mark>>;

struct Patch<'a> {
    additions: &'a TabAdditions,
    styles: &'a mut Styles,
    legacy: Option<&'a str>,
    first: Column,
    last: Column,
    edits: Edits,
    p: String,
    /// Rows still to be changed.
    wanted: BTreeSet<u32>,
    /// The marks left in the row that is being changed, with the row's own format.
    row: Option<(Marks<'a>, usize)>,
    row_number: u32,
    column: usize,
    leftmost: Option<Column>,
    views: Views,
    columns_done: bool,
    behind_rows: bool,
    filter_at: Option<usize>,
    has_filter: bool,
    legacy_at: Option<usize>,
}

impl<'a> Patch<'a> {
    fn tag(&mut self, tag: &Tag<'_>) -> Result<(), PartFault> {
        match tag.depth {
            0 if tag.begins() => self.p = tag.prefix().to_owned(),
            0 => self.end(tag.span.start),
            1 => self.section(tag),
            2 => self.inner(tag),
            3 => self.cell_or_pane(tag),
            _ => {}
        }
        Ok(())
    }

    fn section(&mut self, tag: &Tag<'_>) {
        let local = tag.local();
        if tag.begins() && matches!(local, "sheetFormatPr" | "cols" | "sheetData") && !self.views.done {
            self.views.done = true;
            if let Some(pane) = self.pane() {
                let p = &self.p;
                let views = format!(
                    "<{p}sheetViews><{p}sheetView workbookViewId=\"0\">{pane}</{p}sheetView></{p}sheetViews>"
                );
                self.edits.insert(tag.span.start, views);
            }
        }
        match (local, tag.standing) {
            ("dimension", Standing::Open | Standing::Empty) => self.dimension(tag),
            ("sheetViews", Standing::Open) => self.views.done = true,
            ("cols", Standing::Close) => {
                let columns = self.columns();
                self.edits.insert(tag.span.start, columns);
                self.columns_done = true;
            }
            ("cols", Standing::Empty) => {
                let text = format!("<{p}cols>{}</{p}cols>", self.columns(), p = self.p);
                self.edits.replace(tag.span.clone(), text);
                self.columns_done = true;
            }
            ("sheetData", Standing::Open) if !self.columns_done => {
                let text = format!("<{p}cols>{}</{p}cols>", self.columns(), p = self.p);
                self.edits.insert(tag.span.start, text);
            }
            ("sheetData", Standing::Close | Standing::Empty) => self.behind_rows = true,
            (_, Standing::Open | Standing::Empty) if self.behind_rows => self.behind(local, tag.span.start),
            _ => {}
        }
    }

    /// Sections behind the rows stand in a fixed order (ECMA-376 part 1, 18.3.1.99).
    fn behind(&mut self, local: &str, at: usize) {
        if matches!(local, "autoFilter" | "tableParts") {
            self.has_filter = true;
        }
        if !matches!(local, "sheetCalcPr" | "sheetProtection" | "protectedRanges" | "scenarios") {
            self.filter_at.get_or_insert(at);
        }
        let after = [
            "legacyDrawingHF",
            "drawingHF",
            "picture",
            "oleObjects",
            "controls",
            "AlternateContent",
            "webPublishItems",
            "tableParts",
            "extLst",
        ];
        if after.contains(&local) {
            self.legacy_at.get_or_insert(at);
        }
    }

    fn end(&mut self, at: usize) {
        let p = self.p.clone();
        if !self.has_filter {
            let from = CellRef::new(self.leftmost.unwrap_or(self.first), self.additions.last_heading_row);
            let to = CellRef::new(self.last, self.additions.last_row);
            self.edits.insert(self.filter_at.unwrap_or(at), format!("<{p}autoFilter ref=\"{from}:{to}\"/>"));
        }
        if let Some(id) = self.legacy {
            let text = format!("<{p}legacyDrawing xmlns:lr=\"{RELATIONSHIPS}\" lr:id=\"{id}\"/>");
            self.edits.insert(self.legacy_at.unwrap_or(at), text);
        }
    }

    fn dimension(&mut self, tag: &Tag<'_>) {
        let Some(range) = tag.attribute("ref") else {
            return;
        };
        let mut ends = range.split(':').map(str::parse::<CellRef>);
        let (Some(Ok(from)), end) = (ends.next(), ends.next()) else {
            return;
        };
        let end = match end {
            Some(Ok(end)) => end,
            Some(Err(_)) => return,
            None => from,
        };
        let row = end.row.max(self.additions.last_row).max(self.additions.heading_row);
        let from = CellRef::new(from.column, from.row.min(self.additions.heading_row));
        let wider = format!("{from}:{}", CellRef::new(self.last, row));
        self.edits.replace(tag.span.clone(), with_attribute(tag.text, "ref", &wider));
    }

    fn pane(&self) -> Option<String> {
        let row = self.additions.last_heading_row;
        (row <= LAST_FROZEN).then(|| {
            format!(
                "<{}pane ySplit=\"{row}\" topLeftCell=\"A{}\" activePane=\"bottomLeft\" state=\"frozen\"/>",
                self.p,
                row + 1
            )
        })
    }

    fn columns(&self) -> String {
        let mut text = String::new();
        for (place, index) in (self.first.index()..=self.last.index()).enumerate() {
            let width = self.additions.width(place);
            // Writing to a string cannot fail.
            let _ = write!(
                text,
                "<{p}col min=\"{n}\" max=\"{n}\" width=\"{width}\" customWidth=\"1\"/>",
                p = self.p,
                n = index + 1
            );
        }
        text
    }

    fn inner(&mut self, tag: &Tag<'_>) {
        match (tag.local(), tag.standing) {
            ("sheetView", Standing::Empty) => {
                if let Some(pane) = self.pane_for(tag) {
                    let start = without_attribute(&opened(tag.text), "topLeftCell");
                    let text = format!("{start}{pane}</{}sheetView>", self.p);
                    self.edits.replace(tag.span.clone(), text);
                }
            }
            ("sheetView", Standing::Open) => {
                self.views.has_pane = false;
                self.views.open = self
                    .pane_for(tag)
                    .map(|pane| (without_attribute(tag.text, "topLeftCell") + &pane, tag.span.clone()));
            }
            ("sheetView", Standing::Close) => {
                if let Some((text, span)) = self.views.open.take().filter(|_| !self.views.has_pane) {
                    self.edits.replace(span, text);
                }
            }
            ("col", Standing::Open | Standing::Empty) => self.make_room(tag),
            ("row", Standing::Open | Standing::Empty) => self.start_row(tag),
            ("row", Standing::Close) => self.end_row(tag.span.start),
            _ => {}
        }
    }

    fn pane_for(&self, tag: &Tag<'_>) -> Option<String> {
        self.pane().filter(|_| tag.attribute("view").as_deref() != Some("pageLayout"))
    }

    /// A column setting that reaches into our columns ends before them and goes on behind them.
    fn make_room(&mut self, tag: &Tag<'_>) {
        let number = |name| tag.attribute(name).and_then(|text| text.parse::<usize>().ok());
        let (Some(min), Some(max)) = (number("min"), number("max")) else {
            return;
        };
        let (first, last) = (self.first.index() + 1, self.last.index() + 1);
        if max < first {
            return;
        }
        let piece = |from: usize, to: usize| {
            with_attribute(&with_attribute(tag.text, "min", &from.to_string()), "max", &to.to_string())
        };
        let mut pieces = String::new();
        if min < first {
            pieces.push_str(&piece(min, first - 1));
        }
        if !self.columns_done && max >= first {
            pieces.push_str(&self.columns());
            self.columns_done = true;
        }
        if max > last {
            pieces.push_str(&piece(min.max(last + 1), max));
        }
        self.edits.replace(tag.span.clone(), pieces);
    }

    fn start_row(&mut self, tag: &Tag<'_>) {
        let number = tag.attribute("r").and_then(|text| text.parse().ok());
        self.row_number = number.unwrap_or(self.row_number + 1);
        self.column = 0;
        if !self.wanted.remove(&self.row_number) {
            self.row = None;
            return;
        }
        let own = if tag.attribute("customFormat").is_some() { style_of(tag) } else { 0 };
        let (Some(from), Some(to)) =
            (Column::from_index(0), Column::from_index(usize::from(Column::COUNT) - 1))
        else {
            return;
        };
        let additions: &'a TabAdditions = self.additions;
        let marks =
            additions.marks.range(CellRef::new(from, self.row_number)..=CellRef::new(to, self.row_number));
        self.row = Some((marks.peekable(), own));
        let mut start = tag.text.to_owned();
        if let Some(spans) = tag.attribute("spans") {
            let from = spans.split(':').next().unwrap_or("1");
            start = with_attribute(tag.text, "spans", &format!("{from}:{}", self.last.index() + 1));
        }
        if tag.standing == Standing::Empty {
            let cells = self.cells_at_end();
            self.edits.replace(tag.span.clone(), format!("{}{cells}</{}row>", opened(&start), self.p));
        } else if start != tag.text {
            self.edits.replace(tag.span.clone(), start);
        }
    }

    fn end_row(&mut self, at: usize) {
        let cells = self.cells_at_end();
        if !cells.is_empty() {
            self.edits.insert(at, cells);
        }
    }

    /// Marks behind the last cell, and what is added to the row.
    fn cells_at_end(&mut self) -> String {
        let Some((marks, own)) = self.row.take() else {
            return String::new();
        };
        let mut text = String::new();
        for (at, mark) in marks {
            text.push_str(&self.blank(*at, mark, own));
        }
        let headings: Vec<Added>;
        let (cells, look) = if self.row_number == self.additions.heading_row {
            headings = self.additions.headings.iter().cloned().map(Added::Text).collect();
            (&headings, Look::Heading)
        } else if let Some(cells) = self.additions.rows.get(&self.row_number) {
            (cells, Look::Plain)
        } else {
            return text;
        };
        for (place, added) in cells.iter().enumerate() {
            if let Some(column) = Column::from_index(self.first.index() + place) {
                text.push_str(&added_cell(
                    &self.p,
                    CellRef::new(column, self.row_number),
                    added,
                    look,
                    self.styles,
                ));
            }
        }
        text
    }

    fn blank(&mut self, at: CellRef, mark: &Mark, own: usize) -> String {
        format!("<{}c r=\"{at}\" s=\"{}\"/>", self.p, self.styles.marked(own, mark.severity))
    }

    fn cell_or_pane(&mut self, tag: &Tag<'_>) {
        match (tag.local(), tag.begins()) {
            ("pane", true) => self.views.has_pane = true,
            ("c", true) => {
                let column = column_of(tag).or_else(|| Column::from_index(self.column));
                let Some(column) = column else {
                    return;
                };
                self.column = column.index() + 1;
                if (self.additions.heading_row..=self.additions.last_heading_row).contains(&self.row_number) {
                    self.leftmost = Some(self.leftmost.map_or(column, |known| known.min(column)));
                }
                self.cell(tag, CellRef::new(column, self.row_number));
            }
            _ => {}
        }
    }

    fn cell(&mut self, tag: &Tag<'_>, at: CellRef) {
        let Some((mut marks, own)) = self.row.take() else {
            return;
        };
        let mut blanks = String::new();
        while let Some((before, mark)) = marks.next_if(|(before, _)| **before < at) {
            blanks.push_str(&self.blank(*before, mark, own));
        }
        if !blanks.is_empty() {
            self.edits.insert(tag.span.start, blanks);
        }
        if let Some((_, mark)) = marks.next_if(|(marked, _)| **marked == at) {
            let style = self.styles.marked(style_of(tag), mark.severity).to_string();
            self.edits.replace(tag.span.clone(), with_attribute(tag.text, "s", &style));
        }
        self.row = Some((marks, own));
    }
}

fn style_of(tag: &Tag<'_>) -> usize {
    tag.attribute("s").and_then(|text| text.parse().ok()).unwrap_or(0)
}

fn added_cell(p: &str, at: CellRef, added: &Added, look: Look, styles: &mut Styles) -> String {
    match added {
        Added::Nothing => String::new(),
        Added::Verdict(kind) => words(p, at, kind.name(), styles.look(Look::Verdict(*kind))),
        Added::Text(text) => words(p, at, text, styles.look(look)),
        Added::Cost(cost) => number(p, at, &cost.to_string(), styles.look(Look::Cost)),
    }
}

fn words(p: &str, at: CellRef, text: &str, style: usize) -> String {
    format!(
        "<{p}c r=\"{at}\" s=\"{style}\" t=\"inlineStr\"><{p}is><{p}t xml:space=\"preserve\">{}</{p}t></{p}is></{p}c>",
        cell_text(text)
    )
}

fn number(p: &str, at: CellRef, figure: &str, style: usize) -> String {
    format!("<{p}c r=\"{at}\" s=\"{style}\"><{p}v>{figure}</{p}v></{p}c>")
}

/// A new sheet part that holds the summary.
pub(super) fn summary(lines: &[Line], styles: &mut Styles) -> String {
    let mut xml = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n<worksheet xmlns=\"{MAIN}\"><cols>"
    );
    // Writing to a string cannot fail.
    for (column, width) in (1..).zip(SUMMARY_WIDTHS) {
        let _ = write!(xml, "<col min=\"{column}\" max=\"{column}\" width=\"{width}\" customWidth=\"1\"/>");
    }
    xml.push_str("</cols><sheetData>");
    for (row, line) in (1_u32..).zip(lines) {
        let height = line.height().map_or_else(String::new, |height| format!(" ht=\"{height}\""));
        let _ = write!(xml, "<row r=\"{row}\"{height}>");
        let mut put = |place: usize, figure: &Figure, look: Look| {
            let Some(column) = Column::from_index(place) else {
                return;
            };
            let (at, style) = (CellRef::new(column, row), styles.look(look));
            xml.push_str(&match figure {
                Figure::Words(text) => words("", at, text, style),
                Figure::Count(count) => number("", at, &count.to_string(), style),
            });
        };
        match line {
            Line::Title(text) => put(0, &Figure::Words(text.clone()), Look::Title),
            Line::Text(text) => put(0, &Figure::Words(text.clone()), Look::Text),
            Line::Headings(texts) => {
                for (place, text) in texts.iter().enumerate() {
                    put(place, &Figure::Words(text.clone()), Look::Title);
                }
            }
            Line::Row(figures) => {
                for (place, figure) in figures.iter().enumerate() {
                    put(place, figure, Look::Plain);
                }
            }
            Line::Gap => {}
        }
        xml.push_str("</row>");
    }
    xml.push_str("</sheetData></worksheet>");
    xml
}
