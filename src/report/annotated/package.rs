//! The archive of a workbook: parts copied raw, a few rewritten, a few added.

use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};

use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::problem::PartFault;
use super::xml::{Edits, Standing, escaped, opened, walk};

/// A part that could not be used, or an archive that could not be copied.
#[derive(Debug)]
pub(super) enum PackageError {
    Part { part: String, fault: PartFault },
    Archive(ZipError),
}

impl From<ZipError> for PackageError {
    fn from(error: ZipError) -> Self {
        Self::Archive(error)
    }
}

impl From<std::io::Error> for PackageError {
    fn from(error: std::io::Error) -> Self {
        Self::Archive(ZipError::Io(error))
    }
}

/// Puts the part's name to what is wrong with it.
pub(super) fn of_part(part: &str) -> impl Fn(PartFault) -> PackageError + '_ {
    move |fault| PackageError::Part { part: part.to_owned(), fault }
}

/// A workbook's archive while parts are changed.
pub(super) struct Package<'b> {
    archive: ZipArchive<Cursor<&'b [u8]>>,
    /// The archive's own names, by their common form.
    names: BTreeMap<String, usize>,
    /// Parts changed or added, by the common form of their name: the name as it is written, and the text.
    changed: BTreeMap<String, (String, String)>,
}

/// A name in the form that names are compared in: writers differ in case, slashes and a slash in front.
fn common(name: &str) -> String {
    name.replace('\\', "/").trim_start_matches('/').to_lowercase()
}

/// A relationship of a part.
#[derive(Clone, Debug)]
pub(super) struct Relationship {
    pub(super) id: String,
    /// The last word of its type, such as `comments`.
    pub(super) kind: String,
    /// The part it leads to, from the root.
    pub(super) target: String,
}

const TYPES: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/";
const NO_RELATIONSHIPS: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n<Relationships \
xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"></Relationships>";
const CONTENT_TYPES: &str = "[Content_Types].xml";

impl<'b> Package<'b> {
    pub(super) fn open(bytes: &'b [u8]) -> Result<Self, PackageError> {
        let archive = ZipArchive::new(Cursor::new(bytes))?;
        let mut names = BTreeMap::new();
        let mut archive = archive;
        for place in 0..archive.len() {
            let name = archive.by_index_raw(place)?.name()?.into_owned();
            names.insert(common(&name), place);
        }
        Ok(Self { archive, names, changed: BTreeMap::new() })
    }

    pub(super) fn has(&self, part: &str) -> bool {
        let part = common(part);
        self.changed.contains_key(&part) || self.names.contains_key(&part)
    }

    /// The text of a part, as changed so far.
    pub(super) fn text(&mut self, part: &str) -> Result<String, PackageError> {
        let key = common(part);
        if let Some((_, changed)) = self.changed.get(&key) {
            return Ok(changed.clone());
        }
        let place = self.names.get(&key).copied().ok_or(PartFault::Missing).map_err(of_part(part))?;
        let mut bytes = Vec::new();
        self.archive.by_index(place)?.read_to_end(&mut bytes)?;
        String::from_utf8(bytes).map_err(|_| of_part(part)(PartFault::NotXml))
    }

    /// Puts a text in place of a part, or as a new one.
    pub(super) fn put(&mut self, part: &str, text: String) {
        self.changed.insert(common(part), (part.to_owned(), text));
    }

    /// The first name `start1end`, `start2end`, ... that no part has.
    pub(super) fn free_name(&self, start: &str, end: &str) -> (String, usize) {
        let mut count = 1;
        while self.has(&format!("{start}{count}{end}")) {
            count += 1;
        }
        (format!("{start}{count}{end}"), count)
    }

    /// The relationships of a part; none where it has no such list.
    pub(super) fn relationships(&mut self, part: &str) -> Result<Vec<Relationship>, PackageError> {
        let list = list_of(part);
        if !self.has(&list) {
            return Ok(Vec::new());
        }
        let text = self.text(&list)?;
        let mut found = Vec::new();
        walk(&text, |tag| {
            if tag.local() == "Relationship"
                && tag.begins()
                && let (Some(id), Some(kind), Some(target)) =
                    (tag.attribute("Id"), tag.attribute("Type"), tag.attribute("Target"))
            {
                let kind = kind.rsplit('/').next().unwrap_or("").to_owned();
                found.push(Relationship { id, kind, target: resolved(part, &target) });
            }
            Ok(())
        })
        .map_err(of_part(&list))?;
        Ok(found)
    }

