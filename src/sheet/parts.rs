//! Checks the parts of a zipped workbook before they are read, and looks into worksheets for what the workbook's
//! reader does not tell: hidden rows and columns, merged regions and which cell has which number format.
//!
//! The reader of cells stops where the cells end, so a checksum behind them would never be looked at; and it finds
//! parts by the directory at the end of the file alone.

use std::borrow::Cow;
use std::io::{BufRead, BufReader, Cursor, Read};

use memchr::memmem::Finder;
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};
use zip::ZipArchive;
use zip::result::ZipError;

use super::address::{CellRef, Column};
use super::builder::Taker;
use super::limits::Limits;
use super::open_document::{TableNotes, Tables};
use super::problem::{Damage, Excess, Fault};
use super::{Region, container};

/// Words in a worksheet that show that there is something to look for. Parsing takes ten times as long as searching.
const SIGNS: [&[u8]; 4] = [HIDDEN, b"mergeCell ", b"visibility=", b"-spanned="];

/// Stands before `"1"` or `"true"` where something is hidden, and before something else on most that is not.
const HIDDEN: &[u8] = b"hidden=";

/// The most bytes of a sign, and of what tells whether it is one.
const LONGEST_SIGN: usize = 11;

/// Finds the signs.
struct Signs([Finder<'static>; SIGNS.len()]);

impl Signs {
    fn new() -> Self {
        Self(SIGNS.map(Finder::new))
    }

    fn any_in(&self, bytes: &[u8]) -> bool {
        self.0.iter().any(|sign| {
            let hidden = sign.needle() == HIDDEN;
            sign.find_iter(bytes).any(|at| {
                let says = bytes.get(at + HIDDEN.len()..).unwrap_or_default();
                !hidden || matches!(says, [b'"' | b'\'', b'1' | b't', ..])
            })
        })
    }
}

/// The most bytes of a workbook's list of tabs and of its relations.
const LARGEST_LIST: u64 = 16 << 20;

/// Where the list of tabs of an xlsx stands.
const USUAL_BOOK: &str = "xl/workbook.xml";

type Archive<'b> = ZipArchive<Cursor<&'b [u8]>>;

/// The parts of a workbook, each whole.
pub(super) struct Parts<'b> {
    archive: Archive<'b>,
    /// The names of worksheets with something hidden or merged, as stored.
    noted: Vec<String>,
}

/// Which cells have which format, by row and column counted from zero; sorted.
pub(super) type Formats = Vec<((u32, u32), u16)>;

impl<'b> Parts<'b> {
    /// Unpacks every part that is going to be read, and keeps none of it.
    pub(super) fn check(bytes: &'b [u8], limits: Limits) -> Result<Self, Fault> {
        let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| Damage::Unfinished)?;
        let mut noted = Vec::new();
        let signs = Signs::new();
        let mut room = vec![0_u8; 1 << 16];
        let mut unpacked = 0_u64;
        for index in 0..archive.len() {
            let broken = |name: &str| Fault::Damage(Damage::Part { part: name.to_owned() });
            let mut part = match archive.by_index(index) {
                Ok(part) => part,
                Err(ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED)) => return Err(Fault::Locked),
                Err(_) => return Err(broken(&format!("number {}", index + 1))),
            };
            let name = String::from_utf8_lossy(part.name_raw()).into_owned();
            if !container::is_read(&name.to_lowercase()) || part.is_dir() {
                continue;
            }
            if local_name(bytes, part.header_start()) != Some(part.name_raw()) {
                return Err(Damage::PartName { part: name }.into());
            }
            let mut seen = false;
            let mut kept = 0;
            loop {
                let read = match part.read(&mut room[kept..]) {
                    Ok(0) => break,
                    Ok(read) => read,
                    Err(_) => return Err(broken(&name)),
                };
                unpacked = unpacked.saturating_add(u64::try_from(read).unwrap_or(u64::MAX));
                if unpacked > limits.unpacked {
                    return Err(Excess::Unpacked { limit: limits.unpacked }.into());
                }
                let filled = kept + read;
                seen = seen || signs.any_in(&room[..filled]);
                // A sign may lie across the edge.
                kept = filled.min(LONGEST_SIGN);
                room.copy_within(filled - kept..filled, 0);
            }
            if seen {
                noted.push(name);
            }
        }
        Ok(Self { archive, noted })
    }

    /// The names of the worksheets of an xlsx, in the order of its tabs; `None` for one that is not to be found.
    pub(super) fn worksheets(&mut self) -> Result<Vec<Option<String>>, Fault> {
        let Some(book) = self.find(USUAL_BOOK).or_else(|| self.find_ending("workbook.xml")) else {
            return Ok(Vec::new());
        };
        let folder = book.rfind(['/', '\\']).map_or("", |end| &book[..end]).to_owned();
        let mut ids = Vec::new();
        self.each_element(&book, LARGEST_LIST, &mut |element| {
            if element.local_name().as_ref() == "sheet" {
                ids.push(attribute(element, "id").unwrap_or_default());
            }
        })?;
        let file = book.rfind(['/', '\\']).map_or(book.as_str(), |end| &book[end + 1..]);
        let Some(relations) = self.find(&format!("{folder}/_rels/{file}.rels")) else {
            return Ok(Vec::new());
        };
        let mut targets = Vec::new();
        self.each_element(&relations, LARGEST_LIST, &mut |element| {
            if element.local_name().as_ref() == "Relationship" {
                targets.extend(attribute(element, "Id").zip(attribute(element, "Target")));
            }
        })?;
        Ok(ids
            .iter()
            .map(|wanted| {
                // Of two under one id the reader of cells takes the last.
                let (_, target) = targets.iter().rfind(|(id, _)| id == wanted)?;
                let path = match target.strip_prefix('/') {
                    Some(path) => path.to_owned(),
                    None => format!("{folder}/{target}"),
                };
                self.find(&path)
            })
            .collect())
    }

    /// Whether the workbook of an xlsx is found where nearly all have it, so that every reader finds the same.
    pub(super) fn are_usual(&mut self) -> Result<bool, Fault> {
        let mut targets = Vec::new();
        if let Some(relations) = self.find("_rels/.rels") {
            self.each_element(&relations, LARGEST_LIST, &mut |element| {
                if attribute(element, "Type").is_some_and(|kind| kind.ends_with("/officeDocument")) {
                    targets.extend(attribute(element, "Target"));
                }
            })?;
        }
        let [target] = &targets[..] else { return Ok(false) };
        Ok(target.trim_start_matches('/') == USUAL_BOOK && self.names().any(|name| name == USUAL_BOOK))
    }

    /// A part, unpacked as it is read.
    pub(super) fn part(&mut self, name: &str) -> Option<impl Read> {
        self.archive.by_name(name).ok()
    }

    /// What the tables of an ods hide and merge.
    pub(super) fn table_notes(&mut self, limits: Limits) -> Result<Vec<TableNotes>, Fault> {
        let mut tables = Tables::new(limits);
        if let Some(content) = self.find("content.xml")
            && self.is_noted(&content)
        {
            self.each_element(&content, u64::MAX, &mut |element| tables.take(element))?;
        }
        tables.finish()
    }

    /// Whether a worksheet has something hidden or merged.
    pub(super) fn is_noted(&self, name: &str) -> bool {
        self.noted.iter().any(|noted| noted == name)
    }

    /// Tells what a worksheet hides and merges, and gives back which cells have which format; `telling` gives the
    /// format of each style, 0 for none.
    pub(super) fn note(
        &mut self,
        name: &str,
        telling: &[u16],
        limits: Limits,
        taker: &mut dyn Taker,
    ) -> Result<Formats, Fault> {
        let mut notes = Notes { row: 0, column: 0, formats: Vec::new(), telling, limits };
        let part = self.archive.by_name(name).map_err(|error| Damage::Workbook(Box::new(error)))?;
        let mut xml = Reader::from_reader(BufReader::with_capacity(1 << 16, part));
        xml.config_mut().check_end_names = false;
        let mut room = Vec::new();
        loop {
            room.clear();
            let event = xml.read_event_into(&mut room).map_err(|error| Damage::Workbook(Box::new(error)))?;
            match event {
                Event::Start(element) => notes.take(&element, taker)?,
                Event::Empty(element) => {
                    notes.take(&element, taker)?;
                    if element.local_name().as_ref() == "row" {
                        notes.end_row();
                    }
                }
                Event::End(element) if element.local_name().as_ref() == "row" => notes.end_row(),
                Event::Eof => break,
                _ => {}
            }
        }
        notes.formats.sort_unstable();
        Ok(notes.formats)
    }

    fn names(&self) -> impl Iterator<Item = String> {
        self.archive.file_names().filter_map(Result::ok).map(Cow::into_owned)
    }

    /// The name as stored of a part, however its letters are cased and its folders are separated.
    fn find(&self, wanted: &str) -> Option<String> {
        let wanted = wanted.trim_start_matches('/');
        let same = |name: &str| {
            let name = name.trim_start_matches(['/', '\\']);
            name.len() == wanted.len()
                && name.bytes().zip(wanted.bytes()).all(|(a, b)| {
                    a.eq_ignore_ascii_case(&b) || (matches!(a, b'/' | b'\\') && matches!(b, b'/' | b'\\'))
                })
        };
        self.names().find(|name| same(name))
    }

    fn find_ending(&self, end: &str) -> Option<String> {
        self.names().find(|name| name.to_lowercase().ends_with(end))
    }

    fn each_element(
        &mut self,
        name: &str,
        most: u64,
        take: &mut dyn FnMut(&BytesStart<'_>),
    ) -> Result<(), Fault> {
        let part = self.archive.by_name(name).map_err(|error| Damage::Workbook(Box::new(error)))?;
        let mut xml = Reader::from_reader(BufReader::new(part.take(most)));
        xml.config_mut().check_end_names = false;
        read_elements(&mut xml, take).map_err(|error| Damage::Workbook(Box::new(error)).into())
    }
}

