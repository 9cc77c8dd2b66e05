//! The report a parts buyer reads: counts, why things fail, near misses, what the sheets do not say,
//! remarks on cells, then the lists.

use std::io::{self, Write};

use crate::facts::catalog::{Remark, SheetAccount, Weight};
use crate::facts::part::{Part, PartKind};
use crate::judge::wording::test_words;
use crate::judge::{Case, Finding, Judgement, Reason, Verdict, VerdictKind};
use crate::plan::Styling;
use crate::report::page::{Page, Side, counted};
use crate::report::prospects::{NearMiss, Prospects, deciding, hindered_on_file};
use crate::report::record::{cell_of, money};
use crate::report::tally::{self, contradicted, name_of};
use crate::report::words::{CAUTIONS, description, place_of, verdict_words};
use crate::van::Van;

/// Lines of a list that may grow without bound, before the rest is only counted.
const MOST_LINES: usize = 30;
/// Near misses told for each van.
const MOST_NEAR: usize = 12;

/// Writes the report.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write(
    judgement: &Judgement<'_>,
    set: Option<u32>,
    styling: Styling,
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut page = Page::new(styling);
    summary(&mut page, judgement);
    for (at, van) in judgement.vans.iter().enumerate() {
        failures(&mut page, judgement, at, van);
        near_misses(&mut page, judgement, at, van);
    }
    not_said(&mut page, judgement);
    for sheet in &judgement.catalog.sheets {
        remarks(&mut page, sheet);
    }
    for (at, van) in judgement.vans.iter().enumerate() {
        lists(&mut page, judgement, at, van, set);
    }
    page.gap();
    page.line(0, CAUTIONS);
    out.write_all(page.into_text().as_bytes())
}

/// Writes what the machine forms leave to the side: the sheets in a line each, and limits that vans
/// do not state.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_aside(judgement: &Judgement<'_>, out: &mut dyn Write) -> io::Result<()> {
    let is_fault = |remark: &&Remark| remark.weight == Weight::Fault;
    let sheets = judgement.catalog.sheets.iter();
    let sheets = sheets.map(|sheet| (sheet, sheet.remarks.iter().filter(is_fault).count()));
    write_counts(judgement, sheets, out)
}

/// The accounts of sheets, each with how many faults were found in it, and what the vans do not state.
///
/// # Errors
/// Where `out` does not take the bytes.
pub fn write_counts<'a>(
    judgement: &Judgement<'_>,
    sheets: impl IntoIterator<Item = (&'a SheetAccount, usize)>,
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut page = Page::new(Styling::Plain);
    for (sheet, faults) in sheets {
        let faults = counted(faults, "remark on a cell or row", "remarks on cells or rows");
        page.line(0, &format!("{}; {faults}", account(sheet)));
    }
    limits_not_stated(&mut page, judgement);
    out.write_all(page.into_text().as_bytes())
}

type Found<'j> = (&'j Part<'j>, &'j Finding);

fn findings<'j>(judgement: &'j Judgement<'_>, van: usize, kind: VerdictKind) -> Vec<Found<'j>> {
    let found = judgement
        .catalog
        .parts
        .iter()
        .filter_map(|part| Some((part, judgement.finding(van, part)?.as_ref())));
    let mut found: Vec<Found<'_>> = found.filter(|(_, finding)| finding.kind() == kind).collect();
    // Wheels first; within a kind the order of the sheets stays.
    found.sort_by_key(|(part, _)| part.kind);
    found
}

fn summary(page: &mut Page, judgement: &Judgement<'_>) {
    let catalog = &judgement.catalog;
    let of_kind = |kind: PartKind| catalog.parts.iter().filter(|part| part.kind == kind).count();
    page.heading("What fits which van");
    page.line(
        0,
        &format!(
            "{}, {}, {}, {}",
            counted(catalog.sheets.len(), "sheet", "sheets"),
            counted(of_kind(PartKind::Wheel), "wheel", "wheels"),
            counted(of_kind(PartKind::Tire), "tire", "tires"),
            counted(judgement.vans.len(), "van", "vans")
        ),
    );
    page.gap();
    let mut rows = vec![vec![
        String::new(),
        "fits".to_owned(),
        "with work".to_owned(),
        "unproven".to_owned(),
        "no fit".to_owned(),
    ]];
    for (at, van) in judgement.vans.iter().enumerate() {
        rows.push(vec![format!("{} ({})", van.name, van.id)]);
        for (kind, words) in [(PartKind::Wheel, "  wheels"), (PartKind::Tire, "  tires")] {
            if of_kind(kind) == 0 {
                continue;
            }
            let mut row = vec![words.to_owned()];
            for verdict in VerdictKind::ALL {
                let count =
                    findings(judgement, at, verdict).iter().filter(|(part, _)| part.kind == kind).count();
                row.push(count.to_string());
            }
            rows.push(row);
        }
    }
    page.table(0, &[Side::Left, Side::Right, Side::Right, Side::Right, Side::Right], &rows);
    page.gap();
    if catalog.parts.is_empty() {
        page.line(0, "NO WHEEL OR TIRE WAS FOUND in these sheets; the remarks below tell why.");
        return;
    }
    page.line(
        0,
        "Unproven: nothing speaks against it, but the sheet leaves out or garbles something that must be known first. \
         Missing is never taken as good.",
    );
    limits_not_stated(page, judgement);
}

