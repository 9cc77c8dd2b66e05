//! An xlsx handed back: the supplier's own workbook, with nothing else touched.

use super::content::{Additions, TabAdditions};
use super::notes::{Notes, merged_boxes, merged_comments, new_boxes, new_comments};
use super::package::{Package, PackageError, of_part};
use super::problem::PartFault;
use super::styles::{NONE_YET, Styles};
use super::tab::{look_over, patch, summary};
use super::xml::{Edits, Standing, escaped, walk};

const SHEET_TYPE: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml";
const STYLES_TYPE: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml";
const COMMENTS_TYPE: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.comments+xml";
const DRAWING_TYPE: &str = "application/vnd.openxmlformats-officedocument.vmlDrawing";

/// Whether the workbook carries macros, and so needs another ending.
pub(super) fn has_macros(bytes: &[u8]) -> Result<bool, PackageError> {
    Ok(Package::open(bytes)?.text("[Content_Types].xml")?.contains("macroEnabled"))
}

/// The workbook with everything added.
pub(super) fn write(bytes: &[u8], additions: &Additions) -> Result<Vec<u8>, PackageError> {
    let mut package = Package::open(bytes)?;
    let root = package.relationships("")?;
    let workbook = root
        .iter()
        .find(|relationship| relationship.kind == "officeDocument")
        .map_or_else(|| "xl/workbook.xml".to_owned(), |relationship| relationship.target.clone());
    let book = Book::read(&mut package, &workbook)?;
    if book.tabs.len() != additions.tabs.len() {
        return Err(of_part(&workbook)(PartFault::Incomplete));
    }
    let styles_part = match package.relationships(&workbook)?.into_iter().find(|found| found.kind == "styles")
    {
        Some(found) => found.target,
        None => {
            let (part, _) = package.free_name("xl/styles", ".xml");
            package.put(&part, NONE_YET.to_owned());
            package.relate(&workbook, "styles", &part)?;
            package.declare(&part, STYLES_TYPE)?;
            part
        }
    };
    let mut styles = Styles::read(package.text(&styles_part)?).map_err(of_part(&styles_part))?;
    for (part, tab) in book.tabs.iter().zip(&additions.tabs) {
        if let Some(tab) = tab {
            add_to_tab(&mut package, part, tab, &mut styles)?;
        }
    }
    let (part, _) = package.free_name("xl/worksheets/sheet", ".xml");
    package.put(&part, summary(&additions.summary, &mut styles));
    package.declare(&part, SHEET_TYPE)?;
    let id = package.relate(&workbook, "worksheet", &part)?;
    let listed = book.with_tab(&additions.summary_name, &id).map_err(of_part(&workbook))?;
    package.put(&workbook, listed);
    package.put(&styles_part, styles.finish().map_err(of_part(&styles_part))?);
    package.finish()
}

fn add_to_tab(
    package: &mut Package<'_>,
    part: &str,
    tab: &TabAdditions,
    styles: &mut Styles,
) -> Result<(), PackageError> {
    let xml = package.text(part)?;
    let before = look_over(&xml).map_err(of_part(part))?;
    let noted = tab.marks.iter().filter(|(_, mark)| mark.noted);
    let notes: Notes = noted.map(|(at, mark)| (*at, mark.lines.join("\n"))).collect();
    let legacy =
        if notes.is_empty() { None } else { add_notes(package, part, &notes, before.legacy.as_deref())? };
    let patched = patch(&xml, &before, tab, styles, legacy.as_deref()).map_err(of_part(part))?;
    package.put(part, patched);
    Ok(())
}

/// Adds notes and their boxes; gives the relationship of a legacy drawing that the sheet lacks.
fn add_notes(
    package: &mut Package<'_>,
    part: &str,
    notes: &Notes,
    legacy: Option<&str>,
) -> Result<Option<String>, PackageError> {
    let known = package.relationships(part)?;
    let cells = match known.iter().find(|found| found.kind == "comments") {
        Some(found) => {
            let text = package.text(&found.target)?;
            let (merged, cells) = merged_comments(&text, notes).map_err(of_part(&found.target))?;
            package.put(&found.target, merged);
            cells
        }
        None => {
            let (name, _) = package.free_name("xl/comments", ".xml");
            package.put(&name, new_comments(notes));
            package.declare(&name, COMMENTS_TYPE)?;
            package.relate(part, "comments", &name)?;
            notes.keys().copied().collect()
        }
    };
    if let Some(legacy) = legacy {
        let drawing = known.iter().find(|found| found.id == legacy).map(|found| found.target.clone());
        let drawing = drawing.ok_or_else(|| of_part(part)(PartFault::Incomplete))?;
        let text = package.text(&drawing)?;
        let merged = merged_boxes(&text, &cells).map_err(of_part(&drawing))?;
        package.put(&drawing, merged);
        return Ok(None);
    }
    let (name, number) = package.free_name("xl/drawings/rimsieve", ".vml");
    package.put(&name, new_boxes(&cells, number));
    package.declare(&name, DRAWING_TYPE)?;
    package.relate(part, "vmlDrawing", &name).map(Some)
}

/// The workbook part: which tab is which part.
struct Book {
    xml: String,
    prefix: String,
    tabs: Vec<String>,
    highest_id: u32,
    end: usize,
}

impl Book {
    fn read(package: &mut Package<'_>, workbook: &str) -> Result<Self, PackageError> {
        let xml = package.text(workbook)?;
        let relationships = package.relationships(workbook)?;
        let mut book =
            Self { xml: String::new(), prefix: String::new(), tabs: Vec::new(), highest_id: 0, end: 0 };
        walk(&xml, |tag| {
            match (tag.depth, tag.local(), tag.standing) {
                (0, ..) => tag.prefix().clone_into(&mut book.prefix),
                (1, "sheets", Standing::Close) => book.end = tag.span.start,
                (2, "sheet", Standing::Open | Standing::Empty) => {
                    let id = tag.attribute_behind_prefix("id").ok_or(PartFault::Incomplete)?;
                    let found = relationships.iter().find(|found| found.id == id);
                    book.tabs.push(found.ok_or(PartFault::Incomplete)?.target.clone());
                    let number = tag.attribute("sheetId").and_then(|text| text.parse().ok());
                    book.highest_id = book.highest_id.max(number.unwrap_or(0));
                }
                _ => {}
            }
            Ok(())
        })
        .map_err(of_part(workbook))?;
        book.xml = xml;
        if book.end == 0 { Err(of_part(workbook)(PartFault::Incomplete)) } else { Ok(book) }
    }

    /// The part with one more tab behind the others, so that no place of a tab changes.
    fn with_tab(&self, name: &str, id: &str) -> Result<String, PartFault> {
        let mut edits = Edits::default();
        edits.insert(
            self.end,
            format!(
                "<{p}sheet xmlns:lr=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships\" name=\"{}\" \
                 sheetId=\"{}\" lr:id=\"{id}\"/>",
                escaped(name),
                self.highest_id + 1,
                p = self.prefix
            ),
        );
        edits.apply(&self.xml)
    }
}
