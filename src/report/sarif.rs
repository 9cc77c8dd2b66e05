//! Logs of the Static Analysis Results Interchange Format, version 2.1.0, for programs that mark
//! findings in the files of a change.
//!
//! Source: OASIS Standard, SARIF Version 2.1.0, 27 March 2020. A cell of a text file is a region with
//! line and column in code points; a cell of a workbook has no region, and its tab and address are a
//! logical location. Files are told by their way from the folder that the run was started in; those that
//! lie elsewhere and were named by their whole path, from a folder that the log gives a number only.

use std::collections::BTreeMap;
use std::io::{self, Write};
use std::path::PathBuf;

use serde::Serialize;

use crate::facts::catalog::Weight;
use crate::facts::part::{Part, Subject};
use crate::judge::{Judgement, VerdictKind};
use crate::report::page::clean;
use crate::report::sheet_file::{FilePlace, Lines, SheetFile, Spot, spot, spot_of};
use crate::rules::Rule;

const SCHEMA: &str = "https://json.schemastore.org/sarif-2.1.0-rtm.5.json";

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// Something is to be done first.
    Error,
    /// Something is to be looked at.
    Warning,
    /// Something to know.
    Note,
}

/// What a finding is about.
#[derive(Debug, Serialize)]
pub struct Topic {
    id: String,
    #[serde(rename = "shortDescription")]
    short: Text,
    #[serde(rename = "fullDescription", skip_serializing_if = "Option::is_none")]
    full: Option<Text>,
}

#[derive(Debug, Serialize)]
struct Text {
    text: String,
}

impl Text {
    /// A text that readers show as it is: a sheet's words are neither a place for an argument, `{0}`
    /// (SARIF 2.1.0 section 3.11.5, *memory*), nor an embedded link, `[words](target)` (3.11.6, *memory*).
    fn of(text: &str) -> Self {
        Self { text: clean(text).replace('{', "{{").replace('}', "}}").replace("](", "] (") }
    }
}

impl Topic {
    /// A topic, with what it is in a few words and in more.
    #[must_use]
    pub fn new(id: &str, short: &str, full: Option<&str>) -> Self {
        Self { id: id.to_owned(), short: Text::of(short), full: full.map(Text::of) }
    }
}

/// Where a finding is.
#[derive(Clone, Debug)]
pub enum Where {
    /// A cell of a sheet.
    Cell(Spot),
    /// A line of one of our own files.
    Line {
        /// The file.
        file: FilePlace,
        /// The line, from 1.
        line: usize,
    },
    /// Nowhere.
    Nowhere,
}

/// Gathers findings into a log.
#[derive(Debug, Default)]
pub struct Log {
    topics: Vec<Topic>,
    results: Vec<Found>,
    /// The folders that files are told from, beside the one that the run was started in.
    folders: Vec<PathBuf>,
}

#[derive(Debug, Serialize)]
struct Found {
    #[serde(rename = "ruleId")]
    topic: String,
    #[serde(rename = "ruleIndex")]
    index: usize,
    level: Level,
    message: Text,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    locations: Vec<Location>,
    #[serde(rename = "partialFingerprints")]
    fingerprints: Fingerprints,
}

/// What tells a finding from others, from one run to the next: never a row.
#[derive(Debug, Serialize)]
struct Fingerprints {
    #[serde(rename = "vanPartTopic/v1")]
    key: String,
}

#[derive(Debug, Serialize)]
struct Location {
    #[serde(rename = "physicalLocation")]
    physical: Physical,
    #[serde(rename = "logicalLocations", skip_serializing_if = "Vec::is_empty")]
    logical: Vec<Logical>,
}

#[derive(Debug, Serialize)]
struct Physical {
    #[serde(rename = "artifactLocation")]
    artifact: Artifact,
    #[serde(skip_serializing_if = "Option::is_none")]
    region: Option<Region>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Artifact {
    uri: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    uri_base_id: Option<String>,
}

/// A folder whose place is not told.
#[derive(Debug, Serialize)]
struct Folder {
    description: Text,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    start_column: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    end_line: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    end_column: Option<u32>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Logical {
    name: String,
    fully_qualified_name: String,
    kind: &'static str,
}

fn region(lines: Lines) -> Region {
    // An empty cell is the point where it would stand.
    Region {
        start_line: lines.line as usize,
        start_column: Some(lines.column),
        end_line: Some(lines.end_line),
        end_column: Some(lines.end_column),
    }
}

#[derive(Serialize)]
struct Document<'l> {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run<'l>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run<'l> {
    tool: Tool<'l>,
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    original_uri_base_ids: BTreeMap<String, Folder>,
    column_kind: &'static str,
    results: &'l [Found],
}

#[derive(Serialize)]
struct Tool<'l> {
    driver: Driver<'l>,
}

#[derive(Serialize)]
struct Driver<'l> {
    name: &'static str,
    version: &'static str,
    rules: &'l [Topic],
}

/// What a folder is called in a log, by its place among them.
fn folder_id(place: usize) -> String {
    format!("FOLDER_{}", place + 1)
}

impl Log {
    /// Where a finding is, in the words of the standard.
    fn location(&mut self, at: Where) -> Option<Location> {
        match at {
            Where::Nowhere => None,
            Where::Line { file, line } => {
                let region =
                    Region { start_line: line, start_column: None, end_line: None, end_column: None };
                let physical = Physical { artifact: self.artifact(file), region: Some(region) };
                Some(Location { physical, logical: Vec::new() })
            }
            Where::Cell(spot) => {
                let name = spot.cell.to_string();
                let full = if spot.tab.is_empty() { name.clone() } else { format!("{}!{name}", spot.tab) };
                let physical =
                    Physical { artifact: self.artifact(spot.file), region: spot.lines.map(region) };
                let logical = Logical { name, fully_qualified_name: full, kind: "cell" };
                Some(Location { physical, logical: vec![logical] })
            }
        }
    }