fn limits_not_stated(page: &mut Page, judgement: &Judgement<'_>) {
    for told in limits_told(judgement) {
        page.hanging(0, 2, &told);
    }
}

/// The limits that vans leave open, vans that lack the same ones together.
pub(super) fn limits_told(judgement: &Judgement<'_>) -> Vec<String> {
    let mut lacking: Vec<(String, Vec<&str>)> = Vec::new();
    for van in &judgement.vans {
        let limits: Vec<String> = judgement
            .limits_not_stated(van)
            .iter()
            .map(|(field, rules)| {
                let rules: Vec<&str> = rules.iter().map(|rule| &*rule.name).collect();
                format!("no {} ({})", field.words(), rules.join(", "))
            })
            .collect();
        let limits = limits.join(", ");
        match lacking.iter_mut().find(|(known, _)| *known == limits) {
            Some((_, vans)) => vans.push(&van.id),
            None => lacking.push((limits, vec![&van.id])),
        }
    }
    let told = lacking.into_iter().filter(|(limits, _)| !limits.is_empty()).map(|(limits, vans)| {
        let state = if vans.len() == 1 { "states" } else { "state" };
        format!("{} {state} {limits}; these rules were not applied.", vans.join(", "))
    });
    told.collect()
}

fn failures(page: &mut Page, judgement: &Judgement<'_>, at: usize, van: &Van) {
    let failures = tally::failures(judgement, at);
    if failures.is_empty() {
        return;
    }
    page.heading(&format!("Why parts do not fit the {}", van.id));
    let mut table = vec![["parts", "sole reason", "rule", "for example"].map(str::to_owned).to_vec()];
    table.extend(failures.iter().map(|failure| {
        let (count, alone) = (failure.count.to_string(), failure.alone.to_string());
        vec![count, alone, failure.rule.to_owned(), failure.example.to_owned()]
    }));
    page.table(0, &[Side::Right, Side::Right, Side::Left, Side::Left], &table);
}

fn near_misses(page: &mut Page, judgement: &Judgement<'_>, at: usize, van: &Van) {
    let mut misses: Vec<(NearMiss<'_>, Found<'_>)> = findings(judgement, at, VerdictKind::Rejected)
        .into_iter()
        .filter_map(|found| Some((NearMiss::of(found.1)?, found)))
        .collect();
    if misses.is_empty() {
        return;
    }
    misses.sort_by(|a, b| a.0.share.total_cmp(&b.0.share));
    page.heading(&format!("Near misses for the {}: one rule fails, and by little", van.id));
    let more = misses.len().saturating_sub(MOST_NEAR);
    let told = |(miss, (part, finding)): (NearMiss<'_>, Found<'_>)| {
        vec![name_of(part), near_miss_told(judgement, van, part, finding, &miss)]
    };
    let rows: Vec<Vec<String>> = misses.into_iter().take(MOST_NEAR).map(told).collect();
    page.table(0, &[Side::Left, Side::Left], &rows);
    and_more(page, more, "near miss", "near misses");
}

/// What a near miss misses, what would cure it, and why work on file does not.
pub(super) fn near_miss_told(
    judgement: &Judgement<'_>,
    van: &Van,
    part: &Part<'_>,
    finding: &Finding,
    miss: &NearMiss<'_>,
) -> String {
    let mut told = miss.told();
    let why = judgement.spec(part).map_or_else(Vec::new, |spec| {
        let case = Case::of_part(spec, &van.facts, judgement.as_of.as_ref());
        Prospects { judgement, judge: &judgement.judge(van, part.kind), case, van, finding }.hindrances()
    });
    for (rule, hindrance) in &why {
        let on_file = hindered_on_file(hindrance, deciding(finding, *rule), judgement, van);
        told.extend(on_file.map(|why| format!("; on file: {why}")));
    }
    told
}

