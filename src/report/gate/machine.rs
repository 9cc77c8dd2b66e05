//! The gate's result for machines: JSON, a SARIF log, a report of test cases.

use std::collections::BTreeMap;
use std::io::{self, Write};

use serde::Serialize;

use crate::ledger::{Cause, Change, Entry, Standing, Term};
use crate::report::gate::words::{causes, counts, headline, meaning, part_of, review, sentence};
use crate::report::gate::{Gate, GateOutcome};
use crate::report::junit::{Came, Case, Suite, write_suites};
use crate::report::record::{PartRecord, cell_of};
use crate::report::sarif::{Level, Log, Topic, Where};
use crate::report::sheet_file::{Lines, spot_of};

#[derive(Serialize)]
struct Document<'g> {
    format: &'static str,
    ledger: &'g str,
    outcome: &'static str,
    says: String,
    summary: BTreeMap<&'static str, usize>,
    changes: Vec<ChangeRecord<'g>>,
    differences: Vec<DifferenceRecord<'g>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    review: Option<ReviewRecord>,
}

#[derive(Serialize)]
struct ChangeRecord<'g> {
    standing: &'static str,
    fails: bool,
    load_bearing: bool,
    van: &'g str,
    kind: &'static str,
    supplier: &'g str,
    sku: &'g str,
    #[serde(skip_serializing_if = "Option::is_none")]
    part: Option<PartRecord<'g>>,
    before: Option<EntryRecord<'g>>,
    now: Option<EntryRecord<'g>>,
    facts: Vec<FactRecord<'g>>,
    causes: Vec<CauseRecord<'g>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    renumbered: Option<&'g str>,
    says: String,
}

#[derive(Serialize)]
struct EntryRecord<'g> {
    verdict: &'static str,
    against: &'g [String],
    work: &'g [String],
    facts: BTreeMap<String, &'g str>,
}

#[derive(Serialize)]
struct FactRecord<'g> {
    fact: String,
    before: Option<&'g str>,
    now: Option<&'g str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cell: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    place: Option<Lines>,
}

#[derive(Serialize)]
struct CauseRecord<'g> {
    cause: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    name: Option<std::borrow::Cow<'g, str>>,
}

#[derive(Serialize)]
struct DifferenceRecord<'g> {
    of: &'static str,
    name: String,
    before: Option<&'g str>,
    now: Option<&'g str>,
}

#[derive(Serialize)]
struct ReviewRecord {
    idle_rules: Vec<String>,
    roomy_limits: Vec<String>,
    idle_works: Vec<String>,
    unexplained: Vec<String>,
}

fn entry_record(entry: &Entry) -> EntryRecord<'_> {
    EntryRecord {
        verdict: entry.verdict.name(),
        against: &entry.against,
        work: &entry.works,
        facts: entry.facts.iter().map(|(field, text)| (field.full_name(), text.as_str())).collect(),
    }
}

fn cause_record(cause: &Cause) -> CauseRecord<'_> {
    let (cause, name) = match cause {
        Cause::Sheet => ("sheet", None),
        Cause::SheetOrReading => ("sheet-or-reading", None),
        Cause::Rule(_, name) => ("rule", Some(name.as_str().into())),
        Cause::VanFact(field) => ("van", Some(field.full_name().into())),
        Cause::VanPacks => ("van", Some("packs".into())),
        Cause::VanNew => ("van-new", None),
        Cause::VanGone => ("van-gone", None),
        Cause::Work(name) => ("work", Some(name.as_str().into())),
        Cause::Elsewhere => ("elsewhere", None),
    };
    CauseRecord { cause, name }
}

fn change_record<'g>(gate: &Gate<'g>, change: &'g Change<'g>, fails: bool) -> ChangeRecord<'g> {
    let part = part_of(gate, change);
    let facts = change.facts.iter().map(|fact| {
        let spec = part.and_then(|part| gate.judgement.spec(part));
        FactRecord {
            fact: fact.field.full_name(),
            before: fact.before.as_deref(),
            now: fact.now.as_deref(),
            cell: part.and_then(|part| cell_of(spec, Some(fact.field), part)),
            place: part.and_then(|part| spot_of(gate.judgement, gate.files, part, Some(fact.field)).lines),
        }
    });
    ChangeRecord {
        standing: change.standing.name(),
        fails,
        load_bearing: change.is_load_bearing(),
        van: &change.key.van,
        kind: change.key.kind.name(),
        supplier: &change.key.supplier,
        sku: &change.key.sku,
        part: part.map(|part| PartRecord::of(gate.judgement, part)),
        before: change.before.as_ref().map(entry_record),
        now: change.now.as_ref().map(entry_record),
        facts: facts.collect(),
        causes: change.causes.iter().map(cause_record).collect(),
        renumbered: change.renumbered.as_deref(),
        says: sentence(gate, change),
    }
}