    /// Adds a relationship and gives its id.
    pub(super) fn relate(&mut self, part: &str, kind: &str, target: &str) -> Result<String, PackageError> {
        let list = list_of(part);
        let known = self.relationships(part)?;
        let mut count = known.len() + 1;
        while known.iter().any(|relationship| relationship.id == format!("rId{count}")) {
            count += 1;
        }
        let id = format!("rId{count}");
        let text = if self.has(&list) { self.text(&list)? } else { NO_RELATIONSHIPS.to_owned() };
        let element = |p: &str| {
            format!("<{p}Relationship Id=\"{id}\" Type=\"{TYPES}{kind}\" Target=\"/{}\"/>", escaped(target))
        };
        let changed = into_root(&text, element).map_err(of_part(&list))?;
        self.put(&list, changed);
        Ok(id)
    }

    /// States the type of a new part.
    pub(super) fn declare(&mut self, part: &str, content_type: &str) -> Result<(), PackageError> {
        let text = self.text(CONTENT_TYPES)?;
        let element = |p: &str| {
            format!("<{p}Override PartName=\"/{}\" ContentType=\"{content_type}\"/>", escaped(part))
        };
        let changed = into_root(&text, element).map_err(of_part(CONTENT_TYPES))?;
        self.put(CONTENT_TYPES, changed);
        Ok(())
    }

    /// The archive with all changes: parts in their old order, new ones behind them.
    pub(super) fn finish(mut self) -> Result<Vec<u8>, PackageError> {
        let mut out = ZipWriter::new(Cursor::new(Vec::new()));
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
        let mut changed = std::mem::take(&mut self.changed);
        for place in 0..self.archive.len() {
            let file = self.archive.by_index_raw(place)?;
            let name = file.name()?.into_owned();
            match changed.remove(&common(&name)) {
                Some((_, text)) => {
                    drop(file);
                    out.start_file(name, options)?;
                    out.write_all(text.as_bytes())?;
                }
                None => out.raw_copy_file(file)?,
            }
        }
        for (name, text) in changed.into_values() {
            out.start_file(name, options)?;
            out.write_all(text.as_bytes())?;
        }
        Ok(out.finish()?.into_inner())
    }
}

/// A text with an element put in at the end of its root.
fn into_root(text: &str, element: impl Fn(&str) -> String) -> Result<String, PartFault> {
    let mut edits = Edits::default();
    walk(text, |tag| {
        if tag.depth == 0 {
            let written = element(tag.prefix());
            match tag.standing {
                Standing::Open => {}
                Standing::Close => edits.insert(tag.span.start, written),
                Standing::Empty => {
                    edits
                        .replace(tag.span.clone(), format!("{}{written}</{}>", opened(tag.text), tag.name()));
                }
            }
        }
        Ok(())
    })?;
    edits.apply(text)
}

fn list_of(part: &str) -> String {
    match part.rsplit_once('/') {
        Some((folder, name)) => format!("{folder}/_rels/{name}.rels"),
        None => format!("_rels/{part}.rels"),
    }
}

/// A target as written in a part's relationships, from the root.
fn resolved(part: &str, target: &str) -> String {
    if let Some(from_root) = target.strip_prefix('/') {
        return from_root.to_owned();
    }
    let mut folders: Vec<&str> =
        part.rsplit_once('/').map_or_else(Vec::new, |(folder, _)| folder.split('/').collect());
    for step in target.split('/') {
        match step {
            ".." => {
                folders.pop();
            }
            "." | "" => {}
            step => folders.push(step),
        }
    }
    folders.join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn targets_lead_from_the_root() {
        assert_eq!(resolved("xl/worksheets/sheet1.xml", "../comments1.xml"), "xl/comments1.xml");
        assert_eq!(resolved("xl/workbook.xml", "/xl/styles.xml"), "xl/styles.xml");
        assert_eq!(list_of("xl/workbook.xml"), "xl/_rels/workbook.xml.rels");
    }

    #[test]
    fn an_element_goes_to_the_end_of_the_root_in_its_prefix() {
        let put = |text| into_root(text, |p| format!("<{p}n/>")).unwrap();
        assert_eq!(put("<x:r><x:a/></x:r>"), "<x:r><x:a/><x:n/></x:r>");
        assert_eq!(put("<r/>"), "<r><n/></r>");
    }
}