fn and_more(page: &mut Page, more: usize, one: &str, many: &str) {
    if more > 0 {
        page.line(0, &format!("... and {}; --format csv lists all", counted(more, one, many)));
    }
}

/// The facts that keep parts unproven, with how many parts each alone would settle.
fn not_said(page: &mut Page, judgement: &Judgement<'_>) {
    let wanting = tally::wanting(judgement);
    if wanting.is_empty() {
        return;
    }
    page.heading("What the sheets do not say, and keeps parts unproven");
    let mut table = vec![["parts", "sole reason", "what to ask the supplier"].map(str::to_owned).to_vec()];
    table.extend(
        wanting.iter().map(|fact| vec![fact.parts.len().to_string(), fact.alone.to_string(), fact.told()]),
    );
    page.table(0, &[Side::Right, Side::Right, Side::Left], &table);
    let unknown: Vec<String> = judgement
        .catalog
        .sheets
        .iter()
        .flat_map(|sheet| &sheet.tabs)
        .flat_map(|tab| &tab.understood)
        .filter(|column| match column.holds {
            None => true,
            Some(holds) => holds == "left_over" && column.nearest.is_some(),
        })
        .map(|column| format!("`{}`", column.heading))
        .collect();
    if !unknown.is_empty() {
        let told = format!("Columns left alone, which may hold it: {}", unknown.join(", "));
        page.hanging(0, 2, &told);
    }
}

/// What became of a sheet's rows, in a line.
pub(super) fn account(sheet: &SheetAccount) -> String {
    format!(
        "{}: {} = {}, {}, {} of headings, notes and blanks",
        sheet.name,
        counted(sheet.rows as usize, "row", "rows"),
        counted(sheet.parts as usize, "part", "parts"),
        counted(sheet.reported as usize, "row not understood", "rows not understood"),
        sheet.furniture
    )
}

fn remarks(page: &mut Page, sheet: &SheetAccount) {
    page.heading(&format!("Remarks on {}", sheet.name));
    page.line(0, &account(sheet));
    for (weight, words) in [(Weight::Fault, "To put right:"), (Weight::Note, "Good to know:")] {
        let of_weight: Vec<&Remark> = sheet.remarks.iter().filter(|remark| remark.weight == weight).collect();
        if of_weight.is_empty() {
            continue;
        }
        page.line(0, words);
        let rows: Vec<Vec<String>> = of_weight
            .iter()
            .take(MOST_LINES)
            .map(|remark| vec![place_of(sheet, remark), remark.says.to_string()])
            .collect();
        page.table(2, &[Side::Left, Side::Left], &rows);
        let more = of_weight.len().saturating_sub(MOST_LINES);
        if more > 0 {
            page.line(2, &format!("... and {}; --format json lists all", counted(more, "remark", "remarks")));
        }
    }
}

fn lists(page: &mut Page, judgement: &Judgement<'_>, at: usize, van: &Van, set: Option<u32>) {
    for kind in VerdictKind::ALL {
        let found = findings(judgement, at, kind);
        if found.is_empty() {
            continue;
        }
        page.heading(&format!(
            "{} ({}): {}, {}",
            van.name,
            van.id,
            verdict_words(kind),
            counted(found.len(), "part", "parts")
        ));
        let bounded = matches!(kind, VerdictKind::Unproven | VerdictKind::Rejected);
        let shown = if bounded { MOST_LINES } else { found.len() };
        let rows: Vec<Vec<String>> = found
            .iter()
            .take(shown)
            .map(|(part, finding)| {
                let what = judgement.spec(part).map_or_else(String::new, description);
                vec![name_of(part), list_entry(judgement, part, finding, van, &what)]
            })
            .collect();
        page.table(0, &[Side::Left, Side::Left], &rows);
        and_more(page, found.len().saturating_sub(shown), "part", "parts");
        if kind == VerdictKind::FitsWithWork {
            works(page, &found, van, set.unwrap_or_else(|| van.set()));
        }
        if matches!(kind, VerdictKind::Fits | VerdictKind::FitsWithWork) {
            cautions(page, &found);
        }
    }
}

