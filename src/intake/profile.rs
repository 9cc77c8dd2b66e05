//! Supplier profiles: what a buyer states outright about a supplier's sheets.
//!
//! A profile is a TOML file. It matches a sheet by its file name or by headings, and then says what
//! columns hold, in which units, what every row has in common, how the supplier's words read, and
//! which rows are none of ours. What it leaves open is found as without it.

use std::collections::BTreeMap;
use std::path::Path;
use std::str::FromStr;

use crate::document::{
    Fault, FileProblem, FileProblems, Item, Problems, Source, Table, Text, count_of, items_of, nearest,
    parse, read_source, text_of,
};
use crate::intake::heading::{Concept, Heading};
use crate::notation::number::DecimalMark;
use crate::notation::quantity::{LengthUnit, MassUnit, PressureUnit, Unit};
use crate::notation::text::fold;

/// What a profile says of one column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StatedColumn {
    /// What it holds.
    pub concept: Concept,
    /// Its unit, where the profile states one.
    pub unit: Option<Unit>,
}

/// A supplier profile.
#[derive(Clone, Debug, Default)]
pub struct Profile {
    /// Its name, for remarks.
    pub name: String,
    /// The fingerprint of its file.
    pub fingerprint: u64,
    files: Vec<String>,
    headings: Vec<String>,
    tabs: Vec<String>,
    /// The decimal mark of its figures, where stated.
    pub decimal: Option<DecimalMark>,
    /// The row its headings stand in, where stated.
    pub heading_row: Option<u32>,
    columns: BTreeMap<String, StatedColumn>,
    /// What every row states, by concept.
    pub constants: BTreeMap<Concept, String>,
    values: BTreeMap<Concept, BTreeMap<String, String>>,
    skip_texts: Vec<String>,
    skip_rows: Vec<u32>,
}

impl Profile {
    /// Whether it is for a file of this name, or for tabs with these headings.
    #[must_use]
    pub fn is_for(&self, file: &str, headings: &[String]) -> bool {
        let named = self.files.iter().any(|pattern| matches_pattern(pattern, file));
        let held = |wanted: &String| headings.iter().any(|heading| folded(heading) == folded(wanted));
        named || (!self.headings.is_empty() && self.headings.iter().all(held))
    }

    /// Whether it wants a tab read; all of them, if it names none.
    #[must_use]
    pub fn wants_tab(&self, tab: &str) -> bool {
        self.tabs.is_empty() || self.tabs.iter().any(|pattern| matches_pattern(pattern, tab))
    }

    /// What it says of a heading.
    #[must_use]
    pub fn column(&self, heading: &str) -> Option<&StatedColumn> {
        self.columns.get(&folded(heading))
    }

    /// A heading as it says, or as understood without it.
    #[must_use]
    pub fn understand(&self, text: &str) -> Heading {
        let found = crate::intake::heading::understand(text);
        match self.column(text) {
            Some(stated) => {
                Heading { concept: Some(stated.concept), unit: stated.unit.or(found.unit), ..found }
            }
            None => found,
        }
    }

    /// The word that a supplier's word stands for; none where the profile says nothing of it.
    #[must_use]
    pub fn translated(&self, concept: Concept, text: &str) -> Option<&str> {
        self.values.get(&concept)?.get(&folded(text)).map(String::as_str)
    }

    /// Whether a row is none of ours: by its number, or by the text of its first cell.
    #[must_use]
    pub fn skips(&self, row: u32, first: &str) -> bool {
        self.skip_rows.contains(&row) || self.skip_texts.iter().any(|pattern| matches_pattern(pattern, first))
    }
}

