//! Our own TOML files (rules, vans), read with the place of every key and value kept.
//!
//! A reader takes the keys it knows out of a [`Table`]; what is left over is an unknown key and
//! gets reported with the nearest known one. Problems are collected, so that one reading shows all.

mod fault;
pub mod literal;
mod span;
mod value;

use std::borrow::Cow;
use std::path::{Path, PathBuf};

use toml::Spanned;
use toml::de::{DeTable, DeValue};

pub use fault::{Fault, FileProblem, FileProblems, SyntaxFault};
pub use span::{Source, Span, fingerprint};
pub use value::value_of;

/// Collects the problems of one file.
#[derive(Debug)]
pub struct Problems {
    source: Source,
    found: Vec<FileProblem>,
}

impl Problems {
    /// No problem yet.
    #[must_use]
    pub fn new(source: Source) -> Self {
        Self { source, found: Vec::new() }
    }

    /// Adds one, at a place in the file.
    pub fn add(&mut self, span: Span, fault: Fault) {
        self.found.push(FileProblem::new(self.source.clone(), span, fault));
    }

    /// Takes over the problems that another reading of the same file found.
    pub fn absorb(&mut self, other: Self) {
        self.found.extend(other.found);
    }

    /// Takes over problems found in other files that this one names.
    pub fn take_over(&mut self, found: Vec<FileProblem>) {
        self.found.extend(found);
    }

    /// Whether any was added.
    #[must_use]
    pub fn any(&self) -> bool {
        !self.found.is_empty()
    }

    /// How many were added.
    #[must_use]
    pub fn count(&self) -> usize {
        self.found.len()
    }

    /// The file.
    #[must_use]
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// All of them, in the order found.
    #[must_use]
    pub fn into_found(self) -> Vec<FileProblem> {
        self.found
    }
}

/// Reads a file as text.
///
/// # Errors
/// [`Fault::CannotRead`] where the file is missing, is not text, or cannot be opened.
pub fn read_source(path: &Path) -> Result<Source, FileProblem> {
    match std::fs::read_to_string(path) {
        Ok(text) => Ok(Source::new(path.display().to_string(), text)),
        Err(error) => Err(FileProblem::new(
            Source::new(path.display().to_string(), String::new()),
            Span::default(),
            Fault::CannotRead(error),
        )),
    }
}

/// The TOML files directly in a folder, by name; or the file itself.
///
/// # Errors
/// [`Fault::CannotRead`] where the path cannot be listed.
pub fn toml_files(path: &Path) -> Result<Vec<PathBuf>, FileProblem> {
    if !path.is_dir() {
        return Ok(vec![path.to_path_buf()]);
    }
    let cannot = |error| {
        FileProblem::new(
            Source::new(path.display().to_string(), String::new()),
            Span::default(),
            Fault::CannotRead(error),
        )
    };
    let mut files = Vec::new();
    for entry in std::fs::read_dir(path).map_err(cannot)? {
        let file = entry.map_err(cannot)?.path();
        if file.extension().is_some_and(|extension| extension == "toml") {
            files.push(file);
        }
    }
    files.sort();
    Ok(files)
}

/// A value with its place.
pub type Item<'i> = Spanned<DeValue<'i>>;

/// The table of a whole file; syntax problems are added.
pub fn parse<'i>(source: &'i Source, problems: &mut Problems) -> Option<Table<'i>> {
    match DeTable::parse(source.text()) {
        Ok(table) => Some(Table::new(table.span().into(), table.into_inner())),
        Err(error) => {
            let span = error.span().map_or_else(Span::default, Span::from);
            problems.add(span, Fault::Syntax(error.message().to_owned()));
            None
        }
    }
}

/// A TOML table that is being read: known keys are taken out of it.
#[derive(Debug)]
pub struct Table<'i> {
    span: Span,
    entries: DeTable<'i>,
    known: Vec<&'static str>,
}

impl<'i> Table<'i> {
    fn new(span: Span, entries: DeTable<'i>) -> Self {
        Self { span, entries, known: Vec::new() }
    }

    /// A value as a table; a problem is added where it is not one.
    pub fn from_item(item: Item<'i>, problems: &mut Problems) -> Option<Self> {
        let span = Span::from(item.span());
        match item.into_inner() {
            DeValue::Table(entries) => Some(Self::new(span, entries)),
            other => {
                problems.add(span, Fault::WrongType { wanted: "a table", found: other.type_str() });
                None
            }
        }
    }

    /// Where the table stands.
    #[must_use]
    pub fn span(&self) -> Span {
        self.span
    }

