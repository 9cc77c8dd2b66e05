//! Recognizes what kind of file some bytes are, by the bytes alone: names lie often enough.
//!
//! For zip archives only the list of parts is looked at; nothing is unpacked.

use super::limits::Limits;
use super::problem::{Damage, Excess, NotASheet, SheetError};

/// What a file's bytes are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Container {
    /// To be read as delimited text.
    Text,
    /// A workbook.
    Workbook(Format),
}

/// The kinds of workbook.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Format {
    Xlsx,
    Xlsb,
    Xls,
    Ods,
}

/// Whether bytes begin as those of a workbook do; other files do so too.
pub(super) fn begins_as_workbook(bytes: &[u8]) -> bool {
    is_archive(bytes) || is_compound(bytes)
}

fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

fn is_compound(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1")
}

/// Recognizes the bytes of a file.
pub(super) fn recognize(name: &str, bytes: &[u8], limits: Limits) -> Result<Container, SheetError> {
    let not_a_sheet = |why| Err(SheetError::NotASheet { name: name.to_owned(), why });
    if bytes.is_empty() {
        return not_a_sheet(NotASheet::Empty);
    }
    if is_archive(bytes) {
        return archive(name, bytes, limits);
    }
    if is_compound(bytes) {
        return compound(name, bytes);
    }
    for (magic, why) in [
        (b"%PDF-".as_slice(), NotASheet::Pdf),
        (b"{\\rtf", NotASheet::Document),
        (b"\x89PNG", NotASheet::Picture),
        (b"\xFF\xD8\xFF", NotASheet::Picture),
        (b"GIF8", NotASheet::Picture),
        (b"\x1F\x8B", NotASheet::Archive),
        (b"7z\xBC\xAF\x27\x1C", NotASheet::Archive),
        (b"Rar!\x1A", NotASheet::Archive),
    ] {
        if bytes.starts_with(magic) {
            return not_a_sheet(why);
        }
    }
    // Shops' web programs often hand out a web page under the name of an old workbook.
    let start = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let start = start.trim_ascii_start();
    for (opening, why) in [
        (b"<!doctype html".as_slice(), NotASheet::WebPage),
        (b"<html", NotASheet::WebPage),
        (b"<table", NotASheet::WebPage),
        (b"<?xml", NotASheet::Xml),
    ] {
        if start.get(..opening.len()).is_some_and(|start| start.eq_ignore_ascii_case(opening)) {
            return not_a_sheet(why);
        }
    }
    Ok(Container::Text)
}

/// An archive: a workbook of one kind or another, or something else.
fn archive(name: &str, bytes: &[u8], limits: Limits) -> Result<Container, SheetError> {
    let parts = parts(bytes)
        .ok_or_else(|| SheetError::Damaged { name: name.to_owned(), source: Damage::Unfinished })?;
    let mut names: Vec<_> =
        parts.iter().map(|part| part.name.as_str()).filter(|name| is_read(name)).collect();
    names.sort_unstable();
    if let Some(twice) = names.windows(2).find(|pair| pair[0] == pair[1]) {
        let source = Damage::PartName { part: twice[0].to_owned() };
        return Err(SheetError::Damaged { name: name.to_owned(), source });
    }
    let unpacked = parts.iter().fold(0_u64, |sum, part| sum.saturating_add(part.unpacked));
    if unpacked > limits.unpacked {
        return Err(SheetError::TooLarge {
            name: name.to_owned(),
            excess: Excess::Unpacked { limit: limits.unpacked },
        });
    }
    let has = |start: &str, end: &str| {
        parts.iter().any(|part| part.name.starts_with(start) && part.name.ends_with(end))
    };
    let format = if has("xl/workbook", ".bin") {
        Format::Xlsb
    } else if has("xl/", ".xml") || (has("[content_types].xml", "") && has("workbook", ".xml")) {
        Format::Xlsx
    } else if has("content.xml", "") && has("mimetype", "") {
        Format::Ods
    } else {
        let why = if has("word/", "") || has("ppt/", "") { NotASheet::Document } else { NotASheet::Archive };
        return Err(SheetError::NotASheet { name: name.to_owned(), why });
    };
    Ok(Container::Workbook(format))
}

