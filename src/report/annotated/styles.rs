//! The workbook's formats, with ours appended: no format that is there changes its number.

use std::collections::BTreeMap;

use super::content::Severity;
use super::problem::PartFault;
use super::xml::{Edits, Standing, opened, walk, with_attribute};
use crate::judge::VerdictKind;

/// How an added cell looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Look {
    /// Bold, wrapped.
    Heading,
    /// Bold.
    Title,
    /// Wrapped.
    Text,
    /// On one line: a wrapped text would make the supplier's rows higher.
    Plain,
    /// Two decimals.
    Cost,
    /// On the color of a verdict.
    Verdict(VerdictKind),
}

/// Green, blue, amber, red: pale enough to read on.
pub(super) const COLORS: [u32; 4] = [0x00C6_EFCE, 0x00BD_D7EE, 0x00FF_EB9C, 0x00FF_C7CE];

/// The place of a verdict's color.
pub(super) fn verdict_color(kind: VerdictKind) -> usize {
    match kind {
        VerdictKind::Fits => 0,
        VerdictKind::FitsWithWork => 1,
        VerdictKind::Unproven => 2,
        VerdictKind::Rejected => 3,
    }
}

/// The place of a mark's color.
pub(super) fn mark_color(severity: Severity) -> usize {
    match severity {
        Severity::Cured => 1,
        Severity::Unknown => 2,
        Severity::Fails => 3,
    }
}

/// The formats of a workbook while some are added.
#[derive(Debug)]
pub(super) struct Styles {
    xml: String,
    prefix: String,
    fonts: List,
    fills: List,
    formats: List,
    /// The elements of each cell format, as written.
    written: Vec<String>,
    first_font: String,
    added: Vec<String>,
    marked: BTreeMap<(usize, Severity), usize>,
    looks: BTreeMap<Look, usize>,
}

/// A list of the part: how many it has, its tag, and where more go.
#[derive(Clone, Debug, Default)]
struct List {
    count: usize,
    tag: std::ops::Range<usize>,
    end: usize,
}

impl Styles {
    /// Reads the part.
    ///
    /// # Errors
    /// [`PartFault`] where it lacks fonts, fills or cell formats.
    pub(super) fn read(xml: String) -> Result<Self, PartFault> {
        let mut lists: BTreeMap<&str, List> = BTreeMap::new();
        let (mut prefix, mut open) = (String::new(), "");
        let mut written = Vec::new();
        let mut first_font = String::new();
        let mut from = 0;
        walk(&xml, |tag| {
            match (tag.depth, tag.standing) {
                (0, Standing::Open) => prefix = tag.prefix().to_owned(),
                (1, Standing::Open) => {
                    open = tag.local();
                    lists.insert(open, List { count: 0, tag: tag.span.clone(), end: tag.span.end });
                }
                (1, Standing::Close) => {
                    if let Some(list) = lists.get_mut(tag.local()) {
                        list.end = tag.span.start;
                    }
                    open = "";
                }
                (2, Standing::Open) => from = tag.span.start,
                (2, Standing::Close | Standing::Empty) => {
                    if tag.standing == Standing::Empty {
                        from = tag.span.start;
                    }
                    if let Some(list) = lists.get_mut(open) {
                        list.count += 1;
                        let element = &xml[from..tag.span.end];
                        if open == "cellXfs" {
                            written.push(element.to_owned());
                        } else if open == "fonts" && list.count == 1 {
                            element.clone_into(&mut first_font);
                        }
                    }
                }
                _ => {}
            }
            Ok(())
        })?;
        let list =
            |name: &str| lists.get(name).cloned().filter(|list| list.count > 0).ok_or(PartFault::Incomplete);
        let (fonts, fills, formats) = (list("fonts")?, list("fills")?, list("cellXfs")?);
        Ok(Self {
            prefix,
            fonts,
            fills,
            formats,
            written,
            first_font,
            added: Vec::new(),
            marked: BTreeMap::new(),
            looks: BTreeMap::new(),
            xml,
        })
    }

