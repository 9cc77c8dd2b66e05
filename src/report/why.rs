//! Everything about one part: facts with their cells, every rule with its margin, the work.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Value as Json;

use crate::facts::fact::{Fact, From, State};
use crate::facts::field::{Field, FieldSet};
use crate::facts::part::{Part, Spec};
use crate::facts::value::{Dimension, Kind, Unit, Value};
use crate::judge::bench::Bench;
use crate::judge::eval::outcome;
use crate::judge::explain::{Distance, Evidence, Side as Away, evidence, in_unit, show_field, show_value};
use crate::judge::wording::{gap, measured, required, test_words};
use crate::judge::work::touches;
use crate::judge::{Case, Finding, Judgement, PlacedRule, VerdictKind, undecided, why};
use crate::plan::Styling;
use crate::report::page::{Page, Side, clean};
use crate::report::prospects::{AlternativeRecord, HindranceRecord, Prospects};
use crate::report::record::{
    FigureRecord, PartRecord, ValueRecord, WorkRecord, cell_of, money, work_records,
};
use crate::report::words::{CAUTIONS, description, place, verdict_words};
use crate::rules::{Outcome, Rule};
use crate::sheet::{Column, Sheet};
use crate::van::{Van, Work};

/// Writes the report on one part.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(
    judgement: &Judgement<'_>,
    part: &Part<'_>,
    sheets: &[Sheet],
    set: Option<u32>,
    styling: Styling,
    out: &mut dyn Write,
) -> io::Result<()> {
    let Some(spec) = judgement.spec(part) else {
        return Ok(());
    };
    let mut page = Page::new(styling);
    page.heading(&format!("{} {}, {}", part.kind.name(), part.sku, place(judgement, part)));
    let what = description(spec);
    let who: Vec<&str> =
        [part.supplier, part.name, &what].into_iter().filter(|text| !text.is_empty()).collect();
    page.line(0, &who.join(", "));
    page.gap();
    page.table(2, &[Side::Left, Side::Left, Side::Left, Side::Left], &fact_rows(judgement, spec, part));
    for (at, van) in judgement.vans.iter().enumerate() {
        let Some(finding) = judgement.finding(at, part) else {
            continue;
        };
        page.heading(&format!("{} ({}): {}", van.name, van.id, verdict_words(finding.kind())));
        told(&mut page, judgement, part, spec, finding, sheets);
        page.gap();
        let case = Case::of_part(spec, &van.facts, judgement.as_of.as_ref());
        let in_force = judgement.in_force(van, part.kind.into());
        page.table(2, &[Side::Left, Side::Left, Side::Left], &rule_rows(&in_force, case));
        let reads = in_force.iter().fold(FieldSet::EMPTY, |all, (_, rule)| all.union(rule.reads));
        work(&mut page, spec, van, finding, reads, set.unwrap_or_else(|| van.set()));
        let judge = judgement.judge(van, part.kind);
        Prospects { judgement, judge: &judge, case, van, finding }.tell(&mut page);
        for caution in &finding.cautions {
            page.hanging(2, 4, &format!("caution: {}", caution.says));
        }
    }
    page.gap();
    page.line(0, CAUTIONS);
    out.write_all(page.into_text().as_bytes())
}

fn fact_rows(judgement: &Judgement<'_>, spec: &Spec, part: &Part<'_>) -> Vec<Vec<String>> {
    let mut rows = vec![["fact", "cell", "as written", "value"].map(str::to_owned).to_vec()];
    for (field, fact) in spec.iter() {
        // A fact with neither value nor column would only say that the sheet is a sheet.
        if matches!(fact.state, State::Missing) && fact.column.is_none() {
            continue;
        }
        let value = match &fact.state {
            State::Known(value) => match &fact.from {
                From::Proven(says) => format!("{}; unit proven by {says}", show_field(field, value)),
                _ => show_field(field, value),
            },
            State::Missing => "not stated".to_owned(),
            State::Unreadable(why) => format!("unreadable: {why}"),
            State::Contradicted(contradiction) => format!("in doubt: {}", contradiction.says),
        };
        let cell = fact.place(part.row).unwrap_or_default();
        rows.push(vec![field.words().to_owned(), cell, fact.text.to_string(), value]);
    }
    for (name, text) in [("price", part.price), ("link", part.link)] {
        if !text.is_empty() {
            let cell = identity_cell(judgement, part, name).unwrap_or_default();
            rows.push(vec![name.to_owned(), cell, text.to_owned()]);
        }
    }
    rows
}