/// A text in the form names are compared in: folded, one space between words.
fn folded(text: &str) -> String {
    let text: String = text.chars().map(fold).collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a text is what a pattern says, letter case and accents aside; `*` stands for anything.
fn matches_pattern(pattern: &str, text: &str) -> bool {
    // The star is split off first: folding takes it for a multiplication sign.
    let letters = |text: &str| text.trim().chars().map(fold).collect::<String>();
    let pieces: Vec<String> = pattern.split('*').map(letters).collect();
    let text = letters(text);
    let [first, rest @ ..] = pieces.as_slice() else { return false };
    let Some(mut left) = text.strip_prefix(first.as_str()) else { return false };
    let Some((last, middle)) = rest.split_last() else { return left.is_empty() };
    for piece in middle {
        let Some(at) = left.find(piece.as_str()) else { return false };
        left = &left[at + piece.len()..];
    }
    left.ends_with(last.as_str())
}

/// Reads profile files.
///
/// # Errors
/// Every problem in the files.
pub fn read_all(paths: &[impl AsRef<Path>]) -> Result<Vec<Profile>, FileProblems> {
    let mut profiles = Vec::new();
    let mut problems = Vec::new();
    for path in paths {
        match read_source(path.as_ref()) {
            Ok(source) => {
                let (profile, found) = read_profile(&source);
                problems.extend(found);
                profiles.extend(profile);
            }
            Err(problem) => problems.push(problem),
        }
    }
    if problems.is_empty() { Ok(profiles) } else { Err(FileProblems(problems)) }
}

/// The profile of one file, and every problem in it.
#[must_use]
pub fn read_profile(source: &Source) -> (Option<Profile>, Vec<FileProblem>) {
    let mut problems = Problems::new(source.clone());
    let mut profile = None;
    if let Some(mut table) = parse(source, &mut problems) {
        if let Some(item) = table.need("profile", &mut problems) {
            profile = Table::from_item(item, &mut problems).map(|table| profile_of(table, &mut problems));
        }
        table.finish(&mut problems);
    }
    (profile.filter(|_| !problems.any()), problems.into_found())
}

fn profile_of(mut table: Table<'_>, problems: &mut Problems) -> Profile {
    let texts = |texts: Vec<Text>| texts.into_iter().map(|text| text.text).collect::<Vec<_>>();
    let name = table.text("name", problems).map_or_else(String::new, |name| name.text);
    let files = texts(table.texts("files", problems));
    let headings = texts(table.texts("headings", problems));
    if files.is_empty() && headings.is_empty() {
        problems.add(table.span(), Fault::KeyMissing("files"));
    }
    let tabs = texts(table.texts("tabs", problems));
    let heading_row = table.take("heading_row").and_then(|item| count_of(&item, problems));
    let decimal = table.text("decimal", problems).and_then(|text| {
        let marks = [("point", DecimalMark::Point), ("comma", DecimalMark::Comma)];
        one_of(&text, &marks, problems)
    });
    let skip_texts = texts(table.texts("skip", problems));
    let skip_rows = table.take("skip_rows").map_or_else(Vec::new, |item| items_of(item, problems));
    let skip_rows = skip_rows.iter().filter_map(|item| count_of(item, problems)).collect();
    let mut columns = BTreeMap::new();
    if let Some(stated) = table.table("columns", problems) {
        for (heading, item) in stated.into_entries() {
            if let Some(column) = column_of(item, problems) {
                columns.insert(folded(&heading.text), column);
            }
        }
    }
    let mut constants = BTreeMap::new();
    if let Some(stated) = table.table("constants", problems) {
        for (key, item) in stated.into_entries() {
            if let (Some(concept), Some(text)) = (concept_of(&key, problems), text_of(&item, problems)) {
                constants.insert(concept, text.text);
            }
        }
    }
    let mut values: BTreeMap<Concept, BTreeMap<String, String>> = BTreeMap::new();
    if let Some(stated) = table.table("values", problems) {
        for (key, item) in stated.into_entries() {
            let (Some(concept), Some(words)) = (concept_of(&key, problems), Table::from_item(item, problems))
            else {
                continue;
            };
            for (word, item) in words.into_entries() {
                if let Some(text) = text_of(&item, problems) {
                    values.entry(concept).or_default().insert(folded(&word.text), text.text);
                }
            }
        }
    }
    table.finish(problems);
    Profile {
        name,
        fingerprint: problems.source().fingerprint(),
        files,
        headings,
        tabs,
        decimal,
        heading_row,
        columns,
        constants,
        values,
        skip_texts,
        skip_rows,
    }
}

/// A column's meaning: a concept alone, or with its unit.
fn column_of(item: Item<'_>, problems: &mut Problems) -> Option<StatedColumn> {
    if item.get_ref().is_str() {
        let text = text_of(&item, problems)?;
        return Some(StatedColumn { concept: concept_of(&text, problems)?, unit: None });
    }
    let mut table = Table::from_item(item, problems)?;
    let concept = table.need_text("holds", problems).and_then(|text| concept_of(&text, problems));
    let unit = table.text("unit", problems).and_then(|text| one_of(&text, &UNITS, problems));
    table.finish(problems);
    Some(StatedColumn { concept: concept?, unit })
}

/// The units a column can be in, as profiles write them.
pub const UNITS: [(&str, Unit); 8] = [
    ("mm", Unit::Length(LengthUnit::Mm)),
    ("cm", Unit::Length(LengthUnit::Cm)),
    ("in", Unit::Length(LengthUnit::Inch)),
    ("kg", Unit::Mass(MassUnit::Kg)),
    ("lb", Unit::Mass(MassUnit::Lb)),
    ("psi", Unit::Pressure(PressureUnit::Psi)),
    ("kPa", Unit::Pressure(PressureUnit::Kpa)),
    ("bar", Unit::Pressure(PressureUnit::Bar)),
];

/// The name of a unit, as profiles write it.
#[must_use]
pub fn unit_name(unit: Unit) -> Option<&'static str> {
    UNITS.iter().find(|(_, known)| *known == unit).map(|(name, _)| *name)
}