    /// The format of a marked cell: its own, on a color.
    pub(super) fn marked(&mut self, own: usize, severity: Severity) -> usize {
        if let Some(known) = self.marked.get(&(own, severity)) {
            return *known;
        }
        let plain =
            || format!("<{}xf numFmtId=\"0\" fontId=\"0\" fillId=\"0\" borderId=\"0\"/>", self.prefix);
        let element = self.written.get(own).cloned().unwrap_or_else(plain);
        let tag_end = element.find('>').map_or(element.len(), |at| at + 1);
        let (tag, rest) = element.split_at(tag_end);
        let fill = self.fills.count + mark_color(severity);
        let tag = with_attribute(&with_attribute(tag, "fillId", &fill.to_string()), "applyFill", "1");
        let place = self.add(format!("{tag}{rest}"));
        self.marked.insert((own, severity), place);
        place
    }

    /// The format of an added cell.
    pub(super) fn look(&mut self, look: Look) -> usize {
        if let Some(known) = self.looks.get(&look) {
            return *known;
        }
        let (mut number, mut font, mut fill) = (0, 0, 0);
        match look {
            Look::Heading | Look::Title => font = self.fonts.count,
            Look::Text | Look::Plain => {}
            // Format 4 is `#,##0.00` in every workbook (ECMA-376 part 1, 18.8.30, from memory).
            Look::Cost => number = 4,
            Look::Verdict(kind) => fill = self.fills.count + verdict_color(kind),
        }
        let p = &self.prefix;
        let wrap =
            if matches!(look, Look::Title | Look::Cost | Look::Plain) { "" } else { " wrapText=\"1\"" };
        // No vertical place: at the foot of the row, where most suppliers leave their own cells.
        let element = format!(
            "<{p}xf numFmtId=\"{number}\" fontId=\"{font}\" fillId=\"{fill}\" borderId=\"0\" xfId=\"0\" \
             applyNumberFormat=\"1\" applyFont=\"1\" applyFill=\"1\" applyAlignment=\"1\"><{p}alignment{wrap}/></{p}xf>"
        );
        let place = self.add(element);
        self.looks.insert(look, place);
        place
    }

    fn add(&mut self, element: String) -> usize {
        self.added.push(element);
        self.formats.count + self.added.len() - 1
    }

    /// The part with what was added.
    ///
    /// # Errors
    /// As [`Edits::apply`].
    pub(super) fn finish(self) -> Result<String, PartFault> {
        let p = &self.prefix;
        let mut edits = Edits::default();
        let fills = COLORS.map(|color| {
            format!(
                "<{p}fill><{p}patternFill patternType=\"solid\"><{p}fgColor rgb=\"FF{color:06X}\"/><{p}bgColor \
                 indexed=\"64\"/></{p}patternFill></{p}fill>"
            )
        });
        let bold = bold(&self.first_font, p);
        for (list, more, text) in [
            (&self.fonts, 1, bold),
            (&self.fills, fills.len(), fills.concat()),
            (&self.formats, self.added.len(), self.added.concat()),
        ] {
            let tag = &self.xml[list.tag.clone()];
            edits.replace(list.tag.clone(), with_attribute(tag, "count", &(list.count + more).to_string()));
            edits.insert(list.end, text);
        }
        edits.apply(&self.xml)
    }
}

/// The first font, bold.
fn bold(font: &str, p: &str) -> String {
    if font.contains(&format!("<{p}b/>")) {
        return font.to_owned();
    }
    let tag_end = font.find('>').map_or(font.len(), |at| at + 1);
    let (tag, rest) = font.split_at(tag_end);
    let rest = if rest.is_empty() { format!("</{p}font>") } else { rest.to_owned() };
    format!("{}<{p}b/>{rest}", opened(tag))
}

/// A part of formats for a workbook that has none.
pub(super) const NONE_YET: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n<styleSheet \
xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><fonts count=\"1\"><font><sz val=\"11\"/><name \
val=\"Calibri\"/></font></fonts><fills count=\"2\"><fill><patternFill patternType=\"none\"/></fill><fill><patternFill \
patternType=\"gray125\"/></fill></fills><borders \
count=\"1\"><border><left/><right/><top/><bottom/><diagonal/></border></borders><cellStyleXfs count=\"1\"><xf \
numFmtId=\"0\" fontId=\"0\" fillId=\"0\" borderId=\"0\"/></cellStyleXfs><cellXfs count=\"1\"><xf numFmtId=\"0\" \
fontId=\"0\" fillId=\"0\" borderId=\"0\" xfId=\"0\"/></cellXfs></styleSheet>";