/// What decided, each with a strip of the sheet that shows the cell.
fn told(
    page: &mut Page,
    judgement: &Judgement<'_>,
    part: &Part<'_>,
    spec: &Spec,
    finding: &Finding,
    sheets: &[Sheet],
) {
    for reason in finding.reasons() {
        let rule = judgement.rule(reason.rule).map_or("", |rule| &rule.name);
        page.hanging(0, 2, &format!("{rule}: {}", reason.says));
        let field = reason.evidence.as_ref().map(|evidence| evidence.field);
        if let Some(remedy) = reason.remedy.as_ref().filter(|_| finding.kind() == VerdictKind::Rejected) {
            page.hanging(2, 4, &format!("it would take {remedy}"));
        }
        strip(page, judgement, part, spec, field, sheets);
    }
    for (at, gap) in finding.gaps().iter().enumerate() {
        // A contradiction is told once, though it keeps several rules undecided.
        if finding.gaps()[..at].iter().any(|told| told.why == gap.why && told.field == gap.field) {
            continue;
        }
        let doubted = gap.field.and_then(|field| spec.fact(field));
        let doubted = doubted.is_some_and(|fact| matches!(fact.state, State::Contradicted(_)));
        match gap.field.filter(|_| !doubted) {
            Some(field) => page.hanging(0, 2, &format!("{}: {}", field.words(), gap.why)),
            None => page.hanging(0, 2, &gap.why),
        }
        strip(page, judgement, part, spec, gap.field, sheets);
    }
}

/// The cell as it stands in the sheet: its column letter, its heading and its row's number.
fn strip(
    page: &mut Page,
    judgement: &Judgement<'_>,
    part: &Part<'_>,
    spec: &Spec,
    field: Option<Field>,
    sheets: &[Sheet],
) {
    let Some(column) = field.and_then(|field| spec.fact(field)).and_then(|fact| fact.column) else {
        return;
    };
    let Some(tab) = sheets.get(part.sheet).and_then(|sheet| sheet.tabs.get(part.tab)) else {
        return;
    };
    let account = judgement.catalog.sheets.get(part.sheet).and_then(|sheet| sheet.tabs.get(part.tab));
    let Some(heading_row) = account.and_then(|tab| tab.heading_row) else {
        return;
    };
    let text_at = |row: u32, column: Column| {
        let cell = tab.row(row).and_then(|row| row.cell(column));
        let text = cell.map_or(String::new(), |cell| clean(cell.text.trim()));
        text.chars().take(24).collect::<String>()
    };
    // The part number, to find the row by, and the cell that decides.
    let number = tab.row(part.row).and_then(|row| {
        let mut cells = row.cells().filter(|cell| cell.column != column);
        cells.find(|cell| cell.text.trim() == part.sku).map(|cell| cell.column)
    });
    let mut columns: Vec<Column> = number.into_iter().chain([column]).collect();
    columns.sort();
    let mut rows = vec![
        vec![String::new()],
        vec![heading_row.to_string()],
        vec![part.row.to_string()],
        vec![String::new()],
    ];
    for shown in columns {
        let here = text_at(part.row, shown);
        let mark =
            if shown == column { "\u{2580}".repeat(here.chars().count().max(3)) } else { String::new() };
        for (line, text) in rows.iter_mut().zip([shown.to_string(), text_at(heading_row, shown), here, mark])
        {
            line.push(format!("\u{250a} {text}"));
        }
    }
    page.gap();
    page.table(4, &[Side::Right, Side::Left, Side::Left], &rows);
    page.gap();
}

