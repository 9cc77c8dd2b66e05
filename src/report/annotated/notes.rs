//! Notes on cells: the part that holds their words, and the drawing part that shows them.
//!
//! Both are needed: spreadsheet programs show a note only where a legacy drawing has a box for it.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::problem::PartFault;
use super::xml::{Edits, Standing, cell_text, escaped, walk};
use crate::sheet::CellRef;

/// Who the notes are by.
const AUTHOR: &str = "rimsieve";

/// The words of each note, by cell.
pub(super) type Notes = BTreeMap<CellRef, String>;

/// A new part of notes.
pub(super) fn new_comments(notes: &Notes) -> String {
    let mut xml = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n<comments \
         xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><authors><author>{AUTHOR}</author></authors>\
         <commentList>"
    );
    for (at, words) in notes {
        xml.push_str(&comment("", *at, 0, words));
    }
    xml.push_str("</commentList></comments>");
    xml
}

fn run(p: &str, words: &str) -> String {
    format!("<{p}r><{p}t xml:space=\"preserve\">{}</{p}t></{p}r>", cell_text(words))
}

fn comment(p: &str, at: CellRef, author: usize, words: &str) -> String {
    let run = run(p, words);
    format!("<{p}comment ref=\"{at}\" authorId=\"{author}\"><{p}text>{run}</{p}text></{p}comment>")
}

/// A supplier's part of notes with ours put in: behind the words of a note that is there, else as
/// new ones. Also gives the cells that had none and so need a box.
pub(super) fn merged_comments(xml: &str, notes: &Notes) -> Result<(String, Vec<CellRef>), PartFault> {
    let mut edits = Edits::default();
    let mut left = notes.clone();
    let (mut authors, mut p, mut current) = (0, String::new(), None);
    let (mut put_author, mut put_list) = (false, false);
    walk(xml, |tag| {
        match (tag.local(), tag.standing) {
            ("comments", Standing::Open) => p = tag.prefix().to_owned(),
            ("author", Standing::Close | Standing::Empty) => authors += 1,
            ("authors", Standing::Close) => {
                edits.insert(tag.span.start, format!("<{p}author>{}</{p}author>", escaped(AUTHOR)));
                put_author = true;
            }
            ("comment", Standing::Open) => {
                current = tag.attribute("ref").and_then(|at| at.parse::<CellRef>().ok());
            }
            ("text", Standing::Close) => {
                if let Some(words) = current.take().and_then(|at| left.remove(&at)) {
                    edits.insert(tag.span.start, run(&p, &format!("\n{AUTHOR}: {words}")));
                }
            }
            ("commentList", Standing::Close) => {
                let text: String = left.iter().map(|(at, words)| comment(&p, *at, authors, words)).collect();
                edits.insert(tag.span.start, text);
                put_list = true;
            }
            _ => {}
        }
        Ok(())
    })?;
    if !(put_author && put_list) {
        return Err(PartFault::Incomplete);
    }
    Ok((edits.apply(xml)?, left.into_keys().collect()))
}

const SHAPE_TYPE: &str = "<v:shapetype xmlns:v=\"urn:schemas-microsoft-com:vml\" \
xmlns:o=\"urn:schemas-microsoft-com:office:office\" id=\"_x0000_t202\" coordsize=\"21600,21600\" o:spt=\"202\" \
path=\"m,l,21600r21600,l21600,xe\"><v:stroke joinstyle=\"miter\"/><v:path gradientshapeok=\"t\" \
o:connecttype=\"rect\"/></v:shapetype>";

/// Ids of shapes come in blocks of 1024, of which each drawing names its own (from memory).
const BLOCK: usize = 1024;

/// A new drawing part with a box for each cell.
pub(super) fn new_boxes(cells: &[CellRef], drawing: usize) -> String {
    let blocks = cells.len() / BLOCK + 1;
    let data: Vec<String> = (0..blocks).map(|block| (drawing * 100 + block).to_string()).collect();
    let mut xml = format!(
        "<xml xmlns:v=\"urn:schemas-microsoft-com:vml\" xmlns:o=\"urn:schemas-microsoft-com:office:office\" \
         xmlns:x=\"urn:schemas-microsoft-com:office:excel\"><o:shapelayout v:ext=\"edit\"><o:idmap v:ext=\"edit\" \
         data=\"{}\"/></o:shapelayout>{SHAPE_TYPE}",
        data.join(",")
    );
    boxes(&mut xml, cells, drawing * 100 * BLOCK + 1);
    xml.push_str("</xml>");
    xml
}

/// A supplier's drawing part with boxes put in. It need not be well-formed XML, so it is only text
/// here, and what is put in states its own names.
pub(super) fn merged_boxes(text: &str, cells: &[CellRef]) -> Result<String, PartFault> {
    let end = text.rfind("</xml>").ok_or(PartFault::NotXml)?;
    let ids = text.match_indices("_x0000_s").filter_map(|(at, mark)| {
        let digits = &text[at + mark.len()..];
        digits[..digits.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(0)].parse::<usize>().ok()
    });
    let first = ids.max().unwrap_or(BLOCK) + 1;
    let mut merged = text[..end].to_owned();
    if !text.contains("_x0000_t202\"") {
        merged.push_str(SHAPE_TYPE);
    }
    boxes(&mut merged, cells, first);
    merged.push_str(&text[end..]);
    Ok(merged)
}

fn boxes(xml: &mut String, cells: &[CellRef], first_id: usize) {
    for (at, cell) in cells.iter().enumerate() {
        let (row, column) = (cell.row.saturating_sub(1), cell.column.index());
        // Writing to a string cannot fail.
        let _ = write!(
            xml,
            "<v:shape xmlns:v=\"urn:schemas-microsoft-com:vml\" xmlns:o=\"urn:schemas-microsoft-com:office:office\" \
             xmlns:x=\"urn:schemas-microsoft-com:office:excel\" id=\"_x0000_s{id}\" type=\"#_x0000_t202\" \
             style=\"position:absolute;margin-left:60pt;margin-top:2pt;width:240pt;height:90pt;z-index:{z};\
             visibility:hidden\" fillcolor=\"#ffffe1\" o:insetmode=\"auto\"><v:fill color2=\"#ffffe1\"/><v:shadow on=\"t\" \
             color=\"black\" obscured=\"t\"/><v:path o:connecttype=\"none\"/><v:textbox><div \
             style=\"text-align:left\"></div></v:textbox><x:ClientData \
             ObjectType=\"Note\"><x:MoveWithCells/><x:SizeWithCells/><x:Anchor>{left}, 15, {top}, 10, {right}, 15, {bottom}, \
             4</x:Anchor><x:AutoFill>False</x:AutoFill><x:Row>{row}</x:Row><x:Column>{column}</x:Column></x:ClientData>\
             </v:shape>",
            id = first_id + at,
            z = at + 1,
            left = column + 1,
            top = row.saturating_sub(1),
            right = column + 5,
            bottom = row + 5,
        );
    }
}
