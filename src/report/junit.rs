//! Reports of test cases, as build servers read them: an XML form that has no published standard. What
//! is written here is what the readers in use agree on: `testsuites`, `testsuite` and `testcase` with
//! `failure` or `error`, and the counts of each.

use std::io::{self, Write};

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

use crate::facts::catalog::Weight;
use crate::judge::{Judgement, VerdictKind};
use crate::report::page::{clean, counted};
use crate::report::words::{place, place_of};

/// What a case came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Came {
    /// As it must be.
    Well,
    /// Not as it must be.
    Failure,
    /// It cannot be told.
    Error,
}

/// One case.
#[derive(Debug)]
pub struct Case {
    /// The group it stands in.
    pub group: String,
    /// Its name.
    pub name: String,
    /// What it came to.
    pub came: Came,
    /// What kind of failure or error it is, in a word.
    pub kind: &'static str,
    /// A sentence about it; what else there is to know, where it went well.
    pub says: String,
    /// More about it, a line each.
    pub more: Vec<String>,
}

/// A named group of cases.
#[derive(Debug)]
pub struct Suite {
    /// Its name.
    pub name: String,
    /// Its cases.
    pub cases: Vec<Case>,
}

/// A text that XML can hold.
fn allowed(text: &str) -> String {
    let outside = |letter: &char| !matches!(letter, '\u{fffe}' | '\u{ffff}');
    clean(text).chars().filter(outside).collect()
}

fn counts(start: &mut BytesStart<'_>, cases: &[&Case]) {
    let count = |came: Came| cases.iter().filter(|case| case.came == came).count().to_string();
    start.push_attribute(("tests", cases.len().to_string().as_str()));
    start.push_attribute(("failures", count(Came::Failure).as_str()));
    start.push_attribute(("errors", count(Came::Error).as_str()));
}

/// Writes suites.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_suites(suites: &[Suite], out: &mut dyn Write) -> io::Result<()> {
    let mut writer = Writer::new_with_indent(&mut *out, b' ', 2);
    writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let mut root = BytesStart::new("testsuites");
    root.push_attribute(("name", "rimsieve"));
    counts(&mut root, &suites.iter().flat_map(|suite| &suite.cases).collect::<Vec<_>>());
    writer.write_event(Event::Start(root))?;
    for suite in suites {
        let mut start = BytesStart::new("testsuite");
        start.push_attribute(("name", allowed(&suite.name).as_str()));
        counts(&mut start, &suite.cases.iter().collect::<Vec<_>>());
        writer.write_event(Event::Start(start))?;
        for case in &suite.cases {
            write_case(&mut writer, case)?;
        }
        writer.write_event(Event::End(BytesEnd::new("testsuite")))?;
    }
    writer.write_event(Event::End(BytesEnd::new("testsuites")))?;
    out.write_all(b"\n")
}

fn write_case<W: Write>(writer: &mut Writer<W>, case: &Case) -> io::Result<()> {
    let mut start = BytesStart::new("testcase");
    start.push_attribute(("classname", allowed(&case.group).as_str()));
    start.push_attribute(("name", allowed(&case.name).as_str()));
    let said: Vec<String> = case.more.iter().map(|line| allowed(line)).collect();
    let element = match case.came {
        Came::Failure => "failure",
        Came::Error => "error",
        Came::Well if case.says.is_empty() => return writer.write_event(Event::Empty(start)),
        Came::Well => "system-out",
    };
    writer.write_event(Event::Start(start))?;
    let mut inner = BytesStart::new(element);
    let mut lines = said;
    if case.came == Came::Well {
        lines.insert(0, allowed(&case.says));
    } else {
        inner.push_attribute(("type", case.kind));
        inner.push_attribute(("message", allowed(&case.says).as_str()));
    }
    writer.write_event(Event::Start(inner))?;
    writer.write_event(Event::Text(BytesText::new(&lines.join("\n"))))?;
    writer.write_event(Event::End(BytesEnd::new(element)))?;
    writer.write_event(Event::End(BytesEnd::new("testcase")))
}

/// Writes what `vet` finds: a suite for each van with a case for each part, and one for the sheets.
///
/// A part that does not fit is a failure; one that is unproven is an error, as it cannot be told: missing
/// is never a pass.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(judgement: &Judgement<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut suites: Vec<Suite> = Vec::new();
    for (at, van) in judgement.vans.iter().enumerate() {
        let cases = judgement.catalog.parts.iter().filter_map(|part| {
            let finding = judgement.finding(at, part)?;
            let reasons = finding.reasons().iter().map(|reason| reason.says.to_string());
            let gaps = finding.gaps().iter().map(|gap| {
                gap.field
                    .map_or_else(|| gap.why.to_string(), |field| format!("{}: {}", field.words(), gap.why))
            });
            let mut told: Vec<String> = match finding.kind() {
                VerdictKind::Fits | VerdictKind::FitsWithWork => Vec::new(),
                VerdictKind::Unproven => gaps.collect(),
                VerdictKind::Rejected => reasons.chain(gaps).collect(),
            };
            let says = told.join("; ");
            told.push(place(judgement, part));
            Some(Case {
                group: format!("{}.{}", van.id, part.supplier),
                name: format!(
                    "{} {}",
                    part.kind.name(),
                    if part.sku.is_empty() { part.name } else { part.sku }
                ),
                came: match finding.kind() {
                    VerdictKind::Fits | VerdictKind::FitsWithWork => Came::Well,
                    VerdictKind::Unproven => Came::Error,
                    VerdictKind::Rejected => Came::Failure,
                },
                kind: finding.kind().name(),
                says,
                more: told,
            })
        });
        suites.push(Suite { name: van.id.to_string(), cases: cases.collect() });
    }
    let sheets = judgement.catalog.sheets.iter().map(|sheet| {
        let faults = sheet.remarks.iter().filter(|remark| remark.weight == Weight::Fault);
        let told: Vec<String> =
            faults.map(|remark| format!("{}: {}", place_of(sheet, remark), remark.says)).collect();
        let came = if told.is_empty() { Came::Well } else { Came::Failure };
        let says = match came {
            Came::Well => String::new(),
            Came::Failure | Came::Error => {
                counted(told.len(), "cell or row to put right", "cells or rows to put right")
            }
        };
        Case { group: "sheets".to_owned(), name: sheet.name.clone(), came, kind: "sheet", says, more: told }
    });
    suites.push(Suite { name: "sheets".to_owned(), cases: sheets.collect() });
    write_suites(&suites, out)
}