/// A rule's outcome on a part, with what decided it.
struct RuleOutcome<'r> {
    rule: &'r Rule,
    outcome: Outcome,
    evidence: Option<Evidence>,
}

fn outcomes<'r>(in_force: &[PlacedRule<'r>], case: Case<'_>) -> Vec<RuleOutcome<'r>> {
    in_force
        .iter()
        .map(|(_, rule)| {
            let outcome = outcome(rule, case);
            let decided = matches!(outcome, Outcome::Pass | Outcome::Fail);
            RuleOutcome { rule, outcome, evidence: if decided { evidence(&rule.demand, case) } else { None } }
        })
        .collect()
}

/// A table of rules: what each comes to on a case, and by how much.
pub(super) fn rule_rows(in_force: &[PlacedRule<'_>], case: Case<'_>) -> Vec<Vec<String>> {
    let mut rows = vec![["rule", "outcome", "why"].map(str::to_owned).to_vec()];
    for RuleOutcome { rule, outcome, evidence } in outcomes(in_force, case) {
        let told = match (outcome, &evidence) {
            (Outcome::NotApplicable, _) => case.lacks_limit(rule.reads).map_or_else(
                || "does not apply to this part".to_owned(),
                |field| format!("no {} is stated", field.words()),
            ),
            (Outcome::Unknown, _) => {
                let facts: Vec<String> = undecided(rule, case)
                    .iter()
                    .map(|field| format!("{}: {}", field.words(), why(field, case)))
                    .collect();
                facts.join("; ")
            }
            (_, Some(evidence)) => {
                let room =
                    evidence.distance.map_or_else(String::new, |distance| format!(", {}", gap(distance)));
                let (measured, required) = (measured(evidence, case), required(evidence, case));
                format!("{measured}; {} {required}{room}", test_words(evidence.test))
            }
            (_, None) => String::new(),
        };
        let word = match outcome {
            Outcome::Pass => "passes",
            Outcome::Fail => "fails",
            Outcome::Unknown => "unknown",
            Outcome::NotApplicable => "not applied",
        };
        rows.push(vec![rule.name.to_string(), word.to_owned(), told]);
    }
    rows
}

/// The works that could matter to the part: those that change what a rule on it reads.
fn work(page: &mut Page, spec: &Spec, van: &Van, finding: &Finding, reads: FieldSet, set: u32) {
    let matters = |at: usize, work: &Work| {
        let chosen = finding.cure().is_some_and(|cure| cure.works.contains(&at));
        chosen || touches(work, reads)
    };
    if !van.works.iter().enumerate().any(|(at, work)| matters(at, work)) {
        return;
    }
    let allowed = Bench::new(van).allowed(Case::of_part(spec, &van.facts, None));
    page.gap();
    let mut rows = vec![["work on file", "cost", ""].map(str::to_owned).to_vec()];
    for (at, work) in van.works.iter().enumerate().filter(|(at, work)| matters(*at, work)) {
        let chosen = finding.cure().is_some_and(|cure| cure.works.contains(&at));
        let note = match (chosen, allowed.contains(at)) {
            (true, _) => "chosen",
            (false, true) => "",
            (false, false) => "not on this part; it asks",
        };
        let asks = work.asks.as_ref().filter(|_| note.ends_with("asks")).map_or("", |asks| &asks.text);
        rows.push(vec![work.name.to_string(), money(work.costs), format!("{note} {asks}")]);
    }
    page.table(2, &[Side::Left, Side::Right, Side::Left], &rows);
    if let Some(cure) = finding.cure() {
        for at in cure.works.iter() {
            let Some(work) = van.works.get(*at) else {
                continue;
            };
            for need in &work.needs {
                let count = need.count * if need.per == crate::van::work::Per::Wheel { set } else { 1 };
                page.hanging(2, 4, &format!("needs {count} x {}", need.item));
            }
            for drawback in &work.leaves {
                page.hanging(2, 4, &format!("but: {drawback}"));
            }
        }
    }
}

#[derive(Serialize)]
struct WhyRecord<'j> {
    format: &'static str,
    part: PartRecord<'j>,
    facts: Vec<FactRecord>,
    vans: Vec<VanRecord<'j>>,
}