    /// Takes a key's value out.
    pub fn take(&mut self, key: &'static str) -> Option<Item<'i>> {
        self.known.push(key);
        self.entries.remove(key)
    }

    /// Takes a key's value out; a problem is added where it is absent.
    pub fn need(&mut self, key: &'static str, problems: &mut Problems) -> Option<Item<'i>> {
        let item = self.take(key);
        if item.is_none() {
            problems.add(self.span, Fault::KeyMissing(key));
        }
        item
    }

    /// Takes text out; a problem is added where the value is something else.
    pub fn text(&mut self, key: &'static str, problems: &mut Problems) -> Option<Text> {
        let item = self.take(key)?;
        text_of(&item, problems)
    }

    /// Takes text out; a problem is added where it is absent or something else.
    pub fn need_text(&mut self, key: &'static str, problems: &mut Problems) -> Option<Text> {
        let item = self.need(key, problems)?;
        text_of(&item, problems)
    }

    /// Takes a list of texts out; empty where the key is absent.
    pub fn texts(&mut self, key: &'static str, problems: &mut Problems) -> Vec<Text> {
        self.take(key).map_or_else(Vec::new, |item| texts_of(item, problems))
    }

    /// Takes a yes or no out.
    pub fn flag(&mut self, key: &'static str, problems: &mut Problems) -> Option<bool> {
        let item = self.take(key)?;
        if let DeValue::Boolean(flag) = item.get_ref() {
            return Some(*flag);
        }
        wrong_type(&item, "true or false", problems);
        None
    }

    /// Takes a table out; a problem is added where the value is something else.
    pub fn table(&mut self, key: &'static str, problems: &mut Problems) -> Option<Self> {
        let item = self.take(key)?;
        Table::from_item(item, problems)
    }

    /// Takes a list of tables out (`[[key]]`); empty where the key is absent.
    pub fn tables(&mut self, key: &'static str, problems: &mut Problems) -> Vec<Self> {
        let Some(item) = self.take(key) else {
            return Vec::new();
        };
        items_of(item, problems).into_iter().filter_map(|item| Table::from_item(item, problems)).collect()
    }

    /// Whether a key is there, taken or not.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// Whether no key is left.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// Every key that is left, with its value.
    pub fn into_entries(self) -> Vec<(Text, Item<'i>)> {
        let mut entries: Vec<_> = self
            .entries
            .into_iter()
            .map(|(key, item)| {
                (Text { span: key.span().into(), text: key.into_inner().into_owned(), exact: true }, item)
            })
            .collect();
        // The table is sorted by name; people expect the order of the file.
        entries.sort_by_key(|(key, _)| key.span.start);
        entries
    }

    /// Adds a problem for every key that nobody took.
    pub fn finish(self, problems: &mut Problems) {
        let known = self.known.clone();
        for (key, _) in self.into_entries() {
            let nearest = nearest(&key.text, known.iter().copied());
            problems.add(key.span, Fault::UnknownKey { key: key.text, known: known.clone(), nearest });
        }
    }
}

/// A text of a file with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    /// The text itself.
    pub text: String,
    /// Where it stands, quotes excluded where `exact`.
    pub span: Span,
    /// Whether the file writes it letter for letter, so that places inside it can be shown; false
    /// where it is written with escapes.
    pub exact: bool,
}

impl Text {
    /// The place of a stretch of the text in its file.
    #[must_use]
    pub fn within(&self, part: Span) -> Span {
        if self.exact {
            Span { start: self.span.start + part.start, end: self.span.start + part.end }
        } else {
            self.span
        }
    }
}

/// A value as text; a problem is added where it is something else.
pub fn text_of(item: &Item<'_>, problems: &mut Problems) -> Option<Text> {
    let span = Span::from(item.span());
    let DeValue::String(text) = item.get_ref() else {
        wrong_type(item, "text in quotes", problems);
        return None;
    };
    // A borrowed string is the file's own text: find where it starts behind its quotes.
    let quoted = problems.source.text().get(span.start..span.end).unwrap_or("");
    let exact = match text {
        Cow::Borrowed(text) => place_within(quoted, text),
        Cow::Owned(_) => None,
    };
    let place = exact.map_or(span, |at| Span { start: span.start + at, end: span.start + at + text.len() });
    Some(Text { text: text.clone().into_owned(), span: place, exact: exact.is_some() })
}

/// Where a text begins within its quotation marks: mostly behind one, which a search takes long to find.
fn place_within(quoted: &str, text: &str) -> Option<usize> {
    let behind_one = !text.is_empty()
        && !quoted.starts_with(text)
        && quoted.get(1..).is_some_and(|rest| rest.starts_with(text));
    if behind_one { Some(1) } else { quoted.find(text) }
}

/// A value as a list; a problem is added where it is something else.
pub fn items_of<'i>(item: Item<'i>, problems: &mut Problems) -> Vec<Item<'i>> {
    if !matches!(item.get_ref(), DeValue::Array(_)) {
        wrong_type(&item, "a list", problems);
        return Vec::new();
    }
    match item.into_inner() {
        DeValue::Array(items) => items.into_iter().collect(),
        _ => Vec::new(),
    }
}

/// A value as a list of texts; one text alone counts as a list of one.
pub fn texts_of(item: Item<'_>, problems: &mut Problems) -> Vec<Text> {
    if matches!(item.get_ref(), DeValue::String(_)) {
        return text_of(&item, problems).into_iter().collect();
    }
    items_of(item, problems).iter().filter_map(|item| text_of(item, problems)).collect()
}

/// A value as a whole number from 0; a problem is added where it is something else.
pub fn count_of(item: &Item<'_>, problems: &mut Problems) -> Option<u32> {
    if let DeValue::Integer(integer) = item.get_ref()
        && let Ok(count) = u32::from_str_radix(integer.as_str(), integer.radix())
    {
        return Some(count);
    }
    wrong_type(item, "a whole number", problems);
    None
}

fn wrong_type(item: &Item<'_>, wanted: &'static str, problems: &mut Problems) {
    problems.add(item.span().into(), Fault::WrongType { wanted, found: item.get_ref().type_str() });
}

/// The known name nearest to a misspelt one, where it is near enough to be meant.
pub fn nearest<'n>(name: &str, known: impl IntoIterator<Item = &'n str>) -> Option<String> {
    let length = name.chars().count();
    let limit = (length / 3).max(1);
    known
        .into_iter()
        // No distance is below the difference in length, and the distance to a long text takes long.
        .filter(|candidate| candidate.chars().count().abs_diff(length) <= limit)
        .map(|candidate| (strsim::osa_distance(name, candidate), candidate))
        .filter(|(distance, _)| *distance <= limit)
        .min()
        .map(|(_, candidate)| candidate.to_owned())
}