/// Writes one JSON document.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_json(gate: &Gate<'_>, out: &mut dyn Write) -> io::Result<()> {
    let comparison = gate.comparison;
    let mut summary: BTreeMap<&'static str, usize> =
        Standing::ALL.map(|standing| (standing.name(), comparison.count(standing))).into();
    summary.insert("same", comparison.same);
    summary.insert("quiet", comparison.quiet);
    let differences = comparison.differences.iter().map(|difference| {
        let (of, name) = match &difference.term {
            Term::Profile(name) => ("profile", name.to_string()),
            Term::Answers => ("answers", String::new()),
            Term::Rule(on, name) => ("rule", format!("{} {name}", on.name())),
            Term::Van(id) => ("van", id.to_string()),
            Term::Work(van, name) => ("work", format!("{van} {name}")),
        };
        let (before, now) = (difference.before.as_deref(), difference.now.as_deref());
        DifferenceRecord { of, name, before, now }
    });
    let mut lists = review(gate).into_iter().map(|(_, lines)| lines);
    let mut next = || lists.next().unwrap_or_default();
    let record = gate.review.as_ref().map(|_| ReviewRecord {
        idle_rules: next(),
        roomy_limits: next(),
        idle_works: next(),
        unexplained: next(),
    });
    let document = Document {
        format: "rimsieve.gate/1",
        ledger: &gate.ledger,
        outcome: match gate.outcome {
            GateOutcome::Held => "held",
            GateOutcome::Worse => "worse",
            GateOutcome::Accepted => "accepted",
        },
        says: headline(gate),
        summary,
        changes: gate.changes().map(|(change, fails)| change_record(gate, change, fails)).collect(),
        differences: differences.collect(),
        review: record,
    };
    serde_json::to_writer_pretty(&mut *out, &document)?;
    out.write_all(b"\n")
}

/// Writes a SARIF log: a result for each change, at the cell that changed; at the ledger's own line for
/// what no sheet has.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_sarif(gate: &Gate<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut log = Log::default();
    for (change, fails) in gate.changes() {
        let topic = Topic::new(change.standing.name(), meaning(change.standing, true), None);
        let level = match (fails, change.standing) {
            (true, _) => Level::Error,
            (false, Standing::Gained) => Level::Note,
            (false, _) => Level::Warning,
        };
        let key = &change.key;
        let name = format!("{} {} {}", key.van, key.supplier, key.number());
        log.add(topic, level, &sentence(gate, change), place(gate, change), &name);
    }
    log.write(out)
}

fn place(gate: &Gate<'_>, change: &Change<'_>) -> Where {
    let Some(part) = part_of(gate, change) else {
        return change
            .line
            .map_or(Where::Nowhere, |line| Where::Line { file: gate.ledger_place.clone(), line });
    };
    // The fact that changed; else the one that stands in the way.
    let finding = change.found.and_then(|(van, _)| gate.judgement.finding(van, part));
    let blamed = finding.and_then(|finding| {
        let reasons = finding.reasons().iter().filter_map(|reason| Some(reason.evidence.as_ref()?.field));
        reasons.chain(finding.gaps().iter().filter_map(|gap| gap.field)).next()
    });
    let field = change.facts.first().map(|fact| fact.field).or(blamed);
    Where::Cell(spot_of(gate.judgement, gate.files, part, field))
}

/// Writes test cases: a suite for each van, a case for each part that is or was on its list.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_junit(gate: &Gate<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut suites: BTreeMap<&str, Vec<Case>> = BTreeMap::new();
    for van in &gate.judgement.vans {
        suites.insert(&van.id, Vec::new());
    }
    for (change, fails) in gate.changes() {
        let key = &change.key;
        suites.entry(&key.van).or_default().push(Case {
            group: format!("{}.{}", key.van, key.supplier),
            name: format!("{} {}", key.kind.name(), key.number()),
            came: if fails { Came::Failure } else { Came::Well },
            kind: change.standing.name(),
            says: sentence(gate, change),
            more: vec![causes(gate, change)],
        });
    }
    let suite = |(name, cases): (&str, Vec<Case>)| Suite { name: name.to_owned(), cases };
    let mut suites: Vec<Suite> = suites.into_iter().map(suite).collect();
    // A list without a change is a case too: a report without any reads as one that was never run.
    suites.push(Suite {
        name: "accepted list".to_owned(),
        cases: vec![Case {
            group: "ledger".to_owned(),
            name: gate.ledger.clone(),
            came: Came::Well,
            kind: "ledger",
            says: format!("{} {}.", headline(gate), counts(gate)),
            more: Vec::new(),
        }],
    });
    write_suites(&suites, out)
}