/// A compound file: an old workbook, an encrypted new one, or something else.
fn compound(name: &str, bytes: &[u8]) -> Result<Container, SheetError> {
    // The directory of a compound file names its streams in UTF-16; looking for the names themselves is enough
    // to tell files apart, and cannot be led astray by a damaged directory.
    let names = |stream: &str| {
        let wanted: Vec<u8> = stream.encode_utf16().flat_map(u16::to_le_bytes).collect();
        contains(bytes, &wanted)
    };
    if names("Workbook") || names("Book") {
        return Ok(Container::Workbook(Format::Xls));
    }
    if names("EncryptedPackage") {
        return Err(SheetError::Encrypted { name: name.to_owned() });
    }
    // A letter, a slide show, a stored e-mail.
    if ["WordDocument", "PowerPoint Document", "__properties_version1.0"].into_iter().any(names) {
        return Err(SheetError::NotASheet { name: name.to_owned(), why: NotASheet::Document });
    }
    // No directory to be seen: most likely a workbook cut short. Its reader will say.
    Ok(Container::Workbook(Format::Xls))
}

pub(super) fn contains(bytes: &[u8], wanted: &[u8]) -> bool {
    memchr::memmem::find(bytes, wanted).is_some()
}

/// Whether a part, by its name in lower case, is one that cells are read from. Pictures, charts and macros may be
/// broken without harm to the list.
pub(super) fn is_read(name: &str) -> bool {
    const OTHERS: [&str; 16] = [
        "docprops/",
        "media/",
        "drawings/",
        "charts/",
        "theme/",
        "printersettings/",
        "vbaproject",
        "thumbnails/",
        "customxml/",
        "embeddings/",
        "pictures/",
        "activex/",
        "ctrlprops/",
        "externallinks/",
        "object ",
        "comments",
    ];
    let ending = name.rsplit('.').next().unwrap_or_default();
    matches!(ending, "xml" | "rels" | "bin") && !OTHERS.iter().any(|other| name.contains(other))
}

/// A part of a zip archive.
struct Part {
    /// In lower case, with forward slashes and none in front: writers differ.
    name: String,
    /// Size once unpacked, in bytes.
    unpacked: u64,
}

/// The parts that a zip archive's central directory lists; `None` if there is no whole directory.
///
/// Layout: APPNOTE.TXT, sections 4.3.12 to 4.3.16 and 4.5.3 (from memory).
fn parts(bytes: &[u8]) -> Option<Vec<Part>> {
    // The end record is 22 bytes and a comment of at most 65,535.
    let tail = bytes.len().saturating_sub(22 + 65_535);
    let end = bytes[tail..].windows(4).rposition(|window| window == b"PK\x05\x06")? + tail;
    let record = bytes.get(end..end + 22)?;
    let mut count = u64::from(u16_at(record, 10)?);
    let mut at = u64::from(u32_at(record, 16)?);
    if count == u64::from(u16::MAX) || at == u64::from(u32::MAX) {
        let locator = end.checked_sub(20)?;
        if bytes.get(locator..locator + 4)? == b"PK\x06\x07" {
            let long_end = usize::try_from(u64_at(bytes, locator + 8)?).ok()?;
            count = u64_at(bytes, long_end.checked_add(32)?)?;
            at = u64_at(bytes, long_end.checked_add(48)?)?;
        }
    }
    let mut at = usize::try_from(at).ok()?;
    let mut parts = Vec::new();
    for _ in 0..count {
        let header = bytes.get(at..at.checked_add(46)?)?;
        if !header.starts_with(b"PK\x01\x02") {
            return None;
        }
        let length_at = |place| u16_at(header, place).map(usize::from);
        let (name, extra, comment) = (length_at(28)?, length_at(30)?, length_at(32)?);
        let name_end = at + 46 + name;
        let extra_end = name_end + extra;
        let mut unpacked = u64::from(u32_at(header, 24)?);
        if unpacked == u64::from(u32::MAX) {
            // The true size stands in an extra field; without one the part is taken to be as large as it says.
            unpacked = long_size(bytes.get(name_end..extra_end)?).unwrap_or(unpacked);
        }
        let name = String::from_utf8_lossy(bytes.get(at + 46..name_end)?);
        parts.push(Part { name: name.replace('\\', "/").trim_start_matches('/').to_lowercase(), unpacked });
        at = extra_end + comment;
    }
    Some(parts)
}

/// The unpacked size in a part's extra fields, if it is there.
fn long_size(mut extra: &[u8]) -> Option<u64> {
    loop {
        let (kind, length) = (u16_at(extra, 0)?, usize::from(u16_at(extra, 2)?));
        if kind == 1 {
            return u64_at(extra, 4);
        }
        extra = extra.get(4 + length..)?;
    }
}

fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    bytes.get(at..)?.first_chunk().map(|chunk| u16::from_le_bytes(*chunk))
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..)?.first_chunk().map(|chunk| u32::from_le_bytes(*chunk))
}