fn read_elements<R: BufRead>(
    xml: &mut Reader<R>,
    take: &mut dyn FnMut(&BytesStart<'_>),
) -> Result<(), quick_xml::Error> {
    let mut room = Vec::new();
    loop {
        room.clear();
        match xml.read_event_into(&mut room)? {
            Event::Start(element) | Event::Empty(element) => take(&element),
            Event::Eof => return Ok(()),
            _ => {}
        }
    }
}

/// The name in the header in front of a part; the directory gives where that header is.
///
/// Layout: APPNOTE.TXT, section 4.3.7 (from memory).
fn local_name(bytes: &[u8], at: u64) -> Option<&[u8]> {
    let header = bytes.get(usize::try_from(at).ok()?..)?;
    let length = usize::from(u16::from_le_bytes([*header.get(26)?, *header.get(27)?]));
    header.starts_with(b"PK\x03\x04").then(|| header.get(30..30 + length))?
}

/// What is told of a worksheet while it goes by.
struct Notes<'n> {
    /// Counted from zero, for rows and cells that do not give their place.
    row: u32,
    column: u32,
    formats: Formats,
    telling: &'n [u16],
    limits: Limits,
}

impl Notes<'_> {
    fn end_row(&mut self) {
        self.row = self.row.saturating_add(1);
        self.column = 0;
    }

    fn take(&mut self, element: &BytesStart<'_>, taker: &mut dyn Taker) -> Result<(), Fault> {
        match element.local_name().as_ref() {
            "row" => {
                if let Some(row) = number(element, "r") {
                    self.row = row.saturating_sub(1);
                }
                if is_hidden(element) {
                    let row = self.row.saturating_add(1);
                    taker.hidden_rows((row, row))?;
                }
            }
            "col" if is_hidden(element) => {
                let at = |name| {
                    let place = usize::try_from(number(element, name)?).ok()?.checked_sub(1)?;
                    Some(Column::from_index(place).unwrap_or(Column::LAST))
                };
                if let (Some(first), Some(last)) = (at("min"), at("max"))
                    && first <= last
                {
                    taker.hidden_columns((first, last))?;
                }
            }
            "c" if !self.telling.is_empty() => {
                // On every cell of the sheet, so both are found in one pass and nothing is copied.
                let mut style = 0;
                for attribute in element.attributes().with_checks(false).filter_map(Result::ok) {
                    match attribute.key.local_name().as_ref() {
                        "r" => {
                            if let Ok(at) = attribute.value.parse::<CellRef>() {
                                self.row = at.row.saturating_sub(1);
                                self.column = u32::try_from(at.column.index()).unwrap_or(u32::MAX);
                            }
                        }
                        "s" => style = attribute.value.parse().unwrap_or(0_usize),
                        _ => {}
                    }
                }
                let format = self.telling.get(style).copied().unwrap_or(0);
                if format > 0 {
                    if self.formats.len() >= self.limits.cells {
                        return Err(Excess::Cells { limit: self.limits.cells }.into());
                    }
                    self.formats.push(((self.row, self.column), format));
                }
                self.column = self.column.saturating_add(1);
            }
            "mergeCell" => {
                let region = attribute(element, "ref");
                if let Some(region) = region.as_deref().and_then(Region::from_text) {
                    taker.merged(region)?;
                }
            }
            _ => {}
        }
        Ok(())
    }
}

pub(super) fn attribute(element: &BytesStart<'_>, name: &str) -> Option<String> {
    let found = element
        .attributes()
        .with_checks(false)
        .filter_map(Result::ok)
        .find(|attribute| attribute.key.local_name().as_ref() == name)?;
    found.normalized_value(XmlVersion::Implicit1_0).ok().map(Cow::into_owned)
}

pub(super) fn number(element: &BytesStart<'_>, name: &str) -> Option<u32> {
    attribute(element, name)?.parse().ok()
}

fn is_hidden(element: &BytesStart<'_>) -> bool {
    attribute(element, "hidden").is_some_and(|value| matches!(value.as_str(), "1" | "true"))
}