#[derive(Serialize)]
struct FactRecord {
    fact: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    text: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<Json>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
    /// Which column proves the unit, where neither cell nor heading nor profile states it.
    #[serde(skip_serializing_if = "Option::is_none")]
    unit_proof: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cell: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    from: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    state: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<String>,
}

#[derive(Serialize)]
struct VanRecord<'j> {
    van: &'j str,
    verdict: &'static str,
    rules: Vec<RuleRecord<'j>>,
    work: Vec<WorkRecord<'j>>,
    considered: Vec<ConsideredRecord<'j>>,
    alternatives: Vec<AlternativeRecord<'j>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    hindrances: Vec<HindranceRecord<'j>>,
}

#[derive(Serialize)]
struct ConsideredRecord<'j> {
    name: &'j str,
    cost: String,
    allowed: bool,
    chosen: bool,
}

/// What a rule comes to.
#[derive(Debug, Serialize)]
pub struct RuleRecord<'j> {
    rule: &'j str,
    outcome: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    measured: Option<ValueRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    required: Option<ValueRecord>,
    #[serde(skip_serializing_if = "Option::is_none")]
    margin: Option<FigureRecord>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    missing: Vec<String>,
}

/// Writes one part as a JSON document, several as a list of them. A margin is positive where there is
/// room to spare, negative where there is none.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_json(
    judgement: &Judgement<'_>,
    parts: &[&Part<'_>],
    set: Option<u32>,
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut records: Vec<WhyRecord<'_>> = Vec::new();
    for part in parts {
        records.extend(why_record(judgement, part, set));
    }
    match records.as_slice() {
        [one] => serde_json::to_writer_pretty(&mut *out, one)?,
        many => serde_json::to_writer_pretty(&mut *out, many)?,
    }
    out.write_all(b"\n")
}

fn why_record<'j>(
    judgement: &'j Judgement<'_>,
    part: &'j Part<'_>,
    set: Option<u32>,
) -> Option<WhyRecord<'j>> {
    let spec = judgement.spec(part)?;
    let mut facts = identity_facts(judgement, part);
    facts.extend(spec.iter().map(|(field, fact)| {
        let (state, why) = match &fact.state {
            State::Known(_) => (None, None),
            State::Missing => (Some("missing"), fact.why_unknown()),
            State::Unreadable(_) => (Some("unreadable"), fact.why_unknown()),
            State::Contradicted(_) => (Some("contradicted"), fact.why_unknown()),
        };
        let known = fact.value();
        FactRecord {
            fact: field.full_name(),
            text: Some(text_of(spec, fact)).filter(|text| !text.is_empty()),
            value: known.map(|value| json_value(field, value)),
            unit: known.and(field.unit()).map(Unit::text),
            unit_proof: if let From::Proven(says) = &fact.from { Some(says.to_string()) } else { None },
            cell: cell_of(Some(spec), Some(field), part),
            from: known.map(|_| fact.from.name()),
            state,
            why,
        }
    }));
    let vans = judgement.vans.iter().enumerate().filter_map(|(at, van)| {
        let finding = judgement.finding(at, part)?;
        Some(van_record(judgement, part, spec, van, finding, set.unwrap_or_else(|| van.set())))
    });
    Some(WhyRecord {
        format: "rimsieve.why/1",
        part: PartRecord::of(judgement, part),
        facts,
        vans: vans.collect(),
    })
}

/// The cell of what identifies a part rather than judging it: of several tables in a tab, in the column
/// of the one it stands in.
fn identity_cell(judgement: &Judgement<'_>, part: &Part<'_>, name: &str) -> Option<String> {
    let tab = judgement.catalog.sheets.get(part.sheet).and_then(|sheet| sheet.tabs.get(part.tab))?;
    let above =
        tab.understood.iter().filter(|column| column.holds == Some(name) && column.heading_row < part.row);
    // The first of equals, as a part's own text is the first column's.
    let column = above.rev().max_by_key(|column| column.heading_row)?;
    Some(format!("{}{}", column.column, part.row))
}