fn concept_of(text: &Text, problems: &mut Problems) -> Option<Concept> {
    if let Ok(concept) = Concept::from_str(&text.text) {
        return Some(concept);
    }
    let names: Vec<&str> = Concept::ALL.iter().map(|concept| concept.name()).collect();
    not_allowed(text, &names, problems);
    None
}

fn one_of<T: Copy>(text: &Text, choices: &[(&str, T)], problems: &mut Problems) -> Option<T> {
    let found = choices.iter().find(|(word, _)| *word == text.text).map(|(_, meaning)| *meaning);
    if found.is_none() {
        let words: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
        not_allowed(text, &words, problems);
    }
    found
}

fn not_allowed(text: &Text, allowed: &[&str], problems: &mut Problems) {
    let fault = Fault::WordNotAllowed {
        word: text.text.clone(),
        allowed: allowed.iter().map(|word| (*word).to_owned()).collect(),
        nearest: nearest(&text.text, allowed.iter().copied()),
    };
    problems.add(text.span, fault);
}

#[cfg(test)]
mod tests {
    use super::{matches_pattern, read_profile};
    use crate::document::{FileProblem, Source};

    #[test]
    fn a_star_stands_for_anything() {
        for (pattern, text, fits) in [
            ("northfell*.xlsx", "Northfell-2026.xlsx", true),
            ("*price*", "New Price List.csv", true),
            ("a*b*c", "aXbYc", true),
            ("a*b*c", "acb", false),
            ("exact.csv", "exact.csv", true),
            ("exact.csv", "inexact.csv", false),
            ("Subtotal*", "subtotal, styles", true),
        ] {
            assert_eq!(matches_pattern(pattern, text), fits, "{pattern} on {text}");
        }
    }

    #[test]
    fn a_misspelt_concept_is_offered_the_nearest() {
        let source =
            Source::new("p.toml", "[profile]\nfiles = [\"a.csv\"]\n[profile.columns]\n\"X\" = \"ofset\"\n");
        let (profile, problems) = read_profile(&source);
        assert!(profile.is_none());
        assert_eq!(problems.iter().map(FileProblem::marked).collect::<Vec<_>>(), ["ofset"]);
    }
}