fn u64_at(bytes: &[u8], at: usize) -> Option<u64> {
    bytes.get(at..)?.first_chunk().map(|chunk| u64::from_le_bytes(*chunk))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A zip directory that lists these parts; the parts themselves are not looked at.
    fn archive_of(parts: &[(&str, u32)]) -> Vec<u8> {
        let mut bytes = b"PK\x03\x04".to_vec();
        let start = u32::try_from(bytes.len()).unwrap();
        for (name, unpacked) in parts {
            let mut header = vec![0_u8; 46];
            header[..4].copy_from_slice(b"PK\x01\x02");
            header[24..28].copy_from_slice(&unpacked.to_le_bytes());
            header[28..30].copy_from_slice(&u16::try_from(name.len()).unwrap().to_le_bytes());
            bytes.extend(header);
            bytes.extend(name.as_bytes());
        }
        let mut end = vec![0_u8; 22];
        end[..4].copy_from_slice(b"PK\x05\x06");
        end[10..12].copy_from_slice(&u16::try_from(parts.len()).unwrap().to_le_bytes());
        end[16..20].copy_from_slice(&start.to_le_bytes());
        bytes.extend(end);
        bytes
    }

    fn compound_with(stream: &str) -> Vec<u8> {
        let mut bytes = b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1 ".to_vec();
        bytes.extend(stream.encode_utf16().flat_map(u16::to_le_bytes));
        bytes
    }

    #[test]
    fn workbooks_are_told_apart_by_their_parts() {
        for (parts, format) in [
            ([("[Content_Types].xml", 9), ("xl/workbook.xml", 9)], Format::Xlsx),
            ([("[Content_Types].xml", 9), ("XL\\Workbook.xml", 9)], Format::Xlsx),
            ([("[Content_Types].xml", 9), ("xl/workbook.bin", 9)], Format::Xlsb),
            ([("mimetype", 9), ("content.xml", 9)], Format::Ods),
        ] {
            let found = recognize("sheet.csv", &archive_of(&parts), Limits::default()).unwrap();
            assert_eq!(found, Container::Workbook(format), "{parts:?}");
        }
        let found = recognize("sheet.xlsx", &compound_with("Workbook"), Limits::default()).unwrap();
        assert_eq!(found, Container::Workbook(Format::Xls));
    }

    #[test]
    fn what_is_no_sheet_is_named_for_what_it_is() {
        for (bytes, why) in [
            (b"".to_vec(), NotASheet::Empty),
            (b"%PDF-1.7".to_vec(), NotASheet::Pdf),
            (b"\x89PNG\r\n".to_vec(), NotASheet::Picture),
            (b"\r\n <HTML><table>".to_vec(), NotASheet::WebPage),
            (b"\xEF\xBB\xBF<!DOCTYPE html>".to_vec(), NotASheet::WebPage),
            (b"<?xml version='1.0'?>".to_vec(), NotASheet::Xml),
            (archive_of(&[("wheels.csv", 9)]), NotASheet::Archive),
            (archive_of(&[("word/document.xml", 9)]), NotASheet::Document),
            (compound_with("WordDocument"), NotASheet::Document),
        ] {
            match recognize("sheet.xls", &bytes, Limits::default()) {
                Err(SheetError::NotASheet { why: found, .. }) => assert_eq!(found, why),
                other => panic!("{why:?}: {other:?}"),
            }
        }
    }

    #[test]
    fn a_workbook_with_a_password_is_named_so() {
        let locked = recognize("sheet.xlsx", &compound_with("EncryptedPackage"), Limits::default());
        assert!(matches!(locked, Err(SheetError::Encrypted { .. })));
    }

    #[test]
    fn a_workbook_that_unpacks_to_too_much_is_refused_before_unpacking() {
        let parts = [("xl/workbook.xml", 9), ("xl/worksheets/sheet1.xml", 1 << 30)];
        let refused = recognize("sheet.xlsx", &archive_of(&parts), Limits::default());
        assert!(matches!(refused, Err(SheetError::TooLarge { excess: Excess::Unpacked { .. }, .. })));
    }

    #[test]
    fn an_archive_cut_short_anywhere_is_damaged() {
        let whole = archive_of(&[("[Content_Types].xml", 9), ("xl/workbook.xml", 9)]);
        for length in 4..whole.len() {
            assert!(
                matches!(
                    recognize("sheet.xlsx", &whole[..length], Limits::default()),
                    Err(SheetError::Damaged { .. })
                ),
                "cut at {length}"
            );
        }
    }
}