fn identity_facts(judgement: &Judgement<'_>, part: &Part<'_>) -> Vec<FactRecord> {
    [("sku", part.sku), ("price", part.price), ("link", part.link)]
        .into_iter()
        .map(|(name, text)| {
            let known = !text.is_empty();
            FactRecord {
                fact: format!("{}.{name}", part.kind.name()),
                text: known.then(|| text.to_owned()),
                value: known.then(|| Json::from(text)),
                unit: None,
                unit_proof: None,
                cell: identity_cell(judgement, part, name),
                from: known.then_some("cell"),
                state: (!known).then_some("missing"),
                why: (!known).then(|| "not stated".to_owned()),
            }
        })
        .collect()
}

/// The supplier's text for a fact; what follows from a size is written in the size.
fn text_of(spec: &Spec, fact: &Fact) -> String {
    let size =
        spec.fact(Field::TireSize).filter(|_| fact.from == From::Designation && fact.value().is_some());
    match size {
        Some(size) if fact.text.is_empty() => size.text.to_string(),
        _ => fact.text.to_string(),
    }
}

pub(super) fn json_value(field: Field, value: &Value) -> Json {
    match (field.kind(), value) {
        (Kind::Quantity(Dimension::Day), _) => Json::from(show_field(field, value)),
        (Kind::Quantity(dimension), Value::Number(count)) => {
            Json::from(in_unit(*count, dimension, field.unit()))
        }
        (_, Value::Flag(flag)) => Json::from(*flag),
        (_, Value::Words(words)) => Json::from(words.iter().map(ToString::to_string).collect::<Vec<_>>()),
        (_, value) => Json::from(show_value(value)),
    }
}

/// The records of rules on a case.
pub(super) fn rule_records<'r>(in_force: &[PlacedRule<'r>], case: Case<'_>) -> Vec<RuleRecord<'r>> {
    let records = outcomes(in_force, case).into_iter().map(|found| {
        let evidence = found.evidence.as_ref();
        let missing =
            if found.outcome == Outcome::Unknown { undecided(found.rule, case) } else { Default::default() };
        RuleRecord {
            rule: &found.rule.name,
            outcome: found.outcome.name(),
            measured: evidence.map(|evidence| ValueRecord::of(&evidence.measured, None)),
            required: evidence.map(|evidence| ValueRecord::of(&evidence.required, Some(evidence.test))),
            margin: evidence.and_then(|evidence| evidence.distance).map(signed),
            missing: missing.iter().map(Field::full_name).collect(),
        }
    });
    records.collect()
}

fn van_record<'j>(
    judgement: &'j Judgement<'_>,
    part: &Part<'_>,
    spec: &Spec,
    van: &'j Van,
    finding: &Finding,
    set: u32,
) -> VanRecord<'j> {
    let case = Case::of_part(spec, &van.facts, judgement.as_of.as_ref());
    let rules = rule_records(&judgement.in_force(van, part.kind.into()), case);
    let allowed = Bench::new(van).allowed(case);
    let considered = van.works.iter().enumerate().map(|(at, work)| ConsideredRecord {
        name: &work.name,
        cost: money(work.costs),
        allowed: allowed.contains(at),
        chosen: finding.cure().is_some_and(|cure| cure.works.contains(&at)),
    });
    let judge = judgement.judge(van, part.kind);
    let prospects = Prospects { judgement, judge: &judge, case, van, finding };
    VanRecord {
        van: &van.id,
        verdict: finding.kind().name(),
        rules,
        work: finding.cure().map_or_else(Vec::new, |cure| work_records(van, cure, set)),
        considered: considered.collect(),
        alternatives: prospects.alternative_records(set),
        hindrances: prospects.hindrance_records(),
    }
}

fn signed(distance: Distance) -> FigureRecord {
    let base = if distance.side == Away::Inside { distance.base } else { -distance.base };
    FigureRecord::of(&Distance { base, ..distance })
}