    fn artifact(&mut self, file: FilePlace) -> Artifact {
        let FilePlace { uri, from } = file;
        let place = from.map(|folder| {
            self.folders.iter().position(|known| *known == folder).unwrap_or_else(|| {
                self.folders.push(folder);
                self.folders.len() - 1
            })
        });
        Artifact { uri, uri_base_id: place.map(folder_id) }
    }

    /// Adds a finding; `key` tells it from others of its topic, from one run to the next.
    pub fn add(&mut self, topic: Topic, level: Level, says: &str, at: Where, key: &str) {
        let known = self.topics.iter().position(|known| known.id == topic.id);
        let id = topic.id.clone();
        let index = known.unwrap_or_else(|| {
            self.topics.push(topic);
            self.topics.len() - 1
        });
        let locations = self.location(at).into_iter().collect();
        self.results.push(Found {
            topic: id,
            index,
            level,
            message: Text::of(says),
            locations,
            fingerprints: Fingerprints { key: clean(key) },
        });
    }

    /// Writes the log.
    ///
    /// # Errors
    /// Where `out` does not take the bytes.
    pub fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        let document = Document {
            schema: SCHEMA,
            version: "2.1.0",
            runs: [Run {
                tool: Tool {
                    driver: Driver {
                        name: env!("CARGO_PKG_NAME"),
                        version: env!("CARGO_PKG_VERSION"),
                        rules: &self.topics,
                    },
                },
                original_uri_base_ids: (0..self.folders.len())
                    .map(|place| {
                        let text = "a folder beside the one that the run was started in";
                        (folder_id(place), Folder { description: Text::of(text) })
                    })
                    .collect(),
                column_kind: "unicodeCodePoints",
                results: &self.results,
            }],
        };
        serde_json::to_writer_pretty(&mut *out, &document)?;
        out.write_all(b"\n")
    }
}

/// The topic of a rule, or of a check that is none. Rules on wheels, tires and packages may have one name.
fn topic_of(on: Subject, rule: Option<&Rule>, name: &str) -> Topic {
    let id = format!("{}/{name}", on.name());
    rule.map_or_else(
        || Topic::new(&id, name, None),
        |rule| Topic::new(&id, &format!("demands {}", rule.demand_text), Some(&rule.basis)),
    )
}

/// Writes what `vet` finds: why parts do not fit, what cannot be shown of them, and the remarks on sheets.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(judgement: &Judgement<'_>, files: &[SheetFile], out: &mut dyn Write) -> io::Result<()> {
    let mut log = Log::default();
    for part in &judgement.catalog.parts {
        for at in 0..judgement.vans.len() {
            of_part(&mut log, judgement, files, part, at);
        }
    }
    for (at, sheet) in judgement.catalog.sheets.iter().enumerate() {
        let mut known: BTreeMap<&str, usize> = BTreeMap::new();
        for remark in &sheet.remarks {
            let Ok(cell) = remark.address().parse() else { continue };
            let place = Where::Cell(spot(judgement, files, at, remark.tab, cell));
            let kind = remark.kind.name();
            let count = known.entry(kind).or_default();
            *count += 1;
            let key = format!("{} {kind} {count}", sheet.name);
            let topic = Topic::new(&format!("sheet/{kind}"), "a remark on the sheet", None);
            let level = match remark.weight {
                Weight::Fault => Level::Warning,
                Weight::Note => Level::Note,
            };
            log.add(topic, level, &remark.says, place, &key);
        }
    }
    log.write(out)
}

fn of_part(log: &mut Log, judgement: &Judgement<'_>, files: &[SheetFile], part: &Part<'_>, at: usize) {
    let (Some(van), Some(finding)) = (judgement.vans.get(at), judgement.finding(at, part)) else { return };
    let level = match finding.kind() {
        VerdictKind::Fits | VerdictKind::FitsWithWork => return,
        VerdictKind::Unproven => Level::Warning,
        VerdictKind::Rejected => Level::Note,
    };
    let key = |name: &str| format!("{} {} {} {name}", van.id, part.supplier, part.sku);
    let number = if part.sku.is_empty() { format!("row {}", part.row) } else { part.sku.to_owned() };
    // What work cures does not keep a part off the list.
    let failing = if finding.kind() == VerdictKind::Rejected { finding.reasons() } else { &[] };
    for reason in failing {
        let rule = judgement.rule(reason.rule);
        let name = rule.map_or("", |rule| &rule.name);
        let field = reason.evidence.as_ref().map(|evidence| evidence.field);
        let says = format!("{number} does not fit {}: {}", van.id, reason.says);
        let place = Where::Cell(spot_of(judgement, files, part, field));
        log.add(topic_of(part.kind.into(), rule, name), level, &says, place, &key(name));
    }
    for gap in finding.gaps() {
        let on = gap.of.unwrap_or(part.kind.into());
        let rule = judgement.rules.all().iter().find(|rule| rule.name == gap.rule && rule.on == on);
        let fact = gap.field.map_or_else(String::new, |field| format!("{}: ", field.words()));
        let verdict = match finding.kind() {
            VerdictKind::Rejected => "does not fit, and besides is unproven for",
            VerdictKind::Fits | VerdictKind::FitsWithWork | VerdictKind::Unproven => "is unproven for",
        };
        let says = format!("{number} {verdict} {}: {fact}{}", van.id, gap.why);
        let place = Where::Cell(spot_of(judgement, files, part, gap.field));
        log.add(topic_of(on, rule, &gap.rule), level, &says, place, &key(&gap.rule));
    }
}