fn list_entry(
    judgement: &Judgement<'_>,
    part: &Part<'_>,
    finding: &Finding,
    van: &Van,
    what: &str,
) -> String {
    let who = if part.name.is_empty() { String::new() } else { format!("{}, ", part.name) };
    let price = if part.price.is_empty() { String::new() } else { format!(", price {}", part.price) };
    let work = finding.cure().map(|cure| {
        let names: Vec<&str> =
            cure.works.iter().filter_map(|work| van.works.get(*work)).map(|work| &*work.name).collect();
        format!("{} ({})", names.join(" + "), money(cure.cost))
    });
    match (&finding.verdict, work) {
        (Verdict::Fits, _) => format!("{who}{what}{price}"),
        (Verdict::FitsWithWork { .. }, work) => format!("{who}{what}{price}: {}", work.unwrap_or_default()),
        (Verdict::Unproven { gaps, .. }, work) => {
            let spec = judgement.spec(part);
            let mut told: Vec<String> = Vec::new();
            for gap in gaps.iter() {
                let cell =
                    cell_of(spec, gap.field, part).map_or_else(String::new, |cell| format!(" ({cell})"));
                let line = match gap.field {
                    Some(field) if !contradicted(judgement, part, field) => {
                        format!("{}: {}{cell}", field.words(), gap.why)
                    }
                    _ => format!("{}{cell}", gap.why),
                };
                if !told.contains(&line) {
                    told.push(line);
                }
            }
            let needed = work.map_or_else(String::new, |work| format!("; would need {work}"));
            format!("{what}: {}{needed}", told.join("; "))
        }
        (Verdict::Rejected { reasons, .. }, _) => {
            // Whoever fails many rules is far off: the figures are enough.
            let many = reasons.len() > 2;
            let told = reasons
                .iter()
                .map(|reason| if many { in_short(judgement, reason) } else { reason.says.to_string() });
            format!("{what}: {}", told.collect::<Vec<_>>().join("; "))
        }
    }
}

/// A reason in figures: `offset 20 mm (at least 30 mm)`.
fn in_short(judgement: &Judgement<'_>, reason: &Reason) -> String {
    match &reason.evidence {
        Some(evidence) => format!(
            "{} {} ({} {})",
            evidence.field.words(),
            evidence.measured.text,
            test_words(evidence.test),
            evidence.required.text
        ),
        None => judgement.rule(reason.rule).map_or_else(String::new, |rule| rule.name.to_string()),
    }
}

/// The works that a list needs, once each, with what they need and leave.
fn works(page: &mut Page, found: &[Found<'_>], van: &Van, set: u32) {
    page.line(0, &format!("The work, for a set of {set} wheels:"));
    for (at, work) in van.works.iter().enumerate() {
        let used = found
            .iter()
            .filter(|(_, finding)| finding.cure().is_some_and(|cure| cure.works.contains(&at)))
            .count();
        if used == 0 {
            continue;
        }
        page.hanging(
            2,
            4,
            &format!("{}, {}: for {}", work.name, money(work.costs), counted(used, "part", "parts")),
        );
        for need in &work.needs {
            let count = need.count * if need.per == crate::van::work::Per::Wheel { set } else { 1 };
            page.hanging(4, 6, &format!("needs {count} x {}", need.item));
        }
        for drawback in &work.leaves {
            page.hanging(4, 6, &format!("but: {drawback}"));
        }
    }
}

/// Cautions on the parts of a list, those of one rule together, with the first as the example.
fn cautions(page: &mut Page, found: &[Found<'_>]) {
    let mut by_rule: Vec<(&str, &str, Vec<String>)> = Vec::new();
    for (part, finding) in found {
        for caution in &finding.cautions {
            match by_rule.iter_mut().find(|(rule, ..)| *rule == &*caution.rule) {
                Some((.., skus)) => skus.push(name_of(part)),
                None => by_rule.push((&caution.rule, &caution.says, vec![name_of(part)])),
            }
        }
    }
    if by_rule.is_empty() {
        return;
    }
    page.line(0, "Cautions on these:");
    for (rule, says, skus) in by_rule {
        let (first, others) =
            skus.split_first().map_or(("", 0), |(first, others)| (first.as_str(), others.len()));
        let others = match others {
            0 => String::new(),
            more => format!("; and the like on {}", counted(more, "other", "others")),
        };
        page.hanging(2, 4, &format!("{rule}: {first}: {says}{others}"));
    }
}
